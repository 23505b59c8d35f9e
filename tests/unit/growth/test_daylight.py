"""Light and temperature of days at a place, computed by hand from the published equations."""

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from steadysow.growth import rates
from steadysow.growth.daylight import NOT_IN_USE_C, Light, by_day, conditions_at, light_on, temperature_on
from steadysow.inputs.garden import Facing, Lamp, Months, Outdoors, Place, Sky, Window
from steadysow.inputs.sources import read_publication

YEAR = tuple(float(month) for month in range(1, 13))
CLEAR = Sky(latitude=51.5, clouds=0.0)
OVERCAST = Sky(latitude=51.5, clouds=1.0)
OUT = Place(name="yard", temperature_c=15.0, outdoors=Outdoors(frost_free=((5, 20), (9, 25)), shade=0.0))
LAMP = Lamp(dli_mol=12.0, ppfd=12 / (16 * 0.0036), hours=16.0)
NOTHING = Light(daylight_mol=0.0, lamp_mol=0.0, sun_hours=0.0, lamp_hours=0.0)


def sill(faces: Facing = "south", share: float = 0.5, lamp: Lamp | None = None) -> Place:
    """Make a place at a window."""
    return Place(name="sill", temperature_c=20.0, window=Window(faces=faces, share=share), lamp=lamp)


@pytest.mark.parametrize(
    ("day", "value"),
    [
        (date(2026, 4, 15), 4.0),
        # 10 of the 30 days from 15 April to 15 May, 16 of the 31 from 15 March to 15 April.
        (date(2026, 4, 25), 4 + 10 / 30),
        (date(2026, 3, 31), 3 + 16 / 31),
        (date(2026, 4, 1), 3 + 17 / 31),
        # From 12 in December to 1 in January: 17 of 31 days.
        (date(2027, 1, 1), 12 - 11 * 17 / 31),
        (date(2026, 12, 31), 12 - 11 * 16 / 31),
        # In a leap year 14 of 29 days of February, in other years 13 of 28.
        (date(2028, 2, 29), 2 + 14 / 29),
        (date(2026, 2, 28), 2 + 13 / 28),
    ],
)
def test_months_run_into_each_other(day: date, value: float) -> None:
    """A day between the middles of two months has a value on the straight line between them."""
    assert by_day(YEAR, day) == pytest.approx(value)


def test_one_value_holds_all_year() -> None:
    """A single value holds on every day."""
    assert by_day(18.5, date(2028, 2, 29)) == 18.5


def test_a_month_beside_none_keeps_its_own() -> None:
    """May and September begin and end a season: towards the months without a value they keep their own."""
    season: Months = (None, None, None, None, 10.0, 16.0, 18.0, 17.0, 12.0, None, None, None)
    assert by_day(season, date(2026, 5, 1)) == by_day(season, date(2026, 5, 15)) == 10
    assert by_day(season, date(2026, 5, 25)) == pytest.approx(10 + 6 * 10 / 31)
    assert by_day(season, date(2026, 9, 20)) == by_day(season, date(2026, 9, 30)) == 12
    assert by_day(season, date(2026, 4, 30)) is None
    assert by_day(season, date(2026, 10, 1)) is None


@pytest.mark.parametrize(
    ("day", "in_use"),
    [
        (date(2026, 5, 19), False),
        (date(2026, 5, 20), True),
        (date(2026, 9, 24), True),
        (date(2026, 9, 25), False),
        (date(2026, 1, 1), False),
    ],
)
def test_outdoors_is_in_use_between_the_frosts(day: date, in_use: bool) -> None:
    """A place outdoors is in use from its first day without frost up to, not including, the first with frost again."""
    assert temperature_on(OUT, day) == (15.0 if in_use else NOT_IN_USE_C)
    assert (light_on(OUT, day, CLEAR) == NOTHING) is not in_use


