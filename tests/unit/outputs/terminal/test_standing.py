"""What stands in the totes, week by week and hole by hole on one day."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

import pytest

from steadysow.inputs.garden import Garden
from steadysow.outputs import terminal
from steadysow.outputs.terminal.drawing import short_day
from steadysow.outputs.terminal.standing import short_names
from steadysow.plan.batch import Batch
from steadysow.plan.plan import Plan
from unit.outputs.terminal.drawn import WIDTHS, drawn, words


@pytest.mark.parametrize("width", WIDTHS)
def test_totes_show_each_week_once(garden: Garden, plan: Plan, width: int) -> None:
    """At any width, every week has one column, and the weeks are in order."""
    text = drawn(lambda c: terminal.totes(c, garden, plan), width)
    heads = [day for line in text.splitlines() if line.startswith("Tote  ") for day in re.findall(r"\d+ \w{3}", line)]
    assert heads == [short_day(week.starts_on) for week in plan.weeks]


def test_totes_show_crop_plants_and_work(garden: Garden, plan: Plan) -> None:
    """A cell shows the crop in the tote, the number of plants and the harvest of that week, or that it is empty."""
    lines = drawn(lambda c: terminal.totes(c, garden, plan), 200).splitlines()
    first, taken = next((line, lines[number + 1]) for number, line in enumerate(lines) if line.startswith("A "))
    assert re.split(r"\s{2,}", first.strip()) == ["A", *["empty"] * 3, *["mizuna 8"] * 6, "empty"]
    assert re.split(r"\s{2,}", taken.strip()) == ["cut 1", "cut 2"]
    second, ready = next((line, lines[number + 1]) for number, line in enumerate(lines) if line.startswith("B "))
    assert words(second).endswith("butterhead 4 butterhead 2")
    assert re.split(r"\s{2,}", ready.strip()) == ["2 ready", "ready"]
    assert "butterhead = butterhead lettuce" in lines


def test_totes_show_picking(garden: Garden, plan: Plan) -> None:
    """A week in which fruit is picked says so."""
    (batch, *_) = plan.batches
    picks = tuple(replace(harvest, kind="pick") for harvest in batch.harvests)
    fruit = replace(plan, batches=(replace(batch, crop="dwarf tomato", tote="L", holes=(1, 2), harvests=picks),))
    text = drawn(lambda c: terminal.totes(c, garden, fruit), 200)
    assert text.count("pick") == 2
    assert "tomato = dwarf tomato" in text


def test_short_names_are_never_alike() -> None:
    """Crops that share a word get different short names, and names that are short already stay."""
    crops = (
        "red russian kale",
        "red salad mustard",
        "purple mizuna",
        "mizuna",
        "butterhead lettuce",
        "red small mustard",
    )
    short = short_names(crops)
    assert len(set(short.values())) == len(crops)
    assert max(map(len, short.values())) <= 11
    assert short["mizuna"] == "mizuna"
    assert short["butterhead lettuce"] == "butterhead"
    assert short["red russian kale"] == "russian"


def test_lids_show_the_water_of_a_tote(garden: Garden, plan: Plan) -> None:
    """5.6 litres in a tote of 0.112 m2 are 5 cm deep; a tote without a water book shows no water."""
    name = garden.totes[0].name
    measured = replace(garden, totes=(replace(garden.totes[0], inside_cm=(28.0, 40.0)), *garden.totes[1:]))
    text = drawn(lambda c: terminal.lids(c, measured, plan, date(2026, 11, 10), {name: 5.6}))
    assert text.count("of water") == 1
    assert "About 5.6 litres of water, 5 cm deep" in text


def test_lids_show_every_hole(garden: Garden, plan: Plan) -> None:
    """Every hole of a tote in use has its number, and the crop that stands in it that day."""
    text = drawn(lambda c: terminal.lids(c, garden, plan, date(2026, 11, 10), {}))
    assert re.findall(r"(\d+) mizuna", text) == [str(hole) for hole in range(1, 9)]
    assert re.findall(r"│ (\d+) butterhead lettuce", text) == ["1", "2", "3", "7"]
    assert "1-6: mizuna, batch 1, next cut Sat 14 Nov" in text
    assert "Tote L, deep water culture, 0 of 4 holes in use" in text


def test_head_leaves_its_hole_on_its_own_day(garden: Garden, plan: Plan) -> None:
    """A head leaves its hole on the day of its harvest, and its later neighbours stay."""
    text = drawn(lambda c: terminal.lids(c, garden, plan, date(2026, 11, 28), {}))
    assert re.findall(r"│ (\d+) butterhead lettuce", text) == ["3", "7"]
    assert "3, 7: butterhead lettuce, batch 2, ready Sat 5 Dec" in text


def test_long_names_are_shortened_on_a_narrow_lid(garden: Garden, plan: Plan) -> None:
    """Where names do not fit side by side, the lid keeps its shape and shortens them."""
    assert "│ 1 butterhead │" in drawn(lambda c: terminal.lids(c, garden, plan, date(2026, 11, 10), {}), 60)
    for width in (20, 30, 40):
        text = drawn(lambda c: terminal.lids(c, garden, plan, date(2026, 11, 10), {}), width)
        assert max(map(len, text.splitlines())) <= width
        assert re.findall(r"│ (\d+) mizuna", text) == [str(hole) for hole in range(1, 9)]


def test_lost_batch_stands_nowhere(garden: Garden, plan: Plan) -> None:
    """A lost batch is in no tote and on no lid."""
    lost: tuple[Batch, ...] = tuple(replace(batch, state="lost", holes=()) for batch in plan.batches)
    gone = replace(plan, batches=lost)
    assert "mizuna" not in drawn(lambda c: terminal.totes(c, garden, gone), 200)
    assert "mizuna" not in drawn(lambda c: terminal.lids(c, garden, gone, date(2026, 11, 10), {}))
