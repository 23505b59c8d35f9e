"""Where water runs short: the days, litres and plants of the sentences were worked out by hand (see `test_water`)."""

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


def found(
    garden: Garden,
    *batches: Batch,
    today: date = START,
    facts: Iterable[Fact] = (),
    crops: Iterable[Crop] = (THIRSTY,),
) -> tuple[str, ...]:
    """Give the sentences about these batches."""
    crops = tuple(crops)
    books = books_of(garden, *batches, facts=facts, crops=crops)
    return shortfalls(replace(garden, crops=by_name(crops)), plan_of(*batches), books, today)


# Totes.


def test_enough_water_needs_no_sentence() -> None:
    """One plant leaves half of a still tote, and two plants in a tote with a pump are topped up."""
    assert found(GARDEN, planted("A", 0, 10, 2), planted("B", 0, 10, number=2)) == ()


def test_a_full_tote_runs_low_during_an_absence() -> None:
    """From Mon 5 to Mon 12 October two plants leave 2200 mL on Sunday, 550 less than a quarter."""
    away = Away(from_on=day(2), back_on=day(9))
    garden, batch = replace(GARDEN, away=(away,)), planted("A", 0, 10, 2)
    sentence = (
        "Tote A falls below a quarter of its water on Sun 11 Oct while you are away, even if it is full when you leave."
        " Ask somebody to add 0.6 litres that day, or harvest from it before you leave."
    )
    assert found(garden, batch) == (sentence,)
    assert absent_needs(replace(garden, crops={"thirsty": THIRSTY}), plan_of(batch), books_of(garden, batch), away) == (
        sentence,
    )
    # The absence is over on Monday.
    assert found(garden, batch, today=day(8)) == (sentence,)
    assert found(garden, batch, today=day(9)) == ()


def test_a_still_tote_runs_low_during_an_absence() -> None:
    """A still tote takes only small top-ups, before you leave and from somebody who looks in.

    For an absence of days 8 and 9 it is topped up from 5190 to 7430 mL on day 7, and has 2240 on day 9: that is enough.
    For one from day 2 on it is full on Sunday morning, and 290 mL are left on day 9, 810 too few.
    """
    late, early = (Away(from_on=day(first), back_on=day(10)) for first in (8, 2))
    assert not any("away" in sentence for sentence in found(replace(GARDEN, away=(late,)), planted("B", 0, 10, 2)))
    first, second = found(replace(GARDEN, away=(early,)), planted("B", 0, 10, 2))
    assert first == (
        "Tote B falls below a tenth of its water on Mon 12 Oct while you are away, even if you top it up before you "
        "leave. Ask somebody to add 0.8 litres that day, in portions that raise it by 2 cm at most, or harvest from it "
        "before you leave."
    )
    assert second.startswith("Still tote B")


def test_a_shortfall_before_an_absence_counts_for_it() -> None:
    """A tote that runs low on day 9 needs care during an absence of days 10 and 11.

    Three plants drink 344 mL on the first of 12 days and 187.5 more on each: 9844 in nine days, which leave 1156 mL.
    """
    away = Away(from_on=day(10), back_on=day(12))
    garden, batch = replace(garden_of(NEVER), away=(away,)), planted("B", 0, 12, 3)
    books = books_of(garden, batch)
    assert [short.from_on for short in books[0].shortfalls] == [day(9)]
    (sentence,) = absent_needs(replace(garden, crops={"thirsty": THIRSTY}), plan_of(batch), books, away)
    assert sentence.startswith("Tote B falls below a tenth")


def test_a_still_tote_that_is_never_topped_up() -> None:
    """Three plants need 16.5 litres of 9.9 and run short on Sat 10 October; the tote has water for one."""
    assert found(garden_of(NEVER), planted("B", 0, 10, 3)) == (
        "Tote B falls below a tenth of its water on Sat 10 Oct. It is never topped up (top_up: never). Harvest by then,"
        " or add 6.6 litres in small portions.",
        "Still tote B, planted on Sat 3 Oct: 3 thirsty need 16.5 litres by Tue 13 Oct; the tote can supply 9.9. It is "
        "never topped up (top_up: never): plant less. Without top-ups its water is enough for 1 of them. By published "
        "figures it is enough for 1 thirsty.",
    )


def test_a_still_tote_that_is_topped_up() -> None:
    """Two plants need 11 litres of 9.9, and get one top-up of 2 cm or 2.2 litres."""
    assert found(GARDEN, planted("B", 0, 10, 2)) == (
        "Still tote B, planted on Sat 3 Oct: 2 thirsty need 11 litres by Tue 13 Oct; the tote can supply 9.9. The plan "
        "tops it up once, by at most 2.2 litres. Without top-ups its water is enough for 1 of them. By published "
        "figures it is enough for 1 thirsty.",
    )


