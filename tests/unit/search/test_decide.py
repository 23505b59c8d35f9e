"""Deciding goes from a garden to numbered batches, and counts tote by tote where counting together is not exact."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta

import pytest

from steadysow.check.verify import verify
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden
from steadysow.plan.batch import Batch, Harvest
from steadysow.search import decide as room
from steadysow.search.candidates import Candidates, Lot
from steadysow.search.decide import Decision, Span, decide, reach_of, task_of
from steadysow.search.narrowing import by_tote_like
from steadysow.search.propose import propose
from steadysow.search.strands import Strand, followed
from steadysow.standing.standing import Standing
from tiny import NOTHING_BEGUN, START, day, make_crop, make_garden, make_tote, make_want, proposed

from .by_hand import begun_batch, measured_share, with_crops

pytestmark = pytest.mark.usefixtures("quick")

HEAD = make_crop(lid_holes=2)
SPAN = Span(starts_on=START, first_on=START, today=START, weeks=5)


def garden_of(*crops: Crop, want: float = 1, holes: int = 2, totes: int = 1, **habits: object) -> Garden:
    """Make a garden of alike totes and one want for each crop, cleared after its five weeks so that it has no tail."""
    wants = [make_want([crop], want, name=crop.name) for crop in crops]
    those = [make_tote(name, holes) for name in "ABC"[:totes]]
    garden = make_garden(those, wants, weeks=5, clear_by=day(35), **habits)  # type: ignore[arg-type]
    return with_crops(garden, *crops)


def decided(garden: Garden, **how: object) -> Decision:
    """Decide for the five weeks."""
    return decide(garden, NOTHING_BEGUN, span=SPAN, seconds=60.0, **how)  # type: ignore[arg-type]


def breaches_of(garden: Garden, batches: Sequence[Batch]) -> set[str]:
    """Give the rules that batches break."""
    return {breach.rule for breach in verify(garden, batches, today=START, starts_on=START)}


def share_of(garden: Garden, batches: Sequence[Batch]) -> float:
    """Measure the served share of batches."""
    candidates, _ = proposed(garden, garden.crops.values())
    return measured_share(candidates, batches)


def test_head_a_week_is_three_batches() -> None:
    """From five weeks, three are in reach: three batches of a head, a week apart, numbered in their order."""
    decision = decided(garden_of(HEAD))

    assert [(batch.id, batch.sown_on, batch.cleared_on) for batch in decision.batches] == [
        (number, day(7 * number - 7), day(7 * number + 7)) for number in (1, 2, 3)
    ]
    assert decision.reach == {"cress": day(14)}
    assert decision.choice.best_share == pytest.approx(1.0)
    assert decision.choice.status == "optimal"


def test_decided_again_nothing_changes_its_number() -> None:
    """With its own batches as the old plan, the same is decided under the same numbers."""
    garden = garden_of(HEAD, want=2)
    old = tuple(replace(batch, id=batch.id + 20) for batch in decided(garden).batches)

    assert decided(garden, old=old).batches == old


def test_afresh_nothing_is_started_from(monkeypatch: pytest.MonkeyPatch) -> None:
    """Asked to begin from nothing, the search is given no start from the old plan, which still lends its numbers."""
    garden = garden_of(HEAD, want=2)
    old = tuple(replace(batch, id=batch.id + 20) for batch in decided(garden).batches)
    followed_batches: list[int] = []

    def watched(candidates: Candidates, batches: Sequence[Batch]) -> tuple[Strand, ...]:
        followed_batches.append(len(batches))
        return followed(candidates, batches)

    monkeypatch.setattr(room, "followed", watched)
    decision = decided(garden, old=old, is_afresh=True)

    assert followed_batches == [0]
    assert decision.batches == old


WEAK, STRONG = make_crop("weak", ec=(0.6, 1.0), lid_holes=2), make_crop("strong", ec=(1.8, 2.4), lid_holes=2)


def test_totes_that_cannot_be_counted_together_are_counted_one_by_one() -> None:
    """Two totes hold 3 weak and 1 strong head by their sum of 4 holes, but apart from each other only 2 and 1."""
    garden = garden_of(WEAK, STRONG, want=3, totes=2)
    garden = replace(garden, wants=(garden.wants[0], replace(garden.wants[1], amount=1.0)))

    decision = decided(garden)

    # Of 3 weak heads 2 are served, and the strong one.
    assert decision.choice.best_share == pytest.approx((2 / 3 + 1) / 2)
    assert decision.choice.bound_share == pytest.approx((2 / 3 + 1) / 2)
    assert share_of(garden, decision.batches) == pytest.approx((2 / 3 + 1) / 2)
    assert breaches_of(garden, decision.batches) == set()


def test_large_garden_is_counted_one_by_one_only_with_the_chosen_lives(monkeypatch: pytest.MonkeyPatch) -> None:
    """In a large garden a plan that cannot be named is sought again among its own lives; the first bound stays."""
    garden = garden_of(WEAK, STRONG, want=3, totes=2)
    garden = replace(garden, wants=(garden.wants[0], replace(garden.wants[1], amount=1.0)))
    monkeypatch.setattr(room, "MOST_STEPS_BY_TOTE", 0)
    narrowed: list[int] = []

    def watched(candidates: Candidates, strands: Sequence[Strand]) -> Candidates:
        few = by_tote_like(candidates, strands)
        narrowed.append(len(few.steps))
        return few

    monkeypatch.setattr(room, "by_tote_like", watched)
    decision = decided(garden)

    assert len(narrowed) == 1
    assert decision.choice.bound_share >= decision.choice.best_share
    assert decision.choice.bound_share == pytest.approx(1.0)
    assert breaches_of(garden, decision.batches) == set()


def test_tail_weeks_belong_to_the_span() -> None:
    """A rolling garden looks as far beyond its weeks as its slowest greens need, a cleared one not at all."""
    cleared = garden_of(HEAD)
    rolling = replace(cleared, clear_by=None)

    assert SPAN.days(cleared) == 35
    # A head takes two weeks from seed to harvest.
    assert SPAN.days(rolling) == 49


def test_leftovers_are_lots_of_their_weeks() -> None:
    """Two heads harvested on the last day of last week, good for three days, are for this week, which is week 0."""
    span = Span(starts_on=START, first_on=START + timedelta(14), today=START + timedelta(14), weeks=3)
    patient = replace(HEAD, keeps_days=5)
    garden = garden_of(patient)
    taken = Harvest(on=day(13), latest_on=day(13), kind="head", number=1, holes=(1, 2), plants=2, grams=200.0)
    done = replace(
        begun_batch(patient, sown=-1, plants=2, planted=6, harvests=(taken,)),
        want="cress",
        state="done",
        cleared_on=day(13),
    )
    standing = Standing(begun=(done,), next_id=8)
    candidates = propose(garden, standing, first_on=span.first_on, today=span.today, days=21)

    task = task_of(candidates, standing, span)

    # Day 6 of its week and 5 days come to 11, which is 7 + 4: good for the week after.
    (lot, amount), *others = task.leftovers.items()
    assert lot == Lot(want="cress", week=-1, last_week=0)
    assert others == []
    # The week of the harvest wanted one of the two heads.
    assert amount == pytest.approx(1.0)
    assert task.weeks == 3


def test_only_weeks_in_reach_are_asked_for() -> None:
    """Nothing is asked for before the first possible harvest, nor for a want that can never be served."""
    slow = make_crop("slow", first_days=60)
    garden = garden_of(HEAD, slow)
    candidates = propose(garden, NOTHING_BEGUN, first_on=START, today=START, days=35)

    task = task_of(candidates, NOTHING_BEGUN, SPAN)

    assert task.wanted == {("cress", week): 1.0 for week in (2, 3, 4)}
    assert reach_of(candidates) == {"cress": day(14), "slow": None}
