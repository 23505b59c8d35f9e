"""What holds of every plan by rule of thumb, whatever the garden: it is legal, and a start that the solver takes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from builders import a_plan
from steadysow.check.verify import verify
from steadysow.plan.batch import Batch
from steadysow.plan.measure import measure
from steadysow.search.assemble import assemble
from steadysow.search.model import build
from steadysow.search.naming import name_totes
from steadysow.search.rules_of_thumb import greedy
from steadysow.search.solver import Stage, solve
from steadysow.search.strands import start_of
from steadysow.standing.standing import Standing, standing_from
from tiny import START, by_name, day, proposed

from .strategies import Plot, plots

EXACT = 1e-6

steady = settings(deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])


def planned(plot: Plot, today: date, standing: Standing) -> tuple[Batch, ...] | None:
    """Give the batches of a plan by rule of thumb, tote by tote; ``None`` if what waits finds none."""
    candidates, task = proposed(plot.garden, plot.crops, standing, today=today, by_tote=True)
    strands = greedy(candidates, task)
    if not strands and candidates.begun:
        return None
    placed = name_totes(candidates, strands)
    assert placed is not None
    return assemble(candidates, placed, standing)


def breaches_of(plot: Plot, batches: Sequence[Batch], today: date, standing: Standing) -> list[str]:
    """Give what is wrong with batches, in sentences."""
    found = verify(
        replace(plot.garden, crops=by_name(plot.crops)), batches, today=today, starts_on=START, begun=standing.begun
    )
    return [breach.sentence for breach in found]


def standing_at(plot: Plot, batches: tuple[Batch, ...], today: date) -> Standing:
    """Say what stands on a day if the batches were the plan in force."""
    plan = a_plan(*batches, until_on=START + timedelta(7 * plot.garden.weeks))
    return standing_from(plan, today)


@settings(steady, max_examples=150)
@given(plots(), st.integers(1, 20))
def test_no_rule_is_broken(plot: Plot, later: int) -> None:
    """From an empty garden, and planned anew round what has begun, no rule is broken."""
    batches = planned(plot, START, Standing())
    assert batches is not None
    assert breaches_of(plot, batches, START, Standing()) == []

    today = day(later)
    standing = standing_at(plot, batches, today)
    anew = planned(plot, today, standing)
    if anew is not None:
        assert breaches_of(plot, anew, today, standing) == []


@settings(steady, max_examples=15)
@given(plots())
def test_solver_takes_it_as_it_is(plot: Plot) -> None:
    """The rows of the exact program hold for it, and give the share that the finished plan measures."""
    candidates, task = proposed(plot.garden, plot.crops, by_tote=True)
    if not task.wanted:
        return
    batches = planned(plot, START, Standing())
    assert batches is not None
    reach = {want: None if day is None else candidates.date_of(day) for want, day in candidates.reach.items()}
    weeks = plot.garden.weeks
    measured = measure(
        replace(plot.garden, crops=by_name(plot.crops)), batches, START, START, weeks, START, reach
    ).served_share
    model = build(candidates, weeks=task.weeks, wanted=task.wanted, leftovers={})
    as_it_is = Stage(name="best", aim=model.served_share(0, weeks), searches=False)

    start = start_of(model.columns, greedy(candidates, task))
    solution = solve(model.program, (as_it_is,), seconds=30, starts=[start])

    assert solution.reached[0].value == pytest.approx(measured, abs=EXACT)
