"""Chores as plain lines: what is asked for every day, so it starts at once.

Takes chores; gives the text for a terminal of some width, or for a file or a pipe.  Needs no library.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from itertools import groupby
from textwrap import wrap

from steadysow.amounts import counted, day_text
from steadysow.chores.chore import Chore
from steadysow.chores.merging import merge

# From here on hours are easier to read.
_LONG_MINUTES = 300


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


def overdue_text(chores: Iterable[Chore], width: int = 80) -> str:
    """Give chores of past days that nothing was told of, by their titles alone, and how to answer for them."""
    lines = []
    for chore in merge(chores):
        lines += wrap(f"{day_text(chore.on)}: {chore.title}", width, initial_indent="  ", subsequent_indent="    ")
    told = (
        "They are taken to have been done as planned. `steadysow record done overdue` says so;"
        " what went otherwise, record by its batch, then `steadysow rebalance`."
    )
    return "\n".join(
        ["Overdue, or not recorded", *lines, *wrap(told, width, initial_indent="    ", subsequent_indent="    "), ""]
    )


def _lines(merged: tuple[Chore, ...], today: date, width: int) -> Iterator[str]:
    if not merged:
        yield "Nothing to do."
    for on, day in groupby(merged, key=lambda chore: chore.on):
        chores = tuple(day)
        minutes = sum(chore.minutes for chore in chores)
        yield from wrap(f"{day_text(on)}{_days_from(today, on)}, about {counted(round(minutes), 'minute')}", width)
        for chore in chores:
            yield from wrap(chore.title, width, initial_indent="  ", subsequent_indent="    ")
            for line in chore.detail:
                yield from wrap(line, width, initial_indent="      ", subsequent_indent="      ")
        yield ""
    if len({chore.on for chore in merged}) > 1:
        yield f"All of it takes about {_duration(sum(chore.minutes for chore in merged))}."


def _duration(minutes: float) -> str:
    return counted(round(minutes), "minute") if minutes < _LONG_MINUTES else counted(round(minutes / 60), "hour")


def _days_from(today: date, on: date) -> str:
    days = (on - today).days
    near = {-1: " (yesterday)", 0: " (today)", 1: " (tomorrow)"}
    return near.get(days, f" ({-days} days ago)" if days < 0 else "")
