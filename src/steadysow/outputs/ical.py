"""The calendar file that phones subscribe to, and the file of tasks beside it.

Takes a garden, its plan and chores, and the state of the last calendar; gives the bytes of the new one and the new
state.  Hides iCalendar (RFC 5545, RFC 7986): identity that lasts, revisions that only rise, events that keep their
bytes while nothing of them changes, and a file that is replaced only by one that reads back whole, because a subscriber
takes a broken calendar for an empty one and deletes everything.
"""

from __future__ import annotations

import hashlib
import json
import re
import uuid
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from typing import Literal, NamedTuple

from icalendar import Alarm, Calendar, Event, Todo, vDuration, vText

from steadysow.chores.chore import Chore
from steadysow.errors import Fault, InputFaults
from steadysow.files import replace_file
from steadysow.inputs.garden import Garden
from steadysow.outputs.entries import Entry, event_entries, fit, task_entries
from steadysow.plan.plan import Plan

CALENDAR_NAME = "calendar.ics"
TASKS_NAME = "calendar-tasks.ics"
STATE_NAME = "calendar-state.json"
# The state holds the secret of `serve`.
_OWNER_ONLY = 0o600

# Without the version of the program, so that an update of it alone does not change the file.
_PRODUCT = "-//steadysow//steadysow//EN"
# How often a subscriber is asked to look; most keep their own pace.
_REFRESH = timedelta(hours=6)

# A sequence that the state does not know begins at the seconds since this day, and each change adds one.  Nothing is
# changed more often than once a second for long, so what begins anew, after the state and the calendar were lost, or
# the last calendar went to a place that we do not know, lies above all that was ever published.  The day is fixed,
# since a garden file may change when the garden began.  The number fits the 32 bits of RFC 5545 until 2094.
_COUNTED_FROM = datetime(2026, 1, 1, tzinfo=UTC)

# To be raised whenever events are written otherwise than before, so that none keeps the bytes of the old form.
_FORM = 2

