"""Settings of timers: on which days a lamp is set, and to which hours, worked out by hand."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, time, timedelta
from itertools import pairwise
from typing import Any

import pytest

from lit_shelf import DECEMBER, HELSINKI, LAMP, NIGHT_RATE, NOVEMBER, SILL, a_batch, a_garden, a_plan
from steadysow.growth.daylight import light_on
from steadysow.inputs.garden import Away, Place
from steadysow.upkeep.timers import timer_settings
from tiny import SATURDAY


def times(settings: Iterable[Any]) -> list[tuple[date, time | None, time | None, str]]:
    """Give day, start, stop and cause of settings."""
    return [(each.on, each.starts, each.stops, each.cause) for each in settings]


def test_a_lamp_is_set_when_plants_come_and_go() -> None:
    """Two stays with ten days between them give on, off, on, off; a stay that overlaps adds no setting."""
    garden = a_garden(tariff=NIGHT_RATE)
    plan = a_plan(
        a_batch(date(2026, 11, 7), date(2026, 11, 14)),
        a_batch(date(2026, 11, 10), date(2026, 11, 21), "B", number=2),
        a_batch(DECEMBER, date(2026, 12, 12), number=3),
    )
    settings = timer_settings(garden, plan, NOVEMBER, date(2027, 1, 1))
    # Fourteen hours cover the cheap night if they start between 17:00 and 22:00, and 22:00 is nearest to 6:00.
    on = (time(22), time(12))
    assert times(settings) == [
        (date(2026, 11, 7), *on, "come"),
        (date(2026, 11, 21), None, None, "go"),
        (DECEMBER, *on, "come"),
        (date(2026, 12, 12), None, None, "go"),
    ]
    assert settings[0].why == "Plants arrive under this lamp. These are the cheapest hours in a row."
    assert settings[1].why == "No plants are left under this lamp."


def test_a_later_span_begins_with_the_setting_in_force() -> None:
    """A span that begins in the middle of a stay has the earlier setting; one after the stay has none."""
    garden, plan = a_garden(), a_plan(a_batch(date(2026, 11, 7), date(2026, 11, 21)))
    assert times(timer_settings(garden, plan, date(2026, 11, 10), DECEMBER)) == [
        (date(2026, 11, 7), time(6), time(20), "come"),
        (date(2026, 11, 21), None, None, "go"),
    ]
    assert timer_settings(garden, plan, date(2026, 11, 25), DECEMBER) == ()


def test_clocks_that_change() -> None:
    """The timer's clock is set on both days on which clocks change, and its hours stay."""
    plan = a_plan(a_batch(date(2026, 10, 10), date(2027, 4, 10)))
    settings = timer_settings(a_garden(tariff=HELSINKI), plan, date(2026, 10, 10), date(2027, 5, 1))
    assert times(settings) == [
        (date(2026, 10, 10), time(22), time(12), "come"),
        (date(2026, 10, 25), time(22), time(12), "clocks"),
        (date(2027, 3, 28), time(22), time(12), "clocks"),
        (date(2027, 4, 10), None, None, "go"),
    ]
    assert "The clocks went back by 1 hour. Set the timer's own clock too." in settings[1].why
    assert "went forward by 1 hour" in settings[2].why


def test_clocks_that_change_while_nobody_is_at_home() -> None:
    """If nobody is at home when clocks change, the timer is set on the day of return."""
    away = (Away(from_on=date(2026, 10, 23), back_on=date(2026, 10, 28)),)
    plan = a_plan(a_batch(date(2026, 10, 10), date(2026, 11, 21)))
    settings = timer_settings(a_garden(tariff=HELSINKI, away=away), plan, date(2026, 10, 10), NOVEMBER)
    assert [each.on for each in settings] == [date(2026, 10, 10), date(2026, 10, 28)]


def test_a_lamp_that_is_never_off_has_no_clock_to_set() -> None:
    """A lamp that runs 24 hours runs from midnight to midnight, even when clocks change."""
    place = Place(name="shelf", lamp=replace(LAMP, hours=24.0), temperature_c=20)
    plan = a_plan(a_batch(date(2026, 10, 10), date(2027, 4, 10)))
    settings = timer_settings(a_garden(places=(place,), tariff=HELSINKI), plan, date(2026, 10, 10), date(2027, 4, 1))
    assert times(settings) == [(date(2026, 10, 10), time(0), time(0), "come")]


def test_a_change_of_clocks_does_not_decide_a_setting() -> None:
    """On the eve of summer time, 14 hours from 22:00 stop at 12:00 by the timer, not at 13:00."""
    plan = a_plan(a_batch(date(2027, 3, 27), date(2027, 4, 10)))
    first = timer_settings(a_garden(tariff=HELSINKI), plan, date(2027, 3, 27), date(2027, 4, 1))[0]
    assert (first.starts, first.stops) == (time(22), time(12))


