"""Builders of crops, batches, gardens and plans: plain values all over, so that a test names only what it is about.

Days are counted from Saturday 3 October 2026.  Unless a test changes it, a crop is never short of light or warmth.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import fields
from datetime import date, timedelta
from typing import Any

from steadysow.inputs.crops import Band, Crop, Growth, HarvestFigures, HarvestKind, System
from steadysow.inputs.garden import Garden, Lamp, Nursery, Place, SowingHabits, Stand, Tote
from steadysow.plan.batch import Batch, Harvest
from steadysow.plan.plan import Plan, Proof

START = date(2026, 10, 3)
SHELF = Place(name="shelf", lamp=Lamp(dli_mol=12.0), temperature_c=20.0)


def day(number: int) -> date:
    """Give a day counted from the start."""
    return START + timedelta(number)


def a_crop(name: str = "cress", kind: HarvestKind = "head", **changes: Any) -> Crop:
    """Give a crop that gives one head or two cuts; changes may name fields of its harvest and its growth too."""
    harvest: dict[str, Any] = {"first_days": 21.0, "between_days": 0.0, "window_days": 7, "grams": (100.0,)}
    if kind != "head":
        harvest |= {"between_days": 14.0, "grams": (50.0, 50.0)}
    growth = {
        "base_c": 3.0, "optimum_c": 24.0, "ceiling_c": 32.0, "at_c": 20.0,
        "at_dli_mol": 12.0, "half_dli_mol": 0.0, "grams_per_mol": 50.0,
    }  # fmt: skip
    facts: dict[str, Any] = {
        "name": name,
        "species": "",
        "systems": ("dwc", "kratky"),
        "plants_per_m2": 50.0,
        "lid_holes": 6,
        "sown_in": "nursery",
        "seeds_a_cell": 1,
        "plants_a_hole": 1,
        "emergence": ((20.0, 3.0),),
        "germination_percent": 100.0,
        "germination_c": (2.0, 15.0, 24.0, 29.0),
        "seeds_keep_years": 4.0,
        "nursery_days": (14, 21),
        "transplant_shock_days": 0,
        "ec": Band(ideal=(1.2, 1.8), tolerated=(0.8, 2.4)),
        "ph": Band(ideal=(5.6, 6.2), tolerated=(5.2, 7.0)),
        "litres_a_plant": 3.0,
        "keeps_days": 7,
        "days_spread": 0.1,
        "grams_spread": 0.2,
    }
    facts["harvest"] = HarvestFigures(kind=kind, **(harvest | _taken(changes, HarvestFigures)))
    facts["growth"] = Growth(**(growth | _taken(changes, Growth)))
    return Crop(**(facts | changes))


def _taken(changes: dict[str, Any], whole: type) -> dict[str, Any]:
    """Take those changes that are fields of a part of a crop."""
    return {field.name: changes.pop(field.name) for field in fields(whole) if field.name in changes}


def a_harvest(on: date, holes: Sequence[int] = (1,), kind: HarvestKind = "head", **changes: Any) -> Harvest:
    """Give a harvest of 100 g a plant that cannot wait."""
    facts: dict[str, Any] = {
        "on": on,
        "latest_on": on,
        "kind": kind,
        "number": 1,
        "holes": tuple(holes),
        "plants": len(holes),
        "grams": 100.0 * len(holes),
    }
    return Harvest(**(facts | changes))


def a_batch(number: int = 1, holes: Sequence[int] = (1,), **changes: Any) -> Batch:
    """Give a planned batch in tote A, planted two weeks after sowing; its last harvest clears it."""
    harvests: Sequence[Harvest] = changes.get("harvests", ())
    sown_on: date = changes.get("sown_on", START)
    facts: dict[str, Any] = {
        "id": number,
        "crop": "cress",
        "want": "salad",
        "place": "shelf",
        "tote": "A",
        "holes": tuple(holes),
        "plants": len(holes),
        "state": "planned",
        "sown_on": sown_on,
        "emerges_on": sown_on + timedelta(3),
        "transplanted_on": sown_on + timedelta(14),
        "cleared_on": harvests[-1].on if harvests else None,
        "harvests": (),
    } | changes
    facts.setdefault("cells", facts["plants"])
    facts.setdefault("seeds", facts["cells"])
    return Batch(**facts)


def a_tote(name: str = "A", holes: int = 6, system: System = "dwc", **changes: Any) -> Tote:
    """Give a tote of 11 litres on the shelf."""
    facts: dict[str, Any] = {"litres": 11.0, "inside_cm": None, "stands": (Stand(place="shelf"),)}
    return Tote(name=name, holes=holes, system=system, **(facts | changes))


def a_garden(*totes: Tote, crops: Iterable[Crop] = (), **changes: Any) -> Garden:
    """Give a garden of ten weeks on a shelf under a lamp, with work on Saturdays and nothing wanted."""
    facts: dict[str, Any] = {
        "name": "Test",
        "starts_on": START,
        "weeks": 10,
        "clear_by": None,
        "latitude": None,
        "units": "metric",
        "chore_days": (5,),
        "harvest_days": (5,),
        "away": (),
        "sowing": SowingHabits(every_days=7, smallest=2, crops_a_day=3),
        "tidy_points": 1.0,
        "turnaround_days": 1,
        "nursery": Nursery(cells=60, place=SHELF),
        "places": (SHELF,),
        "wants": (),
    }
    return Garden(totes=totes, crops={crop.name: crop for crop in crops}, **(facts | changes))


def a_proof(**changes: Any) -> Proof:
    """Give the proof of a plan that serves all that is wanted, with one sowing."""
    facts: dict[str, Any] = {
        "served_share": 1.0,
        "best_share": 1.0,
        "bound_share": 1.0,
        "served_share_all_weeks": 1.0,
        "status": "optimal",
        "seconds": 1.0,
        "deep_gaps": 0,
        "sowings": 1,
        "best_sowings": 1,
    }
    return Proof(**(facts | changes))


def a_plan(*batches: Batch, **changes: Any) -> Plan:
    """Give a plan of these batches for ten weeks, made on the day the garden began."""
    starts_on: date = changes.get("starts_on", START)
    facts: dict[str, Any] = {
        "garden": "Test",
        "uuid": "6f0a3a54-2f5e-4c8e-9d3e-0f6c1f0f3f01",
        "starts_on": starts_on,
        "made_on": starts_on,
        "from_on": starts_on,
        "until_on": starts_on + timedelta(weeks=10),
        "proof": a_proof(),
        "weeks": (),
    }
    return Plan(batches=batches, **(facts | changes))
