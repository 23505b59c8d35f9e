"""Crop profiles: what is known of a crop, and where each figure comes from.

Takes the YAML files of ``crops/`` (shipped) and of a garden's own ``crops/`` folder; gives frozen `Crop` values by
name. Hides the file format: a crop with a shipped name replaces the shipped one.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path
from typing import Literal

from steadysow.inputs.documents import read_document
from steadysow.inputs.values import FaultList, Section, Value

System = Literal["dwc", "kratky"]
HarvestKind = Literal["head", "cut", "pick"]


@dataclass(frozen=True, slots=True, kw_only=True)
class HarvestFigures:
    """How and when a crop is taken; every span counts days at the conditions named in `Growth`.

    Attributes
    ----------
    kind
        ``head``: a plant taken whole, once; ``cut``: one harvest of a plant that regrows; ``pick``: one picking of
        fruit.
    first_days
        Days from transplant to the first harvest, the standstill after transplant included [d].
    between_days
        Days from one cut or pick to the next falling due [d]; 0 for a head.
    window_days
        Days a due harvest may wait: the days a head holds, the slack of a cut or a pick [calendar d]. A harvest that
        falls due on day ``due`` may be taken on any day of the half open range from ``due`` to ``due + window_days``.
    grams
        Fresh weight of one plant at each harvest, first to last [g]; its length is the most harvests there can be.
    """

    kind: HarvestKind
    first_days: float
    between_days: float
    window_days: int
    grams: tuple[float, ...]

    @property
    def most(self) -> int:
        """The most harvests one plant can give."""
        return len(self.grams)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bolting:
    """What brings a plant to flower, after which it is not harvested any more.

    Attributes
    ----------
    after_days
        Days since transplant (since sowing, in its pot) beyond a limit, together or not, after which it has bolted [d].
    longest_day_hours
        Longest day it bears [h], or ``None`` if the length of the day does not matter.
    above_c
        Mean temperature of a day above which it is brought to flower [degree C], or ``None``.
    """

    after_days: int
    longest_day_hours: float | None
    above_c: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Growth:
    """How a crop answers to warmth and light.

    Attributes
    ----------
    base_c, optimum_c, ceiling_c
        Cardinal temperatures of development [degree C].
    at_c, at_dli_mol
        The conditions at which the profile's days hold [degree C], [mol m-2 d-1].
    half_dli_mol
        Daily light at which development runs at half its most [mol m-2 d-1]; 0 if light does not change the days.
    grams_per_mol
        Fresh weight that light can make [g per mol of photons falling on the plant's share of the lid].
    bolting
        What brings it to flower, or ``None`` where nothing within a season does.
    """

    base_c: float
    optimum_c: float
    ceiling_c: float
    at_c: float
    at_dli_mol: float
    half_dli_mol: float
    grams_per_mol: float
    bolting: Bolting | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """A measured range with both ends included: what is ideal, and what is still tolerated."""

    ideal: tuple[float, float]
    tolerated: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Care:
    """A recurring small job that the crop asks for, such as pinching or tapping flowers.

    Attributes
    ----------
    what
        The job, as a sentence fragment.
    after_days
        Days after transplant of the first time [d].
    every_days
        Days between two times [d], or ``None`` for a job done once.
    """

    what: str
    after_days: int
    every_days: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Crop:
    """A crop profile.

    Attributes
    ----------
    name, species
        Common name (unique), botanical name.
    systems
        The systems it can grow in.
    plants_per_m2
        Spacing of full-grown plants for this kind of harvest [m-2].
    lid_holes
        How many a small 11 litre tote's lid carries; used where a tote has no measures.
    sown_in
        ``nursery`` or straight in the ``pot``.
    seeds_a_cell, plants_a_hole
        Seeds sown in one cell; plants left in one hole after thinning (a clump counts as one plant elsewhere).
    emergence
        Days to emergence by temperature: pairs (temperature [degree C], days or ``None`` where none emerge), rising.
    germination_percent
        Percentage of seeds expected to germinate [%].
    germination_c
        Cardinal temperatures of germination: least, optimum from, optimum to, most [degree C].
    seeds_keep_years
        Years that seeds live [a].
    nursery_days
        Least and most days from sowing to transplant, both included, at `Growth.at_c` [d].
    transplant_shock_days
        Days of standstill after the roots are washed [d].
    harvest, growth, ec, ph
        See the classes; EC [mS/cm].
    litres_a_plant
        Water one plant takes from transplant to its last harvest [L].
    keeps_days
        Days it keeps in a household fridge [d].
    days_spread, grams_spread
        Relative standard deviation of days and of grams.
    care
        Recurring small jobs.
    sources
        Pairs (dotted field or block of the file, source text).  An estimate's text starts with ``estimate: ``.
    file
        The file it was read from, for messages.
    at_places
        Names of places, each with the harvest and growth that this garden's own record makes of the crop there, where
        they differ from `harvest` and `growth`; a file says nothing of them.
    """

    name: str
    species: str
    systems: tuple[System, ...]
    plants_per_m2: float
    lid_holes: int
    sown_in: Literal["nursery", "pot"]
    seeds_a_cell: int
    plants_a_hole: int
    emergence: tuple[tuple[float, float | None], ...]
    germination_percent: float
    germination_c: tuple[float, float, float, float]
    seeds_keep_years: float
    nursery_days: tuple[int, int]
    transplant_shock_days: int
    harvest: HarvestFigures
    growth: Growth
    ec: Band
    ph: Band
    litres_a_plant: float
    keeps_days: int
    days_spread: float
    grams_spread: float
    care: tuple[Care, ...] = ()
    sources: tuple[tuple[str, str], ...] = ()
    file: str = ""
    at_places: tuple[tuple[str, HarvestFigures, Growth], ...] = ()

    @property
    def is_fruit(self) -> bool:
        """Whether fruit is picked from it; fruit stands alone in its tote."""
        return self.harvest.kind == "pick"

    def at(self, place: str) -> Crop:
        """Give the crop as it grows at a place: itself where the garden's own record says nothing of that place."""
        for name, harvest, growth in self.at_places:
            if name == place:
                return replace(self, harvest=harvest, growth=growth, at_places=())
        return self


def share_reservoir(first: Crop, second: Crop) -> bool:
    """Say whether two crops may stand in one tote: a common tolerated EC and pH, and fruit only with its own kind."""
    if first.name == second.name:
        return True
    if first.is_fruit or second.is_fruit:
        return False
    return all(
        max(a.tolerated[0], b.tolerated[0]) <= min(a.tolerated[1], b.tolerated[1])
        for a, b in ((first.ec, second.ec), (first.ph, second.ph))
    )


def shipped_crops_folder() -> Path:
    """Give the folder of the shipped profiles: in the package once installed, at the top of the repository before."""
    packaged = Path(__file__).parents[1] / "crops"
    return packaged if packaged.is_dir() else Path(__file__).parents[3] / "crops"


def shipped_crop_files() -> dict[str, Path]:
    """Give the files of the shipped profiles by the names of their crops; none is read."""
    return {path.stem.replace("-", " "): path for path in sorted(shipped_crops_folder().glob("*.yaml"))}


def read_crops(folders: tuple[Path, ...], faults: FaultList) -> dict[str, Crop]:
    """Read every profile of the folders; a later folder's crop replaces an earlier one of the same name.

    A folder that is not there holds no profiles. A profile with a fault is in the result too, so that its name is
    known; its values are stand-ins and must not be used.

    Returns
    -------
    The crops by name.
    """
    crops: dict[str, Crop] = {}
    for folder in folders:
        paths = sorted(folder.iterdir()) if folder.is_dir() else []
        crops |= read_profiles((path for path in paths if path.suffix in (".yaml", ".yml")), faults)
    return crops


def read_profiles(files: Iterable[Path], faults: FaultList) -> dict[str, Crop]:
    """Read some profiles, each of a crop of its own, as `read_crops` does."""
    crops: dict[str, Crop] = {}
    for path in files:
        document = read_document(path, faults)
        if document is None:
            continue
        crop = _read_crop(document)
        if crop.name in crops:
            wrong = f'"{crop.name}" is also the name of {crops[crop.name].file}'
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
            f"the first harvest, {harvest.first_days:g} days after transplant, falls in the {shock_days} of standstill"
        )
        shock.fault(wrong, "Write fewer days: the standstill is a part of the days to the first harvest")
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
        table.fault("the temperatures do not rise", "Write them from cold to warm, each once")
    if rows and all(days is None for _, days in rows):
        table.fault("nothing emerges at any temperature", "Write the days at one temperature or more")
    return tuple(rows)


