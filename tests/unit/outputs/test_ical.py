"""The calendar file: identity that lasts, revisions that only rise, and a structure every client can read.

The expected structure is that of RFC 5545 and RFC 7986; it is checked by a reader of our own that shares nothing with
the library that wrote the file.
"""

import re
import uuid
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta, timezone
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from icalendar import Calendar

from steadysow.chores import Chore, list_chores
from steadysow.errors import InputFaults
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import CalendarStyle, Garden
from steadysow.outputs import ical
from steadysow.outputs.ical import CalendarState, calendar_bytes, read_state, write_calendar, write_state
from steadysow.planning.plan import Plan

NOW = datetime(2026, 10, 3, 7, 30, 15, 123456, tzinfo=UTC)
LATER = NOW + timedelta(days=2)


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
    """Check every rule that the feed keeps, and give its events."""
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
    assert {event.name for event in events} == {"VEVENT"}
    uids = [event.value("UID") for event in events]
    assert len(set(uids)) == len(uids)
    assert all(re.fullmatch(r"[A-Za-z0-9-]{1,254}", uid) for uid in uids)
    for event in events:
        _lint_event(event)
    assert [(event.value("DTSTART"), event.value("UID")) for event in events] == sorted(
        (event.value("DTSTART"), event.value("UID")) for event in events
    )
    assert calendar.value("LAST-MODIFIED") == max(event.value("LAST-MODIFIED") for event in events)
    return events


def _lint_event(event: Published) -> None:
    counts = Counter(name for name, _, _ in event.lines)
    assert set(counts.values()) == {1}
    parameters = {name: parameter for name, parameter, _ in event.lines}
    assert (parameters["DTSTART"], parameters["DTEND"]) == (";VALUE=DATE", ";VALUE=DATE")
    starts_on, ends_on = (date.fromisoformat(event.value(name)) for name in ("DTSTART", "DTEND"))
    assert ends_on - starts_on == timedelta(days=1)
    for name in ("DTSTAMP", "LAST-MODIFIED", "CREATED"):
        assert datetime.strptime(event.value(name), "%Y%m%dT%H%M%SZ")
    assert event.value("DTSTAMP") == event.value("LAST-MODIFIED") >= event.value("CREATED")
    assert int(event.value("SEQUENCE")) >= 0
    assert (event.value("TRANSP"), event.value("STATUS")) == ("TRANSPARENT", "CONFIRMED")
    for name in ("SUMMARY", "DESCRIPTION", "LOCATION"):
        for _, _, raw in (line for line in event.lines if line[0] == name):
            assert not re.search(r"(?<!\\)(?:\\\\)*[,;]", raw), "commas and semicolons are escaped (RFC 5545, 3.3.11)"
    for alarm in event.inner:
        assert alarm.name == "VALARM"
        assert {name for name, _, _ in alarm.lines} >= {"ACTION", "TRIGGER", "DESCRIPTION"}


@pytest.fixture
def chores(garden: Garden, crops: Mapping[str, Crop], plan: Plan) -> tuple[Chore, ...]:
    """Give the chores of the plan made by hand."""
    return list_chores(garden, crops, plan)


