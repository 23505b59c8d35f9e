"""Lamps in use: which lamps have plants under them, and on which days."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from lit_shelf import DECEMBER, LAMP, NOVEMBER, a_batch, a_garden, a_plan
from steadysow.inputs.garden import Garden, Nursery, Place
from steadysow.plan.batch import Batch
from steadysow.upkeep.lit_places import days_between, days_in_tote, lit_places

SHELF = Place(name="shelf", lamp=LAMP, temperature_c=20)
STAYS_ON, LEAVES_ON = date(2026, 11, 10), date(2026, 11, 20)
SOWN_ON = STAYS_ON - timedelta(7)


def lit(garden: Garden, *batches: Batch, until_on: date = DECEMBER) -> dict[tuple[str, str], list[date]]:
    """Give the days of each lamp by its kind and place."""
    found = lit_places(garden, a_plan(*batches), until_on)
    return {(each.kind, each.place.name): sorted(each.days) for each in found}


def test_a_lamp_is_used_while_plants_stand_in_totes() -> None:
    """A batch of ten days in a tote uses its lamp for these days, or for those of them before the end of the span."""
    batch = a_batch(STAYS_ON, LEAVES_ON)
    assert lit(a_garden(), batch) == {("lamp", "shelf"): list(days_between(STAYS_ON, LEAVES_ON))}
    assert lit(a_garden(), batch, until_on=date(2026, 11, 12)) == {
        ("lamp", "shelf"): [STAYS_ON, STAYS_ON + timedelta(1)]
    }
    assert lit(a_garden(), batch, until_on=NOVEMBER) == lit(a_garden()) == {}


def test_a_nursery_at_a_place_uses_the_lamp_of_that_place() -> None:
    """Seedlings wait seven days under the lamp under which they then stand for ten."""
    garden = a_garden(nursery=Nursery(cells=60, place=SHELF))
    batch = a_batch(STAYS_ON, LEAVES_ON)
    assert lit(garden, batch) == {("lamp", "shelf"): list(days_between(SOWN_ON, LEAVES_ON))}


def test_a_nursery_may_have_a_lamp_of_its_own() -> None:
    """Its lamp comes last, for the days from sowing to planting; a crop that is sown in its pot does not use it."""
    garden = a_garden(nursery=Nursery(cells=60, place=replace(SHELF, name="nursery")))
    found = lit(garden, a_batch(STAYS_ON, LEAVES_ON))
    assert list(found) == [("lamp", "shelf"), ("nursery", "nursery")]
    assert found["nursery", "nursery"] == list(days_between(SOWN_ON, STAYS_ON))
    assert list(lit(garden, a_batch(STAYS_ON, LEAVES_ON, in_pot=True))) == [("lamp", "shelf")]


def test_a_batch_that_never_left_the_nursery_uses_no_lamp() -> None:
    """Nobody knows how long a batch stood there that was lost before it was planted."""
    garden = a_garden(nursery=Nursery(cells=60, place=replace(SHELF, name="nursery")))
    lost = replace(a_batch(STAYS_ON, LEAVES_ON), state="lost", transplanted_on=None, cleared_on=None, harvests=())
    assert lit(garden, lost) == {}


def test_a_batch_is_not_in_its_tote_on_the_day_it_is_cleared() -> None:
    """A batch without a day of clearing stays until the end of the span."""
    batch = a_batch(STAYS_ON, LEAVES_ON)
    assert list(days_in_tote(batch, DECEMBER)) == list(days_between(STAYS_ON, LEAVES_ON))
    assert list(days_in_tote(replace(batch, cleared_on=None), DECEMBER)) == list(days_between(STAYS_ON, DECEMBER))
