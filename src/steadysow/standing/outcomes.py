"""What the journal says about finished batches: how long they took and what they gave, beside the published profile.

Takes facts; gives `BatchOutcome` and `SowingOutcome`, from which `growth.learnt` makes factors.  Hides what the day of
a harvest means: before the due day the crop is faster, after the planned day it is slower; an on-time harvest confirms
the figure but does not change it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date
from statistics import fmean

from steadysow.growth.learnt import BatchOutcome, SowingOutcome
from steadysow.inputs.garden import Garden
from steadysow.inputs.journal import Fact, FactKind


def batch_outcomes(facts: Iterable[Fact], garden: Garden) -> tuple[BatchOutcome, ...]:
    """Give what each harvested batch says about its crop: its days by the first harvest, its grams by all weighed ones.

    Parameters
    ----------
    facts
        The facts that stand, by day.
    garden
        The garden; batches of crops that it does not have are left out.
    """
    outcomes = []
    for batch in _by_batch(facts).values():
        sown = _first(batch, "sown")
        harvests = [fact for fact in batch if fact.kind == "harvested"]
        if sown is None or sown.crop not in garden.crops or not harvests:
            continue
        planted = _first(batch, "transplanted") or sown
        weighed = [fact for fact in harvests if fact.grams is not None and fact.planned_grams]
        ratios = [fact.grams / fact.planned_grams for fact in weighed if fact.grams and fact.planned_grams]
        outcome = BatchOutcome(
            crop=sown.crop,
            place=_place_of(planted, sown, garden),
            days_ratio=days_ratio(harvests[0], planted.on),
            grams_ratio=fmean(ratios) if ratios else None,
        )
        if outcome.days_ratio is not None or outcome.grams_ratio is not None:
            outcomes.append(outcome)
    return tuple(outcomes)


def days_ratio(harvest: Fact, planted_on: date) -> float | None:
    """Give the days to a first harvest over those of the published profile [-]; ``None`` where that is not known.

    Parameters
    ----------
    harvest
        The first harvest of a batch.
    planted_on
        The day from which the days count.
    """
    if harvest.due_on is None or harvest.published_on is None or harvest.published_on <= planted_on:
        return None
    published_days = (harvest.published_on - planted_on).days
    due_days = (harvest.due_on - planted_on).days
    if harvest.on < harvest.due_on:
        return (harvest.on - planted_on).days / published_days
    late_days = max(0, (harvest.on - max(harvest.due_on, harvest.planned_on or harvest.on)).days)
    return (due_days + late_days) / published_days


def sowing_outcomes(facts: Iterable[Fact], garden: Garden) -> tuple[SowingOutcome, ...]:
    """Give what came up in each sowing whose emerged cells were counted.

    Parameters
    ----------
    facts
        The facts that stand, by day.
    garden
        The garden, with the packets of seeds at hand.
    """
    outcomes = []
    packed_in = {packet.crop: packet.packed_in for packet in garden.packets}
    for batch in _by_batch(facts).values():
        sown, emerged = _first(batch, "sown"), _first(batch, "emerged")
        if sown is None or emerged is None or emerged.plants is None or not sown.cells:
            continue
        outcome = SowingOutcome(
            crop=sown.crop,
            packed_in=packed_in.get(sown.crop),
            cells=sown.cells,
            seeds_a_cell=max(1, (sown.seeds or sown.cells) // sown.cells),
            cells_up=min(emerged.plants, sown.cells),
            sown_year=sown.on.year,
        )
        outcomes.append(outcome)
    return tuple(outcomes)


def _by_batch(facts: Iterable[Fact]) -> dict[int, list[Fact]]:
    by_batch: dict[int, list[Fact]] = defaultdict(list)
    for fact in facts:
        if fact.batch is not None:
            by_batch[fact.batch].append(fact)
    return by_batch


def _first(facts: Sequence[Fact], kind: FactKind) -> Fact | None:
    return next((fact for fact in facts if fact.kind == kind), None)


def _place_of(planted: Fact, sown: Fact, garden: Garden) -> str:
    tote = next((tote for tote in garden.totes if tote.name == planted.tote), None)
    return (garden.place_of(tote, planted.on) if tote is not None else None) or sown.place
