"""Merging: chores that are done in one go become one, only for display.

Takes chores; gives fewer chores, each with the keys of all its parts.  Hides which chores belong together.
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
    """Merge chores that a person does in one go, in one tote or several.

    A day has one chore for all sowing, one for all planting, one for each crop that is harvested, and one for all totes
    to scrub.  A merged harvest has the earliest last day of its parts.  It includes clearing the plants, if it is their
    last harvest.  The key of a merged chore joins the keys of its parts; it never leaves the screen.

    Parameters
    ----------
    chores
        The chores of any days, merged before or not.
    """
    groups = groupby(sorted(chores, key=lambda chore: (*_likeness(chore), order_of(chore))), key=_likeness)
    by_crop = _with_clearings([_one_of(tuple(group)) for _, group in groups])
    days = groupby(sorted(by_crop, key=lambda chore: (*_sitting(chore), order_of(chore))), key=_sitting)
    return tuple(sorted((_in_one_sitting(tuple(sitting)) for _, sitting in days), key=order_of))


def _likeness(chore: Chore) -> tuple[date, str, str, str]:
    """Give the key that chores of one kind share if they are done in one go.

    Sowing in pots differs from sowing in the nursery, and one job of care from another.  Chores without a crop differ
    by their titles.
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
            detail=_without_variants(_merged_lines(chore.detail for chore in chores), chores),
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
    """Make the clearing of plants a part of their last harvest."""
    harvests = {(chore.on, chore.crop): chore for chore in chores if chore.kind == "harvest"}
    others = []
    for chore in chores:
        harvest = harvests.get((chore.on, chore.crop))
        if chore.kind == "clear" and harvest is not None and set(chore.batches) <= set(harvest.batches):
            what = "all" if chore.batches == harvest.batches else f"those in {places_text(chore)}"
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
    """Give the key that chores of several crops share if they are sown, thinned or planted in one sitting."""
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
        detail=tuple(line for chore in chores for line in _lines_with_crop(chore)),
        tote=", ".join(dict.fromkeys(chore.tote for chore in chores if chore.tote)),
        holes=(),
        crop=", ".join(chore.crop for chore in chores),
        batches=tuple(sorted(batch for chore in chores for batch in chore.batches)),
        plants=sum(chore.plants for chore in chores),
        cells=sum(chore.cells for chore in chores),
        seeds=sum(chore.seeds for chore in chores),
        minutes=sum(chore.minutes for chore in chores),
    )


def _lines_with_crop(chore: Chore) -> Iterator[str]:
    """Give the lines of one crop in a chore of several: the first line begins with the crop."""
    for number, line in enumerate(chore.detail):
        yield f"{chore.crop.capitalize()}: {line}" if number == 0 else line


def _without_variants(lines: tuple[str, ...], chores: tuple[Chore, ...]) -> tuple[str, ...]:
    """Keep one of the lines that differ from tote to tote: the earliest last day, and the most to unplug."""
    first_on = day_text(min(chore.latest_on for chore in chores))
    waits = [line for line in lines if line.startswith(WAITS) and first_on not in line]
    unplugs = sorted((line for line in lines if line.startswith(UNPLUG)), key=len)[:-1]
    return tuple(line for line in lines if line not in (*waits, *unplugs))


def _merged_lines(details: Iterable[tuple[str, ...]]) -> tuple[str, ...]:
    """Put the first lines of all chores together, then the second lines, and so on, each text only once."""
    side_by_side = zip_longest(*details)
    return tuple(dict.fromkeys(line for lines in side_by_side for line in lines if line is not None))
