"""Answers to subscribers keep to RFC 9110, have one secret address, and never hold a broken calendar."""

from __future__ import annotations

import gzip
import os
import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from http import HTTPStatus
from pathlib import Path
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from steadysow.chores.listing import list_chores
from steadysow.inputs.garden import Garden
from steadysow.outputs.calendar_state import CalendarState, write_state
from steadysow.outputs.ical import calendar_bytes
from steadysow.outputs.subscription import Answer, Subscription, headers_of, is_known, wants_gzip, what_is_wrong
from steadysow.plan.plan import Plan

NOW = datetime(2026, 10, 5, 7, 30, 15, 123456, tzinfo=UTC)
# When the file changed, for the file system and in HTTP.
CHANGED = datetime(2026, 10, 3, 6, 0, 0, tzinfo=UTC)
CHANGED_TEXT = "Sat, 03 Oct 2026 06:00:00 GMT"

SECRET = "0123456789abcdefABCD_-"
CALENDAR = f"/{SECRET}/calendar.ics"
TASKS = f"/{SECRET}/calendar-tasks.ics"

TINY = b"BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\nUID:1\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"
TINY_TASKS = TINY.replace(b"VEVENT", b"VTODO")


@dataclass
class Served:
    """A subscription to a folder at a moment that a test sets, with its log."""

    folder: Path
    now: datetime = NOW
    log: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.subscription = Subscription(self.folder, SECRET, now=lambda: self.now, log=self.log.append)

    @property
    def file(self) -> Path:
        """The calendar."""
        return self.folder / "calendar.ics"

    def put(self, content: bytes, at: datetime = CHANGED) -> None:
        """Replace the calendar in one step, with a date of its change."""
        fresh = self.folder / "fresh"
        fresh.write_bytes(content)
        os.utime(fresh, (at.timestamp(), at.timestamp()))
        fresh.replace(self.file)

    def ask(self, target: str = CALENDAR, method: str = "GET", **headers: str) -> Answer:
        """Ask as a client; headers have underscores for hyphens."""
        return self.subscription.answer(
            method, target, {name.replace("_", "-"): value for name, value in headers.items()}
        )


@pytest.fixture
def content(garden: Garden, plan: Plan) -> bytes:
    """Give a real calendar."""
    return calendar_bytes(garden, plan, list_chores(garden, plan), CalendarState(), NOW)[0]


@pytest.fixture
def served(tmp_path: Path, content: bytes) -> Served:
    """Give a subscription to a real calendar."""
    served = Served(tmp_path)
    served.put(content)
    return served


def header(answer: Answer, name: str) -> str | None:
    """Give a header of an answer; it must not be there twice."""
    found = [value for key, value in headers_of(answer) if key.casefold() == name.casefold()]
    assert len(found) <= 1
    return found[0] if found else None


# What is answered.


def test_calendar_is_served_as_it_is_on_disk(served: Served, content: bytes) -> None:
    """The answer has all bytes of the file and the type of a calendar, and clients must ask again each time."""
    answer = served.ask()
    assert (answer.status, answer.body) == (200, content)
    assert header(answer, "Content-Type") == "text/calendar; charset=utf-8"
    assert header(answer, "Content-Length") == str(len(content))
    assert header(answer, "Cache-Control") == "no-cache"
    assert header(answer, "Last-Modified") == CHANGED_TEXT
    assert header(answer, "X-Content-Type-Options") == "nosniff"
    assert header(answer, "Content-Encoding") is None
    # RFC 9110, 8.8.3: a strong tag is quoted and has no W/ before it.
    assert re.fullmatch(r'"[\x21\x23-\x7e]+"', header(answer, "ETag") or "")


def test_tag_depends_on_the_bytes_alone(served: Served, content: bytes) -> None:
    """The same bytes always have the same tag, and other bytes have another tag."""
    first = header(served.ask(), "ETag")
    served.put(content, CHANGED + timedelta(hours=5))
    assert header(served.ask(), "ETag") == first
    assert header(Served(served.folder).ask(), "ETag") == first
    served.put(content.replace(b"mizuna", b"mizunb"))
    assert header(served.ask(), "ETag") != first


