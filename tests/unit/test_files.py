"""Files are replaced as a whole or not at all."""

from __future__ import annotations

import errno
import os
from pathlib import Path
from threading import Thread

import pytest

from steadysow.errors import InputFaults
from steadysow.files import disk_errors_as_faults, replace_file


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """Give a file with some content."""
    file = tmp_path / "plan.json"
    file.write_bytes(b"old")
    return file


def test_new_content_replaces_the_old(file: Path) -> None:
    """The file holds the new content, and nothing else is left in the folder."""
    replace_file(file, b"new")
    assert {each.name: each.read_bytes() for each in file.parent.iterdir()} == {"plan.json": b"new"}


def test_a_missing_file_is_made(tmp_path: Path) -> None:
    """A file that does not exist yet is made."""
    replace_file(tmp_path / "plan.json", b"new")
    assert (tmp_path / "plan.json").read_bytes() == b"new"


def test_what_an_interrupted_run_left_is_no_obstacle(file: Path) -> None:
    """The unfinished file of an earlier run with the same process number is overwritten and removed."""
    file.with_name(f".plan.json.{os.getpid()}").write_bytes(b"half")
    replace_file(file, b"new")
    assert {each.name: each.read_bytes() for each in file.parent.iterdir()} == {"plan.json": b"new"}


@pytest.mark.parametrize("rights", [0o600, 0o640])
def test_rights_stay_or_are_given(file: Path, rights: int) -> None:
    """Without rights the file keeps those that it has; with rights it gets those."""
    file.chmod(rights)
    replace_file(file, b"new")
    assert file.stat().st_mode & 0o777 == rights
    replace_file(file, b"newer", rights=0o600)
    assert file.stat().st_mode & 0o777 == 0o600


def test_a_reader_never_sees_a_part(file: Path) -> None:
    """While two contents of a megabyte replace each other, a reader only ever sees one of them, whole."""
    contents = (b"a" * 1_000_000, b"b" * 1_000_000)
    replace_file(file, contents[0])

    def write() -> None:
        for number in range(20):
            replace_file(file, contents[number % 2])

    writer = Thread(target=write)
    writer.start()
    seen = set()
    while writer.is_alive():
        seen.add(file.read_bytes())
    writer.join()
    assert seen
    assert seen <= set(contents)


def test_disk_that_keeps_something_else_is_noticed(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The new content is read back before it replaces the old file."""
    monkeypatch.setattr("os.fsync", lambda handle: os.ftruncate(handle, 1))
    with pytest.raises(InputFaults, match="the new content does not read back as it was written"):
        replace_file(file, b"new")
    assert {each.name: each.read_bytes() for each in file.parent.iterdir()} == {"plan.json": b"old"}


@pytest.mark.parametrize(
    ("number", "remedy"),
    [
        (errno.ENOSPC, "Make room there, and run it again."),
        (errno.EDQUOT, "Make room there, and run it again."),
        (errno.EROFS, "Give yourself the right to read and write there, or name another folder."),
        (errno.EACCES, "Give yourself the right to read and write there, or name another folder."),
    ],
)
def test_errors_of_the_disk_name_a_remedy(file: Path, number: int, remedy: str) -> None:
    """An error of the disk becomes a fault with its reason and remedy; only an existing file is left as it was."""
    for named, state in ((file, " and is left as it was"), (file.with_name("new"), "")):
        with pytest.raises(InputFaults, match="could not be written") as raised, disk_errors_as_faults(named):
            raise OSError(number, os.strerror(number))
        assert str(raised.value) == f"{named}: it could not be written{state}: {os.strerror(number)}. {remedy}"
