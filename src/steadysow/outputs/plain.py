"""Chores as plain lines: what is asked for every day, so it starts at once.

Takes chores; gives the text for a terminal of some width, or for a file or a pipe.  Needs no library.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from itertools import groupby
from textwrap import wrap

from steadysow.chores import Chore, day_text, merge


def chores_text(chores: Iterable[Chore], today: date, width: int = 80) -> str:
    """Give chores by day, those that are done in one go together, with what to know about each.

    Parameters
    ----------
    chores
        Chores of any days.
    today
        Tells which day is today, and how far off the others are.
    width
        Most characters a line.
    """
    return "\n".join(_lines(merge(chores), today, width))


def _lines(merged: tuple[Chore, ...], today: date, width: int) -> Iterator[str]:
    if not merged:
        yield "Nothing to do."
    for on, day in groupby(merged, key=lambda chore: chore.on):
        yield f"{day_text(on)}{_days_from(today, on)}"
        for chore in day:
            yield from wrap(chore.title, width, initial_indent="  ", subsequent_indent="    ")
            for line in chore.detail:
                yield from wrap(line, width, initial_indent="      ", subsequent_indent="      ")
        yield ""


def _days_from(today: date, on: date) -> str:
    days = (on - today).days
    near = {-1: " (yesterday)", 0: " (today)", 1: " (tomorrow)"}
    return near.get(days, f" ({-days} days ago)" if days < 0 else "")
