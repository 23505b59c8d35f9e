"""What all views share: tables, titles, sentences, and short forms of days."""

from __future__ import annotations

import textwrap
from datetime import date
from typing import Literal

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from steadysow.amounts import day_text

# From this width on, tables with many columns keep two spaces between them.
ROOMY = 100
SYSTEM_NAMES = {"dwc": "deep water culture", "kratky": "still water"}


def sentences(console: Console, title: str, lines: tuple[str, ...]) -> None:
    """Show sentences below each other, with a dash before each if there are several."""
    print_title(console, title)
    for line in lines:
        print_sentence(console, line, bullet="- " if len(lines) > 1 else "")
    console.print()


def new_table(*headers: str, right: tuple[int, ...] = (), wrap: tuple[int, ...] = (), tight: bool = False) -> Table:
    """Begin a table.

    Parameters
    ----------
    headers
        The heading of each column.
    right
        Columns that are aligned to the right, counted from 0.
    wrap
        Columns whose cells may break into several lines where the width runs out.  All others stay on one line.
    tight
        Whether only one space separates the columns.
    """
    table = Table(
        box=box.SIMPLE_HEAD, show_edge=False, pad_edge=False, padding=(0, 0 if tight else 1), collapse_padding=True
    )
    for index, header in enumerate(headers):
        justify: Literal["left", "right"] = "right" if index in right else "left"
        table.add_column(header, justify=justify, overflow="fold", no_wrap=index not in wrap)
    return table


def add_row(table: Table, *cells: str) -> None:
    """Add a row, exactly as written: rich would take square brackets in a name for markup."""
    table.add_row(*(Text(cell) for cell in cells))


def print_title(console: Console, title: str) -> None:
    """Print the title of a view."""
    console.print(Text(title, style="bold"))


def print_sentence(console: Console, sentence: str, bullet: str = "") -> None:
    """Print a sentence within the width of the console; further lines are indented under the first word."""
    # Without a no-break space, a line could begin with the percentage sign of the number before it.
    text = sentence.replace(" %", "\N{NO-BREAK SPACE}%")
    lines = textwrap.wrap(text, console.width, initial_indent=bullet, subsequent_indent=" " * len(bullet))
    console.print(Text("\n".join(lines).replace("\N{NO-BREAK SPACE}", " ")))


def print_table(console: Console, title: str, table: Table, if_empty: str) -> None:
    """Print a table under its title, or a sentence if the table has no rows."""
    print_title(console, title)
    if table.row_count:
        console.print(table)
    else:
        print_sentence(console, if_empty)
    console.print()


def short_day(day: date | None) -> str:
    """Give a day without its weekday, such as ``5 Dec``; nothing for no day."""
    return "" if day is None else day_text(day).split(maxsplit=1)[1]
