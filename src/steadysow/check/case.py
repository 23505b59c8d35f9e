"""What the rules look at: the batches, their garden, and how the crops grow in it.

Takes the garden and the batches; gives a `Case`.  It says when a batch may be transplanted, when a harvest is due, what
stands where on a day, and what the plan still decides.  Hides which dates are facts: a begun batch that is late may
take the first possible day, since no plan could do better.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import combinations

from steadysow.growth.daylight import Conditions, conditions_at
from steadysow.growth.timeline import GrowingPlace, emerges_on, transplant_window
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden
from steadysow.plan.batch import Batch, Harvest
from steadysow.standing.standing import Rest

# Days of conditions kept beyond the last date of the plan, so that the next due day is still found [d].
MARGIN_DAYS = 400

_ONE_DAY = timedelta(1)

# What a rule finds: the batches that break it, the day or ``None``, and what is wrong, without capital and full stop.
Finding = tuple[Sequence[Batch], date | None, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """Everything that the rules look at.

    Attributes
    ----------
    garden
        The garden.
    batches
        Every batch, begun or planned.
    begun
        Begun batches as they stood before planning, by id.
    today
        What lies before this day has happened.
    starts_on
        When the garden began.
    resting
        Totes out of use.
    nursery
        The conditions that seedlings grow in.
    places
        The conditions of every place, by name.
    growing
        Growth by crop and place, for the batches that are still to be harvested.
    """

    garden: Garden
    batches: tuple[Batch, ...]
    begun: Mapping[int, Batch]
    today: date
    starts_on: date
    resting: tuple[Rest, ...]
    nursery: Conditions
    places: Mapping[str, Conditions]
    growing: Mapping[tuple[str, str], GrowingPlace]

    @property
    def planned(self) -> Iterator[Batch]:
        """Batches that are not yet sown."""
        return (batch for batch in self.batches if batch.state == "planned")

    @property
    def live(self) -> Iterator[Batch]:
        """Batches with something still to come."""
        return (batch for batch in self.batches if is_live(batch) and stands(batch))

    @property
    def entering(self) -> Iterator[Batch]:
        """Batches that the plan still brings into a tote."""
        return (batch for batch in self.live if self.is_entering(batch))

    def is_entering(self, batch: Batch) -> bool:
        """Say whether the plan still decides when and where the batch enters a tote."""
        in_nursery = batch.state == "sown" and self.garden.crops[batch.crop].sown_in == "nursery"
        return batch.state == "planned" or in_nursery

    def crop(self, batch: Batch) -> Crop:
        """Give the profile of a batch."""
        return self.garden.crops[batch.crop]

    def standing_in(self, tote: str) -> tuple[Batch, ...]:
        """Give the batches that ever stand in a tote."""
        return tuple(batch for batch in self.batches if batch.tote == tote and stands(batch))

    def to_come(self, batch: Batch) -> tuple[Harvest, ...]:
        """Give the harvests of a batch that have not happened yet."""
        if not is_live(batch):
            return ()
        taken = self.begun[batch.id].harvests if batch.id in self.begun else ()
        return tuple(
            harvest
            for harvest in batch.harvests
            if batch.state == "planned" or (harvest.on >= self.today and harvest not in taken)
        )

    def days_of_entry(self, batches: Sequence[Batch]) -> list[date]:
        """Give the days on which the plan adds plants; between these days, no sum over standing plants rises."""
        return sorted({enters(batch) for batch in batches if self.is_entering(batch)})

    def neighbours(self) -> Iterator[tuple[Batch, Batch, date]]:
        """Give each two batches of different crops that the plan puts into one tote, and the first day they share."""
        for tote in self.garden.totes:
            for one, other in combinations(self.standing_in(tote.name), 2):
                together_on = max(enters(one), enters(other))
                together = together_on < min(leaves(one), leaves(other))
                decided = self.is_entering(one) or self.is_entering(other)
                if one.crop != other.crop and together and decided:
                    yield one, other, together_on

    def emerges_on(self, batch: Batch) -> date | None:
        """Give the day a batch emerges in the nursery, or in its pot; ``None`` if it never does."""
        crop = self.crop(batch)
        seedbed = self.nursery if crop.sown_in == "nursery" else self.places[batch.place]
        return emerges_on(crop, batch.sown_on, seedbed)

    def transplant_window(self, batch: Batch) -> tuple[date, date] | None:
        """Give the first and the last day to transplant, counted from the recorded emergence if there is one."""
        emerged_on = batch.emerges_on if "emerged" in batch.recorded else None
        window = transplant_window(self.crop(batch), batch.sown_on, self.nursery, emerged_on=emerged_on)
        if window is None or batch.state == "planned":
            return window
        first_on, last_on = window
        return first_on, max(last_on, self._first_day(self.garden.is_chore_day))

    def harvest_windows(self) -> Iterator[tuple[Batch, Harvest, tuple[date, date] | None]]:
        """Give each harvest to come with the first and the last day of its window.

        The window is ``None`` for a harvest that never falls due, or whose plant bolts first.
        """
        for batch in self.live:
            growing = self.growing[batch.crop, batch.place]
            for harvest in self.to_come(batch):
                since = self.harvested_before(batch, harvest)
                due_on = growing.first_due(enters(batch)) if since is None else growing.next_due(since)
                latest_on = None if due_on is None else growing.latest(due_on, enters(batch))
                window = (
                    None
                    if due_on is None or latest_on is None
                    else (due_on, self._latest(batch, growing, due_on, latest_on))
                )
                yield batch, harvest, window

    def harvested_before(self, batch: Batch, harvest: Harvest) -> date | None:
        """Give the day of the last harvest of the same plants, or ``None`` for their first."""
        if harvest.kind == "head":
            return None
        return max((before.on for before in batch.harvests if before.on < harvest.on), default=None)

    def grams_each(self, batch: Batch, harvest: Harvest, share_m2: float) -> float:
        """Give what one plant with that share of the lid weighs at a harvest [g]."""
        since = self.harvested_before(batch, harvest) or enters(batch)
        number = 1 if harvest.kind == "head" else harvest.number
        return self.growing[batch.crop, batch.place].grams(number, since, harvest.on, share_m2)

    def _latest(self, batch: Batch, growing: GrowingPlace, due_on: date, last_on: date) -> date:
        """Give the last day of a window; a begun batch that is late has until the first possible day."""
        if batch.state != "planned":
            first_on = self._first_day(lambda day: day >= due_on and self.garden.is_harvest_day(day))
            bolts_on = growing.bolts_on(enters(batch))
            last_on = max(last_on, first_on) if bolts_on is None or first_on < bolts_on else last_on
        return last_on

    def must_leave_by(self, batch: Batch, last_on: date) -> date:
        """Give the day by which a batch must be out of its tote, at the latest `last_on`."""
        days = (enters(batch) + index * _ONE_DAY for index in range((last_on - enters(batch)).days))
        return next((day for day in days if self._must_be_out(batch, day)), last_on)

    def _must_be_out(self, batch: Batch, day: date) -> bool:
        rests = any(rest.tote == batch.tote and rest.from_on <= day < rest.until_on for rest in self.resting)
        is_over = self.garden.clear_by is not None and day >= self.garden.clear_by
        return rests or is_over or self.garden.place_of(self.garden.tote(batch.tote), day) != batch.place

    def first_day_at_home(self) -> date:
        """Give the first day, from today on, when somebody is at home."""
        return self._first_day(self.garden.at_home)

    def _first_day(self, is_possible: Callable[[date], bool]) -> date:
        """Give the first possible day from today on; today if none is found within the margin."""
        days = (self.today + index * _ONE_DAY for index in range(MARGIN_DAYS))
        return next((day for day in days if is_possible(day)), self.today)


def case_of(
    garden: Garden,
    batches: tuple[Batch, ...],
    today: date,
    starts_on: date,
    resting: Sequence[Rest],
    begun: Sequence[Batch],
) -> Case:
    """Gather what the rules look at; the garden must know every name in the batches."""
    days = [today, *(day for batch in batches for day in _dates(batch))]
    first_on, span_days = min(days), (max(days) - min(days)).days + MARGIN_DAYS
    places = {place.name: conditions_at(place, first_on, span_days, garden.sky) for place in garden.places}
    grown = {(batch.crop, batch.place) for batch in batches if is_live(batch)}
    return Case(
        garden=garden,
        batches=batches,
        begun={batch.id: batch for batch in begun},
        today=today,
        starts_on=starts_on,
        resting=tuple(resting),
        nursery=conditions_at(garden.nursery.place, first_on, span_days, garden.sky),
        places=places,
        growing={(crop, place): GrowingPlace(garden.crops[crop].at(place), places[place]) for crop, place in grown},
    )


def is_live(batch: Batch) -> bool:
    """Say whether a batch has something still to come."""
    return batch.state not in ("done", "lost")


def stands(batch: Batch) -> bool:
    """Say whether a batch ever stands in a tote, with both ends of its stay known."""
    return batch.transplanted_on is not None and batch.cleared_on is not None


def enters(batch: Batch) -> date:
    """Give the day on which a batch that stands enters its tote."""
    assert batch.transplanted_on is not None
    return batch.transplanted_on


def leaves(batch: Batch) -> date:
    """Give the day on which a batch that stands leaves its tote; it takes no room on that day."""
    assert batch.cleared_on is not None
    return batch.cleared_on


def leaves_hole(batch: Batch, hole: int) -> date:
    """Give the day a batch frees one of its holes: for a head its own day, otherwise the day the batch is cleared."""
    heads = (harvest.on for harvest in batch.harvests if harvest.kind == "head" and hole in harvest.holes)
    return next(heads, leaves(batch))


def plants_on(batch: Batch, day: date) -> int:
    """Count the plants of a batch that stand in their holes on a day."""
    return sum(enters(batch) <= day < leaves_hole(batch, hole) for hole in batch.holes)


def named(batch: Batch) -> str:
    """Give the name of a batch in a sentence, such as ``batch 5 (kale)``."""
    return f"batch {batch.id} ({batch.crop})"


def _dates(batch: Batch) -> Iterator[date]:
    yield batch.sown_on
    yield from (day for day in (batch.transplanted_on, batch.cleared_on) if day is not None)
    yield from (harvest.on for harvest in batch.harvests)
