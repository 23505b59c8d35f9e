"""The shipped examples and the small garden, planned as a newcomer would; each once for all tests that look at it."""

from __future__ import annotations

import json
import shutil
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from _pytest.mark import ParameterSet

from commands import printed

EXAMPLES = Path(__file__).parents[2] / "examples"
SMALL_GARDEN = Path(__file__).parents[1] / "gardens" / "two-totes"
TODAY = date(2026, 10, 3)
# So much time that no busy machine cuts a search short, and equal inputs give equal plans [s].
AMPLE = 300


NAMES = ("winter-shelf", "window-sill", "year-round")


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """An example that was planned in a folder of its own."""

    folder: Path
    plan: dict[str, Any]

    def run(self, *arguments: object) -> str:
        """Give what a command prints on the first day."""
        return printed(*arguments, "-g", self.folder, "--today", TODAY)

    def copied_to(self, folder: Path) -> Path:
        """Copy the folder, to do with as a test likes."""
        return Path(shutil.copytree(self.folder, folder))


def each_of(*names: str) -> list[ParameterSet]:
    """Give names of examples as parameters of the fixture `example`; one process runs all tests of an example."""
    return [pytest.param(name, marks=pytest.mark.xdist_group(name)) for name in names]


def plan_example(name: str, folder: Path, seconds: int = AMPLE) -> Planned:
    """Plan an example in a copy of its folder."""
    shutil.copytree(EXAMPLES / name, folder, ignore=shutil.ignore_patterns("plan.json", "calendar*"))
    plan = printed("plan", "--json", "--seconds", seconds, "-g", folder, "--today", TODAY)
    return Planned(folder=folder, plan=json.loads(plan))
