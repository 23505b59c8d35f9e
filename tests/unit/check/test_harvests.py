"""Rules of harvests: a legal plan keeps each up to its limit, and a step beyond breaks that rule alone."""

from __future__ import annotations

from dataclasses import replace

import pytest

from builders import day
from legal_plan import EVERY_DAY, Limit, Limits, Setting, make_setting, reap
from steadysow.inputs.crops import Bolting, HarvestKind
from steadysow.inputs.garden import Stand
from steadysow.standing.standing import Rest

LIMITS = Limits("harvests")


def harvest_on(setting: Setting, batch: int, index: int, on: int) -> None:
    """Move the last harvest of a batch to any day of the week."""
    setting.alter_garden(harvest_days=EVERY_DAY, clear_by=None)
    setting.alter_harvest(batch, index, on=day(on))
    setting.alter(batch, cleared_on=day(on))


@LIMITS.of(
    "harvested when due",
    legal=73,
    illegal=72,
    says="Batch 5 (mizuna) is due to be harvested on Mon 14 Dec, outside its window from Tue 15 Dec to Mon 21 Dec.",
)
def first_day_of_a_cut(setting: Setting, on: int) -> None:
    harvest_on(setting, 5, 0, on)


@LIMITS.of(
    "harvested when due",
    legal=79,
    illegal=80,
    says="Batch 5 (mizuna) is due to be harvested on Tue 22 Dec, outside its window from Tue 15 Dec to Mon 21 Dec.",
)
def last_day_of_a_cut(setting: Setting, on: int) -> None:
    harvest_on(setting, 5, 0, on)


# Cut on day 42, and due again 12 days later.
@LIMITS.of(
    "harvested when due",
    legal=54,
    illegal=53,
    says="Batch 2 (mizuna) is due to be harvested on Wed 25 Nov, outside its window from Thu 26 Nov to Wed 2 Dec.",
)
def first_day_of_the_second_cut(setting: Setting, on: int) -> None:
    harvest_on(setting, 2, 1, on)


# Ready on day 38, a head holds for 10 days.
@LIMITS.of(
    "harvested when due",
    legal=47,
    illegal=48,
    says="Batch 1 (lettuce) is due to be harvested on Fri 20 Nov, outside its window from Tue 10 Nov to Thu 19 Nov.",
)
def last_day_of_a_head(setting: Setting, on: int) -> None:
    del setting.batches[3]
    harvest_on(setting, 1, 1, on)


# Due 24 days after transplant: with 25 warm days it bolts on the day after, with 24 on that day.
@LIMITS.of(
    "harvested when due",
    legal=25,
    illegal=24,
    says="Batch 2 (mizuna) is due to be harvested on Tue 10 Nov, but is never ready, or bolts first.",
)
def days_until_mizuna_bolts(setting: Setting, days: int) -> None:
    limits = Bolting(after_days=days, longest_day_hours=None, above_c=10.0)
    setting.alter_crop("mizuna", growth=replace(setting.garden.crops["mizuna"].growth, bolting=limits))
    setting.alter_garden(harvest_days=EVERY_DAY)
    for number, due, holes in ((2, 38, (3, 4)), (5, 73, (1, 2, 3))):
        cut = replace(reap(due, due, "cut", 1, *holes), latest_on=day(due))
        setting.alter(number, harvests=(cut,), cleared_on=day(due))


@LIMITS.of(
    "latest day is the last possible",
    legal=79,
    illegal=80,
    says="Batch 5 (mizuna) can wait until Mon 21 Dec, but the plan says Tue 22 Dec.",
)
def latest_day_of_a_cut(setting: Setting, on: int) -> None:
    setting.alter_harvest(5, 0, latest_on=day(on))


@LIMITS.of(
    "latest day is the last possible",
    legal=75,
    illegal=76,
    says="Batch 3 (lettuce) can wait until Thu 17 Dec, but the plan says Fri 18 Dec.",
)
def latest_day_before_the_season_ends_on_day_75(setting: Setting, on: int) -> None:
    setting.alter_garden(clear_by=day(75))
    for number in (3, 5):
        setting.alter_harvest(number, 0, latest_on=day(on))


