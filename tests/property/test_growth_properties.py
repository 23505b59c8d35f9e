"""What must hold of growth for every crop and any weather."""

from dataclasses import replace
from datetime import date, timedelta
from math import fsum

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from steadysow.growth.daylight import Conditions
from steadysow.growth.rates import dli_from_ppfd, emergence_rate, ppfd_from_dli, relative_light_response
from steadysow.growth.timeline import GrowingPlace, development, emerges_on, transplant_window
from steadysow.inputs.crops import Crop, Growth

from .strategies import FIRST_ON, crops, growths, numbers, steady, weather

early_days = st.integers(0, 60).map(lambda days: FIRST_ON + timedelta(days=days))


def or_never(day: date | None) -> date:
    """Let what never comes be later than everything."""
    return day or date.max


def first_reached(daily: list[float], amount: float, from_on: date) -> date | None:
    """Find a day by adding up one day after the other."""
    start = (from_on - FIRST_ON).days
    for end in range(start, len(daily)):
        if fsum(daily[start:end]) >= amount - 1e-9:
            return FIRST_ON + timedelta(days=end)
    return None


@given(crops(), weather(), early_days)
def test_due_days_are_those_of_adding_up_day_by_day(crop: Crop, conditions: Conditions, start_on: date) -> None:
    """The searched sums name the same days as a plain loop over the days."""
    crop = replace(crop, sown_in="nursery")
    place = GrowingPlace(crop, conditions)
    daily = [development(crop, *day) for day in zip(conditions.temperature_c, conditions.dli_mol, strict=True)]
    shock = crop.transplant_shock_days
    due_on = first_reached(daily, crop.harvest.first_days - shock, start_on + timedelta(days=shock))
    assert place.first_due(start_on) == due_on
    assert place.next_due(start_on) == first_reached(daily, crop.harvest.between_days, start_on)


@given(crops(), weather(), early_days)
def test_emergence_is_that_of_adding_up_day_by_day(crop: Crop, conditions: Conditions, sown_on: date) -> None:
    """Seeds emerge once the days' rates add up to one, a day without a rate counting nothing."""
    daily = [emergence_rate(temperature_c, crop.emergence) or 0.0 for temperature_c in conditions.temperature_c]
    assert emerges_on(crop, sown_on, conditions) == first_reached(daily, 1.0, sown_on)


@given(crops(), weather(), weather(least_c=0, most_c=15), early_days)
def test_warmer_never_delays_up_to_the_optimum(
    crop: Crop, conditions: Conditions, warming: Conditions, start_on: date
) -> None:
    """Days made warmer, but not beyond the optimum, never put off a harvest."""
    crop = replace(crop, sown_in="nursery")
    optimum_c = crop.growth.optimum_c
    cool_c = tuple(min(optimum_c, c) for c in conditions.temperature_c)
    warm_c = tuple(min(optimum_c, c + more_c) for c, more_c in zip(cool_c, warming.temperature_c, strict=True))
    in_cool, in_warm = (GrowingPlace(crop, replace(conditions, temperature_c=c)) for c in (cool_c, warm_c))
    assert or_never(in_warm.first_due(start_on)) <= or_never(in_cool.first_due(start_on))
    assert or_never(in_warm.next_due(start_on)) <= or_never(in_cool.next_due(start_on))


@given(crops(), numbers(0, 40), numbers(0, 40), early_days)
def test_warmer_never_delays_a_transplant_where_warmth_speeds_emergence(
    crop: Crop, one_c: float, other_c: float, sown_on: date
) -> None:
    """In the nursery, too, warmer is never later, up to the optimum and within a table that quickens with warmth."""
    table = ((0.0, 40.0), (10.0, 20.0), (20.0, 7.0), (30.0, 4.0), (40.0, 3.0))
    crop = replace(crop, emergence=table)
    cool_c, warm_c = sorted((one_c, other_c))
    assume(warm_c <= crop.growth.optimum_c)
    in_cool, in_warm = (transplant_window(crop, sown_on, steady(c, 10)) for c in (cool_c, warm_c))
    assert in_cool is None or (in_warm is not None and in_warm[0] <= in_cool[0])


