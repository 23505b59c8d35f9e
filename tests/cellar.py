"""A cellar with one tote that has a pump and a still one, and batches made by hand, for tests of what is done for them.

Takes changes to a batch or garden; gives them, a plan of batches, and its chores by key.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import builders
from builders import a_harvest, a_tote
from steadysow.chores.chore import Chore
from steadysow.chores.listing import list_chores
from steadysow.inputs.crops import Band, Care, Crop, HarvestFigures, HarvestKind
from steadysow.inputs.garden import Garden, Lamp, Nursery, Place, Want
from steadysow.inputs.journal import Fact
from steadysow.plan.batch import Batch, Harvest
from steadysow.plan.plan import Plan

SOWN_ON = date(2026, 10, 3)
PLANTED_ON = date(2026, 10, 24)
SHELF = Place(name="shelf", lamp=Lamp(dli_mol=11.0), temperature_c=20.0)


def a_crop(name: str, care: tuple[Care, ...] = ()) -> Crop:
    """Give a crop of which only what chores ask for matters."""
    return builders.a_crop(
        name,
        "cut",
        seeds_a_cell=2,
        germination_percent=80.0,
        germination_c=(2.0, 15.0, 22.0, 28.0),
        nursery_days=(14, 28),
        window_days=5,
        grams=(30.0, 30.0),
        ec=Band(ideal=(1.0, 2.0), tolerated=(1.0, 2.0)),
        ph=Band(ideal=(5.5, 6.5), tolerated=(5.5, 6.5)),
        litres_a_plant=2.0,
        keeps_days=9,
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
    facts: dict[str, Any] = {
        "name": "Cellar",
        "chore_days": (2, 5),
        "harvest_days": (2, 5),
        "nursery": Nursery(cells=60, place=SHELF),
        "places": (SHELF,),
        "wants": (Want(name="salad", unit="g", amount=180.0, servings=(), keeps_days=keeps_days),),
    }
    garden = builders.a_garden(a_tote("A", 12), a_tote("F", 8, "kratky"), crops=CROPS.values(), **facts)
    return replace(garden, **changes)


def a_batch(id: int = 12, holes: tuple[int, ...] = (1, 2, 3, 4, 5, 6), **changes: Any) -> Batch:
    """Give a batch of six mizuna in tote A with two cuts, two weeks apart."""
    cuts = tuple(
        taking("cut", number, PLANTED_ON + timedelta(days=7 + 14 * number), holes, wait=4) for number in (1, 2)
    )
    facts: dict[str, Any] = {
        "crop": "mizuna",
        "cells": len(holes),
        "seeds": 2 * len(holes),
        "emerges_on": SOWN_ON + timedelta(days=4),
        "transplanted_on": PLANTED_ON,
        "cleared_on": cuts[-1].on,
        "harvests": cuts,
    }
    return builders.a_batch(id, holes, **(facts | changes))


def taking(kind: HarvestKind, number: int, on: date, holes: tuple[int, ...], wait: int = 0) -> Harvest:
    """Give a harvest of 30 g a plant that may wait for some days."""
    return a_harvest(on, holes, kind, number=number, latest_on=on + timedelta(days=wait), grams=30.0 * len(holes))


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
    return builders.a_plan(*batches, garden="Cellar")
