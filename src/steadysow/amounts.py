"""Amounts, days and lists as a grower reads them, in the units of the garden.

Takes an amount in metric units and ``metric`` or ``us``; gives text with its unit.  Hides the factors.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from itertools import groupby
from typing import Literal

Units = Literal["metric", "us"]

_GRAMS_AN_OUNCE = 28.349523125
_GRAMS_A_POUND = 453.59237
_LITRES_A_GALLON = 3.785411784
_CM_AN_INCH = 2.54

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
        gallons = f"{litres / _LITRES_A_GALLON:.1f}"
        return f"{gallons} {'gallon' if gallons == '1.0' else 'gallons'}"
    amount = f"{litres:.1f}".removesuffix(".0")
    return f"{amount} {'litre' if amount == '1' else 'litres'}"


def length_text(cm: float, units: Units) -> str:
    """Give a length with its unit, in centimetres or inches [cm]."""
    return f"{cm / _CM_AN_INCH:.2g} inches" if units == "us" else f"{cm:g} cm"


def water_weight_text(litres: float, units: Units) -> str:
    """Give what water of a volume weighs, in kilograms or pounds [L]."""
    return f"{litres * 1000 / _GRAMS_A_POUND:.0f} pounds" if units == "us" else f"{litres:g} kg"


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
