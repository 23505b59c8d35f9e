"""What stands today, and batches that no longer fit the garden file; days are counted by hand."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from builders import a_batch, a_harvest, a_plan, a_proof
from steadysow.errors import InputFaults
from steadysow.inputs.garden import Garden, Want
from steadysow.inputs.garden_file import read_garden
from steadysow.inputs.journal import Fact, FactKind, Journal
from steadysow.plan.batch import Batch
from steadysow.plan.plan import Plan
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
    """Give the small garden, with its crops."""
    return read_garden(GARDEN_FOLDER)


@pytest.fixture
def batch() -> Batch:
    """Give a batch of mizuna in tote B, cut twice."""
    cuts = tuple(a_harvest(on, (1, 2), "cut", number=number, grams=40.0) for number, on in enumerate(CUTS_ON, start=1))
    return a_batch(
        7,
        (1, 2),
        crop="mizuna",
        tote="B",
        cells=3,
        seeds=9,
        sown_on=SOWN_ON,
        emerges_on=date(2026, 10, 5),
        transplanted_on=PLANTED_ON,
        harvests=cuts,
    )


@pytest.fixture
def plan(batch: Batch) -> Plan:
    """Give a plan of that one batch."""
    proof = a_proof(served_share_all_weeks=0.5)
    return a_plan(batch, garden="Two totes", starts_on=SOWN_ON, until_on=date(2026, 11, 28), proof=proof)


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
def test_stages_before_today_have_happened(plan: Plan, today: date, state: str, harvests: int) -> None:
    """A stage planned for a day before today is done; one planned for today is not."""
    (begun,) = standing_from(plan, today).begun
    assert (begun.state, len(begun.harvests)) == (state, harvests)


def test_a_sowing_planned_for_today_has_not_begun(plan: Plan) -> None:
    """A sowing planned for today can still be changed, but its number is not given to another batch."""
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
def test_a_batch_that_lost_its_place_is_a_fault(
    read: Garden, batch: Batch, change: Callable[[Garden], Garden], missing: str
) -> None:
    """The fault names the begun batch, the tote, hole, room, place or want that is missing, and what to do."""
    garden = change(read)
    (fault,) = strangers(garden, (replace(batch, state="sown"),))
    assert str(fault) == (
        f"plan.json: batch 7 (mizuna, tote B, sown on Sat 3 Oct): the garden no longer has {missing}. "
        "Put it back, or delete plan.json to start over."
    )
    assert not is_known(garden, batch)


def test_an_unknown_crop_is_a_fault(read: Garden, batch: Batch) -> None:
    """A begun batch of a crop without a profile gives one fault."""
    others = {name: crop for name, crop in read.crops.items() if name != "mizuna"}
    (fault,) = strangers(replace(read, crops=others), (replace(batch, state="transplanted"),))
    assert fault.wrong == 'the garden no longer has the crop "mizuna"'


def test_a_planned_batch_can_be_planned_again(read: Garden, batch: Batch) -> None:
    """For a batch that has not begun, the remedy is a new plan."""
    (fault,) = strangers(replace(read, totes=read.totes[:1]), (batch,))
    assert fault.write == "Put it back, or run `steadysow plan`"


@pytest.mark.parametrize("state", ["done", "lost"])
def test_history_needs_no_place(read: Garden, batch: Batch, state: str) -> None:
    """A batch that is over may name a tote that the garden no longer has."""
    past = replace(batch, state=state)  # type: ignore[arg-type]
    assert strangers(replace(read, totes=read.totes[:1]), (past,)) == ()


def test_a_batch_in_its_place_is_no_stranger(read: Garden, batch: Batch) -> None:
    """A batch whose tote, place, crop and want are there gives no fault."""
    assert strangers(read, (replace(batch, state="sown"),)) == ()
    assert is_known(read, batch)


# What the journal says.

NOVEMBER_8 = date(2026, 11, 8)


def fact(kind: FactKind, on: date, **more: object) -> Fact:
    """Record a fact, about batch 7 unless another is given."""
    return replace(Fact(kind=kind, on=on, batch=7), **more)  # type: ignore[arg-type]


def sowing(**more: object) -> Fact:
    """Record the sowing of batch 7 as planned."""
    planned = fact(
        "sown", SOWN_ON, crop="mizuna", want="salad", place="shelf", tote="B", holes=(1, 2), plants=2, cells=3, seeds=9
    )
    return replace(planned, **more)  # type: ignore[arg-type]


def planting(**more: object) -> Fact:
    """Record the transplant of batch 7 as planned."""
    return replace(fact("transplanted", PLANTED_ON, tote="B", holes=(1, 2)), **more)  # type: ignore[arg-type]


def recorded(plan: Plan | None, today: date, read: Garden, *facts: Fact) -> Standing:
    """Give what stands by the plan and some facts."""
    return standing_as_recorded(plan, today, Journal(facts=facts), garden=read)


def test_without_facts_what_stands_is_as_planned(plan: Plan, read: Garden) -> None:
    """An empty journal leaves what stands as planned, and so does a note, even about an unknown batch."""
    planned = standing_from(plan, NOVEMBER_8)
    assert recorded(plan, NOVEMBER_8, read) == planned
    assert recorded(plan, NOVEMBER_8, read, fact("note", SOWN_ON), fact("note", SOWN_ON, batch=9)) == planned


def test_facts_of_later_days_are_left_out(plan: Plan, read: Garden) -> None:
    """On the day before its loss, a batch stands."""
    facts = (sowing(), planting(), fact("lost", NOVEMBER_8))
    (before,) = recorded(plan, date(2026, 11, 7), read, *facts).begun
    (after,) = recorded(plan, NOVEMBER_8, read, *facts).begun
    assert (before.state, after.state) == ("transplanted", "lost")


def test_a_batch_sown_today_has_begun(plan: Plan, read: Garden) -> None:
    """On its day a sowing has happened if it is recorded, and otherwise not."""
    assert recorded(plan, SOWN_ON, read).begun == ()
    (batch,) = recorded(plan, SOWN_ON, read, sowing()).begun
    assert (batch.state, batch.recorded) == ("sown", ("sown",))


def test_a_batch_is_built_from_facts_alone(read: Garden) -> None:
    """Without a plan, what was recorded stands, and the next batch has the next number."""
    standing = recorded(None, NOVEMBER_8, read, sowing(), planting())
    (batch,) = standing.begun
    assert (batch.id, batch.crop, batch.tote, batch.holes, batch.state) == (7, "mizuna", "B", (1, 2), "transplanted")
    assert standing.next_id == 8


def test_a_sowing_that_was_taken_back_was_never_sown(plan: Plan, read: Garden) -> None:
    """A batch that the plan took from a fact is gone with that fact; its number is not given again."""
    known = replace(plan, batches=(replace(plan.batches[0], state="sown", recorded=("sown",)),))
    standing = recorded(known, NOVEMBER_8, read)
    assert (standing.begun, standing.next_id) == ((), 8)
    assert plan_as_recorded(known, standing, NOVEMBER_8).batches == ()


def test_faults_of_all_batches_are_reported_at_once(plan: Plan, read: Garden) -> None:
    """A harvest in the nursery, a crop without a profile and an unknown batch give three faults."""
    facts = (
        sowing(), fact("harvested", date(2026, 10, 10)), sowing(batch=8, crop="triffid"), fact("lost", SOWN_ON, batch=9)
    )  # fmt: skip
    with pytest.raises(InputFaults, match=r"batch 7.*\n.*batch 8.*\n.*batch 9") as refused:
        recorded(plan, NOVEMBER_8, read, *facts)
    assert [fault.wrong for fault in refused.value.faults] == [
        "it was not transplanted by then", "the garden no longer has triffid", "the journal does not say what was sown"
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
    ids=["open", "until", "over", "back", "back today", "back before", "again", "changed"],
)
def test_totes_rest_until_they_are_back(
    facts: list[tuple[FactKind, int, int | None]],
    rests: list[tuple[int, int | None]],
    read: Garden,
) -> None:
    """On 10 October a tote rests if it is not back yet; the day given is the first one after the rest."""
    said = [
        Fact(kind=kind, on=date(2026, 10, on), tote="B", until=date(2026, 10, until) if until else None)
        for kind, on, until in facts
    ]
    expected = tuple(
        Rest(tote="B", from_on=date(2026, 10, on), until_on=date(2026, 10, until) if until else date.max)
        for on, until in rests
    )
    assert recorded(None, date(2026, 10, 10), read, *said).rests == expected


# The saved plan with the journal applied.


def test_without_facts_a_plan_keeps_its_days(plan: Plan, read: Garden) -> None:
    """After the first cut the second is still to come, and the batch is cleared with it."""
    (batch,) = plan_as_recorded(plan, recorded(plan, NOVEMBER_8, read), NOVEMBER_8).batches
    assert batch == replace(plan.batches[0], state="transplanted")


def test_plants_that_are_left_give_the_next_cut(plan: Plan, read: Garden) -> None:
    """One of two plants is lost: the second cut keeps its day and gives half of its 40 g."""
    facts = (sowing(), planting(), fact("lost", NOVEMBER_8, holes=(1,)))
    (batch,) = plan_as_recorded(plan, recorded(plan, NOVEMBER_8, read, *facts), NOVEMBER_8).batches
    assert (batch.plants, batch.holes, batch.cleared_on) == (1, (2,), CUTS_ON[1])
    assert [(each.on, each.holes, each.grams) for each in batch.harvests] == [
        (CUTS_ON[0], (1, 2), 40.0), (CUTS_ON[1], (2,), 20.0)
    ]  # fmt: skip


def test_a_cleared_batch_has_no_more_cuts(plan: Plan, read: Garden) -> None:
    """A batch that was cleared after its first cut has no second one."""
    facts = (sowing(), planting(), fact("cleared", NOVEMBER_8))
    (batch,) = plan_as_recorded(plan, recorded(plan, NOVEMBER_8, read, *facts), NOVEMBER_8).batches
    assert (batch.state, [each.on for each in batch.harvests]) == ("done", [CUTS_ON[0]])


def test_a_cut_taken_early_is_not_to_come(plan: Plan, read: Garden) -> None:
    """The second cut was taken on 18 November instead of 21 November: only the clearing is to come."""
    early = date(2026, 11, 18)
    facts = (sowing(), planting(), fact("harvested", early))
    (batch,) = plan_as_recorded(plan, recorded(plan, early, read, *facts), early).batches
    assert [each.on for each in batch.harvests] == [CUTS_ON[0], early]
    assert (batch.state, batch.cleared_on) == ("transplanted", CUTS_ON[1])


def test_an_overdue_stage_falls_on_today(plan: Plan, read: Garden) -> None:
    """Emerged 10 days late and not planted on 17 October: on 20 October all later days are 3 days late."""
    today = date(2026, 10, 20)
    facts = (sowing(), fact("emerged", date(2026, 10, 15)))
    (batch,) = plan_as_recorded(plan, recorded(plan, today, read, *facts), today).batches
    assert (batch.state, batch.transplanted_on, batch.cleared_on) == ("sown", today, date(2026, 11, 24))
    assert [each.on for each in batch.harvests] == [date(2026, 11, 10), date(2026, 11, 24)]


def test_a_batch_planted_into_other_holes_is_harvested_there(plan: Plan, read: Garden) -> None:
    """It was planned for holes 1 and 2 and planted into 3 and 4."""
    facts = (sowing(), planting(holes=(3, 4)))
    (batch,) = plan_as_recorded(plan, recorded(plan, PLANTED_ON, read, *facts), PLANTED_ON).batches
    assert [(each.on, each.holes) for each in batch.harvests] == [(on, (3, 4)) for on in CUTS_ON]


def test_an_unplanned_sowing_is_in_the_plan(plan: Plan, read: Garden) -> None:
    """A batch that was recorded and never planned is added to the batches."""
    standing = recorded(plan, NOVEMBER_8, read, sowing(batch=9, on=NOVEMBER_8))
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
    """Give the garden with one more crop, a lettuce."""
    return replace(read, crops={**read.crops, "lettuce": make_crop("lettuce")})


@pytest.mark.parametrize(
    ("holes", "to_come"),
    [((1,), [(CUTS_ON[1], (2,))]), ((2,), [(date(2026, 11, 9), (1,))])],
    ids=["as planned", "the other one"],
)
def test_a_harvested_head_leaves_the_harvest_of_the_other(
    plan: Plan, read: Garden, holes: tuple[int, ...], to_come: list[tuple[date, tuple[int]]]
) -> None:
    """A head is harvested on 9 November: the other keeps its day, or falls on today if that was 7 November."""
    today = date(2026, 11, 9)
    facts = (sowing(crop="lettuce"), planting(), fact("harvested", today, holes=holes))
    planned = heads(plan)
    (batch,) = plan_as_recorded(planned, recorded(planned, today, with_heads(read), *facts), today).batches
    assert [(each.on, each.holes) for each in batch.harvests] == [(today, holes), *to_come]
    assert [each.number for each in batch.harvests] == [1, 2]
    assert batch.cleared_on == to_come[-1][0]


def test_a_moved_batch_is_harvested_where_it_stands(plan: Plan, read: Garden) -> None:
    """Both heads moved to holes 2 and 3 of tote A: they are harvested one after the other, as planned."""
    moved_on = date(2026, 10, 30)
    facts = (sowing(crop="lettuce"), planting(), fact("moved", moved_on, tote="A", holes=(2, 3)))
    planned = heads(plan)
    (batch,) = plan_as_recorded(planned, recorded(planned, moved_on, with_heads(read), *facts), moved_on).batches
    assert (batch.tote, batch.holes) == ("A", (2, 3))
    assert [(each.on, each.holes) for each in batch.harvests] == [(CUTS_ON[0], (2,)), (CUTS_ON[1], (3,))]


def test_a_batch_given_up_by_the_plan_stays_given_up(plan: Plan, read: Garden) -> None:
    """Seedlings for which the plan found no tote have no stages to come."""
    lost = replace(
        plan.batches[0], state="lost", holes=(), transplanted_on=None, cleared_on=None, harvests=(), recorded=("sown",)
    )
    given_up = replace(plan, batches=(lost,))
    assert plan_as_recorded(given_up, recorded(given_up, NOVEMBER_8, read, sowing()), NOVEMBER_8).batches == (lost,)


def test_the_number_of_a_dropped_batch_is_not_given_again(plan: Plan, read: Garden) -> None:
    """Batch 12 was dropped when the plan was mended: the next number is 13, with or without facts."""
    known = replace(plan, last_id=12)
    assert standing_from(known, NOVEMBER_8).next_id == 13
    assert recorded(known, NOVEMBER_8, read, sowing(), planting()).next_id == 13
