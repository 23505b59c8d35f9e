"""Chores of a plan made by hand; the expected days, keys and titles follow from the facts of each batch."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from steadysow.amounts import day_text, holes_text, volume_text, weight_text
from steadysow.chores.chore import Chore
from steadysow.chores.listing import OVERDUE_DAYS, list_chores, overdue
from steadysow.chores.merging import merge
from steadysow.inputs.crops import Band, Care, Crop, Growth
from steadysow.inputs.crops import Harvest as Taking
from steadysow.inputs.garden import Garden, Lamp, Nursery, Place, Sowing, Stand, Tote, Want
from steadysow.inputs.journal import Fact
from steadysow.planning.plan import Batch, Harvest, Plan, Proof
from steadysow.upkeep.fillings import list_fillings

SOWN_ON = date(2026, 10, 3)
PLANTED_ON = date(2026, 10, 24)
SHELF = Place(name="shelf", lamp=Lamp(dli_mol=11.0), temperature_c=20.0)


def a_crop(name: str, care: tuple[Care, ...] = ()) -> Crop:
    """Give a crop of which only what chores ask for is of meaning."""
    return Crop(
        name=name,
        species="",
        systems=("dwc", "kratky"),
        plants_per_m2=50.0,
        lid_holes=6,
        sown_in="nursery",
        seeds_a_cell=2,
        plants_a_hole=1,
        emergence=(),
        germination_percent=80.0,
        germination_c=(2.0, 15.0, 22.0, 28.0),
        seeds_keep_years=4.0,
        nursery_days=(14, 28),
        transplant_shock_days=2,
        harvest=Taking(kind="cut", first_days=21.0, between_days=14.0, window_days=5, grams=(30.0, 30.0)),
        growth=Growth(
            base_c=4.0,
            optimum_c=22.0,
            ceiling_c=30.0,
            at_c=20.0,
            at_dli_mol=14.0,
            half_dli_mol=0.0,
            grams_per_mol=40.0,
        ),
        ec=Band(ideal=(1.0, 2.0), tolerated=(1.0, 2.0)),
        ph=Band(ideal=(5.5, 6.5), tolerated=(5.5, 6.5)),
        litres_a_plant=2.0,
        keeps_days=9,
        days_spread=0.1,
        grams_spread=0.2,
        care=care,
    )


CROPS = {
    "mizuna": a_crop("mizuna"),
    "basil": a_crop("basil", (Care(what="pinch the tips", after_days=21, every_days=None),)),
    "butterhead lettuce": a_crop("butterhead lettuce"),
    "dwarf tomato": a_crop("dwarf tomato", (Care(what="tap the flowers", after_days=30, every_days=2),)),
}


def a_garden(units: str = "metric", clear_by: date | None = None, keeps_days: int | None = None) -> Garden:
    """Give a garden with a tote that has a pump (A) and a still one (F)."""
    stands = (Stand(place="shelf"),)
    return Garden(
        name="Cellar",
        starts_on=SOWN_ON,
        weeks=10,
        clear_by=clear_by,
        latitude=None,
        units=units,  # type: ignore[arg-type]
        chore_days=(2, 5),
        harvest_days=(2, 5),
        away=(),
        sowing=Sowing(every_days=7, smallest=2, crops_a_day=3),
        tidy_points=1.0,
        turnaround_days=1,
        nursery=Nursery(cells=60, place=SHELF),
        places=(SHELF,),
        totes=(
            Tote(name="A", holes=12, litres=11.0, system="dwc", inside_cm=None, stands=stands),
            Tote(name="F", holes=8, litres=11.0, system="kratky", inside_cm=None, stands=stands),
        ),
        wants=(Want(name="salad", unit="g", amount=180.0, servings=(), keeps_days=keeps_days),),
    )


def a_batch(id: int = 12, holes: tuple[int, ...] = (1, 2, 3, 4, 5, 6), **changes: object) -> Batch:
    """Give a batch of six mizuna in tote A with two cuts, two weeks apart."""
    cuts = tuple(
        taking("cut", number, PLANTED_ON + timedelta(days=7 + 14 * number), holes, wait=4) for number in (1, 2)
    )
    facts: dict[str, object] = {
        "id": id,
        "crop": "mizuna",
        "want": "salad",
        "place": "shelf",
        "tote": "A",
        "holes": holes,
        "plants": len(holes),
        "cells": len(holes),
        "seeds": 2 * len(holes),
        "state": "planned",
        "sown_on": SOWN_ON,
        "emerges_on": SOWN_ON + timedelta(days=4),
        "transplanted_on": PLANTED_ON,
        "cleared_on": cuts[-1].on,
        "harvests": cuts,
    }
    return Batch(**(facts | changes))  # type: ignore[arg-type]


def taking(kind: str, number: int, on: date, holes: tuple[int, ...], wait: int = 0) -> Harvest:
    """Give a harvest of 30 g a plant that may wait for some days."""
    return Harvest(
        on=on,
        latest_on=on + timedelta(days=wait),
        kind=kind,  # type: ignore[arg-type]
        number=number,
        holes=holes,
        plants=len(holes),
        grams=30.0 * len(holes),
    )


def heads(id: int = 7, tote: str = "F") -> Batch:
    """Give five heads that are taken on two days."""
    return a_batch(
        id,
        (1, 2, 3, 5, 6),
        crop="butterhead lettuce",
        tote=tote,
        cleared_on=date(2026, 12, 5),
        harvests=(
            taking("head", 1, date(2026, 11, 28), (1, 2, 3), wait=6),
            taking("head", 2, date(2026, 12, 5), (5, 6)),
        ),
    )


def chores_of(*batches: Batch, garden: Garden | None = None) -> dict[str, Chore]:
    """Give the chores of a plan of these batches by key."""
    listed = list_chores(garden or a_garden(), CROPS, a_plan(*batches))
    assert len({chore.key for chore in listed}) == len(listed)
    return {chore.key: chore for chore in listed}


def a_plan(*batches: Batch) -> Plan:
    """Give a plan of these batches."""
    proof = Proof(
        served_share=1.0,
        best_share=1.0,
        bound_share=1.0,
        served_share_all_weeks=1.0,
        status="optimal",
        seconds=1.0,
        deep_gaps=0,
        sowings=1,
        best_sowings=1,
    )
    return Plan(
        garden="Cellar",
        uuid="6f0a3a54-2f5e-4c8e-9d3e-0f6c1f0f3f01",
        starts_on=SOWN_ON,
        made_on=SOWN_ON,
        from_on=SOWN_ON,
        until_on=SOWN_ON + timedelta(weeks=10),
        proof=proof,
        batches=batches,
        weeks=(),
    )


def test_batch_of_cuts_has_each_of_its_chores_once() -> None:
    """A batch that is cut twice is sown, planted, cut twice and cleared, and its tote is cleaned."""
    titles = {chore.key: (chore.on, chore.title) for chore in chores_of(a_batch()).values()}
    assert titles == {
        "12/sow/1": (SOWN_ON, "Sow 6 cells of mizuna"),
        "12/transplant/1": (PLANTED_ON, "Plant 6 mizuna into A 1-6"),
        "12/harvest/1": (date(2026, 11, 14), "Cut 6 mizuna, cut 1 (A 1-6)"),
        "12/harvest/2": (date(2026, 11, 28), "Cut 6 mizuna, cut 2 (A 1-6)"),
        "12/clear/1": (date(2026, 11, 28), "Clear 6 mizuna (A 1-6)"),
        "A/12/clean/1": (date(2026, 11, 28), "Scrub and refill tote A"),
    }


def test_titles_fit_a_phone() -> None:
    """A title of a crop with a short name stays within 35 characters."""
    assert all(len(chore.title) <= 35 for chore in chores_of(a_batch()).values())


def test_sowing_tells_cells_seeds_and_where_they_go() -> None:
    """A sowing happens in the nursery and tells how many seeds, and into which holes the plants go when."""
    chore = chores_of(a_batch())["12/sow/1"]
    assert (chore.cells, chore.seeds, chore.tote, chore.holes) == (6, 12, "", ())
    assert "2 seeds in each cell, for salad." in chore.detail
    assert "6 cells for 6 plants: into tote A, holes 1-6 on Sat 24 Oct." in chore.detail


def test_crop_sown_in_its_pot_is_not_transplanted() -> None:
    """A batch that is sown where it stays has no transplant, and its sowing names the holes."""
    chores = chores_of(a_batch(transplanted_on=SOWN_ON))
    assert "12/transplant/1" not in chores
    assert chores["12/sow/1"].title == "Sow 6 pots of mizuna (A 1-6)"


def test_care_is_told_when_plants_reach_their_tote() -> None:
    """Small jobs of a crop are told with their first day, at the transplant or at a sowing in the pot."""
    told = "Pinch the tips on Sat 14 Nov."
    assert told in chores_of(a_batch(crop="basil"))["12/transplant/1"].detail
    in_pot = a_batch(crop="basil", sown_on=PLANTED_ON, emerges_on=None)
    assert told in chores_of(in_pot)["12/sow/1"].detail


def test_surplus_seedlings_are_thinned() -> None:
    """Where more seeds are sown than plants may stay, the sowing says how many to keep."""
    thin = "Once they are up, keep the strongest 1 in each cell."
    assert thin in chores_of(a_batch())["12/sow/1"].detail
    clump = {"mizuna": replace(CROPS["mizuna"], plants_a_hole=2)}
    (chore,) = [chore for chore in list_chores(a_garden(), clump, a_plan(a_batch())) if chore.kind == "sow"]
    assert not any("strongest" in line for line in chore.detail)


def test_heads_go_with_their_roots() -> None:
    """Heads ask for no clearing; each harvest day counts, names its holes and tells until when it can wait."""
    chores = chores_of(heads())
    assert not any(chore.kind == "clear" for chore in chores.values())
    assert chores["7/harvest/1"].title == "Take 3 butterhead lettuce by Fri 4 Dec (F 1-3)"
    assert chores["7/harvest/1"].latest_on == date(2026, 12, 4)
    assert chores["7/harvest/2"].title == "Take 2 butterhead lettuce (F 5-6)"


@pytest.mark.parametrize(
    "harvests", [(), (taking("head", 1, date(2026, 11, 28), (1, 2, 3)),)], ids=["none", "three of five"]
)
def test_heads_left_standing_are_cleared(harvests: tuple[Harvest, ...]) -> None:
    """Heads that no harvest takes still have to leave the tote."""
    assert chores_of(replace(heads(), harvests=harvests))["7/clear/1"].on == date(2026, 12, 5)


def test_pick_is_told_as_such() -> None:
    """Fruit is picked, and its plants are cleared when the picking ends."""
    picks = tuple(taking("pick", number, date(2026, 12, 5 + 7 * number), (1, 2)) for number in (1, 2))
    chores = chores_of(a_batch(3, (1, 2), crop="dwarf tomato", harvests=picks, cleared_on=picks[-1].on))
    assert chores["3/harvest/2"].title == "Pick dwarf tomato (A 1-2)"
    assert chores["3/clear/1"].on == picks[-1].on
    assert "Tap the flowers every 2 days from Mon 23 Nov." in chores["3/transplant/1"].detail


def test_lost_batch_asks_for_no_more() -> None:
    """A batch lost in the nursery keeps its sowing and has no other chore."""
    lost = a_batch(state="lost", holes=(), transplanted_on=None, cleared_on=None, harvests=())
    assert list(chores_of(lost)) == ["12/sow/1"]


def test_batch_lost_in_its_tote_keeps_what_it_gave() -> None:
    """A batch lost after its first cut keeps its sowing and that cut; what was planned after is gone."""
    lost = a_batch(state="lost", holes=(), cells=6, cleared_on=None, harvests=a_batch().harvests[:1])
    assert list(chores_of(lost)) == ["12/sow/1", "12/harvest/1"]
    in_pot = replace(lost, transplanted_on=SOWN_ON)
    assert chores_of(in_pot)["12/sow/1"].title == "Sow 6 pots of mizuna (A)"


def test_keys_hold_when_dates_and_neighbours_change() -> None:
    """A later sowing, other holes or another batch in the plan change no key of a batch."""
    before = set(chores_of(a_batch()))
    moved = replace(
        a_batch(holes=(7, 8, 9, 10, 11, 12)),
        sown_on=SOWN_ON + timedelta(days=7),
        emerges_on=None,
    )
    assert before <= set(chores_of(heads(), moved))


def test_shown_weights_follow_the_units() -> None:
    """A gardener who thinks in ounces and gallons reads no gram and no litre."""
    detail = " ".join(line for chore in chores_of(a_batch(), garden=a_garden("us")).values() for line in chore.detail)
    assert "About 6.3 oz" in detail
    assert "2.9 gallon tote holds 24 pounds of water" in detail
    assert " g " not in detail
    assert "litre" not in detail


def test_keeping_follows_the_want() -> None:
    """A want that says how long its harvest keeps overrules the crop."""
    assert "Keeps about 9 days in the fridge." in chores_of(a_batch())["12/harvest/1"].detail
    for_a_week = chores_of(a_batch(), garden=a_garden(keeps_days=7))
    assert "Keeps about 7 days in the fridge." in for_a_week["12/harvest/1"].detail


def test_cleaning_warns_of_water_power_and_weight() -> None:
    """Whoever fills a tote is told to unplug first, to leave it in place, and whose word on wiring counts."""
    detail = " ".join(chores_of(a_batch())["A/12/clean/1"].detail)
    for warning in ("Unplug lamp and pump", "holds 11 kg of water: fill and drain it in place", "RCD (GFCI)"):
        assert warning in detail
    assert "pump" not in " ".join(chores_of(heads())["F/7/clean/1"].detail)


def test_where_nothing_is_plugged_in_cleaning_warns_of_weight_alone() -> None:
    """A still tote in the shade of a yard has neither a lamp nor a pump."""
    detail = " ".join(chores_of(replace(heads(), place="yard"))["F/7/clean/1"].detail)
    assert "fill and drain it in place" in detail
    assert "nplug" not in detail
    assert "RCD" not in detail


def test_tote_with_a_pump_is_cleaned_only_when_wholly_empty() -> None:
    """Batches that overlap in a tote with a pump are one filling, cleaned when the last of them leaves."""
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
    assert "The next plants go in on Sat 9 Jan." in chore.detail


def test_still_tote_is_cleaned_between_any_two_fillings() -> None:
    """A still tote that is refilled on the very day it empties is cleaned in between."""
    again = replace(heads(8), transplanted_on=date(2026, 12, 5), cleared_on=date(2027, 1, 9), harvests=())
    keys = {key for key in chores_of(heads(), again) if "clean" in key}
    assert keys == {"F/7/clean/1", "F/8/clean/1"}


def test_plants_that_entered_together_are_one_filling() -> None:
    """A batch that dies on the day it entered a still tote leaves the filling of the others whole."""
    dead = replace(heads(3), state="lost", cleared_on=PLANTED_ON, holes=(), harvests=())
    fillings = list_fillings(a_garden(), a_plan(dead, heads()))
    assert [filling.batches for filling in fillings] == [(3, 7)]


@pytest.mark.parametrize("planted_on", [date(2026, 12, 5), date(2026, 12, 12)])
def test_a_tote_that_moves_is_carried_empty(planted_on: date) -> None:
    """Where the next plants of a tote grow at another place, it is carried there when it is scrubbed."""
    stays = replace(a_batch(), transplanted_on=date(2026, 10, 24), cleared_on=date(2026, 12, 5))
    goes = replace(
        a_batch(13), place="yard", transplanted_on=planted_on, cleared_on=date(2027, 1, 9), harvests=(), emerges_on=None
    )
    chores = chores_of(stays, goes)
    moves, scrubs = chores["A/12/clean/1"], chores["A/13/clean/1"]
    assert (moves.title, moves.on, moves.latest_on) == ("Scrub, move to yard: tote A", date(2026, 12, 5), planted_on)
    assert "carry it empty to the yard" in moves.detail[0]
    assert scrubs.title == "Scrub and refill tote A"


def test_totes_that_move_are_not_merged_with_those_that_stay() -> None:
    """One line for all totes carried to one place, another for those that are refilled where they are."""
    batches = []
    for number, (tote, place) in enumerate([("A", "yard"), ("B", "yard"), ("C", "shelf")]):
        first = replace(a_batch(20 + number), tote=tote, cleared_on=date(2026, 12, 5))
        following = replace(
            first, id=30 + number, place=place, transplanted_on=date(2026, 12, 12), cleared_on=date(2027, 1, 9),
            harvests=(), emerges_on=None,
        )  # fmt: skip
        batches += [first, following]
    garden = a_garden()
    garden = replace(garden, totes=tuple(replace(garden.totes[0], name=name) for name in "ABC"))
    listed = list_chores(garden, CROPS, a_plan(*batches))
    titles = [chore.title for chore in merge(listed) if chore.kind == "clean" and chore.on == date(2026, 12, 5)]
    assert titles == ["Scrub, move to yard: totes A, B", "Scrub and refill tote C"]


def test_season_that_ends_leaves_the_tote_dry() -> None:
    """Where the garden has to be cleared, the last cleaning does not refill the tote."""
    chore = chores_of(a_batch(), garden=a_garden(clear_by=date(2026, 12, 19)))["A/12/clean/1"]
    assert chore.title == "Drain and scrub tote A"


def test_chores_come_in_the_order_of_work() -> None:
    """On one day what is taken out comes before what goes in."""
    new = a_batch(
        20,
        (7, 8),
        sown_on=date(2026, 11, 28),
        transplanted_on=date(2026, 12, 19),
        cleared_on=date(2027, 1, 2),
        harvests=(),
    )
    listed = list_chores(a_garden(), CROPS, a_plan(new, replace(a_batch(), tote="F")))
    assert [chore.on for chore in listed] == sorted(chore.on for chore in listed)
    assert [chore.kind for chore in listed if chore.on == date(2026, 11, 28)] == ["harvest", "clear", "clean", "sow"]


def test_merge_joins_what_is_done_in_one_go() -> None:
    """Two batches of a crop in one tote are sown, planted, cut and cleared together, and nothing is lost."""
    listed = list_chores(a_garden(), CROPS, a_plan(a_batch(), a_batch(13, (8, 9))))
    merged = {chore.title: chore for chore in merge(listed)}
    assert list(merged) == [
        "Sow 8 cells of mizuna",
        "Plant 8 mizuna into A 1-6, 8-9",
        "Cut 8 mizuna, cut 1 (A 1-6, 8-9)",
        "Cut 8 mizuna, cut 2 (A 1-6, 8-9); clear all",
        "Scrub and refill tote A",
    ]
    cut = merged["Cut 8 mizuna, cut 1 (A 1-6, 8-9)"]
    assert (cut.batches, cut.plants, cut.grams, cut.key) == ((12, 13), 8, 240.0, "12/harvest/1+13/harvest/1")
    assert sum(chore.grams for chore in merge(listed)) == sum(chore.grams for chore in listed)


def test_merge_joins_totes_and_cuts_of_a_crop() -> None:
    """A crop cut on one day in several totes is one job; cuts of different number are told without it."""
    other = replace(a_batch(13), tote="F")
    later = replace(a_batch(14, (8,)), harvests=(replace(a_batch(14, (8,)).harvests[0], number=2),))
    listed = list_chores(a_garden(), CROPS, a_plan(a_batch(), other, later))
    (cut,) = [chore for chore in merge(listed) if chore.on == date(2026, 11, 14)]
    assert (cut.title, cut.batches) == ("Cut 13 mizuna (A 1-6, 8; F 1-6)", (12, 13, 14))
    assert cut.places == (("A", (1, 2, 3, 4, 5, 6, 8)), ("F", (1, 2, 3, 4, 5, 6)))


def test_merge_joins_crops_of_one_sowing_day() -> None:
    """What is sown on a day is one job, and so is what is planted; harvests of two crops stay apart."""
    listed = list_chores(a_garden(), CROPS, a_plan(a_batch(), replace(heads(), sown_on=a_batch().sown_on)))
    sown = [chore for chore in merge(listed) if chore.kind == "sow"]
    assert [set(chore.batches) for chore in sown] == [{a_batch().id, heads().id}]
    told = [line.split(":")[0].lower() for line in sown[0].detail if ":" in line and "seed" in line]
    assert told == sown[0].crop.split(", ")
    harvested = [chore.crop for chore in merge(listed) if chore.kind == "harvest"]
    assert {"mizuna", heads().crop} <= set(harvested)


def test_merge_keeps_a_title_of_its_own() -> None:
    """A chore whose title was given to it keeps it when it is merged."""
    listed = [
        Chore(key=f"{id}/clean/1", kind="clean", on=SOWN_ON, latest_on=SOWN_ON, title="Wipe the pots", crop="mizuna")
        for id in (1, 2)
    ]
    assert [chore.title for chore in merge(listed)] == ["Wipe the pots"]


def test_merge_of_merged_changes_nothing() -> None:
    """Merging again gives the same chores."""
    merged = merge(list_chores(a_garden(), CROPS, a_plan(a_batch(), a_batch(13, (8, 9)), heads())))
    assert merge(merged) == merged


# What the journal has answered.


def told_of(*told: str, harvests_told: int = 0, facts: tuple[Fact, ...] = ()) -> set[str]:
    """Give the keys of the chores that are told, of a batch of which facts of some kinds stand."""
    cuts = tuple(replace(cut, told=number < harvests_told) for number, cut in enumerate(a_batch().harvests))
    listed = list_chores(a_garden(), CROPS, a_plan(a_batch(told=told, harvests=cuts)), facts=facts)
    return {chore.key for chore in listed if chore.is_told}


def test_a_chore_is_told_by_the_fact_of_its_kind() -> None:
    """Each stage answers its own chore; the first cut answers the first, and nothing answers what was not told."""
    assert told_of() == set()
    assert told_of("sown") == {"12/sow/1"}
    assert told_of("sown", "transplanted") == {"12/sow/1", "12/transplant/1"}
    assert told_of("harvested", harvests_told=1) == {"12/harvest/1"}
    assert told_of("emerged") == set()
    everything = told_of("sown", "transplanted", "harvested", "cleared", harvests_told=2)
    assert everything == {"12/sow/1", "12/transplant/1", "12/harvest/1", "12/harvest/2", "12/clear/1"}


@pytest.mark.parametrize(
    ("tote", "on", "is_told"),
    [
        ("A", date(2026, 11, 28), True),
        ("A", date(2026, 11, 25), True),
        ("A", date(2026, 11, 24), False),
        ("A", date(2027, 1, 9), True),
        ("F", date(2026, 11, 28), False),
    ],
)
def test_a_tote_that_was_scrubbed_answers_its_scrubbing(tote: str, on: date, is_told: bool) -> None:
    """Tote A stands empty from 28 November on: from three days before it, scrubbing it is meant for that."""
    facts = (Fact(number=1, kind="scrubbed", on=on, tote=tote),)
    assert ("A/12/clean/1" in told_of(facts=facts)) == is_told


def test_a_merged_chore_is_told_only_if_all_of_it_is() -> None:
    """Two sowings of one day, one of them told."""
    half = list_chores(a_garden(), CROPS, a_plan(a_batch(told=("sown",)), a_batch(13, (8, 9))))
    whole = list_chores(a_garden(), CROPS, a_plan(a_batch(told=("sown",)), a_batch(13, (8, 9), told=("sown",))))
    assert [chore.is_told for chore in merge(half) if chore.kind == "sow"] == [False]
    assert [chore.is_told for chore in merge(whole) if chore.kind == "sow"] == [True]


def late(today: date, *told: str, begun_on: date | None = SOWN_ON) -> set[str]:
    """Give the keys of what is overdue, with a journal begun on some day."""
    facts = () if begun_on is None else (Fact(number=1, kind="note", on=begun_on, text="begun"),)
    listed = list_chores(a_garden(), CROPS, a_plan(a_batch(told=told)), facts=facts)
    return {chore.key for chore in overdue(listed, facts, today)}


def test_what_nobody_told_of_is_overdue_from_the_next_day() -> None:
    """Planted on 24 October by the plan, and not told: asked for from the day after, for fourteen days."""
    assert late(PLANTED_ON, "sown") == set()
    assert late(PLANTED_ON + timedelta(1), "sown") == {"12/transplant/1"}
    assert late(PLANTED_ON + timedelta(OVERDUE_DAYS), "sown") == {"12/transplant/1"}
    assert late(PLANTED_ON + timedelta(OVERDUE_DAYS + 1), "sown") == set()


def test_what_was_told_is_not_asked_for() -> None:
    """A week after the sowing it is overdue only if nobody told of it."""
    assert late(SOWN_ON + timedelta(7)) == {"12/sow/1"}
    assert late(SOWN_ON + timedelta(7), "sown") == set()


def test_nobody_is_asked_for_what_was_before_the_journal() -> None:
    """A journal begun on the day after the sowing asks nothing of it, and without a journal nothing is asked at all."""
    assert late(SOWN_ON + timedelta(7), begun_on=SOWN_ON + timedelta(1)) == set()
    assert late(SOWN_ON + timedelta(7), begun_on=None) == set()


@pytest.mark.parametrize(
    ("holes", "text"),
    [((), ""), ((4,), "4"), ((1, 2), "1-2"), ((7, 1, 2, 3), "1-3, 7"), ((1, 3, 5), "1, 3, 5")],
)
def test_holes_are_told_as_ranges(holes: tuple[int, ...], text: str) -> None:
    """Neighbouring holes are told as one range, in rising order."""
    assert holes_text(holes) == text


def test_days_are_told_in_english() -> None:
    """The day of the week and the month agree with the calendar module's own English names."""
    days = [date(2026, 1, 1) + timedelta(days=number) for number in range(366)]
    # The C locale, in which tests run, has English names.
    assert [day_text(day) for day in days] == [f"{day:%a} {day.day} {day:%b}" for day in days]


def test_units_are_exact() -> None:
    """An avoirdupois ounce is 28.349523125 g and a US gallon 3.785411784 L by definition (from memory)."""
    assert weight_text(28.349523125, "us") == "1.0 oz"
    assert volume_text(3.785411784 * 3, "us") == "3.0 gallon"
    assert (weight_text(180.4, "metric"), volume_text(11.0, "metric")) == ("180 g", "11 litre")
