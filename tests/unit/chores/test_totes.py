"""The chores of totes: fill, top up, feed, change, scrub; plants and facts are made by hand."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from cellar import CROPS, PLANTED_ON, a_batch, a_garden, a_plan, chores_of, heads
from steadysow.chores.listing import list_chores
from steadysow.inputs.journal import Fact
from steadysow.upkeep.fillings import list_fillings


def test_cleaning_warns_of_water_power_and_weight() -> None:
    """The chore of scrubbing says to unplug first and to drain in place, and whose word on wiring counts."""
    detail = " ".join(chores_of(a_batch())["A/12/clean/1"].detail)
    for warning in ("Unplug the lamp and the pump", "holds 11 kg of water: fill and drain it in place", "RCD (GFCI)"):
        assert warning in detail
    assert "pump" not in " ".join(chores_of(heads())["F/7/clean/1"].detail)


def test_without_power_cleaning_warns_only_of_weight() -> None:
    """A still tote in a yard has neither lamp nor pump, and no warning of power."""
    detail = " ".join(chores_of(replace(heads(), place="yard"))["F/7/clean/1"].detail)
    assert "fill and drain it in place" in detail
    assert "nplug" not in detail
    assert "RCD" not in detail


def test_tote_with_a_pump_is_cleaned_only_when_wholly_empty() -> None:
    """Batches that overlap in a tote with a pump are one filling, and the tote is cleaned when the last one leaves."""
    second = a_batch(
        13, (7, 8), transplanted_on=date(2026, 11, 7), cleared_on=date(2026, 12, 12), harvests=(), emerges_on=None
    )
    third = a_batch(
        14, (1, 2), transplanted_on=date(2026, 12, 12), cleared_on=date(2027, 1, 2), harvests=(), emerges_on=None
    )
    fourth = a_batch(
        15, (1, 2), transplanted_on=date(2027, 1, 9), cleared_on=date(2027, 1, 30), harvests=(), emerges_on=None
    )
    fillings = list_fillings(a_garden(), a_plan(a_batch(), second, third, fourth))
    assert [(filling.batches, filling.until_on) for filling in fillings] == [
        ((12, 13, 14), date(2027, 1, 2)),
        ((15,), date(2027, 1, 30)),
    ]
    chore = chores_of(a_batch(), second, third, fourth)["A/12/clean/1"]
    assert (chore.on, chore.latest_on) == (date(2027, 1, 2), date(2027, 1, 9))
    assert "Tote A: the next plants go in on Sat 9 Jan." in chore.detail


def test_still_tote_is_cleaned_between_any_two_fillings() -> None:
    """A still tote that is planted again on the day its plants leave is cleaned in between."""
    again = replace(heads(8), transplanted_on=date(2026, 12, 5), cleared_on=date(2027, 1, 9), harvests=())
    keys = {key for key in chores_of(heads(), again) if "clean" in key}
    assert keys == {"F/7/clean/1", "F/8/clean/1"}


def test_plants_that_entered_together_are_one_filling() -> None:
    """A batch that dies on the day it entered a still tote does not split the filling of the others."""
    dead = replace(heads(3), state="lost", cleared_on=PLANTED_ON, holes=(), harvests=())
    fillings = list_fillings(a_garden(), a_plan(dead, heads()))
    assert [filling.batches for filling in fillings] == [(3, 7)]


@pytest.mark.parametrize("planted_on", [date(2026, 12, 5), date(2026, 12, 12)])
def test_a_tote_that_moves_is_carried_empty(planted_on: date) -> None:
    """If the next plants of a tote grow at another place, the tote is carried there before it is filled for them."""
    stays = replace(a_batch(), transplanted_on=date(2026, 10, 24), cleared_on=date(2026, 12, 5))
    goes = replace(
        a_batch(13), place="yard", transplanted_on=planted_on, cleared_on=date(2027, 1, 9), harvests=(), emerges_on=None
    )
    chores = chores_of(stays, goes)
    moves, scrubs = chores["A/12/clean/1"], chores["A/13/clean/1"]
    fills_first, fills_there = chores["A/12/fill/1"], chores["A/13/fill/1"]
    assert (moves.title, moves.on, moves.latest_on) == ("Drain and scrub tote A", date(2026, 12, 5), planted_on)
    assert scrubs.title == "Drain and scrub tote A"
    assert (fills_there.title, fills_there.on) == ("Fill tote A", planted_on)
    assert fills_there.detail[0].startswith("Tote A: carry it empty to the yard, then pour in 11 litres of water with ")
    assert not any("carry" in line for line in fills_first.detail)


def test_a_tote_is_filled_only_when_plants_enter() -> None:
    """A tote is filled on the day of each planting, and stays dry after the last plants."""
    again = replace(heads(8), transplanted_on=date(2026, 12, 5), cleared_on=date(2027, 1, 9), harvests=())
    chores = chores_of(heads(), again).values()
    assert [(chore.key, chore.on) for chore in chores if chore.kind == "fill"] == [
        ("F/7/fill/1", PLANTED_ON),
        ("F/8/fill/1", date(2026, 12, 5)),
    ]
    assert not any(chore.kind == "fill" and chore.on >= date(2027, 1, 9) for chore in chores)


def test_filling_says_what_to_weigh() -> None:
    """11 litres take 14.3 g of the shipped powder, at 1.3 g a litre; the chore has its litres."""
    chore = chores_of(a_batch())["A/12/fill/1"]
    assert "Tote A: 11 litres of water with 14.3 g of powder." in chore.detail
    assert (chore.litres, chore.batches, chore.tote, chore.holes) == (11.0, (12,), "A", ())


def test_filling_with_brew_names_brew_and_water() -> None:
    """With five parts of water to one of brew, 11 litres are 1.8 of brew and 9.2 of water."""
    chore = chores_of(a_batch(), garden=a_garden(nutrient="castings brew"))["A/12/fill/1"]
    assert "Tote A: 1.8 litres of strained castings brew and 9.2 litres of water." in chore.detail


def test_changing_the_solution_warns_of_power() -> None:
    """In eight weeks the solution is changed three times, 14 days apart, each time with a warning to unplug."""
    long = a_batch(cleared_on=PLANTED_ON + timedelta(weeks=8), harvests=())
    chores = chores_of(long, garden=a_garden(change_every_days=14)).values()
    changes = [chore for chore in chores if chore.kind == "change"]
    assert [chore.on for chore in changes] == [PLANTED_ON + timedelta(weeks=each) for each in (2, 4, 6)]
    assert [chore.key for chore in changes] == [f"A/12/change/{number}" for number in (1, 2, 3)]
    assert changes[0].title == "Change the solution in tote A"
    assert any(line.startswith("Unplug the lamp and the pump") for line in changes[0].detail)


def test_a_still_tote_is_topped_up_in_small_portions() -> None:
    """On 28 by 40 cm a still tote gets at most 2 cm or 2.24 litres; one with a pump is filled to its line.

    Five heads of 30 g drink 15 litres in the still tote, by a profile of 6 litres for 60 g.
    """
    thirsty = {"butterhead lettuce": replace(CROPS["butterhead lettuce"], litres_a_plant=6.0)}
    garden = a_garden()
    still = replace(garden.totes[1], inside_cm=(28.0, 40.0))
    chores = chores_of(heads(), garden=replace(garden, totes=(garden.totes[0], still)), crops=thirsty).values()
    top_ups = [chore for chore in chores if chore.kind in ("top-up", "feed")]
    assert top_ups
    assert max(chore.litres for chore in top_ups) == pytest.approx(2.24)
    assert all("Add no more: roots that hang in air" in chore.detail[0] for chore in top_ups)
    pumped = [chore for chore in chores_of(a_batch()).values() if chore.kind in ("top-up", "feed")]
    assert pumped
    assert all(chore.detail[0].endswith("Stop at the tote's line.") for chore in pumped)


@pytest.mark.parametrize(
    ("fact", "kinds"),
    [
        (Fact(number=1, kind="fed", on=PLANTED_ON, tote="A", litres=11.0), {"fill"}),
        (Fact(number=1, kind="fed", on=PLANTED_ON, tote="F", litres=11.0), set()),
        (Fact(number=1, kind="topped-up", on=date(2026, 11, 14), tote="A", litres=2.0), {"top-up"}),
        (Fact(number=1, kind="scrubbed", on=date(2026, 11, 11), tote="A"), {"change"}),
    ],
    ids=["fed on the day of planting", "another tote", "topped up", "scrubbed while plants stand in it"],
)
def test_a_fact_about_a_tote_records_its_chore(fact: Fact, kinds: set[str]) -> None:
    """A fact records one chore of its tote and kind, and moves that chore to the day of the fact."""
    chores = list_chores(a_garden(), a_plan(a_batch()), facts=(fact,))
    assert {chore.kind for chore in chores if chore.is_recorded} == kinds
    assert sum(chore.is_recorded for chore in chores) == len(kinds)
    assert all(chore.on == fact.on for chore in chores if chore.is_recorded)
