"""Batches of placed strands: their dates, harvests, cells and seeds, and numbers that last."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Away, Tote
from steadysow.plan.batch import Batch, BatchState, Harvest
from steadysow.search.assemble import assemble
from steadysow.search.candidates import Candidates
from steadysow.search.naming import Placed
from steadysow.search.strands import Strand
from steadysow.standing.standing import Standing
from tiny import NOTHING_BEGUN, START, day, make_crop, make_garden, make_tote, make_want, proposed

from .by_hand import begun_batch

HEAD = make_crop(lid_holes=4, window_days=8)
CHARD = make_crop("chard", "cut", between_days=7, window_days=3, grams=(60.0, 50.0), lid_holes=4)
TOTES = (make_tote("A", 4), make_tote("B", 4))


def candidates_of(
    *crops: Crop, standing: Standing = NOTHING_BEGUN, totes: tuple[Tote, ...] = TOTES, away: tuple[Away, ...] = ()
) -> Candidates:
    """Propose crops for two totes, counted one by one."""
    garden = make_garden(totes, [make_want(crops, 4, unit="g")], weeks=6, away=away)
    return proposed(garden, crops, standing, by_tote=True)[0]


def placed(
    candidates: Candidates, plants: int, *days: int, tote: str = "A", begun: int | None = None, first_hole: int = 1
) -> Placed:
    """Place plants of the first crop, sown a week before their transplant and harvested on days."""
    group = next(g for g, each in enumerate(candidates.groups) if tote in each.totes)
    steps = []
    for start, end in pairwise(days):
        found = (s for s in candidates.steps if (s.from_day, s.to_day, s.group, s.begun) == (start, end, group, begun))
        steps.append(next(step for step in found if step.number))
    strand = Strand(
        line=0,
        group=group,
        begun=begun,
        sown_day=days[0] - 7,
        transplant_day=days[0],
        steps=tuple(steps),
        plants=plants,
    )
    return Placed(tote=tote, strands=(strand,), holes=(tuple(range(first_hole, first_hole + plants)),))


def only(batches: tuple[Batch, ...]) -> Batch:
    """Give the only batch."""
    (batch,) = batches
    return batch


def test_new_batch_has_the_days_of_its_strand() -> None:
    """Two heads sown on day 0 emerge on day 1, enter on day 7 and leave on day 14, and weigh 100 g each."""
    candidates = candidates_of(HEAD)

    batch = only(assemble(candidates, [placed(candidates, 2, 7, 14)], NOTHING_BEGUN))

    harvest = Harvest(on=day(14), latest_on=day(21), kind="head", number=1, holes=(1, 2), plants=2, grams=200.0)
    assert batch == Batch(
        id=1,
        crop="cress",
        want="salad",
        place="shelf",
        tote="A",
        holes=(1, 2),
        plants=2,
        cells=2,
        seeds=2,
        state="planned",
        sown_on=day(0),
        emerges_on=day(1),
        transplanted_on=day(7),
        cleared_on=day(14),
        harvests=(harvest,),
    )


def test_heads_are_numbered_by_the_days_they_are_taken() -> None:
    """Of three heads one is taken first and two a week later, from their own holes; the last one ends the batch."""
    candidates = candidates_of(HEAD)
    early, late = placed(candidates, 1, 7, 14), placed(candidates, 2, 7, 21, first_hole=2)
    together = Placed(tote="A", strands=(*early.strands, *late.strands), holes=(*early.holes, *late.holes))

    batch = only(assemble(candidates, [together], NOTHING_BEGUN))

    assert [(h.number, h.on, h.holes, h.plants) for h in batch.harvests] == [
        (1, day(14), (1,), 1),
        (2, day(21), (2, 3), 2),
    ]
    assert batch.cleared_on == day(21)


def test_cuts_are_numbered_and_take_all_holes() -> None:
    """Two cuts of two plants give 120 and 100 g from both holes; each may wait for two days."""
    candidates = candidates_of(CHARD)

    batch = only(assemble(candidates, [placed(candidates, 2, 7, 14, 21)], NOTHING_BEGUN))

    assert [(h.number, h.holes, h.grams, h.latest_on) for h in batch.harvests] == [
        (1, (1, 2), 120.0, day(16)),
        (2, (1, 2), 100.0, day(23)),
    ]


def test_crop_sown_in_its_pot_emerges_there() -> None:
    """A crop that is sown in its pot has no spare cells, whatever comes up."""
    direct = replace(make_crop(sown_in="pot", first_days=14, lid_holes=4), germination_percent=50.0)
    candidates = candidates_of(direct)
    here = placed(candidates, 2, 7, 21)
    sown_there = replace(here, strands=(replace(here.strands[0], sown_day=7),))

    batch = only(assemble(candidates, [sown_there], NOTHING_BEGUN))

    assert (batch.sown_on, batch.transplanted_on, batch.emerges_on) == (day(7), day(7), day(8))
    assert batch.cells == 2


def test_spare_cells_are_shared_among_what_is_sown_together() -> None:
    """Where half comes up, four plants in two totes need eight cells: the four spare ones are shared, two each."""
    half = replace(HEAD, germination_percent=50.0)
    candidates = candidates_of(half)

    batches = assemble(
        candidates, [placed(candidates, 3, 7, 14), placed(candidates, 1, 7, 14, tote="B")], NOTHING_BEGUN
    )

    assert [(batch.plants, batch.cells) for batch in batches] == [(3, 5), (1, 3)]
    assert {batch.seeds % batch.cells for batch in batches} == {0}
    assert len({batch.seeds // batch.cells for batch in batches}) == 1


def test_odd_spare_cell_goes_to_the_largest_batch() -> None:
    """Where four of five come up, four plants need five cells: the spare one goes to the larger batch."""
    candidates = candidates_of(replace(HEAD, germination_percent=80.0))

    batches = assemble(
        candidates, [placed(candidates, 1, 7, 14, tote="B"), placed(candidates, 3, 7, 14)], NOTHING_BEGUN
    )

    assert {batch.plants: batch.cells for batch in batches} == {3: 4, 1: 1}


# --- numbers ---


def test_new_batches_are_numbered_by_sowing_and_count_on() -> None:
    """New numbers begin with the next free one, in the order of sowing."""
    candidates = candidates_of(HEAD)
    later, sooner = placed(candidates, 2, 14, 21, tote="B"), placed(candidates, 2, 7, 14)

    batches = assemble(candidates, [later, sooner], Standing(next_id=12))

    assert [(batch.id, batch.sown_on) for batch in batches] == [(12, day(0)), (13, day(7))]


def test_batch_of_the_old_plan_keeps_its_number() -> None:
    """What is planned just so in the old plan keeps its number; what differs in one hole gets a new one."""
    candidates = candidates_of(HEAD)
    old = assemble(candidates, [placed(candidates, 2, 7, 14), placed(candidates, 2, 14, 21)], NOTHING_BEGUN)

    again = assemble(
        candidates, [placed(candidates, 2, 14, 21), placed(candidates, 2, 7, 14, first_hole=2)], NOTHING_BEGUN, old=old
    )

    assert {batch.id: batch.holes for batch in again} == {2: (1, 2), 3: (2, 3)}


def test_begun_batch_keeps_its_number_and_what_has_happened() -> None:
    """A batch that has been cut once is cut again as number two, with the first cut as it was."""
    first = Harvest(on=day(-7), latest_on=day(-7), kind="cut", number=1, holes=(1, 2), plants=2, grams=111.0)
    begun = begun_batch(CHARD, sown=-21, plants=2, planted=-14, harvests=(first,))
    standing = Standing(begun=(begun,), next_id=8)
    candidates = candidates_of(CHARD, standing=standing)
    step = next(step for step in candidates.steps if step.begun == 0 and step.number == 2)
    strand = Strand(line=0, group=0, begun=0, sown_day=-21, transplant_day=-14, steps=(step,), plants=2)

    batch = only(assemble(candidates, [Placed(tote="A", strands=(strand,), holes=((1, 2),))], standing))

    assert batch.harvests[0] == first
    assert [harvest.number for harvest in batch.harvests] == [1, 2]
    assert replace(batch, harvests=(first,), cleared_on=None) == begun


def test_heads_to_come_count_on_from_those_taken() -> None:
    """After one head was taken, the next harvest of the batch is number two."""
    taken = Harvest(on=day(-1), latest_on=day(-1), kind="head", number=1, holes=(1,), plants=1, grams=100.0)
    begun = begun_batch(HEAD, sown=-15, plants=2, planted=-8, harvests=(taken,))
    standing = Standing(begun=(begun,), next_id=8)
    candidates = candidates_of(HEAD, standing=standing)

    batch = only(assemble(candidates, [placed(candidates, 1, -8, 0, begun=0, first_hole=2)], standing))

    assert [(harvest.number, harvest.holes) for harvest in batch.harvests] == [(1, (1,)), (2, (2,))]


def test_waiting_batch_gets_its_tote_and_keeps_its_cells() -> None:
    """Seedlings of last week are planted into the tote that was chosen today; cells and seeds stay as sown."""
    waits = replace(begun_batch(HEAD, sown=-7, plants=2), cells=5, seeds=9)
    standing = Standing(begun=(waits,), next_id=8)
    candidates = candidates_of(HEAD, standing=standing)

    batch = only(assemble(candidates, [placed(candidates, 2, 0, 7, tote="B", begun=0, first_hole=3)], standing))

    assert (batch.id, batch.tote, batch.holes, batch.place) == (7, "B", (3, 4), "shelf")
    assert (batch.transplanted_on, batch.cleared_on) == (START, day(7))
    assert (batch.cells, batch.seeds, batch.state) == (5, 9, "sown")


def test_batch_left_alone_is_cleared_when_somebody_is_at_home() -> None:
    """A standing batch for which nothing is planned is cleared on the first day at home."""
    begun = begun_batch(HEAD, sown=-14, plants=2, planted=-7)
    standing = Standing(begun=(begun,), next_id=8)
    candidates = candidates_of(HEAD, standing=standing, away=(Away(from_on=START, back_on=day(3)),))

    assert only(assemble(candidates, [], standing)) == replace(begun, cleared_on=day(3))


def test_seedlings_that_find_no_tote_are_lost() -> None:
    """A waiting batch that is not placed is lost, and takes no holes."""
    waits = begun_batch(HEAD, sown=-7, plants=2)
    standing = Standing(begun=(waits,), next_id=8)

    assert only(assemble(candidates_of(HEAD, standing=standing), [], standing)) == replace(
        waits, state="lost", holes=()
    )


@pytest.mark.parametrize("state", ["done", "lost"])
def test_finished_batch_stays_as_it_is(state: BatchState) -> None:
    """A batch that is done or lost is in the plan unchanged."""
    begun = replace(
        begun_batch(HEAD, sown=-21, plants=2, planted=-14),
        state=state,
        cleared_on=day(-7) if state == "done" else None,
    )
    standing = Standing(begun=(begun,), next_id=8)

    assert only(assemble(candidates_of(HEAD, standing=standing), [], standing)) == begun
