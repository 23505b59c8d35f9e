"""The changes of a mended plan on the terminal."""

from __future__ import annotations

from dataclasses import replace

from steadysow.advice.differences import Difference, Differences, Rebalanced
from steadysow.outputs import terminal
from steadysow.plan.plan import Plan
from unit.outputs.terminal.drawn import drawn, words

NONE = Differences(kept=(1, 2, 3), moved=(), dropped=(), added=())
SOME = Differences(
    kept=(1,),
    moved=(Difference(batch=2, what="batch 2: to tote A", why="Tote B is resting."),),
    dropped=(Difference(batch=3, what="batch 3: 4 mizuna", why="It came up too late."),),
    added=(Difference(batch=4, what="batch 4: 2 kale", why="The holes are free."),),
)


def mended(plan: Plan, differences: Differences, before: float, share: float, afresh: float) -> Rebalanced:
    """Give a mended plan with some shares, found without a time limit."""
    proof = replace(plan.proof, served_share=share, status="optimal")
    return Rebalanced(
        plan=replace(plan, proof=proof), share_before=before, share_afresh=afresh, differences=differences
    )


def test_nothing_to_mend_is_one_sentence(plan: Plan) -> None:
    """If nothing changes, there are the counts and the share, and no table."""
    text = drawn(lambda c: terminal.rebalanced(c, mended(plan, NONE, 0.9, 0.9, 0.9)))
    assert text == ("What changes\nKept 3, moved 0, dropped 0, added 0. Meets 90.0 % of what you asked, as before.\n\n")


def test_each_change_has_its_reason(plan: Plan) -> None:
    """Moved, dropped and added batches are rows with the reason; the shares before, now and afresh are compared."""
    text = words(drawn(lambda c: terminal.rebalanced(c, mended(plan, SOME, 0.971, 0.95, 0.96), ("An answer.",))))
    assert text.startswith(
        "An answer. What changes Kept 1, moved 1, dropped 1, added 1. "
        "Meets 95.0 % of what you asked (97.1 % before). Planning afresh would reach 96.0 %."
    )
    assert "moved 2: to tote A Tote B is resting." in text
    assert "dropped 3: 4 mizuna It came up too late." in text
    assert "added 4: 2 kale The holes are free." in text
    assert "--seconds" not in text


def test_time_limit_has_its_remedy(plan: Plan) -> None:
    """If the time limit stopped the search after 10 s, the remedy is to try a minute."""
    change = mended(plan, NONE, 0.9, 0.9, 0.9)
    limited = replace(change, plan=replace(change.plan, proof=replace(change.plan.proof, status="time limit")))
    assert "Try longer with --seconds 60." in words(drawn(lambda c: terminal.rebalanced(c, limited)))
