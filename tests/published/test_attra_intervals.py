"""Gaps between sowings and between harvests: [attra-intervals], ATTRA.

Bachmann, "Scheduling Vegetable Plantings for Continuous Harvest" (2008), the text on peas (seen; the chart on page 3
was not).

Peas sown two weeks apart early in spring mature only about one week apart, and two days between sowings at midsummer
become two or three weeks in autumn.  Indoors, where every day is alike, equal gaps stay equal: a property, exact to
the day.  Outdoors it is a check of an outcome, in leaf crops of ours in place of their peas, and in a made-up inland
climate at 45 degrees north.  In spring the gap has to come out within three days of theirs, in crops whose days to
emergence were tested in the cold (others wait for the first day that their table knows, and then come up all
together).  In autumn only the direction is asked: two days become two or three weeks when frost is near, which no
made-up month can tell.
"""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise

import pytest

from shipped import shipped_crops
from steadysow.growth.daylight import Conditions, conditions_at
from steadysow.growth.timeline import GrowingPlace, transplant_window
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Lamp, Outdoors, Place, Sky
from steadysow.inputs.sources import read_publication

TABLE = read_publication("attra-intervals").table
SPRING_GAP = timedelta(days=TABLE["peas"]["sown_apart_days"])
PRINTED_SPRING_GAP = timedelta(days=TABLE["peas"]["mature_apart_days_in_early_spring"])
FIRST_ON = date(2026, 1, 1)

# Made up: monthly means of an inland climate at 45 degrees north.
MONTHLY_C = (0.0, 2.0, 6.0, 11.0, 16.0, 20.0, 22.0, 21.0, 17.0, 11.0, 6.0, 2.0)
BED = Place(name="bed", temperature_c=MONTHLY_C, outdoors=Outdoors(frost_free=((2, 1), (12, 31)), shade=0.0))
SKY = Sky(latitude=45.0, clouds=0.4)

SOWN_IN_THE_COLD = ["looseleaf lettuce", "romaine lettuce", "spinach"]
CROPS = [*SOWN_IN_THE_COLD, "kale", "mizuna", "bok choy"]


@pytest.fixture(scope="module")
def crops() -> dict[str, Crop]:
    """Give the shipped profiles."""
    return shipped_crops()


def due_dates(crop: Crop, conditions: Conditions, sown_on: list[date]) -> list[date]:
    """Give the day each sowing is first ready, sown and grown in the same place and moved as soon as may be."""
    place = GrowingPlace(crop, conditions)
    found = []
    for day in sown_on:
        window = transplant_window(crop, day, conditions)
        assert window is not None
        due_on = place.first_due(window[0])
        assert due_on is not None
        found.append(due_on)
    return found


def days_apart(dates: list[date]) -> list[int]:
    """Give the days from each date to the next."""
    return [(later - earlier).days for earlier, later in pairwise(dates)]


@pytest.mark.parametrize("name", CROPS)
@pytest.mark.parametrize("gap_days", [2, 7, 14])
def test_equal_gaps_indoors_stay_equal(crops: dict[str, Crop], name: str, gap_days: int) -> None:
    """Property: under a lamp in a room harvests lie exactly as far apart as sowings, the whole year round."""
    shelf = Place(name="shelf", lamp=Lamp(dli_mol=12.0), temperature_c=19.0)
    sown_on = [FIRST_ON + timedelta(days=gap_days * number) for number in range(20)]
    assert set(days_apart(due_dates(crops[name], conditions_at(shelf, FIRST_ON, 500), sown_on))) == {gap_days}


@pytest.mark.parametrize("name", SOWN_IN_THE_COLD)
@pytest.mark.parametrize("sown_on", [date(2026, 3, 1), date(2026, 3, 8), date(2026, 3, 15)])
def test_gaps_close_in_spring(crops: dict[str, Crop], name: str, sown_on: date) -> None:
    """Outcome: sown two weeks apart early in spring, crops are ready about one week apart."""
    conditions = conditions_at(BED, FIRST_ON, 365, SKY)
    first, second = due_dates(crops[name], conditions, [sown_on, sown_on + SPRING_GAP])
    assert abs((second - first) - PRINTED_SPRING_GAP) <= timedelta(days=3)


@pytest.mark.parametrize("name", CROPS)
def test_gaps_never_open_in_spring(crops: dict[str, Crop], name: str) -> None:
    """Outcome: a sowing of March or April that waits two weeks is ready less than two weeks later."""
    conditions = conditions_at(BED, FIRST_ON, 365, SKY)
    sown_on = [date(2026, 3, 1) + number * SPRING_GAP for number in range(4)]
    apart = days_apart(due_dates(crops[name], conditions, sown_on))
    assert max(apart) < SPRING_GAP.days


@pytest.mark.parametrize("name", CROPS)
def test_gaps_open_in_autumn(crops: dict[str, Crop], name: str) -> None:
    """Outcome: sown a week apart from the middle of August on, crops are ready ever more than a week apart."""
    conditions = conditions_at(BED, FIRST_ON, 365, SKY)
    sown_on = [date(2026, 8, 15) + timedelta(days=7 * number) for number in range(3)]
    apart = days_apart(due_dates(crops[name], conditions, sown_on))
    assert min(apart) > 7
    assert apart == sorted(apart)
