"""Strands: the plants of a solution, put together by the life they live.

Takes the columns of a program and its solution; gives strands.  The other way round it gives the start that strands
mean in a program, and the strands that an old plan's batches mean among new candidates.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from steadysow.plan.batch import Batch
from steadysow.search.candidates import Candidates, Life, PlantState, Sowing, Step
from steadysow.search.columns import Columns
from steadysow.search.solver import Reached


@dataclass(frozen=True, slots=True, kw_only=True)
class Strand:
    """Plants that are sown, transplanted and harvested together, in one group of totes.

    Attributes
    ----------
    line, group, begun
        Indices in the candidates; `begun` is ``None`` for plants still to be sown.
    sown_day, transplant_day
        When the plants are sown and transplanted, or were.
    steps
        Their steps, in order; the plants leave at the end of the last one.
    plants
        How many they are.
    """

    line: int
    group: int
    begun: int | None
    sown_day: int
    transplant_day: int
    steps: Life
    plants: int

    @property
    def leaves_day(self) -> int:
        """The day they are cleared."""
        return self.steps[-1].to_day if self.steps else self.transplant_day


def sowing_of(strand: Strand) -> Sowing:
    """Give the sowing that a strand comes from."""
    return Sowing(line=strand.line, sown_day=strand.sown_day, transplant_day=strand.transplant_day)


def followed(candidates: Candidates, batches: Iterable[Batch]) -> tuple[Strand, ...]:
    """Give the strands of an old plan's batches, as far as they can still be followed from today on."""
    lines = {(line.crop.name, line.want): i for i, line in enumerate(candidates.lines)}
    groups = {name: g for g, group in enumerate(candidates.groups) for name in group.totes}
    begun = {batch.id: b for b, batch in enumerate(candidates.begun)}
    sowings = set(candidates.sowings)
    steps = {(step.start, step.to_day, step.number): step for step in candidates.steps}
    starts = {step.start for step in candidates.steps}
    strands: list[Strand] = []
    for batch in batches:
        line, group, b = lines.get((batch.crop, batch.want)), groups.get(batch.tote), begun.get(batch.id)
        if line is None or group is None or batch.transplanted_on is None:
            continue
        sown_day, planted_day = candidates.day_of(batch.sown_on), candidates.day_of(batch.transplanted_on)
        is_new = Sowing(line=line, sown_day=sown_day, transplant_day=planted_day) in sowings
        if b is None and not is_new:
            continue
        start = PlantState(line=line, group=group, begun=b, entered_day=planted_day, harvests=0, last_day=planted_day)
        if b is None and start not in starts:
            start = replace(start, entered_day=-1)
        for life, plants in _lives_of(candidates, batch, start, steps):
            strands.append(
                Strand(
                    line=line,
                    group=group,
                    begun=b,
                    sown_day=sown_day,
                    transplant_day=planted_day,
                    steps=life,
                    plants=plants,
                )
            )
    return tuple(strands)


def _lives_of(
    candidates: Candidates, batch: Batch, start: PlantState, steps: Mapping[tuple[PlantState, int, int], Step]
) -> Iterable[tuple[Life, int]]:
    """Give the lives of a batch's plants, each with the number of plants, as far as the steps are still candidates.

    Heads are harvested as they were planned, or not followed at all.
    """
    days = [(candidates.day_of(harvest.on), harvest) for harvest in batch.harvests]
    if not days and batch.cleared_on is not None:
        cleared = steps.get((start, candidates.day_of(batch.cleared_on), 0))
        if cleared is not None:
            yield (cleared,), batch.plants
    if any(harvest.kind == "head" for _, harvest in days):
        heads = [(steps.get((start, day, 1)), harvest.plants) for day, harvest in days if day >= candidates.today]
        if all(step is not None for step, _ in heads):
            yield from (((step,), plants) for step, plants in heads if step is not None)
        return
    life: list[Step] = []
    state = start
    for day, harvest in days:
        step = steps.get((state, day, harvest.number))
        state = replace(start, harvests=harvest.number, last_day=day)
        if day >= candidates.today:
            if step is None:
                break
            life.append(step)
    if life:
        yield tuple(life), batch.plants


def start_of(columns: Columns, strands: Iterable[Strand]) -> dict[int, float]:
    """Give the whole numbers that strands mean in a program, by column.

    Begun batches without a strand are left open.
    """
    plants: dict[Sowing | Step, float] = defaultdict(float)
    followed_batches: set[int | None] = {None}
    for strand in strands:
        followed_batches.add(strand.begun)
        plants[sowing_of(strand)] += strand.plants
        for step in strand.steps:
            plants[step] += strand.plants
    sown = zip(columns.sowings, columns.candidates.sowings, strict=True)
    grown = zip(columns.steps, columns.candidates.steps, columns.units, strict=True)
    return {
        **{column: plants[sowing] for column, sowing in sown},
        **{column: plants[step] / unit for column, step, unit in grown if step.begun in followed_batches},
    }


