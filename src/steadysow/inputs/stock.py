"""What is at hand for the garden, and what more of it costs: the type and its reader.

Takes the ``stock`` of a garden file; gives frozen `Item` values.  Hides the units in which things are counted.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from steadysow.amounts import Units, grams_of, litres_of
from steadysow.inputs.values import Value, find_measure, suggestion

StockUnit = Literal["seeds", "pieces", "litres", "grams", "ml"]

CUBES, POTS, PEBBLES, WATER = "rockwool cubes", "net pots", "clay pebbles", "tap water"

# What every garden uses, and how it is counted.
USUAL_ITEMS: Mapping[str, StockUnit] = {CUBES: "pieces", POTS: "pieces", PEBBLES: "litres", WATER: "litres"}

# Our estimate: an order arrives within a week [d].
ORDER_DAYS = 7

_MOST = 100_000

_US_KEYS: Mapping[StockUnit, str] = {"grams": "ounces", "litres": "gallons"}
_FACTORS = {"ounces": grams_of(1.0), "gallons": litres_of(1.0)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """A thing that a garden uses up.

    Attributes
    ----------
    name
        A crop, for its seeds; a part of a recipe; or one of `USUAL_ITEMS`.
    measure
        The unit it is counted in.
    have
        How much of it is at hand.
    pack
        How much a pack contains, or ``None``.
    price
        What a pack costs, in the currency of the tariff, or ``None``.
    """

    name: str
    measure: StockUnit
    have: float = 0.0
    pack: float | None = None
    price: float | None = None


def item_of(stock: Iterable[Item], name: str, measure: StockUnit) -> Item:
    """Give a thing by its name; if it is not in the stock, none of it is at hand and its price is unknown."""
    return next((item for item in stock if item.name == name), Item(name=name, measure=measure))


def read_stock(value: Value, *, known: Mapping[str, StockUnit], units: Units) -> tuple[Item, ...]:
    """Read the stock.

    Parameters
    ----------
    value
        The value of ``stock``: things by name.
    known
        The things that the garden can use beside `USUAL_ITEMS`, and their units.
    units
        The units of the file.
    """
    measures = {**known, **USUAL_ITEMS}
    items = []
    for entry in value.entries():
        if entry.name in measures:
            items.append(_read_item(entry, measures[entry.name], units))
        else:
            entry.fault(f'this garden does not use "{entry.name}"', suggestion(entry.name, tuple(measures)))
    return tuple(items)


def _read_item(entry: Value, measure: StockUnit, units: Units) -> Item:
    us_key = _US_KEYS.get(measure) if units == "us" else None
    item = entry.section(*(key for key in (measure, us_key) if key), "pack", "price")
    have = find_measure(item, metric_key=measure, us_key=us_key, units=units) if us_key else item.find(measure)
    # A pack is counted in the unit of the thing.
    factor = _FACTORS.get(have.name if have else us_key or measure, 1.0)
    pack, price = item.find("pack"), item.find("price")
    if price and not pack:
        price.fault("is the price of a pack of unknown size", f"Add pack: the number of {us_key or measure} in it")
    return Item(
        name=entry.name,
        measure=measure,
        have=factor * have.number(least=0, most=_MOST) if have else 0.0,
        pack=factor * pack.number(above=0, most=_MOST) if pack else None,
        price=price.number(least=0, most=_MOST) if price else None,
    )