def _read_germination_temperatures(value: Value) -> tuple[float, float, float, float]:
    temperatures = value.section("least", "optimum", "most")
    least = temperatures.need("least").number(least=-5, most=50)
    optimum_from, optimum_to = temperatures.need("optimum").pair(least=-5, most=50)
    most = temperatures.need("most").number(least=-5, most=50)
    if value.is_sound and not least <= optimum_from <= optimum_to <= most:
        value.fault("the temperatures do not rise", "Write least <= optimum <= most")
    return least, optimum_from, optimum_to, most


def _read_nursery_days(profile: Section, sown_in: str) -> tuple[int, int]:
    if sown_in == "pot":
        days = profile.find("nursery_days")
        if days:
            days.fault("the crop is sown in its pot, and has no nursery days", "Leave it out")
        return 0, 0
    value = profile.need("nursery_days")
    days_section = value.section("least", "most")
    least = days_section.need("least").whole(least=1, most=365)
    most = days_section.need("most").whole(least=1, most=365)
    if value.is_sound and least > most:
        value.fault(f"least ({least}) is more than most ({most})", "Write least <= most")
    return least, most


def _read_transplant_shock_days(profile: Section, sown_in: str) -> int:
    # A plant sown in its pot is never moved, so that its profile may leave the standstill out.
    value = profile.find("transplant_shock_days") if sown_in == "pot" else profile.need("transplant_shock_days")
    return value.whole(least=0, most=60) if value else 0


def _read_harvest(value: Value) -> HarvestFigures:
    harvest = value.section("head", "cut", "fruit")
    kinds = [kind for kind in (harvest.find("head"), harvest.find("cut"), harvest.find("fruit")) if kind]
    if len(kinds) != 1:
        value.fault("is not exactly one kind of harvest", "Write one of: head, cut, fruit")
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
        temperatures.fault("the temperatures do not rise", "Write base < optimum < ceiling")
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
        value.fault("says no limit", "Write longest_day_hours, above_c or both")
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
        value.fault("what is ideal is not within what is tolerated", "Write a wider range for tolerated")
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
        entry.fault("the profile has no such field", "Write the dotted path of a field or block of this file")
    if entry.is_mapping:
        return f"estimate: {entry.section('estimate').need('estimate').text(longest=2000)}"
    return entry.text(longest=2000)
