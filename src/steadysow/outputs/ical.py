"""The calendar file that phones subscribe to, and the file of tasks beside it.

Takes a garden, its plan and chores, and the state of the last calendar; returns the bytes of the new calendar and its
state (RFC 5545, RFC 7986).  A chore keeps its identity from plan to plan.  Its revision number only rises.  An event
keeps its bytes until something in it changes.  A calendar is only replaced by one that reads back whole: a subscriber
takes a broken calendar for an empty one, and deletes everything.
"""

from __future__ import annotations

import hashlib
import json
import re
import uuid
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from typing import Literal, NamedTuple

from icalendar import Alarm, Calendar, Event, Todo, vDuration, vText

from steadysow.chores.chore import Chore
from steadysow.files import replace_file
from steadysow.inputs.garden import Garden
from steadysow.outputs.calendar_state import (
    CALENDAR_NAME,
    STATE_NAME,
    CalendarState,
    Revision,
    read_state,
    write_state,
)
from steadysow.outputs.entries import Entry, event_entries, fit, task_entries
from steadysow.plan.plan import Plan

# Without the version of the program: an update alone must not change the file.
_PRODUCT = "-//steadysow//steadysow//EN"
# How often a subscriber is asked to look for news; most keep their own pace.
_REFRESH = timedelta(hours=6)

# A new sequence starts at the number of seconds since this day, and each change adds one.  Nothing changes more often
# than once a second for long.  So if the state and the calendar are lost, a new sequence still starts above all that
# was ever published.  The day is fixed, since a garden file may change when the garden began.  The number fits the 32
# bits of RFC 5545 until 2094.
_COUNTED_FROM = datetime(2026, 1, 1, tzinfo=UTC)

# Raise it whenever events are written in a new form, so that no event keeps the bytes of the old one.
_FORM = 2

_Component = Literal["VEVENT", "VTODO"]
_END = b"END:VCALENDAR\r\n"
_STAMPS = re.compile(rb"\r\n(SEQUENCE|CREATED|LAST-MODIFIED):([0-9TZ]+)(?=\r\n)")


class _FilePart(NamedTuple):
    """The bytes of one event or task in the file."""

    on: date
    uid: str
    block: bytes
    is_new: bool


def calendar_bytes(
    garden: Garden, plan: Plan, chores: Iterable[Chore], state: CalendarState, now: datetime, published: bytes = b""
) -> tuple[bytes, CalendarState]:
    """Give the calendar of a plan, and the state to keep for the next one.

    An event that did not change keeps all its stamps, so equal plans give equal bytes at any time.  An event that
    changed gets the next sequence and `now`.  A dropped event is left out.  Chores that have happened get a mark, and
    are left out after 90 days.

    Parameters
    ----------
    garden, plan, chores
        What to publish.  The chores are as listed, not merged.
    state
        The state after the last calendar.
    now
        The moment of writing, with its time zone.
    published
        The last calendar.  Unchanged events are copied from it, which saves time.  If the state was lost, or is an old
        copy, the revisions go on from this calendar.

    Raises
    ------
    RuntimeError
        If the new calendar does not read back whole.
    """
    entries = event_entries(garden, plan, chores)
    content, revisions = _file(garden, plan, "VEVENT", entries, state.revisions, now, published)
    return content, replace(state, revisions=revisions)


def task_bytes(
    garden: Garden, plan: Plan, chores: Iterable[Chore], state: CalendarState, now: datetime, published: bytes = b""
) -> tuple[bytes, CalendarState]:
    """Give the file of tasks and the state, with a task for each chore; see `calendar_bytes`."""
    entries = task_entries(garden, plan, chores)
    content, revisions = _file(garden, plan, "VTODO", entries, state.tasks, now, published)
    return content, replace(state, tasks=revisions)


def write_calendar(
    target: Path, garden: Garden, plan: Plan, chores: Iterable[Chore], *, now: datetime, state_file: Path | None = None
) -> bool:
    """Write the calendar and the tasks beside it, if they changed, and say whether they did.

    The file of tasks is named after the calendar.  It is deleted if the garden wants no tasks any more.

    Parameters
    ----------
    target
        The calendar file, or the folder that holds ``calendar.ics``.
    garden, plan, chores, now
        See `calendar_bytes`.
    state_file
        The file of the state.  Without it, the state is kept beside the calendar.

    Raises
    ------
    InputFaults
        If the state file cannot be read, or a file cannot be written.  The old file then stays.
    RuntimeError
        If the new calendar does not read back whole.  All files then stay.
    """
    file = (target / CALENDAR_NAME if target.is_dir() else target).resolve()
    tasks_file = file.with_name(f"{file.stem}-tasks.ics")
    state_file = file.with_name(STATE_NAME) if state_file is None else state_file
    chores, state = tuple(chores), read_state(state_file)
    old = {path: path.read_bytes() if path.is_file() else b"" for path in (file, tasks_file)}
    new = {}
    new[file], state = calendar_bytes(garden, plan, chores, state, now, old[file])
    if garden.calendar.tasks:
        new[tasks_file], state = task_bytes(garden, plan, chores, state, now, old[tasks_file])
    # The state is written first: if the power fails in between, the next calendar still has these revisions.
    # The secret is read again: if another command has made a new address meanwhile, the old one must not come back.
    write_state(state_file, replace(state, secret=read_state(state_file).secret))
    changed = [path for path, content in new.items() if content != old[path]]
    for path in changed:
        replace_file(path, new[path])
    # Old tasks would stay on every phone.  A file of somebody else is left alone.
    if tasks_file not in new and old[tasks_file] and is_ours(old[tasks_file]):
        tasks_file.unlink()
    return bool(changed)


