"""The second opinion: whether batches keep every rule of a legal plan.

Takes the garden and the batches of a plan, whoever made them; gives every breach, in plain words.  Shares
nothing with the planner but the types and the growth of crops: each rule is one function, written from the rule alone,
and `RULES` lists them.  What has happened cannot be broken: rules ask only about what a plan still decides.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction
from itertools import combinations, pairwise
from math import ceil

from steadysow.check.case import Case, case_of, enters, is_live, leaves, leaves_hole, plants_on, stands
from steadysow.growth.germination import MOST_SEEDS_A_CELL, percent_now
from steadysow.inputs.crops import Band
from steadysow.inputs.garden import Garden, carried, lid_area_m2
from steadysow.plan.batch import Batch
from steadysow.plan.minutes import minutes_by_week
from steadysow.plan.plan import Plan
from steadysow.standing.standing import Rest

# Share of a still tote's water that plants may draw: stop when less than a tenth remains [kratky-2004].
USABLE_WATER = 0.9

# How far the told weight of one plant may be from the weight it grows to [g].
GRAMS_TOLERANCE = 0.05

# Minutes below this are the dust of adding up [min].
MINUTES_TOLERANCE = 0.001

_ONE_DAY = timedelta(1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Breach:
    """A rule that batches do not keep.

    Attributes
    ----------
    rule
        The rule's name.
    batches
        Ids of the batches that break it.
    day
        The day it is broken on, or ``None``.
    sentence
        What is wrong, as a person reads it.
    """

    rule: str
    batches: tuple[int, ...]
    day: date | None
    sentence: str


Finding = tuple[Sequence[Batch], date | None, str]


def verify(
    garden: Garden,
    plan: Plan | Iterable[Batch],
    *,
    today: date,
    starts_on: date,
    resting: Sequence[Rest] = (),
    begun: Sequence[Batch] = (),
) -> tuple[Breach, ...]:
    """Check batches against every rule of a legal plan.

    Parameters
    ----------
    garden
        The garden.
    plan
        A plan, or batches.
    today
        What lies before it has happened and is not judged.
    starts_on
        When the garden began; nothing is sown before.
    resting
        Totes out of use.
    begun
        Begun batches as they stood before planning; the plan must hold them as they are.

    Returns
    -------
    tuple[Breach, ...]
        The breaches, in the order of the rules; empty for a legal plan.
    """
    batches = tuple(plan.batches if isinstance(plan, Plan) else plan)
    strangers = tuple(_unknown_names(garden, batches))
    if strangers:
        return strangers
    # History of crops or totes that the files no longer name bears on nothing that is still to come.
    batches = tuple(batch for batch in batches if is_live(batch) or not _missing(garden, batch))
    case = case_of(garden, batches, today, starts_on, resting, begun)
    return tuple(_breach(rule.__name__, those, day, sentence) for rule in RULES for those, day, sentence in rule(case))


def ids_are_distinct(case: Case) -> Iterator[Finding]:
    """No two batches have the same id."""
    seen: dict[int, Batch] = {}
    for batch in case.batches:
        if batch.id in seen:
            yield (seen[batch.id], batch), None, f"Two batches have the number {batch.id}"
        seen[batch.id] = batch


def facts_are_kept(case: Case) -> Iterator[Finding]:
    """Begun batches with something to come are in the plan, and what has happened to them is unchanged."""
    by_id = {batch.id: batch for batch in case.batches}
    for fact in case.begun.values():
        if not is_live(fact):
            continue
        batch = by_id.get(fact.id)
        if batch is None:
            yield (fact,), None, f"{_label(fact)} has begun but is missing from the plan"
            continue
        to_come = case.to_come(batch)
        happened = tuple(harvest for harvest in batch.harvests if harvest not in to_come)
        if happened != fact.harvests or _entry(batch, fact) != _entry(fact, fact):
            yield (batch,), None, f"{_label(fact)} has begun, and the plan changes what has already happened to it"


def stages_are_in_order(case: Case) -> Iterator[Finding]:
    """A batch is sown, emerges, is transplanted and is cleared, in that order."""
    for batch in filter(is_live, case.batches):
        if batch.transplanted_on is None or batch.cleared_on is None:
            yield (batch,), None, f"{_label(batch)} has no day of transplant or of clearing"
            continue
        in_order = batch.sown_on <= batch.transplanted_on <= batch.cleared_on
        in_order = in_order and (batch.transplanted_on < batch.cleared_on or not case.is_entering(batch))
        if case.is_entering(batch) and batch.emerges_on is not None:
            by_then = batch.transplanted_on if case.crop(batch).sown_in == "nursery" else batch.cleared_on
            in_order = in_order and batch.sown_on <= batch.emerges_on <= by_then
        if not in_order:
            yield (batch,), batch.sown_on, f"The stages of {_label(batch)} are not in order"


def crop_serves_its_want(case: Case) -> Iterator[Finding]:
    """A batch is grown for a want that its crop may serve."""
    serving = {want.name: {serving.crop for serving in want.servings} for want in case.garden.wants}
    for batch in case.planned:
        if batch.crop not in serving.get(batch.want, set()):
            yield (batch,), None, f"{_label(batch)} is grown for {batch.want}, which does not ask for it"


def sown_on_a_chore_day(case: Case) -> Iterator[Finding]:
    """Sowing falls on a chore day at home, from today and from the garden's first day on."""
    first_on = max(case.today, case.starts_on)
    for batch in case.planned:
        if not case.garden.is_chore_day(batch.sown_on):
            yield (batch,), batch.sown_on, f"{_label(batch)} is sown on {batch.sown_on}, no chore day at home"
        elif batch.sown_on < first_on:
            yield (batch,), batch.sown_on, f"{_label(batch)} is sown on {batch.sown_on}, before {first_on}"


