"""Choosing: the candidates of the best plan that is also easy, and what is proven of it.

Takes candidates; gives a `Choice`: strands (plants that live the same life) for `totes.name_totes` to place, with the
best share and the bound.  Hides the program: first the served share is maximised, then, giving up at most
`tidy_points` of it, the tail after the planned weeks, then ease.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from steadysow.plan.batch import Batch
from steadysow.plan.plan import Status
from steadysow.search.candidates import Candidates, PlantState, Sowing, Step
from steadysow.search.model import Lot, Model, build, ease, fewest_lives
from steadysow.search.solver import USUAL, Effort, OnProgress, Reached, Stage, solve

# A served share closer than this to its bound is as good as proven, since no screen shows the difference.
PROVEN = 1e-6
# How many passes look for the best plan where an easy one is not asked for.
QUICK_PASSES = 4

# Proven to be this near, the windows stop looking for a better plan; further than that, they do not begin at a start.
NEAR, FAR = 0.01, 0.07


@dataclass(frozen=True, slots=True, kw_only=True)
class Strand:
    """Plants that live the same life in one group of totes: sown, transplanted, harvested together.

    Attributes
    ----------
    line, group, begun
        Indices in the candidates; `begun` is ``None`` for plants still to be sown.
    sown_day, transplant_day
        When; of begun plants as it happened.
    steps
        Their steps, in order; the last one ends with the day they leave.
    plants
        How many.
    """

    line: int
    group: int
    begun: int | None
    sown_day: int
    transplant_day: int
    steps: tuple[Step, ...]
    plants: int

    @property
    def leaves_day(self) -> int:
        """The day they are cleared."""
        return self.steps[-1].to_day if self.steps else self.transplant_day


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """What was chosen, and how good it is known to be.

    Attributes
    ----------
    strands
        What was chosen.
    best_share, bound_share
        The best served share that was found, and one that no plan passes.
    best_sowings
        How many sowings the best share takes.
    status
        Whether the best is proven, or what ended the search.
    """

    strands: tuple[Strand, ...]
    best_share: float
    bound_share: float
    best_sowings: int
    status: Status

    def bounded_by(self, bound: float) -> Choice:
        """Give this choice with another bound, and the status that follows from it."""
        status = self.status
        if bound - self.best_share <= PROVEN:
            status = "optimal"
        elif status == "optimal":
            status = "step limit"
        return replace(self, bound_share=max(bound, self.best_share), status=status)


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """What is asked for.

    Attributes
    ----------
    weeks
        Number of planned weeks; the candidates' span beyond them is the tail.
    wanted
        Amount by want and week, tail included, where something is wanted and in reach.
    leftovers
        What earlier harvests left in the fridge.
    """

    weeks: int
    wanted: Mapping[tuple[str, int], float]
    leftovers: Mapping[Lot, float]


def choose(
    candidates: Candidates,
    task: Task,
    *,
    seconds: float,
    starts: Sequence[tuple[Strand, ...]] = (),
    effort: Effort = USUAL,
    is_easy: bool = True,
    on_progress: OnProgress | None = None,
) -> Choice:
    """Choose the best plan that is also easy.

    Parameters
    ----------
    candidates
        What could be done.
    task
        What is asked for.
    seconds
        Ceiling on the time [s].
    starts
        Plans to improve on, as `followed` or `rules_of_thumb.greedy` gives them; the best of them is taken.
    effort
        How hard to search.
    is_easy
        Whether to look for an easy plan besides the best; the best is sought less hard if not.
    on_progress
        Called with the best share and the bound so far, and the seconds since the start.

    Returns
    -------
    Choice
        If the time did not suffice for any plan, one with nothing in it.
    """
    model = build(candidates, weeks=task.weeks, wanted=task.wanted, leftovers=task.leftovers)
    stages = _stages(model)
    if not is_easy:
        stages = (replace(stages[0], passes=stages[0].passes[:QUICK_PASSES]),)
    solution = solve(
        model.program,
        stages,
        seconds=seconds,
        starts=[start_of(model, start) for start in starts if start],
        effort=effort,
        on_progress=on_progress,
    )
    if not solution.reached:
        # Either there is nothing to decide, or not even what stands could be followed in the time there was.
        if not model.program.lower:
            return Choice(strands=(), best_share=0.0, bound_share=0.0, best_sowings=0, status="optimal")
        return Choice(strands=(), best_share=0.0, bound_share=1.0, best_sowings=0, status="time limit")
    best, last = solution.reached[0], solution.reached[-1]
    best_share, bound = (best.value, min(1.0, best.bound)) if stages[0].aim else (1.0, 1.0)
    proven = bound - best_share <= PROVEN
    status: Status = "optimal" if proven else "step limit"
    if solution.status != "done" and not proven:
        status = solution.status
    return Choice(
        strands=tuple(strands_of(model, last)),
        best_share=best_share,
        bound_share=max(bound, best_share),
        best_sowings=sum(
            round(best.columns[column]) for (_, day), column in model.crop_days.items() if day < 7 * task.weeks
        ),
        status=status,
    )


def by_tote_like(candidates: Candidates, strands: Sequence[Strand]) -> Candidates:
    """Keep of candidates counted tote by tote the lives chosen where totes were counted together, each in any tote."""
    planted = {(strand.line, strand.transplant_day) for strand in strands}
    lives = {_stretch(step) for strand in strands for step in strand.steps}
    steps = (
        step
        for step in candidates.steps
        if _stretch(step) in lives and (step.entered_day < 0 or (step.line, step.entered_day) in planted)
    )
    return narrowed(candidates, strands, steps)


def promised_or_like(candidates: Candidates, promised: Sequence[Strand], others: Sequence[Strand]) -> Candidates:
    """Keep of candidates counted tote by tote what was promised, in its tote, and other lives in any.

    What has begun goes on as promised or as one of the others; if it cannot go on as promised, in any way.
    """
    lives = {_life(strand) for strand in promised}
    offered = by_tote_like(candidates, [strand for strand in others if _life(strand) not in lives])
    kept = {step for strand in promised for step in strand.steps}
    sown = {*offered.sowings, *(sowing_of(strand) for strand in promised)}
    bound = {strand.begun for strand in promised}
    known = {(strand.begun, _stretch(step)) for strand in (*promised, *others) for step in strand.steps}
    new = {step for step in offered.steps if step.begun is None}
    return replace(
        candidates,
        sowings=tuple(each for each in candidates.sowings if each in sown),
        steps=tuple(
            step
            for step in candidates.steps
            if step in kept
            or step in new
            or (step.begun is not None and (step.begun not in bound or (step.begun, _stretch(step)) in known))
        ),
    )


def _life(strand: Strand) -> tuple[object, ...]:
    """Give what plants live through, in whatever tote."""
    return strand.line, strand.sown_day, strand.transplant_day, tuple(_stretch(step) for step in strand.steps)


def _stretch(step: Step) -> tuple[int, int, int, int, int]:
    return step.line, step.from_day, step.to_day, step.after, step.number


def narrowed(candidates: Candidates, strands: Sequence[Strand], steps: Iterable[Step]) -> Candidates:
    """Keep the sowings that were chosen, some steps, and all that can become of what has begun."""
    sowings, kept = {sowing_of(strand) for strand in strands}, set(steps)
    return replace(
        candidates,
        sowings=tuple(sowing for sowing in candidates.sowings if sowing in sowings),
        steps=tuple(step for step in candidates.steps if step.begun is not None or step in kept),
    )


def sowing_of(strand: Strand) -> Sowing:
    """Give the sowing that a strand comes from."""
    return Sowing(line=strand.line, sown_day=strand.sown_day, transplant_day=strand.transplant_day)


def _stages(model: Model) -> tuple[Stage, ...]:
    days = 7 * model.weeks
    share, tail = model.served_share(0, model.weeks), model.served_share(model.weeks, math.inf)
    steps, sowings = model.candidates.steps, model.candidates.sowings
    late_steps = (model.steps[s] for s, step in enumerate(steps) if step.begun is None and step.to_day >= days)
    late_sowings = (model.sowings[s] for s, sowing in enumerate(sowings) if sowing.transplant_day >= days)
    best = Stage(
        name="best",
        aim=share,
        give_up=model.candidates.garden.tidy_points / 100,
        enough=NEAR,
        frozen=(*late_steps, *late_sowings),
        proves=True,
        # Where minutes are limited the bound is loose and a search from nothing slow: any start is worth improving on.
        far=FAR if model.candidates.garden.chore_minutes_a_week is None else math.inf,
        passes=((42, 28, 0),) * 2 + ((42, 28, 42),) * 3 + ((84, 49, 42),) * 3,
    )
    easy = Stage(name="easy", aim={**ease(model), **_scaled(share, 30.0)}, enough=1.0, passes=((28, 28, 0),))
    if not tail:
        return best, easy
    # Of two plans alike in the tail the one that serves more before it.
    through = Stage(
        name="tail",
        aim={**tail, **_scaled(share, 0.1)},
        give_up=0.02,
        enough=0.01,
        from_day=max(0, days - 70),
        passes=((42, 28, 0),),
    )
    return best, through, easy


def simplified(candidates: Candidates, task: Task, choice: Choice, *, seconds: float) -> Choice:
    """Give the choice with as few different lives as can be, at the same share and ease.

    Only what was chosen is offered again, so that plants may join others but nothing new comes in.
    """
    few = narrowed(candidates, choice.strands, (step for strand in choice.strands for step in strand.steps))
    model = build(few, weeks=task.weeks, wanted=task.wanted, leftovers=task.leftovers)
    _limit_to_neighbours(model, choice.strands)
    share, easier = model.served_share(0, model.weeks), ease(model)
    floor = choice.best_share - candidates.garden.tidy_points / 100
    stages = (
        Stage(name="best", aim=share, least=floor, searches=False),
        Stage(name="easy", aim=easier, give_up=0.5, searches=False),
        Stage(name="plain", aim=fewest_lives(model), enough=1.0, passes=((70, 56, 0),)),
    )
    effort = Effort(small=0)
    solution = solve(model.program, stages, seconds=seconds, starts=[start_of(model, choice.strands)], effort=effort)
    if solution.status != "done" and choice.status != "optimal":
        choice = replace(choice, status=solution.status)
    if len(solution.reached) < len(stages):
        return choice
    return replace(choice, strands=tuple(strands_of(model, solution.reached[-1])))


def followed(candidates: Candidates, batches: Iterable[Batch]) -> tuple[Strand, ...]:
    """Give the strands of batches planned earlier, as far as they can still be followed from today on."""
    lines = {(line.crop.name, line.want): i for i, line in enumerate(candidates.lines)}
    groups = {name: g for g, group in enumerate(candidates.groups) for name in group.totes}
    begun = {batch.id: b for b, batch in enumerate(candidates.begun)}
    sowings, steps = set(candidates.sowings), {_likeness(step): step for step in candidates.steps}
    known = {step.start for step in candidates.steps}
    strands: list[Strand] = []
    for batch in batches:
        line, group, b = lines.get((batch.crop, batch.want)), groups.get(batch.tote), begun.get(batch.id)
        if line is None or group is None or batch.transplanted_on is None:
            continue
        sown_day, planted_day = candidates.day_of(batch.sown_on), candidates.day_of(batch.transplanted_on)
        is_new = Sowing(line=line, sown_day=sown_day, transplant_day=planted_day) in sowings
        if b is None and not is_new:
            continue
        start: PlantState = (line, group, b, planted_day, 0, planted_day)
        if b is None and start not in known:
            start = (line, group, b, -1, 0, planted_day)
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
) -> Iterable[tuple[tuple[Step, ...], int]]:
    """Give the lives of a batch's plants as steps, with their numbers, as far as the steps are candidates still.

    Heads are taken as they were planned to be, or not followed at all.
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
        state = (*start[:4], harvest.number, day)
        if day >= candidates.today:
            if step is None:
                break
            life.append(step)
    if life:
        yield tuple(life), batch.plants


