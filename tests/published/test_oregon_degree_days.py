"""Degree days of sweet corn 'Jubilee'.

Source: [oregon-em9305]: lower threshold 50 degree F, upper threshold 86 degree F, 1539 degree F d to fresh market.
The figures were noted from an excerpt; the number of days at steady 68 degree F is our arithmetic on them.
"""

from math import ceil

import pytest

from steadysow.growth.rates import degree_days, temperature_response
from steadysow.inputs.sources import read_publication

JUBILEE = read_publication("oregon-em9305").table["sweet_corn_jubilee"]


def celsius(fahrenheit: float) -> float:
    """Convert a temperature."""
    return (fahrenheit - 32) * 5 / 9


LOWER_C, UPPER_C = celsius(JUBILEE["lower_f"]), celsius(JUBILEE["upper_f"])
TO_MARKET_C_DAYS = JUBILEE["to_fresh_market_f_days"] * 5 / 9


def test_jubilee_at_steady_68_fahrenheit() -> None:
    """At a steady 68 degree F the corn takes 85.5 days: it is ready on day 86."""
    days = TO_MARKET_C_DAYS / degree_days(celsius(68), base_c=LOWER_C, most_c=UPPER_C)
    assert days == pytest.approx(85.5)
    assert ceil(days) == 86


@pytest.mark.parametrize("fahrenheit", [86, 90, 104])
def test_warmth_above_the_upper_threshold_adds_no_more(fahrenheit: float) -> None:
    """Each day at or above 86 degree F adds the same 36 degree F d."""
    assert degree_days(celsius(fahrenheit), base_c=LOWER_C, most_c=UPPER_C) * 9 / 5 == pytest.approx(36)


@pytest.mark.parametrize("fahrenheit", [32, 50])
def test_cold_below_the_lower_threshold_adds_nothing(fahrenheit: float) -> None:
    """A day at or below 50 degree F adds nothing, and takes nothing away."""
    assert degree_days(celsius(fahrenheit), base_c=LOWER_C, most_c=UPPER_C) == 0


@pytest.mark.parametrize("fahrenheit", [50, 59, 68, 77, 86])
def test_our_response_is_degree_days_between_the_thresholds(fahrenheit: float) -> None:
    """Between the thresholds, the response is the day's degree days as a share of 36 degree F d."""
    share = temperature_response(celsius(fahrenheit), base_c=LOWER_C, optimum_c=UPPER_C, ceiling_c=celsius(104))
    assert share == pytest.approx((fahrenheit - 50) / 36)
