"""A shelf with a tote that has a pump and a still one under one lamp, for tests of light, power and timers.

Takes changes to a garden, and the days of batches; gives them, and a plan of batches.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time, timedelta
from typing import Any

import builders
from builders import a_harvest
from steadysow.inputs.garden import Garden, Lamp, Nursery, Place, Window
from steadysow.inputs.tariff import CheapHours, Tariff
from steadysow.plan.batch import Batch
from steadysow.plan.plan import Plan
from tiny import SATURDAY, make_crop, make_garden, make_tote, make_want

CRESS = make_crop()
FIRST = date(2026, 10, 31)
NOVEMBER, DECEMBER = date(2026, 11, 1), date(2026, 12, 1)

# 200 umol for 14 hours make 10.08 mol.
LAMP = Lamp(dli_mol=10.08, ppfd=200, hours=14, watts=40)
US_CENTS = Tariff(currency="USD", per_kwh=0.1688)
NIGHT = CheapHours(from_clock=time(22), until_clock=time(7), per_kwh=0.12)
NIGHT_RATE = Tariff(currency="EUR", per_kwh=0.30, cheap=(NIGHT,))
HELSINKI = replace(NIGHT_RATE, zone="Europe/Helsinki")
SILL = Place(
    name="shelf",
    temperature_c=20,
    lamp=Lamp(dli_mol=10.08, ppfd=200, hours=14, watts=40, up_to_dli_mol=10),
    window=Window(faces="south", share=0.5),
)


def a_garden(**changes: Any) -> Garden:
    """Give a garden with a pumped tote and a still one under one lamp, and a dark nursery."""
    garden = make_garden(
        [make_tote("A", 4), make_tote("B", 4, "kratky")], [make_want([CRESS], 1)], weeks=40, chore_days=(SATURDAY,)
    )
    shelf = Place(name="shelf", lamp=LAMP, temperature_c=20)
    dark = Nursery(cells=60, place=Place(name="nursery", temperature_c=20))
    given: dict[str, Any] = {"places": (shelf,), "nursery": dark, "tariff": US_CENTS, "air_pump_watts": 3.0, **changes}
    return replace(garden, **given)


def a_batch(
    stands_on: date, until_on: date, tote: str = "A", *, number: int = 1, in_pot: bool = False, grams: float = 100
) -> Batch:
    """Give a batch that stands in a tote from one day to another, after a week in the nursery."""
    heads = a_harvest(until_on, grams=grams)
    sown_on = stands_on if in_pot else stands_on - timedelta(7)
    return builders.a_batch(number, tote=tote, sown_on=sown_on, transplanted_on=stands_on, harvests=(heads,))


def a_plan(*batches: Batch) -> Plan:
    """Give a plan of these batches."""
    return builders.a_plan(*batches, garden="tiny", starts_on=FIRST, until_on=FIRST + timedelta(300))
