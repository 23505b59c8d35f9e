"""Amounts, shares, days and lists as a grower reads them, in the units of the garden.

Most functions take an amount in metric units, and ``metric`` or ``us``, and return text with a unit.  No other module
knows the factors between metric and US units.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from datetime import date, time
from itertools import groupby
from typing import Literal

Units = Literal["metric", "us"]

_GRAMS_AN_OUNCE = 28.349523125
_GRAMS_A_POUND = 453.59237
_LITRES_A_GALLON = 3.785411784
_CM_AN_INCH = 2.54
_CUPS_A_GALLON = 16
_TEASPOONS_A_TABLESPOON = 3
_TEASPOONS_A_QUARTER_CUP = 12
# A US teaspoon is 1/768 of a gallon [mL].
ML_A_TEASPOON = 1000 * _LITRES_A_GALLON / 768
# Smaller volumes are shown in cups [gallon].
_LEAST_GALLONS = 0.25

# Our own names: a plan must read the same in every locale.
_WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")

# The solver's shares may miss a whole tenth of a percent by this much.
_ROUNDING = 1e-6


def weight_text(grams: float, units: Units) -> str:
    """Give the weight of a harvest with its unit, in grams or ounces [g]."""
    return f"{grams / _GRAMS_AN_OUNCE:.1f} oz" if units == "us" else f"{grams:.0f} g"


def total_weight_text(grams: float, units: Units) -> str:
    """Give the weight of many harvests for a sentence: kilograms from 1000 g on, or pounds from 16 ounces on [g]."""
    if units == "us":
        return f"{_one_decimal(grams / _GRAMS_A_POUND)} lb" if grams >= _GRAMS_A_POUND else weight_text(grams, units)
    return f"{_one_decimal(grams / 1000)} kg" if round(grams) >= 1000 else weight_text(grams, units)


def grams_of(ounces: float) -> float:
    """Convert ounces to grams [g]."""
    return ounces * _GRAMS_AN_OUNCE


def litres_of(gallons: float) -> float:
    """Convert gallons to litres [L]."""
    return gallons * _LITRES_A_GALLON


def light_use_text(grams: float, units: Units) -> str:
    """Give the weight that a mol of light makes with its unit, in grams or ounces [g]."""
    return f"{grams / _GRAMS_AN_OUNCE:.2f} oz" if units == "us" else f"{grams:.1f} g"


def volume_text(litres: float, units: Units) -> str:
    """Give a volume with its unit, in litres or gallons [L]."""
    return f"{litres / _LITRES_A_GALLON:.1f} gallon" if units == "us" else f"{litres:g} litre"


def litres_text(litres: float, units: Units) -> str:
    """Give an amount of water with its unit, in litres or gallons to one decimal [L]."""
    if units == "us":
        # A tenth of a gallon is too coarse for a top-up.
        gallons = f"{litres / _LITRES_A_GALLON:.{1 if litres >= _LITRES_A_GALLON else 2}f}"
        return f"{gallons} {'gallon' if gallons == '1.0' else 'gallons'}"
    amount = _one_decimal(litres)
    return f"{amount} {'litre' if amount == '1' else 'litres'}"


def measure_text(what: str, value: float, units: Units) -> str:
    """Give a measured value with its unit: a level [cm], a temperature [degree C], an EC [mS/cm] or a pH."""
    match what:
        case "level":
            return length_text(value, units)
        case "temperature":
            return temperature_text(value, units)
        case "ec":
            return f"{value:g} mS/cm"
        case _:
            return f"{value:g}"


def cm_of(inches: float) -> float:
    """Convert inches to centimetres [cm]."""
    return inches * _CM_AN_INCH


def celsius_of(fahrenheit: float) -> float:
    """Convert degrees Fahrenheit to degrees Celsius [degree C]."""
    return (fahrenheit - 32) * 5 / 9


def clock_text(at: time) -> str:
    """Give a time of day, such as ``22:15``."""
    return f"{at:%H:%M}"


def length_text(cm: float, units: Units) -> str:
    """Give a length with its unit, in centimetres or inches [cm]."""
    return f"{cm / _CM_AN_INCH:.2g} inches" if units == "us" else f"{cm:g} cm"


def water_weight_text(litres: float, units: Units) -> str:
    """Give the weight of some water with its unit, in kilograms or pounds [L]."""
    return f"{litres * 1000 / _GRAMS_A_POUND:.0f} pounds" if units == "us" else f"{litres:g} kg"


def mass_text(grams: float, units: Units) -> str:
    """Give a weight from a kitchen scale with its unit, to three digits [g]."""
    if units == "us":
        ounces = float(f"{grams / _GRAMS_AN_OUNCE:.3g}")
        if ounces < 1:
            # Scales that can weigh so little show grams.
            return f"{ounces:.2g} oz ({grams:.3g} g)"
        pounds, rest = divmod(ounces, 16)
        in_ounces = f"{rest if pounds else ounces:.3g} oz"
        return f"{pounds:g} lb {in_ounces}" if pounds and rest else f"{pounds:g} lb" if pounds else in_ounces
    grams = float(f"{grams:.3g}")
    return f"{grams / 1000:g} kg" if grams >= 1000 else f"{grams:g} g"


def poured_text(litres: float, units: Units) -> str:
    """Give a poured volume with its unit, to three digits: litres or millilitres, gallons or cups [L]."""
    if units == "us":
        gallons = litres / _LITRES_A_GALLON
        is_much = gallons >= _LEAST_GALLONS
        return _plural(gallons, "gallon") if is_much else _plural(gallons * _CUPS_A_GALLON, "cup")
    return _plural(litres, "litre") if litres >= 1 else f"{digits_text(litres * 1000, 3)} mL"


def part_text(grams: float | None, ml: float | None, units: Units) -> str:
    """Give how much to take of a part of a recipe: a weight [g], or a volume in millilitres as on labels [mL]."""
    if grams is not None:
        return mass_text(grams, units)
    assert ml is not None
    return poured_text(ml / 1000, "metric")


def volume_number(litres: float, units: Units) -> float:
    """Give a volume as a number of litres or gallons [L]."""
    return litres / _LITRES_A_GALLON if units == "us" else litres


def digits_text(number: float, digits: int) -> str:
    """Give a number to some significant digits, without an exponent up to a million."""
    return f"{float(f'{number:.{digits}g}'):g}"


def spoons_text(teaspoons: float) -> str | None:
    """Give level teaspoons as kitchen measures, to a quarter of a teaspoon; ``None`` for less than an eighth.

    3 teaspoons make a tablespoon, and 48 make a cup.  From a quarter of a cup on, teaspoons are rounded to whole ones.
    """
    quarters = round(teaspoons * 4)
    if quarters == 0:
        return None
    if quarters >= 4 * _TEASPOONS_A_QUARTER_CUP:
        quarters = 4 * round(quarters / 4)
    cups, rest = divmod(quarters, 4 * _TEASPOONS_A_QUARTER_CUP)
    tablespoons, rest = divmod(rest, 4 * _TEASPOONS_A_TABLESPOON)
    measures = ((cups / 4, "cup"), (tablespoons, "tablespoon"), (rest / 4, "teaspoon"))
    return listed(f"{_quarters_text(count)} {noun}{'s' if count > 1 else ''}" for count, noun in measures if count)


def _plural(number: float, noun: str) -> str:
    shown = digits_text(number, 3)
    return f"{shown} {noun}" if shown == "1" else f"{shown} {noun}s"


def _one_decimal(number: float) -> str:
    """Give a number to one decimal, and a whole number without any."""
    return f"{number:.1f}".removesuffix(".0")


def _quarters_text(number: float) -> str:
    """Give a number in quarters: ``1 1/2``."""
    whole, part = divmod(number, 1)
    parts = {0.0: "", 0.25: "1/4", 0.5: "1/2", 0.75: "3/4"}
    return " ".join(text for text in (f"{whole:g}" if whole else "", parts[part]) if text)


def temperature_text(degrees_c: float, units: Units) -> str:
    """Give a temperature with its unit [degree C]."""
    return f"{degrees_c * 9 / 5 + 32:.0f} °F" if units == "us" else f"{round(degrees_c, 1):g} °C"


def lid_text(inside_cm: tuple[float, float], units: Units) -> str:
    """Give the width and length of a lid with their unit, in centimetres or inches [cm]."""
    width, length = (side / _CM_AN_INCH if units == "us" else side for side in inside_cm)
    return f"{width:.3g} x {length:.3g} {'inches' if units == 'us' else 'cm'}"


def reached_text(share: float) -> str:
    """Give a share that a plan reaches as a percentage.  Rounded down, so that it never looks better than it is."""
    return f"{math.floor(share * 1000 + _ROUNDING * 1000) / 10:.1f} %"


def bound_text(share: float) -> str:
    """Give a share that no plan can pass as a percentage.  Rounded up, so that it never looks tighter than it is."""
    return f"{math.ceil(share * 1000 - _ROUNDING * 1000) / 10:.1f} %"


def counted(number: int, noun: str) -> str:
    """Give a number of things: ``1 cell``, ``2 cells``."""
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def ordinal_text(number: int) -> str:
    """Give a place in a row: ``1st``, ``2nd``, ``3rd``, ``11th``."""
    is_teen = number % 100 in (11, 12, 13)
    ending = "th" if is_teen else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{ending}"


def listed(parts: Iterable[str]) -> str:
    """Join texts to a list: ``a, b and c``."""
    *most, last = [*parts] or [""]
    return f"{', '.join(most)} and {last}" if most else last


def day_text(day: date) -> str:
    """Give a day with its weekday, such as ``Sat 5 Dec``."""
    return f"{_WEEKDAYS[day.weekday()]} {day.day} {_MONTHS[day.month - 1]}"


def holes_text(holes: Iterable[int]) -> str:
    """Give numbers of holes, or of batches, as ranges: ``1-3, 7``."""
    # Within a range, a hole's number and its rank differ by the same amount.
    ranked = groupby(enumerate(sorted(holes)), key=lambda pair: pair[1] - pair[0])
    runs = [[hole for _, hole in run] for _, run in ranked]
    return ", ".join(str(run[0]) if len(run) == 1 else f"{run[0]}-{run[-1]}" for run in runs)
