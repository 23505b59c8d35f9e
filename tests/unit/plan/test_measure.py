"""The measure of a plan, worked out by hand, and how a plan is kept.

Weeks run from Saturday 3 October 2026.  Expected values are counted by hand from the rules of the measure.
"""

from __future__ import annotations

import errno
import json
import os
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from builders import START, a_batch, a_crop, a_garden, a_harvest, a_plan, a_proof, a_tote, day
from steadysow.errors import InputFaults
from steadysow.inputs.garden import Away, Garden, Serving, Want
from steadysow.plan.batch import Batch, Stay
from steadysow.plan.measure import Measure, carried_over, last_week_served, measure, wanted, week_starts
from steadysow.plan.plan import Plan
from steadysow.plan.plan_file import from_json, load, save, to_json

SALAD = Want(name="salad", unit="g", amount=100.0, servings=(Serving(crop="mizuna"), Serving(crop="lettuce")))


MIZUNA, LETTUCE = a_crop("mizuna", "cut", keeps_days=5), a_crop("lettuce", "cut", keeps_days=11)


def make_garden(*wants: Want, weeks: int = 3, away: tuple[Away, ...] = (), clear_by: date | None = None) -> Garden:
    """Make a garden whose wants and weeks matter here."""
    return a_garden(
        a_tote(), crops=(MIZUNA, LETTUCE), wants=wants or (SALAD,), weeks=weeks, away=away, clear_by=clear_by
    )


def reaped(
    *amounts: tuple[int, float], crop: str = "lettuce", want: str = "salad", number: int = 1, plants: int = 2
) -> Batch:
    """Make a planned batch that gives so many grams on each day counted from the start."""
    holes = range(1, plants + 1)
    harvests = tuple(
        a_harvest(day(on), holes, "cut", number=number, latest_on=day(on + 6), grams=grams)
        for number, (on, grams) in enumerate(amounts, start=1)
    )
    days = {"sown_on": day(-60), "transplanted_on": day(-40), "cleared_on": day(max(on for on, _ in amounts))}
    return a_batch(number, holes, crop=crop, want=want, harvests=harvests, **days)


def measured(
    garden: Garden, *batches: Batch, from_on: date = START, in_reach_from: dict[str, date | None] | None = None
) -> Measure:
    """Measure from the first week on, with everything in reach unless told."""
    reach: dict[str, date | None] = {want.name: START for want in garden.wants}
    return measure(
        garden, batches, START, from_on, garden.weeks, from_on, reach if in_reach_from is None else in_reach_from
    )


def column(measure: Measure, field: str, want: str = "salad") -> list[float]:
    """Give one figure of a want, week by week."""
    return [getattr(entry, field) for week in measure.weeks for entry in week.wants if entry.want == want]


def test_a_harvest_serves_as_long_as_it_keeps_by_the_rule() -> None:
    """The last week served is the largest j with d + keeps >= 7 j + 4, or the harvest's own week."""
    for weekday in range(7):
        for keeps_days in range(40):
            later = [week for week in range(1, 10) if weekday + keeps_days >= 7 * week + 4]
            assert last_week_served(day(14 + weekday), keeps_days, START) == 2 + max(later, default=0)


@pytest.mark.parametrize(("harvest_day", "served"), [(6, [100.0, 100.0, 0.0]), (5, [100.0, 0.0, 0.0])])
def test_keeping_reaches_the_next_week_exactly_at_the_boundary(harvest_day: int, served: list[float]) -> None:
    """A crop that keeps 5 days serves the next week from day 6 (6 + 5 = 11) but not from day 5."""
    found = measured(make_garden(), reaped((harvest_day, 200.0), crop="mizuna"))
    assert column(found, "served") == served


def test_a_wants_own_keeping_replaces_the_crops() -> None:
    """A want that keeps 18 days is served in the third week by a crop that keeps 5."""
    found = measured(make_garden(replace(SALAD, keeps_days=18)), reaped((0, 300.0), crop="mizuna"))
    assert column(found, "served") == [100.0, 100.0, 100.0]


def test_history_whose_profile_is_gone_keeps_as_long_as_most_greens() -> None:
    """A crop that the garden knows no more is taken to keep 7 days: 4 + 7 = 11 serves the next week, 3 + 7 does not."""
    assert column(measured(make_garden(), reaped((4, 200.0), crop="gone")), "served") == [100.0, 100.0, 0.0]
    assert column(measured(make_garden(), reaped((3, 200.0), crop="gone")), "served") == [100.0, 0.0, 0.0]


