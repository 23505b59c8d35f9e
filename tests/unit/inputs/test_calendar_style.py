"""How the calendar is written: its colours are those of CSS, and a wrong one is a fault."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from steadysow.errors import Fault
from steadysow.inputs.calendar_style import COLOR_NAMES

FaultsOf = Callable[[str], tuple[Fault, ...]]


def test_colours_are_those_of_css() -> None:
    """The names are those that a highlighter of CSS knows, without the two that came after CSS 3."""
    known = pytest.importorskip("pygments.lexers.css")._color_keywords
    assert set(COLOR_NAMES) == set(known) - {"rebeccapurple", "transparent"}
    assert len(COLOR_NAMES) == len(set(COLOR_NAMES))


WRONG = {
    "colour with a space": (
        "starts_on: 2026-10-03",
        "calendar: {color: sea green}",
        2,
        "calendar.color",
        "not a CSS colour name. Did you mean seagreen?",
    ),
    "colour as a number": (
        "starts_on: 2026-10-03",
        'calendar: {color: "#2e8b57"}',
        2,
        "calendar.color",
        "not a CSS colour name. Write such as seagreen",
    ),
    "colour of nothing": (
        "starts_on: 2026-10-03",
        "calendar: {color: [red]}",
        2,
        "calendar.color",
        "has several values",
    ),
}


@pytest.mark.parametrize(("good", "bad", "line", "field", "message"), WRONG.values(), ids=WRONG.keys())
def test_a_wrong_value_is_a_fault(
    faults_of: FaultsOf, garden_text: str, good: str, bad: str, line: int, field: str, message: str
) -> None:
    """Each fault names its line, its field, what is wrong and what to write."""
    assert good in garden_text
    found = {(fault.line, fault.field): str(fault) for fault in faults_of(garden_text.replace(good, bad, 1))}
    assert (line, field) in found, found
    assert message in found[line, field]
