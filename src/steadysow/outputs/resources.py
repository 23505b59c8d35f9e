"""Resources on a server: single events of our calendar, and the marks by which we recognise them.

`events_of` cuts our calendar into events, each as a calendar of its own.  A mark is a hash that stays the same when a
server or client rewrites an event without changing what a person sees.  `ical` has checked what it wrote, but what a
server gives back may be anything.
"""

from __future__ import annotations

import hashlib
import json
import re
from dataclasses import dataclass
from datetime import date

from steadysow.amounts import day_text
from steadysow.outputs.web import Address


@dataclass(frozen=True, slots=True, kw_only=True)
class Resource:
    """One event, or a whole calendar file, to publish.

    Attributes
    ----------
    name
        The UID of the event.  Empty for a file.
    address
        Its address on the server.
    body
        Its bytes.
    mark
        Its mark; see `event_mark` and `file_mark`.
    title
        What a person calls it.
    """

    name: str
    address: Address
    body: bytes
    mark: str
    title: str

    @property
    def content(self) -> str:
        """Hash of the bytes."""
        return hashlib.sha256(self.body).hexdigest()


def events_of(content: bytes, collection: Address) -> tuple[Resource, ...]:
    """Cut a calendar into its events, each as a calendar of its own without a METHOD (RFC 4791, 4.1)."""
    product = re.search(rb"^PRODID:.*\r\n(?:[ \t].*\r\n)*", content, re.MULTILINE)
    assert product, "our calendars name their product"
    head = b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\n" + product[0] + b"CALSCALE:GREGORIAN\r\n"
    found = re.findall(rb"^BEGIN:VEVENT\r\n.*?^END:VEVENT\r\n", content, re.MULTILINE | re.DOTALL)
    assert found, "our calendars hold at least one event"
    resources = []
    for event in found:
        uid = property_of(event, "UID")
        assert re.fullmatch(r"[A-Za-z0-9-]+", uid), "our UIDs are plain"
        body = head + event + b"END:VCALENDAR\r\n"
        address = collection.inside(f"{uid}.ics")
        resources.append(Resource(name=uid, address=address, body=body, mark=event_mark(body), title=title_of(body)))
    return tuple(resources)


def _lines(content: bytes) -> list[tuple[str, str]]:
    """Give the unfolded lines of a calendar, each as name and unescaped value."""
    text = re.sub(r"\r?\n[ \t]", "", content.decode("utf-8", errors="replace"))
    found = re.findall(r'^([A-Za-z0-9-]+)(?:;[^=:;\n]+=(?:"[^"\n]*"|[^":;\n])*)*:(.*?)\r?$', text, re.MULTILINE)
    return [
        (name.upper(), re.sub(r"\\(.)", lambda match: "\n" if match[1] in "nN" else match[1], value))
        for name, value in found
    ]


def property_of(content: bytes, name: str) -> str:
    """Give the first value of a property, or an empty text."""
    return next((value for each, value in _lines(content) if each == name), "")


def title_of(body: bytes) -> str:
    """Give what a person calls an event: its summary and day."""
    # A time zone stands before the event and has a DTSTART too.
    event = body[max(body.find(b"BEGIN:VEVENT"), 0) :]
    summary, day = property_of(event, "SUMMARY") or "an event", property_of(event, "DTSTART")[:8]
    try:
        return f"{summary}, {day_text(date.fromisoformat(day))}"
    except ValueError:
        return summary


def event_mark(body: bytes) -> str:
    """Give a hash of what a person sees or edits in an event, whatever a server or client has rewritten.

    A changed day, text, alarm or guest changes the mark.  New stamps, or the note of a client that somebody put off an
    alarm, do not.
    """
    lines = _lines(body)
    starts = [number for number, line in enumerate(lines) if line == ("BEGIN", "VEVENT")]
    if len(starts) != 1:
        return file_mark(body)
    kept: list[tuple[str, str]] = []
    inside = ""
    for name, value in lines[starts[0] + 1 :]:
        if (name, value) == ("END", "VEVENT"):
            break
        inside = value if name == "BEGIN" else "" if name == "END" else inside
        ignored = {"DTSTAMP", "LAST-MODIFIED", "CREATED", "ACKNOWLEDGED"} | ({"UID"} if inside else set())
        if name not in ignored and not name.startswith("X-"):
            kept.append((f"{inside} {name}", value.strip()))
    return hashlib.sha256(json.dumps(sorted(kept)).encode()).hexdigest()


def file_mark(body: bytes) -> str:
    """Give a hash of all bytes of a file."""
    return hashlib.sha256(body).hexdigest()


def holds_others(there: bytes, ours: bytes) -> bool:
    """Say whether another program wrote a calendar, and it holds events that are not ours."""
    if property_of(there, "PRODID") == property_of(ours, "PRODID"):
        return False
    return bool(_uids(there) - _uids(ours))


def _uids(content: bytes) -> set[str]:
    return {value for name, value in _lines(content) if name == "UID"}
