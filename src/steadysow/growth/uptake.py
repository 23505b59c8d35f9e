"""How much water plants drink, day by day: little as seedlings, most when grown.

Takes what a plant weighs at its harvests, and the light of its days; gives litres for each day.  Hides the curve from
seedling to grown plant.  Warmth is left out: no published figure of its effect on a litre a kilogram was found.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from steadysow.inputs.crops import Crop

# What a plant drinks a day when it enters its tote, of what it drinks when grown: a seedling of lettuce 0.01 to 0.03
# litres, a grown head 0.1 to 0.25 (from memory), so a tenth.
SEEDLING_SHARE = 0.1

# Estimate: what a plant that was cut back drinks at first, of what it drinks when grown; a third of its leaves stay.
CUT_SHARE = 1 / 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Spell:
    """Days in which a plant grows towards a harvest.

    Attributes
    ----------
    from_on, until_on
        The first day; the day of the harvest, which is not part of it.
    litres
        What it drinks in all [L].
    first_share
        What it drinks a day at first, of what it drinks a day when grown (0 to 1).
    grown_on
        The day from which it is grown.
    """

    from_on: date
    until_on: date
    litres: float
    first_share: float
    grown_on: date


def litres_a_gram(crop: Crop) -> float:
    """Give the water that a gram of harvest takes, by the profile [L g-1]."""
    return crop.litres_a_plant / sum(crop.harvest.grams)


def spells(crop: Crop, entered_on: date, left_on: date, harvests: Sequence[tuple[date, float]]) -> tuple[Spell, ...]:
    """Give the spells of growth of one plant in its tote.

    A plant drinks for what it comes to weigh, so that one in little light, which grows little, drinks little.  One
    that is never harvested drinks as much of the profile's litres as it lives of the profile's days.

    Parameters
    ----------
    crop
        The crop.
    entered_on, left_on
        The day it enters its tote, and the day it is out.
    harvests
        The day and the grams of each of its harvests, rising [g].
    """
    if not harvests:
        days = (left_on - entered_on).days
        litres = crop.litres_a_plant * min(1.0, days / _days_by_profile(crop))
        return (_spell(entered_on, left_on, litres, SEEDLING_SHARE),) if days > 0 else ()
    drunk = [litres_a_gram(crop) * grams for _, grams in harvests]
    if crop.is_fruit:
        # Fruit hangs on a plant that has drunk for its leaves long before.
        last_on = max(left_on, harvests[-1][0])
        return (_spell(entered_on, last_on, sum(drunk), SEEDLING_SHARE, grown_on=harvests[0][0]),)
    ends = [on for on, _ in harvests]
    starts = [entered_on, *ends[:-1]]
    shares = [SEEDLING_SHARE, *[CUT_SHARE] * (len(ends) - 1)]
    return tuple(
        _spell(start, end, each, share)
        for start, end, each, share in zip(starts, ends, drunk, shares, strict=True)
        if end > start
    )


def litres_by_day(spell: Spell, dli_mol: Sequence[float]) -> tuple[float, ...]:
    """Give what a plant drinks on each day of a spell, all together its litres [L].

    Of two days on which it is as large, it drinks in proportion to their light: a mol of light makes so many grams, as
    the profile says, and a gram takes so many litres.

    Parameters
    ----------
    spell
        The spell.
    dli_mol
        The light of each of its days [mol m-2 d-1].
    """
    days = (spell.until_on - spell.from_on).days
    assert len(dli_mol) == days
    growing_days = max(1, (spell.grown_on - spell.from_on).days)
    sizes = [spell.first_share + (1 - spell.first_share) * min(1.0, (day + 0.5) / growing_days) for day in range(days)]
    # In the dark there is nothing to tell the days apart by.
    light = dli_mol if sum(dli_mol) > 0 else [1.0] * days
    weights = [size * each for size, each in zip(sizes, light, strict=True)]
    return tuple(spell.litres * weight / sum(weights) for weight in weights)


def _spell(from_on: date, until_on: date, litres: float, share: float, *, grown_on: date | None = None) -> Spell:
    return Spell(from_on=from_on, until_on=until_on, litres=litres, first_share=share, grown_on=grown_on or until_on)


def _days_by_profile(crop: Crop) -> float:
    """Give the days from transplant to the last harvest by the profile [d]."""
    return crop.harvest.first_days + (len(crop.harvest.grams) - 1) * crop.harvest.between_days