def sowing_days_lie_apart(case: Case) -> Iterator[Finding]:
    """Sowing days lie at least `every_days` apart, counting those that have been."""
    by_day = _by_sowing_day(case)
    for earlier, later in pairwise(sorted(by_day)):
        if (later - earlier).days < case.garden.sowing.every_days and _any_planned(by_day[later]):
            yield by_day[earlier] + by_day[later], later, f"Sowing days {earlier} and {later} lie too close together"


def sowings_are_large_enough(case: Case) -> Iterator[Finding]:
    """A sowing is at least `smallest` plants of a crop, or all that the totes in use that day can carry of it."""
    for sown_on, batches in _by_sowing_day(case).items():
        for name in sorted({batch.crop for batch in batches}):
            sowing = [batch for batch in batches if batch.crop == name]
            if not _any_planned(sowing):
                continue
            plants = sum(batch.plants for batch in sowing)
            in_use = (tote for tote in case.garden.totes if case.garden.place_of(tote, sown_on) is not None)
            holes = sum(carried(case.garden.crops[name], tote) for tote in in_use)
            if plants < min(case.garden.sowing.smallest, holes):
                yield sowing, sown_on, f"Only {plants} of {name} sown on {sown_on}"


def few_crops_a_sowing_day(case: Case) -> Iterator[Finding]:
    """At most `crops_a_day` crops are sown on one day."""
    for sown_on, batches in _by_sowing_day(case).items():
        crops = {batch.crop for batch in batches}
        if len(crops) > case.garden.sowing.crops_a_day and _any_planned(batches):
            yield batches, sown_on, f"{len(crops)} crops sown on {sown_on}"


def cells_are_enough(case: Case) -> Iterator[Finding]:
    """A batch has at least a cell a hole; batches sown and planted together share their spare cells."""
    for batches in _sown_together(case):
        for batch in batches:
            if batch.cells < batch.plants:
                yield (batch,), batch.sown_on, f"{_label(batch)} has {batch.cells} cells for {batch.plants} plants"
        crop = case.crop(batches[0])
        success = 1 - (1 - crop.germination_percent / 100) ** crop.seeds_a_cell
        plants, cells = sum(batch.plants for batch in batches), sum(batch.cells for batch in batches)
        needed = max(plants, ceil(plants / success - 1e-9))
        if crop.sown_in == "nursery" and cells != needed:
            labels = " and ".join(_label(batch) for batch in batches)
            yield batches, batches[0].sown_on, f"{labels} have {cells} cells for {plants} plants, not {needed}"


