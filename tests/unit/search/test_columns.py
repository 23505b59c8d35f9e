"""The columns of the program: one for each decision, bounded by what totes hold and batches have."""

from __future__ import annotations

from dataclasses import replace

import pytest

from steadysow.search.candidates import Candidates
from steadysow.search.columns import Columns, columns_of
from steadysow.search.model import build
from steadysow.search.solver import ALWAYS
from steadysow.standing.standing import Standing
from tiny import day, make_crop, make_garden, make_tote, make_want, proposed

from .by_hand import begun_batch

HEAD = make_crop(lid_holes=2, window_days=8)
CHARD = make_crop("chard", "cut", between_days=7, grams=(60.0, 50.0), lid_holes=3)
TOTES = [make_tote("A", 4), make_tote("B", 4)]


def columns_for(candidates: Candidates, weeks: int = 5) -> Columns:
    """Give the columns of candidates for which nothing is wanted."""
    return columns_of(candidates, weeks=weeks, wanted={}, leftovers={})


@pytest.fixture
def candidates() -> Candidates:
    """Propose heads and chard for two totes, round a batch of each that stands and one that waits."""
    begun = (
        begun_batch(HEAD, sown=-14, plants=2, planted=-7),
        begun_batch(CHARD, sown=-14, plants=3, planted=-7, number=8, tote="B"),
        begun_batch(HEAD, sown=-7, plants=2, number=9),
    )
    garden = make_garden(TOTES, [make_want([HEAD, CHARD], 100, unit="g")], weeks=5, turnaround_days=2)
    return proposed(garden, [HEAD, CHARD], Standing(begun=begun, next_id=10))[0]


def test_each_decision_has_its_column(candidates: Candidates) -> None:
    """Sowings, steps, sowing days and crops on a day have different columns, and the program no others."""
    columns = columns_for(candidates)
    days = {(candidates.lines[each.line].crop.name, each.sown_day) for each in candidates.sowings}

    every = [*columns.sowings, *columns.steps, *columns.sowing_days.values(), *columns.crop_days.values()]

    assert len(columns.sowings) == len(candidates.sowings)
    assert len(columns.steps) == len(candidates.steps)
    assert set(columns.crop_days) == days
    assert sorted(every) == list(range(len(columns.program.lower)))
    assert columns.program.row_least == []


def test_new_plants_are_bounded_by_what_all_totes_carry(candidates: Candidates) -> None:
    """Two totes carry two heads or three chard each."""
    columns = columns_for(candidates)
    most = {"cress": 4.0, "chard": 6.0}
    upper = columns.program.upper

    for column, sowing in zip(columns.sowings, candidates.sowings, strict=True):
        assert upper[column] == most[candidates.lines[sowing.line].crop.name]
    for column, step in zip(columns.steps, candidates.steps, strict=True):
        if step.begun is None:
            assert upper[column] == most[columns.crop_of(step).name]


def test_begun_batches_are_taken_whole_but_for_heads(candidates: Candidates) -> None:
    """A begun batch of chard is cut or cleared as a whole; of heads any number is harvested, but all are cleared."""
    columns = columns_for(candidates)
    seen = set()
    for column, unit, step in zip(columns.steps, columns.units, candidates.steps, strict=True):
        if step.begun is not None:
            seen.add((columns.crop_of(step).name, step.number > 0, unit, columns.program.upper[column]))

    assert seen == {
        ("cress", True, 1, 2.0),
        ("cress", False, 2, 1.0),
        ("chard", True, 3, 1.0),
        ("chard", False, 3, 1.0),
    }


def test_only_plants_in_a_tote_stand(candidates: Candidates) -> None:
    """The columns of two batches are those of plants that stand; seedlings in the nursery do not."""
    columns = columns_for(candidates)

    standing = {b: {c for c, begun in columns.standing.items() if begun == b} for b in range(3)}

    assert [bool(standing[b]) for b in range(3)] == [True, True, False]
    for column, step in zip(columns.steps, candidates.steps, strict=True):
        assert (column in columns.standing) == (step.begun in (0, 1))


def test_states_lead_from_harvests_to_steps(candidates: Candidates) -> None:
    """Each step is listed where it starts, and each harvest where it leads to."""
    columns = columns_for(candidates)

    for s, step in enumerate(candidates.steps):
        assert s in columns.starting[step.start]
        assert (s in columns.ending.get(step.end, [])) == (step.number > 0)
        assert columns.index[step] == s
    assert sum(map(len, columns.starting.values())) == len(candidates.steps)


def test_holes_are_counted_once_over_a_life(candidates: Candidates) -> None:
    """The days in which the steps of a plant take its hole have no gap and no overlap, turnaround included."""
    columns = columns_for(candidates)
    first = next(
        s for s in candidates.steps if s.begun is None and columns.crop_of(s).name == "chard" and s.number == 1
    )
    second = next(step for step in candidates.steps if step.start == first.end)

    assert (columns.goes_on(first), columns.goes_on(second)) == (False, True)
    assert columns.occupied(first) == (first.from_day, first.to_day + 2)
    assert columns.occupied(second) == (columns.occupied(first)[1], second.to_day + 2)


def test_begun_batch_takes_its_hole_from_the_start(candidates: Candidates) -> None:
    """A batch whose earlier harvests are no candidates any more takes its holes from the beginning of its step."""
    columns = columns_for(candidates)
    step = next(step for step in candidates.steps if step.begun == 1 and step.after == 0)

    assert columns.occupied(step)[0] == step.from_day
    assert columns.occupied(replace(step, after=1, from_day=-3))[0] == -3


def test_room_is_the_part_of_a_lid(candidates: Candidates) -> None:
    """A head takes half of a tote, a chard a third."""
    columns = columns_for(candidates)
    room = {columns.crop_of(step).name: columns.room_of(step) for step in candidates.steps}

    assert room == {"cress": pytest.approx(1 / 2), "chard": pytest.approx(1 / 3)}


def test_what_began_in_the_past_is_decided_from_today_on(candidates: Candidates) -> None:
    """A window in time that begins today holds every column; days of sowing belong to all windows."""
    columns = columns_for(candidates)
    when = columns.program.when

    assert min(when[column] for column in columns.steps) == candidates.today == candidates.day_of(day(0))
    assert {when[column] for column in (*columns.sowing_days.values(), *columns.crop_days.values())} == {ALWAYS}
    for column, sowing in zip(columns.sowings, candidates.sowings, strict=True):
        assert when[column] == sowing.transplant_day


def test_rules_change_no_column(candidates: Candidates) -> None:
    """After all rules the columns of sowings and steps are as they were built; only more were added."""
    before = columns_for(candidates)
    model = build(candidates, weeks=5, wanted={}, leftovers={})
    number = len(before.program.lower)

    after = model.columns
    assert replace(after, program=before.program) == before
    for field in ("lower", "upper", "integer", "when"):
        assert getattr(after.program, field)[:number] == getattr(before.program, field)
    assert len(after.program.lower) > number
