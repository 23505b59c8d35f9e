"""All chores of a plan together: their order, which are recorded or overdue, and how much work they are."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from cellar import PLANTED_ON, SOWN_ON, a_batch, a_garden, a_plan, heads
from steadysow.chores.chore import Chore
from steadysow.chores.listing import OVERDUE_DAYS, busiest_weeks, chore_minutes_by_week, list_chores, overdue
from steadysow.chores.merging import merge
from steadysow.inputs.journal import Fact
from steadysow.upkeep.water import keep_books


def test_chores_come_in_the_order_of_work() -> None:
    """On one day, plants leave before others enter."""
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


def recorded(*kinds: str, harvests: int = 0, facts: tuple[Fact, ...] = ()) -> set[str]:
    """Give the keys of the recorded chores of a batch, for some kinds of facts and a number of recorded harvests."""
    cuts = tuple(replace(cut, is_recorded=number < harvests) for number, cut in enumerate(a_batch().harvests))
    listed = list_chores(a_garden(), a_plan(a_batch(recorded=kinds, harvests=cuts)), facts=facts)
    return {chore.key for chore in listed if chore.is_recorded}


def test_a_fact_records_the_chore_of_its_kind() -> None:
    """Each kind of fact records its own chore, and the first recorded cut the first harvest."""
    assert recorded() == set()
    assert recorded("sown") == {"12/sow/1"}
    assert recorded("sown", "thinned") == {"12/sow/1", "12/thin/1"}
    # Nobody plants into an empty tote.
    assert recorded("sown", "transplanted") == {"12/sow/1", "12/transplant/1", "A/12/fill/1"}
    assert recorded("harvested", harvests=1) == {"12/harvest/1"}
    assert recorded("emerged") == set()
    everything = recorded("sown", "thinned", "transplanted", "harvested", "cleared", harvests=2)
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
def test_a_fact_records_the_scrubbing_of_its_tote(tote: str, on: date, is_recorded: bool) -> None:
    """Tote A is empty from 28 November on: a scrubbing from three days before counts for that."""
    facts = (Fact(number=1, kind="scrubbed", on=on, tote=tote),)
    assert ("A/12/clean/1" in recorded(facts=facts)) == is_recorded


def late(today: date, *kinds: str, begun_on: date | None = SOWN_ON) -> set[str]:
    """Give the keys of the overdue chores, with a journal that was begun on some day."""
    facts = () if begun_on is None else (Fact(number=1, kind="note", on=begun_on, text="begun"),)
    listed = list_chores(a_garden(), a_plan(a_batch(recorded=kinds)), facts=facts)
    return {chore.key for chore in overdue(listed, facts, today)}


def test_a_chore_is_overdue_from_the_next_day() -> None:
    """A planting of 24 October that the journal does not have is overdue for fourteen days from the day after."""
    assert late(PLANTED_ON, "sown") == set()
    assert late(PLANTED_ON + timedelta(1), "sown") == {"12/transplant/1"}
    assert late(PLANTED_ON + timedelta(OVERDUE_DAYS), "sown") == {"12/transplant/1"}
    assert late(PLANTED_ON + timedelta(OVERDUE_DAYS + 1), "sown") == set()


def test_a_recorded_chore_is_not_overdue() -> None:
    """A week after its day, a sowing is overdue only if the journal does not have it."""
    assert late(SOWN_ON + timedelta(7)) == {"12/sow/1"}
    assert late(SOWN_ON + timedelta(7), "sown") == set()


def test_nothing_before_the_journal_is_overdue() -> None:
    """With a journal begun the day after the sowing, the sowing is not overdue; without a journal nothing is."""
    assert late(SOWN_ON + timedelta(7), begun_on=SOWN_ON + timedelta(1)) == set()
    assert late(SOWN_ON + timedelta(7), begun_on=None) == set()


def test_upkeep_is_never_overdue() -> None:
    """A week after planting only the planting is overdue, not the filling of its tote."""
    assert late(PLANTED_ON + timedelta(7)) == {"12/transplant/1"}
    assert late(date(2026, 12, 5), "sown", "transplanted") == {"12/harvest/2", "12/clear/1", "A/12/clean/1"}


# Books that the caller has kept.


def test_kept_books_give_the_same_chores() -> None:
    """Chores are the same whether they keep the water books themselves or are given them."""
    garden, plan = a_garden(), a_plan(a_batch(), heads())
    facts = (Fact(number=1, kind="topped-up", on=date(2026, 11, 14), tote="A", litres=2.0),)
    chores = list_chores(garden, plan, facts=facts)
    assert list_chores(garden, plan, facts=facts, books=keep_books(garden, plan, facts)) == chores
    # Without any book there is no tote to fill, so the books were not kept a second time.
    assert not any(chore.kind == "fill" for chore in list_chores(garden, plan, facts=facts, books=()))


# How much work it is.


def work(*days: tuple[int, float]) -> list[Chore]:
    """Give a chore for each pair of a day, counted from the first, and minutes."""
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
    """The minutes of all weeks sum to the minutes of all merged chores."""
    listed = list_chores(a_garden(), a_plan(a_batch(), a_batch(13, (8, 9)), heads()))
    weeks = chore_minutes_by_week(listed, SOWN_ON)
    assert sum(weeks.values()) == pytest.approx(sum(chore.minutes for chore in merge(listed)))
    assert all((on - SOWN_ON).days % 7 == 0 for on in weeks)
    assert all(chore.minutes > 0 for chore in listed)


def test_the_busiest_weeks_are_named_by_day() -> None:
    """Five weeks of 10, 40, 20, 30 and 5 minutes take 21 on average; the three busiest are named in order."""
    five = work((0, 10.0), (7, 40.0), (14, 20.0), (23, 30.0), (28, 5.0))
    assert busiest_weeks(five, SOWN_ON, SOWN_ON) == (
        "A week takes about 21 minutes with all upkeep (estimate). The busiest weeks begin on Sat 10 Oct (40 min), Sat"
        " 17 Oct (20 min) and Sat 24 Oct (30 min)."
    )


def test_weeks_that_are_over_do_not_count() -> None:
    """On the last day of the second week the first one no longer counts; when all are over there is no sentence."""
    three = work((0, 10.0), (7, 40.0), (14, 20.0))
    sentence = busiest_weeks(three, SOWN_ON, SOWN_ON + timedelta(13))
    assert "about 30 minutes with" in sentence
    assert sentence.endswith("The busiest weeks begin on Sat 10 Oct (40 min) and Sat 17 Oct (20 min).")
    last = busiest_weeks(three, SOWN_ON, SOWN_ON + timedelta(14))
    assert last.endswith("The busiest week begins on Sat 17 Oct (20 min).")
    assert busiest_weeks(three, SOWN_ON, SOWN_ON + timedelta(21)) == ""
    assert busiest_weeks([], SOWN_ON, SOWN_ON) == ""
