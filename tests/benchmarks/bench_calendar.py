"""How long the calendar takes to write, for the first time and again after one chore has changed.

Run by hand: ``python tests/benchmarks/bench_calendar.py``.  Takes made-up plans of 1,000 and 10,000 chores; prints a
table.  Times are told in milliseconds and as multiples of what icalendar takes, in the same run, to serialise the same
calendar, so that tables of different machines can be compared.  Listing the chores is not part of it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter

from icalendar import Calendar
from rich.console import Console
from rich.table import Table

from builders import START, a_batch, a_garden, a_plan
from steadysow.chores.chore import Chore
from steadysow.inputs.garden import Garden
from steadysow.outputs.calendar_state import CALENDAR_NAME, read_state
from steadysow.outputs.ical import write_calendar
from steadysow.plan.plan import Plan

NOW = datetime(2026, 10, 3, 8, tzinfo=UTC)
SIZES = (1_000, 10_000)
RUNS = 3
# What a chore of the shipped examples is like: about 600 bytes an event.
DETAIL = (
    "About 180 g for salad from tote A, holes 1-6, 8.",
    "Can wait until Wed 18 Nov.",
    "Keeps about 9 days in the fridge.",
    "Take only the outer leaves, about a third of the plant, and leave the heart: it gives the next cut.",
)


def made_up(size: int) -> tuple[Garden, Plan, tuple[Chore, ...]]:
    """Give a garden, its plan and as many chores."""
    garden = a_garden(name="Many totes", weeks=30)
    batches = tuple(a_batch(number, range(1, 7), crop="mizuna", transplanted_on=None) for number in range(size))
    chores = tuple(
        Chore(
            key=f"{number}/harvest/1",
            kind="harvest",
            on=START + timedelta(days=number % 300),
            latest_on=START + timedelta(days=number % 300),
            title=f"Cut 6 mizuna, cut {number % 4} (A 1-6)",
            detail=DETAIL,
            tote="A",
            holes=(1, 2, 3, 4, 5, 6),
            crop="mizuna",
            batches=(number,),
            harvest="cut",
        )
        for number in range(size)
    )
    plan = a_plan(*batches, garden=garden.name, until_on=START + timedelta(weeks=30))
    return garden, plan, chores


def seconds(work: Callable[[], object]) -> float:
    """Time some work once."""
    started = perf_counter()
    work()
    return perf_counter() - started


def row(size: int) -> tuple[str, ...]:
    """Time one size of plan; give its row of the table."""
    garden, plan, chores = made_up(size)
    first, again, equal, library = [], [], [], []
    for run in range(RUNS):
        with TemporaryDirectory() as name:
            folder = Path(name)
            first.append(seconds(lambda: write_calendar(folder, garden, plan, chores, now=NOW)))  # noqa: B023
            changed = (replace(chores[0], title=f"Moved {run}"), *chores[1:])
            later = NOW + timedelta(days=1)
            again.append(seconds(lambda: write_calendar(folder, garden, plan, changed, now=later)))  # noqa: B023
            equal.append(seconds(lambda: write_calendar(folder, garden, plan, changed, now=later)))  # noqa: B023
            content = (folder / CALENDAR_NAME).read_bytes()
            parsed = Calendar.from_ical(content)
            library.append(seconds(parsed.to_ical))
            assert len(read_state(folder / "calendar-state.json").revisions) == size + 1
    times = [median(each) for each in (library, first, again, equal)]
    ratios = [f"{each / times[0]:.2f}" for each in times[1:]]
    return (
        f"{size:,}",
        f"{len(content) / 1e6:.2f}",
        *(f"{1000 * each:.0f}" for each in times),
        *ratios,
        f"{times[2] / times[1]:.3f}",
    )


def main() -> None:
    """Print the table."""
    table = Table(title=f"Writing the calendar (median of {RUNS}, in ms and in times of icalendar's own serialising)")
    headings = (
        "chores", "MB", "icalendar", "first", "one changed", "none changed",
        "first / icalendar", "one / icalendar", "none / icalendar", "one / first",
    )  # fmt: skip
    for heading in headings:
        table.add_column(heading, justify="right")
    for size in SIZES:
        table.add_row(*row(size))
    Console(width=160).print(table)


if __name__ == "__main__":
    main()
