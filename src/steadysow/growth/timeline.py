"""Dated stages: when a sowing emerges, can be transplanted, is ready, and is due again.

Takes a crop and the conditions of each day at a place; gives dates, and grams that the light allows.  Hides the rates:
they are summed once for each crop and place, so that each date is one search in a list.  A day adds its own rate: seeds
sown on a Saturday at a rate of 1/3 a day emerge on the Tuesday.  A stage that the days do not reach is ``None``.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterable
from datetime import date, timedelta
from functools import lru_cache
from itertools import accumulate

from steadysow.growth import rates
from steadysow.growth.daylight import Conditions
from steadysow.inputs.crops import Crop, Growth

# A sum of many rates can miss a whole number by a rounding error.
TOLERANCE = 1e-9

# Light that seedlings can use [mol m-2 d-1]: common practice, no source.  More light does not make them faster, so the
# nursery days of a profile hold in any nursery with this much, however bright the crop's later place is.
SEEDLING_DLI_MOL = 6.0

_ONE_DAY = timedelta(days=1)


def development(crop: Crop, temperature_c: float, dli_mol: float) -> float:
    """Give the growth of one day, in days of the profile [-]: 1 at the conditions for which the profile's days hold.

    Parameters
    ----------
    crop
        The crop.
    temperature_c
        Mean temperature of the day [degree C].
    dli_mol
        Daily light [mol m-2 d-1].
    """
    by_warmth, by_light = paces(crop, temperature_c, dli_mol)
    return by_warmth * by_light


def paces(crop: Crop, temperature_c: float, dli_mol: float) -> tuple[float, float]:
    """Give the pace of growth by temperature and by light [-]; `development` is their product.

    Parameters
    ----------
    crop
        The crop.
    temperature_c
        Mean temperature of the day [degree C].
    dli_mol
        Daily light [mol m-2 d-1].
    """
    growth = crop.growth
    light = rates.relative_light_response(dli_mol, at_dli_mol=growth.at_dli_mol, half_dli_mol=growth.half_dli_mol)
    return _warmth(growth, temperature_c), light


def emerges_on(crop: Crop, sown_on: date, nursery: Conditions) -> date | None:
    """Give the day the seedlings emerge, or ``None`` if they do not within the conditions.

    A day at a temperature without emergence in the crop's table adds nothing; the seeds wait.
    """
    return _emergence(crop.emergence, nursery).reaches(1.0, sown_on)


def transplant_window(
    crop: Crop, sown_on: date, nursery: Conditions, *, emerged_on: date | None = None
) -> tuple[date, date] | None:
    """Give the first and the last day to transplant, both included, or ``None`` if the seedlings are never ready.

    After emergence the seedlings need the rest of the least nursery days, counted in days at `Growth.at_c`.  From the
    first day on they may wait for the difference between the profile's most and least nursery days, in calendar days.
    Seedlings do not stay in the nursery over days on which it is not in use.  A crop sown in its pot is not
    transplanted: both days are the day of sowing.

    Parameters
    ----------
    crop
        The crop.
    sown_on
        The day of sowing.
    nursery
        The conditions of the nursery.
    emerged_on
        The day the seedlings were seen to emerge; without it, that day is computed.
    """
    if crop.sown_in == "pot":
        return sown_on, sown_on
    emerged_on = emerged_on or emerges_on(crop, sown_on, nursery)
    if emerged_on is None:
        return None
    least, most = crop.nursery_days
    first_on = _seedling_growth(crop.growth, nursery).reaches(least - _profile_emergence_days(crop), emerged_on)
    if first_on is None:
        return None
    last_on = first_on + (most - least) * _ONE_DAY
    closed_on = nursery.first_closed(sown_on)
    if closed_on is None or closed_on > last_on:
        return first_on, last_on
    # Seedlings cannot wait elsewhere: they are transplanted while the nursery is in use, or not raised.
    return None if closed_on < first_on else (first_on, closed_on)


def days_before_growth(crop: Crop) -> int:
    """Give the days among those to the first harvest in which nothing grows yet [d].

    Of a crop sown in its pot, the days until it has emerged; of any other, the standstill after transplant.
    """
    return _profile_emergence_days(crop) if crop.sown_in == "pot" else crop.transplant_shock_days


class GrowingPlace:
    """One crop at one place: when its harvests are due, and what the light there lets it weigh.

    No day that is asked about may be before the conditions.
    """

    def __init__(self, crop: Crop, conditions: Conditions) -> None:
        """Sum development and light once, for all dates."""
        in_pot = crop.sown_in == "pot"
        standstill_days = 0 if in_pot else crop.transplant_shock_days
        self._harvest = crop.harvest
        self._bolting = crop.growth.bolting
        self._grams_per_mol = crop.growth.grams_per_mol
        self._standstill = standstill_days * _ONE_DAY
        self._first_days = crop.harvest.first_days - days_before_growth(crop)
        self._development = _Total(
            conditions.first_on,
            (development(crop, *day) for day in zip(conditions.temperature_c, conditions.dli_mol, strict=True)),
        )
        self._light = _Total(conditions.first_on, conditions.dli_mol)
        self._emergence = _emergence(crop.emergence, conditions) if in_pot else None
        self._beyond_limits = _days_beyond_limits(crop.growth, conditions)

    @property
    def may_bolt(self) -> bool:
        """Whether a plant that stands here on all days of the conditions would bolt."""
        return self._bolting is not None and self._beyond_limits.total >= self._bolting.after_days

    def bolts_on(self, planted_on: date) -> date | None:
        """Give the first day on which a plant has bolted, or ``None`` if it does not within the conditions.

        For a plant sown in its pot, `planted_on` is the day of sowing.
        """
        return None if self._bolting is None else self._beyond_limits.reaches(self._bolting.after_days, planted_on)

    def latest(self, due_on: date, planted_on: date) -> date | None:
        """Give the last day of a due harvest, or ``None`` if the plant has bolted by the due day."""
        last_on = due_on + (self._harvest.window_days - 1) * _ONE_DAY
        bolts_on = self.bolts_on(planted_on)
        if bolts_on is None:
            return last_on
        return min(last_on, bolts_on - _ONE_DAY) if due_on < bolts_on else None

    def first_due(self, transplanted_on: date) -> date | None:
        """Give the first day of the first harvest, or ``None`` if it is not within the conditions.

        A crop sown in its pot needs, once it has emerged, the rest of the days that its profile counts from sowing.
        """
        if self._emergence is None:
            return self._development.reaches(self._first_days, transplanted_on + self._standstill)
        emerged_on = self._emergence.reaches(1.0, transplanted_on)
        return None if emerged_on is None else self._development.reaches(self._first_days, emerged_on)

    def next_due(self, harvested_on: date) -> date | None:
        """Give the day the next cut or pick is due after a harvest, or ``None`` if not within the conditions."""
        return self._development.reaches(self._harvest.between_days, harvested_on)

    def light_mol(self, from_on: date, until_on: date) -> float:
        """Give the light that falls from a day up to, not including, another [mol m-2].

        Raises
        ------
        IndexError
            If the days reach beyond the conditions.
        """
        return self._light.between(from_on, until_on)

    def grams(self, number: int, from_on: date, until_on: date, share_m2: float) -> float:
        """Give the fresh weight of one plant at a harvest [g]: the profile's, or less if there is too little light.

        Parameters
        ----------
        number
            Which harvest of the plant, from 1.
        from_on
            The day of transplant, or of the harvest before.
        until_on
            The day of this harvest.
        share_m2
            The plant's share of the lid [m2].
        """
        if self._emergence is not None and number == 1:
            # Light on a pot before emergence makes no leaves.
            from_on = min(until_on, self._emergence.reaches(1.0, from_on) or until_on)
        from_light = share_m2 * self.light_mol(from_on, until_on) * self._grams_per_mol
        return min(self._harvest.grams[number - 1], from_light)


class _Total:
    """An amount that adds up day by day from a first day on."""

    def __init__(self, first_on: date, amounts: Iterable[float]) -> None:
        self._first = first_on.toordinal()
        self._sums = tuple(accumulate(amounts, initial=0.0))

    def reaches(self, amount: float, from_on: date) -> date | None:
        """Give the first known day by which `amount` has been added since `from_on`; never a day before `from_on`."""
        start, days = self._offset(from_on), len(self._sums) - 1
        if start >= days:
            return None
        end = bisect_left(self._sums, self._sums[start] + amount - TOLERANCE, lo=start, hi=days)
        return None if end == days else date.fromordinal(self._first + end)

    @property
    def total(self) -> float:
        """The amount of all days."""
        return self._sums[-1]

    def between(self, from_on: date, until_on: date) -> float:
        """Give the amount from a day up to, not including, another."""
        return self._sums[self._offset(until_on)] - self._sums[self._offset(from_on)]

    def _offset(self, day: date) -> int:
        offset = day.toordinal() - self._first
        # A negative index would silently count from the end.
        if offset < 0:
            raise IndexError(f"{day} is before the conditions, which begin on {date.fromordinal(self._first)}")
        return offset


@lru_cache(maxsize=256)
def _emergence(table: tuple[tuple[float, float | None], ...], conditions: Conditions) -> _Total:
    """Sum the progress to emergence; at 1 the seedlings have emerged."""
    return _Total(
        conditions.first_on,
        (rates.emergence_rate(temperature_c, table) or 0.0 for temperature_c in conditions.temperature_c),
    )


def _days_beyond_limits(growth: Growth, conditions: Conditions) -> _Total:
    """Count the days over a limit of bolting.

    The length of a day is the time that the middle of the sun is up, without twilight: in spring a limit is passed four
    or five days later than by an almanac.
    """
    bolting = growth.bolting
    longest, warmest = (bolting.longest_day_hours, bolting.above_c) if bolting else (None, None)
    warm = (warmest is not None and each_c > warmest for each_c in conditions.temperature_c)
    hours = conditions.day_hours or (0.0,) * len(conditions.temperature_c)
    long = (longest is not None and each > longest for each in hours)
    return _Total(conditions.first_on, (float(any(day)) for day in zip(warm, long, strict=True)))


@lru_cache(maxsize=256)
def _seedling_growth(growth: Growth, conditions: Conditions) -> _Total:
    """Sum the growth of seedlings, in days at the profile's temperature and enough light."""
    enough_mol = min(growth.at_dli_mol, SEEDLING_DLI_MOL)

    def of_day(temperature_c: float, dli_mol: float) -> float:
        light = rates.relative_light_response(
            min(dli_mol, enough_mol), at_dli_mol=enough_mol, half_dli_mol=growth.half_dli_mol
        )
        return _warmth(growth, temperature_c) * light

    days = zip(conditions.temperature_c, conditions.dli_mol, strict=True)
    return _Total(conditions.first_on, (of_day(*day) for day in days))


def _warmth(growth: Growth, temperature_c: float) -> float:
    return rates.relative_temperature_response(
        temperature_c,
        at_c=growth.at_c,
        base_c=growth.base_c,
        optimum_c=growth.optimum_c,
        ceiling_c=growth.ceiling_c,
    )


def _profile_emergence_days(crop: Crop) -> int:
    """Give the whole days to emergence at the profile's own temperature [d].

    If the table does not reach that temperature, its fastest entry counts, so that the seedlings need more days, never
    fewer.
    """
    rate = rates.emergence_rate(crop.growth.at_c, crop.emergence)
    days = min(days for _, days in crop.emergence if days is not None) if rate is None else 1 / rate
    return math.ceil(days - TOLERANCE)
