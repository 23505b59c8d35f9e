"""What a mended plan changes."""

from __future__ import annotations

from rich.console import Console

from steadysow.advice.differences import Rebalanced
from steadysow.amounts import reached_text
from steadysow.outputs.terminal.drawing import add_row, new_table, print_sentence, print_title
from steadysow.outputs.terminal.plan import longer_sentence


def rebalanced(console: Console, mended: Rebalanced, answers: tuple[str, ...] = ()) -> None:
    """Show the answers to what was asked, then how well the mended plan serves, then each change and its reason."""
    for answer in answers:
        print_sentence(console, answer)
    if answers:
        console.print()
    print_title(console, "What changes")
    changes, proof = mended.differences, mended.plan.proof
    counts = (
        f"Kept {len(changes.kept)}, moved {len(changes.moved)}, dropped {len(changes.dropped)},"
        f" added {len(changes.added)}."
    )
    shares = _shares_sentence(mended.share_before, proof.served_share, mended.share_afresh)
    longer = f" {longer_sentence(proof.seconds)}" if proof.status == "time limit" else ""
    print_sentence(console, f"{counts} {shares}{longer}")
    console.print()
    table = new_table("", "Batch", "Why", wrap=(1, 2))
    for name, group in (("moved", changes.moved), ("dropped", changes.dropped), ("added", changes.added)):
        for place, change in enumerate(group):
            what = change.what.removeprefix("batch ")
            add_row(table, name if place == 0 else "", what, change.why)
    if not changes.is_none:
        console.print(table)
        console.print()


def _shares_sentence(before: float, share: float, afresh: float) -> str:
    was, now, most = reached_text(before), reached_text(share), reached_text(afresh)
    compared = ", as before" if was == now else f" ({was} before)"
    first = f"Meets {now} of what you asked{compared}."
    return first if most == now else f"{first} Planning afresh would reach {most}."
