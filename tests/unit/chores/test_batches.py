"""The chores of a batch that is made by hand; the expected days, keys and titles follow from its dates."""

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from cellar import CROPS, PLANTED_ON, SOWN_ON, a_batch, a_crop, a_garden, a_plan, chores_of, heads, taking
from steadysow.chores.listing import list_chores
from steadysow.inputs.crops import Care
from steadysow.inputs.garden import Away, Garden, Outdoors, Place
from steadysow.plan.batch import Batch, Harvest


def test_batch_of_cuts_has_each_of_its_chores_once() -> None:
    """A batch that is cut twice is sown, thinned, planted, cut twice and cleared; its tote is filled and cleaned.

    Chores that depend on the level of the water are left out here.
    """
    by_water = ("top-up", "feed", "change", "check")
    chores = chores_of(a_batch()).values()
    assert {chore.key: (chore.on, chore.title) for chore in chores if chore.kind not in by_water} == {
        "12/sow/1": (SOWN_ON, "Sow 6 cells of mizuna"),
        "12/thin/1": (date(2026, 10, 14), "Thin 6 cells of mizuna"),
        "A/12/fill/1": (PLANTED_ON, "Fill tote A"),
        "12/transplant/1": (PLANTED_ON, "Plant 6 mizuna into A 1-6"),
        "12/harvest/1": (date(2026, 11, 14), "Harvest 6 mizuna (1st cut) in A 1-6"),
        "12/harvest/2": (date(2026, 11, 28), "Harvest 6 mizuna (2nd cut) in A 1-6"),
        "12/clear/1": (date(2026, 11, 28), "Clear 6 mizuna in A 1-6"),
        "A/12/clean/1": (date(2026, 11, 28), "Drain and scrub tote A"),
    }


def test_titles_fit_a_phone() -> None:
    """A title of a crop with a short name stays within 35 characters."""
    assert all(len(chore.title) <= 35 for chore in chores_of(a_batch()).values())


def test_sowing_names_cells_seeds_and_holes() -> None:
    """A sowing is in the nursery, and says how many seeds to sow, and into which holes the plants go on which day."""
    chore = chores_of(a_batch())["12/sow/1"]
    assert (chore.cells, chore.seeds, chore.tote, chore.holes) == (6, 12, "", ())
    assert "2 seeds in each cell, for salad." in chore.detail
    assert "6 cells for 6 plants, to go into tote A, holes 1-6, on Sat 24 Oct." in chore.detail


def test_crop_sown_in_its_pot_is_not_transplanted() -> None:
    """A batch that is sown in its pot has no transplant, and its sowing names the holes."""
    chores = chores_of(a_batch(transplanted_on=SOWN_ON))
    assert "12/transplant/1" not in chores
    assert chores["12/sow/1"].title == "Sow 6 pots of mizuna in A 1-6"


def test_heads_leave_with_their_roots() -> None:
    """Heads need no clearing; each harvest day has its own number, its holes, and its last day if it can wait."""
    chores = chores_of(heads())
    assert not any(chore.kind == "clear" for chore in chores.values())
    assert chores["7/harvest/1"].title == "Harvest 3 whole butterhead lettuce by Fri in F 1-3"
    assert chores["7/harvest/1"].latest_on == date(2026, 12, 4)
    assert chores["7/harvest/2"].title == "Harvest 2 whole butterhead lettuce in F 5-6"


@pytest.mark.parametrize(
    "harvests", [(), (taking("head", 1, date(2026, 11, 28), (1, 2, 3)),)], ids=["none", "three of five"]
)
def test_heads_left_standing_are_cleared(harvests: tuple[Harvest, ...]) -> None:
    """Heads that no harvest takes are cleared."""
    assert chores_of(replace(heads(), harvests=harvests))["7/clear/1"].on == date(2026, 12, 5)


