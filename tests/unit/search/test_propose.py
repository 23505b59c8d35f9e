"""Candidates of gardens in which they are counted on the fingers, or found by the second opinion day by day.

A crop of `tiny` waits a week in the nursery and is harvested a week later, all on Saturdays, if nothing else is said.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest

from planted import planted
from steadysow.check.verify import verify
from steadysow.inputs.crops import Bolting, Crop, System
from steadysow.inputs.garden import Away, Garden, Lamp, Stand, Tote
from steadysow.plan.batch import Batch, Harvest
from steadysow.search.candidates import Candidates, Sowing, Turnaround
from steadysow.search.propose import MOST_TAIL_WEEKS, propose, tail_weeks
from steadysow.standing.batch_life import Freed
from steadysow.standing.standing import Rest, Standing
from tiny import NOTHING_BEGUN, SATURDAY, START, WEDNESDAY, day, make_crop, make_garden, make_tote, make_want, proposed

from .by_hand import begun_batch, with_crops

HEAD = make_crop(lid_holes=2)
CHARD = make_crop("chard", "cut", between_days=7, grams=(60.0, 50.0), lid_holes=2)
ONE = (make_tote("A", 2),)


def garden_of(crop: Crop, *, totes: tuple[Tote, ...] = ONE, weeks: int = 4, **habits: object) -> Garden:
    """Make a garden of one crop."""
    return make_garden(totes, [make_want([crop], 2)], weeks=weeks, **habits)  # type: ignore[arg-type]


def sowings_of(candidates: Candidates) -> list[tuple[int, int]]:
    """Give the days of sowing and transplant."""
    return [(sowing.sown_day, sowing.transplant_day) for sowing in candidates.sowings]


def steps_of(candidates: Candidates) -> list[tuple[int, int, int]]:
    """Give the number, first and last day of each step."""
    return [(step.number, step.from_day, step.to_day) for step in candidates.steps]


def test_heads_of_four_weeks() -> None:
    """Sown on day 0 or 7, a head is harvested on day 14 or 21; later ones would be ready after the span."""
    candidates, _ = proposed(garden_of(HEAD), [HEAD])

    assert sowings_of(candidates) == [(0, 7), (7, 14)]
    assert steps_of(candidates) == [(1, 7, 14), (1, 14, 21)]
    assert [step.grams for step in candidates.steps] == [100.0, 100.0]


def test_heads_that_hold_are_harvested_on_any_harvest_day() -> None:
    """A head that holds for eight days may be taken on two Saturdays; the last day of each is the eighth."""
    patient = replace(HEAD, harvest=replace(HEAD.harvest, window_days=8))
    candidates, _ = proposed(garden_of(patient), [patient])

    assert steps_of(candidates) == [(1, 7, 14), (1, 7, 21), (1, 14, 21)]
    assert [step.latest_day for step in candidates.steps] == [21, 21, 28]


def test_cuts_follow_each_other() -> None:
    """A second cut is due a week after the first, whenever that was; a plant gives no third."""
    candidates, _ = proposed(garden_of(CHARD, weeks=5), [CHARD])

    assert steps_of(candidates) == [(1, 7, 14), (2, 14, 21), (1, 14, 21), (2, 21, 28), (1, 21, 28)]
    assert {step.number: step.grams for step in candidates.steps} == {1: 60.0, 2: 50.0}


def test_seedlings_that_may_wait_are_planted_on_several_days() -> None:
    """Seedlings that may stay in the nursery for two weeks can be planted on the second and the third Saturday."""
    patient = replace(HEAD, nursery_days=(7, 14))
    candidates, _ = proposed(garden_of(patient), [patient])

    assert sowings_of(candidates) == [(0, 7), (0, 14), (7, 14)]


def test_nothing_is_done_while_away() -> None:
    """On a Saturday away nothing is sown, planted or harvested, so all that is proposed begins after the journey."""
    candidates, _ = proposed(garden_of(HEAD, weeks=6, away=(Away(from_on=day(12), back_on=day(17)),)), [HEAD])

    assert 14 not in candidates.chore_days
    # Sown on day 0 the head would be due on day 14, sown on day 7 it would be planted then.
    assert sowings_of(candidates) == [(21, 28)]
    assert steps_of(candidates) == [(1, 28, 35)]


def test_sown_in_its_pot_a_crop_is_planted_the_same_day() -> None:
    """A crop sown in its pot skips the nursery."""
    direct = make_crop(sown_in="pot", first_days=14, lid_holes=2)
    candidates, _ = proposed(garden_of(direct), [direct])

    assert sowings_of(candidates) == [(0, 0), (7, 7)]


def test_every_plant_comes_from_somewhere() -> None:
    """Each step of a new plant starts from a transplant that is a candidate, or from the harvest of another step."""
    crop = make_crop("chard", "cut", nursery_days=(7, 14), between_days=5, window_days=6, grams=(30.0,) * 3)
    garden = garden_of(crop, weeks=8, chore_days=(WEDNESDAY, SATURDAY), harvest_days=(WEDNESDAY, SATURDAY))
    candidates, _ = proposed(garden, [crop])
    planted_days = {sowing.transplant_day for sowing in candidates.sowings}
    ends = {step.end for step in candidates.steps}

    assert len(candidates.steps) > 40
    for step in candidates.steps:
        assert step.from_day in planted_days if step.after == 0 else step.start in ends


# Sowing, days in the nursery and days in the tote that are tried, about the days that a profile names.
SOWN, RAISED, GROWN = range(8), range(5, 13), range(5, 12)


def test_candidates_are_just_what_the_second_opinion_allows() -> None:
    """For every day about its own, sowing and step of a head are candidates just where no rule of days is broken."""
    crop = replace(HEAD, nursery_days=(7, 11), harvest=replace(HEAD.harvest, window_days=4))
    garden = garden_of(crop, weeks=6, chore_days=(WEDNESDAY, SATURDAY), harvest_days=(WEDNESDAY, SATURDAY))
    candidates, _ = proposed(garden, [crop])
    sowings = set(sowings_of(candidates))
    steps = {(step.from_day, step.to_day) for step in candidates.steps}
    allowed = set()
    for sown, raised, grown in product(SOWN, RAISED, GROWN):
        enters, leaves = sown + raised, sown + raised + grown
        batch = replace(planted("A", enters, leaves, crop=crop), sown_on=day(sown), emerges_on=day(sown + 1))
        broken = {breach.rule for breach in verify(candidates.garden, [batch], today=START, starts_on=START)}
        # The last day shown to a person does not decide which days are possible.
        if not {rule for rule in broken if not rule.startswith("latest day")}:
            allowed.add((sown, enters, leaves))
        is_candidate = (sown, enters) in sowings and (enters, leaves) in steps
        assert is_candidate == ((sown, enters, leaves) in allowed), (sown, enters, leaves, broken)

    assert len(allowed) > 3


# --- totes ---


def test_alike_totes_are_counted_together_or_one_by_one() -> None:
    """Two alike totes make a group and a third of another size its own; asked for, each tote is its own."""
    totes = (make_tote("A", 2), make_tote("B", 3), make_tote("C", 2))

    together, _ = proposed(garden_of(HEAD, totes=totes), [HEAD])
    one_by_one, _ = proposed(garden_of(HEAD, totes=totes), [HEAD], by_tote=True)

    assert [group.totes for group in together.groups] == [("A", "C"), ("B",)]
    assert [group.totes for group in one_by_one.groups] == [("A",), ("B",), ("C",)]
    assert [group.carried for group in together.groups] == [{"cress": 2}, {"cress": 2}]


WIDE, WEAK, STRONG = (
    make_crop("wide", lid_holes=1),
    make_crop("weak", ec=(0.6, 1.0)),
    make_crop("strong", ec=(1.8, 2.4)),
)


@pytest.mark.parametrize(
    ("crops", "system", "holes", "is_exact"),
    [
        ([HEAD], "dwc", 2, True),
        # A hole to spare is in turnaround or not, tote by tote.
        ([HEAD], "dwc", 3, False),
        ([HEAD], "kratky", 3, True),
        ([HEAD, WIDE], "dwc", 2, False),
        ([WEAK, STRONG], "dwc", 4, False),
        # In totes of one plant no two crops meet.
        ([WEAK, STRONG], "dwc", 1, True),
    ],
    ids=["full lids", "spare holes", "still", "two sizes", "two reservoirs", "one hole"],
)
def test_group_says_whether_counting_together_is_exact(
    crops: list[Crop], system: System, holes: int, is_exact: bool
) -> None:
    """Two totes are counted together exactly only if all plants are of one size, fill the lid, and may meet."""
    totes = [replace(make_tote(name, holes), system=system) for name in "AB"]
    garden = make_garden(totes, [make_want(crops, 2)], weeks=4)

    together, _ = proposed(garden, crops)
    one_by_one, _ = proposed(garden, crops, by_tote=True)

    assert [group.is_uniform for group in together.groups] == [is_exact]
    assert all(group.is_uniform for group in one_by_one.groups)


def test_resting_tote_takes_no_plant() -> None:
    """A tote that rests from day 10 to day 20 holds no plant between; what stays until day 10 only is not planted."""
    rest = Rest(tote="A", from_on=day(10), until_on=day(20))
    candidates, _ = proposed(garden_of(HEAD, weeks=6), [HEAD], Standing(rests=(rest,)))

    (group,) = candidates.groups
    assert [(spell.from_day, spell.until_day) for spell in group.spells] == [(0, 10), (20, 42)]
    assert steps_of(candidates) == [(1, 21, 28), (1, 28, 35)]


def test_season_ends_with_empty_totes() -> None:
    """Nothing stands past the day by which every tote must be empty; a harvest on that day is the last."""
    candidates, _ = proposed(garden_of(HEAD, weeks=6, clear_by=day(21)), [HEAD])

    assert steps_of(candidates) == [(1, 7, 14), (1, 14, 21)]


def test_plants_that_may_bolt_are_counted_by_their_transplant() -> None:
    """Where plants may bolt, or all enter a still tote together, a step knows the day of transplant; otherwise not."""
    bolter = replace(
        CHARD, growth=replace(CHARD.growth, bolting=Bolting(after_days=15, longest_day_hours=14.0, above_c=None))
    )
    still = (make_tote("A", 2, "kratky"),)
    garden = garden_of(bolter, weeks=6)
    long_days = replace(garden, places=(replace(garden.places[0], lamp=Lamp(dli_mol=12.0, hours=16.0)),))

    entered = {
        name: {step.entered_day for step in proposed(each, [crop])[0].steps if step.from_day in (7, 14)} - {14}
        for name, each, crop in (
            ("steady", garden_of(CHARD, weeks=6), CHARD),
            ("still", garden_of(CHARD, weeks=6, totes=still), CHARD),
            ("bolting", long_days, bolter),
        )
    }

    assert entered == {"steady": {-1}, "still": {7}, "bolting": {7}}


def test_plant_that_has_bolted_gives_no_second_cut() -> None:
    """After nine long days from day 7 on, a second cut on day 21 is too late."""
    bolter = replace(
        CHARD, growth=replace(CHARD.growth, bolting=Bolting(after_days=9, longest_day_hours=14.0, above_c=None))
    )
    garden = garden_of(bolter, weeks=5)
    long_days = replace(garden, places=(replace(garden.places[0], lamp=Lamp(dli_mol=12.0, hours=16.0)),))

    candidates, _ = proposed(long_days, [bolter])

    assert {step.number for step in candidates.steps} == {1}


# --- begun batches ---


def test_batch_that_stands_goes_on_or_is_cleared() -> None:
    """Chard planted a week ago is cut today, or cleared on the first day at home from tomorrow on."""
    batch = begun_batch(CHARD, sown=-14, plants=2, planted=-7)
    candidates, _ = proposed(garden_of(CHARD, weeks=2), [CHARD], Standing(begun=(batch,), next_id=8))

    begun = [step for step in candidates.steps if step.begun == 0]
    assert [(step.number, step.from_day, step.to_day) for step in begun] == [(0, -7, 0), (1, -7, 0), (2, 0, 7)]
    assert {step.entered_day for step in begun} == {-7}


def test_batch_that_has_been_cut_goes_on_from_its_last_cut() -> None:
    """After a cut four days ago, the second is due in three, and taken on the next Saturday within its days."""
    cut = Harvest(on=day(-4), latest_on=day(-4), kind="cut", number=1, holes=(1, 2), plants=2, grams=120.0)
    batch = begun_batch(CHARD, sown=-18, plants=2, planted=-11, harvests=(cut,))
    candidates, _ = proposed(garden_of(CHARD, weeks=2), [CHARD], Standing(begun=(batch,), next_id=8))

    begun = [step for step in candidates.steps if step.begun == 0]
    assert [(step.after, step.number, step.from_day, step.to_day) for step in begun] == [(1, 0, -4, 0), (1, 2, -4, 7)]


def test_late_head_is_harvested_on_the_first_harvest_day() -> None:
    """A head that was due a week ago, and holds for a day only, may still be taken today."""
    batch = begun_batch(HEAD, sown=-21, plants=1, planted=-14)
    candidates, _ = proposed(garden_of(HEAD, weeks=2), [HEAD], Standing(begun=(batch,), next_id=8))

    assert [(step.number, step.to_day) for step in candidates.steps if step.begun == 0] == [(0, 0), (1, 0)]


def test_waiting_batch_goes_into_any_tote_that_takes_all_of_it() -> None:
    """Two seedlings sown a week ago fit into tote A, not into tote B with its single hole."""
    batch = begun_batch(HEAD, sown=-7, plants=2)
    totes = (make_tote("A", 2), make_tote("B", 1))
    candidates, _ = proposed(garden_of(HEAD, totes=totes, weeks=2), [HEAD], Standing(begun=(batch,), next_id=8))

    begun = [step for step in candidates.steps if step.begun == 0]
    assert {candidates.groups[step.group].totes for step in begun} == {("A",)}
    assert [(step.number, step.from_day, step.to_day) for step in begun] == [(0, 0, 1), (1, 0, 7)]


def test_waiting_batch_counts_from_the_emergence_that_was_seen() -> None:
    """Seedlings recorded to have emerged three days late are ready three days later, so planted a Saturday later."""
    patient = replace(HEAD, nursery_days=(7, 11))
    batch = begun_batch(patient, sown=-7, plants=2)
    late = replace(batch, emerges_on=day(-3), recorded=("sown", "emerged"))

    def planted_on(waiting: Batch) -> set[int]:
        standing = Standing(begun=(waiting,), next_id=8)
        candidates, _ = proposed(garden_of(patient, weeks=3), [patient], standing)
        return {step.from_day for step in candidates.steps if step.begun == 0}

    assert (planted_on(batch), planted_on(late)) == ({0}, {7})


def test_batch_for_a_dropped_want_goes_on() -> None:
    """A begun batch for a want that the file no longer has keeps its steps, and nothing new is sown for it."""
    batch = replace(begun_batch(HEAD, sown=-14, plants=1, planted=-7), want="gone")
    candidates, _ = proposed(garden_of(HEAD), [HEAD], Standing(begun=(batch,), next_id=8))

    gone = next(i for i, line in enumerate(candidates.lines) if line.want == "gone")
    assert any(step.line == gone for step in candidates.steps)
    assert not any(sowing.line == gone for sowing in candidates.sowings)


def test_holes_of_the_day_before_are_in_turnaround() -> None:
    """Of holes emptied yesterday or lost today, each is free again after the turnaround; older ones are free."""
    taken = Harvest(on=day(-1), latest_on=day(-1), kind="head", number=1, holes=(1,), plants=1, grams=100.0)
    old = Harvest(on=day(-7), latest_on=day(-7), kind="head", number=1, holes=(1,), plants=1, grams=100.0)
    done = [
        replace(
            begun_batch(HEAD, sown=-21, plants=1, planted=-14, number=number, tote=tote, harvests=(harvest,)),
            state="done",
            cleared_on=harvest.on,
        )
        for number, tote, harvest in ((7, "A", taken), (8, "B", old))
    ]
    freed = Freed(tote="B", hole=2, on=START)
    garden = garden_of(HEAD, totes=(make_tote("A", 2), make_tote("B", 2)), turnaround_days=3)
    candidates, _ = proposed(garden, [HEAD], Standing(begun=tuple(done), next_id=9, freed=(freed,)))

    assert set(candidates.turnarounds) == {
        Turnaround(tote="A", hole=1, until_day=2),
        Turnaround(tote="B", hole=2, until_day=3),
    }


def test_next_sowing_keeps_its_distance_from_the_last() -> None:
    """Ten days after a sowing of five days ago, the first Saturday is day 7; more of today's sowing is no new one."""
    five_days_ago = Standing(begun=(begun_batch(HEAD, sown=-5, plants=1),), next_id=8)
    today = Standing(begun=(begun_batch(HEAD, sown=0, plants=1),), next_id=8)
    garden = garden_of(HEAD, weeks=3, every_days=10)

    assert proposed(garden, [HEAD], five_days_ago)[0].sowing_days == (7, 14)
    after_today, _ = proposed(garden, [HEAD], today)
    assert after_today.sowing_days == (0, 14)
    assert after_today.sown_today == {"cress": 1}


