"""The main path, on one screen: from a garden folder to a verified plan.

Takes a folder, today, and the plan in force; gives a plan.  Each call below names the module to open next.
"""

from __future__ import annotations

import hashlib
import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from datetime import date, timedelta
from pathlib import Path
from time import monotonic
from typing import TYPE_CHECKING

from steadysow import __version__
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden
from steadysow.inputs.garden_file import read_garden
from steadysow.inputs.journal import JOURNAL_FILE, Journal, read_journal
from steadysow.plan import plan as plans
from steadysow.plan.plan import Batch, Measure, Plan, Proof
from steadysow.standing.standing import Rest, Standing, plan_as_told, standing_as_told

if TYPE_CHECKING:
    from steadysow.advice.differences import Rebalanced
    from steadysow.growth.learnt import Germination, Learnt
    from steadysow.search.decide import Decision, Span
    from steadysow.search.mending import Freedom
    from steadysow.search.solver import Progress
    from steadysow.standing.grounds import Grounds


@dataclass(frozen=True, slots=True, kw_only=True)
class Inputs:
    """A garden folder, read and checked."""

    garden: Garden
    crops: Mapping[str, Crop]
    journal: Journal = field(default_factory=Journal)

    def fingerprint(self, today: date) -> str:
        """Give what the plan depends on as one text: the same fingerprint, the same plan.

        A day added for the work of a moment is none of it, nor is what only upkeep goes by.
        """
        used = sorted({serving.crop for want in self.garden.wants for serving in want.servings})
        profiles = [replace(self.crops[name], file="", sources=()) for name in used]
        told = self.journal.digest() if self.journal.facts else ""
        planned_by = _planned_by(self.garden)
        return hashlib.sha256(repr((__version__, today, planned_by, profiles, told)).encode()).hexdigest()

    def learnt(self) -> Inputs:
        """Give what is planned by: crops and packets with what this garden's own record makes of them."""
        from steadysow.growth.learnt import learn_packets
        from steadysow.standing.outcomes import came_from

        facts = self.journal.standing
        if not facts:
            return self
        came = came_from(facts, self.garden)
        packets = learn_packets(self.garden.packets, self.crops, came, max(fact.on.year for fact in facts))
        return replace(self, crops=self.learnt_crops(), garden=replace(self.garden, packets=packets))

    def learnt_crops(self) -> Mapping[str, Crop]:
        """Give the crops with what this garden's own record makes of them."""
        from steadysow.growth.learnt import learn
        from steadysow.standing.outcomes import grown_from

        facts = self.journal.standing
        return learn(self.crops, grown_from(facts, self.garden, self.crops)) if facts else self.crops

    def record_of(self, crop: Crop, year: int) -> tuple[tuple[Learnt, ...], Germination | None]:
        """Give what this garden's own record makes of a crop, and of its seeds in a year."""
        from steadysow.growth.learnt import factors, germinations
        from steadysow.standing.outcomes import came_from, grown_from

        crops, facts = {crop.name: crop}, self.journal.standing
        known = germinations(self.garden.packets, crops, came_from(facts, self.garden), year)
        return factors(crops, grown_from(facts, self.garden, crops)), known.get(crop.name)

    def made_by(self, plan: Plan) -> tuple[Mapping[str, Crop], ...]:
        """Give the crops that a plan may have been made by: as published, and with what was known by then."""
        seen = tuple(fact for fact in self.journal.facts if fact.number <= plan.facts)
        return self.crops, replace(self, journal=replace(self.journal, facts=seen)).learnt_crops()

    def learnt_sentences(self) -> tuple[str, ...]:
        """Say what this garden's own record makes of its crops."""
        from steadysow.growth.learnt import factors, sentences
        from steadysow.standing.outcomes import grown_from

        facts = self.journal.standing
        return tuple(sentences(factors(self.crops, grown_from(facts, self.garden, self.crops)))) if facts else ()

    def grounds(self, plan: Plan | None, today: date, journal: Journal | None = None) -> Grounds:
        """Give what a person's words are understood by, with the journal as it is now."""
        from steadysow.standing.grounds import Grounds

        told = journal or self.journal
        learnt = replace(self, journal=told).learnt_crops()
        return Grounds(garden=self.garden, crops=self.crops, learnt=learnt, plan=plan, journal=told, today=today)

    def standing(self, plan: Plan | None, today: date) -> Standing:
        """Give what stands by the journal and, where that is silent, by a plan."""
        return standing_as_told(plan, today, self.journal, garden=self.garden, crops=self.crops)


# What planning knows nothing of, since only upkeep goes by it.
_UPKEEP_KEYS = frozenset((
    "also_on", "tariff", "air_pump_watts", "recipes", "nutrient", "tap_water", "change_every_days", "unattended_days",
    "stock", "stock_counted_on", "order_days",
))  # fmt: skip


def _planned_by(garden: Garden) -> tuple[object, ...]:
    """Give what planning knows of a garden."""
    return tuple(getattr(garden, field.name) for field in fields(Garden) if field.name not in _UPKEEP_KEYS)


def read(folder: Path) -> Inputs:
    """Read ``garden.yaml``, the journal, the garden's own crops, and of the shipped ones those that they name.

    Raises
    ------
    InputFaults
        If anything is wrong with the files; it holds all the faults.
    """
    garden, crops = read_garden(folder, named_in=(folder / plans.PLAN_FILE, folder / JOURNAL_FILE))
    return Inputs(garden=garden, crops=crops, journal=read_journal(folder))


