"""A garden and three crop profiles in a folder of their own, so that tests see only the profiles they write."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from steadysow.errors import Fault, InputFaults
from steadysow.inputs import crop_files, garden_file
from steadysow.inputs.garden import Garden

PROFILE = """\
name: plain lettuce
species: Lactuca sativa
systems: [dwc, kratky]
spacing: {plants_per_m2: 28, lid_holes: 6}
sowing: {in: nursery, seeds_a_cell: 2, plants_a_hole: 1}
germination:
  days_by_temperature_c: {0: 49, 5: 15, 20: 3, 35: none}
  percent: 80
  keeps_years: 6
  temperature_c: {least: 1.7, optimum: [15.6, 23.9], most: 29.4}
nursery_days: {least: 12, most: 21}
transplant_shock_days: 3
harvest:
  head: {days: 24, holds_days: 10, grams: 142}
growth:
  temperature_c: {base: 3.5, optimum: 24, ceiling: 32}
  at: {temperature_c: 22, dli_mol: 17}
  half_dli_mol: 0
  grams_per_mol: 8.5
  bolting: {after_days: 14, longest_day_hours: 16, above_c: 28}
ec: {ideal: [1.2, 1.8], tolerated: [0.8, 2.4]}
ph: {ideal: [5.6, 6.2], tolerated: [5.2, 7.0]}
litres_a_plant: 3.8
keeps_days: 7
spread: {days: 0.12, grams: 0.2}
care: [{what: turn the tote, after_days: 14, every_days: null}]
sources:
  germination.days_by_temperature_c: "a table"
  harvest: {estimate: "weighed at home"}
"""

HEAD = "head: {days: 24, holds_days: 10, grams: 142}"
CUT = "cut: {first_days: 24, between_days: 12, slack_days: 7, most: 3, grams: [60, 60, 55]}"
FRUIT = "fruit: {first_days: 60, between_days: 7, slack_days: 5, weeks: 9, grams: 35}"

GARDEN = """\
garden: Trial shelf
starts_on: 2026-10-03
places:
  shelf: {lamp: {ppfd: 220, hours: 14}, temperature_c: 20}
totes:
  A: {holes: 12, litres: 11, inside_cm: [40, 28], system: dwc, place: shelf}
  B: {holes: 8, litres: 11, system: kratky, place: shelf}
wants:
  salad:
    grams_a_week: 180
    crops: [plain lettuce, loose greens]
"""


@pytest.fixture
def profile() -> str:
    """Give the text of a profile of a head crop, named plain lettuce."""
    return PROFILE


@pytest.fixture
def cut_profile() -> str:
    """Give the text of a profile of a cut crop, named loose greens."""
    return PROFILE.replace("plain lettuce", "loose greens").replace(HEAD, CUT)


@pytest.fixture
def fruit_profile() -> str:
    """Give the text of a profile of a fruit crop, named small fruit, which grows in dwc only."""
    return PROFILE.replace("plain lettuce", "small fruit").replace(HEAD, FRUIT).replace("[dwc, kratky]", "[dwc]")


@pytest.fixture
def garden_text() -> str:
    """Give the text of a garden without faults."""
    return GARDEN


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, profile: str, cut_profile: str, fruit_profile: str) -> Path:
    """Give a garden folder with three profiles of its own; no profiles are shipped."""
    monkeypatch.setattr(crop_files, "shipped_crops_folder", lambda: tmp_path / "shipped")
    folder = tmp_path / "garden"
    (folder / "crops").mkdir(parents=True)
    for name, text in (("lettuce", profile), ("greens", cut_profile), ("fruit", fruit_profile)):
        (folder / "crops" / f"{name}.yaml").write_text(text, encoding="utf-8")
    return folder


@pytest.fixture
def faults_of(folder: Path) -> Callable[[str], tuple[Fault, ...]]:
    """Give a function that writes a garden file and gives its faults."""

    def faults(text: str) -> tuple[Fault, ...]:
        (folder / "garden.yaml").write_text(text, encoding="utf-8")
        with pytest.raises(InputFaults, match=r"garden\.yaml") as caught:
            garden_file.read_garden(folder)
        return caught.value.faults

    return faults


@pytest.fixture
def garden_of(folder: Path) -> Callable[[str], Garden]:
    """Give a function that writes a garden file and gives its garden, without the crops."""

    def garden(text: str) -> Garden:
        (folder / "garden.yaml").write_text(text, encoding="utf-8")
        return replace(garden_file.read_garden(folder), crops={})

    return garden
