"""The garden: totes, places, wants and the days a person has for them.

Gives the frozen type `Garden`, which `garden_file` reads, and how many plants a tote carries (`carried`).  Hides how
the lid of a tote is estimated from its litres.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Literal

from steadysow.inputs.calendar_style import CalendarStyle
from steadysow.inputs.crops import Crop, System
from steadysow.inputs.recipes import NUTRIENT, Recipe, TapWater, recipe_named
from steadysow.inputs.stock import ORDER_DAYS, Item
from steadysow.inputs.tariff import Tariff

MonthDay = tuple[int, int]

# Values of January to December; ``None`` for a month without a value.
Months = tuple[float | None, ...]

Facing = Literal["north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"]

# Our choice: one sowing in twenty may have too few seedlings.
CONFIDENCE = 0.95

# Our estimate, for a garden file that does not say: half of the daylight hours are without sun.
CLOUDS = 0.5

# Our estimates: within a month the nutrients that plants leave are out of balance; an untended tray of seedlings dries
# out within days [d].
CHANGE_EVERY_DAYS = 28
UNATTENDED_DAYS = 3

# Our estimate: the lid of a small 11 litre tote is about 28 x 40 cm.
SMALL_TOTE_LITRES = 11.0
SMALL_TOTE_LID_M2 = 0.112


@dataclass(frozen=True, slots=True, kw_only=True)
class Away:
    """Days when nobody is at home: from `from_on` up to, not including, `back_on`."""

    from_on: date
    back_on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class SowingHabits:
    """How often and how much a person sows, and how certain the seedlings are.

    Attributes
    ----------
    every_days, smallest, crops_a_day
        Days between sowings [d], fewest plants in a sowing, most crops on a sowing day.
    confidence
        The chance that a sowing has enough seedlings (0 to 1).
    """

    every_days: int
    smallest: int
    crops_a_day: int
    confidence: float = CONFIDENCE


@dataclass(frozen=True, slots=True, kw_only=True)
class Lamp:
    """A lamp.

    Attributes
    ----------
    dli_mol
        Daily light at leaf height, from `ppfd`, `hours` and `brightness` or as written [mol m-2 d-1].
    ppfd, hours, brightness, watts
        As written, or ``None`` [umol m-2 s-1], [h], [share 0 to 1], [W]. `ppfd` and `watts` are those at full
        brightness.
    plants
        The most plants it lights, or ``None``.
    up_to_dli_mol
        Beside a window: the lamp runs only until the day has this much light, and at most its `hours` [mol m-2 d-1].
        ``None``: it runs its hours every day.
    """

    dli_mol: float
    ppfd: float | None = None
    hours: float | None = None
    brightness: float = 1.0
    watts: float | None = None
    plants: int | None = None
    up_to_dli_mol: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """A window: the way it faces, and the light at the leaves over the light outdoors on level ground (0 to 1)."""

    faces: Facing
    share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Outdoors:
    """A place outdoors.

    Attributes
    ----------
    frost_free
        First day without frost and first day with frost again, as (month, day); half open, may cross the new year.
    shade
        The share of the light that shade takes away (0 to 1).
    """

    frost_free: tuple[MonthDay, MonthDay]
    shade: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Sky:
    """The daylight of a garden: its latitude [degree], and the share of daylight hours without sun (0 to 1)."""

    latitude: float
    clouds: float | Months


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where totes stand: its light, from at least one source, and its temperature [degree C].

    `temperature_c` is one value for all days, or one for each month. A place is not in use in a month without a value.
    """

    name: str
    temperature_c: float | Months
    lamp: Lamp | None = None
    window: Window | None = None
    outdoors: Outdoors | None = None

    @property
    def is_daylit(self) -> bool:
        """Whether the sun lights it."""
        return self.window is not None or self.outdoors is not None

    @property
    def lights(self) -> int | None:
        """The most plants that its lamp lights; ``None`` for no limit."""
        return self.lamp.plants if self.lamp else None

    def is_open(self, day: date) -> bool:
        """Say whether the place is in use on a day: free of frost if outdoors, and in a month with a temperature."""
        if self.outdoors and not is_within((day.month, day.day), *self.outdoors.frost_free):
            return False
        return not isinstance(self.temperature_c, tuple) or self.temperature_c[day.month - 1] is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class Nursery:
    """Where seedlings wait: number of cells, and its conditions as a place."""

    cells: int
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Stand:
    """The days of the year that a tote spends at a place.

    `from_md` and `until_md` are (month, day), half open, and may cross the new year. Both are ``None`` for the place
    where the tote stands on all other days.
    """

    place: str
    from_md: MonthDay | None = None
    until_md: MonthDay | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Tote:
    """A lidded opaque container over one reservoir.

    Attributes
    ----------
    name, holes, litres, system
        As written [L].
    inside_cm
        Inside width and length [cm], or ``None``.
    stands
        Where it stands through the year, in the order of the file.
    top_up
        ``never`` or ``small``; only used for ``kratky``.
    """

    name: str
    holes: int
    litres: float
    system: System
    inside_cm: tuple[float, float] | None
    stands: tuple[Stand, ...]
    top_up: Literal["never", "small"] = "small"

    def stands_on(self, day: date) -> str | None:
        """Give the place where it stands on a day by its dates; ``None`` on a day without a place."""
        stays = None
        for stand in self.stands:
            if stand.from_md is None or stand.until_md is None:
                stays = stand.place
            elif is_within((day.month, day.day), stand.from_md, stand.until_md):
                return stand.place
        return stays


