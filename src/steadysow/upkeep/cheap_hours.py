"""When hours in a row cost least, by the clock on the wall.

Takes a tariff, a day and a number of hours; gives a `TimedRun`: when it starts and stops, and its cost per kilowatt.
Hides the nights in which clocks change, when hours still count as they pass and prices go by the clock, and how far a
lamp at a window may run beyond daylight.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from itertools import accumulate

from steadysow.inputs.tariff import MINUTES_A_DAY, Tariff, minute_of

# Runs start at quarter hours, as a mechanical timer does [min].
STEP_MINUTES = 15

# Our choice for a timer that has no setting yet: light in the early morning, dark at night.
MORNING = time(6)

# Every run ends before this, even a whole day that starts late on a day on which clocks go back [min].
_KNOWN_MINUTES = 2 * MINUTES_A_DAY + 180

# Equal costs may differ by this much through rounding, as a share of the greatest possible cost.
_TOLERANCE = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Daylight:
    """The sun at a place on a day: the hour of noon by the clock, and the hours from sunrise to sunset [h]."""

    noon_hour: float
    hours: float

    def overhang(self, starts: time, hours: float) -> float:
        """Give the hours by which lamp and sun together exceed the longer of the two [h].

        0 if the run lies within daylight or covers it.  Run and daylight are assumed to repeat every day, so a run may
        begin on the evening before.
        """
        first = starts.hour + starts.minute / 60
        sunrise = self.noon_hour - self.hours / 2
        shared = sum(
            max(0.0, min(first + hours, sunrise + away + self.hours) - max(first, sunrise + away))
            for away in (-24, 0, 24)
        )
        return min(hours, self.hours) - min(shared, hours, self.hours)


@dataclass(frozen=True, slots=True, kw_only=True)
class TimedRun:
    """Hours in a row.

    Attributes
    ----------
    starts, stops
        Start and stop by the clock.  A stop that is not later than the start is on the next day.  A whole day has
        midnight for both.
    hours
        The hours that pass between them [h]; a whole day may have 23 or 25.
    cost_a_kw
        What the run costs per kilowatt, in the tariff's currency; ``None`` without a tariff.
    """

    starts: time
    stops: time
    hours: float
    cost_a_kw: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Clock:
    """What the clock on the wall shows for two days after a midnight.

    The clock is `before` minutes ahead of the minutes that have passed, and `after` minutes ahead from the minute
    `changes_at` on.
    """

    before: int = 0
    changes_at: int = _KNOWN_MINUTES
    after: int = 0

    def shows(self, passed: int) -> int:
        """Give the minute of the day that the clock shows some minutes after midnight."""
        return (passed + (self.after if passed >= self.changes_at else self.before)) % MINUTES_A_DAY

    def passed(self, shown: int) -> int | None:
        """Give the minutes since midnight when the clock first shows a minute; ``None`` if it skips that minute."""
        early, late = shown - self.before, shown - self.after
        if 0 <= early < self.changes_at:
            return early
        return late if late >= self.changes_at else None


def cheapest_hours(
    tariff: Tariff | None, on: date, hours: float, *, near: time = MORNING, daylight: Daylight | None = None
) -> TimedRun:
    """Give the cheapest run of some hours that starts on a day.

    If several cost the same, it is the one that starts nearest to a given time, so that a timer is not set for nothing.
    A run may go on past midnight.

    Parameters
    ----------
    tariff
        What power costs; without it, all starts cost the same.
    on, hours
        The day; the hours in a row, to the minute, above 0 and at most 24 [h].
    near
        The preferred start, such as the timer's present one.
    daylight
        The sun at the place, if the lamp must not lengthen the day: the run then lies within daylight or covers it, as
        far as quarter hours allow.

    Raises
    ------
    ValueError
        If the hours are not above 0 and at most 24.
    """
    minutes = round(60 * hours)
    if not 0 < hours <= 24 or not minutes:
        raise ValueError(f"a run takes above 0 and at most 24 hours, not {hours:g}")
    if minutes == MINUTES_A_DAY:
        return run_of(tariff, on, time(0), 24)
    clock = _clock_on(_zone_of(tariff), on)
    starts = [
        time(*divmod(shown, 60)) for shown in range(0, MINUTES_A_DAY, STEP_MINUTES) if clock.passed(shown) is not None
    ]
    if daylight:
        over = [daylight.overhang(start, hours) for start in starts]
        starts = [start for start, each in zip(starts, over, strict=True) if each <= min(over) + _TOLERANCE]
    if tariff is not None:
        costs = [_cost_a_kw(tariff, clock, start, minutes) for start in starts]
        least = min(costs) + _TOLERANCE * max(map(abs, tariff.by_minute)) * hours
        starts = [start for start, cost in zip(starts, costs, strict=True) if cost <= least]
    return run_of(tariff, on, min(starts, key=lambda start: (_apart(start, near), start)), hours)


def run_of(tariff: Tariff | None, on: date, starts: time, hours: float) -> TimedRun:
    """Give the run of some hours that starts at a time of a day; 24 hours are the whole day.

    If the clock skips the start on that day, the run starts as many minutes after midnight as on other days.

    Parameters
    ----------
    tariff
        What power costs, or ``None``.
    on, starts, hours
        The day, the start by the clock, and the hours in a row [h].
    """
    minutes = round(60 * hours)
    zone = _zone_of(tariff)
    clock = _clock_on(zone, on)
    if minutes >= MINUTES_A_DAY:
        starts, minutes = time(0), day_minutes(zone, on)
        stops = starts
    else:
        stops = time(*divmod(clock.shows(_passed(clock, starts) + minutes), 60))
    cost = None if tariff is None else _cost_a_kw(tariff, clock, starts, minutes)
    return TimedRun(starts=starts, stops=stops, hours=minutes / 60, cost_a_kw=cost)


def day_minutes(zone: str | None, day: date) -> int:
    """Give the minutes of a day, which differ if clocks change on it [min]."""
    if zone is None:
        return MINUTES_A_DAY
    midnight, next_midnight = (_local(zone, each, time(0)) for each in (day, day + timedelta(1)))
    return round((next_midnight.astimezone(UTC) - midnight.astimezone(UTC)).total_seconds() / 60)


def clocks_go_forward(zone: str | None, day: date) -> int:
    """Give the minutes by which clocks went forward since the day before; below 0 if they went back [min]."""
    return 0 if zone is None else _ahead(zone, day) - _ahead(zone, day - timedelta(1))


def daylight_on(zone: str | None, day: date, sun_hours: float) -> Daylight:
    """Give the sun of a day by the clock.

    Estimate: noon is at 12:00 by standard time and at 13:00 in summer time, since a garden has no longitude.

    Parameters
    ----------
    zone, day
        The time zone, or ``None`` if clocks do not change; the day.
    sun_hours
        The hours from sunrise to sunset [h].
    """
    ahead = 0 if zone is None else _ahead(zone, day) - min(_ahead(zone, date(day.year, month, 1)) for month in (1, 7))
    return Daylight(noon_hour=12 + ahead / 60, hours=sun_hours)


def _zone_of(tariff: Tariff | None) -> str | None:
    return tariff.zone if tariff else None


def _local(zone: str, day: date, at: time) -> datetime:
    # Imported here, since only tariffs with a zone need it.
    from zoneinfo import ZoneInfo

    return datetime.combine(day, at, tzinfo=ZoneInfo(zone))


def _ahead(zone: str, day: date) -> int:
    """Give how far the clock is ahead of universal time at noon [min]."""
    return _offset_minutes(_local(zone, day, time(12)))


def _offset_minutes(moment: datetime) -> int:
    offset = moment.utcoffset()
    assert offset is not None, "a local time has a zone"
    return round(offset.total_seconds() / 60)


@lru_cache(maxsize=1024)
def _clock_on(zone: str | None, on: date) -> _Clock:
    if zone is None:
        return _Clock()
    midnight = _local(zone, on, time(0))
    since = midnight.astimezone(UTC)

    def ahead(passed: int) -> int:
        then = (since + timedelta(minutes=passed)).astimezone(midnight.tzinfo)
        return _offset_minutes(then) - _offset_minutes(midnight)

    # Zones change their clocks at least weeks apart (some pause for Ramadan), so at most once in two days.
    before, after = ahead(0), ahead(_KNOWN_MINUTES)
    if before == after:
        return _Clock(before=before, after=after)
    changes_at = bisect_left(range(_KNOWN_MINUTES), True, key=lambda passed: ahead(passed) != before)
    return _Clock(before=before, changes_at=changes_at, after=after)


@lru_cache(maxsize=64)
def _summed_prices(tariff: Tariff, clock: _Clock) -> tuple[float, ...]:
    """Give running sums of the price of each minute after midnight, from 0 on."""
    prices = tariff.by_minute
    return (0.0, *accumulate(prices[clock.shows(passed)] for passed in range(_KNOWN_MINUTES)))


def _cost_a_kw(tariff: Tariff, clock: _Clock, starts: time, minutes: int) -> float:
    sums, first = _summed_prices(tariff, clock), _passed(clock, starts)
    return (sums[first + minutes] - sums[first]) / 60


def _passed(clock: _Clock, starts: time) -> int:
    shown = minute_of(starts)
    passed = clock.passed(shown)
    return max(0, shown - clock.before) if passed is None else passed


def _apart(one: time, other: time) -> int:
    """Give how far apart two times of day are, the shorter way round the clock [min]."""
    minutes = (minute_of(one) - minute_of(other)) % MINUTES_A_DAY
    return min(minutes, MINUTES_A_DAY - minutes)
