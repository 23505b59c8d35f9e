"""A season lived through day by day: plants fare by chance, and a person follows a plan and records what happens.

Takes a garden and its crops as published, a seed and a policy; gives a `Replay`: how often it was planned again, what
was served, and which promised dates were broken.  Plans are checked as they are made, by an opinion of our own.  Hides
the true world: each batch has a fate of its own, drawn from the spreads that the profiles publish, by its crop, its day
and its place among those sown that day; so the same sowing fares alike whatever is planned round it.

What can be told is what the journal has words for.  That a harvest is not ready yet is none of it: nothing is planned
again before it has been taken late.  That it is ready early is told by taking it, which the person does where it cannot
wait until its day.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from random import Random
from statistics import fmean, median
from time import perf_counter
from typing import Literal

from steadysow.check.verify import verify
from steadysow.chores.chore import PLANNED_KINDS, WORK_ORDER, Chore, ChoreKind
from steadysow.chores.listing import list_chores
from steadysow.errors import InputFaults
from steadysow.growth.daylight import conditions_at
from steadysow.growth.germination import cell_chance
from steadysow.growth.timeline import GrowingPlace, emerges_on, transplant_window
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Away, Garden, carried, lid_area_m2
from steadysow.inputs.journal import Fact, FactKind, Journal
from steadysow.pipeline import Inputs, make_plan, read, rebalance
from steadysow.plan.batch import Batch
from steadysow.plan.measure import measure
from steadysow.plan.plan import Plan
from steadysow.standing.grounds import Grounds
from steadysow.standing.recording import Saying, facts_of
from steadysow.standing.standing import plan_as_recorded

EXAMPLE = Path(__file__).parents[2] / "examples" / "winter-shelf"
WEEKS = 26

Policy = Literal["frozen", "least change", "afresh", "least change, learning"]

# So long that no clock cuts in [s].
SECONDS = 600.0

# By choice: the cuts of the normal distributions, so that no plant takes for ever or gives less than nothing.
DAYS_CUT, GRAMS_CUT = (0.6, 1.6), (0.3, 1.7)

# By choice: the chance, each week from emergence on, that a batch is lost whole, and that one plant of it is.
LOST_WHOLE, LOST_ONE = 0.010, 0.015

# Weeks of a batch's life for which its losses are drawn.
LIFE_WEEKS = 40

# Seedlings so much later than planned are a surprise [d].
LATE_DAYS = 2

# The week away begins within these parts of the season, and is told of so long before [d].
AWAY_BETWEEN, AWAY_DAYS, TOLD_BEFORE = (0.5, 0.85), 7, 14

# Dates within this of the day of planning again are near [d].
NEAR_DAYS = 56

SPAN_DAYS = 800
_ONE_DAY = timedelta(1)


# The true world.


@dataclass(frozen=True, slots=True, kw_only=True)
class Loss:
    """A loss, so many days after emergence: of all, or of the one that `which` (0 to 1) points to."""

    after_days: int
    is_whole: bool
    which: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Fate:
    """What chance has in store for a sowing, as factors of its profile; a cell comes up if its draw is low."""

    emergence: float
    days: float
    grams: float
    cells: tuple[float, ...]
    losses: tuple[Loss, ...]


@cache
def fate_of(seed: int, crop: Crop, sown_on: date, nth: int) -> Fate:
    """Draw the fate of a sowing, from a generator of its own."""

    def chance(what: str) -> Random:
        return Random(f"{seed}/{crop.name}/{sown_on}/{nth}/{what}")  # noqa: S311

    def factor(what: str, spread: float, cut: tuple[float, float]) -> float:
        return min(cut[1], max(cut[0], chance(what).gauss(1.0, spread)))

    weekly, losses = chance("losses"), []
    for week in range(LIFE_WEEKS):
        draw, day, which = weekly.random(), weekly.randrange(7), weekly.random()
        if draw < LOST_WHOLE + LOST_ONE:
            losses.append(Loss(after_days=7 * week + day + 1, is_whole=draw < LOST_WHOLE, which=which))
    cells = chance("cells")
    return Fate(
        emergence=chance("emergence").gauss(1.0, crop.days_spread),
        days=factor("days", crop.days_spread, DAYS_CUT),
        grams=factor("grams", crop.grams_spread, GRAMS_CUT),
        cells=tuple(cells.random() for _ in range(200)),
        losses=tuple(losses),
    )


def true_crop(crop: Crop, fate: Fate) -> Crop:
    """Give the profile that a batch follows in truth."""
    harvest = replace(
        crop.harvest,
        first_days=crop.harvest.first_days * fate.days,
        between_days=crop.harvest.between_days * fate.days,
        grams=tuple(each * fate.grams for each in crop.harvest.grams),
    )
    growth = replace(crop.growth, grams_per_mol=crop.growth.grams_per_mol * fate.grams)
    return replace(crop, harvest=harvest, growth=growth)


@dataclass(slots=True, kw_only=True)
class Life:
    """A batch as it truly is.

    Attributes
    ----------
    up_on, up
        The day on which its seedlings show, and how many cells hold one.
    is_seen
        Whether the person has seen them.
    holes
        The holes in which its plants still stand.
    taken
        The days on which something of it was harvested.
    """

    id: int
    crop: Crop
    fate: Fate
    sown_on: date
    up_on: date
    up: int
    is_seen: bool = False
    is_over: bool = False
    tote: str = ""
    planted_on: date | None = None
    holes: tuple[int, ...] = ()
    taken: list[date] = field(default_factory=list)
    losses: list[Loss] = field(default_factory=list)


# What comes of a season.


@dataclass(frozen=True, slots=True, kw_only=True)
class Broken:
    """A promised date that a new plan did not keep.

    Attributes
    ----------
    key, kind, on
        The chore, what kind of work it is, and the day it was promised for.
    now_on
        Its new day, or ``None`` if it is gone.
    made_on
        The day of planning again.
    how
        The first of these that holds: ``away`` (it fell on a day that has become one), ``batch gone``, ``harvest gone``
        and its like (the batch asks for fewer), ``batch moved`` (sown or planted on another day), ``shifted``.
    is_alike
        Whether the new plan has the same work on that day under a number that is new: on the same crop, in any tote.
    is_shared
        Whether something was told of another batch in the same tote.
    """

    key: str
    kind: ChoreKind
    on: date
    now_on: date | None
    made_on: date
    how: str
    is_alike: bool
    is_shared: bool

    @property
    def days_ahead(self) -> int:
        """How long before its day it was broken [d]."""
        return (self.on - self.made_on).days


@dataclass(frozen=True, slots=True, kw_only=True)
class Replay:
    """What came of a season under a policy.

    Attributes
    ----------
    replans, seconds
        How often it was planned again, and how long each took [s].
    share, planned
        What was served of what was wanted; and the share that each plan made on the way foretold for its own weeks.
    promised
        How many dates to come the plans had promised, summed over all times of planning again.
    surprises
        How often each kind of surprise came.
    wrong
        What a plan did that no plan may do, and what of the truth the journal refused; empty if all is well.
    """

    policy: Policy
    seed: int
    replans: int
    share: float
    planned: tuple[float, ...]
    broken: tuple[Broken, ...]
    promised: int
    seconds: tuple[float, ...]
    surprises: Mapping[str, int]
    wrong: tuple[str, ...]
    facts: int

    @property
    def near(self) -> int:
        """How many dates within the coming eight weeks were broken."""
        return sum(each.days_ahead < NEAR_DAYS for each in self.broken)

    @property
    def foretold(self) -> float:
        """The share that its plans foretold, in the mean."""
        return fmean(self.planned) if self.planned else math.nan

    @property
    def numbers(self) -> tuple[float, ...]:
        """A line of the table: re-plans, served, foretold on the way, broken, broken near, seconds of a re-plan."""
        seconds = median(self.seconds) if self.seconds else 0.0
        return float(self.replans), self.share, self.foretold, float(len(self.broken)), float(self.near), seconds


def replay(policy: Policy, seed: int, *, weeks: int = WEEKS, folder: Path = EXAMPLE) -> Replay:
    """Live through the first weeks of an example garden under a policy."""
    return Season(read(folder), policy, seed, weeks).lived()


def dates_broken(
    before: Plan, after: Plan, garden: Garden, today: date, told: Iterable[Fact] = ()
) -> tuple[Broken, ...]:
    """Give the promised dates from today on that a new plan does not keep, but for batches and totes told of since."""
    told = tuple(fact for fact in told if fact.kind not in ("note", "scrubbed"))
    own = {fact.batch for fact in told}
    totes = {fact.tote for fact in told if fact.batch is None}
    tote_of = {batch.id: batch.tote for batch in (*before.batches, *after.batches)}
    shared = {tote_of.get(number or 0, "") for number in own}
    now = {chore.key: chore for chore in planned_chores(garden, after)}
    old, new = ({batch.id: batch for batch in plan.batches} for plan in (before, after))
    alike = Counter((chore.kind, chore.crop, chore.on) for chore in now.values() if not {*chore.batches} & old.keys())
    broken = []
    for chore in planned_chores(garden, before):
        now_on = now[chore.key].on if chore.key in now else None
        if chore.on < today or now_on == chore.on or own & {*chore.batches} or chore.tote in totes - {""}:
            continue
        was, there = old[chore.batches[0]], new.get(chore.batches[0])
        if not garden.at_home(chore.on):
            how = "away"
        elif there is None:
            how = "batch gone"
        elif now_on is None:
            how = f"{chore.kind} gone"
        elif (was.sown_on, was.transplanted_on) != (there.sown_on, there.transplanted_on):
            how = "batch moved"
        else:
            how = "shifted"
        work = (chore.kind, chore.crop, chore.on)
        is_alike = alike[work] > 0
        alike[work] -= is_alike
        broken.append(
            Broken(
                key=chore.key, kind=chore.kind, on=chore.on, now_on=now_on, made_on=today, how=how,
                is_alike=is_alike, is_shared=tote_of[chore.batches[0]] in shared,
            )
        )  # fmt: skip
    return tuple(broken)


def planned_chores(garden: Garden, plan: Plan) -> tuple[Chore, ...]:
    """Give the chores that are decided by planning; upkeep follows from them, and is not replayed."""
    return tuple(chore for chore in list_chores(garden, plan) if chore.kind in PLANNED_KINDS)


def dates_promised(plan: Plan, garden: Garden, today: date) -> int:
    """Count the dates from today on that a plan promises."""
    return sum(chore.on >= today for chore in planned_chores(garden, plan))


def table(replays: Iterable[Replay]) -> str:
    """Give a line for each replay, and the mean of each policy over several seeds."""
    heading = ("re-plans", "served", "foretold", "broken", "in 8 weeks", "median s")
    lines = [f"{'policy':<24}{'seed':>9}{''.join(f'{each:>11}' for each in heading)}"]
    by_policy: dict[Policy, list[Replay]] = defaultdict(list)
    for each in replays:
        by_policy[each.policy].append(each)
    for policy, own in by_policy.items():
        rows = [(str(each.seed), each.numbers) for each in own]
        if len(own) > 1:
            rows.append(("mean", tuple(fmean(column) for column in zip(*(row for _, row in rows), strict=True))))
        for name, (replans, share, foretold, broken, near, seconds) in rows:
            shares = f"{share:>11.2%}{foretold:>11.2%}"
            lines.append(f"{policy:<24}{name:>9}{replans:>11.1f}{shares}{broken:>11.1f}{near:>11.1f}{seconds:>11.1f}")
    return "\n".join(lines)


class Season:
    """A season that is being lived through."""

    def __init__(self, inputs: Inputs, policy: Policy, seed: int, weeks: int) -> None:
        """Make the first plan, which is the same under every policy."""
        assert inputs.garden.starts_on is not None
        self.inputs, self.policy, self.seed, self.weeks = inputs, policy, seed, weeks
        self.starts_on = self.today = inputs.garden.starts_on
        self.first = self.plan = make_plan(inputs, today=self.starts_on, seconds=SECONDS)
        self.lives: dict[int, Life] = {}
        self.waiting: dict[str, Chore] = {}
        self.surprises: dict[str, int] = defaultdict(int)
        self.is_surprised = False
        self.names: dict[int, tuple[str, str]] = {batch.id: _name(batch) for batch in self.first.batches}
        self.broken: list[Broken] = []
        self.wrong: list[str] = []
        self.seconds: list[float] = []
        self.planned: list[float] = []
        self.promised = 0
        self.seen_facts = 0
        early, late = (round(7 * weeks * part) for part in AWAY_BETWEEN)
        start = self.starts_on + timedelta(Random(f"{seed}/away").randrange(early, late))  # noqa: S311
        self.away = Away(from_on=start, back_on=start + timedelta(AWAY_DAYS))

    @property
    def garden(self) -> Garden:
        """The garden, with the days away that are known by now."""
        return self.inputs.garden

    def lived(self) -> Replay:
        """Live through the weeks and give what came of them."""
        for number in range(7 * self.weeks):
            self.today = self.starts_on + timedelta(number)
            if self.today == self.away.from_on - timedelta(TOLD_BEFORE):
                self.inputs = replace(self.inputs, garden=replace(self.garden, away=(*self.garden.away, self.away)))
                self._be_surprised("away week told")
            if self.garden.at_home(self.today):
                self._live_a_day()
        return Replay(
            policy=self.policy,
            seed=self.seed,
            replans=len(self.seconds),
            share=self._share(),
            planned=tuple(self.planned),
            broken=tuple(self.broken),
            promised=self.promised,
            seconds=tuple(self.seconds),
            surprises=dict(self.surprises),
            wrong=tuple(self.wrong),
            facts=self.inputs.journal.last_number,
        )

    def _share(self) -> float:
        """Measure what was told to be harvested, where the first plan had it in reach."""
        standing = self.inputs.standing(self.plan, self.today)
        batches = [
            replace(batch, harvests=tuple(each for each in batch.harvests if each.is_recorded))
            for batch in standing.begun
        ]
        reach: dict[str, date | None] = {}
        for week in reversed(self.first.weeks):
            reach |= {entry.want: week.starts_on for entry in week.wants if entry.in_reach}
        return measure(
            self.garden,
            batches,
            self.starts_on,
            self.starts_on,
            self.weeks,
            self.today,
            reach,
        ).served_share

    def _be_surprised(self, by: str) -> None:
        self.surprises[by] += 1
        self.is_surprised = True

    # A day of the person.

    def _live_a_day(self) -> None:
        self._look()
        self._work()
        if self.is_surprised and self.policy != "frozen":
            self.is_surprised = False
            self._plan_again()
            # What the new plan has for today is done in the evening.
            self._work()

    def _look(self) -> None:
        """See what came up and what was lost."""
        for life in self.lives.values():
            if not life.is_seen and life.up_on <= self.today:
                self._see(life)
            for loss in [each for each in life.losses if life.up_on + timedelta(each.after_days) <= self.today]:
                life.losses.remove(loss)
                if not life.is_over:
                    self._lose(life, loss)

    def _see(self, life: Life) -> None:
        planned = self._planned(life.id)
        life.is_seen = True
        self._tell("emerged", life, plants=life.up)
        if planned is not None and planned.emerges_on is not None:
            if (self.today - planned.emerges_on).days >= LATE_DAYS:
                self._be_surprised("emerged late")
            if life.up < planned.plants:
                self._be_surprised("too few came up")
        life.is_over = life.up == 0

    def _lose(self, life: Life, loss: Loss) -> None:
        if life.planted_on is None:
            plants = self._told(life.id).plants
            life.up = 0 if loss.is_whole else life.up - 1
            if life.up >= plants:
                return
            self._tell("lost", life, plants=None if life.up == 0 else 1)
            life.is_over = life.up == 0
        else:
            lost = life.holes if loss.is_whole else (life.holes[int(loss.which * len(life.holes))],)
            self._tell("lost", life, holes=() if loss.is_whole else lost)
            self._leave(life, lost)
        self._be_surprised("batch lost" if life.is_over else "plant lost")

    def _leave(self, life: Life, holes: Iterable[int]) -> None:
        life.holes = tuple(hole for hole in life.holes if hole not in {*holes})
        life.is_over = not life.holes

    def _work(self) -> None:
        """Do what is due today, or was due before and could not be done, as far as it truly can be."""
        chores = planned_chores(self.garden, self._plan_as_recorded())
        todo = {**{chore.key: chore for chore in chores if chore.on == self.today}, **self.waiting}
        self.waiting = {}
        for chore in sorted(todo.values(), key=lambda chore: (WORK_ORDER.index(chore.kind), chore.on, chore.key)):
            if not self._is_done(chore):
                self.waiting[chore.key] = chore
        if self.garden.is_harvest_day(self.today):
            self._take_what_cannot_wait(chore for chore in chores if chore.kind == "harvest" and chore.on > self.today)

    def _is_done(self, chore: Chore) -> bool:
        """Do a chore; say whether nothing of it is left to do."""
        life = self.lives.get(chore.batches[0])
        match chore.kind:
            case "sow":
                return life is not None or (self.garden.is_chore_day(self.today) and self._sow(chore.batches[0]))
            case "clean":
                if not self._standing_in(chore.tote):
                    self._say(Saying(kind="scrubbed", on=self.today, what=(chore.tote,)))
                return True
            case _ if life is None or life.is_over:
                # What was never sown or is gone asks for nothing.
                return True
            case "transplant":
                return life.planted_on is not None or self._planted(life, chore)
            case "harvest":
                return self.garden.is_harvest_day(self.today) and self._harvested(life, chore)
            case "clear":
                return self._cleared(life)
            case _:
                raise AssertionError(f"{chore.kind} is no kind that is planned")

    def _sow(self, number: int) -> bool:
        facts = self._say(Saying(kind="sown", on=self.today, what=(str(number),)))
        for fact in facts:
            assert fact.batch is not None
            assert fact.cells is not None
            crop = self.inputs.garden.crops[fact.crop]
            nth = sum(1 for life in self.lives.values() if (life.crop, life.sown_on) == (crop, self.today))
            fate = fate_of(self.seed, crop, self.today, nth)
            nursery = conditions_at(self.garden.nursery.place, self.today, SPAN_DAYS, self.garden.sky)
            published_on = emerges_on(crop, self.today, nursery)
            assert published_on is not None
            days = max(1, round((published_on - self.today).days * fate.emergence))
            chance = cell_chance(crop.germination_percent, (fact.seeds or fact.cells) // fact.cells)
            up = sum(draw < chance for draw in fate.cells[: fact.cells])
            self.lives[fact.batch] = Life(
                id=fact.batch, crop=crop, fate=fate, sown_on=self.today, up_on=self.today + timedelta(days), up=up,
                losses=list(fate.losses),
            )  # fmt: skip
            if fact.planned_on != self.today:
                self._be_surprised("sown late")
        return bool(facts)

    def _planted(self, life: Life, chore: Chore) -> bool:
        """Plant seedlings if they are old enough and their holes are free."""
        if not self.garden.is_chore_day(self.today) or not life.is_seen:
            return False
        nursery = conditions_at(self.garden.nursery.place, life.sown_on, SPAN_DAYS, self.garden.sky)
        window = transplant_window(life.crop, life.sown_on, nursery, emerged_on=life.up_on)
        told = self._told(life.id)
        holes, tote = told.holes or chore.holes, told.tote or chore.tote
        others = self._standing_in(tote)
        is_still = self.garden.tote(tote).system == "kratky"
        taken = {hole for other in others for hole in other.holes}
        if window is None or self.today < window[0] or taken & {*holes} or (
            is_still and any(other.planted_on != self.today for other in others)
        ):  # fmt: skip
            return False
        for fact in self._tell("transplanted", life):
            life.planted_on, life.tote, life.holes = self.today, fact.tote, fact.holes
            if fact.planned_on != self.today:
                self._be_surprised("planted late")
        return life.planted_on is not None

    def _harvested(self, life: Life, chore: Chore) -> bool:
        if life.planted_on is None:
            return False
        if life.taken[-1:] == [self.today] and life.crop.harvest.kind != "head":
            # One cut answers all that were waiting.
            return True
        if len(life.taken) >= life.crop.harvest.most and life.crop.harvest.kind != "head":
            return True
        due_on = self._due(life)[0]
        if due_on is None or self.today < due_on:
            if chore.on == self.today:
                self._tell("note", life, text="not ready yet")
            return False
        self._take(life, chore.holes)
        if chore.on < self.today:
            self._be_surprised("harvested late")
        return True

    def _take(self, life: Life, holes: Iterable[int]) -> None:
        assert life.planted_on is not None
        is_head = life.crop.harvest.kind == "head"
        holes = tuple(hole for hole in holes if hole in life.holes) if is_head else life.holes
        if not holes:
            return
        tote = self.garden.tote(life.tote)
        number, since = (1, life.planted_on) if is_head else (len(life.taken) + 1, max((life.planted_on, *life.taken)))
        room = lid_area_m2(tote) / carried(life.crop, tote)
        grams = round(len(holes) * self._growing(life).grams(number, since, self.today, room), 1)
        self._tell("harvested", life, grams=grams, holes=holes if is_head else ())
        life.taken.append(self.today)
        if is_head:
            self._leave(life, holes)

    def _take_what_cannot_wait(self, chores: Iterable[Chore]) -> None:
        """Take what is ready and will not be good any more on the day it is planned for, as late as it can be."""
        seen = set()
        for chore in chores:
            life = self.lives.get(chore.batches[0])
            if life is None or life.is_over or life.planted_on is None or (life.id in seen):
                continue
            seen.add(life.id)
            if any(each.kind == "harvest" and each.batches == chore.batches for each in self.waiting.values()):
                continue
            due_on, last_on = self._due(life)
            if due_on is None or last_on is None or not due_on <= self.today <= last_on < chore.on:
                continue
            later = (self.today + timedelta(days) for days in range(1, (last_on - self.today).days + 1))
            if not any(self.garden.is_harvest_day(day) for day in later):
                self._take(life, chore.holes)
                self._be_surprised("harvested early")

    def _cleared(self, life: Life) -> bool:
        waits = any(
            each.kind in ("harvest", "transplant") and each.batches[0] == life.id for each in self.waiting.values()
        )
        if waits or life.planted_on is None:
            return False
        self._tell("cleared", life)
        self._leave(life, life.holes)
        return True

    def _growing(self, life: Life) -> GrowingPlace:
        assert life.planted_on is not None
        place = self.garden.place_of(self.garden.tote(life.tote), life.planted_on)
        assert place is not None
        there = conditions_at(self.garden.place(place), life.planted_on, SPAN_DAYS, self.garden.sky)
        return GrowingPlace(true_crop(life.crop, life.fate), there)

    def _due(self, life: Life) -> tuple[date | None, date | None]:
        """Give the first and the last day of the next harvest, as it truly is."""
        assert life.planted_on is not None
        growing = self._growing(life)
        is_first = not life.taken or life.crop.harvest.kind == "head"
        due_on = growing.first_due(life.planted_on) if is_first else growing.next_due(life.taken[-1])
        return due_on, None if due_on is None else growing.latest(due_on, life.planted_on)

    def _standing_in(self, tote: str) -> list[Life]:
        return [life for life in self.lives.values() if life.tote == tote and life.holes]

    # What is told and planned.

    def _planned(self, number: int) -> Batch | None:
        return next((batch for batch in self.plan.batches if batch.id == number), None)

    def _plan_as_recorded(self) -> Plan:
        return plan_as_recorded(self.plan, self.inputs.standing(self.plan, self.today), self.today)

    def _told(self, number: int) -> Batch:
        return next(batch for batch in self._plan_as_recorded().batches if batch.id == number)

    def _tell(
        self,
        kind: FactKind,
        life: Life,
        *,
        plants: int | None = None,
        grams: float | None = None,
        holes: tuple[int, ...] = (),
        text: str = "",
    ) -> Sequence[Fact]:
        saying = Saying(
            kind=kind, on=self.today, what=(str(life.id),), plants=plants, grams=grams, holes=holes, text=text
        )
        return self._say(saying)

    def _say(self, saying: Saying) -> Sequence[Fact]:
        """Record what is said; what is true must never be refused."""
        inputs = self.inputs
        if self.policy == "least change, learning":
            grounds = inputs.grounds(self.plan, self.today)
        else:
            grounds = Grounds(
                garden=inputs.garden, learnt=inputs.garden.crops, plan=self.plan, journal=inputs.journal,
                today=self.today,
            )  # fmt: skip
        try:
            told = facts_of(saying, grounds)
        except InputFaults as refused:
            self.wrong.append(f"{self.today}: {' '.join(map(str, refused.faults))}: {saying}")
            return ()
        first = inputs.journal.last_number + 1
        facts = tuple(replace(fact, number=number) for number, fact in enumerate(told.facts, start=first))
        journal = Journal(uuid=self.plan.uuid, facts=(*inputs.journal.facts, *facts))
        self.inputs = replace(inputs, journal=journal)
        return [fact for fact in facts if not fact.assumed]

    def _plan_again(self) -> None:
        inputs = self.inputs.learnt() if self.policy == "least change, learning" else self.inputs
        old = self.plan
        started = perf_counter()
        if self.policy == "afresh":
            new = make_plan(inputs, today=self.today, old=old, is_afresh=True, seconds=SECONDS)
        else:
            new = rebalance(inputs, today=self.today, old=old, seconds=SECONDS).plan
        self.seconds.append(perf_counter() - started)
        self.planned.append(new.proof.served_share)
        self.wrong += [f"{self.policy}, {self.today}: {each}" for each in self._faults_of(new, inputs)]
        since = [fact for fact in inputs.journal.standing if fact.number > self.seen_facts]
        self.seen_facts = inputs.journal.last_number
        self.broken += dates_broken(old, new, self.garden, self.today, since)
        self.promised += dates_promised(old, self.garden, self.today)
        self.plan = new
        # What the new plan still has to come is for the new plan to say.
        to_come = {chore.key for chore in planned_chores(self.garden, new) if chore.on >= self.today}
        self.waiting = {
            key: chore for key, chore in self.waiting.items()
            if key not in to_come and (chore.batches[0] in self.lives or chore.kind == "clean")
        }  # fmt: skip

    def _faults_of(self, new: Plan, inputs: Inputs) -> Iterator[str]:
        """Give what a new plan does that no plan may do."""
        standing = inputs.standing(self.plan, self.today)
        for breach in verify(
            inputs.garden, new, today=self.today, starts_on=self.starts_on, resting=standing.rests,
            begun=standing.begun,
        ):  # fmt: skip
            yield breach.sentence
        by_id = {batch.id: batch for batch in new.batches}
        facts: dict[int, list[Fact]] = defaultdict(list)
        for fact in inputs.journal.standing:
            if fact.batch is not None:
                facts[fact.batch].append(fact)
        for number, own in facts.items():
            if number not in by_id:
                yield f"batch {number} was told of and is not in the plan"
            else:
                yield from _dishonoured(by_id[number], own)
        for batch in new.batches:
            if self.names.setdefault(batch.id, _name(batch)) != _name(batch):
                yield f"batch {batch.id} was {self.names[batch.id]} and is {_name(batch)}"
            before = {*_days(self._planned(batch.id)), *(fact.on for fact in facts[batch.id])}
            for day in _days(batch):
                if day < self.today and day not in before:
                    yield f"batch {batch.id} has {day}, which is over and was neither told nor planned"


def _dishonoured(batch: Batch, own: Sequence[Fact]) -> Iterator[str]:
    """Give the facts of a batch that a plan does not keep."""
    harvested: dict[date, float] = defaultdict(float)
    for fact in own:
        if fact.kind == "sown" and (fact.on, fact.crop, fact.want) != (batch.sown_on, batch.crop, batch.want):
            yield f"batch {batch.id} was told to be {fact.crop} sown on {fact.on}"
        if fact.kind == "transplanted" and fact.on != batch.transplanted_on:
            yield f"batch {batch.id} was told to be planted on {fact.on}, not on {batch.transplanted_on}"
        if fact.kind == "harvested":
            harvested[fact.on] += fact.grams or 0.0
    kept = {each.on: each.grams for each in batch.harvests if each.is_recorded}
    for on, grams in harvested.items():
        if abs(kept.get(on, -1.0) - grams) > 0.01:
            yield f"batch {batch.id} was told to give {grams} g on {on}, not {kept.get(on)}"


def _days(batch: Batch | None) -> tuple[date, ...]:
    if batch is None:
        return ()
    planted = () if batch.transplanted_on is None else (batch.transplanted_on,)
    return (batch.sown_on, *planted, *(each.on for each in batch.harvests))


def _name(batch: Batch) -> tuple[str, str]:
    return batch.crop, batch.want
