"""Facts about totes: scrubbed, fed, topped up, measured, resting and back; and notes.

Takes a `Saying` and the `Grounds`; gives the facts with sentences about what looks odd, or refuses with what to write.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from steadysow.amounts import Units, celsius_of, cm_of, day_text, listed, litres_text, measure_text
from steadysow.inputs.garden import level_cm
from steadysow.inputs.journal import Fact
from steadysow.inputs.values import suggestion
from steadysow.standing.grounds import Grounds
from steadysow.standing.meaning import begun_batch, find_tote, tote_named
from steadysow.standing.saying import Saying, Understood, refuse

# What can be measured, with the least and most value that is possible [pH], [mS/cm], [cm], [degree C].
MEASURES: Mapping[str, tuple[float, float]] = {
    "ph": (0.0, 14.0),
    "ec": (0.0, 20.0),
    "level": (0.0, 200.0),
    "temperature": (-10.0, 60.0),
}
_EXAMPLE = "Write such as: record measured A ph 6.1 ec 1.4"


def tote_facts(saying: Saying, grounds: Grounds) -> Understood:
    """Make facts of what was done to totes, or measured in one.

    Raises
    ------
    InputFaults
        If there is no such tote, or if an amount or a day is not possible.
    """
    if saying.kind == "measured":
        return _measured(saying, grounds)
    warnings: list[str] = []
    facts = []
    for word in saying.what:
        tote = tote_named(word, grounds)
        facts.append(
            Fact(kind=saying.kind, on=saying.on, tote=tote, litres=saying.litres, until=saying.until, text=saying.text)
        )
        warnings += _water_warnings(facts[-1], grounds)
        if saying.kind == "resting":
            warnings += _rest_warnings(saying, tote, grounds)
        if saying.kind == "back" and not any(
            rest.tote == tote and rest.until_on > saying.on for rest in grounds.standing(saying.on).rests
        ):
            warnings.append(f"Tote {tote} was not resting.")
    return Understood(facts=tuple(facts), warnings=tuple(warnings))


def note_facts(saying: Saying, grounds: Grounds) -> Understood:
    """Make a fact of a note; a batch number or a tote before its words is what the note is about.

    Raises
    ------
    InputFaults
        If the note has no words.
    """
    words = saying.what
    batch, tote = None, ""
    named = find_tote(words[0], grounds) if words else None
    has_number = len(words) > 1 and words[0].isdecimal()
    if has_number and (grounds.planned(int(words[0])) or begun_batch(int(words[0]), grounds)):
        batch, words = int(words[0]), words[1:]
    elif len(words) > 1 and named:
        tote, words = named, words[1:]
    text = " ".join((*words, saying.text)).strip()
    if not text:
        refuse("WHAT", "the note is empty", 'Write its words, such as: record note "aphids on the kale"')
    return Understood(facts=(Fact(kind="note", on=saying.on, batch=batch, tote=tote, text=text),))


def _rest_warnings(saying: Saying, tote: str, grounds: Grounds) -> Iterator[str]:
    """Refuse a rest that ends before it begins; say which plants are still in the tote."""
    if saying.until is not None and saying.until <= saying.on:
        wrong = f"{day_text(saying.until)} is not after {day_text(saying.on)}, when the rest begins"
        refuse("--until", wrong, "Write the first day the tote is in use again")
    still_there = [
        batch for batch in grounds.standing(saying.on).begun if batch.tote == tote and batch.state == "transplanted"
    ]
    if still_there:
        named = listed(f"batch {batch.id} ({batch.crop})" for batch in still_there)
        them, counts = ("it", "it counts") if len(still_there) == 1 else ("them", "they count")
        yield f"Tote {tote} still holds {named}. Record what happened to {them}; otherwise {counts} as cleared."


def _measured(saying: Saying, grounds: Grounds) -> Understood:
    tote, pairs = tote_named(saying.what[0], grounds), saying.what[1:]
    if not pairs or len(pairs) % 2:
        refuse("WHAT", "each measurement needs a name and a value", _EXAMPLE)
    facts = []
    for name, text in zip(pairs[::2], pairs[1::2], strict=True):
        what, value = _measurement(name, text, grounds.garden.units)
        facts.append(Fact(kind="measured", on=saying.on, tote=tote, what=what, value=value, text=saying.text))
    odd = tuple(sentence for fact in facts for sentence in _water_warnings(fact, grounds))
    return Understood(facts=tuple(facts), warnings=odd)


def _measurement(name: str, text: str, units: Units) -> tuple[str, float]:
    """Give what was measured and its value in metric units; a person types it in the units of the garden."""
    what = name.casefold()
    if what not in MEASURES:
        refuse("WHAT", f'unknown measurement "{name}"', suggestion(what, MEASURES))
    try:
        value = float(text.replace(",", "."))
    except ValueError:
        refuse("WHAT", f'"{text}" is not a number', _EXAMPLE)
    if units == "us" and what == "level":
        value = cm_of(value)
    if units == "us" and what == "temperature":
        value = celsius_of(value)
    least, most = MEASURES[what]
    if not least <= value <= most:
        ends = f"{measure_text(what, least, units)} to {measure_text(what, most, units)}"
        refuse("WHAT", f"{what} {text} is not possible", f"Write a value from {ends}")
    return what, value


def _water_warnings(fact: Fact, grounds: Grounds) -> Iterator[str]:
    """Refuse an impossible amount of water; say what looks odd about any other."""
    tote, units = grounds.garden.tote(fact.tote), grounds.garden.units
    if fact.litres is not None and not 0 < fact.litres <= tote.litres:
        wrong = f"{litres_text(fact.litres, units)} cannot go into tote {tote.name}"
        refuse("--litres", wrong, f"Write more than 0; the tote holds {litres_text(tote.litres, units)}")
    if fact.kind == "measured" and fact.what == "level" and fact.value is not None:
        line_cm = level_cm(tote, tote.litres)
        if fact.value > line_cm:
            level, line = (measure_text("level", round(each, 1), units) for each in (fact.value, line_cm))
            yield (
                f"{level} is above the fill line of tote {tote.name}, {line} by its litres and its lid. "
                "The tote counts as full."
            )
    stands = (batch for batch in grounds.standing(fact.on).begun if batch.tote == tote.name)
    if fact.kind in ("fed", "topped-up") and not any(batch.state == "transplanted" for batch in stands):
        yield f"Tote {tote.name} held no plants on {day_text(fact.on)}."
