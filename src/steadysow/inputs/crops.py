"""Crop profiles: the published figures of a crop, and where each of them comes from.

Gives the frozen type `Crop`, which `crop_files` reads, and whether two crops can share a tote (`share_reservoir`).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

System = Literal["dwc", "kratky"]
HarvestKind = Literal["head", "cut", "pick"]


@dataclass(frozen=True, slots=True, kw_only=True)
class HarvestFigures:
    """How and when a crop is harvested; spans count days at the conditions named in `Growth`.

    Attributes
    ----------
    kind
        ``head``: a plant taken whole, once; ``cut``: one harvest of a plant that regrows; ``pick``: one picking of
        fruit.
    first_days
        Days from transplant to the first harvest, including the standstill after transplant [d].
    between_days
        Days from one cut or pick until the next is due [d]; 0 for a head.
    window_days
        Days a due harvest may wait: the days a head holds, the slack of a cut or a pick [calendar d]. A harvest due on
        day ``due`` may be taken on any day of the half open range from ``due`` to ``due + window_days``.
    grams
        Fresh weight of one plant at each harvest, first to last [g]; its length is the most harvests of a plant.
    """

    kind: HarvestKind
    first_days: float
    between_days: float
    window_days: int
    grams: tuple[float, ...]

    @property
    def most(self) -> int:
        """The most harvests one plant can give."""
        return len(self.grams)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bolting:
    """What makes a plant bolt; a plant that has bolted is not harvested any more.

    Attributes
    ----------
    after_days
        Days over a limit after which it has bolted, in a row or not, counted from transplant, or from sowing for a crop
        sown in its pot [d].
    longest_day_hours
        Longest day it tolerates [h], or ``None`` if the length of the day does not matter.
    above_c
        Highest mean temperature of a day that it tolerates [degree C], or ``None`` if warmth does not matter.
    """

    after_days: int
    longest_day_hours: float | None
    above_c: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Growth:
    """How a crop responds to warmth and light.

    Attributes
    ----------
    base_c, optimum_c, ceiling_c
        Cardinal temperatures of development [degree C].
    at_c, at_dli_mol
        The temperature and the daily light for which the profile's days hold [degree C], [mol m-2 d-1].
    half_dli_mol
        Daily light at which development runs at half its most [mol m-2 d-1]; 0 if light does not change the days.
    grams_per_mol
        Fresh weight that light can make [g per mol of photons falling on the plant's share of the lid].
    bolting
        What makes it bolt, or ``None`` if it does not bolt within a season.
    """

    base_c: float
    optimum_c: float
    ceiling_c: float
    at_c: float
    at_dli_mol: float
    half_dli_mol: float
    grams_per_mol: float
    bolting: Bolting | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """Two measured ranges, both ends included: the ideal one and the tolerated one."""

    ideal: tuple[float, float]
    tolerated: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Care:
    """A small job that the crop needs, such as pinching or tapping flowers.

    Attributes
    ----------
    what
        The job, as a part of a sentence.
    after_days
        Days from transplant to the first time [d].
    every_days
        Days between two times [d], or ``None`` for a job done once.
    """

    what: str
    after_days: int
    every_days: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Crop:
    """A crop profile.

    Attributes
    ----------
    name, species
        Common name (unique), botanical name.
    systems
        The systems it can grow in.
    plants_per_m2
        Spacing of full-grown plants for this kind of harvest [m-2].
    lid_holes
        How many plants the lid of a small 11 litre tote carries; used for a tote without measures.
    sown_in
        ``nursery`` or straight in the ``pot``.
    seeds_a_cell, plants_a_hole
        Seeds sown in one cell; plants left in one hole after thinning. Elsewhere a clump counts as one plant.
    emergence
        Days to emergence by temperature: pairs (temperature [degree C], days or ``None`` if no seed emerges), rising.
    germination_percent
        Percentage of seeds expected to germinate [%].
    germination_c
        Cardinal temperatures of germination: least, optimum from, optimum to, most [degree C].
    seeds_keep_years
        Years that seeds live [a].
    nursery_days
        Least and most days from sowing to transplant, both included, at `Growth.at_c` [d].
    transplant_shock_days
        Days of standstill after the roots are washed [d].
    harvest, growth, ec, ph
        See the classes; EC [mS/cm].
    litres_a_plant
        Water one plant takes from transplant to its last harvest [L].
    keeps_days
        Days it keeps in a household fridge [d].
    days_spread, grams_spread
        Relative standard deviation of days and of grams.
    care
        Small jobs.
    sources
        Pairs (dotted field or block of the file, source text).  An estimate's text starts with ``estimate: ``.
    file
        The file it was read from, for messages.
    at_places
        Places where this garden's own record gives other figures, each with its harvest and growth. Never in a file.
    """

    name: str
    species: str
    systems: tuple[System, ...]
    plants_per_m2: float
    lid_holes: int
    sown_in: Literal["nursery", "pot"]
    seeds_a_cell: int
    plants_a_hole: int
    emergence: tuple[tuple[float, float | None], ...]
    germination_percent: float
    germination_c: tuple[float, float, float, float]
    seeds_keep_years: float
    nursery_days: tuple[int, int]
    transplant_shock_days: int
    harvest: HarvestFigures
    growth: Growth
    ec: Band
    ph: Band
    litres_a_plant: float
    keeps_days: int
    days_spread: float
    grams_spread: float
    care: tuple[Care, ...] = ()
    sources: tuple[tuple[str, str], ...] = ()
    file: str = ""
    at_places: tuple[tuple[str, HarvestFigures, Growth], ...] = ()

    @property
    def is_fruit(self) -> bool:
        """Whether it is a fruit crop; fruit stands alone in its tote."""
        return self.harvest.kind == "pick"

    def at(self, place: str) -> Crop:
        """Give the crop as it grows at a place; the crop itself if the record has no figures for that place."""
        for name, harvest, growth in self.at_places:
            if name == place:
                return replace(self, harvest=harvest, growth=growth, at_places=())
        return self


def share_reservoir(first: Crop, second: Crop) -> bool:
    """Say whether two crops may share a tote: they tolerate a common EC and pH, and fruit shares with its own kind."""
    if first.name == second.name:
        return True
    if first.is_fruit or second.is_fruit:
        return False
    return all(
        max(a.tolerated[0], b.tolerated[0]) <= min(a.tolerated[1], b.tolerated[1])
        for a, b in ((first.ec, second.ec), (first.ph, second.ph))
    )
