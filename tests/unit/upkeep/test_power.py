"""Hours of lamp, settings of timers, power and its cost, worked out by hand on a shelf with one tote or two."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, time, timedelta
from itertools import pairwise
from typing import Any

import pytest

from steadysow.growth.daylight import light_on
from steadysow.growth.rates import dli_from_ppfd
from steadysow.inputs.crops import Bolting
from steadysow.inputs.garden import Away, Garden, Lamp, Nursery, Place, Window
from steadysow.inputs.sources import read_publication
from steadysow.inputs.tariff import CheapHours, Tariff
from steadysow.plan.batch import Batch, Harvest
from steadysow.plan.plan import Plan, Proof
from steadysow.upkeep.lamp_light import brightness_for, hours_for, light_given, light_sentences
from steadysow.upkeep.power import power_use, timer_settings
from tiny import SATURDAY, by_name, make_crop, make_garden, make_tote, make_want

CRESS = make_crop()
FIRST = date(2026, 10, 31)
NOVEMBER, DECEMBER = date(2026, 11, 1), date(2026, 12, 1)

# 200 umol for 14 hours are 10.08 mol.
LAMP = Lamp(dli_mol=10.08, ppfd=200, hours=14, watts=40)
US_CENTS = Tariff(currency="USD", per_kwh=0.1688)
NIGHT = CheapHours(from_clock=time(22), until_clock=time(7), per_kwh=0.12)
NIGHT_RATE = Tariff(currency="EUR", per_kwh=0.30, cheap=(NIGHT,))
HELSINKI = replace(NIGHT_RATE, zone="Europe/Helsinki")
SILL = Place(
    name="shelf",
    temperature_c=20,
    lamp=Lamp(dli_mol=10.08, ppfd=200, hours=14, watts=40, up_to_dli_mol=10),
    window=Window(faces="south", share=0.5),
)


def a_garden(**changes: Any) -> Garden:
    """Give a garden of a pumped tote and a still one under one lamp, with a dark nursery."""
    garden = make_garden(
        [make_tote("A", 4), make_tote("B", 4, "kratky")], [make_want([CRESS], 1)], weeks=40, chore_days=(SATURDAY,)
    )
    shelf = Place(name="shelf", lamp=LAMP, temperature_c=20)
    dark = Nursery(cells=60, place=Place(name="nursery", temperature_c=20))
    given: dict[str, Any] = {"places": (shelf,), "nursery": dark, "tariff": US_CENTS, "air_pump_watts": 3.0, **changes}
    return replace(garden, **given)


def a_batch(
    stands_on: date, until_on: date, tote: str = "A", *, number: int = 1, in_pot: bool = False, grams: float = 100
) -> Batch:
    """Give a batch that stands in a tote from a day up to another, after a week in the nursery."""
    heads = Harvest(on=until_on, latest_on=until_on, kind="head", number=1, holes=(1,), plants=1, grams=grams)
    return Batch(
        id=number, crop=CRESS.name, want="salad", place="shelf", tote=tote, holes=(1,), plants=1, cells=1, seeds=1,
        state="planned", sown_on=stands_on if in_pot else stands_on - timedelta(7), emerges_on=None,
        transplanted_on=stands_on, cleared_on=until_on, harvests=(heads,),
    )  # fmt: skip


def a_plan(*batches: Batch) -> Plan:
    """Give a plan of these batches."""
    proof = Proof(
        served_share=1, best_share=1, bound_share=1, served_share_all_weeks=1, status="optimal", seconds=0,
        deep_gaps=0, sowings=1, best_sowings=1,
    )  # fmt: skip
    return Plan(
        garden="tiny", uuid="", starts_on=FIRST, made_on=FIRST, from_on=FIRST, until_on=FIRST + timedelta(300),
        proof=proof, batches=batches, weeks=(),
    )  # fmt: skip


def in_november(garden: Garden, *batches: Batch) -> Any:
    """Give the use of the thirty days of November."""
    return power_use(garden, a_plan(*batches), NOVEMBER, DECEMBER)


# Light.

EXAMPLES = read_publication("torres-lopez-dli").table


@pytest.mark.parametrize(("ppfd", "hours", "dli_mol"), EXAMPLES["dli_mol_by_ppfd_and_hours"])
def test_hours_for_a_daily_light(ppfd: float, hours: float, dli_mol: float) -> None:
    """The inverse of DLI = PPFD x h x 0.0036, on the examples kept with [torres-lopez-dli] (computed)."""
    assert hours_for(dli_mol, ppfd) == pytest.approx(hours)
    assert hours_for(dli_mol, 2 * ppfd, 0.5) == pytest.approx(hours)


@pytest.mark.parametrize(("dli_mol", "hours", "ppfd"), EXAMPLES["ppfd_by_dli_mol_and_hours"])
def test_hours_for_printed_fluxes(dli_mol: float, hours: float, ppfd: float) -> None:
    """17 mol by 295.14 umol take 16 hours, 12 mol by 238.10 take 14, to the digits of the table."""
    assert hours_for(dli_mol, ppfd) == pytest.approx(hours, abs=0.001)


def test_a_dim_lamp_asks_for_more_than_a_day() -> None:
    """100 umol make 8.64 mol in 24 hours, so that 12 mol take longer than a day: 33 hours and a third."""
    assert hours_for(12, 100) == pytest.approx(100 / 3)


@pytest.mark.parametrize(("hours", "more_hours", "brightness"), [(12, 16, 1.0), (10, 20, 0.8), (14, 14, 0.5)])
def test_dimming_keeps_the_light(hours: float, more_hours: float, brightness: float) -> None:
    """A lamp that runs longer makes the same light in proportion dimmer: b' = b h / h'."""
    dli_mol = dli_from_ppfd(200 * brightness, hours)
    assert brightness_for(dli_mol, 200, more_hours) == pytest.approx(brightness * hours / more_hours)


def test_a_lamp_cannot_be_turned_beyond_full() -> None:
    """The light of 12 hours at 60 % takes 120 % in 6 hours."""
    assert brightness_for(dli_from_ppfd(200 * 0.6, 12), 200, 6) == pytest.approx(1.2)


@pytest.mark.parametrize(
    ("asked_mol", "sentence"),
    [
        # 200 umol for 14 h give 10.08 mol; a mol takes 1 / 0.72 hours.
        (10.2, None),
        (14.4, "In 20.0 hours a day the lamp at shelf would bring it to 14.4 mol."),
        (18.0, "The lamp at shelf is too dim to bring that to 18 mol in a day."),
        (7.56, "Turned to 75% for its 14 hours the lamp at shelf would bring it to 7.56 mol."),
    ],
)
def test_what_a_lamp_could_do_about_it(asked_mol: float, sentence: str | None) -> None:
    """Longer, dimmer, or not at all: hours and brightness by hand."""
    crop = replace(CRESS, growth=replace(CRESS.growth, at_dli_mol=asked_mol))
    (given,) = light_given(
        replace(a_garden(), crops=by_name([crop])), a_plan(a_batch(NOVEMBER, DECEMBER)), NOVEMBER, DECEMBER
    )
    told = light_sentences(replace(a_garden(), crops=by_name([crop])), given)
    assert told == (given.sentence, *([sentence] if sentence else []))


def test_longer_days_may_bring_a_crop_to_flower() -> None:
    """Who bears no more than 16 hours is named where 20 would be needed."""
    bolting = Bolting(after_days=14, longest_day_hours=16.0, above_c=None)
    crop = replace(CRESS, growth=replace(CRESS.growth, at_dli_mol=14.4, bolting=bolting))
    (given,) = light_given(
        replace(a_garden(), crops=by_name([crop])), a_plan(a_batch(NOVEMBER, DECEMBER)), NOVEMBER, DECEMBER
    )
    assert light_sentences(replace(a_garden(), crops=by_name([crop])), given)[1].endswith(
        "to 14.4 mol, but days so long bring cress to flower."
    )


def test_light_given_beside_light_asked() -> None:
    """The lamp's 10.08 mol stand beside the 12 mol of one crop and the 17 of another, for the days they stand there."""
    hungry = replace(make_crop("lettuce"), growth=replace(CRESS.growth, at_dli_mol=17.0))
    plan = a_plan(
        a_batch(NOVEMBER, DECEMBER),
        replace(a_batch(NOVEMBER, DECEMBER, "B", number=2), crop="lettuce"),
        replace(a_batch(DECEMBER, DECEMBER + timedelta(9), "B", number=3), crop="basil"),
    )
    (given,) = light_given(replace(a_garden(), crops=by_name([CRESS, hungry])), plan, NOVEMBER, DECEMBER)
    assert (given.asked_mol, given.crops) == ((12, 17), ("cress", "lettuce"))
    assert given.sentence == "At shelf the lamp gives 10.1 mol a day; what stands there was measured at 12 to 17 mol."
    assert light_given(replace(a_garden(), crops=by_name([CRESS, hungry])), a_plan(), NOVEMBER, DECEMBER) == ()


