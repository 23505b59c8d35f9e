"""The journal file: what is written comes back, every wrong line is a fault, and nothing that was added is lost."""

from __future__ import annotations

import codecs
import errno
import json
import os
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drawn_facts import DAY, NOW, facts, note
from steadysow.errors import Fault, InputFaults
from steadysow.inputs.journal import DECIMALS, JOURNAL_FILE, Fact, Journal
from steadysow.inputs.journal_file import TORN_FILE, add_facts, read_journal

UUID = "6f0e0a52-6a0d-4c0e-9d62-0a3f1f8f7c11"
HEADER = f'{{"version": 1, "garden": "{UUID}"}}'
NOTE = '{"number": 1, "fact": "note", "on": "2026-10-03", "text": "all well"}'


def add(folder: Path, *wanted: Fact, now: datetime = NOW) -> tuple[Journal, tuple[Fact, ...]]:
    """Add facts, whatever the journal holds."""
    return add_facts(folder, lambda _: wanted, new_uuid=UUID, now=now)


def write(folder: Path, *lines: str) -> None:
    """Write a journal by hand."""
    (folder / JOURNAL_FILE).write_bytes("".join(f"{line}\n" for line in lines).encode("utf-8", "surrogatepass"))


def faults_of(folder: Path) -> tuple[Fault, ...]:
    """Give the faults of the journal."""
    with pytest.raises(InputFaults, match=JOURNAL_FILE) as caught:
        read_journal(folder)
    return caught.value.faults


def test_no_file_is_an_empty_journal(tmp_path: Path) -> None:
    """A garden begins without a journal, and reading does not make one."""
    assert read_journal(tmp_path) == Journal()
    assert not list(tmp_path.iterdir())


