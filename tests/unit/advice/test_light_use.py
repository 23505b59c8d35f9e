"""Grams from a mol of light, computed by hand on lids and light of easy numbers."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from builders import a_batch, a_crop, a_garden, a_harvest, a_tote
from steadysow.advice.light_use import by_group, group_of, light_on, light_use, published_range, trial_grams_per_mol
from steadysow.inputs.crops import Crop, HarvestKind
from steadysow.inputs.garden import Lamp, Place
from steadysow.plan.batch import Batch

PLANTED_ON = date(2026, 10, 24)


def four_a_lid(name: str, species: str, kind: HarvestKind = "cut") -> Crop:
    """Give a crop that stands at 40 a square metre, so that 4 fit on a lid of a tenth of one."""
    return a_crop(name, kind, species=species, plants_per_m2=40.0, at_dli_mol=10.0, grams_per_mol=10.0)


LETTUCE = four_a_lid("lettuce", "Lactuca sativa")
CROPS = (
    LETTUCE,
    four_a_lid("mizuna", "Brassica rapa"),
    four_a_lid("chard", "Beta vulgaris"),
    four_a_lid("pak choi", "Brassica rapa", "head"),
    four_a_lid("basil", "Ocimum basilicum"),
    four_a_lid("tomato", "Solanum lycopersicum", "pick"),
)
SHELF = Place(name="shelf", lamp=Lamp(dli_mol=10.0), temperature_c=20.0)
TOTE = a_tote("A", 4, inside_cm=(25.0, 40.0))
GARDEN = a_garden(TOTE, name="Shelf", starts_on=None, places=(SHELF,), crops=CROPS)


def standing(crop: str, holes: tuple[int, ...], days: int, grams: float) -> Batch:
    """Give a batch that stands for some days and gives all its grams on the last."""
    taken = a_harvest(PLANTED_ON + timedelta(days), holes, "cut", grams=grams)
    return a_batch(1, holes, crop=crop, sown_on=PLANTED_ON - timedelta(14), harvests=(taken,))


def test_light_falls_on_the_share_of_the_lid() -> None:
    """Two plants at 40 a square metre need 0.05 m2, however wide the lid; in 20 days at 10 mol that is 10 mol."""
    batch = standing("lettuce", (1, 2), 20, 80.0)
    wide = replace(GARDEN, totes=(replace(TOTE, inside_cm=(50.0, 80.0)),))
    assert light_on(GARDEN, LETTUCE, batch) == pytest.approx(10.0)
    assert light_on(wide, LETTUCE, batch) == pytest.approx(10.0)


def test_a_head_takes_light_until_its_own_day() -> None:
    """One of two heads taken after 10 days, the other after 20: 0.025 m2 for 30 days at 10 mol are 7.5 mol."""
    batch = standing("lettuce", (1, 2), 20, 80.0)
    first, second = (
        replace(batch.harvests[0], kind="head", on=PLANTED_ON + timedelta(days), holes=(hole,), plants=1)
        for hole, days in ((1, 10), (2, 20))
    )
    assert light_on(GARDEN, LETTUCE, replace(batch, harvests=(first, second))) == pytest.approx(7.5)


def test_grams_are_summed_before_they_are_divided() -> None:
    """80 g on 10 mol and 60 g on 15 mol make 140/25 = 5.6 g a mol, not the mean of 8 and 4."""
    batches = (standing("lettuce", (1, 2), 20, 80.0), standing("lettuce", (1, 2, 3), 20, 60.0))
    assert by_group(GARDEN, batches) == pytest.approx({"lettuce": 5.6})


def test_groups_are_kept_apart() -> None:
    """Each group has its own figure; mizuna and chard are of one group, 90 g on 10 mol; heads are of another."""
    batches = (
        standing("mizuna", (1,), 20, 60.0),
        standing("chard", (2,), 20, 30.0),
        standing("pak choi", (2,), 20, 60.0),
        standing("basil", (3,), 20, 10.0),
        standing("tomato", (4,), 40, 30.0),
    )
    assert by_group(GARDEN, batches) == pytest.approx(
        {"leaf greens": 12.0, "cut greens": 9.0, "herbs": 2.0, "fruit": 3.0}
    )


@pytest.mark.parametrize(
    ("name", "group"),
    [
        ("lettuce", "lettuce"),
        ("mizuna", "cut greens"),
        ("chard", "cut greens"),
        ("pak choi", "leaf greens"),
        ("basil", "herbs"),
        ("tomato", "fruit"),
    ],
)
def test_the_botanical_name_gives_the_group(name: str, group: str) -> None:
    """A crop's group follows from its genus, and from what is taken of it: fruit, leaves or the whole plant."""
    assert group_of(GARDEN.crops[name]) == group
    assert group_of(replace(GARDEN.crops["mizuna"], sown_in="pot")) == "leaf greens"


def test_what_never_stood_counts_for_nothing() -> None:
    """Lost batches, and those that still wait in the nursery, are left out, and no figure is made of nothing."""
    batch = standing("lettuce", (1, 2), 20, 80.0)
    waiting = replace(batch, transplanted_on=None, cleared_on=None, harvests=())
    assert by_group(GARDEN, (replace(batch, state="lost"), waiting)) == {}
    assert light_use(GARDEN, ()) == ()


@pytest.mark.parametrize(
    ("crop", "dli_mol", "grams"),
    # 0.22, 0.37, 0.64 and 0.12 lb/ft2 are 1074.1, 1806.5, 3124.7 and 585.9 g/m2, in 12 days.
    [("lettuce", 12, 7.46), ("pak choi", 12, 12.545), ("mizuna", 12, 21.70), ("lettuce", 6, 8.14)],
)
def test_published_trial(crop: str, dli_mol: int, grams: float) -> None:
    """The trial of Gagne and Mattson 2019 at 12 and 6 mol, worked out by hand from its table."""
    assert trial_grams_per_mol(crop, dli_mol) == pytest.approx(grams, abs=0.005)


def test_published_ranges() -> None:
    """Lettuce runs from baby leaf at 30 mol to heads, greens from pak choi at 24 mol to mizuna at 18.

    0.43 lb/ft2 over 30 mol on 12 days: 5.83; heads 142 x 28 / (23 x 17) = 10.17; 0.58 over 24 mol: 9.83; 1.09 over 18
    mol: 24.64.
    """
    assert published_range("lettuce") == pytest.approx((5.83, 10.17), abs=0.005)
    assert published_range("leaf greens") == pytest.approx((9.83, 24.64), abs=0.005)
    assert published_range("cut greens") is None
    assert published_range("herbs") is None
    assert published_range("fruit") is None


def test_sentences_hold_both_figures() -> None:
    """A sentence holds the plan's figure and the published range with its source, or says that there is none."""
    batches = (standing("lettuce", (1, 2), 20, 80.0), standing("basil", (3,), 20, 10.0))
    lettuce, herbs = light_use(GARDEN, batches)
    assert lettuce.startswith(
        "Lettuce makes 8.0 g from a mol of light. Published trials reached 5.8 g to 10.2 g (computed"
    )
    assert "Gagne and Mattson 2019" in lettuce
    assert herbs == "Herbs make 2.0 g from a mol of light. We found no published figure for herbs."


def test_us_units() -> None:
    """In US units the same is given in ounces: 8 g are 0.28 of 28.35."""
    sentence = light_use(replace(GARDEN, units="us"), (standing("lettuce", (1, 2), 20, 80.0),))[0]
    assert sentence.startswith("Lettuce makes 0.28 oz from a mol of light. Published trials reached 0.21 oz to 0.36 oz")
