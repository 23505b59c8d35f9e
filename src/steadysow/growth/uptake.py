"""How much water plants drink, day by day: little as seedlings, most when grown.

Takes what a plant weighs at its harvests, and the light of its days; gives litres for each day.  Hides the curve from
seedling to grown plant, and what is drunk by plants that are never harvested.  Warmth is left out: no published figure
of its effect on a litre a kilogram was found.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from steadysow.inputs.crops import Crop

# The share of a still tote's water that plants may draw: stop when less than a tenth remains (Kratky 2004, Acta Hort.
# 648:83-89).
USABLE_WATER = 0.9

# What a plant drinks a day when it enters its tote, of what it drinks when grown: a seedling of lettuce 0.01 to 0.03
# litres, a grown head 0.1 to 0.25 (from memory), so a tenth.
SEEDLING_SHARE = 0.1

# Estimate: what a plant that was cut back drinks at first, of what it drinks when grown; a third of its leaves stay.
CUT_SHARE = 1 / 3


@dataclass(frozen=True, slots=True, kw_only=True)
class GrowthSpell:
    """Days in which a plant grows towards a harvest, or would.

    Attributes
    ----------
    from_on, until_on
        The first day; the day of the harvest, or on which it is out, which is not part of it.
    litres
        What it drinks in all [L].
    first_share
        What it drinks a day at first, of what it drinks a day when grown (0 to 1).
    growing_days
        After how many days it is grown; may lie beyond the spell [d].
    """

    from_on: date
    until_on: date
    litres: float
    first_share: float
    growing_days: float


def litres_a_gram(crop: Crop) -> float:
    """Give the water that a gram of harvest takes, by the profile [L g-1]."""
    return crop.litres_a_plant / sum(crop.harvest.grams)


def spells(
    crop: Crop, entered_on: date, left_on: date, harvests: Sequence[tuple[date, float]]
) -> tuple[GrowthSpell, ...]:
    """Give the spells of growth of one plant in its tote.

    A plant drinks for what it comes to weigh, so that one in little light, which grows little, drinks little.  What is
    never harvested drinks as the profile has it on the way to its next harvest, and goes on so when it is grown.

    Parameters
    ----------
    crop
        The crop.
    entered_on, left_on
        The day it enters its tote, and the day it is out.
    harvests
        The day and the grams of each of its harvests [g]; those of one day count together, and those outside of its
        time in the tote not at all.
    """
    grams: dict[date, float] = defaultdict(float)
    for on, each in sorted(harvests):
        if entered_on < on <= left_on:
            grams[on] += each
    if left_on <= entered_on:
        return ()
    if crop.is_fruit:
        return (_fruit_spell(crop, entered_on, left_on, grams),)
    found, start, share = [], entered_on, SEEDLING_SHARE
    for on, each in grams.items():
        litres = litres_a_gram(crop) * each
        found.append(
            GrowthSpell(from_on=start, until_on=on, litres=litres, first_share=share, growing_days=(on - start).days)
        )
        start, share = on, CUT_SHARE
    if start < left_on:
        found.append(_unharvested(crop, start, left_on, share, done=len(grams)))
    return tuple(found)


def litres_by_day(spell: GrowthSpell, dli_mol: Sequence[float]) -> tuple[float, ...]:
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
    # In the dark there is nothing to tell the days apart by.
    light = dli_mol if sum(dli_mol) > 0 else [1.0] * days
    sizes = _sizes(spell.first_share, spell.growing_days, days)
    weights = [size * each for size, each in zip(sizes, light, strict=True)]
    return tuple(spell.litres * weight / sum(weights) for weight in weights)


def _sizes(first_share: float, growing_days: float, days: float) -> list[float]:
    """Give what a plant drinks on each of its first days, of what it drinks when grown, if all are alike in light."""
    growing = max(1.0, growing_days)
    whole_days = max(1, round(days))
    return [first_share + (1 - first_share) * min(1.0, (day + 0.5) / growing) for day in range(whole_days)]


def _unharvested(crop: Crop, from_on: date, until_on: date, share: float, *, done: int) -> GrowthSpell:
    """Give the spell after so many harvests, of a plant that leaves before the next."""
    harvest, days = crop.harvest, (until_on - from_on).days
    growing_days = (harvest.between_days if done else 0) or harvest.first_days
    grown_litres = litres_a_gram(crop) * harvest.grams[min(done, len(harvest.grams) - 1)]
    lived, whole = (sum(_sizes(share, growing_days, each)) for each in (days, growing_days))
    return GrowthSpell(
        from_on=from_on,
        until_on=until_on,
        litres=grown_litres * lived / whole,
        first_share=share,
        growing_days=growing_days,
    )


def _fruit_spell(crop: Crop, from_on: date, until_on: date, grams: Mapping[date, float]) -> GrowthSpell:
    """Give the one spell of a plant that bears fruit: before it hangs, the plant has drunk for its leaves.

    So it drinks as much of the profile's litres as it lives of the profile's life, by its last harvest where it has
    any, and more or less as its fruit is heavier or lighter than the profile's.
    """
    harvest, done = crop.harvest, min(len(grams), len(crop.harvest.grams))
    growing_days = (min(grams) - from_on).days if grams else harvest.first_days
    lived_days = harvest.first_days + (done - 1) * harvest.between_days if grams else (until_on - from_on).days
    whole_days = harvest.first_days + (len(harvest.grams) - 1) * harvest.between_days
    lived, whole = (sum(_sizes(SEEDLING_SHARE, harvest.first_days, days)) for days in (lived_days, whole_days))
    heavier = sum(grams.values()) / sum(harvest.grams[:done]) if grams else 1.0
    return GrowthSpell(
        from_on=from_on,
        until_on=until_on,
        litres=crop.litres_a_plant * heavier * lived / whole,
        first_share=SEEDLING_SHARE,
        growing_days=growing_days,
    )
