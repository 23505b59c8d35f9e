"""The planner against every plan there is.

In gardens so small that all legal plans can be counted, it finds the best of them.  Each case says which rule it is
about; where the case can be told without the rule, the best plan is then another one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import cache

import pytest

from builders import a_batch
from steadysow.inputs.crops import Bolting, Crop, System
from steadysow.inputs.garden import Away, Garden, Lamp, Outdoors, Place, Serving, Stand, Want, Window
from steadysow.plan.batch import Batch, Harvest
from steadysow.search import rules
from steadysow.standing.standing import Rest, Standing
from tiny import (
    NOTHING_BEGUN,
    SATURDAY,
    START,
    WEDNESDAY,
    by_name,
    day,
    decided,
    make_crop,
    make_garden,
    make_tote,
    make_want,
)

from .every_plan import Best, Every

EXACT = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A tiny garden, and the same without the rule that the case is about (``None``: the rule cannot be left out)."""

    garden: Garden
    crops: tuple[Crop, ...]
    standing: Standing = NOTHING_BEGUN
    today: date = START
    without: Case | None = None

    def best(self) -> Best:
        """Look at every plan."""
        return self.every.best()

    @property
    def every(self) -> Every:
        """Every plan of the garden."""
        garden = replace(self.garden, crops=by_name(self.crops))
        return Every(garden=garden, standing=self.standing, today=self.today)


def still_tote() -> Case:
    """Show that all plants of a kratky tote enter on one day, though heads would hold for a week."""
    cress = make_crop(first_days=14, window_days=8, lid_holes=2)
    garden = make_garden([make_tote("A", 2, "kratky")], [make_want([cress], 1)], weeks=9)
    hole_by_hole = replace(garden, totes=(make_tote("A", 2, "dwc"),))
    return Case(garden=garden, crops=(cress,), without=Case(garden=hole_by_hole, crops=(cress,)))


def hole_by_hole() -> Case:
    """Show that a hole is planted again only after turnaround, which waits for a day of chores."""
    cress = make_crop(nursery_days=(7, 14), window_days=4, lid_holes=2, keeps_days=2)
    garden = make_garden(
        [make_tote("A", 2)],
        [make_want([cress], 2)],
        weeks=5,
        chore_days=(WEDNESDAY, SATURDAY),
        turnaround_days=1,
    )
    return Case(garden=garden, crops=(cress,), without=Case(garden=replace(garden, turnaround_days=0), crops=(cress,)))


def early_and_late_cuts() -> Case:
    """Show that a cut may be taken late by its slack only, and the next falls due from the cut that was made."""
    chard = make_crop("chard", "cut", between_days=7, window_days=8, grams=(60.0, 100.0, 80.0), lid_holes=2)
    away = (Away(from_on=day(21), back_on=day(22)),)
    garden = make_garden([make_tote("A", 2)], [make_want([chard], 120, unit="g")], weeks=7, away=away, every_days=21)
    patient = replace(chard, harvest=replace(chard.harvest, window_days=1))
    return Case(garden=garden, crops=(chard,), without=Case(garden=garden, crops=(patient,)))


def heads_taken_one_by_one() -> Case:
    """Show that heads of one batch are taken on different days while they hold."""
    cress = make_crop(window_days=12, lid_holes=3, keeps_days=1)
    garden = make_garden([make_tote("A", 3)], [make_want([cress], 1)], weeks=6, every_days=14, smallest=2)
    brief = replace(cress, harvest=replace(cress.harvest, window_days=1))
    return Case(garden=garden, crops=(cress,), without=Case(garden=garden, crops=(brief,)))


def days_away() -> Case:
    """Show that nothing is held back for a week away that wants less, and nothing is sown or harvested while away."""
    cress = make_crop(window_days=8, lid_holes=3, keeps_days=12)
    away = (Away(from_on=day(21), back_on=day(27)),)
    garden = make_garden([make_tote("A", 3)], [make_want([cress], 3)], weeks=6, away=away)
    return Case(garden=garden, crops=(cress,))


def crops_of_different_room() -> Case:
    """Show that three heads of one crop or four of another fill a lid; mixed, their parts of a lid add up."""
    wide, slim = make_crop("wide", lid_holes=3), make_crop("slim", lid_holes=4)
    wants = [make_want([wide], 4, name="wide heads"), make_want([slim], 4, name="slim heads")]
    garden = make_garden([make_tote("A", 4), make_tote("B", 4)], wants, weeks=4)
    narrow = replace(wide, lid_holes=4)
    return Case(garden=garden, crops=(wide, slim), without=Case(garden=garden, crops=(narrow, slim)))


