"""Numbers of seeds are those found by hand, and by trying every way that seeds can fail."""

from dataclasses import replace
from fractions import Fraction
from itertools import product
from math import comb

import pytest

from steadysow.growth import germination
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Packet
from tiny import make_crop

CROP = replace(make_crop(), germination_percent=80.0, seeds_keep_years=4.0, seeds_a_cell=1)


def packet(percent: float | None, packed_in: int | None) -> Packet:
    """Make a packet of the crop."""
    return Packet(crop=CROP.name, percent=percent, packed_in=packed_in)


def every_outcome(needed: int, sown: int, chance: Fraction) -> Fraction:
    """Add up the chance of every row of successes and failures with enough successes."""
    rows = (row for row in product((True, False), repeat=sown) if sum(row) >= needed)
    return sum((chance ** sum(row) * (1 - chance) ** (sown - sum(row)) for row in rows), Fraction(0))


@pytest.mark.parametrize("chance", [Fraction(1, 20), Fraction(1, 2), Fraction(4, 5), Fraction(1)])
@pytest.mark.parametrize("sown", [1, 2, 5, 9])
def test_chances_are_those_of_all_outcomes(sown: int, chance: Fraction) -> None:
    """Listing every outcome of a sowing gives the same chance, for any number needed."""
    for needed in range(sown + 2):
        found = germination.chance_of_enough(needed, sown, float(chance))
        assert found == pytest.approx(float(every_outcome(needed, sown, chance)), abs=1e-12)


@pytest.mark.parametrize(("percent", "seeds", "chance"), [(80, 1, 0.8), (80, 2, 0.96), (50, 3, 0.875), (100, 1, 1.0)])
def test_a_cell_fails_if_all_its_seeds_do(percent: float, seeds: int, chance: float) -> None:
    """Two seeds with 80 % both fail in 4 of 100 cells."""
    assert germination.cell_chance(percent, seeds) == pytest.approx(chance)


@pytest.mark.parametrize(
    ("packed_in", "percent"),
    [(2026, 80), (2027, 80), (2025, 70), (2024, 60), (2022, 40), (2019, 10), (2018, 4), (2000, 4)],
)
def test_seeds_age(packed_in: int, percent: float) -> None:
    """Seeds that keep four years lose an eighth of their percentage a year, down to a twentieth of it."""
    assert germination.percent_now(CROP, packet(None, packed_in), 2026) == pytest.approx(percent)


def test_the_packets_percentage_counts_before_the_profiles() -> None:
    """The packet's percentage counts, otherwise the profile's; a packet without a year counts as fresh."""
    assert germination.percent_now(CROP, packet(92, None), 2026) == 92
    assert germination.percent_now(CROP, packet(92, 2024), 2026) == pytest.approx(69)
    assert germination.percent_now(CROP, packet(None, None), 2026) == 80
    assert germination.percent_now(CROP, None, 2026) == 80


def seeds_a_cell(plants: int, cells: int, percent: float, confidence: float = 0.95, crop: Crop = CROP) -> int:
    """Give the seeds a cell."""
    return germination.seeds_a_cell(crop, plants=plants, cells=cells, percent=percent, confidence=confidence)


@pytest.mark.parametrize(
    ("plants", "cells", "percent", "seeds"),
    [
        # One cell must not fail: 0.8 is too little, 0.96 is enough.
        (1, 1, 80, 2),
        # Two of two: 0.96 ** 2 = 0.9216 is too little, 0.992 ** 2 = 0.984.
        (2, 2, 80, 3),
        # One of two: 1 - 0.2 ** 2 = 0.96 with one seed each.
        (1, 2, 80, 1),
        # Three seeds fail in 1 of 8 cells, four in 1 of 16, five in 1 of 32.
        (1, 1, 50, 5),
        (6, 6, 100, 1),
    ],
)
def test_fewest_seeds_a_cell(plants: int, cells: int, percent: float, seeds: int) -> None:
    """A cell gets no more seeds than the confidence needs."""
    assert seeds_a_cell(plants, cells, percent) == seeds


def test_a_chance_that_is_just_reached_is_enough() -> None:
    """One seed with 95 % is enough for a confidence of 95 %, and two with 90 % for 99 %, in spite of rounding."""
    assert seeds_a_cell(1, 1, 95, 0.95) == 1
    assert seeds_a_cell(1, 1, 90, 0.99) == 2


def test_never_fewer_seeds_than_the_profile_says() -> None:
    """A clump keeps its four seeds, however well they germinate."""
    assert seeds_a_cell(1, 5, 99, crop=replace(CROP, seeds_a_cell=4)) == 4


def test_seeds_a_cell_have_an_end() -> None:
    """If no number is enough, the largest is given, or the profile's own if that is larger."""
    assert seeds_a_cell(3, 2, 99) == germination.MOST_SEEDS_A_CELL
    assert seeds_a_cell(1, 1, 1) == germination.MOST_SEEDS_A_CELL
    assert seeds_a_cell(1, 1, 1, crop=replace(CROP, seeds_a_cell=60)) == 60


@pytest.mark.parametrize("needed", [1170, 1200, 1230])
def test_large_sowings_are_counted_too(needed: int) -> None:
    """With 1500 cells the sum by logarithms equals the exact sum of whole numbers."""
    chance = Fraction(4, 5)
    ways = sum(comb(1500, number) * 4**number for number in range(needed, 1501))
    assert germination.chance_of_enough(needed, 1500, float(chance)) == pytest.approx(
        float(Fraction(ways, 5**1500)), rel=1e-8
    )


@pytest.mark.parametrize(("percent", "seeds"), [(80.0, 6), (90.0, 6), (60.0, 8), (40.0, 12)])
def test_a_clump_keeps_its_seedlings(percent: float, seeds: int) -> None:
    """Six seeds at 80 % give 4.8 seedlings, which takes 8 seeds at 60 % and 12 at 40 %."""
    clump = replace(CROP, seeds_a_cell=6, plants_a_hole=4)
    assert germination.seeds_a_cell(clump, plants=4, cells=5, percent=percent, confidence=0.95) == seeds
