"""What a recipe comes to, what to weigh, and what is said of it; figures are worked out by hand beside each."""

from __future__ import annotations

import pytest

from steadysow.inputs.composition import SALTS, shares_of
from steadysow.inputs.crops import Band
from steadysow.inputs.recipes import Part, Recipe, TapWater
from steadysow.upkeep.nutrients import (
    blended,
    carried_over,
    common_range,
    crop_ranges,
    judged,
    judged_water,
    judged_with_old,
    mix,
    published_solutions,
    strength,
    too_strong,
)
from tiny import make_crop

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


def test_five_parts_of_water_to_one_make_a_sixth() -> None:
    """Eleven litres are a sixth of brew, 1.833, and 9.167 of water."""
    mixed = mix(BREW, 11)
    assert BREW.dilution == pytest.approx(1 / 6)
    assert mixed.brew_litres == pytest.approx(1.8333, abs=1e-4)
    assert mixed.water_litres == pytest.approx(9.1667, abs=1e-4)


def test_straining_loses_a_tenth() -> None:
    """1.8333 litres are left of 2.037 that steep, so 2.037 tenths of each part are weighed: 3.056 of 15 g."""
    mixed = mix(BREW, 11)
    assert mixed.steep_litres == pytest.approx(2.0370, abs=1e-4)
    castings, epsom = mixed.amounts
    assert castings.grams == pytest.approx(162.96, abs=0.01)
    assert epsom.grams == pytest.approx(3.0556, abs=1e-4)
    assert epsom.teaspoons == pytest.approx(0.61111, abs=1e-5)
    assert castings.teaspoons is None


def test_direct_parts_go_by_the_litre() -> None:
    """Without a brew all is water, and nothing is steeped or lost."""
    bottle = Part(name="bottle", grams=None, ml=2, known_by="nothing")
    mixed = mix(direct(powder(0.8), bottle), 30)
    assert (mixed.steep_litres, mixed.brew_litres, mixed.water_litres) == (0, 0, 30)
    assert [amount.grams for amount in mixed.amounts] == [pytest.approx(24), None]
    assert [amount.ml for amount in mixed.amounts] == [None, 60]
    assert mixed.amounts[1].teaspoons is None


def test_a_liquid_counts_by_its_weight() -> None:
    """2 mL of 1.2 g, 5 % of it nitrogen: 120 mg."""
    bottle = Part(name="bottle", grams=None, ml=2, known_by="label", content=(("N", 0.05),), grams_per_ml=1.2)
    assert strength(direct(bottle)).level("N").mg_per_litre == pytest.approx(120)


def test_unknown_parts_make_it_at_least() -> None:
    """Magnesium is known from the salt and more may come of the castings; of nitrogen nothing can be said."""
    told = strength(BREW)
    # 15 g x 0.098614 / 10 L / 6 = 24.65 mg.
    assert told.level("Mg").mg_per_litre == pytest.approx(24.65, abs=0.01)
    assert (told.level("Mg").unknown_from, told.level("Mg").is_recorded) == (("castings",), True)
    assert (told.level("N").unknown_from, told.level("N").is_recorded) == (("castings",), False)


def test_a_label_says_nothing_of_what_it_leaves_out() -> None:
    """What no label names is not told; what only salts could bring is known to be nothing."""
    level = strength(direct(powder(N=10))).level("Ca")
    assert (level.is_recorded, level.unlisted_by, level.unknown_from) == (False, ("powder",), ())
    assert strength(direct(salt("Epsom salt", 1))).level("Ca").is_recorded


def test_tap_water_comes_along_undiluted() -> None:
    """All tote water comes from the tap, so its magnesium adds to the brew's: 24.65 + 6."""
    told = strength(BREW, TapWater(content=(("Mg", 6), ("Ca", 40))))
    assert told.level("Mg").mg_per_litre == pytest.approx(30.65, abs=0.01)
    assert told.level("Ca").mg_per_litre == 40


def test_blending() -> None:
    """6 L of 30 mg onto 5 L of 10 mg: 230 mg in 11 L.  Plain water restores the volume, and no salt."""
    assert blended(30, 6, 10, 5) == pytest.approx(230 / 11)
    assert blended(0, 6, 10, 5) * 11 == pytest.approx(50)


def test_what_is_left_over_has_two_ends() -> None:
    """6 L of 44 mg onto 5 L in a tote of 11: 264 mg if all was taken up; with the 484 of the full tote, 748."""
    least, most = carried_over(44, 6, 5)
    assert least == pytest.approx(264 / 11)
    assert most == pytest.approx(748 / 11)


def told_of(recipe: Recipe, water: TapWater | None = None) -> str:
    """Give all that is said of a recipe."""
    return " ".join(judged(strength(recipe, water)))


def test_strong_magnesium_is_told() -> None:
    """7.5 g a litre of brew come to 123 mg, over the 55.9 of the published solutions; 15 g in ten litres do not."""
    assert "Magnesium is strong: at least 123 mg" in told_of(brew(CASTINGS, salt("Epsom salt", 75)))
    assert "Magnesium is strong" not in told_of(BREW)


