"""What already stands: begun batches, and totes that rest.

Takes the plan in force, the journal and today; gives the batches the planner has to plan round, the saved plan with the
journal applied, and a fault for each batch that no longer fits the garden file.  Where the journal is silent, a stage
whose day has passed is taken to have gone as planned.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta

from steadysow.amounts import day_text
from steadysow.errors import Fault, InputFaults
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden, carried
from steadysow.inputs.journal import JOURNAL_FILE, Fact, Journal
from steadysow.plan.batch import Batch, Harvest
from steadysow.plan.plan import Plan
from steadysow.plan.plan_file import PLAN_FILE
from steadysow.standing.batch_life import Freed, batch_as_recorded, sowing_came_from_journal
from steadysow.standing.harvests import answered, grams_of_plants, holes_now, is_elsewhere

_PLAN_AGAIN = "Put it back, or run `steadysow plan`"
_START_OVER = f"Put it back, or delete {PLAN_FILE} to start over"


@dataclass(frozen=True, slots=True, kw_only=True)
class Rest:
    """A tote out of use: nothing is planted into it from `from_on` up to, not including, `until_on`."""

    tote: str
    from_on: date
    until_on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """The garden as it is today.

    Attributes
    ----------
    begun
        Batches sown before today, or today if that is recorded, cut down to what has happened: `transplanted_on` is
        ``None`` while they wait in the nursery, `harvests` are past ones, `cleared_on` is set once they are done.
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
        Today. What is planned for today is not done yet.
    """
    if plan is None:
        return Standing()
    sown = (batch for batch in plan.batches if batch.sown_on < today and not sowing_came_from_journal(batch))
    begun = tuple(_as_planned(batch, today) for batch in sown)
    return Standing(begun=begun, next_id=1 + max((plan.last_id, *(batch.id for batch in plan.batches))))


def standing_as_recorded(plan: Plan | None, today: date, journal: Journal, *, garden: Garden) -> Standing:
    """Say what stands today by the journal and, where the journal is silent, by the plan.

    Parameters
    ----------
    plan
        The plan in force, or ``None`` for a new garden.
    today
        Today. What is planned for today is not done yet unless it is recorded.
    journal
        The journal; facts after today are left out.
    garden
        The garden.

    Raises
    ------
    InputFaults
        If a fact is not possible; it holds the faults of all batches.
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
            crop = _crop_of(number, batch, own, garden.crops)
            recorded, freed_here = batch_as_recorded(batch, own, garden=garden, crop=crop, today=today)
        except InputFaults as refused:
            faults += refused.faults
            continue
        if recorded is not None:
            begun.append(recorded)
            freed += freed_here
    if faults:
        raise InputFaults(tuple(faults))
    return Standing(
        begun=tuple(sorted(begun, key=lambda batch: batch.id)),
        rests=tuple(_rests(facts, today)),
        # No number is given twice, not even that of a batch whose facts were taken back.
        next_id=max(
            (silent.next_id, *(1 + fact.batch for fact in journal.facts if fact.batch and fact.kind != "note"))
        ),
        freed=tuple(freed),
    )


def plan_as_recorded(plan: Plan, standing: Standing, today: date) -> Plan:
    """Give the saved plan with the journal applied.

    Nothing is planned again: what is still to come keeps its day, and an overdue stage falls on today.

    Parameters
    ----------
    plan
        The plan in force.
    standing
        What stands today.
    today
        Today.
    """
    begun = {batch.id: batch for batch in standing.begun}
    known = {batch.id for batch in plan.batches}
    batches = [
        _still_to_come(batch, begun[batch.id], today) if batch.id in begun else batch
        for batch in plan.batches
        if batch.id in begun or not sowing_came_from_journal(batch)
    ]
    batches += [batch for batch in standing.begun if batch.id not in known]
    return replace(plan, batches=tuple(sorted(batches, key=lambda batch: batch.id)))


def strangers(garden: Garden, batches: Iterable[Batch]) -> tuple[Fault, ...]:
    """Give a fault for each batch whose crop, want, tote, hole or place is no longer in the garden file.

    Parameters
    ----------
    garden
        The garden as it is written now.
    batches
        The batches to look for in it.
    """
    return tuple(
        Fault(
            file=PLAN_FILE,
            line=None,
            field=f"batch {batch.id} ({batch.crop}, tote {batch.tote}, sown on {day_text(batch.sown_on)})",
            wrong=f"the garden no longer has {missing}",
            write=_PLAN_AGAIN if batch.state == "planned" else _START_OVER,
        )
        for batch in batches
        if batch.state not in ("done", "lost")
        for missing in _missing(garden, batch)
    )


