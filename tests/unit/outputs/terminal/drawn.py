"""What a view looks like on a plain terminal, for the tests of all views."""

from __future__ import annotations

import io
from collections.abc import Callable
from datetime import date

from rich.console import Console

from steadysow.inputs.garden import Garden
from steadysow.outputs import terminal
from steadysow.plan.plan import Plan

WIDTHS = (80, 120)
Draw = Callable[[Console], None]


def drawn(draw: Draw, width: int = 100) -> str:
    """Give the text that a view draws on a plain terminal of some width."""
    stream = io.StringIO()
    draw(Console(width=width, file=stream))
    return stream.getvalue()


def words(text: str) -> str:
    """Give a text without its line breaks and alignment."""
    return " ".join(text.split())


def all_views(garden: Garden, plan: Plan) -> dict[str, Draw]:
    """Give every view of a plan and its crops by name."""
    return {
        "sowings": lambda console: terminal.sowings(console, plan),
        "totes": lambda console: terminal.totes(console, garden, plan),
        "lids": lambda console: terminal.lids(console, garden, plan, date(2026, 11, 10), {}),
        "harvest": lambda console: terminal.harvest(console, garden, plan),
        "proof": lambda console: terminal.proof(console, plan, ("Lettuce makes 30 g a mol of light.",)),
        "batches": lambda console: terminal.batches(console, plan),
        "crop list": lambda console: terminal.crop_list(console, garden.crops),
        "crop profile": lambda console: terminal.crop_profile(console, garden.crops["dwarf tomato"]),
    }
