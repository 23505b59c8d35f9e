"""Reading the places, the nursery and the totes of a garden file.

Takes their values; gives `Place`, `Nursery` and `Tote`.  Hides how lamps, windows and months are written, and the
checks on sun and summer.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date, timedelta

from steadysow.amounts import Units, celsius_of, cm_of, litres_of
from steadysow.inputs.crops import System
from steadysow.inputs.garden import (
    Facing,
    Lamp,
    MonthDay,
    Months,
    Nursery,
    Outdoors,
    Place,
    Stand,
    Tote,
    Window,
    is_within,
)
from steadysow.inputs.garden_names import Known, read_own_name, read_place_name
from steadysow.inputs.values import Section, Value, find_measure, read_amount

# By choice, for a nursery that the garden file does not describe: cells, [degree C], [umol m-2 s-1] and [h].
NURSERY_CELLS = 60
NURSERY_TEMPERATURE_C = 21.0
NURSERY_PPFD, NURSERY_HOURS = 120.0, 14.0

# By definition, rounded: only beyond this latitude there are summer and winter [degree].
TROPIC_LATITUDE = 23.5

# A leap year, so that every day of the year is in it.
_YEAR = tuple(date(2024, 1, 1) + timedelta(days=day) for day in range(366))

FACINGS: tuple[Facing, ...] = (
    "north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"
)  # fmt: skip
_MONTH_NAMES = {
    name[:3]: name
    for name in (
        "january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november",
        "december",
    )
}  # fmt: skip
MONTHS = tuple(_MONTH_NAMES)


def read_nursery(value: Value | None, known: Known, places: tuple[Place, ...]) -> Nursery:
    """Read the nursery: at one of the places, or with its own lamp and temperature.

    Parameters
    ----------
    value
        The value of ``nursery``, or ``None`` if it is left out.
    known
        The names that it may refer to.
    places
        The places of the garden.
    """
    own_place = Place(name="nursery", temperature_c=NURSERY_TEMPERATURE_C, lamp=_lamp(NURSERY_PPFD, NURSERY_HOURS))
    if value is None:
        return Nursery(cells=NURSERY_CELLS, place=own_place)
    nursery = value.section("cells", "place", "lamp", "temperature_c", "temperature_f")
    cells, at, lamp = nursery.find("cells"), nursery.find("place"), nursery.find("lamp")
    temperature = _find_temperature(nursery, known.units)
    if at and (lamp or temperature):
        at.fault("a nursery stands at a place, or has its own lamp and temperature, not both", "Keep one of the two")
    place = Place(
        name=own_place.name,
        temperature_c=_read_temperatures_c(temperature) if temperature else NURSERY_TEMPERATURE_C,
        lamp=_read_lamp(lamp) if lamp else own_place.lamp,
    )
    if at:
        name = read_place_name(at, known.place_names)
        place = next((candidate for candidate in places if candidate.name == name), place)
    return Nursery(cells=cells.whole(least=1, most=10_000) if cells else NURSERY_CELLS, place=place)


def read_place(value: Value, known: Known) -> Place:
    """Read a place: its light and its temperature."""
    place = value.section("lamp", "window", "outdoors", "temperature_c", "temperature_f")
    lamp, window, outdoors = place.find("lamp"), place.find("window"), place.find("outdoors")
    if window and outdoors:
        outdoors.fault("a place is at a window or outdoors, not both", "Make two places of it, each with its own name")
    if outdoors and lamp:
        lamp.fault("a place outdoors has no lamp", "Leave it out, or make an indoor place for the lamp")
    if not (lamp or window or outdoors):
        value.fault("has no light", "Add lamp:, window: or outdoors:")
    temperature = _find_temperature(place, known.units)
    return Place(
        name=read_own_name(value),
        temperature_c=_read_temperatures_c(temperature or place.need("temperature_c")),
        lamp=_read_lamp(lamp, may_fill_up=window is not None) if lamp else None,
        window=_read_window(window) if window else None,
        outdoors=_read_outdoors(outdoors) if outdoors else None,
    )


def read_clouds(value: Value) -> float | Months:
    """Read the share of daylight hours without sun: one for the whole year, or one for each month."""
    if not value.is_mapping:
        return value.share(from_zero=True)
    months = _read_months(value, lambda entry: entry.share(from_zero=True))
    if value.is_sound and None in months:
        missing = ", ".join(name for name, share in zip(MONTHS, months, strict=True) if share is None)
        value.fault(f"leaves out {missing}", "Write all twelve months, or one share for all")
    return months


def check_sun(root: Section, places: tuple[Place, ...], latitude: Value | None) -> None:
    """Add a fault for sunlight without a latitude, for an outdoor place without summer, and for a place never in use.

    Parameters
    ----------
    root
        The garden file.
    places
        The places that were read from it.
    latitude
        The value of ``latitude``, or ``None`` if it is left out.
    """
    daylit = [place for place in places if place.is_daylit]
    if daylit and latitude is None:
        wrong = f"{daylit[0].name} gets sunlight, so the garden needs its latitude"
        root.value.fault(wrong, "Add latitude: 61.2 (degrees north; with a minus for south)")
    degrees = latitude.number() if latitude and latitude.is_sound else None
    entries = root.need("places").entries() if places else ()
    for place, entry in zip(places, entries, strict=True):
        if not entry.is_sound:
            continue
        if degrees is not None and place.outdoors and not _has_its_summer(place.outdoors, degrees):
            summer = "July" if degrees > 0 else "January"
            (from_month, from_day), (until_month, until_day) = place.outdoors.frost_free
            span = f"{from_month:02}-{from_day:02} to {until_month:02}-{until_day:02}"
            entry.fault(
                f"frost_free is {span} and leaves out {summer}, which is summer at latitude {degrees:g}",
                "Write month-day, such as frost_free: [05-25, 09-10], and a southern latitude with a minus",
            )
            continue
        if not any(place.is_open(day) for day in _YEAR):
            entry.fault(
                "is never in use: no frost-free day is in a month with a temperature",
                "Write a temperature for each frost-free month",
            )


def read_tote(value: Value, known: Known) -> Tote:
    """Read a tote: its size, its system and where it stands."""
    tote = value.section("holes", "litres", "gallons", "inside_cm", "inside_in", "system", "place", "top_up")
    systems: tuple[System, ...] = ("dwc", "kratky")
    inside = find_measure(tote, metric_key="inside_cm", us_key="inside_in", units=known.units)
    volume = find_measure(tote, metric_key="litres", us_key="gallons", units=known.units)
    top_up = tote.find("top_up")
    return Tote(
        name=read_own_name(value),
        holes=tote.need("holes").whole(least=1, most=1000),
        litres=read_amount(volume or tote.need("litres"), us_key="gallons", metric_of=litres_of),
        system=tote.need("system").choice(systems),
        inside_cm=_read_inside_cm(inside) if inside else None,
        stands=_read_stands(tote.need("place"), known.place_names),
        top_up=top_up.choice(("never", "small")) if top_up else "small",
    )


def _read_window(value: Value) -> Window:
    window = value.section("faces", "share")
    return Window(faces=window.need("faces").choice(FACINGS), share=window.need("share").share())


def _read_outdoors(value: Value) -> Outdoors:
    outdoors = value.section("frost_free", "shade")
    frost_free, shade = outdoors.need("frost_free"), outdoors.find("shade")
    days = _read_days_of_year(frost_free, "must be the first day without frost and the first day with frost again")
    return Outdoors(frost_free=days, shade=shade.share(from_zero=True) if shade else 0.0)


def _read_days_of_year(value: Value, wrong: str) -> tuple[MonthDay, MonthDay]:
    days = tuple(item.month_day() for item in value.items())
    if value.is_sound and (len(days) != 2 or days[0] == days[1]):
        value.fault(wrong, "Write two days, such as [05-25, 09-10]")
    return (days[0], days[-1]) if days else ((1, 1), (12, 31))


def _has_its_summer(place: Outdoors, latitude: float) -> bool:
    """Say whether a place outdoors is free of frost in midsummer; in the tropics any time of year is fine."""
    if abs(latitude) <= TROPIC_LATITUDE:
        return True
    day = (7, 15) if latitude > 0 else (1, 15)
    return is_within(day, *place.frost_free)


def _read_months(value: Value, read: Callable[[Value], float]) -> Months:
    """Give the value of each month that is named; the others have none."""
    given: dict[str, float] = {}
    for entry in value.entries():
        month = entry.name.casefold()[:3]
        if month not in MONTHS or not _MONTH_NAMES[month].startswith(entry.name.casefold()):
            entry.fault("is not a month", f"Write months such as {', '.join(MONTHS[4:7])}")
        elif month in given:
            entry.fault("names the same month again", "Keep one of the two")
        given[month] = read(entry)
    return tuple(given.get(month) for month in MONTHS)


def _find_temperature(section: Section, units: Units) -> Value | None:
    return find_measure(section, metric_key="temperature_c", us_key="temperature_f", units=units)


def _read_temperatures_c(value: Value) -> float | Months:
    """Give one temperature, or one for each month."""
    if value.is_mapping:
        return _read_months(value, lambda entry: _degrees_c(entry, value.name))
    return _degrees_c(value, value.name)


def _degrees_c(value: Value, key: str) -> float:
    if key == "temperature_f":
        return celsius_of(value.number(least=14, most=122))
    return value.number(least=-10, most=50)


def _lamp(ppfd: float, hours: float, brightness: float = 1.0) -> Lamp:
    return Lamp(dli_mol=ppfd * brightness * hours * 3600 / 1e6, ppfd=ppfd, hours=hours, brightness=brightness)


def _read_lamp(value: Value, *, may_fill_up: bool = False) -> Lamp:
    section = value.section("watts", "ppfd", "hours", "brightness", "plants", "dli_mol", "up_to_dli_mol")
    up_to = section.find("up_to_dli_mol")
    if up_to and not may_fill_up:
        up_to.fault("needs a window beside the lamp", "Add a window, or leave it out")
    if up_to and section.find("ppfd") is None:
        up_to.fault("needs to know how bright the lamp is", "Write ppfd and hours instead of dli_mol")
    dli, ppfd, brightness = section.find("dli_mol"), section.find("ppfd"), section.find("brightness")
    if dli and (ppfd or brightness):
        dli.fault("gives the light again, beside ppfd or brightness", "Keep one of the two")
    hours, watts, plants = section.find("hours"), section.find("watts"), section.find("plants")
    if dli:
        light = Lamp(dli_mol=dli.number(above=0, most=90), hours=hours.number(above=0, most=24) if hours else None)
    else:
        light = _lamp(
            ppfd=section.need("ppfd").number(above=0, most=3000),
            hours=section.need("hours").number(above=0, most=24),
            brightness=brightness.share() if brightness else 1.0,
        )
    return replace(
        light,
        watts=watts.number(least=0, most=20_000) if watts else None,
        plants=plants.whole(least=1, most=10_000) if plants else None,
        up_to_dli_mol=up_to.number(above=0, most=60) if up_to else None,
    )


def _read_inside_cm(value: Value) -> tuple[float, float]:
    width, length = value.two_numbers(above=0, most=1000)
    return (cm_of(width), cm_of(length)) if value.name == "inside_in" else (width, length)


def _read_stands(value: Value, place_names: Sequence[str]) -> tuple[Stand, ...]:
    if not value.is_mapping:
        return (Stand(place=read_place_name(value, place_names)),)
    stands = tuple(_read_stand(entry, place_names) for entry in value.entries())
    if sum(stand.from_md is None for stand in stands) > 1:
        value.fault("names more than one place without dates", "Give all but one of them dates, such as [05-25, 09-10]")
    return stands


def _read_stand(entry: Value, place_names: Sequence[str]) -> Stand:
    place = read_place_name(entry.key(), place_names)
    if entry.is_empty:
        return Stand(place=place)
    from_md, until_md = _read_days_of_year(entry, "must be the first day there and the first day away again")
    return Stand(place=place, from_md=from_md, until_md=until_md)
