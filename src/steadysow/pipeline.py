"""The main path, on one screen: from a garden folder to a verified plan.

Takes a folder, today, and the plan in force; gives a plan.  Each call below names the module to open next.
"""

from __future__ import annotations

import hashlib
import json
import uuid
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, replace
from datetime import date, timedelta
from pathlib import Path
from time import monotonic
from typing import TYPE_CHECKING, Self

from steadysow import __version__
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden
from steadysow.inputs.garden_file import read_garden
from steadysow.inputs.journal import JOURNAL_FILE, Journal
from steadysow.inputs.journal_file import read_journal
from steadysow.plan.batch import Batch
from steadysow.plan.measure import Measure, measure, week_starts
from steadysow.plan.plan import Plan, Proof
from steadysow.plan.plan_file import PLAN_FILE
from steadysow.standing.standing import Rest, Standing, plan_as_recorded, standing_as_recorded

if TYPE_CHECKING:
    from steadysow.advice.differences import Rebalanced
    from steadysow.growth.learnt import Germination, Learnt
    from steadysow.search.decide import Decision, Span
    from steadysow.search.mending import Freedom
    from steadysow.search.solver import OnProgress
    from steadysow.standing.grounds import Grounds


# Fields of a garden that only upkeep looks at, and those that the fingerprint takes in by another way.
_NOT_PLANNED_BY = frozenset((
    "also_on", "tariff", "air_pump_watts", "recipes", "nutrient", "tap_water", "change_every_days", "unattended_days",
    "stock", "stock_counted_on", "order_days", "crops",
))  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Inputs:
    """What planning starts from: a garden, read and checked, and its journal."""

    garden: Garden
    journal: Journal = field(default_factory=Journal)

    def fingerprint(self, today: date) -> str:
        """Give a hash of all that planning depends on: the same fingerprint means the same plan."""
        garden, journal = self.garden, self.journal
        used = sorted({serving.crop for want in garden.wants for serving in want.servings})
        profiles = [asdict(replace(garden.crops[name], file="", sources=())) for name in used]
        values = asdict(replace(garden, crops={}))
        planned_by = {key: value for key, value in values.items() if key not in _NOT_PLANNED_BY}
        recorded = journal.digest() if journal.facts else ""
        everything = (__version__, today, planned_by, profiles, recorded)
        return hashlib.sha256(json.dumps(everything, default=str, sort_keys=True).encode()).hexdigest()

    def learnt(self) -> Self:
        """Give the inputs to plan by: crops and packets corrected by this garden's own record."""
        from steadysow.growth.learnt import learn_packets
        from steadysow.standing.outcomes import sowing_outcomes

        facts = self.journal.standing
        if not facts:
            return self
        garden, came = self.garden, sowing_outcomes(facts, self.garden)
        packets = learn_packets(garden.packets, garden.crops, came, max(fact.on.year for fact in facts))
        return replace(self, garden=replace(garden, crops=self.learnt_crops(), packets=packets))

    def learnt_crops(self) -> Mapping[str, Crop]:
        """Give the crops by name, corrected by this garden's own record."""
        from steadysow.growth.learnt import learn
        from steadysow.standing.outcomes import batch_outcomes

        crops, facts = self.garden.crops, self.journal.standing
        return learn(crops, batch_outcomes(facts, self.garden)) if facts else crops

    def record_of(self, crop: Crop, year: int) -> tuple[tuple[Learnt, ...], Germination | None]:
        """Give what this garden's own record makes of a crop, and of its seeds in a year."""
        from steadysow.growth.learnt import factors, germinations
        from steadysow.standing.outcomes import batch_outcomes, sowing_outcomes

        crops, facts = {crop.name: crop}, self.journal.standing
        known = germinations(self.garden.packets, crops, sowing_outcomes(facts, self.garden), year)
        return factors(crops, batch_outcomes(facts, replace(self.garden, crops=crops))), known.get(crop.name)

    def made_by(self, plan: Plan) -> tuple[Garden, ...]:
        """Give the garden with crops as published, and with what the record knew when the plan was made."""
        seen = tuple(fact for fact in self.journal.facts if fact.number <= plan.facts)
        known = replace(self, journal=replace(self.journal, facts=seen)).learnt_crops()
        return self.garden, replace(self.garden, crops=known)

    def learnt_sentences(self) -> tuple[str, ...]:
        """Say what this garden's own record makes of its crops."""
        from steadysow.growth.learnt import factors, sentences
        from steadysow.standing.outcomes import batch_outcomes

        facts = self.journal.standing
        return tuple(sentences(factors(self.garden.crops, batch_outcomes(facts, self.garden)))) if facts else ()

    def grounds(self, plan: Plan | None, today: date, journal: Journal | None = None) -> Grounds:
        """Give what a person's words are understood by, with the journal as it is now."""
        from steadysow.standing.grounds import Grounds

        now = journal or self.journal
        learnt = replace(self, journal=now).learnt_crops()
        return Grounds(garden=self.garden, learnt=learnt, plan=plan, journal=now, today=today)

    def standing(self, plan: Plan | None, today: date) -> Standing:
        """Give what stands: by the journal and, where the journal is silent, as planned."""
        return standing_as_recorded(plan, today, self.journal, garden=self.garden)


