"""Lettuce in still water: Kratky, Acta Horticulturae 843: 65-72 (2009), the bottle (opening seen; see shared/).

A bottle of 4 litres takes one head from a seed in its net pot to harvest in 6 to 7 weeks with one filling.  Both are
checks of an outcome.  Our seedlings come from a nursery and stand under a steady lamp, which saves a week or two: 5 to
7 weeks are accepted.
"""

from __future__ import annotations

from datetime import date

import pytest

from shipped import shipped_crops
from steadysow.growth.forecast import forecast
from steadysow.inputs.garden import Lamp, Place
from steadysow.inputs.sources import read_publication

BOTTLE = read_publication("kratky-2009").table
CROPS = shipped_crops()
SAVED_WEEKS = 1


@pytest.mark.parametrize("name", ["butterhead lettuce", "romaine lettuce"])
def test_a_head_takes_about_as_long_as_in_the_bottle(name: str) -> None:
    """From seed to harvest at 20 degrees under 12 mol a day."""
    shelf = Place(name="shelf", temperature_c=20.0, lamp=Lamp(dli_mol=12.0, hours=14.0))
    told = forecast(CROPS[name], shelf, date(2026, 10, 3), nursery=shelf, sky=None)
    assert told.ready_on is not None
    least, most = BOTTLE["seed_to_harvest_weeks"]
    assert 7 * (least - SAVED_WEEKS) <= (told.ready_on - told.sown_on).days <= 7 * most


def test_a_head_drinks_no_more_than_the_bottle_holds() -> None:
    """The water of a head in our profile fits the bottle, and is at least nine tenths of it."""
    litres = CROPS["butterhead lettuce"].litres_a_plant
    assert 0.9 * BOTTLE["bottle_litres"] <= litres <= BOTTLE["bottle_litres"]
