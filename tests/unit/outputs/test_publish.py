"""Publishing: what is sent event by event and as one file, and which of the two ways fits an address."""

from __future__ import annotations

import pytest

from steadysow.errors import InputFaults
from steadysow.outputs.publish import way_of
from steadysow.outputs.web import RemoteServer, read_address
from unit.outputs.calendar_server import (
    DENTIST,
    REPLANNED,
    THREE,
    Publisher,
    as_seen,
    counts,
)

# What is sent.


def test_each_event_is_a_resource_of_its_own(publisher: Publisher) -> None:
    """At first each event is new and is only written where nothing is; the second run only asks for the list."""
    assert counts(publisher.publish(THREE)) == (3, 0, 0, 0, 0)
    assert publisher.server.events() == as_seen(THREE)
    puts = [headers for method, _, headers in publisher.server.asked if method == "PUT"]
    assert [put["If-None-Match"] for put in puts] == ["*"] * 3
    assert {put["Content-Type"] for put in puts} == {"text/calendar; charset=utf-8"}
    publisher.server.methods()
    assert counts(publisher.publish(THREE)) == (0, 0, 0, 3, 0)
    assert publisher.server.methods() == ["PROPFIND"]


def test_only_changes_are_sent(publisher: Publisher) -> None:
    """A new plan changes, deletes and adds an event, each under its condition; the event of somebody else stays."""
    publisher.server.set("/me/garden/dentist.ics", DENTIST)
    publisher.publish(THREE)
    etags = {path: publisher.server.etag(path) for path in publisher.server.holds}
    publisher.server.asked.clear()
    assert counts(publisher.publish(REPLANNED)) == (1, 1, 1, 1, 0)
    sent = {path: (method, headers.get("If-Match")) for method, path, headers in publisher.server.asked[1:]}
    assert sent == {
        "/me/garden/a-1.ics": ("PUT", etags["/me/garden/a-1.ics"]),
        "/me/garden/a-3.ics": ("DELETE", etags["/me/garden/a-3.ics"]),
        "/me/garden/a-4.ics": ("PUT", None),
    }
    assert publisher.server.holds["/me/garden/dentist.ics"] == DENTIST
    assert publisher.server.events() == as_seen(REPLANNED) | {"dentist": ("Dentist", "")}


def test_dry_run_only_looks(publisher: Publisher) -> None:
    """A dry run asks for the list, reports what it would do, and writes nothing on either side."""
    publisher.publish(THREE)
    before = publisher.state.read_bytes()
    publisher.server.methods()
    assert counts(publisher.publish(REPLANNED, dry_run=True)) == (1, 1, 1, 1, 0)
    assert publisher.server.methods() == ["PROPFIND"]
    assert publisher.state.read_bytes() == before
    assert publisher.server.events() == as_seen(THREE)


def test_dry_run_asks_only_for_the_list(publisher: Publisher) -> None:
    """Even if events were changed there, a dry run only asks for the list."""
    publisher.publish(THREE)
    publisher.server.set("/me/garden/a-1.ics", DENTIST)
    publisher.server.set("/me/garden/a-3.ics", DENTIST)
    publisher.server.methods()
    publisher.publish(REPLANNED, dry_run=True)
    assert publisher.server.methods() == ["PROPFIND"]


def test_password_is_kept_nowhere(publisher: Publisher) -> None:
    """The password is sent, but is not in the state, the report or the representation of the server."""
    report = publisher.publish(THREE)
    assert publisher.server.asked[0][2]["Authorization"] == "Basic bWU6c2VzYW1l"
    server = RemoteServer(exchange=publisher.server, user="me", password="sesame")
    shown = publisher.state.read_text() + repr(report) + repr(server) + "".join(report.lines())
    assert "sesame" not in shown
    assert "bWU6c2VzYW1l" not in shown


# As one file.


