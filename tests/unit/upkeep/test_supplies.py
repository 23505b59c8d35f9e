"""Supplies: what is needed, missing, to be ordered, and what it costs; every expected figure is worked out by hand."""

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

# Six mizuna, planted on 24 October, of which a gram each is cut a week later.  They drink 2 / 60 litres a gram, 0.2
# litres in all, so that their tote needs nothing but its 11 litres.
SMALL = a_batch(cleared_on=CUT_ON, harvests=(replace(taking("cut", 1, CUT_ON, (1, 2, 3, 4, 5, 6)), grams=6.0),))

PRICED = (
    Item(name="mizuna", measure="seeds", have=5.0, pack=24.0, price=2.00),
    Item(name="rockwool cubes", measure="pieces", have=2.0, pack=100.0, price=9.00),
    Item(name="powder", measure="grams", have=100.0, pack=1000.0, price=10.00),
    Item(name="tap water", measure="litres", pack=1000.0, price=2.20),
)


def a_priced_garden(**changes: Any) -> Garden:
    """Give a garden of which every price is known: a lamp of 40 W for 14 hours, a pump of 5 W, a kWh at 0.25."""
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


def by_name(told: Supplies) -> dict[str, Supply]:
    """Give supplies by what they are of."""
    return {supply.item.name: supply for supply in told.supplies}


def test_what_a_small_plan_uses_up() -> None:
    """Seeds and cubes at sowing; 1.3 g powder a litre, and water, for one tote of 11 litres; six pots, 0.1 L each."""
    told = by_name(supplies(SMALL))
    assert {name: supply.needed for name, supply in told.items()} == pytest.approx(
        {
            "mizuna": 12.0,
            "rockwool cubes": 6.0,
            "net pots": 6.0,
            "powder": 14.3,
            "clay pebbles": 0.6,
            "tap water": 11.0,
        }
    )
    assert {name for name, supply in told.items() if supply.is_kept} == {"net pots", "clay pebbles"}


def test_what_a_small_plan_costs() -> None:
    """At the price of the part of a pack that is used; what is washed and used again costs nothing.

    Lamp: 28 days (3 to 30 October) of 14 hours at 40 W, 15.68 kWh.  Pump: 7 days and nights at 5 W, 0.84 kWh.
    """
    told = supplies(SMALL)
    costs = {name: supply.cost for name, supply in by_name(told).items()}
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
    assert told.power.kwh == pytest.approx(15.68 + 0.84)
    assert told.cost == pytest.approx(1.00 + 0.54 + 0.143 + 0.0242 + 4.13)
    assert told.grams == 6.0
    assert told.cost_a_100_g == pytest.approx(5.8372 / 6 * 100)
    assert told.unpriced == ()


def test_missing_is_ordered_in_whole_packs_and_in_time() -> None:
    """Of 12 seeds 5 are there, short on 3 October; of 6 cubes 2; of the powder there is enough, of water always."""
    told = supplies(SMALL)
    of = by_name(told)
    seeds, cubes = of["mizuna"], of["rockwool cubes"]
    assert (seeds.missing, seeds.packs, seeds.order_cost) == (7.0, 1, 2.00)
    assert (seeds.short_on, seeds.order_by) == (SOWN_ON, SOWN_ON - timedelta(7))
    assert (cubes.missing, cubes.packs, cubes.order_cost) == (4.0, 1, 9.00)
    for name in ("powder", "tap water"):
        assert (of[name].missing, of[name].packs, of[name].short_on, of[name].order_by) == (0.0, 0, None, None)
    # Nobody told of a pack of pots: they are missing, and what they would cost is not known.
    assert (of["net pots"].missing, of["net pots"].packs, of["net pots"].order_cost) == (6.0, None, None)
    assert of["net pots"].order_by == PLANTED_ON - timedelta(7)
    assert told.order_cost == pytest.approx(11.00)


@given(have=st.integers(0, 100), needed=st.integers(0, 200), pack=st.floats(0.5, 60.0), price=st.floats(0.0, 50.0))
def test_packs_are_the_fewest_that_do(have: int, needed: int, pack: float, price: float) -> None:
    """With them there is enough, and with one less there would not be; they cost each the price of one."""
    item = Item(name="mizuna", measure="seeds", have=have, pack=pack, price=price)
    missing = max(0.0, float(needed - have))
    supply = Supply(item=item, needed=needed, is_kept=False, missing=missing, short_on=None, order_by=None)
    assert supply.packs is not None
    assert supply.packs == math.floor(supply.packs)
    assert supply.packs * pack >= missing - 0.001
    assert supply.packs == 0 or (supply.packs - 1) * pack < missing
    assert supply.order_cost == supply.packs * price


