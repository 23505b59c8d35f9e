"""Forecasts: stages counted by hand, every way to end without a harvest, and the sentences that explain them."""

import re
from dataclasses import replace
from datetime import date, timedelta
from math import ceil

import pytest

from shipped import shipped_crops
from steadysow.growth.daylight import conditions_at, light_on
from steadysow.growth.forecast import LONGEST_DAYS, Forecast, forecast, why
from steadysow.growth.timeline import GrowingPlace, development
from steadysow.inputs.crops import Bolting, Crop, Growth
from steadysow.inputs.garden import Facing, Lamp, MonthDay, Outdoors, Place, Sky, Window
from tiny import make_crop

MON = date(2026, 10, 5)
GROWTH = Growth(base_c=4, optimum_c=24, ceiling_c=32, at_c=20, at_dli_mol=12, half_dli_mol=4, grams_per_mol=8)
# Up after 4 days at 20 degrees, planted after 14, ready 23 days later, 3 of them standstill.  In that time 12 mol a
# day on a 25th of a square metre make 12 x 23 / 25 x 8 = 88 g, more than the 60 g of the profile.
CROP = replace(
    make_crop(nursery_days=(14, 21), first_days=23, window_days=7, grams=(60.0,), plants_per_m2=25),
    emergence=((5, None), (10, 10), (20, 4), (30, 5), (35, None)),
    transplant_shock_days=3,
    growth=GROWTH,
)
POT_CROP = replace(CROP, sown_in="pot", nursery_days=(0, 0))
# A crop whose days do not change in light above 6 mol.
STEADY_CROP = replace(CROP, growth=replace(GROWTH, half_dli_mol=0))

SHELF = Place(name="shelf", lamp=Lamp(dli_mol=12.0, hours=16.0), temperature_c=20.0)
NURSERY = replace(SHELF, name="nursery")
SILL = Place(name="sill", window=Window(faces="south", share=0.4), temperature_c=20.0)
ALL_CROPS = shipped_crops()


def days(number: int) -> timedelta:
    """Give a span of days."""
    return timedelta(days=number)


def shelf(temperature_c: float = 20.0, dli_mol: float = 12.0) -> Place:
    """Give a shelf under a lamp."""
    return Place(name="shelf", lamp=Lamp(dli_mol=dli_mol, hours=16.0), temperature_c=temperature_c)


def yard(temperature_c: float = 20.0, until_md: MonthDay = (9, 25)) -> Place:
    """Give a place outdoors, in use from 20 May."""
    outdoors = Outdoors(frost_free=((5, 20), until_md), shade=0.0)
    return Place(name="yard", temperature_c=temperature_c, outdoors=outdoors)


def bolting(
    after_days: int, longest_day_hours: float | None = 14.0, above_c: float | None = None, crop: Crop = CROP
) -> Crop:
    """Give the crop with limits beyond which it bolts."""
    limits = Bolting(after_days=after_days, longest_day_hours=longest_day_hours, above_c=above_c)
    return replace(crop, growth=replace(crop.growth, bolting=limits))


def forecast_of(
    crop: Crop = CROP, place: Place = SHELF, sown_on: date = MON, nursery: Place = NURSERY, latitude: float = 61.0
) -> Forecast:
    """Forecast a sowing, by default at the profile's own conditions."""
    return forecast(crop, place, sown_on, nursery=nursery, sky=Sky(latitude=latitude, clouds=0.5))


# At the profile's own conditions.


def test_the_profiles_conditions_give_its_days_and_grams() -> None:
    """At the light and temperature of the profile, the forecast has the profile's days and weight."""
    each, ready_on = forecast_of(), MON + days(14 + 23)
    assert (each.place, each.sown_on) == (SHELF, MON)
    assert (each.emerges_on, each.planted_on) == (MON + days(4), MON + days(14))
    assert (each.ready_on, each.latest_on, each.grams) == (ready_on, ready_on + days(6), 60.0)
    assert (each.dli_mol, each.temperature_c, each.light_pace, each.warmth_pace) == pytest.approx((12, 20, 1, 1))
    assert (each.end, each.closed_on, each.bolts_on) == (None, None, None)


