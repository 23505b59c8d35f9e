"""What the rules look at, counted by hand on tiny gardens: windows of transplant and harvest, and what stands when.

Day 0 is a Saturday.  A crop emerges the day after its sowing, and a week of its profile is a week of the calendar.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from planted import planted
from steadysow.check.case import Case, case_of, enters, is_live, leaves, leaves_hole, named, plants_on, stands
from steadysow.inputs.crops import Bolting, Crop
from steadysow.inputs.garden import Away, Garden, Lamp, Place, Stand
from steadysow.plan.batch import Batch, BatchState, Harvest
from steadysow.standing.standing import Rest
from tiny import FRIDAY, START, day, make_crop, make_garden, make_tote, make_want

# Waits for 7 to 9 days in the nursery, is ready a week after planting, and holds for 3 days.
HEAD = make_crop("cress", nursery_days=(7, 9), window_days=3)
# Cut a week after planting and every 5 days from then on, within 2 days each; 30 g, then 20 g, then 10 g.
CUT = make_crop("mizuna", "cut", between_days=5, window_days=2, grams=(30.0, 20.0, 10.0))
POTTED = make_crop("rocket", "cut", sown_in="pot", window_days=2)
CROPS = (HEAD, CUT, POTTED)
EVERY_DAY = (0, 1, 2, 3, 4, 5, 6)


def a_garden(**changes: Any) -> Garden:
    """Give a garden with two totes, in which somebody works on Saturdays."""
    garden = make_garden([make_tote("A", 4), make_tote("B", 4)], [make_want(CROPS, 2)], weeks=8, crops=CROPS)
    return replace(garden, **changes)


def a_case(
    *batches: Batch,
    garden: Garden | None = None,
    today: date = START,
    resting: Sequence[Rest] = (),
    begun: Sequence[Batch] = (),
) -> Case:
    """Give what the rules look at."""
    return case_of(garden or a_garden(), batches, today, START, resting, begun)


def head(enters: int = 7, leaves: int = 14, **changes: Any) -> Batch:
    """Give one head of cress in tote A, planned."""
    return planted("A", enters, leaves, crop=HEAD, **changes)


def cuts(*on: int, **changes: Any) -> Batch:
    """Give one mizuna in tote A, planted on day 7 and cut on some days."""
    return planted("A", 7, on[-1], crop=CUT, harvested=on, **changes)


def windows(case: Case) -> list[tuple[date, date] | None]:
    """Give the windows of all harvests to come."""
    return [window for _, _, window in case.harvest_windows()]


# Which batches.


@pytest.mark.parametrize(
    ("state", "crop", "is_planned", "to_come", "is_entering"),
    [
        ("planned", HEAD, True, True, True),
        ("sown", HEAD, False, True, True),
        ("transplanted", HEAD, False, True, False),
        ("done", HEAD, False, False, False),
        ("lost", HEAD, False, False, False),
        ("planned", POTTED, True, True, True),
        # A pot stands in its tote from the day it is sown.
        ("sown", POTTED, False, True, False),
    ],
)
def test_the_state_of_a_batch_says_what_the_plan_decides(
    state: BatchState, crop: Crop, is_planned: bool, to_come: bool, is_entering: bool
) -> None:
    """What waits in the nursery still enters a tote; what stands there is only still to be harvested."""
    batch = planted("A", 7, 14, crop=crop, state=state)
    case = a_case(batch)
    assert list(case.planned) == ([batch] if is_planned else [])
    assert list(case.live) == ([batch] if to_come else [])
    assert list(case.entering) == ([batch] if is_entering else [])
    assert is_live(batch) is to_come
    assert case.is_entering(batch) is is_entering


def test_a_batch_stands_only_with_both_ends_known() -> None:
    """A batch without a day of transplant or of clearing stands nowhere, and is not judged as one that does."""
    waiting, endless = replace(head(), transplanted_on=None), replace(head(number=2), cleared_on=None)
    whole = head(number=3)
    case = a_case(waiting, endless, whole, replace(whole, id=4, tote="B"))
    assert [batch.id for batch in case.batches if stands(batch)] == [3, 4]
    assert [batch.id for batch in case.standing_in("A")] == [3]
    assert [batch.id for batch in case.live] == [3, 4]
    assert (enters(whole), leaves(whole)) == (day(7), day(14))


def test_a_batch_is_named_by_its_number_and_crop() -> None:
    """Sentences name a batch by both."""
    assert named(head(number=5)) == "batch 5 (cress)"


def test_the_profile_of_a_batch_is_that_of_its_crop() -> None:
    """Each batch is judged by its own crop."""
    case = a_case(head(), cuts(14))
    assert [case.crop(batch).name for batch in case.batches] == ["cress", "mizuna"]


# What has happened.


def test_all_harvests_of_a_planned_batch_are_to_come() -> None:
    """A batch that is not sown yet has no past, whatever today is."""
    case = a_case(cuts(14, 19), today=day(30))
    assert [harvest.on for harvest in case.to_come(case.batches[0])] == [day(14), day(19)]


@pytest.mark.parametrize(("today", "to_come"), [(13, [14, 19]), (14, [14, 19]), (15, [19]), (20, [])])
def test_harvests_of_a_begun_batch_are_to_come_from_today_on(today: int, to_come: list[int]) -> None:
    """What is planned for today has not happened yet."""
    batch = cuts(14, 19, state="transplanted")
    assert [harvest.on for harvest in a_case(batch, today=day(today)).to_come(batch)] == [day(on) for on in to_come]


def test_a_harvest_that_was_taken_today_is_not_to_come() -> None:
    """A fact of today has happened; the same day is still to come where nothing was taken."""
    batch = cuts(14, 19, state="transplanted")
    begun = replace(batch, cleared_on=None, harvests=batch.harvests[:1])
    case = a_case(batch, today=day(14), begun=[begun])
    assert [harvest.on for harvest in case.to_come(batch)] == [day(19)]


@pytest.mark.parametrize("state", ["done", "lost"])
def test_nothing_is_to_come_of_what_is_over(state: BatchState) -> None:
    """A batch that is done or lost has nothing to come, even with harvests on later days."""
    batch = cuts(14, state=state)
    assert a_case(batch).to_come(batch) == ()


# Emergence and transplant.


def test_seedlings_emerge_where_they_are_sown() -> None:
    """In the nursery, or in the pot at its place: at 20 degrees on the next day, at no other warmth at all."""
    emergence = ((10.0, None), (20.0, 1.0), (30.0, None))
    crops = [replace(crop, emergence=emergence) for crop in (HEAD, POTTED)]
    garden = a_garden(crops={crop.name: crop for crop in crops})
    cold_shelf = replace(garden, places=(replace(garden.places[0], temperature_c=10.0),))
    sown = [planted("A", 7, 14, crop=crop, sown_on=day(7)) for crop in crops]
    assert [a_case(*sown, garden=garden).emerges_on(batch) for batch in sown] == [day(8), day(8)]
    assert [a_case(*sown, garden=cold_shelf).emerges_on(batch) for batch in sown] == [day(8), None]


def test_a_planned_batch_is_transplanted_within_its_crops_days() -> None:
    """Sown on day 0, after 7 to 9 days in the nursery, both included."""
    batch = head()
    assert a_case(batch).transplant_window(batch) == (day(7), day(9))


@pytest.mark.parametrize(("recorded", "window"), [((), (7, 9)), (("sown",), (7, 9)), (("sown", "emerged"), (9, 11))])
def test_a_recorded_emergence_counts_and_a_forecast_does_not(
    recorded: tuple[str, ...], window: tuple[int, int]
) -> None:
    """Seedlings seen on day 3 instead of day 1 are ready two days later; a day that nobody recorded moves nothing."""
    batch = head(state="sown", emerges_on=day(3), recorded=recorded)
    assert a_case(batch).transplant_window(batch) == tuple(map(day, window))


@pytest.mark.parametrize(("today", "last"), [(8, 14), (14, 14), (15, 21), (20, 21)])
def test_late_seedlings_may_go_in_on_the_first_chore_day(today: int, last: int) -> None:
    """Seedlings that waited past day 9 may be planted on the next Saturday: day 14, or 21."""
    batch = head(state="sown")
    assert a_case(batch, today=day(today)).transplant_window(batch) == (day(7), day(last))


def test_a_planned_batch_has_no_excuse() -> None:
    """A batch that is not sown yet may not be planted late, whatever today is."""
    batch = head()
    assert a_case(batch, today=day(15)).transplant_window(batch) == (day(7), day(9))


def test_what_never_emerges_is_never_ready() -> None:
    """Seeds that come up at no temperature have no window."""
    dead = replace(HEAD, emergence=((20.0, None),))
    batch = head()
    assert a_case(batch, garden=a_garden(crops={"cress": dead})).transplant_window(batch) is None


# Harvests.


def test_a_head_is_due_after_its_days_and_holds() -> None:
    """Planted on day 7 it is ready on day 14 and holds on days 14, 15 and 16."""
    assert windows(a_case(head())) == [(day(14), day(16))]


def test_the_next_cut_counts_from_the_last_one() -> None:
    """The first cut is due on day 14; taken a day late, on day 15, the next is due 5 days after that."""
    assert windows(a_case(cuts(14, 19))) == [(day(14), day(15)), (day(19), day(20))]
    assert windows(a_case(cuts(15, 20))) == [(day(14), day(15)), (day(20), day(21))]


def test_each_head_of_a_batch_counts_from_its_transplant() -> None:
    """Two heads of one batch have the same window, on whatever days they are taken."""
    first, second = (
        Harvest(on=day(on), latest_on=day(16), kind="head", number=on - 13, holes=(on - 13,), plants=1, grams=100.0)
        for on in (14, 15)
    )
    batch = replace(planted("A", 7, 15, 2, crop=HEAD), harvests=(first, second))
    case = a_case(batch)
    assert windows(case) == [(day(14), day(16))] * 2
    assert [case.harvested_before(batch, harvest) for harvest in batch.harvests] == [None, None]


def test_only_harvests_to_come_have_a_window() -> None:
    """After the first cut was taken on day 15, only the second has one."""
    batch = cuts(15, 20, state="transplanted")
    case = a_case(batch, today=day(16))
    assert windows(case) == [(day(20), day(21))]
    assert case.harvested_before(batch, batch.harvests[1]) == day(15)


@pytest.mark.parametrize(("today", "last"), [(14, 16), (15, 21), (17, 21), (21, 21), (22, 28)])
def test_a_late_harvest_has_until_the_first_harvest_day(today: int, last: int) -> None:
    """With no Saturday left in its window, a head may be taken on the first Saturday from today on: day 21, or 28."""
    batch = head(leaves=28, state="transplanted")
    case = a_case(batch, today=day(today))
    assert windows(case) == [(day(14), day(last))]


def test_a_late_day_must_also_be_a_due_day() -> None:
    """The first harvest day that counts is the first from the due day on, not one before it."""
    garden = a_garden(harvest_days=(FRIDAY,))
    # Due on Saturday, day 14, for three days; the first Friday from then on is day 20.
    batch = head(leaves=20, state="transplanted")
    assert windows(a_case(batch, garden=garden, today=day(10))) == [(day(14), day(20))]


def bolting(after_days: int) -> Garden:
    """Give the garden with cress that flowers after some days of 20 degrees."""
    limits = Bolting(after_days=after_days, longest_day_hours=None, above_c=18.0)
    bolter = replace(HEAD, growth=replace(HEAD.growth, bolting=limits))
    return a_garden(crops={"cress": bolter}, harvest_days=EVERY_DAY)


@pytest.mark.parametrize(("after_days", "window"), [(10, (14, 16)), (9, (14, 15)), (8, (14, 14)), (7, None)])
def test_a_window_ends_before_the_plant_bolts(after_days: int, window: tuple[int, int] | None) -> None:
    """Planted on day 7 and bolted on day 7 plus so many warm days: on day 14 there is nothing left to take."""
    expected = None if window is None else (day(window[0]), day(window[1]))
    assert windows(a_case(head(), garden=bolting(after_days))) == [expected]


def test_a_late_harvest_is_none_after_bolting() -> None:
    """What has bolted by the first harvest day may not be taken late."""
    batch = head(leaves=18, state="transplanted")
    assert windows(a_case(batch, garden=bolting(12), today=day(18))) == [(day(14), day(18))]
    assert windows(a_case(batch, garden=bolting(11), today=day(18))) == [(day(14), day(16))]


def test_plants_weigh_what_their_light_makes() -> None:
    """At 1 g a mol, 0.1 m2 under 12 mol make 8.4 g in the 7 days to the first cut and 6 g in the 5 to the second."""
    poor = replace(CUT, growth=replace(CUT.growth, grams_per_mol=1.0))
    batch = cuts(14, 19)
    case = a_case(batch, garden=a_garden(crops={"mizuna": poor}))
    assert [case.grams_each(batch, harvest, 0.1) for harvest in batch.harvests] == pytest.approx([8.4, 6.0])


def test_plants_weigh_no_more_than_their_profile_says() -> None:
    """With light enough, each cut has the profile's own weight, and every head that of a head."""
    batch = cuts(14, 19, 24)
    case = a_case(batch)
    assert [case.grams_each(batch, harvest, 0.1) for harvest in batch.harvests] == pytest.approx([30.0, 20.0, 10.0])
    two = replace(head(), harvests=(replace(head().harvests[0], number=2),))
    assert a_case(two).grams_each(two, two.harvests[0], 0.1) == pytest.approx(100.0)


