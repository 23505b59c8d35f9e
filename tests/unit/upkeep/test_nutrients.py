"""The strength of a recipe, and what to weigh for it; the figures are worked out by hand beside each."""

from __future__ import annotations

import pytest

from recipes_by_hand import BREW, direct, powder, salt
from steadysow.inputs.crops import Band
from steadysow.inputs.recipes import Part, TapWater
from steadysow.upkeep.nutrients import blended, carried_over, common_range, crop_ranges, mix, strength
from tiny import make_crop


def test_five_parts_of_water_to_one_make_a_sixth() -> None:
    """Eleven litres are 1.833 of brew, which is a sixth, and 9.167 of water."""
    mixed = mix(BREW, 11)
    assert BREW.dilution == pytest.approx(1 / 6)
    assert mixed.brew_litres == pytest.approx(1.8333, abs=1e-4)
    assert mixed.water_litres == pytest.approx(9.1667, abs=1e-4)


def test_straining_loses_a_tenth() -> None:
    """1.8333 litres are left of 2.037 that steep, so each part is weighed 0.2037 times: 3.056 g for 15 g."""
    mixed = mix(BREW, 11)
    assert mixed.steep_litres == pytest.approx(2.0370, abs=1e-4)
    castings, epsom = mixed.amounts
    assert castings.grams == pytest.approx(162.96, abs=0.01)
    assert epsom.grams == pytest.approx(3.0556, abs=1e-4)
    assert epsom.teaspoons == pytest.approx(0.61111, abs=1e-5)
    assert castings.teaspoons is None


def test_direct_parts_go_by_the_litre() -> None:
    """Without a brew, parts go straight into the water, and nothing is steeped or lost."""
    bottle = Part(name="bottle", grams=None, ml=2, known_by="nothing")
    mixed = mix(direct(powder(0.8), bottle), 30)
    assert (mixed.steep_litres, mixed.brew_litres, mixed.water_litres) == (0, 0, 30)
    assert [amount.grams for amount in mixed.amounts] == [pytest.approx(24), None]
    assert [amount.ml for amount in mixed.amounts] == [None, 60]
    assert mixed.amounts[1].teaspoons is None


def test_a_liquid_counts_by_its_weight() -> None:
    """2 mL that weigh 1.2 g each and are 5 % nitrogen have 120 mg."""
    bottle = Part(name="bottle", grams=None, ml=2, known_by="label", content=(("N", 0.05),), grams_per_ml=1.2)
    assert strength(direct(bottle)).level("N").mg_per_litre == pytest.approx(120)


def test_unknown_parts_make_a_level_a_least_one() -> None:
    """Magnesium is known from the salt, and castings may add to it; nitrogen comes only from castings."""
    brewed = strength(BREW)
    # 15 g x 0.098614 / 10 L / 6 = 24.65 mg.
    assert brewed.level("Mg").mg_per_litre == pytest.approx(24.65, abs=0.01)
    assert (brewed.level("Mg").unknown_from, brewed.level("Mg").is_known) == (("castings",), True)
    assert (brewed.level("N").unknown_from, brewed.level("N").is_known) == (("castings",), False)


def test_an_element_that_a_label_leaves_out_is_unknown() -> None:
    """An element that no label lists is unknown; one that a salt does not contain is known to be zero."""
    level = strength(direct(powder(N=10))).level("Ca")
    assert (level.is_known, level.unlisted_by, level.unknown_from) == (False, ("powder",), ())
    assert strength(direct(salt("Epsom salt", 1))).level("Ca").is_known


def test_tap_water_counts_undiluted() -> None:
    """All tote water comes from the tap, so its magnesium is added to that of the brew: 24.65 + 6."""
    brewed = strength(BREW, TapWater(content=(("Mg", 6), ("Ca", 40))))
    assert brewed.level("Mg").mg_per_litre == pytest.approx(30.65, abs=0.01)
    assert brewed.level("Ca").mg_per_litre == 40


def test_blending_conserves_salt() -> None:
    """6 L of 30 mg onto 5 L of 10 mg make 230 mg in 11 L; plain water adds volume and no salt."""
    assert blended(30, 6, 10, 5) == pytest.approx(230 / 11)
    assert blended(0, 6, 10, 5) * 11 == pytest.approx(50)


def test_old_solution_gives_a_range() -> None:
    """6 L of 44 mg onto 5 L have 264 mg if plants took all of the old salt, and 748 with the 484 of a full tote."""
    least, most = carried_over(44, 6, 5)
    assert least == pytest.approx(264 / 11)
    assert most == pytest.approx(748 / 11)


def band(ideal: tuple[float, float], tolerated: tuple[float, float]) -> Band:
    """Make a band."""
    return Band(ideal=ideal, tolerated=tolerated)


def test_a_common_range_is_ideal_if_possible() -> None:
    """Crops share an ideal range, or else a tolerated one, or none."""
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
    """Greens share one range; each fruit has its own, since it shares no tote."""
    greens = [make_crop("kale", ec=(1.2, 2.4)), make_crop("mizuna", ec=(1.0, 1.8))]
    fruit = make_crop("tomato", "pick", ec=(2.0, 4.0))
    first, second = crop_ranges([fruit, *greens])
    assert (first.crops, second.crops) == (("kale", "mizuna"), ("tomato",))
    assert first.ec is not None
    assert (first.ec.least, first.ec.most) == (1.2, 1.8)
    assert crop_ranges(()) == ()
