"""The days on which somebody can see to a tote.

Takes a garden and a span of days; gives `DaysAtHome`.  Hides that people also see to their totes on the day before they
leave.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from steadysow.inputs.garden import Garden

_ONE_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class DaysAtHome:
    """The days of a span on which somebody is at home, and those on which somebody works in the garden.

    The day before an absence counts as a day of work.

    Attributes
    ----------
    first_on
        The first day of the span.
    home, work
        For each day, whether somebody is at home, and whether somebody works.
    later_home, later_work
        For each day, the next day after it at home, and the next day of work.
    """

    first_on: date
    home: tuple[bool, ...]
    work: tuple[bool, ...]
    later_home: tuple[date, ...]
    later_work: tuple[date, ...]

    @classmethod
    def between(cls, garden: Garden, first_on: date, until_on: date) -> DaysAtHome:
        """Give the days of a span, the last one included."""
        span = [first_on + number * _ONE_DAY for number in range((until_on - first_on).days + 1)]
        home = [garden.at_home(day) for day in span]
        leaving = {away.from_on - _ONE_DAY for away in garden.away}
        work = [garden.at_home(day) and (garden.is_work_day(day) or day in leaving) for day in span]
        return cls(
            first_on=first_on,
            home=tuple(home),
            work=tuple(work),
            later_home=_later(span, home),
            later_work=_later(span, work),
        )

    def is_home(self, on: date) -> bool:
        """Say whether somebody is at home on a day."""
        return self.home[self._index(on)]

    def is_work(self, on: date) -> bool:
        """Say whether somebody works in the garden on a day."""
        return self.work[self._index(on)]

    def next_visit(self, on: date) -> date:
        """Give the next day on which somebody sees to a tote.

        After a day of work that is the next day of work, and after any other day the next day at home.
        """
        index = self._index(on)
        return self.later_work[index] if self.work[index] else self.later_home[index]

    def _index(self, on: date) -> int:
        return (on - self.first_on).days


def _later(span: Sequence[date], is_wanted: Sequence[bool]) -> tuple[date, ...]:
    """Give for each day the next wanted day after it, or the day after the span where there is none."""
    later = [span[-1] + _ONE_DAY]
    for number in range(len(span) - 1, 0, -1):
        later.append(span[number] if is_wanted[number] else later[-1])
    return tuple(reversed(later))