def test_a_still_tote_with_one_large_plant() -> None:
    """One plant that needs 12 litres of 9.9 is one too many, and "needs" is singular."""
    large = make_crop("large", first_days=10, litres_a_plant=12)
    (sentence,) = found(garden_of(STILL), planted("B", 0, 10, crop=large), crops=(large,))
    assert "1 large needs 12 litres by Tue 13 Oct; the tote can supply 9.9." in sentence
    assert sentence.endswith(" its water is enough for none of them. By published figures it is enough for no large.")


def test_a_still_tote_that_small_top_ups_do_not_keep_wet() -> None:
    """Eight plants drink more in a day than 2 cm of water: the sentence says how much is missing, and to plant less."""
    first, *_ = found(GARDEN, planted("B", 0, 10, 8))
    assert first.startswith("Tote B falls below a tenth of its water on ")
    assert ", since a top-up may raise it by only 2 cm. It needs " in first
    assert first.endswith(". Plant less in it.")


def test_crops_that_share_a_still_tote() -> None:
    """Each crop is named with its plants; of six plants that need 11 litres, 9.9 are enough for five."""
    small = make_crop("small", first_days=10, litres_a_plant=1.1)
    batches = planted("B", 0, 10, 1), planted("B", 0, 10, 5, crop=small, number=2)
    (sentence,) = found(garden_of(STILL), *batches, crops=(THIRSTY, small))
    assert "1 thirsty and 5 small need 11 litres" in sentence
    assert "its water is enough for 5 of them. By published figures" in sentence
    # 9.9 litres over 5.5, or over 1.1.
    assert sentence.endswith("it is enough for 1 thirsty or 9 small.")


def test_us_units() -> None:
    """With US units 16.5 litres are 4.4 gallons, and 2 cm are 0.79 inches."""
    text = " ".join(found(replace(GARDEN, units="us"), planted("B", 0, 10, 8)))
    assert "0.79 inches" in text
    assert "litre" not in text
    assert "4.4 gallons" in " ".join(found(replace(garden_of(NEVER), units="us"), planted("B", 0, 10, 3)))


def test_shortfalls_of_the_past_are_left_out() -> None:
    """After the last day of its batches a plan has no shortfall."""
    garden = replace(garden_of(PUMPED, NEVER), away=(Away(from_on=day(2), back_on=day(9)),))
    batches = planted("A", 0, 10, 2), planted("B", 0, 10, 3, number=2)
    assert found(garden, *batches)
    assert found(garden, *batches, today=day(10)) == ()


def test_a_recorded_top_up_counts() -> None:
    """A tote that somebody tops up on Saturday during an absence does not run low."""
    garden = replace(GARDEN, away=(Away(from_on=day(2), back_on=day(9)),))
    assert found(garden, planted("A", 0, 10, 2), facts=[fact("topped-up", 7)]) == ()


# Trays of seedlings.


def tray(**changes: Any) -> Batch:
    """Give four cells sown on day 0 and planted on day 14."""
    return replace(planted("A", 14, 24, 4, sown_on=day(0)), **changes)


def away_for(days: int) -> Garden:
    """Give a garden in which nobody is at home for some days from Thu 8 October, day 5, on."""
    return replace(GARDEN, away=(Away(from_on=day(5), back_on=day(5 + days)),))


def test_a_tray_dries_after_the_days_it_is_left() -> None:
    """A tray stays moist for three days, so an absence of four from Thu 8 October needs water by Sun 11 October."""
    assert found(away_for(4), tray()) == (
        "While you are away from Thu 8 Oct, 4 cells of thirsty are in the nursery. A tray stays moist for about 3 days."
        " Ask somebody to water it by Sun 11 Oct, or stand it on a mat that draws from a jar of water.",
    )
    assert found(away_for(3), tray()) == ()
    # Seedlings that are planted on the day of return wait for the whole absence.
    assert found(away_for(4), tray(transplanted_on=day(9))) == found(away_for(4), tray())
    (longer,) = found(replace(away_for(8), unattended_days=7), tray())
    assert "about 7 days. Ask somebody to water it by Thu 15 Oct" in longer
    (one,) = found(away_for(4), tray(cells=1))
    assert "1 cell of thirsty is in the nursery" in one


def test_only_seedlings_in_a_tray_need_water() -> None:
    """Batches that are lost, sown later, planted before, sown in pots or of a crop without a profile need none."""
    for batch in (
        tray(state="lost"),
        tray(transplanted_on=None, cleared_on=None),
        tray(sown_on=day(9)),
        tray(transplanted_on=day(4)),
    ):
        assert found(away_for(4), batch) == ()
    assert found(away_for(4), tray(), crops=()) == ()
    in_pot = make_crop("thirsty", first_days=10, litres_a_plant=5.5, sown_in="pot")
    assert found(away_for(4), tray(), crops=(in_pot,)) == ()


def test_an_absence_that_is_over_is_left_out() -> None:
    """From the day of return on, trays need no care."""
    assert found(away_for(4), tray(), today=day(8)) != ()
    assert found(away_for(4), tray(), today=day(9)) == ()
