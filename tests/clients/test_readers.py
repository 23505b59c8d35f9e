"""The calendars of the shipped examples, read by five foreign programs: all show what is to be done, and nothing else.

Expected are the chores that `list_chores` gives, from before anything was written as a calendar.
"""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
import uuid
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from typing import Final

import pytest

from clients.readers import Read, Seen, all_readers
from steadysow.chores.chore import Chore, ChoreKind
from steadysow.chores.listing import list_chores
from steadysow.chores.merging import merge
from steadysow.inputs.calendar_style import CalendarStyle
from steadysow.inputs.garden import Garden
from steadysow.inputs.garden_file import read_garden
from steadysow.outputs.calendar_state import CalendarState
from steadysow.outputs.ical import calendar_bytes, task_bytes
from steadysow.plan.plan import Plan
from steadysow.plan.plan_file import load

EXAMPLES: Final = Path(__file__).parents[2] / "examples"
TODAY: Final = date(2026, 10, 3)
NOW: Final = datetime(2026, 10, 3, 7, 30, 15, tzinfo=UTC)
# Some of the plan has happened by then, and nothing is old enough to be left out.
WEEKS_LATER: Final = timedelta(days=70)

FOREIGN: Final = ("icalendar", "recurring-ical-events", "vobject", "ical.js", "libical")


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """An example as it was planned, with its chores and the calendar that was written with the plan."""

    garden: Garden
    plan: Plan
    chores: tuple[Chore, ...]
    written: bytes

    def later(self, style: CalendarStyle) -> Planned:
        """Give the same ten weeks later, with a calendar in another style, revised once since."""
        garden = replace(self.garden, calendar=style)
        first, state = calendar_bytes(garden, self.plan, self.chores, CalendarState(), NOW)
        plan = replace(self.plan, made_on=TODAY + WEEKS_LATER)
        written, _ = calendar_bytes(garden, plan, self.chores, state, NOW + WEEKS_LATER, first)
        return replace(self, garden=garden, plan=plan, written=written)


# Work of one sort has one category, so that a client can show or hide it.
CATEGORIES: Mapping[ChoreKind, str] = {
    "sow": "Sow", "thin": "Sow", "transplant": "Transplant", "harvest": "Harvest", "clear": "Clear", "clean": "Clean",
    "fill": "Water", "top-up": "Water", "feed": "Water", "change": "Water", "brew": "Water",
    "care": "Care", "harden": "Care", "check": "Care", "leave": "Care", "timer": "Power", "order": "Supplies",
}  # fmt: skip
IN_NURSERY: tuple[ChoreKind, ...] = ("sow", "thin", "harden")


@pytest.fixture(scope="module")
def readers(clients: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Mapping[str, Read]]:
    """Give every reader, its process running until the last test of this file."""
    with all_readers(clients, tmp_path_factory.mktemp("readers")) as readers:
        yield readers


@pytest.fixture(scope="module", params=sorted(file.parent.name for file in EXAMPLES.glob("*/garden.yaml")))
def planned(request: pytest.FixtureRequest, clients: Path, tmp_path_factory: pytest.TempPathFactory) -> Planned:
    """Give each example, planned once for all tests of it."""
    folder = tmp_path_factory.mktemp("example")
    shutil.copy(EXAMPLES / request.param / "garden.yaml", folder)
    command = [sys.executable, "-m", "steadysow", "plan", "-g", str(folder), "--today", TODAY.isoformat()]
    subprocess.run(command, check=True, capture_output=True)
    garden = read_garden(folder)
    plan = load(folder)
    assert plan is not None
    assert plan.batches
    return Planned(
        garden=garden,
        plan=plan,
        chores=list_chores(garden, plan),
        written=(folder / "calendar.ics").read_bytes(),
    )


def read_alike(readers: Mapping[str, Read], content: bytes) -> Sequence[Seen]:
    """Give what is seen in a calendar by every reader, none of which complains or sees anything else."""
    expected = readers["lint"](content)
    assert expected.complaints == ()
    for name in FOREIGN:
        reading = readers[name](content)
        assert reading.complaints == (), name
        for theirs, ours in zip(reading.seen, expected.seen, strict=True):
            assert theirs == ours, name
    return expected.seen


def assert_each_is_told(planned: Planned, seen: Sequence[Seen]) -> None:
    """Hold that what is seen is the chores: each once, on its day, with its texts."""
    by_uid = {each.uid: each for each in seen}
    expected = {uid_of(planned.plan, chore.key): chore for chore in planned.chores}
    assert len(seen) == len(planned.chores)
    assert set(by_uid) == set(expected)
    for uid, chore in expected.items():
        event = by_uid[uid]
        assert (event.kind, event.start, event.end) == ("VEVENT", digits(chore.on), digits(chore.on + timedelta(1)))
        is_done = chore.on < planned.plan.made_on
        assert event.summary.startswith("✓ ") == is_done
        assert is_short_for(event.summary.removeprefix("✓ "), chore.title)
        assert_texts_of(chore, event)
        assert (event.status, event.alarm) == ("CONFIRMED", seconds(planned.garden.calendar.alarm))


