"""Rules of a person's work: on which days it falls, how often something is sown, how much there is in a week.

Each rule takes the `Case` and gives what breaks it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date, timedelta
from itertools import pairwise

from steadysow.amounts import counted, day_text
from steadysow.check.case import Case, Finding, named
from steadysow.inputs.garden import carried
from steadysow.plan.batch import Batch
from steadysow.plan.minutes import minutes_by_week

# Minutes below this are rounding errors of a sum [min].
MINUTES_TOLERANCE = 0.001


def sown_on_a_chore_day(case: Case) -> Iterator[Finding]:
    """Sowing falls on a chore day at home, not before today and not before the garden's first day."""
    first_on = max(case.today, case.starts_on)
    for batch in case.planned:
        sown = f"{named(batch)} is due to be sown on {day_text(batch.sown_on)}"
        if not case.garden.is_chore_day(batch.sown_on):
            yield (batch,), batch.sown_on, f"{sown}, which is no chore day at home"
        elif batch.sown_on < first_on:
            yield (batch,), batch.sown_on, f"{sown}, before the first possible day, {day_text(first_on)}"


def sowing_days_lie_apart(case: Case) -> Iterator[Finding]:
    """Sowing days, past ones included, lie at least `every_days` apart."""
    by_day = _by_sowing_day(case)
    for earlier, later in pairwise(sorted(by_day)):
        gap_days = (later - earlier).days
        if gap_days < case.garden.sowing.every_days and _any_planned(by_day[later]):
            apart = f"{counted(gap_days, 'day')} apart, not {case.garden.sowing.every_days}"
            wrong = f"the sowings on {day_text(earlier)} and {day_text(later)} are {apart}"
            yield by_day[earlier] + by_day[later], later, wrong


def sowings_are_large_enough(case: Case) -> Iterator[Finding]:
    """A sowing is at least `smallest` plants of a crop, or all that the totes in use that day can carry of it."""
    for sown_on, batches in _by_sowing_day(case).items():
        for name in sorted({batch.crop for batch in batches}):
            sowing = [batch for batch in batches if batch.crop == name]
            if not _any_planned(sowing):
                continue
            plants = sum(batch.plants for batch in sowing)
            in_use = (tote for tote in case.garden.totes if case.garden.place_of(tote, sown_on) is not None)
            least = min(case.garden.sowing.smallest, sum(carried(case.garden.crops[name], tote) for tote in in_use))
            if plants < least:
                wrong = f"has {counted(plants, 'plant')}, fewer than {least}"
                yield sowing, sown_on, f"the sowing of {name} on {day_text(sown_on)} {wrong}"


def few_crops_a_sowing_day(case: Case) -> Iterator[Finding]:
    """At most `crops_a_day` crops are sown on one day."""
    limit = case.garden.sowing.crops_a_day
    for sown_on, batches in _by_sowing_day(case).items():
        crops = {batch.crop for batch in batches}
        if len(crops) > limit and _any_planned(batches):
            wrong = f"{len(crops)} crops are due to be sown on {day_text(sown_on)}, more than {limit}"
            yield batches, sown_on, wrong


def harvested_on_a_harvest_day(case: Case) -> Iterator[Finding]:
    """Harvests fall on harvest days at home."""
    for batch in case.live:
        for harvest in case.to_come(batch):
            if not case.garden.is_harvest_day(harvest.on):
                wrong = f"is due to be harvested on {day_text(harvest.on)}, which is no harvest day at home"
                yield (batch,), harvest.on, f"{named(batch)} {wrong}"


def weeks_keep_to_their_minutes(case: Case) -> Iterator[Finding]:
    """A week's work and upkeep take at most `chore_minutes_a_week`.

    Begun batches may take more by themselves.  Such a week gets no new work.
    """
    limit = case.garden.chore_minutes_a_week
    if limit is None:
        return

    def minutes_of(batches: Iterable[Batch]) -> dict[int, float]:
        return minutes_by_week(case.garden, batches, starts_on=case.starts_on, today=case.today)

    begun = minutes_of(batch for batch in case.batches if batch.state != "planned")
    for week, minutes in minutes_of(case.batches).items():
        if minutes > limit + MINUTES_TOLERANCE and minutes > begun.get(week, 0.0) + MINUTES_TOLERANCE:
            adding = [batch for batch in case.planned if week in minutes_of([batch])]
            week_on = case.starts_on + timedelta(weeks=week)
            wrong = f"takes {minutes:.4g} minutes of work, more than {limit:g}"
            yield adding, week_on, f"the week from {day_text(week_on)} {wrong}"


def _by_sowing_day(case: Case) -> dict[date, list[Batch]]:
    by_day: dict[date, list[Batch]] = {}
    for batch in sorted(case.batches, key=lambda batch: batch.sown_on):
        by_day.setdefault(batch.sown_on, []).append(batch)
    return by_day


def _any_planned(batches: Iterable[Batch]) -> bool:
    return any(batch.state == "planned" for batch in batches)
