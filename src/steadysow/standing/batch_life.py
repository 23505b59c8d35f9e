"""One batch as it stands: what the journal says about it and, where the journal is silent, what was planned.

Takes the batch of the plan in force, if there is one, and the facts about it; gives the batch cut down to what has
happened, and the holes that lost plants have freed.  Hides how facts and plan are joined: a late stage makes the later
ones as late, and a fact that shows plants still standing corrects an earlier guess.  An impossible fact is a fault that
says why.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import NoReturn

from steadysow.amounts import counted, day_text
from steadysow.errors import Fault, InputFaults
from steadysow.growth.daylight import conditions_at
from steadysow.growth.timeline import emerges_on, transplant_window
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden
from steadysow.inputs.journal import JOURNAL_FILE, KINDS, Fact, FactKind
from steadysow.plan.batch import Batch, Harvest, Stay
from steadysow.standing.harvests import (
    DayHarvest,
    answered,
    grams_of_plants,
    harvests_by_day,
    holes_now,
    is_elsewhere,
)

# How many days after sowing an emergence is looked for [d].
SEEDBED_DAYS = 400

# Facts that say where a batch stands.
_PLACING = {"transplanted", "moved"}

# Facts about plants that stand in a tote.
STANDING_KINDS = ("harvested", "lost", "bolted", "cleared", "moved")

# An assumed transplant comes after the recorded losses of its day, since these were losses of seedlings.
_AFTER_LOSSES = KINDS.index("cleared")

_NO_LAG, _ONE_DAY = timedelta(0), timedelta(1)

# What happens to a batch: a fact, a recorded harvest, a planned harvest, or a planned transplant or clearing.
_Event = Fact | DayHarvest | Harvest | str


@dataclass(frozen=True, slots=True, kw_only=True)
class Freed:
    """A hole whose plant was lost, or moved away, on a day."""

    tote: str
    hole: int
    on: date


def batch_as_recorded(
    planned: Batch | None, facts: Sequence[Fact], *, garden: Garden, crop: Crop, today: date
) -> tuple[Batch | None, tuple[Freed, ...]]:
    """Give a batch as it stands on a day.

    Parameters
    ----------
    planned
        The batch of the plan in force, or ``None`` if the plan does not have it.
    facts
        The facts about it up to today; at least one.
    garden, crop
        The garden, and the batch's crop.
    today
        Today. What is planned for today and not recorded has not happened yet.

    Returns
    -------
    tuple
        The batch, or ``None`` if it was never sown; and the holes that were freed before it was cleared.

    Raises
    ------
    InputFaults
        If a fact is not possible.
    """
    return _BatchLife(planned, facts, garden, crop, today).lived()


def sowing_came_from_journal(batch: Batch) -> bool:
    """Say whether a plan took a batch's sowing from the journal; if that fact was taken back, it was never sown."""
    return "sown" in batch.recorded


def refuse_fact(fact: Fact, wrong: str, write: str) -> NoReturn:
    """Refuse an impossible fact: say what is wrong with it and what to do."""
    named = f"fact {fact.number}" if fact.number else fact.kind
    about = f" of batch {fact.batch}" if fact.batch is not None else f" of tote {fact.tote}" if fact.tote else ""
    raise InputFaults((Fault(file=JOURNAL_FILE, line=None, field=f"{named}{about}", wrong=wrong, write=write),))


@dataclass(slots=True)
class _Now:
    """A batch while its life is followed; `plants` and `holes` include heads that were harvested."""

    tote: str
    place: str
    holes: tuple[int, ...]
    plants: int
    transplanted_on: date | None = None
    is_moved: bool = False
    cleared_on: date | None = None
    lost_on: date | None = None
    harvests: list[Harvest] = field(default_factory=list)
    freed: list[Freed] = field(default_factory=list)
    earlier: list[Stay] = field(default_factory=list)