def seeds_are_enough(case: Case) -> Iterator[Finding]:
    """All cells sown together have as many seeds, no fewer than the profile says, and enough to be confident.

    Too few cells are told by `cells_are_enough` alone.
    """
    for batches in _sown_together(case):
        crop = case.crop(batches[0])
        labels = " and ".join(_label(batch) for batch in batches)
        plants, cells = sum(batch.plants for batch in batches), sum(batch.cells for batch in batches)
        if cells < plants:
            continue
        seeds = sum(batch.seeds for batch in batches)
        each = Fraction(seeds, cells)
        if any(batch.seeds != each * batch.cells for batch in batches) or each.denominator != 1:
            yield batches, batches[0].sown_on, f"{labels} have {seeds} seeds in {cells} cells, not as many in each"
        elif each < crop.seeds_a_cell:
            yield batches, batches[0].sown_on, f"{labels} have {each} seeds a cell, not {crop.seeds_a_cell}"
        elif each < MOST_SEEDS_A_CELL:
            percent = percent_now(crop, case.garden.packet(crop.name), batches[0].sown_on.year)
            chance = _chance_of_enough(plants, cells, 1 - (1 - percent / 100) ** int(each))
            if chance < case.garden.sowing.confidence - 1e-9:
                told = f"{each} seeds a cell hold enough seedlings in {chance:.1%} of cases only"
                yield batches, batches[0].sown_on, f"In {labels} {told}"


def _sown_together(case: Case) -> Iterable[list[Batch]]:
    together: dict[tuple[str, str, date, date | None], list[Batch]] = defaultdict(list)
    for batch in case.planned:
        together[(batch.crop, batch.want, batch.sown_on, batch.transplanted_on)].append(batch)
    return together.values()


def _chance_of_enough(needed: int, sown: int, chance: float) -> float:
    """Give the chance that enough succeed, by adding one after the other."""
    chances = [1.0]
    for _ in range(sown):
        failing, succeeding = [*chances, 0.0], [0.0, *chances]
        pairs = zip(failing, succeeding, strict=True)
        chances = [fails * (1 - chance) + succeeds * chance for fails, succeeds in pairs]
    return sum(chances[needed:])


def nursery_holds_all(case: Case) -> Iterator[Finding]:
    """The nursery's cells hold all seedlings on every day."""
    raised = [batch for batch in case.batches if case.crop(batch).sown_in == "nursery" and stands(batch)]
    for day in sorted({batch.sown_on for batch in raised if batch.state == "planned"}):
        there = [batch for batch in raised if batch.sown_on <= day < enters(batch)]
        cells = sum(batch.cells for batch in there)
        if cells > case.garden.nursery.cells:
            yield there, day, f"{cells} cells are taken in the nursery on {day}, of {case.garden.nursery.cells}"


def emerges_as_it_grows(case: Case) -> Iterator[Finding]:
    """The day of emergence is the one that the warmth of the nursery, or of the pot's place, gives."""
    for batch in case.planned:
        grown_on = case.emerges_on(batch)
        if grown_on is None:
            yield (batch,), batch.sown_on, f"{_label(batch)} never emerges"
        elif batch.emerges_on != grown_on:
            yield (batch,), batch.emerges_on, f"{_label(batch)} emerges on {grown_on}, not on {batch.emerges_on}"


def transplanted_when_ready(case: Case) -> Iterator[Finding]:
    """Transplant falls on a chore day at home, within the crop's window.

    A begun batch may be late: it is then transplanted on the first chore day there is.
    """
    for batch in case.entering:
        if case.crop(batch).sown_in == "pot":
            continue
        day, window = enters(batch), case.transplant_window(batch)
        if not case.garden.is_chore_day(day):
            yield (batch,), day, f"{_label(batch)} is transplanted on {day}, no chore day at home"
        if window is None:
            yield (batch,), day, f"{_label(batch)} is never ready to transplant"
        elif not window[0] <= day <= window[1]:
            yield (batch,), day, f"{_label(batch)} is transplanted on {day}, outside {_span(window)}"


def pots_are_not_transplanted(case: Case) -> Iterator[Finding]:
    """A crop sown in its pot stands in its tote from the day it is sown."""
    for batch in case.planned:
        if case.crop(batch).sown_in == "pot" and batch.transplanted_on != batch.sown_on:
            yield (batch,), batch.sown_on, f"{_label(batch)} is sown in its pot but transplanted later"


def harvested_on_a_harvest_day(case: Case) -> Iterator[Finding]:
    """Harvests fall on harvest days at home."""
    for batch in case.live:
        for harvest in case.to_come(batch):
            if not case.garden.is_harvest_day(harvest.on):
                yield (batch,), harvest.on, f"{_label(batch)} is harvested on {harvest.on}, no harvest day at home"


