"""What a person says happened, made into facts: which batches or totes are meant, and whether it can be.

Takes a `Saying`, the garden, the plan in force and the journal; gives `Told`: facts to add, and what is odd
about them.  What cannot be is refused with the reason.  Hides how words find their batches, and that the stages before
the first fact about a batch are written down too, taken to have gone as planned, so that the journal can be read
without the plan.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from steadysow.errors import InputFaults
from steadysow.growth.daylight import conditions_at
from steadysow.growth.germination import cells_for
from steadysow.growth.timeline import GrowingPlace
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import carried, lid_area_m2
from steadysow.inputs.journal import Fact, FactKind, Journal
from steadysow.plan.batch import Batch, Harvest
from steadysow.standing.answers import (
    MEASURED_EXAMPLE,
    answers_of,
    as_if,
    busy_holes,
    check_holes,
    crop_named,
    divided,
    free_holes,
    known_batches,
    measured,
    most_left,
    refuse,
    tote_named,
    tote_of,
    water_warnings,
    weighed,
)
from steadysow.standing.batch_life import ANSWERS_DAYS
from steadysow.standing.grounds import SPAN_DAYS, Grounds, odd_in

# Facts about batches, and about totes.
BATCH_KINDS: tuple[FactKind, ...] = (
    "sown", "emerged", "thinned", "transplanted", "harvested", "lost", "bolted", "cleared", "moved",
)  # fmt: skip
TOTE_KINDS: tuple[FactKind, ...] = ("scrubbed", "fed", "topped-up", "measured", "resting", "back")

# The options that say something of each kind of fact; a word goes with any, and what else goes with none.
GOES_WITH: Mapping[FactKind, tuple[str, ...]] = {
    "sown": ("plants", "tote", "holes", "want"),
    "emerged": ("plants",),
    "thinned": ("plants",),
    "transplanted": ("plants", "tote", "holes"),
    "harvested": ("plants", "grams", "holes"),
    "lost": ("plants", "holes"),
    "bolted": ("plants", "holes"),
    "moved": ("holes",),
    "fed": ("litres",),
    "topped-up": ("litres",),
    "resting": ("until",),
}

# A sowing of a crop is the planned one if it lies no further from it than this [d].
SAME_SOWING_DAYS = 21


@dataclass(frozen=True, slots=True, kw_only=True)
class Saying:
    """What a person says: the kind of fact, what it is about, and whatever else was told.

    Attributes
    ----------
    kind, on
        What happened, and when.
    what
        Batch numbers, totes or a crop; of measured also what was measured and its value; of moved at last the tote; of
        note its words.
    plants, grams, holes, tote, want, litres, until, text
        As of a `Fact`; `tote` and `want` are of a sowing that was not planned, or of a transplant into another tote.
    """

    kind: FactKind
    on: date
    what: tuple[str, ...] = ()
    plants: int | None = None
    grams: float | None = None
    holes: tuple[int, ...] = ()
    tote: str = ""
    want: str = ""
    litres: float | None = None
    until: date | None = None
    text: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """Facts to add, and sentences about what is odd in them."""

    facts: tuple[Fact, ...]
    warnings: tuple[str, ...] = ()


def facts_of(saying: Saying, grounds: Grounds) -> Told:
    """Make facts of what a person says.

    Raises
    ------
    InputFaults
        If it is not clear what is meant, or if it cannot be.
    """
    if saying.on > grounds.today:
        refuse("--on", f"{saying.on} is still to come", "Record what has happened, on the day or later")
    refuse_strays(saying, saying.kind, GOES_WITH.get(saying.kind, ()))
    if saying.kind == "note":
        return _note(saying, grounds)
    if not saying.what:
        about = (
            "a tote, such as: record scrubbed A" if saying.kind in TOTE_KINDS else "a batch number, a tote or a crop"
        )
        refuse("WHAT", f"what was {saying.kind} is not said", f"Write {about}")
    if saying.kind in TOTE_KINDS:
        return _of_totes(saying, grounds)
    told = _sown(saying, grounds) if saying.kind == "sown" else _of_batches(saying, grounds)
    _check(told.facts, grounds)
    return replace(told, warnings=(*told.warnings, *odd_in(told.facts, grounds)))


def refuse_strays(saying: Saying, named: str, goes: Iterable[str]) -> None:
    """Refuse an option that would say nothing: what a person took the trouble to type is never left out in silence."""
    for option, value in {
        "plants": saying.plants,
        "grams": saying.grams,
        "holes": saying.holes or None,
        "tote": saying.tote or None,
        "want": saying.want or None,
        "litres": saying.litres,
        "until": saying.until,
    }.items():
        if value is not None and option not in goes:
            fitting = " or ".join(kind for kind, options in GOES_WITH.items() if option in options)
            refuse(f"--{option}", f"does not go with {named}", f"Leave it out; it goes with {fitting}")


def undone(journal: Journal, number: int | None, today: date) -> Fact:
    """Give the fact that takes another back.

    Parameters
    ----------
    journal
        The journal.
    number
        The number of the fact to take back, which may be an undo; ``None`` for the last one that stands.
    today
        The day it is taken back.
    """
    if number is None:
        last = journal.last_standing
        if last is None:
            refuse("undo", "the journal has no fact to take back", "There is nothing to do")
        return Fact(kind="undo", on=today, undoes=last.number)
    known = {fact.number: fact for fact in journal.facts}
    standing = {fact.number for fact in journal.standing} | journal.standing_undos
    if number not in known:
        refuse("undo", f"there is no fact {number}", f"Write a number from 1 to {journal.last_number}")
    if number not in standing:
        by = max(fact.number for fact in journal.facts if fact.kind == "undo" and fact.undoes == number)
        told = f"fact {number} has been taken back already"
        refuse("undo", told, f"If it shall stand again, take back that: record undo {by}")
    return Fact(kind="undo", on=today, undoes=number)


# Facts about batches.


def _of_batches(saying: Saying, grounds: Grounds) -> Told:
    what, to_tote = saying.what, saying.tote
    if saying.kind == "moved":
        if len(what) < 2:
            refuse("WHAT", "moved where to?", "Write the batch and its new tote, such as: record moved 12 C")
        what, to_tote = what[:-1], tote_named(what[-1], grounds)
    elif to_tote:
        to_tote = tote_named(to_tote, grounds, "--tote")
    batches = [*dict.fromkeys(batch for word in what for batch in _meant(word, saying, grounds))]
    if len(batches) > 1 and (saying.plants is not None or saying.grams is not None or saying.holes):
        return _shared(saying, batches, grounds)
    facts: list[Fact] = []
    for batch in batches:
        told = replace(saying, tote=to_tote, what=())
        # What one batch takes is not free for the next.
        now = grounds.with_facts(facts)
        facts += [*_before(batch, saying, now), _fact(batch, told, now)]
    return Told(facts=tuple(facts))


def _shared(saying: Saying, batches: Sequence[Batch], grounds: Grounds) -> Told:
    """Share plants and grams among the batches that one word means: a person weighs what comes out of one day."""
    numbers = ", ".join(str(batch.id) for batch in batches)
    if saying.holes or saying.kind not in ("harvested", "emerged"):
        refuse("WHAT", f"that is more than one batch ({numbers})", "Write one number, with its own plants or grams")
    most = [batch.cells if saying.kind == "emerged" else most_left(batch) for batch in batches]
    parts = [min(_part(batch, saying, grounds), there) for batch, there in zip(batches, most, strict=True)]
    told = saying.plants
    if told is not None:
        if told > sum(most):
            what = "cells are up" if saying.kind == "emerged" else "plants were harvested"
            of = "were sown" if saying.kind == "emerged" else "are there"
            wrong = f"{told} {what} of {sum(most)} that {of} (batches {numbers})"
            refuse("--plants", wrong, f"Write {sum(most)} or less")
        parts = divided(told, parts if told <= sum(parts) else most)
    grams = weighed(saying.grams, parts)
    facts: list[Fact] = []
    for batch, plants, weight in zip(batches, parts, grams, strict=True):
        if told is not None and plants == 0 and saying.kind == "harvested":
            continue
        one = replace(saying, plants=None if told is None else plants, grams=weight)
        facts += [*_before(batch, saying, grounds), _fact(batch, one, grounds)]
    return Told(facts=tuple(facts))


def _part(batch: Batch, saying: Saying, grounds: Grounds) -> int:
    if saying.kind == "emerged":
        return batch.cells
    planned = answers_of(batch, saying.on, grounds)
    return planned.plants if planned is not None else batch.plants


def _meant(word: str, saying: Saying, grounds: Grounds) -> tuple[Batch, ...]:
    """Give the batches that a word means: a number, a tote, or a crop; those for which the fact comes next."""
    standing = grounds.standing(saying.on)
    begun = {batch.id: batch for batch in standing.begun}
    if word.isdecimal():
        batch = begun.get(int(word)) or _at_last(int(word), grounds)
        if batch is None:
            planned = grounds.planned(int(word))
            if planned is None:
                refuse("WHAT", f"there is no batch {word}", known_batches(grounds))
            sown = f"steadysow record sown {word}"
            refuse("WHAT", f"batch {word} is to be sown on {planned.sown_on}", f"Record its sowing first: {sown}")
        return (batch,)
    tote = tote_of(word, grounds)
    crop = crop_named(word, grounds) if tote is None else None
    live = [batch for batch in standing.begun if batch.state in ("sown", "transplanted") or _ended(batch, saying)]
    fitting = [batch for batch in live if batch.tote == tote or batch.crop == crop]
    stage = [batch for batch in fitting if _comes_next(batch, saying, grounds, by_tote=tote is not None)]
    if not stage:
        where = f"in tote {tote}" if tote else f"of {crop}"
        refuse("WHAT", f"there is nothing {where} that could be {saying.kind} on {saying.on}", known_batches(grounds))
    # To take everything out of a tote is one job; to clear a crop wherever it stands is seldom meant.
    is_vague = saying.kind in ("lost", "bolted", "moved") or (saying.kind == "cleared" and tote is None)
    if is_vague and len(stage) > 1:
        numbers = ", ".join(str(batch.id) for batch in stage)
        refuse("WHAT", f'"{word}" could be batch {numbers}', "Write the numbers that are meant")
    return _nearest(stage, saying, grounds)


def _at_last(number: int, grounds: Grounds) -> Batch | None:
    """Give a batch as it stands today, for one that had not been sown on the day that is told of."""
    return next((batch for batch in grounds.standing(grounds.today).begun if batch.id == number), None)


def _ended(batch: Batch, saying: Saying) -> bool:
    """Say whether a batch is over only because nothing was told: it may have been harvested a day late."""
    return saying.kind == "harvested" and batch.state == "done" and "cleared" not in batch.recorded


def _comes_next(batch: Batch, saying: Saying, grounds: Grounds, *, by_tote: bool) -> bool:
    waits = batch.transplanted_on is None
    if saying.kind in ("emerged", "thinned"):
        return waits and not (saying.kind == "emerged" and grounds.has(batch.id, "emerged"))
    if saying.kind == "transplanted":
        return waits
    if saying.kind == "harvested":
        return not waits and _harvest_near(batch, saying.on, grounds) is not None
    return not waits or (saying.kind == "lost" and not by_tote)


def _harvest_near(batch: Batch, on: date, grounds: Grounds) -> Harvest | None:
    planned = answers_of(batch, on, grounds)
    return planned if planned is not None and abs(planned.on - on).days <= ANSWERS_DAYS else None


def _nearest(batches: Sequence[Batch], saying: Saying, grounds: Grounds) -> tuple[Batch, ...]:
    """Keep of several batches those whose turn it is: planned, or sown, on the day nearest to what is told."""

    def distance(batch: Batch) -> int:
        planned = grounds.planned(batch.id) or batch
        if saying.kind in ("emerged", "thinned"):
            return (planned.sown_on - date.min).days
        if saying.kind == "transplanted":
            return abs((planned.transplanted_on or saying.on) - saying.on).days
        if saying.kind == "harvested":
            harvest = _harvest_near(batch, saying.on, grounds)
            return abs(harvest.on - saying.on).days if harvest else 0
        return 0

    least = min(distance(batch) for batch in batches)
    return tuple(batch for batch in batches if distance(batch) == least)


def _before(batch: Batch, saying: Saying, grounds: Grounds) -> Iterable[Fact]:
    """Give the stages before a fact that the journal does not tell of, taken to have gone as planned."""
    if not grounds.has(batch.id, "sown"):
        yield replace(_sowing(batch, batch.sown_on), assumed=True)
    nursed = grounds.garden.crops[batch.crop].sown_in == "nursery"
    stands = batch.transplanted_on is not None and saying.kind in ("harvested", "lost", "bolted", "cleared", "moved")
    if nursed and stands and not grounds.has(batch.id, "transplanted"):
        yield Fact(
            kind="transplanted", on=batch.transplanted_on or saying.on, batch=batch.id, tote=batch.tote,
            holes=batch.holes, planned_on=batch.transplanted_on, assumed=True,
        )  # fmt: skip


def _sowing(batch: Batch, on: date) -> Fact:
    return Fact(
        kind="sown", on=on, batch=batch.id, crop=batch.crop, want=batch.want, place=batch.place, tote=batch.tote,
        holes=batch.holes, plants=batch.plants, cells=batch.cells, seeds=batch.seeds, planned_on=batch.sown_on,
    )  # fmt: skip


def _fact(batch: Batch, saying: Saying, grounds: Grounds) -> Fact:
    planned = grounds.planned(batch.id)
    fact = Fact(
        kind=saying.kind, on=saying.on, batch=batch.id, plants=saying.plants, holes=saying.holes, grams=saying.grams,
        text=saying.text,
    )  # fmt: skip
    match saying.kind:
        case "emerged":
            if saying.plants is not None and saying.plants > max(batch.cells, batch.plants):
                told = f"{saying.plants} cells are up of {batch.cells} that were sown"
                refuse("--plants", told, f"Write {batch.cells} or less")
            return replace(fact, planned_on=planned.emerges_on if planned else None)
        case "transplanted":
            earlier = grounds.fact_of(batch.id, "transplanted")
            if earlier is not None:
                told = f"batch {batch.id} was transplanted on {earlier.on} already"
                write = f"If that is wrong, take it back first: record undo {earlier.number}"
                refuse("WHAT", told, f"{write}; if it went on into another tote, record moved")
            on = planned.transplanted_on if planned else None
            tote, holes = _planted_into(batch, planned, saying, grounds)
            return replace(fact, planned_on=on, tote=tote, holes=holes)
        case "moved":
            if saying.tote == batch.tote and not saying.holes:
                refuse("WHAT", f"batch {batch.id} stands in tote {batch.tote} already", "Name another tote, or --holes")
            holes = saying.holes or free_holes(saying.tote, batch.plants_left, batch, saying.on, grounds)
            check_holes(saying.tote, holes, batch.plants_left, batch, saying.on, grounds)
            return replace(fact, tote=saying.tote, holes=holes)
        case "harvested":
            if saying.plants is not None and saying.plants > (left := most_left(batch)):
                told = f"{saying.plants} were harvested of {left} plants that batch {batch.id} has left"
                refuse("--plants", told, f"Write {left} or less")
            _same_number(saying)
            return _harvested(fact, batch, grounds)
        case "lost" | "bolted":
            _same_number(saying)
            return fact
        case _:
            return fact


def _harvested(fact: Fact, batch: Batch, grounds: Grounds) -> Fact:
    """Add what had been planned and forecast for a harvest, which the record is learnt from."""
    planned = answers_of(batch, fact.on, grounds)
    crop = grounds.garden.crops[batch.crop]
    tote = next((tote for tote in grounds.garden.totes if tote.name == batch.tote), None)
    known = batch.place in {place.name for place in grounds.garden.places}
    plants = fact.plants
    if crop.harvest.kind == "head" and plants is None:
        plants = min(planned.plants, most_left(batch)) if planned else batch.plants_left
    fact = replace(fact, plants=plants, planned_on=planned.on if planned else None)
    if batch.transplanted_on is None or tote is None or not known or not carried(crop, tote):
        return fact
    since = batch.transplanted_on
    number = 1
    if crop.harvest.kind != "head":
        earlier = [each.on for each in as_if(fact, batch, grounds).harvests if each.on < fact.on]
        number, since = len(earlier) + 1, max((since, *earlier))
    if number > crop.harvest.most:
        return fact
    there = conditions_at(grounds.garden.place(batch.place), batch.sown_on, SPAN_DAYS, grounds.garden.sky)

    def due_on(crops: Mapping[str, Crop]) -> date | None:
        growing = GrowingPlace(crops[batch.crop].at(batch.place), there)
        return growing.first_due(since) if number == 1 else growing.next_due(since)

    share_m2 = lid_area_m2(tote) / carried(crop, tote)
    each = GrowingPlace(crop, there).grams(number, since, max(since, fact.on), share_m2)
    return replace(
        fact,
        due_on=due_on(grounds.learnt),
        published_on=due_on(grounds.garden.crops),
        planned_grams=round(each * (len(fact.holes) or plants or batch.plants), 1),
    )


def _planted_into(batch: Batch, planned: Batch | None, saying: Saying, grounds: Grounds) -> tuple[str, tuple[int, ...]]:
    tote = saying.tote or (planned.tote if planned else batch.tote)
    if not tote:
        refuse("--tote", f"batch {batch.id} was not planned for a tote", "Name the tote it went into with --tote")
    plants = saying.plants or batch.plants
    if saying.holes:
        holes = saying.holes
    elif planned is not None and planned.tote == tote and len(planned.holes) >= plants:
        holes = planned.holes[:plants]
        busy = busy_holes(tote, batch, saying.on, grounds)
        if busy & {*holes}:
            holes = free_holes(tote, plants, batch, saying.on, grounds)
    else:
        holes = free_holes(tote, plants, batch, saying.on, grounds)
    check_holes(tote, holes, plants, batch, saying.on, grounds)
    return tote, holes


def _same_number(saying: Saying) -> None:
    """Refuse holes that are not as many as the plants beside them."""
    if saying.holes and saying.plants is not None and len(saying.holes) != saying.plants:
        told = f"{saying.plants} plants need as many holes, not {len(saying.holes)}"
        refuse("--holes", told, "Name a hole for each plant, or leave out one of the two")


# Sowings.


def _sown(saying: Saying, grounds: Grounds) -> Told:
    facts: list[Fact] = []
    for word in saying.what:
        now = grounds.with_facts(facts)
        batches = _to_sow(word, saying, now)
        if not batches:
            facts.append(_unplanned(crop_named(word, now), saying, now))
        for batch in batches:
            earlier = now.fact_of(batch.id, "sown")
            if earlier is not None:
                told = f"batch {batch.id} has been recorded as sown on {earlier.on}"
                refuse("WHAT", told, f"If that is wrong, take it back first: record undo {earlier.number}")
            facts.append(_as_sown(batch, saying, now))
    if saying.plants is not None and len(facts) > 1:
        numbers = ", ".join(str(fact.batch) for fact in facts)
        refuse("--plants", f"that is more than one batch ({numbers})", "Record each with its own number")
    return Told(facts=tuple(facts))


def _as_sown(batch: Batch, saying: Saying, grounds: Grounds) -> Fact:
    """Give the fact of a planned sowing, with as many plants, and in the pots, that were told."""
    crop = grounds.garden.crops[batch.crop]
    fact = replace(_sowing(batch, saying.on), text=saying.text)
    plants = batch.plants if saying.plants is None else saying.plants
    if plants != batch.plants:
        cells = cells_for(crop, plants)
        seeds = cells * (batch.seeds // batch.cells if batch.cells else crop.seeds_a_cell)
        fact = replace(fact, plants=plants, cells=cells, seeds=seeds, holes=fact.holes[:plants])
    if crop.sown_in == "nursery":
        if saying.tote or saying.holes:
            told = f"batch {batch.id} waits in the nursery first"
            refuse("--tote" if saying.tote else "--holes", told, "Say where it goes when it is transplanted")
        return fact
    tote = tote_named(saying.tote, grounds, "--tote") if saying.tote else batch.tote
    own = fact.holes if tote == batch.tote and len(fact.holes) == plants else ()
    holes = saying.holes or own or free_holes(tote, plants, batch, saying.on, grounds)
    check_holes(tote, holes, plants, batch, saying.on, grounds)
    place = batch.place
    if tote != batch.tote:
        place = grounds.garden.place_of(grounds.garden.tote(tote), saying.on) or place
    return replace(fact, tote=tote, holes=holes, place=place)


def _to_sow(word: str, saying: Saying, grounds: Grounds) -> tuple[Batch, ...]:
    """Give the planned batches that a word means; none for a crop of which no sowing is near."""
    planned = grounds.plan.batches if grounds.plan else ()
    if word.isdecimal():
        batch = grounds.planned(int(word)) or _at_last(int(word), grounds)
        if batch is None:
            refuse("WHAT", f"there is no batch {word}", known_batches(grounds))
        return (batch,)
    tote = tote_of(word, grounds)
    crop = crop_named(word, grounds) if tote is None else None
    if saying.tote and tote is None:
        return ()
    near = [
        batch
        for batch in planned
        if (batch.tote == tote or batch.crop == crop)
        and not grounds.has(batch.id, "sown")
        and abs(batch.sown_on - saying.on).days <= SAME_SOWING_DAYS
        # A sowing that has gone by in silence is taken as done, unless it is the very day that is told of.
        and (batch.sown_on >= grounds.today or batch.sown_on >= saying.on - timedelta(7))
    ]
    if not near and tote is not None:
        refuse("WHAT", f"no sowing is planned for tote {tote} near {saying.on}", "Write the batch number or the crop")
    least = min((abs(batch.sown_on - saying.on) for batch in near), default=None)
    return tuple(batch for batch in near if abs(batch.sown_on - saying.on) == least)


def _unplanned(name: str, saying: Saying, grounds: Grounds) -> Fact:
    """Make a batch of a sowing that was not planned."""
    garden, crop = grounds.garden, grounds.garden.crops[name]
    wants = [want.name for want in garden.wants if name in {serving.crop for serving in want.servings}]
    want = saying.want or (wants[0] if wants else "")
    if want not in wants:
        asked = ", ".join(wants) or "none asks for it: write it into garden.yaml first"
        refuse(
            "--want", f'{name} is not asked for by "{want}"' if want else f"no want asks for {name}", f"Wants: {asked}"
        )
    if saying.plants is None:
        refuse("--plants", f"no sowing of {name} is planned near {saying.on}", "Say how many plants with --plants")
    tote = tote_named(saying.tote, grounds, "--tote") if saying.tote else ""
    number = grounds.standing(grounds.today).next_id
    holes: tuple[int, ...] = ()
    place = ""
    if crop.sown_in == "pot":
        if not tote:
            refuse("--tote", f"{name} is sown in its pot", "Name the tote with --tote")
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


# Facts about totes, and notes.


def _of_totes(saying: Saying, grounds: Grounds) -> Told:
    if saying.kind == "measured":
        return _measured(saying, grounds)
    warnings: list[str] = []
    facts = []
    for word in saying.what:
        tote = tote_named(word, grounds)
        facts.append(
            Fact(kind=saying.kind, on=saying.on, tote=tote, litres=saying.litres, until=saying.until, text=saying.text)
        )
        warnings += water_warnings(facts[-1], grounds)
        if saying.kind == "resting":
            if saying.until is not None and saying.until <= saying.on:
                refuse("--until", f"{saying.until} is not after {saying.on}", "Write the first day it is back in use")
            standing = [
                batch for batch in grounds.standing(saying.on).begun
                if batch.tote == tote and batch.state == "transplanted"
            ]  # fmt: skip
            told = " and ".join(f"batch {batch.id} ({batch.crop})" for batch in standing)
            if told:
                them = "it, or it counts" if len(standing) == 1 else "them, or they count"
                warnings.append(f"Tote {tote} still holds {told}: record what became of {them} as cleared.")
        if saying.kind == "back" and not any(
            rest.tote == tote and rest.until_on > saying.on for rest in grounds.standing(saying.on).rests
        ):
            warnings.append(f"Tote {tote} was not resting.")
    return Told(facts=tuple(facts), warnings=tuple(warnings))


def _measured(saying: Saying, grounds: Grounds) -> Told:
    tote, pairs = tote_named(saying.what[0], grounds), saying.what[1:]
    if not pairs or len(pairs) % 2:
        refuse("WHAT", "what was measured, and its value, come in pairs", MEASURED_EXAMPLE)
    facts = []
    for name, text in zip(pairs[::2], pairs[1::2], strict=True):
        what, value = measured(name, text, grounds.garden.units)
        facts.append(Fact(kind="measured", on=saying.on, tote=tote, what=what, value=value, text=saying.text))
    return Told(facts=tuple(facts), warnings=tuple(odd for fact in facts for odd in water_warnings(fact, grounds)))


def _note(saying: Saying, grounds: Grounds) -> Told:
    words = saying.what
    batch, tote = None, ""
    named = tote_of(words[0], grounds) if words else None
    if len(words) > 1 and words[0].isdecimal() and (grounds.planned(int(words[0])) or _at_last(int(words[0]), grounds)):
        batch, words = int(words[0]), words[1:]
    elif len(words) > 1 and named:
        tote, words = named, words[1:]
    text = " ".join((*words, saying.text)).strip()
    if not text:
        refuse("WHAT", "the note is empty", 'Write it behind: record note "aphids on the kale"')
    return Told(facts=(Fact(kind="note", on=saying.on, batch=batch, tote=tote, text=text),))


def _check(facts: tuple[Fact, ...], grounds: Grounds) -> None:
    """Refuse facts that cannot be, in words that do not name the journal, where they are not yet."""
    grounds.standing(grounds.today)
    try:
        grounds.standing(grounds.today, facts)
    except InputFaults as refused:
        told = (re.sub(r"^fact \d+ of ", "", fault.field) for fault in refused.faults)
        faults = zip(told, refused.faults, strict=True)
        raise InputFaults(tuple(replace(fault, file="WHAT", field=field) for field, fault in faults)) from None
