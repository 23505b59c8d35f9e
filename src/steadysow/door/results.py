"""What the methods of a garden's folder give: frozen values with nothing left to look up."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict, dataclass
from datetime import date
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from steadysow.advice.differences import Rebalanced
    from steadysow.chores.chore import Chore
    from steadysow.inputs.garden import Garden
    from steadysow.inputs.journal import Fact
    from steadysow.plan.plan import Plan
    from steadysow.upkeep.water import WaterBook


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanWork:
    """A plan and the work it asks for, each worked out once.

    Attributes
    ----------
    garden
        The garden that the plan is followed in.
    plan
        The plan.
    known
        The plan without batches of totes, places, crops or wants that the garden no longer has.
    books
        The water of each filling, day by day.
    chores
        Every chore, by day.
    """

    garden: Garden
    plan: Plan
    known: Plan
    books: tuple[WaterBook, ...]
    chores: tuple[Chore, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """What `GardenFolder.planned` gives.

    Attributes
    ----------
    plan
        The plan in force now.
    is_new
        Whether it was made just now; otherwise nothing has changed since it was saved, and nothing was solved.
    work
        The plan and the work it asks for.
    learnt
        Sentences about what the garden's own record makes of its crops.
    """

    plan: Plan
    is_new: bool
    work: PlanWork
    learnt: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ChoreList:
    """The chores of some days.

    Attributes
    ----------
    from_on, until_on
        The first day; the day after the last.
    due
        Chores of these days that the journal does not have yet.
    overdue
        Chores of earlier days that the journal does not have.
    next_on
        The day of the next chore from `until_on` on, or ``None``.
    """

    from_on: date
    until_on: date
    due: tuple[Chore, ...]
    overdue: tuple[Chore, ...]
    next_on: date | None

    def rows(self) -> list[dict[str, object]]:
        """Give the chores as plain dicts, overdue ones first."""
        return [asdict(chore) for chore in (*self.overdue, *self.due)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Recorded:
    """What `GardenFolder.record` gives.

    Attributes
    ----------
    facts
        The facts that were added.
    sentences
        The same, as a person reads them.
    warnings
        Sentences about what is odd in the facts.
    broken
        What of the plan can no longer be followed, or an empty text.
    """

    facts: tuple[Fact, ...]
    sentences: tuple[str, ...]
    warnings: tuple[str, ...]
    broken: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MendedPlan:
    """What `GardenFolder.rebalance` gives.

    Attributes
    ----------
    rebalanced
        The mended plan, what changed and why, and what it serves beside the old one.
    answers
        What goes now into each tote that was named as free, a sentence each.
    learnt
        Sentences about what the garden's own record makes of its crops.
    """

    rebalanced: Rebalanced
    answers: tuple[str, ...] = ()
    learnt: tuple[str, ...] = ()

    @property
    def plan(self) -> Plan:
        """The mended plan."""
        return self.rebalanced.plan


OnRecorded = Callable[[Recorded], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    """What `GardenFolder.check` gives: sentences, each tuple empty where there is nothing to say.

    Attributes
    ----------
    doubts
        What is doubtful about the garden.
    light, water
        Where light or water would not suffice for the plan in force; ``None`` where there is no plan.
    nutrient
        What is too strong in the recipe.
    cautions
        Safety sentences that bear on the garden.
    """

    doubts: tuple[str, ...]
    light: tuple[str, ...] | None
    water: tuple[str, ...] | None
    nutrient: tuple[str, ...]
    cautions: tuple[str, ...]