def test_days_away_are_not_wanted_for() -> None:
    """A week with two days away wants five sevenths, and one wholly away counts in no share."""
    garden = make_garden(away=(Away(from_on=day(5), back_on=day(14)),))
    found = measured(garden, reaped((0, 50.0), crop="mizuna"), reaped((14, 100.0), number=2))
    assert column(found, "wanted") == pytest.approx([500 / 7, 0.0, 100.0])
    assert found.served_share == pytest.approx((0.7 + 1.0) / 2)


def test_a_want_counts_in_whole_weeks_between_its_dates() -> None:
    """A want counts from the first week on or after `from` until the last that ends by `until`."""
    garden = make_garden(replace(SALAD, from_on=day(1), until_on=day(27)), weeks=5)
    assert column(measured(garden), "wanted") == [0.0, 100.0, 100.0, 0.0, 0.0]
    exact = replace(SALAD, from_on=day(7), until_on=day(28))
    assert [wanted(garden, exact, day(7 * week)) for week in range(5)] == [0.0, 100.0, 100.0, 100.0, 0.0]


def test_importance_weighs_the_share() -> None:
    """A want three times as important counts three times."""
    soup = replace(SALAD, name="soup", importance=3.0)
    found = measured(make_garden(SALAD, soup, weeks=1), reaped((0, 100.0)))
    assert found.served_share == pytest.approx(1 / 4)


def test_surplus_is_told_in_the_week_of_its_harvest() -> None:
    """Of 250 g that keep for two weeks of 100 g, 50 g spoil and belong to the week they were cut."""
    found = measured(make_garden(), reaped((0, 250.0)))
    assert column(found, "harvested") == [250.0, 0.0, 0.0]
    assert column(found, "served") == [100.0, 100.0, 0.0]
    assert column(found, "surplus") == [50.0, 0.0, 0.0]
    assert found.surplus_grams == 50.0


def test_what_still_keeps_at_the_end_is_no_surplus() -> None:
    """Leftovers of the last week are surplus only if they could serve no later week."""
    assert measured(make_garden(), reaped((14, 250.0), crop="lettuce")).surplus_grams == 0.0
    assert measured(make_garden(), reaped((14, 250.0), crop="mizuna")).surplus_grams == 150.0


def test_what_spoils_first_is_eaten_first() -> None:
    """A week eats the mizuna that spoils with it and leaves the older lettuce for the next."""
    garden = make_garden(replace(SALAD, from_on=day(7)))
    lettuce = replace(LETTUCE, keeps_days=18)
    batches = (reaped((0, 100.0)), reaped((7, 100.0), crop="mizuna", number=2))
    found = measure(
        replace(garden, crops={**garden.crops, "lettuce": lettuce}), batches, START, START, 3, START, {"salad": START}
    )
    assert column(found, "served") == [0.0, 100.0, 100.0]


def test_nothing_is_held_back() -> None:
    """A week eats all it wants even where a later week would then go short."""
    assert column(measured(make_garden(), reaped((0, 120.0))), "served") == pytest.approx([100.0, 20.0, 0.0])


def test_heads_are_counted_as_plants_and_eaten_in_parts() -> None:
    """A want of two heads with five days at home wants ten sevenths of a head, and eats that much."""
    heads = Want(name="heads", unit="heads", amount=2.0, servings=(Serving(crop="lettuce"),))
    garden = make_garden(heads, weeks=2, away=(Away(from_on=day(5), back_on=day(7)),))
    found = measured(garden, reaped((0, 600.0), want="heads", plants=3))
    assert column(found, "harvested", "heads") == [3.0, 0.0]
    assert column(found, "served", "heads") == pytest.approx([10 / 7, 11 / 7])
    spoiled = measured(garden, reaped((0, 1000.0), want="heads", plants=5))
    assert column(spoiled, "surplus", "heads") == pytest.approx([11 / 7, 0.0])
    assert spoiled.surplus_grams == pytest.approx(11 / 7 * 200)


def test_crops_are_told_apart_in_a_week() -> None:
    """What was harvested in a week is split by crop."""
    found = measured(make_garden(), reaped((0, 70.0)), reaped((3, 20.0), (6, 10.0), crop="mizuna", number=2))
    assert found.weeks[0].wants[0].by_crop == (("lettuce", 70.0), ("mizuna", 30.0))


