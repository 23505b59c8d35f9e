"""What `steadysow mix` says: steps, sums, the table and the words, at any width."""

from __future__ import annotations

import re

import pytest

from steadysow.inputs.composition import SALTS, shares_of
from steadysow.inputs.recipes import Part, Recipe, TapWater
from steadysow.outputs.mixing import mix_text
from steadysow.upkeep.nutrients import crop_ranges, mix, strength
from tiny import make_crop

EPSOM = Part(
    name="Epsom salt",
    grams=15,
    ml=None,
    known_by="salt",
    content=tuple(shares_of(SALTS["Epsom salt"]).items()),
    spoon_grams=5,
)
BREW = Recipe(
    name="shelf brew",
    parts=(Part(name="worm castings", grams=800, ml=None, known_by="nothing"), EPSOM),
    makes_litres=10,
    water_to_one=5,
    steep_hours=24,
    note="ours",
)
BOTTLE = Part(name="bottle", grams=None, ml=2, known_by="label", content=(("N", 0.05),), grams_per_ml=1.2)
DIRECT = Recipe(name="two bottles", parts=(BOTTLE, EPSOM))


def sections(text: str) -> dict[str, str]:
    """Give the parts of a text by their titles, each as one line."""
    parts: dict[str, str] = {}
    for block in text.split("\n\n"):
        title, _, rest = block.partition("\n")
        parts[title] = " ".join(rest.split())
    return parts


def brewed(**options: object) -> dict[str, str]:
    """Give the parts of what is said of eleven litres of brew."""
    return sections(mix_text(mix(BREW, 11), strength(BREW), units="metric", **options))  # type: ignore[arg-type]


def test_a_brew_is_weighed_steeped_strained_and_diluted() -> None:
    """The steps name what a person does, with amounts: 2.04 litres steep, 1.83 are needed, 9.17 dilute them."""
    told = brewed()
    assert told["11 litres of tote water with shelf brew"] == "Ours."
    steps = told["What to do"]
    for words in (
        "1. Take 2.04 litres of water",
        "worm castings 163 g",
        "Epsom salt 3.06 g (about 1/2 teaspoon, level)",
        "2. Steep it 24 hours",
        "3. Strain it through a cloth: 1.83 litres",
        "4. Dilute it with 9.17 litres of water",
    ):
        assert words in steps


def test_the_arithmetic_is_shown_and_right() -> None:
    """Every sum that is printed holds, to the digits that are printed."""
    told = brewed()["The arithmetic"]
    assert "at a sixth of its strength and not a fifth" in told
    sums = re.findall(r"([\d.]+)(?: litres)? / \(?([\d.]+)(?: \+ 1\))? = ([\d.]+)", told)
    assert [(a, b) for a, b, _ in sums] == [("11", "5"), ("1.833", "0.9"), ("2.037", "10")]
    assert [float(c) for *_, c in sums] == [
        pytest.approx(11 / 6, abs=5e-4),
        pytest.approx(1.8333 / 0.9, abs=5e-4),
        pytest.approx(0.2037, abs=5e-5),
    ]
    # 15 g x 9.861 % / 10 L = 147.9 mg a litre; a sixth is 24.7.
    assert "15 g x 9.86% magnesium / 10 litres = 147.9 mg a litre of brew; / 6 = 24.7 in the tote." in told


def test_the_table_tells_what_is_unknown() -> None:
    """Levels stand beside the published solutions; what nobody knows is called unknown."""
    table = brewed()["In the tote, mg a litre"]
    assert "nitrogen N unknown 210 150 77 to 242" in table
    assert "magnesium Mg at least 24.7 48.6 24 18.7 to 55.9" in table
    assert "iron" not in table


def test_old_solution_is_shown_as_a_range() -> None:
    """6 of 11 litres new: 24.65 times 6/11, and times 17/11."""
    told = sections(mix_text(mix(BREW, 6), strength(BREW), units="metric", old_litres=5))
    assert "magnesium Mg at least 24.7 13.4 to 38.1" in told["In the tote, mg a litre"]
    assert "6 litres poured onto 5 litres of old solution" in told["How that is"]
    assert "with the old" not in brewed()["In the tote, mg a litre"]


def test_parts_go_in_one_after_the_other() -> None:
    """What is no brew is measured into the full water, liquids in millilitres and spoons of 4.93 mL."""
    told = sections(mix_text(mix(DIRECT, 11), strength(DIRECT), units="metric"))
    # 22 mL are 4.46 teaspoons: a tablespoon and a half teaspoon over one.
    assert "bottle 22 mL (about 1 tablespoon and 1 1/2 teaspoons, level)" in told["What to do"]
    assert "never together undiluted" in told["What to do"]
    assert "bottle: 2 mL in a litre x 11 litres = 22 mL." in told["The arithmetic"]
    assert "Steep" not in told["What to do"]
    assert "molasses" not in told["Cautions"]


def test_us_units() -> None:
    """Gallons, cups and ounces where the garden has them; milligrams a litre stay."""
    told = sections(mix_text(mix(BREW, 3 * 3.785411784), strength(BREW), units="us"))
    steps = " ".join(told.values())
    assert "3 gallons of tote water with shelf brew" in told
    # Three gallons over six are half a gallon; over 0.9, 0.556; 2.103 tenths of 800 g are 168.2 g or 5.93 oz.
    assert "1. Take 0.556 gallons of water" in steps
    assert "worm castings 5.93 oz" in steps
    assert "3 gallons / (5 + 1) = 0.5 gallons of brew" in told["The arithmetic"]
    assert "magnesium Mg at least 24.7" in told["In the tote, mg a litre"]


def test_ranges_of_the_crops() -> None:
    """Crops are named with the EC and pH that suit them, or told to stand apart; the tap's EC counts."""
    greens = (make_crop("kale", ec=(1.2, 2.4)), make_crop("mizuna", ec=(1.0, 1.8)))
    told = brewed(ranges=crop_ranges(greens), tap_water=TapWater(ec=0.4))["EC and pH"]
    assert "kale and mizuna: EC 1.2 to 1.8 mS/cm (ideal); pH 5.6 to 6.2 (ideal)." in told
    assert "Tap water brings an EC of 0.4" in told
    apart = (make_crop("kale", ec=(2.0, 2.4)), make_crop("mizuna", ec=(1.0, 1.8)))
    assert "no EC suits them all" in brewed(ranges=crop_ranges(apart))["EC and pH"]
    assert "EC and pH" not in brewed()


@pytest.mark.parametrize("width", [80, 120])
@pytest.mark.parametrize("old_litres", [0, 5])
@pytest.mark.parametrize("recipe", [BREW, DIRECT], ids=lambda recipe: recipe.name)
def test_lines_keep_to_the_width(width: int, old_litres: float, recipe: Recipe) -> None:
    """No line is longer than the terminal is wide, and the wider one is used."""
    text = mix_text(mix(recipe, 6), strength(recipe), units="metric", old_litres=old_litres, width=width)
    longest = max(map(len, text.splitlines()))
    assert width - 12 <= longest <= width
