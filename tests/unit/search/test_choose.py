"""Choosing finds the best share, says what is proven, and then makes the plan easy, in gardens that are counted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import pytest

from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden
from steadysow.plan.plan import Status
from steadysow.search import choose as room
from steadysow.search.candidates import Candidates, Lot
from steadysow.search.choose import Choice, Task, choose, simplified
from steadysow.search.rules_of_thumb import greedy
from steadysow.search.solver import Effort, Program, Solution, Stage
from steadysow.search.strands import Strand
from tiny import make_crop, make_garden, make_tote, make_want, proposed

from .by_hand import batches_by_hand, breaches, measured_share
from .solving import solve_here

pytestmark = pytest.mark.usefixtures("quick")

HEAD = make_crop(lid_holes=4)
# A head that can wait in the nursery, in the tote and in the fridge.
PATIENT = replace(make_crop(lid_holes=4, nursery_days=(7, 21), window_days=8, keeps_days=14))


def garden_of(crop: Crop, *, want: float, weeks: int = 6, tidy_points: float = 0.0, holes: int = 4) -> Garden:
    """Make a garden of one tote and one crop."""
    return make_garden([make_tote("A", holes)], [make_want([crop], want)], weeks=weeks, tidy_points=tidy_points)


def chosen(garden: Garden, crop: Crop, **how: object) -> tuple[Candidates, Task, Choice]:
    """Choose a plan."""
    candidates, task = proposed(garden, [crop])
    return candidates, task, choose(candidates, task, seconds=60.0, **how)  # type: ignore[arg-type]


def days(strands: Sequence[Strand]) -> list[tuple[int, int, int, int]]:
    """Give sowing, transplant, last day and plants of strands, sorted."""
    return sorted((strand.sown_day, strand.transplant_day, strand.leaves_day, strand.plants) for strand in strands)


def test_each_week_in_reach_gets_its_head() -> None:
    """A head a week is served in full from week 2 on, by four sowings; no plan could do with less."""
    _, _, choice = chosen(garden_of(HEAD, want=1), HEAD)

    assert days(choice.strands) == [(0, 7, 14, 1), (7, 14, 21, 1), (14, 21, 28, 1), (21, 28, 35, 1)]
    assert (choice.best_share, choice.bound_share, choice.best_sowings) == pytest.approx((1.0, 1.0, 4))
    assert choice.status == "optimal"


def test_share_is_the_one_that_the_finished_plan_measures() -> None:
    """Of five heads a week a tote of four holes gives four: the share 0.8 is claimed, measured, and legally reached."""
    candidates, _, choice = chosen(garden_of(HEAD, want=5), HEAD)
    batches = batches_by_hand(candidates, choice.strands)

    assert choice.best_share == pytest.approx(0.8)
    assert choice.bound_share == pytest.approx(0.8)
    assert measured_share(candidates, batches) == pytest.approx(0.8)
    assert breaches(candidates, batches) == set()


def test_leftovers_are_eaten_first() -> None:
    """With a head left for week 2, as much is served with one harvest less."""
    candidates, task = proposed(garden_of(HEAD, want=1), [HEAD])
    with_leftover = replace(task, leftovers={Lot(want="salad", week=-1, last_week=2): 1.0})

    choice = choose(candidates, with_leftover, seconds=60.0)

    assert choice.best_share == pytest.approx(1.0)
    assert sum(strand.plants for strand in choice.strands) == 3


def test_easy_plan_of_the_same_share_has_fewer_sowings() -> None:
    """Heads that keep are sown on one day for all four weeks in reach."""
    garden = garden_of(PATIENT, want=1)

    _, _, easy = chosen(garden, PATIENT)

    assert {strand.sown_day for strand in easy.strands} == {0}
    assert sum(strand.plants for strand in easy.strands) == 4
    assert easy.best_share == pytest.approx(1.0)


@pytest.mark.parametrize(("tidy_points", "sowings", "share"), [(0.0, 3, 1.0), (2.0, 3, 1.0), (3.0, 2, 2 / 2.05)])
def test_share_is_given_up_for_ease_only_as_far_as_allowed(tidy_points: float, sowings: int, share: float) -> None:
    """Four weeks want 8.2 heads, and a sowing gives four: a third is saved for 2.4 points, if these may be given up."""
    keeps = make_crop(lid_holes=4, keeps_days=14)
    candidates, _, choice = chosen(garden_of(keeps, want=2.05, tidy_points=tidy_points), keeps)

    assert choice.best_share == pytest.approx(1.0)
    assert choice.best_sowings >= 3
    assert len({strand.sown_day for strand in choice.strands}) == sowings
    batches = batches_by_hand(candidates, choice.strands)
    assert measured_share(candidates, batches) == pytest.approx(share, abs=1e-4)


def test_without_an_easy_plan_the_best_is_sought_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where ease is not asked for, one stage is solved, in fewer passes."""
    asked: list[tuple[str, int]] = []

    def watched(program: Program, stages: tuple[Stage, ...], **how: Any) -> Solution:
        asked.extend((stage.name, len(stage.passes)) for stage in stages)
        return solve_here(program, stages, **how)

    monkeypatch.setattr(room, "solve", watched)
    _, _, choice = chosen(garden_of(HEAD, want=1), HEAD, is_easy=False)

    assert asked == [("best", room.QUICK_PASSES)]
    assert choice.best_share == pytest.approx(1.0)


