"""Days as people write them: ``2026-12-05``, ``5 dec``, ``sat``, ``yesterday``.

`read_day` takes a text and today, and returns a date, or raises a fault that says what to write.  It tries its own
rules for short forms before python-dateutil.  A text that could mean two different days is refused.
"""

from __future__ import annotations

import re
from datetime import date, datetime, timedelta

from steadysow.errors import Fault, InputFaults

# No garden is older, and nobody plans further ahead: a year outside is a typing error.
EARLIEST_YEAR, LATEST_YEAR = 2000, 2100

_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_MONTHS = (
    "january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november",
    "december",
)  # fmt: skip
_NEAR = {"yesterday": -1, "today": 0, "tomorrow": 1}
_SHORTEST_NAME = 3
_DAY_MONTH = re.compile(r"(?:([a-z]{3,9})\.?,? )?(\d{1,2})(?:st|nd|rd|th)?\.? ([a-z]{3,9})\.?")
_MONTH_DAY = re.compile(r"(?:([a-z]{3,9})\.?,? )?([a-z]{3,9})\.? (\d{1,2})(?:st|nd|rd|th)?")

# python-dateutil fills what a text leaves out from a default date.  So readings with two defaults differ if the text
# leaves something out.
_ONE_FILLING = datetime(2001, 1, 1)  # noqa: DTZ001
_OTHER_FILLING = datetime(2002, 2, 2)  # noqa: DTZ001


def read_day(text: str, *, today: date, argument: str, is_past: bool = False) -> date:
    """Give the date that a person means.

    A weekday is the next one, or today.  A day and month without a year are the nearest ones.  For something that has
    happened, both are the last ones, or today.

    Parameters
    ----------
    text
        What the person typed.
    today
        The date of today.
    argument
        The argument that holds the text, such as ``--from``.
    is_past
        Whether the text names the day of something that has happened.

    Raises
    ------
    InputFaults
        If the text is not a date, could mean more than one, or lies too far away.
    """
    words = " ".join(text.casefold().split())
    found = _near(words, today, is_past) or _iso(words) or _without_year(words, today, is_past) or _clear(words)
    if found is not None and not EARLIEST_YEAR <= found.year <= LATEST_YEAR:
        wrong = f'"{text}" is not between {EARLIEST_YEAR} and {LATEST_YEAR}'
        write = "Write a year in between, such as 2026-12-05"
        raise InputFaults((Fault(file=argument, line=None, field="", wrong=wrong, write=write),))
    if found is None:
        fault = Fault(
            file=argument,
            line=None,
            field="",
            wrong=f'"{text}" is not a day, or could be more than one',
            write="Write it like 2026-12-05, 5 dec, sat, yesterday, today or tomorrow",
        )
        raise InputFaults((fault,))
    return found


def _near(words: str, today: date, is_past: bool) -> date | None:
    if words in _NEAR:
        return today + timedelta(days=_NEAR[words])
    weekday = _number(words, _WEEKDAYS)
    if weekday is None:
        return None
    if is_past:
        return today - timedelta(days=(today.weekday() - weekday) % 7)
    return today + timedelta(days=(weekday - today.weekday()) % 7)


def _iso(words: str) -> date | None:
    if not re.fullmatch(r"\d{4}-\d{1,2}-\d{1,2}", words):
        return None
    return _date(*(int(part) for part in words.split("-")))


def _without_year(words: str, today: date, is_past: bool) -> date | None:
    """Read a day and a month, with or without a weekday before them; the weekday must be right."""
    if found := _DAY_MONTH.fullmatch(words):
        weekday_name, day, month_name = found.groups()
    elif found := _MONTH_DAY.fullmatch(words):
        weekday_name, month_name, day = found.groups()
    else:
        return None
    month = _number(month_name, _MONTHS)
    if month is None:
        return None
    dates = [_date(today.year + years, month + 1, int(day)) for years in (-1, 0, 1)]
    if is_past:
        dates = [each for each in dates if each and each <= today]
    nearest = min((each for each in dates if each), key=lambda each: abs(each - today), default=None)
    if nearest is None or weekday_name is None or nearest.weekday() == _number(weekday_name, _WEEKDAYS):
        return nearest
    return None


def _clear(words: str) -> date | None:
    """Read a text that names day, month and year, if it can be read in one way only."""
    from dateutil import parser

    readings = set()
    for filling, day_first in ((_ONE_FILLING, True), (_OTHER_FILLING, False)):
        try:
            readings.add(parser.parse(words, default=filling, dayfirst=day_first, ignoretz=True).date())
        except (ValueError, OverflowError):
            return None
    reading = readings.pop()
    named = {number for word in re.findall(r"[a-z]+", words) if (number := _number(word, _WEEKDAYS)) is not None}
    return reading if not readings and named <= {reading.weekday()} else None


def _number(name: str, names: tuple[str, ...]) -> int | None:
    """Give the place of a name in a tuple, counted from 0; the name may be shortened."""
    if len(name) < _SHORTEST_NAME:
        return None
    return next((number for number, full in enumerate(names) if full.startswith(name)), None)


def _date(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None
