"""What already stands: begun batches, which are facts, and totes out of use.

Takes the plan in force and today; gives the batches the planner has to plan round, and a fault for each that the garden
file knows no more.  Without a journal a batch whose sowing day has come is taken to have been sown as planned, and
likewise for its later stages.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date

from steadysow.errors import Fault
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden, carried
from steadysow.planning.plan import PLAN_FILE, Batch, Plan

_PLAN_ANEW = "Put it back, or run `steadysow plan`"
_START_OVER = f"Put it back, or delete {PLAN_FILE} to start over"


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
        Batches sown before today, cut down to what has happened: `transplanted_on` is ``None`` while they wait in the
        nursery, `harvests` are those before today, `cleared_on` is set once they are done.
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


def strangers(garden: Garden, crops: Mapping[str, Crop], batches: Iterable[Batch]) -> tuple[Fault, ...]:
    """Say which batches the garden file knows no more: their crop, want, tote, hole or place was taken out of it.

    Parameters
    ----------
    garden, crops
        The garden as it is written now, and the crops by name.
    batches
        Batches that must have their place in it.
    """
    return tuple(
        Fault(
            file=PLAN_FILE,
            line=None,
            field=f"batch {batch.id} ({batch.crop}, tote {batch.tote}, sown on {batch.sown_on})",
            wrong=f"the garden no longer has {missing}",
            write=_PLAN_ANEW if batch.state == "planned" else _START_OVER,
        )
        for batch in batches
        if batch.state not in ("done", "lost")
        for missing in _missing(garden, crops, batch)
    )


def is_known(garden: Garden, crops: Mapping[str, Crop], batch: Batch) -> bool:
    """Say whether the garden still has all that a batch names; history need not be known any more."""
    return not any(_missing(garden, crops, batch))


def _missing(garden: Garden, crops: Mapping[str, Crop], batch: Batch) -> Iterator[str]:
    serves = any(
        want.name == batch.want and batch.crop in {serving.crop for serving in want.servings} for want in garden.wants
    )
    tote = next((tote for tote in garden.totes if tote.name == batch.tote), None)
    if batch.crop not in crops:
        yield f'the crop "{batch.crop}"'
    elif not serves:
        yield f'{batch.crop} for the want "{batch.want}"'
    if tote is None:
        yield f'the tote "{batch.tote}"'
    elif max(batch.holes, default=0) > tote.holes:
        yield f"hole {max(batch.holes)} of tote {batch.tote}"
    elif batch.crop in crops and not carried(crops[batch.crop], tote):
        yield f"a tote {batch.tote} that can hold {batch.crop}"
    if batch.place not in {place.name for place in garden.places}:
        yield f'the place "{batch.place}"'


def _as_of(batch: Batch, today: date) -> Batch:
    if batch.state == "lost":
        return batch
    if batch.transplanted_on is None or batch.transplanted_on >= today:
        return replace(batch, state="sown", transplanted_on=None, cleared_on=None, harvests=())
    harvests = tuple(harvest for harvest in batch.harvests if harvest.on < today)
    if batch.cleared_on is not None and batch.cleared_on < today:
        return replace(batch, state="done", harvests=harvests)
    return replace(batch, state="transplanted", cleared_on=None, harvests=harvests)
