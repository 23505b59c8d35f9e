"""How many plants a tote carries."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from steadysow.inputs.crops import Crop, read_crops
from steadysow.inputs.garden import Stand, Tote, carried, lid_area_m2
from steadysow.inputs.values import FaultList

TOTE = Tote(name="A", holes=12, litres=11, system="dwc", inside_cm=(40, 28), stands=(Stand(place="shelf"),))


@pytest.fixture
def crop(folder: Path) -> Crop:
    """Give a crop of 28 plants a square metre and six holes on a small lid."""
    return read_crops((folder / "crops",), FaultList())["plain lettuce"]


def test_measured_lid_carries_area_times_spacing(crop: Crop) -> None:
    """On 40 x 28 cm, 28 plants a square metre make 3.1 plants, of which three are whole."""
    assert carried(crop, TOTE) == 3


def test_exact_fit_is_not_rounded_down(crop: Crop) -> None:
    """A lid with room for a whole number of plants carries that number, whatever the rounding of the product."""
    assert carried(replace(crop, plants_per_m2=50), replace(TOTE, inside_cm=(20, 30))) == 3
    assert carried(replace(crop, plants_per_m2=30), replace(TOTE, inside_cm=(10, 10 / 3 * 10))) == 1


def test_unmeasured_lid_carries_the_holes_of_a_small_tote(crop: Crop) -> None:
    """Without measures a tote carries what the profile says of a small lid, and never more than it has holes."""
    assert carried(crop, replace(TOTE, inside_cm=None)) == 6
    assert carried(crop, replace(TOTE, inside_cm=None, holes=4)) == 4


def test_nothing_is_carried_in_another_system(crop: Crop) -> None:
    """A crop that grows in dwc only is not carried by a still tote."""
    assert carried(replace(crop, systems=("dwc",)), replace(TOTE, system="kratky")) == 0


def test_lid_area_measured_and_estimated() -> None:
    """A measured lid has width x length; a tote of eight times the litres and the same shape has four times the lid."""
    assert lid_area_m2(TOTE) == pytest.approx(0.112)
    small, large = (replace(TOTE, inside_cm=None, litres=litres) for litres in (11, 88))
    assert lid_area_m2(small) == pytest.approx(0.112)
    assert lid_area_m2(large) == pytest.approx(4 * 0.112)


@given(st.integers(1, 60), st.integers(1, 200), st.integers(1, 200))
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_carried_plants_always_have_their_room(crop: Crop, holes: int, width: int, length: int) -> None:
    """The plants carried never need more lid than there is, and one more would, unless the holes are used up."""
    tote = replace(TOTE, holes=holes, inside_cm=(width, length))
    number = carried(crop, tote)
    assert number <= holes
    assert number * 10_000 <= 28 * width * length + 1e-3
    assert number == holes or (number + 1) * 10_000 > 28 * width * length
