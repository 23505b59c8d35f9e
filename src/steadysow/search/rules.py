"""The rules of a legal plan, as rows of the exact program.

Takes `Columns`; adds rows.  Each rule is one function, and `RULES` lists them in the order in which they are applied.
A rule returns what a later rule takes, and `RULES` names what each of them takes; nothing else passes between them.

Where a group has one tote, the rows are exactly the rules.  Where it has several, the rows are looser: every legal plan
keeps them, so a bound on the program is a bound on all plans, and `naming.name_totes` finds out whether the solution
fits into totes.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import combinations

from steadysow.growth.germination import cell_success
from steadysow.growth.uptake import USABLE_WATER
from steadysow.inputs.crops import share_reservoir
from steadysow.search.candidates import Lot, Sowing, Step, ToteGroup
from steadysow.search.columns import Columns
from steadysow.search.solver import ALWAYS, Terms
from steadysow.search.yields import amount_of, holes_in_use, minutes_added, minutes_of_begun, supply_of

# The price of losing a batch, in harvest beyond its share [g or heads]: more than there can be.
LOST_PENALTY = 1e6


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiting:
    """Where and when the batches in the nursery are planted: a column by begun batch, group and day."""

    choices: Mapping[tuple[int, int, int], int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Seedlings:
    """The column that counts the cells of a sowing, by sowing."""

    cells: Mapping[Sowing, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """The minutes of each week, where they are limited.

    Attributes
    ----------
    minutes
        The minutes that are decided, as terms, by week.
    overfull
        Columns that say whether begun batches take more than a week's minutes.
    """

    minutes: Mapping[int, Terms]
    overfull: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Eating:
    """The column that says how much of a want is served in a week, by want and week."""

    served: Mapping[tuple[str, int], int]


def sowing_days_keep_their_distance(columns: Columns) -> None:
    """Sowing days are at least `every_days` apart."""
    days = sorted(columns.sowing_days)
    for first in days:
        close = [day for day in days if first <= day < first + columns.candidates.garden.sowing.every_days]
        if len(close) > 1:
            columns.program.row({columns.sowing_days[day]: 1.0 for day in close}, most=1)


def sowings_are_few_and_large_enough(columns: Columns) -> None:
    """A sowing has at least `smallest` plants of a crop, or all that the totes in use that day hold.

    On one day at most `crops_a_day` crops are sown.
    """
    rules, candidates, program = columns.candidates.garden.sowing, columns.candidates, columns.program
    in_nursery = {line.crop.name for line in candidates.lines if line.crop.sown_in == "nursery"}
    plants: dict[tuple[str, int], list[int]] = defaultdict(list)
    for column, sowing in zip(columns.sowings, candidates.sowings, strict=True):
        plants[(candidates.lines[sowing.line].crop.name, sowing.sown_day)].append(column)
    crops_of_day: dict[int, list[int]] = defaultdict(list)
    for (crop, day), sown in plants.items():
        is_sown = columns.crop_days[(crop, day)]
        # Plants of one sowing that are transplanted on different days may take the same hole one after the other.
        holes = sum(len(group.totes) * group.carried.get(crop, 0) for group in candidates.groups)
        most = len(sown) * holes
        if crop in in_nursery:
            most = min(most, candidates.garden.nursery.cells)
        terms = dict.fromkeys(sown, 1.0)
        before = candidates.sown_today.get(crop, 0) if day == candidates.today else 0
        least = max(1, min(rules.smallest, holes_in_use(candidates, crop, day)) - before)
        program.row({**terms, is_sown: -least}, least=0)
        program.row({**terms, is_sown: -most}, most=0)
        program.row({is_sown: 1, columns.sowing_days[day]: -1}, most=0)
        if not before:
            crops_of_day[day].append(is_sown)
    for day, crops in crops_of_day.items():
        most = rules.crops_a_day - (len(candidates.sown_today) if day == candidates.today else 0)
        if len(crops) > most:
            program.row({**dict.fromkeys(crops, 1.0), columns.sowing_days[day]: -max(0, most)}, most=0)


def what_is_sown_is_transplanted(columns: Columns) -> None:
    """All plants sown for a transplant day are planted that day, in one group or another."""
    sown: dict[tuple[int, int], dict[int, float]] = defaultdict(dict)
    for column, sowing in zip(columns.sowings, columns.candidates.sowings, strict=True):
        sown[(sowing.line, sowing.transplant_day)][column] = 1.0
    for s, step in enumerate(columns.candidates.steps):
        if step.begun is None and step.after == 0:
            terms = sown[(step.line, step.from_day)]
            terms[columns.steps[s]] = -1.0
    for terms in sown.values():
        columns.program.row(terms, least=0, most=0)


def plants_go_on_or_are_cleared(columns: Columns) -> None:
    """No more plants go on from a harvest than were harvested."""
    for state, leaving in columns.starting.items():
        arriving = columns.ending.get(state, [])
        begins = state.harvests == 0 or (state.begun is not None and not arriving)
        if not begins:
            terms = {columns.steps[s]: float(columns.units[s]) for s in leaving}
            terms.update({columns.steps[s]: -float(columns.units[s]) for s in arriving})
            columns.program.row(terms, most=0)


def begun_batches_are_facts(columns: Columns) -> Waiting:
    """A batch that stands goes on from where it is, whole.

    A batch that waits is planted whole, on one day, in one group; it is lost only if no tote takes it.
    """
    program, choices = columns.program, dict[tuple[int, int, int], int]()
    for b, batch in enumerate(columns.candidates.begun):
        starts = [state for state in columns.starting if state.begun == b and state not in columns.ending]
        if batch.transplanted_on is not None:
            for state in starts:
                terms = {columns.steps[s]: float(columns.units[s]) for s in columns.starting[state]}
                can_clear = any(columns.candidates.steps[s].number == 0 for s in columns.starting[state])
                left = batch.plants_left
                program.row(terms, least=left if can_clear else 0, most=left)
            continue
        if starts:
            for state in starts:
                choice = program.whole(1, when=state.last_day, begun=True)
                choices[(b, state.group, state.last_day)] = choice
                terms = {columns.steps[s]: float(columns.units[s]) for s in columns.starting[state]}
                program.row({**terms, choice: -batch.plants}, least=0, most=0)
            chosen = {column: 1.0 for key, column in choices.items() if key[0] == b}
            is_lost = program.part(1, penalty=LOST_PENALTY)
            program.row({**chosen, is_lost: 1.0}, least=1, most=1)
    return Waiting(choices=choices)


def a_tote_has_only_so_many_holes(columns: Columns) -> None:
    """On every chore day, holes taken or in turnaround are no more than the dwc totes of a group have."""
    for g, group in enumerate(columns.candidates.groups):
        if group.system == "dwc":
            for day, terms in _by_day(columns, g, lambda _: 1.0, turnaround=True).items():
                turning = [
                    each for each in columns.candidates.turnarounds if each.tote in group.totes and day < each.until_day
                ]
                _within(columns, terms, len(group.totes) * group.holes - len(turning))


def a_tote_carries_only_so_much(columns: Columns) -> None:
    """On every chore day, the plants in the dwc totes of a group take no more room than there is."""
    for g, group in enumerate(columns.candidates.groups):
        if group.system == "dwc" and not set(group.carried.values()) <= {group.holes}:
            scale = _scale(group)
            for terms in _by_day(columns, g, columns.room_of).values():
                row = {column: scale * value for column, value in terms.items()}
                _within(columns, row, len(group.totes) * scale)


def _within(columns: Columns, terms: Terms, most: float) -> None:
    """Keep terms within a limit; where standing batches alone exceed it, nothing is added until they no longer do."""
    program, there = columns.program, dict[int, float]()
    for column, value in terms.items():
        begun = columns.standing.get(column)
        if begun is not None:
            there[begun] = max(there.get(begun, 0.0), value * program.upper[column])
    standing = sum(there.values())
    if standing <= most + 1e-9:
        program.row(terms, most=most)
        return
    is_over = program.whole(1, when=ALWAYS, begun=True)
    program.row({**terms, is_over: most - standing}, most=most)
    added = {column: value for column, value in terms.items() if column not in columns.standing}
    program.row({**added, is_over: most}, most=most)


def _by_day(
    columns: Columns, g: int, weight: Callable[[Step], float], *, turnaround: bool = False
) -> dict[int, dict[int, float]]:
    """Give the weighted plants that stand in a group by chore day; with `turnaround`, until their holes are free."""
    rows: dict[int, dict[int, float]] = defaultdict(dict)
    for s, step in columns.steps_in(g):
        value = weight(step) * columns.units[s]
        if value:
            start, end = columns.occupied(step) if turnaround else (step.from_day, step.to_day)
            for day in columns.chore_days_between(start, end):
                rows[day][columns.steps[s]] = value
    return rows


def _scale(group: ToteGroup) -> int:
    """Give a factor that turns the room of each plant into a whole number; 1 where that would be too large to help."""
    scale = math.lcm(*group.carried.values()) if group.carried else 1
    return scale if scale <= 1000 else 1


def a_still_tote_is_filled_once(columns: Columns) -> None:
    """All plants of a kratky tote enter on one day, after all before have left and turnaround has passed.

    A column counts the totes that are filled on a day and empty on another.
    """
    candidates = columns.candidates
    for g, group in enumerate(candidates.groups):
        if group.system != "kratky":
            continue
        by_entry: dict[int, list[tuple[int, Step]]] = defaultdict(list)
        standing: dict[str, dict[int, list[tuple[int, Step]]]] = defaultdict(lambda: defaultdict(list))
        for s, step in columns.steps_in(g):
            batch = candidates.begun[step.begun] if step.begun is not None else None
            if batch is not None and batch.transplanted_on is not None:
                standing[batch.tote][batch.id].append((s, step))
            else:
                by_entry[step.entered_day].append((s, step))
        busy: dict[int, dict[int, float]] = {day: {} for day in candidates.chore_days}
        for entered, steps in by_entry.items():
            _fill(columns, group, entered, steps, busy)
        for batches in standing.values():
            _stay_filled(columns, batches, busy)
        # A tote with plants in it is busy until turnaround after the last of them.
        filled = {*standing}
        for day, terms in busy.items():
            turns = {each.tote for each in candidates.turnarounds if day < each.until_day}
            turning = turns & {*group.totes} - filled
            if terms:
                columns.program.row(terms, most=len(group.totes) - len(turning))


def _fill(
    columns: Columns,
    group: ToteGroup,
    entered: int,
    steps: list[tuple[int, Step]],
    busy: Mapping[int, dict[int, float]],
) -> None:
    """Count the totes that are filled on a day, by the day they are empty again, and the days they are busy."""
    program, scale, turn = columns.program, _scale(group), columns.candidates.garden.turnaround_days
    ends = sorted({step.to_day for _, step in steps})
    fills = {end: program.whole(len(group.totes), when=entered, begun=True) for end in ends}
    for end in ends:
        terms: dict[int, float] = {fills[later]: -scale for later in ends if later >= end}
        for s, step in steps:
            if step.from_day < end <= step.to_day or (step.after == 0 and end <= step.to_day):
                terms[columns.steps[s]] = columns.units[s] * columns.room_of(step) * scale
        program.row(terms, most=0)
        for day in columns.chore_days_between(entered, end + turn):
            busy[day][fills[end]] = 1.0
    if not group.refilled:
        water: dict[int, float] = dict.fromkeys(fills.values(), -USABLE_WATER * group.litres)
        water.update(
            {
                columns.steps[s]: columns.units[s] * columns.crop_of(step).litres_a_plant
                for s, step in steps
                if not step.after
            }
        )
        program.row(water, most=0)


def _stay_filled(
    columns: Columns, batches: Mapping[int, list[tuple[int, Step]]], busy: Mapping[int, dict[int, float]]
) -> None:
    """Keep the tote of standing batches busy until the last of them has left."""
    for day in columns.candidates.chore_days:
        is_busy = columns.program.whole(1, when=ALWAYS, begun=True)
        busy[day][is_busy] = 1.0
        for steps in batches.values():
            terms = {
                columns.steps[s]: columns.units[s] * columns.room_of(step)
                for s, step in steps
                if columns.occupied(step)[0] <= day < columns.occupied(step)[1]
            }
            if terms:
                columns.program.row({**terms, is_busy: -1.0}, most=0)


def a_lamp_lights_only_so_many(columns: Columns) -> None:
    """At most as many plants stand under a lamp as it lights."""
    candidates = columns.candidates
    for place in candidates.garden.places:
        limit = place.lights
        if limit is None:
            continue
        rows: dict[int, dict[int, float]] = {day: {} for day in (candidates.today, *candidates.chore_days)}
        for s, step in enumerate(candidates.steps):
            now = max(step.from_day, candidates.today)
            for spell in candidates.groups[step.group].spells:
                if spell.place == place.name and spell.from_day <= now < spell.until_day:
                    for day in columns.chore_days_between(step.from_day, step.to_day):
                        rows[day][columns.steps[s]] = float(columns.units[s])
        for terms in rows.values():
            if sum(plants * columns.program.upper[column] for column, plants in terms.items()) > limit:
                _within(columns, terms, limit)


def the_nursery_has_only_so_many_cells(columns: Columns, waiting: Waiting) -> Seedlings:
    """Seedlings take cells from sowing to transplant, with spare cells for those in which nothing comes up.

    Plants that are sown and transplanted together get as many cells as plants divided by the chance that a cell holds a
    seedling, rounded up.
    """
    candidates, program, cells = columns.candidates, columns.program, dict[Sowing, int]()
    room = candidates.garden.nursery.cells
    rows: dict[int, dict[int, float]] = {day: {} for day in sorted({candidates.today, *candidates.sowing_days})}
    for column, sowing in zip(columns.sowings, candidates.sowings, strict=True):
        crop = candidates.lines[sowing.line].crop
        if crop.sown_in == "pot":
            continue
        cells[sowing] = program.whole(room, when=ALWAYS)
        program.row({cells[sowing]: 1.0, column: -1 / cell_success(crop)}, least=-1e-9)
        for day in rows:
            if sowing.sown_day <= day < sowing.transplant_day:
                rows[day][cells[sowing]] = 1.0
    for (b, _, planted), column in waiting.choices.items():
        for day in rows:
            if day < planted:
                rows[day][column] = float(candidates.begun[b].cells)
    # More seedlings may wait than the nursery has cells; then no new ones come on top.
    taken = sum(batch.cells for batch in candidates.begun if batch.transplanted_on is None)
    chosen = set(waiting.choices.values())
    for terms in rows.values():
        program.row(terms, most=max(room, taken))
        if taken > room:
            program.row({column: value for column, value in terms.items() if column not in chosen}, most=0)
    return Seedlings(cells=cells)


def a_week_has_only_so_many_minutes(columns: Columns, waiting: Waiting, seedlings: Seedlings) -> Work:
    """In each week, work and upkeep take at most `chore_minutes_a_week`.

    A week that begun batches alone overfill gets no new work.
    """
    limit, program = columns.candidates.garden.chore_minutes_a_week, columns.program
    if limit is None:
        return Work(minutes={}, overfull=())
    begun, most = minutes_of_begun(columns, waiting.choices)
    added = minutes_added(columns, seedlings.cells)
    minutes: dict[int, Terms] = {}
    overfull: list[int] = []
    for week in sorted(added):
        spent = columns.candidates.spent.get(week, 0.0)
        terms = minutes[week] = {**begun[week], **added[week]}
        if spent + sum(most[week].values()) <= limit:
            program.row(terms, most=limit - spent)
            continue
        is_over = program.whole(1, when=ALWAYS, begun=True)
        overfull.append(is_over)
        # All that begun batches can take is as good as no limit.
        program.row({**terms, is_over: limit - spent - sum(most[week].values())}, most=limit - spent)
        program.row({**added[week], is_over: limit}, most=limit)
    return Work(minutes=minutes, overfull=tuple(overfull))


def a_reservoir_suits_all_who_share_it(columns: Columns) -> None:
    """Crops in one tote tolerate a common EC and a common pH, and fruit stands alone.

    In a group of one tote the rows say just that.  In a larger group they only count the totes that fruit takes for
    itself, as every legal plan does.
    """
    by_name = {line.crop.name: line.crop for line in columns.candidates.lines}
    for g, group in enumerate(columns.candidates.groups):
        crops = sorted({columns.crop_of(step).name for _, step in columns.steps_in(g)})
        apart = [pair for pair in combinations(crops, 2) if not share_reservoir(by_name[pair[0]], by_name[pair[1]])]
        if not apart:
            continue
        if len(group.totes) == 1:
            involved = sorted({name for pair in apart for name in pair})
            _keep_apart(columns, g, involved, apart)
        else:
            standing = _standing_by_day(columns, g)
            for day, taken in _count_whole_totes(columns, g).items():
                others = {c: v for c, (crop, v) in standing[day].items() if not by_name[crop].is_fruit}
                columns.program.row({**others, **taken}, most=len(group.totes))


def _keep_apart(columns: Columns, g: int, crops: list[str], apart: list[tuple[str, str]]) -> None:
    """Keep pairs of crops apart; where two stand together already, no more of either is added to the other."""
    program = columns.program

    def is_there(terms: Terms) -> int | None:
        if not terms:
            return None
        column = program.whole(1, when=ALWAYS, begun=True)
        # Standing batches may fill more of a tote than it carries.
        most = max(1.0, sum(value for c, value in terms.items() if c in columns.standing))
        program.row({**terms, column: -most}, most=0)
        return column

    def not_both(first: int | None, second: int | None) -> None:
        if first is not None and second is not None:
            program.row({first: 1, second: 1}, most=1)

    for plants in _standing_by_day(columns, g).values():
        by_crop = {name: {c: v for c, (crop, v) in plants.items() if crop == name} for name in crops}
        present = {name: is_there(terms) for name, terms in by_crop.items()}
        added: dict[str, int | None] = {}
        for pair in apart:
            stand_already = all(columns.standing.keys() & by_crop[name].keys() for name in pair)
            if not stand_already:
                not_both(present[pair[0]], present[pair[1]])
                continue
            for name in pair:
                if name not in added:
                    added[name] = is_there({c: v for c, v in by_crop[name].items() if c not in columns.standing})
            not_both(added[pair[0]], present[pair[1]])
            not_both(present[pair[0]], added[pair[1]])


def _count_whole_totes(columns: Columns, g: int) -> dict[int, dict[int, float]]:
    """Give the totes of a group that fruit takes for itself, as terms by day."""
    totes = len(columns.candidates.groups[g].totes)
    fruit = {line.crop.name for line in columns.candidates.lines if line.crop.is_fruit}
    taken: dict[int, dict[int, float]] = defaultdict(dict)
    for day, standing in _standing_by_day(columns, g).items():
        for name in sorted(fruit):
            terms = {c: v for c, (crop, v) in standing.items() if crop == name}
            if terms:
                column = columns.program.whole(totes, when=ALWAYS, begun=True)
                columns.program.row({**terms, column: -1.0}, most=0)
                taken[day][column] = 1.0
    return taken


def _standing_by_day(columns: Columns, g: int) -> dict[int, dict[int, tuple[str, float]]]:
    """Give crop and room of each step's plants in a group, by chore day and column."""
    days: dict[int, dict[int, tuple[str, float]]] = {day: {} for day in columns.candidates.chore_days}
    for s, step in columns.steps_in(g):
        for day in columns.chore_days_between(step.from_day, step.to_day):
            room = columns.units[s] * columns.room_of(step)
            days[day][columns.steps[s]] = (columns.crop_of(step).name, room)
    return days


