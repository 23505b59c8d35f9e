"""Publishing: only what is ours is touched, edits of others survive, and any interruption is made good.

The server is a small one of our own that keeps to RFC 4918 and RFC 4791 as far as needed and lives in memory, so that
it can be interrupted at every request, before or after it has acted.  Radicale, a real one, is asked in
``tests/clients``.
"""

from __future__ import annotations

import hashlib
import itertools
import json
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadysow.errors import InputFaults
from steadysow.outputs.publish import Report, publish_events, publish_file, way_of
from steadysow.outputs.web import Address, Headers, RemoteServer, Response, read_address

CALENDAR = read_address("https://example.org/me/garden/")
FILE = read_address("https://example.org/garden.ics")


@dataclass(frozen=True)
class Event:
    """What an event of a made-up calendar tells."""

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
FOREIGN = b"BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\nUID:dentist\r\nSUMMARY:Dentist\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"


@dataclass(frozen=True)
class Asked:
    """A request, as far as the server looks at it."""

    path: str
    headers: Headers
    body: bytes


# Status, headers and body of an answer.
Told = tuple[int, dict[str, str], bytes]


def at_ease(_method: str, _path: str) -> Response | None:
    """Force no answer."""
    return None


class Killed(BaseException):
    """The end of our process, at once."""


@dataclass
class Shelf:
    """A server in memory: resources by path, collections, and what it was asked."""

    holds: dict[str, bytes] = field(default_factory=dict)
    calendars: set[str] = field(default_factory=lambda: {"/me/garden/"})
    folders: set[str] = field(default_factory=lambda: {"/me/"})
    dav: str = "1, 3, calendar-access"
    tells_etag_after_put: bool = True
    tells_etags: bool = True
    makes: tuple[str, ...] = ("MKCALENDAR",)
    rewrite: Callable[[bytes], bytes] = bytes
    versions: dict[str, int] = field(default_factory=dict)
    asked: list[tuple[str, str, dict[str, str]]] = field(default_factory=list)
    forced: Callable[[str, str], Response | None] = at_ease

    def __call__(self, address: Address, method: str, headers: Headers, body: bytes | None) -> Response:
        """Response a request."""
        self.asked.append((method, address.path, dict(headers)))
        forced = self.forced(method, address.path)
        if forced is not None:
            return forced
        asked = Asked(address.path, headers, body or b"")
        status, told, content = getattr(self, f"_do_{method.lower()}")(asked)
        return Response(status=status, headers={"dav": self.dav, **told}, body=content, address=address)

    def set(self, path: str, content: bytes) -> None:
        """Let somebody write something there."""
        self.holds[path] = content
        self.versions[path] = self.versions.get(path, 0) + 1

    def etag(self, path: str) -> str:
        """Give the ETag of a version, which never returns."""
        digest = hashlib.sha256(self.holds[path] + str(self.versions[path]).encode()).hexdigest()
        return f'"{digest[:12]}"'

    def _mismatch(self, path: str, headers: Headers) -> bool:
        there = self.etag(path) if path in self.holds else None
        if headers.get("If-None-Match") == "*" and there:
            return True
        return "If-Match" in headers and headers["If-Match"] != there

    def _stamp(self, path: str) -> dict[str, str]:
        return {"etag": self.etag(path)} if self.tells_etags else {}

    def _do_get(self, asked: Asked) -> Told:
        if asked.path not in self.holds:
            return 404, {}, b""
        return 200, self._stamp(asked.path), self.holds[asked.path]

    def _do_head(self, asked: Asked) -> Told:
        status, told, _ = self._do_get(asked)
        return status, told, b""

    def _do_put(self, asked: Asked) -> Told:
        if asked.path.rpartition("/")[0] + "/" not in self.calendars | self.folders | {"/"}:
            return 409, {}, b""
        if self.tells_etags and self._mismatch(asked.path, asked.headers):
            return 412, {}, b""
        status = 204 if asked.path in self.holds else 201
        self.set(asked.path, self.rewrite(asked.body))
        return status, self._stamp(asked.path) if self.tells_etag_after_put else {}, b""

    def _do_delete(self, asked: Asked) -> Told:
        if asked.path not in self.holds:
            return 404, {}, b""
        if self._mismatch(asked.path, asked.headers):
            return 412, {}, b""
        del self.holds[asked.path]
        return 204, {}, b""

    def _do_options(self, _asked: Asked) -> Told:
        return 200, {}, b""

    def _do_mkcalendar(self, asked: Asked) -> Told:
        if "MKCALENDAR" not in self.makes or asked.path in self.calendars:
            return 405, {}, b""
        assert b"<displayname>Kitchen &amp; co</displayname>" in asked.body
        self.calendars.add(asked.path)
        return 201, {}, b""

    def _do_mkcol(self, asked: Asked) -> Told:
        if "MKCOL" not in self.makes:
            return 405, {}, b""
        self.folders.add(asked.path)
        return 201, {}, b""

    def _do_propfind(self, asked: Asked) -> Told:
        assert asked.headers["Depth"] == "1"
        if asked.path not in self.calendars | self.folders:
            return 404, {}, b""
        kind = "<d:collection/>" + ("<c:calendar/>" if asked.path in self.calendars else "")
        told = [self._told(asked.path, "", kind)]
        told += [
            self._told(each, self.etag(each), "") for each in self.holds if each.rpartition("/")[0] + "/" == asked.path
        ]
        names = 'xmlns:d="DAV:" xmlns:c="urn:ietf:params:xml:ns:caldav"'
        return 207, {}, f"<d:multistatus {names}>{''.join(told)}</d:multistatus>".encode()

    def _told(self, path: str, etag: str, kind: str) -> str:
        return (
            f"<d:response><d:href>{path}</d:href><d:propstat><d:prop><d:getetag>{etag}</d:getetag>"
            f"<d:resourcetype>{kind}</d:resourcetype></d:prop><d:status>HTTP/1.1 200 OK</d:status></d:propstat>"
            "</d:response>"
        )

    def methods(self) -> list[str]:
        """Give the methods asked for since this was last asked."""
        methods = [method for method, _, _ in self.asked]
        self.asked.clear()
        return methods

    def events(self) -> dict[str, tuple[str, str]]:
        """Give summary and day of everything in the calendar, by UID; each resource holds one and is named after it."""
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
    """Give what a calendar should show of events."""
    return {uid: (event.summary, f"202611{event.day:02}") for uid, event in events.items()}


