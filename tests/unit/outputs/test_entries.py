"""The texts of a calendar: titles that fit a phone, places, purposes, and marks of past chores."""

import re
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steadysow.chores.chore import Chore
from steadysow.inputs.calendar_style import CalendarStyle
from steadysow.inputs.crops import HarvestKind
from steadysow.inputs.garden import Garden
from steadysow.outputs.entries import Entry, _first_words, event_entries, task_entries
from steadysow.plan.plan import Plan

FRIDAY = date(2026, 12, 4)
LONG = "purple-stemmed flowering cabbage"


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
    "fits": (a_chore("Clear 7 mizuna in A 1-7"), "Clear 7 mizuna in A 1-7"),
    "fits to the letter": (a_chore("Harvest 7 mizuna (2nd cut) in A 1-7"), "Harvest 7 mizuna (2nd cut) in A 1-7"),
    "place": (a_chore("Harvest 12 whole butterhead lettuce in A 1-3"), "Harvest 12 whole butterhead lettuce"),
    "place of care": (a_chore("Basil: pinch the tips above a leaf (A 1-3)"), "Basil: pinch the tips above a leaf"),
    "place of planting": (a_chore("Plant 3 butterhead lettuce into A 1-3"), "Plant 3 butterhead lettuce"),
    "last day": (a_chore("Harvest 3 whole butterhead lettuce by Fri in A 1-3"), "Harvest 3 whole butterhead lettuce"),
    "nothing": (a_chore("Harvest 3 whole kale by Fri in A 1", holes=(1,)), "Harvest 3 whole kale by Fri in A 1"),
    "last day kept": (a_chore("Harvest 3 whole pak choi by Fri in A 1-3"), "Harvest 3 whole pak choi by Fri"),
    "cut kept": (
        a_chore("Harvest 3 loose lettuces (12th cut) in A 1-3", number=12),
        "Harvest 3 loose lettuces (12th cut)",
    ),
    "cut": (a_chore("Harvest 3 swiss chard (123rd cut) in A 1-3", number=123), "Harvest 3 swiss chard (123rd cut)"),
    "cut too": (
        a_chore("Harvest 3 bronze oakleaf lettuces (12th cut) in A 1-3", number=12),
        "Harvest 3 bronze oakleaf lettuces",
    ),
    "crop": (a_chore(f"Harvest 3 whole {LONG} by Fri in A 1-3"), "Harvest 3 whole purple-stemmed…"),
    "tote": (a_chore("Drain and scrub tote Under the stairs", tote="Under the stairs"), "Drain and scrub"),
    "change": (a_chore("Change the solution in tote Blue ones", tote="Blue ones"), "Change the solution"),
    "changes": (a_chore("Change the solution in totes A, B, C", tote="A, B, C", holes=()), "Change the solution"),
    "title of its own": (
        a_chore("Look at all that stands on the old shelf: tote A"),
        "Look at all that stands on the old…",
    ),
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
    """A title is cut to 35 characters, or to its first word if that is longer, and no word is cut."""
    title = " ".join(words)
    cut = _first_words(title, 35)
    assert len(cut) <= 35 or " " not in cut.lstrip(" ").rstrip("…")
    if cut != title:
        kept = cut.removesuffix("…")
        assert title.startswith(kept)
        assert re.match(r"[ ,;:(]", title[len(kept) :])


