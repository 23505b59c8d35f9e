"""What already stands: begun batches, which are facts, and totes out of use.

Takes the plan in force and today; gives the batches the planner has to plan round.  Without a journal a batch whose sowing day has
come is taken to have been sown as planned, and likewise for its later stages.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from steadysow.planning.plan import Batch, Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Rest:
    """A tote out of use: no plant stands in it from `from_on` up to, not including, `until_on`."""

    tote: str
    from_on: date
    until_on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """The garden as it is today.

    Attributes
    ----------
    begun
        Batches sown before today, cut down to what has happened: `transplanted_on` is ``None`` while they wait in the nursery,
        `harvests` are those before today, `cleared_on` is set once they are done.
    rests
        Totes out of use.
    next_id
        The number of the next new batch.
    """

    begun: tuple[Batch, ...] = ()
    rests: tuple[Rest, ...] = ()
    next_id: int = 1


def standing_from(plan: Plan | None, today: date) -> Standing:
    """Say what stands today if everything went as planned.

    Parameters
    ----------
    plan
        The plan in force, or ``None`` for a new garden.
    today
        Today; what the plan has for today is not yet done.
    """
    if plan is None:
        return Standing()
    begun = tuple(_as_of(batch, today) for batch in plan.batches if batch.sown_on < today)
    return Standing(begun=begun, next_id=1 + max((batch.id for batch in plan.batches), default=0))


def _as_of(batch: Batch, today: date) -> Batch:
    if batch.transplanted_on is None or batch.transplanted_on >= today:
        return replace(batch, state="sown", transplanted_on=None, cleared_on=None, harvests=())
    harvests = tuple(harvest for harvest in batch.harvests if harvest.on < today)
    if batch.cleared_on is not None and batch.cleared_on < today:
        return replace(batch, state="done", harvests=harvests)
    return replace(batch, state="transplanted", cleared_on=None, harvests=harvests)