def test_light_given_at_a_window() -> None:
    """What the sun gives, and what the lamp adds up to ten mol, are told apart."""
    garden = a_garden(places=(SILL,), latitude=61.2)
    (given,) = light_given(
        replace(garden, crops=by_name([CRESS])), a_plan(a_batch(NOVEMBER, DECEMBER)), NOVEMBER, DECEMBER
    )
    assert given.lamp_mol + given.daylight_mol == pytest.approx(10)
    assert "the sun gives" in given.sentence
    assert given.sentence.endswith("was measured at 12 mol.")


# Power, by the formula: kWh = W x h x days / 1000, cost = kWh x price.


def test_a_lamp_for_thirty_days() -> None:
    """40 W x 14 h x 30 d = 16.8 kWh, at 16.88 cents $2.836; a pump of 3 W, 24 h x 30 d: 2.16 kWh, $0.365."""
    use = in_november(a_garden(), a_batch(NOVEMBER, DECEMBER))
    lamp, pump = use.devices
    assert (lamp.kind, lamp.place, pump.kind, pump.place) == ("lamp", "shelf", "pump", "")
    assert lamp.kwh == pytest.approx(16.8)
    assert lamp.cost == pytest.approx(2.836, abs=0.0005)
    assert pump.kwh == pytest.approx(2.16)
    assert pump.cost == pytest.approx(0.365, abs=0.0005)
    assert use.kwh == pytest.approx(18.96)
    assert use.cost == pytest.approx(18.96 * 0.1688)
    assert (use.currency, use.unknown) == ("USD", ())


