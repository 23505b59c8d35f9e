"""Hours of lamp, settings of timers, and what the power of a plan comes to.

Takes the garden and a plan; gives when each lamp's timer is set to what (`timer_settings`), kilowatt hours and cost by
month and by device (`power_use`).
Hides on which days a lamp runs, how seldom a timer is worth changing, and what is unknown.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, time, timedelta
from typing import Literal

from steadysow.amounts import counted
from steadysow.growth.daylight import light_on
from steadysow.inputs.garden import Garden, Lamp, Place
from steadysow.plan.batch import Batch
from steadysow.plan.plan import Plan
from steadysow.upkeep.cheap_hours import (
    MORNING,
    Daylight,
    cheapest_hours,
    clocks_go_forward,
    daylight_on,
    run_of,
)

DeviceKind = Literal["lamp", "nursery", "pump"]
Cause = Literal["come", "go", "light", "clocks"]

# By choice: what is not worth a walk to the timer [h].
WORTH_SETTING_HOURS = 0.5

# By choice: a timer is set again for a change of daylight once a week at most [d].
BETWEEN_SETTINGS_DAYS = 7

# By choice: an absence longer than this is not looked beyond for the light until the next setting [d].
_LONGEST_AHEAD_DAYS = 35

_ONE_DAY = timedelta(1)


@dataclass(frozen=True, slots=True, kw_only=True)
class TimerSetting:
    """What a lamp's timer is set to from a day on.

    Attributes
    ----------
    kind, place
        A ``lamp`` at a place, or that of the ``nursery``; the name of its place.
    on
        The day on which it is set.
    starts, stops, hours
        By the clock, and how long the lamp runs [h].  Off: ``None``, ``None``, 0; on all day: midnight both, and 24.
    cause
        Plants ``come`` or ``go``, the ``light`` of the days changes, or ``clocks`` do.
    why
        The same in plain sentences.
    """

    kind: Literal["lamp", "nursery"]
    place: str
    on: date
    starts: time | None
    stops: time | None
    hours: float
    cause: Cause
    why: str

    @property
    def is_off(self) -> bool:
        """Whether the lamp does not run."""
        return self.hours == 0


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthUse:
    """What a device uses in a month of the span: its first day, power [kWh], and cost in the tariff's currency."""

    month_on: date
    kwh: float | None
    cost: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviceUse:
    """What a device uses in a span, in the months in which it runs; `place` is empty for the pump."""

    kind: DeviceKind
    place: str
    months: tuple[MonthUse, ...]

    @property
    def kwh(self) -> float | None:
        """Power [kWh], or ``None`` where it is unknown."""
        return _sum(month.kwh for month in self.months)

    @property
    def cost(self) -> float | None:
        """Cost in the tariff's currency, or ``None`` where it is unknown."""
        return _sum(month.cost for month in self.months)


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerUse:
    """What the power of a plan comes to in a span.

    Attributes
    ----------
    devices
        Those that run in it: lamps in the order of the garden, the nursery's, the pump.
    currency
        Of the costs; ``None`` without a tariff.
    harvested_grams
        Fresh weight of all that is harvested in the span [g].
    unknown
        What is not known, and what to write, a sentence each; empty where all is.
    """

    devices: tuple[DeviceUse, ...]
    currency: str | None
    harvested_grams: float
    unknown: tuple[str, ...]

    @property
    def kwh(self) -> float | None:
        """All the power [kWh], or ``None`` where that of a device is unknown."""
        return _sum(device.kwh for device in self.devices)

    @property
    def cost(self) -> float | None:
        """The whole cost, or ``None`` where it is unknown."""
        return _sum(device.cost for device in self.devices) if self.currency is not None else None

    @property
    def months(self) -> tuple[MonthUse, ...]:
        """All devices together, month by month; ``None`` where something that runs in it is unknown."""
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
        """Power a kilogram harvested in the span [kWh kg-1]; ``None`` where it is unknown, or nothing is harvested."""
        return self._a_kg(self.kwh)

    @property
    def cost_a_kg(self) -> float | None:
        """Cost a kilogram harvested in the span; ``None`` where it is unknown, or nothing is harvested."""
        return self._a_kg(self.cost)

    def _a_kg(self, amount: float | None) -> float | None:
        return None if amount is None or not self.harvested_grams else 1000 * amount / self.harvested_grams


