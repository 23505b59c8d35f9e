"""Every rule of a legal plan: one made by hand keeps them all, and with one fault put in breaks just that rule.

Days are counted from Saturday 3 October 2026.  All crops emerge after 3 days and grow at their profile's own
conditions, so that every stage can be counted on the fingers.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import Any

import pytest

from steadysow.check.verify import RULES, Breach, verify
from steadysow.inputs.crops import Band, Crop, Growth, HarvestFigures, HarvestKind
from steadysow.inputs.garden import Away, Garden, Lamp, Nursery, Place, Serving, SowingHabits, Stand, Tote, Want
from steadysow.plan.batch import Batch, Harvest
from steadysow.standing.standing import Rest

START = date(2026, 10, 3)
WEDNESDAY, SATURDAY = 2, 5


def day(number: int) -> date:
    """Give a day counted from the start."""
    return START + timedelta(number)


def make_crop(name: str, kind: HarvestKind, grams: tuple[float, ...], window_days: int) -> Crop:
    """Make a crop that is transplanted after 14 to 21 days and first harvested 24 days later."""
    return Crop(
        name=name,
        species=name,
        systems=("dwc", "kratky"),
        plants_per_m2=50.0,
        lid_holes=6,
        sown_in="nursery",
        seeds_a_cell=2,
        plants_a_hole=1,
        emergence=((10.0, 3.0), (20.0, 3.0), (30.0, 3.0)),
        germination_percent=50.0,
        germination_c=(2.0, 15.0, 24.0, 29.0),
        seeds_keep_years=4.0,
        nursery_days=(14, 21),
        transplant_shock_days=3,
        harvest=HarvestFigures(
            kind=kind,
            first_days=24.0,
            between_days=0.0 if kind == "head" else 12.0,
            window_days=window_days,
            grams=grams,
        ),
        growth=Growth(
            base_c=3.0,
            optimum_c=24.0,
            ceiling_c=32.0,
            at_c=20.0,
            at_dli_mol=12.0,
            half_dli_mol=0.0,
            grams_per_mol=50.0,
        ),
        ec=Band(ideal=(1.2, 1.8), tolerated=(0.8, 2.4)),
        ph=Band(ideal=(5.6, 6.2), tolerated=(5.2, 7.0)),
        litres_a_plant=3.0,
        keeps_days=7,
        days_spread=0.1,
        grams_spread=0.2,
    )


def make_garden() -> Garden:
    """Make a shelf with two bubbled totes and a still one, and chores on Wednesdays and Saturdays."""
    shelf = Place(name="shelf", lamp=Lamp(dli_mol=12.0, plants=9), temperature_c=20.0)
    yard = Place(name="yard", lamp=Lamp(dli_mol=12.0), temperature_c=20.0)
    stands = (Stand(place="shelf"),)
    return Garden(
        name="Test",
        starts_on=START,
        weeks=12,
        clear_by=day(90),
        latitude=None,
        units="metric",
        chore_days=(WEDNESDAY, SATURDAY),
        harvest_days=(WEDNESDAY, SATURDAY),
        away=(),
        sowing=SowingHabits(every_days=7, smallest=2, crops_a_day=2, confidence=0.5),
        tidy_points=1.0,
        turnaround_days=1,
        nursery=Nursery(cells=10, place=shelf),
        places=(shelf, yard),
        totes=(
            Tote(name="A", holes=6, litres=11.0, system="dwc", inside_cm=(40.0, 30.0), stands=stands),
            Tote(
                name="B",
                holes=6,
                litres=10.0,
                system="kratky",
                inside_cm=(40.0, 30.0),
                stands=stands,
                top_up="never",
            ),
            Tote(name="C", holes=6, litres=11.0, system="dwc", inside_cm=(40.0, 30.0), stands=stands),
        ),
        wants=(
            Want(
                name="salad",
                unit="g",
                amount=200.0,
                servings=(Serving(crop="lettuce"), Serving(crop="mizuna"), Serving(crop="pea")),
            ),
        ),
    )


def make_batch(number: int, crop: str, tote: str, holes: tuple[int, ...], days: tuple[int, int], **rest: Any) -> Batch:
    """Make a planned batch sown and transplanted on the given days, with cells for 3 in 4 germinating."""
    cells = {2: 3, 3: 4}[len(holes)]
    harvests: tuple[Harvest, ...] = rest.pop("harvests")
    told: dict[str, Any] = {
        "place": "shelf",
        "cells": cells,
        "seeds": 2 * cells,
        "state": "planned",
        "emerges_on": day(days[0] + 3),
        "cleared_on": harvests[-1].on,
    }
    return Batch(
        id=number,
        crop=crop,
        want="salad",
        tote=tote,
        holes=holes,
        plants=len(holes),
        sown_on=day(days[0]),
        transplanted_on=day(days[1]),
        harvests=harvests,
        **(told | rest),
    )


def reap(on: int, due: int, kind: HarvestKind, number: int, *holes: int) -> Harvest:
    """Make a harvest that fell due on a day: heads of 150 g that hold 10 days, or cuts of 50 g that may wait 7."""
    window_days, grams = (10, 150.0) if kind == "head" else (7, 50.0)
    return Harvest(
        on=day(on),
        latest_on=day(due + window_days - 1),
        kind=kind,
        number=number,
        holes=holes,
        plants=len(holes),
        grams=grams * len(holes),
    )


@dataclass(kw_only=True)
class Setting:
    """All that `verify` is told, to be changed by a test."""

    garden: Garden = field(default_factory=make_garden)
    batches: dict[int, Batch] = field(default_factory=dict)
    today: date = START
    resting: tuple[Rest, ...] = ()
    begun: tuple[Batch, ...] = ()

    def breaches(self) -> tuple[Breach, ...]:
        """Ask for the second opinion."""
        return verify(
            self.garden,
            self.batches.values(),
            today=self.today,
            starts_on=START,
            resting=self.resting,
            begun=self.begun,
        )

    def broken(self) -> set[str]:
        """Give the names of the rules that are broken."""
        return {breach.rule for breach in self.breaches()}

    def alter(self, number: int, **changes: Any) -> None:
        """Change fields of a batch."""
        self.batches[number] = replace(self.batches[number], **changes)

    def alter_harvest(self, batch: int, index: int, **changes: Any) -> None:
        """Change fields of a harvest."""
        harvests = list(self.batches[batch].harvests)
        harvests[index] = replace(harvests[index], **changes)
        self.alter(batch, harvests=tuple(harvests))

    def alter_crop(self, name: str, **changes: Any) -> None:
        """Change fields of a crop."""
        crop = replace(self.garden.crops[name], **changes)
        self.alter_garden(crops={**self.garden.crops, name: crop})

    def alter_garden(self, **changes: Any) -> None:
        """Change fields of the garden."""
        self.garden = replace(self.garden, **changes)

    def alter_sowing(self, **changes: Any) -> None:
        """Change what a person keeps up."""
        self.alter_garden(sowing=replace(self.garden.sowing, **changes))

    def alter_tote(self, name: str, **changes: Any) -> None:
        """Change fields of a tote."""
        self.alter_garden(
            totes=tuple(replace(tote, **changes) if tote.name == name else tote for tote in self.garden.totes)
        )


def make_setting() -> Setting:
    """Make a legal plan of six batches that touches most rules at their limit."""
    pea = replace(make_crop("pea", "cut", (50.0, 50.0), 7), sown_in="pot", transplant_shock_days=0)
    batches = (
        make_batch(
            *(1, "lettuce", "A", (1, 2), (0, 14)), harvests=(reap(39, 38, "head", 1, 1), reap(42, 38, "head", 2, 2))
        ),
        make_batch(
            *(2, "mizuna", "A", (3, 4), (0, 14)), harvests=(reap(42, 38, "cut", 1, 3, 4), reap(56, 54, "cut", 2, 3, 4))
        ),
        make_batch(*(3, "lettuce", "A", (1, 2), (28, 46)), harvests=(reap(70, 70, "head", 1, 1, 2),)),
        make_batch(*(4, "lettuce", "B", (1, 2, 3), (7, 21)), harvests=(reap(46, 45, "head", 1, 1, 2, 3),)),
        make_batch(*(5, "mizuna", "B", (1, 2, 3), (35, 49)), harvests=(reap(74, 73, "cut", 1, 1, 2, 3),)),
        make_batch(*(6, "pea", "C", (1, 2), (14, 14)), cells=2, seeds=4, harvests=(reap(42, 38, "cut", 1, 1, 2),)),
    )
    crops = {
        "lettuce": make_crop("lettuce", "head", (150.0,), 10),
        "mizuna": make_crop("mizuna", "cut", (50.0, 50.0, 50.0, 50.0), 7),
        "pea": pea,
    }
    return Setting(
        garden=replace(make_garden(), crops=crops),
        batches={batch.id: batch for batch in batches},
    )


Fault = Callable[[Setting], None]
FAULTS: list[tuple[str, str, Fault]] = []


def breaks(rule: str) -> Callable[[Fault], Fault]:
    """Put a fault on the list, with the rule it breaks."""

    def keep(fault: Fault) -> Fault:
        FAULTS.append((rule, fault.__name__, fault))
        return fault

    return keep


@breaks("names are known")
def unknown_crop(setting: Setting) -> None:
    setting.alter(1, crop="tulip")


@breaks("names are known")
def unknown_tote(setting: Setting) -> None:
    setting.alter(1, tote="Z")


@breaks("names are known")
def unknown_place(setting: Setting) -> None:
    setting.alter(1, place="moon")


@breaks("ids are distinct")
def one_number_for_two(setting: Setting) -> None:
    setting.alter(5, id=4)


@breaks("facts are kept")
def forgotten_batch(setting: Setting) -> None:
    setting.begun = (replace(setting.batches[1], id=9, state="sown", transplanted_on=None, cleared_on=None),)


@breaks("facts are kept")
def moved_sowing(setting: Setting) -> None:
    fact = replace(setting.batches[1], sown_on=day(-1), state="sown", transplanted_on=None, cleared_on=None)
    setting.alter(1, state="sown")
    setting.begun = (replace(fact, harvests=()),)


@breaks("facts are kept")
def moved_plants(setting: Setting) -> None:
    setting.today = day(15)
    for number in (1, 2, 4, 6):
        setting.alter(number, state="sown" if number == 4 else "transplanted")
    setting.begun = (replace(setting.batches[2], tote="C", cleared_on=None, harvests=()),)


@breaks("facts are kept")
def invented_harvest(setting: Setting) -> None:
    setting.today = day(43)
    for number in (1, 2, 4, 6):
        setting.alter(number, state="transplanted" if number in (2, 4) else "done")
    for number in (3, 5):
        setting.alter(number, state="sown")
    setting.begun = (replace(setting.batches[2], cleared_on=None, harvests=()),)


@breaks("stages are in order")
def no_transplant(setting: Setting) -> None:
    setting.alter(5, transplanted_on=None)


@breaks("stages are in order")
def never_cleared(setting: Setting) -> None:
    setting.alter(5, cleared_on=None)


@breaks("stages are in order")
def cleared_on_entry(setting: Setting) -> None:
    setting.alter(5, state="sown", harvests=(), cleared_on=day(49))


@breaks("crop serves its want")
def unknown_want(setting: Setting) -> None:
    setting.alter(1, want="soup")


@breaks("crop serves its want")
def crop_not_asked_for(setting: Setting) -> None:
    want = setting.garden.wants[0]
    setting.alter_garden(wants=(replace(want, servings=(Serving(crop="mizuna"), Serving(crop="pea"))),))


@breaks("sown on a chore day")
def sown_while_away(setting: Setting) -> None:
    setting.alter_garden(away=(Away(from_on=day(7), back_on=day(8)),))


@breaks("sown on a chore day")
def sown_in_the_past(setting: Setting) -> None:
    setting.today = day(1)


@breaks("sowing days lie apart")
def sown_too_often(setting: Setting) -> None:
    setting.alter_sowing(every_days=8)


@breaks("sowings are large enough")
def sown_too_few(setting: Setting) -> None:
    setting.alter_sowing(smallest=3)


@breaks("few crops a sowing day")
def sown_too_many_crops(setting: Setting) -> None:
    setting.alter_sowing(crops_a_day=1)


@breaks("cells are enough")
def no_spare_cells(setting: Setting) -> None:
    setting.alter(1, cells=2, seeds=4)


@breaks("cells are enough")
def too_many_cells(setting: Setting) -> None:
    setting.alter(5, cells=5, seeds=10)


@breaks("seeds are enough")
def seeds_miscounted(setting: Setting) -> None:
    setting.alter(1, seeds=5)


@breaks("seeds are enough")
def fewer_seeds_than_the_profile_says(setting: Setting) -> None:
    setting.alter(1, seeds=3)


@breaks("seeds are enough")
def not_confident_enough(setting: Setting) -> None:
    setting.alter_sowing(confidence=0.999)


@breaks("cells are enough")
def a_pot_without_seeds(setting: Setting) -> None:
    setting.alter(6, cells=1, seeds=2)


@breaks("nursery holds all")
def nursery_too_small(setting: Setting) -> None:
    setting.alter_garden(nursery=replace(setting.garden.nursery, cells=9))


@breaks("emerges as it grows")
def emerges_late(setting: Setting) -> None:
    setting.alter(1, emerges_on=day(4))


@breaks("emerges as it grows")
def pot_emerges_late(setting: Setting) -> None:
    setting.alter(6, emerges_on=day(18))


@breaks("transplanted when ready")
def transplanted_while_away(setting: Setting) -> None:
    setting.alter_garden(away=(Away(from_on=day(21), back_on=day(22)),))


@breaks("transplanted when ready")
def transplanted_too_young(setting: Setting) -> None:
    setting.alter_crop("mizuna", nursery_days=(15, 21))


@breaks("transplanted when ready")
def transplanted_too_old(setting: Setting) -> None:
    setting.alter_crop("lettuce", nursery_days=(14, 17))


@breaks("pots are not transplanted")
def pot_enters_later(setting: Setting) -> None:
    setting.alter(6, transplanted_on=day(18))
    setting.alter_harvest(6, 0, latest_on=day(48))


@breaks("harvested on a harvest day")
def harvested_on_a_wednesday(setting: Setting) -> None:
    setting.alter_garden(harvest_days=(SATURDAY,))


@breaks("harvested on a harvest day")
def harvested_while_away(setting: Setting) -> None:
    setting.alter_garden(away=(Away(from_on=day(39), back_on=day(40)),))


@breaks("harvested when due")
def harvested_early(setting: Setting) -> None:
    setting.alter_harvest(5, 0, on=day(70))
    setting.alter(5, cleared_on=day(70))


@breaks("harvested when due")
def harvested_late(setting: Setting) -> None:
    setting.alter_garden(clear_by=None)
    setting.alter_harvest(5, 0, on=day(81))
    setting.alter(5, cleared_on=day(81))


@breaks("harvested when due")
def cut_again_too_soon(setting: Setting) -> None:
    setting.alter_harvest(2, 1, on=day(53))
    setting.alter(2, cleared_on=day(53))


@breaks("latest day is told")
def told_to_wait_too_long(setting: Setting) -> None:
    setting.alter_harvest(5, 0, latest_on=day(80))


@breaks("harvests are numbered")
def miscounted_harvest(setting: Setting) -> None:
    setting.alter_harvest(5, 0, number=2)


@breaks("harvests are numbered")
def wrong_kind(setting: Setting) -> None:
    setting.alter_harvest(5, 0, kind="pick")


@breaks("no more harvests than it gives")
def cut_too_often(setting: Setting) -> None:
    crop = setting.garden.crops["mizuna"]
    setting.alter_crop("mizuna", harvest=replace(crop.harvest, grams=(50.0,)))


@breaks("harvests take its own plants")
def foreign_hole(setting: Setting) -> None:
    setting.alter_harvest(4, 0, holes=(1, 2, 4))


@breaks("harvests take its own plants")
def head_taken_twice(setting: Setting) -> None:
    setting.alter_harvest(1, 1, holes=(1,))


@breaks("harvests take its own plants")
def half_a_batch_cut(setting: Setting) -> None:
    setting.alter_harvest(5, 0, holes=(1, 2), plants=2, grams=100.0)


@breaks("harvests take its own plants")
def plants_miscounted_at_harvest(setting: Setting) -> None:
    setting.alter_harvest(5, 0, plants=2, grams=100.0)


@breaks("weighs what it grows to")
def too_heavy(setting: Setting) -> None:
    setting.alter_harvest(5, 0, grams=150.2)


@breaks("weighs what it grows to")
def more_than_light_makes(setting: Setting) -> None:
    growth = setting.garden.crops["lettuce"].growth
    setting.alter_crop("lettuce", growth=replace(growth, grams_per_mol=10.0))


@breaks("cleared with its last harvest")
def left_standing(setting: Setting) -> None:
    setting.alter_garden(clear_by=None)
    setting.alter(5, cleared_on=day(77))


@breaks("cleared with its last harvest")
def cleared_while_away(setting: Setting) -> None:
    setting.alter(5, state="sown", harvests=(), cleared_on=day(60))
    setting.alter_garden(away=(Away(from_on=day(60), back_on=day(61)),))


@breaks("what is planted is harvested")
def raised_to_be_thrown_away(setting: Setting) -> None:
    setting.alter(5, harvests=(), cleared_on=day(60))


@breaks("what is planted is harvested")
def one_head_of_two_left(setting: Setting) -> None:
    setting.alter(1, harvests=(reap(39, 38, "head", 1, 1),), cleared_on=day(39))


@breaks("holes are in the lid")
def no_such_hole(setting: Setting) -> None:
    setting.alter(5, holes=(1, 2, 7))
    setting.alter_harvest(5, 0, holes=(1, 2, 7))


@breaks("holes are in the lid")
def plants_miscounted(setting: Setting) -> None:
    setting.alter(5, plants=2, cells=3, seeds=6)


@breaks("one plant a hole")
def hole_still_taken(setting: Setting) -> None:
    setting.alter(3, transplanted_on=day(42))
    setting.alter_harvest(3, 0, latest_on=day(75))


@breaks("still totes are filled at once")
def still_tote_not_rested(setting: Setting) -> None:
    setting.alter_garden(turnaround_days=4)
    setting.alter(5, holes=(4, 5, 6))
    setting.alter_harvest(5, 0, holes=(4, 5, 6))


@breaks("room in the tote")
def crowded_lid(setting: Setting) -> None:
    setting.alter_crop("lettuce", plants_per_m2=25.0)
    setting.alter_crop("mizuna", plants_per_m2=35.0)


@breaks("crop fits the system")
def needs_bubbles(setting: Setting) -> None:
    setting.alter_crop("lettuce", systems=("dwc",))


@breaks("crop fits the system")
def lid_too_small(setting: Setting) -> None:
    setting.alter_tote("C", inside_cm=(10.0, 10.0))


@breaks("lamps light all")
def lamp_too_small(setting: Setting) -> None:
    shelf, yard = setting.garden.places
    setting.alter_garden(places=(replace(shelf, lamp=Lamp(dli_mol=12.0, plants=8)), yard))


@breaks("weeks keep to their minutes")
def a_minute_too_few(setting: Setting) -> None:
    # In the third week four plants are planted (6), peas are sown (5, and 1 for two cells), and one tote is full (6).
    setting.alter_garden(chore_minutes_a_week=18.9)


@breaks("reservoir suits all")
def wants_stronger_feed(setting: Setting) -> None:
    setting.alter_crop("mizuna", ec=Band(ideal=(2.6, 2.8), tolerated=(2.5, 3.0)))


@breaks("reservoir suits all")
def wants_sourer_water(setting: Setting) -> None:
    setting.alter_crop("mizuna", ph=Band(ideal=(4.6, 4.8), tolerated=(4.5, 5.1)))


@breaks("fruit stands alone")
def fruit_among_leaves(setting: Setting) -> None:
    setting.alter_crop("mizuna", harvest=replace(setting.garden.crops["mizuna"].harvest, kind="pick"))
    for number, index in ((2, 0), (2, 1), (5, 0)):
        setting.alter_harvest(number, index, kind="pick")


@breaks("water lasts")
def runs_dry(setting: Setting) -> None:
    setting.alter_tote("B", litres=9.9)


@breaks("tote stays where it is")
def moves_with_plants(setting: Setting) -> None:
    stands = (Stand(place="shelf"), Stand(place="yard", from_md=(11, 1), until_md=(2, 1)))
    setting.alter_tote("A", stands=stands)


@breaks("tote stays where it is")
def put_away_with_plants(setting: Setting) -> None:
    setting.alter_tote("C", stands=(Stand(place="shelf", from_md=(9, 1), until_md=(11, 1)),))


@breaks("resting totes stand empty")
def stands_in_a_resting_tote(setting: Setting) -> None:
    setting.resting = (Rest(tote="A", from_on=day(60), until_on=day(61)),)


@breaks("cleared in time")
def stands_past_the_season(setting: Setting) -> None:
    setting.alter_garden(clear_by=day(73))
    for batch_id in (3, 5):
        setting.alter_harvest(batch_id, 0, latest_on=day(73))


def test_the_latest_day_is_before_the_season_ends() -> None:
    """A head that would hold for a week is told to be taken by the day the garden has to be clear."""
    setting = make_setting()
    setting.alter_garden(clear_by=day(75))
    assert setting.broken() == {"latest day is told"}
    for batch_id in (3, 5):
        setting.alter_harvest(batch_id, 0, latest_on=day(75))
    assert setting.broken() == set()


def test_a_legal_plan_breaks_no_rule() -> None:
    """The plan made by hand keeps every rule."""
    assert make_setting().breaches() == ()


@pytest.mark.parametrize(("rule", "fault"), [pytest.param(rule, fault, id=name) for rule, name, fault in FAULTS])
def test_one_fault_breaks_the_rule_it_should(rule: str, fault: Fault) -> None:
    """A legal plan with one fault put in breaks that rule and no other, and says so in a sentence."""
    setting = make_setting()
    fault(setting)
    breaches = setting.breaches()
    assert {breach.rule for breach in breaches} == {rule}
    for breach in breaches:
        assert breach.batches
        assert not breach.sentence[0].islower()


def test_every_rule_has_a_fault_that_breaks_it() -> None:
    """No rule of the list is left without a fault that only it notices."""
    named = {rule for rule, _, _ in FAULTS}
    assert named == {rule.__name__.replace("_", " ") for rule in RULES} | {"names are known"}


def test_a_breach_names_batches_and_day() -> None:
    """The breach of a crowded nursery tells who is there, and when."""
    setting = make_setting()
    nursery_too_small(setting)
    (breach,) = setting.breaches()
    assert (breach.batches, breach.day) == ((1, 2, 4), day(7))
    assert breach.sentence == "10 cells are taken in the nursery on 2026-10-10, of 9"


@pytest.mark.parametrize(("on", "legal"), [(72, False), (73, True), (79, True), (80, False)])
def test_the_harvest_window_is_half_open(on: int, legal: bool) -> None:
    """A cut due on day 73 that may wait 7 days can be taken from day 73 to day 79."""
    setting = make_setting()
    setting.alter_garden(harvest_days=(0, 1, 2, 3, 4, 5, 6), clear_by=None)
    setting.alter_harvest(5, 0, on=day(on))
    setting.alter(5, cleared_on=day(on))
    assert setting.broken() == (set() if legal else {"harvested when due"})


def test_the_transplant_window_includes_both_ends() -> None:
    """Seedlings of 14 to 18 days may be transplanted after 14 days and after 18."""
    setting = make_setting()
    setting.alter_crop("lettuce", nursery_days=(14, 18))
    assert setting.broken() == set()


def test_a_week_may_be_exactly_full() -> None:
    """The busiest week takes 12 minutes of work and 7 of upkeep."""
    setting = make_setting()
    setting.alter_garden(chore_minutes_a_week=19.0)
    assert setting.broken() == set()


def test_what_has_begun_may_overfill_a_week_to_which_nothing_is_added() -> None:
    """What has begun takes the minutes it takes; a batch planned into such a week breaks the rule."""
    setting = make_setting()
    setting.today = day(29)
    for number in (1, 2, 4, 6):
        setting.alter(number, state="transplanted")
    setting.alter(3, state="sown")
    setting.alter_garden(chore_minutes_a_week=4.0)
    planned = setting.batches.pop(5)
    assert setting.broken() == set()
    setting.batches[5] = planned
    broken = {breach.day: breach.batches for breach in setting.breaches()}
    # Sown on day 35, planted on day 49, cut on day 74: of the weeks between, that of day 42 has nothing of it.
    assert broken == {day(number): (5,) for number in (35, 49, 56, 63, 70)}


def test_a_lid_may_be_exactly_full() -> None:
    """Two of three and two of six fill a lid exactly."""
    setting = make_setting()
    setting.alter_crop("lettuce", plants_per_m2=25.0)
    assert setting.broken() == set()


def test_ranges_may_touch() -> None:
    """Crops whose tolerated ranges have one value in common may share a reservoir."""
    setting = make_setting()
    setting.alter_crop("mizuna", ec=Band(ideal=(2.6, 2.8), tolerated=(2.4, 3.0)))
    assert setting.broken() == set()


def test_seeds_that_never_emerge_are_told() -> None:
    """A crop that emerges at no temperature is never ready to transplant either."""
    setting = make_setting()
    setting.alter_crop("lettuce", emergence=((10.0, None), (30.0, None)))
    assert setting.broken() == {"emerges as it grows", "transplanted when ready"}


def test_plants_that_never_grow_are_told() -> None:
    """At a place colder than the base temperature nothing falls due."""
    setting = make_setting()
    shelf, yard = setting.garden.places
    setting.alter_garden(places=(replace(shelf, temperature_c=2.0), yard))
    del setting.batches[6]
    assert setting.broken() == {"harvested when due"}


def test_light_limits_the_weight() -> None:
    """14 days at 12 mol on 0.02 m2 and 10 g a mol make 33.6 g of a second cut; 28 days make more than its 50 g."""
    setting = make_setting()
    setting.alter_crop("mizuna", growth=replace(setting.garden.crops["mizuna"].growth, grams_per_mol=10.0))
    assert setting.broken() == {"weighs what it grows to"}
    setting.alter_harvest(2, 1, grams=67.2)
    assert setting.broken() == set()


def test_all_holes_there_are_is_enough_for_a_sowing() -> None:
    """Where the totes carry only two plants, two are a large enough sowing."""
    setting = make_setting()
    setting.alter_sowing(smallest=99)
    setting.alter_garden(totes=(replace(setting.garden.tote("A"), holes=2),))
    setting.batches = {1: setting.batches[1]}
    assert setting.broken() == set()


def test_a_begun_batch_may_go_unharvested() -> None:
    """Seedlings that wait, and for which nothing is left to serve, are planted and cleared on any later day at home."""
    setting = make_setting()
    setting.alter(5, state="sown", harvests=(), cleared_on=day(60))
    assert setting.broken() == set()


def test_heads_may_be_left_and_hold_their_holes_until_the_batch_is_cleared() -> None:
    """A head of a begun batch that is never taken holds its hole until its batch is cleared."""
    setting = make_setting()
    setting.alter(1, state="sown", harvests=(reap(39, 38, "head", 1, 1),), cleared_on=day(39))
    assert setting.broken() == set()
    setting.alter(
        1, state="sown", harvests=(reap(39, 38, "head", 1, 1), reap(46, 38, "head", 2, 2)), cleared_on=day(46)
    )
    assert setting.broken() == {"one plant a hole"}


def test_what_has_happened_is_not_judged() -> None:
    """Sown and transplanted on odd days, too early and too few: all that is past."""
    setting = make_setting()
    setting.today = day(15)
    setting.alter(1, state="transplanted", sown_on=day(5), transplanted_on=day(14), emerges_on=None, cells=1, seeds=1)
    setting.alter(2, state="transplanted")
    setting.alter(4, state="sown")
    setting.alter(6, state="transplanted")
    setting.alter_sowing(crops_a_day=1, smallest=2)
    assert setting.broken() == set()


def test_what_is_still_to_come_of_begun_batches_is_judged() -> None:
    """A begun batch's transplant and harvests to come keep the rules."""
    setting = make_setting()
    setting.today = day(15)
    for number in (1, 2, 6):
        setting.alter(number, state="transplanted")
    setting.alter(4, state="sown")
    assert setting.broken() == set()
    setting.alter_garden(away=(Away(from_on=day(21), back_on=day(22)), Away(from_on=day(39), back_on=day(40))))
    assert setting.broken() == {"transplanted when ready", "harvested on a harvest day"}


