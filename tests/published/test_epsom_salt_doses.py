"""Doses of Epsom salt, computed elsewhere from its molar mass (MgSO4.7H2O, 246.47 g/mol, Mg 0.098614, S 0.130079)."""

from __future__ import annotations

import pytest

from steadysow.inputs.composition import SALTS, shares_of
from steadysow.inputs.recipes import Part, Recipe
from steadysow.upkeep.nutrients import strength

GALLON_LITRES = 3.78541


def levels(grams: float, litres: float, water_to_one: float = 0) -> tuple[float, float]:
    """Give magnesium and sulfur of a dose in some litres, diluted or not [mg/L]."""
    content = tuple(shares_of(SALTS["Epsom salt"]).items())
    part = Part(name="Epsom salt", grams=grams, ml=None, known_by="salt", content=content)
    told = strength(Recipe(name="dose", parts=(part,), makes_litres=litres, water_to_one=water_to_one))
    return told.level("Mg").mg_per_litre, told.level("S").mg_per_litre


@pytest.mark.parametrize(
    ("grams", "litres", "magnesium"), [(5, GALLON_LITRES, 130.3), (5, 11, 44.8), (4.5, 11, 40.3), (6, 11, 53.8)]
)
def test_a_teaspoon_in_a_tote(grams: float, litres: float, magnesium: float) -> None:
    """A level teaspoon (4.5 to 6 g) in a gallon, and in eleven litres: nearly the magnesium of Hoagland's solution."""
    assert levels(grams, litres)[0] == pytest.approx(magnesium, abs=0.05)


def test_sulfur_comes_along() -> None:
    """5 g in 11 litres bring 59.1 mg a litre of sulfur."""
    assert levels(5, 11)[1] == pytest.approx(59.1, abs=0.05)


@pytest.mark.parametrize(("grams", "in_mix", "in_tote"), [(15, 78.3, 13.0), (30, 156.5, 26.1), (60, 313.1, 52.2)])
def test_a_bucket_is_diluted_to_a_sixth(grams: float, in_mix: float, in_tote: float) -> None:
    """In a bucket of 18.9 litres, then five parts of water to one."""
    assert levels(grams, 18.9)[0] == pytest.approx(in_mix, abs=0.06)
    assert levels(grams, 18.9, water_to_one=5)[0] == pytest.approx(in_tote, abs=0.05)
