"""Where water would not suffice: sentences whose days, litres and plants were worked out by hand (see `test_water`)."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from typing import Any

from planted import THIRSTY, books_of, fact, garden_of, plan_of, planted
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Away, Garden
from steadysow.inputs.journal import Fact
from steadysow.plan.batch import Batch
from steadysow.upkeep.shortfalls import absent_needs, shortfalls
from tiny import START, by_name, day, make_crop, make_tote

INSIDE = (40.0, 28.0)
PUMPED = make_tote("A", 12, inside_cm=INSIDE)
STILL = make_tote("B", 12, "kratky", inside_cm=INSIDE)
NEVER = replace(STILL, top_up="never")
GARDEN = garden_of(PUMPED, STILL)


def told(
    garden: Garden,
    *batches: Batch,
    today: date = START,
    facts: Iterable[Fact] = (),
    crops: Iterable[Crop] = (THIRSTY,),
) -> tuple[str, ...]:
    """Give what is told of these batches."""
    crops = tuple(crops)
    books = books_of(garden, *batches, facts=facts, crops=crops)
    return shortfalls(replace(garden, crops=by_name(crops)), plan_of(*batches), books, today)


# Totes.


def test_enough_water_is_no_news() -> None:
    """One plant leaves half of either tote, and two in the tote with a pump are topped up."""
    assert told(GARDEN, planted("A", 0, 10, 2), planted("B", 0, 10, number=2)) == ()


def test_an_absence_that_a_full_tote_does_not_last_for() -> None:
    """From Monday 5 to Monday 12 October two plants leave 2200 mL on Sunday, 550 below a quarter."""
    away = Away(from_on=day(2), back_on=day(9))
    garden, batch = replace(GARDEN, away=(away,)), planted("A", 0, 10, 2)
    sentence = (
        "Tote A falls below a quarter of its water on Sun 11 Oct while you are away, even full when you leave: let "
        "somebody give it 0.6 litres on that day, or harvest from it before you leave."
    )
    assert told(garden, batch) == (sentence,)
    assert absent_needs(replace(garden, crops={"thirsty": THIRSTY}), plan_of(batch), books_of(garden, batch), away) == (
        sentence,
    )
    # It is over on Monday.
    assert told(garden, batch, today=day(8)) == (sentence,)
    assert told(garden, batch, today=day(9)) == ()


def test_an_absence_of_a_still_tote() -> None:
    """It cannot be full when you leave, and must not be filled at once by whoever looks in.

    Topped up before leaving on day 7, where 5190 mL are left, it has 7430; away until day 10 it has 2240 on day 9: that
    suffices.  Away from day 2 it is full on Sunday morning; of that 290 mL are left on day 9, 810 too few.
    """
    late, early = (Away(from_on=day(first), back_on=day(10)) for first in (8, 2))
    assert not any("away" in sentence for sentence in told(replace(GARDEN, away=(late,)), planted("B", 0, 10, 2)))
    first, second = told(replace(GARDEN, away=(early,)), planted("B", 0, 10, 2))
    assert first == (
        "Tote B falls below a tenth of its water on Mon 12 Oct while you are away, even topped up when you leave: let "
        "somebody give it 0.8 litres on that day, to rise by 2 cm at a time, or harvest from it before you leave."
    )
    assert second.startswith("Still tote B")


def test_a_shortfall_that_begins_before_an_absence_is_told_before_leaving() -> None:
    """A tote that is never topped up and runs low on day 9 matters to who leaves on day 10 for its last two days.

    Three plants drink 344 mL on the first of 12 days and 187.5 more on each: 9844 in nine days, which leave 1156 mL.
    """
    away = Away(from_on=day(10), back_on=day(12))
    garden, batch = replace(garden_of(NEVER), away=(away,)), planted("B", 0, 12, 3)
    books = books_of(garden, batch)
    assert [short.from_on for short in books[0].shortfalls] == [day(9)]
    (sentence,) = absent_needs(replace(garden, crops={"thirsty": THIRSTY}), plan_of(batch), books, away)
    assert sentence.startswith("Tote B falls below a tenth")


def test_a_still_tote_that_is_never_topped_up() -> None:
    """Three plants need 16.5 litres of 9.9 and run short on Saturday 10 October; it has water for one."""
    assert told(garden_of(NEVER), planted("B", 0, 10, 3)) == (
        "Tote B falls below a tenth of its water on Sat 10 Oct and is never topped up (top_up: never): harvest by "
        "then, or give it 6.6 litres in small portions.",
        "Still tote B, planted on Sat 3 Oct: 3 thirsty drink 16.5 litres until Tue 13 Oct, and it gives 9.9 litres. "
        "It is never topped up (top_up: never): plant less. Without top-ups its water lasts for 1 of them, and by the "
        "profile for 1 thirsty at 5.5 litres each.",
    )


def test_a_still_tote_that_is_topped_up() -> None:
    """Two plants need 11 litres of 9.9, and are topped up once by 2 cm, which are 2.2 litres."""
    assert told(GARDEN, planted("B", 0, 10, 2)) == (
        "Still tote B, planted on Sat 3 Oct: 2 thirsty drink 11 litres until Tue 13 Oct, and it gives 9.9 litres. It "
        "is topped up once, by 2.2 litres at the most. Without top-ups its water lasts for 1 of them, and by the "
        "profile for 1 thirsty at 5.5 litres each.",
    )


def test_a_still_tote_that_a_small_rise_does_not_keep_wet() -> None:
    """Eight plants drink more in a day than 2 cm bring back: what is missing is told, and to plant less."""
    first, *_ = told(GARDEN, planted("B", 0, 10, 8))
    assert first.startswith("Tote B falls below a tenth of its water on ")
    assert ", since it may rise by 2 cm at a time only: " in first
    assert first.endswith("; plant less in it.")


def test_crops_that_share_a_still_tote() -> None:
    """Each is told with its plants and its litres; of six that drink 11 litres five get along with 9.9."""
    small = make_crop("small", first_days=10, litres_a_plant=1.1)
    batches = planted("B", 0, 10, 1), planted("B", 0, 10, 5, crop=small, number=2)
    (sentence,) = told(garden_of(STILL), *batches, crops=(THIRSTY, small))
    assert "1 thirsty and 5 small drink 11 litres" in sentence
    assert "its water lasts for 5 of them, and by the profile for " in sentence
    assert sentence.endswith("for 1 thirsty at 5.5 litres each or 9 small at 1.1 litres each.")


def test_us_units() -> None:
    """16.5 litres are 4.4 gallons, 2 cm are 0.79 inches."""
    text = " ".join(told(replace(GARDEN, units="us"), planted("B", 0, 10, 8)))
    assert "0.79 inches" in text
    assert "litre" not in text
    assert "4.4 gallons" in " ".join(told(replace(garden_of(NEVER), units="us"), planted("B", 0, 10, 3)))


def test_what_has_passed_is_not_told() -> None:
    """A plan that lies in the past runs short of nothing."""
    garden = replace(garden_of(PUMPED, NEVER), away=(Away(from_on=day(2), back_on=day(9)),))
    batches = planted("A", 0, 10, 2), planted("B", 0, 10, 3, number=2)
    assert told(garden, *batches)
    assert told(garden, *batches, today=day(10)) == ()


def test_what_was_topped_up_is_reckoned_with() -> None:
    """Whoever looks in on Saturday and fills the tote, as told, leaves it wet until you are back."""
    garden = replace(GARDEN, away=(Away(from_on=day(2), back_on=day(9)),))
    assert told(garden, planted("A", 0, 10, 2), facts=[fact("topped-up", 7)]) == ()


# Trays of seedlings.


def tray(**changes: Any) -> Batch:
    """Give four cells sown on day 0 and planted on day 14."""
    return replace(planted("A", 14, 24, 4, sown_on=day(0)), **changes)


def away_for(days: int) -> Garden:
    """Give a garden in which nobody is at home for so many days from Thursday 8 October, day 5."""
    return replace(GARDEN, away=(Away(from_on=day(5), back_on=day(5 + days)),))


def test_a_tray_dries_after_the_days_it_is_left() -> None:
    """Four days are one more than the three that it stays moist; the third is Sunday 11 October."""
    assert told(away_for(4), tray()) == (
        "While you are away from Thu 8 Oct, 4 cells of thirsty stand in the nursery, and a tray stays moist for about "
        "3 days: let somebody water it on Sun 11 Oct at the latest, or stand it on a mat that draws from a jar of "
        "water.",
    )
    assert told(away_for(3), tray()) == ()
    # Planted on the day of coming home, they have waited through all of it.
    assert told(away_for(4), tray(transplanted_on=day(9))) == told(away_for(4), tray())
    (longer,) = told(replace(away_for(8), unattended_days=7), tray())
    assert "about 7 days: let somebody water it on Thu 15 Oct" in longer


def test_what_does_not_wait_in_a_tray_needs_no_watering() -> None:
    """What is lost, is sown later or was planted before, or is sown in the pot that it stays in."""
    for batch in (
        tray(state="lost"),
        tray(transplanted_on=None, cleared_on=None),
        tray(sown_on=day(9)),
        tray(transplanted_on=day(4)),
    ):
        assert told(away_for(4), batch) == ()
    assert told(away_for(4), tray(), crops=()) == ()
    in_pot = make_crop("thirsty", first_days=10, litres_a_plant=5.5, sown_in="pot")
    assert told(away_for(4), tray(), crops=(in_pot,)) == ()


def test_an_absence_that_is_over_is_not_told() -> None:
    """From the day of coming home on there is nothing to arrange."""
    assert told(away_for(4), tray(), today=day(8)) != ()
    assert told(away_for(4), tray(), today=day(9)) == ()
