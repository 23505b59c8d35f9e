"""Publishing leaves what others write, bears servers with other habits, and completes interrupted runs."""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadysow.outputs.web import Address, Headers, Response
from unit.outputs.calendar_server import (
    DENTIST,
    REPLANNED,
    THREE,
    CalendarServer,
    Event,
    Publisher,
    answering,
    as_seen,
    as_usual,
    counts,
)

# Others write there as well.


@pytest.mark.parametrize("overwrite", [False, True])
def test_edit_of_somebody_else_is_left_without_overwrite(publisher: Publisher, overwrite: bool) -> None:
    """An event that somebody changed is reported and left, even if the plan moved it; --overwrite replaces it."""
    publisher.publish(THREE)
    edited = publisher.server.edit("a-1", b"SUMMARY:Sow", b"SUMMARY:Sow with grandpa")
    report = publisher.publish(REPLANNED, overwrite=overwrite)
    if overwrite:
        assert counts(report) == (1, 1, 1, 1, 0)
        assert publisher.server.events() == as_seen(REPLANNED)
        return
    assert counts(report) == (1, 0, 1, 1, 1)
    assert not report.is_complete
    assert any("Left alone: Sow, Mon 9 Nov (changed there by somebody else)" in line for line in report.lines())
    assert publisher.server.holds["/me/garden/a-1.ics"] == edited
    # A later run does not take it for ours either.
    assert counts(publisher.publish(REPLANNED)) == (0, 0, 0, 2, 1)
    assert publisher.server.holds["/me/garden/a-1.ics"] == edited


def test_edit_holds_nothing_back_while_the_plan_stays(publisher: Publisher) -> None:
    """As long as the plan did not change, an edit there is reported, and publishing is complete."""
    publisher.publish(THREE)
    publisher.server.edit("a-2", b"20261102", b"20261105")
    report = publisher.publish(THREE)
    assert counts(report) == (0, 0, 0, 2, 1)
    assert report.is_complete


@pytest.mark.parametrize("overwrite", [False, True])
def test_event_deleted_by_somebody_else_stays_away_without_overwrite(publisher: Publisher, overwrite: bool) -> None:
    """An event that somebody deleted there returns only with --overwrite."""
    publisher.publish(THREE)
    del publisher.server.holds["/me/garden/a-1.ics"]
    report = publisher.publish(REPLANNED, overwrite=overwrite)
    assert ("a-1" in publisher.server.events()) == overwrite
    assert len(report.left) == (not overwrite)


@pytest.mark.parametrize("overwrite", [False, True])
def test_dropped_event_that_somebody_edited_is_left(publisher: Publisher, overwrite: bool) -> None:
    """An event that is no longer planned, but that somebody edited, is deleted only with --overwrite."""
    publisher.publish(THREE)
    publisher.server.edit("a-3", b"Clean", b"Clean twice")
    report = publisher.publish(REPLANNED, overwrite=overwrite)
    assert ("a-3" in publisher.server.events()) == (not overwrite)
    assert [line.split(",")[0] for line in report.left] == ([] if overwrite else ["Clean twice"])


def test_dismissed_alarm_is_no_edit(publisher: Publisher) -> None:
    """A client that notes a seen alarm, and stamps the event, has not edited it."""
    publisher.publish(THREE)
    publisher.server.edit("a-1", b"DTSTAMP:20261001", b"X-LASTACK:1\r\nDTSTAMP:20261111")
    assert counts(publisher.publish(REPLANNED)) == (1, 1, 1, 1, 0)
    assert publisher.server.events() == as_seen(REPLANNED)


def test_edit_between_list_and_writing_is_seen(publisher: Publisher) -> None:
    """An edit that is made after we asked for the list is left as well."""
    publisher.publish(THREE)
    edited = publisher.server.holds["/me/garden/a-1.ics"].replace(b"SUMMARY:Sow", b"SUMMARY:Mine")

    def exchange(address: Address, method: str, headers: Headers, body: bytes | None) -> Response:
        if method == "PUT" and publisher.server.holds["/me/garden/a-1.ics"] != edited:
            publisher.server.set("/me/garden/a-1.ics", edited)
        return publisher.server(address, method, headers, body)

    report = publisher.publish(REPLANNED, exchange=exchange)
    assert len(report.left) == 1
    assert publisher.server.holds["/me/garden/a-1.ics"] == edited


def test_an_event_that_we_never_wrote_is_left(publisher: Publisher) -> None:
    """An event with a UID of ours that we never wrote is not ours, and is neither changed nor deleted."""
    other = DENTIST.replace(b"UID:dentist", b"UID:a-1")
    publisher.server.set("/me/garden/a-1.ics", other)
    assert counts(publisher.publish(THREE)) == (2, 0, 0, 0, 1)
    publisher.publish({"a-2": THREE["a-2"]})
    assert publisher.server.holds == {
        "/me/garden/a-1.ics": other,
        "/me/garden/a-2.ics": publisher.server.holds["/me/garden/a-2.ics"],
    }


