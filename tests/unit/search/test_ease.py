"""What makes a plan hard, in the order in which it counts, and the fewest lives: counted on plans that are given."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import pytest

from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden
from steadysow.search.candidates import Candidates, Step
from steadysow.search.choose import Task
from steadysow.search.ease import JOBS_A_DAY, LONG_DAY_PRICE, ease, fewest_lives
from steadysow.search.model import build
from steadysow.search.strands import Strand, start_of
from steadysow.standing.standing import Standing
from tiny import NOTHING_BEGUN, make_crop, make_garden, make_tote, make_want, proposed

from .by_hand import begun_batch
from .solving import best_of, best_with

HEAD = make_crop(lid_holes=4, nursery_days=(7, 14), window_days=8, keeps_days=14)


@dataclass(frozen=True, slots=True, kw_only=True)
class Plot:
    """Candidates and the task, by which plans are judged."""

    candidates: Candidates
    task: Task

    def step(self, start: int, end: int, crop: str = "cress") -> Step:
        """Give the step of a crop between two days."""
        return next(
            step
            for step in self.candidates.steps
            if (step.from_day, step.to_day) == (start, end) and self.candidates.lines[step.line].crop.name == crop
        )

    def strand(self, sown: int, start: int, end: int, plants: int = 1, crop: str = "cress") -> Strand:
        """Give plants by their days."""
        step = self.step(start, end, crop)
        return Strand(
            line=step.line,
            group=step.group,
            begun=None,
            sown_day=sown,
            transplant_day=start,
            steps=(step,),
            plants=plants,
        )

    def ease(self, strands: Iterable[Strand]) -> float:
        """Give how easy a plan is, with all other columns at their best."""
        model = build(self.candidates, weeks=self.task.weeks, wanted=self.task.wanted, leftovers={})
        aim = ease(model)
        value = best_with(model.program, start_of(model.columns, tuple(strands)), aim)
        assert value is not None, "the plan keeps the rules"
        return value

    def lives(self, strands: Iterable[Strand], *, but_for: Iterable[Step] = ()) -> float:
        """Give what a plan's different lives cost."""
        model = build(self.candidates, weeks=self.task.weeks, wanted=self.task.wanted, leftovers={})
        without = {model.columns.steps[model.columns.index[step]] for step in but_for}
        aim = fewest_lives(model.columns, but_for=without)
        value = best_with(model.program, start_of(model.columns, tuple(strands)), aim)
        assert value is not None, "the plan keeps the rules"
        return -value


def plot(garden: Garden, crops: list[Crop], standing: Standing = NOTHING_BEGUN) -> Plot:
    """Propose for a garden, tote by tote."""
    candidates, task = proposed(garden, crops, standing, by_tote=True)
    return Plot(candidates=candidates, task=task)


@pytest.fixture
def heads() -> Plot:
    """Propose heads that hold and keep for weeks; one is wanted every week."""
    garden = make_garden([make_tote("A", 4)], [make_want([HEAD], 1)], weeks=5)
    return plot(garden, [HEAD])


def test_deep_gap_outweighs_all_work(heads: Plot) -> None:
    """Three sowings that leave no week under half are easier than one that does, and one is easier than none."""
    busy = [heads.strand(0, 7, 14), heads.strand(7, 14, 21), heads.strand(14, 21, 28)]

    assert heads.ease(busy) > heads.ease(busy[:1]) > heads.ease([])


def test_day_with_work_outweighs_a_sowing() -> None:
    """One sowing more is easier than a day of work more."""
    patient = replace(HEAD, nursery_days=(7, 21), keeps_days=21)
    garden = plot(make_garden([make_tote("A", 4)], [make_want([patient], 1)], weeks=6), [patient])
    # Days 0, 7, 14, 21 and 28 have work, or without the last of them; three heads serve the four weeks either way.
    one_sowing = [garden.strand(0, 7, 14), garden.strand(0, 14, 21), garden.strand(0, 21, 28)]
    two_sowings = [garden.strand(0, 7, 14), garden.strand(7, 14, 21, plants=2)]

    assert garden.ease(two_sowings) > garden.ease(one_sowing)


def test_fewer_sowings_are_easier(heads: Plot) -> None:
    """On the same days with work, two plants sown at once are easier than one sown on each of two days."""
    together = [heads.strand(0, 7, 14), heads.strand(0, 14, 21)]
    apart = [heads.strand(0, 7, 14), heads.strand(7, 14, 21)]

    assert heads.ease(together) - heads.ease(apart) == pytest.approx(1.0)


