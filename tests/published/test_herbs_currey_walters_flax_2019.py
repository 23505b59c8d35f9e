"""Herbs under two lights: [currey-walters-flax-2019], Currey, Walters and Flax, Agronomy 9:389 (2019), abstract.

Gain of fresh mass of cilantro, dill and parsley from 7 to 18 mol, in grams and per cent.  The weights that follow
from both are a check of arithmetic (tight).  Against our profiles it is a check of an outcome: light-proportional
weight rises to 18 / 7 = 2.57 times, where the trial had 2.54 (cilantro), 3.41 (dill) and 2.20 (parsley); 30 % is what
one rule for all three can keep to.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta

import pytest

from shipped import shipped_crops
from steadysow.growth.daylight import conditions_at
from steadysow.growth.timeline import GrowingPlace
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Lamp, Place
from steadysow.inputs.sources import read_publication

TABLE = read_publication("currey-walters-flax-2019").table
DIM_MOL, BRIGHT_MOL = TABLE["dli_mol"]
GAIN_GRAMS: Mapping[str, float] = TABLE["fresh_mass_gain_g"]
GAIN_PERCENT: Mapping[str, float] = TABLE["fresh_mass_gain_percent"]
GRAMS: Mapping[str, Sequence[float]] = TABLE["fresh_mass_g"]
PLANTED_ON = date(2026, 1, 5)
DAYS = 21


@pytest.fixture(scope="module")
def crops() -> dict[str, Crop]:
    """Give the shipped profiles."""
    return shipped_crops()


@pytest.mark.parametrize("herb", GAIN_GRAMS)
def test_weights_follow_from_the_gains(herb: str) -> None:
    """The weight at 7 mol is the gain over its per cent, that at 18 mol the two together, to one decimal."""
    dim = GAIN_GRAMS[herb] / GAIN_PERCENT[herb] * 100
    assert [dim, dim + GAIN_GRAMS[herb]] == pytest.approx(GRAMS[herb], abs=0.051)


@pytest.mark.parametrize("herb", GAIN_GRAMS)
def test_weight_rises_with_light_about_as_in_the_trial(crops: dict[str, Crop], herb: str) -> None:
    """Over the same days a plant that is not full-grown gains of brighter light what it gained there, within 30 %."""
    crop = replace(crops[herb], harvest=replace(crops[herb].harvest, grams=(10_000.0,)))
    made = []
    for dli_mol in (DIM_MOL, BRIGHT_MOL):
        shelf = Place(name="shelf", lamp=Lamp(dli_mol=dli_mol), temperature_c=crop.growth.at_c)
        place = GrowingPlace(crop, conditions_at(shelf, PLANTED_ON, DAYS + 1))
        made.append(place.grams(1, PLANTED_ON, PLANTED_ON + timedelta(days=DAYS), 1 / crop.plants_per_m2))
    assert made[1] / made[0] == pytest.approx(GRAMS[herb][1] / GRAMS[herb][0], rel=0.3)