# --- weeks ---


def test_reach_is_the_first_possible_harvest() -> None:
    """A head sown today is ready on day 14; one that stands already, today; one that never fits, never."""
    slow = make_crop("slow", first_days=60)
    wants = [make_want([HEAD], 1), make_want([slow], 1, name="pan")]
    garden = make_garden(ONE, wants, weeks=4)
    stands = Standing(begun=(begun_batch(HEAD, sown=-14, plants=1, planted=-7),), next_id=8)

    assert proposed(garden, [HEAD, slow])[0].reach == {"salad": 14, "pan": None}
    assert proposed(garden, [HEAD, slow], stands)[0].reach == {"salad": 0, "pan": None}


def test_minutes_that_nobody_can_save_are_counted() -> None:
    """Two heads sown today took 5 minutes and 1 for their cells; with no limit nothing is counted."""
    standing = Standing(begun=(begun_batch(HEAD, sown=0, plants=2),), next_id=8)

    assert proposed(garden_of(HEAD, chore_minutes_a_week=60.0), [HEAD], standing)[0].spent == {0: 6.0}
    assert proposed(garden_of(HEAD), [HEAD], standing)[0].spent == {}


def test_minutes_of_a_batch_that_cannot_go_on_are_those_to_clear_it() -> None:
    """A head whose tote has been moved away cannot go on: it is cleared today, in a minute, after no more upkeep."""
    batch = begun_batch(HEAD, sown=-14, plants=1, planted=-7)
    garden = garden_of(HEAD, chore_minutes_a_week=60.0)
    yard = replace(garden.places[0], name="yard")
    moved = replace(
        garden, places=(*garden.places, yard), totes=(replace(garden.totes[0], stands=(Stand(place="yard"),)),)
    )
    candidates, _ = proposed(moved, [HEAD], Standing(begun=(batch,), next_id=8))

    assert not any(step.begun == 0 for step in candidates.steps)
    assert candidates.spent[0] == pytest.approx(1.0)