@LIMITS.of(
    "latest day is the last possible",
    legal=76,
    illegal=77,
    says="Batch 5 (mizuna) can wait until Fri 18 Dec, but the plan says Sat 19 Dec.",
)
def latest_day_before_the_tote_rests_on_day_76(setting: Setting, on: int) -> None:
    setting.resting = (Rest(tote="B", from_on=day(76), until_on=day(90)),)
    setting.alter_harvest(5, 0, latest_on=day(on))


@LIMITS.of(
    "latest day is the last possible",
    legal=76,
    illegal=77,
    says="Batch 5 (mizuna) can wait until Fri 18 Dec, but the plan says Sat 19 Dec.",
)
def latest_day_before_the_tote_moves_on_day_76(setting: Setting, on: int) -> None:
    stands = (Stand(place="shelf"), Stand(place="yard", from_md=(12, 18), until_md=(2, 1)))
    setting.alter_tote("B", stands=stands)
    setting.alter_harvest(5, 0, latest_on=day(on))


@LIMITS.of(
    "harvests are numbered",
    legal=1,
    illegal=2,
    says="Batch 5 (mizuna) has harvests that are not numbered in their order.",
)
def number_of_the_first_cut(setting: Setting, number: int) -> None:
    setting.alter_harvest(5, 0, number=number)


@LIMITS.of("harvests are numbered", legal="cut", illegal="pick", says="Batch 5 (mizuna) has a harvest that is no cut.")
def kind_of_harvest(setting: Setting, kind: HarvestKind) -> None:
    setting.alter_harvest(5, 0, kind=kind)


@LIMITS.of(
    "harvests are numbered",
    legal=40,
    illegal=39,
    says="Batch 1 (lettuce) has harvests that are not numbered in their order.",
)
def second_head_after_the_first_of_day_39(setting: Setting, on: int) -> None:
    harvest_on(setting, 1, 1, on)


@LIMITS.of(
    "what is planted is harvested",
    legal=2,
    illegal=1,
    says="Batch 1 (lettuce) has plants that are never harvested.",
)
def heads_that_are_taken(setting: Setting, heads: int) -> None:
    taken = setting.batches[1].harvests[:heads]
    setting.alter(1, harvests=taken, cleared_on=taken[-1].on)


@LIMITS.of(
    "what is planted is harvested",
    legal=1,
    illegal=0,
    says="Batch 5 (mizuna) has plants that are never harvested.",
)
def cuts_that_are_taken(setting: Setting, cuts: int) -> None:
    setting.alter(5, harvests=setting.batches[5].harvests[:cuts])


@LIMITS.of(
    "no more harvests than it gives",
    legal=2,
    illegal=1,
    says="Batch 2 (mizuna) has 2 cuts, more than the 1 it gives.",
)
def most_cuts(setting: Setting, cuts: int) -> None:
    crop = setting.garden.crops["mizuna"]
    setting.alter_crop("mizuna", harvest=replace(crop.harvest, grams=(50.0,) * cuts))


@LIMITS.of(
    "harvests take its own plants",
    legal=(1, 2, 3),
    illegal=(1, 2, 4),
    says="Batch 4 (lettuce) is harvested on Wed 18 Nov from holes where it does not stand.",
)
def holes_of_the_heads(setting: Setting, holes: tuple[int, ...]) -> None:
    setting.alter_harvest(4, 0, holes=holes)


@LIMITS.of(
    "harvests take its own plants",
    legal=(2,),
    illegal=(1,),
    says="Batch 1 (lettuce) gives the same head twice.",
)
def holes_of_the_second_head(setting: Setting, holes: tuple[int, ...]) -> None:
    setting.alter_harvest(1, 1, holes=holes)


