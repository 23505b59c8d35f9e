"""What a saying is understood by: the garden, the plan in force, the journal and today.

Gives what stands on any day, also with facts that the journal does not have yet, and sentences about facts that are
possible but look odd.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date

from steadysow.amounts import counted, day_text, weight_text
from steadysow.growth.daylight import conditions_at
from steadysow.growth.timeline import transplant_window
from steadysow.inputs.crops import Crop, share_reservoir
from steadysow.inputs.garden import Garden, carried
from steadysow.inputs.journal import Fact, FactKind, Journal, imagined
from steadysow.plan.batch import Batch, Harvest
from steadysow.plan.plan import Plan
from steadysow.standing.harvests import answered
from steadysow.standing.standing import Standing, standing_as_recorded

# By choice: a weight is odd from this many times the forecast on, or below one over it; a day is odd from this many
# days away from its plan on [d].
ODD_TIMES, ODD_DAYS = 3.0, 7

# How many days of light and warmth are looked at from a batch's sowing on [d].
SPAN_DAYS = 800


@dataclass(frozen=True, slots=True, kw_only=True)
class Grounds:
    """What a saying is understood by.

    Attributes
    ----------
    garden
        The garden.
    learnt
        The crops by name, corrected by this garden's own record.
    plan
        The plan in force, or ``None``.
    journal
        The journal.
    today
        Today.
    """

    garden: Garden
    learnt: Mapping[str, Crop]
    plan: Plan | None
    journal: Journal
    today: date

    def standing(self, on: date, more: Iterable[Fact] = ()) -> Standing:
        """Give what stands on a day, with more facts than the journal has.

        Raises
        ------
        InputFaults
            If a fact is not possible.
        """
        journal = self.with_facts(more).journal
        return standing_as_recorded(self.plan, on, journal, garden=self.garden)

    def with_facts(self, more: Iterable[Fact]) -> Grounds:
        """Give the grounds as if more facts had been added to the journal."""
        return replace(self, journal=imagined(self.journal, more)[0])

    def planned(self, number: int) -> Batch | None:
        """Give a batch of the plan, or ``None`` if the plan does not have it."""
        return next((batch for batch in self.plan.batches if batch.id == number), None) if self.plan else None

    def planned_harvest(self, batch: Batch, on: date) -> Harvest | None:
        """Give the planned harvest that a harvest on a day answers; an unrecorded harvest can still be answered."""
        planned = self.planned(batch.id)
        if planned is None:
            return None
        recorded = {each.on for each in batch.harvests if each.is_recorded}
        days = sorted({*recorded, on})
        place = answered(days, planned.harvests).get(days.index(on))
        return None if place is None else planned.harvests[place]

    def fact_of(self, number: int, kind: FactKind) -> Fact | None:
        """Give the fact of a kind that a person recorded about a batch; an assumed fact is left out."""
        found = (fact for fact in self.journal.standing if fact.batch == number and fact.kind == kind)
        return next((fact for fact in found if not fact.assumed), None)

    def has(self, number: int, kind: FactKind) -> bool:
        """Say whether the journal has a fact of a kind about a batch."""
        return any(fact.batch == number and fact.kind == kind for fact in self.journal.standing)


def odd_in(facts: Iterable[Fact], grounds: Grounds) -> Iterator[str]:
    """Say what looks odd in facts that are possible."""
    for fact in facts:
        if fact.assumed or fact.batch is None:
            continue
        batch = next((each for each in grounds.standing(grounds.today, facts).begun if each.id == fact.batch), None)
        if batch is None:
            continue
        named = f"Batch {batch.id} ({batch.crop})"
        if fact.kind == "sown":
            early = (fact.planned_on - fact.on).days if fact.planned_on is not None else 0
            if fact.planned_on is not None and abs(early) >= ODD_DAYS:
                when = f"{counted(abs(early), 'day')} {'later' if early > 0 else 'earlier'}"
                yield f"{named} was planned to be sown {when}, on {day_text(fact.planned_on)}."
        if fact.kind == "harvested":
            yield from _odd_harvest(fact, named, grounds)
        if fact.kind in ("transplanted", "moved") or (fact.kind == "sown" and batch.transplanted_on == fact.on):
            yield from _odd_planting(fact, batch, grounds)


def _odd_harvest(fact: Fact, named: str, grounds: Grounds) -> Iterator[str]:
    if fact.due_on is not None and (fact.due_on - fact.on).days >= ODD_DAYS:
        yield f"{named} was due {counted((fact.due_on - fact.on).days, 'day')} later, on {day_text(fact.due_on)}."
    if fact.grams is not None and fact.planned_grams:
        times = fact.grams / fact.planned_grams
        if not 1 / ODD_TIMES <= times <= ODD_TIMES:
            units = grounds.garden.units
            forecast, recorded = weight_text(fact.planned_grams, units), weight_text(fact.grams, units)
            yield f"{named} was forecast to give {forecast}; you recorded {recorded}."
    same_day = [
        each.number
        for each in grounds.journal.standing
        if each.kind == "harvested" and each.batch == fact.batch and each.on == fact.on
    ]
    if same_day:
        yield f"{named} already has a harvest on that day (fact {same_day[-1]}). Both count together."


def _odd_planting(fact: Fact, batch: Batch, grounds: Grounds) -> Iterator[str]:
    garden, crop = grounds.garden, grounds.garden.crops[batch.crop]
    named = f"Batch {batch.id} ({batch.crop})"
    if fact.kind == "transplanted" and fact.on != fact.planned_on:
        nursery = conditions_at(garden.nursery.place, batch.sown_on, SPAN_DAYS, garden.sky)
        emerged_on = batch.emerges_on if "emerged" in batch.recorded else None
        window = transplant_window(crop, batch.sown_on, nursery, emerged_on=emerged_on)
        if window is not None and not window[0] <= fact.on <= window[1]:
            first, last = (day_text(each) for each in window)
            yield f"{named} was due for transplant from {first} to {last}."
    tote = garden.tote(batch.tote)
    there = grounds.standing(fact.on)
    others = [
        each for each in there.begun if each.tote == batch.tote and each.state == "transplanted" and each.id != batch.id
    ]
    rest = next((rest for rest in there.rests if rest.tote == tote.name), None)
    if rest is not None and rest.from_on <= fact.on:
        until = "" if rest.until_on == date.max else f" until {day_text(rest.until_on)}"
        yield f"Tote {tote.name} is resting{until}. If it is in use again: record back {tote.name}."
    if not carried(crop, tote):
        yield f"Tote {tote.name} ({tote.system}) does not suit {batch.crop}."
    for other in sorted({each.crop for each in others}):
        if not share_reservoir(crop, grounds.garden.crops[other]):
            yield f"{batch.crop.capitalize()} and {other} share tote {tote.name}, but need different water."
    room = sum(
        each.plants / carried(grounds.garden.crops[each.crop], tote)
        for each in others
        if carried(grounds.garden.crops[each.crop], tote)
    )
    if carried(crop, tote) and room + batch.plants / carried(crop, tote) > 1 + 1e-9:
        yield f"Tote {tote.name} now holds more plants than it has room for."
