"""Chores: what a person has to do, day by day.

Takes a garden, its crops and a verified plan; gives dated `Chore` values, each with a key that lasts for as long as its
batch or its filling of a tote.  Hides the wording: titles short enough for a phone, dates and weights as the gardener
reads them.  Chores are never merged where they are listed; `merge` does so for display alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import groupby, zip_longest
from typing import Literal

from steadysow.amounts import Units, counted, volume_text, water_weight_text, weight_text
from steadysow.cautions import POWER_CAUTION
from steadysow.inputs.crops import Care, Crop, HarvestKind
from steadysow.inputs.garden import Garden, Tote
from steadysow.inputs.journal import Fact
from steadysow.planning.plan import Batch, Harvest, Plan

Kind = Literal["harvest", "clear", "clean", "transplant", "sow"]

# What the journal is silent about is asked for that long, and then taken to have gone as planned [d].
OVERDUE_DAYS = 14

# A tote told to be scrubbed no more than this before a filling ends, or any time after, was scrubbed for it [d].
SCRUBBED_BEFORE_DAYS = 3

# The order of work on one day: what is taken out makes room for what goes in.
WORK_ORDER: tuple[Kind, ...] = ("harvest", "clear", "clean", "transplant", "sow")

# Our own names, so that a plan reads the same whatever the locale of the machine.
_WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


@dataclass(frozen=True, slots=True, kw_only=True)
class Chore:
    """One dated job for a person.

    Attributes
    ----------
    key
        Lasting identity: ``batch/kind/k``, or ``tote/filling/kind/k`` where a filling goes by its first batch.
    kind
        What kind of work it is.
    on, latest_on
        The planned day; the last day on which it can still be done (that day included), equal to `on` where it cannot
        wait.
    title
        What a phone shows.
    detail
        Plain sentences: how much, for whom, and cautions.
    tote, holes
        Where; empty for a sowing in the nursery, and no holes where the whole tote is meant.
    places
        Of a merged chore every tote with its holes; empty for a chore of one tote.
    crop
        The crop, or empty where a chore is for a tote.
    batches
        Ids of the batches it is for.
    plants, cells, seeds
        How many of each are handled.
    grams
        Fresh weight expected [g].
    harvest, number
        For a harvest: its kind, and which cut or pick of the batch it is, or which harvest day of a batch of heads,
        counted from 1.
    is_told
        Whether the journal tells that it was done.
    """

    key: str
    kind: Kind
    on: date
    latest_on: date
    title: str
    detail: tuple[str, ...] = ()
    tote: str = ""
    holes: tuple[int, ...] = ()
    places: tuple[tuple[str, tuple[int, ...]], ...] = ()
    crop: str = ""
    batches: tuple[int, ...] = ()
    plants: int = 0
    cells: int = 0
    seeds: int = 0
    grams: float = 0.0
    harvest: HarvestKind | None = None
    number: int = 0
    is_told: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Filling:
    """A tote's use from the day its first plants enter until the day its last plants leave.

    Attributes
    ----------
    tote, place
        Name of the tote, and where it stands.
    batches
        Ids of the batches that stood in it, rising; the first one names the filling.
    from_on, until_on
        The day the first plants enter; the day the last leave, on which it stands empty.
    """

    tote: str
    place: str
    batches: tuple[int, ...]
    from_on: date
    until_on: date


def list_chores(
    garden: Garden, crops: Mapping[str, Crop], plan: Plan, *, facts: Iterable[Fact] = ()
) -> tuple[Chore, ...]:
    """List every chore of a plan, in the order of day and of work on that day.

    A batch that was lost keeps its sowing and the harvests it gave, and asks for no more.

    Parameters
    ----------
    garden, crops, plan
        The garden, the crops by name, and the plan as it reads with what was told.
    facts
        What the journal tells of totes.
    """
    chores = [chore for batch in plan.batches for chore in _batch_chores(garden, crops[batch.crop], batch)]
    chores += _clean_chores(garden, plan, [fact for fact in facts if fact.kind == "scrubbed"])
    return tuple(sorted(chores, key=_order))


def overdue(chores: Iterable[Chore], facts: Iterable[Fact], today: date) -> tuple[Chore, ...]:
    """Give the chores of past days of which the journal is silent, since it was begun.

    Nobody who keeps no journal is asked, and nothing older than `OVERDUE_DAYS`.
    """
    begun_on = min((fact.on for fact in facts), default=today)
    since = max(begun_on, today - timedelta(OVERDUE_DAYS))
    return tuple(chore for chore in chores if since <= chore.on < today and not chore.is_told)


def merge(chores: Iterable[Chore]) -> tuple[Chore, ...]:
    """Merge chores that a person does in one go, in whatever totes.

    A day has one line for what is sown, one for what is planted, one for each crop harvested, one for totes to scrub.
    A merged harvest is told with the first of the last days it can wait until, and takes in the clearing of the plants
    it is the last of.  The key of a merged chore joins those of its parts; it is for display and never leaves the
    screen.
    """
    groups = groupby(sorted(chores, key=lambda chore: (*_likeness(chore), _order(chore))), key=_likeness)
    by_crop = _with_clearings([_one_of(tuple(group)) for _, group in groups])
    days = groupby(sorted(by_crop, key=lambda chore: (*_sitting(chore), _order(chore))), key=_sitting)
    return tuple(sorted((_in_one_sitting(tuple(sitting)) for _, sitting in days), key=_order))


def list_fillings(garden: Garden, plan: Plan) -> tuple[Filling, ...]:
    """List the fillings of every tote, tote by tote in the order of the garden and then by day."""
    return tuple(filling for tote in garden.totes for filling in _fillings_of(tote, plan.batches))


# How dates and holes are shown.


def day_text(day: date) -> str:
    """Give a day as people say it, such as ``Sat 5 Dec``."""
    return f"{_WEEKDAYS[day.weekday()]} {day.day} {_MONTHS[day.month - 1]}"


def holes_text(holes: Iterable[int]) -> str:
    """Give holes as ranges, such as ``1-3, 7``."""
    # Neighbouring holes keep the same distance to their rank.
    ranked = groupby(enumerate(sorted(holes)), key=lambda pair: pair[1] - pair[0])
    runs = [[hole for _, hole in run] for _, run in ranked]
    return ", ".join(str(run[0]) if len(run) == 1 else f"{run[0]}-{run[-1]}" for run in runs)


# Chores of a batch.


def _batch_chores(garden: Garden, crop: Crop, batch: Batch) -> Iterator[Chore]:
    yield replace(_sow(crop, batch), is_told="sown" in batch.told)
    # A lost batch has no holes any more, and nobody needs to be told to plant it.
    if batch.holes and batch.transplanted_on is not None and batch.transplanted_on != batch.sown_on:
        yield replace(_transplant(crop, batch, batch.transplanted_on), is_told="transplanted" in batch.told)
    for harvest in batch.harvests:
        yield replace(_harvest(garden, crop, batch, harvest), is_told=harvest.told)
    if batch.cleared_on is not None and batch.state != "lost" and _leaves_roots(batch):
        yield replace(_clear(garden, batch, batch.cleared_on), is_told="cleared" in batch.told)


def _leaves_roots(batch: Batch) -> bool:
    """Say whether plants stand in the tote after the last harvest; heads go with their roots."""
    return sum(harvest.plants for harvest in batch.harvests if harvest.kind == "head") < batch.plants


def _begun(batch: Batch, kind: Kind, on: date, number: int = 1) -> Chore:
    """Give a chore of a batch that still wants its detail and title."""
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
    seeds = batch.seeds // batch.cells if batch.cells else crop.seeds_a_cell
    lines = [f"{counted(seeds, 'seed')} in each {container}, for {batch.want}."]
    if batch.holes and batch.transplanted_on is not None and not in_pot:
        cells, plants = counted(batch.cells, "cell"), counted(batch.plants, "plant")
        place = _where(batch.tote, batch.holes)
        lines.append(f"{cells} for {plants}: into {place} on {day_text(batch.transplanted_on)}.")
    if batch.emerges_on is not None:
        lines.append(f"Seedlings should be up by {day_text(batch.emerges_on)}.")
    if seeds > crop.plants_a_hole:
        lines.append(f"Once they are up, keep the strongest {crop.plants_a_hole} in each {container}.")
    if in_pot:
        lines += _care_sentences(crop, batch.sown_on)
    chore = replace(_begun(batch, "sow", batch.sown_on), detail=tuple(lines), cells=batch.cells, seeds=batch.seeds)
    return _titled(chore if in_pot else replace(chore, tote="", holes=()))


def _transplant(crop: Crop, batch: Batch, on: date) -> Chore:
    lines = (f"Sown on {day_text(batch.sown_on)}, for {batch.want}.", *_care_sentences(crop, on))
    return _titled(replace(_begun(batch, "transplant", on), detail=lines))


def _care_sentences(crop: Crop, planted_on: date) -> list[str]:
    return [_care_sentence(care, planted_on) for care in crop.care]


def _care_sentence(care: Care, planted_on: date) -> str:
    first_on = day_text(planted_on + timedelta(days=care.after_days))
    what = care.what[:1].upper() + care.what[1:]
    if care.every_days is None:
        return f"{what} on {first_on}."
    return f"{what} every {counted(care.every_days, 'day')} from {first_on}."


def _harvest(garden: Garden, crop: Crop, batch: Batch, harvest: Harvest) -> Chore:
    amount = weight_text(harvest.grams, garden.units)
    lines = [f"About {amount} for {batch.want} from {_where(batch.tote, harvest.holes)}."]
    if harvest.latest_on > harvest.on:
        lines.append(f"Can wait until {day_text(harvest.latest_on)}.")
    if harvest.kind == "head":
        lines.append("The roots come out with the head.")
    lines.append(f"Keeps about {counted(_keeps_days(garden, crop, batch), 'day')} in the fridge.")
    return _titled(
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
        "Take out the plants with all their roots; lift the lid to reach what broke off.",
        *_unplug_caution(garden, garden.tote(batch.tote), batch.place),
    )
    return _titled(replace(_begun(batch, "clear", on), detail=lines))


# Chores of a tote.


def _clean_chores(garden: Garden, plan: Plan, scrubbed: Sequence[Fact]) -> Iterator[Chore]:
    for tote in garden.totes:
        fillings = _fillings_of(tote, plan.batches)
        for filling, following in zip_longest(fillings, fillings[1:]):
            until_on = date.max if following is None else following.from_on
            since = filling.until_on - timedelta(SCRUBBED_BEFORE_DAYS)
            is_told = any(fact.tote == tote.name and since <= fact.on <= until_on for fact in scrubbed)
            yield replace(_clean(garden, tote, filling, following), is_told=is_told)


def _fillings_of(tote: Tote, batches: Iterable[Batch]) -> tuple[Filling, ...]:
    """Join the stays of batches in a tote into fillings.

    A still tote is emptied between two plantings by its nature; a tote with a pump is replanted hole by hole, and its
    filling ends only where it stands wholly empty before the next planting, or moves.
    """
    stays = sorted(
        (batch.transplanted_on, batch.cleared_on, batch.id, batch.place)
        for batch in batches
        if batch.tote == tote.name and batch.transplanted_on is not None and batch.cleared_on is not None
    )
    fillings: list[Filling] = []
    for from_on, until_on, batch_id, place in stays:
        last = fillings[-1] if fillings else None
        if last is not None and place == last.place and _joins(from_on, last, tote):
            fillings[-1] = Filling(
                tote=tote.name,
                place=place,
                batches=tuple(sorted((*last.batches, batch_id))),
                from_on=last.from_on,
                until_on=max(last.until_on, until_on),
            )
        else:
            filling = Filling(tote=tote.name, place=place, batches=(batch_id,), from_on=from_on, until_on=until_on)
            fillings.append(filling)
    return tuple(fillings)


def _joins(from_on: date, filling: Filling, tote: Tote) -> bool:
    if from_on == filling.until_on > filling.from_on:
        return tote.system == "dwc"
    return from_on < filling.until_on or from_on == filling.from_on


def _clean(garden: Garden, tote: Tote, filling: Filling, following: Filling | None) -> Chore:
    next_on = None if following is None else following.from_on
    unplug = tuple(_unplug_caution(garden, tote, filling.place))
    lines = [*unplug, _water_caution(tote, garden.units), *([POWER_CAUTION] if unplug else [])]
    if following is not None and following.place != filling.place:
        title = f"Scrub, move to {following.place}: tote {tote.name}"
        first = f"Drain it, scrub tote and lid, rinse, carry it empty to the {following.place}, and fill it there."
    elif following is None and (garden.clear_by is not None or not _is_in_use(garden, tote, filling.until_on)):
        title = f"Drain and scrub tote {tote.name}"
        first = "Drain it, scrub tote and lid, rinse, and let them dry."
    else:
        title = f"Scrub and refill tote {tote.name}"
        first = "Drain it, scrub tote and lid, rinse, and fill with fresh water and nutrients."
    lines.insert(0, first)
    if next_on is not None:
        lines.insert(1, f"The next plants go in on {day_text(next_on)}.")
    return Chore(
        key=f"{tote.name}/{filling.batches[0]}/clean/1",
        kind="clean",
        on=filling.until_on,
        latest_on=filling.until_on if next_on is None else next_on,
        title=title,
        detail=tuple(lines),
        tote=tote.name,
        batches=filling.batches,
    )


def _is_in_use(garden: Garden, tote: Tote, day: date) -> bool:
    """Say whether a tote is in use on a day; a place that the garden file no longer knows counts as in use."""
    known = {place.name for place in garden.places}
    return tote.stands_on(day) not in known or garden.place_of(tote, day) is not None


def _unplug_caution(garden: Garden, tote: Tote, place: str) -> Iterator[str]:
    """Say what to unplug, where there is something plugged in."""
    lit = any(each.name == place and each.lamp is not None for each in garden.places)
    plugged = [*(["lamp"] if lit else []), *(["pump"] if tote.system == "dwc" else [])]
    if plugged:
        what = " and ".join(plugged) if len(plugged) > 1 else f"the {plugged[0]}"
        yield f"Unplug {what} before your hands go in the water."


def _water_caution(tote: Tote, units: Units) -> str:
    weight = water_weight_text(tote.litres, units)
    return f"A full {volume_text(tote.litres, units)} tote holds {weight} of water: fill and drain it in place."


# Titles, order and merging.


def _titled(chore: Chore) -> Chore:
    return replace(chore, title=_title(chore))


def _title(chore: Chore) -> str:
    place = _places_text(chore)
    match chore.kind, chore.harvest:
        case "sow", _:
            if chore.tote:
                return f"Sow {counted(chore.cells, 'pot')} of {chore.crop} ({place})"
            return f"Sow {counted(chore.cells, 'cell')} of {chore.crop}"
        case "transplant", _:
            return f"Plant {chore.plants} {chore.crop} into {place}"
        case "harvest", "head":
            by = f" by {day_text(chore.latest_on)}" if chore.latest_on > chore.on else ""
            return f"Take {chore.plants} {chore.crop}{by} ({place})"
        case "harvest", "cut":
            number = f", cut {chore.number}" if chore.number else ""
            return f"Cut {chore.plants} {chore.crop}{number} ({place})"
        case "harvest", _:
            return f"Pick {chore.crop} ({place})"
        case "clear", _:
            return f"Clear {chore.plants} {chore.crop} ({place})"
        case _:
            first, found, _ = chore.title.rpartition(" tote")
            return f"{first} totes {chore.tote}" if chore.places and found else chore.title


def _order(chore: Chore) -> tuple[date, int, str, str, tuple[int, ...], str]:
    return chore.on, WORK_ORDER.index(chore.kind), chore.crop, chore.tote, chore.holes, chore.key


def _likeness(chore: Chore) -> tuple[date, str, str, str]:
    """Give what chores done in one go have in common.

    Sowing in pots is told apart from sowing in the nursery, and totes that move from those that stay.
    """
    if chore.kind == "clean":
        return chore.on, chore.kind, chore.crop, chore.title.rsplit(" tote", 1)[0]
    return chore.on, chore.kind, chore.crop, "pot" if chore.kind == "sow" and chore.tote else ""


def _one_of(chores: tuple[Chore, ...]) -> Chore:
    if len(chores) == 1:
        return chores[0]
    holes: dict[str, set[int]] = {}
    for chore in chores:
        if chore.tote:
            holes.setdefault(chore.tote, set()).update(chore.holes)
    places = tuple((tote, tuple(sorted(own))) for tote, own in sorted(holes.items()))
    return _titled(
        replace(
            chores[0],
            key="+".join(chore.key for chore in chores),
            latest_on=min(chore.latest_on for chore in chores),
            is_told=all(chore.is_told for chore in chores),
            detail=_merged_lines(chore.detail for chore in chores),
            tote=", ".join(tote for tote, _ in places),
            holes=places[0][1] if len(places) == 1 else (),
            places=places if len(places) > 1 else (),
            batches=tuple(sorted({batch for chore in chores for batch in chore.batches})),
            plants=sum(chore.plants for chore in chores),
            cells=sum(chore.cells for chore in chores),
            seeds=sum(chore.seeds for chore in chores),
            grams=sum(chore.grams for chore in chores),
            number=chores[0].number if len({chore.number for chore in chores}) == 1 else 0,
        )
    )


def _with_clearings(chores: list[Chore]) -> list[Chore]:
    """Fold the clearing of plants into their last harvest."""
    harvests = {(chore.on, chore.crop): chore for chore in chores if chore.kind == "harvest"}
    others = []
    for chore in chores:
        harvest = harvests.get((chore.on, chore.crop))
        if chore.kind == "clear" and harvest is not None and set(chore.batches) <= set(harvest.batches):
            what = "all" if chore.batches == harvest.batches else f"those of {_places_text(chore)}"
            harvests[(chore.on, chore.crop)] = replace(
                harvest,
                key=f"{harvest.key}+{chore.key}",
                title=f"{harvest.title}; clear {what}",
                detail=_merged_lines((harvest.detail, chore.detail)),
            )
        elif chore.kind != "harvest":
            others.append(chore)
    return [*harvests.values(), *others]


def _sitting(chore: Chore) -> tuple[date, str, str]:
    """Give what crops sown, or planted, in one sitting have in common."""
    return chore.on, chore.kind, chore.kind if chore.kind in ("sow", "transplant") else chore.key


def _in_one_sitting(chores: tuple[Chore, ...]) -> Chore:
    first = chores[0]
    if len(chores) == 1:
        return first
    titles = [chore.title.split(" ", 1)[1] for chore in chores]
    return replace(
        first,
        key="+".join(chore.key for chore in chores),
        title=f"{first.title.split(' ', 1)[0]} {', '.join(titles)}",
        detail=tuple(line for chore in chores for line in _told_of(chore)),
        tote=", ".join(dict.fromkeys(chore.tote for chore in chores if chore.tote)),
        holes=(),
        crop=", ".join(chore.crop for chore in chores),
        batches=tuple(sorted(batch for chore in chores for batch in chore.batches)),
        plants=sum(chore.plants for chore in chores),
        cells=sum(chore.cells for chore in chores),
        seeds=sum(chore.seeds for chore in chores),
    )


def _told_of(chore: Chore) -> Iterator[str]:
    """Give a chore's lines, the first of them led by its crop, for a chore of several crops."""
    for number, line in enumerate(chore.detail):
        yield f"{chore.crop.capitalize()}: {line}" if number == 0 else line


def _places_text(chore: Chore) -> str:
    places = chore.places or ((chore.tote, chore.holes),)
    return "; ".join(f"{tote} {holes_text(holes)}".rstrip() for tote, holes in places)


def _merged_lines(details: Iterable[tuple[str, ...]]) -> tuple[str, ...]:
    """Put lines of the same place together, and tell each only once."""
    side_by_side = zip_longest(*details)
    return tuple(dict.fromkeys(line for lines in side_by_side for line in lines if line is not None))


def _where(tote: str, holes: tuple[int, ...]) -> str:
    return f"tote {tote}, {'hole' if len(holes) == 1 else 'holes'} {holes_text(holes)}"