def test_fruit_is_picked() -> None:
    """Fruit is picked, and its plants are cleared when the picking ends."""
    picks = tuple(taking("pick", number, date(2026, 12, 5 + 7 * number), (1, 2)) for number in (1, 2))
    chores = chores_of(a_batch(3, (1, 2), crop="dwarf tomato", harvests=picks, cleared_on=picks[-1].on))
    assert chores["3/harvest/2"].title == "Pick dwarf tomato in A 1-2"
    assert chores["3/clear/1"].on == picks[-1].on


def test_lost_batch_has_no_more_chores() -> None:
    """A batch that was lost in the nursery keeps its sowing and has no other chore."""
    lost = a_batch(state="lost", holes=(), transplanted_on=None, cleared_on=None, harvests=())
    assert list(chores_of(lost)) == ["12/sow/1"]


def test_batch_lost_in_its_tote_keeps_what_it_gave() -> None:
    """A batch that was lost after its first cut keeps its sowing and that cut, and has no later chore."""
    lost = a_batch(state="lost", holes=(), cells=6, cleared_on=None, harvests=a_batch().harvests[:1])
    assert [key for key in chores_of(lost) if key.startswith("12/")] == ["12/sow/1", "12/harvest/1"]
    in_pot = replace(lost, transplanted_on=SOWN_ON)
    assert chores_of(in_pot)["12/sow/1"].title == "Sow 6 pots of mizuna in A"


def test_keys_hold_when_dates_and_neighbours_change() -> None:
    """A later sowing, other holes or another batch in the plan change no key of a batch."""
    before = set(chores_of(a_batch()))
    moved = replace(
        a_batch(holes=(7, 8, 9, 10, 11, 12)),
        sown_on=SOWN_ON + timedelta(days=7),
        emerges_on=SOWN_ON + timedelta(days=10),
    )
    assert before <= set(chores_of(heads(), moved))


def test_shown_weights_follow_the_units() -> None:
    """With US units no text shows grams or litres."""
    detail = " ".join(
        line for chore in chores_of(a_batch(), garden=a_garden(units="us")).values() for line in chore.detail
    )
    assert "About 6.3 oz" in detail
    assert "2.9 gallon tote holds 24 pounds of water" in detail
    assert " g " not in detail
    assert "litre" not in detail


def test_keeping_follows_the_want() -> None:
    """If a want says how long its harvest keeps, the crop's own figure does not count."""
    assert "Keeps about 9 days in the fridge." in chores_of(a_batch())["12/harvest/1"].detail
    for_a_week = chores_of(a_batch(), garden=a_garden(keeps_days=7))
    assert "Keeps about 7 days in the fridge." in for_a_week["12/harvest/1"].detail


# Thinning.


def thinned(batch: Batch, **changes: Any) -> dict[str, tuple[date, str, tuple[str, ...]]]:
    """Give day, title and lines of the thinning of mizuna, with some figures of the crop changed."""
    crops = {"mizuna": replace(CROPS["mizuna"], **changes)}
    listed = list_chores(replace(a_garden(), crops=crops), a_plan(batch))
    return {chore.key: (chore.on, chore.title, chore.detail) for chore in listed if chore.kind == "thin"}


@pytest.mark.parametrize(
    ("cells", "kept"),
    [
        (7, "Keep any spare seedling for a week in case a plant dies, then give it away."),
        (9, "Keep any spare seedlings (up to 3) for a week in case a plant dies, then give them away."),
    ],
)
def test_spare_seedlings_are_kept_for_a_week(cells: int, kept: str) -> None:
    """Cells beyond the 6 plants are spare seedlings: one is spoken of as one, more with their number."""
    assert kept in chores_of(a_batch(cells=cells))["12/transplant/1"].detail


def test_surplus_seedlings_are_thinned() -> None:
    """Two seeds a cell for one plant, up on Wed 7 October: 4 days later is a Sunday, and the next work on Wednesday."""
    keep = "Keep the strongest seedling in each cell. Cut the others at the base."
    assert thinned(a_batch()) == {"12/thin/1": (date(2026, 10, 14), "Thin 6 cells of mizuna", (keep,))}


def test_as_many_seedlings_as_plants_are_not_thinned() -> None:
    """Two seeds for a clump of two, or of three, leave no seedling to cut."""
    assert thinned(a_batch(), plants_a_hole=2) == thinned(a_batch(), plants_a_hole=3) == {}


