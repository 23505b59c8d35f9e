"""Sowings become facts: planned ones, changed ones and unplanned ones."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from said import CROPS, GARDEN, ROCKET, facts_said, grounds, journal_of, refused, say, understood
from steadysow.errors import InputFaults
from steadysow.inputs.journal import Fact, imagined
from steadysow.standing.recording import facts_of, undone
from steadysow.standing.sowings import SAME_SOWING_DAYS, sown_as_planned
from tiny import day, make_want


def test_a_planned_sowing_has_all_that_was_planned() -> None:
    """Batch 8, sown a day late, keeps its crop, want, place, holes, counts and planned day."""
    (fact,) = facts_said("sown", "8", on=1)
    assert fact == Fact(
        kind="sown", on=day(1), batch=8, crop="mizuna", want="salad", place="shelf", tote="A", holes=(5, 6, 7, 8),
        plants=4, cells=5, seeds=10, planned_on=day(0),
    )  # fmt: skip
    planned = grounds(1).planned(8)
    assert planned is not None
    assert sown_as_planned(planned, day(1)) == fact


def test_a_crop_means_its_nearest_sowing() -> None:
    """Two weeks after the first mizuna and a week before the next, the next one is meant and is said to be early."""
    said = understood("sown", "mizuna", on=14)
    assert [(fact.batch, fact.planned_on) for fact in said.facts] == [(11, day(21))]
    assert said.warnings == ("Batch 11 (mizuna) was planned to be sown 7 days later, on Sat 24 Oct.",)


def test_a_sowing_is_a_planned_one_within_three_weeks() -> None:
    """Batch 11 is planned for day 21: mizuna sown 21 days before it is that batch, 22 days before it is a new one."""
    assert SAME_SOWING_DAYS == 21
    old = replace(say("sown", "mizuna", on=21 - SAME_SOWING_DAYS), plants=2)
    journal = journal_of((0, say("sown", "8", on=0)), (0, say("sown", "9", on=0)))
    (near,) = facts_of(old, grounds(0, journal)).facts
    assert near.batch == 11
    (far,) = facts_of(replace(old, on=day(-1)), grounds(0, journal)).facts
    assert far.batch == 12


def test_another_number_of_plants_changes_cells_and_seeds() -> None:
    """Three plants instead of four: every seed comes up, so three cells, with the two seeds of the plan in each."""
    (fact,) = facts_said("sown", "7", on=0, plants=3)
    assert (fact.plants, fact.cells, fact.seeds, fact.holes) == (3, 3, 6, (1, 2, 3))


def test_an_unplanned_sowing_is_a_new_batch() -> None:
    """On day 0 no brine cress is planned: it is batch 12, in the nursery, for the first want that asks for it."""
    (fact,) = facts_said("sown", "brine cress", on=0, plants=3)
    assert (fact.batch, fact.crop, fact.want) == (12, "brine cress", "salad")
    assert (fact.plants, fact.cells, fact.seeds) == (3, 3, 3)
    assert (fact.tote, fact.holes, fact.planned_on) == ("", (), None)


def test_an_unplanned_sowing_in_pots_takes_free_holes() -> None:
    """On day 10 mizuna stands in B 1-2: four rocket take holes 3 to 6, at the tote's place."""
    (fact,) = facts_said("sown", "rocket", on=10, plants=4, tote="b", want="salad")
    assert (fact.batch, fact.tote, fact.holes, fact.place) == (12, "B", (3, 4, 5, 6), "shelf")


