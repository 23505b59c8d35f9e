"""What must hold of mixing for every recipe: it scales, it conserves, and a total diluted is a total still."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steadysow.inputs.recipes import Recipe, TapWater
from steadysow.upkeep.nutrients import STRAINING_LOSS, blended, carried_over, mix, strength

from .strategies import recipes

LITRES = st.floats(0.1, 500)
LEVELS = st.floats(0, 2000)


@given(recipe=recipes(), litres=LITRES, times=st.floats(0.1, 20))
def test_mixing_scales_with_the_litres(recipe: Recipe, litres: float, times: float) -> None:
    """Twice the litres take twice of everything, so that totes fed together are one mix."""
    one, more = mix(recipe, litres), mix(recipe, litres * times)
    for small, large in zip(one.amounts, more.amounts, strict=True):
        taken = small.grams if small.ml is None else small.ml
        takes = large.grams if large.ml is None else large.ml
        assert taken is not None
        assert takes == pytest.approx(taken * times)
    assert more.steep_litres == pytest.approx(one.steep_litres * times)
    assert more.brew_litres + more.water_litres == pytest.approx(litres * times)


@given(recipe=recipes(), litres=LITRES)
def test_what_is_weighed_is_what_is_in_the_tote(recipe: Recipe, litres: float) -> None:
    """Milligrams a litre times litres are the milligrams weighed, but for what stays in the strainer."""
    mixed, told = mix(recipe, litres), strength(recipe)
    kept = 1 - STRAINING_LOSS if recipe.is_brew else 1.0
    for level in told.levels:
        weighed = sum(
            1000 * (amount.part.share(level.element) or 0) * amount.grams
            for amount in mixed.amounts
            if amount.grams is not None
        )
        assert level.mg_per_litre * litres == pytest.approx(weighed * kept, abs=1e-6)


@given(recipe=recipes(), magnesium=LEVELS)
def test_tap_water_only_adds(recipe: Recipe, magnesium: float) -> None:
    """What the tap brings is in the tote besides, undiluted."""
    water = TapWater(content=(("Mg", magnesium),))
    without, with_it = strength(recipe).level("Mg"), strength(recipe, water).level("Mg")
    assert with_it.mg_per_litre == pytest.approx(without.mg_per_litre + magnesium)


@given(new=LEVELS, litres=LITRES, old=LEVELS, old_litres=LITRES)
def test_blending_conserves_salt(new: float, litres: float, old: float, old_litres: float) -> None:
    """The salt of a blend is that of both parts, and its level lies between theirs."""
    together = blended(new, litres, old, old_litres)
    assert together * (litres + old_litres) == pytest.approx(new * litres + old * old_litres)
    assert min(new, old) - 1e-9 <= together <= max(new, old) + 1e-9


@given(level=LEVELS, litres=LITRES, old_litres=LITRES)
def test_the_same_solution_lies_between_the_ends(level: float, litres: float, old_litres: float) -> None:
    """If plants took salt and water as the mix has them, it stays as it was, which lies between least and most."""
    least, most = carried_over(level, litres, old_litres)
    assert least - 1e-9 <= level <= most + 1e-9
