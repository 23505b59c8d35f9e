"""The journal: what happened in the garden, dated; one fact a line, and only ever added to.

Takes the garden folder; gives the facts that stand, and adds new ones so that none is lost: to two commands at once, to
a full disk, to a power cut. Hides the lines of ``journal.jsonl``, the lock on it, and what becomes of a torn line.
"""

from __future__ import annotations

import codecs
import errno
import hashlib
import json
import math
import os
import re
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, fields, replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any, Literal, get_args

from steadysow.errors import Fault, InputFaults
from steadysow.files import told_as_fault
from steadysow.inputs.values import suggestion

JOURNAL_FILE = "journal.jsonl"
# What a power cut left of a last line.
TORN_FILE = "journal-torn.txt"
JOURNAL_VERSION = 1

FactKind = Literal[
    "sown", "emerged", "thinned", "transplanted", "harvested", "lost", "bolted", "cleared", "fed", "topped-up",
    "measured", "moved", "scrubbed", "resting", "back", "note", "undo",
]  # fmt: skip
# In the order in which they happen to a batch on one day.
KINDS: tuple[FactKind, ...] = get_args(FactKind)

_ISO_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_LARGEST_COUNT = 1_000_000_000
# JSON leaves these as they are, and some editors break a line at them.
_OTHER_LINE_ENDS = str.maketrans({sign: f"\\u{ord(sign):04x}" for sign in "\x85\u2028\u2029"})
# Where a lock keeps others from reading too, it lies so far beyond the end that it keeps nobody from the facts.
_LOCKED_BYTE = 1 << 30


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """One thing that happened; the notes tell of which kind of fact a field is.

    Attributes
    ----------
    number
        Counted from 1 in the order of typing, never reused; 0 until it is added.
    kind, on
        What happened, and the day it happened.
    batch, tote, holes, plants, grams
        What it is about, and how much; the tote of sown is that of the batch, of moved where to.
    crop, want, place, cells, seeds
        Of sown; the place is where the tote stands.
    planned_on
        The day that the plan had for it.
    due_on, published_on, planned_grams
        Of harvested: the first day it fell due by what was known of this garden then; by the profile as published; and
        the grams that the profile as published forecast for that day.
    until
        Of resting: first day back in use; ``None`` until told.
    what, value, litres
        Of measured: ph, ec, level or temperature, and what it was. Of topped-up and fed: the litres.
    undoes
        Of undo: number of the fact it takes back, which may be an undo.
    text
        Of note, or a remark.
    assumed
        Whether it was written on the person's behalf: taken to have gone as planned.
    written_at
        When it was added, in UTC.
    """

    number: int = 0
    kind: FactKind
    on: date
    batch: int | None = None
    tote: str = ""
    crop: str = ""
    want: str = ""
    place: str = ""
    holes: tuple[int, ...] = ()
    plants: int | None = None
    cells: int | None = None
    seeds: int | None = None
    grams: float | None = None
    planned_on: date | None = None
    due_on: date | None = None
    published_on: date | None = None
    planned_grams: float | None = None
    until: date | None = None
    what: str = ""
    value: float | None = None
    litres: float | None = None
    undoes: int | None = None
    text: str = ""
    assumed: bool = False
    written_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Journal:
    """All facts of a garden.

    Attributes
    ----------
    uuid
        The random UUID of the garden; empty while there is no journal.
    facts
        All facts in the order of the file, undos included.
    warnings
        What the person should know of the file, as sentences.
    """

    uuid: str = ""
    facts: tuple[Fact, ...] = ()
    warnings: tuple[str, ...] = ()

    @property
    def standing(self) -> tuple[Fact, ...]:
        """The facts that are not taken back, without undos, by day.

        Facts of one day follow `KINDS`, then batch, tote and holes, then all else that they say, so that the order of
        typing matters only between facts that say the same.
        """
        return tuple(sorted(self._stands(), key=_place_in_time))

    @property
    def last_standing(self) -> Fact | None:
        """The fact typed last of those that stand, undos left out: what the next undo takes back."""
        return next(self._stands(), None)

    @property
    def standing_undos(self) -> frozenset[int]:
        """The numbers of the undos that are not taken back."""
        taken_back = self._taken_back()
        return frozenset(fact.number for fact in self.facts if fact.kind == "undo" and fact.number not in taken_back)

    @property
    def last_number(self) -> int:
        """The number of the fact typed last; 0 where there is none."""
        return max((fact.number for fact in self.facts), default=0)

    def digest(self) -> str:
        """Give a mark of what stands, equal for journals that say the same."""
        said = "\n".join(_content(fact) for fact in self.standing)
        return hashlib.sha256(said.encode("utf-8", "backslashreplace")).hexdigest()

    def _taken_back(self) -> set[int | None]:
        """Give the numbers that are taken back; whether an undo stands is known before what it names is reached."""
        taken_back: set[int | None] = set()
        for fact in sorted(self.facts, key=lambda fact: fact.number, reverse=True):
            if fact.kind == "undo" and fact.number not in taken_back:
                taken_back.add(fact.undoes)
        return taken_back

    def _stands(self) -> Iterator[Fact]:
        """Give what stands, typed last first."""
        taken_back = self._taken_back()
        for fact in sorted(self.facts, key=lambda fact: fact.number, reverse=True):
            if fact.kind != "undo" and fact.number not in taken_back:
                yield fact