@given(crops(), weather(), numbers(0, 20), early_days)
def test_more_light_never_delays(crop: Crop, conditions: Conditions, more_mol: float, start_on: date) -> None:
    """More light every day never puts off a transplant or a harvest, nor makes a plant lighter."""
    bright = replace(conditions, dli_mol=tuple(dli_mol + more_mol for dli_mol in conditions.dli_mol))
    dim_place, bright_place = GrowingPlace(crop, conditions), GrowingPlace(crop, bright)
    assert or_never(bright_place.first_due(start_on)) <= or_never(dim_place.first_due(start_on))
    assert or_never(bright_place.next_due(start_on)) <= or_never(dim_place.next_due(start_on))
    dim_window, bright_window = (transplant_window(crop, start_on, light) for light in (conditions, bright))
    assert dim_window is None or (bright_window is not None and bright_window[0] <= dim_window[0])
    until_on = start_on + timedelta(days=30)
    assert bright_place.grams(1, start_on, until_on, 0.04) >= dim_place.grams(1, start_on, until_on, 0.04) - 1e-9


@given(growths(), numbers(0, 12), numbers(0, 12))
def test_more_light_never_slows_under_six_mol(growth: Growth, one_mol: float, other_mol: float) -> None:
    """In dim light, too, and across 6 mol, brighter is never slower; without any light nothing grows."""
    dim_mol, bright_mol = sorted((one_mol, other_mol))

    def response(dli_mol: float) -> float:
        return relative_light_response(dli_mol, at_dli_mol=growth.at_dli_mol, half_dli_mol=growth.half_dli_mol)

    assert 0 == response(0) <= response(dim_mol) <= response(bright_mol) + 1e-12
    assert dim_mol == bright_mol or bright_mol > 6 or response(dim_mol) < response(bright_mol)
    # From 6 mol down the same light is needed for the same growth, so that half the light takes twice the days.
    assert bright_mol > 6 or response(bright_mol / 2) == pytest.approx(response(bright_mol) / 2)
    # Light never does more than in proportion.
    assert response(bright_mol) * dim_mol <= response(dim_mol) * bright_mol + 1e-9


@given(crops(), weather(), early_days)
def test_a_plant_bolts_after_its_days_beyond_a_limit(crop: Crop, conditions: Conditions, planted_on: date) -> None:
    """The day a plant has bolted is that of counting the long and the warm days one by one."""
    bolting = crop.growth.bolting
    assume(bolting is not None)
    assert bolting is not None
    longest, warmest = bolting.longest_day_hours or 24, 100 if bolting.above_c is None else bolting.above_c
    beyond = [
        float(hours > longest or temperature_c > warmest)
        for hours, temperature_c in zip(conditions.day_hours, conditions.temperature_c, strict=True)
    ]
    place = GrowingPlace(crop, conditions)
    bolts_on = place.bolts_on(planted_on)
    assert bolts_on == first_reached(beyond, bolting.after_days, planted_on)
    assert place.may_bolt == (sum(beyond) >= bolting.after_days)
    if bolts_on is not None:
        assert bolts_on >= planted_on + timedelta(days=bolting.after_days)
        assert place.may_bolt


@given(crops(), weather(), early_days, st.integers(0, 60))
def test_the_last_day_of_a_harvest_is_not_before_it_is_due(
    crop: Crop, conditions: Conditions, planted_on: date, days: int
) -> None:
    """A due harvest waits its days, or up to the day before the plant has bolted; a bolted plant has none."""
    due_on = planted_on + timedelta(days=days)
    place = GrowingPlace(crop, conditions)
    latest, bolts_on = place.latest(due_on, planted_on), place.bolts_on(planted_on)
    assert (latest is None) == (bolts_on is not None and bolts_on <= due_on)
    if latest is not None:
        assert due_on <= latest < due_on + timedelta(days=crop.harvest.window_days)
        assert latest < or_never(bolts_on)


@given(crops(), weather(), numbers(0, 10), numbers(0, 10), early_days)
def test_longer_and_warmer_days_never_put_off_bolting(
    crop: Crop, conditions: Conditions, more_hours: float, more_c: float, planted_on: date
) -> None:
    """What is brought to flower by long or warm days is not kept from it by longer and warmer ones."""
    longer = replace(
        conditions,
        day_hours=tuple(min(24.0, hours + more_hours) for hours in conditions.day_hours),
        temperature_c=tuple(temperature_c + more_c for temperature_c in conditions.temperature_c),
    )
    sooner, later = (GrowingPlace(crop, days).bolts_on(planted_on) for days in (longer, conditions))
    assert or_never(sooner) <= or_never(later)


