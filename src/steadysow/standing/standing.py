"""What already stands: begun batches, which are facts, and totes out of use.

Takes the plan in force, the journal's facts and today; gives the batches the planner has to plan round, the plan as it
reads with what was told, and a fault for each batch that the garden file knows no more.  Where the journal is silent, a
batch whose sowing day has come is taken to have been sown as planned, and likewise for its later stages.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta

from steadysow.errors import Fault, InputFaults
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden, carried
from steadysow.inputs.journal import JOURNAL_FILE, Fact, Journal
from steadysow.plan.batch import Batch, Harvest
from steadysow.plan.plan import Plan
from steadysow.plan.plan_file import PLAN_FILE
from steadysow.standing.batch_life import Freed, answered, batch_as_recorded, holes_now, is_elsewhere, part, unsown

_PLAN_ANEW = "Put it back, or run `steadysow plan`"
_START_OVER = f"Put it back, or delete {PLAN_FILE} to start over"


@dataclass(frozen=True, slots=True, kw_only=True)
class Rest:
    """A tote out of use: it takes no batch from `from_on` up to, not including, `until_on`."""

    tote: str
    from_on: date
    until_on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """The garden as it is today.

    Attributes
    ----------
    begun
        Batches sown before today, or today if that was told, cut down to what has happened: `transplanted_on` is
        ``None`` while they wait in the nursery, `harvests` are those that have been, `cleared_on` is set once they are
        done.
    rests
        Totes out of use.
    next_id
        The number of the next new batch.
    freed
        Holes whose plants were lost, or moved away.
    """

    begun: tuple[Batch, ...] = ()
    rests: tuple[Rest, ...] = ()
    next_id: int = 1
    freed: tuple[Freed, ...] = ()


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
    begun = (_as_of(batch, today) for batch in plan.batches if batch.sown_on < today and not unsown(batch))
    return Standing(begun=tuple(begun), next_id=1 + max((plan.last_id, *(batch.id for batch in plan.batches))))


def standing_as_recorded(plan: Plan | None, today: date, journal: Journal, *, garden: Garden) -> Standing:
    """Say what stands today by what was told and, where nothing was, by what was planned.

    Parameters
    ----------
    plan
        The plan in force, or ``None`` for a new garden.
    today
        Today; what the plan has for today is not yet done unless it was told.
    journal
        What was told; what lies after today is left out.
    garden
        The garden.

    Raises
    ------
    InputFaults
        If facts cannot be.
    """
    facts = tuple(fact for fact in journal.standing if fact.on <= today)
    by_batch: dict[int, list[Fact]] = defaultdict(list)
    for fact in facts:
        if fact.batch is not None and fact.kind != "note":
            by_batch[fact.batch].append(fact)
    planned = {batch.id: batch for batch in plan.batches} if plan is not None else {}
    silent = standing_from(plan, today)
    begun = [batch for batch in silent.begun if batch.id not in by_batch]
    freed: list[Freed] = []
    faults: list[Fault] = []
    for number, own in by_batch.items():
        batch = planned.get(number)
        try:
            told, gone = batch_as_recorded(
                batch, own, garden=garden, crop=_crop_of(number, batch, own, garden.crops), today=today
            )
        except InputFaults as refused:
            faults += refused.faults
            continue
        if told is not None:
            begun.append(told)
            freed += gone
    if faults:
        raise InputFaults(tuple(faults))
    return Standing(
        begun=tuple(sorted(begun, key=lambda batch: batch.id)),
        rests=tuple(_rests(facts, today)),
        # No number is given twice, not even one whose facts were taken back.
        next_id=max(
            (silent.next_id, *(1 + fact.batch for fact in journal.facts if fact.batch and fact.kind != "note"))
        ),
        freed=tuple(freed),
    )


def plan_as_recorded(plan: Plan, standing: Standing, today: date) -> Plan:
    """Give the plan as it reads with what was told since: what is gone asks for nothing more, what is done is done.

    Nothing is planned anew; what is still to come of a batch keeps its day.
    """
    begun = {batch.id: batch for batch in standing.begun}
    known = {batch.id for batch in plan.batches}
    batches = [
        _still_to_come(batch, begun[batch.id], today) if batch.id in begun else batch
        for batch in plan.batches
        if batch.id in begun or not unsown(batch)
    ]
    batches += [batch for batch in standing.begun if batch.id not in known]
    return replace(plan, batches=tuple(sorted(batches, key=lambda batch: batch.id)))


def strangers(garden: Garden, batches: Iterable[Batch]) -> tuple[Fault, ...]:
    """Say which batches the garden file knows no more: their crop, want, tote, hole or place was taken out of it.

    Parameters
    ----------
    garden
        The garden as it is written now.
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
        for missing in _missing(garden, batch)
    )


def is_known(garden: Garden, batch: Batch) -> bool:
    """Say whether the garden still has all that a batch names; history need not be known any more."""
    return not any(_missing(garden, batch))


def _missing(garden: Garden, batch: Batch) -> Iterator[str]:
    serves = any(
        want.name == batch.want and batch.crop in {serving.crop for serving in want.servings} for want in garden.wants
    )
    tote = next((tote for tote in garden.totes if tote.name == batch.tote), None)
    if batch.crop not in garden.crops:
        yield f'the crop "{batch.crop}"'
    elif not serves:
        yield f'{batch.crop} for the want "{batch.want}"'
    if not batch.tote and batch.transplanted_on is None:
        # What waits in the nursery may still go into any.
        return
    if tote is None:
        yield f'the tote "{batch.tote}"'
    elif max(batch.holes, default=0) > tote.holes:
        yield f"hole {max(batch.holes)} of tote {batch.tote}"
    elif batch.crop in garden.crops and not carried(garden.crops[batch.crop], tote):
        yield f"a tote {batch.tote} that can hold {batch.crop}"
    if batch.place not in {place.name for place in garden.places}:
        yield f'the place "{batch.place}"'


