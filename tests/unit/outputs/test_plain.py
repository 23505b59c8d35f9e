"""Chores as plain text, for the garden and plan of this folder's conftest."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from steadysow.chores.chore import Chore
from steadysow.chores.listing import list_chores
from steadysow.inputs.garden import Garden
from steadysow.outputs.plain import chores_text, overdue_text
from steadysow.plan.plan import Plan

TODAY = date(2026, 11, 14)


def test_chores_are_listed_by_day(garden: Garden, plan: Plan) -> None:
    """Merged chores stand under their day, which says how near it is and about how long its work takes.

    On 14 November eight mizuna are cut, at three quarters of a minute each.
    """
    every = list_chores(garden, plan)
    text = chores_text(every, TODAY)
    assert "Sat 24 Oct (21 days ago), about " in text
    assert "Sat 5 Dec, about " in text
    harvests = [chore for chore in every if chore.kind == "harvest" and chore.on == TODAY]
    text = chores_text(harvests, TODAY)
    assert text.startswith("Sat 14 Nov (today), about 6 minutes\n  Harvest 8 mizuna (1st cut) in A 1-8\n")


def test_nothing_to_do_is_a_sentence() -> None:
    """Without chores there is a sentence instead of an empty screen."""
    assert chores_text((), TODAY) == "Nothing to do."


@pytest.mark.parametrize("width", [40, 80, 120])
def test_lines_keep_to_the_width(width: int, garden: Garden, plan: Plan) -> None:
    """No line is longer than the terminal is wide."""
    lines = chores_text(list_chores(garden, plan), TODAY, width).splitlines()
    assert max(map(len, lines)) <= width


def test_the_minutes_of_several_days_are_summed() -> None:
    """Two days of 20 and 25 minutes take 45; a single day has no sum."""
    saturday = Chore(
        key="A/1/clean/1", kind="clean", on=TODAY, latest_on=TODAY, title="Drain and scrub tote A", tote="A", minutes=20
    )
    sunday = replace(saturday, key="B/2/clean/1", on=TODAY + timedelta(1), tote="B", minutes=25)
    assert chores_text((saturday, sunday), TODAY).splitlines()[-1] == "All of it takes about 45 minutes."
    assert "All of it" not in chores_text((saturday,), TODAY)


def test_overdue_chores_have_a_remedy() -> None:
    """Overdue chores are listed with their day, then what steadysow assumes and how to correct it."""
    chore = Chore(key="1/clear/1", kind="harden", on=TODAY, latest_on=TODAY, title="Harden off 4 cells of kale")
    lines = overdue_text((chore,), 60).splitlines()
    assert lines[:2] == ["Overdue, or not recorded", "  Sat 14 Nov: Harden off 4 cells of kale"]
    assert " ".join(" ".join(lines[2:]).split()) == (
        "steadysow assumes that you did them as planned. To confirm it, run `steadysow record done overdue`. "
        "If something went differently, record it for its batch, then run `steadysow rebalance`."
    )


@pytest.mark.parametrize(
    ("days", "words"), [(-1, "(yesterday)"), (0, "(today)"), (1, "(tomorrow)"), (-2, "(2 days ago)")]
)
def test_near_days_have_names(days: int, words: str) -> None:
    """A day near today says how near it is."""
    on = TODAY + timedelta(days)
    chore = Chore(key="A/1/clean/1", kind="clean", on=on, latest_on=on, title="Drain and scrub tote A", minutes=20)
    assert words in chores_text((chore,), TODAY)


def test_long_work_is_given_in_hours() -> None:
    """From five hours on, the sum is in hours."""
    first = Chore(key="A/1/clean/1", kind="clean", on=TODAY, latest_on=TODAY, title="Clean", tote="A", minutes=150)
    second = replace(first, key="B/1/clean/1", on=TODAY + timedelta(1), tote="B", minutes=149)
    assert chores_text((first, second), TODAY).endswith("about 299 minutes.")
    assert chores_text((first, replace(second, minutes=150)), TODAY).endswith("about 5 hours.")
