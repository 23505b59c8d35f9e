"""The solver's own promises, on programs small enough to see through."""

from __future__ import annotations

import pytest

from steadysow.search.solver import Effort, Program, Stage, solve


@pytest.mark.parametrize("small", [0, 100])
@pytest.mark.parametrize("starts", [((4, 0),), ((4, 0), (1, 1)), ((1, 1), (4, 0))])
def test_no_start_loosens_a_rule(small: int, starts: tuple[tuple[int, int], ...]) -> None:
    """A rule that can be kept is kept, though a start that breaks it has the better aim."""
    program = Program()
    cress, mizuna = (program.whole(4, when=day) for day in (0, 1))
    slack = program.part(100.0, penalty=1.0)
    program.row({cress: 1.0, mizuna: 1.0}, most=4)
    program.row({cress: 1.0, mizuna: -1.0, slack: -1.0}, most=0)
    stage = Stage(name="best", aim={cress: 2.0, mizuna: 1.0}, passes=((7, 7, 0),), proves=True)

    solution = solve(
        program,
        (stage,),
        seconds=60,
        starts=[{cress: own, mizuna: other} for own, other in starts],
        effort=Effort(small=small),
    )

    reached = solution.reached[-1]
    assert reached.columns[slack] == pytest.approx(0.0, abs=1e-5)
    assert (round(reached.columns[cress]), round(reached.columns[mizuna])) == (2, 2)
    assert reached.value == pytest.approx(6.0)


def test_a_heavier_penalty_is_avoided_first() -> None:
    """Where one of two rules must give, it is the one that weighs less."""
    program = Program()
    planted = program.whole(1, when=0)
    light, heavy = program.part(10.0, penalty=1.0), program.part(10.0, penalty=100.0)
    program.row({planted: 5.0, light: -1.0}, most=0)
    program.row({planted: 1.0, heavy: 1.0}, least=1)

    solution = solve(program, (Stage(name="best", aim={planted: 0.5}, proves=True),), seconds=60)

    assert round(solution.reached[-1].columns[planted]) == 1
