"""Plans made again later, when the garden file or the room has changed under what stands."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from datetime import date, timedelta

import pytest

from steadysow.check.verify import verify
from steadysow.inputs.crops import Bolting, Crop
from steadysow.inputs.garden import Away, Garden, Lamp, Outdoors, Place, Stand
from steadysow.pipeline import Inputs, make_plan
from steadysow.plan.plan import Plan
from steadysow.standing.standing import Rest
from tiny import START, by_name, make_crop, make_garden, make_tote, make_want

WEEK = timedelta(7)
CRESS = make_crop(nursery_days=(14, 21), lid_holes=2)


def test_a_nursery_made_smaller_than_what_waits_in_it_keeps_what_waits() -> None:
    """Seedlings that wait are facts: they are planted, and nothing new is sown until there are cells for it."""
    garden = make_garden([make_tote("A", 2)], [make_want([CRESS], 2)], weeks=8)
    crops = by_name([CRESS])
    old = make_plan(Inputs(garden=replace(garden, crops=crops)), today=START)
    small = replace(garden, nursery=replace(garden.nursery, cells=1))
    new = make_plan(Inputs(garden=replace(small, crops=crops)), today=START + WEEK, old=old)
    waiting = {batch.id for batch in old.batches if batch.sown_on == START}
    assert waiting
    assert all(batch.transplanted_on for batch in new.batches if batch.id in waiting)


def test_seedlings_without_a_tote_are_told_as_lost() -> None:
    """If the totes left cannot take what waits in the nursery, the plan says so and goes on."""
    impatient = make_crop(nursery_days=(14, 14), lid_holes=2)
    garden = make_garden([make_tote("A", 2), make_tote("B", 2)], [make_want([impatient], 4)], weeks=8)
    crops = by_name([impatient])
    old = make_plan(Inputs(garden=replace(garden, crops=crops)), today=START)
    rest = Rest(tote="B", from_on=START + WEEK, until_on=START + 8 * WEEK)
    new = make_plan(Inputs(garden=replace(garden, crops=crops)), today=START + WEEK, old=old, rests=(rest,))
    lost = [batch for batch in new.batches if batch.state == "lost"]
    assert lost
    assert any(f"Batch {lost[0].id} (" in note and "no longer be planted" in note for note in new.notes)


def test_what_stands_for_a_dropped_want_is_planned_round() -> None:
    """A want taken out of the file leaves its begun batches where they are."""
    garden = make_garden(
        [make_tote("A", 2)], [make_want([CRESS], 1, name="salad"), make_want([CRESS], 1, name="pan")], weeks=8
    )
    crops = by_name([CRESS])
    old = make_plan(Inputs(garden=replace(garden, crops=crops)), today=START)
    begun = {batch.id for batch in old.batches if batch.sown_on == START and batch.want == "pan"}
    one = replace(garden, wants=garden.wants[:1])
    new = make_plan(Inputs(garden=replace(one, crops=crops)), today=START + WEEK, old=old)
    assert begun <= {batch.id for batch in new.batches}
    assert not verify(replace(one, crops=crops), new, today=START + WEEK, starts_on=START)


def test_a_share_asked_for_later_is_kept_from_then_on() -> None:
    """The plan in force is where the search starts, but it may not loosen a rule that the file has got since."""
    cress, mizuna = make_crop(lid_holes=2), make_crop("mizuna", lid_holes=2, grams=(50.0,))
    garden = make_garden([make_tote("A", 2)], [make_want([cress, mizuna], 150)], weeks=8)
    crops = by_name([cress, mizuna])
    want = garden.wants[0]
    only_cress = replace(want, servings=want.servings[:1])
    old = make_plan(Inputs(garden=replace(garden, wants=(only_cress,), crops=crops)), today=START)
    assert {batch.crop for batch in old.batches} == {"cress"}
    half = replace(want, servings=(want.servings[0], replace(want.servings[1], least=0.3)))
    new = make_plan(Inputs(garden=replace(garden, wants=(half,), crops=crops)), today=START, old=old)
    harvested: dict[str, float] = defaultdict(float)
    for batch in new.batches:
        for harvest in batch.harvests:
            if harvest.on < new.until_on:
                harvested[batch.crop] += harvest.grams if want.unit == "g" else harvest.plants
    assert harvested["mizuna"] >= 0.3 * sum(harvested.values()) - 1e-6


# What happens to the places.

PATIENT = make_crop(first_days=14, window_days=14, lid_holes=2, keeps_days=7)
SILL = Place(name="sill", temperature_c=20.0, lamp=Lamp(dli_mol=12.0))


def replanned(garden: Garden, crop: Crop, days: int, **changes: object) -> tuple[Garden, Plan]:
    """Plan a garden, change it, and plan it again some days later; `make_plan` has it verified."""
    old = make_plan(Inputs(garden=replace(garden, crops=by_name([crop]))), today=START)
    changed = replace(garden, **changes)  # type: ignore[arg-type]
    return changed, make_plan(
        Inputs(garden=replace(changed, crops=by_name([crop]))), today=START + timedelta(days), old=old
    )


def test_on_the_day_a_place_closes_it_is_still_harvested() -> None:
    """Heads planned for the day of the first frost are taken on it, though nothing is planted there any more."""
    yard = Place(name="yard", temperature_c=20.0, outdoors=Outdoors(frost_free=((5, 1), (10, 24)), shade=0.0))
    tote = replace(make_tote("A", 2), stands=(Stand(place="yard"),))
    garden = make_garden([tote], [make_want([PATIENT], 2)], weeks=6)
    garden = replace(garden, latitude=45.0, places=(*garden.places, yard))
    _, plan = replanned(garden, PATIENT, 21)
    assert [harvest.on for batch in plan.batches for harvest in batch.harvests] == [date(2026, 10, 24)]
    assert [harvest.latest_on for batch in plan.batches for harvest in batch.harvests] == [date(2026, 10, 24)]


def test_a_tote_moved_under_its_plants_is_cleared_and_told() -> None:
    """Plants whose tote the file now has elsewhere are cleared on the first day at home, and the plan says why."""
    garden = make_garden([make_tote("A", 2)], [make_want([PATIENT], 2)], weeks=8)
    garden = replace(garden, places=(*garden.places, SILL))
    moved = replace(garden.totes[0], stands=(Stand(place="sill"),))
    _, plan = replanned(garden, PATIENT, 12, totes=(moved,))
    first = next(batch for batch in plan.batches if batch.sown_on == START)
    assert (first.harvests, first.cleared_on) == ((), START + timedelta(12))
    assert any(f"Batch {first.id} (" in note and "no longer at shelf" in note for note in plan.notes)


@pytest.mark.parametrize(
    ("clear_by", "back_on"),
    [(14, 20), (9, None), (None, 300)],
    ids=["away as it ends", "it has ended", "away for long"],
)
def test_what_nobody_can_clear_in_time_is_cleared_on_the_first_day_at_home(
    clear_by: int | None, back_on: int | None
) -> None:
    """A season that ends while its plants stand and nobody is there leaves them until somebody comes."""
    garden = make_garden([make_tote("A", 2)], [make_want([PATIENT], 2)], weeks=8)
    away = (Away(from_on=START + timedelta(10), back_on=START + timedelta(back_on)),) if back_on else ()
    end_on = START + timedelta(clear_by) if clear_by else None
    _, plan = replanned(garden, PATIENT, 10, clear_by=end_on, away=away)
    first = next(batch for batch in plan.batches if batch.sown_on == START)
    assert (first.harvests, first.cleared_on) == ((), START + timedelta(back_on or 10))


def test_a_batch_that_bolts_before_it_is_due_is_told() -> None:
    """Where the lamp is set to longer days under what stands, it is cleared, and the plan says that it bolts."""
    growth = replace(PATIENT.growth, bolting=Bolting(after_days=9, longest_day_hours=14.0, above_c=None))
    bolter = replace(PATIENT, growth=growth)
    garden = make_garden([make_tote("A", 2)], [make_want([bolter], 2)], weeks=8)
    long_days = replace(garden.places[0], lamp=Lamp(dli_mol=12.0, hours=16.0))
    _, plan = replanned(garden, bolter, 12, places=(long_days,))
    first = next(batch for batch in plan.batches if batch.sown_on == START)
    assert first.harvests == ()
    assert any(f"Batch {first.id} (" in note and "it bolts by 19 Oct 2026" in note for note in plan.notes)


def test_what_falls_due_while_nobody_is_there_is_harvested_on_the_return() -> None:
    """Leaves due on day 21, to be cut within 3 days, wait for the Saturday after an absence from day 20 up to 27."""
    leaves = make_crop(
        "mizuna", "cut", first_days=14, between_days=14, window_days=3, grams=(50.0, 50.0), lid_holes=2, keeps_days=7
    )
    garden = make_garden([make_tote("A", 2)], [make_want([leaves], 100)], weeks=8)
    away = (Away(from_on=START + timedelta(20), back_on=START + timedelta(27)),)
    _, plan = replanned(garden, leaves, 14, away=away)
    first = next(batch for batch in plan.batches if batch.sown_on == START)
    assert first.transplanted_on == START + timedelta(7)
    assert first.harvests[0].on == START + timedelta(28)
