"""What is doubtful about the places of a garden, on each of the days it is planned for.

Takes the garden; gives sentences about seeds that do not come up, crops that do not grow, bolt or lack light, and
reservoirs that get too warm.  Where light is short at a window, the sentence says how long to run a lamp.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby

from steadysow.amounts import Units, counted, listed, temperature_text
from steadysow.growth.daylight import conditions_at, light_on
from steadysow.growth.forecast import LONGEST_DAYS
from steadysow.growth.rates import dli_from_ppfd, emergence_rate, oxygen_saturation_mg, ppfd_from_dli
from steadysow.growth.timeline import GrowingPlace
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden, Place

# A place is called dark for a crop if it has less than this share of the light that the crop's figures assume: our
# estimate.
DARK_SHARE = 0.5

# A warmer reservoir gets a warning: usual advice of extension services, from memory; in [root-temperature-lettuce-2021]
# lettuce grew more with its roots at 21 degrees than at the 20 to 26.5 of the room [degree C].
WARM_RESERVOIR_C = 25.0

# The lamp to advise where a place has none [umol m-2 s-1], and the longest time to run a lamp [h]: our choice, a modest
# household lamp and a night for the plants.
MENDING_PPFD, MENDING_HOURS = 200.0, 16.0

# A garden that does not say when it begins is judged over an ordinary year.
_ANY_YEAR = date(2026, 1, 1)
_YEAR_DAYS = 365


@dataclass(frozen=True, slots=True, kw_only=True)
class _PlaceDays:
    """A place, the planned days on which totes stand there, and the warmth, light and length of each day."""

    place: Place
    days: tuple[date, ...]
    temperature_c: tuple[float, ...]
    dli_mol: tuple[float, ...]
    daylight_mol: tuple[float, ...]
    day_hours: tuple[float, ...]

    def during(self, flags: Iterable[bool]) -> list[date]:
        """Give the days whose flag is true."""
        return [day for day, flag in zip(self.days, flags, strict=True) if flag]


def planned_days(garden: Garden) -> tuple[date, ...]:
    """Give the days that a garden is planned for, at most a year."""
    first_on = garden.starts_on or _ANY_YEAR
    days = 7 * garden.weeks if garden.starts_on else _YEAR_DAYS
    if garden.clear_by:
        days = max(1, min(days, (garden.clear_by - first_on).days))
    return tuple(first_on + timedelta(day) for day in range(min(days, _YEAR_DAYS)))


def seeds_do_not_come_up(garden: Garden) -> Iterator[str]:
    """Find seeds that are not known to emerge at the temperature they are sown in."""
    used = [day for day in planned_days(garden) if garden.nursery.place.is_open(day)]
    in_nursery = (_days_at(garden, garden.nursery.place, used),) if used else ()
    for crop in wanted_crops(garden):
        is_raised = crop.sown_in == "nursery"
        for there in in_nursery if is_raised else _used_places(garden):
            silent = there.during(emergence_rate(each_c, crop.emergence) is None for each_c in there.temperature_c)
            if silent:
                where = "In the nursery" if is_raised else f"At {there.place.name}"
                known_c = [each_c for each_c, days in crop.emergence if days is not None]
                low, high = (temperature_text(each_c, garden.units) for each_c in (min(known_c), max(known_c)))
                yield (
                    f"{where} it is {_warmth(there, silent, garden.units)}. {_capital(crop.name)} seeds are not known "
                    f"to come up at that temperature: published figures run from {low} to {high}."
                )


def places_do_not_suit(garden: Garden) -> Iterator[str]:
    """Find places that are too cold or too warm for a wanted crop, or where it bolts."""
    for there in _used_places(garden):
        for crop in wanted_crops(garden):
            growth = crop.growth
            idle = there.during(not growth.base_c < each_c < growth.ceiling_c for each_c in there.temperature_c)
            if idle:
                low, high = (temperature_text(value, garden.units) for value in (growth.base_c, growth.ceiling_c))
                yield (
                    f"At {there.place.name} it is {_warmth(there, idle, garden.units)}. {_capital(crop.name)} does not "
                    f"grow at that temperature: it needs more than {low} and less than {high}."
                )
            if len(idle) < len(there.days):
                yield from _bolting(there, crop, garden.units)


def _bolting(there: _PlaceDays, crop: Crop, units: Units) -> Iterator[str]:
    bolting = crop.growth.bolting
    if bolting is None:
        return
    if bolting.longest_day_hours is not None and there.place.lamp and there.place.lamp.hours is None:
        yield (
            f"The lamp at {there.place.name} does not say its hours. {_capital(crop.name)} bolts if days are longer "
            f"than {bolting.longest_day_hours:g} hours. Add the hours of the lamp."
        )
    hours, above_c = bolting.longest_day_hours, bolting.above_c
    long = there.during(hours is not None and each > hours for each in there.day_hours)
    warm = there.during(above_c is not None and each_c > above_c for each_c in there.temperature_c)
    if len({*long, *warm}) < bolting.after_days:
        return
    causes = [f"more than {hours:g} hours of light"] if hours is not None and long else []
    causes += [f"more than {temperature_text(above_c, units)}"] if above_c is not None and warm else []
    days = sorted({*long, *warm})
    such = f"the days are like that{_when(there, days)}" if len(days) < len(there.days) else "every day is like that"
    lamp = there.place.lamp
    by_lamp = f" (the lamp runs {lamp.hours:g} hours)" if long and lamp and (lamp.hours or 0.0) > (hours or 0.0) else ""
    yield (
        f"At {there.place.name} {crop.name} bolts: {counted(bolting.after_days, 'day')} of {' or '.join(causes)} "
        f"bring it to flower, and {such}{by_lamp}."
    )


def places_are_dark(garden: Garden) -> Iterator[str]:
    """Find places with too little light; say how long a crop would take there, and how long to run a lamp."""
    for there in _used_places(garden):
        wanted = wanted_crops(garden)
        months = _by_month(there, there.dli_mol)
        darkest, dli_mol = min(months.items(), key=lambda month: month[1])
        dark = [crop for crop in wanted if dli_mol < DARK_SHARE * crop.growth.at_dli_mol]
        if not dark:
            continue
        shares = listed(
            f"{dli_mol / assumed_mol:.0%} of the {assumed_mol:g} mol that the figures for {listed(names)} assume"
            for assumed_mol, names in _by_light(dark).items()
        )
        when = f" in {_month(darkest)}" if there.place.is_daylit else ""
        sentences = [f"The place {there.place.name} is dark{when}: {dli_mol:.1f} mol of light a day is {shares}."]
        if there.place.is_daylit:
            quickest = min(dark, key=lambda crop: crop.at(there.place.name).harvest.first_days)
            sentences.append(_how_slow(garden, there.place, quickest, darkest))
            if not there.place.outdoors:
                sentences.append(_lamp_advice(there, dark))
        else:
            sentences.append("Harvests shrink by as much.")
        yield " ".join(sentences)


def totes_stand_at_closed_places(garden: Garden) -> Iterator[str]:
    """Find totes whose dates put them at a place that is not in use."""
    days = planned_days(garden)
    alike: dict[tuple[str, tuple[date, ...]], list[str]] = defaultdict(list)
    for tote in garden.totes:
        for place in garden.places:
            closed = tuple(day for day in days if tote.stands_on(day) == place.name and not place.is_open(day))
            if closed:
                alike[place.name, closed].append(tote.name)
    for (name, closed), totes in alike.items():
        is_one = len(totes) == 1
        which = f"Tote {totes[0]} stands" if is_one else f"Totes {listed(totes)} stand"
        spans = f" from {listed(f'{_day(run[0])} to {_day(run[-1])}' for run in _runs(closed))}"
        yield (
            f"{which} at {name}{spans}, when the place is not in use. Nothing grows there then. "
            f"Give {'it' if is_one else 'them'} another place for that time, or give the garden a clear_by."
        )


def reservoirs_get_warm(garden: Garden) -> Iterator[str]:
    """Find places so warm that the water holds little oxygen while roots need more."""
    for there in _used_places(garden):
        warm = there.during(each_c > WARM_RESERVOIR_C for each_c in there.temperature_c)
        if warm:
            most_c = max(there.temperature_c)
            limit = temperature_text(WARM_RESERVOIR_C, garden.units)
            yield (
                f"Reservoirs at {there.place.name} get to {temperature_text(most_c, garden.units)}{_when(there, warm)}."
                f" Water that warm holds at most {oxygen_saturation_mg(most_c):.1f} mg of oxygen a litre, not the "
                f"{oxygen_saturation_mg(20.0):.1f} of water at {temperature_text(20.0, garden.units)}, while roots "
                f"need more. Above {limit} they may rot. Shade the totes, or wrap them in something pale."
            )


def mean_dli_mol(garden: Garden, tote_name: str) -> float:
    """Give the mean daily light over a tote on all planned days [mol m-2 d-1]; days out of use count as dark."""
    days, tote = planned_days(garden), garden.tote(tote_name)
    light = {place.name: _lights(garden, place, days) for place in garden.places}
    places = [garden.place_of(tote, day) for day in days]
    return sum(light[name][number] for number, name in enumerate(places) if name is not None) / len(days)


def _lights(garden: Garden, place: Place, days: Sequence[date]) -> tuple[float, ...]:
    return conditions_at(place, days[0], len(days), garden.sky).dli_mol


def _how_slow(garden: Garden, place: Place, crop: Crop, planted_on: date) -> str:
    """Say how long a crop would take if it were planted at a place on a day."""
    crop, there = crop.at(place.name), conditions_at(place, planted_on, LONGEST_DAYS, garden.sky)
    due_on, closed_on = GrowingPlace(crop, there).first_due(planted_on), there.first_closed(planted_on)
    planted = f"Planted on {_day(planted_on)}, {crop.name} would"
    if closed_on is not None and (due_on is None or closed_on < due_on):
        return f"{planted} not be ready by {_day(closed_on)}, when the place is no longer in use."
    if due_on is None:
        return f"{planted} not be ready within a year."
    taken = counted((due_on - planted_on).days, "day")
    return f"{planted} take {taken} there; in good light it takes {crop.harvest.first_days:.3g}."


def _lamp_advice(there: _PlaceDays, dark: Sequence[Crop]) -> str:
    """Say how long to run a lamp in each month, so that even the crop that needs most has its light."""
    wanted_mol = max(crop.growth.at_dli_mol for crop in dark)
    dark_mol = DARK_SHARE * wanted_mol
    by_day = _by_month(there, there.daylight_mol)
    lacking = {
        month: wanted_mol - by_day[month] for month, mol in _by_month(there, there.dli_mol).items() if mol < dark_mol
    }
    lamp = there.place.lamp
    own_ppfd = None if lamp is None or lamp.ppfd is None else lamp.ppfd * lamp.brightness
    ppfd = own_ppfd or MENDING_PPFD
    longest = max(lacking.values()) / dli_from_ppfd(ppfd, 1.0)
    if longest > MENDING_HOURS:
        ppfd = math.ceil(ppfd_from_dli(max(lacking.values()), MENDING_HOURS) / 10) * 10
    hours = {month: round(mol / dli_from_ppfd(ppfd, 1.0)) for month, mol in lacking.items()}
    names = [_month(month) for month in hours]
    months = [
        f"{counted(each, 'hour')} a day in {name}{f' {month.year}' if names.count(name) > 1 else ''}"
        for name, (month, each) in zip(names, hours.items(), strict=True)
        if each > 0
    ]
    # The first month alone says that hours are hours a day.
    listing = listed([*months[:1], *(month.replace(" a day", "") for month in months[1:])]) or "for minutes a day"
    which = "the lamp there" if ppfd == own_ppfd else f"a {ppfd:g} µmol lamp"
    return f"Run {which} {listing}, to reach {wanted_mol:g} mol of light a day."


def _by_month(there: _PlaceDays, values: Sequence[float]) -> dict[date, float]:
    """Give the mean of each month in which totes stand at the place, by the first of its days."""
    pairs = zip(there.days, values, strict=True)
    means = {}
    for _, group in groupby(pairs, key=lambda pair: (pair[0].year, pair[0].month)):
        days = list(group)
        means[days[0][0]] = sum(value for _, value in days) / len(days)
    return means


def _used_places(garden: Garden) -> tuple[_PlaceDays, ...]:
    """Give each place where totes ever stand, with the days on which they do."""
    days = planned_days(garden)
    stood = {place.name: set[date]() for place in garden.places}
    for day in days:
        for tote in garden.totes:
            name = garden.place_of(tote, day)
            if name is not None:
                stood[name].add(day)
    return tuple(_days_at(garden, place, sorted(stood[place.name])) for place in garden.places if stood[place.name])


def _days_at(garden: Garden, place: Place, days: Sequence[date]) -> _PlaceDays:
    whole = conditions_at(place, days[0], (days[-1] - days[0]).days + 1, garden.sky)
    at = [whole.index(day) for day in days]
    return _PlaceDays(
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


def _by_light(crops: Sequence[Crop]) -> dict[float, list[str]]:
    """Give the names of crops by the daily light that their figures assume [mol m-2 d-1]."""
    names: dict[float, list[str]] = defaultdict(list)
    for crop in crops:
        names[crop.growth.at_dli_mol].append(crop.name)
    return names


def _warmth(there: _PlaceDays, days: Sequence[date], units: Units) -> str:
    """Give how warm it is at the place on some of its days, and when that is."""
    chosen = set(days)
    warmth = [each_c for day, each_c in zip(there.days, there.temperature_c, strict=True) if day in chosen]
    low, high = (temperature_text(value, units) for value in (min(warmth), max(warmth)))
    return f"{low if low == high else f'{low} to {high}'}{_when(there, days)}"


def _when(there: _PlaceDays, days: Sequence[date]) -> str:
    """Give the spans of some of the days at a place; nothing if these are all of them."""
    if len(days) == len(there.days):
        return ""
    return f" from {listed(f'{_day(run[0])} to {_day(run[-1])}' for run in _runs(days))}"


def _runs(days: Sequence[date]) -> list[list[date]]:
    """Split rising days into runs without a gap."""
    runs: list[list[date]] = []
    for day in days:
        if runs and (day - runs[-1][-1]).days == 1:
            runs[-1].append(day)
        else:
            runs.append([day])
    return runs


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _day(day: date) -> str:
    return f"{day.day} {day:%b}"


def _month(day: date) -> str:
    return f"{day:%B}"