def what_is_eaten_was_harvested(columns: Columns) -> Eating:
    """A lot is eaten once, while it is good; a week eats no more than it wants, and saves nothing while it is short.

    Saving could pay only where a later week wants less than an earlier one, since a gram then serves a larger share.
    There a yes-or-no column says that a week that goes short leaves nothing over, as a household would eat.
    """
    program, wanted, leftovers = columns.program, columns.wanted, columns.leftovers
    supply = supply_of(columns)
    served = {key: program.part(amount) for key, amount in wanted.items()}
    eaten: dict[Lot, dict[int, int]] = {}
    for lot in sorted({*supply, *leftovers}, key=lambda lot: (lot.want, lot.week, lot.last_week)):
        weeks = [j for j in range(max(0, lot.week), lot.last_week + 1) if (lot.want, j) in wanted]
        if weeks:
            eaten[lot] = {j: program.part(math.inf) for j in weeks}
            terms = dict.fromkeys(eaten[lot].values(), 1.0)
            terms.update({column: -amount for column, amount in supply.get(lot, {}).items()})
            program.row(terms, most=leftovers.get(lot, 0.0))
    for (want, week), column in served.items():
        terms = {by_week[week]: -1.0 for lot, by_week in eaten.items() if lot.want == want and week in by_week}
        program.row({**terms, column: 1.0}, most=0)
    _hold_nothing_back(columns, served, eaten)
    return Eating(served=served)


