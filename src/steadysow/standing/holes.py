"""The holes of a tote on a day: which are free, and whether those that a person names can be taken.

Takes a tote, a day and the `Grounds`; gives holes, or refuses with what to do.
"""

from __future__ import annotations

from datetime import date

from steadysow.amounts import counted, day_text
from steadysow.plan.batch import Batch
from steadysow.standing.grounds import Grounds
from steadysow.standing.saying import need_holes_sentence, refuse


def free_holes(tote: str, plants: int, batch: Batch, on: date, grounds: Grounds) -> tuple[int, ...]:
    """Give the first holes of a tote that are free for the plants of a batch.

    Raises
    ------
    InputFaults
        If too few are free.
    """
    lid = grounds.garden.tote(tote)
    busy = busy_holes(tote, batch, on, grounds)
    free = tuple(hole for hole in range(1, lid.holes + 1) if hole not in busy)
    if len(free) < plants:
        wrong = f"tote {tote} has free holes for {len(free)} of {counted(plants, 'plant')} on {day_text(on)}"
        refuse("--tote", wrong, "First record what left the tote, or name another tote or fewer plants")
    return free[:plants]


def busy_holes(tote: str, batch: Batch, on: date, grounds: Grounds) -> set[int]:
    """Give the holes of a tote in which plants of other batches stand on a day."""
    others = (each for each in grounds.standing(on).begun if each.tote == tote and each.id != batch.id)
    return {
        hole
        for each in others
        if each.state == "transplanted"
        for hole in each.holes
        if not any(hole in harvest.holes for harvest in each.harvests if harvest.kind == "head")
    }


def check_holes(tote: str, holes: tuple[int, ...], plants: int, batch: Batch, on: date, grounds: Grounds) -> None:
    """Refuse holes that the tote does not have, that do not match the plants, or in which others stand."""
    lid = grounds.garden.tote(tote)
    if len({*holes}) != plants:
        refuse("--holes", need_holes_sentence(plants, len({*holes})), "Name one hole for each plant")
    beyond = [hole for hole in holes if not 1 <= hole <= lid.holes]
    if beyond:
        refuse("--holes", f"tote {tote} has no hole {beyond[0]}", f"Write numbers from 1 to {lid.holes}")
    busy = sorted(busy_holes(tote, batch, on, grounds) & {*holes})
    if busy:
        wrong = f"hole {busy[0]} of tote {tote} is taken on {day_text(on)}"
        refuse("--holes", wrong, "Name other holes, or first record what left it")
