"""The exact program: every rule of a legal plan and the measure, as rows over whole numbers of plants.

Takes candidates; gives a `Model`: a program for the solver and the meaning of its columns.  Each rule is one named
function, and `RULES` applies them: that list is the table of contents.  Where a group has one tote the rows are the
rules; where it has several, they are what all legal plans keep, so that a bound on the program is a bound on the
plans, and `totes.name_totes` decides whether the solution can be lived.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, field
from itertools import combinations

from steadysow.growth.germination import cell_success
from steadysow.growth.uptake import USABLE_WATER
from steadysow.inputs.crops import Crop, share_reservoir
from steadysow.inputs.garden import Want
from steadysow.plan.minutes import WORK_MINUTES, upkeep_plants
from steadysow.search.candidates import Candidates, PlantState, Sowing, Step, ToteGroup
from steadysow.search.solver import ALWAYS, Program

Terms = dict[int, float]

# How much harvest out of its share [g or heads] weighs as much as a batch that is lost: more than there can be.
LOST_PENALTY = 1e6

# Jobs a person likes to do on one day, a tote to scrub besides, and how many sowings one job less on a longer day is
# worth: our estimate.
JOBS_A_DAY, LONG_DAY_PRICE = 4, 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Lot:
    """What is harvested for a want in one week and good until another: the unit that is eaten, kept or spoils."""

    want: str
    week: int
    last_week: int


@dataclass(slots=True)
class Model:
    """A program and what its columns mean; aims are terms to be maximised."""

    candidates: Candidates
    weeks: int
    program: Program = field(default_factory=Program)
    sowings: list[int] = field(default_factory=list)
    steps: list[int] = field(default_factory=list)
    units: list[int] = field(default_factory=list)
    sowing_days: dict[int, int] = field(default_factory=dict)
    crop_days: dict[tuple[str, int], int] = field(default_factory=dict)
    choices: dict[tuple[int, int, int], int] = field(default_factory=dict)
    served: dict[tuple[str, int], int] = field(default_factory=dict)
    eaten: dict[Lot, dict[int, int]] = field(default_factory=dict)
    wanted: dict[tuple[str, int], float] = field(default_factory=dict)
    leftovers: Mapping[Lot, float] = field(default_factory=dict)
    starting: dict[PlantState, list[int]] = field(default_factory=dict)
    ending: dict[PlantState, list[int]] = field(default_factory=dict)
    index: dict[Step, int] = field(default_factory=dict)
    # By column the begun batch of plants that stand in their tote already.
    facts: dict[int, int] = field(default_factory=dict)
    # By sowing the column that counts its cells.
    cells: dict[Sowing, int] = field(default_factory=dict)
    # By week the minutes that are decided, as terms, where they are limited; and columns that say of a week whether
    # what has begun takes more of them than there are.
    minutes: dict[int, Terms] = field(default_factory=dict)
    overfull: list[int] = field(default_factory=list)

    def served_share(self, first: int, until: float) -> Terms:
        """Give the served share of the weeks from `first` up to, not including, `until`, as terms."""
        importance = {want.name: want.importance for want in self.candidates.garden.wants}
        cells = [key for key in self.served if first <= key[1] < until]
        total = sum(importance[want] for want, _ in cells)
        return {self.served[key]: importance[key[0]] / total / self.wanted[key] for key in cells}

    def supply(self) -> dict[Lot, Terms]:
        """Give what each lot receives, as terms in the unit of its want."""
        supply: dict[Lot, Terms] = defaultdict(dict)
        for s, step in enumerate(self.candidates.steps):
            lot = self.lot_of(step)
            if lot is not None:
                supply[lot][self.steps[s]] = self.units[s] * self.amount(step)
        return supply

    def amount(self, step: Step) -> float:
        """Give what one plant yields at the end of a step, in the unit of its want."""
        return amount_of(self.candidates, step)

    def lot_of(self, step: Step) -> Lot | None:
        """Give the lot that a step's harvest falls into."""
        return lot_of(self.candidates, step)

    def line_crop(self, step: Step) -> Crop:
        """Give the crop of a step."""
        return self.candidates.lines[step.line].crop

    def size(self, step: Step) -> float:
        """Give the part of a tote's room that one plant of a step takes."""
        return 1 / self.candidates.groups[step.group].carried[self.line_crop(step).name]

    def occupied(self, step: Step) -> tuple[int, int]:
        """Give the days for which a step adds its plants to what occupies the holes, turnaround included.

        A plant that goes on is counted by the step before it until that step's turnaround is over, hence the later
        start.
        """
        turn = self.candidates.garden.turnaround_days
        start = step.from_day + turn if step.after and step.start in self.ending else step.from_day
        return start, step.to_day + turn


