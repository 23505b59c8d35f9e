"""Whatever a person writes in a title, a note or a name comes back from foreign readers as it was written."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Final

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clients.feeds import feed, sowing
from clients.readers import Read, all_readers

# What has broken calendar software: characters of several code points, other directions, controls, halves of
# characters, ends of lines of other systems, what is escaped, what looks like an escape or a line, long words.
AWKWARD: Final = (
    *("👩🏽‍🌾", "🏴󠁧󠁢󠁳󠁣󠁴󠁿", "☔️", "e\u0301", "a" + "\u0323\u0307" * 20),
    *("שלום", "سلّة الخسّ", "\u202eabc\u202c", "\u200f", "\u200b"),
    *("\x00", "\x07", "\x0b", "\x0c", "\x1b", "\x1c", "\x7f", "\x85", "\x9f", "\ud800", "\udfff", "\ufeff", "\ufffe"),
    *("\r\n", "\r", "\n", "\n\n", "\t", " ", "  ", "\u2028", "\u2029", "\u00a0", "\u3000"),
    *(",", ";", ":", "\\", '"', "\\n", "\\,", "\\;", "\\\\", "^n", "^^", "%0A", "=", "&amp;"),
    *(
        "BEGIN:VEVENT",
        "\r\nEND:VCALENDAR\r\n",
        "\r\n ",
        "\r\n\t",
        "TZID=",
        "W" * 75,
        "水" * 60,
        "\U0001d4b3" * 30,
        "🥬" * 25,
    ),
)
NO_CALENDAR_MAY_CARRY: Final = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff]")


def kept(text: str) -> str:
    """Give what a calendar can carry of a text: all but control characters and halves of characters.

    A byte order mark at the beginning is no part of a text (the Unicode standard, 23.8); further on it is.
    """
    return NO_CALENDAR_MAY_CARRY.sub("", text).removeprefix("\ufeff")


TEXTS: Final = (
    st.lists(st.sampled_from(AWKWARD) | st.text(max_size=20), max_size=8)
    .map("".join)
    # Told apart below.
    .filter(lambda text: "\\N" not in kept(text))
)
# What is written has something in it that can be seen; a note may be missing.
SEEN: Final = TEXTS.map(lambda text: f"{text}.") | TEXTS.map(lambda text: f"Sow {text}")
# Longer titles are cut to fit a phone, which is tested where it is done.
TITLES: Final = TEXTS.map(lambda text: f"{text[:34]}.")

# libical leaves out blanks and tabs at both ends of a value.
TRIMMED: Final[Mapping[str, Callable[[str], str]]] = {"libical": lambda text: text.strip(" \t")}


@pytest.fixture(scope="module")
def readers(clients: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Mapping[str, Read]]:
    """Give every reader, its process running until the last test of this file."""
    with all_readers(clients, tmp_path_factory.mktemp("readers")) as readers:
        yield readers


@settings(max_examples=200, deadline=None)
@given(written=st.lists(st.tuples(TITLES, SEEN | st.just(""), SEEN), min_size=1, max_size=6), name=SEEN)
def test_any_text_comes_back(readers: Mapping[str, Read], written: list[tuple[str, str, str]], name: str) -> None:
    """Titles, notes and names of totes are read by others as they were written, and nobody complains."""
    chores = [sowing(number, title, note, tote=tote) for number, (title, note, tote) in enumerate(written)]
    content = feed(chores, name=name)
    expected = [(kept(title), kept(note), kept(f"Tote {tote}")) for title, note, tote in written]
    for reader in ("lint", "ical.js", "libical", "icalendar"):
        reading = readers[reader](content)
        assert reading.complaints == (), reader
        seen = [(each.summary, each.description, each.location) for each in reading.seen]
        assert seen == [tuple(map(TRIMMED.get(reader, str), texts)) for texts in expected], reader


def test_backslash_before_a_capital_n(readers: Mapping[str, Read]) -> None:
    r"""A path such as ``C:\Notes`` stays one line, though the icalendar library costs the letter its height."""
    content = feed([sowing(1, "Sow 3 cells", "See C:\\Notes.")])
    for reader in ("lint", "ical.js", "libical"):
        assert [each.description for each in readers[reader](content).seen] == ["See C:\\notes."], reader
