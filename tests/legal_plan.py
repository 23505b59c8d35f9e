"""A legal plan of six batches, made by hand, that touches most rules at their limit; and the tests' list of limits.

Days are counted from Saturday 3 October 2026.  All crops emerge after 3 days and grow at their profile's own
conditions, so that every stage can be counted on the fingers.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import Any

from steadysow.check.verify import RULES, Breach, name_of, verify
from steadysow.inputs.crops import Band, Crop, Growth, HarvestFigures, HarvestKind
from steadysow.inputs.garden import Garden, Lamp, Nursery, Place, Serving, SowingHabits, Stand, Tote, Want
from steadysow.plan.batch import Batch, Harvest
from steadysow.standing.standing import Rest

START = date(2026, 10, 3)
WEDNESDAY, SATURDAY = 2, 5
EVERY_DAY = (0, 1, 2, 3, 4, 5, 6)


def day(number: int) -> date:
    """Give a day counted from the start."""
    return START + timedelta(number)


def make_crop(name: str, kind: HarvestKind, grams: tuple[float, ...], window_days: int) -> Crop:
    """Make a crop that is transplanted after 14 to 21 days and first harvested 24 days later."""
    return Crop(
        name=name,
        species=name,
        systems=("dwc", "kratky"),
        plants_per_m2=50.0,
        lid_holes=6,
        sown_in="nursery",
        seeds_a_cell=2,
        plants_a_hole=1,
        emergence=((10.0, 3.0), (20.0, 3.0), (30.0, 3.0)),
        germination_percent=50.0,
        germination_c=(2.0, 15.0, 24.0, 29.0),
        seeds_keep_years=4.0,
        nursery_days=(14, 21),
        transplant_shock_days=3,
        harvest=HarvestFigures(
            kind=kind,
            first_days=24.0,
            between_days=0.0 if kind == "head" else 12.0,
            window_days=window_days,
            grams=grams,
        ),
        growth=Growth(
            base_c=3.0,
            optimum_c=24.0,
            ceiling_c=32.0,
            at_c=20.0,
            at_dli_mol=12.0,
            half_dli_mol=0.0,
            grams_per_mol=50.0,
        ),
        ec=Band(ideal=(1.2, 1.8), tolerated=(0.8, 2.4)),
        ph=Band(ideal=(5.6, 6.2), tolerated=(5.2, 7.0)),
        litres_a_plant=3.0,
        keeps_days=7,
        days_spread=0.1,
        grams_spread=0.2,
    )


def make_garden() -> Garden:
    """Make a shelf with two bubbled totes and a still one, and chores on Wednesdays and Saturdays."""
    shelf = Place(name="shelf", lamp=Lamp(dli_mol=12.0, plants=9), temperature_c=20.0)
    yard = Place(name="yard", lamp=Lamp(dli_mol=12.0), temperature_c=20.0)
    stands = (Stand(place="shelf"),)
    return Garden(
        name="Test",
        starts_on=START,
        weeks=12,
        clear_by=day(90),
        latitude=None,
        units="metric",
        chore_days=(WEDNESDAY, SATURDAY),
        harvest_days=(WEDNESDAY, SATURDAY),
        away=(),
        sowing=SowingHabits(every_days=7, smallest=2, crops_a_day=2, confidence=0.5),
        tidy_points=1.0,
        turnaround_days=1,
        nursery=Nursery(cells=10, place=shelf),
        places=(shelf, yard),
        totes=(
            Tote(name="A", holes=6, litres=11.0, system="dwc", inside_cm=(40.0, 30.0), stands=stands),
            Tote(
                name="B",
                holes=6,
                litres=10.0,
                system="kratky",
                inside_cm=(40.0, 30.0),
                stands=stands,
                top_up="never",
            ),
            Tote(name="C", holes=6, litres=11.0, system="dwc", inside_cm=(40.0, 30.0), stands=stands),
        ),
        wants=(
            Want(
                name="salad",
                unit="g",
                amount=200.0,
                servings=(Serving(crop="lettuce"), Serving(crop="mizuna"), Serving(crop="pea")),
            ),
        ),
    )


def make_batch(number: int, crop: str, tote: str, holes: tuple[int, ...], days: tuple[int, int], **rest: Any) -> Batch:
    """Make a planned batch sown and transplanted on the given days, with cells for 3 in 4 germinating."""
    cells = {2: 3, 3: 4}[len(holes)]
    harvests: tuple[Harvest, ...] = rest.pop("harvests")
    usual: dict[str, Any] = {
        "place": "shelf",
        "cells": cells,
        "seeds": 2 * cells,
        "state": "planned",
        "emerges_on": day(days[0] + 3),
        "cleared_on": harvests[-1].on,
    }
    return Batch(
        id=number,
        crop=crop,
        want="salad",
        tote=tote,
        holes=holes,
        plants=len(holes),
        sown_on=day(days[0]),
        transplanted_on=day(days[1]),
        harvests=harvests,
        **(usual | rest),
    )


def reap(on: int, due: int, kind: HarvestKind, number: int, *holes: int) -> Harvest:
    """Make a harvest that fell due on a day: heads of 150 g that hold 10 days, or cuts of 50 g that may wait 7."""
    window_days, grams = (10, 150.0) if kind == "head" else (7, 50.0)
    return Harvest(
        on=day(on),
        latest_on=day(due + window_days - 1),
        kind=kind,
        number=number,
        holes=holes,
        plants=len(holes),
        grams=grams * len(holes),
    )


@dataclass(kw_only=True)
class Setting:
    """Everything that `verify` takes, to be changed by a test."""

    garden: Garden = field(default_factory=make_garden)
    batches: dict[int, Batch] = field(default_factory=dict)
    today: date = START
    starts_on: date = START
    resting: tuple[Rest, ...] = ()
    begun: tuple[Batch, ...] = ()

    def breaches(self) -> tuple[Breach, ...]:
        """Ask for the second opinion."""
        return verify(
            self.garden,
            self.batches.values(),
            today=self.today,
            starts_on=self.starts_on,
            resting=self.resting,
            begun=self.begun,
        )

    def broken(self) -> set[str]:
        """Give the names of the rules that are broken."""
        return {breach.rule for breach in self.breaches()}

    def alter(self, number: int, **changes: Any) -> None:
        """Change fields of a batch."""
        self.batches[number] = replace(self.batches[number], **changes)

    def alter_harvest(self, batch: int, index: int, **changes: Any) -> None:
        """Change fields of a harvest."""
        harvests = list(self.batches[batch].harvests)
        harvests[index] = replace(harvests[index], **changes)
        self.alter(batch, harvests=tuple(harvests))

    def alter_crop(self, name: str, **changes: Any) -> None:
        """Change fields of a crop."""
        crop = replace(self.garden.crops[name], **changes)
        self.alter_garden(crops={**self.garden.crops, name: crop})

    def alter_garden(self, **changes: Any) -> None:
        """Change fields of the garden."""
        self.garden = replace(self.garden, **changes)

    def alter_sowing(self, **changes: Any) -> None:
        """Change the habits of sowing."""
        self.alter_garden(sowing=replace(self.garden.sowing, **changes))

    def alter_tote(self, name: str, **changes: Any) -> None:
        """Change fields of a tote."""
        self.alter_garden(
            totes=tuple(replace(tote, **changes) if tote.name == name else tote for tote in self.garden.totes)
        )


def make_setting() -> Setting:
    """Make a legal plan of six batches that touches most rules at their limit."""
    pea = replace(make_crop("pea", "cut", (50.0, 50.0), 7), sown_in="pot", transplant_shock_days=0)
    batches = (
        make_batch(
            1, "lettuce", "A", (1, 2), (0, 14), harvests=(reap(39, 38, "head", 1, 1), reap(42, 38, "head", 2, 2))
        ),
        make_batch(
            2, "mizuna", "A", (3, 4), (0, 14), harvests=(reap(42, 38, "cut", 1, 3, 4), reap(56, 54, "cut", 2, 3, 4))
        ),
        make_batch(3, "lettuce", "A", (1, 2), (28, 46), harvests=(reap(70, 70, "head", 1, 1, 2),)),
        make_batch(4, "lettuce", "B", (1, 2, 3), (7, 21), harvests=(reap(46, 45, "head", 1, 1, 2, 3),)),
        make_batch(5, "mizuna", "B", (1, 2, 3), (35, 49), harvests=(reap(74, 73, "cut", 1, 1, 2, 3),)),
        make_batch(6, "pea", "C", (1, 2), (14, 14), cells=2, seeds=4, harvests=(reap(42, 38, "cut", 1, 1, 2),)),
    )
    crops = {
        "lettuce": make_crop("lettuce", "head", (150.0,), 10),
        "mizuna": make_crop("mizuna", "cut", (50.0, 50.0, 50.0, 50.0), 7),
        "pea": pea,
    }
    return Setting(
        garden=replace(make_garden(), crops=crops),
        batches={batch.id: batch for batch in batches},
    )


Change = Callable[[Setting, Any], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """A change to the legal plan, with a value that leaves it legal and one a step beyond, which breaks a rule.

    Attributes
    ----------
    says
        The first sentence about the broken rule.
    """

    rule: str
    change: Change
    legal: Any
    illegal: Any
    says: str

    def breaches(self, value: Any) -> tuple[Breach, ...]:
        """Change the plan and ask for the second opinion."""
        setting = make_setting()
        self.change(setting, value)
        return setting.breaches()

    def __str__(self) -> str:
        """Give its name, for the list of tests."""
        return self.change.__name__


class Limits:
    """The limits that one test file tries."""

    def __init__(self, module: str) -> None:
        """Begin an empty list for the rules of one module of `steadysow.check`."""
        self.module = f"steadysow.check.{module}"
        self.known: list[Limit] = []

    def of(self, rule: str, *, legal: Any, illegal: Any, says: str) -> Callable[[Change], Change]:
        """Put a change on the list; the other arguments are fields of `Limit`."""

        def keep(change: Change) -> Change:
            self.known.append(Limit(rule=rule, change=change, legal=legal, illegal=illegal, says=says))
            return change

        return keep

    def untried(self) -> set[str]:
        """Give the rules of the module without a limit on the list, and the names of rules it does not have."""
        rules = {name_of(rule) for rule in RULES if rule.__module__ == self.module}
        return rules ^ {limit.rule for limit in self.known}
