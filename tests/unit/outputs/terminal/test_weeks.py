"""The harvest by week: gaps, surplus, and weeks out of reach in words."""

from __future__ import annotations

from dataclasses import replace

import pytest

from steadysow.inputs.garden import Garden
from steadysow.outputs import terminal
from steadysow.plan.plan import Plan
from unit.outputs.terminal.drawn import WIDTHS, drawn, words


@pytest.mark.parametrize("width", WIDTHS)
def test_harvest_names_gaps_surplus_and_weeks_out_of_reach(garden: Garden, plan: Plan, width: int) -> None:
    """A week names what is missing, what spoils, and when a want can first be met."""
    text = words(drawn(lambda c: terminal.harvest(c, garden, plan), width))
    assert "gap 120 g" in text
    assert "surplus 10 g" in text
    assert "not before" in text
    assert "3 Oct to 7 Nov salad" in text
    assert "mizuna 240 g" in text


def test_week_that_wants_nothing_is_no_gap(garden: Garden, plan: Plan) -> None:
    """A week in which nobody is at home wants nothing, and shows no gap."""
    away = replace(plan.weeks[6].wants[0], wanted=0.0, served=0.0)
    quiet = replace(plan, weeks=(replace(plan.weeks[6], wants=(away,)),))
    text = drawn(lambda c: terminal.harvest(c, garden, quiet))
    assert "not wanted" in text
    assert "gap" not in text


def test_harvest_follows_the_units(garden: Garden, plan: Plan) -> None:
    """A garden in US units shows ounces: 180 g are 6.3 oz."""
    text = drawn(lambda c: terminal.harvest(c, replace(garden, units="us"), plan))
    assert "6.3 oz" in text
    assert " g " not in text


def test_a_single_head_is_singular(garden: Garden, plan: Plan) -> None:
    """One head is ``1 head``, and any other number of heads is ``heads``."""
    one = replace(plan.weeks[8].wants[1], wanted=1.0, harvested=1.5, served=1.0, surplus=0.5, by_crop=())
    week = replace(plan.weeks[8], wants=(one,))
    text = words(drawn(lambda c: terminal.harvest(c, garden, replace(plan, weeks=(week,)))))
    assert "heads 1 head nothing 1 head surplus 0.5 heads" in text
