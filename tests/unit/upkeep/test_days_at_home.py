"""Days on which somebody can see to a tote, counted by hand: day 0 is a Saturday, as are days 7 and 14."""

from __future__ import annotations

from planted import garden_of
from steadysow.inputs.garden import Away
from steadysow.upkeep.days_at_home import DaysAtHome
from tiny import SATURDAY, WEDNESDAY, day, make_tote

# Nobody is at home on days 3 and 4, and day 4 is a Wednesday.
GARDEN = garden_of(
    make_tote("A", 4), chore_days=(WEDNESDAY, SATURDAY), away=(Away(from_on=day(3), back_on=day(5)),)
)  # fmt: skip
DAYS = DaysAtHome.between(GARDEN, day(0), day(14))


def test_days_at_home() -> None:
    """Somebody is at home on every day but those of the absence."""
    assert [number for number in range(15) if not DAYS.is_home(day(number))] == [3, 4]


def test_days_of_work() -> None:
    """Work is on Wednesdays and Saturdays at home, and on the day before the absence."""
    assert [number for number in range(15) if DAYS.is_work(day(number))] == [0, 2, 7, 11, 14]


def test_the_next_visit() -> None:
    """After a day of work it is the next day of work, and after any other day the next day at home."""
    visits = {0: 2, 1: 2, 2: 7, 3: 5, 5: 6, 6: 7, 7: 11, 8: 9, 11: 14}
    assert {number: (DAYS.next_visit(day(number)) - day(0)).days for number in visits} == visits
    # The span ends on day 14, and the day after stands for any later one.
    assert DAYS.next_visit(day(14)) == day(15)
