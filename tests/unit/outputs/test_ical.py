"""The calendar file: identity that lasts, revisions that only rise, and a structure every client can read.

The expected structure is that of RFC 5545 and RFC 7986; it is checked by a reader of our own that shares nothing with
the library that wrote the file.
"""

import errno
import json
import os
import re
import uuid
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta, timezone
from pathlib import Path
from typing import IO, Literal

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from icalendar import Calendar, Event

from steadysow.chores.chore import Chore
from steadysow.chores.listing import list_chores
from steadysow.errors import InputFaults
from steadysow.inputs.calendar_style import CalendarStyle
from steadysow.inputs.garden import Garden
from steadysow.outputs import ical
from steadysow.outputs.entries import Entry
from steadysow.outputs.ical import (
    CalendarState,
    Revision,
    calendar_bytes,
    read_state,
    task_bytes,
    write_calendar,
    write_state,
)
from steadysow.plan.plan import Plan

NOW = datetime(2026, 10, 3, 7, 30, 15, 123456, tzinfo=UTC)
LATER = NOW + timedelta(days=2)
# Sequences begin at the seconds since the new year of 2026: 275 days, 7 hours, 30 minutes and 15 seconds.
BEGUN = ((275 * 24 + 7) * 60 + 30) * 60 + 15
BEGUN_LATER = BEGUN + 2 * 24 * 60 * 60

# Titles too long for a phone, and what is shown of them.
SHOWN = {
    "Plant 4 butterhead lettuce into B 1-3, 7": "Plant 4 butterhead lettuce",
    "Take 2 butterhead lettuce by Fri 4 Dec (B 1-2)": "Take 2 butterhead lettuce",
}


@dataclass(frozen=True)
class Published:
    """An object as our own reader sees it: its name, its lines as (name, parameters, raw value), and what it holds."""

    name: str
    lines: tuple[tuple[str, str, str], ...]
    inner: tuple["Published", ...]

    def value(self, name: str) -> str:
        """Give the value of the one line of that name, unescaped."""
        (raw,) = [raw for line, _, raw in self.lines if line == name]
        return re.sub(r"\\(.)", lambda match: "\n" if match[1] in "nN" else match[1], raw)


def read(content: bytes) -> Published:
    """Read a calendar by the letter of RFC 5545, 3.1 and 3.6, and refuse what breaks it."""
    text = content.decode("utf-8", errors="strict")
    assert text.endswith("\r\n")
    assert not re.search(r"(?<!\r)\n|\r(?!\n)", text)
    assert not re.search(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]", text)
    assert all(len(line.encode()) <= 75 for line in text.split("\r\n"))
    assert all(line.decode("utf-8", errors="strict") is not None for line in content.split(b"\r\n"))
    lines = iter(text.replace("\r\n ", "").removesuffix("\r\n").split("\r\n"))
    assert next(lines) == "BEGIN:VCALENDAR"
    whole = _read_object("VCALENDAR", lines)
    assert next(lines, None) is None
    return whole


def _read_object(name: str, lines: Iterator[str]) -> Published:
    found: list[tuple[str, str, str]] = []
    inner: list[Published] = []
    for line in lines:
        if line == f"END:{name}":
            return Published(name, tuple(found), tuple(inner))
        if line.startswith("BEGIN:"):
            inner.append(_read_object(line.removeprefix("BEGIN:"), lines))
            continue
        match = re.fullmatch(r'([A-Z0-9-]+)((?:;[A-Z0-9-]+=(?:"[^"]*"|[^";:,]*))*):(.*)', line, re.DOTALL)
        assert match, line
        found.append((match[1], match[2], match[3]))
    raise AssertionError(f"END:{name} is missing")


def lint(content: bytes) -> tuple[Published, ...]:
    """Check every rule that the calendar keeps, and give its events."""
    return _lint(content, "VEVENT", ("DTSTART", _lint_event))


def lint_tasks(content: bytes) -> tuple[Published, ...]:
    """Check every rule that the file of tasks keeps, and give its tasks."""
    return _lint(content, "VTODO", ("DUE", _lint_task))


def _lint(content: bytes, name: str, of: tuple[str, Callable[[Published], None]]) -> tuple[Published, ...]:
    day, lint_one = of
    calendar = read(content)
    names = Counter(name for name, _, _ in calendar.lines)
    assert set(names.values()) == {1}
    assert {"VERSION", "PRODID", "CALSCALE", "UID", "LAST-MODIFIED", "NAME", "X-WR-CALNAME"} <= set(names)
    assert ("REFRESH-INTERVAL", ";VALUE=DURATION", "PT6H") in calendar.lines
    assert ("X-PUBLISHED-TTL", "", "PT6H") in calendar.lines
    assert "METHOD" not in names
    assert calendar.value("NAME") == calendar.value("X-WR-CALNAME")
    events = calendar.inner
    assert events, "RFC 5545, 3.6: a calendar holds at least one component"
    assert {event.name for event in events} == {name}
    uids = [event.value("UID") for event in events]
    assert len(set(uids)) == len(uids)
    assert all(re.fullmatch(r"[A-Za-z0-9-]{1,254}", uid) for uid in uids)
    for event in events:
        _lint_revision(event)
        lint_one(event)
    order = [(event.value(day), event.value("UID")) for event in events]
    assert order == sorted(order)
    assert calendar.value("LAST-MODIFIED") >= max(event.value("LAST-MODIFIED") for event in events)
    return events


