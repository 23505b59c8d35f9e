"""One batch as it stands: what the journal tells of it, and what is taken to have gone as planned where it is silent.

Takes the batch of the plan in force, if there is one, and the facts about it; gives the batch cut down to what has
happened, and the holes that its lost plants have freed.  Hides how facts are told apart from promises: each harvest
that was told answers the nearest one that was planned; what follows a stage that was late is taken to be as late; a
fact that cannot be is a fault that says why.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import NoReturn

from steadysow.errors import Fault, InputFaults
from steadysow.growth.daylight import conditions_at
from steadysow.growth.timeline import emerges_on, transplant_window
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden
from steadysow.inputs.journal import JOURNAL_FILE, KINDS, Fact, FactKind
from steadysow.plan.batch import Batch, Harvest, Stay

# A harvest that was told answers a planned one no further from it than this [d].
ANSWERS_DAYS = 14

# Days after sowing within which seedlings show, if they ever do [d].
SEEDBED_DAYS = 400

# Facts that tell where a batch stands.
_PLACING = {"transplanted", "moved"}

# Facts of plants that stand in a tote.
STANDING_KINDS = ("harvested", "lost", "bolted", "cleared", "moved")

# What was told of the day of a transplant that nobody told of was told of seedlings.
_AFTER_LOSSES = KINDS.index("cleared")

_NO_LAG, _ONE_DAY = timedelta(0), timedelta(1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Freed:
    """A hole whose plant was lost, or moved away, on a day."""

    tote: str
    hole: int
    on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Picking:
    """All that was harvested of a batch on one day, as told; `plants` is ``None`` where one of the facts is silent."""

    on: date
    plants: int | None
    grams: float | None
    holes: tuple[int, ...]
    fact: Fact


def pickings(facts: Iterable[Fact]) -> tuple[Picking, ...]:
    """Give the harvests that were told of one batch, those of one day together, by day."""
    by_day: dict[date, Picking] = {}
    for fact in facts:
        if fact.kind != "harvested":
            continue
        before = by_day.get(fact.on)
        plants, grams, holes = len(fact.holes) or fact.plants, fact.grams, fact.holes
        if before is not None:
            plants = None if plants is None or before.plants is None else plants + before.plants
            grams = grams if before.grams is None else before.grams + (grams or 0.0)
            holes = (*before.holes, *holes)
        by_day[fact.on] = Picking(on=fact.on, plants=plants, grams=grams, holes=holes, fact=fact)
    return tuple(by_day[on] for on in sorted(by_day))


def answered(told: Sequence[date], planned: Sequence[Harvest]) -> dict[int, int]:
    """Say which planned harvest each day of a harvest answers: the nearest that no earlier one has answered.

    What an earlier plan has already taken in answers itself, for as long as it is told.

    Returns
    -------
    By place in `told` the place in `planned`; what answers none is left out.
    """
    answers: dict[int, int] = {}
    for t, on in enumerate(told):
        free = [p for p in range(len(planned)) if p not in answers.values()]
        free = [p for p in free if not planned[p].is_recorded or planned[p].on == on or planned[p].on not in told]
        nearest = min(free, key=lambda p: (abs(planned[p].on - on), planned[p].on), default=None)
        if nearest is not None and abs(planned[nearest].on - on).days <= ANSWERS_DAYS:
            answers[t] = nearest
    return answers


def batch_as_recorded(
    planned: Batch | None, facts: Sequence[Fact], *, garden: Garden, crop: Crop, today: date
) -> tuple[Batch | None, tuple[Freed, ...]]:
    """Give a batch as it stands on a day.

    Parameters
    ----------
    planned
        The batch of the plan in force, or ``None`` if the plan does not know it.
    facts
        All that the journal tells of it up to today; at least one.
    garden, crop
        The garden, and the batch's crop.
    today
        Today: what is planned for today and not told has not happened yet.

    Returns
    -------
    tuple
        The batch, or ``None`` if it was never sown; and the holes that were freed before it was cleared.

    Raises
    ------
    InputFaults
        If a fact cannot be.
    """
    return _Life(planned, facts, garden, crop, today).lived()


def unsown(batch: Batch) -> bool:
    """Say whether a plan knows a batch's sowing from a fact; where that was taken back, it was never sown."""
    return "sown" in batch.recorded


