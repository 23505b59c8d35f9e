"""The chores of a tote: fill, top up, feed, change the solution, scrub.

Takes a garden and the water books of its totes; gives their chores.  Hides their texts and cautions.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta
from itertools import groupby, zip_longest

from steadysow.amounts import (
    Units,
    day_text,
    length_text,
    listed,
    litres_text,
    part_text,
    volume_text,
    water_weight_text,
)
from steadysow.cautions import POWER_CAUTION
from steadysow.chores.chore import UNPLUG, Chore, ChoreKind
from steadysow.inputs.garden import Garden, Tote
from steadysow.inputs.journal import Fact
from steadysow.plan.batch import Batch
from steadysow.upkeep.feeds import Feed
from steadysow.upkeep.fillings import Filling
from steadysow.upkeep.nutrients import mix
from steadysow.upkeep.water import MOST_RISE_CM, Refill, WaterBook

# By choice: a recorded scrubbing counts for the end of a filling if it is this much earlier, or at any time later [d].
SCRUBBED_BEFORE_DAYS = 3

# By choice: the chore of scrubbing a tote names the batches that left it at most this long before [d].
LAST_DAYS = 14


def tote_chores(
    garden: Garden,
    books: Sequence[WaterBook],
    batches: Mapping[int, Batch],
    facts: Sequence[Fact],
    feeds: Sequence[Feed] = (),
) -> Iterator[Chore]:
    """Give the chores of all totes.

    Parameters
    ----------
    garden
        The garden.
    books
        The water book of each filling, tote by tote.
    batches
        The batches by id.
    facts
        The journal's facts about totes.
    feeds
        The feeds of all totes by day.
    """
    late = {feed.on: feed.ready_on for feed in feeds if feed.is_late}
    for name, each in groupby(books, key=lambda book: book.filling.tote):
        tote, own = garden.tote(name), list(each)
        scrubbed = [fact.on for fact in facts if fact.kind == "scrubbed" and fact.tote == name]
        for before, book, following in zip_longest([None, *own[:-1]], own, own[1:]):
            assert book is not None
            is_planted = any("transplanted" in batches[number].recorded for number in book.filling.batches)
            for refill in book.refills:
                comes_from = before.filling.place if before is not None else book.filling.place
                chore = _refill(
                    garden, book.filling, refill, comes_from=comes_from, is_planted=is_planted,
                    ready_on=late.get(refill.on) if refill.is_fed else None,
                )  # fmt: skip
                yield replace(chore, batches=_standing(batches, book.filling, refill.on) or chore.batches)
            chore = _clean(garden, tote, book.filling, following.filling if following else None, scrubbed)
            yield replace(chore, batches=_last_standing(batches, book.filling) or chore.batches)


def unplugging(garden: Garden, tote: Tote, place: str) -> Iterator[str]:
    """Say what to unplug, if anything is plugged in."""
    lit = any(each.name == place and each.lamp is not None for each in garden.places)
    plugged = [*(["the lamp"] if lit else []), *(["the pump"] if tote.system == "dwc" else [])]
    if plugged:
        yield f"{UNPLUG} {listed(plugged)} before you put your hands in the water."


def _standing(batches: Mapping[int, Batch], filling: Filling, on: date) -> tuple[int, ...]:
    """Give the ids of the batches of a filling that stand in its tote on a day."""
    return tuple(number for number in filling.batches if stands_in(batches[number], filling.tote, on))


def _last_standing(batches: Mapping[int, Batch], filling: Filling) -> tuple[int, ...]:
    """Give the ids of the batches of a filling that left its tote last."""
    since = filling.until_on - timedelta(LAST_DAYS)
    return tuple(
        number
        for number in filling.batches
        if any(
            stay.tote == filling.tote and since <= stay.until_on <= filling.until_on for stay in batches[number].stays
        )
    )


def stands_in(batch: Batch, tote: str, on: date) -> bool:
    """Say whether a batch stands in a tote on a day."""
    return any(stay.tote == tote and stay.from_on <= on < stay.until_on for stay in batch.stays)


def _refill(
    garden: Garden, filling: Filling, refill: Refill, *, comes_from: str, is_planted: bool, ready_on: date | None
) -> Chore:
    tote = garden.tote(filling.tote)
    kind: ChoreKind = "feed" if refill.kind == "top-up" and refill.is_fed else refill.kind
    titles = {"fill": "Fill", "change": "Change the solution in", "feed": "Feed", "top-up": "Top up"}
    match kind:
        case "fill":
            carried_to = filling.place if comes_from != filling.place else ""
            lines = _fill_lines(garden, tote, refill, carried_to=carried_to, ready_on=ready_on)
        case "change":
            lines = _change_lines(garden, tote, refill, filling.place, ready_on)
        case _:
            lines = _top_up_lines(garden, tote, refill, ready_on)
    return Chore(
        # A top-up keeps its key even if it becomes a feed.
        key=f"{tote.name}/{filling.begun_by}/{refill.kind}/{refill.number}",
        kind=kind,
        on=refill.on,
        latest_on=refill.on,
        title=f"{titles[kind]} tote {tote.name}",
        detail=tuple(lines),
        tote=tote.name,
        batches=filling.batches,
        litres=refill.ml / 1000,
        is_recorded=refill.is_recorded or (refill.kind == "fill" and is_planted),
    )


def _fill_lines(garden: Garden, tote: Tote, refill: Refill, *, carried_to: str, ready_on: date | None) -> list[str]:
    carried = f"carry it empty to the {carried_to}, then pour in " if carried_to else ""
    return [
        f"Tote {tote.name}: {carried}{_fed(garden, refill, ready_on)}.",
        "The bottom of each pot should stand in the water. Keep light off the water.",
        _water_caution(tote, garden.units),
    ]


def _change_lines(garden: Garden, tote: Tote, refill: Refill, place: str, ready_on: date | None) -> list[str]:
    return [
        f"Tote {tote.name}: {_fed(garden, refill, ready_on)}.",
        *unplugging(garden, tote, place),
        "Lift the lid with its plants onto a clean, filled tote. Then scrub the old tote and the air stone.",
    ]


def _top_up_lines(garden: Garden, tote: Tote, refill: Refill, ready_on: date | None) -> list[str]:
    what = (
        _fed(garden, refill, ready_on) if refill.is_fed else f"{litres_text(refill.ml / 1000, garden.units)} of water"
    )
    rise = length_text(MOST_RISE_CM, garden.units)
    limit = (
        "Stop at the tote's line."
        if tote.system == "dwc"
        else f"Add no more: roots that hang in air can take a rise of only about {rise}."
    )
    return [f"Tote {tote.name}: {what}. {limit}", "Check pH and EC afterwards."]


def _fed(garden: Garden, refill: Refill, ready_on: date | None) -> str:
    """Give what goes into one tote, with its nutrient; for a late brew, also the day on which it goes in."""
    recipe = garden.recipe
    mixed, units = mix(recipe, refill.ml / 1000), garden.units
    if recipe.is_brew:
        brew, water = litres_text(mixed.brew_litres, units), litres_text(mixed.water_litres, units)
        if ready_on is not None:
            whole = litres_text(mixed.litres, units)
            return f"{whole} of water today. On {day_text(ready_on)}, replace {brew} of it with strained {recipe.name}"
        return f"{brew} of strained {recipe.name} and {water} of water"
    parts = (f"{part_text(each.grams, each.ml, units)} of {each.part.name}" for each in mixed.amounts)
    return f"{litres_text(mixed.litres, units)} of water with {listed(parts)}"


def _clean(garden: Garden, tote: Tote, filling: Filling, following: Filling | None, scrubbed: Sequence[date]) -> Chore:
    next_on = None if following is None else following.from_on
    unplug = tuple(unplugging(garden, tote, filling.place))
    lines = [*unplug, _water_caution(tote, garden.units), *([POWER_CAUTION] if unplug else [])]
    title = f"Drain and scrub tote {tote.name}"
    first = "Drain the tote. Scrub tote, lid and pots, rinse them, and let them dry."
    lines.insert(0, first)
    if next_on is not None:
        lines.insert(1, f"Tote {tote.name}: the next plants go in on {day_text(next_on)}.")
    since = filling.until_on - timedelta(SCRUBBED_BEFORE_DAYS)
    return Chore(
        key=f"{tote.name}/{filling.begun_by}/clean/1",
        kind="clean",
        on=filling.until_on,
        latest_on=filling.until_on if next_on is None else next_on,
        title=title,
        detail=tuple(lines),
        tote=tote.name,
        batches=filling.batches,
        is_recorded=any(since <= on <= (next_on or date.max) for on in scrubbed),
    )


def _water_caution(tote: Tote, units: Units) -> str:
    weight = water_weight_text(tote.litres, units)
    return f"A full {volume_text(tote.litres, units)} tote holds {weight} of water: fill and drain it in place."
