"""Dated stages of made-up crops are those counted by hand."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from builders import a_crop
from steadysow.growth import timeline
from steadysow.growth.daylight import Conditions, conditions_at
from steadysow.growth.timeline import GrowingPlace
from steadysow.inputs.crops import Bolting, Crop
from steadysow.inputs.garden import Lamp, Place

MON = date(2026, 10, 5)
CROP = a_crop(
    "made-up green",
    "cut",
    plants_per_m2=25,
    seeds_a_cell=2,
    emergence=((5, None), (10, 10), (20, 4), (30, 5), (35, None)),
    germination_percent=80,
    germination_c=(8, 18, 25, 32),
    transplant_shock_days=3,
    first_days=23,
    between_days=10,
    grams=(60, 50),
    base_c=4,
    half_dli_mol=4,
    grams_per_mol=8,
    litres_a_plant=4,
)
POT_CROP = replace(CROP, sown_in="pot", nursery_days=(0, 0))


def days(number: int) -> timedelta:
    """Give a span of days."""
    return timedelta(days=number)


def steady(temperature_c: float = 20, dli_mol: float = 12, length: int = 120) -> Conditions:
    """Give steady conditions from a Monday on."""
    place = Place(name="shelf", lamp=Lamp(dli_mol=dli_mol), temperature_c=temperature_c)
    return conditions_at(place, MON, length)


def test_steady_conditions_are_those_of_the_place() -> None:
    """Under a lamp every day has the place's temperature and light."""
    expected = Conditions(first_on=MON, temperature_c=(18, 18, 18), dli_mol=(9, 9, 9), day_hours=(0, 0, 0))
    assert steady(18, 9, 3) == expected


def test_days_are_found_in_the_conditions() -> None:
    """The first day has index 0, the last the length less one."""
    conditions = steady(length=10)
    assert conditions.index(MON) == 0
    assert conditions.index(MON + days(9)) == 9
    assert conditions.until_on == MON + days(10)


@pytest.mark.parametrize("day", [MON - days(1), MON + days(10)])
def test_days_outside_the_conditions_are_a_bug(day: date) -> None:
    """A day outside the conditions is never guessed."""
    with pytest.raises(IndexError, match="outside the conditions, which run from 2026-10-05 until 2026-10-15"):
        steady(length=10).index(day)


@pytest.mark.parametrize(("temperature_c", "after"), [(10, 10), (20, 4), (30, 5), (15, 6)])
def test_emergence_by_temperature(temperature_c: float, after: int) -> None:
    """Seedlings emerge after the days of the table, or on the next whole day (1 / 0.175 = 5.7 becomes 6)."""
    assert timeline.emerges_on(CROP, MON, steady(temperature_c)) == MON + days(after)


@pytest.mark.parametrize("temperature_c", [5, 7, 33, 40])
def test_no_emergence_at_temperatures_without_it(temperature_c: float) -> None:
    """Where no seed emerges, or outside the table, there is no day of emergence."""
    conditions = steady(temperature_c)
    assert timeline.emerges_on(CROP, MON, conditions) is None
    assert timeline.transplant_window(CROP, MON, conditions) is None


def test_seeds_wait_through_a_cold_spell() -> None:
    """Three days without progress delay emergence by three days."""
    conditions = Conditions(first_on=MON, temperature_c=(20, 20, 2, 2, 2, *(20,) * 20), dli_mol=(12,) * 25)
    assert timeline.emerges_on(CROP, MON, conditions) == MON + days(4 + 3)


def test_no_stage_is_beyond_the_conditions() -> None:
    """A stage has a day only within the conditions."""
    assert timeline.emerges_on(CROP, MON, steady(length=5)) == MON + days(4)
    assert timeline.emerges_on(CROP, MON, steady(length=4)) is None
    assert timeline.transplant_window(CROP, MON, steady(length=14)) is None
    assert GrowingPlace(CROP, steady(length=24)).first_due(MON) == MON + days(23)
    assert GrowingPlace(CROP, steady(length=23)).first_due(MON) is None
    assert GrowingPlace(CROP, steady(length=5)).first_due(MON + days(4)) is None


