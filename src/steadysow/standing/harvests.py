"""Recorded harvests beside planned ones: which planned harvest each recorded one answers, and its share of the plants.

Takes facts and planned harvests; gives the harvests of each day, the planned ones they answer, and the holes that stand
for planned holes.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from steadysow.inputs.journal import Fact
from steadysow.plan.batch import Batch, Harvest

# A recorded harvest answers a planned one no further from it than this [d].
ANSWERS_DAYS = 14


@dataclass(frozen=True, slots=True, kw_only=True)
class DayHarvest:
    """All that the journal says was harvested of a batch on one day.

    Attributes
    ----------
    on
        The day.
    plants
        How many plants, or ``None`` if one of the facts does not say.
    grams
        The total weight [g], or ``None`` if nothing was weighed.
    holes
        The holes that were named.
    fact
        The last of the facts.
    """

    on: date
    plants: int | None
    grams: float | None
    holes: tuple[int, ...]
    fact: Fact


def harvests_by_day(facts: Iterable[Fact]) -> tuple[DayHarvest, ...]:
    """Give the recorded harvests of one batch by day; those of the same day count together."""
    by_day: dict[date, DayHarvest] = {}
    for fact in facts:
        if fact.kind != "harvested":
            continue
        before = by_day.get(fact.on)
        plants, grams, holes = len(fact.holes) or fact.plants, fact.grams, fact.holes
        if before is not None:
            plants = None if plants is None or before.plants is None else plants + before.plants
            grams = grams if before.grams is None else before.grams + (grams or 0.0)
            holes = (*before.holes, *holes)
        by_day[fact.on] = DayHarvest(on=fact.on, plants=plants, grams=grams, holes=holes, fact=fact)
    return tuple(by_day[on] for on in sorted(by_day))


def answered(recorded: Sequence[date], planned: Sequence[Harvest]) -> dict[int, int]:
    """Match each recorded harvest with the nearest planned one that no earlier harvest has answered.

    A harvest that an earlier plan took from the journal answers itself while the journal still has it.

    Parameters
    ----------
    recorded
        The days of the recorded harvests, rising.
    planned
        The harvests of the plan.

    Returns
    -------
    dict
        By index in `recorded` the index in `planned`. A harvest that answers none is left out.
    """
    answers: dict[int, int] = {}
    for r, on in enumerate(recorded):
        free = [p for p in range(len(planned)) if p not in answers.values()]
        free = [p for p in free if not planned[p].is_recorded or planned[p].on == on or planned[p].on not in recorded]
        nearest = min(free, key=lambda p: (abs(planned[p].on - on), planned[p].on), default=None)
        if nearest is not None and abs(planned[nearest].on - on).days <= ANSWERS_DAYS:
            answers[r] = nearest
    return answers


def grams_of_plants(harvest: Harvest, plants: int) -> float:
    """Give the planned weight of some of the plants of a harvest [g]."""
    return harvest.grams if plants == harvest.plants else round(harvest.grams * plants / harvest.plants, 2)


def is_elsewhere(planned: Batch, tote: str, holes: Iterable[int]) -> bool:
    """Say whether a batch that was moved stands in another tote or other holes than its plan knows."""
    return planned.tote != tote or not {*holes} <= {*planned.holes}


def holes_now(planned: Sequence[int], now: Sequence[int]) -> dict[int, int]:
    """Say which hole stands for each planned hole that the batch was not planted into."""
    others = [hole for hole in now if hole not in planned]
    return dict(zip([hole for hole in planned if hole not in now], others, strict=False))