def is_ours(content: bytes) -> bool:
    """Say whether a file is a calendar of ours, or empty."""
    return not content or f"\r\nPRODID:{_PRODUCT}\r\n".encode() in content


# Revisions.


def _revised(key: str, content: str, last: Revision | None, published: bytes, moment: datetime) -> Revision:
    """Give the new revision of an event, or the last one if nothing changed.

    Parameters
    ----------
    key, content
        The key of the event, and the hash of its present content.
    last
        The last revision, from the state.
    published
        The event's bytes in the last calendar.  They count if they are newer than the state.
    moment
        The moment of writing (UTC, whole seconds).
    """
    before = [revision for revision in (last, _revision_in(published)) if revision is not None]
    sequence = max((revision.sequence for revision in before), default=-1)
    modified = max((revision.last_modified for revision in before), default=moment)
    if last is None:
        sequence = max(sequence, int((moment - _COUNTED_FROM).total_seconds()) - 1)
    elif (last.content, last.sequence, last.last_modified) == (content, sequence, modified):
        return last
    return Revision(
        key=key,
        content=content,
        sequence=sequence + 1,
        created=min((revision.created for revision in before), default=moment),
        # If the clock was set back, the stamp of the event must not move back.
        last_modified=max(moment, modified),
    )


def _content(entry: Entry) -> str:
    """Give a hash of everything that a subscriber sees, the same on every machine."""
    alarm = entry.alarm and entry.alarm.isoformat()
    texts = (entry.summary, entry.description, entry.location, entry.categories)
    return _hash(json.dumps((_FORM, entry.key, entry.on.isoformat(), *texts, alarm, entry.is_done)).encode())


def _revision_in(block: bytes) -> Revision | None:
    """Give the revision that the bytes of a published event hold, or ``None`` if they hold none."""
    stamps = dict(_STAMPS.findall(block))
    try:
        modified = _moment_of(stamps[b"LAST-MODIFIED"])
        created = _moment_of(stamps[b"CREATED"]) if b"CREATED" in stamps else modified
        return Revision(
            key="", content="", sequence=int(stamps.get(b"SEQUENCE", -1)), created=created, last_modified=modified
        )
    except (KeyError, ValueError):
        return None


def _moment_of(text: bytes) -> datetime:
    return datetime.strptime(text.decode(), "%Y%m%dT%H%M%S%z")


