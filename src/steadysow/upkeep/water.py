"""The water of each tote, day by day: filled in, drunk, topped up and poured away, and what has to be done for it.

Takes a garden, its plan and what the journal tells of totes; gives a `WaterBook` for each filling of a tote.  Hides the
levels, the days on which somebody can see to them, and the rule of roots that hang in air.  Books are kept in whole
millilitres, so that they balance exactly.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from itertools import groupby, pairwise
from typing import Literal

from steadysow.growth.daylight import conditions_at
from steadysow.growth.uptake import GrowthSpell, litres_by_day, spells
from steadysow.inputs.crops import Crop, System
from steadysow.inputs.garden import Garden, Tote, lid_area_m2
from steadysow.inputs.journal import Fact
from steadysow.plan.batch import Batch
from steadysow.plan.plan import Plan
from steadysow.upkeep.fillings import Filling, list_fillings

RefillKind = Literal["fill", "top-up", "change"]

# A still tote is never lifted by more at a time once roots hang in air, which may injure the plant: [kratky-2004] [cm].
MOST_RISE_CM = 2.0

# Of a full tote, what it is not to fall below.  A still one: [kratky-2004] stops when less than a tenth is left; with a
# pump, estimate: a quarter keeps the air stone covered.
LEAST_SHARE: Mapping[System, float] = {"dwc": 0.25, "kratky": 0.1}

# Of a full tote, what it is topped up at.  Estimates: at three quarters what plants leave of the nutrient is a third
# stronger, which fits within the ideal range of most greens; at a third a still tote has the air gap that it lives by.
LOW_SHARE: Mapping[System, float] = {"dwc": 0.75, "kratky": 1 / 3}

# Estimate: solution that is poured away within this part of the days between changes is not renewed any more.
SPARED_SHARE = 0.25

_ONE_DAY = timedelta(days=1)

# Keeps a whole number of millilitres from being rounded down.
_DUST = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterDay:
    """One day of a tote; all in millilitres [mL].

    What was left the evening before, filled in, topped up and corrected is what is drained, used and left.

    Attributes
    ----------
    on
        The day.
    drained_ml, filled_ml, topped_up_ml, used_ml
        Poured away, filled in with nutrient, added to what is there, drunk.
    corrected_ml
        What a measured level, or more water than there was room for, showed to be there besides, or not to be there
        (then below 0).
    left_ml
        What is in the tote in the evening.
    """

    on: date
    drained_ml: int = 0
    filled_ml: int = 0
    corrected_ml: int = 0
    topped_up_ml: int = 0
    used_ml: int = 0
    left_ml: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Refill:
    """Water that goes into a tote.

    Attributes
    ----------
    kind, number
        The filling at its beginning, a top-up, or a change of the solution; which one of its kind in this filling.
    on
        The day.
    ml
        How much [mL].
    is_fed
        Whether nutrient goes with it.
    is_recorded
        Whether the journal tells of it.
    """

    kind: RefillKind
    number: int
    on: date
    ml: int
    is_fed: bool
    is_recorded: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Shortfall:
    """Days on which a tote would fall below its least level.

    Attributes
    ----------
    from_on, until_on
        The first such day, and the first after the last.
    missing_ml
        What would have to be added in that time for the level not to fall below its least [mL].
    is_away
        Whether nobody is at home then.
    """

    from_on: date
    until_on: date
    missing_ml: int
    is_away: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterBook:
    """The water of one filling, from the day its tote is filled until the day it is emptied, that day included.

    `needed_ml` is what its plants would drink if the tote never ran dry [mL].
    """

    filling: Filling
    needed_ml: int
    days: tuple[WaterDay, ...]
    refills: tuple[Refill, ...]
    shortfalls: tuple[Shortfall, ...]

    @property
    def used_ml(self) -> int:
        """What its plants drink in all [mL]."""
        return sum(day.used_ml for day in self.days)


def keep_books(garden: Garden, plan: Plan, facts: Iterable[Fact] = ()) -> tuple[WaterBook, ...]:
    """Keep the books of every filling of a plan, tote by tote.

    Where the journal is silent, what is due is taken to be done on its day.

    Parameters
    ----------
    garden, crops, plan
        The garden, and the plan with the journal applied.
    facts
        What the journal tells of totes: scrubbed, fed, topped-up and measured; those of one day in the order in which
        they happened, which is taken to be that of typing.
    """
    fillings = list_fillings(garden, plan)
    if not fillings:
        return ()
    days = _Days.between(garden, min(each.from_on for each in fillings), max(each.until_on for each in fillings))
    told: dict[str, list[Fact]] = defaultdict(list)
    for fact in facts:
        is_level = fact.kind == "measured" and fact.what == "level" and fact.value is not None
        if is_level or fact.kind in ("scrubbed", "fed", "topped-up"):
            told[fact.tote].append(fact)
    batches = {batch.id: batch for batch in plan.batches}
    books = []
    for filling in fillings:
        uses = _uses_ml(garden, [batches[number] for number in filling.batches], filling)
        own = (fact for fact in told[filling.tote] if filling.from_on <= fact.on < filling.until_on)
        within = sorted(own, key=lambda fact: (fact.on, fact.number))
        books.append(_Keeping(garden=garden, filling=filling, uses=uses, days=days, facts=within).book())
    return tuple(books)


def levels_on(books: Iterable[WaterBook], on: date) -> dict[str, float]:
    """Give the water of each tote that is in use on a day [L]: what stands in it before that day's work is done.

    What was measured or told that day counts; what is only due has not been done yet.
    """
    return {
        book.filling.tote: (before.left_ml + day.corrected_ml) / 1000
        for book in books
        for before, day in pairwise((WaterDay(on=book.filling.from_on, left_ml=book.days[0].filled_ml), *book.days))
        if day.on == on and on < book.filling.until_on
    }


def most_rise_litres(tote: Tote) -> float:
    """Give the water that lifts the level of a still tote as far as its roots bear [L]; its walls taken as straight."""
    return 10 * MOST_RISE_CM * lid_area_m2(tote)


def litres_at(tote: Tote, level: float) -> float:
    """Give the water of a tote by its level [L]; the inverse of `level_cm`, from nothing up to what it holds."""
    return max(0.0, min(tote.litres, 10 * level * lid_area_m2(tote)))


# What plants drink.


def _uses_ml(garden: Garden, batches: Sequence[Batch], filling: Filling) -> dict[date, int]:
    litres: dict[date, float] = defaultdict(float)
    place = next((place for place in garden.places if place.name == filling.place), None)
    span_days = (filling.until_on - filling.from_on).days
    # A place that the garden knows no more, of batches long past, tells nothing of its light.
    light = (1.0,) * span_days
    if place is not None:
        light = conditions_at(place, filling.from_on, span_days, garden.sky).dli_mol
    mean = sum(light) / span_days if span_days else 1.0
    # What such batches drank, of a crop that is known no more, is not known either.
    for batch in (batch for batch in batches if batch.crop in garden.crops):
        here = [stay for stay in batch.stays if stay.tote == filling.tote]
        for spell, plants in _spells_of(garden.crops[batch.crop], batch):
            on = [spell.from_on + number * _ONE_DAY for number in range((spell.until_on - spell.from_on).days)]
            # Of its days in another tote no more is asked than that its growth went on.
            days = [(day - filling.from_on).days for day in on]
            lit = [light[day] if 0 <= day < span_days else mean for day in days]
            for day, each in zip(on, litres_by_day(spell, lit), strict=True):
                within = filling.from_on <= day < filling.until_on
                if within and any(stay.from_on <= day < stay.until_on for stay in here):
                    litres[day] += plants * each
    return {on: round(1000 * each) for on, each in litres.items()}


def _spells_of(crop: Crop, batch: Batch) -> Iterator[tuple[GrowthSpell, int]]:
    """Give the spells of growth of a batch's plants, and how many plants have each."""
    assert batch.transplanted_on is not None
    assert batch.cleared_on is not None
    entered_on, left_on = batch.transplanted_on, batch.cleared_on
    # Heads that were taken before the rest moved here drank elsewhere.
    heads = [harvest for harvest in batch.harvests if harvest.kind == "head" and harvest.holes]
    for head in heads:
        taken = [(head.on, head.grams / head.plants)]
        yield from ((spell, head.plants) for spell in spells(crop, entered_on, head.on, taken))
    others = batch.plants_left
    if others <= 0:
        return
    cuts = [(cut.on, cut.grams / cut.plants) for cut in batch.harvests if cut.kind != "head" and cut.plants]
    yield from ((spell, others) for spell in spells(crop, entered_on, left_on, cuts))


