"""Sentences about a plan: what is out of reach and why, shares, lost seedlings, batches cut short, long weeks."""

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from builders import a_batch, a_harvest
from steadysow.advice.notes import cut_short, long_weeks, lost_since, notes_on
from steadysow.inputs.crops import Bolting, Crop
from steadysow.inputs.garden import Garden, Lamp, Outdoors, Place, Serving, Stand
from steadysow.plan.batch import Batch, BatchState, Harvest
from steadysow.plan.measure import Measure
from steadysow.plan.plan import WantWeek, Week
from tiny import START, by_name, day, make_crop, make_garden, make_tote, make_want, proposed

# Planted after a week in the nursery, ready a week later; its seeds come up at 20 degrees alone.
CRESS = make_crop()
FREE_SEEDS = ((5.0, 10.0), (20.0, 1.0), (30.0, 2.0))
SLOW = replace(make_crop("leek", first_days=60, window_days=7), emergence=FREE_SEEDS)
GRAND = replace(make_crop("artichoke", first_days=500, window_days=7), emergence=FREE_SEEDS)
BOLTER = replace(
    make_crop("spinach", first_days=30, window_days=7),
    growth=replace(CRESS.growth, bolting=Bolting(after_days=14, longest_day_hours=None, above_c=18.0)),
)
# Comes up where cress does not: it is known to at 10 degrees.
WINTER = replace(make_crop("lovage", window_days=7), emergence=((5.0, 20.0), (10.0, 8.0)))
YARD = Place(name="yard", temperature_c=20.0, outdoors=Outdoors(frost_free=((5, 20), (9, 25)), shade=0.0))
DIM = Place(name="corner", temperature_c=20.0, lamp=Lamp(dli_mol=0.05))
UPKEEP = "That counts 7 minutes of upkeep for each full tote."
FULL = "A week already over the limit gets no new work."
ROUTINE = "You harvest on 1 day a week, only while you are at home, and only before the plan ends."


def a_garden(*crops: Crop, places: tuple[Place, ...] = (), **changes: object) -> Garden:
    """Give a garden of four weeks with a tote at each place, whose one want any of the crops serves."""
    garden = make_garden([make_tote("A", 4)], [make_want(crops, 2)], weeks=4)
    places = places or garden.places
    totes = tuple(
        replace(make_tote(f"T{number}", 4), stands=(Stand(place=place.name),)) for number, place in enumerate(places)
    )
    return replace(garden, places=places, totes=totes, latitude=61.0, **changes)  # type: ignore[arg-type]


def measured(*weeks: tuple[WantWeek, ...]) -> Measure:
    """Give a measure of these weeks; notes use nothing else of it."""
    return Measure(
        weeks=tuple(Week(starts_on=day(7 * number), wants=wants) for number, wants in enumerate(weeks)),
        served_share=0.0,
        all_weeks=0.0,
        deep_gaps=0,
        sowings=0,
        sowing_days=0,
        work_days=0,
        surplus_grams=0.0,
    )


def a_week(want: str = "salad", *, in_reach: bool = False, wanted: float = 2.0, **by_crop: float) -> WantWeek:
    """Give a want's week."""
    harvested = sum(by_crop.values())
    return WantWeek(
        want=want,
        unit="heads",
        wanted=wanted,
        harvested=harvested,
        served=min(wanted, harvested),
        surplus=0.0,
        in_reach=in_reach,
        by_crop=tuple(by_crop.items()),
    )


def never(garden: Garden, *crops: Crop) -> str:
    """Give the one note on a garden of whose want nothing can be ready in four weeks, which is looked up as well."""
    candidates, _ = proposed(garden, crops)
    assert candidates.reach == {"salad": None}
    (note,) = notes_on(replace(garden, crops=by_name(crops)), measured(*[(a_week(),)] * 4), {"salad": None}, START)
    return note


# Out of reach for good.


def test_every_crop_of_a_want_says_why_it_is_never_ready() -> None:
    """One whose seeds do not come up, one that bolts and one that is far too slow each have their reason."""
    crops = (WINTER, BOLTER, GRAND)
    note = never(a_garden(*crops), *crops)
    assert note.startswith("Nothing for salad can be ready within the plan. Lovage, sown on 3 Oct 2026 at shelf: ")
    # In the order of the want: each sentence between the name of its crop and that of the next.
    lovage, rest = note.split(" Spinach, sown on 3 Oct 2026 at shelf: ")
    spinach, artichoke = rest.split(" Artichoke, sown on 3 Oct 2026 at shelf: ")
    assert lovage.endswith("Seeds do not come up where they are sown: published figures run from 5 °C to 10 °C.")
    # A week in the nursery and two weeks at 20 degrees: 24 October.
    assert spinach.endswith("It bolts by 24 Oct 2026, before it is ready: it tolerates 14 days of more than 18 °C.")
    assert artichoke.endswith(f"It would not be ready within a year. {ROUTINE}")


