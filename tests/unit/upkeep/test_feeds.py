"""Feeds: totes that are fed on one day get one mix; plans are made by hand."""

from dataclasses import replace
from datetime import timedelta

import pytest

from cellar import PLANTED_ON, a_batch, a_garden, a_plan, heads
from steadysow.inputs.garden import Away, Garden
from steadysow.inputs.recipes import recipe_named
from steadysow.plan.batch import Batch
from steadysow.upkeep.feeds import Feed, list_feeds
from steadysow.upkeep.water import keep_books


def feeds_of(*batches: Batch, garden: Garden) -> tuple[Feed, ...]:
    """Give the feeds of a plan of these batches."""
    plan = a_plan(*batches)
    return list_feeds(garden, keep_books(garden, plan), plan.made_on)


def test_totes_that_fall_due_together_are_one_mix() -> None:
    """Two totes of 11 litres that are filled on 24 October take 28.6 g of powder in one feed, at 1.3 g a litre."""
    feed, *later = feeds_of(a_batch(), heads(), garden=a_garden())
    assert (feed.on, feed.brew_on, feed.ready_on) == (PLANTED_ON, None, PLANTED_ON)
    assert [book.filling.tote for book, _ in feed.parts] == ["A", "F"]
    assert feed.mix.litres == 22.0
    (amount,) = feed.mix.amounts
    assert amount.part.name == "powder"
    assert amount.grams == pytest.approx(28.6)
    assert len({each.on for each in (feed, *later)}) == 1 + len(later)


def test_every_litre_that_is_fed_is_in_one_feed() -> None:
    """The litres of all mixes are the litres that the books feed."""
    garden = a_garden(change_every_days=14)
    books = keep_books(garden, a_plan(a_batch(), heads()))
    fed = sum(refill.ml for book in books for refill in book.refills if refill.is_fed)
    assert 1000 * sum(feed.mix.litres for feed in list_feeds(garden, books, PLANTED_ON)) == pytest.approx(fed)
    assert fed > 22_000, "more than the two fillings"


@pytest.mark.parametrize(
    ("steep_hours", "away_days", "begun", "ready"),
    [
        # Away on these days before planting; the brew is begun and ready on these days, counted from planting.
        (24, (), -1, 0),
        (12, (), -1, 0),
        (36, (), -2, 0),
        (48, (), -2, 0),
        (24, (1,), -2, 0),
        (48, (1,), -2, 0),
        (48, (2,), -3, 0),
        (24, (1, 2), 0, 1),
        (48, (2, 3), 0, 2),
    ],
)
def test_a_brew_is_begun_whole_days_ahead(
    steep_hours: float, away_days: tuple[int, ...], begun: int, ready: int
) -> None:
    """A brew takes a day for every 24 hours begun, or one more if nobody is at home, or is begun late."""
    own = recipe_named("castings brew", ())
    assert own is not None
    brew = replace(own, name="own brew", steep_hours=steep_hours)
    away = tuple(
        Away(from_on=PLANTED_ON - timedelta(days), back_on=PLANTED_ON - timedelta(days - 1)) for days in away_days
    )
    first, *_ = feeds_of(a_batch(), garden=a_garden(recipes=(brew,), nutrient="own brew", away=away))
    assert (first.on, first.brew_on) == (PLANTED_ON, PLANTED_ON + timedelta(begun))
    assert first.ready_on == PLANTED_ON + timedelta(ready)


def test_without_plants_nothing_is_fed() -> None:
    """An empty plan, and a plan with a batch that was lost in the nursery, have no feeds."""
    lost = a_batch(state="lost", holes=(), transplanted_on=None, cleared_on=None, harvests=())
    assert feeds_of(garden=a_garden()) == feeds_of(lost, garden=a_garden()) == ()
