"""Doubts about places: hours of lamp and lengths of days are worked out beside the sentence, month by month."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date, timedelta
from math import acos, ceil, pi, radians, sin, tan

import pytest

from steadysow.advice.doubts import seeds_are_old
from steadysow.advice.place_doubts import (
    places_are_dark,
    places_do_not_suit,
    planned_days,
    reservoirs_get_warm,
    seeds_do_not_come_up,
)
from steadysow.growth.daylight import conditions_at, light_on
from steadysow.growth.timeline import GrowingPlace
from steadysow.inputs.crops import Bolting, Crop
from steadysow.inputs.garden import Facing, Garden, Lamp, Months, Outdoors, Packet, Place, Stand, Window
from tiny import by_name, make_crop, make_garden, make_tote, make_want

MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
          "November", "December")  # fmt: skip
# Weights hold at 12 mol; grows from 3 to 32 degrees, a week in all; seeds come up from 5 to 25 degrees.
CRESS = replace(make_crop(), emergence=((0.0, None), (5.0, 10.0), (20.0, 1.0), (25.0, 2.0), (35.0, None)))
CROPS = by_name([CRESS])
AUTUMN = date(2026, 10, 1)

SILL = Place(name="sill", window=Window(faces="south", share=0.4), temperature_c=20.0)
SHELF = Place(name="shelf", lamp=Lamp(dli_mol=12.0, hours=14.0), temperature_c=20.0)
YARD = Place(name="yard", temperature_c=15.0, outdoors=Outdoors(frost_free=((5, 20), (9, 25)), shade=0.0))
# Warm from June to August, cold from December to February.
WEATHER: Months = (1.0, 1.0, 5.0, 10.0, 15.0, 20.0, 27.0, 20.0, 15.0, 10.0, 5.0, 1.0)


def a_garden(
    *places: Place,
    starts_on: date | None = AUTUMN,
    weeks: int = 12,
    latitude: float = 61.0,
    stands: tuple[Stand, ...] = (),
    nursery: Place | None = None,
    clouds: float = 0.6,
) -> Garden:
    """Give a garden with one tote, at the first place unless told otherwise."""
    tote = replace(make_tote("A", 4), stands=stands or (Stand(place=places[0].name),))
    garden = make_garden([tote], [make_want([CRESS], 1)], weeks=weeks, crops=[CRESS])
    return replace(
        garden,
        starts_on=starts_on,
        latitude=latitude,
        clouds=clouds,
        places=places,
        nursery=replace(garden.nursery, place=nursery or garden.nursery.place),
    )


def bolting(after_days: int = 14, longest_day_hours: float | None = 14.0, above_c: float | None = None) -> Crop:
    """Give the crop with something that brings it to flower."""
    limits = Bolting(after_days=after_days, longest_day_hours=longest_day_hours, above_c=above_c)
    return replace(CRESS, growth=replace(CRESS.growth, bolting=limits))


def the_only(sentences: Iterable[str]) -> str:
    """Give the sentence, of which there must be one."""
    (sentence,) = sentences
    return sentence


def daylight_by_month(garden: Garden, place: Place) -> Mapping[str, float]:
    """Give the mean daylight of the planned days of each month."""
    lights: dict[str, list[float]] = {}
    for number in range(7 * garden.weeks):
        day = (garden.starts_on or date(2026, 1, 1)) + timedelta(number)
        lights.setdefault(MONTHS[day.month - 1], []).append(light_on(place, day, garden.sky).daylight_mol)
    return {month: sum(light) / len(light) for month, light in lights.items()}


def told_hours(sentence: str) -> dict[str, int]:
    """Give the hours a day of the lamp that a sentence advises, by month."""
    return {month: int(hours) for hours, month in re.findall(rf"(\d+) in ({'|'.join(MONTHS)})", sentence)}


def advised_lamp(sentence: str, there: Lamp | None = None) -> Lamp:
    """Give the lamp that a sentence advises, as a person would write it: it fills up, and runs the longest hours."""
    hours = float(max(told_hours(sentence).values()))
    new = re.search(r"A lamp of (\d+) umol", sentence)
    up_to = re.search(r"up to (\d+(?:\.\d+)?) mol", sentence)
    assert up_to is not None
    if new is not None:
        ppfd = float(new[1])
    else:
        assert "The lamp there would mend it" in sentence
        assert there is not None
        assert there.ppfd is not None
        ppfd = there.ppfd * there.brightness
    return Lamp(dli_mol=ppfd * hours * 0.0036, ppfd=ppfd, hours=hours, up_to_dli_mol=float(up_to[1]))


# Dark places.


def test_a_dark_window_is_told_with_the_lamp_that_mends_it() -> None:
    """In December a south window at 61 degrees is dark; each month's hours make up for what its daylight lacks."""
    garden = a_garden(SILL)
    sentence = the_only(places_are_dark(garden))
    daylight = daylight_by_month(garden, SILL)
    assert list(daylight) == ["October", "November", "December"]
    assert sentence.startswith(
        f"The place sill is dark in December, with {daylight['December']:.1f} mol of light a day: of the light at "
        f"which their weights hold, cress {daylight['December'] / 12:.0%}."
    )
    # 200 umol a second are 0.72 mol an hour.
    assert told_hours(sentence) == {month: round((12 - mol) / 0.72) for month, mol in daylight.items()}
    assert "A lamp of 200 umol a square metre and second at the leaves would mend it, up to 12 mol" in sentence


