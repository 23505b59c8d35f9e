"""Power for any tariff, lamp, latitude and stay: cheapest hours by brute force, and sums that must agree."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time, timedelta
from itertools import pairwise

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from builders import a_batch, a_plan
from minute_by_minute import check_cheapest
from steadysow.growth.daylight import light_on
from steadysow.growth.rates import dli_from_ppfd
from steadysow.inputs.garden import Garden, Nursery, Place, Window
from steadysow.inputs.tariff import CheapHours, Tariff
from steadysow.plan.batch import Batch
from steadysow.plan.plan import Plan
from steadysow.upkeep.cheap_hours import Daylight, cheapest_hours, run_of
from steadysow.upkeep.lamp_light import brightness_for, hours_for
from steadysow.upkeep.power import power_use
from steadysow.upkeep.timers import timer_settings
from tiny import make_crop, make_garden, make_tote, make_want

from .strategies import dates, facings, lamps, numbers, shares

CRESS = make_crop()
FIRST_ON = date(2026, 9, 1)

zones = st.sampled_from((None, "Europe/Helsinki", "Australia/Sydney", "America/Santiago", "Asia/Kolkata", "UTC"))
prices = st.integers(-50, 500).map(lambda thousandths: thousandths / 1000)
clocks = st.integers(0, 1439).map(lambda minute: time(*divmod(minute, 60)))
run_hours = st.integers(1, 95).map(lambda quarters: quarters / 4)


@st.composite
def tariffs(draw: st.DrawFn) -> Tariff:
    """Give one price with up to two spans that do not overlap, or a price for each hour; clocks that change or not."""
    zone = draw(zones)
    if draw(st.booleans()):
        hourly = draw(st.lists(prices, min_size=24, max_size=24))
        return Tariff(currency="EUR", by_hour=tuple(hourly), zone=zone)
    ends = sorted(draw(st.lists(clocks, min_size=4, max_size=4, unique=True)))
    # Turned on by one, the second of the spans runs over midnight.
    ends = ends[1:] + ends[:1] if draw(st.booleans()) else ends
    spans = (CheapHours(from_clock=ends[at], until_clock=ends[at + 1], per_kwh=draw(prices)) for at in (0, 2))
    return Tariff(currency="EUR", per_kwh=draw(prices), cheap=tuple(spans)[: draw(st.integers(0, 2))], zone=zone)


@st.composite
def gardens(draw: st.DrawFn) -> Garden:
    """Give a tote under a lamp or at a lit window, with a tariff or none."""
    at_window = draw(st.booleans())
    lamp = replace(draw(lamps(may_fill_up=at_window)), watts=float(draw(st.integers(1, 300))))
    window = Window(faces=draw(facings), share=draw(shares)) if at_window else None
    shelf = Place(name="shelf", temperature_c=20.0, lamp=lamp, window=window)
    nursery = Nursery(cells=60, place=draw(st.sampled_from((shelf, Place(name="nursery", temperature_c=20.0)))))
    garden = make_garden([make_tote("A", 4), make_tote("B", 4, "kratky")], [make_want([CRESS], 1)], weeks=30)
    return replace(
        garden,
        places=(shelf,),
        nursery=nursery,
        tariff=draw(st.none() | tariffs()),
        air_pump_watts=draw(st.none() | numbers(1, 9)),
        latitude=draw(numbers(-65, 65)),
        chore_days=draw(st.sampled_from(((5,), (2, 5)))),
    )


@st.composite
def plans(draw: st.DrawFn) -> Plan:
    """Give a plan of one to three batches, some of which overlap."""
    batches = []
    for number in range(1, draw(st.integers(1, 3)) + 1):
        sown_on = FIRST_ON + timedelta(draw(st.integers(0, 200)))
        planted_on = sown_on + timedelta(draw(st.integers(0, 21)))
        until_on = planted_on + timedelta(draw(st.integers(1, 60)))
        tote = draw(st.sampled_from("AB"))
        batches.append(a_batch(number, tote=tote, sown_on=sown_on, transplanted_on=planted_on, cleared_on=until_on))
    return a_plan(*batches, starts_on=FIRST_ON, until_on=FIRST_ON + timedelta(210))


def lit_days(garden: Garden, plan: Plan, first_on: date, until_on: date) -> list[date]:
    """Give the days of a span on which something stands under the lamp of the shelf."""

    def is_lit(batch: Batch, day: date) -> bool:
        assert batch.transplanted_on is not None
        assert batch.cleared_on is not None
        begins_on = batch.sown_on if garden.nursery.place.name == "shelf" else batch.transplanted_on
        return begins_on <= day < batch.cleared_on

    days = (first_on + timedelta(number) for number in range((until_on - first_on).days))
    return [day for day in days if any(is_lit(batch, day) for batch in plan.batches)]


@given(tariff=tariffs(), on=dates, hours=run_hours, near=clocks)
@example(Tariff(currency="EUR", per_kwh=0.0, zone="Europe/Helsinki"), date(2027, 3, 28), 23.75, time(2, 30))
@example(Tariff(currency="EUR", per_kwh=0.1, zone="America/Santiago"), date(2026, 9, 6), 14.0, time(0))
@settings(max_examples=60, deadline=None)
def test_no_start_is_cheaper(tariff: Tariff, on: date, hours: float, near: time) -> None:
    """For any tariff, zone and day the run costs the least of all starts, minute by minute."""
    check_cheapest(tariff, on, hours, near)


@given(tariff=tariffs(), on=dates, hours=run_hours, sun_hours=numbers(0, 24), noon=st.sampled_from((12, 13)))
@settings(max_examples=60, deadline=None)
def test_a_window_never_makes_it_cheaper(tariff: Tariff, on: date, hours: float, sun_hours: float, noon: int) -> None:
    """To stay with the sun costs as much or more, and the day gets longer by less than half a step of the timer."""
    daylight = Daylight(noon_hour=noon, hours=sun_hours)
    bound, free = cheapest_hours(tariff, on, hours, daylight=daylight), cheapest_hours(tariff, on, hours)
    assert bound.cost_a_kw is not None
    assert free.cost_a_kw is not None
    assert bound.cost_a_kw >= free.cost_a_kw - 1e-9
    # A morning that clocks leave out may hold the only start that fits.
    assert daylight.overhang(bound.starts, hours) <= 0.125 + 1e-9 or tariff.zone is not None


@given(ppfd=st.integers(1, 2000), hours=numbers(0.1, 24), brightness=shares, more=numbers(1, 3))
def test_hours_and_dimming_are_inverse(ppfd: int, hours: float, brightness: float, more: float) -> None:
    """Hours for the light of some hours are those hours; dimmed for more hours, the light is the same."""
    dli_mol = dli_from_ppfd(ppfd * brightness, hours)
    assert hours_for(dli_mol, ppfd, brightness) == pytest.approx(hours)
    assert brightness_for(dli_mol, ppfd, hours) == pytest.approx(brightness)
    assert hours_for(dli_mol, ppfd, brightness_for(dli_mol, ppfd, more * hours)) == pytest.approx(more * hours)


@given(garden=gardens(), plan=plans(), first=st.integers(0, 120), days=st.integers(1, 160), cut=st.integers(0, 160))
@settings(max_examples=40, deadline=None)
def test_power_adds_up(garden: Garden, plan: Plan, first: int, days: int, cut: int) -> None:
    """The lamp takes its watts for the plan's hours; two parts of a span are the whole; no price is passed."""
    first_on = FIRST_ON + timedelta(first)
    until_on, cut_on = first_on + timedelta(days), first_on + timedelta(min(cut, days))
    whole = power_use(garden, plan, first_on, until_on)
    parts = [power_use(garden, plan, first_on, cut_on), power_use(garden, plan, cut_on, until_on)]
    known, *known_parts = (
        sum(device.kwh for device in use.devices if device.kwh is not None) for use in (whole, *parts)
    )
    assert known == pytest.approx(sum(known_parts))
    lamp = garden.places[0].lamp
    assert lamp is not None
    assert lamp.watts is not None
    hours = [
        light_on(garden.places[0], day, garden.sky).lamp_hours for day in lit_days(garden, plan, first_on, until_on)
    ]
    lamps_kwh = sum(device.kwh or 0 for device in whole.devices if device.kind == "lamp")
    # A timer runs to the minute, and a whole day has 23 to 25 hours where clocks change, at most once in the span each.
    assert lamps_kwh == pytest.approx(lamp.watts * sum(hours) / 1000, abs=lamp.watts * (len(hours) / 120 + 2) / 1000)
    if garden.tariff and whole.cost is not None and whole.kwh is not None:
        assert whole.cost == pytest.approx(sum(part.cost or 0 for part in parts))
        least, most = min(garden.tariff.by_minute), max(garden.tariff.by_minute)
        assert whole.kwh * least - 1e-9 <= whole.cost <= whole.kwh * most + 1e-9
    assert (whole.cost is None) == (whole.kwh is None or garden.tariff is None)


