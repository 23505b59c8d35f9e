"""The water of each tote, day by day: what is filled in, drunk, topped up and poured away, and when.

Takes a garden, its plan and the journal's facts about totes; gives a `WaterBook` for each filling of a tote.  Hides
when a tote is topped up or its solution changed, and the rule for roots that hang in air.  Books are kept in whole
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

from steadysow.inputs.crops import System
from steadysow.inputs.garden import Garden, Tote, lid_area_m2
from steadysow.inputs.journal import Fact
from steadysow.plan.plan import Plan
from steadysow.upkeep.days_at_home import DaysAtHome
from steadysow.upkeep.drinking import drunk_ml
from steadysow.upkeep.fillings import Filling, list_fillings

RefillKind = Literal["fill", "top-up", "change"]

# Once roots hang in air, a greater rise at a time may injure the plant: [kratky-2004] [cm].
MOST_RISE_CM = 2.0

# The least share of a full tote.  Still tote: [kratky-2004] stops when less than a tenth is left.  With a pump,
# estimate: a quarter keeps the air stone covered.
LEAST_SHARE: Mapping[System, float] = {"dwc": 0.25, "kratky": 0.1}

# The share of a full tote at which it is topped up.  Estimates: at three quarters the nutrient that is left is a third
# stronger, which is still ideal for most greens; at a third a still tote keeps the air gap that its roots need.
LOW_SHARE: Mapping[System, float] = {"dwc": 0.75, "kratky": 1 / 3}

# Estimate: a solution is not renewed if it is poured away within this share of the days between changes.
SPARED_SHARE = 0.25

_ONE_DAY = timedelta(days=1)

# Keeps a whole number of millilitres from being rounded down to one less.
_DUST = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterDay:
    """One day of a tote, in millilitres [mL].

    What was left the evening before, filled in, topped up and corrected equals what is drained, used and left.

    Attributes
    ----------
    on
        The day.
    drained_ml, filled_ml, topped_up_ml, used_ml
        Water poured away; filled in with nutrient; added to what is there; drunk by the plants.
    corrected_ml
        How much more water there was than the book said, by a measured level or by a top-up that was greater than the
        room; below 0 if there was less.
    left_ml
        Water in the tote in the evening.
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
        Whether it fills the tote at the beginning, tops it up or changes the solution; its number among those of its
        kind in this filling, from 1.
    on
        The day.
    ml
        How much [mL].
    is_fed
        Whether nutrient goes with it.
    is_recorded
        Whether the journal has it.
    """

    kind: RefillKind
    number: int
    on: date
    ml: int
    is_fed: bool
    is_recorded: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Shortfall:
    """Days on which a tote falls below its least level.

    Attributes
    ----------
    from_on, until_on
        The first such day, and the day after the last.
    missing_ml
        How much must be added in that time to keep the least level [mL].
    is_away
        Whether nobody is at home on the first of these days.
    """

    from_on: date
    until_on: date
    missing_ml: int
    is_away: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterBook:
    """The water of one filling.

    Attributes
    ----------
    filling
        The filling.
    needed_ml
        What its plants would drink if the tote never ran dry [mL].
    days
        Each day from the day the tote is filled to the day it is emptied, that day included.
    refills
        All water that goes in, in the order of days.
    shortfalls
        The spans in which the water is not enough.
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

    Where the journal has no fact, work is assumed to be done on the day it is due.

    Parameters
    ----------
    garden
        The garden.
    plan
        The plan with the journal applied.
    facts
        The journal's facts about totes: scrubbed, fed, topped-up and measured.  Facts of one day are assumed to have
        happened in the order of their numbers.
    """
    fillings = list_fillings(garden, plan)
    if not fillings:
        return ()
    days = DaysAtHome.between(garden, min(each.from_on for each in fillings), max(each.until_on for each in fillings))
    by_tote: dict[str, list[Fact]] = defaultdict(list)
    for fact in facts:
        is_level = fact.kind == "measured" and fact.what == "level" and fact.value is not None
        if is_level or fact.kind in ("scrubbed", "fed", "topped-up"):
            by_tote[fact.tote].append(fact)
    batches = {batch.id: batch for batch in plan.batches}
    books = []
    for filling in fillings:
        uses = drunk_ml(garden, [batches[number] for number in filling.batches], filling)
        own = (fact for fact in by_tote[filling.tote] if filling.from_on <= fact.on < filling.until_on)
        within = sorted(own, key=lambda fact: (fact.on, fact.number))
        books.append(_Keeping(garden=garden, filling=filling, uses=uses, days=days, facts=within).book())
    return tuple(books)


def levels_on(books: Iterable[WaterBook], on: date) -> dict[str, float]:
    """Give the water in each tote that is in use on a day, before that day's work [L].

    A level that was measured on that day counts.  Work that is due on it does not.
    """
    return {
        book.filling.tote: (before.left_ml + day.corrected_ml) / 1000
        for book in books
        for before, day in pairwise((WaterDay(on=book.filling.from_on, left_ml=book.days[0].filled_ml), *book.days))
        if day.on == on and on < book.filling.until_on
    }


def most_rise_litres(tote: Tote) -> float:
    """Give the water that raises a still tote by `MOST_RISE_CM` [L]; its walls are assumed to be straight."""
    return 10 * MOST_RISE_CM * lid_area_m2(tote)


def litres_at(tote: Tote, level: float) -> float:
    """Give the water in a tote by its level [L], from 0 to what the tote holds; the inverse of `level_cm`."""
    return max(0.0, min(tote.litres, 10 * level * lid_area_m2(tote)))


# One filling, day by day.


@dataclass(slots=True, kw_only=True)
class _Keeping:
    """The book of one filling while it is being written."""

    garden: Garden
    filling: Filling
    uses: Mapping[date, int]
    days: DaysAtHome
    facts: Sequence[Fact]
    level: int = 0
    kept: list[WaterDay] = field(default_factory=list)
    refills: list[Refill] = field(default_factory=list)
    renewed_on: date = date.min
    fed_on: date = date.min

    def book(self) -> WaterBook:
        """Keep the book from the first day to the last."""
        filling = self.filling
        span = [filling.from_on + number * _ONE_DAY for number in range((filling.until_on - filling.from_on).days)]
        by_day = {on: tuple(facts) for on, facts in groupby(self.facts, lambda fact: fact.on)}
        for on in span:
            day = self._seen_to(on, by_day.get(on, ()))
            used = min(self.level, self.uses.get(on, 0))
            self.level -= used
            self.kept.append(replace(day, used_ml=used, left_ml=self.level))
        # A tote was filled even if its plants were lost on that day.
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
            # To fill a tote or change its solution is to feed it, and nobody does so twice a day.
            if fact.kind == "measured":
                day = self._measured(day, fact)
            elif fact.kind == "topped-up" or (fact.kind == "fed" and not day.filled_ml and "scrubbed" not in kinds):
                day = self._topped_up(day, fact)
            elif fact.kind == "scrubbed" and not day.filled_ml:
                drained = self.level
                day = replace(day, drained_ml=drained, filled_ml=self._renew("change", on, is_recorded=True))
        # A measurement alone does not do the work that is due.
        if kinds - {"measured"} or on == self.filling.from_on or not self.days.is_home(on):
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
                # The journal has it twice.
                return day
        else:
            added = min(round(1000 * fact.litres), self.full)
            # A tote that took more than its room was emptier than the book said.
            day = self._corrected(day, min(self.level, self.full - added))
        added = self._top_up(fact.on, added, is_fed=fact.kind == "fed", is_recorded=True)
        return replace(day, topped_up_ml=day.topped_up_ml + added)

    def _corrected(self, day: WaterDay, level: int) -> WaterDay:
        corrected, self.level = level - self.level, level
        return replace(day, corrected_ml=day.corrected_ml + corrected)

    def _renew(self, kind: RefillKind, on: date, *, is_recorded: bool = False) -> int:
        """Pour away what is there, fill the tote, and give the water that went in."""
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
        """Give how much to add: up to the line, and in a still tote no more than its roots can take."""
        room = self.full - self.level
        return room if self.tote.system == "dwc" else min(room, math.floor(1000 * most_rise_litres(self.tote) + _DUST))

    def _top_up_is_due(self, on: date) -> bool:
        """Say whether the level would fall too low before somebody sees to the tote again.

        On a day of work, too low means below `LOW_SHARE`.  On other days, and if the tote is emptied before the next
        visit, it means below `LEAST_SHARE`.
        """
        tote = self.tote
        if tote.system == "kratky" and tote.top_up == "never":
            return False
        next_on = self.days.next_visit(on)
        is_work = self.days.is_work(on) and next_on < self.filling.until_on
        low = round(LOW_SHARE[tote.system] * self.full) if is_work else self.least
        return self._left_before(on, next_on) < low and self._room() > 0

    def _left_before(self, on: date, next_on: date) -> int:
        """Give what is left on the morning of a later day if nobody adds water; below 0 if the tote runs dry."""
        days = (min(next_on, self.filling.until_on) - on).days
        return self.level - sum(self.uses.get(on + number * _ONE_DAY, 0) for number in range(days))

    def _change_is_due(self, on: date) -> bool:
        """Say whether this is the last day of work on which the solution can still be changed in time."""
        due_on = self._due_on(self.renewed_on)
        if self.tote.system != "dwc" or not self.days.is_work(on):
            return False
        return self.days.next_visit(on) > due_on

    def _due_on(self, last_on: date) -> date:
        """Give the day by which to renew or feed a solution; `date.max` if it is poured away soon after."""
        every = self.garden.change_every_days
        due_on = last_on + every * _ONE_DAY
        is_spared = self.filling.until_on <= due_on + int(SPARED_SHARE * every) * _ONE_DAY
        return date.max if is_spared else due_on

    def _is_answered(self, on: date, kinds: tuple[str, ...]) -> bool:
        """Say whether the journal has the work for a later day, before the next visit."""
        return any(fact.kind in kinds and on < fact.on < self.days.next_visit(on) for fact in self.facts)

    def _shortfalls(self, span: Sequence[date]) -> Iterator[Shortfall]:
        """Give the spans of days on which the tote ends below its least level."""
        dry = 0
        missing: list[tuple[date, int]] = []
        for on, day in zip(span, self.kept, strict=False):
            if day.filled_ml or day.topped_up_ml or day.corrected_ml > 0:
                dry = 0
            # Water that plants needed and did not get is missing too.
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
