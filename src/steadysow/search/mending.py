"""Mending: re-plan with few changes, so that what the plan in force promised is kept unless a change is worth it.

Takes what stands and the batches of the plan in force; gives the batches of a plan that serves most for the least
change.  Hides the prices: changes are columns of the exact program, as in Kazan, Nagi and Rump (2000, Computers and
Operations Research 27:1325-1345; abstract seen), who price a cancelled set-up, a new one and a changed quantity apart.
The plants of an old batch are carried to an entry of the same line, on another day or into another tote, or they are
cancelled.  An entry that nothing was carried to is new.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from time import monotonic
from typing import Literal

from steadysow.inputs.garden import Garden
from steadysow.plan.batch import Batch
from steadysow.search.assemble import assemble
from steadysow.search.candidates import Candidates, Line, PlantState
from steadysow.search.choose import Task, choose
from steadysow.search.decide import Decision, Span, decide, reach_of, task_of
from steadysow.search.ease import fewest_lives
from steadysow.search.model import Model, build
from steadysow.search.naming import name_totes
from steadysow.search.narrowing import narrowed, promised_or_like
from steadysow.search.propose import propose
from steadysow.search.rules_of_thumb import greedy
from steadysow.search.solver import Effort, Ended, OnProgress, Stage, Terms, solve
from steadysow.search.strands import Strand, followed, sowing_of, start_of, strands_of
from steadysow.standing.standing import Standing

Freedom = Literal["low", "middle", "high"]

# All prices are our choice, tried on replayed seasons.

# What one changed chore has to gain, in hundredths of the served share.
PRICES: Mapping[Freedom, float] = {"low": 0.15, "middle": 0.06, "high": 0.01}

# The coming days stay as they are unless that has become impossible: no share outweighs this price.
HELD_DAYS, HELD = 7, 1000.0

# Right after the held days a change costs this many times the price of a far one; the factor falls to 1 in these days.
NEAR, FAR_DAYS = 2.0, 56

# A batch is only the same one if it is planted within so many days of the promised day [d].
MOST_MOVED_DAYS = 21

# Prices, in chores: plants planted on another day, for each week; in another tote; not at all; a new batch; and a batch
# with any plant elsewhere.
MOVED_A_WEEK, MOVED_TOTE, CANCELLED, NEW, TOUCHED = 0.25, 0.5, 2.0, 3.0, 2.0

# The price of harvesting a tote full of plants that was not promised, in chores.
MORE = 0.5

# What the tail after the planned weeks is worth beside them [share].
TAIL = 0.1

# The part of the time that looking for the best plan may take, and the part of the rest that mending may take.
AFRESH, MENDING = 0.5, 0.8

# Where there was no time to mend, deciding gets at least this long [s].
LEAST_SECONDS = 10.0

# A window's search may stop this near to its best [hundredths of the served share].
ENOUGH = 0.2

# How much of the aim may be given up for fewer different lives [hundredths of the served share].
TRIFLE = 0.3

EFFORT = Effort(window_nodes=20, small=0)
PASSES = ((42, 35, 28), (42, 35, 28))


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """Plants of an old batch, and the entry at which they are planted.

    Attributes
    ----------
    batch
        The number of the old batch.
    entry
        Their state as they enter a tote: the promised one, or another tote or day.
    plants
        How many plants.
    """

    batch: int
    entry: PlantState
    plants: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Mended:
    """A mended plan.

    Attributes
    ----------
    decision
        The plan's batches; its choice is the one of planning afresh from what stands, for the best share.  A batch
        whose plants were mostly carried to another entry keeps its number there.
    broken
        Numbers of the batches that could no longer be followed as they were planned.
    """

    decision: Decision
    broken: frozenset[int] = frozenset()


def mend(
    garden: Garden,
    standing: Standing,
    *,
    span: Span,
    old: Sequence[Batch],
    freedom: Freedom = "middle",
    seconds: float = 10.0,
    on_progress: OnProgress | None = None,
) -> Mended:
    """Mend the plan in force.

    First the best plan is sought as if nothing were promised.  Then a second program chooses, among what that plan does
    and what was promised, in any tote, what serves most for the least change.

    Parameters
    ----------
    garden, standing
        The garden, and its begun batches and resting totes.
    span
        The weeks to plan.
    old
        Batches of the plan in force, with the journal applied; begun ones included.
    freedom
        How much may change.
    seconds
        Ceiling on the time [s].
    on_progress
        Called with the best share and the bound so far, and the seconds since the start.
    """
    stop_at = monotonic() + seconds
    days = span.days(garden)
    alike = propose(garden, standing, first_on=span.first_on, today=span.today, days=days)
    task = task_of(alike, standing, span)
    promised = followed(alike, old)
    best = choose(
        alike,
        task,
        seconds=AFRESH * seconds,
        starts=(promised, greedy(alike, task)),
        is_easy=False,
        on_progress=on_progress,
    )
    each = propose(garden, standing, first_on=span.first_on, today=span.today, days=days, by_tote=True)
    strands = followed(each, old)
    mender = _Mender(task=task, old=old, price=PRICES[freedom])
    offered = promised_or_like(each, strands, (*promised, *best.strands))
    found = mender.mended(offered, seconds=MENDING * (stop_at - monotonic()))
    if found is None:
        # There was no time to find out which promises can be kept together, so only what stands counts.
        again = decide(garden, standing, span=span, old=old, seconds=max(LEAST_SECONDS, seconds))
        return Mended(decision=replace(again, choice=replace(again.choice, status="time limit")))
    if {strand.begun for strand in best.strands} - {strand.begun for strand in found.strands}:
        # A waiting batch found no tote among what was offered, so offer every way in which it can go on.
        offered = promised_or_like(each, [strand for strand in strands if strand.begun is None], best.strands)
        found = mender.mended(offered, seconds=MENDING * (stop_at - monotonic())) or found
    # A person likes few large sowings better than many small ones, so look for fewer different lives.
    few = narrowed(offered, found.strands, (step for strand in found.strands for step in strand.steps))
    found = mender.plain(few, found, seconds=stop_at - monotonic()) or found
    placed = name_totes(each, found.strands, like=old)
    assert placed is not None, "totes counted one by one can always be named"
    batches = _numbered(assemble(each, placed, standing, old=old), old, found.carried, each)
    kept = {(strand.line, strand.group, strand.begun, strand.transplant_day, strand.leaves_day) for strand in strands}
    choice = best if found.status == "done" else replace(best, status=found.status)
    return Mended(
        decision=Decision(batches=batches, choice=choice, reach=reach_of(alike)),
        broken=frozenset(batch.id for batch in old if not _is_followed(batch, kept, each)),
    )


def _is_followed(batch: Batch, kept: set[tuple[int, int, int | None, int, int]], candidates: Candidates) -> bool:
    """Say whether a batch could still be followed as it was planned, to its end."""
    if batch.transplanted_on is None or batch.cleared_on is None or batch.state in ("done", "lost"):
        return batch.state in ("done", "lost")
    lines = {(line.crop.name, line.want): i for i, line in enumerate(candidates.lines)}
    groups = {tote: g for g, group in enumerate(candidates.groups) for tote in group.totes}
    begun = next((b for b, each in enumerate(candidates.begun) if each.id == batch.id), None)
    line, group = lines.get((batch.crop, batch.want)), groups.get(batch.tote)
    days = (candidates.day_of(batch.transplanted_on), candidates.day_of(batch.cleared_on))
    return line is not None and group is not None and (line, group, begun, *days) in kept


def _numbered(
    batches: Iterable[Batch], old: Sequence[Batch], carried: Sequence[Carried], candidates: Candidates
) -> tuple[Batch, ...]:
    """Give each old batch whose number is free the batch that took most of its plants."""
    numbered = {batch.id: batch for batch in batches}
    known = {batch.id for batch in old}
    fresh = {number for number, batch in numbered.items() if number not in known and batch.state == "planned"}
    by_number: dict[int, list[Carried]] = defaultdict(list)
    for each in carried:
        by_number[each.batch].append(each)
    for number in sorted(by_number.keys() - numbered.keys()):
        for each in sorted(by_number[number], key=lambda each: (-each.plants, each.entry.last_day)):
            there = [other for other in sorted(fresh) if _is_at(numbered[other], each.entry, candidates)]
            if there:
                taken = max(there, key=lambda other: (min(numbered[other].plants, each.plants), -other))
                fresh.discard(taken)
                numbered[number] = replace(numbered.pop(taken), id=number)
                break
    return tuple(sorted(numbered.values(), key=lambda batch: batch.id))


def _line_of(line: Line) -> tuple[str, str]:
    return line.crop.name, line.want


def _is_at(batch: Batch, entry: PlantState, candidates: Candidates) -> bool:
    """Say whether a batch enters where and when an entry does."""
    line, totes = candidates.lines[entry.line], candidates.groups[entry.group].totes
    is_there = batch.tote in totes and batch.transplanted_on == candidates.date_of(entry.last_day)
    return is_there and (batch.crop, batch.want) == _line_of(line)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Found:
    """The result of one of the mender's searches."""

    strands: tuple[Strand, ...]
    carried: tuple[Carried, ...]
    status: Ended


