"""Plain sentences about a plan: weeks out of reach and why, shares that could not be kept, weeks with much work.

Takes the garden, the measured weeks and the batches; gives sentences for the screen and ``plan.json``.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import date, timedelta

from steadysow.growth.daylight import conditions_at
from steadysow.growth.forecast import LONGEST_DAYS, forecast, why
from steadysow.growth.timeline import GrowingPlace
from steadysow.inputs.garden import Garden, Want, carried
from steadysow.plan.batch import Batch
from steadysow.plan.measure import Measure
from steadysow.plan.minutes import WORK_MINUTES, minutes_by_week

# A share of the harvest this near its limit keeps it [share].
_SHARE_TOLERANCE = 0.0005

# Minutes that no screen shows [min].
_MINUTES_TOLERANCE = 0.5


def notes_on(garden: Garden, measured: Measure, reach: Mapping[str, date | None], today: date) -> tuple[str, ...]:
    """Say what a person should know about the plan beyond its figures.

    Parameters
    ----------
    garden
        The garden.
    measured
        The measured weeks.
    reach
        By want the first day on which something can be harvested, or ``None``.
    today
        The first day on which anything can be sown.
    """
    return (*_out_of_reach(garden, measured, reach, today), *_shares(garden, measured))


def lost_since(begun: Iterable[Batch], batches: Iterable[Batch]) -> Iterable[str]:
    """Say which seedlings that wait can no longer be planted."""
    waiting = {batch.id for batch in begun if batch.state == "sown"}
    for batch in batches:
        if batch.id in waiting and batch.state == "lost":
            what = f"Batch {batch.id}, {batch.plants} {batch.crop} sown on {_day(batch.sown_on)}"
            yield f"{what}, can no longer be planted: no tote has room for it while it may wait in the nursery."


def cut_short(garden: Garden, begun: Iterable[Batch], batches: Iterable[Batch], today: date) -> Iterable[str]:
    """Say which batches stand for nothing more, because they have bolted or their tote has to be elsewhere."""
    standing = {batch.id for batch in begun if batch.state == "transplanted"}
    for batch in batches:
        if batch.id not in standing or batch.transplanted_on is None or batch.cleared_on is None:
            continue
        if any(harvest.on >= today for harvest in batch.harvests):
            continue
        what = f"Batch {batch.id}, {batch.plants} {batch.crop} in tote {batch.tote}, gives nothing more"
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
    """Say which weeks to come what has begun overfills, and how much work the busiest of the others has.

    Where they do not suffice for a sowing, that is said; where minutes are not limited, nothing.
    """
    limit = garden.chore_minutes_a_week
    if limit is None:
        return
    every = minutes_by_week(garden, batches, starts_on=starts_on, today=today)
    weeks = {starts_on + 7 * timedelta(week): minutes for week, minutes in every.items()}
    coming = {on: minutes for on, minutes in weeks.items() if on + timedelta(7) > today}
    least = WORK_MINUTES.sowing + WORK_MINUTES.cell * garden.sowing.smallest
    if limit < least:
        yield f"A sowing takes {least:g} minutes, and you allow {limit:g} a week: nothing can be sown."
    over = {on: minutes for on, minutes in coming.items() if minutes > limit + _MINUTES_TOLERANCE}
    if over:
        told = ", ".join(f"{_day(on)} ({minutes:.0f} minutes)" for on, minutes in over.items())
        what = f"What has begun takes more than the {limit:g} minutes that you allow, and nothing is added to it,"
        yield f"{what} in the week{'s' * (len(over) > 1)} of {told}."
    kept = {on: minutes for on, minutes in coming.items() if on not in over}
    if kept:
        busiest_on = max(kept, key=lambda on: kept[on])
        what = f"By {WORK_MINUTES.upkeep:g} minutes of upkeep a tote the busiest week, of {_day(busiest_on)}, takes"
        yield f"{what} {kept[busiest_on]:.0f} of the {limit:g} minutes that you allow."


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
                asked = f"less than the {serving.least:.0%} you asked for: more cannot be had"
                yield f"{serving.crop.capitalize()} is {share:.0%} of the {want.name}, {asked}."
            if share > serving.most + _SHARE_TOLERANCE:
                asked = f"more than the {serving.most:.0%} you asked for: what stands is already more"
                yield f"{serving.crop.capitalize()} is {share:.0%} of the {want.name}, {asked}."


def _why_never(garden: Garden, want: Want, today: date) -> Iterable[str]:
    """Say of each crop of a want when it would be ready at the soonest, sown today, or why it never is."""
    days = [today + timedelta(number) for number in range(7 * garden.weeks)]
    for serving in want.servings:
        crop = garden.crops[serving.crop]
        holding = [tote for tote in garden.totes if carried(crop, tote)]
        # Where such a tote stands on some of the days; if it does on none, where it would.
        used = {garden.place_of(tote, day) for tote in holding for day in days} - {None}
        used = used or {stand.place for tote in holding for stand in tote.stands}
        places = (place for place in garden.places if place.name in used)
        told = [forecast(crop, place, today, nursery=garden.nursery.place, sky=garden.sky) for place in places]
        best = min(told, key=lambda each: each.ready_on or date.max)
        if best.ready_on is None:
            reason = why(crop, best, garden.units)
            yield f"{crop.name.capitalize()}, sown on {_day(today)} at {best.place.name}: {reason}"
        else:
            sown = f"{crop.name.capitalize()}, sown on {_day(today)}, is ready at {best.place.name} from"
            yield f"{sown} {_day(best.ready_on)} on at the soonest."
        if best.ready_on and crop.harvest.window_days < 7 and len(garden.harvest_days) == 1:
            wait = f"{crop.harvest.window_days} {'day' if crop.harvest.window_days == 1 else 'days'}"
            yield f"Once due it must be taken within {wait}: another harvest day may help."
    often = f"{len(garden.harvest_days)} {'day' if len(garden.harvest_days) == 1 else 'days'} a week"
    yield f"You harvest on {often}, at home and before the plan ends."


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
