"""What was done to totes, what was measured there, and notes become facts; what looks odd gets a sentence."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from said import GARDEN, grounds, journal_of, refused, say, understood
from steadysow.errors import InputFaults
from steadysow.inputs.journal import FactKind
from steadysow.standing.recording import facts_of
from tiny import day


def test_each_tote_has_its_own_fact() -> None:
    """Facts about totes hold the litres, and the day a resting tote is back."""
    said = understood("topped-up", "a", "B", on=3, litres=2.0)
    assert [(fact.kind, fact.tote, fact.litres) for fact in said.facts] == [
        ("topped-up", "A", 2.0),
        ("topped-up", "B", 2.0),
    ]
    assert understood("fed", "A", on=3, litres=1.0).facts[0].litres == 1.0
    assert understood("scrubbed", "C", on=3).facts[0].tote == "C"
    rest = understood("resting", "C", on=3, until=day(9))
    assert (rest.facts[0].until, rest.warnings) == (day(9), ())
    back = understood("back", "C", on=5, journal=journal_of((3, say("resting", "C", on=3))))
    assert (back.facts[0].tote, back.warnings) == ("C", ())


def test_measurements_come_in_pairs() -> None:
    """Each name and value is a fact; a comma counts as a point."""
    said = understood("measured", "A", "pH", "6,1", "ec", "1.4", "level", "12", "temperature", "19", on=3)
    assert [(fact.what, fact.value) for fact in said.facts] == [
        ("ph", 6.1),
        ("ec", 1.4),
        ("level", 12.0),
        ("temperature", 19.0),
    ]


def test_us_measurements_are_typed_in_inches_and_fahrenheit() -> None:
    """2 inches are 5.08 cm, 68 degrees Fahrenheit are 20 degrees Celsius, and 200 are impossible."""
    ground = replace(grounds(3), garden=replace(GARDEN, units="us"))
    said = facts_of(say("measured", "A", "level", "2", "temperature", "68", on=3), ground)
    assert [fact.value for fact in said.facts] == pytest.approx([5.08, 20.0])
    with pytest.raises(InputFaults, match="from 14 °F to 140 °F"):
        facts_of(say("measured", "A", "temperature", "200", on=3), ground)


@pytest.mark.parametrize(("litres", "named"), [(30.0, "30 litres"), (0.0, "0 litres")])
def test_impossible_litres_are_refused(litres: float, named: str) -> None:
    """A tote of 11 litres takes neither 30 nor none."""
    sentence = refused("topped-up", "A", on=30, litres=litres)
    assert sentence == f"--litres: {named} cannot go into tote A. Write more than 0; the tote holds 11 litres."


def test_a_level_above_the_fill_line_counts_as_full() -> None:
    """11 litres under a lid of 0.112 m2 stand 9.8 cm high."""
    (warning,) = understood("measured", "A", "level", "40", on=30).warnings
    assert warning == (
        "40 cm is above the fill line of tote A, 9.8 cm by its litres and its lid. The tote counts as full."
    )
    assert understood("measured", "A", "level", "9", on=30).warnings == ()


def test_water_for_an_empty_tote_is_odd() -> None:
    """Tote C holds no plants on day 3, which is Tuesday 6 October."""
    assert understood("fed", "C", on=3).warnings == ("Tote C held no plants on Tue 6 Oct.",)


def test_a_note_is_about_a_batch_a_tote_or_the_garden() -> None:
    """A number or a tote before other words is what the note is about."""
    notes = [
        understood("note", *words, on=3).facts[0]
        for words in (("7", "aphids"), ("b", "slimy"), ("aphids", "everywhere"), ("7",))
    ]
    assert [(fact.batch, fact.tote, fact.text) for fact in notes] == [
        (7, "", "aphids"), (None, "B", "slimy"), (None, "", "aphids everywhere"), (None, "", "7")
    ]  # fmt: skip


def test_a_resting_tote_with_plants_is_odd() -> None:
    """Tote A holds cress and mizuna on day 10, tote B only mizuna, tote C nothing."""
    assert understood("resting", "A", on=10).warnings == (
        "Tote A still holds batch 7 (cress) and batch 8 (mizuna). Record what happened to them; otherwise they count "
        "as cleared.",
    )
    assert understood("resting", "B", on=10).warnings == (
        "Tote B still holds batch 9 (mizuna). Record what happened to it; otherwise it counts as cleared.",
    )
    assert understood("resting", "C", on=10).warnings == ()


def test_a_tote_that_comes_back_without_a_rest_is_odd() -> None:
    """The fact is taken all the same."""
    said = understood("back", "C", on=3)
    assert (len(said.facts), said.warnings) == (1, ("Tote C was not resting.",))


@pytest.mark.parametrize(
    ("kind", "what", "more", "words"),
    [
        ("scrubbed", ("Z",), {}, ('there is no tote "Z"', "A, B, C")),
        ("resting", ("C",), {"until": date(2026, 10, 6)}, ("--until", "Tue 6 Oct is not after Tue 6 Oct", "in use")),
        ("measured", ("A", "ph"), {}, ("each measurement needs a name and a value", "record measured A ph 6.1")),
        ("measured", ("A", "hp", "6"), {}, ('unknown measurement "hp"', "one of: ph, ec, level")),
        ("measured", ("A", "ph", "six"), {}, ('"six" is not a number', "record measured A ph 6.1")),
        ("measured", ("A", "ph", "16"), {}, ("ph 16 is not possible", "from 0 to 14")),
        ("measured", ("A", "ph", "nan"), {}, ("ph nan is not possible",)),
        ("note", (), {}, ("the note is empty", "record note")),
        ("scrubbed", ("A",), {"litres": 2.0}, ("--litres", "does not go with scrubbed", "fed or topped-up")),
    ],
)  # fmt: skip
def test_an_impossible_fact_is_refused(
    kind: FactKind, what: tuple[str, ...], more: dict[str, Any], words: tuple[str, ...]
) -> None:
    """The refusal says where, what is wrong and what to write."""
    sentence = refused(kind, *what, on=3, **more)
    for word in words:
        assert word in sentence
