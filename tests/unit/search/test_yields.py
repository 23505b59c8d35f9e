"""What a step gives and takes, counted by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from steadysow.inputs.garden import Outdoors, Place, Stand
from steadysow.plan.batch import Harvest
from steadysow.plan.minutes import WORK_MINUTES, minutes_by_week
from steadysow.search.candidates import Candidates, Lot, Step
from steadysow.search.columns import columns_of
from steadysow.search.yields import amount_of, holes_in_use, lot_of, minutes_of, supply_of, want_of
from steadysow.standing.standing import Standing
from tiny import START, day, make_crop, make_garden, make_tote, make_want, proposed

from .by_hand import begun_batch, with_crops

HEAD = make_crop(lid_holes=2)
CHARD = make_crop("chard", "cut", between_days=7, grams=(60.0, 50.0), lid_holes=2)


def candidates_of(keeps_days: int = 3, *, standing: Standing = Standing()) -> Candidates:  # noqa: B008
    """Propose heads for one want, and chard by its grams for another."""
    head = replace(HEAD, keeps_days=keeps_days)
    wants = [make_want([head], 2), make_want([CHARD], 100, name="pan", unit="g")]
    return proposed(make_garden([make_tote("A", 2)], wants, weeks=5), [head, CHARD], standing)[0]


def step_of(candidates: Candidates, crop: str, number: int = 1, *, to_day: int | None = None) -> Step:
    """Give the first step of a crop that ends with a harvest of this number."""
    return next(
        step
        for step in candidates.steps
        if candidates.lines[step.line].crop.name == crop and step.number == number and to_day in (None, step.to_day)
    )


@pytest.mark.parametrize("keeps_days", range(22))
def test_lot_lasts_as_long_as_the_food_keeps(keeps_days: int) -> None:
    """A harvest on day d of its week serves the j-th week after it if d and the days it keeps come to 7 j + 4."""
    candidates = candidates_of(keeps_days)
    step = step_of(candidates, "cress")
    for weekday in range(7):
        lot = lot_of(candidates, replace(step, to_day=14 + weekday))
        later = [j for j in range(1, 5) if weekday + keeps_days >= 7 * j + 4]
        assert lot == Lot(want="salad", week=2, last_week=2 + max(later, default=0))


def test_want_that_says_how_long_it_keeps_overrides_the_crop() -> None:
    """A want with its own days of keeping counts those."""
    garden = make_garden([make_tote("A", 2)], [replace(make_want([HEAD], 2), keeps_days=11)], weeks=4)
    candidates, _ = proposed(garden, [HEAD])

    assert lot_of(candidates, step_of(candidates, "cress")) == Lot(want="salad", week=2, last_week=3)


def test_amounts_are_in_the_unit_of_the_want() -> None:
    """A plant is one head for a want that counts heads, and its grams for one that counts grams."""
    candidates = candidates_of()

    assert amount_of(candidates, step_of(candidates, "cress")) == 1.0
    assert [amount_of(candidates, step_of(candidates, "chard", number)) for number in (1, 2)] == [60.0, 50.0]


def test_nobody_eats_what_is_cleared_or_no_longer_wanted() -> None:
    """Clearing gives no lot, and neither does a harvest for a want that the file has dropped."""
    dropped = replace(begun_batch(HEAD, sown=-14, plants=1, planted=-7), want="gone")
    candidates = candidates_of(standing=Standing(begun=(dropped,), next_id=8))
    cleared, harvested = (next(s for s in candidates.steps if s.begun == 0 and s.number == number) for number in (0, 1))

    assert want_of(candidates, harvested) is None
    assert lot_of(candidates, harvested) is None
    assert lot_of(candidates, replace(step_of(candidates, "cress"), number=0)) is None
    assert lot_of(candidates, cleared) is None


def test_minutes_of_a_head() -> None:
    """A head in a tote of two takes half of the tote's upkeep for its week, and a minute on the day it is harvested."""
    candidates = candidates_of()

    minutes = minutes_of(candidates, step_of(candidates, "cress", to_day=14), goes_on=False)

    assert minutes == {1: pytest.approx(WORK_MINUTES.upkeep / 2), 2: WORK_MINUTES.head}


