"""Chores as plain lines; the garden and the plan are those of this folder's conftest."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from steadysow.chores.chore import Chore
from steadysow.chores.listing import list_chores
from steadysow.inputs.garden import Garden
from steadysow.outputs.plain import chores_text
from steadysow.plan.plan import Plan

TODAY = date(2026, 11, 14)


def test_chores_are_told_by_day(garden: Garden, plan: Plan) -> None:
    """Chores stand under their day, merged; the day says how near it is, and about how long its work takes.

    On 14 November eight mizuna are cut, at three quarters of a minute each.
    """
    every = list_chores(garden, plan)
    text = chores_text(every, TODAY)
    assert "Sat 24 Oct (21 days ago), about " in text
    assert "Sat 5 Dec, about " in text
    harvests = [chore for chore in every if chore.kind == "harvest" and chore.on == TODAY]
    told = chores_text(harvests, TODAY)
    assert told.startswith("Sat 14 Nov (today), about 6 minutes\n  Cut 8 mizuna, cut 1 (A 1-8)\n")


def test_nothing_to_do_is_said() -> None:
    """Without chores there is a sentence, not an empty screen."""
    assert chores_text((), TODAY) == "Nothing to do."


@pytest.mark.parametrize("width", [40, 80, 120])
def test_lines_keep_to_the_width(width: int, garden: Garden, plan: Plan) -> None:
    """No line is longer than the terminal is wide."""
    lines = chores_text(list_chores(garden, plan), TODAY, width).splitlines()
    assert max(map(len, lines)) <= width


def test_the_minutes_of_several_days_are_summed() -> None:
    """Two days of 20 and 25 minutes take 45; of one day its own line says all."""
    saturday = Chore(
        key="A/1/clean/1", kind="clean", on=TODAY, latest_on=TODAY, title="Drain and scrub tote A", tote="A", minutes=20
    )
    sunday = replace(saturday, key="B/2/clean/1", on=TODAY + timedelta(1), tote="B", minutes=25)
    assert chores_text((saturday, sunday), TODAY).splitlines()[-1] == "All of it takes about 45 minutes."
    assert "All of it" not in chores_text((saturday,), TODAY)