def test_a_crop_that_is_ready_after_the_plan_says_when() -> None:
    """Sown on the first day, planted a week later, ready 60 days after that: 9 December, when the plan has ended."""
    assert never(a_garden(SLOW), SLOW) == (
        "Nothing for salad can be ready within the plan. "
        f"Leek, sown on 3 Oct 2026, is ready at shelf on 9 Dec 2026 at the earliest. {ROUTINE}"
    )


def test_a_crop_that_is_ready_on_no_harvest_day() -> None:
    """A head that is good for one day, a Saturday, is never taken where harvests are on Wednesdays."""
    garden = replace(a_garden(CRESS), harvest_days=(2,))
    note = never(garden, CRESS)
    assert note.startswith(
        "Nothing for salad can be ready within the plan. "
        "Cress, sown on 3 Oct 2026, is ready at shelf on 17 Oct 2026 at the earliest. "
    )
    assert note.endswith(ROUTINE)


@pytest.mark.parametrize(
    ("window_days", "harvest_days", "is_shown"),
    [(5, (5,), True), (6, (5,), True), (7, (5,), False), (5, (2, 5), False)],
)
def test_a_crop_that_does_not_wait_a_week(window_days: int, harvest_days: tuple[int, ...], is_shown: bool) -> None:
    """With one harvest day a week, what is good for fewer than seven days may be due on none."""
    brief = replace(SLOW, harvest=replace(SLOW.harvest, window_days=window_days))
    note = never(replace(a_garden(brief), harvest_days=harvest_days), brief)
    sentence = f"Once due, it must be harvested within {window_days} days. Another harvest day may help."
    assert (sentence in note) is is_shown


def test_a_day_to_wait_is_one_day() -> None:
    """What is good for one day is harvested within 1 day."""
    assert "it must be harvested within 1 day. Another" in never(replace(a_garden(CRESS), harvest_days=(2,)), CRESS)


def test_no_harvest_day_helps_what_is_never_due() -> None:
    """Where its seeds do not come up a crop is never due, and another harvest day does not help."""
    brief = replace(WINTER, harvest=replace(WINTER.harvest, window_days=3))
    assert "Another harvest day may help" not in never(a_garden(brief), brief)


def test_the_place_where_it_is_ready_first_is_named() -> None:
    """Of a dark corner, a yard in winter and a shelf, the note names the shelf."""
    shelf = a_garden(SLOW).places[0]
    note = never(a_garden(SLOW, places=(DIM, YARD, shelf)), SLOW)
    assert "is ready at shelf on 9 Dec 2026" in note
    assert "corner" not in note


def test_a_place_without_totes_is_not_named() -> None:
    """A bright shelf on which nothing stands helps nobody: the note is about the corner where the tote is."""
    garden = a_garden(SLOW, places=(DIM,))
    shelf = a_garden(SLOW).places[0]
    note = never(replace(garden, places=(DIM, shelf)), SLOW)
    assert "Leek, sown on 3 Oct 2026 at corner: " in note
    assert "It would not be ready within a year." in note
    assert "shelf" not in note


def test_a_place_whose_totes_cannot_hold_the_crop_is_not_named() -> None:
    """A crop that needs a pump is not ready on the shelf, where the only tote is still."""
    pumped = replace(SLOW, systems=("dwc",))
    garden = a_garden(pumped, places=(a_garden(SLOW).places[0], DIM))
    still, pump = garden.totes
    note = never(replace(garden, totes=(replace(still, system="kratky"), pump)), pumped)
    assert "is ready at shelf" not in note
    assert "at corner: " in note


def test_a_place_to_which_no_tote_comes_in_time_is_not_named() -> None:
    """A tote that stands on the shelf in January only, and in the dark corner else, has nothing ready in December."""
    shelf = a_garden(SLOW).places[0]
    garden = a_garden(SLOW, places=(shelf, DIM))
    stands = (Stand(place="shelf", from_md=(1, 1), until_md=(2, 1)), Stand(place="corner"))
    note = never(replace(garden, totes=(replace(make_tote("A", 4), stands=stands),)), SLOW)
    assert "is ready at shelf" not in note


def test_a_yard_in_winter_says_that_it_is_closed() -> None:
    """What is sown in October could be planted a week later, when the yard is not in use."""
    garden = a_garden(CRESS, places=(YARD,))
    note = never(garden, CRESS)
    assert "at yard: The place is not in use on 10 Oct 2026, when the seedlings could be planted." in note


def test_units_and_harvest_days_are_those_of_the_garden() -> None:
    """Two harvest days are two days; in US units 5 to 10 degrees are 41 to 50 Fahrenheit."""
    garden = replace(a_garden(WINTER), units="us", harvest_days=(2, 5))
    note = never(garden, WINTER)
    assert "published figures run from 41 °F to 50 °F." in note
    assert note.endswith("You harvest on 2 days a week, only while you are at home, and only before the plan ends.")


