"""A plan: how good it is, what to sow when, and every batch."""

from __future__ import annotations

import math
from collections import defaultdict
from datetime import date

from rich.console import Console

from steadysow.amounts import bound_text, counted, day_text, holes_text, reached_text
from steadysow.outputs.terminal.drawing import (
    ROOMY,
    add_row,
    new_table,
    print_sentence,
    print_table,
    print_title,
    short_day,
)
from steadysow.plan.batch import Batch
from steadysow.plan.plan import Plan, Proof

# A smaller difference between two shares is a rounding error of the solver.
_ROUNDING = 1e-6
# The shortest time limit worth another try [s].
_LONGER_SECONDS = 60


def proof(console: Console, plan: Plan, light_use: tuple[str, ...] = ()) -> None:
    """Show in sentences how good the plan is, how good it could be, and how often a person works for it.

    Parameters
    ----------
    console, plan
        Where to print, and the plan.  Its notes are not shown here.
    light_use
        Ready sentences about the weight that each mol of light makes, one for each group of crops.
    """
    print_title(console, "How good this plan is")
    if any(want.in_reach and want.wanted > 0 for week in plan.weeks for want in week.wants):
        print_sentence(console, " ".join(_proof_sentences(plan.proof)))
    else:
        print_sentence(console, "Nothing you ask for can be ready within these weeks, so there is nothing to measure.")
    print_sentence(console, _effort_sentence(plan))
    for sentence in light_use:
        print_sentence(console, sentence)
    console.print()


def sowings(console: Console, plan: Plan) -> None:
    """Show what is still to be sown, day by day."""
    table = new_table(
        "Day",
        "Crop",
        "Plants",
        "Cells",
        "Seeds",
        "For",
        "Tote",
        "Planted",
        "Harvest",
        right=(2, 3, 4),
        wrap=(1, 5, 6),
        tight=console.width < ROOMY,
    )
    rows: dict[tuple[date, str, str, str, date | None, date | None], list[Batch]] = defaultdict(list)
    for batch in plan.batches:
        if batch.state == "planned":
            first_on = min((harvest.on for harvest in batch.harvests), default=None)
            rows[batch.sown_on, batch.crop, batch.want, batch.tote, batch.transplanted_on, first_on].append(batch)
    shown_on = None
    # Batches that are sown, planted and first harvested together share a row, even if they part later.
    for row, together in sorted(rows.items(), key=lambda row: (row[0][:2], row[1][0].id)):
        sown_on, crop, want, tote, planted_on, first_on = row
        holes = holes_text(hole for batch in together for hole in batch.holes)
        add_row(
            table,
            "" if sown_on == shown_on else day_text(sown_on),
            crop,
            str(sum(batch.plants for batch in together)),
            str(sum(batch.cells for batch in together)),
            str(sum(batch.seeds for batch in together)),
            want,
            f"{tote} {holes}".rstrip(),
            short_day(planted_on),
            short_day(first_on),
        )
        shown_on = sown_on
    print_table(console, "Sowings", table, "Nothing is left to sow.")


def batches(console: Console, plan: Plan) -> None:
    """Show every batch with its number, its state and its dates."""
    table = new_table(
        "Batch",
        "Crop",
        "For",
        "Tote",
        "State",
        "Sown",
        "Planted",
        "Harvest",
        "Cleared",
        right=(0,),
        wrap=(1, 2, 3),
        tight=console.width < ROOMY,
    )
    for batch in plan.batches:
        add_row(
            table,
            str(batch.id),
            batch.crop,
            batch.want,
            f"{batch.tote} {holes_text(batch.holes)}".rstrip(),
            batch.state,
            short_day(batch.sown_on),
            short_day(batch.transplanted_on),
            short_day(min((each.on for each in batch.harvests), default=None)),
            short_day(batch.cleared_on),
        )
    print_table(console, "Batches", table, "This plan has no batches.")


def longer_sentence(seconds: float) -> str:
    """Give the remedy for a search that the time limit stopped after some seconds [s]."""
    return f"Try longer with --seconds {max(_LONGER_SECONDS, 10 * math.ceil(2 * seconds / 10))}."


def _proof_sentences(proof: Proof) -> list[str]:
    served, best = reached_text(proof.served_share), reached_text(proof.best_share)
    sentences = [f"Meets {served} of what you asked, with {counted(proof.sowings, 'sowing')}."]
    if best != served and proof.best_sowings > proof.sowings:
        sentences.append(f"Reaching {best} would take {counted(proof.best_sowings, 'sowing')}.")
    elif best != served:
        sentences.append(f"The best plan found meets {best}.")
    sentences.append(_bound_sentence(proof))
    sentences.append(_stop_sentence(proof))
    if proof.deep_gaps:
        gaps = "1 week gets" if proof.deep_gaps == 1 else f"{proof.deep_gaps} weeks get"
        sentences.append(f"{gaps} less than half of what you asked.")
    all_weeks = reached_text(proof.served_share_all_weeks)
    if all_weeks != served:
        sentences.append(f"Counting the weeks out of reach too, it meets {all_weeks}.")
    return [sentence for sentence in sentences if sentence]


def _bound_sentence(proof: Proof) -> str:
    """Say what no plan can pass; only a finished search is called a proof."""
    proven = "It is proven that no" if proof.status == "optimal" else "No"
    bound = bound_text(proof.bound_share)
    if proof.bound_share - proof.best_share <= _ROUNDING or bound == reached_text(proof.best_share):
        return f"{proven} plan for these totes can meet more."
    if bound == "100.0 %":
        return "A better plan may exist."
    return f"{proven} plan for these totes can meet more than {bound}."


def _stop_sentence(proof: Proof) -> str:
    """Say what stopped the search before its end; nothing if it came to its end."""
    seconds = f"{proof.seconds:.0f} s"
    return {
        "optimal": "",
        "time limit": f"The time limit stopped the search after {seconds}. {longer_sentence(proof.seconds)}",
        "step limit": f"The search stopped after its set number of steps, in {seconds}.",
        "interrupted": f"The search was interrupted after {seconds}. This is the best plan it had found.",
    }[proof.status]


def _effort_sentence(plan: Plan) -> str:
    weeks = max(1, len(plan.weeks))
    sowing_days = {batch.sown_on for batch in plan.batches}
    harvest_days = {each.on for batch in plan.batches for each in batch.harvests}
    sow, cut = (sum(plan.from_on <= on < plan.until_on for on in days) / weeks for days in (sowing_days, harvest_days))
    return f"On average you sow on {sow:.1f} days a week and harvest on {cut:.1f} days a week."
