"""The plan as a value: batches, weeks, and how good the plan is known to be.

Frozen values and nothing else; `measure` computes the weeks, `plan_file` keeps a plan in ``plan.json``.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from steadysow.plan.batch import Batch

Unit = Literal["g", "heads"]
Status = Literal["optimal", "time limit", "interrupted", "step limit"]


@dataclass(frozen=True, slots=True, kw_only=True)
class WantWeek:
    """A want in one week, in `unit`.

    What was wanted, harvested in that week, served, and spoils of that week's harvest; `by_crop` splits the harvest.
    """

    want: str
    unit: Unit
    wanted: float
    harvested: float
    served: float
    surplus: float
    in_reach: bool
    by_crop: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Week:
    """Seven days from `starts_on`, with every want of the garden in the order of the file."""

    starts_on: date
    wants: tuple[WantWeek, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """How good the plan is known to be; see design: served share, best share, and the bound nobody can pass."""

    served_share: float
    best_share: float
    bound_share: float
    served_share_all_weeks: float
    status: Status
    seconds: float
    deep_gaps: int
    sowings: int
    best_sowings: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """A verified plan.

    Attributes
    ----------
    starts_on
        When the garden began; weeks are counted from it for ever.
    from_on, until_on
        First day of the first planned week; the day after the last planned week.
    batches
        By id; batches of the tail after `until_on` included.
    weeks
        Every planned week, in reach or not.
    notes
        Plain sentences: rules relaxed, weeks out of reach and why, what limits the plan.
    fingerprint
        Of the inputs; an equal one means that nothing needs solving.
    facts
        The number of the last fact of the journal that it has seen.
    last_id
        The greatest number that a batch has had, also of one that was dropped since.
    """

    garden: str
    uuid: str
    starts_on: date
    made_on: date
    from_on: date
    until_on: date
    proof: Proof
    batches: tuple[Batch, ...]
    weeks: tuple[Week, ...]
    notes: tuple[str, ...] = ()
    fingerprint: str = ""
    facts: int = 0
    last_id: int = 0