def test_a_dark_window_is_told_with_the_days_a_crop_takes() -> None:
    """What is planted there on the first of the darkest month takes as long as the planner reckons."""
    garden = a_garden(SILL)
    planted_on = date(2026, 12, 1)
    due_on = GrowingPlace(CRESS, conditions_at(SILL, planted_on, 200, garden.sky)).first_due(planted_on)
    assert due_on is not None
    taken = (due_on - planted_on).days
    assert taken > 30
    sentence = the_only(places_are_dark(garden))
    assert f"Planted on 1 Dec, cress would take {taken} days, and not 7, as in good light." in sentence


def test_a_window_too_dark_for_any_harvest_says_so() -> None:
    """Where a hundredth of the light comes in, nothing is ready within a year."""
    slit = replace(SILL, window=Window(faces="north", share=0.001))
    assert "cress would not be ready within a year." in the_only(places_are_dark(a_garden(slit)))


@pytest.mark.parametrize("at_dli_mol", [14.0, 20.0])
def test_what_a_weak_lamp_cannot_do_a_brighter_one_does(at_dli_mol: float) -> None:
    """Lamps are not advised to run for 17 or 26 hours, but for 16 at most: a brighter one is, in steps of ten."""
    hungry = replace(CRESS, growth=replace(CRESS.growth, at_dli_mol=at_dli_mol))
    garden = a_garden(SILL)
    daylight = daylight_by_month(garden, SILL)
    ppfd = ceil((at_dli_mol - min(daylight.values())) / 16 / 0.0036 / 10) * 10
    assert ppfd > 200
    sentence = the_only(places_are_dark(replace(garden, crops=by_name([hungry]))))
    assert f"A lamp of {ppfd} umol" in sentence
    assert told_hours(sentence) == {
        month: round((at_dli_mol - mol) / (ppfd * 0.0036)) for month, mol in daylight.items()
    }
    assert max(told_hours(sentence).values()) <= 16


def test_the_lamp_that_is_there_is_told_to_run_longer() -> None:
    """A lamp of 400 umol, turned down to half, makes 0.72 mol an hour; its 2 hours are too few."""
    dim = replace(SILL, lamp=Lamp(dli_mol=1.44, ppfd=400.0, brightness=0.5, hours=2.0))
    garden = a_garden(dim)
    sentence = the_only(places_are_dark(garden))
    daylight = daylight_by_month(garden, dim)
    assert f"with {daylight['December'] + 1.44:.1f} mol of light a day" in sentence
    assert "The lamp there would mend it" in sentence
    assert told_hours(sentence) == {month: round((12 - mol) / 0.72) for month, mol in daylight.items()}


def test_a_lamp_too_weak_is_told_to_be_replaced() -> None:
    """A lamp of 50 umol would have to run for more than 24 hours: another one is advised."""
    dim = replace(SILL, lamp=Lamp(dli_mol=0.36, ppfd=50.0, hours=2.0))
    sentence = the_only(places_are_dark(a_garden(dim)))
    assert "The lamp there" not in sentence
    assert max(told_hours(sentence).values()) <= 16