def _hold_nothing_back(
    columns: Columns, served: Mapping[tuple[str, int], int], eaten: Mapping[Lot, Mapping[int, int]]
) -> None:
    program, wanted = columns.program, columns.wanted
    for (want, week), column in served.items():
        lots = [lot for lot in eaten if lot.want == want and lot.week <= week < lot.last_week]
        later = {j for lot in lots for j in range(week + 1, lot.last_week + 1)}
        amount = wanted[(want, week)]
        if all(wanted.get((want, j), amount) >= amount for j in later):
            continue
        is_short = program.whole(1, when=ALWAYS, begun=True)
        program.row({column: 1.0, is_short: amount}, least=amount)
        saved: dict[int, float] = {}
        most = 0.0
        for lot in lots:
            most += sum(wanted[(want, j)] for j in eaten[lot] if j > week)
            saved.update({c: 1.0 for j, c in eaten[lot].items() if j > week})
        program.row({**saved, is_short: most}, most=most)


def crops_keep_their_share(columns: Columns) -> None:
    """Each crop keeps its least and most share of all that is harvested for its want in the planned weeks."""
    candidates, program = columns.candidates, columns.program
    for want in candidates.garden.wants:
        harvested: dict[int, float] = {}
        by_crop: dict[str, dict[int, float]] = defaultdict(dict)
        for s, step in enumerate(candidates.steps):
            if step.number and candidates.lines[step.line].want == want.name and step.to_day < 7 * columns.weeks:
                column, amount = columns.steps[s], columns.units[s] * amount_of(candidates, step)
                harvested[column] = by_crop[columns.crop_of(step).name][column] = amount
        for serving in want.servings:
            own = by_crop.get(serving.crop)
            if own is None:
                continue
            for share, sign in ((serving.least, -1.0), (serving.most, 1.0)):
                if 0.0 < share < 1.0:
                    terms = {c: sign * (own.get(c, 0.0) - share * amount) for c, amount in harvested.items()}
                    slack = program.part(math.inf, penalty=1.0)
                    program.row({**terms, slack: -1.0}, most=0)


@dataclass(frozen=True, slots=True)
class Rule:
    """A rule, and the types of what it takes from rules before it.

    Attributes
    ----------
    add
        Adds the rule's rows to the program of `Columns`; returns what later rules take, or ``None``.
    takes
        What `add` takes besides the columns, in its order.
    """

    add: Callable[..., object]
    takes: tuple[type, ...] = ()


RULES = (
    Rule(sowing_days_keep_their_distance),
    Rule(sowings_are_few_and_large_enough),
    Rule(what_is_sown_is_transplanted),
    Rule(plants_go_on_or_are_cleared),
    Rule(begun_batches_are_facts),
    Rule(a_tote_has_only_so_many_holes),
    Rule(a_tote_carries_only_so_much),
    Rule(a_still_tote_is_filled_once),
    Rule(a_lamp_lights_only_so_many),
    Rule(the_nursery_has_only_so_many_cells, takes=(Waiting,)),
    Rule(a_week_has_only_so_many_minutes, takes=(Waiting, Seedlings)),
    Rule(a_reservoir_suits_all_who_share_it),
    Rule(what_is_eaten_was_harvested),
    Rule(crops_keep_their_share),
)
