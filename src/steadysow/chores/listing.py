"""All chores of a plan, day by day, and which of them are overdue.

Takes a garden, a verified plan and the journal's facts about totes; gives dated `Chore` values, each with a key that
lasts as long as its batch, or its filling of a tote.  Chores are not merged here: `merging` does so for display.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
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
from steadysow.upkeep.supplies import things_needed
from steadysow.upkeep.timers import timer_settings
from steadysow.upkeep.water import WaterBook, keep_books

# A chore that the journal does not have is asked for this long; then it is assumed to have gone as planned [d].
OVERDUE_DAYS = 14

# How many of the busiest weeks are named.
_BUSIEST = 3


def list_chores(
    garden: Garden, plan: Plan, *, facts: Iterable[Fact] = (), books: Sequence[WaterBook] | None = None
) -> tuple[Chore, ...]:
    """List every chore of a plan by day, in the order of work on each day.

    A lost batch has only its sowing and the harvests that it gave.

    Parameters
    ----------
    garden
        The garden.
    plan
        The plan with the journal applied.
    facts
        The journal's facts about totes.
    books
        The water books of this very plan and these facts, if the caller has kept them already.
    """
    facts = tuple(facts)
    if books is None:
        books = keep_books(garden, plan, facts)
    batches = {batch.id: batch for batch in plan.batches}
    feeds = list_feeds(garden, books, plan.made_on)
    chores = [chore for batch in plan.batches for chore in batch_chores(garden, garden.crops[batch.crop], batch)]
    chores += tote_chores(garden, books, batches, facts, feeds)
    chores += weekly_rounds(garden, plan, books)
    chores += brews(garden, feeds)
    chores += leavings(garden, plan, books)
    # From the beginning of the garden on, so that a later plan gives the same chores for past days.
    chores += timers(timer_settings(garden, plan, plan.starts_on, _last_on(plan)))
    if garden.stock:
        # Orders that are late are due on the day of planning, or of counting the stock.
        from_on = max(plan.made_on, garden.stock_counted_on or plan.made_on)
        things = things_needed(garden, plan, books, from_on=from_on, until_on=_last_on(plan))
        chores += orders(garden, things, from_on)
    return tuple(sorted((replace(chore, minutes=minutes_of(chore)) for chore in chores), key=order_of))


def _last_on(plan: Plan) -> date:
    """Give the day after the last one on which anything of a plan happens."""
    left = (batch.cleared_on or batch.sown_on for batch in plan.batches)
    return max((plan.until_on, *left)) + timedelta(1)


def overdue(chores: Iterable[Chore], facts: Iterable[Fact], today: date) -> tuple[Chore, ...]:
    """Give the chores of past days that the journal does not have.

    Leaves out chores from before the journal was begun or older than `OVERDUE_DAYS`, and all upkeep, since one look at
    the tote shows it.  Without a journal there are none.

    Parameters
    ----------
    chores
        The chores of the plan.
    facts
        All facts of the journal.
    today
        Today.
    """
    begun_on = min((fact.on for fact in facts), default=today)
    since = max(begun_on, today - timedelta(OVERDUE_DAYS))
    return tuple(
        chore for chore in chores if chore.kind in PLANNED_KINDS and since <= chore.on < today and not chore.is_recorded
    )


def chore_minutes_by_week(chores: Iterable[Chore], starts_on: date) -> dict[date, float]:
    """Sum the minutes of each week, by its first day; work that is done in one go counts once [min]."""
    weeks: defaultdict[date, float] = defaultdict(float)
    for chore in merge(chores):
        weeks[chore.on - (chore.on - starts_on) % timedelta(weeks=1)] += chore.minutes
    return dict(sorted(weeks.items()))


def busiest_weeks(chores: Iterable[Chore], starts_on: date, from_on: date) -> str:
    """Say how much work the weeks to come take, and which are the busiest; empty if there is no work."""
    weeks = {
        on: minutes for on, minutes in chore_minutes_by_week(chores, starts_on).items() if on + timedelta(6) >= from_on
    }
    if not weeks:
        return ""
    mean = sum(weeks.values()) / len(weeks)
    most = sorted(weeks.items(), key=lambda week: -week[1])[:_BUSIEST]
    named = listed(f"{day_text(on)} ({minutes:.0f} min)" for on, minutes in sorted(most))
    begin = "week begins" if len(most) == 1 else "weeks begin"
    return f"A week takes about {mean:.0f} minutes with all upkeep (estimate). The busiest {begin} on {named}."
