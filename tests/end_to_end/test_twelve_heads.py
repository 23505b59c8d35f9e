"""Twelve heads in one still tote of 11 litres, from end to end: doubted, planned round, and shown with days.

A head of butterhead drinks 3.8 litres, a US gallon (Kratky, Star-Advertiser, 25 June 2023; see shared/), and nine
tenths of 11 litres may be drawn (Kratky, Acta Horticulturae 648: 83-89, 2004): 9.9 litres, which last for two heads.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

import pytest

from commands import Run
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

# What planning and checking show of the tote once twelve are planted in it; braces hold what is worked out.
SENTENCES = (
    "Tote B falls below a tenth of its water on {weekday} {day} {month}.",
    "It is never topped up (top_up: never).",
    "Harvest by then, or add {missing} litres in small portions.",
    "- Still tote B, planted on Sat 17 Oct: 12 butterhead lettuce need {needed} litres by {until};",
    "the tote can supply 9.9.",
    "It is never topped up (top_up: never): plant less.",
    "Without top-ups its water is enough for {enough} of them.",
    "By published figures it is enough for 2 butterhead lettuce.",
)


def worked_out(shown: str) -> dict[str, str]:
    """Give what stands in the braces of the sentences, which must be shown one after the other."""
    pattern = re.sub(r"\\{(\w+)\\}", r"(?P<\1>[\\w. ]+?)", re.escape(" ".join(SENTENCES)))
    found = re.search(pattern, shown)
    assert found, shown
    return found.groupdict()


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Give a folder with the garden."""
    (tmp_path / "garden.yaml").write_text(GARDEN, encoding="utf-8")
    return tmp_path


@pytest.fixture
def shown(run: Run, folder: Path) -> Callable[..., str]:
    """Give a function that runs a command on the garden, which ends well, and gives what it shows in one line."""

    def shown(today: str, *words: str) -> str:
        ended = run(*words, "-g", folder, "--today", today)
        assert ended.status == 0, ended.err
        return ended.words

    return shown


@pytest.fixture
def planted(shown: Callable[..., str]) -> None:
    """Record that twelve were sown for the tote and planted in it all the same."""
    shown("2026-10-03", "record", "sown", "butterhead lettuce", "--plants", "12", "--tote", "B", "--holes", "1-12")
    shown("2026-10-17", "record", "transplanted", "1", "--plants", "12", "--tote", "B", "--holes", "1-12")


def test_check_says_how_many_fit(shown: Callable[..., str], folder: Path) -> None:
    """Twelve times 3.8 litres are 45.6; two fit; and what to do, whether it may be topped up or not."""
    sentence = (
        "Still tote B can supply 9.9 litres of water. 12 butterhead lettuce need 45.6 litres (3.8 litres each); the "
        "water is enough for 2 butterhead lettuce. "
    )
    assert f"{sentence}No more are planted, since it is never topped up." in shown("2026-10-03", "check")
    (folder / "garden.yaml").write_text(GARDEN.replace(", top_up: never", ""), encoding="utf-8")
    assert f"{sentence}Top it up in small portions, or plant fewer." in shown("2026-10-03", "check")


def test_no_more_are_planned_than_fit(shown: Callable[..., str], folder: Path) -> None:
    """Two at a time, though twelve holes are there and six heads a week are wanted; then there is enough water."""
    planning = shown("2026-10-03", "plan")
    plan = load(folder)
    assert plan is not None
    assert {batch.plants for batch in plan.batches} <= {1, 2}
    assert plan.batches
    assert "Water" not in planning
    assert "Water There is enough." in shown("2026-10-03", "check")


@pytest.mark.usefixtures("planted")
def test_twelve_that_are_planted_all_the_same_are_shown_with_litres_and_days(
    shown: Callable[..., str], folder: Path
) -> None:
    """Planning and checking say what they drink, what the tote gives, from which day on it is low, and what to do."""
    figures = worked_out(shown("2026-10-18", "plan"))
    assert worked_out(shown("2026-10-18", "check")) == figures

    plan, garden = load(folder), read_garden(folder)
    assert plan is not None
    # As many litres a gram as in the profile, of what the plan has them weigh.
    grams = sum(harvest.grams for harvest in plan.batches[0].harvests)
    crop = garden.crops["butterhead lettuce"]
    needed = float(figures["needed"])
    assert needed == pytest.approx(grams * crop.litres_a_plant / crop.harvest.grams[0], abs=0.1)
    assert float(figures["missing"]) == pytest.approx(needed - 9.9, abs=0.11)
    # Short of light they are lighter than in the profile, and drink less.
    assert int(figures["enough"]) == int(12 * 9.9 / needed)
    # Grown, twelve would drink 9.9 litres within four days; as seedlings they take more than a week.
    low_on = date(2026, {"Oct": 10, "Nov": 11}[figures["month"]], int(figures["day"]))
    assert date(2026, 10, 17) + timedelta(7) < low_on < date(2026, 10, 17) + timedelta(23)


@pytest.mark.usefixtures("planted")
def test_json_holds_the_twelve(shown: Callable[..., str]) -> None:
    """What has begun stands in the plan as recorded, whatever the water: nobody is asked to pull plants out."""
    batches = json.loads(shown("2026-10-18", "plan", "--json"))["batches"]
    assert next(batch["plants"] for batch in batches if batch["id"] == 1) == 12
