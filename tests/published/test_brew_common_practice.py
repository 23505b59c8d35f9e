"""A brew by a rule of the trade: common practice, no source; a level teaspoon of Epsom salt of 5 g is from memory.

Three to four pounds of castings in a five-gallon bucket of water, six ounces of kelp, five teaspoons of Epsom salt a
gallon; steeped a day, strained, five parts of water to one of mix: it fills at least six totes of three gallons.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from steadysow.inputs.garden_file import read_garden
from steadysow.inputs.recipes import Recipe
from steadysow.upkeep.nutrient_remarks import mix_remarks
from steadysow.upkeep.nutrients import mix, strength

LITRES_A_GALLON = 3.785411784
GRAMS_A_TEASPOON = 5.0

GARDEN = """\
garden: Buckets
units: us
places: {shelf: {lamp: {ppfd: 200, hours: 14}, temperature_f: 68}}
totes: {A: {holes: 8, gallons: 3, system: dwc, place: shelf}}
wants: {salad: {ounces_a_week: 3, crops: [mizuna]}}
nutrient: bucket
recipes:
  bucket:
    makes_gallons: 5
    water_to_one: 5
    parts:
      worm castings: {pounds: 3.5}
      kelp meal: {ounces: 6}
      Epsom salt: {grams: 125, spoon_grams: 5}
"""


@pytest.fixture
def bucket(tmp_path: Path) -> Recipe:
    """Give the bucket as a garden in US units writes it: 25 teaspoons of 5 g in five gallons."""
    (tmp_path / "garden.yaml").write_text(GARDEN, encoding="utf-8")
    return read_garden(tmp_path).recipes[0]


def test_one_bucket_fills_six_totes(bucket: Recipe) -> None:
    """Six totes of three gallons take less than the bucket holds, even after straining; and so do eight."""
    for totes in (6, 8):
        assert mix(bucket, totes * 3 * LITRES_A_GALLON).steep_litres <= 5 * LITRES_A_GALLON


def test_a_bucket_makes_six_times_itself_but_for_the_straining(bucket: Recipe) -> None:
    """Five gallons leave 4.5 of brew, which make 27 gallons: nine totes."""
    assert mix(bucket, 27 * LITRES_A_GALLON).steep_litres == pytest.approx(5 * LITRES_A_GALLON)


def test_magnesium_in_the_tote(bucket: Recipe) -> None:
    """By molar masses alone: 25 g a gallon over 246.47 g/mol, times 24.305 g/mol, over six: 108.5 mg a litre."""
    moles_a_litre = 5 * GRAMS_A_TEASPOON / LITRES_A_GALLON / (24.305 + 32.06 + 11 * 15.999 + 14 * 1.008)
    expected = 1000 * moles_a_litre * 24.305 / 6
    assert expected == pytest.approx(108.5, abs=0.05)
    assert strength(bucket).level("Mg").mg_per_litre == pytest.approx(expected, abs=1)


def test_its_magnesium_is_told_to_be_strong(bucket: Recipe) -> None:
    """That is twice the most of twelve published solutions, and the words say so."""
    remarks = mix_remarks(strength(bucket))
    assert any(sentence.startswith("Magnesium is strong: at least 109 mg") for sentence in remarks)
