"""What to weigh, measure and steep, as plain text: the answer of `steadysow mix`.

Takes a mix, its strength and what the crops ask for; gives the text for a terminal of some width, or for a file or a
pipe.  Needs no library.
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
from steadysow.upkeep.nutrients import (
    STRAINING_LOSS,
    Amount,
    CommonRange,
    CropRanges,
    Level,
    Mix,
    Strength,
    carried_over,
    judged,
    judged_water,
    judged_with_old,
    published_solutions,
)

# Elements that are shown whether or not anything is told of them.
_ALWAYS = ("N", "P", "K", "Ca", "Mg", "S")
_WORDS: dict[float, str] = {
    2: "two",
    3: "three",
    4: "four",
    5: "five",
    6: "six",
    7: "seven",
    8: "eight",
    9: "nine",
    10: "ten",
}
_PARTS_OF: dict[float, str] = {
    2: "half",
    3: "third",
    4: "quarter",
    5: "fifth",
    6: "sixth",
    7: "seventh",
    8: "eighth",
    9: "ninth",
}


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
    """Give what to do, the arithmetic, what comes of it beside published solutions, and cautions.

    Parameters
    ----------
    mix, strength
        What is mixed, and what it comes to.
    units
        Of the garden.
    ranges
        EC and pH for its crops.
    tap_water
        What the water brings along, or ``None``.
    old_litres
        Old solution that the mix is poured onto [L].
    width
        Most characters a line.
    """
    sections = (
        (_title(mix, units), _heading(mix)),
        ("What to do", _steps(mix, units)),
        ("The arithmetic", _arithmetic(mix, units)),
        ("In the tote, mg a litre", _table(strength, mix.litres, old_litres)),
        ("How that is", _words_on(strength, mix.litres, old_litres, tap_water, units)),
        ("EC and pH", tuple(_ranges(ranges, tap_water, is_brew=mix.recipe.is_brew))),
        ("Cautions", mixing_cautions((part.name for part in mix.recipe.parts), brew=mix.recipe.is_brew)),
        ("Sources", tuple(reference_text(read_publication(key)) for key in _sources(strength))),
    )
    lines: list[str] = []
    for title, told in sections:
        if told:
            lines += wrap(title, width)
            for line in told:
                lines += _wrapped(line, width)
            lines.append("")
    return "\n".join(lines[:-1])


def _wrapped(line: str, width: int) -> list[str]:
    """Wrap a sentence under its first word; rows of tables, which are indented already, stay as they are."""
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
        stir = "Add one after the other to the full water, never together undiluted, and stir after each."
        last = stir if len(recipe.parts) > 1 else "Stir it into the full water until it has dissolved."
        return (f"Take {poured_text(mix.water_litres, units)} of water, and measure:", *rows, last)
    return (
        f"1. Take {poured_text(mix.steep_litres, units)} of water, and weigh in:",
        *rows,
        f"2. Steep it {recipe.steep_hours:g} hours, stirred now and then or with an air stone.",
        f"3. Strain it through a cloth: {poured_text(mix.brew_litres, units)} of brew are needed.",
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
    told = [
        f"{_in_words(parts).capitalize()} parts of water to one of brew: {litres} {noun}s / ({parts:g} + 1) = {brew}"
        f" {noun}s of brew{_part_of_strength(parts)}.",
        f"Straining loses about a tenth (estimate): {brew} / {1 - STRAINING_LOSS:g} = {steep} {noun}s of water"
        " to steep.",
        f"The recipe is for {makes} {noun}s, so of each part {steep} / {makes} ="
        f" {digits_text(mix.steep_litres / recipe.makes_litres, 4)} of what it says.",
    ]
    for part in recipe.parts:
        if part.known_by != "salt" or part.grams is None:
            continue
        for element, share in part.content:
            milligrams = 1000 * part.grams * share / recipe.makes_litres
            told.append(
                f"{part.name}: {digits_text(part.grams, 4)} g x {share:.2%} {ELEMENTS[element]} /"
                f" {digits_text(recipe.makes_litres, 4)} litres = {digits_text(milligrams, 4)} mg a litre of brew;"
                f" / {1 + parts:g} = {digits_text(milligrams * recipe.dilution, 3)} in the tote."
            )
    return tuple(told)


def _each_text(amount: Amount, mix: Mix, units: Units) -> str:
    """Give how much of a part goes into a litre, or a gallon, of tote water."""
    taken = amount.grams if amount.ml is None else amount.ml
    assert taken is not None
    each = taken / volume_number(mix.litres, units)
    return f"{digits_text(each, 3)} {'g' if amount.ml is None else 'mL'}"


def _in_words(number: float) -> str:
    return _WORDS.get(number, f"{number:g}")


def _part_of_strength(parts_of_water: float) -> str:
    """Say which part of its strength a brew has once it is diluted, where people tend to get it wrong."""
    right, wrong = _PARTS_OF.get(1 + parts_of_water), _PARTS_OF.get(parts_of_water)
    return f", at a {right} of its strength and not a {wrong}" if right and wrong else ""


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
    if not level.is_recorded:
        return "unknown" if level.unknown_from else "not told"
    return f"{'at least ' if level.unknown_from else ''}{_milligrams(level.mg_per_litre)}"


def _carried_text(level: Level, litres: float, old_litres: float) -> str:
    if not level.is_recorded:
        return ""
    return _ends_text(carried_over(level.mg_per_litre, litres, old_litres))


def _ends_text(ends: tuple[float, float]) -> str:
    least, most = ends
    return _milligrams(least) if least == most else f"{_milligrams(least)} to {_milligrams(most)}"


def _milligrams(amount: float) -> str:
    return f"{amount:.0f}" if amount >= 100 else f"{amount:.3g}"


def _words_on(
    strength: Strength, litres: float, old_litres: float, tap_water: TapWater | None, units: Units
) -> tuple[str, ...]:
    told = [*judged(strength), *judged_water(tap_water)]
    told.append("Lettuce was given Hoagland's solution at a quarter to a fifth of its strength.")
    if old_litres:
        told.append(
            f'"With the old" is what {poured_text(litres, units)} poured onto {poured_text(old_litres, units)} of old'
            " solution make, if the tote was full of the same mix before: the least if the plants took all of it, the"
            " most if they drank water alone. Topping up with plain water restores the volume and takes no salt away."
            " Each such filling may add as much again: measure the EC, and empty the tote between crops."
        )
        told += judged_with_old(strength, litres, old_litres)
    elif any(part.known_by == "salt" for part in strength.recipe.parts):
        told.append("Each feeding adds to what the last one left in the tote: --onto tells how much that may be.")
    return tuple(told)


def _ranges(ranges: Iterable[CropRanges], tap_water: TapWater | None, *, is_brew: bool) -> Iterator[str]:
    told = False
    for each in ranges:
        told = True
        yield f"{listed(each.crops)}: {_range_text('EC', each.ec, ' mS/cm')}; {_range_text('pH', each.ph, '')}."
    if tap_water is not None and tap_water.ec is not None:
        yield f"Tap water brings an EC of {tap_water.ec:g} along, which counts."
    if told and not is_brew:
        yield "Measure the EC after mixing, and add water, or more of the mix, until it is in the range."


def _range_text(name: str, common: CommonRange | None, unit: str) -> str:
    if common is None:
        return f"no {name} suits them all, give them totes of their own"
    suits = "ideal" if common.is_ideal else "tolerated, but not ideal for all"
    return f"{name} {common.least:g} to {common.most:g}{unit} ({suits})"


def _sources(strength: Strength) -> tuple[str, ...]:
    is_unknown_brew = strength.recipe.is_brew and any(part.known_by == "nothing" for part in strength.recipe.parts)
    keys = [solution.key for solution in published_solutions()]
    return (*keys, *(("garcia-gomez-2008",) if is_unknown_brew else ()))