def test_two_sowings_take_different_holes_and_numbers() -> None:
    """Holes and number of the first crop are not free for the second."""
    crops = {**CROPS, "radish": replace(ROCKET, name="radish")}
    garden = replace(GARDEN, wants=(make_want(crops.values(), 1),), crops=crops)
    saying = say("sown", "rocket", "radish", on=0, tote="C", plants=2)
    ground = replace(grounds(0, plan=None), garden=garden)
    with pytest.raises(InputFaults, match=r"--plants: you named more than one batch \(1, 2\)"):
        facts_of(saying, ground)
    first = facts_of(replace(saying, what=("rocket",)), ground)
    second = facts_of(replace(saying, what=("radish",)), ground.with_facts(first.facts))
    facts = [*first.facts, *second.facts]
    assert [(fact.batch, fact.holes) for fact in facts] == [(1, (1, 2)), (2, (3, 4))]


def test_a_number_that_was_taken_back_is_never_used_again() -> None:
    """The sowing of batch 12 was taken back, so the next batch is 13."""
    journal = journal_of((0, say("sown", "brine cress", on=0, plants=1)))
    journal, _ = imagined(journal, (undone(journal, None, day(0)),))
    assert facts_said("sown", "brine cress", on=0, plants=1, journal=journal)[0].batch == 13


def test_pots_may_be_sown_into_another_tote_than_planned() -> None:
    """Sown into tote C instead of B, batch 10 takes its first three holes."""
    (fact,) = facts_said("sown", "10", on=14, tote="C")
    assert (fact.tote, fact.holes, fact.plants) == ("C", (1, 2, 3), 3)


def test_an_assumed_sowing_may_still_be_recorded() -> None:
    """A transplant made its sowing an assumed fact; the person then records that it was a day later."""
    journal = journal_of((7, say("transplanted", "7", on=7)))
    said = understood("sown", "7", on=1, journal=journal, today=8)
    assert [(fact.on, fact.assumed) for fact in said.facts] == [(day(1), False)]


def test_a_sowing_recorded_twice_is_refused_with_the_fact_to_take_back() -> None:
    """The sowing of batch 7 is fact 1."""
    journal = journal_of((0, say("sown", "7", on=0)))
    sentence = refused("sown", "7", on=8, journal=journal)
    assert "batch 7 was already recorded as sown on Sat 3 Oct" in sentence
    assert "first take it back: record undo 1." in sentence


@pytest.mark.parametrize(
    ("what", "on", "more", "words"),
    [
        ("7", 0, {"tote": "C"}, ("--tote", "batch 7 starts in the nursery", "when you record the transplant")),
        ("mizuna", 0, {"plants": 3}, ("--plants", "more than one batch (8, 9)", "its own number of plants")),
        ("rocket", 45, {}, ("--plants", "no sowing of rocket is planned around Tue 17 Nov", "Say how many plants")),
        ("rocket", 45, {"plants": 2}, ("--tote", "rocket is sown in its pot", "Name the tote with --tote")),
        ("cress", 45, {"plants": 2, "want": "pan"}, ("--want", '"pan" does not ask for cress', "one of: salad")),
        ("C", 0, {}, ("no sowing is planned for tote C around Sat 3 Oct", "batch number or the crop")),
        ("99", 0, {}, ("there is no batch 99",)),
        ("10", 14, {"holes": (1, 5, 6)}, ("--holes", "hole 1 of tote B is taken on Sat 17 Oct")),
        ("7", 0, {"grams": 3.0}, ("--grams", "does not go with sown", "harvested")),
    ],
)  # fmt: skip
def test_an_impossible_sowing_is_refused(what: str, on: int, more: dict[str, Any], words: tuple[str, ...]) -> None:
    """The refusal says where, what is wrong and what to write."""
    sentence = refused("sown", what, on=on, **more)
    for word in words:
        assert word in sentence


def test_a_crop_that_no_want_asks_for_is_refused() -> None:
    """The garden grows radish for no want: the person is asked to add it to one first."""
    crops = {**CROPS, "radish": replace(ROCKET, name="radish")}
    ground = replace(grounds(0), garden=replace(GARDEN, crops=crops))
    with pytest.raises(InputFaults, match=r"--want: no want asks for radish\. First add it to a want in garden\.yaml"):
        facts_of(say("sown", "radish", on=0, plants=2), ground)
