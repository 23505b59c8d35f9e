"""The calendar file that phones subscribe to.

Takes a garden, its plan and chores, and the state of the last calendar; gives the bytes of the new one and the new
state.  Hides iCalendar (RFC 5545, RFC 7986): identity that lasts, revisions that only rise, and a file that is replaced
only by one that reads back whole, because a subscriber takes a broken calendar for an empty one and deletes everything.
"""

from __future__ import annotations

import hashlib
import json
import os
import unicodedata
import uuid
from collections.abc import Iterable, Iterator
from dataclasses import asdict, dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from itertools import groupby
from pathlib import Path

from icalendar import Alarm, Calendar, Event, vDuration, vText

from steadysow.chores import WORK_ORDER, Chore, Kind, day_text, merge
from steadysow.errors import Fault, InputFaults
from steadysow.inputs.garden import Garden
from steadysow.planning.plan import Plan

CALENDAR_NAME = "calendar.ics"
STATE_NAME = "calendar-state.json"

# Without the version of the program, so that an update of it alone does not change the file.
_PRODUCT = "-//steadysow//steadysow//EN"
# How often a subscriber is asked to look; most keep their own pace.
_REFRESH = timedelta(hours=6)

_CATEGORIES: dict[Kind, str] = {
    "harvest": "Harvest",
    "clear": "Clear",
    "clean": "Clean",
    "transplant": "Transplant",
    "sow": "Sow",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Revision:
    """What was last published of one event.

    Attributes
    ----------
    key
        The lasting key of its chore.
    content
        Hash of everything that a subscriber sees of it.
    sequence
        How often it changed; only rises.
    created, last_modified
        When it was first published, and when it last changed (UTC, whole seconds).
    """

    key: str
    content: str
    sequence: int
    created: datetime
    last_modified: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class CalendarState:
    """What must be remembered between two calendars, kept in ``calendar-state.json``.

    Attributes
    ----------
    revisions
        By key; those of events that were dropped stay, so that an event that returns never moves backwards.
    floor
        The sequence that events unknown to the state start from.
    secret
        The unguessable part of the address that `serve` answers to; empty until it is first served.
    """

    revisions: tuple[Revision, ...] = ()
    floor: int = 0
    secret: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Entry:
    """An event before it has a revision; everything in it is seen by the subscriber."""

    key: str
    on: date
    summary: str
    description: str
    location: str
    categories: tuple[str, ...]
    alarm: time | None

    def content(self) -> str:
        """Give a hash of what is seen, the same on every machine."""
        return hashlib.sha256(json.dumps(asdict(self), default=str).encode()).hexdigest()


def calendar_bytes(
    garden: Garden, plan: Plan, chores: Iterable[Chore], state: CalendarState, now: datetime
) -> tuple[bytes, CalendarState]:
    """Give the calendar of a plan, and the state to keep for the next one.

    An event whose content did not change keeps all its stamps; one that changed gets the next sequence and `now`; one
    that was dropped is left out.  Hence equal plans give equal bytes whatever the time.

    Parameters
    ----------
    garden, plan, chores
        What is published; chores as listed, not merged.
    state
        What the last calendar left behind.
    now
        The moment of writing, with its time zone.
    """
    entries = tuple(_entries(garden, plan, tuple(chores)))
    known = {revision.key: revision for revision in state.revisions}
    known |= {entry.key: _revised(entry, known.get(entry.key), state.floor, now) for entry in entries}
    calendar = _empty_calendar(garden, plan, max(known[entry.key].last_modified for entry in entries))
    events = [_event(entry, known[entry.key], plan) for entry in entries]
    for event in sorted(events, key=lambda event: (event.start, str(event["uid"]))):
        calendar.add_component(event)
    return calendar.to_ical(), replace(state, revisions=tuple(known[key] for key in sorted(known)))


def write_calendar(
    target: Path, garden: Garden, plan: Plan, chores: Iterable[Chore], *, now: datetime, state_file: Path | None = None
) -> bool:
    """Write the calendar where it changed, and say whether it did.

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
        If the state file is not what was written there.
    """
    file = (target / CALENDAR_NAME if target.is_dir() else target).resolve()
    state_file = file.with_name(STATE_NAME) if state_file is None else state_file
    published = file.read_bytes() if file.exists() else None
    state = read_state(state_file)
    if not state.revisions and published is not None:
        state = replace(state, floor=_floor_above(published))
    content, state = calendar_bytes(garden, plan, chores, state, now)
    _check_whole(content)
    # The state goes first: if the power fails between the two, the next calendar still carries these revisions.
    write_state(state_file, state)
    if content == published:
        return False
    _replace_file(file, content)
    return True


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
        revisions = tuple(_revision_of(key, values) for key, values in document["revisions"].items())
        return CalendarState(revisions=revisions, floor=document["floor"], secret=document["secret"])
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
    """Write the state of the calendar, atomically; the file is left alone if nothing changed."""
    document = {
        "version": 1,
        "secret": state.secret,
        "floor": state.floor,
        "revisions": {
            revision.key: {
                "content": revision.content,
                "sequence": revision.sequence,
                "created": revision.created.isoformat(),
                "last_modified": revision.last_modified.isoformat(),
            }
            for revision in state.revisions
        },
    }
    content = (json.dumps(document, indent=1, ensure_ascii=False) + "\n").encode()
    if not file.exists() or file.read_bytes() != content:
        _replace_file(file.resolve(), content)


def _revision_of(key: str, values: dict[str, str | int]) -> Revision:
    return Revision(
        key=key,
        content=str(values["content"]),
        sequence=int(values["sequence"]),
        created=datetime.fromisoformat(str(values["created"])),
        last_modified=datetime.fromisoformat(str(values["last_modified"])),
    )


# What is published.


def _entries(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> Iterator[_Entry]:
    if not chores:
        yield _nothing_planned(garden, plan)
    elif garden.calendar.detail == "daily":
        for on, day in groupby(merge(chores), key=lambda chore: chore.on):
            yield _day_entry(garden, on, tuple(day))
    else:
        for chore in chores:
            yield _chore_entry(garden, chore)


def _chore_entry(garden: Garden, chore: Chore) -> _Entry:
    return _Entry(
        key=chore.key,
        on=chore.on,
        summary=_clean_text(chore.title),
        description=_clean_text("\n".join(chore.detail)),
        location=_clean_text(_location(chore)),
        categories=(_CATEGORIES[chore.kind],),
        alarm=garden.calendar.alarm,
    )


def _location(chore: Chore) -> str:
    if chore.tote:
        return f"Tote {chore.tote}"
    return "Nursery" if chore.kind == "sow" else ""


def _day_entry(garden: Garden, on: date, chores: tuple[Chore, ...]) -> _Entry:
    """Give the one event of a day, which goes by its date and so never moves."""
    kinds = [kind for kind in WORK_ORDER if any(chore.kind == kind for chore in chores)]
    summary = chores[0].title if len(chores) == 1 else f"{len(chores)} chores: {', '.join(kinds)}"
    blocks = ["\n".join((chore.title, *(f"  {line}" for line in chore.detail))) for chore in chores]
    return _Entry(
        key=f"day/{on.isoformat()}",
        on=on,
        summary=_clean_text(summary),
        description=_clean_text("\n".join(blocks)),
        location="",
        categories=tuple(_CATEGORIES[kind] for kind in kinds),
        alarm=garden.calendar.alarm,
    )


def _nothing_planned(garden: Garden, plan: Plan) -> _Entry:
    """Give the event of an empty plan: a calendar without events is not legal, and subscribers take it for a fault."""
    return _Entry(
        key="nothing-planned",
        on=plan.from_on,
        summary="Nothing planned",
        description=_clean_text(f"{garden.name} has no chores up to {day_text(plan.until_on)}."),
        location="",
        categories=(),
        alarm=None,
    )


def _clean_text(text: str) -> str:
    """Leave out control characters, which no calendar may carry, and halves of characters, which have no bytes."""
    return "".join(char for char in text if char in "\n\t" or unicodedata.category(char) not in ("Cc", "Cs"))


def _revised(entry: _Entry, last: Revision | None, floor: int, now: datetime) -> Revision:
    content = entry.content()
    moment = now.astimezone(UTC).replace(microsecond=0)
    if last is None:
        return Revision(key=entry.key, content=content, sequence=floor, created=moment, last_modified=moment)
    if last.content == content:
        return last
    # A clock that was set back must not take the event back with it.
    modified = max(moment, last.last_modified)
    return replace(last, content=content, sequence=last.sequence + 1, last_modified=modified)


# iCalendar.


def _empty_calendar(garden: Garden, plan: Plan, last_modified: datetime) -> Calendar:
    name = vText(_clean_text(garden.name))
    calendar = Calendar()
    calendar.add("version", "2.0")
    calendar.add("prodid", _PRODUCT)
    calendar.add("calscale", "GREGORIAN")
    calendar.add("uid", plan.uuid)
    calendar.add("last-modified", last_modified)
    calendar.add("name", name)
    calendar.add("x-wr-calname", name)
    calendar.add("refresh-interval", _REFRESH, parameters={"VALUE": "DURATION"})
    calendar.add("x-published-ttl", vDuration(_REFRESH))
    return calendar


def _event(entry: _Entry, revision: Revision, plan: Plan) -> Event:
    event = Event()
    event.add("uid", str(uuid.uuid5(uuid.UUID(plan.uuid), entry.key)))
    event.add("dtstart", entry.on)
    event.add("dtend", entry.on + timedelta(days=1))
    event.add("summary", entry.summary)
    # Without a METHOD, the stamp means the last revision and not the moment of writing (RFC 5545, 3.8.7.2).
    event.add("dtstamp", revision.last_modified)
    event.add("last-modified", revision.last_modified)
    event.add("created", revision.created)
    event.add("sequence", revision.sequence)
    event.add("transp", "TRANSPARENT")
    event.add("status", "CONFIRMED")
    for name, text in (("description", entry.description), ("location", entry.location)):
        if text:
            event.add(name, text)
    if entry.categories:
        event.add("categories", list(entry.categories))
    if entry.alarm is not None:
        event.add_component(_alarm(entry.summary, entry.alarm))
    return event


def _alarm(text: str, at: time) -> Alarm:
    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", text)
    alarm.add("trigger", timedelta(hours=at.hour, minutes=at.minute))
    return alarm


def _floor_above(published: bytes) -> int:
    """Give a sequence above all of a published calendar whose state was lost."""
    try:
        events = Calendar.from_ical(published).walk("VEVENT")
    except ValueError:
        return 0
    return max((int(event.get("sequence", 0)) for event in events), default=-1) + 1


def _check_whole(content: bytes) -> None:
    calendar = Calendar.from_ical(content)
    uids = [str(event["uid"]) for event in calendar.walk("VEVENT")]
    if not uids or len(uids) != content.split(b"\r\n").count(b"BEGIN:VEVENT") or len(uids) != len(set(uids)):
        raise RuntimeError("the calendar does not read back with all its events, each of its own UID")
    if calendar.to_ical() != content:
        raise RuntimeError("the calendar does not read back as it was written")


def _replace_file(file: Path, content: bytes) -> None:
    """Replace a file so that a reader sees the old one or the new one, and never a part."""
    fresh = file.with_name(f".{file.name}.new")
    with fresh.open("wb") as stream:
        stream.write(content)
        stream.flush()
        os.fsync(stream.fileno())
    fresh.replace(file)
