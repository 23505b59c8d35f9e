"""Finished batches say how long they took and what they gave; days and grams are counted by hand.

The batch of every test is planted on day 7.  By the published profile it is due on day 27, which is 20 days later.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from steadysow.growth.learnt import BatchOutcome, SowingOutcome
from steadysow.inputs.garden import Packet
from steadysow.inputs.journal import Fact
from steadysow.standing.outcomes import batch_outcomes, days_ratio, sowing_outcomes
from tiny import by_name, day, make_crop, make_garden, make_tote, make_want

CRESS = make_crop()
CROPS = by_name([CRESS])
GARDEN = make_garden([make_tote("A", 4)], [make_want([CRESS], 1)], weeks=8, crops=[CRESS])
SOWN = Fact(
    number=1, kind="sown", on=day(0), batch=7, crop="cress", want="salad", place="attic", plants=4, cells=6, seeds=12
)
PLANTED = Fact(number=2, kind="transplanted", on=day(7), batch=7, tote="A", holes=(1, 2, 3, 4))


def harvested(on: int, **more: object) -> Fact:
    """Record a harvest that was planned for day 29 and due on day 27, as published and as learnt."""
    fact = Fact(
        number=3, kind="harvested", on=day(on), batch=7, planned_on=day(29), due_on=day(27), published_on=day(27)
    )  # fmt: skip
    return replace(fact, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("on", "due", "ratio"),
    [
        # Before it fell due: the days it took, of the 20 published.
        (23, 27, 16 / 20),
        (26, 27, 19 / 20),
        # Between the day it fell due and the day it was planned for, the known figure is confirmed.
        (27, 27, 20 / 20),
        (29, 27, 20 / 20),
        # After the planned day: late by the days in between.
        (33, 27, 24 / 20),
        # The known figure was 16 days, due on day 23.
        (22, 23, 15 / 20),
        (25, 23, 16 / 20),
        (29, 23, 16 / 20),
        (31, 23, 18 / 20),
        # The known figure was 24 days, due on day 31, two days after the planned day: a harvest then is not late.
        (31, 31, 24 / 20),
        (30, 31, 23 / 20),
        (34, 31, 27 / 20),
    ],
)
def test_days_of_a_harvest(on: int, due: int, ratio: float) -> None:
    """A harvest says early, on time or late beside the figure known then."""
    assert days_ratio(harvested(on, due_on=day(due)), day(7)) == pytest.approx(ratio)


def test_an_unplanned_harvest_is_never_late() -> None:
    """Without a planned day, a late harvest looks the same as one that was left standing."""
    assert days_ratio(harvested(40, planned_on=None), day(7)) == 1.0
    assert days_ratio(harvested(23, planned_on=None), day(7)) == 16 / 20


@pytest.mark.parametrize("silent", [{"due_on": None}, {"published_on": None}, {"published_on": day(7)}])
def test_a_harvest_without_its_days_says_nothing(silent: dict[str, object]) -> None:
    """No days are learnt if the due day is not known, or if the profile would have taken no days at all."""
    assert days_ratio(harvested(23, **silent), day(7)) is None
    assert batch_outcomes((SOWN, PLANTED, harvested(23, **silent)), GARDEN) == ()


def test_a_batch_says_its_days_once_and_its_grams_as_a_mean() -> None:
    """The first cut took 16 of 20 days; two cuts gave 90 g and 60 g of 100 g; the third was not weighed."""
    cuts = (
        harvested(23, grams=90.0, planned_grams=100.0),
        harvested(40, grams=60.0, planned_grams=100.0),
        harvested(50, planned_grams=100.0),
    )
    assert batch_outcomes((SOWN, PLANTED, *cuts), GARDEN) == (
        BatchOutcome(crop="cress", place="shelf", days_ratio=16 / 20, grams_ratio=0.75),
    )


def test_grams_may_be_all_that_is_known() -> None:
    """A batch gave half of the forecast grams, and its due day is not known."""
    harvest = harvested(23, due_on=None, grams=50.0, planned_grams=100.0)
    assert batch_outcomes((SOWN, PLANTED, harvest), GARDEN) == (
        BatchOutcome(crop="cress", place="shelf", days_ratio=None, grams_ratio=0.5),
    )


def test_a_pot_grows_from_its_sowing_at_the_place_it_was_sown() -> None:
    """Without a transplant, 27 days are published from day 0, and it took 24; no tote is named."""
    assert batch_outcomes((SOWN, harvested(24)), GARDEN) == (
        BatchOutcome(crop="cress", place="attic", days_ratio=24 / 27, grams_ratio=None),
    )


def test_batches_without_a_harvest_a_sowing_or_a_crop_say_nothing() -> None:
    """Nothing is learnt from a lost batch, one without its sowing, one of a crop that is gone, or assumed stages."""
    lost = Fact(number=3, kind="lost", on=day(20), batch=7)
    assert batch_outcomes((SOWN, PLANTED, lost), GARDEN) == ()
    assert batch_outcomes((PLANTED, harvested(23)), GARDEN) == ()
    assert batch_outcomes((SOWN, PLANTED, harvested(23)), replace(GARDEN, crops={})) == ()
    assert batch_outcomes((replace(SOWN, assumed=True), replace(PLANTED, assumed=True)), GARDEN) == ()


def test_each_batch_has_its_own_outcome() -> None:
    """Batch 7 took 16 of 20 days, batch 8 took 24."""
    other = [replace(fact, batch=8) for fact in (SOWN, PLANTED, harvested(33))]
    outcomes = batch_outcomes((SOWN, PLANTED, harvested(23), *other), GARDEN)
    assert [each.days_ratio for each in outcomes] == [16 / 20, 24 / 20]


def test_emerged_cells_are_counted() -> None:
    """Five of six cells with two seeds each, of the packet at hand, sown in 2026."""
    emerged = Fact(number=2, kind="emerged", on=day(3), batch=7, plants=5)
    outcome = SowingOutcome(crop="cress", packed_in=2024, cells=6, seeds_a_cell=2, cells_up=5, sown_year=2026)
    garden = replace(GARDEN, packets=(Packet(crop="cress", percent=None, packed_in=2024),))
    assert sowing_outcomes((SOWN, emerged), garden) == (outcome,)
    assert sowing_outcomes((SOWN, emerged), GARDEN) == (replace(outcome, packed_in=None),)


def test_no_more_cells_emerge_than_were_sown() -> None:
    """A line edited by hand may say nine of six; six count."""
    emerged = Fact(number=2, kind="emerged", on=day(3), batch=7, plants=9)
    assert [outcome.cells_up for outcome in sowing_outcomes((SOWN, emerged), GARDEN)] == [6]


def test_an_emergence_that_was_not_counted_says_nothing() -> None:
    """Nothing is learnt without the number of cells that emerged, without the sowing, or without its cells."""
    emerged = Fact(number=2, kind="emerged", on=day(3), batch=7)
    assert sowing_outcomes((SOWN, emerged), GARDEN) == ()
    assert sowing_outcomes((replace(emerged, plants=5),), GARDEN) == ()
    assert sowing_outcomes((replace(SOWN, cells=None), replace(emerged, plants=5)), GARDEN) == ()