def test_each_want_has_its_own_note() -> None:
    """A want that is met, one out of reach for good and one that nobody wants yet make one note."""
    garden = replace(
        a_garden(CRESS),
        wants=(
            make_want([CRESS], 2, name="salad"),
            make_want([GRAND], 2, name="feast"),
            make_want([GRAND], 2, name="later"),
        ),
    )
    week = (a_week("salad", in_reach=True, cress=2.0), a_week("feast"), a_week("later", wanted=0.0))
    reach = {"salad": day(14), "feast": None, "later": None}
    (note,) = notes_on(replace(garden, crops=by_name([CRESS, GRAND])), measured(week), reach, START)
    assert note.startswith("Nothing for feast can be ready within the plan. Artichoke, sown on 3 Oct 2026 at shelf: ")


# Out of reach at first.


def test_weeks_before_the_first_harvest_are_named() -> None:
    """Two weeks are out of reach: salad before 17 October, the day of the first harvest."""
    weeks = ((a_week(),), (a_week(),), (a_week(in_reach=True, cress=2.0),))
    (note,) = notes_on(replace(a_garden(CRESS), crops=by_name([CRESS])), measured(*weeks), {"salad": day(14)}, START)
    assert note == "Salad before 17 Oct 2026 is out of reach: the first harvest can be on 17 Oct 2026."


def test_what_is_in_reach_needs_no_note() -> None:
    """Where every week can be served there is nothing to say."""
    weeks = ((a_week(in_reach=True, cress=2.0),), (a_week(in_reach=True),))
    assert notes_on(replace(a_garden(CRESS), crops=by_name([CRESS])), measured(*weeks), {"salad": START}, START) == ()


# Shares.


def test_shares_that_are_not_kept_are_named() -> None:
    """Of 10 heads, 9 are cress and 1 is leek; the want asks for at most 80 % cress and at least 20 % leek."""
    servings = (Serving(crop="cress", most=0.8), Serving(crop="leek", least=0.2))
    garden = replace(a_garden(CRESS, SLOW), wants=(make_want(servings, 5),))
    weeks = ((a_week(in_reach=True, cress=5.0),), (a_week(in_reach=True, cress=4.0, leek=1.0),))
    assert notes_on(replace(garden, crops=by_name([CRESS, SLOW])), measured(*weeks), {"salad": START}, START) == (
        "Cress is 90% of the salad, more than the 80% you asked for. What already stands is more.",
        "Leek is 10% of the salad, less than the 20% you asked for. No more is possible.",
    )
    kept = ((a_week(in_reach=True, cress=8.0, leek=2.0),),)
    assert notes_on(replace(garden, crops=by_name([CRESS, SLOW])), measured(*kept), {"salad": START}, START) == ()


# Seedlings that were lost.


def test_seedlings_that_can_no_longer_be_planted_are_named() -> None:
    """A batch that waited and is lost now is named; one lost before, and one still waiting, are not."""

    def waiting(number: int, state: BatchState) -> Batch:
        days = {"sown_on": date(2026, 9, 5), "transplanted_on": date(2026, 9, 12), "cleared_on": date(2026, 9, 19)}
        return a_batch(number, (), plants=4, state=state, **days)

    begun = (waiting(1, "sown"), waiting(2, "lost"), waiting(3, "sown"))
    (note,) = lost_since(begun, (waiting(1, "lost"), waiting(2, "lost"), waiting(3, "sown")))
    assert note == (
        "Batch 1 (4 cress, sown on 5 Sep 2026) can no longer be planted: "
        "no tote has room before its time in the nursery is over."
    )


# Batches that give nothing more.


def standing(**changes: Any) -> Batch:
    """Give two spinach that were planted in tote T0 on day 0, and are cleared on day 20 without a harvest."""
    usual: dict[str, Any] = {
        "crop": "spinach", "tote": "T0", "state": "transplanted", "sown_on": day(-7), "transplanted_on": day(0),
        "cleared_on": day(20),
    }  # fmt: skip
    return a_batch(5, (1, 2), **(usual | changes))


def cut(on: int) -> Harvest:
    """Give a harvest of both plants."""
    return a_harvest(day(on), (1, 2), "cut", grams=100.0)


def short(batch: Batch, *, today: int, garden: Garden | None = None, begun: bool = True) -> list[str]:
    """Give the notes on a batch that stands."""
    return list(cut_short(garden or a_garden(BOLTER, crops=by_name([BOLTER])), [batch] * begun, [batch], day(today)))


