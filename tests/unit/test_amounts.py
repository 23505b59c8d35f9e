"""Amounts as text; the factors are those of NIST Handbook 44, 2024, appendix C (from memory)."""

from datetime import date, timedelta

import pytest

from steadysow.amounts import (
    ML_A_TEASPOON,
    Units,
    bound_text,
    counted,
    day_text,
    digits_text,
    holes_text,
    lid_text,
    light_use_text,
    listed,
    litres_text,
    mass_text,
    measure_text,
    ordinal_text,
    poured_text,
    reached_text,
    spoons_text,
    temperature_text,
    total_weight_text,
    volume_number,
    volume_text,
    water_weight_text,
    weight_text,
)


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
        (mass_text(3.0556, "metric"), "3.06 g"),
        (mass_text(999.7, "metric"), "1 kg"),
        (mass_text(1360, "metric"), "1.36 kg"),
        (mass_text(3.5 * 453.59237, "us"), "3 lb 8 oz"),
        (mass_text(2 * 453.59237, "us"), "2 lb"),
        (mass_text(6 * 28.349523125, "us"), "6 oz"),
        (mass_text(0.5 * 28.349523125, "us"), "0.5 oz (14.2 g)"),
        (poured_text(11, "metric"), "11 litres"),
        (poured_text(1, "metric"), "1 litre"),
        (poured_text(1 / 3, "metric"), "333 mL"),
        (poured_text(100_000, "metric"), "100000 litres"),
        (poured_text(3 * 3.785411784, "us"), "3 gallons"),
        (poured_text(3.785411784, "us"), "1 gallon"),
        # A cup is a sixteenth of a gallon.
        (poured_text(3.785411784 / 8, "us"), "2 cups"),
        (digits_text(0.40741, 4), "0.4074"),
        (lid_text((25.4, 38.1), "us"), "10 x 15 inches"),
        (litres_text(1.02, "metric"), "1 litre"),
        (litres_text(2.34, "metric"), "2.3 litres"),
        (litres_text(3.785411784, "us"), "1.0 gallon"),
        (litres_text(3.785411784 / 4, "us"), "0.25 gallons"),
        (measure_text("level", 12.5, "metric"), "12.5 cm"),
        (measure_text("temperature", 20, "us"), "68 °F"),
        (measure_text("ec", 1.6, "us"), "1.6 mS/cm"),
        (measure_text("ph", 5.9, "metric"), "5.9"),
        (total_weight_text(999.4, "metric"), "999 g"),
        (total_weight_text(999.6, "metric"), "1 kg"),
        (total_weight_text(11610, "metric"), "11.6 kg"),
        (total_weight_text(8 * 28.349523125, "us"), "8.0 oz"),
        (total_weight_text(453.59237, "us"), "1 lb"),
        (total_weight_text(2.5 * 453.59237, "us"), "2.5 lb"),
    ],
)
def test_amounts_are_shown_with_their_unit(text: str, shown: str) -> None:
    """Every amount has its unit, and a garden in US units shows US amounts."""
    assert text == shown


@pytest.mark.parametrize("units", ["metric", "us"])
def test_freezing_point(units: Units) -> None:
    """Water freezes at 0 °C, which is 32 °F."""
    assert temperature_text(0, units) == {"metric": "0 °C", "us": "32 °F"}[units]


def test_volumes_for_arithmetic() -> None:
    """A gallon is 3.785411784 litres, and 768 teaspoons."""
    assert volume_number(3.785411784, "us") == pytest.approx(1)
    assert volume_number(3.785411784, "metric") == 3.785411784
    assert pytest.approx(3785.411784 / 768) == ML_A_TEASPOON


@pytest.mark.parametrize(
    ("teaspoons", "shown"),
    [
        (0.1, None),
        (0.2, "1/4 teaspoon"),
        (1, "1 teaspoon"),
        (1.6, "1 1/2 teaspoons"),
        (3, "1 tablespoon"),
        (5, "1 tablespoon and 2 teaspoons"),
        # Three teaspoons a tablespoon, 48 a cup: 12 + 12 + 1.
        (25.3, "1/2 cup and 1 teaspoon"),
        (100, "2 cups, 1 tablespoon and 1 teaspoon"),
    ],
)
def test_spoons(teaspoons: float, shown: str | None) -> None:
    """Teaspoons are shown in the largest kitchen measures, to a quarter of a spoon."""
    assert spoons_text(teaspoons) == shown


@pytest.mark.parametrize(
    ("holes", "text"),
    [((), ""), ((4,), "4"), ((1, 2), "1-2"), ((7, 1, 2, 3), "1-3, 7"), ((1, 3, 5), "1, 3, 5")],
)
def test_holes_are_shown_as_ranges(holes: tuple[int, ...], text: str) -> None:
    """Neighbouring holes are one range, and the ranges rise."""
    assert holes_text(holes) == text


@pytest.mark.parametrize(
    ("number", "text"),
    [
        (1, "1st"),
        (2, "2nd"),
        (3, "3rd"),
        (4, "4th"),
        (10, "10th"),
        (11, "11th"),
        (12, "12th"),
        (13, "13th"),
        (21, "21st"),
        (102, "102nd"),
        (111, "111th"),
    ],
)
def test_ordinals_have_their_english_endings(number: int, text: str) -> None:
    """1, 2 and 3 end in st, nd and rd, but 11, 12 and 13 end in th as all others do."""
    assert ordinal_text(number) == text


def test_shares_are_never_flattered() -> None:
    """A reached share is rounded down and a bound up; a share in whole tenths of a percent stays as it is."""
    assert (reached_text(0.99999), bound_text(0.96901)) == ("99.9 %", "97.0 %")
    for tenth in range(1001):
        shown = f"{tenth // 10}.{tenth % 10} %"
        assert (reached_text(tenth / 1000), bound_text(tenth / 1000)) == (shown, shown)


def test_one_thing_is_singular() -> None:
    """Only the number 1 has a singular noun."""
    assert [counted(number, "cell") for number in (0, 1, 2)] == ["0 cells", "1 cell", "2 cells"]


def test_lists_have_an_and_before_the_last() -> None:
    """Two or more texts are joined by commas, with ``and`` before the last."""
    assert [listed(texts) for texts in ([], ["a"], ["a", "b"], ["a", "b", "c"])] == ["", "a", "a and b", "a, b and c"]


def test_days_are_shown_in_english() -> None:
    """The day of the week and the month agree with the calendar module's own English names."""
    days = [date(2026, 1, 1) + timedelta(days=number) for number in range(366)]
    # The C locale, in which tests run, has English names.
    assert [day_text(day) for day in days] == [f"{day:%a} {day.day} {day:%b}" for day in days]


def test_units_are_exact() -> None:
    """An avoirdupois ounce is 28.349523125 g and a US gallon 3.785411784 L by definition (from memory)."""
    assert weight_text(28.349523125, "us") == "1.0 oz"
    assert volume_text(3.785411784 * 3, "us") == "3.0 gallon"
    assert (weight_text(180.4, "metric"), volume_text(11.0, "metric")) == ("180 g", "11 litre")
