"""Bin packing with totes as bins: batches stay whole where that can be, also where first-fit-decreasing parts them.

Every set's least number of bins is proven by the packing and the bound told with it; the sets of capacity 100 and
524 are of public test collections for bin packing (the first kind is that of S. Martello and P. Toth, "Knapsack
Problems", 1990; book not read), one is the example of the OR-Tools documentation page on bin packing, and the last
is our own.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import pytest

from steadysow.inputs.crops import System
from steadysow.search.candidates import Step
from steadysow.search.naming import Placed, name_totes
from steadysow.search.propose import propose
from steadysow.search.strands import Strand
from steadysow.standing.standing import Standing
from tiny import START, by_name, make_crop, make_garden, make_tote, make_want

LEAVES_DAY = 21


@dataclass(frozen=True, slots=True, kw_only=True)
class Packing:
    """Sizes to pack into bins of a capacity, and the least number of bins (known from the source or a computation)."""

    capacity: int
    least: int
    sizes: tuple[int, ...]


ROUND_HUNDREDS = Packing(capacity=100, least=4, sizes=(70, 60, 50, 33, 33, 33, 11, 7, 3))
# 49 + 29 + 22, 41 + 33 + 26, 34 + 26 + 20 + 19.
BEATS_FIRST_FIT = Packing(capacity=100, least=3, sizes=(49, 41, 34, 33, 29, 26, 26, 22, 20, 19))
FOURTEEN = Packing(capacity=100, least=7, sizes=(99, 94, 79, 64, 50, 46, 43, 37, 32, 19, 18, 7, 6, 3))
# All seven bins are full to the brim.
THIRTY_THREE = Packing(
    capacity=524,
    least=7,
    sizes=(442, *(252,) * 7, *(127,) * 5, *(106,) * 4, 85, 84, 46, 37, 37, *(12,) * 3, *(10,) * 6, *(9,) * 2),
)
DOCUMENTED = Packing(capacity=100, least=4, sizes=(48, 30, 19, 36, 36, 27, 42, 42, 36, 24, 30))
# 8 + 2 + 2 and 7 + 3 + 2, in a tote of twelve holes.
TWELVE_HOLES = Packing(capacity=12, least=2, sizes=(2, 2, 2, 3, 7, 8))
PACKINGS = (ROUND_HUNDREDS, BEATS_FIRST_FIT, FOURTEEN, THIRTY_THREE, DOCUMENTED, TWELVE_HOLES)
# A still tote more would be kept from other plants for weeks: there batches are parted rather than another tote filled.
DENSE = tuple(packing for packing in PACKINGS if sum(packing.sizes) > packing.capacity * (packing.least - 1))
NAMINGS = [*((packing, "dwc") for packing in PACKINGS), *((packing, "kratky") for packing in DENSE)]


def first_fit_decreasing(packing: Packing) -> int:
    """Count the bins of the rule of thumb: the largest first, each into the first bin that has room for it."""
    bins: list[int] = []
    for size in sorted(packing.sizes, reverse=True):
        place = next((number for number, used in enumerate(bins) if used + size <= packing.capacity), None)
        if place is None:
            bins.append(size)
        else:
            bins[place] += size
    return len(bins)


def named(packing: Packing, totes: int, system: System) -> tuple[Placed, ...] | None:
    """Name the totes of batches that are planted on one day and leave on one day."""
    chard = make_crop("chard", "cut", lid_holes=packing.capacity)
    names = tuple(f"T{tote}" for tote in range(1, totes + 1))
    lids = [make_tote(name, packing.capacity, system) for name in names]
    garden = make_garden(lids, [make_want([chard], 1, unit="g")], weeks=4)
    candidates = propose(replace(garden, crops=by_name([chard])), Standing(), first_on=START, today=START, days=28)
    return name_totes(candidates, [batch(plants) for plants in packing.sizes])


def batch(plants: int) -> Strand:
    """Give plants that live the same life; cuts that live alike are told apart only by their place in the list."""
    step = Step(
        line=0,
        group=0,
        begun=None,
        entered_day=7,
        from_day=7,
        to_day=LEAVES_DAY,
        after=0,
        number=1,
        grams=100.0,
        latest_day=LEAVES_DAY,
    )
    return Strand(line=0, group=0, begun=None, sown_day=0, transplant_day=7, steps=(step,), plants=plants)


def in_words(value: Packing | System) -> str:
    """Name a packing in a test's id."""
    return value if isinstance(value, str) else f"{len(value.sizes)} into {value.capacity}"


@pytest.mark.parametrize(("packing", "system"), NAMINGS, ids=in_words)
def test_least_totes_take_whole_batches(packing: Packing, system: System) -> None:
    """In the least number of totes no batch is parted."""
    placed = named(packing, packing.least, system)

    assert placed is not None
    assert sorted(sum(strand.plants for strand in each.strands) for each in placed) == sorted(packing.sizes)


@pytest.mark.parametrize("system", ["dwc", "kratky"])
@pytest.mark.parametrize("packing", PACKINGS, ids=in_words)
def test_fewer_totes_part_a_batch_or_are_full(packing: Packing, system: System) -> None:
    """In a tote less some batch is parted, if there are holes for all plants; else some find none."""
    placed = named(packing, packing.least - 1, system)

    if sum(packing.sizes) > packing.capacity * (packing.least - 1):
        assert placed is None
    else:
        assert placed is not None
        assert sum(strand.plants for each in placed for strand in each.strands) == sum(packing.sizes)
        assert len(placed) > len(packing.sizes)


@pytest.mark.parametrize("packing", [BEATS_FIRST_FIT, TWELVE_HOLES], ids=in_words)
def test_rule_of_thumb_takes_a_tote_more(packing: Packing) -> None:
    """First-fit-decreasing needs a tote more than the least, so that the search is worth its while."""
    assert first_fit_decreasing(packing) == packing.least + 1
