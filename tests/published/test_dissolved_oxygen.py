"""Oxygen at saturation: [dissolved-oxygen-apha-1985] and [dissolved-oxygen-en-25814].

The formula of APHA (1985) as the documentation of SWAT+ gives it, and the table of EN 25814 as the manual of an
instrument prints it; fresh water at sea level.  All checks are of the equation: to three decimals of the row computed
with the formula elsewhere, and to the three digits that the standard's table prints.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import exp

import pytest

from steadysow.growth.rates import oxygen_saturation_mg
from steadysow.inputs.sources import read_publication

APHA = read_publication("dissolved-oxygen-apha-1985").table
COMPUTED: Mapping[float, float] = APHA["mg_per_l_by_temperature_c"]
POWERS: Mapping[int, float] = APHA["ln_mg_per_l_by_power_of_kelvin"]
PRINTED: Mapping[float, float] = read_publication("dissolved-oxygen-en-25814").table["mg_per_l_by_temperature_c"]


@pytest.mark.parametrize("temperature_c", COMPUTED)
def test_formula_of_apha(temperature_c: float) -> None:
    """The formula as we hold it gives the row that was computed elsewhere."""
    assert oxygen_saturation_mg(temperature_c) == pytest.approx(COMPUTED[temperature_c], abs=0.00051)


@pytest.mark.parametrize("temperature_c", [0, 7.3, 21.5, 40])
def test_coefficients_of_apha(temperature_c: float) -> None:
    """Between the rows, too, the formula is the sum of the published powers."""
    kelvin = temperature_c + 273.15
    published = exp(sum(coefficient * kelvin**power for power, coefficient in POWERS.items()))
    assert oxygen_saturation_mg(temperature_c) == pytest.approx(published)


@pytest.mark.parametrize("temperature_c", PRINTED)
def test_table_of_the_standard(temperature_c: float) -> None:
    """Every figure of the standard's table, to the three digits that it prints."""
    assert float(f"{oxygen_saturation_mg(temperature_c):.3g}") == PRINTED[temperature_c]
