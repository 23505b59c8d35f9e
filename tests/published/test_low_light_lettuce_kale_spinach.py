"""Weight and light: [low-light-lettuce-kale-spinach], HortScience, abstract.

Authors and year were not shown in the excerpt.  "Leaf lettuce yield is more sensitive to low DLI than kale and
spinach": 28 days in chambers, 8 to 14 mol.  All checks are of an outcome.  Dry weight rose by 203 % in lettuce, 47 %
in kale and 42 % in spinach; our weight goes with the light, and so rises by 14 / 8 - 1 = 75 % in each of them.  It
lies between the crops, which is all that a single rule can do: it promises kale and spinach too much of brighter
light and lettuce too little.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from shipped import shipped_crops
from steadysow.growth.daylight import conditions_at
from steadysow.growth.timeline import GrowingPlace
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Lamp, Place
from steadysow.inputs.sources import read_publication

TABLE = read_publication("low-light-lettuce-kale-spinach").table
DIM_MOL, BRIGHT_MOL = TABLE["dli_mol"]
PUBLISHED = {crop: percent / 100 for crop, percent in TABLE["dry_weight_gain_percent"].items()}
PLANTED_ON = date(2026, 1, 5)
UNTIL_ON = PLANTED_ON + timedelta(days=TABLE["days"])


@pytest.fixture(scope="module")
def crops() -> dict[str, Crop]:
    """Give the shipped profiles."""
    return shipped_crops()


def grams(crop: Crop, dli_mol: float) -> float:
    """Give the weight that light makes of a plant that is not full-grown, as those of the trial were not [g]."""
    unending = replace(crop, harvest=replace(crop.harvest, grams=(10_000.0,)))
    shelf = Place(name="chamber", lamp=Lamp(dli_mol=dli_mol), temperature_c=crop.growth.at_c)
    place = GrowingPlace(unending, conditions_at(shelf, PLANTED_ON, TABLE["days"] + 1))
    return place.grams(1, PLANTED_ON, UNTIL_ON, 1 / crop.plants_per_m2)


@pytest.mark.parametrize("name", ["looseleaf lettuce", "kale", "spinach"])
def test_weight_rises_less_than_in_lettuce_and_more_than_in_kale(crops: dict[str, Crop], name: str) -> None:
    """From 8 to 14 mol a plant's weight rises by more than that of kale and spinach and less than that of lettuce."""
    rise = grams(crops[name], BRIGHT_MOL) / grams(crops[name], DIM_MOL) - 1
    assert max(PUBLISHED["kale"], PUBLISHED["spinach"]) < rise < PUBLISHED["lettuce"]


def test_weight_at_8_mol_is_a_promise_less_than_the_profiles(crops: dict[str, Crop]) -> None:
    """The trial found less at 8 mol in all three crops: no shipped profile of them promises its full weight there."""
    for name in ("looseleaf lettuce", "kale", "spinach"):
        crop = crops[name]
        shelf = Place(name="chamber", lamp=Lamp(dli_mol=DIM_MOL), temperature_c=crop.growth.at_c)
        place = GrowingPlace(crop, conditions_at(shelf, PLANTED_ON, 100))
        due_on = place.first_due(PLANTED_ON)
        assert due_on is not None
        assert place.grams(1, PLANTED_ON, due_on, 1 / crop.plants_per_m2) < crop.harvest.grams[0]
