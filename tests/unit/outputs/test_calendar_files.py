"""The files of the calendar: replaced only by a calendar that reads back whole."""

from __future__ import annotations

import errno
import os
import re
from collections.abc import Callable
from dataclasses import replace
from datetime import time, timedelta
from pathlib import Path
from typing import IO

import pytest
from icalendar import Event

from steadysow.chores.chore import Chore
from steadysow.errors import InputFaults
from steadysow.inputs.calendar_style import CalendarStyle
from steadysow.inputs.garden import Garden
from steadysow.outputs.ical import write_calendar
from steadysow.plan.plan import Plan
from unit.outputs.calendar_reader import BEGUN, LATER, NOW, lint, lint_tasks, sequences


def test_files_are_left_alone_when_nothing_changed(
    tmp_path: Path, garden: Garden, plan: Plan, chores: tuple[Chore, ...]
) -> None:
    """Writing the same calendar again replaces no file, so a server can answer that nothing has changed."""
    assert write_calendar(tmp_path, garden, plan, chores, now=NOW)
    before = [(file.name, file.stat().st_ino, file.stat().st_mtime_ns) for file in sorted(tmp_path.iterdir())]
    assert [name for name, _, _ in before] == ["calendar-state.json", "calendar.ics"]
    assert not write_calendar(tmp_path, garden, plan, chores, now=LATER)
    assert [(file.name, file.stat().st_ino, file.stat().st_mtime_ns) for file in sorted(tmp_path.iterdir())] == before


def test_calendar_elsewhere_keeps_its_state_in_the_garden(
    tmp_path: Path, garden: Garden, plan: Plan, chores: tuple[Chore, ...]
) -> None:
    """A calendar that is written elsewhere leaves only itself there."""
    web, home = tmp_path / "web", tmp_path / "home"
    web.mkdir()
    home.mkdir()
    write_calendar(web / "garden.ics", garden, plan, chores, now=NOW, state_file=home / "calendar-state.json")
    assert [file.name for file in web.iterdir()] == ["garden.ics"]
    assert [file.name for file in home.iterdir()] == ["calendar-state.json"]


