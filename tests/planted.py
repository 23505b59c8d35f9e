"""Plans of tiny gardens made by hand: batches of one crop that stand in a tote, without a planner.

Days are counted from the Saturday of `tiny`.  The light is the same on all of them, so that a plant that needs `litres`
for `days` days drinks a tenth of a grown one's water at first and grows evenly: on day k of them
litres x (0.1 + 0.9 (k + 0.5) / days) / (0.55 days).  Of 5.5 litres in 10 days that is 145 mL, and 90 mL more each day.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from builders import a_batch, a_harvest, a_plan, a_proof, day
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden, Tote
from steadysow.inputs.journal import Fact, FactKind
from steadysow.plan.batch import Batch
from steadysow.plan.plan import Plan
from steadysow.upkeep.water import Refill, WaterBook, keep_books
from tiny import SATURDAY, by_name, make_crop, make_garden, make_want

# Drinks 145 mL on the first of its ten days, and 90 mL more on each.
THIRSTY = make_crop("thirsty", first_days=10, litres_a_plant=5.5)


def planted(
    tote: str,
    enters: int,
    leaves: int,
    plants: int = 1,
    *,
    crop: Crop = THIRSTY,
    number: int = 1,
    harvested: Sequence[int] | None = None,
    **changes: Any,
) -> Batch:
    """Give a batch in a tote by day numbers, after a week in the nursery; harvested as it leaves, or on these days."""
    holes = range(1, plants + 1)
    grams = crop.harvest.grams
    harvests = tuple(
        a_harvest(day(on), holes, crop.harvest.kind, number=place + 1, grams=plants * grams[min(place, len(grams) - 1)])
        for place, on in enumerate((leaves,) if harvested is None else harvested)
    )
    facts: dict[str, Any] = {
        "crop": crop.name, "tote": tote, "sown_on": day(enters - 7), "emerges_on": None,
        "transplanted_on": day(enters), "cleared_on": day(leaves), "harvests": harvests,
    }  # fmt: skip
    return a_batch(number, holes, **(facts | changes))


def plan_of(*batches: Batch) -> Plan:
    """Give a plan of these batches, begun on day 0."""
    return a_plan(*batches, garden="tiny", uuid="", until_on=day(300), proof=a_proof(seconds=0))


def garden_of(*totes: Tote, chore_days: tuple[int, ...] = (SATURDAY,), **changes: Any) -> Garden:
    """Give a garden of these totes, in which somebody works on Saturdays."""
    garden = make_garden(totes, [make_want([THIRSTY], 1)], weeks=40, chore_days=chore_days, harvest_days=chore_days)
    return replace(garden, **changes)


def fact(kind: FactKind, on: int, tote: str = "A", **said: Any) -> Fact:
    """Give a fact of a tote."""
    return Fact(kind=kind, on=day(on), tote=tote, **said)


def level(on: int, cm: float | None, tote: str = "A", **said: Any) -> Fact:
    """Give a measured level."""
    return fact("measured", on, tote, what="level", value=cm, **said)


def books_of(
    garden: Garden, *batches: Batch, facts: Iterable[Fact] = (), crops: Iterable[Crop] = (THIRSTY,)
) -> tuple[WaterBook, ...]:
    """Keep the books of these batches."""
    return keep_books(replace(garden, crops=by_name(crops)), plan_of(*batches), facts)


def left_ml(book: WaterBook, on: date) -> int:
    """Give what is in a tote in the evening of a day."""
    return next(each.left_ml for each in book.days if each.on == on)


def listed(refills: Iterable[Refill]) -> list[tuple[str, int, date, int]]:
    """Give the kind, number, day and millilitres of refills."""
    return [(refill.kind, refill.number, refill.on, refill.ml) for refill in refills]


def balances(book: WaterBook) -> bool:
    """Say whether every day of a book balances, and all of them together."""
    before = 0
    for each in book.days:
        there = before + each.filled_ml + each.topped_up_ml + each.corrected_ml
        if there != each.drained_ml + each.used_ml + each.left_ml:
            return False
        before = each.left_ml
    came = sum(each.filled_ml + each.topped_up_ml + each.corrected_ml for each in book.days)
    return before == 0 and came == book.used_ml + sum(each.drained_ml for each in book.days)
