"""When hours in a row cost least, by the clock on the wall.

Takes a tariff, a day and hours; gives a `Run`: when it starts and stops, and what a kilowatt costs for so long.  Hides
the nights in which clocks change (hours are those that pass, prices go by the clock) and how far a lamp at a window may
reach beyond daylight.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from itertools import accumulate

from steadysow.inputs.tariff import MINUTES_A_DAY, Tariff, minute_of

# Starts are looked for on this grid, which is that of a mechanical timer [min].
STEP_MINUTES = 15

# Our choice for a timer that has no setting yet: light in the early morning, dark at night.
MORNING = time(6)

# A run that starts at the end of a day on which clocks go back, and lasts a day, ends before this [min].
_KNOWN_MINUTES = 2 * MINUTES_A_DAY + 180

# Costs that are equal on paper may differ by rounding: as a share of the greatest there could be.
_TOLERANCE = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Daylight:
    """The sun at a place on a day: noon by the clock, and from sunrise to sunset [h]."""

    noon_hour: float
    hours: float

    def overhang(self, starts: time, hours: float) -> float:
        """Give by how much a run makes the day longer than the longer of the two is [h].

        Nothing if the run lies within daylight or covers it.  Run and daylight are taken to come again every day, so
        that a run may begin the evening before.
        """
        first = starts.hour + starts.minute / 60
        sunrise = self.noon_hour - self.hours / 2
        shared = sum(
            max(0.0, min(first + hours, sunrise + away + self.hours) - max(first, sunrise + away))
            for away in (-24, 0, 24)
        )
        return min(hours, self.hours) - min(shared, hours, self.hours)


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """Hours in a row.

    Attributes
    ----------
    starts, stops
        By the clock; the second is the next day's where it is not later; both midnight for a whole day.
    hours
        The hours that pass between them [h]; of a whole day as many as it has, 23 or 25 where clocks change.
    cost_a_kw
        What a kilowatt costs for so long, in the currency of the tariff; ``None`` without one.
    """

    starts: time
    stops: time
    hours: float
    cost_a_kw: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Clock:
    """The clock on the wall for two days from a midnight on, in minutes that pass.

    It is `before` minutes ahead of what it would show had it not changed, and `after` from the minute `changes_at` on.
    """

    before: int = 0
    changes_at: int = _KNOWN_MINUTES
    after: int = 0

    def shows(self, passed: int) -> int:
        """Give the minute of the day that it shows when so many minutes have passed since midnight."""
        return (passed + (self.after if passed >= self.changes_at else self.before)) % MINUTES_A_DAY

    def passed(self, shown: int) -> int | None:
        """Give how many minutes have passed when it first shows a minute; ``None`` where it never does that day."""
        early, late = shown - self.before, shown - self.after
        if 0 <= early < self.changes_at:
            return early
        return late if late >= self.changes_at else None


def cheapest_hours(
    tariff: Tariff | None, on: date, hours: float, *, near: time = MORNING, daylight: Daylight | None = None
) -> Run:
    """Give the run of so many hours that starts on a day and costs least.

    Of runs that cost the same it is the one whose start is nearest to a given time, so that a timer is not changed for
    nothing.  A run may go on over midnight.

    Parameters
    ----------
    tariff
        What power costs; without it, any hours will do.
    on, hours
        The day; how many hours in a row, to the minute, above 0 and at most 24 [h].
    near
        The start that is liked best, such as the timer's present one.
    daylight
        The sun at a place where the lamp must not make the day longer than it, or the run itself, is: the run lies
        within daylight or covers it, as far as the quarter hours of a timer allow.

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


def run_of(tariff: Tariff | None, on: date, starts: time, hours: float) -> Run:
    """Give the run of so many hours from a time of a day on; of 24 hours, the whole day.

    A start that the clock leaves out that day is as many minutes after midnight as on other days.
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
    return Run(starts=starts, stops=stops, hours=minutes / 60, cost_a_kw=cost)


def day_minutes(zone: str | None, day: date) -> int:
    """Give how many minutes a day has: a day's, but for those on which clocks change [min]."""
    if zone is None:
        return MINUTES_A_DAY
    midnight, next_midnight = (_local(zone, each, time(0)) for each in (day, day + timedelta(1)))
    return round((next_midnight.astimezone(UTC) - midnight.astimezone(UTC)).total_seconds() / 60)


def clocks_go_forward(zone: str | None, day: date) -> int:
    """Give by how many minutes clocks have gone forward since the day before; below 0, back [min]."""
    return 0 if zone is None else _ahead(zone, day) - _ahead(zone, day - timedelta(1))


def daylight_on(zone: str | None, day: date, sun_hours: float) -> Daylight:
    """Give the sun of a day by the clock.

    estimate: noon is at 12:00 by standard time, an hour later in summer time, since a garden tells no longitude.

    Parameters
    ----------
    zone, day
        The time zone, or ``None`` where clocks do not change; the day.
    sun_hours
        From sunrise to sunset [h].
    """
    ahead = 0 if zone is None else _ahead(zone, day) - min(_ahead(zone, date(day.year, month, 1)) for month in (1, 7))
    return Daylight(noon_hour=12 + ahead / 60, hours=sun_hours)


def _zone_of(tariff: Tariff | None) -> str | None:
    return tariff.zone if tariff else None


def _local(zone: str, day: date, at: time) -> datetime:
    # Needed by those alone who name a zone.
    from zoneinfo import ZoneInfo

    return datetime.combine(day, at, tzinfo=ZoneInfo(zone))


def _ahead(zone: str, day: date) -> int:
    """Give by how much the clock is ahead of universal time at noon [min]."""
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

    # Zones change their clocks months apart, or weeks where they pause for Ramadan, and so once in two days at most.
    before, after = ahead(0), ahead(_KNOWN_MINUTES)
    if before == after:
        return _Clock(before=before, after=after)
    changes_at = bisect_left(range(_KNOWN_MINUTES), True, key=lambda passed: ahead(passed) != before)
    return _Clock(before=before, changes_at=changes_at, after=after)


@lru_cache(maxsize=64)
def _summed_prices(tariff: Tariff, clock: _Clock) -> tuple[float, ...]:
    """Give the sums of the prices of the first minutes that pass since midnight."""
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
    """Give how far two times of day are apart, the shorter way round the clock [min]."""
    minutes = (minute_of(one) - minute_of(other)) % MINUTES_A_DAY
    return min(minutes, MINUTES_A_DAY - minutes)