@pytest.mark.parametrize("name", ALL_CROPS)
def test_every_shipped_crop_keeps_its_profile(name: str) -> None:
    """Each profile's nursery days, days to the first harvest and grams come out at the conditions it names."""
    crop = ALL_CROPS[name]
    place = Place(name="shelf", lamp=Lamp(dli_mol=crop.growth.at_dli_mol), temperature_c=crop.growth.at_c)
    each = forecast_of(crop, place, nursery=place)
    in_nursery = 0 if crop.sown_in == "pot" else crop.nursery_days[0]
    assert each.end is None
    assert each.planted_on == MON + days(in_nursery)
    assert each.ready_on == MON + days(in_nursery + ceil(crop.harvest.first_days))
    assert each.grams == pytest.approx(crop.harvest.grams[0])


def test_a_place_without_a_sky() -> None:
    """Where the sun lights neither place, no latitude is needed."""
    assert forecast(CROP, SHELF, MON, nursery=NURSERY, sky=None) == forecast_of()


# Stages in other light and warmth.


def test_dimmer_and_colder_takes_longer() -> None:
    """At 6 mol light is worth 0.6 / 0.75 = 80 %, at 12 degrees warmth 8 / 16 = half: 3 days and 20 / 0.4 more."""
    each = forecast_of(place=shelf(12.0, 6.0))
    assert each.planted_on == MON + days(14)
    assert each.ready_on == MON + days(14 + 3 + 50)
    assert (each.dli_mol, each.temperature_c, each.light_pace, each.warmth_pace) == pytest.approx((6, 12, 0.8, 0.5))


def test_light_limits_the_weight() -> None:
    """In 53 days 6 mol a day on a 25th of a square metre, at 2 g a mol, make 25.44 g."""
    hungry = replace(CROP, growth=replace(GROWTH, grams_per_mol=2))
    assert forecast_of(hungry, shelf(12.0, 6.0)).grams == pytest.approx(6 * 53 / 25 * 2)


def test_the_nursery_sets_the_day_of_planting() -> None:
    """At 12 degrees seeds come up in 1 / 0.13 days and seedlings grow at half their pace, wherever the tote stands."""
    cold = replace(NURSERY, temperature_c=12.0)
    each = forecast_of(nursery=cold)
    assert (each.emerges_on, each.planted_on) == (MON + days(8), MON + days(8 + 20))
    assert each.ready_on == MON + days(8 + 20 + 23)
    assert each.warmth_pace == pytest.approx(1.0)


def test_a_crop_sown_in_its_pot() -> None:
    """It needs no nursery and no transplant: 23 days from sowing; light makes leaves from the fourth day on."""
    frozen = replace(NURSERY, temperature_c=-5.0)
    hungry = replace(POT_CROP, growth=replace(GROWTH, grams_per_mol=2))
    each = forecast_of(hungry, nursery=frozen)
    assert (each.emerges_on, each.planted_on, each.ready_on) == (MON + days(4), MON, MON + days(23))
    assert each.grams == pytest.approx(12 * (23 - 4) / 25 * 2)
    # It comes up in the warmth of its own place: at 15 degrees in 1 / 0.175 days.
    assert forecast_of(hungry, shelf(15.0), nursery=frozen).emerges_on == MON + days(6)


