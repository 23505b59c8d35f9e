"""A calendar that lives through a year of planning again: no chore is doubled, and no revision is lost.

The calendar is read by a reader of our own, and each made-up chore carries a word that no other has, so that what is
said here of identity does not come from the keys that identity is made of.
"""

from __future__ import annotations

import re
import shutil
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from random import Random
from typing import Literal

import pytest

from builders import a_plan
from steadysow.chores.chore import Chore, ChoreKind
from steadysow.chores.listing import list_chores
from steadysow.inputs.calendar_style import CalendarStyle
from steadysow.inputs.garden import Garden
from steadysow.outputs.ical import write_calendar
from steadysow.pipeline import make_plan, read
from steadysow.plan.plan import Plan
from tiny import START, make_crop, make_garden, make_tote, make_want

EXAMPLES = Path(__file__).parents[2] / "examples"
PLANS = 50
KEPT = timedelta(days=90)
KINDS: tuple[ChoreKind, ...] = ("sow", "transplant", "harvest", "clear")
Detail = Literal["each", "daily"]
Name = Literal["calendar.ics", "calendar-tasks.ics"]


@dataclass(frozen=True)
class Seen:
    """A calendar as a subscriber sees it: its own lines, and the bytes and values of each event by UID."""

    head: tuple[str, ...]
    blocks: Mapping[str, bytes]
    values: Mapping[str, Mapping[str, str]]

    @property
    def last_modified(self) -> str:
        """Give the calendar's own stamp."""
        (line,) = [line for line in self.head if line.startswith("LAST-MODIFIED:")]
        return line


def see(content: bytes) -> Seen:
    """Read a calendar by RFC 5545, 3.1: lines that begin with a space go on with the line before."""
    assert content.endswith(b"\r\nEND:VCALENDAR\r\n")
    head, *rest = re.split(
        rb"(?<=\r\n)(?=BEGIN:VEVENT\r\n|BEGIN:VTODO\r\n)", content.removesuffix(b"END:VCALENDAR\r\n")
    )
    blocks: dict[str, bytes] = {}
    values: dict[str, Mapping[str, str]] = {}
    for block in rest:
        lines = block.decode().replace("\r\n ", "").split("\r\n")
        values_of = {line.split(":", 1)[0].split(";", 1)[0]: line.split(":", 1)[1] for line in lines if ":" in line}
        assert values_of["UID"] not in blocks, "a UID twice in one calendar"
        blocks[values_of["UID"]], values[values_of["UID"]] = block, values_of
    return Seen(tuple(head.decode().split("\r\n")), blocks, values)


@dataclass
class Subscriber:
    """A client that has seen every calendar, and complains where one goes back behind an earlier one."""

    revisions: dict[str, tuple[int, str]] = field(default_factory=dict)
    calendar: str = ""

    def look(self, seen: Seen, before: Seen | None) -> None:
        """Compare with everything that was ever seen."""
        assert seen.last_modified >= self.calendar, "the calendar's stamp fell"
        if before is not None and seen != before:
            assert seen.last_modified > self.calendar
        self.calendar = seen.last_modified
        for uid, values in seen.values.items():
            sequence, modified = int(values["SEQUENCE"]), values["LAST-MODIFIED"]
            assert values["DTSTAMP"] == modified
            highest, latest = self.revisions.get(uid, (-1, ""))
            assert (sequence >= highest, modified >= latest) == (True, True), "a revision fell"
            if before is not None and before.blocks.get(uid, seen.blocks[uid]) != seen.blocks[uid]:
                # What a client would ignore: another text under the same revision.
                assert sequence > highest
                assert modified > latest
            self.revisions[uid] = (sequence, modified)


