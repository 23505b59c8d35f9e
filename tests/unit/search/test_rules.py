"""Each rule of the program is needed, and all of them together hold exactly for what the second opinion calls legal."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from itertools import product

import pytest

from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden, Serving
from steadysow.plan.batch import Batch
from steadysow.search import model as program_room
from steadysow.search import rules
from steadysow.search.candidates import Candidates
from steadysow.search.choose import Task
from steadysow.search.columns import Columns
from steadysow.search.model import Model, build
from steadysow.search.rules import RULES, Eating, Seedlings, Waiting, Work
from steadysow.search.solver import USUAL, Reached, _StageSearch
from steadysow.search.strands import Strand, strands_of
from steadysow.standing.standing import Standing
from tiny import NOTHING_BEGUN, START, WEDNESDAY, make_crop, make_garden, make_tote, make_want, proposed

from .by_hand import batches_by_hand, begun_batch, breaches, measured_share
from .solving import best_of

PAIR = make_crop(lid_holes=2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Needed:
    """A tiny garden whose best plan is illegal without a rule.

    Attributes
    ----------
    rule
        The rule.
    breaks
        The rule of the second opinion that the best plan breaks without it.
    instead
        What returns what later rules need, in place of the rule; ``None`` if nothing does.
    """

    rule: Callable[..., object]
    breaks: str
    garden: Garden
    crops: tuple[Crop, ...]
    standing: Standing = NOTHING_BEGUN
    today: date = START
    instead: Callable[..., object] | None = None


def one_tote(holes: int, *crops: Crop, want: float, weeks: int = 4, **habits: object) -> Garden:
    """Make a garden of one tote and one want."""
    return make_garden([make_tote("A", holes)], [make_want(crops, want)], weeks=weeks, **habits)  # type: ignore[arg-type]


def two_wants(holes: int, first: tuple[Crop, float], second: tuple[Crop, float], **habits: object) -> Garden:
    """Make a garden of one tote and two wants, of one crop each."""
    wants = [make_want([crop], amount, name=f"{crop.name} heads") for crop, amount in (first, second)]
    return make_garden([make_tote("A", holes)], wants, weeks=4, **habits)  # type: ignore[arg-type]


WIDE, SLIM = make_crop("wide", lid_holes=2), make_crop("slim", lid_holes=2)
CRESS, MIZUNA = make_crop("cress", lid_holes=3), make_crop("mizuna", lid_holes=3)
HOLDS = make_crop(window_days=8, lid_holes=2)
SLOW = make_crop(first_days=14, lid_holes=2)
CHARD = make_crop("chard", "cut", between_days=7, grams=(5.0, 100.0))
WEAK, STRONG = make_crop("weak", ec=(0.6, 1.0), lid_holes=2), make_crop("strong", ec=(1.8, 2.4), lid_holes=2)
PEPPER = make_crop("pepper", "pick", between_days=7, window_days=4, grams=(50.0, 50.0), lid_holes=2)
GREENS = make_crop("greens", "cut", between_days=7, window_days=4, grams=(50.0, 50.0), lid_holes=2)
THREE = make_crop(window_days=22, lid_holes=3)
FIVE = make_crop(nursery_days=(7, 14), lid_holes=5)
STANDS = begun_batch(HOLDS, sown=-14, plants=1, planted=-7)
WAITS = begun_batch(PAIR, sown=-7, plants=1)

NEEDED = {
    "sowing days": Needed(
        rule=rules.sowing_days_keep_their_distance,
        breaks="sowing days lie apart",
        garden=one_tote(2, PAIR, want=2, every_days=8),
        crops=(PAIR,),
    ),
    # One of cress and two of mizuna fill the tote, so cress is sown alone.
    "size of sowings": Needed(
        rule=rules.sowings_are_few_and_large_enough,
        breaks="sowings are large enough",
        garden=two_wants(3, (CRESS, 1), (MIZUNA, 2), smallest=2),
        crops=(CRESS, MIZUNA),
    ),
    "number of crops": Needed(
        rule=rules.sowings_are_few_and_large_enough,
        breaks="few crops a sowing day",
        garden=two_wants(3, (CRESS, 1), (MIZUNA, 2), crops_a_day=1),
        crops=(CRESS, MIZUNA),
    ),
    # What nobody sowed needs no cell.
    "transplants": Needed(
        rule=rules.what_is_sown_is_transplanted,
        breaks="nursery holds all",
        garden=one_tote(2, PAIR, want=2, cells=1),
        crops=(PAIR,),
    ),
    "order of cuts": Needed(
        rule=rules.plants_go_on_or_are_cleared,
        breaks="harvests are numbered",
        garden=make_garden([make_tote("A", 1)], [make_want([CHARD], 100, unit="g")], weeks=5),
        crops=(CHARD,),
    ),
    # One head, taken today and once more next week.
    "batch that stands": Needed(
        rule=rules.begun_batches_are_facts,
        breaks="harvests take its own plants",
        garden=one_tote(2, HOLDS, want=1, weeks=2),
        crops=(HOLDS,),
        standing=Standing(begun=(STANDS,), next_id=8),
        instead=lambda _: Waiting(choices={}),
    ),
    # One seedling, planted into both totes.
    "batch that waits": Needed(
        rule=rules.begun_batches_are_facts,
        breaks="ids are distinct",
        garden=make_garden([make_tote("A", 1), make_tote("B", 1)], [make_want([PAIR], 2)], weeks=2),
        crops=(PAIR,),
        standing=Standing(begun=(WAITS,), next_id=8),
        instead=lambda _: Waiting(choices={}),
    ),
    "holes": Needed(
        rule=rules.a_tote_has_only_so_many_holes,
        breaks="one plant a hole",
        garden=two_wants(2, (WIDE, 2), (SLIM, 2)),
        crops=(WIDE, SLIM),
    ),
    "turnaround": Needed(
        rule=rules.a_tote_has_only_so_many_holes,
        breaks="one plant a hole",
        garden=one_tote(2, PAIR, want=2, turnaround_days=1),
        crops=(PAIR,),
    ),
    "room": Needed(
        rule=rules.a_tote_carries_only_so_much,
        breaks="room in the tote",
        garden=two_wants(4, (WIDE, 2), (SLIM, 2)),
        crops=(WIDE, SLIM),
    ),
    "still tote": Needed(
        rule=rules.a_still_tote_is_filled_once,
        breaks="still totes are filled at once",
        garden=make_garden([make_tote("A", 2, "kratky")], [make_want([SLOW], 1)], weeks=6),
        crops=(SLOW,),
    ),
    "water": Needed(
        rule=rules.a_still_tote_is_filled_once,
        breaks="water lasts",
        garden=make_garden([make_tote("A", 2, "kratky", top_up="never", litres=1.5)], [make_want([PAIR], 2)], weeks=4),
        crops=(PAIR,),
    ),
    "lamp": Needed(
        rule=rules.a_lamp_lights_only_so_many,
        breaks="lamps light all",
        garden=one_tote(2, PAIR, want=2, lights=1),
        crops=(PAIR,),
    ),
    "cells": Needed(
        rule=rules.the_nursery_has_only_so_many_cells,
        breaks="nursery holds all",
        garden=two_wants(2, (WIDE, 1), (SLIM, 1), cells=1),
        crops=(WIDE, SLIM),
        instead=lambda _columns, _waiting: Seedlings(cells={}),
    ),
    # Two heads take 5 minutes to sow, 1 for cells, 3 to plant, 2 to cut and 7 for upkeep.
    "minutes": Needed(
        rule=rules.a_week_has_only_so_many_minutes,
        breaks="weeks keep to their minutes",
        garden=one_tote(2, PAIR, want=2, chore_minutes_a_week=15.0),
        crops=(PAIR,),
        instead=lambda _columns, _waiting, _seedlings: Work(minutes={}, overfull=()),
    ),
    "reservoir": Needed(
        rule=rules.a_reservoir_suits_all_who_share_it,
        breaks="reservoir suits all",
        garden=two_wants(2, (WEAK, 1), (STRONG, 1)),
        crops=(WEAK, STRONG),
    ),
    # More stands than is lit: new plants wait until it is so few that they are lit, too.
    "lamp over what stands": Needed(
        rule=rules.a_lamp_lights_only_so_many,
        breaks="lamps light all",
        garden=make_garden(
            [make_tote("A", 2), make_tote("B", 3)],
            [make_want([THREE], 1), make_want([SLIM], 1, name="slim heads")],
            weeks=4,
            lights=1,
        ),
        crops=(THREE, SLIM),
        standing=Standing(begun=(begun_batch(THREE, sown=-14, plants=3, planted=-7, tote="B"),), next_id=8),
    ),
    "room where too much stands": Needed(
        rule=rules.a_tote_carries_only_so_much,
        breaks="room in the tote",
        garden=one_tote(4, SLOW, want=4, weeks=5),
        crops=(SLOW,),
        standing=Standing(begun=(begun_batch(SLOW, sown=-7, plants=3, planted=0),), next_id=8),
    ),
    "still tote that is filled": Needed(
        rule=rules.a_still_tote_is_filled_once,
        breaks="still totes are filled at once",
        garden=make_garden([make_tote("A", 2, "kratky")], [make_want([SLOW], 1)], weeks=5),
        crops=(SLOW,),
        standing=Standing(begun=(begun_batch(SLOW, sown=-7, plants=1, planted=0),), next_id=8),
    ),
    "cells where too many wait": Needed(
        rule=rules.the_nursery_has_only_so_many_cells,
        breaks="nursery holds all",
        garden=one_tote(5, FIVE, want=5, weeks=5, cells=2),
        crops=(FIVE,),
        standing=Standing(begun=(begun_batch(FIVE, sown=-1, plants=3),), next_id=8),
        instead=lambda _columns, _waiting: Seedlings(cells={}),
    ),
    "reservoir of two that stand": Needed(
        rule=rules.a_reservoir_suits_all_who_share_it,
        breaks="reservoir suits all",
        garden=make_garden([make_tote("A", 4)], [make_want([WEAK, STRONG], 4)], weeks=4),
        crops=(WEAK, STRONG),
        standing=Standing(
            begun=(
                begun_batch(WEAK, sown=-7, plants=1, planted=0),
                replace(begun_batch(STRONG, sown=-7, plants=1, planted=0, number=8), holes=(2,)),
            ),
            next_id=9,
        ),
    ),
    "fruit": Needed(
        rule=rules.a_reservoir_suits_all_who_share_it,
        breaks="fruit stands alone",
        garden=make_garden(
            [make_tote("A", 2)],
            [make_want([PEPPER], 50, name="fruit", unit="g"), make_want([GREENS], 50, unit="g")],
            weeks=4,
        ),
        crops=(PEPPER, GREENS),
    ),
}

# Rules that no plan can break: they say what a plan is worth, or what the household asks of it as a whole.
MEASURES = {rules.what_is_eaten_was_harvested, rules.crops_keep_their_share}

each_case = pytest.mark.parametrize("case", NEEDED.values(), ids=NEEDED)


def without(
    monkeypatch: pytest.MonkeyPatch, rule: Callable[..., object], instead: Callable[..., object] | None
) -> None:
    """Leave a rule out of the program, or put something in its place."""
    left = [
        replace(each, add=instead) if each.add is rule and instead is not None else each
        for each in RULES
        if each.add is not rule or instead is not None
    ]
    monkeypatch.setattr(program_room, "RULES", tuple(left))


def best_batches(case: Needed) -> tuple[Candidates, tuple[Batch, ...]]:
    """Give the batches of the best plan, each tote counted on its own."""
    candidates, task = proposed(case.garden, case.crops, case.standing, today=case.today, by_tote=True)
    model = build(candidates, weeks=task.weeks, wanted=task.wanted, leftovers=task.leftovers)
    # Of two plans that serve as much, the one with fewer harvests shows what was needed.
    share = model.served_share(0, task.weeks)
    aim = {**dict.fromkeys(model.columns.steps, -1e-4), **dict.fromkeys(model.columns.sowings, -1e-4), **share}
    strands = strands_by_hand(model.columns, best_of(model.program, aim))
    return candidates, batches_by_hand(candidates, strands, case.standing)


def strands_by_hand(columns: Columns, reached: Reached) -> list[Strand]:
    """Give the strands of a solution; where plants come from nowhere, a strand for each step."""
    try:
        return list(strands_of(columns, reached))
    except IndexError:
        used = (
            (step, round(reached.columns[c])) for c, step in zip(columns.steps, columns.candidates.steps, strict=True)
        )
        return [
            Strand(
                line=step.line,
                group=step.group,
                begun=None,
                sown_day=step.from_day - 7 * step.after - 7,
                transplant_day=step.from_day - 7 * step.after,
                steps=(step,),
                plants=plants,
            )
            for step, plants in used
            if plants
        ]


@each_case
def test_best_plan_is_legal_with_the_rule(case: Needed) -> None:
    """With all rules the second opinion finds nothing wrong with the best plan."""
    candidates, batches = best_batches(case)

    assert batches
    assert breaches(candidates, batches, begun=case.standing.begun, today=case.today) == set()


@each_case
def test_best_plan_is_illegal_without_the_rule(case: Needed, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the rule the second opinion refuses the best plan, and names the rule that was left out."""
    without(monkeypatch, case.rule, case.instead)

    candidates, batches = best_batches(case)

    assert case.breaks in breaches(candidates, batches, begun=case.standing.begun, today=case.today)