def build(
    candidates: Candidates,
    *,
    weeks: int,
    wanted: Mapping[tuple[str, int], float],
    leftovers: Mapping[Lot, float],
) -> Model:
    """Turn candidates into the program.

    Parameters
    ----------
    candidates
        What could be.
    weeks
        Number of planned weeks; what the candidates reach beyond them is the tail.
    wanted
        Amount by want and week, tail included, where something is wanted and in reach.
    leftovers
        What earlier harvests left in the fridge.
    """
    model = Model(candidates=candidates, weeks=weeks, wanted=dict(wanted), leftovers=leftovers)
    _columns(model)
    for rule in RULES:
        rule(model)
    return model


def _columns(model: Model) -> None:
    program, candidates = model.program, model.candidates
    most = {
        line.crop.name: sum(len(group.totes) * group.carried.get(line.crop.name, 0) for group in candidates.groups)
        for line in candidates.lines
    }
    for sowing in candidates.sowings:
        crop = candidates.lines[sowing.line].crop.name
        model.sowings.append(program.whole(most[crop], when=sowing.transplant_day))
    for s, step in enumerate(candidates.steps):
        # Heads leave one by one, but cleared with nothing taken only as a batch.
        whole = step.begun is not None and (model.line_crop(step).harvest.kind != "head" or step.number == 0)
        plants = model.candidates.begun[step.begun].plants_left if step.begun is not None else 1
        model.units.append(plants if whole else 1)
        limit = 1 if whole else plants if step.begun is not None else most[model.line_crop(step).name]
        # What began in the past is decided from today on.
        when = max(step.from_day, candidates.today)
        model.steps.append(program.whole(limit, when=when, begun=step.begun is not None, follows=step.after > 0))
        model.index[step] = s
        if step.begun is not None and candidates.begun[step.begun].transplanted_on is not None:
            model.facts[model.steps[s]] = step.begun
        model.starting.setdefault(step.start, []).append(s)
        if step.number:
            model.ending.setdefault(step.end, []).append(s)
    for day in candidates.sowing_days:
        model.sowing_days[day] = program.whole(1, when=ALWAYS)
    for sowing in candidates.sowings:
        key = (candidates.lines[sowing.line].crop.name, sowing.sown_day)
        if key not in model.crop_days:
            model.crop_days[key] = program.whole(1, when=ALWAYS)


# --- the rules ---


def sowing_days_keep_their_distance(model: Model) -> None:
    """Sowing days are at least `every_days` apart."""
    days = sorted(model.sowing_days)
    for first in days:
        close = [day for day in days if first <= day < first + model.candidates.garden.sowing.every_days]
        if len(close) > 1:
            model.program.row({model.sowing_days[day]: 1.0 for day in close}, most=1)


def sowings_are_few_and_large_enough(model: Model) -> None:
    """A sowing is at least `smallest` plants of a crop, or all the holes of totes in use that day.

    A day has at most `crops_a_day` crops.
    """
    rules, candidates, program = model.candidates.garden.sowing, model.candidates, model.program
    plants: dict[tuple[str, int], list[int]] = defaultdict(list)
    for column, sowing in zip(model.sowings, candidates.sowings, strict=True):
        plants[(candidates.lines[sowing.line].crop.name, sowing.sown_day)].append(column)
    crops_of_day: dict[int, list[int]] = defaultdict(list)
    for (crop, day), columns in plants.items():
        is_sown = model.crop_days[(crop, day)]
        # What is planted on several days may take a hole more than once.
        holes = sum(len(group.totes) * group.carried.get(crop, 0) for group in candidates.groups)
        most = len(columns) * holes
        if _in_nursery(model, crop):
            most = min(most, candidates.garden.nursery.cells)
        terms = dict.fromkeys(columns, 1.0)
        before = candidates.sown_today.get(crop, 0) if day == candidates.today else 0
        least = max(1, min(rules.smallest, holes_in_use(candidates, crop, day)) - before)
        program.row({**terms, is_sown: -least}, least=0)
        program.row({**terms, is_sown: -most}, most=0)
        program.row({is_sown: 1, model.sowing_days[day]: -1}, most=0)
        if not before:
            crops_of_day[day].append(is_sown)
    for day, columns in crops_of_day.items():
        most = rules.crops_a_day - (len(candidates.sown_today) if day == candidates.today else 0)
        if len(columns) > most:
            program.row({**dict.fromkeys(columns, 1.0), model.sowing_days[day]: -max(0, most)}, most=0)


def what_is_sown_is_transplanted(model: Model) -> None:
    """All plants sown for a transplant day are planted that day, in one group or another."""
    sown: dict[tuple[int, int], Terms] = defaultdict(dict)
    for column, sowing in zip(model.sowings, model.candidates.sowings, strict=True):
        sown[(sowing.line, sowing.transplant_day)][column] = 1.0
    for s, step in enumerate(model.candidates.steps):
        if step.begun is None and step.after == 0:
            terms = sown[(step.line, step.from_day)]
            terms[model.steps[s]] = -1.0
    for terms in sown.values():
        model.program.row(terms, least=0, most=0)


