"""Commands that write the plan, killed at any moment, and commands that record at once."""

from __future__ import annotations

import os
import random
import shutil
import signal
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import date
from pathlib import Path
from time import perf_counter

import pytest
from icalendar import Calendar

from steadysow import cli
from steadysow.inputs.journal_file import read_journal
from steadysow.plan.plan_file import load

GARDEN = Path(__file__).parents[1] / "gardens" / "two-totes"
FIRST_DAY, LATER = "2026-10-03", "2026-10-20"
KILLS = {"record": 34, "plan": 33, "rebalance": 33}
COMMAND = [sys.executable, "-m", "steadysow"]
ENVIRONMENT = {**os.environ, "COLUMNS": "100"}

# What a crash may leave beside the files of a garden: nothing else stands in the way of the next command.
FILES = {"garden.yaml", "plan.json", "calendar.ics", "calendar-state.json", "journal.jsonl", "journal-torn.txt"}


def command(folder: Path, *arguments: str, today: str = LATER) -> list[str]:
    """Give a command on a garden, as it is typed."""
    return [*COMMAND, *arguments, "-g", str(folder), "--today", today]


def end(folder: Path, *arguments: str, today: str = LATER) -> str:
    """Run a command to its end, which is a good one, and give what it printed."""
    ended = subprocess.run(
        command(folder, *arguments, today=today), capture_output=True, text=True, check=False, env=ENVIRONMENT
    )
    assert ended.returncode == 0, f"{arguments}: {ended.stderr}"
    return ended.stdout


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Plan the small garden, and begin its journal."""
    folder = Path(shutil.copytree(GARDEN, tmp_path_factory.mktemp("crash") / "garden"))
    end(folder, "plan", today=FIRST_DAY)
    end(folder, "record", "done", today=FIRST_DAY)
    return folder


def rounds() -> Iterator[tuple[str, int]]:
    """Give what is killed, the commands by turns."""
    for number in range(max(KILLS.values())):
        yield from ((name, number) for name, kills in KILLS.items() if number < kills)


def arguments_of(name: str, number: int) -> tuple[str, ...]:
    """Give a command that has something to write."""
    if name == "record":
        return "record", "note", f"note {number}"
    return (name, "--afresh") if name == "plan" else (name,)


def check_whole(folder: Path) -> None:
    """Assert that every file is a whole one, by its own reader."""
    plan = load(folder)
    assert plan is not None
    assert plan.batches
    content = (folder / "calendar.ics").read_bytes()
    assert content.endswith(b"END:VCALENDAR\r\n")
    assert Calendar.from_ical(content).walk("VEVENT")
    assert read_journal(folder).facts


@pytest.fixture
def chores(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Callable[[Path], None]:
    """Give a function that asks a garden for its chores, and holds that this ends well."""

    def chores(folder: Path) -> None:
        monkeypatch.setattr(sys, "argv", ["steadysow", *command(folder, "chores")[len(COMMAND) :]])
        with pytest.raises(SystemExit) as ended:
            cli.main()
        assert not ended.value.code
        capsys.readouterr()

    return chores


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="there is no SIGKILL here")
def test_a_kill_at_any_moment_leaves_whole_files(planned: Path, tmp_path: Path, chores: Callable[[Path], None]) -> None:
    """A hundred kills: every fact that was told as recorded is there, all files are whole, and chores go on."""
    folder = Path(shutil.copytree(planned, tmp_path / "garden"))
    durations = {}
    for name in KILLS:
        started = perf_counter()
        end(folder, *arguments_of(name, 0))
        durations[name] = perf_counter() - started
    before = {fact.number for fact in read_journal(folder).facts}

    chance = random.Random(20261003)  # noqa: S311
    told: set[str] = set()
    killed = dict.fromkeys(KILLS, 0)
    for name, number in rounds():
        process = subprocess.Popen(
            command(folder, *arguments_of(name, 1000 + number)),
            stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=ENVIRONMENT, start_new_session=True,
        )  # fmt: skip
        threading.Event().wait(chance.uniform(0, durations[name]))
        # The search that the command started goes with it, or it would keep the next ones waiting.
        os.killpg(process.pid, signal.SIGKILL)
        out, _ = process.communicate()
        if process.returncode == -signal.SIGKILL:
            killed[name] += 1
        else:
            # The machine has become quicker than when it was measured.
            durations[name] *= 0.9
        if name == "record" and "(fact " in out:
            told.add(f"note {1000 + number}")
        # The next command, here in this process, is not stopped by what it finds.
        chores(folder)
        check_whole(folder)
        assert {fact.text for fact in read_journal(folder).facts} >= told

    facts = read_journal(folder).facts
    assert {fact.number for fact in facts} >= before
    texts = [fact.text for fact in facts if fact.text.startswith("note 1")]
    assert len(texts) == len({*texts})
    # Of each command many were hit while they worked.
    assert all(number >= 8 for number in killed.values()), killed
    for name in KILLS:
        end(folder, *arguments_of(name, 2000))
    check_whole(folder)
    assert {path.name for path in folder.iterdir() if not path.name.startswith(".")} <= FILES


def test_two_who_record_at_once_lose_nothing(planned: Path, tmp_path: Path) -> None:
    """Ten facts each, at the same time: all are there, and the calendar is whole."""
    folder = Path(shutil.copytree(planned, tmp_path / "garden"))
    before = read_journal(folder).last_number

    def record(name: str) -> list[str]:
        return [end(folder, "record", "note", f"{name} {number}") for number in range(10)]

    with ThreadPoolExecutor(2) as pool:
        said = [line for lines in pool.map(record, ("Ada", "Ben")) for line in lines]
    assert all(line.startswith("Noted, Tue 20 Oct") for line in said)
    facts = [fact for fact in read_journal(folder).facts if fact.number > before]
    assert sorted(fact.text for fact in facts) == sorted(f"{name} {n}" for name in ("Ada", "Ben") for n in range(10))
    assert [fact.number for fact in facts] == list(range(before + 1, before + 21))
    assert {fact.on for fact in facts} == {date(2026, 10, 20)}
    check_whole(folder)
