"""The chores of a batch: sow, thin, plant, care, harvest, clear.

Takes a garden, a crop and a batch; gives the chores of the batch.  Hides their days and their texts.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta

from steadysow.amounts import counted, day_text, holes_text, weight_text
from steadysow.chores.chore import WAITS, Chore, ChoreKind, titled, where_text
from steadysow.chores.totes import unplugging
from steadysow.inputs.crops import Care, Crop
from steadysow.inputs.garden import Garden
from steadysow.plan.batch import Batch, Harvest

# Estimate: this long after emergence seed leaves are open, and the strongest seedling shows [d].
THIN_AFTER_DAYS = 4

# Seedlings get used to sun and wind this long before they are planted outdoors (common practice, no source) [d].
HARDEN_DAYS = 7

# Care that is due more often than this is one chore a week [d].
_WEEK_DAYS = 7

# By choice: a day of work is sought no further ahead than this [d].
_SOON_DAYS = 60

# The name of a job ends here, and its reason or place begins.  Only the name goes into the title.
_ENDS_CLAUSE = re.compile(r",| (?:above|and|below|so|to|two|with) ")


def batch_chores(garden: Garden, crop: Crop, batch: Batch) -> Iterator[Chore]:
    """Give the chores of a batch.

    Parameters
    ----------
    garden
        The garden.
    crop
        The crop of the batch.
    batch
        The batch, with the journal applied.
    """
    yield replace(_sow(crop, batch), is_recorded="sown" in batch.recorded)
    if batch.holes and batch.transplanted_on is not None:
        yield from _thin(garden, crop, batch)
        yield from _harden(garden, batch, batch.transplanted_on)
        yield from _care(garden, crop, batch, batch.transplanted_on)
    # A lost batch has no holes any more, and nobody plants it.
    if batch.holes and batch.transplanted_on is not None and batch.transplanted_on != batch.sown_on:
        yield replace(
            _transplant(garden, crop, batch, batch.transplanted_on), is_recorded="transplanted" in batch.recorded
        )
    for harvest in batch.harvests:
        yield replace(_harvest(garden, crop, batch, harvest), is_recorded=harvest.is_recorded)
    # Heads leave with their roots, so only plants that are left need clearing.
    if batch.cleared_on is not None and batch.state != "lost" and batch.plants_left:
        yield replace(_clear(garden, batch, batch.cleared_on), is_recorded="cleared" in batch.recorded)


def _begun(batch: Batch, kind: ChoreKind, on: date, number: int = 1) -> Chore:
    """Give a chore of a batch, without its detail and title."""
    return Chore(
        key=f"{batch.id}/{kind}/{number}",
        kind=kind,
        on=on,
        latest_on=on,
        title="",
        tote=batch.tote,
        holes=batch.holes,
        crop=batch.crop,
        batches=(batch.id,),
        plants=batch.plants,
    )


def _sow(crop: Crop, batch: Batch) -> Chore:
    in_pot = batch.transplanted_on == batch.sown_on
    container = "pot" if in_pot else "cell"
    lines = [f"{counted(_seeds_a_cell(crop, batch), 'seed')} in each {container}, for {batch.want}."]
    if batch.holes and batch.transplanted_on is not None and not in_pot:
        cells, plants = counted(batch.cells, "cell"), counted(batch.plants, "plant")
        place = where_text(batch.tote, batch.holes)
        lines.append(f"{cells} for {plants}, to go into {place}, on {day_text(batch.transplanted_on)}.")
    if batch.emerges_on is not None:
        lines.append(f"Seedlings should be up by {day_text(batch.emerges_on)}.")
    chore = replace(_begun(batch, "sow", batch.sown_on), detail=tuple(lines), cells=batch.cells, seeds=batch.seeds)
    return titled(chore if in_pot else replace(chore, tote="", holes=()))


def _thin(garden: Garden, crop: Crop, batch: Batch) -> Iterator[Chore]:
    on = _thinned_on(garden, crop, batch)
    if on is None:
        return
    in_pot = batch.transplanted_on == batch.sown_on
    chore = replace(
        _begun(batch, "thin", on),
        detail=(_thinning(crop, "pot" if in_pot else "cell"),),
        cells=batch.cells,
        is_recorded="thinned" in batch.recorded,
    )
    yield titled(chore if in_pot else replace(chore, tote="", holes=()))


def _thinned_on(garden: Garden, crop: Crop, batch: Batch) -> date | None:
    """Give the day of thinning, or ``None`` if there are no spare seeds, or the day would be after planting."""
    if not _has_spare_seeds(crop, batch) or batch.emerges_on is None:
        return None
    ends_on = batch.cleared_on if batch.transplanted_on == batch.sown_on else batch.transplanted_on
    on = _day_of_work(garden, batch.emerges_on + timedelta(THIN_AFTER_DAYS))
    return on if ends_on is None or on < ends_on else None


def _has_spare_seeds(crop: Crop, batch: Batch) -> bool:
    return _seeds_a_cell(crop, batch) > crop.plants_a_hole


def _seeds_a_cell(crop: Crop, batch: Batch) -> int:
    return batch.seeds // batch.cells if batch.cells else crop.seeds_a_cell


def _thinning(crop: Crop, container: str) -> str:
    kept = "seedling" if crop.plants_a_hole == 1 else f"{crop.plants_a_hole} seedlings"
    return f"Keep the strongest {kept} in each {container}. Cut the others at the base."


def _harden(garden: Garden, batch: Batch, on: date) -> Iterator[Chore]:
    is_outdoors = any(place.name == batch.place and place.outdoors for place in garden.places)
    up_on = batch.emerges_on or batch.sown_on
    first_on = _day_at_home(garden, max(on - timedelta(HARDEN_DAYS), up_on), until_on=on)
    if is_outdoors and first_on is not None:
        chore = replace(
            _begun(batch, "harden", first_on),
            latest_on=on,
            detail=(
                f"Put the seedlings outdoors each day until {day_text(on)}, in shade and out of the wind: an hour on"
                " the first day, longer each day. Bring them in at night.",
            ),
            tote="",
            holes=(),
            cells=batch.cells,
        )
        yield titled(chore)


def _care(garden: Garden, crop: Crop, batch: Batch, planted_on: date) -> Iterator[Chore]:
    """Give the jobs that the profile asks for; care that is due more often than weekly is one chore a week."""
    for index, care in enumerate(crop.care, start=1):
        on, number = planted_on + timedelta(care.after_days), 1
        while batch.cleared_on is not None and on < batch.cleared_on:
            yield from _one_care(garden, batch, care, on, key=f"{batch.id}/care{index if index > 1 else ''}/{number}")
            if care.every_days is None:
                break
            on, number = on + timedelta(max(care.every_days, _WEEK_DAYS)), number + 1


def _one_care(garden: Garden, batch: Batch, care: Care, on: date, *, key: str) -> Iterator[Chore]:
    """Give a job on its day: on the first day at home if it is for a whole week, else on the first day of work."""
    assert batch.cleared_on is not None
    is_often = care.every_days is not None and care.every_days < _WEEK_DAYS
    # A job is left out if nobody can do it before its next time, or before the plants are gone.
    times = () if care.every_days is None else (on + timedelta(max(care.every_days, _WEEK_DAYS)),)
    until_on = min((*times, batch.cleared_on))
    day = _day_at_home(garden, on, until_on=until_on) if is_often else _day_of_work(garden, on)
    if day is None or day >= until_on:
        return
    what = care.what[:1].upper() + care.what[1:]
    every = "day" if care.every_days == 1 else f"{care.every_days} days"
    often = f", every {every} this week" if is_often else ""
    short = _ENDS_CLAUSE.split(care.what)[0]
    yield replace(
        _begun(batch, "care", day),
        key=key,
        title=f"{batch.crop.capitalize()}: {short} ({batch.tote} {holes_text(batch.holes)})",
        detail=(f"{what}{often}.",),
    )


def _day_of_work(garden: Garden, from_on: date) -> date:
    """Give the first day of work from a day on, or that day itself if there is none soon."""
    days = (from_on + timedelta(number) for number in range(_SOON_DAYS))
    return next((day for day in days if garden.is_work_day(day)), from_on)


def _day_at_home(garden: Garden, from_on: date, *, until_on: date) -> date | None:
    """Give the first day of a span, half open, on which somebody is at home."""
    days = (from_on + timedelta(number) for number in range((until_on - from_on).days))
    return next((day for day in days if garden.at_home(day)), None)


def _transplant(garden: Garden, crop: Crop, batch: Batch, on: date) -> Chore:
    lines = [f"Sown on {day_text(batch.sown_on)}, for {batch.want}."]
    # Seedlings that are planted before their day of thinning are thinned as they are planted.
    if _has_spare_seeds(crop, batch) and _thinned_on(garden, crop, batch) is None:
        lines.append(_thinning(crop, "cell"))
    if batch.cells > batch.plants:
        spare = batch.cells - batch.plants
        spares, them = ("seedling", "it") if spare == 1 else (f"seedlings (up to {spare})", "them")
        lines.append(f"Keep any spare {spares} for a week in case a plant dies, then give {them} away.")
    return titled(replace(_begun(batch, "transplant", on), detail=tuple(lines)))


def _harvest(garden: Garden, crop: Crop, batch: Batch, harvest: Harvest) -> Chore:
    amount = weight_text(harvest.grams, garden.units)
    lines = [f"About {amount} for {batch.want} from {where_text(batch.tote, harvest.holes)}."]
    if harvest.latest_on > harvest.on:
        lines.append(f"{WAITS} {day_text(harvest.latest_on)}.")
    if harvest.kind == "head":
        lines.append("Take out each whole plant with its roots.")
    lines.append(f"Keeps about {counted(_keeps_days(garden, crop, batch), 'day')} in the fridge.")
    return titled(
        replace(
            _begun(batch, "harvest", harvest.on, harvest.number),
            latest_on=harvest.latest_on,
            detail=tuple(lines),
            holes=harvest.holes,
            plants=harvest.plants,
            grams=harvest.grams,
            harvest=harvest.kind,
            number=harvest.number,
        )
    )


def _keeps_days(garden: Garden, crop: Crop, batch: Batch) -> int:
    wanted = (want.keeps_days for want in garden.wants if want.name == batch.want)
    days = next(wanted, None)
    return crop.keeps_days if days is None else days


def _clear(garden: Garden, batch: Batch, on: date) -> Chore:
    lines = (
        "Take out the plants with all their roots. Lift the lid to reach pieces that broke off.",
        *unplugging(garden, garden.tote(batch.tote), batch.place),
    )
    taken = {hole for harvest in batch.harvests if harvest.kind == "head" for hole in harvest.holes}
    left = tuple(hole for hole in batch.holes if hole not in taken)
    return titled(replace(_begun(batch, "clear", on), detail=lines, holes=left, plants=batch.plants_left))