@pytest.mark.parametrize(
    ("faces", "share", "latitude", "clouds", "lamp", "at_dli_mol"),
    [
        ("south", 0.4, 61.0, 0.6, None, 12.0),
        ("north", 0.2, 61.0, 0.6, None, 12.0),
        ("east", 0.5, 51.5, 0.3, None, 17.0),
        ("south-west", 0.3, 70.0, 0.7, None, 17.0),
        ("south", 0.3, -45.0, 0.5, None, 20.0),
        ("south", 0.4, 61.0, 0.6, Lamp(dli_mol=1.44, ppfd=400.0, brightness=0.5, hours=2.0), 12.0),
        ("south", 0.4, 61.0, 0.6, Lamp(dli_mol=0.36, ppfd=50.0, hours=2.0), 14.0),
        ("west", 0.4, 80.0, 0.0, Lamp(dli_mol=2.16, ppfd=300.0, hours=2.0, up_to_dli_mol=3.0), 17.0),
    ],
)
@pytest.mark.parametrize(("starts_on", "weeks"), [(AUTUMN, 12), (AUTUMN, 40), (None, 12), (date(2027, 2, 14), 30)])
def test_the_advised_lamp_mends_it(
    faces: Facing,
    share: float,
    latitude: float,
    clouds: float,
    lamp: Lamp | None,
    at_dli_mol: float,
    starts_on: date | None,
    weeks: int,
) -> None:
    """With the lamp that the sentence advises, filling up, the doubt is gone, and each month has its light."""
    crop = replace(CRESS, growth=replace(CRESS.growth, at_dli_mol=at_dli_mol))
    sill = replace(SILL, window=Window(faces=faces, share=share), lamp=lamp)
    garden = a_garden(sill, starts_on=starts_on, weeks=weeks, latitude=latitude, clouds=clouds)
    sentence = the_only(places_are_dark(replace(garden, crops=by_name([crop]))))
    mended = replace(sill, lamp=advised_lamp(sentence, lamp))
    assert list(places_are_dark(replace(replace(garden, places=(mended,)), crops=by_name([crop])))) == []
    lights: dict[tuple[int, int], list[float]] = {}
    for day in planned_days(garden):
        lights.setdefault((day.year, day.month), []).append(light_on(mended, day, garden.sky).dli_mol)
    # Hours are rounded, and the days of a month differ: a tenth may be lacking.
    assert min(sum(light) / len(light) for light in lights.values()) >= 0.9 * at_dli_mol


def test_the_hungriest_of_the_dark_crops_sets_the_lamp() -> None:
    """Crops that have half of their light are not named, of the others all are."""
    names = {"modest": 1.0, "usual": 12.0, "hungry": 14.0}
    crops = [replace(CRESS, name=name, growth=replace(CRESS.growth, at_dli_mol=mol)) for name, mol in names.items()]
    garden = replace(a_garden(SILL), wants=(make_want(crops, 1),))
    sentence = the_only(places_are_dark(replace(garden, crops=by_name(crops))))
    assert re.search(r"weights hold, usual \d+% and hungry \d+%\.", sentence)
    assert "modest" not in sentence
    assert "up to 14 mol" in sentence


def test_half_the_light_is_light_enough() -> None:
    """A lamp of 6 mol is half of what cress wants; a little less is told, and no other lamp advised."""
    assert list(places_are_dark(a_garden(replace(SHELF, lamp=Lamp(dli_mol=6.0))))) == []
    sentence = the_only(places_are_dark(a_garden(replace(SHELF, lamp=Lamp(dli_mol=5.9)))))
    assert sentence == (
        "The place shelf is dark, with 5.9 mol of light a day: of the light at which their weights hold, cress 49%. "
        "Harvests shrink likewise."
    )


def test_a_bright_summer_is_not_dark() -> None:
    """The same window that is dark in December is bright from May to July."""
    assert list(places_are_dark(a_garden(SILL, starts_on=date(2027, 5, 1)))) == []


def test_only_planned_days_are_spoken_of() -> None:
    """A garden from October to December is dark in December; one until March, too, but its lamp runs till then."""
    for weeks, last in ((8, "November"), (12, "December"), (24, "March")):
        sentence = the_only(places_are_dark(a_garden(SILL, weeks=weeks)))
        assert f"is dark in {last if weeks == 8 else 'December'}" in sentence
        assert list(told_hours(sentence))[-1] == last
    cleared = replace(a_garden(SILL, weeks=24), clear_by=date(2026, 12, 1))
    assert list(told_hours(the_only(places_are_dark(cleared)))) == ["October", "November"]


