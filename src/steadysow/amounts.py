"""Amounts, days and lists as a grower reads them, in the units of the garden.

Takes an amount in metric units and ``metric`` or ``us``; gives text with its unit.  Hides the factors.
"""

from __future__ import annotations

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
# A US teaspoon, a 768th of a gallon [mL].
ML_A_TEASPOON = 1000 * _LITRES_A_GALLON / 768
# Less than this is told in cups [gallon].
_LEAST_GALLONS = 0.25

# Our own names, so that a plan reads the same whatever the locale of the machine.
_WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def weight_text(grams: float, units: Units) -> str:
    """Give a harvest's weight with its unit, in grams or ounces [g]."""
    return f"{grams / _GRAMS_AN_OUNCE:.1f} oz" if units == "us" else f"{grams:.0f} g"


def grams_of(ounces: float) -> float:
    """Give ounces in grams [g]."""
    return ounces * _GRAMS_AN_OUNCE


def litres_of(gallons: float) -> float:
    """Give gallons in litres [L]."""
    return gallons * _LITRES_A_GALLON


def light_use_text(grams: float, units: Units) -> str:
    """Give the weight that a mol of light makes, in grams or ounces [g]."""
    return f"{grams / _GRAMS_AN_OUNCE:.2f} oz" if units == "us" else f"{grams:.1f} g"


def volume_text(litres: float, units: Units) -> str:
    """Give a volume with its unit, in litres or gallons [L]."""
    return f"{litres / _LITRES_A_GALLON:.1f} gallon" if units == "us" else f"{litres:g} litre"


def litres_text(litres: float, units: Units) -> str:
    """Give an amount of water as it is measured out, in litres or gallons [L]."""
    if units == "us":
        # A tenth of a gallon is too coarse for a top-up.
        gallons = f"{litres / _LITRES_A_GALLON:.{1 if litres >= _LITRES_A_GALLON else 2}f}"
        return f"{gallons} {'gallon' if gallons == '1.0' else 'gallons'}"
    amount = f"{litres:.1f}".removesuffix(".0")
    return f"{amount} {'litre' if amount == '1' else 'litres'}"


def measure_text(what: str, value: float, units: Units) -> str:
    """Give what a meter showed, with its unit: a level [cm], a temperature [degree C], an EC [mS/cm] or a pH."""
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
    """Give inches in centimetres [cm]."""
    return inches * _CM_AN_INCH


def celsius_of(fahrenheit: float) -> float:
    """Give degrees Fahrenheit in degrees Celsius [degree C]."""
    return (fahrenheit - 32) * 5 / 9


def clock_text(at: time) -> str:
    """Give a time of day, such as ``22:15``."""
    return f"{at:%H:%M}"


def length_text(cm: float, units: Units) -> str:
    """Give a length with its unit, in centimetres or inches [cm]."""
    return f"{cm / _CM_AN_INCH:.2g} inches" if units == "us" else f"{cm:g} cm"


def water_weight_text(litres: float, units: Units) -> str:
    """Give what water of a volume weighs, in kilograms or pounds [L]."""
    return f"{litres * 1000 / _GRAMS_A_POUND:.0f} pounds" if units == "us" else f"{litres:g} kg"


def mass_text(grams: float, units: Units) -> str:
    """Give what is weighed on a kitchen scale with its unit, to three digits [g]."""
    if units == "us":
        ounces = float(f"{grams / _GRAMS_AN_OUNCE:.3g}")
        if ounces < 1:
            # So little is weighed in grams, on a scale that has them.
            return f"{ounces:.2g} oz ({grams:.3g} g)"
        pounds, rest = divmod(ounces, 16)
        in_ounces = f"{rest if pounds else ounces:.3g} oz"
        return f"{pounds:g} lb {in_ounces}" if pounds and rest else f"{pounds:g} lb" if pounds else in_ounces
    grams = float(f"{grams:.3g}")
    return f"{grams / 1000:g} kg" if grams >= 1000 else f"{grams:g} g"


