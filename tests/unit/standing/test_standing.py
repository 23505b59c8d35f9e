"""What stands today, and batches that the garden file knows no more; days counted by hand."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from steadysow.errors import InputFaults
from steadysow.inputs.garden import Garden, Want
from steadysow.inputs.garden_file import read_garden
from steadysow.inputs.journal import Fact, FactKind, Journal
from steadysow.plan.batch import Batch, Harvest
from steadysow.plan.plan import Plan, Proof
from steadysow.standing.standing import (
    Rest,
    Standing,
    is_known,
    plan_as_recorded,
    standing_as_recorded,
    standing_from,
    strangers,
)
from tiny import make_crop

GARDEN_FOLDER = Path(__file__).parents[2] / "gardens" / "two-totes"
SOWN_ON = date(2026, 10, 3)
PLANTED_ON = date(2026, 10, 17)
CUTS_ON = (date(2026, 11, 7), date(2026, 11, 21))


@pytest.fixture(scope="module")
def read() -> Garden:
    """Give the small garden and the shipped crops."""
    return read_garden(GARDEN_FOLDER)


@pytest.fixture
def batch() -> Batch:
    """Give a batch of mizuna in tote B, cut twice."""
    cuts = tuple(
        Harvest(on=on, latest_on=on, kind="cut", number=number, holes=(1, 2), plants=2, grams=40.0)
        for number, on in enumerate(CUTS_ON, start=1)
    )
    return Batch(
        id=7,
        crop="mizuna",
        want="salad",
        place="shelf",
        tote="B",
        holes=(1, 2),
        plants=2,
        cells=3,
        seeds=9,
        state="planned",
        sown_on=SOWN_ON,
        emerges_on=date(2026, 10, 5),
        transplanted_on=PLANTED_ON,
        cleared_on=CUTS_ON[-1],
        harvests=cuts,
    )


@pytest.fixture
def plan(batch: Batch) -> Plan:
    """Give a plan of that one batch."""
    return Plan(
        garden="Two totes",
        uuid="6f0a3a54-2f5e-4c8e-9d3e-0f6c1f0f3f01",
        starts_on=SOWN_ON,
        made_on=SOWN_ON,
        from_on=SOWN_ON,
        until_on=date(2026, 11, 28),
        proof=Proof(
            served_share=1.0,
            best_share=1.0,
            bound_share=1.0,
            served_share_all_weeks=0.5,
            status="optimal",
            seconds=1.0,
            deep_gaps=0,
            sowings=1,
            best_sowings=1,
        ),
        batches=(batch,),
        weeks=(),
    )


def test_nothing_stands_in_a_new_garden() -> None:
    """Without a plan nothing has begun, and numbers count from 1."""
    standing = standing_from(None, SOWN_ON)
    assert (standing.begun, standing.next_id) == ((), 1)


@pytest.mark.parametrize(
    ("today", "state", "harvests"),
    [
        (date(2026, 10, 4), "sown", 0),
        (PLANTED_ON, "sown", 0),
        (date(2026, 10, 18), "transplanted", 0),
        (date(2026, 11, 8), "transplanted", 1),
        (CUTS_ON[-1], "transplanted", 1),
        (date(2026, 11, 22), "done", 2),
    ],
)
def test_what_lies_before_today_has_happened(plan: Plan, today: date, state: str, harvests: int) -> None:
    """A batch is as far as its days before today; what is planned for today is not done yet."""
    (begun,) = standing_from(plan, today).begun
    assert (begun.state, len(begun.harvests)) == (state, harvests)


def test_what_is_sown_today_has_not_begun(plan: Plan) -> None:
    """A sowing planned for today can still be changed, but its number is not given away."""
    standing = standing_from(plan, SOWN_ON)
    assert (standing.begun, standing.next_id) == ((), 8)


def without_crop(garden: Garden) -> Garden:
    """Take mizuna out of the salad."""
    salad: Want = garden.wants[0]
    return replace(garden, wants=(replace(salad, servings=(replace(salad.servings[0], crop="kale"),)),))


@pytest.mark.parametrize(
    ("change", "missing"),
    [
        (lambda garden: replace(garden, totes=garden.totes[:1]), 'the tote "B"'),
        (lambda garden: replace(garden, totes=(replace(garden.totes[1], holes=1),)), "hole 2 of tote B"),
        (
            lambda garden: replace(garden, totes=(replace(garden.totes[1], inside_cm=(1.0, 1.0)),)),
            "a tote B that can hold mizuna",
        ),
        (lambda garden: replace(garden, places=()), 'the place "shelf"'),
        (without_crop, 'mizuna for the want "salad"'),
    ],
)
def test_batches_that_lost_their_place_are_told(
    read: Garden, batch: Batch, change: Callable[[Garden], Garden], missing: str
) -> None:
    """A begun batch whose tote, hole, room, place or want is gone is named, with what is missing and what to write."""
    garden = change(read)
    (fault,) = strangers(garden, (replace(batch, state="sown"),))
    assert str(fault) == (
        f"plan.json: batch 7 (mizuna, tote B, sown on 2026-10-03): the garden no longer has {missing}. "
        "Put it back, or delete plan.json to start over."
    )
    assert not is_known(garden, batch)


def test_an_unknown_crop_is_told(read: Garden, batch: Batch) -> None:
    """A begun batch of a crop without a profile is named once."""
    others = {name: crop for name, crop in read.crops.items() if name != "mizuna"}
    (fault,) = strangers(replace(read, crops=others), (replace(batch, state="transplanted"),))
    assert fault.wrong == 'the garden no longer has the crop "mizuna"'


def test_what_is_only_planned_can_be_planned_anew(read: Garden, batch: Batch) -> None:
    """Of a batch of which nothing has happened a new plan can take care."""
    (fault,) = strangers(replace(read, totes=read.totes[:1]), (batch,))
    assert fault.write == "Put it back, or run `steadysow plan`"


@pytest.mark.parametrize("state", ["done", "lost"])
def test_history_needs_no_place(read: Garden, batch: Batch, state: str) -> None:
    """What is over may name what the garden no longer has."""
    past = replace(batch, state=state)  # type: ignore[arg-type]
    assert strangers(replace(read, totes=read.totes[:1]), (past,)) == ()


def test_a_batch_in_its_place_is_no_stranger(read: Garden, batch: Batch) -> None:
    """A batch of which all is there raises nothing."""
    assert strangers(read, (replace(batch, state="sown"),)) == ()
    assert is_known(read, batch)


# What was told.

NOVEMBER_8 = date(2026, 11, 8)


def fact(kind: FactKind, on: date, **more: object) -> Fact:
    """Tell something of batch 7, unless it is told of which."""
    return replace(Fact(kind=kind, on=on, batch=7), **more)  # type: ignore[arg-type]


def sowing(**more: object) -> Fact:
    """Tell the sowing of batch 7 as planned."""
    told = fact(
        "sown", SOWN_ON, crop="mizuna", want="salad", place="shelf", tote="B", holes=(1, 2), plants=2, cells=3, seeds=9
    )
    return replace(told, **more)  # type: ignore[arg-type]


def planting(**more: object) -> Fact:
    """Tell the transplant of batch 7 as planned."""
    return replace(fact("transplanted", PLANTED_ON, tote="B", holes=(1, 2)), **more)  # type: ignore[arg-type]


def told(plan: Plan | None, today: date, read: Garden, *facts: Fact) -> Standing:
    """Say what stands by facts."""
    return standing_as_recorded(plan, today, Journal(facts=facts), garden=read)


def test_without_facts_what_stands_is_as_planned(plan: Plan, read: Garden) -> None:
    """A silent journal says no more than the plan, and so does a note, also of a batch that nobody knows."""
    silent = standing_from(plan, NOVEMBER_8)
    assert told(plan, NOVEMBER_8, read) == silent
    assert told(plan, NOVEMBER_8, read, fact("note", SOWN_ON), fact("note", SOWN_ON, batch=9)) == silent


def test_facts_of_later_days_are_left_out(plan: Plan, read: Garden) -> None:
    """As of the day before its loss, a batch stands."""
    facts = (sowing(), planting(), fact("lost", NOVEMBER_8))
    (before,) = told(plan, date(2026, 11, 7), read, *facts).begun
    (after,) = told(plan, NOVEMBER_8, read, *facts).begun
    assert (before.state, after.state) == ("transplanted", "lost")


def test_a_batch_sown_today_has_begun(plan: Plan, read: Garden) -> None:
    """On its day a sowing has happened once it is told, and not before."""
    assert told(plan, SOWN_ON, read).begun == ()
    (batch,) = told(plan, SOWN_ON, read, sowing()).begun
    assert (batch.state, batch.recorded) == ("sown", ("sown",))


def test_a_batch_is_built_from_facts_alone(read: Garden) -> None:
    """Without a plan, what was told stands, and numbers count on from it."""
    standing = told(None, NOVEMBER_8, read, sowing(), planting())
    (batch,) = standing.begun
    assert (batch.id, batch.crop, batch.tote, batch.holes, batch.state) == (7, "mizuna", "B", (1, 2), "transplanted")
    assert standing.next_id == 8


def test_a_sowing_that_was_taken_back_was_never_sown(plan: Plan, read: Garden) -> None:
    """A batch that the plan knows from a fact is gone with the fact; its number is not given away again."""
    known = replace(plan, batches=(replace(plan.batches[0], state="sown", recorded=("sown",)),))
    standing = told(known, NOVEMBER_8, read)
    assert (standing.begun, standing.next_id) == ((), 8)
    assert plan_as_recorded(known, standing, NOVEMBER_8).batches == ()


def test_faults_of_all_batches_are_told_at_once(plan: Plan, read: Garden) -> None:
    """A harvest in the nursery, a crop without a profile and a batch that nobody knows: three faults."""
    facts = (
        sowing(), fact("harvested", date(2026, 10, 10)), sowing(batch=8, crop="triffid"), fact("lost", SOWN_ON, batch=9)
    )  # fmt: skip
    with pytest.raises(InputFaults) as refused:
        told(plan, NOVEMBER_8, read, *facts)
    assert [fault.wrong for fault in refused.value.faults] == [
        "it had not been transplanted by then", "the garden no longer has triffid", "nothing tells what was sown"
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("facts", "rests"),
    [
        ([("resting", 3, None)], [(3, None)]),
        ([("resting", 3, 20)], [(3, 20)]),
        ([("resting", 3, 9)], []),
        ([("resting", 3, 20), ("back", 6, None)], []),
        ([("resting", 3, 20), ("back", 10, None)], []),
        ([("back", 3, None), ("resting", 5, 20)], [(5, 20)]),
        ([("resting", 3, None), ("back", 6, None), ("resting", 8, None)], [(8, None)]),
        ([("resting", 3, 20), ("resting", 5, 15)], [(5, 15)]),
    ],
    ids=["open", "until", "over", "back", "back today", "back before", "again", "said anew"],
)
def test_totes_rest_until_they_are_back(
    facts: list[tuple[FactKind, int, int | None]],
    rests: list[tuple[int, int | None]],
    read: Garden,
) -> None:
    """On 10 October: what rests and is not back; a day in October is not the last of a rest, but the first after."""
    said = [
        Fact(kind=kind, on=date(2026, 10, on), tote="B", until=date(2026, 10, until) if until else None)
        for kind, on, until in facts
    ]
    expected = tuple(
        Rest(tote="B", from_on=date(2026, 10, on), until_on=date(2026, 10, until) if until else date.max)
        for on, until in rests
    )
    assert told(None, date(2026, 10, 10), read, *said).rests == expected


# The plan with what was told.


def test_a_plan_of_which_nothing_was_told_keeps_its_days(plan: Plan, read: Garden) -> None:
    """After the first cut the second is still to come, and the batch is cleared with it."""
    (batch,) = plan_as_recorded(plan, told(plan, NOVEMBER_8, read), NOVEMBER_8).batches
    assert batch == replace(plan.batches[0], state="transplanted")


def test_what_is_still_to_come_is_of_the_plants_that_are_left(plan: Plan, read: Garden) -> None:
    """One of two lost: the second cut keeps its day and gives half of its 40 g."""
    facts = (sowing(), planting(), fact("lost", NOVEMBER_8, holes=(1,)))
    (batch,) = plan_as_recorded(plan, told(plan, NOVEMBER_8, read, *facts), NOVEMBER_8).batches
    assert (batch.plants, batch.holes, batch.cleared_on) == (1, (2,), CUTS_ON[1])
    assert [(each.on, each.holes, each.grams) for each in batch.harvests] == [
        (CUTS_ON[0], (1, 2), 40.0), (CUTS_ON[1], (2,), 20.0)
    ]  # fmt: skip


def test_what_is_gone_asks_for_nothing_more(plan: Plan, read: Garden) -> None:
    """A batch that was cleared after its first cut has no second."""
    facts = (sowing(), planting(), fact("cleared", NOVEMBER_8))
    (batch,) = plan_as_recorded(plan, told(plan, NOVEMBER_8, read, *facts), NOVEMBER_8).batches
    assert (batch.state, [each.on for each in batch.harvests]) == ("done", [CUTS_ON[0]])


def test_a_cut_taken_early_is_not_to_come(plan: Plan, read: Garden) -> None:
    """The second cut was taken on 18 November instead of 21: nothing is to come but clearing."""
    early = date(2026, 11, 18)
    facts = (sowing(), planting(), fact("harvested", early))
    (batch,) = plan_as_recorded(plan, told(plan, early, read, *facts), early).batches
    assert [each.on for each in batch.harvests] == [CUTS_ON[0], early]
    assert (batch.state, batch.cleared_on) == ("transplanted", CUTS_ON[1])


def test_what_is_overdue_is_for_today(plan: Plan, read: Garden) -> None:
    """Emerged 10 days late, it was not planted on 17 October: on the 20th all is 3 days later than planned."""
    today = date(2026, 10, 20)
    facts = (sowing(), fact("emerged", date(2026, 10, 15)))
    (batch,) = plan_as_recorded(plan, told(plan, today, read, *facts), today).batches
    assert (batch.state, batch.transplanted_on, batch.cleared_on) == ("sown", today, date(2026, 11, 24))
    assert [each.on for each in batch.harvests] == [date(2026, 11, 10), date(2026, 11, 24)]


def test_planted_into_other_holes_it_is_harvested_there(plan: Plan, read: Garden) -> None:
    """Planned for holes 1 and 2 and planted into 3 and 4."""
    facts = (sowing(), planting(holes=(3, 4)))
    (batch,) = plan_as_recorded(plan, told(plan, PLANTED_ON, read, *facts), PLANTED_ON).batches
    assert [(each.on, each.holes) for each in batch.harvests] == [(on, (3, 4)) for on in CUTS_ON]


def test_a_sowing_that_was_not_planned_is_in_the_plan(plan: Plan, read: Garden) -> None:
    """What was told and never planned is added to the batches."""
    standing = told(plan, NOVEMBER_8, read, sowing(batch=9, on=NOVEMBER_8))
    assert [batch.id for batch in plan_as_recorded(plan, standing, NOVEMBER_8).batches] == [7, 9]


def heads(plan: Plan) -> Plan:
    """Give the plan with lettuce in place of mizuna: a head on each of the two days, from holes 1 and 2."""
    batch = plan.batches[0]
    taken = tuple(
        replace(harvest, kind="head", holes=(number,), plants=1)
        for number, harvest in enumerate(batch.harvests, start=1)
    )
    return replace(plan, batches=(replace(batch, crop="lettuce", harvests=taken),))


def with_heads(read: Garden) -> Garden:
    """Give the garden and the crops, and a lettuce besides."""
    return replace(read, crops={**read.crops, "lettuce": make_crop("lettuce")})


@pytest.mark.parametrize(
    ("holes", "to_come"),
    [((1,), [(CUTS_ON[1], (2,))]), ((2,), [(date(2026, 11, 9), (1,))])],
    ids=["as planned", "the other one"],
)
def test_a_head_that_was_taken_leaves_the_harvest_of_the_other(
    plan: Plan, read: Garden, holes: tuple[int, ...], to_come: list[tuple[date, tuple[int]]]
) -> None:
    """A head told for 9 November: the other one keeps its day; if that was the 7th, it is for today."""
    today = date(2026, 11, 9)
    facts = (sowing(crop="lettuce"), planting(), fact("harvested", today, holes=holes))
    planned = heads(plan)
    (batch,) = plan_as_recorded(planned, told(planned, today, with_heads(read), *facts), today).batches
    assert [(each.on, each.holes) for each in batch.harvests] == [(today, holes), *to_come]
    assert [each.number for each in batch.harvests] == [1, 2]
    assert batch.cleared_on == to_come[-1][0]


def test_a_moved_batch_is_harvested_where_it_stands(plan: Plan, read: Garden) -> None:
    """Both heads moved to holes 2 and 3 of tote A: they are taken one after the other, as planned."""
    moved_on = date(2026, 10, 30)
    facts = (sowing(crop="lettuce"), planting(), fact("moved", moved_on, tote="A", holes=(2, 3)))
    planned = heads(plan)
    (batch,) = plan_as_recorded(planned, told(planned, moved_on, with_heads(read), *facts), moved_on).batches
    assert (batch.tote, batch.holes) == ("A", (2, 3))
    assert [(each.on, each.holes) for each in batch.harvests] == [(CUTS_ON[0], (2,)), (CUTS_ON[1], (3,))]


def test_what_the_plan_has_given_up_stays_given_up(plan: Plan, read: Garden) -> None:
    """Seedlings that the plan found no tote for ask for nothing."""
    lost = replace(
        plan.batches[0], state="lost", holes=(), transplanted_on=None, cleared_on=None, harvests=(), recorded=("sown",)
    )
    given_up = replace(plan, batches=(lost,))
    assert plan_as_recorded(given_up, told(given_up, NOVEMBER_8, read, sowing()), NOVEMBER_8).batches == (lost,)


def test_the_number_of_a_dropped_batch_is_not_given_again(plan: Plan, read: Garden) -> None:
    """Batch 12 was dropped by an earlier mending: the next one is 13, also where facts are told."""
    known = replace(plan, last_id=12)
    assert standing_from(known, NOVEMBER_8).next_id == 13
    assert told(known, NOVEMBER_8, read, sowing(), planting()).next_id == 13
