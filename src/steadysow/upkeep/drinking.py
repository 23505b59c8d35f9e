"""How much water the plants of a tote drink, day by day.

Takes a garden, a filling of a tote and its batches; gives millilitres by day.  Hides how light, growth and moves from
tote to tote share a plant's litres among its days.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from datetime import date, timedelta

from steadysow.growth.daylight import conditions_at
from steadysow.growth.uptake import GrowthSpell, litres_by_day, spells
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden
from steadysow.plan.batch import Batch
from steadysow.upkeep.fillings import Filling

_ONE_DAY = timedelta(days=1)


def drunk_ml(garden: Garden, batches: Sequence[Batch], filling: Filling) -> dict[date, int]:
    """Give what the plants of a filling drink each day, if the tote never runs dry [mL].

    A batch whose crop is no longer in the garden drinks nothing here: nobody knows how much it drank.

    Parameters
    ----------
    garden
        The garden.
    batches
        The batches of the filling.
    filling
        The filling.
    """
    litres: dict[date, float] = defaultdict(float)
    place = next((place for place in garden.places if place.name == filling.place), None)
    span_days = (filling.until_on - filling.from_on).days
    # Old batches may have stood at a place that is no longer in the garden.  Its light is unknown.
    light = (1.0,) * span_days
    if place is not None:
        light = conditions_at(place, filling.from_on, span_days, garden.sky).dli_mol
    mean = sum(light) / span_days if span_days else 1.0
    for batch in (batch for batch in batches if batch.crop in garden.crops):
        here = [stay for stay in batch.stays if stay.tote == filling.tote]
        for spell, plants in _spells_of(garden.crops[batch.crop], batch):
            on = [spell.from_on + number * _ONE_DAY for number in range((spell.until_on - spell.from_on).days)]
            # Days in another tote get the mean light: only that the plant grew on them matters here.
            days = [(day - filling.from_on).days for day in on]
            lit = [light[day] if 0 <= day < span_days else mean for day in days]
            for day, each in zip(on, litres_by_day(spell, lit), strict=True):
                within = filling.from_on <= day < filling.until_on
                if within and any(stay.from_on <= day < stay.until_on for stay in here):
                    litres[day] += plants * each
    return {on: round(1000 * each) for on, each in litres.items()}


def _spells_of(crop: Crop, batch: Batch) -> Iterator[tuple[GrowthSpell, int]]:
    """Give the spells of growth of a batch's plants, and how many plants have each."""
    assert batch.transplanted_on is not None
    assert batch.cleared_on is not None
    entered_on, left_on = batch.transplanted_on, batch.cleared_on
    # Heads without holes were taken before the rest moved here: they drank elsewhere.
    heads = [harvest for harvest in batch.harvests if harvest.kind == "head" and harvest.holes]
    for head in heads:
        taken = [(head.on, head.grams / head.plants)]
        yield from ((spell, head.plants) for spell in spells(crop, entered_on, head.on, taken))
    others = batch.plants_left
    if others <= 0:
        return
    cuts = [(cut.on, cut.grams / cut.plants) for cut in batch.harvests if cut.kind != "head" and cut.plants]
    yield from ((spell, others) for spell in spells(crop, entered_on, left_on, cuts))
