"""The journal file: reading its facts, and adding new ones so that none is lost.

Takes the garden's folder; gives the `Journal`.  Hides the lines of ``journal.jsonl``, the lock on it, and what happens
to a line that a power cut left unfinished.  Two commands at once, a full disk or a power cut lose no added fact.
"""

from __future__ import annotations

import codecs
import errno
import json
import math
import os
import re
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

from steadysow.errors import Fault, InputFaults, one_fault
from steadysow.files import disk_errors_as_faults
from steadysow.inputs.journal import DECIMALS, JOURNAL_FILE, KINDS, Fact, Journal, line_of
from steadysow.inputs.values import suggestion

# Where the unfinished last line goes that a power cut left.
TORN_FILE = "journal-torn.txt"
JOURNAL_VERSION = 1

_ISO_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_LARGEST_COUNT = 1_000_000_000
# On some systems a lock also stops others from reading, so it is set far beyond the end of the file.
_LOCKED_BYTE = 1 << 30


def read_journal(folder: Path) -> Journal:
    """Read the journal of a garden without waiting for a lock.

    Parameters
    ----------
    folder
        The garden's folder.

    Returns
    -------
    Journal
        An empty one if there is no file. An unfinished last line is left out, with a warning.

    Raises
    ------
    InputFaults
        If lines are not valid, because somebody edited them; it holds all their faults.
    """
    file = folder / JOURNAL_FILE
    try:
        content = file.read_bytes()
    except FileNotFoundError:
        return Journal()
    except OSError as error:
        wrong, write = f"cannot be read ({error.strerror})", "Put a file there that you have the right to read"
        raise one_fault(str(file), wrong, write) from error
    reading = _Reading()
    reading.read(content)
    return reading.journal(torn_line="It is left out")


def add_facts(
    folder: Path, make: Callable[[Journal], Sequence[Fact]], *, new_uuid: str, now: datetime
) -> tuple[Journal, tuple[Fact, ...]]:
    """Add facts to the journal of a garden; they are on the disk when this returns.

    An unfinished last line is first moved to ``journal-torn.txt``.

    Parameters
    ----------
    folder
        The garden's folder.
    make
        Takes the journal, to which nobody else can add meanwhile, and gives the facts to add. If it raises, nothing is
        added. It must have no effects: it is called again if another command began the journal at the same moment.
    new_uuid
        The UUID of the garden if the journal begins with these facts.
    now
        When they are added, with its time zone.

    Returns
    -------
    tuple
        The journal with the new facts, and the new facts with their numbers. If there are none, no file is made.

    Raises
    ------
    InputFaults
        If the journal has faults, cannot be written, or could not be read with these facts; then nothing is added.
    """
    assert now.tzinfo is not None
    file = folder / JOURNAL_FILE
    first: Sequence[Fact] = ()
    # Without a file there is nothing to lock, and without facts no file is made.
    if not os.path.lexists(file) and not (first := make(Journal())):
        return Journal(), ()
    with _locked(file) as descriptor:
        with disk_errors_as_faults(file):
            content = file.read_bytes()
        reading = _Reading()
        reading.read(content)
        journal = reading.journal(torn_line=f"It was moved to {TORN_FILE}")
        whole = content.removesuffix(reading.torn)
        if reading.torn:
            with disk_errors_as_faults(file):
                _set_aside(reading.torn, folder)
                os.ftruncate(descriptor, len(whole))
                os.fsync(descriptor)
        wanted = first if first and not content else make(journal)
        if not wanted:
            return journal, ()
        lines = [] if journal.uuid else [json.dumps({"version": JOURNAL_VERSION, "garden": new_uuid})]
        for number, fact in enumerate(wanted, start=journal.last_number + 1):
            lines.append(line_of(replace(fact, number=number, written_at=now)))
        # The last line may lack its end. Half a character is no UTF-8; written as an escape it is refused when read.
        text = "".join(f"{line}\n" for line in (lines if whole[-1:] in (b"", b"\n") else ["", *lines]))
        addition = text.encode("utf-8", "backslashreplace")
        # Facts that could not be read again are refused before they are written.
        reading.read(addition)
        enlarged = replace(reading.journal(torn_line=""), warnings=journal.warnings)
        with disk_errors_as_faults(file):
            _append(descriptor, addition, length=len(whole))
        if not journal.uuid:
            _sync_folder(folder)
    return enlarged, enlarged.facts[len(journal.facts) :]


def _whole(value: Any, *, least: int = 1) -> int | None:
    # To Python true is a number.
    is_whole = isinstance(value, int) and not isinstance(value, bool)
    return value if is_whole and least <= value <= _LARGEST_COUNT else None


def _holes(value: Any) -> tuple[int, ...] | None:
    return tuple(value) if isinstance(value, list) and all(_whole(hole) for hole in value) else None


def _number(value: Any, *, least: float = -math.inf) -> float | None:
    with suppress(OverflowError):
        if isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value) and value >= least:
            return float(value)
    return None


