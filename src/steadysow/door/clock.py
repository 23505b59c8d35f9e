"""Days as a caller gives them; the only place under the commands that reads the clock, where `today` is left out."""

from __future__ import annotations

from datetime import UTC, date, datetime

from steadysow.days import read_day

# A day as a date, or as people write it: 2026-12-05, 5 dec, sat, tomorrow.
Day = date | str


def day_of(day: Day | None, *, today: date | None = None, argument: str = "--today", is_past: bool = False) -> date:
    """Give the date that a day means; ``None`` is today, by the clock.

    Parameters
    ----------
    day
        A date, or a text such as 2026-12-05, 5 dec or sat.
    today
        What ``today`` means; left out, the day of the clock.
    argument
        What a fault names.
    is_past
        Whether a weekday means the last such day, not the next.

    Raises
    ------
    InputFaults
        If the text is not a day.
    """
    if isinstance(day, date):
        return day
    now = today or date.today()
    return read_day(day, today=now, argument=argument, is_past=is_past) if day else now


def time_of(now: datetime | None) -> datetime:
    """Give a time; ``None`` is now, by the clock."""
    return now or datetime.now(UTC)
