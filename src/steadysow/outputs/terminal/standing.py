"""What stands in the totes: week by week, and hole by hole on one day."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping
from datetime import date, timedelta

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from steadysow.amounts import day_text, holes_text, length_text, litres_text
from steadysow.inputs.garden import Garden, Tote, level_cm
from steadysow.outputs.terminal.drawing import (
    SYSTEM_NAMES,
    add_row,
    new_table,
    print_sentence,
    print_title,
    short_day,
)
from steadysow.plan.batch import Batch, Harvest
from steadysow.plan.plan import Plan, Week

# The longest name of a crop in a narrow cell.
_SHORT = 10
_SPACES_BETWEEN_WEEKS = 2


def totes(console: Console, garden: Garden, plan: Plan) -> None:
    """Show week by week what stands in each tote, in as many blocks as the width needs."""
    short = short_names(batch.crop for batch in plan.batches)
    cells = {
        (tote.name, week.starts_on): _cell(plan, tote, week, short) for tote in garden.totes for week in plan.weeks
    }
    wide = max((len(line) for cell in cells.values() for line in cell.splitlines()), default=0)
    name = max(len(tote.name) for tote in garden.totes)
    room = max(1, (console.width - max(name, len("Tote"))) // (wide + _SPACES_BETWEEN_WEEKS))
    print_title(console, "Totes by week")
    for first in range(0, len(plan.weeks), room):
        weeks = plan.weeks[first : first + room]
        table = new_table("Tote", *(short_day(week.starts_on) for week in weeks))
        for column in table.columns[1:]:
            column.min_width = wide
        for tote in garden.totes:
            add_row(table, tote.name, *(cells[tote.name, week.starts_on] for week in weeks))
        console.print(table)
        console.print()
    shortened = [f"{letters} = {crop}" for crop, letters in short.items() if letters != crop]
    if shortened:
        print_sentence(console, "; ".join(shortened))
        console.print()


def lids(console: Console, garden: Garden, plan: Plan, on: date, water: Mapping[str, float]) -> None:
    """Show the lids on one day, seen from above: each hole with its number and the crop that stands in it.

    Parameters
    ----------
    console, garden, plan
        Where to print, the garden, and the plan with the journal applied.
    on
        The day.
    water
        The water that each tote holds by its book [L], by the tote's name.  A tote without a book is left out.
    """
    short = short_names(batch.crop for batch in plan.batches)
    print_title(console, f"Lids on {day_text(on)}")
    for tote in garden.totes:
        standing = {hole: batch for batch in plan.batches if batch.tote == tote.name for hole in _held(batch, on)}
        used = f"{len(standing)} of {tote.holes} holes in use"
        print_sentence(console, f"Tote {tote.name}, {SYSTEM_NAMES[tote.system]}, {used}")
        if standing:
            labels, across = _lid_labels(tote, standing, short, console.width)
            console.print(_lid(labels, across))
        if tote.name in water:
            depth = length_text(round(level_cm(tote, water[tote.name]), 1), garden.units)
            print_sentence(console, f"  About {litres_text(water[tote.name], garden.units)} of water, {depth} deep")
        for batch in sorted(set(standing.values()), key=lambda batch: batch.id):
            print_sentence(console, f"  {_standing_sentence(batch, on)}")
        console.print()


def short_names(crops: Iterable[str]) -> dict[str, str]:
    """Shorten each long name to its longest word that no other crop shares."""
    names = sorted(set(crops))
    sharing = Counter(word for name in names for word in set(name.split()))
    short: dict[str, str] = {}
    for name in names:
        # The last word of a name is usually the plant and those before it its looks, so of equal words the last wins.
        word = max(reversed(name.split()), key=lambda word: (sharing[word] == 1, len(word)))
        letters = name if len(name) <= _SHORT else word[:_SHORT]
        # Two crops must never look the same in the table, so the rare clash gets a number.
        rivals = sum(other.rstrip("0123456789") == letters for other in short.values())
        short[name] = f"{letters}{rivals + 1}" if rivals else letters
    return short


def _cell(plan: Plan, tote: Tote, week: Week, short: Mapping[str, str]) -> str:
    """Say what stands in a tote in one week: each crop with its plants, and how many of them are harvested."""
    from_on, until_on = week.starts_on, week.starts_on + timedelta(days=7)
    plants: Counter[str] = Counter()
    taken: Counter[tuple[str, str]] = Counter()
    for batch in plan.batches:
        if batch.tote != tote.name or not _stands_between(batch, from_on, until_on):
            continue
        this_week = [each for each in batch.harvests if from_on <= each.on < until_on]
        heads = sum(each.plants for each in this_week if each.kind == "head")
        gone = sum(each.plants for each in batch.harvests if each.kind == "head" and each.on < from_on)
        plants[batch.crop] += batch.plants - gone
        if this_week:
            taken[batch.crop, _harvest_word(this_week)] += heads or batch.plants
    lines = []
    for crop, number in sorted(plants.items()):
        lines.append(f"{short[crop]} {number}")
        words = sorted((word, count) for (other, word), count in taken.items() if other == crop)
        lines += [f" {word}" if count == number else f" {count} {word}" for word, count in words]
    return "\n".join(lines) or "empty"


def _harvest_word(harvests: list[Harvest]) -> str:
    if harvests[0].kind == "head":
        return "ready"
    if harvests[0].kind == "pick":
        return "pick"
    return "cut " + ", ".join(str(each.number) for each in harvests)


def _stands_between(batch: Batch, from_on: date, until_on: date) -> bool:
    if batch.state == "lost" or batch.transplanted_on is None or batch.cleared_on is None:
        return False
    # A batch that is harvested on the first day leaves the tote that day, but still shows as a harvest of the week.
    last_on = max((each.on for each in batch.harvests), default=batch.cleared_on - timedelta(days=1))
    return batch.transplanted_on < until_on and from_on <= max(last_on, batch.cleared_on - timedelta(days=1))


def _held(batch: Batch, on: date) -> tuple[int, ...]:
    """Give the holes that a batch fills on a day; a head leaves its hole on the day it is harvested."""
    if batch.transplanted_on is None or batch.cleared_on is None or not batch.transplanted_on <= on < batch.cleared_on:
        return ()
    gone = {hole for each in batch.harvests if each.kind == "head" and each.on <= on for hole in each.holes}
    return tuple(hole for hole in batch.holes if hole not in gone)


def _standing_sentence(batch: Batch, on: date) -> str:
    held = set(_held(batch, on))
    coming = [each for each in batch.harvests if each.on >= on and held & set(each.holes)]
    words = {"head": "ready", "cut": "next cut", "pick": "next pick"}
    due = f", {words[coming[0].kind]} {day_text(coming[0].on)}" if coming else ""
    return f"{holes_text(held)}: {batch.crop}, batch {batch.id}{due}"


def _lid_labels(
    tote: Tote, standing: Mapping[int, Batch], short: Mapping[str, str], width: int
) -> tuple[list[str], int]:
    """Give the text of every hole, and how many holes lie side by side; names are shortened if they do not fit."""
    holes = range(1, tote.holes + 1)
    crops = [standing[hole].crop if hole in standing else "empty" for hole in holes]
    across = _holes_across(tote)
    for names in (crops, [short.get(crop, crop) for crop in crops]):
        labels = [f"{hole} {name}" for hole, name in zip(holes, names, strict=True)]
        room = (width - 1) // (max(map(len, labels)) + 3)
        if room >= across:
            return labels, across
    return labels, max(1, room)


def _lid(labels: list[str], across: int) -> Table:
    lid = Table(box=box.SQUARE, show_header=False, show_lines=True)
    for first in range(0, len(labels), across):
        lid.add_row(*(Text(label) for label in labels[first : first + across]))
    return lid


def _holes_across(tote: Tote) -> int:
    """Give how many holes lie along the long side, so that the drawing has about the shape of the lid."""
    short_cm, long_cm = sorted(tote.inside_cm) if tote.inside_cm is not None else (2.0, 3.0)
    return max(1, min(tote.holes, round(math.sqrt(tote.holes * long_cm / short_cm))))