# Days on which somebody sees to a tote.


@dataclass(frozen=True, slots=True, kw_only=True)
class _Days:
    """Which days of a span somebody is at home, and on which there is work anyway or somebody is about to leave.

    `later_home` and `later_work` give for each day the next such day after it.
    """

    first_on: date
    home: tuple[bool, ...]
    work: tuple[bool, ...]
    later_home: tuple[date, ...]
    later_work: tuple[date, ...]

    @classmethod
    def between(cls, garden: Garden, first_on: date, until_on: date) -> _Days:
        """Give the days of a span."""
        span = [first_on + number * _ONE_DAY for number in range((until_on - first_on).days + 1)]
        home = [garden.at_home(day) for day in span]
        leaving = {away.from_on - _ONE_DAY for away in garden.away}
        work = [garden.at_home(day) and (garden.is_work_day(day) or day in leaving) for day in span]
        return cls(
            first_on=first_on,
            home=tuple(home),
            work=tuple(work),
            later_home=_later(span, home),
            later_work=_later(span, work),
        )

    def index(self, on: date) -> int:
        """Give the place of a day in the tuples."""
        return (on - self.first_on).days


def _later(span: Sequence[date], is_one: Sequence[bool]) -> tuple[date, ...]:
    """Give for each day the next day after it that is one; the day after the last where there is none."""
    later = [span[-1] + _ONE_DAY]
    for number in range(len(span) - 1, 0, -1):
        later.append(span[number] if is_one[number] else later[-1])
    return tuple(reversed(later))