def strands_of(columns: Columns, reached: Reached, like: Iterable[Strand] = ()) -> Iterable[Strand]:
    """Take a solution apart into strands; strands known before, in `like`, are looked for first."""
    counts = {s: round(reached.columns[column]) * columns.units[s] for s, column in enumerate(columns.steps)}
    sown = _sown(columns, reached)
    for strand in like:
        plants = _take_out(columns, counts, sown, strand)
        if plants:
            yield replace(strand, plants=plants)
    for life, plants in _lives(columns, {s: count for s, count in counts.items() if count > 0}):
        first = life[0]
        if first.begun is not None:
            yield Strand(
                line=first.line,
                group=first.group,
                begun=first.begun,
                sown_day=columns.candidates.day_of(columns.candidates.begun[first.begun].sown_on),
                transplant_day=first.entered_day,
                steps=life,
                plants=plants,
            )
            continue
        for sown_day, part in _take(sown[(first.line, first.from_day)], plants):
            yield Strand(
                line=first.line,
                group=first.group,
                begun=None,
                sown_day=sown_day,
                transplant_day=first.from_day,
                steps=life,
                plants=part,
            )


def _take_out(
    columns: Columns, counts: dict[int, int], sown: dict[tuple[int, int], list[tuple[int, int]]], strand: Strand
) -> int:
    """Take the plants of a strand out of a solution, as many as it has; give how many."""
    steps = [columns.index[step] for step in strand.steps]
    plants = min([strand.plants, *(counts[s] for s in steps)])
    # Some plants may go on from the strand's last harvest.
    last = strand.steps[-1]
    if last.number:
        coming, going = columns.ending.get(last.end, ()), columns.starting.get(last.end, ())
        plants = min(plants, sum(counts[s] for s in coming) - sum(counts[s] for s in going))
    stock = sown[(strand.line, strand.transplant_day)]
    if strand.begun is None:
        plants = min(plants, sum(part for day, part in stock if day == strand.sown_day))
    elif plants < strand.plants and any(columns.units[s] > 1 for s in steps):
        return 0
    if plants:
        for s in steps:
            counts[s] -= plants
        if strand.begun is None:
            left = sum(part for day, part in stock if day == strand.sown_day) - plants
            others = [part for part in stock if part[0] != strand.sown_day]
            stock[:] = [*others, *([(strand.sown_day, left)] if left else [])]
    return plants


def _lives(columns: Columns, counts: Mapping[int, int]) -> list[tuple[Life, int]]:
    """Follow the plants from step to step; give each life with its number of plants.

    Plants that were harvested together go on together as far as they can.
    """
    steps = columns.candidates.steps
    leaving: dict[PlantState, list[int]] = defaultdict(list)
    for s in counts:
        leaving[steps[s].start].append(s)
    arrived: dict[PlantState, list[tuple[Life, int]]] = defaultdict(list)
    lives: list[tuple[Life, int]] = []
    for state in sorted({*leaving, *(steps[s].end for s in counts)}, key=_in_order):
        begins = state not in columns.ending
        here = arrived[state]
        if begins:
            here.append(((), sum(counts[s] for s in leaving[state])))
        here.sort(key=lambda part: -part[1])
        for s in sorted(leaving[state], key=lambda s: -counts[s]):
            step, missing = steps[s], counts[s]
            goes_on = step.number and (leaving.get(step.end) or step.end in columns.starting)
            while missing:
                fits = next((part for part in here if part[1] == missing), here[0])
                taken = min(missing, fits[1])
                here.remove(fits)
                if fits[1] > taken:
                    here.append((fits[0], fits[1] - taken))
                missing -= taken
                (arrived[step.end] if goes_on else lives).append(((*fits[0], step), taken))
        if not begins:
            lives += here
    return lives


def _in_order(state: PlantState) -> tuple[int, int, str]:
    """Sort states by harvests and day, so that plants have arrived before they go on."""
    fields = (state.line, state.group, state.begun, state.entered_day, state.harvests, state.last_day)
    # As text, because `begun` may be None.
    return state.harvests, state.last_day, str(fields)


def _sown(columns: Columns, reached: Reached) -> dict[tuple[int, int], list[tuple[int, int]]]:
    """Give what was sown by line and transplant day, as pairs of sowing day and plants."""
    sown: dict[tuple[int, int], list[tuple[int, int]]] = defaultdict(list)
    for column, sowing in zip(columns.sowings, columns.candidates.sowings, strict=True):
        plants = round(reached.columns[column])
        if plants:
            sown[(sowing.line, sowing.transplant_day)].append((sowing.sown_day, plants))
    return sown


def _take(stock: list[tuple[int, int]], plants: int) -> Iterable[tuple[int, int]]:
    """Take plants from a stock of sowings, from one sowing if that can be; give sowing days and plants."""
    while plants:
        fits = next((part for part in stock if part[1] == plants), stock[0])
        stock.remove(fits)
        taken = min(plants, fits[1])
        if fits[1] > taken:
            stock.append((fits[0], fits[1] - taken))
        plants -= taken
        yield fits[0], taken
