"""The state of the calendar and its file."""

from __future__ import annotations

from pathlib import Path

import pytest

from steadysow.chores.chore import Chore
from steadysow.errors import InputFaults
from steadysow.inputs.garden import Garden
from steadysow.outputs.calendar_state import CalendarState, read_state, write_state
from steadysow.outputs.ical import calendar_bytes
from steadysow.plan.plan import Plan
from unit.outputs.calendar_reader import NOW


def test_state_survives_its_file(tmp_path: Path, garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """The state reads back as it was written, with its secret."""
    _, state = calendar_bytes(garden, plan, chores, CalendarState(secret="s3cret"), NOW)
    write_state(tmp_path / "calendar-state.json", state)
    assert read_state(tmp_path / "calendar-state.json") == state
    assert state.secret == "s3cret"


def test_missing_state_is_empty(tmp_path: Path) -> None:
    """Without a file the state is empty."""
    assert read_state(tmp_path / "calendar-state.json") == CalendarState()


@pytest.mark.parametrize("content", ["", "[]", "{}", '{"revisions": {"1": {}}, "floor": 0, "secret": ""}'])
def test_damaged_state_is_a_fault(tmp_path: Path, content: str) -> None:
    """A damaged state file is a fault with a remedy."""
    file = tmp_path / "calendar-state.json"
    file.write_text(content, encoding="utf-8")
    with pytest.raises(InputFaults, match=r"calendar-state\.json: .*Delete it"):
        read_state(file)