@dataclass(frozen=True, slots=True, kw_only=True)
class Serving:
    """A crop that may serve a want, and its smallest and largest share of the want's harvest (0 to 1)."""

    crop: str
    least: float = 0.0
    most: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Want:
    """What the kitchen asks for each week.

    Attributes
    ----------
    name, unit, amount
        The amount a week, in grams (``g``) or ``heads``.
    servings
        The crops that may serve it.
    from_on, until_on
        The want counts from the first whole week on or after `from_on` up to, not including, `until_on`.
    importance
        Its weight in the served share.
    keeps_days
        Days a harvest keeps [d]; ``None`` for each crop's own.
    """

    name: str
    unit: Literal["g", "heads"]
    amount: float
    servings: tuple[Serving, ...]
    from_on: date | None = None
    until_on: date | None = None
    importance: float = 1.0
    keeps_days: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Packet:
    """Seeds at hand: the crop, the percentage on the packet [%], and the year it was packed for.

    Without a percentage (``None``) the profile's legal minimum counts; without a year the seeds count as fresh.
    """

    crop: str
    percent: float | None
    packed_in: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Garden:
    """A garden: its file, read and checked, with the profiles of its crops.

    Attributes
    ----------
    crops
        The profiles by name: the shipped ones that the garden names, replaced by the garden's own.
    chore_days, harvest_days
        Weekdays, Monday 0 to Sunday 6, rising.
    tidy_points
        Points of served share (in percent) that may be given up for an easier plan.
    turnaround_days
        Days from a hole's last harvest until it is used again [d].
    units
        ``metric`` or ``us``, for all that is shown; all values in here are metric.
    change_every_days
        The longest time between two changes of the solution of a tote with a pump, unless the tote is emptied soon
        after; the first top-up of a still tote after that time contains nutrients [d].
    unattended_days
        How long a tray of seedlings stays moist with nobody there [d].
    stock, stock_counted_on, order_days
        What is at hand, the day it was counted or ``None``, and how long an order takes [d].
    air_pump_watts
        Power of the one pump for all ``dwc`` totes, which runs day and night [W]; ``None`` if not known.
    recipes, nutrient
        The garden's own recipes, and the name of the recipe that totes are fed with, its own or a shipped one
        (`recipes.recipe_named`).
    tap_water
        What tap water contains, or ``None`` if not known.
    also_on
        Extra days on which somebody works: never in the file, only when a person frees a tote.
    chore_minutes_a_week
        The most minutes of work that a plan asks for in a week [min]; ``None`` for no limit.
    """

    name: str
    starts_on: date | None
    weeks: int
    clear_by: date | None
    latitude: float | None
    units: Literal["metric", "us"]
    chore_days: tuple[int, ...]
    harvest_days: tuple[int, ...]
    away: tuple[Away, ...]
    sowing: SowingHabits
    tidy_points: float
    turnaround_days: int
    nursery: Nursery
    places: tuple[Place, ...]
    totes: tuple[Tote, ...]
    wants: tuple[Want, ...]
    crops: Mapping[str, Crop] = field(default_factory=dict)
    tariff: Tariff | None = None
    calendar: CalendarStyle = field(default_factory=CalendarStyle)
    clouds: float | Months = CLOUDS
    packets: tuple[Packet, ...] = ()
    change_every_days: int = CHANGE_EVERY_DAYS
    unattended_days: int = UNATTENDED_DAYS
    stock: tuple[Item, ...] = ()
    stock_counted_on: date | None = None
    order_days: int = ORDER_DAYS
    air_pump_watts: float | None = None
    recipes: tuple[Recipe, ...] = ()
    nutrient: str = NUTRIENT
    tap_water: TapWater | None = None
    also_on: tuple[date, ...] = ()
    chore_minutes_a_week: float | None = None

    @property
    def recipe(self) -> Recipe:
        """The recipe that totes are fed with: the garden's own of that name, or the shipped one."""
        recipe = recipe_named(self.nutrient, self.recipes)
        assert recipe is not None, "the reader refuses unknown names"
        return recipe

    @property
    def sky(self) -> Sky | None:
        """The daylight at the garden's latitude; ``None`` without a latitude."""
        return None if self.latitude is None else Sky(latitude=self.latitude, clouds=self.clouds)

    def place(self, name: str) -> Place:
        """Give the place of that name."""
        return next(place for place in self.places if place.name == name)

    def packet(self, crop: str) -> Packet | None:
        """Give the packet of a crop's seeds; ``None`` if there is none."""
        return next((packet for packet in self.packets if packet.crop == crop), None)

    def tote(self, name: str) -> Tote:
        """Give the tote of that name."""
        return next(tote for tote in self.totes if tote.name == name)

    def place_of(self, tote: Tote, day: date) -> str | None:
        """Give the place where a tote stands on a day; ``None`` while the tote or the place is not in use."""
        name = tote.stands_on(day)
        return name if name is not None and self.place(name).is_open(day) else None

    def at_home(self, day: date) -> bool:
        """Say whether somebody is at home that day."""
        return not any(away.from_on <= day < away.back_on for away in self.away)

    def is_chore_day(self, day: date) -> bool:
        """Say whether a person sows and transplants that day."""
        return day in self.also_on or (day.weekday() in self.chore_days and self.at_home(day))

    def is_harvest_day(self, day: date) -> bool:
        """Say whether a person harvests that day."""
        return day.weekday() in self.harvest_days and self.at_home(day)

    def is_work_day(self, day: date) -> bool:
        """Say whether it is a chore day or a harvest day, on which a small job is best done too."""
        return self.is_chore_day(day) or self.is_harvest_day(day)