def poured_text(litres: float, units: Units) -> str:
    """Give what is poured with its unit, to three digits: litres or millilitres, gallons or cups [L]."""
    if units == "us":
        gallons = litres / _LITRES_A_GALLON
        is_much = gallons >= _LEAST_GALLONS
        return _plural(gallons, "gallon") if is_much else _plural(gallons * _CUPS_A_GALLON, "cup")
    return _plural(litres, "litre") if litres >= 1 else f"{digits_text(litres * 1000, 3)} mL"


def part_text(grams: float | None, ml: float | None, units: Units) -> str:
    """Give what is weighed of a part, or measured out in millilitres, as labels say it [g], [mL]."""
    if grams is not None:
        return mass_text(grams, units)
    assert ml is not None
    return poured_text(ml / 1000, "metric")


def volume_number(litres: float, units: Units) -> float:
    """Give a volume in litres or gallons, for arithmetic that is shown [L]."""
    return litres / _LITRES_A_GALLON if units == "us" else litres


def digits_text(number: float, digits: int) -> str:
    """Give a number to some digits, without an exponent up to a million."""
    return f"{float(f'{number:.{digits}g}'):g}"


def spoons_text(teaspoons: float) -> str | None:
    """Give level teaspoons as kitchen measures, to a quarter of a teaspoon, or ``None`` for less than an eighth.

    Three teaspoons are a tablespoon, 48 a cup.  From a quarter of a cup on, whole teaspoons are near enough.
    """
    quarters = round(teaspoons * 4)
    if quarters == 0:
        return None
    if quarters >= 4 * _TEASPOONS_A_QUARTER_CUP:
        quarters = 4 * round(quarters / 4)
    cups, rest = divmod(quarters, 4 * _TEASPOONS_A_QUARTER_CUP)
    tablespoons, rest = divmod(rest, 4 * _TEASPOONS_A_TABLESPOON)
    told = ((cups / 4, "cup"), (tablespoons, "tablespoon"), (rest / 4, "teaspoon"))
    return listed(f"{_quarters_text(count)} {noun}{'s' if count > 1 else ''}" for count, noun in told if count)


def _plural(number: float, noun: str) -> str:
    shown = digits_text(number, 3)
    return f"{shown} {noun}" if shown == "1" else f"{shown} {noun}s"


def _quarters_text(number: float) -> str:
    """Give a number of quarters as people write it: ``1 1/2``."""
    whole, part = divmod(number, 1)
    parts = {0.0: "", 0.25: "1/4", 0.5: "1/2", 0.75: "3/4"}
    return " ".join(text for text in (f"{whole:g}" if whole else "", parts[part]) if text)


def temperature_text(degrees_c: float, units: Units) -> str:
    """Give a temperature with its unit [degree C]."""
    return f"{degrees_c * 9 / 5 + 32:.0f} °F" if units == "us" else f"{round(degrees_c, 1):g} °C"


def lid_text(inside_cm: tuple[float, float], units: Units) -> str:
    """Give width and length of a lid with their unit, in centimetres or inches [cm]."""
    width, length = (side / _CM_AN_INCH if units == "us" else side for side in inside_cm)
    return f"{width:.3g} x {length:.3g} {'inches' if units == 'us' else 'cm'}"


def counted(number: int, noun: str) -> str:
    """Give a number of things as people say it: ``1 cell``, ``2 cells``."""
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def listed(parts: Iterable[str]) -> str:
    """Give parts as people list them: ``a, b and c``."""
    *most, last = [*parts] or [""]
    return f"{', '.join(most)} and {last}" if most else last


def day_text(day: date) -> str:
    """Give a day as people say it, such as ``Sat 5 Dec``."""
    return f"{_WEEKDAYS[day.weekday()]} {day.day} {_MONTHS[day.month - 1]}"


def holes_text(holes: Iterable[int]) -> str:
    """Give holes as ranges, such as ``1-3, 7``."""
    # Neighbouring holes keep the same distance to their rank.
    ranked = groupby(enumerate(sorted(holes)), key=lambda pair: pair[1] - pair[0])
    runs = [[hole for _, hole in run] for _, run in ranked]
    return ", ".join(str(run[0]) if len(run) == 1 else f"{run[0]}-{run[-1]}" for run in runs)