def harvested_when_due(case: Case) -> Iterator[Finding]:
    """A harvest falls in its window, counted from transplant or from the harvest before.

    A begun batch may be late: it is then harvested on the first harvest day there is.
    """
    for batch, harvest, window in case.harvest_windows():
        if window is None:
            yield (batch,), harvest.on, f"{_label(batch)} is harvested on {harvest.on}, never due or bolted by then"
        elif not window[0] <= harvest.on <= window[1]:
            yield (batch,), harvest.on, f"{_label(batch)} is harvested on {harvest.on}, outside {_span(window)}"


def latest_day_is_told(case: Case) -> Iterator[Finding]:
    """The latest day told for a harvest is the last of its window, or the day its plants have to be out of the tote."""
    for batch, harvest, window in case.harvest_windows():
        latest_on = None if window is None else case.stays_until(batch, window[1])
        if latest_on is not None and window is not None and window[0] <= latest_on != harvest.latest_on:
            yield (batch,), harvest.on, f"{_label(batch)} can wait until {latest_on}, not until {harvest.latest_on}"


def harvests_are_numbered(case: Case) -> Iterator[Finding]:
    """Harvests of a batch are of its crop's kind, follow each other, and count 1, 2, 3 and so on."""
    for batch in case.live:
        kind = case.crop(batch).harvest.kind
        numbers = [harvest.number for harvest in batch.harvests]
        rising = all(before.on < after.on or before.is_recorded for before, after in pairwise(batch.harvests))
        if numbers != list(range(1, len(numbers) + 1)) or not rising:
            yield (batch,), None, f"The harvests of {_label(batch)} are not counted in their order"
        if any(harvest.kind != kind for harvest in batch.harvests):
            yield (batch,), None, f"{_label(batch)} is harvested by {kind} only"


def what_is_planted_is_harvested(case: Case) -> Iterator[Finding]:
    """No plant is raised to be thrown away: every planned plant is harvested at least once."""
    for batch in case.planned:
        heads = batch.harvests and all(harvest.kind == "head" for harvest in batch.harvests)
        taken = sum(harvest.plants for harvest in batch.harvests)
        if taken < batch.plants if heads else not batch.harvests:
            yield (batch,), batch.sown_on, f"Of {_label(batch)} some plants are never harvested"


def no_more_harvests_than_it_gives(case: Case) -> Iterator[Finding]:
    """A plant gives at most as many cuts or picks as its profile says."""
    for batch in case.live:
        harvest = case.crop(batch).harvest
        if harvest.kind != "head" and case.to_come(batch) and len(batch.harvests) > harvest.most:
            told = f"{len(batch.harvests)} times, of {harvest.most} it gives"
            yield (batch,), None, f"{_label(batch)} is harvested {told}"


def harvests_take_its_own_plants(case: Case) -> Iterator[Finding]:
    """Each head is harvested once, from its own hole; cuts and picks take the whole batch."""
    for batch in case.live:
        taken: set[int] = set()
        for harvest in case.to_come(batch):
            holes = set(harvest.holes)
            if harvest.plants != len(harvest.holes) or len(holes) != len(harvest.holes) or not holes:
                yield (batch,), harvest.on, f"The plants {_label(batch)} gives on {harvest.on} are not one a hole"
            if harvest.kind != "head" and holes != set(batch.holes):
                yield (batch,), harvest.on, f"Only a part of {_label(batch)} is harvested on {harvest.on}"
            elif not holes <= set(batch.holes):
                yield (batch,), harvest.on, f"{_label(batch)} is harvested from holes where it does not stand"
        if case.crop(batch).harvest.kind == "head":
            for harvest in batch.harvests:
                if taken & set(harvest.holes):
                    yield (batch,), harvest.on, f"{_label(batch)} gives a head twice"
                taken |= set(harvest.holes)


def weighs_what_it_grows_to(case: Case) -> Iterator[Finding]:
    """A harvest weighs what the profile says, or what light can make of its share of the lid if that is less."""
    for batch in case.live:
        crop, tote = case.crop(batch), case.garden.tote(batch.tote)
        if not carried(crop, tote):
            continue
        for harvest in case.to_come(batch):
            if harvest.kind != "head" and not 1 <= harvest.number <= crop.harvest.most:
                continue
            each = case.grams_each(batch, harvest, lid_area_m2(tote) / carried(crop, tote))
            if abs(harvest.grams - each * harvest.plants) > GRAMS_TOLERANCE * harvest.plants:
                told = f"{harvest.grams:.1f} g, not {each * harvest.plants:.1f} g"
                yield (batch,), harvest.on, f"{_label(batch)} is said to give {told} on {harvest.on}"