def test_a_lamp_for_a_year() -> None:
    """40 W x 14 h x 365 d = 204.4 kWh, in twelve months, the shortest of which has 28 days."""
    use = power_use(a_garden(), a_plan(a_batch(NOVEMBER, date(2027, 11, 1))), NOVEMBER, date(2027, 11, 1))
    assert use.devices[0].kwh == pytest.approx(204.4)
    assert len(use.months) == 12
    assert [month.kwh for month in use.devices[0].months if month.month_on == date(2027, 2, 1)] == [
        pytest.approx(28 * 0.56)
    ]


def test_a_night_rate() -> None:
    """Nine hours at 12 cents and five at 30 cost 0.1032 a day; at 20 cents flat they cost 0.1120."""
    batch = a_batch(NOVEMBER, DECEMBER, "B")
    dear = replace(US_CENTS, per_kwh=0.2)
    assert in_november(a_garden(tariff=NIGHT_RATE), batch).cost == pytest.approx(30 * 0.1032)
    assert in_november(a_garden(tariff=dear), batch).cost == pytest.approx(30 * 0.1120)


def test_a_dimmed_lamp_draws_in_proportion() -> None:
    """At half its brightness it draws half its watts: our estimate."""
    place = Place(name="shelf", lamp=replace(LAMP, brightness=0.5), temperature_c=20)
    assert in_november(a_garden(places=(place,)), a_batch(NOVEMBER, DECEMBER, "B")).kwh == pytest.approx(8.4)


def test_lamps_and_pump_run_while_something_stands_there() -> None:
    """Ten days in a pumped tote and, five days of them together, ten in a still one: fifteen of lamp, ten of pump."""
    use = in_november(
        a_garden(),
        a_batch(date(2026, 11, 5), date(2026, 11, 15), "A"),
        a_batch(date(2026, 11, 10), date(2026, 11, 20), "B", number=2),
    )
    lamp, pump = use.devices
    assert lamp.kwh == pytest.approx(15 * 0.56)
    assert pump.kwh == pytest.approx(10 * 0.072)


def test_a_still_tote_has_no_pump() -> None:
    """Where nothing stands in a pumped tote there is no pump to tell of, nor watts to ask for."""
    use = in_november(a_garden(air_pump_watts=None), a_batch(NOVEMBER, DECEMBER, "B"))
    assert [device.kind for device in use.devices] == ["lamp"]
    assert use.unknown == ()