def test_harvests_before_the_planned_weeks_serve_what_is_left_of_them() -> None:
    """Of 180 g cut last week, last week ate 100 g and this week has the rest; the measure of a week stays as it was."""
    garden, batch = make_garden(), reaped((0, 180.0))
    found = measured(garden, batch, from_on=day(7))
    assert column(found, "served") == [80.0, 0.0, 0.0]
    assert column(found, "harvested") == [0.0, 0.0, 0.0]
    (left,) = carried_over(garden, SALAD, [batch], START, day(7))
    assert (left.crop, left.week, left.last_week, left.amount) == ("lettuce", 0, 1, 80.0)
    assert measured(garden, batch).weeks[1:] == found.weeks[:2]


def test_harvests_of_the_tail_are_left_out() -> None:
    """A harvest after the last planned week is in no week and no surplus."""
    found = measured(make_garden(), reaped((21, 500.0), crop="mizuna"))
    assert column(found, "harvested") == [0.0, 0.0, 0.0]
    assert found.surplus_grams == 0.0


def test_weeks_out_of_reach_count_only_in_the_share_of_all_weeks() -> None:
    """A week is in reach from the one that ends after the earliest harvest, and never without one."""
    batch = reaped((7, 100.0), (14, 100.0), crop="mizuna")
    on_the_last_day = measured(make_garden(), batch, in_reach_from={"salad": day(13)})
    assert column(on_the_last_day, "in_reach") == [False, True, True]
    assert on_the_last_day.served_share == 1.0
    assert on_the_last_day.all_weeks == pytest.approx(2 / 3)
    assert column(measured(make_garden(), batch, in_reach_from={"salad": day(7)}), "in_reach") == [False, True, True]
    assert column(measured(make_garden(), batch, in_reach_from={"salad": day(6)}), "in_reach") == [True, True, True]
    never = measured(make_garden(), batch, in_reach_from={"salad": None})
    assert column(never, "in_reach") == [False, False, False]
    assert (never.served_share, never.deep_gaps) == (1.0, 0)


def test_a_deep_gap_is_under_half() -> None:
    """A week served exactly half is no deep gap, one served a little less is."""
    found = measured(make_garden(), reaped((0, 50.0), (7, 49.9), (14, 100.0), crop="mizuna"))
    assert found.deep_gaps == 1


def test_work_is_counted_from_today_within_the_planned_weeks() -> None:
    """Sowings are crops on days, and days with work are those of a sowing, a transplant or a harvest."""
    first = replace(reaped((14, 10.0)), sown_on=day(0), transplanted_on=day(7))
    same_sowing = replace(reaped((14, 10.0), number=2), sown_on=day(0), transplanted_on=day(8))
    other_crop = replace(
        reaped((35, 10.0), crop="mizuna", number=3), sown_on=day(0), transplanted_on=day(8), state="sown"
    )
    begun = replace(reaped((1, 10.0), number=4), state="transplanted")
    tail = replace(reaped((40, 10.0), number=5), sown_on=day(21), transplanted_on=day(30))
    found = measured(make_garden(), first, same_sowing, other_crop, begun, tail)
    assert (found.sowings, found.sowing_days) == (2, 1)
    assert found.work_days == len({0, 1, 7, 8, 14})


def test_planned_weeks_begin_with_the_week_of_today() -> None:
    """The first planned week holds today, or the garden's start where that is still to come."""
    garden = make_garden()
    assert week_starts(garden, START, day(20)) == (day(14), day(21), day(28))
    assert week_starts(garden, START, day(-20)) == (day(0), day(7), day(14))


def test_planned_weeks_are_cut_at_clear_by() -> None:
    """A week that begins before the garden must be clear counts, one that begins that day does not."""
    assert week_starts(make_garden(clear_by=day(8)), START, START) == (day(0), day(7))
    assert week_starts(make_garden(clear_by=day(7)), START, START) == (day(0),)
    assert len(measured(make_garden(clear_by=day(7))).weeks) == 1
    over = measured(make_garden(clear_by=START), reaped((0, 100.0)))
    assert (over.weeks, over.served_share, over.surplus_grams) == ((), 1.0, 0.0)


def make_plan() -> Plan:
    """Make a plan with a begun, a lost and a planned batch."""
    lost = replace(
        reaped((0, 5.0), number=2), state="lost", holes=(), transplanted_on=None, cleared_on=None, harvests=()
    )
    stay = Stay(tote="B", place="shelf", from_on=day(-40), until_on=day(-9))
    moved = replace(reaped((0, 120.0)), state="transplanted", recorded=("moved",), earlier=(stay,))
    batches = (moved, lost, reaped((14, 33.3), crop="mizuna", number=3))
    proof = a_proof(
        served_share=0.956,
        best_share=0.964,
        bound_share=0.969,
        served_share_all_weeks=0.71,
        status="time limit",
        seconds=4.1,
        deep_gaps=2,
        sowings=24,
        best_sowings=41,
    )
    return a_plan(
        *batches,
        garden="Kjøkken",
        uuid="7f",
        made_on=day(1),
        until_on=day(21),
        proof=proof,
        weeks=measured(make_garden(), *batches).weeks,
        notes=("Arugula is held to 60 %.",),
        fingerprint="abc",
    )


