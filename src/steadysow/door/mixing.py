"""Mixing nutrients for commands and notebooks: a recipe scaled to some litres, and how strong it comes out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

from steadysow.errors import one_fault
from steadysow.inputs.recipes import NUTRIENT, TapWater, recipe_named, recipe_names
from steadysow.inputs.values import suggestion
from steadysow.upkeep import nutrient_remarks, nutrients

if TYPE_CHECKING:
    from steadysow.inputs.garden import Garden

# By choice: as much as a tote may hold in a garden file [L].
MOST_LITRES = 100_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Mixed:
    """A recipe scaled to some litres of tote water.

    Attributes
    ----------
    mix
        What to weigh, steep and dilute.
    strength
        What the recipe comes to in the tote.
    ranges
        What the garden's crops ask for.
    tap_water
        What is in the tap water, or ``None`` where that is unknown.
    litres, old_litres
        The water that is mixed, and old solution that stays in the tote [L].
    """

    mix: nutrients.Mix
    strength: nutrients.Strength
    ranges: tuple[nutrients.CropRanges, ...]
    tap_water: TapWater | None
    litres: float
    old_litres: float

    @property
    def sentences(self) -> tuple[str, ...]:
        """What is strong or weak beside published solutions."""
        return (
            *nutrient_remarks.mix_remarks(self.strength),
            *nutrient_remarks.tap_water_remarks(self.tap_water),
            *(
                nutrient_remarks.old_solution_remarks(self.strength, self.litres, self.old_litres)
                if self.old_litres
                else ()
            ),
        )

    def to_json(self) -> dict[str, Any]:
        """Give all of it as plain values, with published solutions beside it."""
        with_old = {
            level.element: nutrients.carried_over(level.mg_per_litre, self.litres, self.old_litres)
            for level in self.strength.levels
            if self.old_litres and level.is_known
        }
        solutions = nutrient_remarks.published_solutions()
        published: Mapping[str, Any] = {each.key: dict(each.mg_per_litre) for each in solutions}
        return {
            "mix": asdict(self.mix),
            "levels": [asdict(level) for level in self.strength.levels],
            "levels_with_old": with_old,
            "published": published,
            "sentences": self.sentences,
            "ranges": [asdict(each) for each in self.ranges],
        }


def mix(litres: float, *, recipe: str = "", old_litres: float = 0.0, garden: Garden | None = None) -> Mixed:
    """Scale a recipe to some litres of tote water.

    Parameters
    ----------
    litres
        The tote water [L].
    recipe
        The name of a recipe; left out, the garden's `nutrient`, or the powder that is shipped.
    old_litres
        Old solution that stays in the tote and that the mix is poured onto [L].
    garden
        The garden, whose recipes, tap water and crops count; without it, the shipped recipes.

    Raises
    ------
    InputFaults
        If there is no such recipe, or the litres are out of range.
    """
    own = garden.recipes if garden else ()
    wanted = recipe or (garden.nutrient if garden else NUTRIENT)
    found = recipe_named(wanted, own)
    if found is None:
        raise one_fault("--recipe", f'there is no recipe "{wanted}"', suggestion(wanted, recipe_names(own)))
    if not 0 < litres <= MOST_LITRES:
        wrong = f"{litres:g} litres are not mixed at home"
        raise one_fault("--litres", wrong, f"Write more than 0, up to {MOST_LITRES} litres")
    if not old_litres <= MOST_LITRES:
        raise one_fault("--onto", f"{old_litres:g} is too much", f"Write up to {MOST_LITRES} litres")
    tap_water = garden.tap_water if garden else None
    served = dict.fromkeys(serving.crop for want in garden.wants for serving in want.servings) if garden else ()
    return Mixed(
        mix=nutrients.mix(found, litres),
        strength=nutrients.strength(found, tap_water),
        ranges=nutrients.crop_ranges(garden.crops[crop] for crop in served) if garden else (),
        tap_water=tap_water,
        litres=litres,
        old_litres=old_litres,
    )
