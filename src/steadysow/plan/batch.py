"""A batch: plants of one crop, sown the same day for one want, standing in one tote; its harvests and stays.

Frozen values and nothing else: standing, search and naming make them, every other room reads them.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from steadysow.inputs.crops import HarvestKind

BatchState = Literal["planned", "sown", "transplanted", "done", "lost"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Harvest:
    """One harvest of a batch on one day.

    Attributes
    ----------
    on, latest_on
        The planned day; the last day on which it can still be taken (that day included).
    kind, number
        ``head``, ``cut`` or ``pick``; which one, counted from 1.
    holes, plants, grams
        The holes harvested, numbered from 1; how many; the total fresh weight [g].
    is_recorded
        Whether the journal tells of it; otherwise it is planned, or taken to have gone as planned.
    """

    on: date
    latest_on: date
    kind: HarvestKind
    number: int
    holes: tuple[int, ...]
    plants: int
    grams: float
    is_recorded: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Stay:
    """The days for which plants stand in a tote: from `from_on` up to, not including, `until_on`."""

    tote: str
    place: str
    from_on: date
    until_on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """Plants of one crop, sown the same day for one want, standing in one tote.

    Attributes
    ----------
    cells, seeds
        How many are sown in the nursery, or in the pots where the crop is sown there.
    transplanted_on
        Equals `sown_on` where the crop is sown in its pot; ``None`` while the batch waits in the nursery.
    cleared_on
        The day of the last harvest; the holes are free on that day.
    recorded
        The kinds of facts that the journal has about the batch.
    earlier
        Stays in other totes before the batch was moved.
    """

    id: int
    crop: str
    want: str
    place: str
    tote: str
    holes: tuple[int, ...]
    plants: int
    cells: int
    seeds: int
    state: BatchState
    sown_on: date
    emerges_on: date | None
    transplanted_on: date | None
    cleared_on: date | None
    harvests: tuple[Harvest, ...]
    recorded: tuple[str, ...] = ()
    earlier: tuple[Stay, ...] = ()

    @property
    def stays(self) -> tuple[Stay, ...]:
        """All its stays in totes whose ends are known, in order."""
        if self.transplanted_on is None or self.cleared_on is None:
            return self.earlier
        came_on = self.earlier[-1].until_on if self.earlier else self.transplanted_on
        last = Stay(tote=self.tote, place=self.place, from_on=came_on, until_on=max(came_on, self.cleared_on))
        return (*self.earlier, last)

    @property
    def plants_left(self) -> int:
        """How many have not been taken with their roots; what was taken before the rest moved has no hole here."""
        return self.plants - sum(len(harvest.holes) for harvest in self.harvests if harvest.kind == "head")
