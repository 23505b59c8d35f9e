"""The equations of growth give values computed by hand or by a plain loop."""

from math import asin, atan2, cos, degrees, pi, radians, sin, tan

import pytest

from steadysow.growth import rates
from steadysow.inputs.sources import read_publication

CARDINAL = {"base_c": 4.0, "optimum_c": 24.0, "ceiling_c": 32.0}


@pytest.mark.parametrize(
    ("temperature_c", "share"), [(-5, 0.0), (4, 0.0), (9, 0.25), (14, 0.5), (24, 1.0), (28, 0.5), (32, 0.0), (40, 0.0)]
)
def test_response_rises_to_the_optimum_and_falls_to_the_ceiling(temperature_c: float, share: float) -> None:
    """Development rises on a straight line from base to optimum, falls to the ceiling, and is zero outside."""
    assert rates.temperature_response(temperature_c, **CARDINAL) == pytest.approx(share)


def test_response_at_a_ceiling_that_is_the_optimum() -> None:
    """If the ceiling is the optimum, development is at its maximum there and stops right above."""
    assert rates.temperature_response(24, base_c=4, optimum_c=24, ceiling_c=24) == 1.0
    assert rates.temperature_response(24.1, base_c=4, optimum_c=24, ceiling_c=24) == 0.0


@pytest.mark.parametrize("at_c", [10.0, 24.0, 30.0])
def test_relative_response_is_one_at_the_profiles_own_temperature(at_c: float) -> None:
    """At the temperature for which its days hold, a profile needs no correction."""
    assert rates.relative_temperature_response(at_c, at_c=at_c, **CARDINAL) == 1.0


def test_relative_response_is_a_ratio() -> None:
    """Halfway from base to optimum, development runs at half the rate of the optimum and twice that of a quarter."""
    assert rates.relative_temperature_response(14, at_c=24, **CARDINAL) == pytest.approx(0.5)
    assert rates.relative_temperature_response(14, at_c=9, **CARDINAL) == pytest.approx(2.0)


def test_a_profile_at_which_nothing_develops_is_a_bug() -> None:
    """A profile whose days hold at its own base temperature raises an error."""
    with pytest.raises(ZeroDivisionError, match="division"):
        rates.relative_temperature_response(20, at_c=4, **CARDINAL)


@pytest.mark.parametrize(("temperature_c", "day_degrees"), [(3, 0.0), (10, 0.0), (12.5, 2.5), (30, 20.0), (35, 20.0)])
def test_degree_days_keep_between_the_thresholds(temperature_c: float, day_degrees: float) -> None:
    """A day adds its degrees above the base, and no more than the upper threshold allows."""
    assert rates.degree_days(temperature_c, base_c=10, most_c=30) == day_degrees


def test_degree_days_without_an_upper_threshold() -> None:
    """Without an upper threshold every degree counts."""
    assert rates.degree_days(35, base_c=10) == 25


@pytest.mark.parametrize(("dli_mol", "relative"), [(0, 0.0), (1.5, 0.2), (3, 0.4), (6, 0.8), (12, 1.0), (36, 1.2)])
def test_light_response_saturates(dli_mol: float, relative: float) -> None:
    """With half the maximum at 4 mol, 12 mol give 3/4, 36 mol 9/10 and 6 mol 6/10; below it falls with the light."""
    assert rates.relative_light_response(dli_mol, at_dli_mol=12, half_dli_mol=4) == pytest.approx(relative)


@pytest.mark.parametrize(("dli_mol", "relative"), [(0, 0.0), (2, 1 / 3), (5.9, 5.9 / 6), (6, 1.0), (30, 1.0)])
def test_light_that_does_not_matter_from_six_mol_on(dli_mol: float, relative: float) -> None:
    """With a half light of zero the days are the same in any light from 6 mol on, and nothing grows in the dark."""
    assert rates.relative_light_response(dli_mol, at_dli_mol=12, half_dli_mol=0) == pytest.approx(relative)


@pytest.mark.parametrize("half_dli_mol", [0, 4, 15])
@pytest.mark.parametrize("dli_mol", [0.5, 2, 5])
def test_dim_days_take_the_light_of_six_mol(dli_mol: float, half_dli_mol: float) -> None:
    """Under 6 mol a stage takes longer, but the same sum of light."""
    dim, six = (rates.relative_light_response(mol, at_dli_mol=12, half_dli_mol=half_dli_mol) for mol in (dli_mol, 6))
    assert dli_mol / dim == pytest.approx(6 / six)


def test_light_response_of_a_profile_in_the_dim() -> None:
    """A profile whose days hold under 6 mol is right at its own light, and twice as fast at double that light."""
    assert rates.relative_light_response(2.5, at_dli_mol=2.5, half_dli_mol=4) == 1.0
    assert rates.relative_light_response(5, at_dli_mol=2.5, half_dli_mol=4) == pytest.approx(2.0)


TABLE = ((5.0, None), (10.0, 10.0), (20.0, 4.0), (30.0, 5.0), (35.0, None))


@pytest.mark.parametrize(("temperature_c", "rate"), [(10, 0.1), (20, 0.25), (30, 0.2), (15, 0.175), (26, 0.22)])
def test_emergence_is_interpolated_in_rates(temperature_c: float, rate: float) -> None:
    """Between two temperatures of the table the rate, not the days, is on a straight line."""
    assert rates.emergence_rate(temperature_c, TABLE) == pytest.approx(rate)