def test_facts_alone_never_overfill_but_what_joins_them_does() -> None:
    """A tote overfilled in the past is no breach; a plant that the plan adds to it is."""
    setting = make_setting()
    setting.alter_crop("lettuce", plants_per_m2=25.0)
    setting.alter_crop("mizuna", plants_per_m2=35.0)
    setting.today = day(15)
    setting.batches = {number: replace(setting.batches[number], state="transplanted") for number in (1, 2)}
    assert setting.broken() == set()
    late = make_setting().batches[3]
    setting.batches[3] = replace(late, holes=(5, 6), harvests=(reap(70, 70, "head", 1, 5, 6),))
    assert setting.broken() == {"room in the tote"}


def test_begun_seedlings_may_be_late() -> None:
    """Seedlings past their window go in on the first chore day there is, and no later."""
    setting = make_setting()
    setting.batches = {4: replace(setting.batches[4], state="sown")}
    setting.today = day(30)
    setting.alter(4, transplanted_on=day(32), cleared_on=day(56))
    setting.alter(4, harvests=(reap(56, 56, "head", 1, 1, 2, 3),))
    assert setting.broken() == set()
    setting.alter(4, transplanted_on=day(35), cleared_on=day(60))
    setting.alter(4, harvests=(reap(60, 59, "head", 1, 1, 2, 3),))
    assert setting.broken() == {"transplanted when ready"}


