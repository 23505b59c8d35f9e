"""Rules of seedlings: their cells and seeds, the nursery's room, the day they emerge and the day they leave it.

Each rule takes the `Case` and gives what breaks it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from fractions import Fraction
from math import ceil

from steadysow.amounts import counted, day_text, listed
from steadysow.check.case import Case, Finding, enters, named, stands
from steadysow.growth.germination import MOST_SEEDS_A_CELL, percent_now
from steadysow.plan.batch import Batch


def cells_are_enough(case: Case) -> Iterator[Finding]:
    """A batch has at least a cell a hole; batches sown and planted together share their spare cells."""
    for batches in _sown_together(case):
        for batch in batches:
            if batch.cells < batch.plants:
                wrong = f"{_have(batch.cells, 'cell', [batch])} for {counted(batch.plants, 'plant')}"
                yield (batch,), batch.sown_on, wrong
        crop = case.crop(batches[0])
        success = 1 - (1 - crop.germination_percent / 100) ** crop.seeds_a_cell
        plants, cells = sum(batch.plants for batch in batches), sum(batch.cells for batch in batches)
        needed = max(plants, ceil(plants / success - 1e-9))
        if crop.sown_in == "nursery" and cells != needed:
            wrong = f"{_have(cells, 'cell', batches)} for {counted(plants, 'plant')}, not {needed}"
            yield batches, batches[0].sown_on, wrong


def seeds_are_enough(case: Case) -> Iterator[Finding]:
    """All cells sown together have equally many seeds: as many as the profile says, and as the confidence asks for.

    Too few cells break `cells_are_enough` only.
    """
    for batches in _sown_together(case):
        crop, sown_on = case.crop(batches[0]), batches[0].sown_on
        plants, cells = sum(batch.plants for batch in batches), sum(batch.cells for batch in batches)
        if cells < plants:
            continue
        seeds = sum(batch.seeds for batch in batches)
        each = Fraction(seeds, cells)
        if any(batch.seeds != each * batch.cells for batch in batches) or each.denominator != 1:
            wrong = f"{_have(seeds, 'seed', batches)} in {counted(cells, 'cell')}, not equally many in each"
            yield batches, sown_on, wrong
        elif each < crop.seeds_a_cell:
            yield batches, sown_on, f"{_have(int(each), 'seed', batches)} in each cell, not {crop.seeds_a_cell}"
        elif each < MOST_SEEDS_A_CELL:
            percent = percent_now(crop, case.garden.packet(crop.name), sown_on.year)
            chance = _chance_of_enough(plants, cells, 1 - (1 - percent / 100) ** int(each))
            if chance < case.garden.sowing.confidence - 1e-9:
                wrong = f"in each cell: enough come up in only {chance:.1%} of cases"
                yield batches, sown_on, f"{_have(int(each), 'seed', batches)} {wrong}"


def _sown_together(case: Case) -> Iterable[list[Batch]]:
    together: dict[tuple[str, str, date, date | None], list[Batch]] = defaultdict(list)
    for batch in case.planned:
        together[(batch.crop, batch.want, batch.sown_on, batch.transplanted_on)].append(batch)
    return together.values()


def _have(number: int, noun: str, batches: Sequence[Batch]) -> str:
    """Say how many of something batches have: ``batch 5 (kale) has 3 cells``."""
    verb = "has" if len(batches) == 1 else "together have"
    return f"{listed(named(batch) for batch in batches)} {verb} {counted(number, noun)}"


def _chance_of_enough(needed: int, sown: int, chance: float) -> float:
    """Give the chance that enough cells succeed, by adding one cell after the other [0 to 1]."""
    chances = [1.0]
    for _ in range(sown):
        failing, succeeding = [*chances, 0.0], [0.0, *chances]
        pairs = zip(failing, succeeding, strict=True)
        chances = [fails * (1 - chance) + succeeds * chance for fails, succeeds in pairs]
    return sum(chances[needed:])


def nursery_holds_all(case: Case) -> Iterator[Finding]:
    """The nursery's cells hold all seedlings on every day."""
    raised = [batch for batch in case.batches if case.crop(batch).sown_in == "nursery" and stands(batch)]
    there_are = case.garden.nursery.cells
    for day in sorted({batch.sown_on for batch in raised if batch.state == "planned"}):
        there = [batch for batch in raised if batch.sown_on <= day < enters(batch)]
        cells = sum(batch.cells for batch in there)
        if cells > there_are:
            yield there, day, f"the nursery has {counted(there_are, 'cell')}, but {day_text(day)} needs {cells}"


def emerges_as_it_grows(case: Case) -> Iterator[Finding]:
    """The day of emergence follows from the warmth of the nursery, or of the place of the pot."""
    for batch in case.planned:
        grown_on = case.emerges_on(batch)
        if grown_on is None:
            yield (batch,), batch.sown_on, f"{named(batch)} never emerges"
        elif batch.emerges_on != grown_on:
            said = "never" if batch.emerges_on is None else day_text(batch.emerges_on)
            wrong = f"emerges on {day_text(grown_on)}, but the plan says {said}"
            yield (batch,), batch.emerges_on, f"{named(batch)} {wrong}"


def transplanted_when_ready(case: Case) -> Iterator[Finding]:
    """Transplant falls on a chore day at home, within the crop's window.

    A begun batch may be late; then it is transplanted on the first possible chore day.
    """
    for batch in case.entering:
        if case.crop(batch).sown_in == "pot":
            continue
        day, window = enters(batch), case.transplant_window(batch)
        transplanted = f"{named(batch)} is due to be transplanted on {day_text(day)}"
        if not case.garden.is_chore_day(day):
            yield (batch,), day, f"{transplanted}, which is no chore day at home"
        if window is None:
            yield (batch,), day, f"{named(batch)} is never ready to transplant"
        elif not window[0] <= day <= window[1]:
            span = f"{day_text(window[0])} to {day_text(window[1])}"
            yield (batch,), day, f"{transplanted}, outside its window from {span}"


def pots_are_not_transplanted(case: Case) -> Iterator[Finding]:
    """A crop sown in its pot stands in its tote from the day it is sown."""
    for batch in case.planned:
        if case.crop(batch).sown_in == "pot" and batch.transplanted_on != batch.sown_on:
            wrong = "is sown in its pot, but enters its tote on another day"
            yield (batch,), batch.sown_on, f"{named(batch)} {wrong}"
