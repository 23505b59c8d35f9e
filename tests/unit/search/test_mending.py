"""Mending keeps what was promised unless a change is worth it: in gardens so small that each change can be counted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

import pytest

from steadysow.check.verify import verify
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden
from steadysow.plan.batch import Batch
from steadysow.search import mending
from steadysow.search.candidates import Candidates, PlantState
from steadysow.search.decide import Span, decide
from steadysow.search.mending import CANCELLED, HELD, HELD_DAYS, NEAR, PRICES, Carried, Freedom, Mended, mend
from steadysow.search.model import build
from steadysow.search.strands import followed
from steadysow.standing.standing import Rest, Standing
from tiny import NOTHING_BEGUN, START, day, make_crop, make_garden, make_tote, make_want, proposed

from .by_hand import begun_batch, with_crops

pytestmark = pytest.mark.usefixtures("quick")

HEAD = make_crop(lid_holes=2, nursery_days=(7, 14), window_days=8)
SPAN = Span(starts_on=START, first_on=START, today=START, weeks=6)


def garden_of(*crops: Crop, want: float = 2, totes: str = "AB", **habits: object) -> Garden:
    """Make a garden of alike totes with two holes, cleared after its six weeks so that it has no tail."""
    those = [make_tote(name, 2) for name in totes]
    garden = make_garden(those, [make_want(crops, want)], weeks=6, clear_by=day(42), **habits)  # type: ignore[arg-type]
    return with_crops(garden, *crops)


def planned(garden: Garden) -> tuple[Batch, ...]:
    """Plan a garden from its first day."""
    return decide(garden, NOTHING_BEGUN, span=SPAN, seconds=60.0).batches


def mended(
    garden: Garden,
    old: Sequence[Batch],
    standing: Standing = NOTHING_BEGUN,
    *,
    freedom: Freedom = "middle",
    today: date = START,
) -> Mended:
    """Mend a plan."""
    span = replace(SPAN, today=today)
    return mend(garden, standing, span=span, old=old, freedom=freedom, seconds=60.0)


def breaches_of(garden: Garden, batches: Sequence[Batch], standing: Standing = NOTHING_BEGUN) -> set[str]:
    """Give the rules that batches break."""
    found = verify(garden, batches, today=START, starts_on=START, resting=standing.rests, begun=standing.begun)
    return {breach.rule for breach in found}


@pytest.mark.parametrize("freedom", PRICES)
def test_plan_in_which_nothing_went_wrong_stays_as_it_is(freedom: Freedom) -> None:
    """If nothing has happened, the mended plan is the old one, batch by batch, whatever may change."""
    garden = garden_of(HEAD)
    old = planned(garden)
    assert len(old) >= 4

    again = mended(garden, old, freedom=freedom)

    assert again.decision.batches == old
    assert again.broken == frozenset()


def test_resting_tote_breaks_its_batches_and_no_others() -> None:
    """Where one of two totes rests, its batches are the broken ones; those of the other keep number, days and tote."""
    garden = garden_of(HEAD)
    old = planned(garden)
    in_b = {batch.id for batch in old if batch.tote == "B"}
    in_a = {batch.id for batch in old if batch.tote == "A"}
    assert in_a
    assert in_b
    rest = Standing(rests=(Rest(tote="B", from_on=START, until_on=date.max),), next_id=1 + len(old))

    again = mended(garden, old, rest)

    assert again.broken == in_b
    assert {batch.tote for batch in again.decision.batches} == {"A"}
    kept = {batch.id: batch for batch in again.decision.batches}
    for batch in old:
        if batch.id in in_a:
            now = kept[batch.id]
            assert (now.sown_on, now.transplanted_on, now.tote) == (batch.sown_on, batch.transplanted_on, batch.tote)
    assert breaches_of(garden, again.decision.batches, rest) == set()


def test_batch_that_has_to_move_keeps_its_number() -> None:
    """A batch whose tote rests from its day on goes into the free tote, on the same day, under its old number."""
    # With no day to spare, its plants live the same life wherever they stand.
    garden = garden_of(make_crop(lid_holes=2), want=1)
    old = planned(garden)[-1]
    other = "B" if old.tote == "A" else "A"
    rest = Standing(rests=(Rest(tote=old.tote, from_on=START, until_on=date.max),), next_id=20)

    again = mended(garden, [old], rest)

    now = next(batch for batch in again.decision.batches if batch.id == old.id)
    assert (now.tote, now.sown_on, now.transplanted_on) == (other, old.sown_on, old.transplanted_on)


def test_gain_that_is_small_changes_a_free_plan_only() -> None:
    """With more freedom a plan gets no fewer new batches, and with the most a batch that it lacks far ahead."""
    garden = garden_of(HEAD, want=2)
    old = planned(garden)
    # The last batch was never promised.
    fewer = old[:-1]

    def new_batches(freedom: Freedom) -> int:
        known = {batch.id for batch in fewer}
        return sum(batch.id not in known for batch in mended(garden, fewer, freedom=freedom).decision.batches)

    counts = [new_batches(freedom) for freedom in ("low", "middle", "high")]
    assert counts == sorted(counts)
    assert counts[-1] >= 1


def test_what_has_begun_stays_where_it_is() -> None:
    """A batch that stands, and one that waits, keep numbers and totes."""
    stands = begun_batch(HEAD, sown=-14, plants=2, planted=-7)
    waits = begun_batch(HEAD, sown=-7, plants=2, number=8, tote="B")
    standing = Standing(begun=(stands, waits), next_id=9)
    garden = garden_of(HEAD)
    old = decide(garden, standing, span=SPAN, seconds=60.0).batches

    again = mended(garden, old, standing)

    assert {batch.id: batch.tote for batch in again.decision.batches if batch.id in (7, 8)} == {
        batch.id: batch.tote for batch in old if batch.id in (7, 8)
    }
    assert breaches_of(garden, again.decision.batches, standing) == set()


def test_without_time_what_stands_is_planned_round(monkeypatch: pytest.MonkeyPatch) -> None:
    """If not even the promises could be looked through, a legal plan comes out, and says that time ran out."""
    garden = garden_of(HEAD)
    old = planned(garden)
    monkeypatch.setattr(mending._Mender, "mended", lambda *_, **__: None)

    again = mended(garden, old)

    assert again.decision.choice.status == "time limit"
    assert breaches_of(garden, again.decision.batches) == set()


# --- prices ---


def changes_of(garden: Garden, old: Sequence[Batch]) -> tuple[Candidates, mending._Changes]:
    """Give the columns of what changes, for a price of 1 a chore."""
    candidates, task = proposed(garden, garden.crops.values(), by_tote=True)
    model = build(candidates, weeks=6, wanted=task.wanted, leftovers={})
    return candidates, mending._Changes(model, followed(candidates, old), old, 1.0)


def test_near_changes_cost_more_than_far_ones() -> None:
    """Within a week a change costs more than any share is worth; then twice the price, falling to it within 8 weeks."""
    _, changes = changes_of(garden_of(HEAD), ())

    worths = [changes._worth(number) for number in range(100)]

    assert worths[:HELD_DAYS] == [HELD] * HELD_DAYS
    assert worths[HELD_DAYS] == pytest.approx(NEAR)
    assert worths[HELD_DAYS:] == sorted(worths[HELD_DAYS:], reverse=True)
    assert worths[HELD_DAYS + 56 :] == [1.0] * (100 - HELD_DAYS - 56)
    # No share outweighs it: all that is wanted is worth 100.
    assert worths[0] > 100


def test_plants_are_worth_most_where_they_were_promised() -> None:
    """A plant of an old batch is worth most on its day in its tote, less in another, and less each week away."""
    garden = garden_of(HEAD)
    old = planned(garden)
    batch = max(old, key=lambda each: each.sown_on)
    candidates, changes = changes_of(garden, [batch])
    aim = changes.aim()
    assert batch.transplanted_on is not None
    own = candidates.day_of(batch.transplanted_on)

    worth = {
        (entry.last_day - own, candidates.groups[entry.group].totes[0]): aim[column] * batch.plants
        for (_, entry), column in changes.carried.items()
    }

    other = "B" if batch.tote == "A" else "A"
    price = changes._worth(own)
    assert worth[(0, batch.tote)] == pytest.approx(CANCELLED * price)
    assert worth[(0, other)] == pytest.approx((CANCELLED - 0.5) * price)
    assert worth[(-7, batch.tote)] == pytest.approx((CANCELLED - 0.25) * price)
    assert worth[(-7, other)] == pytest.approx((CANCELLED - 0.75) * price)
    assert max(worth.values()) == worth[(0, batch.tote)]


def test_plants_are_carried_no_further_than_three_weeks() -> None:
    """A batch may be planted up to three weeks from its day and still be the same one."""
    slow = replace(HEAD, nursery_days=(7, 7))
    garden = garden_of(slow)
    old = planned(garden)
    batch = min(old, key=lambda each: each.sown_on)
    candidates, changes = changes_of(garden, [batch])
    changes.aim()
    assert batch.transplanted_on is not None
    own = candidates.day_of(batch.transplanted_on)

    days = {entry.last_day - own for _, entry in changes.carried}

    assert days == {step.from_day - own for step in candidates.steps if abs(step.from_day - own) <= 21}


# --- numbers ---


def entry(group: int, on: int) -> PlantState:
    """Give the state in which plants of the first line enter a tote on a day."""
    return PlantState(line=0, group=group, begun=None, entered_day=-1, harvests=0, last_day=on)


def test_number_goes_to_the_batch_that_took_most_plants() -> None:
    """Of an old batch whose plants went to two places, the one with more of them keeps the number."""
    garden = garden_of(HEAD)
    candidates, _ = proposed(garden, [HEAD], by_tote=True)
    old = replace(begun_batch(HEAD, sown=0, plants=3, planted=7), state="planned", id=4)
    new = [
        replace(old, id=11, tote="A", plants=1, transplanted_on=day(7)),
        replace(old, id=12, tote="B", plants=2, transplanted_on=day(14)),
    ]
    carried = [
        Carried(batch=4, entry=entry(0, 7), plants=1.0),
        Carried(batch=4, entry=entry(1, 14), plants=2.0),
    ]

    numbered = mending._numbered(new, [old], carried, candidates)

    assert {batch.id: batch.tote for batch in numbered} == {4: "B", 11: "A"}


def test_number_that_is_in_use_is_not_given_away() -> None:
    """An old batch that is still there keeps its number; what took some of its plants is a new one."""
    garden = garden_of(HEAD)
    candidates, _ = proposed(garden, [HEAD], by_tote=True)
    old = replace(begun_batch(HEAD, sown=0, plants=3, planted=7), state="planned", id=4)
    part = replace(old, id=11, tote="B", plants=1, transplanted_on=day(14))
    carried = [Carried(batch=4, entry=entry(1, 14), plants=1.0)]

    numbered = mending._numbered([old, part], [old], carried, candidates)

    assert [batch.id for batch in numbered] == [4, 11]