def test_a_brew_of_unknown_parts_is_probably_low() -> None:
    """Nitrogen, phosphorus and calcium are called low with their signs; potassium, rich in leachate, is not."""
    told = told_of(BREW)
    # The leachate has 55.8 mg N and 54.8 mg P; a sixth of either is 9. Its potassium, 834, is 139 in the tote.
    assert "Nitrogen is unknown and probably low (estimate)" in told
    assert "has 9 mg a litre, published solutions 77 to 242" in told
    assert "older leaves turn pale" in told
    assert "Calcium is unknown and probably low" in told
    assert "tip burn" in told
    assert "Potassium" not in told
    assert "EC meter shows less" in told


def test_calcium_of_the_tap_counts() -> None:
    """Hard water has the calcium that a brew lacks; with less it is called low, but not unknown."""
    assert "Calcium" not in told_of(BREW, TapWater(content=(("Ca", 60),)))
    assert "Calcium is probably low" in told_of(BREW, TapWater(content=(("Ca", 20),)))


def test_a_weak_powder_is_told() -> None:
    """A tenth of a gram of N 10 is 10 mg of the least 77; what is on no label is told as such."""
    told = told_of(direct(powder(0.1, N=10)))
    assert "Nitrogen is weak: 10 mg a litre; published solutions have 77 to 242" in told
    assert "Calcium is on no label here" in told
    assert "EC meter" not in told


def test_a_label_in_a_brew_is_doubted() -> None:
    """What a meal's label names does not all dissolve, and that is said."""
    assert "All of powder is counted as dissolved" in told_of(brew(powder(100, N=10)))
    assert "counted as dissolved" not in told_of(direct(powder(1, N=10)))


def test_tap_water_that_is_not_told_is_said() -> None:
    """Without tap_water the sentence says so."""
    assert "Tap water is not counted" in told_of(BREW)
    assert "Tap water is not counted" not in told_of(BREW, TapWater())


def test_salty_tap_water_is_told() -> None:
    """The source advises at most 50 mg sodium and 150 calcium, and says nothing of magnesium."""
    salty = judged_water(TapWater(content=(("Na", 80), ("Ca", 150), ("Mg", 900))))
    assert [sentence[:45] for sentence in salty] == ["Tap water has 80 mg a litre of sodium; at mos"]
    assert judged_water(None) == ()


def test_salts_that_pile_up_are_told() -> None:
    """40 mg on a tote that was full of 40: 6 L onto 5 may reach 62, over 55.9; 6 L onto 60 at most 44."""
    strong = strength(direct(salt("Epsom salt", 0.4056)))
    assert strong.level("Mg").mg_per_litre == pytest.approx(40, abs=0.01)
    assert judged_with_old(strong, 6, 5) == (
        "Magnesium may reach 62 mg a litre with what is left in the old solution; published solutions have at most"
        " 55.9.",
    )
    assert judged_with_old(strong, 6, 60) == ()


def test_solutions_hold_their_table() -> None:
    """A single solution has one figure for both ends, and nothing where its source is silent."""
    hoagland, lettuce, many = published_solutions()
    assert hoagland.range("N") == (210, 210)
    assert lettuce.range("Cu") is None
    assert many.range("Mg") == (18.7, 55.9)


def band(ideal: tuple[float, float], tolerated: tuple[float, float]) -> Band:
    """Make a band."""
    return Band(ideal=ideal, tolerated=tolerated)


def test_a_common_range_is_ideal_where_it_can_be() -> None:
    """The common part of what is ideal; else of what is tolerated; else there is none."""
    first, second = band((1.2, 1.8), (0.8, 2.4)), band((1.5, 2.0), (0.8, 2.6))
    common = common_range((first, second))
    assert common is not None
    assert (common.least, common.most, common.is_ideal) == (1.5, 1.8, True)
    common = common_range((first, band((2.0, 2.2), (1.6, 2.6))))
    assert common is not None
    assert (common.least, common.most, common.is_ideal) == (1.6, 2.4, False)
    assert common_range((first, band((3, 4), (2.5, 5)))) is None
    assert common_range(()) is None


def test_fruit_stands_alone() -> None:
    """Greens are asked for together, each fruit by itself, since it shares no tote."""
    greens = [make_crop("kale", ec=(1.2, 2.4)), make_crop("mizuna", ec=(1.0, 1.8))]
    fruit = make_crop("tomato", "pick", ec=(2.0, 4.0))
    first, second = crop_ranges([fruit, *greens])
    assert (first.crops, second.crops) == (("kale", "mizuna"), ("tomato",))
    assert first.ec is not None
    assert (first.ec.least, first.ec.most) == (1.2, 1.8)
    assert crop_ranges(()) == ()


def test_too_much_is_said_alone() -> None:
    """60 g of Epsom salt in 10 litres are 592 mg of magnesium a litre, a sixth of it 98.6; a quarter is not strong."""
    (sentence,) = too_strong(strength(brew(CASTINGS, salt("Epsom salt", 60))))
    assert sentence.startswith("Magnesium is strong: at least 99 mg a litre")
    assert too_strong(strength(BREW)) == ()