def cannot_be(fact: Fact, wrong: str, write: str) -> NoReturn:
    """Refuse a fact."""
    named = f"fact {fact.number}" if fact.number else fact.kind
    about = f" of batch {fact.batch}" if fact.batch is not None else f" of tote {fact.tote}" if fact.tote else ""
    raise InputFaults((Fault(file=JOURNAL_FILE, line=None, field=f"{named}{about}", wrong=wrong, write=write),))


@dataclass(slots=True)
class _Now:
    """A batch while its life is followed; `plants` counts heads that were taken, `holes` holds theirs."""

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


class _Life:
    """The working state of `batch_as_recorded`."""

    def __init__(self, planned: Batch | None, facts: Sequence[Fact], garden: Garden, crop: Crop, today: date) -> None:
        self.planned, self.facts, self.garden, self.crop, self.today = planned, facts, garden, crop, today
        sowings = [fact for fact in facts if fact.kind == "sown"]
        self.sown = next((fact for fact in sowings if not fact.assumed), sowings[0] if sowings else None)
        self.recorded = tuple(dict.fromkeys(fact.kind for fact in facts if fact.kind != "note"))
        self.is_head = crop.harvest.kind == "head"
        self.harvests = planned.harvests if planned is not None else ()
        self.pickings = pickings(facts)
        self.ways: dict[str, Callable[[Fact], None]] = {
            "emerged": self._emerge,
            "thinned": self._emerge,
            "transplanted": self._transplant,
            "moved": self._move,
            "lost": self._lose,
            "bolted": self._lose,
            "cleared": self._clear,
        }
        self.answers = answered([picking.on for picking in self.pickings], self.harvests)

    def lived(self) -> tuple[Batch | None, tuple[Freed, ...]]:
        planned = self.planned
        if self.sown is None and (planned is None or unsown(planned) or planned.sown_on >= self.today):
            happened = next((fact for fact in self.facts if fact.kind != "note"), None)
            if happened is not None:
                cannot_be(happened, "nothing tells that it was sown", "Record `sown` with its day first")
            return None, ()
        base = self.base = self._sown()
        self.now = _Now(tote=base.tote, place=base.place, holes=base.holes, plants=base.plants)
        if self.crop.sown_in == "pot":
            if not base.holes and self.sown is not None:
                cannot_be(self.sown, "nothing tells in which holes it stands", "Record it anew with --tote and --holes")
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
        # For what waits, the plan may have found another tote since; what was told of its place is told by facts.
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

    def _events(self) -> Iterable[tuple[date, int, Fact | Picking | Harvest | str]]:
        """Give what was told and, where nothing was told, what was planned before today, each with its day."""
        yield from ((fact.on, _rank(fact), fact) for fact in self.facts if fact.kind != "harvested")
        yield from ((picking.on, KINDS.index("harvested"), picking) for picking in self.pickings)
        planned = self.planned
        if planned is None:
            return
        lag = max(_NO_LAG, self.base.sown_on - planned.sown_on)
        if self.crop.sown_in == "nursery":
            planted = self._first("transplanted")
            if planted is None:
                planted = self._silent_planting(planned)
                if planted is None:
                    return
                yield planted, _AFTER_LOSSES, "transplanted"
            if planned.transplanted_on is not None:
                lag = max(_NO_LAG, planted - planned.transplanted_on)
        is_open = planned.state != "lost" and "cleared" not in planned.recorded
        told = {p: self.pickings[t] for t, p in self.answers.items()}
        for p, harvest in enumerate(self.harvests):
            if p in told:
                lag = max(_NO_LAG, told[p].on - harvest.on)
                # Heads that were left standing are not cleared in silence.
                is_open = is_open and not (self.is_head and (told[p].plants or harvest.plants) < harvest.plants)
            elif not harvest.is_recorded and harvest.on + lag < self.today:
                late = replace(harvest, on=harvest.on + lag, latest_on=harvest.latest_on + lag)
                yield late.on, KINDS.index("harvested"), late
        over = planned.cleared_on
        if is_open and over is not None and over + lag < self.today:
            yield over + lag, KINDS.index("cleared"), "cleared"

    def _first(self, kind: str) -> date | None:
        return next((fact.on for fact in self.facts if fact.kind == kind), None)

    def _silent_planting(self, planned: Batch) -> date | None:
        """Give the day it is taken to have been planted; ``None`` while it waits, as what was told of it may say.

        Seedlings that are late are planted on the first chore day from which they can be.
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

    def _happen(self, on: date, event: Fact | Picking | Harvest | str) -> None:
        now = self.now
        gone_on = now.cleared_on or now.lost_on
        if isinstance(event, str | Harvest):
            # What was only planned gives way to what was told.
            if gone_on is None:
                self._go_as_planned(on, event)
            return
        fact = event.fact if isinstance(event, Picking) else event
        if fact.kind != "harvested" and fact.kind not in self.ways:
            return
        if on < self.base.sown_on:
            cannot_be(fact, f"it was sown only on {self.base.sown_on}", "Record the right day with --on")
        if gone_on is not None:
            if fact.kind == "cleared" and self.is_head and not self._left() and now.harvests:
                return
            cannot_be(fact, f"nothing of it has been left since {gone_on}", "Take back what is wrong: record undo")
        if isinstance(event, Picking):
            self._pick(event)
        else:
            self.ways[fact.kind](fact)

    def _go_as_planned(self, on: date, event: Harvest | str) -> None:
        now = self.now
        if isinstance(event, Harvest):
            holes = self._spared(on, self._own(event)) if self.is_head else self._left()
            if now.transplanted_on is not None and holes:
                self._harvest(on, holes, part(event, len(holes)), event.latest_on, is_recorded=False)
        elif event == "transplanted":
            self._plant(on, now.tote, now.holes)
        elif now.transplanted_on is not None and on > now.transplanted_on and not self._later(on, "cleared"):
            now.cleared_on = on

    def _spared(self, on: date, holes: tuple[int, ...]) -> tuple[int, ...]:
        """Leave of the heads of a silent harvest those of which it was told later that they still stood."""
        later = self._later(on, "harvested")
        named = {hole for fact in later for hole in fact.holes if fact.kind != "moved"}
        gone = sum(len(fact.holes) or fact.plants or 1 for fact in later if fact.kind not in ("moved", "cleared"))
        needed = max([gone, *(len(fact.holes) for fact in later if fact.kind == "moved")])
        return tuple(hole for hole in holes if hole not in named)[: max(0, len(self._left()) - needed)]

    def _later(self, on: date, kind: FactKind) -> list[Fact]:
        """Give what was told of plants that stood after something of a kind is taken to have happened."""
        facts = (fact for fact in self.facts if fact.kind in STANDING_KINDS)
        return [fact for fact in facts if (fact.on, KINDS.index(fact.kind)) > (on, KINDS.index(kind))]

    def _clear(self, fact: Fact) -> None:
        if self.now.transplanted_on is None:
            cannot_be(fact, "it does not stand in a tote yet", "Record it as lost, if it is")
        self.now.cleared_on = fact.on

    def _plant(self, on: date, tote: str, holes: tuple[int, ...]) -> None:
        """Let the plants stand in these holes; those for which there is none are left over."""
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
            cannot_be(fact, f"it was transplanted on {now.transplanted_on} already", "Record the right day with --on")
        if fact.plants is not None and fact.plants < now.plants:
            self._leave(fact.plants, fact.on)

    def _transplant(self, fact: Fact) -> None:
        now = self.now
        if self.crop.sown_in == "pot":
            cannot_be(fact, f"{self.crop.name} is sown in its pot and is not transplanted", "Leave it out")
        if now.transplanted_on is not None:
            cannot_be(fact, f"it was transplanted on {now.transplanted_on} already", "Record `moved` if it moved since")
        plants = (len(fact.holes) or now.plants) if fact.plants is None else fact.plants
        if plants > now.plants:
            cannot_be(fact, f"{plants} were planted of {now.plants}", f"Write {now.plants} or less")
        self._leave(plants, fact.on)
        if plants == 0:
            return
        tote, holes = fact.tote or now.tote, fact.holes or now.holes
        if not tote or not holes or 0 < len({*fact.holes}) < plants:
            cannot_be(fact, f"its {plants} plants need as many holes", "Name a tote, and a hole for each with --holes")
        self._plant(fact.on, tote, holes)

    def _move(self, fact: Fact) -> None:
        now, left = self.now, self._left()
        if now.transplanted_on is None:
            cannot_be(fact, "it does not stand in a tote yet", "Say the tote when it is transplanted")
        if not fact.holes:
            cannot_be(fact, f"its {len(left)} plants need as many holes", "Name a hole for each with --holes")
        # The holes of heads that were taken lie in the old tote, and are no holes of the batch any more.
        for place, harvest in enumerate(now.harvests):
            if harvest.kind == "head":
                now.freed += [Freed(tote=now.tote, hole=hole, on=harvest.on) for hole in harvest.holes]
                now.harvests[place] = replace(harvest, holes=())
        now.freed += [Freed(tote=now.tote, hole=hole, on=fact.on) for hole in left]
        came_on = now.earlier[-1].until_on if now.earlier else now.transplanted_on
        now.earlier.append(Stay(tote=now.tote, place=now.place, from_on=came_on, until_on=fact.on))
        # Of those that did not come along, a harvest told later may have been thought to have been taken by then.
        now.holes, now.is_moved = fact.holes[: len(left)], True
        now.plants = len(now.holes)
        self._stand(fact.on, fact.tote)

    def _lose(self, fact: Fact) -> None:
        left = self._left() if self.now.transplanted_on is not None else self.now.holes
        number = self.now.plants - len(self._taken())
        lost = len({*fact.holes}) or (number if fact.plants is None else fact.plants)
        if not 0 < lost <= number:
            cannot_be(fact, f"{lost} are lost of {number} that are left", f"Write a number from 1 to {number}")
        if not {*fact.holes} <= {*left}:
            cannot_be(fact, f"it has no plant in {_listed({*fact.holes} - {*left})}", "Name its own holes")
        self._leave(self.now.plants - lost, fact.on, fact.holes)

    def _leave(self, plants: int, on: date, lost_holes: tuple[int, ...] = ()) -> None:
        """Go on with so many plants; the others are lost, those in the last holes unless it is told which."""
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

    def _pick(self, picking: Picking) -> None:
        now, fact, left = self.now, picking.fact, self._left()
        if now.transplanted_on is None or picking.on <= now.transplanted_on:
            cannot_be(fact, "it had not been transplanted by then", "Record `transplanted` with its day first")
        answer = self.answers.get(self.pickings.index(picking))
        planned = None if answer is None else self.harvests[answer]
        own = self._own(planned) if planned is not None else ()
        plants = (len(own) or len(left)) if picking.plants is None else picking.plants
        if self.is_head and not 0 < plants <= len(left):
            told = f"{plants} were harvested of {len(left)} that are left"
            cannot_be(fact, told, f"Write a number from 1 to {len(left)}")
        if not {*picking.holes} <= {*left} or len({*picking.holes}) < len(picking.holes):
            twice = {hole for hole in picking.holes if picking.holes.count(hole) > 1}
            odd = _listed(({*picking.holes} - {*left}) or twice)
            cannot_be(fact, f"it has no plant in {odd}", "Name its own holes, each once")
        holes = tuple(dict.fromkeys((*picking.holes, *own, *left)))[:plants] if self.is_head else left
        grams = picking.grams
        if grams is None:
            # As planned; where nothing was planned, as the profile forecasts.
            grams = fact.planned_grams or 0.0 if planned is None else part(planned, len(holes))
        latest_on = max(picking.on, planned.latest_on) if planned is not None else picking.on
        self._harvest(picking.on, holes, grams, latest_on, is_recorded=True)

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
        """Give the day it emerged or, where that was not told, emerges: as planned if it was sown as planned."""
        told, planned = self._first("emerged"), self.planned
        if told is not None:
            return told
        if planned is not None and planned.sown_on == self.base.sown_on and "emerged" not in planned.recorded:
            return planned.emerges_on
        place = next((place for place in self.garden.places if place.name == self.base.place), None)
        seedbed = self.garden.nursery.place if self.crop.sown_in == "nursery" or place is None else place
        there = conditions_at(seedbed, self.base.sown_on, SEEDBED_DAYS, self.garden.sky)
        return emerges_on(self.crop, self.base.sown_on, there)


def _rank(fact: Fact) -> int:
    return _AFTER_LOSSES if fact.kind == "transplanted" and fact.assumed else KINDS.index(fact.kind)


def is_elsewhere(planned: Batch, tote: str, holes: Iterable[int]) -> bool:
    """Say whether a batch that was moved stands elsewhere than its plan knows."""
    return planned.tote != tote or not {*holes} <= {*planned.holes}


def holes_now(planned: Sequence[int], now: Sequence[int]) -> dict[int, int]:
    """Say which hole stands for a planned one, where a batch was planted into others than it was planned for."""
    others = [hole for hole in now if hole not in planned]
    return dict(zip([hole for hole in planned if hole not in now], others, strict=False))


def part(harvest: Harvest, plants: int) -> float:
    """Give the grams of so many plants of a planned harvest."""
    return harvest.grams if plants == harvest.plants else round(harvest.grams * plants / harvest.plants, 2)


def _listed(holes: Iterable[int]) -> str:
    told = sorted(holes)
    return f"{'hole' if len(told) == 1 else 'holes'} {', '.join(str(hole) for hole in told)}"
