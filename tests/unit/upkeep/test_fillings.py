"""Fillings: which stays of batches in a tote make one filling."""

from __future__ import annotations

from datetime import date
from itertools import permutations

import pytest

from planted import garden_of, plan_of, planted
from steadysow.plan.batch import Batch, Stay
from steadysow.upkeep.fillings import fillings_of, list_fillings
from tiny import day, make_tote

PUMPED, STILL = make_tote("A", 12), make_tote("B", 12, "kratky")

Span = tuple[tuple[int, ...], date, date]


def spans(tote_name: str, *stays: tuple[int, int], places: tuple[str, ...] = ()) -> list[Span]:
    """Give the batches and days of the fillings that these stays make."""
    tote = PUMPED if tote_name == "A" else STILL
    batches = [
        planted(tote_name, enters, leaves, number=number, place=places[number - 1] if places else "shelf")
        for number, (enters, leaves) in enumerate(stays, start=1)
    ]
    (found,) = {
        tuple((filling.batches, filling.from_on, filling.until_on) for filling in fillings_of(tote, order))
        for order in permutations(batches)
    }
    return list(found)


@pytest.mark.parametrize("tote", ["A", "B"])
def test_stays_that_overlap_are_one_filling(tote: str) -> None:
    """Stays within each other, stays that overlap and stays that begin together are one filling, in any order."""
    assert spans(tote, (0, 20), (5, 10), (15, 30)) == [((1, 2, 3), day(0), day(30))]
    assert spans(tote, (0, 20), (0, 10)) == [((1, 2), day(0), day(20))]


@pytest.mark.parametrize("tote", ["A", "B"])
def test_a_day_between_ends_a_filling(tote: str) -> None:
    """Plants that enter the day after the last ones left begin a new filling."""
    assert spans(tote, (0, 20), (21, 30)) == [((1,), day(0), day(20)), ((2,), day(21), day(30))]


def test_stays_that_touch() -> None:
    """Plants that enter as the last ones leave join a filling in a tote with a pump, and begin one in a still tote."""
    assert spans("A", (0, 20), (20, 30)) == [((1, 2), day(0), day(30))]
    assert spans("B", (0, 20), (20, 30)) == [((1,), day(0), day(20)), ((2,), day(20), day(30))]


def test_a_tote_that_moves_is_emptied() -> None:
    """A tote that is carried to another place between two batches is filled there again."""
    moved = spans("A", (0, 20), (20, 30), places=("shelf", "yard"))
    assert moved == [((1,), day(0), day(20)), ((2,), day(20), day(30))]


def test_a_tote_has_one_filling_at_a_time() -> None:
    """Plants that move into a tote from another place join the filling of those that stand in it."""
    assert spans("A", (0, 20), (5, 30), places=("shelf", "yard")) == [((1, 2), day(0), day(30))]


@pytest.mark.parametrize("tote", ["A", "B"])
def test_a_stay_of_no_days(tote: str) -> None:
    """A batch that is lost on the day it was planted has a filling, which others of that day join."""
    assert spans(tote, (5, 5)) == [((1,), day(5), day(5))]
    assert spans(tote, (5, 5), (5, 30)) == [((1, 2), day(5), day(30))]


def test_only_stays_in_the_tote_count() -> None:
    """Batches in the nursery, or in a tote that the garden no longer has, have no filling."""
    others: tuple[Batch, ...] = (
        planted("A", 0, 20, transplanted_on=None, cleared_on=None),
        planted("A", 0, 20, cleared_on=None),
        planted("gone", 0, 20),
    )
    assert list_fillings(garden_of(PUMPED, STILL), plan_of(*others)) == ()


def test_fillings_go_by_tote_then_day() -> None:
    """Fillings are in the order of the garden's totes, and by day within each."""
    garden = garden_of(STILL, PUMPED)
    plan = plan_of(planted("A", 0, 5), planted("B", 30, 35, number=2), planted("B", 10, 15, number=3))
    assert [(each.tote, each.batches) for each in list_fillings(garden, plan)] == [
        ("B", (3,)),
        ("B", (2,)),
        ("A", (1,)),
    ]


def test_a_filling_is_named_by_its_first_batch() -> None:
    """A batch that joins later does not change the name; of several first batches the least id counts."""
    began, joins = planted("A", 0, 30, number=9), planted("A", 10, 40, number=7)
    assert [each.begun_by for each in fillings_of(PUMPED, (began, joins))] == [9]
    assert [each.begun_by for each in fillings_of(PUMPED, (began,))] == [9]
    assert [each.begun_by for each in fillings_of(PUMPED, (began, planted("A", 0, 20, number=8)))] == [8]


def test_a_batch_that_moved_has_a_filling_in_each_tote() -> None:
    """It is in one tote from planting until the move, and in the other from the move until it is cleared."""
    stay = Stay(tote="B", place="shelf", from_on=day(0), until_on=day(8))
    moved = planted("A", 0, 20, earlier=(stay,))
    garden = garden_of(PUMPED, STILL)
    assert [(each.tote, each.from_on, each.until_on) for each in list_fillings(garden, plan_of(moved))] == [
        ("A", day(8), day(20)),
        ("B", day(0), day(8)),
    ]
