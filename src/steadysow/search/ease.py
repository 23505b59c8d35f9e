"""Ease: what makes a plan hard to follow, as terms to be maximised.

Takes a `Model`; adds columns and rows that count work days, long days, gaps and different lives, and gives their terms.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Collection

from steadysow.search.columns import Columns
from steadysow.search.model import Model
from steadysow.search.solver import ALWAYS, Terms

# Jobs that a person likes to do on one day, besides scrubbing a tote, and the price of one job more, in sowings: our
# estimate.
JOBS_A_DAY, LONG_DAY_PRICE = 4, 2.0


def ease(model: Model) -> Terms:
    """Add columns for what makes a plan hard, and give their terms.

    Deep gaps and weeks that begun batches overfill weigh most, then days with work, then sowings.  Each of them
    outweighs all of the next together.  After them come days with many jobs, plants that are never harvested, and
    surplus.
    """
    columns, program, days = model.columns, model.program, 7 * model.columns.weeks
    sown = [column for (_, day), column in columns.crop_days.items() if day < days]
    terms: dict[int, float] = dict.fromkeys(sown, -1.0)
    work = _work_days(columns)
    sowing_weight = len(sown) + 1.0
    terms.update(dict.fromkeys(work, -_rounded_up(sowing_weight)))
    gap_weight = _rounded_up(sowing_weight) * (len(work) + 1)
    for (want, week), column in model.eating.served.items():
        if week < columns.weeks:
            gap = program.whole(1, when=ALWAYS, begun=True)
            half = columns.wanted[(want, week)] / 2
            program.row({column: 1.0, gap: half}, least=half)
            terms[gap] = -_rounded_up(gap_weight)
    terms.update(_surplus(columns))
    terms.update(dict.fromkeys(_long_days(columns), -LONG_DAY_PRICE))
    terms.update(dict.fromkeys(model.work.overfull, -_rounded_up(gap_weight)))
    return terms


def fewest_lives(columns: Columns, *, but_for: Collection[int] = ()) -> Terms:
    """Add a yes-or-no column for each step and sowing in use, and for each crop harvested on a day; give their terms.

    Fewer lives mean fewer and larger batches, and shorter lists of chores.  Columns in `but_for` do not count.
    """
    program = columns.program
    used = {}
    for column in (*columns.sowings, *columns.steps):
        if column in but_for:
            continue
        used[column] = program.whole(1, when=ALWAYS, begun=True)
        program.row({column: 1.0, used[column]: -program.upper[column]}, most=0)
    harvested: dict[tuple[str, int], list[int]] = defaultdict(list)
    for column, step in zip(columns.steps, columns.candidates.steps, strict=True):
        if step.number and column in used:
            harvested[(columns.crop_of(step).name, step.to_day)].append(used[column])
    terms: dict[int, float] = dict.fromkeys(used.values(), -1.0)
    for harvests in harvested.values():
        is_harvested = program.whole(1, when=ALWAYS, begun=True)
        for column in harvests:
            program.row({column: 1.0, is_harvested: -1.0}, most=0)
        terms[is_harvested] = -1.0
    return terms


def _rounded_up(number: float) -> float:
    """Round up to a power of ten, so that a reader of the program can tell the weights apart."""
    return 10.0 ** math.ceil(math.log10(number))


def _work_days(columns: Columns) -> list[int]:
    """Add a yes-or-no column for each day on which something is sown, planted or harvested."""
    program, candidates = columns.program, columns.candidates
    most = 2.0 * (sum(tote.holes for tote in candidates.garden.totes) + candidates.garden.nursery.cells)
    by_day: dict[int, dict[int, float]] = defaultdict(dict)
    for column, sowing in zip(columns.sowings, candidates.sowings, strict=True):
        by_day[sowing.transplant_day][column] = 1.0
    for s, step in enumerate(candidates.steps):
        if step.number:
            by_day[step.to_day][columns.steps[s]] = 1.0
    work = []
    for day, terms in by_day.items():
        if day < 7 * columns.weeks:
            is_work = program.whole(1, when=ALWAYS, begun=True)
            work.append(is_work)
            if day in columns.sowing_days:
                program.row({columns.sowing_days[day]: 1.0, is_work: -1.0}, most=0)
            program.row({**terms, is_work: -most}, most=0)
    return work


def _long_days(columns: Columns) -> list[int]:
    """Add columns for the jobs of a day beyond `JOBS_A_DAY`: each crop harvested, the planting, the sowing."""
    program, candidates = columns.program, columns.candidates
    works: dict[tuple[str, int], dict[int, float]] = defaultdict(dict)
    for column, step in zip(columns.steps, candidates.steps, strict=True):
        if step.number:
            works[(columns.crop_of(step).name, step.to_day)][column] = 1.0
    for column, sowing in zip(columns.sowings, candidates.sowings, strict=True):
        works[("", sowing.transplant_day)][column] = 1.0
    most = float(sum(tote.holes for tote in candidates.garden.totes) + candidates.garden.nursery.cells)
    jobs: dict[int, dict[int, float]] = defaultdict(dict)
    for (_, day), terms in works.items():
        is_done = program.whole(1, when=ALWAYS, begun=True)
        program.row({**terms, is_done: -most}, most=0)
        jobs[day][is_done] = 1.0
    beyond = []
    for day, terms in jobs.items():
        if day in columns.sowing_days:
            terms[columns.sowing_days[day]] = 1.0
        if len(terms) > JOBS_A_DAY:
            beyond.append(program.part(math.inf))
            program.row({**terms, beyond[-1]: -1.0}, most=JOBS_A_DAY)
    return beyond


def _surplus(columns: Columns) -> Terms:
    """Give a small price on all that is harvested, and a larger one on plants that are never harvested."""
    steps = list(zip(columns.steps, columns.units, columns.candidates.steps, strict=True))
    most_grams = sum(sorted((unit * step.grams for _, unit, step in steps), reverse=True)[:200])
    weight = 0.5 / max(1.0, most_grams)
    return {column: -weight * unit * step.grams if step.number else -0.5 * unit for column, unit, step in steps}
