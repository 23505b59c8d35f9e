"""Free and taken holes of a tote, counted by hand: on day 10 cress stands in A 1-4, mizuna in A 5-8 and in B 1-2."""

from __future__ import annotations

import pytest

from said import PLAN, grounds, journal_of, say
from steadysow.errors import InputFaults
from steadysow.standing.holes import busy_holes, check_holes, free_holes
from tiny import day

CRESS, MIZUNA = PLAN.batches[0], PLAN.batches[2]


def test_holes_of_other_batches_are_busy() -> None:
    """For the cress only the mizuna beside it counts; for another batch both do."""
    ground = grounds(10)
    assert busy_holes("A", CRESS, day(10), ground) == {5, 6, 7, 8}
    assert busy_holes("A", MIZUNA, day(10), ground) == {1, 2, 3, 4, 5, 6, 7, 8}
    assert busy_holes("B", CRESS, day(10), ground) == {1, 2}


def test_seedlings_in_the_nursery_take_no_holes() -> None:
    """On day 5 nothing is transplanted yet."""
    assert busy_holes("A", MIZUNA, day(5), grounds(5)) == set()


def test_the_hole_of_a_harvested_head_is_free() -> None:
    """Two heads of A 1-4 were harvested on day 21."""
    ground = grounds(22, journal_of((21, say("harvested", "7", on=21, holes=(1, 3)))))
    assert busy_holes("A", MIZUNA, day(22), ground) == {2, 4, 5, 6, 7, 8}


def test_the_first_free_holes_are_given() -> None:
    """In B holes 3 and 4 are the first that are free; no more than six are."""
    ground = grounds(10)
    assert free_holes("B", 2, CRESS, day(10), ground) == (3, 4)
    assert free_holes("B", 6, CRESS, day(10), ground) == (3, 4, 5, 6, 7, 8)
    with pytest.raises(InputFaults, match=r"--tote: tote B has free holes for 6 of 7 plants on Tue 13 Oct\. First"):
        free_holes("B", 7, CRESS, day(10), ground)


@pytest.mark.parametrize(
    ("holes", "wrong"),
    [
        ((3,), "2 plants need 2 holes, not 1"),
        ((3, 3), "2 plants need 2 holes, not 1"),
        ((8, 9), "tote B has no hole 9. Write numbers from 1 to 8"),
        ((0, 3), "tote B has no hole 0"),
        ((2, 3), "hole 2 of tote B is taken on Tue 13 Oct"),
    ],
)
def test_holes_that_cannot_be_taken_are_refused(holes: tuple[int, ...], wrong: str) -> None:
    """Each refusal is about --holes and says what is wrong."""
    with pytest.raises(InputFaults, match=f"^--holes: {wrong}"):
        check_holes("B", holes, 2, CRESS, day(10), grounds(10))


def test_free_holes_can_be_taken() -> None:
    """Whatever `free_holes` gives passes the check."""
    ground = grounds(10)
    for plants in range(1, 7):
        check_holes("B", free_holes("B", plants, CRESS, day(10), ground), plants, CRESS, day(10), ground)
