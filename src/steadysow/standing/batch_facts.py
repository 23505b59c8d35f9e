"""Facts about batches that are sown: emerged, thinned, transplanted, harvested, lost, bolted, cleared and moved.

Takes a `Saying` and the `Grounds`; gives the facts, or refuses with what to write.  Hides how plants and grams are
shared among the batches that one word means, and what a harvest keeps for learning.  Stages that were never recorded
are added before the first fact about a batch, marked as assumed, so that the journal can be read without the plan.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import NoReturn

from steadysow.amounts import counted, day_text
from steadysow.errors import InputFaults
from steadysow.growth.daylight import conditions_at
from steadysow.growth.timeline import GrowingPlace
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import carried, lid_area_m2
from steadysow.inputs.journal import Fact, FactKind
from steadysow.plan.batch import Batch
from steadysow.standing.grounds import SPAN_DAYS, Grounds
from steadysow.standing.holes import busy_holes, check_holes, free_holes
from steadysow.standing.meaning import batches_meant, tote_named
from steadysow.standing.saying import Saying, Understood, refuse, refuse_several, refuse_unlike_counts
from steadysow.standing.sowings import sown_as_planned


def batch_facts(saying: Saying, grounds: Grounds) -> Understood:
    """Make facts of what happened to batches.

    Raises
    ------
    InputFaults
        If it is not clear which batch is meant, or if it is not possible.
    """
    what, to_tote = saying.what, saying.tote
    if saying.kind == "moved":
        if len(what) < 2:
            refuse("WHAT", "the new tote is missing", "Write the batch and its new tote, such as: record moved 12 C")
        what, to_tote = what[:-1], tote_named(what[-1], grounds)
    elif to_tote:
        to_tote = tote_named(to_tote, grounds, "--tote")
    batches = [*dict.fromkeys(batch for word in what for batch in batches_meant(word, saying, grounds))]
    if len(batches) > 1 and (saying.plants is not None or saying.grams is not None or saying.holes):
        return _shared(saying, batches, grounds)
    facts: list[Fact] = []
    for batch in batches:
        own = replace(saying, tote=to_tote, what=())
        # Holes that one batch takes are not free for the next.
        now = grounds.with_facts(facts)
        facts += [*_stages_before(batch, saying, now), _fact(batch, own, now)]
    return Understood(facts=tuple(facts))


def divided(number: int, parts: Sequence[int]) -> list[int]:
    """Share a whole number in proportion to some parts; no share exceeds its part if the parts suffice."""
    whole = sum(parts)
    if whole == 0:
        return [0 for _ in parts]
    shares = [number * part // whole for part in parts]
    by_rest = sorted(range(len(parts)), key=lambda place: (-(number * parts[place] % whole), place))
    for place in by_rest[: number - sum(shares)]:
        shares[place] += 1
    return shares


def divided_grams(grams: float | None, parts: Sequence[int]) -> list[float | None]:
    """Share a weight in proportion to some parts, each to a tenth of a gram, so that the shares add up [g]."""
    if grams is None:
        return [None for _ in parts]
    parts = parts if any(parts) else [1 for _ in parts]
    whole = sum(parts)
    so_far = [round(grams * sum(parts[: place + 1]) / whole, 1) for place in range(len(parts))]
    return [round(upto - before, 1) for before, upto in zip([0.0, *so_far], so_far, strict=False)]


def _shared(saying: Saying, batches: Sequence[Batch], grounds: Grounds) -> Understood:
    """Share plants and grams among the batches that one word means: people weigh the harvest of a day as a whole."""
    if saying.holes or saying.kind not in ("harvested", "emerged"):
        refuse_several("WHAT", (batch.id for batch in batches), "Record each batch with its own plants or grams")
    most = [batch.cells if saying.kind == "emerged" else _most_left(batch) for batch in batches]
    parts = [min(_planned_plants(batch, saying, grounds), there) for batch, there in zip(batches, most, strict=True)]
    plants_in_all = saying.plants
    if plants_in_all is not None:
        if plants_in_all > sum(most):
            numbers = ", ".join(str(batch.id) for batch in batches)
            _refuse_too_many(saying.kind, plants_in_all, sum(most), f"batches {numbers}")
        parts = divided(plants_in_all, parts if plants_in_all <= sum(parts) else most)
    grams = divided_grams(saying.grams, parts)
    facts: list[Fact] = []
    for batch, plants, weight in zip(batches, parts, grams, strict=True):
        if plants_in_all is not None and plants == 0 and saying.kind == "harvested":
            continue
        one = replace(saying, plants=None if plants_in_all is None else plants, grams=weight)
        facts += [*_stages_before(batch, saying, grounds), _fact(batch, one, grounds)]
    return Understood(facts=tuple(facts))


def _refuse_too_many(kind: FactKind, number: int, most: int, named: str) -> NoReturn:
    """Refuse more cells than were sown, or more plants than are left."""
    happened, known = ("emerged", "sown") if kind == "emerged" else ("harvested", "left")
    noun = "cell" if kind == "emerged" else "plant"
    refuse(
        "--plants", f"{counted(number, noun)} {happened}, but only {most} {known} ({named})", f"Write {most} or fewer"
    )


def _planned_plants(batch: Batch, saying: Saying, grounds: Grounds) -> int:
    """Give how many cells or plants of a batch the fact would be about if all went as planned."""
    if saying.kind == "emerged":
        return batch.cells
    planned = grounds.planned_harvest(batch, saying.on)
    return planned.plants if planned is not None else batch.plants


def _most_left(batch: Batch) -> int:
    """Give the most plants that a batch can have left: heads of an unrecorded harvest may still stand."""
    taken = (harvest for harvest in batch.harvests if harvest.kind == "head" and harvest.is_recorded)
    return batch.plants - sum(len(harvest.holes) for harvest in taken)


def _stages_before(batch: Batch, saying: Saying, grounds: Grounds) -> Iterable[Fact]:
    """Give the stages before a fact that the journal does not have, assumed to have gone as planned."""
    if not grounds.has(batch.id, "sown"):
        yield replace(sown_as_planned(batch, batch.sown_on), assumed=True)
    nursed = grounds.garden.crops[batch.crop].sown_in == "nursery"
    stands = batch.transplanted_on is not None and saying.kind in ("harvested", "lost", "bolted", "cleared", "moved")
    if nursed and stands and not grounds.has(batch.id, "transplanted"):
        yield Fact(
            kind="transplanted", on=batch.transplanted_on or saying.on, batch=batch.id, tote=batch.tote,
            holes=batch.holes, planned_on=batch.transplanted_on, assumed=True,
        )  # fmt: skip


def _fact(batch: Batch, saying: Saying, grounds: Grounds) -> Fact:
    fact = Fact(
        kind=saying.kind, on=saying.on, batch=batch.id, plants=saying.plants, holes=saying.holes, grams=saying.grams,
        text=saying.text,
    )  # fmt: skip
    match saying.kind:
        case "emerged":
            if saying.plants is not None and saying.plants > max(batch.cells, batch.plants):
                _refuse_too_many("emerged", saying.plants, batch.cells, f"batch {batch.id}")
            planned = grounds.planned(batch.id)
            return replace(fact, planned_on=planned.emerges_on if planned else None)
        case "transplanted":
            return _transplanted(fact, batch, saying, grounds)
        case "moved":
            if saying.tote == batch.tote and not saying.holes:
                wrong = f"batch {batch.id} is already in tote {batch.tote}"
                refuse("WHAT", wrong, "Name another tote, or other holes with --holes")
            holes = saying.holes or free_holes(saying.tote, batch.plants_left, batch, saying.on, grounds)
            check_holes(saying.tote, holes, batch.plants_left, batch, saying.on, grounds)
            return replace(fact, tote=saying.tote, holes=holes)
        case "harvested":
            if saying.plants is not None and saying.plants > (left := _most_left(batch)):
                _refuse_too_many("harvested", saying.plants, left, f"batch {batch.id}")
            refuse_unlike_counts(saying)
            return _harvested(fact, batch, grounds)
        case "lost" | "bolted":
            refuse_unlike_counts(saying)
            return fact
        case _:
            return fact


def _transplanted(fact: Fact, batch: Batch, saying: Saying, grounds: Grounds) -> Fact:
    """Add to a transplant its tote, its holes and its planned day."""
    earlier = grounds.fact_of(batch.id, "transplanted")
    if earlier is not None:
        wrong = f"batch {batch.id} was already transplanted on {day_text(earlier.on)}"
        write = f"If that is wrong, first take it back: record undo {earlier.number}"
        refuse("WHAT", wrong, f"{write}. If it went on into another tote: record moved")
    planned = grounds.planned(batch.id)
    tote, holes = _planted_into(batch, planned, saying, grounds)
    return replace(fact, planned_on=planned.transplanted_on if planned else None, tote=tote, holes=holes)


def _planted_into(batch: Batch, planned: Batch | None, saying: Saying, grounds: Grounds) -> tuple[str, tuple[int, ...]]:
    tote = saying.tote or (planned.tote if planned else batch.tote)
    if not tote:
        refuse("--tote", f"batch {batch.id} has no tote in the plan", "Name its tote with --tote")
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


def _harvested(fact: Fact, batch: Batch, grounds: Grounds) -> Fact:
    """Add to a harvest what was planned and forecast for it, from which the garden's record is learnt."""
    planned = grounds.planned_harvest(batch, fact.on)
    crop = grounds.garden.crops[batch.crop]
    tote = next((tote for tote in grounds.garden.totes if tote.name == batch.tote), None)
    known = batch.place in {place.name for place in grounds.garden.places}
    plants = fact.plants
    if crop.harvest.kind == "head" and plants is None:
        plants = min(planned.plants, _most_left(batch)) if planned else batch.plants_left
    fact = replace(fact, plants=plants, planned_on=planned.on if planned else None)
    if batch.transplanted_on is None or tote is None or not known or not carried(crop, tote):
        return fact
    since = batch.transplanted_on
    number = 1
    if crop.harvest.kind != "head":
        earlier = [each.on for each in _with_fact(fact, batch, grounds).harvests if each.on < fact.on]
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


def _with_fact(fact: Fact, batch: Batch, grounds: Grounds) -> Batch:
    """Give a batch as it stands with a fact, which may replace a stage that was taken to have gone as planned."""
    try:
        begun = grounds.standing(fact.on, (fact,)).begun
    except InputFaults:
        # An impossible fact is refused later, with all that is known about it.
        return batch
    return next((each for each in begun if each.id == batch.id), batch)
