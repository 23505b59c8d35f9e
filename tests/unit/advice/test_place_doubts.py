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
    """Give a garden with one tote, at the first place unless `stands` says otherwise."""
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
    """Give the one sentence there must be."""
    (sentence,) = sentences
    return sentence


def daylight_by_month(garden: Garden, place: Place) -> Mapping[str, float]:
    """Give the mean daylight of the planned days of each month."""
    lights: dict[str, list[float]] = {}
    for number in range(7 * garden.weeks):
        day = (garden.starts_on or date(2026, 1, 1)) + timedelta(number)
        lights.setdefault(MONTHS[day.month - 1], []).append(light_on(place, day, garden.sky).daylight_mol)
    return {month: sum(light) / len(light) for month, light in lights.items()}


def hours_by_month(sentence: str) -> dict[str, int]:
    """Give the hours a day of the lamp that a sentence advises, by month."""
    found = re.findall(rf"(\d+) hours?(?: a day)? in ({'|'.join(MONTHS)})", sentence)
    return {month: int(hours) for hours, month in found}


def advised_lamp(sentence: str, there: Lamp | None = None) -> Lamp:
    """Give the lamp that a sentence advises, as a person would write it: it fills up, and runs the longest hours."""
    hours = float(max(hours_by_month(sentence).values()))
    new = re.search(r"Run a (\d+) µmol lamp", sentence)
    up_to = re.search(r"to reach (\d+(?:\.\d+)?) mol", sentence)
    assert up_to is not None
    if new is not None:
        ppfd = float(new[1])
    else:
        assert "Run the lamp there " in sentence
        assert there is not None
        assert there.ppfd is not None
        ppfd = there.ppfd * there.brightness
    return Lamp(dli_mol=ppfd * hours * 0.0036, ppfd=ppfd, hours=hours, up_to_dli_mol=float(up_to[1]))


# Dark places.


def test_a_dark_window_asks_for_the_lamp_that_mends_it() -> None:
    """In December a south window at 61 degrees is dark; each month's hours make up for what its daylight lacks."""
    garden = a_garden(SILL)
    sentence = the_only(places_are_dark(garden))
    daylight = daylight_by_month(garden, SILL)
    assert list(daylight) == ["October", "November", "December"]
    assert sentence.startswith(
        f"The place sill is dark in December: {daylight['December']:.1f} mol of light a day is "
        f"{daylight['December'] / 12:.0%} of the 12 mol that the figures for cress assume. Planted on 1 Dec, "
    )
    # 200 umol a second are 0.72 mol an hour.
    assert hours_by_month(sentence) == {month: round((12 - mol) / 0.72) for month, mol in daylight.items()}
    hours = [round((12 - daylight[month]) / 0.72) for month in ("October", "November", "December")]
    assert sentence.endswith(
        f" Run a 200 µmol lamp {hours[0]} hours a day in October, {hours[1]} hours in November and {hours[2]} hours in "
        "December, to reach 12 mol of light a day."
    )


def test_a_dark_window_gives_the_days_a_crop_takes() -> None:
    """What is planted there on the first of the darkest month takes as long as the plan expects."""
    garden = a_garden(SILL)
    planted_on = date(2026, 12, 1)
    due_on = GrowingPlace(CRESS, conditions_at(SILL, planted_on, 200, garden.sky)).first_due(planted_on)
    assert due_on is not None
    taken = (due_on - planted_on).days
    assert taken > 30
    sentence = the_only(places_are_dark(garden))
    assert f"Planted on 1 Dec, cress would take {taken} days there; in good light it takes 7." in sentence


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
    assert f"Run a {ppfd} µmol lamp " in sentence
    assert hours_by_month(sentence) == {
        month: round((at_dli_mol - mol) / (ppfd * 0.0036)) for month, mol in daylight.items()
    }
    assert max(hours_by_month(sentence).values()) <= 16


def test_the_lamp_that_is_there_is_to_run_longer() -> None:
    """A lamp of 400 umol, turned down to half, makes 0.72 mol an hour; its 2 hours are too few."""
    dim = replace(SILL, lamp=Lamp(dli_mol=1.44, ppfd=400.0, brightness=0.5, hours=2.0))
    garden = a_garden(dim)
    sentence = the_only(places_are_dark(garden))
    daylight = daylight_by_month(garden, dim)
    assert f"{daylight['December'] + 1.44:.1f} mol of light a day is " in sentence
    assert "Run the lamp there " in sentence
    assert hours_by_month(sentence) == {month: round((12 - mol) / 0.72) for month, mol in daylight.items()}


