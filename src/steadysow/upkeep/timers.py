"""When each lamp's timer is set, and to what.

Takes a garden and a plan; gives a `TimerSetting` for each time that a timer is set.  Hides how rarely a timer is worth
setting, and how changes of clocks and daylight move its hours.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, time, timedelta
from typing import Literal

from steadysow.amounts import counted
from steadysow.growth.daylight import light_on
from steadysow.inputs.garden import Garden
from steadysow.plan.plan import Plan
from steadysow.upkeep.cheap_hours import MORNING, Daylight, cheapest_hours, clocks_go_forward, daylight_on
from steadysow.upkeep.lit_places import LitPlace, days_between, lit_places

Cause = Literal["come", "go", "light", "clocks"]

# By choice: a smaller change is not worth a walk to the timer [h].
WORTH_SETTING_HOURS = 0.5

# By choice: a timer is set for a change of daylight at most once a week [d].
BETWEEN_SETTINGS_DAYS = 7

# By choice: a setting looks no further ahead than this, even if nobody is at home for longer [d].
LONGEST_AHEAD_DAYS = 35


@dataclass(frozen=True, slots=True, kw_only=True)
class TimerSetting:
    """What a lamp's timer is set to from a day on.

    Attributes
    ----------
    kind, place
        Whether it is a ``lamp`` of the garden or the ``nursery``'s own; the name of its place.
    on
        The day on which it is set.
    starts, stops, hours
        Start and stop by the clock, and how long the lamp runs [h].  A lamp that is off has ``None``, ``None`` and 0.
        One that is on all day has midnight twice, and 24.
    cause
        Why it is set: plants ``come`` or ``go``, the ``light`` outdoors changes, or ``clocks`` change.
    why
        The cause in plain sentences.
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


def timer_settings(garden: Garden, plan: Plan, first_on: date, until_on: date) -> tuple[TimerSetting, ...]:
    """Give the settings of each lamp's timer in a span: the one in force on the first day, and each new one.

    A timer is set when plants come or go.  When clocks change, it is set on the first day after that on which somebody
    is at home.  When daylight changes by half an hour or more, it is set on a chore day, at least a week after the last
    setting.  A lamp that makes up for a dark window is set to the mean of the days until it may be set again, to the
    quarter hour.  Settings are worked out from the first plants on, so that a day has the same setting in every span.
    A lamp without hours has no settings.

    Parameters
    ----------
    garden
        The garden.
    plan
        The plan with the journal applied.
    first_on, until_on
        The span, half open.

    Returns
    -------
    The settings by lamp, in the order of the garden, and then by day.  The setting in force on the first day may have
    been made before the span.
    """
    found: list[TimerSetting] = []
    for lit in lit_places(garden, plan, until_on + timedelta(LONGEST_AHEAD_DAYS)):
        settings = tuple(settings_of(garden, lit, until_on))
        before = [setting for setting in settings if setting.on < first_on][-1:]
        found += [setting for setting in before if not setting.is_off]
        found += [setting for setting in settings if setting.on >= first_on]
    return tuple(found)


def settings_of(garden: Garden, lit: LitPlace, until_on: date) -> Iterator[TimerSetting]:
    """Give every setting of a lamp's timer from the first plants on.

    Parameters
    ----------
    garden
        The garden.
    lit
        The lamp, with its days up to `LONGEST_AHEAD_DAYS` after `until_on`.
    until_on
        The day after the last one on which the timer is set.
    """
    if lit.lamp.hours is None:
        return
    zone = garden.tariff.zone if garden.tariff else None
    now: TimerSetting | None = None
    set_on, near, stands, forward = date.min, MORNING, False, 0
    for day in days_between(min(lit.days), until_on):
        forward += clocks_go_forward(zone, day) if stands else 0
        stood, stands = stands, day in lit.days
        new = None
        if not stands:
            forward = 0
            if stood and now and not now.is_off:
                new = replace(_off(lit, day), cause="go", why="No plants are left under this lamp.")
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
            # Setting the timer's clock does not delay the next setting for daylight.
            set_on = set_on if new.cause == "clocks" else day
            yield new if new.is_off else replace(new, why=f"{new.why}{_why_then(garden, lit, new)}")


def _off(lit: LitPlace, day: date) -> TimerSetting:
    return TimerSetting(
        kind=lit.kind, place=lit.place.name, on=day, starts=None, stops=None, hours=0.0, cause="light", why=""
    )