def is_known(garden: Garden, batch: Batch) -> bool:
    """Say whether the garden still has the crop, want, tote, holes and place of a batch."""
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
        # A batch in the nursery can still go into any tote.
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
    """Give the crop of a batch.

    Raises
    ------
    InputFaults
        If the journal does not name it, or the garden no longer has it.
    """
    name = next((fact.crop for fact in facts if fact.kind == "sown" and fact.crop), batch.crop if batch else "")
    if name in crops:
        return crops[name]
    wrong = f"the garden no longer has {name}" if name else "the journal does not say what was sown"
    write = (
        "Put its profile back" if name else f"Write a fact `sown` with its crop into {JOURNAL_FILE}, or undo its facts"
    )
    fault = Fault(file=JOURNAL_FILE, line=None, field=f"batch {number}", wrong=wrong, write=write)
    raise InputFaults((fault,))


def _rests(facts: Iterable[Fact], today: date) -> Iterator[Rest]:
    """Give the rests that have not ended: each ends on its `until`, or when its tote is recorded as back."""
    resting: dict[str, Rest] = {}
    for fact in facts:
        rest = resting.get(fact.tote)
        if fact.kind == "resting":
            resting[fact.tote] = Rest(tote=fact.tote, from_on=fact.on, until_on=fact.until or date.max)
        elif fact.kind == "back" and rest is not None:
            resting[fact.tote] = replace(rest, until_on=min(rest.until_on, fact.on))
    yield from (rest for rest in resting.values() if rest.until_on > max(rest.from_on, today))


def _still_to_come(planned: Batch, begun: Batch, today: date) -> Batch:
    """Join what has happened to a batch with what is still planned for it; an overdue stage falls on today."""
    if begun.state in ("done", "lost"):
        return begun
    if planned.state == "lost" or planned.transplanted_on is None:
        # The plan has given it up.
        return planned
    to_come = list(_open_harvests(planned, begun))
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
    """Harvest overdue heads together with those of today."""
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


def _open_harvests(planned: Batch, begun: Batch) -> Iterator[Harvest]:
    """Give the planned harvests that have not happened, with the plants that are left and their part of the grams."""
    recorded = [each.on for each in begun.harvests if each.is_recorded]
    unrecorded = sum(not each.is_recorded for each in begun.harvests)
    answers = {*answered(recorded, planned.harvests).values()}
    cuts = [p for p, each in enumerate(planned.harvests) if p not in answers and each.kind != "head"][unrecorded:]
    heads = {hole for each in begun.harvests if each.kind == "head" for hole in each.holes}
    left, ours = sorted({*begun.holes} - heads), holes_now(planned.holes, begun.holes)
    moved = "moved" in begun.recorded and is_elsewhere(planned, begun.tote, begun.holes)
    gone = sum(each.plants for each in begun.harvests)
    for p, harvest in enumerate(planned.harvests):
        if harvest.kind == "head":
            own = tuple(hole for hole in (ours.get(hole, hole) for hole in harvest.holes) if hole in left)
            if moved:
                # Harvested heads count in the order of the plan.
                gone, skipped = max(0, gone - harvest.plants), min(gone, harvest.plants)
                own, left = tuple(left[: harvest.plants - skipped]), left[harvest.plants - skipped :]
        else:
            own = tuple(left) if p in cuts else ()
        if own and not harvest.is_recorded:
            yield replace(harvest, holes=own, plants=len(own), grams=grams_of_plants(harvest, len(own)))


def _as_planned(batch: Batch, today: date) -> Batch:
    """Give a batch as it stands today if all went as planned."""
    if batch.state == "lost":
        return batch
    if batch.transplanted_on is None or batch.transplanted_on >= today:
        return replace(batch, state="sown", transplanted_on=None, cleared_on=None, harvests=())
    harvests = tuple(harvest for harvest in batch.harvests if harvest.on < today)
    if batch.cleared_on is not None and batch.cleared_on < today:
        return replace(batch, state="done", harvests=harvests)
    return replace(batch, state="transplanted", cleared_on=None, harvests=harvests)
