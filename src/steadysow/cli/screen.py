"""What commands print: JSON, warnings, facts as they were understood, and the console for tables."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import typer

if TYPE_CHECKING:
    from rich.console import Console

    from steadysow.door.garden_folder import GardenFolder
    from steadysow.door.results import Recorded


def console(*, stderr: bool = False) -> Console:
    """Make the console that tables are drawn on."""
    from rich.console import Console

    return Console(stderr=stderr)


def print_json(value: Any) -> None:
    """Print a value as JSON; dates as text."""
    typer.echo(json.dumps(value, indent=1, ensure_ascii=False, default=str))


def warn(folder: GardenFolder) -> None:
    """Show warnings about the journal's file."""
    for warning in folder.journal.warnings:
        typer.echo(warning, err=True)


def show_recorded(recorded: Recorded) -> None:
    """Show each fact as it was understood, and what is odd about it."""
    for sentence in recorded.sentences:
        typer.echo(sentence)
    for warning in recorded.warnings:
        typer.echo(f"Odd: {warning}", err=True)


def show_sentences(shown_on: Console, title: str, sentences: tuple[str, ...]) -> None:
    """Show sentences under a title, if there are any."""
    from steadysow.outputs import terminal

    if sentences:
        terminal.sentences(shown_on, title, sentences)
