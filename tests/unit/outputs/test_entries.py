"""What a calendar says of each chore: titles that fit a phone, where it is, what it is for, and what has happened."""

import re
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steadysow.chores.chore import Chore
from steadysow.chores.listing import list_chores
from steadysow.inputs.calendar_style import CalendarStyle
from steadysow.inputs.crops import HarvestKind
from steadysow.inputs.garden import Garden
from steadysow.outputs.entries import Entry, _first_words, event_entries, task_entries
from steadysow.plan.plan import Plan

FRIDAY = date(2026, 12, 4)
LONG = "purple-stemmed flowering cabbage"


@pytest.fixture
def chores(garden: Garden, plan: Plan) -> tuple[Chore, ...]:
    """Give the chores of the plan made by hand."""
    return list_chores(garden, plan)


def a_chore(title: str, *, tote: str = "A", holes: tuple[int, ...] = (1, 2, 3), number: int = 0) -> Chore:
    """Give a chore with a title."""
    kind: HarvestKind = "cut" if number else "head"
    return Chore(
        key="9/harvest/1",
        kind="harvest",
        on=date(2026, 11, 28),
        latest_on=FRIDAY,
        title=title,
        tote=tote,
        holes=holes,
        harvest=kind,
        number=number,
    )


WORD = "Pneumonoultramicroscopicsilicovolcanoconiosis"

TITLES = {
    "fits": (a_chore("Cut 7 mizuna, cut 2 (A 1-7)"), "Cut 7 mizuna, cut 2 (A 1-7)"),
    "fits to the letter": (a_chore("Take 12 butterhead lettuces (A 1-3)"), "Take 12 butterhead lettuces (A 1-3)"),
    "place": (a_chore("Take 3 purple butterhead lettuce (A 1-3)"), "Take 3 purple butterhead lettuce"),
    "place of planting": (a_chore("Plant 3 butterhead lettuce into A 1-3"), "Plant 3 butterhead lettuce"),
    "last day": (a_chore("Take 3 butterhead lettuce by Fri 4 Dec (A 1-3)"), "Take 3 butterhead lettuce"),
    "nothing": (a_chore("Take 3 kale by Fri 4 Dec (A 1-3)"), "Take 3 kale by Fri 4 Dec (A 1-3)"),
    "last day kept": (a_chore("Take 3 pak choi by Fri 4 Dec (A 1-3)"), "Take 3 pak choi by Fri 4 Dec"),
    "cut kept": (a_chore("Cut 3 butterhead lettuces, cut 12 (A 1-3)", number=12), "Cut 3 butterhead lettuces, cut 12"),
    "cut": (a_chore("Cut 30 butterhead lettuces, cut 123 (A 1-3)", number=123), "Cut 30 butterhead lettuces, cut 123"),
    "cut too": (a_chore("Cut 3 bronze oakleaf lettuces, cut 12 (A 1-3)", number=12), "Cut 3 bronze oakleaf lettuces"),
    "crop": (a_chore(f"Take 3 {LONG} by Fri 4 Dec (A 1-3)"), "Take 3 purple-stemmed flowering…"),
    "tote": (a_chore("Drain and scrub tote Under the stairs", tote="Under the stairs"), "Drain and scrub"),
    "move": (a_chore("Scrub, move to living room: tote Blue one", tote="Blue one"), "Scrub, move to living room"),
    "move far": (a_chore("Scrub, move to the shelf over the old stove: tote A"), "Scrub, move to the shelf over the…"),
    "comma": (a_chore("Sow 9 cells of butterhead lettuce, 6 cells of kale"), "Sow 9 cells of butterhead lettuce…"),
    "one word": (a_chore(WORD), WORD),
    "first word": (a_chore(f"{WORD} today"), f"{WORD}…"),
}


def shown(garden: Garden, plan: Plan, chore: Chore) -> Entry:
    """Give the event of one chore."""
    (entry,) = event_entries(garden, plan, (chore,))
    return entry


@pytest.mark.parametrize(("chore", "summary"), TITLES.values(), ids=TITLES.keys())
def test_title_loses_its_place_before_its_crop(garden: Garden, plan: Plan, chore: Chore, summary: str) -> None:
    """A title of up to 35 characters stays; a longer one loses place, last day, cut and then words, in that order."""
    assert shown(garden, plan, chore).summary == summary


@given(words=st.lists(st.text("abcé (),:;-", min_size=1, max_size=14), min_size=1, max_size=12))
def test_titles_are_cut_between_words(words: list[str]) -> None:
    """However long, a title is shown within 35 characters, unless its first word is longer; no word is cut."""
    title = " ".join(words)
    cut = _first_words(title, 35)
    assert len(cut) <= 35 or " " not in cut.lstrip(" ").rstrip("…")
    if cut != title:
        kept = cut.removesuffix("…")
        assert title.startswith(kept)
        assert re.match(r"[ ,;:(]", title[len(kept) :])


