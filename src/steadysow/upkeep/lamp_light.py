"""The light of places beside the light that their crops' figures assume, and how a lamp could close the gap.

Takes a garden and a plan; gives `LightGiven` values and sentences, and the hours or brightness that make a daily light.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from steadysow.amounts import listed
from steadysow.growth.daylight import light_on
from steadysow.growth.rates import dli_from_ppfd
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden, Lamp
from steadysow.plan.plan import Plan
from steadysow.upkeep.lit_places import days_in_tote

# By choice: light this near to what the figures assume is right.
_NEAR = 0.05

_ALL_DAY_HOURS = 24.0


@dataclass(frozen=True, slots=True, kw_only=True)
class LightGiven:
    """The light at a place over some days, beside the light that its crops' figures assume.

    Attributes
    ----------
    place
        The name of the place.
    lamp_mol, daylight_mol
        Mean light over the days on which plants stand there [mol m-2 d-1].
    asked_mol
        Least and most light at which the crops' figures were measured [mol m-2 d-1].
    crops
        The names of the crops that stand there.
    """

    place: str
    lamp_mol: float
    daylight_mol: float
    asked_mol: tuple[float, float]
    crops: tuple[str, ...]

    @property
    def sentence(self) -> str:
        """The light in words."""
        parts = [("the lamp", self.lamp_mol), ("the sun", self.daylight_mol)]
        gives = " and ".join(f"{source} gives {mol:.1f} mol" for source, mol in parts if mol > 0) or "there is no light"
        least, most = (f"{mol:g}" for mol in self.asked_mol)
        asked = least if least == most else f"{least} to {most}"
        daily = " a day" if self.lamp_mol or self.daylight_mol else ""
        return f"At {self.place} {gives}{daily}. The crops' figures assume {asked} mol."


def hours_for(dli_mol: float, ppfd: float, brightness: float = 1.0) -> float:
    """Give the hours a day in which a lamp makes a daily light [h]; more than 24 if the lamp is too dim.

    Equation: ``h = DLI / (0.0036 PPFD b)``, the inverse of `dli_from_ppfd`.

    Parameters
    ----------
    dli_mol
        Daily light integral [mol m-2 d-1].
    ppfd
        Photosynthetic photon flux density at leaf height and full brightness [umol m-2 s-1].
    brightness
        The brightness of the lamp (above 0, up to 1).

    Raises
    ------
    ZeroDivisionError
        If the lamp gives no light.
    """
    return dli_mol / dli_from_ppfd(ppfd * brightness, 1)


def brightness_for(dli_mol: float, ppfd: float, hours: float) -> float:
    """Give the brightness at which a lamp makes a daily light in some hours; above 1 if the lamp is too dim.

    Equation: ``b = DLI / (0.0036 PPFD h)``.

    Parameters
    ----------
    dli_mol
        Daily light integral [mol m-2 d-1].
    ppfd
        Photosynthetic photon flux density at leaf height and full brightness [umol m-2 s-1].
    hours
        How long the lamp runs a day [h].

    Raises
    ------
    ZeroDivisionError
        If the lamp gives no light, or never runs.
    """
    return dli_mol / dli_from_ppfd(ppfd, hours)


def light_given(garden: Garden, plan: Plan, first_on: date, until_on: date) -> tuple[LightGiven, ...]:
    """Give the light of each place with plants in a span, beside the light that the crops' figures assume.

    Parameters
    ----------
    garden
        The garden.
    plan
        The plan with the journal applied.
    first_on, until_on
        The span, half open.
    """
    found = []
    for place in garden.places:
        days: set[date] = set()
        standing: dict[str, float] = {}
        for batch in plan.batches:
            stay = {day for day in days_in_tote(batch, until_on) if day >= first_on}
            if stay and batch.place == place.name:
                days |= stay
                standing[batch.crop] = garden.crops[batch.crop].growth.at_dli_mol
        lights = [light_on(place, day, garden.sky) for day in sorted(days)]
        if lights:
            given = LightGiven(
                place=place.name,
                lamp_mol=sum(light.lamp_mol for light in lights) / len(lights),
                daylight_mol=sum(light.daylight_mol for light in lights) / len(lights),
                asked_mol=(min(standing.values()), max(standing.values())),
                crops=tuple(sorted(standing)),
            )
            found.append(given)
    return tuple(found)


def light_sentences(garden: Garden, given: LightGiven) -> tuple[str, ...]:
    """Say what light a place gives and its crops' figures assume and, if the two differ, how to set the lamp."""
    lamp = garden.place(given.place).lamp
    remedy = "" if lamp is None else _remedy(lamp, given, [garden.crops[name] for name in given.crops])
    return (given.sentence, remedy) if remedy else (given.sentence,)


def _remedy(lamp: Lamp, given: LightGiven, crops: list[Crop]) -> str:
    # A lamp that makes up for a dark window follows the sun, day by day.
    if lamp.ppfd is None or lamp.hours is None or lamp.up_to_dli_mol is not None:
        return ""
    least, most = given.asked_mol
    there = given.lamp_mol + given.daylight_mol
    if there < (1 - _NEAR) * least:
        hours = hours_for(least - given.daylight_mol, lamp.ppfd, lamp.brightness)
        if hours > _ALL_DAY_HOURS:
            return f"The lamp at {given.place} is too dim to reach {least:g} mol in a day."
        flowering = [
            crop.name
            for crop in crops
            if crop.growth.bolting and (crop.growth.bolting.longest_day_hours or _ALL_DAY_HOURS) < hours
        ]
        but = f" But days that long make {listed(flowering)} flower." if flowering else ""
        return f"Run the lamp at {given.place} {hours:.1f} hours a day to reach {least:g} mol.{but}"
    if there > (1 + _NEAR) * most and given.daylight_mol < most:
        dimmed = brightness_for(most - given.daylight_mol, lamp.ppfd, lamp.hours)
        hours_text = f"{lamp.hours:g} hour{'' if lamp.hours == 1 else 's'}"
        return f"Dim the lamp at {given.place} to {dimmed:.0%} for its {hours_text}, to come down to {most:g} mol."
    return ""
