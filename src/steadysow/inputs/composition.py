"""The elements in salts and labels.

Takes a formula, the name of a salt, or a form that labels use (P2O5, K2O, ...); gives shares of weight by element.
Hides atomic weights and the reading of formulas.
"""

from __future__ import annotations

import re
from collections import Counter
from functools import cache

# The elements that are counted in tote water, by symbol, in the order of display.
ELEMENTS = {
    "N": "nitrogen",
    "P": "phosphorus",
    "K": "potassium",
    "Ca": "calcium",
    "Mg": "magnesium",
    "S": "sulfur",
    "Fe": "iron",
    "Mn": "manganese",
    "B": "boron",
    "Zn": "zinc",
    "Cu": "copper",
    "Mo": "molybdenum",
    "Na": "sodium",
    "Cl": "chlorine",
}

# The forms that labels use: elements, and oxides of some.
LABEL_FORMS = (*ELEMENTS, "P2O5", "K2O", "CaO", "MgO", "SO3")

# Salts that are sold by these names and nearly pure.  Calcium nitrate for greenhouses is a double salt with ammonium,
# not the tetrahydrate; its formula is from memory and gives the 15.5 % N of its label.
SALTS = {
    "Epsom salt": "MgSO4.7H2O",
    "calcium nitrate tetrahydrate": "Ca(NO3)2.4H2O",
    "greenhouse calcium nitrate": "5Ca(NO3)2.NH4NO3.10H2O",
    "potassium nitrate": "KNO3",
    "monopotassium phosphate": "KH2PO4",
    "potassium sulfate": "K2SO4",
}

# Standard atomic weights, abridged to five digits (IUPAC, from memory) [g/mol].
ATOMIC_WEIGHTS = {
    "H": 1.008,
    "B": 10.81,
    "N": 14.007,
    "O": 15.999,
    "Na": 22.990,
    "Mg": 24.305,
    "P": 30.974,
    "S": 32.06,
    "Cl": 35.45,
    "K": 39.098,
    "Ca": 40.078,
    "Mn": 54.938,
    "Fe": 55.845,
    "Cu": 63.546,
    "Zn": 65.38,
    "Mo": 95.95,
}

_PIECE = re.compile(r"(\d*)(.+)")
_ATOMS = re.compile(r"([A-Z][a-z]?)(\d*)|\(([^()]+)\)(\d*)")


@cache
def shares_of(formula: str) -> dict[str, float]:
    """Give the share of weight of each element in a compound (0 to 1), without hydrogen and oxygen.

    Parameters
    ----------
    formula
        Such as ``MgSO4.7H2O``: groups are in parentheses, parts that crystallize together follow a dot.
    """
    atoms = _atoms(formula)
    grams_a_mol = sum(ATOMIC_WEIGHTS[element] * count for element, count in atoms.items())
    return {
        element: ATOMIC_WEIGHTS[element] * count / grams_a_mol
        for element, count in atoms.items()
        if element in ELEMENTS
    }


def salt_named(name: str) -> str | None:
    """Give the salt of a name, in capitals or not; ``None`` if there is none."""
    return next((salt for salt in SALTS if salt.casefold() == name.casefold()), None)


def _atoms(formula: str) -> Counter[str]:
    """Count the atoms of a formula."""
    atoms: Counter[str] = Counter()
    for piece in formula.split("."):
        split = _PIECE.fullmatch(piece)
        assert split is not None, formula
        for element, count, group, times in _ATOMS.findall(split[2]):
            inner = {element: 1} if element else _atoms(group)
            for name, number in inner.items():
                atoms[name] += int(split[1] or 1) * number * int(count or times or 1)
    return atoms
