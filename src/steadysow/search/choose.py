"""Choosing: the best plan that is also easy, and what is proven of it.

Takes candidates; gives a `Choice`: strands for `naming.name_totes` to place, with the best share and its bound.  Hides
the stages: first the most served share, then, for at most `tidy_points` of it, the tail after the planned weeks, then
ease.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from steadysow.plan.plan import Status
from steadysow.search.candidates import Candidates, Lot, Step
from steadysow.search.columns import Columns
from steadysow.search.ease import ease, fewest_lives
from steadysow.search.model import Model, build
from steadysow.search.narrowing import narrowed
from steadysow.search.solver import USUAL, Effort, OnProgress, Stage, Terms, solve
from steadysow.search.strands import Strand, start_of, strands_of

# A served share this close to its bound counts as proven, since no screen shows the difference.
PROVEN = 1e-6
# How many passes look for the best plan where no easy one is asked for.
QUICK_PASSES = 4

# The windows stop once a plan is proven to be this near to the best; a start further away than FAR is not improved.
NEAR, FAR = 0.01, 0.07


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """The chosen strands, and how good they are known to be.

    Attributes
    ----------
    strands
        The chosen strands.
    best_share, bound_share
        The best served share found, and a share that no plan exceeds.
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
    """What the kitchen asks for.

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
        What the kitchen asks for.
    seconds
        Ceiling on the time [s].
    starts
        Plans to improve on, as `strands.followed` or `rules_of_thumb.greedy` gives them; the best of them is taken.
    effort
        How hard to search.
    is_easy
        Whether to look for an easy plan after the best one; otherwise the search for the best is shorter, too.
    on_progress
        Called with the best share and the bound so far, and the seconds since the start.

    Returns
    -------
    Choice
        Without strands if the time did not suffice for any plan.
    """
    model = build(candidates, weeks=task.weeks, wanted=task.wanted, leftovers=task.leftovers)
    stages = _stages(model)
    if not is_easy:
        stages = (replace(stages[0], passes=stages[0].passes[:QUICK_PASSES]),)
    solution = solve(
        model.program,
        stages,
        seconds=seconds,
        starts=[start_of(model.columns, start) for start in starts if start],
        effort=effort,
        on_progress=on_progress,
    )
    if not solution.reached:
        # Either there is nothing to decide, or the time did not even suffice to follow what stands.
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
        strands=tuple(strands_of(model.columns, last)),
        best_share=best_share,
        bound_share=max(bound, best_share),
        best_sowings=sum(
            round(best.columns[column]) for (_, day), column in model.columns.crop_days.items() if day < 7 * task.weeks
        ),
        status=status,
    )


def _stages(model: Model) -> tuple[Stage, ...]:
    columns, days = model.columns, 7 * model.columns.weeks
    share, tail = model.served_share(0, columns.weeks), model.served_share(columns.weeks, math.inf)
    steps, sowings = columns.candidates.steps, columns.candidates.sowings
    late_steps = (columns.steps[s] for s, step in enumerate(steps) if step.begun is None and step.to_day >= days)
    late_sowings = (columns.sowings[s] for s, sowing in enumerate(sowings) if sowing.transplant_day >= days)
    best = Stage(
        name="best",
        aim=share,
        give_up=columns.candidates.garden.tidy_points / 100,
        enough=NEAR,
        frozen=(*late_steps, *late_sowings),
        proves=True,
        # Where minutes are limited the bound is loose and a search from nothing slow, so any start is improved.
        far=FAR if columns.candidates.garden.chore_minutes_a_week is None else math.inf,
        passes=((42, 28, 0),) * 2 + ((42, 28, 42),) * 3 + ((84, 49, 42),) * 3,
    )
    easy = Stage(name="easy", aim={**ease(model), **_scaled(share, 30.0)}, enough=1.0, passes=((28, 28, 0),))
    if not tail:
        return best, easy
    # Of two plans that serve the tail alike, prefer the one that serves more before it.
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
    """Give the choice with as few different lives as possible, at the same share and ease.

    Only the chosen steps are offered again: plants may join other plants, but nothing new comes in.
    """
    few = narrowed(candidates, choice.strands, (step for strand in choice.strands for step in strand.steps))
    model = build(few, weeks=task.weeks, wanted=task.wanted, leftovers=task.leftovers)
    _limit_to_neighbours(model.columns, choice.strands)
    share, easier = model.served_share(0, task.weeks), ease(model)
    floor = choice.best_share - candidates.garden.tidy_points / 100
    stages = (
        Stage(name="best", aim=share, least=floor, searches=False),
        Stage(name="easy", aim=easier, give_up=0.5, searches=False),
        Stage(name="plain", aim=fewest_lives(model.columns), enough=1.0, passes=((70, 56, 0),)),
    )
    starts = [start_of(model.columns, choice.strands)]
    solution = solve(model.program, stages, seconds=seconds, starts=starts, effort=Effort(small=0))
    if solution.status != "done" and choice.status != "optimal":
        choice = replace(choice, status=solution.status)
    if len(solution.reached) < len(stages):
        return choice
    return replace(choice, strands=tuple(strands_of(model.columns, solution.reached[-1])))


def _limit_to_neighbours(columns: Columns, strands: tuple[Strand, ...]) -> None:
    """Limit each step and sowing to the plants chosen of its line within a week, to solve faster."""
    upper, candidates = columns.program.upper, columns.candidates
    planted: dict[tuple[int, int], int] = defaultdict(int)
    for strand in strands:
        for day in range(strand.transplant_day - 7, strand.transplant_day + 8):
            planted[(strand.line, day)] += strand.plants
    for column, sowing in zip(columns.sowings, candidates.sowings, strict=True):
        upper[column] = min(upper[column], planted[(sowing.line, sowing.transplant_day)])
    most: dict[Step, int] = defaultdict(int)
    for strand in strands:
        for step in strand.steps:
            most[step] = max(most[step], planted[(strand.line, strand.transplant_day)])
    for column, step in zip(columns.steps, candidates.steps, strict=True):
        upper[column] = min(upper[column], most[step])


def _scaled(terms: Terms, factor: float) -> dict[int, float]:
    return {column: factor * value for column, value in terms.items()}
