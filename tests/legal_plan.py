"""A legal plan of six batches, made by hand, that touches most rules at their limit; and the tests' list of limits.

Days are counted from Saturday 3 October 2026.  All crops emerge after 3 days and grow at their profile's own
conditions, so that every stage can be counted on the fingers.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from builders import SHELF, START, a_batch, a_crop, a_garden, a_harvest, a_tote, day
from steadysow.check.verify import RULES, Breach, name_of, verify
from steadysow.inputs.crops import Crop, HarvestKind
from steadysow.inputs.garden import Garden, Lamp, Nursery, Serving, SowingHabits, Want
from steadysow.plan.batch import Batch, Harvest
from steadysow.standing.standing import Rest

WEDNESDAY, SATURDAY = 2, 5
EVERY_DAY = (0, 1, 2, 3, 4, 5, 6)


def make_crop(name: str, kind: HarvestKind, grams: tuple[float, ...], window_days: int) -> Crop:
    """Make a crop that is transplanted after 14 to 21 days and first harvested 24 days later."""
    return a_crop(
        name,
        kind,
        seeds_a_cell=2,
        emergence=((10.0, 3.0), (20.0, 3.0), (30.0, 3.0)),
        germination_percent=50.0,
        transplant_shock_days=3,
        first_days=24.0,
        between_days=0.0 if kind == "head" else 12.0,
        window_days=window_days,
        grams=grams,
    )


def make_garden() -> Garden:
    """Make a shelf with two bubbled totes and a still one, and chores on Wednesdays and Saturdays."""
    shelf = replace(SHELF, lamp=Lamp(dli_mol=12.0, plants=9))
    servings = (Serving(crop="lettuce"), Serving(crop="mizuna"), Serving(crop="pea"))
    return a_garden(
        a_tote("A", inside_cm=(40.0, 30.0)),
        a_tote("B", system="kratky", litres=10.0, inside_cm=(40.0, 30.0), top_up="never"),
        a_tote("C", inside_cm=(40.0, 30.0)),
        weeks=12,
        clear_by=day(90),
        chore_days=(WEDNESDAY, SATURDAY),
        harvest_days=(WEDNESDAY, SATURDAY),
        sowing=SowingHabits(every_days=7, smallest=2, crops_a_day=2, confidence=0.5),
        nursery=Nursery(cells=10, place=shelf),
        places=(shelf, replace(SHELF, name="yard")),
        wants=(Want(name="salad", unit="g", amount=200.0, servings=servings),),
    )


def make_batch(number: int, crop: str, tote: str, holes: tuple[int, ...], days: tuple[int, int], **rest: Any) -> Batch:
    """Make a planned batch sown and transplanted on the given days, with cells for 3 in 4 germinating."""
    cells = {2: 3, 3: 4}[len(holes)]
    usual = {"cells": cells, "seeds": 2 * cells, "sown_on": day(days[0]), "transplanted_on": day(days[1])}
    return a_batch(number, holes, crop=crop, tote=tote, **(usual | rest))


def reap(on: int, due: int, kind: HarvestKind, number: int, *holes: int) -> Harvest:
    """Make a harvest that fell due on a day: heads of 150 g that hold 10 days, or cuts of 50 g that may wait 7."""
    window_days, grams = (10, 150.0) if kind == "head" else (7, 50.0)
    latest_on = day(due + window_days - 1)
    return a_harvest(day(on), holes, kind, number=number, latest_on=latest_on, grams=grams * len(holes))


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