def test_tasks_are_served_if_they_exist(served: Served) -> None:
    """The file of tasks has an address under the same secret; a missing file is no fault, a broken one is."""
    assert served.ask(TASKS).status == 404
    (served.folder / "calendar-tasks.ics").write_bytes(TINY_TASKS)
    answer = served.ask(TASKS)
    assert (answer.status, answer.body, answer.what) == (200, TINY_TASKS, "tasks")
    (served.folder / "calendar-tasks.ics").write_bytes(TINY)
    assert served.ask(TASKS).status == 503


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "OPTIONS", "TRACE", "PROPFIND", "get", "MADEUP"])
@pytest.mark.parametrize("target", [CALENDAR, "/", "*"])
def test_other_methods_are_refused(served: Served, method: str, target: str) -> None:
    """Any method but GET and HEAD is refused with the allowed methods, and changes nothing."""
    before = {path: path.read_bytes() for path in served.folder.iterdir()}
    answer = served.ask(target, method)
    assert (answer.status, header(answer, "Allow")) == (405, "GET, HEAD")
    assert {path: path.read_bytes() for path in served.folder.iterdir()} == before


@pytest.mark.parametrize(
    "target",
    [
        "/",
        "",
        "*",
        "/calendar.ics",
        f"/{SECRET}",
        f"/{SECRET}/",
        f"/{SECRET}/index.html",
        f"/{SECRET}/garden.yaml",
        f"/{SECRET}/plan.json",
        f"/{SECRET}/calendar-state.json",
        f"/{SECRET[:-1]}/calendar.ics",
        f"/{SECRET}-/calendar.ics",
        f"/{SECRET.swapcase()}/calendar.ics",
        f"//{SECRET}/calendar.ics",
        f"/{SECRET}//calendar.ics",
        f"{CALENDAR}/",
        f"{CALENDAR}#top",
        f"{CALENDAR}%00",
        f"{CALENDAR}\0",
        f"{CALENDAR}%20",
        f"{CALENDAR}.bak",
        f"{CALENDAR};x",
        f"/{SECRET}%2fcalendar.ics",
        f"/{SECRET}%2Fcalendar.ics",
        f"/{SECRET}\\calendar.ics",
        f"/{SECRET}/calendar%2eics",
        f"/{SECRET}/calendar%252eics",
        f"/./{SECRET}/calendar.ics",
        f"/{SECRET}/./calendar.ics",
        f"/{SECRET}/../{SECRET}/calendar.ics",
        f"/x/../{SECRET}/calendar.ics",
        f"/{SECRET}/%2e%2e/calendar-state.json",
        f"/{SECRET}/../calendar-state.json",
        f"/{SECRET}/..%2fgarden.yaml",
        "/../../../../etc/passwd",
        "/%2e%2e/%2e%2e/etc/passwd",
        f"ftp://here{CALENDAR}",
        f"http:{CALENDAR}",
        f"x{CALENDAR}",
        "/robots.txt",
        "/favicon.ico",
        "/" + "a" * 7000,
        f"/{SECRET}/calendar.ics\xe9",
    ],
)
def test_nothing_else_is_there(served: Served, target: str) -> None:
    """Any target but the exact address gets the plain answer that nothing is there."""
    for path in ("garden.yaml", "plan.json", "calendar-tasks.ics.bak", "index.html"):
        (served.folder / path).write_text("hidden", encoding="utf-8")
    answer = served.ask(target)
    assert (answer.status, answer.body) == (404, b"There is nothing here.\n")
    assert header(answer, "Content-Type") == "text/plain; charset=utf-8"
    assert header(answer, "X-Content-Type-Options") == "nosniff"


@pytest.mark.parametrize("target", [f"{CALENDAR}?x=1", f"http://other.example{CALENDAR}", f"HTTP://[::1]:80{CALENDAR}"])
def test_host_and_query_make_no_difference(served: Served, content: bytes, target: str) -> None:
    """A target with its host must be answered (RFC 9112, 3.2.2), and a query asks for the same file."""
    assert served.ask(target, host="other.example").body == content


@given(
    target=st.text(st.characters(max_codepoint=255), max_size=80) | st.from_regex(rf"/{SECRET}[^?]*", fullmatch=True)
)
@example(CALENDAR)
def test_no_other_target_is_answered(target: str) -> None:
    """Whatever a client asks for, only the exact address is answered."""
    subscription = Subscription(Path("/nonexistent"), SECRET, now=lambda: NOW, log=lambda _: None)
    expected = HTTPStatus.SERVICE_UNAVAILABLE if target == CALENDAR else HTTPStatus.NOT_FOUND
    assert subscription.answer("GET", target, {}).status == expected


