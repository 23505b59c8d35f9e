"""The page about Python runs as it is written, and the door knows at once what its folder holds."""

from __future__ import annotations

import re
from importlib.util import find_spec
from pathlib import Path

import pytest

import steadysow
from steadysow.cli.beginning import STARTER

PAGE = Path(__file__).parents[2] / "shared" / "guide" / "python.md"
NEEDS_PANDAS = "# needs pandas"


def blocks() -> list[str]:
    """Give the Python blocks of the page, in order."""
    return re.findall(r"^```python\n(.*?)^```$", PAGE.read_text(encoding="utf-8"), flags=re.M | re.S)


@pytest.fixture
def my_garden(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Begin the garden that the page speaks of, in the current folder, and small so that it plans quickly."""
    folder = tmp_path / "my-garden"
    folder.mkdir()
    (folder / "garden.yaml").write_text(STARTER.read_text(encoding="utf-8"), encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return folder


def run(code: str) -> None:
    """Run Python as a reader of the page would."""
    exec(compile(code, str(PAGE), "exec"), {"__name__": "page"})  # noqa: S102 - the page is ours


def test_the_page_runs_as_it_is_written(my_garden: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """All blocks but the one for pandas run one after the other, and print what the page says they print."""
    every = blocks()
    plain = [block for block in every if not block.startswith(NEEDS_PANDAS)]
    assert (len(every), len(plain)) == (8, 7)
    run("\n".join(plain))
    printed = capsys.readouterr().out
    assert re.search(r"^\d+\.\d% with \d+ sowings$", printed, flags=re.M)
    assert "there is no such folder" in printed
    assert (my_garden / "calendar.ics").exists()


@pytest.mark.skipif(find_spec("pandas") is None, reason="pandas is not installed; CI installs it")
def test_rows_make_a_table_of_pandas(my_garden: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The sum by crop in a table of pandas is that of the rows."""
    (with_pandas,) = (block for block in blocks() if block.startswith(NEEDS_PANDAS))
    run(f"{blocks()[0]}\n{with_pandas}")
    plan = steadysow.load(my_garden).saved_plan()
    assert plan is not None
    rows = plan.rows("harvests")
    printed = capsys.readouterr().out
    for crop in {row["crop"] for row in rows}:
        grams = sum(row["grams"] for row in rows if row["crop"] == crop)
        assert re.search(rf"{re.escape(crop)}\s+{grams:.1f}", printed)