def test_only_days_on_which_totes_stand_there_are_spoken_of() -> None:
    """A tote that goes to the window in November needs no lamp there in October."""
    stands = (Stand(place="sill", from_md=(11, 1), until_md=(3, 1)), Stand(place="shelf"))
    sentence = the_only(places_are_dark(a_garden(SILL, SHELF, stands=stands, weeks=40)))
    assert list(told_hours(sentence)) == ["November", "December", "January", "February"]


def test_the_hours_of_an_unknown_lamp_are_not_told() -> None:
    """Of a lamp told by its daily light alone it is not known how long it must run."""
    unknown = replace(SILL, lamp=Lamp(dli_mol=1.0, hours=14.0))
    sentence = the_only(places_are_dark(a_garden(unknown)))
    assert "The lamp there" not in sentence


def test_no_lamp_is_advised_outdoors() -> None:
    """A yard in deep shade is dark, but a lamp outdoors is refused in the garden file."""
    shaded = replace(YARD, outdoors=Outdoors(frost_free=((5, 20), (9, 25)), shade=0.8))
    sentence = the_only(places_are_dark(a_garden(shaded, starts_on=date(2027, 6, 1), weeks=16)))
    assert sentence.startswith("The place yard is dark in September")
    assert "lamp" not in sentence


def test_nothing_grows_on_through_the_frost() -> None:
    """What is planted outdoors on 1 September is dead by the 25th, and not ready in the next summer."""
    shaded = replace(YARD, outdoors=Outdoors(frost_free=((5, 20), (9, 25)), shade=0.8))
    slow = replace(CRESS, harvest=replace(CRESS.harvest, first_days=23.0))
    garden = a_garden(shaded, starts_on=date(2027, 6, 1), weeks=16)
    taken = re.search(r"would take (\d+) days", the_only(places_are_dark(replace(garden, crops=by_name([slow])))))
    assert taken is None or int(taken[1]) <= 24


def test_nothing_is_planted_before_the_garden_begins() -> None:
    """In a garden that begins on 10 December nothing is planted there on the first."""
    sentence = the_only(places_are_dark(a_garden(SILL, starts_on=date(2026, 12, 10), weeks=3)))
    assert "Planted on 1 Dec" not in sentence


def test_a_month_is_told_once() -> None:
    """A garden from mid October through a whole year comes back to October, and the lamp has one time for it."""
    sentence = the_only(places_are_dark(a_garden(SILL, starts_on=date(2026, 10, 15), weeks=52)))
    named = re.findall(rf"\d+ in ((?:{'|'.join(MONTHS)})(?: \d{{4}})?)", sentence)
    assert len(named) == len(set(named))


def test_no_lamp_is_told_to_run_for_no_hours() -> None:
    """Where a month lacks next to nothing, it is left out."""
    garden = a_garden(SILL)
    wanted_mol = daylight_by_month(garden, SILL)["October"] + 0.2
    modest = replace(CRESS, growth=replace(CRESS.growth, at_dli_mol=wanted_mol))
    sentence = the_only(places_are_dark(replace(garden, crops=by_name([modest]))))
    assert "November" in told_hours(sentence)
    assert 0 not in told_hours(sentence).values()


# Flower.


def day_hours(latitude: float, day_of_year: int) -> float:
    """Give the time the sun is above the horizon, as FAO-56 equations 24, 25 and 34 have it [h]."""
    declination = 0.409 * sin(2 * pi * day_of_year / 365 - 1.39)
    return 24 / pi * acos(-tan(radians(latitude)) * tan(declination))


def test_outdoors_a_crop_bolts_in_june() -> None:
    """In June at 61 degrees days are 18 hours and more, which a crop that bears 14 does not."""
    garden = a_garden(YARD, starts_on=date(2027, 6, 1), weeks=4)
    assert min(day_hours(61.0, day) for day in range(152, 180)) > 18
    assert the_only(places_do_not_suit(replace(garden, crops=by_name([bolting()])))) == (
        "At yard cress bolts: 14 days of more than 14 hours of light bring it to flower, and all days are such."
    )


def test_outdoors_a_crop_does_not_bolt_in_september() -> None:
    """From 11 September on days at 61 degrees are shorter than 14 hours."""
    assert day_hours(61.0, 254) < 14
    garden = a_garden(YARD, starts_on=date(2027, 9, 11), weeks=4)
    assert list(places_do_not_suit(replace(garden, crops=by_name([bolting()])))) == []
    assert list(places_do_not_suit(replace(garden, crops=by_name([bolting(longest_day_hours=10.0)])))) != []


