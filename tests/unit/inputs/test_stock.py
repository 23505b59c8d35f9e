"""The stock is read in the units of the file, and every fault has its line."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from steadysow.errors import Fault
from steadysow.inputs.garden import Garden
from steadysow.inputs.garden_file import read_garden
from steadysow.inputs.stock import ORDER_DAYS, Item, item_of

FaultsOf = Callable[[str], tuple[Fault, ...]]

RECIPES = """\
recipes:
  brew: {makes_litres: 10, steep_hours: 24, water_to_one: 5, parts: {worm castings: {grams: 800}}}
  bottle: {parts: {bottle A: {ml_per_litre: 2, grams_per_ml: 1.2, percent: {N: 5}}}}
"""


def read_with(folder: Path, garden_text: str, more: str) -> Garden:
    """Read a garden file with some lines more."""
    (folder / "garden.yaml").write_text(f"{garden_text}{RECIPES}{more}", encoding="utf-8")
    return read_garden(folder)


def test_every_thing_is_counted_in_what_suits_it(folder: Path, garden_text: str) -> None:
    """Things are counted in seeds, pieces, litres, grams or millilitres, a pack in the same; a thing left out is 0."""
    stock = """\
stock_counted_on: 2026-10-03
stock:
  plain lettuce: {seeds: 240, pack: 400, price: 2.60}
  rockwool cubes: {pieces: 150, pack: 100}
  clay pebbles: {litres: 8.5}
  worm castings: {grams: 4000}
  bottle A: {ml: 500, pack: 1000, price: 12}
  powder: {}
  tap water: {pack: 1000, price: 0}
"""
    garden = read_with(folder, garden_text, stock)
    assert garden.stock == (
        Item(name="plain lettuce", measure="seeds", have=240.0, pack=400.0, price=2.60),
        Item(name="rockwool cubes", measure="pieces", have=150.0, pack=100.0),
        Item(name="clay pebbles", measure="litres", have=8.5),
        Item(name="worm castings", measure="grams", have=4000.0),
        Item(name="bottle A", measure="ml", have=500.0, pack=1000.0, price=12.0),
        Item(name="powder", measure="grams"),
        Item(name="tap water", measure="litres", pack=1000.0, price=0.0),
    )


def test_days_of_orders_and_counting_are_read(folder: Path, garden_text: str) -> None:
    """Order days and the day of counting are read; by default an order takes a week."""
    more = "order_days: 12\nstock_counted_on: 2026-10-01\nstock: {net pots: {pieces: 4}}\n"
    garden = read_with(folder, garden_text, more)
    assert (garden.order_days, garden.stock_counted_on) == (12, date(2026, 10, 1))
    plain = read_with(folder, garden_text, "")
    assert (plain.order_days, plain.stock_counted_on, plain.stock) == (ORDER_DAYS, None, ())


def test_us_units_are_ounces_and_gallons(folder: Path, garden_text: str) -> None:
    """An ounce is 28.349523125 g and a gallon 3.785411784 L (NIST Handbook 44, from memory); metric stays allowed."""
    stock = """\
units: us
stock_counted_on: 2026-10-03
stock:
  worm castings: {ounces: 10, pack: 100, price: 11}
  clay pebbles: {gallons: 2, pack: 5}
  powder: {grams: 10, pack: 20}
  tap water: {pack: 1000, price: 8}
  bottle A: {ml: 5}
  plain lettuce: {seeds: 3}
"""
    by_name = {item.name: item for item in read_with(folder, garden_text, stock).stock}
    assert by_name["worm castings"].have == pytest.approx(283.49523125)
    assert by_name["worm castings"].pack == pytest.approx(2834.9523125)
    assert by_name["worm castings"].price == 11
    assert (by_name["clay pebbles"].have, by_name["clay pebbles"].pack) == pytest.approx((7.570823568, 18.92705892))
    assert (by_name["powder"].have, by_name["powder"].pack) == (10.0, 20.0)
    assert by_name["tap water"].pack == pytest.approx(3785.411784)
    assert (by_name["bottle A"].have, by_name["plain lettuce"].have) == (5.0, 3.0)


@pytest.mark.parametrize(
    ("stock", "where", "wrong", "write"),
    [
        ("plain lettuce: {seeds: -1}", "stock.plain lettuce.seeds", "-1", "0"),
        (
            "plain letuce: {seeds: 10}",
            "stock.plain letuce",
            'does not use "plain letuce"',
            "Did you mean plain lettuce?",
        ),
        (
            "rockwool cube: {pieces: 10}",
            "stock.rockwool cube",
            'does not use "rockwool cube"',
            "Did you mean rockwool cubes?",
        ),
        ("plain lettuce: {seeds: 10, price: 2}", "stock.plain lettuce.price", "pack of unknown size", "Add pack"),
        ("plain lettuce: {seeds: 10, pack: 0}", "stock.plain lettuce.pack", "0", "above 0"),
        ("plain lettuce: {grams: 10}", "stock.plain lettuce", "grams", "seeds"),
        ("worm castings: {litres: 10}", "stock.worm castings", "litres", "grams"),
        ("worm castings: {ounces: 10}", "stock.worm castings", "ounces", "grams"),
        ("plain lettuce: 12", "stock.plain lettuce", "has no keys", "seeds, pack, price"),
    ],
)
def test_faults_say_where_what_and_what_to_write(
    faults_of: FaultsOf, garden_text: str, stock: str, where: str, wrong: str, write: str
) -> None:
    """Each mistake gives one fault with its thing, its line, what is wrong and what to write."""
    before = f"{garden_text}{RECIPES}stock_counted_on: 2026-10-03\nstock:\n"
    (fault,) = faults_of(f"{before}  {stock}\n")
    assert fault.field.startswith(where)
    assert fault.line == 1 + len(before.splitlines())
    assert wrong in str(fault)
    assert write in str(fault)


def test_all_faults_are_reported_at_once(faults_of: FaultsOf, garden_text: str) -> None:
    """Three things have a fault each, the order days another, and the day of counting is missing."""
    text = "stock:\n  plain lettuce: {seeds: -1}\n  basil: {seeds: 1}\n  net pots: {pieces: many}\norder_days: 0\n"
    fields = {fault.field for fault in faults_of(garden_text + text)}
    assert fields == {
        "stock.plain lettuce.seeds",
        "stock.basil",
        "stock.net pots.pieces",
        "order_days",
        "stock_counted_on",
    }


def test_the_same_in_two_units_is_a_fault(faults_of: FaultsOf, garden_text: str) -> None:
    """Ounces beside grams leave open which is right."""
    (fault,) = faults_of(
        f"units: us\nstock_counted_on: 2026-10-03\n{garden_text}stock: {{powder: {{grams: 28, ounces: 1}}}}\n"
    )
    assert fault.field == "stock.powder.ounces"
    assert "says the same as grams" in str(fault)


def test_a_thing_that_is_not_in_the_stock_is_not_at_hand() -> None:
    """None of it is at hand, and its price is unknown."""
    stock = (Item(name="kale", measure="seeds", have=5.0),)
    assert item_of(stock, "kale", "seeds").have == 5.0
    assert item_of(stock, "powder", "grams") == Item(name="powder", measure="grams")
