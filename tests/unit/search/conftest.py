"""What the tests of the search share."""

from __future__ import annotations

import pytest

from steadysow.search import choose, mending

from .solving import solve_here


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let choosing and mending solve in this process, which starts in no time."""
    monkeypatch.setattr(choose, "solve", solve_here)
    monkeypatch.setattr(mending, "solve", solve_here)