@given(garden=gardens(), plan=plans(), first=st.integers(0, 200), days=st.integers(1, 100))
@settings(max_examples=40, deadline=None)
def test_settings_are_few_and_say_when_the_lamp_runs(garden: Garden, plan: Plan, first: int, days: int) -> None:
    """A lamp is set only where something changes, is off where nothing stands, and a span shows a part of the whole."""
    all_of_it = timer_settings(garden, plan, FIRST_ON, FIRST_ON + timedelta(330))
    first_on = FIRST_ON + timedelta(first)
    part = timer_settings(garden, plan, first_on, first_on + timedelta(days))
    assert set(part) <= set(all_of_it)
    assert {each for each in all_of_it if first_on <= each.on < first_on + timedelta(days)} <= set(part)
    lit = set(lit_days(garden, plan, FIRST_ON, FIRST_ON + timedelta(330)))
    for one, other in pairwise(all_of_it):
        assert one.on < other.on
        different = (one.starts, one.hours) != (other.starts, other.hours)
        assert different or other.cause == "clocks"
    for each in all_of_it:
        assert each.is_off == (each.starts is None) == (each.stops is None)
        assert each.is_off or each.on in lit
        if each.cause == "light":
            assert garden.is_chore_day(each.on)
        if each.cause in ("come", "go"):
            assert (each.on in lit) != (each.on - timedelta(1) in lit)
    for day in (FIRST_ON + timedelta(number) for number in range(330)):
        now = [each for each in all_of_it if each.on <= day][-1:]
        assert day in lit or not now or now[0].is_off


@given(tariff=tariffs(), on=dates, starts=clocks, hours=run_hours)
@settings(max_examples=60, deadline=None)
def test_a_run_costs_the_sum_of_its_parts(tariff: Tariff, on: date, starts: time, hours: float) -> None:
    """A run of some hours and a longer one from the same start differ by what the hours between them cost."""
    short, long = run_of(tariff, on, starts, hours / 2), run_of(tariff, on, starts, hours)
    assert short.cost_a_kw is not None
    assert long.cost_a_kw is not None
    least, most = min(tariff.by_minute), max(tariff.by_minute)
    between = long.cost_a_kw - short.cost_a_kw
    assert least * (long.hours - short.hours) - 1e-9 <= between <= most * (long.hours - short.hours) + 1e-9
