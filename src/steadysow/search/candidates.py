"""What could be done, as dated values: groups of totes, sowings, and steps in a plant's life.

`propose` makes these values, the exact program chooses among them.  A plant's life is a path: one sowing (from a
sowing day to a transplant day), then steps (from one harvest to the next).  Every legal plan is a set of such paths.
Days are whole numbers, counted from the first planned day.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta

from steadysow.inputs.crops import Crop, System
from steadysow.inputs.garden import Garden
from steadysow.plan.batch import Batch


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceSpell:
    """Days of a tote at one place without a break, from `from_day` up to, not including, `until_day`."""

    place: str
    from_day: int
    until_day: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ToteGroup:
    """Totes that are counted together, because the rules treat them alike.

    Attributes
    ----------
    totes
        Their names, in the order of the file.
    system, holes, area_m2, litres, refilled
        The figures of each tote; `refilled` is false for a kratky tote that is never topped up.
    spells
        When and where the totes stand.
    carried
        How many plants of a crop fill one tote, by crop; without the crops that it cannot carry.
    is_uniform
        Whether counting their plants together is exact: for one tote, or for crops of one size that may share a
        reservoir.  A dwc tote must carry a plant in every hole for that; otherwise it has holes to spare for
        turnaround, which are only counted exactly tote by tote.  A kratky tote is planted all at once and needs none.
    """

    totes: tuple[str, ...]
    system: System
    holes: int
    area_m2: float
    litres: float
    refilled: bool
    spells: tuple[PlaceSpell, ...]
    carried: Mapping[str, int]
    is_uniform: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A crop grown for a want; every batch belongs to one line."""

    crop: Crop
    want: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Sowing:
    """Plants of line `line` sown on `sown_day` and transplanted on `transplant_day`."""

    line: int
    sown_day: int
    transplant_day: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PlantState:
    """Where a plant is in its life: just transplanted, or just harvested.

    Attributes
    ----------
    line, group
        Indices of the line and the group.
    begun
        Index of the begun batch, or ``None`` for a plant still to be sown.
    entered_day
        The day of transplant, or -1 where plants of several transplants are counted together.
    harvests
        How many harvests the plant has given.
    last_day
        The day of the last harvest; before the first, the day of transplant.
    """

    line: int
    group: int
    begun: int | None
    entered_day: int
    harvests: int
    last_day: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """A plant's days in a tote up to its next harvest, or until it is cleared without one.

    Attributes
    ----------
    line, group
        Indices of the line and the group.
    begun
        Index of the begun batch, or ``None`` for plants still to be sown.
    entered_day
        The day of transplant where a rule needs it (kratky totes, begun batches, plants that may bolt); -1 where plants
        of several transplants are counted together.
    from_day, to_day
        From the transplant or the harvest before, to this harvest.
    after
        How many harvests the plants have given before.
    number
        The number of this harvest, counted from 1; 0 if a begun batch is cleared without another harvest.
    grams
        What one plant gives [g].
    latest_day
        The last day on which this harvest may be taken, that day included.
    """

    line: int
    group: int
    begun: int | None
    entered_day: int
    from_day: int
    to_day: int
    after: int
    number: int
    grams: float
    latest_day: int

    @property
    def start(self) -> PlantState:
        """The state of the plants before the step."""
        return PlantState(
            line=self.line,
            group=self.group,
            begun=self.begun,
            entered_day=self.entered_day,
            harvests=self.after,
            last_day=self.from_day,
        )

    @property
    def end(self) -> PlantState:
        """The state of the plants after the step."""
        return PlantState(
            line=self.line,
            group=self.group,
            begun=self.begun,
            entered_day=self.entered_day,
            harvests=self.number,
            last_day=self.to_day,
        )


# The steps of a plant, in order.
Life = tuple[Step, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Lot:
    """Food harvested for a want in one week, good until another week."""

    want: str
    week: int
    last_week: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Turnaround:
    """A hole that was harvested before today and may be planted again from `until_day` on."""

    tote: str
    hole: int
    until_day: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidates:
    """Everything that could be done, and the days for it.

    Attributes
    ----------
    garden
        The garden.
    first_on
        The date of day 0, the first day of the first planned week.
    today
        Today, as a day; nothing is done before it.
    days
        Number of days in the planned weeks and the tail.
    lines, groups
        Crops by want; totes that are counted together.
    begun
        Batches that stand or wait in the nursery.
    turnarounds
        Holes that were harvested before today and are not free yet.
    sowings, steps
        What could be sown, and how plants could go on.
    chore_days
        Days on which somebody may sow and transplant.
    sowing_days
        Chore days that are far enough from the begun sowings.
    reach
        The first day on which a want can be harvested, by want; ``None`` if it cannot be.
    sown_today
        Plants that have been sown today, by crop.
    spent
        Minutes of a week that no choice can change, by week [min]; empty where nothing limits them.
    """

    garden: Garden
    first_on: date
    today: int
    days: int
    lines: tuple[Line, ...]
    groups: tuple[ToteGroup, ...]
    begun: tuple[Batch, ...]
    turnarounds: tuple[Turnaround, ...]
    sowings: tuple[Sowing, ...]
    steps: tuple[Step, ...]
    chore_days: tuple[int, ...]
    sowing_days: tuple[int, ...]
    reach: Mapping[str, int | None]
    sown_today: Mapping[str, int]
    spent: Mapping[int, float] = field(default_factory=dict)

    def date_of(self, day: int) -> date:
        """Give the date of a day."""
        return self.first_on + timedelta(days=day)

    def day_of(self, on: date) -> int:
        """Give the day of a date."""
        return (on - self.first_on).days
