"""Recipes and tap water are read, and every fault has its line."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from steadysow.errors import Fault
from steadysow.inputs.garden import Garden
from steadysow.inputs.garden_file import read_garden
from steadysow.inputs.recipes import (
    NUTRIENT,
    Part,
    Recipe,
    TapWater,
    recipe_named,
    recipe_names,
    shipped_recipes,
)

FaultsOf = Callable[[str], tuple[Fault, ...]]

RECIPES = """\
nutrient: shelf brew
tap_water: {Ca: 40, Mg: 6, ec: 0.4}
recipes:
  shelf brew:
    makes_litres: 10
    water_to_one: 5
    parts:
      worm castings: {grams: 800}
      seaweed: {ml: 50}
      epsom salt: {grams: 12, spoon_grams: 5}
  two bottles:
    parts:
      bottle A: {ml_per_litre: 2.0, grams_per_ml: 1.2, percent: {N: 5, K2O: 4, Ca: 4}}
      bottle B: {ml_per_litre: 2.0, grams_per_ml: 1.1, percent: {P2O5: 4}}
    note: by its labels
"""
# The garden of the tests has eleven lines, so the first of these is line 12.
FIRST = 12


def read(folder: Path, text: str) -> Garden:
    """Write a garden file and read it."""
    (folder / "garden.yaml").write_text(text, encoding="utf-8")
    return read_garden(folder)


def test_a_brew_is_read(folder: Path, garden_text: str) -> None:
    """Parts of a brew keep their grams; the content of a salt is known, that of castings is not; it steeps a day."""
    garden = read(folder, garden_text + RECIPES)
    assert garden.nutrient == "shelf brew"
    assert garden.tap_water == TapWater(content=(("Ca", 40), ("Mg", 6)), ec=0.4)
    brew = garden.recipes[0]
    assert (brew.makes_litres, brew.water_to_one, brew.steep_hours, brew.is_brew) == (10, 5, 24, True)
    castings, seaweed, epsom = brew.parts
    assert castings == Part(name="worm castings", grams=800, ml=None, known_by="nothing")
    assert (seaweed.grams, seaweed.ml, seaweed.weight_grams) == (None, 50, None)
    assert (epsom.known_by, epsom.spoon_grams) == ("salt", 5)
    # 24.305 of 246.47 g/mol, and no nitrogen at all.
    assert epsom.share("Mg") == pytest.approx(24.305 / 246.47, rel=1e-4)
    assert epsom.share("N") == 0
    assert castings.share("N") is None


def test_a_direct_recipe_is_read(folder: Path, garden_text: str) -> None:
    """Amounts for a litre go straight in; oxides on a label become elements; other elements are unknown."""
    two = recipe_named("two bottles", read(folder, garden_text + RECIPES).recipes)
    assert two is not None
    assert (two.makes_litres, two.water_to_one, two.is_brew, two.note) == (1, 0, False, "by its labels")
    first, second = two.parts
    assert (first.ml, first.weight_grams, first.known_by) == (2, 2.4, "label")
    assert first.share("N") == 0.05
    # 2 x 39.098 of 94.195 g/mol.
    assert first.share("K") == pytest.approx(0.04 * 78.196 / 94.195, rel=1e-4)
    # 2 x 30.974 of 141.943 g/mol.
    assert second.share("P") == pytest.approx(0.04 * 61.948 / 141.943, rel=1e-4)
    assert first.share("P") is None


def test_us_units_become_metric(folder: Path, garden_text: str) -> None:
    """Ounces, pounds and gallons are converted by the exact factors of NIST Handbook 44, appendix C (from memory)."""
    text = """\
units: us
recipes:
  bucket: {makes_gallons: 5, water_to_one: 5, parts: {castings: {pounds: 3}, kelp meal: {ounces: 6}, molasses: {ml: 5}}}
  powder: {parts: {powder: {grams_per_gallon: 3.785411784}, bottle: {ml_per_gallon: 7.570823568}}}
