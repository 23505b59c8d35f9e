"""Minutes of work by week, added up by hand from the figures for each kind of work."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from builders import a_batch, a_harvest
from steadysow.inputs.crops import Crop
from steadysow.plan.batch import Batch
from steadysow.plan.minutes import minutes_by_week
from tiny import START, by_name, day, make_crop, make_garden, make_tote, make_want

# A tote of four holes carries four heads of cress, but only two of the bushy fruit.
CRESS = make_crop()
CHARD = make_crop("chard", "cut", between_days=7, grams=(60.0, 40.0))
TOMATO = make_crop("tomato", "pick", between_days=7, grams=(90.0, 80.0), lid_holes=2, sown_in="pot")
CROPS = (CRESS, CHARD, TOMATO)
GARDEN = make_garden([make_tote("A", 4), make_tote("B", 4)], [make_want(CROPS, 2)], weeks=8)


def make_batch(crop: Crop, *harvests: tuple[int, tuple[int, ...]], sown: int, planted: int | None) -> Batch:
    """Make a batch of two plants with three cells, harvested on days from some of its holes."""
    taken = tuple(
        a_harvest(day(on), holes, crop.harvest.kind, number=number, grams=1.0)
        for number, (on, holes) in enumerate(harvests, start=1)
    )
    days = {"sown_on": day(sown), "transplanted_on": None if planted is None else day(planted)}
    return a_batch(1, (1, 2), crop=crop.name, cells=3, harvests=taken, **days)


def minutes(*batches: Batch, today: date = START) -> dict[int, float]:
    """Give the minutes by week in the garden of two totes."""
    return minutes_by_week(replace(GARDEN, crops=by_name(CROPS)), batches, starts_on=START, today=today)


def test_heads() -> None:
    """Two heads in a tote for four take half of its upkeep, and leave nothing to clear."""
    batch = make_batch(CRESS, (16, (1,)), (18, (2,)), sown=0, planted=7)
    assert minutes(batch) == pytest.approx(
        {
            0: 5 + 3 * 0.5,  # the sowing, and its three cells
            1: 2 * 1.5 + 7 * 2 / 4,  # two plants planted, which stand there for all of the week
            2: 1 + 1 + 7 / 4 * (2 + 4) / 7,  # two heads; one stands for two days of the week, one for four
        }
    )


def test_cuts() -> None:
    """A plant is cut twice, and cleared with its last cut."""
    batch = make_batch(CHARD, (14, (1, 2)), (21, (1, 2)), sown=0, planted=8)
    assert minutes(batch) == pytest.approx(
        {0: 6.5, 1: 2 * 1.5 + 7 * 2 / 4 * 6 / 7, 2: 2 * 0.75 + 7 * 2 / 4, 3: 2 * 0.75 + 2 * 1}
    )


def test_picks() -> None:
    """What is sown in its pot is not transplanted; two plants that fill a tote have all of its upkeep."""
    batch = make_batch(TOMATO, (7, (1, 2)), (14, (1, 2)), sown=0, planted=0)
    assert minutes(batch) == pytest.approx({0: 6.5 + 7, 1: 2 * 1 + 7, 2: 2 * 1 + 2 * 1})


def test_a_crop_is_sown_once_a_day() -> None:
    """Two batches of a crop sown on one day are one sowing, with the cells of both; another crop is another."""
    batch = make_batch(CRESS, sown=0, planted=None)
    assert minutes(batch, replace(batch, id=2, want="pan")) == {0: 5 + 6 * 0.5}
    assert minutes(batch, replace(batch, id=2, crop="chard")) == {0: 2 * 5 + 6 * 0.5}
    assert minutes(batch, replace(batch, id=2, sown_on=day(3))) == {0: 2 * 5 + 6 * 0.5}


def test_heads_that_are_left_are_cleared() -> None:
    """Of two heads one is taken; the other is pulled when its batch is cleared, and stands until then."""
    batch = replace(make_batch(CRESS, (14, (1,)), sown=0, planted=7), cleared_on=day(15))
    assert minutes(batch)[2] == pytest.approx(1 + 1 + 7 / 4 * 1 / 7)


def test_what_is_not_cleared_yet() -> None:
    """What stands has been looked after until yesterday; nothing is known of it from today on."""
    batch = replace(make_batch(CHARD, (14, (1, 2)), sown=0, planted=7), cleared_on=None)
    assert minutes(batch, today=day(16)) == pytest.approx({0: 6.5, 1: 2 * 1.5 + 3.5, 2: 2 * 0.75 + 3.5 * 2 / 7})


def test_weeks_are_counted_from_the_start() -> None:
    """What was done before the garden began lies in weeks before the first."""
    assert minutes(make_batch(CRESS, sown=-1, planted=None)) == {-1: 6.5}


def test_what_the_garden_no_longer_knows_is_left_out() -> None:
    """History of a crop or a tote that was taken out of the files has no minutes."""
    batch = make_batch(CRESS, (14, (1, 2)), sown=0, planted=7)
    assert minutes(replace(batch, crop="leek"), replace(batch, tote="Z")) == {}
