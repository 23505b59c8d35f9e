"""Crop profiles: every field is read, and every wrong figure is a fault with its line."""

from __future__ import annotations

from pathlib import Path

import pytest

from steadysow.inputs.crop_files import read_crops, shipped_crops_folder
from steadysow.inputs.crops import Band, Bolting, Care, Crop, Growth, HarvestFigures
from steadysow.inputs.values import FaultList


def read_one(folder: Path, text: str) -> tuple[dict[str, Crop], FaultList]:
    """Read a folder with one profile."""
    (folder / "one.yaml").write_text(text, encoding="utf-8")
    faults = FaultList()
    return read_crops((folder,), faults), faults


def test_every_field_is_read(tmp_path: Path, profile: str) -> None:
    """Every field of a profile is read, in the units of the file."""
    crops, faults = read_one(tmp_path, profile)
    assert not faults
    assert crops["plain lettuce"] == Crop(
        name="plain lettuce",
        species="Lactuca sativa",
        systems=("dwc", "kratky"),
        plants_per_m2=28,
        lid_holes=6,
        sown_in="nursery",
        seeds_a_cell=2,
        plants_a_hole=1,
        emergence=((0, 49), (5, 15), (20, 3), (35, None)),
        germination_percent=80,
        germination_c=(1.7, 15.6, 23.9, 29.4),
        seeds_keep_years=6,
        nursery_days=(12, 21),
        transplant_shock_days=3,
        harvest=HarvestFigures(kind="head", first_days=24, between_days=0, window_days=10, grams=(142,)),
        growth=Growth(
            base_c=3.5,
            optimum_c=24,
            ceiling_c=32,
            at_c=22,
            at_dli_mol=17,
            half_dli_mol=0,
            grams_per_mol=8.5,
            bolting=Bolting(after_days=14, longest_day_hours=16, above_c=28),
        ),
        ec=Band(ideal=(1.2, 1.8), tolerated=(0.8, 2.4)),
        ph=Band(ideal=(5.6, 6.2), tolerated=(5.2, 7.0)),
        litres_a_plant=3.8,
        keeps_days=7,
        days_spread=0.12,
        grams_spread=0.2,
        care=(Care(what="turn the tote", after_days=14, every_days=None),),
        sources=(("germination.days_by_temperature_c", "a table"), ("harvest", "estimate: weighed at home")),
        file=str(tmp_path / "one.yaml"),
    )


def test_cut_takes_grams_for_each_cut_or_one_for_all(tmp_path: Path, cut_profile: str) -> None:
    """Grams of a cut crop are one number for each cut, or one for all cuts."""
    crops, _ = read_one(tmp_path, cut_profile)
    assert crops["loose greens"].harvest == HarvestFigures(
        kind="cut", first_days=24, between_days=12, window_days=7, grams=(60, 60, 55)
    )
    crops, faults = read_one(tmp_path, cut_profile.replace("[60, 60, 55]", "40"))
    assert crops["loose greens"].harvest.grams == (40, 40, 40)
    assert not faults


@pytest.mark.parametrize(("weeks", "between_days"), [(9, 7), (1, 7), (2, 5), (8, 3), (3, 4)])
def test_fruit_is_picked_on_every_due_day_of_its_weeks(
    tmp_path: Path, fruit_profile: str, weeks: int, between_days: int
) -> None:
    """Fruit is due every `between_days` days from the first pick on, as often as its weeks allow."""
    text = fruit_profile.replace("weeks: 9", f"weeks: {weeks}").replace(
        "between_days: 7", f"between_days: {between_days}"
    )
    crops, faults = read_one(tmp_path, text)
    due_days = [day for day in range(7 * weeks) if day % between_days == 0]
    assert crops["small fruit"].harvest.most == len(due_days)
    assert not faults


