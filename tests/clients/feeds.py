"""Calendars of chores made by hand, written by our own writer."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Final

from builders import a_plan
from steadysow.chores.chore import Chore
from steadysow.inputs.calendar_style import CalendarStyle
from steadysow.outputs.calendar_state import CalendarState
from steadysow.outputs.ical import calendar_bytes
from tiny import START, make_crop, make_garden, make_tote, make_want

NOW: Final = datetime(2026, 10, 3, 7, 30, 15, tzinfo=UTC)

GARDEN: Final = make_garden([make_tote("A", 8)], [make_want([make_crop()], 1)], weeks=60)
PLAN: Final = a_plan(garden="tiny", until_on=START + timedelta(weeks=60))


def sowing(number: int, title: str, *detail: str, tote: str = "") -> Chore:
    """Give the sowing of a batch, on a day of its own."""
    on: date = START + timedelta(days=number)
    return Chore(key=f"{number}/sow/1", kind="sow", on=on, latest_on=on, title=title, detail=detail, tote=tote)


def feed(chores: Iterable[Chore], style: CalendarStyle | None = None, *, name: str = "Kitchen, shelf") -> bytes:
    """Give the calendar of chores, as it is first published."""
    garden = replace(GARDEN, name=name, calendar=style or CalendarStyle())
    return calendar_bytes(garden, replace(PLAN, garden=name), tuple(chores), CalendarState(), NOW)[0]
