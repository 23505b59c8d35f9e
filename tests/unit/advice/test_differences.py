"""What a mended plan changes, a line each with its reason; plans of a few batches, written by hand.

The batch of every test: two heads of cress in tote A, sown on day 7, planted on day 14, taken on day 28.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from builders import a_batch, a_harvest, a_plan
from steadysow.advice.differences import Differences, differences_of, goes_in
from steadysow.inputs.crops import HarvestKind
from steadysow.inputs.garden import Away
from steadysow.plan.batch import Batch, Harvest
from steadysow.plan.plan import Plan, WantWeek, Week
from steadysow.standing.standing import Rest, Standing
from tiny import NOTHING_BEGUN, START, day, make_crop, make_garden, make_tote, make_want

CRESS = make_crop()
GARDEN = make_garden([make_tote("A", 4), make_tote("B", 4)], [make_want([CRESS], 2)], weeks=8)
TODAY = day(3)


def heads(on: int, plants: int = 2, kind: HarvestKind = "head") -> Harvest:
    """Plan to take heads of 100 g."""
    return a_harvest(day(on), (1, 2, 3)[:plants], kind)


def cuts(*on: int) -> tuple[Harvest, ...]:
    """Plan to cut two plants on some days."""
    return tuple(heads(each, kind="cut") for each in on)


def batch(id: int = 5, **more: object) -> Batch:
    """Plan the batch."""
    planned = a_batch(id, (1, 2), sown_on=day(7), emerges_on=day(8), transplanted_on=day(14), harvests=(heads(28),))
    return replace(planned, **more)  # type: ignore[arg-type]


def week(number: int, served: float, wanted: float = 2.0) -> Week:
    """Give a week in which two heads are wanted, unless `wanted` says otherwise."""
    entry = WantWeek(
        want="salad",
        unit="heads",
        wanted=wanted,
        harvested=served,
        served=served,
        surplus=0.0,
        in_reach=True,
        by_crop=(),
    )
    return Week(starts_on=day(7 * number), wants=(entry,))


def plan(*batches: Batch, weeks: Sequence[Week] = ()) -> Plan:
    """Give a plan of some batches."""
    return a_plan(*batches, garden="tiny", uuid="", until_on=day(56), weeks=tuple(weeks))


def compared(
    before: Plan,
    after: Plan,
    *,
    broken: Collection[int] = (),
    standing: Standing = NOTHING_BEGUN,
    away: int = 0,
) -> Differences:
    """Compare two plans; with `away`, nobody is at home on that day."""
    garden = replace(GARDEN, away=(Away(from_on=day(away), back_on=day(away + 1)),)) if away else GARDEN
    return differences_of(
        before, after, before.weeks, garden=garden, standing=standing, today=TODAY, broken=frozenset(broken)
    )  # fmt: skip


# What changes.


def test_equal_plans_differ_in_nothing() -> None:
    """All with something to come is kept; what is done or lost is no part of it."""
    done, lost = batch(3, state="done"), batch(4, state="lost", harvests=())
    differences = compared(plan(done, lost, batch()), plan(done, lost, batch()))
    assert differences == Differences(kept=(5,), moved=(), dropped=(), added=())
    assert differences.is_none


@pytest.mark.parametrize(
    ("changes", "what"),
    [
        ({"sown_on": day(8)}, "2 cress: sown 11 Oct, not 10 Oct"),
        ({"transplanted_on": day(15)}, "2 cress: planted 18 Oct, not 17 Oct"),
        ({"transplanted_on": None}, "2 cress: planted never, not 17 Oct"),
        ({"tote": "B"}, "2 cress: into tote B, not A"),
        (
            {"plants": 1, "harvests": (heads(28, 1),)},
            "1 cress: 1 plant, not 2; other numbers of plants at its harvests",
        ),
        ({"harvests": (heads(29),)}, "2 cress: harvest 1 Nov, not 31 Oct"),
        ({"harvests": (heads(28), heads(30))}, "2 cress: 2 harvests to come, not 1"),
        ({"harvests": ()}, "2 cress: 0 harvests to come, not 1"),
        ({"harvests": (heads(28, 1),)}, "2 cress: other numbers of plants at its harvests"),
        (
            {"sown_on": day(8), "transplanted_on": day(15), "tote": "B", "harvests": (heads(29),)},
            "2 cress: sown 11 Oct, not 10 Oct; planted 18 Oct, not 17 Oct; into tote B, not A; "
            "harvest 1 Nov, not 31 Oct",
        ),
    ],
)
def test_a_change_is_named_new_beside_old(changes: dict[str, Any], what: str) -> None:
    """Day 7 is 10 October, day 14 the 17th and day 28 the 31st."""
    differences = compared(plan(batch()), plan(batch(**changes)))
    (moved,) = differences.moved
    assert (moved.batch, moved.what) == (5, f"batch 5, {what}")
    assert (differences.kept, differences.dropped, differences.added) == ((), (), ())
    assert not differences.is_none


@pytest.mark.parametrize(
    ("before", "after", "what"),
    [
        (cuts(21, 28), cuts(21, 30), "cut 2 Nov, not 31 Oct"),
        (cuts(21, 28), cuts(22, 30), "2 cuts on other days, from 25 Oct"),
        (cuts(21, 28), cuts(21), "1 cut to come, not 2"),
        (cuts(21), cuts(21, 28, 35), "3 cuts to come, not 1"),
        ((), cuts(21, 28), "first cut 24 Oct"),
        (cuts(21, 28), (cuts(21)[0], heads(28, 1, "cut")), "other numbers of plants at its cuts"),
        ((heads(28, kind="pick"),), (heads(29, kind="pick"),), "picking 1 Nov, not 31 Oct"),
        ((heads(28, kind="pick"),), (heads(28, 1, "pick"),), "other numbers of plants at its pickings"),
    ],
)
def test_harvests_are_named_by_their_kind(before: tuple[Harvest, ...], after: tuple[Harvest, ...], what: str) -> None:
    """Cuts and pickings that move, come or go; day 21 is 24 October."""
    (moved,) = compared(plan(batch(harvests=before)), plan(batch(harvests=after))).moved
    assert moved.what == f"batch 5, 2 cress: {what}"


def test_a_waiting_batch_that_gets_a_place_says_when_and_where() -> None:
    """Seedlings whose tote was still open are planted on day 16 in tote B."""
    waiting = batch(state="sown", sown_on=day(0), tote="", holes=(), transplanted_on=None, cleared_on=None, harvests=())
    placed = batch(state="sown", sown_on=day(0), tote="B", transplanted_on=day(16))
    (moved,) = compared(plan(waiting), plan(placed)).moved
    assert moved.what == "batch 5, 2 cress: planted 19 Oct, into tote B; first harvest 31 Oct"


def test_what_is_not_to_come_any_more_is_no_change() -> None:
    """A harvest that is recorded, or lies before today, may differ."""
    past = replace(heads(2), is_recorded=True)
    standing_batch = batch(state="transplanted", sown_on=day(-14), transplanted_on=day(-7))
    before = plan(replace(standing_batch, harvests=(heads(1), heads(28))))
    after = plan(replace(standing_batch, harvests=(past, heads(28))))
    assert compared(before, after).is_none


def test_a_batch_that_only_stands_to_be_cleared_is_not_counted() -> None:
    """A batch that stands, and has nothing to come, is neither kept nor dropped."""
    standing_batch = batch(state="transplanted", sown_on=day(-14), transplanted_on=day(-7), harvests=(heads(1),))
    assert compared(plan(standing_batch), plan(standing_batch)) == Differences(kept=(), moved=(), dropped=(), added=())
    assert compared(plan(standing_batch), plan()).is_none


def test_dropped_and_added_batches_are_described() -> None:
    """Number, plants, crop, day, want, tote and first harvest, each in the order of their numbers."""
    before = plan(batch(8, harvests=()), batch())
    after = plan(batch(7, tote="B", plants=1), batch(6, tote="B", harvests=(heads(30), heads(29))))
    differences = compared(before, after)
    assert [(each.batch, each.what) for each in differences.dropped] == [
        (5, "batch 5, 2 cress, sown 10 Oct for salad (tote A), first harvest 31 Oct"),
        (8, "batch 8, 2 cress, sown 10 Oct for salad (tote A)"),
    ]
    assert [(each.batch, each.what) for each in differences.added] == [
        (6, "batch 6, 2 cress, sown 10 Oct for salad (tote B), first harvest 1 Nov"),
        (7, "batch 7, 1 cress, sown 10 Oct for salad (tote B), first harvest 31 Oct"),
    ]
    assert (differences.kept, differences.moved) == ((), ())


# Why it changes.


def why_dropped(differences: Differences) -> str:
    """Give the reason of the one batch that is dropped."""
    (dropped,) = differences.dropped
    return dropped.why


def resting(from_on: int, until_on: date) -> Standing:
    """Give what stands where tote A rests for some days, and tote B always."""
    rests = (Rest(tote="B", from_on=START, until_on=date.max), Rest(tote="A", from_on=day(from_on), until_on=until_on))
    return Standing(rests=rests)


@pytest.mark.parametrize(
    ("old", "standing", "away", "why"),
    [
        (batch(), resting(3, day(63)), 0, "Tote A is resting until 5 Dec."),
        (batch(), resting(3, date.max), 0, "Tote A is resting."),
        (batch(), resting(27, day(63)), 0, "Tote A is resting until 5 Dec."),
        # From the day it is cleared the tote may rest.
        (batch(), resting(28, day(63)), 0, "It can no longer be done as planned."),
        (batch(), NOTHING_BEGUN, 7, "Nobody is at home on 10 Oct."),
        (batch(), NOTHING_BEGUN, 14, "Nobody is at home on 17 Oct."),
        (batch(), NOTHING_BEGUN, 28, "Nobody is at home on 31 Oct."),
        (batch(), NOTHING_BEGUN, 15, "It can no longer be done as planned."),
        (batch(sown_on=day(1)), NOTHING_BEGUN, 0, "It was not sown on 4 Oct."),
        # An absence that is over is no reason any more.
        (batch(sown_on=day(1)), NOTHING_BEGUN, 1, "It was not sown on 4 Oct."),
        (batch(state="sown", sown_on=day(0), recorded=("sown",)), NOTHING_BEGUN, 0, "It did not go as planned."),
        (batch(state="sown", sown_on=day(0)), NOTHING_BEGUN, 0, "It can no longer be done as planned."),
        (
            batch(state="sown", sown_on=day(0), transplanted_on=None, cleared_on=None, harvests=()),
            resting(3, day(63)),
            0,
            "It can no longer be done as planned.",
        ),
    ],
)
def test_a_batch_that_became_impossible_says_why(old: Batch, standing: Standing, away: int, why: str) -> None:
    """Its tote rests, nobody is at home on one of its days, its sowing was missed, or its facts are others."""
    differences = compared(plan(old), plan(), broken={5}, standing=standing, away=away)
    assert why_dropped(differences) == why


def test_a_batch_that_moves_because_it_must_says_why_and_not_what_it_gains() -> None:
    """What became impossible comes before what a change is good for."""
    before, after = plan(batch(), weeks=[week(4, 1.0)]), plan(batch(sown_on=day(8)), weeks=[week(4, 2.0)])
    assert compared(before, after, broken={5}, away=7).moved[0].why == "Nobody is at home on 10 Oct."
    assert compared(before, after, away=7).moved[0].why == "Salad in the week of 31 Oct: 100%, not 50%."


def test_a_batch_that_serves_better_says_which_week() -> None:
    """The week of day 28 was served half and is served whole, by what is harvested in it."""
    before = plan(weeks=[week(3, 2.0), week(4, 1.0)])
    after = plan(batch(), weeks=[week(3, 2.0), week(4, 2.0)])
    (added,) = compared(before, after).added
    assert added.why == "Salad in the week of 31 Oct: 100%, not 50%."


@pytest.mark.parametrize(
    ("was", "now", "on", "why"),
    [
        # Wanted are 2 heads in the week of day 28, 31 October: 0.02 heads are a hundredth.
        (week(4, 1.0), week(4, 1.02), 28, "Salad in the week of 31 Oct: 51%, not 50%."),
        (week(4, 1.0), week(4, 1.01), 28, "It fills space that became free."),
        (week(4, 2.0), week(4, 4.0), 28, "It fills space that became free."),
        (week(4, 0.0, 0.0), week(4, 2.0, 0.0), 28, "It fills space that became free."),
        (week(3, 1.0), week(4, 2.0), 28, "It fills space that became free."),
        # Harvests of the week before count, and those of the week itself: days 21 to 34.
        (week(4, 1.0), week(4, 2.0), 20, "It fills space that became free."),
        (week(4, 1.0), week(4, 2.0), 21, "Salad in the week of 31 Oct: 100%, not 50%."),
        (week(4, 1.0), week(4, 2.0), 34, "Salad in the week of 31 Oct: 100%, not 50%."),
        (week(4, 1.0), week(4, 2.0), 35, "It fills space that became free."),
    ],
)
def test_a_better_week_is_better_by_a_hundredth_and_near_a_harvest(was: Week, now: Week, on: int, why: str) -> None:
    """A batch counts only for weeks near its harvests, and only if they are served at least a hundredth better."""
    (added,) = compared(plan(weeks=[was]), plan(batch(harvests=(heads(on),)), weeks=[now])).added
    assert added.why == why


def test_a_batch_whose_space_is_taken_names_the_taker() -> None:
    """Batch 6 stands in tote A in the same weeks; a batch that was there before, or comes later, takes nothing."""
    kept = batch(4)
    taker = batch(6, sown_on=day(8))
    assert why_dropped(compared(plan(kept, batch()), plan(kept, taker))) == (
        "Batch 6 (cress) makes better use of that space."
    )
    assert why_dropped(compared(plan(kept, batch()), plan(kept))) == "Salad does just as well."
    for other in (
        batch(6, tote="B"),
        batch(6, transplanted_on=day(28), cleared_on=day(42)),
        batch(6, sown_on=day(-7), transplanted_on=day(0), cleared_on=day(14)),
        batch(6, transplanted_on=day(20), cleared_on=None),
    ):
        assert why_dropped(compared(plan(batch()), plan(other))) == "Salad does just as well."
    waiting = batch(state="sown", transplanted_on=None)
    assert why_dropped(compared(plan(waiting), plan(taker))) == "Salad does just as well."


def test_a_batch_may_shrink_for_another() -> None:
    """Half of batch 5 goes, and batch 6 stands in its holes."""
    (moved,) = compared(plan(batch()), plan(batch(plants=1, harvests=(heads(28, 1),)), batch(6))).moved
    assert moved.why == "Batch 6 (cress) makes better use of that space."


# What goes into a tote.


@pytest.mark.parametrize(
    ("planned", "words"),
    [
        (batch(), "sow 2 cress (batch 5) on 10 Oct, plant them on 17 Oct."),
        (batch(plants=1), "sow 1 cress (batch 5) on 10 Oct, plant it on 17 Oct."),
        (batch(sown_on=TODAY), "sow 2 cress (batch 5) today, plant them on 17 Oct."),
        (batch(state="sown", transplanted_on=TODAY), "plant 2 cress (batch 5) from the nursery today."),
        (batch(state="sown"), "plant 2 cress (batch 5) from the nursery on 17 Oct."),
        (batch(transplanted_on=day(7)), "sow 2 cress (batch 5) in their pots on 10 Oct."),
        (batch(plants=1, transplanted_on=day(7)), "sow 1 cress (batch 5) in its pot on 10 Oct."),
    ],
)
def test_what_goes_into_a_tote_next(planned: Batch, words: str) -> None:
    """The first batch that goes in, and what to do for it; not what stands there, nor what goes into other totes."""
    stands = batch(1, state="transplanted", sown_on=day(-14), transplanted_on=day(-7))
    sentence = goes_in(plan(stands, batch(2, tote="B"), planned, batch(9, transplanted_on=day(40))), "A", TODAY)
    assert sentence.removesuffix(" Nothing planted sooner would meet more of what you asked.") == (
        f"Next in tote A: {words}"
    )


def test_batches_that_go_in_together_are_named_together() -> None:
    """Two batches enter tote A on one day, and a third a day later."""
    both = plan(batch(), batch(6, state="sown", plants=1), batch(7, transplanted_on=day(15)))
    assert goes_in(both, "A", day(7)) == (
        "Next in tote A: sow 2 cress (batch 5) today, plant them on 17 Oct; "
        "plant 1 cress (batch 6) from the nursery on 17 Oct."
    )


@pytest.mark.parametrize(("today", "is_soon"), [(7, True), (6, False)])
def test_a_tote_that_stays_empty_for_long_says_so(today: int, is_soon: bool) -> None:
    """Empty for seven days needs no word, for eight it does."""
    sentence = goes_in(plan(batch()), "A", day(today))
    assert sentence.endswith("plant them on 17 Oct.") is is_soon
    assert sentence.endswith(" Nothing planted sooner would meet more of what you asked.") is not is_soon


def test_an_empty_tote_may_stay_empty() -> None:
    """Nothing is to go into tote A."""
    assert goes_in(plan(batch(tote="B")), "A", TODAY) == (
        "Tote A stays empty: nothing planted there would meet more of what you asked."
    )
