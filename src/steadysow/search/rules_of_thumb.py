"""A plan by rules of thumb: what a sensible gardener would sow, as a start for the exact search.

Takes candidates and the task; gives strands that keep every rule.  Week by week it sows what a week lacks: of the lives
that give something in that week, the one that serves most for the room and days it takes.  Begun batches go on to their
first possible harvests.  Hides what is still free: totes, lamps, nursery and minutes.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import product

from steadysow.growth.germination import cell_success, cells_for
from steadysow.growth.uptake import USABLE_WATER
from steadysow.inputs.crops import Crop, share_reservoir
from steadysow.inputs.garden import Want
from steadysow.plan.minutes import WORK_MINUTES
from steadysow.search.candidates import Candidates, Life, Lot, PlantState, Step
from steadysow.search.choose import Task
from steadysow.search.strands import Strand
from steadysow.search.yields import amount_of, holes_in_use, lot_of, minutes_of

# The part of a still tote's cost that is counted for the whole tote, however few plants stand in it.
WHOLE_TOTE = 0.8

# While the plan grows, a crop may be over its most share, or under its least, by the wants of this many weeks.
LEEWAY_WEEKS = 2.0

# Amounts below this count as nothing.
_NOTHING = 1e-6

_NO_LIMIT = 10**6


def greedy(candidates: Candidates, task: Task) -> tuple[Strand, ...]:
    """Plan by rules of thumb.

    Parameters
    ----------
    candidates
        What could be done.
    task
        What the kitchen asks for.

    Returns
    -------
    tuple of Strand
        A legal plan, begun batches included; empty if a waiting batch finds no tote.
    """
    gardener = _Gardener(candidates, task)
    if not gardener.follow_begun():
        return ()
    gardener.fill_weeks()
    gardener.keep_shares()
    return tuple(gardener.strands)


class _ToteRoom:
    """The free room and holes of a tote, and the crops in it, by chore day."""

    def __init__(self, candidates: Candidates, g: int, name: str, apart: frozenset[tuple[str, str]]) -> None:
        self.group, self.apart = candidates.groups[g], apart
        self.days, self.turn = candidates.chore_days, candidates.garden.turnaround_days
        self.scale = math.lcm(*self.group.carried.values()) if self.group.carried else 1
        self.room = [self.scale] * len(self.days)
        turning = [each.until_day for each in candidates.turnarounds if each.tote == name]
        self.holes = [self.group.holes - sum(day < until for until in turning) for day in self.days]
        self.crops: list[set[str]] = [set() for _ in self.days]
        # The day on which the plants in a still tote entered; a day before all others while it is in turnaround.
        self.entered: list[int | None] = [
            -(10**6) if any(day < until for until in turning) else None for day in self.days
        ]
        self.water: dict[int, float] = defaultdict(float)

    def fits(self, crop: Crop, entered: int, leaves: int) -> int:
        """Give how many plants of a crop may stand here from one day to another."""
        first, last, free = self._stay(entered, leaves)
        size = self.scale // self.group.carried[crop.name]
        if self.apart and any((crop.name, other) in self.apart for k in range(first, last) for other in self.crops[k]):
            return 0
        most = min(self.room[first:last], default=self.scale) // size
        if self.group.system == "dwc":
            return min(most, min(self.holes[first:free], default=0))
        if any(day is not None and day != entered for day in self.entered[first:free]):
            return 0
        if not self.group.refilled:
            left = USABLE_WATER * self.group.litres - self.water[entered]
            most = min(most, int(left / crop.litres_a_plant + 1e-9))
        return most

    def newly_busy_days(self, entered: int, leaves: int) -> int:
        """Give how many more days a still tote would be busy."""
        first, _, free = self._stay(entered, leaves)
        busy = sum(day == entered for day in self.entered[first:free])
        span = leaves + self.turn - entered
        return span if not busy else span * (free - first - busy) // max(1, free - first)

    def plant(self, crop: Crop, plants: int, entered: int, leaves: int) -> None:
        """Let plants stand here from one day to another."""
        first, last, free = self._stay(entered, leaves)
        size = self.scale // self.group.carried[crop.name]
        for k in range(first, last):
            self.room[k] -= plants * size
            self.crops[k].add(crop.name)
        for k in range(first, free):
            self.holes[k] -= plants
            self.entered[k] = entered
        self.water[entered] += plants * crop.litres_a_plant

    def _stay(self, entered: int, leaves: int) -> tuple[int, int, int]:
        """Give the places of three chore days: the first of a stay, the first after it, the first after turnaround."""
        return (
            bisect_left(self.days, entered),
            bisect_left(self.days, leaves),
            bisect_left(self.days, leaves + self.turn),
        )


@dataclass(frozen=True, slots=True)
class _Offer:
    """Plants that could be sown for a week, and their worth: what they serve for the room and days they take."""

    worth: float
    life: Life
    sown_day: int
    plants: int
    tote: _ToteRoom


class _Gardener:
    """The working state of `greedy`: the plants so far, and what each week still lacks."""

    def __init__(self, candidates: Candidates, task: Task) -> None:
        self.candidates, self.task, self.rules = candidates, task, candidates.garden.sowing
        self.strands: list[Strand] = []
        crops = {line.crop.name: line.crop for line in candidates.lines}
        pairs = product(crops.values(), repeat=2)
        apart = frozenset((one.name, other.name) for one, other in pairs if not share_reservoir(one, other))
        self.totes = [
            [_ToteRoom(candidates, g, name, apart) for name in group.totes] for g, group in enumerate(candidates.groups)
        ]
        self.wants = {want.name: want for want in candidates.garden.wants}
        self.short = dict(task.wanted)
        self.leaving: dict[PlantState, list[Step]] = defaultdict(list)
        for step in sorted(candidates.steps, key=lambda step: (step.number == 0, step.to_day)):
            self.leaving[step.start].append(step)
        self.crop_days: dict[int, dict[str, int]] = {day: defaultdict(int) for day in _far_apart(candidates)}
        self.crop_days.get(candidates.today, {}).update(candidates.sown_today)
        self.sowings: dict[tuple[int, int], list[int]] = defaultdict(list)
        for sowing in candidates.sowings:
            if sowing.sown_day in self.crop_days:
                self.sowings[(sowing.line, sowing.transplant_day)].append(sowing.sown_day)
        self.sown: dict[tuple[int, int, int], int] = defaultdict(int)
        cells = candidates.garden.nursery.cells
        self.cells = dict.fromkeys(sorted({candidates.today, *candidates.sowing_days}), cells)
        self.lit = {
            place.name: dict.fromkeys((candidates.today, *candidates.chore_days), place.lights)
            for place in candidates.garden.places
            if place.lights is not None
        }
        # The minutes that are taken, by week, where they are limited.
        self.limit = candidates.garden.chore_minutes_a_week
        self.spent: dict[int, float] = defaultdict(float, candidates.spent)
        self.harvested: dict[tuple[str, str], float] = defaultdict(float)
        for lot, amount in task.leftovers.items():
            self._eat(lot, amount, self.short)

    # --- begun batches

    def follow_begun(self) -> bool:
        """Let begun batches go on to their first possible harvests; say whether each waiting batch found a tote."""
        ends = {step.end for step in self.candidates.steps if step.begun is not None and step.number}
        starts: dict[int, list[PlantState]] = defaultdict(list)
        for state in self.leaving:
            if state.begun is not None and state not in ends:
                starts[state.begun].append(state)
        for b, batch in enumerate(self.candidates.begun):
            if batch.transplanted_on is not None and starts[b]:
                life = self._first_life(self.leaving[starts[b][0]][0])
                tote = self.totes[life[0].group][self.candidates.groups[life[0].group].totes.index(batch.tote)]
                self._plant(life, tote, self.candidates.day_of(batch.sown_on), batch.plants_left)
        waiting = (b for b, batch in enumerate(self.candidates.begun) if batch.transplanted_on is None)
        return all(self._plant_waiting(b, starts[b]) for b in waiting if starts[b])

    def _plant_waiting(self, b: int, starts: list[PlantState]) -> bool:
        batch = self.candidates.begun[b]
        lives = [self._first_life(self.leaving[state][0]) for state in starts]
        for life in sorted(lives, key=lambda life: (life[0].number == 0, life[0].from_day)):
            for tote in self.totes[life[0].group]:
                if self._fit(life, tote) >= batch.plants:
                    sown_day = self.candidates.day_of(batch.sown_on)
                    self._plant(life, tote, sown_day, batch.plants)
                    self._spend({life[0].from_day // 7: WORK_MINUTES.transplant}, batch.plants)
                    for day in self._cell_days(sown_day, life[0].from_day):
                        self.cells[day] -= batch.cells
                    return True
        return False

    def _first_life(self, first: Step) -> Life:
        """Follow a first step from harvest to harvest, each as soon as possible, as long as the plant gives."""
        life = [first]
        while life[-1].number and life[-1].end in self.leaving:
            life.append(self.leaving[life[-1].end][0])
        return tuple(life)

    # --- new sowings

    def fill_weeks(self) -> None:
        """Sow what each week lacks, in the order of the last day on which anything can be planted for the week."""
        lives: dict[tuple[str, int], list[Life]] = defaultdict(list)
        for state, steps in self.leaving.items():
            is_new = state.begun is None and state.harvests == 0
            if is_new and (state.line, state.last_day) in self.sowings:
                line = self.candidates.lines[state.line]
                is_head = line.crop.harvest.kind == "head"
                for step in steps if is_head else steps[:1]:
                    lot = lot_of(self.candidates, step)
                    for week in range(lot.week, lot.last_week + 1) if lot is not None else ():
                        lives[(line.want, week)].append(self._first_life(step))
        last_day = {cell: max(life[0].from_day for life in some) for cell, some in lives.items()}
        # Fruit needs a tote to itself for a whole season, so it chooses first.
        fruit = {line.want for line in self.candidates.lines if line.crop.is_fruit}
        for cell in sorted(last_day, key=lambda cell: (cell[0] not in fruit, last_day[cell], cell)):
            self._fill(*cell, lives[cell])

    def _fill(self, want: str, week: int, lives: list[Life]) -> None:
        while self.short.get((want, week), 0.0) > _NOTHING:
            offers = (offer for life in lives for offer in self._offers(life, self.short[(want, week)]))
            best = max(offers, key=lambda offer: offer.worth, default=None)
            if best is None:
                return
            self._plant(best.life, best.tote, best.sown_day, best.plants)
            self._sow(best.life[0], best.sown_day, best.plants)

    def _offers(self, life: Life, short: float) -> Iterator[_Offer]:
        """Offer enough plants of a life for a shortage, or a whole still tote of them, in every tote where they fit."""
        first, crop = life[0], self._crop(life[0])
        sown_day, least, most = self._room_to_sow(first)
        if most < least:
            return
        group = self.candidates.groups[first.group]
        need = min(most, max(least, math.ceil(short / amount_of(self.candidates, first) - _NOTHING)))
        whole = max(least, min(most, group.carried[crop.name]))
        for plants in {need} if group.system == "dwc" else {need, whole}:
            part, gain = self._best_part(life, plants)
            for tote in self.totes[first.group] if gain > 0 else ():
                fitting = self._in_time(part, sown_day, min(plants, self._fit(part, tote)))
                if fitting >= least:
                    cost = self._cost(part, tote, fitting) + self._minutes_cost(part, sown_day, fitting)
                    worth = self._favour(part, fitting) * gain * fitting / plants / cost
                    if worth > 0:
                        yield _Offer(worth, part, sown_day, fitting, tote)

    def _best_part(self, life: Life, plants: int) -> tuple[Life, float]:
        """End a life at the harvest where it has served most for its days; give what it serves, too."""
        turn, entered = self.candidates.garden.turnaround_days, life[0].from_day
        short: dict[tuple[str, int], float] = {}
        gain, best = 0.0, (0.0, 0, 0.0)
        for number, step in enumerate(life, start=1):
            lot = lot_of(self.candidates, step)
            if lot is not None:
                gain += self._eat(lot, plants * amount_of(self.candidates, step), short)
            best = max(best, (gain / (step.to_day + turn - entered), number, gain))
        return life[: best[1]], best[2]

    def _cost(self, life: Life, tote: _ToteRoom, plants: int) -> float:
        """Give the room that plants take, times their days [tote days]."""
        entered, leaves = life[0].from_day, life[-1].to_day
        own = plants / tote.group.carried[self._crop(life[0]).name] * (leaves + tote.turn - entered)
        if tote.group.system == "dwc":
            return own
        return (1 - WHOLE_TOTE) * own + WHOLE_TOTE * tote.newly_busy_days(entered, leaves)

    def _minutes_cost(self, life: Life, sown_day: int, plants: int) -> float:
        """Give the price of plants' minutes; all minutes of a week cost as much as all totes for a week [tote days]."""
        if self.limit is None:
            return 0.0
        minutes = plants * sum(self._minutes_each(life).values())
        minutes += sum(self._minutes_to_sow(life[0], sown_day, plants).values())
        return minutes / self.limit * 7 * len(self.candidates.garden.totes)

    def _favour(self, life: Life, plants: int) -> float:
        """Give a factor on an offer's worth by which the crops of a want keep their shares."""
        line = self.candidates.lines[life[0].line]
        want, own = self.wants[line.want], self.harvested[(line.want, line.crop.name)]
        serving = next(each for each in want.servings if each.crop == line.crop.name)
        added = plants * sum(self._in_weeks(step) for step in life)
        total = added + sum(self.harvested[(want.name, each.crop)] for each in want.servings)
        leeway = LEEWAY_WEEKS * want.amount
        if own < serving.least * (total + leeway):
            return 10.0
        over = own + added - serving.most * total
        return 1.0 if serving.most >= 1 or over <= 0 else 0.1 if over <= leeway else 0.0

    def _room_to_sow(self, first: Step) -> tuple[int, int, int]:
        """Give the best day to sow for a transplant, and the fewest and most plants that may still be sown then."""
        crop = self._crop(first)
        holes = sum(len(group.totes) * group.carried.get(crop.name, 0) for group in self.candidates.groups)
        best = (0, 1, 0)
        # The last day takes cells for the shortest time; an earlier one is better where fewer plants need to be sown.
        for day in sorted(self.sowings[(first.line, first.from_day)], reverse=True):
            sown = self.crop_days[day]
            if crop.name not in sown and len(sown) >= self.rules.crops_a_day:
                continue
            in_use = holes_in_use(self.candidates, crop.name, day)
            least = 1 if crop.name in sown else max(1, min(self.rules.smallest, in_use))
            most = min(holes, self._cells_for_more(first, day))
            if most >= least and (best[2] == 0 or least < best[1]):
                best = (day, least, most)
        return best

    def _cells_for_more(self, first: Step, sown_day: int) -> int:
        """Give for how many more plants the nursery has cells."""
        crop = self._crop(first)
        if crop.sown_in == "pot":
            return _NO_LIMIT
        before = self.sown[(first.line, sown_day, first.from_day)]
        days = self._cell_days(sown_day, first.from_day)
        free = min([self.candidates.garden.nursery.cells, *(self.cells[day] for day in days)])
        more = min(free, 1 + math.floor((cells_for(crop, before) + free) * cell_success(crop)) - before)
        while more > 0 and cells_for(crop, before + more) - cells_for(crop, before) > free:
            more -= 1
        return more

    def _sow(self, first: Step, sown_day: int, plants: int) -> None:
        crop, key = self._crop(first), (first.line, sown_day, first.from_day)
        self._spend(self._minutes_to_sow(first, sown_day, plants), 1)
        self.crop_days[sown_day][crop.name] += plants
        if crop.sown_in == "nursery":
            cells = cells_for(crop, self.sown[key] + plants) - cells_for(crop, self.sown[key])
            for day in self._cell_days(sown_day, first.from_day):
                self.cells[day] -= cells
        self.sown[key] += plants

    # --- the books

    def _fit(self, life: Life, tote: _ToteRoom) -> int:
        """Give how many plants of a life may stand in a tote."""
        first, leaves = life[0], life[-1].to_day
        lit = self._lit(first)
        under_lamp = min((lit[day] for day in lit if first.from_day <= day < leaves), default=_NO_LIMIT)
        return min(under_lamp, tote.fits(self._crop(first), first.from_day, leaves))

    def _in_time(self, life: Life, sown_day: int, plants: int) -> int:
        """Give how many plants of a life, up to a number, fit into the minutes of every week."""
        if self.limit is None:
            return plants
        each = self._minutes_each(life)
        while plants > 0:
            sowing = self._minutes_to_sow(life[0], sown_day, plants)
            taken = {week: plants * each.get(week, 0.0) + sowing.get(week, 0.0) for week in {*each, *sowing}}
            if all(self.spent[week] + minutes <= self.limit + _NOTHING for week, minutes in taken.items()):
                break
            plants -= 1
        return plants

    def _minutes_each(self, life: Life) -> dict[int, float]:
        """Give the minutes of one plant by week, without its sowing, and without transplanting a begun batch."""
        weeks: dict[int, float] = defaultdict(float)
        for number, step in enumerate(life):
            for week, minutes in minutes_of(self.candidates, step, goes_on=number > 0).items():
                weeks[week] += minutes
        if life[0].begun is None and self._crop(life[0]).sown_in == "nursery":
            weeks[life[0].from_day // 7] += WORK_MINUTES.transplant
        return weeks

    def _minutes_to_sow(self, first: Step, sown_day: int, plants: int) -> dict[int, float]:
        crop, before = self._crop(first), self.sown[(first.line, sown_day, first.from_day)]
        new = 0.0 if crop.name in self.crop_days[sown_day] else WORK_MINUTES.sowing
        cells = cells_for(crop, before + plants) - cells_for(crop, before)
        return {sown_day // 7: new + WORK_MINUTES.cell * cells}

    def _spend(self, weeks: Mapping[int, float], plants: int) -> None:
        for week, minutes in weeks.items():
            self.spent[week] += minutes * plants

    def _plant(self, life: Life, tote: _ToteRoom, sown_day: int, plants: int) -> None:
        first, leaves = life[0], life[-1].to_day
        if self.limit is not None:
            self._spend(self._minutes_each(life), plants)
        planted = first.entered_day if first.begun is not None else first.from_day
        tote.plant(self._crop(first), plants, planted, leaves)
        lit = self._lit(first)
        for day in lit:
            if planted <= day < leaves:
                lit[day] -= plants
        line = self.candidates.lines[first.line]
        for step in life:
            lot = lot_of(self.candidates, step)
            if lot is not None:
                self._eat(lot, plants * amount_of(self.candidates, step), self.short)
                self.harvested[(line.want, line.crop.name)] += plants * self._in_weeks(step)
        self.strands.append(
            Strand(
                line=first.line,
                group=first.group,
                begun=first.begun,
                sown_day=sown_day,
                transplant_day=planted,
                steps=life,
                plants=plants,
            )
        )

    def _eat(self, lot: Lot, amount: float, short: dict[tuple[str, int], float]) -> float:
        """Take a lot off what its weeks lack, in `short`; give the share it serves.

        Weeks that `short` does not hold yet start from what they lack so far.
        """
        served = 0.0
        for week in range(max(0, lot.week), lot.last_week + 1):
            key = (lot.want, week)
            lacking = short.get(key, self.short.get(key, 0.0))
            if lacking > 0:
                eaten = min(lacking, amount)
                short[key] = lacking - eaten
                amount -= eaten
                served += eaten / self.task.wanted[key] * self.wants[lot.want].importance
        return served

    def _in_weeks(self, step: Step) -> float:
        """Give what one plant yields within the planned weeks."""
        return amount_of(self.candidates, step) if step.number and step.to_day < 7 * self.task.weeks else 0.0

    def _lit(self, first: Step) -> dict[int, int]:
        spells = self.candidates.groups[first.group].spells
        now = max(first.from_day, self.candidates.today)
        place = next((each.place for each in spells if each.from_day <= now < each.until_day), "")
        return self.lit.get(place, {})

    def _cell_days(self, sown_day: int, planted: int) -> Iterator[int]:
        return (day for day in self.cells if sown_day <= day < planted)

    def _crop(self, step: Step) -> Crop:
        return self.candidates.lines[step.line].crop

    # --- the shares of crops

    def keep_shares(self) -> None:
        """Take out what was sown last until the crops of each want keep their shares."""
        while True:
            in_excess = {key for want in self.wants.values() for key in self._in_excess(want)}
            out = self._last_sown(in_excess)
            if not out:
                return
            for strand in out:
                line = self.candidates.lines[strand.line]
                grams = sum(self._in_weeks(step) for step in strand.steps)
                self.harvested[(line.want, line.crop.name)] -= strand.plants * grams
                self.strands.remove(strand)

    def _in_excess(self, want: Want) -> Iterator[tuple[str, str]]:
        """Give the crops that exceed their own share, or hold another below its least share, each with its want."""
        own = {each.crop: self.harvested[(want.name, each.crop)] for each in want.servings}
        total = sum(own.values())
        lacking = {each.crop for each in want.servings if own[each.crop] < each.least * total - _NOTHING}
        for each in want.servings:
            too_much = each.most < 1 and own[each.crop] > each.most * total + _NOTHING
            if too_much or (lacking and each.crop not in lacking):
                yield want.name, each.crop

    def _last_sown(self, keys: set[tuple[str, str]]) -> list[Strand]:
        """Give the last strand sown for some want and crop, with all of its sowing if the rest would be too small."""
        for strand in reversed(self.strands):
            line = self.candidates.lines[strand.line]
            if strand.begun is None and (line.want, line.crop.name) in keys:
                same_sowing = [
                    each
                    for each in self.strands
                    if each.begun is None
                    and each.sown_day == strand.sown_day
                    and self.candidates.lines[each.line].crop == line.crop
                ]
                rest = sum(each.plants for each in same_sowing) - strand.plants
                return same_sowing if rest < self.rules.smallest else [strand]
        return []


def _far_apart(candidates: Candidates) -> Iterator[int]:
    """Give the earliest sowing days that keep their distance."""
    last = None
    for day in candidates.sowing_days:
        if last is None or day >= last + candidates.garden.sowing.every_days:
            yield day
            last = day