def _likeness(step: Step) -> tuple[PlantState, int, int]:
    return step.start, step.to_day, step.number


def _limit_to_neighbours(model: Model, strands: tuple[Strand, ...]) -> None:
    """Let a step or sowing take no more plants than were chosen of its line within a week, to solve faster."""
    planted: dict[tuple[int, int], int] = defaultdict(int)
    for strand in strands:
        for day in range(strand.transplant_day - 7, strand.transplant_day + 8):
            planted[(strand.line, day)] += strand.plants
    for column, sowing in zip(model.sowings, model.candidates.sowings, strict=True):
        most = planted[(sowing.line, sowing.transplant_day)]
        model.program.upper[column] = min(model.program.upper[column], most)
    lives: dict[Step, int] = defaultdict(int)
    for strand in strands:
        for step in strand.steps:
            lives[step] = max(lives[step], planted[(strand.line, strand.transplant_day)])
    for column, step in zip(model.steps, model.candidates.steps, strict=True):
        model.program.upper[column] = min(model.program.upper[column], lives[step])


def start_of(model: Model, strands: tuple[Strand, ...]) -> dict[int, float]:
    """Give the whole numbers that the strands mean in a program.

    Begun batches of which they tell nothing are left open.
    """
    plants: dict[Sowing | Step, float] = defaultdict(float)
    for strand in strands:
        plants[sowing_of(strand)] += strand.plants
        for step in strand.steps:
            plants[step] += strand.plants
    sown = zip(model.sowings, model.candidates.sowings, strict=True)
    grown = zip(model.steps, model.candidates.steps, model.units, strict=True)
    told = {strand.begun for strand in strands} | {None}
    return {
        **{column: plants[sowing] for column, sowing in sown},
        **{column: plants[step] / unit for column, step, unit in grown if step.begun in told},
    }


