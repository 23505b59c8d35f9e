"""The journal's commands from end to end: record, done, undo, learning, rebalance, on a garden of two totes.

Its plan of 3 October has a sowing of bok choy and one of mizuna on that day, both planted on 17 October.  The tests
ask the plan for its numbers and days, so that another plan as good as this one serves them too.
"""

from __future__ import annotations

import json
import re
import shutil
import uuid
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from commands import Ended, Run, contents
from steadysow import pipeline
from steadysow.inputs.journal import Fact, Journal
from steadysow.inputs.journal_file import read_journal
from steadysow.plan.batch import Batch
from steadysow.plan.plan import Plan
from steadysow.plan.plan_file import load
from tiny import START, make_crop, make_garden, make_tote, make_want

from .planned_examples import AMPLE, TODAY, Planned, each_of


@pytest.fixture
def run(run: Run) -> Run:
    """Give a function that runs a command in this process on a garden and a day."""

    def run_on(folder: Path, today: date, *arguments: object) -> Ended:
        return run(*arguments, "-g", folder, "--today", today)

    return run_on


def plan_of(folder: Path) -> Plan:
    """Give the plan in force."""
    plan = load(folder)
    assert plan is not None
    return plan


def batches_of(folder: Path, crop: str, sown_on: date = TODAY) -> list[Batch]:
    """Give the planned batches of a crop and a day."""
    return [batch for batch in plan_of(folder).batches if (batch.crop, batch.sown_on) == (crop, sown_on)]


def events_of(folder: Path) -> dict[str, str]:
    """Give the events of the calendar as they are written, by their UID."""
    text = (folder / "calendar.ics").read_bytes().decode()
    blocks = re.findall(r"BEGIN:VEVENT\r\n.*?END:VEVENT\r\n", text, flags=re.DOTALL)
    return {block.split("\r\nUID:")[1].split("\r\n")[0]: block for block in blocks}


def chores_of(run: Run, folder: Path, today: date) -> dict[str, dict[str, Any]]:
    """Give all chores that are to come, by the UID of their event."""
    space = uuid.UUID(plan_of(folder).uuid)
    told = json.loads(ok(run(folder, today, "chores", "--days", 400, "--json")))
    return {str(uuid.uuid5(space, chore["key"])): chore for chore in told["chores"]}


def promise(batch: Batch) -> tuple[object, ...]:
    """Give what a batch promises: its days, its tote and its plants."""
    days = tuple(harvest.on for harvest in batch.harvests)
    return batch.sown_on, batch.transplanted_on, batch.tote, batch.plants, days


def ok(ended: Ended) -> str:
    """Give what a command printed that went well."""
    assert ended.status == 0, ended.err
    return ended.out


# Recording.


def test_done_records_the_chores_of_today(run: Run, planned: Path) -> None:
    """After `done`, today asks for nothing that can be recorded; said twice it is refused."""
    sown = sorted(batch.id for batch in plan_of(planned).batches if batch.sown_on == TODAY)
    out = ok(run(planned, TODAY, "record", "done"))
    facts = read_journal(planned).facts
    assert [(fact.kind, fact.batch, fact.on) for fact in facts] == [("sown", number, TODAY) for number in sown]
    assert len(out.splitlines()) == len(sown)
    left = json.loads(ok(run(planned, TODAY, "chores", "--days", 1, "--json")))["chores"]
    assert {chore["kind"] for chore in left} == {"timer"}
    again = run(planned, TODAY, "record", "done")
    assert (again.status, again.err.split(".")[0]) == (2, "done: nothing planned for Sat 3 Oct is left to record")


def test_overdue_chores_come_first_until_they_are_answered(run: Run, planned: Path) -> None:
    """A week after planting day, sowing was told and planting was not: it is asked for, until `done overdue`."""
    ok(run(planned, TODAY, "record", "done"))
    (bok_choy,) = batches_of(planned, "bok choy")
    assert bok_choy.transplanted_on is not None
    day = bok_choy.transplanted_on + timedelta(4)
    shown = ok(run(planned, day, "chores", "--days", 30))
    assert shown.startswith("Overdue, or not recorded\n")
    assert "bok choy" in shown.split("They are taken")[0]
    told = json.loads(ok(run(planned, day, "chores", "--json")))
    assert {chore["on"] for chore in told["overdue"]} >= {bok_choy.transplanted_on.isoformat()}
    assert all(chore["on"] < day.isoformat() for chore in told["overdue"])

    ok(run(planned, day, "record", "transplanted", bok_choy.id, "--on", bok_choy.transplanted_on))
    told = json.loads(ok(run(planned, day, "chores", "--json")))
    assert f"{bok_choy.id}/transplant/1" not in {chore["key"] for chore in told["overdue"]}

    ok(run(planned, day, "record", "done", "overdue"))
    assert json.loads(ok(run(planned, day, "chores", "--json")))["overdue"] == []
    assert run(planned, day, "record", "done", "overdue").err.startswith("done: nothing is overdue.")


