"""Recorded harvests answer planned ones, and planned holes find their plants; days and holes are counted by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from said import PLAN
from steadysow.inputs.journal import Fact
from steadysow.standing.harvests import (
    ANSWERS_DAYS,
    answered,
    grams_of_plants,
    harvests_by_day,
    holes_now,
    is_elsewhere,
)
from tiny import day

# Batch 8 has cuts planned for days 21 and 28, from four plants in A 5-8.
BATCH = PLAN.batches[1]


def harvested(on: int, **more: object) -> Fact:
    """Record a harvest of batch 8."""
    return replace(Fact(kind="harvested", on=day(on), batch=8), **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("recorded", "answers"),
    [
        ([20], {0: 0}),
        ([24], {0: 0}),
        ([25], {0: 1}),
        ([21, 22], {0: 0, 1: 1}),
        ([7], {0: 0}),
        ([6], {}),
        ([42], {0: 1}),
        ([43], {}),
        ([21, 28, 35], {0: 0, 1: 1}),
    ],
)
def test_a_harvest_answers_the_nearest_planned_one(recorded: list[int], answers: dict[int, int]) -> None:
    """Each harvest answers the nearest planned one that is still open, no further away than 14 days."""
    assert ANSWERS_DAYS == 14
    assert answered([day(on) for on in recorded], BATCH.harvests) == answers


def test_a_harvest_that_a_plan_took_from_the_journal_answers_itself() -> None:
    """The plan has a harvest of day 25 from the journal: one of day 24 answers it only once that fact is gone."""
    known = (replace(BATCH.harvests[0], on=day(25), is_recorded=True), BATCH.harvests[1])
    assert answered([day(24), day(25)], known) == {0: 1, 1: 0}
    assert answered([day(24)], known) == {0: 0}


def test_harvests_of_one_day_count_together() -> None:
    """Holes 5 and 6 in the morning and one plant in the evening are three plants, with the grams of both."""
    morning, evening = harvested(21, holes=(5, 6), grams=90.0), harvested(21, plants=1, grams=60.0)
    (both,) = harvests_by_day([morning, Fact(kind="lost", on=day(21), batch=8), evening])
    assert (both.on, both.plants, both.grams, both.holes, both.fact) == (day(21), 3, 150.0, (5, 6), evening)


def test_an_uncounted_harvest_leaves_its_day_uncounted() -> None:
    """One of two facts does not say how many plants, so the day does not either; a missing weight adds nothing."""
    (both,) = harvests_by_day([harvested(21, grams=60.0), harvested(21, plants=2)])
    assert (both.plants, both.grams) == (None, 60.0)


def test_harvests_come_by_day() -> None:
    """Facts typed in another order are sorted by their days."""
    assert [each.on for each in harvests_by_day([harvested(28), harvested(21)])] == [day(21), day(28)]


@pytest.mark.parametrize(("plants", "grams"), [(4, 40.0), (3, 30.0), (1, 10.0), (0, 0.0)])
def test_a_part_of_the_plants_gives_its_part_of_the_grams(plants: int, grams: float) -> None:
    """The first cut of batch 8 is 40 g from four plants."""
    assert grams_of_plants(BATCH.harvests[0], plants) == grams


@pytest.mark.parametrize(
    ("tote", "holes", "expected"),
    [("A", (5, 6, 7, 8), False), ("A", (5, 6), False), ("A", (4, 5), True), ("B", (5, 6), True)],
)
def test_a_batch_is_elsewhere_in_another_tote_or_hole(tote: str, holes: tuple[int, ...], expected: bool) -> None:
    """Batch 8 is planned for A 5-8; some of these holes are not elsewhere."""
    assert is_elsewhere(BATCH, tote, holes) is expected


@pytest.mark.parametrize(
    ("planned", "now", "stand_for"),
    [
        ((1, 2), (1, 2), {}),
        ((1, 2), (3, 4), {1: 3, 2: 4}),
        ((1, 2, 3), (2, 7), {1: 7}),
        ((1, 2), (2, 5, 6), {1: 5}),
    ],
)
def test_other_holes_stand_for_planned_ones(
    planned: tuple[int, ...], now: tuple[int, ...], stand_for: dict[int, int]
) -> None:
    """Planned holes that are used stand for themselves; the others are matched in order, as far as they go."""
    assert holes_now(planned, now) == stand_for
