"""A batch stands as the journal says and, where it is silent, as planned; days and plants are counted by hand.

The batch of every test: four plants sown on day 0, to emerge on day 1, planted on day 7 into holes 1 to 4 of tote A.
Heads are to be taken two on day 21 (holes 1 and 2) and two on day 28; cuts all on day 21 and on day 28.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from builders import a_batch, a_harvest
from steadysow.errors import InputFaults
from steadysow.inputs.crops import HarvestKind
from steadysow.inputs.journal import Fact, FactKind, Journal
from steadysow.plan.batch import Batch, Harvest
from steadysow.standing.batch_life import Freed, batch_as_recorded, sowing_came_from_journal
from tiny import day, make_crop, make_garden, make_tote, make_want

ALL = (1, 2, 3, 4)
HEADS = make_crop("cress", nursery_days=(7, 14), first_days=14, window_days=10)
CUTS = make_crop("mizuna", "cut", first_days=14, between_days=7, grams=(10.0, 10.0))
POTS = make_crop("rocket", "cut", sown_in="pot", first_days=14, between_days=7, grams=(10.0, 10.0))
CROPS = (HEADS, CUTS, POTS)
GARDEN = make_garden([make_tote("A", 8), make_tote("B", 8)], [make_want(CROPS, 1)], weeks=8)


def harvest(kind: HarvestKind, number: int, on: int, holes: tuple[int, ...], grams: float) -> Harvest:
    """Plan a harvest that can wait for three days."""
    return a_harvest(day(on), holes, kind, number=number, latest_on=day(on + 3), grams=grams)


def batch_of(crop_name: str) -> Batch:
    """Plan the batch of one of the crops."""
    if crop_name == "cress":
        harvests = (harvest("head", 1, 21, (1, 2), 200.0), harvest("head", 2, 28, (3, 4), 200.0))
    else:
        harvests = (harvest("cut", 1, 21, ALL, 40.0), harvest("cut", 2, 28, ALL, 40.0))
    planted_on = day(0) if crop_name == "rocket" else day(7)
    return a_batch(7, ALL, crop=crop_name, cells=5, emerges_on=day(1), transplanted_on=planted_on, harvests=harvests)


HEAD_BATCH, CUT_BATCH, POT_BATCH = batch_of("cress"), batch_of("mizuna"), batch_of("rocket")


def sown(on: int = 0, crop: str = "cress", **more: object) -> Fact:
    """Record the sowing of the batch, with all that a sowing says."""
    fact = Fact(
        kind="sown", on=day(on), batch=7, crop=crop, want="salad", place="shelf", tote="A", holes=ALL, plants=4,
        cells=5, seeds=5,
    )  # fmt: skip
    return replace(fact, **more)  # type: ignore[arg-type]


def fact(kind: FactKind, on: int, **more: object) -> Fact:
    """Record a fact about the batch."""
    return replace(Fact(kind=kind, on=day(on), batch=7), **more)  # type: ignore[arg-type]


def planted(on: int = 7, **more: object) -> Fact:
    """Record that the batch was transplanted as planned."""
    return fact("transplanted", on, **{"tote": "A", "holes": ALL, **more})


def lived(planned: Batch | None, today: int, *facts: Fact) -> tuple[Batch | None, tuple[Freed, ...]]:
    """Give a batch as it stands, and the holes that were freed."""
    name = next((each.crop for each in facts if each.crop), planned.crop if planned else "")
    crop = next(crop for crop in CROPS if crop.name == name)
    numbered = tuple(replace(each, number=number) for number, each in enumerate(facts, start=1))
    return batch_as_recorded(planned, Journal(facts=numbered).standing, garden=GARDEN, crop=crop, today=day(today))


def state(planned: Batch | None, today: int, *facts: Fact) -> Batch:
    """Give a batch that was sown as it stands."""
    batch, _ = lived(planned, today, *facts)
    assert batch is not None
    return batch


def harvested(batch: Batch) -> list[tuple[date, tuple[int, ...], float, bool]]:
    """Give day, holes and grams of each harvest, and whether it was recorded."""
    return [(each.on, each.holes, each.grams, each.is_recorded) for each in batch.harvests]


# From facts alone.


def test_a_batch_can_be_built_from_facts_alone() -> None:
    """Without a plan, the facts of sowing and transplant make the whole batch; seedlings show a day after sowing."""
    assert state(None, 10, sown(), planted()) == Batch(
        id=7, crop="cress", want="salad", place="shelf", tote="A", holes=ALL, plants=4, cells=5, seeds=5,
        state="transplanted", sown_on=day(0), emerges_on=day(1), transplanted_on=day(7), cleared_on=None, harvests=(),
        recorded=("sown", "transplanted"),
    )  # fmt: skip


def test_without_a_plan_nothing_is_taken_to_have_happened() -> None:
    """Without a plan, a batch waits until its transplant is recorded."""
    batch = state(None, 60, sown())
    assert (batch.state, batch.transplanted_on, batch.harvests) == ("sown", None, ())


def test_without_a_plan_a_harvest_weighs_what_was_forecast() -> None:
    """A harvest that was not weighed counts with the grams that were forecast when it was recorded, 180 g for two."""
    batch = state(None, 30, sown(), planted(), fact("harvested", 21, plants=2, planned_grams=180.0))
    assert harvested(batch) == [(day(21), (1, 2), 180.0, True)]


def test_a_pot_stands_from_its_sowing_on() -> None:
    """A crop sown in its pot needs no transplant."""
    batch = state(None, 5, sown(3, crop="rocket"))
    assert (batch.state, batch.transplanted_on, batch.holes) == ("transplanted", day(3), ALL)


# Today, and what is late.


@pytest.mark.parametrize(("today", "transplanted_on"), [(7, None), (8, day(7))])
def test_a_stage_planned_for_today_has_not_happened_unless_recorded(today: int, transplanted_on: date | None) -> None:
    """On its planned day a transplant is still to come; on the day after it counts as done."""
    assert state(HEAD_BATCH, today, sown()).transplanted_on == transplanted_on


def test_a_stage_recorded_today_has_happened() -> None:
    """A transplant recorded on its day is done."""
    assert state(HEAD_BATCH, 7, sown(), planted()).state == "transplanted"


@pytest.mark.parametrize(
    ("facts", "transplanted_on"),
    [
        ((sown(3),), day(14)),
        ((sown(-2),), day(7)),
        ((sown(), fact("emerged", 5)), day(14)),
        ((sown(3), fact("emerged", 10)), day(21)),
    ],
    ids=["sown 3 late", "sown early", "emerged 4 late", "sown 3 late and 9 late by emergence"],
)
def test_late_stages_make_the_transplant_late(facts: tuple[Fact, ...], transplanted_on: date) -> None:
    """Late seedlings are planted on the first Saturday on which they can be; early ones are not planted sooner.

    They need six days after emergence: up on day 4 (sown on day 3), 5 or 10, they can be planted from day 10, 11 or 16.
    """
    assert state(HEAD_BATCH, (transplanted_on - day(0)).days, *facts).transplanted_on is None
    assert state(HEAD_BATCH, (transplanted_on - day(0)).days + 1, *facts).transplanted_on == transplanted_on


def test_seedlings_a_little_late_are_planted_as_planned() -> None:
    """Seedlings that emerge two days late can be planted from day 9, well before the planned day 14."""
    patient = replace(HEAD_BATCH, transplanted_on=day(14))
    assert state(patient, 15, sown(), fact("emerged", 3)).transplanted_on == day(14)


def test_a_late_transplant_makes_harvests_and_clearing_late() -> None:
    """Planted 4 days late, the cuts of days 21 and 28 are taken on 25 and 32, and it is cleared on 32."""
    facts = (sown(crop="mizuna"), planted(11))
    assert [each.on for each in state(CUT_BATCH, 32, *facts).harvests] == [day(25)]
    over = state(CUT_BATCH, 33, *facts)
    assert ([each.on for each in over.harvests], over.state, over.cleared_on) == ([day(25), day(32)], "done", day(32))


def test_a_cut_after_a_late_cut_is_late() -> None:
    """The first cut is 3 days late: the second is taken on day 31, and can wait as long as planned."""
    facts = (sown(crop="mizuna"), planted(), fact("harvested", 24))
    assert len(state(CUT_BATCH, 31, *facts).harvests) == 1
    second = state(CUT_BATCH, 32, *facts).harvests[1]
    assert (second.on, second.latest_on, second.is_recorded) == (day(31), day(34), False)


def test_a_late_sowing_has_its_own_day_of_emergence() -> None:
    """Sown on day 3, seedlings show on day 4."""
    assert state(HEAD_BATCH, 5, sown(3)).emerges_on == day(4)


def test_seedlings_seen_in_the_nursery_have_not_been_planted() -> None:
    """Thinned on day 9, a batch planned to be planted on day 7 waits until its transplant is recorded."""
    assert state(HEAD_BATCH, 15, sown(), fact("thinned", 9)).transplanted_on is None


# Harvests.


def test_an_early_cut_is_not_taken_twice() -> None:
    """A cut on day 17 was the one of day 21; the second is taken on day 28 as planned."""
    facts = (sown(crop="mizuna"), planted(), fact("harvested", 17, grams=33.0))
    assert harvested(state(CUT_BATCH, 29, *facts)) == [(day(17), ALL, 33.0, True), (day(28), ALL, 40.0, False)]


def test_harvests_of_one_day_are_one() -> None:
    """Two heads in the morning and one in the evening are three heads, with the grams of both."""
    morning, evening = fact("harvested", 21, holes=(1, 4), grams=90.0), fact("harvested", 21, plants=1, grams=60.0)
    batch = state(HEAD_BATCH, 21, sown(), planted(), morning, evening)
    assert harvested(batch) == [(day(21), (1, 2, 4), 150.0, True)]


def test_harvested_heads_leave_the_others() -> None:
    """One head is harvested on day 20 of two planned for day 21: the other still stands, and is not cleared."""
    batch = state(HEAD_BATCH, 35, sown(), planted(), fact("harvested", 20, plants=1))
    assert harvested(batch) == [(day(20), (1,), 100.0, True), (day(28), (3, 4), 200.0, False)]
    assert (batch.state, batch.plants, batch.holes) == ("transplanted", 4, ALL)


def test_more_heads_than_planned_are_taken_from_the_others() -> None:
    """Three heads on day 21: the two planned and the next; three times 100 g."""
    batch = state(HEAD_BATCH, 22, sown(), planted(), fact("harvested", 21, plants=3))
    assert harvested(batch) == [(day(21), (1, 2, 3), 300.0, True)]


def test_a_batch_without_heads_is_done() -> None:
    """The batch ends with its last head, whether or not a clearing is recorded as well."""
    facts = (sown(), planted(), fact("harvested", 21, plants=2), fact("harvested", 25, plants=2))
    batch = state(HEAD_BATCH, 25, *facts)
    assert (batch.state, batch.cleared_on) == ("done", day(25))
    assert state(HEAD_BATCH, 27, *facts, fact("cleared", 26)).cleared_on == day(25)


# Losses.


def test_fewer_seedlings_shrink_a_batch() -> None:
    """Three emerged of four: three plants, in the first three holes."""
    batch = state(HEAD_BATCH, 15, sown(), fact("emerged", 2, plants=3))
    assert (batch.plants, batch.holes, batch.emerges_on, batch.cells) == (3, (1, 2, 3), day(2), 5)
    # A day late they could be planted from day 8: on Saturday, day 14.
    assert batch.transplanted_on == day(14)


def test_a_sowing_without_emergence_is_lost() -> None:
    """No cell emerged: the batch is lost and has no holes."""
    batch, freed = lived(HEAD_BATCH, 10, sown(), fact("emerged", 6, plants=0))
    assert batch is not None
    assert (batch.state, batch.holes, batch.transplanted_on, freed) == ("lost", (), None, ())


def test_more_seedlings_than_plants_change_nothing() -> None:
    """All five cells came up; four plants were planned."""
    assert state(HEAD_BATCH, 5, sown(), fact("emerged", 1, plants=5)).plants == 4


def test_lost_plants_free_their_holes() -> None:
    """Two plants are lost on day 10: those in the last two holes, unless the fact names holes."""
    batch, freed = lived(HEAD_BATCH, 12, sown(), planted(), fact("lost", 10, plants=2))
    assert batch is not None
    assert (batch.state, batch.plants, batch.holes) == ("transplanted", 2, (1, 2))
    assert freed == tuple(Freed(tote="A", hole=hole, on=day(10)) for hole in (3, 4))
    batch, freed = lived(HEAD_BATCH, 12, sown(), planted(), fact("bolted", 10, holes=(2,)))
    assert batch is not None
    assert (batch.holes, [each.hole for each in freed]) == ((1, 3, 4), [2])


def test_a_bolted_batch_is_lost_and_keeps_its_harvests() -> None:
    """Cut once and bolted on day 24: the batch is lost from that day on, and its holes are free."""
    batch, freed = lived(CUT_BATCH, 30, sown(crop="mizuna"), planted(), fact("bolted", 24))
    assert batch is not None
    assert (batch.state, batch.cleared_on, batch.holes, batch.plants) == ("lost", day(24), (), 4)
    assert harvested(batch) == [(day(21), ALL, 40.0, False)]
    assert {each.hole for each in freed} == {*ALL}


def test_a_cut_after_a_loss_gives_its_part() -> None:
    """One of four plants is lost on day 22: the first cut gave 40 g, the second gives three quarters of that."""
    batch = state(CUT_BATCH, 29, sown(crop="mizuna"), planted(), fact("lost", 22, holes=(2,)))
    assert harvested(batch) == [(day(21), ALL, 40.0, False), (day(28), (1, 3, 4), 30.0, False)]


def test_heads_lost_after_some_were_taken_end_the_batch() -> None:
    """Two heads are harvested on day 21 and the rest is lost on day 23: the batch is done, with the two."""
    batch, freed = lived(HEAD_BATCH, 30, sown(), planted(), fact("harvested", 21, plants=2), fact("lost", 23))
    assert batch is not None
    assert (batch.state, batch.cleared_on, batch.plants, batch.holes) == ("done", day(23), 2, (1, 2))
    assert {each.hole for each in freed} == {3, 4}


def test_a_later_loss_shows_that_an_unrecorded_harvest_was_smaller() -> None:
    """Three heads are lost on day 22, so only one of those planned for day 21 can have been harvested."""
    batch, freed = lived(HEAD_BATCH, 24, sown(), planted(), fact("lost", 22, plants=3))
    assert batch is not None
    assert harvested(batch) == [(day(21), (1,), 100.0, False)]
    assert (batch.state, {each.hole for each in freed}) == ("done", {2, 3, 4})


def test_a_later_harvest_shows_that_a_batch_was_not_cleared() -> None:
    """A cut on day 45, long after the planned clearing, shows that the batch still stood."""
    batch = state(CUT_BATCH, 50, sown(crop="mizuna"), planted(), fact("harvested", 45, grams=8.0))
    assert (batch.state, [each.on for each in batch.harvests]) == ("transplanted", [day(21), day(28), day(45)])


@pytest.mark.parametrize("facts", [(), (planted(holes=(1, 2, 3), assumed=True),)], ids=["not recorded", "assumed"])
def test_seedlings_lost_on_the_day_of_an_unrecorded_transplant_were_lost_before_it(facts: tuple[Fact, ...]) -> None:
    """One of four is lost on day 7, still in the nursery: three are planted, also once that is written as assumed."""
    batch, freed = lived(HEAD_BATCH, 8, sown(), fact("lost", 7, plants=1), *facts)
    assert batch is not None
    assert (batch.plants, batch.holes, batch.transplanted_on, freed) == (3, (1, 2, 3), day(7), ())


# Transplant, moving and clearing.


def test_a_batch_planted_elsewhere_is_harvested_there() -> None:
    """Planted into holes 5 to 8 of tote B, it gives the heads planned for holes 1 and 2 from holes 5 and 6."""
    batch = state(HEAD_BATCH, 22, sown(), planted(7, tote="B", holes=(5, 6, 7, 8)))
    assert (batch.tote, batch.holes, batch.place) == ("B", (5, 6, 7, 8), "shelf")
    assert harvested(batch) == [(day(21), (5, 6), 200.0, False)]


@pytest.mark.parametrize("more", [{"plants": 3}, {"holes": (1, 2, 3)}, {"plants": 3, "holes": (1, 2, 3)}])
def test_fewer_plants_may_be_planted_than_were_sown(more: dict[str, object]) -> None:
    """Three of four are planted, given by number or by holes; nothing is freed, since the fourth never stood."""
    batch, freed = lived(HEAD_BATCH, 10, sown(), planted(7, **more))
    assert batch is not None
    assert (batch.plants, batch.holes, freed) == (3, (1, 2, 3), ())


def test_a_batch_is_planted_where_the_plan_has_it_now() -> None:
    """A transplant without a tote goes where the plan has the batch now, not where it was sown for."""
    renamed = replace(HEAD_BATCH, state="sown", tote="B", holes=(5, 6, 7, 8), recorded=("sown",))
    unrecorded = state(renamed, 10, sown())
    assert (unrecorded.tote, unrecorded.holes) == ("B", (5, 6, 7, 8))
    # It is still there once a later plan has it there.
    later = replace(unrecorded, cleared_on=day(28), harvests=())
    assert (state(later, 15, sown()).tote, state(later, 15, sown()).holes) == ("B", (5, 6, 7, 8))


def test_a_moved_batch_stands_in_its_new_tote_and_frees_its_old_holes() -> None:
    """Two heads are harvested and the others moved on day 24: holes 1 and 2 free from day 21, 3 and 4 from day 24."""
    facts = (sown(), planted(), fact("harvested", 21, holes=(1, 2)), fact("moved", 24, tote="B", holes=(1, 2)))
    batch, freed = lived(HEAD_BATCH, 25, *facts)
    assert batch is not None
    assert (batch.tote, batch.holes, batch.plants, batch.transplanted_on) == ("B", (1, 2), 2, day(7))
    assert {(each.tote, each.hole, each.on) for each in freed} == {
        ("A", 1, day(21)), ("A", 2, day(21)), ("A", 3, day(24)), ("A", 4, day(24))
    }  # fmt: skip
    assert [(each.plants, each.grams) for each in batch.harvests] == [(2, 200.0)]
    assert [(each.tote, each.from_on, each.until_on) for each in batch.earlier] == [("A", day(7), day(24))]
    # Those planned for day 28 stood in holes 3 and 4, and now stand in 1 and 2.
    assert harvested(state(HEAD_BATCH, 29, *facts))[1] == (day(28), (1, 2), 200.0, False)


def test_plants_that_did_not_move_along_are_gone() -> None:
    """Two of four plants are moved on day 9: two plants stand, and the four old holes are free."""
    batch, freed = lived(HEAD_BATCH, 12, sown(), planted(), fact("moved", 9, tote="B", holes=(5, 6)))
    assert batch is not None
    assert (batch.tote, batch.plants, batch.holes, len(freed)) == ("B", 2, (5, 6), 4)


def test_a_cleared_batch_gives_nothing_more() -> None:
    """Cleared on day 25, the batch is done, and the cut planned for day 28 has not happened."""
    batch = state(CUT_BATCH, 40, sown(crop="mizuna"), planted(), fact("cleared", 25))
    assert (batch.state, batch.cleared_on, [each.on for each in batch.harvests]) == ("done", day(25), [day(21)])


# Impossible facts.


@pytest.mark.parametrize(
    ("planned", "facts", "wrong"),
    [
        (HEAD_BATCH, (sown(), fact("harvested", 6)), "it was not transplanted by then"),
        (HEAD_BATCH, (sown(), planted(), fact("harvested", 7)), "it was not transplanted by then"),
        (HEAD_BATCH, (sown(), planted(), fact("harvested", 21, plants=5)), "5 plants harvested, but only 4 left"),
        (
            HEAD_BATCH,
            (sown(), planted(), fact("harvested", 20, plants=3), fact("harvested", 21, plants=2)),
            "2 plants harvested, but only 1 left",
        ),
        (HEAD_BATCH, (sown(), planted(), fact("harvested", 21, holes=(4, 5))), "it has no plant in hole 5"),
        (HEAD_BATCH, (sown(), planted(), fact("harvested", 21, holes=(3, 3))), "it has no plant in hole 3"),
        (HEAD_BATCH, (sown(), planted(), fact("lost", 9, plants=5)), "5 plants lost, but only 4 left"),
        (HEAD_BATCH, (sown(), planted(), fact("lost", 9, plants=0)), "no plants were lost"),
        (HEAD_BATCH, (sown(), planted(), fact("lost", 9, holes=(6,))), "it has no plant in hole 6"),
        (
            HEAD_BATCH,
            (sown(), planted(), fact("harvested", 21, holes=(1,)), fact("lost", 22, holes=(1,))),
            "it has no plant in hole 1",
        ),
        (
            HEAD_BATCH,
            (sown(), planted(), fact("cleared", 20), fact("harvested", 21)),
            "ended on Fri 23 Oct, so no plant was left",
        ),
        (HEAD_BATCH, (sown(), fact("lost", 3), planted()), "the batch ended on Tue 6 Oct"),
        (HEAD_BATCH, (sown(), fact("emerged", 3, plants=0), fact("lost", 4)), "the batch ended on Tue 6 Oct"),
        (HEAD_BATCH, (sown(3), fact("emerged", 2)), "it was sown later, on Tue 6 Oct"),
        (HEAD_BATCH, (sown(), planted(), planted(8)), "it was already transplanted on Sat 10 Oct"),
        (HEAD_BATCH, (sown(), planted(), fact("emerged", 8)), "it was already transplanted on Sat 10 Oct"),
        (HEAD_BATCH, (sown(), planted(plants=5)), "5 plants transplanted, but only 4 left"),
        (HEAD_BATCH, (sown(), planted(plants=4, holes=(1, 2))), "its 4 plants need 4 holes"),
        (None, (sown(tote="", holes=()), fact("transplanted", 7)), "its 4 plants need 4 holes"),
        (HEAD_BATCH, (sown(), fact("cleared", 5)), "it was not in a tote yet"),
        (HEAD_BATCH, (sown(), fact("moved", 5, tote="B", holes=ALL)), "it was not in a tote yet"),
        (HEAD_BATCH, (sown(), planted(), fact("moved", 9, tote="B")), "its 4 plants need 4 holes"),
        (None, (sown(crop="rocket", holes=()),), "the journal does not say which holes it is in"),
        (POT_BATCH, (sown(crop="rocket"), planted()), "rocket is sown in its pot and never transplanted"),
        (replace(HEAD_BATCH, sown_on=day(50)), (planted(),), "the journal does not say that it was sown"),
    ],
)
def test_an_impossible_fact_is_refused(planned: Batch | None, facts: tuple[Fact, ...], wrong: str) -> None:
    """The last fact is refused, with its number and its batch."""
    with pytest.raises(InputFaults, match=f"fact {len(facts)} of batch 7: ") as refused:
        lived(planned, 40, *facts)
    (fault,) = refused.value.faults
    assert wrong in fault.wrong
    assert (fault.file, fault.field) == ("journal.jsonl", f"fact {len(facts)} of batch 7")


# Facts that were taken back.


def test_without_its_sowing_a_transplant_is_impossible() -> None:
    """The plan took the sowing from a fact that was taken back since."""
    known = replace(HEAD_BATCH, state="transplanted", recorded=("sown", "transplanted"))
    assert sowing_came_from_journal(known)
    assert not sowing_came_from_journal(HEAD_BATCH)
    with pytest.raises(InputFaults, match="the journal does not say that it was sown"):
        lived(known, 10, planted())


def test_a_transplant_that_was_taken_back_did_not_happen() -> None:
    """The plan has a transplant whose fact was taken back: the batch waits, however long ago that was."""
    known = replace(HEAD_BATCH, state="transplanted", recorded=("sown", "transplanted"))
    batch = state(known, 20, sown())
    assert (batch.state, batch.transplanted_on, batch.harvests) == ("sown", None, ())


def test_a_harvest_that_was_taken_back_did_not_happen() -> None:
    """The plan has a cut of day 20 whose fact was taken back; the next planned cut counts as done."""
    cut = replace(CUT_BATCH.harvests[0], on=day(20), is_recorded=True)
    known = replace(
        CUT_BATCH, state="transplanted", recorded=("sown", "transplanted", "harvested"),
        harvests=(cut, CUT_BATCH.harvests[1]),
    )  # fmt: skip
    facts = (sown(crop="mizuna"), planted())
    assert state(known, 25, *facts).harvests == ()
    assert harvested(state(known, 29, *facts)) == [(day(28), ALL, 40.0, False)]


def test_a_clearing_that_was_taken_back_did_not_happen() -> None:
    """The plan has a clearing whose fact was taken back: the batch stands."""
    known = replace(
        CUT_BATCH, state="done", recorded=("sown", "transplanted", "cleared"), cleared_on=day(22),
        harvests=CUT_BATCH.harvests[:1],
    )  # fmt: skip
    batch = state(known, 40, sown(crop="mizuna"), planted())
    assert (batch.state, batch.cleared_on) == ("transplanted", None)


def test_an_emergence_that_was_taken_back_is_forecast_again() -> None:
    """The plan has an emergence on day 6 whose fact was taken back; seedlings show the day after sowing."""
    known = replace(HEAD_BATCH, state="sown", emerges_on=day(6), recorded=("sown", "emerged"))
    assert state(known, 5, sown()).emerges_on == day(1)


def test_a_recorded_sowing_outweighs_an_assumed_one() -> None:
    """Assumed on day 0 and recorded on day 2, the batch was sown on day 2."""
    assert state(HEAD_BATCH, 5, sown(0, assumed=True), sown(2)).sown_on == day(2)
