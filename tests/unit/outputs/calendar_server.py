"""A calendar server in memory, and our side that publishes to it.

The server keeps to RFC 4918 and RFC 4791 as far as the tests need, and can be interrupted at every request, before or
after it has acted.  Tests in ``tests/clients`` publish to Radicale, a real server.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from steadysow.outputs.publish import publish_events, publish_file
from steadysow.outputs.publish_run import Report
from steadysow.outputs.web import Address, Headers, RemoteServer, Response, read_address

CALENDAR = read_address("https://example.org/me/garden/")
FILE = read_address("https://example.org/garden.ics")


@dataclass(frozen=True)
class Event:
    """An event of a made-up calendar."""

    summary: str
    day: int = 1
    sequence: int = 0


def calendar_of(events: Mapping[str, Event]) -> bytes:
    """Write a calendar by hand, as RFC 5545 has it."""
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//made//by hand//EN", "CALSCALE:GREGORIAN", "NAME:Kitchen & co"]
    for uid, event in events.items():
        lines += ["BEGIN:VEVENT", f"SUMMARY:{event.summary}", f"DTSTART;VALUE=DATE:202611{event.day:02}"]
        lines += [
            f"DTSTAMP:20261001T0000{event.sequence:02}Z",
            f"UID:{uid}",
            f"SEQUENCE:{event.sequence}",
            "END:VEVENT",
        ]
    return "".join(f"{line}\r\n" for line in [*lines, "END:VCALENDAR"]).encode()


THREE = {"a-1": Event("Sow"), "a-2": Event("Cut", 2), "a-3": Event("Clean", 3)}
# Moved, dropped, added; one stays.
REPLANNED = {"a-1": Event("Sow", 9, 1), "a-2": Event("Cut", 2), "a-4": Event("Sow again", 4)}
DENTIST = b"BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\nUID:dentist\r\nSUMMARY:Dentist\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"


@dataclass(frozen=True)
class Asked:
    """The parts of a request that the server looks at."""

    path: str
    headers: Headers
    body: bytes


# Status, headers and body of an answer.
Reply = tuple[int, dict[str, str], bytes]


def as_usual(_method: str, _path: str) -> Response | None:
    """Force no answer."""
    return None


@dataclass
class CalendarServer:
    """A server in memory, with its resources by path, its collections, and the requests it got."""

    holds: dict[str, bytes] = field(default_factory=dict)
    calendars: set[str] = field(default_factory=lambda: {"/me/garden/"})
    folders: set[str] = field(default_factory=lambda: {"/me/"})
    dav: str = "1, 3, calendar-access"
    gives_etag_after_put: bool = True
    gives_etags: bool = True
    makes: tuple[str, ...] = ("MKCALENDAR",)
    rewrite: Callable[[bytes], bytes] = bytes
    versions: dict[str, int] = field(default_factory=dict)
    asked: list[tuple[str, str, dict[str, str]]] = field(default_factory=list)
    forced: Callable[[str, str], Response | None] = as_usual

    def __call__(self, address: Address, method: str, headers: Headers, body: bytes | None) -> Response:
        """Answer a request."""
        self.asked.append((method, address.path, dict(headers)))
        forced = self.forced(method, address.path)
        if forced is not None:
            return forced
        asked = Asked(address.path, headers, body or b"")
        status, headers_sent, content = getattr(self, f"_do_{method.lower()}")(asked)
        return Response(status=status, headers={"dav": self.dav, **headers_sent}, body=content, address=address)

    def set(self, path: str, content: bytes) -> None:
        """Let somebody write a resource."""
        self.holds[path] = content
        self.versions[path] = self.versions.get(path, 0) + 1

    def edit(self, uid: str, old: bytes, new: bytes) -> bytes:
        """Let somebody edit an event; give its new bytes."""
        path = f"/me/garden/{uid}.ics"
        edited = self.holds[path].replace(old, new)
        assert edited != self.holds[path]
        self.set(path, edited)
        return edited

    def etag(self, path: str) -> str:
        """Give the ETag of the present version; no later version has the same."""
        digest = hashlib.sha256(self.holds[path] + str(self.versions[path]).encode()).hexdigest()
        return f'"{digest[:12]}"'

    def _mismatch(self, path: str, headers: Headers) -> bool:
        there = self.etag(path) if path in self.holds else None
        if headers.get("If-None-Match") == "*" and there:
            return True
        return "If-Match" in headers and headers["If-Match"] != there

    def _stamp(self, path: str) -> dict[str, str]:
        return {"etag": self.etag(path)} if self.gives_etags else {}

    def _do_get(self, asked: Asked) -> Reply:
        if asked.path not in self.holds:
            return 404, {}, b""
        return 200, self._stamp(asked.path), self.holds[asked.path]

    def _do_head(self, asked: Asked) -> Reply:
        status, headers, _ = self._do_get(asked)
        return status, headers, b""

    def _do_put(self, asked: Asked) -> Reply:
        if asked.path.rpartition("/")[0] + "/" not in self.calendars | self.folders | {"/"}:
            return 409, {}, b""
        if self.gives_etags and self._mismatch(asked.path, asked.headers):
            return 412, {}, b""
        status = 204 if asked.path in self.holds else 201
        self.set(asked.path, self.rewrite(asked.body))
        return status, self._stamp(asked.path) if self.gives_etag_after_put else {}, b""

    def _do_delete(self, asked: Asked) -> Reply:
        if asked.path not in self.holds:
            return 404, {}, b""
        if self._mismatch(asked.path, asked.headers):
            return 412, {}, b""
        del self.holds[asked.path]
        return 204, {}, b""

    def _do_options(self, _asked: Asked) -> Reply:
        return 200, {}, b""

    def _do_mkcalendar(self, asked: Asked) -> Reply:
        if "MKCALENDAR" not in self.makes or asked.path in self.calendars:
            return 405, {}, b""
        assert b"<displayname>Kitchen &amp; co</displayname>" in asked.body
        self.calendars.add(asked.path)
        return 201, {}, b""

    def _do_mkcol(self, asked: Asked) -> Reply:
        if "MKCOL" not in self.makes:
            return 405, {}, b""
        self.folders.add(asked.path)
        return 201, {}, b""

    def _do_propfind(self, asked: Asked) -> Reply:
        assert asked.headers["Depth"] == "1"
        if asked.path not in self.calendars | self.folders:
            return 404, {}, b""
        kind = "<d:collection/>" + ("<c:calendar/>" if asked.path in self.calendars else "")
        entries = [self._entry(asked.path, "", kind)]
        entries += [
            self._entry(each, self.etag(each), "") for each in self.holds if each.rpartition("/")[0] + "/" == asked.path
        ]
        names = 'xmlns:d="DAV:" xmlns:c="urn:ietf:params:xml:ns:caldav"'
        return 207, {}, f"<d:multistatus {names}>{''.join(entries)}</d:multistatus>".encode()

    def _entry(self, path: str, etag: str, kind: str) -> str:
        return (
            f"<d:response><d:href>{path}</d:href><d:propstat><d:prop><d:getetag>{etag}</d:getetag>"
            f"<d:resourcetype>{kind}</d:resourcetype></d:prop><d:status>HTTP/1.1 200 OK</d:status></d:propstat>"
            "</d:response>"
        )

    def methods(self) -> list[str]:
        """Give the methods of all requests since the last call."""
        methods = [method for method, _, _ in self.asked]
        self.asked.clear()
        return methods

    def events(self) -> dict[str, tuple[str, str]]:
        """Give summary and day of each event by UID; each must be a resource of its own, named after the UID."""
        found = {}
        for path, content in self.holds.items():
            text = content.decode()
            (uid,) = re.findall(r"^UID:(.*?)\r$", text, re.MULTILINE)
            assert path == f"/me/garden/{uid}.ics"
            assert text.count("BEGIN:VEVENT") == 1
            assert "METHOD" not in text
            day = re.search(r"^DTSTART;VALUE=DATE:(.*)\r$", text, re.MULTILINE)
            found[uid] = (re.findall(r"^SUMMARY:(.*)\r$", text, re.MULTILINE)[0], day[1] if day else "")
        return found


def as_seen(events: Mapping[str, Event]) -> dict[str, tuple[str, str]]:
    """Give summary and day of events by UID."""
    return {uid: (event.summary, f"202611{event.day:02}") for uid, event in events.items()}


def never(seconds: float) -> None:
    """Refuse to wait."""
    raise AssertionError(f"waited {seconds} s")


@dataclass(frozen=True)
class Publisher:
    """Our side: publishes to the server and keeps its state in a file."""

    server: CalendarServer
    state: Path

    def publish(
        self,
        events: Mapping[str, Event],
        *,
        exchange: Callable[[Address, str, Headers, bytes | None], Response] | None = None,
        wait: Callable[[float], None] = never,
        overwrite: bool = False,
        make_collection: bool = False,
        dry_run: bool = False,
    ) -> Report:
        """Publish events one by one."""
        remote = RemoteServer(exchange=exchange or self.server, user="me", password="sesame", wait=wait)
        return publish_events(
            calendar_of(events),
            CALENDAR,
            remote,
            self.state,
            overwrite=overwrite,
            make_collection=make_collection,
            dry_run=dry_run,
        )

    def publish_file(
        self,
        content: bytes,
        exchange: Callable[[Address, str, Headers, bytes | None], Response] | None = None,
        *,
        overwrite: bool = False,
        dry_run: bool = False,
    ) -> Report:
        """Publish one file."""
        remote = RemoteServer(exchange=exchange or self.server, wait=never)
        return publish_file(content, FILE, remote, self.state, overwrite=overwrite, dry_run=dry_run)


def counts(report: Report) -> tuple[int, int, int, int, int]:
    """Give the numbers of new, changed, deleted, unchanged and left events of a run without troubles."""
    assert report.stopped is None
    assert report.failed == []
    return report.new, report.changed, report.deleted, report.unchanged, len(report.left)


def answering(
    status: int, *methods: str, path: str = "", body: bytes = b"", **headers: str
) -> Callable[[str, str], Response | None]:
    """Give a function that forces an answer for some methods."""
    sent = {name.replace("_", "-"): value for name, value in headers.items()}

    def forced(method: str, asked: str) -> Response | None:
        if method not in methods or not asked.endswith(path):
            return None
        return Response(status=status, headers=sent, body=body, address=CALENDAR)

    return forced
