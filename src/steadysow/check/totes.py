"""Rules of totes: their holes, room, light and water, who may share one, and where and when they can be used.

Each rule takes the `Case` and gives what breaks it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from datetime import timedelta
from fractions import Fraction
from itertools import combinations

from steadysow.amounts import counted, day_text, listed, litres_text
from steadysow.check.case import Case, Finding, enters, leaves, leaves_hole, named, plants_on, stands
from steadysow.inputs.crops import Band
from steadysow.inputs.garden import carried
from steadysow.plan.batch import Batch

# Share of a still tote's water that plants may draw: stop when less than a tenth remains [kratky-2004].
USABLE_WATER = 0.9

_ONE_DAY = timedelta(1)


def holes_are_in_the_lid(case: Case) -> Iterator[Finding]:
    """A batch stands in holes that its tote has, one plant a hole."""
    for batch in case.live:
        tote = case.garden.tote(batch.tote)
        if batch.plants != len(batch.holes) or len(set(batch.holes)) != len(batch.holes) or not batch.holes:
            wrong = f"has {counted(batch.plants, 'plant')} for {_holes(batch.holes)}"
            yield (batch,), None, f"{named(batch)} {wrong}"
        elif case.is_entering(batch) and not set(batch.holes) <= set(range(1, tote.holes + 1)):
            wrong = f"is due to be in {_holes(batch.holes)}, but tote {tote.name} has {counted(tote.holes, 'hole')}"
            yield (batch,), None, f"{named(batch)} {wrong}"


def _holes(holes: Sequence[int]) -> str:
    if not holes:
        return "no hole"
    return f"{'hole' if len(holes) == 1 else 'holes'} {listed(str(hole) for hole in holes)}"


def one_plant_a_hole(case: Case) -> Iterator[Finding]:
    """A hole is free, and turnaround has passed, before the next plant enters it."""
    for tote in case.garden.totes:
        by_hole: defaultdict[int, list[Batch]] = defaultdict(list)
        for batch in sorted(case.standing_in(tote.name), key=enters):
            for hole in set(batch.holes):
                by_hole[hole].append(batch)
        for hole, batches in sorted(by_hole.items()):
            for earlier, later in combinations(batches, 2):
                free_on = leaves_hole(earlier, hole) + case.garden.turnaround_days * _ONE_DAY
                decided = case.is_entering(earlier) or case.is_entering(later)
                if enters(later) < free_on and decided:
                    entering = f"is due to enter hole {hole} of tote {tote.name} on {day_text(enters(later))}"
                    wrong = f"{entering}, but the hole is not free until {day_text(free_on)}"
                    yield (earlier, later), enters(later), f"{named(later)} {wrong}"


def still_totes_are_filled_at_once(case: Case) -> Iterator[Finding]:
    """All plants of a still tote enter on one day, after all before have left and turnaround has passed."""
    for tote in case.garden.totes:
        if tote.system != "kratky":
            continue
        standing = case.standing_in(tote.name)
        for later in filter(case.is_entering, standing):
            for earlier in standing:
                empty_on = leaves(earlier) + case.garden.turnaround_days * _ONE_DAY
                if enters(earlier) < enters(later) < empty_on:
                    entering = f"is due to enter still tote {tote.name} on {day_text(enters(later))}"
                    wrong = f"{entering}, but after {named(earlier)} it is not free until {day_text(empty_on)}"
                    yield (earlier, later), enters(later), f"{named(later)} {wrong}"


def room_in_the_tote(case: Case) -> Iterator[Finding]:
    """The plants in a tote need no more room than its lid has, on every day."""
    for tote in case.garden.totes:
        standing = case.standing_in(tote.name)
        for day in case.days_of_entry(standing):
            there = [batch for batch in standing if plants_on(batch, day) and carried(case.crop(batch), tote)]
            taken = sum(
                (Fraction(plants_on(batch, day), carried(case.crop(batch), tote)) for batch in there), Fraction()
            )
            if taken > 1:
                wrong = f"is too full on {day_text(day)}: its plants need {float(taken):.2f} times its room"
                yield there, day, f"tote {tote.name} {wrong}"


def crop_fits_the_system(case: Case) -> Iterator[Finding]:
    """A crop stands only in totes of a system it grows in, and that carry at least one plant of it."""
    for batch in case.entering:
        tote = case.garden.tote(batch.tote)
        placed = f"{named(batch)} is due to be in tote {tote.name}"
        if tote.system not in case.crop(batch).systems:
            yield (batch,), enters(batch), f"{placed}, but {batch.crop} does not grow in {tote.system} totes"
        elif not carried(case.crop(batch), tote):
            yield (batch,), enters(batch), f"{placed}, which is too small for a single plant"


def lamps_light_all(case: Case) -> Iterator[Finding]:
    """A lamp lights at most its number of plants, on every day."""
    for place in case.garden.places:
        limit = place.lights
        if limit is None:
            continue
        standing = [batch for batch in case.batches if batch.place == place.name and stands(batch)]
        for day in case.days_of_entry(standing):
            there = [batch for batch in standing if plants_on(batch, day)]
            plants = sum(plants_on(batch, day) for batch in there)
            if plants > limit:
                lights = f"the lamp at {place.name} lights {counted(limit, 'plant')}"
                yield there, day, f"{lights}, but {plants} are due to be there on {day_text(day)}"


def reservoir_suits_all(case: Case) -> Iterator[Finding]:
    """Crops in one tote tolerate a common strength (EC) and a common acidity (pH)."""
    for one, other, day in case.neighbours():
        for what, band, other_band in (
            ("EC", case.crop(one).ec, case.crop(other).ec),
            ("pH", case.crop(one).ph, case.crop(other).ph),
        ):
            if not _in_common(band, other_band):
                yield (one, other), day, f"{_shared(one, other)}, but tolerate no common {what}"


def fruit_stands_alone(case: Case) -> Iterator[Finding]:
    """Fruit shares its tote with its own crop only."""
    for one, other, day in case.neighbours():
        if case.crop(one).is_fruit or case.crop(other).is_fruit:
            yield (one, other), day, f"{_shared(one, other)}, but fruit needs a tote of its own"


def _shared(one: Batch, other: Batch) -> str:
    return f"{named(one)} and {named(other)} are due to share tote {one.tote}"


def water_lasts(case: Case) -> Iterator[Finding]:
    """A still tote that is never topped up holds the water that its plants need."""
    for tote in case.garden.totes:
        if tote.system != "kratky" or tote.top_up != "never":
            continue
        standing = case.standing_in(tote.name)
        for day in case.days_of_entry(standing):
            filling = [batch for batch in standing if enters(batch) == day]
            litres = sum(case.crop(batch).litres_a_plant * batch.plants for batch in filling)
            if litres > USABLE_WATER * tote.litres + 1e-9:
                needed, usable = (litres_text(each, case.garden.units) for each in (litres, USABLE_WATER * tote.litres))
                wrong = f"can supply {usable}, but the plants of {day_text(day)} need {needed}"
                yield filling, day, f"tote {tote.name} {wrong}"


def tote_stays_where_it_is(case: Case) -> Iterator[Finding]:
    """A batch stands at one place from transplant to clearing: its tote is in use and does not move.

    A batch that stands where it can stay no longer is cleared on the first day at home.
    """
    for batch in case.live:
        if not case.is_entering(batch) and leaves(batch) == case.first_day_at_home():
            continue
        tote = case.garden.tote(batch.tote)
        from_on = enters(batch) if case.is_entering(batch) else max(enters(batch), case.today)
        days = (from_on + index * _ONE_DAY for index in range((leaves(batch) - from_on).days))
        elsewhere = next((day for day in days if case.garden.place_of(tote, day) != batch.place), None)
        if elsewhere is not None:
            wrong = f"is due to be at {batch.place} on {day_text(elsewhere)}, when tote {tote.name} is not there"
            yield (batch,), elsewhere, f"{named(batch)} {wrong}"


def resting_totes_stand_empty(case: Case) -> Iterator[Finding]:
    """Nothing enters a tote or stands in it while the tote is resting."""
    for rest in case.resting:
        for batch in case.entering:
            if batch.tote == rest.tote and enters(batch) < rest.until_on and rest.from_on < leaves(batch):
                day = max(enters(batch), rest.from_on)
                wrong = f"is due to be in tote {rest.tote} on {day_text(day)}, when the tote is resting"
                yield (batch,), day, f"{named(batch)} {wrong}"


def _in_common(one: Band, other: Band) -> bool:
    return max(one.tolerated[0], other.tolerated[0]) <= min(one.tolerated[1], other.tolerated[1])
