"""How many seeds to sow, so that enough cells have a seedling with a chosen chance.

Takes counts and chances, or a crop with its packet; gives chances and numbers of seeds.  Hides how seeds age.
"""

from __future__ import annotations

from math import ceil, comb, exp, lgamma, log

from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Packet

# estimate: at the end of their published life half of the seeds that germinated when fresh still do; in between the
# share falls on a straight line [share].
LEFT_AT_END_OF_LIFE = 0.5

# estimate: an old packet keeps at least this share of its first percentage, so that a number of seeds can be given.
LEAST_LEFT = 0.05

# Our choice: if a cell would need more seeds than this, it is time for a new packet.
MOST_SEEDS_A_CELL = 40

# By choice: with more cells than this the terms are computed by their logarithms, since whole numbers get too large.
MOST_EXACT = 1000

# Two equal chances may differ by rounding.
TOLERANCE = 1e-12


def percent_now(crop: Crop, packet: Packet | None, year: int) -> float:
    """Give the percentage of seeds that germinate in a year [%].

    Equation: ``p (1 - 0.5 a / L)``, at least ``0.05 p``; a: age, L: published life [a].  p is the percentage on the
    packet or, without one, the profile's: the least percentage that seed may be sold with, [cfr-201-31].

    References
    ----------
    The life of seeds: [knott-1997].  That half are left at its end, on a straight line, is an estimate: seeds that are
    kept cool and dry last longer, seeds in a warm kitchen less long.

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
    """Give the chance that a cell with some seeds has a seedling [0 to 1].

    Equation: ``1 - (1 - p)^s``: a cell fails if all its seeds fail.

    Parameters
    ----------
    percent
        Percentage of seeds that germinate [%].
    seeds
        Seeds in the cell.
    """
    return 1.0 - (1.0 - percent / 100) ** seeds


def cell_success(crop: Crop) -> float:
    """Give the chance that a cell of a crop has a seedling, by the profile alone [0 to 1]."""
    return cell_chance(crop.germination_percent, crop.seeds_a_cell)


def cells_for(crop: Crop, plants: int) -> int:
    """Count the cells to sow, so that the expected number of seedlings is at least the number of plants.

    A crop sown in its pot gets no spare cells.
    """
    return plants if crop.sown_in == "pot" else max(plants, ceil(plants / cell_success(crop) - 1e-9))


def chance_of_enough(needed: int, sown: int, chance: float) -> float:
    """Give the chance that at least `needed` of `sown` succeed independently [0 to 1].

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
    """Give the fewest seeds a cell with which enough cells have a seedling, and no fewer than the profile says.

    A clump consists of many seedlings: if fewer seeds germinate than in the profile, it gets more seeds in proportion.

    Parameters
    ----------
    crop
        The crop.
    plants, cells
        Cells that must have a seedling, and cells that are sown.
    percent
        Percentage of seeds that germinate [%].
    confidence
        The least chance of enough seedlings [0 to 1].

    Returns
    -------
    int
        Seeds a cell; `MOST_SEEDS_A_CELL`, or the profile's larger number, if more would be needed.
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
