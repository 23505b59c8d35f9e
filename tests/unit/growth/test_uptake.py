"""What a plant drinks on each day is that computed by hand, for crops of few days."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from steadysow.growth.uptake import GrowthSpell, litres_a_gram, litres_by_day, spells
from tiny import make_crop

ON = date(2026, 10, 3)

# 5.5 litres in ten days: 0.145 on the first, 0.09 more on each.
HEAD = make_crop(first_days=10, litres_a_plant=5.5)
# 20, 30 and 10 g of 6 litres: 0.1 a gram.
CUT = make_crop("cut", "cut", first_days=10, between_days=5, grams=(20, 30, 10), litres_a_plant=6)
# Three picks of 10 g, on days 10, 15 and 20, of 31 litres: grown on day 10, it drinks 5.5 days' worth by then, then 10.
FRUIT = make_crop("fruit", "pick", first_days=10, between_days=5, grams=(10, 10, 10), litres_a_plant=31)


def after(days: int) -> date:
    """Give a day counted from the first in the tote."""
    return ON + timedelta(days)


def litres(found: tuple[GrowthSpell, ...]) -> list[float]:
    """Give what is drunk in each spell."""
    return [spell.litres for spell in found]


def test_litres_a_gram() -> None:
    """The water for a gram is all litres over all grams of the profile."""
    assert litres_a_gram(CUT) == pytest.approx(0.1)


def test_a_head_drinks_its_litres_more_each_day() -> None:
    """In even light it drinks a tenth of its grown water at first, and 0.09 more in the middle of each of ten days."""
    (spell,) = spells(HEAD, ON, after(10), [(after(10), 100)])
    assert litres_by_day(spell, [12.0] * 10) == pytest.approx([0.145 + 0.09 * day for day in range(10)])


def test_a_light_head_drinks_less() -> None:
    """A head of half the weight drinks half the water, however long it takes."""
    assert litres(spells(HEAD, ON, after(25), [(after(25), 50)])) == pytest.approx([2.75])


def test_a_plant_drinks_by_the_light_of_a_day() -> None:
    """At the same size twice the light is twice the water, and a dark day has none."""
    spell = GrowthSpell(from_on=ON, until_on=after(4), litres=7.0, first_share=1.0, growing_days=4)
    assert litres_by_day(spell, [6.0, 12.0, 6.0, 4.0]) == pytest.approx([1.5, 3.0, 1.5, 1.0])
    assert litres_by_day(spell, [0.0, 12.0, 0.0, 12.0]) == pytest.approx([0.0, 3.5, 0.0, 3.5])


def test_in_the_dark_all_days_are_alike() -> None:
    """Without any light, the litres are spread as in even light."""
    (spell,) = spells(HEAD, ON, after(10), [(after(10), 100)])
    assert litres_by_day(spell, [0.0] * 10) == litres_by_day(spell, [1.0] * 10)


def test_cut_greens_drink_for_each_cut() -> None:
    """Each cut takes a tenth of a litre a gram; after a cut a third of a grown plant is left."""
    found = spells(CUT, ON, after(20), [(after(10), 20), (after(15), 30), (after(20), 10)])
    assert litres(found) == pytest.approx([2, 3, 1])
    assert [(spell.from_on, spell.until_on) for spell in found] == [
        (ON, after(10)), (after(10), after(15)), (after(15), after(20))
    ]  # fmt: skip
    assert [spell.first_share for spell in found] == pytest.approx([0.1, 1 / 3, 1 / 3])


def test_cuts_of_one_day_are_one() -> None:
    """Two cuts of one day count together."""
    assert litres(spells(CUT, ON, after(10), [(after(10), 5), (after(10), 15)])) == pytest.approx([2])


def test_harvests_outside_of_its_days_in_the_tote_count_for_nothing() -> None:
    """A harvest on the day it enters the tote, or after it has left, takes no water."""
    found = spells(CUT, ON, after(10), [(ON, 20), (after(10), 20), (after(15), 30)])
    assert litres(found) == pytest.approx([2])


def test_a_lost_seedling_has_drunk_as_a_seedling() -> None:
    """A seedling lost after two of ten days has drunk 0.145 and 0.235 of its 5.5 litres."""
    (spell,) = spells(HEAD, ON, after(2), [])
    assert litres_by_day(spell, [12.0] * 2) == pytest.approx([0.145, 0.235])
    assert spells(HEAD, ON, ON, []) == ()


def test_a_head_that_is_never_taken_goes_on_as_grown() -> None:
    """A head drinks 5.5 litres in ten days, and a litre on each day after that."""
    (spell,) = spells(HEAD, ON, after(13), [])
    assert litres_by_day(spell, [12.0] * 13)[9:] == pytest.approx([0.955, 1, 1, 1])


def test_greens_that_stand_on_after_a_cut_drink_on() -> None:
    """On the way to 30 g and 3 litres in five days, the first two days take 0.4 and 0.533 of 3.333 parts.

    Sizes on five days: 0.4, 0.533, 0.667, 0.8, 0.933, in all 3.333.  After the last cut it is as towards another.
    """
    found = spells(CUT, ON, after(12), [(after(10), 20)])
    assert litres(found) == pytest.approx([2, 3 * (0.4 + 0.5333333) / 3.3333333])
    after_all = spells(CUT, ON, after(25), [(after(10), 20), (after(15), 30), (after(20), 10)])
    assert litres(after_all) == pytest.approx([2, 3, 1, 1])


def test_fruit_drinks_for_leaves_before_it_hangs() -> None:
    """By its three picks a fruit plant has drunk 5.5, 10.5 and 15.5 of 15.5 parts: 11, 21 and 31 litres."""
    picks = [(after(10), 10.0), (after(15), 10.0), (after(20), 10.0)]
    for done, drunk in ((1, 11.0), (2, 21.0), (3, 31.0)):
        assert litres(spells(FRUIT, ON, picks[done - 1][0], picks[:done])) == pytest.approx([drunk])


def test_heavy_fruit_takes_more() -> None:
    """A fifth more fruit at the first two picks takes a fifth more water than 21 litres."""
    assert litres(spells(FRUIT, ON, after(15), [(after(10), 12), (after(15), 12)])) == pytest.approx([25.2])


def test_fruit_is_grown_when_it_bears() -> None:
    """From its first pick on, it drinks the same each day."""
    (spell,) = spells(FRUIT, ON, after(24), [(after(14), 10), (after(19), 10), (after(24), 10)])
    by_day = litres_by_day(spell, [12.0] * 24)
    assert len({round(each, 9) for each in by_day[14:]}) == 1
    assert sum(by_day) == pytest.approx(31)


def test_fruit_lost_before_it_bears() -> None:
    """Lost after ten days, it has drunk 11 of 31 litres."""
    assert litres(spells(FRUIT, ON, after(10), [])) == pytest.approx([11])