def test_a_lamp_too_weak_is_replaced() -> None:
    """A lamp of 50 umol would have to run for more than 24 hours: another one is advised."""
    dim = replace(SILL, lamp=Lamp(dli_mol=0.36, ppfd=50.0, hours=2.0))
    sentence = the_only(places_are_dark(a_garden(dim)))
    assert "the lamp there" not in sentence
    assert max(hours_by_month(sentence).values()) <= 16


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
    shares = (
        r"is \d+% of the 12 mol that the figures for usual assume and \d+% of the 14 mol that the figures for hungry"
    )
    assert re.search(shares, sentence)
    assert "modest" not in sentence
    assert sentence.endswith(", to reach 14 mol of light a day.")


def test_half_the_light_is_light_enough() -> None:
    """A lamp of 6 mol is half of what cress wants; a little less is a doubt, and no other lamp is advised."""
    assert list(places_are_dark(a_garden(replace(SHELF, lamp=Lamp(dli_mol=6.0))))) == []
    sentence = the_only(places_are_dark(a_garden(replace(SHELF, lamp=Lamp(dli_mol=5.9)))))
    assert sentence == (
        "The place shelf is dark: 5.9 mol of light a day is 49% of the 12 mol that the figures for cress assume. "
        "Harvests shrink by as much."
    )


def test_a_bright_summer_is_not_dark() -> None:
    """The same window that is dark in December is bright from May to July."""
    assert list(places_are_dark(a_garden(SILL, starts_on=date(2027, 5, 1)))) == []


def test_only_planned_days_count() -> None:
    """A garden from October to December is dark in December; one until March, too, but its lamp runs till then."""
    for weeks, last in ((8, "November"), (12, "December"), (24, "March")):
        sentence = the_only(places_are_dark(a_garden(SILL, weeks=weeks)))
        assert f"is dark in {last if weeks == 8 else 'December'}" in sentence
        assert list(hours_by_month(sentence))[-1] == last
    cleared = replace(a_garden(SILL, weeks=24), clear_by=date(2026, 12, 1))
    assert list(hours_by_month(the_only(places_are_dark(cleared)))) == ["October", "November"]


def test_only_days_on_which_totes_stand_there_count() -> None:
    """A tote that goes to the window in November needs no lamp there in October."""
    stands = (Stand(place="sill", from_md=(11, 1), until_md=(3, 1)), Stand(place="shelf"))
    sentence = the_only(places_are_dark(a_garden(SILL, SHELF, stands=stands, weeks=40)))
    assert list(hours_by_month(sentence)) == ["November", "December", "January", "February"]


def test_an_unknown_lamp_is_not_to_run_longer() -> None:
    """A lamp given by its daily light alone may be of any strength, so another one is advised."""
    unknown = replace(SILL, lamp=Lamp(dli_mol=1.0, hours=14.0))
    sentence = the_only(places_are_dark(a_garden(unknown)))
    assert "the lamp there" not in sentence
    assert "Run a 200 µmol lamp " in sentence


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


def test_a_month_is_named_once() -> None:
    """A garden from mid October through a whole year comes back to October, and the lamp has one time for it."""
    sentence = the_only(places_are_dark(a_garden(SILL, starts_on=date(2026, 10, 15), weeks=52)))
    named = re.findall(rf"\d+ hours?(?: a day)? in ((?:{'|'.join(MONTHS)})(?: \d{{4}})?)", sentence)
    assert {"October 2026", "October 2027"} <= set(named)
    assert len(named) == len(set(named))


def test_no_lamp_is_to_run_for_no_hours() -> None:
    """Where a month lacks next to nothing, it is left out."""
    garden = a_garden(SILL)
    wanted_mol = daylight_by_month(garden, SILL)["October"] + 0.2
    modest = replace(CRESS, growth=replace(CRESS.growth, at_dli_mol=wanted_mol))
    sentence = the_only(places_are_dark(replace(garden, crops=by_name([modest]))))
    assert "November" in hours_by_month(sentence)
    assert 0 not in hours_by_month(sentence).values()


def test_a_lamp_so_strong_that_minutes_do_says_so() -> None:
    """A lamp of 1000 umol makes 3.6 mol an hour: at a slit of a window, 1 mol takes a quarter of an hour."""
    slit = replace(SILL, window=Window(faces="north", share=0.001))
    strong = replace(slit, lamp=Lamp(dli_mol=0.18, ppfd=1000.0, hours=0.05))
    modest = replace(CRESS, growth=replace(CRESS.growth, at_dli_mol=1.0))
    sentence = the_only(places_are_dark(replace(a_garden(strong), crops=by_name([modest]))))
    assert sentence.endswith(" Run the lamp there for minutes a day, to reach 1 mol of light a day.")


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
        "At yard cress bolts: 14 days of more than 14 hours of light bring it to flower, and every day is like that."
    )


