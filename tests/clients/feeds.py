"""Calendars of chores made by hand, written by our own writer."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Final

from steadysow.chores.chore import Chore
from steadysow.inputs.calendar_style import CalendarStyle
from steadysow.outputs.calendar_state import CalendarState
from steadysow.outputs.ical import calendar_bytes
from steadysow.plan.plan import Plan, Proof
from tiny import START, make_crop, make_garden, make_tote, make_want

NOW: Final = datetime(2026, 10, 3, 7, 30, 15, tzinfo=UTC)

GARDEN: Final = make_garden([make_tote("A", 8)], [make_want([make_crop()], 1)], weeks=60)
PLAN: Final = Plan(
    garden="tiny",
    uuid="6f0a3a54-2f5e-4c8e-9d3e-0f6c1f0f3f01",
    starts_on=START,
    made_on=START,
    from_on=START,
    until_on=START + timedelta(weeks=60),
    proof=Proof(
        served_share=1.0,
        best_share=1.0,
        bound_share=1.0,
        served_share_all_weeks=1.0,
        status="optimal",
        seconds=0.1,
        deep_gaps=0,
        sowings=0,
        best_sowings=0,
    ),
    batches=(),
    weeks=(),
)


def sowing(number: int, title: str, *detail: str, tote: str = "") -> Chore:
    """Give the sowing of a batch, on a day of its own."""
    on: date = START + timedelta(days=number)
    return Chore(key=f"{number}/sow/1", kind="sow", on=on, latest_on=on, title=title, detail=detail, tote=tote)


def feed(chores: Iterable[Chore], style: CalendarStyle | None = None, *, name: str = "Kitchen, shelf") -> bytes:
    """Give the calendar of chores, as it is first published."""
    garden = replace(GARDEN, name=name, calendar=style or CalendarStyle())
    return calendar_bytes(garden, replace(PLAN, garden=name), tuple(chores), CalendarState(), NOW)[0]
