"""Bolting of spinach by the length of the day: [chun-spinach], Chun, Kozai, Kubota and Okabe, abstract.

14 days after transplanting 5 % had bolted of plants raised under 8 or 12 hours, and 85 % were unsaleable under the
natural day of 15.5 hours.  All checks are of an outcome: our plants bolt all together, on one day, so that 5 % is
none and 85 % is all.  The profile takes its number of days from this source, so only the two day lengths are told
apart by themselves.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta

import pytest

from shipped import shipped_crops
from steadysow.growth.daylight import conditions_at
from steadysow.growth.timeline import GrowingPlace
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Lamp, Place
from steadysow.inputs.sources import read_publication

TABLE = read_publication("chun-spinach").table["spinach"]
SOUND: Mapping[float, float] = TABLE["bolted_percent_by_photoperiod_hours"]
SPOILT: Mapping[float, float] = TABLE["unsaleable_percent_by_photoperiod_hours"]
PLANTED_ON = date(2026, 1, 5)
JUDGED_ON = PLANTED_ON + timedelta(days=TABLE["days_after_transplanting"])


@pytest.fixture(scope="module")
def spinach() -> Crop:
    """Give the shipped profile."""
    return shipped_crops()["spinach"]


def growing(crop: Crop, hours: float) -> GrowingPlace:
    """Let the crop grow cool under a lamp that makes the same light in so many hours."""
    shelf = Place(name="shelf", lamp=Lamp(dli_mol=12.0, hours=hours), temperature_c=crop.growth.at_c)
    return GrowingPlace(crop, conditions_at(shelf, PLANTED_ON, 120))


@pytest.mark.parametrize("hours", SOUND)
def test_short_days_keep_spinach_from_bolting(spinach: Crop, hours: float) -> None:
    """Under 8 and 12 hours it has not bolted by the day of judgement, nor later in a season of 120 days."""
    assert SOUND[hours] < 50
    place = growing(spinach, hours)
    assert place.bolts_on(PLANTED_ON) is None
    assert not place.may_bolt
    due_on = place.first_due(PLANTED_ON)
    assert due_on is not None
    assert place.latest(due_on, PLANTED_ON) is not None


@pytest.mark.parametrize("hours", SPOILT)
def test_long_days_make_spinach_bolt(spinach: Crop, hours: float) -> None:
    """Under 15.5 hours it has bolted 14 days after transplant, and a harvest due by then or later is lost."""
    assert SPOILT[hours] > 50
    place = growing(spinach, hours)
    bolts_on = place.bolts_on(PLANTED_ON)
    assert bolts_on is not None
    assert PLANTED_ON < bolts_on <= JUDGED_ON
    assert place.latest(JUDGED_ON, PLANTED_ON) is None
