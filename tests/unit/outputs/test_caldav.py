"""CalDAV collections: listed, made when asked for, and refused when they are something else."""

from __future__ import annotations

import pytest

from unit.outputs.calendar_server import (
    THREE,
    Publisher,
    answering,
    as_seen,
    counts,
)


def test_missing_collection_is_made_only_if_asked(publisher: Publisher) -> None:
    """Without --make-collection the report names that option; with it the calendar is made and filled."""
    publisher.server.calendars.clear()
    report = publisher.publish(THREE)
    assert "--make-collection" in str(report.stopped)
    assert publisher.server.methods() == ["PROPFIND"]
    assert counts(publisher.publish(THREE, make_collection=True)) == (3, 0, 0, 0, 0)
    assert publisher.server.calendars == {"/me/garden/"}


def test_dry_run_makes_no_collection(publisher: Publisher) -> None:
    """A dry run reports what would be new, and makes nothing."""
    publisher.server.calendars.clear()
    assert counts(publisher.publish(THREE, make_collection=True, dry_run=True)) == (3, 0, 0, 0, 0)
    assert publisher.server.methods() == ["PROPFIND"]


def test_server_without_calendars_gets_a_folder(publisher: Publisher) -> None:
    """If a server does not know MKCALENDAR, a plain folder is made (RFC 4918, 9.3)."""
    publisher.server.calendars.clear()
    publisher.server.dav = "1, 2"
    publisher.server.makes = ("MKCOL",)
    assert counts(publisher.publish(THREE, make_collection=True)) == (3, 0, 0, 0, 0)
    assert publisher.server.folders == {"/me/", "/me/garden/"}


def test_collection_that_cannot_be_made_stops_the_run(publisher: Publisher) -> None:
    """If a server makes neither, the report names the method that it refused."""
    publisher.server.calendars.clear()
    publisher.server.makes = ()
    assert "does not take MKCALENDAR" in str(publisher.publish(THREE, make_collection=True).stopped)


def test_calendar_that_was_made_again_is_filled_again(publisher: Publisher) -> None:
    """If the whole calendar was removed and made again, its events do not count as deleted by somebody."""
    publisher.publish(THREE)
    publisher.server.holds.clear()
    publisher.server.calendars.clear()
    assert counts(publisher.publish(THREE, make_collection=True)) == (3, 0, 0, 0, 0)
    assert publisher.server.events() == as_seen(THREE)


def test_folder_of_calendars_is_refused(publisher: Publisher) -> None:
    """The address of a folder of calendars is refused, since writing there could do harm."""
    publisher.server.calendars.clear()
    publisher.server.folders.add("/me/garden/")
    report = publisher.publish(THREE)
    assert "is not a calendar but a folder of calendars" in str(report.stopped)
    assert publisher.server.holds == {}


BOMB = """<?xml version="1.0" encoding="{encoding}"?><!DOCTYPE d [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;">]>
<d:multistatus xmlns:d="DAV:"><d:response><d:href>&b;</d:href></d:response></d:multistatus>"""


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
def test_list_that_declares_entities_is_refused(publisher: Publisher, encoding: str) -> None:
    """A list that declares entities could grow without end, and is not read in any encoding."""
    publisher.server.forced = answering(207, "PROPFIND", body=BOMB.format(encoding=encoding).encode(encoding))
    assert "something else than the list of a calendar" in str(publisher.publish(THREE).stopped)
    assert publisher.server.methods() == ["PROPFIND"]


@pytest.mark.parametrize("body", [b"", b"<html>", b"\xff\xfe", b'<?xml version="1.0" encoding="none-such"?><a/>'])
def test_unreadable_list_is_refused(publisher: Publisher, body: bytes) -> None:
    """A list that cannot be read stops the run before anything is written."""
    publisher.server.forced = answering(207, "PROPFIND", body=body)
    assert "something else than the list of a calendar" in str(publisher.publish(THREE).stopped)


def test_web_page_is_refused(publisher: Publisher) -> None:
    """If the server answers with a web page, the remedy is another address or --file."""
    publisher.server.forced = answering(200, "PROPFIND", body=b"<html></html>")
    assert "--file" in str(publisher.publish(THREE).stopped)
