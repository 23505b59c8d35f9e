"""Options that several commands share."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

# What typer, like a shell, makes of Ctrl-C.
INTERRUPTED = 130

HERE = Path()

Folder = Annotated[
    Path,
    typer.Option(
        "-g",
        "--garden",
        metavar="DIR",
        envvar="STEADYSOW_GARDEN",
        show_default="the current folder",
        help="The garden's folder.",
    ),
]
Today = Annotated[
    str,
    typer.Option("--today", metavar="DATE", help="Take another day for today, such as 2026-12-05, 5 dec or tomorrow."),
]
Seconds = Annotated[float, typer.Option("--seconds", min=1, help="Longest time for solving.")]
AsPublished = Annotated[
    bool, typer.Option("--as-published", help="Plan by the profiles alone, without what this garden's record says.")
]
AsJson = Annotated[bool, typer.Option("--json", help="Print JSON and nothing else.")]
