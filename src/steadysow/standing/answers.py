"""Small questions that understanding a saying asks: which tote or crop a word names, which holes are free.

Takes words, batches and `Grounds`; gives the answer, or refuses with what to write instead.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from typing import NoReturn

from steadysow.amounts import Units, celsius_of, cm_of, litres_text, measure_text
from steadysow.errors import Fault, InputFaults
from steadysow.inputs.garden import level_cm
from steadysow.inputs.journal import Fact
from steadysow.inputs.values import suggestion
from steadysow.plan.batch import Batch, Harvest
from steadysow.standing.batch_life import answered
from steadysow.standing.grounds import Grounds

# What can be measured, and the values that are not a slip of the hand [pH], [mS/cm], [cm], [degree C].
MEASURES: Mapping[str, tuple[float, float]] = {
    "ph": (0.0, 14.0),
    "ec": (0.0, 20.0),
    "level": (0.0, 200.0),
    "temperature": (-10.0, 60.0),
}
MEASURED_EXAMPLE = "Write such as: record measured A ph 6.1 ec 1.4"


def tote_named(word: str, grounds: Grounds, argument: str = "WHAT") -> str:
    """Give the tote of a name, however it is written large or small."""
    found = tote_of(word, grounds)
    if found is None:
        refuse(argument, f'there is no tote "{word}"', suggestion(word, [tote.name for tote in grounds.garden.totes]))
    return found


def tote_of(word: str, grounds: Grounds) -> str | None:
    """Give the tote of a name, or none if it is the name of something else."""
    return next((tote.name for tote in grounds.garden.totes if tote.name.casefold() == word.casefold()), None)


def crop_named(word: str, grounds: Grounds) -> str:
    """Give the crop of a name, or of its last word where one crop alone ends in it."""
    wanted = word.casefold()
    ending = [name for name in grounds.garden.crops if name.split()[-1] == wanted]
    if wanted not in grounds.garden.crops and len(ending) != 1:
        names = (*(tote.name for tote in grounds.garden.totes), *sorted(grounds.garden.crops))
        refuse("WHAT", f'"{word}" is no batch, tote or crop of this garden', suggestion(word, ending or names))
    return wanted if wanted in grounds.garden.crops else ending[0]


def known_batches(grounds: Grounds) -> str:
    """Say which batches there are to write the number of."""
    live = [batch for batch in grounds.standing(grounds.today).begun if batch.state in ("sown", "transplanted")]
    told = ", ".join(f"{batch.id} {batch.crop}" for batch in live[:8])
    return f"Batches that have begun: {told or 'none'}; `steadysow show batches` lists all"


def measured(name: str, text: str, units: Units) -> tuple[str, float]:
    """Give what was measured and its value, metric; a length and a temperature are told in the units of the garden."""
    what = name.casefold()
    if what not in MEASURES:
        refuse("WHAT", f'"{name}" is not measured', suggestion(what, MEASURES))
    try:
        value = float(text.replace(",", "."))
    except ValueError:
        refuse("WHAT", f'"{text}" is no number', MEASURED_EXAMPLE)
    if units == "us" and what == "level":
        value = cm_of(value)
    if units == "us" and what == "temperature":
        value = celsius_of(value)
    least, most = MEASURES[what]
    if not least <= value <= most:
        ends = f"{measure_text(what, least, units)} to {measure_text(what, most, units)}"
        refuse("WHAT", f"{what} {text} cannot be", f"Write a value from {ends}")
    return what, value


def water_warnings(fact: Fact, grounds: Grounds) -> Iterator[str]:
    """Refuse water that cannot be; say what is odd about the rest."""
    tote = grounds.garden.tote(fact.tote)
    if fact.litres is not None and not 0 < fact.litres <= tote.litres:
        most = litres_text(tote.litres, grounds.garden.units)
        refuse("--litres", f"{fact.litres:g} litres are not what goes into tote {tote.name}", f"It holds {most}")
    if fact.kind == "measured" and fact.what == "level" and fact.value is not None:
        line_cm = level_cm(tote, tote.litres)
        if fact.value > line_cm:
            line = measure_text("level", round(line_cm, 1), grounds.garden.units)
            yield f"That is above the line of tote {tote.name}, {line} by its litres and its lid: it counts as full."
    stands = (batch for batch in grounds.standing(fact.on).begun if batch.tote == tote.name)
    if fact.kind in ("fed", "topped-up") and not any(batch.state == "transplanted" for batch in stands):
        yield f"Nothing stands in tote {tote.name} on that day."


def refuse(argument: str, wrong: str, write: str) -> NoReturn:
    """Refuse what was typed for an argument, with what is wrong and what to write."""
    raise InputFaults((Fault(file=argument, line=None, field="", wrong=wrong, write=write),))


def free_holes(tote: str, plants: int, batch: Batch, on: date, grounds: Grounds) -> tuple[int, ...]:
    """Give the first free holes of a tote, of what stands there on a day."""
    lid = grounds.garden.tote(tote)
    busy = busy_holes(tote, batch, on, grounds)
    free = tuple(hole for hole in range(1, lid.holes + 1) if hole not in busy)
    if len(free) < plants:
        told = f"on {on} tote {tote} has free holes for {len(free)} of {plants} plants"
        refuse("--tote", told, "Record what left it first, name another tote, or fewer plants")
    return free[:plants]


def busy_holes(tote: str, batch: Batch, on: date, grounds: Grounds) -> set[int]:
    """Give the holes of a tote in which plants of other batches stand on a day."""
    others = (each for each in grounds.standing(on).begun if each.tote == tote and each.id != batch.id)
    return {
        hole
        for each in others
        if each.state == "transplanted"
        for hole in each.holes
        if not any(hole in harvest.holes for harvest in each.harvests if harvest.kind == "head")
    }


def check_holes(tote: str, holes: tuple[int, ...], plants: int, batch: Batch, on: date, grounds: Grounds) -> None:
    """Refuse holes that the tote has not, that are too few or too many, or in which others stand."""
    lid = grounds.garden.tote(tote)
    if len({*holes}) != plants:
        refuse("--holes", f"{plants} plants need as many holes, not {len({*holes})}", "Name one hole for each plant")
    beyond = [hole for hole in holes if not 1 <= hole <= lid.holes]
    if beyond:
        refuse("--holes", f"tote {tote} has no hole {beyond[0]}", f"Write numbers from 1 to {lid.holes}")
    busy = sorted(busy_holes(tote, batch, on, grounds) & {*holes})
    if busy:
        told = f"hole {busy[0]} of tote {tote} is taken on {on}"
        refuse("--holes", told, "Name other holes, or record first what left it")


def answers_of(batch: Batch, on: date, grounds: Grounds) -> Harvest | None:
    """Give the planned harvest of a batch that a harvest on a day would answer; those taken in silence are open."""
    planned = grounds.planned(batch.id)
    if planned is None:
        return None
    told = {each.on for each in batch.harvests if each.is_recorded}
    days = sorted({*told, on})
    place = answered(days, planned.harvests).get(days.index(on))
    return None if place is None else planned.harvests[place]


def as_if(fact: Fact, batch: Batch, grounds: Grounds) -> Batch:
    """Give a batch as it stands with a fact, which may take the place of what was taken to have happened."""
    try:
        begun = grounds.standing(fact.on, (fact,)).begun
    except InputFaults:
        # What cannot be is refused once all is known of it.
        return batch
    return next((each for each in begun if each.id == batch.id), batch)


def most_left(batch: Batch) -> int:
    """Give how many plants of a batch may be left, where those taken in silence may have been left standing."""
    taken = (harvest for harvest in batch.harvests if harvest.kind == "head" and harvest.is_recorded)
    return batch.plants - sum(len(harvest.holes) for harvest in taken)


def divided(number: int, parts: Sequence[int]) -> list[int]:
    """Share a number in proportion to some parts, none of which gets more than itself where there is no more."""
    whole = sum(parts)
    if whole == 0:
        return [0 for _ in parts]
    shares = [number * part // whole for part in parts]
    by_rest = sorted(range(len(parts)), key=lambda place: (-(number * parts[place] % whole), place))
    for place in by_rest[: number - sum(shares)]:
        shares[place] += 1
    return shares


def weighed(grams: float | None, parts: Sequence[int]) -> list[float | None]:
    """Share a weight in proportion to some parts, to a tenth of a gram, so that it adds up."""
    if grams is None:
        return [None for _ in parts]
    parts = parts if any(parts) else [1 for _ in parts]
    whole = sum(parts)
    so_far = [round(grams * sum(parts[: place + 1]) / whole, 1) for place in range(len(parts))]
    return [round(upto - before, 1) for before, upto in zip([0.0, *so_far], so_far, strict=False)]