class _BatchLife:
    """The working state of `batch_as_recorded`."""

    def __init__(self, planned: Batch | None, facts: Sequence[Fact], garden: Garden, crop: Crop, today: date) -> None:
        self.planned, self.facts, self.garden, self.crop, self.today = planned, facts, garden, crop, today
        sowings = [fact for fact in facts if fact.kind == "sown"]
        self.sown = next((fact for fact in sowings if not fact.assumed), sowings[0] if sowings else None)
        self.recorded = tuple(dict.fromkeys(fact.kind for fact in facts if fact.kind != "note"))
        self.is_head = crop.harvest.kind == "head"
        self.harvests = planned.harvests if planned is not None else ()
        self.day_harvests = harvests_by_day(facts)
        self.steps: dict[str, Callable[[Fact], None]] = {
            "emerged": self._emerge,
            "thinned": self._emerge,
            "transplanted": self._transplant,
            "moved": self._move,
            "lost": self._lose,
            "bolted": self._lose,
            "cleared": self._clear,
        }
        self.answers = answered([harvest.on for harvest in self.day_harvests], self.harvests)

    def lived(self) -> tuple[Batch | None, tuple[Freed, ...]]:
        planned = self.planned
        if self.sown is None and (
            planned is None or sowing_came_from_journal(planned) or planned.sown_on >= self.today
        ):
            happened = next((fact for fact in self.facts if fact.kind != "note"), None)
            if happened is not None:
                refuse_fact(happened, "the journal does not say that it was sown", "First record `sown` with its day")
            return None, ()
        base = self.base = self._sown()
        self.now = _Now(tote=base.tote, place=base.place, holes=base.holes, plants=base.plants)
        if self.crop.sown_in == "pot":
            if not base.holes and self.sown is not None:
                wrong = "the journal does not say which holes it is in"
                refuse_fact(self.sown, wrong, "Record the sowing again with --tote and --holes")
            self._plant(base.sown_on, base.tote, base.holes)
        for on, _, event in sorted(self._events(), key=lambda each: each[:2]):
            self._happen(on, event)
        return self._batch(), tuple(self.now.freed)

    def _sown(self) -> Batch:
        fact, planned = self.sown, self.planned
        if fact is None:
            assert planned is not None
            return planned
        assert fact.batch is not None
        named = planned or Batch(
            id=fact.batch, crop=fact.crop, want=fact.want, place=fact.place, tote=fact.tote, holes=fact.holes,
            plants=0, cells=0, seeds=0, state="sown", sown_on=fact.on, emerges_on=None, transplanted_on=None,
            cleared_on=None, harvests=(),
        )  # fmt: skip
        # A batch in the nursery goes where the plan has it now, which need not be where it was sown for.
        is_pot = self.crop.sown_in == "pot"
        if fact.holes and (is_pot or not named.holes or _PLACING & {*named.recorded}):
            named = replace(named, place=fact.place, tote=fact.tote, holes=fact.holes)
        return replace(
            named,
            sown_on=fact.on,
            plants=fact.plants or named.plants,
            cells=fact.cells or named.cells,
            seeds=fact.seeds or named.seeds,
        )

    def _events(self) -> Iterable[tuple[date, int, _Event]]:
        """Give what was recorded and, where nothing was, what was planned before today, each with its day and rank."""
        yield from ((fact.on, _rank(fact), fact) for fact in self.facts if fact.kind != "harvested")
        yield from ((harvest.on, KINDS.index("harvested"), harvest) for harvest in self.day_harvests)
        planned = self.planned
        if planned is None:
            return
        lag = max(_NO_LAG, self.base.sown_on - planned.sown_on)
        if self.crop.sown_in == "nursery":
            planted = self._first("transplanted")
            if planted is None:
                planted = self._unrecorded_planting(planned)
                if planted is None:
                    return
                yield planted, _AFTER_LOSSES, "transplanted"
            if planned.transplanted_on is not None:
                lag = max(_NO_LAG, planted - planned.transplanted_on)
        is_open = planned.state != "lost" and "cleared" not in planned.recorded
        recorded = {p: self.day_harvests[r] for r, p in self.answers.items()}
        for p, harvest in enumerate(self.harvests):
            if p in recorded:
                lag = max(_NO_LAG, recorded[p].on - harvest.on)
                # Heads that were left standing need a fact to be cleared.
                is_open = is_open and not (self.is_head and (recorded[p].plants or harvest.plants) < harvest.plants)
            elif not harvest.is_recorded and harvest.on + lag < self.today:
                late = replace(harvest, on=harvest.on + lag, latest_on=harvest.latest_on + lag)
                yield late.on, KINDS.index("harvested"), late
        over = planned.cleared_on
        if is_open and over is not None and over + lag < self.today:
            yield over + lag, KINDS.index("cleared"), "cleared"

    def _first(self, kind: FactKind) -> date | None:
        return next((fact.on for fact in self.facts if fact.kind == kind), None)

    def _unrecorded_planting(self, planned: Batch) -> date | None:
        """Give the day on which it is taken to have been transplanted; ``None`` while it is taken to wait.

        Late seedlings are planted on the first chore day from which they are large enough.  Seedlings that a fact
        shows in the nursery on that day, or later, wait until a transplant is recorded.
        """
        if planned.transplanted_on is None or "transplanted" in planned.recorded:
            return None
        on, emerged_on = planned.transplanted_on, self._first("emerged")
        if emerged_on is not None or self.base.sown_on > planned.sown_on:
            first_on = min(self.base.sown_on, emerged_on or self.base.sown_on)
            there = conditions_at(self.garden.nursery.place, first_on, SEEDBED_DAYS, self.garden.sky)
            window = transplant_window(self.crop, self.base.sown_on, there, emerged_on=emerged_on)
            if window is None:
                return None
            while on < window[0] or (on != planned.transplanted_on and not self.garden.is_chore_day(on)):
                on += _ONE_DAY
        waited_on = max((fact.on for fact in self.facts if fact.kind in ("emerged", "thinned")), default=date.min)
        return on if waited_on < on < self.today else None

    def _happen(self, on: date, event: _Event) -> None:
        now = self.now
        gone_on = now.cleared_on or now.lost_on
        if isinstance(event, str | Harvest):
            # A recorded end of the batch overrides what was only planned.
            if gone_on is None:
                self._go_as_planned(on, event)
            return
        fact = event.fact if isinstance(event, DayHarvest) else event
        if fact.kind != "harvested" and fact.kind not in self.steps:
            return
        if on < self.base.sown_on:
            refuse_fact(fact, f"it was sown later, on {day_text(self.base.sown_on)}", "Record the right day with --on")
        if gone_on is not None:
            if fact.kind == "cleared" and self.is_head and not self._left() and now.harvests:
                return
            wrong = f"the batch ended on {day_text(gone_on)}, so no plant was left"
            refuse_fact(fact, wrong, "Take back the wrong fact: record undo")
        if isinstance(event, DayHarvest):
            self._take(event)
        else:
            self.steps[fact.kind](fact)

    def _go_as_planned(self, on: date, event: Harvest | str) -> None:
        now = self.now
        if isinstance(event, Harvest):
            holes = self._not_seen_later(on, self._own(event)) if self.is_head else self._left()
            if now.transplanted_on is not None and holes:
                grams = grams_of_plants(event, len(holes))
                self._harvest(on, holes, grams, event.latest_on, is_recorded=False)
        elif event == "transplanted":
            self._plant(on, now.tote, now.holes)
        elif now.transplanted_on is not None and on > now.transplanted_on and not self._later(on, "cleared"):
            now.cleared_on = on

    def _not_seen_later(self, on: date, holes: tuple[int, ...]) -> tuple[int, ...]:
        """Skip heads that a later fact shows still standing."""
        later = self._later(on, "harvested")
        named = {hole for fact in later for hole in fact.holes if fact.kind != "moved"}
        gone = sum(len(fact.holes) or fact.plants or 1 for fact in later if fact.kind not in ("moved", "cleared"))
        needed = max([gone, *(len(fact.holes) for fact in later if fact.kind == "moved")])
        return tuple(hole for hole in holes if hole not in named)[: max(0, len(self._left()) - needed)]

    def _later(self, on: date, kind: FactKind) -> list[Fact]:
        """Give the facts about standing plants that follow something of a kind on a day."""
        facts = (fact for fact in self.facts if fact.kind in STANDING_KINDS)
        return [fact for fact in facts if (fact.on, KINDS.index(fact.kind)) > (on, KINDS.index(kind))]

    def _clear(self, fact: Fact) -> None:
        if self.now.transplanted_on is None:
            refuse_fact(fact, "it was not in a tote yet", "If it is lost, record `lost`")
        self.now.cleared_on = fact.on

    def _plant(self, on: date, tote: str, holes: tuple[int, ...]) -> None:
        """Let the plants stand in these holes; plants without a hole are left over."""
        now = self.now
        if len(holes) < now.plants and self.sown is not None and tote == self.sown.tote:
            holes = max(holes, self.sown.holes, key=len)
        now.transplanted_on = on
        now.holes = holes[: now.plants]
        now.plants = len(now.holes)
        self._stand(on, tote)

    def _stand(self, on: date, tote: str) -> None:
        known = [batch for batch in (self.base, self.planned) if batch is not None and batch.tote == tote]
        there = next((each for each in self.garden.totes if each.name == tote), None)
        place = known[0].place if known else ""
        if not place and there is not None:
            place = self.garden.place_of(there, on) or there.stands[0].place
        self.now.tote, self.now.place = tote, place or self.now.place

    def _emerge(self, fact: Fact) -> None:
        now = self.now
        if now.transplanted_on is not None and self.crop.sown_in == "nursery":
            wrong = f"it was already transplanted on {day_text(now.transplanted_on)}"
            refuse_fact(fact, wrong, "Record the right day with --on")
        if fact.plants is not None and fact.plants < now.plants:
            self._leave(fact.plants, fact.on)

    def _transplant(self, fact: Fact) -> None:
        now = self.now
        if self.crop.sown_in == "pot":
            refuse_fact(fact, f"{self.crop.name} is sown in its pot and never transplanted", "Leave this fact out")
        if now.transplanted_on is not None:
            wrong = f"it was already transplanted on {day_text(now.transplanted_on)}"
            refuse_fact(fact, wrong, "If it went on into another tote, record `moved`")
        plants = (len(fact.holes) or now.plants) if fact.plants is None else fact.plants
        if plants > now.plants:
            refuse_fact(fact, _too_many(plants, "transplanted", now.plants), f"Write {now.plants} or fewer")
        self._leave(plants, fact.on)
        if plants == 0:
            return
        tote, holes = fact.tote or now.tote, fact.holes or now.holes
        if not tote or not holes or 0 < len({*fact.holes}) < plants:
            refuse_fact(fact, _needs_holes(plants), "Name a tote, and a hole for each plant with --holes")
        self._plant(fact.on, tote, holes)

    def _move(self, fact: Fact) -> None:
        now, left = self.now, self._left()
        if now.transplanted_on is None:
            refuse_fact(fact, "it was not in a tote yet", "Name its tote when you record the transplant")
        if not fact.holes:
            refuse_fact(fact, _needs_holes(len(left)), "Name a hole for each plant with --holes")
        # Holes of harvested heads lie in the old tote and no longer belong to the batch.
        for place, harvest in enumerate(now.harvests):
            if harvest.kind == "head":
                now.freed += [Freed(tote=now.tote, hole=hole, on=harvest.on) for hole in harvest.holes]
                now.harvests[place] = replace(harvest, holes=())
        now.freed += [Freed(tote=now.tote, hole=hole, on=fact.on) for hole in left]
        came_on = now.earlier[-1].until_on if now.earlier else now.transplanted_on
        now.earlier.append(Stay(tote=now.tote, place=now.place, from_on=came_on, until_on=fact.on))
        # Fewer plants may move than are left here: a harvest recorded later can be of the others.
        now.holes, now.is_moved = fact.holes[: len(left)], True
        now.plants = len(now.holes)
        self._stand(fact.on, fact.tote)

    def _lose(self, fact: Fact) -> None:
        left = self._left() if self.now.transplanted_on is not None else self.now.holes
        number = self.now.plants - len(self._taken())
        lost = len({*fact.holes}) or (number if fact.plants is None else fact.plants)
        if not 0 < lost <= number:
            refuse_fact(fact, _too_many(lost, "lost", number), f"Write a number from 1 to {number}")
        if not {*fact.holes} <= {*left}:
            refuse_fact(fact, f"it has no plant in {_listed({*fact.holes} - {*left})}", "Name holes of this batch")
        self._leave(self.now.plants - lost, fact.on, fact.holes)

    def _leave(self, plants: int, on: date, lost_holes: tuple[int, ...] = ()) -> None:
        """Go on with this number of plants; those in the named holes, or in the last holes, are lost."""
        now = self.now
        if plants == now.plants:
            return
        left = self._left() if now.transplanted_on is not None else now.holes
        lost_holes = lost_holes or left[plants - len(self._taken()) :]
        if now.transplanted_on is not None:
            now.freed += [Freed(tote=now.tote, hole=hole, on=on) for hole in lost_holes]
        now.holes = tuple(hole for hole in now.holes if hole not in lost_holes)
        now.plants = plants
        if plants == len(self._taken()):
            now.lost_on = on

    def _taken(self) -> set[int]:
        heads = (harvest for harvest in self.now.harvests if harvest.kind == "head")
        return {hole for harvest in heads for hole in harvest.holes}

    def _left(self) -> tuple[int, ...]:
        """Give the holes in which plants stand."""
        taken = self._taken()
        return tuple(sorted(hole for hole in self.now.holes if hole not in taken))

    def _own(self, planned: Harvest) -> tuple[int, ...]:
        """Give the holes of a planned harvest in which plants stand."""
        left, batch = self._left(), self.planned
        assert batch is not None
        if not planned.holes or (self.now.is_moved and is_elsewhere(batch, self.now.tote, self.now.holes)):
            return left[: planned.plants]
        ours = holes_now(batch.holes, self.now.holes)
        return tuple(hole for hole in (ours.get(hole, hole) for hole in planned.holes) if hole in left)

    def _take(self, harvest: DayHarvest) -> None:
        now, fact, left = self.now, harvest.fact, self._left()
        if now.transplanted_on is None or harvest.on <= now.transplanted_on:
            refuse_fact(fact, "it was not transplanted by then", "First record `transplanted` with its day")
        answer = self.answers.get(self.day_harvests.index(harvest))
        planned = None if answer is None else self.harvests[answer]
        own = self._own(planned) if planned is not None else ()
        plants = (len(own) or len(left)) if harvest.plants is None else harvest.plants
        if self.is_head and not 0 < plants <= len(left):
            refuse_fact(fact, _too_many(plants, "harvested", len(left)), f"Write a number from 1 to {len(left)}")
        if not {*harvest.holes} <= {*left} or len({*harvest.holes}) < len(harvest.holes):
            twice = {hole for hole in harvest.holes if harvest.holes.count(hole) > 1}
            odd = _listed(({*harvest.holes} - {*left}) or twice)
            refuse_fact(fact, f"it has no plant in {odd}", "Name holes of this batch, each once")
        holes = tuple(dict.fromkeys((*harvest.holes, *own, *left)))[:plants] if self.is_head else left
        grams = harvest.grams
        if grams is None:
            # As planned or, without a plan, as the profile forecast.
            grams = fact.planned_grams or 0.0 if planned is None else grams_of_plants(planned, len(holes))
        latest_on = max(harvest.on, planned.latest_on) if planned is not None else harvest.on
        self._harvest(harvest.on, holes, grams, latest_on, is_recorded=True)

    def _harvest(self, on: date, holes: tuple[int, ...], grams: float, latest_on: date, *, is_recorded: bool) -> None:
        now = self.now
        happened = Harvest(
            on=on,
            latest_on=latest_on,
            kind=self.crop.harvest.kind,
            number=len(now.harvests) + 1,
            holes=tuple(sorted(holes)),
            plants=len(holes),
            grams=grams,
            is_recorded=is_recorded,
        )
        now.harvests.append(happened)
        if self.is_head and not self._left():
            now.cleared_on = on

    def _batch(self) -> Batch:
        base, now = self.base, self.now
        common = replace(
            base, recorded=self.recorded, tote=now.tote, place=now.place, emerges_on=self._emerges_on(),
            harvests=tuple(now.harvests), earlier=tuple(now.earlier),
        )  # fmt: skip
        if now.lost_on is not None and not (self.is_head and now.harvests):
            return replace(
                common, state="lost", holes=(), plants=now.plants or base.plants, transplanted_on=now.transplanted_on,
                cleared_on=now.lost_on if now.transplanted_on else None,
            )  # fmt: skip
        common = replace(common, holes=now.holes, plants=now.plants, transplanted_on=now.transplanted_on)
        over = now.cleared_on or now.lost_on
        if over is not None:
            return replace(common, state="done", cleared_on=over)
        return replace(common, state="transplanted" if now.transplanted_on else "sown", cleared_on=None)

    def _emerges_on(self) -> date | None:
        """Give the day it emerged: as recorded, as planned if it was sown as planned, or as forecast."""
        recorded_on, planned = self._first("emerged"), self.planned
        if recorded_on is not None:
            return recorded_on
        if planned is not None and planned.sown_on == self.base.sown_on and "emerged" not in planned.recorded:
            return planned.emerges_on
        place = next((place for place in self.garden.places if place.name == self.base.place), None)
        seedbed = self.garden.nursery.place if self.crop.sown_in == "nursery" or place is None else place
        there = conditions_at(seedbed, self.base.sown_on, SEEDBED_DAYS, self.garden.sky)
        return emerges_on(self.crop, self.base.sown_on, there)


def _rank(fact: Fact) -> int:
    return _AFTER_LOSSES if fact.kind == "transplanted" and fact.assumed else KINDS.index(fact.kind)


def _too_many(plants: int, happened: str, left: int) -> str:
    """Say that a number of plants does not fit those that are left."""
    if plants == 0:
        return f"no plants were {happened}"
    return f"{counted(plants, 'plant')} {happened}, but only {left} left"


def _needs_holes(plants: int) -> str:
    return f"its {counted(plants, 'plant')} {'needs 1 hole' if plants == 1 else f'need {plants} holes'}"


def _listed(holes: Iterable[int]) -> str:
    numbers = sorted(holes)
    return f"{'hole' if len(numbers) == 1 else 'holes'} {', '.join(str(hole) for hole in numbers)}"
