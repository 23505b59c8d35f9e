"""How many plants the lid of a small tote carries, by a rule of the trade: common practice, no source."""

from __future__ import annotations

import pytest

from shipped import shipped_crops
from steadysow.inputs.crops import Crop

# Common practice, no source: plants on the lid of a small tote, by how the plant is used.
TWELVE_CUT_YOUNG = ("looseleaf lettuce", "tatsoi", "mizuna", "arugula", "basil")
EIGHT_MIDDLING = ("bok choy", "kale")
SIX_LARGE = ("dwarf tomato", "sweet pepper")


@pytest.fixture(scope="module")
def crops() -> dict[str, Crop]:
    """Give the shipped profiles."""
    return shipped_crops()


@pytest.mark.parametrize(
    ("name", "holes"),
    [
        *((name, 12) for name in TWELVE_CUT_YOUNG),
        *((name, 8) for name in EIGHT_MIDDLING),
        *((name, 6) for name in SIX_LARGE),
    ],
)
def test_lid_carries_what_the_trade_says(crops: dict[str, Crop], name: str, holes: int) -> None:
    """Twelve holes suit greens cut again and again, eight suit bok choy and kale, six suit larger plants."""
    assert crops[name].lid_holes == holes


@pytest.mark.parametrize("name", ["butterhead lettuce", "romaine lettuce"])
def test_full_heads_need_more_room_than_the_trade_gives_cut_greens(crops: dict[str, Crop], name: str) -> None:
    """Full heads stand wider than any plant the rule names: no more than three on a lid."""
    assert crops[name].lid_holes <= 3