# The secret.


def test_new_secret_ends_the_old_address_at_once(served: Served, content: bytes) -> None:
    """A secret that another command writes into the state is valid from the next request on."""
    assert served.ask().status == 200
    state = CalendarState(secret="another-secret-of-22-ch")
    write_state(served.folder / "calendar-state.json", state)
    assert served.ask().status == 404
    assert served.ask("/another-secret-of-22-ch/calendar.ics").body == content


@pytest.mark.parametrize("damage", ["gone", "without", "", "{"])
def test_address_outlasts_a_lost_state(served: Served, damage: str) -> None:
    """If the state is lost or damaged while serving, the address stays valid."""
    state_file = served.folder / "calendar-state.json"
    write_state(state_file, CalendarState(secret="another-secret-of-22-ch"))
    assert served.ask().status == 404
    state_file.unlink()
    if damage == "without":
        write_state(state_file, CalendarState())
    elif damage != "gone":
        state_file.write_text(damage, encoding="utf-8")
    for _ in range(3):
        assert served.ask("/another-secret-of-22-ch/calendar.ics").status == 200
        assert served.ask().status == 404
    # The new address and the damaged state are logged once, not at every request.
    assert len(served.log) == (2 if damage in ("", "{") else 1)
    assert "the address has changed" in served.log[0]


# Requests on a condition (RFC 9110, 13).


def test_unchanged_calendar_is_not_sent_again(served: Served) -> None:
    """If the client has this tag or date, the answer is 304 with the same stamps, no body and no length."""
    first = served.ask()
    for condition in (
        {"if_none_match": header(first, "ETag") or ""},
        {"if_modified_since": header(first, "Last-Modified") or ""},
    ):
        again = served.ask(**condition)
        assert (again.status, again.body) == (304, b"")
        for name in ("ETag", "Last-Modified", "Cache-Control", "Vary"):
            assert header(again, name) == header(first, name) is not None
        assert header(again, "Content-Length") is None


@pytest.mark.parametrize(
    ("condition", "known"),
    [
        ({"if-none-match": '"abc"'}, True),
        ({"if-none-match": 'W/"abc"'}, True),
        ({"if-none-match": '"x", W/"y" , "abc"'}, True),
        ({"if-none-match": '"x","abc"'}, True),
        ({"if-none-match": '"a,b", "abc"'}, True),
        ({"if-none-match": "*"}, True),
        ({"if-none-match": ' "abc" '}, True),
        ({"if-none-match": '"x"'}, False),
        ({"if-none-match": '"ABC"'}, False),
        ({"if-none-match": '"abcd"'}, False),
        ({"if-none-match": "abc"}, False),
        ({"if-none-match": ""}, False),
        ({"if-none-match": '"*"'}, False),
        # The date counts only where there is no tag, even a spoilt one (13.1.3).
        ({"if-none-match": '"x"', "if-modified-since": CHANGED_TEXT}, False),
        ({"if-none-match": "", "if-modified-since": CHANGED_TEXT}, False),
        ({"if-none-match": '"abc"', "if-modified-since": "Sat, 03 Oct 2020 06:00:00 GMT"}, True),
        ({"if-modified-since": CHANGED_TEXT}, True),
        ({"if-modified-since": "Sat, 03 Oct 2026 06:00:01 GMT"}, True),
        ({"if-modified-since": "Sat, 03 Oct 2026 05:59:59 GMT"}, False),
        # The two old forms of a date (5.6.7).
        ({"if-modified-since": "Saturday, 03-Oct-26 06:00:00 GMT"}, True),
        ({"if-modified-since": "Sat Oct  3 06:00:00 2026"}, True),
        ({"if-modified-since": "Sat Oct  3 05:00:00 2026"}, False),
        ({"if-modified-since": "yesterday"}, False),
        ({"if-modified-since": "Sat, 99 Oct 2026 06:00:00 GMT"}, False),
        ({"if-modified-since": ""}, False),
        ({}, False),
    ],
)
def test_conditions(condition: dict[str, str], known: bool) -> None:
    """Tags come first, in lists and also weak ones; a date only counts without tags."""
    assert is_known(condition, "abc", CHANGED) is known