def _crop_of(number: int, batch: Batch | None, facts: Iterable[Fact], crops: Mapping[str, Crop]) -> Crop:
    """Give the crop of a batch, which a hand-edited journal or file may not know."""
    name = next((fact.crop for fact in facts if fact.kind == "sown" and fact.crop), batch.crop if batch else "")
    if name in crops:
        return crops[name]
    wrong = f"the garden no longer has {name}" if name else "nothing tells what was sown"
    write = "Put its profile back" if name else f"Write a fact `sown` with its crop into {JOURNAL_FILE}, or undo these"
    fault = Fault(file=JOURNAL_FILE, line=None, field=f"batch {number}", wrong=wrong, write=write)
    raise InputFaults((fault,))


def _rests(facts: Iterable[Fact], today: date) -> Iterator[Rest]:
    """Give the rests of totes that last: each until the day that was told, or until the tote is told to be back."""
    resting: dict[str, Rest] = {}
    for fact in facts:
        rest = resting.get(fact.tote)
        if fact.kind == "resting":
            resting[fact.tote] = Rest(tote=fact.tote, from_on=fact.on, until_on=fact.until or date.max)
        elif fact.kind == "back" and rest is not None:
            resting[fact.tote] = replace(rest, until_on=min(rest.until_on, fact.on))
    yield from (rest for rest in resting.values() if rest.until_on > max(rest.from_on, today))


def _still_to_come(planned: Batch, begun: Batch, today: date) -> Batch:
    """Join what has happened to a batch with what its plan still has for it; what is overdue is for today."""
    if begun.state in ("done", "lost"):
        return begun
    if planned.state == "lost" or planned.transplanted_on is None:
        # The plan has given it up.
        return planned
    to_come = list(_open(planned, begun))
    late = timedelta(0)
    if begun.transplanted_on is None:
        late = max(late, today - planned.transplanted_on)
        begun = replace(begun, transplanted_on=planned.transplanted_on + late)
    elif to_come and to_come[0].kind != "head":
        late = max(late, today - to_come[0].on)
    to_come = [replace(each, on=each.on + late, latest_on=each.latest_on + late) for each in to_come]
    if planned.harvests and planned.harvests[0].kind == "head":
        to_come = list(_together(to_come, today))
    numbered = (replace(each, number=number) for number, each in enumerate(to_come, start=1 + len(begun.harvests)))
    over_on = to_come[-1].on if to_come else max(today, (planned.cleared_on or today) + late)
    return replace(begun, harvests=(*begun.harvests, *numbered), cleared_on=over_on)


def _together(heads: Iterable[Harvest], today: date) -> Iterator[Harvest]:
    """Take overdue heads together with those that are for today."""
    by_day: dict[date, Harvest] = {}
    for each in heads:
        on = max(today, each.on)
        before = by_day.get(on, replace(each, on=on, latest_on=on, holes=(), plants=0, grams=0.0))
        by_day[on] = replace(
            before,
            latest_on=max(before.latest_on, each.latest_on),
            holes=tuple(sorted((*before.holes, *each.holes))),
            plants=before.plants + each.plants,
            grams=before.grams + each.grams,
        )
    yield from by_day.values()


def _open(planned: Batch, begun: Batch) -> Iterator[Harvest]:
    """Give the planned harvests that have not happened, of the plants that are left, with their part of the grams."""
    told = [each.on for each in begun.harvests if each.is_recorded]
    silent = sum(not each.is_recorded for each in begun.harvests)
    answers = {*answered(told, planned.harvests).values()}
    cuts = [p for p, each in enumerate(planned.harvests) if p not in answers and each.kind != "head"][silent:]
    heads = {hole for each in begun.harvests if each.kind == "head" for hole in each.holes}
    left, ours = sorted({*begun.holes} - heads), holes_now(planned.holes, begun.holes)
    moved = "moved" in begun.recorded and is_elsewhere(planned, begun.tote, begun.holes)
    gone = sum(each.plants for each in begun.harvests)
    for p, harvest in enumerate(planned.harvests):
        if harvest.kind == "head":
            own = tuple(hole for hole in (ours.get(hole, hole) for hole in harvest.holes) if hole in left)
            if moved:
                # In the order of the plan, without those that were taken.
                gone, skipped = max(0, gone - harvest.plants), min(gone, harvest.plants)
                own, left = tuple(left[: harvest.plants - skipped]), left[harvest.plants - skipped :]
        else:
            own = tuple(left) if p in cuts else ()
        if own and not harvest.is_recorded:
            yield replace(harvest, holes=own, plants=len(own), grams=part(harvest, len(own)))


def _as_of(batch: Batch, today: date) -> Batch:
    if batch.state == "lost":
        return batch
    if batch.transplanted_on is None or batch.transplanted_on >= today:
        return replace(batch, state="sown", transplanted_on=None, cleared_on=None, harvests=())
    harvests = tuple(harvest for harvest in batch.harvests if harvest.on < today)
    if batch.cleared_on is not None and batch.cleared_on < today:
        return replace(batch, state="done", harvests=harvests)
    return replace(batch, state="transplanted", cleared_on=None, harvests=harvests)
