"""Light and temperature of every day at a place: sun through a window or outdoors, a lamp, or both.

Takes a place and the garden's sky; gives `Conditions`: temperature, light and length of each day.  Hides the sun by
date and latitude, clouds, the way a window faces, and how long a lamp runs to fill up the light of a window.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache

from steadysow.growth import rates
from steadysow.inputs.garden import Facing, Lamp, Months, Place, Sky

# By definition: how far a window is turned from south towards west [degree].
FACING_DEGREES: Mapping[Facing, float] = {
    "north": 180.0, "north-east": -135.0, "east": -90.0, "south-east": -45.0, "south": 0.0, "south-west": 45.0,
    "west": 90.0, "north-west": 135.0,
}  # fmt: skip

# By definition, absolute zero: the temperature of a place that is not in use, so that nothing grows there [degree C].
NOT_IN_USE_C = -273.15

_ONE_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Conditions:
    """Temperature [degree C], light [mol m-2 d-1] and length [h] of each day from `first_on` on.

    `day_hours` is empty if the length of the days is not known.
    """

    first_on: date
    temperature_c: tuple[float, ...]
    dli_mol: tuple[float, ...]
    day_hours: tuple[float, ...] = ()

    @property
    def until_on(self) -> date:
        """The day after the last one known."""
        return self.first_on + len(self.temperature_c) * _ONE_DAY

    def first_closed(self, from_on: date) -> date | None:
        """Give the first known day, from a day on, on which the place is not in use; ``None`` if there is none."""
        start = max(0, (from_on - self.first_on).days)
        closed = (
            number for number in range(start, len(self.temperature_c)) if self.temperature_c[number] == NOT_IN_USE_C
        )
        number = next(closed, None)
        return None if number is None else self.first_on + number * _ONE_DAY

    def index(self, day: date) -> int:
        """Give the index of a day in the tuples.

        Raises
        ------
        IndexError
            If the day is outside the conditions.
        """
        if not self.first_on <= day < self.until_on:
            raise IndexError(f"{day} is outside the conditions, which run from {self.first_on} until {self.until_on}")
        return (day - self.first_on).days


@dataclass(frozen=True, slots=True, kw_only=True)
class Light:
    """The light of one day at a place.

    Attributes
    ----------
    daylight_mol, lamp_mol
        Light from the sun, and from the lamp [mol m-2 d-1].
    sun_hours, lamp_hours
        Hours from sunrise to sunset, 0 at a place without sun; hours that the lamp runs, 0 if not known [h].
    """

    daylight_mol: float
    lamp_mol: float
    sun_hours: float
    lamp_hours: float

    @property
    def dli_mol(self) -> float:
        """All light of the day [mol m-2 d-1]."""
        return self.daylight_mol + self.lamp_mol

    @property
    def day_hours(self) -> float:
        """How long the day is for a plant [h]; the lamp runs while the sun is up, as far as possible."""
        return max(self.sun_hours, self.lamp_hours)


@lru_cache(maxsize=256)
def conditions_at(place: Place, first_on: date, days: int, sky: Sky | None = None) -> Conditions:
    """Give the conditions of a place for some days.

    Parameters
    ----------
    place
        The place.
    first_on, days
        The first day, and the number of days [d].
    sky
        The garden's daylight; not needed for a place with only a lamp.
    """
    dates = [first_on + number * _ONE_DAY for number in range(days)]
    lights = [light_on(place, day, sky) for day in dates]
    return Conditions(
        first_on=first_on,
        temperature_c=tuple(temperature_on(place, day) for day in dates),
        dli_mol=tuple(light.dli_mol for light in lights),
        day_hours=tuple(light.day_hours for light in lights),
    )


def temperature_on(place: Place, day: date) -> float:
    """Give the mean temperature of a day at a place [degree C]; `NOT_IN_USE_C` while the place is not in use."""
    if not place.is_open(day):
        return NOT_IN_USE_C
    temperature_c = by_day(place.temperature_c, day)
    assert temperature_c is not None, "an open place has a temperature"
    return temperature_c


def light_on(place: Place, day: date, sky: Sky | None = None) -> Light:
    """Give the light of a day at a place; no light while the place is not in use."""
    if not place.is_open(day):
        return Light(daylight_mol=0.0, lamp_mol=0.0, sun_hours=0.0, lamp_hours=0.0)
    daylight_mol, sun_hours = 0.0, 0.0
    if place.is_daylit:
        assert sky is not None, "a place in the sun needs a latitude"
        sun_hours = rates.day_length_hours(sky.latitude, _day_of_year(day))
        daylight_mol = _daylight_mol(place, day, sky)
    lamp_mol, lamp_hours = _lamp(place.lamp, daylight_mol) if place.lamp else (0.0, 0.0)
    return Light(daylight_mol=daylight_mol, lamp_mol=lamp_mol, sun_hours=sun_hours, lamp_hours=lamp_hours)


def by_day(values: float | Months, day: date) -> float | None:
    """Give the value of a day, on a straight line from the middle of one month to the middle of the next.

    Towards a month without a value, a month keeps its own.  A day in a month without a value has none.  By definition
    the 15th is the middle of a month, and stands for its month as in [fao-56].
    """
    if not isinstance(values, tuple):
        return values
    own = values[day.month - 1]
    if own is None:
        return None
    middle = day.replace(day=15)
    # 31 days from the middle of any month lead into the next month.
    away = 31 * _ONE_DAY
    before, after = sorted((middle, (middle + away if day >= middle else middle - away).replace(day=15)))
    low, high = (values[each.month - 1] for each in (before, after))
    low, high = own if low is None else low, own if high is None else high
    return low + (high - low) * (day - before).days / (after - before).days


def _daylight_mol(place: Place, day: date, sky: Sky) -> float:
    """Give the daylight at the leaves [mol m-2 d-1].

    FAO-56 eq. 35 has two parts.  The light of an overcast sky comes through any window; the light of sunshine comes
    only while the sun is in front of it.  estimate: splitting the two this way.
    """
    day_of_year = _day_of_year(day)
    extraterrestrial_mj = rates.extraterrestrial_radiation_mj(sky.latitude, day_of_year)
    clouds = by_day(sky.clouds, day)
    assert clouds is not None, "clouds are given for all months or none"
    overcast_mj = rates.solar_radiation_mj(extraterrestrial_mj, 0.0)
    sunshine_mj = rates.solar_radiation_mj(extraterrestrial_mj, 1 - clouds) - overcast_mj
    if place.window:
        facing = FACING_DEGREES[place.window.faces]
        _, share = rates.sun_before_pane(sky.latitude, day_of_year, facing)
        return place.window.share * rates.mol_from_mj(overcast_mj + share * sunshine_mj)
    assert place.outdoors is not None, "the sun lights windows and places outdoors"
    return (1 - place.outdoors.shade) * rates.mol_from_mj(overcast_mj + sunshine_mj)


def _lamp(lamp: Lamp, daylight_mol: float) -> tuple[float, float]:
    """Give the light that a lamp adds to a day [mol m-2 d-1], and how long it runs [h]."""
    hours = lamp.hours or 0.0
    if lamp.up_to_dli_mol is None:
        return lamp.dli_mol, hours
    lamp_mol = min(lamp.dli_mol, max(0.0, lamp.up_to_dli_mol - daylight_mol))
    return lamp_mol, hours * lamp_mol / lamp.dli_mol


def _day_of_year(day: date) -> int:
    return day.timetuple().tm_yday
