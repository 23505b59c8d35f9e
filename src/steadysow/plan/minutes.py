"""The minutes of work that a plan asks for, week by week.

Takes batches; gives minutes a week.  Hides how long each kind of work takes, and how upkeep is shared among the plants
of a tote and the days of a week.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from steadysow.inputs.crops import HarvestKind
from steadysow.inputs.garden import Garden, carried
from steadysow.plan.batch import Batch


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkMinutes:
    """How long each kind of work takes [min].

    Attributes
    ----------
    sowing, cell
        Sowing one crop on one day; each of its cells in addition.
    transplant
        Moving a plant from the nursery into its hole.
    head, cut, pick
        Harvesting a plant.
    clear
        Taking out a plant that is not a head at its harvest.
    upkeep
        A week of looking after a tote full of plants.
    """

    sowing: float
    cell: float
    transplant: float
    head: float
    cut: float
    pick: float
    clear: float
    upkeep: float

    def harvest(self, kind: HarvestKind) -> float:
        """Give the minutes of one plant at a harvest of a kind."""
        return {"head": self.head, "cut": self.cut, "pick": self.pick}[kind]


# All of these are our own figures; nobody has measured them.
WORK_MINUTES = WorkMinutes(
    sowing=5.0,  # estimate: fetching packet, plugs and label, wetting the plugs, and putting all away again
    cell=0.5,  # estimate: a seed or two laid into a plug and covered, two cells a minute
    transplant=1.5,  # estimate: a plug lifted, set into its net pot, the roots led through, the pot put into the lid
    head=1.0,  # estimate: a head cut off, its roots pulled from the pot, its outer leaves looked through
    cut=0.75,  # estimate: the outer leaves of a plant in two handfuls; quicker than a head, since nothing is pulled
    pick=1.0,  # estimate: a plant looked over for what is ripe, and that taken off one by one
    clear=1.0,  # estimate: a plant pulled with its roots, and the pot rinsed
    upkeep=7.0,  # estimate: the chores of upkeep of our three examples come to 6, 7 and 8 minutes a tote
)


def minutes_by_week(garden: Garden, batches: Iterable[Batch], *, starts_on: date, today: date) -> dict[int, float]:
    """Sum the minutes of all work on batches, and of the upkeep of their totes, by week.

    A plant takes the same part of its tote's upkeep as of the tote's room, on each day that it stands there.  The day
    it leaves does not count.

    Parameters
    ----------
    garden
        The garden; batches of totes or crops that it no longer has are left out.
    batches
        Batches of a plan, or as they stand.
    starts_on
        When the garden began; weeks are counted from it, the first is 0.
    today
        The upkeep of a batch without a day of clearing counts up to this day, not including it.

    Returns
    -------
    dict
        Minutes by week, for the weeks that have any [min].
    """
    weeks: defaultdict[int, float] = defaultdict(float)

    def add(on: date, minutes: float) -> None:
        weeks[(on - starts_on).days // 7] += minutes

    totes = {tote.name: tote for tote in garden.totes}
    known = [
        batch for batch in batches if batch.crop in garden.crops and (batch.tote in totes or not batch.transplanted_on)
    ]
    for _, sown_on in {(batch.crop, batch.sown_on) for batch in known}:
        add(sown_on, WORK_MINUTES.sowing)
    for batch in known:
        add(batch.sown_on, WORK_MINUTES.cell * batch.cells)
        if batch.transplanted_on is None:
            continue
        if garden.crops[batch.crop].sown_in == "nursery":
            add(batch.transplanted_on, WORK_MINUTES.transplant * batch.plants)
        for harvest in batch.harvests:
            add(harvest.on, WORK_MINUTES.harvest(harvest.kind) * harvest.plants)
        heads = {hole: each.on for each in batch.harvests if each.kind == "head" for hole in each.holes}
        others = len({*batch.holes} - heads.keys())
        if batch.cleared_on is not None:
            add(batch.cleared_on, WORK_MINUTES.clear * others)
        leaving = Counter(on for hole, on in heads.items() if hole in batch.holes)
        leaving[batch.cleared_on or today] += others
        daily = WORK_MINUTES.upkeep / 7 / upkeep_plants(carried(garden.crops[batch.crop], totes[batch.tote]))
        for left_on, plants in leaving.items():
            for number in range((left_on - batch.transplanted_on).days):
                add(batch.transplanted_on + timedelta(number), daily * plants)
    return {week: minutes for week, minutes in sorted(weeks.items()) if minutes}


def upkeep_plants(number: int) -> int:
    """Give the number of plants that share a tote's upkeep: as many as it carries, or one where it carries none."""
    return max(1, number)
