"""Crops: the list of them, one profile with its sources, this garden's own record, and forecasts of sowings."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import groupby

from rich.console import Console

from steadysow.amounts import Units, counted, light_use_text, temperature_text, volume_text, weight_text
from steadysow.growth.forecast import Forecast, why
from steadysow.growth.learnt import Germination, Learnt
from steadysow.growth.rates import LEAST_TRIED_DLI_MOL
from steadysow.inputs.crops import Band, Care, Crop
from steadysow.inputs.sources import cited_publications, reference_text
from steadysow.outputs.terminal.drawing import (
    SYSTEM_NAMES,
    add_row,
    new_table,
    print_table,
    print_title,
    sentences,
    short_day,
)

_SQUARE_FEET_A_SQUARE_METRE = 10.7639


def crop_list(console: Console, crops: Mapping[str, Crop], units: Units = "metric") -> None:
    """Show all crops, one in each row."""
    table = new_table("Crop", "Species", "Harvest", "From seed", "Per plant", "Keeps", right=(3, 4, 5), wrap=(0, 1))
    for name in sorted(crops):
        crop = crops[name]
        days = (crop.nursery_days[0] if crop.sown_in == "nursery" else 0) + crop.harvest.first_days
        most = f"up to {crop.harvest.most} {crop.harvest.kind}s" if crop.harvest.kind != "head" else "head"
        weight = weight_text(sum(crop.harvest.grams), units)
        # Genus and species are enough to recognise the crop; the profile has the rest.
        species = " ".join(crop.species.split()[:2])
        add_row(table, name, species, most, f"{days:.0f} days", weight, f"{crop.keeps_days} days")
    print_table(console, "Crops", table, "There are no crops.")


def crop_profile(console: Console, crop: Crop, units: Units = "metric") -> None:
    """Show all figures of a crop, the source of each, and the publications that the sources cite."""
    print_title(console, f"{crop.name} ({crop.species})")
    table = new_table("", "", wrap=(1,))
    table.show_header = False
    for label, text in _profile_rows(crop, units):
        add_row(table, label, text)
    console.print(table)
    console.print()
    sources = new_table("Figure", "Source", wrap=(0, 1))
    for field, source in crop.sources:
        add_row(sources, field, source)
    print_table(console, "Sources", sources, "No source is named.")
    _publications(console, crop)


def own_record(
    console: Console, crop: Crop, learnt: tuple[Learnt, ...], germination: Germination | None, units: Units = "metric"
) -> None:
    """Show what this garden has recorded of a crop, beside the published figures and those that plans use."""
    table = new_table("Figure", "Published", "Own record", "Used", right=(1, 3), wrap=(0, 2))
    for each in learnt:
        where = f" at {each.place}" if each.place is not None else ""
        days, grams = crop.harvest.first_days, crop.harvest.grams[0]
        rows = (
            ("days to the first harvest", each.days, f"{days:.0f}", f"{days * each.days.value:.0f}"),
            (
                "first harvest of a plant",
                each.grams,
                weight_text(grams, units),
                weight_text(grams * each.grams.value, units),
            ),
        )
        for figure, factor, published, used in rows:
            if factor.own is not None:
                number = "only 1 batch" if factor.batches == 1 else f"{factor.batches} batches"
                add_row(table, figure + where, published, f"{factor.own:.0%} of published, {number}", used)
    if germination is not None:
        came = f"{germination.cells_up} of {counted(germination.cells, 'cell')} up"
        add_row(table, "seeds that come up", f"{crop.germination_percent:.0f} %", came, f"{germination.percent:.0f} %")
    print_table(console, "From this garden's record", table, "No harvest of this crop is recorded yet.")


def forecasts(console: Console, crop: Crop, forecasts: tuple[Forecast, ...], units: Units = "metric") -> None:
    """Show what comes of some sowings of a crop, and why."""
    headings = ("Sown", "Place", "Up", "Planted", "Ready", "Good until", "Weight", "Light", "Warmth")
    table = new_table(*headings, right=(6, 7, 8), wrap=(1,))
    for each in forecasts:
        grew = each.planted_on is not None and each.end != "closed"
        add_row(
            table,
            short_day(each.sown_on),
            each.place.name,
            *(short_day(day) for day in (each.emerges_on, each.planted_on, each.ready_on, each.latest_on)),
            weight_text(each.grams, units) if each.ready_on else "",
            f"{each.dli_mol:.1f} mol" if grew else "",
            temperature_text(each.temperature_c, units) if grew else "",
        )
    print_table(console, crop.name.capitalize(), table, "Nothing is sown.")
    sentences(
        console,
        "Why",
        tuple(f"{each.place.name}, sown {short_day(each.sown_on)}: {why(crop, each, units)}" for each in forecasts),
    )


def _publications(console: Console, crop: Crop) -> None:
    """Show each publication that the sources of a crop cite."""
    publications = cited_publications(source for _, source in crop.sources)
    if publications:
        table = new_table("Cited as", "Publication", wrap=(0, 1))
        for publication in publications:
            add_row(table, publication.key, reference_text(publication))
        print_table(console, "Publications", table, "")


def _profile_rows(crop: Crop, units: Units) -> tuple[tuple[str, str], ...]:
    growth, in_nursery = crop.growth, crop.sown_in == "nursery"
    rows = (
        ("Systems", ", ".join(SYSTEM_NAMES[system] for system in crop.systems)),
        ("Spacing", f"{_density(crop.plants_per_m2, units)}; {crop.lid_holes} on the lid of a small tote"),
        (
            "Sown in",
            f"{crop.sown_in}, {counted(crop.seeds_a_cell, 'seed')} a {'cell' if in_nursery else 'pot'}, "
            f"{counted(crop.plants_a_hole, 'plant')} a hole",
        ),
        ("Germination", _germination(crop, units)),
        ("Emergence", "; ".join(_emergence(pair, units) for pair in crop.emergence)),
        ("Seeds keep", _count_years(crop.seeds_keep_years)),
        ("Nursery", f"{crop.nursery_days[0]} to {crop.nursery_days[1]} days" if in_nursery else ""),
        ("Transplant shock", counted(crop.transplant_shock_days, "day") if in_nursery else ""),
        ("Harvest", _harvest_sentence(crop, units)),
        ("Figures assume", f"{temperature_text(growth.at_c, units)} and {growth.at_dli_mol:g} mol of light a day"),
        (
            "Grows from",
            f"{temperature_text(growth.base_c, units)}, best at {temperature_text(growth.optimum_c, units)}, "
            f"not above {temperature_text(growth.ceiling_c, units)}",
        ),
        ("Light", _light(crop, units)),
        ("Bolts", _bolting(crop, units)),
        ("EC", f"{_band(crop.ec)} mS/cm"),
        ("pH", _band(crop.ph)),
        ("Water", f"{volume_text(crop.litres_a_plant, units)}{'' if crop.litres_a_plant == 1 else 's'} a plant"),
        ("Keeps", f"{counted(crop.keeps_days, 'day')} in the fridge"),
        ("May differ", f"days by {crop.days_spread * 100:.0f} %, weight by {crop.grams_spread * 100:.0f} %"),
        ("Care", "; ".join(_care(care) for care in crop.care)),
    )
    return tuple((label, text) for label, text in rows if text)


def _density(plants_per_m2: float, units: Units) -> str:
    if units == "us":
        return f"{plants_per_m2 / _SQUARE_FEET_A_SQUARE_METRE:.1f} plants a square foot"
    return f"{plants_per_m2:g} plants a square metre"


def _germination(crop: Crop, units: Units) -> str:
    least, best_from, best_to, most = (temperature_text(value, units) for value in crop.germination_c)
    return f"{crop.germination_percent:g} %, best from {best_from} to {best_to}, none below {least} or above {most}"


def _emergence(pair: tuple[float, float | None], units: Units) -> str:
    temperature_c, days = pair
    when = "none" if days is None else f"{days:g} {'day' if days == 1 else 'days'}"
    return f"{when} at {temperature_text(temperature_c, units)}"


def _count_years(years: float) -> str:
    return f"{years:g} {'year' if years == 1 else 'years'}"


def _care(care: Care) -> str:
    first = f"{counted(care.after_days, 'day')} after planting"
    if care.every_days is None:
        return f"{care.what} ({first})"
    often = "every day" if care.every_days == 1 else f"every {care.every_days} days"
    return f"{care.what} ({often} from {first})"


def _harvest_sentence(crop: Crop, units: Units) -> str:
    figures = crop.harvest
    # Equal weights in a row are shown once, with their number.
    runs = [(weight, len(list(run))) for weight, run in groupby(weight_text(grams, units) for grams in figures.grams)]
    amounts = ", then ".join(weight if times == 1 else f"{times} times {weight}" for weight, times in runs)
    kind = figures.kind if figures.most == 1 else f"first {figures.kind}"
    again = f", then every {figures.between_days:g} days" if figures.most > 1 else ""
    since = "planting" if crop.sown_in == "nursery" else "sowing"
    within = f"harvest within {counted(figures.window_days, 'day')}"
    return f"{kind} {figures.first_days:g} days after {since}{again}; {within}; {amounts}"


def _light(crop: Crop, units: Units) -> str:
    most = f"at most {light_use_text(crop.growth.grams_per_mol, units)} from a mol"
    if not crop.growth.half_dli_mol:
        return most
    return f"{most}; grows faster above {LEAST_TRIED_DLI_MOL:g} mol a day"


def _bolting(crop: Crop, units: Units) -> str:
    bolting = crop.growth.bolting
    if bolting is None:
        return ""
    hours, above_c = bolting.longest_day_hours, bolting.above_c
    causes = [f"longer than {hours:g} hours"] if hours is not None else []
    causes += [f"above {temperature_text(above_c, units)}"] if above_c is not None else []
    return f"after {counted(bolting.after_days, 'day')} {' or '.join(causes)}"


def _band(band: Band) -> str:
    (low, high), (least, most) = band.ideal, band.tolerated
    return f"{low:g} to {high:g}, tolerated {least:g} to {most:g}"