def test_minutes_of_cuts_count_one_clearing() -> None:
    """Two cuts of a plant take as many minutes as a batch of one that is cut twice and cleared once."""
    candidates = candidates_of()
    first, second = step_of(candidates, "chard", 1, to_day=14), step_of(candidates, "chard", 2, to_day=21)
    weeks: dict[int, float] = {}
    for step, goes_on in ((first, False), (second, True)):
        for week, minutes in minutes_of(candidates, step, goes_on=goes_on).items():
            weeks[week] = weeks.get(week, 0.0) + minutes
    cuts = tuple(
        Harvest(on=day(on), latest_on=day(on), kind="cut", number=number, holes=(1,), plants=1, grams=50.0)
        for number, on in ((1, 14), (2, 21))
    )
    batch = replace(begun_batch(CHARD, sown=0, plants=1, planted=7, harvests=cuts), cleared_on=day(21))
    counted = minutes_by_week(candidates.garden, [batch], starts_on=START, today=START)
    # What the step does not count: 5 minutes to sow, half a minute for its cell, and one and a half to plant it.
    counted[0] -= WORK_MINUTES.sowing + WORK_MINUTES.cell
    counted[1] -= WORK_MINUTES.transplant

    assert {week: minutes for week, minutes in weeks.items() if minutes} == pytest.approx(
        {week: minutes for week, minutes in counted.items() if minutes}
    )


def test_upkeep_of_the_past_is_not_counted_again() -> None:
    """A batch that stands since last week takes upkeep from today on only."""
    batch = begun_batch(HEAD, sown=-12, plants=1, planted=-5)
    garden = make_garden([make_tote("A", 2)], [make_want([HEAD], 2)], weeks=2, harvest_days=(0, 5))
    candidates, _ = proposed(garden, [HEAD], Standing(begun=(batch,), next_id=8))
    step = next(step for step in candidates.steps if step.begun == 0 and step.number)

    # Due on day 2, a Monday: two days of half a tote's upkeep.
    assert step.to_day == 2
    assert minutes_of(candidates, step, goes_on=False)[0] == pytest.approx(WORK_MINUTES.upkeep / 7 + WORK_MINUTES.head)


def test_only_totes_in_use_count_for_the_smallest_sowing() -> None:
    """A tote in a yard that is closed in October holds nothing then."""
    garden = make_garden([make_tote("A", 2), make_tote("B", 2)], [make_want([HEAD], 2)], weeks=4)
    yard = Place(name="yard", temperature_c=20.0, outdoors=Outdoors(frost_free=((5, 1), (9, 1)), shade=0.0))
    closed = replace(garden.totes[1], stands=(Stand(place="yard"),))
    winter = replace(garden, latitude=50.0, places=(*garden.places, yard), totes=(garden.totes[0], closed))

    assert holes_in_use(proposed(garden, [HEAD])[0], "cress", 0) == 4
    assert holes_in_use(proposed(winter, [HEAD])[0], "cress", 0) == 2
    assert with_crops(winter, HEAD).place_of(closed, START) is None


def test_lots_receive_what_is_harvested_into_them() -> None:
    """Each lot holds the columns of its harvests, with the amount that one unit of the column gives."""
    batch = begun_batch(CHARD, sown=-14, plants=2, planted=-7)
    candidates = candidates_of(standing=Standing(begun=(replace(batch, want="pan"),), next_id=8))
    columns = columns_of(candidates, weeks=5, wanted={}, leftovers={})

    supply = supply_of(columns)

    by_column = {column: (lot, amount) for lot, terms in supply.items() for column, amount in terms.items()}
    for column, step in zip(columns.steps, candidates.steps, strict=True):
        lot = lot_of(candidates, step)
        if lot is None:
            assert column not in by_column
        else:
            # A begun batch of two is cut as a whole.
            plants = 2 if step.begun == 0 else 1
            assert by_column[column] == (lot, plants * (1.0 if lot.want == "salad" else step.grams))