def assert_texts_of(chore: Chore, seen: Seen) -> None:
    """Hold that text, place and category are those of the chore."""
    assert is_within(chore.detail, seen.description.split("\n"))
    totes = f"{'Totes' if ', ' in chore.tote else 'Tote'} {chore.tote}"
    where = totes if chore.tote else "Nursery" if chore.kind in IN_NURSERY else ""
    assert seen.location == where or (where and seen.location.startswith(f"{where}, "))
    assert seen.categories == (CATEGORIES[chore.kind],)


def uid_of(plan: Plan, key: str, *spaces: str) -> str:
    """Give the version 5 UUID (RFC 4122, 4.3) of a key in the name space of a plan."""
    space = uuid.UUID(plan.uuid)
    for name in spaces:
        space = uuid.uuid5(space, name)
    return str(uuid.uuid5(space, key))


def digits(day: date) -> str:
    """Give a day as calendars write it."""
    return day.isoformat().replace("-", "")


def seconds(at: time | None) -> int | None:
    """Give the seconds from midnight."""
    return None if at is None else 3600 * at.hour + 60 * at.minute


def is_short_for(summary: str, title: str) -> bool:
    """Say whether a summary is a title, or one of which words are left out that begins alike."""
    ours, full = (re.findall(r"[^\s,;:()…]+", text) for text in (summary, title))
    return summary == title or (len(title) > len(summary) and ours[:2] == full[:2] and is_within(ours, full))


def is_within(some: Sequence[str], whole: Sequence[str]) -> bool:
    """Say whether some stand within a whole, in the same order."""
    rest = iter(whole)
    return all(each in rest for each in some)


def test_calendar_as_planned(readers: Mapping[str, Read], planned: Planned) -> None:
    """The calendar that `plan` writes is read by all, and tells every chore."""
    assert_each_is_told(planned, read_alike(readers, planned.written))


def test_calendar_later_with_alarms(readers: Mapping[str, Read], planned: Planned) -> None:
    """Ten weeks on, with alarms and a colour: all see what is done marked, and the revisions that this was."""
    later = planned.later(CalendarStyle(alarm=time(7, 30), color="seagreen"))
    seen = read_alike(readers, later.written)
    assert_each_is_told(later, seen)
    first, second = sorted({each.sequence for each in seen})
    assert {each.sequence for each in seen if each.summary.startswith("✓ ")} == {second}
    assert first < second


def test_daily_calendar(readers: Mapping[str, Read], planned: Planned) -> None:
    """With one event a day, all see as many as there are days with work, and each tells all of its day."""
    later = planned.later(CalendarStyle(detail="daily"))
    days: dict[date, list[Chore]] = defaultdict(list)
    for chore in merge(planned.chores):
        days[chore.on].append(chore)
    seen = read_alike(readers, later.written)
    assert [(each.start, each.end) for each in seen] == [(digits(on), digits(on + timedelta(1))) for on in sorted(days)]
    for on, event in zip(sorted(days), seen, strict=True):
        assert event.uid == uid_of(planned.plan, f"day/{on.isoformat()}")
        lines = event.description.split("\n")
        assert [line for line in lines if not line.startswith(" ")] == [chore.title for chore in days[on]]
        assert all(is_within([chore.title, *(f"  {line}" for line in chore.detail)], lines) for chore in days[on])
        assert sorted(event.categories) == sorted({CATEGORIES[chore.kind] for chore in days[on]})
        assert event.summary.startswith("✓ ") == (on < later.plan.made_on)


def test_tasks(readers: Mapping[str, Read], planned: Planned) -> None:
    """The file of tasks is read by all: one a chore, due on its day, done if that was before the plan was made."""
    later = planned.later(CalendarStyle(tasks=True))
    content, _ = task_bytes(later.garden, later.plan, later.chores, CalendarState(), NOW + WEEKS_LATER)
    seen = {each.uid: each for each in read_alike(readers, content)}
    expected = {uid_of(planned.plan, chore.key, "tasks"): chore for chore in planned.chores}
    assert set(seen) == set(expected)
    for uid, chore in expected.items():
        task = seen[uid]
        assert (task.kind, task.start, task.end) == ("VTODO", "", digits(chore.on))
        assert task.status == ("COMPLETED" if chore.on < later.plan.made_on else "NEEDS-ACTION")
        assert is_short_for(task.summary, chore.title)
        assert_texts_of(chore, task)
