"""How high the water of a small tote stands, and how often it is seen to: common practice, no source.

Rules of the trade:

- Between top-ups the water of a tote with a pump stands 2.5 to 5 cm above the bottom of its pots.  Where the line is
  5 cm above it, the water may fall by 2.5 cm.
- A lightly planted tote is topped up once or twice in a crop.
- A tote is fed once a month.

A small tote holds 11 litres on 40 x 28 cm: 2.5 cm of it are 2.8 litres.  Checks of an outcome: at light loads the rules
hold; where they do not, arithmetic has won, and the test says so.
"""

from __future__ import annotations

from datetime import date
from itertools import pairwise

import pytest

from planted import books_of, garden_of, planted
from shipped import shipped_crops
from steadysow.inputs.garden import level_cm
from steadysow.upkeep.water import WaterBook
from tiny import SATURDAY, WEDNESDAY, make_tote

CROPS = shipped_crops()
GREENS = sorted(name for name, crop in CROPS.items() if not crop.is_fruit)
PUMPED = make_tote("A", 12, inside_cm=(40, 28))
STILL = make_tote("B", 12, "kratky", inside_cm=(40, 28))
MOST_DROP_CM = 2.5

Weekdays = tuple[int, ...]
ONCE_A_WEEK: Weekdays = (SATURDAY,)
TWICE_A_WEEK: Weekdays = (WEDNESDAY, SATURDAY)


def book_of(name: str, plants: int, tote: str = "A", work: Weekdays = ONCE_A_WEEK) -> WaterBook:
    """Keep the book of plants that grow as their profile says, from a Saturday to their last harvest."""
    crop = CROPS[name]
    harvest = crop.harvest
    days = [round(harvest.first_days + number * harvest.between_days) for number in range(len(harvest.grams))]
    batch = planted(tote, 0, days[-1], plants, crop=crop, harvested=days)
    (book,) = books_of(garden_of(PUMPED, STILL, chore_days=work), batch, crops=(crop,))
    return book


def top_ups(book: WaterBook) -> int:
    """Count the top-ups."""
    return sum(refill.kind == "top-up" for refill in book.refills)


def drops(book: WaterBook, work: Weekdays) -> list[tuple[float, int]]:
    """Give how far the water has fallen by each day of work [cm], and what was drunk since the one before [mL].

    What is left when the tote is emptied stands for no top-up, so the days after the last day of work are left out.
    """
    found: list[tuple[float, int]] = []
    drunk, before = 0, 11000
    for each in book.days[:-1]:
        if each.on.weekday() in work and drunk:
            found.append((level_cm(PUMPED, (11000 - before) / 1000), drunk))
            drunk = 0
        drunk += each.used_ml
        before = each.left_ml
    return found


@pytest.mark.parametrize(
    ("name", "plants", "work"),
    [
        ("looseleaf lettuce", 12, ONCE_A_WEEK),
        ("arugula", 12, ONCE_A_WEEK),
        ("kale", 8, TWICE_A_WEEK),
        ("butterhead lettuce", 1, ONCE_A_WEEK),
        ("butterhead lettuce", 2, TWICE_A_WEEK),
    ],
)
def test_water_stays_above_the_pots(name: str, plants: int, work: Weekdays) -> None:
    """A full lid of cut greens, or a head or two, drink no more than 2.5 cm between two days of work."""
    assert max(drop for drop, _ in drops(book_of(name, plants, work=work), work)) <= MOST_DROP_CM


@pytest.mark.parametrize("work", [ONCE_A_WEEK, TWICE_A_WEEK], ids=["once a week", "twice a week"])
@pytest.mark.parametrize("name", GREENS)
def test_water_falls_further_only_where_more_is_drunk(name: str, work: Weekdays) -> None:
    """Of every number of any greens: who wants more than 2.5 cm between two days of work gets it, and nobody else."""
    for plants in range(1, CROPS[name].lid_holes + 1):
        for drop, drunk in drops(book_of(name, plants, work=work), work):
            assert drop <= MOST_DROP_CM or level_cm(PUMPED, drunk / 1000) > MOST_DROP_CM


def test_three_grown_heads_drink_more_than_that_in_a_week() -> None:
    """In their third week 0.24 litres a day each, 5 litres or 4.4 cm: one day of work a week is too few for them.

    By hand: 3.8 litres in 23 days, of which day 17, the middle one, has (0.1 + 0.9 x 17.5 / 23) / (0.55 x 23).
    """
    falls = drops(book_of("butterhead lettuce", 3), ONCE_A_WEEK)
    litres = 3 * 7 * 3.8 * (0.1 + 0.9 * 17.5 / 23) / (0.55 * 23)
    assert max(drop for drop, _ in falls) == pytest.approx(level_cm(PUMPED, litres), abs=0.1)
    assert level_cm(PUMPED, litres) > MOST_DROP_CM


@pytest.mark.parametrize(
    ("name", "plants", "tote"),
    [
        ("butterhead lettuce", 1, "A"),
        ("butterhead lettuce", 2, "A"),
        ("bok choy", 4, "A"),
        ("bok choy", 8, "A"),
        ("looseleaf lettuce", 8, "A"),
        ("butterhead lettuce", 3, "B"),
        ("looseleaf lettuce", 12, "B"),
        ("mizuna", 8, "B"),
    ],
)
def test_a_lightly_planted_tote_is_topped_up_once_or_twice(name: str, plants: int, tote: str) -> None:
    """Light is what drinks, from its transplant to the last harvest, no more than the tote holds, or a little more."""
    book = book_of(name, plants, tote)
    assert book.needed_ml <= 1.1 * 11000
    assert 1 <= top_ups(book) <= 2


def test_a_full_tote_is_topped_up_more_often() -> None:
    """Eight kale drink 17.6 litres in twelve weeks, twelve mizuna 16.8 in eight: that is no light load."""
    for name, plants in (("kale", 8), ("mizuna", 12)):
        for tote in ("A", "B"):
            book = book_of(name, plants, tote)
            assert book.needed_ml > 1.5 * 11000
            assert top_ups(book) > 2


def fed_on(book: WaterBook) -> list[date]:
    """Give the days on which it is fed, and the last on which it stands."""
    return [*(refill.on for refill in book.refills if refill.is_fed), book.filling.until_on]


@pytest.mark.parametrize(("name", "plants"), [("kale", 8), ("kale", 1), ("sorrel", 4), ("mizuna", 12)])
def test_a_tote_is_fed_once_a_month(name: str, plants: int) -> None:
    """Filled, and changed every four weeks after: never later, and never within three."""
    gaps = [(later - earlier).days for earlier, later in pairwise(fed_on(book_of(name, plants)))]
    assert all(gap <= 28 for gap in gaps)
    assert all(gap > 21 for gap in gaps[:-1])


def test_a_still_tote_is_fed_with_the_next_top_up() -> None:
    """Eight kale are topped up every week or two once they are grown: five weeks after the last feed at the latest."""
    gaps = [(later - earlier).days for earlier, later in pairwise(fed_on(book_of("kale", 8, "B")))]
    assert all(28 <= gap <= 35 for gap in gaps[:-1])
    assert len(gaps) >= 2