_Component = Literal["VEVENT", "VTODO"]
_END = b"END:VCALENDAR\r\n"
_TOLD = re.compile(rb"\r\n(SEQUENCE|CREATED|LAST-MODIFIED):([0-9TZ]+)(?=\r\n)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Revision:
    """What was last published of an event, or of the calendar itself.

    Attributes
    ----------
    key
        The lasting key of its chore; empty for the calendar itself.
    content
        Hash of everything that a subscriber sees of it.
    sequence
        Rises with every change.
    created, last_modified
        When it was first published, and when it last changed (UTC, whole seconds).
    written
        Hash of its bytes, as they were read back when they were written.
    """

    key: str
    content: str
    sequence: int
    created: datetime
    last_modified: datetime
    written: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CalendarState:
    """What must be remembered between two calendars, kept in ``calendar-state.json``.

    Attributes
    ----------
    revisions, tasks
        By key, of the events and of the tasks; those that were dropped stay, so that one that returns never moves
        backwards.
    secret
        The unguessable part of the address that `serve` answers to; empty until it is first served.
    """

    revisions: tuple[Revision, ...] = ()
    tasks: tuple[Revision, ...] = ()
    secret: str = ""


class _Part(NamedTuple):
    """An event or a task as it stands in the file."""

    on: date
    uid: str
    block: bytes
    is_new: bool


def calendar_bytes(
    garden: Garden, plan: Plan, chores: Iterable[Chore], state: CalendarState, now: datetime, published: bytes = b""
) -> tuple[bytes, CalendarState]:
    """Give the calendar of a plan, and the state to keep for the next one.

    An event whose content did not change keeps all its stamps; one that changed gets the next sequence and `now`; one
    that was dropped is left out.  Hence equal plans give equal bytes whatever the time.  Chores that have happened are
    marked, and left out after 90 days.

    Parameters
    ----------
    garden, plan, chores
        What is published; chores as listed, not merged.
    state
        What the last calendar left behind.
    now
        The moment of writing, with its time zone.
    published
        The last calendar.  It saves time, as what did not change is taken from it; and where it is ahead of the state,
        because that was lost or is an old copy, revisions go on from it.

    Raises
    ------
    RuntimeError
        If what was made does not read back.
    """
    entries = event_entries(garden, plan, chores)
    content, revisions = _file(garden, plan, "VEVENT", entries, state.revisions, now, published)
    return content, replace(state, revisions=revisions)


def task_bytes(
    garden: Garden, plan: Plan, chores: Iterable[Chore], state: CalendarState, now: datetime, published: bytes = b""
) -> tuple[bytes, CalendarState]:
    """Give the file of tasks, one a chore also where events are ``daily``, and the state; see `calendar_bytes`."""
    entries = task_entries(garden, plan, chores)
    content, revisions = _file(garden, plan, "VTODO", entries, state.tasks, now, published)
    return content, replace(state, tasks=revisions)


def write_calendar(
    target: Path, garden: Garden, plan: Plan, chores: Iterable[Chore], *, now: datetime, state_file: Path | None = None
) -> bool:
    """Write the calendar, and its tasks beside it, where they changed, and say whether anything did.

    The file of tasks is named after the calendar.  It is taken away again where the garden wants none.

    Parameters
    ----------
    target
        The calendar file, or the folder that holds ``calendar.ics``.
    garden, plan, chores, now
        See `calendar_bytes`.
    state_file
        Where the state is kept; beside the calendar if not given.

    Raises
    ------
    InputFaults
        If the state file is not what was written there, or a file cannot be written; the old one then stays.
    RuntimeError
        If what was made does not read back; all files then stay.
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
    # The state goes first: if the power fails between the two, the next calendar still carries these revisions.
    # Another command may have made a new address meanwhile; the old one must not come back.
    write_state(state_file, replace(state, secret=read_state(state_file).secret))
    changed = [path for path, content in new.items() if content != old[path]]
    for path in changed:
        replace_file(path, new[path])
    # Tasks that nobody writes any more would stay as they are on every phone; a file of somebody else is left alone.
    if tasks_file not in new and old[tasks_file] and is_ours(old[tasks_file]):
        tasks_file.unlink()
    return bool(changed)


def is_ours(content: bytes) -> bool:
    """Say whether a file is a calendar of ours, or nothing yet."""
    return not content or f"\r\nPRODID:{_PRODUCT}\r\n".encode() in content


def read_state(file: Path) -> CalendarState:
    """Read the state of the calendar; a file that is not there is an empty state.

    Raises
    ------
    InputFaults
        If the file is not what `write_state` wrote.
    """
    if not file.exists():
        return CalendarState()
    try:
        document = json.loads(file.read_text(encoding="utf-8"))
        return CalendarState(
            revisions=tuple(_revision_of(key, values) for key, values in document["revisions"].items()),
            tasks=tuple(_revision_of(key, values) for key, values in document.get("tasks", {}).items()),
            secret=document["secret"],
        )
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        fault = Fault(
            file=file.name,
            line=None,
            field="",
            wrong="it is not a calendar state that can be read",
            write="Delete it; chores keep their place in the calendar, and a served calendar gets a new address",
        )
        raise InputFaults((fault,)) from error


def write_state(file: Path, state: CalendarState) -> None:
    """Write the state of the calendar, atomically, for its owner alone; the file is left alone if nothing changed."""
    content = (
        f'{{"version": 2, "secret": {json.dumps(state.secret)},\n'
        f'"revisions": {_rows(state.revisions)},\n"tasks": {_rows(state.tasks)}}}\n'
    ).encode()
    if not file.exists() or file.read_bytes() != content:
        replace_file(file.resolve(), content, rights=_OWNER_ONLY)


def _rows(revisions: Iterable[Revision]) -> str:
    """Give revisions as JSON, each on a line of its own."""
    rows = (
        json.dumps(revision.key)
        + ": "
        + json.dumps(
            {
                "content": revision.content,
                "sequence": revision.sequence,
                "created": revision.created.isoformat(),
                "last_modified": revision.last_modified.isoformat(),
                "written": revision.written,
            }
        )
        for revision in revisions
    )
    return "{\n" + ",\n".join(rows) + "\n}"


def _revision_of(key: str, values: Mapping[str, str | int]) -> Revision:
    return Revision(
        key=key,
        content=str(values["content"]),
        sequence=int(values["sequence"]),
        created=datetime.fromisoformat(str(values["created"])),
        last_modified=datetime.fromisoformat(str(values["last_modified"])),
        # Not in files of version 1, whose events are written anew.
        written=str(values.get("written", "")),
    )


# Revisions.


def _revised(key: str, content: str, last: Revision | None, published: bytes, moment: datetime) -> Revision:
    """Give the revision of something that may have changed.

    Parameters
    ----------
    key, content
        What it is, and the hash of what it says now.
    last
        What the state knows of it.
    published
        Its bytes in the last calendar, which count where they are ahead of the state.
    moment
        When it is written (UTC, whole seconds).
    """
    before = [revision for revision in (last, _told_by(published)) if revision is not None]
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
        # A clock that was set back must not take the event back with it.
        last_modified=max(moment, modified),
    )


def _content(entry: Entry) -> str:
    """Give a hash of what is seen, the same on every machine."""
    alarm = entry.alarm and entry.alarm.isoformat()
    texts = (entry.summary, entry.description, entry.location, entry.categories)
    return _hash(json.dumps((_FORM, entry.key, entry.on.isoformat(), *texts, alarm, entry.is_done)).encode())


def _told_by(block: bytes) -> Revision | None:
    """Give the revision that a published event tells of itself, or ``None`` where it tells none."""
    told = dict(_TOLD.findall(block))
    try:
        modified = _moment_of(told[b"LAST-MODIFIED"])
        created = _moment_of(told[b"CREATED"]) if b"CREATED" in told else modified
        return Revision(
            key="", content="", sequence=int(told.get(b"SEQUENCE", -1)), created=created, last_modified=modified
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
    """Give the bytes of a file, and the revisions after it: what did not change is copied from what was published."""
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
        parts.append(_Part(entry.on, uid, block, is_new))
    parts.sort()
    written = [known[entry.key].written for entry in entries]
    seen = json.dumps((_FORM, garden.name, garden.calendar.color, sorted(written)))
    known[""] = _revised("", _hash(seen.encode()), known.get(""), published_head, moment)
    head = _head(garden, str(space), known[""].last_modified, component)
    whole = b"".join((head, *(part.block for part in parts), _END))
    _check(whole, head, parts, component)
    return whole, tuple(known[key] for key in sorted(known))


def _cut(published: bytes, component: _Component) -> tuple[bytes, dict[bytes, bytes]]:
    """Cut a calendar into what stands before its events, and its events by UID.

    Text cannot be taken for the beginning of an event: its line breaks are escaped, and a folded line begins with a
    space.
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
    """Give what stands before the events."""
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
    _tell(event, entry, uid, revision)
    if entry.alarm is not None:
        event.add_component(_alarm(entry.summary, entry.alarm))
    return event


def _todo(entry: Entry, uid: str, revision: Revision) -> Todo:
    todo = Todo()
    todo.add("due", entry.on)
    todo.add("status", "COMPLETED" if entry.is_done else "NEEDS-ACTION")
    if entry.is_done:
        # Only the day is known; noon in London is that day nearly everywhere.
        todo.add("completed", datetime.combine(entry.on, time(12), UTC))
    _tell(todo, entry, uid, revision)
    return todo


def _tell(component: Event | Todo, entry: Entry, uid: str, revision: Revision) -> None:
    """Add what events and tasks have in common."""
    component.add("uid", uid)
    component.add("summary", entry.summary)
    # Without a METHOD, the stamp means the last revision and not the moment of writing (RFC 5545, 3.8.7.2).
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


# Whole, or not at all.


def _check(whole: bytes, head: bytes, parts: Sequence[_Part], component: _Component) -> None:
    """Refuse a calendar that does not read back whole.

    What it proves.  Of the head and the events written now: the library reads them back, each with its UID and day, and
    what it read is again the same bytes.  Of events copied from the last calendar: nothing here, but `_file` copies
    only bytes whose hash was noted when they were written and went through this check.  Of the whole: that as many
    events begin and end in it as there are, and no UID is there twice.  That other programs read the same is for tests.

    Raises
    ------
    RuntimeError
        If it does not.
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