@pytest.mark.parametrize(
    "damage",
    [
        lambda content: content.replace(b"SUMMARY:Sow 7", b"SUMMARY:Eat 7"),
        lambda content: content[: len(content) // 2],
        lambda content: content.replace(b"\r\n", b"\n"),
        lambda _: b"not a calendar",
        lambda _: b"\xff\x00\r\nBEGIN:VEVENT\r\nSEQUENCE:99999999999\r\nLAST-MODIFIED:9Z\r\n",
        lambda _: b"",
    ],
    ids=["edited", "cut off", "line ends", "something else", "bytes", "empty"],
)
def test_damaged_calendar_is_mended(
    tmp_path: Path,
    garden: Garden,
    plan: Plan,
    chores: tuple[Chore, ...],
    damage: Callable[[bytes], bytes],
) -> None:
    """Nothing is copied from a changed or damaged calendar: the new one is as it was first written."""
    file = tmp_path / "calendar.ics"
    write_calendar(tmp_path, garden, plan, chores, now=NOW)
    content = file.read_bytes()
    assert damage(content) != content
    file.write_bytes(damage(content))
    assert write_calendar(tmp_path, garden, plan, chores, now=LATER)
    assert file.read_bytes() == content


def test_two_chores_of_one_key_are_refused(
    tmp_path: Path, garden: Garden, plan: Plan, chores: tuple[Chore, ...]
) -> None:
    """If two events had the same UID, the calendar is refused and the last files stay."""
    write_calendar(tmp_path, garden, plan, chores, now=NOW)
    before = {file.name: file.read_bytes() for file in tmp_path.iterdir()}
    doubled = (*chores, replace(chores[0], on=chores[0].on + timedelta(days=1)))
    with pytest.raises(RuntimeError, match="does not read back with all its events, and the last one is left as it"):
        write_calendar(tmp_path, garden, plan, doubled, now=LATER)
    assert {file.name: file.read_bytes() for file in tmp_path.iterdir()} == before


@pytest.mark.parametrize(
    "nonsense",
    [
        lambda block: block[:-30],
        lambda block: block + block,
        lambda _: b"",
        lambda block: block.replace(b"\r\n ", b""),
        lambda block: block.replace(b"END:VEVENT", b"END:VTODO"),
        lambda block: block.replace(b"DTSTART;VALUE=DATE:2026", b"DTSTART;VALUE=DATE:2027"),
        lambda block: re.sub(rb"\r\nUID:[^\r]*", b"", block),
        lambda block: block.replace(b"END:VEVENT\r\n", b"END:VEVENT\r\nBEGIN:VEVENT\r\nEND:VEVENT\r\n"),
    ],
    ids=["cut off", "doubled", "nothing", "unfolded", "other end", "other day", "no UID", "empty event"],
)
def test_library_that_writes_nonsense_is_noticed(
    tmp_path: Path,
    garden: Garden,
    plan: Plan,
    chores: tuple[Chore, ...],
    monkeypatch: pytest.MonkeyPatch,
    nonsense: Callable[[bytes], bytes],
) -> None:
    """If one new event does not read back as written, calendar and state stay, and the error says so."""
    write_calendar(tmp_path, garden, plan, chores, now=NOW)
    before = {file.name: file.read_bytes() for file in tmp_path.iterdir()}
    write = Event.to_ical
    monkeypatch.setattr(Event, "to_ical", lambda event, *more: nonsense(write(event, *more)))
    changed = (replace(chores[0], detail=("A line that is long enough to be folded, " * 3,)), *chores[1:])
    with pytest.raises(RuntimeError, match=r"does not read back.*the last one is left as it was"):
        write_calendar(tmp_path, garden, plan, changed, now=LATER)
    assert {file.name: file.read_bytes() for file in tmp_path.iterdir()} == before


def refuse(number: int) -> Callable[..., IO[bytes]]:
    """Give a function that fails as the system does, but lets files be read."""
    read_only = Path.open

    def fail(path: Path, mode: object = "", *more: object, **named: object) -> IO[bytes]:
        if isinstance(mode, str) and mode.startswith("r"):
            return read_only(path, mode, *more, **named)  # type: ignore[call-overload,no-any-return]
        raise OSError(number, os.strerror(number))

    return fail


@pytest.mark.parametrize(
    ("number", "sentence"),
    [
        (errno.ENOSPC, "No space left on device. Make room there, and run it again."),
        (
            errno.EROFS,
            "Read-only file system. Give yourself the right to read and write there, or name another folder.",
        ),
        (errno.EACCES, "Permission denied. Give yourself the right to read and write there, or name another folder."),
    ],
)
@pytest.mark.parametrize("place", ["os.fsync", "os.fdopen", "pathlib.Path.replace"])
def test_file_that_cannot_be_written_keeps_the_old_one(
    tmp_path: Path,
    garden: Garden,
    plan: Plan,
    chores: tuple[Chore, ...],
    monkeypatch: pytest.MonkeyPatch,
    number: int,
    sentence: str,
    place: str,
) -> None:
    """A full disk or a read-only folder leaves every file as it was and no other file, and names a remedy."""
    write_calendar(tmp_path, garden, plan, chores, now=NOW)
    before = {file.name: file.read_bytes() for file in tmp_path.iterdir()}
    with monkeypatch.context() as patch:
        patch.setattr(place, refuse(number))
        with pytest.raises(InputFaults, match=re.escape(f"it could not be written and is left as it was: {sentence}")):
            write_calendar(tmp_path, garden, plan, chores[1:], now=LATER)
    assert {file.name: file.read_bytes() for file in tmp_path.iterdir()} == before


def test_disk_that_fills_up_half_way_keeps_the_old_calendar(
    tmp_path: Path, garden: Garden, plan: Plan, chores: tuple[Chore, ...]
) -> None:
    """If the system stops the writing in the middle, the old calendar stays, and no part of the new one is left."""
    resource = pytest.importorskip("resource")
    write_calendar(tmp_path, garden, plan, chores, now=NOW)
    before = (tmp_path / "calendar.ics").read_bytes()
    limit, most = resource.getrlimit(resource.RLIMIT_FSIZE)
    changed = (replace(chores[0], detail=("Long. " * 5000,)), *chores[1:])
    try:
        # More than the state takes, less than the calendar.
        resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, most))
        with pytest.raises(
            InputFaults, match=r"calendar\.ics: it could not be written and is left as it was: File too"
        ):
            write_calendar(tmp_path, garden, plan, changed, now=LATER)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (limit, most))
    assert (tmp_path / "calendar.ics").read_bytes() == before
    assert sorted(file.name for file in tmp_path.iterdir()) == ["calendar-state.json", "calendar.ics"]
    # With room again, the next calendar has the revision that the state has already counted.
    assert write_calendar(tmp_path, garden, plan, changed, now=LATER)
    assert max(sequences((tmp_path / "calendar.ics").read_bytes()).values()) == BEGUN + 1


