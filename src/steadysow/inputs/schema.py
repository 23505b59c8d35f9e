"""JSON Schemas of the garden file and of a crop profile, for editors that complete and check while a person types.

Takes the kind of a file; gives its schema (draft 2020-12).  An editor sees only one file, so checks across values and
files are left to the readers.
"""

from __future__ import annotations

from typing import Any, Literal

from steadysow.days import EARLIEST_YEAR, LATEST_YEAR
from steadysow.inputs.calendar_style import COLOR_NAMES
from steadysow.inputs.composition import ELEMENTS, LABEL_FORMS
from steadysow.inputs.garden_file import MINUTES_A_WEEK
from steadysow.inputs.garden_places import FACINGS, MONTHS

Schema = dict[str, Any]

_DAY_NAMES = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


def schema(kind: Literal["garden", "crop"]) -> Schema:
    """Give the JSON Schema of a kind of file."""
    titles = {"garden": "A garden of steadysow", "crop": "A crop profile of steadysow"}
    properties = {"garden": _garden, "crop": _crop}[kind]()
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": titles[kind], **properties}


def _keys(description: str, properties: Schema, *, required: tuple[str, ...] = ()) -> Schema:
    schema: Schema = {"type": "object", "description": description, "properties": properties}
    if required:
        schema["required"] = list(required)
    return {**schema, "additionalProperties": False}


def _named(description: str, value: Schema) -> Schema:
    return {"type": "object", "description": description, "minProperties": 1, "additionalProperties": value}


def _number(description: str, *, least: float | None = None, above: float | None = None, most: float) -> Schema:
    low = {"minimum": least} if least is not None else {"exclusiveMinimum": above} if above is not None else {}
    return {"type": "number", "description": description, **low, "maximum": most}


def _whole(description: str, *, least: int, most: int) -> Schema:
    return {"type": "integer", "description": description, "minimum": least, "maximum": most}


def _text(description: str, *, pattern: str | None = None) -> Schema:
    return {"type": "string", "description": description, **({"pattern": pattern} if pattern else {})}


def _choice(description: str, *options: str) -> Schema:
    return {"enum": list(options), "description": description}


def _numbers(description: str, count: int) -> Schema:
    return {
        "type": "array",
        "description": description,
        "items": {"type": "number"},
        "minItems": count,
        "maxItems": count,
    }


def _or_null(value: Schema) -> Schema:
    return {"anyOf": [value, {"type": "null"}]}


def _one_or_list(value: Schema) -> Schema:
    return {"anyOf": [value, {"type": "array", "items": value, "minItems": 1}]}


def _date(description: str) -> Schema:
    return _text(description, pattern=r"^\d{4}-\d{1,2}-\d{1,2}$")


def _clock(description: str) -> Schema:
    return _text(description, pattern=r"^\d{1,2}:\d{2}$")


def _weekdays(description: str) -> Schema:
    shortened = [name[:length] for name in _DAY_NAMES for length in range(3, len(name) + 1)]
    return {**_one_or_list({"enum": shortened}), "description": description}


def _year_span(description: str) -> Schema:
    day = _text("month-day", pattern=r"^\d{1,2}-\d{1,2}$")
    return {"type": "array", "description": description, "items": day, "minItems": 2, "maxItems": 2}


