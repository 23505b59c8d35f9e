"""The solver: programs over whole numbers in, proven values out.

Takes a `Program` and the stages to optimise one after the other; gives a `Solution`.  Hides highspy, the child process
that it runs in (a hard stop needs one), and the search: a small program is searched as a whole, a large one by windows
in time.  Node counts limit the search, so that the clock does not decide.
"""

from __future__ import annotations

import math
import multiprocessing
import os
import signal
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from types import ModuleType
from typing import Any, Literal

# A sum of columns: the factor of each column.
Terms = Mapping[int, float]
# Takes the value and the bound of the first stage, and the seconds since the start.
OnProgress = Callable[[float, float, float], None]
# What ended a search.
Ended = Literal["done", "time limit", "interrupted"]

# The day of columns that are decided anew in every window.
ALWAYS = -(10**6)


@dataclass(slots=True)
class Program:
    """A program over whole and real numbers, built row by row; columns are numbered from 0.

    Attributes
    ----------
    lower, upper, integer, when
        By column: its bounds, whether it is a whole number, and the day it decides about.
    begun, following
        Columns of begun batches; columns that only go on with an earlier decision.
    penalties
        The price of a column that is kept as small as possible, by column.
    row_least, row_most, starts
        By row: its bounds, and where its terms begin in `columns` and `values`.
    columns, values
        The terms of all rows, one row after the other.
    """

    lower: list[float] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)
    integer: list[bool] = field(default_factory=list)
    when: list[int] = field(default_factory=list)
    begun: list[int] = field(default_factory=list)
    following: list[int] = field(default_factory=list)
    penalties: dict[int, float] = field(default_factory=dict)
    row_least: list[float] = field(default_factory=list)
    row_most: list[float] = field(default_factory=list)
    starts: list[int] = field(default_factory=list)
    columns: list[int] = field(default_factory=list)
    values: list[float] = field(default_factory=list)

    def whole(self, most: float, *, when: int, begun: bool = False, follows: bool = False) -> int:
        """Add a whole number from 0 to `most`; give its column.

        Parameters
        ----------
        most
            The upper bound.
        when
            The day it decides about; `ALWAYS` if it must be free in every window.
        begun
            Whether it may have to differ from 0 even if nothing new is sown.
        follows
            Whether it only goes on with an earlier decision.
        """
        if begun:
            self.begun.append(len(self.lower))
        if follows:
            self.following.append(len(self.lower))
        return self._column(most, True, when)

    def part(self, most: float, *, penalty: float = 0.0) -> int:
        """Add a real number from 0 to `most`; give its column.  With a penalty it is first of all kept small."""
        if penalty:
            self.penalties[len(self.lower)] = penalty
        return self._column(most, False, 0)

    def row(self, terms: Terms, *, least: float = -math.inf, most: float = math.inf) -> None:
        """Demand that the sum of the terms lies between `least` and `most`."""
        self.row_least.append(least)
        self.row_most.append(most)
        self.starts.append(len(self.columns))
        for column, value in terms.items():
            if value:
                self.columns.append(column)
                self.values.append(value)

    def _column(self, most: float, integer: bool, when: int) -> int:
        self.lower.append(0.0)
        self.upper.append(float(most))
        self.integer.append(integer)
        self.when.append(when)
        return len(self.lower) - 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """One aim, pursued once the aims before it are reached.

    Attributes
    ----------
    name
        For messages.
    aim
        Terms to be maximised.
    give_up
        How much of the value reached later stages may give up.
    least
        The value that later stages must keep; without it, `give_up` less than the value reached.
    enough
        A search may stop once its value is proven to be this close to the best.
    from_day
        The day on which the first window of the first pass begins.
    frozen
        Columns that do not matter to this aim; they are not raised, which makes the search smaller.
    proves
        Whether to prove a bound on the aim.
    far
        A start further than this from the bound is dropped for a search from nothing.
    passes
        The windows in time that are decided anew, one after the other, for each pass: their length, how far apart they
        begin, and how long after a window the columns that follow are decided with it [d].
    searches
        Whether to look for a better value, or only to keep the value that is there.
    """

    name: str
    aim: Terms
    give_up: float = 0.0
    least: float | None = None
    enough: float = 1e-6
    from_day: int = 0
    frozen: tuple[int, ...] = ()
    proves: bool = False
    far: float = math.inf
    passes: tuple[tuple[int, int, int], ...] = ()
    searches: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Reached:
    """The result of a stage: its value, the proven bound (``inf`` if nothing is proven), and the columns' values."""

    name: str
    value: float
    bound: float
    columns: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Solution:
    """What the solver found.

    Attributes
    ----------
    reached
        The results of the stages, in order; fewer than the stages if time ran out, none if no values keep the rows.
    status
        ``done``, or what cut the search short.
    """

    reached: tuple[Reached, ...]
    status: Ended