@settings(deadline=None)
@given(wanted=st.lists(facts(), min_size=1, max_size=4))
def test_any_fact_comes_back(wanted: list[Fact]) -> None:
    """Any fact comes back the same, with its number, from one line by any way of counting lines."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        journal, added = add(folder, *wanted)
        assert read_journal(folder) == journal
        assert journal.facts == added
        assert added == tuple(replace(fact, number=n, written_at=NOW) for n, fact in enumerate(wanted, start=1))
        text = (folder / JOURNAL_FILE).read_bytes().decode("utf-8")
        assert len(text.splitlines()) == text.count("\n") == 1 + len(wanted)


def test_lines_are_what_other_tools_expect(tmp_path: Path) -> None:
    """A line is JSON with number, kind and day, and of the other fields only those that are set."""
    zone = timezone(timedelta(hours=2))
    fact = Fact(kind="harvested", on=DAY, batch=3, holes=(1, 2), plants=0, grams=80, text="süß")
    add(tmp_path, fact, now=datetime(2026, 10, 3, 10, 15, tzinfo=zone))
    header, line = (tmp_path / JOURNAL_FILE).read_text(encoding="utf-8").splitlines()
    assert json.loads(header) == {"version": 1, "garden": UUID}
    assert json.loads(line) == {
        "number": 1, "fact": "harvested", "on": "2026-10-03", "batch": 3, "holes": [1, 2], "plants": 0, "grams": 80,
        "text": "süß", "written_at": "2026-10-03T08:15:00+00:00",
    }  # fmt: skip
    assert "süß" in line


def test_numbers_go_on_and_the_uuid_stays(tmp_path: Path) -> None:
    """Later facts get later numbers; the journal keeps its first UUID."""
    add(tmp_path, note("one"), note("two"))
    journal, added = add_facts(tmp_path, lambda _: [replace(note("three"), number=1)], new_uuid="other", now=NOW)
    assert [fact.number for fact in added] == [3]
    assert [fact.number for fact in journal.facts] == [1, 2, 3]
    assert read_journal(tmp_path).uuid == journal.uuid == UUID
    assert journal.last_number == 3
    assert Journal().last_number == 0


def test_numbers_are_never_reused(tmp_path: Path) -> None:
    """A line that was deleted by hand leaves its number unused."""
    write(tmp_path, HEADER, NOTE.replace("1", "7", 1))
    assert [fact.number for fact in add(tmp_path, note("next"))[1]] == [8]


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ("{", "is not JSON"),
        ('{"number": 2 "fact": "note"}', "is not JSON"),
        ("[" * 100_000, "is not JSON"),
        ('{"number": ' + "9" * 5000 + "}", "is not JSON"),
        ("[]", "has no keys and values"),
        ("{}", "has no keys and values"),
        ("3", "has no keys and values"),
        ('{"number": 2, "number": 3, "fact": "note", "on": "2026-10-03"}', '"number" twice'),
        ('{"fact": "note", "on": "2026-10-03"}', "number: is missing"),
        ('{"number": 2, "on": "2026-10-03"}', "fact: is missing"),
        ('{"number": 2, "fact": "note"}', "on: is missing"),
        (
            '{"number": 2, "fact": "harvestd", "on": "2026-10-03"}',
            'fact: "harvestd" is not a known fact. Did you mean harv',
        ),
        ('{"number": 2, "fact": ["note"], "on": "2026-10-03"}', 'fact: ["note"] is not a known fact'),
        ('{"number": 2, "fact": "", "on": "2026-10-03"}', "is not a known fact. Write one of: sown, emerged"),
        ('{"number": 2, "fact": "note", "on": "3 oct"}', 'on: "3 oct" is not a date'),
        ('{"number": 2, "fact": "note", "on": "20261003"}', "is not a date"),
        ('{"number": 2, "fact": "note", "on": "2026-02-30"}', "is not a date"),
        ('{"number": 2, "fact": "note", "on": 20261003}', "is not a date"),
        ('{"number": 2, "fact": "note", "on": "2026-10-03", "until": null}', "until: null is not a date"),
        ('{"number": 1, "fact": "note", "on": "2026-10-03"}', "number: 1 comes after 1"),
        ('{"number": 0, "fact": "note", "on": "2026-10-03"}', "number: 0 is not a count"),
        ('{"number": 2.0, "fact": "note", "on": "2026-10-03"}', "number: 2.0 is not a count"),
        ('{"number": "2", "fact": "note", "on": "2026-10-03"}', 'number: "2" is not a count'),
        ('{"number": true, "fact": "note", "on": "2026-10-03"}', "number: true is not a count"),
        ('{"number": 9999999999, "fact": "note", "on": "2026-10-03"}', "is not a count"),
        (
            '{"number": 2, "fact": "note", "on": "2026-10-03", "gram": 3}',
            '"gram" is not a known key. Did you mean grams?',
        ),
        ('{"number": 2, "fact": "note", "on": "2026-10-03", "kind": 3}', '"kind" is not a known key'),
        ('{"number": 2, "fact": "sown", "on": "2026-10-03", "plants": 0}', "plants: 0 is too few for sown"),
        ('{"number": 2, "fact": "harvested", "on": "2026-10-03", "plants": -1}', "plants: -1 is not a count"),
        ('{"number": 2, "fact": "sown", "on": "2026-10-03", "holes": [1, 0]}', "holes: [1, 0] is not a list of holes"),
        ('{"number": 2, "fact": "sown", "on": "2026-10-03", "holes": 3}', "holes: 3 is not a list of holes"),
        ('{"number": 2, "fact": "sown", "on": "2026-10-03", "holes": {}}', "holes: {} is not a list of holes"),
        ('{"number": 2, "fact": "sown", "on": "2026-10-03", "batch": 0}', "batch: 0 is not a count"),
        ('{"number": 2, "fact": "sown", "on": "2026-10-03", "cells": 1.5}', "cells: 1.5 is not a count"),
        ('{"number": 2, "fact": "harvested", "on": "2026-10-03", "grams": NaN}', "grams: NaN is not an amount"),
        ('{"number": 2, "fact": "harvested", "on": "2026-10-03", "grams": 1e999}', "grams: Infinity is not an amount"),
        ('{"number": 2, "fact": "harvested", "on": "2026-10-03", "grams": -1}', "grams: -1 is not an amount"),
        ('{"number": 2, "fact": "harvested", "on": "2026-10-03", "grams": "80"}', 'grams: "80" is not an amount'),
        ('{"number": 2, "fact": "measured", "on": "2026-10-03", "value": -Infinity}', "-Infinity is not a number"),
        ('{"number": 2, "fact": "measured", "on": "2026-10-03", "value": true}', "value: true is not a number"),
        ('{"number": 2, "fact": "measured", "on": "2026-10-03", "value": 1' + "0" * 400 + "}", "is not a number"),
        ('{"number": 2, "fact": "note", "on": "2026-10-03", "text": 3}', "text: 3 is not text"),
        ('{"number": 2, "fact": "note", "on": "2026-10-03", "text": "\\ud800"}', "is not text"),
        ('{"number": 2, "fact": "note", "on": "2026-10-03", "assumed": 1}', "assumed: 1 is not true or false"),
        ('{"number": 2, "fact": "note", "on": "2026-10-03", "written_at": "2026-10-03T08:15"}', "is not a time"),
        ('{"number": 2, "fact": "note", "on": "2026-10-03", "written_at": 3}', "written_at: 3 is not a time"),
        ('{"number": 2, "fact": "undo", "on": "2026-10-03"}', "undoes: is missing"),
        ('{"number": 2, "fact": "undo", "on": "2026-10-03", "undoes": 2}', "undoes: 2 is not an earlier fact"),
        ('{"number": 2, "fact": "undo", "on": "2026-10-03", "undoes": 9}', "undoes: 9 is not an earlier fact"),
        ('{"number": 2, "fact": "note", "on": "2026-10-03", "undoes": 1}', "undoes: does not go with note"),
    ],
)
def test_a_line_edited_by_hand_is_a_fault(tmp_path: Path, line: str, message: str) -> None:
    """Each slip gives one fault with its line and what to write, in signs that every screen can show."""
    write(tmp_path, HEADER, NOTE, line)
    (fault,) = faults_of(tmp_path)
    assert (fault.file, fault.line) == (JOURNAL_FILE, 3)
    assert message in str(fault)
    assert fault.write
    assert str(fault).encode("utf-8").isascii()


def test_a_line_in_another_encoding_is_a_fault(tmp_path: Path) -> None:
    """A line saved as Latin-1 gives one fault with its line."""
    (tmp_path / JOURNAL_FILE).write_bytes(
        f"{HEADER}\n".encode() + NOTE.replace("well", "süß").encode("latin-1") + b"\n"
    )
    (fault,) = faults_of(tmp_path)
    assert (fault.line, fault.wrong) == (2, "is not UTF-8 text")


@pytest.mark.parametrize(
    ("first", "message"),
    [
        (NOTE, "does not say which garden"),
        ('{"garden": "a"}', "does not say which garden"),
        ('{"version": 1}', "does not say which garden"),
        ('{"version": 2, "garden": "a"}', "written by a later version"),
        ('{"version": 2, "house": "a"}', "written by a later version"),
        ('{"version": 0, "garden": "a"}', "is not a valid first line"),
        ('{"version": true, "garden": "a"}', "is not a valid first line"),
        ('{"version": "1", "garden": "a"}', "is not a valid first line"),
        ('{"version": 1, "garden": ""}', "is not a valid first line"),
        ('{"version": 1, "garden": 3}', "is not a valid first line"),
        ('{"version": 1, "garden": "a", "gardener": "b"}', "is not a valid first line"),
        ("[1]", "has no keys and values"),
        ("half a line", "is not JSON"),
    ],
)
def test_a_first_line_without_a_header_is_a_fault(tmp_path: Path, first: str, message: str) -> None:
    """The first line must have version and garden; a good fact after it gives no fault."""
    write(tmp_path, first, NOTE.replace("1", "2", 1))
    (fault,) = faults_of(tmp_path)
    assert fault.line == 1
    assert message in fault.wrong


def test_a_later_version_is_one_fault(tmp_path: Path) -> None:
    """The lines of a later version are not judged one by one."""
    write(tmp_path, '{"version": 2, "garden": "a"}', '{"something": "new"}')
    assert len(faults_of(tmp_path)) == 1


def test_all_faults_are_reported_at_once(tmp_path: Path) -> None:
    """Every wrong line gives its faults, in order, and a good line gives none."""
    write(tmp_path, HEADER, "{", NOTE, "", '{"number": 1, "fact": "nte", "on": "x"}', NOTE.replace("1", "2", 1))
    assert [(fault.line, fault.field) for fault in faults_of(tmp_path)] == [
        (2, ""), (5, "fact"), (5, "on"), (5, "number"),
    ]  # fmt: skip


@settings(deadline=None, max_examples=200)
@given(content=st.binary(max_size=60), headed=st.booleans())
def test_any_bytes_are_a_journal_or_faults(content: bytes, headed: bool) -> None:
    """Reading any file gives a journal or faults, and adding to it does the same."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / JOURNAL_FILE).write_bytes((f"{HEADER}\n".encode() if headed else b"") + content)
        before = Journal()
        faults: tuple[Fault, ...] = ()
        try:
            before = read_journal(folder)
        except InputFaults as caught:
            faults = caught.faults
        if faults:
            with pytest.raises(InputFaults, match=JOURNAL_FILE) as again:
                add(folder, note("more"))
            assert again.value.faults == faults
        else:
            assert add(folder, note("more"))[0].facts[:-1] == before.facts
            assert read_journal(folder).facts[-1].text == "more"