@pytest.mark.parametrize("sown_on", [date(2026, 11, 7), date(2027, 2, 20), date(2027, 6, 5)])
@pytest.mark.parametrize("faces", ["south", "east", "north"])
def test_dates_at_a_window_are_those_of_the_growing_place(faces: Facing, sown_on: date) -> None:
    """The forecast has the same days, grams and light as the planner's `GrowingPlace`."""
    sill = replace(SILL, window=Window(faces=faces, share=0.4))
    sky = Sky(latitude=61.0, clouds=0.5)
    each = forecast(CROP, sill, sown_on, nursery=NURSERY, sky=sky)
    growing = GrowingPlace(CROP, conditions_at(sill, sown_on, 200, sky))
    planted_on = sown_on + days(14)
    ready_on = growing.first_due(planted_on)
    assert ready_on is not None
    assert (each.planted_on, each.ready_on, each.latest_on) == (planted_on, ready_on, ready_on + days(6))
    assert each.grams == growing.grams(1, planted_on, ready_on, 1 / 25)
    light = [light_on(sill, planted_on + days(number), sky).dli_mol for number in range((ready_on - planted_on).days)]
    assert each.dli_mol == pytest.approx(sum(light) / len(light))


# What ends a sowing without a harvest.


def test_seeds_that_never_come_up() -> None:
    """Below the temperatures of the table no seed comes up, and no later stage has a day."""
    cold = replace(NURSERY, temperature_c=3.0)
    each = forecast_of(nursery=cold)
    assert each == Forecast(place=SHELF, sown_on=MON, end="seeds")
    sentence = "Seeds do not come up where they are sown: published figures run from {} to {}."
    assert why(CROP, each, "metric") == sentence.format("10 °C", "30 °C")
    assert why(CROP, each, "us") == sentence.format("50 °F", "86 °F")


def test_seedlings_that_never_grow() -> None:
    """In the dark, seedlings come up and then stand still."""
    each = forecast_of(nursery=replace(NURSERY, lamp=Lamp(dli_mol=0.01)))
    assert each == Forecast(place=SHELF, sown_on=MON, emerges_on=MON + days(4), end="seedlings")
    assert "Seedlings come up, but never grow large enough to be planted" in why(CROP, each, "metric")


def test_a_place_that_is_closed_when_they_could_be_planted() -> None:
    """Sown on 5 October, they could be planted on 19 October, weeks after the first frost."""
    each = forecast_of(place=yard())
    assert (each.end, each.planted_on, each.closed_on) == ("closed", date(2026, 10, 19), date(2026, 10, 19))
    assert (each.ready_on, each.latest_on, each.grams) == (None, None, 0.0)
    assert why(CROP, each, "metric") == "The place is not in use on 19 Oct 2026, when the seedlings could be planted."


def test_frost_before_it_is_ready() -> None:
    """Planted on 25 August at 12 degrees it needs 3 + 40 days in enough light, and has 31."""
    each = forecast_of(STEADY_CROP, yard(12.0), date(2026, 8, 11))
    assert (each.end, each.planted_on, each.closed_on) == ("frost", date(2026, 8, 25), date(2026, 9, 25))
    assert (each.ready_on, each.latest_on, each.grams) == (None, None, 0.0)
    # Days with frost do not count: the means are those of the days before it.
    assert (each.temperature_c, each.warmth_pace, each.light_pace) == pytest.approx((12.0, 0.5, 1.0))
    sentence = "It is not ready before the place goes out of use on 25 Sep 2026."
    assert why(CROP, each, "metric").endswith(sentence)


@pytest.mark.parametrize(
    ("until_md", "ready_md", "latest_md"),
    [
        ((9, 6), None, None),
        ((9, 7), (9, 7), (9, 7)),
        ((9, 8), (9, 7), (9, 8)),
        ((9, 10), (9, 7), (9, 10)),
        ((9, 14), (9, 7), (9, 13)),
        ((9, 25), (9, 7), (9, 13)),
    ],
)
def test_the_frost_ends_the_days_it_can_wait(
    until_md: MonthDay, ready_md: MonthDay | None, latest_md: MonthDay | None
) -> None:
    """Planted on 15 August it is ready on 7 September and waits six more days, but not beyond the first frost."""
    each = forecast_of(STEADY_CROP, yard(20.0, until_md), date(2026, 8, 1))
    assert each.planted_on == date(2026, 8, 15)
    assert each.ready_on == (ready_md and date(2026, *ready_md))
    assert each.latest_on == (latest_md and date(2026, *latest_md))
    assert each.end == (None if ready_md else "frost")