def test_file_is_put_once_for_each_change(publisher: Publisher) -> None:
    """The file is new, then unchanged, then changed, each under its condition."""
    assert counts(publisher.publish_file(b"one")) == (1, 0, 0, 0, 0)
    assert publisher.server.asked[-1][2]["If-None-Match"] == "*"
    etag = publisher.server.etag("/garden.ics")
    publisher.server.methods()
    assert counts(publisher.publish_file(b"one")) == (0, 0, 0, 1, 0)
    assert publisher.server.methods() == ["HEAD"]
    assert counts(publisher.publish_file(b"two")) == (0, 1, 0, 0, 0)
    assert publisher.server.asked[-1][2]["If-Match"] == etag
    assert publisher.server.holds == {"/garden.ics": b"two"}


@pytest.mark.parametrize("overwrite", [False, True])
@pytest.mark.parametrize("is_known", [False, True])
def test_file_of_somebody_else_is_left(publisher: Publisher, overwrite: bool, is_known: bool) -> None:
    """A file that was there before, or that somebody changed, is replaced only with --overwrite."""
    if is_known:
        publisher.publish_file(b"one")
    publisher.server.set("/garden.ics", b"theirs")
    report = publisher.publish_file(b"two", overwrite=overwrite)
    assert publisher.server.holds["/garden.ics"] == (b"two" if overwrite else b"theirs")
    assert report.is_complete == overwrite


def test_file_never_replaces_events_of_others(publisher: Publisher) -> None:
    """Somebody's calendar at the address of the file is left even with --overwrite, since that would delete it."""
    theirs, ours = (
        f"BEGIN:VCALENDAR\r\nPRODID:-//{who}//EN\r\nBEGIN:VEVENT\r\nUID:{uid}\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n".encode()
        for who, uid in (("theirs", "dentist"), ("ours", "a-1"))
    )
    publisher.server.set("/garden.ics", theirs)
    report = publisher.publish_file(ours, overwrite=True)
    assert publisher.server.holds["/garden.ics"] == theirs
    assert "events that are not ours" in report.left[0]
    assert not report.is_complete


def test_file_that_was_removed_is_written_again(publisher: Publisher) -> None:
    """A file that somebody removed from its address is written there again."""
    publisher.publish_file(b"one")
    publisher.server.holds.clear()
    assert counts(publisher.publish_file(b"one")) == (1, 0, 0, 0, 0)


def test_file_on_a_server_without_etags(publisher: Publisher) -> None:
    """Without ETags the file is read back to see whose it is."""
    publisher.server.gives_etags = False
    assert counts(publisher.publish_file(b"one")) == (1, 0, 0, 0, 0)
    assert counts(publisher.publish_file(b"one")) == (0, 0, 0, 1, 0)
    assert counts(publisher.publish_file(b"two")) == (0, 1, 0, 0, 0)
    publisher.server.set("/garden.ics", b"theirs")
    assert counts(publisher.publish_file(b"three")) == (0, 0, 0, 0, 1)


def test_dry_run_of_a_file_only_looks(publisher: Publisher) -> None:
    """A dry run of a file asks what is there, and writes nothing on either side."""
    assert counts(publisher.publish_file(b"one", dry_run=True)) == (1, 0, 0, 0, 0)
    assert publisher.server.methods() == ["HEAD"]
    assert not publisher.state.exists()


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
    """A final slash means CalDAV, .ics means a file, and an option comes before both."""
    address, found = way_of(read_address(url), by_caldav=by_caldav, as_file=as_file)
    assert (found, address.path) == (way, path)


@pytest.mark.parametrize(("url", "both"), [("https://h/me/cal", False), ("https://h/me/cal/", True)])
def test_way_that_is_not_clear_is_a_fault(url: str, both: bool) -> None:
    """An address that could be either, or both options together, is a fault."""
    with pytest.raises(InputFaults, match="--caldav"):
        way_of(read_address(url), by_caldav=both, as_file=both)
