"""Remarks on a mix: what is strong, weak or unknown; the figures are worked out by hand beside each."""

from __future__ import annotations

import pytest

from recipes_by_hand import BREW, CASTINGS, brew, direct, powder, salt
from steadysow.inputs.recipes import Recipe, TapWater
from steadysow.upkeep.nutrient_remarks import (
    mix_remarks,
    old_solution_remarks,
    published_solutions,
    tap_water_remarks,
    too_strong,
)
from steadysow.upkeep.nutrients import strength


def remarks_on(recipe: Recipe, water: TapWater | None = None) -> str:
    """Give all remarks on a recipe, as one text."""
    return " ".join(mix_remarks(strength(recipe, water)))


def test_strong_magnesium_is_named() -> None:
    """7.5 g in a litre of brew make 123 mg, more than the 55.9 of published solutions; 1.5 g in a litre do not."""
    assert "Magnesium is strong: at least 123 mg" in remarks_on(brew(CASTINGS, salt("Epsom salt", 75)))
    assert "Magnesium is strong" not in remarks_on(BREW)


def test_a_brew_of_unknown_parts_is_probably_low() -> None:
    """Nitrogen, phosphorus and calcium are called low, with their signs; potassium, rich in leachate, is not."""
    text = remarks_on(BREW)
    # The leachate has 55.8 mg N and 54.8 mg P; a sixth of either is 9.  Its potassium, 834, is 139 in the tote.
    assert "Nitrogen is unknown and probably low (estimate)" in text
    assert "has 9 mg a litre; published solutions have 77 to 242" in text
    assert "Watch whether older leaves turn pale." in text
    assert "Calcium is unknown and probably low" in text
    assert "tip burn" in text
    assert "Potassium" not in text
    assert "EC meter shows less" in text
    assert "Nobody knows what dissolves from castings. Unknown contents are shown as unknown, not as zero." in text


def test_calcium_of_the_tap_counts() -> None:
    """Hard water has the calcium that a brew lacks; with softer water calcium is called low, but not unknown."""
    assert "Calcium" not in remarks_on(BREW, TapWater(content=(("Ca", 60),)))
    assert "Calcium is probably low" in remarks_on(BREW, TapWater(content=(("Ca", 20),)))


def test_a_weak_powder_is_named() -> None:
    """A tenth of a gram with 10 % nitrogen has 10 mg, less than 77; an element that no label lists is named."""
    text = remarks_on(direct(powder(0.1, N=10)))
    assert "Nitrogen is weak: 10 mg a litre; published solutions have 77 to 242. Sign of a lack: older leaves" in text
    assert "Calcium is on no label here" in text
    assert "EC meter" not in text
    assert "Nobody knows" not in text


def test_a_label_in_a_brew_is_doubted() -> None:
    """A remark doubts that all of a labelled part dissolves in a brew, and has no doubt without a brew."""
    assert "All of powder is counted as dissolved" in remarks_on(brew(powder(100, N=10)))
    assert "counted as dissolved" not in remarks_on(direct(powder(1, N=10)))


def test_missing_tap_water_is_named() -> None:
    """A remark says that tap water is not counted if the garden does not give it."""
    assert "Tap water is not counted" in remarks_on(BREW)
    assert "Tap water is not counted" not in remarks_on(BREW, TapWater())


def test_salty_tap_water_is_named() -> None:
    """The source advises at most 50 mg of sodium and 150 of calcium, and has no figure for magnesium."""
    salty = tap_water_remarks(TapWater(content=(("Na", 80), ("Ca", 150), ("Mg", 900))))
    assert [sentence[:45] for sentence in salty] == ["Tap water has 80 mg a litre of sodium; at mos"]
    assert tap_water_remarks(None) == ()


def test_salts_that_pile_up_are_named() -> None:
    """With 40 mg a litre, 6 L onto 5 of the same mix may reach 62, more than 55.9; 6 L onto 60 reach at most 44."""
    strong = strength(direct(salt("Epsom salt", 0.4056)))
    assert strong.level("Mg").mg_per_litre == pytest.approx(40, abs=0.01)
    assert old_solution_remarks(strong, 6, 5) == (
        "Magnesium may reach 62 mg a litre with what is left in the old solution; published solutions have at most"
        " 55.9.",
    )
    assert old_solution_remarks(strong, 6, 60) == ()


def test_solutions_have_the_figures_of_their_table() -> None:
    """A single solution has one figure for both ends, and none for an element that its source leaves out."""
    hoagland, lettuce, many = published_solutions()
    assert hoagland.range("N") == (210, 210)
    assert lettuce.range("Cu") is None
    assert many.range("Mg") == (18.7, 55.9)


def test_too_strong_names_only_excess() -> None:
    """60 g of Epsom salt in 10 litres make 98.6 mg of magnesium a litre in the tote; 15 g are not too strong."""
    (sentence,) = too_strong(strength(brew(CASTINGS, salt("Epsom salt", 60))))
    assert sentence.startswith("Magnesium is strong: at least 99 mg a litre")
    assert too_strong(strength(BREW)) == ()
