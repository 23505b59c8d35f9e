"""Recipes of nutrients, and tap water: the types and their reader.

Takes the keys ``recipes``, ``nutrient`` and ``tap_water`` of a garden file, and the shipped recipes; gives frozen
`Recipe` values.  Hides the two ways to write a recipe (a brew, or amounts for a litre of tote water), US units, and
that labels count oxides: the content of a part is by element.  Unknown contents are unknown, not zero.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal

from steadysow.amounts import Units, grams_of, litres_of
from steadysow.inputs.composition import ELEMENTS, LABEL_FORMS, SALTS, salt_named, shares_of
from steadysow.inputs.documents import read_document
from steadysow.inputs.values import FaultList, Section, Value, find_measure, suggestion

# A bought powder, since the nitrogen in a brew is not known.
NUTRIENT = "one-part powder"
STEEP_HOURS = 24.0

_OUNCES_A_POUND = 16
# Our choice: names at least this alike are taken for a slip. "Sea salt" is not.
_ALIKE = 0.8
_EC = "ec"
_BREW_KEYS = ("grams", "ounces", "pounds", "ml")
_DIRECT_KEYS = ("grams_per_litre", "grams_per_gallon", "ml_per_litre", "ml_per_gallon")

Content = tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One part of a recipe.

    Attributes
    ----------
    name
        As written.
    grams, ml
        How much goes into `Recipe.makes_litres` litres [g], [mL]; one of the two is ``None``.
    known_by
        ``salt``: by its formula, so nothing else is in it; ``label``: by its label, so other elements are unknown;
        ``nothing``: unknown, such as castings.
    content
        Pairs (element, share of weight from 0 to 1).
    spoon_grams
        What a level teaspoon of it weighs [g], or ``None``.
    grams_per_ml
        Density of a liquid [g/mL], or ``None``.
    """

    name: str
    grams: float | None
    ml: float | None
    known_by: Literal["salt", "label", "nothing"]
    content: Content = ()
    spoon_grams: float | None = None
    grams_per_ml: float | None = None

    @property
    def weight_grams(self) -> float | None:
        """What it weighs [g], or ``None`` for a liquid of unknown density."""
        if self.ml is None:
            return self.grams
        return None if self.grams_per_ml is None else self.ml * self.grams_per_ml

    def share(self, element: str) -> float | None:
        """Give the share of an element in its weight (0 to 1), or ``None`` if it is not known."""
        nothing_else = 0.0 if self.known_by == "salt" else None
        return next((share for name, share in self.content if name == element), nothing_else)


@dataclass(frozen=True, slots=True, kw_only=True)
class Recipe:
    """A nutrient for totes: a brew, or parts that go straight into tote water.

    Attributes
    ----------
    name, parts, note
        As written. The note says where the amounts come from; it may be empty.
    makes_litres
        For a brew the litres of water that the parts steep in; otherwise 1 litre of tote water [L].
    water_to_one
        Parts of water to one part of brew; 0 if the parts go straight into tote water.
    steep_hours
        How long a brew steeps [h]; ``None`` if it is not a brew.
    """

    name: str
    parts: tuple[Part, ...]
    makes_litres: float = 1.0
    water_to_one: float = 0.0
    steep_hours: float | None = None
    note: str = ""

    @property
    def is_brew(self) -> bool:
        """Whether it is steeped, strained and diluted."""
        return self.steep_hours is not None

    @property
    def dilution(self) -> float:
        """The share of brew in tote water: five parts of water to one make a sixth."""
        return 1 / (1 + self.water_to_one)


@dataclass(frozen=True, slots=True, kw_only=True)
class TapWater:
    """What tap water contains: pairs (element, amount [mg/L]), and its EC [mS/cm] or ``None``."""

    content: Content = ()
    ec: float | None = None


@cache
def shipped_recipes() -> tuple[Recipe, ...]:
    """Give the shipped recipes, read once."""
    faults = FaultList()
    document = read_document(Path(__file__).parents[1] / "starter" / "recipes.yaml", faults)
    recipes = read_recipes(document, "metric")
    faults.raise_if_any()
    return recipes