def cleared_with_its_last_harvest(case: Case) -> Iterator[Finding]:
    """A batch is cleared on the day of its last harvest, or on a day at home if no harvest is to come."""
    for batch in case.live:
        day, to_come = leaves(batch), case.to_come(batch)
        if to_come and day != max(harvest.on for harvest in to_come):
            yield (batch,), day, f"{_label(batch)} is cleared on {day}, not with its last harvest"
        if not to_come and (day < case.today or not case.garden.at_home(day)):
            yield (batch,), day, f"{_label(batch)} is cleared on {day}, no day at home from {case.today} on"


def holes_are_in_the_lid(case: Case) -> Iterator[Finding]:
    """A batch stands in holes that its tote has, one plant a hole."""
    for batch in case.live:
        tote = case.garden.tote(batch.tote)
        if batch.plants != len(batch.holes) or len(set(batch.holes)) != len(batch.holes) or not batch.holes:
            yield (batch,), None, f"{_label(batch)} has {batch.plants} plants for the holes {_listed(batch.holes)}"
        elif case.is_entering(batch) and not set(batch.holes) <= set(range(1, tote.holes + 1)):
            yield (batch,), None, f"Tote {tote.name} lacks some of the holes {_listed(batch.holes)} of {_label(batch)}"


def one_plant_a_hole(case: Case) -> Iterator[Finding]:
    """A hole is free, and turnaround has passed, before the next plant enters it."""
    for tote in case.garden.totes:
        by_hole: defaultdict[int, list[Batch]] = defaultdict(list)
        for batch in sorted(case.standing_in(tote.name), key=enters):
            for hole in set(batch.holes):
                by_hole[hole].append(batch)
        for hole, batches in sorted(by_hole.items()):
            for earlier, later in combinations(batches, 2):
                free_on = leaves_hole(earlier, hole) + case.garden.turnaround_days * _ONE_DAY
                decided = case.is_entering(earlier) or case.is_entering(later)
                if enters(later) < free_on and decided:
                    told = f"hole {hole} of tote {tote.name} on {enters(later)}, which is free from {free_on}"
                    yield (earlier, later), enters(later), f"{_label(later)} enters {told}"


def still_totes_are_filled_at_once(case: Case) -> Iterator[Finding]:
    """All plants of a still tote enter on one day, after all before have left and turnaround has passed."""
    for tote in case.garden.totes:
        if tote.system != "kratky":
            continue
        standing = case.standing_in(tote.name)
        for later in filter(case.is_entering, standing):
            for earlier in standing:
                empty_on = leaves(earlier) + case.garden.turnaround_days * _ONE_DAY
                if enters(earlier) < enters(later) < empty_on:
                    told = f"tote {tote.name} on {enters(later)}, and {_label(earlier)} frees it only on {empty_on}"
                    yield (earlier, later), enters(later), f"{_label(later)} enters still {told}"


def room_in_the_tote(case: Case) -> Iterator[Finding]:
    """Plants in a tote need no more room than its lid has, on every day."""
    for tote in case.garden.totes:
        standing = case.standing_in(tote.name)
        for day in case.days_of_entry(standing):
            there = [batch for batch in standing if plants_on(batch, day) and carried(case.crop(batch), tote)]
            taken = sum(
                (Fraction(plants_on(batch, day), carried(case.crop(batch), tote)) for batch in there), Fraction()
            )
            if taken > 1:
                yield there, day, f"Tote {tote.name} holds {float(taken):.2f} times what it carries on {day}"


def crop_fits_the_system(case: Case) -> Iterator[Finding]:
    """A crop stands only in totes of a system it grows in, and that carry at least one plant of it."""
    for batch in case.entering:
        tote = case.garden.tote(batch.tote)
        if tote.system not in case.crop(batch).systems:
            told = f"does not grow in a {tote.system} tote ({tote.name})"
            yield (batch,), enters(batch), f"{_label(batch)} {told}"
        elif not carried(case.crop(batch), tote):
            yield (batch,), enters(batch), f"Tote {tote.name} is too small for {_label(batch)}"


