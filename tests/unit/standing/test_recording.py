"""What a person says, made into facts; the batches of the plan are written by hand, and days counted from day 0.

Batch 7: four heads of cress in A 1-4, planted on day 7, two to be taken on day 21 and two on day 28.  Batches 8 and 9:
four mizuna in A 5-8 and two in B 1-2, sown and planted with the cress, to be cut on days 21 and 28.  Batch 10: three
rocket sown in their pots in B 5-7 on day 14.  Batch 11: two mizuna in B 3-4, sown on day 21.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from steadysow.errors import InputFaults
from steadysow.inputs.crops import Crop
from steadysow.inputs.journal import Fact, FactKind, Journal, imagined
from steadysow.plan.batch import Batch, Harvest
from steadysow.plan.plan import Plan, Proof
from steadysow.standing.answers import divided, weighed
from steadysow.standing.grounds import Grounds
from steadysow.standing.recording import Saying, Told, facts_of, undone
from tiny import START, by_name, day, make_crop, make_garden, make_tote, make_want

CRESS = make_crop("cress", lid_holes=8, nursery_days=(7, 14), first_days=14, window_days=10)
MIZUNA = make_crop(
    "mizuna", "cut", lid_holes=8, nursery_days=(7, 14), first_days=14, between_days=7, grams=(10.0, 10.0)
)
ROCKET = make_crop("rocket", "cut", lid_holes=8, sown_in="pot", first_days=14, between_days=7, grams=(10.0, 10.0))
BRINE = make_crop("brine cress", nursery_days=(7, 14), first_days=14, ec=(3.0, 4.0))
CROPS = by_name([CRESS, MIZUNA, ROCKET, BRINE])
GARDEN = make_garden(
    [make_tote("A", 8), make_tote("B", 8), make_tote("C", 4)],
    [make_want(CROPS.values(), 1), make_want([MIZUNA], 1, name="pan")],
    weeks=8,
    crops=CROPS.values(),
)


def harvest(kind: str, number: int, on: int, holes: tuple[int, ...], grams: float) -> Harvest:
    """Plan a harvest that can wait for three days."""
    return Harvest(
        on=day(on), latest_on=day(on + 3), kind=kind, number=number, holes=holes, plants=len(holes), grams=grams,  # type: ignore[arg-type]
    )  # fmt: skip


def batch(
    id: int, crop: str, tote: str, holes: tuple[int, ...], cells: int, *harvests: Harvest, sown: int = 0
) -> Batch:
    """Plan a batch that is planted a week after its sowing, unless it is sown in its pot."""
    return Batch(
        id=id, crop=crop, want="salad", place="shelf", tote=tote, holes=holes, plants=len(holes), cells=cells,
        seeds=2 * cells, state="planned", sown_on=day(sown), emerges_on=day(sown + 1),
        transplanted_on=day(sown if crop == "rocket" else sown + 7), cleared_on=harvests[-1].on, harvests=harvests,
    )  # fmt: skip


def cuts(holes: tuple[int, ...], *on: int) -> tuple[Harvest, ...]:
    """Plan cuts of 10 g a plant."""
    return tuple(harvest("cut", number, each, holes, 10.0 * len(holes)) for number, each in enumerate(on, start=1))


HEADS = (harvest("head", 1, 21, (1, 2), 200.0), harvest("head", 2, 28, (3, 4), 200.0))
PLAN = Plan(
    garden="tiny",
    uuid="6f0a3a54-2f5e-4c8e-9d3e-0f6c1f0f3f01",
    starts_on=START,
    made_on=START,
    from_on=START,
    until_on=day(56),
    proof=Proof(
        served_share=1.0, best_share=1.0, bound_share=1.0, served_share_all_weeks=1.0, status="optimal", seconds=1.0,
        deep_gaps=0, sowings=1, best_sowings=1,
    ),
    batches=(
        batch(7, "cress", "A", (1, 2, 3, 4), 5, *HEADS),
        batch(8, "mizuna", "A", (5, 6, 7, 8), 5, *cuts((5, 6, 7, 8), 21, 28)),
        batch(9, "mizuna", "B", (1, 2), 2, *cuts((1, 2), 21, 28)),
        batch(10, "rocket", "B", (5, 6, 7), 3, *cuts((5, 6, 7), 28, 35), sown=14),
        batch(11, "mizuna", "B", (3, 4), 2, *cuts((3, 4), 42), sown=21),
    ),
    weeks=(),
)  # fmt: skip


def journal(*sayings: tuple[int, Saying]) -> Journal:
    """Give a journal of what was said on some days."""
    told = Journal()
    for today, saying in sayings:
        told, _ = imagined(told, facts_of(saying, grounds(today, told)).facts)
    return told


def grounds(today: int, told: Journal | None = None, learnt: Sequence[Crop] = (), plan: Plan | None = PLAN) -> Grounds:
    """Give what is understood on a day."""
    return Grounds(
        garden=GARDEN,
        learnt={**CROPS, **by_name(learnt)},
        plan=plan,
        journal=told or Journal(),
        today=day(today),
    )


def say(kind: FactKind, *what: str, on: int, **more: Any) -> Saying:
    """Say something of a day."""
    return Saying(kind=kind, what=what, on=day(on), **more)


def tell(
    kind: FactKind, *what: str, on: int, told: Journal | None = None, today: int | None = None, **more: Any
) -> Told:
    """Tell something, on its day unless another is said."""
    return facts_of(say(kind, *what, on=on, **more), grounds(on if today is None else today, told))


def of(told: Told, kind: FactKind) -> list[Fact]:
    """Give the facts of a kind."""
    return [fact for fact in told.facts if fact.kind == kind]


def refused(
    kind: FactKind, *what: str, on: int, told: Journal | None = None, today: int | None = None, **more: Any
) -> str:
    """Give the one sentence with which something is refused; it never speaks of a line of the journal."""
    with pytest.raises(InputFaults) as refusal:
        tell(kind, *what, on=on, told=told, today=today, **more)
    (fault,) = refusal.value.faults
    assert fault.file.startswith("--") or fault.file == "WHAT"
    sentence = str(fault)
    assert "journal.jsonl" not in sentence
    assert ": fact " not in sentence
    return sentence


# Which batches are meant.


@pytest.mark.parametrize(
    ("kind", "on", "word", "batches"),
    [
        ("sown", 0, "7", [7]),
        ("sown", 0, "mizuna", [8, 9]),
        ("sown", 0, "A", [7, 8]),
        ("sown", 14, "rocket", [10]),
        ("emerged", 2, "7", [7]),
        ("emerged", 2, "b", [9]),
        ("emerged", 2, "Mizuna", [8, 9]),
        ("thinned", 3, "cress", [7]),
        ("thinned", 3, "A", [7, 8]),
        ("transplanted", 7, "8", [8]),
        ("transplanted", 7, "B", [9]),
        ("transplanted", 7, "mizuna", [8, 9]),
        ("harvested", 21, "9", [9]),
        ("harvested", 21, "A", [7, 8]),
        ("harvested", 21, "mizuna", [8, 9]),
        ("lost", 10, "8", [8]),
        ("lost", 10, "cress", [7]),
        ("bolted", 10, "cress", [7]),
        ("bolted", 10, "B", [9]),
        ("cleared", 22, "8", [8]),
        ("cleared", 22, "A", [7, 8]),
        ("cleared", 10, "cress", [7]),
        ("moved", 10, "9", [9]),
    ],
)
def test_a_number_a_tote_or_a_crop_finds_its_batches(kind: FactKind, on: int, word: str, batches: list[int]) -> None:
    """Each kind of fact is understood by number, by tote and by crop, in whatever letters, and means those in turn."""
    what = (word, "C") if kind == "moved" else (word,)
    facts = of(tell(kind, *what, on=on), kind)
    told = [fact for fact in facts if not fact.assumed]
    assert [fact.batch for fact in told] == batches
    assert {fact.on for fact in told} == {day(on)}


def test_a_crop_means_the_sowing_that_lies_nearest() -> None:
    """Two weeks after the first mizuna, and a week before the next: the next is meant, said to be early."""
    told = tell("sown", "mizuna", on=14)
    assert [(fact.batch, fact.planned_on) for fact in told.facts] == [(11, day(21))]
    assert told.warnings == ("Batch 11 (mizuna) was to be sown on 2026-10-24, 7 days later.",)


def test_a_crop_is_known_by_its_last_word_where_one_alone_ends_in_it() -> None:
    """Cress is the name of a crop, though brine cress ends in it too; nobody has to write brine cress in full caps."""
    assert of(tell("sown", "CRESS", on=0), "sown")[0].batch == 7


def test_a_waiting_batch_is_not_cleared_bolted_or_moved_by_its_tote() -> None:
    """On day 5 all wait in the nursery."""
    for kind in ("cleared", "bolted"):
        assert "nothing in tote A that could be" in refused(kind, "A", on=5)
    assert "nothing of cress that could be cleared" in refused("cleared", "cress", on=5)


# What is written.


def test_stages_before_the_first_fact_are_written_as_assumed() -> None:
    """A harvest of a batch of which nothing was told writes its sowing and planting, as planned, before it."""
    facts = tell("harvested", "7", on=21, plants=2, grams=150.0).facts
    assert [(fact.kind, fact.on, fact.assumed) for fact in facts] == [
        ("sown", day(0), True), ("transplanted", day(7), True), ("harvested", day(21), False)
    ]  # fmt: skip
    assert (facts[0].plants, facts[0].cells, facts[0].seeds, facts[0].holes) == (4, 5, 10, (1, 2, 3, 4))
    assert (facts[1].tote, facts[1].holes) == ("A", (1, 2, 3, 4))


def test_what_was_told_before_is_not_written_again() -> None:
    """After sowing and planting were told, a harvest is one fact."""
    told = journal((0, say("sown", "7", on=0)), (7, say("transplanted", "7", on=7)))
    assert [fact.kind for fact in tell("harvested", "7", on=21, told=told).facts] == ["harvested"]
    assert not any(fact.assumed for fact in told.facts)


def test_a_pot_is_never_written_as_transplanted() -> None:
    """A crop sown in its pot has its sowing written before a cut, and no planting."""
    kinds = [fact.kind for fact in tell("harvested", "10", on=28).facts]
    assert kinds == ["sown", "harvested"]


def test_a_harvest_says_what_had_been_planned_and_forecast() -> None:
    """Planted on day 7, due 14 days later as published and 10 as learnt; two heads of 100 g; planned for day 21."""
    quick = replace(CRESS, harvest=replace(CRESS.harvest, first_days=10))
    fact = facts_of(say("harvested", "7", on=20), grounds(20, learnt=[quick])).facts[-1]
    assert (fact.planned_on, fact.published_on, fact.due_on) == (day(21), day(21), day(17))
    assert (fact.plants, fact.planned_grams) == (2, 200.0)


def test_a_second_cut_is_due_after_the_first() -> None:
    """The first cut was told a day late, on day 22: the next is due 7 days after it, and three of four weigh 30 g."""
    told = journal((22, say("harvested", "8", on=22)))
    fact = tell("harvested", "8", on=29, told=told, plants=3).facts[-1]
    assert (fact.due_on, fact.planned_on, fact.planned_grams) == (day(29), day(28), 30.0)


@pytest.mark.parametrize(("number", "plants"), [("7", 2), ("8", None)])
@pytest.mark.parametrize("on", [22, 24])
def test_a_harvest_told_late_answers_the_planned_one(number: str, plants: int | None, on: int) -> None:
    """What was planned for day 21, and taken as done in silence since, is told to have happened a day or more later."""
    fact = tell("harvested", number, on=on).facts[-1]
    assert (fact.planned_on, fact.due_on, fact.plants) == (day(21), day(21), plants)
    assert fact.planned_grams == (200.0 if number == "7" else 40.0)


def test_the_last_harvest_may_be_told_late_by_crop() -> None:
    """On day 30 all is over in silence; the cress of day 28 was taken then, and so was the mizuna cut of that day."""
    told = journal((21, say("harvested", "7", on=21)), (21, say("harvested", "mizuna", on=21)))
    cress = tell("harvested", "cress", on=30, told=told).facts[-1]
    assert (cress.batch, cress.plants, cress.planned_on) == (7, 2, day(28))
    cuts_told = of(tell("harvested", "mizuna", on=30, told=told), "harvested")
    assert [(fact.batch, fact.planned_on) for fact in cuts_told] == [(8, day(28)), (9, day(28))]


def test_plants_holes_grams_and_words_are_kept() -> None:
    """What is told besides goes into the fact."""
    fact = tell("harvested", "7", on=21, holes=(3, 4), grams=170.0, text="sweet").facts[-1]
    assert (fact.holes, fact.grams, fact.text) == ((3, 4), 170.0, "sweet")
    assert tell("lost", "8", on=10, plants=2, text="rot").facts[-1].plants == 2
    assert tell("bolted", "8", on=10, holes=(5,)).facts[-1].holes == (5,)


# Sharing.


def test_cells_that_are_up_are_shared_among_merged_sowings() -> None:
    """Six of the seven cells of batches 8 (five) and 9 (two): in proportion 4.3 and 1.7, so four and two."""
    facts = of(tell("emerged", "mizuna", on=2, plants=6), "emerged")
    assert [(fact.batch, fact.plants) for fact in facts] == [(8, 4), (9, 2)]


def test_a_weight_is_shared_among_what_was_cut_together() -> None:
    """100 g of four and two plants: two thirds and one third; without a number of plants all were cut."""
    facts = of(tell("harvested", "mizuna", on=21, grams=100.0), "harvested")
    assert [(fact.batch, fact.plants, fact.grams) for fact in facts] == [(8, None, 66.7), (9, None, 33.3)]


def test_plants_are_shared_with_their_weight() -> None:
    """Three of the six were cut: two and one, with 40 g and 20 g."""
    facts = of(tell("harvested", "mizuna", on=21, plants=3, grams=60.0), "harvested")
    assert [(fact.batch, fact.plants, fact.grams) for fact in facts] == [(8, 2, 40.0), (9, 1, 20.0)]


def test_a_batch_named_twice_is_told_once() -> None:
    """Batch 8 stands in tote A."""
    facts = of(tell("cleared", "8", "A", on=22), "cleared")
    assert sorted(fact.batch or 0 for fact in facts) == [7, 8]


@pytest.mark.parametrize("parts", [[5, 2], [3, 3, 3, 1], [1, 1, 1], [10, 10, 1], [0, 4], [7]])
def test_a_shared_number_adds_up_and_gives_nobody_more_than_there_is(parts: list[int]) -> None:
    """Whatever the number, shares are whole, add up, stay within their parts, and are within one of the proportion."""
    for number in range(sum(parts) + 1):
        shares = divided(number, parts)
        assert sum(shares) == number
        assert all(0 <= share <= part for share, part in zip(shares, parts, strict=True))
        assert all(abs(share - number * part / sum(parts)) < 1 for share, part in zip(shares, parts, strict=True))


@pytest.mark.parametrize("parts", [[1, 1, 1], [4, 2], [3, 0], [0, 0]])
def test_a_shared_weight_adds_up(parts: list[int]) -> None:
    """No gram is lost by rounding, and none where the parts are all nought."""
    shares = [share for share in weighed(100.0, parts) if share is not None]
    assert sum(shares) == pytest.approx(100.0)
    assert len(shares) == len(parts)


# Sowings.


def test_another_number_of_plants_changes_cells_and_seeds() -> None:
    """Three instead of four; every seed comes up, so three cells with the two seeds of the plan each."""
    (fact,) = tell("sown", "7", on=0, plants=3).facts
    assert (fact.plants, fact.cells, fact.seeds, fact.holes) == (3, 3, 6, (1, 2, 3))


def test_a_sowing_that_was_not_planned_is_a_new_batch() -> None:
    """On day 0 no brine cress is planned: batch 12, in the nursery, for the first want that asks for it."""
    (fact,) = tell("sown", "brine cress", on=0, plants=3).facts
    assert (fact.batch, fact.crop, fact.want, fact.plants, fact.cells, fact.seeds) == (
        12,
        "brine cress",
        "salad",
        3,
        3,
        3,
    )
    assert (fact.tote, fact.holes) == ("", ())


def test_an_unplanned_sowing_in_pots_takes_free_holes() -> None:
    """On day 10 B 1-2 are taken by mizuna: four rocket stand in holes 3 to 6, at the tote's place."""
    (fact,) = tell("sown", "rocket", on=10, plants=4, tote="b", want="salad").facts
    assert (fact.batch, fact.tote, fact.holes, fact.place) == (12, "B", (3, 4, 5, 6), "shelf")