def test_date_in_the_future_is_neither_sent_nor_compared(served: Served, content: bytes) -> None:
    """A file with a date in the future has no date for clients until then (8.8.2.1)."""
    served.put(content, NOW + timedelta(days=1))
    assert header(served.ask(), "Last-Modified") is None
    assert served.ask(if_modified_since="Fri, 01 Jan 2100 00:00:00 GMT").status == 200


@pytest.mark.parametrize("later", [timedelta(0), timedelta(days=-30), timedelta(milliseconds=400)])
def test_other_bytes_never_look_unchanged_by_their_date(served: Served, later: timedelta) -> None:
    """A second version within a second, or an older file put back, is sent to clients that compare dates."""
    date = header(served.ask(), "Last-Modified") or ""
    served.put(TINY, CHANGED + later)
    answer = served.ask(if_modified_since=date)
    assert (answer.status, answer.body) == (200, TINY)
    assert served.ask(if_modified_since=header(answer, "Last-Modified") or "").status == 304


# Gzip (RFC 9110, 12.5.3).


@pytest.mark.parametrize(
    ("accepted", "wanted"),
    [
        ("gzip", True),
        ("gzip, deflate, br", True),
        ("deflate,GZIP", True),
        ("x-gzip", True),
        ("*", True),
        ("compress, gzip", True),
        ("compress;q=0.5, gzip;q=1.0", True),
        ("gzip;q=1.0, identity; q=0.5, *;q=0", True),
        ("gzip;q=0.001", True),
        ("gzip ; Q=0.5", True),
        ("", False),
        ("identity", False),
        ("br, deflate", False),
        ("gzip;q=0", False),
        ("gzip;q=0.000", False),
        ("gzip;q=0, *", False),
        ("*;q=0", False),
        ("identity;q=1, gzip;q=0.5", False),
        ("identity, *;q=0.1", False),
        ("gzip;q=lots", False),
        ("gzip;q=", False),
        ("gzip;q=-1", False),
        ("gzipped", False),
        (",;,;q=1,", False),
    ],
)
def test_gzip_is_sent_to_clients_that_prefer_it(accepted: str, wanted: bool) -> None:
    """Weights count, zero forbids, and a weight that cannot be read counts as zero."""
    assert wants_gzip(accepted) is wanted


@given(st.text(max_size=60))
def test_any_header_can_be_read(accepted: str) -> None:
    """No header makes the server fail, and without the word gzip or a star there is no gzip."""
    assert not wants_gzip(accepted) or "gzip" in accepted.casefold() or "*" in accepted


def test_gzip_has_a_tag_of_its_own(served: Served, content: bytes) -> None:
    """The zipped calendar is smaller and unzips to the same; each form has its tag, and caches know of both."""
    plain, zipped = served.ask(), served.ask(accept_encoding="gzip")
    assert gzip.decompress(zipped.body) == content
    assert len(zipped.body) < len(content) / 2
    assert header(zipped, "Content-Encoding") == "gzip"
    assert header(zipped, "Content-Length") == str(len(zipped.body))
    assert header(plain, "Vary") == header(zipped, "Vary") == "Accept-Encoding"
    tags = [header(answer, "ETag") or "" for answer in (plain, zipped)]
    assert tags[0] != tags[1]
    assert served.ask(accept_encoding="gzip", if_none_match=tags[1]).status == 304
    assert served.ask(if_none_match=tags[0]).status == 304
    assert served.ask(accept_encoding="gzip", if_none_match=tags[0]).status == 200
    assert Served(served.folder).ask(accept_encoding="gzip").body == zipped.body


# The file on disk.


def test_replaced_file_is_picked_up(served: Served) -> None:
    """The next request after a change gets the new bytes and a new tag."""
    old = header(served.ask(), "ETag") or ""
    served.put(TINY, CHANGED + timedelta(hours=1))
    answer = served.ask(if_none_match=old)
    assert (answer.status, answer.body) == (200, TINY)