@pytest.mark.parametrize(("temperature_c", "dli_mol"), [(4.0, 12.0), (-3.0, 12.0), (32.0, 12.0), (20.0, 0.2)])
def test_not_ready_within_a_year(temperature_c: float, dli_mol: float) -> None:
    """At its base temperature, below it, at its ceiling, or in almost no light, it is not ready within a year."""
    each = forecast_of(place=shelf(temperature_c, dli_mol))
    assert (each.end, each.planted_on) == ("slow", MON + days(14))
    assert (each.ready_on, each.latest_on, each.grams) == (None, None, 0.0)
    assert (each.dli_mol, each.temperature_c) == pytest.approx((dli_mol, temperature_c))
    assert why(CROP, each, "metric").endswith("It would not be ready within a year.")


def test_a_wait_has_a_longest_length() -> None:
    """A harvest after 375 days of growth is still forecast, one after 500 is not."""
    # At 12 mol a day and 4 + 16 x pace degrees, after 14 days in the nursery and 3 of standstill.
    for wait_days, end in ((375, None), (500, "slow")):
        each = forecast_of(place=shelf(4 + 16 * 20 / wait_days))
        assert each.end == end
    assert forecast_of(place=shelf(4 + 16 * 20 / 375)).ready_on == MON + days(14 + 3 + 375)
    assert LONGEST_DAYS > 14 + 3 + 375


def test_it_bolts_before_it_is_ready() -> None:
    """Days of 16 hours make it bolt in 14 days, and it would be ready in 23."""
    each = forecast_of(bolting(14))
    assert (each.end, each.bolts_on) == ("bolts", MON + days(14 + 14))
    assert (each.ready_on, each.latest_on, each.grams) == (None, None, 0.0)
    sentence = "It bolts by 2 Nov 2026, before it is ready: it tolerates 14 days of days longer than 14 hours."
    assert why(bolting(14), each, "metric").endswith(sentence)


def test_warmth_makes_it_bolt() -> None:
    """At 29 degrees it bolts after 14 days above 28 degrees; at 28 degrees it does not bolt."""
    crop = bolting(14, None, 28.0)
    each = forecast_of(crop, shelf(29.0))
    assert (each.end, each.bolts_on) == ("bolts", MON + days(28))
    assert why(crop, each, "metric").endswith("it tolerates 14 days of more than 28 °C.")
    assert why(crop, each, "us").endswith("it tolerates 14 days of more than 82 °F.")
    assert forecast_of(crop, shelf(28.0)).bolts_on is None


def test_both_limits_are_named() -> None:
    """A crop that tolerates neither long days nor warmth has both limits in its sentence."""
    crop = bolting(14, 14.0, 28.0)
    assert "days longer than 14 hours or more than 28 °C" in why(crop, forecast_of(crop), "metric")


@pytest.mark.parametrize(("after_days", "wait_days"), [(23, None), (24, 0), (26, 2), (29, 5), (31, 6), (100, 6)])
def test_bolting_ends_the_days_it_can_wait(after_days: int, wait_days: int | None) -> None:
    """Ready 23 days after planting and good for six more, it is not harvested on the day it has bolted or later."""
    crop, ready_on = bolting(after_days), MON + days(14 + 23)
    each = forecast_of(crop)
    assert each.bolts_on == MON + days(14 + after_days)
    assert each.ready_on == (None if wait_days is None else ready_on)
    assert each.latest_on == (None if wait_days is None else ready_on + days(wait_days))
    assert ("so it cannot wait longer" in why(crop, each, "metric")) is (wait_days in (0, 2, 5))


