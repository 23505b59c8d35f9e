"""The letter of RFC 5545, checked by octets, lines, objects and values, with nothing but the standard library.

Takes the octets of a calendar; gives what is wrong with it, or what stands in it.  Knows what a garden's calendar may
hold: events, tasks, alarms and time zones.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime

# What an object must have; what it may stand in; what it may have more than once.
_REQUIRED = {
    "VCALENDAR": {"PRODID", "VERSION"},
    "VEVENT": {"UID", "DTSTAMP", "DTSTART"},
    "VTODO": {"UID", "DTSTAMP"},
    "VALARM": {"ACTION", "TRIGGER"},
    "VTIMEZONE": {"TZID"},
    "STANDARD": {"DTSTART", "TZOFFSETFROM", "TZOFFSETTO"},
    "DAYLIGHT": {"DTSTART", "TZOFFSETFROM", "TZOFFSETTO"},
}
_PARENT = {
    "VCALENDAR": {""},
    "VEVENT": {"VCALENDAR"},
    "VTODO": {"VCALENDAR"},
    "VTIMEZONE": {"VCALENDAR"},
    "VALARM": {"VEVENT", "VTODO"},
    "STANDARD": {"VTIMEZONE"},
    "DAYLIGHT": {"VTIMEZONE"},
}
_MAY_REPEAT = {"CATEGORIES", "COMMENT", "ATTENDEE", "CONTACT", "EXDATE", "RDATE", "RELATED-TO", "RESOURCES", "ATTACH"}
_MAY_REPEAT_IN_CALENDAR = {"NAME", "DESCRIPTION"}
_STATUS = {
    "VEVENT": {"TENTATIVE", "CONFIRMED", "CANCELLED"},
    "VTODO": {"NEEDS-ACTION", "COMPLETED", "IN-PROCESS", "CANCELLED"},
}
_TEXTS = {"SUMMARY", "DESCRIPTION", "LOCATION", "COMMENT", "NAME"}
_DATES = {"DTSTART", "DTEND", "DUE", "RECURRENCE-ID"}
_UTC_STAMPS = {"DTSTAMP", "LAST-MODIFIED", "CREATED", "COMPLETED"}
_DURATIONS = {"DURATION", "TRIGGER", "REFRESH-INTERVAL", "X-PUBLISHED-TTL"}
_FREQUENCIES = {"SECONDLY", "MINUTELY", "HOURLY", "DAILY", "WEEKLY", "MONTHLY", "YEARLY"}

_LINE = re.compile(r'([A-Z0-9-]+)((?:;[A-Z0-9-]+=(?:"[^"]*"|[^";:,]*)(?:,(?:"[^"]*"|[^";:,]*))*)*):(.*)', re.DOTALL)
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")
_DURATION = re.compile(r"[+-]?P(\d+W|(?=.)(\d+D)?(T(?=.)(\d+H)?(\d+M)?(\d+S)?)?)")
_TEXT = re.compile(r"(?:[^\\,;]|\\[\\,;nN])*", re.DOTALL)
_ESCAPED = re.compile(r"\\(.)", re.DOTALL)
_LONGEST_LINE = 75


@dataclass(frozen=True, slots=True)
class Line:
    """A line of an object, unfolded: its name, its parameters as written (``;VALUE=DATE``) and its raw value."""

    name: str
    parameters: str
    value: str


@dataclass(slots=True)
class Part:
    """An object of a calendar: its name, its lines, and the objects in it."""

    name: str
    lines: list[Line] = field(default_factory=list)
    inner: list[Part] = field(default_factory=list)

    def find(self, name: str) -> Line | None:
        """Give the first line of that name."""
        return next((line for line in self.lines if line.name == name), None)

    def text(self, name: str) -> str:
        """Give the text of the first line of that name, unescaped; empty if there is none."""
        line = self.find(name)
        return "" if line is None else unescaped(line.value)


def unescaped(value: str) -> str:
    """Give the text that a value of type TEXT stands for."""
    return _ESCAPED.sub(lambda match: "\n" if match[1] in "nN" else match[1], value)


def complaints(content: bytes) -> list[str]:
    """Tell everything that is wrong with a calendar."""
    found = list(_of_octets(content))
    # What is wrong with its lines has been told; they are read as well as they can be.
    lines = content.decode("utf-8", errors="replace").removesuffix("\r\n").replace("\r\n ", "").split("\r\n")
    whole = Part("")
    found += _nest(whole, lines)
    if [part.name for part in whole.inner] != ["VCALENDAR"]:
        return [*found, "it is not one calendar"]
    return found + list(_of_calendar(whole.inner[0]))


def parse(content: bytes) -> Part:
    """Give the one calendar in a file that has no fault."""
    assert complaints(content) == []
    whole = Part("")
    list(_nest(whole, content.decode("utf-8").replace("\r\n ", "").split("\r\n")[:-1]))
    return whole.inner[0]


def _of_octets(content: bytes) -> Iterator[str]:
    if not content.endswith(b"\r\n"):
        yield "it does not end with the end of a line"
    if re.search(rb"(?<!\r)\n|\r(?!\n)", content):
        yield "a line does not end in CR LF"
    for number, line in enumerate(content.split(b"\r\n"), start=1):
        if len(line) > _LONGEST_LINE:
            yield f"line {number} has {len(line)} octets"
        try:
            if _CONTROL.search(line.decode("utf-8")):
                yield f"line {number} has a control character"
        except UnicodeDecodeError:
            yield f"line {number} is not UTF-8 in itself"


def _nest(whole: Part, lines: list[str]) -> Iterator[str]:
    open_parts = [whole]
    for text in lines:
        match = _LINE.fullmatch(text)
        if match is None:
            yield f"{text[:30]!r} is no line of a calendar"
        elif match[1] == "BEGIN":
            part = Part(match[3])
            if open_parts[-1].name not in _PARENT.get(part.name, ()):
                yield f"{part.name} in {open_parts[-1].name or 'nothing'}"
            open_parts[-1].inner.append(part)
            open_parts.append(part)
        elif match[1] == "END":
            if match[3] != open_parts[-1].name:
                yield f"END:{match[3]} where {open_parts[-1].name or 'nothing'} is open"
            if len(open_parts) > 1:
                open_parts.pop()
        else:
            open_parts[-1].lines.append(Line(match[1], match[2], match[3]))
    if len(open_parts) > 1:
        yield f"END:{open_parts[-1].name} is missing"
    if whole.lines:
        yield "a line outside of the calendar"


def _of_calendar(calendar: Part) -> Iterator[str]:
    if not any(part.name in ("VEVENT", "VTODO") for part in calendar.inner):
        yield "an empty calendar"
    if calendar.find("METHOD"):
        yield "a METHOD, which makes an invitation of it"
    uids = Counter(
        (part.text("UID"), part.text("RECURRENCE-ID")) for part in calendar.inner if part.name in ("VEVENT", "VTODO")
    )
    yield from (f"UID {uid} {count} times" for (uid, _), count in uids.items() if count > 1)
    zones = {part.text("TZID") for part in calendar.inner if part.name == "VTIMEZONE"}
    yield from _of_part(calendar, zones)


def _of_part(part: Part, zones: set[str]) -> Iterator[str]:
    counts = Counter(line.name for line in part.lines)
    where = f"{part.name} {part.text('UID')}".strip()
    yield from (f"{where}: no {name}" for name in sorted(_REQUIRED.get(part.name, set()) - set(counts)))
    may_repeat = _MAY_REPEAT_IN_CALENDAR if part.name == "VCALENDAR" else _MAY_REPEAT
    yield from (f"{where}: {name} {n} times" for name, n in counts.items() if n > 1 and name not in may_repeat)
    yield from (f"{where}: {told}" for line in part.lines for told in _of_line(line, part, zones))
    yield from (f"{where}: {told}" for told in _of_span(part))
    if part.name == "VALARM" and part.text("ACTION") == "DISPLAY" and not part.find("DESCRIPTION"):
        yield f"{where}: nothing to display"
    for inner in part.inner:
        yield from _of_part(inner, zones)


def _of_line(line: Line, part: Part, zones: set[str]) -> Iterator[str]:
    if line.name in _DATES:
        yield from _of_date(line, zones)
    elif line.name in _UTC_STAMPS and not _is_time(line.value, "%Y%m%dT%H%M%SZ"):
        yield f"{line.name} {line.value} is no moment in UTC"
    elif line.name in _DURATIONS and not _DURATION.fullmatch(line.value) and "VALUE=DATE-TIME" not in line.parameters:
        yield f"{line.name} {line.value} is no duration"
    elif line.name == "SEQUENCE" and not re.fullmatch(r"\d{1,10}", line.value):
        yield f"SEQUENCE {line.value} is no count"
    elif line.name == "STATUS" and line.value not in _STATUS.get(part.name, ()):
        yield f"STATUS {line.value}"
    elif line.name == "RRULE" and dict(_rule_parts(line)).get("FREQ") not in _FREQUENCIES:
        yield f"RRULE {line.value}"
    elif line.name in _TEXTS and not _TEXT.fullmatch(line.value):
        yield f"{line.name} has a bare comma, semicolon or backslash"


def _rule_parts(line: Line) -> Iterator[tuple[str, str]]:
    for each in line.value.split(";"):
        name, _, value = each.partition("=")
        yield name, value


def _of_date(line: Line, zones: set[str]) -> Iterator[str]:
    is_date = bool(re.search(r";VALUE=DATE(?![\w-])", line.parameters))
    zone = re.search(r";TZID=\"?([^;:\"]+)", line.parameters)
    forms = ("%Y%m%d",) if is_date else ("%Y%m%dT%H%M%S", "%Y%m%dT%H%M%SZ")
    if not any(_is_time(line.value, form) for form in forms):
        yield f"{line.name}{line.parameters} {line.value} is no such time"
    if zone and (is_date or line.value.endswith("Z")):
        yield f"{line.name} needs no time zone"
    elif zone and zone[1] not in zones:
        yield f"time zone {zone[1]} is nowhere told"


def _is_time(value: str, form: str) -> bool:
    try:
        return datetime.strptime(value, form).strftime(form) == value
    except ValueError:
        return False


def _of_span(part: Part) -> Iterator[str]:
    start, end = part.find("DTSTART"), part.find("DTEND") or part.find("DUE")
    if end and part.find("DURATION"):
        yield "an end and a duration"
    if start and end and (len(start.value), start.parameters) != (len(end.value), end.parameters):
        yield "start and end are not of one type"
    elif start and end and start.value >= end.value:
        yield "the end is not after the start"