def test_titles_of_what_is_done_fit_too(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """The mark counts as part of the title."""
    entries = event_entries(garden, replace(plan, made_on=date(2027, 1, 1)), chores)
    assert {entry.summary[:2] for entry in entries} == {"✓ "}
    assert max(len(entry.summary) for entry in entries) <= 35


def test_location_is_the_tote_and_where_it_stands(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """A chore at a tote tells its place; a sowing is at the nursery; a chore of no batch we know tells the tote."""
    by_key = {entry.key: entry.location for entry in event_entries(garden, plan, chores)}
    assert by_key["1/sow/1"] == "Nursery"
    assert by_key["1/transplant/1"] == by_key["1/harvest/1"] == by_key["A/1/clean/1"] == "Tote A, shelf"
    assert by_key["2/harvest/1"] == "Tote B, shelf"
    assert shown(garden, plan, a_chore("Take 3 kale")).location == "Tote A"
    assert shown(garden, plan, a_chore("Tidy up", tote="")).location == ""


def test_description_tells_what_it_is_for(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """The text has every line of the chore, and batch, crop and want; work on a tote has them before the cautions."""
    by_key = {entry.key: entry.description.split("\n") for entry in event_entries(garden, plan, chores)}
    for chore in chores:
        assert [line for line in by_key[chore.key] if line in chore.detail] == list(chore.detail)
        # A weekly round is for all that stands.
        assert len(by_key[chore.key]) == len(chore.detail) + (chore.kind != "check")
    assert by_key["2/harvest/1"][-1] == "Batch 2: butterhead lettuce for heads."
    clear = by_key["1/clear/1"]
    assert clear[1] == "Batch 1: mizuna for salad."
    assert clear[2].startswith("Unplug")
    clean = by_key["A/1/clean/1"]
    assert clean[1] == "It held batches 1, 3: mizuna for salad."
    assert clean[2].startswith("Unplug")


def test_day_tells_its_chores(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """A day of several chores counts them and names the kinds; its text has each whole title, and what it is for."""
    daily = replace(garden, calendar=CalendarStyle(detail="daily"))
    by_day = {entry.on: entry for entry in event_entries(daily, replace(plan, made_on=date(2026, 11, 14)), chores)}
    assert by_day[date(2026, 11, 28)].summary == "4 chores: harvest, clean, check"
    assert "Take 2 butterhead lettuce by Fri 4 Dec (B 1-2)\n  " in by_day[date(2026, 11, 28)].description
    assert "Cut 8 mizuna, cut 1 (A 1-8)\n" in by_day[date(2026, 11, 14)].description
    assert "\n  Batches 1, 3: mizuna for salad." in by_day[date(2026, 11, 14)].description
    assert by_day[date(2026, 10, 3)].summary == "✓ Sow 5 cells of butterhead…"
    assert by_day[date(2026, 10, 3)].on == date(2026, 10, 3)
    assert by_day[date(2026, 10, 24)].summary.startswith("✓ 3 chores: fill, transplant, check")


def test_day_of_every_kind_of_work_fits(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """A day with all kinds of work is shown within 35 characters, and each of its categories is told once."""
    daily = replace(garden, calendar=CalendarStyle(detail="daily"))
    one_day = [replace(chore, on=date(2026, 11, 28), latest_on=date(2026, 11, 28)) for chore in chores]
    apart = [replace(chore, batches=(number + 10,)) for number, chore in enumerate(one_day)]
    (entry,) = event_entries(daily, plan, apart)
    assert re.fullmatch(r"\d+ chores: harvest, clear, clean…", entry.summary)
    assert len(entry.summary) <= 35
    assert entry.categories == ("Harvest", "Clear", "Clean", "Water", "Transplant", "Sow", "Care")


def test_task_has_no_mark_and_no_alarm(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """What is done is ticked, and so needs no mark; tasks of the day of planning are still to do."""
    loud = replace(garden, calendar=CalendarStyle(detail="daily", tasks=True))
    tasks = task_entries(loud, replace(plan, made_on=date(2026, 11, 14)), chores)
    assert [task.key for task in tasks] == [chore.key for chore in chores]
    assert [task.is_done for task in tasks] == [chore.on < date(2026, 11, 14) for chore in chores]
    assert not any(task.summary.startswith("✓") or task.alarm for task in tasks)


def test_a_chore_in_several_totes_tells_them_all(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """The weekly round goes to both totes; seedlings are thinned in the nursery, and an order has no place."""
    rounds = [chore for chore in chores if chore.kind == "check" and chore.on == date(2026, 11, 7)]
    assert [entry.location for entry in event_entries(garden, plan, rounds)] == ["Totes A, B"]
    thinned = next(chore for chore in chores if chore.kind == "thin")
    assert shown(garden, plan, thinned).location == "Nursery"
    assert shown(garden, plan, replace(a_chore("Order powder", tote=""), kind="order")).location == ""


def test_a_title_without_its_tote_is_still_a_sentence(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """What is done to a whole tote can lose a long name."""
    (filled, *_) = (chore for chore in chores if chore.kind == "fill")
    name = "Under the stairs, left"
    long = replace(filled, kind="change", title=f"Change the solution: tote {name}", tote=name)
    assert shown(garden, plan, long).summary == "Change the solution"
