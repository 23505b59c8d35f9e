"""The journal's facts: which of them stand, in which order, and a hash that follows their content."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta

from hypothesis import given
from hypothesis import strategies as st

from drawn_facts import DAY, NOW, contents, facts, note
from steadysow.inputs.journal import Fact, Journal, imagined

UUID = "6f0e0a52-6a0d-4c0e-9d62-0a3f1f8f7c11"


@st.composite
def chains(draw: st.DrawFn) -> tuple[Fact, ...]:
    """Draw notes and undos of any earlier line, undos included."""
    chain: list[Fact] = []
    for number in range(1, draw(st.integers(0, 12)) + 1):
        is_undo = draw(st.booleans())
        if chain and is_undo:
            chain.append(Fact(number=number, kind="undo", on=DAY, undoes=draw(st.integers(1, number - 1))))
        else:
            chain.append(replace(note(str(number)), number=number))
    return tuple(chain)


def stands(number: int, chain: Sequence[Fact]) -> bool:
    """Say by the definition whether a fact stands: no standing undo names it."""
    return not any(each.undoes == number and stands(each.number, chain) for each in chain if each.number > number)


@given(chain=chains())
def test_undos_take_back(chain: tuple[Fact, ...]) -> None:
    """The facts that stand, and the one that the next undo takes back, are those of the definition."""
    journal = Journal(uuid=UUID, facts=chain)
    standing = [fact.number for fact in chain if fact.kind == "note" and stands(fact.number, chain)]
    assert sorted(fact.number for fact in journal.standing) == standing
    last = journal.last_standing
    assert (last.number if last else 0) == max(standing, default=0)


def test_facts_are_sorted_by_day_and_kind() -> None:
    """Facts are sorted by day, then as things happen to a batch, then by batch, tote and hole."""
    ordered = [
        Fact(kind="note", on=DAY - timedelta(1)),
        Fact(kind="sown", on=DAY, batch=9),
        Fact(kind="harvested", on=DAY, batch=1, tote="B"),
        Fact(kind="harvested", on=DAY, batch=2, tote="A", holes=(2,)),
        Fact(kind="harvested", on=DAY, batch=2, tote="A", holes=(10,)),
        Fact(kind="harvested", on=DAY, batch=2, tote="B"),
        Fact(kind="cleared", on=DAY, batch=1),
    ]
    typed = tuple(replace(fact, number=number) for number, fact in enumerate(reversed(ordered), start=1))
    assert contents(Journal(facts=typed)) == ordered


@given(data=st.data(), chosen=st.lists(facts(), max_size=5))
def test_the_order_of_typing_does_not_matter(data: st.DataObject, chosen: list[Fact]) -> None:
    """The same facts typed in another order, at another time, in another garden have the same order and hash."""
    shuffled = data.draw(st.permutations(chosen))
    one = Journal(uuid="a", facts=tuple(replace(fact, number=n) for n, fact in enumerate(chosen, start=1)))
    later = tuple(replace(fact, number=n, written_at=NOW) for n, fact in enumerate(shuffled, start=7))
    other = Journal(uuid="b", facts=later)
    assert contents(one) == contents(other)
    assert one.digest() == other.digest()


@given(one=facts(), other=facts())
def test_the_hash_depends_on_content_alone(one: Fact, other: Fact) -> None:
    """Journals have the same hash if and only if the same facts stand; a fact that was taken back does not count."""
    first, second = (Journal(facts=(replace(fact, number=1),)) for fact in (one, other))
    assert (first.digest() == second.digest()) == (one == other)
    undone = (replace(other, number=2), Fact(number=3, kind="undo", on=DAY, undoes=2))
    assert Journal(facts=(*first.facts, *undone)).digest() == first.digest()
    assert Journal(facts=(*first.facts, replace(other, number=2))).digest() != first.digest()


def test_the_hash_follows_every_field() -> None:
    """A change of any field but number and time changes the hash; 5 g and 5.0 g are the same."""
    fact = Fact(kind="harvested", on=DAY, batch=1, grams=5)
    changes: list[dict[str, object]] = [
        {"kind": "lost"}, {"on": DAY + timedelta(1)}, {"batch": 2}, {"batch": None}, {"tote": "A"}, {"holes": (1,)},
        {"plants": 0}, {"grams": 5.5}, {"planned_on": DAY}, {"due_on": DAY}, {"text": "x"}, {"assumed": True},
    ]  # fmt: skip
    varied = [replace(fact, **change) for change in changes]  # type: ignore[arg-type]
    hashes = {Journal(facts=(each,)).digest() for each in (fact, *varied)}
    assert len(hashes) == 1 + len(changes)
    same = replace(fact, grams=5.0, number=4, written_at=NOW)
    assert Journal(facts=(same,)).digest() == Journal(facts=(fact,)).digest()
    zero, minus = (Fact(kind="measured", on=DAY, value=value) for value in (0.0, -0.0))
    assert Journal(facts=(zero,)).digest() == Journal(facts=(minus,)).digest()


@given(before=st.lists(facts(), max_size=3), more=st.lists(facts(), max_size=3))
def test_imagined_facts_get_the_next_numbers(before: list[Fact], more: list[Fact]) -> None:
    """Imagined facts follow those of the journal, with the next numbers, and the journal itself stays as it is."""
    journal = Journal(uuid=UUID, facts=tuple(replace(fact, number=n) for n, fact in enumerate(before, start=3)))
    facts_before = journal.facts
    longer, added = imagined(journal, more)
    assert journal.facts == facts_before
    assert longer == replace(journal, facts=(*facts_before, *added))
    assert [fact.number for fact in added] == [journal.last_number + place for place in range(1, len(more) + 1)]
    assert [replace(fact, number=0) for fact in added] == more


def test_an_empty_journal_has_nothing_to_take_back() -> None:
    """Without facts the last number is 0 and no fact stands."""
    assert (Journal().last_number, Journal().last_standing, Journal().standing) == (0, None, ())
    assert Journal().standing_undos == frozenset()
