"""The main path, on one screen: from a garden folder to a verified plan.

Takes a folder, today, and the plan in force; gives a plan.  Each call below names the module to open next.
"""

from __future__ import annotations

import hashlib
import uuid
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path
from time import monotonic
from typing import TYPE_CHECKING

from steadysow import __version__
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden
from steadysow.inputs.garden_file import read_garden
from steadysow.planning import plan as plans
from steadysow.planning.plan import Plan, Proof
from steadysow.planning.standing import Rest, standing_from

if TYPE_CHECKING:
    from steadysow.planning.solver import Progress


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
    """Read ``garden.yaml``, the garden's own crops, and of the shipped ones those that it or its plan names.

    Raises
    ------
    InputFaults
        If anything is wrong with the files; it holds all the faults.
    """
    garden, crops = read_garden(folder, named_in=(folder / plans.PLAN_FILE,))
    return Inputs(garden=garden, crops=crops)


def make_plan(
    inputs: Inputs,
    *,
    today: date,
    old: Plan | None = None,
    is_afresh: bool = False,
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
    is_afresh
        Whether to search as if nothing were planned yet; what has begun is a fact all the same, and numbers last.
    rests
        Totes out of use.
    seconds
        Ceiling on the time for solving [s].
    on_progress
        Called with the best share and the bound so far, and the seconds since the start.
    """
    # Here, and not at the top, so that commands that plan nothing start without them.
    from steadysow.planning.decide import Span, decide
    from steadysow.planning.notes import cut_short, lost_since, notes_on
    from steadysow.planning.verify import verify

    started = monotonic()
    garden, crops = inputs.garden, inputs.crops
    starts_on = garden.starts_on or (old.starts_on if old else today)
    weeks = plans.week_starts(garden, starts_on, today)
    first_on, until_on = (weeks[0], weeks[-1] + timedelta(7)) if weeks else (today, today)
    standing = replace(standing_from(old, today), rests=rests)

    decision = decide(
        garden,
        crops,
        standing,
        span=Span(starts_on=starts_on, first_on=first_on, today=today, weeks=len(weeks)),
        old=old.batches if old else (),
        is_afresh=is_afresh,
        seconds=seconds,
        on_progress=on_progress,
    )
    batches, choice, reach = decision.batches, decision.choice, decision.reach
    breaches = verify(garden, crops, batches, today=today, starts_on=starts_on, resting=rests, begun=standing.begun)
    if breaches:
        raise AssertionError("\n".join(breach.sentence for breach in breaches))
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
            best_sowings=choice.best_sowings,
        ),
        batches=batches,
        weeks=measured.weeks,
        notes=(
            *notes_on(garden, crops, measured, reach, today),
            *lost_since(standing.begun, batches),
            *cut_short(garden, crops, standing.begun, batches, today),
        ),
        fingerprint=inputs.fingerprint(today),
    )
