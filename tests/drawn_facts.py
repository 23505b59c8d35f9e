"""Facts for tests of the journal: notes of one day, and facts of any kind drawn at random."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime

from hypothesis import strategies as st

from steadysow.inputs.journal import KINDS, Fact, Journal

NOW = datetime(2026, 10, 3, 8, 15, tzinfo=UTC)
DAY = date(2026, 10, 3)

_TEXTS = st.text(max_size=30) | st.sampled_from(["", "a\u2028b\u2029c\x85d", "\r\n\x00\x1c", '"\\', "\ufeff", "🥬"])
_COUNTS = st.none() | st.integers(1, 1_000_000)
_AMOUNTS = st.none() | st.floats(0, 1e9)
_DAYS = st.none() | st.dates()


def facts(kinds: Sequence[str] = KINDS[:-1]) -> st.SearchStrategy[Fact]:
    """Draw facts of these kinds, by default of all kinds but undo."""
    return st.builds(
        Fact,
        kind=st.sampled_from(kinds),
        on=st.dates(),
        batch=_COUNTS,
        tote=_TEXTS,
        crop=_TEXTS,
        want=_TEXTS,
        place=_TEXTS,
        holes=st.lists(st.integers(1, 99), max_size=4).map(tuple),
        plants=_COUNTS,
        cells=_COUNTS,
        seeds=_COUNTS,
        grams=_AMOUNTS,
        planned_on=_DAYS,
        due_on=_DAYS,
        planned_grams=_AMOUNTS,
        until=_DAYS,
        what=_TEXTS,
        value=st.none() | st.floats(allow_nan=False, allow_infinity=False),
        litres=_AMOUNTS,
        text=_TEXTS,
        assumed=st.booleans(),
    )


def note(text: str) -> Fact:
    """Give a note of the day."""
    return Fact(kind="note", on=DAY, text=text)


def contents(journal: Journal) -> list[Fact]:
    """Give the facts that stand, without number and time of writing."""
    return [replace(fact, number=0, written_at=None) for fact in journal.standing]
