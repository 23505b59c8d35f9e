"""Lamps and the days on which plants stand under them.

Takes a garden and a plan; gives a `LitPlace` for each lamp in use.  Hides when a batch stands in its tote and when it
waits in the nursery.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from steadysow.inputs.garden import Garden, Lamp, Place
from steadysow.plan.batch import Batch
from steadysow.plan.plan import Plan

_ONE_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class LitPlace:
    """A lamp, its place, and the days on which plants stand under it.

    Attributes
    ----------
    kind
        Whether it is a lamp of the garden or the nursery's own.
    place, lamp
        The place and its lamp.
    days
        The days on which plants stand there.
    """

    kind: Literal["lamp", "nursery"]
    place: Place
    lamp: Lamp
    days: frozenset[date]


def lit_places(garden: Garden, plan: Plan, until_on: date) -> Iterator[LitPlace]:
    """Give the lamps with plants under them before a day: those of the garden in its order, then the nursery's own.

    Parameters
    ----------
    garden
        The garden.
    plan
        The plan with the journal applied.
    until_on
        The day after the last one that counts.
    """
    nursery = garden.nursery.place
    for place in garden.places:
        days = {day for batch in plan.batches if batch.place == place.name for day in days_in_tote(batch, until_on)}
        if place == nursery:
            days |= {day for batch in plan.batches for day in _days_in_nursery(batch, until_on)}
        if place.lamp and days:
            yield LitPlace(kind="lamp", place=place, lamp=place.lamp, days=frozenset(days))
    days = {day for batch in plan.batches for day in _days_in_nursery(batch, until_on)}
    if nursery not in garden.places and nursery.lamp and days:
        yield LitPlace(kind="nursery", place=nursery, lamp=nursery.lamp, days=frozenset(days))


def days_in_tote(batch: Batch, until_on: date) -> Iterator[date]:
    """Give the days before `until_on` on which a batch stands in its tote, without the day on which it is cleared."""
    if batch.transplanted_on is not None:
        yield from days_between(batch.transplanted_on, min(batch.cleared_on or until_on, until_on))


def _days_in_nursery(batch: Batch, until_on: date) -> Iterator[date]:
    """Give the days before `until_on` on which a batch waits in the nursery.

    There are none for a batch that is sown in its pot, or that was lost in the nursery: nobody knows how long it was
    there.
    """
    if batch.transplanted_on is not None:
        yield from days_between(batch.sown_on, min(batch.transplanted_on, until_on))


def days_between(first_on: date, until_on: date) -> Iterator[date]:
    """Give the days of a span, half open."""
    return (first_on + number * _ONE_DAY for number in range((until_on - first_on).days))
