"""Twelve heads in one still tote of 11 litres, from end to end: told before, planned round, and told with its days.

A head of butterhead drinks 3.8 litres, a US gallon (Kratky, Star-Advertiser, 25 June 2023; see shared/), and nine
tenths of 11 litres may be drawn (Kratky, Acta Horticulturae 648: 83-89, 2004): 9.9 litres, which last for two heads.
"""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from steadysow import cli
from steadysow.inputs.garden_file import read_garden
from steadysow.plan.plan_file import load

GARDEN = """\
garden: Twelve heads
starts_on: 2026-10-03
weeks: 8
chore_days: sat
harvest_days: [sat, wed]
nursery: {cells: 24}
places:
  shelf: {lamp: {ppfd: 220, hours: 14}, temperature_c: 20}
totes:
  B: {holes: 12, litres: 11, inside_cm: [60, 80], system: kratky, place: shelf, top_up: never}
wants:
  salad: {heads_a_week: 6, crops: [butterhead lettuce]}
"""

Run = Callable[..., str]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Give a folder with the garden."""
    (tmp_path / "garden.yaml").write_text(GARDEN, encoding="utf-8")
    return tmp_path


@pytest.fixture
def run(folder: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]) -> Run:
    """Give a function that runs a command on the garden in this process, and gives what it shows in one line."""
    monkeypatch.delenv("STEADYSOW_GARDEN", raising=False)
    monkeypatch.setenv("COLUMNS", "100")

    def run(today: str, *words: str) -> str:
        monkeypatch.setattr(sys, "argv", ["steadysow", *words, "-g", str(folder), "--today", today])
        capfd.readouterr()
        with pytest.raises(SystemExit) as end:
            cli.main()
        out, err = capfd.readouterr()
        assert not end.value.code, err
        return " ".join(out.split())

    return run


def test_check_tells_how_many_fit(run: Run, folder: Path) -> None:
    """Twelve times 3.8 litres are 45.6; two fit; and what to do, whether it may be topped up or not."""
    sentence = (
        "Still tote B can supply 9.9 litres of water. 12 butterhead lettuce need 45.6 litres (3.8 litres each); the "
        "water is enough for 2 butterhead lettuce. "
    )
    assert f"{sentence}No more are planted, since it is never topped up." in run("2026-10-03", "check")
    (folder / "garden.yaml").write_text(GARDEN.replace(", top_up: never", ""), encoding="utf-8")
    assert f"{sentence}Top it up in small portions, or plant fewer." in run("2026-10-03", "check")


def test_no_more_are_planned_than_fit(run: Run, folder: Path) -> None:
    """Two at a time, though twelve holes are there and six heads a week are wanted; water is no news then."""
    shown = run("2026-10-03", "plan")
    plan = load(folder)
    assert plan is not None
    assert plan.batches
    assert all(batch.plants <= 2 for batch in plan.batches)
    assert "Water" not in shown
    assert "Water There is enough." in run("2026-10-03", "check")


def test_twelve_that_are_planted_all_the_same_are_told_with_litres_and_days(run: Run, folder: Path) -> None:
    """Planning and checking say what they drink, what the tote gives, from which day on it is low, and what to do."""
    run("2026-10-03", "record", "sown", "butterhead lettuce", "--plants", "12", "--tote", "B", "--holes", "1-12")
    run("2026-10-17", "record", "transplanted", "1", "--plants", "12", "--tote", "B", "--holes", "1-12")
    for shown in (run("2026-10-18", "plan"), run("2026-10-18", "check")):
        found = re.search(
            r"Tote B falls below a tenth of its water on \w+ (\d+) (Oct|Nov)\. It is never topped up \(top_up: never\)\."
            r" Harvest by then, or add ([\d.]+) litres in small portions\. - Still tote B, planted on Sat 17 Oct: "
            r"12 butterhead lettuce need ([\d.]+) litres by [\w ]+; the tote can supply 9\.9\. It is never topped "
            r"up \(top_up: never\): plant less\. Without top-ups its water is enough for (\d+) of them\. By published "
            r"figures it is enough for 2 butterhead lettuce\.",
            shown,
        )
        assert found, shown
        missing, drunk = float(found[3]), float(found[4])
        # As many litres a gram as in the profile, of what the plan has them weigh.
        plan, garden = load(folder), read_garden(folder)
        assert plan is not None
        grams = sum(harvest.grams for harvest in plan.batches[0].harvests)
        crop = garden.crops["butterhead lettuce"]
        assert drunk == pytest.approx(grams * crop.litres_a_plant / crop.harvest.grams[0], abs=0.1)
        assert missing == pytest.approx(drunk - 9.9, abs=0.11)
        # Short of light they are lighter than in the profile, and drink less.
        assert int(found[5]) == int(12 * 9.9 / drunk)
        # Grown, twelve would drink 9.9 litres within four days; as seedlings they take more than a week.
        day = int(found[1]) + (31 if found[2] == "Nov" else 0)
        assert 17 + 7 < day < 17 + 23


def test_json_holds_the_twelve(run: Run, folder: Path) -> None:
    """What has begun stands in the plan as it was told, whatever the water: nobody is told to pull plants out."""
    run("2026-10-03", "record", "sown", "butterhead lettuce", "--plants", "12", "--tote", "B", "--holes", "1-12")
    run("2026-10-17", "record", "transplanted", "1", "--plants", "12", "--tote", "B", "--holes", "1-12")
    batches = json.loads(run("2026-10-18", "plan", "--json"))["batches"]
    assert next(batch["plants"] for batch in batches if batch["id"] == 1) == 12
