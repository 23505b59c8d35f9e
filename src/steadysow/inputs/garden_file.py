"""Reading the garden file, with the crops that it names.

Takes a garden's folder; gives a frozen `Garden` with its crops, or raises every fault of all files at once.  Hides the
file format, US units and the defaults.  Places and totes are read by `garden_places`, wants by `garden_wants`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

from steadysow.amounts import Units
from steadysow.days import EARLIEST_YEAR, LATEST_YEAR
from steadysow.inputs.calendar_style import CalendarStyle, read_calendar
from steadysow.inputs.crop_files import read_crops, read_profiles, shipped_crop_files
from steadysow.inputs.crops import Crop
from steadysow.inputs.documents import read_document
from steadysow.inputs.garden import (
    CHANGE_EVERY_DAYS,
    CLOUDS,
    CONFIDENCE,
    UNATTENDED_DAYS,
    Away,
    Garden,
    Packet,
    SowingHabits,
)
from steadysow.inputs.garden_names import Known, read_known_name
from steadysow.inputs.garden_places import check_sun, read_clouds, read_nursery, read_place, read_tote
from steadysow.inputs.garden_wants import read_want
from steadysow.inputs.recipes import Recipe, read_nutrient, read_recipes, read_tap_water, recipe_named
from steadysow.inputs.stock import ORDER_DAYS, Item, StockUnit, read_stock
from steadysow.inputs.tariff import read_tariff
from steadysow.inputs.values import FaultList, Section, Value, read_span

GARDEN_FILE = "garden.yaml"

SATURDAY = 5
MINUTES_A_WEEK = 10_080


def read_garden(folder: Path, *, named_in: tuple[Path, ...] = ()) -> Garden:
    """Read ``garden.yaml`` of a folder, the folder's own ``crops/``, and the shipped profiles that the files name.

    Reading all shipped profiles would double the time of a small command.  A name that is in the text by chance costs
    one more read and does no harm.

    Parameters
    ----------
    folder
        The garden's folder.
    named_in
        Further files that may name crops, such as the plan in force.

    Returns
    -------
    Garden
        The garden with its crops; the folder's own profiles replace shipped ones.

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
    """Give the text of a file; nothing if it cannot be read, which `read_document` reports."""
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
    known = Known(units=units, crops=crops, crop_names=crop_names)
    places = tuple(read_place(entry, known) for entry in root.need("places").entries())
    known = replace(known, place_names=tuple(place.name for place in places))
    totes = tuple(read_tote(entry, known) for entry in root.need("totes").entries())
    if crops_are_sound and root.need("totes").is_sound:
        known = replace(known, totes=totes)
    latitude, seeds, pump, minutes = (
        root.find(key) for key in ("latitude", "seeds", "air_pump", "chore_minutes_a_week")
    )
    check_sun(root, places, latitude)
    recipes = read_recipes(root.find("recipes"), units)
    nutrient = read_nutrient(root.find("nutrient"), recipes)
    starts_on, clear_by = read_span(root, "starts_on", "clear_by")
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
        nursery=read_nursery(root.find("nursery"), known, places),
        places=places,
        totes=totes,
        wants=tuple(read_want(entry, known) for entry in root.need("wants").entries()),
        crops=crops,
        tariff=read_tariff(value) if (value := root.find("tariff")) else None,
        calendar=read_calendar(value) if (value := root.find("calendar")) else CalendarStyle(),
        clouds=read_clouds(value) if (value := root.find("clouds")) else CLOUDS,
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


def _read_stock(value: Value, known: Known, recipes: tuple[Recipe, ...], nutrient: str) -> tuple[Item, ...]:
    """Read the stock of seeds, of the parts of recipes, and of what every garden uses."""
    measures: dict[str, StockUnit] = dict.fromkeys(known.crop_names, "seeds")
    for recipe in (*recipes, *([fed] if (fed := recipe_named(nutrient, ())) else [])):
        measures.update({part.name: "grams" if part.ml is None else "ml" for part in recipe.parts})
    return read_stock(value, known=measures, units=known.units)


def _read_away(value: Value) -> Away:
    away = value.section("from", "back_on")
    from_on, back_on = away.need("from").day(), away.need("back_on").day()
    if value.is_sound and back_on <= from_on:
        wrong = f"you are back on {back_on}, which is not after the day you leave, {from_on}"
        value.fault(wrong, "Write the day you leave as from, and the day you are home again as back_on")
    return Away(from_on=from_on, back_on=back_on)


def _joined(absences: Iterable[Away]) -> tuple[Away, ...]:
    """Join absences that touch or overlap, since nobody is at home between them."""
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
        wrong = f"{100 * confidence:.4g}% is not between 50% and 99.9%"
        value.fault(wrong, "Write such as 95%, with which one sowing in twenty comes up short")
    return confidence


def _read_packet(entry: Value, known: Known) -> Packet:
    crop = read_known_name(entry.key(), known.crop_names, "crop")
    packet = entry.section("percent", "packed_in")
    percent, packed_in = packet.find("percent"), packet.find("packed_in")
    return Packet(
        crop=crop,
        percent=percent.percent() if percent else None,
        packed_in=packed_in.whole(least=EARLIEST_YEAR, most=LATEST_YEAR) if packed_in else None,
    )