def test_marks_of_editors_are_taken(tmp_path: Path) -> None:
    """A byte order mark, Windows line ends and blank lines change nothing, also when facts are added."""
    lines = ["", HEADER, "", "  ", NOTE, ""]
    (tmp_path / JOURNAL_FILE).write_bytes(codecs.BOM_UTF8 + "\r\n".join(lines).encode())
    journal = read_journal(tmp_path)
    assert (journal.uuid, [fact.text for fact in journal.facts], journal.warnings) == (UUID, ["all well"], ())
    add(tmp_path, note("more"))
    assert [fact.text for fact in read_journal(tmp_path).facts] == ["all well", "more"]


@pytest.mark.parametrize("content", [b"", b"\n", b"\r\n \n", codecs.BOM_UTF8], ids=repr)
def test_an_empty_file_is_an_empty_journal(tmp_path: Path, content: bytes) -> None:
    """A file without lines is an empty journal, without a warning."""
    (tmp_path / JOURNAL_FILE).write_bytes(content)
    assert read_journal(tmp_path) == Journal()
    add(tmp_path, note("first"))
    assert (read_journal(tmp_path).uuid, read_journal(tmp_path).facts[0].text) == (UUID, "first")


def test_torn_at_every_byte(tmp_path: Path) -> None:
    """Wherever a power cut ends the file, whole lines are kept, the rest is set aside, and facts can be added."""
    add(tmp_path, note("süß 🥬"), Fact(kind="harvested", on=DAY, batch=1, grams=80), note("three"))
    whole = (tmp_path / JOURNAL_FILE).read_bytes()
    every_fact = read_journal(tmp_path).facts
    for length in range(len(whole) + 1):
        folder = tmp_path / str(length)
        folder.mkdir()
        cut = whole[:length]
        (folder / JOURNAL_FILE).write_bytes(cut)
        # A cut right before the end of a line leaves the line whole.
        kept = cut if whole[length : length + 1] == b"\n" else cut[: cut.rfind(b"\n") + 1]
        torn = cut[len(kept) :]
        kept_facts = every_fact[: max(kept.rstrip(b"\n").count(b"\n"), 0)]

        read = read_journal(folder)
        assert read.facts == kept_facts
        assert len(read.warnings) == bool(torn)
        assert (folder / JOURNAL_FILE).read_bytes() == cut

        journal, added = add(folder, note("after"))
        assert journal.facts == (*kept_facts, *added)
        assert [fact.number for fact in added] == [len(kept_facts) + 1]
        assert len(journal.warnings) == bool(torn)
        assert read_journal(folder) == replace(journal, warnings=())
        aside = folder / TORN_FILE
        assert (aside.read_bytes() if aside.exists() else b"") == (torn + b"\n" if torn else b"")


