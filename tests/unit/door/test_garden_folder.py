"""An opened folder answers from its files as they are now, and keeps plan, journal and calendar in step."""

from __future__ import annotations

import shutil
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

import steadysow
from steadysow import pipeline
from steadysow.door.garden_folder import GardenFolder, load
from steadysow.errors import InputFaults
from steadysow.inputs.journal_file import read_journal
from steadysow.outputs.calendar_state import CALENDAR_NAME

TODAY = date(2026, 10, 3)
NOW = datetime(2026, 10, 3, 8, tzinfo=UTC)
GARDEN = Path(__file__).parents[2] / "gardens" / "two-totes"


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Plan the small garden once."""
    folder = tmp_path_factory.mktemp("planned") / "garden"
    shutil.copytree(GARDEN, folder)
    load(folder).plan(TODAY)
    return folder


@pytest.fixture
def folder(planned: Path, tmp_path: Path) -> Path:
    """Give a copy of the planned garden that a test may change."""
    return Path(shutil.copytree(planned, tmp_path / "garden"))


@pytest.fixture
def garden(folder: Path) -> GardenFolder:
    """Open the planned garden."""
    return load(folder)


def never(*_: object, **__: object) -> None:
    """Fail, since nothing should have been solved."""
    raise AssertionError("solved")


def test_a_folder_may_be_a_text(folder: Path) -> None:
    """A text and a path open the same garden."""
    assert load(str(folder)).garden == load(folder).garden


@pytest.mark.parametrize("day", [TODAY, "2026-10-03", "3 oct 2026"])
def test_an_unchanged_garden_is_not_solved_again(
    garden: GardenFolder, day: date | str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """However its day is written, the plan in force comes back as it was saved."""
    monkeypatch.setattr(pipeline, "make_plan", never)
    assert garden.plan(day) == garden.saved_plan()
    assert not garden.planned(day).is_new


def test_a_recorded_fact_counts_at_once(garden: GardenFolder, folder: Path) -> None:
    """The same value knows of a fact that it, or another program, has just written."""
    sowing = next(chore for chore in garden.chores(TODAY).due if chore.kind == "sow")
    (number, *_) = sowing.batches
    recorded = garden.record("sown", number, today=TODAY, now=NOW)
    assert [fact.batch for fact in recorded.facts] == [number]
    assert read_journal(folder).facts[-1].batch == number
    assert not any(chore.kind == "sow" and number in chore.batches for chore in garden.chores(TODAY).due)
    load(folder).record("undo", today=TODAY, now=NOW)
    assert any(chore.kind == "sow" and number in chore.batches for chore in garden.chores(TODAY).due)


def test_a_changed_garden_file_is_read_again(garden: GardenFolder, folder: Path) -> None:
    """A want that somebody has doubled is planned for, without opening the folder anew."""
    file = folder / "garden.yaml"
    text = file.read_text(encoding="utf-8")
    assert text.count("weeks: ") == 1
    weeks = garden.garden.weeks
    file.write_text(text.replace(f"weeks: {weeks}", f"weeks: {weeks + 1}"), encoding="utf-8")
    assert len(garden.plan(TODAY).weeks) == weeks + 1


def test_facts_are_in_the_journal_before_they_are_shown(garden: GardenFolder, folder: Path) -> None:
    """Whoever is called with the facts finds them in the file, and the calendar as it was."""
    seen: list[tuple[int, bytes]] = []
    before = (folder / CALENDAR_NAME).read_bytes()
    garden.record(
        "done",
        today=TODAY,
        now=NOW,
        on_recorded=lambda recorded: seen.append(
            (
                read_journal(folder).last_number - recorded.facts[-1].number,
                (folder / CALENDAR_NAME).read_bytes(),
            )
        ),
    )
    assert seen == [(0, before)]
    assert (folder / CALENDAR_NAME).read_bytes() != before


def test_what_breaks_the_plan_is_said(garden: GardenFolder) -> None:
    """A tote that rests for good can no longer take what is planned for it; a note breaks nothing."""
    tote = garden.plan(TODAY).batches[0].tote
    assert garden.record("note", "all", "well", today=TODAY).broken == ""
    assert garden.record("resting", tote, today=TODAY).broken.startswith("The plan can no longer be followed: ")


def test_a_dry_run_writes_nothing(garden: GardenFolder, folder: Path) -> None:
    """Every file stays as it is, though the batch is taken as lost in the mended plan."""
    number = garden.plan(TODAY).batches[0].id
    garden.record("sown", number, today=TODAY, now=NOW)
    before = {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}
    mended = garden.rebalance(TODAY, lost=[number], dry_run=True)
    assert next(batch for batch in mended.plan.batches if batch.id == number).state == "lost"
    assert {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()} == before


def test_mending_saves_what_it_gives(garden: GardenFolder) -> None:
    """The mended plan is the plan in force, and a tote named as free has its answer."""
    tote = garden.plan(TODAY).batches[0].tote
    mended = garden.rebalance(TODAY, free=[tote.casefold()], now=NOW)
    assert garden.saved_plan() == mended.plan
    assert len(mended.answers) == 1


def test_an_early_interruption_saves_nothing(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A plan to sow nothing, which is all there is so soon, never replaces the plan in force."""
    garden = load(folder)
    saved = garden.saved_plan()
    assert saved is not None
    nothing = replace(saved, batches=(), proof=replace(saved.proof, status="interrupted"))
    monkeypatch.setattr(pipeline, "make_plan", lambda *_, **__: nothing)
    with pytest.raises(KeyboardInterrupt):
        garden.plan(TODAY, afresh=True)
    assert garden.saved_plan() == saved


def test_without_a_plan_there_are_no_chores(folder: Path) -> None:
    """The fault says what to run."""
    (folder / "plan.json").unlink()
    with pytest.raises(InputFaults, match="there is no plan yet"):
        load(folder).chores(TODAY)


@pytest.mark.parametrize(
    ("ask", "message"),
    [
        (lambda garden: garden.forecasts("kael"), 'NAME: there is no crop "kael". Did you mean kale'),
        (lambda garden: garden.forecasts("kale", places=["cellar"]), '--in: there is no place "cellar"'),
        (lambda garden: garden.chores("someday"), "--today"),
        (lambda garden: garden.record("harvst", 1), "FACT: unknown word"),
        (lambda _: steadysow.mix(0), "--litres: 0 litres"),
        (lambda _: steadysow.mix(11, recipe="broth"), '--recipe: there is no recipe "broth"'),
        (lambda _: load("nowhere"), "there is no such folder"),
    ],
)
def test_faults_name_what_to_write(garden: GardenFolder, ask: object, message: str) -> None:
    """What a caller got wrong is a fault with its remedy."""
    assert callable(ask)
    with pytest.raises(InputFaults, match=message.replace("(", r"\(")):
        ask(garden)


def test_public_names_are_those_that_can_be_had() -> None:
    """Each name that `dir` lists is there, and no other is."""
    assert {name for name in dir(steadysow) if getattr(steadysow, name, None) is None} == set()
    assert {"load", "crops", "mix", "Plan", "InputFaults"} <= set(dir(steadysow))
    with pytest.raises(AttributeError, match="has no attribute 'lode'"):
        steadysow.lode  # noqa: B018