@pytest.mark.parametrize("dli_mol", [timeline.SEEDLING_DLI_MOL, 12, 30])
def test_transplant_window_at_the_profiles_temperature(dli_mol: float) -> None:
    """At the profile's temperature the window is its nursery days, in any nursery with enough light for seedlings."""
    assert timeline.transplant_window(CROP, MON, steady(20, dli_mol)) == (MON + days(14), MON + days(21))


def test_transplant_window_in_a_cool_nursery() -> None:
    """At 12 degrees emergence takes 7.7 days and 10 days of growth take 20; the wait is the same."""
    assert timeline.transplant_window(CROP, MON, steady(12)) == (MON + days(8 + 20), MON + days(8 + 20 + 7))


def test_transplant_window_in_a_dim_nursery() -> None:
    """At 2 mol seedlings grow at a third of their pace at 6 mol, so 10 days take 30; emergence needs no light."""
    assert timeline.transplant_window(CROP, MON, steady(20, 2)) == (MON + days(4 + 30), MON + days(4 + 30 + 7))


def test_transplant_not_before_emergence() -> None:
    """A profile whose nursery days are shorter than its emergence is transplanted on emergence, not before."""
    hasty = replace(CROP, nursery_days=(2, 5))
    assert timeline.transplant_window(hasty, MON, steady()) == (MON + days(4), MON + days(7))


def test_profile_temperature_outside_the_emergence_table() -> None:
    """If the table lacks the profile's temperature, its fastest emergence is subtracted from the nursery days."""
    silent = replace(CROP, emergence=((10, 10), (15, 6)))
    conditions = Conditions(first_on=MON, temperature_c=(*(15,) * 6, *(20,) * 30), dli_mol=(12,) * 36)
    assert timeline.transplant_window(silent, MON, conditions) == (MON + days(14), MON + days(21))


def test_pot_sown_crops_are_not_moved() -> None:
    """A crop sown in its pot is 'transplanted' on the day it is sown."""
    assert timeline.transplant_window(POT_CROP, MON, steady()) == (MON, MON)


def test_development_is_one_at_the_profiles_conditions() -> None:
    """A day at the profile's conditions counts 1; temperature and light each multiply it."""
    assert timeline.development(CROP, 20, 12) == 1.0
    assert timeline.development(CROP, 12, 12) == pytest.approx(0.5)
    assert timeline.development(CROP, 12, 8) == pytest.approx(0.5 * (2 / 3) / (3 / 4))
    assert timeline.development(CROP, 12, 3) == pytest.approx(0.5 * (6 / 10) / (3 / 4) / 2)


def test_standstill_after_transplant_does_not_depend_on_warmth() -> None:
    """At half the pace 20 days of growth take 40, and 3 days of standstill stay 3."""
    assert GrowingPlace(CROP, steady(12)).first_due(MON) == MON + days(3 + 40)


def test_next_due_counts_from_the_harvest_without_standstill() -> None:
    """The next cut is due the days between cuts after the last one, or twice these days at half the pace."""
    assert GrowingPlace(CROP, steady()).next_due(MON + days(30)) == MON + days(40)
    assert GrowingPlace(CROP, steady(12)).next_due(MON + days(30)) == MON + days(50)


def test_pot_sown_crops_count_from_sowing() -> None:
    """A crop sown in its pot has no standstill: all its days are growth, counted from sowing."""
    assert GrowingPlace(POT_CROP, steady()).first_due(MON) == MON + days(23)
    assert GrowingPlace(POT_CROP, steady(12)).first_due(MON) == MON + days(46)


def test_pot_sown_crops_are_not_due_before_they_emerge() -> None:
    """If emergence takes longer than the days to harvest, the harvest waits; without emergence there is none."""
    quick = replace(POT_CROP, harvest=replace(CROP.harvest, first_days=2))
    assert GrowingPlace(quick, steady()).first_due(MON) == MON + days(4)
    assert GrowingPlace(POT_CROP, steady(31)).first_due(MON) is None


