"""From placed strands to the batches of a plan.

Takes what naming placed, and the batches of the old plan; gives `Batch` values with dates, holes, harvests, cells,
seeds and lasting numbers.  A begun batch keeps its number, and so does a planned batch that the old plan has just so.
A new batch gets the next free number.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date

from steadysow.growth.daylight import conditions_at
from steadysow.growth.germination import cells_for, percent_now, seeds_a_cell
from steadysow.growth.timeline import emerges_on
from steadysow.plan.batch import Batch, Harvest
from steadysow.search.candidates import Candidates
from steadysow.search.naming import Placed
from steadysow.search.strands import Strand
from steadysow.standing.standing import Standing

# Seedlings show within this time after sowing, or never [d].
SEEDBED_DAYS = 400

# Stands for the number of a batch that has none yet.
_UNNUMBERED = 0


def assemble(
    candidates: Candidates,
    placed: Iterable[Placed],
    standing: Standing,
    *,
    old: Sequence[Batch] = (),
) -> tuple[Batch, ...]:
    """Make the batches of a plan from placed strands.

    Parameters
    ----------
    candidates
        What the strands' indices mean.
    placed
        Strands with their tote and holes.
    standing
        Begun batches, done ones included, and the next free number.
    old
        Batches of the plan in force; those that do not change keep their numbers.
    """
    batches = _with_cells([_batch(candidates, each) for each in placed], candidates)
    carried_on = {batch.id for batch in batches if batch.id != _UNNUMBERED}
    begun = [_left_alone(batch, candidates) for batch in standing.begun if batch.id not in carried_on]
    known = {_look(batch): batch.id for batch in old}
    next_id = max(standing.next_id, 1 + max((batch.id for batch in (*standing.begun, *old)), default=0))
    numbered = []
    for batch in sorted(batches, key=lambda batch: (batch.sown_on, batch.crop, batch.want, batch.tote, batch.holes)):
        number = batch.id or known.pop(_look(batch), _UNNUMBERED)
        if number == _UNNUMBERED:
            number, next_id = next_id, next_id + 1
        numbered.append(replace(batch, id=number))
    return tuple(sorted((*numbered, *begun), key=lambda batch: batch.id))


def _batch(candidates: Candidates, placed: Placed) -> Batch:
    first = placed.strands[0]
    line = candidates.lines[first.line]
    harvests = _harvests(candidates, placed)
    holes = tuple(sorted(hole for own in placed.holes for hole in own))
    cleared_on = candidates.date_of(max(strand.leaves_day for strand in placed.strands))
    if first.begun is not None:
        batch = candidates.begun[first.begun]
        if batch.transplanted_on is not None:
            return replace(batch, cleared_on=cleared_on, harvests=(*batch.harvests, *_continued(batch, harvests)))
        place = _place(candidates, placed.tote, first)
        planted_on = candidates.date_of(first.transplant_day)
        return replace(
            batch,
            tote=placed.tote,
            place=place,
            holes=holes,
            transplanted_on=planted_on,
            cleared_on=cleared_on,
            harvests=harvests,
        )
    sown_on = candidates.date_of(first.sown_day)
    place = _place(candidates, placed.tote, first)
    garden = candidates.garden
    seedbed = garden.place(place) if line.crop.sown_in == "pot" else garden.nursery.place
    return Batch(
        id=_UNNUMBERED,
        crop=line.crop.name,
        want=line.want,
        place=place,
        tote=placed.tote,
        holes=holes,
        plants=len(holes),
        cells=len(holes),
        seeds=0,
        state="planned",
        sown_on=sown_on,
        emerges_on=emerges_on(line.crop, sown_on, conditions_at(seedbed, sown_on, SEEDBED_DAYS, garden.sky)),
        transplanted_on=candidates.date_of(first.transplant_day),
        cleared_on=cleared_on,
        harvests=harvests,
    )


def _with_cells(batches: Sequence[Batch], candidates: Candidates) -> list[Batch]:
    """Give batches their cells and seeds.

    Batches that are sown and transplanted together share their spare cells, beginning with the largest.  Cells are
    scarce and seeds are cheap: where enough seedlings are not likely enough, every cell gets more seeds.
    """
    garden = candidates.garden
    crops = {line.crop.name: line.crop for line in candidates.lines}
    together: dict[object, list[Batch]] = defaultdict(list)
    for batch in batches:
        planned = batch.id == _UNNUMBERED
        key = (batch.crop, batch.want, batch.sown_on, batch.transplanted_on) if planned else batch.id
        together[key].append(batch)
    shared = []
    for members in together.values():
        crop = crops[members[0].crop]
        members.sort(key=lambda batch: (-batch.plants, batch.tote, batch.holes))
        plants = sum(batch.plants for batch in members)
        sown_cells = cells_for(crop, plants)
        spare = sown_cells - plants
        percent = percent_now(crop, garden.packet(crop.name), members[0].sown_on.year)
        seeds = seeds_a_cell(
            crop, plants=plants, cells=sown_cells, percent=percent, confidence=garden.sowing.confidence
        )
        for number, batch in enumerate(members):
            if batch.id == _UNNUMBERED:
                cells = batch.plants + spare // len(members) + (number < spare % len(members))
                batch = replace(batch, cells=cells, seeds=cells * seeds)
            shared.append(batch)
    return shared


def _place(candidates: Candidates, tote: str, strand: Strand) -> str:
    place = candidates.garden.place_of(candidates.garden.tote(tote), candidates.date_of(strand.transplant_day))
    assert place is not None, "nothing is planted into a tote that is not in use"
    return place


def _harvests(candidates: Candidates, placed: Placed) -> tuple[Harvest, ...]:
    kind = candidates.lines[placed.strands[0].line].crop.harvest.kind
    taken: dict[tuple[int, int], list[tuple[tuple[int, ...], float, int]]] = defaultdict(list)
    for strand, holes in zip(placed.strands, placed.holes, strict=True):
        for step in strand.steps:
            if step.number:
                taken[(step.to_day, step.number)].append((holes, step.grams, step.latest_day))
    harvests = []
    for order, ((day, number), parts) in enumerate(sorted(taken.items()), start=1):
        holes = tuple(sorted(hole for own, _, _ in parts for hole in own))
        harvests.append(
            Harvest(
                on=candidates.date_of(day),
                latest_on=candidates.date_of(parts[0][2]),
                kind=kind,
                number=order if kind == "head" else number,
                holes=holes,
                plants=len(holes),
                grams=round(sum(len(own) * grams for own, grams, _ in parts), 2),
            )
        )
    return tuple(harvests)


def _continued(batch: Batch, harvests: Iterable[Harvest]) -> Iterable[Harvest]:
    """Number the harvests of heads after those that have happened."""
    before = len(batch.harvests) if any(harvest.kind == "head" for harvest in batch.harvests) else 0
    return (replace(harvest, number=harvest.number + before) for harvest in harvests)


def _left_alone(batch: Batch, candidates: Candidates) -> Batch:
    """End a begun batch for which nothing more is planned: it is cleared, or lost if it waits in the nursery."""
    if batch.cleared_on is not None or batch.state == "lost":
        return batch
    if batch.transplanted_on is None:
        return replace(batch, state="lost", holes=())
    # Even if that day is beyond the plan, since somebody has to clear what stands.
    days = (candidates.date_of(day) for day in range(candidates.today, candidates.today + SEEDBED_DAYS))
    return replace(batch, cleared_on=next(day for day in days if candidates.garden.at_home(day)))


def _look(batch: Batch) -> tuple[str, str, date, str, tuple[int, ...], date | None]:
    return (batch.crop, batch.want, batch.sown_on, batch.tote, batch.holes, batch.transplanted_on)