@dataclass(frozen=True, slots=True, kw_only=True)
class _LitPlace:
    """A lamp, its place, and the days on which something stands under it."""

    kind: Literal["lamp", "nursery"]
    place: Place
    lamp: Lamp
    days: frozenset[date]


def timer_settings(garden: Garden, plan: Plan, first_on: date, until_on: date) -> tuple[TimerSetting, ...]:
    """Give what each lamp's timer is set to in a span: the setting in force on its first day, and each new one.

    A timer is set when plants come or go; when clocks change, on the first day from then on on which somebody is at
    home; and for a change of daylight of half an hour or more, on a chore day, a week or more after it was set last.
    A lamp that fills up what a window lacks is set to the mean of the days until the next such day, to the quarter
    hour.  All is followed from the first plants on, so that the same days have the same settings whatever the span.
    Lamps whose hours are not told have none.

    Parameters
    ----------
    garden, plan
        The garden, and the plan as it reads with what was told.
    first_on, until_on
        The span, half open.

    Returns
    -------
    By lamp, in the order of the garden, and then by day.  The setting in force on the first day has the day on which it
    was made, which may lie before the span.
    """
    found: list[TimerSetting] = []
    for lit in _lit_places(garden, plan, until_on):
        settings = tuple(_settings(garden, lit, until_on))
        before = [setting for setting in settings if setting.on < first_on][-1:]
        found += [setting for setting in before if not setting.is_off]
        found += [setting for setting in settings if setting.on >= first_on]
    return tuple(found)


def power_use(garden: Garden, plan: Plan, first_on: date, until_on: date) -> PowerUse:
    """Give the power that lamps and pump take in a span, and what it costs.

    Equation: ``kWh = W b h / 1000``, minute by minute times the price by the clock.  A lamp runs the hours by which the
    plan was computed, from the start that its timer is set to, at its watts in proportion to its brightness (an
    estimate, see `lamp_light.dim_for`); the pump runs day and night while anything stands in a ``dwc`` tote.

    Parameters
    ----------
    garden, plan
        The garden, and the plan as it reads with what was told.
    first_on, until_on
        The span, half open.
    """
    devices: list[DeviceUse] = []
    unknown: list[str] = []
    for lit in _lit_places(garden, plan, until_on):
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
        for day in _stay(batch, until_on)
        if day >= first_on
    }
    if pumped:
        devices.append(_device_use(garden, "pump", "", garden.air_pump_watts, pumped))
        if garden.air_pump_watts is None:
            unknown.append('What the air pump draws is not known. Add "air_pump: {watts: 4}" with its own watts.')
    if devices and garden.tariff is None:
        unknown.append("What power costs is not known. Add a tariff.")
    harvests = (harvest for batch in plan.batches for harvest in batch.harvests)
    return PowerUse(
        devices=tuple(devices),
        currency=garden.tariff.currency if garden.tariff else None,
        harvested_grams=sum(harvest.grams for harvest in harvests if first_on <= harvest.on < until_on),
        unknown=tuple(unknown),
    )


# Who stands where.


def _stay(batch: Batch, until_on: date) -> Iterator[date]:
    """Give the days before a last one on which a batch stands in its tote; it does not on the day it is cleared."""
    if batch.transplanted_on is not None:
        yield from _days(batch.transplanted_on, min(batch.cleared_on or until_on, until_on))


def _wait(batch: Batch, until_on: date) -> Iterator[date]:
    """Give the days before a last one on which a batch stands in the nursery; none for what is sown in its pot.

    Nothing is known of the days of what was lost there.
    """
    if batch.transplanted_on is not None:
        yield from _days(batch.sown_on, min(batch.transplanted_on, until_on))


def _days(first_on: date, until_on: date) -> Iterator[date]:
    return (first_on + number * _ONE_DAY for number in range((until_on - first_on).days))