class Year:
    """A made-up garden whose chores change from plan to plan."""

    def __init__(self, seed: int) -> None:
        """Begin with many chores in the year to come."""
        self.random = Random(seed)  # noqa: S311
        self.born = 0
        self.chores: dict[str, Chore] = {}
        self.dropped: dict[str, Chore] = {}
        for _ in range(150):
            self.add(START)

    def add(self, made_on: date) -> None:
        """Make a chore that never was, with a word of its own in its text."""
        self.born += 1
        kind = self.random.choice(KINDS)
        on = made_on + timedelta(days=self.random.randrange(330))
        chore = Chore(
            key=f"{self.born}/{kind}/1",
            kind=kind,
            on=on,
            latest_on=on,
            title=f"Work on mizuna {self.random.randrange(1000)}",
            detail=(f"It is word{self.born}x, with a line that is long enough to be folded somewhere; é, 菜 and 🥬.",),
            tote=self.random.choice("ABC"),
            holes=(1, 2),
            crop="mizuna",
            batches=(self.born,),
            harvest="cut" if kind == "harvest" else None,
        )
        self.chores[chore.key] = chore

    def plan_again(self, made_on: date) -> set[str]:
        """Change some chores that have not happened; give the words of those that are there anew or otherwise."""
        before = dict(self.chores)
        to_come = [chore for chore in self.chores.values() if chore.on >= made_on]
        for chore in self.random.sample(to_come, min(len(to_come), self.random.randrange(12))):
            match self.random.randrange(4):
                case 0:
                    days = timedelta(days=self.random.choice((-7, -1, 1, 3, 14)))
                    self.chores[chore.key] = replace(chore, on=max(made_on, chore.on + days))
                case 1:
                    self.chores[chore.key] = replace(chore, title=f"{chore.title}!")
                case 2:
                    self.chores[chore.key] = replace(chore, detail=(*chore.detail, "More of it."))
                case _:
                    self.dropped[chore.key] = self.chores.pop(chore.key)
        for key in [key for key in self.dropped if self.random.random() < 0.2]:
            # What comes back is the same chore, if on another day.
            chore = self.dropped.pop(key)
            self.chores[key] = replace(chore, on=max(made_on, chore.on))
        for _ in range(self.random.randrange(5)):
            self.add(made_on)
        return {word_of(chore.detail[0]) for key, chore in self.chores.items() if before.get(key) != chore}


def word_of(text: str) -> str:
    """Give the word by which a made-up chore is known."""
    (word,) = re.findall(r"word\d+x", text)
    return str(word)


def garden_with(detail: Detail) -> Garden:
    """Give a small garden."""
    garden = make_garden([make_tote("A", 2)], [make_want([make_crop()], 2)], weeks=50)
    return replace(garden, calendar=CalendarStyle(detail=detail, tasks=True))


def plan_of(made_on: date) -> Plan:
    """Give a plan with nothing in it but its day; the chores are made up."""
    return a_plan(garden="Year", starts_on=START, made_on=made_on, until_on=START + timedelta(weeks=50))


def moment_of(made_on: date) -> datetime:
    """Give the moment at which a plan is written."""
    return datetime(made_on.year, made_on.month, made_on.day, 18, 30, tzinfo=UTC)


@dataclass(frozen=True)
class Written:
    """What a plan of the year wrote: the chores, the words of those that changed, and the files by name."""

    made_on: date
    touched: frozenset[str]
    chores: tuple[Chore, ...]
    files: Mapping[str, bytes]


Lost = tuple[str, ...]


