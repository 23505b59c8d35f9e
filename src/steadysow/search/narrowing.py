"""Narrowing: keep only the candidates that are like a solution or a promise, so that a second search is quick.

Takes candidates and strands; gives fewer candidates.  Begun batches may still go on in every way, unless a function
says otherwise.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from steadysow.search.candidates import Candidates, Step
from steadysow.search.strands import Strand, sowing_of


def narrowed(candidates: Candidates, strands: Sequence[Strand], steps: Iterable[Step]) -> Candidates:
    """Keep the sowings of the strands, the given steps, and all steps of begun batches."""
    sowings, kept = {sowing_of(strand) for strand in strands}, set(steps)
    return replace(
        candidates,
        sowings=tuple(sowing for sowing in candidates.sowings if sowing in sowings),
        steps=tuple(step for step in candidates.steps if step.begun is not None or step in kept),
    )


def by_tote_like(candidates: Candidates, strands: Sequence[Strand]) -> Candidates:
    """Keep per-tote candidates that match the grouped solution."""
    planted = {(strand.line, strand.transplant_day) for strand in strands}
    stretches = {_stretch(step) for strand in strands for step in strand.steps}
    steps = (
        step
        for step in candidates.steps
        if _stretch(step) in stretches and (step.entered_day < 0 or (step.line, step.entered_day) in planted)
    )
    return narrowed(candidates, strands, steps)


def promised_or_like(candidates: Candidates, promised: Sequence[Strand], others: Sequence[Strand]) -> Candidates:
    """Keep promised plants in their tote; allow other lives in any tote.

    A begun batch goes on as promised or as one of the others.  If it cannot go on as promised, it may go on in any way.
    """
    lives = {_life_anywhere(strand) for strand in promised}
    offered = by_tote_like(candidates, [strand for strand in others if _life_anywhere(strand) not in lives])
    kept = {step for strand in promised for step in strand.steps}
    sown = {*offered.sowings, *(sowing_of(strand) for strand in promised)}
    bound = {strand.begun for strand in promised}
    known = {(strand.begun, _stretch(step)) for strand in (*promised, *others) for step in strand.steps}
    new = {step for step in offered.steps if step.begun is None}
    return replace(
        candidates,
        sowings=tuple(each for each in candidates.sowings if each in sown),
        steps=tuple(
            step
            for step in candidates.steps
            if step in kept
            or step in new
            or (step.begun is not None and (step.begun not in bound or (step.begun, _stretch(step)) in known))
        ),
    )


def _life_anywhere(strand: Strand) -> tuple[object, ...]:
    """Give what identifies the life of a strand in whatever tote."""
    return strand.line, strand.sown_day, strand.transplant_day, tuple(_stretch(step) for step in strand.steps)


def _stretch(step: Step) -> tuple[int, int, int, int, int]:
    """Give what identifies a step in whatever tote."""
    return step.line, step.from_day, step.to_day, step.after, step.number
