"""Remarks on a mix: where it is strong, weak or unknown beside published solutions.

Takes the strength of a mix; gives plain sentences.  Hides the published figures, and the signs of a lack in the leaves.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from steadysow.amounts import listed
from steadysow.inputs.composition import ELEMENTS
from steadysow.inputs.recipes import TapWater
from steadysow.inputs.sources import read_publication
from steadysow.upkeep.nutrients import Level, Strength, carried_over

# What leaves show when an element is lacking (common knowledge of growers, from memory).
_SIGNS = {
    "N": "older leaves turn pale",
    "P": "growth is slow and dark, or purplish below",
    "K": "older leaves brown along their edge",
    "Ca": "the edges of young leaves brown, which is called tip burn",
    "Mg": "older leaves turn yellow between their veins",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class NutrientSolution:
    """A published solution, or the range of several.

    Attributes
    ----------
    name, key
        Its name; the key of its source.
    mg_per_litre
        Least and most of each element [mg/L]; the two are equal for a single solution.
    """

    name: str
    key: str
    mg_per_litre: tuple[tuple[str, tuple[float, float]], ...]

    def range(self, element: str) -> tuple[float, float] | None:
        """Give least and most of an element [mg/L], or ``None`` if the source does not give it."""
        return next((ends for name, ends in self.mg_per_litre if name == element), None)


@cache
def published_solutions() -> tuple[NutrientSolution, ...]:
    """Give the published solutions that a mix is shown beside; the last is the range of many."""
    return (
        _solution("Hoagland", "hoagland-arnon-1950"),
        _solution("lettuce", "mattson-peters-lettuce"),
        _solution("range of 12", "de-rijck-schrevens-1998"),
    )


def mix_remarks(strength: Strength) -> tuple[str, ...]:
    """Say where a mix is strong or weak beside published solutions, and what is unknown about it."""
    recipe = strength.recipe
    unknown = tuple(part.name for part in recipe.parts if part.known_by == "nothing")
    labelled = tuple(part.name for part in recipe.parts if part.known_by == "label")
    sentences = []
    for element, ends in _range_of_twelve().mg_per_litre:
        if sentence := _level_remark(strength.level(element), ends):
            sentences.append(sentence)
    if unknown:
        sentences.append(
            f"Nobody knows what dissolves from {listed(unknown)}. Unknown contents are shown as unknown, not as zero."
        )
    if recipe.is_brew and unknown:
        sentences += _brew_remarks(strength)
    if recipe.is_brew and labelled:
        sentences.append(
            f"All of {listed(labelled)} is counted as dissolved. That is right for a powder that dissolves, and far too"
            " much for a meal: leave out the percentages of a meal."
        )
    if not strength.counts_tap_water:
        sentences.append(
            "Tap water is not counted. Ask your supplier for its calcium and magnesium, and write them in tap_water."
        )
    return tuple(sentences)


def too_strong(strength: Strength) -> tuple[str, ...]:
    """Warn of each element that exceeds all published solutions."""
    return tuple(
        sentence
        for element, ends in _range_of_twelve().mg_per_litre
        if strength.level(element).mg_per_litre > ends[1]
        and (sentence := _level_remark(strength.level(element), ends)) is not None
    )


def tap_water_remarks(tap_water: TapWater | None) -> tuple[str, ...]:
    """Warn of each element that exceeds the advised limit for tap water ([oklahoma-hla-6722], table 1)."""
    most = read_publication("oklahoma-hla-6722").table["source_water_most_ppm"]
    return tuple(
        f"Tap water has {amount:g} mg a litre of {ELEMENTS[element]}; at most {most[element]:g} is advised (HLA-6722)."
        " Blend it with rain water."
        for element, amount in (tap_water.content if tap_water else ())
        if amount > most.get(element, amount)
    )


def old_solution_remarks(strength: Strength, litres: float, old_litres: float) -> tuple[str, ...]:
    """Warn of each element that may pile up too high when a mix is poured onto old solution (`carried_over`).

    Parameters
    ----------
    strength
        The strength of the mix.
    litres, old_litres
        The volume of the mix, and of the old solution, above 0 [L].
    """
    sentences = []
    for element, (_, most) in _range_of_twelve().mg_per_litre:
        level = strength.level(element)
        _, reaches = carried_over(level.mg_per_litre, litres, old_litres)
        if reaches > most >= level.mg_per_litre:
            sentences.append(
                f"{ELEMENTS[element].capitalize()} may reach {reaches:.0f} mg a litre with what is left in the old"
                f" solution; published solutions have at most {most:g}."
            )
    return tuple(sentences)


def _range_of_twelve() -> NutrientSolution:
    return published_solutions()[-1]


def _solution(name: str, key: str) -> NutrientSolution:
    figures = read_publication(key).table["mg_per_litre"]
    ends = {element: figure if isinstance(figure, list) else [figure, figure] for element, figure in figures.items()}
    return NutrientSolution(
        name=name, key=key, mg_per_litre=tuple((element, (least, most)) for element, (least, most) in ends.items())
    )


def _level_remark(level: Level, ends: tuple[float, float]) -> str | None:
    """Say that a level is above or below a published range, or give ``None`` if it may lie within."""
    name, (least, most) = ELEMENTS[level.element].capitalize(), ends
    beside = f"published solutions have {least:g} to {most:g}"
    if level.mg_per_litre > most:
        at_least = "at least " if level.unknown_from else ""
        return f"{name} is strong: {at_least}{level.mg_per_litre:.0f} mg a litre; {beside}. Use less of its source."
    if level.mg_per_litre >= least or level.unknown_from:
        return None
    sign = f"Sign of a lack: {_SIGNS[level.element]}"
    if not level.is_known:
        return f"{name} is on no label here; {beside}. {sign}."
    return f"{name} is weak: {level.mg_per_litre:.0f} mg a litre; {beside}. {sign}."


def _brew_remarks(strength: Strength) -> list[str]:
    """Say what a brew with unknown parts probably lacks, by a measured leachate of castings ([garcia-gomez-2008])."""
    leachate = read_publication("garcia-gomez-2008").table
    figures = {**leachate["mg_per_litre"], **leachate["computed_mg_per_litre"]}
    sentences = []
    for element in ("N", "P", "K"):
        level, ends = strength.level(element), _range_of_twelve().range(element)
        diluted = figures[element] * strength.recipe.dilution
        if ends and level.mg_per_litre + diluted < ends[0]:
            sentences.append(
                f"{ELEMENTS[element].capitalize()} is {_low_text(level)} (estimate): a measured leachate of castings,"
                f" diluted like this brew, has {diluted:.0f} mg a litre; published solutions have {ends[0]:g} to"
                f" {ends[1]:g}. Watch whether {_SIGNS[element]}."
            )
    level, ends = strength.level("Ca"), _range_of_twelve().range("Ca")
    if ends and level.mg_per_litre < ends[0]:
        sentences.append(f"Calcium is {_low_text(level)} (estimate). Watch whether {_SIGNS['Ca']}.")
    sentences.append(
        "An EC meter shows less than a brew feeds: much of its nitrogen and phosphorus is in forms that carry no"
        " current (from memory). The EC alone does not show whether a brew is good or bad."
    )
    return sentences


def _low_text(level: Level) -> str:
    return "probably low" if level.is_known else "unknown and probably low"
