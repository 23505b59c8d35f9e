"""Supplies, power and what they cost."""

from __future__ import annotations

import math
from collections.abc import Iterable
from datetime import date, timedelta

from rich.console import Console

from steadysow.amounts import (
    Units,
    counted,
    day_text,
    listed,
    litres_text,
    part_text,
    total_weight_text,
    weight_text,
)
from steadysow.inputs.garden import Garden
from steadysow.inputs.stock import StockUnit
from steadysow.outputs.terminal.drawing import add_row, new_table, print_sentence, print_table, print_title
from steadysow.upkeep.power import DeviceUse, PowerUse
from steadysow.upkeep.supplies import Supplies, Supply


def supplies(console: Console, garden: Garden, supplies: Supplies) -> None:
    """Show what a plan uses up, what is missing and when to order it; then the power, and what it all costs."""
    currency = supplies.power.currency or ""
    table = new_table("What", "Needed", "In stock", "Missing", "Order by", "Cost", right=(1, 2, 3, 5), wrap=(0, 4))
    for supply in supplies.supplies:
        item, units = supply.item, garden.units
        add_row(
            table,
            _supply_name(supply),
            _amount(supply.needed, item.measure, units),
            _amount(item.have, item.measure, units) if item.have else "",
            _amount(supply.missing, item.measure, units) if supply.missing else "",
            _order_text(supply, supplies.from_on),
            "" if supply.cost is None or supply.is_kept else _money(supply.cost, currency),
        )
    span = f"from {day_text(supplies.from_on)} to {day_text(supplies.until_on - timedelta(days=1))}"
    print_table(console, f"Supplies {span}", table, "You need nothing.")
    _power(console, supplies.power)
    print_title(console, "What it costs")
    for sentence in _cost_sentences(garden, supplies, currency):
        print_sentence(console, sentence)
    for note in supplies.notes:
        print_sentence(console, note)
    console.print()


def _supply_name(supply: Supply) -> str:
    if supply.item.measure == "seeds":
        return f"{supply.item.name}, seeds"
    return f"{supply.item.name}, in use" if supply.is_kept else supply.item.name


def _power(console: Console, power: PowerUse) -> None:
    if not power.devices:
        return
    currency = power.currency or ""
    names = [_device_name(device) for device in power.devices]
    table = new_table("Month", *names, "Cost", right=tuple(range(1, len(names) + 2)))
    for month in power.months:
        by_device = [
            next((use for use in device.months if use.month_on == month.month_on), None) for device in power.devices
        ]
        cells = ["" if use is None else "unknown" if use.kwh is None else f"{use.kwh:.1f} kWh" for use in by_device]
        cost = "" if month.cost is None else _money(month.cost, currency)
        add_row(table, f"{day_text(month.month_on).split()[-1]} {month.month_on.year}", *cells, cost)
    print_table(console, "Power", table, "")
    for sentence in power.unknown:
        print_sentence(console, sentence)
    if power.unknown:
        console.print()


def _device_name(device: DeviceUse) -> str:
    return {"pump": "Air pump", "nursery": "Nursery", "lamp": device.place}[device.kind]


def _cost_sentences(garden: Garden, supplies: Supplies, currency: str) -> Iterable[str]:
    if garden.stock_counted_on is not None:
        counted_on = day_text(garden.stock_counted_on)
        yield f"You counted your stock on {counted_on}. What the plan has used since then is subtracted."
    if supplies.power.kwh_a_kg is not None:
        cost = "" if supplies.power.cost_a_kg is None else f", which costs {_money(supplies.power.cost_a_kg, currency)}"
        yield f"A kilogram takes {supplies.power.kwh_a_kg:.1f} kWh of power{cost}."
    if not supplies.is_priced:
        yield "No price is known. Add pack and price under stock, and a tariff."
        return
    without = f", without {listed(supplies.unpriced)} (price unknown)" if supplies.unpriced else ""
    yield f"Everything you use up costs {_money(supplies.cost, currency)}{without}."
    if supplies.cost_a_100_g is not None:
        each = f"{_money(supplies.cost_a_100_g, currency)} for each {weight_text(100, garden.units)}"
        yield f"You harvest {total_weight_text(supplies.grams, garden.units)}. That is {each}."
    missing = [supply for supply in supplies.supplies if supply.missing]
    unknown = [supply.item.name for supply in missing if supply.order_cost is None]
    if len(unknown) < len(missing):
        rest = f", without {listed(unknown)} (price unknown)" if unknown else ""
        yield f"Everything you need to order costs {_money(supplies.order_cost, currency)}{rest}."


def _order_text(supply: Supply, today: date) -> str:
    if supply.order_by is None:
        return ""
    when = "now" if supply.order_by <= today else day_text(supply.order_by)
    return when if supply.packs is None else f"{when}: {counted(supply.packs, 'pack')}"


def _amount(amount: float, measure: StockUnit, units: Units) -> str:
    match measure:
        case "seeds" | "pieces":
            return f"{math.ceil(amount - 1e-9)}"
        case "litres":
            return litres_text(amount, units)
        case "grams":
            return part_text(amount, None, units)
        case "ml":
            return part_text(None, amount, units)


def _money(amount: float, currency: str) -> str:
    return f"{amount:.2f} {currency}".rstrip()
