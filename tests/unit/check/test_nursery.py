"""Rules of seedlings: a legal plan keeps each up to its limit, and a step beyond breaks that rule alone."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

import pytest

from builders import day
from legal_plan import EVERY_DAY, Limit, Limits, Setting, make_setting, reap
from steadysow.inputs.garden import Away, Packet

LIMITS = Limits("nursery")


@LIMITS.of("cells are enough", legal=3, illegal=2, says="Batch 1 (lettuce) has 2 cells for 2 plants, not 3.")
def fewest_cells(setting: Setting, cells: int) -> None:
    setting.alter(1, cells=cells, seeds=2 * cells)


@LIMITS.of("cells are enough", legal=4, illegal=5, says="Batch 5 (mizuna) has 5 cells for 3 plants, not 4.")
def most_cells(setting: Setting, cells: int) -> None:
    setting.alter(5, cells=cells, seeds=2 * cells)


@LIMITS.of("cells are enough", legal=2, illegal=1, says="Batch 6 (pea) has 1 cell for 2 plants.")
def pots(setting: Setting, cells: int) -> None:
    setting.alter(6, cells=cells, seeds=2 * cells)


@LIMITS.of(
    "seeds are enough",
    legal=6,
    illegal=5,
    says="Batch 1 (lettuce) has 5 seeds in 3 cells, not equally many in each.",
)
def seeds_in_three_cells(setting: Setting, seeds: int) -> None:
    setting.alter(1, seeds=seeds)


@LIMITS.of("seeds are enough", legal=2, illegal=1, says="Batch 1 (lettuce) has 1 seed in each cell, not 2.")
def seeds_in_each_cell(setting: Setting, seeds: int) -> None:
    setting.alter(1, seeds=3 * seeds)


# A cell with two seeds of 50 % holds a seedling with a chance of 3/4; that both pots do, of 9/16 = 56.25 %.
@LIMITS.of(
    "seeds are enough",
    legal=0.5625,
    illegal=0.5626,
    says="Batch 6 (pea) has 2 seeds in each cell: enough come up in only 56.2% of cases.",
)
def confidence(setting: Setting, share: float) -> None:
    setting.alter_sowing(confidence=share)


# 39 seeds of 1 % leave a cell empty with a chance of 0.99^39 = 0.6757; both pots are filled with one of 0.3243^2.
@LIMITS.of(
    "seeds are enough",
    legal=40,
    illegal=39,
    says="Batch 6 (pea) has 39 seeds in each cell: enough come up in only 10.5% of cases.",
)
def no_more_than_forty_seeds_of_a_bad_packet(setting: Setting, seeds: int) -> None:
    setting.alter_garden(packets=(Packet(crop="pea", percent=1.0, packed_in=None),))
    setting.alter(6, seeds=2 * seeds)


@LIMITS.of("nursery holds all", legal=10, illegal=9, says="The nursery has 9 cells, but Sat 10 Oct needs 10.")
def cells_of_the_nursery(setting: Setting, cells: int) -> None:
    setting.alter_garden(nursery=replace(setting.garden.nursery, cells=cells))


@LIMITS.of(
    "emerges as it grows",
    legal=3,
    illegal=4,
    says="Batch 1 (lettuce) emerges on Tue 6 Oct, but the plan says Wed 7 Oct.",
)
def emerges_in_the_nursery(setting: Setting, on: int) -> None:
    setting.alter(1, emerges_on=day(on))


@LIMITS.of(
    "emerges as it grows",
    legal=17,
    illegal=18,
    says="Batch 6 (pea) emerges on Tue 20 Oct, but the plan says Wed 21 Oct.",
)
def emerges_in_its_pot(setting: Setting, on: int) -> None:
    setting.alter(6, emerges_on=day(on))


@LIMITS.of(
    "transplanted when ready",
    legal=22,
    illegal=21,
    says="Batch 4 (lettuce) is due to be transplanted on Sat 24 Oct, which is no chore day at home.",
)
def away_around_the_transplant_of_day_21(setting: Setting, on: int) -> None:
    setting.alter_garden(away=(Away(from_on=day(on), back_on=day(on + 1)),))


@LIMITS.of(
    "transplanted when ready",
    legal=14,
    illegal=15,
    says="Batch 2 (mizuna) is due to be transplanted on Sat 17 Oct, outside its window from Sun 18 Oct to Sat 24 Oct.",
)
def fewest_days_in_the_nursery(setting: Setting, days: int) -> None:
    setting.alter_crop("mizuna", nursery_days=(days, 21))


@LIMITS.of(
    "transplanted when ready",
    legal=18,
    illegal=17,
    says="Batch 3 (lettuce) is due to be transplanted on Wed 18 Nov, outside its window from Sat 14 Nov to Tue 17 Nov.",
)
def most_days_in_the_nursery(setting: Setting, days: int) -> None:
    setting.alter_crop("lettuce", nursery_days=(14, days))


@LIMITS.of(
    "pots are not transplanted",
    legal=14,
    illegal=15,
    says="Batch 6 (pea) is sown in its pot, but enters its tote on another day.",
)
def sown_in_its_pot_on_day_14(setting: Setting, on: int) -> None:
    setting.alter(6, transplanted_on=day(on))
    # Ready 24 days later, and good for a week.
    setting.alter_harvest(6, 0, latest_on=day(on + 30))


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


def test_a_nursery_breach_names_batches_and_day() -> None:
    """The breach of a crowded nursery says which batches are there, and when: 3, 3 and 4 cells on day 7."""
    setting = make_setting()
    cells_of_the_nursery(setting, 9)
    (breach,) = setting.breaches()
    assert (breach.batches, breach.day) == ((1, 2, 4), day(7))


def test_the_nursery_is_judged_only_where_the_plan_adds_to_it() -> None:
    """Seedlings that were sown already may crowd it."""
    setting = make_setting()
    setting.today = day(8)
    cells_of_the_nursery(setting, 9)
    setting.batches = {number: replace(setting.batches[number], state="sown") for number in (1, 2, 4)}
    assert setting.broken() == set()


@pytest.mark.parametrize(
    ("sown_in", "cells", "is_legal"), [("nursery", 7, True), ("nursery", 6, False), ("pot", 5, True)]
)
def test_batches_sown_and_planted_together_share_their_spare_cells(
    sown_in: Literal["nursery", "pot"], cells: int, is_legal: bool
) -> None:
    """Five plants need 5 / (3/4) = 6.7 cells in the nursery, which are 7; in pots, five are enough."""
    setting = make_setting()
    second = replace(setting.batches[4], id=7, sown_on=day(0), transplanted_on=day(14), emerges_on=day(3))
    setting.batches = {1: setting.batches[1], 7: second}
    setting.alter_crop("lettuce", sown_in=sown_in)
    setting.alter(1, cells=cells - 3, seeds=2 * (cells - 3))
    setting.alter(7, cells=3, seeds=6)
    sentences = [each.sentence for each in setting.breaches() if each.rule == "cells are enough"]
    both = "Batch 1 (lettuce) and batch 7 (lettuce) together have 6 cells for 5 plants, not 7."
    assert sentences == ([] if is_legal else [both])


def test_seeds_that_never_emerge_are_a_breach() -> None:
    """A crop that emerges at no temperature is never ready to transplant either."""
    setting = make_setting()
    setting.alter_crop("lettuce", emergence=((10.0, None), (30.0, None)))
    assert setting.broken() == {"emerges as it grows", "transplanted when ready"}
    sentences = {breach.sentence for breach in setting.breaches() if breach.batches == (1,)}
    assert sentences == {"Batch 1 (lettuce) never emerges.", "Batch 1 (lettuce) is never ready to transplant."}


def test_a_plan_without_a_day_of_emergence_says_never() -> None:
    """A planned batch has a day of emergence."""
    setting = make_setting()
    setting.alter(1, emerges_on=None)
    (breach,) = setting.breaches()
    assert breach.sentence == "Batch 1 (lettuce) emerges on Tue 6 Oct, but the plan says never."


def test_begun_seedlings_may_be_late() -> None:
    """Seedlings past their window go in on the first possible chore day, and no later."""
    setting = make_setting()
    setting.batches = {4: replace(setting.batches[4], state="sown")}
    setting.today = day(30)
    setting.alter(4, transplanted_on=day(32), cleared_on=day(56))
    setting.alter(4, harvests=(reap(56, 56, "head", 1, 1, 2, 3),))
    assert setting.broken() == set()
    setting.alter(4, transplanted_on=day(35), cleared_on=day(60))
    setting.alter(4, harvests=(reap(60, 59, "head", 1, 1, 2, 3),))
    assert setting.broken() == {"transplanted when ready"}


def test_a_recorded_emergence_moves_the_window() -> None:
    """Seedlings that were seen four days late may wait four days longer."""
    setting = make_setting()
    setting.batches = {4: replace(setting.batches[4], state="sown", emerges_on=day(14), recorded=("sown", "emerged"))}
    setting.today = day(15)
    setting.alter(4, transplanted_on=day(32), cleared_on=day(56))
    setting.alter(4, harvests=(reap(56, 56, "head", 1, 1, 2, 3),))
    assert setting.broken() == set()
    setting.alter(4, emerges_on=day(10))
    assert setting.broken() == {"transplanted when ready"}


@pytest.mark.parametrize(("on", "is_legal"), [(20, False), (21, True), (28, True), (29, False)])
def test_the_transplant_window_includes_both_ends(on: int, is_legal: bool) -> None:
    """Seedlings sown on day 7 may be transplanted after 14 days and after 21, and on every day between."""
    setting = make_setting()
    setting.alter_garden(chore_days=EVERY_DAY, harvest_days=EVERY_DAY)
    setting.batches = {4: setting.batches[4]}
    # Ready 24 days after transplant, a head holds for 10 days: day 53 is a day of harvest for all of them.
    harvest = reap(53, on + 24, "head", 1, 1, 2, 3)
    setting.alter(4, transplanted_on=day(on), cleared_on=day(53), harvests=(harvest,))
    assert setting.broken() == (set() if is_legal else {"transplanted when ready"})