def read_journal(folder: Path) -> Journal:
    """Read the journal of a garden, without waiting for anybody.

    Returns
    -------
    The journal; an empty one where there is no file. A torn last line is left out, with a warning.

    Raises
    ------
    InputFaults
        If any line is not as it was written, since somebody edited it; all such lines are told at once.
    """
    file = folder / JOURNAL_FILE
    try:
        content = file.read_bytes()
    except FileNotFoundError:
        return Journal()
    except OSError as error:
        wrong, write = f"cannot be read ({error.strerror})", "Put a file there that you have the right to read"
        raise InputFaults((Fault(file=str(file), line=None, field="", wrong=wrong, write=write),)) from error
    reading = _Reading()
    reading.read(content)
    return reading.journal(torn_line="is left out")


def add_facts(
    folder: Path, make: Callable[[Journal], Sequence[Fact]], *, new_uuid: str, now: datetime
) -> tuple[Journal, tuple[Fact, ...]]:
    """Add facts to the journal of a garden; once this returns they are on the disk.

    A torn last line is first moved to ``journal-torn.txt``.

    Parameters
    ----------
    folder
        The garden folder.
    make
        Gives the facts to add to a journal that nobody else adds to meanwhile; may raise, and then nothing is added.
        Asked once more where somebody else began the journal at the same moment, so it must change nothing itself.
    new_uuid
        The UUID of the garden if the journal begins with these facts.
    now
        When they are added, with its time zone.

    Returns
    -------
    The journal with the new facts, and the new facts with their numbers. Where nothing is added, no file is made.

    Raises
    ------
    InputFaults
        If the journal has faults, cannot be written, or could not be read with these facts; then nothing is added.
    """
    assert now.tzinfo is not None
    file = folder / JOURNAL_FILE
    first: Sequence[Fact] = ()
    # Without a file there is nothing to lock, and where nothing is added there shall be none.
    if not os.path.lexists(file) and not (first := make(Journal())):
        return Journal(), ()
    with _locked(file) as descriptor:
        with told_as_fault(file):
            content = file.read_bytes()
        reading = _Reading()
        reading.read(content)
        journal = reading.journal(torn_line=f"was moved to {TORN_FILE}")
        whole = content.removesuffix(reading.torn)
        if reading.torn:
            with told_as_fault(file):
                _set_aside(reading.torn, folder)
                os.ftruncate(descriptor, len(whole))
                os.fsync(descriptor)
        wanted = first if first and not content else make(journal)
        if not wanted:
            return journal, ()
        lines = [] if journal.uuid else [json.dumps({"version": JOURNAL_VERSION, "garden": new_uuid})]
        for number, fact in enumerate(wanted, start=journal.last_number + 1):
            lines.append(_line(replace(fact, number=number, written_at=now)))
        # The last line may lack its end. Half a character cannot be UTF-8; as an escape it is found when read.
        text = "".join(f"{line}\n" for line in (lines if whole[-1:] in (b"", b"\n") else ["", *lines]))
        addition = text.encode("utf-8", "backslashreplace")
        # What could not be read again must never get into the file.
        reading.read(addition)
        enlarged = replace(reading.journal(torn_line=""), warnings=journal.warnings)
        with told_as_fault(file):
            _append(descriptor, addition, length=len(whole))
        if not journal.uuid:
            _sync_folder(folder)
    return enlarged, enlarged.facts[len(journal.facts) :]


