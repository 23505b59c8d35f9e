"""Sentences about a plan: weeks out of reach and why, shares that could not be kept, weeks with much work.

Takes the garden, the measured weeks and the batches; gives sentences for the screen and ``plan.json``.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import date, timedelta

from steadysow.amounts import counted, listed
from steadysow.growth.daylight import conditions_at
from steadysow.growth.forecast import LONGEST_DAYS, forecast, why
from steadysow.growth.timeline import GrowingPlace
from steadysow.inputs.garden import Garden, Want, carried
from steadysow.plan.batch import Batch
from steadysow.plan.measure import Measure
from steadysow.plan.minutes import WORK_MINUTES, minutes_by_week

# A share of the harvest this close to its limit still keeps it.
_SHARE_TOLERANCE = 0.0005

# Fewer minutes than any screen shows [min].
_MINUTES_TOLERANCE = 0.5


def notes_on(garden: Garden, measured: Measure, reach: Mapping[str, date | None], today: date) -> tuple[str, ...]:
    """Say what a person should know about a plan besides its figures.

    Parameters
    ----------
    garden
        The garden.
    measured
        The measured weeks.
    reach
        By want, the first day on which something can be harvested, or ``None``.
    today
        The first day on which anything can be sown.
    """
    return (*_out_of_reach(garden, measured, reach, today), *_shares(garden, measured))


def lost_since(begun: Iterable[Batch], batches: Iterable[Batch]) -> Iterable[str]:
    """Name waiting seedlings that can no longer be planted."""
    waiting = {batch.id for batch in begun if batch.state == "sown"}
    for batch in batches:
        if batch.id in waiting and batch.state == "lost":
            what = f"Batch {batch.id} ({batch.plants} {batch.crop}, sown on {_day(batch.sown_on)})"
            yield f"{what} can no longer be planted: no tote has room before its time in the nursery is over."


def cut_short(garden: Garden, begun: Iterable[Batch], batches: Iterable[Batch], today: date) -> Iterable[str]:
    """Name batches that give nothing more, because they bolt or because their tote has moved."""
    standing = {batch.id for batch in begun if batch.state == "transplanted"}
    for batch in batches:
        if batch.id not in standing or batch.transplanted_on is None or batch.cleared_on is None:
            continue
        if any(harvest.on >= today for harvest in batch.harvests):
            continue
        what = f"Batch {batch.id} ({batch.plants} {batch.crop} in tote {batch.tote}) gives nothing more"
        there = conditions_at(garden.place(batch.place), batch.transplanted_on, LONGEST_DAYS, garden.sky)
        growing = GrowingPlace(garden.crops[batch.crop].at(batch.place), there)
        since = batch.harvests[-1].on if batch.harvests else None
        due_on = growing.first_due(batch.transplanted_on) if since is None else growing.next_due(since)
        bolts_on = growing.bolts_on(batch.transplanted_on)
        if garden.place_of(garden.tote(batch.tote), today) != batch.place:
            yield f"{what} and is cleared on {_day(batch.cleared_on)}: the tote is no longer at {batch.place}."
        elif bolts_on is not None and bolts_on <= max(today, due_on or date.max):
            yield f"{what} and is cleared on {_day(batch.cleared_on)}: it bolts by {_day(bolts_on)}."


def long_weeks(garden: Garden, batches: Iterable[Batch], starts_on: date, today: date) -> Iterable[str]:
    """Name the coming weeks that begun batches overfill, and the busiest of the other weeks.

    Also says if the limit is too low for any sowing.  Without a limit there are no sentences.
    """
    limit = garden.chore_minutes_a_week
    if limit is None:
        return
    every = minutes_by_week(garden, batches, starts_on=starts_on, today=today)
    weeks = {starts_on + 7 * timedelta(week): minutes for week, minutes in every.items()}
    coming = {on: minutes for on, minutes in weeks.items() if on + timedelta(7) > today}
    least = WORK_MINUTES.sowing + WORK_MINUTES.cell * garden.sowing.smallest
    if limit < least:
        yield f"A sowing takes at least {least:g} minutes, but you allow {limit:g} a week. Nothing can be sown."
    over = {on: minutes for on, minutes in coming.items() if minutes > limit + _MINUTES_TOLERANCE}
    if over:
        long = listed(f"{_day(on)} ({minutes:.0f} minutes)" for on, minutes in over.items())
        yield (
            f"Begun batches take more than the {limit:g} minutes that you allow in the week{'s' * (len(over) > 1)} of "
            f"{long}. A week already over the limit gets no new work."
        )
    kept = {on: minutes for on, minutes in coming.items() if on not in over}
    if kept:
        busiest_on = max(kept, key=lambda on: kept[on])
        which = "busiest of the others" if over else "busiest"
        minutes = f"{kept[busiest_on]:.0f} of the {limit:g} minutes that you allow"
        yield (
            f"The week of {_day(busiest_on)} is the {which}, with {minutes}. "
            f"That counts {WORK_MINUTES.upkeep:g} minutes of upkeep for each full tote."
        )


def _out_of_reach(garden: Garden, measured: Measure, reach: Mapping[str, date | None], today: date) -> Iterable[str]:
    for want in garden.wants:
        weeks = [
            week.starts_on
            for week in measured.weeks
            for each in week.wants
            if each.want == want.name and each.wanted > 0 and not each.in_reach
        ]
        if not weeks:
            continue
        soonest = reach[want.name]
        if soonest is None:
            reasons = " ".join(_why_never(garden, want, today))
            yield f"Nothing for {want.name} can be ready within the plan. {reasons}"
            continue
        until = _day(weeks[-1] + timedelta(7))
        yield f"{want.name.capitalize()} before {until} is out of reach: the first harvest can be on {_day(soonest)}."


def _shares(garden: Garden, measured: Measure) -> Iterable[str]:
    for want in garden.wants:
        harvested = _by_crop(want, measured)
        total = sum(harvested.values())
        for serving in want.servings:
            share = harvested[serving.crop] / total if total else serving.least
            if share < serving.least - _SHARE_TOLERANCE:
                asked = f"less than the {serving.least:.0%} you asked for. No more is possible"
                yield f"{serving.crop.capitalize()} is {share:.0%} of the {want.name}, {asked}."
            if share > serving.most + _SHARE_TOLERANCE:
                asked = f"more than the {serving.most:.0%} you asked for. What already stands is more"
                yield f"{serving.crop.capitalize()} is {share:.0%} of the {want.name}, {asked}."


def _why_never(garden: Garden, want: Want, today: date) -> Iterable[str]:
    """Say for each crop of a want when it would be ready if it were sown today, or why it never is."""
    days = [today + timedelta(number) for number in range(7 * garden.weeks)]
    for serving in want.servings:
        crop = garden.crops[serving.crop]
        holding = [tote for tote in garden.totes if carried(crop, tote)]
        # Places where such a tote stands on one of the days; without any, all places where it ever stands.
        used = {garden.place_of(tote, day) for tote in holding for day in days} - {None}
        used = used or {stand.place for tote in holding for stand in tote.stands}
        places = (place for place in garden.places if place.name in used)
        forecasts = [forecast(crop, place, today, nursery=garden.nursery.place, sky=garden.sky) for place in places]
        best = min(forecasts, key=lambda each: each.ready_on or date.max)
        if best.ready_on is None:
            reason = why(crop, best, garden.units)
            yield f"{crop.name.capitalize()}, sown on {_day(today)} at {best.place.name}: {reason}"
        else:
            sown = f"{crop.name.capitalize()}, sown on {_day(today)}, is ready at {best.place.name}"
            yield f"{sown} on {_day(best.ready_on)} at the earliest."
        if best.ready_on and crop.harvest.window_days < 7 and len(garden.harvest_days) == 1:
            wait = counted(crop.harvest.window_days, "day")
            yield f"Once due, it must be harvested within {wait}. Another harvest day may help."
    often = counted(len(garden.harvest_days), "day")
    yield f"You harvest on {often} a week, only while you are at home, and only before the plan ends."


def _by_crop(want: Want, measured: Measure) -> Mapping[str, float]:
    harvested: dict[str, float] = defaultdict(float)
    for week in measured.weeks:
        for each in week.wants:
            if each.want == want.name:
                for crop, amount in each.by_crop:
                    harvested[crop] += amount
    return harvested


def _day(day: date) -> str:
    return f"{day.day} {day:%b} {day.year}"