@LIMITS.of(
    "harvests take its own plants",
    legal=(1, 2, 3),
    illegal=(1, 2),
    says="Batch 5 (mizuna) is only partly harvested on Wed 16 Dec.",
)
def holes_of_a_cut(setting: Setting, holes: tuple[int, ...]) -> None:
    setting.alter_harvest(5, 0, holes=holes, plants=len(holes), grams=50.0 * len(holes))


@LIMITS.of(
    "harvests take its own plants",
    legal=3,
    illegal=2,
    says="Batch 5 (mizuna) gives 2 plants on Wed 16 Dec, not one from each of its holes.",
)
def plants_of_a_cut(setting: Setting, plants: int) -> None:
    setting.alter_harvest(5, 0, plants=plants, grams=50.0 * plants)


# Three plants of 50 g may miss it by 0.05 g each.
@LIMITS.of(
    "weighs what it grows to",
    legal=150.14,
    illegal=150.16,
    says="Batch 5 (mizuna) grows to 150.0 g by Wed 16 Dec, but the plan says 150.2 g.",
)
def grams_of_a_cut(setting: Setting, grams: float) -> None:
    setting.alter_harvest(5, 0, grams=grams)


# 14 days at 12 mol on 0.02 m2 and 10 g a mol make 33.6 g of a second cut; 28 days make more than its 50 g.
@LIMITS.of(
    "weighs what it grows to",
    legal=67.2,
    illegal=100.0,
    says="Batch 2 (mizuna) grows to 67.2 g by Sat 28 Nov, but the plan says 100.0 g.",
)
def grams_that_light_can_make(setting: Setting, grams: float) -> None:
    setting.alter_crop("mizuna", growth=replace(setting.garden.crops["mizuna"].growth, grams_per_mol=10.0))
    setting.alter_harvest(2, 1, grams=grams)


@pytest.mark.parametrize("limit", LIMITS.known, ids=str)
def test_a_rule_holds_up_to_its_limit(limit: Limit) -> None:
    """At the limit the plan is legal; one step beyond breaks that rule and no other, and a sentence says how."""
    assert limit.breaches(limit.legal) == ()
    breaches = limit.breaches(limit.illegal)
    assert {breach.rule for breach in breaches} == {limit.rule}
    assert breaches[0].sentence == limit.says


def test_every_rule_of_the_module_has_a_limit() -> None:
    """No rule of the module goes untried."""
    assert LIMITS.untried() == set()


def test_plants_that_never_grow_are_never_due() -> None:
    """At a place colder than the base temperature nothing falls due."""
    setting = make_setting()
    shelf, yard = setting.garden.places
    setting.alter_garden(places=(replace(shelf, temperature_c=2.0), yard))
    del setting.batches[6]
    assert setting.broken() == {"harvested when due"}


def test_begun_plants_may_be_harvested_late() -> None:
    """A cut past its window is taken on the first possible harvest day, and no later."""
    setting = make_setting()
    setting.batches = {5: replace(setting.batches[5], state="transplanted")}
    setting.alter_garden(clear_by=None)
    setting.today = day(82)
    for on, broken in ((84, set[str]()), (88, {"harvested when due"})):
        setting.alter_harvest(5, 0, on=day(on), latest_on=day(84))
        setting.alter(5, cleared_on=day(on))
        assert setting.broken() == broken


def test_recorded_harvests_of_one_day_need_no_order() -> None:
    """Two heads that were taken on one day, by two facts, are numbered in the order of the journal."""
    setting = make_setting()
    first = replace(setting.batches[1].harvests[0], is_recorded=True)
    second = replace(setting.batches[1].harvests[1], on=day(39), latest_on=day(39))
    setting.today = day(39)
    setting.batches = {1: replace(setting.batches[1], state="transplanted", harvests=(first, second))}
    setting.alter(1, cleared_on=day(39))
    setting.begun = (replace(setting.batches[1], cleared_on=None),)
    assert "harvests are numbered" not in setting.broken()
    setting.alter_harvest(1, 0, is_recorded=False)
    assert "harvests are numbered" in setting.broken()
