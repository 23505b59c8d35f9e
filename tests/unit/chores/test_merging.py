"""Chores that are done in one go are shown as one; batches are made by hand."""

from dataclasses import replace
from datetime import date

import pytest

from cellar import SOWN_ON, a_batch, a_garden, a_plan, chores_of, heads
from steadysow.chores.chore import Chore, ChoreKind
from steadysow.chores.listing import list_chores
from steadysow.chores.merging import merge


def test_a_line_about_one_tote_names_it() -> None:
    """Two totes are filled in one go, and only one of them is carried to the yard before."""
    batches = []
    for number, (tote, place) in enumerate([("A", "yard"), ("B", "shelf")]):
        first = replace(a_batch(20 + number), tote=tote, cleared_on=date(2026, 12, 5))
        following = replace(
            first, id=30 + number, place=place, transplanted_on=date(2026, 12, 12), cleared_on=date(2027, 1, 9),
            harvests=(), emerges_on=None,
        )  # fmt: skip
        batches += [first, following]
    garden = a_garden()
    garden = replace(garden, totes=tuple(replace(garden.totes[0], name=name) for name in "AB"))
    merged = merge(list_chores(garden, a_plan(*batches)))
    (fill,) = (chore for chore in merged if chore.kind == "fill" and chore.on == date(2026, 12, 12))
    assert fill.title == "Fill totes A, B"
    assert [line.split(":")[0] for line in fill.detail if "carry it empty to the yard" in line] == ["Tote A"]


def test_merge_joins_batches_of_a_crop() -> None:
    """Two batches of a crop in one tote are sown, thinned, planted, cut and cleared together, and nothing is lost.

    Chores that depend on the level of the water are left out here.
    """
    listed = list_chores(a_garden(), a_plan(a_batch(), a_batch(13, (8, 9))))
    by_water = ("top-up", "feed", "change", "check")
    merged = {chore.title: chore for chore in merge(listed) if chore.kind not in by_water}
    assert list(merged) == [
        "Sow 8 cells of mizuna",
        "Thin 8 cells of mizuna",
        "Fill tote A",
        "Plant 8 mizuna into A 1-6, 8-9",
        "Harvest 8 mizuna (1st cut) in A 1-6, 8-9",
        "Harvest 8 mizuna (2nd cut) in A 1-6, 8-9; clear all",
        "Drain and scrub tote A",
    ]
    cut = merged["Harvest 8 mizuna (1st cut) in A 1-6, 8-9"]
    assert (cut.batches, cut.plants, cut.grams, cut.key) == ((12, 13), 8, 240.0, "12/harvest/1+13/harvest/1")
    assert sum(chore.grams for chore in merge(listed)) == sum(chore.grams for chore in listed)


def test_merge_joins_totes_and_cuts_of_a_crop() -> None:
    """A crop that is cut on one day in several totes is one chore, without a number if the cuts differ in theirs."""
    other = replace(a_batch(13), tote="F")
    later = replace(a_batch(14, (8,)), harvests=(replace(a_batch(14, (8,)).harvests[0], number=2),))
    listed = list_chores(a_garden(), a_plan(a_batch(), other, later))
    (cut,) = [chore for chore in merge(listed) if chore.on == date(2026, 11, 14) and chore.kind == "harvest"]
    assert (cut.title, cut.batches) == ("Harvest 13 mizuna in A 1-6, 8; F 1-6", (12, 13, 14))
    assert cut.places == (("A", (1, 2, 3, 4, 5, 6, 8)), ("F", (1, 2, 3, 4, 5, 6)))


def test_merge_joins_crops_of_one_sowing_day() -> None:
    """All sowing of a day is one chore; harvests of two crops are two."""
    listed = list_chores(a_garden(), a_plan(a_batch(), replace(heads(), sown_on=a_batch().sown_on)))
    sown = [chore for chore in merge(listed) if chore.kind == "sow"]
    assert [set(chore.batches) for chore in sown] == [{a_batch().id, heads().id}]
    named = [line.split(":")[0].lower() for line in sown[0].detail if ":" in line and "seed" in line]
    assert named == sown[0].crop.split(", ")
    harvested = [chore.crop for chore in merge(listed) if chore.kind == "harvest"]
    assert {"mizuna", heads().crop} <= set(harvested)


def test_merge_keeps_other_titles() -> None:
    """Merged chores keep a title that does not name a tote."""
    listed = [
        Chore(key=f"{id}/clean/1", kind="clean", on=SOWN_ON, latest_on=SOWN_ON, title="Wipe the pots", crop="mizuna")
        for id in (1, 2)
    ]
    assert [chore.title for chore in merge(listed)] == ["Wipe the pots"]


def test_merge_of_merged_changes_nothing() -> None:
    """Merging again gives the same chores."""
    merged = merge(list_chores(a_garden(), a_plan(a_batch(), a_batch(13, (8, 9)), heads())))
    assert merge(merged) == merged


