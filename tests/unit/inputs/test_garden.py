"""What a garden knows by itself: how many plants a tote carries, where it stands, and which days have work."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from steadysow.inputs.crop_files import read_crops
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import (
    Away,
    MonthDay,
    Outdoors,
    Packet,
    Place,
    Stand,
    Tote,
    carried,
    is_within,
    level_cm,
    lid_area_m2,
)
from steadysow.inputs.values import FaultList
from tiny import make_crop, make_garden, make_tote, make_want

TOTE = Tote(name="A", holes=12, litres=11, system="dwc", inside_cm=(40, 28), stands=(Stand(place="shelf"),))


@pytest.fixture
def crop(folder: Path) -> Crop:
    """Give a crop with 28 plants a square metre and six on a small lid."""
    return read_crops((folder / "crops",), FaultList())["plain lettuce"]


def test_measured_lid_carries_area_times_spacing(crop: Crop) -> None:
    """40 x 28 cm at 28 plants a square metre have room for 3.1 plants, so for three."""
    assert carried(crop, TOTE) == 3


def test_exact_fit_is_not_rounded_down(crop: Crop) -> None:
    """A lid with room for exactly three or one plants carries them, in spite of rounding errors."""
    assert carried(replace(crop, plants_per_m2=50), replace(TOTE, inside_cm=(20, 30))) == 3
    assert carried(replace(crop, plants_per_m2=30), replace(TOTE, inside_cm=(10, 10 / 3 * 10))) == 1


def test_unmeasured_lid_carries_the_holes_of_a_small_tote(crop: Crop) -> None:
    """A tote without measures carries as many plants as a small lid, and never more than it has holes."""
    assert carried(crop, replace(TOTE, inside_cm=None)) == 6
    assert carried(crop, replace(TOTE, inside_cm=None, holes=4)) == 4


def test_a_tote_carries_no_crop_of_another_system(crop: Crop) -> None:
    """A still tote does not carry a crop that grows in dwc only."""
    assert carried(replace(crop, systems=("dwc",)), replace(TOTE, system="kratky")) == 0


def test_lid_area_measured_and_estimated() -> None:
    """A measured lid is width x length; at the same shape, eight times the litres have four times the lid."""
    assert lid_area_m2(TOTE) == pytest.approx(0.112)
    small, large = (replace(TOTE, inside_cm=None, litres=litres) for litres in (11, 88))
    assert lid_area_m2(small) == pytest.approx(0.112)
    assert lid_area_m2(large) == pytest.approx(4 * 0.112)


@given(st.integers(1, 60), st.integers(1, 200), st.integers(1, 200))
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_carried_plants_always_have_their_room(crop: Crop, holes: int, width: int, length: int) -> None:
    """The plants fit on the lid, and one more would not, unless all holes are used."""
    tote = replace(TOTE, holes=holes, inside_cm=(width, length))
    number = carried(crop, tote)
    assert number <= holes
    assert number * 10_000 <= 28 * width * length + 1e-3
    assert number == holes or (number + 1) * 10_000 > 28 * width * length


def test_water_stands_as_high_as_its_volume_over_the_lid() -> None:
    """11.2 litres on 0.112 m2 are 10 cm, and half of them 5 cm."""
    assert level_cm(TOTE, 11.2) == pytest.approx(10)
    assert level_cm(TOTE, 5.6) == pytest.approx(5)


@pytest.mark.parametrize(
    ("day", "span", "within"),
    [
        ((5, 25), ((5, 25), (9, 10)), True),
        ((9, 9), ((5, 25), (9, 10)), True),
        ((9, 10), ((5, 25), (9, 10)), False),
        ((5, 24), ((5, 25), (9, 10)), False),
        ((12, 31), ((11, 1), (3, 1)), True),
        ((2, 29), ((11, 1), (3, 1)), True),
        ((3, 1), ((11, 1), (3, 1)), False),
    ],
)
def test_a_span_of_the_year_is_half_open_and_may_cross_the_new_year(
    day: MonthDay, span: tuple[MonthDay, MonthDay], within: bool
) -> None:
    """The first day is in the span, the last is not."""
    assert is_within(day, *span) is within


def test_a_place_is_open_when_it_is_frost_free_and_has_a_temperature() -> None:
    """Outdoors from 25 May to 9 September, with temperatures for May to August only."""
    months = (*[None] * 4, 11.0, 16.0, 18.0, 17.0, *[None] * 4)
    yard = Place(name="yard", temperature_c=months, outdoors=Outdoors(frost_free=((5, 25), (9, 10)), shade=0))
    days = [date(2027, 5, 24), date(2027, 5, 25), date(2027, 8, 31), date(2027, 9, 1)]
    assert [yard.is_open(day) for day in days] == [False, True, True, False]


def test_a_tote_stands_by_its_dates_and_otherwise_where_it_stays() -> None:
    """A tote goes out in summer and stays on the shelf; without a place to stay it is nowhere in winter."""
    summer = Stand(place="yard", from_md=(5, 25), until_md=(9, 10))
    tote = replace(TOTE, stands=(Stand(place="shelf"), summer))
    assert [tote.stands_on(date(2027, *day)) for day in ((5, 24), (5, 25), (9, 10))] == ["shelf", "yard", "shelf"]
    assert replace(TOTE, stands=(summer,)).stands_on(date(2027, 1, 1)) is None


def test_chores_and_harvests_fall_on_days_at_home() -> None:
    """From the day of leaving to the day before coming back no weekday is a chore day or a harvest day."""
    garden = replace(
        make_garden([make_tote("A", 4)], [make_want([make_crop()], 1)], weeks=8),
        chore_days=(2, 5),
        harvest_days=(6,),
        away=(Away(from_on=date(2026, 12, 19), back_on=date(2026, 12, 28)),),
    )
    saturday, sunday = date(2026, 12, 19), date(2026, 12, 20)
    assert not garden.at_home(saturday)
    assert not garden.is_chore_day(saturday)
    assert not garden.is_harvest_day(sunday)
    assert garden.at_home(date(2026, 12, 28))
    assert garden.is_chore_day(date(2026, 12, 30))
    assert garden.is_harvest_day(date(2027, 1, 3))
    assert not garden.is_chore_day(date(2027, 1, 3))
    assert garden.is_work_day(date(2027, 1, 3))


def test_a_freed_tote_makes_its_day_a_chore_day() -> None:
    """A day in `also_on` is a chore day whatever the weekday."""
    garden = make_garden([make_tote("A", 4)], [make_want([make_crop()], 1)], weeks=8)
    monday = date(2026, 10, 5)
    assert not garden.is_chore_day(monday)
    assert replace(garden, also_on=(monday,)).is_chore_day(monday)


def test_a_garden_finds_its_packets_by_crop() -> None:
    """A crop with a packet has it, another has none."""
    garden = make_garden([make_tote("A", 4)], [make_want([make_crop()], 1)], weeks=8)
    packet = Packet(crop="cress", percent=90, packed_in=2026)
    garden = replace(garden, packets=(packet,))
    assert (garden.packet("cress"), garden.packet("kale")) == (packet, None)
