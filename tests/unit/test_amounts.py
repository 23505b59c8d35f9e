"""Factors are those of NIST Handbook 44, 2024, appendix C (from memory)."""

import pytest

from steadysow.amounts import Units, lid_text, light_use_text, temperature_text, water_weight_text


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        (temperature_text(20, "metric"), "20 °C"),
        (temperature_text(20, "us"), "68 °F"),
        (light_use_text(7.5, "metric"), "7.5 g"),
        (light_use_text(28.349523125, "us"), "1.00 oz"),
        (water_weight_text(11, "metric"), "11 kg"),
        (water_weight_text(0.45359237 * 24, "us"), "24 pounds"),
        (lid_text((28, 40), "metric"), "28 x 40 cm"),
        (lid_text((25.4, 38.1), "us"), "10 x 15 inches"),
    ],
)
def test_amounts_are_shown_with_their_unit(text: str, shown: str) -> None:
    """An amount is converted where the garden is in US units, and always carries its unit."""
    assert text == shown


@pytest.mark.parametrize("units", ["metric", "us"])
def test_freezing_point(units: Units) -> None:
    """Water freezes at 0 °C, which is 32 °F."""
    assert temperature_text(0, units) == {"metric": "0 °C", "us": "32 °F"}[units]