def test_a_merged_chore_is_recorded_if_all_its_parts_are() -> None:
    """The journal has one of two sowings of a day, and then both."""
    half = list_chores(a_garden(), a_plan(a_batch(recorded=("sown",)), a_batch(13, (8, 9))))
    whole = list_chores(a_garden(), a_plan(a_batch(recorded=("sown",)), a_batch(13, (8, 9), recorded=("sown",))))
    assert [chore.is_recorded for chore in merge(half) if chore.kind == "sow"] == [False]
    assert [chore.is_recorded for chore in merge(whole) if chore.kind == "sow"] == [True]


def test_a_sowing_of_two_crops_is_recorded_if_both_are() -> None:
    """The journal has the first of two crops that are sown on one day, then the second, then both."""
    for mizuna, lettuce in ((True, False), (False, True), (True, True)):
        batches = (
            replace(heads(), recorded=("sown",) if lettuce else ()),
            a_batch(recorded=("sown",) if mizuna else ()),
        )
        sown = [chore.is_recorded for chore in merge(list_chores(a_garden(), a_plan(*batches))) if chore.cells == 11]
        assert sown[:1] == [mizuna and lettuce]


def test_a_last_cut_with_its_clearing_is_recorded_if_both_are() -> None:
    """If the journal has the cut and not the clearing, the chore of both is still to do."""
    cuts = tuple(replace(cut, is_recorded=True) for cut in a_batch().harvests)
    for recorded in (("harvested",), ("harvested", "cleared")):
        listed = list_chores(a_garden(), a_plan(a_batch(recorded=recorded, harvests=cuts)))
        (last,) = [chore for chore in merge(listed) if chore.title.endswith("clear all")]
        assert last.is_recorded == ("cleared" in recorded)


def a_chore(kind: ChoreKind, title: str, **changes: object) -> Chore:
    """Give a chore of the first day."""
    chore = Chore(key=f"{kind}/{title}", kind=kind, on=SOWN_ON, latest_on=SOWN_ON, title=title)
    return replace(chore, **changes)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("kind", "titles"),
    [
        ("timer", ("Lamp at shelf: off", "Nursery lamp: 22:00 to 12:00")),
        ("order", ("Order 1 pack of seeds of kale", "Order powder")),
        ("brew", ("Brew 2 litres of castings brew", "Brew 4 litres of castings brew")),
    ],
)
def test_chores_that_differ_only_by_title_stay_apart(kind: ChoreKind, titles: tuple[str, ...]) -> None:
    """Two timers, two orders or two brews of one day are two chores."""
    merged = merge(a_chore(kind, title, detail=("The same line.",)) for title in titles)
    assert sorted(chore.title for chore in merged) == sorted(titles)


def test_totes_are_topped_up_in_one_line_each_with_its_litres() -> None:
    """Two totes that need water on one day are one chore, with the sum of litres and a line for each tote."""
    merged = merge(
        a_chore("top-up", f"Top up tote {tote}", tote=tote, litres=litres, detail=(f"Tote {tote}: water.", "Check."))
        for tote, litres in (("C", 2.5), ("A", 1.0))
    )
    assert [(chore.title, chore.litres) for chore in merged] == [("Top up totes A, C", 3.5)]
    assert merged[0].detail == ("Tote A: water.", "Tote C: water.", "Check.")


# Minutes: `chore.MINUTES` has two figures for each kind, once and each.


def minutes(*chores: Chore) -> float:
    """Give the minutes of all merged chores."""
    return sum(chore.minutes for chore in merge(chores))


def test_what_is_done_once_counts_once() -> None:
    """Sowing takes 5 minutes and half a minute a cell: 8 for 6 cells, 6 for 2 cells, and 9 for all 8 in one go."""
    listed = chores_of(a_batch(), a_batch(13, (8, 9)))
    first, second = listed["12/sow/1"], listed["13/sow/1"]
    assert (first.minutes, second.minutes) == (8.0, 6.0)
    assert minutes(first, second) == 9.0


def test_a_sowing_is_one_crop_on_one_day() -> None:
    """Two crops with 11 cells take twice 5 minutes and 11 halves to sow, and 11 times a minute and a half to plant."""
    chores = chores_of(a_batch(), heads()).values()
    assert minutes(*(chore for chore in chores if chore.kind == "sow")) == 15.5
    assert minutes(*(chore for chore in chores if chore.kind == "transplant")) == 16.5


def test_every_tote_takes_its_own_scrubbing() -> None:
    """Three totes take 12 minutes each to scrub; two take 3 minutes each to fill, and 0.3 a litre."""
    scrubs = [a_chore("clean", f"Drain and scrub tote {tote}", tote=tote, minutes=12.0) for tote in "ABC"]
    assert minutes(*scrubs) == 36.0
    fills = [a_chore("fill", f"Fill tote {tote}", tote=tote, litres=10.0, minutes=6.0) for tote in "AB"]
    assert minutes(*fills) == 12.0


def test_a_cut_and_its_clearing_take_both_their_times() -> None:
    """Six plants take three quarters of a minute each to cut and one to clear: 10.5 minutes."""
    chores = chores_of(a_batch())
    assert minutes(chores["12/harvest/2"], chores["12/clear/1"]) == 10.5
