"""Reading the garden file, with the crops it may use.

Takes a garden's folder; gives a frozen `Garden` with the crops it may use, or raises every fault of all files at once.
Hides the file format, US units, the defaults, and the checks across totes, places, wants and crops.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path

from steadysow.amounts import Units
from steadysow.days import EARLIEST_YEAR, LATEST_YEAR
from steadysow.inputs.calendar_style import CalendarStyle, read_calendar
from steadysow.inputs.crops import Crop, System, read_crops, read_profiles, shipped_crop_files
from steadysow.inputs.documents import read_document
from steadysow.inputs.garden import (
    CHANGE_EVERY_DAYS,
    CLOUDS,
    CONFIDENCE,
    UNATTENDED_DAYS,
    Away,
    Facing,
    Garden,
    Lamp,
    MonthDay,
    Months,
    Nursery,
    Outdoors,
    Packet,
    Place,
    Serving,
    SowingHabits,
    Stand,
    Tote,
    Want,
    Window,
    carried,
    is_within,
    lid_area_m2,
)
from steadysow.inputs.recipes import Recipe, read_nutrient, read_recipes, read_tap_water, recipe_named
from steadysow.inputs.stock import ORDER_DAYS, Item, StockUnit, read_stock
from steadysow.inputs.tariff import read_tariff
from steadysow.inputs.values import FaultList, Section, Value, find_measure, suggestion

GARDEN_FILE = "garden.yaml"

SATURDAY = 5
LITRES_A_GALLON = 3.785411784
GRAMS_AN_OUNCE = 28.349523125
CM_AN_INCH = 2.54
MINUTES_A_WEEK = 10_080
NURSERY_TEMPERATURE_C = 21.0
# By definition, rounded: beyond it there are a summer and a winter [degree].
TROPIC_LATITUDE = 23.5
# A leap year, so that every day of the year is in it.
_YEAR = tuple(date(2024, 1, 1) + timedelta(days=day) for day in range(366))
NURSERY_PPFD, NURSERY_HOURS = 120.0, 14.0

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

_PERCENT = r"(\d+(?:\.\d+)?)\s*%"
_AT_MOST = re.compile(rf"at most {_PERCENT}")
_AT_LEAST = re.compile(rf"at least {_PERCENT}")
_BETWEEN = re.compile(rf"(?:between )?{_PERCENT} (?:to|and) {_PERCENT}")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Known:
    """What a value of the garden file may refer to, and the units it is written in.

    `totes` stays empty where totes or crops have faults, so that nothing is concluded from stand-ins.
    """

    units: Units
    crops: dict[str, Crop]
    crop_names: tuple[str, ...]
    place_names: tuple[str, ...] = ()
    totes: tuple[Tote, ...] = ()


def read_garden(folder: Path, *, named_in: tuple[Path, ...] = ()) -> Garden:
    """Read ``garden.yaml`` of a folder, the folder's own ``crops/``, and those shipped profiles that are named.

    Reading all that are shipped would take as long as all else that a small command does.  A name that stands in the
    text by chance costs a read and no more.

    Parameters
    ----------
    folder
        The garden's folder.
    named_in
        Further files that may name crops, such as the plan in force.

    Returns
    -------
    The garden with its crops, the folder's own in place of shipped ones.

    Raises
    ------
    InputFaults
        If anything is wrong with any of the files; it holds all the faults.
    """
    faults = FaultList()
    file, shipped = folder / GARDEN_FILE, shipped_crop_files()
    text = " ".join(" ".join(_text_of(path).split()).casefold() for path in (file, *named_in))
    crops = read_profiles((path for name, path in shipped.items() if name in text), faults)
    crops |= read_crops((folder / "crops",), faults)
    document = read_document(file, faults)
    names = tuple({**shipped, **crops})
    garden = _read(document, crops, names, crops_are_sound=not faults) if document else None
    faults.raise_if_any()
    assert garden is not None
    return garden


def _text_of(path: Path) -> str:
    """Give what a file says, or nothing where it cannot be read, which is told where it is read in earnest."""
    try:
        return path.read_text(encoding="utf-8", errors="replace")
    except OSError:
        return ""


def _read(document: Value, crops: dict[str, Crop], crop_names: tuple[str, ...], *, crops_are_sound: bool) -> Garden:
    root = document.section(
        "garden", "starts_on", "weeks", "clear_by", "latitude", "clouds", "units", "chore_days", "harvest_days",
        "away", "sowing", "seeds", "tidy_points", "turnaround_days", "nursery", "places", "totes", "wants", "tariff",
        "air_pump", "nutrient", "tap_water", "recipes", "change_every_days", "unattended_days", "stock",
        "stock_counted_on", "order_days", "chore_minutes_a_week", "calendar",
    )  # fmt: skip
    units: Units = value.choice(("metric", "us")) if (value := root.find("units")) else "metric"
    known = _Known(units=units, crops=crops, crop_names=crop_names)
    places = tuple(_read_place(entry, known) for entry in root.need("places").entries())
    known = replace(known, place_names=tuple(place.name for place in places))
    totes = tuple(_read_tote(entry, known) for entry in root.need("totes").entries())
    if crops_are_sound and root.need("totes").is_sound:
        known = replace(known, totes=totes)
    latitude, seeds, pump, minutes = (
        root.find(key) for key in ("latitude", "seeds", "air_pump", "chore_minutes_a_week")
    )
    _check_sun(root, places, latitude)
    recipes = read_recipes(root.find("recipes"), units)
    nutrient = read_nutrient(root.find("nutrient"), recipes)
    starts_on, clear_by = _read_span(root, "starts_on", "clear_by")
    chore_days = value.weekdays() if (value := root.find("chore_days")) else (SATURDAY,)
    return Garden(
        name=root.need("garden").text(longest=80),
        starts_on=starts_on,
        weeks=value.whole(least=1, most=156) if (value := root.find("weeks")) else 30,
        clear_by=clear_by,
        latitude=latitude.number(least=-90, most=90) if latitude else None,
        units=units,
        chore_days=chore_days,
        harvest_days=value.weekdays() if (value := root.find("harvest_days")) else chore_days,
        away=_joined(_read_away(item) for item in value.items(may_be_empty=True))
        if (value := root.find("away"))
        else (),
        sowing=_read_sowing(root.find("sowing")),
        tidy_points=value.number(least=0, most=100) if (value := root.find("tidy_points")) else 1.0,
        turnaround_days=value.whole(least=0, most=60) if (value := root.find("turnaround_days")) else 1,
        nursery=_read_nursery(root.find("nursery"), known, places),
        places=places,
        totes=totes,
        wants=tuple(_read_want(entry, known) for entry in root.need("wants").entries()),
        crops=crops,
        tariff=read_tariff(value) if (value := root.find("tariff")) else None,
        calendar=read_calendar(value) if (value := root.find("calendar")) else CalendarStyle(),
        clouds=_read_clouds(value) if (value := root.find("clouds")) else CLOUDS,
        packets=tuple(_read_packet(entry, known) for entry in seeds.entries()) if seeds else (),
        air_pump_watts=pump.section("watts").need("watts").number(above=0, most=20_000) if pump else None,
        recipes=recipes,
        nutrient=nutrient,
        tap_water=read_tap_water(root.find("tap_water")),
        change_every_days=_read_days(root, "change_every_days", CHANGE_EVERY_DAYS),
        unattended_days=_read_days(root, "unattended_days", UNATTENDED_DAYS),
        stock=_read_stock(value, known, recipes, nutrient) if (value := root.find("stock")) else (),
        stock_counted_on=root.need("stock_counted_on").day() if root.find("stock") else None,
        order_days=_read_days(root, "order_days", ORDER_DAYS),
        chore_minutes_a_week=minutes.number(above=0, most=MINUTES_A_WEEK) if minutes else None,
    )


def _read_days(root: Section, key: str, usual: int) -> int:
    return value.whole(least=1, most=366) if (value := root.find(key)) else usual


def _read_stock(value: Value, known: _Known, recipes: tuple[Recipe, ...], nutrient: str) -> tuple[Item, ...]:
    """Read what is at hand of seeds, of the parts of recipes, and of what every garden uses."""
    measures: dict[str, StockUnit] = dict.fromkeys(known.crop_names, "seeds")
    for recipe in (*recipes, *([fed] if (fed := recipe_named(nutrient, ())) else [])):
        measures.update({part.name: "grams" if part.ml is None else "ml" for part in recipe.parts})
    return read_stock(value, known=measures, units=known.units)


def _read_span(section: Section, first_key: str, last_key: str) -> tuple[date | None, date | None]:
    """Give two dates, each of which may be left out, the second after the first."""
    first, last = section.find(first_key), section.find(last_key)
    first_on, last_on = first.day() if first else None, last.day() if last else None
    if first and last and first.is_sound and last.is_sound and last.day() <= first.day():
        last.fault(f"{last_on} is not after {first_key}, {first_on}", "Write a later date")
    return first_on, last_on


def _read_away(value: Value) -> Away:
    away = value.section("from", "back_on")
    from_on, back_on = away.need("from").day(), away.need("back_on").day()
    if value.is_sound and back_on <= from_on:
        wrong = f"you are back on {back_on}, which is not after you leave on {from_on}"
        value.fault(wrong, "Write the day you leave as from, and the day you are home again as back_on")
    return Away(from_on=from_on, back_on=back_on)


def _joined(absences: Iterable[Away]) -> tuple[Away, ...]:
    """Make one of absences that touch or overlap: nobody is at home between them."""
    joined: list[Away] = []
    for away in sorted(absences, key=lambda away: away.from_on):
        if joined and away.from_on <= joined[-1].back_on:
            joined[-1] = replace(joined[-1], back_on=max(joined[-1].back_on, away.back_on))
        else:
            joined.append(away)
    return tuple(joined)


def _read_sowing(value: Value | None) -> SowingHabits:
    if value is None:
        return SowingHabits(every_days=7, smallest=2, crops_a_day=3)
    sowing = value.section("every_days", "smallest", "crops_a_day", "confidence")
    confidence = sowing.find("confidence")
    every, smallest, crops = (sowing.find(key) for key in ("every_days", "smallest", "crops_a_day"))
    return SowingHabits(
        every_days=every.whole(least=1, most=90) if every else 7,
        smallest=smallest.whole(least=1, most=1000) if smallest else 2,
        crops_a_day=crops.whole(least=1, most=50) if crops else 3,
        confidence=_read_confidence(confidence) if confidence else CONFIDENCE,
    )


def _read_confidence(value: Value) -> float:
    confidence = value.share()
    if value.is_sound and not 0.5 <= confidence <= 0.999:
        value.fault(
            f"{confidence:.3g} is not from 50% to 99.9%", "Write such as 95%: one sowing in twenty comes up short"
        )
    return confidence


def _read_packet(entry: Value, known: _Known) -> Packet:
    crop = _read_known_name(entry.key(), known.crop_names, "crop")
    packet = entry.section("percent", "packed_in")
    percent, packed_in = packet.find("percent"), packet.find("packed_in")
    return Packet(
        crop=crop,
        percent=percent.percent() if percent else None,
        packed_in=packed_in.whole(least=EARLIEST_YEAR, most=LATEST_YEAR) if packed_in else None,
    )


def _read_nursery(value: Value | None, known: _Known, places: tuple[Place, ...]) -> Nursery:
    own_place = Place(name="nursery", temperature_c=NURSERY_TEMPERATURE_C, lamp=_lamp(NURSERY_PPFD, NURSERY_HOURS))
    if value is None:
        return Nursery(cells=60, place=own_place)
    nursery = value.section("cells", "place", "lamp", "temperature_c", "temperature_f")
    cells, at, lamp = nursery.find("cells"), nursery.find("place"), nursery.find("lamp")
    temperature = _find_temperature(nursery, known.units)
    if at and (lamp or temperature):
        at.fault("says a place as well as a lamp or a temperature", "Write one or the other")
    place = Place(
        name=own_place.name,
        temperature_c=_read_temperatures_c(temperature) if temperature else NURSERY_TEMPERATURE_C,
        lamp=_read_lamp(lamp) if lamp else own_place.lamp,
    )
    if at:
        name = _read_place_name(at, known.place_names)
        place = next((candidate for candidate in places if candidate.name == name), place)
    return Nursery(cells=cells.whole(least=1, most=10_000) if cells else 60, place=place)


def _read_place(value: Value, known: _Known) -> Place:
    place = value.section("lamp", "window", "outdoors", "temperature_c", "temperature_f")
    lamp, window, outdoors = place.find("lamp"), place.find("window"), place.find("outdoors")
    if window and outdoors:
        outdoors.fault("stands next to a window", "Make two places of it, each with its own name")
    if outdoors and lamp:
        lamp.fault("stands next to outdoors", "Keep the lamp indoors, or leave it out: no light is added outdoors")
    if not (lamp or window or outdoors):
        value.fault("has no light", "Write lamp:, window: or outdoors:")
    temperature = _find_temperature(place, known.units)
    return Place(
        name=_read_name(value),
        temperature_c=_read_temperatures_c(temperature or place.need("temperature_c")),
        lamp=_read_lamp(lamp, may_fill_up=window is not None) if lamp else None,
        window=_read_window(window) if window else None,
        outdoors=_read_outdoors(outdoors) if outdoors else None,
    )


def _read_window(value: Value) -> Window:
    window = value.section("faces", "share")
    return Window(faces=window.need("faces").choice(FACINGS), share=window.need("share").share())


def _read_outdoors(value: Value) -> Outdoors:
    outdoors = value.section("frost_free", "shade")
    frost_free, shade = outdoors.need("frost_free"), outdoors.find("shade")
    days = _read_days_of_year(frost_free, "is not the first day without frost and the first with frost again")
    return Outdoors(frost_free=days, shade=shade.share(from_zero=True) if shade else 0.0)


def _read_days_of_year(value: Value, wrong: str) -> tuple[MonthDay, MonthDay]:
    days = tuple(item.month_day() for item in value.items())
    if value.is_sound and (len(days) != 2 or days[0] == days[1]):
        value.fault(wrong, "Write two days, such as [05-25, 09-10]")
    return (days[0], days[-1]) if days else ((1, 1), (12, 31))


def _check_sun(root: Section, places: tuple[Place, ...], latitude: Value | None) -> None:
    """Tell of places in the sun of a garden that says no latitude, and of places that are never in use."""
    daylit = [place for place in places if place.is_daylit]
    if daylit and latitude is None:
        wrong = f"the sun lights {daylit[0].name}, and there is no latitude"
        root.value.fault(wrong, "Add latitude: 61.2 (degrees north; with a minus, south)")
    degrees = latitude.number() if latitude and latitude.is_sound else None
    entries = root.need("places").entries() if places else ()
    for place, entry in zip(places, entries, strict=True):
        if not entry.is_sound:
            continue
        if degrees is not None and place.outdoors and not _has_its_summer(place.outdoors, degrees):
            summer = "July" if degrees > 0 else "January"
            (from_month, from_day), (until_month, until_day) = place.outdoors.frost_free
            entry.fault(
                f"is free of frost from {from_month:02}-{from_day:02} to {until_month:02}-{until_day:02}, and so not "
                f"in {summer}, at latitude {degrees:g}",
                "Write month-day, such as frost_free: [05-25, 09-10], and a southern latitude with a minus",
            )
            continue
        if not any(place.is_open(day) for day in _YEAR):
            entry.fault(
                "is never in use: no frost-free day lies in a month with a temperature",
                "Write a temperature for the months between the frosts",
            )


def _has_its_summer(place: Outdoors, latitude: float) -> bool:
    """Say whether a place outdoors is free of frost at midsummer; between the tropics any time may be."""
    if abs(latitude) <= TROPIC_LATITUDE:
        return True
    day = (7, 15) if latitude > 0 else (1, 15)
    return is_within(day, *place.frost_free)


def _read_months(value: Value, read: Callable[[Value], float]) -> Months:
    """Give a value for each month that is named; the others have none."""
    given: dict[str, float] = {}
    for entry in value.entries():
        month = entry.name.casefold()[:3]
        if month not in MONTHS or not _MONTH_NAMES[month].startswith(entry.name.casefold()):
            entry.fault("is not a month", f"Write months such as {', '.join(MONTHS[4:7])}")
        elif month in given:
            entry.fault("names a month a second time", "Keep one of the two")
        given[month] = read(entry)
    return tuple(given.get(month) for month in MONTHS)


def _read_clouds(value: Value) -> float | Months:
    if not value.is_mapping:
        return value.share(from_zero=True)
    months = _read_months(value, lambda entry: entry.share(from_zero=True))
    if value.is_sound and None in months:
        missing = ", ".join(name for name, share in zip(MONTHS, months, strict=True) if share is None)
        value.fault(f"leaves out {missing}", "Write all twelve months, or one share for all")
    return months


def _find_temperature(section: Section, units: Units) -> Value | None:
    return find_measure(section, metric_key="temperature_c", us_key="temperature_f", units=units)


def _read_temperatures_c(value: Value) -> float | Months:
    """Give one temperature, or one a month."""
    return (
        _read_months(value, lambda entry: _degrees_c(entry, value.name))
        if value.is_mapping
        else _read_temperature_c(value)
    )


def _read_temperature_c(value: Value) -> float:
    return _degrees_c(value, value.name)


def _degrees_c(value: Value, key: str) -> float:
    if key == "temperature_f":
        return (value.number(least=14, most=122) - 32) * 5 / 9
    return value.number(least=-10, most=50)


def _lamp(ppfd: float, hours: float, brightness: float = 1.0) -> Lamp:
    return Lamp(dli_mol=ppfd * brightness * hours * 3600 / 1e6, ppfd=ppfd, hours=hours, brightness=brightness)


def _read_lamp(value: Value, *, may_fill_up: bool = False) -> Lamp:
    section = value.section("watts", "ppfd", "hours", "brightness", "plants", "dli_mol", "up_to_dli_mol")
    up_to = section.find("up_to_dli_mol")
    if up_to and not may_fill_up:
        up_to.fault("fills up nothing: there is no window beside the lamp", "Add a window, or leave it out")
    if up_to and section.find("ppfd") is None:
        up_to.fault("needs to know how bright the lamp is", "Write ppfd and hours, not dli_mol")
    dli, ppfd, brightness = section.find("dli_mol"), section.find("ppfd"), section.find("brightness")
    if dli and (ppfd or brightness):
        dli.fault("says the light a second time, next to ppfd or brightness", "Write one or the other")
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


def _read_tote(value: Value, known: _Known) -> Tote:
    tote = value.section("holes", "litres", "gallons", "inside_cm", "inside_in", "system", "place", "top_up")
    systems: tuple[System, ...] = ("dwc", "kratky")
    inside = find_measure(tote, metric_key="inside_cm", us_key="inside_in", units=known.units)
    volume = find_measure(tote, metric_key="litres", us_key="gallons", units=known.units)
    top_up = tote.find("top_up")
    return Tote(
        name=_read_name(value),
        holes=tote.need("holes").whole(least=1, most=1000),
        litres=_read_amount(volume or tote.need("litres"), us_key="gallons", factor=LITRES_A_GALLON),
        system=tote.need("system").choice(systems),
        inside_cm=_read_inside_cm(inside) if inside else None,
        stands=_read_stands(tote.need("place"), known.place_names),
        top_up=top_up.choice(("never", "small")) if top_up else "small",
    )


def _read_inside_cm(value: Value) -> tuple[float, float]:
    width, length = value.two_numbers(above=0, most=1000)
    factor = CM_AN_INCH if value.name == "inside_in" else 1.0
    return width * factor, length * factor


def _read_stands(value: Value, place_names: Sequence[str]) -> tuple[Stand, ...]:
    if not value.is_mapping:
        return (Stand(place=_read_place_name(value, place_names)),)
    stands = tuple(_read_stand(entry, place_names) for entry in value.entries())
    if sum(stand.from_md is None for stand in stands) > 1:
        value.fault("names more than one place without dates", "Give all but one of them dates, such as [05-25, 09-10]")
    return stands


def _read_stand(entry: Value, place_names: Sequence[str]) -> Stand:
    place = _read_place_name(entry.key(), place_names)
    if entry.is_empty:
        return Stand(place=place)
    from_md, until_md = _read_days_of_year(entry, "is not a first day and a last day of the year")
    return Stand(place=place, from_md=from_md, until_md=until_md)


def _read_want(value: Value, known: _Known) -> Want:
    want = value.section(
        "grams_a_week", "ounces_a_week", "heads_a_week", "crops", "from", "until", "importance", "keeps_days"
    )
    weight = find_measure(want, metric_key="grams_a_week", us_key="ounces_a_week", units=known.units)
    heads = want.find("heads_a_week")
    if weight and heads:
        heads.fault("stands next to a weight", "Write one of the two, or make two wants of it")
    amount = heads or weight or want.need("grams_a_week")
    from_on, until_on = _read_span(want, "from", "until")
    importance, keeps = want.find("importance"), want.find("keeps_days")
    return Want(
        name=_read_name(value),
        unit="heads" if heads else "g",
        amount=_read_amount(amount, us_key="ounces_a_week", factor=GRAMS_AN_OUNCE),
        servings=_read_servings(want.need("crops"), known, heads_only=heads is not None),
        from_on=from_on,
        until_on=until_on,
        importance=importance.number(above=0, most=1000) if importance else 1.0,
        keeps_days=keeps.whole(least=1, most=60) if keeps else None,
    )


def _read_servings(value: Value, known: _Known, *, heads_only: bool) -> tuple[Serving, ...]:
    names: dict[str, Value] = {}
    servings: list[Serving] = []
    for entry in value.entries() if value.is_mapping else value.one_or_more():
        named = entry.key() if value.is_mapping else entry
        name = _read_known_name(named, known.crop_names, "crop")
        least, most = _read_shares(entry) if value.is_mapping else (0.0, 1.0)
        servings.append(Serving(crop=name, least=least, most=most))
        if name in names:
            named.fault(f'"{name}" is listed twice', "Keep it once")
        elif heads_only and name in known.crops and known.crops[name].harvest.kind != "head":
            named.fault(f'"{name}" is not harvested as heads', "Take a head crop, or ask for grams_a_week")
        names[name] = named
    least_sum = sum(serving.least for serving in servings)
    if least_sum > 1 + 1e-9:
        value.fault(f"the least shares add up to {100 * least_sum:g}%, more than 100%", "Lower some of them")
    most_sum = sum(serving.most for serving in servings)
    if servings and most_sum < 1 - 1e-9:
        value.fault(
            f"the most shares add up to {100 * most_sum:g}%, so nothing can be harvested", "Raise some, or add a crop"
        )
    _check_room(value, names, known)
    return tuple(servings)


def _check_room(value: Value, names: dict[str, Value], known: _Known) -> None:
    """Tell of wanted crops that no tote can hold."""
    homeless = {
        name: reason
        for name in names
        if name in known.crops and (reason := _why_no_tote_holds(known.crops[name], known.totes))
    }
    if homeless and len(homeless) == len(names):
        reasons = "; ".join(f"{name} {reason}" for name, reason in homeless.items())
        value.fault(
            f"nobody can serve this want, no tote can hold its crops: {reasons}", "Add a crop or a tote that fits"
        )
        return
    for name, reason in homeless.items():
        names[name].fault(f'no tote can hold "{name}": it {reason}', "Leave it out, or add a tote that fits")


def _read_shares(value: Value) -> tuple[float, float]:
    write = 'Write any, "at most 70%", "at least 5%" or "5% to 70%"'
    text = "any" if value.is_empty else value.text().casefold()
    least, most = 0.0, 100.0
    if found := _AT_MOST.fullmatch(text):
        most = float(found[1])
    elif found := _AT_LEAST.fullmatch(text):
        least = float(found[1])
    elif found := _BETWEEN.fullmatch(text):
        least, most = float(found[1]), float(found[2])
    elif text != "any":
        value.fault(f'"{text}" is not a share', write)
    if least > most or most > 100 or most == 0:
        value.fault(f'"{text}" is not a share from 0% to 100%', write)
    return least / 100, most / 100


def _read_amount(value: Value, *, us_key: str, factor: float) -> float:
    amount = value.number(above=0, most=100_000)
    return amount * factor if value.name == us_key else amount


def _read_name(value: Value) -> str:
    return value.key().text(longest=60)


def _read_place_name(value: Value, place_names: Sequence[str]) -> str:
    # Where no place could be read, that has been told, and every tote would only repeat it.
    return _read_known_name(value, place_names, "place") if place_names else value.text()


def _read_known_name(value: Value, names: Sequence[str], kind: str) -> str:
    name = value.text()
    if name and name not in names:
        value.fault(f'there is no {kind} "{name}"', suggestion(name, names))
    return name


def _why_no_tote_holds(crop: Crop, totes: tuple[Tote, ...]) -> str | None:
    """Say why no tote carries a plant of the crop, or give ``None`` if one does."""
    if not totes or any(carried(crop, tote) for tote in totes):
        return None
    fitting = [tote for tote in totes if tote.system in crop.systems]
    if not fitting:
        return f"grows in {' or '.join(crop.systems)} only"
    largest = max(lid_area_m2(tote) for tote in fitting)
    return f"takes {1 / crop.plants_per_m2:.2f} m2 a plant, and the largest lid has {largest:.2f} m2"
