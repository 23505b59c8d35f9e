"""What happened to the batches of `said` becomes facts; days, plants and grams are counted by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from said import CRESS, facts_said, grounds, journal_of, refused, say, understood
from steadysow.inputs.journal import FactKind
from steadysow.standing.batch_facts import divided, divided_grams
from steadysow.standing.recording import facts_of
from tiny import day

# What is written.


def test_stages_before_the_first_fact_are_written_as_assumed() -> None:
    """The first fact about batch 7 is a harvest: its sowing and transplant are written before it, as planned."""
    facts = understood("harvested", "7", on=21, plants=2, grams=150.0).facts
    assert [(fact.kind, fact.on, fact.assumed) for fact in facts] == [
        ("sown", day(0), True), ("transplanted", day(7), True), ("harvested", day(21), False)
    ]  # fmt: skip
    assert (facts[0].plants, facts[0].cells, facts[0].seeds, facts[0].holes) == (4, 5, 10, (1, 2, 3, 4))
    assert (facts[1].tote, facts[1].holes) == ("A", (1, 2, 3, 4))


def test_recorded_stages_are_not_written_again() -> None:
    """With sowing and transplant in the journal, a harvest is one fact."""
    journal = journal_of((0, say("sown", "7", on=0)), (7, say("transplanted", "7", on=7)))
    assert [fact.kind for fact in understood("harvested", "7", on=21, journal=journal).facts] == ["harvested"]
    assert not any(fact.assumed for fact in journal.facts)


def test_a_pot_is_never_written_as_transplanted() -> None:
    """A crop sown in its pot has its sowing written before a cut, and no transplant."""
    kinds = [fact.kind for fact in understood("harvested", "10", on=28).facts]
    assert kinds == ["sown", "harvested"]


def test_a_harvest_has_its_planned_and_forecast_figures() -> None:
    """Planted on day 7, due after 14 days as published and 10 as learnt; two heads of 100 g; planned for day 21."""
    quick = replace(CRESS, harvest=replace(CRESS.harvest, first_days=10))
    fact = facts_of(say("harvested", "7", on=20), grounds(20, learnt=[quick])).facts[-1]
    assert (fact.planned_on, fact.published_on, fact.due_on) == (day(21), day(21), day(17))
    assert (fact.plants, fact.planned_grams) == (2, 200.0)


def test_a_second_cut_is_due_after_the_first() -> None:
    """The first cut was a day late, on day 22: the next is due 7 days after it, and three of four plants give 30 g."""
    journal = journal_of((22, say("harvested", "8", on=22)))
    fact = understood("harvested", "8", on=29, journal=journal, plants=3).facts[-1]
    assert (fact.due_on, fact.planned_on, fact.planned_grams) == (day(29), day(28), 30.0)


@pytest.mark.parametrize(("number", "plants"), [("7", 2), ("8", None)])
@pytest.mark.parametrize("on", [22, 24])
def test_a_late_harvest_answers_the_planned_one(number: str, plants: int | None, on: int) -> None:
    """A harvest planned for day 21 was taken a day or more late, after it had already counted as done."""
    fact = understood("harvested", number, on=on).facts[-1]
    assert (fact.planned_on, fact.due_on, fact.plants) == (day(21), day(21), plants)
    assert fact.planned_grams == (200.0 if number == "7" else 40.0)


def test_the_last_harvest_may_be_late_and_named_by_crop() -> None:
    """On day 30 all counts as over: the last cress and the last mizuna cut of day 28 were taken then."""
    journal = journal_of((21, say("harvested", "7", on=21)), (21, say("harvested", "mizuna", on=21)))
    cress = understood("harvested", "cress", on=30, journal=journal).facts[-1]
    assert (cress.batch, cress.plants, cress.planned_on) == (7, 2, day(28))
    cuts = facts_said("harvested", "mizuna", on=30, journal=journal)
    assert [(fact.batch, fact.planned_on) for fact in cuts] == [(8, day(28)), (9, day(28))]


def test_plants_holes_grams_and_remarks_are_kept() -> None:
    """Options that go with a fact are in the fact."""
    fact = understood("harvested", "7", on=21, holes=(3, 4), grams=170.0, text="sweet").facts[-1]
    assert (fact.holes, fact.grams, fact.text) == ((3, 4), 170.0, "sweet")
    assert understood("lost", "8", on=10, plants=2, text="rot").facts[-1].plants == 2
    assert understood("bolted", "8", on=10, holes=(5,)).facts[-1].holes == (5,)


# Sharing.


def test_emerged_cells_are_shared_among_sowings_of_one_day() -> None:
    """Six of the seven cells of batches 8 (five) and 9 (two): in proportion 4.3 and 1.7, so four and two."""
    facts = facts_said("emerged", "mizuna", on=2, plants=6)
    assert [(fact.batch, fact.plants) for fact in facts] == [(8, 4), (9, 2)]


def test_a_weight_is_shared_among_batches_cut_together() -> None:
    """100 g of four and two plants: two thirds and one third; without a number of plants all were cut."""
    facts = facts_said("harvested", "mizuna", on=21, grams=100.0)
    assert [(fact.batch, fact.plants, fact.grams) for fact in facts] == [(8, None, 66.7), (9, None, 33.3)]


def test_plants_are_shared_with_their_weight() -> None:
    """Three of the six were cut: two and one, with 40 g and 20 g."""
    facts = facts_said("harvested", "mizuna", on=21, plants=3, grams=60.0)
    assert [(fact.batch, fact.plants, fact.grams) for fact in facts] == [(8, 2, 40.0), (9, 1, 20.0)]


def test_a_batch_named_twice_has_one_fact() -> None:
    """Batch 8 stands in tote A."""
    facts = facts_said("cleared", "8", "A", on=22)
    assert sorted(fact.batch or 0 for fact in facts) == [7, 8]


@pytest.mark.parametrize("parts", [[5, 2], [3, 3, 3, 1], [1, 1, 1], [10, 10, 1], [0, 4], [7]])
def test_shares_of_a_number_add_up_and_stay_within_their_parts(parts: list[int]) -> None:
    """Whatever the number, shares are whole, add up, stay within their parts, and are within one of the proportion."""
    for number in range(sum(parts) + 1):
        shares = divided(number, parts)
        assert sum(shares) == number
        assert all(0 <= share <= part for share, part in zip(shares, parts, strict=True))
        assert all(abs(share - number * part / sum(parts)) < 1 for share, part in zip(shares, parts, strict=True))


@pytest.mark.parametrize("parts", [[1, 1, 1], [4, 2], [3, 0], [0, 0]])
def test_shares_of_a_weight_add_up(parts: list[int]) -> None:
    """No gram is lost by rounding, also if all parts are zero."""
    shares = [share for share in divided_grams(100.0, parts) if share is not None]
    assert sum(shares) == pytest.approx(100.0)
    assert len(shares) == len(parts)
    assert divided_grams(None, parts) == [None] * len(parts)


# Transplanting and moving.


def test_a_transplant_into_another_tote_takes_free_holes() -> None:
    """On day 7 tote C is empty."""
    fact = understood("transplanted", "9", on=7, tote="c").facts[-1]
    assert (fact.tote, fact.holes, fact.planned_on) == ("C", (1, 2), day(7))


def test_two_batches_are_transplanted_side_by_side() -> None:
    """Batch 8 takes C 1-4, so batch 9 finds no room there; in B both fit, in holes 1 to 4 and the next four."""
    assert "free holes for 0 of 2 plants" in refused("transplanted", "8", "9", on=7, tote="C")
    facts = facts_said("transplanted", "8", "7", on=7, tote="B")
    assert [(fact.batch, fact.holes) for fact in facts] == [(8, (1, 2, 3, 4)), (7, (5, 6, 7, 8))]


def test_a_moved_batch_takes_free_holes_or_those_that_are_named() -> None:
    """Two heads of batch 7 are left on day 22."""
    journal = journal_of((21, say("harvested", "7", on=21)))
    assert understood("moved", "7", "C", on=22, journal=journal).facts[-1].holes == (1, 2)
    assert understood("moved", "7", "C", on=22, journal=journal, holes=(2, 4)).facts[-1].holes == (2, 4)


# What is refused.

PLANTED = journal_of((7, say("transplanted", "7", on=7)))


@pytest.mark.parametrize(
    ("kind", "what", "on", "more", "words"),
    [
        ("harvested", ("7",), 6, {}, ("WHAT: batch 7", "not transplanted by then", "First record `transplanted`")),
        ("harvested", ("7",), 21, {"plants": 9}, ("--plants", "9 plants harvested, but only 4 left", "4 or fewer")),
        ("harvested", ("8",), 21, {"plants": 9}, ("--plants", "9 plants harvested, but only 4 left", "4 or fewer")),
        ("harvested", ("mizuna",), 21, {"plants": 9}, ("9 plants", "only 6 left (batches 8, 9)", "Write 6 or fewer")),
        ("harvested", ("7",), 21, {"plants": 2, "holes": (1,)}, ("--holes", "2 plants need 2 holes, not 1")),
        ("harvested", ("7",), 21, {"holes": (7,)}, ("batch 7", "no plant in hole 7", "Name holes of this batch")),
        ("emerged", ("7",), 2, {"plants": 12}, ("--plants", "12 cells emerged, but only 5 sown", "Write 5 or fewer")),
        ("emerged", ("mizuna",), 2, {"plants": 12}, ("12 cells emerged, but only 7 sown (batches 8, 9)", "7 or fewer")),
        ("lost", ("8",), 10, {"plants": 5}, ("batch 8", "5 plants lost, but only 4 left", "from 1 to 4")),
        ("lost", ("8", "9"), 10, {"plants": 2}, ("more than one batch (8, 9)", "Record each batch")),
        ("cleared", ("8",), 5, {}, ("batch 8", "it was not in a tote yet", "record `lost`")),
        ("transplanted", ("8",), 7, {"holes": (1, 2)}, ("--holes", "4 plants need 4 holes, not 2")),
        ("transplanted", ("8",), 7, {"holes": (6, 7, 8, 9)}, ("--holes", "tote A has no hole 9", "from 1 to 8")),
        ("transplanted", ("8",), 7, {"holes": (4, 5, 6, 7)}, ("hole 4 of tote A is taken on Sat 10 Oct", "Name other")),
        ("transplanted", ("8",), 7, {"tote": "Z"}, ("--tote", 'no tote "Z"', "A, B, C")),
        ("moved", ("9",), 10, {}, ("the new tote is missing", "record moved 12 C")),
        ("moved", ("9", "B"), 10, {}, ("batch 9 is already in tote B", "another tote")),
        ("moved", ("9", "A"), 10, {}, ("free holes for 0 of 2", "First record what left the tote")),
        ("moved", ("9", "A"), 10, {"holes": (1, 2)}, ("hole 1 of tote A is taken",)),
        ("moved", ("9", "C"), 10, {"holes": (4, 5)}, ("tote C has no hole 5",)),
        ("moved", ("9", "Z"), 10, {}, ('no tote "Z"',)),
        ("moved", ("9", "C"), 5, {}, ("batch 9", "it was not in a tote yet")),
        ("cleared", ("8",), 22, {"plants": 2}, ("--plants", "does not go with cleared")),
    ],
)  # fmt: skip
def test_an_impossible_fact_is_refused(
    kind: FactKind, what: tuple[str, ...], on: int, more: dict[str, Any], words: tuple[str, ...]
) -> None:
    """The refusal says where, what is wrong and what to write."""
    sentence = refused(kind, *what, on=on, journal=PLANTED if on >= 7 else None, **more)
    for word in words:
        assert word in sentence


def test_a_second_transplant_is_refused_with_the_fact_to_take_back() -> None:
    """The transplant of batch 7 is fact 2; perhaps it was moved."""
    journal = journal_of((0, say("sown", "7", on=0)), (7, say("transplanted", "7", on=7)))
    sentence = refused("transplanted", "7", on=8, journal=journal)
    assert "batch 7 was already transplanted on Sat 10 Oct" in sentence
    assert "first take it back: record undo 2." in sentence
    assert "record moved" in sentence


def test_a_batch_that_was_cleared_is_not_harvested_again() -> None:
    """Batch 8 was cleared on day 22."""
    journal = journal_of((22, say("cleared", "8", on=22)))
    assert "the batch ended on Sun 25 Oct, so no plant was left" in refused("harvested", "8", on=28, journal=journal)