def _hash(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()[:32]


# iCalendar.


def _file(
    garden: Garden,
    plan: Plan,
    component: _Component,
    entries: Sequence[Entry],
    revisions: Iterable[Revision],
    now: datetime,
    published: bytes,
) -> tuple[bytes, tuple[Revision, ...]]:
    """Give the bytes of a file and its revisions; unchanged events are copied from the published file."""
    moment = now.astimezone(UTC).replace(microsecond=0)
    known = {revision.key: revision for revision in revisions}
    published_head, blocks = _cut(published, component)
    space = uuid.UUID(plan.uuid)
    if component == "VTODO":
        space = uuid.uuid5(space, "tasks")
    parts = []
    for entry in entries:
        uid, content, last = str(uuid.uuid5(space, entry.key)), _content(entry), known.get(entry.key)
        block = blocks.get(uid.encode(), b"")
        is_new = last is None or last.content != content or last.written != _hash(block)
        if is_new:
            revision = _revised(entry.key, content, last, block, moment)
            block = (_event if component == "VEVENT" else _todo)(entry, uid, revision).to_ical()
            known[entry.key] = replace(revision, written=_hash(block))
        parts.append(_FilePart(entry.on, uid, block, is_new))
    parts.sort()
    written = [known[entry.key].written for entry in entries]
    seen = json.dumps((_FORM, garden.name, garden.calendar.color, sorted(written)))
    known[""] = _revised("", _hash(seen.encode()), known.get(""), published_head, moment)
    head = _head(garden, str(space), known[""].last_modified, component)
    whole = b"".join((head, *(part.block for part in parts), _END))
    _check(whole, head, parts, component)
    return whole, tuple(known[key] for key in sorted(known))


def _cut(published: bytes, component: _Component) -> tuple[bytes, dict[bytes, bytes]]:
    """Cut a calendar into its head and its events by UID.

    No text in it can look like the beginning of an event: line breaks in texts are escaped, and a folded line begins
    with a space.
    """
    begin = f"BEGIN:{component}\r\n".encode()
    head, *rest = published.removesuffix(_END).removesuffix(b"\r\n").split(b"\r\n" + begin)
    blocks = {}
    for part in rest:
        block = begin + part + b"\r\n"
        at = block.find(b"\r\nUID:") + 6
        blocks[block[at : block.find(b"\r\n", at)]] = block
    return head + b"\r\n", blocks


def _head(garden: Garden, uid: str, last_modified: datetime, component: _Component) -> bytes:
    """Give the head of a calendar: everything before its events."""
    name = vText(fit(garden.name + (": tasks" if component == "VTODO" else "")))
    calendar = Calendar()
    calendar.add("version", "2.0")
    calendar.add("prodid", _PRODUCT)
    calendar.add("calscale", "GREGORIAN")
    calendar.add("uid", uid)
    calendar.add("last-modified", last_modified)
    calendar.add("name", name)
    calendar.add("x-wr-calname", name)
    if garden.calendar.color:
        calendar.add("color", garden.calendar.color)
    calendar.add("refresh-interval", _REFRESH, parameters={"VALUE": "DURATION"})
    calendar.add("x-published-ttl", vDuration(_REFRESH))
    whole: bytes = calendar.to_ical()
    return whole.removesuffix(_END)


def _event(entry: Entry, uid: str, revision: Revision) -> Event:
    event = Event()
    event.add("dtstart", entry.on)
    event.add("dtend", entry.on + timedelta(days=1))
    event.add("transp", "TRANSPARENT")
    event.add("status", "CONFIRMED")
    _add_common(event, entry, uid, revision)
    if entry.alarm is not None:
        event.add_component(_alarm(entry.summary, entry.alarm))
    return event


def _todo(entry: Entry, uid: str, revision: Revision) -> Todo:
    todo = Todo()
    todo.add("due", entry.on)
    todo.add("status", "COMPLETED" if entry.is_done else "NEEDS-ACTION")
    if entry.is_done:
        # Only the day is known.  Noon in London is on that day nearly everywhere.
        todo.add("completed", datetime.combine(entry.on, time(12), UTC))
    _add_common(todo, entry, uid, revision)
    return todo


def _add_common(component: Event | Todo, entry: Entry, uid: str, revision: Revision) -> None:
    """Add the properties that events and tasks have in common."""
    component.add("uid", uid)
    component.add("summary", entry.summary)
    # In a calendar without METHOD, the stamp is that of the last revision, not of the writing (RFC 5545, 3.8.7.2).
    component.add("dtstamp", revision.last_modified)
    component.add("last-modified", revision.last_modified)
    component.add("created", revision.created)
    component.add("sequence", revision.sequence)
    for name, text in (("description", entry.description), ("location", entry.location)):
        if text:
            component.add(name, text)
    if entry.categories:
        component.add("categories", list(entry.categories))


def _alarm(text: str, at: time) -> Alarm:
    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", text)
    alarm.add("trigger", timedelta(hours=at.hour, minutes=at.minute))
    return alarm


# The check.


def _check(whole: bytes, head: bytes, parts: Sequence[_FilePart], component: _Component) -> None:
    """Refuse a calendar that does not read back whole.

    The library must read back the head and all new events, each with its UID and day, and must write the same bytes
    again.  Copied events are not read again: `_file` only copies bytes with the hash that was noted when they passed
    this check.  In the whole calendar, the number of events that begin and end must be right, and no UID may occur
    twice.  Tests prove that other programs read the same.

    Raises
    ------
    RuntimeError
        If the calendar does not read back whole.
    """
    new = [part for part in parts if part.is_new]
    anew = b"".join((head, *(part.block for part in new), _END))
    day = "dtstart" if component == "VEVENT" else "due"
    try:
        read = Calendar.from_ical(anew)
        seen = [(each.decoded(day), str(each["uid"])) for each in read.walk(component)]
        is_same = read.to_ical() == anew and seen == [(part.on, part.uid) for part in new]
    except (ValueError, KeyError) as error:
        raise RuntimeError(f"the calendar does not read back, and the last one is left as it was: {error}") from error
    edges = [whole.count(f"\r\n{edge}:{component}\r\n".encode()) for edge in ("BEGIN", "END")]
    if not is_same or edges != [len(parts)] * 2 or len({part.uid for part in parts}) != len(parts) or not parts:
        raise RuntimeError("the calendar does not read back with all its events, and the last one is left as it was")
