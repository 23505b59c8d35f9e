"""Rules of a batch as a whole: a legal plan keeps each up to its limit, and a step beyond breaks that rule alone."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from builders import day
from legal_plan import Limit, Limits, Setting, make_setting, reap
from steadysow.inputs.garden import Away, Serving
from steadysow.plan.batch import BatchState

LIMITS = Limits("batches")


@LIMITS.of("ids are distinct", legal=7, illegal=4, says="Two batches have the number 4.")
def number_of_another_batch(setting: Setting, number: int) -> None:
    setting.alter(5, id=number)


@LIMITS.of(
    "facts are kept",
    legal="done",
    illegal="transplanted",
    says="Batch 9 (lettuce) has begun, but the plan leaves it out.",
)
def batch_left_out(setting: Setting, state: BatchState) -> None:
    setting.begun = (replace(setting.batches[1], id=9, state=state),)


@LIMITS.of(
    "facts are kept",
    legal=0,
    illegal=-1,
    says="Batch 1 (lettuce) has begun, but the plan changes what has already happened to it.",
)
def recorded_sowing(setting: Setting, sown: int) -> None:
    setting.alter(1, state="sown")
    setting.begun = (
        replace(setting.batches[1], sown_on=day(sown), transplanted_on=None, cleared_on=None, harvests=()),
    )


@LIMITS.of(
    "facts are kept",
    legal="A",
    illegal="C",
    says="Batch 2 (mizuna) has begun, but the plan changes what has already happened to it.",
)
def recorded_tote(setting: Setting, tote: str) -> None:
    setting.today = day(15)
    for number in (1, 2, 4, 6):
        setting.alter(number, state="sown" if number == 4 else "transplanted")
    setting.begun = (replace(setting.batches[2], tote=tote, cleared_on=None, harvests=()),)


@LIMITS.of(
    "facts are kept",
    legal=100.0,
    illegal=100.1,
    says="Batch 2 (mizuna) has begun, but the plan changes what has already happened to it.",
)
def recorded_grams(setting: Setting, grams: float) -> None:
    setting.today = day(43)
    for number in (1, 2, 3, 4, 5, 6):
        setting.alter(number, state={2: "transplanted", 3: "sown", 5: "sown"}.get(number, "done"))
    first = replace(setting.batches[2].harvests[0], grams=grams)
    setting.begun = (replace(setting.batches[2], cleared_on=None, harvests=(first,)),)


@LIMITS.of(
    "stages are in order",
    legal=day(49),
    illegal=None,
    says="Batch 5 (mizuna) lacks its day of transplant or of clearing.",
)
def transplant(setting: Setting, on: date | None) -> None:
    setting.alter(5, transplanted_on=on)


@LIMITS.of(
    "stages are in order",
    legal=day(74),
    illegal=None,
    says="Batch 5 (mizuna) lacks its day of transplant or of clearing.",
)
def clearing(setting: Setting, on: date | None) -> None:
    setting.alter(5, cleared_on=on)


@LIMITS.of("stages are in order", legal=50, illegal=49, says="Batch 5 (mizuna) has its stages out of order.")
def cleared_after_entering_on_day_49(setting: Setting, on: int) -> None:
    setting.alter(5, state="sown", harvests=(), cleared_on=day(on))


@LIMITS.of("stages are in order", legal=21, illegal=22, says="Batch 4 (lettuce) has its stages out of order.")
def emerged_before_it_is_planted_on_day_21(setting: Setting, on: int) -> None:
    setting.today = day(15)
    for number in (1, 2, 4, 6):
        setting.alter(number, state="sown" if number == 4 else "transplanted")
    setting.alter(4, emerges_on=day(on))


@LIMITS.of(
    "crop serves its want",
    legal="salad",
    illegal="soup",
    says="Batch 1 (lettuce) is grown for soup, which does not ask for lettuce.",
)
def want(setting: Setting, name: str) -> None:
    setting.alter(1, want=name)


@LIMITS.of(
    "crop serves its want",
    legal=("lettuce", "mizuna", "pea"),
    illegal=("mizuna", "pea"),
    says="Batch 1 (lettuce) is grown for salad, which does not ask for lettuce.",
)
def crops_asked_for(setting: Setting, crops: tuple[str, ...]) -> None:
    servings = tuple(Serving(crop=crop) for crop in crops)
    setting.alter_garden(wants=(replace(setting.garden.wants[0], servings=servings),))


@LIMITS.of(
    "cleared with its last harvest",
    legal=74,
    illegal=75,
    says="Batch 5 (mizuna) is due to be cleared on Thu 17 Dec, but its last harvest is on Wed 16 Dec.",
)
def cleared_after_the_harvest_of_day_74(setting: Setting, on: int) -> None:
    setting.alter(5, cleared_on=day(on))


@LIMITS.of(
    "cleared with its last harvest",
    legal=61,
    illegal=60,
    says="Batch 5 (mizuna) is due to be cleared on Wed 2 Dec, when nobody is at home.",
)
def cleared_unharvested_while_away_on_day_60(setting: Setting, on: int) -> None:
    setting.alter(5, state="sown", harvests=(), cleared_on=day(on))
    setting.alter_garden(away=(Away(from_on=day(60), back_on=day(61)),))


@LIMITS.of(
    "cleared with its last harvest",
    legal=60,
    illegal=59,
    says="Batch 5 (mizuna) is due to be cleared on Tue 1 Dec, which is past.",
)
def cleared_unharvested_today_on_day_60(setting: Setting, on: int) -> None:
    setting.today = day(60)
    setting.batches = {5: replace(setting.batches[5], state="transplanted", harvests=(), cleared_on=day(on))}


@LIMITS.of(
    "cleared in time",
    legal=74,
    illegal=73,
    says="Batch 5 (mizuna) is due to stand until Wed 16 Dec, but all totes must be empty by Tue 15 Dec.",
)
def end_of_the_season(setting: Setting, on: int) -> None:
    setting.alter_garden(clear_by=day(on))
    for number in (3, 5):
        setting.alter_harvest(number, 0, latest_on=day(on))


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


def test_what_has_happened_is_not_judged() -> None:
    """A sowing on an odd day, and one too early and too small, break no rule once they are past."""
    setting = make_setting()
    setting.today = day(15)
    setting.alter(1, state="transplanted", sown_on=day(5), transplanted_on=day(14), emerges_on=None, cells=1, seeds=1)
    setting.alter(2, state="transplanted")
    setting.alter(4, state="sown")
    setting.alter(6, state="transplanted")
    setting.alter_sowing(crops_a_day=1, smallest=2)
    assert setting.broken() == set()


def test_what_is_still_to_come_of_begun_batches_is_judged() -> None:
    """A begun batch keeps the rules in its transplant and its harvests to come."""
    setting = make_setting()
    setting.today = day(15)
    for number in (1, 2, 6):
        setting.alter(number, state="transplanted")
    setting.alter(4, state="sown")
    assert setting.broken() == set()
    setting.alter_garden(away=(Away(from_on=day(21), back_on=day(22)), Away(from_on=day(39), back_on=day(40))))
    assert setting.broken() == {"transplanted when ready", "harvested on a harvest day"}


def test_history_of_what_the_files_no_longer_name_is_no_breach() -> None:
    """A batch that is done or lost may be of a crop or tote that is gone, and may lack stages."""
    setting = make_setting()
    gone = replace(setting.batches[1], id=7, crop="tulip", tote="Z", state="done", sown_on=day(-90))
    lost = replace(
        gone, id=8, crop="mizuna", state="lost", holes=(), transplanted_on=None, cleared_on=None, harvests=()
    )
    setting.batches |= {7: gone, 8: lost}
    setting.begun = (gone, lost)
    assert setting.broken() == set()


def test_a_begun_batch_may_go_unharvested() -> None:
    """Waiting seedlings that no week needs any more are planted, and cleared on any later day at home."""
    setting = make_setting()
    setting.alter(5, state="sown", harvests=(), cleared_on=day(60))
    assert setting.broken() == set()


def test_what_nobody_could_clear_in_time_may_stand_past_the_season() -> None:
    """A batch that stands is cleared on the first day at home after the season; a planned one may not wait."""
    setting = make_setting()
    setting.today = day(60)
    setting.alter_garden(clear_by=day(61), away=(Away(from_on=day(60), back_on=day(64)),))
    setting.batches = {5: replace(setting.batches[5], state="transplanted", harvests=(), cleared_on=day(64))}
    assert setting.broken() == set()
    setting.alter(5, cleared_on=day(65))
    assert setting.broken() == {"cleared in time"}


def test_a_harvest_of_today_that_has_happened_is_a_fact() -> None:
    """A cut of today on no harvest day is judged while it is planned, and not once it is a fact."""
    setting = make_setting()
    setting.alter_garden(harvest_days=(5,))
    setting.batches = {2: replace(setting.batches[2], state="transplanted")}
    setting.alter_harvest(2, 0, on=day(40))
    setting.alter(2, harvests=(setting.batches[2].harvests[0], reap(56, 52, "cut", 2, 3, 4)))
    setting.today = day(40)
    assert setting.broken() == {"harvested on a harvest day"}
    setting.begun = (replace(setting.batches[2], cleared_on=None, harvests=setting.batches[2].harvests[:1]),)
    assert setting.broken() == set()