def lamps_light_all(case: Case) -> Iterator[Finding]:
    """A lamp lights at most its number of plants, on every day."""
    for place in case.garden.places:
        limit = place.lights
        if limit is None:
            continue
        standing = [batch for batch in case.batches if batch.place == place.name and stands(batch)]
        for day in case.days_of_entry(standing):
            there = [batch for batch in standing if plants_on(batch, day)]
            plants = sum(plants_on(batch, day) for batch in there)
            if plants > limit:
                yield there, day, f"{plants} plants stand at {place.name} on {day}, and its lamp lights {limit}"


def weeks_keep_to_their_minutes(case: Case) -> Iterator[Finding]:
    """A week's work and upkeep take at most `chore_minutes_a_week`; begun batches alone may, and then all alone."""
    limit = case.garden.chore_minutes_a_week
    if limit is None:
        return

    def minutes_of(batches: Iterable[Batch]) -> dict[int, float]:
        return minutes_by_week(case.garden, batches, starts_on=case.starts_on, today=case.today)

    begun = minutes_of(batch for batch in case.batches if batch.state != "planned")
    for week, minutes in minutes_of(case.batches).items():
        if minutes > limit + MINUTES_TOLERANCE and minutes > begun.get(week, 0.0) + MINUTES_TOLERANCE:
            adding = [batch for batch in case.planned if week in minutes_of([batch])]
            week_on = case.starts_on + 7 * week * _ONE_DAY
            yield adding, week_on, f"The week of {week_on} takes {minutes:.0f} minutes, of {limit:g} at most"


def reservoir_suits_all(case: Case) -> Iterator[Finding]:
    """Crops in one tote have strengths (EC) and acidities (pH) in common that they tolerate."""
    for one, other, day in case.neighbours():
        for what, band, other_band in (
            ("EC", case.crop(one).ec, case.crop(other).ec),
            ("pH", case.crop(one).ph, case.crop(other).ph),
        ):
            if not _in_common(band, other_band):
                yield (one, other), day, f"{_label(one)} and {_label(other)} tolerate no {what} in common"


def fruit_stands_alone(case: Case) -> Iterator[Finding]:
    """Fruit shares its tote with its own crop only."""
    for one, other, day in case.neighbours():
        if case.crop(one).is_fruit or case.crop(other).is_fruit:
            yield (one, other), day, f"{_label(one)} and {_label(other)} share tote {one.tote}; fruit stands alone"


def water_lasts(case: Case) -> Iterator[Finding]:
    """A still tote that is never topped up holds the water that its plants need."""
    for tote in case.garden.totes:
        if tote.system != "kratky" or tote.top_up != "never":
            continue
        standing = case.standing_in(tote.name)
        for day in case.days_of_entry(standing):
            filling = [batch for batch in standing if enters(batch) == day]
            litres = sum(case.crop(batch).litres_a_plant * batch.plants for batch in filling)
            if litres > USABLE_WATER * tote.litres + 1e-9:
                told = f"{litres:.1f} L, of {USABLE_WATER * tote.litres:.1f} L that may be drawn from it"
                yield filling, day, f"The plants that enter tote {tote.name} on {day} need {told}"


def tote_stays_where_it_is(case: Case) -> Iterator[Finding]:
    """A batch stands at one place from transplant to clearing: its tote is in use and does not move.

    What stands where it can stay no longer is cleared on the first day at home.
    """
    for batch in case.live:
        if not case.is_entering(batch) and leaves(batch) == case.first_day_at_home():
            continue
        tote = case.garden.tote(batch.tote)
        from_on = enters(batch) if case.is_entering(batch) else max(enters(batch), case.today)
        days = (from_on + index * _ONE_DAY for index in range((leaves(batch) - from_on).days))
        elsewhere = next((day for day in days if case.garden.place_of(tote, day) != batch.place), None)
        if elsewhere is not None:
            told = f"is not at {batch.place} on {elsewhere}, with {_label(batch)} in it"
            yield (batch,), elsewhere, f"Tote {tote.name} {told}"


def resting_totes_stand_empty(case: Case) -> Iterator[Finding]:
    """Nothing enters or stands in a tote while it is out of use."""
    for rest in case.resting:
        for batch in case.entering:
            if batch.tote == rest.tote and enters(batch) < rest.until_on and rest.from_on < leaves(batch):
                day = max(enters(batch), rest.from_on)
                yield (batch,), day, f"{_label(batch)} stands in tote {rest.tote} on {day}, while it is out of use"


