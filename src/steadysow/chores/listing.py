"""All chores of a plan, day by day, and which of them are overdue.

Takes a garden, a verified plan and what the journal tells of totes; gives dated `Chore` values, each with a
key that lasts for as long as its batch or its filling of a tote.  They are never merged here: `merging` does so for
display.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace
from datetime import date, timedelta

from steadysow.amounts import day_text, listed
from steadysow.chores.batches import batch_chores
from steadysow.chores.chore import PLANNED_KINDS, Chore, minutes_of, order_of
from steadysow.chores.merging import merge
from steadysow.chores.rounds import brews, leavings, orders, timers, weekly_rounds
from steadysow.chores.totes import tote_chores
from steadysow.inputs.garden import Garden
from steadysow.inputs.journal import Fact
from steadysow.plan.plan import Plan
from steadysow.upkeep.feeds import list_feeds
from steadysow.upkeep.power import timer_settings
from steadysow.upkeep.supplies import things_needed
from steadysow.upkeep.water import keep_books

# What the journal is silent about is asked for that long, and then taken to have gone as planned [d].
OVERDUE_DAYS = 14

# How many of the busiest weeks are told.
_BUSIEST = 3


def list_chores(garden: Garden, plan: Plan, *, facts: Iterable[Fact] = ()) -> tuple[Chore, ...]:
    """List every chore of a plan, in the order of day and of work on that day.

    A batch that was lost keeps its sowing and the harvests it gave, and asks for no more.

    Parameters
    ----------
    garden, crops, plan
        The garden, and the plan with the journal applied.
    facts
        What the journal tells of totes.
    """
    facts = tuple(facts)
    books, batches = keep_books(garden, plan, facts), {batch.id: batch for batch in plan.batches}
    feeds = list_feeds(garden, books, plan.made_on)
    chores = [chore for batch in plan.batches for chore in batch_chores(garden, garden.crops[batch.crop], batch)]
    chores += tote_chores(garden, books, batches, facts, feeds)
    chores += weekly_rounds(garden, plan, books)
    chores += brews(garden, feeds)
    chores += leavings(garden, plan, books)
    # From the beginning on, so that a plan made later tells the same of what has happened.
    chores += timers(timer_settings(garden, plan, plan.starts_on, _last_on(plan)))
    if garden.stock:
        # What should have been ordered before is ordered on the day of planning, or of counting.
        from_on = max(plan.made_on, garden.stock_counted_on or plan.made_on)
        things = things_needed(garden, plan, books, from_on=from_on, until_on=_last_on(plan))
        chores += orders(garden, things, from_on)
    return tuple(sorted((replace(chore, minutes=minutes_of(chore)) for chore in chores), key=order_of))


def _last_on(plan: Plan) -> date:
    """Give the first day on which nothing of a plan happens any more."""
    left = (batch.cleared_on or batch.sown_on for batch in plan.batches)
    return max((plan.until_on, *left)) + timedelta(1)


def overdue(chores: Iterable[Chore], facts: Iterable[Fact], today: date) -> tuple[Chore, ...]:
    """Give the chores of past days of which the journal is silent, since it was begun.

    Nobody who keeps no journal is asked, nothing older than `OVERDUE_DAYS`, and no upkeep, since it shows in the tote.
    """
    begun_on = min((fact.on for fact in facts), default=today)
    since = max(begun_on, today - timedelta(OVERDUE_DAYS))
    return tuple(
        chore for chore in chores if chore.kind in PLANNED_KINDS and since <= chore.on < today and not chore.is_recorded
    )


def chore_minutes_by_week(chores: Iterable[Chore], starts_on: date) -> dict[date, float]:
    """Sum the minutes of each week, which goes by its first day; work done in one go counts once [min]."""
    weeks: defaultdict[date, float] = defaultdict(float)
    for chore in merge(chores):
        weeks[chore.on - (chore.on - starts_on) % timedelta(weeks=1)] += chore.minutes
    return dict(sorted(weeks.items()))


def busiest_weeks(chores: Iterable[Chore], starts_on: date, from_on: date) -> str:
    """Say how much work the weeks to come take, and which of them take most; empty where there is none."""
    weeks = {
        on: minutes for on, minutes in chore_minutes_by_week(chores, starts_on).items() if on + timedelta(6) >= from_on
    }
    if not weeks:
        return ""
    mean = sum(weeks.values()) / len(weeks)
    most = sorted(weeks.items(), key=lambda week: -week[1])[:_BUSIEST]
    named = listed(f"{day_text(on)} ({minutes:.0f})" for on, minutes in sorted(most))
    return f"With all upkeep a week takes about {mean:.0f} minutes (estimate); most take those of {named}."