def plants_go_on_or_are_cleared(model: Model) -> None:
    """What goes on from a harvest is at most what came to it."""
    for state, leaving in model.starting.items():
        arriving = model.ending.get(state, [])
        begins = state[4] == 0 or (state[2] is not None and not arriving)
        if not begins:
            terms = {model.steps[s]: float(model.units[s]) for s in leaving}
            terms.update({model.steps[s]: -float(model.units[s]) for s in arriving})
            model.program.row(terms, most=0)


def begun_batches_are_facts(model: Model) -> None:
    """A batch that stands goes on from where it is, whole.

    One that waits is planted whole, on one day, in one group; it is lost only if there is no way to plant it.
    """
    for b, batch in enumerate(model.candidates.begun):
        starts = [state for state in model.starting if state[2] == b and state not in model.ending]
        if batch.transplanted_on is not None:
            for state in starts:
                terms = {model.steps[s]: float(model.units[s]) for s in model.starting[state]}
                can_clear = any(model.candidates.steps[s].number == 0 for s in model.starting[state])
                left = batch.plants_left
                model.program.row(terms, least=left if can_clear else 0, most=left)
            continue
        if starts:
            for state in starts:
                choice = model.choices[(b, state[1], state[5])] = model.program.whole(1, when=state[5], begun=True)
                terms = {model.steps[s]: float(model.units[s]) for s in model.starting[state]}
                model.program.row({**terms, choice: -batch.plants}, least=0, most=0)
            chosen = {column: 1.0 for key, column in model.choices.items() if key[0] == b}
            is_lost = model.program.part(1, penalty=LOST_PENALTY)
            model.program.row({**chosen, is_lost: 1.0}, least=1, most=1)


def a_tote_has_only_so_many_holes(model: Model) -> None:
    """On every day something is planted, holes taken or in turnaround are no more than a group's dwc totes have."""
    for g, group in enumerate(model.candidates.groups):
        if group.system == "dwc":
            for day, terms in _by_day(model, g, lambda _: 1.0, turnaround=True).items():
                turning = [
                    each for each in model.candidates.turnarounds if each.tote in group.totes and day < each.until_day
                ]
                _within(model, terms, len(group.totes) * group.holes - len(turning))


def a_tote_carries_only_so_much(model: Model) -> None:
    """On every day something is planted, what stands in a group's dwc totes takes no more room than there is."""
    for g, group in enumerate(model.candidates.groups):
        if group.system == "dwc" and not set(group.carried.values()) <= {group.holes}:
            scale = _scale(group)
            for terms in _by_day(model, g, model.size).values():
                row = {column: scale * value for column, value in terms.items()}
                _within(model, row, len(group.totes) * scale)


def _within(model: Model, terms: Terms, most: float) -> None:
    """Keep what stands within a limit; where facts alone pass it, nothing is added until they no longer do."""
    there: dict[int, float] = {}
    for column, value in terms.items():
        begun = model.facts.get(column)
        if begun is not None:
            there[begun] = max(there.get(begun, 0.0), value * model.program.upper[column])
    standing = sum(there.values())
    if standing <= most + 1e-9:
        model.program.row(terms, most=most)
        return
    is_over = model.program.whole(1, when=ALWAYS, begun=True)
    model.program.row({**terms, is_over: most - standing}, most=most)
    added = {column: value for column, value in terms.items() if column not in model.facts}
    model.program.row({**added, is_over: most}, most=most)


def _by_day(model: Model, g: int, weight: Callable[[Step], float], *, turnaround: bool = False) -> dict[int, Terms]:
    """Give by chore day the weighted plants that stand in a group, or whose holes are taken, `turnaround` included."""
    rows: dict[int, Terms] = defaultdict(dict)
    for s, step in _steps_in(model, g):
        value = weight(step) * model.units[s]
        if value:
            start, end = model.occupied(step) if turnaround else (step.from_day, step.to_day)
            for day in _days_between(model, start, end):
                rows[day][model.steps[s]] = value
    return rows


