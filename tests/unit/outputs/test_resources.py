"""Events as resources: cut out of a calendar, named for a person, and recognised by their marks."""

from __future__ import annotations

import pytest

from steadysow.outputs.resources import event_mark, events_of, file_mark, holds_others, property_of, title_of
from unit.outputs.calendar_server import CALENDAR, DENTIST, THREE, calendar_of

EVENT = (
    b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//made//by hand//EN\r\nBEGIN:VEVENT\r\nSUMMARY:Sow\\, then wait\r\n"
    b"DTSTART;VALUE=DATE:20261103\r\nDTSTAMP:20261001T000000Z\r\nUID:a-1\r\nBEGIN:VALARM\r\nACTION:DISPLAY\r\n"
    b"TRIGGER:PT8H\r\nEND:VALARM\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"
)


def test_each_event_is_a_calendar_of_its_own() -> None:
    """Every event is one legal calendar with its own address, name and title, and its bytes stay as they are."""
    whole = calendar_of(THREE)
    resources = events_of(whole, CALENDAR)
    assert [each.name for each in resources] == ["a-1", "a-2", "a-3"]
    assert [str(each.address) for each in resources] == [f"{CALENDAR}{uid}.ics" for uid in ("a-1", "a-2", "a-3")]
    assert [each.title for each in resources] == ["Sow, Sun 1 Nov", "Cut, Mon 2 Nov", "Clean, Tue 3 Nov"]
    for each in resources:
        assert each.body.startswith(b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//made//by hand//EN\r\n")
        assert each.body.endswith(b"END:VEVENT\r\nEND:VCALENDAR\r\n")
        event = each.body[each.body.index(b"BEGIN:VEVENT") : each.body.index(b"END:VCALENDAR")]
        assert event in whole
    assert len({each.content for each in resources} | {each.mark for each in resources}) == 6


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (b"DTSTAMP:20261001T000000Z", b"DTSTAMP:20270101T120000Z"),
        (b"UID:a-1\r\n", b"UID:a-1\r\nLAST-MODIFIED:20270101T120000Z\r\nCREATED:20270101T120000Z\r\n"),
        (b"UID:a-1\r\n", b"X-SEEN:1\r\nUID:a-1\r\n"),
        (b"ACTION:DISPLAY\r\n", b"ACTION:DISPLAY\r\nUID:alarm-7\r\nACKNOWLEDGED:20270101T120000Z\r\n"),
        (b"SUMMARY:Sow\\, then wait\r\n", b"SUMMARY:Sow\\,\r\n  then wait\r\n"),
        (b"DTSTAMP:20261001T000000Z\r\nUID:a-1\r\n", b"UID:a-1\r\nDTSTAMP:20261001T000000Z\r\n"),
        (b"PRODID:-//made//by hand//EN", b"PRODID:-//somebody//else//EN"),
        (b"\r\n", b"\n"),
    ],
    ids=["stamp", "more stamps", "note", "seen alarm", "folded", "order", "product", "line ends"],
)
def test_rewriting_keeps_the_mark(old: bytes, new: bytes) -> None:
    """A server or client may rewrite what a person does not see."""
    assert EVENT.replace(old, new) != EVENT
    assert event_mark(EVENT.replace(old, new)) == event_mark(EVENT)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (b"SUMMARY:Sow", b"SUMMARY:Reap"),
        (b"20261103", b"20261104"),
        (b"TRIGGER:PT8H", b"TRIGGER:PT9H"),
        (b"UID:a-1\r\n", b"UID:a-1\r\nATTENDEE:mailto:you@example.org\r\n"),
        (b"END:VEVENT\r\n", b"END:VEVENT\r\nBEGIN:VEVENT\r\nUID:a-1\r\nEND:VEVENT\r\n"),
    ],
    ids=["text", "day", "alarm", "guest", "second event"],
)
def test_edits_change_the_mark(old: bytes, new: bytes) -> None:
    """Whatever a person sees or edits is part of the mark."""
    assert EVENT.replace(old, new) != EVENT
    assert event_mark(EVENT.replace(old, new)) != event_mark(EVENT)


def test_title_is_summary_and_day() -> None:
    """A title is unescaped; without a day or a summary it is what there is, and a time zone before it is ignored."""
    assert title_of(EVENT) == "Sow, then wait, Tue 3 Nov"
    zone = b"BEGIN:VTIMEZONE\r\nDTSTART:19700101T000000\r\nEND:VTIMEZONE\r\n"
    assert title_of(EVENT.replace(b"BEGIN:VEVENT", zone + b"BEGIN:VEVENT")) == "Sow, then wait, Tue 3 Nov"
    assert title_of(DENTIST) == "Dentist"
    assert title_of(b"nonsense") == "an event"


def test_property_is_found_whatever_its_parameters() -> None:
    """The first value of a property is given, and an empty text if there is none."""
    assert property_of(EVENT, "DTSTART") == "20261103"
    assert property_of(b'SUMMARY;X="a:b;c":Dinner\r\nSUMMARY:Lunch\r\n', "SUMMARY") == "Dinner"
    assert property_of(EVENT, "LOCATION") == ""


def test_file_that_holds_events_of_others() -> None:
    """A calendar of another program holds others' events if it has a UID that ours lacks; one of ours never does."""
    assert holds_others(DENTIST, EVENT)
    assert not holds_others(EVENT.replace(b"UID:a-1", b"UID:a-9"), EVENT)
    assert not holds_others(EVENT.replace(b"made", b"other"), EVENT)
    assert not holds_others(b"", EVENT)


def test_mark_of_a_file_is_that_of_its_bytes() -> None:
    """Any other byte gives a file another mark."""
    assert file_mark(EVENT) != file_mark(EVENT + b"\r\n")