def test_short_days_do_not_make_it_bolt() -> None:
    """A lamp of 14 hours is no longer than it tolerates."""
    short = replace(SHELF, lamp=Lamp(dli_mol=12.0, hours=14.0))
    each = forecast_of(bolting(14), short)
    assert (each.end, each.bolts_on, each.ready_on) == (None, None, MON + days(37))


# Polar night.


@pytest.mark.parametrize("faces", ["south", "north"])
def test_polar_night_waits_for_spring(faces: Facing) -> None:
    """At 70 degrees the sun is away until late January: a sowing of December is ready in spring."""
    sill = replace(SILL, window=Window(faces=faces, share=0.4))
    each = forecast_of(place=sill, sown_on=date(2026, 12, 1), latitude=70.0)
    sky = Sky(latitude=70.0, clouds=0.5)
    assert light_on(sill, date(2026, 12, 21), sky).dli_mol == 0
    assert each.planted_on == date(2026, 12, 15)
    assert each.ready_on is not None
    assert date(2027, 2, 1) < each.ready_on < date(2027, 6, 1)

    def growth_until(end_on: date) -> float:
        span = (end_on - date(2026, 12, 18)).days
        lights = [light_on(sill, date(2026, 12, 18) + days(number), sky).dli_mol for number in range(span)]
        return sum(development(CROP, 20.0, mol) for mol in lights)

    assert growth_until(each.ready_on) >= 20 > growth_until(each.ready_on - days(1))
    assert "of its pace at 12 mol and 20 °C" in why(CROP, each, "metric")


def test_polar_night_and_a_small_window() -> None:
    """Where a hundredth of the light comes in, it is not ready within a year."""
    slit = replace(SILL, window=Window(faces="north", share=0.01))
    each = forecast_of(place=slit, sown_on=date(2026, 12, 1), latitude=70.0)
    assert (each.end, each.ready_on) == ("slow", None)
    assert why(CROP, each, "metric").endswith("It would not be ready within a year.")


def test_polar_night_in_the_nursery() -> None:
    """Seedlings at a window come up in the dark and wait for the light before they can be planted."""
    each = forecast_of(place=SILL, sown_on=date(2026, 12, 1), nursery=SILL, latitude=70.0)
    assert each.emerges_on == date(2026, 12, 5)
    assert each.planted_on is not None
    assert date(2027, 2, 1) < each.planted_on < date(2027, 5, 1)


@pytest.mark.parametrize("latitude", [90.0, 78.0, 66.6, 0.0, -45.0, -70.0, -90.0])
@pytest.mark.parametrize("sown_on", [date(2026, 12, 1), date(2027, 6, 21), date(2028, 2, 29)])
@pytest.mark.parametrize("crop", [CROP, POT_CROP, bolting(14)], ids=["nursery", "pot", "bolts"])
def test_stages_follow_each_other_everywhere(crop: Crop, sown_on: date, latitude: float) -> None:
    """At any latitude and season the stages are in order, within the known days, and explained by sentences."""
    cold = replace(SILL, temperature_c=tuple(float(4 + 2 * abs(month - 6)) for month in range(1, 13)))
    for place in (SHELF, SILL, cold, yard(), yard(12.0, (6, 1))):
        for nursery in (NURSERY, SILL):
            each = forecast_of(crop, place, sown_on, nursery, latitude)
            stages = [each.sown_on, each.planted_on, each.ready_on, each.latest_on]
            reached = [stage for stage in stages if stage is not None]
            assert reached == sorted(reached)
            assert (each.ready_on is None) == (each.latest_on is None) == (each.end is not None)
            if each.ready_on is not None:
                assert each.ready_on < sown_on + days(LONGEST_DAYS)
                assert each.emerges_on is not None
                assert each.emerges_on <= each.ready_on
                assert 0 < each.grams <= crop.harvest.grams[0]
            for units in ("metric", "us"):
                assert why(crop, each, units).endswith(".")


