"""The sun by date and latitude: [fao-56], Allen et al., "FAO-56" (1998), chapter 3.

Equations 21 to 25, 34, 35 and 37, with worked examples 8 (page 47), 9 and 10 and the monthly rows of annex 2 (tables
2.6 and 2.7).  The book's pages were not visible: printed results are as other documents give them, the monthly rows
were computed with the same equations elsewhere.  All checks here are of equations: to the printed digits, and the
rows, which hold one decimal, to 0.2, which also allows for what is remembered of the printed annex.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import pytest

from steadysow.growth import rates
from steadysow.inputs.sources import read_publication

TABLE = read_publication("fao-56").table
EIGHT, NINE, TEN = TABLE["example_8"], TABLE["example_9"], TABLE["example_10"]
MID_MONTHS: Sequence[int] = TABLE["mid_month_day_of_year"]
RA_MJ: Mapping[float, Sequence[float]] = TABLE["ra_mj_by_latitude"]
DAYLIGHT_HOURS: Mapping[float, Sequence[float]] = TABLE["daylight_hours_by_latitude"]
CLEAR_SKY_DLI_MOL: Mapping[float, Sequence[float]] = TABLE["clear_sky_dli_mol_by_latitude"]

# Rio de Janeiro in May: 220 hours of sun in 31 days, which the book rounds to 7.1 a day.
RIO_SUNSHINE_HOURS = 220 / 31


def test_constants_are_the_books() -> None:
    """The figures inside our equations are those of the book."""
    assert TABLE["solar_constant_mj_m2_min"] == rates.SOLAR_CONSTANT
    assert rates.solar_radiation_mj(1, 0) == TABLE["radiation_share"]["overcast"]
    sunshine = rates.solar_radiation_mj(1, 1) - rates.solar_radiation_mj(1, 0)
    assert sunshine == TABLE["radiation_share"]["by_sunshine"]
    assert rates.clear_sky_radiation_mj(1) == TABLE["clear_sky_share"]
    rise = rates.clear_sky_radiation_mj(1, 1000) - rates.clear_sky_radiation_mj(1)
    assert rise == pytest.approx(1000 * TABLE["clear_sky_share_per_m"])


def test_example_8() -> None:
    """3 September, 20 degrees south: distance, declination, sunset and radiation without air, as printed."""
    day, latitude = EIGHT["day_of_year"], EIGHT["latitude"]
    assert round(rates.inverse_relative_distance(day), 3) == EIGHT["printed"]["inverse_distance"]
    assert round(rates.declination(day), 3) == EIGHT["printed"]["declination_rad"]
    assert round(rates.sunset_hour_angle(latitude, day), 3) == EIGHT["printed"]["sunset_angle_rad"]
    assert round(rates.extraterrestrial_radiation_mj(latitude, day), 1) == EIGHT["printed_second_hand"]["ra_mj"]


def test_example_8_at_the_wrong_latitude() -> None:
    """A public test gives 31.2 MJ for example 8, which is what comes out at the latitude of example 10."""
    wrong = rates.extraterrestrial_radiation_mj(TEN["latitude"], EIGHT["day_of_year"])
    assert round(wrong, 1) == 31.2 != EIGHT["printed_second_hand"]["ra_mj"]


def test_example_9() -> None:
    """The same day has 11.7 hours of daylight; another program prints 11.66559."""
    hours = rates.day_length_hours(NINE["latitude"], NINE["day_of_year"])
    assert round(hours, 1) == NINE["printed"]["daylight_hours"]
    assert round(hours, 5) == NINE["another_program_printed"]["daylight_hours"]


def test_example_10() -> None:
    """Rio de Janeiro, 15 May: daylight, radiation without air and through it, in MJ and in mm of water."""
    day, latitude, remembered = TEN["day_of_year"], TEN["latitude"], TEN["from_memory"]
    hours, ra_mj = rates.day_length_hours(latitude, day), rates.extraterrestrial_radiation_mj(latitude, day)
    assert (round(hours, 1), round(ra_mj, 1)) == (remembered["daylight_hours"], remembered["ra_mj"])
    assert round(RIO_SUNSHINE_HOURS, 1) == TEN["sunshine_hours"]
    printed = TEN["another_program_printed"]
    rs_mj = rates.solar_radiation_mj(ra_mj, RIO_SUNSHINE_HOURS / hours)
    assert round(rs_mj, 3) == printed["rs_mj"]
    # The other program divides by the latent heat itself, the book by its rounded inverse: 0.05 % apart.
    assert rs_mj / TABLE["mj_per_mm"] == pytest.approx(printed["rs_mm"], rel=1e-3)
    assert round(rates.clear_sky_radiation_mj(ra_mj), 3) == TEN["computed"]["rso_mj"]


@pytest.mark.parametrize("season", ["day", "night"])
def test_polar_day_and_night(season: str) -> None:
    """Where the sun does not set the day has 24 hours, where it does not rise none, and no error is raised."""
    polar = TABLE["polar"][season]
    day, latitude = polar["day_of_year"], polar["latitude"]
    assert rates.day_length_hours(latitude, day) == polar["daylight_hours"]
    assert round(rates.extraterrestrial_radiation_mj(latitude, day), 2) == polar["ra_mj"]


@pytest.mark.parametrize("latitude", RA_MJ)
def test_monthly_radiation_without_air(latitude: float) -> None:
    """Annex table 2.6: Ra on the middle day of each month."""
    computed = [rates.extraterrestrial_radiation_mj(latitude, day) for day in MID_MONTHS]
    assert computed == pytest.approx(RA_MJ[latitude], abs=0.2)


@pytest.mark.parametrize("latitude", DAYLIGHT_HOURS)
def test_monthly_daylight_hours(latitude: float) -> None:
    """Annex table 2.7: N on the middle day of each month."""
    computed = [rates.day_length_hours(latitude, day) for day in MID_MONTHS]
    assert computed == pytest.approx(DAYLIGHT_HOURS[latitude], abs=0.2)


@pytest.mark.parametrize("latitude", CLEAR_SKY_DLI_MOL)
def test_monthly_light_under_a_clear_sky(latitude: float) -> None:
    """Ra through a clear sky, in mol: the row computed elsewhere, to its one decimal."""
    computed = [
        rates.mol_from_mj(rates.clear_sky_radiation_mj(rates.extraterrestrial_radiation_mj(latitude, day)))
        for day in MID_MONTHS
    ]
    assert computed == pytest.approx(CLEAR_SKY_DLI_MOL[latitude], abs=0.0501)
