"""The progress of a search, shown only to a person who watches."""

from __future__ import annotations

import io

from rich.console import Console

from steadysow.outputs import terminal


def test_progress_shows_best_and_bound_on_a_terminal() -> None:
    """On a terminal the callback shows the best plan and the bound so far."""
    stream = io.StringIO()
    with terminal.Progress(Console(file=stream, force_terminal=True, width=80)) as report:
        report(0.0, 1.2, 0.4)
        report(0.942, 0.969, 3.1)
    assert "0 s: no plan yet; none can meet more than 100.0 %" in stream.getvalue()
    assert "3 s: meets 94.2 % of what you asked; none can meet more than 96.9 %" in stream.getvalue()


def test_progress_is_silent_elsewhere() -> None:
    """If the error stream is a file or a pipe, nothing is written."""
    stream = io.StringIO()
    with terminal.Progress(Console(file=stream)) as report:
        report(0.942, 0.969, 3.1)
    assert stream.getvalue() == ""