def test_two_sowings_said_at_once_take_different_holes_and_numbers() -> None:
    """What the first crop takes is not free for the second."""
    crops = {**CROPS, "radish": replace(ROCKET, name="radish")}
    garden = replace(GARDEN, wants=(make_want(crops.values(), 1),), crops=crops)
    saying = say("sown", "rocket", "radish", on=0, tote="C", plants=2)
    ground = replace(grounds(0, plan=None), garden=garden)
    with pytest.raises(InputFaults, match="more than one batch"):
        facts_of(saying, ground)
    first = facts_of(replace(saying, what=("rocket",)), ground)
    second = facts_of(replace(saying, what=("radish",)), ground.with_facts(first.facts))
    told = [(fact.batch, fact.holes) for each in (first, second) for fact in each.facts]
    assert told == [(1, (1, 2)), (2, (3, 4))]


def test_a_number_that_was_taken_back_is_never_used_again() -> None:
    """The sowing of batch 12 was taken back: the next is 13."""
    told = journal((0, say("sown", "brine cress", on=0, plants=1)))
    told, _ = imagined(told, (undone(told, None, day(0)),))
    assert tell("sown", "brine cress", on=0, plants=1, told=told).facts[0].batch == 13


def test_pots_may_be_sown_elsewhere_than_planned() -> None:
    """Into tote C instead of B: its first three holes."""
    (fact,) = tell("sown", "10", on=14, tote="C").facts
    assert (fact.tote, fact.holes, fact.plants) == ("C", (1, 2, 3), 3)


