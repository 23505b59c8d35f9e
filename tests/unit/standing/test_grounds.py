"""What a saying is understood by, and what looks odd in facts that are possible; days are counted by hand."""

from __future__ import annotations

import pytest

from said import grounds, journal_of, say, understood
from steadysow.inputs.journal import Fact
from tiny import day


def test_more_facts_change_what_stands_and_leave_the_journal() -> None:
    """With its loss imagined, batch 7 is lost on day 10; without, it stands."""
    ground = grounds(10)
    sowing, loss = Fact(kind="sown", on=day(0), batch=7, crop="cress", plants=4), Fact(kind="lost", on=day(9), batch=7)
    states = {batch.id: batch.state for batch in ground.standing(day(10), (sowing, loss)).begun}
    assert states[7] == "lost"
    assert {batch.id: batch.state for batch in ground.standing(day(10)).begun}[7] == "transplanted"
    assert ground.journal.facts == ()


def test_assumed_facts_are_facts_but_not_a_persons() -> None:
    """A first harvest writes its sowing as assumed: the journal has it, and the person has not recorded it."""
    ground = grounds(22, journal_of((21, say("harvested", "7", on=21))))
    assert ground.has(7, "sown")
    assert ground.fact_of(7, "sown") is None
    recorded = ground.fact_of(7, "harvested")
    assert recorded is not None
    assert recorded.on == day(21)


@pytest.mark.parametrize(("on", "planned_on"), [(20, 21), (24, 21), (25, 28), (42, 28), (43, None)])
def test_a_harvest_is_planned_for_the_nearest_day(on: int, planned_on: int | None) -> None:
    """Batch 8 has cuts planned for days 21 and 28; a harvest more than 14 days from both answers neither."""
    ground = grounds(10)
    (batch,) = (each for each in ground.standing(day(10)).begun if each.id == 8)
    harvest = ground.planned_harvest(batch, day(on))
    assert (harvest and harvest.on) == (None if planned_on is None else day(planned_on))


def test_a_sowing_a_week_from_its_plan_is_odd() -> None:
    """Batch 10 is planned for day 14: sown on day 7 or 21 it is odd, on day 8 or 20 it is not."""
    for on, when in ((7, "7 days later"), (21, "7 days earlier")):
        (warning,) = understood("sown", "10", on=on).warnings
        assert warning == f"Batch 10 (rocket) was planned to be sown {when}, on Sat 17 Oct."
    for on in (8, 20):
        assert understood("sown", "10", on=on).warnings == ()


def test_a_harvest_a_week_early_is_odd() -> None:
    """Due on day 21, taken on day 14 and on day 15."""
    said = understood("harvested", "7", on=14)
    assert said.facts
    assert said.warnings == ("Batch 7 (cress) was due 7 days later, on Sat 24 Oct.",)
    assert understood("harvested", "7", on=15).warnings == ()


@pytest.mark.parametrize(("grams", "is_odd"), [(601.0, True), (600.0, False), (67.0, False), (66.0, True)])
def test_three_times_the_weight_or_a_third_is_odd(grams: float, is_odd: bool) -> None:
    """Two heads are forecast to give 200 g."""
    warnings = understood("harvested", "7", on=21, grams=grams).warnings
    odd = f"Batch 7 (cress) was forecast to give 200 g; you recorded {grams:.0f} g."
    assert warnings == ((odd,) if is_odd else ())


def test_a_second_harvest_on_one_day_is_odd() -> None:
    """It may have been typed twice."""
    journal = journal_of((21, say("harvested", "8", on=21)))
    (warning,) = understood("harvested", "8", on=21, journal=journal).warnings
    assert warning == "Batch 8 (mizuna) already has a harvest on that day (fact 3). Both count together."


@pytest.mark.parametrize(("on", "is_odd"), [(6, True), (7, False), (8, False), (14, False), (15, True)])
def test_a_transplant_outside_its_window_is_odd(on: int, is_odd: bool) -> None:
    """The seedlings are ready on day 7 and may wait until day 14."""
    warnings = understood("transplanted", "7", on=on).warnings
    odd = "Batch 7 (cress) was due for transplant from Sat 10 Oct to Sat 17 Oct."
    assert warnings == ((odd,) if is_odd else ())


def test_seedlings_that_came_up_late_are_transplanted_late() -> None:
    """Up on day 4, not on day 1: three days more are in order, and a fourth is not."""
    journal = journal_of((4, say("emerged", "7", on=4)))
    assert understood("transplanted", "7", on=17, journal=journal).warnings == ()
    assert "was due for transplant" in understood("transplanted", "7", on=18, journal=journal).warnings[0]


def test_a_transplant_into_a_resting_tote_is_odd() -> None:
    """Tote C rests from day 3 until day 20; without an end the day is left out."""
    journal = journal_of((3, say("resting", "C", on=3, until=day(20))))
    (warning,) = understood("transplanted", "9", on=7, tote="C", journal=journal).warnings
    assert warning == "Tote C is resting until Fri 23 Oct. If it is in use again: record back C."
    journal = journal_of((3, say("resting", "C", on=3)))
    (warning,) = understood("transplanted", "9", on=7, tote="C", journal=journal).warnings
    assert warning == "Tote C is resting. If it is in use again: record back C."


def test_different_waters_and_an_overfull_tote_are_odd() -> None:
    """Brine cress needs saltier water than the mizuna of B; beside two of eight mizuna, four of four are too many."""
    journal = journal_of((7, say("transplanted", "9", on=7)), (7, say("sown", "brine cress", on=0, plants=4)))
    warnings = understood("transplanted", "12", on=7, tote="B", journal=journal).warnings
    assert "Brine cress and mizuna share tote B, but need different water." in warnings
    assert "Tote B now holds more plants than it has room for." in warnings
