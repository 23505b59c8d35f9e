"""Plans by rule of thumb keep every rule and serve enough, in gardens whose best plan is counted on the fingers."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path

import pytest

from steadysow.check.verify import verify
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden, Serving, Tote
from steadysow.inputs.garden_file import read_garden
from steadysow.plan.batch import Batch
from steadysow.plan.measure import measure, wanted
from steadysow.search.assemble import assemble
from steadysow.search.choose import Task
from steadysow.search.naming import name_totes
from steadysow.search.propose import propose
from steadysow.search.rules_of_thumb import greedy
from steadysow.search.strands import Strand
from steadysow.standing.standing import Standing
from tiny import NOTHING_BEGUN, START, by_name, make_crop, make_garden, make_tote, make_want, proposed

EXAMPLES = Path(__file__).parents[3] / "examples"


def planned(garden: Garden, crops: Sequence[Crop]) -> tuple[tuple[Strand, ...], tuple[Batch, ...]]:
    """Give the strands and the batches of a plan by rule of thumb, each tote counted on its own."""
    candidates, task = proposed(garden, crops, by_tote=True)
    strands = greedy(candidates, task)
    placed = name_totes(candidates, strands)
    assert placed is not None
    return strands, assemble(candidates, placed, NOTHING_BEGUN)


def served(garden: Garden, crops: Sequence[Crop], batches: Sequence[Batch]) -> float:
    """Measure the served share of finished batches."""
    candidates, _ = proposed(garden, crops)
    reach = {want: None if day is None else candidates.date_of(day) for want, day in candidates.reach.items()}
    return measure(
        replace(garden, crops=by_name(crops)), batches, START, START, garden.weeks, START, reach
    ).served_share


def breaches(garden: Garden, crops: Sequence[Crop], batches: Iterable[Batch]) -> list[str]:
    """Give the breaches of batches, as sentences."""
    return [
        breach.sentence
        for breach in verify(replace(garden, crops=by_name(crops)), batches, today=START, starts_on=START)
    ]


def test_each_week_in_reach_gets_its_head() -> None:
    """A head a week from a tote with room to spare: every week in reach is served, by one plant each."""
    crops = [make_crop()]
    garden = make_garden([make_tote("A", 4)], [make_want(crops, 1)], weeks=6)

    strands, batches = planned(garden, crops)

    assert breaches(garden, crops, batches) == []
    assert served(garden, crops, batches) == pytest.approx(1.0)
    # Sown on day 0 the first head is ready on day 14, the first of week 3 of 6.
    assert [(strand.sown_day, strand.plants) for strand in strands] == [(0, 1), (7, 1), (14, 1), (21, 1)]


def test_crop_that_gives_more_for_its_room_is_sown() -> None:
    """Of two crops that differ only in size, the larger one is sown."""
    small, large = make_crop("cress", grams=(50.0,)), make_crop("mizuna", grams=(100.0,))
    garden = make_garden([make_tote("A", 4)], [make_want([small, large], 100, unit="g")], weeks=4)

    _, batches = planned(garden, [small, large])

    assert {batch.crop for batch in batches} == {"mizuna"}


def test_slow_fruit_is_planted_before_its_tote_is_taken() -> None:
    """Fruit that is planted weeks before its first picking finds a tote, though greens want all totes sooner."""
    fruit = make_crop("tomato", "pick", first_days=28, between_days=7, grams=(50.0,) * 3, window_days=7)
    greens = make_crop("cress", "cut", first_days=7, between_days=7, grams=(20.0,) * 8, window_days=7)
    wants = [make_want([greens], 500, unit="g"), make_want([fruit], 50, name="fruit", unit="g")]
    garden = make_garden([make_tote("A", 4), make_tote("B", 4)], wants, weeks=9)

    _, batches = planned(garden, [fruit, greens])

    assert breaches(garden, [fruit, greens], batches) == []
    assert {batch.crop for batch in batches} == {"tomato", "cress"}


def test_crop_keeps_to_its_most_share() -> None:
    """A crop held to at most half is not harvested more than the other, even where it gives twice as much."""
    large, small = make_crop("cress", grams=(100.0,)), make_crop("mizuna", grams=(50.0,))
    want = make_want([Serving(crop="cress", most=0.5), Serving(crop="mizuna")], 200, unit="g")
    garden = make_garden([make_tote("A", 4), make_tote("B", 4)], [want], weeks=10)

    _, batches = planned(garden, [large, small])

    grams = {
        name: sum(each.grams for batch in batches if batch.crop == name for each in batch.harvests)
        for name in ("cress", "mizuna")
    }
    assert grams["mizuna"] > 0
    assert grams["cress"] <= grams["mizuna"]


def test_crop_gets_its_least_share() -> None:
    """A crop that is wanted as at least a quarter of the harvest makes up a quarter, though another gives more."""
    large, small = make_crop("cress", grams=(100.0,)), make_crop("mizuna", grams=(50.0,))
    want = make_want([Serving(crop="cress"), Serving(crop="mizuna", least=0.25)], 200, unit="g")
    garden = make_garden([make_tote("A", 4), make_tote("B", 4)], [want], weeks=10)

    _, batches = planned(garden, [large, small])

    grams = {
        name: sum(each.grams for batch in batches if batch.crop == name for each in batch.harvests)
        for name in ("cress", "mizuna")
    }
    assert grams["cress"] > 0
    assert grams["mizuna"] >= 0.25 * (grams["cress"] + grams["mizuna"])


@pytest.mark.parametrize(
    "totes",
    [
        [make_tote("A", 4, "kratky")],
        [make_tote("A", 4, "kratky", top_up="never", litres=3.0), make_tote("B", 2)],
        [make_tote("A", 3), make_tote("B", 3), make_tote("C", 3, "kratky")],
    ],
    ids=["still", "never topped up", "mixed"],
)
def test_every_rule_is_kept(totes: list[Tote]) -> None:
    """Crops that may not share water, few cells, few lit plants and long turnaround break no rule."""
    crops = [
        make_crop("cress", "cut", between_days=7, window_days=8, grams=(30.0, 20.0), ec=(0.8, 1.2), lid_holes=3),
        make_crop("mizuna", window_days=8, ec=(1.6, 2.4), keeps_days=10),
    ]
    wants = [make_want(crops, 150, unit="g"), make_want(crops[1:], 1, name="heads")]
    garden = make_garden(
        totes, wants, weeks=10, smallest=2, crops_a_day=1, cells=4, turnaround_days=3, lights=5, every_days=10
    )

    _, batches = planned(garden, crops)

    assert breaches(garden, crops, batches) == []
    assert served(garden, crops, batches) > 0.2


@pytest.mark.parametrize("name", ["window-sill", "winter-shelf", "year-round"])
def test_examples_break_no_rule_and_serve_most(name: str) -> None:
    """In each example garden no rule is broken, and at least four fifths of the wants are served."""
    garden = read_garden(EXAMPLES / name)
    weeks = garden.weeks
    candidates = propose(garden, Standing(), first_on=START, today=START, days=7 * weeks, by_tote=True)
    reach = {want: None if day is None else candidates.date_of(day) for want, day in candidates.reach.items()}
    asked = {
        (want.name, week): amount
        for want in garden.wants
        for week in range(weeks)
        if (amount := wanted(garden, want, candidates.date_of(7 * week))) > 0
        and (candidates.reach[want.name] or 0) < 7 * (week + 1)
    }

    placed = name_totes(candidates, greedy(candidates, Task(weeks=weeks, wanted=asked, leftovers={})))

    assert placed is not None
    batches = assemble(candidates, placed, Standing())
    assert verify(garden, batches, today=START, starts_on=START) == ()
    assert measure(garden, batches, START, START, weeks, START, reach).served_share >= 0.8