def test_change_in_place_is_picked_up(served: Served, content: bytes) -> None:
    """A file that is overwritten with the same size and date is seen to have changed."""
    served.ask()
    other = content.replace(b"mizuna", b"mizunb")
    served.file.write_bytes(other)
    os.utime(served.file, (CHANGED.timestamp(), CHANGED.timestamp()))
    assert served.ask().body == other


def test_unchanged_file_is_not_read_again(served: Served, monkeypatch: pytest.MonkeyPatch) -> None:
    """As long as nothing changes, the file is not opened."""
    served.ask()

    def refuse(*_: object, **__: object) -> None:
        raise AssertionError("read again")

    monkeypatch.setattr(Path, "open", refuse)
    assert served.ask().status == 200


def replace_by_pipe(file: Path) -> None:
    """Replace a file by a pipe, which never ends when it is read."""
    file.unlink()
    os.mkfifo(file)


@pytest.mark.parametrize(
    ("damage", "why"),
    [
        (lambda file: file.unlink(), "is missing"),
        (lambda file: file.write_bytes(b""), "is empty"),
        (lambda file: file.write_bytes(b"\r\n \n"), "is empty"),
        (lambda file: file.write_bytes(bytes(4096)), "is empty"),
        (lambda file: file.write_bytes(file.read_bytes()[:-2000]), "is cut off"),
        (lambda file: file.write_bytes(file.read_bytes()[:5000] + bytes(512)), "is not a calendar"),
        (lambda file: file.write_bytes(b"<!DOCTYPE html><p>502 Bad Gateway"), "is not a calendar"),
        (lambda file: file.write_bytes(b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nEND:VCALENDAR\r\n"), "holds no VEVENT"),
        (lambda file: file.write_bytes(TINY_TASKS), "holds no VEVENT"),
        (lambda file: file.write_bytes(TINY + TINY), "goes on after its end"),
        (lambda file: file.write_bytes(TINY.replace(b"END:VEVENT\r\n", b"")), "out of place"),
        (lambda file: file.write_bytes(TINY.replace(b"UID:1", b"UID:\xe9")), "is not in UTF-8"),
        (lambda file: (file.unlink(), file.mkdir()), "is not a file"),
        (replace_by_pipe, "is not a file"),
        (lambda file: (file.unlink(), file.symlink_to(file)), "cannot be read"),
    ],
)
def test_broken_calendar_is_never_served(served: Served, content: bytes, damage: Any, why: str) -> None:
    """The answer asks to come later and names the reason, which the log has too; a whole file is served again."""
    tag = header(served.ask(), "ETag") or ""
    damage(served.file)
    for condition in ({}, {"if_none_match": tag}, {"if_none_match": "*"}, {"if_modified_since": CHANGED_TEXT}):
        answer = served.ask(**condition)
        assert answer.status == 503
        assert int(header(answer, "Retry-After") or "") > 0
        assert header(answer, "Content-Type") == "text/plain; charset=utf-8"
        assert header(answer, "Cache-Control") == "no-store"
        assert header(answer, "ETag") is None
        assert b"BEGIN" not in answer.body
        assert why.encode() in answer.body
        assert why in answer.why
    if served.file.is_dir() and not served.file.is_symlink():
        served.file.rmdir()
    served.put(content)
    answer = served.ask()
    assert (answer.status, header(answer, "ETag")) == (200, tag)


def test_a_part_of_a_calendar_is_not_whole(content: bytes) -> None:
    """A calendar that is cut anywhere before its last line break is not whole."""
    assert what_is_wrong(content, b"VEVENT") == ""
    whole = content.rstrip()
    assert [end for end in range(len(whole)) if not what_is_wrong(content[:end], b"VEVENT")] == []


# The log.


def ask_server(subscription: Subscription, method: str, target: str, **more: str) -> tuple[str, dict[str, str], bytes]:
    """Ask through the server's interface (PEP 3333)."""
    started: list[tuple[str, list[tuple[str, str]]]] = []

    def start_response(status: str, headers: list[tuple[str, str]], *_: object) -> Any:
        started.append((status, headers))

    environ = {"REQUEST_METHOD": method, "REQUEST_URI": target, "REMOTE_ADDR": "192.168.1.7", **more}
    body: Iterable[bytes] = subscription(environ, start_response)
    ((status, headers),) = started
    return status, dict(headers), b"".join(body)


def test_head_is_get_without_its_body(served: Served, content: bytes) -> None:
    """HEAD gets every header of GET, even the length, and no byte of the body."""
    got = ask_server(served.subscription, "GET", CALENDAR)
    head = ask_server(served.subscription, "HEAD", CALENDAR)
    assert got == ("200 OK", head[1], content)
    assert head[0] == got[0]
    assert head[2] == b""
    assert head[1]["Content-Length"] == str(len(content))


def test_headers_arrive_from_the_server(served: Served) -> None:
    """Headers with the names of the server's interface are understood."""
    zipped = ask_server(served.subscription, "GET", CALENDAR, HTTP_ACCEPT_ENCODING="gzip")[1]
    assert zipped["Content-Encoding"] == "gzip"
    again = ask_server(
        served.subscription, "GET", CALENDAR, HTTP_ACCEPT_ENCODING="gzip", HTTP_IF_NONE_MATCH=zipped["ETag"]
    )
    assert (again[0], again[2]) == ("304 Not Modified", b"")


def test_each_request_is_one_line_without_the_address(served: Served, content: bytes) -> None:
    """A line has time, method, status, bytes, client and file, but never the secret, the path or a made-up method."""
    tag = header(served.ask(), "ETag") or ""
    ask_server(served.subscription, "GET", CALENDAR)
    ask_server(served.subscription, "HEAD", CALENDAR)
    ask_server(served.subscription, "GET", CALENDAR, HTTP_IF_NONE_MATCH=tag)
    ask_server(served.subscription, "GET", f"/{SECRET}/../garden.yaml")
    ask_server(served.subscription, "GET", TASKS)
    ask_server(served.subscription, "X\x1b[31m", CALENDAR)
    served.put(b"")
    ask_server(served.subscription, "GET", CALENDAR)
    moment = "2026-10-05T07:30:15+00:00"
    assert [line.removesuffix(")").split(" ", 6) for line in served.log] == [
        [moment, "GET", "200", str(len(content)), "192.168.1.7", "calendar"],
        [moment, "HEAD", "200", "0", "192.168.1.7", "calendar"],
        [moment, "GET", "304", "0", "192.168.1.7", "calendar"],
        [moment, "GET", "404", "23", "192.168.1.7", "?"],
        [moment, "GET", "404", "23", "192.168.1.7", "tasks", "(calendar-tasks.ics is missing"],
        [moment, "?", "405", "37", "192.168.1.7", "calendar"],
        [moment, "GET", "503", served.log[-1].split()[3], "192.168.1.7", "calendar", "(calendar.ics is empty"],
    ]
    assert not any(SECRET in line or "garden.yaml" in line or "\x1b" in line for line in served.log)


def test_fault_of_ours_shows_no_details(served: Served, monkeypatch: pytest.MonkeyPatch) -> None:
    """An unforeseen fault is answered in plain words, without its text, which could hold the address."""

    def fail(*_: object) -> Answer:
        raise ValueError(CALENDAR)

    monkeypatch.setattr(served.subscription, "answer", fail)
    status, _, body = ask_server(served.subscription, "GET", CALENDAR)
    assert (status, body) == ("500 Internal Server Error", b"The mistake is here, not in your request.\n")
    assert served.log[0].endswith("500 42 192.168.1.7 ? (a fault of steadysow: ValueError)")


@pytest.mark.parametrize("error", [BrokenPipeError(), ValueError("I/O operation on closed file")])
def test_lost_log_stops_no_answer(tmp_path: Path, error: Exception) -> None:
    """Phones get answers even if the log cannot be written any more."""

    def fail(_: str) -> None:
        raise error

    subscription = Subscription(tmp_path, SECRET, now=lambda: NOW, log=fail)
    assert ask_server(subscription, "GET", "/")[0] == "404 Not Found"


def test_serving_changes_no_file(served: Served) -> None:
    """Whatever a client asks for, neither the calendar nor its state is written."""
    write_state(served.folder / "calendar-state.json", CalendarState(secret=SECRET))
    before = {path: (path.read_bytes(), path.stat().st_mtime_ns) for path in served.folder.iterdir()}
    assert [served.ask(target).status for target in (CALENDAR, TASKS, "/")] == [200, 404, 404]
    assert {path: (path.read_bytes(), path.stat().st_mtime_ns) for path in served.folder.iterdir()} == before
