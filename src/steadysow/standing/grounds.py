"""What a saying is understood by, and what is odd in the facts made of it.

Takes the garden, its crops as learnt, the plan in force and the journal; gives what stands on any day
with more facts than the journal has, and sentences about facts that can be but are worth a second look.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date

from steadysow.amounts import weight_text
from steadysow.growth.daylight import conditions_at
from steadysow.growth.timeline import transplant_window
from steadysow.inputs.crops import Crop, share_reservoir
from steadysow.inputs.garden import Garden, carried
from steadysow.inputs.journal import Fact, FactKind, Journal, imagined
from steadysow.plan.batch import Batch
from steadysow.plan.plan import Plan
from steadysow.standing.standing import Standing, standing_as_recorded

# A weight this many times more, or less, than forecast is worth asking about; so is a stage this far from its days [d].
ODD_TIMES, ODD_DAYS = 3.0, 7

# Days of conditions looked at round a batch [d].
SPAN_DAYS = 800


@dataclass(frozen=True, slots=True, kw_only=True)
class Grounds:
    """What a saying is understood by: the garden, the plan in force, the journal and today.

    Attributes
    ----------
    learnt
        The crops by name, with what this garden's record has made of them.
    """

    garden: Garden
    learnt: Mapping[str, Crop]
    plan: Plan | None
    journal: Journal
    today: date

    def standing(self, on: date, more: Iterable[Fact] = ()) -> Standing:
        """Give what stands on a day; as refused as the journal itself if facts cannot be."""
        journal = self.with_facts(more).journal
        return standing_as_recorded(self.plan, on, journal, garden=self.garden)

    def with_facts(self, more: Iterable[Fact]) -> Grounds:
        """Give the grounds as if more facts had been added to the journal."""
        return replace(self, journal=imagined(self.journal, more)[0])

    def planned(self, number: int) -> Batch | None:
        """Give a batch of the plan."""
        return next((batch for batch in self.plan.batches if batch.id == number), None) if self.plan else None

    def fact_of(self, number: int, kind: FactKind) -> Fact | None:
        """Give the fact of a kind that a person told of a batch; what was written on their behalf is none."""
        told = (fact for fact in self.journal.standing if fact.batch == number and fact.kind == kind)
        return next((fact for fact in told if not fact.assumed), None)

    def has(self, number: int, kind: FactKind) -> bool:
        """Say whether a fact of a kind stands about a batch."""
        return any(fact.batch == number and fact.kind == kind for fact in self.journal.standing)


def odd_in(facts: Iterable[Fact], grounds: Grounds) -> Iterator[str]:
    """Say what is odd in facts that can be."""
    for fact in facts:
        if fact.assumed or fact.batch is None:
            continue
        batch = next((each for each in grounds.standing(grounds.today, facts).begun if each.id == fact.batch), None)
        if batch is None:
            continue
        named = f"Batch {batch.id} ({batch.crop})"
        if fact.kind == "sown":
            early = (fact.planned_on - fact.on).days if fact.planned_on is not None else 0
            if abs(early) >= ODD_DAYS:
                when = f"{abs(early)} days {'later' if early > 0 else 'earlier'}"
                yield f"{named} was to be sown on {fact.planned_on}, {when}."
        if fact.kind == "harvested":
            yield from _odd_harvest(fact, named, grounds)
        if fact.kind in ("transplanted", "moved") or (fact.kind == "sown" and batch.transplanted_on == fact.on):
            yield from _odd_planting(fact, batch, grounds)


def _odd_harvest(fact: Fact, named: str, grounds: Grounds) -> Iterator[str]:
    if fact.due_on is not None and (fact.due_on - fact.on).days >= ODD_DAYS:
        yield f"{named} was to fall due on {fact.due_on}, {(fact.due_on - fact.on).days} days later."
    if fact.grams is not None and fact.planned_grams:
        times = fact.grams / fact.planned_grams
        if not 1 / ODD_TIMES <= times <= ODD_TIMES:
            units = grounds.garden.units
            forecast, told = weight_text(fact.planned_grams, units), weight_text(fact.grams, units)
            yield f"{named} was to give {forecast}, and {told} was told."
    same_day = [
        each.number
        for each in grounds.journal.standing
        if each.kind == "harvested" and each.batch == fact.batch and each.on == fact.on
    ]
    if same_day:
        yield f"{named} was harvested that day already (fact {same_day[-1]}); both count together."


def _odd_planting(fact: Fact, batch: Batch, grounds: Grounds) -> Iterator[str]:
    garden, crop = grounds.garden, grounds.garden.crops[batch.crop]
    named = f"Batch {batch.id} ({batch.crop})"
    if fact.kind == "transplanted" and fact.on != fact.planned_on:
        nursery = conditions_at(garden.nursery.place, batch.sown_on, SPAN_DAYS, garden.sky)
        emerged_on = batch.emerges_on if "emerged" in batch.recorded else None
        window = transplant_window(crop, batch.sown_on, nursery, emerged_on=emerged_on)
        if window is not None and not window[0] <= fact.on <= window[1]:
            first, last = window
            yield f"{named} was to be planted between {first} and {last}."
    tote = garden.tote(batch.tote)
    there = grounds.standing(fact.on)
    others = [
        each for each in there.begun if each.tote == batch.tote and each.state == "transplanted" and each.id != batch.id
    ]
    rest = next((rest for rest in there.rests if rest.tote == tote.name), None)
    if rest is not None and rest.from_on <= fact.on:
        until = "" if rest.until_on == date.max else f" until {rest.until_on}"
        yield f"Tote {tote.name} is resting{until}: if it is in use again, record back {tote.name}."
    if not carried(crop, tote):
        yield f"{batch.crop.capitalize()} does not grow well in tote {tote.name} ({tote.system})."
    for other in sorted({each.crop for each in others}):
        if not share_reservoir(crop, grounds.garden.crops[other]):
            yield f"{batch.crop.capitalize()} and {other} in tote {tote.name} do not suit one water."
    room = sum(
        each.plants / carried(grounds.garden.crops[each.crop], tote)
        for each in others
        if carried(grounds.garden.crops[each.crop], tote)
    )
    if carried(crop, tote) and room + batch.plants / carried(crop, tote) > 1 + 1e-9:
        yield f"Tote {tote.name} now holds more than it carries."
