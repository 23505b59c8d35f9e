"""The solver keeps its promises, on programs small enough to look at every point."""

from __future__ import annotations

from math import inf
from multiprocessing import Pipe
from time import monotonic

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadysow.search.solver import (
    ALWAYS,
    FIRST_STAGE,
    USUAL,
    Effort,
    Program,
    Reached,
    Stage,
    _listen,
    _StageSearch,
    solve,
)

from .solving import DUST, best_of, every_point, rows_hold, solve_here, value_of

AIM = {0: 2.0, 1: -1.0, 2: 3.0, 3: 1.0}

few = settings(max_examples=40, deadline=None, derandomize=True, database=None)

aims = st.lists(st.integers(-4, 5), min_size=4, max_size=4).map(lambda factors: dict(enumerate(map(float, factors))))


@st.composite
def programs(draw: st.DrawFn) -> Program:
    """Give a program of four whole numbers up to 3 and four rows; all zeros keep its rows."""
    program = Program()
    numbers = [program.whole(draw(st.integers(1, 3)), when=7 * day) for day in range(4)]
    for _ in range(4):
        terms = {column: float(draw(st.integers(-3, 3))) for column in numbers}
        program.row(terms, least=-float(draw(st.integers(0, 4))), most=float(draw(st.integers(0, 6))))
    return program


def four_numbers() -> Program:
    """Make a program of four whole numbers, at most 5 together."""
    program = Program()
    program.row({program.whole(3, when=7 * day): 1.0 for day in range(4)}, most=5)
    return program


@few
@given(programs(), aims)
def test_best_of_all_points_is_found_and_proven(program: Program, aim: dict[int, float]) -> None:
    """The value is that of the best of all whole points, the bound is the same, and the columns keep the rows."""
    best = max(value_of(aim, point) for point in every_point(program))

    reached = best_of(program, aim)

    assert reached.value == pytest.approx(best, abs=DUST)
    assert reached.bound == pytest.approx(best, abs=DUST)
    assert rows_hold(program, reached.columns)
    assert value_of(aim, reached.columns) == pytest.approx(best, abs=DUST)


@few
@given(programs(), aims, aims, st.sampled_from((0.0, 2.0)))
def test_second_stage_is_best_among_what_the_first_leaves(
    program: Program, first: dict[int, float], second: dict[int, float], give_up: float
) -> None:
    """The second aim is at its best over all points that give up at most so much of the first."""
    points = list(every_point(program))
    floor = max(value_of(first, point) for point in points) - give_up
    best = max(value_of(second, point) for point in points if value_of(first, point) >= floor - DUST)
    stages = (
        Stage(name="first", aim=first, give_up=give_up, proves=True),
        Stage(name="second", aim=second, proves=True),
    )

    solution = solve_here(program, stages)

    assert [reached.name for reached in solution.reached] == ["first", "second"]
    assert solution.reached[1].value == pytest.approx(best, abs=DUST)
    assert value_of(first, solution.reached[1].columns) >= floor - DUST


def test_stage_that_names_its_floor_leaves_more_to_the_next() -> None:
    """Of 4 plants at most, a first stage that must keep only 1 leaves 3 to give up."""
    program = Program()
    plants = program.whole(4, when=0)
    stages = (Stage(name="best", aim={plants: 1.0}, least=1.0, proves=True), Stage(name="few", aim={plants: -1.0}))

    solution = solve_here(program, stages)

    assert [round(reached.columns[plants]) for reached in solution.reached] == [4, 1]