# The sentences.


def test_why_has_the_pace_and_the_days() -> None:
    """The pace is that of light times that of warmth, and 53 days are compared with the profile's 23."""
    each = forecast_of(place=shelf(12.0, 6.0))
    assert why(CROP, each, "metric") == (
        "At 6.0 mol of light a day and 12 °C it grows at 40% of its pace at 12 mol and 20 °C (light 80%, warmth 50%): "
        "53 days instead of 23."
    )


def test_why_has_the_weight_that_light_makes() -> None:
    """25.44 g of 60: in ounces of 28.35 g, 0.9 of 2.1; 12 and 20 degrees are 54 and 68 Fahrenheit."""
    hungry = replace(CROP, growth=replace(GROWTH, grams_per_mol=2))
    each = forecast_of(hungry, shelf(12.0, 6.0))
    assert why(hungry, each, "metric").endswith(
        "53 days instead of 23. At the profile's spacing the light makes 25 g of the 60 g in the profile."
    )
    assert why(hungry, each, "us") == (
        "At 6.0 mol of light a day and 54 °F it grows at 40% of its pace at 12 mol and 68 °F (light 80%, warmth 50%): "
        "53 days instead of 23. At the profile's spacing the light makes 0.9 oz of the 2.1 oz in the profile."
    )


@pytest.mark.parametrize(("grams", "is_mentioned"), [(59.5, False), (58.0, True)])
def test_a_small_loss_is_not_mentioned(grams: float, is_mentioned: bool) -> None:
    """A weight that is less than a fiftieth below the profile's is not mentioned."""
    crop = replace(CROP, growth=replace(GROWTH, grams_per_mol=grams * 25 / (12 * 23)))
    each = forecast_of(crop)
    assert each.grams == pytest.approx(grams)
    assert ("the light makes" in why(crop, each, "metric")) is is_mentioned


def test_without_a_harvest_there_are_no_days_and_no_weight() -> None:
    """For a crop that bolts or freezes the sentence has the pace, without days and weight."""
    for crop, place in ((bolting(14), SHELF), (CROP, yard(9.0))):
        sentence = why(crop, forecast_of(crop, place, date(2026, 8, 11)), "metric")
        assert "of its pace at" in sentence
        assert "instead of" not in sentence
        assert "the light makes" not in sentence


def test_the_pace_in_the_sentence_is_that_of_the_days() -> None:
    """With light and warmth rising together, the pace is the mean of the days it really takes."""
    lettuce = ALL_CROPS["butterhead lettuce"]
    months = (5.0, 6.0, 9.0, 13.0, 17.0, 20.0, 22.0, 20.0, 16.0, 11.0, 7.0, 5.0)
    each = forecast_of(lettuce, replace(SILL, temperature_c=months), date(2026, 12, 1))
    assert each.planted_on is not None
    assert each.ready_on is not None
    span = conditions_at(
        replace(SILL, temperature_c=months),
        each.planted_on,
        (each.ready_on - each.planted_on).days,
        Sky(latitude=61.0, clouds=0.5),
    )
    grown = [development(lettuce, *day) for day in zip(span.temperature_c, span.dli_mol, strict=True)]
    found = re.search(r"grows at (\d+)% of its pace", why(lettuce, each, "metric"))
    assert found is not None
    assert int(found[1]) == pytest.approx(100 * sum(grown) / len(grown), abs=0.51)


def test_a_pot_at_a_closed_place_has_no_seedlings_to_plant() -> None:
    """In January a place outdoors is not in use yet, and nothing comes up in a pot there."""
    each = forecast_of(POT_CROP, yard(), date(2027, 1, 10))
    assert each.end == "closed"
    assert "10 Jan 2027" in why(POT_CROP, each, "metric")
    assert "seedlings" not in why(POT_CROP, each, "metric")
    assert each.emerges_on is None
