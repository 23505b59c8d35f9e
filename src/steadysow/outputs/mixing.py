"""What `steadysow mix` prints: what to weigh, measure and steep, and how strong that is.

`mix_text` takes a mix, its strength and the ranges of the crops, and returns plain text of some width.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from textwrap import wrap

from steadysow.amounts import (
    ML_A_TEASPOON,
    Units,
    digits_text,
    listed,
    part_text,
    poured_text,
    spoons_text,
    volume_number,
)
from steadysow.cautions import mixing_cautions
from steadysow.inputs.composition import ELEMENTS
from steadysow.inputs.recipes import TapWater
from steadysow.inputs.sources import read_publication, reference_text
from steadysow.upkeep.nutrient_remarks import (
    mix_remarks,
    old_solution_remarks,
    published_solutions,
    tap_water_remarks,
)
from steadysow.upkeep.nutrients import (
    STRAINING_LOSS,
    Amount,
    CommonRange,
    CropRanges,
    Level,
    Mix,
    Strength,
    carried_over,
)

# Elements that the table shows even if nothing is known about them.
_ALWAYS = ("N", "P", "K", "Ca", "Mg", "S")


def mix_text(
    mix: Mix,
    strength: Strength,
    *,
    units: Units,
    ranges: tuple[CropRanges, ...] = (),
    tap_water: TapWater | None = None,
    old_litres: float = 0.0,
    width: int = 80,
) -> str:
    """Give the steps, the arithmetic, the levels beside published solutions, and cautions.

    Parameters
    ----------
    mix, strength
        The mix, and the levels of its elements in tote water.
    units
        Units of the garden.
    ranges
        EC and pH that suit the crops.
    tap_water
        What the tap water contains, or ``None`` if that is not known.
    old_litres
        Old solution that the mix is poured onto [L].
    width
        The greatest length of a line, in characters.
    """
    sections = (
        (_title(mix, units), _heading(mix)),
        ("What to do", _steps(mix, units)),
        ("The arithmetic", _arithmetic(mix, units)),
        ("In the tote, mg a litre", _table(strength, mix.litres, old_litres)),
        ("How good that is", _remarks(strength, mix.litres, old_litres, tap_water, units)),
        ("EC and pH", tuple(_ranges(ranges, tap_water, is_brew=mix.recipe.is_brew))),
        ("Cautions", mixing_cautions((part.name for part in mix.recipe.parts), brew=mix.recipe.is_brew)),
        ("Sources", tuple(reference_text(read_publication(key)) for key in _sources(strength))),
    )
    lines: list[str] = []
    for title, sentences in sections:
        if sentences:
            lines += wrap(title, width)
            for sentence in sentences:
                lines += _wrapped(sentence, width)
            lines.append("")
    return "\n".join(lines[:-1])


def _wrapped(line: str, width: int) -> list[str]:
    """Wrap a sentence under its first word; leave rows of tables, which are indented already, as they are."""
    if line.startswith("  "):
        return [line]
    return wrap(line, width, initial_indent="  ", subsequent_indent="    ") or [""]


def _title(mix: Mix, units: Units) -> str:
    return f"{poured_text(mix.litres, units)} of tote water with {mix.recipe.name}"


def _heading(mix: Mix) -> tuple[str, ...]:
    note = mix.recipe.note
    return (f"{note[:1].upper()}{note[1:]}.",) if note else ()


def _steps(mix: Mix, units: Units) -> tuple[str, ...]:
    recipe = mix.recipe
    weighed = [
        (amount.part.name, part_text(amount.grams, amount.ml, units), _kitchen_text(amount)) for amount in mix.amounts
    ]
    names, taken = (max(len(row[column]) for row in weighed) for column in (0, 1))
    rows = tuple(f"    {name:<{names}}  {much:>{taken}}{kitchen}".rstrip() for name, much, kitchen in weighed)
    if not recipe.is_brew:
        stir = "Add one after the other to the full water, and stir after each. Never mix them undiluted."
        last = stir if len(recipe.parts) > 1 else "Stir it into the full water until it has dissolved."
        return (f"Take {poured_text(mix.water_litres, units)} of water, and measure:", *rows, last)
    hours = f"{recipe.steep_hours:g} {'hour' if recipe.steep_hours == 1 else 'hours'}"
    return (
        f"1. Take {poured_text(mix.steep_litres, units)} of water, and weigh in:",
        *rows,
        f"2. Steep it for {hours}. Stir it now and then, or use an air stone.",
        f"3. Strain it through a cloth. You need {poured_text(mix.brew_litres, units)} of brew.",
        f"4. Dilute it with {poured_text(mix.water_litres, units)} of water, and feed it the same day.",
    )


def _kitchen_text(amount: Amount) -> str:
    teaspoons = amount.teaspoons if amount.ml is None else amount.ml / ML_A_TEASPOON
    if teaspoons is None:
        return ""
    spoons = spoons_text(teaspoons)
    return f"  (about {spoons}, level)" if spoons else "  (too little for a spoon)"


def _arithmetic(mix: Mix, units: Units) -> tuple[str, ...]:
    recipe, noun = mix.recipe, "gallon" if units == "us" else "litre"
    litres, brew, steep, makes = (
        digits_text(volume_number(volume, units), 4)
        for volume in (mix.litres, mix.brew_litres, mix.steep_litres, recipe.makes_litres)
    )
    if not recipe.is_brew:
        return tuple(
            f"{amount.part.name}: {_each_text(amount, mix, units)} in a {noun} x {litres} {noun}s ="
            f" {part_text(amount.grams, amount.ml, 'metric')}."
            for amount in mix.amounts
        )
    parts = recipe.water_to_one
    ratio = f"{parts:g} {'part' if parts == 1 else 'parts'} of water to 1 part of brew"
    lines = [
        f"{ratio}: {litres} {noun}s / ({parts:g} + 1) = {brew} {noun}s of brew{_strength_words(parts)}.",
        f"Straining loses about a tenth (estimate): {brew} / {1 - STRAINING_LOSS:g} = {steep} {noun}s of water"
        " to steep.",
        f"The recipe makes {makes} {noun}s, so take {steep} / {makes} ="
        f" {digits_text(mix.steep_litres / recipe.makes_litres, 4)} of each amount in it.",
    ]
    for part in recipe.parts:
        if part.known_by != "salt" or part.grams is None:
            continue
        for element, share in part.content:
            milligrams = 1000 * part.grams * share / recipe.makes_litres
            lines.append(
                f"{part.name}: {digits_text(part.grams, 4)} g x {share:.2%} {ELEMENTS[element]} /"
                f" {digits_text(recipe.makes_litres, 4)} litres = {digits_text(milligrams, 4)} mg a litre of brew;"
                f" / {1 + parts:g} = {digits_text(milligrams * recipe.dilution, 3)} in the tote."
            )
    return tuple(lines)


def _each_text(amount: Amount, mix: Mix, units: Units) -> str:
    """Give how much of a part goes into a litre, or a gallon, of tote water."""
    taken = amount.grams if amount.ml is None else amount.ml
    assert taken is not None
    each = taken / volume_number(mix.litres, units)
    return f"{digits_text(each, 3)} {'g' if amount.ml is None else 'mL'}"


def _strength_words(parts_of_water: float) -> str:
    """Say how strong the diluted brew is: people tend to take 1/5 for 5 parts of water, and not 1/6."""
    is_whole = parts_of_water > 0 and parts_of_water == int(parts_of_water)
    return f", so the tote has 1/{1 + parts_of_water:g} of the brew's strength" if is_whole else ""


def _table(strength: Strength, litres: float, old_litres: float) -> tuple[str, ...]:
    solutions = published_solutions()
    shown = [level for level in strength.levels if level.element in _ALWAYS or level.mg_per_litre > 0]
    rows = [("", "this mix", *(("with the old",) if old_litres else ()), *(solution.name for solution in solutions))]
    for level in shown:
        ends = [solution.range(level.element) for solution in solutions]
        rows.append(
            (
                f"{ELEMENTS[level.element]} {level.element}",
                _level_text(level),
                *((_carried_text(level, litres, old_litres),) if old_litres else ()),
                *(_ends_text(end) if end else "" for end in ends),
            )
        )
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    return tuple(
        "  "
        + "  ".join(
            cell.ljust(wide) if column == 0 else cell.rjust(wide)
            for column, (cell, wide) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in rows
    )


def _level_text(level: Level) -> str:
    if not level.is_known:
        return "unknown" if level.unknown_from else "on no label"
    return f"{'at least ' if level.unknown_from else ''}{_milligrams(level.mg_per_litre)}"


def _carried_text(level: Level, litres: float, old_litres: float) -> str:
    if not level.is_known:
        return ""
    return _ends_text(carried_over(level.mg_per_litre, litres, old_litres))


def _ends_text(ends: tuple[float, float]) -> str:
    least, most = ends
    return _milligrams(least) if least == most else f"{_milligrams(least)} to {_milligrams(most)}"


def _milligrams(amount: float) -> str:
    return f"{amount:.0f}" if amount >= 100 else f"{amount:.3g}"


def _remarks(
    strength: Strength, litres: float, old_litres: float, tap_water: TapWater | None, units: Units
) -> tuple[str, ...]:
    sentences = [*mix_remarks(strength), *tap_water_remarks(tap_water)]
    sentences.append("Lettuce was given Hoagland's solution at a quarter to a fifth of its strength.")
    if old_litres:
        sentences.append(
            f'"With the old" shows {poured_text(litres, units)} poured onto {poured_text(old_litres, units)} of old'
            " solution, if the tote was full of the same mix before. The lower figure holds if the plants took up all"
            " of it, the higher one if they drank only water. Topping up with plain water restores the volume and"
            " takes no salt away. Each such filling may add as much again: measure the EC, and empty the tote between"
            " crops."
        )
        sentences += old_solution_remarks(strength, litres, old_litres)
    elif any(part.known_by == "salt" for part in strength.recipe.parts):
        sentences.append("Each feeding adds to what the last one left in the tote. --onto shows how much that may be.")
    return tuple(sentences)


def _ranges(ranges: Iterable[CropRanges], tap_water: TapWater | None, *, is_brew: bool) -> Iterator[str]:
    ranges = tuple(ranges)
    for each in ranges:
        yield f"{listed(each.crops)}: {_range_text('EC', each.ec, ' mS/cm')}; {_range_text('pH', each.ph, '')}."
    if tap_water is not None and tap_water.ec is not None:
        yield f"Your tap water has an EC of {tap_water.ec:g}, which counts towards this."
    if ranges and not is_brew:
        yield "Measure the EC after mixing. Add water, or more of the mix, until it is in the range."


def _range_text(name: str, common: CommonRange | None, unit: str) -> str:
    if common is None:
        return f"no {name} suits them all; give them separate totes"
    suits = "ideal" if common.is_ideal else "tolerated, but not ideal for all"
    return f"{name} {common.least:g} to {common.most:g}{unit} ({suits})"


def _sources(strength: Strength) -> tuple[str, ...]:
    is_unknown_brew = strength.recipe.is_brew and any(part.known_by == "nothing" for part in strength.recipe.parts)
    keys = [solution.key for solution in published_solutions()]
    return (*keys, *(("garcia-gomez-2008",) if is_unknown_brew else ()))
