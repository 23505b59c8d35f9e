"""`steadysow mix` on the example gardens, without a garden, and with wrong words."""

from __future__ import annotations

import json
import shutil
from functools import partial
from pathlib import Path

import pytest

from commands import Run

EXAMPLES = sorted(path.parent for path in (Path(__file__).parents[2] / "examples").glob("*/garden.yaml"))


@pytest.fixture
def mix(run: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Run:
    """Give a function that runs `steadysow mix` where no garden lies around, on 80 columns."""
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.chdir(tmp_path)
    return partial(run, "mix")


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda path: path.name)
@pytest.mark.parametrize("recipe", ["one-part powder", "castings brew"])
def test_examples_in_metric_and_us(mix: Run, example: Path, tmp_path: Path, recipe: str) -> None:
    """The same water in litres and in gallons: other units, the same levels; nothing is written."""
    folder = Path(shutil.copytree(example, tmp_path / "garden"))
    before = sorted(folder.rglob("*"))
    metric = mix("--litres", 3.785411784, "--recipe", recipe, "-g", folder)
    assert (metric.status, metric.err) == (0, "")
    assert f"3.79 litres of tote water with {recipe}" in metric.out
    file = folder / "garden.yaml"
    file.write_text(file.read_text(encoding="utf-8") + "\nunits: us\n", encoding="utf-8")
    us = mix("--gallons", 1, "--recipe", recipe, "-g", folder)
    assert (us.status, us.err) == (0, "")
    assert f"1 gallon of tote water with {recipe}" in us.out
    assert "mizuna" in us.out
    table = slice(metric.out.index("In the tote"), metric.out.index("EC and pH"))
    assert metric.out[table] in us.out
    assert max(map(len, (metric.out + us.out).splitlines())) <= 80
    assert sorted(folder.rglob("*")) == before


def test_no_garden_is_needed(mix: Run) -> None:
    """In an empty folder the shipped powder is mixed, in the units that were asked in."""
    assert "11 litres of tote water with one-part powder" in mix("--litres", 11).out
    assert "3 gallons of tote water with one-part powder" in mix("--gallons", 3).out


def test_json(mix: Run) -> None:
    """Figures for other programs: 22 litres take 28.6 g of powder at 1.3 g; onto 22 old litres, half to thrice half."""
    ended = mix("--litres", 22, "--onto", 22, "--json")
    figures = json.loads(ended.out)
    assert ended.status == 0
    assert figures["mix"]["amounts"][0]["grams"] == pytest.approx(28.6)
    levels = {level["element"]: level["mg_per_litre"] for level in figures["levels"]}
    assert levels["N"] == pytest.approx(130)
    assert figures["levels_with_old"]["N"] == [pytest.approx(65), pytest.approx(195)]
    assert figures["published"]["hoagland-arnon-1950"]["N"] == [210, 210]


def test_onto_counts_in_gallons_beside_gallons(mix: Run) -> None:
    """--onto is in the unit in which the mix was asked for."""
    assert "3 gallons poured onto 2 gallons of old solution" in mix("--gallons", 3, "--onto", 2).words


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        ((), "--litres: how much is not said"),
        (("--litres", 11, "--gallons", 3), "--gallons: says the same as --litres"),
        (("--litres", 0), "--litres: 0 litres are not mixed at home"),
        (("--gallons", "-3"), "litres are not mixed at home. Write more than 0"),
        (("--gallons", 0), "--gallons: 0 litres are not mixed at home"),
        (("--litres", "nan"), "--litres: nan litres are not mixed at home"),
        (("--litres", 11, "--recipe", "casting brew"), "Did you mean castings brew?"),
        (("--litres", 11, "--onto", "-1"), "--onto"),
        (("--litres", 11, "--onto", "nan"), "--onto: nan is too much"),
    ],
)
def test_wrong_words_are_refused(mix: Run, arguments: tuple[object, ...], sentence: str) -> None:
    """What cannot be mixed ends with status 2, one sentence that says what to write, and no output."""
    ended = mix(*arguments)
    assert (ended.status, ended.out) == (2, "")
    assert sentence in ended.err


def test_a_folder_that_is_named_has_a_garden(mix: Run, tmp_path: Path) -> None:
    """Whoever mistypes a folder is not answered with another recipe."""
    ended = mix("--litres", 11, "-g", tmp_path / "nowhere")
    assert (ended.status, ended.out) == (2, "")
    assert "there is no such folder" in ended.err


def test_a_faulty_garden_is_reported_first(mix: Run, tmp_path: Path) -> None:
    """A fault in the recipes of the garden file is reported with its line."""
    folder = Path(shutil.copytree(EXAMPLES[0], tmp_path / "garden"))
    file = folder / "garden.yaml"
    lines = file.read_text(encoding="utf-8").splitlines()
    number = next(number for number, line in enumerate(lines) if line.startswith("nutrient:"))
    lines[number] = "nutrient: nothing like it"
    file.write_text("\n".join(lines), encoding="utf-8")
    ended = mix("--litres", 11, "-g", folder)
    assert ended.status == 2
    assert f'line {number + 1}: nutrient: there is no recipe "nothing like it"' in ended.err