# Planting and moving.


def test_planted_into_another_tote_it_takes_free_holes() -> None:
    """On day 7 tote C is empty."""
    fact = tell("transplanted", "9", on=7, tote="c").facts[-1]
    assert (fact.tote, fact.holes, fact.planned_on) == ("C", (1, 2), day(7))


def test_two_batches_said_at_once_are_planted_side_by_side() -> None:
    """Batch 8 takes C 1-4: there is no room for batch 9; in B both fit, holes 1 to 4 and the next two."""
    assert "free holes for 0 of 2 plants" in refused("transplanted", "8", "9", on=7, tote="C")
    facts = of(tell("transplanted", "8", "7", on=7, tote="B"), "transplanted")
    assert [(fact.batch, fact.holes) for fact in facts] == [(8, (1, 2, 3, 4)), (7, (5, 6, 7, 8))]


def test_moved_it_takes_free_holes_or_those_that_are_named() -> None:
    """Two heads of batch 7 are left on day 22; holes may be named."""
    told = journal((21, say("harvested", "7", on=21)))
    assert tell("moved", "7", "C", on=22, told=told).facts[-1].holes == (1, 2)
    assert tell("moved", "7", "C", on=22, told=told, holes=(2, 4)).facts[-1].holes == (2, 4)


# Totes and notes.


