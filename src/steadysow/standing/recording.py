"""From what a person says happened to facts for the journal.

Takes a `Saying` and the `Grounds`; gives `Understood`: the facts to add, and what looks odd about them.  An impossible
fact is refused with the reason.  Sowings are in `sowings`, other facts about batches in `batch_facts`, facts about
totes in `tote_facts`; what a word means is in `meaning`.
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

from steadysow.amounts import day_text
from steadysow.errors import InputFaults
from steadysow.inputs.journal import Fact, Journal
from steadysow.standing.batch_facts import batch_facts
from steadysow.standing.grounds import Grounds, odd_in
from steadysow.standing.saying import BATCH_KINDS, GOES_WITH, TOTE_KINDS, Saying, Understood, refuse, refuse_strays
from steadysow.standing.sowings import sowing_facts
from steadysow.standing.tote_facts import note_facts, tote_facts

__all__ = ["BATCH_KINDS", "TOTE_KINDS", "Saying", "Understood", "facts_of", "refuse", "refuse_strays", "undone"]


def facts_of(saying: Saying, grounds: Grounds) -> Understood:
    """Make facts of what a person says.

    Raises
    ------
    InputFaults
        If it is not clear what is meant, or if it is not possible.
    """
    if saying.on > grounds.today:
        wrong = f"{day_text(saying.on)} {saying.on.year} is still to come"
        refuse("--on", wrong, "Record what has happened, on that day or later")
    refuse_strays(saying, saying.kind, GOES_WITH.get(saying.kind, ()))
    if saying.kind == "note":
        return note_facts(saying, grounds)
    if not saying.what:
        write = (
            "Write a tote, such as: record scrubbed A"
            if saying.kind in TOTE_KINDS
            else "Write a batch number, a tote or a crop"
        )
        refuse("WHAT", f"what was {saying.kind} is missing", write)
    if saying.kind in TOTE_KINDS:
        return tote_facts(saying, grounds)
    understood = sowing_facts(saying, grounds) if saying.kind == "sown" else batch_facts(saying, grounds)
    _refuse_impossible(understood.facts, grounds)
    return replace(understood, warnings=(*understood.warnings, *odd_in(understood.facts, grounds)))


def undone(journal: Journal, number: int | None, today: date) -> Fact:
    """Give the fact that takes another one back.

    Parameters
    ----------
    journal
        The journal.
    number
        The number of the fact to take back, which may be an undo; ``None`` for the last one that stands.
    today
        The day it is taken back.

    Raises
    ------
    InputFaults
        If there is no such fact, or if it is already taken back.
    """
    if number is None:
        last = journal.last_standing
        if last is None:
            refuse("undo", "the journal has no fact to take back", "There is nothing to do")
        return Fact(kind="undo", on=today, undoes=last.number)
    known = {fact.number: fact for fact in journal.facts}
    standing = {fact.number for fact in journal.standing} | journal.standing_undos
    if number not in known:
        refuse("undo", f"there is no fact {number}", f"Write a number from 1 to {journal.last_number}")
    if number not in standing:
        by = max(fact.number for fact in journal.facts if fact.kind == "undo" and fact.undoes == number)
        refuse("undo", f"fact {number} is already taken back", f"To restore it, undo that: record undo {by}")
    return Fact(kind="undo", on=today, undoes=number)


def _refuse_impossible(facts: tuple[Fact, ...], grounds: Grounds) -> None:
    """Refuse impossible facts in words that do not name the journal, since the journal does not have them yet."""
    grounds.standing(grounds.today)
    try:
        grounds.standing(grounds.today, facts)
    except InputFaults as refused:
        fields = (re.sub(r"^fact \d+ of ", "", fault.field) for fault in refused.faults)
        faults = zip(fields, refused.faults, strict=True)
        raise InputFaults(tuple(replace(fault, file="WHAT", field=field) for field, fault in faults)) from None
