"""Supplies: what a plan uses up, what is missing, when to order it, and what it costs.

Takes a garden, a plan and the water books of its totes; gives `Supplies`.  Hides what is used up and what is washed and
used again, and which prices are unknown.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import accumulate

from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden
from steadysow.inputs.stock import CUBES, PEBBLES, POTS, WATER, Item, StockUnit, item_of
from steadysow.plan.plan import Plan
from steadysow.upkeep.feeds import Feed, list_feeds
from steadysow.upkeep.power import PowerUse, power_use
from steadysow.upkeep.seeds import seeds_past_their_life, sown_within
from steadysow.upkeep.water import WaterBook

# Estimate: the pebbles that hold a seedling in a net pot of 5 cm [L].
PEBBLES_A_POT_LITRES = 0.1

# A sum may exceed the stock by this much through rounding.
_DUST = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Supply:
    """How much of one thing a plan needs.

    Attributes
    ----------
    item
        The thing, with the stock at the beginning of the span and the price of a pack.
    needed
        How much is used up in the span; for a thing that is kept, the most that is in use at a time.
    is_kept
        Whether it is washed and used again.
    missing
        How much is needed beyond the stock.
    short_on, order_by
        The first day on which the stock is too small, and the last day at home to order more; ``None`` if the stock is
        enough.
    """

    item: Item
    needed: float
    is_kept: bool
    missing: float
    short_on: date | None
    order_by: date | None

    @property
    def packs(self) -> int | None:
        """How many packs to order, or ``None`` if the size of a pack is unknown."""
        return None if self.item.pack is None else math.ceil(self.missing / self.item.pack - _DUST)

    @property
    def order_cost(self) -> float | None:
        """What these packs cost, or ``None`` if that is unknown."""
        return None if self.packs is None or self.item.price is None else self.packs * self.item.price

    @property
    def cost(self) -> float | None:
        """The cost of the amount that is used up, as a share of a pack's price; ``None`` if that is unknown."""
        if self.is_kept:
            return 0.0
        if self.item.pack is None or self.item.price is None:
            return None
        return self.needed * self.item.price / self.item.pack


@dataclass(frozen=True, slots=True, kw_only=True)
class Supplies:
    """Everything that a plan needs in a span.

    Attributes
    ----------
    from_on, until_on
        The span, half open.
    supplies
        Seeds by crop, then things that hold the plants, nutrients and water.
    power
        The power of lamps and pump.
    notes
        Sentences about seeds that are past their life.
    """

    from_on: date
    until_on: date
    supplies: tuple[Supply, ...]
    power: PowerUse
    notes: tuple[str, ...]

    @property
    def grams(self) -> float:
        """The weight of the harvests in the span [g]."""
        return self.power.harvested_grams

    @property
    def is_priced(self) -> bool:
        """Whether any price is known."""
        return self.power.cost is not None or any(supply.item.price is not None for supply in self.supplies)

    @property
    def unpriced(self) -> tuple[str, ...]:
        """The names of things that the cost leaves out, since their prices are unknown."""
        named = tuple(supply.item.name for supply in self.supplies if supply.cost is None)
        return named if self.power.cost is not None or not self.power.devices else (*named, "power")

    @property
    def cost(self) -> float:
        """The cost of everything that is used up, as far as prices are known."""
        return sum(supply.cost or 0.0 for supply in self.supplies) + (self.power.cost or 0.0)

    @property
    def order_cost(self) -> float:
        """The cost of everything to order, as far as prices are known."""
        return sum(supply.order_cost or 0.0 for supply in self.supplies)

    @property
    def cost_a_100_g(self) -> float | None:
        """The cost of 100 g of greens, as far as prices are known; ``None`` if nothing is harvested."""
        return 100 * self.cost / self.grams if self.grams else None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Need:
    on: date
    name: str
    measure: StockUnit
    amount: float


def supplies_of(garden: Garden, plan: Plan, books: Sequence[WaterBook], *, from_on: date, until_on: date) -> Supplies:
    """Say what a plan needs in a span, what to order, and what it costs.

    Parameters
    ----------
    garden
        The garden.
    plan
        The plan with the journal applied.
    books
        The water book of each filling.
    from_on, until_on
        The span, half open.
    """
    return Supplies(
        from_on=from_on,
        until_on=until_on,
        supplies=things_needed(garden, plan, books, from_on=from_on, until_on=until_on),
        power=power_use(garden, plan, from_on, until_on),
        notes=tuple(seeds_past_their_life(garden, plan, from_on, until_on)),
    )