def test_facts_about_totes() -> None:
    """Each tote has its own fact, with litres, and the day it is back."""
    told = tell("topped-up", "a", "B", on=3, litres=2.0)
    assert [(fact.kind, fact.tote, fact.litres) for fact in told.facts] == [
        ("topped-up", "A", 2.0),
        ("topped-up", "B", 2.0),
    ]
    assert tell("fed", "A", on=3, litres=1.0).facts[0].litres == 1.0
    assert tell("scrubbed", "C", on=3).facts[0].tote == "C"
    rest = tell("resting", "C", on=3, until=day(9))
    assert (rest.facts[0].until, rest.warnings) == (day(9), ())
    told_back = tell("back", "C", on=5, told=journal((3, say("resting", "C", on=3))))
    assert (told_back.facts[0].tote, told_back.warnings) == ("C", ())


def test_measurements_come_in_pairs() -> None:
    """Each pair is a fact; a comma is a point."""
    told = tell("measured", "A", "pH", "6,1", "ec", "1.4", "level", "12", "temperature", "19", on=3)
    assert [(fact.what, fact.value) for fact in told.facts] == [
        ("ph", 6.1),
        ("ec", 1.4),
        ("level", 12.0),
        ("temperature", 19.0),
    ]


def test_us_measurements_are_told_in_inches_and_fahrenheit() -> None:
    """2 inches are 5.08 cm, 68 degrees Fahrenheit are 20 degrees Celsius; nobody's water has 200."""
    ground = replace(grounds(3), garden=replace(GARDEN, units="us"))
    told = facts_of(say("measured", "A", "level", "2", "temperature", "68", on=3), ground)
    assert [fact.value for fact in told.facts] == pytest.approx([5.08, 20.0])
    with pytest.raises(InputFaults) as refusal:
        facts_of(say("measured", "A", "temperature", "200", on=3), ground)
    assert "from 14 °F to 140 °F" in str(refusal.value)


