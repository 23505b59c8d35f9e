"""What must hold of sun, windows and lamps on any day, at any latitude, in any garden."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import assume, given

from steadysow.growth import rates
from steadysow.growth.daylight import FACING_DEGREES, NOT_IN_USE_C, by_day, conditions_at, light_on, temperature_on
from steadysow.growth.timeline import GrowingPlace
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Facing, Lamp, Months, Outdoors, Place, Sky, Window

from .strategies import clouds, crops, dates, facings, lamps, latitudes, months, numbers, places, shares, skies


def day_of_year(day: date) -> int:
    """Give 1 for the first of January."""
    return day.timetuple().tm_yday


def in_the_open(day: date) -> Place:
    """Make a place outdoors that is in use that day."""
    tomorrow = day + timedelta(days=1)
    frost_free = ((day.month, day.day), (tomorrow.month, tomorrow.day))
    return Place(name="yard", temperature_c=15.0, outdoors=Outdoors(frost_free=frost_free, shade=0.0))


@given(places(), dates, skies())
def test_light_is_never_less_than_nothing_and_days_never_too_long(place: Place, day: date, sky: Sky) -> None:
    """Any place, on any day: light and hours from 0 up, a day of 24 hours at most, and all or nothing while in use."""
    light = light_on(place, day, sky)
    assert light.daylight_mol >= 0
    assert light.lamp_mol >= 0
    assert 0 <= light.day_hours <= 24
    assert light.dli_mol == light.daylight_mol + light.lamp_mol
    assert light.day_hours in (light.sun_hours, light.lamp_hours)
    # What is lit by a lamp alone, and what the sun alone lights, has nothing of the other.
    assert place.is_daylit or light.daylight_mol == light.sun_hours == 0
    assert place.lamp is not None or light.lamp_mol == light.lamp_hours == 0


@given(places(), dates, skies())
def test_a_place_out_of_use_is_cold_and_dark(place: Place, day: date, sky: Sky) -> None:
    """In a month left out, and outdoors among the frosts, nothing grows; on all other days there is a temperature."""
    left_out = isinstance(place.temperature_c, tuple) and place.temperature_c[day.month - 1] is None
    frosty = False
    if place.outdoors:
        first, last = place.outdoors.frost_free
        today = (day.month, day.day)
        frosty = not (first <= today < last) if first < last else last <= today < first
    light = light_on(place, day, sky)
    if left_out or frosty:
        assert temperature_on(place, day) == NOT_IN_USE_C
        assert light.dli_mol == light.day_hours == 0
    else:
        assert -5 <= temperature_on(place, day) <= 35
        # Under a lamp alone there is light every day; in the sun, but for the polar night.
        assert place.is_daylit or light.lamp_hours > 0


@given(crops(), dates, months())
def test_nothing_develops_while_a_place_is_out_of_use(crop: Crop, day: date, some: Months) -> None:
    """Development over a span is that of its days in use alone."""
    shelf = Place(name="shelf", temperature_c=some, lamp=Lamp(dli_mol=12.0))
    conditions = conditions_at(shelf, day, 400)
    due_on = GrowingPlace(crop, conditions).next_due(day)
    assume(due_on is not None and due_on > day)
    assert due_on is not None
    # The day that made it due was one on which the crop grew.
    last = due_on - timedelta(days=1)
    assert some[last.month - 1] is not None
    assert conditions.temperature_c[conditions.index(last)] > crop.growth.base_c


@given(skies(), dates, facings, shares, lamps(may_fill_up=True))
def test_a_lamp_that_fills_up_keeps_its_limits(sky: Sky, day: date, faces: Facing, share: float, lamp: Lamp) -> None:
    """It passes neither what is asked, nor what it can in its hours; and it falls short only if it ran them all."""
    bare = Place(name="sill", temperature_c=20.0, window=Window(faces=faces, share=share))
    daylight_mol = light_on(bare, day, sky).dli_mol
    light = light_on(replace(bare, lamp=lamp), day, sky)
    assert light.daylight_mol == daylight_mol
    assert lamp.hours is not None
    assert lamp.ppfd is not None
    assert 0 <= light.lamp_mol <= lamp.dli_mol
    assert 0 <= light.lamp_hours <= lamp.hours + 1e-9
    assert light.lamp_mol == pytest.approx(rates.dli_from_ppfd(lamp.ppfd, light.lamp_hours))
    if lamp.up_to_dli_mol is None:
        assert light.lamp_mol == lamp.dli_mol
    else:
        assert light.dli_mol <= max(lamp.up_to_dli_mol, daylight_mol) + 1e-9
        full = light.lamp_hours == pytest.approx(lamp.hours)
        assert full or light.dli_mol == pytest.approx(max(lamp.up_to_dli_mol, daylight_mol))


@given(places(), dates, skies(), clouds)
def test_more_clouds_never_give_more_daylight(place: Place, day: date, sky: Sky, more: float) -> None:
    """Clouds added to every month take light from every place in the sun, or leave it as it is."""
    thicker = (
        tuple(min(1.0, (share or 0.0) + more) for share in sky.clouds)
        if isinstance(sky.clouds, tuple)
        else min(1.0, sky.clouds + more)
    )
    clear, cloudy = (light_on(place, day, each) for each in (sky, replace(sky, clouds=thicker)))
    assert cloudy.daylight_mol <= clear.daylight_mol + 1e-9
    assert cloudy.sun_hours == clear.sun_hours
    # The thickest leave a third of the clearest.
    assert cloudy.daylight_mol >= clear.daylight_mol / 3 - 1e-9


@given(dates, skies(), facings, shares)
def test_a_window_gives_no_more_than_its_share(day: date, sky: Sky, faces: Facing, share: float) -> None:
    """At the leaves there is at most the window's share of the light outdoors, at least that of an overcast sky."""
    sill = Place(name="sill", temperature_c=20.0, window=Window(faces=faces, share=share))
    inside = light_on(sill, day, sky).dli_mol
    outside = light_on(in_the_open(day), day, sky).dli_mol
    overcast = light_on(in_the_open(day), day, replace(sky, clouds=1.0)).dli_mol
    assert share * overcast - 1e-9 <= inside <= share * outside + 1e-9