@dataclass(frozen=True, slots=True, kw_only=True)
class Effort:
    """How hard to search, in counts that do not depend on the machine.

    Attributes
    ----------
    window_nodes
        Most nodes of one window's search.
    small
        A program with at most this many whole numbers is searched as a whole, to a proof if the stage wants one.
    small_nodes
        Most nodes of that search, if no proof is wanted.
    """

    window_nodes: int = 10
    small: int = 1200
    small_nodes: int = 40


USUAL = Effort()

# More nodes than the search of a small program takes in practice.
PROOF_NODES = 10**6

# The part of the time that the first of several stages may take; the others share the rest evenly.
FIRST_STAGE = 0.85

# A penalty below this counts as none.
PENALTY_DUST = 1e-6

# Factor on aims whose terms are all below 1, such as shares.
SCALE = 1000.0

# The child may end by itself for this long after its ceiling; then it is stopped [s].
GRACE_SECONDS = 2.0


def solve(
    program: Program,
    stages: tuple[Stage, ...],
    *,
    seconds: float,
    starts: Sequence[Mapping[int, float]] = (),
    effort: Effort = USUAL,
    on_progress: OnProgress | None = None,
) -> Solution:
    """Optimise the stages one after the other, in a child process.

    Parameters
    ----------
    program, stages
        What to solve.
    seconds
        Ceiling on the time; the result depends on it only if it cuts in [s].
    starts
        Whole numbers to start from, by column; the solver chooses the columns left out.  The best start that keeps the
        rows is taken.
    effort
        How hard to search.
    on_progress
        Called with the value and the bound of the first stage, and the seconds since the start.
    """
    if not program.lower:
        return Solution(reached=(), status="done")
    context = multiprocessing.get_context("spawn")
    receiver, sender = context.Pipe(duplex=False)
    child = context.Process(target=_child, args=(sender, program, stages, seconds, starts, effort), daemon=True)
    started = time.monotonic()
    _start_without_main(child)
    sender.close()
    try:
        return _listen(receiver, started + seconds + GRACE_SECONDS, on_progress, started)
    finally:
        child.kill()
        child.join()
        receiver.close()


def _start_without_main(child: multiprocessing.process.BaseProcess) -> None:
    """Start a child that does not load the main program again.

    The main program may be a test runner, or lines typed at a prompt that cannot be loaded again.
    """
    main = sys.modules["__main__"]
    sys.modules["__main__"] = ModuleType("__main__")
    try:
        child.start()
    finally:
        sys.modules["__main__"] = main


def _listen(receiver: Connection, stop_at: float, on_progress: OnProgress | None, started: float) -> Solution:
    reached: dict[str, Reached] = {}
    status: Ended = "done"
    try:
        while True:
            if not receiver.poll(max(0.0, stop_at - time.monotonic())):
                status = "time limit"
                break
            try:
                message = receiver.recv()
            except EOFError:
                raise RuntimeError("the solver ended without an answer, perhaps because memory ran out") from None
            if isinstance(message, Reached):
                reached[message.name] = message
                if on_progress is not None:
                    first = next(iter(reached.values()))
                    on_progress(first.value, first.bound, time.monotonic() - started)
            else:
                status = message
                break
    except KeyboardInterrupt:
        status = "interrupted"
    return Solution(reached=tuple(reached.values()), status=status)


