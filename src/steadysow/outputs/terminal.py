"""What is shown in the terminal.

Takes a rich `Console` and what is to be shown; prints, and gives nothing back.  Hides the drawing: every table fits the
width of the console and is understood without colour.  Weights, volumes, lengths and temperatures follow the garden's
units.
"""

from __future__ import annotations

import math
import textwrap
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Mapping
from datetime import date, timedelta
from itertools import groupby
from types import TracebackType
from typing import Literal

from rich import box
from rich.console import Console
from rich.live import Live
from rich.table import Table
from rich.text import Text

from steadysow.advice.differences import Rebalanced
from steadysow.amounts import (
    Units,
    counted,
    day_text,
    holes_text,
    length_text,
    light_use_text,
    listed,
    litres_text,
    part_text,
    temperature_text,
    volume_text,
    weight_text,
)
from steadysow.growth.forecast import Forecast, why
from steadysow.growth.learnt import Germination, Learnt
from steadysow.growth.rates import LEAST_TRIED_DLI_MOL
from steadysow.inputs.crops import Band, Care, Crop
from steadysow.inputs.garden import Garden, Tote, level_cm
from steadysow.inputs.sources import cited_publications, reference_text
from steadysow.inputs.stock import StockUnit
from steadysow.plan.batch import Batch, Harvest
from steadysow.plan.plan import Plan, Proof, WantWeek, Week
from steadysow.upkeep.power import DeviceUse
from steadysow.upkeep.supplies import Supplies, Supply

_SYSTEMS = {"dwc": "deep water culture", "kratky": "still water"}
_SQUARE_FEET_A_SQUARE_METRE = 10.7639
# Less than this much of an amount is a rounding and not worth a word, in grams or heads.
_NEGLIGIBLE = {"g": 0.5, "heads": 0.05}
# From this width on, tables of many columns keep two spaces between them.
_ROOMY = 100
# Longest name of a crop in a narrow cell.
_SHORT = 10


# The plan.


def sowings(console: Console, plan: Plan) -> None:
    """Show what is still to be sown, day by day."""
    table = _table(
        "Day",
        "Crop",
        "Plants",
        "Cells",
        "Seeds",
        "For",
        "Into",
        "Planted",
        "Harvest",
        right=(2, 3, 4),
        wrap=(1, 5, 6),
        tight=console.width < _ROOMY,
    )
    rows: dict[tuple[date, str, str, str, date | None, date | None], list[Batch]] = defaultdict(list)
    for batch in plan.batches:
        if batch.state == "planned":
            first_on = min((harvest.on for harvest in batch.harvests), default=None)
            rows[batch.sown_on, batch.crop, batch.want, batch.tote, batch.transplanted_on, first_on].append(batch)
    told_on = None
    # What is sown, planted and first harvested together is one row, whatever parts it later.
    for row, together in sorted(rows.items(), key=lambda row: (row[0][:2], row[1][0].id)):
        sown_on, crop, want, tote, planted_on, first_on = row
        holes = holes_text(hole for batch in together for hole in batch.holes)
        _add(
            table,
            "" if sown_on == told_on else day_text(sown_on),
            crop,
            str(sum(batch.plants for batch in together)),
            str(sum(batch.cells for batch in together)),
            str(sum(batch.seeds for batch in together)),
            want,
            f"{tote} {holes}".rstrip(),
            _short_day(planted_on),
            _short_day(first_on),
        )
        told_on = sown_on
    _show(console, "Sowings", table, "Nothing is left to sow.")


