"""The texts of a calendar: what it says about each chore, short enough for a phone.

Takes a garden, its plan and chores, and returns entries for events and tasks, each with a lasting key, a day and texts.
It chooses which past chores stay, shortens titles, and says what a chore is for.  It does not use iCalendar.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, time, timedelta
from itertools import groupby

from steadysow.amounts import day_text, holes_text
from steadysow.chores.chore import WORK_ORDER, Chore, ChoreKind, cut_text, deadline_text, places_text
from steadysow.chores.merging import merge
from steadysow.inputs.garden import Garden
from steadysow.plan.batch import Batch
from steadysow.plan.plan import Plan

# How long a past chore stays, so that a phone shows what was done in the last months [d].
_KEPT_DAYS = 90
_DONE_MARK = "✓ "
# Phones show some 30 to 40 characters of a title.
_TITLE_LENGTH = 35

# Control characters, which are not allowed in a calendar, and halves of characters, which have no bytes.
_UNFIT = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff]")

_CATEGORIES: dict[ChoreKind, str] = {
    "harvest": "Harvest",
    "clear": "Clear",
    "clean": "Clean",
    "fill": "Water",
    "transplant": "Transplant",
    "change": "Water",
    "feed": "Water",
    "top-up": "Water",
    "thin": "Sow",
    "sow": "Sow",
    "care": "Care",
    "harden": "Care",
    "check": "Care",
    "brew": "Water",
    "timer": "Power",
    "leave": "Care",
    "order": "Supplies",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """An event or a task.  The subscriber sees everything in it.

    Attributes
    ----------
    key
        Its lasting identity: the key of the chore, or of the day.
    on
        Its day.
    summary, description, location, categories
        Its texts, with only such characters as a calendar allows.
    alarm
        The time of day at which it rings, or ``None``.
    is_done
        Whether a task is ticked.
    """

    key: str
    on: date
    summary: str
    description: str
    location: str = ""
    categories: tuple[str, ...] = ()
    alarm: time | None = None
    is_done: bool = False


def event_entries(garden: Garden, plan: Plan, chores: Iterable[Chore]) -> tuple[Entry, ...]:
    """Give the events of a plan, one for each chore or each day.  Past ones have a mark.  There is always an event."""
    batches, chores = {batch.id: batch for batch in plan.batches}, _in_view(plan, chores)
    if garden.calendar.detail == "daily":
        days = groupby(merge(chores), key=lambda chore: chore.on)
        found = tuple(_day_entry(garden, plan, tuple(day), batches) for _, day in days)
    else:
        alarm = garden.calendar.alarm
        found = tuple(_entry(chore, batches, mark=_mark(plan, chore), alarm=alarm) for chore in chores)
    return found or (_nothing_planned(garden, plan),)


def task_entries(garden: Garden, plan: Plan, chores: Iterable[Chore]) -> tuple[Entry, ...]:
    """Give the tasks of a plan, one for each chore.  Past ones are ticked.  There is always a task."""
    batches = {batch.id: batch for batch in plan.batches}
    found = tuple(_entry(chore, batches, is_done=_is_done(plan, chore)) for chore in _in_view(plan, chores))
    return found or (_nothing_planned(garden, plan),)


def fit(text: str) -> str:
    r"""Leave out characters that a calendar does not allow.

    The icalendar library takes a backslash before a capital N for the end of a line.  With a small n the text stays on
    one line.
    """
    return _UNFIT.sub("", text).replace("\\N", "\\n")


def _in_view(plan: Plan, chores: Iterable[Chore]) -> tuple[Chore, ...]:
    first_on = plan.made_on - timedelta(days=_KEPT_DAYS)
    return tuple(chore for chore in chores if chore.on >= first_on)


def _is_done(plan: Plan, chore: Chore) -> bool:
    """Say whether a chore is done: the journal says so, or it was due before the plan was made and counts as done."""
    return chore.is_recorded or chore.on < plan.made_on


def _mark(plan: Plan, chore: Chore) -> str:
    return _DONE_MARK if _is_done(plan, chore) else ""


def _entry(
    chore: Chore, batches: Mapping[int, Batch], *, mark: str = "", alarm: time | None = None, is_done: bool = False
) -> Entry:
    return Entry(
        key=chore.key,
        on=chore.on,
        summary=fit(mark + _short_title(chore, _TITLE_LENGTH - len(mark))),
        description=fit("\n".join(_description(chore, batches))),
        location=fit(_location(chore, batches)),
        categories=(_CATEGORIES[chore.kind],),
        alarm=alarm,
        is_done=is_done,
    )


def _day_entry(garden: Garden, plan: Plan, chores: tuple[Chore, ...], batches: Mapping[int, Batch]) -> Entry:
    """Give the event of a day.  Its key is the date, so it never moves."""
    on = chores[0].on
    mark = _DONE_MARK if all(_is_done(plan, chore) for chore in chores) else ""
    kinds = [kind for kind in WORK_ORDER if any(chore.kind == kind for chore in chores)]
    most = _TITLE_LENGTH - len(mark)
    several = f"{len(chores)} chores: {', '.join(kinds)}"
    summary = _short_title(chores[0], most) if len(chores) == 1 else _first_words(several, most)
    blocks = ("\n  ".join((chore.title, *_description(chore, batches))) for chore in chores)
    return Entry(
        key=f"day/{on.isoformat()}",
        on=on,
        summary=fit(mark + summary),
        description=fit("\n".join(blocks)),
        categories=tuple(dict.fromkeys(_CATEGORIES[kind] for kind in kinds)),
        alarm=garden.calendar.alarm,
    )


def _nothing_planned(garden: Garden, plan: Plan) -> Entry:
    """Give the event of an empty plan, since a calendar without events is not legal and subscribers reject it."""
    return Entry(
        key="nothing-planned",
        on=plan.from_on,
        summary="Nothing planned",
        description=fit(f"{garden.name} has no chores up to {day_text(plan.until_on)}."),
        # Nobody needs to tick a task to do nothing.
        is_done=True,
    )


def _short_title(chore: Chore, most: int) -> str:
    """Shorten a title for a phone: first leave out the place, then what the description says as well, then words."""
    title = chore.title
    if len(title) <= most:
        return title
    where, totes = places_text(chore), (f" tote {chore.tote}", f" totes {chore.tote}")
    places = (f" ({where})", f" in {where}", f" into {where}", *(f" in{each}" for each in totes), *totes)
    for less in (*(places if where else ()), deadline_text(chore), cut_text(chore)):
        title = title.replace(less, "", 1)
        if len(title) <= most:
            break
    return _first_words(title, most)


def _first_words(text: str, most: int) -> str:
    """Cut a text between words; if the first word is too long, it stays whole."""
    if len(text) <= most:
        return text
    end = text.rfind(" ", 1, most)
    end = text.find(" ", 1) if end < 0 else end
    return text if end < 0 else f"{text[:end].rstrip(' ,;:(')}…"


def _description(chore: Chore, batches: Mapping[int, Batch]) -> tuple[str, ...]:
    """Give the lines of a chore and what it is for.  Work on a tote names that before the cautions."""
    own = [batches[number] for number in chore.batches if number in batches]
    if not own:
        return chore.detail
    what = "; ".join(dict.fromkeys(f"{batch.crop} for {batch.want}" for batch in own))
    numbers = f"{'batch' if len(own) == 1 else 'batches'} {holes_text(batch.id for batch in own)}: {what}."
    if chore.kind == "clean":
        return (*chore.detail[:1], f"It held {numbers}", *chore.detail[1:])
    why = numbers[:1].upper() + numbers[1:]
    return (*chore.detail[:1], why, *chore.detail[1:]) if chore.kind == "clear" else (*chore.detail, why)


def _location(chore: Chore, batches: Mapping[int, Batch]) -> str:
    if not chore.tote:
        return "Nursery" if chore.kind in ("sow", "thin", "harden") else ""
    place = next((batches[number].place for number in chore.batches if number in batches), "")
    totes = f"{'Totes' if ', ' in chore.tote else 'Tote'} {chore.tote}"
    return f"{totes}, {place}" if place else totes