def spare_holes() -> Case:
    """Show that turnaround keeps a hole empty, not the room of the plant that has left."""
    wide = make_crop("wide", lid_holes=2)
    garden = make_garden([make_tote("A", 3)], [make_want([wide], 2)], weeks=6, turnaround_days=1)
    return Case(garden=garden, crops=(wide,), without=Case(garden=replace(garden, turnaround_days=0), crops=(wide,)))


def spare_holes_of_alike_totes() -> Case:
    """Show that two alike totes with a hole to spare each tell only one by one who may be planted."""
    wide, cress = make_crop("wide", lid_holes=2), make_crop("cress", lid_holes=3)
    garden = make_garden(
        [make_tote("A", 3), make_tote("B", 3)], [make_want([wide, cress], 4)], weeks=5, turnaround_days=1, every_days=7
    )
    crops = (wide, cress)
    return Case(garden=garden, crops=crops, without=Case(garden=replace(garden, turnaround_days=0), crops=crops))


def turnaround_of_what_is_done() -> Case:
    """Show that a hole harvested the day before planning is in turnaround still, so that a batch waits on."""
    cress = make_crop(nursery_days=(7, 14), lid_holes=2)
    taken = Harvest(on=day(-1), latest_on=day(-1), kind="head", number=1, holes=(1,), plants=1, grams=100.0)
    done = begun_batch(cress, sown_on=day(-15), plants=1, transplanted_on=day(-8), harvests=(taken,))
    done = replace(done, state="done", cleared_on=day(-1))
    waits = replace(begun_batch(cress, sown_on=day(-7), plants=2), id=8)
    garden = make_garden([make_tote("A", 2)], [make_want([cress], 2)], weeks=3, turnaround_days=5)
    brief = replace(garden, turnaround_days=0)
    standing = Standing(begun=(done, waits), next_id=9)
    return Case(
        garden=garden, crops=(cress,), standing=standing, without=Case(garden=brief, crops=(cress,), standing=standing)
    )


def turnaround_of_a_still_tote() -> Case:
    """Show that a still tote emptied the day before planning is in turnaround as a whole."""
    case = turnaround_of_what_is_done()
    still = (make_tote("A", 2, "kratky"),)
    assert case.without is not None
    without = replace(case.without, garden=replace(case.without.garden, totes=still))
    return replace(case, garden=replace(case.garden, totes=still), without=without)


def reservoirs_that_do_not_agree() -> Case:
    """Show that crops that tolerate no common EC stand in different totes, also where totes are alike."""
    weak, strong = make_crop("weak", ec=(0.6, 1.0), lid_holes=2), make_crop("strong", ec=(1.8, 2.4), lid_holes=2)
    wants = [make_want([weak], 3, name="weak heads"), make_want([strong], 1, name="strong heads")]
    garden = make_garden([make_tote("A", 2), make_tote("B", 2)], wants, weeks=5)
    mild = replace(strong, ec=weak.ec)
    return Case(garden=garden, crops=(weak, strong), without=Case(garden=garden, crops=(weak, mild)))


def batch_that_stands() -> Case:
    """Show that a begun batch goes on from the cut it has given, or makes room; what has happened is counted from."""
    chard = make_crop("chard", "cut", between_days=7, window_days=4, grams=(60.0, 50.0, 40.0), lid_holes=2)
    cress = make_crop("cress", lid_holes=2, grams=(90.0,))
    first_cut = Harvest(on=day(-4), latest_on=day(-4), kind="cut", number=1, holes=(1,), plants=1, grams=60.0)
    begun = begun_batch(chard, sown_on=day(-21), plants=1, transplanted_on=day(-14), harvests=(first_cut,))
    wants = [make_want([chard, cress], 150, unit="g")]
    garden = make_garden([make_tote("A", 2)], wants, weeks=5, harvest_days=(WEDNESDAY, SATURDAY))
    nothing_begun = Case(garden=garden, crops=(chard, cress))
    return replace(nothing_begun, standing=Standing(begun=(begun,), next_id=8), without=nothing_begun)


def batch_that_waits() -> Case:
    """Show that a batch that waits in the nursery is planted whole, on one day, in one tote."""
    cress = make_crop(nursery_days=(7, 14), window_days=4, lid_holes=3)
    begun = begun_batch(cress, sown_on=START, plants=2)
    garden = make_garden([make_tote("A", 2), make_tote("B", 1)], [make_want([cress], 3)], weeks=5)
    nothing_begun = Case(garden=garden, crops=(cress,), today=day(3))
    return replace(nothing_begun, standing=Standing(begun=(begun,), next_id=8), without=nothing_begun)


