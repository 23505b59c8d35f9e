"""Every view fits the window and shows names as they were written."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, timedelta

import pytest

from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden
from steadysow.outputs import terminal
from steadysow.outputs.terminal.drawing import short_day
from steadysow.plan.plan import Plan
from unit.outputs.terminal.drawn import WIDTHS, all_views, drawn


@pytest.mark.parametrize("width", WIDTHS)
def test_no_line_is_longer_than_the_window(garden: Garden, plan: Plan, width: int) -> None:
    """Every view fits the width, cuts nothing off, and uses neither colours nor pictures."""
    for name, draw in all_views(garden, plan).items():
        text = drawn(draw, width)
        assert max(map(len, text.splitlines())) <= width, name
        assert "\x1b" not in text, name
        assert "…" not in text, name
        # Beyond plain letters there are only the lines of tables and the degree sign.
        assert set(text) - set(map(chr, range(128))) <= set("─│┌┐└┘├┤┬┴┼°"), name


@pytest.mark.parametrize("width", WIDTHS)
def test_words_are_not_broken(garden: Garden, plan: Plan, width: int) -> None:
    """The name of a crop is never broken inside a word."""
    for name in ("sowings", "batches", "harvest", "crop list"):
        assert "butterhead" in drawn(all_views(garden, plan)[name], width), name


def test_sentences_stand_below_each_other() -> None:
    """Each of several sentences has a dash and hangs under it; a single sentence has none."""
    text = drawn(lambda c: terminal.sentences(c, "Notes", ("One " + "word " * 20 + "[end].", "Two.")), 80)
    assert text.splitlines()[0] == "Notes"
    assert [line[:5] for line in text.splitlines()[1:4]] == ["- One", "  wor", "- Two"]
    assert "[end]." in text
    assert drawn(lambda c: terminal.sentences(c, "Notes", ("One.",))) == "Notes\nOne.\n\n"


def test_brackets_in_names_are_shown(crops: Mapping[str, Crop], plan: Plan) -> None:
    """Square brackets that a person wrote are shown and not taken for markup."""
    named = replace(plan, batches=tuple(replace(batch, want="[red]") for batch in plan.batches))
    for draw in (lambda c: terminal.sowings(c, named), lambda c: terminal.batches(c, named)):
        assert "[red]" in drawn(draw)
    assert "estimate: weighed by nobody [yet]" in drawn(lambda c: terminal.crop_profile(c, crops["mizuna"]))


def test_empty_plan_is_shown_in_words(garden: Garden, plan: Plan) -> None:
    """A plan without batches and weeks can be shown in every view, in sentences."""
    empty = replace(plan, batches=(), weeks=(), until_on=plan.from_on + timedelta(days=7))
    views = all_views(garden, empty)
    text = "".join(drawn(views[name]) for name in ("sowings", "totes", "lids", "harvest", "proof", "batches"))
    assert "Nothing is left to sow." in text
    assert "This plan has no weeks." in text
    assert "This plan has no batches." in text


def test_short_days_have_no_weekday() -> None:
    """A short day is a day and a month; no day is an empty text."""
    assert (short_day(date(2026, 12, 5)), short_day(None)) == ("5 Dec", "")