def test_tail_is_served_without_loss_before_it() -> None:
    """With two weeks of tail after four planned ones, heads for the tail are sown too, and the share stays the best."""
    candidates, task = proposed(garden_of(HEAD, want=1), [HEAD])
    with_tail = replace(task, weeks=4)

    choice = choose(candidates, with_tail, seconds=60.0)

    assert choice.best_share == pytest.approx(1.0)
    assert {strand.leaves_day for strand in choice.strands} == {14, 21, 28, 35}
    # Two weeks of the four are in reach; the sowings of day 14 and 21 are for the tail, yet in the planned weeks.
    assert choice.best_sowings == 2


def test_windows_find_what_a_whole_search_finds_here() -> None:
    """Searched by windows, from a plan by thumb, the garden of a head a week is served as well."""
    candidates, task = proposed(garden_of(HEAD, want=1), [HEAD])

    choice = choose(candidates, task, seconds=60.0, starts=[greedy(candidates, task), ()], effort=Effort(small=0))

    assert choice.best_share == pytest.approx(1.0)
    assert breaches(candidates, batches_by_hand(candidates, choice.strands)) == set()


def test_nothing_wanted_in_reach_is_an_empty_plan() -> None:
    """In a garden of one week nothing can ripen, so the best plan is an empty one."""
    candidates, task = proposed(garden_of(HEAD, want=1, weeks=1), [HEAD])
    assert task.wanted == {}

    choice = choose(candidates, task, seconds=60.0)

    assert (choice.strands, choice.status) == ((), "optimal")


def test_no_time_is_said_to_be_none() -> None:
    """Without time nothing is chosen, and no bound better than 1 is claimed."""
    candidates, task = proposed(garden_of(HEAD, want=1), [HEAD])

    choice = choose(candidates, task, seconds=0.0)

    assert choice == Choice(strands=(), best_share=0.0, bound_share=1.0, best_sowings=0, status="time limit")


def test_progress_is_shown() -> None:
    """The best share and its bound are reported, and the bound is never under the share."""
    shown: list[tuple[float, float]] = []

    _, _, choice = chosen(
        garden_of(HEAD, want=1), HEAD, on_progress=lambda value, bound, _seconds: shown.append((value, bound))
    )

    assert shown[-1][0] == pytest.approx(choice.best_share)
    assert all(value <= bound + 1e-6 for value, bound in shown)


@pytest.mark.parametrize(
    ("status", "bound", "expected", "expected_bound"),
    [
        ("step limit", 0.9, "step limit", 0.9),
        ("step limit", 0.8, "optimal", 0.8),
        ("time limit", 0.8, "optimal", 0.8),
        ("optimal", 0.9, "step limit", 0.9),
        # A bound below what was found proves only that it was found.
        ("optimal", 0.7, "optimal", 0.8),
    ],
)
def test_status_follows_from_the_bound(status: Status, bound: float, expected: Status, expected_bound: float) -> None:
    """A choice of share 0.8 is optimal just where no plan is known to be able to pass it."""
    choice = Choice(strands=(), best_share=0.8, bound_share=1.0, best_sowings=3, status=status)

    assert choice.bounded_by(bound) == replace(choice, status=expected, bound_share=expected_bound)


# --- fewer lives ---


def test_lives_that_can_be_joined_are_joined() -> None:
    """Of four heads planted together, two taken a week later for no reason, all are taken on one day."""
    candidates, task = proposed(garden_of(PATIENT, want=4, weeks=4), [PATIENT])
    asked = Task(weeks=4, wanted={("salad", 3): 4.0}, leftovers={})

    def strand(end: int, plants: int) -> Strand:
        step = next(step for step in candidates.steps if (step.from_day, step.to_day) == (7, end))
        return Strand(line=0, group=0, begun=None, sown_day=0, transplant_day=7, steps=(step,), plants=plants)

    choice = Choice(
        strands=(strand(14, 2), strand(21, 2)), best_share=1.0, bound_share=1.0, best_sowings=1, status="optimal"
    )

    simpler = simplified(candidates, asked, choice, seconds=60.0)

    assert task.weeks == asked.weeks
    assert len(simpler.strands) == 1
    assert simpler.strands[0].plants == 4
    assert replace(simpler, strands=choice.strands) == choice


def test_nothing_new_comes_in_when_lives_are_joined() -> None:
    """Joined, a plan has only sowings and steps that it had before, and serves as much."""
    garden = garden_of(PATIENT, want=3, weeks=8)
    candidates, task, choice = chosen(garden, PATIENT, is_easy=False)

    simpler = simplified(candidates, task, choice, seconds=60.0)

    known = {step for strand in choice.strands for step in strand.steps}
    assert {step for strand in simpler.strands for step in strand.steps} <= known
    assert len(simpler.strands) <= len(choice.strands)
    share = measured_share(candidates, batches_by_hand(candidates, simpler.strands))
    assert share == pytest.approx(choice.best_share, abs=1e-4)


def test_without_time_a_choice_stays_as_it_is() -> None:
    """If there is no time to join lives, the choice is kept, and one that was not proven says so."""
    candidates, task, choice = chosen(garden_of(HEAD, want=1), HEAD)
    unproven = replace(choice, status="step limit")

    assert simplified(candidates, task, choice, seconds=0.0) == choice
    assert simplified(candidates, task, unproven, seconds=0.0) == replace(unproven, status="time limit")