def recipe_named(name: str, own: Iterable[Recipe]) -> Recipe | None:
    """Give the recipe of a name, a garden's own before a shipped one; ``None`` if there is none."""
    return next((recipe for recipe in (*own, *shipped_recipes()) if recipe.name == name), None)


def recipe_names(own: Iterable[Recipe]) -> tuple[str, ...]:
    """Give the names of all recipes, a garden's own first, each once."""
    return tuple(dict.fromkeys(recipe.name for recipe in (*own, *shipped_recipes())))


def read_recipes(value: Value | None, units: Units) -> tuple[Recipe, ...]:
    """Read the recipes of a garden file.

    Parameters
    ----------
    value
        The value of ``recipes``, or ``None`` if it is left out.
    units
        The units of the file; US keys are allowed only with ``us``.
    """
    return tuple(_read_recipe(entry, units) for entry in value.entries()) if value else ()


def read_nutrient(value: Value | None, own: tuple[Recipe, ...]) -> str:
    """Read the name of the recipe that totes are fed with: a garden's own or a shipped one."""
    if value is None:
        return NUTRIENT
    name = value.text()
    # A recipe with faults still has its name.
    if name and recipe_named(name, own) is None:
        value.fault(f'there is no recipe "{name}"', suggestion(name, recipe_names(own)))
    return name


def read_tap_water(value: Value | None) -> TapWater | None:
    """Read what tap water contains."""
    if value is None:
        return None
    entries = value.entries()
    for entry in entries:
        if entry.name != _EC and entry.name not in ELEMENTS:
            _refuse_element(entry, (*ELEMENTS, _EC))
    return TapWater(
        content=tuple((entry.name, entry.number(least=0, most=5000)) for entry in entries if entry.name in ELEMENTS),
        ec=next((entry.number(least=0, most=20) for entry in entries if entry.name == _EC), None),
    )


def _read_recipe(value: Value, units: Units) -> Recipe:
    recipe = value.section("makes_litres", "makes_gallons", "steep_hours", "water_to_one", "parts", "note")
    makes = find_measure(recipe, metric_key="makes_litres", us_key="makes_gallons", units=units)
    steeped, water, note = recipe.find("steep_hours"), recipe.find("water_to_one"), recipe.find("note")
    is_brew = bool(makes or steeped or water)
    if is_brew:
        makes, water = makes or recipe.need("makes_litres"), recipe.need("water_to_one")
    litres = makes.number(above=0, most=100_000) if makes else 1.0
    return Recipe(
        name=value.key().text(longest=60),
        parts=tuple(_read_part(entry, units, is_brew=is_brew) for entry in recipe.need("parts").entries()),
        makes_litres=litres_of(litres) if makes and makes.name == "makes_gallons" else litres,
        water_to_one=water.number(least=0, most=10_000) if water else 0.0,
        steep_hours=_read_steep_hours(steeped) if is_brew else None,
        note=note.text(longest=500) if note else "",
    )


def _read_steep_hours(value: Value | None) -> float:
    # Our choice: after ten days it is no tea any more.
    return value.number(least=0, most=240) if value else STEEP_HOURS


def _read_part(value: Value, units: Units, *, is_brew: bool) -> Part:
    name = value.key().text(longest=60)
    part = value.section(*_BREW_KEYS, *_DIRECT_KEYS, "grams_per_ml", "spoon_grams", "percent")
    grams, ml = _read_amount(part, units, is_brew=is_brew)
    percent, density, spoon = part.find("percent"), part.find("grams_per_ml"), part.find("spoon_grams")
    salt = salt_named(name)
    if percent and ml is not None and density is None:
        percent.fault("is by weight, so it needs a density", "Add grams_per_ml, such as 1.2, from the label")
    elif salt and ml is not None and density is None:
        value.fault("is a salt in millilitres, so it needs a density", "Write grams, or add grams_per_ml")
    if spoon and ml is not None:
        spoon.fault("is not needed beside millilitres, which a spoon measures directly", "Leave it out")
    if percent is None and salt is None and (near := _near_salt(name)):
        write = f'Write "{near}" if that is what you mean, or add percent from the label'
        value.fault(f'the content of "{name}" is not known', write)
    return Part(
        name=name,
        grams=grams,
        ml=ml,
        known_by="label" if percent else "salt" if salt else "nothing",
        content=_read_percent(percent) if percent else tuple(shares_of(SALTS[salt]).items()) if salt else (),
        spoon_grams=spoon.number(above=0, most=50) if spoon else None,
        grams_per_ml=density.number(least=0.5, most=3) if density else None,
    )


