"""What a person says happened, and what it was understood as.

Gives `Saying`, which a command fills in, and `Understood`, which holds the facts made of it.  Knows which options go
with which kind of fact, and refuses the others.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import NoReturn

from steadysow.errors import one_fault
from steadysow.inputs.journal import Fact, FactKind

# Facts about batches, and facts about totes.
BATCH_KINDS: tuple[FactKind, ...] = (
    "sown", "emerged", "thinned", "transplanted", "harvested", "lost", "bolted", "cleared", "moved",
)  # fmt: skip
TOTE_KINDS: tuple[FactKind, ...] = ("scrubbed", "fed", "topped-up", "measured", "resting", "back")

# The options that go with each kind of fact.  A remark goes with every kind.
GOES_WITH: Mapping[FactKind, tuple[str, ...]] = {
    "sown": ("plants", "tote", "holes", "want"),
    "emerged": ("plants",),
    "thinned": ("plants",),
    "transplanted": ("plants", "tote", "holes"),
    "harvested": ("plants", "grams", "holes"),
    "lost": ("plants", "holes"),
    "bolted": ("plants", "holes"),
    "moved": ("holes",),
    "fed": ("litres",),
    "topped-up": ("litres",),
    "resting": ("until",),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Saying:
    """What a person says happened.

    Attributes
    ----------
    kind, on
        What happened, and on which day.
    what
        Batch numbers, totes or a crop. For `measured` also each measure and its value, for `moved` the new tote at the
        end, for `note` its words.
    plants, grams, holes, litres, until, text
        As in a `Fact`.
    tote
        The tote of an unplanned sowing or of a transplant into another tote; empty if not given.
    want
        The want of an unplanned sowing; empty if not given.
    """

    kind: FactKind
    on: date
    what: tuple[str, ...] = ()
    plants: int | None = None
    grams: float | None = None
    holes: tuple[int, ...] = ()
    tote: str = ""
    want: str = ""
    litres: float | None = None
    until: date | None = None
    text: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Understood:
    """Facts to add to the journal, and sentences about what looks odd in them."""

    facts: tuple[Fact, ...]
    warnings: tuple[str, ...] = ()


def refuse(argument: str, wrong: str, write: str) -> NoReturn:
    """Refuse an argument: say what is wrong with it and what to write."""
    raise one_fault(argument, wrong, write)


def refuse_strays(saying: Saying, named: str, goes: Iterable[str]) -> None:
    """Refuse an option that has no meaning here, so that nothing a person typed is dropped in silence.

    Parameters
    ----------
    saying
        What was typed.
    named
        The word it was typed for.
    goes
        The options that go with that word.
    """
    for option, value in {
        "plants": saying.plants,
        "grams": saying.grams,
        "holes": saying.holes or None,
        "tote": saying.tote or None,
        "want": saying.want or None,
        "litres": saying.litres,
        "until": saying.until,
    }.items():
        if value is not None and option not in goes:
            fitting = " or ".join(kind for kind, options in GOES_WITH.items() if option in options)
            refuse(f"--{option}", f"does not go with {named}", f"Leave it out; it goes with {fitting}")


def refuse_several(option: str, numbers: Iterable[int | None], write: str) -> NoReturn:
    """Refuse words that mean more than one batch where only one can be meant."""
    listed = ", ".join(str(number) for number in numbers)
    refuse(option, f"you named more than one batch ({listed})", write)


def refuse_unlike_counts(saying: Saying) -> None:
    """Refuse a number of holes that differs from the number of plants beside it."""
    if saying.holes and saying.plants is not None and len(saying.holes) != saying.plants:
        wrong = need_holes_sentence(saying.plants, len(saying.holes))
        refuse("--holes", wrong, "Name one hole for each plant, or leave out one of the two options")


def need_holes_sentence(plants: int, holes: int) -> str:
    """Say that plants need one hole each, such as ``2 plants need 2 holes, not 1``."""
    return f"{plants} plants need {plants} holes, not {holes}" if plants != 1 else f"1 plant needs 1 hole, not {holes}"
