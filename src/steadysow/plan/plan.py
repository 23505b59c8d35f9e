"""The plan as a value: batches, weeks, and how good the plan is known to be.

Frozen values and nothing else; `measure` computes the weeks, `plan_file` keeps a plan in ``plan.json``.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from datetime import date
from typing import Any, Literal, get_args

from steadysow.plan.batch import Batch, Harvest

Unit = Literal["g", "heads"]
RowKind = Literal["batches", "sowings", "harvests", "weeks"]
Status = Literal["optimal", "time limit", "interrupted", "step limit"]


@dataclass(frozen=True, slots=True, kw_only=True)
class WantWeek:
    """A want in one week.

    Attributes
    ----------
    want, unit
        The want, and the unit of all amounts: grams (``g``) or ``heads``.
    wanted, harvested, served
        What the week asks for, what is harvested in it, and what it eats.
    surplus
        What spoils of the week's harvest.
    in_reach
        Whether anything can be harvested for the want by the end of the week.
    by_crop
        The week's harvest by crop.
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
    """Seven days from `starts_on`, with every want in the order of the garden file."""

    starts_on: date
    wants: tuple[WantWeek, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """How good the plan is known to be; all shares from 0 to 1.

    Attributes
    ----------
    served_share, served_share_all_weeks
        What the plan serves, over the weeks in reach and over all weeks.
    best_share, best_sowings
        The most that any plan found serves, and how many sowings that takes.
    bound_share
        What no plan for these totes can pass.
    status
        Whether the best is proven (``optimal``), or what ended the search.
    seconds
        How long solving took [s].
    deep_gaps
        Weeks and wants in reach of which under half is served.
    sowings
        Sowings in the planned weeks.
    """

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
        When the garden began; weeks are counted from it.
    from_on, until_on
        First day of the first planned week; the day after the last planned week.
    batches
        By id, with those of the tail after `until_on`.
    weeks
        Every planned week, in reach or not.
    notes
        Sentences: rules relaxed, weeks out of reach and why, what limits the plan.
    fingerprint
        A hash of the inputs; if it is equal, nothing needs solving.
    facts
        The number of the last fact in the journal when the plan was made.
    last_id
        The greatest number that a batch has ever had.
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

    def rows(self, kind: RowKind) -> list[dict[str, Any]]:
        """Give one part of the plan as a table: a list of flat dicts, all with the same keys.

        Dates are dates, weights are in grams.  A table of pandas or any other library can be made of them.

        Parameters
        ----------
        kind
            ``batches``, ``sowings`` (those still planned), ``harvests``, or ``weeks`` (one row for each week and want).

        Raises
        ------
        ValueError
            If there is no such table.
        """
        if kind == "batches":
            return [_row_of(batch, without=("harvests", "recorded", "earlier")) for batch in self.batches]
        if kind == "sowings":
            names = ("sown_on", "crop", "want", "place", "tote", "plants", "cells", "seeds")
            planned = (batch for batch in self.batches if batch.state == "planned")
            return [{"batch": batch.id, **{name: getattr(batch, name) for name in names}} for batch in planned]
        if kind == "harvests":
            return [
                {"batch": batch.id, "crop": batch.crop, "want": batch.want, "place": batch.place, "tote": batch.tote}
                | _row_of(harvest)
                for batch in self.batches
                for harvest in batch.harvests
            ]
        if kind == "weeks":
            return [
                {"starts_on": week.starts_on, **_row_of(each, without=("by_crop",))}
                for week in self.weeks
                for each in week.wants
            ]
        raise ValueError(f'no table "{kind}": write one of {", ".join(get_args(RowKind))}')


def _row_of(value: Batch | Harvest | WantWeek, *, without: tuple[str, ...] = ()) -> dict[str, Any]:
    return {field.name: getattr(value, field.name) for field in fields(value) if field.name not in without}