def test_every_rule_is_shown_to_be_needed() -> None:
    """The table of contents names each rule once, and each has a garden above or measures what a plan is worth."""
    listed = [rule.add for rule in RULES]

    assert len(set(listed)) == len(listed)
    assert set(listed) == {case.rule for case in NEEDED.values()} | MEASURES


def test_share_is_claimed_only_for_what_was_harvested(monkeypatch: pytest.MonkeyPatch) -> None:
    """The share of the program is the measured one; without the rule about eating it would be 1 for an empty garden."""
    garden = one_tote(1, PAIR, want=2)
    candidates, task = proposed(garden, [PAIR], by_tote=True)

    def claimed_and_measured() -> tuple[float, float]:
        model = build(candidates, weeks=task.weeks, wanted=task.wanted, leftovers={})
        reached = best_of(model.program, model.served_share(0, task.weeks))
        batches = batches_by_hand(candidates, strands_of(model.columns, reached))
        return reached.value, measured_share(candidates, batches)

    # One of two heads in each of the two weeks in reach.
    assert claimed_and_measured() == pytest.approx((0.5, 0.5))

    def eat_anything(columns: Columns) -> Eating:
        return Eating(served={key: columns.program.part(amount) for key, amount in columns.wanted.items()})

    without(monkeypatch, rules.what_is_eaten_was_harvested, eat_anything)
    claimed, measured = claimed_and_measured()
    assert claimed == pytest.approx(1.0)
    assert measured < claimed