@given(dates, skies(), clouds)
def test_shade_takes_its_part(day: date, sky: Sky, shade: float) -> None:
    """Shade takes its part of the light outdoors and leaves the day as long."""
    yard = in_the_open(day)
    assert yard.outdoors is not None
    shaded = replace(yard, outdoors=replace(yard.outdoors, shade=shade))
    dark, bright = light_on(shaded, day, sky), light_on(yard, day, sky)
    assert dark.dli_mol == pytest.approx((1 - shade) * bright.dli_mol)
    assert dark.day_hours == bright.day_hours


@given(latitudes, dates, facings)
def test_two_windows_back_to_back_see_the_whole_day(latitude: float, day: date, faces: Facing) -> None:
    """The sun stands before a window or before the one in the opposite wall, all day and never before both."""
    number, degrees = day_of_year(day), FACING_DEGREES[faces]
    one_hours, one_share = rates.sun_before_pane(latitude, number, degrees)
    other_hours, other_share = rates.sun_before_pane(latitude, number, degrees + 180)
    whole = rates.day_length_hours(latitude, number)
    assert 0 <= one_share <= 1 + 1e-9
    assert one_hours + other_hours == pytest.approx(whole, abs=1e-6)
    assert one_share + other_share == pytest.approx(1.0 if whole > 0 else 0.0, abs=1e-6)


@given(latitudes, dates, numbers(0, 180))
def test_morning_and_evening_are_alike(latitude: float, day: date, degrees: float) -> None:
    """A window turned to the east sees of the morning what one turned as far to the west sees of the evening."""
    number = day_of_year(day)
    east, west = (rates.sun_before_pane(latitude, number, turned) for turned in (-degrees, degrees))
    assert east == pytest.approx(west, abs=1e-6)


@given(latitudes, dates)
def test_both_halves_of_the_earth_share_the_day(latitude: float, day: date) -> None:
    """Where it is day at a latitude north it is as long night at that latitude south."""
    north, south = (rates.day_length_hours(each, day_of_year(day)) for each in (latitude, -latitude))
    assert north + south == pytest.approx(24)


@given(latitudes, dates)
def test_the_sun_is_up_where_there_is_light(latitude: float, day: date) -> None:
    """There is energy on level ground exactly where there is a day; never more than at the pole in midsummer."""
    number = day_of_year(day)
    energy_mj = rates.extraterrestrial_radiation_mj(latitude, number)
    assert (energy_mj > 1e-12) == (rates.day_length_hours(latitude, number) > 1e-3)
    assert 0 <= energy_mj < 50


@given(months(), dates)
def test_a_month_runs_between_its_neighbours(values: Months, day: date) -> None:
    """A day lies between its own month and the nearer neighbour, and on the fifteenth on its own."""
    own = values[day.month - 1]
    told = by_day(values, day)
    if own is None:
        assert told is None
        return
    neighbour = values[(day.month if day.day >= 15 else day.month - 2) % 12]
    low, high = sorted((own, own if neighbour is None else neighbour))
    assert told is not None
    assert low - 1e-9 <= told <= high + 1e-9
    assert by_day(values, day.replace(day=15)) == own


@given(months(), dates)
def test_days_do_not_jump(values: Months, day: date) -> None:
    """From one day to the next, both in months that are told, the value moves by a 28th of their difference at most."""
    tomorrow = day + timedelta(days=1)
    one, other = by_day(values, day), by_day(values, tomorrow)
    assume(one is not None and other is not None)
    assert one is not None
    assert other is not None
    around = [values[(day.month + step) % 12] for step in (-2, -1, 0)]
    told = [each for each in around if each is not None]
    assert abs(other - one) <= (max(told) - min(told)) / 28 + 1e-9
