"""Salts against Hoagland and Arnon, The water-culture method, California AES Circular 347 (1950), seen second-hand.

Solution 1 is, in millimoles a litre, KH2PO4 1, KNO3 5, Ca(NO3)2 5 and MgSO4 2 (from memory; the sums by element in
[hoagland-arnon-1950] are those of the table).  A check of an equation: the table rounds to two or three digits.
"""

from __future__ import annotations

import pytest

from steadysow.inputs.composition import SALTS, shares_of
from steadysow.inputs.recipes import Part, Recipe
from steadysow.inputs.sources import read_publication
from steadysow.upkeep.nutrients import strength

TABLE = read_publication("hoagland-arnon-1950").table
# Millimoles a litre, and molar masses from memory [g/mol].
SOLUTION_1 = {
    "monopotassium phosphate": (1, 136.09),
    "potassium nitrate": (5, 101.10),
    "calcium nitrate tetrahydrate": (5, 236.15),
    "Epsom salt": (2, 246.47),
}


def part(salt: str, millimoles: float, grams_a_mol: float) -> Part:
    """Make a part of so many millimoles a litre."""
    grams = millimoles * grams_a_mol / 1000
    return Part(name=salt, grams=grams, ml=None, known_by="salt", content=tuple(shares_of(SALTS[salt]).items()))


@pytest.mark.parametrize("element", ["N", "P", "K", "Ca", "Mg", "S"])
def test_salts_come_to_the_table(element: str) -> None:
    """Solution 1 of its salts has the milligrams a litre of the table, within its rounding."""
    recipe = Recipe(name="solution 1", parts=tuple(part(salt, *much) for salt, much in SOLUTION_1.items()))
    expected = TABLE["mg_per_litre"][element]
    assert strength(recipe).level(element).mg_per_litre == pytest.approx(expected, rel=0.003)
    computed = TABLE["salts_computed"]["mg_per_litre"][element]
    assert strength(recipe).level(element).mg_per_litre == pytest.approx(computed, rel=5e-4)


@pytest.mark.parametrize(
    ("salt", "millimoles", "element", "expected"),
    [("Epsom salt", 2, "Mg", 48.6), ("Epsom salt", 2, "S", 64), ("calcium nitrate tetrahydrate", 5, "Ca", 200)],
)
def test_single_salts(salt: str, millimoles: float, element: str, expected: float) -> None:
    """2 mM magnesium sulfate bring all the magnesium and sulfur, 5 mM calcium nitrate all the calcium."""
    recipe = Recipe(name="one salt", parts=(part(salt, millimoles, SOLUTION_1[salt][1]),))
    assert strength(recipe).level(element).mg_per_litre == pytest.approx(expected, rel=0.003)


def test_grams_of_epsom_salt() -> None:
    """2 mM are 0.4929 g a litre."""
    epsom = part("Epsom salt", *SOLUTION_1["Epsom salt"])
    assert epsom.grams == pytest.approx(TABLE["salts_computed"]["epsom_salt_g_per_litre"], abs=5e-5)
