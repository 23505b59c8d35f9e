"""What a lamp costs a month: common practice, no source.

"A dimmable lamp run twelve hours at night over some fifty plants costs about six to ten dollars a month."  Checks of an
outcome, at the prices of [eia-monthly-2024] and [eia-annual-2023] (seen).  Twelve hours are 360 a month, so that at
16.88 cents the rule means a lamp that draws 99 to 165 W.

What they show: it holds for a lamp of 200 W turned to 65 %, at the mean price of 2024 and in states of ordinary prices.
It does not hold where power is dear (Hawaii: twenty dollars) or cheap (Washington), nor for a small lamp.  And it is
the price of modest light: fifty heads at 25 a square metre stand on 2 m2, to which such a lamp gives under 6 mol a day,
half the least of what is usually advised for leafy greens (12 to 17 mol, from memory).  Twelve mol would cost seventeen
dollars.  Night matters only where it has a price of its own.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time, timedelta

import pytest

from builders import a_batch, a_plan
from steadysow.inputs.garden import Garden, Lamp, Nursery, Place
from steadysow.inputs.sources import read_publication
from steadysow.inputs.tariff import CheapHours, Tariff
from steadysow.plan.plan import Plan
from steadysow.upkeep.lamp_light import hours_for
from steadysow.upkeep.power import power_use
from steadysow.upkeep.timers import timer_settings
from tiny import make_crop, make_garden, make_tote, make_want

MEAN_CENTS = read_publication("eia-monthly-2024").table["residential_cents_per_kwh"]["april"]
STATES = read_publication("eia-annual-2023").table["residential_cents_per_kwh"]
LEAST_DOLLARS, MOST_DOLLARS = 6, 10
MONTH_ON, DAYS = date(2026, 11, 1), 30
CRESS = make_crop()

# A fixture of the middle of the market: 2 to 3 umol a joule have 70 % of those surveyed (Paucek et al. 2020, seen
# second-hand); that four fifths reach the leaves is an estimate.  Plants at 25 a square metre, our estimate for heads.
MOL_EFFICACY, REACHING, GROUND_M2 = 2.5, 0.8, 50 / 25


def a_lamp(watts: float, brightness: float) -> Lamp:
    """Give a lamp over the ground of fifty heads, for twelve hours."""
    ppfd = watts * MOL_EFFICACY * REACHING / GROUND_M2
    return Lamp(dli_mol=ppfd * brightness * 12 * 0.0036, ppfd=ppfd, hours=12, brightness=brightness, watts=watts)


def a_garden(lamp: Lamp, tariff: Tariff) -> Garden:
    """Give a still tote of fifty holes under a lamp."""
    garden = make_garden([make_tote("A", 50, "kratky")], [make_want([CRESS], 1)], weeks=20)
    place, dark = (Place(name=name, temperature_c=20.0, lamp=each) for name, each in (("shelf", lamp), ("dark", None)))
    return replace(garden, places=(place,), nursery=Nursery(cells=60, place=dark), tariff=tariff)


def fifty_plants() -> Plan:
    """Give a plan with fifty plants that stand there for thirty days."""
    until_on = MONTH_ON + timedelta(DAYS)
    batch = a_batch(1, range(1, 51), sown_on=MONTH_ON, transplanted_on=MONTH_ON, cleared_on=until_on)
    return a_plan(batch, starts_on=MONTH_ON, until_on=until_on)


def dollars(lamp: Lamp, cents: float) -> float:
    """Give what the lamp costs in thirty days at one price."""
    garden = a_garden(lamp, Tariff(currency="USD", per_kwh=cents / 100))
    cost = power_use(garden, fifty_plants(), MONTH_ON, MONTH_ON + timedelta(DAYS)).cost
    assert cost is not None
    return cost


@pytest.mark.parametrize("cents", [MEAN_CENTS, STATES["Texas"], STATES["Florida"]])
def test_the_rule_holds_for_a_dimmed_lamp_at_ordinary_prices(cents: float) -> None:
    """130 W x 12 h x 30 d = 46.8 kWh, which are 6.77 to 7.90 dollars."""
    lamp = a_lamp(200, 0.65)
    assert dollars(lamp, cents) == pytest.approx(46.8 * cents / 100)
    assert LEAST_DOLLARS <= dollars(lamp, cents) <= MOST_DOLLARS


@pytest.mark.parametrize("state", ["Hawaii", "California", "Massachusetts", "New York"])
def test_the_rule_is_too_low_where_power_is_dear(state: str) -> None:
    """The same lamp costs more than ten dollars."""
    assert dollars(a_lamp(200, 0.65), STATES[state]) > MOST_DOLLARS


def test_the_rule_is_too_high_where_power_is_cheap_or_the_lamp_small() -> None:
    """In Washington the lamp, and anywhere near the mean price one of 60 W, costs less than six dollars."""
    assert dollars(a_lamp(200, 0.65), STATES["Washington"]) < LEAST_DOLLARS
    assert dollars(a_lamp(60, 1.0), MEAN_CENTS) < LEAST_DOLLARS


def test_the_rule_is_not_the_price_of_full_light() -> None:
    """Twelve mol for fifty heads cost more than ten dollars, and the modest lamp cannot make them in a day."""
    modest = a_lamp(200, 0.65)
    assert modest.dli_mol < 6
    assert modest.ppfd is not None
    assert hours_for(12, modest.ppfd, 0.65) > 24
    # 12 mol in 12 h are 278 umol; on 2 m2, by 2.5 umol a joule of which 0.8 reach the leaves, 278 W.
    full = a_lamp(278, 1.0)
    assert full.dli_mol == pytest.approx(12, abs=0.02)
    assert dollars(full, MEAN_CENTS) == pytest.approx(278 * 0.36 * 0.1688)
    assert dollars(full, MEAN_CENTS) > MOST_DOLLARS


def test_at_night_only_a_night_rate_is_cheaper() -> None:
    """Under a night rate the timer runs the lamp at night; at one price the hour does not matter."""
    night = CheapHours(from_clock=time(21), until_clock=time(9), per_kwh=0.12)
    garden = a_garden(a_lamp(200, 0.65), Tariff(currency="USD", per_kwh=MEAN_CENTS / 100, cheap=(night,)))
    (setting,) = timer_settings(garden, fifty_plants(), MONTH_ON, MONTH_ON + timedelta(DAYS))
    assert (setting.starts, setting.stops) == (time(21), time(9))
    use = power_use(garden, fifty_plants(), MONTH_ON, MONTH_ON + timedelta(DAYS))
    assert use.cost == pytest.approx(46.8 * 0.12)
