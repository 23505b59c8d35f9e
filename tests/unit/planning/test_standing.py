"""What stands today, and batches that the garden file knows no more; days counted by hand."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden, Want
from steadysow.inputs.garden_file import read_garden
from steadysow.planning.plan import Batch, Harvest, Plan, Proof
from steadysow.planning.standing import is_known, standing_from, strangers

GARDEN_FOLDER = Path(__file__).parents[2] / "gardens" / "two-totes"
SOWN_ON = date(2026, 10, 3)
PLANTED_ON = date(2026, 10, 17)
CUTS_ON = (date(2026, 11, 7), date(2026, 11, 21))


@pytest.fixture(scope="module")
def read() -> tuple[Garden, dict[str, Crop]]:
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
    read: tuple[Garden, dict[str, Crop]], batch: Batch, change: Callable[[Garden], Garden], missing: str
) -> None:
    """A begun batch whose tote, hole, room, place or want is gone is named, with what is missing and what to write."""
    garden, crops = change(read[0]), read[1]
    (fault,) = strangers(garden, crops, (replace(batch, state="sown"),))
    assert str(fault) == (
        f"plan.json: batch 7 (mizuna, tote B, sown on 2026-10-03): the garden no longer has {missing}. "
        "Put it back, or delete plan.json to start over."
    )
    assert not is_known(garden, crops, batch)


def test_an_unknown_crop_is_told(read: tuple[Garden, dict[str, Crop]], batch: Batch) -> None:
    """A begun batch of a crop without a profile is named once."""
    others = {name: crop for name, crop in read[1].items() if name != "mizuna"}
    (fault,) = strangers(read[0], others, (replace(batch, state="transplanted"),))
    assert fault.wrong == 'the garden no longer has the crop "mizuna"'


def test_what_is_only_planned_can_be_planned_anew(read: tuple[Garden, dict[str, Crop]], batch: Batch) -> None:
    """Of a batch of which nothing has happened a new plan can take care."""
    (fault,) = strangers(replace(read[0], totes=read[0].totes[:1]), read[1], (batch,))
    assert fault.write == "Put it back, or run `steadysow plan`"


@pytest.mark.parametrize("state", ["done", "lost"])
def test_history_needs_no_place(read: tuple[Garden, dict[str, Crop]], batch: Batch, state: str) -> None:
    """What is over may name what the garden no longer has."""
    past = replace(batch, state=state)  # type: ignore[arg-type]
    assert strangers(replace(read[0], totes=read[0].totes[:1]), read[1], (past,)) == ()


def test_a_batch_in_its_place_is_no_stranger(read: tuple[Garden, dict[str, Crop]], batch: Batch) -> None:
    """A batch of which all is there raises nothing."""
    assert strangers(read[0], read[1], (replace(batch, state="sown"),)) == ()
    assert is_known(read[0], read[1], batch)