def _lint_revision(event: Published) -> None:
    counts = Counter(name for name, _, _ in event.lines)
    assert set(counts.values()) == {1}
    for name in ("DTSTAMP", "LAST-MODIFIED", "CREATED"):
        assert datetime.strptime(event.value(name), "%Y%m%dT%H%M%SZ")
    assert event.value("DTSTAMP") == event.value("LAST-MODIFIED") >= event.value("CREATED")
    assert 0 <= int(event.value("SEQUENCE")) < 2**31
    for name in ("SUMMARY", "DESCRIPTION", "LOCATION"):
        for _, _, raw in (line for line in event.lines if line[0] == name):
            assert not re.search(r"(?<!\\)(?:\\\\)*[,;]", raw), "commas and semicolons are escaped (RFC 5545, 3.3.11)"


def _lint_event(event: Published) -> None:
    parameters = {name: parameter for name, parameter, _ in event.lines}
    assert (parameters["DTSTART"], parameters["DTEND"]) == (";VALUE=DATE", ";VALUE=DATE")
    starts_on, ends_on = (date.fromisoformat(event.value(name)) for name in ("DTSTART", "DTEND"))
    assert ends_on - starts_on == timedelta(days=1)
    assert (event.value("TRANSP"), event.value("STATUS")) == ("TRANSPARENT", "CONFIRMED")
    for alarm in event.inner:
        assert alarm.name == "VALARM"
        assert {name for name, _, _ in alarm.lines} >= {"ACTION", "TRIGGER", "DESCRIPTION"}


def _lint_task(task: Published) -> None:
    parameters = {name: parameter for name, parameter, _ in task.lines}
    assert parameters["DUE"] == ";VALUE=DATE"
    assert date.fromisoformat(task.value("DUE"))
    # RFC 5545, 3.6.2: not both a day it is due and how long it takes.
    assert "DURATION" not in parameters
    assert task.value("STATUS") in ("NEEDS-ACTION", "COMPLETED")
    assert ("COMPLETED" in parameters) == (task.value("STATUS") == "COMPLETED")
    assert task.inner == ()


@pytest.fixture
def chores(garden: Garden, plan: Plan) -> tuple[Chore, ...]:
    """Give the chores of the plan made by hand."""
    return list_chores(garden, plan)