def batches_that_are_late() -> Case:
    """Show that what is late is seen to on the first day there is: one batch is planted late, one taken late."""
    cress = make_crop(lid_holes=4)
    waits = begun_batch(cress, sown_on=day(-7), plants=2)
    stands = replace(begun_batch(cress, sown_on=day(-14), plants=1, transplanted_on=day(-7)), id=8, tote="B")
    away = (Away(from_on=START, back_on=day(5)),)
    totes = [make_tote("A", 2), make_tote("B", 1)]
    garden = make_garden(totes, [make_want([cress], 2)], weeks=5, away=away)
    nothing_begun = Case(garden=garden, crops=(cress,))
    return replace(nothing_begun, standing=Standing(begun=(waits, stands), next_id=9), without=nothing_begun)


def tote_that_rests() -> Case:
    """Show that a tote out of use for two weeks holds no plant in them."""
    cress = make_crop(window_days=4, lid_holes=2)
    garden = make_garden([make_tote("A", 2), make_tote("B", 1)], [make_want([cress], 3)], weeks=6)
    rest = Rest(tote="A", from_on=day(15), until_on=day(28))
    in_use = Case(garden=garden, crops=(cress,))
    return replace(in_use, standing=Standing(rests=(rest,)), without=in_use)


def wants_that_matter_more() -> Case:
    """Show that of two wants for two holes the more important is served, and weighs more in the share."""
    cress, mizuna = make_crop("cress", lid_holes=2), make_crop("mizuna", lid_holes=2)
    wants = [make_want([cress], 2, name="salad", importance=1.0), make_want([mizuna], 1, name="pan", importance=3.0)]
    garden = make_garden([make_tote("A", 2)], wants, weeks=6)
    alike = replace(garden, wants=tuple(replace(want, importance=1.0) for want in garden.wants))
    crops = (cress, mizuna)
    return Case(garden=garden, crops=crops, without=Case(garden=alike, crops=crops))


def crops_that_keep_their_share() -> Case:
    """Show that at most half of what is harvested for a want is of the quick crop."""
    quick, slow = make_crop("quick", lid_holes=2), make_crop("slow", first_days=14, lid_holes=2)
    half = make_want([Serving(crop="quick", most=0.5), slow], 2)
    garden = make_garden([make_tote("A", 2)], [half], weeks=6)
    any_share = replace(garden, wants=(make_want([quick, slow], 2),))
    crops = (quick, slow)
    return Case(garden=garden, crops=crops, without=Case(garden=any_share, crops=crops))


def few_crops_a_day() -> Case:
    """Show that one crop is sown a day where no more may be."""
    cress, mizuna = make_crop("cress", lid_holes=2), make_crop("mizuna", lid_holes=2)
    wants = [make_want([cress], 1, name="salad"), make_want([mizuna], 1, name="pan")]
    garden = make_garden([make_tote("A", 2)], wants, weeks=6, crops_a_day=1)
    more = replace(garden, sowing=replace(garden.sowing, crops_a_day=2))
    return Case(garden=garden, crops=(cress, mizuna), without=Case(garden=more, crops=(cress, mizuna)))


def sowings_two_weeks_apart() -> Case:
    """Show that sowing days lie two weeks apart, and the seedlings may wait a week."""
    cress = make_crop(nursery_days=(7, 14), lid_holes=2)
    garden = make_garden([make_tote("A", 2)], [make_want([cress], 1)], weeks=7, every_days=15)
    often = replace(garden, sowing=replace(garden.sowing, every_days=7))
    return Case(garden=garden, crops=(cress,), without=Case(garden=often, crops=(cress,)))


def sowings_large_enough() -> Case:
    """Show that a sowing is at least two plants, so that three holes serve one of two wants."""
    cress, mizuna = make_crop("cress", lid_holes=3), make_crop("mizuna", lid_holes=3)
    wants = [make_want([cress], 1, name="salad"), make_want([mizuna], 2, name="pan")]
    garden = make_garden([make_tote("A", 3)], wants, weeks=3, smallest=2)
    single = replace(garden, sowing=replace(garden.sowing, smallest=1))
    return Case(garden=garden, crops=(cress, mizuna), without=Case(garden=single, crops=(cress, mizuna)))