def never(seconds: float) -> None:
    """Refuse to wait."""
    raise AssertionError(f"waited {seconds} s")


@dataclass(frozen=True)
class Home:
    """Our side: where the state lies, and a short way to publish."""

    shelf: Shelf
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
        server = RemoteServer(exchange=exchange or self.shelf, user="me", password="sesame", wait=wait)
        return publish_events(
            calendar_of(events),
            CALENDAR,
            server,
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
        server = RemoteServer(exchange=exchange or self.shelf, wait=never)
        return publish_file(content, FILE, server, self.state, overwrite=overwrite, dry_run=dry_run)


@pytest.fixture
def home(tmp_path: Path) -> Home:
    """Give an empty calendar on a server, and nothing known of it."""
    return Home(Shelf(), tmp_path / "publish-state.json")


def counts(report: Report) -> tuple[int, int, int, int, int]:
    """Give the counts of a report, what was left alone last."""
    assert report.stopped is None
    assert report.failed == []
    return report.new, report.changed, report.deleted, report.unchanged, len(report.left)


# What is sent.


def test_each_event_is_a_resource_of_its_own(home: Home) -> None:
    """First every event is new and written only where nothing is; then nothing is sent but one question."""
    assert counts(home.publish(THREE)) == (3, 0, 0, 0, 0)
    assert home.shelf.events() == as_seen(THREE)
    puts = [headers for method, _, headers in home.shelf.asked if method == "PUT"]
    assert [put["If-None-Match"] for put in puts] == ["*"] * 3
    assert {put["Content-Type"] for put in puts} == {"text/calendar; charset=utf-8"}
    home.shelf.methods()
    assert counts(home.publish(THREE)) == (0, 0, 0, 3, 0)
    assert home.shelf.methods() == ["PROPFIND"]


def test_only_changes_are_sent(home: Home) -> None:
    """After a re-plan one event is changed, one deleted, one added, each on its condition; a foreign one stays."""
    home.shelf.set("/me/garden/dentist.ics", FOREIGN)
    home.publish(THREE)
    etags = {path: home.shelf.etag(path) for path in home.shelf.holds}
    home.shelf.asked.clear()
    assert counts(home.publish(REPLANNED)) == (1, 1, 1, 1, 0)
    sent = {path: (method, headers.get("If-Match")) for method, path, headers in home.shelf.asked[1:]}
    assert sent == {
        "/me/garden/a-1.ics": ("PUT", etags["/me/garden/a-1.ics"]),
        "/me/garden/a-3.ics": ("DELETE", etags["/me/garden/a-3.ics"]),
        "/me/garden/a-4.ics": ("PUT", None),
    }
    assert home.shelf.holds["/me/garden/dentist.ics"] == FOREIGN
    assert home.shelf.events() == as_seen(REPLANNED) | {"dentist": ("Dentist", "")}


def test_dry_run_only_looks(home: Home) -> None:
    """A dry run asks for the list, tells what it would do, and writes nothing on either side."""
    home.publish(THREE)
    before = home.state.read_bytes()
    home.shelf.methods()
    assert counts(home.publish(REPLANNED, dry_run=True)) == (1, 1, 1, 1, 0)
    assert home.shelf.methods() == ["PROPFIND"]
    assert home.state.read_bytes() == before
    assert home.shelf.events() == as_seen(THREE)


def test_dry_run_of_what_is_in_doubt_sends_nothing(home: Home) -> None:
    """Also where it would have to look at an event, a dry run asks for nothing but the list."""
    home.publish(THREE)
    home.shelf.set("/me/garden/a-1.ics", FOREIGN)
    home.shelf.set("/me/garden/a-3.ics", FOREIGN)
    home.shelf.methods()
    home.publish(REPLANNED, dry_run=True)
    assert home.shelf.methods() == ["PROPFIND"]


def test_password_is_kept_nowhere(home: Home) -> None:
    """The password is sent, and is neither in the state nor in what a server or report shows of itself."""
    report = home.publish(THREE)
    assert home.shelf.asked[0][2]["Authorization"] == "Basic bWU6c2VzYW1l"
    server = RemoteServer(exchange=home.shelf, user="me", password="sesame")
    shown = home.state.read_text() + repr(report) + repr(server) + "".join(report.lines())
    assert "sesame" not in shown
    assert "bWU6c2VzYW1l" not in shown


# Others write there as well.


@pytest.mark.parametrize("overwrite", [False, True])
def test_edit_of_somebody_else_is_left_unless_told_otherwise(home: Home, overwrite: bool) -> None:
    """What somebody changed is told and left, though the plan moved it; --overwrite writes over that version."""
    home.publish(THREE)
    edited = home.shelf.holds["/me/garden/a-1.ics"].replace(b"SUMMARY:Sow", b"SUMMARY:Sow with grandpa")
    home.shelf.set("/me/garden/a-1.ics", edited)
    report = home.publish(REPLANNED, overwrite=overwrite)
    if overwrite:
        assert counts(report) == (1, 1, 1, 1, 0)
        assert home.shelf.events() == as_seen(REPLANNED)
        return
    assert counts(report) == (1, 0, 1, 1, 1)
    assert not report.is_complete
    assert any("Left alone: Sow, Mon 9 Nov (changed there by somebody else)" in line for line in report.lines())
    assert home.shelf.holds["/me/garden/a-1.ics"] == edited
    # Nor does a later run take it for ours.
    assert counts(home.publish(REPLANNED)) == (0, 0, 0, 2, 1)
    assert home.shelf.holds["/me/garden/a-1.ics"] == edited


def test_edit_is_no_failure_while_the_plan_has_no_news(home: Home) -> None:
    """As long as the plan itself did not change, an edit there is told and holds nothing back."""
    home.publish(THREE)
    home.shelf.set("/me/garden/a-2.ics", home.shelf.holds["/me/garden/a-2.ics"].replace(b"20261102", b"20261105"))
    report = home.publish(THREE)
    assert counts(report) == (0, 0, 0, 2, 1)
    assert report.is_complete


@pytest.mark.parametrize("overwrite", [False, True])
def test_event_deleted_by_somebody_else_stays_away_unless_told_otherwise(home: Home, overwrite: bool) -> None:
    """What somebody deleted there is not forced upon them again."""
    home.publish(THREE)
    del home.shelf.holds["/me/garden/a-1.ics"]
    report = home.publish(REPLANNED, overwrite=overwrite)
    assert ("a-1" in home.shelf.events()) == overwrite
    assert len(report.left) == (not overwrite)


@pytest.mark.parametrize("overwrite", [False, True])
def test_dropped_event_that_somebody_edited_is_left(home: Home, overwrite: bool) -> None:
    """A chore that is no longer planned but was edited is not deleted."""
    home.publish(THREE)
    home.shelf.set("/me/garden/a-3.ics", home.shelf.holds["/me/garden/a-3.ics"].replace(b"Clean", b"Clean twice"))
    report = home.publish(REPLANNED, overwrite=overwrite)
    assert ("a-3" in home.shelf.events()) == (not overwrite)
    assert [line.split(",")[0] for line in report.left] == ([] if overwrite else ["Clean twice"])


def test_dismissed_alarm_is_no_edit(home: Home) -> None:
    """A client that notes that an alarm was seen, and stamps the event, has not changed what we publish."""
    home.publish(THREE)
    noted = home.shelf.holds["/me/garden/a-1.ics"].replace(b"DTSTAMP:20261001", b"X-LASTACK:1\r\nDTSTAMP:20261111")
    home.shelf.set("/me/garden/a-1.ics", noted)
    assert counts(home.publish(REPLANNED)) == (1, 1, 1, 1, 0)
    assert home.shelf.events() == as_seen(REPLANNED)


def test_edit_between_list_and_writing_is_seen(home: Home) -> None:
    """An edit made after we asked for the list is not written over either."""
    home.publish(THREE)
    edited = home.shelf.holds["/me/garden/a-1.ics"].replace(b"SUMMARY:Sow", b"SUMMARY:Mine")

    def exchange(address: Address, method: str, headers: Headers, body: bytes | None) -> Response:
        if method == "PUT" and home.shelf.holds["/me/garden/a-1.ics"] != edited:
            home.shelf.set("/me/garden/a-1.ics", edited)
        return home.shelf(address, method, headers, body)

    report = home.publish(REPLANNED, exchange=exchange)
    assert len(report.left) == 1
    assert home.shelf.holds["/me/garden/a-1.ics"] == edited


def test_same_name_of_somebody_else_is_left(home: Home) -> None:
    """An event that bears a UID of ours but that we never wrote is not ours."""
    other = FOREIGN.replace(b"UID:dentist", b"UID:a-1")
    home.shelf.set("/me/garden/a-1.ics", other)
    assert counts(home.publish(THREE)) == (2, 0, 0, 0, 1)
    home.publish({"a-2": THREE["a-2"]})
    assert home.shelf.holds == {
        "/me/garden/a-1.ics": other,
        "/me/garden/a-2.ics": home.shelf.holds["/me/garden/a-2.ics"],
    }


# Interruptions.


@dataclass
class Interrupting:
    """An exchange that ends our process at a request, before or after the server has acted."""

    shelf: Shelf
    state: Path
    at: int
    has_acted: bool
    state_then: bytes | None = None

    def __call__(self, address: Address, method: str, headers: Headers, body: bytes | None) -> Response:
        """Pass a request on, or end."""
        self.at -= 1
        if self.at >= 0:
            return self.shelf(address, method, headers, body)
        if self.has_acted:
            self.shelf(address, method, headers, body)
        self.state_then = self.state.read_bytes() if self.state.exists() else None
        raise Killed

    def power_off(self) -> None:
        """Leave the state as it was at that moment, as if nothing had tidied up."""
        if self.state_then is None:
            self.state.unlink(missing_ok=True)
        else:
            self.state.write_bytes(self.state_then)


def interrupted(
    home: Home, events: Mapping[str, Event], at: int, *, has_acted: bool, is_hard: bool, make_collection: bool = False
) -> bool:
    """Publish, interrupted at a request; say whether there was one."""
    exchange = Interrupting(home.shelf, home.state, at, has_acted)
    try:
        home.publish(events, exchange=exchange, make_collection=make_collection)
    except Killed:
        if is_hard:
            exchange.power_off()
        return True
    return False


WAYS = list(itertools.product([False, True], [False, True]))


@pytest.mark.parametrize(("has_acted", "is_hard"), WAYS)
def test_next_run_makes_good_any_interruption(tmp_path: Path, has_acted: bool, is_hard: bool) -> None:
    """Interrupted at any request of a first or second publishing, the next run leaves exactly the plan."""
    for number in itertools.count():
        home = Home(Shelf(calendars=set()), tmp_path / f"{number}.json")
        again = interrupted(home, THREE, number, has_acted=has_acted, is_hard=is_hard, make_collection=True)
        assert home.publish(THREE, make_collection=True).is_complete
        assert home.shelf.events() == as_seen(THREE)
        home.shelf.set("/me/garden/dentist.ics", FOREIGN)
        again |= interrupted(home, REPLANNED, number, has_acted=has_acted, is_hard=is_hard)
        assert home.publish(REPLANNED).left == []
        assert home.shelf.events() == as_seen(REPLANNED) | {"dentist": ("Dentist", "")}
        if not again:
            break
    assert number > 5


plans = st.dictionaries(
    st.sampled_from(["a-1", "a-2", "a-3", "a-4", "a-5"]),
    st.builds(Event, st.sampled_from(["Sow", "Cut"]), st.integers(1, 9)),
    min_size=1,
)
runs = st.lists(st.tuples(plans, st.integers(0, 9), st.booleans(), st.booleans()), min_size=1, max_size=5)


@settings(max_examples=100, deadline=None)
@given(runs=runs, last=plans, tells_etag=st.booleans())
def test_any_run_of_interruptions_is_made_good(
    runs: list[tuple[dict[str, Event], int, bool, bool]], last: dict[str, Event], tells_etag: bool
) -> None:
    """However often publishing was interrupted while the plan went on changing, the last run leaves that plan alone."""
    with TemporaryDirectory() as folder:
        home = Home(Shelf(tells_etag_after_put=tells_etag), Path(folder) / "state.json")
        home.shelf.set("/me/garden/dentist.ics", FOREIGN)
        for sequence, (events, at, has_acted, is_hard) in enumerate(runs):
            revised = {uid: Event(event.summary, event.day, sequence) for uid, event in events.items()}
            interrupted(home, revised, at, has_acted=has_acted, is_hard=is_hard)
        report = home.publish({uid: Event(event.summary, event.day, len(runs)) for uid, event in last.items()})
        assert report.is_complete
        assert report.left == []
        assert home.shelf.events() == as_seen(last) | {"dentist": ("Dentist", "")}
        home.shelf.methods()
        home.publish({uid: Event(event.summary, event.day, len(runs)) for uid, event in last.items()})
        assert home.shelf.methods() == ["PROPFIND"]


def test_lost_state_finds_what_is_as_planned(home: Home) -> None:
    """Without the state, what is there just as planned is ours again; what is not is left, or taken over if asked."""
    home.publish(THREE)
    home.state.unlink()
    home.shelf.methods()
    assert counts(home.publish(REPLANNED)) == (2, 0, 0, 0, 1)
    assert home.shelf.methods().count("PUT") == 1
    assert counts(home.publish(REPLANNED, overwrite=True)) == (1, 0, 0, 2, 0)
    assert {uid: home.shelf.events()[uid] for uid in REPLANNED} == as_seen(REPLANNED)


def test_state_of_two_calendars_is_kept_apart(home: Home) -> None:
    """Publishing to a second address knows nothing of the first and does not forget it."""
    home.publish(THREE)
    home.publish_file(b"file")
    home.shelf.methods()
    home.publish(THREE)
    assert home.shelf.methods() == ["PROPFIND"]


def test_unreadable_state_is_a_fault(home: Home) -> None:
    """A state that is damaged is told, and nothing is sent."""
    for damaged in ("{", "{}", '{"places": {"x": {"y": 3}}}', '{"places": {"x": {"y": {"etag": 1}}}}'):
        home.state.write_text(damaged)
        with pytest.raises(InputFaults, match="does not tell what was published"):
            home.publish(THREE)
    assert home.shelf.asked == []


# Servers of other habits.


def test_server_that_rewrites_and_tells_no_etag(home: Home) -> None:
    """A server that rewrites what it gets, and hence tells no ETag, is asked for it; its rewriting is no edit."""
    home.shelf.tells_etag_after_put = False
    home.shelf.rewrite = lambda body: body.replace(b"SEQUENCE:0\r\n", b"").replace(
        b"END:VEVENT", b"CLASS:PUBLIC\r\nEND:VEVENT"
    )
    assert counts(home.publish(THREE)) == (3, 0, 0, 0, 0)
    assert counts(home.publish(REPLANNED)) == (1, 1, 1, 1, 0)
    assert home.shelf.events() == as_seen(REPLANNED)


def answering(
    status: int, *methods: str, path: str = "", body: bytes = b"", **headers: str
) -> Callable[[str, str], Response | None]:
    """Give what forces an answer for some methods."""
    told = {name.replace("_", "-"): value for name, value in headers.items()}

    def forced(method: str, asked: str) -> Response | None:
        if method not in methods or not asked.endswith(path):
            return None
        return Response(status=status, headers=told, body=body, address=CALENDAR)

    return forced


@pytest.mark.parametrize(
    ("status", "words", "advice"),
    [
        (401, "does not take this name and password", "--keep-password"),
        (403, "does not let me write here", "shared with you"),
        (404, "has no such place", "Check the address"),
        (507, "has no room left", "Free some there"),
    ],
)
def test_answer_that_holds_for_all_stops_at_once(home: Home, status: int, words: str, advice: str) -> None:
    """Where no further request can go better it stops and says what to do; the next run goes on."""
    home.shelf.forced = answering(status, "PUT", path="a-2.ics")
    report = home.publish(THREE)
    assert home.shelf.methods() == ["PROPFIND", "PUT", "PUT"]
    assert not report.is_complete
    assert words in str(report.stopped)
    assert f"({status})" in str(report.stopped)
    assert advice in str(report.stopped)
    assert "sesame" not in "".join(report.lines())
    home.shelf.forced = at_ease
    assert counts(home.publish(THREE)) == (2, 0, 0, 1, 0)


@pytest.mark.parametrize("status", [400, 409, 413, 415, 423])
def test_answer_about_one_event_holds_up_no_other(home: Home, status: int) -> None:
    """One event that the server refuses is told by name; the others are published, and it is tried again next time."""
    home.shelf.forced = answering(status, "PUT", path="a-2.ics")
    report = home.publish(THREE)
    assert sorted(home.shelf.events()) == ["a-1", "a-3"]
    assert not report.is_complete
    (line,) = [line for line in report.lines() if "Not published" in line]
    assert "Cut, Mon 2 Nov" in line
    assert f"({status})" in line
    home.shelf.forced = at_ease
    assert counts(home.publish(THREE)) == (1, 0, 0, 2, 0)


def test_event_that_is_there_under_another_name(home: Home) -> None:
    """A server that has the UID elsewhere in the calendar (RFC 4791, 5.3.2.1) refuses that one event only."""
    body = b'<error xmlns="DAV:"><C:no-uid-conflict xmlns:C="urn:ietf:params:xml:ns:caldav"/></error>'
    home.shelf.forced = answering(403, "PUT", path="a-2.ics", body=body)
    report = home.publish(THREE)
    assert sorted(home.shelf.events()) == ["a-1", "a-3"]
    assert "under another name" in report.failed[0]


def test_busy_server_is_asked_three_times_more(home: Home) -> None:
    """An answer of 503 is asked again after growing waits, as long at least as the server asks; then it is told."""
    home.shelf.forced = answering(503, "PUT", retry_after="3")
    waits: list[float] = []
    report = home.publish(THREE, wait=waits.append)
    assert home.shelf.methods() == ["PROPFIND"] + ["PUT"] * 4
    assert waits == sorted(waits)
    assert min(waits) == 3
    assert len(set(waits)) == 3
    assert "in trouble (503), also when asked 3 times more" in str(report.stopped)


def test_busy_server_that_acted_all_the_same(home: Home) -> None:
    """A request that was carried out but answered with 502 is recognised as ours when it is asked again."""
    failed: set[tuple[str, str]] = set()

    def exchange(address: Address, method: str, headers: Headers, body: bytes | None) -> Response:
        answer = home.shelf(address, method, headers, body)
        if method in ("PUT", "DELETE") and (method, address.path) not in failed:
            failed.add((method, address.path))
            return Response(status=502, headers={}, body=b"", address=address)
        return answer

    assert counts(home.publish(THREE, exchange=exchange, wait=lambda _: None)) == (3, 0, 0, 0, 0)
    failed.clear()
    assert counts(home.publish(REPLANNED, exchange=exchange, wait=lambda _: None)) == (1, 1, 1, 1, 0)
    assert home.shelf.events() == as_seen(REPLANNED)


def test_many_troubles_are_not_all_named(home: Home) -> None:
    """Of many events with the same lot, some are named and the others counted."""
    home.shelf.forced = answering(423, "PUT")
    report = home.publish({f"a-{number}": Event("Sow") for number in range(40)})
    assert len([line for line in report.lines() if "Not published" in line]) == 11
    assert "Not published: 30 more." in report.lines()


# The collection.


def test_missing_collection_is_made_only_if_asked(home: Home) -> None:
    """Without --make-collection it is said how; with it the calendar is made and filled."""
    home.shelf.calendars.clear()
    report = home.publish(THREE)
    assert "--make-collection" in str(report.stopped)
    assert home.shelf.methods() == ["PROPFIND"]
    assert counts(home.publish(THREE, make_collection=True)) == (3, 0, 0, 0, 0)
    assert home.shelf.calendars == {"/me/garden/"}


def test_dry_run_makes_no_collection(home: Home) -> None:
    """A dry run tells what would be new and makes nothing."""
    home.shelf.calendars.clear()
    assert counts(home.publish(THREE, make_collection=True, dry_run=True)) == (3, 0, 0, 0, 0)
    assert home.shelf.methods() == ["PROPFIND"]


def test_server_without_calendars_gets_a_folder(home: Home) -> None:
    """Where MKCALENDAR is unknown, a plain folder is made (RFC 4918, 9.3)."""
    home.shelf.calendars.clear()
    home.shelf.dav = "1, 2"
    home.shelf.makes = ("MKCOL",)
    assert counts(home.publish(THREE, make_collection=True)) == (3, 0, 0, 0, 0)
    assert home.shelf.folders == {"/me/", "/me/garden/"}


def test_collection_that_cannot_be_made_is_told(home: Home) -> None:
    """A server that makes neither is told as it answered."""
    home.shelf.calendars.clear()
    home.shelf.makes = ()
    assert "does not take MKCALENDAR" in str(home.publish(THREE, make_collection=True).stopped)


def test_calendar_that_was_made_anew_is_filled_anew(home: Home) -> None:
    """After the whole calendar was removed and made again, none of its events counts as deleted by somebody."""
    home.publish(THREE)
    home.shelf.holds.clear()
    home.shelf.calendars.clear()
    assert counts(home.publish(THREE, make_collection=True)) == (3, 0, 0, 0, 0)
    assert home.shelf.events() == as_seen(THREE)


def test_what_holds_calendars_is_no_calendar(home: Home) -> None:
    """The address of a person's folder on a calendar server is refused, since writing there could do harm."""
    home.shelf.calendars.clear()
    home.shelf.folders.add("/me/garden/")
    report = home.publish(THREE)
    assert "is no calendar but what holds calendars" in str(report.stopped)
    assert home.shelf.holds == {}


BOMB = """<?xml version="1.0" encoding="{encoding}"?><!DOCTYPE d [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;">]>
<d:multistatus xmlns:d="DAV:"><d:response><d:href>&b;</d:href></d:response></d:multistatus>"""


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
def test_list_that_declares_entities_is_refused(home: Home, encoding: str) -> None:
    """A list that could grow out of a few bytes is not read, in whatever encoding it comes."""
    home.shelf.forced = answering(207, "PROPFIND", body=BOMB.format(encoding=encoding).encode(encoding))
    assert "no list of a collection" in str(home.publish(THREE).stopped)
    assert home.shelf.methods() == ["PROPFIND"]


@pytest.mark.parametrize("body", [b"", b"<html>", b"\xff\xfe", b'<?xml version="1.0" encoding="none-such"?><a/>'])
def test_list_that_is_none_is_refused(home: Home, body: bytes) -> None:
    """A list that cannot be read stops the run before anything is written."""
    home.shelf.forced = answering(207, "PROPFIND", body=body)
    assert "no list of a collection" in str(home.publish(THREE).stopped)


def test_server_that_is_no_calendar_server(home: Home) -> None:
    """A web page in answer to the list says that it is the wrong address or way."""
    home.shelf.forced = answering(200, "PROPFIND", body=b"<html></html>")
    assert "--file" in str(home.publish(THREE).stopped)


# As one file.


def test_file_is_put_once_for_each_change(home: Home) -> None:
    """The file is new, then left, then changed, each on its condition."""
    assert counts(home.publish_file(b"one")) == (1, 0, 0, 0, 0)
    assert home.shelf.asked[-1][2]["If-None-Match"] == "*"
    etag = home.shelf.etag("/garden.ics")
    home.shelf.methods()
    assert counts(home.publish_file(b"one")) == (0, 0, 0, 1, 0)
    assert home.shelf.methods() == ["HEAD"]
    assert counts(home.publish_file(b"two")) == (0, 1, 0, 0, 0)
    assert home.shelf.asked[-1][2]["If-Match"] == etag
    assert home.shelf.holds == {"/garden.ics": b"two"}


@pytest.mark.parametrize("overwrite", [False, True])
@pytest.mark.parametrize("is_known", [False, True])
def test_file_of_somebody_else_is_left(home: Home, overwrite: bool, is_known: bool) -> None:
    """A file that was there before, or that somebody changed, is written over only if asked."""
    if is_known:
        home.publish_file(b"one")
    home.shelf.set("/garden.ics", b"theirs")
    report = home.publish_file(b"two", overwrite=overwrite)
    assert home.shelf.holds["/garden.ics"] == (b"two" if overwrite else b"theirs")
    assert report.is_complete == overwrite


def test_events_of_others_are_never_put_over_by_a_file(home: Home) -> None:
    """A calendar of somebody's at the file's address is left, though writing over was asked for: it would delete it."""
    theirs, ours = (
        f"BEGIN:VCALENDAR\r\nPRODID:-//{who}//EN\r\nBEGIN:VEVENT\r\nUID:{uid}\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n".encode()
        for who, uid in (("theirs", "dentist"), ("ours", "a-1"))
    )
    home.shelf.set("/garden.ics", theirs)
    report = home.publish_file(ours, overwrite=True)
    assert home.shelf.holds["/garden.ics"] == theirs
    assert "events that are not ours" in report.left[0]
    assert not report.is_complete


def test_the_state_is_for_its_owner_alone(home: Home) -> None:
    """An address may be a secret, so that nobody else reads where it was published."""
    home.publish_file(b"one")
    assert home.state.stat().st_mode & 0o077 == 0


def test_file_that_was_removed_is_put_again(home: Home) -> None:
    """A published address that somebody emptied is filled again."""
    home.publish_file(b"one")
    home.shelf.holds.clear()
    assert counts(home.publish_file(b"one")) == (1, 0, 0, 0, 0)


def test_file_on_a_server_without_etags(home: Home) -> None:
    """Where there are no ETags the file is read back to see whose it is."""
    home.shelf.tells_etags = False
    assert counts(home.publish_file(b"one")) == (1, 0, 0, 0, 0)
    assert counts(home.publish_file(b"one")) == (0, 0, 0, 1, 0)
    assert counts(home.publish_file(b"two")) == (0, 1, 0, 0, 0)
    home.shelf.set("/garden.ics", b"theirs")
    assert counts(home.publish_file(b"three")) == (0, 0, 0, 0, 1)


@pytest.mark.parametrize(("has_acted", "is_hard"), WAYS)
def test_file_survives_interruptions(tmp_path: Path, has_acted: bool, is_hard: bool) -> None:
    """Interrupted at any request, the next run leaves the file as planned."""
    for number in range(6):
        home = Home(Shelf(), tmp_path / f"{number}.json")
        for content in (b"one", b"two", b"three"):
            exchange = Interrupting(home.shelf, home.state, number, has_acted)
            try:
                home.publish_file(content, exchange)
            except Killed:
                if is_hard:
                    exchange.power_off()
        assert home.publish_file(b"three").left == []
        assert home.shelf.holds == {"/garden.ics": b"three"}


def test_dry_run_of_a_file_only_looks(home: Home) -> None:
    """A dry run of a file asks what is there and writes nothing on either side."""
    assert counts(home.publish_file(b"one", dry_run=True)) == (1, 0, 0, 0, 0)
    assert home.shelf.methods() == ["HEAD"]
    assert not home.state.exists()


# Which way.


@pytest.mark.parametrize(
    ("url", "by_caldav", "as_file", "way", "path"),
    [
        ("https://h/me/cal/", False, False, "caldav", "/me/cal/"),
        ("https://h/me/cal", True, False, "caldav", "/me/cal/"),
        ("https://h/me/cal.ics", False, False, "file", "/me/cal.ics"),
        ("https://h/me/CAL.ICS", False, False, "file", "/me/CAL.ICS"),
        ("https://h/me/cal", False, True, "file", "/me/cal"),
        ("https://h", False, False, "caldav", "/"),
    ],
)
def test_way_goes_by_the_end_of_the_address(url: str, by_caldav: bool, as_file: bool, way: str, path: str) -> None:
    """A slash means CalDAV, .ics a file; an option goes before."""
    address, found = way_of(read_address(url), by_caldav=by_caldav, as_file=as_file)
    assert (found, address.path) == (way, path)


@pytest.mark.parametrize(("url", "both"), [("https://h/me/cal", False), ("https://h/me/cal/", True)])
def test_way_that_is_not_clear_is_a_fault(url: str, both: bool) -> None:
    """An address that could be either, or both options, is asked back."""
    with pytest.raises(InputFaults, match="--caldav"):
        way_of(read_address(url), by_caldav=both, as_file=both)


def test_state_is_json_that_says_its_version(home: Home) -> None:
    """The state holds one record for each event at its address."""
    home.publish(THREE)
    document = json.loads(home.state.read_text())
    assert document["version"] == 1
    assert sorted(document["places"][str(CALENDAR)]) == sorted(THREE)