def test_a_day_before_the_conditions_is_a_bug() -> None:
    """A transplant before the first known day raises an error."""
    with pytest.raises(IndexError, match="2026-10-04 is before the conditions, which begin on 2026-10-05"):
        GrowingPlace(CROP, steady()).next_due(MON - days(1))


def test_light_is_summed_over_half_open_days() -> None:
    """Light counts from the first day up to, not including, the last one."""
    conditions = Conditions(first_on=MON, temperature_c=(20,) * 4, dli_mol=(1, 2, 4, 8))
    place = GrowingPlace(CROP, conditions)
    assert place.light_mol(MON + days(1), MON + days(3)) == 6
    assert place.light_mol(MON, MON + days(4)) == 15
    assert place.light_mol(MON, MON) == 0
    with pytest.raises(IndexError, match="out of range"):
        place.light_mol(MON, MON + days(5))


def test_grams_are_the_profiles_unless_light_falls_short() -> None:
    """8 g a mol at 12 mol on 0.04 m2 are 3.84 g a day: after 20 days the profile's 60 g, after 10 days 38.4 g."""
    place = GrowingPlace(CROP, steady())
    assert place.grams(1, MON, MON + days(20), 0.04) == 60
    assert place.grams(2, MON, MON + days(20), 0.04) == 50
    assert place.grams(1, MON, MON + days(10), 0.04) == pytest.approx(38.4)


def test_conditions_of_uneven_length_are_a_bug() -> None:
    """Every day needs both its temperature and its light."""
    with pytest.raises(ValueError, match="shorter"):
        GrowingPlace(CROP, Conditions(first_on=MON, temperature_c=(20, 20), dli_mol=(12,)))


def bolter(bolting: Bolting) -> Crop:
    """Give the crop with limits beyond which it bolts."""
    return replace(CROP, growth=replace(CROP.growth, bolting=bolting))


def test_long_days_make_a_plant_bolt() -> None:
    """After the third day of more than 14 hours since transplant, the plant has bolted; days of 14 hours are fine."""
    hours = (15, 15, 14, 15, 14, 15, 15, *(12,) * 40)
    conditions = Conditions(first_on=MON, temperature_c=(20,) * 47, dli_mol=(12,) * 47, day_hours=hours)
    place = GrowingPlace(bolter(Bolting(after_days=3, longest_day_hours=14, above_c=None)), conditions)
    assert place.bolts_on(MON) == MON + days(4)
    assert place.bolts_on(MON + days(1)) == MON + days(6)
    assert place.bolts_on(MON + days(5)) is None
    assert place.may_bolt


def test_heat_makes_a_plant_bolt() -> None:
    """A day above the temperature limit counts like a long day, and a day with both counts once."""
    warmth, hours = (26, 25, 26, 26, *(20,) * 20), (16, 10, 10, 10, *(10,) * 20)
    conditions = Conditions(first_on=MON, temperature_c=warmth, dli_mol=(12,) * 24, day_hours=hours)
    place = GrowingPlace(bolter(Bolting(after_days=3, longest_day_hours=15, above_c=25)), conditions)
    assert place.bolts_on(MON) == MON + days(4)
    assert not GrowingPlace(bolter(Bolting(after_days=4, longest_day_hours=15, above_c=25)), conditions).may_bolt


def test_bolting_ends_the_days_a_harvest_may_wait() -> None:
    """Due on day 23 for 7 days, a harvest ends the day before bolting; bolted by day 23, there is none."""
    conditions = Conditions(first_on=MON, temperature_c=(20,) * 90, dli_mol=(12,) * 90, day_hours=(16,) * 90)

    def latest(after_days: int) -> date | None:
        crop = bolter(Bolting(after_days=after_days, longest_day_hours=15, above_c=None))
        return GrowingPlace(crop, conditions).latest(MON + days(23), MON)

    assert latest(40) == MON + days(29)
    assert latest(25) == MON + days(24)
    assert latest(24) == MON + days(23)
    assert latest(23) is None
    assert GrowingPlace(CROP, conditions).latest(MON + days(23), MON) == MON + days(29)
