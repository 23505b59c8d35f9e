"""Wants of a garden file: amounts, crops and shares are read, and every fault has its line."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from steadysow.errors import Fault
from steadysow.inputs.garden import Garden, Serving

FaultsOf = Callable[[str], tuple[Fault, ...]]
GardenOf = Callable[[str], Garden]

CROPS = "crops: [plain lettuce, loose greens]"


@pytest.mark.parametrize(
    ("written", "least", "most"),
    [
        ("any", 0, 1),
        ("", 0, 1),
        ("at most 70%", 0, 0.7),
        ("at least 5 %", 0.05, 1),
        ("5% to 70%", 0.05, 0.7),
        ("Between 12.5% and 70%", 0.125, 0.7),
    ],
)
def test_shares(garden_of: GardenOf, garden_text: str, written: str, least: float, most: float) -> None:
    """A share of a crop can be written in each of the ways of the design."""
    text = garden_text.replace("[plain lettuce, loose greens]", f"{{plain lettuce: {written}, loose greens: any}}")
    assert garden_of(text).wants[0].servings[0] == Serving(crop="plain lettuce", least=least, most=most)


def test_ounces_become_grams(garden_of: GardenOf, garden_text: str) -> None:
    """An ounce is 28.349523125 g (NIST Handbook 44, appendix C, from memory)."""
    garden = garden_of(garden_text.replace("grams_a_week: 180", "ounces_a_week: 6") + "units: us\n")
    assert garden.wants[0].amount == pytest.approx(170.09713875)


WRONG = {
    "unknown crop": ("loose greens]", "loos greens]", 11, "wants.salad.crops.2", "Did you mean loose greens?"),
    "unknown crop by share": (CROPS, "crops: {plane lettuce: any}", 11, "wants.salad.crops.plane lettuce", "no crop"),
    "until before from": (
        "grams_a_week: 180",
        "grams_a_week: 180\n    from: 2026-12-05\n    until: 2026-12-01",
        12,
        "wants.salad.until",
        "2026-12-01 is not after from, 2026-12-05",
    ),
    "no amount": ("    grams_a_week: 180\n", "", 9, "wants.salad.grams_a_week", "is missing"),
    "two amounts": (
        "grams_a_week: 180",
        "grams_a_week: 180\n    heads_a_week: 2",
        11,
        "wants.salad.heads_a_week",
        "heads or for a weight, not both",
    ),
    "nothing wanted": ("grams_a_week: 180", "grams_a_week: 0", 10, "wants.salad.grams_a_week", "too small"),
    "heads of a cut crop": (
        "grams_a_week: 180",
        "heads_a_week: 2",
        11,
        "wants.salad.crops.2",
        "is not harvested as heads",
    ),
    "crop listed twice": ("loose greens]", "plain lettuce]", 11, "wants.salad.crops.2", "listed twice"),
    "crop twice by share": (
        CROPS,
        "crops: {loose greens: any, loose greens: any}",
        11,
        "wants.salad.crops.loose greens",
        "appears twice",
    ),
    "least shares over 100%": (
        CROPS,
        "crops: {plain lettuce: at least 60%, loose greens: 50% to 70%}",
        11,
        "wants.salad.crops",
        "the smallest shares add up to 110%, more than 100%",
    ),
    "share in other words": (
        CROPS,
        "crops: {plain lettuce: mostly}",
        11,
        "wants.salad.crops.plain lettuce",
        "is not a share",
    ),
    "share turned round": (
        CROPS,
        "crops: {plain lettuce: 70% to 5%}",
        11,
        "wants.salad.crops.plain lettuce",
        "is not a share",
    ),
    "share over 100%": (
        CROPS,
        "crops: {plain lettuce: at most 170%}",
        11,
        "wants.salad.crops.plain lettuce",
        "from 0% to 100%",
    ),
    "most shares under 100%": (
        CROPS,
        "crops: {plain lettuce: at most 30%, loose greens: 10% to 20%}",
        11,
        "wants.salad.crops",
        "the largest shares add up to 50%, less than 100%",
    ),
}


@pytest.mark.parametrize(("good", "bad", "line", "field", "message"), WRONG.values(), ids=WRONG.keys())
def test_a_wrong_value_is_a_fault(
    faults_of: FaultsOf, garden_text: str, good: str, bad: str, line: int, field: str, message: str
) -> None:
    """Each fault names its line, its field, what is wrong and what to write."""
    assert good in garden_text
    found = {(fault.line, fault.field): str(fault) for fault in faults_of(garden_text.replace(good, bad, 1))}
    assert (line, field) in found, found
    assert message in found[line, field]


def test_a_crop_that_no_tote_can_hold_is_a_fault(faults_of: FaultsOf, garden_text: str) -> None:
    """Small fruit grows in dwc only, and both totes are kratky."""
    text = garden_text.replace("loose greens]", "loose greens, small fruit]").replace("dwc", "kratky")
    (fault,) = faults_of(text)
    assert (fault.line, fault.field) == (11, "wants.salad.crops.3")
    assert fault.wrong == 'no tote can hold "small fruit": it grows in dwc only'


def test_a_want_whose_crops_no_tote_can_hold_is_one_fault(faults_of: FaultsOf, garden_text: str) -> None:
    """The fault is about the want, and gives the reason for each crop."""
    text = garden_text.replace("[plain lettuce, loose greens]", "small fruit").replace("dwc", "kratky")
    (fault,) = faults_of(text)
    assert (fault.line, fault.field) == (11, "wants.salad.crops")
    assert fault.wrong == "no tote can hold any of these crops: small fruit grows in dwc only"


def test_a_crop_without_room_on_any_lid_is_a_fault(
    faults_of: FaultsOf, folder: Path, garden_text: str, fruit_profile: str
) -> None:
    """The fault gives the area that a plant needs and that of the largest lid."""
    wide = fruit_profile.replace("plants_per_m2: 28", "plants_per_m2: 4")
    (folder / "crops" / "fruit.yaml").write_text(wide, encoding="utf-8")
    (fault,) = faults_of(garden_text.replace("loose greens]", "small fruit]"))
    assert (fault.line, fault.field) == (11, "wants.salad.crops.2")
    assert "needs 0.25 m2 a plant, and the largest lid has 0.11 m2" in fault.wrong


def test_faulty_totes_do_not_make_crops_homeless(faults_of: FaultsOf, garden_text: str) -> None:
    """Nothing is concluded from totes that have faults."""
    assert [fault.field for fault in faults_of(garden_text.replace("system: dwc", "system: dcw"))] == ["totes.A.system"]
