"""Water of tomato in deep water culture: PMC7885021, table 2 (2021; seen, see shared/).

41.7 litres a plant in a polytunnel, 48.07 in a glasshouse, each plus or minus 8.  The litres a kilogram there are means
of ratios and do not divide into these, so they are not checked.  Checks of an outcome: a full-grown cherry tomato
drinks as much, and the small plants that fit on a tote's lid drink less.
"""

from __future__ import annotations

from shipped import shipped_crops
from steadysow.inputs.sources import read_publication

WATER = read_publication("tomato-water-2021").table
CROPS = shipped_crops()


def test_a_cherry_tomato_drinks_as_published() -> None:
    """Within the spread of the glasshouse."""
    mean, spread = (WATER[key]["glasshouse"] for key in ("water_l_a_plant", "water_l_a_plant_plus_minus"))
    assert mean - spread <= CROPS["cherry tomato"].litres_a_plant <= mean + spread


def test_a_dwarf_tomato_drinks_less() -> None:
    """Less than the least mean, that of the polytunnel."""
    assert CROPS["dwarf tomato"].litres_a_plant < WATER["water_l_a_plant"]["polytunnel"]