# What stands when.


def two_heads() -> Batch:
    """Give two heads: the one in hole 1 leaves on day 14, the one in hole 2 on day 16."""
    first, second = (
        Harvest(on=day(on), latest_on=day(16), kind="head", number=hole, holes=(hole,), plants=1, grams=100.0)
        for hole, on in ((1, 14), (2, 16))
    )
    return replace(planted("A", 7, 16, 2, crop=HEAD), harvests=(first, second))


def test_a_head_leaves_its_hole_on_its_own_day() -> None:
    """All else leaves with its batch, and so does a head that is never taken."""
    batch = two_heads()
    assert [leaves_hole(batch, hole) for hole in (1, 2)] == [day(14), day(16)]
    left = replace(batch, harvests=batch.harvests[1:], cleared_on=day(20))
    assert [leaves_hole(left, hole) for hole in (1, 2)] == [day(20), day(16)]
    two_cuts = planted("A", 7, 19, 2, crop=CUT, harvested=(14, 19))
    assert [leaves_hole(two_cuts, hole) for hole in (1, 2)] == [day(19), day(19)]


def test_plants_are_counted_from_the_day_they_enter_to_the_day_before_they_leave() -> None:
    """Two from day 7 to 13, one until day 15, none on day 16."""
    batch = two_heads()
    counts = [plants_on(batch, day(on)) for on in (6, 7, 13, 14, 15, 16)]
    assert counts == [0, 2, 2, 1, 1, 0]


