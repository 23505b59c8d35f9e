"""Days to emergence by temperature, Harrington & Minges.

Source: [harrington-minges-1954], days from 1/2 inch deep in soil.  The rows were noted from a reprint; the leaflet
itself was not read.
"""

from collections.abc import Mapping
from datetime import date, timedelta
from fractions import Fraction
from itertools import pairwise
from typing import Literal

import numpy as np
import pytest

from builders import a_crop
from steadysow.growth.daylight import Conditions
from steadysow.growth.rates import emergence_rate
from steadysow.growth.timeline import emerges_on
from steadysow.inputs.crops import Crop
from steadysow.inputs.sources import read_publication

Table = tuple[tuple[float, float | None], ...]

TEMPERATURES_C = (0, 5, 10, 15, 20, 25, 30, 35, 40)
PRINTED: Mapping[str, Mapping[int, int | Literal["none"]]] = read_publication("harrington-minges-1954").table[
    "days_by_temperature_c"
]
# What was not tested is no number and no "none".
CELLS = [
    (crop, temperature_c, row.get(temperature_c)) for crop, row in PRINTED.items() for temperature_c in TEMPERATURES_C
]
SOWN_ON = date(2026, 3, 2)


def table(crop: str) -> Table:
    """Give a printed row as a profile holds it: what was not tested is left out."""
    return tuple((temperature_c, None if days == "none" else days) for temperature_c, days in PRINTED[crop].items())


def profile(crop: str) -> Crop:
    """Give a profile of which only the emergence table matters here."""
    return a_crop(crop, emergence=table(crop))


@pytest.mark.parametrize(
    ("crop", "temperature_c", "cell"),
    [("lettuce", 20, 3), ("pepper", 15, 25), ("tomato", 10, 43), ("cucumber", 10, "none"), ("parsley", 5, None)],
)
def test_rows_are_copied_well(crop: str, temperature_c: int, cell: int | str | None) -> None:
    """Some cells, noted on their own, stand in the table as they were printed."""
    assert PRINTED[crop].get(temperature_c) == cell


@pytest.mark.parametrize(("crop", "temperature_c", "cell"), CELLS)
def test_printed_days_come_back_as_dates(crop: str, temperature_c: int, cell: int | str | None) -> None:
    """At each printed temperature seeds emerge after the printed days; at none, and where nobody tested, never."""
    nursery = Conditions(first_on=SOWN_ON, temperature_c=(float(temperature_c),) * 200, dli_mol=(6.0,) * 200)
    expected = SOWN_ON + timedelta(days=cell) if isinstance(cell, int) else None
    assert emerges_on(profile(crop), SOWN_ON, nursery) == expected


@pytest.mark.parametrize("crop", PRINTED)
def test_half_way_the_rate_is_the_mean_of_both_rates(crop: str) -> None:
    """Half way between two printed temperatures 1 / days is the mean of both; beside a none there is no rate."""
    for (low_c, low), (high_c, high) in pairwise(table(crop)):
        rate = emergence_rate((low_c + high_c) / 2, table(crop))
        if low is None or high is None:
            assert rate is None
        else:
            assert rate == pytest.approx(float((1 / Fraction(low) + 1 / Fraction(high)) / 2))


@pytest.mark.parametrize("crop", PRINTED)
def test_rates_agree_with_another_librarys_interpolation(crop: str) -> None:
    """Between the first and last temperature with days, the rates are numpy's linear interpolation of 1 / days."""
    emerging = [(temperature_c, 1 / days) for temperature_c, days in table(crop) if days is not None]
    temperatures_c, daily = zip(*emerging, strict=True)
    asked_c = np.linspace(temperatures_c[0], temperatures_c[-1], 101)
    assert [emergence_rate(float(c), table(crop)) for c in asked_c] == pytest.approx(
        np.interp(asked_c, temperatures_c, daily)
    )


@pytest.mark.parametrize("crop", PRINTED)
def test_past_the_last_tested_temperature_nothing_is_promised(crop: str) -> None:
    """Colder and warmer than every temperature tested there is no rate, however close."""
    tested_c = [temperature_c for temperature_c, _ in table(crop)]
    assert emergence_rate(tested_c[0] - 0.1, table(crop)) is None
    assert emergence_rate(tested_c[-1] + 0.1, table(crop)) is None


def test_lettuce_in_a_room_of_seventeen_and_a_half_degrees() -> None:
    """Lettuce half way between 4 days at 15 degrees and 3 days at 20 takes 24/7 of a day, not 3.5."""
    assert emergence_rate(17.5, table("lettuce")) == pytest.approx(7 / 24)