def test_surplus_costs_least(heads: Plot) -> None:
    """One head too many is harder than none, by less than a sowing."""
    enough = [heads.strand(0, 7, 14)]
    surplus = [heads.strand(0, 7, 14, plants=2)]

    assert 0 < heads.ease(enough) - heads.ease(surplus) < 1.0


def test_plants_cleared_without_a_harvest_cost_more_than_surplus() -> None:
    """A batch that stands is better harvested, even if nobody eats it, than cleared."""
    garden = make_garden([make_tote("A", 4)], [make_want([HEAD], 1)], weeks=3)
    batch = begun_batch(HEAD, sown=-14, plants=2, planted=-7)
    both = plot(garden, [HEAD], Standing(begun=(batch,), next_id=8))
    cleared, harvested = (
        next(step for step in both.candidates.steps if step.begun == 0 and step.to_day == 0 and step.number == number)
        for number in (0, 1)
    )
    model = build(both.candidates, weeks=3, wanted={}, leftovers={})
    aim = ease(model)

    cost = {step.number: -aim[model.columns.steps[model.columns.index[step]]] for step in (cleared, harvested)}

    # Both heads are cleared by one column.
    assert cost[0] > 2 * cost[1] > 0


def test_long_day_has_a_price_for_each_job_too_many() -> None:
    """A day with a sowing, a planting and harvests of four crops has two jobs more than a person likes."""
    crops = [make_crop(name, lid_holes=8) for name in ("arugula", "chard", "cress", "mizuna")]
    wants = [make_want([crop], 1, name=f"{crop.name} heads") for crop in crops]
    garden = plot(make_garden([make_tote("A", 8)], wants, weeks=5, crops_a_day=4), crops)
    # On day 14 four are harvested, one is planted and one is sown.
    busy = [garden.strand(0, 7, 14, crop=crop.name) for crop in crops]
    busy += [garden.strand(7, 14, 21, crop="cress"), garden.strand(14, 21, 28, crop="cress")]
    model = build(garden.candidates, weeks=5, wanted=garden.task.wanted, leftovers={})
    aim = ease(model)
    prices = {column for column, value in aim.items() if value == -LONG_DAY_PRICE}
    only_jobs = {column: aim[column] for column in prices}

    value = best_with(model.program, start_of(model.columns, tuple(busy)), only_jobs)

    assert JOBS_A_DAY == 4
    # Days 0 and 7 have one job and two, day 21 has a harvest and a planting, day 28 a harvest.
    assert value == pytest.approx(-2 * LONG_DAY_PRICE)


def test_week_that_begun_batches_overfill_counts_as_much_as_a_gap() -> None:
    """What begun batches do with a week that they can overfill weighs as much as serving a week."""
    batch = begun_batch(HEAD, sown=-7, plants=4, planted=0)
    garden = make_garden([make_tote("A", 4)], [make_want([HEAD], 1)], weeks=3, chore_minutes_a_week=8.0)
    candidates, task = proposed(garden, [HEAD], Standing(begun=(batch,), next_id=8))
    model = build(candidates, weeks=3, wanted=task.wanted, leftovers={})
    assert model.work.overfull

    aim = ease(model)

    assert {aim[column] for column in model.work.overfull} == {min(aim.values())}
    assert sum(value == min(aim.values()) for value in aim.values()) == len(model.work.overfull) + len(task.wanted)


def test_fewest_lives_counts_sowings_steps_and_harvests_of_a_crop(heads: Plot) -> None:
    """Three heads that live alike cost a sowing, a step and a harvest; one that is taken later costs two more."""
    alike = [heads.strand(0, 7, 14, plants=3)]
    apart = [heads.strand(0, 7, 14, plants=2), heads.strand(0, 7, 21)]

    assert heads.lives([]) == pytest.approx(0.0)
    assert heads.lives(alike) == pytest.approx(3.0)
    assert heads.lives(apart) == pytest.approx(5.0)


def test_columns_left_out_cost_nothing(heads: Plot) -> None:
    """Of the same three heads, a promised step costs neither itself nor its harvest."""
    alike = [heads.strand(0, 7, 14, plants=3)]

    assert heads.lives(alike, but_for=[heads.step(7, 14)]) == pytest.approx(1.0)


def test_easiest_plan_that_serves_all_is_the_one_of_fewest_sowings(heads: Plot) -> None:
    """With one head a week from one sowing, the best by ease sows once for all three weeks in reach."""
    model = build(heads.candidates, weeks=5, wanted=heads.task.wanted, leftovers={})
    share = model.served_share(0, 5)
    model.program.row(share, least=1.0 - 1e-9)

    reached = best_of(model.program, ease(model))

    sown = [day for (_, day), column in model.columns.crop_days.items() if round(reached.columns[column])]
    assert sown == [0]
