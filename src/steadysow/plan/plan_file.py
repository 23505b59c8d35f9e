"""The plan in ``plan.json``: written in one step, read back, refused with a remedy where it cannot be read."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict
from datetime import date
from pathlib import Path
from typing import Any, cast, get_args

from steadysow.errors import Fault, InputFaults
from steadysow.files import replace_file
from steadysow.inputs.crops import HarvestKind
from steadysow.plan.batch import Batch, BatchState, Harvest, Stay
from steadysow.plan.plan import Plan, Proof, Status, Unit, WantWeek, Week

PLAN_FILE = "plan.json"
PLAN_VERSION = 1

# What `recorded` was called in plans of version 1 written before it had that name.
OLD_RECORDED = "told"


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
        **({"recorded": list(batch.recorded)} if batch.recorded else {}),
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
        state=cast("BatchState", _known(data["state"], get_args(BatchState))),
        sown_on=date.fromisoformat(data["sown_on"]),
        emerges_on=_day_from_json(data["emerges_on"]),
        transplanted_on=_day_from_json(data["transplanted_on"]),
        cleared_on=_day_from_json(data["cleared_on"]),
        harvests=tuple(_harvest_from_json(harvest) for harvest in data["harvests"]),
        recorded=tuple(str(kind) for kind in data.get("recorded", data.get(OLD_RECORDED, ()))),
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
        **({"recorded": True} if harvest.is_recorded else {}),
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
        is_recorded=bool(data.get("recorded", data.get(OLD_RECORDED, False))),
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
