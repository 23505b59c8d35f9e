"""Recipes made by hand: castings whose contents are unknown, salts, labels, brews.

Takes parts and amounts; gives parts and recipes.
"""

from __future__ import annotations

from steadysow.inputs.composition import SALTS, shares_of
from steadysow.inputs.recipes import Part, Recipe

CASTINGS = Part(name="castings", grams=800, ml=None, known_by="nothing")


def salt(name: str, grams: float, spoon_grams: float | None = None) -> Part:
    """Make a part that is a salt."""
    content = tuple(shares_of(SALTS[name]).items())
    return Part(name=name, grams=grams, ml=None, known_by="salt", content=content, spoon_grams=spoon_grams)


def powder(grams: float = 1.0, **percent: float) -> Part:
    """Make a part by its label."""
    content = tuple((element, share / 100) for element, share in percent.items())
    return Part(name="powder", grams=grams, ml=None, known_by="label", content=content)


def brew(*parts: Part, litres: float = 10, water: float = 5) -> Recipe:
    """Make a brew."""
    return Recipe(name="brew", parts=parts, makes_litres=litres, water_to_one=water, steep_hours=24)


def direct(*parts: Part) -> Recipe:
    """Make a recipe whose parts go straight into tote water."""
    return Recipe(name="direct", parts=parts)


BREW = brew(CASTINGS, salt("Epsom salt", 15, spoon_grams=5))