# Interruptions.


class Killed(BaseException):
    """The end of our process, at once."""


@dataclass
class Interrupting:
    """An exchange that ends our process at a certain request, before or after the server has acted."""

    server: CalendarServer
    state: Path
    at: int
    has_acted: bool
    state_then: bytes | None = None

    def __call__(self, address: Address, method: str, headers: Headers, body: bytes | None) -> Response:
        """Pass a request on, or end the process."""
        self.at -= 1
        if self.at >= 0:
            return self.server(address, method, headers, body)
        if self.has_acted:
            self.server(address, method, headers, body)
        self.state_then = self.state.read_bytes() if self.state.exists() else None
        raise Killed

    def power_off(self) -> None:
        """Put the state back to that moment, as after a power cut: the process could not save anything any more."""
        if self.state_then is None:
            self.state.unlink(missing_ok=True)
        else:
            self.state.write_bytes(self.state_then)


def interrupted(
    publisher: Publisher,
    events: Mapping[str, Event],
    at: int,
    *,
    has_acted: bool,
    is_hard: bool,
    make_collection: bool = False,
) -> bool:
    """Publish with an interruption at a certain request; say whether there were so many requests."""
    exchange = Interrupting(publisher.server, publisher.state, at, has_acted)
    try:
        publisher.publish(events, exchange=exchange, make_collection=make_collection)
    except Killed:
        if is_hard:
            exchange.power_off()
        return True
    return False


WAYS = list(itertools.product([False, True], [False, True]))


@pytest.mark.parametrize(("has_acted", "is_hard"), WAYS)
def test_next_run_completes_any_interrupted_run(tmp_path: Path, has_acted: bool, is_hard: bool) -> None:
    """After an interruption at any request of a first or second run, the next run leaves exactly the plan."""
    for number in itertools.count():
        publisher = Publisher(CalendarServer(calendars=set()), tmp_path / f"{number}.json")
        again = interrupted(publisher, THREE, number, has_acted=has_acted, is_hard=is_hard, make_collection=True)
        assert publisher.publish(THREE, make_collection=True).is_complete
        assert publisher.server.events() == as_seen(THREE)
        publisher.server.set("/me/garden/dentist.ics", DENTIST)
        again |= interrupted(publisher, REPLANNED, number, has_acted=has_acted, is_hard=is_hard)
        assert publisher.publish(REPLANNED).left == []
        assert publisher.server.events() == as_seen(REPLANNED) | {"dentist": ("Dentist", "")}
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
@given(runs=runs, last=plans, gives_etag=st.booleans())
def test_any_series_of_interrupted_runs_is_completed(
    runs: list[tuple[dict[str, Event], int, bool, bool]], last: dict[str, Event], gives_etag: bool
) -> None:
    """However often runs were interrupted while the plan changed, the last run leaves exactly the last plan."""
    with TemporaryDirectory() as folder:
        publisher = Publisher(CalendarServer(gives_etag_after_put=gives_etag), Path(folder) / "state.json")
        publisher.server.set("/me/garden/dentist.ics", DENTIST)
        for sequence, (events, at, has_acted, is_hard) in enumerate(runs):
            revised = {uid: Event(event.summary, event.day, sequence) for uid, event in events.items()}
            interrupted(publisher, revised, at, has_acted=has_acted, is_hard=is_hard)
        report = publisher.publish({uid: Event(event.summary, event.day, len(runs)) for uid, event in last.items()})
        assert report.is_complete
        assert report.left == []
        assert publisher.server.events() == as_seen(last) | {"dentist": ("Dentist", "")}
        publisher.server.methods()
        publisher.publish({uid: Event(event.summary, event.day, len(runs)) for uid, event in last.items()})
        assert publisher.server.methods() == ["PROPFIND"]


@pytest.mark.parametrize(("has_acted", "is_hard"), WAYS)
def test_file_survives_interruptions(tmp_path: Path, has_acted: bool, is_hard: bool) -> None:
    """After an interruption at any request, the next run leaves the file as planned."""
    for number in range(6):
        publisher = Publisher(CalendarServer(), tmp_path / f"{number}.json")
        for content in (b"one", b"two", b"three"):
            exchange = Interrupting(publisher.server, publisher.state, number, has_acted)
            try:
                publisher.publish_file(content, exchange)
            except Killed:
                if is_hard:
                    exchange.power_off()
        assert publisher.publish_file(b"three").left == []
        assert publisher.server.holds == {"/garden.ics": b"three"}


# Servers with other habits.


