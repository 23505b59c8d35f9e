"""The journal's commands: words a person types to facts, and facts back to sentences.

Takes a word, what goes with it, and the grounds it is understood by; gives facts to add.  Hides which facts ``done``,
``undo`` and a freed tote become.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from typing import Literal

from steadysow.amounts import Units, day_text, holes_text, litres_text, measure_text, weight_text
from steadysow.check.verify import HARMLESS, verify
from steadysow.chores.chore import ANSWERED_BY, Chore
from steadysow.chores.listing import list_chores, overdue
from steadysow.errors import InputFaults
from steadysow.inputs.garden import Garden
from steadysow.inputs.journal import KINDS, Fact, FactKind, Journal
from steadysow.inputs.values import suggestion
from steadysow.plan.plan import Plan
from steadysow.standing.grounds import Grounds
from steadysow.standing.meaning import known_batches, tote_named
from steadysow.standing.recording import facts_of, undone
from steadysow.standing.saying import BATCH_KINDS, TOTE_KINDS, Saying, Understood, refuse, refuse_strays
from steadysow.standing.standing import plan_as_recorded

Word = FactKind | Literal["done"]

_OVERDUE = "overdue"

# Words after which it is worth asking whether the plan can still be followed.
CHANGES_THE_PLAN: frozenset[Word] = frozenset((*BATCH_KINDS, "resting", "back", "done", "undo"))


def read_kind(text: str) -> Word:
    """Give the kind of fact that a word names.

    Raises
    ------
    InputFaults
        If there is no such kind; names the nearest.
    """
    words: tuple[Word, ...] = (*KINDS, "done")
    wanted = "-".join(text.casefold().split()).replace("_", "-")
    found = next((word for word in words if word == wanted), None)
    if found is None:
        refuse("FACT", f'unknown word "{text}"', suggestion(wanted, words))
    return found


def read_holes(text: str) -> tuple[int, ...]:
    """Read the holes in a text such as ``1-3,7``.

    Raises
    ------
    InputFaults
        If the text has another form.
    """
    holes: list[int] = []
    for part in re.split(r"[,\s]+", text.strip()) if text.strip() else ():
        found = re.fullmatch(r"(\d{1,4})(?:-(\d{1,4}))?", part)
        if not found or int(found[1]) < 1 or int(found[2] or found[1]) < int(found[1]):
            refuse("--holes", f'"{part}" names no hole', "Write numbers from 1 on, such as 1-3,7")
        holes += range(int(found[1]), int(found[2] or found[1]) + 1)
    return tuple(dict.fromkeys(holes))


def understand(word: Word, saying: Saying, grounds: Grounds) -> Understood:
    """Make facts of what was typed.

    Parameters
    ----------
    word
        The kind of fact, ``done`` or ``undo``.
    saying
        What goes with the word.
    grounds
        What the word is understood by.

    Raises
    ------
    InputFaults
        If it is not clear what is meant, or if it cannot be.
    """
    if word == "undo":
        return Understood(facts=(_undo(saying, grounds),))
    return _done(saying, grounds) if word == "done" else facts_of(saying, grounds)


def freed(totes: Iterable[str], lost: Iterable[str], grounds: Grounds) -> Understood:
    """Make facts of batches that are lost and of totes that are empty today: what stood there is cleared."""
    facts: tuple[Fact, ...] = ()
    for number in lost:
        if not number.isdecimal():
            refuse("--lost", f'"{number}" is no batch number', known_batches(grounds))
        facts += _facts_about("lost", (number,), grounds.with_facts(facts), "--lost")
    for name in totes:
        tote, now = tote_named(name, grounds, "--free"), grounds.with_facts(facts)
        there = (batch for batch in now.standing(now.today).begun if batch.tote == tote)
        standing = tuple(str(batch.id) for batch in there if batch.state == "transplanted")
        if standing:
            facts += _facts_about("cleared", standing, now, "--free")
    return Understood(facts=facts)


def _facts_about(kind: FactKind, numbers: tuple[str, ...], grounds: Grounds, option: str) -> tuple[Fact, ...]:
    """Make facts about batches that an option names; faults name that option."""
    try:
        return facts_of(Saying(kind=kind, what=numbers, on=grounds.today), grounds).facts
    except InputFaults as refused:
        raise InputFaults(tuple(replace(fault, file=option) for fault in refused.faults)) from None


def broken_by(grounds: Grounds, by: Iterable[Garden]) -> str:
    """Say what of the plan can no longer be followed with the journal as it is; empty if all can.

    Parameters
    ----------
    grounds
        The garden, the plan and the journal.
    by
        The gardens that the plan may have been made for: what can be done in any of them can be done.
    """
    plan = grounds.plan
    if plan is None:
        return ""
    standing = grounds.standing(grounds.today)
    now = plan_as_recorded(plan, standing, grounds.today)
    # An unplanned sowing waits until a new plan finds a place for it; this plan does not hold it.
    unplanned = {batch.id: batch for batch in now.batches if batch.state == "sown" and batch.transplanted_on is None}
    batches, begun = ([batch for batch in each if batch.id not in unplanned] for each in (now.batches, standing.begun))
    found = []
    for garden in by:
        breaches = verify(
            garden, batches, today=grounds.today, starts_on=plan.starts_on,
            resting=standing.rests, begun=begun,
        )  # fmt: skip
        found.append([breach for breach in breaches if breach.rule not in HARMLESS])
    fewest = min(found, key=len)
    if not fewest:
        waiting = " and ".join(f"batch {batch.id} ({batch.crop})" for batch in unplanned.values())
        return f"The plan does not say yet where {waiting} will go." if waiting else ""
    more = f" This is 1 of {len(fewest)} problems." if len(fewest) > 1 else ""
    return f"The plan can no longer be followed: {fewest[0].sentence}{more}"


def sentence_of(fact: Fact, units: Units, journal: Journal) -> str:
    """Say a fact as it was understood."""
    sentence = _described(fact, units)
    if fact.kind == "undo":
        taken = next((each for each in journal.facts if each.number == fact.undoes), None)
        what = "" if taken is None else f": {_described(taken, units)}"
        sentence = f"Took back fact {fact.undoes}{what}"
    assumed = ", taken to have gone as planned" if fact.assumed else ""
    return f"{sentence}{assumed} (fact {fact.number})."


def _described(fact: Fact, units: Units) -> str:
    if fact.kind == "undo":
        return f"the taking back of fact {fact.undoes}"
    about = f"Batch {fact.batch}" if fact.batch is not None else f"Tote {fact.tote}"
    parts = [f"{about} {fact.kind.replace('-', ' ')}"]
    if fact.kind == "note":
        parts = ["Noted" if fact.batch is None and not fact.tote else f"Noted about {about[0].lower()}{about[1:]}"]
    if fact.crop:
        parts.append(f"{fact.plants} {fact.crop} for {fact.want}")
    elif fact.plants is not None:
        one, many = ("cell", "cells") if fact.kind == "emerged" else ("plant", "plants")
        parts.append(f"{fact.plants} {one if fact.plants == 1 else many}")
    if fact.batch is not None and fact.tote:
        parts.append(f"tote {fact.tote} {holes_text(fact.holes)}".strip())
    elif fact.holes:
        parts.append(f"{'hole' if len(fact.holes) == 1 else 'holes'} {holes_text(fact.holes)}")
    if fact.grams is not None:
        parts.append(weight_text(fact.grams, units))
    if fact.litres is not None:
        parts.append(litres_text(fact.litres, units))
    if fact.what:
        parts.append(f"{fact.what} {measure_text(fact.what, fact.value or 0.0, units)}")
    if fact.until is not None:
        parts.append(f"from {day_text(fact.on)} until {day_text(fact.until)}")
    else:
        parts.append(day_text(fact.on))
    if fact.planned_on is not None and fact.planned_on != fact.on:
        parts.append(f"planned for {day_text(fact.planned_on)}")
    return ", ".join(parts) + (f': "{fact.text}"' if fact.text else "")


def _undo(saying: Saying, grounds: Grounds) -> Fact:
    refuse_strays(saying, "undo", ())
    words = saying.what
    if len(words) > 1 or (words and not words[0].isdecimal()):
        refuse("WHAT", f'"{" ".join(words)}" is not the number of a fact', "Write its number, or nothing for the last")
    return undone(grounds.journal, int(words[0]) if words else None, grounds.today)


def _done(saying: Saying, grounds: Grounds) -> Understood:
    """Record the chores of a day, or the overdue ones, as done just as planned."""
    refuse_strays(saying, "done", ())
    if saying.what and saying.what != (_OVERDUE,):
        refuse("WHAT", f'done does not take "{" ".join(saying.what)}"', f"Write nothing for today, or {_OVERDUE}")
    if saying.on > grounds.today:
        refuse("--on", f"{saying.on} is still to come", "Record what has happened, on the day or later")
    if grounds.plan is None:
        refuse("done", "there is no plan yet", "Run `steadysow plan`")
    due = _due(saying, grounds, grounds.plan)
    if not due:
        left = "is overdue" if saying.what else f"planned for {day_text(saying.on)} is left to record"
        refuse("done", f"nothing {left}", "There is nothing to do; record what was not planned with its own word")
    facts: tuple[Fact, ...] = ()
    for chore in due:
        kind = ANSWERED_BY[chore.kind]
        what = (chore.tote,) if kind in TOTE_KINDS else tuple(str(batch) for batch in chore.batches)
        litres = chore.litres if kind in ("fed", "topped-up") else None
        one = Saying(kind=kind, what=what, on=chore.on, text=saying.text, litres=litres)
        facts += facts_of(one, grounds.with_facts(facts)).facts
    return Understood(facts=facts)


def _due(saying: Saying, grounds: Grounds, plan: Plan) -> tuple[Chore, ...]:
    standing, facts = grounds.standing(grounds.today), grounds.journal.standing
    every = list_chores(grounds.garden, plan_as_recorded(plan, standing, grounds.today), facts=facts)
    if saying.what:
        return overdue(every, facts, grounds.today)
    return tuple(
        chore for chore in every if chore.on == saying.on and chore.kind in ANSWERED_BY and not chore.is_recorded
    )
