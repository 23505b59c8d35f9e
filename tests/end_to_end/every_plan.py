"""Every legal plan of a tiny garden, one after the other, and the best of them.

Takes a garden and what stands; gives the best served share over all legal plans.  It shares with the planner
only the dated stages of `growth.timeline`: `check.verify` judges what is legal and `plan.plan.measure` what
it is worth.

Planned batches are of one plant each.  That leaves out no plan: a batch of several plants keeps the same rules as
that many batches that live alike, and serves as much.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from fractions import Fraction
from itertools import combinations_with_replacement, product
from math import ceil

from steadysow.check.verify import verify
from steadysow.growth.daylight import Conditions, conditions_at
from steadysow.growth.germination import seeds_a_cell
from steadysow.growth.timeline import GrowingPlace, transplant_window
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden, Want, carried, lid_area_m2
from steadysow.plan.batch import Batch, Harvest
from steadysow.plan.measure import measure
from steadysow.standing.standing import Standing

SPARE_DAYS = 400
BETTER = 1e-9

# Adding plants can mend a breach of this rule, and of no other.
MENDED_BY_MORE = "sowings are large enough"


@dataclass(frozen=True, slots=True, kw_only=True)
class Best:
    """The best served share of all legal plans, a plan that reaches it, and how many sets of lives were looked at."""

    share: float
    batches: tuple[Batch, ...]
    looked_at: int
    reach: Mapping[str, date | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Every:
    """A garden whose plans are counted: `garden.weeks` weeks from its first day on.

    Every plan that could serve best is looked at.  Left out are only lives that serve nothing before the last planned
    week ends, since a plan without them is legal and serves as much.
    """

    garden: Garden
    standing: Standing
    today: date

    def best(self) -> Best:
        """Look at every plan."""
        search = _Search(self)
        for begun in self._begun():
            search.run(begun)
        return Best(share=search.share, batches=search.batches, looked_at=search.looked_at, reach=search.reach)

    @property
    def first_on(self) -> date:
        """The first day of the first week."""
        assert self.garden.starts_on is not None
        return self.garden.starts_on

    @property
    def until_on(self) -> date:
        """The day after the last week."""
        return self.first_on + timedelta(7 * self.garden.weeks)

    def measured(self, batches: Sequence[Batch], reach: Mapping[str, date | None]) -> float:
        """Give the served share."""
        first_on, weeks = self.first_on, self.garden.weeks
        return measure(self.garden, batches, first_on, first_on, weeks, self.today, reach).served_share

    def legal(self, batches: Sequence[Batch], *, but: str = "") -> bool:
        """Say whether batches keep every rule (but one)."""
        breaches = verify(
            self.garden,
            batches,
            today=self.today,
            starts_on=self.first_on,
            resting=self.standing.rests,
            begun=self.standing.begun,
        )
        return all(breach.rule == but for breach in breaches)

    def keeps_crop_shares(self, batches: Sequence[Batch]) -> bool:
        """Say whether each crop makes up its part of all that is harvested for a want; `verify` does not ask."""
        for want in self.garden.wants:
            harvested: defaultdict[str, float] = defaultdict(float)
            for batch in batches:
                for harvest in batch.harvests:
                    if batch.want == want.name and harvest.on < self.until_on:
                        harvested[batch.crop] += harvest.plants if want.unit == "heads" else harvest.grams
            total = sum(harvested.values())
            for serving in want.servings:
                if not serving.least * total - 1e-6 <= harvested[serving.crop] <= serving.most * total + 1e-6:
                    return False
        return True

    def reach(self) -> dict[str, date | None]:
        """Give by want the first day of a harvest from what stands, or from a crop's first sowing that leads to one."""
        soonest: dict[str, date | None] = {}
        for want in self.garden.wants:
            lives = [life for life in self.lives() if life.want == want.name and life.harvests]
            first_sown = {
                crop: min(life.sown_on for life in lives if life.crop == crop) for crop in {life.crop for life in lives}
            }
            fresh = [life.harvests[0].on for life in lives if life.sown_on == first_sown[life.crop]]
            standing = [
                harvest.on
                for fates in map(self._fates, self._waiting_and_standing())
                for fate in fates
                for harvest in fate.harvests
                if fate.want == want.name and harvest.on >= self.today
            ]
            soonest[want.name] = min((*fresh, *standing), default=None)
        return soonest

    def days(self, from_on: date, until_on: date) -> Iterator[date]:
        """Give the days from today on in a span."""
        start = max(from_on, self.today)
        return (start + timedelta(number) for number in range((until_on - start).days))

    def lives(self) -> list[Batch]:
        """Give every life that one plant can have, as a batch in hole 1 of its tote."""
        chore_days = [on for on in self.days(self.first_on, self.until_on) if self.garden.is_chore_day(on)]
        lives: list[Batch] = []
        for want, tote in product(self.garden.wants, self.garden.totes):
            for crop in (self.garden.crops[serving.crop] for serving in want.servings):
                if not carried(crop, tote):
                    continue
                for sown_on in chore_days:
                    for planted_on in self._transplant_days(crop, sown_on):
                        lives += self._lives_of(want, crop, tote.name, sown_on, planted_on)
        return lives

    def _conditions_from(self) -> date:
        return min([self.first_on, *(batch.sown_on for batch in self.standing.begun)])

    def _conditions(self, place: str) -> Conditions:
        return conditions_at(self.garden.place(place), self._conditions_from(), SPARE_DAYS, self.garden.sky)

    def _bolts_on(self, crop: Crop, place: str, planted_on: date) -> date:
        """Give the day a plant has bolted, by counting days beyond a limit; the last day there is if it never has."""
        bolting, there = crop.growth.bolting, self._conditions(place)
        if bolting is None:
            return date.max
        beyond, on = 0, planted_on
        while beyond < bolting.after_days and on < there.until_on:
            number = there.index(on)
            too_long = bolting.longest_day_hours is not None and there.day_hours[number] > bolting.longest_day_hours
            too_warm = bolting.above_c is not None and there.temperature_c[number] > bolting.above_c
            beyond, on = beyond + (too_long or too_warm), on + timedelta(1)
        return on if beyond == bolting.after_days else date.max

    def _has_to_go(self, tote: str, place: str, day: date) -> bool:
        """Say whether what stands in a tote at a place has to be out of it on a day."""
        rests = any(rest.tote == tote and rest.from_on <= day < rest.until_on for rest in self.standing.rests)
        is_over = self.garden.clear_by is not None and day >= self.garden.clear_by
        return rests or is_over or self.garden.place_of(self.garden.tote(tote), day) != place

    def _stays(self, tote: str, from_on: date, until_on: date) -> bool:
        """Say whether a tote is in use, at one place, on all days of a stay."""
        days = (from_on + timedelta(number) for number in range((until_on - from_on).days))
        places = {self.garden.place_of(self.garden.tote(tote), on) for on in days}
        return len(places) == 1 and None not in places

    def _transplant_days(self, crop: Crop, sown_on: date) -> list[date]:
        window = transplant_window(
            crop,
            sown_on,
            conditions_at(self.garden.nursery.place, self._conditions_from(), SPARE_DAYS, self.garden.sky),
        )
        if window is None:
            return []
        last_on = max(window[1], self._first_day(self.garden.is_chore_day)) if sown_on < self.today else window[1]
        return [on for on in self.days(window[0], last_on + timedelta(1)) if self.garden.is_chore_day(on)]

    def _first_day(self, is_one: Callable[[date], bool]) -> date:
        """Give the first such day from today on, on which what has begun and is late is seen to."""
        return next(on for on in self.days(self.today, self.until_on) if is_one(on))

    def _lives_of(self, want: Want, crop: Crop, tote: str, sown_on: date, planted_on: date) -> Iterator[Batch]:
        place = self.garden.place_of(self.garden.tote(tote), planted_on)
        if place is None:
            return
        blank = Batch(
            id=1,
            crop=crop.name,
            want=want.name,
            place=place,
            tote=tote,
            holes=(1,),
            plants=1,
            cells=1,
            seeds=crop.seeds_a_cell,
            state="planned",
            sown_on=sown_on,
            emerges_on=sown_on + timedelta(1),
            transplanted_on=planted_on,
            cleared_on=None,
            harvests=(),
        )
        for harvests in self._harvests(crop, tote, planted_on, planted_on, 1, (1,)):
            if self._stays(tote, planted_on, harvests[-1].on):
                yield replace(blank, cleared_on=harvests[-1].on, harvests=harvests)

    def _next_day_at_home(self, after: date) -> date:
        return next(
            on for on in self.days(after + timedelta(1), self.until_on + timedelta(60)) if self.garden.at_home(on)
        )

    def _harvests(
        self, crop: Crop, tote: str, planted_on: date, since: date, number: int, holes: tuple[int, ...]
    ) -> Iterator[tuple[Harvest, ...]]:
        """Give every row of harvests, one or more, that plants can give from harvest `number` on."""
        place = self.garden.place_of(self.garden.tote(tote), planted_on)
        if number > crop.harvest.most or place is None:
            return
        growing = GrowingPlace(crop, self._conditions(place))
        due_on = growing.first_due(since) if number == 1 else growing.next_due(since)
        bolts_on = self._bolts_on(crop, place, planted_on)
        if due_on is None or due_on >= bolts_on:
            return
        latest_on = min(due_on + timedelta(crop.harvest.window_days - 1), bolts_on - timedelta(1))
        if since < self.today and (first_on := self._first_day(self.garden.is_harvest_day)) < bolts_on:
            latest_on = max(latest_on, first_on)
        days = (planted_on + timedelta(number) for number in range((latest_on - planted_on).days))
        latest_on = next((day for day in days if self._has_to_go(tote, place, day)), latest_on)
        share_m2 = lid_area_m2(self.garden.tote(tote)) / carried(crop, self.garden.tote(tote))
        for on in self.days(due_on, min(latest_on + timedelta(1), self.until_on)):
            if self.garden.is_harvest_day(on):
                harvest = Harvest(
                    on=on,
                    latest_on=latest_on,
                    kind=crop.harvest.kind,
                    number=number,
                    holes=holes,
                    plants=len(holes),
                    grams=len(holes) * growing.grams(number, since, on, share_m2),
                )
                yield (harvest,)
                for later in self._harvests(crop, tote, planted_on, on, number + 1, holes):
                    yield (harvest, *later)

    # --- begun batches ---

    def _waiting_and_standing(self) -> list[Batch]:
        return [batch for batch in self.standing.begun if batch.cleared_on is None]

    def _begun(self) -> Iterator[tuple[Batch, ...]]:
        """Give every way in which all that has begun can go on."""
        done = [batch for batch in self.standing.begun if batch.cleared_on is not None]
        for fates in product(*map(self._fates, self._waiting_and_standing())):
            yield (*done, *fates)

    def _fates(self, batch: Batch) -> list[Batch]:
        crop = self.garden.crops[batch.crop]
        if batch.transplanted_on is not None:
            if crop.harvest.kind == "head":
                return list(self._ends(batch, crop))
            since = batch.harvests[-1].on if batch.harvests else batch.transplanted_on
            number = len(batch.harvests) + 1
            more = self._harvests(crop, batch.tote, batch.transplanted_on, since, number, batch.holes)
            going_on = [replace(batch, cleared_on=row[-1].on, harvests=(*batch.harvests, *row)) for row in more]
            return [replace(batch, cleared_on=self._next_day_at_home(self.today - timedelta(1))), *going_on]
        planted = [
            replace(batch, tote=tote.name, transplanted_on=on)
            for tote in self.garden.totes
            for on in self._transplant_days(crop, batch.sown_on)
        ]
        return [end for each in planted for end in self._ends(each, crop)]

    def _ends(self, batch: Batch, crop: Crop) -> Iterator[Batch]:
        """Give every way to take heads that stand: each on a day of its own, or none at all.

        To leave one head standing while others are taken serves no more than to take it with the last of them.
        """
        assert batch.transplanted_on is not None
        yield replace(batch, cleared_on=self._next_day_at_home(batch.transplanted_on))
        rows = [
            row[0] for row in self._harvests(crop, batch.tote, batch.transplanted_on, batch.transplanted_on, 1, (1,))
        ]
        for days in combinations_with_replacement(rows, batch.plants):
            taken: dict[date, list[int]] = {}
            for hole, harvest in zip(batch.holes, days, strict=True):
                taken.setdefault(harvest.on, []).append(hole)
            harvests = tuple(
                replace(
                    days[0],
                    on=on,
                    number=number,
                    holes=tuple(holes),
                    plants=len(holes),
                    grams=len(holes) * days[0].grams,
                )
                for number, (on, holes) in enumerate(sorted(taken.items()), start=1)
            )
            yield replace(batch, cleared_on=harvests[-1].on, harvests=harvests)