def few_cells() -> Case:
    """Show that four cells raise no more than three seedlings at a time where nine in ten come up."""
    cress = replace(make_crop(nursery_days=(14, 14), lid_holes=3), germination_percent=90.0)
    garden = make_garden([make_tote("A", 3)], [make_want([cress], 2)], weeks=7, cells=4)
    many = replace(garden, nursery=replace(garden.nursery, cells=60))
    return Case(garden=garden, crops=(cress,), without=Case(garden=many, crops=(cress,)))


def few_minutes() -> Case:
    """Show that where a week's work is limited, sowing, planting, harvests, clearing and upkeep share its minutes.

    Two heads a week would take 5 minutes for sowing, 1 for cells, 3 for planting, 2 for cutting and 7 for upkeep: 18.
    """
    cress = make_crop(lid_holes=2)
    garden = make_garden([make_tote("A", 2)], [make_want([cress], 2)], weeks=6, chore_minutes_a_week=13.0)
    any_time = replace(garden, chore_minutes_a_week=None)
    return Case(garden=garden, crops=(cress,), without=Case(garden=any_time, crops=(cress,)))


def minutes_for_cuts() -> Case:
    """Show that plants cut once and again ask for less than those sown anew, and that their roots are cleared."""
    chard = make_crop("chard", "cut", between_days=7, window_days=3, grams=(60.0, 40.0, 30.0), lid_holes=2)
    cress = make_crop("cress", lid_holes=2, grams=(90.0,))
    wants = [make_want([chard, cress], 120, unit="g")]
    garden = make_garden([make_tote("A", 2), make_tote("B", 1)], wants, weeks=4, chore_minutes_a_week=14.0)
    any_time = replace(garden, chore_minutes_a_week=None)
    return Case(garden=garden, crops=(chard, cress), without=Case(garden=any_time, crops=(chard, cress)))


def minutes_of_what_stands() -> Case:
    """Show that nothing is added to a week that what stands overfills, and to another as much as it leaves.

    Six heads were planted today, in 9 minutes, and are cut in a week, in 6; their upkeep takes 7.
    """
    cress = make_crop(lid_holes=6)
    begun = replace(begun_batch(cress, sown_on=day(-7), plants=6, transplanted_on=START), tote="B")
    totes = [make_tote("A", 2), make_tote("B", 6)]
    garden = make_garden(totes, [make_want([cress], 2)], weeks=4, chore_minutes_a_week=14.0)
    standing = Standing(begun=(begun,), next_id=8)
    any_time = Case(garden=replace(garden, chore_minutes_a_week=None), crops=(cress,), standing=standing)
    return replace(any_time, garden=garden, without=any_time)


def water_that_lasts() -> Case:
    """Show that a still tote that is never topped up carries no more plants than nine tenths of its water last for."""
    cress = make_crop(lid_holes=3, litres_a_plant=4.0)
    garden = make_garden([make_tote("A", 3, "kratky", top_up="never")], [make_want([cress], 3)], weeks=5)
    refilled = replace(garden, totes=(make_tote("A", 3, "kratky"),))
    return Case(garden=garden, crops=(cress,), without=Case(garden=refilled, crops=(cress,)))


def lamp_that_lights_few() -> Case:
    """Show that a lamp lights two plants, in whichever tote they stand."""
    cress = make_crop(window_days=8, lid_holes=2)
    garden = make_garden([make_tote("A", 2), make_tote("B", 1)], [make_want([cress], 3)], weeks=5, lights=2)
    bright = make_garden([make_tote("A", 2), make_tote("B", 1)], [make_want([cress], 3)], weeks=5)
    return Case(garden=garden, crops=(cress,), without=Case(garden=bright, crops=(cress,)))


def fruit_that_stands_alone() -> Case:
    """Show that fruit shares its tote with nothing else, so that one of two wants goes without."""
    pepper = make_crop("pepper", "pick", between_days=7, window_days=4, grams=(50.0, 50.0), lid_holes=2)
    cress = make_crop("cress", lid_holes=2)
    wants = [make_want([pepper], 50, name="fruit", unit="g"), make_want([cress], 1, name="salad")]
    garden = make_garden([make_tote("A", 2)], wants, weeks=6)
    chard = replace(pepper, harvest=replace(pepper.harvest, kind="cut"))
    return Case(garden=garden, crops=(pepper, cress), without=Case(garden=garden, crops=(chard, cress)))


