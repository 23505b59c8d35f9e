"""Vermicompost leachate: Garcia-Gomez, Dendooven and Gutierrez-Miceli, Asian J. Plant Sci. 7: 360-367 (2008), seen."""

from __future__ import annotations

import pytest

from steadysow.inputs.composition import ATOMIC_WEIGHTS
from steadysow.inputs.recipes import shipped_recipes
from steadysow.inputs.sources import read_publication
from steadysow.upkeep.nutrient_remarks import mix_remarks
from steadysow.upkeep.nutrients import strength

TABLE = read_publication("garcia-gomez-2008").table


@pytest.mark.parametrize(("ion", "element", "oxygens"), [("NO3", "N", 3), ("PO4", "P", 4)])
def test_elements_of_the_ions(ion: str, element: str, oxygens: int) -> None:
    """What is called computed in the table follows from the ions by atomic weights."""
    ion_weight = ATOMIC_WEIGHTS[element] + oxygens * ATOMIC_WEIGHTS["O"]
    expected = TABLE["mg_per_litre"][ion] * ATOMIC_WEIGHTS[element] / ion_weight
    assert TABLE["computed_mg_per_litre"][element] == pytest.approx(expected, abs=0.05)


def test_the_brew_that_is_shipped_needs_fertiliser_too() -> None:
    """The authors found that leachate needs fertiliser for full growth; our brew is called low in what they lacked."""
    brew = next(recipe for recipe in shipped_recipes() if recipe.is_brew)
    told = " ".join(mix_remarks(strength(brew)))
    assert "Nitrogen is unknown and probably low" in told
    assert "Phosphorus is unknown and probably low" in told
