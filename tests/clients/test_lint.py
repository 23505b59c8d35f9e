"""Twenty-three faults of a calendar, and who notices each: our own lint all of them, foreign programs their share.

A program that goes blind to a fault that it used to notice fails here, since later a calendar that it reads without
complaint would prove less than we think.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Final

import pytest

from clients.faults import CHORES, FAULTS, REPETITIONS, Fault, good_feed
from clients.feeds import feed, sowing
from clients.lint import complaints, parse
from clients.readers import Program, Read, Reading, all_readers

# What each was seen to notice when it was chosen, in the shape used here; it may notice more.
# A control character within a text is let through by all but our lint.
NOTICES: Final[Mapping[str, frozenset[int]]] = {
    "lint": frozenset(range(1, 24)),
    "icalendar": frozenset({4, 5, 6, 7, 8, 9, 10, 12, 14, 15, 17, 19, 22}),
    "recurring-ical-events": frozenset({2, 9, 10, 15, 19}),
    "vobject": frozenset({1, 3, 6, 7, 9, 10, 13, 15, 18, 19, 22, 23}),
    "ical.js": frozenset({1, 4, 6, 7, 8, 9, 10, 11, 12, 14, 15, 16, 19, 22}),
    "libical": frozenset({1, 3, 7, 9, 10, 13, 19, 20, 23}),
}
ONLY_BY_LINT: Final = {21}


@pytest.fixture(scope="module")
def readers(clients: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Mapping[str, Read]]:
    """Give every reader, its process running until the last test of this file."""
    with all_readers(clients, tmp_path_factory.mktemp("readers")) as readers:
        yield readers


@pytest.fixture(scope="module")
def good() -> bytes:
    """Give the good calendar."""
    return good_feed()


@pytest.fixture(scope="module")
def noticed(readers: Mapping[str, Read], good: bytes) -> Mapping[str, frozenset[int]]:
    """Give by reader the faults that it notices: it complains, or shows more or fewer events than there are."""
    usual = {name: len(read(good).seen) for name, read in readers.items()}

    def is_noticed(reading: Reading, usual: int) -> bool:
        return bool(reading.complaints) or len(reading.seen) != usual

    return {
        name: frozenset(fault.number for fault in FAULTS if is_noticed(read(fault.plant(good)), usual[name]))
        for name, read in readers.items()
    }


def table(noticed: Mapping[str, frozenset[int]]) -> str:
    """Give the table of faults and readers, for a person."""
    head = "".join(f"{name:>23}" for name in noticed)
    rows = []
    for fault in FAULTS:
        marks = ("x" if fault.number in own else "-" for own in noticed.values())
        rows.append(f"{fault.number:2} {fault.name:24}" + "".join(f"{mark:>23}" for mark in marks))
    return "\n".join((27 * " " + head, *rows))


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: fault.name)
def test_lint_notices(fault: Fault, good: bytes) -> None:
    """Our lint complains of each fault, and without it of nothing."""
    assert complaints(good) == []
    assert complaints(fault.plant(good))


def test_all_read_the_good_calendar(readers: Mapping[str, Read], good: bytes) -> None:
    """Nobody complains of the calendar that the faults are planted in, and all see the same in it."""
    read = {name: reader(good) for name, reader in readers.items()}
    assert {name: reading.complaints for name, reading in read.items()} == dict.fromkeys(readers, ())
    assert len(read["lint"].seen) == CHORES + 2
    assert len(read["recurring-ical-events"].seen) == CHORES + REPETITIONS + 1
    assert all(read[name].seen == read["lint"].seen for name in readers if name != "recurring-ical-events")


@pytest.mark.parametrize("name", NOTICES)
def test_no_reader_has_gone_blind(noticed: Mapping[str, frozenset[int]], name: str) -> None:
    """A reader notices what it did when it was chosen."""
    missed = NOTICES[name] - noticed[name]
    assert not missed, f"{name} no longer notices {sorted(missed)}:\n{table(noticed)}"


def test_every_fault_but_one_is_noticed_by_a_foreign_program(noticed: Mapping[str, frozenset[int]]) -> None:
    """What our lint knows is not its word alone."""
    foreign = frozenset().union(*(own for name, own in noticed.items() if name != "lint"))
    assert {fault.number for fault in FAULTS} - foreign <= ONLY_BY_LINT, table(noticed)


def test_calendar_cut_off_anywhere_is_noticed() -> None:
    """Whatever is missing at the end, be it one octet, our lint complains."""
    content = feed([sowing(1, "Sow 3 cells of mizuna", "Für die Küche.")])
    assert complaints(content) == []
    for length in range(len(content)):
        assert complaints(content[:length]), f"cut off after {length} octets"


def test_texts_are_read_as_they_were_meant() -> None:
    """The lint gives a text back without escapes and folds."""
    title, note = "Sow 3, 4; or \\n", "first line\nsecond, and a very long one: " + "é" * 90
    (event,) = parse(feed([sowing(1, title, note)])).inner
    assert event.text("SUMMARY") == title
    assert event.text("DESCRIPTION") == note


@pytest.mark.parametrize(("command", "status"), [(("false",), 1), (("sleep", "60"), -9)])
def test_reader_that_dies_or_hangs_is_a_complaint(command: tuple[str, ...], status: int) -> None:
    """A foreign program that breaks is told, each time anew, and nothing waits for it."""
    with Program(*command, seconds=0.2) as program:
        for _ in range(2):
            assert program.read(b"BEGIN:VCALENDAR") == Reading((f"the reader died with status {status}",), ())


def test_lines_of_a_wrong_calendar_are_all_told() -> None:
    """Two faults give two complaints."""
    content = feed([sowing(1, "Sow 3 cells of mizuna"), sowing(2, "Sow 4 cells of mizuna")])
    twice = content.replace(b"STATUS:CONFIRMED", b"STATUS:GONE").replace(b"SEQUENCE:", b"SEQUENCE:x")
    assert len(complaints(twice)) == 2 * 2
