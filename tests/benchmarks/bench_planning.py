"""How long planning takes, and how good it is, for every garden in ``examples/``.

Run by hand: ``python tests/benchmarks/bench_planning.py``.  Takes the example gardens, each planned from its first day,
and mended eight weeks later when a tote stands empty; prints tables, and how long the command takes to start.  Times
are told in seconds and as multiples of a fixed loop timed in the same run, so that tables of different machines can be
compared.
"""

from __future__ import annotations

import subprocess
import sys
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter

from rich.console import Console
from rich.table import Table

from steadysow.door.words import freed
from steadysow.inputs.journal import imagined
from steadysow.pipeline import make_plan, read, rebalance
from steadysow.plan.plan import Plan
from steadysow.plan.plan_file import save

EXAMPLES = Path(__file__).parents[2] / "examples"
SECONDS = 60.0
RUNS = 10
REFERENCE_STEPS = 3_000_000


def reference_seconds() -> float:
    """Time a fixed loop of whole-number arithmetic."""
    started = perf_counter()
    number = 1
    for step in range(REFERENCE_STEPS):
        number = (number * 31 + step) % 1_000_003
    return perf_counter() - started


def harvest_days_a_week(plan: Plan) -> float:
    """Count the days with a harvest, for a week, from the first harvest to the end of the planned weeks."""
    days = {harvest.on for batch in plan.batches for harvest in batch.harvests if harvest.on < plan.until_on}
    return 7 * len(days) / (plan.until_on - min(days)).days if days else 0.0


def sowing_days(plan: Plan) -> int:
    """Count the days with a sowing in the planned weeks."""
    return len({batch.sown_on for batch in plan.batches if batch.sown_on < plan.until_on})


def plan_rows(loop_seconds: float) -> list[tuple[str, ...]]:
    """Plan every example; give a row of the table for each."""
    rows: list[tuple[str, ...]] = []
    for folder in sorted(path.parent for path in EXAMPLES.glob("*/garden.yaml")):
        inputs = read(folder)
        assert inputs.garden.starts_on is not None, f"{folder.name} has no first day"
        started = perf_counter()
        plan = make_plan(inputs, today=inputs.garden.starts_on, seconds=SECONDS)
        seconds = perf_counter() - started
        proof = plan.proof
        rows.append(
            (
                folder.name,
                f"{seconds:.1f}",
                f"{seconds / loop_seconds:.0f}",
                f"{proof.served_share:.2%}",
                f"{proof.best_share:.2%}",
                f"{proof.bound_share:.2%}",
                f"{proof.bound_share - proof.best_share:.2%}",
                proof.status,
                str(proof.sowings),
                str(sowing_days(plan)),
                f"{harvest_days_a_week(plan):.2f}",
            )
        )
    return rows


def rebalance_rows(loop_seconds: float) -> list[tuple[str, ...]]:
    """Free the fullest tote of every example, eight weeks after its first day, and mend the plan made that day."""
    rows: list[tuple[str, ...]] = []
    for folder in sorted(path.parent for path in EXAMPLES.glob("*/garden.yaml")):
        inputs = read(folder)
        assert inputs.garden.starts_on is not None, f"{folder.name} has no first day"
        today = inputs.garden.starts_on + timedelta(56)
        first = make_plan(inputs, today=inputs.garden.starts_on, seconds=SECONDS)
        plan = make_plan(inputs, today=today, old=first, seconds=SECONDS)
        standing = (batch for batch in inputs.standing(plan, today).begun if batch.state == "transplanted")
        plants = Counter[str]()
        for batch in standing:
            plants[batch.tote] += batch.plants
        tote = max(plants, key=lambda name: (plants[name], name))
        facts = freed((tote,), (), inputs.grounds(plan, today)).facts
        told = replace(inputs, journal=imagined(inputs.journal, facts)[0])
        started = perf_counter()
        mended = rebalance(told, today=today, old=plan, seconds=SECONDS)
        seconds = perf_counter() - started
        kept, differences = len(mended.differences.kept), mended.differences
        others = len(differences.moved) + len(differences.dropped)
        rows.append(
            (
                folder.name,
                tote,
                f"{seconds:.1f}",
                f"{seconds / loop_seconds:.0f}",
                f"{kept} of {kept + others}",
                str(len(differences.added)),
                f"{mended.share_before:.2%}",
                f"{mended.plan.proof.served_share:.2%}",
                f"{mended.share_afresh:.2%}",
            )
        )
    return rows


def median_seconds(command: Sequence[str]) -> float:
    """Run a command several times; give the median of the times it took."""
    times = []
    for _ in range(RUNS):
        started = perf_counter()
        subprocess.run(command, check=True, capture_output=True)
        times.append(perf_counter() - started)
    return median(times)


def start_rows() -> list[tuple[str, ...]]:
    """Time the start of the command, with nothing to do and with a plan to read."""
    bare = median_seconds([sys.executable, "-c", "pass"])
    steadysow = [sys.executable, "-m", "steadysow"]
    with TemporaryDirectory() as folder:
        garden = Path(folder)
        example = next(iter(sorted(EXAMPLES.glob("*/garden.yaml"))))
        (garden / "garden.yaml").write_text(example.read_text(encoding="utf-8"), encoding="utf-8")
        inputs = read(garden)
        assert inputs.garden.starts_on is not None
        save(make_plan(inputs, today=inputs.garden.starts_on, seconds=SECONDS), garden)
        today = str(inputs.garden.starts_on)
        commands = {
            "steadysow --help": [*steadysow, "--help"],
            "steadysow chores": [*steadysow, "chores", "-g", folder, "--today", today],
        }
        times = {name: median_seconds(command) for name, command in commands.items()}
    rows: list[tuple[str, ...]] = [("python -c pass", f"{1000 * bare:.0f}", "1.0")]
    return rows + [(name, f"{1000 * seconds:.0f}", f"{seconds / bare:.1f}") for name, seconds in times.items()]


def show(title: str, headings: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
    """Print a table."""
    table = Table(title=title)
    for heading in headings:
        table.add_column(heading)
    for row in rows:
        table.add_row(*row)
    Console(width=160).print(table)


def main() -> None:
    """Print both tables."""
    loop_seconds = median([reference_seconds() for _ in range(3)])
    headings = (
        "garden", "seconds", "loops", "served", "best", "bound", "gap", "status",
        "sowings", "sowing days", "harvest days/week",
    )  # fmt: skip
    show(f"Planning (a loop takes {loop_seconds:.2f} s)", headings, plan_rows(loop_seconds))
    mending = ("garden", "tote freed", "seconds", "loops", "kept", "added", "before", "after", "afresh")
    show("Mending after a tote is freed", mending, rebalance_rows(loop_seconds))
    show(f"Starting (median of {RUNS})", ("command", "ms", "times python"), start_rows())


if __name__ == "__main__":
    main()
