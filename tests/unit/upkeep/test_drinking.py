"""What plants drink, day by day, worked out by hand for the thirsty crop of `planted`."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date

import pytest

from planted import THIRSTY, garden_of, plan_of, planted
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden, Place, Window
from steadysow.plan.batch import Batch, Stay
from steadysow.upkeep.drinking import drunk_ml
from steadysow.upkeep.fillings import list_fillings
from tiny import by_name, day, make_crop, make_tote

GARDEN = garden_of(make_tote("A", 12), make_tote("B", 12, "kratky"))
# A plant drinks 145 mL on its first day, and 90 mL more on each of ten.
OF_ONE = {day(number): 145 + 90 * number for number in range(10)}
OF_TWO = {day(number): 290 + 180 * number for number in range(10)}


def drunk(*batches: Batch, garden: Garden = GARDEN, crops: Iterable[Crop] = (THIRSTY,)) -> list[dict[date, int]]:
    """Give what the plants of each filling drink."""
    garden = replace(garden, crops=by_name(crops))
    of = {batch.id: batch for batch in batches}
    fillings = list_fillings(garden, plan_of(*batches))
    return [drunk_ml(garden, [of[number] for number in filling.batches], filling) for filling in fillings]


def test_plants_drink_more_as_they_grow() -> None:
    """One plant and two drink as much as they do by hand."""
    assert drunk(planted("A", 0, 10)) == [OF_ONE]
    assert drunk(planted("A", 0, 10, 2)) == [OF_TWO]


def test_plants_of_a_tote_drink_together() -> None:
    """Two batches of a filling drink the sum of both on each day."""
    (both,) = drunk(planted("A", 0, 10), planted("A", 5, 15, number=2))
    assert both == {day(n): OF_ONE.get(day(n), 0) + OF_ONE.get(day(n - 5), 0) for n in range(15)}


def test_light_moves_water_among_days() -> None:
    """At a window in a darkening October plants drink more on the first day than in even light, and as much in all."""
    sill = Place(name="shelf", temperature_c=20.0, window=Window(faces="south", share=0.3))
    (by_sun,) = drunk(planted("A", 0, 10, 2), garden=replace(GARDEN, places=(sill,), latitude=60.0))
    assert sum(by_sun.values()) == pytest.approx(11_000, abs=10)
    assert by_sun[day(0)] > OF_TWO[day(0)]


def test_heads_drink_until_they_are_taken() -> None:
    """Of two heads one is taken on day 10 and the other on day 20: on each day the two drink what each drinks alone."""
    first, second = planted("A", 0, 10), planted("A", 0, 20)
    both = replace(planted("A", 0, 20, 2), harvests=(*first.harvests, replace(second.harvests[0], holes=(2,))))
    (found,), (late,) = drunk(both), drunk(second)
    assert found == pytest.approx({on: ml + OF_ONE.get(on, 0) for on, ml in late.items()}, abs=1)


def test_heads_that_were_taken_before_a_move_drank_elsewhere() -> None:
    """Of four heads two were taken, and two moved here: these two drink as if they had been planted here."""
    crop = make_crop("cress", first_days=10, litres_a_plant=5.5)
    there = planted("A", 0, 10, 2, crop=crop)
    (taken,) = there.harvests
    gone = replace(taken, on=day(4), latest_on=day(4), holes=(), plants=2, is_recorded=True)
    assert drunk(replace(there, harvests=(gone, taken)), crops=(crop,)) == [OF_TWO]


def test_a_batch_that_moved_drinks_from_one_tote_after_the_other() -> None:
    """Moved on day 4, it drinks from tote B on the four days before, and from tote A on the six after."""
    stay = Stay(tote="B", place="shelf", from_on=day(0), until_on=day(4))
    in_a, in_b = drunk(planted("A", 0, 10, earlier=(stay,)))
    assert in_b == {on: ml for on, ml in OF_ONE.items() if on < day(4)}
    assert in_a == {on: ml for on, ml in OF_ONE.items() if on >= day(4)}


def test_what_the_garden_no_longer_has() -> None:
    """A crop without a profile drinks nothing; at a place that is gone the light is even."""
    assert drunk(planted("A", 0, 10, 2), crops=()) == [{}]
    assert drunk(planted("A", 0, 10, 2, place="attic")) == [OF_TWO]
