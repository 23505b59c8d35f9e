"""What a person says becomes facts, an impossible day or fact is refused, and facts can be taken back."""

from __future__ import annotations

import pytest

from said import grounds, journal_of, refused, say, understood
from steadysow.errors import InputFaults
from steadysow.inputs.journal import Fact, FactKind, Journal, imagined
from steadysow.standing.recording import facts_of, undone
from tiny import day


def test_a_day_in_the_future_is_refused() -> None:
    """On day 21 nothing has happened on day 22; the year is named, since a slip of the year looks the same."""
    assert refused("harvested", "7", on=22, today=21) == (
        "--on: Sun 25 Oct 2026 is still to come. Record what has happened, on that day or later."
    )


@pytest.mark.parametrize(
    ("kind", "sentence"),
    [
        ("harvested", "WHAT: what was harvested is missing. Write a batch number, a tote or a crop."),
        ("scrubbed", "WHAT: what was scrubbed is missing. Write a tote, such as: record scrubbed A."),
    ],
)
def test_a_fact_about_nothing_is_refused(kind: FactKind, sentence: str) -> None:
    """The person learns what the fact can be about."""
    assert refused(kind, on=21) == sentence


def test_an_impossible_fact_is_refused_without_naming_the_journal() -> None:
    """The fact has no number yet, so the refusal names the batch alone."""
    assert refused("lost", "8", on=10, plants=5) == (
        "WHAT: batch 8: 5 plants lost, but only 4 left. Write a number from 1 to 4."
    )


def test_a_faulty_journal_is_named_as_it_is() -> None:
    """Where the journal itself is impossible, its fault keeps its file and fact number."""
    journal = Journal(facts=(Fact(number=1, kind="harvested", on=day(1), batch=7, plants=1),))
    with pytest.raises(InputFaults, match=r"journal\.jsonl: fact 1 of batch 7: it was not transplanted by then"):
        facts_of(say("lost", "8", on=10), grounds(10, journal))


@pytest.mark.parametrize(
    ("kind", "what"),
    [
        ("sown", ("8",)),
        ("emerged", ("8",)),
        ("scrubbed", ("A",)),
        ("note", ("aphids",)),
        ("measured", ("A", "ph", "6")),
    ],
)
def test_each_kind_goes_to_its_own_reader(kind: FactKind, what: tuple[str, ...]) -> None:
    """Every saying gives a fact of its own kind, on its own day, that is not assumed."""
    fact = understood(kind, *what, on=3).facts[-1]
    assert (fact.kind, fact.on, fact.assumed) == (kind, day(3), False)


def test_undo_takes_back_the_last_fact_or_the_one_that_is_named() -> None:
    """After facts 1 and 2, nothing means 2; fact 1 may be named; an undo may be taken back."""
    journal = journal_of((0, say("sown", "7", on=0)), (0, say("sown", "8", on=0)))
    assert undone(journal, None, day(1)).undoes == 2
    assert undone(journal, 1, day(1)).undoes == 1
    once, _ = imagined(journal, (undone(journal, None, day(1)),))
    assert undone(once, None, day(1)).undoes == 1
    again, _ = imagined(once, (undone(once, 3, day(1)),))
    assert {fact.number for fact in again.standing} == {1, 2}


def test_undo_refuses_a_fact_that_is_not_there() -> None:
    """No facts, no such fact, or one already taken back: then the undo that restores it is named."""
    with pytest.raises(InputFaults, match="no fact to take back"):
        undone(Journal(), None, day(1))
    journal = journal_of((0, say("sown", "7", on=0)))
    with pytest.raises(InputFaults, match=r"there is no fact 4\. Write a number from 1 to 1"):
        undone(journal, 4, day(1))
    journal, _ = imagined(journal, (undone(journal, 1, day(1)),))
    with pytest.raises(InputFaults, match=r"fact 1 is already taken back\. To restore it, undo that: record undo 2\."):
        undone(journal, 1, day(1))