def totes(console: Console, garden: Garden, plan: Plan) -> None:
    """Show what stands in each tote week by week, in as many blocks as the width asks for."""
    short = _short_names(batch.crop for batch in plan.batches)
    cells = {
        (tote.name, week.starts_on): _cell(plan, tote, week, short) for tote in garden.totes for week in plan.weeks
    }
    gap = 2
    wide = max((len(line) for cell in cells.values() for line in cell.splitlines()), default=0)
    name = max(len(tote.name) for tote in garden.totes)
    room = max(1, (console.width - max(name, len("Tote"))) // (wide + gap))
    _title(console, "Totes by week")
    for first in range(0, len(plan.weeks), room):
        weeks = plan.weeks[first : first + room]
        table = _table("Tote", *(_short_day(week.starts_on) for week in weeks))
        for column in table.columns[1:]:
            column.min_width = wide
        for tote in garden.totes:
            _add(table, tote.name, *(cells[tote.name, week.starts_on] for week in weeks))
        console.print(table)
        console.print()
    shortened = [f"{letters} = {crop}" for crop, letters in short.items() if letters != crop]
    if shortened:
        _say(console, "; ".join(shortened))
        console.print()


def lids(console: Console, garden: Garden, plan: Plan, on: date, water: Mapping[str, float]) -> None:
    """Show the lids on one day, seen from above: every hole by its number, with the crop that stands in it.

    Below them the water that each tote holds by its book, in litres [L].
    """
    short = _short_names(batch.crop for batch in plan.batches)
    _title(console, f"Lids on {day_text(on)}")
    for tote in garden.totes:
        standing = {hole: batch for batch in plan.batches if batch.tote == tote.name for hole in _held(batch, on)}
        _say(console, f"Tote {tote.name}, {_SYSTEMS[tote.system]}, {len(standing)} of {tote.holes} holes in use")
        if standing:
            labels, across = _lid_labels(tote, standing, short, console.width)
            console.print(_lid(labels, across))
        if tote.name in water:
            height = length_text(round(level_cm(tote, water[tote.name]), 1), garden.units)
            _say(console, f"  About {litres_text(water[tote.name], garden.units)} of water, {height} high")
        for batch in sorted(set(standing.values()), key=lambda batch: batch.id):
            _say(console, f"  {_standing_sentence(batch, on)}")
        console.print()


def harvest(console: Console, garden: Garden, plan: Plan) -> None:
    """Show, by week and want, what was wanted, what is harvested and what is served."""
    table = _table("Week of", "For", "Wanted", "Harvested", "Served", "", right=(2, 4), wrap=(1, 3, 5))
    for weeks in _runs(plan.weeks):
        week = weeks[0]
        for rank, want in enumerate(week.wants):
            _add(
                table,
                "" if rank else _span(weeks),
                want.want,
                _amount(want.wanted, want, garden.units),
                ", ".join(f"{crop} {_amount(amount, want, garden.units)}" for crop, amount in want.by_crop)
                or "nothing",
                _amount(want.served, want, garden.units),
                _verdict(plan, week, want, garden.units),
            )
    _show(console, "Harvest by week", table, "There is no week in this plan.")


def proof(console: Console, plan: Plan, light_use: tuple[str, ...] = ()) -> None:
    """Show in sentences how good the plan is, how good it could be, and what it asks of a person.

    Parameters
    ----------
    console, plan
        Where to print, and what; the plan's notes are left to `sentences`.
    light_use
        Ready sentences on grams a mol of light, one for each group of crops.
    """
    _title(console, "How good this plan is")
    if any(want.in_reach and want.wanted > 0 for week in plan.weeks for want in week.wants):
        _say(console, " ".join(_proof_sentences(plan.proof)))
    else:
        _say(console, "Nothing of what you ask for can be ready within these weeks, so there is nothing to measure.")
    _say(console, _effort_sentence(plan))
    for sentence in light_use:
        _say(console, sentence)
    console.print()


def batches(console: Console, plan: Plan) -> None:
    """Show every batch with its number, its state and its dates."""
    table = _table(
        "Batch",
        "Crop",
        "For",
        "In",
        "State",
        "Sown",
        "Planted",
        "Harvest",
        "Last",
        right=(0,),
        wrap=(1, 2, 3),
        tight=console.width < _ROOMY,
    )
    for batch in plan.batches:
        _add(
            table,
            str(batch.id),
            batch.crop,
            batch.want,
            _place(batch),
            batch.state,
            _short_day(batch.sown_on),
            _short_day(batch.transplanted_on),
            _short_day(min((each.on for each in batch.harvests), default=None)),
            _short_day(batch.cleared_on),
        )
    _show(console, "Batches", table, "There is no batch in this plan.")


def sentences(console: Console, title: str, lines: tuple[str, ...]) -> None:
    """Show sentences one below the other."""
    _title(console, title)
    for line in lines:
        _say(console, line, bullet="- " if len(lines) > 1 else "")
    console.print()


# Re-planning.


def rebalanced(console: Console, mended: Rebalanced, answers: tuple[str, ...] = ()) -> None:
    """Show what a mended plan changes: an answer first if one was asked for, the shares, then each change with why."""
    for answer in answers:
        _say(console, answer)
    if answers:
        console.print()
    _title(console, "What changes")
    told, share = mended.differences, mended.plan.proof.served_share
    counts = f"Kept {len(told.kept)}, moved {len(told.moved)}, dropped {len(told.dropped)}, added {len(told.added)}."
    cut = " The time ran out: --seconds gives it more." if mended.plan.proof.status == "time limit" else ""
    _say(console, f"{counts} {_shares_sentence(mended.share_before, share, mended.share_afresh)}{cut}")
    console.print()
    table = _table("", "Batch", "Why", wrap=(1, 2))
    for name, changes in (("moved", told.moved), ("dropped", told.dropped), ("added", told.added)):
        for place, change in enumerate(changes):
            what = change.what.removeprefix("batch ")
            _add(table, name if place == 0 else "", what, change.why)
    if not told.is_none:
        console.print(table)
        console.print()


def _shares_sentence(before: float, share: float, afresh: float) -> str:
    was, now, most = _at_least(before), _at_least(share), _at_least(afresh)
    first = f"Meets {now} of what you asked, as before." if was == now else f"Meets {now} of what you asked, not {was}."
    return first if most == now else f"{first} Planning afresh would reach {most}."


# Crops.


def crop_list(console: Console, crops: Mapping[str, Crop], units: Units = "metric") -> None:
    """Show the crops there are, one a line."""
    table = _table("Crop", "Species", "Harvest", "From seed", "From a plant", "Keeps", right=(3, 4, 5), wrap=(0, 1))
    for name in sorted(crops):
        crop = crops[name]
        days = (crop.nursery_days[0] if crop.sown_in == "nursery" else 0) + crop.harvest.first_days
        most = f"up to {crop.harvest.most} {crop.harvest.kind}s" if crop.harvest.kind != "head" else "head"
        weight = weight_text(sum(crop.harvest.grams), units)
        # Genus and species are enough to know it by; the profile has the rest.
        species = " ".join(crop.species.split()[:2])
        _add(table, name, species, most, f"{days:.0f} days", weight, f"{crop.keeps_days} days")
    _show(console, "Crops", table, "There is no crop.")


def crop_profile(console: Console, crop: Crop, units: Units = "metric") -> None:
    """Show all that is known of a crop, and the source of every figure."""
    _title(console, f"{crop.name} ({crop.species})")
    table = _table("", "", wrap=(1,))
    table.show_header = False
    for label, text in _profile_rows(crop, units):
        _add(table, label, text)
    console.print(table)
    console.print()
    sources = _table("Figure", "Source", wrap=(0, 1))
    for field, source in crop.sources:
        _add(sources, field, source)
    _show(console, "Sources", sources, "No source is named.")
    _publications(console, crop)


def own_record(
    console: Console, crop: Crop, learnt: tuple[Learnt, ...], germination: Germination | None, units: Units = "metric"
) -> None:
    """Show what this garden's own record makes of a crop: as published, the record, and what is used."""
    table = _table("Figure", "Published", "Own record", "Used", right=(1, 3), wrap=(0, 2))
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
                of = "one batch only" if factor.batches == 1 else f"{factor.batches} batches"
                _add(table, figure + where, published, f"{factor.own:.0%} of it, {of}", used)
    if germination is not None:
        came = f"{germination.cells_up} of {counted(germination.cells, 'cell')} up"
        _add(table, "seeds that come up", f"{crop.germination_percent:.0f} %", came, f"{germination.percent:.0f} %")
    _show(console, "From this garden's record", table, "Nothing of this crop has been recorded as harvested yet.")


def forecasts(console: Console, crop: Crop, told: tuple[Forecast, ...], units: Units = "metric") -> None:
    """Show what comes of some sowings of a crop, and why."""
    headings = ("Sown", "In", "Up", "Planted", "Ready", "Good until", "A plant", "Light", "Warmth")
    table = _table(*headings, right=(6, 7, 8), wrap=(1,))
    for each in told:
        grew = each.planted_on is not None and each.end != "closed"
        _add(
            table,
            _short_day(each.sown_on),
            each.place.name,
            *(_short_day(day) for day in (each.emerges_on, each.planted_on, each.ready_on, each.latest_on)),
            weight_text(each.grams, units) if each.ready_on else "",
            f"{each.dli_mol:.1f} mol" if grew else "",
            temperature_text(each.temperature_c, units) if grew else "",
        )
    _show(console, crop.name.capitalize(), table, "Nothing is sown.")
    sentences(
        console,
        "Why",
        tuple(f"{each.place.name}, sown {_short_day(each.sown_on)}: {why(crop, each, units)}" for each in told),
    )


def _publications(console: Console, crop: Crop) -> None:
    """Show the publications that the sources of a crop cite, once each."""
    publications = cited_publications(source for _, source in crop.sources)
    if publications:
        table = _table("Cited as", "Publication", wrap=(0, 1))
        for publication in publications:
            _add(table, publication.key, reference_text(publication))
        _show(console, "Publications", table, "")


def _profile_rows(crop: Crop, units: Units) -> tuple[tuple[str, str], ...]:
    growth, in_nursery = crop.growth, crop.sown_in == "nursery"
    rows = (
        ("Systems", ", ".join(_SYSTEMS[system] for system in crop.systems)),
        ("Spacing", f"{_density(crop.plants_per_m2, units)}; {crop.lid_holes} on the lid of a small tote"),
        (
            "Sown in",
            f"{crop.sown_in}, {counted(crop.seeds_a_cell, 'seed')} each, {counted(crop.plants_a_hole, 'plant')} a hole",
        ),
        ("Germination", _germination(crop, units)),
        ("Emergence", "; ".join(_emergence(pair, units) for pair in crop.emergence)),
        ("Seeds keep", _count_years(crop.seeds_keep_years)),
        ("Nursery", f"{crop.nursery_days[0]} to {crop.nursery_days[1]} days" if in_nursery else ""),
        ("Transplant shock", f"{crop.transplant_shock_days} days" if in_nursery else ""),
        ("Harvest", _harvest_sentence(crop, units)),
        ("Days hold at", f"{temperature_text(growth.at_c, units)} and {growth.at_dli_mol:g} mol of light a day"),
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
        ("Keeps", f"{crop.keeps_days} days in the fridge"),
        ("Uncertain", f"days by {crop.days_spread * 100:.0f} %, weight by {crop.grams_spread * 100:.0f} %"),
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
    after = f"{care.after_days} days after planting"
    return (
        f"{care.what} ({after})" if care.every_days is None else f"{care.what} (from {after}, every {care.every_days})"
    )


def _harvest_sentence(crop: Crop, units: Units) -> str:
    taken = crop.harvest
    # Runs of one weight are told once.
    runs = [(weight, len(list(run))) for weight, run in groupby(weight_text(grams, units) for grams in taken.grams)]
    amounts = ", ".join(weight if times == 1 else f"{times} times {weight}" for weight, times in runs)
    again = f", then every {taken.between_days:g}" if taken.most > 1 else ""
    since = "planting" if crop.sown_in == "nursery" else "sowing"
    within = f"to be taken within {counted(taken.window_days, 'day')}"
    return f"{taken.kind}, {taken.first_days:g} days after {since}{again}; {within}; {amounts}"


def _light(crop: Crop, units: Units) -> str:
    made = f"{light_use_text(crop.growth.grams_per_mol, units)} a mol at most"
    half = crop.growth.half_dli_mol
    return f"{made}; brighter than {LEAST_TRIED_DLI_MOL:g} mol a day hastens it" if half else made


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


# The search.


class Progress:
    """Shows the best plan and the bound so far while the planner works; silent where nobody watches.

    A context that gives the callback ``(best, bound, seconds)``, with both shares from 0 to 1.
    """

    def __init__(self, console: Console) -> None:
        """Take the console to show it on, that of the error stream."""
        self._live = Live(console=console, auto_refresh=False, transient=True) if console.is_terminal else None

    def __enter__(self) -> Callable[[float, float, float], None]:
        """Start showing."""
        if self._live is not None:
            self._live.start()
        return self._report

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Clear what was shown."""
        if self._live is not None:
            self._live.stop()

    def _report(self, best: float, bound: float, seconds: float) -> None:
        if self._live is not None:
            found = f"meets {_at_least(best)} of what you asked" if best > 0 else "no plan yet"
            most = f"none can meet more than {_at_most(min(bound, 1.0))}"
            self._live.update(Text(f"Planning, {seconds:.0f} s: {found}; {most}"), refresh=True)


# Sentences of the proof.


def _proof_sentences(proof: Proof) -> list[str]:
    served, best = _at_least(proof.served_share), _at_least(proof.best_share)
    sentences = [f"Meets {served} of what you asked, with {counted(proof.sowings, 'sowing')}."]
    if best != served:
        more = proof.best_sowings > proof.sowings
        sentences.append(f"{best} would take {proof.best_sowings}." if more else f"The most that was found is {best}.")
    sentences.append(_bound_sentence(proof))
    sentences.append(_ended_sentence(proof))
    if proof.deep_gaps:
        sentences.append(f"Weeks that get under half of what you asked: {proof.deep_gaps}.")
    whole = _at_least(proof.served_share_all_weeks)
    if whole != served:
        sentences.append(f"Over all weeks, with those out of reach, it meets {whole}.")
    return [sentence for sentence in sentences if sentence]


def _bound_sentence(proof: Proof) -> str:
    proven = "It is proven that no" if proof.status == "optimal" else "No"
    if proof.bound_share - proof.best_share <= _ROUNDING or _at_most(proof.bound_share) == _at_least(proof.best_share):
        return f"{proven} plan for these totes can meet more."
    if _at_most(proof.bound_share) == "100.0 %":
        return "How much more could be met is not proven."
    return f"{proven} plan for these totes can meet more than {_at_most(proof.bound_share)}."


def _ended_sentence(proof: Proof) -> str:
    return {
        "optimal": "",
        "time limit": f"The time limit ended the search after {proof.seconds:.0f} s.",
        "step limit": f"The search ended after its set number of steps, in {proof.seconds:.0f} s.",
        "interrupted": f"The search was interrupted after {proof.seconds:.0f} s; this is the best plan until then.",
    }[proof.status]


def _effort_sentence(plan: Plan) -> str:
    weeks = max(1, len(plan.weeks))
    sowing = {batch.sown_on for batch in plan.batches}
    taking = {each.on for batch in plan.batches for each in batch.harvests}
    per_week = [sum(plan.from_on <= on < plan.until_on for on in days) / weeks for days in (sowing, taking)]
    return f"Sowing on {per_week[0]:.1f} days a week, harvest on {per_week[1]:.1f} days a week."


# A difference the solver cannot tell from none.
_ROUNDING = 1e-6


def _at_least(share: float) -> str:
    """Give a share that is reached as a percentage, rounded down: never better than it is."""
    return f"{math.floor(share * 1000 + _ROUNDING * 1000) / 10:.1f} %"


def _at_most(share: float) -> str:
    """Give a bound as a percentage, rounded up: never tighter than it is."""
    return f"{math.ceil(share * 1000 - _ROUNDING * 1000) / 10:.1f} %"


# Cells and words of the tables.


def _cell(plan: Plan, tote: Tote, week: Week, short: Mapping[str, str]) -> str:
    """Say what stands in a tote in one week: each crop with its plants, and what is taken of how many of them."""
    from_on, until_on = week.starts_on, week.starts_on + timedelta(days=7)
    plants: Counter[str] = Counter()
    taken: Counter[tuple[str, str]] = Counter()
    for batch in plan.batches:
        if batch.tote != tote.name or not _stands_between(batch, from_on, until_on):
            continue
        this_week = [each for each in batch.harvests if from_on <= each.on < until_on]
        heads = sum(each.plants for each in this_week if each.kind == "head")
        gone = sum(each.plants for each in batch.harvests if each.kind == "head" and each.on < from_on)
        plants[batch.crop] += batch.plants - gone
        if this_week:
            taken[batch.crop, _taken_word(this_week)] += heads or batch.plants
    lines = []
    for crop, number in sorted(plants.items()):
        lines.append(f"{short[crop]} {number}")
        words = sorted((word, count) for (other, word), count in taken.items() if other == crop)
        lines += [f" {word}" if count == number else f" {count} {word}" for word, count in words]
    return "\n".join(lines) or "empty"


def _taken_word(harvests: list[Harvest]) -> str:
    if harvests[0].kind == "head":
        return "ready"
    if harvests[0].kind == "pick":
        return "pick"
    return "cut " + ", ".join(str(each.number) for each in harvests)


def _stands_between(batch: Batch, from_on: date, until_on: date) -> bool:
    if batch.state == "lost" or batch.transplanted_on is None or batch.cleared_on is None:
        return False
    # What is harvested on the first day still makes the week one of harvest, though it leaves the tote that day.
    last_on = max((each.on for each in batch.harvests), default=batch.cleared_on - timedelta(days=1))
    return batch.transplanted_on < until_on and from_on <= max(last_on, batch.cleared_on - timedelta(days=1))


def _held(batch: Batch, on: date) -> tuple[int, ...]:
    """Give the holes a batch takes up on a day; a head leaves its hole on the day it is taken."""
    if batch.transplanted_on is None or batch.cleared_on is None or not batch.transplanted_on <= on < batch.cleared_on:
        return ()
    gone = {hole for each in batch.harvests if each.kind == "head" and each.on <= on for hole in each.holes}
    return tuple(hole for hole in batch.holes if hole not in gone)


def _standing_sentence(batch: Batch, on: date) -> str:
    held = set(_held(batch, on))
    coming = [each for each in batch.harvests if each.on >= on and held & set(each.holes)]
    words = {"head": "ready", "cut": "next cut", "pick": "next pick"}
    due = f", {words[coming[0].kind]} {day_text(coming[0].on)}" if coming else ""
    return f"{holes_text(held)}: {batch.crop}, batch {batch.id}{due}"


def _lid_labels(
    tote: Tote, standing: Mapping[int, Batch], short: Mapping[str, str], width: int
) -> tuple[list[str], int]:
    """Give the words of every hole and how many lie side by side; names are shortened where they would not fit."""
    holes = range(1, tote.holes + 1)
    crops = [standing[hole].crop if hole in standing else "empty" for hole in holes]
    across = _holes_across(tote)
    for names in (crops, [short.get(crop, crop) for crop in crops]):
        labels = [f"{hole} {name}" for hole, name in zip(holes, names, strict=True)]
        room = (width - 1) // (max(map(len, labels)) + 3)
        if room >= across:
            return labels, across
    return labels, max(1, room)


def _lid(labels: list[str], across: int) -> Table:
    lid = Table(box=box.SQUARE, show_header=False, show_lines=True)
    for first in range(0, len(labels), across):
        lid.add_row(*(Text(label) for label in labels[first : first + across]))
    return lid


def _holes_across(tote: Tote) -> int:
    """Give how many holes lie along the long side, so that the drawing has about the shape of the lid."""
    short_cm, long_cm = sorted(tote.inside_cm) if tote.inside_cm is not None else (2.0, 3.0)
    return max(1, min(tote.holes, round(math.sqrt(tote.holes * long_cm / short_cm))))


def _runs(weeks: tuple[Week, ...]) -> list[tuple[Week, ...]]:
    """Join neighbouring weeks that are alike and wholly out of reach, of which one line says all."""

    def likeness(week: Week) -> object:
        return week.starts_on if any(want.in_reach for want in week.wants) else week.wants

    return [tuple(run) for _, run in groupby(weeks, key=likeness)]


def _span(weeks: tuple[Week, ...]) -> str:
    first, last = weeks[0].starts_on, weeks[-1].starts_on
    return day_text(first) if len(weeks) == 1 else f"{_short_day(first)} to {_short_day(last)}"


def _verdict(plan: Plan, week: Week, want: WantWeek, units: Units) -> str:
    if not want.in_reach:
        return _out_of_reach(plan, week, want.want)
    if want.wanted <= 0:
        return "not wanted"
    words = []
    if want.wanted - want.served > _NEGLIGIBLE[want.unit]:
        words.append(f"gap {_amount(want.wanted - want.served, want, units)}")
    if want.surplus > _NEGLIGIBLE[want.unit]:
        words.append(f"surplus {_amount(want.surplus, want, units)}")
    return ", ".join(words)


def _out_of_reach(plan: Plan, week: Week, name: str) -> str:
    later = (other.starts_on for other in plan.weeks if other.starts_on > week.starts_on)
    reached = {other.starts_on for other in plan.weeks for want in other.wants if want.want == name and want.in_reach}
    earliest = next((day for day in later if day in reached), None)
    return "out of reach" if earliest is None else f"not before {_short_day(earliest)}"


def _amount(amount: float, want: WantWeek, units: Units) -> str:
    if want.unit == "g":
        return weight_text(amount, units)
    heads = f"{amount:.1f}".removesuffix(".0")
    return f"{heads} {'head' if heads == '1' else 'heads'}"


def _short_names(crops: Iterable[str]) -> dict[str, str]:
    """Shorten each long name to the longest word that no other crop shares."""
    names = sorted(set(crops))
    sharing = Counter(word for name in names for word in set(name.split()))
    short: dict[str, str] = {}
    for name in names:
        # Of words alike in length the last tells most: it names the plant, those before it its looks.
        word = max(reversed(name.split()), key=lambda word: (sharing[word] == 1, len(word)))
        letters = name if len(name) <= _SHORT else word[:_SHORT]
        # Two crops must never look the same in the table, so the rare clash gets a number.
        rivals = sum(other.rstrip("0123456789") == letters for other in short.values())
        short[name] = f"{letters}{rivals + 1}" if rivals else letters
    return short


def _place(batch: Batch) -> str:
    return f"{batch.tote} {holes_text(batch.holes)}".rstrip()


def _short_day(day: date | None) -> str:
    return "" if day is None else day_text(day).split(maxsplit=1)[1]


# Supplies.


def supplies(console: Console, garden: Garden, told: Supplies) -> None:
    """Show what a plan uses up, what of it is missing and when to order it; then power, and what it all costs."""
    currency = told.power.currency or ""
    table = _table("What", "Needed", "At hand", "Missing", "Order by", "Cost", right=(1, 2, 3, 5), wrap=(0, 4))
    for supply in told.supplies:
        item, units = supply.item, garden.units
        _add(
            table,
            _thing(supply),
            _measured(supply.needed, item.measure, units),
            _measured(item.have, item.measure, units) if item.have else "",
            _measured(supply.missing, item.measure, units) if supply.missing else "",
            _order_text(supply, told.from_on),
            "" if supply.cost is None or supply.is_kept else _money(supply.cost, currency),
        )
    span = f"from {day_text(told.from_on)} to {day_text(told.until_on - timedelta(days=1))}"
    _show(console, f"Supplies {span}", table, "Nothing is needed.")
    _power(console, told)
    _title(console, "What it costs")
    for sentence in _cost_sentences(garden, told, currency):
        _say(console, sentence)
    for note in told.notes:
        _say(console, note)
    console.print()


def _thing(supply: Supply) -> str:
    if supply.item.measure == "seeds":
        return f"{supply.item.name}, seeds"
    return f"{supply.item.name}, in use" if supply.is_kept else supply.item.name


def _power(console: Console, told: Supplies) -> None:
    if not told.power.devices:
        return
    currency = told.power.currency or ""
    names = [_device_name(device) for device in told.power.devices]
    table = _table("Month", *names, "Cost", right=tuple(range(1, len(names) + 2)))
    for month in told.power.months:
        by_device = [
            next((use for use in device.months if use.month_on == month.month_on), None)
            for device in told.power.devices
        ]
        cells = ["" if use is None else "unknown" if use.kwh is None else f"{use.kwh:.1f} kWh" for use in by_device]
        cost = "" if month.cost is None else _money(month.cost, currency)
        _add(table, f"{day_text(month.month_on).split()[-1]} {month.month_on.year}", *cells, cost)
    _show(console, "Power", table, "")
    for sentence in told.power.unknown:
        _say(console, sentence)
    if told.power.unknown:
        console.print()


def _device_name(device: DeviceUse) -> str:
    return {"pump": "Air pump", "nursery": "Nursery", "lamp": device.place}[device.kind]


def _cost_sentences(garden: Garden, told: Supplies, currency: str) -> Iterable[str]:
    if garden.stock_counted_on is not None:
        counted_on = day_text(garden.stock_counted_on)
        yield f"What is at hand was counted on {counted_on}; what the plan has used since is taken off."
    if told.power.kwh_a_kg is not None:
        cost = "" if told.power.cost_a_kg is None else f", {_money(told.power.cost_a_kg, currency)}"
        yield f"A kilogram takes {told.power.kwh_a_kg:.1f} kWh of power{cost}."
    if not told.is_priced:
        yield "No price is told: write pack and price under stock, and a tariff."
        return
    without = f" (without {listed(told.unpriced)}, of which no price is told)" if told.unpriced else ""
    yield f"What is used up costs {_money(told.cost, currency)}{without}."
    if told.cost_a_100_g is not None:
        each = f"{_money(told.cost_a_100_g, currency)} for each {weight_text(100, garden.units)}"
        yield f"{weight_text(told.grams, garden.units)} are harvested: {each}."
    missing = [supply for supply in told.supplies if supply.missing]
    unknown = [supply.item.name for supply in missing if supply.order_cost is None]
    if len(unknown) < len(missing):
        rest = f", without {listed(unknown)}" if unknown else ""
        yield f"What is to be ordered costs {_money(told.order_cost, currency)}{rest}."


def _order_text(supply: Supply, today: date) -> str:
    if supply.order_by is None:
        return ""
    when = "now" if supply.order_by <= today else day_text(supply.order_by)
    return when if supply.packs is None else f"{when}: {counted(supply.packs, 'pack')}"


def _measured(amount: float, measure: StockUnit, units: Units) -> str:
    match measure:
        case "seeds" | "pieces":
            return f"{math.ceil(amount - 1e-9)}"
        case "litres":
            return litres_text(amount, units)
        case "grams":
            return part_text(amount, None, units)
        case "ml":
            return part_text(None, amount, units)


def _money(amount: float, currency: str) -> str:
    return f"{amount:.2f} {currency}".rstrip()


# Drawing.


def _table(*headers: str, right: tuple[int, ...] = (), wrap: tuple[int, ...] = (), tight: bool = False) -> Table:
    """Begin a table; only the columns of `wrap` break their cells where the width runs out, the others keep a line."""
    table = Table(
        box=box.SIMPLE_HEAD, show_edge=False, pad_edge=False, padding=(0, 0 if tight else 1), collapse_padding=True
    )
    for index, header in enumerate(headers):
        justify: Literal["left", "right"] = "right" if index in right else "left"
        table.add_column(header, justify=justify, overflow="fold", no_wrap=index not in wrap)
    return table


def _add(table: Table, *cells: str) -> None:
    # As plain text: what a person wrote may hold square brackets, which rich would take for its own markup.
    table.add_row(*(Text(cell) for cell in cells))


def _title(console: Console, title: str) -> None:
    console.print(Text(title, style="bold"))


def _say(console: Console, sentence: str, bullet: str = "") -> None:
    # A percentage sign stays with its number at the end of a line.
    text = sentence.replace(" %", "\N{NO-BREAK SPACE}%")
    lines = textwrap.wrap(text, console.width, initial_indent=bullet, subsequent_indent=" " * len(bullet))
    console.print(Text("\n".join(lines).replace("\N{NO-BREAK SPACE}", " ")))


def _show(console: Console, title: str, table: Table, otherwise: str) -> None:
    _title(console, title)
    if table.row_count:
        console.print(table)
    else:
        _say(console, otherwise)
    console.print()
