"""Days as people write them, as of Thursday 3 December 2026; the weekdays are those of that year's calendar."""

from contextlib import suppress
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steadysow.days import read_day
from steadysow.errors import InputFaults

THURSDAY = date(2026, 12, 3)


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("2026-12-05", date(2026, 12, 5)),
        ("2026-2-3", date(2026, 2, 3)),
        ("today", THURSDAY),
        (" Yesterday ", date(2026, 12, 2)),
        ("TOMORROW", date(2026, 12, 4)),
        ("thu", THURSDAY),
        ("Thursday", THURSDAY),
        ("sat", date(2026, 12, 5)),
        ("wed", date(2026, 12, 9)),
        ("tues", date(2026, 12, 8)),
        ("5 dec", date(2026, 12, 5)),
        ("dec 5", date(2026, 12, 5)),
        ("December 5th", date(2026, 12, 5)),
        ("Sat 5 Dec", date(2026, 12, 5)),
        ("sat, dec 5", date(2026, 12, 5)),
        ("30 nov", date(2026, 11, 30)),
        ("2 jan", date(2027, 1, 2)),
        ("5 dec 2027", date(2027, 12, 5)),
        ("Saturday, December 5, 2026", date(2026, 12, 5)),
        ("13/12/2026", date(2026, 12, 13)),
    ],
)
def test_days_are_read_as_people_write_them(text: str, day: date) -> None:
    """A day without a year is the one nearest to today, and a weekday is the next one, or today."""
    assert read_day(text, today=THURSDAY, argument="--from") == day


@pytest.mark.parametrize(
    "text",
    ["", "soon", "sa", "12", "2026", "dec", "dec 2026", "5/12/2026", "5.12.2026", "2026-02-30", "31 nov", "fri 5 dec",
     "sunday 5 december 2026", "10:30", "5 foo", "99999999999999999999"],
)  # fmt: skip
def test_unclear_days_are_refused(text: str) -> None:
    """A text that is not a day, or could be more than one, is refused with a remedy."""
    with pytest.raises(InputFaults, match=r"--from: .* is not a day, or could be more than one\. Write it like 2026-"):
        read_day(text, today=THURSDAY, argument="--from")


@given(today=st.dates(date(2001, 1, 1), date(2099, 12, 31)), weekday=st.integers(0, 6))
def test_a_weekday_is_within_the_next_seven_days(today: date, weekday: int) -> None:
    """The day that is found has that weekday, and is today or less than a week ahead."""
    name = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")[weekday]
    day = read_day(name, today=today, argument="--from")
    assert day.weekday() == weekday
    assert timedelta(0) <= day - today < timedelta(7)


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("thu", THURSDAY),
        ("fri", date(2026, 11, 27)),
        ("wed", date(2026, 12, 2)),
        ("today", THURSDAY),
        ("yesterday", date(2026, 12, 2)),
        ("3 dec", THURSDAY),
        ("4 dec", date(2025, 12, 4)),
        ("2 jan", date(2026, 1, 2)),
        ("sat 28 nov", date(2026, 11, 28)),
        ("2026-12-05", date(2026, 12, 5)),
    ],
)
def test_a_past_day_is_the_last_one(text: str, day: date) -> None:
    """In the past, a weekday or a day without a year is the last one, or today; a day in full stays that day."""
    assert read_day(text, today=THURSDAY, argument="--on", is_past=True) == day


@given(today=st.dates(date(2001, 1, 1), date(2099, 12, 31)), weekday=st.integers(0, 6))
def test_a_past_weekday_is_within_the_last_seven_days(today: date, weekday: int) -> None:
    """The past day that is found has that weekday, and is today or less than a week back."""
    name = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")[weekday]
    day = read_day(name, today=today, argument="--on", is_past=True)
    assert day.weekday() == weekday
    assert timedelta(0) <= today - day < timedelta(7)


@given(today=st.dates(date(2005, 1, 1), date(2099, 12, 31)), back=st.integers(0, 364))
def test_a_past_day_without_its_year_is_found(today: date, back: int) -> None:
    """Any day of the last year is found by its day and month."""
    day = today - timedelta(back)
    assert read_day(f"{day.day} {day:%b}", today=today, argument="--on", is_past=True) == day


@given(day=st.dates(date(2001, 1, 1), date(2099, 12, 31)))
def test_written_dates_read_back(day: date) -> None:
    """A date in full is that date, whatever today is."""
    for text in (day.isoformat(), f"{day:%d %B %Y}", f"{day:%A, %B %d, %Y}"):
        assert read_day(text, today=THURSDAY, argument="--today") == day


@given(text=st.text(max_size=20))
def test_any_text_is_a_day_or_a_fault(text: str) -> None:
    """Any text gives a date or a fault, and nothing else."""
    with suppress(InputFaults):
        assert isinstance(read_day(text, today=THURSDAY, argument="--from"), date)


@pytest.mark.parametrize("text", ["1999-12-31", "5 dec 2101"])
def test_years_far_away_are_refused(text: str) -> None:
    """A year before 2000 or after 2100 is taken for a typing error, and the fault names the limits."""
    with pytest.raises(InputFaults, match=r"is not between 2000 and 2100\. Write a year in between"):
        read_day(text, today=THURSDAY, argument="--from")