def test_server_that_rewrites_and_gives_no_etag(publisher: Publisher) -> None:
    """A server that rewrites events and so gives no ETag is asked for it; its rewriting is not an edit."""
    publisher.server.gives_etag_after_put = False
    publisher.server.rewrite = lambda body: body.replace(b"SEQUENCE:0\r\n", b"").replace(
        b"END:VEVENT", b"CLASS:PUBLIC\r\nEND:VEVENT"
    )
    assert counts(publisher.publish(THREE)) == (3, 0, 0, 0, 0)
    assert counts(publisher.publish(REPLANNED)) == (1, 1, 1, 1, 0)
    assert publisher.server.events() == as_seen(REPLANNED)


@pytest.mark.parametrize(
    ("status", "words", "advice"),
    [
        (401, "does not accept this name and password", "--keep-password"),
        (403, "does not let me write here", "shared with you"),
        (404, "has nothing at this address", "Check the address"),
        (507, "has no room left", "Free some room there"),
    ],
)
def test_answer_about_all_events_stops_the_run(publisher: Publisher, status: int, words: str, advice: str) -> None:
    """If no further request can succeed, the run stops with a remedy, and the next run goes on."""
    publisher.server.forced = answering(status, "PUT", path="a-2.ics")
    report = publisher.publish(THREE)
    assert publisher.server.methods() == ["PROPFIND", "PUT", "PUT"]
    assert not report.is_complete
    assert words in str(report.stopped)
    assert f"({status})" in str(report.stopped)
    assert advice in str(report.stopped)
    assert "sesame" not in "".join(report.lines())
    publisher.server.forced = as_usual
    assert counts(publisher.publish(THREE)) == (2, 0, 0, 1, 0)


@pytest.mark.parametrize("status", [400, 409, 413, 415, 423])
def test_answer_about_one_event_stops_no_other(publisher: Publisher, status: int) -> None:
    """An event that the server refuses is named; the others are published, and the next run tries it again."""
    publisher.server.forced = answering(status, "PUT", path="a-2.ics")
    report = publisher.publish(THREE)
    assert sorted(publisher.server.events()) == ["a-1", "a-3"]
    assert not report.is_complete
    (line,) = [line for line in report.lines() if "Not published" in line]
    assert "Cut, Mon 2 Nov" in line
    assert f"({status})" in line
    publisher.server.forced = as_usual
    assert counts(publisher.publish(THREE)) == (1, 0, 0, 2, 0)


def test_event_that_is_there_under_another_name(publisher: Publisher) -> None:
    """A server that has the UID elsewhere in the calendar (RFC 4791, 5.3.2.1) refuses only that event."""
    body = b'<error xmlns="DAV:"><C:no-uid-conflict xmlns:C="urn:ietf:params:xml:ns:caldav"/></error>'
    publisher.server.forced = answering(403, "PUT", path="a-2.ics", body=body)
    report = publisher.publish(THREE)
    assert sorted(publisher.server.events()) == ["a-1", "a-3"]
    assert "under another name" in report.failed[0]


def test_busy_server_is_asked_three_times_more(publisher: Publisher) -> None:
    """After an answer of 503 it waits longer each time, at least as long as the server asks, then stops."""
    publisher.server.forced = answering(503, "PUT", retry_after="3")
    waits: list[float] = []
    report = publisher.publish(THREE, wait=waits.append)
    assert publisher.server.methods() == ["PROPFIND"] + ["PUT"] * 4
    assert waits == sorted(waits)
    assert min(waits) == 3
    assert len(set(waits)) == 3
    assert "in trouble (503), even after 3 more tries" in str(report.stopped)


def test_busy_server_that_acted_nevertheless(publisher: Publisher) -> None:
    """A request that was carried out but answered with 502 is recognised as ours when it is repeated."""
    failed: set[tuple[str, str]] = set()

    def exchange(address: Address, method: str, headers: Headers, body: bytes | None) -> Response:
        answer = publisher.server(address, method, headers, body)
        if method in ("PUT", "DELETE") and (method, address.path) not in failed:
            failed.add((method, address.path))
            return Response(status=502, headers={}, body=b"", address=address)
        return answer

    assert counts(publisher.publish(THREE, exchange=exchange, wait=lambda _: None)) == (3, 0, 0, 0, 0)
    failed.clear()
    assert counts(publisher.publish(REPLANNED, exchange=exchange, wait=lambda _: None)) == (1, 1, 1, 1, 0)
    assert publisher.server.events() == as_seen(REPLANNED)


def test_many_troubles_are_not_all_named(publisher: Publisher) -> None:
    """Of many refused events, ten are named and the others counted."""
    publisher.server.forced = answering(423, "PUT")
    report = publisher.publish({f"a-{number}": Event("Sow") for number in range(40)})
    assert len([line for line in report.lines() if "Not published" in line]) == 11
    assert "Not published: 30 more." in report.lines()
