"""The lettuce chain of [rutgers-lettuce] (seen).

Sown on day 0, transplanted on day 12, 81 plants a square metre for 10 days, then 28, harvested on day 35.  The weight,
5 ounces in 35 days, is from the index page of [cornell-lettuce-handbook] (seen).
"""

from __future__ import annotations

import math
from datetime import date, timedelta

import pytest

from shipped import shipped_crops
from steadysow.growth.daylight import Conditions, conditions_at
from steadysow.growth.timeline import GrowingPlace, transplant_window
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Lamp, Place
from steadysow.inputs.sources import read_publication

CHAIN = read_publication("rutgers-lettuce").table
TRANSPLANT_DAY = CHAIN["transplanted_on_day"]
HARVEST_DAY = CHAIN["harvested_on_day"]
BOARD_M2 = math.prod(feet * 0.3048 for feet in CHAIN["board_feet"])
FINAL_PER_M2 = CHAIN["final_spacing"]["plants_per_m2"]
HEAD_OUNCES = read_publication("cornell-lettuce-handbook").table["head_ounces"]
GRAMS_AN_OUNCE = 28.349523125

FIRST_SOWING_ON = date(2026, 10, 3)


@pytest.fixture(scope="module")
def butterhead() -> Crop:
    """Give the shipped profile of butterhead lettuce."""
    return shipped_crops()["butterhead lettuce"]


@pytest.fixture(scope="module")
def greenhouse(butterhead: Crop) -> Conditions:
    """Give a hundred days at the conditions at which the profile's days hold."""
    growth = butterhead.growth
    place = Place(name="greenhouse", lamp=Lamp(dli_mol=growth.at_dli_mol), temperature_c=growth.at_c)
    return conditions_at(place, FIRST_SOWING_ON, 100)


@pytest.mark.parametrize("spacing", ["close_spacing", "final_spacing"])
def test_boards_have_the_printed_density(spacing: str) -> None:
    """The holes of a board of 2 by 4 feet make the printed plants a square metre."""
    assert round(CHAIN[spacing]["board_holes"] / BOARD_M2) == CHAIN[spacing]["plants_per_m2"]


def test_profile_adds_up_to_the_printed_harvest_day(butterhead: Crop) -> None:
    """Least nursery days and days from transplant make day 35, the day of sowing being day 0."""
    assert butterhead.nursery_days[0] == TRANSPLANT_DAY
    assert butterhead.nursery_days[0] + butterhead.harvest.first_days == HARVEST_DAY


def test_profile_has_the_final_spacing_and_the_printed_head(butterhead: Crop) -> None:
    """Heads stand at the final spacing, and weigh five ounces to the nearest gram."""
    assert butterhead.plants_per_m2 == FINAL_PER_M2
    assert butterhead.harvest.grams == (round(HEAD_OUNCES * GRAMS_AN_OUNCE),)


@pytest.mark.parametrize("sowing", range(0, 60, 7))
def test_steady_sowing_gives_a_steady_harvest(butterhead: Crop, greenhouse: Conditions, sowing: int) -> None:
    """Whatever the day of sowing, transplanting is on day 12 after it and harvest on day 35."""
    sown_on = FIRST_SOWING_ON + timedelta(days=sowing)

    window = transplant_window(butterhead, sown_on, greenhouse)

    assert window is not None
    assert window[0] == sown_on + timedelta(days=TRANSPLANT_DAY)
    assert GrowingPlace(butterhead, greenhouse).first_due(window[0]) == sown_on + timedelta(days=HARVEST_DAY)


def test_light_at_final_spacing_makes_the_printed_head(butterhead: Crop, greenhouse: Conditions) -> None:
    """From day 12 to day 35, on its share of a square metre, light makes five ounces (within half a gram)."""
    transplanted_on = FIRST_SOWING_ON + timedelta(days=TRANSPLANT_DAY)
    harvested_on = FIRST_SOWING_ON + timedelta(days=HARVEST_DAY)

    grams = GrowingPlace(butterhead, greenhouse).grams(1, transplanted_on, harvested_on, 1 / FINAL_PER_M2)

    assert grams == pytest.approx(HEAD_OUNCES * GRAMS_AN_OUNCE, abs=0.5)