@pytest.fixture(scope="module", params=[(), ("state",), ("state", "calendars")], ids=["nothing", "state", "both"])
def written(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> tuple[Lost, list[Written]]:
    """Live through the year once for both files; halfway the state is lost, or state and calendars."""
    year, garden, folder = Year(seed=1), garden_with("each"), tmp_path_factory.mktemp("year")
    lost: Lost = request.param
    plans = []
    for number in range(PLANS):
        made_on = START + timedelta(weeks=number)
        touched = year.plan_again(made_on) if number else set()
        if number == PLANS // 2 and lost:
            (folder / "calendar-state.json").unlink()
            for path in folder.glob("*.ics") if "calendars" in lost else ():
                path.unlink()
        chores = list(year.chores.values())
        year.random.shuffle(chores)
        write_calendar(folder, garden, plan_of(made_on), chores, now=moment_of(made_on))
        files = {path.name: path.read_bytes() for path in folder.glob("*.ics")}
        plans.append(Written(made_on, frozenset(touched), tuple(chores), files))
    assert year.born > 200
    return lost, plans


@pytest.mark.xdist_group("calendar year")
@pytest.mark.parametrize("name", ["calendar.ics", "calendar-tasks.ics"])
def test_a_year_of_single_events(written: tuple[Lost, list[Written]], name: Name) -> None:
    """Over 50 plans no UID serves two chores, revisions only rise, and what did not change keeps its bytes."""
    lost, plans = written
    subscriber = Subscriber()
    known_as: dict[str, str] = {}
    before: Seen | None = None
    done_before: set[str] = set()
    counted: dict[str, int] = defaultdict(int)
    for number, plan in enumerate(plans):
        made_on = plan.made_on
        seen = see(plan.files[name])
        subscriber.look(seen, before)

        words = {uid: word_of(values["DESCRIPTION"]) for uid, values in seen.values.items()}
        for uid, word in words.items():
            assert known_as.setdefault(uid, word) == word, "a UID for two chores"
        assert len(set(known_as.values())) == len(known_as), "two UIDs for one chore"
        expected = {word_of(chore.detail[0]): chore for chore in plan.chores if chore.on >= made_on - KEPT}
        assert set(words.values()) == set(expected)
        for uid, word in words.items():
            day = seen.values[uid]["DTSTART" if name == "calendar.ics" else "DUE"]
            assert day == expected[word].on.strftime("%Y%m%d")

        done = {word for word, chore in expected.items() if chore.on < made_on}
        if before is not None and not (number == PLANS // 2 and lost):
            changed = {words[uid] for uid in seen.blocks if before.blocks.get(uid) != seen.blocks[uid]}
            assert changed == (plan.touched & set(expected)) | (done - done_before)
            counted["compared"] += 1
        counted["changed"] += len(plan.touched)
        counted["done"] += len(done - done_before)
        counted["left out"] += len(done_before - set(expected))
        before, done_before = seen, done
    # The year was worth living: everything that can happen did, and often.
    assert counted.pop("compared") >= PLANS - 2
    assert min(counted.values()) > 50


@pytest.mark.parametrize("lost", [False, True], ids=["nothing", "state"])
def test_a_year_of_daily_events(tmp_path: Path, lost: bool) -> None:
    """A day's event never moves, its revisions only rise, and a day whose chores did not change keeps its bytes."""
    year, subscriber = Year(seed=2), Subscriber()
    garden = garden_with("daily")
    day_of: dict[str, str] = {}
    before: Seen | None = None
    chores_before: dict[str, object] = {}
    for number in range(PLANS):
        made_on = START + timedelta(weeks=number)
        if number:
            year.plan_again(made_on)
        is_lost = lost and number == PLANS // 2
        if is_lost:
            (tmp_path / "calendar-state.json").unlink()
        write_calendar(tmp_path, garden, plan_of(made_on), year.chores.values(), now=moment_of(made_on))
        seen = see((tmp_path / "calendar.ics").read_bytes())
        subscriber.look(seen, before)
        of_day: dict[str, object] = {}
        for uid, values in seen.values.items():
            assert day_of.setdefault(uid, values["DTSTART"]) == values["DTSTART"]
            day = date.fromisoformat(values["DTSTART"])
            of_day[uid] = (day < made_on, sorted(repr(chore) for chore in year.chores.values() if chore.on == day))
        assert len(set(day_of.values())) == len(day_of)
        if before is not None and not is_lost:
            same = {uid for uid in seen.blocks if seen.blocks[uid] == before.blocks.get(uid)}
            # Not the other way round: some changes of a chore do not show where it is told together with others.
            equal = {uid for uid in seen.blocks if of_day[uid] == chores_before.get(uid)}
            assert equal <= same
            assert len(equal) > 50
        before, chores_before = seen, of_day


@pytest.mark.parametrize("detail", ["each", "daily"])
def test_one_chore_that_moves_is_one_event(tmp_path: Path, detail: Detail) -> None:
    """One moved chore changes one event (the two days of daily ones), and of the rest the calendar's stamp alone."""
    year, garden = Year(seed=3), garden_with(detail)
    write_calendar(tmp_path, garden, plan_of(START), year.chores.values(), now=moment_of(START))
    before = see((tmp_path / "calendar.ics").read_bytes())
    days = {chore.on for chore in year.chores.values()}
    # A day with other work goes to another with other work, so that daily events neither come nor go.
    moved = next(
        replace(chore, on=chore.on + timedelta(days=1))
        for chore in year.chores.values()
        if chore.on + timedelta(days=1) in days and sum(other.on == chore.on for other in year.chores.values()) > 1
    )
    year.chores[moved.key] = moved
    an_hour_later = moment_of(START) + timedelta(hours=1)
    write_calendar(tmp_path, garden, plan_of(START), year.chores.values(), now=an_hour_later)
    after = see((tmp_path / "calendar.ics").read_bytes())
    assert set(before.blocks) == set(after.blocks)
    changed = [uid for uid in before.blocks if before.blocks[uid] != after.blocks[uid]]
    assert len(changed) == (1 if detail == "each" else 2)
    for uid in changed:
        assert int(after.values[uid]["SEQUENCE"]) == int(before.values[uid]["SEQUENCE"]) + 1
    differing = [line for line in after.head if line not in before.head]
    assert differing == ["LAST-MODIFIED:20261003T193000Z"]


def test_twelve_weeks_of_a_real_garden(tmp_path: Path) -> None:
    """The window sill, planned again every week: one UID is one kind of work on one crop, or in one tote, for ever.

    What the plan did not change keeps its bytes, and what has happened is never rewritten.
    """
    folder = tmp_path / "window-sill"
    shutil.copytree(EXAMPLES / "window-sill", folder, ignore=shutil.ignore_patterns("plan.json", "calendar*"))
    inputs, subscriber = read(folder), Subscriber()
    starts_on = inputs.garden.starts_on
    assert starts_on is not None
    plan: Plan | None = None
    before: Seen | None = None
    chores_before: dict[str, Chore] = {}
    work_of: dict[str, tuple[str, str]] = {}
    done_before: set[str] = set()
    for number in range(12):
        today = starts_on + timedelta(weeks=number)
        plan = make_plan(inputs, today=today, old=plan)
        chores = list_chores(inputs.garden, plan)
        write_calendar(folder, inputs.garden, plan, chores, now=moment_of(today))
        seen = see((folder / "calendar.ics").read_bytes())
        subscriber.look(seen, before)

        assert sorted(date.fromisoformat(values["DTSTART"]) for values in seen.values.values()) == sorted(
            chore.on for chore in chores if chore.on >= today - KEPT
        )
        assert len({chore.key for chore in chores}) == len(chores)

        done = {uid for uid, values in seen.values.items() if values["SUMMARY"].startswith("✓")}
        assert done == {uid for uid in seen.values if date.fromisoformat(seen.values[uid]["DTSTART"]) < today}
        assert done_before <= done
        assert all(before is not None and before.blocks[uid] == seen.blocks[uid] for uid in done_before)

        by_key = {chore.key: chore for chore in chores}
        same = {key for key, chore in by_key.items() if chores_before.get(key) == chore and chore.on >= today}
        if before is not None:
            changed = sum(before.blocks.get(uid) != seen.blocks[uid] for uid in set(seen.blocks) - done)
            assert changed == sum(chore.on >= today for chore in chores) - len(same)
        for uid, values in seen.values.items():
            crops = re.findall("|".join(map(re.escape, inputs.garden.crops)), values["DESCRIPTION"])
            # What is done to a tote is of the tote, and what is done in the whole garden of neither.
            of_tote, of_garden = ("Clean", "Water"), ("Care", "Power")
            category, where = values["CATEGORIES"], values.get("LOCATION", "")
            work = (category, where if category in of_tote else "" if category in of_garden else crops[-1])
            assert work_of.setdefault(uid, work) == work
        before, chores_before, done_before = seen, by_key, done
    assert len(done_before) > 5
