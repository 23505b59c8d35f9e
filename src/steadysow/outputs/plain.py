"""Chores as plain text.  People ask for it every day, so it needs no library and starts at once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from itertools import groupby
from textwrap import wrap

from steadysow.amounts import counted, day_text
from steadysow.chores.chore import Chore
from steadysow.chores.merging import merge

# From here on, hours are easier to read [min].
_LONG_MINUTES = 300


def chores_text(chores: Iterable[Chore], today: date, width: int = 80) -> str:
    """Give chores day by day with their details; chores that are done together are shown as one.

    Parameters
    ----------
    chores
        Chores of any days.
    today
        The date of today.
    width
        The greatest length of a line, in characters.
    """
    return "\n".join(_lines(merge(chores), today, width))


def overdue_text(chores: Iterable[Chore], width: int = 80) -> str:
    """Give the titles of past chores that the journal says nothing about, and what to do about them."""
    lines = []
    for chore in merge(chores):
        lines += wrap(f"{day_text(chore.on)}: {chore.title}", width, initial_indent="  ", subsequent_indent="    ")
    remedy = (
        "steadysow assumes that you did them as planned. To confirm it, run `steadysow record done overdue`."
        " If something went differently, record it for its batch, then run `steadysow rebalance`."
    )
    return "\n".join(
        ["Overdue, or not recorded", *lines, *wrap(remedy, width, initial_indent="    ", subsequent_indent="    "), ""]
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
