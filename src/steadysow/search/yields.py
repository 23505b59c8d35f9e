"""What steps give and take: food, and minutes of work.

Takes candidates and a step, or the columns of a program; gives figures for one plant, or terms for all of them.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

from steadysow.inputs.garden import Want
from steadysow.plan.minutes import WORK_MINUTES, upkeep_plants
from steadysow.search.candidates import Candidates, Lot, Sowing, Step
from steadysow.search.columns import Columns


def want_of(candidates: Candidates, step: Step) -> Want | None:
    """Give the want a step is harvested for; ``None`` if the garden file has dropped it."""
    name = candidates.lines[step.line].want
    return next((want for want in candidates.garden.wants if want.name == name), None)


def amount_of(candidates: Candidates, step: Step) -> float:
    """Give what one plant yields at the end of a step, in the unit of its want."""
    want = want_of(candidates, step)
    return 1.0 if want is not None and want.unit == "heads" else step.grams


def lot_of(candidates: Candidates, step: Step) -> Lot | None:
    """Give the lot a step is harvested into; ``None`` if nobody eats it."""
    want = want_of(candidates, step)
    if want is None or step.number == 0:
        return None
    keeps = want.keeps_days if want.keeps_days is not None else candidates.lines[step.line].crop.keeps_days
    week = step.to_day // 7
    # A harvest on day d of its week serves the j-th week after it only if d + keeps >= 7 j + 4.
    further = max(0, (step.to_day % 7 + keeps - 4) // 7)
    return Lot(want=want.name, week=week, last_week=week + further)


def minutes_of(candidates: Candidates, step: Step, *, goes_on: bool) -> dict[int, float]:
    """Give the minutes that one plant takes in a step, by week: upkeep, and the harvest or clearing at its end [min].

    With `goes_on`, the minutes for clearing that the step before counted are taken back.
    """
    crop, today = candidates.lines[step.line].crop, candidates.today
    weeks: dict[int, float] = defaultdict(float)
    daily = WORK_MINUTES.upkeep / 7 / upkeep_plants(candidates.groups[step.group].carried.get(crop.name, 0))
    start = step.from_day if step.begun is None else max(step.from_day, today)
    for day in range(start, step.to_day):
        weeks[day // 7] += daily
    if step.number:
        weeks[step.to_day // 7] += WORK_MINUTES.harvest(crop.harvest.kind)
    if step.number == 0 or crop.harvest.kind != "head":
        weeks[step.to_day // 7] += WORK_MINUTES.clear
    if goes_on:
        weeks[step.from_day // 7] -= WORK_MINUTES.clear
    return weeks


def holes_in_use(candidates: Candidates, crop: str, day: int) -> int:
    """Count the plants of a crop that the totes in use on a day can carry."""
    garden, on = candidates.garden, candidates.date_of(day)
    return sum(
        group.carried.get(crop, 0)
        for group in candidates.groups
        for name in group.totes
        if garden.place_of(garden.tote(name), on) is not None
    )


def supply_of(columns: Columns) -> dict[Lot, dict[int, float]]:
    """Give what each lot receives, as terms in the unit of its want."""
    supply: dict[Lot, dict[int, float]] = defaultdict(dict)
    for s, step in enumerate(columns.candidates.steps):
        lot = lot_of(columns.candidates, step)
        if lot is not None:
            supply[lot][columns.steps[s]] = columns.units[s] * amount_of(columns.candidates, step)
    return supply


def minutes_added(columns: Columns, cells: Mapping[Sowing, int]) -> dict[int, dict[int, float]]:
    """Give the minutes that new sowings take, as terms by week; `cells` holds the columns that count cells."""
    candidates = columns.candidates
    weeks: dict[int, dict[int, float]] = defaultdict(lambda: defaultdict(float))
    for (crop, day), column in columns.crop_days.items():
        # More of a crop that was sown today belongs to the same sowing.
        if day != candidates.today or crop not in candidates.sown_today:
            weeks[day // 7][column] += WORK_MINUTES.sowing
    for column, sowing in zip(columns.sowings, candidates.sowings, strict=True):
        weeks[sowing.sown_day // 7][cells.get(sowing, column)] += WORK_MINUTES.cell
        if candidates.lines[sowing.line].crop.sown_in == "nursery":
            weeks[sowing.transplant_day // 7][column] += WORK_MINUTES.transplant
    for s, step in enumerate(candidates.steps):
        if step.begun is None:
            for week, minutes in minutes_of(candidates, step, goes_on=columns.goes_on(step)).items():
                weeks[week][columns.steps[s]] += minutes
    return weeks


def minutes_of_begun(
    columns: Columns, choices: Mapping[tuple[int, int, int], int]
) -> tuple[dict[int, dict[int, float]], dict[int, dict[tuple[int, int], float]]]:
    """Give the minutes that begun batches still take, as terms by week, and the most that they can take.

    `choices` holds the columns that say where and when a waiting batch is planted.  The most is kept by batch and by
    number of the harvest, since no plant gives the same harvest twice.
    """
    candidates = columns.candidates
    weeks: dict[int, dict[int, float]] = defaultdict(lambda: defaultdict(float))
    most: dict[int, dict[tuple[int, int], float]] = defaultdict(lambda: defaultdict(float))
    for (b, _, day), column in choices.items():
        minutes = WORK_MINUTES.transplant * candidates.begun[b].plants
        weeks[day // 7][column] += minutes
        most[day // 7][(b, -1)] = minutes
    for s, step in enumerate(candidates.steps):
        if step.begun is None:
            continue
        plants = candidates.begun[step.begun].plants_left
        for week, minutes in minutes_of(candidates, step, goes_on=columns.goes_on(step)).items():
            weeks[week][columns.steps[s]] += minutes * columns.units[s]
            key = (step.begun, step.number)
            most[week][key] = max(most[week][key], minutes * plants)
    return weeks, most
