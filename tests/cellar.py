"""A cellar with one tote that has a pump and a still one, and batches made by hand, for tests of what is done for them.

Takes changes to a batch or garden; gives them, a plan of batches, and its chores by key.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

from steadysow.chores.chore import Chore
from steadysow.chores.listing import list_chores
from steadysow.inputs.crops import Band, Care, Crop, Growth, HarvestFigures
from steadysow.inputs.garden import Garden, Lamp, Nursery, Place, SowingHabits, Stand, Tote, Want
from steadysow.inputs.journal import Fact
from steadysow.plan.batch import Batch, Harvest
from steadysow.plan.plan import Plan, Proof

SOWN_ON = date(2026, 10, 3)
PLANTED_ON = date(2026, 10, 24)
SHELF = Place(name="shelf", lamp=Lamp(dli_mol=11.0), temperature_c=20.0)


def a_crop(name: str, care: tuple[Care, ...] = ()) -> Crop:
    """Give a crop of which only what chores ask for is of meaning."""
    return Crop(
        name=name,
        species="",
        systems=("dwc", "kratky"),
        plants_per_m2=50.0,
        lid_holes=6,
        sown_in="nursery",
        seeds_a_cell=2,
        plants_a_hole=1,
        emergence=(),
        germination_percent=80.0,
        germination_c=(2.0, 15.0, 22.0, 28.0),
        seeds_keep_years=4.0,
        nursery_days=(14, 28),
        transplant_shock_days=2,
        harvest=HarvestFigures(kind="cut", first_days=21.0, between_days=14.0, window_days=5, grams=(30.0, 30.0)),
        growth=Growth(
            base_c=4.0,
            optimum_c=22.0,
            ceiling_c=30.0,
            at_c=20.0,
            at_dli_mol=14.0,
            half_dli_mol=0.0,
            grams_per_mol=40.0,
        ),
        ec=Band(ideal=(1.0, 2.0), tolerated=(1.0, 2.0)),
        ph=Band(ideal=(5.5, 6.5), tolerated=(5.5, 6.5)),
        litres_a_plant=2.0,
        keeps_days=9,
        days_spread=0.1,
        grams_spread=0.2,
        care=care,
    )


CROPS = {
    "mizuna": a_crop("mizuna"),
    "basil": a_crop("basil", (Care(what="pinch the tips", after_days=21, every_days=None),)),
    "butterhead lettuce": replace(
        a_crop("butterhead lettuce"),
        harvest=HarvestFigures(kind="head", first_days=35.0, between_days=0.0, window_days=6, grams=(60.0,)),
    ),
    "dwarf tomato": a_crop("dwarf tomato", (Care(what="tap the flowers", after_days=30, every_days=2),)),
}


def a_garden(keeps_days: int | None = None, **changes: Any) -> Garden:
    """Give a garden with a tote that has a pump (A) and a still one (F), and work on Wednesdays and Saturdays."""
    stands = (Stand(place="shelf"),)
    garden = Garden(
        name="Cellar",
        starts_on=SOWN_ON,
        weeks=10,
        clear_by=None,
        latitude=None,
        units="metric",
        chore_days=(2, 5),
        harvest_days=(2, 5),
        away=(),
        sowing=SowingHabits(every_days=7, smallest=2, crops_a_day=3),
        tidy_points=1.0,
        turnaround_days=1,
        nursery=Nursery(cells=60, place=SHELF),
        places=(SHELF,),
        totes=(
            Tote(name="A", holes=12, litres=11.0, system="dwc", inside_cm=None, stands=stands),
            Tote(name="F", holes=8, litres=11.0, system="kratky", inside_cm=None, stands=stands),
        ),
        wants=(Want(name="salad", unit="g", amount=180.0, servings=(), keeps_days=keeps_days),),
        crops=CROPS,
    )
    return replace(garden, **changes)


def a_batch(id: int = 12, holes: tuple[int, ...] = (1, 2, 3, 4, 5, 6), **changes: Any) -> Batch:
    """Give a batch of six mizuna in tote A with two cuts, two weeks apart."""
    cuts = tuple(
        taking("cut", number, PLANTED_ON + timedelta(days=7 + 14 * number), holes, wait=4) for number in (1, 2)
    )
    facts: dict[str, Any] = {
        "id": id,
        "crop": "mizuna",
        "want": "salad",
        "place": "shelf",
        "tote": "A",
        "holes": holes,
        "plants": len(holes),
        "cells": len(holes),
        "seeds": 2 * len(holes),
        "state": "planned",
        "sown_on": SOWN_ON,
        "emerges_on": SOWN_ON + timedelta(days=4),
        "transplanted_on": PLANTED_ON,
        "cleared_on": cuts[-1].on,
        "harvests": cuts,
    }
    return Batch(**(facts | changes))


def taking(kind: str, number: int, on: date, holes: tuple[int, ...], wait: int = 0) -> Harvest:
    """Give a harvest of 30 g a plant that may wait for some days."""
    return Harvest(
        on=on,
        latest_on=on + timedelta(days=wait),
        kind=kind,  # type: ignore[arg-type]
        number=number,
        holes=holes,
        plants=len(holes),
        grams=30.0 * len(holes),
    )


def heads(id: int = 7, tote: str = "F") -> Batch:
    """Give five heads that are taken on two days."""
    return a_batch(
        id,
        (1, 2, 3, 5, 6),
        crop="butterhead lettuce",
        tote=tote,
        cleared_on=date(2026, 12, 5),
        harvests=(
            taking("head", 1, date(2026, 11, 28), (1, 2, 3), wait=6),
            taking("head", 2, date(2026, 12, 5), (5, 6)),
        ),
    )


def chores_of(
    *batches: Batch, garden: Garden | None = None, crops: Mapping[str, Crop] = CROPS, facts: Iterable[Fact] = ()
) -> dict[str, Chore]:
    """Give the chores of a plan of these batches by key."""
    listed = list_chores(replace(garden or a_garden(), crops=crops), a_plan(*batches), facts=facts)
    assert len({chore.key for chore in listed}) == len(listed)
    return {chore.key: chore for chore in listed}


def a_plan(*batches: Batch) -> Plan:
    """Give a plan of these batches."""
    proof = Proof(
        served_share=1.0,
        best_share=1.0,
        bound_share=1.0,
        served_share_all_weeks=1.0,
        status="optimal",
        seconds=1.0,
        deep_gaps=0,
        sowings=1,
        best_sowings=1,
    )
    return Plan(
        garden="Cellar",
        uuid="6f0a3a54-2f5e-4c8e-9d3e-0f6c1f0f3f01",
        starts_on=SOWN_ON,
        made_on=SOWN_ON,
        from_on=SOWN_ON,
        until_on=SOWN_ON + timedelta(weeks=10),
        proof=proof,
        batches=batches,
        weeks=(),
    )
