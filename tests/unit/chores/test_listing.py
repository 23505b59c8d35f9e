"""All chores of a plan together: their order, what is answered, what is overdue, and how much work it is."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from cellar import PLANTED_ON, SOWN_ON, a_batch, a_garden, a_plan, heads
from steadysow.chores.chore import Chore
from steadysow.chores.listing import OVERDUE_DAYS, busiest_weeks, chore_minutes_by_week, list_chores, overdue
from steadysow.chores.merging import merge
from steadysow.inputs.journal import Fact


def test_chores_come_in_the_order_of_work() -> None:
    """On one day what is taken out comes before what goes in."""
    new = a_batch(
        20,
        (7, 8),
        sown_on=date(2026, 11, 28),
        transplanted_on=date(2026, 12, 19),
        cleared_on=date(2027, 1, 2),
        harvests=(),
    )
    listed = list_chores(a_garden(), a_plan(new, replace(a_batch(), tote="F")))
    assert [chore.on for chore in listed] == sorted(chore.on for chore in listed)
    assert [chore.kind for chore in listed if chore.on == date(2026, 11, 28)] == ["harvest", "clear", "clean", "sow"]
    planted = [chore.kind for chore in listed if chore.on == PLANTED_ON]
    assert planted == ["fill", "transplant", "check"]


def told_of(*told: str, harvests_told: int = 0, facts: tuple[Fact, ...] = ()) -> set[str]:
    """Give the keys of the chores that are told, of a batch of which facts of some kinds stand."""
    cuts = tuple(replace(cut, is_recorded=number < harvests_told) for number, cut in enumerate(a_batch().harvests))
    listed = list_chores(a_garden(), a_plan(a_batch(recorded=told, harvests=cuts)), facts=facts)
    return {chore.key for chore in listed if chore.is_recorded}


def test_a_chore_is_told_by_the_fact_of_its_kind() -> None:
    """Each stage answers its own chore; the first cut answers the first, and nothing answers what was not told."""
    assert told_of() == set()
    assert told_of("sown") == {"12/sow/1"}
    assert told_of("sown", "thinned") == {"12/sow/1", "12/thin/1"}
    # Nobody plants into an empty tote.
    assert told_of("sown", "transplanted") == {"12/sow/1", "12/transplant/1", "A/12/fill/1"}
    assert told_of("harvested", harvests_told=1) == {"12/harvest/1"}
    assert told_of("emerged") == set()
    everything = told_of("sown", "thinned", "transplanted", "harvested", "cleared", harvests_told=2)
    of_batch = {"sow/1", "thin/1", "transplant/1", "harvest/1", "harvest/2", "clear/1"}
    assert everything == {f"12/{each}" for each in of_batch} | {"A/12/fill/1"}


@pytest.mark.parametrize(
    ("tote", "on", "is_recorded"),
    [
        ("A", date(2026, 11, 28), True),
        ("A", date(2026, 11, 25), True),
        ("A", date(2026, 11, 24), False),
        ("A", date(2027, 1, 9), True),
        ("F", date(2026, 11, 28), False),
    ],
)
def test_a_tote_that_was_scrubbed_answers_its_scrubbing(tote: str, on: date, is_recorded: bool) -> None:
    """Tote A stands empty from 28 November on: from three days before it, scrubbing it is meant for that."""
    facts = (Fact(number=1, kind="scrubbed", on=on, tote=tote),)
    assert ("A/12/clean/1" in told_of(facts=facts)) == is_recorded


def late(today: date, *told: str, begun_on: date | None = SOWN_ON) -> set[str]:
    """Give the keys of what is overdue, with a journal begun on some day."""
    facts = () if begun_on is None else (Fact(number=1, kind="note", on=begun_on, text="begun"),)
    listed = list_chores(a_garden(), a_plan(a_batch(recorded=told)), facts=facts)
    return {chore.key for chore in overdue(listed, facts, today)}


def test_what_nobody_told_of_is_overdue_from_the_next_day() -> None:
    """Planted on 24 October by the plan, and not told: asked for from the day after, for fourteen days."""
    assert late(PLANTED_ON, "sown") == set()
    assert late(PLANTED_ON + timedelta(1), "sown") == {"12/transplant/1"}
    assert late(PLANTED_ON + timedelta(OVERDUE_DAYS), "sown") == {"12/transplant/1"}
    assert late(PLANTED_ON + timedelta(OVERDUE_DAYS + 1), "sown") == set()


def test_what_was_told_is_not_asked_for() -> None:
    """A week after the sowing it is overdue only if nobody told of it."""
    assert late(SOWN_ON + timedelta(7)) == {"12/sow/1"}
    assert late(SOWN_ON + timedelta(7), "sown") == set()


def test_nobody_is_asked_for_what_was_before_the_journal() -> None:
    """A journal begun on the day after the sowing asks nothing of it, and without a journal nothing is asked at all."""
    assert late(SOWN_ON + timedelta(7), begun_on=SOWN_ON + timedelta(1)) == set()
    assert late(SOWN_ON + timedelta(7), begun_on=None) == set()


def test_of_upkeep_nobody_is_asked_afterwards() -> None:
    """A week after planting, nobody having told anything: sowing and planting are asked for, filling is not."""
    assert late(PLANTED_ON + timedelta(7)) == {"12/transplant/1"}
    assert late(date(2026, 12, 5), "sown", "transplanted") == {"12/harvest/2", "12/clear/1", "A/12/clean/1"}


# How much work it is.


def work(*days: tuple[int, float]) -> list[Chore]:
    """Give a chore for each day, counted from the first, of so many minutes."""
    return [
        Chore(
            key=str(number),
            kind="timer",
            on=SOWN_ON + timedelta(day),
            latest_on=SOWN_ON + timedelta(day),
            title=f"Lamp {number}",
            minutes=minutes,
        )
        for number, (day, minutes) in enumerate(days)
    ]


def test_weeks_add_up_their_days() -> None:
    """Days 0 and 6 are one week, day 7 is the next, and the day before the first is a week of its own."""
    found = chore_minutes_by_week(work((0, 5.0), (6, 2.5), (7, 1.0), (-1, 3.0)), SOWN_ON)
    assert found == {SOWN_ON - timedelta(7): 3.0, SOWN_ON: 7.5, SOWN_ON + timedelta(7): 1.0}


def test_weeks_add_up_to_all_the_work() -> None:
    """However days are grouped, nothing is lost: the weeks of a plan sum to what its merged chores take."""
    listed = list_chores(a_garden(), a_plan(a_batch(), a_batch(13, (8, 9)), heads()))
    weeks = chore_minutes_by_week(listed, SOWN_ON)
    assert sum(weeks.values()) == pytest.approx(sum(chore.minutes for chore in merge(listed)))
    assert all((on - SOWN_ON).days % 7 == 0 for on in weeks)
    assert all(chore.minutes > 0 for chore in listed)


def test_the_busiest_weeks_are_told_in_their_order() -> None:
    """Five weeks of 10, 40, 20, 30 and 5 minutes: 21 on average; the three longest by their first days."""
    five = work((0, 10.0), (7, 40.0), (14, 20.0), (23, 30.0), (28, 5.0))
    assert busiest_weeks(five, SOWN_ON, SOWN_ON) == (
        "With all upkeep a week takes about 21 minutes (estimate); most take those of Sat 10 Oct (40), Sat 17 Oct (20)"
        " and Sat 24 Oct (30)."
    )


def test_weeks_that_are_over_do_not_count() -> None:
    """On the last day of the second week it still counts, the first does not; when all are over nothing is told."""
    three = work((0, 10.0), (7, 40.0), (14, 20.0))
    told = busiest_weeks(three, SOWN_ON, SOWN_ON + timedelta(13))
    assert "about 30 minutes (estimate); most take those of Sat 10 Oct (40) and Sat 17 Oct (20)." in told
    assert busiest_weeks(three, SOWN_ON, SOWN_ON + timedelta(21)) == ""
    assert busiest_weeks([], SOWN_ON, SOWN_ON) == ""
