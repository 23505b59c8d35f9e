"""Rules of harvests: when each is due, how many there are, which plants they take and what they weigh.

Each rule takes the `Case` and gives what breaks it.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from steadysow.amounts import counted, day_text
from steadysow.check.case import Case, Finding, named
from steadysow.inputs.garden import carried, lid_area_m2

# How much the planned weight of one plant may differ from the weight it grows to [g].
GRAMS_TOLERANCE = 0.05


def harvested_when_due(case: Case) -> Iterator[Finding]:
    """A harvest falls in its window, counted from transplant or from the harvest before.

    A begun batch may be late; then it is harvested on the first possible harvest day.
    """
    for batch, harvest, window in case.harvest_windows():
        harvested = f"{named(batch)} is due to be harvested on {day_text(harvest.on)}"
        if window is None:
            yield (batch,), harvest.on, f"{harvested}, but is never ready, or bolts first"
        elif not window[0] <= harvest.on <= window[1]:
            span = f"{day_text(window[0])} to {day_text(window[1])}"
            yield (batch,), harvest.on, f"{harvested}, outside its window from {span}"


def latest_day_is_the_last_possible(case: Case) -> Iterator[Finding]:
    """The latest day of a harvest is the last of its window, or the day its plants must be out of the tote."""
    for batch, harvest, window in case.harvest_windows():
        latest_on = None if window is None else case.must_leave_by(batch, window[1])
        if latest_on is not None and window is not None and window[0] <= latest_on != harvest.latest_on:
            wrong = f"can wait until {day_text(latest_on)}, but the plan says {day_text(harvest.latest_on)}"
            yield (batch,), harvest.on, f"{named(batch)} {wrong}"


def harvests_are_numbered(case: Case) -> Iterator[Finding]:
    """Harvests of a batch are of its crop's kind, follow each other, and are numbered 1, 2, 3 and so on."""
    for batch in case.live:
        kind = case.crop(batch).harvest.kind
        numbers = [harvest.number for harvest in batch.harvests]
        rising = all(before.on < after.on or before.is_recorded for before, after in pairwise(batch.harvests))
        if numbers != list(range(1, len(numbers) + 1)) or not rising:
            yield (batch,), None, f"{named(batch)} has harvests that are not numbered in their order"
        if any(harvest.kind != kind for harvest in batch.harvests):
            yield (batch,), None, f"{named(batch)} has a harvest that is no {kind}"


def what_is_planted_is_harvested(case: Case) -> Iterator[Finding]:
    """No plant is raised for nothing: every planned plant is harvested at least once."""
    for batch in case.planned:
        heads = batch.harvests and all(harvest.kind == "head" for harvest in batch.harvests)
        taken = sum(harvest.plants for harvest in batch.harvests)
        if taken < batch.plants if heads else not batch.harvests:
            yield (batch,), batch.sown_on, f"{named(batch)} has plants that are never harvested"


def no_more_harvests_than_it_gives(case: Case) -> Iterator[Finding]:
    """A plant gives at most as many cuts or picks as its profile says."""
    for batch in case.live:
        harvest = case.crop(batch).harvest
        if harvest.kind != "head" and case.to_come(batch) and len(batch.harvests) > harvest.most:
            wrong = f"has {len(batch.harvests)} {harvest.kind}s, more than the {harvest.most} it gives"
            yield (batch,), None, f"{named(batch)} {wrong}"


def harvests_take_its_own_plants(case: Case) -> Iterator[Finding]:
    """Each head is harvested once, from its own hole; cuts and picks take the whole batch."""
    for batch in case.live:
        taken: set[int] = set()
        for harvest in case.to_come(batch):
            holes, day = set(harvest.holes), day_text(harvest.on)
            if harvest.plants != len(harvest.holes) or len(holes) != len(harvest.holes) or not holes:
                wrong = f"gives {counted(harvest.plants, 'plant')} on {day}, not one from each of its holes"
                yield (batch,), harvest.on, f"{named(batch)} {wrong}"
            if harvest.kind != "head" and holes != set(batch.holes):
                yield (batch,), harvest.on, f"{named(batch)} is only partly harvested on {day}"
            elif not holes <= set(batch.holes):
                yield (batch,), harvest.on, f"{named(batch)} is harvested on {day} from holes where it does not stand"
        if case.crop(batch).harvest.kind == "head":
            for harvest in batch.harvests:
                if taken & set(harvest.holes):
                    yield (batch,), harvest.on, f"{named(batch)} gives the same head twice"
                taken |= set(harvest.holes)


def weighs_what_it_grows_to(case: Case) -> Iterator[Finding]:
    """A harvest weighs what the profile says, or less if light makes less on its share of the lid."""
    for batch in case.live:
        crop, tote = case.crop(batch), case.garden.tote(batch.tote)
        if not carried(crop, tote):
            continue
        for harvest in case.to_come(batch):
            if harvest.kind != "head" and not 1 <= harvest.number <= crop.harvest.most:
                continue
            each = case.grams_each(batch, harvest, lid_area_m2(tote) / carried(crop, tote))
            if abs(harvest.grams - each * harvest.plants) > GRAMS_TOLERANCE * harvest.plants:
                grown = f"grows to {each * harvest.plants:.1f} g by {day_text(harvest.on)}"
                yield (batch,), harvest.on, f"{named(batch)} {grown}, but the plan says {harvest.grams:.1f} g"