@given(crops(), weather(), weather(), early_days)
def test_stages_keep_their_order(crop: Crop, nursery: Conditions, conditions: Conditions, sown_on: date) -> None:
    """Sown, emerged, transplanted, due, due again: no stage falls before the one ahead of it."""
    in_pot = crop.sown_in == "pot"
    emerged_on = emerges_on(crop, sown_on, conditions if in_pot else nursery)
    window = transplant_window(crop, sown_on, nursery)
    assume(emerged_on is not None and window is not None)
    assert emerged_on is not None
    assert window is not None
    assert sown_on < emerged_on
    assert in_pot or emerged_on <= window[0] <= window[1]
    place = GrowingPlace(crop, conditions)
    assume(window[1] < conditions.until_on)
    for transplanted_on in window:
        due_on = place.first_due(transplanted_on)
        if due_on is not None:
            standstill_days = 0 if in_pot else crop.transplant_shock_days
            assert transplanted_on + timedelta(days=standstill_days) < due_on < conditions.until_on
            assert not in_pot or emerged_on <= due_on
            assert due_on <= or_never(place.next_due(due_on))


@given(crops(), st.integers(0, 30))
def test_the_profiles_own_conditions_give_its_own_days(crop: Crop, later: int) -> None:
    """At the temperature and light of a profile every stage comes after exactly its days, whenever it is sown."""
    growth = crop.growth
    conditions = steady(growth.at_c, growth.at_dli_mol)
    sown_on = FIRST_ON + timedelta(days=later)
    crop = replace(
        crop, emergence=((growth.at_c, 5.0),), harvest=replace(crop.harvest, first_days=crop.harvest.first_days + 5)
    )
    assert emerges_on(crop, sown_on, conditions) == sown_on + timedelta(days=5)
    least, most = crop.nursery_days
    assert transplant_window(crop, sown_on, conditions) == (
        sown_on + timedelta(days=least),
        sown_on + timedelta(days=most),
    )
    place = GrowingPlace(crop, conditions)
    assert place.first_due(sown_on) == sown_on + timedelta(days=crop.harvest.first_days)
    assert place.next_due(sown_on) == sown_on + timedelta(days=crop.harvest.between_days)


@given(crops(), numbers(5, 35), numbers(0, 30), st.integers(1, 60))
def test_equal_gaps_stay_equal_where_every_day_is_alike(
    crop: Crop, temperature_c: float, dli_mol: float, gap: int
) -> None:
    """Where every day is alike, sowings a gap apart are transplanted and due the same gap apart."""
    conditions = steady(temperature_c, dli_mol, days=600)
    place = GrowingPlace(crop, conditions)
    window = transplant_window(crop, FIRST_ON, conditions)
    assume(window is not None)
    assert window is not None
    due_on = place.first_due(window[0])
    assume(due_on is not None and due_on + timedelta(days=gap) < conditions.until_on)
    assert due_on is not None
    later = timedelta(days=gap)
    assert transplant_window(crop, FIRST_ON + later, conditions) == (window[0] + later, window[1] + later)
    assert place.first_due(window[0] + later) == due_on + later


@given(crops(), weather(), st.lists(st.integers(0, 120), min_size=3, max_size=3).map(sorted))
def test_light_adds_up(crop: Crop, conditions: Conditions, offsets: list[int]) -> None:
    """The light of two spans, one after the other, is the light of both together, and of the days one by one."""
    place = GrowingPlace(crop, conditions)
    first_on, middle_on, last_on = (FIRST_ON + timedelta(days=offset) for offset in offsets)
    both = place.light_mol(first_on, middle_on) + place.light_mol(middle_on, last_on)
    assert both == pytest.approx(place.light_mol(first_on, last_on))
    assert both == pytest.approx(fsum(conditions.dli_mol[offsets[0] : offsets[2]]))


@given(crops(), weather(), early_days, st.integers(0, 50), numbers(0, 0.2))
def test_grams_pass_neither_the_profile_nor_the_light(
    crop: Crop, conditions: Conditions, from_on: date, days: int, share_m2: float
) -> None:
    """No plant is promised heavier than its profile says, nor than the light on its share of the lid can make."""
    until_on = from_on + timedelta(days=days)
    place = GrowingPlace(crop, conditions)
    for number, most in enumerate(crop.harvest.grams, start=1):
        grams = place.grams(number, from_on, until_on, share_m2)
        from_light = share_m2 * place.light_mol(from_on, until_on) * crop.growth.grams_per_mol
        assert 0 <= grams <= most
        assert grams <= from_light + 1e-9


@given(numbers(0.1, 2000), numbers(0.1, 24))
def test_daily_light_and_flux_are_each_others_inverse(ppfd: float, hours: float) -> None:
    """The flux worked back from a daily light is the flux it came from."""
    assert ppfd_from_dli(dli_from_ppfd(ppfd, hours), hours) == pytest.approx(ppfd)
