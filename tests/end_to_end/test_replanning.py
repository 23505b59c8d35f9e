"""Plans made again later, when the garden file or the room has changed under what stands."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from datetime import timedelta

from steadysow.pipeline import Inputs, make_plan
from steadysow.planning.standing import Rest
from steadysow.planning.verify import verify
from tiny import START, by_name, make_crop, make_garden, make_tote, make_want

WEEK = timedelta(7)
CRESS = make_crop(nursery_days=(14, 21), lid_holes=2)


def test_a_nursery_made_smaller_than_what_waits_in_it_keeps_what_waits() -> None:
    """Seedlings that wait are facts: they are planted, and nothing new is sown until there are cells for it."""
    garden = make_garden([make_tote("A", 2)], [make_want([CRESS], 2)], weeks=8)
    crops = by_name([CRESS])
    old = make_plan(Inputs(garden=garden, crops=crops), today=START)
    small = replace(garden, nursery=replace(garden.nursery, cells=1))
    new = make_plan(Inputs(garden=small, crops=crops), today=START + WEEK, old=old)
    waiting = {batch.id for batch in old.batches if batch.sown_on == START}
    assert waiting
    assert all(batch.transplanted_on for batch in new.batches if batch.id in waiting)


def test_seedlings_without_a_tote_are_told_as_lost() -> None:
    """If the totes left cannot take what waits in the nursery, the plan says so and goes on."""
    impatient = make_crop(nursery_days=(14, 14), lid_holes=2)
    garden = make_garden([make_tote("A", 2), make_tote("B", 2)], [make_want([impatient], 4)], weeks=8)
    crops = by_name([impatient])
    old = make_plan(Inputs(garden=garden, crops=crops), today=START)
    rest = Rest(tote="B", from_on=START + WEEK, until_on=START + 8 * WEEK)
    new = make_plan(Inputs(garden=garden, crops=crops), today=START + WEEK, old=old, rests=(rest,))
    lost = [batch for batch in new.batches if batch.state == "lost"]
    assert lost
    assert any(f"Batch {lost[0].id}, " in note and "no longer be planted" in note for note in new.notes)


def test_what_stands_for_a_dropped_want_is_planned_round() -> None:
    """A want taken out of the file leaves its begun batches where they are."""
    garden = make_garden(
        [make_tote("A", 2)], [make_want([CRESS], 1, name="salad"), make_want([CRESS], 1, name="pan")], weeks=8
    )
    crops = by_name([CRESS])
    old = make_plan(Inputs(garden=garden, crops=crops), today=START)
    begun = {batch.id for batch in old.batches if batch.sown_on == START and batch.want == "pan"}
    one = replace(garden, wants=garden.wants[:1])
    new = make_plan(Inputs(garden=one, crops=crops), today=START + WEEK, old=old)
    assert begun <= {batch.id for batch in new.batches}
    assert not verify(one, crops, new, today=START + WEEK, starts_on=START)


def test_a_share_asked_for_later_is_kept_from_then_on() -> None:
    """The plan in force is where the search starts, but it may not loosen a rule that the file has got since."""
    cress, mizuna = make_crop(lid_holes=2), make_crop("mizuna", lid_holes=2, grams=(50.0,))
    garden = make_garden([make_tote("A", 2)], [make_want([cress, mizuna], 150)], weeks=8)
    crops = by_name([cress, mizuna])
    want = garden.wants[0]
    only_cress = replace(want, servings=want.servings[:1])
    old = make_plan(Inputs(garden=replace(garden, wants=(only_cress,)), crops=crops), today=START)
    assert {batch.crop for batch in old.batches} == {"cress"}
    half = replace(want, servings=(want.servings[0], replace(want.servings[1], least=0.3)))
    new = make_plan(Inputs(garden=replace(garden, wants=(half,)), crops=crops), today=START, old=old)
    harvested: dict[str, float] = defaultdict(float)
    for batch in new.batches:
        for harvest in batch.harvests:
            if harvest.on < new.until_on:
                harvested[batch.crop] += harvest.grams if want.unit == "g" else harvest.plants
    assert harvested["mizuna"] >= 0.3 * sum(harvested.values()) - 1e-6
