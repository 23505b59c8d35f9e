"""Fillings: the use of a tote from the day its first plants enter until the day its last plants leave.

Takes a garden and a plan; gives the fillings of each tote.  Hides which stays of batches make one filling: stays that
overlap and, in a tote with a pump, stays that follow each other without a day between.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date

from steadysow.inputs.garden import Garden, Tote
from steadysow.plan.batch import Batch
from steadysow.plan.plan import Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Filling:
    """The use of a tote from the day its first plants enter until the day its last plants leave.

    Attributes
    ----------
    tote, place
        The name of the tote, and the place where it stands.
    begun_by
        The id of the batch that entered first, the least id if several did.  It identifies the filling.
    batches
        The ids of the batches that stand in it, in rising order.
    from_on, until_on
        The day the first plants enter; the day the last plants leave.
    """

    tote: str
    place: str
    begun_by: int
    batches: tuple[int, ...]
    from_on: date
    until_on: date


def list_fillings(garden: Garden, plan: Plan) -> tuple[Filling, ...]:
    """List the fillings of every tote, in the order of the garden's totes and then by day."""
    return tuple(filling for tote in garden.totes for filling in fillings_of(tote, plan.batches))


def fillings_of(tote: Tote, batches: Iterable[Batch]) -> tuple[Filling, ...]:
    """Join the stays of batches in a tote into fillings.

    A still tote is emptied between two plantings, even if both are on one day.  A tote with a pump is replanted hole by
    hole: its filling ends only when all plants have left before the next ones enter, or when the tote moves.

    Parameters
    ----------
    tote
        The tote.
    batches
        Batches in any totes; those in other totes are ignored.
    """
    stays = sorted(
        (stay.from_on, stay.until_on, batch.id, stay.place)
        for batch in batches
        for stay in batch.stays
        if stay.tote == tote.name
    )
    fillings: list[Filling] = []
    for from_on, until_on, batch_id, place in stays:
        last = fillings[-1] if fillings else None
        if last is not None and _joins(from_on, place, last, tote):
            batch_ids = tuple(sorted({*last.batches, batch_id}))
            begun_by = min(last.begun_by, batch_id) if from_on == last.from_on else last.begun_by
            until_on = max(last.until_on, until_on)
            fillings[-1] = replace(last, begun_by=begun_by, batches=batch_ids, until_on=until_on)
        else:
            fillings.append(
                Filling(
                    tote=tote.name, place=place, begun_by=batch_id, batches=(batch_id,), from_on=from_on,
                    until_on=until_on,
                )
            )  # fmt: skip
    return tuple(fillings)


def _joins(from_on: date, place: str, filling: Filling, tote: Tote) -> bool:
    """Say whether plants that enter on a day join a filling that began on or before that day."""
    if from_on < filling.until_on or from_on == filling.from_on:
        return True
    return from_on == filling.until_on and tote.system == "dwc" and place == filling.place
