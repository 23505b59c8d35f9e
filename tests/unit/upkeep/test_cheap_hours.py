"""The cheapest hours in a row, checked against every start, priced minute by minute in universal time."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, time, timedelta

import pytest

from minute_by_minute import check_cheapest, every_run, minutes_of
from steadysow.inputs.tariff import CheapHours, Tariff
from steadysow.upkeep.cheap_hours import (
    Daylight,
    cheapest_hours,
    clocks_go_forward,
    day_minutes,
    daylight_on,
    run_of,
)

ON = date(2026, 11, 10)
NIGHT = CheapHours(from_clock=time(22), until_clock=time(7), per_kwh=0.11)
NIGHT_RATE = Tariff(currency="EUR", per_kwh=0.22, cheap=(NIGHT,))
# A made-up day of a market with prices by the hour: a windy night and a dear evening.
HOURLY = (
    0.02, 0.01, -0.01, -0.03, 0.0, 0.04, 0.11, 0.19, 0.24, 0.18, 0.12, 0.1,
    0.08, 0.07, 0.09, 0.13, 0.21, 0.33, 0.41, 0.36, 0.22, 0.14, 0.08, 0.05,
)  # fmt: skip
MARKET = Tariff(currency="EUR", by_hour=HOURLY)


HOURS = (0.25, 1, 5.5, 9, 14, 20, 23.75)


@pytest.mark.parametrize(
    "tariff", [NIGHT_RATE, MARKET, Tariff(currency="EUR", per_kwh=0.2)], ids=["night", "hours", "1"]
)
@pytest.mark.parametrize("near", [time(6), time(17, 30)])
def test_cheapest_of_every_start(tariff: Tariff, near: time) -> None:
    """The run is the cheapest of all starts for a night rate, prices by the hour and one price."""
    for hours in HOURS:
        check_cheapest(tariff, ON, hours, near)


NIGHTS = [
    ("Europe/Helsinki", date(2027, 3, 28), 60),
    ("Europe/Helsinki", date(2026, 10, 25), -60),
    ("Australia/Sydney", date(2026, 10, 4), 60),
    ("Australia/Sydney", date(2027, 4, 4), -60),
    ("Australia/Lord_Howe", date(2026, 10, 4), 30),
    # Midnight is skipped, or comes twice.
    ("America/Santiago", date(2026, 9, 6), 60),
    ("America/Santiago", date(2027, 4, 4), -60),
]


@pytest.mark.parametrize(("zone", "changes_on", "forward"), NIGHTS)
@pytest.mark.parametrize("prices", [NIGHT_RATE, MARKET], ids=["night", "hours"])
def test_cheapest_when_clocks_change(prices: Tariff, zone: str, changes_on: date, forward: int) -> None:
    """On days on which clocks change, runs last as long as on others, and are priced by the clock."""
    tariff = Tariff(currency="EUR", per_kwh=prices.per_kwh, cheap=prices.cheap, by_hour=prices.by_hour, zone=zone)
    for on in (changes_on - timedelta(1), changes_on):
        for hours in (1, 5.5, 14, 23.75):
            check_cheapest(tariff, on, hours, time(6))
    days = [changes_on + timedelta(number) for number in (-2, -1, 0, 1)]
    around = {day: sum(each.date() == day for each in minutes_of(zone, day)) for day in days}
    assert {day: day_minutes(zone, day) for day in days} == around
    assert sum(around.values()) == 4 * 1440 - forward
    assert [clocks_go_forward(zone, day) for day in days if clocks_go_forward(zone, day)] == [forward]


def test_a_night_by_hand() -> None:
    """Four hours from 0:00 stop at 5:00 if an hour is skipped, and at 3:00 if it comes twice."""
    flat = Tariff(currency="EUR", per_kwh=0.5, zone="Europe/Helsinki")
    for on, stops in ((date(2027, 3, 28), time(5)), (date(2026, 10, 25), time(3))):
        run = run_of(flat, on, time(0), 4)
        assert (run.stops, run.hours) == (stops, 4)
        assert run.cost_a_kw == pytest.approx(2.0)
    # The clock skips 3:30 on that morning: three and a half hours after midnight it shows 4:30.
    assert run_of(flat, date(2027, 3, 28), time(3, 30), 1).stops == time(5, 30)


@pytest.mark.parametrize(
    ("zone", "on", "hours"),
    [(None, ON, 24), ("Europe/Helsinki", date(2027, 3, 28), 23), ("Europe/Helsinki", date(2026, 10, 25), 25)],
)
def test_a_whole_day_costs_all_its_hours(zone: str | None, on: date, hours: int) -> None:
    """A run of 24 hours is the day from midnight to midnight, which has 23 to 25 hours."""
    tariff = Tariff(currency="EUR", by_hour=HOURLY, zone=zone)
    run = cheapest_hours(tariff, on, 24, near=time(15))
    prices = [HOURLY[each.hour] for each in minutes_of(zone or "UTC", on) if each.date() == on]
    assert (run.starts, run.stops, run.hours, len(prices)) == (time(0), time(0), hours, 60 * hours)
    assert run.cost_a_kw == pytest.approx(sum(prices) / 60)


def test_equal_cost_keeps_the_timer_as_it_is() -> None:
    """Of starts that cost the same, the nearest to the present one is chosen, also across midnight."""
    flat = Tariff(currency="EUR", per_kwh=0.2)
    assert cheapest_hours(flat, ON, 14, near=time(9, 15)).starts == time(9, 15)
    assert cheapest_hours(None, ON, 14, near=time(9, 15)).starts == time(9, 15)
    assert cheapest_hours(None, ON, 14).starts == time(6)
    # Five hours of a night from 22:00 to 7:00 start from 22:00 to 2:00.
    assert cheapest_hours(NIGHT_RATE, ON, 5, near=time(23, 45)).starts == time(23, 45)
    assert cheapest_hours(NIGHT_RATE, ON, 5, near=time(21)).starts == time(22)
    assert cheapest_hours(NIGHT_RATE, ON, 5, near=time(5)).starts == time(2)


def test_no_tariff_no_cost() -> None:
    """Without a tariff the cost is unknown."""
    assert cheapest_hours(None, ON, 14).cost_a_kw is None


@pytest.mark.parametrize("hours", [0, -1, 24.5, 0.001])
def test_a_run_lasts_up_to_a_day(hours: float) -> None:
    """Hours of nearly nothing, or of more than a day, are refused."""
    with pytest.raises(ValueError, match="a run takes above 0 and at most 24 hours"):
        cheapest_hours(NIGHT_RATE, ON, hours)


def minutes_of_day(starts: time, hours: float) -> set[int]:
    """Give the minutes of the day in which a run is on."""
    first = 60 * starts.hour + starts.minute
    return {minute % 1440 for minute in range(first, first + round(60 * hours))}


def sun_minutes(noon_hour: float, hours: float) -> set[int]:
    """Give the minutes of the day from sunrise to sunset."""
    first = round(60 * (noon_hour - hours / 2))
    return {minute % 1440 for minute in range(first, first + round(60 * hours))}


SUNS: Sequence[tuple[float, float, float]] = [
    (12, 16, 6), (12, 10, 14), (13, 18.5, 2.25), (12, 5.5, 20), (12, 12, 12), (13, 24, 9), (12, 19, 18)
]  # fmt: skip


@pytest.mark.parametrize(("noon_hour", "sun_hours", "hours"), SUNS)
def test_a_lamp_at_a_window_does_not_lengthen_the_day(noon_hour: float, sun_hours: float, hours: float) -> None:
    """Run and daylight together are as long as the longer of the two, and no such start is cheaper."""
    run = cheapest_hours(NIGHT_RATE, ON, hours, daylight=Daylight(noon_hour=noon_hour, hours=sun_hours))
    sun = sun_minutes(noon_hour, sun_hours)
    longest = max(len(sun), round(60 * hours))
    assert len(sun | minutes_of_day(run.starts, hours)) == longest
    runs = every_run(NIGHT_RATE, ON, hours)
    fitting = [cost for start, (cost, _) in runs.items() if len(sun | minutes_of_day(start, hours)) == longest]
    assert run.cost_a_kw == pytest.approx(min(fitting))


def test_a_lamp_at_a_window_runs_by_day() -> None:
    """Six hours at a window with ten hours of sun run by day at 0.22; without a window they run at night for half."""
    day = cheapest_hours(NIGHT_RATE, ON, 6, daylight=Daylight(noon_hour=12, hours=10))
    assert day.starts == time(7)
    assert day.cost_a_kw == pytest.approx(6 * 0.22)
    assert cheapest_hours(NIGHT_RATE, ON, 6).cost_a_kw == pytest.approx(6 * 0.11)


def test_a_run_reaches_least_beyond_daylight() -> None:
    """If no quarter hour fits exactly, the run starts at the one that reaches least beyond daylight."""
    daylight = Daylight(noon_hour=12.1, hours=10.05)
    run = cheapest_hours(NIGHT_RATE, ON, 10, daylight=daylight)
    # The sun rises at 7.075 and shines 0.05 longer than the run: 7:00 reaches out by 0.075, the others by more.
    assert run.starts == time(7)
    assert daylight.overhang(run.starts, 10) == pytest.approx(0.075)


@pytest.mark.parametrize(
    ("zone", "day", "noon_hour"),
    [
        (None, date(2027, 7, 1), 12),
        ("Europe/Helsinki", date(2027, 1, 1), 12),
        ("Europe/Helsinki", date(2027, 7, 1), 13),
        ("Europe/Helsinki", date(2027, 3, 28), 13),
        ("Australia/Sydney", date(2027, 1, 1), 13),
        ("Australia/Sydney", date(2027, 7, 1), 12),
        ("Europe/Dublin", date(2027, 1, 1), 12),
        ("Asia/Tokyo", date(2027, 7, 1), 12),
    ],
)
def test_noon_is_an_hour_later_in_summer_time(zone: str | None, day: date, noon_hour: float) -> None:
    """Noon is at one by the clock in summer time, north and south, and at twelve otherwise."""
    assert daylight_on(zone, day, 8) == Daylight(noon_hour=noon_hour, hours=8)
