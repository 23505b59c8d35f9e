"""Deciding: from what stands to the batches of a plan, through candidates, choice and naming.

Takes the garden, what stands and the span of weeks; gives a `Decision`: batches, and what is proven of them.  Hides the
ladder of two programs.  The first counts alike totes together, which proves the bound.  Where that is not exact, a
second one counts tote by tote: always in a small garden; in a large one only if the first result cannot be named, and
then only with the lives that the first program chose.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from time import monotonic

from steadysow.inputs.garden import Garden
from steadysow.plan.batch import Batch
from steadysow.plan.measure import carried_over, portions, wanted
from steadysow.search.assemble import assemble
from steadysow.search.candidates import Candidates, Lot
from steadysow.search.choose import Choice, Task, choose, simplified
from steadysow.search.naming import name_totes
from steadysow.search.narrowing import by_tote_like
from steadysow.search.propose import propose, tail_weeks
from steadysow.search.rules_of_thumb import greedy
from steadysow.search.solver import OnProgress
from steadysow.search.strands import Strand, followed
from steadysow.standing.standing import Standing

# Up to this many steps, totes that cannot be counted together exactly are always counted one by one, too.
MOST_STEPS_BY_TOTE = 3000

# The part of the time left that a choice may take if another may have to follow, and the part of a choice's time that
# is not kept to simplify it.
TOGETHER, CHOOSING = 0.9, 0.92


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """The weeks to plan: when the garden began, the first planned week, today, and the number of planned weeks."""

    starts_on: date
    first_on: date
    today: date
    weeks: int

    def days(self, garden: Garden) -> int:
        """Give the number of days in the planned weeks and the tail."""
        return 7 * (self.weeks + tail_weeks(garden, self.first_on + timedelta(weeks=self.weeks)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision:
    """The batches of a plan.

    Attributes
    ----------
    batches
        The batches, begun ones included.
    choice
        How good they are known to be.
    reach
        The first day on which a want can be harvested, by want; ``None`` if it cannot be.
    """

    batches: tuple[Batch, ...]
    choice: Choice
    reach: Mapping[str, date | None]


def decide(
    garden: Garden,
    standing: Standing,
    *,
    span: Span,
    old: Sequence[Batch] = (),
    is_afresh: bool = False,
    seconds: float = 10.0,
    on_progress: OnProgress | None = None,
) -> Decision:
    """Decide what to sow, where and when.

    Parameters
    ----------
    garden, standing
        The garden, and its begun batches and resting totes.
    span
        The weeks to plan.
    old
        Batches of the plan in force: they keep their numbers, and the search starts from them.
    is_afresh
        Whether the search starts from nothing instead.
    seconds
        Ceiling on the time [s].
    on_progress
        Called with the best share and the bound so far, and the seconds since the start.
    """
    stop_at = monotonic() + seconds
    days = span.days(garden)

    def proposed(*, by_tote: bool) -> Candidates:
        return propose(garden, standing, first_on=span.first_on, today=span.today, days=days, by_tote=by_tote)

    def chosen(candidates: Candidates, part: float, like: Sequence[Batch], by_thumb: tuple[Strand, ...]) -> Choice:
        time = part * max(1.0, stop_at - monotonic())
        starts = (followed(candidates, like), by_thumb)
        choice = choose(candidates, task, seconds=CHOOSING * time, starts=starts, on_progress=on_progress)
        return simplified(candidates, task, choice, seconds=(1 - CHOOSING) * time)

    candidates = proposed(by_tote=False)
    is_exact = all(group.is_uniform for group in candidates.groups)
    task = task_of(candidates, standing, span)
    reach = reach_of(candidates)
    known = () if is_afresh else old
    choice = chosen(candidates, 1.0 if is_exact else TOGETHER, known, greedy(candidates, task))
    batches = _named(candidates, choice, standing, old)
    if batches is None or not is_exact:
        candidates = proposed(by_tote=True)
        is_small = len(candidates.steps) <= MOST_STEPS_BY_TOTE
        if batches is None or is_small:
            by_thumb = greedy(candidates, task)
            if not is_small:
                candidates = by_tote_like(candidates, (*choice.strands, *by_thumb))
            one_by_one = chosen(candidates, 1.0, batches or known, by_thumb)
            bound = min(one_by_one.bound_share, choice.bound_share) if is_small else choice.bound_share
            if batches is None or one_by_one.best_share >= choice.best_share:
                choice = one_by_one.bounded_by(bound)
                batches = _named(candidates, choice, standing, old)
            else:
                choice = choice.bounded_by(bound)
    assert batches is not None, "totes counted one by one can always be named"
    return Decision(batches=batches, choice=choice, reach=reach)


def task_of(candidates: Candidates, standing: Standing, span: Span) -> Task:
    """Give what the kitchen asks for in the planned weeks and the tail."""
    return Task(
        weeks=span.weeks,
        wanted=_wanted(candidates),
        leftovers=_leftovers(candidates, standing, span.starts_on),
    )


def reach_of(candidates: Candidates) -> dict[str, date | None]:
    """Give the first day on which a want can be harvested, by want."""
    return {want: None if day is None else candidates.date_of(day) for want, day in candidates.reach.items()}


def _named(
    candidates: Candidates, choice: Choice, standing: Standing, old: Sequence[Batch]
) -> tuple[Batch, ...] | None:
    placed = name_totes(candidates, choice.strands)
    return None if placed is None else assemble(candidates, placed, standing, old=old)


def _wanted(candidates: Candidates) -> dict[tuple[str, int], float]:
    """Give the amount by want and week, tail included, where something is wanted and in reach."""
    amounts = {}
    for want in candidates.garden.wants:
        reach = candidates.reach[want.name]
        for week in range(candidates.days // 7):
            amount = wanted(candidates.garden, want, candidates.date_of(7 * week))
            if amount > 0 and reach is not None and reach < 7 * (week + 1):
                amounts[(want.name, week)] = amount
    return amounts


def _leftovers(candidates: Candidates, standing: Standing, starts_on: date) -> dict[Lot, float]:
    """Give what was harvested before today and is still good, by lot."""
    first_week = (candidates.first_on - starts_on).days // 7
    lots: dict[Lot, float] = {}
    for want in candidates.garden.wants:
        earlier = carried_over(candidates.garden, want, standing.begun, starts_on, candidates.first_on)
        every = portions(candidates.garden.crops, want, standing.begun, starts_on)
        for portion in (*earlier, *(each for each in every if each.week >= first_week)):
            lot = Lot(want=want.name, week=portion.week - first_week, last_week=portion.last_week - first_week)
            lots[lot] = lots.get(lot, 0.0) + portion.amount
    return lots