def test_whoever_keeps_no_journal_is_not_asked(run: Run, planned: Path) -> None:
    """Weeks later, with no fact at all, nothing is overdue."""
    assert "Overdue" not in ok(run(planned, date(2026, 11, 20), "chores"))


def test_undo_and_redo(run: Run, planned: Path) -> None:
    """`undo` takes back the last fact, `undo N` a certain one, and the undo itself; nothing is ever rewritten."""
    first, *_ = batches_of(planned, "mizuna")
    ok(run(planned, TODAY, "record", "sown", first.id))
    written = (planned / "journal.jsonl").read_bytes()
    assert ok(run(planned, TODAY, "record", "undo")).startswith("Took back fact 1: Batch")
    assert not read_journal(planned).standing
    ok(run(planned, TODAY, "record", "undo", 2))
    assert [fact.number for fact in read_journal(planned).standing] == [1]
    assert (planned / "journal.jsonl").read_bytes().startswith(written)
    refused = run(planned, TODAY, "record", "undo", 2)
    assert refused.status == 2
    assert "is already taken back. To restore it, undo that: record undo 3" in refused.err
    assert 'WHAT: "two" is not the number of a fact' in run(planned, TODAY, "record", "undo", "two").err


def test_json_prints_the_facts_and_nothing_else(run: Run, planned: Path) -> None:
    """--json gives the added facts."""
    told = json.loads(ok(run(planned, TODAY, "record", "sown", "mizuna", "--json")))
    assert [fact["batch"] for fact in told] == [batch.id for batch in batches_of(planned, "mizuna")]
    assert {fact["kind"] for fact in told} == {"sown"}


def test_ounces_and_gallons(run: Run, planned: Path) -> None:
    """An ounce is 28.35 g and a US gallon 3.785 litres; a garden in US units is told in its own."""
    file = planned / "garden.yaml"
    file.write_text(file.read_text(encoding="utf-8") + "units: us\n", encoding="utf-8")
    (bok_choy,) = batches_of(planned, "bok choy")
    out = ok(run(planned, bok_choy.harvests[0].on, "record", "harvested", bok_choy.id, "--ounces", 4))
    assert "4.0 oz" in out
    assert read_journal(planned).facts[-1].grams == pytest.approx(113.398, abs=0.1)
    assert "gallon" in ok(run(planned, bok_choy.harvests[0].on, "record", "topped-up", "A", "--gallons", 0.5))
    assert read_journal(planned).facts[-1].litres == pytest.approx(1.893, abs=0.001)


def test_a_weekday_is_the_last_such_day(run: Run, planned: Path) -> None:
    """On Monday 5 October, Saturday is the 3rd."""
    ok(run(planned, date(2026, 10, 5), "record", "sown", "bok choy", "--on", "sat"))
    assert [fact.on for fact in read_journal(planned).facts] == [TODAY]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("harvestd", "1"), ("FACT:", "Did you mean harvested?")),
        (("harvested", "mizna"), ("WHAT:", "Did you mean mizuna?")),
        (("harvested", "99"), ("there is no batch 99", "bok choy")),
        (("transplanted", "mizuna", "--tote", "Q"), ("--tote:", 'no tote "Q"', "A, B")),
        (("scrubbed", "Q"), ('no tote "Q"', "A, B")),
        (("harvested", "bok choy", "--on", "6 oct 2026"), ("no batch of bok choy", "harvested on Tue 6 Oct")),
        (("harvested", "bok choy", "--plants", "9"), ("--plants: 9 plants harvested, but only", "or fewer")),
        (("harvested", "mizuna", "--plants", "9"), ("--plants: 9 plants harvested, but only", "or fewer")),
        (("transplanted", "bok choy"), ("no batch of bok choy could be transplanted",)),
        (("harvested", "bok choy", "--on", "2027-01-01"), ("--on: Fri 1 Jan 2027 is still to come",)),
        (("harvested", "bok choy", "--on", "3/4"), ("--on:", "Write it like 2026-12-05")),
        (("sown", "kohlrabi"), ('has no batch, tote or crop "kohlrabi"',)),
        (("scrubbed", "A", "--holes", "x"), ("--holes:", "1-3,7")),
        (("done", "--plants", "3"), ("--plants: does not go with done",)),
        (("undo", "77"), ("there is no fact 77",)),
    ],
)
def test_what_is_refused_leaves_every_file_as_it_was(
    run: Run, planned: Path, words: tuple[str, ...], said: tuple[str, ...]
) -> None:
    """On the day of the first cut: status 2, what is wrong and what to write, and no byte is changed."""
    day = batches_of(planned, "mizuna")[0].harvests[0].on
    ok(run(planned, day, "record", "note", "begun"))
    before = contents(planned)
    ended = run(planned, day, "record", *words)
    assert (ended.status, ended.out) == (2, "")
    for word in said:
        assert word in ended.err
    assert "journal.jsonl" not in ended.err
    assert contents(planned) == before


