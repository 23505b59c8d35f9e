"""A chore: one dated job for a person, and how it is told.

Takes what a job is about; gives its title and its minutes.  Hides the wording of titles, short enough for a phone, and
how long each kind of work takes.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Literal, get_args

from steadysow.amounts import counted, day_text, holes_text
from steadysow.inputs.crops import HarvestKind
from steadysow.inputs.journal import FactKind
from steadysow.plan.minutes import WORK_MINUTES

ChoreKind = Literal[
    "harvest", "clear", "clean", "fill", "transplant", "change", "feed", "top-up", "thin", "sow", "care", "harden",
    "check", "brew", "timer", "leave", "order",
]  # fmt: skip

# The order of work on one day: what is taken out makes room for what goes in.
WORK_ORDER: tuple[ChoreKind, ...] = get_args(ChoreKind)

# What planning decides; all else is upkeep, which follows from it.
PLANNED_KINDS: frozenset[ChoreKind] = frozenset(("harvest", "clear", "clean", "transplant", "sow"))

# What a chore that was done is recorded as; of the others no record is kept, and nobody is asked for them.
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

# How sentences begin of which a merged chore keeps one.
WAITS, UNPLUG = "Can wait until", "Unplug"

# About how long work takes: once, and for each cell, plant, tote or litre [min].  All of upkeep are estimates of a
# household that is used to it: what is carried, mixed or scrubbed takes its minutes however small it is.
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
        Lasting identity: ``batch/kind/k``, or ``tote/filling/kind/k`` where a filling goes by its first batch; of what
        is for the whole garden, what it is about and its day or number.
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
    litres
        Water that goes in [L].
    minutes
        About how long it takes [min].
    harvest, number
        For a harvest: its kind, and which cut or pick of the batch it is, or which harvest day of a batch of heads,
        counted from 1.
    is_recorded
        Whether the journal tells that it was done.
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
    """Give about how long a chore takes [min]; a merged one of one kind takes what is done once only once."""
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
    """Give a chore of plants with its title."""
    return replace(chore, title=_title(chore))


def _title(chore: Chore) -> str:
    place = places_text(chore)
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
        case "thin", _:
            where = f" ({place})" if chore.tote else ""
            return f"Thin {counted(chore.cells, 'pot' if chore.tote else 'cell')} of {chore.crop}{where}"
        case "harden", _:
            return f"Harden off {counted(chore.cells, 'cell')} of {chore.crop}"
        case "care", _:
            return f"{chore.title.rpartition(' (')[0]} ({place})"
        case _:
            first, found, _ = chore.title.rpartition(" tote")
            return f"{first} totes {chore.tote}" if chore.places and found else chore.title


def order_of(chore: Chore) -> tuple[date, int, str, str, tuple[int, ...], str]:
    """Give what chores are sorted by: the day, then the order of work."""
    return chore.on, WORK_ORDER.index(chore.kind), chore.crop, chore.tote, chore.holes, chore.key


def places_text(chore: Chore) -> str:
    """Give the totes and holes of a chore, as they stand in a title."""
    places = chore.places or ((chore.tote, chore.holes),)
    return "; ".join(f"{tote} {holes_text(holes)}".rstrip() for tote, holes in places)


def where_text(tote: str, holes: tuple[int, ...]) -> str:
    """Give a tote and its holes, as they stand in a sentence."""
    return f"tote {tote}, {'hole' if len(holes) == 1 else 'holes'} {holes_text(holes)}"
