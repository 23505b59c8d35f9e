"""Five programs that read calendars, none of them ours, and our own lint beside them.

Each takes the octets of a calendar and gives the same: what is wrong with it, and what it would show.  What each shows
is brought to one form, so that all can be compared.
"""

from __future__ import annotations

import json
import re
import subprocess
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from pathlib import Path
from threading import Timer
from typing import Any

import icalendar
import recurring_ical_events
import vobject

from clients.lint import Part, complaints, parse, unescaped

HERE = Path(__file__).parent


@dataclass(frozen=True, slots=True, kw_only=True, order=True)
class Seen:
    """An event or a task as a reader shows it.

    Attributes
    ----------
    start, end
        As in the file: ``20261003``.  The end of a task is the day it is due.
    alarm
        Seconds from its start, or none [s].
    """

    start: str
    uid: str
    kind: str
    end: str
    summary: str
    description: str
    location: str
    categories: tuple[str, ...]
    sequence: int
    status: str
    alarm: int | None


@dataclass(frozen=True, slots=True)
class Reading:
    """What a reader complains of, and what it shows, in the order of day and UID."""

    complaints: tuple[str, ...]
    seen: tuple[Seen, ...]


Read = Callable[[bytes], Reading]


@contextmanager
def all_readers(clients: Path, build: Path) -> Iterator[dict[str, Read]]:
    """Give every reader by name; two of them are processes, which run for as long as they are needed.

    Parameters
    ----------
    clients
        Where the calendar software is.
    build
        A folder for a program that has to be compiled.
    """
    library = clients / "node_modules" / "ical.js" / "dist" / "ical.js"
    program = build / "read_with_libical"
    flags = subprocess.run(["pkg-config", "--cflags", "--libs", "libical"], check=True, capture_output=True, text=True)
    compiler = ("gcc", "-O1", "-Wall", "-Wextra", "-Werror")
    source = str(HERE / "read_with_libical.c")
    subprocess.run([*compiler, "-o", str(program), source, *flags.stdout.split()], check=True)
    with (
        Program("node", str(HERE / "read_with_ical_js.mjs"), str(library)) as ical_js,
        Program(str(program)) as libical,
    ):
        yield {
            "lint": read_by_lint,
            "icalendar": _caught(_read_by_icalendar),
            "recurring-ical-events": _caught(_read_by_recurring_ical_events),
            "vobject": _caught(_read_by_vobject),
            "ical.js": ical_js.read,
            "libical": libical.read,
        }


class Program:
    """A program that reads one calendar after the other, and is started anew if it dies.

    Parameters
    ----------
    command
        How it is started.
    seconds
        How long it may take for one calendar [s].
    """

    def __init__(self, *command: str, seconds: float = 30.0) -> None:
        self._command = command
        self._seconds = seconds
        self._process = self._start()

    def _start(self) -> subprocess.Popen[bytes]:
        return subprocess.Popen(self._command, stdin=subprocess.PIPE, stdout=subprocess.PIPE)

    def __enter__(self) -> Program:
        return self

    def __exit__(self, *_: object) -> None:
        self._stop()

    def _stop(self) -> int:
        """End it, by the end of its input or, if it does not take that, by force; give its status."""
        with self._process as process, suppress(BrokenPipeError):
            assert process.stdin is not None
            process.stdin.close()
            try:
                process.wait(timeout=self._seconds)
            except subprocess.TimeoutExpired:
                process.kill()
        return process.returncode

    def read(self, content: bytes) -> Reading:
        """Have a calendar read."""
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        watch = Timer(self._seconds, self._process.kill)
        watch.start()
        # If it is dead already, it gives no answer either.
        with suppress(BrokenPipeError):
            self._process.stdin.write(len(content).to_bytes(4, "big") + content)
            self._process.stdin.flush()
        answer = self._process.stdout.readline()
        watch.cancel()
        if not answer:
            status = self._stop()
            self._process = self._start()
            return Reading((f"the reader died with status {status}",), ())
        told = json.loads(answer.decode("utf-8", errors="surrogateescape"))
        seen = (Seen(**{**each, "categories": tuple(each["categories"])}) for each in told["seen"])
        return _reading(told["complaints"], seen)


def read_by_lint(content: bytes) -> Reading:
    """Read by our own lint; what is faulty is not read."""
    if told := complaints(content):
        return _reading(told, ())
    return _reading((), (_seen_by_lint(part) for part in parse(content).inner if part.name in _SHOWN))


_SHOWN = ("VEVENT", "VTODO")