def _child(
    sender: Connection,
    program: Program,
    stages: tuple[Stage, ...],
    seconds: float,
    starts: Sequence[Mapping[int, float]],
    effort: Effort,
) -> None:
    """Run the search and send its results; only the parent reacts to Ctrl-C."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    # The solver prints a greeting on standard output, which belongs to the parent.
    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
    search = _StageSearch(program, time.monotonic() + seconds, effort, sender.send)
    sender.send("done" if search.run(stages, starts) else "time limit")


class _StageSearch:
    """The search over one program, stage after stage; it lives in the child."""

    def __init__(self, program: Program, stop_at: float, effort: Effort, send: Callable[[Reached], None]) -> None:
        import highspy
        import numpy

        self.np, self.program, self.effort, self.send, self.stop_at = numpy, program, effort, send, stop_at
        self.highs: Any = highspy.Highs()  # type: ignore[no-untyped-call]
        for option, value in (("output_flag", False), ("threads", 1), ("random_seed", 0), ("mip_rel_gap", 0.0)):
            self._set(option, value)
        count = len(program.lower)
        lp = highspy.HighsLp()
        lp.num_col_, lp.num_row_ = count, len(program.row_least)
        lp.col_cost_ = numpy.zeros(count)
        lp.col_lower_, lp.col_upper_ = numpy.array(program.lower), numpy.array(program.upper)
        lp.row_lower_, lp.row_upper_ = numpy.array(program.row_least), numpy.array(program.row_most)
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        lp.a_matrix_.start_ = numpy.array([*program.starts, len(program.columns)])
        lp.a_matrix_.index_ = numpy.array(program.columns)
        lp.a_matrix_.value_ = numpy.array(program.values)
        kinds = highspy.HighsVarType
        lp.integrality_ = [kinds.kInteger if whole else kinds.kContinuous for whole in program.integer]
        lp.sense_ = highspy.ObjSense.kMaximize
        self.highs.passModel(lp)
        self.all = numpy.arange(count, dtype=numpy.int32)
        self.integer = numpy.array(program.integer)
        self.when = numpy.array(program.when)
        self.follows = numpy.zeros(count, dtype=int)
        self.follows[program.following] = 1
        self.lower, self.upper = lp.col_lower_.copy(), lp.col_upper_.copy()
        self.was_cut = False
        self.reported: dict[str, float] = {}
        self.is_small = int(self.integer.sum()) <= effort.small

    def run(self, stages: tuple[Stage, ...], starts: Sequence[Mapping[int, float]] = ()) -> bool:
        """Search stage after stage; say whether the time sufficed."""
        self.nothing_new = self._nothing_new()
        if self.nothing_new is None:
            return not self.was_cut
        values = self._best_start(starts, stages[0].aim)
        if values is None:
            values = self.nothing_new
        for number, stage in enumerate(stages):
            # Earlier stages must leave time for later ones.
            share = FIRST_STAGE if number == 0 and len(stages) > 1 else 1 / (len(stages) - number)
            left = self.stop_at - time.monotonic()
            until = time.monotonic() + left * share if number < len(stages) - 1 else self.stop_at
            values = self._optimise(stage, values, until)
        return not self.was_cut

    def _best_start(self, starts: Sequence[Mapping[int, float]], aim: Terms) -> Any:
        """Complete the starts that keep all rows, and give the best; ``None`` if none does."""
        completed = [values for values in (self._completed(start, aim) for start in starts) if values is not None]
        cost = self._aim(aim)
        return max(completed, key=lambda values: float(cost @ values), default=None)

    def _nothing_new(self) -> Any:
        """Find values that keep all rows, without new plants if possible, and hold penalised columns to their least.

        The least is found here, before any start counts, so that no start can loosen a rule that can be kept.
        """
        begun = self.np.zeros(len(self.upper), dtype=bool)
        begun[self.program.begun] = True
        cost = self._aim({column: -penalty for column, penalty in self.program.penalties.items()})
        spare = self.np.where(self.integer & ~begun, 0.0, self.upper)
        values, _ = self._solve(self.lower, spare, None, nodes=1000)
        if values is None or cost @ values < -PENALTY_DUST:
            found, _ = self._solve(self.lower, self.upper, values, nodes=1000)
            values = values if found is None else found
        if values is not None:
            for column in self.program.penalties:
                self.upper[column] = min(self.upper[column], values[column] + PENALTY_DUST)
        return values

    def _completed(self, start: Mapping[int, float], aim: Terms) -> Any:
        """Complete a start: let the solver choose the columns that it leaves out."""
        lower, upper = self.lower.copy(), self.upper.copy()
        for column, value in start.items():
            lower[column] = upper[column] = value
        self._aim(aim)
        values, _ = self._solve(lower, upper, None, nodes=1000)
        if values is None:
            # A part of the start has become impossible, so keep as much of it as possible and add nothing.
            for column in start:
                lower[column] = self.lower[column]
            values, _ = self._solve(lower, upper, None, nodes=1000)
        return values

    def _optimise(self, stage: Stage, values: Any, until: float) -> Any:
        cost = self._aim(stage.aim)
        upper = self.upper.copy()
        for column in stage.frozen:
            upper[column] = values[column]
        bound = self._relaxation(upper) if stage.proves else math.inf
        self._report(stage, values, cost, bound)
        if stage.searches and not self.is_small:
            values = self._improve(stage, values, cost, upper, bound, until)
        elif stage.searches:
            nodes = PROOF_NODES if stage.proves else self.effort.small_nodes
            found, proven = self._solve(self.lower, upper, values, nodes=nodes, until=until)
            if found is not None and cost @ found >= cost @ values:
                values = found
            bound = min(bound, proven)
        bound = max(bound, cost @ values)
        self._report(stage, values, cost, bound)
        reached = float(cost @ values)
        self._keep(stage, reached - stage.give_up if stage.least is None else min(reached, stage.least))
        return values

    def _improve(self, stage: Stage, values: Any, cost: Any, upper: Any, bound: float, until: float) -> Any:
        """Pass windows over the program; from nothing if the start is far from the bound, which would be a trap."""
        if stage.proves and bound - cost @ values > stage.far:
            afresh = self._pass_windows(stage, self.nothing_new, cost, upper, bound, until)
            if cost @ afresh >= cost @ values:
                return afresh
        return self._pass_windows(stage, values, cost, upper, bound, until)

    def _pass_windows(self, stage: Stage, values: Any, cost: Any, upper: Any, bound: float, until: float) -> Any:
        last = int(self.when.max())
        for number, (days, stride, after) in enumerate(stage.passes):
            # Each pass cuts the time at other places than the one before.
            for start in range(stage.from_day - number * stride // 2, last, stride):
                if bound - cost @ values <= stage.enough:
                    return values
                if time.monotonic() >= until:
                    self.was_cut = True
                    return values
                late = self.when >= start + days + after * self.follows
                fixed = self.integer & (self.when != ALWAYS) & ((self.when < start) | late)
                found, _ = self._solve(
                    self.np.where(fixed, values, self.lower),
                    self.np.where(fixed, values, upper),
                    values,
                    nodes=self.effort.window_nodes,
                    enough=stage.enough,
                    until=until,
                )
                if found is not None and cost @ found > cost @ values:
                    values = found
                    self._report(stage, values, cost, bound)
        return values

    def _relaxation(self, upper: Any) -> float:
        _, bound = self._solve(self.lower, upper, None, is_relaxed=True)
        return bound

    def _solve(
        self,
        lower: Any,
        upper: Any,
        start: Any,
        *,
        nodes: int = 1,
        enough: float = 1e-9,
        until: float = math.inf,
        is_relaxed: bool = False,
    ) -> tuple[Any, float]:
        """Give the best values found within the bounds, in fractions if relaxed, and a bound on the aim."""
        left = min(until, self.stop_at) - time.monotonic()
        if left <= 0:
            self.was_cut = True
            return None, math.inf
        self._set("solve_relaxation", is_relaxed)
        # The solver's clock is not reset between runs, and its presolve gives up by that clock.
        self._set("time_limit", self.highs.getRunTime() + left)
        self._set("mip_max_nodes", nodes)
        self._set("mip_abs_gap", enough * self.scale)
        self.highs.changeColsBounds(len(self.all), self.all, lower, upper)
        if start is not None:
            chosen = self.all[self.integer]
            self.highs.setSolution(len(chosen), chosen, start[self.integer])
        self.highs.run()
        info = self.highs.getInfo()
        self.was_cut |= self.highs.getModelStatus().name == "kTimeLimit"
        if is_relaxed:
            # An unfinished relaxation proves nothing.
            is_done = self.highs.getModelStatus().name == "kOptimal"
            bound = info.objective_function_value / self.scale if is_done else math.inf
        else:
            bound = info.mip_dual_bound / self.scale
        if info.primal_solution_status != 2:
            return None, math.inf
        values = self.np.array(self.highs.getSolution().col_value)
        if not is_relaxed:
            values[self.integer] = self.np.round(values[self.integer])
        return values, bound

    def _aim(self, terms: Terms) -> Any:
        cost = self.np.zeros(len(self.all))
        for column, value in terms.items():
            cost[column] = value
        # The solver ignores costs far below 1; its tolerances are made for costs of about 1.
        self.scale = SCALE if max(map(abs, terms.values()), default=1.0) < 1.0 else 1.0
        self.highs.changeColsCost(len(self.all), self.all, cost * self.scale)
        return cost

    def _keep(self, stage: Stage, least: float) -> None:
        columns = self.np.array(list(stage.aim), dtype=self.np.int32)
        values = self.np.array(list(stage.aim.values()))
        self.highs.addRow(least - 1e-7, math.inf, len(columns), columns, values)

    def _report(self, stage: Stage, values: Any, cost: Any, bound: float) -> None:
        # A search from nothing may be worse than what was reported before.
        if cost @ values < self.reported.get(stage.name, -math.inf):
            return
        self.reported[stage.name] = float(cost @ values)
        columns = tuple(float(value) for value in values)
        self.send(Reached(name=stage.name, value=float(cost @ values), bound=bound, columns=columns))

    def _set(self, option: str, value: bool | float) -> None:
        # The solver does not raise an error for a wrong name or type; it only returns one.
        if self.highs.setOptionValue(option, value).name == "kError":
            raise ValueError(f"the solver does not take {option} = {value}")
