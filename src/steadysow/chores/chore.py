"""A chore: one dated job for a person, with its title and its minutes.

Takes what a job is about; gives its title and its minutes.  Hides the wording of titles, short enough for a phone, and
how long each kind of work takes.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Literal, get_args

from steadysow.amounts import counted, day_text, holes_text, ordinal_text
from steadysow.inputs.crops import HarvestKind
from steadysow.inputs.journal import FactKind
from steadysow.plan.minutes import WORK_MINUTES

ChoreKind = Literal[
    "harvest", "clear", "clean", "fill", "transplant", "change", "feed", "top-up", "thin", "sow", "care", "harden",
    "check", "brew", "timer", "leave", "order",
]  # fmt: skip

# The order of work on one day: plants that leave make room for plants that enter.
WORK_ORDER: tuple[ChoreKind, ...] = get_args(ChoreKind)

# Chores that planning decides.  All others are upkeep, which follows from the plan.
PLANNED_KINDS: frozenset[ChoreKind] = frozenset(("harvest", "clear", "clean", "transplant", "sow"))

# The fact that records a chore.  Other kinds are not recorded, and nobody is asked about them.
ANSWERED_BY: Mapping[ChoreKind, FactKind] = {
    "harvest": "harvested",
    "clear": "cleared",
    "clean": "scrubbed",
    "fill": "fed",
    "transplant": "transplanted",
    "change": "scrubbed",
    "feed": "fed",
    "top-up": "topped-up",
    "thin": "thinned",
    "sow": "sown",
}

# Some lines differ from tote to tote.  A merged chore keeps one of those that begin like this.
WAITS, UNPLUG = "Can wait until", "Unplug"

# About how long work takes: once, and for each cell, plant, tote or litre [min].  The minutes of upkeep are estimates
# for a practised household: to carry, mix or scrub takes its minutes, however little there is to do.
MINUTES: Mapping[ChoreKind, tuple[float, float]] = {
    "clean": (12.0, 0.0),
    "fill": (3.0, 0.3),
    "change": (12.0, 0.3),
    "feed": (3.0, 0.3),
    "top-up": (1.5, 0.3),
    "thin": (1.0, 0.2),
    "care": (1.0, 0.3),
    "harden": (5.0, 0.0),
    "check": (2.0, 1.5),
    "brew": (10.0, 0.0),
    "timer": (2.0, 0.0),
    "leave": (10.0, 0.0),
    "order": (5.0, 0.0),
    "sow": (WORK_MINUTES.sowing, WORK_MINUTES.cell),
    "transplant": (0.0, WORK_MINUTES.transplant),
    "clear": (0.0, WORK_MINUTES.clear),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Chore:
    """One dated job for a person.

    Attributes
    ----------
    key
        Lasting identity: ``batch/kind/k`` or ``tote/filling/kind/k``, where the filling is named by its first batch.  A
        chore of the whole garden has its subject, and its day or number.
    kind
        The kind of work.
    on, latest_on
        The planned day; the last day on which it can still be done, equal to `on` if it cannot wait.
    title
        The title that a phone shows.
    detail
        Plain sentences: how much, for whom, and cautions.
    tote, holes
        The tote and its holes.  Both are empty in the nursery; a chore of the whole tote has no holes.
    places
        Every tote of a merged chore, with its holes; empty for a chore of one tote.
    crop
        The crop; empty for a chore of a tote or of the whole garden.
    batches
        The ids of its batches.
    plants, cells, seeds
        How many plants, cells and seeds are handled.
    grams
        Fresh weight expected [g].
    litres
        Water that goes in [L].
    minutes
        About how long it takes [min].
    harvest, number
        For a harvest: its kind, and its number among the cuts, picks or head days of the batch, from 1.
    is_recorded
        Whether the journal has it as done.
    """

    key: str
    kind: ChoreKind
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
    litres: float = 0.0
    minutes: float = 0.0
    harvest: HarvestKind | None = None
    number: int = 0
    is_recorded: bool = False


def minutes_of(chore: Chore) -> float:
    """Give about how long a chore takes [min]; in a merged chore, work that is done once counts once."""
    if chore.harvest is not None:
        return WORK_MINUTES.harvest(chore.harvest) * chore.plants
    once, each = MINUTES[chore.kind]
    totes = max(1, len(chore.places))
    count: float = chore.plants
    match chore.kind:
        case "sow" | "thin":
            count = chore.cells
        case "fill" | "change" | "feed" | "top-up":
            once, count = once * totes, chore.litres
        case "clean":
            once *= totes
        case "check":
            count = totes
        case _:
            pass
    return round(once + each * count, 1)


def titled(chore: Chore) -> Chore:
    """Give a chore with the title of its plants and places."""
    return replace(chore, title=_title(chore))


def _title(chore: Chore) -> str:
    place = places_text(chore)
    match chore.kind, chore.harvest:
        case "sow", _:
            if chore.tote:
                return f"Sow {counted(chore.cells, 'pot')} of {chore.crop} in {place}"
            return f"Sow {counted(chore.cells, 'cell')} of {chore.crop}"
        case "transplant", _:
            return f"Plant {chore.plants} {chore.crop} into {place}"
        case "harvest", "head":
            return f"Harvest {chore.plants} whole {chore.crop}{deadline_text(chore)} in {place}"
        case "harvest", "cut":
            return f"Harvest {chore.plants} {chore.crop}{cut_text(chore)} in {place}"
        case "harvest", _:
            return f"Pick {chore.crop} in {place}"
        case "clear", _:
            return f"Clear {chore.plants} {chore.crop} in {place}"
        case "thin", _:
            where = f" in {place}" if chore.tote else ""
            return f"Thin {counted(chore.cells, 'pot' if chore.tote else 'cell')} of {chore.crop}{where}"
        case "harden", _:
            return f"Harden off {counted(chore.cells, 'cell')} of {chore.crop}"
        case "care", _:
            return f"{chore.title.rpartition(' (')[0]} ({place})"
        case _:
            first, found, _ = chore.title.rpartition(" tote")
            return f"{first} totes {chore.tote}" if chore.places and found else chore.title


def deadline_text(chore: Chore) -> str:
    """Give the part of a title that names its last day: `` by Fri``, or `` by Fri 4 Dec`` if that is a week away."""
    if chore.latest_on <= chore.on:
        return ""
    day = day_text(chore.latest_on)
    weekday, _, _ = day.partition(" ")
    return f" by {weekday if chore.latest_on - chore.on < timedelta(weeks=1) else day}"


def cut_text(chore: Chore) -> str:
    """Give the part of a title that numbers a cut: `` (1st cut)``, or nothing if it has no number."""
    return f" ({ordinal_text(chore.number)} cut)" if chore.number else ""


def order_of(chore: Chore) -> tuple[date, int, str, str, tuple[int, ...], str]:
    """Give the key by which chores are sorted: the day, then the order of work."""
    return chore.on, WORK_ORDER.index(chore.kind), chore.crop, chore.tote, chore.holes, chore.key


def places_text(chore: Chore) -> str:
    """Give the totes and holes of a chore for its title: ``A 1-3; B``."""
    places = chore.places or ((chore.tote, chore.holes),)
    return "; ".join(f"{tote} {holes_text(holes)}".rstrip() for tote, holes in places)


def where_text(tote: str, holes: tuple[int, ...]) -> str:
    """Give a tote and its holes for a sentence: ``tote A, holes 1-3``."""
    return f"tote {tote}, {'hole' if len(holes) == 1 else 'holes'} {holes_text(holes)}"