class _Search:
    """The search through all sets of lives, the best so far kept."""

    def __init__(self, every: Every) -> None:
        self.every, self.reach, self.all_lives = every, every.reach(), every.lives()
        self.share, self.looked_at = -1.0, 0
        self.batches: tuple[Batch, ...] = ()
        self.begun: tuple[Batch, ...] = ()
        self.lives: list[Batch] = []
        self.clashes: list[list[bool]] = []
        self.shares: dict[object, float] = {}

    def run(self, begun: tuple[Batch, ...]) -> None:
        self.begun = begun
        if not self._goes([]):
            return
        self.lives = [life for life in self.all_lives if self._goes([life])]
        # Only a life is asked about that comes later in the list, or is the same once more.
        self.clashes = [
            [place >= number and not self._goes([one, other]) for place, other in enumerate(self.lives)]
            for number, one in enumerate(self.lives)
        ]
        self._extend([], 0)

    def _goes(self, lives: list[Batch]) -> bool:
        """Say whether lives may be part of a legal plan."""
        placed = self._placed(lives)
        return placed is not None and self.every.legal(placed, but=MENDED_BY_MORE)

    def _extend(self, chosen: list[int], first: int) -> None:
        """Judge what is chosen, then add every life that may be added; a set is come to in one order only."""
        if self.share >= 1 - BETTER:
            # Nothing serves more than all that is wanted.
            return
        self.looked_at += 1
        self._judge([self.lives[index] for index in chosen])
        for index in range(first, len(self.lives)):
            if any(self.clashes[other][index] for other in chosen):
                continue
            chosen.append(index)
            if self._has_room([self.lives[other] for other in chosen], self.lives[index].tote):
                self._extend(chosen, index)
            chosen.pop()

    def _judge(self, lives: list[Batch]) -> None:
        every = self.every
        key = (
            self.begun,
            tuple(
                sorted((life.crop, life.want, harvest.on, harvest.grams) for life in lives for harvest in life.harvests)
            ),
        )
        share = self.shares.get(key)
        if share is None:
            share = self.shares[key] = every.measured((*self.begun, *lives), self.reach)
        if share > self.share + BETTER:
            placed = self._placed(lives)
            if placed is not None and every.keeps_crop_shares(placed) and every.legal(placed):
                self.share, self.batches = share, placed

    def _has_room(self, lives: Iterable[Batch], tote: str) -> bool:
        """Say whether a tote carries its plants and has holes for them, on every day that one enters."""
        garden = self.every.garden
        lid = garden.tote(tote)
        there = [plant for plant in (*self._begun_plants(), *lives) if plant.tote == tote]
        for on in {_entered(plant) for plant in there}:
            standing = [plant for plant in there if _entered(plant) <= on < _left(plant)]
            used = [
                plant for plant in there if _entered(plant) <= on < _left(plant) + timedelta(garden.turnaround_days)
            ]
            room = sum((Fraction(1, carried(garden.crops[plant.crop], lid)) for plant in standing), Fraction())
            if room > 1 or len(used) > lid.holes:
                return False
        return True

    def _begun_plants(self) -> Iterator[Batch]:
        """Give the plants of begun batches one by one, each leaving on its own day."""
        for batch in self.begun:
            if batch.transplanted_on is None:
                continue
            for hole in batch.holes:
                heads = [each.on for each in batch.harvests if each.kind == "head" and hole in each.holes]
                yield replace(batch, holes=(hole,), plants=1, cleared_on=heads[0] if heads else batch.cleared_on)

    def _placed(self, lives: Iterable[Batch]) -> tuple[Batch, ...] | None:
        """Give each plant, in order of entry, the first free hole: that needs no more holes than stand at once."""
        garden = self.every.garden
        free_on: dict[tuple[str, int], date] = {}
        entering = [batch for batch in self.begun if batch.state == "sown" and batch.transplanted_on is not None]
        for plant in self._begun_plants():
            if plant.state != "sown":
                free_on[plant.tote, plant.holes[0]] = _left(plant) + timedelta(garden.turnaround_days)
        settled = [batch for batch in self.begun if batch not in entering]
        for number, batch in enumerate(sorted((*entering, *lives), key=_entered)):
            holes = [
                hole
                for hole in range(1, garden.tote(batch.tote).holes + 1)
                if free_on.get((batch.tote, hole), _entered(batch)) <= _entered(batch)
            ][: batch.plants]
            if len(holes) < batch.plants:
                return None
            new = dict(zip(batch.holes, holes, strict=True))
            harvests = tuple(replace(each, holes=tuple(new[hole] for hole in each.holes)) for each in batch.harvests)
            moved = replace(batch, holes=tuple(holes), harvests=harvests)
            if batch.state == "planned":
                moved = replace(moved, id=1000 + number)
            settled.append(moved)
            for hole in moved.holes:
                heads = [each.on for each in harvests if each.kind == "head" and hole in each.holes]
                left_on = heads[0] if heads else _left(moved)
                free_on[moved.tote, hole] = left_on + timedelta(garden.turnaround_days)
        return tuple(self._with_cells(settled))

    def _with_cells(self, batches: Iterable[Batch]) -> Iterator[Batch]:
        """Give the first of the batches that are sown and planted together the spare cells of all of them."""
        together: defaultdict[object, list[Batch]] = defaultdict(list)
        for batch in batches:
            planned = batch.state == "planned"
            key = (batch.crop, batch.want, batch.sown_on, batch.transplanted_on) if planned else batch.id
            together[key].append(batch)
        for first, *others in together.values():
            crop = self.every.garden.crops[first.crop]
            if first.state == "planned":
                # One seed a cell, so that as many cells hold a seedling as seeds germinate.
                plants, percent = 1 + len(others), crop.germination_percent
                cells = ceil(Fraction(100 * plants) / Fraction(percent))
                confidence = self.every.garden.sowing.confidence
                seeds = seeds_a_cell(crop, plants=plants, cells=cells, percent=percent, confidence=confidence)
                first = replace(first, cells=cells - len(others), seeds=seeds * (cells - len(others)))
                others = [replace(other, seeds=seeds) for other in others]
            yield first
            yield from others


def _entered(batch: Batch) -> date:
    assert batch.transplanted_on is not None
    return batch.transplanted_on


def _left(batch: Batch) -> date:
    assert batch.cleared_on is not None
    return batch.cleared_on
