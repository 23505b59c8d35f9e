"""Rules of totes: a legal plan keeps each up to its limit, and a step beyond breaks that rule alone."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from builders import day
from legal_plan import EVERY_DAY, Limit, Limits, Setting, make_garden, make_setting, reap
from steadysow.inputs.crops import Band, HarvestKind, System
from steadysow.inputs.garden import Away, Lamp, MonthDay, Stand
from steadysow.standing.standing import Rest

LIMITS = Limits("totes")


@LIMITS.of(
    "holes are in the lid",
    legal=(4, 5, 6),
    illegal=(5, 6, 7),
    says="Batch 5 (mizuna) is due to be in holes 5, 6 and 7, but tote B has 6 holes.",
)
def holes_of_six(setting: Setting, holes: tuple[int, ...]) -> None:
    setting.alter(5, holes=holes)
    setting.alter_harvest(5, 0, holes=holes)


@LIMITS.of("holes are in the lid", legal=3, illegal=2, says="Batch 5 (mizuna) has 2 plants for holes 1, 2 and 3.")
def plants_in_three_holes(setting: Setting, plants: int) -> None:
    cells = {2: 3, 3: 4}[plants]
    setting.alter(5, plants=plants, cells=cells, seeds=2 * cells)


# The second head leaves hole 2 on day 42, and one day of turnaround passes.
@LIMITS.of(
    "one plant a hole",
    legal=43,
    illegal=42,
    says="Batch 3 (lettuce) is due to enter hole 2 of tote A on Sat 14 Nov, but the hole is not free until Sun 15 Nov.",
)
def day_of_the_next_plant(setting: Setting, on: int) -> None:
    setting.alter_garden(chore_days=EVERY_DAY)
    setting.alter(3, transplanted_on=day(on))
    # Ready 24 days later, a head holds for 10 days.
    setting.alter_harvest(3, 0, on=day(on + 28), latest_on=day(on + 33))
    setting.alter(3, cleared_on=day(on + 28))
    setting.alter_garden(harvest_days=EVERY_DAY)


# Batch 4 leaves on day 46, and batch 5 enters other holes on day 49.
@LIMITS.of(
    "still totes are filled at once",
    legal=3,
    illegal=4,
    says="Batch 5 (mizuna) is due to enter still tote B on Sat 21 Nov, "
    "but after batch 4 (lettuce) it is not free until Sun 22 Nov.",
)
def days_of_turnaround(setting: Setting, days: int) -> None:
    setting.alter_garden(turnaround_days=days)
    holes_of_six(setting, (4, 5, 6))


# On 0.12 m2 stand 3 lettuces of 25 a square metre, and 6 mizunas of 50: 2/3 + 2/6 = 1, and 2/3 + 2/5 = 1.07.
@LIMITS.of(
    "room in the tote",
    legal=50.0,
    illegal=49.0,
    says="Tote A is too full on Sat 17 Oct: its plants need 1.07 times its room.",
)
def mizunas_on_a_square_metre(setting: Setting, plants: float) -> None:
    setting.alter_crop("lettuce", plants_per_m2=25.0)
    setting.alter_crop("mizuna", plants_per_m2=plants)


@LIMITS.of(
    "crop fits the system",
    legal=("dwc", "kratky"),
    illegal=("dwc",),
    says="Batch 4 (lettuce) is due to be in tote B, but lettuce does not grow in kratky totes.",
)
def systems(setting: Setting, of_lettuce: tuple[System, ...]) -> None:
    setting.alter_crop("lettuce", systems=of_lettuce)


# At 50 a square metre a pea takes 200 cm2.
@LIMITS.of(
    "crop fits the system",
    legal=(20.0, 10.0),
    illegal=(19.9, 10.0),
    says="Batch 6 (pea) is due to be in tote C, which is too small for a single plant.",
)
def lid_of_one_plant(setting: Setting, inside_cm: tuple[float, float]) -> None:
    setting.alter_sowing(smallest=1)
    setting.alter(6, holes=(1,), plants=1, cells=1, seeds=2, harvests=(reap(42, 38, "cut", 1, 1),))
    setting.alter_tote("C", inside_cm=inside_cm)


@LIMITS.of(
    "lamps light all",
    legal=9,
    illegal=8,
    says="The lamp at shelf lights 8 plants, but 9 are due to be there on Sat 24 Oct.",
)
def plants_of_the_lamp(setting: Setting, plants: int) -> None:
    shelf, yard = setting.garden.places
    setting.alter_garden(places=(replace(shelf, lamp=Lamp(dli_mol=12.0, plants=plants)), yard))


# Lettuce bears an EC up to 2.4 and a pH from 5.2 on.
@LIMITS.of(
    "reservoir suits all",
    legal=2.4,
    illegal=2.5,
    says="Batch 1 (lettuce) and batch 2 (mizuna) are due to share tote A, but tolerate no common EC.",
)
def least_strength(setting: Setting, ec: float) -> None:
    setting.alter_crop("mizuna", ec=Band(ideal=(2.6, 2.8), tolerated=(ec, 3.0)))


@LIMITS.of(
    "reservoir suits all",
    legal=5.2,
    illegal=5.1,
    says="Batch 1 (lettuce) and batch 2 (mizuna) are due to share tote A, but tolerate no common pH.",
)
def most_acidity(setting: Setting, ph: float) -> None:
    setting.alter_crop("mizuna", ph=Band(ideal=(4.6, 4.8), tolerated=(4.5, ph)))


@LIMITS.of(
    "fruit stands alone",
    legal="cut",
    illegal="pick",
    says="Batch 1 (lettuce) and batch 2 (mizuna) are due to share tote A, but fruit needs a tote of its own.",
)
def kind_of_mizuna(setting: Setting, kind: HarvestKind) -> None:
    setting.alter_crop("mizuna", harvest=replace(setting.garden.crops["mizuna"].harvest, kind=kind))
    for number, index in ((2, 0), (2, 1), (5, 0)):
        setting.alter_harvest(number, index, kind=kind)


# Three plants of 3 litres need nine tenths of 10.
@LIMITS.of(
    "water lasts",
    legal=10.0,
    illegal=9.9,
    says="Tote B can supply 8.9 litres, but the plants of Sat 24 Oct need 9 litres.",
)
def litres_of_a_still_tote(setting: Setting, litres: float) -> None:
    setting.alter_tote("B", litres=litres)


# Batch 3 leaves tote A on 12 December.
@LIMITS.of(
    "tote stays where it is",
    legal=(12, 12),
    illegal=(12, 11),
    says="Batch 3 (lettuce) is due to be at shelf on Fri 11 Dec, when tote A is not there.",
)
def tote_moves(setting: Setting, from_md: MonthDay) -> None:
    stands = (Stand(place="shelf"), Stand(place="yard", from_md=from_md, until_md=(2, 1)))
    setting.alter_tote("A", stands=stands)
    setting.alter_harvest(3, 0, latest_on=date(2026, *from_md))


# Batch 6 leaves tote C on 14 November.
@LIMITS.of(
    "tote stays where it is",
    legal=(11, 14),
    illegal=(11, 13),
    says="Batch 6 (pea) is due to be at shelf on Fri 13 Nov, when tote C is not there.",
)
def tote_is_put_away(setting: Setting, until_md: MonthDay) -> None:
    setting.alter_tote("C", stands=(Stand(place="shelf", from_md=(9, 1), until_md=until_md),))
    setting.alter_harvest(6, 0, latest_on=date(2026, *until_md))


@LIMITS.of(
    "resting totes stand empty",
    legal=70,
    illegal=69,
    says="Batch 3 (lettuce) is due to be in tote A on Fri 11 Dec, when the tote is resting.",
)
def tote_begins_to_rest(setting: Setting, on: int) -> None:
    setting.resting = (Rest(tote="A", from_on=day(on), until_on=day(80)),)
    setting.alter_harvest(3, 0, latest_on=day(on))


@LIMITS.of(
    "resting totes stand empty",
    legal=21,
    illegal=22,
    says="Batch 4 (lettuce) is due to be in tote B on Sat 24 Oct, when the tote is resting.",
)
def tote_is_back(setting: Setting, on: int) -> None:
    setting.resting = (Rest(tote="B", from_on=day(0), until_on=day(on)),)


@pytest.mark.parametrize("limit", LIMITS.known, ids=str)
def test_a_rule_holds_up_to_its_limit(limit: Limit) -> None:
    """At the limit the plan is legal; one step beyond breaks that rule and no other, and a sentence says how."""
    assert limit.breaches(limit.legal) == ()
    breaches = limit.breaches(limit.illegal)
    assert {breach.rule for breach in breaches} == {limit.rule}
    assert breaches[0].sentence == limit.says


def test_every_rule_of_the_module_has_a_limit() -> None:
    """No rule of the module goes untried."""
    assert LIMITS.untried() == set()


def test_a_batch_without_holes_says_so() -> None:
    """A batch that stands in no hole breaks the rule of holes, whatever else is wrong with it."""
    setting = make_setting()
    setting.alter(5, holes=())
    sentences = [each.sentence for each in setting.breaches() if each.rule == "holes are in the lid"]
    assert sentences == ["Batch 5 (mizuna) has 3 plants for no hole."]


def test_a_lid_of_one_hole_is_said_in_the_singular() -> None:
    """Of a tote with one hole the sentence says ``1 hole``."""
    setting = make_setting()
    setting.alter_tote("C", holes=1)
    setting.batches = {6: replace(setting.batches[6], holes=(2,), plants=1, cells=1, seeds=2)}
    sentences = [each.sentence for each in setting.breaches() if each.rule == "holes are in the lid"]
    assert sentences == ["Batch 6 (pea) is due to be in hole 2, but tote C has 1 hole."]


def test_heads_may_be_left_and_hold_their_holes_until_the_batch_is_cleared() -> None:
    """A head of a begun batch that is never taken holds its hole until its batch is cleared."""
    setting = make_setting()
    setting.alter(1, state="sown", harvests=(reap(39, 38, "head", 1, 1),), cleared_on=day(39))
    assert setting.broken() == set()
    setting.alter(
        1, state="sown", harvests=(reap(39, 38, "head", 1, 1), reap(46, 38, "head", 2, 2)), cleared_on=day(46)
    )
    assert setting.broken() == {"one plant a hole"}


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


def test_a_plant_that_stands_where_it_cannot_stay_waits_for_the_first_day_at_home() -> None:
    """A tote was moved under its plants: they are cleared on the first day at home, and no later."""
    setting = make_setting()
    setting.today = day(60)
    setting.alter_garden(away=(Away(from_on=day(60), back_on=day(62)),))
    yard = replace(setting.garden.tote("B").stands[0], place="yard")
    setting.alter_tote("B", stands=(yard,))
    setting.batches = {5: replace(setting.batches[5], state="transplanted", harvests=(), cleared_on=day(62))}
    assert setting.broken() == set()
    setting.alter(5, cleared_on=day(63))
    assert setting.broken() == {"tote stays where it is"}


@pytest.mark.parametrize(("system", "broken"), [("kratky", {"water lasts"}), ("dwc", set())])
def test_only_still_totes_that_are_never_topped_up_must_last(system: System, broken: set[str]) -> None:
    """A tote with a pump is topped up whatever its key says; a still tote may be topped up in small portions."""
    setting = make_setting()
    setting.alter_tote("B", litres=9.9, system=system)
    assert setting.broken() == broken
    setting.alter_tote("B", top_up="small")
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