def read(folder: Path) -> Inputs:
    """Read ``garden.yaml``, the journal, the garden's own profiles, and the shipped profiles that these files name.

    Raises
    ------
    InputFaults
        If anything is wrong with the files; it holds all the faults.
    """
    garden = read_garden(folder, named_in=(folder / PLAN_FILE, folder / JOURNAL_FILE))
    return Inputs(garden=garden, journal=read_journal(folder))


def make_plan(
    inputs: Inputs,
    *,
    today: date,
    old: Plan | None = None,
    is_afresh: bool = False,
    rests: tuple[Rest, ...] = (),
    least_id: int = 1,
    seconds: float = 10.0,
    on_progress: OnProgress | None = None,
) -> Plan:
    """Plan from today on, round what stands.

    Parameters
    ----------
    inputs
        The garden and the journal.
    today
        Nothing is planned before it.
    old
        The plan in force: its batches sown before today are facts, and batches keep their numbers.
    is_afresh
        Whether to search as if nothing were planned yet; what has begun stays a fact.
    rests
        Totes out of use, besides those in the journal.
    least_id
        The least number of a new batch; larger numbers may have been used by a plan that was lost.
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
    on_progress: OnProgress | None = None,
) -> Rebalanced:
    """Mend the plan in force from today on with the least change.

    Parameters
    ----------
    inputs
        The garden and the journal.
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
    before = plan_as_recorded(old, standing, today)
    mended = mend(
        inputs.garden,
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
    weeks = week_starts(garden, starts_on, today)
    return Span(starts_on=starts_on, first_on=weeks[0] if weeks else today, today=today, weeks=len(weeks))


def _measured(inputs: Inputs, batches: tuple[Batch, ...], span: Span, reach: Mapping[str, date | None]) -> Measure:
    return measure(inputs.garden, batches, span.starts_on, span.first_on, span.weeks, span.today, reach)


def _verified(
    inputs: Inputs, old: Plan | None, standing: Standing, span: Span, decision: Decision, seconds: float
) -> Plan:
    """Check batches against every rule, measure them, and make a plan of them."""
    from steadysow.advice.notes import cut_short, long_weeks, lost_since, notes_on
    from steadysow.check.verify import verify

    garden, today, batches = inputs.garden, span.today, decision.batches
    choice, reach = decision.choice, decision.reach
    breaches = verify(
        garden, batches, today=today, starts_on=span.starts_on, resting=standing.rests, begun=standing.begun
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
            *notes_on(garden, measured, reach, today),
            *lost_since(standing.begun, batches),
            *cut_short(garden, standing.begun, batches, today),
            *long_weeks(garden, batches, span.starts_on, today),
        ),
        fingerprint=inputs.fingerprint(today),
        facts=inputs.journal.last_number,
        last_id=max((old.last_id if old else 0, *(batch.id for batch in batches))),
    )
