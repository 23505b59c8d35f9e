"""What `steadysow mix` prints: steps, arithmetic, the table and the remarks, at any width."""

from __future__ import annotations

import re
from dataclasses import replace

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
    """Give the sections of a text by title, each as one line."""
    parts: dict[str, str] = {}
    for block in text.split("\n\n"):
        title, _, rest = block.partition("\n")
        parts[title] = " ".join(rest.split())
    return parts


def brewed(**options: object) -> dict[str, str]:
    """Give the sections for eleven litres of brew."""
    return sections(mix_text(mix(BREW, 11), strength(BREW), units="metric", **options))  # type: ignore[arg-type]


def test_a_brew_is_weighed_steeped_strained_and_diluted() -> None:
    """2.04 litres of water steep, of which 1.83 litres of brew are needed; 9.17 litres of water dilute them."""
    text = brewed()
    assert text["11 litres of tote water with shelf brew"] == "Ours."
    steps = text["What to do"]
    for words in (
        "1. Take 2.04 litres of water",
        "worm castings 163 g",
        "Epsom salt 3.06 g (about 1/2 teaspoon, level)",
        "2. Steep it for 24 hours. Stir it now and then",
        "3. Strain it through a cloth. You need 1.83 litres of brew.",
        "4. Dilute it with 9.17 litres of water",
    ):
        assert words in steps


def test_one_hour_and_one_litre_are_singular() -> None:
    """A brew that steeps for an hour, of which a litre is needed, says so in the singular."""
    quick = replace(BREW, steep_hours=1)
    steps = sections(mix_text(mix(quick, 6), strength(quick), units="metric"))["What to do"]
    assert "2. Steep it for 1 hour. " in steps
    assert "You need 1 litre of brew." in steps


def test_the_arithmetic_is_shown_and_right() -> None:
    """Every division that is printed is right, to the digits that are printed."""
    text = brewed()["The arithmetic"]
    assert "5 parts of water to 1 part of brew: 11 litres / (5 + 1) = 1.833 litres of brew" in text
    assert "so the tote has 1/6 of the brew's strength." in text
    sums = re.findall(r"([\d.]+)(?: litres)? / \(?([\d.]+)(?: \+ 1\))? = ([\d.]+)", text)
    assert [(a, b) for a, b, _ in sums] == [("11", "5"), ("1.833", "0.9"), ("2.037", "10")]
    assert [float(c) for *_, c in sums] == [
        pytest.approx(11 / 6, abs=5e-4),
        pytest.approx(1.8333 / 0.9, abs=5e-4),
        pytest.approx(0.2037, abs=5e-5),
    ]
    # 15 g x 9.861 % / 10 L = 147.9 mg a litre; a sixth is 24.7.
    assert "15 g x 9.86% magnesium / 10 litres = 147.9 mg a litre of brew; / 6 = 24.7 in the tote." in text


@pytest.mark.parametrize(
    ("parts", "words"),
    [
        (1, "1 part of water to 1 part of brew: 6 litres / (1 + 1) = 3 litres of brew, so the tote has 1/2 of"),
        (2.5, "2.5 parts of water to 1 part of brew: 6 litres / (2.5 + 1) = 1.714 litres of brew. "),
        (0, "0 parts of water to 1 part of brew: 6 litres / (0 + 1) = 6 litres of brew. "),
    ],
)
def test_strength_is_a_fraction_where_it_is_one(parts: float, words: str) -> None:
    """A whole number of parts of water leaves a plain fraction of the strength; other numbers name none."""
    brew = replace(BREW, water_to_one=parts)
    assert words in sections(mix_text(mix(brew, 6), strength(brew), units="metric"))["The arithmetic"]


def test_the_table_shows_unknown_levels() -> None:
    """Levels stand beside the published solutions, and unknown levels are shown as unknown."""
    table = brewed()["In the tote, mg a litre"]
    assert "nitrogen N unknown 210 150 77 to 242" in table
    assert "magnesium Mg at least 24.7 48.6 24 18.7 to 55.9" in table
    assert "iron" not in table


