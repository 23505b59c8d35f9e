"""What a plant drinks by day, worked out by hand on crops of few days."""

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
    """All litres over all grams."""
    assert litres_a_gram(CUT) == pytest.approx(0.1)


def test_a_head_drinks_its_litres_more_each_day() -> None:
    """In even light a tenth of what it drinks when grown at first; on the middle of each of ten days 0.09 more."""
    (spell,) = spells(HEAD, ON, after(10), [(after(10), 100)])
    assert litres_by_day(spell, [12.0] * 10) == pytest.approx([0.145 + 0.09 * day for day in range(10)])


def test_a_light_head_drinks_less() -> None:
    """Half the weight, half the water, however long it takes."""
    assert litres(spells(HEAD, ON, after(25), [(after(25), 50)])) == pytest.approx([2.75])


def test_a_plant_drinks_by_the_light_of_a_day() -> None:
    """Twice the light of the day before and after is twice the water at the same size; dark days have none."""
    spell = GrowthSpell(from_on=ON, until_on=after(4), litres=7.0, first_share=1.0, growing_days=4)
    assert litres_by_day(spell, [6.0, 12.0, 6.0, 4.0]) == pytest.approx([1.5, 3.0, 1.5, 1.0])
    assert litres_by_day(spell, [0.0, 12.0, 0.0, 12.0]) == pytest.approx([0.0, 3.5, 0.0, 3.5])


def test_in_the_dark_all_days_are_alike() -> None:
    """Where no light is known, the litres are spread as in even light."""
    (spell,) = spells(HEAD, ON, after(10), [(after(10), 100)])
    assert litres_by_day(spell, [0.0] * 10) == litres_by_day(spell, [1.0] * 10)


def test_cut_greens_drink_for_each_cut() -> None:
    """A tenth of a litre a gram of each; after a cut a third of a grown plant is left, not a seedling."""
    found = spells(CUT, ON, after(20), [(after(10), 20), (after(15), 30), (after(20), 10)])
    assert litres(found) == pytest.approx([2, 3, 1])
    assert [(spell.from_on, spell.until_on) for spell in found] == [
        (ON, after(10)), (after(10), after(15)), (after(15), after(20))
    ]  # fmt: skip
    assert [spell.first_share for spell in found] == pytest.approx([0.1, 1 / 3, 1 / 3])


def test_cuts_of_one_day_are_one() -> None:
    """What was cut in two goes counts together."""
    assert litres(spells(CUT, ON, after(10), [(after(10), 5), (after(10), 15)])) == pytest.approx([2])


def test_harvests_outside_of_its_days_in_the_tote_count_for_nothing() -> None:
    """Nothing is drunk for what was taken on the day it entered, or after it had left."""
    found = spells(CUT, ON, after(10), [(ON, 20), (after(10), 20), (after(15), 30)])
    assert litres(found) == pytest.approx([2])


def test_a_lost_seedling_has_drunk_as_a_seedling() -> None:
    """Of its 5.5 litres 0.145 and 0.235 in two days: a fifth of its days, a fifteenth of its water."""
    (spell,) = spells(HEAD, ON, after(2), [])
    assert litres_by_day(spell, [12.0] * 2) == pytest.approx([0.145, 0.235])
    assert spells(HEAD, ON, ON, []) == ()


def test_a_head_that_is_never_taken_goes_on_as_grown() -> None:
    """5.5 litres in ten days, and a litre on each day more."""
    (spell,) = spells(HEAD, ON, after(13), [])
    assert litres_by_day(spell, [12.0] * 13)[9:] == pytest.approx([0.955, 1, 1, 1])


def test_greens_that_stand_on_after_a_cut_drink_on() -> None:
    """Towards 30 g in five days: 3 litres, of which the first two days, at 0.4 and 0.533 of a grown plant, take 0.84.

    Sizes on five days: 0.4, 0.533, 0.667, 0.8, 0.933, in all 3.333.  After the last cut it is as towards another.
    """
    found = spells(CUT, ON, after(12), [(after(10), 20)])
    assert litres(found) == pytest.approx([2, 3 * (0.4 + 0.5333333) / 3.3333333])
    after_all = spells(CUT, ON, after(25), [(after(10), 20), (after(15), 30), (after(20), 10)])
    assert litres(after_all) == pytest.approx([2, 3, 1, 1])


def test_fruit_drinks_for_leaves_before_it_hangs() -> None:
    """5.5 of 15.5 days' worth by the first pick, 10.5 by the second, all by the last: 11, 21 and 31 litres."""
    picks = [(after(10), 10.0), (after(15), 10.0), (after(20), 10.0)]
    for done, drunk in ((1, 11.0), (2, 21.0), (3, 31.0)):
        assert litres(spells(FRUIT, ON, picks[done - 1][0], picks[:done])) == pytest.approx([drunk])


def test_heavy_fruit_takes_more() -> None:
    """A fifth more fruit on the first two days, a fifth more water than 21 litres."""
    assert litres(spells(FRUIT, ON, after(15), [(after(10), 12), (after(15), 12)])) == pytest.approx([25.2])


def test_fruit_is_grown_when_it_bears() -> None:
    """From its first pick on, it drinks the same each day."""
    (spell,) = spells(FRUIT, ON, after(24), [(after(14), 10), (after(19), 10), (after(24), 10)])
    by_day = litres_by_day(spell, [12.0] * 24)
    assert len({round(each, 9) for each in by_day[14:]}) == 1
    assert sum(by_day) == pytest.approx(31)


def test_fruit_lost_before_it_bears() -> None:
    """It has drunk as it lived: in ten days 11 litres of 31."""
    assert litres(spells(FRUIT, ON, after(10), [])) == pytest.approx([11])