def _best(garden: Garden, lit: LitPlace, day: date, near: time, hours: float | None = None) -> TimerSetting:
    """Give the best setting from a day on, without its reason, for some hours or for those of the plan."""
    hours = _hours_ahead(garden, lit, day) if hours is None else hours
    if not hours:
        return _off(lit, day)
    # A setting holds for weeks: a night in which clocks change must not decide it.
    tariff = replace(garden.tariff, zone=None) if garden.tariff else None
    run = cheapest_hours(tariff, day, hours, near=near, daylight=_daylight_ahead(garden, lit, day))
    return replace(_off(lit, day), starts=run.starts, stops=run.stops, hours=hours)


def _after_clocks_changed(garden: Garden, lit: LitPlace, day: date, now: TimerSetting, forward: int) -> TimerSetting:
    """Give the setting after clocks changed, with the same hours."""
    way = "forward" if forward > 0 else "back"
    why = f"The clocks went {way} by {_length(abs(forward))}. Set the timer's own clock too."
    return replace(_best(garden, lit, day, now.starts or MORNING, now.hours), cause="clocks", why=why)


def _after_daylight_changed(
    garden: Garden, lit: LitPlace, day: date, now: TimerSetting | None, near: time
) -> TimerSetting | None:
    """Give the setting that daylight asks for now, or ``None`` if it is not worth setting the timer."""
    hours = _hours_ahead(garden, lit, day)
    has_hours = now.hours if now else 0.0
    if abs(hours - has_hours) >= WORTH_SETTING_HOURS:
        lit_hours = f"{hours:g} hour{'' if hours == 1 else 's'}"
        why = (
            f"This place now needs {lit_hours} of lamp a day, not {has_hours:g}."
            if hours
            else "This place now has enough light without the lamp."
        )
        return replace(_best(garden, lit, day, near), why=why)
    daylight = _daylight_ahead(garden, lit, day)
    if now and now.starts and daylight and daylight.overhang(now.starts, now.hours) >= WORTH_SETTING_HOURS:
        why = "Sunrise and sunset have moved. These hours make the day no longer than it must be."
        return replace(_best(garden, lit, day, near, now.hours), why=why)
    return None


def _hours_ahead(garden: Garden, lit: LitPlace, day: date) -> float:
    """Give the hours to set from a day on: the mean until the timer may be set again, to the quarter hour [h]."""
    assert lit.lamp.hours is not None, "a lamp with a timer has hours"
    if lit.lamp.up_to_dli_mol is None:
        return light_on(lit.place, day, garden.sky).lamp_hours
    hours = [light_on(lit.place, each, garden.sky).lamp_hours for each in _days_ahead(garden, lit, day)]
    mean = min(lit.lamp.hours, round(4 * sum(hours) / len(hours)) / 4)
    return mean if mean >= WORTH_SETTING_HOURS else 0.0


def _days_ahead(garden: Garden, lit: LitPlace, day: date) -> list[date]:
    """Give the days with plants until the timer may be set again for a change of daylight."""
    first_on, latest_on = day + timedelta(BETWEEN_SETTINGS_DAYS), day + timedelta(LONGEST_AHEAD_DAYS)
    until_on = next((each for each in days_between(first_on, latest_on) if garden.is_chore_day(each)), latest_on)
    return [each for each in days_between(day, until_on) if each in lit.days]


def _daylight_ahead(garden: Garden, lit: LitPlace, day: date) -> Daylight | None:
    """Give the sun in the middle of the days until the timer may be set again; ``None`` if no sun shines there."""
    if not lit.place.is_daylit:
        return None
    ahead = _days_ahead(garden, lit, day)
    hours = light_on(lit.place, ahead[len(ahead) // 2], garden.sky).sun_hours
    return daylight_on(garden.tariff.zone if garden.tariff else None, day, hours) if hours else None


def _who_comes(lit: LitPlace) -> str:
    return "Seedlings arrive under this lamp." if lit.kind == "nursery" else "Plants arrive under this lamp."


def _why_then(garden: Garden, lit: LitPlace, setting: TimerSetting) -> str:
    """Say why the lamp runs at that time of day, if other times may cost more."""
    if setting.hours >= 24 or garden.tariff is None or garden.tariff.is_flat:
        return ""
    bound = " that overlap the daylight" if lit.place.is_daylit else ""
    return f" These are the cheapest hours in a row{bound}."


def _length(minutes: int) -> str:
    return counted(minutes // 60, "hour") if minutes % 60 == 0 else counted(minutes, "minute")
