"""The arithmetic of nutrients: what a recipe comes to in a tote, and what to weigh for some litres of it.

Takes recipes, tap water and crops; gives milligrams a litre by element, amounts to weigh and measure, and the EC and pH
that suit crops.  If a part does not state its contents, they are unknown: figures are then "at least", and nothing
unknown counts as zero.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from steadysow.inputs.composition import ELEMENTS
from steadysow.inputs.crops import Band, Crop
from steadysow.inputs.recipes import Part, Recipe, TapWater

# Estimate: wet castings hold back about a tenth of the water they steeped in.
STRAINING_LOSS = 0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """How much of an element is in tote water.

    Attributes
    ----------
    element
        Its symbol.
    mg_per_litre
        How much of it is known to be there [mg/L].
    unknown_from
        Names of parts with unknown contents, which may add to it.
    unlisted_by
        Names of parts whose label does not list it.
    """

    element: str
    mg_per_litre: float
    unknown_from: tuple[str, ...] = ()
    unlisted_by: tuple[str, ...] = ()

    @property
    def is_known(self) -> bool:
        """Whether there is a figure, if only the least that is there."""
        return self.mg_per_litre > 0 or not (self.unknown_from or self.unlisted_by)


@dataclass(frozen=True, slots=True, kw_only=True)
class Strength:
    """What a recipe comes to in tote water.

    Attributes
    ----------
    recipe
        The recipe.
    levels
        A level for each element.
    counts_tap_water
        Whether the levels include what tap water brings along.
    """

    recipe: Recipe
    levels: tuple[Level, ...]
    counts_tap_water: bool

    def level(self, element: str) -> Level:
        """Give the level of an element."""
        return next(level for level in self.levels if level.element == element)


@dataclass(frozen=True, slots=True, kw_only=True)
class Amount:
    """How much of a part to take, in grams or in millilitres [g], [mL]; one of the two is ``None``."""

    part: Part
    grams: float | None
    ml: float | None

    @property
    def teaspoons(self) -> float | None:
        """Level teaspoons of the part, or ``None`` for a liquid, or if nobody knows what a spoonful weighs."""
        if self.grams is None or self.part.spoon_grams is None:
            return None
        return self.grams / self.part.spoon_grams


@dataclass(frozen=True, slots=True, kw_only=True)
class Mix:
    """What to take for some litres of tote water.

    Attributes
    ----------
    recipe, litres
        The recipe, and how much tote water it makes [L].
    steep_litres
        Water that a brew steeps in, including what straining loses [L]; 0 if it is not a brew.
    brew_litres
        Strained brew that goes in [L]; 0 if it is not a brew.
    water_litres
        Plain water [L].
    amounts
        How much of each part.
    """

    recipe: Recipe
    litres: float
    steep_litres: float
    brew_litres: float
    water_litres: float
    amounts: tuple[Amount, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CommonRange:
    """A range that suits all crops of a tote.

    Attributes
    ----------
    least, most
        The ends of the range.
    is_ideal
        Whether it is ideal for all of them; otherwise they only tolerate it.
    """

    least: float
    most: float
    is_ideal: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CropRanges:
    """Crops that may share a tote, and the EC [mS/cm] and pH that suit them all; ``None`` if no value does."""

    crops: tuple[str, ...]
    ec: CommonRange | None
    ph: CommonRange | None


def strength(recipe: Recipe, tap_water: TapWater | None = None) -> Strength:
    """Give what a recipe comes to in tote water, by element.

    The strength of a brew is its parts in a litre of the water that they steep in, times `Recipe.dilution`.  Straining
    does not change it.  Everything that counts is assumed to dissolve, and the volume of liquid parts is ignored.

    Parameters
    ----------
    recipe
        The recipe.
    tap_water
        What the tap water contains, or ``None`` if that is unknown.
    """
    from_tap = dict(tap_water.content) if tap_water else {}
    return Strength(
        recipe=recipe,
        levels=tuple(_level(element, recipe, from_tap.get(element, 0.0)) for element in ELEMENTS),
        counts_tap_water=tap_water is not None,
    )


def mix(recipe: Recipe, litres: float) -> Mix:
    """Give what to take for some litres of tote water.

    Parameters
    ----------
    recipe
        The recipe.
    litres
        Tote water, the sum of all totes that are fed together [L].
    """
    brew = litres * recipe.dilution if recipe.is_brew else 0.0
    steep = brew / (1 - STRAINING_LOSS)
    times = (steep if recipe.is_brew else litres) / recipe.makes_litres
    return Mix(
        recipe=recipe,
        litres=litres,
        steep_litres=steep,
        brew_litres=brew,
        water_litres=litres - brew,
        amounts=tuple(
            Amount(
                part=part,
                grams=None if part.grams is None else part.grams * times,
                ml=None if part.ml is None else part.ml * times,
            )
            for part in recipe.parts
        ),
    )


def blended(mg_per_litre: float, litres: float, old_mg_per_litre: float, old_litres: float) -> float:
    """Give the concentration of a mix and old solution together [mg/L].

    Equation: ``C = (C_mix V_mix + C_old V_old) / V_total``, since salt is conserved.  Plain water is a mix of 0 mg/L:
    it restores the volume and adds no salt.

    Parameters
    ----------
    mg_per_litre, litres
        Concentration and volume of the mix [mg/L], [L].
    old_mg_per_litre, old_litres
        Concentration and volume of the old solution [mg/L], [L].
    """
    return (mg_per_litre * litres + old_mg_per_litre * old_litres) / (litres + old_litres)


def carried_over(mg_per_litre: float, litres: float, old_litres: float) -> tuple[float, float]:
    """Give the least and most concentration in a tote whose old solution was not measured [mg/L].

    The tote was once full of the same mix.  The least holds if the plants have taken up all nutrient, so that plain
    water is left.  The most holds if they drank only water, so that the old solution has the salt of the full tote.

    Parameters
    ----------
    mg_per_litre, litres
        Concentration and volume of the mix that is poured in [mg/L], [L].
    old_litres
        Volume of the old solution in the tote, above 0 [L].
    """
    left = mg_per_litre * (litres + old_litres) / old_litres
    return blended(mg_per_litre, litres, 0.0, old_litres), blended(mg_per_litre, litres, left, old_litres)


def crop_ranges(crops: Iterable[Crop]) -> tuple[CropRanges, ...]:
    """Give the EC and pH for crops: greens together, since they may share a tote, and each fruit alone."""
    crops = tuple(crops)
    greens = tuple(crop for crop in crops if not crop.is_fruit)
    groups = (greens, *((crop,) for crop in crops if crop.is_fruit))
    return tuple(
        CropRanges(
            crops=tuple(crop.name for crop in group),
            ec=common_range(crop.ec for crop in group),
            ph=common_range(crop.ph for crop in group),
        )
        for group in groups
        if group
    )


def common_range(bands: Iterable[Band]) -> CommonRange | None:
    """Give the EC or pH that suits all crops of a tote.

    Returns
    -------
    The range that is ideal for all; else the range that all tolerate; ``None`` if there is no such range, or no crop.
    """
    bands = tuple(bands)
    for is_ideal in (True, False):
        ends = [band.ideal if is_ideal else band.tolerated for band in bands]
        least, most = max((low for low, _ in ends), default=1.0), min((high for _, high in ends), default=0.0)
        if least <= most:
            return CommonRange(least=least, most=most, is_ideal=is_ideal)
    return None


def _level(element: str, recipe: Recipe, tap_mg_per_litre: float) -> Level:
    known, unknown_from, unlisted_by = 0.0, [], []
    for part in recipe.parts:
        share, grams = part.share(element), part.weight_grams
        if part.known_by == "nothing":
            unknown_from.append(part.name)
        elif share is None:
            unlisted_by.append(part.name)
        else:
            # The reader refuses millilitres without a density for a part whose contents are known.
            assert grams is not None
            known += 1000 * grams * share / recipe.makes_litres
    return Level(
        element=element,
        mg_per_litre=tap_mg_per_litre + known * recipe.dilution,
        unknown_from=tuple(unknown_from),
        unlisted_by=tuple(unlisted_by),
    )