def test_an_emergence_that_was_seen_moves_the_window() -> None:
    """Seedlings seen four days late may wait four days longer."""
    setting = make_setting()
    setting.batches = {4: replace(setting.batches[4], state="sown", emerges_on=day(14), recorded=("sown", "emerged"))}
    setting.today = day(15)
    setting.alter(4, transplanted_on=day(32), cleared_on=day(56))
    setting.alter(4, harvests=(reap(56, 56, "head", 1, 1, 2, 3),))
    assert setting.broken() == set()
    setting.alter(4, emerges_on=day(10))
    assert setting.broken() == {"transplanted when ready"}


def test_begun_plants_may_be_harvested_late() -> None:
    """A cut past its window is taken on the first harvest day there is, and no later."""
    setting = make_setting()
    setting.batches = {5: replace(setting.batches[5], state="transplanted")}
    setting.alter_garden(clear_by=None)
    setting.today = day(82)
    for on, broken in ((84, set[str]()), (88, {"harvested when due"})):
        setting.alter_harvest(5, 0, on=day(on), latest_on=day(84))
        setting.alter(5, cleared_on=day(on))
        assert setting.broken() == broken


def test_a_harvest_of_today_that_has_happened_is_a_fact() -> None:
    """What was cut today on no harvest day is not judged once it is a fact."""
    setting = make_setting()
    setting.alter_garden(harvest_days=(SATURDAY,))
    setting.batches = {2: replace(setting.batches[2], state="transplanted")}
    setting.alter_harvest(2, 0, on=day(40))
    setting.alter(2, harvests=(setting.batches[2].harvests[0], reap(56, 52, "cut", 2, 3, 4)))
    setting.today = day(40)
    assert setting.broken() == {"harvested on a harvest day"}
    setting.begun = (replace(setting.batches[2], cleared_on=None, harvests=setting.batches[2].harvests[:1]),)
    assert setting.broken() == set()


