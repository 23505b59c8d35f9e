"""The plan on the terminal: its proof in sentences, its sowings and its batches."""

from __future__ import annotations

from dataclasses import replace

import pytest

from builders import a_proof
from steadysow.outputs import terminal
from steadysow.plan.plan import Plan, Proof
from unit.outputs.terminal.drawn import WIDTHS, drawn, words


@pytest.mark.parametrize("width", WIDTHS)
def test_sowings_show_all_that_is_needed_to_sow(plan: Plan, width: int) -> None:
    """A sowing shows its day, crop, plants, cells, seeds, want, holes, planting and first harvest."""
    row = next(line for line in drawn(lambda c: terminal.sowings(c, plan), width).splitlines() if "butterhead" in line)
    assert words(row) == "Sat 3 Oct butterhead lettuce 4 5 10 heads B 1-3, 7 24 Oct 28 Nov"


def test_batches_sown_together_share_a_row(plan: Plan) -> None:
    """Batches that are sown, planted and first harvested on the same days for the same tote share a row."""
    rows = [line for line in drawn(lambda c: terminal.sowings(c, plan)).splitlines() if "mizuna" in line]
    assert [words(row) for row in rows] == ["mizuna 8 10 20 salad A 1-8 24 Oct 14 Nov"]


def test_a_sown_batch_is_no_sowing_any_more(plan: Plan) -> None:
    """Only planned batches are still to be sown."""
    sown = replace(plan, batches=tuple(replace(batch, state="sown") for batch in plan.batches))
    assert "Nothing is left to sow." in drawn(lambda c: terminal.sowings(c, sown))


@pytest.mark.parametrize("width", WIDTHS)
def test_batches_show_number_state_and_dates(plan: Plan, width: int) -> None:
    """A batch shows its number, tote and holes, state, sowing, planting, first harvest and the day it is cleared."""
    rows = [words(line) for line in drawn(lambda c: terminal.batches(c, plan), width).splitlines()]
    assert "1 mizuna salad A 1-6 planned 3 Oct 24 Oct 14 Nov 28 Nov" in rows
    assert rows[1] == "Batch Crop For Tote State Sown Planted Harvest Cleared"


def the_proof(**changes: object) -> Proof:
    """Give the proof in the example of the design, with some figures changed."""
    figures: dict[str, object] = {
        "served_share": 0.956,
        "best_share": 0.964,
        "bound_share": 0.969,
        "served_share_all_weeks": 0.956,
        "status": "time limit",
        "seconds": 9.8,
        "sowings": 24,
        "best_sowings": 41,
    }
    return a_proof(**(figures | changes))


@pytest.mark.parametrize(
    ("proof", "sentences"),
    [
        (
            the_proof(),
            "Meets 95.6 % of what you asked, with 24 sowings. Reaching 96.4 % would take 41 sowings. "
            "No plan for these totes can meet more than 96.9 %. "
            "The time limit stopped the search after 10 s. Try longer with --seconds 60.",
        ),
        (
            the_proof(status="optimal", bound_share=0.964),
            "Meets 95.6 % of what you asked, with 24 sowings. Reaching 96.4 % would take 41 sowings. "
            "It is proven that no plan for these totes can meet more.",
        ),
        (
            the_proof(status="optimal", served_share=1.0, best_share=1.0, bound_share=1.0, served_share_all_weeks=1.0),
            "Meets 100.0 % of what you asked, with 24 sowings. "
            "It is proven that no plan for these totes can meet more.",
        ),
        (
            the_proof(served_share=0.964, sowings=1, deep_gaps=2, served_share_all_weeks=0.71, status="interrupted"),
            "Meets 96.4 % of what you asked, with 1 sowing. No plan for these totes can meet more than 96.9 %. "
            "The search was interrupted after 10 s. This is the best plan it had found. "
            "2 weeks get less than half of what you asked. "
            "Counting the weeks out of reach too, it meets 71.0 %.",
        ),
        (
            the_proof(bound_share=1.0, best_sowings=24, deep_gaps=1, status="step limit"),
            "Meets 95.6 % of what you asked, with 24 sowings. The best plan found meets 96.4 %. "
            "A better plan may exist. The search stopped after its set number of steps, in 10 s. "
            "1 week gets less than half of what you asked.",
        ),
        (
            the_proof(seconds=47.0),
            "The time limit stopped the search after 47 s. Try longer with --seconds 100.",
        ),
    ],
    ids=["time limit", "proven best", "all met", "interrupted", "no bound", "long time limit"],
)
@pytest.mark.parametrize("width", WIDTHS)
def test_proof_says_how_good_the_plan_is(plan: Plan, proof: Proof, sentences: str, width: int) -> None:
    """The sentences name the served share, the best share and the bound, and leave out what would be said twice."""
    assert sentences in words(drawn(lambda c: terminal.proof(c, replace(plan, proof=proof)), width))


def test_proof_of_weeks_out_of_reach_claims_nothing(plan: Plan) -> None:
    """If no week is in reach, the proof names no share."""
    text = words(drawn(lambda c: terminal.proof(c, replace(plan, weeks=plan.weeks[:5]))))
    assert "Nothing you ask for can be ready within these weeks" in text
    assert "Meets" not in text


@pytest.mark.parametrize("width", WIDTHS)
def test_percentage_sign_stays_with_its_number(plan: Plan, width: int) -> None:
    """No line begins with a percentage sign."""
    text = drawn(lambda c: terminal.proof(c, plan), width)
    assert not any(line.startswith("%") for line in text.splitlines())


def test_proof_says_how_often_to_work(plan: Plan) -> None:
    """One sowing day and three harvest days in ten weeks are 0.1 and 0.3 days a week; the light is shown too."""
    text = words(drawn(lambda c: terminal.proof(c, plan, ("Lettuce makes 30 g a mol of light.",))))
    assert "On average you sow on 0.1 days a week and harvest on 0.3 days a week." in text
    assert "Lettuce makes 30 g a mol of light." in text
