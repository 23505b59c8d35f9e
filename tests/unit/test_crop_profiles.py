"""The figures of the shipped profiles agree with one another."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from shipped import shipped_crops
from steadysow.advice.light_use import group_of, published_range
from steadysow.inputs.crop_files import read_crops, shipped_crops_folder
from steadysow.inputs.crops import Band, Bolting, Crop
from steadysow.inputs.values import FaultList

# Our estimate of the lid of a small 11 litre tote: 28 x 40 cm.
LID_M2 = 0.112

CROPS = shipped_crops()
GREENS = [crop for crop in CROPS.values() if not crop.is_fruit]
IN_POT = [crop for crop in CROPS.values() if crop.sown_in == "pot"]
BOLT_FROM_HEAT = [crop for crop in CROPS.values() if crop.growth.bolting and crop.growth.bolting.above_c is not None]

# Baby leaf, and the same kind of plant grown large.
GROWN = {
    "baby lettuce": "looseleaf lettuce",
    "baby kale": "kale",
    "baby spinach": "spinach",
    "baby mizuna": "mizuna",
    "baby arugula": "arugula",
    "baby chard": "swiss chard",
}
SPINACH = ("spinach", "baby spinach")
# Long days of 14 to 16 hours, and heat, bring these to flower (from memory).
LONG_DAY = (
    "arugula", "baby arugula", "baby mizuna", "bok choy", "cilantro", "dill", "endive", "komatsuna", "mizuna",
    "mustard greens", "tatsoi",
)  # fmt: skip
# These need a winter before they flower (from memory).
AFTER_WINTER = ("kale", "baby kale", "swiss chard", "baby chard", "parsley", "celery leaf", "sorrel")
# Lettuce bolts above 25 to 28 degrees C (from memory).
LETTUCE = ("butterhead lettuce", "romaine lettuce", "looseleaf lettuce", "baby lettuce")

# 144 a square foot, Gagne and Mattson 2019.
BABY_LEAF_PLANTS_PER_M2 = 144 / 0.3048**2
# 75 g a litre, the best of Pennisi et al. 2019: no plant here may count on less water.
LEAST_LITRES_A_GRAM = 1 / 75

each_crop = pytest.mark.parametrize("crop", CROPS.values(), ids=lambda crop: crop.name)
each_green = pytest.mark.parametrize("crop", GREENS, ids=lambda crop: crop.name)
each_in_pot = pytest.mark.parametrize("crop", IN_POT, ids=lambda crop: crop.name)
each_baby = pytest.mark.parametrize(("baby", "grown"), GROWN.items())


def emergence_days(crop: Crop) -> float:
    """Give the days to emergence at the table's temperature nearest to the profile's own [d]."""
    _, days = min(crop.emergence, key=lambda pair: abs(pair[0] - crop.growth.at_c))
    assert days is not None
    return days


def first_light_days(crop: Crop) -> float:
    """Give the days in which the first harvest gathers light [d]: in its pot a plant has none until it is up."""
    return crop.harvest.first_days - (emergence_days(crop) if crop.sown_in == "pot" else 0)


def light_limit_grams(crop: Crop, days: float) -> float:
    """Give what light makes on a full-grown plant's share of the ground, at the profile's own conditions [g]."""
    return days * crop.growth.at_dli_mol * crop.growth.grams_per_mol / crop.plants_per_m2


def common(bands: list[Band]) -> tuple[float, float]:
    """Give the range that all bands tolerate; its ends are the wrong way round if there is none."""
    return max(band.tolerated[0] for band in bands), min(band.tolerated[1] for band in bands)


def bolting(name: str) -> Bolting:
    """Give what brings a crop to flower, which its profile must say."""
    found = CROPS[name].growth.bolting
    assert found is not None
    return found


def test_shipped_profiles_are_free_of_faults() -> None:
    """The reader finds nothing to mend in what is shipped."""
    faults = FaultList()
    read_crops((shipped_crops_folder(),), faults)
    assert [str(fault) for fault in faults] == []


@each_crop
def test_light_can_make_every_harvest(crop: Crop) -> None:
    """At its own conditions no profile promises more than light makes there."""
    harvest = crop.harvest
    assert harvest.grams[0] <= light_limit_grams(crop, first_light_days(crop))
    assert all(grams <= light_limit_grams(crop, harvest.between_days) for grams in harvest.grams[1:])


@each_crop
def test_harvests_are_near_what_light_can_make(crop: Crop) -> None:
    """The best harvest of a span without rest is at most an eighth below the light limit, so the limit is not idle."""
    harvest = crop.harvest
    steady = harvest.grams[1] if harvest.most > 1 else harvest.grams[0]
    days = harvest.between_days or first_light_days(crop)
    assert steady >= light_limit_grams(crop, days) * 7 / 8


@each_in_pot
def test_first_harvest_of_a_plant_never_moved_is_near_what_light_can_make(crop: Crop) -> None:
    """A plant that stays in its pot does not stand still, so its first harvest is near the limit too."""
    assert crop.harvest.grams[0] >= light_limit_grams(crop, first_light_days(crop)) * 7 / 8


@each_crop
def test_later_harvests_are_no_heavier(crop: Crop) -> None:
    """A plant does not gain from being cut."""
    assert all(later <= earlier for earlier, later in pairwise(crop.harvest.grams))


@each_green
def test_spacing_and_lid_agree_for_greens(crop: Crop) -> None:
    """A tote with measures and one without carry the same number of a green."""
    assert math.floor(LID_M2 * crop.plants_per_m2 + 1e-9) == crop.lid_holes


@each_crop
def test_seedlings_are_up_well_before_they_are_needed(crop: Crop) -> None:
    """The table's emergence near the profile's temperature leaves half the least nursery days to grow.

    In a pot it leaves half the days to the first harvest.
    """
    days = crop.harvest.first_days if crop.sown_in == "pot" else crop.nursery_days[0]
    assert emergence_days(crop) <= days / 2


def test_greens_share_a_reservoir() -> None:
    """All greens tolerate a common EC and a common pH."""
    least_ec, most_ec = common([crop.ec for crop in GREENS])
    least_ph, most_ph = common([crop.ph for crop in GREENS])
    assert least_ec < most_ec
    assert least_ph < most_ph


def test_fruit_needs_an_air_pump() -> None:
    """Fruit is for moving water only; greens grow in both systems."""
    assert all(crop.systems == (("dwc",) if crop.is_fruit else ("dwc", "kratky")) for crop in CROPS.values())


def trials_of(crop: Crop) -> tuple[float, float] | None:
    """Give the published range of its group; greens cut leaf by leaf are held to trials of greens taken whole."""
    return published_range("leaf greens" if group_of(crop) == "cut greens" else group_of(crop))


def test_only_herbs_have_no_trials() -> None:
    """Trials were published of every group of greens but the herbs."""
    assert {group_of(crop) for crop in GREENS if trials_of(crop) is None} == {"herbs"}


@pytest.mark.parametrize("crop", [crop for crop in GREENS if trials_of(crop)], ids=lambda crop: crop.name)
def test_no_green_uses_light_better_than_the_best_trial(crop: Crop) -> None:
    """Where trials of a group of crops were published, no profile of the group makes more of a mol, to one digit."""
    published = trials_of(crop)
    assert published is not None
    assert crop.growth.grams_per_mol <= round(published[1], 1)


@pytest.mark.parametrize(
    "crop",
    [crop for crop in GREENS if (crop.harvest.kind == "head" or crop in IN_POT) and published_range(group_of(crop))],
    ids=lambda crop: crop.name,
)
def test_what_is_taken_as_in_the_trials_uses_light_no_worse(crop: Crop) -> None:
    """Heads and baby leaf, of which little stays behind, use light within the published range, to one digit."""
    published = published_range(group_of(crop))
    assert published is not None
    assert crop.growth.grams_per_mol >= round(published[0], 1)


@each_green
def test_no_green_drinks_less_than_the_best_published(crop: Crop) -> None:
    """Water enough for all harvests, at the least water a gram that was read of."""
    assert crop.litres_a_plant >= sum(crop.harvest.grams) * LEAST_LITRES_A_GRAM


@each_baby
def test_baby_leaf_is_ready_sooner_than_the_grown_crop(baby: str, grown: str) -> None:
    """From the day of sowing, which for baby leaf is all of it in the pot."""
    young, large = CROPS[baby], CROPS[grown]
    assert young.sown_in == "pot"
    assert young.harvest.first_days < large.nursery_days[0] + large.harvest.first_days
    assert young.harvest.between_days < large.harvest.between_days


@each_baby
def test_baby_leaf_is_the_same_seed(baby: str, grown: str) -> None:
    """Cutting it young changes nothing about how it comes up, what it bears, and how long seed lives."""
    young, large = CROPS[baby], CROPS[grown]
    assert young.species == large.species
    assert young.emergence == large.emergence
    assert young.germination_percent == large.germination_percent
    assert young.germination_c == large.germination_c
    assert young.seeds_keep_years == large.seeds_keep_years
    assert (young.ec, young.ph) == (large.ec, large.ph)


@pytest.mark.parametrize("baby", [name for name in GROWN if name != "baby chard"])
def test_baby_leaf_stands_as_thick_as_in_the_trial(baby: str) -> None:
    """What comes up is the published crowd, give or take a plant a hole; chard is left out, its seeds are clusters."""
    crop = CROPS[baby]
    come_up = crop.seeds_a_cell * crop.germination_percent / 100 * crop.plants_per_m2
    assert come_up == pytest.approx(BABY_LEAF_PLANTS_PER_M2, abs=crop.plants_per_m2)


def test_baby_leaf_bolts_only_where_the_grown_crop_does() -> None:
    """Of each pair both bolt, or neither does, and there are pairs of both kinds."""
    pairs = {(CROPS[baby].growth.bolting is None, CROPS[grown].growth.bolting is None) for baby, grown in GROWN.items()}
    assert pairs == {(True, True), (False, False)}


@pytest.mark.parametrize(
    ("baby", "grown"), [(baby, grown) for baby, grown in GROWN.items() if CROPS[baby].growth.bolting]
)
def test_baby_leaf_bolts_as_long_after_sowing_as_the_grown_crop(baby: str, grown: str) -> None:
    """The same limits; days count from sowing in the pot, where the grown crop's nursery days come on top."""
    young, large = bolting(baby), bolting(grown)
    assert young.longest_day_hours == large.longest_day_hours
    assert young.above_c == large.above_c
    assert young.after_days == large.after_days + CROPS[grown].nursery_days[0]


