"""What mending promises: the coming week stays, and a plan comes out also where there was no time for it."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import date, timedelta
from functools import cache
from pathlib import Path

import pytest

from steadysow.door.words import freed
from steadysow.inputs.journal import imagined
from steadysow.pipeline import Inputs, make_plan, read, rebalance
from steadysow.plan.plan import Plan
from steadysow.search import mending

EXAMPLE = Path(__file__).parents[2] / "examples" / "window-sill"
# So long that no clock cuts in [s].
SECONDS = 600.0


@cache
def planned(days: int) -> tuple[Inputs, Plan, date]:
    """Plan the window-sill, and again some days later."""
    inputs = read(EXAMPLE)
    assert inputs.garden.starts_on is not None
    first = make_plan(inputs, today=inputs.garden.starts_on, seconds=SECONDS)
    today = inputs.garden.starts_on + timedelta(days)
    return inputs, make_plan(inputs, today=today, old=first, seconds=SECONDS), today


def with_fullest_tote_freed(inputs: Inputs, plan: Plan, today: date) -> tuple[Inputs, str]:
    """Tell that the tote with the most plants stands empty."""
    plants: Counter[str] = Counter()
    for batch in inputs.standing(plan, today).begun:
        if batch.state == "transplanted":
            plants[batch.tote] += batch.plants
    tote = max(plants, key=lambda name: (plants[name], name))
    facts = freed((tote,), (), inputs.grounds(plan, today)).facts
    return replace(inputs, journal=imagined(inputs.journal, facts)[0]), tote


def promises(plan: Plan, today: date, without: set[int]) -> dict[tuple[int, str, date], int]:
    """Give by batch, chore and day the plants of what is dated within the coming seven days, but for some batches."""
    dated: dict[tuple[int, str, date], int] = {}
    for batch in plan.batches:
        dated[(batch.id, "sow", batch.sown_on)] = batch.plants
        if batch.transplanted_on is not None:
            dated[(batch.id, f"plant into {batch.tote}", batch.transplanted_on)] = batch.plants
        for harvest in batch.harvests:
            dated[(batch.id, "harvest", harvest.on)] = harvest.plants
    until = today + timedelta(7)
    return {key: plants for key, plants in dated.items() if key[0] not in without and today <= key[2] < until}


@pytest.mark.parametrize("days", [21, 49, 56, 77])
def test_the_coming_week_stays(days: int) -> None:
    """Whatever a freed tote makes possible, all that others were promised for within seven days stays, or grows."""
    inputs, plan, today = planned(days)
    told, tote = with_fullest_tote_freed(inputs, plan, today)
    mended = rebalance(told, today=today, old=plan, freedom="high", seconds=SECONDS).plan
    gone = {batch.id for batch in plan.batches if batch.tote == tote}
    before, after = promises(plan, today, gone), promises(mended, today, gone)
    assert before
    assert [key for key, plants in before.items() if after.get(key, 0) < plants] == []


def test_without_time_to_mend_what_stands_is_planned_round(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where not even the promises could be looked through, a legal plan comes out all the same, and says so."""
    inputs, plan, today = planned(35)
    told, _ = with_fullest_tote_freed(inputs, plan, today)
    monkeypatch.setattr(mending._Mender, "mended", lambda *_, **__: None)
    mended = rebalance(told, today=today, old=plan, seconds=SECONDS).plan
    assert mended.proof.status == "time limit"
    assert any(batch.state == "planned" for batch in mended.batches)
