"""Proposing: list everything that could be sown, planted and harvested in a span of days.

Takes the garden, what stands, and the span; gives `Candidates`.  Hides which days the crops allow.  No legal plan is
left out, with one exception that loses no optimum: steps that end after the span, since no harvest there is measured.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace
from datetime import date, timedelta
from itertools import combinations, pairwise

from steadysow.growth.daylight import Conditions, conditions_at
from steadysow.growth.forecast import forecast
from steadysow.growth.timeline import GrowingPlace, transplant_window
from steadysow.inputs.crops import Crop, share_reservoir
from steadysow.inputs.garden import Garden, Tote, carried, lid_area_m2
from steadysow.plan.batch import Batch
from steadysow.plan.minutes import minutes_by_week
from steadysow.search.candidates import Candidates, Line, PlaceSpell, PlantState, Sowing, Step, ToteGroup, Turnaround
from steadysow.standing.standing import Standing

# Conditions are computed for this long after a span, so that a harvest due after its end gets its date [d].
_SPARE_DAYS = 400

# A crop that takes longer does not make the tail longer.
MOST_TAIL_WEEKS = 16


def propose(
    garden: Garden, standing: Standing, *, first_on: date, today: date, days: int, by_tote: bool = False
) -> Candidates:
    """List everything that could be done from today to the end of the span.

    Parameters
    ----------
    garden, standing
        The garden, and its begun batches and resting totes.
    first_on, days
        First day of the first planned week, and the number of days in the span.
    today
        Nothing is done before it.
    by_tote
        Whether to count every tote on its own, even where totes are alike.
    """
    return _Proposal(garden, standing, first_on, today, days, by_tote).candidates()


def tail_weeks(garden: Garden, first_on: date) -> int:
    """Give how long the slowest wanted greens take from seed to first harvest, in whole weeks.

    Each crop counts where it is quickest, sown on `first_on`, the day the tail begins.  A season that ends has no tail.
    """
    if garden.clear_by is not None:
        return 0
    slowest = 0
    for name in {serving.crop for want in garden.wants for serving in want.servings}:
        crop = garden.crops[name]
        if not crop.is_fruit:
            forecasts = (
                forecast(crop, place, first_on, nursery=garden.nursery.place, sky=garden.sky) for place in garden.places
            )
            days = [(each.ready_on - first_on).days for each in forecasts if each.ready_on is not None]
            slowest = max(slowest, min(days, default=0))
    return min(MOST_TAIL_WEEKS, -(-slowest // 7))


class _Proposal:
    """The working state of `propose`."""

    def __init__(
        self, garden: Garden, standing: Standing, first_on: date, today: date, days: int, by_tote: bool
    ) -> None:
        self.garden, self.standing = garden, standing
        self.first_on, self.days = first_on, days
        self.today = max(0, (today - first_on).days)
        if garden.clear_by is not None:
            self.end = min(days, (garden.clear_by - first_on).days)
        else:
            self.end = days
        self.lines = tuple(
            Line(crop=garden.crops[serving.crop], want=want.name) for want in garden.wants for serving in want.servings
        )
        self.wanted = {want.name for want in garden.wants}
        # A begun batch may be for a want that the garden file has dropped.
        begun = {(batch.crop, batch.want) for batch in standing.begun if batch.cleared_on is None}
        known = {(line.crop.name, line.want) for line in self.lines}
        self.lines += tuple(Line(crop=garden.crops[crop], want=want) for crop, want in sorted(begun - known))
        self.groups = self._groups(by_tote)
        self.group_of = {name: g for g, group in enumerate(self.groups) for name in group.totes}
        self.begun = tuple(batch for batch in standing.begun if batch.cleared_on is None and batch.state != "lost")
        span = range(self.today, days)
        self.chore_days = tuple(day for day in span if garden.is_chore_day(self._date(day)))
        self.harvest_days = tuple(day for day in span if garden.is_harvest_day(self._date(day)))
        self.home_days = tuple(day for day in span if garden.at_home(self._date(day)))
        self.conditions_from = min([first_on, *(batch.sown_on for batch in self.begun)])
        self.growing: dict[tuple[str, str], GrowingPlace] = {}
        self.steps: list[Step] = []

    def candidates(self) -> Candidates:
        sowings = self._sowings()
        for g, group in enumerate(self.groups):
            for i, line in enumerate(self.lines):
                if line.crop.name in group.carried:
                    self._grow_new(i, g, sorted({sowing.transplant_day for sowing in sowings if sowing.line == i}))
        for b, batch in enumerate(self.begun):
            self._grow_begun(b, batch)
        planted = {(step.line, step.from_day) for step in self.steps if step.begun is None and step.number == 1}
        sowings = [sowing for sowing in sowings if (sowing.line, sowing.transplant_day) in planted]
        reach = self._reach(sowings)
        sowing_days = tuple(day for day in self.chore_days if self._may_be_sown(day))
        return Candidates(
            garden=self.garden,
            first_on=self.first_on,
            today=self.today,
            days=self.days,
            lines=self.lines,
            groups=self.groups,
            begun=self.begun,
            turnarounds=tuple(self._turnarounds()),
            sowings=tuple(sowing for sowing in sowings if sowing.sown_day in set(sowing_days)),
            steps=tuple(self.steps),
            chore_days=self.chore_days,
            sowing_days=sowing_days,
            reach=reach,
            sown_today=self._sown_today(),
            spent=self._spent(),
        )

    def _spent(self) -> dict[int, float]:
        garden, today_on = self.garden, self._date(self.today)
        if garden.chore_minutes_a_week is None:
            return {}
        decided = {self.begun[step.begun].id for step in self.steps if step.begun is not None}
        # A batch that cannot go on is cleared as soon as somebody is at home.
        days = (today_on + timedelta(number) for number in range(_SPARE_DAYS))
        over_on = next((day for day in days if garden.at_home(day)), None)
        batches = [
            replace(batch, cleared_on=over_on) if self._is_left_alone(batch, decided) else batch
            for batch in self.standing.begun
        ]
        return minutes_by_week(garden, batches, starts_on=self.first_on, today=today_on)

    def _is_left_alone(self, batch: Batch, decided: set[int]) -> bool:
        is_open = batch.cleared_on is None and batch.transplanted_on is not None and batch.state != "lost"
        return is_open and batch.id not in decided

    def _sown_today(self) -> dict[str, int]:
        sown: dict[str, int] = defaultdict(int)
        for batch in self.standing.begun:
            if self._day(batch.sown_on) == self.today:
                sown[batch.crop] += batch.plants
        return dict(sown)

    def _may_be_sown(self, day: int) -> bool:
        """Say whether a day is far enough from all that has been sown; a sowing of the same day may grow."""
        earlier = {self._day(batch.sown_on) for batch in self.standing.begun} - {day}
        return all(day >= other + self.garden.sowing.every_days for other in earlier)

    def _turnarounds(self) -> Iterable[Turnaround]:
        for batch in self.standing.begun:
            for hole in batch.holes if batch.transplanted_on is not None else ():
                heads = (each.on for each in batch.harvests if each.kind == "head" and hole in each.holes)
                left_on = next(heads, batch.cleared_on)
                if left_on is not None:
                    until_day = self._day(left_on) + self.garden.turnaround_days
                    if until_day > self.today:
                        yield Turnaround(tote=batch.tote, hole=hole, until_day=until_day)
        for freed in self.standing.freed:
            until_day = self._day(freed.on) + self.garden.turnaround_days
            if until_day > self.today:
                yield Turnaround(tote=freed.tote, hole=freed.hole, until_day=until_day)

    def _date(self, day: int) -> date:
        return self.first_on + timedelta(days=day)

    def _day(self, on: date) -> int:
        return (on - self.first_on).days

    def _groups(self, by_tote: bool) -> tuple[ToteGroup, ...]:
        alike: dict[object, list[Tote]] = defaultdict(list)
        for tote in self.garden.totes:
            rests = tuple(rest for rest in self.standing.rests if rest.tote == tote.name)
            look = (tote.system, tote.holes, tote.litres, tote.inside_cm, tote.stands, tote.top_up, rests)
            alike[(look, tote.name if by_tote else None)].append(tote)
        return tuple(self._group(totes) for totes in alike.values())

    def _group(self, totes: list[Tote]) -> ToteGroup:
        tote = totes[0]
        numbers = {line.crop.name: carried(line.crop, tote) for line in self.lines}
        return ToteGroup(
            totes=tuple(each.name for each in totes),
            system=tote.system,
            holes=tote.holes,
            area_m2=lid_area_m2(tote),
            litres=tote.litres,
            refilled=tote.system == "dwc" or tote.top_up != "never",
            spells=tuple(self._spells(tote)),
            carried={name: number for name, number in numbers.items() if number > 0},
            is_uniform=len(totes) == 1 or self._is_uniform(tote),
        )

    def _is_uniform(self, tote: Tote) -> bool:
        crops = {line.crop.name: line.crop for line in self.lines if carried(line.crop, tote) > 0}
        sizes = {carried(crop, tote) for crop in crops.values()} | ({tote.holes} if tote.system == "dwc" else set())
        is_apart = sizes != {1} and not all(share_reservoir(*pair) for pair in combinations(crops.values(), 2))
        return len(sizes) <= 1 and not is_apart

    def _spells(self, tote: Tote) -> Iterable[PlaceSpell]:
        """Cut the span where the tote moves or rests; a plant stays within one spell."""

        def place_on(day: int) -> str | None:
            on = self._date(day)
            resting = any(rest.tote == tote.name and rest.from_on <= on < rest.until_on for rest in self.standing.rests)
            return None if resting else self.garden.place_of(tote, on)

        first = min([0, *(self._day(batch.sown_on) for batch in self.standing.begun)])
        cuts = [first, *(day for day in range(first + 1, self.end) if place_on(day) != place_on(day - 1)), self.end]
        for start, end in pairwise(cuts):
            place = place_on(start)
            if place is not None and end > start:
                yield PlaceSpell(place=place, from_day=start, until_day=end)

    def _conditions(self, place: str) -> Conditions:
        where = self.garden.nursery.place if place == "" else self.garden.place(place)
        days = (self.first_on - self.conditions_from).days + self.days + _SPARE_DAYS
        return conditions_at(where, self.conditions_from, days, self.garden.sky)

    def _growing(self, crop: Crop, place: str) -> GrowingPlace:
        key = (crop.name, place)
        if key not in self.growing:
            self.growing[key] = GrowingPlace(crop.at(place), self._conditions(place))
        return self.growing[key]

    def _sowings(self) -> list[Sowing]:
        nursery = self._conditions("")
        windows: dict[tuple[str, int], tuple[int, int] | None] = {}
        sowings = []
        for i, line in enumerate(self.lines):
            for day in self.chore_days if line.want in self.wanted else ():
                key = (line.crop.name, day)
                if key not in windows:
                    windows[key] = self._window(line.crop, day, nursery)
                window = windows[key]
                if window is not None:
                    days = (other for other in self.chore_days if window[0] <= other <= window[1])
                    sowings += [Sowing(line=i, sown_day=day, transplant_day=other) for other in days]
        return sowings

    def _window(
        self, crop: Crop, day: int, nursery: Conditions, emerged_on: date | None = None
    ) -> tuple[int, int] | None:
        window = transplant_window(crop, self._date(day), nursery, emerged_on=emerged_on)
        return None if window is None else (self._day(window[0]), self._day(window[1]))

    def _grow_new(self, i: int, g: int, transplant_days: list[int]) -> None:
        crop, is_still = self.lines[i].crop, self.groups[g].system == "kratky"
        seen: set[PlantState] = set()
        for day in transplant_days:
            spell = self._spell(g, day)
            if spell is not None:
                matters = is_still or self._growing(crop, spell.place).may_bolt
                start = PlantState(
                    line=i, group=g, begun=None, entered_day=day if matters else -1, harvests=0, last_day=day
                )
                self._walk(start, spell, seen)

    def _grow_begun(self, b: int, batch: Batch) -> None:
        i = next(i for i, line in enumerate(self.lines) if (line.crop.name, line.want) == (batch.crop, batch.want))
        if batch.transplanted_on is None:
            self._grow_waiting(i, b, batch)
            return
        g = self.group_of[batch.tote]
        entered = self._day(batch.transplanted_on)
        number, last = 0, entered
        if self.lines[i].crop.harvest.kind != "head" and batch.harvests:
            number, last = batch.harvests[-1].number, self._day(batch.harvests[-1].on)
        # Plants may still be harvested and cleared on the day their tote moves or their place closes.
        now = max(entered, self.today)
        spells = (each for each in self.groups[g].spells if each.place == batch.place)
        spell = next((each for each in spells if each.from_day <= now <= each.until_day), None)
        if spell is not None:
            start = PlantState(line=i, group=g, begun=b, entered_day=entered, harvests=number, last_day=last)
            self._clear(start, spell)
            self._walk(start, spell, set())

    def _grow_waiting(self, i: int, b: int, batch: Batch) -> None:
        """Add every way to go on for a batch in the nursery: into each tote that holds all of it, on each day.

        A batch that is late is planted on the first chore day.
        """
        emerged_on = batch.emerges_on if "emerged" in batch.recorded else None
        window = self._window(self.lines[i].crop, self._day(batch.sown_on), self._conditions(""), emerged_on)
        for day in self.chore_days:
            if window is None or not window[0] <= day <= max(window[1], self.chore_days[0]):
                continue
            for g, group in enumerate(self.groups):
                spell = self._spell(g, day)
                if spell is not None and group.carried.get(batch.crop, 0) >= batch.plants:
                    start = PlantState(line=i, group=g, begun=b, entered_day=day, harvests=0, last_day=day)
                    self._clear(start, spell)
                    self._walk(start, spell, set())

    def _spell(self, g: int, day: int) -> PlaceSpell | None:
        return next((spell for spell in self.groups[g].spells if spell.from_day <= day < spell.until_day), None)

    def _clear(self, start: PlantState, spell: PlaceSpell) -> None:
        """Add the step of plants that are cleared without another harvest, on the next day at home."""
        day = next((day for day in self.home_days if start.last_day < day <= spell.until_day), None)
        if day is not None:
            self._add(start, day, 0, 0.0, day)

    def _walk(self, start: PlantState, spell: PlaceSpell, seen: set[PlantState]) -> None:
        """Add every step from a state, and from the states that these steps lead to."""
        crop = self.lines[start.line].crop
        if start.harvests >= crop.harvest.most or start in seen:
            return
        seen.add(start)
        growing = self._growing(crop, spell.place)
        last_on, number = self._date(start.last_day), start.harvests + 1
        due_on = growing.first_due(last_on) if start.harvests == 0 else growing.next_due(last_on)
        if due_on is None:
            return
        # Where plants of several transplants are counted together nothing bolts, so any day serves for the transplant.
        is_dated = start.entered_day >= 0 or start.begun is not None
        latest_on = growing.latest(due_on, self._date(start.entered_day) if is_dated else last_on)
        if latest_on is None:
            return
        due, latest = self._day(due_on), self._day(latest_on)
        if start.begun is not None:
            # A begun batch that is late, or due while nobody is there, is harvested on the first day there is.
            bolts_on = growing.bolts_on(self._date(start.entered_day))
            first = next((day for day in self.harvest_days if day >= due), None)
            if first is not None and (bolts_on is None or self._date(first) < bolts_on):
                latest = max(latest, first)
        if spell.until_day < self.days or self.garden.clear_by is not None:
            latest = min(latest, spell.until_day)
        share = self.groups[start.group].area_m2 / self.groups[start.group].carried[crop.name]
        for day in (day for day in self.harvest_days if due <= day <= min(latest, spell.until_day)):
            grams = growing.grams(number, last_on, self._date(day), share)
            step = self._add(start, day, number, grams, latest)
            if number < crop.harvest.most:
                self._walk(step.end, spell, seen)

    def _add(self, start: PlantState, day: int, number: int, grams: float, latest: int) -> Step:
        step = Step(
            line=start.line,
            group=start.group,
            begun=start.begun,
            entered_day=start.entered_day,
            from_day=start.last_day,
            to_day=day,
            after=start.harvests,
            number=number,
            grams=grams,
            latest_day=latest,
        )
        self.steps.append(step)
        return step

    def _reach(self, sowings: list[Sowing]) -> dict[str, int | None]:
        """Give the first possible harvest day by want: of plants sown on the next chore day, or of a begun batch."""
        first_sown = {i: min(s.sown_day for s in sowings if s.line == i) for i in {s.line for s in sowings}}
        reachable = {(s.line, s.transplant_day) for s in sowings if s.sown_day == first_sown[s.line]}
        reach: dict[str, int | None] = {want.name: None for want in self.garden.wants}
        for step in self.steps:
            want = self.lines[step.line].want
            fresh = step.number == 1 and (step.line, step.from_day) in reachable
            if want in reach and (fresh or (step.number and step.begun is not None)):
                soonest = reach[want]
                reach[want] = step.to_day if soonest is None else min(soonest, step.to_day)
        return reach