def _seen_by_lint(part: Part) -> Seen:
    categories = part.find("CATEGORIES")
    alarm = next((inner for inner in part.inner if inner.name == "VALARM"), None)
    return Seen(
        start=part.text("DTSTART"),
        uid=part.text("UID"),
        kind=part.name,
        end=part.text("DTEND") or part.text("DUE"),
        summary=part.text("SUMMARY"),
        description=part.text("DESCRIPTION"),
        location=part.text("LOCATION"),
        categories=tuple(map(unescaped, re.findall(r"(?:[^,\\]|\\.)+", categories.value))) if categories else (),
        sequence=int(part.text("SEQUENCE") or 0),
        status=part.text("STATUS"),
        alarm=_seconds(alarm.text("TRIGGER")) if alarm else None,
    )


def _seconds(duration: str) -> int:
    """Give the seconds of a duration such as ``-PT6H``."""
    units = {"W": 604800, "D": 86400, "H": 3600, "M": 60, "S": 1}
    seconds = sum(int(count) * units[unit] for count, unit in re.findall(r"(\d+)([WDHMS])", duration))
    return -seconds if duration.startswith("-") else seconds


def _read_by_icalendar(content: bytes) -> Reading:
    calendar = icalendar.Calendar.from_ical(content)
    told = [f"{name}: {fault}" for part in calendar.walk() for name, fault in part.errors]
    shown = [part for part in calendar.walk() if part.name in _SHOWN]
    # To be asked for its start and end, an event has to have them, in this order.
    events: list[Any] = [part for part in shown if part.name == "VEVENT"]
    told += [f"{part.start} to {part.end}" for part in events if part.start >= part.end]
    if calendar.to_ical() != content:
        told.append("it is not written as it was read")
    return _reading(told, (_seen_by_icalendar(part) for part in shown))


def _read_by_recurring_ical_events(content: bytes) -> Reading:
    query = recurring_ical_events.of(icalendar.Calendar.from_ical(content), components=_SHOWN)
    shown = (_seen_by_icalendar(part) for part in query.between((2000, 1, 1), (2100, 1, 1)))
    # A task that is only due is shown as one that starts on that day.
    is_due = (replace(each, start="") if each.kind == "VTODO" and each.start == each.end else each for each in shown)
    return _reading((), is_due)


def _seen_by_icalendar(part: Any) -> Seen:
    def raw(name: str) -> str:
        return str(part[name].to_ical().decode()) if name in part else ""

    alarm = next((inner for inner in part.subcomponents if inner.name == "VALARM"), None)
    return Seen(
        start=raw("DTSTART"),
        uid=str(part.get("UID", "")),
        kind=str(part.name),
        end=raw("DTEND") or raw("DUE"),
        summary=str(part.get("SUMMARY", "")),
        description=str(part.get("DESCRIPTION", "")),
        location=str(part.get("LOCATION", "")),
        categories=tuple(str(each) for each in part["CATEGORIES"].cats) if "CATEGORIES" in part else (),
        sequence=int(part.get("SEQUENCE", 0)),
        status=str(part.get("STATUS", "")),
        alarm=None if alarm is None else int(alarm["TRIGGER"].dt.total_seconds()),
    )


def _read_by_vobject(content: bytes) -> Reading:
    calendar = vobject.readOne(content.decode("utf-8", errors="strict"))
    calendar.validate(raiseException=True)
    calendar.serialize()
    shown = [part for name in _SHOWN for part in calendar.contents.get(name.lower(), ())]
    for part in shown:
        # A rule is read when it is asked for, and its fault raised.
        part.getrruleset()
    return _reading((), (_seen_by_vobject(part) for part in shown))


def _seen_by_vobject(part: Any) -> Seen:
    def value(name: str, missing: Any = "") -> Any:
        return part.getChildValue(name, missing)

    def day(name: str) -> str:
        return value(name).strftime("%Y%m%d") if value(name) else ""

    alarm = next(iter(part.contents.get("valarm", ())), None)
    return Seen(
        start=day("dtstart"),
        uid=value("uid"),
        kind=part.name,
        end=day("dtend") or day("due"),
        summary=value("summary"),
        description=value("description"),
        location=value("location"),
        categories=tuple(value("categories", ())),
        sequence=int(value("sequence", 0)),
        status=value("status"),
        alarm=None if alarm is None else int(alarm.trigger.value.total_seconds()),
    )


def _reading(told: Iterable[object], seen: Iterable[Seen]) -> Reading:
    return Reading(tuple(str(each) for each in told), tuple(sorted(seen)))


def _caught(read: Read) -> Read:
    """Take whatever a reader raises for its complaint."""

    def read_or_complain(content: bytes) -> Reading:
        try:
            return read(content)
        except Exception as error:
            return Reading((f"{type(error).__name__}: {error}",), ())

    return read_or_complain
