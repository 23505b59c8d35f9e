"""Fillings: which stays of batches in a tote are one use of it."""

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
    """One within another, one that reaches beyond it, and two that enter on one day; whatever their order."""
    assert spans(tote, (0, 20), (5, 10), (15, 30)) == [((1, 2, 3), day(0), day(30))]
    assert spans(tote, (0, 20), (0, 10)) == [((1, 2), day(0), day(20))]


@pytest.mark.parametrize("tote", ["A", "B"])
def test_a_day_between_ends_a_filling(tote: str) -> None:
    """What enters the day after the last has left is a filling of its own."""
    assert spans(tote, (0, 20), (21, 30)) == [((1,), day(0), day(20)), ((2,), day(21), day(30))]


def test_stays_that_touch() -> None:
    """What enters as the last leaves goes on in a tote with a pump; a still one is filled anew."""
    assert spans("A", (0, 20), (20, 30)) == [((1, 2), day(0), day(30))]
    assert spans("B", (0, 20), (20, 30)) == [((1,), day(0), day(20)), ((2,), day(20), day(30))]


def test_a_tote_that_moves_is_emptied() -> None:
    """A tote that is carried elsewhere between two batches is filled there anew."""
    moved = spans("A", (0, 20), (20, 30), places=("shelf", "yard"))
    assert moved == [((1,), day(0), day(20)), ((2,), day(20), day(30))]


def test_a_tote_is_filled_once_at_a_time() -> None:
    """Plants moved into a tote from another place share its water with those that stand in it."""
    assert spans("A", (0, 20), (5, 30), places=("shelf", "yard")) == [((1, 2), day(0), day(30))]


@pytest.mark.parametrize("tote", ["A", "B"])
def test_a_stay_of_no_days(tote: str) -> None:
    """What is lost on the day it was planted takes a filling, which what enters on that day goes on with."""
    assert spans(tote, (5, 5)) == [((1,), day(5), day(5))]
    assert spans(tote, (5, 5), (5, 30)) == [((1, 2), day(5), day(30))]


def test_only_what_has_been_in_the_tote_counts() -> None:
    """Batches of other totes, those in the nursery, and those whose tote the garden knows no more are left out."""
    others: tuple[Batch, ...] = (
        planted("A", 0, 20, transplanted_on=None, cleared_on=None),
        planted("A", 0, 20, cleared_on=None),
        planted("gone", 0, 20),
    )
    assert list_fillings(garden_of(PUMPED, STILL), plan_of(*others)) == ()


def test_fillings_go_by_tote_then_day() -> None:
    """The order is that of the totes in the garden, and of the days within each."""
    garden = garden_of(STILL, PUMPED)
    plan = plan_of(planted("A", 0, 5), planted("B", 30, 35, number=2), planted("B", 10, 15, number=3))
    assert [(each.tote, each.batches) for each in list_fillings(garden, plan)] == [
        ("B", (3,)),
        ("B", (2,)),
        ("A", (1,)),
    ]


def test_a_filling_goes_by_what_it_began_with() -> None:
    """An older batch that joins later, or leaves again, changes no name; of several that begin it the least counts."""
    began, joins = planted("A", 0, 30, number=9), planted("A", 10, 40, number=7)
    assert [each.begun_by for each in fillings_of(PUMPED, (began, joins))] == [9]
    assert [each.begun_by for each in fillings_of(PUMPED, (began,))] == [9]
    assert [each.begun_by for each in fillings_of(PUMPED, (began, planted("A", 0, 20, number=8)))] == [8]


def test_a_batch_that_was_moved_has_a_stay_in_each_tote() -> None:
    """From the day it was planted until the day it was moved in one, from then until it is cleared in the other."""
    stay = Stay(tote="B", place="shelf", from_on=day(0), until_on=day(8))
    moved = planted("A", 0, 20, earlier=(stay,))
    garden = garden_of(PUMPED, STILL)
    assert [(each.tote, each.from_on, each.until_on) for each in list_fillings(garden, plan_of(moved))] == [
        ("A", day(8), day(20)),
        ("B", day(0), day(8)),
    ]
