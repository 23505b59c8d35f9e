"""How much water plants drink on each day: little as seedlings, most when grown.

Takes the weight of a plant at its harvests, and the light of its days; gives litres for each day.  Hides the curve from
seedling to grown plant, and the water of plants that are never harvested.  Temperature is left out: no published figure
of its effect on the litres a kilogram was found.
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

# The daily water of a plant that enters its tote, as a share of that when grown: a seedling of lettuce drinks 0.01 to
# 0.03 litres, a grown head 0.1 to 0.25 (from memory), so a tenth.
SEEDLING_SHARE = 0.1

# Estimate: the daily water of a plant right after a cut, as a share of that when grown; a third of its leaves stay.
CUT_SHARE = 1 / 3


@dataclass(frozen=True, slots=True, kw_only=True)
class GrowthSpell:
    """Days in which a plant grows towards a harvest, even one that it does not reach.

    Attributes
    ----------
    from_on, until_on
        The first day; the day of the harvest, or on which the plant is out. That day is not included.
    litres
        All water it drinks [L].
    first_share
        Its daily water at first, as a share of that when grown (0 to 1).
    growing_days
        Days until it is grown; may be more than the days of the spell [d].
    """

    from_on: date
    until_on: date
    litres: float
    first_share: float
    growing_days: float


def litres_a_gram(crop: Crop) -> float:
    """Give the water for a gram of harvest, by the profile [L g-1]."""
    return crop.litres_a_plant / sum(crop.harvest.grams)


def spells(
    crop: Crop, entered_on: date, left_on: date, harvests: Sequence[tuple[date, float]]
) -> tuple[GrowthSpell, ...]:
    """Give the spells of growth of one plant in its tote.

    A plant drinks in proportion to the weight it reaches, so a plant in little light drinks little.  A plant that is
    never harvested drinks what the profile has for the way to its next harvest, and when grown the same each day.

    Parameters
    ----------
    crop
        The crop.
    entered_on, left_on
        The day it enters its tote, and the day it is out.
    harvests
        The day and the grams of each of its harvests [g]. Those of one day count together; those outside of its time in
        the tote do not count.
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
    """Give what a plant drinks on each day of a spell, which adds up to its litres [L].

    At the same size it drinks in proportion to the light of the day: by the profile a mol of light makes a certain
    weight, and that weight takes a certain amount of water.

    Parameters
    ----------
    spell
        The spell.
    dli_mol
        The light of each of its days [mol m-2 d-1].
    """
    days = (spell.until_on - spell.from_on).days
    assert len(dli_mol) == days
    # Without any light all days count the same.
    light = dli_mol if sum(dli_mol) > 0 else [1.0] * days
    sizes = _sizes(spell.first_share, spell.growing_days, days)
    weights = [size * each for size, each in zip(sizes, light, strict=True)]
    return tuple(spell.litres * weight / sum(weights) for weight in weights)


def _sizes(first_share: float, growing_days: float, days: float) -> list[float]:
    """Give the water of each of a plant's first days, as a share of that when grown, in even light."""
    growing = max(1.0, growing_days)
    whole_days = max(1, round(days))
    return [first_share + (1 - first_share) * min(1.0, (day + 0.5) / growing) for day in range(whole_days)]


def _unharvested(crop: Crop, from_on: date, until_on: date, share: float, *, done: int) -> GrowthSpell:
    """Give the spell after `done` harvests of a plant that leaves before the next one."""
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
    """Give the one spell of a fruit plant, which drinks for its leaves before it has any fruit.

    It drinks the share of the profile's litres that it lives of the profile's life, counted to its last harvest if it
    has one; and more, or less, if its fruit is heavier, or lighter, than the profile's.
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
