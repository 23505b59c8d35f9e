"""`steadysow mix` on the example gardens, without a garden, and with wrong words."""

from __future__ import annotations

import json
import shutil
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from steadysow import cli

EXAMPLES = sorted(path.parent for path in (Path(__file__).parents[2] / "examples").glob("*/garden.yaml"))
Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> Run:
    """Give a function that runs `steadysow mix` in this process, and gives status, output and faults."""
    monkeypatch.delenv("STEADYSOW_DEBUG", raising=False)
    monkeypatch.delenv("STEADYSOW_GARDEN", raising=False)
    monkeypatch.setenv("COLUMNS", "80")
    # Where no garden lies around, unless one is named.
    monkeypatch.chdir(tmp_path)

    def run(*arguments: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["steadysow", "mix", *map(str, arguments)])
        status: object = 0
        try:
            cli.main()
        except SystemExit as end:
            status = end.code
        out, err = capsys.readouterr()
        return int(status or 0) if isinstance(status, int | None) else 1, out, err

    return run


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda path: path.name)
@pytest.mark.parametrize("recipe", ["one-part powder", "castings brew"])
def test_examples_in_metric_and_us(run: Run, example: Path, tmp_path: Path, recipe: str) -> None:
    """The same water in litres and in gallons: other units, the same levels; nothing is written."""
    garden = Path(shutil.copytree(example, tmp_path / "garden"))
    before = sorted(garden.rglob("*"))
    metric = run("--litres", 3.785411784, "--recipe", recipe, "-g", garden)
    assert (metric[0], metric[2]) == (0, "")
    assert f"3.79 litres of tote water with {recipe}" in metric[1]
    file = garden / "garden.yaml"
    file.write_text(file.read_text(encoding="utf-8") + "\nunits: us\n", encoding="utf-8")
    us = run("--gallons", 1, "--recipe", recipe, "-g", garden)
    assert (us[0], us[2]) == (0, "")
    assert f"1 gallon of tote water with {recipe}" in us[1]
    assert "mizuna" in us[1]
    table = slice(metric[1].index("In the tote"), metric[1].index("EC and pH"))
    assert metric[1][table] in us[1]
    assert max(map(len, (metric[1] + us[1]).splitlines())) <= 80
    assert sorted(garden.rglob("*")) == before


def test_no_garden_is_needed(run: Run) -> None:
    """In an empty folder the shipped powder is mixed, in the units that were asked in."""
    assert "11 litres of tote water with one-part powder" in run("--litres", 11)[1]
    assert "3 gallons of tote water with one-part powder" in run("--gallons", 3)[1]


def test_json(run: Run) -> None:
    """Figures for other programs: 22 litres take 28.6 g of powder at 1.3 g; onto 22 old litres, half to thrice half."""
    status, out, _ = run("--litres", 22, "--onto", 22, "--json")
    told = json.loads(out)
    assert status == 0
    assert told["mix"]["amounts"][0]["grams"] == pytest.approx(28.6)
    levels = {level["element"]: level["mg_per_litre"] for level in told["levels"]}
    assert levels["N"] == pytest.approx(130)
    assert told["levels_with_old"]["N"] == [pytest.approx(65), pytest.approx(195)]
    assert told["published"]["hoagland-arnon-1950"]["N"] == [210, 210]


def test_onto_counts_in_gallons_beside_gallons(run: Run) -> None:
    """--onto is in the unit in which the mix was asked for."""
    assert "3 gallons poured onto 2 gallons of old solution" in " ".join(run("--gallons", 3, "--onto", 2)[1].split())


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ((), "--litres: how much is not said"),
        (("--litres", 11, "--gallons", 3), "--gallons: says the same as --litres"),
        (("--litres", 0), "--litres: 0 litres are not mixed at home"),
        (("--gallons", "-3"), "litres are not mixed at home. Write more than 0"),
        (("--litres", "nan"), "--litres: nan litres are not mixed at home"),
        (("--litres", 11, "--recipe", "casting brew"), "Did you mean castings brew?"),
        (("--litres", 11, "--onto", "-1"), "--onto"),
        (("--litres", 11, "--onto", "nan"), "--onto: nan is too much"),
    ],
)
def test_wrong_words_are_told(run: Run, arguments: tuple[object, ...], told: str) -> None:
    """What cannot be mixed ends with status 2, one sentence that says what to write, and no output."""
    status, out, err = run(*arguments)
    assert (status, out) == (2, "")
    assert told in err


def test_a_folder_that_is_named_has_a_garden(run: Run, tmp_path: Path) -> None:
    """Whoever mistypes a folder is not answered with another recipe."""
    status, out, err = run("--litres", 11, "-g", tmp_path / "nowhere")
    assert (status, out) == (2, "")
    assert "there is no such folder" in err


def test_a_faulty_garden_is_told_first(run: Run, tmp_path: Path) -> None:
    """A fault in the recipes of the garden file is told with its line."""
    garden = Path(shutil.copytree(EXAMPLES[0], tmp_path / "garden"))
    file = garden / "garden.yaml"
    lines = file.read_text(encoding="utf-8").splitlines()
    number = next(number for number, line in enumerate(lines) if line.startswith("nutrient:"))
    lines[number] = "nutrient: nothing like it"
    file.write_text("\n".join(lines), encoding="utf-8")
    status, _, err = run("--litres", 11, "-g", garden)
    assert status == 2
    assert f'line {number + 1}: nutrient: there is no recipe "nothing like it"' in err
