"""The figures of the shipped profiles agree with one another."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from steadysow.inputs.crops import Band, Crop, read_crops, shipped_crops_folder
from steadysow.inputs.values import FaultList

# Our estimate of the lid of a small 11 litre tote: 28 x 40 cm.
LID_M2 = 0.112

CROPS = read_crops((shipped_crops_folder(),), FaultList())
GREENS = [crop for crop in CROPS.values() if not crop.is_fruit]

each_crop = pytest.mark.parametrize("crop", CROPS.values(), ids=lambda crop: crop.name)
each_green = pytest.mark.parametrize("crop", GREENS, ids=lambda crop: crop.name)


def light_limit_grams(crop: Crop, days: float) -> float:
    """Give what light makes on a full-grown plant's share of the ground, at the profile's own conditions [g]."""
    return days * crop.growth.at_dli_mol * crop.growth.grams_per_mol / crop.plants_per_m2


def common(bands: list[Band]) -> tuple[float, float]:
    """Give the range that all bands tolerate; its ends are the wrong way round if there is none."""
    return max(band.tolerated[0] for band in bands), min(band.tolerated[1] for band in bands)


def test_shipped_profiles_are_free_of_faults() -> None:
    """The reader finds nothing to mend in what is shipped."""
    faults = FaultList()
    read_crops((shipped_crops_folder(),), faults)
    assert [str(fault) for fault in faults] == []


@each_crop
def test_light_can_make_every_harvest(crop: Crop) -> None:
    """At its own conditions no profile promises more than light makes there."""
    harvest = crop.harvest
    assert harvest.grams[0] <= light_limit_grams(crop, harvest.first_days)
    assert all(grams <= light_limit_grams(crop, harvest.between_days) for grams in harvest.grams[1:])


@each_crop
def test_harvests_are_near_what_light_can_make(crop: Crop) -> None:
    """The best harvest of a span without rest is at most an eighth below the light limit, so the limit is not idle."""
    harvest = crop.harvest
    steady = harvest.grams[1] if harvest.most > 1 else harvest.grams[0]
    days = harvest.between_days or harvest.first_days
    assert steady >= light_limit_grams(crop, days) * 7 / 8


@each_crop
def test_later_harvests_are_no_heavier(crop: Crop) -> None:
    """A plant does not gain from being cut."""
    assert all(later <= earlier for earlier, later in pairwise(crop.harvest.grams))


@each_green
def test_spacing_and_lid_agree_for_greens(crop: Crop) -> None:
    """A tote with measures and one without carry the same number of a green."""
    assert math.floor(LID_M2 * crop.plants_per_m2 + 1e-9) == crop.lid_holes


@each_crop
def test_seedlings_are_up_well_before_transplant(crop: Crop) -> None:
    """The table's emergence near the profile's temperature leaves half the least nursery days to grow."""
    _, days = min(crop.emergence, key=lambda pair: abs(pair[0] - crop.growth.at_c))
    assert days is not None
    assert days <= crop.nursery_days[0] / 2


def test_greens_share_a_reservoir() -> None:
    """All greens tolerate a common EC and a common pH."""
    for bands in ([crop.ec for crop in GREENS], [crop.ph for crop in GREENS]):
        least, most = common(bands)
        assert least < most


def test_fruit_needs_an_air_pump() -> None:
    """Fruit is for moving water only; greens grow in both systems."""
    assert all(crop.systems == (("dwc",) if crop.is_fruit else ("dwc", "kratky")) for crop in CROPS.values())
