"""The columns of the exact program: one for each sowing and step, and what they mean.

Takes candidates; gives `Columns`, which the rules read.  They are built before any rule and no rule changes them; a
rule only adds rows, and further columns of its own, to the program.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from steadysow.inputs.crops import Crop
from steadysow.search.candidates import Candidates, Lot, PlantState, Step
from steadysow.search.solver import ALWAYS, Program


@dataclass(frozen=True, slots=True, kw_only=True)
class Columns:
    """A program and what its columns mean.

    Attributes
    ----------
    program
        The program that holds the columns.
    candidates
        What the columns choose from.
    weeks
        Number of planned weeks; later weeks are the tail.
    wanted
        Amount by want and week, tail included, where something is wanted and in reach.
    leftovers
        What earlier harvests left in the fridge.
    sowings, steps
        The column of each sowing and each step, in their order.  Its value counts plants, or `units` of them.
    units
        How many plants 1 in a step's column stands for, by step: the whole batch where a begun batch is not parted.
    sowing_days
        Whether anything is sown on a day, by day.
    crop_days
        Whether a crop is sown on a day, by crop and day.
    starting, ending
        The steps that start from a state, and the harvests that lead to it, as indices of steps.
    index
        The index of each step.
    standing
        The begun batch of a step, by column, for batches that stand in their tote already.
    """

    program: Program
    candidates: Candidates
    weeks: int
    wanted: Mapping[tuple[str, int], float]
    leftovers: Mapping[Lot, float]
    sowings: tuple[int, ...]
    steps: tuple[int, ...]
    units: tuple[int, ...]
    sowing_days: Mapping[int, int]
    crop_days: Mapping[tuple[str, int], int]
    starting: Mapping[PlantState, list[int]]
    ending: Mapping[PlantState, list[int]]
    index: Mapping[Step, int]
    standing: Mapping[int, int]

    def crop_of(self, step: Step) -> Crop:
        """Give the crop of a step."""
        return self.candidates.lines[step.line].crop

    def room_of(self, step: Step) -> float:
        """Give the part of a tote's room that one plant of a step takes."""
        return 1 / self.candidates.groups[step.group].carried[self.crop_of(step).name]

    def goes_on(self, step: Step) -> bool:
        """Say whether a step goes on from the harvest of another one."""
        return step.after > 0 and step.start in self.ending

    def occupied(self, step: Step) -> tuple[int, int]:
        """Give the days, turnaround included, for which a step adds its plants to the holes in use.

        A plant that goes on is counted by the step before until that step's turnaround is over, so it starts later.
        """
        turn = self.candidates.garden.turnaround_days
        return step.from_day + turn if self.goes_on(step) else step.from_day, step.to_day + turn

    def steps_in(self, g: int) -> Iterable[tuple[int, Step]]:
        """Give the steps in a group of totes, each with its index."""
        return ((s, step) for s, step in enumerate(self.candidates.steps) if step.group == g)

    def chore_days_between(self, start: int, end: int) -> Iterable[int]:
        """Give the chore days from one day up to, not including, another."""
        return (day for day in self.candidates.chore_days if start <= day < end)


def columns_of(
    candidates: Candidates, *, weeks: int, wanted: Mapping[tuple[str, int], float], leftovers: Mapping[Lot, float]
) -> Columns:
    """Start a program with a column for each sowing and step, each sowing day and each crop sown on it."""
    program = Program()
    most = {
        line.crop.name: sum(len(group.totes) * group.carried.get(line.crop.name, 0) for group in candidates.groups)
        for line in candidates.lines
    }
    sowings = [
        program.whole(most[candidates.lines[sowing.line].crop.name], when=sowing.transplant_day)
        for sowing in candidates.sowings
    ]
    steps: list[int] = []
    units: list[int] = []
    starting: dict[PlantState, list[int]] = {}
    ending: dict[PlantState, list[int]] = {}
    standing: dict[int, int] = {}
    for s, step in enumerate(candidates.steps):
        crop = candidates.lines[step.line].crop
        # Heads leave one by one; any other begun batch, and heads that are cleared, only as a whole.
        whole = step.begun is not None and (crop.harvest.kind != "head" or step.number == 0)
        plants = candidates.begun[step.begun].plants_left if step.begun is not None else 1
        units.append(plants if whole else 1)
        limit = 1 if whole else plants if step.begun is not None else most[crop.name]
        # What began in the past is decided from today on.
        when = max(step.from_day, candidates.today)
        steps.append(program.whole(limit, when=when, begun=step.begun is not None, follows=step.after > 0))
        if step.begun is not None and candidates.begun[step.begun].transplanted_on is not None:
            standing[steps[s]] = step.begun
        starting.setdefault(step.start, []).append(s)
        if step.number:
            ending.setdefault(step.end, []).append(s)
    sowing_days = {day: program.whole(1, when=ALWAYS) for day in candidates.sowing_days}
    crop_days: dict[tuple[str, int], int] = {}
    for sowing in candidates.sowings:
        key = (candidates.lines[sowing.line].crop.name, sowing.sown_day)
        if key not in crop_days:
            crop_days[key] = program.whole(1, when=ALWAYS)
    return Columns(
        program=program,
        candidates=candidates,
        weeks=weeks,
        wanted=dict(wanted),
        leftovers=leftovers,
        sowings=tuple(sowings),
        steps=tuple(steps),
        units=tuple(units),
        sowing_days=sowing_days,
        crop_days=crop_days,
        starting=starting,
        ending=ending,
        index={step: s for s, step in enumerate(candidates.steps)},
        standing=standing,
    )