def lid_area_m2(tote: Tote) -> float:
    """Give the area of a tote's lid [m2]: as measured, or a small tote's lid scaled by the litres."""
    if tote.inside_cm:
        width_cm, length_cm = tote.inside_cm
        return width_cm * length_cm / 10_000
    # For totes of one shape the area grows with the volume to the power of two thirds.
    return SMALL_TOTE_LID_M2 * math.pow(tote.litres / SMALL_TOTE_LITRES, 2 / 3)


def level_cm(tote: Tote, litres: float) -> float:
    """Give how high some litres of water stand in a tote with straight walls [cm]."""
    return 0.1 * litres / lid_area_m2(tote)


def carried(crop: Crop, tote: Tote) -> int:
    """Count the plants of a crop that a tote carries alone; 0 if the crop cannot grow there."""
    if tote.system not in crop.systems:
        return 0
    if tote.inside_cm is None:
        return min(tote.holes, crop.lid_holes)
    # The small number keeps an exact fit from being rounded down.
    return min(tote.holes, math.floor(lid_area_m2(tote) * crop.plants_per_m2 + 1e-9))


def is_within(day: MonthDay, from_md: MonthDay, until_md: MonthDay) -> bool:
    """Say whether a day of the year lies in a half open span, which may cross the new year."""
    if from_md < until_md:
        return from_md <= day < until_md
    return day >= from_md or day < until_md
