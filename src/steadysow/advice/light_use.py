"""How well plants use light: grams harvested from each mol of light on the ground that the plants need.

Takes the garden and batches; gives one sentence for each group of crops, with the garden's own figure and the published
range.  Hides which crop belongs to which group, and how the published figures are computed.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from functools import cache
from typing import Literal

from steadysow.amounts import light_use_text
from steadysow.growth.daylight import conditions_at
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden
from steadysow.inputs.sources import read_publication
from steadysow.plan.batch import Batch

GreensGroup = Literal["lettuce", "leaf greens", "cut greens", "herbs", "fruit"]

GROUPS: tuple[GreensGroup, ...] = ("lettuce", "leaf greens", "cut greens", "herbs", "fruit")

_HERB_GENERA = {
    "Allium", "Anethum", "Anthriscus", "Apium", "Coriandrum", "Melissa", "Mentha", "Ocimum", "Origanum", "Petroselinum",
    "Salvia", "Thymus",
}  # fmt: skip

# A pound a square foot, by definition [g m-2].
_GRAMS_A_SQUARE_METRE = 453.59237 / 0.3048**2

_TRIAL = "gagne-mattson-2019"

_SOURCES: Mapping[GreensGroup, str] = {
    "lettuce": "computed from baby leaf in Gagne and Mattson 2019, and from heads at the spacing of Rutgers with the"
    " weight and light of Cornell",
    "leaf greens": "computed from collards, pak choi and mizuna as baby leaf in Gagne and Mattson 2019",
}


def light_use(garden: Garden, batches: Iterable[Batch]) -> tuple[str, ...]:
    """Say for each group of crops how many grams it makes from a mol of light, and what is published.

    Parameters
    ----------
    garden
        The garden.
    batches
        Batches of a plan; batches that never stand in a tote, and lost ones, are left out.
    """
    return tuple(_sentence(garden, group, grams_per_mol) for group, grams_per_mol in by_group(garden, batches).items())


def by_group(garden: Garden, batches: Iterable[Batch]) -> dict[GreensGroup, float]:
    """Give by group the grams harvested, divided by the light on the ground that the plants need [g mol-1]."""
    grams: dict[GreensGroup, float] = defaultdict(float)
    light_mol: dict[GreensGroup, float] = defaultdict(float)
    for batch in batches:
        if batch.state != "lost":
            group = group_of(garden.crops[batch.crop])
            grams[group] += sum(harvest.grams for harvest in batch.harvests)
            light_mol[group] += light_on(garden, garden.crops[batch.crop], batch)
    return {group: grams[group] / light_mol[group] for group in GROUPS if light_mol[group] > 0}


def light_on(garden: Garden, crop: Crop, batch: Batch) -> float:
    """Give the light that falls on a batch's ground, for each plant from its transplant until it leaves [mol].

    The ground follows from the profile's spacing, as in the trials.  Light that falls between plants with more space
    than they need does not count.
    """
    if batch.transplanted_on is None or batch.cleared_on is None:
        return 0.0
    heads = [(each.on, each.plants) for each in batch.harvests if each.kind == "head"]
    stays = [*heads, (batch.cleared_on, batch.plants - sum(plants for _, plants in heads))]
    days = (batch.cleared_on - batch.transplanted_on).days
    daily = conditions_at(garden.place(batch.place), batch.transplanted_on, days, garden.sky).dli_mol
    plant_mol = sum(plants * sum(daily[: (until_on - batch.transplanted_on).days]) for until_on, plants in stays)
    return plant_mol / crop.plants_per_m2


def group_of(crop: Crop) -> GreensGroup:
    """Give the group of a crop, by its botanical name and by how it is harvested.

    Greens that are cut leaf by leaf leave a stump each time, so they are a group apart from heads and baby leaf.
    """
    genus = crop.species.split()[0]
    if crop.is_fruit:
        return "fruit"
    if genus == "Lactuca":
        return "lettuce"
    if genus in _HERB_GENERA:
        return "herbs"
    return "leaf greens" if crop.harvest.kind == "head" or crop.sown_in == "pot" else "cut greens"


@cache
def published_range(group: GreensGroup) -> tuple[float, float] | None:
    """Give the least and the most that published trials of a group reached [g mol-1], or ``None`` without a trial.

    References
    ----------
    Baby leaf: see `trial_grams_per_mol`.  Heads of lettuce: the final spacing and the days from transplant of
    [rutgers-lettuce], the weight of [cornell-lettuce-handbook], and the light named for head lettuce in
    [gagne-mattson-2019], which is the best of the treatments in [hernandez-2020].
    """
    rows = {crop: tuple(trial_grams_per_mol(crop, dli_mol) for dli_mol in row) for crop, row in _trial_rows().items()}
    if group == "lettuce":
        return min(rows["lettuce"]), _head_grams_per_mol()
    if group == "leaf greens":
        found = [grams for crop, row in rows.items() if crop != "lettuce" for grams in row]
        return min(found), max(found)
    return None


def trial_grams_per_mol(crop: str, dli_mol: float) -> float:
    """Give the fresh weight of a crop in the trial, divided by the light it got, at one of the lights [g mol-1].

    References
    ----------
    [gagne-mattson-2019], table 1: fresh weight of baby leaf after the days afloat.
    """
    afloat_days = read_publication(_TRIAL).table["afloat_days"]
    return float(_trial_rows()[crop][dli_mol] * _GRAMS_A_SQUARE_METRE / (dli_mol * afloat_days))


def _trial_rows() -> Mapping[str, Mapping[float, float]]:
    rows: Mapping[str, Mapping[float, float]] = read_publication(_TRIAL).table["pounds_per_square_foot_by_dli_mol"]
    return rows


def _head_grams_per_mol() -> float:
    chain = read_publication("rutgers-lettuce").table
    head_g = read_publication("cornell-lettuce-handbook").table["head_g"]
    light_mol = chain["days_from_transplant"] * read_publication(_TRIAL).table["target_dli_mol"]["head lettuce"]
    return float(chain["final_spacing"]["plants_per_m2"] * head_g / light_mol)


def _sentence(garden: Garden, group: GreensGroup, grams_per_mol: float) -> str:
    verb = "makes" if group in ("lettuce", "fruit") else "make"
    made = f"{group.capitalize()} {verb} {light_use_text(grams_per_mol, garden.units)} from a mol of light."
    published = published_range(group)
    if published is None:
        return f"{made} We found no published figure for {group}."
    least, most = (light_use_text(grams, garden.units) for grams in published)
    return f"{made} Published trials reached {least} to {most} ({_SOURCES[group]})."
