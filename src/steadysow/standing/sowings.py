"""Facts about sowings, planned or unplanned.

Takes a `Saying` of kind ``sown`` and the `Grounds`; gives the facts, or refuses with what to write.  Hides which
planned sowing a word means, and how many cells and seeds another number of plants takes.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from steadysow.amounts import day_text
from steadysow.growth.germination import cells_for
from steadysow.inputs.journal import Fact
from steadysow.plan.batch import Batch
from steadysow.standing.grounds import Grounds
from steadysow.standing.holes import check_holes, free_holes
from steadysow.standing.meaning import begun_batch, crop_named, find_tote, known_batches, tote_named
from steadysow.standing.saying import Saying, Understood, refuse, refuse_several

# A sowing is taken for a planned one if their days lie no further apart than this [d].
SAME_SOWING_DAYS = 21


def sowing_facts(saying: Saying, grounds: Grounds) -> Understood:
    """Make facts of sowings.

    Raises
    ------
    InputFaults
        If it is not clear which sowing is meant, or if it is not possible.
    """
    facts: list[Fact] = []
    for word in saying.what:
        now = grounds.with_facts(facts)
        batches = _batches_to_sow(word, saying, now)
        if not batches:
            facts.append(_unplanned(crop_named(word, now), saying, now))
        for batch in batches:
            earlier = now.fact_of(batch.id, "sown")
            if earlier is not None:
                wrong = f"batch {batch.id} was already recorded as sown on {day_text(earlier.on)}"
                refuse("WHAT", wrong, f"If that is wrong, first take it back: record undo {earlier.number}")
            facts.append(_as_sown(batch, saying, now))
    if saying.plants is not None and len(facts) > 1:
        refuse_several("--plants", (fact.batch for fact in facts), "Record each batch with its own number of plants")
    return Understood(facts=tuple(facts))


def sown_as_planned(batch: Batch, on: date) -> Fact:
    """Give the fact that a batch was sown on a day, with all that was planned."""
    return Fact(
        kind="sown", on=on, batch=batch.id, crop=batch.crop, want=batch.want, place=batch.place, tote=batch.tote,
        holes=batch.holes, plants=batch.plants, cells=batch.cells, seeds=batch.seeds, planned_on=batch.sown_on,
    )  # fmt: skip


def _as_sown(batch: Batch, saying: Saying, grounds: Grounds) -> Fact:
    """Give the fact of a planned sowing, using the plant count and holes the user gave."""
    crop = grounds.garden.crops[batch.crop]
    fact = replace(sown_as_planned(batch, saying.on), text=saying.text)
    plants = batch.plants if saying.plants is None else saying.plants
    if plants != batch.plants:
        cells = cells_for(crop, plants)
        seeds = cells * (batch.seeds // batch.cells if batch.cells else crop.seeds_a_cell)
        fact = replace(fact, plants=plants, cells=cells, seeds=seeds, holes=fact.holes[:plants])
    if crop.sown_in == "nursery":
        if saying.tote or saying.holes:
            option = "--tote" if saying.tote else "--holes"
            refuse(option, f"batch {batch.id} starts in the nursery", "Name its tote when you record the transplant")
        return fact
    tote = tote_named(saying.tote, grounds, "--tote") if saying.tote else batch.tote
    own = fact.holes if tote == batch.tote and len(fact.holes) == plants else ()
    holes = saying.holes or own or free_holes(tote, plants, batch, saying.on, grounds)
    check_holes(tote, holes, plants, batch, saying.on, grounds)
    place = batch.place
    if tote != batch.tote:
        place = grounds.garden.place_of(grounds.garden.tote(tote), saying.on) or place
    return replace(fact, tote=tote, holes=holes, place=place)


def _batches_to_sow(word: str, saying: Saying, grounds: Grounds) -> tuple[Batch, ...]:
    """Give the planned batches that a word means; none for a crop that has no sowing planned around that day."""
    planned = grounds.plan.batches if grounds.plan else ()
    if word.isdecimal():
        batch = grounds.planned(int(word)) or begun_batch(int(word), grounds)
        if batch is None:
            refuse("WHAT", f"there is no batch {word}", known_batches(grounds))
        return (batch,)
    tote = find_tote(word, grounds)
    crop = crop_named(word, grounds) if tote is None else None
    if saying.tote and tote is None:
        return ()
    near = [
        batch
        for batch in planned
        if (batch.tote == tote or batch.crop == crop)
        and not grounds.has(batch.id, "sown")
        and abs(batch.sown_on - saying.on).days <= SAME_SOWING_DAYS
        # An unrecorded sowing of the past is taken to be done, unless this fact is about that very week.
        and (batch.sown_on >= grounds.today or batch.sown_on >= saying.on - timedelta(7))
    ]
    if not near and tote is not None:
        wrong = f"no sowing is planned for tote {tote} around {day_text(saying.on)}"
        refuse("WHAT", wrong, "Write the batch number or the crop")
    least = min((abs(batch.sown_on - saying.on) for batch in near), default=None)
    return tuple(batch for batch in near if abs(batch.sown_on - saying.on) == least)


def _unplanned(name: str, saying: Saying, grounds: Grounds) -> Fact:
    """Give the fact of a sowing that was not planned, as a new batch."""
    garden, crop = grounds.garden, grounds.garden.crops[name]
    want = _want_served(name, saying, grounds)
    if saying.plants is None:
        wrong = f"no sowing of {name} is planned around {day_text(saying.on)}"
        refuse("--plants", wrong, "Say how many plants you sowed with --plants")
    tote = tote_named(saying.tote, grounds, "--tote") if saying.tote else ""
    number = grounds.standing(grounds.today).next_id
    holes: tuple[int, ...] = ()
    place = ""
    if crop.sown_in == "pot":
        if not tote:
            refuse("--tote", f"{name} is sown in its pot, and the pot stands in a tote", "Name the tote with --tote")
        batch = Batch(
            id=number, crop=name, want=want, place="", tote=tote, holes=(), plants=saying.plants, cells=0, seeds=0,
            state="sown", sown_on=saying.on, emerges_on=None, transplanted_on=None, cleared_on=None, harvests=(),
        )  # fmt: skip
        holes = saying.holes or free_holes(tote, saying.plants, batch, saying.on, grounds)
        check_holes(tote, holes, saying.plants, batch, saying.on, grounds)
    if tote:
        place = garden.place_of(garden.tote(tote), saying.on) or ""
    cells = cells_for(crop, saying.plants)
    return Fact(
        kind="sown", on=saying.on, batch=number, crop=name, want=want, place=place, tote=tote, holes=holes,
        plants=saying.plants, cells=cells, seeds=cells * crop.seeds_a_cell, text=saying.text,
    )  # fmt: skip


def _want_served(crop: str, saying: Saying, grounds: Grounds) -> str:
    """Give the want that an unplanned sowing serves: the one named, or the first that asks for the crop."""
    wants = [want.name for want in grounds.garden.wants if crop in {serving.crop for serving in want.servings}]
    want = saying.want or (wants[0] if wants else "")
    if not wants:
        refuse("--want", f"no want asks for {crop}", "First add it to a want in garden.yaml")
    if want not in wants:
        refuse("--want", f'the want "{want}" does not ask for {crop}', f"Write one of: {', '.join(wants)}")
    return want
