"""Merging: chores that are done in one go, together, for display alone.

Takes chores; gives fewer, each with the key of all its parts.  Hides what belongs together.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date
from itertools import groupby, zip_longest

from steadysow.amounts import day_text
from steadysow.chores.chore import UNPLUG, WAITS, Chore, ChoreKind, minutes_of, order_of, places_text, titled

# Chores of a whole tote.
_OF_TOTES: frozenset[ChoreKind] = frozenset(("clean", "fill", "change", "feed", "top-up"))


def merge(chores: Iterable[Chore]) -> tuple[Chore, ...]:
    """Merge chores that a person does in one go, in whatever totes.

    A day has one line for what is sown, one for what is planted, one for each crop harvested, one for totes to scrub.
    A merged harvest is told with the first of the last days it can wait until, and takes in the clearing of the plants
    it is the last of.  The key of a merged chore joins those of its parts; it is for display and never leaves the
    screen.
    """
    groups = groupby(sorted(chores, key=lambda chore: (*_likeness(chore), order_of(chore))), key=_likeness)
    by_crop = _with_clearings([_one_of(tuple(group)) for _, group in groups])
    days = groupby(sorted(by_crop, key=lambda chore: (*_sitting(chore), order_of(chore))), key=_sitting)
    return tuple(sorted((_in_one_sitting(tuple(sitting)) for _, sitting in days), key=order_of))


def _likeness(chore: Chore) -> tuple[date, str, str, str]:
    """Give what chores done in one go have in common.

    Sowing in pots is told apart from sowing in the nursery, totes that move from those that stay, one job of care from
    another, and what is of no crop by its title.
    """
    if chore.kind in _OF_TOTES:
        return chore.on, chore.kind, chore.crop, chore.title.rsplit(" tote", 1)[0]
    if chore.kind == "care":
        return chore.on, chore.kind, chore.crop, " ".join(chore.detail)
    if not chore.crop:
        return chore.on, chore.kind, chore.crop, chore.title
    return chore.on, chore.kind, chore.crop, "pot" if chore.kind in ("sow", "thin") and chore.tote else ""


def _one_of(chores: tuple[Chore, ...]) -> Chore:
    if len(chores) == 1:
        return chores[0]
    holes: dict[str, set[int]] = {}
    for chore in chores:
        if chore.tote:
            holes.setdefault(chore.tote, set()).update(chore.holes)
    places = tuple((tote, tuple(sorted(own))) for tote, own in sorted(holes.items()))
    one = titled(
        replace(
            chores[0],
            key="+".join(chore.key for chore in chores),
            latest_on=min(chore.latest_on for chore in chores),
            is_recorded=all(chore.is_recorded for chore in chores),
            detail=_told_once(_merged_lines(chore.detail for chore in chores), chores),
            tote=", ".join(tote for tote, _ in places),
            holes=places[0][1] if len(places) == 1 else (),
            places=places if len(places) > 1 else (),
            batches=tuple(sorted({batch for chore in chores for batch in chore.batches})),
            plants=sum(chore.plants for chore in chores),
            cells=sum(chore.cells for chore in chores),
            seeds=sum(chore.seeds for chore in chores),
            grams=sum(chore.grams for chore in chores),
            litres=round(sum(chore.litres for chore in chores), 3),
            number=chores[0].number if len({chore.number for chore in chores}) == 1 else 0,
        )
    )
    return replace(one, minutes=minutes_of(one))


def _with_clearings(chores: list[Chore]) -> list[Chore]:
    """Fold the clearing of plants into their last harvest."""
    harvests = {(chore.on, chore.crop): chore for chore in chores if chore.kind == "harvest"}
    others = []
    for chore in chores:
        harvest = harvests.get((chore.on, chore.crop))
        if chore.kind == "clear" and harvest is not None and set(chore.batches) <= set(harvest.batches):
            what = "all" if chore.batches == harvest.batches else f"those of {places_text(chore)}"
            harvests[(chore.on, chore.crop)] = replace(
                harvest,
                key=f"{harvest.key}+{chore.key}",
                title=f"{harvest.title}; clear {what}",
                detail=_merged_lines((harvest.detail, chore.detail)),
                minutes=harvest.minutes + chore.minutes,
                is_recorded=harvest.is_recorded and chore.is_recorded,
            )
        elif chore.kind != "harvest":
            others.append(chore)
    return [*harvests.values(), *others]


def _sitting(chore: Chore) -> tuple[date, str, str]:
    """Give what crops sown, or planted, in one sitting have in common."""
    return chore.on, chore.kind, chore.kind if chore.kind in ("sow", "transplant", "thin") else chore.key


def _in_one_sitting(chores: tuple[Chore, ...]) -> Chore:
    first = chores[0]
    if len(chores) == 1:
        return first
    titles = [chore.title.split(" ", 1)[1] for chore in chores]
    return replace(
        first,
        key="+".join(chore.key for chore in chores),
        latest_on=min(chore.latest_on for chore in chores),
        is_recorded=all(chore.is_recorded for chore in chores),
        title=f"{first.title.split(' ', 1)[0]} {', '.join(titles)}",
        detail=tuple(line for chore in chores for line in _told_of(chore)),
        tote=", ".join(dict.fromkeys(chore.tote for chore in chores if chore.tote)),
        holes=(),
        crop=", ".join(chore.crop for chore in chores),
        batches=tuple(sorted(batch for chore in chores for batch in chore.batches)),
        plants=sum(chore.plants for chore in chores),
        cells=sum(chore.cells for chore in chores),
        seeds=sum(chore.seeds for chore in chores),
        minutes=sum(chore.minutes for chore in chores),
    )


def _told_of(chore: Chore) -> Iterator[str]:
    """Give a chore's lines, the first of them led by its crop, for a chore of several crops."""
    for number, line in enumerate(chore.detail):
        yield f"{chore.crop.capitalize()}: {line}" if number == 0 else line


def _told_once(lines: tuple[str, ...], chores: tuple[Chore, ...]) -> tuple[str, ...]:
    """Leave of lines that say the same of several totes, each a little differently, the one that holds for all."""
    first_on = day_text(min(chore.latest_on for chore in chores))
    waits = [line for line in lines if line.startswith(WAITS) and first_on not in line]
    unplugs = sorted((line for line in lines if line.startswith(UNPLUG)), key=len)[:-1]
    return tuple(line for line in lines if line not in (*waits, *unplugs))


def _merged_lines(details: Iterable[tuple[str, ...]]) -> tuple[str, ...]:
    """Put lines of the same place together, and tell each only once."""
    side_by_side = zip_longest(*details)
    return tuple(dict.fromkeys(line for lines in side_by_side for line in lines if line is not None))