def test_unfinished_lines_are_collected(tmp_path: Path) -> None:
    """Each unfinished line is put after those set aside before, and the journal keeps its whole lines."""
    write(tmp_path, HEADER, NOTE)
    for torn in (b'{"num', b"\x00\x00"):
        with (tmp_path / JOURNAL_FILE).open("ab") as stream:
            stream.write(torn)
        assert read_journal(tmp_path).warnings == (
            f"Line 3 of {JOURNAL_FILE} is not finished, perhaps after a power cut. It is left out.",
        )
        add(tmp_path)
    assert (tmp_path / TORN_FILE).read_bytes() == b'{"num\n\x00\x00\n'
    assert (tmp_path / JOURNAL_FILE).read_text(encoding="utf-8") == f"{HEADER}\n{NOTE}\n"


def test_an_undo_can_be_undone(tmp_path: Path) -> None:
    """A fact that is taken back stands again once its undo is taken back, also through the file."""
    add(tmp_path, note("one"), note("two"))
    journal, _ = add(tmp_path, Fact(kind="undo", on=DAY, undoes=2))
    assert [fact.text for fact in journal.standing] == ["one"]
    journal, _ = add(tmp_path, Fact(kind="undo", on=DAY, undoes=3))
    assert [fact.text for fact in journal.standing] == ["one", "two"]
    assert len(read_journal(tmp_path).facts) == 4