def test_a_batch_that_bolts_before_it_is_due_is_named() -> None:
    """Planted on day 0 it bolts on day 14, 17 October, and would be due on day 30."""
    note = "Batch 5 (2 spinach in tote T0) gives nothing more and is cleared on 23 Oct 2026: it bolts by 17 Oct 2026."
    assert short(standing(), today=8) == [note]
    assert short(standing(), today=16) == [note]


def test_a_batch_that_bolts_before_its_next_cut_is_named() -> None:
    """Cut on day 10 and due again on day 20, it bolts on day 14."""
    twice = replace(
        BOLTER, harvest=replace(BOLTER.harvest, kind="cut", first_days=10, between_days=10, grams=(50.0, 50.0))
    )
    garden = a_garden(twice, crops=by_name([twice]))
    assert len(short(standing(harvests=(cut(10),)), today=11, garden=garden)) == 1


def test_a_batch_whose_tote_has_moved_is_named() -> None:
    """The tote stands in the corner by now."""
    garden = a_garden(BOLTER, places=(a_garden(BOLTER).places[0], DIM), crops=by_name([BOLTER]))
    moved = replace(garden.totes[0], stands=(Stand(place="corner"),))
    assert short(standing(), today=8, garden=replace(garden, totes=(moved,))) == [
        "Batch 5 (2 spinach in tote T0) gives nothing more and is cleared on 23 Oct 2026: "
        "the tote is no longer at shelf."
    ]


def test_a_batch_that_gives_more_or_is_cleared_for_another_reason_is_not_named() -> None:
    """Neither one with a harvest to come, nor one that waits, is new or nobody wants, makes a note."""
    assert short(standing(harvests=(cut(8),)), today=8) == []
    assert short(standing(state="sown"), today=8) == []
    assert short(standing(), today=8, begun=False) == []
    assert short(standing(cleared_on=None), today=8) == []
    steady = replace(BOLTER, growth=CRESS.growth)
    assert short(standing(), today=8, garden=a_garden(steady, crops=by_name([steady]))) == []


# Weeks with much work.


def long_weeks_of(limit: float | None, *, today: int = 0) -> list[str]:
    """Give the notes on four heads of cress that are planted on day 7, to be cut on day 14."""
    holes = (1, 2, 3, 4)
    batch = a_batch(1, holes, sown_on=START, transplanted_on=day(7), harvests=(a_harvest(day(14), holes),))
    garden = make_garden([make_tote("A", 4)], [make_want([CRESS], 4)], weeks=4, chore_minutes_a_week=limit)
    return list(long_weeks(replace(garden, crops=by_name([CRESS])), [batch], START, day(today)))


def test_the_busiest_week_is_named() -> None:
    """Of 7 minutes for sowing, 13 for planting and upkeep and 4 for cutting the second week has most."""
    assert long_weeks_of(15) == [
        f"The week of 10 Oct 2026 is the busiest, with 13 of the 15 minutes that you allow. {UPKEEP}"
    ]
    assert long_weeks_of(15, today=14) == [
        f"The week of 17 Oct 2026 is the busiest, with 4 of the 15 minutes that you allow. {UPKEEP}"
    ]
    assert long_weeks_of(None) == []


def test_too_few_minutes_for_any_sowing_make_a_note() -> None:
    """One plant in one cell, which is the smallest sowing of this garden, takes 5.5 minutes to sow."""
    assert "A sowing takes at least 5.5 minutes, but you allow 5 a week. Nothing can be sown." in long_weeks_of(5)
    assert not any("Nothing can be sown" in note for note in long_weeks_of(5.5))


def test_weeks_that_begun_batches_overfill_are_named() -> None:
    """Weeks over the limit are named with their minutes, each until its last day."""
    assert long_weeks_of(10, today=13) == [
        f"Begun batches take more than the 10 minutes that you allow in the week of 10 Oct 2026 (13 minutes). {FULL}",
        f"The week of 17 Oct 2026 is the busiest of the others, with 4 of the 10 minutes that you allow. {UPKEEP}",
    ]
    assert long_weeks_of(6, today=0)[0] == (
        "Begun batches take more than the 6 minutes that you allow in the weeks of 3 Oct 2026 (7 minutes) and "
        f"10 Oct 2026 (13 minutes). {FULL}"
    )
    assert long_weeks_of(10, today=14) == [
        f"The week of 17 Oct 2026 is the busiest, with 4 of the 10 minutes that you allow. {UPKEEP}"
    ]


def test_weeks_that_are_all_too_long_leave_no_busiest_of_the_others() -> None:
    """With less than four minutes a week, every week with work is over the limit."""
    notes = long_weeks_of(3, today=14)
    assert notes == [
        "A sowing takes at least 5.5 minutes, but you allow 3 a week. Nothing can be sown.",
        f"Begun batches take more than the 3 minutes that you allow in the week of 17 Oct 2026 (4 minutes). {FULL}",
    ]