def test_a_summer_over_the_new_year() -> None:
    """In the south the frost-free days cross the new year."""
    yard = replace(OUT, outdoors=Outdoors(frost_free=((10, 1), (4, 15)), shade=0.0))
    sky = Sky(latitude=-33.9, clouds=0.0)
    used = [date(2026, 10, 1), date(2026, 12, 31), date(2027, 1, 1), date(2027, 4, 14)]
    unused = [date(2026, 9, 30), date(2027, 4, 15), date(2027, 7, 1)]
    assert [temperature_on(yard, day) for day in used + unused] == [15.0] * 4 + [NOT_IN_USE_C] * 3
    assert all(light_on(yard, day, sky).dli_mol > 0 for day in used)


def test_a_month_left_out_is_a_month_without_use() -> None:
    """In a month without a temperature a place has no warmth and no light, with or without a lamp."""
    months: Months = (None, *YEAR[1:])
    for place in (
        replace(sill(), temperature_c=months),
        replace(sill(lamp=replace(LAMP, up_to_dli_mol=14.0)), temperature_c=months),
        Place(name="shelf", temperature_c=months, lamp=LAMP),
    ):
        assert temperature_on(place, date(2026, 1, 31)) == NOT_IN_USE_C
        assert light_on(place, date(2026, 1, 31), CLEAR) == NOTHING
        assert temperature_on(place, date(2026, 2, 1)) == 2.0
        assert light_on(place, date(2026, 2, 1), CLEAR).dli_mol > 0


def test_light_outdoors_is_that_of_the_equations() -> None:
    """In midsummer at 51.5 degrees 75, 50 or 25 % of 41.72 MJ arrive, at 2.0565 mol a MJ, less the shade."""
    day, mol = date(2025, 6, 21), 41.72 * 2.0565
    for clouds, share in ((0.0, 0.75), (0.5, 0.50), (1.0, 0.25)):
        light = light_on(OUT, day, Sky(latitude=51.5, clouds=clouds))
        assert light.dli_mol == light.daylight_mol == pytest.approx(share * mol, rel=2e-4)
        assert light.sun_hours == light.day_hours == pytest.approx(16.402, abs=0.001)
    shaded = replace(OUT, outdoors=Outdoors(frost_free=((5, 20), (9, 25)), shade=0.3))
    assert light_on(shaded, day, CLEAR).dli_mol == pytest.approx(0.7 * 0.75 * mol, rel=2e-4)


@pytest.mark.parametrize("row", read_publication("sun-reference-libraries").table["rows"], ids=str)
def test_a_date_has_the_sun_of_its_day_of_the_year(row: list[Any]) -> None:
    """Hours and light of a date are those that another library gives for it."""
    latitude, _, day, _, fao_hours, *_, fao_ra_mj, _ = row
    yard = replace(OUT, outdoors=Outdoors(frost_free=((1, 1), (12, 31)), shade=0.0))
    light = light_on(yard, date.fromisoformat(day), Sky(latitude=latitude, clouds=0.0))
    assert light.sun_hours == pytest.approx(fao_hours, abs=0.00051)
    assert light.dli_mol == pytest.approx(0.75 * 2.0565 * fao_ra_mj, abs=0.0051 * 0.75 * 2.0565)


def test_light_through_a_window_that_sees_all_the_sun() -> None:
    """In midwinter all sun falls on a south window: half of 6.57 MJ, less clouds, at 2.0565 mol a MJ."""
    day = date(2025, 12, 21)
    assert light_on(sill(), day, CLEAR).dli_mol == pytest.approx(0.5 * 0.75 * 6.57 * 2.0565, rel=1e-3)
    assert light_on(sill(), day, OVERCAST).dli_mol == pytest.approx(0.5 * 0.25 * 6.57 * 2.0565, rel=1e-3)


@pytest.mark.parametrize("day", [date(2025, 12, 21), date(2025, 3, 10)])
def test_a_window_that_sees_no_sun_has_the_light_of_an_overcast_sky(day: date) -> None:
    """A north window in the dark half of the year is as bright on a clear day as on a cloudy one."""
    clear, overcast = (light_on(sill("north"), day, sky).dli_mol for sky in (CLEAR, OVERCAST))
    assert clear == pytest.approx(overcast)
    assert clear > 0


