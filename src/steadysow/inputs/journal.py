"""The journal: what happened in the garden, one dated fact after another, only ever added to.

Gives the types `Fact` and `Journal`; `journal_file` reads the file and adds to it.  Hides which facts stand after some
were taken back, and in which order things happen on one day.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, fields, replace
from datetime import UTC, date, datetime
from typing import Literal, get_args

JOURNAL_FILE = "journal.jsonl"

FactKind = Literal[
    "sown", "emerged", "thinned", "transplanted", "harvested", "lost", "bolted", "cleared", "fed", "topped-up",
    "measured", "moved", "scrubbed", "resting", "back", "note", "undo",
]  # fmt: skip
# In the order in which they happen to a batch on one day.
KINDS: tuple[FactKind, ...] = get_args(FactKind)

# Fields that may have a decimal point.
DECIMALS = ("grams", "planned_grams", "litres", "value")

# JSON leaves these signs as they are, and some editors break a line at them.
_OTHER_LINE_ENDS = str.maketrans({sign: f"\\u{ord(sign):04x}" for sign in "\x85\u2028\u2029"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """One thing that happened.

    Attributes
    ----------
    number
        Counted from 1 in the order of typing, never reused; 0 until it is added.
    kind, on
        What happened, and on which day.
    batch, tote, holes, plants, grams
        What it is about, and how much [g]. The tote of `sown` is the batch's, that of `moved` is its new one.
    crop, want, place, cells, seeds
        For `sown`. The place is where the tote stands.
    planned_on
        The day that the plan had for it.
    due_on, published_on, planned_grams
        For `harvested`: the due day by this garden's record at that time, the due day by the published profile, and the
        grams that the published profile forecast for the day of the harvest [g].
    until
        For `resting`: the first day the tote is in use again, or ``None`` if not known.
    what, value
        For `measured`: ph, ec, level or temperature, and its value [pH], [mS/cm], [cm], [degree C].
    litres
        For `topped-up` and `fed` [L].
    undoes
        For `undo`: the number of the fact it takes back, which may be an undo.
    text
        The words of a `note`, or a remark.
    assumed
        Whether it was written for the person, taken to have gone as planned.
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
        Sentences about the file that a person should read.
    """

    uuid: str = ""
    facts: tuple[Fact, ...] = ()
    warnings: tuple[str, ...] = ()

    @property
    def standing(self) -> tuple[Fact, ...]:
        """The facts that are not taken back, without undos, by day.

        Facts of one day are sorted by `KINDS`, batch, tote and holes, and then by the rest of their content, so that
        the order of typing does not matter.
        """
        return tuple(sorted(self._stands(), key=_place_in_time))

    @property
    def last_standing(self) -> Fact | None:
        """The last fact typed that stands and is no undo: the one that the next undo takes back."""
        return next(self._stands(), None)

    @property
    def standing_undos(self) -> frozenset[int]:
        """The numbers of the undos that are not taken back."""
        taken_back = self._taken_back()
        return frozenset(fact.number for fact in self.facts if fact.kind == "undo" and fact.number not in taken_back)

    @property
    def last_number(self) -> int:
        """The number of the last fact typed; 0 without facts."""
        return max((fact.number for fact in self.facts), default=0)

    def digest(self) -> str:
        """Give a hash of the facts that stand: journals with the same content have the same hash."""
        content = "\n".join(_content(fact) for fact in self.standing)
        return hashlib.sha256(content.encode("utf-8", "backslashreplace")).hexdigest()

    def _taken_back(self) -> set[int | None]:
        """Give the numbers that are taken back, from the last fact to the first: an undo is judged before its fact."""
        taken_back: set[int | None] = set()
        for fact in sorted(self.facts, key=lambda fact: fact.number, reverse=True):
            if fact.kind == "undo" and fact.number not in taken_back:
                taken_back.add(fact.undoes)
        return taken_back

    def _stands(self) -> Iterator[Fact]:
        """Give the facts that stand, the last typed first."""
        taken_back = self._taken_back()
        for fact in sorted(self.facts, key=lambda fact: fact.number, reverse=True):
            if fact.kind != "undo" and fact.number not in taken_back:
                yield fact


def imagined(journal: Journal, facts: Iterable[Fact]) -> tuple[Journal, tuple[Fact, ...]]:
    """Give a journal as if more facts had been added, and these facts with their numbers."""
    numbered = tuple(replace(fact, number=journal.last_number + place) for place, fact in enumerate(facts, start=1))
    return replace(journal, facts=(*journal.facts, *numbered)), numbered


def line_of(fact: Fact) -> str:
    """Give the line of a fact in the file: number, kind and day, then every field that differs from its default."""
    written: dict[str, object] = {"number": fact.number, "fact": fact.kind, "on": fact.on.isoformat()}
    for field in fields(Fact):
        value = getattr(fact, field.name)
        if field.name not in ("number", "kind", "on") and value != field.default:
            if isinstance(value, date):
                value = (value.astimezone(UTC) if isinstance(value, datetime) else value).isoformat()
            # 5 and 5.0 are written the same, and so are 0.0 and -0.0.
            written[field.name] = float(value) + 0.0 if field.name in DECIMALS else value
    return json.dumps(written, ensure_ascii=False).translate(_OTHER_LINE_ENDS)


def _content(fact: Fact) -> str:
    """Give all that a fact says, without its number and its time of writing."""
    return line_of(replace(fact, number=0, written_at=None))


def _place_in_time(fact: Fact) -> tuple[object, ...]:
    order = KINDS.index(fact.kind)
    return fact.on, order, fact.batch or 0, fact.tote, fact.holes, _content(fact), fact.number