def a_still_tote_is_filled_once(model: Model) -> None:
    """All plants of a kratky tote enter on one day, and none until all before have left and turnaround has passed.

    A filling is a whole number of totes, by the day they are planted and the day the last plant leaves.
    """
    for g, group in enumerate(model.candidates.groups):
        if group.system != "kratky":
            continue
        by_entry: dict[int, list[tuple[int, Step]]] = defaultdict(list)
        standing: dict[str, dict[int, list[tuple[int, Step]]]] = defaultdict(lambda: defaultdict(list))
        for s, step in _steps_in(model, g):
            batch = model.candidates.begun[step.begun] if step.begun is not None else None
            if batch is not None and batch.transplanted_on is not None:
                standing[batch.tote][batch.id].append((s, step))
            else:
                by_entry[step.entered_day].append((s, step))
        busy: dict[int, Terms] = {day: {} for day in model.candidates.chore_days}
        for entered, steps in by_entry.items():
            _fill(model, group, entered, steps, busy)
        for batches in standing.values():
            _standing_fill(model, batches, busy)
        # A tote with plants in it counts as busy until turnaround after the last of them.
        filled = {*standing}
        for day, terms in busy.items():
            turns = {each.tote for each in model.candidates.turnarounds if day < each.until_day}
            turning = turns & {*group.totes} - filled
            if terms:
                model.program.row(terms, most=len(group.totes) - len(turning))


def _fill(model: Model, group: ToteGroup, entered: int, steps: list[tuple[int, Step]], busy: dict[int, Terms]) -> None:
    program, scale, turn = model.program, _scale(group), model.candidates.garden.turnaround_days
    ends = sorted({step.to_day for _, step in steps})
    fills = {end: program.whole(len(group.totes), when=entered, begun=True) for end in ends}
    for end in ends:
        terms: Terms = {fills[later]: -scale for later in ends if later >= end}
        for s, step in steps:
            if step.from_day < end <= step.to_day or (step.after == 0 and end <= step.to_day):
                terms[model.steps[s]] = model.units[s] * model.size(step) * scale
        program.row(terms, most=0)
        for day in _days_between(model, entered, end + turn):
            busy[day][fills[end]] = 1.0
    if not group.refilled:
        drunk: Terms = dict.fromkeys(fills.values(), -USABLE_WATER * group.litres)
        drunk.update(
            {
                model.steps[s]: model.units[s] * model.line_crop(step).litres_a_plant
                for s, step in steps
                if not step.after
            }
        )
        program.row(drunk, most=0)


def _standing_fill(model: Model, batches: Mapping[int, list[tuple[int, Step]]], busy: dict[int, Terms]) -> None:
    """Keep a begun filling's tote busy until the last of its batches has left."""
    for day in model.candidates.chore_days:
        is_busy = model.program.whole(1, when=ALWAYS, begun=True)
        busy[day][is_busy] = 1.0
        for steps in batches.values():
            terms = {
                model.steps[s]: model.units[s] * model.size(step)
                for s, step in steps
                if model.occupied(step)[0] <= day < model.occupied(step)[1]
            }
            if terms:
                model.program.row({**terms, is_busy: -1.0}, most=0)


def a_lamp_lights_only_so_many(model: Model) -> None:
    """Under a lamp stand at most the plants it lights."""
    for place in model.candidates.garden.places:
        limit = place.lights
        if limit is None:
            continue
        rows: dict[int, Terms] = {day: {} for day in (model.candidates.today, *model.candidates.chore_days)}
        for s, step in enumerate(model.candidates.steps):
            for spell in model.candidates.groups[step.group].spells:
                if (
                    spell.place == place.name
                    and spell.from_day <= max(step.from_day, model.candidates.today) < spell.until_day
                ):
                    for day in _days_between(model, step.from_day, step.to_day):
                        rows[day][model.steps[s]] = float(model.units[s])
        for terms in rows.values():
            if sum(coefficient * model.program.upper[column] for column, coefficient in terms.items()) > limit:
                _within(model, terms, limit)


def the_nursery_has_only_so_many_cells(model: Model) -> None:
    """Seedlings wait in cells from sowing to transplant; spare cells cover those in which nothing comes up.

    What is sown and planted together has as many cells as plants over the chance that a cell holds a seedling,
    rounded up.
    """
    candidates = model.candidates
    rows: dict[int, Terms] = {day: {} for day in sorted({candidates.today, *candidates.sowing_days})}
    for column, sowing in zip(model.sowings, candidates.sowings, strict=True):
        crop = candidates.lines[sowing.line].crop
        if crop.sown_in == "pot":
            continue
        cells = model.cells[sowing] = model.program.whole(candidates.garden.nursery.cells, when=ALWAYS)
        model.program.row({cells: 1.0, column: -1 / cell_success(crop)}, least=-1e-9)
        for day in rows:
            if sowing.sown_day <= day < sowing.transplant_day:
                rows[day][cells] = 1.0
    for (b, _, planted), column in model.choices.items():
        for day in rows:
            if day < planted:
                rows[day][column] = float(candidates.begun[b].cells)
    # Seedlings that wait are facts: they may be more than the nursery was meant for, but nothing new comes on top.
    waiting = sum(batch.cells for batch in candidates.begun if batch.transplanted_on is None)
    room = candidates.garden.nursery.cells
    chosen = set(model.choices.values())
    for terms in rows.values():
        model.program.row(terms, most=max(room, waiting))
        if waiting > room:
            model.program.row({column: value for column, value in terms.items() if column not in chosen}, most=0)


