"""Solving in this process: the search without its child, so that a test of a tiny program takes milliseconds."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import product
from time import monotonic

from steadysow.search.solver import USUAL, Effort, OnProgress, Program, Reached, Solution, Stage, Terms, _StageSearch

# What rounding may add to a row, or to a value.
DUST = 1e-6


def solve_here(
    program: Program,
    stages: tuple[Stage, ...],
    *,
    seconds: float = 60.0,
    starts: Sequence[Mapping[int, float]] = (),
    effort: Effort = USUAL,
    on_progress: OnProgress | None = None,
) -> Solution:
    """Do what `solve` does, without a child process."""
    if not program.lower:
        return Solution(reached=(), status="done")
    reached: dict[str, Reached] = {}

    def report(result: Reached) -> None:
        reached[result.name] = result
        if on_progress is not None:
            first = next(iter(reached.values()))
            on_progress(first.value, first.bound, 0.0)

    is_done = _StageSearch(program, monotonic() + seconds, effort, report).run(stages, starts)
    return Solution(reached=tuple(reached.values()), status="done" if is_done else "time limit")


def best_of(program: Program, aim: Terms) -> Reached:
    """Give the proven best of one aim."""
    (reached,) = solve_here(program, (Stage(name="best", aim=aim, proves=True),)).reached
    return reached


def best_with(program: Program, fixed: Mapping[int, float], aim: Terms) -> float | None:
    """Give the best value of an aim while some columns are fixed; ``None`` if the rows cannot be kept then."""
    lower, upper = program.lower.copy(), program.upper.copy()
    for column, value in fixed.items():
        program.lower[column] = program.upper[column] = value
    try:
        reached = solve_here(program, (Stage(name="best", aim=aim, proves=True),)).reached
    finally:
        program.lower[:], program.upper[:] = lower, upper
    return reached[-1].value if reached else None


def rows_hold(program: Program, values: Sequence[float]) -> bool:
    """Say whether values keep the bounds and all rows of a program, by adding up."""
    bounds = zip(program.lower, values, program.upper, strict=True)
    if any(not low - DUST <= value <= high + DUST for low, value, high in bounds):
        return False
    ends = [*program.starts[1:], len(program.columns)]
    for start, end, least, most in zip(program.starts, ends, program.row_least, program.row_most, strict=True):
        terms = zip(program.columns[start:end], program.values[start:end], strict=True)
        if not least - DUST <= sum(value * values[column] for column, value in terms) <= most + DUST:
            return False
    return True


def every_point(program: Program) -> Iterator[tuple[int, ...]]:
    """Give every point of a program of whole numbers that keeps all rows."""
    whole_numbers = (range(int(low), int(high) + 1) for low, high in zip(program.lower, program.upper, strict=True))
    return (point for point in product(*whole_numbers) if rows_hold(program, point))


def value_of(aim: Terms, values: Sequence[float]) -> float:
    """Give the value of an aim at a point."""
    return sum(factor * values[column] for column, factor in aim.items())
