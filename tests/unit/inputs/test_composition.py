"""Salts and labels give the right elements, by atoms counted by hand and by the factors of labels."""

from __future__ import annotations

import pytest

from steadysow.inputs.composition import ATOMIC_WEIGHTS, ELEMENTS, SALTS, salt_named, shares_of

# Atoms counted by hand.
ATOMS = {
    "Epsom salt": {"Mg": 1, "S": 1, "O": 11, "H": 14},
    "calcium nitrate tetrahydrate": {"Ca": 1, "N": 2, "O": 10, "H": 8},
    "greenhouse calcium nitrate": {"Ca": 5, "N": 12, "O": 43, "H": 24},
    "potassium nitrate": {"K": 1, "N": 1, "O": 3},
    "monopotassium phosphate": {"K": 1, "H": 2, "P": 1, "O": 4},
    "potassium sulfate": {"K": 2, "S": 1, "O": 4},
}
# Molar masses from memory, as chemists' tables round them [g/mol].
GRAMS_A_MOL = {
    "Epsom salt": 246.47,
    "calcium nitrate tetrahydrate": 236.15,
    "greenhouse calcium nitrate": 1080.7,
    "potassium nitrate": 101.10,
    "monopotassium phosphate": 136.09,
    "potassium sulfate": 174.26,
}


@pytest.mark.parametrize("salt", SALTS)
def test_shares_of_salts(salt: str) -> None:
    """Each element's share is the weight of its atoms in the molar mass; elements that are not counted are left out."""
    shares = shares_of(SALTS[salt])
    assert shares.keys() == ATOMS[salt].keys() & ELEMENTS.keys()
    for element, share in shares.items():
        weight = ATOMS[salt][element] * ATOMIC_WEIGHTS[element]
        assert share == pytest.approx(weight / GRAMS_A_MOL[salt], rel=2e-4)


@pytest.mark.parametrize(
    ("form", "element", "factor"),
    # Factors of the trade from an oxide to its element, from memory.
    [
        ("P2O5", "P", 0.4364),
        ("K2O", "K", 0.8301),
        ("CaO", "Ca", 0.7147),
        ("MgO", "Mg", 0.6030),
        ("SO3", "S", 0.4005),
        ("Ca", "Ca", 1.0),
    ],
)
def test_labels_count_oxides(form: str, element: str, factor: float) -> None:
    """An oxide on a label is converted to its element by the factor of the trade; an element stays itself."""
    assert shares_of(form) == {element: pytest.approx(factor, abs=6e-5)}


def test_greenhouse_calcium_nitrate_is_as_its_label_says() -> None:
    """The double salt is sold as 15.5-0-0 with 19 % calcium (from memory); the tetrahydrate has less of both."""
    shares = shares_of(SALTS["greenhouse calcium nitrate"])
    assert shares["N"] == pytest.approx(0.155, abs=0.001)
    assert shares["Ca"] == pytest.approx(0.19, abs=0.005)
    assert shares_of(SALTS["calcium nitrate tetrahydrate"])["N"] < 0.12


def test_capitals_do_not_matter() -> None:
    """A salt is found in capitals or not; another name is no salt."""
    assert salt_named("EPSOM SALT") == "Epsom salt"
    assert salt_named("table salt") is None
