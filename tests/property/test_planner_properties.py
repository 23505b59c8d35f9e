"""What holds of every plan that is decided, whatever the garden.

It is legal, as good as told, the same when asked again, and keeps what has begun.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from steadysow.check.verify import verify
from steadysow.inputs.garden import Garden
from steadysow.pipeline import Inputs, make_plan
from steadysow.plan.batch import Batch
from steadysow.plan.measure import measure
from steadysow.search.decide import Decision
from steadysow.standing.standing import Standing, standing_from
from tiny import START, by_name, day, decided

from .strategies import Plot, plots

EXACT = 1e-6

# Each decision starts processes of its own, which takes its time; the examples are the same on every run.
few = settings(max_examples=10, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])


def share_of(plot: Plot, decision: Decision) -> float:
    """Measure the batches of a decision, with nothing of the solver's word."""
    garden = replace(plot.garden, crops=by_name(plot.crops))
    return measure(garden, decision.batches, START, START, garden.weeks, START, decision.reach).served_share


def breaches_of(plot: Plot, batches: Sequence[Batch], today: date, standing: Standing) -> list[str]:
    """Give what is wrong with batches, in sentences."""
    found = verify(
        replace(plot.garden, crops=by_name(plot.crops)), batches, today=today, starts_on=START, begun=standing.begun
    )
    return [breach.sentence for breach in found]


@few
@given(plots())
def test_decision_is_legal_and_as_good_as_told(plot: Plot) -> None:
    """Batches keep every rule, have numbers of their own, and serve the best share or little less."""
    decision = decided(plot.garden, plot.crops)

    assert breaches_of(plot, decision.batches, START, Standing()) == []
    assert len({batch.id for batch in decision.batches}) == len(decision.batches)
    share, best = share_of(plot, decision), decision.choice.best_share
    assert best - plot.garden.tidy_points / 100 - EXACT <= share <= decision.choice.bound_share + EXACT
    if plot.garden.tidy_points == 0:
        assert share == pytest.approx(best, abs=EXACT)
    assert best <= decision.choice.bound_share + EXACT


@settings(few, max_examples=4)
@given(plots())
def test_decided_twice_is_decided_alike(plot: Plot) -> None:
    """The same garden gives the same plan."""
    assert decided(plot.garden, plot.crops) == decided(plot.garden, plot.crops)


def with_another_tote(garden: Garden) -> Garden:
    """Give the garden one tote more, like its first."""
    return replace(garden, totes=(*garden.totes, replace(garden.totes[0], name="Z")))


def with_any_number_of_crops(garden: Garden) -> Garden:
    """Let any number of crops be sown on a day."""
    return replace(garden, sowing=replace(garden.sowing, crops_a_day=99))


def with_more_cells(garden: Garden) -> Garden:
    """Let the nursery hold whatever is sown."""
    return replace(garden, nursery=replace(garden.nursery, cells=200))


@few
@given(
    plots(most_totes=2, most_weeks=4), st.sampled_from((with_another_tote, with_any_number_of_crops, with_more_cells))
)
def test_more_room_serves_no_less(plot: Plot, widened: Callable[[Garden], Garden]) -> None:
    """A tote more, or a rule less, makes neither the best plan nor the bound worse; both are proven."""
    # The smallest sowing counts all the holes there are, so that a tote more may ask for a larger one.
    assume(plot.garden.sowing.smallest == 1)
    less, more = decided(plot.garden, plot.crops), decided(widened(plot.garden), plot.crops)

    assert (less.choice.status, more.choice.status) == ("optimal", "optimal")
    assert more.choice.best_share >= less.choice.best_share - EXACT
    assert more.choice.bound_share >= less.choice.bound_share - EXACT


@few
@given(plots(most_totes=2, most_weeks=5), st.integers(1, 12))
def test_plan_made_anew_keeps_what_has_begun(plot: Plot, later: int) -> None:
    """Planned anew days later, what has begun is kept as it is, and so is every rule."""
    inputs = Inputs(garden=replace(plot.garden, crops=by_name(plot.crops)))
    old = make_plan(inputs, today=START)
    today = day(later)
    standing = standing_from(old, today)

    new = make_plan(inputs, today=today, old=old)

    assert breaches_of(plot, new.batches, today, standing) == []
    by_id = {batch.id: batch for batch in new.batches}
    for begun in standing.begun:
        kept = by_id[begun.id]
        assert (kept.crop, kept.want, kept.sown_on, kept.seeds) == (begun.crop, begun.want, begun.sown_on, begun.seeds)
        assert kept.harvests[: len(begun.harvests)] == begun.harvests
    assert len(by_id) == len(new.batches)
