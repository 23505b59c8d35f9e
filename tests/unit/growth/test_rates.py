"""The equations of growth at points worked out by hand."""

import pytest

from steadysow.growth import rates

CARDINAL = {"base_c": 4.0, "optimum_c": 24.0, "ceiling_c": 32.0}


@pytest.mark.parametrize(
    ("temperature_c", "share"), [(-5, 0.0), (4, 0.0), (9, 0.25), (14, 0.5), (24, 1.0), (28, 0.5), (32, 0.0), (40, 0.0)]
)
def test_response_rises_to_the_optimum_and_falls_to_the_ceiling(temperature_c: float, share: float) -> None:
    """Development rises straight from base to optimum and falls straight to the ceiling, with nothing beyond."""
    assert rates.temperature_response(temperature_c, **CARDINAL) == pytest.approx(share)


def test_response_at_a_ceiling_that_is_the_optimum() -> None:
    """Where the ceiling is the optimum itself, development is at its most there and stops at once beyond."""
    assert rates.temperature_response(24, base_c=4, optimum_c=24, ceiling_c=24) == 1.0
    assert rates.temperature_response(24.1, base_c=4, optimum_c=24, ceiling_c=24) == 0.0


@pytest.mark.parametrize("at_c", [10.0, 24.0, 30.0])
def test_relative_response_is_one_at_the_profiles_own_temperature(at_c: float) -> None:
    """At the temperature at which its days hold, a profile needs no correction, wherever that lies."""
    assert rates.relative_temperature_response(at_c, at_c=at_c, **CARDINAL) == 1.0


def test_relative_response_is_a_ratio() -> None:
    """Half way up from the base, development runs at half the rate of the optimum and twice that of a quarter."""
    assert rates.relative_temperature_response(14, at_c=24, **CARDINAL) == pytest.approx(0.5)
    assert rates.relative_temperature_response(14, at_c=9, **CARDINAL) == pytest.approx(2.0)


def test_a_profile_at_which_nothing_develops_is_a_bug() -> None:
    """A profile whose days would hold at its own base temperature cannot be answered for."""
    with pytest.raises(ZeroDivisionError, match="division"):
        rates.relative_temperature_response(20, at_c=4, **CARDINAL)


@pytest.mark.parametrize(("temperature_c", "day_degrees"), [(3, 0.0), (10, 0.0), (12.5, 2.5), (30, 20.0), (35, 20.0)])
def test_degree_days_keep_between_the_thresholds(temperature_c: float, day_degrees: float) -> None:
    """A day adds its degrees above the base, and no more than the upper threshold allows."""
    assert rates.degree_days(temperature_c, base_c=10, most_c=30) == day_degrees


def test_degree_days_without_an_upper_threshold() -> None:
    """Without an upper threshold every degree counts."""
    assert rates.degree_days(35, base_c=10) == 25


@pytest.mark.parametrize(("dli_mol", "relative"), [(0, 0.0), (4, 2 / 3), (12, 1.0), (36, 1.2)])
def test_light_response_saturates(dli_mol: float, relative: float) -> None:
    """Light speeds growth less and less: with half the most at 4 mol, 12 mol give 3/4 of it and 36 mol 9/10."""
    assert rates.relative_light_response(dli_mol, at_dli_mol=12, half_dli_mol=4) == pytest.approx(relative)


def test_light_that_does_not_matter() -> None:
    """Where the half light is nought the days are the same in any light, darkness included."""
    assert rates.relative_light_response(0, at_dli_mol=12, half_dli_mol=0) == 1.0


TABLE = ((5.0, None), (10.0, 10.0), (20.0, 4.0), (30.0, 5.0), (35.0, None))


@pytest.mark.parametrize(("temperature_c", "rate"), [(10, 0.1), (20, 0.25), (30, 0.2), (15, 0.175), (26, 0.22)])
def test_emergence_is_interpolated_in_rates(temperature_c: float, rate: float) -> None:
    """Between two listed temperatures the rate, not the days, lies on a straight line."""
    assert rates.emergence_rate(temperature_c, TABLE) == pytest.approx(rate)


@pytest.mark.parametrize("temperature_c", [0, 5, 9.9, 30.1, 35, 50])
def test_emergence_is_never_extrapolated(temperature_c: float) -> None:
    """Past the ends, and between emergence and none, the table promises nothing."""
    assert rates.emergence_rate(temperature_c, TABLE) is None


def test_emergence_with_one_listed_temperature() -> None:
    """A table of one temperature speaks for that temperature alone."""
    assert rates.emergence_rate(20, ((20.0, 8.0),)) == 0.125
    assert rates.emergence_rate(21, ((20.0, 8.0),)) is None


def test_no_hours_of_light_have_no_flux() -> None:
    """No flux makes a daily light in no time."""
    with pytest.raises(ZeroDivisionError, match="division"):
        rates.ppfd_from_dli(12, 0)