def test_titles_of_what_is_done_fit_too(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """A title with its mark has at most 35 characters."""
    entries = event_entries(garden, replace(plan, made_on=date(2027, 1, 1)), chores)
    assert {entry.summary[:2] for entry in entries} == {"✓ "}
    assert max(len(entry.summary) for entry in entries) <= 35


def test_location_is_the_tote_and_where_it_stands(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """A chore at a tote shows the place; a sowing is in the nursery; a chore without a known batch shows the tote."""
    by_key = {entry.key: entry.location for entry in event_entries(garden, plan, chores)}
    assert by_key["1/sow/1"] == "Nursery"
    assert by_key["1/transplant/1"] == by_key["1/harvest/1"] == by_key["A/1/clean/1"] == "Tote A, shelf"
    assert by_key["2/harvest/1"] == "Tote B, shelf"
    assert shown(garden, plan, a_chore("Harvest 3 whole kale")).location == "Tote A"
    assert shown(garden, plan, a_chore("Tidy up", tote="")).location == ""


def test_description_says_what_a_chore_is_for(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """The text has all lines of the chore with batch, crop and want; work on a tote names these before cautions."""
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


def test_day_names_its_chores(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """A day with several chores counts them and names the kinds; its text has each full title and purpose."""
    daily = replace(garden, calendar=CalendarStyle(detail="daily"))
    by_day = {entry.on: entry for entry in event_entries(daily, replace(plan, made_on=date(2026, 11, 14)), chores)}
    assert by_day[date(2026, 11, 28)].summary == "4 chores: harvest, clean, check"
    assert "Harvest 2 whole butterhead lettuce by Fri in B 1-2\n  " in by_day[date(2026, 11, 28)].description
    assert "Harvest 8 mizuna (1st cut) in A 1-8\n" in by_day[date(2026, 11, 14)].description
    assert "\n  Batches 1, 3: mizuna for salad." in by_day[date(2026, 11, 14)].description
    assert by_day[date(2026, 10, 3)].summary == "✓ Sow 5 cells of butterhead…"
    assert by_day[date(2026, 10, 3)].on == date(2026, 10, 3)
    assert by_day[date(2026, 10, 24)].summary.startswith("✓ 3 chores: fill, transplant, check")


def test_day_of_every_kind_of_work_fits(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """A day with all kinds of work is shown within 35 characters, and each of its categories is named once."""
    daily = replace(garden, calendar=CalendarStyle(detail="daily"))
    one_day = [replace(chore, on=date(2026, 11, 28), latest_on=date(2026, 11, 28)) for chore in chores]
    apart = [replace(chore, batches=(number + 10,)) for number, chore in enumerate(one_day)]
    (entry,) = event_entries(daily, plan, apart)
    assert re.fullmatch(r"\d+ chores: harvest, clear, clean…", entry.summary)
    assert len(entry.summary) <= 35
    assert entry.categories == ("Harvest", "Clear", "Clean", "Water", "Transplant", "Sow", "Care")


def test_task_has_no_mark_and_no_alarm(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """Past tasks are ticked and need no mark; tasks of the day of planning are still to do."""
    loud = replace(garden, calendar=CalendarStyle(detail="daily", tasks=True))
    tasks = task_entries(loud, replace(plan, made_on=date(2026, 11, 14)), chores)
    assert [task.key for task in tasks] == [chore.key for chore in chores]
    assert [task.is_done for task in tasks] == [chore.on < date(2026, 11, 14) for chore in chores]
    assert not any(task.summary.startswith("✓") or task.alarm for task in tasks)


def test_a_chore_in_several_totes_shows_them_all(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """The weekly round shows both totes; seedlings are thinned in the nursery, and an order has no place."""
    rounds = [chore for chore in chores if chore.kind == "check" and chore.on == date(2026, 11, 7)]
    assert [entry.location for entry in event_entries(garden, plan, rounds)] == ["Totes A, B"]
    thinned = next(chore for chore in chores if chore.kind == "thin")
    assert shown(garden, plan, thinned).location == "Nursery"
    assert shown(garden, plan, replace(a_chore("Order powder", tote=""), kind="order")).location == ""


def test_a_title_without_its_tote_is_still_a_sentence(garden: Garden, plan: Plan, chores: tuple[Chore, ...]) -> None:
    """The title of work on a whole tote can lose the tote's long name."""
    (filled, *_) = (chore for chore in chores if chore.kind == "fill")
    name = "Under the stairs, left"
    long = replace(filled, kind="change", title=f"Change the solution in tote {name}", tote=name)
    assert shown(garden, plan, long).summary == "Change the solution"