def season_that_ends() -> Case:
    """Show that nothing sown in its pot grows past the day by which every tote must stand empty."""
    cress = make_crop(sown_in="pot", first_days=14, window_days=8, lid_holes=4)
    totes, wants = [make_tote("A", 4), make_tote("B", 1, "kratky")], [make_want([cress], 2)]
    garden = make_garden(totes, wants, weeks=5, harvest_days=(WEDNESDAY,), clear_by=day(30))
    longer = replace(garden, clear_by=None)
    return Case(garden=garden, crops=(cress,), without=Case(garden=longer, crops=(cress,)))


def summer_outdoors() -> Case:
    """Show that a tote moves empty with the season, and that its plants grow by the warmth of each day there."""
    cress = make_crop(lid_holes=2, window_days=3, keeps_days=2)
    garden = make_garden(
        [make_tote("A", 2), make_tote("B", 2)],
        [make_want([cress], 3)],
        weeks=6,
        harvest_days=(WEDNESDAY, SATURDAY),
    )
    months = (None,) * 8 + (20.0, 14.0, 11.0, None)
    yard = Place(name="yard", temperature_c=months, outdoors=Outdoors(frost_free=((9, 1), (11, 7)), shade=0.3))
    moves = (Stand(place="shelf"), Stand(place="yard", from_md=(10, 13), until_md=(11, 3)))
    totes = (garden.totes[0], replace(garden.totes[1], stands=moves))
    outdoors = replace(garden, latitude=47.0, places=(*garden.places, yard), totes=totes)
    return Case(garden=outdoors, crops=(cress,), without=Case(garden=garden, crops=(cress,)))


def autumn_at_a_window() -> Case:
    """Show that at a window the days to harvest follow the light, which falls week by week."""
    cress = make_crop(lid_holes=2, window_days=2, keeps_days=3)
    garden = make_garden(
        [make_tote("A", 2)], [make_want([cress], 2)], weeks=7, harvest_days=(WEDNESDAY, SATURDAY), every_days=7
    )
    sill = replace(garden.places[0], lamp=None, window=Window(faces="south", share=0.5))
    window = replace(garden, latitude=55.0, clouds=0.6, places=(sill,))
    return Case(garden=window, crops=(cress,), without=Case(garden=garden, crops=(cress,)))


def long_days(crop: Crop, system: System, want: Want) -> Case:
    """Make a garden under 16 hours of light, sown every two weeks, whose crop bolts after nine days of more than 14."""
    bolter = replace(
        crop, growth=replace(crop.growth, bolting=Bolting(after_days=9, longest_day_hours=14.0, above_c=None))
    )
    garden = make_garden([make_tote("A", 2, system)], [want], weeks=6, every_days=14)
    garden = replace(garden, places=(replace(garden.places[0], lamp=Lamp(dli_mol=12.0, hours=16.0)),))
    return Case(garden=garden, crops=(bolter,), without=Case(garden=garden, crops=(crop,)))


def bolting_ends_the_days_heads_hold() -> Case:
    """Show that heads that could wait for two weeks are taken before they bolt, so that the second week has none."""
    cress = make_crop(window_days=14, lid_holes=2, keeps_days=1)
    return long_days(cress, "dwc", make_want([cress], 1))


def bolting_ends_the_cuts() -> Case:
    """Show that a plant that has bolted is not cut a second time."""
    chard = make_crop("chard", "cut", between_days=7, window_days=2, grams=(100.0, 100.0), lid_holes=2)
    return long_days(chard, "kratky", make_want([chard], 200, unit="g"))


def sowing_planted_in_parts() -> Case:
    """Show that of four seedlings sown on one day two wait a week for holes that the first two have left."""
    cress = make_crop(nursery_days=(7, 14), lid_holes=2, keeps_days=2)
    garden = make_garden([make_tote("A", 2)], [make_want([cress], 2)], weeks=6, every_days=14)
    hasty = replace(cress, nursery_days=(7, 7))
    return Case(garden=garden, crops=(cress,), without=Case(garden=garden, crops=(hasty,)))


def small_sowing_where_others_are_closed() -> Case:
    """Show that a sowing need not fill holes that are not in use: two plants will do while eight stand in the frost."""
    cress = make_crop(lid_holes=8)
    garden = make_garden([make_tote("A", 2), make_tote("B", 8)], [make_want([cress], 2)], weeks=5, smallest=8)
    yard = Place(name="yard", temperature_c=20.0, outdoors=Outdoors(frost_free=((5, 1), (9, 1)), shade=0.0))
    closed = replace(garden.totes[1], stands=(Stand(place="yard"),))
    winter = replace(garden, latitude=50.0, places=(*garden.places, yard), totes=(garden.totes[0], closed))
    return Case(garden=winter, crops=(cress,))


