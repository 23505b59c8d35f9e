"""Eleven activities of a textbook: naming needs as many totes as stand at once, and no more.

The set is the example of activity selection in T. H. Cormen, C. E. Leiserson, R. L. Rivest and C. Stein,
"Introduction to Algorithms", chapter on greedy algorithms (the set was seen in a public collection of solutions,
the book was not read). Times are taken as half open.  Six is the most that overlap, counted below; that so many
machines suffice is the theorem on interval partitioning of J. Kleinberg and E. Tardos, "Algorithm Design", section
4.1 (from memory).
"""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations, starmap

import pytest

from steadysow.search.candidates import Candidates, Step
from steadysow.search.naming import name_totes
from steadysow.search.propose import propose
from steadysow.search.strands import Strand
from steadysow.standing.standing import Standing
from tiny import START, by_name, make_crop, make_garden, make_tote, make_want

ACTIVITIES = ((1, 4), (3, 5), (0, 6), (5, 7), (3, 9), (5, 9), (6, 10), (7, 11), (8, 12), (2, 14), (12, 16))
DEPTH = 6


def totes_of_one_hole(number: int) -> Candidates:
    """Give a garden of alike totes that hold one plant each."""
    cress = make_crop(lid_holes=1)
    names = tuple(f"T{tote}" for tote in range(1, number + 1))
    garden = make_garden([make_tote(name, 1) for name in names], [make_want([cress], 1)], weeks=4)
    return propose(replace(garden, crops=by_name([cress])), Standing(), first_on=START, today=START, days=28)


def one_plant(start: int, end: int) -> Strand:
    """Give a plant that stands from one day to another."""
    step = Step(
        line=0,
        group=0,
        begun=None,
        entered_day=-1,
        from_day=start,
        to_day=end,
        after=0,
        number=1,
        grams=100.0,
        latest_day=end,
    )
    return Strand(line=0, group=0, begun=None, sown_day=start - 7, transplant_day=start, steps=(step,), plants=1)


PLANTS = tuple(starmap(one_plant, ACTIVITIES))


def test_six_activities_overlap() -> None:
    """At the busiest time six of the activities are under way."""
    assert max(sum(start <= hour < end for start, end in ACTIVITIES) for hour in range(16)) == DEPTH


def test_as_many_totes_as_overlap_suffice() -> None:
    """Six totes take all eleven plants, and no two of a tote stand at once."""
    placed = name_totes(totes_of_one_hole(DEPTH), PLANTS)

    assert placed is not None
    assert sum(len(each.strands) for each in placed) == len(ACTIVITIES)
    stays = [(each.tote, strand.transplant_day, strand.leaves_day) for each in placed for strand in each.strands]
    assert len({tote for tote, _, _ in stays}) == DEPTH
    assert all(a[0] != b[0] or a[2] <= b[1] or b[2] <= a[1] for a, b in permutations(stays, 2))


@pytest.mark.parametrize("totes", range(1, DEPTH))
def test_fewer_totes_do_not(totes: int) -> None:
    """With fewer totes some plant finds none."""
    assert name_totes(totes_of_one_hole(totes), PLANTS) is None