def test_history_of_what_the_files_no_longer_name_is_no_breach() -> None:
    """Batches long done or lost may be of a crop or tote that is gone, and may lack stages."""
    setting = make_setting()
    gone = replace(setting.batches[1], id=7, crop="tulip", tote="Z", state="done", sown_on=day(-90))
    lost = replace(
        gone, id=8, crop="mizuna", state="lost", holes=(), transplanted_on=None, cleared_on=None, harvests=()
    )
    setting.batches |= {7: gone, 8: lost}
    setting.begun = (gone, lost)
    assert setting.broken() == set()


def test_where_a_tote_stands_follows_the_year() -> None:
    """Spans of the year win over the open one, end before their last day, and may run over the new year."""
    garden = make_garden()
    garden = replace(garden, places=(*garden.places, replace(garden.places[0], name="cellar")))
    tote = replace(
        garden.totes[0],
        stands=(
            Stand(place="shelf"),
            Stand(place="yard", from_md=(5, 25), until_md=(9, 10)),
            Stand(place="cellar", from_md=(12, 1), until_md=(2, 1)),
        ),
    )
    places = {
        date(2026, 5, 24): "shelf",
        date(2026, 5, 25): "yard",
        date(2026, 9, 9): "yard",
        date(2026, 9, 10): "shelf",
        date(2026, 12, 1): "cellar",
        date(2027, 1, 31): "cellar",
        date(2027, 2, 1): "shelf",
    }
    assert {on: garden.place_of(tote, on) for on in places} == places
    assert garden.place_of(replace(tote, stands=tote.stands[1:]), date(2026, 10, 1)) is None
