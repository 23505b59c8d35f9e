"""Strands and solutions mean the same: turned into columns and back, strands come back as they were."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import replace
from datetime import timedelta
from itertools import pairwise

import pytest

from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden
from steadysow.plan.batch import Batch
from steadysow.search.candidates import Candidates, Life, Step
from steadysow.search.columns import Columns, columns_of
from steadysow.search.rules_of_thumb import greedy
from steadysow.search.solver import Reached
from steadysow.search.strands import Strand, followed, sowing_of, start_of, strands_of
from steadysow.standing.standing import Standing
from tiny import NOTHING_BEGUN, SATURDAY, WEDNESDAY, make_crop, make_garden, make_tote, make_want, proposed

from .by_hand import batches_by_hand, begun_batch

HEAD = make_crop(lid_holes=4, nursery_days=(7, 14), window_days=8, keeps_days=8)
CHARD = make_crop("chard", "cut", between_days=7, window_days=5, grams=(60.0, 50.0, 40.0), lid_holes=4)
TOTES = [make_tote("A", 4), make_tote("B", 4, "kratky")]
OFTEN = (WEDNESDAY, SATURDAY)


def garden_of(*crops: Crop, weeks: int = 8) -> Garden:
    """Make a garden of two totes, worked in twice a week."""
    wants = [make_want(crops, 300, unit="g")]
    return make_garden(TOTES, wants, weeks=weeks, chore_days=OFTEN, harvest_days=OFTEN)


def columns_for(candidates: Candidates) -> Columns:
    """Give the columns of candidates."""
    return columns_of(candidates, weeks=8, wanted={}, leftovers={})


def reached_by(columns: Columns, strands: Iterable[Strand]) -> Reached:
    """Give the solution that strands mean."""
    start = start_of(columns, tuple(strands))
    values = tuple(start.get(column, 0.0) for column in range(len(columns.program.lower)))
    return Reached(name="best", value=0.0, bound=0.0, columns=values)


def plants_by_life(strands: Iterable[Strand]) -> Counter[tuple[Life, int | None]]:
    """Count the plants that live each life."""
    plants: Counter[tuple[Life, int | None]] = Counter()
    for strand in strands:
        plants[strand.steps, strand.begun] += strand.plants
    return plants


def plants_by_sowing(strands: Iterable[Strand]) -> Counter[object]:
    """Count the plants of each sowing."""
    plants: Counter[object] = Counter()
    for strand in strands:
        plants[sowing_of(strand)] += strand.plants
    return plants


def plants_by_step(strands: Iterable[Strand]) -> Counter[Step]:
    """Count the plants of each step."""
    plants: Counter[Step] = Counter()
    for strand in strands:
        for step in strand.steps:
            plants[step] += strand.plants
    return plants


def by_thumb(crops: list[Crop], standing: Standing = NOTHING_BEGUN) -> tuple[Candidates, tuple[Strand, ...]]:
    """Plan by rules of thumb, tote by tote."""
    candidates, task = proposed(garden_of(*crops), crops, standing, by_tote=True)
    return candidates, greedy(candidates, task)


BEGUN = Standing(
    begun=(
        begun_batch(CHARD, sown=-14, plants=3, planted=-7),
        begun_batch(HEAD, sown=-7, plants=2, number=8),
    ),
    next_id=9,
)


@pytest.mark.parametrize("standing", [NOTHING_BEGUN, BEGUN], ids=["new", "begun"])
def test_solution_holds_the_plants_of_its_strands(standing: Standing) -> None:
    """Taken apart again, a solution has as many plants of each sowing and step as the strands that it was made of."""
    candidates, strands = by_thumb([HEAD, CHARD], standing)
    assert len(strands) > 5
    columns = columns_for(candidates)

    again = list(strands_of(columns, reached_by(columns, strands)))

    assert plants_by_sowing(again) == plants_by_sowing(strands)
    assert plants_by_step(again) == plants_by_step(strands)
    for strand in again:
        days = [strand.transplant_day, *(step.to_day for step in strand.steps)]
        assert days[:-1] == [step.from_day for step in strand.steps]


@pytest.mark.parametrize("standing", [NOTHING_BEGUN, BEGUN], ids=["new", "begun"])
def test_known_strands_come_back_as_they_were(standing: Standing) -> None:
    """Looked for by the strands that it was made of, a solution gives back the same lives."""
    candidates, strands = by_thumb([HEAD, CHARD], standing)
    columns = columns_for(candidates)

    again = list(strands_of(columns, reached_by(columns, strands), like=strands))

    assert plants_by_life(again) == plants_by_life(strands)
    assert plants_by_sowing(again) == plants_by_sowing(strands)


def cut(candidates: Candidates, *days: int) -> Life:
    """Give the life of a chard from its transplant through cuts on days."""
    life = []
    for number, (start, end) in enumerate(pairwise(days), start=1):
        life.append(next(s for s in candidates.steps if (s.from_day, s.to_day, s.number) == (start, end, number)))
    return tuple(life)


@pytest.fixture
def chard() -> Candidates:
    """Propose chard alone for one tote, in which plants of several transplants are counted together."""
    garden = make_garden([make_tote("A", 4)], [make_want([CHARD], 300, unit="g")], weeks=7)
    return proposed(garden, [CHARD])[0]


def strand_of(life: Life, plants: int, sown_day: int = 0) -> Strand:
    """Give plants that live a life."""
    first = life[0]
    return Strand(
        line=first.line,
        group=first.group,
        begun=None,
        sown_day=sown_day,
        transplant_day=first.from_day,
        steps=life,
        plants=plants,
    )


def test_plants_that_are_cut_together_go_on_together(chard: Candidates) -> None:
    """Of four plants cut together, two that are cut once more form one strand, and two that are not another."""
    strands = [strand_of(cut(chard, 7, 14), 2), strand_of(cut(chard, 7, 14, 21), 2)]
    columns = columns_for(chard)

    again = list(strands_of(columns, reached_by(columns, strands)))

    assert plants_by_life(again) == plants_by_life(strands)
    assert len(again) == 2


def test_known_strand_is_found_only_as_far_as_its_plants_are_there(chard: Candidates) -> None:
    """Of a promise of four plants cut once, a solution that lets one go on for a second cut keeps three."""
    promised = strand_of(cut(chard, 7, 14), 4)
    chosen = [strand_of(cut(chard, 7, 14), 3), strand_of(cut(chard, 7, 14, 21), 1)]
    columns = columns_for(chard)

    again = list(strands_of(columns, reached_by(columns, chosen), like=[promised]))

    assert again[0] == replace(promised, plants=3)
    assert plants_by_life(again) == plants_by_life(chosen)


def test_sowings_for_one_transplant_are_shared_out() -> None:
    """Five heads planted on one day from two sowings come out as two strands, each with its own sowing day."""
    candidates, _ = proposed(garden_of(HEAD), [HEAD])
    step = next(step for step in candidates.steps if step.from_day == 14)
    strands = [strand_of((step,), 2, sown_day=0), strand_of((step,), 3, sown_day=7)]
    columns = columns_for(candidates)

    again = list(strands_of(columns, reached_by(columns, strands)))

    assert sorted((strand.sown_day, strand.plants) for strand in again) == [(0, 2), (7, 3)]


def test_begun_batches_without_a_strand_are_left_open() -> None:
    """A start says nothing about the steps of a begun batch that no strand follows; of new plants it says all."""
    candidates, strands = by_thumb([HEAD, CHARD], BEGUN)
    columns = columns_for(candidates)

    start = start_of(columns, tuple(strand for strand in strands if strand.begun != 0))

    for column, step in zip(columns.steps, candidates.steps, strict=True):
        assert (column in start) == (step.begun != 0)
    assert set(columns.sowings) <= set(start)


def test_begun_batch_counts_as_one_where_it_is_not_parted() -> None:
    """Three chard that are cut together are 1 in their column, two heads are 2."""
    candidates, strands = by_thumb([HEAD, CHARD], BEGUN)
    columns = columns_for(candidates)
    start = start_of(columns, strands)

    used = {
        (step.begun, start[column])
        for column, step in zip(columns.steps, candidates.steps, strict=True)
        if step.begun is not None and start[column]
    }

    assert used == {(0, 1.0), (1, 2.0)}


# --- an old plan among new candidates ---


def planned(crops: list[Crop]) -> tuple[Candidates, tuple[Strand, ...], tuple[Batch, ...]]:
    """Plan by rules of thumb, and make batches of it."""
    candidates, strands = by_thumb(crops)
    return candidates, strands, batches_by_hand(candidates, strands)


def test_plan_of_today_is_followed_as_it_is() -> None:
    """Among the same candidates, the batches of a plan mean the strands that they were made of."""
    candidates, strands, batches = planned([HEAD, CHARD])

    assert plants_by_life(followed(candidates, batches)) == plants_by_life(strands)
    assert plants_by_sowing(followed(candidates, batches)) == plants_by_sowing(strands)


def test_head_that_cannot_be_harvested_as_planned_is_not_followed() -> None:
    """A batch of heads with a harvest on a day that is no harvest day is left out, with all its heads."""
    candidates, _, batches = planned([HEAD])
    first = batches[0]
    off = replace(first.harvests[0], on=first.harvests[0].on + timedelta(1))

    strands = followed(candidates, [replace(first, harvests=(off, *first.harvests[1:])), *batches[1:]])

    assert sum(strand.plants for strand in strands) == sum(batch.plants for batch in batches) - first.plants


def test_cuts_are_followed_up_to_the_one_that_has_become_impossible(chard: Candidates) -> None:
    """Of three planned cuts whose third has moved to a day of no harvest, the first two are followed."""
    (batch,) = batches_by_hand(chard, [strand_of(cut(chard, 7, 14, 21, 28), 2)])
    last = batch.harvests[-1]
    late = replace(batch, harvests=(*batch.harvests[:-1], replace(last, on=last.on + timedelta(1))))

    (strand,) = followed(chard, [late])

    assert strand.steps == cut(chard, 7, 14, 21)


def test_begun_batch_is_followed_from_today_on() -> None:
    """Of a batch that was planted last week, the cut of today and the next one are followed, as one whole."""
    candidates, strands = by_thumb([CHARD], Standing(begun=BEGUN.begun[:1], next_id=8))
    begun = [strand for strand in strands if strand.begun == 0]
    batches = batches_by_hand(candidates, begun, Standing(begun=BEGUN.begun[:1], next_id=8))

    assert followed(candidates, batches) == tuple(begun)
    assert min(step.to_day for step in begun[0].steps) >= candidates.today


def test_batch_that_is_to_be_cleared_is_followed_to_that_day() -> None:
    """A begun batch with no harvest to come is followed to the day on which it is cleared."""
    standing = Standing(begun=BEGUN.begun[:1], next_id=8)
    candidates, _ = proposed(garden_of(CHARD), [CHARD], standing, by_tote=True)
    clearing = next(step for step in candidates.steps if step.begun == 0 and step.number == 0)
    batch = replace(standing.begun[0], cleared_on=candidates.date_of(clearing.to_day))

    (strand,) = followed(candidates, [batch])

    assert strand.steps == (clearing,)
    assert strand.leaves_day == clearing.to_day


@pytest.mark.parametrize(
    "changes",
    [{"crop": "unknown"}, {"tote": "unknown"}, {"transplanted_on": None}],
    ids=["crop", "tote", "never planted"],
)
def test_batch_of_something_unknown_is_not_followed(changes: dict[str, object]) -> None:
    """A batch whose crop or tote is gone, or that was never to be planted, means nothing among the candidates."""
    candidates, _, batches = planned([HEAD])

    assert followed(candidates, [replace(batches[0], **changes)]) == ()  # type: ignore[arg-type]


def test_sowing_day_that_is_gone_takes_its_batch_along() -> None:
    """A planned batch whose sowing is no candidate any more is not followed."""
    candidates, _, batches = planned([HEAD])
    narrower = replace(candidates, sowings=())

    assert followed(narrower, batches) == ()
