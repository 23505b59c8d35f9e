"""The twelve months of H. M. Wagner and T. M. Whitin, put through our own room for the solver.

"Dynamic Version of the Economic Lot Size Model", Management Science 5(1), October 1958, pages 89-96 (first page
read; the table as several public files that name the paper give it).  The paper's optimum is 864; the optima of the
first months and that for goods that keep for one month more were computed by dynamic programming and are computed
once more below.  The measure of a plan knows neither cost of sowing nor of keeping, so that this checks the search
and its proof, not the planner's program.
"""

from __future__ import annotations

from math import inf

import pytest

from steadysow.search.solver import ALWAYS, Program, Stage, solve

DEMAND = (69, 29, 36, 61, 61, 26, 34, 67, 45, 67, 79, 56)
SET_UP = (85, 102, 102, 101, 98, 114, 105, 86, 119, 110, 98, 114)
OPTIMUM = 864
FIRST_MONTHS = (85, 114, 186, 277, 348, 400, 469, 555, 600, 710, 789, 864)
KEEPS_ONE_MONTH = 901
KEEPS_NOTHING = 1234


def cheapest_by_recursion(months: int, keeps: int) -> float:
    """Find the least cost with the paper's recursion: each month is made for some month and those that follow it."""
    best = [0.0] + [inf] * months
    for end in range(1, months + 1):
        for made in range(max(0, end - 1 - keeps), end):
            kept = sum((month - made) * DEMAND[month] for month in range(made, end))
            best[end] = min(best[end], best[made] + SET_UP[made] + kept)
    return best[months]


def cheapest_by_program(months: int, keeps: int) -> tuple[float, float]:
    """Find the least cost, and its proof, as a program of goods that are made, kept and eaten."""
    program = Program()
    cost: dict[int, float] = {}
    eaten: list[dict[int, float]] = [{} for _ in range(months)]
    for made in range(months):
        is_made = program.whole(1, when=ALWAYS)
        cost[is_made] = -SET_UP[made]
        for month in range(made, min(months, made + keeps + 1)):
            flow = program.part(DEMAND[month])
            cost[flow] = made - month
            eaten[month][flow] = 1.0
            program.row({flow: 1.0, is_made: -DEMAND[month]}, most=0)
    for month, flows in enumerate(eaten):
        program.row(flows, least=DEMAND[month])
    solution = solve(program, (Stage(name="best", aim=cost, proves=True),), seconds=20)
    assert solution.status == "done"
    (reached,) = solution.reached
    return -reached.value, -reached.bound


def test_first_months_have_their_optima() -> None:
    """The recursion gives the known optimum for every number of first months."""
    assert tuple(cheapest_by_recursion(months, 12) for months in range(1, 13)) == FIRST_MONTHS


@pytest.mark.parametrize(("keeps", "least"), [(0, KEEPS_NOTHING), (1, KEEPS_ONE_MONTH), (2, OPTIMUM), (12, OPTIMUM)])
def test_year_has_its_optimum(keeps: int, least: float) -> None:
    """The search finds the optimum and proves it, whether goods keep or spoil."""
    assert cheapest_by_recursion(12, keeps) == least

    assert cheapest_by_program(12, keeps) == pytest.approx((least, least), abs=1e-6)


@pytest.mark.parametrize("months", [3, 6, 9])
def test_search_has_the_optima_of_first_months(months: int) -> None:
    """The search finds the optimum of the first months too."""
    assert cheapest_by_program(months, 12) == pytest.approx((FIRST_MONTHS[months - 1],) * 2, abs=1e-6)
