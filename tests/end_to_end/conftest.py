"""What tests of commands share: a function that runs a command, and gardens that are planned once."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from commands import Ended, Run, status_of

from .planned_examples import AMPLE, NAMES, SMALL_GARDEN, TODAY, Planned, each_of, plan_example


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]) -> Run:
    """Give a function that runs a command in this process, on 100 columns, with no garden named by the environment."""
    monkeypatch.delenv("STEADYSOW_DEBUG", raising=False)
    monkeypatch.delenv("STEADYSOW_GARDEN", raising=False)
    monkeypatch.setenv("COLUMNS", "100")

    def run(*arguments: object) -> Ended:
        capfd.readouterr()
        status = status_of(*arguments)
        out, err = capfd.readouterr()
        return Ended(status=status, out=out, err=err)

    return run


@pytest.fixture
def fresh(tmp_path: Path) -> Path:
    """Give a folder with the small garden and no plan."""
    return Path(shutil.copytree(SMALL_GARDEN, tmp_path / "fresh"))


@pytest.fixture(scope="session")
def planned_once(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """Plan the small garden once, in a process as people run it; give the folder and what was shown."""
    folder = Path(shutil.copytree(SMALL_GARDEN, tmp_path_factory.mktemp("planned") / "garden"))
    words = ["plan", "-g", str(folder), "--today", TODAY.isoformat(), "--seconds", str(AMPLE)]
    environment = {**os.environ, "COLUMNS": "100"}
    command = [sys.executable, "-m", "steadysow", *words]
    ended = subprocess.run(command, capture_output=True, text=True, check=True, env=environment)
    assert ended.stderr == ""
    return folder, ended.stdout


@pytest.fixture
def planned(planned_once: tuple[Path, str], tmp_path: Path) -> Path:
    """Give a folder with the small garden, its plan and its calendar, to do with as a test likes."""
    return Path(shutil.copytree(planned_once[0], tmp_path / "planned"))


@pytest.fixture(
    scope="session",
    params=each_of(*NAMES),
)
def example(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Planned:
    """Give each example, planned once for all tests of it; one process runs them all."""
    return plan_example(request.param, tmp_path_factory.mktemp("example") / request.param)