def test_old_solution_is_shown_as_a_range() -> None:
    """With 6 of 11 litres new, a level of 24.65 becomes 6/11 to 17/11 of itself."""
    text = sections(mix_text(mix(BREW, 6), strength(BREW), units="metric", old_litres=5))
    assert "magnesium Mg at least 24.7 13.4 to 38.1" in text["In the tote, mg a litre"]
    assert "6 litres poured onto 5 litres of old solution" in text["How good that is"]
    assert "with the old" not in brewed()["In the tote, mg a litre"]


def test_parts_go_in_one_after_the_other() -> None:
    """Without a brew, the parts are measured into the full water: liquids in millilitres, and in spoons of 4.93 mL."""
    text = sections(mix_text(mix(DIRECT, 11), strength(DIRECT), units="metric"))
    # 22 mL are 4.46 teaspoons: a tablespoon and a half teaspoon over one.
    assert "bottle 22 mL (about 1 tablespoon and 1 1/2 teaspoons, level)" in text["What to do"]
    assert "Never mix them undiluted." in text["What to do"]
    assert "bottle: 2 mL in a litre x 11 litres = 22 mL." in text["The arithmetic"]
    assert "Steep" not in text["What to do"]
    assert "molasses" not in text["Cautions"]


def test_us_units() -> None:
    """A garden in US units gets gallons, cups and ounces, but still milligrams a litre."""
    text = sections(mix_text(mix(BREW, 3 * 3.785411784), strength(BREW), units="us"))
    steps = " ".join(text.values())
    assert "3 gallons of tote water with shelf brew" in text
    # Three gallons over six are half a gallon; over 0.9, 0.556; 2.103 tenths of 800 g are 168.2 g or 5.93 oz.
    assert "1. Take 0.556 gallons of water" in steps
    assert "worm castings 5.93 oz" in steps
    assert "3 gallons / (5 + 1) = 0.5 gallons of brew" in text["The arithmetic"]
    assert "magnesium Mg at least 24.7" in text["In the tote, mg a litre"]


def test_ranges_of_the_crops() -> None:
    """Crops are named with the EC and pH that suit them, or with the advice to part them; the tap's EC counts."""
    greens = (make_crop("kale", ec=(1.2, 2.4)), make_crop("mizuna", ec=(1.0, 1.8)))
    text = brewed(ranges=crop_ranges(greens), tap_water=TapWater(ec=0.4))["EC and pH"]
    assert "kale and mizuna: EC 1.2 to 1.8 mS/cm (ideal); pH 5.6 to 6.2 (ideal)." in text
    assert "Your tap water has an EC of 0.4" in text
    assert "Measure the EC after mixing" not in text
    own = mix_text(mix(DIRECT, 6), strength(DIRECT), units="metric", ranges=crop_ranges(greens))
    assert "Measure the EC after mixing." in sections(own)["EC and pH"]
    apart = (make_crop("kale", ec=(2.0, 2.4)), make_crop("mizuna", ec=(1.0, 1.8)))
    assert "no EC suits them all; give them separate totes" in brewed(ranges=crop_ranges(apart))["EC and pH"]
    assert "EC and pH" not in brewed()


@pytest.mark.parametrize("width", [80, 120])
@pytest.mark.parametrize("old_litres", [0, 5])
@pytest.mark.parametrize("recipe", [BREW, DIRECT], ids=lambda recipe: recipe.name)
def test_lines_keep_to_the_width(width: int, old_litres: float, recipe: Recipe) -> None:
    """No line is longer than the terminal is wide, and a wide terminal is used."""
    text = mix_text(mix(recipe, 6), strength(recipe), units="metric", old_litres=old_litres, width=width)
    longest = max(map(len, text.splitlines()))
    assert width - 12 <= longest <= width
