"""Whatever a person writes in a title, a note or a name comes back from foreign readers as it was written."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Final

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clients.feeds import feed, sowing
from clients.readers import Read, all_readers

# What has broken calendar software: characters of several code points, other directions, controls, halves of characters,
# ends of lines of other systems, all that is escaped, what looks like an escape or a line of a calendar, long words.
AWKWARD: Final = (
    *("👩🏽‍🌾", "🏴󠁧󠁢󠁳󠁣󠁴󠁿", "☔️", "e\u0301", "a" + "\u0323\u0307" * 20, "שלום", "سلّة الخسّ", "\u202eabc\u202c", "\u200f", "\u200b"),
    *("\x00", "\x07", "\x0b", "\x0c", "\x1b", "\x1c", "\x7f", "\x85", "\x9f", "\ud800", "\udfff", "\ufeff", "\ufffe"),
    *("\r\n", "\r", "\n", "\n\n", "\t", " ", "  ", "\u2028", "\u2029", "\u00a0", "\u3000"),
    *(",", ";", ":", "\\", '"', "\\n", "\\N", "\\,", "\\;", "\\\\", "^n", "^^", "%0A", "=", "&amp;"),
    *("BEGIN:VEVENT", "\r\nEND:VCALENDAR\r\n", "\r\n ", "\r\n\t", "TZID=", "W" * 75, "水" * 60, "𝒳" * 30, "🥬" * 25),
)
TEXTS: Final = st.lists(st.sampled_from(AWKWARD) | st.text(max_size=20), max_size=8).map("".join)
# Names and titles have something in them that can be seen.
NAMES: Final = TEXTS.map(lambda text: f"{text}.") | TEXTS.map(lambda text: f"Sow {text}")
NO_CALENDAR_MAY_CARRY: Final = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff]")


@pytest.fixture(scope="module")
def readers(clients: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Mapping[str, Read]]:
    """Give every reader, its process running until the last test of this file."""
    with all_readers(clients, tmp_path_factory.mktemp("readers")) as readers:
        yield readers


def kept(text: str) -> str:
    """Give what a calendar can carry of a text: all but control characters and halves of characters."""
    return NO_CALENDAR_MAY_CARRY.sub("", text)


@settings(max_examples=200, deadline=None)
@given(written=st.lists(st.tuples(NAMES, TEXTS, NAMES), min_size=1, max_size=6), name=NAMES)
def test_any_text_comes_back(readers: Mapping[str, Read], written: list[tuple[str, str, str]], name: str) -> None:
    """Titles, notes and names of totes are read by others as they were written, and nobody complains."""
    chores = [sowing(number, title, note, tote=tote) for number, (title, note, tote) in enumerate(written)]
    content = feed(chores, name=name)
    expected = [(kept(title), kept(note), kept(tote)) for title, note, tote in written]
    for reader in ("lint", "ical.js", "libical", "icalendar"):
        reading = readers[reader](content)
        assert reading.complaints == (), reader
        seen = [(each.summary, each.description, each.location) for each in reading.seen]
        assert seen == [(title, note, f"Tote {tote}") for title, note, tote in expected], reader
