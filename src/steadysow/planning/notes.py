"""Plain sentences about a plan: weeks out of reach and why, shares that could not be kept.

Takes the garden, the measured weeks and the batches; gives sentences for the screen and ``plan.json``.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import date, timedelta

from steadysow.inputs.garden import Garden, Want
from steadysow.planning.plan import Batch, Measure

# A share of the harvest this near its limit keeps it [share].
_SHARE_TOLERANCE = 0.0005


def notes_on(garden: Garden, measured: Measure, reach: Mapping[str, date | None]) -> tuple[str, ...]:
    """Say what a person should know about the plan beyond its figures.

    Parameters
    ----------
    garden
        The garden.
    measured
        The measured weeks.
    reach
        By want the first day on which something can be harvested, or ``None``.
    """
    return (*_out_of_reach(garden, measured, reach), *_shares(garden, measured))


def lost_since(begun: Iterable[Batch], batches: Iterable[Batch]) -> Iterable[str]:
    """Say which seedlings that wait can no longer be planted."""
    waiting = {batch.id for batch in begun if batch.state == "sown"}
    for batch in batches:
        if batch.id in waiting and batch.state == "lost":
            what = f"Batch {batch.id}, {batch.plants} {batch.crop} sown on {_day(batch.sown_on)}"
            yield f"{what}, can no longer be planted: no tote has room for it while it may wait in the nursery."


def _out_of_reach(garden: Garden, measured: Measure, reach: Mapping[str, date | None]) -> Iterable[str]:
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
            yield f"Nothing for {want.name} can be ready within the plan: {_why_never(garden)}."
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


def _why_never(garden: Garden) -> str:
    days = len(garden.harvest_days)
    often = "on one day a week" if days == 1 else f"on {days} days a week"
    return f"no crop of it falls due in that time on a day you harvest ({often}), at home and before the plan ends"


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