def _lit_places(garden: Garden, plan: Plan, until_on: date) -> Iterator[_LitPlace]:
    """Give the lamps under which something stands, and the days on which it does.

    Days after the last one of a span are looked at as far as its settings look ahead.
    """
    nursery, until_on = garden.nursery.place, until_on + timedelta(_LONGEST_AHEAD_DAYS)
    for place in garden.places:
        days = {day for batch in plan.batches if batch.place == place.name for day in _stay(batch, until_on)}
        if place == nursery:
            days |= {day for batch in plan.batches for day in _wait(batch, until_on)}
        if place.lamp and days:
            yield _LitPlace(kind="lamp", place=place, lamp=place.lamp, days=frozenset(days))
    days = {day for batch in plan.batches for day in _wait(batch, until_on)}
    if nursery not in garden.places and nursery.lamp and days:
        yield _LitPlace(kind="nursery", place=nursery, lamp=nursery.lamp, days=frozenset(days))


# Settings of timers.


def _settings(garden: Garden, lit: _LitPlace, until_on: date) -> Iterator[TimerSetting]:
    """Give every setting of a lamp's timer from the first plants on."""
    if lit.lamp.hours is None:
        return
    zone = garden.tariff.zone if garden.tariff else None
    now: TimerSetting | None = None
    set_on, near, stands, forward = date.min, MORNING, False, 0
    for day in _days(min(lit.days), until_on):
        forward += clocks_go_forward(zone, day) if stands else 0
        stood, stands = stands, day in lit.days
        new = None
        if not stands:
            forward = 0
            if stood and now and not now.is_off:
                new = replace(_off(lit, day), cause="go", why="Nothing stands under it any more.")
        elif not stood:
            new = replace(_best(garden, lit, day, near), cause="come", why=_who_comes(lit))
            set_on = day
            if new.is_off and (now is None or now.is_off):
                continue
        elif forward and garden.at_home(day):
            if now and not now.is_off and now.hours < 24:
                new = _after_clocks_changed(garden, lit, day, now, forward)
            forward = 0
        elif garden.is_chore_day(day) and (day - set_on).days >= BETWEEN_SETTINGS_DAYS:
            new = _after_daylight_changed(garden, lit, day, now, near)
        if new:
            now, near = new, new.starts or near
            # A clock that is put right does not put off what daylight asks for.
            set_on = set_on if new.cause == "clocks" else day
            yield new if new.is_off else replace(new, why=f"{new.why}{_why_then(garden, lit, new)}")


def _off(lit: _LitPlace, day: date) -> TimerSetting:
    return TimerSetting(
        kind=lit.kind, place=lit.place.name, on=day, starts=None, stops=None, hours=0.0, cause="light", why=""
    )


def _best(garden: Garden, lit: _LitPlace, day: date, near: time, hours: float | None = None) -> TimerSetting:
    """Give the best setting from a day on, for the hours of the plan if no others are asked for; cause and why open."""
    hours = _hours_ahead(garden, lit, day) if hours is None else hours
    if not hours:
        return _off(lit, day)
    # A setting holds for weeks, and is not chosen by a night in which clocks change.
    tariff = replace(garden.tariff, zone=None) if garden.tariff else None
    run = cheapest_hours(tariff, day, hours, near=near, daylight=_daylight_ahead(garden, lit, day))
    return replace(_off(lit, day), starts=run.starts, stops=run.stops, hours=hours)


def _after_clocks_changed(garden: Garden, lit: _LitPlace, day: date, now: TimerSetting, forward: int) -> TimerSetting:
    """Give the setting after clocks changed; its hours stay."""
    way = "forward" if forward > 0 else "back"
    why = f"Clocks have gone {way} by {_length(abs(forward))}: set the timer's own clock, too."
    return replace(_best(garden, lit, day, now.starts or MORNING, now.hours), cause="clocks", why=why)