def test_disk_that_keeps_something_else_is_noticed(
    tmp_path: Path, garden: Garden, plan: Plan, chores: tuple[Chore, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each file is read back before it replaces the old one."""
    write_calendar(tmp_path, garden, plan, chores, now=NOW)
    before = {file.name: file.read_bytes() for file in tmp_path.iterdir()}
    monkeypatch.setattr("os.fsync", lambda handle: os.ftruncate(handle, 100))
    with pytest.raises(InputFaults, match="the new content does not read back as it was written"):
        write_calendar(tmp_path, garden, plan, chores[1:], now=LATER)
    assert {file.name: file.read_bytes() for file in tmp_path.iterdir()} == before


def test_rights_of_the_calendar_stay(tmp_path: Path, garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """The rights of the calendar stay, so that a web server can read the next one too."""
    write_calendar(tmp_path, garden, plan, chores, now=NOW)
    (tmp_path / "calendar.ics").chmod(0o664)
    assert write_calendar(tmp_path, garden, plan, chores[1:], now=LATER)
    assert (tmp_path / "calendar.ics").stat().st_mode & 0o777 == 0o664


def with_tasks(garden: Garden) -> Garden:
    """Give the garden with tasks, daily events and an alarm."""
    return replace(garden, calendar=CalendarStyle(tasks=True, detail="daily", alarm=time(8)))


def test_tasks_stand_beside_the_calendar_while_they_are_wanted(
    tmp_path: Path, garden: Garden, plan: Plan, chores: tuple[Chore, ...]
) -> None:
    """The file of tasks is named after the calendar, and is deleted when nobody wants tasks any more."""
    for target, name in ((tmp_path, "calendar-tasks.ics"), (tmp_path / "garden.ics", "garden-tasks.ics")):
        assert write_calendar(target, with_tasks(garden), plan, chores, now=NOW)
        assert len(lint_tasks((tmp_path / name).read_bytes())) == len(chores)
        assert not write_calendar(target, with_tasks(garden), plan, chores, now=LATER)
    assert b"VTODO" not in (tmp_path / "calendar.ics").read_bytes()
    (tmp_path / "garden-tasks.ics").write_bytes(b"BEGIN:VCALENDAR\r\nPRODID:mine\r\n")
    for target in (tmp_path, tmp_path / "garden.ics"):
        write_calendar(target, garden, plan, chores, now=LATER)
    assert not (tmp_path / "calendar-tasks.ics").exists()
    assert (tmp_path / "garden-tasks.ics").exists(), "the file of somebody else stays"


def test_symbolic_link_stays_a_link(tmp_path: Path, garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """A calendar that is a link to a web folder is written where the link leads."""
    (tmp_path / "web").mkdir()
    link = tmp_path / "calendar.ics"
    link.symlink_to(tmp_path / "web" / "garden.ics")
    write_calendar(link, garden, plan, chores, now=NOW)
    assert link.is_symlink()
    assert lint((tmp_path / "web" / "garden.ics").read_bytes())