def test_outdoors_the_days_that_bring_it_to_flower_are_told() -> None:
    """In a garden from July on, days are too long until late in August."""
    garden = a_garden(YARD, starts_on=date(2027, 7, 1), weeks=12)
    last = max(day for day in range(182, 182 + 84) if day_hours(61.0, day) > 14)
    last_on = date(2027, 1, 1) + timedelta(last - 1)
    assert last_on.month == 8
    sentence = the_only(places_do_not_suit(replace(garden, crops=by_name([bolting()]))))
    assert f"such are the days from 1 Jul to {last_on.day} Aug." in sentence


@pytest.mark.parametrize(("after_days", "sentences"), [(14, 1), (15, 0)])
def test_fewer_days_than_it_takes_are_not_told(after_days: int, sentences: int) -> None:
    """Two weeks of June bring a crop to flower that bears less than two weeks of them."""
    garden = a_garden(YARD, starts_on=date(2027, 6, 1), weeks=2)
    assert len(list(places_do_not_suit(replace(garden, crops=by_name([bolting(after_days)]))))) == sentences


def test_warmth_and_long_days_are_both_told() -> None:
    """What is too warm as well as too long is told in one sentence."""
    garden = a_garden(replace(YARD, temperature_c=27.0), starts_on=date(2027, 6, 1), weeks=4)
    sentence = the_only(places_do_not_suit(replace(garden, crops=by_name([bolting(above_c=26.0)]))))
    assert "14 days of more than 14 hours of light or more than 26 °C bring it to flower" in sentence


def test_a_lamp_of_unknown_hours_is_told() -> None:
    """Whether a lamp that does not say its hours brings a crop to flower cannot be known, if light can."""
    unknown = replace(SHELF, lamp=Lamp(dli_mol=12.0))
    sentence = "The lamp at shelf does not say its hours, so that it is not known whether cress bolts there"
    assert the_only(places_do_not_suit(replace(a_garden(unknown), crops=by_name([bolting()])))).startswith(sentence)
    assert list(places_do_not_suit(replace(a_garden(SHELF), crops=by_name([bolting()])))) == []
    assert list(places_do_not_suit(replace(a_garden(unknown), crops=by_name([bolting(14, None, 28.0)])))) == []
    assert list(places_do_not_suit(a_garden(unknown))) == []


def test_long_days_on_both_sides_of_a_winter() -> None:
    """South of the equator days are long in January and in December, and not from January to December."""
    garden = a_garden(SILL, starts_on=None, latitude=-61.0)
    sentence = the_only(places_do_not_suit(replace(garden, crops=by_name([bolting()]))))
    assert "from 1 Jan to 31 Dec" not in sentence


def test_a_cold_winter_does_not_hide_a_summer_that_bolts() -> None:
    """A place too cold in winter for a crop, where it bolts in summer, has both told."""
    garden = a_garden(replace(SILL, temperature_c=WEATHER), weeks=52)
    told = list(places_do_not_suit(replace(garden, crops=by_name([bolting()]))))
    assert any("does not grow" in sentence for sentence in told)
    assert any("cress bolts: 14 days" in sentence for sentence in told)


# Cold, warmth, seeds.


def test_the_days_that_are_too_cold_are_told() -> None:
    """From November to March it is 3 degrees or less while the month's own value sinks and rises again."""
    garden = a_garden(replace(SILL, temperature_c=WEATHER), weeks=30)
    # From 5 degrees on 15 November it sinks by 4 in 30 days: 3 degrees after 15, on 30 November, which is the base.
    # From 1 degree on 15 February it rises by 4 in 28 days: 3 degrees on 1 March.
    assert the_only(places_do_not_suit(garden)) == (
        "At the 1 °C to 3 °C of the sill cress does not grow from 30 Nov to 1 Mar: it does above 3 °C and below 32 °C."
    )


def test_a_cold_start_and_end_of_a_year_is_no_cold_year() -> None:
    """In a garden that does not say when it begins, winter is on both ends, and summer is not cold."""
    garden = a_garden(replace(SILL, temperature_c=WEATHER), starts_on=None)
    assert "from 1 Jan to 31 Dec" not in the_only(places_do_not_suit(garden))


