"""What a mended plan changes, told in a line each; plans of a few batches, written by hand.

The batch of every test: two heads of cress in tote A, sown on day 7, planted on day 14, taken on day 28.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from typing import Any

import pytest

from steadysow.advice.differences import Differences, differences_of, goes_in
from steadysow.inputs.garden import Away
from steadysow.plan.batch import Batch, Harvest
from steadysow.plan.plan import Plan, Proof, WantWeek, Week
from steadysow.standing.standing import Rest, Standing
from tiny import NOTHING_BEGUN, START, day, make_crop, make_garden, make_tote, make_want

CRESS = make_crop()
GARDEN = make_garden([make_tote("A", 4), make_tote("B", 4)], [make_want([CRESS], 2)], weeks=8)
TODAY = day(3)


def heads(on: int, plants: int = 2) -> Harvest:
    """Plan to take heads of 100 g."""
    return Harvest(
        on=day(on), latest_on=day(on), kind="head", number=1, holes=(1, 2, 3)[:plants], plants=plants,
        grams=100.0 * plants,
    )  # fmt: skip


def batch(id: int = 5, **more: object) -> Batch:
    """Plan the batch."""
    planned = Batch(
        id=id, crop="cress", want="salad", place="shelf", tote="A", holes=(1, 2), plants=2, cells=2, seeds=2,
        state="planned", sown_on=day(7), emerges_on=day(8), transplanted_on=day(14), cleared_on=day(28),
        harvests=(heads(28),),
    )  # fmt: skip
    return replace(planned, **more)  # type: ignore[arg-type]


def week(number: int, served: float) -> Week:
    """Give a week in which two heads are wanted."""
    entry = WantWeek(
        want="salad", unit="heads", wanted=2.0, harvested=served, served=served, surplus=0.0, in_reach=True, by_crop=()
    )
    return Week(starts_on=day(7 * number), wants=(entry,))


def plan(*batches: Batch, weeks: Sequence[Week] = ()) -> Plan:
    """Give a plan of some batches."""
    proof = Proof(
        served_share=1.0, best_share=1.0, bound_share=1.0, served_share_all_weeks=1.0, status="optimal", seconds=1.0,
        deep_gaps=0, sowings=1, best_sowings=1,
    )  # fmt: skip
    return Plan(
        garden="tiny", uuid="", starts_on=START, made_on=START, from_on=START, until_on=day(56), proof=proof,
        batches=batches, weeks=tuple(weeks),
    )  # fmt: skip


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


def test_equal_plans_differ_in_nothing() -> None:
    """All with something to come is kept; what is done or lost is not spoken of."""
    done, lost = batch(3, state="done"), batch(4, state="lost", harvests=())
    told = compared(plan(done, lost, batch()), plan(done, lost, batch()))
    assert told == Differences(kept=(5,), moved=(), dropped=(), added=())
    assert told.is_none


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"sown_on": day(8)}, "sown 11 Oct, not 10 Oct"),
        ({"transplanted_on": day(15)}, "planted 18 Oct, not 17 Oct"),
        ({"tote": "B"}, "into tote B, not A"),
        ({"plants": 3, "harvests": (heads(28, 3),)}, "3 plants, not 2"),
        ({"harvests": (heads(29),)}, "head 1 Nov, not 31 Oct"),
        ({"harvests": (heads(28), heads(30))}, "2 heads to come, not 1"),
        ({"harvests": (heads(28, 1),)}, "other numbers"),
    ],
)
def test_what_moves_is_told(changes: dict[str, Any], words: str) -> None:
    """Day 7 is 10 October: what changes of a batch is named, new beside old."""
    told = compared(plan(batch()), plan(batch(**changes)))
    ((moved,), kept, dropped, added) = (told.moved, told.kept, told.dropped, told.added)
    assert (moved.batch, kept, dropped, added) == (5, (), (), ())
    assert words in moved.what
    assert moved.what.startswith("batch 5, ")
    assert moved.why


def test_what_is_not_to_come_any_more_is_no_change() -> None:
    """A harvest that was told, or lies before today, may differ; so may what a want is called on no day to come."""
    past = replace(heads(2), is_recorded=True)
    standing_batch = batch(state="transplanted", sown_on=day(-14), transplanted_on=day(-7))
    before = plan(replace(standing_batch, harvests=(heads(1), heads(28))))
    after = plan(replace(standing_batch, harvests=(past, heads(28))))
    assert compared(before, after).is_none


def test_dropped_and_added_batches_are_told_whole() -> None:
    """Number, plants, crop, day, want, tote and first harvest."""
    told = compared(plan(batch()), plan(batch(6, tote="B")))
    (dropped,), (added,) = told.dropped, told.added
    assert (dropped.batch, added.batch) == (5, 6)
    for word in ("batch 5, 2 cress", "sown 10 Oct for salad", "tote A", "first harvest 31 Oct"):
        assert word in dropped.what
    assert "tote B" in added.what


def why_broken(told: Differences) -> str:
    """Give the reason of the one batch that is dropped."""
    (dropped,) = told.dropped
    return dropped.why


def test_a_batch_that_became_impossible_says_why() -> None:
    """Its tote rests, nobody is at home on its sowing day, or that day has gone by."""
    rest = Rest(tote="A", from_on=day(3), until_on=day(63))
    resting = Standing(rests=(rest,))
    assert why_broken(compared(plan(batch()), plan(), broken={5}, standing=resting)) == (
        "tote A is out of use until 5 Dec"
    )
    assert why_broken(compared(plan(batch()), plan(), broken={5}, away=7)) == "nobody is at home on 10 Oct"
    missed = batch(sown_on=day(1))
    assert why_broken(compared(plan(missed), plan(), broken={5})) == "it was not sown on 4 Oct"
    late = batch(state="sown", sown_on=day(0), recorded=("sown", "emerged"))
    assert why_broken(compared(plan(late), plan(), broken={5})) == "it did not go as planned"


def test_a_batch_that_serves_better_says_which_week() -> None:
    """The week of day 28 was served half and is served whole, by what is harvested in it."""
    before = plan(weeks=[week(3, 2.0), week(4, 1.0)])
    after = plan(batch(), weeks=[week(3, 2.0), week(4, 2.0)])
    (added,) = compared(before, after).added
    assert added.why == "salad in the week of 31 Oct: 100%, not 50%"


def test_a_batch_whose_place_is_taken_names_the_taker() -> None:
    """Batch 6 stands in tote A in the same weeks."""
    told = compared(plan(batch()), plan(batch(6, sown_on=day(8))))
    assert "batch 6 (cress)" in why_broken(told)


# What goes into a tote.


@pytest.mark.parametrize(
    ("planned", "words"),
    [
        (batch(), "sow 2 cress (batch 5) on 10 Oct, to go in on 17 Oct"),
        (batch(sown_on=TODAY), "sow 2 cress (batch 5) today, to go in on 17 Oct"),
        (batch(state="sown", transplanted_on=TODAY), "plant 2 cress (batch 5) from the nursery today"),
        (batch(transplanted_on=day(7)), "sow 2 cress (batch 5) in their pots on 10 Oct"),
    ],
)
def test_what_goes_into_a_tote_is_one_sentence(planned: Batch, words: str) -> None:
    """The first that goes in, and what to do for it; what stands there, or goes into another tote, is not meant."""
    stands = batch(1, state="transplanted", sown_on=day(-14), transplanted_on=day(-7))
    sentence = goes_in(plan(stands, batch(2, tote="B"), planned, batch(9, transplanted_on=day(40))), "A", TODAY)
    assert sentence.startswith(f"Into tote A: {words}")
    assert "batch 9" not in sentence
    assert sentence.endswith(".")


def test_an_empty_tote_may_stay_empty() -> None:
    """Nothing is to go into tote A."""
    assert goes_in(plan(batch(tote="B")), "A", TODAY).startswith("Tote A stays empty")