@pytest.mark.parametrize(
    ("emerges_on", "is_thinned"), [(date(2026, 10, 17), True), (date(2026, 10, 18), False), (None, False)]
)
def test_seedlings_are_thinned_before_they_are_planted(emerges_on: date | None, is_thinned: bool) -> None:
    """Up on 17 October, they are thinned on Wed 21; up a day later, on the day of planting, as a part of it."""
    batch = a_batch(emerges_on=emerges_on)
    assert [on for on, _, _ in thinned(batch).values()] == ([date(2026, 10, 21)] if is_thinned else [])
    planting = chores_of(batch)["12/transplant/1"].detail
    assert any("Keep the strongest seedling in each cell" in line for line in planting) != is_thinned


def test_seedlings_in_pots_are_thinned_in_the_tote() -> None:
    """Pots stand in the tote from the first day, so their thinning need not be before a planting."""
    ((on, title, lines),) = thinned(a_batch(transplanted_on=SOWN_ON)).values()
    assert (on, title) == (date(2026, 10, 14), "Thin 6 pots of mizuna in A 1-6")
    assert "each pot" in lines[0]


def test_a_clump_keeps_its_seedlings() -> None:
    """Three seeds for a clump of two: the two strongest stay."""
    batch = a_batch(seeds=18)
    ((_, _, lines),) = thinned(batch, plants_a_hole=2).values()
    assert lines == ("Keep the strongest 2 seedlings in each cell. Cut the others at the base.",)


# Care.


def cared(batch: Batch, garden: Garden | None = None) -> dict[str, date]:
    """Give the days of the chores of care by key."""
    chores = chores_of(batch, garden=garden).values()
    return {chore.key: chore.on for chore in chores if chore.kind == "care"}


def test_care_falls_on_the_days_of_the_profile() -> None:
    """Basil is pinched once, 21 days after planting, or on the next day of work after that."""
    basil = a_batch(crop="basil")
    chore = chores_of(basil)["12/care/1"]
    assert (chore.on, chore.title) == (date(2026, 11, 14), "Basil: pinch the tips (A 1-6)")
    assert chore.detail == ("Pinch the tips.",)
    assert cared(replace(basil, transplanted_on=date(2026, 10, 22))) == {"12/care/1": date(2026, 11, 14)}
    in_pot = replace(basil, sown_on=PLANTED_ON, emerges_on=None)
    assert cared(in_pot) == {"12/care/1": date(2026, 11, 14)}


def test_plants_that_are_gone_need_no_care() -> None:
    """Plants that are cleared by the day on which they would be pinched have no chore of care."""
    for gone_on in (date(2026, 11, 12), date(2026, 11, 14)):
        gone = a_batch(crop="basil", transplanted_on=date(2026, 10, 22), cleared_on=gone_on, harvests=())
        assert cared(gone) == {}


TOMATO = a_batch(3, (1, 2), crop="dwarf tomato", cleared_on=date(2026, 12, 19), harvests=())


def test_care_every_other_day_is_one_chore_a_week() -> None:
    """Flowers are tapped every 2 days from day 30 on, Mon 23 November, until the plants are cleared."""
    assert cared(TOMATO) == {
        "3/care/1": date(2026, 11, 23),
        "3/care/2": date(2026, 11, 30),
        "3/care/3": date(2026, 12, 7),
        "3/care/4": date(2026, 12, 14),
    }
    assert chores_of(TOMATO)["3/care/2"].detail == ("Tap the flowers, every 2 days this week.",)


def test_care_every_day_says_so() -> None:
    """A job that is due each day says "every day"."""
    care = (Care(what="tap the flowers", after_days=30, every_days=1),)
    listed = list_chores(replace(a_garden(), crops={"dwarf tomato": a_crop("dwarf tomato", care)}), a_plan(TOMATO))
    details = {chore.detail for chore in listed if chore.kind == "care"}
    assert details == {("Tap the flowers, every day this week.",)}