def test_what_is_only_odd_is_taken_with_a_warning(run: Run, planned: Path) -> None:
    """Four times the weight is told on the error stream, and written."""
    (bok_choy,) = batches_of(planned, "bok choy")
    grams = 4 * bok_choy.harvests[0].grams
    ended = run(planned, bok_choy.harvests[0].on, "record", "harvested", bok_choy.id, "--grams", grams)
    assert ended.status == 0
    assert ended.err.startswith(f"Odd: Batch {bok_choy.id} (bok choy) was forecast to give ")
    assert read_journal(planned).facts[-1].grams == grams


def test_a_weight_of_one_day_is_shared_among_its_batches(run: Run, planned: Path) -> None:
    """What mizuna gave on the day of its first cut adds up."""
    batches = batches_of(planned, "mizuna")
    day = batches[0].harvests[0].on
    ok(run(planned, day, "record", "harvested", "mizuna", "--grams", 100))
    cut = [fact for fact in read_journal(planned).facts if fact.kind == "harvested"]
    assert {fact.batch for fact in cut} == {batch.id for batch in batches if batch.harvests[0].on == day}
    assert sum(fact.grams or 0 for fact in cut) == pytest.approx(100)


def test_a_harvest_told_late_is_written_with_the_day_it_was_planned_for(run: Run, planned: Path) -> None:
    """A day late, by number or by crop, and no event of another crop is touched."""
    (bok_choy,) = batches_of(planned, "bok choy")
    day = bok_choy.harvests[0].on + timedelta(1)
    before = events_of(planned)
    ok(run(planned, day, "record", "harvested", "bok choy"))
    fact = read_journal(planned).facts[-1]
    assert (fact.batch, fact.on, fact.planned_on, fact.plants) == (
        bok_choy.id, day, bok_choy.harvests[0].on, bok_choy.plants
    )  # fmt: skip
    changed = {uid: block for uid, block in before.items() if events_of(planned).get(uid) != block}
    assert any("SUMMARY:Harvest 2 whole bok choy" in block for block in changed.values())
    assert not any("mizuna" in block.split("SUMMARY:")[1].split("\r\n")[0] for block in changed.values())


def test_an_unplanned_sowing_meant_for_a_tote_breaks_nothing(run: Run, planned: Path) -> None:
    """The tote is where it is meant to go; the plan in force can be followed as before."""
    out = ok(run(planned, date(2026, 11, 21), "record", "sown", "mizuna", "--plants", 3, "--tote", "b"))
    assert "3 mizuna for salad, tote B, Sat 21 Nov" in out
    assert "can no longer be followed" not in out
    ok(run(planned, date(2026, 11, 21), "rebalance"))


def test_an_unplanned_sowing_is_a_batch_of_its_own(run: Run, planned: Path) -> None:
    """In December no mizuna is planned: it gets the next number, can be told of, planned with and mended with."""
    day = date(2026, 11, 21)
    number = 1 + max(batch.id for batch in plan_of(planned).batches)
    out = ok(run(planned, day, "record", "sown", "mizuna", "--plants", 3))
    assert f"Batch {number} sown, 3 mizuna for salad" in out
    assert f"The plan does not say yet where batch {number} (mizuna) will go. `steadysow rebalance` mends" in out
    assert run(planned, day, "chores").status == 0
    ok(run(planned, day + timedelta(3), "record", "emerged", number, "--plants", 3))
    ok(run(planned, day + timedelta(3), "plan"))
    (batch,) = [batch for batch in plan_of(planned).batches if batch.id == number]
    assert (batch.sown_on, batch.plants, batch.state) == (day, 3, "sown")
    assert batch.tote in ("A", "B")


# What the record teaches.