def begun_batch(
    crop: Crop, *, sown_on: date, plants: int, transplanted_on: date | None = None, harvests: tuple[Harvest, ...] = ()
) -> Batch:
    """Make a batch in the first holes of tote A that waits in the nursery, or stands."""
    return a_batch(
        7,
        range(1, plants + 1),
        crop=crop.name,
        state="sown" if transplanted_on is None else "transplanted",
        sown_on=sown_on,
        emerges_on=sown_on + timedelta(1),
        transplanted_on=transplanted_on,
        cleared_on=None,
        harvests=harvests,
    )


def test_heads_taken_before_the_rest_moved_are_counted_once() -> None:
    """Of four heads one was taken, and three moved: all three are harvested, though that one has no hole any more."""
    cress = make_crop(lid_holes=4, window_days=8)
    taken = Harvest(
        on=day(-1), latest_on=day(-1), kind="head", number=1, holes=(), plants=1, grams=100.0, is_recorded=True
    )
    moved = begun_batch(cress, sown_on=day(-14), plants=3, transplanted_on=day(-7), harvests=(taken,))
    garden = make_garden([make_tote("A", 4)], [make_want([cress], 3)], weeks=2)
    (batch, *_) = decided(garden, [cress], Standing(begun=(moved,), next_id=8)).batches
    assert batch.id == moved.id
    assert sum(harvest.plants for harvest in batch.harvests if harvest.on >= START) == 3


CASES: tuple[Callable[[], Case], ...] = (
    still_tote,
    hole_by_hole,
    early_and_late_cuts,
    heads_taken_one_by_one,
    days_away,
    crops_of_different_room,
    spare_holes,
    spare_holes_of_alike_totes,
    turnaround_of_what_is_done,
    turnaround_of_a_still_tote,
    reservoirs_that_do_not_agree,
    batch_that_stands,
    batch_that_waits,
    batches_that_are_late,
    tote_that_rests,
    wants_that_matter_more,
    crops_that_keep_their_share,
    few_crops_a_day,
    sowings_two_weeks_apart,
    sowings_large_enough,
    few_cells,
    few_minutes,
    minutes_for_cuts,
    minutes_of_what_stands,
    water_that_lasts,
    lamp_that_lights_few,
    fruit_that_stands_alone,
    season_that_ends,
    summer_outdoors,
    autumn_at_a_window,
    bolting_ends_the_days_heads_hold,
    bolting_ends_the_cuts,
    sowing_planted_in_parts,
    small_sowing_where_others_are_closed,
)


@cache
def best_of(make: Callable[[], Case]) -> Best:
    """Look at every plan of a case, once for all tests."""
    return make().best()


def each_case(cases: Iterable[Callable[[], Case]] = CASES) -> pytest.MarkDecorator:
    """Run a test for each case, under the case's name."""
    return pytest.mark.parametrize("make", cases, ids=lambda make: make.__name__)


@each_case()
def test_planner_finds_the_best_of_all_plans(make: Callable[[], Case]) -> None:
    """What is decided serves as much as the best of all legal plans, and is proven to."""
    case, best = make(), best_of(make)

    decision = decided(case.garden, case.crops, case.standing, today=case.today)

    assert decision.reach == best.reach
    assert decision.choice.status == "optimal"
    assert decision.choice.best_share == pytest.approx(best.share, abs=EXACT)
    assert decision.choice.bound_share == pytest.approx(best.share, abs=EXACT)
    assert case.every.legal(decision.batches)
    assert case.every.measured(decision.batches, best.reach) == pytest.approx(best.share, abs=EXACT)


@each_case([make for make in CASES if make().without])
def test_rule_binds(make: Callable[[], Case]) -> None:
    """Without the rule that a case is about, the best plan serves another share."""
    case = make()
    assert case.without is not None

    assert best_of(make).share != pytest.approx(case.without.best().share, abs=EXACT)


def test_holding_back_would_serve_more(monkeypatch: pytest.MonkeyPatch) -> None:
    """A household that held food back for the week away would be told a share that no plan serves as people eat."""
    case, best = days_away(), best_of(days_away)
    monkeypatch.setattr(rules, "_hold_nothing_back", lambda *_: None)

    decision = decided(case.garden, case.crops)

    assert decision.choice.best_share > best.share + EXACT