def things_needed(
    garden: Garden, plan: Plan, books: Sequence[WaterBook], *, from_on: date, until_on: date
) -> tuple[Supply, ...]:
    """Say which things a plan needs in a span, and how much of each to order; seeds first, water last.

    The stock is what was counted, minus what is used up between the count and the beginning of the span.  A later count
    is treated as a count at the beginning of the span.

    Parameters
    ----------
    garden
        The garden.
    plan
        The plan with the journal applied.
    books
        The water book of each filling.
    from_on, until_on
        The span, half open.
    """
    counted_on = min(garden.stock_counted_on or from_on, from_on)
    before: dict[str, float] = defaultdict(float)
    used: dict[tuple[str, StockUnit], list[_Need]] = defaultdict(list)
    for need in _used_up(garden.crops, plan, list_feeds(garden, books, plan.made_on), books, counted_on, until_on):
        if need.on < from_on:
            before[need.name] += need.amount
        else:
            used[need.name, need.measure].append(need)
    supplies = [_used_supply(garden, name, measure, needs, before[name]) for (name, measure), needs in used.items()]
    standing = _plants_by_day(plan, from_on, until_on)
    if any(standing.values()):
        pots = {on: float(count) for on, count in standing.items()}
        pebbles = {on: PEBBLES_A_POT_LITRES * count for on, count in standing.items()}
        supplies.append(_kept_supply(garden, POTS, "pieces", pots))
        supplies.append(_kept_supply(garden, PEBBLES, "litres", pebbles))
    order = {"seeds": 0, "pieces": 1, "grams": 3, "ml": 3, "litres": 4}
    return tuple(sorted(supplies, key=lambda each: (order[each.item.measure], each.item.name)))


def _used_up(
    crops: Mapping[str, Crop],
    plan: Plan,
    feeds: Sequence[Feed],
    books: Sequence[WaterBook],
    from_on: date,
    until_on: date,
) -> Iterator[_Need]:
    for batch in sown_within(plan, from_on, until_on):
        yield _Need(on=batch.sown_on, name=batch.crop, measure="seeds", amount=batch.seeds)
        if crops[batch.crop].sown_in == "nursery":
            yield _Need(on=batch.sown_on, name=CUBES, measure="pieces", amount=batch.cells)
    for feed in feeds:
        on = feed.brew_on or feed.on
        for amount in feed.mix.amounts if from_on <= on < until_on else ():
            if amount.grams is not None:
                yield _Need(on=on, name=amount.part.name, measure="grams", amount=amount.grams)
            elif amount.ml is not None:
                yield _Need(on=on, name=amount.part.name, measure="ml", amount=amount.ml)
    for book in books:
        for day in book.days:
            if from_on <= day.on < until_on and (day.filled_ml or day.topped_up_ml):
                litres = (day.filled_ml + day.topped_up_ml) / 1000
                yield _Need(on=day.on, name=WATER, measure="litres", amount=litres)


def _plants_by_day(plan: Plan, from_on: date, until_on: date) -> dict[date, int]:
    """Count the plants in totes on the first day of a span, and on each day on which plants enter."""
    stays = [
        (batch.transplanted_on, batch.cleared_on, batch.plants)
        for batch in plan.batches
        if batch.transplanted_on is not None and batch.cleared_on is not None
    ]
    days = {from_on, *(entered_on for entered_on, _, _ in stays if from_on <= entered_on < until_on)}
    return {
        on: sum(plants for entered_on, left_on, plants in stays if entered_on <= on < left_on) for on in sorted(days)
    }


def _used_supply(garden: Garden, name: str, measure: StockUnit, needs: Sequence[_Need], used: float) -> Supply:
    item = item_of(garden.stock, name, measure)
    item = replace(item, have=max(0.0, item.have - used))
    ordered = sorted(needs, key=lambda need: need.on)
    totals = accumulate(need.amount for need in ordered)
    short = (need.on for need, total in zip(ordered, totals, strict=True) if total > item.have + _DUST)
    return _supply(garden, item, sum(need.amount for need in needs), next(short, None), is_kept=False)


def _kept_supply(garden: Garden, name: str, measure: StockUnit, in_use: Mapping[date, float]) -> Supply:
    item = item_of(garden.stock, name, measure)
    short = (on for on, amount in sorted(in_use.items()) if amount > item.have + _DUST)
    return _supply(garden, item, max(in_use.values()), next(short, None), is_kept=True)


def _supply(garden: Garden, item: Item, needed: float, short_on: date | None, *, is_kept: bool) -> Supply:
    # Nobody orders tap water.
    is_ordered = short_on is not None and item.name != WATER
    return Supply(
        item=item,
        needed=needed,
        is_kept=is_kept,
        missing=max(0.0, needed - item.have) if is_ordered else 0.0,
        short_on=short_on if is_ordered else None,
        order_by=_at_home_by(garden, short_on - timedelta(garden.order_days)) if is_ordered and short_on else None,
    )


def _at_home_by(garden: Garden, day: date) -> date:
    """Give the last day at home, up to a day and including it."""
    while not garden.at_home(day):
        day -= timedelta(1)
    return day
