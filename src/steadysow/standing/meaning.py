"""What a word means: the tote, the crop or the batches that a person names.

Takes a word and the `Grounds`; gives the name or the batches, or refuses the word and says what to write.  A tote or a
crop means those of its batches for which the fact comes next.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from steadysow.amounts import day_text
from steadysow.inputs.values import suggestion
from steadysow.plan.batch import Batch, Harvest
from steadysow.standing.grounds import Grounds
from steadysow.standing.harvests import ANSWERS_DAYS
from steadysow.standing.saying import Saying, refuse


def tote_named(word: str, grounds: Grounds, argument: str = "WHAT") -> str:
    """Give the tote of a name, in capitals or not.

    Raises
    ------
    InputFaults
        If there is no such tote.
    """
    found = find_tote(word, grounds)
    if found is None:
        refuse(argument, f'there is no tote "{word}"', suggestion(word, [tote.name for tote in grounds.garden.totes]))
    return found


def find_tote(word: str, grounds: Grounds) -> str | None:
    """Give the tote of a name, in capitals or not; ``None`` if there is no such tote."""
    return next((tote.name for tote in grounds.garden.totes if tote.name.casefold() == word.casefold()), None)


def crop_named(word: str, grounds: Grounds) -> str:
    """Give the crop of a name; the last word of the name is enough if only one crop ends in it.

    Raises
    ------
    InputFaults
        If there is no such crop.
    """
    wanted = word.casefold()
    ending = [name for name in grounds.garden.crops if name.split()[-1] == wanted]
    if wanted not in grounds.garden.crops and len(ending) != 1:
        names = (*(tote.name for tote in grounds.garden.totes), *sorted(grounds.garden.crops))
        refuse("WHAT", f'this garden has no batch, tote or crop "{word}"', suggestion(word, ending or names))
    return wanted if wanted in grounds.garden.crops else ending[0]


def known_batches(grounds: Grounds) -> str:
    """Say which batch numbers a person can write."""
    live = [batch for batch in grounds.standing(grounds.today).begun if batch.state in ("sown", "transplanted")]
    listed = ", ".join(f"{batch.id} {batch.crop}" for batch in live[:8])
    return f"Batches that have begun: {listed or 'none'}. `steadysow show batches` lists all"


def begun_batch(number: int, grounds: Grounds) -> Batch | None:
    """Give a batch as it stands today, also if it had not been sown yet on the day of the fact."""
    return next((batch for batch in grounds.standing(grounds.today).begun if batch.id == number), None)


def batches_meant(word: str, saying: Saying, grounds: Grounds) -> tuple[Batch, ...]:
    """Give the batches that a number, a tote or a crop means.

    Raises
    ------
    InputFaults
        If there is no such batch, if it is not sown yet, or if it is not clear which one is meant.
    """
    standing = grounds.standing(saying.on)
    begun = {batch.id: batch for batch in standing.begun}
    if word.isdecimal():
        batch = begun.get(int(word)) or begun_batch(int(word), grounds)
        if batch is None:
            planned = grounds.planned(int(word))
            if planned is None:
                refuse("WHAT", f"there is no batch {word}", known_batches(grounds))
            wrong = f"batch {word} is planned to be sown on {day_text(planned.sown_on)}"
            refuse("WHAT", wrong, f"Record its sowing first: steadysow record sown {word}")
        return (batch,)
    tote = find_tote(word, grounds)
    crop = crop_named(word, grounds) if tote is None else None
    live = [
        batch for batch in standing.begun if batch.state in ("sown", "transplanted") or _ended_unrecorded(batch, saying)
    ]
    fitting = [batch for batch in live if batch.tote == tote or batch.crop == crop]
    stage = [batch for batch in fitting if _comes_next(batch, saying, grounds, by_tote=tote is not None)]
    if not stage:
        where = f"in tote {tote}" if tote else f"of {crop}"
        wrong = f"no batch {where} could be {saying.kind} on {day_text(saying.on)}"
        refuse("WHAT", wrong, known_batches(grounds))
    # To take everything out of a tote is one job; to clear a crop wherever it stands is seldom meant.
    is_vague = saying.kind in ("lost", "bolted", "moved") or (saying.kind == "cleared" and tote is None)
    if is_vague and len(stage) > 1:
        *most, last = (str(batch.id) for batch in stage)
        refuse("WHAT", f'"{word}" could mean batch {", ".join(most)} or {last}', "Write the numbers you mean")
    return _nearest(stage, saying, grounds)


def _ended_unrecorded(batch: Batch, saying: Saying) -> bool:
    """Say whether a batch is over by the plan alone; its last harvest may have been a day late."""
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
    planned = grounds.planned_harvest(batch, on)
    return planned if planned is not None and abs(planned.on - on).days <= ANSWERS_DAYS else None


def _nearest(batches: Sequence[Batch], saying: Saying, grounds: Grounds) -> tuple[Batch, ...]:
    """Keep the batches whose planned day, or day of sowing, is nearest to the day of the fact."""

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