def test_what_is_used_again_counts_at_its_peak() -> None:
    """Six plants until 28 November; four more from 14 November on, four others from 12 December: ten at a time."""
    second = a_batch(13, (7, 8, 9, 10), transplanted_on=date(2026, 11, 14), cleared_on=date(2026, 12, 12), harvests=())
    third = a_batch(14, (1, 2, 3, 4), transplanted_on=date(2026, 12, 12), cleared_on=date(2027, 1, 9), harvests=())
    pots = replace(PRICED[0], name="net pots", measure="pieces", have=8.0, pack=5.0, price=3.0)
    garden = a_priced_garden(stock=(pots,))
    told = by_name(supplies(a_batch(), second, third, garden=garden))
    assert told["net pots"].needed == 10.0
    assert told["clay pebbles"].needed == pytest.approx(1.0)
    assert (told["net pots"].missing, told["net pots"].packs) == (2.0, 1)
    assert told["net pots"].short_on == date(2026, 11, 14)


def test_pots_that_stand_already_are_in_use() -> None:
    """From 1 November nothing is planted any more, and six pots are in use until they are empty; then none is."""
    told = by_name(supplies(a_batch(), from_on=date(2026, 11, 1)))
    assert told["net pots"].needed == 6.0
    assert "net pots" not in by_name(supplies(a_batch(), from_on=date(2026, 11, 28)))


def test_what_nobody_priced_is_told() -> None:
    """Without the price of powder and tariff; the cost is that of the rest.  With no price at all there is none."""
    stock = tuple(item for item in PRICED if item.name != "powder")
    told = supplies(SMALL, garden=a_priced_garden(stock=stock, tariff=None))
    assert told.unpriced == ("powder", "power")
    assert told.cost == pytest.approx(1.00 + 0.54 + 0.0242)
    assert told.is_priced
    bare = supplies(SMALL, garden=a_priced_garden(stock=(), tariff=None))
    assert (bare.is_priced, bare.cost, bare.order_cost) == (False, 0.0, 0.0)
    assert set(bare.unpriced) == {"mizuna", "rockwool cubes", "powder", "tap water", "power"}


def test_without_a_harvest_nothing_costs_so_much_a_gram() -> None:
    """The span ends before the cut."""
    told = supplies(SMALL, until_on=CUT_ON)
    assert (told.grams, told.cost_a_100_g) == (0.0, None)


def test_a_span_takes_its_own_days_only() -> None:
    """From the day after the sowing on, no seed and no cube is needed; until planting, no water."""
    later = by_name(supplies(SMALL, from_on=SOWN_ON + timedelta(1)))
    assert "mizuna" not in later
    assert "rockwool cubes" not in later
    assert "tap water" in later
    assert set(by_name(supplies(SMALL, until_on=PLANTED_ON))) == {"mizuna", "rockwool cubes"}


def test_what_was_used_since_the_count_is_no_longer_at_hand() -> None:
    """30 seeds were counted on 1 October, 12 are sown on the 3rd; asked on the 10th, 18 are left for 24 to come."""
    later = [
        a_batch(id, state="sown", sown_on=on, transplanted_on=None, cleared_on=None, harvests=(), emerges_on=None)
        for id, on in ((13, date(2026, 10, 17)), (14, date(2026, 10, 31)))
    ]
    seeds = replace(PRICED[0], have=30.0)
    asked = {"from_on": date(2026, 10, 10)}
    counted = a_priced_garden(stock=(seeds,), stock_counted_on=date(2026, 10, 1))
    told = by_name(supplies(a_batch(recorded=("sown",)), *later, garden=counted, **asked))["mizuna"]
    assert (told.item.have, told.needed, told.missing) == (18.0, 24.0, 6.0)
    assert told.short_on == date(2026, 10, 31)
    # Nobody tells when it was counted: on the day of asking.
    fresh = by_name(supplies(a_batch(), *later, garden=a_priced_garden(stock=(seeds,)), **asked))["mizuna"]
    assert (fresh.item.have, fresh.missing) == (30.0, 0.0)


def test_only_the_nursery_takes_cubes() -> None:
    """What is sown in its pot stands in pebbles."""
    crops = {"mizuna": replace(CROPS["mizuna"], sown_in="pot")}
    garden = replace(a_priced_garden(), crops=crops)
    plan = a_plan(replace(SMALL, transplanted_on=SOWN_ON))
    told = supplies_of(garden, plan, keep_books(garden, plan), from_on=SOWN_ON, until_on=date(2027, 1, 1))
    assert {"mizuna", "net pots"} <= set(by_name(told))
    assert "rockwool cubes" not in by_name(told)


def test_parts_of_a_brew_are_needed_when_it_is_begun() -> None:
    """800 g of castings in 10 litres; 11 / 6 litres of brew, a tenth lost: 2.037 litres steep, 163 g, on 23 October."""
    measure: StockUnit = "grams"
    castings = Item(name="worm castings", measure=measure, have=100.0, pack=1000.0)
    told = by_name(supplies(SMALL, garden=a_priced_garden(nutrient="castings brew", stock=(castings,))))
    assert told["worm castings"].needed == pytest.approx(800 * 11 / 6 / 0.9 / 10)
    assert told["worm castings"].short_on == PLANTED_ON - timedelta(1)
    assert told["worm castings"].order_by == PLANTED_ON - timedelta(8)


def test_seeds_come_first_and_water_last() -> None:
    """In the order in which they are used."""
    names = [supply.item.name for supply in supplies(SMALL).supplies]
    assert names[0] == "mizuna"
    assert names[-1] == "tap water"