def imagined(journal: Journal, facts: Iterable[Fact]) -> tuple[Journal, tuple[Fact, ...]]:
    """Give a journal with more facts, and these with their numbers, as if they had been added."""
    numbered = tuple(replace(fact, number=journal.last_number + place) for place, fact in enumerate(facts, start=1))
    return replace(journal, facts=(*journal.facts, *numbered)), numbered


def _content(fact: Fact) -> str:
    """Give all that a fact says; not which number it has, nor when it was written."""
    return _line(replace(fact, number=0, written_at=None))


def _place_in_time(fact: Fact) -> tuple[object, ...]:
    order = KINDS.index(fact.kind)
    return fact.on, order, fact.batch or 0, fact.tote, fact.holes, _content(fact), fact.number


def _line(fact: Fact) -> str:
    """Give the line of a fact: what it always has, then what differs from the default."""
    written: dict[str, object] = {"number": fact.number, "fact": fact.kind, "on": fact.on.isoformat()}
    for field in fields(Fact):
        value = getattr(fact, field.name)
        if field.name not in ("number", "kind", "on") and value != field.default:
            if isinstance(value, date):
                value = (value.astimezone(UTC) if isinstance(value, datetime) else value).isoformat()
            # 5 and 5.0 are the same, and so are 0.0 and -0.0.
            written[field.name] = float(value) + 0.0 if _TAKES[field.name] in (_AMOUNT, _NUMBER) else value
    return json.dumps(written, ensure_ascii=False).translate(_OTHER_LINE_ENDS)


def _whole(value: Any, *, least: int = 1) -> int | None:
    # To Python true is a number, but not to us.
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
    # Half of a pair of UTF-16 is a character to JSON, and can be neither saved nor shown.
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


# Each gives the value, or none where it is unfit; then what it should be, and what to write.
_Take = tuple[Callable[[Any], object | None], str, str]
_COUNT: _Take = (_whole, "a count", "Write a whole number of at least 1")
_COUNT_OR_NONE: _Take = (lambda value: _whole(value, least=0), "a count", "Write a whole number of at least 0")
_AMOUNT: _Take = (lambda value: _number(value, least=0), "an amount", "Write a number of at least 0, such as 5.8")
_NUMBER: _Take = (_number, "a number", "Write a number, such as 5.8")
_TEXT: _Take = (_text, "text", 'Write text in quotes, such as "A"')
_DAY: _Take = (_day, "a date", 'Write year-month-day in quotes, such as "2026-10-03"')

# Every key of a fact, and what it takes.
_TAKES: dict[str, _Take] = {
    "number": _COUNT,
    "fact": (lambda value: value if value in KINDS else None, "a known fact", ""),
    "on": _DAY,
    **dict.fromkeys(("batch", "cells", "seeds", "undoes"), _COUNT),
    "plants": _COUNT_OR_NONE,
    "holes": (_holes, "a list of holes", "Write hole numbers in brackets, such as [1, 2]"),
    **dict.fromkeys(("grams", "planned_grams", "litres"), _AMOUNT),
    "value": _NUMBER,
    **dict.fromkeys(("tote", "crop", "want", "place", "what", "text"), _TEXT),
    **dict.fromkeys(("planned_on", "due_on", "published_on", "until"), _DAY),
    "assumed": (lambda value: value if isinstance(value, bool) else None, "true or false", "Write true or false"),
    "written_at": (_time, "a time", 'Write it with its time zone, such as "2026-10-03T08:15:00+00:00"'),
}
_ALWAYS = ("number", "fact", "on")