def test_nothing_is_saved_while_a_week_goes_short(monkeypatch: pytest.MonkeyPatch) -> None:
    """A week that wants 2 heads eats the only one; saved for a week that wants 1, it would serve twice as much."""
    keeps = make_crop(lid_holes=1, keeps_days=14)
    garden = one_tote(1, keeps, want=2, weeks=4)
    candidates, _ = proposed(garden, [keeps], by_tote=True)
    # The one head that can be had for these weeks is ready on day 14.
    early = replace(
        candidates,
        sowings=tuple(each for each in candidates.sowings if each.sown_day == 0),
        steps=tuple(each for each in candidates.steps if each.to_day == 14),
    )
    wanted = {("salad", 2): 2.0, ("salad", 3): 1.0}

    def best_share() -> float:
        model = build(early, weeks=4, wanted=wanted, leftovers={})
        return best_of(model.program, model.served_share(0, 4)).value

    # A half of the first week and none of the second, as against none and all.
    assert best_share() == pytest.approx(0.25)
    monkeypatch.setattr(rules, "_hold_nothing_back", lambda *_: None)
    assert best_share() == pytest.approx(0.5)


@pytest.mark.parametrize(("least", "most"), [(0.0, 0.5), (0.5, 1.0)], ids=["at most", "at least"])
def test_crops_keep_their_share(least: float, most: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """Of two crops, the slow one makes up half of the harvest with the rule, and less without it."""
    quick, slow = make_crop("quick", lid_holes=2), make_crop("slow", first_days=14, lid_holes=2)
    want = make_want([Serving(crop="quick", most=most), Serving(crop="slow", least=least)], 2)
    garden = make_garden([make_tote("A", 2)], [want], weeks=5)
    candidates, task = proposed(garden, [quick, slow], by_tote=True)

    def heads() -> dict[str, int]:
        model = build(candidates, weeks=task.weeks, wanted=task.wanted, leftovers={})
        reached = best_of(model.program, model.served_share(0, task.weeks))
        taken: dict[str, int] = defaultdict(int)
        for strand in strands_of(model.columns, reached):
            taken[candidates.lines[strand.line].crop.name] += strand.plants
        return taken

    with_rule = heads()
    assert with_rule["slow"] >= with_rule["quick"] > 0
    without(monkeypatch, rules.crops_keep_their_share, None)
    without_rule = heads()
    assert without_rule["slow"] < without_rule["quick"]


def test_totes_that_fruit_takes_are_counted_in_a_group(monkeypatch: pytest.MonkeyPatch) -> None:
    """In two alike totes one pepper leaves a tote for greens: the group serves what the totes can, not four holes."""
    wants = [make_want([PEPPER], 50, name="fruit", unit="g"), make_want([GREENS], 150, unit="g")]
    garden = make_garden([make_tote("A", 2), make_tote("B", 2)], wants, weeks=3)

    def best_share(*, by_tote: bool) -> float:
        candidates, task = proposed(garden, [PEPPER, GREENS], by_tote=by_tote)
        model = build(candidates, weeks=task.weeks, wanted=task.wanted, leftovers={})
        return best_of(model.program, model.served_share(0, task.weeks)).value

    # All of the fruit and two of three greens in the one week in reach.
    assert best_share(by_tote=True) == pytest.approx((1 + 2 / 3) / 2)
    assert best_share(by_tote=False) == pytest.approx((1 + 2 / 3) / 2)
    without(monkeypatch, rules.a_reservoir_suits_all_who_share_it, None)
    assert best_share(by_tote=False) == pytest.approx(1.0)


# --- all rules together ---

EXACT = {
    "distance of sowings": (one_tote(1, PAIR, want=1, weeks=5, every_days=14), (PAIR,)),
    "holes that are reused": (one_tote(2, HOLDS, want=2, turnaround_days=2, harvest_days=(WEDNESDAY, 5)), (HOLDS,)),
    "spare holes": (one_tote(3, PAIR, want=2, weeks=5, turnaround_days=1), (PAIR,)),
    "two crops": (two_wants(3, (WIDE, 2), (CRESS, 2), smallest=2, crops_a_day=1), (WIDE, CRESS)),
    "reservoir": (two_wants(2, (WEAK, 1), (STRONG, 1)), (WEAK, STRONG)),
    "cells and lamp": (one_tote(3, CRESS, want=3, weeks=5, cells=2, lights=2), (CRESS,)),
    "minutes": (one_tote(2, PAIR, want=2, weeks=5, chore_minutes_a_week=13.0), (PAIR,)),
    "still tote": (
        make_garden([make_tote("A", 2, "kratky")], [make_want([HOLDS], 2)], weeks=4, turnaround_days=1),
        (HOLDS,),
    ),
    "dry tote": (
        make_garden(
            [make_tote("A", 3, "kratky", top_up="never", litres=2.5)], [make_want([CRESS], 3)], weeks=5
        ),
        (CRESS,),
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", EXACT)
def test_rows_hold_exactly_for_legal_plans(name: str) -> None:
    """Of all ways to plant heads in one tote, the rows admit just those that the second opinion calls legal."""
    garden, crops = EXACT[name]
    candidates, task = proposed(garden, crops, by_tote=True)
    admits = Admission(candidates, task)
    seen: set[bool] = set()

    for plants in product(*(range(admits.most(number) + 1) for number in range(len(candidates.steps)))):
        strands = [
            Strand(
                line=step.line,
                group=step.group,
                begun=None,
                sown_day=step.from_day - 7,
                transplant_day=step.from_day,
                steps=(step,),
                plants=number,
            )
            for step, number in zip(candidates.steps, plants, strict=True)
            if number
        ]
        is_legal = breaches(candidates, batches_by_hand(candidates, strands)) == set()
        assert admits.plan(plants) == is_legal, strands
        seen.add(is_legal)

    assert seen == {False, True}


class Admission:
    """Whether the program admits a plan of heads that wait just a week in the nursery."""

    def __init__(self, candidates: Candidates, task: Task) -> None:
        self.model: Model = build(candidates, weeks=task.weeks, wanted=task.wanted, leftovers={})
        self.search = _StageSearch(self.model.program, float("inf"), USUAL, lambda _: None)
        self.search._aim({})

    def most(self, number: int) -> int:
        """Give the most plants that a tote carries of a step's crop."""
        return int(self.model.program.upper[self.model.columns.steps[number]])

    def plan(self, plants: tuple[int, ...]) -> bool:
        """Say whether the rows can be kept with these plants in the steps, and sowings to match."""
        columns, candidates = self.model.columns, self.model.columns.candidates
        sown: dict[tuple[int, int], int] = defaultdict(int)
        for step, number in zip(candidates.steps, plants, strict=True):
            sown[(step.line, step.from_day)] += number
        lower, upper = self.search.lower.copy(), self.search.upper.copy()
        for column, number in zip(columns.steps, plants, strict=True):
            lower[column] = upper[column] = number
        for column, sowing in zip(columns.sowings, candidates.sowings, strict=True):
            number = sown[(sowing.line, sowing.transplant_day)]
            if number > upper[column]:
                return False
            lower[column] = upper[column] = number
        values, _ = self.search._solve(lower, upper, None, nodes=1000)
        return values is not None
