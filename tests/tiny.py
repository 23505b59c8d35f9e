"""Gardens so small that their plans can be counted: made-up crops and totes whose days are counted on the fingers.

Day 0 is a Saturday.  Every crop emerges the day after sowing and grows at its profile's own conditions, so that a
week of the profile is a week of the calendar.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date
from typing import Literal

from builders import SHELF, a_crop, a_garden, a_tote
from builders import START as START
from builders import day as day
from steadysow.inputs.crops import Band, Crop, HarvestKind, System
from steadysow.inputs.garden import Away, Garden, Lamp, Nursery, Serving, SowingHabits, Tote, Want
from steadysow.plan.measure import wanted
from steadysow.search.candidates import Candidates
from steadysow.search.choose import Task
from steadysow.search.decide import Decision, Span, decide
from steadysow.search.propose import propose
from steadysow.standing.standing import Standing

WEDNESDAY, THURSDAY, FRIDAY, SATURDAY = 2, 3, 4, 5

NOTHING_BEGUN = Standing()


def make_crop(
    name: str = "cress",
    kind: HarvestKind = "head",
    *,
    nursery_days: tuple[int, int] = (7, 7),
    first_days: int = 7,
    between_days: int = 0,
    window_days: int = 1,
    grams: tuple[float, ...] = (100.0,),
    lid_holes: int = 4,
    keeps_days: int = 3,
    ec: tuple[float, float] = (0.8, 2.4),
    litres_a_plant: float = 1.0,
    plants_per_m2: float = 50.0,
    sown_in: Literal["nursery", "pot"] = "nursery",
) -> Crop:
    """Make a crop that is never short of light; by default a head, ready a week after a week in the nursery."""
    return a_crop(
        name,
        kind,
        plants_per_m2=plants_per_m2,
        lid_holes=lid_holes,
        sown_in=sown_in,
        emergence=((20.0, 1.0),),
        nursery_days=nursery_days if sown_in == "nursery" else (0, 0),
        first_days=first_days,
        between_days=between_days,
        window_days=window_days,
        grams=grams,
        grams_per_mol=10_000.0,
        ec=Band(ideal=ec, tolerated=ec),
        litres_a_plant=litres_a_plant,
        keeps_days=keeps_days,
    )


def make_tote(
    name: str,
    holes: int,
    system: System = "dwc",
    *,
    litres: float = 11.0,
    top_up: Literal["never", "small"] = "small",
    inside_cm: tuple[float, float] | None = None,
) -> Tote:
    """Make a tote on the shelf."""
    return a_tote(name, holes, system, litres=litres, top_up=top_up, inside_cm=inside_cm)


def make_want(
    crops: Iterable[Crop | Serving],
    amount: float,
    *,
    name: str = "salad",
    unit: Literal["g", "heads"] = "heads",
    importance: float = 1.0,
) -> Want:
    """Make a want served by crops, each as much as there is unless a serving says how much."""
    servings = tuple(each if isinstance(each, Serving) else Serving(crop=each.name) for each in crops)
    return Want(name=name, unit=unit, amount=amount, servings=servings, importance=importance)


def make_garden(
    totes: Sequence[Tote],
    wants: Sequence[Want],
    *,
    weeks: int,
    chore_days: tuple[int, ...] = (SATURDAY,),
    harvest_days: tuple[int, ...] = (SATURDAY,),
    away: tuple[Away, ...] = (),
    every_days: int = 7,
    smallest: int = 1,
    crops_a_day: int = 3,
    cells: int = 60,
    turnaround_days: int = 0,
    tidy_points: float = 0.0,
    clear_by: date | None = None,
    lights: int | None = None,
    chore_minutes_a_week: float | None = None,
    crops: Iterable[Crop] = (),
) -> Garden:
    """Make a garden under one lamp, begun on day 0."""
    return a_garden(
        *totes,
        name="tiny",
        weeks=weeks,
        clear_by=clear_by,
        chore_days=chore_days,
        harvest_days=harvest_days,
        away=away,
        sowing=SowingHabits(every_days=every_days, smallest=smallest, crops_a_day=crops_a_day),
        tidy_points=tidy_points,
        turnaround_days=turnaround_days,
        nursery=Nursery(cells=cells, place=replace(SHELF, name="nursery")),
        places=(replace(SHELF, lamp=Lamp(dli_mol=12.0, plants=lights)),),
        wants=tuple(wants),
        crops=crops,
        chore_minutes_a_week=chore_minutes_a_week,
    )


def by_name(crops: Iterable[Crop]) -> dict[str, Crop]:
    """Give crops by name."""
    return {crop.name: crop for crop in crops}


def decided(
    garden: Garden,
    crops: Iterable[Crop],
    standing: Standing = NOTHING_BEGUN,
    *,
    today: date = START,
) -> Decision:
    """Let the planner decide, all weeks of the garden planned from its first."""
    span = Span(starts_on=START, first_on=START, today=today, weeks=garden.weeks)
    return decide(replace(garden, crops=by_name(crops)), standing, span=span, seconds=60.0)


def proposed(
    garden: Garden,
    crops: Iterable[Crop],
    standing: Standing = NOTHING_BEGUN,
    *,
    today: date = START,
    by_tote: bool = False,
) -> tuple[Candidates, Task]:
    """Give what could be done in the garden's weeks, without a tail, and what is asked for."""
    candidates = propose(
        replace(garden, crops=by_name(crops)),
        standing,
        first_on=START,
        today=today,
        days=7 * garden.weeks,
        by_tote=by_tote,
    )
    asked = {
        (want.name, week): wanted(garden, want, candidates.date_of(7 * week))
        for want in garden.wants
        for week in range(garden.weeks)
    }
    reach = candidates.reach
    in_reach = {
        (want, week): amount
        for (want, week), amount in asked.items()
        if amount > 0 and (soonest := reach[want]) is not None and soonest < 7 * (week + 1)
    }
    return candidates, Task(weeks=garden.weeks, wanted=in_reach, leftovers={})
