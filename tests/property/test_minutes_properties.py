"""What holds where the minutes of a week are limited, whatever the garden."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace

from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from steadysow.growth.germination import cells_for
from steadysow.pipeline import Inputs, make_plan, rebalance
from steadysow.plan.minutes import minutes_by_week
from steadysow.plan.plan import Plan
from steadysow.search.assemble import assemble
from steadysow.search.candidates import Sowing
from steadysow.search.model import build
from steadysow.search.naming import name_totes
from steadysow.search.rules_of_thumb import greedy
from steadysow.search.strands import start_of
from tiny import NOTHING_BEGUN, START, by_name, day, decided, proposed

from .strategies import Plot, plots
from .test_rules_of_thumb_properties import planned as batches_by_thumb
from .test_rules_of_thumb_properties import standing_at

EXACT = 1e-6

few = settings(deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])


def limited(plot: Plot, minutes: float | None) -> Plot:
    """Give the plot with other minutes a week."""
    return replace(plot, garden=replace(plot.garden, chore_minutes_a_week=minutes))


def planned(plot: Plot) -> Plan:
    """Plan a plot from its first day on."""
    return make_plan(Inputs(garden=replace(plot.garden, crops=by_name(plot.crops))), today=START)


@settings(few, max_examples=60)
@given(plots(), st.integers(0, 20), st.sampled_from((20.0, 10_000.0)))
def test_program_counts_the_minutes_of_the_finished_plan(plot: Plot, later: int, minutes: float) -> None:
    """The terms of the program come to the minutes of the batches that are made of it, week by week."""
    plot, today, standing = limited(plot, minutes), day(later), NOTHING_BEGUN
    if later:
        # What has begun may be more than there are minutes for.
        before = batches_by_thumb(limited(plot, None), START, standing)
        assert before is not None
        standing = standing_at(plot, before, today)
    candidates, task = proposed(plot.garden, plot.crops, standing, today=today, by_tote=True)
    strands = greedy(candidates, task)
    assume(strands or not candidates.begun)
    placed = name_totes(candidates, strands)
    assert placed is not None
    batches = assemble(candidates, placed, standing)
    model = build(candidates, weeks=task.weeks, wanted=task.wanted, leftovers=task.leftovers)
    values: defaultdict[int, float] = defaultdict(float, start_of(model.columns, strands))
    for sowing, column in model.seedlings.cells.items():
        plants = round(values[model.columns.sowings[candidates.sowings.index(sowing)]])
        values[column] = cells_for(candidates.lines[sowing.line].crop, plants)
    for (crop, on), column in model.columns.crop_days.items():
        sown = (s for s in candidates.sowings if (candidates.lines[s.line].crop.name, s.sown_day) == (crop, on))
        values[column] = float(any(values[_column(model.columns.sowings, candidates.sowings, s)] for s in sown))
    for (b, group, on), column in model.waiting.choices.items():
        values[column] = float(any((s.begun, s.group, s.transplant_day) == (b, group, on) for s in strands))

    counted = minutes_by_week(replace(plot.garden, crops=by_name(plot.crops)), batches, starts_on=START, today=today)

    for week, terms in model.work.minutes.items():
        told = candidates.spent.get(week, 0.0) + sum(value * values[column] for column, value in terms.items())
        assert abs(told - counted.get(week, 0.0)) < EXACT, week


def _column(columns: tuple[int, ...], sowings: tuple[Sowing, ...], sowing: Sowing) -> int:
    return columns[sowings.index(sowing)]


@settings(few, max_examples=8)
@given(plots(most_totes=2, most_weeks=4), st.integers(10, 24), st.sampled_from((1.5, None)))
def test_no_week_passes_its_minutes_and_more_serve_no_less(plot: Plot, minutes: int, factor: float | None) -> None:
    """In a new garden every week keeps to its minutes; more of them make nothing worse; both are proven."""
    tight, wide = limited(plot, minutes), limited(plot, factor and factor * minutes)
    less, more = decided(tight.garden, tight.crops), decided(wide.garden, wide.crops)

    counted = minutes_by_week(
        replace(tight.garden, crops=by_name(plot.crops)), less.batches, starts_on=START, today=START
    )
    assert max(counted.values(), default=0.0) <= minutes + 0.001
    assert (less.choice.status, more.choice.status) == ("optimal", "optimal")
    assert more.choice.best_share >= less.choice.best_share - EXACT
    assert more.choice.bound_share >= less.choice.bound_share - EXACT


@settings(few, max_examples=3)
@given(plots(), st.integers(1, 20), st.integers(6, 14))
def test_weeks_that_what_has_begun_overfills_get_nothing_more(plot: Plot, later: int, minutes: int) -> None:
    """Given too few minutes for what was begun without a limit, planning anew and mending add nothing to such weeks."""
    old, today = planned(limited(plot, None)), day(later)
    inputs = Inputs(garden=replace(limited(plot, minutes).garden, crops=by_name(plot.crops)))

    for plan in (
        make_plan(inputs, today=today, old=old),
        rebalance(inputs, today=today, old=old).plan,
    ):
        every, begun = (
            minutes_by_week(inputs.garden, batches, starts_on=START, today=today)
            for batches in (plan.batches, [batch for batch in plan.batches if batch.state != "planned"])
        )
        for week, each in every.items():
            assert each <= max(minutes, begun.get(week, 0.0)) + 0.001
        overfull = any(each > minutes + 1 for week, each in begun.items() if week >= later // 7)
        assert overfull <= any("gets no new work" in note for note in plan.notes)