def test_the_nursery_runs_from_sowing_to_transplant() -> None:
    """Seven days of seedlings; none for a crop that is sown in its pot."""
    light = Place(name="nursery", lamp=replace(LAMP, watts=20.0), temperature_c=20)
    garden = a_garden(nursery=Nursery(cells=60, place=light))
    batch = a_batch(date(2026, 11, 20), DECEMBER, "B")
    nursery = in_november(garden, batch).devices[1]
    assert nursery.kind == "nursery"
    assert nursery.kwh == pytest.approx(7 * 14 * 20 / 1000)
    potted = a_batch(date(2026, 11, 20), DECEMBER, "B", in_pot=True)
    assert [device.kind for device in in_november(garden, potted).devices] == ["lamp"]


def test_a_nursery_at_a_place_shares_its_lamp() -> None:
    """Seedlings for seven days and plants for ten under one lamp: seventeen days of it, and counted once."""
    shelf = Place(name="shelf", lamp=LAMP, temperature_c=20)
    garden = a_garden(places=(shelf,), nursery=Nursery(cells=60, place=shelf))
    (lamp,) = in_november(garden, a_batch(date(2026, 11, 20), date(2026, 11, 30), "B")).devices
    assert lamp.kwh == pytest.approx(17 * 0.56)


def test_a_summer_night_has_an_hour_less_of_pump() -> None:
    """A pump runs 23 hours on the day on which clocks go forward, and pays for 23."""
    on = date(2027, 3, 28)
    use = power_use(a_garden(tariff=HELSINKI), a_plan(a_batch(on, on + timedelta(1))), on, on + timedelta(1))
    pump = use.devices[1]
    assert pump.kwh == pytest.approx(0.069)
    # Of the nine cheap hours, from midnight to 7:00 and from 22:00 on, eight pass that day.
    assert pump.cost == pytest.approx(0.003 * (8 * 0.12 + 15 * 0.30))


def test_what_a_kilogram_takes() -> None:
    """18.96 kWh for 300 g are 63.2 kWh a kg; what is harvested after the span does not count."""
    use = in_november(
        a_garden(),
        a_batch(NOVEMBER, DECEMBER - timedelta(1), "B", number=2, grams=300),
        a_batch(NOVEMBER, DECEMBER, grams=70),
    )
    assert use.harvested_grams == 300
    assert use.kwh_a_kg == pytest.approx(63.2)
    assert use.cost_a_kg == pytest.approx(63.2 * 0.1688)
    nothing = in_november(a_garden(), a_batch(NOVEMBER, DECEMBER))
    assert (nothing.kwh_a_kg, nothing.cost_a_kg) == (None, None)


def test_what_is_unknown_is_told() -> None:
    """Without watts and tariff no figure is made up, and what is known of the rest stays known."""
    dark = Place(name="shelf", lamp=replace(LAMP, watts=None), temperature_c=20)
    use = in_november(a_garden(places=(dark,), tariff=None), a_batch(NOVEMBER, DECEMBER))
    assert (use.kwh, use.cost, use.kwh_a_kg, use.cost_a_kg, use.currency) == (None, None, None, None, None)
    assert [device.cost for device in use.devices] == [None, None]
    assert use.unknown == (
        "What the lamp at shelf draws is not known. Add its watts.",
        "What power costs is not known. Add a tariff.",
    )
    no_pump = in_november(a_garden(air_pump_watts=None), a_batch(NOVEMBER, DECEMBER))
    assert "What the air pump draws is not known." in no_pump.unknown[0]


def test_a_lamp_whose_hours_are_not_told() -> None:
    """A lamp that tells only its daily light has neither power nor settings, and is asked for its hours."""
    place = Place(name="shelf", lamp=Lamp(dli_mol=10, watts=40), temperature_c=20)
    garden, batch = a_garden(places=(place,)), a_batch(NOVEMBER, DECEMBER, "B")
    use = in_november(garden, batch)
    assert use.kwh is None
    assert use.unknown == ("How long the lamp at shelf runs is not known. Add its hours.",)
    assert timer_settings(garden, a_plan(batch), NOVEMBER, DECEMBER) == ()


def test_nothing_runs_in_an_empty_garden() -> None:
    """No plants, no power, and nothing to ask for."""
    use = in_november(a_garden(tariff=None, air_pump_watts=None))
    assert (use.devices, use.unknown, use.kwh) == ((), (), 0)


# Settings.


