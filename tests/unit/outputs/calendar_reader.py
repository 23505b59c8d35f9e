"""A strict reader of calendars, which shares nothing with the library that writes them, and the moments of the tests.

The rules are those of RFC 5545 and RFC 7986.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

NOW = datetime(2026, 10, 3, 7, 30, 15, 123456, tzinfo=UTC)
LATER = NOW + timedelta(days=2)
# Sequences start at the seconds since the new year of 2026: 275 days, 7 hours, 30 minutes and 15 seconds.
BEGUN = ((275 * 24 + 7) * 60 + 30) * 60 + 15
BEGUN_LATER = BEGUN + 2 * 24 * 60 * 60

# Titles that are too long for a phone, and what a phone shows.
SHOWN = {
    "Plant 4 butterhead lettuce into B 1-3, 7": "Plant 4 butterhead lettuce",
    "Harvest 2 whole butterhead lettuce by Fri in B 1-2": "Harvest 2 whole butterhead lettuce",
    "Harvest 2 whole butterhead lettuce in B 3, 7": "Harvest 2 whole butterhead lettuce",
}


@dataclass(frozen=True)
class Component:
    """A component as our own reader sees it: its name, its lines as (name, parameters, raw value), and its parts."""

    name: str
    lines: tuple[tuple[str, str, str], ...]
    inner: tuple[Component, ...]

    def value(self, name: str) -> str:
        """Give the unescaped value of the only line with that name."""
        (raw,) = [raw for line, _, raw in self.lines if line == name]
        return re.sub(r"\\(.)", lambda match: "\n" if match[1] in "nN" else match[1], raw)


def read(content: bytes) -> Component:
    """Read a calendar strictly by RFC 5545, 3.1 and 3.6; fail if it breaks a rule."""
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


def _read_object(name: str, lines: Iterator[str]) -> Component:
    found: list[tuple[str, str, str]] = []
    inner: list[Component] = []
    for line in lines:
        if line == f"END:{name}":
            return Component(name, tuple(found), tuple(inner))
        if line.startswith("BEGIN:"):
            inner.append(_read_object(line.removeprefix("BEGIN:"), lines))
            continue
        match = re.fullmatch(r'([A-Z0-9-]+)((?:;[A-Z0-9-]+=(?:"[^"]*"|[^";:,]*))*):(.*)', line, re.DOTALL)
        assert match, line
        found.append((match[1], match[2], match[3]))
    raise AssertionError(f"END:{name} is missing")


def lint(content: bytes) -> tuple[Component, ...]:
    """Check every rule for the calendar, and give its events."""
    return _lint(content, "VEVENT", ("DTSTART", _lint_event))


def lint_tasks(content: bytes) -> tuple[Component, ...]:
    """Check every rule for the file of tasks, and give its tasks."""
    return _lint(content, "VTODO", ("DUE", _lint_task))


def _lint(content: bytes, name: str, of: tuple[str, Callable[[Component], None]]) -> tuple[Component, ...]:
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


def _lint_revision(event: Component) -> None:
    counts = Counter(name for name, _, _ in event.lines)
    assert set(counts.values()) == {1}
    for name in ("DTSTAMP", "LAST-MODIFIED", "CREATED"):
        assert datetime.strptime(event.value(name), "%Y%m%dT%H%M%SZ")
    assert event.value("DTSTAMP") == event.value("LAST-MODIFIED") >= event.value("CREATED")
    assert 0 <= int(event.value("SEQUENCE")) < 2**31
    for name in ("SUMMARY", "DESCRIPTION", "LOCATION"):
        for _, _, raw in (line for line in event.lines if line[0] == name):
            assert not re.search(r"(?<!\\)(?:\\\\)*[,;]", raw), "commas and semicolons are escaped (RFC 5545, 3.3.11)"


def _lint_event(event: Component) -> None:
    parameters = {name: parameter for name, parameter, _ in event.lines}
    assert (parameters["DTSTART"], parameters["DTEND"]) == (";VALUE=DATE", ";VALUE=DATE")
    starts_on, ends_on = (date.fromisoformat(event.value(name)) for name in ("DTSTART", "DTEND"))
    assert ends_on - starts_on == timedelta(days=1)
    assert (event.value("TRANSP"), event.value("STATUS")) == ("TRANSPARENT", "CONFIRMED")
    for alarm in event.inner:
        assert alarm.name == "VALARM"
        assert {name for name, _, _ in alarm.lines} >= {"ACTION", "TRIGGER", "DESCRIPTION"}


def _lint_task(task: Component) -> None:
    parameters = {name: parameter for name, parameter, _ in task.lines}
    assert parameters["DUE"] == ";VALUE=DATE"
    assert date.fromisoformat(task.value("DUE"))
    # RFC 5545, 3.6.2: not both a day it is due and how long it takes.
    assert "DURATION" not in parameters
    assert task.value("STATUS") in ("NEEDS-ACTION", "COMPLETED")
    assert ("COMPLETED" in parameters) == (task.value("STATUS") == "COMPLETED")
    assert task.inner == ()


def sequences(content: bytes) -> dict[str, int]:
    """Give the sequence of each UID."""
    return {event.value("UID"): int(event.value("SEQUENCE")) for event in lint(content)}