def make_plan(
    inputs: Inputs,
    *,
    today: date,
    old: Plan | None = None,
    is_afresh: bool = False,
    rests: tuple[Rest, ...] = (),
    least_id: int = 1,
    seconds: float = 10.0,
    on_progress: Progress | None = None,
) -> Plan:
    """Plan from today on, round what stands.

    Parameters
    ----------
    inputs
        The garden, the crops and the journal.
    today
        Nothing is planned before it.
    old
        The plan in force: its batches sown before today are facts, its numbers last.
    is_afresh
        Whether to search as if nothing were planned yet; what has begun is a fact all the same, and numbers last.
    rests
        Totes out of use, besides those that the journal tells of.
    least_id
        The least number of a new batch, where numbers were given away that no plan knows any more.
    seconds
        Ceiling on the time for solving [s].
    on_progress
        Called with the best share and the bound so far, and the seconds since the start.
    """
    # Here, and not at the top, so that commands that plan nothing start without them.
    from steadysow.search.decide import decide

    started = monotonic()
    standing = inputs.standing(old, today)
    standing = replace(standing, rests=(*rests, *standing.rests), next_id=max(standing.next_id, least_id))
    span = _span(inputs.garden, old, today)
    decision = decide(
        inputs.garden,
        inputs.crops,
        standing,
        span=span,
        old=old.batches if old else (),
        is_afresh=is_afresh,
        seconds=seconds,
        on_progress=on_progress,
    )
    return _verified(inputs, old, standing, span, decision, monotonic() - started)


def rebalance(
    inputs: Inputs,
    *,
    today: date,
    old: Plan,
    freedom: Freedom = "middle",
    seconds: float = 10.0,
    on_progress: Progress | None = None,
) -> Rebalanced:
    """Mend the plan in force from today on with the least change.

    Parameters
    ----------
    inputs
        The garden, the crops and the journal.
    today
        What lies before it has happened.
    old
        The plan in force.
    freedom
        How much may change: ``low``, ``middle`` or ``high``.
    seconds
        Ceiling on the time for solving [s].
    on_progress
        Called with the best share and the bound so far, and the seconds since the start.
    """
    from steadysow.advice.differences import Rebalanced, differences_of
    from steadysow.search.mending import mend

    started = monotonic()
    standing, span = inputs.standing(old, today), _span(inputs.garden, old, today)
    before = plan_as_told(old, standing, today)
    mended = mend(
        inputs.garden,
        inputs.crops,
        standing,
        span=span,
        old=before.batches,
        freedom=freedom,
        seconds=seconds,
        on_progress=on_progress,
    )
    plan = _verified(inputs, old, standing, span, mended.decision, monotonic() - started)
    was = _measured(inputs, before.batches, span, mended.decision.reach)
    return Rebalanced(
        plan=plan,
        share_before=was.served_share,
        share_afresh=max(mended.decision.choice.best_share, plan.proof.served_share),
        differences=differences_of(
            before, plan, was.weeks, garden=inputs.garden, standing=standing, today=today, broken=mended.broken
        ),
    )


def _span(garden: Garden, old: Plan | None, today: date) -> Span:
    from steadysow.search.decide import Span

    starts_on = garden.starts_on or (old.starts_on if old else today)
    weeks = plans.week_starts(garden, starts_on, today)
    return Span(starts_on=starts_on, first_on=weeks[0] if weeks else today, today=today, weeks=len(weeks))


def _measured(inputs: Inputs, batches: tuple[Batch, ...], span: Span, reach: Mapping[str, date | None]) -> Measure:
    return plans.measure(
        inputs.garden, inputs.crops, batches, span.starts_on, span.first_on, span.weeks, span.today, reach
    )


def _verified(
    inputs: Inputs, old: Plan | None, standing: Standing, span: Span, decision: Decision, seconds: float
) -> Plan:
    """Make a plan of batches that keep every rule, measured by code that knows nothing of how they were found."""
    from steadysow.advice.notes import cut_short, long_weeks, lost_since, notes_on
    from steadysow.check.verify import verify

    garden, crops, today, batches = inputs.garden, inputs.crops, span.today, decision.batches
    choice, reach = decision.choice, decision.reach
    breaches = verify(
        garden, crops, batches, today=today, starts_on=span.starts_on, resting=standing.rests, begun=standing.begun
    )
    if breaches:
        raise AssertionError("\n".join(breach.sentence for breach in breaches))
    measured = _measured(inputs, batches, span, reach)
    return Plan(
        garden=garden.name,
        uuid=(old.uuid if old else "") or inputs.journal.uuid or str(uuid.uuid4()),
        starts_on=span.starts_on,
        made_on=today,
        from_on=span.first_on,
        until_on=span.first_on + timedelta(weeks=span.weeks),
        proof=Proof(
            served_share=measured.served_share,
            best_share=max(choice.best_share, measured.served_share),
            bound_share=max(choice.bound_share, measured.served_share),
            served_share_all_weeks=measured.all_weeks,
            status=choice.status,
            seconds=round(seconds, 1),
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
            *long_weeks(garden, crops, batches, span.starts_on, today),
        ),
        fingerprint=inputs.fingerprint(today),
        facts=inputs.journal.last_number,
        last_id=max((old.last_id if old else 0, *(batch.id for batch in batches))),
    )
