"""How many seeds to sow: the chance that enough cells hold a seedling, and the seeds a cell that make it large enough.

Takes counts and chances, or a crop with its packet; gives chances and numbers of seeds.  Hides how seeds age.
"""

from __future__ import annotations

from math import ceil, comb, exp, lgamma, log

from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Packet

# estimate: at the end of their published life half as many seeds germinate as when they were fresh, on a straight line
# [share].
LEFT_AT_END_OF_LIFE = 0.5

# estimate: the least share of its first percentage that an old packet is counted with, so that a number can be told.
LEAST_LEFT = 0.05

# Our choice: with more seeds than this in a cell it is time for a new packet.
MOST_SEEDS_A_CELL = 40

# By choice: with more cells than this the terms are too large for exact whole numbers, and go by their logarithms.
MOST_EXACT = 1000

# Two chances that are equal on paper may differ by rounding.
TOLERANCE = 1e-12


def percent_now(crop: Crop, packet: Packet | None, year: int) -> float:
    """Give the percentage of seeds that germinate in a year [%].

    Equation: ``p (1 - 0.5 a / L)``, at least ``0.05 p``; a: age, L: published life [a].  p is what the packet promises
    or, where it does not say, the profile's percentage: the least that seed may be sold with, [cfr-201-31].

    References
    ----------
    The life of seeds: [knott-1997].  That half are left at its end, on a straight line, is an estimate:
    seeds kept cool and dry last longer, in a warm kitchen not so long.

    Parameters
    ----------
    crop
        The crop.
    packet
        The packet at hand, or ``None`` for fresh seeds.
    year
        The year of sowing.
    """
    percent = crop.germination_percent if packet is None or packet.percent is None else packet.percent
    age = 0 if packet is None or packet.packed_in is None else max(0, year - packet.packed_in)
    left = 1 - (1 - LEFT_AT_END_OF_LIFE) * age / crop.seeds_keep_years
    return percent * max(LEAST_LEFT, left)


def cell_chance(percent: float, seeds: int) -> float:
    """Give the chance that a cell with so many seeds holds a seedling [0 to 1].

    Equation: ``1 - (1 - p)^s``: it fails if all its seeds do.

    Parameters
    ----------
    percent
        Percentage of seeds that germinate [%].
    seeds
        Seeds in the cell.
    """
    return 1.0 - (1.0 - percent / 100) ** seeds


def cell_success(crop: Crop) -> float:
    """Give the chance that a cell of a crop holds a seedling, by the profile alone [0 to 1]."""
    return cell_chance(crop.germination_percent, crop.seeds_a_cell)


def cells_for(crop: Crop, plants: int) -> int:
    """Count the cells to sow so that the expected seedlings are at least as many as the plants.

    A crop sown in its pot gets no spare cells.
    """
    return plants if crop.sown_in == "pot" else max(plants, ceil(plants / cell_success(crop) - 1e-9))


def chance_of_enough(needed: int, sown: int, chance: float) -> float:
    """Give the chance that at least `needed` of `sown` succeed, each by itself [0 to 1].

    Equation: the upper tail of the binomial distribution, summed term by term over the shorter side; exact up to
    rounding, and to about 1e-10 for more than a thousand.

    Parameters
    ----------
    needed, sown
        How many must succeed, and how many there are.
    chance
        The chance of each [0 to 1].
    """
    if not 0 < chance < 1:
        return float(needed <= sown * chance)

    def exactly(number: int) -> float:
        if sown > MOST_EXACT:
            ways = lgamma(sown + 1) - lgamma(number + 1) - lgamma(sown - number + 1)
            return exp(ways + number * log(chance) + (sown - number) * log(1 - chance))
        return comb(sown, number) * chance**number * (1 - chance) ** (sown - number)

    if 2 * needed > sown:
        return min(1.0, sum(exactly(number) for number in range(sown, needed - 1, -1)))
    return max(0.0, 1.0 - sum(exactly(number) for number in range(needed)))


def seeds_a_cell(crop: Crop, *, plants: int, cells: int, percent: float, confidence: float) -> int:
    """Give the fewest seeds a cell with which enough cells hold a seedling, and no fewer than the profile says.

    A clump is made of many seedlings: where fewer seeds germinate than the profile counts on, it gets as many more.

    Parameters
    ----------
    crop
        The crop.
    plants, cells
        Cells that must hold a seedling, and cells that are sown.
    percent
        Percentage of seeds that germinate [%].
    confidence
        The chance that it must be at least [0 to 1].

    Returns
    -------
    Seeds a cell; `MOST_SEEDS_A_CELL` or the profile's number where more would be needed.
    """
    seeds = crop.seeds_a_cell
    if crop.plants_a_hole > 1 and percent < crop.germination_percent:
        seeds = min(MOST_SEEDS_A_CELL, ceil(seeds * crop.germination_percent / percent - TOLERANCE))
    seeds = max(seeds, crop.seeds_a_cell)
    while seeds < MOST_SEEDS_A_CELL:
        if chance_of_enough(plants, cells, cell_chance(percent, seeds)) >= confidence - TOLERANCE:
            break
        seeds += 1
    return seeds
