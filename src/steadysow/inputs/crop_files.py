"""Reading crop profiles: the shipped ones, and a garden's own.

Takes the YAML files of ``crops/`` (shipped) and of a garden's own ``crops/`` folder; gives frozen `Crop` values by
name.  Hides the file format.  A crop with a shipped name replaces the shipped one.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from itertools import pairwise
from pathlib import Path
from typing import Literal

from steadysow.inputs.crops import Band, Bolting, Care, Crop, Growth, HarvestFigures, System
from steadysow.inputs.documents import read_document
from steadysow.inputs.values import FaultList, Section, Value


def shipped_crops_folder() -> Path:
    """Give the folder of the shipped profiles: in the installed package, or at the top of the repository."""
    packaged = Path(__file__).parents[1] / "crops"
    return packaged if packaged.is_dir() else Path(__file__).parents[3] / "crops"


def shipped_crop_files() -> dict[str, Path]:
    """Give the files of the shipped profiles by crop name, without reading them."""
    return {path.stem.replace("-", " "): path for path in sorted(shipped_crops_folder().glob("*.yaml"))}


def read_crops(folders: tuple[Path, ...], faults: FaultList) -> dict[str, Crop]:
    """Read all profiles of some folders; a crop of a later folder replaces one with the same name.

    Parameters
    ----------
    folders
        The folders; a missing folder has no profiles.
    faults
        Where faults are added.

    Returns
    -------
    dict
        The crops by name. A profile with a fault is included, so that its name is known; its values must not be used.
    """
    crops: dict[str, Crop] = {}
    for folder in folders:
        paths = sorted(folder.iterdir()) if folder.is_dir() else []
        crops |= read_profiles((path for path in paths if path.suffix in (".yaml", ".yml")), faults)
    return crops


def read_profiles(files: Iterable[Path], faults: FaultList) -> dict[str, Crop]:
    """Read some profiles as `read_crops` does; two profiles with the same name are a fault."""
    crops: dict[str, Crop] = {}
    for path in files:
        document = read_document(path, faults)
        if document is None:
            continue
        crop = _read_crop(document)
        if crop.name in crops:
            wrong = f'"{crop.name}" is also the crop in {crops[crop.name].file}'
            document.fault(wrong, "Give each profile its own name")
        elif crop.name:
            crops[crop.name] = crop
    return crops


def _read_crop(document: Value) -> Crop:
    profile = document.section(
        "name", "species", "systems", "spacing", "sowing", "germination", "nursery_days", "transplant_shock_days",
        "harvest", "growth", "ec", "ph", "litres_a_plant", "keeps_days", "spread", "care", "sources",
    )  # fmt: skip
    spacing = profile.need("spacing").section("plants_per_m2", "lid_holes")
    sowing = profile.need("sowing").section("in", "seeds_a_cell", "plants_a_hole")
    germination = profile.need("germination").section(
        "days_by_temperature_c", "percent", "temperature_c", "keeps_years"
    )
    sown_in: Literal["nursery", "pot"] = sowing.need("in").choice(("nursery", "pot"))
    spread = profile.need("spread").section("days", "grams")
    care = profile.find("care")
    shock_days = _read_transplant_shock_days(profile, sown_in)
    harvest = _read_harvest(profile.need("harvest"))
    shock = profile.find("transplant_shock_days")
    if shock and profile.need("harvest").is_sound and shock_days >= harvest.first_days:
        wrong = (
            f"the {shock_days} days of standstill leave no time before the first harvest, on day {harvest.first_days:g}"
        )
        shock.fault(wrong, "Write fewer days: the standstill is part of the days to the first harvest")
    return Crop(
        name=profile.need("name").text(longest=60),
        species=profile.need("species").text(),
        systems=_read_systems(profile.need("systems")),
        plants_per_m2=spacing.need("plants_per_m2").number(above=0, most=5000),
        lid_holes=spacing.need("lid_holes").whole(least=1, most=500),
        sown_in=sown_in,
        seeds_a_cell=sowing.need("seeds_a_cell").whole(least=1, most=200),
        plants_a_hole=sowing.need("plants_a_hole").whole(least=1, most=200),
        emergence=_read_emergence(germination.need("days_by_temperature_c")),
        germination_percent=germination.need("percent").number(above=0, most=100),
        germination_c=_read_germination_temperatures(germination.need("temperature_c")),
        seeds_keep_years=germination.need("keeps_years").number(above=0, most=50),
        nursery_days=_read_nursery_days(profile, sown_in),
        transplant_shock_days=shock_days,
        harvest=harvest,
        growth=_read_growth(profile.need("growth")),
        ec=_read_band(profile.need("ec"), most=20),
        ph=_read_band(profile.need("ph"), most=14),
        litres_a_plant=profile.need("litres_a_plant").number(above=0, most=500),
        keeps_days=profile.need("keeps_days").whole(least=1, most=60),
        days_spread=spread.need("days").number(least=0, most=1),
        grams_spread=spread.need("grams").number(least=0, most=1),
        care=tuple(_read_care(item) for item in care.items(may_be_empty=True)) if care else (),
        sources=_read_sources(document, profile.find("sources")),
        file=document.file,
    )


def _read_systems(value: Value) -> tuple[System, ...]:
    systems: tuple[System, ...] = ("dwc", "kratky")
    return tuple(dict.fromkeys(item.choice(systems) for item in value.one_or_more()))


def _read_emergence(table: Value) -> tuple[tuple[float, float | None], ...]:
    rows: list[tuple[float, float | None]] = []
    for row in table.entries():
        temperature = row.key().number(least=-5, most=50)
        days = None if row.says("none") else row.number(above=0, most=365)
        rows.append((temperature, days))
    if table.is_sound and any(later[0] <= earlier[0] for earlier, later in pairwise(rows)):
        table.fault("the temperatures are not in rising order", "Write them from cold to warm, each once")
    if rows and all(days is None for _, days in rows):
        table.fault("no seed emerges at any temperature", "Write the days for at least one temperature")
    return tuple(rows)


def _read_germination_temperatures(value: Value) -> tuple[float, float, float, float]:
    temperatures = value.section("least", "optimum", "most")
    least = temperatures.need("least").number(least=-5, most=50)
    optimum_from, optimum_to = temperatures.need("optimum").pair(least=-5, most=50)
    most = temperatures.need("most").number(least=-5, most=50)
    if value.is_sound and not least <= optimum_from <= optimum_to <= most:
        value.fault("the temperatures are not in rising order", "Write least <= optimum <= most")
    return least, optimum_from, optimum_to, most


def _read_nursery_days(profile: Section, sown_in: str) -> tuple[int, int]:
    if sown_in == "pot":
        days = profile.find("nursery_days")
        if days:
            days.fault("a crop sown in its pot has no nursery days", "Leave it out")
        return 0, 0
    value = profile.need("nursery_days")
    days_section = value.section("least", "most")
    least = days_section.need("least").whole(least=1, most=365)
    most = days_section.need("most").whole(least=1, most=365)
    if value.is_sound and least > most:
        value.fault(f"least ({least}) is more than most ({most})", "Write least <= most")
    return least, most


def _read_transplant_shock_days(profile: Section, sown_in: str) -> int:
    # A crop sown in its pot is never transplanted, so its profile may leave the standstill out.
    value = profile.find("transplant_shock_days") if sown_in == "pot" else profile.need("transplant_shock_days")
    return value.whole(least=0, most=60) if value else 0


def _read_harvest(value: Value) -> HarvestFigures:
    harvest = value.section("head", "cut", "fruit")
    kinds = [kind for kind in (harvest.find("head"), harvest.find("cut"), harvest.find("fruit")) if kind]
    if len(kinds) != 1:
        value.fault("must be exactly one kind of harvest", "Write one of: head, cut, fruit")
        return HarvestFigures(kind="head", first_days=1, between_days=0, window_days=1, grams=(1,))
    readers = {"head": _read_head, "cut": _read_cut, "fruit": _read_fruit}
    return readers[kinds[0].name](kinds[0])


def _read_head(value: Value) -> HarvestFigures:
    head = value.section("days", "holds_days", "grams")
    return HarvestFigures(
        kind="head",
        first_days=head.need("days").number(above=0, most=730),
        between_days=0,
        window_days=head.need("holds_days").whole(least=1, most=365),
        grams=(head.need("grams").number(above=0, most=20_000),),
    )


def _read_cut(value: Value) -> HarvestFigures:
    cut = value.section("first_days", "between_days", "slack_days", "most", "grams")
    return HarvestFigures(
        kind="cut",
        first_days=cut.need("first_days").number(above=0, most=730),
        between_days=cut.need("between_days").number(above=0, most=365),
        window_days=cut.need("slack_days").whole(least=1, most=365),
        grams=_read_grams(cut.need("grams"), cut.need("most").whole(least=1, most=100)),
    )


def _read_fruit(value: Value) -> HarvestFigures:
    fruit = value.section("first_days", "between_days", "slack_days", "weeks", "grams")
    between_days = fruit.need("between_days").number(least=1, most=365)
    weeks = fruit.need("weeks").whole(least=1, most=104)
    picks = math.floor((7 * weeks - 1) / between_days) + 1
    return HarvestFigures(
        kind="pick",
        first_days=fruit.need("first_days").number(above=0, most=730),
        between_days=between_days,
        window_days=fruit.need("slack_days").whole(least=1, most=365),
        grams=_read_grams(fruit.need("grams"), picks),
    )


def _read_grams(value: Value, harvests: int) -> tuple[float, ...]:
    grams = tuple(item.number(above=0, most=20_000) for item in value.one_or_more())
    if not value.is_list:
        return grams * harvests
    if len(grams) != harvests:
        value.fault(f"has {len(grams)} numbers for {harvests} harvests", "Write one number, or one for each harvest")
    return grams


def _read_growth(value: Value) -> Growth:
    growth = value.section("temperature_c", "at", "half_dli_mol", "grams_per_mol", "bolting")
    temperatures = growth.need("temperature_c")
    cardinal = temperatures.section("base", "optimum", "ceiling")
    base, optimum, ceiling = (cardinal.need(key).number(least=-10, most=60) for key in ("base", "optimum", "ceiling"))
    if value.is_sound and not base < optimum < ceiling:
        temperatures.fault("the temperatures are not in rising order", "Write base < optimum < ceiling")
    at = growth.need("at").section("temperature_c", "dli_mol")
    at_c = at.need("temperature_c").number(least=-10, most=60)
    if value.is_sound and not base < at_c < ceiling:
        wrong = f"the plant does not grow at {at_c:g} degrees C"
        at.need("temperature_c").fault(wrong, "Write a temperature between base and ceiling")
    bolting = growth.find("bolting")
    return Growth(
        base_c=base,
        optimum_c=optimum,
        ceiling_c=ceiling,
        at_c=at_c,
        at_dli_mol=at.need("dli_mol").number(above=0, most=90),
        half_dli_mol=growth.need("half_dli_mol").number(least=0, most=90),
        grams_per_mol=growth.need("grams_per_mol").number(above=0, most=1000),
        bolting=_read_bolting(bolting) if bolting else None,
    )


def _read_bolting(value: Value) -> Bolting:
    bolting = value.section("after_days", "longest_day_hours", "above_c")
    longest_day, above = bolting.find("longest_day_hours"), bolting.find("above_c")
    if longest_day is None and above is None:
        value.fault("has no limit", "Write longest_day_hours, above_c or both")
    return Bolting(
        after_days=bolting.need("after_days").whole(least=1, most=365),
        longest_day_hours=longest_day.number(above=0, most=24) if longest_day else None,
        above_c=above.number(least=0, most=60) if above else None,
    )


def _read_band(value: Value, *, most: float) -> Band:
    band = value.section("ideal", "tolerated")
    ideal = band.need("ideal").pair(least=0, most=most)
    tolerated = band.need("tolerated").pair(least=0, most=most)
    if value.is_sound and not tolerated[0] <= ideal[0] <= ideal[1] <= tolerated[1]:
        value.fault("the ideal range is not within the tolerated range", "Write a wider range for tolerated")
    return Band(ideal=ideal, tolerated=tolerated)


def _read_care(value: Value) -> Care:
    care = value.section("what", "after_days", "every_days")
    every_days = care.find("every_days")
    return Care(
        what=care.need("what").text(),
        after_days=care.need("after_days").whole(least=0, most=730),
        every_days=every_days.whole(least=1, most=365) if every_days else None,
    )


def _read_sources(document: Value, sources: Value | None) -> tuple[tuple[str, str], ...]:
    return tuple((entry.name, _read_source(document, entry)) for entry in sources.entries()) if sources else ()


def _read_source(document: Value, entry: Value) -> str:
    if not document.holds(entry.name):
        entry.fault("this profile has no such field", "Write the dotted path of a field or block of this file")
    if entry.is_mapping:
        return f"estimate: {entry.section('estimate').need('estimate').text(longest=2000)}"
    return entry.text(longest=2000)
