"""The words of `record` become facts, and facts become sentences; the plan is that of `test_recording`."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta

import pytest

from cellar import CROPS, PLANTED_ON, SOWN_ON, a_batch, a_garden, a_plan, heads
from steadysow.chores.chore import ANSWERED_BY, Chore
from steadysow.chores.listing import list_chores
from steadysow.door.words import read_holes, read_kind, sentence_of, understand
from steadysow.errors import InputFaults
from steadysow.inputs.garden import Garden
from steadysow.inputs.journal import Fact, Journal, imagined
from steadysow.standing.grounds import Grounds
from steadysow.standing.recording import Saying
from steadysow.standing.standing import plan_as_recorded

ON = date(2026, 11, 7)


@pytest.mark.parametrize(
    ("text", "kind"),
    [("sown", "sown"), ("SOWN", "sown"), ("topped up", "topped-up"), ("topped_up", "topped-up"), ("done", "done")],
)  # fmt: skip
def test_kinds_are_read_as_people_type_them(text: str, kind: str) -> None:
    """Capitals, blanks and underscores make no difference."""
    assert read_kind(text) == kind


@pytest.mark.parametrize(
    ("text", "near"), [("scrubed", "scrubbed"), ("harvest", "harvested"), ("transplantd", "transplanted")]
)
def test_a_kind_typed_wrongly_gets_the_nearest(text: str, near: str) -> None:
    """The nearest kind is suggested."""
    with pytest.raises(InputFaults, match=rf'FACT: unknown word "{text}". Did you mean {near}\?'):
        read_kind(text)


def test_a_word_that_is_like_no_kind_gets_them_all() -> None:
    """Where none is near, all are listed, done among them."""
    with pytest.raises(InputFaults, match=r"Write one of: sown, emerged, .*undo, done"):
        read_kind("zzz")


@pytest.mark.parametrize(
    ("text", "holes"),
    [("", ()), ("7", (7,)), ("1-3,7", (1, 2, 3, 7)), ("1, 2 3", (1, 2, 3)), ("2-2", (2,)), ("1-2,2", (1, 2))],
)
def test_holes_are_read_as_ranges(text: str, holes: tuple[int, ...]) -> None:
    """Numbers and ranges, with commas or blanks, each once."""
    assert read_holes(text) == holes


@pytest.mark.parametrize("text", ["0", "a", "1-", "-3", "1..3", "0-2", "99999", "3-1"])
def test_what_names_no_hole_is_refused(text: str) -> None:
    """Holes are counted from 1, and a range runs upwards."""
    with pytest.raises(InputFaults, match=r"--holes: .* names no hole\. Write numbers from 1 on, such as 1-3,7"):
        read_holes(text)


@pytest.mark.parametrize(
    ("fact", "sentence"),
    [
        (
            Fact(number=3, kind="sown", on=ON, batch=12, crop="kale", want="pan", tote="A", holes=(1, 2, 4), plants=3),
            "Batch 12 sown, 3 kale for pan, tote A 1-2, 4, Sat 7 Nov (fact 3).",
        ),
        (
            Fact(number=4, kind="emerged", on=ON, batch=12, plants=1, planned_on=date(2026, 11, 5)),
            "Batch 12 emerged, 1 cell, Sat 7 Nov, planned for Thu 5 Nov (fact 4).",
        ),
        (
            Fact(number=5, kind="harvested", on=ON, batch=12, plants=2, grams=85.04, planned_on=ON, text="sweet"),
            'Batch 12 harvested, 2 plants, 85 g, Sat 7 Nov: "sweet" (fact 5).',
        ),
        (
            Fact(number=6, kind="transplanted", on=ON, batch=12, tote="B", holes=(5,), assumed=True),
            "Batch 12 transplanted, tote B 5, Sat 7 Nov, taken to have gone as planned (fact 6).",
        ),
        (Fact(number=7, kind="lost", on=ON, batch=12, holes=(2,)), "Batch 12 lost, hole 2, Sat 7 Nov (fact 7)."),
        (
            Fact(number=8, kind="measured", on=ON, tote="A", what="ph", value=6.0),
            "Tote A measured, ph 6, Sat 7 Nov (fact 8).",
        ),
        (
            Fact(number=9, kind="resting", on=ON, tote="A", until=date(2026, 12, 5)),
            "Tote A resting, from Sat 7 Nov until Sat 5 Dec (fact 9).",
        ),
        (Fact(number=10, kind="resting", on=ON, tote="A"), "Tote A resting, Sat 7 Nov (fact 10)."),
        (Fact(number=11, kind="topped-up", on=ON, tote="A"), "Tote A topped up, Sat 7 Nov (fact 11)."),
        (Fact(number=12, kind="note", on=ON, text="aphids"), 'Noted, Sat 7 Nov: "aphids" (fact 12).'),
        (
            Fact(number=13, kind="note", on=ON, tote="A", text="slimy"),
            'Noted about tote A, Sat 7 Nov: "slimy" (fact 13).',
        ),
        (
            Fact(number=14, kind="note", on=ON, batch=3, text="tall"),
            'Noted about batch 3, Sat 7 Nov: "tall" (fact 14).',
        ),
    ],
)  # fmt: skip
def test_a_fact_is_shown_as_it_was_understood(fact: Fact, sentence: str) -> None:
    """One sentence says what, how much, where and when, with its number for an undo."""
    assert sentence_of(fact, "metric", Journal(facts=(fact,))) == sentence


def test_weights_follow_the_units() -> None:
    """An ounce is 28.35 g."""
    fact = Fact(number=5, kind="harvested", on=ON, batch=12, grams=85.05)
    assert sentence_of(fact, "us", Journal(facts=(fact,))) == "Batch 12 harvested, 3.0 oz, Sat 7 Nov (fact 5)."


def test_an_undo_tells_what_it_takes_back() -> None:
    """A fact, or another undo."""
    lost = Fact(number=1, kind="lost", on=ON, batch=12)
    back = Fact(number=2, kind="undo", on=ON, undoes=1)
    again = Fact(number=3, kind="undo", on=ON, undoes=2)
    journal = Journal(facts=(lost, back, again))
    assert sentence_of(back, "metric", journal) == "Took back fact 1: Batch 12 lost, Sat 7 Nov (fact 2)."
    assert sentence_of(again, "metric", journal) == "Took back fact 2: the taking back of fact 1 (fact 3)."


# What `record done` makes of a day; the plan is made of the batches of `cellar`.

GARDEN = a_garden(change_every_days=14)
PLAN = a_plan(a_batch(), heads())


def grounds(today: date, journal: Journal, garden: Garden = GARDEN) -> Grounds:
    """Give what is understood on a day."""
    return Grounds(garden=garden, learnt=CROPS, plan=PLAN, journal=journal, today=today)


def due(today: date, journal: Journal, garden: Garden = GARDEN) -> Mapping[str, Chore]:
    """Give the chores of a day that can be recorded and are not yet, by key."""
    now = grounds(today, journal, garden)
    plan = plan_as_recorded(PLAN, now.standing(today), today)
    chores = list_chores(garden, plan, facts=journal.standing)
    return {
        chore.key: chore
        for chore in chores
        if chore.on == today and chore.kind in ANSWERED_BY and not chore.is_recorded
    }


def done(today: date, journal: Journal, garden: Garden = GARDEN) -> tuple[Journal, tuple[Fact, ...]]:
    """Record the chores of a day as done."""
    facts = understand("done", Saying(kind="note", on=today), grounds(today, journal, garden)).facts
    return imagined(journal, facts)


@pytest.mark.parametrize("nutrient", ["one-part powder", "castings brew"])
def test_who_says_done_every_day_is_asked_for_nothing_twice(nutrient: str) -> None:
    """Sixty-six days, on each of which all that is due is recorded as done.

    Each recording answers all of its day, no chore ever comes back, and each top-up, feed and filling is written down
    with the litres that were asked for.
    """
    garden = a_garden(change_every_days=14, nutrient=nutrient)
    journal, asked = Journal(), set[str]()
    seen = set[str]()
    for number in range(66):
        today = SOWN_ON + timedelta(number)
        chores = due(today, journal, garden)
        assert not asked & set(chores), "asked again for what is recorded"
        asked |= set(chores)
        if not chores:
            continue
        journal, facts = done(today, journal, garden)
        assert due(today, journal, garden) == {}
        with pytest.raises(InputFaults, match="is left to record"):
            done(today, journal, garden)
        poured = sorted(
            (chore.tote, ANSWERED_BY[chore.kind], chore.litres) for chore in chores.values() if chore.litres
        )
        wet = sorted((fact.tote, fact.kind, fact.litres) for fact in facts if fact.litres is not None)
        # A change is recorded as the scrubbing that it is: what is poured in is a full tote.
        assert wet == [each for each in poured if each[1] != "scrubbed"]
        seen |= {chore.kind for chore in chores.values()}
    assert seen >= {"sow", "thin", "fill", "transplant", "top-up", "change", "harvest", "clear", "clean"}


def test_filling_is_recorded_with_its_litres_before_planting() -> None:
    """On the day of planting both totes are fed with 11 litres, and the batches are transplanted."""
    _, facts = done(PLANTED_ON, Journal())
    assert [(fact.kind, fact.tote, fact.litres) for fact in facts if fact.kind == "fed"] == [
        ("fed", "A", 11.0),
        ("fed", "F", 11.0),
    ]
    kinds = [fact.kind for fact in facts if not fact.assumed]
    assert kinds.index("transplanted") > kinds.index("fed")


def test_what_cannot_be_recorded_is_not_asked_for() -> None:
    """The round of 31 October is no fact, so that on a day with nothing else there is nothing to record."""
    every = list_chores(GARDEN, PLAN)
    only = {chore.on for chore in every if chore.kind == "check"} - {
        chore.on for chore in every if chore.kind in ANSWERED_BY
    }
    assert only
    with pytest.raises(InputFaults, match="is left to record"):
        done(min(only), Journal())
