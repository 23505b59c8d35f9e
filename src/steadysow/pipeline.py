"""The main path, on one screen: from a garden folder to a verified plan.

Takes a folder, today, and the plan in force; gives a plan.  Each call below names the module to open next.
"""

from __future__ import annotations

import hashlib
import math
import uuid
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path
from time import monotonic

from steadysow import __version__
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden
from steadysow.inputs.garden_file import read_garden
from steadysow.planning import plan as plans
from steadysow.planning.assemble import assemble
from steadysow.planning.candidates import Candidates, propose, tail_weeks
from steadysow.planning.choose import Choice, choose
from steadysow.planning.model import Lot
from steadysow.planning.notes import notes_on
from steadysow.planning.plan import Plan, Proof
from steadysow.planning.solver import Progress
from steadysow.planning.standing import Rest, Standing, standing_from
from steadysow.planning.totes import Placed, name_totes
from steadysow.planning.verify import verify


@dataclass(frozen=True, slots=True, kw_only=True)
class Inputs:
    """A garden folder, read and checked."""

    garden: Garden
    crops: Mapping[str, Crop]

    def fingerprint(self, today: date) -> str:
        """Give what the plan depends on as one text: the same fingerprint, the same plan."""
        used = sorted({serving.crop for want in self.garden.wants for serving in want.servings})
        profiles = [replace(self.crops[name], file="", sources=()) for name in used]
        return hashlib.sha256(repr((__version__, today, self.garden, profiles)).encode()).hexdigest()


def read(folder: Path) -> Inputs:
    """Read ``garden.yaml``, the shipped crops and the garden's own.

    Raises
    ------
    InputFaults
        If anything is wrong with the files; it holds all the faults.
    """
    garden, crops = read_garden(folder)
    return Inputs(garden=garden, crops=crops)


def make_plan(
    inputs: Inputs,
    *,
    today: date,
    old: Plan | None = None,
    rests: tuple[Rest, ...] = (),
    seconds: float = 10.0,
    on_progress: Progress | None = None,
) -> Plan:
    """Plan from today on, round what stands.

    Parameters
    ----------
    inputs
        The garden and the crops.
    today
        Nothing is planned before it.
    old
        The plan in force: its batches sown before today are facts, its numbers last.
    rests
        Totes out of use.
    seconds
        Ceiling on the time for solving [s].
    on_progress
        Called with the best share and the bound so far, and the seconds since the start.
    """
    started = monotonic()
    garden, crops = inputs.garden, inputs.crops
    starts_on = garden.starts_on or (old.starts_on if old else today)
    weeks = plans.week_starts(garden, starts_on, today)
    first_on, until_on = (weeks[0], weeks[-1] + timedelta(7)) if weeks else (today, today)
    standing = replace(standing_from(old, today), rests=rests)
    days = 7 * (len(weeks) + tail_weeks(garden, crops, first_on))

    candidates = propose(garden, crops, standing, first_on=first_on, today=today, days=days)
    wanted, leftovers = _wanted(candidates), _leftovers(candidates, standing, crops, starts_on)
    choice, placed = _choose_and_name(candidates, standing, len(weeks), wanted, leftovers, seconds, crops, on_progress)
    batches = assemble(candidates, placed, standing, old=old.batches if old else ())

    breaches = verify(
        garden, crops, batches, today=today, starts_on=starts_on, resting=rests, begun=standing.begun
    )
    assert not breaches, "\n".join(breach.sentence for breach in breaches)
    reach = {want: None if day is None else candidates.date_of(day) for want, day in candidates.reach.items()}
    measured = plans.measure(garden, crops, batches, starts_on, first_on, len(weeks), today, reach)
    return Plan(
        garden=garden.name,
        uuid=old.uuid if old else str(uuid.uuid4()),
        starts_on=starts_on,
        made_on=today,
        from_on=first_on,
        until_on=until_on,
        proof=Proof(
            served_share=measured.served_share,
            best_share=max(choice.best_share, measured.served_share),
            bound_share=max(choice.bound_share, measured.served_share),
            served_share_all_weeks=measured.all_weeks,
            status=choice.status,
            seconds=round(monotonic() - started, 1),
            deep_gaps=measured.deep_gaps,
            sowings=measured.sowings,
            best_sowings=max(choice.best_sowings, measured.sowings),
        ),
        batches=batches,
        weeks=measured.weeks,
        notes=notes_on(garden, measured, reach),
        fingerprint=inputs.fingerprint(today),
    )


def _choose_and_name(
    candidates: Candidates,
    standing: Standing,
    weeks: int,
    wanted: Mapping[tuple[str, int], float],
    leftovers: Mapping[Lot, float],
    seconds: float,
    crops: Mapping[str, Crop],
    on_progress: Progress | None,
) -> tuple[Choice, tuple[Placed, ...]]:
    choice = choose(
        candidates, weeks=weeks, wanted=wanted, leftovers=leftovers, seconds=seconds, on_progress=on_progress
    )
    placed = name_totes(candidates, choice.strands)
    assert placed is not None
    return choice, placed


def _wanted(candidates: Candidates) -> dict[tuple[str, int], float]:
    """Give what is wanted by want and week, where it is in reach, tail included."""
    amounts = {}
    for want in candidates.garden.wants:
        reach = candidates.reach[want.name]
        for week in range(candidates.days // 7):
            amount = plans.wanted(candidates.garden, want, candidates.date_of(7 * week))
            if amount > 0 and reach is not None and reach < 7 * (week + 1):
                amounts[(want.name, week)] = amount
    return amounts


def _leftovers(
    candidates: Candidates, standing: Standing, crops: Mapping[str, Crop], starts_on: date
) -> dict[Lot, float]:
    """Give what was harvested before today and is still good."""
    first_week = (candidates.first_on - starts_on).days // 7
    lots: dict[Lot, float] = {}
    for want in candidates.garden.wants:
        earlier = plans.carried_over(
            candidates.garden, crops, want, standing.begun, starts_on, candidates.first_on
        )
        every = plans.portions(crops, want, standing.begun, starts_on)
        for portion in (*earlier, *(each for each in every if each.week >= first_week)):
            lot = Lot(want=want.name, week=portion.week - first_week, last_week=portion.last_week - first_week)
            lots[lot] = lots.get(lot, 0.0) + portion.amount
    return lots