def cleared_in_time(case: Case) -> Iterator[Finding]:
    """Nothing grows past the garden's `clear_by`, but for what stands and nobody is at home to clear by then."""
    clear_by = case.garden.clear_by
    for batch in case.live:
        is_forced = not case.is_entering(batch) and leaves(batch) == case.first_day_at_home()
        if clear_by is not None and leaves(batch) > clear_by and not is_forced:
            yield (batch,), leaves(batch), f"{_label(batch)} stands until {leaves(batch)}, past {clear_by}"


RULES: tuple[Callable[[Case], Iterator[Finding]], ...] = (
    ids_are_distinct,
    facts_are_kept,
    stages_are_in_order,
    crop_serves_its_want,
    sown_on_a_chore_day,
    sowing_days_lie_apart,
    sowings_are_large_enough,
    few_crops_a_sowing_day,
    cells_are_enough,
    seeds_are_enough,
    nursery_holds_all,
    emerges_as_it_grows,
    transplanted_when_ready,
    pots_are_not_transplanted,
    harvested_on_a_harvest_day,
    harvested_when_due,
    latest_day_is_told,
    harvests_are_numbered,
    what_is_planted_is_harvested,
    no_more_harvests_than_it_gives,
    harvests_take_its_own_plants,
    weighs_what_it_grows_to,
    cleared_with_its_last_harvest,
    holes_are_in_the_lid,
    one_plant_a_hole,
    still_totes_are_filled_at_once,
    room_in_the_tote,
    crop_fits_the_system,
    lamps_light_all,
    weeks_keep_to_their_minutes,
    reservoir_suits_all,
    fruit_stands_alone,
    water_lasts,
    tote_stays_where_it_is,
    resting_totes_stand_empty,
    cleared_in_time,
)


def _breach(rule: str, batches: Sequence[Batch], day: date | None, sentence: str) -> Breach:
    return Breach(
        rule=rule.replace("_", " "),
        batches=tuple(batch.id for batch in batches),
        day=day,
        sentence=sentence[0].upper() + sentence[1:],
    )


def _unknown_names(garden: Garden, batches: Sequence[Batch]) -> Iterator[Breach]:
    """Give the batches to come whose crop, tote or place is unknown; no other rule can be asked of them."""
    for batch in batches:
        missing = _missing(garden, batch)
        if missing and is_live(batch):
            yield _breach("names are known", (batch,), None, f"{_label(batch)} names unknown {missing}")


def _missing(garden: Garden, batch: Batch) -> str:
    known = (
        (f"crop {batch.crop}", batch.crop in garden.crops),
        (f"tote {batch.tote}", not batch.tote or any(tote.name == batch.tote for tote in garden.totes)),
        (f"place {batch.place}", not batch.place or any(place.name == batch.place for place in garden.places)),
    )
    return ", ".join(name for name, is_known in known if not is_known)


def _label(batch: Batch) -> str:
    return f"batch {batch.id} ({batch.crop})"


def _span(window: tuple[date, date]) -> str:
    return f"its days from {window[0]} to {window[1]}"


def _listed(holes: Sequence[int]) -> str:
    return ", ".join(str(hole) for hole in holes) or "none"


def _entry(batch: Batch, fact: Batch) -> tuple[object, ...]:
    """Give how a batch was sown, and where and when it was transplanted if by `fact` it has been."""
    sown = (batch.crop, batch.want, batch.sown_on, batch.cells, batch.seeds)
    return sown if fact.transplanted_on is None else (*sown, batch.tote, batch.holes, batch.transplanted_on)


def _by_sowing_day(case: Case) -> dict[date, list[Batch]]:
    by_day: dict[date, list[Batch]] = {}
    for batch in sorted(case.batches, key=lambda batch: batch.sown_on):
        by_day.setdefault(batch.sown_on, []).append(batch)
    return by_day


def _any_planned(batches: Iterable[Batch]) -> bool:
    return any(batch.state == "planned" for batch in batches)


def _in_common(one: Band, other: Band) -> bool:
    return max(one.tolerated[0], other.tolerated[0]) <= min(one.tolerated[1], other.tolerated[1])