@few
@given(programs(), aims)
def test_windows_keep_the_rows_and_never_lose_a_start(program: Program, aim: dict[int, float]) -> None:
    """A search by windows ends with a whole point of the program that is no worse than its start."""
    points = list(every_point(program))
    start = points[len(points) // 2]
    stage = Stage(name="best", aim=aim, proves=True, passes=((14, 7, 0), (28, 14, 7)))

    solution = solve_here(program, (stage,), starts=[dict(enumerate(start))], effort=Effort(small=0))

    reached = solution.reached[-1]
    found = tuple(round(value) for value in reached.columns)
    assert found in points
    assert value_of(aim, start) - DUST <= reached.value
    assert reached.value <= max(value_of(aim, point) for point in points) + DUST <= reached.bound + 2 * DUST


def test_one_window_over_everything_finds_the_best() -> None:
    """A window as long as the program decides all columns together: 3 + 3, where one day after the other stays at 0."""
    program = Program()
    early, late = (program.whole(3, when=day) for day in (0, 70))
    program.row({early: 1.0, late: -1.0}, least=0, most=0)
    aim = {early: 1.0, late: 1.0}

    def reached_by(days: int) -> float:
        stage = Stage(name="best", aim=aim, passes=((days, 14, 0),))
        return solve_here(program, (stage,), effort=Effort(small=0)).reached[-1].value

    assert (reached_by(14), reached_by(84)) == pytest.approx((0.0, 6.0))


def test_columns_that_follow_are_decided_with_their_window() -> None:
    """A cut three weeks later belongs to its planting, if the pass says so."""
    program = Program()
    planted, cut = program.whole(3, when=0), program.whole(3, when=21, follows=True)
    program.row({planted: 1.0, cut: -1.0}, least=0, most=0)

    def reached_by(after: int) -> float:
        stage = Stage(name="best", aim={cut: 1.0}, passes=((7, 7, after),))
        return solve_here(program, (stage,), effort=Effort(small=0)).reached[-1].value

    assert (reached_by(0), reached_by(21)) == pytest.approx((0.0, 3.0))


def test_far_start_is_dropped_for_a_search_from_nothing() -> None:
    """A start that blocks the best is a trap for windows: called far, it is dropped for a plan worth 4 instead of 2."""
    program = Program()
    early, later, trap = program.whole(2, when=0), program.whole(2, when=14), program.whole(1, when=28)
    program.row({trap: 4.0, early: 1.0, later: 1.0}, most=4)

    def reached_by(far: float) -> float:
        stage = Stage(name="best", aim={trap: 2.0, early: 1.0, later: 1.0}, proves=True, far=far, passes=((7, 7, 0),))
        start = {trap: 1.0, early: 0.0, later: 0.0}
        return solve_here(program, (stage,), starts=[start], effort=Effort(small=0)).reached[-1].value

    # No window holds both the trap and an earlier day.
    assert (reached_by(inf), reached_by(0.5)) == pytest.approx((2.0, 4.0))


def test_frozen_columns_are_not_raised() -> None:
    """A column that a stage calls frozen stays at 0, though the aim would gain by it."""
    program = Program()
    free, frozen = program.whole(2, when=0), program.whole(2, when=0)
    stage = Stage(name="best", aim={free: 1.0, frozen: 5.0}, frozen=(frozen,), proves=True)

    assert solve_here(program, (stage,)).reached[-1].columns == (2.0, 0.0)


def test_start_that_has_become_impossible_is_kept_in_part() -> None:
    """Of a start with 3 plants where 2 fit, 2 are kept, and nothing else is added."""
    program = Program()
    started, other = program.whole(3, when=0), program.whole(3, when=0)
    program.row({started: 1.0}, most=2)
    stage = Stage(name="best", aim={started: 1.0, other: 1.0}, searches=False)

    solution = solve_here(program, (stage,), starts=[{started: 3.0, other: 0.0}])

    assert solution.reached[-1].columns == (2.0, 0.0)


def test_of_several_starts_the_best_is_taken() -> None:
    """Where nothing is searched, the value is that of the best start that keeps the rows."""
    program = Program()
    plants = program.whole(3, when=0)
    stage = Stage(name="best", aim={plants: 1.0}, searches=False)

    solution = solve_here(program, (stage,), starts=[{plants: 1.0}, {plants: 3.0}, {plants: 2.0}])

    assert solution.reached[-1].value == pytest.approx(3.0)


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

    solution = solve_here(
        program,
        (stage,),
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

    solution = solve_here(program, (Stage(name="best", aim={planted: 0.5}, proves=True),))

    assert round(solution.reached[-1].columns[planted]) == 1


def test_rows_that_contradict_each_other_reach_nothing() -> None:
    """Where no values keep the rows, no stage is reached, and the search is done all the same."""
    program = Program()
    plants = program.whole(3, when=0)
    program.row({plants: 1.0}, least=2)
    program.row({plants: 1.0}, most=1)

    solution = solve_here(program, (Stage(name="best", aim={plants: 1.0}),))

    assert (solution.reached, solution.status) == ((), "done")


def test_empty_program_needs_no_solver() -> None:
    """A program without columns is done at once, with nothing reached."""
    assert solve(Program(), (Stage(name="best", aim={}),), seconds=0.0).reached == ()


def test_child_gives_what_a_search_in_this_process_gives() -> None:
    """Values, bounds and columns do not depend on the process that searches."""
    program, stage = four_numbers(), Stage(name="best", aim=AIM, proves=True)

    assert solve(program, (stage,), seconds=60.0) == solve_here(program, (stage,))


def test_best_so_far_survives_ctrl_c() -> None:
    """If the person interrupts after the first result, that result is the solution."""
    program = Program()
    plants = program.whole(3, when=ALWAYS)
    shown: list[float] = []

    def interrupt(value: float, _bound: float, _seconds: float) -> None:
        shown.append(value)
        raise KeyboardInterrupt

    stages = (Stage(name="best", aim={plants: 1.0}, proves=True), Stage(name="easy", aim={plants: -1.0}))
    solution = solve(program, stages, seconds=60.0, on_progress=interrupt)

    assert solution.status == "interrupted"
    assert [reached.value for reached in solution.reached] == shown


def test_child_that_dies_is_an_error() -> None:
    """A child that ends without an answer is not taken for one that found nothing."""
    receiver, sender = Pipe(duplex=False)
    sender.close()

    with pytest.raises(RuntimeError, match="ended without an answer, perhaps because memory ran out"):
        _listen(receiver, monotonic() + 10.0, None, monotonic())


def test_child_that_does_not_stop_is_not_waited_for() -> None:
    """After its ceiling a silent child is left, and what it reached before counts."""
    receiver, sender = Pipe(duplex=False)
    result = Reached(name="best", value=1.0, bound=2.0, columns=(1.0,))
    sender.send(result)

    solution = _listen(receiver, monotonic() + 0.05, None, monotonic())

    assert (solution.reached, solution.status) == ((result,), "time limit")
    sender.close()


def test_without_time_nothing_is_reached() -> None:
    """A search whose time is over before it begins says that the time ran out."""
    solution = solve_here(four_numbers(), (Stage(name="best", aim=AIM),), seconds=0.0)

    assert (solution.reached, solution.status) == ((), "time limit")


def test_later_stages_get_time_too(monkeypatch: pytest.MonkeyPatch) -> None:
    """The first of two stages may take no more than its part of the time, so that the second still begins."""
    ends: list[float] = []

    def optimise(_search: _StageSearch, _stage: Stage, values: object, until: float) -> object:
        ends.append(until - monotonic())
        return values

    monkeypatch.setattr(_StageSearch, "_optimise", optimise)
    stages = (Stage(name="first", aim={0: 1.0}), Stage(name="second", aim={1: 1.0}))

    solve_here(four_numbers(), stages, seconds=100.0)

    assert ends == [pytest.approx(100.0 * FIRST_STAGE, abs=5.0), pytest.approx(100.0, abs=5.0)]


def test_option_the_solver_does_not_know_is_a_fault_of_ours() -> None:
    """A misspelt option is an error, where the solver itself would only return one."""
    search = _StageSearch(four_numbers(), monotonic() + 60.0, USUAL, lambda _: None)

    with pytest.raises(ValueError, match="does not take no_such_option = 3"):
        search._set("no_such_option", 3.0)