def test_feed_keeps_every_rule(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """Our own reader finds one legal event a chore, with the day and title of the chore."""
    content, _ = calendar_bytes(garden, plan, chores, CalendarState(), NOW)
    events = lint(content)
    assert sorted((date.fromisoformat(event.value("DTSTART")), event.value("SUMMARY")) for event in events) == sorted(
        (chore.on, SHOWN.get(chore.title, chore.title)) for chore in chores
    )
    assert read(content).value("NAME") == "Cellar, shelf"


def test_library_reads_the_same(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """The icalendar library finds no fault, and the same titles and texts as our own reader."""
    content, _ = calendar_bytes(garden, plan, chores, CalendarState(), NOW)
    parsed = Calendar.from_ical(content)
    assert parsed.errors == []
    ours = {event.value("UID"): (event.value("SUMMARY"), event.value("DESCRIPTION")) for event in lint(content)}
    theirs = {str(event["uid"]): (str(event["summary"]), str(event["description"])) for event in parsed.walk("VEVENT")}
    assert ours == theirs


def test_vobject_reads_the_same(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """The vobject library, where it is installed, finds the feed valid and reads the same titles and days."""
    vobject = pytest.importorskip("vobject")
    content, _ = calendar_bytes(garden, plan, chores, CalendarState(), NOW)
    parsed = vobject.readOne(content.decode())
    assert parsed.validate(raiseException=True)
    read_back = [(event.dtstart.value, event.summary.value) for event in parsed.vevent_list]
    assert sorted(read_back) == sorted((chore.on, SHOWN.get(chore.title, chore.title)) for chore in chores)


def test_recurring_ical_events_sees_every_chore(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """The recurring-ical-events library, where it is installed, shows each day's chores on that day and no other."""
    recurring_ical_events = pytest.importorskip("recurring_ical_events")
    content, _ = calendar_bytes(garden, plan, chores, CalendarState(), NOW)
    query = recurring_ical_events.of(Calendar.from_ical(content))
    days = [plan.from_on + timedelta(days=number) for number in range(70)]
    seen = [(day, str(event["summary"])) for day in days for event in query.at(day)]
    assert sorted(seen) == sorted((chore.on, SHOWN.get(chore.title, chore.title)) for chore in chores)


def test_uid_comes_from_plan_and_key_alone(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """A UID is the version 5 UUID (RFC 4122, 4.3) of the chore's key in the name space of the plan."""
    content, _ = calendar_bytes(garden, plan, chores[:1], CalendarState(), NOW)
    (event,) = lint(content)
    assert event.value("UID") == str(uuid.uuid5(uuid.UUID(plan.uuid), chores[0].key))
    assert read(content).value("UID") == plan.uuid


def test_unchanged_plan_gives_equal_bytes(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """Planning again on a later day changes no byte, neither of the calendar nor of the state."""
    first, state = calendar_bytes(garden, plan, chores, CalendarState(), NOW)
    assert calendar_bytes(garden, plan, tuple(reversed(chores)), state, LATER) == (first, state)


def test_changed_chore_alone_is_revised(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """A chore that moved keeps its UID and creation, and gets the next sequence and new stamps; no other changes."""
    first, state = calendar_bytes(garden, plan, chores, CalendarState(), NOW)
    moved = (replace(chores[0], on=chores[0].on + timedelta(days=4)), *chores[1:])
    second, _ = calendar_bytes(garden, plan, moved, state, LATER)
    before = {event.value("UID"): event for event in lint(first)}
    after = {event.value("UID"): event for event in lint(second)}
    (changed,) = [uid for uid in before if before[uid] != after[uid]]
    assert set(before) == set(after)
    assert (before[changed].value("SEQUENCE"), after[changed].value("SEQUENCE")) == (str(BEGUN), str(BEGUN + 1))
    assert after[changed].value("CREATED") == before[changed].value("CREATED") == "20261003T073015Z"
    assert after[changed].value("DTSTAMP") == "20261005T073015Z"


@pytest.mark.parametrize("field", ["title", "detail", "tote"])
def test_any_visible_change_is_a_revision(garden: Garden, plan: Plan, chores: tuple[Chore, ...], field: str) -> None:
    """Title, text and place are seen, so a change of each bumps the sequence."""
    _, state = calendar_bytes(garden, plan, chores[:1], CalendarState(), NOW)
    new: dict[str, object] = {field: ("new",) if field == "detail" else "new"}
    content, _ = calendar_bytes(garden, plan, (replace(chores[0], **new),), state, LATER)  # type: ignore[arg-type]
    assert lint(content)[0].value("SEQUENCE") == str(BEGUN + 1)


def test_dropped_chore_is_left_out_and_returns_where_it_was(
    garden: Garden, plan: Plan, chores: tuple[Chore, ...]
) -> None:
    """A chore that returns after it was dropped never has a lower sequence than when it was last seen."""
    _, state = calendar_bytes(garden, plan, chores, CalendarState(), NOW)
    moved = (replace(chores[0], title="Moved"), *chores[1:])
    _, state = calendar_bytes(garden, plan, moved, state, LATER)
    without, state = calendar_bytes(garden, plan, chores[1:], state, LATER)
    assert len(lint(without)) == len(chores) - 1
    back, _ = calendar_bytes(garden, plan, chores, state, LATER)
    uid = str(uuid.uuid5(uuid.UUID(plan.uuid), chores[0].key))
    assert [event.value("SEQUENCE") for event in lint(back) if event.value("UID") == uid] == [str(BEGUN + 2)]


def test_clock_set_back_moves_no_stamp_back(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """A change on a machine whose clock was set back still carries the newest stamp."""
    _, state = calendar_bytes(garden, plan, chores[:1], CalendarState(), LATER)
    content, _ = calendar_bytes(garden, plan, (replace(chores[0], title="New"),), state, NOW)
    assert lint(content)[0].value("LAST-MODIFIED") == "20261005T073015Z"


def test_stamps_are_in_universal_time(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """The same moment in another time zone gives the same bytes."""
    there = NOW.astimezone(timezone(timedelta(hours=5, minutes=45)))
    first, _ = calendar_bytes(garden, plan, chores, CalendarState(), NOW)
    assert calendar_bytes(garden, plan, chores, CalendarState(), there)[0] == first


def test_empty_plan_still_has_an_event(garden: Garden, plan: Plan) -> None:
    """Without a chore the calendar holds one event, since an empty one makes subscribers delete or refuse it."""
    (event,) = lint(calendar_bytes(garden, plan, (), CalendarState(), NOW)[0])
    assert event.value("SUMMARY") == "Nothing planned"


def test_alarm_rings_at_the_time_of_the_garden(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """An alarm at eight is eight hours after midnight of an all-day event (RFC 5545, 3.8.6.3)."""
    garden = replace(garden, calendar=CalendarStyle(alarm=time(8, 0)))
    for event in lint(calendar_bytes(garden, plan, chores, CalendarState(), NOW)[0]):
        (alarm,) = event.inner
        assert (alarm.value("ACTION"), alarm.value("TRIGGER")) == ("DISPLAY", "PT8H")


def test_no_alarm_unless_asked(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """A garden without an alarm has none in its calendar."""
    assert b"VALARM" not in calendar_bytes(garden, plan, chores, CalendarState(), NOW)[0]


def test_harvest_is_one_day_and_tells_its_window(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """A harvest that can wait is still one day in the calendar; how long it can wait is said in its text."""
    (chore,) = [chore for chore in chores if chore.key == "1/harvest/1"]
    (event,) = lint(calendar_bytes(garden, plan, (chore,), CalendarState(), NOW)[0])
    assert event.value("DTSTART") == "20261114"
    assert "Can wait until Wed 18 Nov." in event.value("DESCRIPTION")
    assert (event.value("CATEGORIES"), event.value("LOCATION")) == ("Harvest", "Tote A, shelf")


def test_daily_events_go_by_their_day(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """With one event a day, there are as many events as days with work, and each names every chore of its day."""
    garden = replace(garden, calendar=CalendarStyle(detail="daily"))
    events = lint(calendar_bytes(garden, plan, chores, CalendarState(), NOW)[0])
    days = [date.fromisoformat(event.value("DTSTART")) for event in events]
    assert days == sorted({chore.on for chore in chores})
    busy = events[days.index(date(2026, 11, 28))]
    assert busy.value("SUMMARY") == "4 chores: harvest, clean, check"
    assert "Take 2 butterhead lettuce by Fri 4 Dec (B 1-2)" in busy.value("DESCRIPTION")
    assert busy.value("UID") == str(uuid.uuid5(uuid.UUID(plan.uuid), "day/2026-11-28"))


def texts(longest: int) -> st.SearchStrategy[str]:
    r"""Draw any text but ``\N``, which the library takes for the end of a line."""
    return st.text(max_size=longest).filter(
        lambda text: "\\N" not in re.sub(r"[\x00-\x1f\x7f-\x9f\ud800-\udfff]", "", text)
    )


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(title=texts(35), line=texts(300))
def test_any_text_survives(garden: Garden, plan: Plan, chores: tuple[Chore, ...], title: str, line: str) -> None:
    """Whatever a person writes is read back as written, apart from control characters and halves of characters."""
    chore = replace(chores[0], title=title, detail=(line,))
    content, _ = calendar_bytes(garden, plan, (chore,), CalendarState(), NOW)
    (event,) = lint(content)
    kept = [re.sub(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff]", "", text) for text in (title, line)]
    assert event.value("SUMMARY") == kept[0]
    assert event.value("DESCRIPTION") == f"{kept[1]}\nBatch 2: butterhead lettuce for heads."


def test_state_survives_its_file(tmp_path: Path, garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """The state is read back as it was written, the secret included."""
    _, state = calendar_bytes(garden, plan, chores, CalendarState(secret="s3cret"), NOW)
    write_state(tmp_path / "calendar-state.json", state)
    assert read_state(tmp_path / "calendar-state.json") == state
    assert state.secret == "s3cret"


def test_missing_state_is_empty(tmp_path: Path) -> None:
    """A garden that was never published has an empty state."""
    assert read_state(tmp_path / "calendar-state.json") == CalendarState()


@pytest.mark.parametrize("content", ["", "[]", "{}", '{"revisions": {"1": {}}, "floor": 0, "secret": ""}'])
def test_spoilt_state_is_a_fault(tmp_path: Path, content: str) -> None:
    """A state file that something else wrote to is told as a fault, with what to do."""
    file = tmp_path / "calendar-state.json"
    file.write_text(content, encoding="utf-8")
    with pytest.raises(InputFaults, match=r"calendar-state\.json: .*Delete it"):
        read_state(file)


def test_files_are_left_alone_when_nothing_changed(
    tmp_path: Path, garden: Garden, plan: Plan, chores: tuple[Chore, ...]
) -> None:
    """Writing twice replaces neither file, so that a server keeps answering that nothing changed."""
    assert write_calendar(tmp_path, garden, plan, chores, now=NOW)
    before = [(file.name, file.stat().st_ino, file.stat().st_mtime_ns) for file in sorted(tmp_path.iterdir())]
    assert [name for name, _, _ in before] == ["calendar-state.json", "calendar.ics"]
    assert not write_calendar(tmp_path, garden, plan, chores, now=LATER)
    assert [(file.name, file.stat().st_ino, file.stat().st_mtime_ns) for file in sorted(tmp_path.iterdir())] == before


def test_calendar_elsewhere_keeps_its_state_in_the_garden(
    tmp_path: Path, garden: Garden, plan: Plan, chores: tuple[Chore, ...]
) -> None:
    """A calendar written to another place leaves nothing but itself there."""
    web, home = tmp_path / "web", tmp_path / "home"
    web.mkdir()
    home.mkdir()
    write_calendar(web / "garden.ics", garden, plan, chores, now=NOW, state_file=home / "calendar-state.json")
    assert [file.name for file in web.iterdir()] == ["garden.ics"]
    assert [file.name for file in home.iterdir()] == ["calendar-state.json"]


def sequences(content: bytes) -> dict[str, int]:
    """Give the sequence of each UID."""
    return {event.value("UID"): int(event.value("SEQUENCE")) for event in lint(content)}


def test_lost_state_goes_on_above_the_calendar(
    tmp_path: Path, garden: Garden, plan: Plan, chores: tuple[Chore, ...]
) -> None:
    """When the state is deleted, every event goes on above what the calendar beside it says, by whatever clock."""
    write_calendar(tmp_path, garden, plan, chores, now=LATER)
    before = (tmp_path / "calendar.ics").read_bytes()
    (tmp_path / "calendar-state.json").unlink()
    write_calendar(tmp_path, garden, plan, chores, now=NOW)
    after = (tmp_path / "calendar.ics").read_bytes()
    assert {uid: number + 1 for uid, number in sequences(before).items()} == sequences(after)
    assert read(after).value("LAST-MODIFIED") == read(before).value("LAST-MODIFIED") == "20261005T073015Z"
    assert {event.value("CREATED") for event in lint(after)} == {"20261005T073015Z"}


def test_lost_state_and_calendar_go_on_above_all_that_was(
    tmp_path: Path, garden: Garden, plan: Plan, chores: tuple[Chore, ...]
) -> None:
    """When both are lost, or the calendar went elsewhere, the clock keeps every sequence above those published."""
    web = tmp_path / "elsewhere.ics"
    for number in range(40):
        changed = (replace(chores[0], title=f"Title {number}"), *chores[1:])
        write_calendar(web, garden, plan, changed, now=NOW + timedelta(hours=number))
    highest = max(sequences(web.read_bytes()).values())
    assert highest == BEGUN + 39
    (tmp_path / "calendar-state.json").unlink()
    content, _ = calendar_bytes(garden, plan, chores, CalendarState(), LATER)
    assert set(sequences(content).values()) == {BEGUN_LATER}
    assert highest < BEGUN_LATER


def test_state_from_an_old_copy_goes_on_above_the_calendar(
    tmp_path: Path, garden: Garden, plan: Plan, chores: tuple[Chore, ...]
) -> None:
    """A state that is older than the calendar, as after a restored backup, takes nothing back."""
    state_file = tmp_path / "calendar-state.json"
    write_calendar(tmp_path, garden, plan, chores, now=NOW)
    copy = state_file.read_bytes()
    write_calendar(tmp_path, garden, plan, (replace(chores[0], title="New"), *chores[1:]), now=LATER)
    before = lint((tmp_path / "calendar.ics").read_bytes())
    state_file.write_bytes(copy)
    write_calendar(tmp_path, garden, plan, chores, now=NOW)
    after = {event.value("UID"): event for event in lint((tmp_path / "calendar.ics").read_bytes())}
    (new,) = [event for event in before if event != after[event.value("UID")]]
    back = after[new.value("UID")]
    assert (new.value("SUMMARY"), back.value("SUMMARY")) == ("New", SHOWN.get(chores[0].title, chores[0].title))
    assert int(back.value("SEQUENCE")) == int(new.value("SEQUENCE")) + 1
    assert back.value("LAST-MODIFIED") == new.value("LAST-MODIFIED") == "20261005T073015Z"


def test_state_of_the_first_version_is_read(
    tmp_path: Path, garden: Garden, plan: Plan, chores: tuple[Chore, ...]
) -> None:
    """Sequences go on from a state that an earlier version wrote."""
    revision = {
        "content": "0" * 64,
        "sequence": 4,
        "created": "2026-10-01T06:00:00+00:00",
        "last_modified": "2026-10-02T06:00:00+00:00",
    }
    document = {"version": 1, "secret": "s3cret", "floor": 0, "revisions": {chores[0].key: revision}}
    (tmp_path / "calendar-state.json").write_text(json.dumps(document), encoding="utf-8")
    write_calendar(tmp_path, garden, plan, chores[:1], now=NOW)
    (event,) = lint((tmp_path / "calendar.ics").read_bytes())
    assert (event.value("SEQUENCE"), event.value("CREATED")) == ("5", "20261001T060000Z")
    assert read_state(tmp_path / "calendar-state.json").secret == "s3cret"


def test_dropping_a_chore_is_a_change_of_the_calendar(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """The calendar's own stamp moves when something is left out, though no event is newer for it."""
    first, state = calendar_bytes(garden, plan, chores, CalendarState(), NOW)
    second, _ = calendar_bytes(garden, plan, chores[1:], state, LATER, first)
    assert (read(first).value("LAST-MODIFIED"), read(second).value("LAST-MODIFIED")) == (
        "20261003T073015Z",
        "20261005T073015Z",
    )
    assert {event.value("LAST-MODIFIED") for event in lint(second)} == {"20261003T073015Z"}


def test_color_is_told_if_it_is_chosen(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """COLOR stands once on the calendar (RFC 7986, 5.9), and not at all by default; a new colour is a new calendar."""
    first, state = calendar_bytes(garden, plan, chores, CalendarState(), NOW)
    assert "COLOR" not in {name for name, _, _ in read(first).lines}
    green = replace(garden, calendar=CalendarStyle(color="seagreen"))
    second, _ = calendar_bytes(green, plan, chores, state, LATER, first)
    assert read(second).value("COLOR") == "seagreen"
    assert read(second).value("LAST-MODIFIED") == "20261005T073015Z"
    assert lint(second) == lint(first)


def test_what_has_happened_stays_marked_for_ninety_days(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """Before the day of planning events have a mark, and before ninety days they are left out; a mark is a revision."""
    first, state = calendar_bytes(garden, plan, chores, CalendarState(), NOW)
    made_on = date(2026, 11, 14)
    second, state = calendar_bytes(garden, replace(plan, made_on=made_on), chores, state, LATER, first)
    before = {event.value("UID"): event for event in lint(first)}
    for event in lint(second):
        is_done = date.fromisoformat(event.value("DTSTART")) < made_on
        assert event.value("SUMMARY").startswith("✓ ") == is_done
        assert (event != before[event.value("UID")]) == is_done
        assert int(event.value("SEQUENCE")) == BEGUN + is_done
    # The first chores are of 3 October: 1 January is the ninetieth day after.
    kept, _ = calendar_bytes(garden, replace(plan, made_on=date(2027, 1, 1)), chores, state, LATER, second)
    assert len(lint(kept)) == len(chores)
    gone, _ = calendar_bytes(garden, replace(plan, made_on=date(2027, 1, 2)), chores, state, LATER, second)
    days = [date.fromisoformat(event.value("DTSTART")) for event in lint(gone)]
    assert sorted(days) == [chore.on for chore in chores if chore.on > date(2026, 10, 3)]


def test_what_is_copied_is_what_would_be_written(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """Only the changed event is made and read anew, and the file is the one that the library would write whole."""
    first, state = calendar_bytes(garden, plan, chores, CalendarState(), NOW)
    changed = (*chores[:4], replace(chores[4], title="New"), *chores[5:])
    made: list[str] = []
    with pytest.MonkeyPatch.context() as patch:
        make = ical._event

        def count(entry: Entry, uid: str, revision: Revision) -> Event:
            made.append(entry.summary)
            return make(entry, uid, revision)

        patch.setattr(ical, "_event", count)
        copied = calendar_bytes(garden, plan, changed, state, LATER, first)
    assert made == ["New"]
    assert copied == calendar_bytes(garden, plan, changed, state, LATER)
    assert Calendar.from_ical(copied[0]).to_ical() == copied[0]


TITLES = st.text(max_size=20)


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(data=st.data(), detail=st.sampled_from(["each", "daily"]), alarm=st.sampled_from([None, time(8)]))
def test_copying_never_shows(
    garden: Garden,
    plan: Plan,
    chores: tuple[Chore, ...],
    data: st.DataObject,
    detail: Literal["each", "daily"],
    alarm: time | None,
) -> None:
    """Whatever changes from plan to plan, a calendar made from the last one has the bytes of one made from nothing."""
    garden = replace(garden, calendar=CalendarStyle(detail=detail, alarm=alarm, tasks=True))
    state = CalendarState()
    published = {calendar_bytes: b"", task_bytes: b""}
    for number in range(3):
        chosen = data.draw(st.lists(st.sampled_from(chores), min_size=0, unique=True))
        changed = [
            replace(chore, title=f"Do {data.draw(TITLES)}", on=chore.on + timedelta(days=data.draw(st.integers(0, 3))))
            if data.draw(st.booleans())
            else chore
            for chore in chosen
        ]
        made = replace(plan, made_on=plan.made_on + timedelta(days=data.draw(st.integers(0, 60))))
        now = NOW + timedelta(days=number)
        for make in published:
            whole = make(garden, made, changed, state, now)
            copied = make(garden, made, changed, state, now, published[make])
            assert copied == whole
            published[make], state = copied
    lint(published[calendar_bytes])
    lint_tasks(published[task_bytes])


@pytest.mark.parametrize(
    "spoil",
    [
        lambda content: content.replace(b"SUMMARY:Sow 7", b"SUMMARY:Eat 7"),
        lambda content: content[: len(content) // 2],
        lambda content: content.replace(b"\r\n", b"\n"),
        lambda _: b"not a calendar",
        lambda _: b"\xff\x00\r\nBEGIN:VEVENT\r\nSEQUENCE:99999999999\r\nLAST-MODIFIED:9Z\r\n",
        lambda _: b"",
    ],
    ids=["edited", "cut off", "line ends", "something else", "bytes", "empty"],
)
def test_spoilt_calendar_is_mended(
    tmp_path: Path,
    garden: Garden,
    plan: Plan,
    chores: tuple[Chore, ...],
    spoil: Callable[[bytes], bytes],
) -> None:
    """Nothing is copied from a calendar that somebody or something has changed: it is again as it was written."""
    file = tmp_path / "calendar.ics"
    write_calendar(tmp_path, garden, plan, chores, now=NOW)
    content = file.read_bytes()
    assert spoil(content) != content
    file.write_bytes(spoil(content))
    assert write_calendar(tmp_path, garden, plan, chores, now=LATER)
    assert file.read_bytes() == content


def test_two_chores_of_one_key_are_refused(
    tmp_path: Path, garden: Garden, plan: Plan, chores: tuple[Chore, ...]
) -> None:
    """If two events had one UID, the files of the last calendar stay as they are."""
    write_calendar(tmp_path, garden, plan, chores, now=NOW)
    before = {file.name: file.read_bytes() for file in tmp_path.iterdir()}
    doubled = (*chores, replace(chores[0], on=chores[0].on + timedelta(days=1)))
    with pytest.raises(RuntimeError, match="does not read back with all its events, and the last one is left as it"):
        write_calendar(tmp_path, garden, plan, doubled, now=LATER)
    assert {file.name: file.read_bytes() for file in tmp_path.iterdir()} == before


@pytest.mark.parametrize(
    "nonsense",
    [
        lambda block: block[:-30],
        lambda block: block + block,
        lambda _: b"",
        lambda block: block.replace(b"\r\n ", b""),
        lambda block: block.replace(b"END:VEVENT", b"END:VTODO"),
        lambda block: block.replace(b"DTSTART;VALUE=DATE:2026", b"DTSTART;VALUE=DATE:2027"),
        lambda block: re.sub(rb"\r\nUID:[^\r]*", b"", block),
        lambda block: block.replace(b"END:VEVENT\r\n", b"END:VEVENT\r\nBEGIN:VEVENT\r\nEND:VEVENT\r\n"),
    ],
    ids=["cut off", "doubled", "nothing", "unfolded", "other end", "other day", "no UID", "empty event"],
)
def test_library_that_writes_nonsense_is_noticed(
    tmp_path: Path,
    garden: Garden,
    plan: Plan,
    chores: tuple[Chore, ...],
    monkeypatch: pytest.MonkeyPatch,
    nonsense: Callable[[bytes], bytes],
) -> None:
    """If one new event does not come back as it should, neither calendar nor state is touched, and that is said."""
    write_calendar(tmp_path, garden, plan, chores, now=NOW)
    before = {file.name: file.read_bytes() for file in tmp_path.iterdir()}
    write = Event.to_ical
    monkeypatch.setattr(Event, "to_ical", lambda event, *more: nonsense(write(event, *more)))
    changed = (replace(chores[0], detail=("A line that is long enough to be folded, " * 3,)), *chores[1:])
    with pytest.raises(RuntimeError, match=r"does not read back.*the last one is left as it was"):
        write_calendar(tmp_path, garden, plan, changed, now=LATER)
    assert {file.name: file.read_bytes() for file in tmp_path.iterdir()} == before


def refuse(number: int) -> Callable[..., IO[bytes]]:
    """Give a function that fails as the system does, but lets files be read."""
    read_only = Path.open

    def fail(path: Path, mode: object = "", *more: object, **named: object) -> IO[bytes]:
        if isinstance(mode, str) and mode.startswith("r"):
            return read_only(path, mode, *more, **named)  # type: ignore[call-overload,no-any-return]
        raise OSError(number, os.strerror(number))

    return fail


@pytest.mark.parametrize(
    ("number", "told"),
    [
        (errno.ENOSPC, "No space left on device. Make room there, and run it again."),
        (
            errno.EROFS,
            "Read-only file system. Give yourself the right to read and write there, or name another folder.",
        ),
        (errno.EACCES, "Permission denied. Give yourself the right to read and write there, or name another folder."),
    ],
)
@pytest.mark.parametrize("place", ["os.fsync", "os.fdopen", "pathlib.Path.replace"])
def test_file_that_cannot_be_written_keeps_the_old_one(
    tmp_path: Path,
    garden: Garden,
    plan: Plan,
    chores: tuple[Chore, ...],
    monkeypatch: pytest.MonkeyPatch,
    number: int,
    told: str,
    place: str,
) -> None:
    """A full disk or a folder that is read-only leaves every file as it was, no other file, and says what to do."""
    write_calendar(tmp_path, garden, plan, chores, now=NOW)
    before = {file.name: file.read_bytes() for file in tmp_path.iterdir()}
    with monkeypatch.context() as patch:
        patch.setattr(place, refuse(number))
        with pytest.raises(InputFaults, match=re.escape(f"it could not be written and is left as it was: {told}")):
            write_calendar(tmp_path, garden, plan, chores[1:], now=LATER)
    assert {file.name: file.read_bytes() for file in tmp_path.iterdir()} == before


def test_disk_that_fills_up_half_way_keeps_the_old_calendar(
    tmp_path: Path, garden: Garden, plan: Plan, chores: tuple[Chore, ...]
) -> None:
    """Where the system itself stops the writing in the middle, the old calendar stays and no part of the new one."""
    resource = pytest.importorskip("resource")
    write_calendar(tmp_path, garden, plan, chores, now=NOW)
    before = (tmp_path / "calendar.ics").read_bytes()
    limit, most = resource.getrlimit(resource.RLIMIT_FSIZE)
    changed = (replace(chores[0], detail=("Long. " * 5000,)), *chores[1:])
    try:
        # More than the state takes, less than the calendar.
        resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, most))
        with pytest.raises(
            InputFaults, match=r"calendar\.ics: it could not be written and is left as it was: File too"
        ):
            write_calendar(tmp_path, garden, plan, changed, now=LATER)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (limit, most))
    assert (tmp_path / "calendar.ics").read_bytes() == before
    assert sorted(file.name for file in tmp_path.iterdir()) == ["calendar-state.json", "calendar.ics"]
    # With room again the next one goes on, with the revision that the state has already counted.
    assert write_calendar(tmp_path, garden, plan, changed, now=LATER)
    assert max(sequences((tmp_path / "calendar.ics").read_bytes()).values()) == BEGUN + 1


def test_disk_that_keeps_something_else_is_noticed(
    tmp_path: Path, garden: Garden, plan: Plan, chores: tuple[Chore, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was written is read back before it replaces the old file."""
    write_calendar(tmp_path, garden, plan, chores, now=NOW)
    before = {file.name: file.read_bytes() for file in tmp_path.iterdir()}
    monkeypatch.setattr("os.fsync", lambda handle: os.ftruncate(handle, 100))
    with pytest.raises(InputFaults, match="what is read back is not what was written"):
        write_calendar(tmp_path, garden, plan, chores[1:], now=LATER)
    assert {file.name: file.read_bytes() for file in tmp_path.iterdir()} == before


def test_rights_of_the_calendar_stay(tmp_path: Path, garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """A calendar that a web server may read can be read by it after the next plan too."""
    write_calendar(tmp_path, garden, plan, chores, now=NOW)
    (tmp_path / "calendar.ics").chmod(0o664)
    assert write_calendar(tmp_path, garden, plan, chores[1:], now=LATER)
    assert (tmp_path / "calendar.ics").stat().st_mode & 0o777 == 0o664


def with_tasks(garden: Garden) -> Garden:
    """Give a garden that wants tasks too."""
    return replace(garden, calendar=CalendarStyle(tasks=True, detail="daily", alarm=time(8)))


def test_tasks_are_one_a_chore(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """Each chore is a task of its own, also where events are daily; what has happened is ticked, at noon of its day."""
    made = replace(plan, made_on=date(2026, 11, 14))
    tasks = lint_tasks(task_bytes(with_tasks(garden), made, chores, CalendarState(), NOW)[0])
    told = sorted((date.fromisoformat(task.value("DUE")), task.value("SUMMARY")) for task in tasks)
    assert told == sorted((chore.on, SHOWN.get(chore.title, chore.title)) for chore in chores)
    for task in tasks:
        is_done = date.fromisoformat(task.value("DUE")) < date(2026, 11, 14)
        assert task.value("STATUS") == ("COMPLETED" if is_done else "NEEDS-ACTION")
        if is_done:
            assert task.value("COMPLETED") == f"{task.value('DUE')}T120000Z"


def test_tasks_share_no_uid_with_events(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """No UID of a task is that of an event, nor is the calendar's own, since both may be in one collection."""
    events, _ = calendar_bytes(garden, plan, chores, CalendarState(), NOW)
    tasks, _ = task_bytes(garden, plan, chores, CalendarState(), NOW)
    assert not {event.value("UID") for event in lint(events)} & {task.value("UID") for task in lint_tasks(tasks)}
    assert read(events).value("UID") != read(tasks).value("UID")
    assert read(tasks).value("NAME") == "Cellar, shelf: tasks"


def test_changed_task_alone_is_revised(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """Tasks go by the same revisions as events, and neither counts for the other."""
    first, state = task_bytes(garden, plan, chores, CalendarState(), NOW)
    assert state.revisions == ()
    second, _ = task_bytes(garden, plan, (replace(chores[0], title="New"), *chores[1:]), state, LATER, first)
    before, after = ({task.value("UID"): task for task in lint_tasks(content)} for content in (first, second))
    (changed,) = [uid for uid in before if before[uid] != after[uid]]
    assert (before[changed].value("SEQUENCE"), after[changed].value("SEQUENCE")) == (str(BEGUN), str(BEGUN + 1))


def test_vobject_reads_the_tasks(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """The vobject library, where it is installed, finds the tasks valid and reads the same days."""
    vobject = pytest.importorskip("vobject")
    made = replace(plan, made_on=date(2026, 11, 14))
    parsed = vobject.readOne(task_bytes(garden, made, chores, CalendarState(), NOW)[0].decode())
    assert parsed.validate(raiseException=True)
    assert sorted(task.due.value for task in parsed.vtodo_list) == sorted(chore.on for chore in chores)


def test_empty_plan_has_nothing_to_tick(garden: Garden, plan: Plan) -> None:
    """Without a chore the file of tasks holds one that is ticked already."""
    (task,) = lint_tasks(task_bytes(garden, plan, (), CalendarState(), NOW)[0])
    assert (task.value("SUMMARY"), task.value("STATUS")) == ("Nothing planned", "COMPLETED")


def test_tasks_stand_beside_the_calendar_while_they_are_wanted(
    tmp_path: Path, garden: Garden, plan: Plan, chores: tuple[Chore, ...]
) -> None:
    """The file of tasks is named after the calendar, left alone while equal, and taken away when no longer wanted."""
    for target, name in ((tmp_path, "calendar-tasks.ics"), (tmp_path / "garden.ics", "garden-tasks.ics")):
        assert write_calendar(target, with_tasks(garden), plan, chores, now=NOW)
        assert len(lint_tasks((tmp_path / name).read_bytes())) == len(chores)
        assert not write_calendar(target, with_tasks(garden), plan, chores, now=LATER)
    assert b"VTODO" not in (tmp_path / "calendar.ics").read_bytes()
    (tmp_path / "garden-tasks.ics").write_bytes(b"BEGIN:VCALENDAR\r\nPRODID:mine\r\n")
    for target in (tmp_path, tmp_path / "garden.ics"):
        write_calendar(target, garden, plan, chores, now=LATER)
    assert not (tmp_path / "calendar-tasks.ics").exists()
    assert (tmp_path / "garden-tasks.ics").exists(), "a file of somebody else is not ours to take away"


def test_symbolic_link_stays_a_link(tmp_path: Path, garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """A calendar that is a link to a web folder is written where the link points."""
    (tmp_path / "web").mkdir()
    link = tmp_path / "calendar.ics"
    link.symlink_to(tmp_path / "web" / "garden.ics")
    write_calendar(link, garden, plan, chores, now=NOW)
    assert link.is_symlink()
    assert lint((tmp_path / "web" / "garden.ics").read_bytes())