def test_water_that_cannot_be_is_refused_and_odd_water_is_told() -> None:
    """A tote of 11 litres takes no 30, and none; above its line, 9.8 cm by its lid, it is full; C stands empty."""
    for litres in (30.0, 0.0):
        assert "It holds 11 litres" in refused("topped-up", "A", on=30, litres=litres)
    (warning,) = tell("measured", "A", "level", "40", on=30).warnings
    assert "above the line of tote A, 9.8 cm" in warning
    assert tell("measured", "A", "level", "9", on=30).warnings == ()
    assert tell("fed", "C", on=3).warnings == ("Nothing stands in tote C on that day.",)


def test_notes_are_of_a_batch_of_a_tote_or_of_the_garden() -> None:
    """A number or a tote in front of other words is what the note is about."""
    told = [
        tell("note", *words, on=3).facts[0]
        for words in (("7", "aphids"), ("b", "slimy"), ("aphids", "everywhere"), ("7",))
    ]
    assert [(fact.batch, fact.tote, fact.text) for fact in told] == [
        (7, "", "aphids"), (None, "B", "slimy"), (None, "", "aphids everywhere"), (None, "", "7")
    ]  # fmt: skip


# What cannot be.

PLANTED = journal((7, say("transplanted", "7", on=7)))


@pytest.mark.parametrize(
    ("kind", "what", "on", "more", "words"),
    [
        ("harvested", ("7",), 6, {}, ("WHAT: batch 7", "not been transplanted", "Record `transplanted`")),
        ("harvested", ("7",), 21, {"plants": 9}, ("--plants", "9 were harvested of 4 plants", "Write 4 or less")),
        ("harvested", ("8",), 21, {"plants": 9}, ("--plants", "9 were harvested of 4 plants", "Write 4 or less")),
        ("harvested", ("mizuna",), 21, {"plants": 9}, ("9 plants", "of 6", "batches 8, 9", "Write 6 or less")),
        ("harvested", ("7",), 21, {"plants": 2, "holes": (1,)}, ("--holes", "2 plants need as many holes, not 1")),
        ("harvested", ("7",), 21, {"holes": (7,)}, ("batch 7", "no plant in hole 7", "Name its own holes")),
        ("harvested", ("cress",), 5, {}, ("nothing of cress that could be harvested on 2026-10-08", "7 cress")),
        ("emerged", ("7",), 2, {"plants": 12}, ("--plants", "12 cells are up of 5", "Write 5 or less")),
        ("emerged", ("mizuna",), 2, {"plants": 12}, ("12 cells are up of 7", "batches 8, 9", "Write 7 or less")),
        ("lost", ("8",), 10, {"plants": 5}, ("batch 8", "5 are lost of 4", "from 1 to 4")),
        ("lost", ("A",), 10, {}, ("could be batch 7, 8", "Write the numbers")),
        ("lost", ("8", "9"), 10, {"plants": 2}, ("more than one batch (8, 9)", "Write one number")),
        ("cleared", ("mizuna",), 22, {}, ("could be batch 8, 9", "Write the numbers")),
        ("cleared", ("8",), 5, {}, ("batch 8", "does not stand in a tote yet", "Record it as lost")),
        ("harvested", ("99",), 21, {}, ("there is no batch 99", "7 cress, 8 mizuna, 9 mizuna", "show batches")),
        ("harvested", ("11",), 20, {}, ("batch 11 is to be sown on 2026-10-24", "steadysow record sown 11")),
        ("harvested", ("mizuma",), 21, {}, ('"mizuma" is no batch, tote or crop', 'Write "mizuna"')),
        ("harvested", ("Z",), 21, {}, ('"Z" is no batch, tote or crop', "A, B, C", "mizuna")),
        ("harvested", (), 21, {}, ("what was harvested is not said", "Write a batch number, a tote or a crop")),
        ("transplanted", ("8",), 7, {"holes": (1, 2)}, ("--holes", "4 plants need as many holes, not 2")),
        ("transplanted", ("8",), 7, {"holes": (6, 7, 8, 9)}, ("--holes", "tote A has no hole 9", "from 1 to 8")),
        ("transplanted", ("8",), 7, {"holes": (4, 5, 6, 7)}, ("hole 4 of tote A is taken", "Name other holes")),
        ("transplanted", ("8",), 7, {"tote": "Z"}, ("--tote", 'no tote "Z"', "A, B, C")),
        ("moved", ("9",), 10, {}, ("moved where to?", "record moved 12 C")),
        ("moved", ("9", "B"), 10, {}, ("batch 9 stands in tote B already", "another tote")),
        ("moved", ("9", "A"), 10, {}, ("free holes for 0 of 2", "Record what left it first")),
        ("moved", ("9", "A"), 10, {"holes": (1, 2)}, ("hole 1 of tote A is taken",)),
        ("moved", ("9", "C"), 10, {"holes": (4, 5)}, ("tote C has no hole 5",)),
        ("moved", ("9", "Z"), 10, {}, ('no tote "Z"',)),
        ("moved", ("9", "C"), 5, {}, ("batch 9", "does not stand in a tote yet")),
        ("sown", ("7",), 0, {"tote": "C"}, ("--tote", "batch 7 waits in the nursery", "when it is transplanted")),
        ("sown", ("mizuna",), 0, {"plants": 3}, ("--plants", "more than one batch (8, 9)", "its own number")),
        ("sown", ("rocket",), 45, {}, ("--plants", "no sowing of rocket is planned near", "Say how many")),
        ("sown", ("rocket",), 45, {"plants": 2}, ("--tote", "rocket is sown in its pot", "Name the tote")),
        ("sown", ("cress",), 45, {"plants": 2, "want": "pan"}, ("--want", 'not asked for by "pan"', "Wants: salad")),
        ("sown", ("C",), 0, {}, ("no sowing is planned for tote C", "batch number or the crop")),
        ("sown", ("99",), 0, {}, ("there is no batch 99",)),
        ("sown", ("10",), 14, {"holes": (1, 5, 6)}, ("hole 1 of tote B is taken",)),
        ("scrubbed", ("Z",), 3, {}, ('there is no tote "Z"', "A, B, C")),
        ("resting", ("C",), 3, {"until": date(2026, 10, 6)}, ("--until", "2026-10-06 is not after 2026-10-06")),
        ("measured", ("A", "ph"), 3, {}, ("come in pairs", "record measured A ph 6.1")),
        ("measured", ("A", "hp", "6"), 3, {}, ('"hp" is not measured', "one of: ph, ec, level")),
        ("measured", ("A", "ph", "six"), 3, {}, ('"six" is no number',)),
        ("measured", ("A", "ph", "16"), 3, {}, ("ph 16 cannot be", "from 0 to 14")),
        ("measured", ("A", "ph", "nan"), 3, {}, ("ph nan cannot be",)),
        ("note", (), 3, {}, ("the note is empty", "record note")),
        ("sown", ("7",), 0, {"grams": 3.0}, ("--grams", "does not go with sown", "harvested")),
        ("cleared", ("8",), 22, {"plants": 2}, ("--plants", "does not go with cleared")),
        ("scrubbed", ("A",), 3, {"litres": 2.0}, ("--litres", "does not go with scrubbed", "fed or topped-up")),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_with_a_remedy(
    kind: FactKind, what: tuple[str, ...], on: int, more: dict[str, Any], words: tuple[str, ...]
) -> None:
    """The sentence says where, what is wrong and what to write."""
    sentence = refused(kind, *what, on=on, told=PLANTED if on >= 7 else None, **more)
    for word in words:
        assert word in sentence


def test_a_day_in_the_future_is_refused() -> None:
    """Nothing has happened tomorrow."""
    assert refused("harvested", "7", on=22, today=21) == (
        "--on: 2026-10-25 is still to come. Record what has happened, on the day or later."
    )


def test_twice_sown_or_twice_transplanted_is_refused_with_the_fact_to_take_back() -> None:
    """Sowing is fact 1 and planting fact 2; `moved` is what was perhaps meant."""
    told = journal((0, say("sown", "7", on=0)), (7, say("transplanted", "7", on=7)))
    sentence = refused("sown", "7", on=8, told=told)
    assert "batch 7 has been recorded as sown on 2026-10-03" in sentence
    assert "record undo 1" in sentence
    sentence = refused("transplanted", "7", on=8, told=told)
    assert "batch 7 was transplanted on 2026-10-10 already" in sentence
    assert "record undo 2" in sentence
    assert "record moved" in sentence


def test_what_is_cleared_is_not_harvested_again() -> None:
    """Nothing of batch 8 has been left since day 22."""
    told = journal((22, say("cleared", "8", on=22)))
    assert "nothing of it has been left since 2026-10-25" in refused("harvested", "8", on=28, told=told)


def test_a_sowing_taken_to_be_as_planned_may_still_be_told() -> None:
    """The planting made its sowing an assumed fact; the person then tells that it was a day later."""
    told = journal((7, say("transplanted", "7", on=7)))
    assert [(fact.on, fact.assumed) for fact in tell("sown", "7", on=1, told=told, today=8).facts] == [(day(1), False)]


# What is odd.


def test_a_harvest_a_week_early_is_odd() -> None:
    """Due on day 21, taken on day 14 and day 15."""
    told = tell("harvested", "7", on=14)
    assert told.facts
    assert told.warnings == ("Batch 7 (cress) was to fall due on 2026-10-24, 7 days later.",)
    assert tell("harvested", "7", on=15).warnings == ()


@pytest.mark.parametrize(("grams", "is_odd"), [(601.0, True), (600.0, False), (67.0, False), (66.0, True)])
def test_three_times_the_weight_or_a_third_is_odd(grams: float, is_odd: bool) -> None:
    """Two heads were to give 200 g."""
    warnings = tell("harvested", "7", on=21, grams=grams).warnings
    assert warnings == ((f"Batch 7 (cress) was to give 200 g, and {grams:.0f} g was told.",) if is_odd else ())


def test_a_second_harvest_on_one_day_is_odd() -> None:
    """It may have been typed twice."""
    told = journal((21, say("harvested", "8", on=21)))
    (warning,) = tell("harvested", "8", on=21, told=told).warnings
    assert warning == "Batch 8 (mizuna) was harvested that day already (fact 3); both count together."


@pytest.mark.parametrize(("on", "is_odd"), [(6, True), (7, False), (8, False), (14, False), (15, True)])
def test_planted_outside_its_window_is_odd(on: int, is_odd: bool) -> None:
    """Ready on day 7, the seedlings may wait until day 14."""
    warnings = tell("transplanted", "7", on=on).warnings
    told = "Batch 7 (cress) was to be planted between 2026-10-10 and 2026-10-17."
    assert warnings == ((told,) if is_odd else ())


def test_seedlings_that_came_up_late_are_planted_late() -> None:
    """Up on day 4, not on day 1: three days more are in order, and the fourth is not."""
    told = journal((4, say("emerged", "7", on=4)))
    assert tell("transplanted", "7", on=17, told=told).warnings == ()
    assert "was to be planted" in tell("transplanted", "7", on=18, told=told).warnings[0]


def test_a_resting_tote_with_plants_is_odd() -> None:
    """Tote A holds cress and mizuna on day 10, tote B mizuna; tote C nothing."""
    (warning,) = tell("resting", "A", on=10).warnings
    assert warning.startswith("Tote A still holds batch 7 (cress) and batch 8 (mizuna): record what became of them")
    (warning,) = tell("resting", "B", on=10).warnings
    assert warning.endswith("record what became of it, or it counts as cleared.")
    assert tell("resting", "C", on=10).warnings == ()


def test_planted_into_a_resting_tote_is_odd() -> None:
    """Tote C rests from day 3 on until day 20."""
    told = journal((3, say("resting", "C", on=3, until=day(20))))
    (warning,) = tell("transplanted", "9", on=7, tote="C", told=told).warnings
    assert warning == "Tote C is resting until 2026-10-23: if it is in use again, record back C."


def test_a_tote_that_was_not_resting_is_odd_to_be_back() -> None:
    """It is taken all the same."""
    told = tell("back", "C", on=3)
    assert (len(told.facts), told.warnings) == (1, ("Tote C was not resting.",))


def test_waters_that_do_not_agree_and_an_overfull_tote_are_odd() -> None:
    """Brine cress wants more salt than the mizuna of B; beside two of eight mizuna, four of four are too many."""
    told = journal((7, say("transplanted", "9", on=7)), (7, say("sown", "brine cress", on=0, plants=4)))
    warnings = tell("transplanted", "12", on=7, tote="B", told=told).warnings
    assert "Brine cress and mizuna in tote B do not suit one water." in warnings
    assert "Tote B now holds more than it carries." in warnings


# Taking back.


def test_undo_takes_back_the_last_fact_or_the_one_that_is_named() -> None:
    """After facts 1 and 2, nothing means 2; fact 1 may be named; an undo may be taken back."""
    told = journal((0, say("sown", "7", on=0)), (0, say("sown", "8", on=0)))
    assert undone(told, None, day(1)).undoes == 2
    assert undone(told, 1, day(1)).undoes == 1
    once, _ = imagined(told, (undone(told, None, day(1)),))
    assert undone(once, None, day(1)).undoes == 1
    again, _ = imagined(once, (undone(once, 3, day(1)),))
    assert {fact.number for fact in again.standing} == {1, 2}


def test_undo_refuses_what_is_not_there() -> None:
    """No facts, no such fact, or one taken back before: then the undo is named that would have to go."""
    with pytest.raises(InputFaults, match="no fact to take back"):
        undone(Journal(), None, day(1))
    told = journal((0, say("sown", "7", on=0)))
    with pytest.raises(InputFaults, match=r"there is no fact 4. Write a number from 1 to 1"):
        undone(told, 4, day(1))
    told, _ = imagined(told, (undone(told, 1, day(1)),))
    with pytest.raises(InputFaults, match=r"fact 1 has been taken back already.*record undo 2"):
        undone(told, 1, day(1))