def times(settings: Iterable[Any]) -> list[tuple[date, time | None, time | None, str]]:
    """Give day, start, stop and cause of settings."""
    return [(each.on, each.starts, each.stops, each.cause) for each in settings]


def test_a_lamp_is_set_when_plants_come_and_go() -> None:
    """Two stays with a gap of ten days between them: on, off, on, off; a stay that overlaps changes nothing."""
    garden = a_garden(tariff=NIGHT_RATE)
    plan = a_plan(
        a_batch(date(2026, 11, 7), date(2026, 11, 14)),
        a_batch(date(2026, 11, 10), date(2026, 11, 21), "B", number=2),
        a_batch(DECEMBER, date(2026, 12, 12), number=3),
    )
    settings = timer_settings(garden, plan, NOVEMBER, date(2027, 1, 1))
    # Fourteen hours hold all of the cheap night if they start from 17:00 to 22:00; the last is nearest to 6:00.
    on = (time(22), time(12))
    assert times(settings) == [
        (date(2026, 11, 7), *on, "come"),
        (date(2026, 11, 21), None, None, "go"),
        (DECEMBER, *on, "come"),
        (date(2026, 12, 12), None, None, "go"),
    ]
    assert settings[0].why == "Plants come to stand under it. These are the cheapest hours in a row."
    assert settings[1].why == "Nothing stands under it any more."


def test_a_later_span_begins_with_the_setting_in_force() -> None:
    """Asked in the middle of a stay, the setting that was made before is told; one that is over is not."""
    garden, plan = a_garden(), a_plan(a_batch(date(2026, 11, 7), date(2026, 11, 21)))
    assert times(timer_settings(garden, plan, date(2026, 11, 10), DECEMBER)) == [
        (date(2026, 11, 7), time(6), time(20), "come"),
        (date(2026, 11, 21), None, None, "go"),
    ]
    assert timer_settings(garden, plan, date(2026, 11, 25), DECEMBER) == ()


def test_clocks_that_change() -> None:
    """On both days of the winter the timer's clock is set, and its hours stay."""
    plan = a_plan(a_batch(date(2026, 10, 10), date(2027, 4, 10)))
    settings = timer_settings(a_garden(tariff=HELSINKI), plan, date(2026, 10, 10), date(2027, 5, 1))
    assert times(settings) == [
        (date(2026, 10, 10), time(22), time(12), "come"),
        (date(2026, 10, 25), time(22), time(12), "clocks"),
        (date(2027, 3, 28), time(22), time(12), "clocks"),
        (date(2027, 4, 10), None, None, "go"),
    ]
    assert "gone back by 1 hour: set the timer's own clock, too" in settings[1].why
    assert "gone forward by 1 hour" in settings[2].why


def test_clocks_that_change_while_nobody_is_at_home() -> None:
    """The timer is set on the day somebody is back."""
    away = (Away(from_on=date(2026, 10, 23), back_on=date(2026, 10, 28)),)
    plan = a_plan(a_batch(date(2026, 10, 10), date(2026, 11, 21)))
    settings = timer_settings(a_garden(tariff=HELSINKI, away=away), plan, date(2026, 10, 10), NOVEMBER)
    assert [each.on for each in settings] == [date(2026, 10, 10), date(2026, 10, 28)]


def test_a_lamp_that_is_never_off_has_no_clock_to_set() -> None:
    """Twenty-four hours are from midnight to midnight, whatever clocks do."""
    place = Place(name="shelf", lamp=replace(LAMP, hours=24.0), temperature_c=20)
    plan = a_plan(a_batch(date(2026, 10, 10), date(2027, 4, 10)))
    settings = timer_settings(a_garden(places=(place,), tariff=HELSINKI), plan, date(2026, 10, 10), date(2027, 4, 1))
    assert times(settings) == [(date(2026, 10, 10), time(0), time(0), "come")]


def test_a_setting_before_a_night_of_change_is_that_of_other_nights() -> None:
    """On the eve of summer time fourteen hours from 22:00 stop at 12:00 by the timer, not at 13:00."""
    plan = a_plan(a_batch(date(2027, 3, 27), date(2027, 4, 10)))
    first = timer_settings(a_garden(tariff=HELSINKI), plan, date(2027, 3, 27), date(2027, 4, 1))[0]
    assert (first.starts, first.stops) == (time(22), time(12))