@pytest.mark.parametrize(("first_days", "weeks"), [(7, 2), (8, 3), (14, 3), (300, MOST_TAIL_WEEKS)])
def test_tail_is_as_long_as_the_slowest_greens(first_days: int, weeks: int) -> None:
    """From seed a head takes a week and its days, in whole weeks; what takes most of a year makes no longer tail."""
    crop = make_crop(first_days=first_days)

    assert tail_weeks(with_crops(garden_of(crop), crop), START) == weeks


def test_season_that_ends_and_slow_fruit_make_no_tail() -> None:
    """A garden that is cleared has no tail, and fruit does not make it longer."""
    fruit = make_crop("tomato", "pick", first_days=70, between_days=7, grams=(50.0,) * 3)
    garden = make_garden(ONE, [make_want([HEAD, fruit], 1, unit="g")], weeks=4)

    assert tail_weeks(with_crops(replace(garden, clear_by=day(28)), HEAD, fruit), START) == 0
    assert tail_weeks(with_crops(garden, HEAD, fruit), START) == 2


def test_nothing_is_proposed_before_today() -> None:
    """On the ninth day nothing is sown, planted or harvested before it."""
    garden = with_crops(garden_of(HEAD, weeks=6), HEAD)
    candidates = propose(garden, NOTHING_BEGUN, first_on=START, today=day(9), days=42)

    assert candidates.today == 9
    assert candidates.sowings[0] == Sowing(line=0, sown_day=14, transplant_day=21)
    assert min(step.from_day for step in candidates.steps) == 21
