"""Supplies: what is needed, missing and ordered, and what it costs; every figure is worked out by hand."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cellar import CROPS, PLANTED_ON, SHELF, SOWN_ON, a_batch, a_garden, a_plan, taking
from steadysow.inputs.garden import Garden, Lamp, Nursery
from steadysow.inputs.stock import Item, StockUnit
from steadysow.inputs.tariff import Tariff
from steadysow.plan.batch import Batch
from steadysow.upkeep.supplies import Supplies, Supply, supplies_of
from steadysow.upkeep.water import keep_books

CUT_ON = date(2026, 10, 31)

# Six mizuna that are planted on 24 October give a gram each a week later.  They drink 2 / 60 litres a gram, 0.2 litres
# in all, so their tote needs only its 11 litres.
SMALL = a_batch(cleared_on=CUT_ON, harvests=(replace(taking("cut", 1, CUT_ON, (1, 2, 3, 4, 5, 6)), grams=6.0),))

PRICED = (
    Item(name="mizuna", measure="seeds", have=5.0, pack=24.0, price=2.00),
    Item(name="rockwool cubes", measure="pieces", have=2.0, pack=100.0, price=9.00),
    Item(name="powder", measure="grams", have=100.0, pack=1000.0, price=10.00),
    Item(name="tap water", measure="litres", pack=1000.0, price=2.20),
)


def a_priced_garden(**changes: Any) -> Garden:
    """Give a garden whose prices are all known: a lamp of 40 W for 14 hours, a pump of 5 W, a kWh at 0.25."""
    shelf = replace(SHELF, lamp=Lamp(dli_mol=11.0, ppfd=220.0, hours=14.0, watts=40.0))
    given = {
        "places": (shelf,),
        "nursery": Nursery(cells=60, place=shelf),
        "stock": PRICED,
        "tariff": Tariff(currency="EUR", per_kwh=0.25),
        "air_pump_watts": 5.0,
        **changes,
    }
    return a_garden(**given)


def supplies(
    *batches: Batch, garden: Garden | None = None, from_on: date = SOWN_ON, until_on: date = date(2027, 3, 1)
) -> Supplies:
    """Give the supplies of a plan of these batches."""
    garden, plan = garden or a_priced_garden(), a_plan(*batches)
    return supplies_of(
        garden, plan, keep_books(garden, plan), from_on=from_on, until_on=until_on
    )  # fmt: skip


def by_name(supplied: Supplies) -> dict[str, Supply]:
    """Give supplies by the names of their things."""
    return {supply.item.name: supply for supply in supplied.supplies}


def test_what_a_small_plan_uses_up() -> None:
    """A plan uses seeds and cubes, 1.3 g of powder a litre in 11 litres of water, and 0.1 L of pebbles a pot."""
    supplied = by_name(supplies(SMALL))
    assert {name: supply.needed for name, supply in supplied.items()} == pytest.approx(
        {
            "mizuna": 12.0,
            "rockwool cubes": 6.0,
            "net pots": 6.0,
            "powder": 14.3,
            "clay pebbles": 0.6,
            "tap water": 11.0,
        }
    )
    assert {name for name, supply in supplied.items() if supply.is_kept} == {"net pots", "clay pebbles"}


def test_what_a_small_plan_costs() -> None:
    """A thing costs its share of a pack's price, and nothing if it is washed and used again.

    Lamp: 28 days (3 to 30 October) of 14 hours at 40 W, 15.68 kWh.  Pump: 7 days and nights at 5 W, 0.84 kWh.
    """
    supplied = supplies(SMALL)
    costs = {name: supply.cost for name, supply in by_name(supplied).items()}
    assert costs == pytest.approx(
        {
            "mizuna": 12 / 24 * 2.00,
            "rockwool cubes": 6 / 100 * 9.00,
            "powder": 14.3 / 1000 * 10.00,
            "tap water": 11 / 1000 * 2.20,
            "net pots": 0.0,
            "clay pebbles": 0.0,
        }
    )
    assert supplied.power.kwh == pytest.approx(15.68 + 0.84)
    assert supplied.cost == pytest.approx(1.00 + 0.54 + 0.143 + 0.0242 + 4.13)
    assert supplied.grams == 6.0
    assert supplied.cost_a_100_g == pytest.approx(5.8372 / 6 * 100)
    assert supplied.unpriced == ()


def test_missing_is_ordered_in_whole_packs_and_in_time() -> None:
    """There are 5 of 12 seeds and 2 of 6 cubes, enough powder, and always enough water."""
    supplied = supplies(SMALL)
    of = by_name(supplied)
    seeds, cubes = of["mizuna"], of["rockwool cubes"]
    assert (seeds.missing, seeds.packs, seeds.order_cost) == (7.0, 1, 2.00)
    assert (seeds.short_on, seeds.order_by) == (SOWN_ON, SOWN_ON - timedelta(7))
    assert (cubes.missing, cubes.packs, cubes.order_cost) == (4.0, 1, 9.00)
    for name in ("powder", "tap water"):
        assert (of[name].missing, of[name].packs, of[name].short_on, of[name].order_by) == (0.0, 0, None, None)
    # Nobody gave the size of a pack of pots: they are missing, and their cost is unknown.
    assert (of["net pots"].missing, of["net pots"].packs, of["net pots"].order_cost) == (6.0, None, None)
    assert of["net pots"].order_by == PLANTED_ON - timedelta(7)
    assert supplied.order_cost == pytest.approx(11.00)


@given(have=st.integers(0, 100), needed=st.integers(0, 200), pack=st.floats(0.5, 60.0), price=st.floats(0.0, 50.0))
def test_packs_are_the_fewest_that_do(have: int, needed: int, pack: float, price: float) -> None:
    """With the packs there is enough, with one less there would not be, and each costs its price."""
    item = Item(name="mizuna", measure="seeds", have=have, pack=pack, price=price)
    missing = max(0.0, float(needed - have))
    supply = Supply(item=item, needed=needed, is_kept=False, missing=missing, short_on=None, order_by=None)
    assert supply.packs is not None
    assert supply.packs == math.floor(supply.packs)
    assert supply.packs * pack >= missing - 0.001
    assert supply.packs == 0 or (supply.packs - 1) * pack < missing
    assert supply.order_cost == supply.packs * price


def test_pots_count_at_their_peak() -> None:
    """Six plants until 28 November, four from 14 November on and four from 12 December on need ten pots at a time."""
    second = a_batch(13, (7, 8, 9, 10), transplanted_on=date(2026, 11, 14), cleared_on=date(2026, 12, 12), harvests=())
    third = a_batch(14, (1, 2, 3, 4), transplanted_on=date(2026, 12, 12), cleared_on=date(2027, 1, 9), harvests=())
    pots = replace(PRICED[0], name="net pots", measure="pieces", have=8.0, pack=5.0, price=3.0)
    garden = a_priced_garden(stock=(pots,))
    supplied = by_name(supplies(a_batch(), second, third, garden=garden))
    assert supplied["net pots"].needed == 10.0
    assert supplied["clay pebbles"].needed == pytest.approx(1.0)
    assert (supplied["net pots"].missing, supplied["net pots"].packs) == (2.0, 1)
    assert supplied["net pots"].short_on == date(2026, 11, 14)


def test_pots_of_standing_plants_are_in_use() -> None:
    """From 1 November on nothing is planted, and six pots are in use until their plants are cleared."""
    supplied = by_name(supplies(a_batch(), from_on=date(2026, 11, 1)))
    assert supplied["net pots"].needed == 6.0
    assert "net pots" not in by_name(supplies(a_batch(), from_on=date(2026, 11, 28)))


def test_things_without_a_price_are_named() -> None:
    """Without the price of powder and power the cost is that of the rest, and 0 without any price."""
    stock = tuple(item for item in PRICED if item.name != "powder")
    supplied = supplies(SMALL, garden=a_priced_garden(stock=stock, tariff=None))
    assert supplied.unpriced == ("powder", "power")
    assert supplied.cost == pytest.approx(1.00 + 0.54 + 0.0242)
    assert supplied.is_priced
    bare = supplies(SMALL, garden=a_priced_garden(stock=(), tariff=None))
    assert (bare.is_priced, bare.cost, bare.order_cost) == (False, 0.0, 0.0)
    assert set(bare.unpriced) == {"mizuna", "rockwool cubes", "powder", "tap water", "power"}


def test_without_a_harvest_there_is_no_cost_per_weight() -> None:
    """A span that ends before the cut has no cost of 100 g."""
    supplied = supplies(SMALL, until_on=CUT_ON)
    assert (supplied.grams, supplied.cost_a_100_g) == (0.0, None)


def test_a_span_takes_its_own_days_only() -> None:
    """After the day of sowing no seeds and cubes are needed, and before the day of planting no water."""
    later = by_name(supplies(SMALL, from_on=SOWN_ON + timedelta(1)))
    assert "mizuna" not in later
    assert "rockwool cubes" not in later
    assert "tap water" in later
    assert set(by_name(supplies(SMALL, until_on=PLANTED_ON))) == {"mizuna", "rockwool cubes"}


def test_things_used_since_the_count_leave_the_stock() -> None:
    """Of 30 seeds counted on 1 October, 12 are sown on the 3rd; on the 10th, 18 are left for 24 to come."""
    later = [
        a_batch(id, state="sown", sown_on=on, transplanted_on=None, cleared_on=None, harvests=(), emerges_on=None)
        for id, on in ((13, date(2026, 10, 17)), (14, date(2026, 10, 31)))
    ]
    seeds = replace(PRICED[0], have=30.0)
    asked = {"from_on": date(2026, 10, 10)}
    counted = a_priced_garden(stock=(seeds,), stock_counted_on=date(2026, 10, 1))
    supplied = by_name(supplies(a_batch(recorded=("sown",)), *later, garden=counted, **asked))["mizuna"]
    assert (supplied.item.have, supplied.needed, supplied.missing) == (18.0, 24.0, 6.0)
    assert supplied.short_on == date(2026, 10, 31)
    # A stock without a day of counting counts on the first day of the span.
    fresh = by_name(supplies(a_batch(), *later, garden=a_priced_garden(stock=(seeds,)), **asked))["mizuna"]
    assert (fresh.item.have, fresh.missing) == (30.0, 0.0)


def test_only_the_nursery_uses_cubes() -> None:
    """A crop that is sown in its pot needs no cubes."""
    crops = {"mizuna": replace(CROPS["mizuna"], sown_in="pot")}
    garden = replace(a_priced_garden(), crops=crops)
    plan = a_plan(replace(SMALL, transplanted_on=SOWN_ON))
    supplied = supplies_of(garden, plan, keep_books(garden, plan), from_on=SOWN_ON, until_on=date(2027, 1, 1))
    assert {"mizuna", "net pots"} <= set(by_name(supplied))
    assert "rockwool cubes" not in by_name(supplied)


def test_parts_of_a_brew_are_needed_when_it_is_begun() -> None:
    """800 g of castings in 10 litres are 163 g in the 2.037 litres that steep on 23 October for 11 litres."""
    measure: StockUnit = "grams"
    castings = Item(name="worm castings", measure=measure, have=100.0, pack=1000.0)
    supplied = by_name(supplies(SMALL, garden=a_priced_garden(nutrient="castings brew", stock=(castings,))))
    assert supplied["worm castings"].needed == pytest.approx(800 * 11 / 6 / 0.9 / 10)
    assert supplied["worm castings"].short_on == PLANTED_ON - timedelta(1)
    assert supplied["worm castings"].order_by == PLANTED_ON - timedelta(8)


def test_seeds_come_first_and_water_last() -> None:
    """Supplies are in the order in which they are used."""
    names = [supply.item.name for supply in supplies(SMALL).supplies]
    assert names[0] == "mizuna"
    assert names[-1] == "tap water"