def test_two_quick_batches_make_the_next_ones_quicker(run: Run, planned: Path) -> None:
    """Two batches of mizuna were cut six days before they fell due: the crop is planned sooner, unless as published."""
    early = batches_of(planned, "mizuna")[0]
    other = next(batch for batch in plan_of(planned).batches if batch.crop == "mizuna" and batch.tote != early.tote)
    for batch in (early, other):
        ok(run(planned, batch.harvests[0].on - timedelta(6), "record", "harvested", batch.id))
    today = other.harvests[0].on - timedelta(5)

    shown = " ".join(ok(run(planned, today, "crops", "mizuna")).split())
    assert "Published Own record Used" in shown
    ((published, own, used),) = re.findall(
        r"days to the first harvest (\d+) (\d+)% of published, 2 batches (\d+)", shown
    )
    assert int(own) < 100
    assert int(used) < int(published)

    took = {}
    for name, more in (("learnt", ()), ("published", ("--as-published",))):
        folder = Path(shutil.copytree(planned, planned.parent / name))
        out = ok(run(folder, today, "plan", "--afresh", "--seconds", AMPLE, *more))
        assert ("From this garden's record" in out) == (name == "learnt")
        new = [batch for batch in plan_of(folder).batches if batch.crop == "mizuna" and batch.sown_on >= today]
        took[name] = {(batch.harvests[0].on - (batch.transplanted_on or today)).days for batch in new}
        assert took[name]
    assert min(took["learnt"]) < min(took["published"])


# Mending.


def test_with_nothing_told_no_promise_changes(run: Run, planned: Path) -> None:
    """On the day of the plan, mending keeps every day, tote and number, though it may add cuts after the last week."""
    before = {batch.id: batch for batch in plan_of(planned).batches}
    ok(run(planned, TODAY, "rebalance"))
    after = {batch.id: batch for batch in plan_of(planned).batches}
    assert after.keys() == before.keys()
    for number, batch in before.items():
        assert promise(after[number])[:4] == promise(batch)[:4]
        assert {each.on for each in batch.harvests} <= {each.on for each in after[number].harvests}


def test_a_resting_tote_moves_its_batches_and_keeps_their_numbers() -> None:
    """Two heads a week need half of one of two totes: when that rests, each planned batch goes into the other."""
    cress = make_crop(lid_holes=4)
    tiny = make_garden([make_tote("A", 4), make_tote("B", 4)], [make_want([cress], 2)], weeks=6)
    inputs = pipeline.Inputs(garden=replace(tiny, crops={"cress": cress}))
    plan = pipeline.make_plan(inputs, today=START)
    tote = plan.batches[-1].tote
    rest = Fact(number=1, kind="resting", on=START, tote=tote)
    told = replace(inputs, journal=Journal(uuid=plan.uuid, facts=(rest,)))
    mended = pipeline.rebalance(told, today=START, old=plan)
    later = [batch for batch in plan.batches if batch.tote == tote and batch.sown_on > START + timedelta(7)]
    assert later
    now = {batch.id: batch for batch in mended.plan.batches}
    assert {batch.tote for batch in now.values()} <= {"A", "B"} - {tote}
    for batch in later:
        same = now[batch.id]
        assert (same.crop, same.sown_on, same.transplanted_on) == (batch.crop, batch.sown_on, batch.transplanted_on)


def test_a_lost_batch_frees_its_holes(run: Run, planned: Path) -> None:
    """All bok choy is lost four days after planting, and twelve weeks are asked for: its holes are used again."""
    (bok_choy,) = batches_of(planned, "bok choy")
    day = date(2026, 10, 21)
    file = planned / "garden.yaml"
    file.write_text(file.read_text(encoding="utf-8").replace("weeks: 8", "weeks: 12"), encoding="utf-8")
    ok(run(planned, day, "record", "lost", bok_choy.id))
    ok(run(planned, day, "rebalance", "--freedom", "high"))
    batches = {batch.id: batch for batch in plan_of(planned).batches}
    assert (batches[bok_choy.id].state, batches[bok_choy.id].harvests) == ("lost", ())
    again = [batch for batch in batches.values() if batch.crop == "bok choy" and batch.id != bok_choy.id]
    assert again
    entering = [batch for batch in batches.values() if batch.transplanted_on and batch.transplanted_on > day]
    assert any(batch.tote == bok_choy.tote and {*batch.holes} & {*bok_choy.holes} for batch in entering)


