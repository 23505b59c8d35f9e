"""What is doubtful about the places of a garden, day by day through the time it is planned for.

Takes the garden; gives sentences: seeds that do not come up, crops that do not grow, that bolt or that
want for light there, with the hours of lamp that would mend it, and reservoirs that get too warm.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby

from steadysow.amounts import Units, listed, temperature_text
from steadysow.growth.daylight import conditions_at, light_on
from steadysow.growth.forecast import LONGEST_DAYS
from steadysow.growth.rates import dli_from_ppfd, emergence_rate, oxygen_saturation_mg, ppfd_from_dli
from steadysow.growth.timeline import GrowingPlace
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden, Place

# A place with less than this share of the light at which a crop's weights hold is called dark for it: our estimate.
DARK_SHARE = 0.5

# A reservoir warmer than this is warned of: usual advice of extension services, from memory; lettuce grew more with its
# roots at 21 degrees than at the 20 to 26.5 of the room in [root-temperature-lettuce-2021] [degree C].
WARM_RESERVOIR_C = 25.0

# The lamp that is reckoned with where a place has none [umol m-2 s-1], and the longest a lamp is advised to run [h]:
# our choice, a modest household lamp and a night for the plants.
MENDING_PPFD, MENDING_HOURS = 200.0, 16.0

# A garden that does not say when it begins is looked at through a year of ordinary length.
_ANY_YEAR = date(2026, 1, 1)
_YEAR_DAYS = 365


@dataclass(frozen=True, slots=True, kw_only=True)
class _Stay:
    """A place, the days of the planned time on which totes stand there, and their warmth, light and length."""

    place: Place
    days: tuple[date, ...]
    temperature_c: tuple[float, ...]
    dli_mol: tuple[float, ...]
    daylight_mol: tuple[float, ...]
    day_hours: tuple[float, ...]

    def during(self, flags: Iterable[bool]) -> list[date]:
        """Give the days with a true flag."""
        return [day for day, flag in zip(self.days, flags, strict=True) if flag]


def planned_days(garden: Garden) -> tuple[date, ...]:
    """Give the days a garden is planned for, at most those of a year."""
    first_on = garden.starts_on or _ANY_YEAR
    days = 7 * garden.weeks if garden.starts_on else _YEAR_DAYS
    if garden.clear_by:
        days = max(1, min(days, (garden.clear_by - first_on).days))
    return tuple(first_on + timedelta(day) for day in range(min(days, _YEAR_DAYS)))


def seeds_do_not_come_up(garden: Garden) -> Iterator[str]:
    """Tell of seeds of which no emergence is known at the temperature they are sown in."""
    used = [day for day in planned_days(garden) if garden.nursery.place.is_open(day)]
    in_nursery = (_stay(garden, garden.nursery.place, used),) if used else ()
    for crop in wanted_crops(garden):
        for stay in in_nursery if crop.sown_in == "nursery" else _stays(garden):
            silent = stay.during(emergence_rate(each_c, crop.emergence) is None for each_c in stay.temperature_c)
            if silent:
                come_up = [listed_c for listed_c, days in crop.emergence if days is not None]
                yield (
                    f"Seeds of {crop.name} are not known to come up at {_warmth(stay, silent, garden.units)}"
                    f"{_when(stay, silent)}: they do from {temperature_text(min(come_up), garden.units)} to "
                    f"{temperature_text(max(come_up), garden.units)}."
                )


def places_do_not_suit(garden: Garden) -> Iterator[str]:
    """Tell of places that are too cold or too warm for a wanted crop, or bring it to flower."""
    for stay in _stays(garden):
        for crop in wanted_crops(garden):
            growth = crop.growth
            idle = stay.during(not growth.base_c < each_c < growth.ceiling_c for each_c in stay.temperature_c)
            if idle:
                low, high = (temperature_text(value, garden.units) for value in (growth.base_c, growth.ceiling_c))
                yield (
                    f"At {_warmth(stay, idle, garden.units)} {crop.name} does not grow{_when(stay, idle)}: "
                    f"it does above {low} and below {high}."
                )
            if len(idle) < len(stay.days):
                yield from _flowers(stay, crop, garden.units)


def _flowers(stay: _Stay, crop: Crop, units: Units) -> Iterator[str]:
    bolting = crop.growth.bolting
    if bolting is None:
        return
    if bolting.longest_day_hours is not None and stay.place.lamp and stay.place.lamp.hours is None:
        yield (
            f"The lamp at {stay.place.name} does not say its hours, so that it is not known whether {crop.name} bolts "
            f"there: it bears {bolting.longest_day_hours:g} hours a day. Add hours."
        )
    hours, above_c = bolting.longest_day_hours, bolting.above_c
    long = stay.during(hours is not None and each > hours for each in stay.day_hours)
    warm = stay.during(above_c is not None and each_c > above_c for each_c in stay.temperature_c)
    if len({*long, *warm}) < bolting.after_days:
        return
    causes = [f"more than {hours:g} hours of light"] if hours is not None and long else []
    causes += [f"more than {temperature_text(above_c, units)}"] if above_c is not None and warm else []
    days = sorted({*long, *warm})
    such = f"such are the days{_when(stay, days)}" if len(days) < len(stay.days) else "all days are such"
    lamp = stay.place.lamp
    by_lamp = f" (the lamp runs {lamp.hours:g} hours)" if long and lamp and (lamp.hours or 0.0) > (hours or 0.0) else ""
    yield (
        f"At {stay.place.name} {crop.name} bolts: {bolting.after_days} days of {' or '.join(causes)} bring it to "
        f"flower, and {such}{by_lamp}."
    )


def places_are_dark(garden: Garden) -> Iterator[str]:
    """Tell of places with too little light, how long a crop would take there, and what lamp would mend it."""
    for stay in _stays(garden):
        wanted = wanted_crops(garden)
        months = _by_month(stay, stay.dli_mol)
        darkest, dli_mol = min(months.items(), key=lambda month: month[1])
        dark = [crop for crop in wanted if dli_mol < DARK_SHARE * crop.growth.at_dli_mol]
        if not dark:
            continue
        lists = listed(f"{crop.name} {dli_mol / crop.growth.at_dli_mol:.0%}" for crop in dark)
        when = f" in {_month(darkest)}" if stay.place.is_daylit else ""
        sentence = (
            f"The place {stay.place.name} is dark{when}, with {dli_mol:.1f} mol of light a day: of the light at "
            f"which their weights hold, {lists}."
        )
        if not stay.place.is_daylit:
            yield f"{sentence} Harvests shrink likewise."
            continue
        slow = min(dark, key=lambda crop: crop.at(stay.place.name).harvest.first_days)
        told = f"{sentence} {_how_slow(garden, stay.place, slow, darkest)}"
        yield told if stay.place.outdoors else f"{told} {_mending(stay, dark)}"


def totes_stand_at_closed_places(garden: Garden) -> Iterator[str]:
    """Tell of totes that stand, by their dates, at a place that is not in use, so that nothing grows in them."""
    days = planned_days(garden)
    alike: dict[tuple[str, tuple[date, ...]], list[str]] = defaultdict(list)
    for tote in garden.totes:
        for place in garden.places:
            closed = tuple(day for day in days if tote.stands_on(day) == place.name and not place.is_open(day))
            if closed:
                alike[place.name, closed].append(tote.name)
    for (name, closed), totes in alike.items():
        which = f"Tote {totes[0]} stands" if len(totes) == 1 else f"Totes {listed(totes)} stand"
        spans = f" from {listed(f'{_day(run[0])} to {_day(run[-1])}' for run in _runs(closed))}"
        yield (
            f"{which} at {name}{spans}, when the place is not in use: nothing grows there, and weeks without anything "
            "else go without. Give the tote another place for that time, or the garden a clear_by."
        )


def reservoirs_get_warm(garden: Garden) -> Iterator[str]:
    """Tell of places so warm that water holds little oxygen while roots need more."""
    for stay in _stays(garden):
        warm = stay.during(each_c > WARM_RESERVOIR_C for each_c in stay.temperature_c)
        if warm:
            most_c = max(stay.temperature_c)
            limit = temperature_text(WARM_RESERVOIR_C, garden.units)
            yield (
                f"Reservoirs at {stay.place.name} get to {temperature_text(most_c, garden.units)}{_when(stay, warm)}: "
                f"water that warm holds {oxygen_saturation_mg(most_c):.1f} mg of oxygen a litre at most, "
                f"against {oxygen_saturation_mg(20.0):.1f} at {temperature_text(20.0, garden.units)}, while roots need "
                f"more. Above {limit} they may rot: shade the totes, or wrap them in something pale."
            )


def mean_dli_mol(garden: Garden, tote_name: str) -> float:
    """Give the daily light over a tote, a mean over all planned days [mol m-2 d-1]; days without use count as dark."""
    days, tote = planned_days(garden), garden.tote(tote_name)
    light = {place.name: _lights(garden, place, days) for place in garden.places}
    places = [garden.place_of(tote, day) for day in days]
    return sum(light[name][number] for number, name in enumerate(places) if name is not None) / len(days)


def _lights(garden: Garden, place: Place, days: Sequence[date]) -> tuple[float, ...]:
    return conditions_at(place, days[0], len(days), garden.sky).dli_mol


def _how_slow(garden: Garden, place: Place, crop: Crop, planted_on: date) -> str:
    """Say how long a crop would take if it were planted there on a day."""
    crop, there = crop.at(place.name), conditions_at(place, planted_on, LONGEST_DAYS, garden.sky)
    due_on, closed_on = GrowingPlace(crop, there).first_due(planted_on), there.first_closed(planted_on)
    planted = f"Planted on {_day(planted_on)}, {crop.name} would"
    if closed_on is not None and (due_on is None or closed_on < due_on):
        return f"{planted} not be ready by {_day(closed_on)}, when the place is no longer in use."
    if due_on is None:
        return f"{planted} not be ready within a year."
    days_text = f"{(due_on - planted_on).days} days, and not {crop.harvest.first_days:.3g}"
    return f"{planted} take {days_text}, as in good light."


def _mending(stay: _Stay, dark: Sequence[Crop]) -> str:
    """Say how long a lamp must run, month by month, to bring the light up to that of the hungriest of the crops."""
    wanted_mol = max(crop.growth.at_dli_mol for crop in dark)
    dark_mol = DARK_SHARE * wanted_mol
    by_day = _by_month(stay, stay.daylight_mol)
    lacking = {
        month: wanted_mol - by_day[month] for month, mol in _by_month(stay, stay.dli_mol).items() if mol < dark_mol
    }
    lamp = stay.place.lamp
    own_ppfd = None if lamp is None or lamp.ppfd is None else lamp.ppfd * lamp.brightness
    ppfd = own_ppfd or MENDING_PPFD
    longest = max(lacking.values()) / dli_from_ppfd(ppfd, 1.0)
    if longest > MENDING_HOURS:
        ppfd = math.ceil(ppfd_from_dli(max(lacking.values()), MENDING_HOURS) / 10) * 10
    hours = {month: round(mol / dli_from_ppfd(ppfd, 1.0)) for month, mol in lacking.items()}
    names = [f"{month:%B}" for month in hours]
    told = ", ".join(
        f"{each} in {name}{f' {month.year}' if names.count(name) > 1 else ''}"
        for name, (month, each) in zip(names, hours.items(), strict=True)
        if each > 0
    )
    which = "The lamp there" if ppfd == own_ppfd else f"A lamp of {ppfd:g} umol a square metre and second at the leaves"
    return f"{which} would mend it, up to {wanted_mol:g} mol, with hours a day of {told}."


def _by_month(stay: _Stay, values: Sequence[float]) -> dict[date, float]:
    """Give the mean of each month in which totes stand there, by the first of these days."""
    pairs = zip(stay.days, values, strict=True)
    means = {}
    for _, group in groupby(pairs, key=lambda pair: (pair[0].year, pair[0].month)):
        days = list(group)
        means[days[0][0]] = sum(value for _, value in days) / len(days)
    return means


def _stays(garden: Garden) -> tuple[_Stay, ...]:
    """Give the places where totes stand at some time, with those days."""
    days = planned_days(garden)
    stood = {place.name: set[date]() for place in garden.places}
    for day in days:
        for tote in garden.totes:
            name = garden.place_of(tote, day)
            if name is not None:
                stood[name].add(day)
    return tuple(_stay(garden, place, sorted(stood[place.name])) for place in garden.places if stood[place.name])


def _stay(garden: Garden, place: Place, days: Sequence[date]) -> _Stay:
    whole = conditions_at(place, days[0], (days[-1] - days[0]).days + 1, garden.sky)
    at = [whole.index(day) for day in days]
    return _Stay(
        place=place,
        days=tuple(days),
        temperature_c=tuple(whole.temperature_c[number] for number in at),
        dli_mol=tuple(whole.dli_mol[number] for number in at),
        daylight_mol=tuple(light_on(place, day, garden.sky).daylight_mol for day in days),
        day_hours=tuple(whole.day_hours[number] for number in at),
    )


def wanted_crops(garden: Garden) -> tuple[Crop, ...]:
    """Give the crops that may serve some want, each once."""
    names = dict.fromkeys(serving.crop for want in garden.wants for serving in want.servings)
    return tuple(garden.crops[name] for name in names)


def _warmth(stay: _Stay, days: Sequence[date], units: Units) -> str:
    """Say how warm it is there on these days."""
    told = set(days)
    warmth = [each_c for day, each_c in zip(stay.days, stay.temperature_c, strict=True) if day in told]
    low, high = (temperature_text(value, units) for value in (min(warmth), max(warmth)))
    text = low if low == high else f"{low} to {high}"
    return f"the {text} of the {stay.place.name}"


def _when(stay: _Stay, days: Sequence[date]) -> str:
    """Say from when to when, unless it is so on all days."""
    if len(days) == len(stay.days):
        return ""
    return f" from {listed(f'{_day(run[0])} to {_day(run[-1])}' for run in _runs(days))}"


def _runs(days: Sequence[date]) -> list[list[date]]:
    """Part rising days into runs without a gap."""
    runs: list[list[date]] = []
    for day in days:
        if runs and (day - runs[-1][-1]).days == 1:
            runs[-1].append(day)
        else:
            runs.append([day])
    return runs


def _day(day: date) -> str:
    return f"{day.day} {day:%b}"


def _month(day: date) -> str:
    return f"{day:%B}"