def refuse(_: Journal) -> Sequence[Fact]:
    """Refuse to add anything."""
    raise InputFaults((Fault(file="--on", line=None, field="", wrong="is refused", write="Write another"),))


def make_nothing(_: Journal) -> Sequence[Fact]:
    """Add nothing."""
    return ()


def test_a_refusal_adds_nothing(tmp_path: Path) -> None:
    """If facts are refused, or there are none, no file is made and a journal stays as it is."""
    with pytest.raises(InputFaults, match="is refused"):
        add_facts(tmp_path, refuse, new_uuid=UUID, now=NOW)
    assert add_facts(tmp_path, make_nothing, new_uuid=UUID, now=NOW) == (Journal(), ())
    assert not list(tmp_path.iterdir())
    journal, _ = add(tmp_path, note("one"))
    before = (tmp_path / JOURNAL_FILE).read_bytes()
    with pytest.raises(InputFaults, match="is refused"):
        add_facts(tmp_path, refuse, new_uuid=UUID, now=NOW)
    assert add_facts(tmp_path, make_nothing, new_uuid=UUID, now=NOW) == (journal, ())
    assert (tmp_path / JOURNAL_FILE).read_bytes() == before


def test_the_facts_are_made_for_the_journal_as_it_is(tmp_path: Path) -> None:
    """The facts to add may depend on those already there."""
    add(tmp_path, note("one"))
    seen: list[Journal] = []

    def make(journal: Journal) -> Sequence[Fact]:
        seen.append(journal)
        return [note(f"after {journal.last_number}")]

    _, (added,) = add_facts(tmp_path, make, new_uuid=UUID, now=NOW)
    assert (added.text, added.number) == ("after 1", 2)
    assert [[fact.text for fact in journal.facts] for journal in seen] == [["one"]]


def test_a_journal_begun_by_somebody_else_meanwhile_is_seen(tmp_path: Path) -> None:
    """When two commands begin a journal at once, the second sees the facts of the first and keeps its UUID."""
    is_first = True

    def make(journal: Journal) -> Sequence[Fact]:
        nonlocal is_first
        if is_first:
            is_first = False
            add_facts(tmp_path, lambda _: [note("other")], new_uuid="other", now=NOW)
        return [note(f"after {len(journal.facts)}")]

    journal, _ = add_facts(tmp_path, make, new_uuid=UUID, now=NOW)
    assert [fact.text for fact in journal.facts] == ["other", "after 1"]
    assert read_journal(tmp_path) == journal
    assert journal.uuid == "other"


@pytest.mark.parametrize(
    "fact",
    [
        Fact(kind="sown", on=DAY, plants=0),
        Fact(kind="harvested", on=DAY, grams=float("nan")),
        Fact(kind="undo", on=DAY, undoes=2),
        Fact(kind="undo", on=DAY),
        Fact(kind="note", on=DAY, text="\ud800"),
    ],
)
def test_a_fact_that_could_not_be_read_is_not_added(tmp_path: Path, fact: Fact) -> None:
    """A fact that reading would refuse is refused before it is written."""
    add(tmp_path, note("one"))
    before = (tmp_path / JOURNAL_FILE).read_bytes()
    with pytest.raises(InputFaults, match=f"{JOURNAL_FILE}, line 3"):
        add(tmp_path, fact)
    assert (tmp_path / JOURNAL_FILE).read_bytes() == before


def test_nothing_is_added_to_a_journal_with_faults(tmp_path: Path) -> None:
    """A journal with faults is refused and left as it is."""
    write(tmp_path, HEADER, "{")
    with pytest.raises(InputFaults, match=f"{JOURNAL_FILE}, line 2: is not JSON"):
        add(tmp_path, note("one"))
    assert (tmp_path / JOURNAL_FILE).read_text(encoding="utf-8") == f"{HEADER}\n{{\n"


Write = Callable[[int, bytes], int]


@pytest.mark.parametrize("begun", [True, False])
def test_a_full_disk_leaves_the_journal_as_it_was(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, begun: bool) -> None:
    """If the disk fills up in the middle of a line, nothing of it stays, and the fault says what to do."""
    if begun:
        add(tmp_path, note("one"))
    before = read_journal(tmp_path)
    real: Write = os.write
    written = 0

    def write_some(descriptor: int, content: bytes) -> int:
        nonlocal written
        if written:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        written = real(descriptor, content[:25])
        return written

    monkeypatch.setattr(os, "write", write_some)
    with pytest.raises(InputFaults, match="Make room there") as caught:
        add(tmp_path, note("two"), note("three"))
    monkeypatch.setattr(os, "write", real)
    assert written == 25
    assert str(tmp_path / JOURNAL_FILE) == caught.value.faults[0].file
    assert read_journal(tmp_path) == before
    assert not (tmp_path / TORN_FILE).exists()
    assert [fact.text for fact in add(tmp_path, note("four"))[1]] == ["four"]