def test_a_lamp_at_a_dark_window_follows_the_sun() -> None:
    """From October to June it is set on Saturdays, each time by half an hour or more, and is off in spring."""
    garden = a_garden(places=(SILL,), latitude=61.2, tariff=None)
    first_on, until_on = date(2026, 10, 10), date(2027, 6, 5)
    settings = timer_settings(garden, a_plan(a_batch(first_on, until_on)), first_on, until_on)
    assert {each.on.weekday() for each in settings} == {SATURDAY}
    for one, other in pairwise(settings):
        assert (other.on - one.on).days >= 7
        assert abs(other.hours - one.hours) >= 0.5
        assert other.cause == "light"
    assert all((4 * each.hours).is_integer() for each in settings)
    assert settings[-1].is_off
    assert settings[-1].why == "This place now has enough light without the lamp."
    longest = max(settings, key=lambda each: each.hours)
    assert longest.on.month in (11, 12)
    # The timer is within half an hour of the plan's mean in each week, and half a quarter hour for the rounding.
    for week in range((until_on - first_on).days // 7):
        days = [first_on + timedelta(7 * week + number) for number in range(7)]
        planned = sum(light_on(SILL, day, garden.sky).lamp_hours for day in days) / 7
        given = [each.hours for each in settings if each.on <= days[0]][-1]
        assert abs(given - planned) < 0.625


def test_a_change_of_clocks_does_not_delay_daylight() -> None:
    """In a darkening October a timer is set each Saturday, even six days after its clock was set."""
    garden = a_garden(places=(SILL,), latitude=61.2, tariff=HELSINKI)
    plan = a_plan(a_batch(date(2026, 10, 17), date(2026, 12, 12)))
    settings = timer_settings(garden, plan, date(2026, 10, 17), date(2026, 11, 1))
    assert [(each.on, each.cause) for each in settings] == [
        (date(2026, 10, 17), "come"),
        (date(2026, 10, 24), "light"),
        (date(2026, 10, 25), "clocks"),
        (date(2026, 10, 31), "light"),
    ]
    assert settings[2].hours == settings[1].hours


def test_a_span_may_end_on_any_day() -> None:
    """The setting on the last day of a span is the same as in a longer span: the mean of the week to come."""
    garden = a_garden(places=(SILL,), latitude=61.2, tariff=None)
    on = date(2027, 2, 13)
    plan = a_plan(a_batch(on, date(2027, 4, 10)))
    (only,) = timer_settings(garden, plan, on, on + timedelta(1))
    assert only == timer_settings(garden, plan, on, on + timedelta(50))[0]
    hours = [light_on(SILL, on + timedelta(number), garden.sky).lamp_hours for number in range(7)]
    assert only.hours == pytest.approx(sum(hours) / 7, abs=0.125)
    # In February light grows so fast that the first day alone would give another quarter hour.
    assert abs(hours[0] - only.hours) > 0.125


def test_a_fixed_lamp_at_a_window_stays_with_the_sun() -> None:
    """Eight hours under a night rate start later and later as sunrise moves, and never reach far beyond the sun."""
    lit = replace(SILL, lamp=replace(LAMP, hours=8.0, dli_mol=5.76))
    garden = a_garden(places=(lit,), latitude=61.2, tariff=NIGHT_RATE)
    first_on, until_on = date(2027, 6, 19), date(2027, 12, 18)
    settings = timer_settings(garden, a_plan(a_batch(first_on, until_on)), first_on, until_on)
    for number in range((until_on - first_on).days):
        day = first_on + timedelta(number)
        now = [each for each in settings if each.on <= day][-1]
        sun_hours = light_on(lit, day, garden.sky).sun_hours
        assert now.starts is not None
        start = now.starts.hour + now.starts.minute / 60
        together = max(12 + sun_hours / 2, start + 8) - min(12 - sun_hours / 2, start)
        # Half an hour is not worth a setting; in a week an autumn day shrinks by 20 minutes at each end.
        assert together - max(sun_hours, 8) < 0.5 + 0.35
    assert settings[0].starts is not None
    assert settings[0].starts < time(7)
    assert [each.hours for each in settings] == [8.0] * len(settings)
    assert len(settings) > 3
    for one, other in pairwise(settings):
        assert one.starts is not None
        assert other.starts is not None
        assert (other.on - one.on).days >= 7
        assert other.starts > one.starts
        assert "Sunrise and sunset have moved" in other.why