def test_lost_may_be_said_at_once(run: Run, planned: Path) -> None:
    """--lost records the loss and mends; a word that is no number is refused for that option."""
    (bok_choy,) = batches_of(planned, "bok choy")
    day = date(2026, 10, 21)
    out = ok(run(planned, day, "rebalance", "--lost", bok_choy.id))
    assert f"Batch {bok_choy.id} lost, Wed 21 Oct (fact " in out
    assert next(batch for batch in plan_of(planned).batches if batch.id == bok_choy.id).state == "lost"
    before = contents(planned)
    refused = run(planned, day, "rebalance", "--lost", "kale")
    assert (refused.status, refused.err.split(".")[0]) == (2, '--lost: "kale" is no batch number')
    assert run(planned, day, "rebalance", "--lost", 99).err.startswith("--lost: there is no batch 99")
    assert run(planned, day, "rebalance", "--free", "Z").err.startswith('--free: there is no tote "Z"')
    assert contents(planned) == before


def test_a_freed_tote_is_answered_first(run: Run, planned: Path) -> None:
    """What stood there is cleared, and what goes in next is said in one sentence, before all else but the facts."""
    day = date(2026, 10, 21)
    tote = batches_of(planned, "bok choy")[0].tote
    out = ok(run(planned, day, "rebalance", "--free", tote.lower()))
    lines = [line for line in out.splitlines() if "(fact " not in line]
    assert lines[0].startswith((f"Next in tote {tote}: ", f"Tote {tote} stays empty"))
    assert not any(
        batch.tote == tote and batch.state == "transplanted" and batch.cleared_on is None
        for batch in plan_of(planned).batches
    )
    (cleared,) = [fact for fact in read_journal(planned).facts if fact.kind == "cleared"]
    assert (cleared.batch, cleared.on) == (batches_of(planned, "bok choy")[0].id, day)


def test_a_batch_may_be_lost_from_a_tote_that_is_freed(run: Run, planned: Path) -> None:
    """What was lost there is not cleared besides."""
    (bok_choy,) = batches_of(planned, "bok choy")
    day = date(2026, 10, 21)
    ok(run(planned, day, "rebalance", "--free", bok_choy.tote, "--lost", bok_choy.id))
    kinds = [fact.kind for fact in read_journal(planned).facts if not fact.assumed]
    assert kinds == ["lost"]


def test_dry_run_writes_nothing(run: Run, planned: Path) -> None:
    """Whatever would change, no byte does, also of the journal."""
    day = date(2026, 10, 21)
    before = contents(planned)
    out = ok(run(planned, day, "rebalance", "--dry-run", "--free", "A", "--lost", batches_of(planned, "mizuna")[0].id))
    assert out.splitlines()[-1] == "Nothing was written."
    assert contents(planned) == before
    told = json.loads(ok(run(planned, day, "rebalance", "--dry-run", "--free", "A", "--json")))
    assert told.keys() == {"changes", "before", "afresh", "plan"}
    assert contents(planned) == before


def test_only_events_of_changed_chores_change(run: Run, planned: Path) -> None:
    """After a loss was recorded and mended, the events of chores that are as before are, byte for byte, as before."""
    (bok_choy,) = batches_of(planned, "bok choy")
    day = date(2026, 10, 21)
    before, events = chores_of(run, planned, day), events_of(planned)
    ok(run(planned, day, "record", "lost", bok_choy.id))
    ok(run(planned, day, "rebalance"))
    after, now = chores_of(run, planned, day), events_of(planned)
    same = [uid for uid, chore in before.items() if after.get(uid) == chore]
    assert same
    assert {uid: now[uid] for uid in same} == {uid: events[uid] for uid in same}
    # What the lost batch was to give is gone, and its chores with it.
    gone = {uid for uid, chore in before.items() if chore["batches"] == [bok_choy.id] and chore["kind"] == "harvest"}
    assert gone
    assert not gone & after.keys()


@pytest.mark.parametrize("example", each_of("year-round"), indirect=True)
def test_after_a_tote_is_freed_nine_in_ten_batches_stay(run: Run, example: Planned, tmp_path: Path) -> None:
    """The year-round garden, five weeks in: nine in ten of the batches not begun keep days, tote, plants, harvests."""
    folder = example.copied_to(tmp_path / "year")
    day = TODAY + timedelta(35)
    before = {batch.id: promise(batch) for batch in plan_of(folder).batches if batch.sown_on > day}
    tote = plan_of(folder).batches[0].tote
    ok(run(folder, day, "rebalance", "--free", tote, "--seconds", AMPLE))
    after = {batch.id: promise(batch) for batch in plan_of(folder).batches}
    kept = sum(after.get(number) == promised for number, promised in before.items())
    assert len(before) > 20
    assert kept >= 0.9 * len(before)