def _scaled(terms: Mapping[int, float], factor: float) -> dict[int, float]:
    return {column: factor * value for column, value in terms.items()}


def strands_of(model: Model, reached: Reached, like: Iterable[Strand] = ()) -> Iterable[Strand]:
    """Take the flow of plants apart into strands; those `like` strands known before come first."""
    counts = {s: round(reached.columns[column]) * model.units[s] for s, column in enumerate(model.steps)}
    sown = _sown(model, reached)
    for strand in like:
        plants = _taken_out(model, counts, sown, strand)
        if plants:
            yield replace(strand, plants=plants)
    lives = _lives(model, {s: count for s, count in counts.items() if count > 0})
    for (line, group, begun, steps), plants in lives:
        if begun is not None:
            batch = model.candidates.begun[begun]
            entered = steps[0].entered_day
            sown_day = model.candidates.day_of(batch.sown_on)
            yield Strand(
                line=line,
                group=group,
                begun=begun,
                sown_day=sown_day,
                transplant_day=entered,
                steps=steps,
                plants=plants,
            )
            continue
        entered = steps[0].from_day
        for sown_day, part in _take(sown[(line, entered)], plants):
            yield Strand(
                line=line, group=group, begun=None, sown_day=sown_day, transplant_day=entered, steps=steps, plants=part
            )