@pytest.mark.parametrize("name", SPINACH)
def test_spinach_bolts_between_the_published_days(name: str) -> None:
    """Chun and others: 12 hours left it sound, 15.5 spoilt it; grown spinach was judged 14 days after transplant."""
    longest = bolting(name).longest_day_hours
    assert longest is not None
    assert 12 <= longest < 15.5
    assert bolting("spinach").after_days == 14


@pytest.mark.parametrize("name", LONG_DAY)
def test_long_day_crops_bear_no_day_beyond_sixteen_hours(name: str) -> None:
    """Long days and heat both bring them to flower."""
    limits = bolting(name)
    assert limits.longest_day_hours is not None
    assert 14 <= limits.longest_day_hours <= 16
    assert limits.above_c is not None


@pytest.mark.parametrize("name", LETTUCE)
def test_lettuce_bolts_from_heat_alone(name: str) -> None:
    """Between 25 and 28 degrees C, however long the day."""
    limits = bolting(name)
    assert limits.above_c is not None
    assert 25 <= limits.above_c <= 28
    assert limits.longest_day_hours is None


@pytest.mark.parametrize("name", AFTER_WINTER)
def test_what_needs_a_winter_does_not_bolt_in_a_season(name: str) -> None:
    """Biennials, and sorrel, have no limits."""
    assert CROPS[name].growth.bolting is None


def test_some_crops_bolt_from_heat() -> None:
    """There are crops with a temperature that brings them to flower, lettuce among them."""
    assert {crop.name for crop in BOLT_FROM_HEAT} >= {*LETTUCE, *LONG_DAY}


@pytest.mark.parametrize("crop", BOLT_FROM_HEAT, ids=lambda crop: crop.name)
def test_its_own_temperature_does_not_make_a_crop_bolt(crop: Crop) -> None:
    """The profile's days hold at a temperature below the one that brings it to flower, which it still bears alive."""
    above_c = bolting(crop.name).above_c
    assert above_c is not None
    assert crop.growth.at_c < above_c < crop.growth.ceiling_c