def test_short_writes_are_carried_on(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """If the system writes only a part, the rest follows."""
    real: Write = os.write
    monkeypatch.setattr(os, "write", lambda descriptor, content: real(descriptor, content[:7]))
    add(tmp_path, note("one"), note("two"))
    assert [fact.text for fact in read_journal(tmp_path).facts] == ["one", "two"]


def test_facts_are_on_the_disk_when_adding_ends(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The file is synced after its last byte, and so is the folder of a new journal."""
    synced: list[tuple[bool, int]] = []
    real = os.fsync

    def watch(descriptor: int) -> None:
        state = os.fstat(descriptor)
        synced.append((state.st_ino == tmp_path.stat().st_ino, state.st_size))
        real(descriptor)

    monkeypatch.setattr(os, "fsync", watch)
    add(tmp_path, note("one"))
    assert (False, (tmp_path / JOURNAL_FILE).stat().st_size) in synced
    assert any(is_folder for is_folder, _ in synced) == (os.name != "nt")
    add(tmp_path, note("two"))
    assert synced[-1] == (False, (tmp_path / JOURNAL_FILE).stat().st_size)


def test_a_disk_that_fails_to_sync_adds_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Facts that may not have reached the disk are removed, and the person gets a fault."""
    journal, _ = add(tmp_path, note("one"))

    def fail(descriptor: int) -> None:
        raise OSError(errno.EIO, os.strerror(errno.EIO))

    monkeypatch.setattr(os, "fsync", fail)
    with pytest.raises(InputFaults, match="left as it was"):
        add(tmp_path, note("two"))
    assert read_journal(tmp_path) == journal


def test_adding_in_a_missing_folder_is_a_fault(tmp_path: Path) -> None:
    """Reading finds no journal there, and the fault of adding says what to do."""
    assert read_journal(tmp_path / "away") == Journal()
    with pytest.raises(InputFaults, match=r"could not be written: .*name another folder"):
        add(tmp_path / "away", note("one"))


def test_a_folder_named_like_the_journal_is_a_fault(tmp_path: Path) -> None:
    """If a folder has the journal's name, reading and adding are faults."""
    (tmp_path / JOURNAL_FILE).mkdir()
    with pytest.raises(InputFaults, match=r"cannot be read .*Put a file there"):
        read_journal(tmp_path)
    with pytest.raises(InputFaults, match="could not be written"):
        add(tmp_path, note("one"))


def test_a_folder_that_takes_no_files_is_a_fault(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """If nothing may be written there, the fault says so and what to do."""

    def fail(file: Path, *_: int) -> int:
        raise OSError(errno.EACCES, os.strerror(errno.EACCES), str(file))

    monkeypatch.setattr(os, "open", fail)
    with pytest.raises(InputFaults, match=r"could not be written: Permission denied\. Give yourself the right"):
        add(tmp_path, note("one"))
    assert not list(tmp_path.iterdir())


@pytest.mark.skipif(os.name == "nt", reason="locks of another system")
def test_a_file_system_without_locks_will_do(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Some network folders have no locks; adding works there too."""
    import fcntl

    def fail(descriptor: int, how: int) -> None:
        raise OSError(errno.ENOLCK, os.strerror(errno.ENOLCK))

    monkeypatch.setattr(fcntl, "flock", fail)
    add(tmp_path, note("one"))
    assert [fact.text for fact in read_journal(tmp_path).facts] == ["one"]


def test_decimals_are_written_with_a_point_and_counts_without(tmp_path: Path) -> None:
    """Fields that may have a decimal point are written as decimals, and counts are not."""
    add(tmp_path, Fact(kind="harvested", on=DAY, plants=2, grams=80, planned_grams=75, value=6, litres=3))
    _, line = (tmp_path / JOURNAL_FILE).read_text(encoding="utf-8").splitlines()
    for name in DECIMALS:
        assert isinstance(json.loads(line)[name], float), name
    assert '"plants": 2,' in line
