"""A plan's tables hold what the plan holds, one row for each thing, all with the same keys."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cellar import a_batch, a_plan, heads
from steadysow.plan.plan import Plan, WantWeek, Week

WEEK = Week(
    starts_on=a_batch().sown_on,
    wants=tuple(
        WantWeek(want=name, unit="g", wanted=180.0, harvested=90.0, served=90.0, surplus=0.0, in_reach=True, by_crop=())
        for name in ("salad", "pan")
    ),
)


@pytest.fixture
def plan() -> Plan:
    """Give a plan of a planned and a begun batch, and of one week with two wants."""
    return replace(a_plan(a_batch(), replace(heads(), state="sown")), weeks=(WEEK,))


def test_every_harvest_is_a_row(plan: Plan) -> None:
    """Each harvest of each batch stands once, with its batch's crop and tote."""
    rows = plan.rows("harvests")
    expected = [(batch.id, each.on, each.grams) for batch in plan.batches for each in batch.harvests]
    assert [(row["batch"], row["on"], row["grams"]) for row in rows] == expected
    assert {(row["batch"], row["crop"], row["tote"]) for row in rows} == {
        (batch.id, batch.crop, batch.tote) for batch in plan.batches
    }
    assert len({tuple(row) for row in rows}) == 1


def test_sowings_are_those_still_planned(plan: Plan) -> None:
    """A batch that has been sown is no sowing to come."""
    assert [row["batch"] for row in plan.rows("sowings")] == [12]


def test_batches_and_weeks(plan: Plan) -> None:
    """Every batch has a row, and every want of every week."""
    assert [row["id"] for row in plan.rows("batches")] == [batch.id for batch in plan.batches]
    assert [(row["starts_on"], row["want"]) for row in plan.rows("weeks")] == [
        (WEEK.starts_on, "salad"),
        (WEEK.starts_on, "pan"),
    ]


def test_no_row_holds_rows(plan: Plan) -> None:
    """Every value is plain, or the numbers of holes, so that a table can hold it."""
    for kind in ("batches", "sowings", "harvests", "weeks"):
        for row in plan.rows(kind):
            assert not any(isinstance(value, dict | list) for value in row.values())


def test_another_table_is_refused(plan: Plan) -> None:
    """A wrong name is answered with the right ones."""
    with pytest.raises(ValueError, match="write one of batches, sowings, harvests, weeks"):
        plan.rows("totes")  # type: ignore[arg-type]
