"""Power and its cost by the formula kWh = W x h x days / 1000, worked out by hand on a shelf with two totes."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from lit_shelf import DECEMBER, HELSINKI, LAMP, NIGHT_RATE, NOVEMBER, US_CENTS, a_batch, a_garden, a_plan
from steadysow.inputs.garden import Garden, Lamp, Nursery, Place
from steadysow.plan.batch import Batch
from steadysow.upkeep.power import power_use
from steadysow.upkeep.timers import timer_settings


def in_november(garden: Garden, *batches: Batch) -> Any:
    """Give the power of the thirty days of November."""
    return power_use(garden, a_plan(*batches), NOVEMBER, DECEMBER)


def test_a_lamp_for_thirty_days() -> None:
    """40 W x 14 h x 30 d = 16.8 kWh cost $2.836 at 16.88 cents; a pump of 3 W x 24 h x 30 d = 2.16 kWh costs $0.365."""
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
    """40 W x 14 h x 365 d = 204.4 kWh are shared among twelve months; February has 28 days of them."""
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
    """At half its brightness a lamp draws half its watts (our estimate)."""
    place = Place(name="shelf", lamp=replace(LAMP, brightness=0.5), temperature_c=20)
    assert in_november(a_garden(places=(place,)), a_batch(NOVEMBER, DECEMBER, "B")).kwh == pytest.approx(8.4)


def test_lamps_and_pump_run_while_plants_stand_there() -> None:
    """Ten days in a pumped tote and ten in a still one, five of them together, take 15 of lamp and 10 of pump."""
    use = in_november(
        a_garden(),
        a_batch(date(2026, 11, 5), date(2026, 11, 15), "A"),
        a_batch(date(2026, 11, 10), date(2026, 11, 20), "B", number=2),
    )
    lamp, pump = use.devices
    assert lamp.kwh == pytest.approx(15 * 0.56)
    assert pump.kwh == pytest.approx(10 * 0.072)


def test_a_still_tote_has_no_pump() -> None:
    """Without plants in a pumped tote there is no pump, and nobody asks for its watts."""
    use = in_november(a_garden(air_pump_watts=None), a_batch(NOVEMBER, DECEMBER, "B"))
    assert [device.kind for device in use.devices] == ["lamp"]
    assert use.unknown == ()


def test_the_nursery_runs_from_sowing_to_transplant() -> None:
    """The nursery lamp runs for seven days of seedlings, and not for a crop that is sown in its pot."""
    light = Place(name="nursery", lamp=replace(LAMP, watts=20.0), temperature_c=20)
    garden = a_garden(nursery=Nursery(cells=60, place=light))
    batch = a_batch(date(2026, 11, 20), DECEMBER, "B")
    nursery = in_november(garden, batch).devices[1]
    assert nursery.kind == "nursery"
    assert nursery.kwh == pytest.approx(7 * 14 * 20 / 1000)
    potted = a_batch(date(2026, 11, 20), DECEMBER, "B", in_pot=True)
    assert [device.kind for device in in_november(garden, potted).devices] == ["lamp"]


def test_a_nursery_at_a_place_shares_its_lamp() -> None:
    """Seedlings for seven days and plants for ten under one lamp take seventeen days of that lamp."""
    shelf = Place(name="shelf", lamp=LAMP, temperature_c=20)
    garden = a_garden(places=(shelf,), nursery=Nursery(cells=60, place=shelf))
    (lamp,) = in_november(garden, a_batch(date(2026, 11, 20), date(2026, 11, 30), "B")).devices
    assert lamp.kwh == pytest.approx(17 * 0.56)


def test_a_pump_runs_23_hours_when_clocks_go_forward() -> None:
    """A pump runs for 23 hours on the day on which clocks go forward, and costs 23."""
    on = date(2027, 3, 28)
    use = power_use(a_garden(tariff=HELSINKI), a_plan(a_batch(on, on + timedelta(1))), on, on + timedelta(1))
    pump = use.devices[1]
    assert pump.kwh == pytest.approx(0.069)
    # Eight of the nine cheap hours (midnight to 7:00 and 22:00 to midnight) pass on that day.
    assert pump.cost == pytest.approx(0.003 * (8 * 0.12 + 15 * 0.30))


def test_power_per_kilogram() -> None:
    """18.96 kWh for 300 g are 63.2 kWh a kg; a harvest after the span does not count."""
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


def test_unknown_power_is_named() -> None:
    """Without watts and tariff there are no figures, but sentences that say what to add."""
    dark = Place(name="shelf", lamp=replace(LAMP, watts=None), temperature_c=20)
    use = in_november(a_garden(places=(dark,), tariff=None), a_batch(NOVEMBER, DECEMBER))
    assert (use.kwh, use.cost, use.kwh_a_kg, use.cost_a_kg, use.currency) == (None, None, None, None, None)
    assert [device.cost for device in use.devices] == [None, None]
    assert use.unknown == (
        "The power of the lamp at shelf is unknown. Add its watts.",
        "The price of power is unknown. Add a tariff.",
    )
    no_pump = in_november(a_garden(air_pump_watts=None), a_batch(NOVEMBER, DECEMBER))
    assert "The power of the air pump is unknown." in no_pump.unknown[0]


def test_a_lamp_without_hours() -> None:
    """A lamp that has only a daily light has neither power nor settings, and a sentence asks for its hours."""
    place = Place(name="shelf", lamp=Lamp(dli_mol=10, watts=40), temperature_c=20)
    garden, batch = a_garden(places=(place,)), a_batch(NOVEMBER, DECEMBER, "B")
    use = in_november(garden, batch)
    assert use.kwh is None
    assert use.unknown == ("The hours of the lamp at shelf are unknown. Add them.",)
    assert timer_settings(garden, a_plan(batch), NOVEMBER, DECEMBER) == ()


def test_nothing_runs_in_an_empty_garden() -> None:
    """Without plants there is no power, and nothing is unknown."""
    use = in_november(a_garden(tariff=None, air_pump_watts=None))
    assert (use.devices, use.unknown, use.kwh) == ((), (), 0)
