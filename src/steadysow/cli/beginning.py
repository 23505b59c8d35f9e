"""Commands for a new garden and its files: init, check, schema."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

import typer

from steadysow.cli.options import HERE, Folder, Today
from steadysow.cli.screen import console, print_json, show_sentences
from steadysow.errors import one_fault

STARTER = Path(__file__).parents[1] / "starter" / "garden.yaml"


def init(folder: Annotated[Path, typer.Argument(metavar="DIR", help="The folder to begin a garden in.")]) -> None:
    """Begin a garden: write a commented garden.yaml that plans as it is. Nothing is overwritten."""
    target = folder / STARTER.name
    if folder.exists() and not folder.is_dir():
        raise one_fault(str(folder), "is not a folder", "Name a folder, or a new one")
    folder.mkdir(parents=True, exist_ok=True)
    try:
        with target.open("x", encoding="utf-8") as file:
            file.write(STARTER.read_text(encoding="utf-8"))
    except FileExistsError:
        raise one_fault(str(target), "is there already and is left as it is", "Name another folder") from None
    typer.echo(f"Wrote {target}. Write your totes, lamps and wants into it, then:")
    typer.echo(f"  steadysow check -g {folder}    what is wrong or doubtful")
    typer.echo(f"  steadysow plan -g {folder}     what to sow, where and when")


def check(folder: Folder = HERE, today: Today = "") -> None:
    """Show every fault of the files; then what is doubtful, and cautions."""
    from steadysow.door.garden_folder import load
    from steadysow.outputs import terminal

    checked = load(folder).check(today)
    shown_on = console()
    terminal.sentences(shown_on, "Faults", ("None.",))
    terminal.sentences(shown_on, "Doubts", checked.doubts or ("None.",))
    if checked.light is not None and checked.water is not None:
        terminal.sentences(shown_on, "Light", checked.light or ("Nothing is planned.",))
        terminal.sentences(shown_on, "Water", checked.water or ("There is enough.",))
    show_sentences(shown_on, "Nutrient", checked.nutrient)
    terminal.sentences(shown_on, "Cautions", checked.cautions)


def schema(kind: Annotated[Literal["garden", "crop"], typer.Argument(metavar="garden|crop")]) -> None:
    """Print the JSON Schema of garden.yaml or of a crop profile, for editors."""
    from steadysow.inputs.schema import schema as schema_of

    print_json(schema_of(kind))