def a_week_has_only_so_many_minutes(model: Model) -> None:
    """In each week work and upkeep take at most `chore_minutes_a_week`.

    To a week that begun batches alone overfill nothing is added, neither work nor upkeep.
    """
    limit, program = model.candidates.garden.chore_minutes_a_week, model.program
    if limit is None:
        return
    begun, most = _minutes_of_begun(model)
    added = _minutes_added(model)
    for week in sorted(added):
        spent = model.candidates.spent.get(week, 0.0)
        terms = model.minutes[week] = {**begun[week], **added[week]}
        if spent + sum(most[week].values()) <= limit:
            program.row(terms, most=limit - spent)
            continue
        is_over = program.whole(1, when=ALWAYS, begun=True)
        model.overfull.append(is_over)
        # More than all that has begun can take is no limit.
        program.row({**terms, is_over: limit - spent - sum(most[week].values())}, most=limit - spent)
        program.row({**added[week], is_over: limit}, most=limit)


def _minutes_added(model: Model) -> dict[int, Terms]:
    """Give by week the minutes that new sowings take, as terms."""
    candidates = model.candidates
    weeks: dict[int, Terms] = defaultdict(lambda: defaultdict(float))
    for (crop, day), column in model.crop_days.items():
        # More of what has been sown today is the same sowing.
        if day != candidates.today or crop not in candidates.sown_today:
            weeks[day // 7][column] += WORK_MINUTES.sowing
    for column, sowing in zip(model.sowings, candidates.sowings, strict=True):
        weeks[sowing.sown_day // 7][model.cells.get(sowing, column)] += WORK_MINUTES.cell
        if candidates.lines[sowing.line].crop.sown_in == "nursery":
            weeks[sowing.transplant_day // 7][column] += WORK_MINUTES.transplant
    for s, step in enumerate(candidates.steps):
        if step.begun is None:
            for week, minutes in minutes_of(candidates, step, goes_on=step.start in model.ending).items():
                weeks[week][model.steps[s]] += minutes
    return weeks


def _minutes_of_begun(model: Model) -> tuple[dict[int, Terms], dict[int, dict[tuple[int, int], float]]]:
    """Give by week the minutes that what has begun is still to take, as terms; and the most that it can take.

    The most is told by batch and by number of the harvest, since a plant has no harvest twice.
    """
    candidates = model.candidates
    weeks: dict[int, Terms] = defaultdict(lambda: defaultdict(float))
    most: dict[int, dict[tuple[int, int], float]] = defaultdict(lambda: defaultdict(float))
    for (b, _, day), column in model.choices.items():
        batch = candidates.begun[b]
        minutes = WORK_MINUTES.transplant * batch.plants
        weeks[day // 7][column] += minutes
        most[day // 7][(b, -1)] = minutes
    for s, step in enumerate(candidates.steps):
        if step.begun is None:
            continue
        plants = model.candidates.begun[step.begun].plants_left
        for week, minutes in minutes_of(candidates, step, goes_on=step.start in model.ending).items():
            weeks[week][model.steps[s]] += minutes * model.units[s]
            key = (step.begun, step.number)
            most[week][key] = max(most[week][key], minutes * plants)
    return weeks, most


def a_reservoir_suits_all_who_share_it(model: Model) -> None:
    """Crops that stand in one tote have a common tolerated EC and pH, and fruit stands alone.

    Exact in a group of one tote.  In a larger group only the totes that fruit takes for itself are counted, which
    every legal plan keeps too.
    """
    for g, group in enumerate(model.candidates.groups):
        crops = sorted({model.line_crop(step).name for _, step in _steps_in(model, g)})
        by_name = {line.crop.name: line.crop for line in model.candidates.lines}
        apart = [pair for pair in combinations(crops, 2) if not share_reservoir(by_name[pair[0]], by_name[pair[1]])]
        if not apart:
            continue
        if len(group.totes) == 1:
            involved = sorted({name for pair in apart for name in pair})
            _keep_apart(model, g, involved, apart)
        else:
            standing = _standing_by_day(model, g)
            for day, taken in _count_whole_totes(model, g).items():
                others = {c: v for c, (crop, v) in standing[day].items() if not by_name[crop].is_fruit}
                model.program.row({**others, **taken}, most=len(group.totes))


def _keep_apart(model: Model, g: int, crops: list[str], apart: list[tuple[str, str]]) -> None:
    """Keep pairs of crops apart; two that facts brought together are each kept from what is added of the other."""

    def is_there(terms: Terms) -> int | None:
        if not terms:
            return None
        column = model.program.whole(1, when=ALWAYS, begun=True)
        # Facts may fill more of a tote than it carries.
        most = max(1.0, sum(value for c, value in terms.items() if c in model.facts))
        model.program.row({**terms, column: -most}, most=0)
        return column

    for standing in _standing_by_day(model, g).values():
        by_crop = {name: {c: v for c, (crop, v) in standing.items() if crop == name} for name in crops}
        present = {name: is_there(terms) for name, terms in by_crop.items()}
        added: dict[str, int | None] = {}
        for pair in apart:
            are_facts = all(model.facts.keys() & by_crop[name].keys() for name in pair)
            if not are_facts:
                _not_both(model, present[pair[0]], present[pair[1]])
                continue
            for name in pair:
                if name not in added:
                    added[name] = is_there({c: v for c, v in by_crop[name].items() if c not in model.facts})
            _not_both(model, added[pair[0]], present[pair[1]])
            _not_both(model, present[pair[0]], added[pair[1]])


def _not_both(model: Model, first: int | None, second: int | None) -> None:
    if first is not None and second is not None:
        model.program.row({first: 1, second: 1}, most=1)


def _count_whole_totes(model: Model, g: int) -> dict[int, Terms]:
    """Give by day the totes of a group that fruit takes for itself, as terms."""
    totes = len(model.candidates.groups[g].totes)
    fruit = {line.crop.name for line in model.candidates.lines if line.crop.is_fruit}
    taken: dict[int, Terms] = defaultdict(dict)
    for day, standing in _standing_by_day(model, g).items():
        for name in fruit:
            terms = {c: v for c, (crop, v) in standing.items() if crop == name}
            if terms:
                column = model.program.whole(totes, when=ALWAYS, begun=True)
                model.program.row({**terms, column: -1.0}, most=0)
                taken[day][column] = 1.0
    return taken


def _standing_by_day(model: Model, g: int) -> dict[int, dict[int, tuple[str, float]]]:
    """Give the crop and room of each step's plants standing on each day that something may be planted."""
    days: dict[int, dict[int, tuple[str, float]]] = {day: {} for day in model.candidates.chore_days}
    for s, step in _steps_in(model, g):
        for day in _days_between(model, step.from_day, step.to_day):
            days[day][model.steps[s]] = (model.line_crop(step).name, model.units[s] * model.size(step))
    return days


def what_is_eaten_was_harvested(model: Model) -> None:
    """A lot is eaten while it is good, once; a week eats no more than it wants, and holds nothing back.

    Holding back could pay only where a later week wants less than an earlier one (its share of one gram is larger):
    there a yes-or-no column says that a week which goes short carries nothing over, as a household would eat.
    """
    program = model.program
    supply = model.supply()
    for key, amount in model.wanted.items():
        model.served[key] = program.part(amount)
    for lot in sorted({*supply, *model.leftovers}, key=lambda lot: (lot.want, lot.week, lot.last_week)):
        weeks = [j for j in range(max(0, lot.week), lot.last_week + 1) if (lot.want, j) in model.wanted]
        if weeks:
            model.eaten[lot] = {j: program.part(math.inf) for j in weeks}
            terms = dict.fromkeys(model.eaten[lot].values(), 1.0)
            terms.update({column: -amount for column, amount in supply.get(lot, {}).items()})
            program.row(terms, most=model.leftovers.get(lot, 0.0))
    for (want, week), column in model.served.items():
        terms = {eaten[week]: -1.0 for lot, eaten in model.eaten.items() if lot.want == want and week in eaten}
        program.row({**terms, column: 1.0}, most=0)
    _hold_nothing_back(model)


def _hold_nothing_back(model: Model) -> None:
    for (want, week), column in model.served.items():
        lots = [lot for lot in model.eaten if lot.want == want and lot.week <= week < lot.last_week]
        later = {j for lot in lots for j in range(week + 1, lot.last_week + 1)}
        amount = model.wanted[(want, week)]
        if all(model.wanted.get((want, j), amount) >= amount for j in later):
            continue
        is_short = model.program.whole(1, when=ALWAYS, begun=True)
        model.program.row({column: 1.0, is_short: amount}, least=amount)
        carried: Terms = {}
        most = 0.0
        for lot in lots:
            most += sum(model.wanted[(want, j)] for j in model.eaten[lot] if j > week)
            carried.update({c: 1.0 for j, c in model.eaten[lot].items() if j > week})
        model.program.row({**carried, is_short: most}, most=most)


def crops_keep_their_share(model: Model) -> None:
    """The least and most shares of a want's crops hold over all that is harvested for it in the planned weeks."""
    for want in model.candidates.garden.wants:
        harvested: Terms = {}
        by_crop: dict[str, Terms] = defaultdict(dict)
        for s, step in enumerate(model.candidates.steps):
            if step.number and model.candidates.lines[step.line].want == want.name and step.to_day < 7 * model.weeks:
                amount = model.units[s] * model.amount(step)
                harvested[model.steps[s]] = by_crop[model.line_crop(step).name][model.steps[s]] = amount
        for serving in want.servings:
            own = by_crop.get(serving.crop)
            if own is None:
                continue
            for share, sign in ((serving.least, -1.0), (serving.most, 1.0)):
                if 0.0 < share < 1.0:
                    terms = {c: sign * (own.get(c, 0.0) - share * amount) for c, amount in harvested.items()}
                    slack = model.program.part(math.inf, penalty=1.0)
                    model.program.row({**terms, slack: -1.0}, most=0)


RULES = (
    sowing_days_keep_their_distance,
    sowings_are_few_and_large_enough,
    what_is_sown_is_transplanted,
    plants_go_on_or_are_cleared,
    begun_batches_are_facts,
    a_tote_has_only_so_many_holes,
    a_tote_carries_only_so_much,
    a_still_tote_is_filled_once,
    a_lamp_lights_only_so_many,
    the_nursery_has_only_so_many_cells,
    a_week_has_only_so_many_minutes,
    a_reservoir_suits_all_who_share_it,
    what_is_eaten_was_harvested,
    crops_keep_their_share,
)


# --- what an easy plan is ---


def ease(model: Model) -> Terms:
    """Add what makes a plan hard, and give it as terms to be maximised.

    Deep gaps come first, and weeks that what has begun overfills; then days with work, then sowings, each outweighing
    all of the next together; then days with many jobs, plants grown for nothing, and surplus.
    """
    program, days = model.program, 7 * model.weeks
    sown = [column for (_, day), column in model.crop_days.items() if day < days]
    terms: Terms = dict.fromkeys(sown, -1.0)
    work = _work_days(model)
    sowing_weight = len(sown) + 1.0
    terms.update(dict.fromkeys(work, -_rounded_up(sowing_weight)))
    gap_weight = _rounded_up(sowing_weight) * (len(work) + 1)
    for (want, week), column in model.served.items():
        if week < model.weeks:
            gap = program.whole(1, when=ALWAYS, begun=True)
            half = model.wanted[(want, week)] / 2
            program.row({column: 1.0, gap: half}, least=half)
            terms[gap] = -_rounded_up(gap_weight)
    terms.update(_surplus(model))
    terms.update(dict.fromkeys(_long_days(model), -LONG_DAY_PRICE))
    terms.update(dict.fromkeys(model.overfull, -_rounded_up(gap_weight)))
    return terms


def fewest_lives(model: Model, *, but_for: Collection[int] = ()) -> Terms:
    """Add a yes-or-no for each step and sowing that is used, and for each crop harvested on a day; fewer are better.

    The fewer differ, the fewer and larger are the batches, and the shorter a day's list of chores.  Columns that are
    left out, with `but_for`, count nothing.
    """
    program = model.program
    used = {}
    for column in (*model.sowings, *model.steps):
        if column in but_for:
            continue
        used[column] = program.whole(1, when=ALWAYS, begun=True)
        program.row({column: 1.0, used[column]: -program.upper[column]}, most=0)
    harvested: dict[tuple[str, int], list[int]] = defaultdict(list)
    for column, step in zip(model.steps, model.candidates.steps, strict=True):
        if step.number and column in used:
            harvested[(model.line_crop(step).name, step.to_day)].append(used[column])
    terms: Terms = dict.fromkeys(used.values(), -1.0)
    for columns in harvested.values():
        is_harvested = program.whole(1, when=ALWAYS, begun=True)
        for column in columns:
            program.row({column: 1.0, is_harvested: -1.0}, most=0)
        terms[is_harvested] = -1.0
    return terms


def _rounded_up(number: float) -> float:
    """Round up to a power of ten, for weights that a reader of the program can tell apart."""
    return 10.0 ** math.ceil(math.log10(number))


def _work_days(model: Model) -> list[int]:
    garden = model.candidates.garden
    most = 2.0 * (sum(tote.holes for tote in garden.totes) + garden.nursery.cells)
    columns: dict[int, Terms] = defaultdict(dict)
    for column, sowing in zip(model.sowings, model.candidates.sowings, strict=True):
        columns[sowing.transplant_day][column] = 1.0
    for s, step in enumerate(model.candidates.steps):
        if step.number:
            columns[step.to_day][model.steps[s]] = 1.0
    work = []
    for day, terms in columns.items():
        if day < 7 * model.weeks:
            is_work = model.program.whole(1, when=ALWAYS, begun=True)
            work.append(is_work)
            if day in model.sowing_days:
                model.program.row({model.sowing_days[day]: 1.0, is_work: -1.0}, most=0)
            model.program.row({**terms, is_work: -most}, most=0)
    return work


def _long_days(model: Model) -> list[int]:
    """Add how many jobs a day has beyond what a person likes to do: each crop harvested, the planting, the sowing."""
    program, candidates = model.program, model.candidates
    works: dict[tuple[str, int], Terms] = defaultdict(dict)
    for column, step in zip(model.steps, candidates.steps, strict=True):
        if step.number:
            works[(model.line_crop(step).name, step.to_day)][column] = 1.0
    for column, sowing in zip(model.sowings, candidates.sowings, strict=True):
        works[("", sowing.transplant_day)][column] = 1.0
    most = float(sum(tote.holes for tote in candidates.garden.totes) + candidates.garden.nursery.cells)
    jobs: dict[int, Terms] = defaultdict(dict)
    for (_, day), terms in works.items():
        is_done = program.whole(1, when=ALWAYS, begun=True)
        program.row({**terms, is_done: -most}, most=0)
        jobs[day][is_done] = 1.0
    beyond = []
    for day, terms in jobs.items():
        if day in model.sowing_days:
            terms[model.sowing_days[day]] = 1.0
        if len(terms) > JOBS_A_DAY:
            beyond.append(program.part(math.inf))
            program.row({**terms, beyond[-1]: -1.0}, most=JOBS_A_DAY)
    return beyond


def _surplus(model: Model) -> Terms:
    """Give a small price on all that is harvested, and a larger one on plants that are never harvested."""
    steps = list(zip(model.steps, model.units, model.candidates.steps, strict=True))
    most_grams = sum(sorted((unit * step.grams for _, unit, step in steps), reverse=True)[:200])
    weight = 0.5 / max(1.0, most_grams)
    return {column: -weight * unit * step.grams if step.number else -0.5 * unit for column, unit, step in steps}


# --- small questions that several rules ask ---


def want_of(candidates: Candidates, step: Step) -> Want | None:
    """Give the want a step's harvest is for; ``None`` if the garden does not ask for it any more."""
    name = candidates.lines[step.line].want
    return next((want for want in candidates.garden.wants if want.name == name), None)


def amount_of(candidates: Candidates, step: Step) -> float:
    """Give what one plant yields at the end of a step, in the unit of its want."""
    want = want_of(candidates, step)
    return 1.0 if want is not None and want.unit == "heads" else step.grams


def lot_of(candidates: Candidates, step: Step) -> Lot | None:
    """Give the lot that a step's harvest falls into."""
    want = want_of(candidates, step)
    if want is None or step.number == 0:
        return None
    keeps = want.keeps_days if want.keeps_days is not None else candidates.lines[step.line].crop.keeps_days
    week = step.to_day // 7
    # A harvest on day d of its week serves week j after it only if d + keeps >= 7 j + 4.
    further = max(0, (step.to_day % 7 + keeps - 4) // 7)
    return Lot(want=want.name, week=week, last_week=week + further)


def minutes_of(candidates: Candidates, step: Step, *, goes_on: bool) -> dict[int, float]:
    """Give by week the minutes that one plant takes in a step: upkeep, and the harvest or clearing at its end.

    A plant that goes on from an earlier step was counted there as cleared, which is taken back.
    """
    crop, today = candidates.lines[step.line].crop, candidates.today
    weeks: dict[int, float] = defaultdict(float)
    daily = WORK_MINUTES.upkeep / 7 / upkeep_plants(candidates.groups[step.group].carried.get(crop.name, 0))
    start = step.from_day if step.begun is None else max(step.from_day, today)
    for day in range(start, step.to_day):
        weeks[day // 7] += daily
    if step.number:
        weeks[step.to_day // 7] += WORK_MINUTES.harvest(crop.harvest.kind)
    if step.number == 0 or crop.harvest.kind != "head":
        weeks[step.to_day // 7] += WORK_MINUTES.clear
    if goes_on:
        weeks[step.from_day // 7] -= WORK_MINUTES.clear
    return weeks


def holes_in_use(candidates: Candidates, crop: str, day: int) -> int:
    """Count the plants of a crop that the totes in use on a day can carry."""
    garden, on = candidates.garden, candidates.date_of(day)
    return sum(
        group.carried.get(crop, 0)
        for group in candidates.groups
        for name in group.totes
        if garden.place_of(garden.tote(name), on) is not None
    )


def _in_nursery(model: Model, crop: str) -> bool:
    return any(line.crop.name == crop and line.crop.sown_in == "nursery" for line in model.candidates.lines)


def _steps_in(model: Model, g: int) -> Iterable[tuple[int, Step]]:
    return ((s, step) for s, step in enumerate(model.candidates.steps) if step.group == g)


def _days_between(model: Model, start: int, end: int) -> Iterable[int]:
    return (day for day in model.candidates.chore_days if start <= day < end)


def _scale(group: ToteGroup) -> int:
    """Give a factor that makes whole numbers of the rooms that plants take, where it is small enough to help."""
    scale = math.lcm(*group.carried.values()) if group.carried else 1
    return scale if scale <= 1000 else 1