@dataclass(frozen=True, slots=True, kw_only=True)
class _Mender:
    """The two searches of `mend`: for the least change, then for the fewest lives."""

    task: Task
    old: Sequence[Batch]
    price: float

    def mended(self, candidates: Candidates, *, seconds: float) -> _Found | None:
        """Look for what serves most for the least change, starting from what was promised."""
        model, changes = self._model(candidates)
        stages = (Stage(name="mend", aim=changes.aim(), enough=ENOUGH, passes=PASSES, proves=True),)
        return self._found(model, changes, stages, changes.strands, seconds)

    def plain(self, candidates: Candidates, found: _Found, *, seconds: float) -> _Found | None:
        """Look for the fewest different lives; they may give up `TRIFLE` of the aim."""
        model, changes = self._model(candidates)
        aim = changes.aim()
        fewest = fewest_lives(model.columns, but_for=changes.promised)
        stages = (
            Stage(name="mend", aim=aim, give_up=TRIFLE, searches=False),
            Stage(name="plain", aim=fewest, enough=1.0, passes=((70, 56, 0),)),
        )
        again = self._found(model, changes, stages, found.strands, seconds)
        return replace(again, status=found.status) if again is not None and found.status != "done" else again

    def _model(self, candidates: Candidates) -> tuple[Model, _Changes]:
        task = self.task
        model = build(candidates, weeks=task.weeks, wanted=task.wanted, leftovers=task.leftovers)
        return model, _Changes(model, followed(candidates, self.old), self.old, self.price)

    def _found(
        self, model: Model, changes: _Changes, stages: tuple[Stage, ...], start: tuple[Strand, ...], seconds: float
    ) -> _Found | None:
        """Search from a start; strands of the start that are found again stay as they are."""
        starts = [start_of(model.columns, start)] if start else []
        solution = solve(model.program, stages, seconds=max(1.0, seconds), starts=starts, effort=EFFORT)
        if len(solution.reached) < len(stages):
            return None
        reached = solution.reached[-1]
        return _Found(
            strands=tuple(strands_of(model.columns, reached, like=start)),
            carried=tuple(changes.carried_by(reached.columns)),
            status=solution.status,
        )