"""
    bucket, powder = read(folder, garden_text + text).recipes
    assert bucket.makes_litres == pytest.approx(18.92705892)
    assert [part.grams for part in bucket.parts] == [pytest.approx(1360.77711), pytest.approx(170.09713875), None]
    assert powder.parts[0].grams == pytest.approx(1)
    assert powder.parts[1].ml == pytest.approx(2)


def test_shipped_recipes(folder: Path, garden_text: str) -> None:
    """A garden without a nutrient uses the shipped powder; one brew is shipped too, both marked as our estimate."""
    garden = read(folder, garden_text)
    assert (garden.nutrient, garden.recipes, garden.tap_water) == (NUTRIENT, (), None)
    assert recipe_named(garden.nutrient, garden.recipes) is not None
    assert sorted(recipe.is_brew for recipe in shipped_recipes()) == [False, True]
    assert all("our estimate" in recipe.note for recipe in shipped_recipes())


def test_own_recipe_replaces_shipped(folder: Path, garden_text: str) -> None:
    """A garden's own recipe replaces the shipped one with its name, and the name is listed once."""
    own = read(folder, garden_text + f"recipes: {{{NUTRIENT}: {{parts: {{salt: {{grams_per_litre: 2}}}}}}}}\n").recipes
    found = recipe_named(NUTRIENT, own)
    assert isinstance(found, Recipe)
    assert found.parts[0].name == "salt"
    assert recipe_names(own).count(NUTRIENT) == 1


FAULTS = {
    "no such recipe": ("nutrient: shelf brew", "nutrient: self brew", 0, "nutrient", "Did you mean shelf brew?"),
    "water that is no element": (
        "{Ca: 40,",
        "{Calcium: 40,",
        1,
        "tap_water.Calcium",
        'unknown element "Calcium". Write Ca',
    ),
    "water below nothing": ("Mg: 6,", "Mg: -6,", 1, "tap_water.Mg", "too small"),
    "part without an amount": (
        "{grams: 800}",
        "{spoon_grams: 5}",
        7,
        "recipes.shelf brew.parts.worm castings",
        "has no amount",
    ),
    "direct part without an amount": (
        "ml_per_litre: 2.0, grams_per_ml: 1.1",
        "grams_per_ml: 1.1",
        13,
        "recipes.two bottles.parts.bottle B",
        "makes_litres and water_to_one",
    ),
    "direct amount in a brew": (
        "{grams: 800}",
        "{grams_per_litre: 80}",
        7,
        "recipes.shelf brew.parts.worm castings.grams_per_litre",
        "the recipe is a brew",
    ),
    "amount of a brew in no brew": (
        "bottle B: {ml_per_litre: 2.0",
        "bottle B: {ml: 2.0",
        13,
        "recipes.two bottles.parts.bottle B.ml",
        "Add makes_litres and water_to_one",
    ),
    "both amounts": (
        "{grams: 800}",
        "{grams: 800, ml: 900}",
        7,
        "recipes.shelf brew.parts.worm castings.ml",
        "gives the amount again, after grams",
    ),
    "percent beyond a hundred": (
        "{N: 5, K2O: 4, Ca: 4}",
        "{N: 50, K2O: 40, Ca: 14}",
        12,
        "recipes.two bottles.parts.bottle A.percent",
        "adds up to 104%",
    ),
    "no element": (
        "{P2O5: 4}",
        "{P205: 4}",
        13,
        "recipes.two bottles.parts.bottle B.percent.P205",
        'unknown element "P205". Did you mean P2O5?',
    ),
    "element twice": (
        "{P2O5: 4}",
        "{P2O5: 4, P: 2}",
        13,
        "recipes.two bottles.parts.bottle B.percent.P",
        "gives phosphorus again",
    ),
    "percent of a liquid without density": (
        "grams_per_ml: 1.1, ",
        "",
        13,
        "recipes.two bottles.parts.bottle B.percent",
        "Add grams_per_ml",
    ),
    "millilitres of a salt": (
        "{grams: 12, spoon_grams: 5}",
        "{ml: 12}",
        9,
        "recipes.shelf brew.parts.epsom salt",
        "Write grams",
    ),
    "spoons of a liquid": (
        "{ml: 50}",
        "{ml: 50, spoon_grams: 5}",
        8,
        "recipes.shelf brew.parts.seaweed.spoon_grams",
        "Leave it out",
    ),
    "water below none": ("water_to_one: 5", "water_to_one: -1", 5, "recipes.shelf brew.water_to_one", "too small"),
    "brew without dilution": ("    water_to_one: 5\n", "", 3, "recipes.shelf brew.water_to_one", "is missing"),
    "dilution without a brew": ("    makes_litres: 10\n", "", 3, "recipes.shelf brew.makes_litres", "is missing"),
    "steeped for weeks": (
        "water_to_one: 5",
        "water_to_one: 5\n    steep_hours: 500",
        6,
        "recipes.shelf brew.steep_hours",
        "too large",
    ),
    "nearly a salt": ("epsom salt:", "epsom salts:", 9, "recipes.shelf brew.parts.epsom salts", 'Write "Epsom salt"'),
    "salt half named": (
        "seaweed: {ml: 50}",
        "calcium nitrate: {grams: 5}",
        8,
        "recipes.shelf brew.parts.calcium nitrate",
        'Write "calcium nitrate tetrahydrate"',
    ),
    "pounds in metric": (
        "{grams: 800}",
        "{pounds: 2}",
        7,
        "recipes.shelf brew.parts.worm castings.pounds",
        "allowed only with units: us",
    ),
    "unknown key": (
        "water_to_one: 5",
        "water_to_on: 5",
        5,
        "recipes.shelf brew.water_to_on",
        "Did you mean water_to_one?",
    ),
    "no parts": ("    note: by its labels\n", "  empty: {note: nothing}\n", 14, "recipes.empty.parts", "is missing"),
}