def test_only_what_the_plan_adds_makes_a_day_of_entry() -> None:
    """Batches of one day make one day, and those that stand already make none."""
    batches = [
        head(14, 21, number=1),
        head(7, 14, number=2),
        cuts(14, number=3),
        head(0, 7, number=4, state="transplanted"),
    ]
    assert a_case(*batches).days_of_entry(batches) == [day(7), day(14)]


@pytest.mark.parametrize(
    ("other", "together_on"),
    [
        (planted("A", 10, 17, crop=CUT, number=2), 10),
        (planted("A", 3, 10, crop=CUT, number=2), 7),
        # Leaves on the day the head enters; enters on the day the head leaves.
        (planted("A", 0, 7, crop=CUT, number=2), None),
        (planted("A", 14, 21, crop=CUT, number=2), None),
        (planted("B", 10, 17, crop=CUT, number=2), None),
        (planted("A", 10, 17, crop=HEAD, number=2), None),
    ],
)
def test_neighbours_are_of_two_crops_in_one_tote_on_one_day(other: Batch, together_on: int | None) -> None:
    """A head stands in tote A from day 7 to day 13."""
    found = [(one.id, two.id, on) for one, two, on in a_case(head(), other).neighbours()]
    assert found == ([] if together_on is None else [(1, 2, day(together_on))])


