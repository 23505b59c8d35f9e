"""What must be remembered between two calendars, kept in ``calendar-state.json``, and the names of the files."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from steadysow.errors import Fault, InputFaults
from steadysow.files import replace_file

CALENDAR_NAME = "calendar.ics"
TASKS_NAME = "calendar-tasks.ics"
STATE_NAME = "calendar-state.json"

# The state holds the secret of `serve`.
_OWNER_ONLY = 0o600


@dataclass(frozen=True, slots=True, kw_only=True)
class Revision:
    """The last published version of an event, of a task, or of the calendar itself.

    Attributes
    ----------
    key
        The lasting key of the chore.  Empty for the calendar itself.
    content
        Hash of everything that a subscriber sees.
    sequence
        A number that rises with every change.
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
    """What must be remembered between two calendars.

    Attributes
    ----------
    revisions, tasks
        Revisions of the events and of the tasks, ordered by key.  They stay after a chore was dropped, so that its
        sequence never falls if it returns.
    secret
        The secret part of the address that `serve` answers to.  Empty until the calendar is first served.
    """

    revisions: tuple[Revision, ...] = ()
    tasks: tuple[Revision, ...] = ()
    secret: str = ""


def read_state(file: Path) -> CalendarState:
    """Read the state of the calendar; a missing file is an empty state.

    Raises
    ------
    InputFaults
        If `write_state` did not write the file.
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
            wrong="it cannot be read as the state of a calendar",
            write="Delete it. Chores keep their place in the calendar, but a served calendar gets a new address",
        )
        raise InputFaults((fault,)) from error


def write_state(file: Path, state: CalendarState) -> None:
    """Write the state of the calendar in one step, if it changed.  Only the owner may read it."""
    content = (
        f'{{"version": 2, "secret": {json.dumps(state.secret)},\n'
        f'"revisions": {_rows(state.revisions)},\n"tasks": {_rows(state.tasks)}}}\n'
    ).encode()
    if not file.exists() or file.read_bytes() != content:
        replace_file(file.resolve(), content, rights=_OWNER_ONLY)


def _rows(revisions: Iterable[Revision]) -> str:
    """Give revisions as JSON, each on its own line."""
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
        # Files of version 1 lack it, so their events are written again.
        written=str(values.get("written", "")),
    )