def test_feed_keeps_every_rule(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """Our own reader finds one legal event a chore, with the day and title of the chore."""
    content, _ = calendar_bytes(garden, plan, chores, CalendarState(), NOW)
    events = lint(content)
    assert sorted((date.fromisoformat(event.value("DTSTART")), event.value("SUMMARY")) for event in events) == sorted(
        (chore.on, chore.title) for chore in chores
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
    assert sorted(read_back) == sorted((chore.on, chore.title) for chore in chores)


def test_recurring_ical_events_sees_every_chore(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """The recurring-ical-events library, where it is installed, shows each day's chores on that day and no other."""
    recurring_ical_events = pytest.importorskip("recurring_ical_events")
    content, _ = calendar_bytes(garden, plan, chores, CalendarState(), NOW)
    query = recurring_ical_events.of(Calendar.from_ical(content))
    days = [plan.from_on + timedelta(days=number) for number in range(70)]
    seen = [(day, str(event["summary"])) for day in days for event in query.at(day)]
    assert sorted(seen) == sorted((chore.on, chore.title) for chore in chores)


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
    assert (before[changed].value("SEQUENCE"), after[changed].value("SEQUENCE")) == ("0", "1")
    assert after[changed].value("CREATED") == before[changed].value("CREATED") == "20261003T073015Z"
    assert after[changed].value("DTSTAMP") == "20261005T073015Z"


@pytest.mark.parametrize("field", ["title", "detail", "tote"])
def test_any_visible_change_is_a_revision(garden: Garden, plan: Plan, chores: tuple[Chore, ...], field: str) -> None:
    """Title, text and place are seen, so a change of each bumps the sequence."""
    _, state = calendar_bytes(garden, plan, chores[:1], CalendarState(), NOW)
    new: dict[str, object] = {field: ("new",) if field == "detail" else "new"}
    content, _ = calendar_bytes(garden, plan, (replace(chores[0], **new),), state, LATER)  # type: ignore[arg-type]
    assert lint(content)[0].value("SEQUENCE") == "1"


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
    assert [event.value("SEQUENCE") for event in lint(back) if event.value("UID") == uid] == ["2"]


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
    assert (event.value("CATEGORIES"), event.value("LOCATION")) == ("Harvest", "Tote A")


def test_daily_events_go_by_their_day(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """With one event a day, there are as many events as days with work, and each names every chore of its day."""
    garden = replace(garden, calendar=CalendarStyle(detail="daily"))
    events = lint(calendar_bytes(garden, plan, chores, CalendarState(), NOW)[0])
    days = [date.fromisoformat(event.value("DTSTART")) for event in events]
    assert days == sorted({chore.on for chore in chores})
    busy = events[days.index(date(2026, 11, 28))]
    assert busy.value("SUMMARY") == "3 chores: harvest, clean"
    assert "Take 2 butterhead lettuce by Fri 4 Dec (B 1-2)" in busy.value("DESCRIPTION")
    assert busy.value("UID") == str(uuid.uuid5(uuid.UUID(plan.uuid), "day/2026-11-28"))


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(title=st.text(max_size=120), line=st.text(max_size=300))
def test_any_text_survives(garden: Garden, plan: Plan, chores: tuple[Chore, ...], title: str, line: str) -> None:
    """Whatever a person writes is read back as written, apart from control characters and halves of characters."""
    chore = replace(chores[0], title=title, detail=(line,))
    content, _ = calendar_bytes(garden, plan, (chore,), CalendarState(), NOW)
    (event,) = lint(content)
    kept = re.sub(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff]", "", title)
    assert event.value("SUMMARY") == kept


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


def test_lost_state_never_lowers_a_sequence(
    tmp_path: Path, garden: Garden, plan: Plan, chores: tuple[Chore, ...]
) -> None:
    """When the state is deleted, every event gets a sequence above all those published."""
    write_calendar(tmp_path, garden, plan, chores, now=NOW)
    write_calendar(tmp_path, garden, plan, (replace(chores[0], title="New"), *chores[1:]), now=NOW)
    (tmp_path / "calendar-state.json").unlink()
    write_calendar(tmp_path, garden, plan, chores, now=LATER)
    sequences = [int(event.value("SEQUENCE")) for event in lint((tmp_path / "calendar.ics").read_bytes())]
    assert set(sequences) == {2}


def test_broken_calendar_never_replaces_a_whole_one(
    tmp_path: Path, garden: Garden, plan: Plan, chores: tuple[Chore, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    """If what was made does not read back, the files of the last calendar stay as they are."""
    write_calendar(tmp_path, garden, plan, chores, now=NOW)
    before = {file.name: file.read_bytes() for file in tmp_path.iterdir()}
    doubled = (*chores, replace(chores[0], on=chores[0].on + timedelta(days=1)))
    with pytest.raises(RuntimeError, match="does not read back with all its events"):
        write_calendar(tmp_path, garden, plan, doubled, now=LATER)
    half = ical.calendar_bytes(garden, plan, chores, CalendarState(), NOW)[0][:3000]
    monkeypatch.setattr(ical, "calendar_bytes", lambda *_: (half, CalendarState()))
    with pytest.raises((RuntimeError, ValueError), match="exactly one is required"):
        write_calendar(tmp_path, garden, plan, chores, now=LATER)
    assert {file.name: file.read_bytes() for file in tmp_path.iterdir()} == before


def test_library_that_reads_otherwise_is_noticed(
    tmp_path: Path, garden: Garden, plan: Plan, chores: tuple[Chore, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A calendar that does not come back byte for byte is not written."""
    content = ical.calendar_bytes(garden, plan, chores, CalendarState(), NOW)[0]
    unfolded = content.replace(b"\r\n ", b"")
    assert unfolded != content
    monkeypatch.setattr(ical, "calendar_bytes", lambda *_: (unfolded, CalendarState()))
    with pytest.raises(RuntimeError, match="does not read back as it was written"):
        write_calendar(tmp_path, garden, plan, chores, now=NOW)
    assert list(tmp_path.iterdir()) == []


def test_something_else_in_the_place_of_the_calendar_is_replaced(
    tmp_path: Path, garden: Garden, plan: Plan, chores: tuple[Chore, ...]
) -> None:
    """A file that is no calendar holds no sequence to stay above."""
    (tmp_path / "calendar.ics").write_bytes(b"not a calendar")
    assert write_calendar(tmp_path, garden, plan, chores, now=NOW)
    assert {event.value("SEQUENCE") for event in lint((tmp_path / "calendar.ics").read_bytes())} == {"0"}


def test_symbolic_link_stays_a_link(tmp_path: Path, garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """A calendar that is a link to a web folder is written where the link points."""
    (tmp_path / "web").mkdir()
    link = tmp_path / "calendar.ics"
    link.symlink_to(tmp_path / "web" / "garden.ics")
    write_calendar(link, garden, plan, chores, now=NOW)
    assert link.is_symlink()
    assert lint((tmp_path / "web" / "garden.ics").read_bytes())
