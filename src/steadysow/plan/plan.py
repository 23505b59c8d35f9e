"""The plan as a value, its measure, and how it is kept in ``plan.json``.

Takes batches and the garden, nothing from the solver: `measure` computes the served share, surplus and deep gaps
from them alone, so that what is printed is never the solver's word.  Gives frozen values, and hides the file format.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any, Literal, cast, get_args

from steadysow.errors import Fault, InputFaults
from steadysow.files import replace_file
from steadysow.inputs.crops import Crop, HarvestKind
from steadysow.inputs.garden import Garden, Want

State = Literal["planned", "sown", "transplanted", "done", "lost"]
Unit = Literal["g", "heads"]
Status = Literal["optimal", "time limit", "interrupted", "step limit"]

PLAN_FILE = "plan.json"
PLAN_VERSION = 1

# A harvest serves a later week only if it is still good on that week's fifth day, when most of the week has been eaten.
EATEN_BY_DAY = 4

# Estimate, as of most greens: how long the harvest of a crop keeps whose profile is gone [d].
UNKNOWN_KEEPS_DAYS = 7

# Amounts below this are the dust of adding floats [g or heads].
DUST = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Harvest:
    """One harvest of a batch on one day.

    Attributes
    ----------
    on, latest_on
        The planned day; the last day on which it can still be taken (that day included).
    kind, number
        ``head``, ``cut`` or ``pick``; which one, counted from 1.
    holes, plants, grams
        The holes harvested, numbered from 1; how many; the total fresh weight [g].
    told
        Whether the journal tells of it; otherwise it is planned, or taken to have gone as planned.
    """

    on: date
    latest_on: date
    kind: HarvestKind
    number: int
    holes: tuple[int, ...]
    plants: int
    grams: float
    told: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Stay:
    """The days for which plants stand in a tote: from `from_on` up to, not including, `until_on`."""

    tote: str
    place: str
    from_on: date
    until_on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """Plants of one crop, sown the same day for one want, standing in one tote.

    `transplanted_on` equals `sown_on` where the crop is sown in its pot.  `cleared_on` is the day of the last harvest
    and is not occupied any more.  `cells` and `seeds` count what is sown in the nursery (or in the pots).  `told` names
    the facts that the journal tells of it; `earlier` are its stays in other totes, before it was moved.
    """

    id: int
    crop: str
    want: str
    place: str
    tote: str
    holes: tuple[int, ...]
    plants: int
    cells: int
    seeds: int
    state: State
    sown_on: date
    emerges_on: date | None
    transplanted_on: date | None
    cleared_on: date | None
    harvests: tuple[Harvest, ...]
    told: tuple[str, ...] = ()
    earlier: tuple[Stay, ...] = ()

    @property
    def stays(self) -> tuple[Stay, ...]:
        """All its stays in totes whose ends are known, in order."""
        if self.transplanted_on is None or self.cleared_on is None:
            return self.earlier
        came_on = self.earlier[-1].until_on if self.earlier else self.transplanted_on
        last = Stay(tote=self.tote, place=self.place, from_on=came_on, until_on=max(came_on, self.cleared_on))
        return (*self.earlier, last)

    @property
    def plants_left(self) -> int:
        """How many have not been taken with their roots; what was taken before the rest moved has no hole here."""
        return self.plants - sum(len(harvest.holes) for harvest in self.harvests if harvest.kind == "head")


@dataclass(frozen=True, slots=True, kw_only=True)
class WantWeek:
    """A want in one week, in `unit`.

    What was wanted, harvested in that week, served, and spoils of that week's harvest; `by_crop` splits the harvest.
    """

    want: str
    unit: Unit
    wanted: float
    harvested: float
    served: float
    surplus: float
    in_reach: bool
    by_crop: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Week:
    """Seven days from `starts_on`, with every want of the garden in the order of the file."""

    starts_on: date
    wants: tuple[WantWeek, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """The measure of a plan, all shares from 0 to 1.

    `served_share` is the mean over weeks in reach and wants of min(wanted, served) / wanted, weighted by importance;
    `all_weeks` the same over all weeks; `deep_gaps` counts weeks and wants in reach that are served under half.
    """

    weeks: tuple[Week, ...]
    served_share: float
    all_weeks: float
    deep_gaps: int
    sowings: int
    sowing_days: int
    work_days: int
    surplus_grams: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """How good the plan is known to be; see design: served share, best share, and the bound nobody can pass."""

    served_share: float
    best_share: float
    bound_share: float
    served_share_all_weeks: float
    status: Status
    seconds: float
    deep_gaps: int
    sowings: int
    best_sowings: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """A verified plan.

    Attributes
    ----------
    starts_on
        When the garden began; weeks are counted from it for ever.
    from_on, until_on
        First day of the first planned week; the day after the last planned week.
    batches
        By id; batches of the tail after `until_on` included.
    weeks
        Every planned week, in reach or not.
    notes
        Plain sentences: rules relaxed, weeks out of reach and why, what limits the plan.
    fingerprint
        Of the inputs; an equal one means that nothing needs solving.
    facts
        The number of the last fact of the journal that it has seen.
    last_id
        The greatest number that a batch has had, also of one that was dropped since.
    """

    garden: str
    uuid: str
    starts_on: date
    made_on: date
    from_on: date
    until_on: date
    proof: Proof
    batches: tuple[Batch, ...]
    weeks: tuple[Week, ...]
    notes: tuple[str, ...] = ()
    fingerprint: str = ""
    facts: int = 0
    last_id: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Portion:
    """What is left of one harvest for one want.

    Attributes
    ----------
    crop
        The crop it is of.
    week, last_week
        The week of its harvest and the last week it can serve, counted from 0 at `Plan.starts_on`.
    amount
        How much is left, in the want's unit.
    grams_each
        Weight of one unit of it [g]; 1 where the unit is grams.
    """

    crop: str
    week: int
    last_week: int
    amount: float
    grams_each: float


def week_starts(garden: Garden, starts_on: date, today: date) -> tuple[date, ...]:
    """Give the first day of every planned week: from the one that holds `today`, up to the garden's `clear_by`."""
    first = starts_on + 7 * timedelta(_week(max(today, starts_on), starts_on))
    return _planned_weeks(garden, first, garden.weeks)