def test_outdoors_a_crop_does_not_bolt_in_september() -> None:
    """From 11 September on days at 61 degrees are shorter than 14 hours."""
    assert day_hours(61.0, 254) < 14
    garden = a_garden(YARD, starts_on=date(2027, 9, 11), weeks=4)
    assert list(places_do_not_suit(replace(garden, crops=by_name([bolting()])))) == []
    assert list(places_do_not_suit(replace(garden, crops=by_name([bolting(longest_day_hours=10.0)])))) != []


def test_outdoors_the_days_that_bring_it_to_flower_are_named() -> None:
    """In a garden from July on, days are too long until late in August."""
    garden = a_garden(YARD, starts_on=date(2027, 7, 1), weeks=12)
    last = max(day for day in range(182, 182 + 84) if day_hours(61.0, day) > 14)
    last_on = date(2027, 1, 1) + timedelta(last - 1)
    assert last_on.month == 8
    sentence = the_only(places_do_not_suit(replace(garden, crops=by_name([bolting()]))))
    assert f"and the days are like that from 1 Jul to {last_on.day} Aug." in sentence


@pytest.mark.parametrize(("after_days", "sentences"), [(14, 1), (15, 0)])
def test_fewer_days_than_it_takes_are_no_doubt(after_days: int, sentences: int) -> None:
    """Two weeks of June bring a crop to flower that bears less than two weeks of them."""
    garden = a_garden(YARD, starts_on=date(2027, 6, 1), weeks=2)
    assert len(list(places_do_not_suit(replace(garden, crops=by_name([bolting(after_days)]))))) == sentences


def test_warmth_and_long_days_make_one_doubt() -> None:
    """What is too warm as well as too long makes one sentence."""
    garden = a_garden(replace(YARD, temperature_c=27.0), starts_on=date(2027, 6, 1), weeks=4)
    sentence = the_only(places_do_not_suit(replace(garden, crops=by_name([bolting(above_c=26.0)]))))
    assert "14 days of more than 14 hours of light or more than 26 °C bring it to flower" in sentence


def test_a_lamp_of_unknown_hours_is_doubtful() -> None:
    """Whether a lamp that does not say its hours brings a crop to flower cannot be known, if light can."""
    unknown = replace(SHELF, lamp=Lamp(dli_mol=12.0))
    sentence = (
        "The lamp at shelf does not say its hours. Cress bolts if days are longer than 14 hours. "
        "Add the hours of the lamp."
    )
    assert the_only(places_do_not_suit(replace(a_garden(unknown), crops=by_name([bolting()])))) == sentence
    assert list(places_do_not_suit(replace(a_garden(SHELF), crops=by_name([bolting()])))) == []
    assert list(places_do_not_suit(replace(a_garden(unknown), crops=by_name([bolting(14, None, 28.0)])))) == []
    assert list(places_do_not_suit(a_garden(unknown))) == []


def test_long_days_on_both_sides_of_a_winter() -> None:
    """South of the equator days are long in January and in December, and not from January to December."""
    garden = a_garden(SILL, starts_on=None, latitude=-61.0)
    sentence = the_only(places_do_not_suit(replace(garden, crops=by_name([bolting()]))))
    assert "from 1 Jan to 31 Dec" not in sentence


def test_a_cold_winter_does_not_hide_a_summer_that_bolts() -> None:
    """A place too cold in winter for a crop, where it bolts in summer, is doubtful for both."""
    garden = a_garden(replace(SILL, temperature_c=WEATHER), weeks=52)
    sentences = list(places_do_not_suit(replace(garden, crops=by_name([bolting()]))))
    assert any("Cress does not grow" in sentence for sentence in sentences)
    assert any("cress bolts: 14 days" in sentence for sentence in sentences)


# Cold, warmth, seeds.


def test_the_days_that_are_too_cold_are_named() -> None:
    """From November to March it is 3 degrees or less while the month's own value sinks and rises again."""
    garden = a_garden(replace(SILL, temperature_c=WEATHER), weeks=30)
    # From 5 degrees on 15 November it sinks by 4 in 30 days: 3 degrees after 15, on 30 November, which is the base.
    # From 1 degree on 15 February it rises by 4 in 28 days: 3 degrees on 1 March.
    assert the_only(places_do_not_suit(garden)) == (
        "At sill it is 1 °C to 3 °C from 30 Nov to 1 Mar. Cress does not grow at that temperature: it needs more than "
        "3 °C and less than 32 °C."
    )


def test_a_cold_start_and_end_of_a_year_is_no_cold_year() -> None:
    """In a garden that does not say when it begins, winter is on both ends, and summer is not cold."""
    garden = a_garden(replace(SILL, temperature_c=WEATHER), starts_on=None)
    assert "from 1 Jan to 31 Dec" not in the_only(places_do_not_suit(garden))