def _after_daylight_changed(
    garden: Garden, lit: _LitPlace, day: date, now: TimerSetting | None, near: time
) -> TimerSetting | None:
    """Give the setting that daylight asks for by now, or ``None`` where it is not worth it."""
    hours = _hours_ahead(garden, lit, day)
    has_hours = now.hours if now else 0.0
    if abs(hours - has_hours) >= WORTH_SETTING_HOURS:
        needs = f"needs {hours:g} hours of lamp a day" if hours else "has light enough without the lamp"
        why = f"The place {needs} now, not {has_hours:g}." if hours else f"The place {needs} now."
        return replace(_best(garden, lit, day, near), why=why)
    daylight = _daylight_ahead(garden, lit, day)
    if now and now.starts and daylight and daylight.overhang(now.starts, now.hours) >= WORTH_SETTING_HOURS:
        why = "Sunrise and sunset have moved: so the lamp makes the day no longer than it must be."
        return replace(_best(garden, lit, day, near, now.hours), why=why)
    return None


def _hours_ahead(garden: Garden, lit: _LitPlace, day: date) -> float:
    """Give the hours to set from a day on: the mean until the timer may be set again, to the quarter hour [h]."""
    assert lit.lamp.hours is not None, "a lamp with a timer tells its hours"
    if lit.lamp.up_to_dli_mol is None:
        return light_on(lit.place, day, garden.sky).lamp_hours
    hours = [light_on(lit.place, each, garden.sky).lamp_hours for each in _days_ahead(garden, lit, day)]
    mean = min(lit.lamp.hours, round(4 * sum(hours) / len(hours)) / 4)
    return mean if mean >= WORTH_SETTING_HOURS else 0.0


def _days_ahead(garden: Garden, lit: _LitPlace, day: date) -> list[date]:
    """Give the days on which something stands there until the timer may be set again for a change of daylight."""
    first_on, latest_on = day + timedelta(BETWEEN_SETTINGS_DAYS), day + timedelta(_LONGEST_AHEAD_DAYS)
    until_on = next((each for each in _days(first_on, latest_on) if garden.is_chore_day(each)), latest_on)
    return [each for each in _days(day, until_on) if each in lit.days]


def _daylight_ahead(garden: Garden, lit: _LitPlace, day: date) -> Daylight | None:
    """Give the sun in the middle of the days until the timer may be set again; ``None`` where none shines."""
    if not lit.place.is_daylit:
        return None
    ahead = _days_ahead(garden, lit, day)
    hours = light_on(lit.place, ahead[len(ahead) // 2], garden.sky).sun_hours
    return daylight_on(garden.tariff.zone if garden.tariff else None, day, hours) if hours else None


def _who_comes(lit: _LitPlace) -> str:
    return "Seedlings come to stand under it." if lit.kind == "nursery" else "Plants come to stand under it."


def _why_then(garden: Garden, lit: _LitPlace, setting: TimerSetting) -> str:
    """Say why the lamp runs at that time of day, where another would cost more."""
    if setting.hours >= 24 or garden.tariff is None or garden.tariff.is_flat:
        return ""
    bound = " that overlap the daylight" if lit.place.is_daylit else ""
    return f" These are the cheapest hours in a row{bound}."


def _length(minutes: int) -> str:
    return counted(minutes // 60, "hour") if minutes % 60 == 0 else counted(minutes, "minute")


# Power.


def _lamp_runs(
    garden: Garden, lit: _LitPlace, first_on: date, until_on: date
) -> Iterator[tuple[date, tuple[time, float] | None]]:
    """Give start and hours of each day of a span on which a lamp runs; ``None`` where its hours are not told."""
    settings = {setting.on: setting for setting in _settings(garden, lit, until_on)}
    starts = MORNING
    for day in _days(min(lit.days), until_on):
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


def _unknown_of(lit: _LitPlace, *, is_timed: bool) -> Iterator[str]:
    where = "of the nursery" if lit.kind == "nursery" else f"at {lit.place.name}"
    if lit.lamp.watts is None:
        yield f"What the lamp {where} draws is not known. Add its watts."
    if not is_timed:
        yield f"How long the lamp {where} runs is not known. Add its hours."


def _sum(amounts: Iterable[float | None]) -> float | None:
    """Add up, or give ``None`` where one is unknown."""
    known = [*amounts]
    return None if None in known else sum(each for each in known if each is not None)
