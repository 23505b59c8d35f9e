"""Rules of a person's work: a legal plan keeps each up to its limit, and a step beyond breaks that rule alone."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from builders import START, day
from legal_plan import SATURDAY, WEDNESDAY, Limit, Limits, Setting, make_setting
from steadysow.inputs.garden import Away

LIMITS = Limits("work")


@LIMITS.of(
    "sown on a chore day",
    legal=8,
    illegal=7,
    says="Batch 4 (lettuce) is due to be sown on Sat 10 Oct, which is no chore day at home.",
)
def away_around_the_sowing_of_day_7(setting: Setting, on: int) -> None:
    setting.alter_garden(away=(Away(from_on=day(on), back_on=day(on + 1)),))


@LIMITS.of(
    "sown on a chore day",
    legal=(WEDNESDAY, SATURDAY),
    illegal=(WEDNESDAY,),
    says="Batch 5 (mizuna) is due to be sown on Sat 7 Nov, which is no chore day at home.",
)
def days_of_chores(setting: Setting, weekdays: tuple[int, ...]) -> None:
    setting.batches = {5: replace(setting.batches[5], transplanted_on=day(53))}
    setting.alter_harvest(5, 0, on=day(77), latest_on=day(83))
    setting.alter(5, cleared_on=day(77))
    setting.alter_garden(chore_days=weekdays)


@LIMITS.of(
    "sown on a chore day",
    legal=0,
    illegal=1,
    says="Batch 1 (lettuce) is due to be sown on Sat 3 Oct, before the first possible day, Sun 4 Oct.",
)
def today(setting: Setting, on: int) -> None:
    setting.today = day(on)


@LIMITS.of(
    "sown on a chore day",
    legal=START,
    illegal=day(1),
    says="Batch 1 (lettuce) is due to be sown on Sat 3 Oct, before the first possible day, Sun 4 Oct.",
)
def first_day_of_the_garden(setting: Setting, on: date) -> None:
    setting.starts_on = on


@LIMITS.of(
    "sowing days lie apart",
    legal=7,
    illegal=8,
    says="The sowings on Sat 3 Oct and Sat 10 Oct are 7 days apart, not 8.",
)
def days_between_sowings(setting: Setting, days: int) -> None:
    setting.alter_sowing(every_days=days)


@LIMITS.of(
    "sowings are large enough",
    legal=2,
    illegal=3,
    says="The sowing of lettuce on Sat 3 Oct has 2 plants, fewer than 3.",
)
def smallest_sowing(setting: Setting, plants: int) -> None:
    setting.alter_sowing(smallest=plants)


@LIMITS.of("few crops a sowing day", legal=2, illegal=1, says="2 crops are due to be sown on Sat 3 Oct, more than 1.")
def crops_a_day(setting: Setting, crops: int) -> None:
    setting.alter_sowing(crops_a_day=crops)


@LIMITS.of(
    "harvested on a harvest day",
    legal=(WEDNESDAY, SATURDAY),
    illegal=(SATURDAY,),
    says="Batch 1 (lettuce) is due to be harvested on Wed 11 Nov, which is no harvest day at home.",
)
def days_of_harvest(setting: Setting, weekdays: tuple[int, ...]) -> None:
    setting.alter_garden(harvest_days=weekdays)


@LIMITS.of(
    "harvested on a harvest day",
    legal=40,
    illegal=39,
    says="Batch 1 (lettuce) is due to be harvested on Wed 11 Nov, which is no harvest day at home.",
)
def away_around_the_harvest_of_day_39(setting: Setting, on: int) -> None:
    setting.alter_garden(away=(Away(from_on=day(on), back_on=day(on + 1)),))


# In the third week four plants are planted (6), peas are sown (5, and 1 for two cells), and one tote is full (7).
@LIMITS.of(
    "weeks keep to their minutes",
    legal=19.0,
    illegal=18.9,
    says="The week from Sat 17 Oct takes 19 minutes of work, more than 18.9.",
)
def minutes_a_week(setting: Setting, minutes: float) -> None:
    setting.alter_garden(chore_minutes_a_week=minutes)


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


def test_what_has_begun_may_overfill_a_week_to_which_nothing_is_added() -> None:
    """Begun batches may overfill a week by themselves; a batch planned into such a week breaks the rule."""
    setting = make_setting()
    setting.today = day(29)
    for number in (1, 2, 4, 6):
        setting.alter(number, state="transplanted")
    setting.alter(3, state="sown")
    setting.alter_garden(chore_minutes_a_week=4.0)
    planned = setting.batches.pop(5)
    assert setting.broken() == set()
    setting.batches[5] = planned
    broken = {breach.day: breach.batches for breach in setting.breaches()}
    # Sown on day 35, planted on day 49, cut on day 74: of the weeks between, that of day 42 has nothing of it.
    assert broken == {day(number): (5,) for number in (35, 49, 56, 63, 70)}


def test_all_holes_there_are_is_enough_for_a_sowing() -> None:
    """Where the totes carry only two plants, two are a large enough sowing."""
    setting = make_setting()
    setting.alter_sowing(smallest=99)
    setting.alter_garden(totes=(replace(setting.garden.tote("A"), holes=2),))
    setting.batches = {1: setting.batches[1]}
    assert setting.broken() == set()


def test_a_sowing_that_was_counts_for_the_next() -> None:
    """Begun batches are not judged, but the planned sowing must lie apart from theirs."""
    setting = make_setting()
    setting.today = day(1)
    setting.batches = {1: replace(setting.batches[1], state="sown"), 4: setting.batches[4]}
    setting.alter_sowing(every_days=8)
    assert setting.broken() == {"sowing days lie apart"}
    setting.alter(4, state="sown")
    assert setting.broken() == set()


def test_batches_of_one_sowing_count_together() -> None:
    """Two batches of a crop sown on one day are one sowing of five plants, and a sixth plant is missing."""
    setting = make_setting()
    second = replace(setting.batches[4], id=7, sown_on=day(0), transplanted_on=day(14), emerges_on=day(3))
    setting.batches = {1: setting.batches[1], 7: second}
    setting.alter_harvest(7, 0, on=day(42), latest_on=day(47))
    setting.alter(7, cleared_on=day(42), cells=3, seeds=6)
    setting.alter(1, cells=4, seeds=8)
    setting.alter_sowing(smallest=5)
    assert setting.broken() == set()
    setting.alter_sowing(smallest=6)
    assert setting.broken() == {"sowings are large enough"}