def test_a_lamp_that_fills_up_follows_the_sun() -> None:
    """From October to June: set on Saturdays, a week apart at least, by half an hour at least; off in spring."""
    garden = a_garden(places=(SILL,), latitude=61.2, tariff=None)
    first_on, until_on = date(2026, 10, 10), date(2027, 6, 5)
    settings = timer_settings(garden, a_plan(a_batch(first_on, until_on)), first_on, until_on)
    assert {each.on.weekday() for each in settings} == {SATURDAY}
    for one, other in pairwise(settings):
        assert (other.on - one.on).days >= 7
        assert abs(other.hours - one.hours) >= 0.5
        assert other.cause == "light"
    assert all((4 * each.hours).is_integer() for each in settings)
    assert settings[-1].is_off
    assert settings[-1].why == "The place has light enough without the lamp now."
    longest = max(settings, key=lambda each: each.hours)
    assert longest.on.month in (11, 12)
    # Each week, what the timer gives is within half an hour, and half a quarter for the rounding, of the plan's mean.
    for week in range((until_on - first_on).days // 7):
        days = [first_on + timedelta(7 * week + number) for number in range(7)]
        planned = sum(light_on(SILL, day, garden.sky).lamp_hours for day in days) / 7
        given = [each.hours for each in settings if each.on <= days[0]][-1]
        assert abs(given - planned) < 0.625


def test_clocks_do_not_put_off_what_daylight_asks_for() -> None:
    """In a darkening October a timer is set each Saturday, also six days after its clock was put right."""
    garden = a_garden(places=(SILL,), latitude=61.2, tariff=HELSINKI)
    plan = a_plan(a_batch(date(2026, 10, 17), date(2026, 12, 12)))
    settings = timer_settings(garden, plan, date(2026, 10, 17), date(2026, 11, 1))
    assert [(each.on, each.cause) for each in settings] == [
        (date(2026, 10, 17), "come"),
        (date(2026, 10, 24), "light"),
        (date(2026, 10, 25), "clocks"),
        (date(2026, 10, 31), "light"),
    ]
    assert settings[2].hours == settings[1].hours


def test_a_span_may_end_on_any_day() -> None:
    """What is set on the last day of a span is what a longer span has for it: the mean of the week to come."""
    garden = a_garden(places=(SILL,), latitude=61.2, tariff=None)
    on = date(2027, 2, 13)
    plan = a_plan(a_batch(on, date(2027, 4, 10)))
    (only,) = timer_settings(garden, plan, on, on + timedelta(1))
    assert only == timer_settings(garden, plan, on, on + timedelta(50))[0]
    hours = [light_on(SILL, on + timedelta(number), garden.sky).lamp_hours for number in range(7)]
    assert only.hours == pytest.approx(sum(hours) / 7, abs=0.125)
    # February brightens so fast that the first day alone would ask for another quarter hour.
    assert abs(hours[0] - only.hours) > 0.125


def test_a_fixed_lamp_at_a_window_stays_with_the_sun() -> None:
    """Eight hours under a night rate: early in June, later and later as sunrise moves, never far beyond the sun."""
    lit = replace(SILL, lamp=replace(LAMP, hours=8.0, dli_mol=5.76))
    garden = a_garden(places=(lit,), latitude=61.2, tariff=NIGHT_RATE)
    first_on, until_on = date(2027, 6, 19), date(2027, 12, 18)
    settings = timer_settings(garden, a_plan(a_batch(first_on, until_on)), first_on, until_on)
    for number in range((until_on - first_on).days):
        day = first_on + timedelta(number)
        now = [each for each in settings if each.on <= day][-1]
        sun_hours = light_on(lit, day, garden.sky).sun_hours
        assert now.starts is not None
        start = now.starts.hour + now.starts.minute / 60
        together = max(12 + sun_hours / 2, start + 8) - min(12 - sun_hours / 2, start)
        # Half an hour is not worth a setting; in a week an autumn day shrinks by 40 minutes, half of it at each end.
        assert together - max(sun_hours, 8) < 0.5 + 0.35
    assert settings[0].starts is not None
    assert settings[0].starts < time(7)
    assert [each.hours for each in settings] == [8.0] * len(settings)
    assert len(settings) > 3
    for one, other in pairwise(settings):
        assert one.starts is not None
        assert other.starts is not None
        assert (other.on - one.on).days >= 7
        assert other.starts > one.starts
        assert "Sunrise and sunset have moved" in other.why
