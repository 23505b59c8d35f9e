"""The forecast of one sowing at one place: its dated stages, its weight, and the reasons.

Takes a crop, the places of nursery and tote, the sky and the day of sowing; gives a `Forecast`, and sentences that
compare light and temperature there with those of the profile, or say what prevents the harvest.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Literal

from steadysow.amounts import Units, temperature_text, weight_text
from steadysow.growth.daylight import Conditions, conditions_at
from steadysow.growth.timeline import GrowingPlace, emerges_on, paces, transplant_window
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Place, Sky

# How far ahead of its sowing a harvest is looked for [d].
LONGEST_DAYS = 400

# What ends a sowing without a harvest.
End = Literal["seeds", "seedlings", "closed", "frost", "slow", "bolts"]

# A difference smaller than this share is not mentioned.
_NEGLIGIBLE = 0.02

_ONE_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Forecast:
    """The stages of one sowing; a stage that it never reaches is ``None``.

    Attributes
    ----------
    place, sown_on
        Where it grows, and when it is sown.
    emerges_on, planted_on, ready_on, latest_on
        The days of emergence and transplant, the day of the first harvest, and the last day that harvest can wait for.
    bolts_on
        The first day on which it has bolted.
    grams
        The weight of one plant at the first harvest, at the profile's spacing [g].
    dli_mol, temperature_c
        Means from transplant to the first harvest; without a harvest, over the days of the profile [mol m-2 d-1],
        [degree C].
    light_pace, warmth_pace, pace
        Pace of growth by light, by temperature and by both, as means over the same days; 1 at the profile's conditions
        [-].
    end
        What prevents the harvest, or ``None``.
    closed_on
        The first day after transplant on which the place is not in use, or ``None``.
    """

    place: Place
    sown_on: date
    emerges_on: date | None = None
    planted_on: date | None = None
    ready_on: date | None = None
    latest_on: date | None = None
    bolts_on: date | None = None
    grams: float = 0.0
    dli_mol: float = 0.0
    temperature_c: float = 0.0
    light_pace: float = 0.0
    warmth_pace: float = 0.0
    pace: float = 0.0
    end: End | None = None
    closed_on: date | None = None


def forecast(crop: Crop, place: Place, sown_on: date, *, nursery: Place, sky: Sky | None) -> Forecast:
    """Follow one sowing to its first harvest, with each stage on its first possible day.

    Parameters
    ----------
    crop, sown_on
        What is sown, and when.
    place, nursery
        Where it grows, and where its seedlings wait.
    sky
        The garden's daylight, or ``None`` if the sun lights neither place.
    """
    crop, there = crop.at(place.name), conditions_at(place, sown_on, LONGEST_DAYS, sky)
    seedbed = there if crop.sown_in == "pot" else conditions_at(nursery, sown_on, LONGEST_DAYS, sky)
    up_on = emerges_on(crop, sown_on, seedbed)
    window = transplant_window(crop, sown_on, seedbed)
    if up_on is None or window is None:
        return Forecast(place=place, sown_on=sown_on, emerges_on=up_on, end="seeds" if up_on is None else "seedlings")
    planted_on = window[0]
    closed_on = there.first_closed(planted_on)
    known = Forecast(place=place, sown_on=sown_on, emerges_on=up_on, planted_on=planted_on, closed_on=closed_on)
    if closed_on == planted_on:
        return replace(known, end="closed", emerges_on=None if crop.sown_in == "pot" else up_on)
    growing = GrowingPlace(crop, there)
    due_on, bolts_on = growing.first_due(planted_on), growing.bolts_on(planted_on)
    known = replace(_paced(known, crop, there, due_on), bolts_on=bolts_on)
    if closed_on is not None and (due_on is None or closed_on < due_on):
        return replace(known, end="frost")
    if due_on is None:
        return replace(known, end="slow")
    latest_on = growing.latest(due_on, planted_on)
    if latest_on is None:
        return replace(known, end="bolts")
    return replace(
        known,
        ready_on=due_on,
        latest_on=latest_on if closed_on is None else min(latest_on, closed_on),
        grams=growing.grams(1, planted_on, due_on, 1 / crop.plants_per_m2),
    )


def why(crop: Crop, known: Forecast, units: Units) -> str:
    """Explain a forecast in a few sentences.

    Parameters
    ----------
    crop
        The crop.
    known
        Its forecast.
    units
        Units of temperatures and weights.
    """
    return " ".join(_why(crop.at(known.place.name), known, units))


def _why(crop: Crop, known: Forecast, units: Units) -> Iterator[str]:
    if known.end == "seeds":
        listed = [listed_c for listed_c, days in crop.emergence if days is not None]
        low, high = (temperature_text(each_c, units) for each_c in (min(listed), max(listed)))
        yield f"Seeds do not come up where they are sown: published figures run from {low} to {high}."
        return
    if known.end == "seedlings":
        yield (
            "Seedlings come up, but never grow large enough to be planted: the nursery is too dark, too cold or too "
            "hot, or is not in use long enough."
        )
        return
    if known.end == "closed":
        when = "when it would be sown" if crop.sown_in == "pot" else "when the seedlings could be planted"
        yield f"The place is not in use on {_day(known.planted_on)}, {when}."
        return
    yield _pace(crop, known, units)
    if known.end == "frost":
        yield f"It is not ready before the place goes out of use on {_day(known.closed_on)}."
    elif known.end == "slow":
        yield "It would not be ready within a year."
    elif known.end == "bolts":
        yield f"It bolts by {_day(known.bolts_on)}, before it is ready: {_limits(crop, units)}."
    elif known.bolts_on is not None and known.latest_on == known.bolts_on - _ONE_DAY:
        yield f"It bolts by {_day(known.bolts_on)}, so it cannot wait longer: {_limits(crop, units)}."
    most = crop.harvest.grams[0]
    if known.ready_on is not None and known.grams < most * (1 - _NEGLIGIBLE):
        made = f"{weight_text(known.grams, units)} of the {weight_text(most, units)} in the profile"
        yield f"At the profile's spacing the light makes {made}."


def _pace(crop: Crop, known: Forecast, units: Units) -> str:
    assert known.planted_on is not None, "only a planted crop has a pace"
    growth = crop.growth
    here = f"{known.dli_mol:.1f} mol of light a day and {temperature_text(known.temperature_c, units)}"
    profile = f"{growth.at_dli_mol:g} mol and {temperature_text(growth.at_c, units)}"
    if known.ready_on is None:
        days = "."
    else:
        days = f": {(known.ready_on - known.planted_on).days} days instead of {crop.harvest.first_days:.3g}."
    return (
        f"At {here} it grows at {known.pace:.0%} of its pace at {profile} "
        f"(light {known.light_pace:.0%}, warmth {known.warmth_pace:.0%}){days}"
    )


def _limits(crop: Crop, units: Units) -> str:
    bolting = crop.growth.bolting
    assert bolting is not None, "a crop that bolts has a limit"
    limits = [f"days longer than {bolting.longest_day_hours:g} hours"] if bolting.longest_day_hours is not None else []
    limits += [f"more than {temperature_text(bolting.above_c, units)}"] if bolting.above_c is not None else []
    return f"it tolerates {bolting.after_days} days of {' or '.join(limits)}"


def _paced(known: Forecast, crop: Crop, there: Conditions, due_on: date | None) -> Forecast:
    """Add the means from transplant until it is ready, the place closes, or it should have been ready."""
    assert known.planted_on is not None, "only a planted crop has a pace"
    start = there.index(known.planted_on)
    should_be_on = known.planted_on + round(crop.harvest.first_days) * _ONE_DAY
    end = there.index(min(due_on or should_be_on, known.closed_on or date.max, there.until_on - _ONE_DAY))
    warmth, light = there.temperature_c[start:end], there.dli_mol[start:end]
    each = [paces(crop, *day) for day in zip(warmth, light, strict=True)]
    days = max(1, len(each))
    return replace(
        known,
        dli_mol=sum(light) / days,
        temperature_c=sum(warmth) / days,
        warmth_pace=sum(by_warmth for by_warmth, _ in each) / days,
        light_pace=sum(by_light for _, by_light in each) / days,
        pace=sum(by_warmth * by_light for by_warmth, by_light in each) / days,
    )


def _day(day: date | None) -> str:
    assert day is not None, "only known days are shown"
    return f"{day.day} {day:%b %Y}"
