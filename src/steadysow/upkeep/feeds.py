"""Feeds: on which days totes get nutrient, how much of it together, and when it is brewed.

Takes a garden and the water books of its totes; gives a `Feed` for each day.  Hides how early a brew is begun.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby

from steadysow.inputs.garden import Garden
from steadysow.upkeep.nutrients import Mix, mix
from steadysow.upkeep.water import Refill, WaterBook

# A brew may be begun this much earlier if nobody is at home on its day.  After longer it goes foul (estimate) [d].
MOST_WAIT_DAYS = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Feed:
    """What goes into totes on one day, as one mix.

    Attributes
    ----------
    on
        The day.
    brew_on
        The day on which its brew is begun.  That is the day of the feed if nobody is at home in time, or if the day
        would be before the plan.  ``None`` if nothing is brewed.
    ready_on
        The day on which the brew is strained and goes in: the day of the feed, or a later day at home if the brew was
        begun on the day of the feed.
    mix
        What to take for all totes together.
    parts
        The books, each with its refill of that day.
    """

    on: date
    brew_on: date | None
    ready_on: date
    mix: Mix
    parts: tuple[tuple[WaterBook, Refill], ...]

    @property
    def is_late(self) -> bool:
        """Whether the brew is ready only after the day of the feed."""
        return self.ready_on > self.on


def list_feeds(garden: Garden, books: Sequence[WaterBook], first_on: date) -> tuple[Feed, ...]:
    """List the feeds of all totes by day, with one mix for all totes of a day.

    Parameters
    ----------
    garden
        The garden.
    books
        The water book of each filling.
    first_on
        The day the plan was made.  No brew for a later feed is begun before it.
    """
    recipe = garden.recipe
    fed = [(book, refill) for book in books for refill in book.refills if refill.is_fed]
    feeds = []
    for on, each in groupby(sorted(fed, key=lambda pair: pair[1].on), key=lambda pair: pair[1].on):
        parts = tuple(each)
        brew_on = None if recipe.steep_hours is None else _brew_on(garden, on, recipe.steep_hours, first_on)
        ready_on = on
        if brew_on == on and recipe.steep_hours is not None:
            ready_on = _first_at_home(garden, on + _steeping(recipe.steep_hours))
        litres = sum(refill.ml for _, refill in parts) / 1000
        feeds.append(Feed(on=on, brew_on=brew_on, ready_on=ready_on, mix=mix(recipe, litres), parts=parts))
    return tuple(feeds)


def _brew_on(garden: Garden, on: date, steep_hours: float, first_on: date) -> date:
    days = (on - _steeping(steep_hours) - timedelta(wait) for wait in range(MOST_WAIT_DAYS + 1))
    # Feeds before the plan are past: their brews may be begun before it too.
    possible = (day for day in days if garden.at_home(day) and (day >= first_on or on < first_on))
    return next(possible, on)


def _first_at_home(garden: Garden, from_on: date) -> date:
    while not garden.at_home(from_on):
        from_on += timedelta(1)
    return from_on


def _steeping(steep_hours: float) -> timedelta:
    """Give the whole days from beginning a brew to straining it, at least one night."""
    return timedelta(max(1, math.ceil(steep_hours / 24)))