def _text(value: Any) -> str | None:
    # JSON allows half of a UTF-16 pair as a character, which can be neither saved nor shown.
    is_whole = isinstance(value, str) and not any("\ud800" <= sign <= "\udfff" for sign in value)
    return value if is_whole else None


def _day(value: Any) -> date | None:
    with suppress(ValueError):
        return date.fromisoformat(value) if isinstance(value, str) and _ISO_DAY.fullmatch(value) else None
    return None


def _time(value: Any) -> datetime | None:
    with suppress(TypeError, ValueError, OverflowError):
        time = datetime.fromisoformat(value)
        return time.astimezone(UTC) if time.tzinfo else None
    return None


# A function that gives the value, or none if it is not valid; what it should be; and what to write.
_Take = tuple[Callable[[Any], object | None], str, str]
_COUNT: _Take = (_whole, "a count", "Write a whole number of at least 1")
_COUNT_OR_NONE: _Take = (lambda value: _whole(value, least=0), "a count", "Write a whole number of at least 0")
_AMOUNT: _Take = (lambda value: _number(value, least=0), "an amount", "Write a number of at least 0, such as 5.8")
_NUMBER: _Take = (_number, "a number", "Write a number, such as 5.8")
_TEXT: _Take = (_text, "text", 'Write text in quotes, such as "A"')
_DAY: _Take = (_day, "a date", 'Write year-month-day in quotes, such as "2026-10-03"')

# Every key of a fact, and the values it takes.
_TAKES: dict[str, _Take] = {
    "number": _COUNT,
    "fact": (lambda value: value if value in KINDS else None, "a known fact", ""),
    "on": _DAY,
    **dict.fromkeys(("batch", "cells", "seeds", "undoes"), _COUNT),
    "plants": _COUNT_OR_NONE,
    "holes": (_holes, "a list of holes", "Write hole numbers in brackets, such as [1, 2]"),
    **dict.fromkeys(DECIMALS, _AMOUNT),
    "value": _NUMBER,
    **dict.fromkeys(("tote", "crop", "want", "place", "what", "text"), _TEXT),
    **dict.fromkeys(("planned_on", "due_on", "published_on", "until"), _DAY),
    "assumed": (lambda value: value if isinstance(value, bool) else None, "true or false", "Write true or false"),
    "written_at": (_time, "a time", 'Write it with its time zone, such as "2026-10-03T08:15:00+00:00"'),
}
_ALWAYS = ("number", "fact", "on")


