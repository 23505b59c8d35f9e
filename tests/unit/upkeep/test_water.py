"""The water of one tote with a pump (A) and one still tote (B), every level worked out by hand.

Both hold 11 litres on 40 x 28 cm, so that a centimetre is 1.12 litres.  Two plants drink 290 mL on their first day and
180 mL more on each of ten: 11 litres in all.  What is left in the evening, of 11 litres: 10710, 10240, 9590, 8760,
7750, 6560, 5190, 3640, 1910, 0.  Somebody works on Saturdays, which are days 0, 7, 14, ...
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from planted import balances, books_of, fact, garden_of, left_ml, level, listed, planted
from steadysow.inputs.garden import Away, level_cm
from steadysow.inputs.journal import Fact
from steadysow.plan.batch import Stay
from steadysow.upkeep.water import WaterBook, levels_on, litres_at, most_rise_litres
from tiny import SATURDAY, WEDNESDAY, day, make_crop, make_tote

INSIDE = (40.0, 28.0)
PUMPED = make_tote("A", 12, inside_cm=INSIDE)
STILL = make_tote("B", 12, "kratky", inside_cm=INSIDE)
NEVER = replace(STILL, top_up="never")
GARDEN = garden_of(PUMPED, STILL)
LEFT = (10710, 10240, 9590, 8760, 7750, 6560, 5190, 3640, 1910, 0)

# Drinks next to nothing, so that only the solution's age counts.
FRUGAL = make_crop("frugal", first_days=60, litres_a_plant=0.5)


def two(*facts: Fact, tote: str = "A", **changes: Any) -> WaterBook:
    """Keep the book of two plants from day 0 to 10."""
    (book,) = books_of(replace(GARDEN, **changes), planted(tote, 0, 10, 2), facts=facts)
    assert balances(book)
    return book


def frugal(*facts: Fact, leaves: int = 70, tote: str = "A", **changes: Any) -> list[tuple[str, int]]:
    """Give what is done, and on which day, for a plant that drinks next to nothing."""
    garden = replace(GARDEN, **changes)
    (book,) = books_of(garden, planted(tote, 0, leaves, crop=FRUGAL), facts=facts, crops=(FRUGAL,))
    assert balances(book)
    return [(refill.kind, (refill.on - day(0)).days) for refill in book.refills]


# As planned.


def test_a_tote_with_a_pump_is_topped_up_to_its_line() -> None:
    """On Saturday 5190 mL are left, which would all be drunk by the day it is emptied: 5810 mL go in."""
    book = two()
    assert listed(book.refills) == [("fill", 1, day(0), 11000), ("top-up", 1, day(7), 5810)]
    assert [each.left_ml for each in book.days] == [*LEFT[:7], 9450, 7720, 5810, 0]
    assert (book.days[-1].on, book.days[-1].drained_ml) == (day(10), 5810)
    assert (book.used_ml, book.needed_ml, book.shortfalls) == (11000, 11000, ())


def test_between_days_of_work_the_level_stays_above_three_quarters() -> None:
    """By the Saturday after a Wednesday with 8760 mL, 3570 would be drunk, so it is topped up on Wednesday already."""
    (book,) = books_of(garden_of(PUMPED, chore_days=(WEDNESDAY, SATURDAY)), planted("A", 0, 10, 2))
    assert listed(book.refills)[1:] == [("top-up", 1, day(4), 2240), ("top-up", 2, day(7), 3570)]


def test_nothing_is_added_where_what_is_there_suffices() -> None:
    """One plant leaves half of the water, more than a quarter, on the day the tote is emptied."""
    (book,) = books_of(GARDEN, planted("A", 0, 10))
    assert listed(book.refills) == [("fill", 1, day(0), 11000)]
    assert book.days[-1].drained_ml == 5500


def test_a_still_tote_rises_by_two_centimetres() -> None:
    """Of the room of 5810 mL on Saturday 2 cm are used: 2240 mL, and as much is left at the end."""
    book = two(tote="B")
    assert listed(book.refills) == [("fill", 1, day(0), 11000), ("top-up", 1, day(7), 2240)]
    assert (left_ml(book, day(9)), book.used_ml, book.shortfalls) == (2240, 11000, ())


def test_a_still_tote_waits_until_a_third_is_left() -> None:
    """On Wednesday 5190 mL would be left by Saturday, more than a third: nothing is done."""
    (book,) = books_of(garden_of(STILL, chore_days=(WEDNESDAY, SATURDAY)), planted("B", 0, 10, 2))
    assert listed(book.refills)[1:] == [("top-up", 1, day(7), 2240)]


def test_never_topped_up() -> None:
    """Two plants drink it dry on day 9, below the 1100 mL that are to stay."""
    (book,) = books_of(garden_of(NEVER), planted("B", 0, 10, 2))
    assert [each.left_ml for each in book.days] == [*LEFT, 0]
    assert [(each.from_on, each.until_on, each.missing_ml) for each in book.shortfalls] == [(day(9), day(10), 1100)]


def test_what_cannot_be_drunk_is_missing() -> None:
    """Three plants need 16.5 litres and 9.9 may be drunk: 6.6 are missing from day 7 on, when 2285 mL are left."""
    (book,) = books_of(garden_of(NEVER), planted("B", 0, 10, 3))
    assert (book.used_ml, book.needed_ml) == (11000, 16500)
    assert [(each.from_on, each.until_on, each.missing_ml) for each in book.shortfalls] == [(day(7), day(10), 6600)]
    assert balances(book)


def test_away_a_tote_is_topped_up_on_the_last_day_at_home() -> None:
    """On Sunday before days 2 to 8 it is filled to its line; on the last day away 2200 mL are left, 550 too few.

    Of 11 litres on Sunday: 10530, 9880, 9050, 8040, 6850, 5480, 3930, 2200.
    """
    book = two(away=(Away(from_on=day(2), back_on=day(9)),))
    assert listed(book.refills)[1:] == [("top-up", 1, day(1), 290), ("top-up", 2, day(9), 8800)]
    assert left_ml(book, day(8)) == 2200
    (short,) = book.shortfalls
    assert (short.from_on, short.until_on, short.missing_ml, short.is_away) == (day(8), day(9), 550, True)


def test_away_at_the_beginning() -> None:
    """Who plants on the day of leaving fills it; nothing is done until somebody is back."""
    book = two(away=(Away(from_on=day(1), back_on=day(8)),))
    # On day 8 the 3640 mL would be drunk by day 10.
    assert listed(book.refills) == [("fill", 1, day(0), 11000), ("top-up", 1, day(8), 7360)]
    assert book.shortfalls == ()


def test_a_batch_lost_on_the_day_it_was_planted() -> None:
    """The tote was filled all the same, and is emptied."""
    (book,) = books_of(GARDEN, planted("A", 0, 0, 2, harvested=()))
    assert [(each.filled_ml, each.drained_ml, each.used_ml) for each in book.days] == [(11000, 11000, 0)]
    assert listed(book.refills) == [("fill", 1, day(0), 11000)]
    assert balances(book)


def test_heads_taken_on_several_days_drink_until_they_are_taken() -> None:
    """Of two heads one is taken on day 10; the other on day 20 has drunk its litres by then: both together 11."""
    first, second = planted("A", 0, 10), planted("A", 0, 20)
    both = replace(planted("A", 0, 20, 2), harvests=(*first.harvests, replace(second.harvests[0], holes=(2,))))
    (book,) = books_of(GARDEN, both)
    (one,), (other,) = books_of(GARDEN, first), books_of(GARDEN, second)
    assert [each.used_ml for each in book.days[:10]] == pytest.approx(
        [a.used_ml + b.used_ml for a, b in zip(one.days[:10], other.days, strict=False)], abs=1
    )
    assert [each.used_ml for each in book.days[10:20]] == [each.used_ml for each in other.days[10:20]]


def test_the_water_of_each_tote_on_a_day() -> None:
    """Full on the day it is filled, else as the evening before left it; and none of a tote that is empty by then."""
    books = books_of(GARDEN, planted("A", 0, 10, 2), planted("B", 5, 15, 2, number=2))
    assert levels_on(books, day(4)) == {"A": 8.76}
    assert levels_on(books, day(6)) == {"A": 6.56, "B": 10.71}
    assert levels_on(books, day(5))["B"] == 11.0
    assert set(levels_on(books, day(10))) == {"B"}


def test_history_that_the_garden_knows_no_more() -> None:
    """A crop whose profile is gone drinks nothing; a place that is gone gives even light; a tote has no book."""
    (gone,) = books_of(GARDEN, planted("A", 0, 10, 2, state="done"), crops=())
    assert (gone.needed_ml, balances(gone)) == (0, True)
    (elsewhere,) = books_of(GARDEN, planted("A", 0, 10, 2, place="attic"))
    assert [each.used_ml for each in elsewhere.days] == [each.used_ml for each in two().days]
    assert books_of(GARDEN, planted("renamed", 0, 10, 2)) == ()


def test_a_garden_without_fillings_has_no_books() -> None:
    """Nothing stands, nothing is kept."""
    assert books_of(GARDEN) == ()


# Changes and feeds.


def test_a_solution_is_changed_on_the_last_day_of_work_in_time() -> None:
    """Every 28 days that are Saturdays, every 30 still on day 28, every 27 a week before; not on a day it is empty."""
    assert frugal() == [("fill", 0), ("change", 28), ("change", 56)]
    assert frugal(change_every_days=30) == [("fill", 0), ("change", 28), ("change", 56)]
    assert frugal(change_every_days=27) == [("fill", 0), ("change", 21), ("change", 42)]
    assert frugal(leaves=28) == [("fill", 0)]
    # Poured away within a quarter of the days after it would be due, it is not renewed any more.
    assert frugal(leaves=35) == [("fill", 0)]
    assert frugal(leaves=36) == [("fill", 0), ("change", 28)]
    assert frugal(leaves=27, change_every_days=27) == [("fill", 0)]


def test_a_solution_is_changed_before_leaving_for_long() -> None:
    """From day 25 to 40 nobody is there: it is changed on day 24; from day 1 to 40, on the first Saturday back."""
    assert frugal(away=(Away(from_on=day(25), back_on=day(40)),))[:2] == [("fill", 0), ("change", 24)]
    assert frugal(away=(Away(from_on=day(1), back_on=day(40)),))[:2] == [("fill", 0), ("change", 42)]


def test_what_is_changed_is_poured_away() -> None:
    """What is left goes down the drain, and the tote is filled anew."""
    (book,) = books_of(GARDEN, planted("A", 0, 60, crop=FRUGAL), crops=(FRUGAL,))
    change = next(refill for refill in book.refills if refill.kind == "change")
    changed = next(each for each in book.days if each.on == change.on)
    assert changed.filled_ml == change.ml == 11000
    assert changed.drained_ml == left_ml(book, day(27)) < 11000
    assert change.is_fed


def test_a_still_tote_is_never_changed() -> None:
    """It is emptied when its plants are."""
    assert frugal(tote="B") == [("fill", 0)]


def test_a_still_tote_is_fed_with_a_top_up_that_falls_due() -> None:
    """One plant that drinks 22 litres in 20 days, 245 mL and 90 more each day; fed every 14 days.

    On day 7 7395 mL are left: 2240 go in. On day 14 1620 are left: 2240 with nutrient. From then on it drinks 1.5
    litres a day and more, so that on every day or so 2240 mL of plain water are due.
    """
    crop = make_crop("big", first_days=20, litres_a_plant=22)
    (book,) = books_of(replace(GARDEN, change_every_days=14), planted("B", 0, 20, crop=crop), crops=(crop,))
    assert (left_ml(book, day(6)), left_ml(book, day(13))) == (7395, 1620)
    assert [refill.on for refill in book.refills if refill.is_fed] == [day(0), day(14)]
    assert book.refills[3].on == day(15)


def test_a_tote_with_a_pump_is_fed_by_its_change() -> None:
    """Back on a Monday, day 16, after a change was due on day 7: plain water until the Saturday of the change."""
    crop = make_crop("big", first_days=30, litres_a_plant=22)
    garden = replace(GARDEN, change_every_days=7, away=(Away(from_on=day(1), back_on=day(16)),))
    (book,) = books_of(garden, planted("A", 0, 30, crop=crop), crops=(crop,))
    done = [(refill.kind, refill.on, refill.is_fed) for refill in book.refills]
    assert ("change", day(21), True) in done
    assert all(is_fed == (kind != "top-up") for kind, _, is_fed in done)


# What the journal tells.


def test_topped_up_without_litres() -> None:
    """Up to the line on day 3, where 9590 mL are left; on day 7 the rest: 4400 mL."""
    book = two(fact("topped-up", 3))
    assert listed(book.refills)[1:] == [("top-up", 1, day(3), 1410), ("top-up", 2, day(7), 4400)]
    assert [refill.is_recorded for refill in book.refills] == [False, True, False]


def test_topped_up_with_litres() -> None:
    """As many as are told."""
    assert left_ml(two(fact("topped-up", 3, litres=1.0)), day(3)) == 9590 + 1000 - 830


def test_more_water_than_there_was_room_for() -> None:
    """Three litres went in where only 1.4 were reckoned to be missing: it was 1590 mL emptier, and is full now."""
    book = two(fact("topped-up", 3, litres=3.0))
    assert (book.days[3].corrected_ml, book.days[3].topped_up_ml) == (-1590, 3000)
    assert left_ml(book, day(3)) == 11000 - 830


def test_no_more_goes_in_than_a_tote_holds() -> None:
    """A slip of the hand fills it, and no more."""
    assert listed(two(fact("topped-up", 3, litres=3000.0)).refills)[1] == ("top-up", 1, day(3), 11000)


def test_a_still_tote_topped_up_without_litres_rises_by_two_centimetres() -> None:
    """What is not told is taken to be as is right."""
    assert listed(two(fact("topped-up", 6, "B"), tote="B").refills)[1] == ("top-up", 1, day(6), 2240)


def test_fed_is_topped_up_with_nutrient() -> None:
    """As a top-up, up to the line; it does not put off the change of a solution that drifts apart."""
    told = two(fact("fed", 3)).refills[1]
    assert (told.kind, told.ml, told.is_fed, told.is_recorded) == ("top-up", 1410, True, True)
    assert frugal(fact("fed", 20)) == [("fill", 0), ("top-up", 20), ("change", 28), ("change", 56)]


def test_scrubbed_is_a_change() -> None:
    """All is poured away and filled anew; the next change is due 28 days later, on day 31."""
    book = two(fact("scrubbed", 3))
    assert (book.days[3].drained_ml, book.days[3].filled_ml, left_ml(book, day(3))) == (9590, 11000, 10170)
    assert [(refill.kind, refill.number, refill.is_recorded) for refill in book.refills[:2]] == [
        ("fill", 1, False), ("change", 1, True)
    ]  # fmt: skip
    assert frugal(fact("scrubbed", 3)) == [("fill", 0), ("change", 3), ("change", 28), ("change", 56)]


def test_scrubbed_a_little_late_is_the_change_that_was_due() -> None:
    """Told for day 31, the change of day 28 is not taken to have been done; the next is due on day 59."""
    assert frugal(fact("scrubbed", 31)) == [("fill", 0), ("change", 31), ("change", 56)]


def test_topped_up_a_little_late() -> None:
    """Told for Sunday, it was not on Saturday: 3640 mL are left by then."""
    assert listed(two(fact("topped-up", 8)).refills)[1:] == [("top-up", 1, day(8), 7360)]


def test_a_measured_level() -> None:
    """Five centimetres are 5.6 litres, 3990 mL less than was reckoned on day 3.

    Then 3760 mL are left on day 5, of which 1190 would be drunk by the next, below a quarter: it is topped up at once.
    """
    book = two(level(3, 5.0))
    assert (book.days[3].corrected_ml, left_ml(book, day(3))) == (-3990, 5600 - 830)
    assert listed(book.refills)[1:2] == [("top-up", 1, day(5), 11000 - 3760)]


@pytest.mark.parametrize("cm", [9.83, 30.0, 1e9])
def test_a_level_above_the_brim_is_a_full_tote(cm: float) -> None:
    """A tote of 11 litres on 40 x 28 cm is 9.82 cm deep."""
    book = two(level(3, cm))
    assert (book.days[3].corrected_ml, left_ml(book, day(3))) == (1410, 11000 - 830)


def test_a_level_below_nothing_is_an_empty_tote() -> None:
    """It is filled on that day, since somebody is there."""
    book = two(level(3, -2.0))
    assert (book.days[3].corrected_ml, book.days[3].topped_up_ml) == (-9590, 11000)


def test_to_measure_is_not_to_top_up() -> None:
    """What is due on the day stays due, by the level that was found: 4 cm are 4.48 litres."""
    assert listed(two(level(7, 4.0)).refills)[1:] == [("top-up", 1, day(7), 11000 - 4480)]
    assert ("change", 28) in frugal(level(28, 5.0))


def test_a_dry_tote_that_is_found_wet_is_not_short() -> None:
    """Three plants were reckoned to have it dry on day 7 with 2635 mL missing by day 8; 5 cm are there on day 9.

    That is 5600 mL, of which 2865 are drunk, and nothing of what was reckoned to be missing is.
    """
    (book,) = books_of(garden_of(NEVER), planted("B", 0, 10, 3), facts=[level(9, 5.0, "B")])
    assert [(each.from_on, each.until_on) for each in book.shortfalls] == [(day(7), day(9))]
    assert left_ml(book, day(9)) == 5600 - 2865


def test_one_day_in_the_order_of_typing() -> None:
    """Measured and then topped up it is full; topped up and then measured it is as measured."""
    measured, topped_up = level(3, 5.0), fact("topped-up", 3)
    full = two(replace(topped_up, number=2), replace(measured, number=1))
    low = two(replace(topped_up, number=1), replace(measured, number=2))
    assert (left_ml(full, day(3)), left_ml(low, day(3))) == (11000 - 830, 5600 - 830)


@pytest.mark.parametrize("kind", ["topped-up", "fed", "scrubbed"])
def test_facts_typed_twice_count_once(kind: Any) -> None:
    """What is told twice of one day without litres was done once."""
    told = fact(kind, 3, number=1)
    assert two(told, replace(told, number=2)) == two(told)


def test_topped_up_and_fed_on_one_day() -> None:
    """To feed what is topped up already adds no water, and is a feed."""
    book = two(fact("topped-up", 3, number=1), fact("fed", 3, number=2))
    assert [(refill.ml, refill.is_fed) for refill in book.refills[1:3]] == [(1410, False), (0, True)]


def test_a_change_is_fed_already() -> None:
    """Scrubbed and fed on one day is one change, whichever was typed first."""
    scrubbed, fed = fact("scrubbed", 3), fact("fed", 3)
    assert two(scrubbed, fed) == two(fed, scrubbed) == two(scrubbed)


def test_facts_of_the_first_day() -> None:
    """Fed tells of the fill; scrubbed was done before it; the tote is full, so that nothing is added."""
    book = two(fact("fed", 0, litres=11.0))
    assert (book.refills[0].is_recorded, len(book.refills)) == (True, 2)
    assert two(fact("scrubbed", 0)) == two(fact("topped-up", 0)) == two()
    # 5 cm on the first day are 5.6 litres.
    assert left_ml(two(level(0, 5.0)), day(0)) == 5600 - 290


@pytest.mark.parametrize("on", [-1, 10, 11])
def test_facts_outside_of_a_filling_are_none_of_it(on: int) -> None:
    """On the day it is emptied, to scrub is to clean it; the day before it is filled nobody can know."""
    for told in (fact("scrubbed", on), fact("fed", on), fact("topped-up", on, litres=3.0), level(on, 1.0)):
        assert two(told) == two()


def test_facts_that_touch_no_water() -> None:
    """Other totes, totes of another name, other measures, and a level without its value change nothing."""
    ph = fact("measured", 3, what="ph", value=5.8)
    for told in (ph, level(3, None), level(3, 1.0, "renamed"), fact("scrubbed", 3, "B"), fact("back", 3)):
        assert two(told) == two()


# How much and how high.


def test_litres_by_height_and_back() -> None:
    """11.2 litres on 40 x 28 cm stand 10 cm high, and 2 cm are 2.24 litres."""
    large = make_tote("L", 12, litres=20, inside_cm=INSIDE)
    assert level_cm(large, 11.2) == pytest.approx(10.0)
    assert litres_at(large, 10.0) == pytest.approx(11.2)
    assert most_rise_litres(large) == pytest.approx(2.24)


def test_heads_taken_before_the_rest_moved_drink_elsewhere() -> None:
    """Of four heads two were taken, and two moved here: they drink what two drink that were planted here."""
    crop = make_crop("cress", first_days=10, litres_a_plant=5.5)
    there = planted("A", 0, 10, 2, crop=crop)
    (taken,) = there.harvests
    gone = replace(taken, on=day(4), latest_on=day(4), holes=(), plants=2, is_recorded=True)
    (one,), (other,) = (
        books_of(GARDEN, each, crops=(crop,)) for each in (there, replace(there, harvests=(gone, taken)))
    )
    assert [each.used_ml for each in one.days] == [each.used_ml for each in other.days]


def test_a_batch_that_was_moved_drinks_from_each_tote_in_turn() -> None:
    """What it drinks in both together is what it would have drunk in one, day by day."""
    stay = Stay(tote="B", place="shelf", from_on=day(0), until_on=day(4))
    books = books_of(GARDEN, planted("A", 0, 10, earlier=(stay,)))
    (whole,) = books_of(GARDEN, planted("A", 0, 10))
    used = {each.on: each.used_ml for book in books for each in book.days if each.used_ml}
    assert used == {each.on: each.used_ml for each in whole.days if each.used_ml}
    assert [(book.filling.tote, len(book.days) - 1) for book in books] == [("A", 6), ("B", 4)]