def test_east_and_west_windows_see_half_the_sun_each() -> None:
    """An east window gets the sun before noon, a west window the sun after noon."""
    day = date(2025, 5, 1)
    south_and_north = light_on(sill("south"), day, CLEAR).dli_mol + light_on(sill("north"), day, CLEAR).dli_mol
    east, west = (light_on(sill(faces), day, CLEAR).dli_mol for faces in ("east", "west"))
    assert east == pytest.approx(west)
    assert east + west == pytest.approx(south_and_north)


def test_a_lamp_runs_its_hours_whatever_the_sun_does() -> None:
    """A lamp without a limit adds its light to the window's, and the day is the longer of the two."""
    lit, bare = (light_on(place, date(2025, 12, 21), CLEAR) for place in (sill(lamp=LAMP), sill()))
    assert (lit.lamp_mol, lit.lamp_hours, lit.day_hours) == (12.0, 16.0, 16.0)
    assert lit.dli_mol == pytest.approx(12.0 + bare.dli_mol)
    short = replace(LAMP, dli_mol=3.0, hours=4.0)
    assert light_on(sill(lamp=short), date(2025, 12, 21), CLEAR).day_hours == pytest.approx(7.598, abs=0.001)


def test_a_lamp_of_unknown_hours() -> None:
    """A lamp with only a daily light makes a day of unknown length."""
    shelf = Place(name="shelf", temperature_c=20.0, lamp=Lamp(dli_mol=12.0))
    assert light_on(shelf, date(2026, 1, 1)) == Light(daylight_mol=0.0, lamp_mol=12.0, sun_hours=0.0, lamp_hours=0.0)


@pytest.mark.parametrize(
    ("up_to_mol", "lamp_mol"),
    [
        # The window gives 0.5 x 0.25 x 6.57 x 2.0565 = 1.689 mol.
        (1.0, 0.0),
        (7.689, 6.0),
        (10.0, 8.311),
        (60.0, 12.0),
    ],
)
def test_a_lamp_that_fills_up_runs_as_long_as_it_takes(up_to_mol: float, lamp_mol: float) -> None:
    """The lamp adds what the window lacks, 6 mol in 8 of its 16 hours for 12 mol, and never more than its hours."""
    place = sill(lamp=replace(LAMP, up_to_dli_mol=up_to_mol))
    light = light_on(place, date(2025, 12, 21), OVERCAST)
    assert light.lamp_mol == pytest.approx(lamp_mol, abs=0.002)
    assert light.lamp_hours == pytest.approx(16 * light.lamp_mol / 12)
    assert rates.dli_from_ppfd(LAMP.ppfd or 0.0, light.lamp_hours) == pytest.approx(light.lamp_mol)
    assert light.day_hours == pytest.approx(max(7.598, light.lamp_hours), abs=0.001)


def test_conditions_are_the_days_one_by_one() -> None:
    """Conditions have temperature, light and length of each of their days, also of a leap day."""
    place = replace(sill(lamp=replace(LAMP, up_to_dli_mol=10.0)), temperature_c=YEAR)
    first_on = date(2028, 2, 27)
    conditions = conditions_at(place, first_on, 4, CLEAR)
    days = [first_on + timedelta(days=number) for number in range(4)]
    assert days[2] == date(2028, 2, 29)
    assert conditions.until_on == date(2028, 3, 2)
    assert conditions.temperature_c == tuple(temperature_on(place, day) for day in days)
    assert conditions.dli_mol == tuple(light_on(place, day, CLEAR).dli_mol for day in days)
    assert conditions.day_hours == tuple(light_on(place, day, CLEAR).day_hours for day in days)


def test_the_year_turns_without_a_jump() -> None:
    """The light of the 366th day of a leap year differs from its neighbours' by less than a hundredth."""
    yard = replace(OUT, outdoors=Outdoors(frost_free=((10, 1), (4, 15)), shade=0.0))
    conditions = conditions_at(yard, date(2028, 12, 29), 6, Sky(latitude=-33.9, clouds=0.0))
    for before, after in zip(conditions.dli_mol, conditions.dli_mol[1:], strict=False):
        assert after == pytest.approx(before, rel=0.01)


def test_a_place_in_the_sun_needs_a_latitude() -> None:
    """Daylight without a sky is a bug."""
    with pytest.raises(AssertionError, match="needs a latitude"):
        light_on(sill(), date(2026, 1, 1))
