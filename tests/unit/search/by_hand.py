"""Plans put together by hand: each plant gets a hole in the simplest way, so that no broken rule is hidden."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date

from steadysow.check.verify import verify
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden
from steadysow.plan.batch import Batch, Harvest
from steadysow.plan.measure import measure
from steadysow.search.assemble import assemble
from steadysow.search.candidates import Candidates
from steadysow.search.naming import Placed
from steadysow.search.strands import Strand
from steadysow.standing.standing import Standing
from tiny import NOTHING_BEGUN, START, by_name, day


def placed_by_hand(candidates: Candidates, strands: Iterable[Strand]) -> list[Placed]:
    """Give each plant the lowest hole that is free when it enters, or the first hole if none is.

    Every group must be one tote.  Filling intervals in the order of their beginnings needs no more holes than stand at
    once, so a hole is taken twice only if the strands leave no other way.
    """
    turn = candidates.garden.turnaround_days
    free_from: dict[tuple[int, int], int] = defaultdict(lambda: -(10**6))
    taken: dict[int, int] = defaultdict(int)
    together: dict[object, list[tuple[Strand, tuple[int, ...]]]] = defaultdict(list)
    for number, strand in enumerate(sorted(strands, key=lambda strand: strand.transplant_day)):
        group = candidates.groups[strand.group]
        holes: list[int] = []
        begun = None if strand.begun is None else candidates.begun[strand.begun]
        for plant in range(strand.plants):
            if begun is not None and begun.transplanted_on is not None:
                # One hole of the batch after the other, and the first again only if there are more plants than holes.
                hole = begun.holes[taken[begun.id] % len(begun.holes)]
                taken[begun.id] += 1
            else:
                every = range(1, group.holes + 1)
                free = (each for each in every if free_from[(strand.group, each)] <= strand.transplant_day)
                hole = next((each for each in free if each not in holes), plant % group.holes + 1)
            holes.append(hole)
        for hole in holes:
            free_from[(strand.group, hole)] = strand.leaves_day + turn
        key = number if strand.begun is None else ("begun", strand.begun, strand.group)
        together[key].append((strand, tuple(holes)))
    return [
        Placed(
            tote=candidates.groups[members[0][0].group].totes[0],
            strands=tuple(strand for strand, _ in members),
            holes=tuple(holes for _, holes in members),
        )
        for members in together.values()
    ]


def batches_by_hand(
    candidates: Candidates, strands: Iterable[Strand], standing: Standing = NOTHING_BEGUN
) -> tuple[Batch, ...]:
    """Make batches of strands, in holes given by hand."""
    return assemble(candidates, placed_by_hand(candidates, strands), standing)


def breaches(
    candidates: Candidates, batches: Sequence[Batch], *, begun: Sequence[Batch] = (), today: date = START
) -> set[str]:
    """Give the names of the rules that batches break."""
    found = verify(candidates.garden, batches, today=today, starts_on=START, begun=begun)
    return {breach.rule for breach in found}


def measured_share(candidates: Candidates, batches: Sequence[Batch]) -> float:
    """Measure the served share of batches."""
    reach = {want: None if on is None else candidates.date_of(on) for want, on in candidates.reach.items()}
    garden = candidates.garden
    return measure(garden, batches, START, START, garden.weeks, START, reach).served_share


def begun_batch(
    crop: Crop,
    *,
    sown: int,
    plants: int,
    planted: int | None = None,
    number: int = 7,
    tote: str = "A",
    harvests: tuple[Harvest, ...] = (),
) -> Batch:
    """Make a batch by day numbers in the first holes of a tote; it stands if it has been planted, or waits."""
    return Batch(
        id=number,
        crop=crop.name,
        want="salad",
        place="shelf",
        tote=tote,
        holes=tuple(range(1, plants + 1)),
        plants=plants,
        cells=plants,
        seeds=plants,
        state="sown" if planted is None else "transplanted",
        sown_on=day(sown),
        emerges_on=day(sown + 1),
        transplanted_on=None if planted is None else day(planted),
        cleared_on=None,
        harvests=harvests,
    )


def with_crops(garden: Garden, *crops: Crop) -> Garden:
    """Give the garden with profiles."""
    return replace(garden, crops=by_name(crops))
