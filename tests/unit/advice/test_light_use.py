"""Grams from a mol of light, computed by hand on lids and light of easy numbers."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from steadysow.advice.light_use import by_group, group_of, light_on, light_use, published_range, trial_grams_per_mol
from steadysow.inputs.crops import Band, Crop, Growth, HarvestFigures, HarvestKind
from steadysow.inputs.garden import Garden, Lamp, Nursery, Place, SowingHabits, Stand, Tote
from steadysow.plan.batch import Batch, Harvest

PLANTED_ON = date(2026, 10, 24)


def a_crop(name: str, species: str, kind: HarvestKind = "cut") -> Crop:
    """Give a crop that stands at 40 a square metre, so that 4 fit on a lid of a tenth of one."""
    return Crop(
        name=name,
        species=species,
        systems=("dwc",),
        plants_per_m2=40.0,
        lid_holes=6,
        sown_in="nursery",
        seeds_a_cell=1,
        plants_a_hole=1,
        emergence=((20.0, 3.0),),
        germination_percent=100.0,
        germination_c=(2.0, 15.0, 24.0, 29.0),
        seeds_keep_years=4.0,
        nursery_days=(14, 21),
        transplant_shock_days=0,
        harvest=HarvestFigures(kind=kind, first_days=20.0, between_days=10.0, window_days=7, grams=(50.0, 50.0)),
        growth=Growth(
            base_c=3.0,
            optimum_c=24.0,
            ceiling_c=32.0,
            at_c=20.0,
            at_dli_mol=10.0,
            half_dli_mol=0.0,
            grams_per_mol=10.0,
        ),
        ec=Band(ideal=(1.2, 1.8), tolerated=(0.8, 2.4)),
        ph=Band(ideal=(5.6, 6.2), tolerated=(5.2, 7.0)),
        litres_a_plant=1.0,
        keeps_days=7,
        days_spread=0.1,
        grams_spread=0.2,
    )


CROPS = {
    crop.name: crop
    for crop in (
        a_crop("lettuce", "Lactuca sativa"),
        a_crop("mizuna", "Brassica rapa"),
        a_crop("chard", "Beta vulgaris"),
        a_crop("pak choi", "Brassica rapa", "head"),
        a_crop("basil", "Ocimum basilicum"),
        a_crop("tomato", "Solanum lycopersicum", "pick"),
    )
}
SHELF = Place(name="shelf", lamp=Lamp(dli_mol=10.0), temperature_c=20.0)
TOTE = Tote(name="A", holes=4, litres=11.0, system="dwc", inside_cm=(25.0, 40.0), stands=(Stand(place="shelf"),))
GARDEN = Garden(
    name="Shelf",
    starts_on=None,
    weeks=10,
    clear_by=None,
    latitude=None,
    units="metric",
    chore_days=(5,),
    harvest_days=(5,),
    away=(),
    sowing=SowingHabits(every_days=7, smallest=1, crops_a_day=3),
    tidy_points=1.0,
    turnaround_days=1,
    nursery=Nursery(cells=20, place=SHELF),
    places=(SHELF,),
    totes=(TOTE,),
    wants=(),
    crops=CROPS,
)


def a_batch(crop: str, holes: tuple[int, ...], days: int, grams: float) -> Batch:
    """Give a batch that stands for some days and gives all its grams on the last."""
    cleared_on = PLANTED_ON + timedelta(days)
    taken = Harvest(
        on=cleared_on, latest_on=cleared_on, kind="cut", number=1, holes=holes, plants=len(holes), grams=grams
    )
    return Batch(
        id=1,
        crop=crop,
        want="salad",
        place="shelf",
        tote="A",
        holes=holes,
        plants=len(holes),
        cells=len(holes),
        seeds=len(holes),
        state="planned",
        sown_on=PLANTED_ON - timedelta(14),
        emerges_on=None,
        transplanted_on=PLANTED_ON,
        cleared_on=cleared_on,
        harvests=(taken,),
    )


def test_light_falls_on_the_share_of_the_lid() -> None:
    """Two plants at 40 a square metre need 0.05 m2, however wide the lid; in 20 days at 10 mol that is 10 mol."""
    batch = a_batch("lettuce", (1, 2), 20, 80.0)
    wide = replace(GARDEN, totes=(replace(TOTE, inside_cm=(50.0, 80.0)),))
    assert light_on(GARDEN, CROPS["lettuce"], batch) == pytest.approx(10.0)
    assert light_on(wide, CROPS["lettuce"], batch) == pytest.approx(10.0)


def test_a_head_takes_light_until_its_own_day() -> None:
    """One of two heads taken after 10 days, the other after 20: 0.025 m2 for 30 days at 10 mol are 7.5 mol."""
    batch = a_batch("lettuce", (1, 2), 20, 80.0)
    first, second = (
        replace(batch.harvests[0], kind="head", on=PLANTED_ON + timedelta(days), holes=(hole,), plants=1)
        for hole, days in ((1, 10), (2, 20))
    )
    assert light_on(GARDEN, CROPS["lettuce"], replace(batch, harvests=(first, second))) == pytest.approx(7.5)


def test_grams_are_summed_before_they_are_divided() -> None:
    """80 g on 10 mol and 60 g on 15 mol make 140/25 = 5.6 g a mol, not the mean of 8 and 4."""
    batches = (a_batch("lettuce", (1, 2), 20, 80.0), a_batch("lettuce", (1, 2, 3), 20, 60.0))
    assert by_group(GARDEN, batches) == pytest.approx({"lettuce": 5.6})


def test_groups_are_kept_apart() -> None:
    """Each group has its own figure; mizuna and chard are of one group, 90 g on 10 mol; heads are of another."""
    batches = (
        a_batch("mizuna", (1,), 20, 60.0),
        a_batch("chard", (2,), 20, 30.0),
        a_batch("pak choi", (2,), 20, 60.0),
        a_batch("basil", (3,), 20, 10.0),
        a_batch("tomato", (4,), 40, 30.0),
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
    assert group_of(CROPS[name]) == group
    assert group_of(replace(CROPS["mizuna"], sown_in="pot")) == "leaf greens"


def test_what_never_stood_counts_for_nothing() -> None:
    """Lost batches, and those that still wait in the nursery, are left out, and no figure is made of nothing."""
    batch = a_batch("lettuce", (1, 2), 20, 80.0)
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
    batches = (a_batch("lettuce", (1, 2), 20, 80.0), a_batch("basil", (3,), 20, 10.0))
    lettuce, herbs = light_use(GARDEN, batches)
    assert lettuce.startswith(
        "Lettuce makes 8.0 g from a mol of light. Published trials reached 5.8 g to 10.2 g (computed"
    )
    assert "Gagne and Mattson 2019" in lettuce
    assert herbs == "Herbs make 2.0 g from a mol of light. We found no published figure for herbs."


def test_us_units() -> None:
    """In US units the same is given in ounces: 8 g are 0.28 of 28.35."""
    sentence = light_use(replace(GARDEN, units="us"), (a_batch("lettuce", (1, 2), 20, 80.0),))[0]
    assert sentence.startswith("Lettuce makes 0.28 oz from a mol of light. Published trials reached 0.21 oz to 0.36 oz")
