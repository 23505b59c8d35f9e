"""Supplies and costs on the terminal, from figures made by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from steadysow.inputs.garden import Garden
from steadysow.inputs.stock import Item
from steadysow.outputs import terminal
from steadysow.upkeep.power import DeviceUse, MonthUse, PowerUse
from steadysow.upkeep.supplies import Supplies, Supply
from unit.outputs.terminal.drawn import WIDTHS, drawn, words

SATURDAY = date(2026, 10, 3)

SEEDS = Supply(
    item=Item(name="mizuna", measure="seeds", have=24.0, pack=100.0, price=2.50),
    needed=64.0,
    is_kept=False,
    missing=40.0,
    short_on=date(2026, 11, 14),
    order_by=date(2026, 11, 7),
)
POTS = Supply(
    item=Item(name="net pots", measure="pieces", have=12.0),
    needed=8.0,
    is_kept=True,
    missing=0.0,
    short_on=None,
    order_by=None,
)
# 10 kWh at 0.20 EUR.
LAMP = DeviceUse(kind="lamp", place="shelf", months=(MonthUse(month_on=date(2026, 10, 1), kwh=10.0, cost=2.0),))
POWER = PowerUse(devices=(LAMP,), currency="EUR", harvested_grams=2000.0, unknown=())
SUPPLIES = Supplies(
    from_on=SATURDAY, until_on=date(2026, 12, 5), supplies=(SEEDS, POTS), power=POWER, notes=("One note.",)
)


def shown(garden: Garden, supplies: Supplies, width: int = 100) -> str:
    """Give the view of supplies without line breaks and alignment."""
    return words(drawn(lambda c: terminal.supplies(c, garden, supplies), width))


@pytest.mark.parametrize("width", WIDTHS)
def test_each_supply_is_a_row(garden: Garden, width: int) -> None:
    """A row shows need, stock, what is missing, by when to order how many packs, and the cost of what is used up."""
    text = shown(garden, SUPPLIES, width)
    assert text.startswith("Supplies from Sat 3 Oct to Fri 4 Dec What Needed In stock Missing Order by Cost ")
    # 64 of 100 seeds at 2.50.
    assert "mizuna, seeds 64 24 40 Sat 7 Nov: 1 pack 1.60 EUR" in text
    # Pots are washed and used again, so they cost nothing.
    assert "net pots, in use 8 12 Power" in text
    assert "Oct 2026 10.0 kWh 2.00 EUR" in text
    assert text.endswith("One note.")


def test_costs_are_shown_in_sentences(garden: Garden) -> None:
    """1.60 for seeds and 2.00 for power are 3.60, for 2 kg of harvest; a pack to order costs 2.50."""
    text = shown(garden, SUPPLIES)
    assert "A kilogram takes 5.0 kWh of power, which costs 1.00 EUR." in text
    assert "Everything you use up costs 3.60 EUR." in text
    assert "You harvest 2 kg. That is 0.18 EUR for each 100 g." in text
    assert "Everything you need to order costs 2.50 EUR." in text
    assert "You counted your stock" not in text


def test_unknown_prices_are_named(garden: Garden) -> None:
    """A thing without a price is named where its cost is left out; without any price there is only a remedy."""
    bare = replace(SEEDS, item=Item(name="kale", measure="seeds"), missing=64.0)
    text = shown(garden, replace(SUPPLIES, supplies=(SEEDS, bare)))
    assert "Everything you use up costs 3.60 EUR, without kale (price unknown)." in text
    assert "Everything you need to order costs 2.50 EUR, without kale (price unknown)." in text
    free = replace(SUPPLIES, supplies=(bare,), power=replace(POWER, devices=(), currency=None))
    text = shown(garden, free)
    assert "No price is known. Add pack and price under stock, and a tariff." in text
    assert "Everything" not in text
    assert "Power" not in text


def test_an_overdue_order_is_due_now(garden: Garden) -> None:
    """An order that should have been placed already is due now; without a known pack its number is left out."""
    late = replace(SEEDS, order_by=SATURDAY)
    assert "now: 1 pack" in shown(garden, replace(SUPPLIES, supplies=(late,)))
    loose = replace(late, item=replace(SEEDS.item, pack=None))
    assert " 40 now Power" in shown(garden, replace(SUPPLIES, supplies=(loose,)))


def test_unknown_power_has_its_remedy(garden: Garden) -> None:
    """A device of unknown power shows as unknown, and the sentence that says what to write follows."""
    month = MonthUse(month_on=date(2026, 10, 1), kwh=None, cost=None)
    power = replace(POWER, devices=(replace(LAMP, months=(month,)),), unknown=("Add watts.",))
    text = shown(garden, replace(SUPPLIES, power=power))
    assert "Oct 2026 unknown Add watts. What it costs" in text


def test_the_day_of_the_count_is_shown(garden: Garden) -> None:
    """If the stock was counted on a day, the view says so."""
    counted = replace(garden, stock_counted_on=date(2026, 9, 26))
    text = shown(counted, SUPPLIES)
    assert "You counted your stock on Sat 26 Sep. What the plan has used since then is subtracted." in text


def test_no_supplies_are_shown_in_words(garden: Garden) -> None:
    """A span that needs nothing says so."""
    assert "You need nothing." in shown(garden, replace(SUPPLIES, supplies=()))
