"""The calendar and the file of tasks: what stands in them, in a form that every client can read."""

from __future__ import annotations

import re
import uuid
from dataclasses import replace
from datetime import date, time, timedelta, timezone

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from icalendar import Calendar

from steadysow.chores.chore import Chore
from steadysow.inputs.calendar_style import CalendarStyle
from steadysow.inputs.garden import Garden
from steadysow.outputs.calendar_state import CalendarState
from steadysow.outputs.ical import calendar_bytes, task_bytes
from steadysow.plan.plan import Plan
from unit.outputs.calendar_reader import LATER, NOW, SHOWN, lint, lint_tasks, read


def test_calendar_keeps_every_rule(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """Our own reader finds one legal event for each chore, with the day and title of the chore."""
    content, _ = calendar_bytes(garden, plan, chores, CalendarState(), NOW)
    events = lint(content)
    assert sorted((date.fromisoformat(event.value("DTSTART")), event.value("SUMMARY")) for event in events) == sorted(
        (chore.on, SHOWN.get(chore.title, chore.title)) for chore in chores
    )
    assert read(content).value("NAME") == "Cellar, shelf"


def test_library_reads_the_same(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """The icalendar library finds no fault, and reads the same titles and texts as our own reader."""
    content, _ = calendar_bytes(garden, plan, chores, CalendarState(), NOW)
    parsed = Calendar.from_ical(content)
    assert parsed.errors == []
    ours = {event.value("UID"): (event.value("SUMMARY"), event.value("DESCRIPTION")) for event in lint(content)}
    theirs = {str(event["uid"]): (str(event["summary"]), str(event["description"])) for event in parsed.walk("VEVENT")}
    assert ours == theirs


def test_vobject_reads_the_same(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """The vobject library, if it is installed, finds the calendar valid and reads the same titles and days."""
    vobject = pytest.importorskip("vobject")
    content, _ = calendar_bytes(garden, plan, chores, CalendarState(), NOW)
    parsed = vobject.readOne(content.decode())
    assert parsed.validate(raiseException=True)
    read_back = [(event.dtstart.value, event.summary.value) for event in parsed.vevent_list]
    assert sorted(read_back) == sorted((chore.on, SHOWN.get(chore.title, chore.title)) for chore in chores)


def test_recurring_ical_events_sees_every_chore(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """The recurring-ical-events library, if it is installed, shows each chore on its day and on no other."""
    recurring_ical_events = pytest.importorskip("recurring_ical_events")
    content, _ = calendar_bytes(garden, plan, chores, CalendarState(), NOW)
    query = recurring_ical_events.of(Calendar.from_ical(content))
    days = [plan.from_on + timedelta(days=number) for number in range(70)]
    seen = [(day, str(event["summary"])) for day in days for event in query.at(day)]
    assert sorted(seen) == sorted((chore.on, SHOWN.get(chore.title, chore.title)) for chore in chores)


def test_uid_comes_from_plan_and_key_alone(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """A UID is the version 5 UUID (RFC 4122, 4.3) of the chore's key in the namespace of the plan."""
    content, _ = calendar_bytes(garden, plan, chores[:1], CalendarState(), NOW)
    (event,) = lint(content)
    assert event.value("UID") == str(uuid.uuid5(uuid.UUID(plan.uuid), chores[0].key))
    assert read(content).value("UID") == plan.uuid


def test_empty_plan_still_has_an_event(garden: Garden, plan: Plan) -> None:
    """Without chores the calendar has one event, since subscribers delete or refuse an empty calendar."""
    (event,) = lint(calendar_bytes(garden, plan, (), CalendarState(), NOW)[0])
    assert event.value("SUMMARY") == "Nothing planned"


def test_stamps_are_in_universal_time(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """The same moment in another time zone gives the same bytes."""
    there = NOW.astimezone(timezone(timedelta(hours=5, minutes=45)))
    first, _ = calendar_bytes(garden, plan, chores, CalendarState(), NOW)
    assert calendar_bytes(garden, plan, chores, CalendarState(), there)[0] == first


def test_alarm_rings_at_the_time_of_the_garden(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """An alarm at eight is eight hours after midnight of an all-day event (RFC 5545, 3.8.6.3)."""
    garden = replace(garden, calendar=CalendarStyle(alarm=time(8, 0)))
    for event in lint(calendar_bytes(garden, plan, chores, CalendarState(), NOW)[0]):
        (alarm,) = event.inner
        assert (alarm.value("ACTION"), alarm.value("TRIGGER")) == ("DISPLAY", "PT8H")


def test_no_alarm_unless_asked(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """If the garden asks for no alarm, the calendar has none."""
    assert b"VALARM" not in calendar_bytes(garden, plan, chores, CalendarState(), NOW)[0]


def test_harvest_is_one_day_and_names_its_last_day(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """A harvest that can wait is still an event of one day; its text says how long it can wait."""
    (chore,) = [chore for chore in chores if chore.key == "1/harvest/1"]
    (event,) = lint(calendar_bytes(garden, plan, (chore,), CalendarState(), NOW)[0])
    assert event.value("DTSTART") == "20261114"
    assert "Can wait until Wed 18 Nov." in event.value("DESCRIPTION")
    assert (event.value("CATEGORIES"), event.value("LOCATION")) == ("Harvest", "Tote A, shelf")


def test_daily_events_go_by_their_day(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """With one event a day, each day with work has an event that names every chore of the day."""
    garden = replace(garden, calendar=CalendarStyle(detail="daily"))
    events = lint(calendar_bytes(garden, plan, chores, CalendarState(), NOW)[0])
    days = [date.fromisoformat(event.value("DTSTART")) for event in events]
    assert days == sorted({chore.on for chore in chores})
    busy = events[days.index(date(2026, 11, 28))]
    assert busy.value("SUMMARY") == "4 chores: harvest, clean, check"
    assert "Harvest 2 whole butterhead lettuce by Fri in B 1-2" in busy.value("DESCRIPTION")
    assert busy.value("UID") == str(uuid.uuid5(uuid.UUID(plan.uuid), "day/2026-11-28"))


def texts(longest: int) -> st.SearchStrategy[str]:
    r"""Draw any text but ``\N``, which the library takes for the end of a line."""
    return st.text(max_size=longest).filter(
        lambda text: "\\N" not in re.sub(r"[\x00-\x1f\x7f-\x9f\ud800-\udfff]", "", text)
    )


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(title=texts(35), line=texts(300))
def test_any_text_survives(garden: Garden, plan: Plan, chores: tuple[Chore, ...], title: str, line: str) -> None:
    """Any text reads back as it was written, without control characters and halves of characters."""
    chore = replace(chores[0], title=title, detail=(line,))
    content, _ = calendar_bytes(garden, plan, (chore,), CalendarState(), NOW)
    (event,) = lint(content)
    kept = [re.sub(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff]", "", text) for text in (title, line)]
    assert event.value("SUMMARY") == kept[0]
    assert event.value("DESCRIPTION") == f"{kept[1]}\nBatch 2: butterhead lettuce for heads."


def test_color_is_written_if_it_is_chosen(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """A chosen colour is the COLOR of the calendar (RFC 7986, 5.9); a new colour is a change of the calendar."""
    first, state = calendar_bytes(garden, plan, chores, CalendarState(), NOW)
    assert "COLOR" not in {name for name, _, _ in read(first).lines}
    green = replace(garden, calendar=CalendarStyle(color="seagreen"))
    second, _ = calendar_bytes(green, plan, chores, state, LATER, first)
    assert read(second).value("COLOR") == "seagreen"
    assert read(second).value("LAST-MODIFIED") == "20261005T073015Z"
    assert lint(second) == lint(first)


def with_tasks(garden: Garden) -> Garden:
    """Give the garden with tasks, daily events and an alarm."""
    return replace(garden, calendar=CalendarStyle(tasks=True, detail="daily", alarm=time(8)))


def test_each_chore_is_a_task(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """Each chore is a task, even if events are daily; past chores are ticked, at noon of their day."""
    made = replace(plan, made_on=date(2026, 11, 14))
    tasks = lint_tasks(task_bytes(with_tasks(garden), made, chores, CalendarState(), NOW)[0])
    found = sorted((date.fromisoformat(task.value("DUE")), task.value("SUMMARY")) for task in tasks)
    assert found == sorted((chore.on, SHOWN.get(chore.title, chore.title)) for chore in chores)
    for task in tasks:
        is_done = date.fromisoformat(task.value("DUE")) < date(2026, 11, 14)
        assert task.value("STATUS") == ("COMPLETED" if is_done else "NEEDS-ACTION")
        if is_done:
            assert task.value("COMPLETED") == f"{task.value('DUE')}T120000Z"


def test_tasks_share_no_uid_with_events(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """Tasks and events have different UIDs, and so have their calendars, since both may be in one collection."""
    events, _ = calendar_bytes(garden, plan, chores, CalendarState(), NOW)
    tasks, _ = task_bytes(garden, plan, chores, CalendarState(), NOW)
    assert not {event.value("UID") for event in lint(events)} & {task.value("UID") for task in lint_tasks(tasks)}
    assert read(events).value("UID") != read(tasks).value("UID")
    assert read(tasks).value("NAME") == "Cellar, shelf: tasks"


def test_vobject_reads_the_tasks(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """The vobject library, if it is installed, finds the tasks valid and reads the same days."""
    vobject = pytest.importorskip("vobject")
    made = replace(plan, made_on=date(2026, 11, 14))
    parsed = vobject.readOne(task_bytes(garden, made, chores, CalendarState(), NOW)[0].decode())
    assert parsed.validate(raiseException=True)
    assert sorted(task.due.value for task in parsed.vtodo_list) == sorted(chore.on for chore in chores)


def test_empty_plan_has_nothing_to_tick(garden: Garden, plan: Plan) -> None:
    """Without chores the file of tasks has one task, which is ticked already."""
    (task,) = lint_tasks(task_bytes(garden, plan, (), CalendarState(), NOW)[0])
    assert (task.value("SUMMARY"), task.value("STATUS")) == ("Nothing planned", "COMPLETED")