def test_neighbours_that_both_stand_already_are_past() -> None:
    """The plan no longer decides who they are; if one of them is still to enter, it does."""
    standing = head(state="transplanted")
    other = planted("A", 10, 17, crop=CUT, number=2, state="transplanted")
    assert list(a_case(standing, other).neighbours()) == []
    coming = replace(other, state="sown")
    assert [on for _, _, on in a_case(standing, coming).neighbours()] == [day(10)]


# When a batch must be out.


def moving() -> Garden:
    """Give the garden whose tote A moves from the shelf to a desk on day 15, Sunday 18 October."""
    desk = Place(name="desk", lamp=Lamp(dli_mol=12.0), temperature_c=20.0)
    stands = (Stand(place="shelf"), Stand(place="desk", from_md=(10, 18), until_md=(12, 1)))
    garden = a_garden()
    return replace(
        garden, places=(*garden.places, desk), totes=(replace(garden.totes[0], stands=stands), garden.totes[1])
    )


@pytest.mark.parametrize(
    ("garden", "resting", "last"),
    [
        (a_garden(), (), 20),
        (a_garden(clear_by=day(17)), (), 17),
        (a_garden(clear_by=day(40)), (), 20),
        (a_garden(), (Rest(tote="A", from_on=day(16), until_on=day(30)),), 16),
        (a_garden(), (Rest(tote="B", from_on=day(16), until_on=day(30)),), 20),
        (a_garden(), (Rest(tote="A", from_on=day(0), until_on=day(7)),), 20),
        (moving(), (), 15),
        (replace(moving(), clear_by=day(17)), (Rest(tote="A", from_on=day(16), until_on=day(30)),), 15),
    ],
    ids=["free", "season", "long season", "rests", "other rests", "rested", "moves", "first of all"],
)
def test_a_batch_must_leave_by_the_first_day_it_cannot_stay(
    garden: Garden, resting: tuple[Rest, ...], last: int
) -> None:
    """Of the end of the season, a rest of its tote and a move of it, the first day counts, and at most the last."""
    batch = head()
    assert a_case(batch, garden=garden, resting=resting).must_leave_by(batch, day(20)) == day(last)


def test_the_first_day_at_home_is_today_or_the_day_of_return() -> None:
    """Away from day 3 to day 5: on day 2 it is that day, on days 3 to 5 it is day 6."""
    garden = a_garden(away=(Away(from_on=day(3), back_on=day(6)),))
    found = [a_case(head(), garden=garden, today=day(today)).first_day_at_home() for today in (2, 3, 5, 6)]
    assert found == [day(2), day(6), day(6), day(6)]


def test_with_no_possible_day_today_stands_in() -> None:
    """Where nobody is at home for longer than is looked ahead, there is no better day than today."""
    garden = a_garden(away=(Away(from_on=day(0), back_on=day(500)),))
    assert a_case(head(), garden=garden, today=day(4)).first_day_at_home() == day(4)


def test_conditions_reach_back_to_the_first_date_of_any_batch() -> None:
    """A batch sown long before today, and one of next year, have their dates counted all the same."""
    old = planted("A", -60, -53, crop=HEAD, number=1, state="sown", sown_on=day(-67))
    late = planted("A", 300, 307, crop=HEAD, number=2, sown_on=day(293))
    case = a_case(old, late)
    assert case.transplant_window(old) == (day(-60), day(0))
    assert windows(case)[-1] == (day(307), day(309))