class _Changes:
    """The columns that say what changes, and their prices."""

    def __init__(self, model: Model, strands: tuple[Strand, ...], old: Sequence[Batch], price: float) -> None:
        self.model, self.columns, self.program = model, model.columns, model.program
        self.strands, self.old, self.price = strands, old, price
        self.carried: dict[tuple[int, PlantState], int] = {}
        self.promised: set[int] = set()
        self.own: set[PlantState] = set()

    def aim(self) -> Terms:
        """Give what is to be maximised: hundredths of the served share, less the price of all changes."""
        model, weeks = self.model, self.columns.weeks
        terms = {c: 100.0 * value for c, value in model.served_share(0, weeks).items()}
        terms |= {c: 100.0 * TAIL * value for c, value in model.served_share(weeks, float("inf")).items()}
        for column, value in (*self._kept().items(), *self._planted().items()):
            terms[column] = terms.get(column, 0.0) + value
        return terms

    def carried_by(self, values: Sequence[float]) -> Iterable[Carried]:
        """Say where a solution carries the plants of old batches."""
        for (number, entry), column in self.carried.items():
            if values[column] > 0.5:
                yield Carried(batch=number, entry=entry, plants=values[column])

    def _kept(self) -> Terms:
        """Reward each promised sowing, planting and harvest that is kept; price those that were not promised."""
        columns, candidates, program = self.columns, self.columns.candidates, self.program
        steps = dict(zip(candidates.steps, columns.steps, strict=True))
        units = dict(zip(candidates.steps, columns.units, strict=True))
        sowings = dict(zip(candidates.sowings, columns.sowings, strict=True))
        plants: dict[int, float] = defaultdict(float)
        worth: dict[int, float] = defaultdict(float)
        for strand in self.strands:
            if strand.begun is None:
                column = sowings[sowing_of(strand)]
                plants[column] += strand.plants
                worth[column] += self._worth(strand.sown_day)
            else:
                choice = self.model.waiting.choices.get((strand.begun, strand.group, strand.transplant_day))
                if choice is not None:
                    # A waiting batch is planted, whole, where and when it was promised.
                    plants[choice] = 1.0
                    worth[choice] = CANCELLED * self._worth(strand.transplant_day)
            for step in strand.steps:
                plants[steps[step]] += strand.plants / units[step]
                worth[steps[step]] += self._worth(step.to_day)
        self.promised = {*plants}
        terms: dict[int, float] = {}
        for column, number in plants.items():
            kept = program.part(number)
            program.row({kept: 1.0, column: -1.0}, most=0)
            terms[kept] = worth[column] / number
        # A harvest that was not promised is a chore more, in proportion to the plants harvested.
        for step, column in steps.items():
            if step.number and column not in plants:
                usual = candidates.groups[step.group].carried[columns.crop_of(step).name]
                terms[column] = -MORE * self._worth(step.to_day) * units[step] / usual
        # Sowing a crop on a day for which no sowing of it was promised is a new chore.
        promised = {
            (candidates.lines[strand.line].crop.name, strand.sown_day)
            for strand in self.strands
            if strand.begun is None
        }
        for key, column in columns.crop_days.items():
            if key not in promised:
                terms[column] = -NEW * self._worth(key[1])
        return terms

    def _planted(self) -> Terms:
        """Carry the plants of each old batch to entries of its line; price moved, cancelled and new plants."""
        columns, candidates, program = self.columns, self.columns.candidates, self.program
        entries = [
            state
            for state in columns.starting
            if state.begun is None and state.harvests == 0 and state not in columns.ending
        ]
        arriving: dict[PlantState, list[int]] = {entry: [] for entry in entries}
        terms: dict[int, float] = {}
        for batch in self.old:
            if batch.state == "planned":
                terms |= self._carry(batch, arriving)
        for entry, came in arriving.items():
            leaving = [columns.steps[s] for s in columns.starting[entry]]
            program.row({**dict.fromkeys(came, 1.0), **dict.fromkeys(leaving, -1.0)}, most=0)
            if entry not in self.own:
                # Plants that enter where nothing was promised are a batch more to look after.
                is_used = program.whole(1, when=entry.last_day)
                most = sum(program.upper[column] for column in leaving)
                carried = candidates.groups[entry.group].carried[candidates.lines[entry.line].crop.name]
                program.row({**dict.fromkeys(leaving, 1.0), is_used: -min(most, carried)}, most=0)
                terms[is_used] = -NEW * self._worth(entry.last_day)
        return terms

    def _carry(self, batch: Batch, arriving: Mapping[PlantState, list[int]]) -> Terms:
        """Add a column for each entry to which a batch's plants may be carried, and give the worth of each."""
        candidates, program = self.columns.candidates, self.program
        line = next((i for i, each in enumerate(candidates.lines) if _line_of(each) == (batch.crop, batch.want)), None)
        if batch.transplanted_on is None or line is None:
            return {}
        planned = candidates.day_of(batch.transplanted_on)
        worth = self._worth(planned) / batch.plants
        terms: dict[int, float] = {}
        own: int | None = None
        for entry, came in arriving.items():
            days = abs(entry.last_day - planned)
            if entry.line == line and days <= MOST_MOVED_DAYS:
                column = self.carried[(batch.id, entry)] = program.part(batch.plants)
                came.append(column)
                is_elsewhere = batch.tote not in candidates.groups[entry.group].totes
                if days == 0 and not is_elsewhere:
                    own = column
                    self.own.add(entry)
                terms[column] = worth * (CANCELLED - MOVED_A_WEEK * days / 7 - MOVED_TOTE * is_elsewhere)
        if terms:
            program.row(dict.fromkeys(terms, 1.0), most=batch.plants)
        if own is not None:
            # A batch with some of its plants elsewhere is one that somebody has to think about.
            is_touched = program.whole(1, when=planned)
            program.row({own: 1.0, is_touched: float(batch.plants)}, least=batch.plants)
            terms[is_touched] = -TOUCHED * self._worth(planned)
        return terms

    def _worth(self, day: int) -> float:
        """Give the price of a changed chore: the nearer its day, the higher."""
        ahead = day - self.columns.candidates.today
        if ahead < HELD_DAYS:
            return HELD * self.price
        return self.price * (1 + (NEAR - 1) * max(0.0, 1 - (ahead - HELD_DAYS) / FAR_DAYS))