def test_crop_sown_in_its_pot_has_no_nursery_days(tmp_path: Path, profile: str) -> None:
    """A crop sown in its pot may leave out nursery days and standstill; nursery days are a fault."""
    in_pot = profile.replace("in: nursery", "in: pot").replace("transplant_shock_days: 3\n", "")
    crops, faults = read_one(tmp_path, in_pot.replace("nursery_days: {least: 12, most: 21}\n", ""))
    assert (crops["plain lettuce"].nursery_days, crops["plain lettuce"].transplant_shock_days) == ((0, 0), 0)
    assert not faults
    _, faults = read_one(tmp_path, in_pot)
    assert [fault.field for fault in faults] == ["nursery_days"]


WRONG = [
    ("systems: [dwc, kratky]", "systems: [dwc, soil]", 3, "systems.2", 'unknown word "soil"'),
    ("systems: [dwc, kratky]", "systems: []", 3, "systems", "empty list"),
    ("plants_per_m2: 28", "plants_per_m2: 0", 4, "spacing.plants_per_m2", "too small"),
    ("lid_holes: 6", "lid_hole: 6", 4, "spacing.lid_hole", "Did you mean lid_holes?"),
    ("in: nursery", "in: greenhouse", 5, "sowing.in", 'unknown word "greenhouse"'),
    ("{0: 49, 5: 15,", "{5: 15, 0: 49,", 7, "germination.days_by_temperature_c", "rising order"),
    ("{0: 49, 5: 15,", "{cold: 49, 5: 15,", 7, "germination.days_by_temperature_c.cold", "is not a number"),
    ("{0: 49, 5: 15, 20: 3, 35: none}", "{0: none}", 7, "germination.days_by_temperature_c", "no seed emerges"),
    ("percent: 80", "percent: 101", 8, "germination.percent", "too large"),
    ("percent: 80", "percent: 0", 8, "germination.percent", "too small"),
    ("least: 1.7", "least: 16", 10, "germination.temperature_c", "rising order"),
    ("{least: 12, most: 21}", "{least: 22, most: 21}", 11, "nursery_days", "least (22) is more than most (21)"),
    ("keeps_years: 6", "keeps_years: 0", 9, "germination.keeps_years", "too small"),
    ("percent: 80", "percent: 130", 8, "germination.percent", "too large"),
    ("transplant_shock_days: 3\n", "", 1, "transplant_shock_days", "is missing"),
    (
        "transplant_shock_days: 3",
        "transplant_shock_days: 24",
        12,
        "transplant_shock_days",
        "the 24 days of standstill leave no time before the first harvest, on day 24",
    ),
    ("after_days: 14, longest_day_hours: 16, above_c: 28", "after_days: 14", 20, "growth.bolting", "has no limit"),
    ("longest_day_hours: 16", "longest_day_hours: 25", 20, "growth.bolting.longest_day_hours", "too large"),
    ("grams: 142}", "grams: -1}", 14, "harvest.head.grams", "too small"),
    ("grams: 142}", "grams: [142, 100]}", 14, "harvest.head.grams", "several values"),
    ("holds_days: 10", "holds_days: 0", 14, "harvest.head.holds_days", "too small"),
    ("optimum: 24,", "optimum: 33,", 16, "growth.temperature_c", "base < optimum < ceiling"),
    ("temperature_c: 22", "temperature_c: 32", 17, "growth.at.temperature_c", "does not grow at 32"),
    ("half_dli_mol: 0", "half_dli_mol: -1", 18, "growth.half_dli_mol", "too small"),
    ("ideal: [1.2, 1.8]", "ideal: [0.7, 1.8]", 21, "ec", "not within the tolerated range"),
    ("ideal: [5.6, 6.2]", "ideal: [6.2, 5.6]", 22, "ph.ideal", "runs from 6.2 down to 5.6"),
    ("tolerated: [5.2, 7.0]", "tolerated: [5.2, 15]", 22, "ph.tolerated.2", "too large"),
    ("keeps_days: 7", "keeps_days: a week", 24, "keeps_days", "is not a number"),
    ("after_days: 14", "after_days: 1.5", 26, "care.1.after_days", "not a whole number"),
    ("germination.days_by", "germinaton.days_by", 28, "sources.germinaton.days_by_temperature_c", "no such field"),
    ('{estimate: "weighed at home"}', "{guess: x}", 29, "sources.harvest.guess", "no such key"),
]


