"""Deciding: from what stands to the batches of a plan, through candidates, choice and naming.

Takes the garden, what stands and the span of weeks; gives a `Decision`: batches, and what is proven of them.  Hides the ladder: alike
totes are counted together first, which proves the bound; where the result cannot be named, totes are counted one by one.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from time import monotonic

from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden
from steadysow.planning import plan as plans
from steadysow.planning.assemble import assemble
from steadysow.planning.candidates import Candidates, propose, tail_weeks
from steadysow.planning.choose import Choice, Task, choose, followed, narrowed, simplified
from steadysow.planning.model import Lot
from steadysow.planning.plan import Batch
from steadysow.planning.solver import Progress
from steadysow.planning.standing import Standing
from steadysow.planning.totes import name_totes

# Above this many steps, totes counted one by one are only offered what was chosen for them together.
MOST_STEPS_BY_TOTE = 3000

# The part of the time that choosing with alike totes together may take, so that some is left to choose tote by tote.
POOLED_PART = 0.75


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """When: the garden's beginning, the first planned week, today, and the number of planned weeks."""

    starts_on: date
    first_on: date
    today: date
    weeks: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision:
    """The batches, what is known of their quality, and by want the first day on which something can be harvested."""

    batches: tuple[Batch, ...]
    choice: Choice
    reach: Mapping[str, date | None]


def decide(
    garden: Garden,
    crops: Mapping[str, Crop],
    standing: Standing,
    *,
    span: Span,
    old: Sequence[Batch] = (),
    seconds: float = 10.0,
    on_progress: Progress | None = None,
) -> Decision:
    """Decide what to sow, where and when.

    Parameters
    ----------
    garden, crops, standing
        What there is.
    span
        When.
    old
        Batches of the plan in force, whose numbers last.
    seconds
        Ceiling on the time [s].
    on_progress
        Called with the best share and the bound so far, and the seconds since the start.
    """
    stop_at = monotonic() + seconds
    days = 7 * (span.weeks + tail_weeks(garden, crops, span.first_on))

    def proposed(*, by_tote: bool) -> Candidates:
        return propose(
            garden, crops, standing, first_on=span.first_on, today=span.today, days=days, by_tote=by_tote
        )

    together = proposed(by_tote=False)
    task = Task(
        weeks=span.weeks,
        wanted=_wanted(together),
        leftovers=_leftovers(together, standing, crops, span.starts_on),
    )
    choice = choose(
        together, task, seconds=seconds * POOLED_PART, start=followed(together, old), on_progress=on_progress
    )
    choice = simplified(together, task, choice, seconds=max(1.0, stop_at - monotonic()))
    candidates, placed = together, name_totes(together, choice.strands)
    if placed is None:
        candidates = proposed(by_tote=True)
        is_narrow = len(candidates.steps) > MOST_STEPS_BY_TOTE
        if is_narrow:
            candidates = narrowed(candidates, together, choice.strands)
        one_by_one = choose(
            candidates,
            task,
            seconds=max(1.0, stop_at - monotonic()),
            start=followed(candidates, old),
            on_progress=on_progress,
        )
        choice = one_by_one.bounded_by(choice, is_narrow=is_narrow)
        placed = name_totes(candidates, choice.strands)
        assert placed is not None, "totes counted one by one can always be named"
    reach = {want: None if day is None else together.date_of(day) for want, day in together.reach.items()}
    return Decision(batches=assemble(candidates, placed, standing, old=old), choice=choice, reach=reach)


def _wanted(candidates: Candidates) -> dict[tuple[str, int], float]:
    """Give what is wanted by want and week, where it is in reach, tail included."""
    amounts = {}
    for want in candidates.garden.wants:
        reach = candidates.reach[want.name]
        for week in range(candidates.days // 7):
            amount = plans.wanted(candidates.garden, want, candidates.date_of(7 * week))
            if amount > 0 and reach is not None and reach < 7 * (week + 1):
                amounts[(want.name, week)] = amount
    return amounts


def _leftovers(
    candidates: Candidates, standing: Standing, crops: Mapping[str, Crop], starts_on: date
) -> dict[Lot, float]:
    """Give what was harvested before today and is still good."""
    first_week = (candidates.first_on - starts_on).days // 7
    lots: dict[Lot, float] = {}
    for want in candidates.garden.wants:
        earlier = plans.carried_over(
            candidates.garden, crops, want, standing.begun, starts_on, candidates.first_on
        )
        every = plans.portions(crops, want, standing.begun, starts_on)
        for portion in (*earlier, *(each for each in every if each.week >= first_week)):
            lot = Lot(want=want.name, week=portion.week - first_week, last_week=portion.last_week - first_week)
            lots[lot] = lots.get(lot, 0.0) + portion.amount
    return lots