def _read_amount(part: Section, units: Units, *, is_brew: bool) -> tuple[float | None, float | None]:
    """Read the amount of a part in grams or millilitres; it must be given exactly once."""
    written = [found for key in (*_BREW_KEYS, *_DIRECT_KEYS) if (found := part.find(key))]
    right, wrong = (_BREW_KEYS, _DIRECT_KEYS) if is_brew else (_DIRECT_KEYS, _BREW_KEYS)
    if part.sound and not written:
        more = "" if is_brew else "; for a brew, add makes_litres and water_to_one, and write grams or ml"
        part.value.fault("has no amount", f"Write {'grams or ml' if is_brew else f'{right[0]} or ml_per_litre'}{more}")
    for us_key in ("ounces", "pounds"):
        find_measure(part, metric_key="grams", us_key=us_key, units=units)
    for kind in ("grams", "ml"):
        find_measure(part, metric_key=f"{kind}_per_litre", us_key=f"{kind}_per_gallon", units=units)
    for one in (each for each in written[1:] if each.is_sound):
        one.fault(f"gives the amount again, after {written[0].name}", "Keep one of them")
    for one in written[:1]:
        if one.name in wrong:
            one.fault(*_IN_A_BREW if is_brew else _IN_NO_BREW)
        amount = one.number(above=0, most=1_000_000)
        amount *= {"ounces": grams_of(1), "pounds": grams_of(_OUNCES_A_POUND)}.get(one.name, 1.0)
        amount /= litres_of(1) if one.name.endswith("_per_gallon") else 1.0
        return (None, amount) if one.name.startswith("ml") else (amount, None)
    return None, None


_IN_A_BREW = (
    "is an amount for tote water, but the recipe is a brew",
    "Write grams or ml for the whole brew, or delete makes_litres, water_to_one and steep_hours",
)
_IN_NO_BREW = (
    "is an amount for a whole brew, but the recipe does not say how much it makes",
    "Add makes_litres and water_to_one, or write grams_per_litre or ml_per_litre of tote water",
)


def _read_percent(value: Value) -> Content:
    """Read a label, with percent of weight by element or oxide; give the content by element."""
    shares: dict[str, float] = {}
    total = 0.0
    for entry in value.entries():
        if entry.name not in LABEL_FORMS:
            _refuse_element(entry, LABEL_FORMS)
            continue
        percent = entry.number(least=0, most=100)
        total += percent
        for element, share in shares_of(entry.name).items():
            if element in shares:
                entry.fault(f"gives {ELEMENTS[element]} again", "Keep the element or its oxide")
            shares[element] = percent / 100 * share
    if total > 100 + 1e-9:
        value.fault(f"adds up to {total:g}%, more than 100%", "Copy the percentages from the label")
    return tuple(shares.items())


def _refuse_element(entry: Value, known: tuple[str, ...]) -> None:
    named = next((symbol for symbol, name in ELEMENTS.items() if name == entry.name.casefold()), None)
    entry.fault(f'unknown element "{entry.name}"', f"Write {named}" if named else suggestion(entry.name, known))


def _near_salt(name: str) -> str | None:
    """Give the salt that a name may mean; ``None`` if it looks like none."""
    word = name.casefold()
    for salt in SALTS:
        known = salt.casefold()
        if known.startswith(word) or difflib.SequenceMatcher(None, word, known).ratio() >= _ALIKE:
            return salt
    return None
