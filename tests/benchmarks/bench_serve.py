"""How many requests the calendar server answers a second, and how long the slowest takes.

Run by hand: ``PYTHONPATH=tests python tests/benchmarks/bench_serve.py [SECONDS]`` (60 a row); needs ``wrk``.  Takes a
made-up calendar of 400 chores, 20 connections on this machine, and the server as people run it; prints a table.
Requests are told a second, and for a fixed loop timed in the same run, so that tables of different machines can be
compared.  Rows are measured one after the other, so their differences mean little while the machine does other work.
"""

from __future__ import annotations

import sys
from contextlib import ExitStack
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter

from rich.console import Console
from rich.table import Table

from serving import calendar_of, load, serving, trickling

CHORES = 400
REFERENCE_STEPS = 3_000_000
# What is asked for: a name, headers, and how many slow clients hold a connection meanwhile.
ROWS = (
    ("whole", ("Accept-Encoding: identity",), 0),
    ("gzip", ("Accept-Encoding: gzip",), 0),
    ("unchanged (304)", ("If-None-Match: *",), 0),
    ("gzip, beside 200 slow clients", ("Accept-Encoding: gzip",), 200),
)


def reference_seconds() -> float:
    """Time a fixed loop of whole-number arithmetic."""
    started = perf_counter()
    number = 1
    for step in range(REFERENCE_STEPS):
        number = (number * 31 + step) % 1_000_003
    return perf_counter() - started


def main(seconds: int) -> None:
    """Measure each row and print the table."""
    loop_seconds = reference_seconds()
    table = Table(title=f"{CHORES} chores, {seconds} s a row; fixed loop {loop_seconds:.2f} s")
    for heading in ("asked for", "requests", "a second", "a loop", "worst [ms]", "errors"):
        table.add_column(heading, justify="left" if heading in ("asked for", "errors") else "right")
    for name, headers, slow in ROWS:
        with TemporaryDirectory() as folder, ExitStack() as stack:
            (Path(folder) / "calendar.ics").write_bytes(calendar_of(CHORES, 0))
            served = stack.enter_context(serving(Path(folder)))
            if slow:
                stack.enter_context(trickling(served.where, slow, is_stubborn=True))
            measured = load(served.url, seconds, *headers)
        cells = (f"{measured.requests:,}", f"{measured.a_second:,.0f}", f"{measured.a_second * loop_seconds:,.0f}")
        table.add_row(name, *cells, f"{measured.worst_ms:,.1f}", measured.errors or "none")
    Console().print(table)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 60)