def test_months_outdoors_without_use_are_not_cold() -> None:
    """A yard that is used from 20 May to 25 September is not told to be cold in winter."""
    assert list(places_do_not_suit(a_garden(YARD, weeks=52))) == []
    cold = replace(YARD, temperature_c=2.0)
    sentence = the_only(places_do_not_suit(a_garden(cold, weeks=52)))
    # All days on which totes can stand there are too cold, so no dates are told.
    assert sentence == "At the 2 °C of the yard cress does not grow: it does above 3 °C and below 32 °C."


def test_reservoirs_that_get_warm_are_told_with_their_days() -> None:
    """From 20 degrees on 15 June to 27 on 15 July and back by 15 August: above 25 for about nine days on each side."""
    yard = replace(YARD, temperature_c=WEATHER)
    # 7 degrees in 30 days up to July: 25 after 21.4 days, so from 7 July on; in 31 days down: until 23 July.
    sentence = the_only(reservoirs_get_warm(a_garden(yard, weeks=52)))
    assert sentence.startswith("Reservoirs at yard get to 27 °C from 7 Jul to 23 Jul: ")
    assert list(reservoirs_get_warm(a_garden(yard, weeks=12))) == []
    # While the tote stands indoors nobody minds.
    stands = (Stand(place="yard", from_md=(5, 20), until_md=(7, 1)), Stand(place="shelf"))
    assert list(reservoirs_get_warm(a_garden(yard, SHELF, stands=stands, weeks=52))) == []


def test_seeds_in_a_nursery_that_is_cold_in_winter() -> None:
    """Seeds come up from 5 degrees: not from the day after 15 November until the day before 15 March."""
    cellar = replace(SHELF, name="cellar", temperature_c=WEATHER)
    sentence = the_only(seeds_do_not_come_up(a_garden(SHELF, weeks=30, nursery=cellar)))
    assert "of the cellar from 16 Nov to 14 Mar: they do from 5 °C to 25 °C." in sentence
    assert list(seeds_do_not_come_up(a_garden(SHELF, weeks=6, nursery=cellar))) == []


def test_seeds_sown_in_pots_come_up_where_the_totes_stand() -> None:
    """The warmth of the nursery means nothing to a crop sown in its pot."""
    potted, hot = replace(CRESS, sown_in="pot", nursery_days=(0, 0)), replace(SHELF, temperature_c=30.0)
    assert list(seeds_do_not_come_up(replace(a_garden(SHELF, nursery=hot), crops=by_name([potted])))) == []
    sentence = the_only(seeds_do_not_come_up(replace(a_garden(hot), crops=by_name([potted]))))
    assert sentence.startswith("Seeds of cress are not known to come up at the 30 °C of the shelf:")


def test_a_nursery_out_of_use_has_no_temperature() -> None:
    """A yard as a nursery is closed in winter, which is no warmth of 273 degrees below zero."""
    told = " ".join(seeds_do_not_come_up(a_garden(SHELF, weeks=52, nursery=YARD)))
    assert "-273" not in told


@pytest.mark.parametrize(
    ("packed_in", "is_recorded"), [(None, False), (2027, False), (2026, False), (2022, False), (2021, True)]
)
def test_old_seeds_are_told_past_their_life(packed_in: int | None, is_recorded: bool) -> None:
    """Cress lives for 4 years: seeds of 2022 may be sown in 2026, those of 2021 are told."""
    garden = replace(a_garden(SHELF), packets=(Packet(crop="cress", percent=None, packed_in=packed_in),))
    assert bool(list(seeds_are_old(garden))) is is_recorded


def test_old_seeds_are_told_with_what_is_left_of_them() -> None:
    """Half are left after 4 years, so that of 80 a hundred 20 are after 6; never less than a twentieth, 4."""
    for packed_in, age, left in ((2020, 6, 20), (2010, 16, 4)):
        garden = replace(a_garden(SHELF), packets=(Packet(crop="cress", percent=80.0, packed_in=packed_in),))
        assert the_only(seeds_are_old(garden)) == (
            f"The seeds of cress are {age} years old and live about 4: {left} of 100 are reckoned to come up. "
            "Sow a new packet."
        )


def test_seeds_of_other_crops_and_of_no_year_are_not_told() -> None:
    """Packets of what nobody wants do not matter; nor is an age told where no year is named to sow in."""
    old = Packet(crop="basil", percent=None, packed_in=2000)
    assert list(seeds_are_old(replace(a_garden(SHELF), packets=(old,)))) == []
    timeless = replace(a_garden(SHELF, starts_on=None), packets=(replace(old, crop="cress"),))
    assert list(seeds_are_old(timeless)) == []