# One filling, day by day.


@dataclass(slots=True, kw_only=True)
class _Keeping:
    """The book of one filling while it is kept."""

    garden: Garden
    filling: Filling
    uses: Mapping[date, int]
    days: _Days
    facts: Sequence[Fact]
    level: int = 0
    kept: list[WaterDay] = field(default_factory=list)
    refills: list[Refill] = field(default_factory=list)
    renewed_on: date = date.min
    fed_on: date = date.min

    def book(self) -> WaterBook:
        """Keep it from the first day to the last."""
        filling = self.filling
        span = [filling.from_on + number * _ONE_DAY for number in range((filling.until_on - filling.from_on).days)]
        told = {on: tuple(facts) for on, facts in groupby(self.facts, lambda fact: fact.on)}
        for on in span:
            day = self._seen_to(on, told.get(on, ()))
            used = min(self.level, self.uses.get(on, 0))
            self.level -= used
            self.kept.append(replace(day, used_ml=used, left_ml=self.level))
        # What is out on the day it went in was filled for all the same.
        last = WaterDay(on=filling.until_on) if span else self._seen_to(filling.from_on, ())
        self.kept.append(replace(last, drained_ml=self.level))
        return WaterBook(
            filling=filling,
            needed_ml=sum(self.uses.values()),
            days=tuple(self.kept),
            refills=tuple(self.refills),
            shortfalls=tuple(self._shortfalls(span)),
        )

    @property
    def tote(self) -> Tote:
        return self.garden.tote(self.filling.tote)

    @property
    def full(self) -> int:
        return round(1000 * self.tote.litres)

    @property
    def least(self) -> int:
        return round(LEAST_SHARE[self.tote.system] * self.full)

    def _seen_to(self, on: date, facts: Sequence[Fact]) -> WaterDay:
        day, kinds = WaterDay(on=on), {fact.kind for fact in facts}
        if on == self.filling.from_on:
            day = replace(day, filled_ml=self._renew("fill", on, is_recorded="fed" in kinds))
        for fact in facts:
            # Whoever fills or changes it feeds it, and does so once a day.
            if fact.kind == "measured":
                day = self._measured(day, fact)
            elif fact.kind == "topped-up" or (fact.kind == "fed" and not day.filled_ml and "scrubbed" not in kinds):
                day = self._topped_up(day, fact)
            elif fact.kind == "scrubbed" and not day.filled_ml:
                drained = self.level
                day = replace(day, drained_ml=drained, filled_ml=self._renew("change", on, is_recorded=True))
        # To measure is not to do anything about it.
        if kinds - {"measured"} or on == self.filling.from_on or not self.days.home[self.days.index(on)]:
            return day
        if self._change_is_due(on) and not self._is_answered(on, ("scrubbed",)):
            drained = self.level
            return replace(day, drained_ml=drained, filled_ml=self._renew("change", on))
        if self._top_up_is_due(on) and not self._is_answered(on, ("topped-up", "fed", "scrubbed")):
            is_fed = self.tote.system == "kratky" and on >= self._due_on(self.fed_on)
            return replace(day, topped_up_ml=self._top_up(on, self._room(), is_fed=is_fed))
        return day

    def _measured(self, day: WaterDay, fact: Fact) -> WaterDay:
        assert fact.value is not None
        return self._corrected(day, round(1000 * litres_at(self.tote, fact.value)))

    def _topped_up(self, day: WaterDay, fact: Fact) -> WaterDay:
        if fact.litres is None:
            added = max(0, self._room() - (day.topped_up_ml if self.tote.system == "kratky" else 0))
            is_known = any(each.on == fact.on and (each.is_fed or fact.kind != "fed") for each in self.refills)
            if added == 0 and is_known:
                # Told a second time.
                return day
        else:
            added = min(round(1000 * fact.litres), self.full)
            # What took more than there was room for was emptier than reckoned.
            day = self._corrected(day, min(self.level, self.full - added))
        added = self._top_up(fact.on, added, is_fed=fact.kind == "fed", is_recorded=True)
        return replace(day, topped_up_ml=day.topped_up_ml + added)

    def _corrected(self, day: WaterDay, level: int) -> WaterDay:
        corrected, self.level = level - self.level, level
        return replace(day, corrected_ml=day.corrected_ml + corrected)

    def _renew(self, kind: RefillKind, on: date, *, is_recorded: bool = False) -> int:
        """Pour away what is there and fill it full."""
        self._refill(kind, on, self.full, is_fed=True, is_recorded=is_recorded)
        self.level, self.renewed_on = self.full, on
        return self.full

    def _top_up(self, on: date, ml: int, *, is_fed: bool, is_recorded: bool = False) -> int:
        self._refill("top-up", on, ml, is_fed=is_fed, is_recorded=is_recorded)
        self.level += ml
        return ml

    def _refill(self, kind: RefillKind, on: date, ml: int, *, is_fed: bool, is_recorded: bool) -> None:
        number = 1 + sum(refill.kind == kind for refill in self.refills)
        self.refills.append(Refill(kind=kind, number=number, on=on, ml=ml, is_fed=is_fed, is_recorded=is_recorded))
        if is_fed:
            self.fed_on = on

    def _room(self) -> int:
        """Give how much is to be added: up to the line, but a still tote no more than its roots bear."""
        room = self.full - self.level
        return room if self.tote.system == "dwc" else min(room, math.floor(1000 * most_rise_litres(self.tote) + _DUST))

    def _horizon(self, on: date) -> date:
        index = self.days.index(on)
        return self.days.later_work[index] if self.days.work[index] else self.days.later_home[index]

    def _top_up_is_due(self, on: date) -> bool:
        """Say whether the level would fall too low before somebody sees to it again.

        On days of work too low is what a tote is topped up at; on others, and where it is emptied before, its least.
        """
        tote = self.tote
        if tote.system == "kratky" and tote.top_up == "never":
            return False
        horizon = self._horizon(on)
        is_work = self.days.work[self.days.index(on)] and horizon < self.filling.until_on
        low = round(LOW_SHARE[tote.system] * self.full) if is_work else self.least
        return self._left_before(on, horizon) < low and self._room() > 0

    def _left_before(self, on: date, horizon: date) -> int:
        """Give what is left on the morning of a later day if nobody adds anything; below 0 where it runs dry."""
        days = (min(horizon, self.filling.until_on) - on).days
        return self.level - sum(self.uses.get(on + number * _ONE_DAY, 0) for number in range(days))

    def _change_is_due(self, on: date) -> bool:
        """Say whether this is the last day of work on which the solution can be changed in time."""
        due_on = self._due_on(self.renewed_on)
        if self.tote.system != "dwc" or not self.days.work[self.days.index(on)]:
            return False
        return self._horizon(on) > due_on

    def _due_on(self, last_on: date) -> date:
        """Give the day by which a solution is to be renewed or fed; the last of all where it is poured away soon."""
        every = self.garden.change_every_days
        due_on = last_on + every * _ONE_DAY
        is_spared = self.filling.until_on <= due_on + int(SPARED_SHARE * every) * _ONE_DAY
        return date.max if is_spared else due_on

    def _is_answered(self, on: date, kinds: tuple[str, ...]) -> bool:
        """Say whether the journal tells of the work, done a little later than it was due."""
        return any(fact.kind in kinds and on < fact.on < self._horizon(on) for fact in self.facts)

    def _shortfalls(self, span: Sequence[date]) -> Iterator[Shortfall]:
        """Give the spans of days that end below the least level."""
        dry = 0
        missing: list[tuple[date, int]] = []
        for on, day in zip(span, self.kept, strict=False):
            if day.filled_ml or day.topped_up_ml or day.corrected_ml > 0:
                dry = 0
            # What could not be drunk is missing as well.
            dry += self.uses.get(on, 0) - day.used_ml
            missing.append((on, self.least - day.left_ml + dry))
        for is_short, each in groupby(missing, key=lambda pair: pair[1] > 0):
            days = list(each)
            if is_short:
                yield Shortfall(
                    from_on=days[0][0],
                    until_on=days[-1][0] + _ONE_DAY,
                    missing_ml=max(ml for _, ml in days),
                    is_away=not self.garden.at_home(days[0][0]),
                )