@pytest.mark.parametrize("temperature_c", [0, 5, 9.9, 30.1, 35, 50])
def test_emergence_is_never_extrapolated(temperature_c: float) -> None:
    """Outside the table, and between a temperature with emergence and one without, there is no rate."""
    assert rates.emergence_rate(temperature_c, TABLE) is None


def test_emergence_with_one_listed_temperature() -> None:
    """A table with one temperature has a rate only there."""
    assert rates.emergence_rate(20, ((20.0, 8.0),)) == 0.125
    assert rates.emergence_rate(21, ((20.0, 8.0),)) is None


def test_no_hours_of_light_have_no_flux() -> None:
    """Daily light in zero hours is an error."""
    with pytest.raises(ZeroDivisionError, match="division"):
        rates.ppfd_from_dli(12, 0)


def test_photons_in_the_suns_energy() -> None:
    """A MJ of sun has 2.0565 mol, which is within the published values."""
    table = read_publication("par-per-global").table
    least, most = table["spread_of_published_choices_mol_per_mj"]
    assert rates.mol_from_mj(1) == pytest.approx(table["mol_per_mj_of_global"]["ours"], rel=1e-12)
    assert least < rates.mol_from_mj(1) < most


@pytest.mark.parametrize("radiation_mj", [0, 0.1, 6.57, 31.4])
def test_photons_and_energy_are_each_others_inverse(radiation_mj: float) -> None:
    """Energy to photons and back gives the same energy."""
    assert rates.mj_from_mol(rates.mol_from_mj(radiation_mj)) == pytest.approx(radiation_mj, rel=1e-15)


def test_clouds_take_two_thirds_of_a_clear_sky() -> None:
    """Of 40 MJ above the atmosphere, 30 arrive under a clear sky, 10 under an overcast one, 20 under half of each."""
    assert rates.solar_radiation_mj(40, 1) == rates.clear_sky_radiation_mj(40) == pytest.approx(30)
    assert rates.solar_radiation_mj(40, 0) == pytest.approx(10)
    assert rates.solar_radiation_mj(40, 0.5) == pytest.approx(20)


@pytest.mark.parametrize(("latitude", "hours"), [(90, 24), (66.6, 24), (0, 12), (-66.6, 0), (-90, 0)])
def test_days_of_midsummer(latitude: float, hours: float) -> None:
    """On day 172 the sun stays up beyond the northern polar circle and down beyond the southern."""
    assert rates.day_length_hours(latitude, 172) == pytest.approx(hours)


def sun_minute_by_minute(latitude: float, day_of_year: int, facing_degrees: float) -> tuple[float, float]:
    """Step through a day by the minute: hours with the sun in front of the pane, and their share of energy.

    The textbook formulas for height and azimuth, which the equation under test does not use.
    """
    phi, delta = radians(latitude), 0.409 * sin(2 * pi * day_of_year / 365 - 1.39)
    minutes, before, whole = 0, 0.0, 0.0
    for minute in range(24 * 60):
        hour_angle = radians((minute + 0.5) / 4 - 180)
        height = asin(sin(phi) * sin(delta) + cos(phi) * cos(delta) * cos(hour_angle))
        if height <= 0:
            continue
        azimuth = degrees(atan2(sin(hour_angle), cos(hour_angle) * sin(phi) - tan(delta) * cos(phi)))
        whole += sin(height)
        if abs((azimuth - facing_degrees + 180) % 360 - 180) < 90:
            minutes += 1
            before += sin(height)
    return minutes / 60, before / whole if whole else 0.0


@pytest.mark.parametrize("facing_degrees", [0, 45, 90, 135, 180, -135, -90, -45])
@pytest.mark.parametrize("latitude", [78, 61, 40, 25, 5, 0, -15, -33.9, -52, -70])
@pytest.mark.parametrize("day_of_year", [1, 79, 135, 172, 225, 265, 300, 355])
def test_sun_before_a_pane_is_that_of_a_plain_loop(latitude: float, day_of_year: int, facing_degrees: float) -> None:
    """On both hemispheres, in polar day and night and for all facings, the result is that of counting minutes."""
    hours, share = rates.sun_before_pane(latitude, day_of_year, facing_degrees)
    counted_hours, counted_share = sun_minute_by_minute(latitude, day_of_year, facing_degrees)
    assert hours == pytest.approx(counted_hours, abs=4 / 60)
    assert share == pytest.approx(counted_share, abs=2e-3)


@pytest.mark.parametrize(("latitude", "day_of_year"), [(70, 355), (-70, 172), (90, 355)])
def test_no_sun_before_a_pane_in_the_polar_night(latitude: float, day_of_year: int) -> None:
    """If the sun does not rise, it is in front of no pane."""
    assert rates.sun_before_pane(latitude, day_of_year, 0) == (0.0, 0.0)


def test_the_winter_sun_stands_towards_the_equator() -> None:
    """In midwinter all sun falls on the pane that faces the equator, and none on the opposite one."""
    for latitude, day_of_year, towards, away in ((51.5, 355, 0, 180), (-33.9, 172, 180, 0)):
        hours = rates.day_length_hours(latitude, day_of_year)
        assert rates.sun_before_pane(latitude, day_of_year, towards) == pytest.approx((hours, 1.0))
        assert rates.sun_before_pane(latitude, day_of_year, away) == (0.0, 0.0)


def test_warm_water_holds_less_oxygen() -> None:
    """From 0 to 40 degrees each degree more leaves less oxygen."""
    held = [rates.oxygen_saturation_mg(float(temperature_c)) for temperature_c in range(41)]
    assert held == sorted(held, reverse=True)
    assert len(set(held)) == len(held)
