"""The arithmetic of nutrients: what a recipe comes to in a tote, and what to weigh for some litres of it.

Takes recipes and tap water; gives milligrams a litre by element, amounts to weigh and measure, and plain sentences
about what is strong or weak beside published solutions.  What a part does not tell is unknown: it makes a figure "at
least", and is never counted as nothing.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from steadysow.amounts import listed
from steadysow.inputs.composition import ELEMENTS
from steadysow.inputs.crops import Band, Crop
from steadysow.inputs.recipes import Part, Recipe, TapWater
from steadysow.inputs.sources import read_publication

# Estimate: wet castings hold back about a tenth of the water they steeped in.
STRAINING_LOSS = 0.1

# What tells of a lack, in the leaves (common knowledge of growers, from memory).
_SIGNS = {
    "N": "older leaves turn pale",
    "P": "growth is slow and dark, or purplish below",
    "K": "older leaves brown along their edge",
    "Ca": "the edges of young leaves brown, which is called tip burn",
    "Mg": "older leaves turn yellow between their veins",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """How much of an element is in tote water.

    Attributes
    ----------
    element
        Its symbol.
    mg_per_litre
        What is known of it [mg/L].
    unknown_from
        Names of parts of unknown composition: they add to it, and nobody knows how much.
    unlisted_by
        Names of parts whose label does not name it.
    """

    element: str
    mg_per_litre: float
    unknown_from: tuple[str, ...] = ()
    unlisted_by: tuple[str, ...] = ()

    @property
    def is_recorded(self) -> bool:
        """Whether any figure can be given, be it the least there is."""
        return self.mg_per_litre > 0 or not (self.unknown_from or self.unlisted_by)


@dataclass(frozen=True, slots=True, kw_only=True)
class Strength:
    """What a recipe comes to in tote water: a level for each element, and whether tap water is counted."""

    recipe: Recipe
    levels: tuple[Level, ...]
    counts_tap_water: bool

    def level(self, element: str) -> Level:
        """Give the level of an element."""
        return next(level for level in self.levels if level.element == element)


@dataclass(frozen=True, slots=True, kw_only=True)
class Amount:
    """How much of a part to take: grams, or millilitres [g], [mL]; one of the two is ``None``."""

    part: Part
    grams: float | None
    ml: float | None

    @property
    def teaspoons(self) -> float | None:
        """Level teaspoons of a part whose spoonful is known, or ``None``; liquids are measured in millilitres."""
        if self.grams is None or self.part.spoon_grams is None:
            return None
        return self.grams / self.part.spoon_grams


@dataclass(frozen=True, slots=True, kw_only=True)
class Mix:
    """What to take for some litres of tote water.

    Attributes
    ----------
    recipe, litres
        What is mixed, and how much tote water it makes [L].
    steep_litres
        Water that a brew steeps in, with what straining loses [L]; 0 for what is no brew.
    brew_litres
        Strained brew that goes in [L]; 0 for what is no brew.
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
class NutrientSolution:
    """A published solution, or the range of several: least and most by element [mg/L], which are the same for one."""

    name: str
    key: str
    mg_per_litre: tuple[tuple[str, tuple[float, float]], ...]

    def range(self, element: str) -> tuple[float, float] | None:
        """Give least and most of an element [mg/L], or ``None`` where the source says nothing of it."""
        return next((ends for name, ends in self.mg_per_litre if name == element), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class CommonRange:
    """A range that suits all the crops of a tote; not ideal where only what they tolerate has a common part."""

    least: float
    most: float
    is_ideal: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CropRanges:
    """Crops that may share a tote, and the EC [mS/cm] and pH that suit them all; ``None`` where nothing does."""

    crops: tuple[str, ...]
    ec: CommonRange | None
    ph: CommonRange | None


def strength(recipe: Recipe, tap_water: TapWater | None = None) -> Strength:
    """Give what a recipe comes to in tote water, by element.

    A brew is as strong as its parts a litre of the water they steep in, which straining does not change, times
    `Recipe.dilution`.  What is counted is taken to dissolve whole, and the volume of liquid parts is left out.

    Parameters
    ----------
    recipe
        What is fed.
    tap_water
        What the water brings along, or ``None`` where that is not known.
    """
    told = dict(tap_water.content) if tap_water else {}
    return Strength(
        recipe=recipe,
        levels=tuple(_level(element, recipe, told.get(element, 0.0)) for element in ELEMENTS),
        counts_tap_water=tap_water is not None,
    )


def mix(recipe: Recipe, litres: float) -> Mix:
    """Give what to take for some litres of tote water.

    Parameters
    ----------
    recipe
        What is mixed.
    litres
        Tote water [L]; of several totes that fall due together, their sum.
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
    """Give what a mix and old solution come to together [mg/L]: C = (C_mix V_mix + C_old V_old) / V_total.

    Salt is conserved.  A top-up with plain water is a mix of 0 mg/L: it restores the volume and no salt.

    Parameters
    ----------
    mg_per_litre, litres
        Of the mix [mg/L], [L].
    old_mg_per_litre, old_litres
        Of what is in the tote already [mg/L], [L].
    """
    return (mg_per_litre * litres + old_mg_per_litre * old_litres) / (litres + old_litres)


def carried_over(mg_per_litre: float, litres: float, old_litres: float) -> tuple[float, float]:
    """Give the least and most in a tote that is filled up [mg/L], where what is left in it was not measured.

    The tote was full of the same mix once.  At the least, the plants have taken all of it, and the old litres are plain
    water; at the most, they have drunk water alone, and the salt of the full tote is in the old litres.

    Parameters
    ----------
    mg_per_litre, litres
        Of the mix that is poured in [mg/L], [L].
    old_litres
        Old solution that stays in the tote, above 0 [L].
    """
    left = mg_per_litre * (litres + old_litres) / old_litres
    return blended(mg_per_litre, litres, 0.0, old_litres), blended(mg_per_litre, litres, left, old_litres)


@cache
def published_solutions() -> tuple[NutrientSolution, ...]:
    """Give the published solutions that a mix is shown beside; the last is the range of many."""
    return (
        _solution("Hoagland", "hoagland-arnon-1950"),
        _solution("lettuce", "mattson-peters-lettuce"),
        _solution("range of 12", "de-rijck-schrevens-1998"),
    )


def judged(strength: Strength) -> tuple[str, ...]:
    """Say in plain sentences where a mix is strong or weak beside published solutions, and what is not known of it."""
    recipe = strength.recipe
    unknown = tuple(part.name for part in recipe.parts if part.known_by == "nothing")
    labelled = tuple(part.name for part in recipe.parts if part.known_by == "label")
    *_, range_of_twelve = published_solutions()
    sentences = []
    for element, ends in range_of_twelve.mg_per_litre:
        if sentence := _judged_level(strength.level(element), ends):
            sentences.append(sentence)
    if unknown:
        sentences.append(f"What the water takes from {listed(unknown)} is unknown, and not nothing.")
    if recipe.is_brew and unknown:
        sentences += _judged_brew(strength)
    if recipe.is_brew and labelled:
        sentences.append(
            f"All of {listed(labelled)} is counted as dissolved: right for a powder that dissolves, far too much for a"
            " meal, whose percent is better left out."
        )
    if not strength.counts_tap_water:
        sentences.append("Tap water is not counted: your supplier tells its calcium and magnesium (tap_water).")
    return tuple(sentences)


def crop_ranges(crops: Iterable[Crop]) -> tuple[CropRanges, ...]:
    """Give the EC and pH for crops: greens, which may share a tote, together, and each fruit alone."""
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


def too_strong(strength: Strength) -> tuple[str, ...]:
    """Say of what a mix has more than any published solution."""
    *_, range_of_twelve = published_solutions()
    return tuple(
        sentence
        for element, ends in range_of_twelve.mg_per_litre
        if strength.level(element).mg_per_litre > ends[1]
        and (sentence := _judged_level(strength.level(element), ends)) is not None
    )


def judged_water(tap_water: TapWater | None) -> tuple[str, ...]:
    """Say of what there is too much in tap water ([oklahoma-hla-6722], table 1)."""
    most = read_publication("oklahoma-hla-6722").table["source_water_most_ppm"]
    return tuple(
        f"Tap water has {amount:g} mg a litre of {ELEMENTS[element]}; at most {most[element]:g} is advised (HLA-6722)."
        " Blend it with rain water."
        for element, amount in (tap_water.content if tap_water else ())
        if amount > most.get(element, amount)
    )


def judged_with_old(strength: Strength, litres: float, old_litres: float) -> tuple[str, ...]:
    """Say of what there may be too much, once a mix is poured onto old solution (`carried_over`)."""
    *_, range_of_twelve = published_solutions()
    told = []
    for element, (_, most) in range_of_twelve.mg_per_litre:
        level = strength.level(element)
        _, reaches = carried_over(level.mg_per_litre, litres, old_litres)
        if reaches > most >= level.mg_per_litre:
            told.append(
                f"{ELEMENTS[element].capitalize()} may reach {reaches:.0f} mg a litre with what is left in the old"
                f" solution; published solutions have at most {most:g}."
            )
    return tuple(told)


def common_range(bands: Iterable[Band]) -> CommonRange | None:
    """Give the EC or pH that suits all crops of a tote: the common part of what is ideal, else of what is tolerated.

    Returns
    -------
    The range, or ``None`` where nothing suits all, or there is no crop.
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
            # Of what has a content, the reader takes no millilitres without their density.
            assert grams is not None
            known += 1000 * grams * share / recipe.makes_litres
    return Level(
        element=element,
        mg_per_litre=tap_mg_per_litre + known * recipe.dilution,
        unknown_from=tuple(unknown_from),
        unlisted_by=tuple(unlisted_by),
    )


def _solution(name: str, key: str) -> NutrientSolution:
    figures = read_publication(key).table["mg_per_litre"]
    ends = {element: figure if isinstance(figure, list) else [figure, figure] for element, figure in figures.items()}
    return NutrientSolution(
        name=name, key=key, mg_per_litre=tuple((element, (least, most)) for element, (least, most) in ends.items())
    )


def _judged_level(level: Level, ends: tuple[float, float]) -> str | None:
    """Say whether a level lies above or below a published range; nothing where it may well lie within."""
    name, (least, most) = ELEMENTS[level.element].capitalize(), ends
    beside = f"published solutions have {least:g} to {most:g}"
    if level.mg_per_litre > most:
        at_least = "at least " if level.unknown_from else ""
        strong = f"{name} is strong: {at_least}{level.mg_per_litre:.0f} mg a litre; {beside}"
        return f"{strong}. Take less of what it comes from."
    if level.mg_per_litre >= least or level.unknown_from:
        return None
    sign = f"a lack shows as follows: {_SIGNS[level.element]}"
    if not level.is_recorded:
        return f"{name} is on no label here; {beside}; {sign}."
    return f"{name} is weak: {level.mg_per_litre:.0f} mg a litre; {beside}; {sign}."


def _judged_brew(strength: Strength) -> list[str]:
    """Say what a brew of unknown parts probably lacks, by a leachate of castings that was measured."""
    *_, range_of_twelve = published_solutions()
    leachate = read_publication("garcia-gomez-2008").table
    figures = {**leachate["mg_per_litre"], **leachate["computed_mg_per_litre"]}
    sentences = []
    for element in ("N", "P", "K"):
        level, ends = strength.level(element), range_of_twelve.range(element)
        diluted = figures[element] * strength.recipe.dilution
        if ends and level.mg_per_litre + diluted < ends[0]:
            low = "probably low" if level.is_recorded else "unknown and probably low"
            sentences.append(
                f"{ELEMENTS[element].capitalize()} is {low} (estimate): a measured leachate of castings, thinned like"
                f" this brew, has {diluted:.0f} mg a litre, published solutions {ends[0]:g} to {ends[1]:g}. Watch"
                f" whether {_SIGNS[element]}."
            )
    level, ends = strength.level("Ca"), range_of_twelve.range("Ca")
    if ends and level.mg_per_litre < ends[0]:
        low = "probably low" if level.is_recorded else "unknown and probably low"
        sentences.append(f"Calcium is {low} (estimate). Watch whether {_SIGNS['Ca']}.")
    sentences.append(
        "An EC meter shows less than a brew feeds: much of its nitrogen and phosphorus is in forms that carry no"
        " current (from memory). The EC alone proves a brew neither good nor bad."
    )
    return sentences
