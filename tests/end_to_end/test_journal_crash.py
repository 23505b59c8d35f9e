"""The journal under commands that run at once, and under commands that are killed."""

from __future__ import annotations

import random
import signal
import subprocess
import sys
import threading
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from steadysow.inputs.journal import Fact
from steadysow.inputs.journal_file import add_facts, read_journal

KILLS = 100
LONGEST_WAIT_SECONDS = 0.03

# Adds facts one by one, and prints the number of each once it is added; waits for a line on its input before it begins.
ADDING = """
import itertools, sys
from datetime import UTC, date, datetime
from pathlib import Path
from steadysow.inputs.journal import Fact
from steadysow.inputs.journal_file import add_facts

folder, name, most = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3])
sys.stdin.readline()
for count in range(most):
    fact = Fact(kind="note", on=date(2026, 10, 3), text=f"{name} {count} " + "ü" * (count % 300))
    _, (added,) = add_facts(folder, lambda journal: [fact], new_uuid=name, now=datetime(2026, 10, 3, tzinfo=UTC))
    print(added.number, flush=True)
"""


def start(folder: Path, name: str, most: int) -> subprocess.Popen[str]:
    """Start a process that adds facts."""
    return subprocess.Popen(
        [sys.executable, "-c", ADDING, str(folder), name, str(most)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


@pytest.mark.parametrize("together", [2, 4])
def test_commands_at_once_lose_nothing(tmp_path: Path, together: int) -> None:
    """Several processes begin a journal and add to it at once: all their facts are there, each with its own number."""
    names = [f"process-{number}" for number in range(together)]
    processes = [start(tmp_path, name, 100) for name in names]
    for process in processes:
        assert process.stdin is not None
        process.stdin.write("go\n")
        process.stdin.flush()
    told = [process.communicate() for process in processes]
    assert [(process.returncode, err) for process, (_, err) in zip(processes, told, strict=True)] == [
        (0, "")
    ] * together

    journal = read_journal(tmp_path)
    assert [fact.number for fact in journal.facts] == list(range(1, 100 * together + 1))
    assert journal.uuid in names
    assert not journal.warnings
    for name, (out, _) in zip(names, told, strict=True):
        own = [fact for fact in journal.facts if fact.text.startswith(f"{name} ")]
        assert [fact.text.split()[1] for fact in own] == [str(count) for count in range(100)]
        assert [fact.number for fact in own] == [int(number) for number in out.split()]


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="there is no SIGKILL here")
def test_a_kill_at_any_moment_loses_nothing(tmp_path: Path) -> None:
    """After each kill every fact that was told as added is there, nothing is half there, and adding goes on."""
    chance = random.Random(20261003)  # noqa: S311
    told: dict[int, str] = {}
    for round_number in range(KILLS):
        name = f"round-{round_number}"
        with start(tmp_path, name, 100_000) as process:
            assert process.stdin is not None
            assert process.stdout is not None
            assert process.stderr is not None
            process.stdin.write("go\n")
            process.stdin.flush()
            numbers = [process.stdout.readline()]
            threading.Event().wait(chance.uniform(0, LONGEST_WAIT_SECONDS))
            process.kill()
            rest, err = process.stdout.read(), process.stderr.read()
        assert (process.returncode, err) == (-signal.SIGKILL, "")
        # A number whose line was cut off was not told.
        numbers += [line for line in rest.splitlines(keepends=True) if line.endswith("\n")]
        told |= {int(number): f"{name} {count}" for count, number in enumerate(numbers)}

        facts = read_journal(tmp_path).facts
        there = {fact.number: " ".join(fact.text.split()[:2]) for fact in facts}
        assert told.items() <= there.items()
        # All text is as it was meant, and at most the last fact of a round was added and not told.
        for fact in facts:
            count = int(fact.text.split()[1])
            assert fact.text.endswith(f" {count} " + "ü" * (count % 300))
        assert len(there) - len(told) <= round_number + 1

    _, (added,) = add_facts(
        tmp_path,
        lambda _: [Fact(kind="note", on=date(2026, 10, 3), text="the end")],
        new_uuid="end",
        now=datetime(2026, 10, 3, tzinfo=UTC),
    )
    journal = read_journal(tmp_path)
    assert journal.facts[-1] == added
    assert journal.uuid == "round-0"
    assert [fact.number for fact in journal.facts] == list(range(1, len(journal.facts) + 1))
    assert len(told) >= KILLS
