"""A small share of a published lettuce chain, planned.

The chain is that of [rutgers-lettuce] (seen): sown on day 0, transplanted on day 12, harvested on day 35.  So a head
stands on its board for 23 days.  Where boards are planted on one day of the week a hole is used every 28 days, so that
a steady weekly harvest takes four boards.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from shipped import shipped_crops
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden, Lamp
from steadysow.inputs.sources import read_publication
from tiny import SATURDAY, THURSDAY, decided, make_garden, make_tote, make_want

CHAIN = read_publication("rutgers-lettuce").table
BOARD_HOLES = CHAIN["final_spacing"]["board_holes"]
BOARDS = 4
WEEKS_IN_REACH = 8
TRANSPLANT_DAY, HARVEST_DAY = CHAIN["transplanted_on_day"], CHAIN["harvested_on_day"]
WEEKS = HARVEST_DAY // 7 + WEEKS_IN_REACH


@pytest.fixture(scope="module")
def butterhead() -> Crop:
    """Give the shipped profile of butterhead lettuce, moved and taken on the printed days and no other."""
    shipped = shipped_crops()["butterhead lettuce"]
    harvest = replace(shipped.harvest, window_days=1)
    return replace(shipped, harvest=harvest, nursery_days=(TRANSPLANT_DAY, TRANSPLANT_DAY), lid_holes=BOARD_HOLES)


def boards(crop: Crop, number: int) -> Garden:
    """Give boards that stand where the profile's days hold, sown on Saturdays and planted on Thursdays."""
    totes = [make_tote(f"board {each}", BOARD_HOLES, litres=100) for each in range(1, number + 1)]
    garden = make_garden(
        totes,
        [replace(make_want([crop], BOARD_HOLES), keeps_days=3)],
        weeks=WEEKS,
        chore_days=(THURSDAY, SATURDAY),
        harvest_days=(SATURDAY,),
        turnaround_days=1,
    )
    (shelf,) = garden.places
    assert shelf.lamp is not None
    bright = replace(shelf, temperature_c=crop.growth.at_c, lamp=Lamp(dli_mol=crop.growth.at_dli_mol))
    return replace(garden, places=(bright,), nursery=replace(garden.nursery, place=bright))


def test_four_boards_give_a_board_a_week(butterhead: Crop) -> None:
    """Sown every Saturday, four boards give a board of heads each week from day 35 on, on the printed days."""
    decision = decided(boards(butterhead, BOARDS), [butterhead])

    assert decision.choice.best_share == pytest.approx(1.0, abs=1e-6)
    for batch in decision.batches:
        assert batch.transplanted_on is not None
        assert (batch.transplanted_on - batch.sown_on).days == TRANSPLANT_DAY
        assert {(harvest.on - batch.sown_on).days for harvest in batch.harvests} <= {HARVEST_DAY}


def test_three_boards_give_three_quarters(butterhead: Crop) -> None:
    """With a board less each hole still gives one head in four weeks, so three quarters is all there is."""
    decision = decided(boards(butterhead, BOARDS - 1), [butterhead])

    assert decision.choice.best_share == pytest.approx((BOARDS - 1) / BOARDS, abs=1e-6)
    assert decision.choice.bound_share == pytest.approx((BOARDS - 1) / BOARDS, abs=1e-6)
