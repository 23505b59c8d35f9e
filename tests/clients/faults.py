"""A good calendar, and 23 faults that are planted in it, one at a time.

The calendar is one of ours, with what we do not write added by hand (an event that repeats, a task that starts), so
that every fault has a place where it can be.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import time
from itertools import cycle, islice
from typing import Final

from clients.feeds import feed, sowing
from steadysow.inputs.calendar_style import CalendarStyle

# In five scripts, with all that has to be escaped, and long enough to be folded within characters.
_NOTES: Final = (
    "Salat für die Küche; drei Köpfe, zwei davon für Åse.",
    "سلّة الخسّ على الرفّ الأعلى، ثلاث نباتات؛ لا تنسَ الماء.",
    "棚の上の水菜を六株、はさみで切る。水は十一リットル。次は来週の土曜日に切る。",
    "Семь кустов салата, срезать снаружи; корни остаются \\ в воде.",
    "🥬🥬🥬 👩🏽‍🌾 scissors, bowl; 🧺🧺🧺🧺🧺🧺🧺🧺🧺🧺🧺🧺🧺🧺🧺🧺🧺🧺🧺🧺",
)

# Lines in the order that the icalendar library writes them, so that it writes the whole as it read it.
_REPEATING: Final = b"""\
BEGIN:VEVENT
SUMMARY:Look at the water
DTSTART;VALUE=DATE:20261003
DTEND;VALUE=DATE:20261004
DTSTAMP:20261003T073015Z
UID:5d1f6bd2-7d30-4c0e-9f7e-0a30b8f3a001
RRULE:FREQ=WEEKLY;COUNT=5
END:VEVENT
"""
_TASK: Final = b"""\
BEGIN:VTODO
DTSTAMP:20261003T073015Z
DTSTART;VALUE=DATE:20261003
DUE;VALUE=DATE:20261004
STATUS:NEEDS-ACTION
SUMMARY:Buy seeds
UID:5d1f6bd2-7d30-4c0e-9f7e-0a30b8f3a002
END:VTODO
"""
CHORES: Final = 30
REPETITIONS: Final = 5


def good_feed() -> bytes:
    """Give a calendar of thirty chores with alarms, an event that comes five times, and a task."""
    notes = islice(cycle(_NOTES), CHORES)
    chores = (sowing(number, f"Sow {number + 2} cells of mizuna", note) for number, note in enumerate(notes))
    content = feed(chores, CalendarStyle(alarm=time(8, 0)))
    end = b"END:VCALENDAR\r\n"
    assert content.endswith(end)
    return content.removesuffix(end) + (_REPEATING + _TASK).replace(b"\n", b"\r\n") + end


@dataclass(frozen=True, slots=True)
class Fault:
    """A fault: its number, what it is, and how it is planted."""

    number: int
    name: str
    plant: Callable[[bytes], bytes]


# One fault each, in the fifth event of the good calendar unless it belongs elsewhere.


def _event_span(content: bytes) -> tuple[int, int]:
    starts = [match.start() for match in re.finditer(rb"BEGIN:VEVENT\r\n", content)]
    return starts[4], content.index(b"END:VEVENT\r\n", starts[4]) + len(b"END:VEVENT\r\n")


def _in_event(content: bytes, pattern: bytes, by: bytes) -> bytes:
    """Replace the first match within the fifth event."""
    start, end = _event_span(content)
    event, count = re.subn(pattern, by, content[start:end], count=1)
    assert count == 1, pattern
    return content[:start] + event + content[end:]


def _in_whole(content: bytes, pattern: bytes, by: bytes) -> bytes:
    changed, count = re.subn(pattern, by, content, count=1)
    assert count == 1, pattern
    return changed


def no_uid(content: bytes) -> bytes:
    """Leave an event without its identity."""
    return _in_event(content, rb"UID:.*\r\n", b"")


def uid_twice(content: bytes) -> bytes:
    """Give an event the identity of the first."""
    start, _ = _event_span(content)
    first = re.search(rb"\r\nUID:.*\r\n", content[content.index(b"BEGIN:VEVENT") : start])
    assert first
    return _in_event(content, rb"\r\nUID:.*\r\n", first[0])


def no_stamp(content: bytes) -> bytes:
    """Leave an event without its stamp."""
    return _in_event(content, rb"DTSTAMP:.*\r\n", b"")


def lines_end_in_lf(content: bytes) -> bytes:
    """End all lines as Unix does."""
    return content.replace(b"\r\n", b"\n")


def lines_not_folded(content: bytes) -> bytes:
    """Write long lines as they are."""
    return content.replace(b"\r\n ", b"")


def folded_in_a_character(content: bytes) -> bytes:
    """Fold between the octets of one character."""
    return _in_event(content, rb"(?s)DESCRIPTION:.*?\r\n(?! )", b"DESCRIPTION:K\xc3\r\n \xbcche\r\n")


def break_in_a_text(content: bytes) -> bytes:
    """Break a line of text without a backslash."""
    return _in_event(content, rb"SUMMARY:Sow ", b"SUMMARY:Sow\r\n")


def ends_as_it_starts(content: bytes) -> bytes:
    """Let an all-day event last no day."""
    start, end = _event_span(content)
    day = re.search(rb"DTSTART;VALUE=DATE:(\d{8})", content[start:end])
    assert day
    return _in_event(content, rb"DTEND;VALUE=DATE:\d{8}", b"DTEND;VALUE=DATE:" + day[1])


def odd_frequency(content: bytes) -> bytes:
    """Repeat an event as often as nobody knows."""
    return _in_whole(content, rb"FREQ=WEEKLY", b"FREQ=FORTNIGHTLY")


def no_end(content: bytes) -> bytes:
    """Leave an event open."""
    return _in_event(content, rb"END:VEVENT\r\n", b"")


def unknown_zone(content: bytes) -> bytes:
    """Start and end in a time zone that the calendar does not tell."""
    content = _in_event(content, rb"DTSTART;VALUE=DATE:(\d{8})", rb"DTSTART;TZID=Nowhere/Town:\1T080000")
    return _in_event(content, rb"DTEND;VALUE=DATE:(\d{8})", rb"DTEND;TZID=Nowhere/Town:\1T090000")


def day_to_moment(content: bytes) -> bytes:
    """Start on a day and end at a moment."""
    return _in_event(content, rb"DTEND;VALUE=DATE:(\d{8})", rb"DTEND:\1T090000Z")


def no_product(content: bytes) -> bytes:
    """Leave out what wrote the calendar."""
    return _in_whole(content, rb"PRODID:.*\r\n", b"")


def bare_comma(content: bytes) -> bytes:
    """Write a comma in a text as it is."""
    return _in_event(content, rb"SUMMARY:Sow ", b"SUMMARY:Sow, ")


def last_of_february(content: bytes) -> bytes:
    """Start on a day that no year has."""
    return _in_event(content, rb"DTSTART;VALUE=DATE:\d{8}", b"DTSTART;VALUE=DATE:20270231")


def day_not_told(content: bytes) -> bytes:
    """Write days without saying that they are no moments."""
    content = _in_event(content, rb"DTSTART;VALUE=DATE:", b"DTSTART:")
    return _in_event(content, rb"DTEND;VALUE=DATE:", b"DTEND:")


def alarm_without_trigger(content: bytes) -> bytes:
    """Ring, but never."""
    return _in_event(content, rb"TRIGGER:.*\r\n", b"")


def due_and_duration(content: bytes) -> bytes:
    """Say of a task by when, and how long."""
    return _in_whole(content, rb"(DUE;VALUE=DATE:\d{8}\r\n)", rb"\1DURATION:P1D\r\n")


def cut_off(content: bytes) -> bytes:
    """Break off in the middle of an event, as a full disk does."""
    start, end = _event_span(content)
    return content[: (start + end) // 2]


def odd_status(content: bytes) -> bytes:
    """Write a status that there is not."""
    return _in_event(content, rb"STATUS:CONFIRMED", b"STATUS:GONE")


def control_character(content: bytes) -> bytes:
    """Ring a bell in a text."""
    return _in_event(content, rb"SUMMARY:Sow ", b"SUMMARY:Sow\x07 ")


def latin_1(content: bytes) -> bytes:
    """Write a letter in another encoding."""
    return _in_event(content, rb"SUMMARY:Sow ", "SUMMARY:Säe ".encode("latin-1"))


def two_summaries(content: bytes) -> bytes:
    """Give an event two titles."""
    return _in_event(content, rb"(SUMMARY:.*\r\n)", rb"\1SUMMARY:Or something else\r\n")


FAULTS: Final = tuple(
    Fault(number, " ".join(plant.__name__.split("_")), plant)
    for number, plant in enumerate(
        (
            no_uid,
            uid_twice,
            no_stamp,
            lines_end_in_lf,
            lines_not_folded,
            folded_in_a_character,
            break_in_a_text,
            ends_as_it_starts,
            odd_frequency,
            no_end,
            unknown_zone,
            day_to_moment,
            no_product,
            bare_comma,
            last_of_february,
            day_not_told,
            alarm_without_trigger,
            due_and_duration,
            cut_off,
            odd_status,
            control_character,
            latin_1,
            two_summaries,
        ),
        start=1,
    )
)
