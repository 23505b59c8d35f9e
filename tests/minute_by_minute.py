"""The cheapest run found the long way: every start of a day, priced minute by minute in universal time.

Written from what a garden file says, and shares nothing with the program but its types.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from steadysow.inputs.tariff import Tariff
from steadysow.upkeep.cheap_hours import cheapest_hours


def price_at(tariff: Tariff, clock: time) -> float:
    """Give the price at a time of day, from what is written in the garden file."""
    if tariff.by_hour:
        return tariff.by_hour[clock.hour]
    for span in tariff.cheap:
        runs_over_midnight = span.until_clock < span.from_clock
        if runs_over_midnight and (clock >= span.from_clock or clock < span.until_clock):
            return span.per_kwh
        if span.from_clock <= clock < span.until_clock:
            return span.per_kwh
    assert tariff.per_kwh is not None
    return tariff.per_kwh


def minutes_of(zone: str, on: date) -> list[datetime]:
    """Give every minute, as the clock shows it, from the first of a day until two days later."""
    zone_info = ZoneInfo(zone)
    first = datetime(on.year, on.month, on.day, tzinfo=UTC) - timedelta(hours=15)
    all_minutes = ((first + timedelta(minutes=number)).astimezone(zone_info) for number in range(4 * 1440 + 900))
    return [each for each in all_minutes if on <= each.date() <= on + timedelta(2)]


def every_run(tariff: Tariff, on: date, hours: float) -> dict[time, tuple[float, time]]:
    """Give cost and stop of a kilowatt's run from every quarter hour that the clock shows on a day, the first time."""
    shown = minutes_of(tariff.zone or "UTC", on)
    prices = [price_at(tariff, each.time()) for each in shown]
    runs: dict[time, tuple[float, time]] = {}
    for number, each in enumerate(shown):
        if each.date() == on and each.minute % 15 == 0 and each.time() not in runs:
            end = number + round(60 * hours)
            runs[each.time()] = (sum(prices[number:end]) / 60, shown[end].time())
    return runs


def apart(one: time, other: time) -> float:
    """Give the minutes between two times of day, the shorter way round."""
    away = abs((one.hour - other.hour) * 60 + one.minute - other.minute)
    return min(away, 1440 - away)


def check_cheapest(tariff: Tariff, on: date, hours: float, near: time) -> None:
    """Compare with all starts: the least cost, the nearest of those that have it, and the hour it stops."""
    runs = every_run(tariff, on, hours)
    least = min(cost for cost, _ in runs.values())
    cheapest = [start for start, (cost, _) in runs.items() if cost <= least + 1e-9]
    run = cheapest_hours(tariff, on, hours, near=near)
    assert run.cost_a_kw == pytest.approx(least, abs=1e-9)
    assert run.starts in cheapest
    assert apart(run.starts, near) == min(apart(start, near) for start in cheapest)
    assert run.stops == runs[run.starts][1]
    assert run.hours == pytest.approx(hours)