def test_care_skips_an_absence() -> None:
    """Away from Sat 28 November to Tue 8 December, one week is left out, and the next begins on the day of return."""
    away = a_garden(away=(Away(from_on=date(2026, 11, 28), back_on=date(2026, 12, 8)),))
    assert cared(TOMATO, away) == {
        "3/care/1": date(2026, 11, 23),
        "3/care/3": date(2026, 12, 8),
        "3/care/4": date(2026, 12, 14),
    }


def test_several_jobs_of_a_crop_have_keys_of_their_own() -> None:
    """The first job has the plain key; a weekly job and one every third week both come each time they are due."""
    care = (Care(what="tie it up", after_days=7, every_days=7), Care(what="feed it", after_days=7, every_days=21))
    batch = a_batch(cleared_on=date(2026, 11, 28), harvests=())
    listed = list_chores(replace(a_garden(), crops={"mizuna": a_crop("mizuna", care)}), a_plan(batch))
    keys = {chore.key: chore.on for chore in listed if chore.kind == "care"}
    weekly = {f"12/care/{number}": PLANTED_ON + timedelta(weeks=number) for number in (1, 2, 3, 4)}
    assert keys == weekly | {"12/care2/1": date(2026, 10, 31), "12/care2/2": date(2026, 11, 21)}


def test_a_weekly_job_that_is_late_comes_once() -> None:
    """Due on 31 October and 7 November, with nobody at home until Sun 8, it comes once, on Wed 11."""
    care = (Care(what="tie it up", after_days=7, every_days=7),)
    away = a_garden(away=(Away(from_on=date(2026, 10, 31), back_on=date(2026, 11, 8)),))
    batch = a_batch(cleared_on=date(2026, 11, 14), harvests=())
    listed = list_chores(replace(away, crops={"mizuna": a_crop("mizuna", care)}), a_plan(batch))
    assert [(chore.key, chore.on) for chore in listed if chore.kind == "care"] == [("12/care/2", date(2026, 11, 11))]


def test_keys_of_care_last_when_the_plan_moves() -> None:
    """Planted and cleared a week later, a batch is cared for under the same keys, a week later."""
    week = timedelta(weeks=1)
    later = replace(TOMATO, transplanted_on=PLANTED_ON + week, cleared_on=date(2026, 12, 19) + week)
    assert cared(later) == {key: on + week for key, on in cared(TOMATO).items()}


# Hardening off.

YARD = Place(name="yard", temperature_c=12.0, outdoors=Outdoors(frost_free=((1, 1), (12, 31)), shade=0.3))


def hardened(batch: Batch, *away: Away) -> list[date]:
    """Give the days on which hardening begins, in a garden with a yard."""
    garden = a_garden(latitude=50.0, away=away)
    garden = replace(garden, places=(*garden.places, YARD))
    return [chore.on for chore in chores_of(batch, garden=garden).values() if chore.kind == "harden"]


def test_seedlings_that_go_outdoors_are_hardened_off() -> None:
    """Seedlings for the yard are hardened from a week before planting on Sat 24 October; those indoors are not."""
    assert hardened(a_batch(place="yard")) == [date(2026, 10, 17)]
    assert hardened(a_batch()) == []


def test_hardening_needs_seedlings_indoors() -> None:
    """A batch sown outdoors is not hardened; one that comes up four days before planting is hardened for four days."""
    assert hardened(a_batch(place="yard", transplanted_on=SOWN_ON)) == []
    assert hardened(a_batch(place="yard", emerges_on=PLANTED_ON - timedelta(4))) == [date(2026, 10, 20)]


def test_hardening_begins_on_a_day_at_home() -> None:
    """After an absence from 15 to 20 October it begins on the day of return; during one until planting, never."""
    batch = a_batch(place="yard")
    assert hardened(batch, Away(from_on=date(2026, 10, 15), back_on=date(2026, 10, 20))) == [date(2026, 10, 20)]
    assert hardened(batch, Away(from_on=date(2026, 10, 15), back_on=date(2026, 10, 24))) == []
