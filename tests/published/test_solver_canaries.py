"""Small programs that some versions of the solver got wrong, put through our own room for it.

The data are those of issues told by users of the HiGHS project (the first is number 3094 of
https://github.com/ERGO-Code/HiGHS); the right values follow by hand, as the tests say.  Both were wrong in version
1.14.0 and are mended since 1.15.0.
"""

from __future__ import annotations

from importlib.metadata import version
from math import inf

import pytest

from steadysow.search.solver import ALWAYS, Program, Stage, solve

SOLVER_TOLERANCE = 1e-6


def test_solver_is_new_enough() -> None:
    """No version is used that calls a wrong answer optimal."""
    assert tuple(map(int, version("highspy").split(".")[:3])) >= (1, 15, 1)


def test_no_better_answer_is_cut_off() -> None:
    """One source covers the dearer of two needs and the cheaper is left: 8000, where 1.14.0 said 10000."""
    program = Program()
    sources = [program.whole(1, when=ALWAYS) for _ in range(2)]
    sent = [program.part(1000) for _ in range(2)]
    missing = [program.part(1000) for _ in range(2)]
    for source, flow, lack in zip(sources, sent, missing, strict=True):
        program.row({flow: 1.0, source: -1000.0}, most=0)
        program.row({flow: 1.0, lack: 1.0}, least=1000, most=1000)
    program.row(dict.fromkeys(sources, 1.0), most=1)
    cost = {missing[0]: -10.0, missing[1]: -8.0}

    assert best_of(program, cost) == pytest.approx((-8000, -8000), abs=SOLVER_TOLERANCE)


def test_whole_and_real_numbers_share_a_demand() -> None:
    """4.5 of the cheaper real number alone: 9, where 1.14.0 said 15."""
    program = Program()
    real, whole = program.part(10), program.whole(10, when=ALWAYS)
    program.row({real: 1.0, whole: 1.0}, least=4.5, most=inf)

    assert best_of(program, {real: -2.0, whole: -3.0}) == pytest.approx((-9, -9), abs=SOLVER_TOLERANCE)


def best_of(program: Program, aim: dict[int, float]) -> tuple[float, float]:
    """Give the best value and the bound proven for it."""
    solution = solve(program, (Stage(name="best", aim=aim, proves=True),), seconds=20)
    assert solution.status == "done"
    (reached,) = solution.reached
    return reached.value, reached.bound