class _Reading:
    """The facts and the faults found so far, line by line; `torn` is the last line if it is unfinished."""

    def __init__(self) -> None:
        self.torn = b""
        self._uuid = ""
        self._facts: list[Fact] = []
        self._faults: list[Fault] = []
        self._line = 1
        self._last_number = 0
        self._is_begun = self._is_later = False

    def read(self, content: bytes) -> None:
        """Read more lines after those already read."""
        self.torn = b""
        *ended, rest = content.removeprefix(codecs.BOM_UTF8).split(b"\n")
        for line in ended:
            self._read_line(line, is_ended=True)
            self._line += 1
        self._read_line(rest, is_ended=False)

    def journal(self, *, torn_line: str) -> Journal:
        """Give the journal, with a warning if the last line is unfinished.

        Parameters
        ----------
        torn_line
            What happens to that line, as a sentence without its full stop.

        Raises
        ------
        InputFaults
            If any line has a fault.
        """
        if self._faults:
            raise InputFaults(tuple(self._faults))
        warning = f"Line {self._line} of {JOURNAL_FILE} is not finished, perhaps after a power cut. {torn_line}."
        return Journal(uuid=self._uuid, facts=tuple(self._facts), warnings=(warning,) if self.torn else ())

    def _fault(self, wrong: str, write: str, *, field: str = "") -> None:
        self._faults.append(Fault(file=JOURNAL_FILE, line=self._line, field=field, wrong=wrong, write=write))

    def _read_line(self, line: bytes, *, is_ended: bool) -> None:
        if self._is_later or not line.strip():
            return
        try:
            data = json.loads(line.decode("utf-8"), object_pairs_hook=_without_repeats)
        except KeyError as error:
            self._fault(f"has {_shown(error.args[0])} twice", "Keep one of them")
        except (ValueError, RecursionError) as error:
            if not is_ended:
                self.torn = line
                return
            is_text = not isinstance(error, UnicodeDecodeError)
            write = "Check the quotes, commas and braces, or delete the line" if is_text else "Save the file as UTF-8"
            self._fault("is not JSON" if is_text else "is not UTF-8 text", write)
        else:
            self._read_data(data)
        self._is_begun = True

    def _read_data(self, data: Any) -> None:
        if not isinstance(data, dict) or not data:
            self._fault("has no keys and values", "Write them in braces, or delete the line")
            return
        if not self._is_begun:
            self._read_header(data)
        # Where the header is missing, the first line may be a fact.
        if self._is_begun or "fact" in data:
            self._read_fact(data)

    def _read_header(self, data: dict[str, Any]) -> None:
        header = f'{{"version": {JOURNAL_VERSION}, "garden": "the UUID of the garden"}}'
        version, garden = data.get("version"), data.get("garden")
        if (_whole(version) or 0) > JOURNAL_VERSION:
            self._is_later = True
            self._fault("this journal was written by a later version of steadysow", "Update steadysow")
        elif not data.keys() >= {"version", "garden"}:
            self._fault("the first line does not say which garden this is", f"Write {header} above all facts")
        elif not _whole(version) or not garden or not _text(garden) or len(data) > 2:
            self._fault("is not a valid first line", f"Write {header}")
        else:
            self._uuid = garden

    def _read_fact(self, data: dict[str, Any]) -> None:
        faults_before = len(self._faults)
        for key in data:
            if key not in _TAKES:
                self._fault(f"{_shown(key)} is not a known key", suggestion(key, _TAKES))
        values: dict[str, Any] = {}
        for key, (take, what, write) in _TAKES.items():
            if key not in data and key not in _ALWAYS:
                continue
            values[key] = take(data.get(key))
            if values[key] is None:
                wrong = f"{_shown(data[key])} is not {what}" if key in data else "is missing"
                self._fault(wrong, write or suggestion(str(data.get(key)), KINDS), field=key)
        self._check(values)
        if len(self._faults) == faults_before:
            self._facts.append(Fact(kind=values.pop("fact"), **values))

    def _check(self, values: dict[str, Any]) -> None:
        """Check the values of a fact against its kind and against the facts before it."""
        kind, number, undoes = values["fact"], values["number"], values.get("undoes")
        if values.get("plants") == 0 and kind not in (None, "emerged", "harvested"):
            self._fault(f"0 is too few for {kind}", "Write a whole number of at least 1", field="plants")
        if kind == "undo" and "undoes" not in values:
            self._fault("is missing", "Write the number of the fact that it takes back", field="undoes")
        if kind not in (None, "undo") and "undoes" in values:
            self._fault(f"does not go with {kind}", "Leave it out", field="undoes")
        if undoes and number and undoes >= number:
            self._fault(f"{undoes} is not an earlier fact", f"Write a number below {number}", field="undoes")
        if number and number <= self._last_number:
            wrong = f"{number} comes after {self._last_number}"
            self._fault(wrong, "Put the lines back in order, each with its own number", field="number")
        self._last_number = number or self._last_number


def _without_repeats(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    data: dict[str, Any] = {}
    for key, value in pairs:
        if key in data:
            raise KeyError(key)
        data[key] = value
    return data


def _shown(value: object) -> str:
    """Give a value as it is written in the file, shortened if it is long."""
    text = json.dumps(value, ensure_ascii=False).encode("utf-8", "backslashreplace").decode()
    return text if len(text) <= 40 else f"{text[:37]}..."


@contextmanager
def _locked(file: Path) -> Iterator[int]:
    """Open the file to add to, once nobody else does; on a file system without locks, at once."""
    with disk_errors_as_faults(file):
        descriptor = os.open(file, os.O_RDWR | os.O_APPEND | os.O_CREAT | getattr(os, "O_BINARY", 0), 0o666)
    try:
        _lock(descriptor)
        yield descriptor
    finally:
        # This ends the lock too.
        os.close(descriptor)


def _lock(descriptor: int) -> None:
    if sys.platform != "win32":
        import fcntl

        with suppress(OSError):
            fcntl.flock(descriptor, fcntl.LOCK_EX)
        return
    import msvcrt

    os.lseek(descriptor, _LOCKED_BYTE, os.SEEK_SET)
    is_waiting = True
    while is_waiting:
        try:
            msvcrt.locking(descriptor, msvcrt.LK_LOCK, 1)
            is_waiting = False
        except OSError as error:
            # It gives up after ten seconds; the command waits on.
            is_waiting = error.errno == errno.EDEADLK


def _set_aside(torn: bytes, folder: Path) -> None:
    with (folder / TORN_FILE).open("ab") as stream:
        stream.write(torn + b"\n")
        stream.flush()
        os.fsync(stream.fileno())
    _sync_folder(folder)


def _append(descriptor: int, addition: bytes, *, length: int) -> None:
    """Add to a file of this length: all of it, or nothing."""
    try:
        rest = addition
        while rest:
            rest = rest[os.write(descriptor, rest) :]
        os.fsync(descriptor)
    except OSError:
        with suppress(OSError):
            os.ftruncate(descriptor, length)
            os.fsync(descriptor)
        raise


def _sync_folder(folder: Path) -> None:
    """Put the name of a new file on the disk; Windows cannot open folders, and does so by itself."""
    with suppress(OSError):
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)
