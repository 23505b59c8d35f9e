"""How well plants use light: grams harvested a mol of light that falls on their share of the lid.

Takes the garden, the crops and batches; gives ready sentences, one for each group of crops, with the published range
beside the garden's own figure.  Hides which crop belongs to which group, and how the published figures come about.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import Literal

from steadysow.amounts import light_use_text
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden, carried, lid_area_m2
from steadysow.planning.plan import Batch

Group = Literal["lettuce", "leaf greens", "herbs", "fruit"]

GROUPS: tuple[Group, ...] = ("lettuce", "leaf greens", "herbs", "fruit")

_HERB_GENERA = {
    "Allium", "Anethum", "Anthriscus", "Coriandrum", "Melissa", "Mentha", "Ocimum", "Origanum", "Petroselinum",
    "Salvia", "Thymus",
}  # fmt: skip

_GRAMS_A_SQUARE_METRE = 453.59237 / 0.3048**2  # in a pound a square foot

# Gagne & Mattson 2019, "Under Control", trade magazine article on baby leaf greens and daily light, table 1: fresh
# weight after 12 days afloat at 12 mol m-2 d-1 [lb ft-2] (seen).
TRIAL_DLI_MOL = 12
TRIAL_DAYS = 12
TRIAL_POUNDS_A_SQUARE_FOOT: Mapping[str, float] = {"collards": 0.35, "lettuce": 0.22, "mizuna": 0.64, "pak choi": 0.37}

# Rutgers Univ. Horticultural Engineering, "Lettuce Production": 28 heads a square metre, 23 days from transplant to
# harvest (seen).  Brechner & Both, Cornell CEA Hydroponic Lettuce Handbook, index page: 5 ounces a head (seen); 17 mol
# a day for head lettuce as in Gagne & Mattson 2019 (seen).
HEADS_PER_M2 = 28
HEAD_DAYS = 23
HEAD_GRAMS = 142
HEAD_DLI_MOL = 17

_SOURCES: Mapping[Group, str] = {
    "lettuce": "baby leaf in Gagne and Mattson 2019, and heads at the spacing of Rutgers with the weight and light of"
    " Cornell; computed",
    "leaf greens": "collards, pak choi and mizuna as baby leaf at 12 mol a day in Gagne and Mattson 2019; computed",
}


def light_use(garden: Garden, crops: Mapping[str, Crop], batches: Iterable[Batch]) -> tuple[str, ...]:
    """Say for each group of crops how many grams a mol of light makes, and what is published.

    Parameters
    ----------
    garden, crops
        The garden, and the crops by name.
    batches
        Batches of a plan; those that never stand in a tote, or were lost, are left out.
    """
    return tuple(
        _sentence(garden, group, grams_per_mol) for group, grams_per_mol in by_group(garden, crops, batches).items()
    )


def by_group(garden: Garden, crops: Mapping[str, Crop], batches: Iterable[Batch]) -> dict[Group, float]:
    """Give by group the grams harvested over the light that fell on the plants' shares of the lids [g mol-1]."""
    grams: dict[Group, float] = defaultdict(float)
    light_mol: dict[Group, float] = defaultdict(float)
    for batch in batches:
        if batch.state != "lost":
            group = group_of(crops[batch.crop])
            grams[group] += sum(harvest.grams for harvest in batch.harvests)
            light_mol[group] += light_on(garden, crops, batch)
    return {group: grams[group] / light_mol[group] for group in GROUPS if light_mol[group] > 0}


def light_on(garden: Garden, crops: Mapping[str, Crop], batch: Batch) -> float:
    """Give the light that falls on the shares of the lid of a batch, from transplant to clearing [mol]."""
    if batch.transplanted_on is None or batch.cleared_on is None:
        return 0.0
    tote = garden.tote(batch.tote)
    number = carried(crops[batch.crop], tote)
    if number == 0:
        return 0.0
    days = (batch.cleared_on - batch.transplanted_on).days
    return batch.plants * lid_area_m2(tote) / number * days * garden.place(batch.place).lamp.dli_mol


def group_of(crop: Crop) -> Group:
    """Give the group a crop belongs to, by its botanical name."""
    genus = crop.species.split()[0]
    if crop.is_fruit:
        return "fruit"
    if genus == "Lactuca":
        return "lettuce"
    return "herbs" if genus in _HERB_GENERA else "leaf greens"


def published_range(group: Group) -> tuple[float, float] | None:
    """Give the least and the most that published trials of a group come to [g mol-1], or ``None`` if none was found."""
    if group == "lettuce":
        return trial_grams_per_mol("lettuce"), HEADS_PER_M2 * HEAD_GRAMS / (HEAD_DAYS * HEAD_DLI_MOL)
    if group == "leaf greens":
        found = [trial_grams_per_mol(crop) for crop in TRIAL_POUNDS_A_SQUARE_FOOT if crop != "lettuce"]
        return min(found), max(found)
    return None


def trial_grams_per_mol(crop: str) -> float:
    """Give the fresh weight of a crop of the trial over the light that fell on it [g mol-1]."""
    return TRIAL_POUNDS_A_SQUARE_FOOT[crop] * _GRAMS_A_SQUARE_METRE / (TRIAL_DLI_MOL * TRIAL_DAYS)


def _sentence(garden: Garden, group: Group, grams_per_mol: float) -> str:
    verb = "makes" if group in ("lettuce", "fruit") else "make"
    made = f"{group.capitalize()} {verb} {light_use_text(grams_per_mol, garden.units)} a mol of light"
    published = published_range(group)
    if published is None:
        return f"{made}; no published figure was found for {group}."
    least, most = (light_use_text(grams, garden.units) for grams in published)
    return f"{made}; published trials come to {least} to {most} ({_SOURCES[group]})."
