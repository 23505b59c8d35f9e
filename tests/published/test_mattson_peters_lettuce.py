"""The lettuce solution of Mattson and Peters, A Recipe for Hydroponic Success, from memory.

A check of an outcome: the shipped powder is composed after it, and the shipped brew has its magnesium.  A label's
figures are coarse, so 15 % are allowed.
"""

from __future__ import annotations

import pytest

from steadysow.inputs.recipes import NUTRIENT, recipe_named, shipped_recipes
from steadysow.inputs.sources import read_publication
from steadysow.upkeep.nutrient_remarks import mix_remarks
from steadysow.upkeep.nutrients import strength

LETTUCE = read_publication("mattson-peters-lettuce").table["mg_per_litre"]


@pytest.mark.parametrize("element", LETTUCE)
def test_the_powder_that_is_shipped_comes_near(element: str) -> None:
    """Each element of the solution is within 15 % of it."""
    powder = recipe_named(NUTRIENT, ())
    assert powder is not None
    assert strength(powder).level(element).mg_per_litre == pytest.approx(LETTUCE[element], rel=0.15)


def test_the_powder_that_is_shipped_is_neither_strong_nor_weak() -> None:
    """All of it lies within the published range, so that only tap water is left to speak of."""
    powder = recipe_named(NUTRIENT, ())
    assert powder is not None
    assert [sentence[:9] for sentence in mix_remarks(strength(powder))] == ["Tap water"]


def test_the_brew_that_is_shipped_has_its_magnesium() -> None:
    """The Epsom salt of the brew brings the magnesium of the solution, and hardly more."""
    brew = next(recipe for recipe in shipped_recipes() if recipe.is_brew)
    assert strength(brew).level("Mg").mg_per_litre == pytest.approx(LETTUCE["Mg"], rel=0.05)
