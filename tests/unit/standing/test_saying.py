"""An option that has no meaning for a fact is refused, and so is a number of holes that does not fit the plants."""

from __future__ import annotations

from typing import get_args

import pytest

from said import say
from steadysow.errors import InputFaults
from steadysow.inputs.journal import FactKind
from steadysow.standing.saying import (
    BATCH_KINDS,
    GOES_WITH,
    TOTE_KINDS,
    need_holes_sentence,
    refuse_several,
    refuse_strays,
    refuse_unlike_counts,
)
from tiny import day

VALUES = {
    "plants": 2, "grams": 5.0, "holes": (1,), "tote": "A", "want": "salad", "litres": 1.0, "until": day(3),
}  # fmt: skip


def test_every_kind_is_about_a_batch_or_a_tote_or_neither() -> None:
    """A note and an undo are about neither; no kind is about both."""
    assert {*get_args(FactKind)} - {*BATCH_KINDS} - {*TOTE_KINDS} == {"note", "undo"}
    assert not {*BATCH_KINDS} & {*TOTE_KINDS}


@pytest.mark.parametrize("kind", get_args(FactKind))
def test_only_the_options_of_a_kind_are_taken(kind: FactKind) -> None:
    """Each option is taken with its kinds and refused by name with all others, with the kinds it goes with."""
    goes = GOES_WITH.get(kind, ())
    for option, value in VALUES.items():
        saying = say(kind, on=1, **{option: value})
        if option in goes:
            refuse_strays(saying, kind, goes)
            continue
        fitting = " or ".join(each for each, options in GOES_WITH.items() if option in options)
        wrong = f"^--{option}: does not go with {kind}. Leave it out; it goes with {fitting}.$"
        with pytest.raises(InputFaults, match=wrong):
            refuse_strays(saying, kind, goes)


@pytest.mark.parametrize(("plants", "holes"), [(2, ()), (None, (1, 2)), (2, (1, 2))])
def test_plants_and_holes_may_agree_or_be_left_out(plants: int | None, holes: tuple[int, ...]) -> None:
    """Nothing is refused where there is nothing to compare, or both say the same."""
    refuse_unlike_counts(say("harvested", "7", on=1, plants=plants, holes=holes))


def test_plants_and_holes_that_differ_are_refused() -> None:
    """One plant needs one hole, and several need as many."""
    with pytest.raises(InputFaults, match=r"^--holes: 2 plants need 2 holes, not 1\. Name one hole for each plant"):
        refuse_unlike_counts(say("harvested", "7", on=1, plants=2, holes=(4,)))
    assert need_holes_sentence(1, 2) == "1 plant needs 1 hole, not 2"


def test_several_batches_are_refused_by_their_numbers() -> None:
    """The refusal names the option, the batches and what to do."""
    with pytest.raises(InputFaults, match=r"^WHAT: you named more than one batch \(8, 9\)\. Record each\.$"):
        refuse_several("WHAT", [8, 9], "Record each")
