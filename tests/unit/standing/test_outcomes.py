"""What finished batches say of their crop; days and grams counted by hand.

The batch of every test is planted on day 7.  As published it falls due on day 27, which is 20 days.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from steadysow.growth.learnt import Came, Grown
from steadysow.inputs.garden import Packet
from steadysow.inputs.journal import Fact
from steadysow.standing.outcomes import came_from, days_ratio, grown_from
from tiny import by_name, day, make_crop, make_garden, make_tote, make_want

CRESS = make_crop()
CROPS = by_name([CRESS])
GARDEN = make_garden([make_tote("A", 4)], [make_want([CRESS], 1)], weeks=8, crops=[CRESS])
SOWN = Fact(
    number=1, kind="sown", on=day(0), batch=7, crop="cress", want="salad", place="attic", plants=4, cells=6, seeds=12
)
PLANTED = Fact(number=2, kind="transplanted", on=day(7), batch=7, tote="A", holes=(1, 2, 3, 4))


def harvested(on: int, **more: object) -> Fact:
    """Tell a harvest that was planned for day 29 and fell due on day 27, as published and as learnt."""
    told = Fact(
        number=3, kind="harvested", on=day(on), batch=7, planned_on=day(29), due_on=day(27), published_on=day(27)
    )  # fmt: skip
    return replace(told, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("on", "due", "ratio"),
    [
        # Before it fell due: the days it took, of the 20 published.
        (23, 27, 16 / 20),
        (26, 27, 19 / 20),
        # Between the day it fell due and the day it was planned for, what was known fits.
        (27, 27, 20 / 20),
        (29, 27, 20 / 20),
        # After the planned day: later by so many days.
        (33, 27, 24 / 20),
        # What was known was 16 days, due on day 23.
        (22, 23, 15 / 20),
        (25, 23, 16 / 20),
        (29, 23, 16 / 20),
        (31, 23, 18 / 20),
        # What was known was 24 days, due on day 31, two days after it was planned: taken then, it is not late.
        (31, 31, 24 / 20),
        (30, 31, 23 / 20),
        (34, 31, 27 / 20),
    ],
)
def test_days_of_a_harvest(on: int, due: int, ratio: float) -> None:
    """Early, on plan and late, by what was known then."""
    assert days_ratio(harvested(on, due_on=day(due)), day(7)) == pytest.approx(ratio)


def test_a_harvest_that_nobody_planned_is_late_by_nothing() -> None:
    """Without a planned day, late cannot be told from left standing."""
    assert days_ratio(harvested(40, planned_on=None), day(7)) == 1.0
    assert days_ratio(harvested(23, planned_on=None), day(7)) == 16 / 20


@pytest.mark.parametrize("silent", [{"due_on": None}, {"published_on": None}, {"published_on": day(7)}])
def test_a_harvest_without_its_days_says_nothing(silent: dict[str, object]) -> None:
    """Nothing is learnt of days where it is not known when it fell due, or where it would have taken none."""
    assert days_ratio(harvested(23, **silent), day(7)) is None
    assert grown_from((SOWN, PLANTED, harvested(23, **silent)), GARDEN) == ()


def test_a_batch_says_its_days_once_and_its_grams_as_a_mean() -> None:
    """First cut 16 of 20 days; 90 g and 60 g where 100 g were forecast; the third was not weighed."""
    cuts = (
        harvested(23, grams=90.0, planned_grams=100.0),
        harvested(40, grams=60.0, planned_grams=100.0),
        harvested(50, planned_grams=100.0),
    )
    assert grown_from((SOWN, PLANTED, *cuts), GARDEN) == (
        Grown(crop="cress", place="shelf", days_ratio=16 / 20, grams_ratio=0.75),
    )


def test_grams_may_be_all_that_is_known() -> None:
    """Half of what was forecast, on days that say nothing."""
    told = harvested(23, due_on=None, grams=50.0, planned_grams=100.0)
    assert grown_from((SOWN, PLANTED, told), GARDEN) == (
        Grown(crop="cress", place="shelf", days_ratio=None, grams_ratio=0.5),
    )


def test_a_pot_grows_from_its_sowing_at_the_place_it_was_sown() -> None:
    """Without a transplant, 27 days are published from day 0, and 24 were taken; no tote is named."""
    assert grown_from((SOWN, harvested(24)), GARDEN) == (
        Grown(crop="cress", place="attic", days_ratio=24 / 27, grams_ratio=None),
    )


def test_what_was_not_harvested_or_is_not_known_says_nothing() -> None:
    """A batch lost, one without its sowing, one of a crop that is gone, and assumed stages alone."""
    lost = Fact(number=3, kind="lost", on=day(20), batch=7)
    assert grown_from((SOWN, PLANTED, lost), GARDEN) == ()
    assert grown_from((PLANTED, harvested(23)), GARDEN) == ()
    assert grown_from((SOWN, PLANTED, harvested(23)), replace(GARDEN, crops={})) == ()
    assert grown_from((replace(SOWN, assumed=True), replace(PLANTED, assumed=True)), GARDEN) == ()


def test_batches_are_told_apart() -> None:
    """Batch 8 took 24 of 20 days, batch 7 16."""
    other = [replace(fact, batch=8) for fact in (SOWN, PLANTED, harvested(33))]
    grown = grown_from((SOWN, PLANTED, harvested(23), *other), GARDEN)
    assert [each.days_ratio for each in grown] == [16 / 20, 24 / 20]


def test_what_came_up() -> None:
    """Five of six cells with two seeds each, of the packet at hand, sown in 2026."""
    emerged = Fact(number=2, kind="emerged", on=day(3), batch=7, plants=5)
    came = Came(crop="cress", packed_in=2024, cells=6, seeds_a_cell=2, cells_up=5, sown_year=2026)
    garden = replace(GARDEN, packets=(Packet(crop="cress", percent=None, packed_in=2024),))
    assert came_from((SOWN, emerged), garden) == (came,)
    assert came_from((SOWN, emerged), GARDEN) == (replace(came, packed_in=None),)


def test_more_cells_up_than_were_sown_are_all_of_them() -> None:
    """A hand-edited line may say so."""
    emerged = Fact(number=2, kind="emerged", on=day(3), batch=7, plants=9)
    assert [came.cells_up for came in came_from((SOWN, emerged), GARDEN)] == [6]


def test_an_emergence_that_was_not_counted_says_nothing() -> None:
    """That seedlings are up says not how many; without a sowing it is not known of how many."""
    emerged = Fact(number=2, kind="emerged", on=day(3), batch=7)
    assert came_from((SOWN, emerged), GARDEN) == ()
    assert came_from((replace(emerged, plants=5),), GARDEN) == ()
    assert came_from((replace(SOWN, cells=None), replace(emerged, plants=5)), GARDEN) == ()