def test_months_outdoors_without_use_are_not_cold() -> None:
    """A yard that is used from 20 May to 25 September is not cold in winter."""
    assert list(places_do_not_suit(a_garden(YARD, weeks=52))) == []
    cold = replace(YARD, temperature_c=2.0)
    sentence = the_only(places_do_not_suit(a_garden(cold, weeks=52)))
    # All days on which totes can stand there are too cold, so there are no dates.
    assert sentence == (
        "At yard it is 2 °C. Cress does not grow at that temperature: it needs more than 3 °C and less than 32 °C."
    )


def test_reservoirs_that_get_warm_are_named_with_their_days() -> None:
    """From 20 degrees on 15 June to 27 on 15 July and back by 15 August: above 25 for about nine days on each side."""
    yard = replace(YARD, temperature_c=WEATHER)
    # 7 degrees in 30 days up to July: 25 after 21.4 days, so from 7 July on; in 31 days down: until 23 July.
    sentence = the_only(reservoirs_get_warm(a_garden(yard, weeks=52)))
    assert sentence.startswith("Reservoirs at yard get to 27 °C from 7 Jul to 23 Jul. ")
    assert list(reservoirs_get_warm(a_garden(yard, weeks=12))) == []
    # While the tote stands indoors nobody minds.
    stands = (Stand(place="yard", from_md=(5, 20), until_md=(7, 1)), Stand(place="shelf"))
    assert list(reservoirs_get_warm(a_garden(yard, SHELF, stands=stands, weeks=52))) == []


def test_seeds_in_a_nursery_that_is_cold_in_winter() -> None:
    """Seeds come up from 5 degrees: not from the day after 15 November until the day before 15 March.

    On 16 November it is 5 - 4/30 degrees, on 14 March 5 - 4/28: both are 4.9, and between them it is 1.
    """
    cellar = replace(SHELF, name="cellar", temperature_c=WEATHER)
    sentence = the_only(seeds_do_not_come_up(a_garden(SHELF, weeks=30, nursery=cellar)))
    assert sentence == (
        "In the nursery it is 1 °C to 4.9 °C from 16 Nov to 14 Mar. Cress seeds are not known to come up at that "
        "temperature: published figures run from 5 °C to 25 °C."
    )
    assert list(seeds_do_not_come_up(a_garden(SHELF, weeks=6, nursery=cellar))) == []


def test_seeds_sown_in_pots_come_up_where_the_totes_stand() -> None:
    """The warmth of the nursery means nothing to a crop sown in its pot."""
    potted, hot = replace(CRESS, sown_in="pot", nursery_days=(0, 0)), replace(SHELF, temperature_c=30.0)
    assert list(seeds_do_not_come_up(replace(a_garden(SHELF, nursery=hot), crops=by_name([potted])))) == []
    sentence = the_only(seeds_do_not_come_up(replace(a_garden(hot), crops=by_name([potted]))))
    assert sentence.startswith("At shelf it is 30 °C. Cress seeds are not known to come up at that temperature:")


def test_a_nursery_out_of_use_has_no_temperature() -> None:
    """A yard as a nursery is closed in winter, which is no warmth of 273 degrees below zero."""
    sentences = " ".join(seeds_do_not_come_up(a_garden(SHELF, weeks=52, nursery=YARD)))
    assert "-273" not in sentences


@pytest.mark.parametrize(
    ("packed_in", "is_doubtful"), [(None, False), (2027, False), (2026, False), (2022, False), (2021, True)]
)
def test_seeds_past_their_life_are_doubtful(packed_in: int | None, is_doubtful: bool) -> None:
    """Cress lives for 4 years: seeds of 2022 may be sown in 2026, those of 2021 are doubtful."""
    garden = replace(a_garden(SHELF), packets=(Packet(crop="cress", percent=None, packed_in=packed_in),))
    assert bool(list(seeds_are_old(garden))) is is_doubtful


def test_old_seeds_give_what_is_left_of_them() -> None:
    """Half are left after 4 years, so that of 80 a hundred 20 are after 6; never less than a twentieth, 4."""
    for packed_in, age, left in ((2020, 6, 20), (2010, 16, 4)):
        garden = replace(a_garden(SHELF), packets=(Packet(crop="cress", percent=80.0, packed_in=packed_in),))
        assert the_only(seeds_are_old(garden)) == (
            f"The seeds of cress are {age} years old and live about 4. Expect {left} of 100 to come up. "
            "Use a new packet."
        )


def test_seeds_of_other_crops_and_of_no_year_are_no_doubt() -> None:
    """Packets of what nobody wants do not matter; nor does an age, where the garden names no year to sow in."""
    old = Packet(crop="basil", percent=None, packed_in=2000)
    assert list(seeds_are_old(replace(a_garden(SHELF), packets=(old,)))) == []
    timeless = replace(a_garden(SHELF, starts_on=None), packets=(replace(old, crop="cress"),))
    assert list(seeds_are_old(timeless)) == []