class _Reading:
    """The facts found so far, line by line, and every fault of them; `torn` is the last line if it is torn."""

    def __init__(self) -> None:
        self.torn = b""
        self._uuid = ""
        self._facts: list[Fact] = []
        self._faults: list[Fault] = []
        self._line = 1
        self._last_number = 0
        self._is_begun = self._is_later = False

    def read(self, content: bytes) -> None:
        """Read on where the last content ended."""
        self.torn = b""
        *ended, rest = content.removeprefix(codecs.BOM_UTF8).split(b"\n")
        for line in ended:
            self._read_line(line, is_ended=True)
            self._line += 1
        self._read_line(rest, is_ended=False)

    def journal(self, *, torn_line: str) -> Journal:
        """Give the journal, with a warning that says what becomes of a torn line.

        Raises
        ------
        InputFaults
            If any line has a fault.
        """
        if self._faults:
            raise InputFaults(tuple(self._faults))
        warning = f"Line {self._line} of {JOURNAL_FILE} is cut off, perhaps by a power cut, and {torn_line}."
        return Journal(uuid=self._uuid, facts=tuple(self._facts), warnings=(warning,) if self.torn else ())

    def _tell(self, wrong: str, write: str, *, field: str = "") -> None:
        self._faults.append(Fault(file=JOURNAL_FILE, line=self._line, field=field, wrong=wrong, write=write))

    def _read_line(self, line: bytes, *, is_ended: bool) -> None:
        if self._is_later or not line.strip():
            return
        try:
            data = json.loads(line.decode("utf-8"), object_pairs_hook=_without_repeats)
        except KeyError as error:
            self._tell(f"has {_shown(error.args[0])} twice", "Keep one of them")
        except (ValueError, RecursionError) as error:
            if not is_ended:
                self.torn = line
                return
            is_text = not isinstance(error, UnicodeDecodeError)
            write = "Check the quotes, commas and braces, or take the line out" if is_text else "Save the file as UTF-8"
            self._tell("is not JSON" if is_text else "is not UTF-8 text", write)
        else:
            self._read_data(data)
        self._is_begun = True

    def _read_data(self, data: Any) -> None:
        if not isinstance(data, dict) or not data:
            self._tell("has no keys and values", "Write them in braces, or take the line out")
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
            self._tell("this journal was written by a later version of steadysow", "Bring steadysow up to date")
        elif not data.keys() >= {"version", "garden"}:
            self._tell("the first line does not say which garden this is", f"Write {header} above all facts")
        elif not _whole(version) or not garden or not _text(garden) or len(data) > 2:
            self._tell("is not a good first line", f"Write {header}")
        else:
            self._uuid = garden

    def _read_fact(self, data: dict[str, Any]) -> None:
        faults_before = len(self._faults)
        for key in data:
            if key not in _TAKES:
                self._tell(f"{_shown(key)} is not a known key", suggestion(key, _TAKES))
        values: dict[str, Any] = {}
        for key, (take, what, write) in _TAKES.items():
            if key not in data and key not in _ALWAYS:
                continue
            values[key] = take(data.get(key))
            if values[key] is None:
                wrong = f"{_shown(data[key])} is not {what}" if key in data else "is missing"
                self._tell(wrong, write or suggestion(str(data.get(key)), KINDS), field=key)
        self._check(values)
        if len(self._faults) == faults_before:
            self._facts.append(Fact(kind=values.pop("fact"), **values))

    def _check(self, values: dict[str, Any]) -> None:
        """Check what a fact says against its kind, and against the facts before it."""
        kind, number, undoes = values["fact"], values["number"], values.get("undoes")
        if values.get("plants") == 0 and kind not in (None, "emerged", "harvested"):
            self._tell(f"0 are too few for {kind}", "Write a whole number of at least 1", field="plants")
        if kind == "undo" and "undoes" not in values:
            self._tell("is missing", "Write the number of the fact that it takes back", field="undoes")
        if kind not in (None, "undo") and "undoes" in values:
            self._tell(f"does not go with {kind}", "Take it out", field="undoes")
        if undoes and number and undoes >= number:
            self._tell(f"{undoes} is not an earlier fact", f"Write a number below {number}", field="undoes")
        if number and number <= self._last_number:
            wrong = f"{number} comes after {self._last_number}"
            self._tell(wrong, "Put the lines back in their order, each with its own number", field="number")
        self._last_number = number or self._last_number


def _without_repeats(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    data: dict[str, Any] = {}
    for key, value in pairs:
        if key in data:
            raise KeyError(key)
        data[key] = value
    return data


def _shown(value: object) -> str:
    """Give a value as it is written in the file, shortened."""
    text = json.dumps(value, ensure_ascii=False).encode("utf-8", "backslashreplace").decode()
    return text if len(text) <= 40 else f"{text[:37]}..."


@contextmanager
def _locked(file: Path) -> Iterator[int]:
    """Open the file to add to, once nobody else adds to it; where there are no locks, at once."""
    with told_as_fault(file):
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
            # It gives up after ten seconds; we do not.
            is_waiting = error.errno == errno.EDEADLK


def _set_aside(torn: bytes, folder: Path) -> None:
    with (folder / TORN_FILE).open("ab") as stream:
        stream.write(torn + b"\n")
        stream.flush()
        os.fsync(stream.fileno())
    _sync_folder(folder)


def _append(descriptor: int, addition: bytes, *, length: int) -> None:
    """Add to a file of this length; if not all of it can be added, nothing is."""
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
    """Bring the name of a new file to the disk; Windows opens no folders, and does so by itself."""
    with suppress(OSError):
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)
