"""The values from which a plan is chosen: steps hang together by the states between them, and days are dates."""

from __future__ import annotations

from dataclasses import replace

from steadysow.search.candidates import PlantState, Step
from tiny import day, make_crop, make_garden, make_tote, make_want, proposed

CUT = Step(
    line=0,
    group=1,
    begun=None,
    entered_day=-1,
    from_day=14,
    to_day=21,
    after=1,
    number=2,
    grams=30.0,
    latest_day=23,
)


def test_step_goes_from_one_state_to_the_next() -> None:
    """A second cut starts with one harvest on its first day, and ends with two on its last."""
    state = PlantState(line=0, group=1, begun=None, entered_day=-1, harvests=1, last_day=14)

    assert CUT.start == state
    assert CUT.end == replace(state, harvests=2, last_day=21)


def test_next_step_starts_where_a_step_ends() -> None:
    """A third cut from day 21 starts in the state in which the second one ended, also as a key of a table."""
    following = replace(CUT, from_day=21, to_day=28, after=2, number=3)

    assert {CUT.end: "found"}[following.start] == "found"


def test_states_of_different_plants_differ() -> None:
    """Plants of another line, group, batch or transplant are in another state."""
    others = (replace(CUT, line=1), replace(CUT, group=0), replace(CUT, begun=0), replace(CUT, entered_day=7))

    assert len({CUT.start, *(other.start for other in others)}) == 1 + len(others)


def test_days_are_counted_from_the_first_planned_day() -> None:
    """Day 0 is the first planned day, and a date gives back its day."""
    crop = make_crop()
    candidates, _ = proposed(make_garden([make_tote("A", 1)], [make_want([crop], 1)], weeks=2), [crop])

    assert candidates.date_of(0) == day(0)
    assert [candidates.day_of(candidates.date_of(number)) for number in range(-3, 20)] == list(range(-3, 20))
