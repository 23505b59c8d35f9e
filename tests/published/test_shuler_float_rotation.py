"""Lettuce on floats, three planted a week for ever: the number of floats that keeps the rotation going.

Source: [shuler-floats], abstract read: three floats planted a week, 216 plants a week, 27 floats in all.  So a
float carries 216 / 3 = 72 plants, as two sheets of 36 do, and comes up again every 27 / 3 = 9 weeks.  The nursery week
and the harvest day within the nine weeks are made up.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from steadysow.inputs.crops import Crop, System
from steadysow.inputs.garden import carried
from steadysow.inputs.sources import read_publication
from steadysow.search.decide import Decision
from tiny import FRIDAY, decided, make_crop, make_garden, make_tote, make_want

ROTATION = read_publication("shuler-floats").table
FLOATS = ROTATION["floats"]
FLOATS_A_WEEK = ROTATION["floats_planted_a_week"]
PLANTS_A_WEEK = ROTATION["plants_a_week"]
PLANTS_A_FLOAT = 72
SHEET_CM = 4 * 12 * 2.54
SHEET_HOLES = ROTATION["sheet"]["holes"]

# Sown on Saturday, planted a Saturday later, harvested on the Friday nine weeks later, and planted again the day after.
WEEKS = 22
FIRST_HARVEST_WEEK = 9
DAYS_ON_THE_FLOAT = 9 * 7 - 1


def lettuce() -> Crop:
    """Make a lettuce that has to be taken on the day it is ready, and is eaten in that week."""
    return make_crop(
        "lettuce",
        first_days=DAYS_ON_THE_FLOAT,
        lid_holes=PLANTS_A_FLOAT,
        keeps_days=3,
        plants_per_m2=2 * SHEET_HOLES / (2 * (SHEET_CM / 100) ** 2),
    )


def rotation(floats: int, system: System) -> Decision:
    """Plan so many floats."""
    crop = lettuce()
    totes = [
        make_tote(f"float {number}", PLANTS_A_FLOAT, system, inside_cm=(SHEET_CM, 2 * SHEET_CM))
        for number in range(1, floats + 1)
    ]
    garden = make_garden(
        totes,
        [make_want([crop], PLANTS_A_WEEK)],
        weeks=WEEKS,
        harvest_days=(FRIDAY,),
        crops_a_day=1,
        cells=PLANTS_A_WEEK,
        turnaround_days=1,
    )
    return decided(garden, [crop])


def test_a_float_carries_two_sheets() -> None:
    """Two sheets of four by four feet with 36 holes each carry the 72 plants that a third of the weekly planting is."""
    tote = make_tote("float", 100, inside_cm=(SHEET_CM, 2 * SHEET_CM))

    assert carried(lettuce(), tote) == PLANTS_A_FLOAT == PLANTS_A_WEEK // FLOATS_A_WEEK


@pytest.mark.parametrize("system", ["dwc", "kratky"])
def test_twenty_seven_floats_keep_it_going(system: System) -> None:
    """With the published number of floats every week from the tenth is served in full, three floats planted a week."""
    decision = rotation(FLOATS, system)

    assert decision.choice.best_share == pytest.approx(1.0, abs=1e-6)
    assert decision.choice.status == "optimal"
    soonest = decision.reach["salad"]
    assert soonest is not None
    days = {harvest.on for batch in decision.batches for harvest in batch.harvests}
    assert soonest == min(days)
    for on in sorted(days):
        harvests = [harvest for batch in decision.batches for harvest in batch.harvests if harvest.on == on]
        assert sum(harvest.plants for harvest in harvests) >= PLANTS_A_WEEK


@pytest.mark.parametrize("system", ["dwc", "kratky"])
def test_a_float_less_does_not(system: System) -> None:
    """With one float less one floatful is missing of the 39 that thirteen weeks want, and no plan is proven to have it.

    In nine weeks running each of 26 floats gives one floatful, in the four weeks after three a week are wanted.
    """
    decision = rotation(FLOATS - 1, system)

    weeks = WEEKS - FIRST_HARVEST_WEEK
    most = Fraction(FLOATS - 1 + (weeks - 9) * FLOATS_A_WEEK, weeks * FLOATS_A_WEEK)
    assert decision.choice.best_share == pytest.approx(float(most), abs=1e-6)
    assert decision.choice.bound_share == pytest.approx(float(most), abs=1e-6)
