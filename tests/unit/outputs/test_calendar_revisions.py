"""Revisions: equal plans give equal bytes, and the number of an event only rises, whatever was lost."""

from __future__ import annotations

import json
import uuid
from dataclasses import replace
from datetime import date, time, timedelta
from pathlib import Path
from typing import Literal

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from icalendar import Calendar, Event

from steadysow.chores.chore import Chore
from steadysow.inputs.calendar_style import CalendarStyle
from steadysow.inputs.garden import Garden
from steadysow.outputs import ical
from steadysow.outputs.calendar_state import CalendarState, Revision, read_state
from steadysow.outputs.entries import Entry
from steadysow.outputs.ical import calendar_bytes, task_bytes, write_calendar
from steadysow.plan.plan import Plan
from unit.outputs.calendar_reader import BEGUN, BEGUN_LATER, LATER, NOW, SHOWN, lint, lint_tasks, read, sequences


def test_unchanged_plan_gives_equal_bytes(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """If the plan stays the same, a later day changes no byte of the calendar or the state."""
    first, state = calendar_bytes(garden, plan, chores, CalendarState(), NOW)
    assert calendar_bytes(garden, plan, tuple(reversed(chores)), state, LATER) == (first, state)


def test_changed_chore_alone_is_revised(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """A chore that moved keeps its UID and creation, and gets the next sequence and new stamps; the others stay."""
    first, state = calendar_bytes(garden, plan, chores, CalendarState(), NOW)
    moved = (replace(chores[0], on=chores[0].on + timedelta(days=4)), *chores[1:])
    second, _ = calendar_bytes(garden, plan, moved, state, LATER)
    before = {event.value("UID"): event for event in lint(first)}
    after = {event.value("UID"): event for event in lint(second)}
    (changed,) = [uid for uid in before if before[uid] != after[uid]]
    assert set(before) == set(after)
    assert (before[changed].value("SEQUENCE"), after[changed].value("SEQUENCE")) == (str(BEGUN), str(BEGUN + 1))
    assert after[changed].value("CREATED") == before[changed].value("CREATED") == "20261003T073015Z"
    assert after[changed].value("DTSTAMP") == "20261005T073015Z"


@pytest.mark.parametrize("field", ["title", "detail", "tote"])
def test_any_visible_change_is_a_revision(garden: Garden, plan: Plan, chores: tuple[Chore, ...], field: str) -> None:
    """People see title, text and place, so a change in any of them raises the sequence."""
    _, state = calendar_bytes(garden, plan, chores[:1], CalendarState(), NOW)
    new: dict[str, object] = {field: ("new",) if field == "detail" else "new"}
    content, _ = calendar_bytes(garden, plan, (replace(chores[0], **new),), state, LATER)  # type: ignore[arg-type]
    assert lint(content)[0].value("SEQUENCE") == str(BEGUN + 1)


def test_dropped_chore_is_left_out_and_returns_where_it_was(
    garden: Garden, plan: Plan, chores: tuple[Chore, ...]
) -> None:
    """A dropped chore is left out; if it returns, its sequence is higher than before."""
    _, state = calendar_bytes(garden, plan, chores, CalendarState(), NOW)
    moved = (replace(chores[0], title="Moved"), *chores[1:])
    _, state = calendar_bytes(garden, plan, moved, state, LATER)
    without, state = calendar_bytes(garden, plan, chores[1:], state, LATER)
    assert len(lint(without)) == len(chores) - 1
    back, _ = calendar_bytes(garden, plan, chores, state, LATER)
    uid = str(uuid.uuid5(uuid.UUID(plan.uuid), chores[0].key))
    assert [event.value("SEQUENCE") for event in lint(back) if event.value("UID") == uid] == [str(BEGUN + 2)]


def test_clock_set_back_moves_no_stamp_back(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """If the clock was set back, a change still gets the newest stamp."""
    _, state = calendar_bytes(garden, plan, chores[:1], CalendarState(), LATER)
    content, _ = calendar_bytes(garden, plan, (replace(chores[0], title="New"),), state, NOW)
    assert lint(content)[0].value("LAST-MODIFIED") == "20261005T073015Z"


def test_lost_state_goes_on_above_the_calendar(
    tmp_path: Path, garden: Garden, plan: Plan, chores: tuple[Chore, ...]
) -> None:
    """If the state is lost, every event goes on above the calendar beside it, whatever the clock says."""
    write_calendar(tmp_path, garden, plan, chores, now=LATER)
    before = (tmp_path / "calendar.ics").read_bytes()
    (tmp_path / "calendar-state.json").unlink()
    write_calendar(tmp_path, garden, plan, chores, now=NOW)
    after = (tmp_path / "calendar.ics").read_bytes()
    assert {uid: number + 1 for uid, number in sequences(before).items()} == sequences(after)
    assert read(after).value("LAST-MODIFIED") == read(before).value("LAST-MODIFIED") == "20261005T073015Z"
    assert {event.value("CREATED") for event in lint(after)} == {"20261005T073015Z"}


def test_lost_state_and_calendar_go_on_above_all_that_was(
    tmp_path: Path, garden: Garden, plan: Plan, chores: tuple[Chore, ...]
) -> None:
    """If both are lost, or the calendar went elsewhere, the clock keeps every new sequence above the old ones."""
    web = tmp_path / "elsewhere.ics"
    for number in range(40):
        changed = (replace(chores[0], title=f"Title {number}"), *chores[1:])
        write_calendar(web, garden, plan, changed, now=NOW + timedelta(hours=number))
    highest = max(sequences(web.read_bytes()).values())
    assert highest == BEGUN + 39
    (tmp_path / "calendar-state.json").unlink()
    content, _ = calendar_bytes(garden, plan, chores, CalendarState(), LATER)
    assert set(sequences(content).values()) == {BEGUN_LATER}
    assert highest < BEGUN_LATER


def test_state_from_an_old_copy_goes_on_above_the_calendar(
    tmp_path: Path, garden: Garden, plan: Plan, chores: tuple[Chore, ...]
) -> None:
    """If the state is older than the calendar, as after a restored backup, no sequence or stamp falls."""
    state_file = tmp_path / "calendar-state.json"
    write_calendar(tmp_path, garden, plan, chores, now=NOW)
    copy = state_file.read_bytes()
    write_calendar(tmp_path, garden, plan, (replace(chores[0], title="New"), *chores[1:]), now=LATER)
    before = lint((tmp_path / "calendar.ics").read_bytes())
    state_file.write_bytes(copy)
    write_calendar(tmp_path, garden, plan, chores, now=NOW)
    after = {event.value("UID"): event for event in lint((tmp_path / "calendar.ics").read_bytes())}
    (new,) = [event for event in before if event != after[event.value("UID")]]
    back = after[new.value("UID")]
    assert (new.value("SUMMARY"), back.value("SUMMARY")) == ("New", SHOWN.get(chores[0].title, chores[0].title))
    assert int(back.value("SEQUENCE")) == int(new.value("SEQUENCE")) + 1
    assert back.value("LAST-MODIFIED") == new.value("LAST-MODIFIED") == "20261005T073015Z"


def test_state_of_the_first_version_is_read(
    tmp_path: Path, garden: Garden, plan: Plan, chores: tuple[Chore, ...]
) -> None:
    """Sequences go on from a state of the first version."""
    revision = {
        "content": "0" * 64,
        "sequence": 4,
        "created": "2026-10-01T06:00:00+00:00",
        "last_modified": "2026-10-02T06:00:00+00:00",
    }
    document = {"version": 1, "secret": "s3cret", "floor": 0, "revisions": {chores[0].key: revision}}
    (tmp_path / "calendar-state.json").write_text(json.dumps(document), encoding="utf-8")
    write_calendar(tmp_path, garden, plan, chores[:1], now=NOW)
    (event,) = lint((tmp_path / "calendar.ics").read_bytes())
    assert (event.value("SEQUENCE"), event.value("CREATED")) == ("5", "20261001T060000Z")
    assert read_state(tmp_path / "calendar-state.json").secret == "s3cret"


def test_dropping_a_chore_is_a_change_of_the_calendar(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """If a chore is left out, the calendar gets a new stamp, and the events keep theirs."""
    first, state = calendar_bytes(garden, plan, chores, CalendarState(), NOW)
    second, _ = calendar_bytes(garden, plan, chores[1:], state, LATER, first)
    assert (read(first).value("LAST-MODIFIED"), read(second).value("LAST-MODIFIED")) == (
        "20261003T073015Z",
        "20261005T073015Z",
    )
    assert {event.value("LAST-MODIFIED") for event in lint(second)} == {"20261003T073015Z"}


def test_past_chores_stay_marked_for_ninety_days(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """Events before the day of planning have a mark, which is a revision; after ninety days they are left out."""
    first, state = calendar_bytes(garden, plan, chores, CalendarState(), NOW)
    made_on = date(2026, 11, 14)
    second, state = calendar_bytes(garden, replace(plan, made_on=made_on), chores, state, LATER, first)
    before = {event.value("UID"): event for event in lint(first)}
    for event in lint(second):
        is_done = date.fromisoformat(event.value("DTSTART")) < made_on
        assert event.value("SUMMARY").startswith("✓ ") == is_done
        assert (event != before[event.value("UID")]) == is_done
        assert int(event.value("SEQUENCE")) == BEGUN + is_done
    # The first chores are of 3 October: 1 January is the ninetieth day after.
    kept, _ = calendar_bytes(garden, replace(plan, made_on=date(2027, 1, 1)), chores, state, LATER, second)
    assert len(lint(kept)) == len(chores)
    gone, _ = calendar_bytes(garden, replace(plan, made_on=date(2027, 1, 2)), chores, state, LATER, second)
    days = [date.fromisoformat(event.value("DTSTART")) for event in lint(gone)]
    assert sorted(days) == [chore.on for chore in chores if chore.on > date(2026, 10, 3)]


def test_changed_task_alone_is_revised(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """Tasks have revisions of their own, by the same rules as events."""
    first, state = task_bytes(garden, plan, chores, CalendarState(), NOW)
    assert state.revisions == ()
    second, _ = task_bytes(garden, plan, (replace(chores[0], title="New"), *chores[1:]), state, LATER, first)
    before, after = ({task.value("UID"): task for task in lint_tasks(content)} for content in (first, second))
    (changed,) = [uid for uid in before if before[uid] != after[uid]]
    assert (before[changed].value("SEQUENCE"), after[changed].value("SEQUENCE")) == (str(BEGUN), str(BEGUN + 1))


def test_copied_events_are_as_if_written_again(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """Only the changed event is made again, and the file has the same bytes as without copying."""
    first, state = calendar_bytes(garden, plan, chores, CalendarState(), NOW)
    changed = (*chores[:4], replace(chores[4], title="New"), *chores[5:])
    made: list[str] = []
    with pytest.MonkeyPatch.context() as patch:
        make = ical._event

        def count(entry: Entry, uid: str, revision: Revision) -> Event:
            made.append(entry.summary)
            return make(entry, uid, revision)

        patch.setattr(ical, "_event", count)
        copied = calendar_bytes(garden, plan, changed, state, LATER, first)
    assert made == ["New"]
    assert copied == calendar_bytes(garden, plan, changed, state, LATER)
    assert Calendar.from_ical(copied[0]).to_ical() == copied[0]


# Any text for a title.
TITLES = st.text(max_size=20)


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(data=st.data(), detail=st.sampled_from(["each", "daily"]), alarm=st.sampled_from([None, time(8)]))
def test_copying_never_shows(
    garden: Garden,
    plan: Plan,
    chores: tuple[Chore, ...],
    data: st.DataObject,
    detail: Literal["each", "daily"],
    alarm: time | None,
) -> None:
    """Whatever changes from plan to plan, copying from the last calendar never changes a byte."""
    garden = replace(garden, calendar=CalendarStyle(detail=detail, alarm=alarm, tasks=True))
    state = CalendarState()
    published = {calendar_bytes: b"", task_bytes: b""}
    for number in range(3):
        chosen = data.draw(st.lists(st.sampled_from(chores), min_size=0, unique=True))
        changed = [
            replace(chore, title=f"Do {data.draw(TITLES)}", on=chore.on + timedelta(days=data.draw(st.integers(0, 3))))
            if data.draw(st.booleans())
            else chore
            for chore in chosen
        ]
        made = replace(plan, made_on=plan.made_on + timedelta(days=data.draw(st.integers(0, 60))))
        now = NOW + timedelta(days=number)
        for make in published:
            whole = make(garden, made, changed, state, now)
            copied = make(garden, made, changed, state, now, published[make])
            assert copied == whole
            published[make], state = copied
    lint(published[calendar_bytes])
    lint_tasks(published[task_bytes])