@pytest.mark.parametrize("case", FAULTS)
def test_every_fault_says_where_and_what_to_write(case: str, faults_of: FaultsOf, garden_text: str) -> None:
    """Each fault has its line, its field, what is wrong and what to write."""
    old, new, line, field, message = FAULTS[case]
    assert RECIPES.count(old) == 1
    faults = faults_of(garden_text + RECIPES.replace(old, new))
    assert (FIRST + line, field) in {(fault.line, fault.field) for fault in faults}
    assert any(message in str(fault) for fault in faults if fault.field == field)


def test_one_mistake_is_one_fault(faults_of: FaultsOf, garden_text: str) -> None:
    """Each mistake gives one fault, also a US and a metric amount side by side."""
    for case in set(FAULTS) - {"brew without dilution", "dilution without a brew", "unknown key"}:
        old, new, *_ = FAULTS[case]
        assert len(faults_of(garden_text + RECIPES.replace(old, new))) == 1, case
    both = RECIPES.replace("{grams: 800}", "{grams: 800, ounces: 28}")
    assert len(faults_of("units: us\n" + garden_text + both)) == 1


def test_five_mistakes_are_reported_at_once(faults_of: FaultsOf, garden_text: str) -> None:
    """All mistakes of a file are reported together."""
    cases = ("no such recipe", "water below nothing", "both amounts", "no element", "nearly a salt")
    text = RECIPES
    for case in cases:
        old, new, *_ = FAULTS[case]
        text = text.replace(old, new)
    assert {fault.field for fault in faults_of(garden_text + text)} == {FAULTS[case][3] for case in cases}


@pytest.mark.parametrize("name", ["sea salt", "kelp meal", "fish hydrolysate", "worm castings"])
def test_a_name_of_its_own_is_no_slip(name: str, folder: Path, garden_text: str) -> None:
    """A part that is no known salt has an unknown content, without a fault."""
    garden = read(folder, garden_text + RECIPES.replace("worm castings", name))
    assert garden.recipes[0].parts[0].known_by == "nothing"
