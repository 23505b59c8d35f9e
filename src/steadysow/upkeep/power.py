"""The power that a plan takes, and what it costs.

Takes a garden and a plan; gives kilowatt hours and cost by month and by device.  Hides on which days a lamp runs, and
what is unknown.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, time, timedelta
from typing import Literal

from steadysow.growth.daylight import light_on
from steadysow.inputs.garden import Garden
from steadysow.plan.plan import Plan
from steadysow.upkeep.cheap_hours import MORNING, run_of
from steadysow.upkeep.lit_places import LitPlace, days_between, days_in_tote, lit_places
from steadysow.upkeep.timers import LONGEST_AHEAD_DAYS, settings_of

DeviceKind = Literal["lamp", "nursery", "pump"]


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthUse:
    """What a device uses in a month: the month's first day, the power [kWh], and the cost in the tariff's currency."""

    month_on: date
    kwh: float | None
    cost: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviceUse:
    """What a device uses in a span, by the months in which it runs; `place` is empty for the pump."""

    kind: DeviceKind
    place: str
    months: tuple[MonthUse, ...]

    @property
    def kwh(self) -> float | None:
        """Power [kWh], or ``None`` if it is unknown."""
        return _sum(month.kwh for month in self.months)

    @property
    def cost(self) -> float | None:
        """Cost in the tariff's currency, or ``None`` if it is unknown."""
        return _sum(month.cost for month in self.months)


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerUse:
    """The power that a plan takes in a span.

    Attributes
    ----------
    devices
        The devices that run: lamps in the order of the garden, the nursery's own lamp, the pump.
    currency
        The currency of the costs; ``None`` without a tariff.
    harvested_grams
        Fresh weight of everything that is harvested in the span [g].
    unknown
        A sentence for each thing that is unknown, with its remedy.
    """

    devices: tuple[DeviceUse, ...]
    currency: str | None
    harvested_grams: float
    unknown: tuple[str, ...]

    @property
    def kwh(self) -> float | None:
        """All the power [kWh], or ``None`` if that of a device is unknown."""
        return _sum(device.kwh for device in self.devices)

    @property
    def cost(self) -> float | None:
        """The whole cost, or ``None`` if it is unknown."""
        return _sum(device.cost for device in self.devices) if self.currency is not None else None

    @property
    def months(self) -> tuple[MonthUse, ...]:
        """All devices together, month by month; ``None`` in a month in which a device is unknown."""
        by_month: dict[date, list[MonthUse]] = defaultdict(list)
        for device in self.devices:
            for month in device.months:
                by_month[month.month_on].append(month)
        return tuple(
            MonthUse(month_on=on, kwh=_sum(each.kwh for each in uses), cost=_sum(each.cost for each in uses))
            for on, uses in sorted(by_month.items())
        )

    @property
    def kwh_a_kg(self) -> float | None:
        """Power per kilogram harvested [kWh kg-1]; ``None`` if it is unknown, or nothing is harvested."""
        return self._a_kg(self.kwh)

    @property
    def cost_a_kg(self) -> float | None:
        """Cost per kilogram harvested; ``None`` if it is unknown, or nothing is harvested."""
        return self._a_kg(self.cost)

    def _a_kg(self, amount: float | None) -> float | None:
        return None if amount is None or not self.harvested_grams else 1000 * amount / self.harvested_grams


def power_use(garden: Garden, plan: Plan, first_on: date, until_on: date) -> PowerUse:
    """Give the power that lamps and pump take in a span, and what it costs.

    Equation: ``kWh = W b h / 1000``, minute by minute times the price by the clock.  A lamp starts when its timer says,
    and runs for the hours that the plan assumes.  Its watts are in proportion to its brightness (our estimate).  The
    pump runs day and night while plants stand in a ``dwc`` tote.

    Parameters
    ----------
    garden
        The garden.
    plan
        The plan with the journal applied.
    first_on, until_on
        The span, half open.
    """
    devices: list[DeviceUse] = []
    unknown: list[str] = []
    for lit in lit_places(garden, plan, until_on + timedelta(LONGEST_AHEAD_DAYS)):
        runs = dict(_lamp_runs(garden, lit, first_on, until_on))
        watts = None if lit.lamp.watts is None else lit.lamp.watts * lit.lamp.brightness
        if runs:
            devices.append(_device_use(garden, lit.kind, lit.place.name, watts, runs))
            unknown += _unknown_of(lit, is_timed=None not in runs.values())
    pumped_totes = {tote.name for tote in garden.totes if tote.system == "dwc"}
    pumped = {
        day: (time(0), 24.0)
        for batch in plan.batches
        if batch.tote in pumped_totes
        for day in days_in_tote(batch, until_on)
        if day >= first_on
    }
    if pumped:
        devices.append(_device_use(garden, "pump", "", garden.air_pump_watts, pumped))
        if garden.air_pump_watts is None:
            unknown.append('The power of the air pump is unknown. Add "air_pump: {watts: 4}" with its own watts.')
    if devices and garden.tariff is None:
        unknown.append("The price of power is unknown. Add a tariff.")
    harvests = (harvest for batch in plan.batches for harvest in batch.harvests)
    return PowerUse(
        devices=tuple(devices),
        currency=garden.tariff.currency if garden.tariff else None,
        harvested_grams=sum(harvest.grams for harvest in harvests if first_on <= harvest.on < until_on),
        unknown=tuple(unknown),
    )


def _lamp_runs(
    garden: Garden, lit: LitPlace, first_on: date, until_on: date
) -> Iterator[tuple[date, tuple[time, float] | None]]:
    """Give start and hours of each day of a span on which a lamp runs; ``None`` if its hours are unknown."""
    settings = {setting.on: setting for setting in settings_of(garden, lit, until_on)}
    starts = MORNING
    for day in days_between(min(lit.days), until_on):
        if day in settings:
            starts = settings[day].starts or starts
        if day in lit.days and day >= first_on:
            light = light_on(lit.place, day, garden.sky)
            if light.lamp_mol > 0:
                yield day, (starts, light.lamp_hours) if lit.lamp.hours is not None else None


def _device_use(
    garden: Garden, kind: DeviceKind, place: str, watts: float | None, runs: Mapping[date, tuple[time, float] | None]
) -> DeviceUse:
    """Sum the runs of a device by month."""
    kwh: dict[date, list[float | None]] = defaultdict(list)
    cost: dict[date, list[float | None]] = defaultdict(list)
    for day, run in sorted(runs.items()):
        month_on = day.replace(day=1)
        if run is None or watts is None:
            kwh[month_on].append(None)
            cost[month_on].append(None)
            continue
        starts, hours = run
        timed = run_of(garden.tariff, day, starts, hours)
        kwh[month_on].append(watts * timed.hours / 1000)
        cost[month_on].append(None if timed.cost_a_kw is None else watts * timed.cost_a_kw / 1000)
    months = (MonthUse(month_on=on, kwh=_sum(kwh[on]), cost=_sum(cost[on])) for on in kwh)
    return DeviceUse(kind=kind, place=place, months=tuple(months))


def _unknown_of(lit: LitPlace, *, is_timed: bool) -> Iterator[str]:
    where = "of the nursery" if lit.kind == "nursery" else f"at {lit.place.name}"
    if lit.lamp.watts is None:
        yield f"The power of the lamp {where} is unknown. Add its watts."
    if not is_timed:
        yield f"The hours of the lamp {where} are unknown. Add them."


def _sum(amounts: Iterable[float | None]) -> float | None:
    """Add amounts up, or give ``None`` if one of them is unknown."""
    known = [*amounts]
    return None if None in known else sum(each for each in known if each is not None)