def _taken_out(
    model: Model, counts: dict[int, int], sown: dict[tuple[int, int], list[tuple[int, int]]], strand: Strand
) -> int:
    """Take as many plants of a strand as there are out of the flow; give how many."""
    steps = [model.index[step] for step in strand.steps]
    plants = min([strand.plants, *(counts[s] for s in steps)])
    # Of those that come to its last harvest some may go on.
    last = strand.steps[-1]
    if last.number:
        coming, going = model.ending.get(last.end, ()), model.starting.get(last.end, ())
        plants = min(plants, sum(counts[s] for s in coming) - sum(counts[s] for s in going))
    stock = sown[(strand.line, strand.transplant_day)]
    if strand.begun is None:
        plants = min(plants, sum(part for day, part in stock if day == strand.sown_day))
    elif plants < strand.plants and any(model.units[s] > 1 for s in steps):
        return 0
    if plants:
        for s in steps:
            counts[s] -= plants
        if strand.begun is None:
            left = sum(part for day, part in stock if day == strand.sown_day) - plants
            others = [part for part in stock if part[0] != strand.sown_day]
            stock[:] = [*others, *([(strand.sown_day, left)] if left else [])]
    return plants


Life = tuple[int, int, int | None, tuple[Step, ...]]


def _lives(model: Model, counts: Mapping[int, int]) -> list[tuple[Life, int]]:
    """Follow the plants from step to step; those that come to a harvest together go on together as far as they can."""
    steps = model.candidates.steps
    leaving: dict[PlantState, list[int]] = defaultdict(list)
    for s in counts:
        leaving[steps[s].start].append(s)
    arrived: dict[PlantState, list[tuple[tuple[Step, ...], int]]] = defaultdict(list)
    lives: list[tuple[Life, int]] = []

    def on(step: Step, life: tuple[Step, ...], plants: int) -> None:
        if step.number and (leaving.get(step.end) or step.end in model.starting):
            arrived[step.end].append((life, plants))
        else:
            lives.append(((step.line, step.group, step.begun, life), plants))

    states = {*leaving, *(steps[s].end for s in counts)}
    for state in sorted(states, key=lambda state: (state[4], state[5], str(state))):
        begins = state not in model.ending
        here = arrived[state]
        if begins:
            here.append(((), sum(counts[s] for s in leaving[state])))
        here.sort(key=lambda part: -part[1])
        for s in sorted(leaving[state], key=lambda s: -counts[s]):
            wanted = counts[s]
            while wanted:
                fits = next((part for part in here if part[1] == wanted), here[0])
                taken = min(wanted, fits[1])
                here.remove(fits)
                if fits[1] > taken:
                    here.append((fits[0], fits[1] - taken))
                wanted -= taken
                on(steps[s], (*fits[0], steps[s]), taken)
        if not begins:
            lives += [((life[-1].line, life[-1].group, life[-1].begun, life), plants) for life, plants in here]
    return lives


def _sown(model: Model, reached: Reached) -> dict[tuple[int, int], list[tuple[int, int]]]:
    """Give by line and transplant day what was sown for it, as pairs of sowing day and plants."""
    sown: dict[tuple[int, int], list[tuple[int, int]]] = defaultdict(list)
    for column, sowing in zip(model.sowings, model.candidates.sowings, strict=True):
        plants = round(reached.columns[column])
        if plants:
            sown[(sowing.line, sowing.transplant_day)].append((sowing.sown_day, plants))
    return sown


def _take(stock: list[tuple[int, int]], plants: int) -> Iterable[tuple[int, int]]:
    while plants:
        fits = next((part for part in stock if part[1] == plants), stock[0])
        stock.remove(fits)
        taken = min(plants, fits[1])
        if fits[1] > taken:
            stock.append((fits[0], fits[1] - taken))
        plants -= taken
        yield fits[0], taken
