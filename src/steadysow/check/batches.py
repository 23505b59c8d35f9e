"""Rules of a batch as a whole: its number, what has happened to it, its want, the order of its stages, its end.

Each rule takes the `Case` and gives what breaks it.
"""

from __future__ import annotations

from collections.abc import Iterator

from steadysow.amounts import day_text
from steadysow.check.case import Case, Finding, is_live, leaves, named
from steadysow.plan.batch import Batch


def ids_are_distinct(case: Case) -> Iterator[Finding]:
    """No two batches have the same number."""
    seen: dict[int, Batch] = {}
    for batch in case.batches:
        if batch.id in seen:
            yield (seen[batch.id], batch), None, f"two batches have the number {batch.id}"
        seen[batch.id] = batch


def facts_are_kept(case: Case) -> Iterator[Finding]:
    """The plan holds every begun batch that has something to come, and changes nothing that has happened to it."""
    by_id = {batch.id: batch for batch in case.batches}
    for fact in case.begun.values():
        if not is_live(fact):
            continue
        batch = by_id.get(fact.id)
        if batch is None:
            yield (fact,), None, f"{named(fact)} has begun, but the plan leaves it out"
            continue
        to_come = case.to_come(batch)
        happened = tuple(harvest for harvest in batch.harvests if harvest not in to_come)
        if happened != fact.harvests or _entry(batch, fact) != _entry(fact, fact):
            yield (batch,), None, f"{named(fact)} has begun, but the plan changes what has already happened to it"


def _entry(batch: Batch, fact: Batch) -> tuple[object, ...]:
    """Give how a batch was sown, and where and when it was transplanted if `fact` says that it was."""
    sown = (batch.crop, batch.want, batch.sown_on, batch.cells, batch.seeds)
    return sown if fact.transplanted_on is None else (*sown, batch.tote, batch.holes, batch.transplanted_on)


def stages_are_in_order(case: Case) -> Iterator[Finding]:
    """A batch is sown, emerges, is transplanted and is cleared, in that order."""
    for batch in filter(is_live, case.batches):
        if batch.transplanted_on is None or batch.cleared_on is None:
            yield (batch,), None, f"{named(batch)} lacks its day of transplant or of clearing"
            continue
        in_order = batch.sown_on <= batch.transplanted_on <= batch.cleared_on
        in_order = in_order and (batch.transplanted_on < batch.cleared_on or not case.is_entering(batch))
        if case.is_entering(batch) and batch.emerges_on is not None:
            by_then = batch.transplanted_on if case.crop(batch).sown_in == "nursery" else batch.cleared_on
            in_order = in_order and batch.sown_on <= batch.emerges_on <= by_then
        if not in_order:
            yield (batch,), batch.sown_on, f"{named(batch)} has its stages out of order"


def crop_serves_its_want(case: Case) -> Iterator[Finding]:
    """A batch is grown for a want that its crop may serve."""
    serving = {want.name: {serving.crop for serving in want.servings} for want in case.garden.wants}
    for batch in case.planned:
        if batch.crop not in serving.get(batch.want, set()):
            wrong = f"is grown for {batch.want}, which does not ask for {batch.crop}"
            yield (batch,), None, f"{named(batch)} {wrong}"


def cleared_with_its_last_harvest(case: Case) -> Iterator[Finding]:
    """A batch is cleared on the day of its last harvest, or on a day at home if no harvest is to come."""
    for batch in case.live:
        day, last_on = leaves(batch), max((harvest.on for harvest in case.to_come(batch)), default=None)
        cleared = f"{named(batch)} is due to be cleared on {day_text(day)}"
        if last_on is not None and day != last_on:
            yield (batch,), day, f"{cleared}, but its last harvest is on {day_text(last_on)}"
        if last_on is None and day < case.today:
            yield (batch,), day, f"{cleared}, which is past"
        elif last_on is None and not case.garden.at_home(day):
            yield (batch,), day, f"{cleared}, when nobody is at home"


def cleared_in_time(case: Case) -> Iterator[Finding]:
    """Nothing grows past the garden's `clear_by`, except what stands when nobody is at home to clear it in time."""
    clear_by = case.garden.clear_by
    for batch in case.live:
        is_forced = not case.is_entering(batch) and leaves(batch) == case.first_day_at_home()
        if clear_by is not None and leaves(batch) > clear_by and not is_forced:
            wrong = f"is due to stand until {day_text(leaves(batch))}, but all totes must be empty by"
            yield (batch,), leaves(batch), f"{named(batch)} {wrong} {day_text(clear_by)}"