def _garden() -> Schema:
    name = {"type": ["string", "number"]}
    away_days = {"from": _date("the day you leave"), "back_on": _date("the day you are home again")}
    away = _keys("days when nobody is at home", away_days, required=("from", "back_on"))
    return _keys(
        "totes, places, wants and days for work",
        {
            "garden": _text("name of the garden, and of its calendar"),
            "starts_on": _or_null(_date("when the garden began; weeks count from this day")),
            "weeks": _whole("how many weeks to plan ahead", least=1, most=156),
            "clear_by": _or_null(_date("a date by which every tote must be empty")),
            "latitude": _number("degrees north; south with a minus", least=-90, most=90),
            "clouds": _one_or_monthly(_share("share of the daylight hours without sun")),
            "seeds": _named("seeds at hand, by crop", _packet()),
            "units": _choice("units of the display, and of the keys in this file", "metric", "us"),
            "chore_days": _weekdays("days for sowing and transplanting"),
            "harvest_days": _weekdays("days for harvesting; the chore days if left out"),
            "chore_minutes_a_week": _number("most minutes of work in a week", above=0, most=MINUTES_A_WEEK),
            "away": {"type": "array", "items": away},
            "sowing": _keys(
                "how often and how much you sow",
                {
                    "every_days": _whole("fewest days between sowings", least=1, most=90),
                    "smallest": _whole("fewest plants in a sowing", least=1, most=1000),
                    "crops_a_day": _whole("most crops on a sowing day", least=1, most=50),
                    "confidence": _share("chance that a sowing has enough seedlings"),
                },
            ),
            "tidy_points": _number(
                "percent of the served share that may be given up for an easier plan", least=0, most=100
            ),
            "turnaround_days": _whole("days from the last harvest in a hole to its next plant", least=0, most=60),
            "nursery": _keys(
                "where seedlings wait for transplant",
                {"cells": _whole("how many cells", least=1, most=10_000), "place": name, "lamp": _lamp(), **_warmth()},
            ),
            "places": _named("where totes stand", _place()),
            "totes": _named("lidded containers", _tote(name)),
            "wants": _named("what the kitchen asks for each week", _want()),
            "tariff": _tariff(),
            "air_pump": _all_required(
                "one pump for all dwc totes", {"watts": _number("its power, watts", above=0, most=20_000)}
            ),
            "nutrient": _text("name of the recipe that totes are fed with"),
            "tap_water": _by_element(_number("mg a litre; ec in mS/cm", least=0, most=5000), *ELEMENTS, "ec"),
            "recipes": _named("what totes may be fed with", _recipe()),
            "change_every_days": _whole("most days between two changes of the nutrient solution", least=1, most=366),
            "unattended_days": _whole("days that a tray of seedlings stays moist", least=1, most=366),
            "stock": _stock(),
            "stock_counted_on": _or_null(_date("the day the stock was counted")),
            "order_days": _whole("days that an order takes", least=1, most=366),
            "calendar": _keys(
                "how the calendar is written",
                {
                    "alarm": _clock("time of an alarm"),
                    "detail": _choice("an event for each chore or for each day", "each", "daily"),
                    "color": _choice("colour of the calendar, by its name in CSS", *COLOR_NAMES),
                    "tasks": {"type": "boolean", "description": "write a file of tasks too"},
                },
            ),
        },
        required=("garden", "places", "totes", "wants"),
    )


def _warmth() -> Schema:
    return {
        "temperature_c": _one_or_monthly(_number("degrees C", least=-10, most=50)),
        "temperature_f": _one_or_monthly(_number("degrees F, with units: us", least=14, most=122)),
    }


def _one_or_monthly(value: Schema) -> Schema:
    # Longer forms of the names are read too; an editor offers these.
    months = {
        **_named("one for each month; the place is not used in months that are left out", value),
        "propertyNames": {"enum": list(MONTHS)},
    }
    return {"anyOf": [value, months]}


def _share(description: str) -> Schema:
    return {"type": ["string", "number"], "description": f"{description}, such as 30% or 0.3"}


def _lamp() -> Schema:
    return _keys(
        "either ppfd and hours, or dli_mol",
        {
            "watts": _number("power at full brightness", least=0, most=20_000),
            "ppfd": _number("light at leaf height and full brightness, umol a m2 and second", above=0, most=3000),
            "hours": _number("hours of light a day", above=0, most=24),
            "brightness": _share("share of its full light"),
            "plants": _whole("how many plants it lights", least=1, most=10_000),
            "dli_mol": _number("daily light at leaf height, mol a m2 and day", above=0, most=90),
            "up_to_dli_mol": _number(
                "beside a window: the lamp runs only until the day has this much light", above=0, most=60
            ),
        },
    )


def _place() -> Schema:
    window = _all_required(
        "a window",
        {
            "faces": _choice("the way it faces", *FACINGS),
            "share": _share("light at the leaves over light outdoors on level ground"),
        },
    )
    outdoors = _keys(
        "a place outdoors",
        {
            "frost_free": _year_span("first day without frost, first day with frost again"),
            "shade": _share("share of the light that shade takes away"),
        },
        required=("frost_free",),
    )
    return _keys("light and temperature", {"lamp": _lamp(), "window": window, "outdoors": outdoors, **_warmth()})


def _tote(name: Schema) -> Schema:
    spans = _named(
        "places through the year",
        _or_null(_year_span("first day there and first day away again; nothing: on all other days")),
    )
    return _keys(
        "a lidded container over one reservoir",
        {
            "holes": _whole("holes in the lid", least=1, most=1000),
            "litres": _number("litres it holds", above=0, most=100_000),
            "gallons": _number("gallons it holds, with units: us", above=0, most=100_000),
            "inside_cm": _numbers("inside width and length, cm", 2),
            "inside_in": _numbers("inside width and length, inches, with units: us", 2),
            "system": _choice("dwc has an air pump, kratky is still water", "dwc", "kratky"),
            "place": {"anyOf": [name, spans]},
            "top_up": _choice("whether a still tote is topped up", "never", "small"),
        },
        required=("holes", "system", "place"),
    )