@pytest.mark.parametrize(("good", "bad", "line", "field", "message"), WRONG)
def test_a_wrong_figure_is_a_fault(
    tmp_path: Path, profile: str, good: str, bad: str, line: int, field: str, message: str
) -> None:
    """A figure that is wrong, or does not fit its neighbours, is a fault with its line and field."""
    assert good in profile
    _, faults = read_one(tmp_path, profile.replace(good, bad))
    found = {(fault.line, fault.field): str(fault) for fault in faults}
    assert message in found[line, field]


@pytest.mark.parametrize(
    "kinds", ["{}", "{head: {days: 24, holds_days: 10, grams: 1}, cut: {most: 3}}", "{root: {days: 3}}"]
)
def test_harvest_is_exactly_one_kind(tmp_path: Path, profile: str, kinds: str) -> None:
    """A harvest of no kind, of two kinds or of an unknown kind is a fault."""
    head = "harvest:\n  head: {days: 24, holds_days: 10, grams: 142}"
    _, faults = read_one(tmp_path, profile.replace(head, f"harvest: {kinds}"))
    assert any("Write one of: head, cut, fruit" in str(fault) and fault.line == 13 for fault in faults)


def test_grams_must_match_the_number_of_cuts(tmp_path: Path, cut_profile: str) -> None:
    """A list of grams that is shorter than the number of cuts is a fault."""
    _, faults = read_one(tmp_path, cut_profile.replace("[60, 60, 55]", "[60, 55]"))
    assert [fault.wrong for fault in faults] == ["has 2 numbers for 3 harvests"]


def test_one_missing_figure_gives_one_fault(tmp_path: Path, profile: str) -> None:
    """Nothing is concluded from a missing figure: one gap gives one fault."""
    for gap in ("base: 3.5, ", "optimum: 24, ", ", ceiling: 32", "temperature_c: 22, ", "least: 12, ", ", most: 21"):
        _, faults = read_one(tmp_path, profile.replace(gap, ""))
        assert [fault.wrong for fault in faults] == ["is missing"], gap


def test_two_profiles_of_one_name_in_one_folder(tmp_path: Path, profile: str) -> None:
    """Two profiles with the same name in one folder are a fault of the second file."""
    (tmp_path / "another.yaml").write_text(profile, encoding="utf-8")
    _, faults = read_one(tmp_path, profile)
    (fault,) = faults
    assert fault.file == str(tmp_path / "one.yaml")
    assert "another.yaml" in fault.wrong


def test_later_folder_replaces_by_name(tmp_path: Path, profile: str, cut_profile: str) -> None:
    """A profile of a later folder replaces one with the same name, and the others stay."""
    shipped, own = tmp_path / "shipped", tmp_path / "own"
    for folder in (shipped, own):
        folder.mkdir()
    (shipped / "a.yaml").write_text(profile, encoding="utf-8")
    (shipped / "b.yaml").write_text(cut_profile, encoding="utf-8")
    (own / "mine.yml").write_text(profile.replace("grams: 142", "grams: 90"), encoding="utf-8")
    (own / "README.md").write_text("not a profile", encoding="utf-8")
    faults = FaultList()
    crops = read_crops((shipped, own, tmp_path / "nowhere"), faults)
    assert not faults
    assert sorted(crops) == ["loose greens", "plain lettuce"]
    assert crops["plain lettuce"].harvest.grams == (90,)


def test_shipped_profiles_have_no_faults() -> None:
    """The shipped profiles have no faults, and each file is one crop."""
    faults = FaultList()
    crops = read_crops((shipped_crops_folder(),), faults)
    assert [str(fault) for fault in faults] == []
    assert len(crops) == len(list(shipped_crops_folder().glob("*.yaml"))) > 0