def test_a_plan_comes_back_from_its_json_as_it_was() -> None:
    """Text and back again gives an equal plan."""
    plan = make_plan()
    assert from_json(json.loads(json.dumps(to_json(plan)))) == plan


def test_json_has_the_agreed_keys() -> None:
    """The keys are those of the file format in the design, with `from` and `until` for the span."""
    data = to_json(make_plan())
    assert (data["version"], data["from"], data["until"]) == (1, "2026-10-03", "2026-10-24")
    assert data["batches"][1]["transplanted_on"] is None
    assert data["batches"][1]["holes"] == []
    assert list(data["batches"][2]) == [
        *("id", "crop", "want", "place", "tote", "holes", "plants", "cells", "seeds", "state"),
        *("sown_on", "emerges_on", "transplanted_on", "cleared_on", "harvests"),
    ]
    assert list(data["batches"][0]["harvests"][0]) == ["on", "latest_on", "kind", "number", "holes", "plants", "grams"]
    assert list(data["weeks"][0]["wants"]["salad"]) == [
        *("unit", "wanted", "harvested", "served", "surplus", "in_reach", "by_crop"),
    ]


def test_a_plan_is_saved_and_loaded(tmp_path: Path) -> None:
    """A folder without a plan gives none, and a saved plan comes back equal, with nothing left beside it."""
    assert load(tmp_path) is None
    save(make_plan(), tmp_path)
    assert load(tmp_path) == make_plan()
    assert [path.name for path in tmp_path.iterdir()] == ["plan.json"]


def test_a_save_that_fails_leaves_the_old_plan(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """If the last step fails, the plan in force is untouched and no part of the new one stays."""
    save(make_plan(), tmp_path)

    def fail(*paths: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "replace", fail)
    with pytest.raises(InputFaults, match=r"plan\.json: it could not be written and is left as.*Make room there"):
        save(replace(make_plan(), garden="New"), tmp_path)
    assert load(tmp_path) == make_plan()
    assert [path.name for path in tmp_path.iterdir()] == ["plan.json"]


def test_the_new_plan_is_on_disk_before_it_replaces_the_old(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The whole text is flushed to disk in the same folder before it takes the name of the plan."""
    steps: list[str] = []
    really_sync, really_replace = os.fsync, os.replace

    def sync(descriptor: int) -> None:
        steps.append("sync")
        really_sync(descriptor)

    def swap(source: Path, target: Path) -> None:
        steps.append("replace")
        assert source.parent == target.parent
        assert from_json(json.loads(source.read_text(encoding="utf-8"))) == make_plan()
        really_replace(source, target)

    monkeypatch.setattr(os, "fsync", sync)
    monkeypatch.setattr(os, "replace", swap)
    save(make_plan(), tmp_path)
    assert steps[:2] == ["sync", "replace"]


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        ('{"version": 1, "garden": "x"', "cut short"),
        ('{"version": 1}', "'garden' is missing"),
        ('{"version": 9}', "version 9 is not known"),
        ("[]", "does not hold what a plan holds"),
    ],
)
def test_a_broken_plan_file_is_a_fault_that_says_what_to_do(tmp_path: Path, text: str, wrong: str) -> None:
    """A plan file that cannot be read names itself, what is wrong and the way out."""
    (tmp_path / "plan.json").write_text(text, encoding="utf-8")
    with pytest.raises(InputFaults, match=f"plan.json.*{wrong}.*steadysow plan"):
        load(tmp_path)


def test_a_plan_file_with_an_unknown_state_is_a_fault(tmp_path: Path) -> None:
    """A state that is no state is told, not taken over."""
    data = to_json(make_plan())
    data["batches"][0]["state"] = "wilted"
    (tmp_path / "plan.json").write_text(json.dumps(data), encoding="utf-8")
    with pytest.raises(InputFaults, match="'wilted' is none of planned, sown"):
        load(tmp_path)


def test_a_plan_file_that_is_no_text_is_a_fault(tmp_path: Path) -> None:
    """Bytes that are no text are told as such."""
    (tmp_path / "plan.json").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(InputFaults, match="it is not text"):
        load(tmp_path)