def _packet() -> Schema:
    return _keys(
        "a packet of seeds",
        {
            "percent": {
                "type": ["string", "number"],
                "description": "percent of seeds that germinate, from the packet, such as 85",
            },
            "packed_in": _whole("year it was packed for", least=EARLIEST_YEAR, most=LATEST_YEAR),
        },
    )


def _by_element(value: Schema, *names: str) -> Schema:
    return {**_named("figures by element", value), "propertyNames": {"enum": list(names)}}


def _stock() -> Schema:
    amounts = ("seeds", "pieces", "grams", "ounces", "ml", "litres", "gallons", "price")
    numbers = {key: _number(key, least=0, most=100_000) for key in amounts}
    item = _keys("what is at hand", {**numbers, "pack": _number("how much is in a pack", above=0, most=10_000_000)})
    return _named("what is at hand, by name", item)


def _recipe() -> Schema:
    return _keys(
        "a brew, or amounts for a litre of tote water",
        {
            "makes_litres": _number("for a brew: litres of water it steeps in", above=0, most=100_000),
            "makes_gallons": _number("the same in gallons, with units: us", above=0, most=100_000),
            "steep_hours": _number("for a brew: hours it steeps; 24 if left out", least=0, most=240),
            "water_to_one": _number("for a brew: parts of water to one part of brew", least=0, most=10_000),
            "parts": _named("what is in it", _part()),
            "note": _text("where its amounts come from"),
        },
        required=("parts",),
    )


def _part() -> Schema:
    amounts = {
        "grams": "grams in a whole brew",
        "ounces": "ounces in a whole brew, with units: us",
        "pounds": "pounds in a whole brew, with units: us",
        "ml": "millilitres in a whole brew",
        "grams_per_litre": "grams for a litre of tote water",
        "grams_per_gallon": "grams for a gallon of tote water, with units: us",
        "ml_per_litre": "millilitres for a litre of tote water",
        "ml_per_gallon": "millilitres for a gallon of tote water, with units: us",
    }
    return _keys(
        "exactly one amount, and what is known about the part",
        {
            **{key: _number(description, above=0, most=1_000_000) for key, description in amounts.items()},
            "grams_per_ml": _number("density of a liquid", least=0.5, most=3),
            "spoon_grams": _number("weight of a level teaspoon, grams", above=0, most=50),
            "percent": _by_element(_number("percent of weight, from the label", least=0, most=100), *LABEL_FORMS),
        },
    )


def _want() -> Schema:
    crops = _named("crops and their shares", {"type": ["string", "null"], "description": "any, at most 70%, 5% to 70%"})
    return _keys(
        "exactly one amount, and the crops that may serve it",
        {
            "grams_a_week": _number("grams a week", above=0, most=100_000),
            "ounces_a_week": _number("ounces a week, with units: us", above=0, most=100_000),
            "heads_a_week": _number("heads a week", above=0, most=100_000),
            "crops": {
                "anyOf": [{"type": "string"}, {"type": "array", "items": {"type": "string"}, "minItems": 1}, crops]
            },
            "from": _or_null(_date("counts from the first whole week on or after this day")),
            "until": _or_null(_date("counts up to this day, which is not included")),
            "importance": _number("weight compared with the other wants", above=0, most=1000),
            "keeps_days": _whole("days a harvest keeps; each crop's own if left out", least=1, most=60),
        },
        required=("crops",),
    )


def _tariff() -> Schema:
    price = _number("price of a kWh", least=-10, most=1_000_000)
    cheap = _keys(
        "hours of cheap power",
        {"from": _clock("begins"), "until": _clock("ends"), "per_kwh": price},
        required=("from", "until", "per_kwh"),
    )
    by_hour = {"type": "array", "description": "price of each hour", "items": price, "minItems": 24, "maxItems": 24}
    properties = {
        "currency": _text("such as EUR"),
        "per_kwh": price,
        "cheap": _one_or_list(cheap),
        "by_hour": by_hour,
        "zone": _text("time zone by which clocks change, such as Europe/Helsinki"),
    }
    return _keys("what power costs: per_kwh, or by_hour", properties, required=("currency",))


