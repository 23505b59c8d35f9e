"""The water of a tote with a pump (A) and a still tote (B), with every level worked out by hand.

Both hold 11 litres on 40 x 28 cm, so a centimetre is 1.12 litres.  Two plants drink 290 mL on their first day and 180
more on each of ten, 11 litres in all.  Of 11 litres they leave, evening by evening, 10710, 10240, 9590, 8760, 7750,
6560, 5190, 3640, 1910 and 0 mL.  Somebody works on Saturdays, which are days 0, 7, 14, ...
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from planted import balances, books_of, fact, garden_of, left_ml, level, listed, planted
from steadysow.inputs.garden import Away, level_cm
from steadysow.inputs.journal import Fact
from steadysow.upkeep.water import WaterBook, levels_on, litres_at, most_rise_litres
from tiny import SATURDAY, WEDNESDAY, day, make_crop, make_tote

INSIDE = (40.0, 28.0)
PUMPED = make_tote("A", 12, inside_cm=INSIDE)
STILL = make_tote("B", 12, "kratky", inside_cm=INSIDE)
NEVER = replace(STILL, top_up="never")
GARDEN = garden_of(PUMPED, STILL)
LEFT = (10710, 10240, 9590, 8760, 7750, 6560, 5190, 3640, 1910, 0)

# Drinks nearly nothing, so that only the age of the solution counts.
FRUGAL = make_crop("frugal", first_days=60, litres_a_plant=0.5)


def two(*facts: Fact, tote: str = "A", **changes: Any) -> WaterBook:
    """Keep the book of two plants from day 0 to 10."""
    (book,) = books_of(replace(GARDEN, **changes), planted(tote, 0, 10, 2), facts=facts)
    assert balances(book)
    return book


def frugal(*facts: Fact, leaves: int = 70, tote: str = "A", **changes: Any) -> list[tuple[str, int]]:
    """Give the refills and their days for a plant that drinks nearly nothing."""
    garden = replace(GARDEN, **changes)
    (book,) = books_of(garden, planted(tote, 0, leaves, crop=FRUGAL), facts=facts, crops=(FRUGAL,))
    assert balances(book)
    return [(refill.kind, (refill.on - day(0)).days) for refill in book.refills]


# As planned.


def test_a_tote_with_a_pump_is_topped_up_to_its_line() -> None:
    """On Saturday 5190 mL are left, which would be drunk before the tote is emptied: 5810 mL go in."""
    book = two()
    assert listed(book.refills) == [("fill", 1, day(0), 11000), ("top-up", 1, day(7), 5810)]
    assert [each.left_ml for each in book.days] == [*LEFT[:7], 9450, 7720, 5810, 0]
    assert (book.days[-1].on, book.days[-1].drained_ml) == (day(10), 5810)
    assert (book.used_ml, book.needed_ml, book.shortfalls) == (11000, 11000, ())


def test_between_days_of_work_the_level_stays_above_three_quarters() -> None:
    """Of 8760 mL on Wednesday, 3570 would be drunk by Saturday, so the tote is topped up on Wednesday."""
    (book,) = books_of(garden_of(PUMPED, chore_days=(WEDNESDAY, SATURDAY)), planted("A", 0, 10, 2))
    assert listed(book.refills)[1:] == [("top-up", 1, day(4), 2240), ("top-up", 2, day(7), 3570)]


def test_a_tote_with_enough_water_is_not_topped_up() -> None:
    """One plant leaves half of the water, more than a quarter, until the tote is emptied."""
    (book,) = books_of(GARDEN, planted("A", 0, 10))
    assert listed(book.refills) == [("fill", 1, day(0), 11000)]
    assert book.days[-1].drained_ml == 5500


def test_a_still_tote_rises_by_two_centimetres() -> None:
    """On Saturday there is room for 5810 mL, but only 2 cm or 2240 mL go in; as much is left at the end."""
    book = two(tote="B")
    assert listed(book.refills) == [("fill", 1, day(0), 11000), ("top-up", 1, day(7), 2240)]
    assert (left_ml(book, day(9)), book.used_ml, book.shortfalls) == (2240, 11000, ())


def test_a_still_tote_waits_until_a_third_is_left() -> None:
    """On Wednesday, 5190 mL or more than a third would be left by Saturday, so nothing is done."""
    (book,) = books_of(garden_of(STILL, chore_days=(WEDNESDAY, SATURDAY)), planted("B", 0, 10, 2))
    assert listed(book.refills)[1:] == [("top-up", 1, day(7), 2240)]


def test_a_tote_that_is_never_topped_up_runs_dry() -> None:
    """Two plants drink it dry on day 9, below the 1100 mL that must stay."""
    (book,) = books_of(garden_of(NEVER), planted("B", 0, 10, 2))
    assert [each.left_ml for each in book.days] == [*LEFT, 0]
    assert [(each.from_on, each.until_on, each.missing_ml) for each in book.shortfalls] == [(day(9), day(10), 1100)]


def test_water_that_plants_do_not_get_is_missing() -> None:
    """Three plants need 16.5 litres and may drink 9.9: 6.6 are missing, from day 7 on, when 2285 mL are left."""
    (book,) = books_of(garden_of(NEVER), planted("B", 0, 10, 3))
    assert (book.used_ml, book.needed_ml) == (11000, 16500)
    assert [(each.from_on, each.until_on, each.missing_ml) for each in book.shortfalls] == [(day(7), day(10), 6600)]
    assert balances(book)


def test_a_tote_is_topped_up_before_an_absence() -> None:
    """On Sunday it is filled for an absence of days 2 to 8; on the last of them 2200 mL are left, 550 too few.

    From 11 litres on Sunday: 10530, 9880, 9050, 8040, 6850, 5480, 3930, 2200.
    """
    book = two(away=(Away(from_on=day(2), back_on=day(9)),))
    assert listed(book.refills)[1:] == [("top-up", 1, day(1), 290), ("top-up", 2, day(9), 8800)]
    assert left_ml(book, day(8)) == 2200
    (short,) = book.shortfalls
    assert (short.from_on, short.until_on, short.missing_ml, short.is_away) == (day(8), day(9), 550, True)


def test_an_absence_from_the_second_day_on() -> None:
    """A tote that is filled the day before an absence is topped up on the day of return."""
    book = two(away=(Away(from_on=day(1), back_on=day(8)),))
    # Otherwise the 3640 mL of day 8 would be drunk by day 10.
    assert listed(book.refills) == [("fill", 1, day(0), 11000), ("top-up", 1, day(8), 7360)]
    assert book.shortfalls == ()


def test_a_batch_lost_on_the_day_it_was_planted() -> None:
    """A tote whose plants die on the first day was filled, and is emptied."""
    (book,) = books_of(GARDEN, planted("A", 0, 0, 2, harvested=()))
    assert [(each.filled_ml, each.drained_ml, each.used_ml) for each in book.days] == [(11000, 11000, 0)]
    assert listed(book.refills) == [("fill", 1, day(0), 11000)]
    assert balances(book)


def test_the_water_of_each_tote_on_a_day() -> None:
    """The level is that of the evening before, full on the first day, and missing on the day the tote is emptied."""
    books = books_of(GARDEN, planted("A", 0, 10, 2), planted("B", 5, 15, 2, number=2))
    assert levels_on(books, day(4)) == {"A": 8.76}
    assert levels_on(books, day(6)) == {"A": 6.56, "B": 10.71}
    assert levels_on(books, day(5))["B"] == 11.0
    assert set(levels_on(books, day(10))) == {"B"}


def test_books_of_what_the_garden_no_longer_has() -> None:
    """A crop without a profile drinks nothing, a place that is gone has even light, and a tote that is gone no book."""
    (gone,) = books_of(GARDEN, planted("A", 0, 10, 2, state="done"), crops=())
    assert (gone.needed_ml, balances(gone)) == (0, True)
    (elsewhere,) = books_of(GARDEN, planted("A", 0, 10, 2, place="attic"))
    assert [each.used_ml for each in elsewhere.days] == [each.used_ml for each in two().days]
    assert books_of(GARDEN, planted("renamed", 0, 10, 2)) == ()


def test_a_garden_without_fillings_has_no_books() -> None:
    """Without plants in totes there are no books."""
    assert books_of(GARDEN) == ()


# Changes and feeds.


def test_a_solution_is_changed_on_the_last_day_of_work_in_time() -> None:
    """With 28 or 30 days between changes it is day 28, with 27 days a week earlier, and never a day without plants."""
    assert frugal() == [("fill", 0), ("change", 28), ("change", 56)]
    assert frugal(change_every_days=30) == [("fill", 0), ("change", 28), ("change", 56)]
    assert frugal(change_every_days=27) == [("fill", 0), ("change", 21), ("change", 42)]
    assert frugal(leaves=28) == [("fill", 0)]
    # A solution is not renewed if it is poured away within a quarter of the days between changes.
    assert frugal(leaves=35) == [("fill", 0)]
    assert frugal(leaves=36) == [("fill", 0), ("change", 28)]
    assert frugal(leaves=27, change_every_days=27) == [("fill", 0)]


def test_a_solution_is_changed_before_leaving_for_long() -> None:
    """Before an absence from day 25 it is changed on day 24; after one from day 1 to 39, on the first Saturday."""
    assert frugal(away=(Away(from_on=day(25), back_on=day(40)),))[:2] == [("fill", 0), ("change", 24)]
    assert frugal(away=(Away(from_on=day(1), back_on=day(40)),))[:2] == [("fill", 0), ("change", 42)]


def test_a_change_pours_the_old_solution_away() -> None:
    """All that is left is poured away, and the tote is filled again."""
    (book,) = books_of(GARDEN, planted("A", 0, 60, crop=FRUGAL), crops=(FRUGAL,))
    change = next(refill for refill in book.refills if refill.kind == "change")
    changed = next(each for each in book.days if each.on == change.on)
    assert changed.filled_ml == change.ml == 11000
    assert changed.drained_ml == left_ml(book, day(27)) < 11000
    assert change.is_fed


def test_a_still_tote_is_never_changed() -> None:
    """The solution of a still tote stays until its plants leave."""
    assert frugal(tote="B") == [("fill", 0)]


def test_a_still_tote_is_fed_with_a_top_up() -> None:
    """A plant that drinks 245 mL on its first day and 90 mL more on each of 20 days is fed every 14 days.

    On day 7, 7395 mL are left, and 2240 go in.  On day 14, 1620 are left, and 2240 go in with nutrient.  From then on
    it drinks 1.5 litres a day and more, so 2240 mL of plain water are due nearly every day.
    """
    crop = make_crop("big", first_days=20, litres_a_plant=22)
    (book,) = books_of(replace(GARDEN, change_every_days=14), planted("B", 0, 20, crop=crop), crops=(crop,))
    assert (left_ml(book, day(6)), left_ml(book, day(13))) == (7395, 1620)
    assert [refill.on for refill in book.refills if refill.is_fed] == [day(0), day(14)]
    assert book.refills[3].on == day(15)


def test_a_tote_with_a_pump_is_fed_by_its_change() -> None:
    """If a change is late, top-ups are plain water until the Saturday of the change, on day 21."""
    crop = make_crop("big", first_days=30, litres_a_plant=22)
    garden = replace(GARDEN, change_every_days=7, away=(Away(from_on=day(1), back_on=day(16)),))
    (book,) = books_of(garden, planted("A", 0, 30, crop=crop), crops=(crop,))
    done = [(refill.kind, refill.on, refill.is_fed) for refill in book.refills]
    assert ("change", day(21), True) in done
    assert all(is_fed == (kind != "top-up") for kind, _, is_fed in done)


# Facts of the journal.


def test_topped_up_without_litres() -> None:
    """A top-up without litres fills 1410 mL up to the line on day 3; the next on day 7 needs 4400 mL."""
    book = two(fact("topped-up", 3))
    assert listed(book.refills)[1:] == [("top-up", 1, day(3), 1410), ("top-up", 2, day(7), 4400)]
    assert [refill.is_recorded for refill in book.refills] == [False, True, False]


def test_topped_up_with_litres() -> None:
    """A top-up adds the litres of the fact."""
    assert left_ml(two(fact("topped-up", 3, litres=1.0)), day(3)) == 9590 + 1000 - 830


def test_more_water_than_there_was_room_for() -> None:
    """Three litres went in, and by the book there was room for 1.4: the tote was 1590 mL emptier, and is full now."""
    book = two(fact("topped-up", 3, litres=3.0))
    assert (book.days[3].corrected_ml, book.days[3].topped_up_ml) == (-1590, 3000)
    assert left_ml(book, day(3)) == 11000 - 830


def test_no_more_goes_in_than_a_tote_holds() -> None:
    """A mistyped number of litres fills the tote, and no more."""
    assert listed(two(fact("topped-up", 3, litres=3000.0)).refills)[1] == ("top-up", 1, day(3), 11000)


def test_a_still_tote_topped_up_without_litres() -> None:
    """A top-up without litres is assumed to raise a still tote by 2 cm."""
    assert listed(two(fact("topped-up", 6, "B"), tote="B").refills)[1] == ("top-up", 1, day(6), 2240)


def test_fed_is_topped_up_with_nutrient() -> None:
    """Feeding fills the tote up to its line, and does not delay the change of its solution."""
    feed = two(fact("fed", 3)).refills[1]
    assert (feed.kind, feed.ml, feed.is_fed, feed.is_recorded) == ("top-up", 1410, True, True)
    assert frugal(fact("fed", 20)) == [("fill", 0), ("top-up", 20), ("change", 28), ("change", 56)]


def test_scrubbed_is_a_change() -> None:
    """Scrubbing pours all away and fills the tote again; the next change is due 28 days later, on day 31."""
    book = two(fact("scrubbed", 3))
    assert (book.days[3].drained_ml, book.days[3].filled_ml, left_ml(book, day(3))) == (9590, 11000, 10170)
    assert [(refill.kind, refill.number, refill.is_recorded) for refill in book.refills[:2]] == [
        ("fill", 1, False), ("change", 1, True)
    ]  # fmt: skip
    assert frugal(fact("scrubbed", 3)) == [("fill", 0), ("change", 3), ("change", 28), ("change", 56)]


def test_a_late_scrubbing_is_the_change_that_was_due() -> None:
    """A scrubbing of day 31 is the change of day 28; the next is due on day 59."""
    assert frugal(fact("scrubbed", 31)) == [("fill", 0), ("change", 31), ("change", 56)]


def test_a_late_top_up_is_the_one_that_was_due() -> None:
    """A top-up of Sunday is the one of Saturday; 3640 mL are left by then."""
    assert listed(two(fact("topped-up", 8)).refills)[1:] == [("top-up", 1, day(8), 7360)]


def test_a_measured_level() -> None:
    """Five centimetres are 5.6 litres, 3990 mL less than the book said on day 3.

    On day 5, 3760 mL are left, and 1190 would be drunk by the next day, below a quarter: the tote is topped up at once.
    """
    book = two(level(3, 5.0))
    assert (book.days[3].corrected_ml, left_ml(book, day(3))) == (-3990, 5600 - 830)
    assert listed(book.refills)[1:2] == [("top-up", 1, day(5), 11000 - 3760)]


@pytest.mark.parametrize("cm", [9.83, 30.0, 1e9])
def test_a_level_above_the_brim_is_a_full_tote(cm: float) -> None:
    """A level above the 9.82 cm of a tote of 11 litres on 40 x 28 cm counts as full."""
    book = two(level(3, cm))
    assert (book.days[3].corrected_ml, left_ml(book, day(3))) == (1410, 11000 - 830)


def test_a_level_below_nothing_is_an_empty_tote() -> None:
    """An empty tote is filled on the day of the measurement, since somebody is at home."""
    book = two(level(3, -2.0))
    assert (book.days[3].corrected_ml, book.days[3].topped_up_ml) == (-9590, 11000)


def test_a_measurement_is_not_a_top_up() -> None:
    """Work that is due on the day stays due, by the measured level: 4 cm are 4.48 litres."""
    assert listed(two(level(7, 4.0)).refills)[1:] == [("top-up", 1, day(7), 11000 - 4480)]
    assert ("change", 28) in frugal(level(28, 5.0))


def test_a_dry_tote_that_is_found_wet_is_not_short() -> None:
    """By the book three plants drink the tote dry from day 7 on, but 5 cm or 5600 mL are there on day 9.

    Of these, 2865 are drunk on that day, and nothing is missing any more.
    """
    (book,) = books_of(garden_of(NEVER), planted("B", 0, 10, 3), facts=[level(9, 5.0, "B")])
    assert [(each.from_on, each.until_on) for each in book.shortfalls] == [(day(7), day(9))]
    assert left_ml(book, day(9)) == 5600 - 2865


def test_facts_of_one_day_count_in_order() -> None:
    """A tote that is measured and then topped up is full; one that is topped up and then measured is as measured."""
    measured, topped_up = level(3, 5.0), fact("topped-up", 3)
    full = two(replace(topped_up, number=2), replace(measured, number=1))
    low = two(replace(topped_up, number=1), replace(measured, number=2))
    assert (left_ml(full, day(3)), left_ml(low, day(3))) == (11000 - 830, 5600 - 830)


@pytest.mark.parametrize("kind", ["topped-up", "fed", "scrubbed"])
def test_a_fact_recorded_twice_counts_once(kind: Any) -> None:
    """Two equal facts of one day without litres count as one."""
    once = fact(kind, 3, number=1)
    assert two(once, replace(once, number=2)) == two(once)


def test_topped_up_and_fed_on_one_day() -> None:
    """Feeding a tote that was topped up on that day adds no water, and is a feed."""
    book = two(fact("topped-up", 3, number=1), fact("fed", 3, number=2))
    assert [(refill.ml, refill.is_fed) for refill in book.refills[1:3]] == [(1410, False), (0, True)]


def test_a_change_includes_a_feed() -> None:
    """Scrubbed and fed on one day is one change, whichever comes first in the journal."""
    scrubbed, fed = fact("scrubbed", 3), fact("fed", 3)
    assert two(scrubbed, fed) == two(fed, scrubbed) == two(scrubbed)


def test_facts_of_the_first_day() -> None:
    """On the first day a feed records the fill, and a scrubbing or a top-up changes nothing."""
    book = two(fact("fed", 0, litres=11.0))
    assert (book.refills[0].is_recorded, len(book.refills)) == (True, 2)
    assert two(fact("scrubbed", 0)) == two(fact("topped-up", 0)) == two()
    # 5 cm on the first day are 5.6 litres.
    assert left_ml(two(level(0, 5.0)), day(0)) == 5600 - 290


@pytest.mark.parametrize("on", [-1, 10, 11])
def test_facts_outside_a_filling_do_not_count(on: int) -> None:
    """Facts before the day a tote is filled, and from the day it is emptied on, change nothing."""
    for outside in (fact("scrubbed", on), fact("fed", on), fact("topped-up", on, litres=3.0), level(on, 1.0)):
        assert two(outside) == two()


def test_facts_without_water() -> None:
    """Facts of other totes, other measurements, and a level without a value change nothing."""
    ph = fact("measured", 3, what="ph", value=5.8)
    for other in (ph, level(3, None), level(3, 1.0, "renamed"), fact("scrubbed", 3, "B"), fact("back", 3)):
        assert two(other) == two()


# Litres and levels.


def test_litres_by_height_and_back() -> None:
    """11.2 litres on 40 x 28 cm are 10 cm high, and 2 cm are 2.24 litres."""
    large = make_tote("L", 12, litres=20, inside_cm=INSIDE)
    assert level_cm(large, 11.2) == pytest.approx(10.0)
    assert litres_at(large, 10.0) == pytest.approx(11.2)
    assert most_rise_litres(large) == pytest.approx(2.24)
