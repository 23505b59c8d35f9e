"""Baby leaf greens under five lights: [gagne-mattson-2019], tables 1 and 2 (excerpt seen).

Fresh weight 12 days after floating, and days to 4 inches of height, at 6 to 30 mol m-2 d-1.  In the copy read, the days
of red pak choi at 12 and 18 mol may be swapped, so nothing is asked of those two.
"""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from shipped import shipped_crops
from steadysow.growth.rates import relative_light_response
from steadysow.inputs.crops import Crop
from steadysow.inputs.sources import read_publication

TABLE = read_publication("gagne-mattson-2019").table
DAYS_AFLOAT = TABLE["afloat_days"]
POUNDS_A_SQUARE_FOOT: Mapping[str, Mapping[int, float]] = TABLE["pounds_per_square_foot_by_dli_mol"]
DAYS_TO_FOUR_INCHES: Mapping[str, Mapping[int, float]] = TABLE["days_to_four_inches_by_dli_mol"]
LIGHTS_MOL = (6, 12, 18, 24, 30)
GRAMS_A_SQUARE_METRE = 453.59237 / 0.3048**2


@pytest.fixture(scope="module")
def crops() -> dict[str, Crop]:
    """Give the shipped profiles."""
    return shipped_crops()


def published_grams_per_mol(row: str, dli_mol: int) -> float:
    """Give the fresh weight of the trial over the light that fell on it [g mol-1]."""
    return float(POUNDS_A_SQUARE_FOOT[row][dli_mol] * GRAMS_A_SQUARE_METRE / (dli_mol * DAYS_AFLOAT))


@pytest.mark.parametrize(
    ("row", "grams_a_plant"),
    [("lettuce", (0.38, 0.69, 0.88, 1.23, 1.35)), ("mizuna", (0.98, 2.02, 3.43, 4.00, 5.51))],
)
def test_rows_are_copied_well(row: str, grams_a_plant: tuple[float, ...]) -> None:
    """Grams a plant, worked out beforehand from the printed pounds a square foot, follow from the table."""
    found = [POUNDS_A_SQUARE_FOOT[row][dli_mol] * 453.59237 / TABLE["plants_per_square_foot"] for dli_mol in LIGHTS_MOL]
    assert found == pytest.approx(grams_a_plant, abs=0.005)


@pytest.mark.parametrize(("name", "row"), [("looseleaf lettuce", "lettuce"), ("bok choy", "pak choi")])
def test_light_use_is_that_of_the_trial(crops: dict[str, Crop], name: str, row: str) -> None:
    """Crops of the trial that are taken as it was use light as there at 12 mol, to the table's rounding."""
    rounding = 0.005 * GRAMS_A_SQUARE_METRE / (12 * DAYS_AFLOAT)
    assert crops[name].growth.grams_per_mol == pytest.approx(published_grams_per_mol(row, 12), abs=rounding)


@pytest.mark.parametrize(
    ("name", "row"), [("kale", "collards"), ("swiss chard", "collards"), ("tatsoi", "pak choi"), ("mizuna", "mizuna")]
)
@pytest.mark.parametrize("dli_mol", LIGHTS_MOL)
def test_cut_greens_promise_less_than_the_trial(crops: dict[str, Crop], name: str, row: str, dli_mol: int) -> None:
    """What is cut leaves something standing: at no light does a profile make more of a mol than the trial."""
    assert crops[name].growth.grams_per_mol <= published_grams_per_mol(row, dli_mol)


@pytest.mark.parametrize("dli_mol", LIGHTS_MOL)
@pytest.mark.parametrize("name", ["butterhead lettuce", "romaine lettuce", "looseleaf lettuce"])
def test_light_does_not_hasten_lettuce(crops: dict[str, Crop], name: str, dli_mol: int) -> None:
    """Days of lettuce keep to the table's row, which light does not order, within 4 %."""
    days = DAYS_TO_FOUR_INCHES["lettuce"]
    growth = crops[name].growth
    response = relative_light_response(dli_mol, at_dli_mol=12, half_dli_mol=growth.half_dli_mol)
    assert sum(days.values()) / len(days) / response == pytest.approx(days[dli_mol], rel=0.04)


@pytest.mark.parametrize(
    ("name", "row", "dli_mol", "tolerance"),
    [
        # The half light of these two is fitted to 6 and 12 mol: an equation check, to the profile's one digit.
        ("kale", "collards", 12, 0.01),
        ("mizuna", "mizuna", 12, 0.01),
        # Outcome checks.  A fit to 6 and 12 mol says too little of brighter light: at 18 mol collards were 8.0 % of the
        # published ratio faster than the profile, mizuna 5.2 %; above that it is not to be trusted and not checked.
        ("kale", "collards", 18, 0.10),
        ("mizuna", "mizuna", 18, 0.10),
        # This one is fitted to all five lights.
        ("bok choy", "pak choi", 24, 0.08),
        ("bok choy", "pak choi", 30, 0.08),
    ],
)
def test_light_hastens_brassicas_as_in_the_trial(
    crops: dict[str, Crop], name: str, row: str, dli_mol: int, tolerance: float
) -> None:
    """Days at a brighter light, over those at 6 mol, come out as in the table within the stated tolerance."""
    days = DAYS_TO_FOUR_INCHES[row]
    published = days[dli_mol] / days[6]
    response = relative_light_response(dli_mol, at_dli_mol=6, half_dli_mol=crops[name].growth.half_dli_mol)
    assert 1 / response == pytest.approx(published, rel=tolerance)