def _crop() -> Schema:
    properties: Schema = {
        "name": _text("common name; a shipped name replaces the shipped profile"),
        "species": _text("botanical name"),
        "systems": _one_or_list(_choice("dwc has an air pump, kratky is still water", "dwc", "kratky")),
        "spacing": _all_required(
            "room for full-grown plants",
            {
                "plants_per_m2": _number("plants a square metre", above=0, most=5000),
                "lid_holes": _whole("plants on the lid of a small 11 litre tote", least=1, most=500),
            },
        ),
        "sowing": _all_required(
            "where and how many seeds",
            {
                "in": _choice("in the nursery or straight in the pot", "nursery", "pot"),
                "seeds_a_cell": _whole("seeds in a cell", least=1, most=200),
                "plants_a_hole": _whole("plants left in a hole", least=1, most=200),
            },
        ),
        "germination": _germination(),
        "nursery_days": _all_required(
            "days from sowing to transplant; left out for a crop sown in its pot",
            {"least": _whole("fewest days", least=1, most=365), "most": _whole("most days", least=1, most=365)},
        ),
        "transplant_shock_days": _whole("days of standstill after transplant", least=0, most=60),
        "harvest": _harvest(),
        "growth": _growth(),
        "ec": _band("electrical conductivity, mS/cm"),
        "ph": _band("pH"),
        "litres_a_plant": _number("litres from transplant to last harvest", above=0, most=500),
        "keeps_days": _whole("days it keeps in a fridge", least=1, most=60),
        "spread": _all_required(
            "relative standard deviations",
            {"days": _number("of days", least=0, most=1), "grams": _number("of grams", least=0, most=1)},
        ),
        "care": {"type": "array", "items": _care()},
        "sources": _named(
            "source of each field or block",
            {"anyOf": [_text("source"), _all_required("our estimate", {"estimate": _text("why")})]},
        ),
    }
    optional = ("nursery_days", "transplant_shock_days", "care", "sources")
    required = tuple(key for key in properties if key not in optional)
    return _keys("what is known about a crop", properties, required=required)


def _all_required(description: str, properties: Schema) -> Schema:
    return _keys(description, properties, required=tuple(properties))


def _germination() -> Schema:
    days = {"anyOf": [_number("days to emergence", above=0, most=365), _choice("no seed emerges", "none")]}
    return _all_required(
        "germination and emergence",
        {
            "days_by_temperature_c": _named("days to emergence by temperature", days),
            "percent": _number("percent of seeds that germinate", above=0, most=100),
            "temperature_c": _all_required(
                "degrees C",
                {
                    "least": _number("least", least=-5, most=50),
                    "optimum": _numbers("from and to", 2),
                    "most": _number("most", least=-5, most=50),
                },
            ),
            "keeps_years": _number("years that seeds keep", above=0, most=50),
        },
    )


def _harvest() -> Schema:
    weight = _number("grams a plant", above=0, most=20_000)
    first = _number("days from transplant to the first harvest", above=0, most=730)
    between = _number("days between harvests", above=0, most=365)
    slack = _whole("days that a due harvest may wait", least=1, most=365)
    cuts = {"first_days": first, "between_days": between, "slack_days": slack}
    head = _all_required("a plant taken whole", {"days": first, "holds_days": slack, "grams": weight})
    cut = _all_required(
        "a plant that regrows", {**cuts, "most": _whole("most cuts", least=1, most=100), "grams": _one_or_list(weight)}
    )
    fruit = _all_required(
        "fruit that is picked",
        {**cuts, "weeks": _whole("weeks of picking", least=1, most=104), "grams": _one_or_list(weight)},
    )
    one_kind = _keys("exactly one of head, cut, fruit", {"head": head, "cut": cut, "fruit": fruit})
    return {**one_kind, "minProperties": 1, "maxProperties": 1}


def _growth() -> Schema:
    cardinal = {key: _number("degrees C", least=-10, most=60) for key in ("base", "optimum", "ceiling")}
    at = {
        "temperature_c": _number("degrees C", least=-10, most=60),
        "dli_mol": _number("mol a m2 and day", above=0, most=90),
    }
    properties = {
        "temperature_c": _all_required("cardinal temperatures of growth", cardinal),
        "at": _all_required("the conditions for which all days hold", at),
        "half_dli_mol": _number(
            "daily light at which development runs at half its maximum; 0: light changes no days", least=0, most=90
        ),
        "grams_per_mol": _number("grams that a mol of light makes", above=0, most=1000),
        "bolting": _keys(
            "what makes it bolt",
            {
                "after_days": _whole("days over a limit until it has bolted", least=1, most=365),
                "longest_day_hours": _number("longest day it tolerates, hours", above=0, most=24),
                "above_c": _number("highest daily mean temperature it tolerates, degrees C", least=0, most=60),
            },
            required=("after_days",),
        ),
    }
    return _keys(
        "response to temperature and light",
        properties,
        required=("temperature_c", "at", "half_dli_mol", "grams_per_mol"),
    )


def _band(description: str) -> Schema:
    ranges = {"ideal": _numbers("from and to", 2), "tolerated": _numbers("from and to", 2)}
    return _all_required(description, ranges)


def _care() -> Schema:
    properties = {
        "what": _text("the job"),
        "after_days": _whole("days after transplant", least=0, most=730),
        "every_days": _or_null(_whole("days between two times; null: once", least=1, most=365)),
    }
    return _keys("a small job", properties, required=("what", "after_days"))