def wanted(garden: Garden, want: Want, week_on: date) -> float:
    """Give what a want asks for in the week that begins on `week_on`, in its unit: its amount for the days at home."""
    week_ends_on = week_on + timedelta(7)
    if want.from_on is not None and week_on < want.from_on:
        return 0.0
    if want.until_on is not None and week_ends_on > want.until_on:
        return 0.0
    days_at_home = sum(garden.at_home(week_on + timedelta(day)) for day in range(7))
    return want.amount * days_at_home / 7


def last_week_served(harvested_on: date, keeps_days: int, starts_on: date) -> int:
    """Give the last week a harvest can serve, counted from `starts_on`: its own week or a later one it keeps for."""
    day_of_week = (harvested_on - starts_on).days % 7
    return _week(harvested_on, starts_on) + max(0, (day_of_week + keeps_days - EATEN_BY_DAY) // 7)


def carried_over(
    garden: Garden, want: Want, batches: Sequence[Batch], starts_on: date, from_on: date
) -> tuple[Portion, ...]:
    """Give what harvests before `from_on` still hold for the weeks from then on, after the weeks before have eaten."""
    first_planned = _week(from_on, starts_on)
    earlier = [portion for portion in portions(garden.crops, want, batches, starts_on) if portion.week < first_planned]
    weeks = range(min((portion.week for portion in earlier), default=first_planned), first_planned)
    _, left = _eat(earlier, {week: wanted(garden, want, starts_on + 7 * timedelta(week)) for week in weeks})
    return tuple(portion for portion in left if portion.last_week >= first_planned and portion.amount > DUST)


def measure(
    garden: Garden,
    batches: Sequence[Batch],
    starts_on: date,
    from_on: date,
    weeks: int,
    today: date,
    in_reach_from: Mapping[str, date | None],
) -> Measure:
    """Measure how well batches serve the wants, week by week.

    Eating is followed in the order of the weeks: each eats what it wants of what is still good, what spoils first
    first, and holds nothing back.  Harvests after the last planned week are left out.

    Parameters
    ----------
    garden
        The garden.
    batches
        Every batch, begun or planned; past harvests serve for as long as they keep.
    starts_on
        When the garden began; weeks are counted from it.
    from_on
        First day of the first planned week.
    weeks
        How many weeks are planned; those that begin on or after the garden's `clear_by` are left out.
    today
        Sowings and days with work are counted from it.
    in_reach_from
        For each want the earliest day on which something can be harvested for it, or ``None`` for never.

    Returns
    -------
    Measure
        The shares, and every planned week.
    """
    planned = _planned_weeks(garden, from_on, weeks)
    until_on = from_on + 7 * timedelta(len(planned))
    by_want = []
    surplus_grams = 0.0
    for want in garden.wants:
        want_weeks, spoiled_grams = _measure_want(
            garden, want, batches, starts_on, planned, in_reach_from.get(want.name)
        )
        by_want.append(want_weeks)
        surplus_grams += spoiled_grams
    measured = tuple(
        Week(starts_on=week_on, wants=tuple(want_weeks[index] for want_weeks in by_want))
        for index, week_on in enumerate(planned)
    )
    importance = {want.name: want.importance for want in garden.wants}
    asked = [entry for week in measured for entry in week.wants if entry.wanted > 0]
    reached = [entry for entry in asked if entry.in_reach]
    sowings = {
        (batch.sown_on, batch.crop)
        for batch in batches
        if (batch.state == "planned" or batch.sown_on >= today) and from_on <= batch.sown_on < until_on
    }
    return Measure(
        weeks=measured,
        served_share=_share(reached, importance),
        all_weeks=_share(asked, importance),
        deep_gaps=sum(entry.served < entry.wanted / 2 - DUST for entry in reached),
        sowings=len(sowings),
        sowing_days=len({sown_on for sown_on, _ in sowings}),
        work_days=sum(today <= day < until_on for day in _days_with_work(batches)),
        surplus_grams=surplus_grams,
    )


def to_json(plan: Plan) -> dict[str, Any]:
    """Give the plan as ``plan.json`` and ``plan --json`` show it."""
    return {
        "version": PLAN_VERSION,
        "garden": plan.garden,
        "uuid": plan.uuid,
        "starts_on": plan.starts_on.isoformat(),
        "made_on": plan.made_on.isoformat(),
        "from": plan.from_on.isoformat(),
        "until": plan.until_on.isoformat(),
        "proof": asdict(plan.proof),
        "batches": [_batch_to_json(batch) for batch in plan.batches],
        "weeks": [_week_to_json(week) for week in plan.weeks],
        "notes": list(plan.notes),
        "fingerprint": plan.fingerprint,
        "facts": plan.facts,
        "last_id": plan.last_id,
    }


def from_json(data: Mapping[str, Any]) -> Plan:
    """Read a plan from what `to_json` gives.

    Raises
    ------
    KeyError, TypeError, ValueError, AttributeError
        If something is missing or not of its kind; `load` makes a fault of it.
    """
    if data["version"] != PLAN_VERSION:
        raise ValueError(f"version {data['version']!r} is not known")
    return Plan(
        garden=str(data["garden"]),
        uuid=str(data["uuid"]),
        starts_on=date.fromisoformat(data["starts_on"]),
        made_on=date.fromisoformat(data["made_on"]),
        from_on=date.fromisoformat(data["from"]),
        until_on=date.fromisoformat(data["until"]),
        proof=_proof_from_json(data["proof"]),
        batches=tuple(_batch_from_json(batch) for batch in data["batches"]),
        weeks=tuple(_week_from_json(week) for week in data["weeks"]),
        notes=tuple(str(note) for note in data["notes"]),
        fingerprint=str(data["fingerprint"]),
        facts=int(data.get("facts", 0)),
        last_id=int(data.get("last_id", 0)),
    )


def save(plan: Plan, folder: Path) -> None:
    """Write the plan to ``plan.json`` in one step, so that a reader sees the old plan or the new one, never a part."""
    text = json.dumps(to_json(plan), indent=1, ensure_ascii=False)
    replace_file(folder / PLAN_FILE, f"{text}\n".encode())


def load(folder: Path) -> Plan | None:
    """Read the plan in force, or ``None`` if there is none yet.

    Raises
    ------
    InputFaults
        If ``plan.json`` cannot be read.
    """
    try:
        text = (folder / PLAN_FILE).read_text(encoding="utf-8")
    except FileNotFoundError:
        return None
    except UnicodeDecodeError:
        raise _unreadable(None, "it is not text") from None
    try:
        return from_json(json.loads(text))
    except json.JSONDecodeError as error:
        raise _unreadable(error.lineno, "it is cut short or was edited by hand") from error
    except KeyError as error:
        raise _unreadable(None, f"{error} is missing") from error
    except (TypeError, ValueError, AttributeError) as error:
        raise _unreadable(None, f"it does not hold what a plan holds ({error})") from error


def _week(day: date, starts_on: date) -> int:
    return (day - starts_on).days // 7


def _planned_weeks(garden: Garden, from_on: date, weeks: int) -> tuple[date, ...]:
    starts = (from_on + 7 * timedelta(index) for index in range(weeks))
    return tuple(day for day in starts if garden.clear_by is None or day < garden.clear_by)


def portions(crops: Mapping[str, Crop], want: Want, batches: Sequence[Batch], starts_on: date) -> list[Portion]:
    """Give every harvest for a want as a portion."""
    found = []
    for batch in batches:
        if batch.want != want.name:
            continue
        # Of history the profile may be gone.
        own_days = crops[batch.crop].keeps_days if batch.crop in crops else UNKNOWN_KEEPS_DAYS
        keeps_days = own_days if want.keeps_days is None else want.keeps_days
        for harvest in batch.harvests:
            portion = Portion(
                crop=batch.crop,
                week=_week(harvest.on, starts_on),
                last_week=last_week_served(harvest.on, keeps_days, starts_on),
                amount=harvest.grams if want.unit == "g" else float(harvest.plants),
                grams_each=1.0 if want.unit == "g" else harvest.grams / harvest.plants,
            )
            found.append(portion)
    return found


def _eat(portions: Sequence[Portion], wanted_by_week: Mapping[int, float]) -> tuple[dict[int, float], list[Portion]]:
    """Let each week eat in turn; give what each was served, and what is left of the portions."""
    # Of what spoils at the same time the older is eaten first, so that surplus is told in the week that made too much.
    portions = sorted(portions, key=lambda portion: (portion.last_week, portion.week))
    left = [portion.amount for portion in portions]
    served = {}
    for week in sorted(wanted_by_week):
        hunger = wanted_by_week[week]
        for index, portion in enumerate(portions):
            if portion.week <= week <= portion.last_week:
                eaten = min(hunger, left[index])
                left[index] -= eaten
                hunger -= eaten
        served[week] = wanted_by_week[week] - hunger
    return served, [replace(portion, amount=amount) for portion, amount in zip(portions, left, strict=True)]


def _measure_want(
    garden: Garden,
    want: Want,
    batches: Sequence[Batch],
    starts_on: date,
    planned: Sequence[date],
    in_reach_from: date | None,
) -> tuple[list[WantWeek], float]:
    """Measure one want over the planned weeks; give the weeks, and the weight of their harvests that spoils [g]."""
    if not planned:
        return [], 0.0
    planned_weeks = {_week(week_on, starts_on): week_on for week_on in planned}
    wanted_by_week = {week: wanted(garden, want, week_on) for week, week_on in planned_weeks.items()}
    harvested = [
        portion for portion in portions(garden.crops, want, batches, starts_on) if portion.week in planned_weeks
    ]
    earlier = carried_over(garden, want, batches, starts_on, planned[0])
    served, left = _eat([*earlier, *harvested], wanted_by_week)

    by_crop: defaultdict[int, defaultdict[str, float]] = defaultdict(lambda: defaultdict(float))
    for portion in harvested:
        by_crop[portion.week][portion.crop] += portion.amount
    # What still keeps after the last planned week may yet be eaten, and what came before the first is told there.
    spoiled = [
        portion
        for portion in left
        if portion.week in planned_weeks and portion.last_week in planned_weeks and portion.amount > DUST
    ]
    surplus: defaultdict[int, float] = defaultdict(float)
    for portion in spoiled:
        surplus[portion.week] += portion.amount
    weeks = [
        WantWeek(
            want=want.name,
            unit=want.unit,
            wanted=wanted_by_week[week],
            harvested=sum(by_crop[week].values()),
            served=served[week],
            surplus=surplus[week],
            in_reach=in_reach_from is not None and in_reach_from < week_on + timedelta(7),
            by_crop=tuple(sorted(by_crop[week].items())),
        )
        for week, week_on in planned_weeks.items()
    ]
    return weeks, sum(portion.amount * portion.grams_each for portion in spoiled)


def _share(entries: Sequence[WantWeek], importance: Mapping[str, float]) -> float:
    """Give the mean share served, weighted by importance; 1 where nothing was asked."""
    weight = sum(importance[entry.want] for entry in entries)
    if weight == 0:
        return 1.0
    return sum(importance[entry.want] * min(1.0, entry.served / entry.wanted) for entry in entries) / weight


def _days_with_work(batches: Sequence[Batch]) -> set[date]:
    """Give the days on which something is sown, transplanted or harvested."""
    days = {batch.sown_on for batch in batches}
    days |= {batch.transplanted_on for batch in batches if batch.transplanted_on is not None}
    return days | {harvest.on for batch in batches for harvest in batch.harvests}


def _day_to_json(day: date | None) -> str | None:
    return None if day is None else day.isoformat()


def _day_from_json(text: str | None) -> date | None:
    return None if text is None else date.fromisoformat(text)


def _known(text: object, choices: tuple[str, ...]) -> str:
    if text not in choices:
        raise ValueError(f"{text!r} is none of {', '.join(choices)}")
    return str(text)


def _stay_to_json(stay: Stay) -> dict[str, Any]:
    return {
        "tote": stay.tote, "place": stay.place, "from": stay.from_on.isoformat(), "until": stay.until_on.isoformat()
    }  # fmt: skip


def _stay_from_json(data: Mapping[str, Any]) -> Stay:
    return Stay(
        tote=str(data["tote"]), place=str(data["place"]), from_on=date.fromisoformat(data["from"]),
        until_on=date.fromisoformat(data["until"]),
    )  # fmt: skip


def _batch_to_json(batch: Batch) -> dict[str, Any]:
    return {
        "id": batch.id,
        "crop": batch.crop,
        "want": batch.want,
        "place": batch.place,
        "tote": batch.tote,
        "holes": list(batch.holes),
        "plants": batch.plants,
        "cells": batch.cells,
        "seeds": batch.seeds,
        "state": batch.state,
        "sown_on": batch.sown_on.isoformat(),
        "emerges_on": _day_to_json(batch.emerges_on),
        "transplanted_on": _day_to_json(batch.transplanted_on),
        "cleared_on": _day_to_json(batch.cleared_on),
        "harvests": [_harvest_to_json(harvest) for harvest in batch.harvests],
        **({"told": list(batch.told)} if batch.told else {}),
        **({"earlier": [_stay_to_json(stay) for stay in batch.earlier]} if batch.earlier else {}),
    }


def _batch_from_json(data: Mapping[str, Any]) -> Batch:
    return Batch(
        id=int(data["id"]),
        crop=str(data["crop"]),
        want=str(data["want"]),
        place=str(data["place"]),
        tote=str(data["tote"]),
        holes=tuple(int(hole) for hole in data["holes"]),
        plants=int(data["plants"]),
        cells=int(data["cells"]),
        seeds=int(data["seeds"]),
        state=cast("State", _known(data["state"], get_args(State))),
        sown_on=date.fromisoformat(data["sown_on"]),
        emerges_on=_day_from_json(data["emerges_on"]),
        transplanted_on=_day_from_json(data["transplanted_on"]),
        cleared_on=_day_from_json(data["cleared_on"]),
        harvests=tuple(_harvest_from_json(harvest) for harvest in data["harvests"]),
        told=tuple(str(kind) for kind in data.get("told", ())),
        earlier=tuple(_stay_from_json(stay) for stay in data.get("earlier", ())),
    )


def _harvest_to_json(harvest: Harvest) -> dict[str, Any]:
    return {
        "on": harvest.on.isoformat(),
        "latest_on": harvest.latest_on.isoformat(),
        "kind": harvest.kind,
        "number": harvest.number,
        "holes": list(harvest.holes),
        "plants": harvest.plants,
        "grams": harvest.grams,
        **({"told": True} if harvest.told else {}),
    }


def _harvest_from_json(data: Mapping[str, Any]) -> Harvest:
    return Harvest(
        on=date.fromisoformat(data["on"]),
        latest_on=date.fromisoformat(data["latest_on"]),
        kind=cast("HarvestKind", _known(data["kind"], get_args(HarvestKind))),
        number=int(data["number"]),
        holes=tuple(int(hole) for hole in data["holes"]),
        plants=int(data["plants"]),
        grams=float(data["grams"]),
        told=bool(data.get("told", False)),
    )


def _week_to_json(week: Week) -> dict[str, Any]:
    wants = {
        entry.want: {
            "unit": entry.unit,
            "wanted": entry.wanted,
            "harvested": entry.harvested,
            "served": entry.served,
            "surplus": entry.surplus,
            "in_reach": entry.in_reach,
            "by_crop": dict(entry.by_crop),
        }
        for entry in week.wants
    }
    return {"starts_on": week.starts_on.isoformat(), "wants": wants}


def _week_from_json(data: Mapping[str, Any]) -> Week:
    wants = tuple(
        WantWeek(
            want=str(name),
            unit=cast("Unit", _known(entry["unit"], get_args(Unit))),
            wanted=float(entry["wanted"]),
            harvested=float(entry["harvested"]),
            served=float(entry["served"]),
            surplus=float(entry["surplus"]),
            in_reach=bool(entry["in_reach"]),
            by_crop=tuple((str(crop), float(amount)) for crop, amount in entry["by_crop"].items()),
        )
        for name, entry in data["wants"].items()
    )
    return Week(starts_on=date.fromisoformat(data["starts_on"]), wants=wants)


def _proof_from_json(data: Mapping[str, Any]) -> Proof:
    return Proof(
        served_share=float(data["served_share"]),
        best_share=float(data["best_share"]),
        bound_share=float(data["bound_share"]),
        served_share_all_weeks=float(data["served_share_all_weeks"]),
        status=cast("Status", _known(data["status"], get_args(Status))),
        seconds=float(data["seconds"]),
        deep_gaps=int(data["deep_gaps"]),
        sowings=int(data["sowings"]),
        best_sowings=int(data["best_sowings"]),
    )


def _unreadable(line: int | None, wrong: str) -> InputFaults:
    fault = Fault(
        file=PLAN_FILE,
        line=line,
        field="",
        wrong=f"the plan in force cannot be read: {wrong}",
        write="Move plan.json away and run `steadysow plan`; what happened is kept in the journal",
    )
    return InputFaults((fault,))
