"""The commands from end to end, on a small garden and a fixed day."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any, Literal

import pytest
from icalendar import Calendar

from commands import Ended, Run, contents
from steadysow import __version__, pipeline
from steadysow.growth.daylight import conditions_at
from steadysow.growth.timeline import GrowingPlace
from steadysow.inputs.garden_file import read_garden
from steadysow.inputs.schema import schema
from steadysow.plan.plan import Plan
from steadysow.plan.plan_file import load

from .planned_examples import AMPLE

TODAY = "2026-10-03"
PLANNED_FILES = {"plan.json", "calendar.ics", "calendar-state.json"}


def never(*_: object, **__: object) -> None:
    """Stand in for what must not be called."""
    raise AssertionError("must not be called")


# Planning.


def test_plan_shows_proof_then_sowings_totes_and_harvest(planned_once: tuple[Path, str]) -> None:
    """The screen tells how good the plan is, then what to do, then what was written where."""
    folder, shown = planned_once
    titles = ["How good this plan is", "Sowings", "Totes by week", "Harvest by week", "Notes"]
    assert [line for line in shown.splitlines() if line in titles] == titles
    assert shown.splitlines()[-1] == f"Wrote {folder / 'plan.json'} and {folder / 'calendar.ics'}."
    assert "Leaf greens make" in shown
    assert contents(folder).keys() == PLANNED_FILES | {"garden.yaml"}


def test_plan_again_solves_and_writes_nothing(
    run: Run, planned: Path, planned_once: tuple[Path, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """If nothing has changed, the plan is shown again as it was, and every file is left alone."""
    monkeypatch.setattr(pipeline, "make_plan", never)
    before = {path: path.stat().st_mtime_ns for path in planned.iterdir()}

    ended = run("plan", "-g", planned, "--today", TODAY)

    assert (ended.status, ended.err) == (0, "")
    assert "Nothing has changed since this plan was made: nothing was solved." in ended.out
    assert ended.out.splitlines()[:-1] == planned_once[1].splitlines()[:-1]
    assert {path: path.stat().st_mtime_ns for path in planned.iterdir()} == before


@pytest.mark.parametrize(
    "line",
    [
        "tariff: {currency: EUR, per_kwh: 0.3}",
        "air_pump: {watts: 4}",
        "nutrient: castings brew",
        "tap_water: {Ca: 40}",
        "change_every_days: 20",
        "unattended_days: 5",
        "stock_counted_on: 2026-10-01\nstock: {net pots: {pieces: 9}}",
        "order_days: 3",
    ],
)
def test_upkeep_makes_no_new_plan(run: Run, planned: Path, monkeypatch: pytest.MonkeyPatch, line: str) -> None:
    """What only upkeep goes by changes chores, and solves nothing."""
    monkeypatch.setattr(pipeline, "make_plan", never)
    file = planned / "garden.yaml"
    file.write_text(f"{file.read_text(encoding='utf-8')}{line}\n", encoding="utf-8")
    assert run("plan", "-g", planned, "--today", TODAY).status == 0


def test_history_that_the_garden_no_longer_knows_hinders_nothing(run: Run, planned: Path) -> None:
    """A tote that was taken out of the file long after its plants were: the plan goes on without it."""
    file = planned / "plan.json"
    saved = json.loads(file.read_text(encoding="utf-8"))
    first = min(saved["batches"], key=lambda batch: str(batch["cleared_on"]))
    first["tote"] = "Z"
    file.write_text(json.dumps(saved), encoding="utf-8")
    day_after = date.fromisoformat(first["cleared_on"]) + timedelta(1)
    for command in ("plan", "chores", "supplies", "check"):
        ended = run(command, "-g", planned, "--today", day_after.isoformat())
        assert (command, ended.status) == (command, 0), ended.err


def test_plan_again_writes_a_calendar_that_is_missing(run: Run, planned: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A calendar that was deleted comes back as it was, without solving."""
    monkeypatch.setattr(pipeline, "make_plan", never)
    published = (planned / "calendar.ics").read_bytes()
    (planned / "calendar.ics").unlink()
    assert run("plan", "-g", planned, "--today", TODAY).status == 0
    assert (planned / "calendar.ics").read_bytes() == published


def test_plan_afresh_solves_and_keeps_numbers(run: Run, planned: Path) -> None:
    """--afresh solves although nothing has changed; batches that are the same keep their number."""
    old = load(planned)
    ended = run("plan", "-g", planned, "--today", TODAY, "--afresh", "--seconds", AMPLE)
    new = load(planned)
    assert (ended.status, ended.err) == (0, "")
    assert "Wrote" in ended.out.splitlines()[-1]
    assert old is not None
    assert new is not None
    assert new.uuid == old.uuid
    assert new.batches == old.batches


def test_plan_json_is_the_plan_and_nothing_else(run: Run, planned: Path) -> None:
    """--json prints what plan.json holds, with the shape of the design."""
    ended = run("plan", "-g", planned, "--today", TODAY, "--json")
    assert (ended.status, ended.err) == (0, "")
    told = json.loads(ended.out)
    assert told == json.loads((planned / "plan.json").read_text(encoding="utf-8"))
    assert told.keys() >= {"version", "garden", "made_on", "from", "until", "proof", "batches", "weeks"}
    assert (told["version"], told["from"], told["until"]) == (1, TODAY, "2026-11-28")
    assert [week["starts_on"] for week in told["weeks"]][:2] == [TODAY, "2026-10-10"]
    assert len(told["weeks"]) == 8
    assert all(week["wants"].keys() == {"salad", "pan"} for week in told["weeks"])


def test_a_new_day_is_planned_round_what_has_begun(run: Run, planned: Path) -> None:
    """A later plan keeps what was sown before as it was."""
    old = load(planned)
    assert run("plan", "-g", planned, "--today", "2026-10-22").status == 0
    new = load(planned)
    assert old is not None
    assert new is not None

    def facts(plan: Plan) -> set[tuple[int, str, date, int]]:
        sown = (batch for batch in plan.batches if batch.sown_on < date(2026, 10, 22))
        return {(batch.id, batch.crop, batch.sown_on, batch.plants) for batch in sown}

    assert facts(old)
    assert facts(old) <= facts(new)


def test_calendar_holds_the_chores(run: Run, planned: Path) -> None:
    """The calendar has an event for each chore; a title that is too long for a phone loses its place."""
    ended = run("chores", "-g", planned, "--today", TODAY, "--days", 400, "--json")
    events = Calendar.from_ical((planned / "calendar.ics").read_bytes()).walk("VEVENT")
    chores = json.loads(ended.out)["chores"]
    titles = {chore["title"]: re.sub(r" in(to)? [A-Z] [0-9, -]*[0-9]", "", chore["title"]) for chore in chores}
    shown = [(chore["on"], title if len(title := chore["title"]) <= 35 else titles[title]) for chore in chores]
    assert sorted(shown) == sorted((event.decoded("dtstart").isoformat(), str(event["summary"])) for event in events)


# Showing.


@pytest.mark.parametrize(
    ("part", "told"),
    [
        ((), ["How good this plan is", "Sowings", "Totes by week", "Harvest by week", "Notes"]),
        (("sowings",), ["Sowings"]),
        (("totes",), ["Totes by week"]),
        (("harvest",), ["Harvest by week"]),
        (("batches",), ["Batches"]),
        (("lids",), ["Lids on Sat 24 Oct"]),
    ],
)
def test_show_tells_the_part_that_is_asked_for(
    run: Run, planned: Path, monkeypatch: pytest.MonkeyPatch, part: tuple[str, ...], told: list[str]
) -> None:
    """The saved plan is shown without solving, whole or in part."""
    monkeypatch.setattr(pipeline, "make_plan", never)
    ended = run("show", *part, "-g", planned, "--today", "24 oct 2026")
    titles = ("How good", "Sowings", "Totes by", "Harvest by", "Notes", "Batches", "Lids on")
    assert (ended.status, ended.err) == (0, "")
    assert [line for line in ended.out.splitlines() if line.startswith(titles)] == told


def test_show_json_is_the_whole_plan(run: Run, planned: Path) -> None:
    """Show --json prints plan.json whatever the part."""
    for part in ((), ("harvest",)):
        ended = run("show", *part, "-g", planned, "--json")
        assert json.loads(ended.out) == json.loads((planned / "plan.json").read_text(encoding="utf-8"))


def test_chores_tell_the_days_that_are_asked_for(run: Run, planned: Path) -> None:
    """Chores run from the day on for as many days; on the first day of the plan something is sown."""
    ended = run("chores", "-g", planned, "--today", TODAY)
    assert (ended.status, ended.err) == (0, "")
    assert re.match(r"Sat 3 Oct \(today\), about \d+ minutes\n  Sow ", ended.out)
    told = json.loads(run("chores", "-g", planned, "--today", TODAY, "--from", "sat", "--days", 1, "--json").out)
    assert (told["from"], told["until"]) == (TODAY, "2026-10-04")
    assert {chore["on"] for chore in told["chores"]} == {TODAY}
    # The lamp over the seedlings is set when they come.
    assert {chore["kind"] for chore in told["chores"]} == {"sow", "timer"}
    sown = [chore for chore in told["chores"] if chore["kind"] == "sow"]
    assert all(chore["key"] == f"{chore['batches'][0]}/sow/1" for chore in sown)


def test_quiet_days_tell_the_next_work(run: Run, planned: Path) -> None:
    """Where nothing is due, the next day with work is told, or that there is none."""
    ended = run("chores", "-g", planned, "--today", TODAY, "--from", "tomorrow", "--days", 2)
    assert ended.out.startswith("Nothing to do from Sun 4 Oct to Mon 5 Oct; the next work is on ")
    ended = run("chores", "-g", planned, "--today", TODAY, "--from", "2030-01-01")
    assert "no work is planned after that either" in ended.out


def test_calendar_goes_where_it_is_told(run: Run, planned: Path, tmp_path: Path) -> None:
    """-o names the file; the events are those of the garden's own calendar, and its state is kept there."""
    ended = run("calendar", "-g", planned, "-o", tmp_path / "other.ics")
    assert (ended.status, ended.out) == (0, f"Wrote {tmp_path / 'other.ics'}.\n")
    assert (tmp_path / "other.ics").read_bytes() == (planned / "calendar.ics").read_bytes()
    assert run("calendar", "-g", planned).out == f"{planned / 'calendar.ics'} is up to date.\n"
    assert not (tmp_path / "calendar-state.json").exists()


@pytest.mark.parametrize("name", ["garden.yaml", "calendar-state.json", "plan.json", "mine.ics", "x-tasks.ics"])
def test_calendar_is_not_written_over_something_else(run: Run, planned: Path, name: str) -> None:
    """-o leaves every file alone that is no calendar of ours, and says so."""
    (planned / "mine.ics").write_text("BEGIN:VCALENDAR\r\nPRODID:-//theirs//EN\r\n", encoding="utf-8")
    before = {path.name: path.read_bytes() for path in planned.iterdir() if path.is_file()}
    ended = run("calendar", "-g", planned, "-o", planned / name)
    assert ended.status == 2
    assert "Name " in ended.err
    assert {path.name: path.read_bytes() for path in planned.iterdir() if path.is_file()} == before


def test_a_calendar_that_was_not_written_is_written_by_the_next_plan(run: Run, planned: Path) -> None:
    """If something came between plan and calendar, planning again, though nothing changed, brings the calendar."""
    whole = (planned / "calendar.ics").read_bytes()
    (planned / "calendar.ics").write_bytes(whole.replace(b"SUMMARY:", b"SUMMARY:Old ", 1))
    ended = run("plan", "-g", planned, "--today", TODAY)
    assert "nothing was solved" in " ".join(ended.out.split())
    assert b"SUMMARY:Old " not in (planned / "calendar.ics").read_bytes()


def test_the_garden_may_be_named_by_the_environment(run: Run, planned: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """STEADYSOW_GARDEN names the folder; without it the current folder is meant."""
    with_option = run("show", "batches", "-g", planned).out
    monkeypatch.setenv("STEADYSOW_GARDEN", str(planned))
    assert run("show", "batches").out == with_option
    monkeypatch.delenv("STEADYSOW_GARDEN")
    monkeypatch.chdir(planned)
    assert run("show", "batches").out == with_option


# Checking, beginning, looking up.


def test_check_tells_faults_doubts_and_cautions(run: Run, fresh: Path) -> None:
    """A garden without faults ends with 0, tells its doubts, and electricity first among the cautions."""
    garden = fresh / "garden.yaml"
    garden.write_text(garden.read_text(encoding="utf-8").replace("crops: [bok choy]", "crops: [butterhead lettuce]"))
    ended = run("check", "-g", fresh)
    assert (ended.status, ended.err) == (0, "")
    sentence = "A lid of 20 x 30 cm (totes A and B) has 4 holes, but room for only 1 butterhead lettuce as full heads."
    assert sentence in " ".join(ended.out.split())
    cautions = ended.out.split("Cautions\n")[1]
    assert cautions.startswith("- Power near water belongs behind an RCD (GFCI). Local codes and a licensed")
    assert "Light\n" not in ended.out


def test_check_tells_how_the_plan_uses_light(run: Run, planned: Path) -> None:
    """Where there is a plan, its grams a mol stand beside the published range."""
    ended = run("check", "-g", planned)
    light = " ".join(ended.out.split("Light\n")[1].split())
    assert "Leaf greens make" in light
    assert "Published trials reached 9.8 g to 24.6 g" in light


def test_init_begins_a_garden_without_faults(run: Run, tmp_path: Path) -> None:
    """The starter garden is sound and plans as it is, and what to do next is said."""
    folder = tmp_path / "new" / "garden"
    ended = run("init", folder)
    assert (ended.status, ended.err) == (0, "")
    assert f"steadysow plan -g {folder}" in ended.out
    assert run("check", "-g", folder).status == 0
    assert run("plan", "-g", folder, "--today", TODAY).status == 0
    plan = load(folder)
    assert plan is not None
    assert {batch.tote for batch in plan.batches} == {"A", "B"}
    assert plan.proof.served_share > 0.5


def test_init_overwrites_nothing(run: Run, fresh: Path) -> None:
    """Where a garden is, it stays as it is."""
    before = contents(fresh)
    ended = run("init", fresh)
    assert ended.status == 2
    assert "is there already and is left as it is. Name another folder." in ended.err
    assert contents(fresh) == before


def test_init_needs_a_folder(run: Run, tmp_path: Path) -> None:
    """A file cannot hold a garden."""
    (tmp_path / "file").write_text("", encoding="utf-8")
    ended = run("init", tmp_path / "file")
    assert (ended.status, "is not a folder" in ended.err) == (2, True)


def test_crops_are_listed_and_shown(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """All crops are listed without a garden; one is shown with its sources; a near miss is helped."""
    monkeypatch.chdir(tmp_path)
    assert "butterhead lettuce" in run("crops").out
    shown = run("crops", "Butterhead", "lettuce").out
    assert "Lactuca sativa" in shown
    assert "Sources" in shown
    ended = run("crops", "butterhed lettuce")
    assert (ended.status, ended.out) == (2, "")
    assert ended.err == 'NAME: there is no crop "butterhed lettuce". Did you mean butterhead lettuce?\n'


def test_crops_json(run: Run, fresh: Path) -> None:
    """--json prints the profiles, one or all, sorted by name."""
    one = json.loads(run("crops", "mizuna", "-g", fresh, "--json").out)
    every = json.loads(run("crops", "-g", fresh, "--json").out)
    assert one["species"].startswith("Brassica rapa")
    assert one in every
    assert [crop["name"] for crop in every] == sorted(crop["name"] for crop in every)


def test_crops_follow_the_units_of_the_garden(run: Run, fresh: Path) -> None:
    """A garden in US units shows degrees Fahrenheit."""
    garden = fresh / "garden.yaml"
    garden.write_text("units: us\n" + garden.read_text(encoding="utf-8"), encoding="utf-8")
    assert "°F" in run("crops", "mizuna", "-g", fresh).out


@pytest.mark.parametrize("kind", ["garden", "crop"])
def test_schema_is_printed_as_it_is(run: Run, kind: Literal["garden", "crop"]) -> None:
    """The schema is printed whole, as JSON."""
    assert json.loads(run("schema", kind).out) == schema(kind)


def test_version_and_help(run: Run) -> None:
    """--version tells the version; help names every command; no command at all shows help."""
    assert run("--version").out == f"steadysow {__version__}\n"
    ended = run("--help")
    assert ended.status == 0
    for name in ("init", "check", "plan", "show", "chores", "calendar", "crops", "schema"):
        assert f"  {name} " in ended.out


# What comes of a sowing.

# As warm as the profile of butterhead lettuce has it, 22 degrees, and brighter than its 17 mol: 300 umol for 16 hours.
SUNNY_GARDEN = """\
garden: Kitchen and yard
latitude: 61
clouds: 0.6
nursery: {cells: 20, lamp: {ppfd: 200, hours: 14}, temperature_c: 22}
places:
  shelf: {lamp: {ppfd: 300, hours: 16}, temperature_c: 22}
  south window: {window: {faces: south, share: 0.4}, temperature_c: 19}
  yard: {outdoors: {frost_free: [05-20, 09-25]}, temperature_c: {may: 10, jun: 14, jul: 16, aug: 15, sep: 10}}
totes:
  A: {holes: 4, litres: 11, system: dwc, place: shelf}
  B: {holes: 4, litres: 11, system: dwc, place: south window}
  C: {holes: 4, litres: 11, system: dwc, place: yard}
wants:
  heads: {heads_a_week: 1, crops: [butterhead lettuce]}
"""
NOVEMBER, JUNE = "2026-11-07", "2027-06-05"
LETTUCE = ("crops", "butterhead", "lettuce")


@pytest.fixture
def sunny(tmp_path: Path) -> Path:
    """Give a folder with a garden under a lamp, at a south window and outdoors, at 61 degrees north."""
    (tmp_path / "garden.yaml").write_text(SUNNY_GARDEN, encoding="utf-8")
    return tmp_path


def forecasts(ended: Ended) -> dict[tuple[str, str], dict[str, Any]]:
    """Give the forecasts that were printed as JSON, by place and day of sowing."""
    assert (ended.status, ended.err) == (0, "")
    return {(each["place"], each["sown_on"]): each for each in json.loads(ended.out)}


def as_shown(day: str) -> str:
    """Give a day as tables show it."""
    return f"{date.fromisoformat(day).day} {date.fromisoformat(day):%b}"


def test_one_command_tells_a_crop_under_a_lamp_at_a_window_and_outdoors(run: Run, sunny: Path) -> None:
    """Sown in November the window is months later than the lamp, and lighter; in June the yard gives a harvest."""
    told = forecasts(run(*LETTUCE, "--sown", NOVEMBER, "--sown", JUNE, "-g", sunny, "--json"))
    assert list(told) == [(place, day) for day in (NOVEMBER, JUNE) for place in ("shelf", "south window", "yard")]
    lamp, window, yard = told["shelf", NOVEMBER], told["south window", NOVEMBER], told["yard", JUNE]
    # The trial of the profile: transplanted on day 12, harvested on day 35, 142 g.
    assert (lamp["planted_on"], lamp["ready_on"], lamp["grams"]) == ("2026-11-19", "2026-12-12", 142)
    assert date(2027, 2, 1) < date.fromisoformat(window["ready_on"]) < date(2027, 4, 1)
    assert 0 < window["grams"] < 0.6 * lamp["grams"]
    assert date(2027, 7, 1) < date.fromisoformat(yard["ready_on"]) < date(2027, 8, 10)
    assert yard["grams"] == 142
    # Nothing is planted in a yard under snow.
    closed = told["yard", NOVEMBER]
    assert (closed["end"], closed["closed_on"], closed["ready_on"]) == ("closed", "2026-11-19", None)


def test_forecasts_are_what_the_planner_reckons_with(run: Run, sunny: Path) -> None:
    """The first harvest, and the weight, are those of the place that the planner looks at."""
    garden = read_garden(sunny)
    crops = garden.crops
    lettuce = crops["butterhead lettuce"]
    told = forecasts(run(*LETTUCE, "--sown", NOVEMBER, "--sown", JUNE, "-g", sunny, "--json"))
    for (name, sown), each in told.items():
        if each["ready_on"] is None:
            continue
        conditions = conditions_at(garden.place(name), date.fromisoformat(sown), 300, garden.sky)
        growing = GrowingPlace(lettuce, conditions)
        planted_on = date.fromisoformat(sown) + timedelta(days=12)
        ready_on = growing.first_due(planted_on)
        assert (each["planted_on"], each["ready_on"]) == (str(planted_on), str(ready_on))
        assert ready_on is not None
        assert each["latest_on"] == str(ready_on + timedelta(days=9))
        assert each["grams"] == growing.grams(1, planted_on, ready_on, 1 / lettuce.plants_per_m2)


@pytest.mark.parametrize("width", [80, 120])
def test_forecasts_fit_the_window(run: Run, sunny: Path, monkeypatch: pytest.MonkeyPatch, width: int) -> None:
    """Every date, weight and temperature of the JSON stands whole in its row, at 80 columns as at 120."""
    monkeypatch.setenv("COLUMNS", str(width))
    ended = run(*LETTUCE, "--sown", NOVEMBER, "--sown", JUNE, "-g", sunny)
    assert (ended.status, ended.err) == (0, "")
    lines = ended.out.splitlines()
    assert max(map(len, lines)) <= width
    told = forecasts(run(*LETTUCE, "--sown", NOVEMBER, "--sown", JUNE, "-g", sunny, "--json"))
    table = " ".join(ended.out.partition("Why")[0].split())
    for (_, sown), each in told.items():
        assert f"{as_shown(sown)} " in table
        if each["ready_on"]:
            stages = (each[stage] for stage in ("emerges_on", "planted_on", "ready_on", "latest_on"))
            assert " ".join(as_shown(stage) for stage in stages) + f" {each['grams']:.0f} g" in table
            assert f"{each['dli_mol']:.1f} mol {round(each['temperature_c'], 1):g} °C" in table
    headers = ("Sown", "Place", "Up", "Planted", "Ready", "Good until", "Weight", "Light", "Warmth")
    assert set(table.split()) >= set(" ".join(headers).split())


@pytest.mark.parametrize("width", [80, 120])
def test_forecasts_say_why(run: Run, sunny: Path, monkeypatch: pytest.MonkeyPatch, width: int) -> None:
    """The window's sentence has the light, the days beside the profile's 23 and the weight beside its 142 g."""
    monkeypatch.setenv("COLUMNS", str(width))
    told = forecasts(run(*LETTUCE, "--sown", NOVEMBER, "--sown", JUNE, "-g", sunny, "--json"))
    shown = run(*LETTUCE, "--sown", NOVEMBER, "--sown", JUNE, "-g", sunny).out
    reasons = " ".join(shown.partition("Why")[2].split()).split("- ")[1:]
    assert len(reasons) == len(told) == 6
    lamp, window, yard = reasons[:3]
    assert lamp.startswith("shelf, sown 7 Nov: At 17.3 mol of light a day and 22 °C it grows at 100% of its pace at 17")
    assert "23 days instead of 23" in lamp
    assert "the light makes" not in lamp
    there = told["south window", NOVEMBER]
    taken = (date.fromisoformat(there["ready_on"]) - date.fromisoformat(there["planted_on"])).days
    assert window.startswith(f"south window, sown 7 Nov: At {there['dli_mol']:.1f} mol of light a day and 19 °C")
    assert f"(light {there['light_pace']:.0%}, warmth 86%): {taken} days instead of 23." in window
    assert f"the light makes {there['grams']:.0f} g of the 142 g in the profile." in window
    assert yard.startswith("yard, sown 7 Nov: The place is not in use on 19 Nov 2026")


def test_places_and_days_of_a_sowing_are_chosen(run: Run, sunny: Path) -> None:
    """--in names places, in that order; without --sown it is sown today; days may be told as people say them."""
    ended = run(*LETTUCE, "--in", "yard", "--in", "shelf", "--today", NOVEMBER, "-g", sunny, "--json")
    assert list(forecasts(ended)) == [("yard", NOVEMBER), ("shelf", NOVEMBER)]
    arguments = ("--in", "south window", "--sown", "tomorrow", "--sown", "5 jun 2027", "--today", NOVEMBER)
    ended = run(*LETTUCE, *arguments, "-g", sunny, "--json")
    assert list(forecasts(ended)) == [("south window", "2026-11-08"), ("south window", JUNE)]


def test_forecasts_follow_the_units_of_the_garden(run: Run, sunny: Path) -> None:
    """In US units 22 degrees are 72 Fahrenheit and 142 g are 5.0 ounces, in the table as in the sentences."""
    (sunny / "garden.yaml").write_text(
        "units: us\n" + SUNNY_GARDEN.replace("temperature_c: 22", "temperature_f: 71.6"), encoding="utf-8"
    )
    shown = run(*LETTUCE, "--sown", NOVEMBER, "--in", "shelf", "--in", "south window", "-g", sunny).out
    assert re.search(r"5\.0 oz +17\.3 mol +72 °F", shown)
    assert "of the 5.0 oz in the profile" in " ".join(shown.split())
    assert "°C" not in shown
    assert " g " not in shown


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ((*LETTUCE, "--in", "shef"), '--in: there is no place "shef". Did you mean shelf?'),
        (("crops", "--in", "shelf"), "NAME: a sowing is of one crop. Write its name, such as: "),
        (("crops", "--sown", NOVEMBER), "NAME: a sowing is of one crop. Write its name, such as: "),
        (("crops", "buterhead", "lettuce", "--sown", NOVEMBER), "Did you mean butterhead lettuce?"),
        ((*LETTUCE, "--sown", "5/6/2027"), '--sown: "5/6/2027" is not a day, or could be more than one. Write it like'),
        ((*LETTUCE, "--sown", "2027-02-30"), "--sown: "),
        ((*LETTUCE, "--sown", NOVEMBER, "--sown", "someday"), '--sown: "someday" is not a day'),
    ],
)
def test_a_sowing_that_is_not_clear_is_refused(run: Run, sunny: Path, arguments: tuple[str, ...], told: str) -> None:
    """A place, crop or day that is not known ends with 2 and tells what to write instead."""
    for form in ((), ("--json",)):
        ended = run(*arguments, "-g", sunny, *form)
        assert (ended.status, ended.out) == (2, "")
        assert told in ended.err
        assert re.search("Write |Did you mean ", ended.err)


@pytest.mark.parametrize("day", ["9999-06-01", "9998-12-31"])
def test_a_sowing_at_the_end_of_time_is_no_fault_of_ours(run: Run, sunny: Path, day: str) -> None:
    """A year typed wrong is refused, or answered, but is no bug of ours."""
    ended = run(*LETTUCE, "--sown", day, "--in", "shelf", "-g", sunny)
    assert ended.status in (0, 2)
    assert "A fault of steadysow itself" not in ended.err


def test_a_sowing_needs_a_garden(run: Run, tmp_path: Path) -> None:
    """Places are those of a garden: where there is none, init is named."""
    ended = run(*LETTUCE, "--sown", NOVEMBER, "-g", tmp_path)
    assert (ended.status, ended.out) == (2, "")
    assert "there is no garden.yaml in this folder. Run `steadysow init" in ended.err


# Faults: told with file and line, status 2, and nothing is written.


def broken(old: str, new: str) -> Callable[[str], str]:
    """Give a change of the garden's text that must find what it replaces."""

    def change(text: str) -> str:
        assert old in text
        return text.replace(old, new, 1)

    return change


BAD_GARDENS: dict[str, tuple[Callable[[str], str], int | None, str]] = {
    "missing key": (broken("garden: Two totes\n", ""), 1, "garden"),
    "wrong type": (broken("weeks: 8", "weeks: many"), 3, "weeks"),
    "negative count": (broken("A: {holes: 4", "A: {holes: -4"), 10, "totes.A.holes"),
    "unknown key": (broken("weeks: 8", "week: 8"), 3, "weeks"),
    "unknown crop": (broken("crops: [mizuna]", "crops: [mizzuna]"), 13, "Did you mean mizuna?"),
    "crop no tote can hold": (
        broken("crops: [bok choy]", "crops: [bok choy, dwarf tomato]"),
        14,
        "dwarf tomato",
    ),
    "want nobody can serve": (
        broken("[20, 30], system: dwc", "[2, 3], system: dwc"),
        13,
        "no tote can hold any of these crops",
    ),
    "two totes with one name": (broken("B: {holes", "A: {holes"), 11, "appears twice"),
    "date that is not one": (broken("starts_on: 2026-10-03", "starts_on: 2026-02-30"), 2, "starts_on"),
    "away turned round": (
        lambda text: text + "away: [{from: 2026-12-28, back_on: 2026-12-19}]\n",
        15,
        "not after the day you leave",
    ),
    "tab": (broken("  shelf:", "\tshelf:"), 8, "tab"),
    "not YAML": (broken("chore_days: sat", "chore_days: [sat"), None, "is not YAML"),
    "empty file": (lambda _: "", 1, "is empty"),
}


@pytest.mark.parametrize("name", BAD_GARDENS)
@pytest.mark.parametrize("command", ["check", "plan", "show", "chores", "calendar"])
def test_faults_are_told_with_file_and_line(run: Run, fresh: Path, name: str, command: str) -> None:
    """Every command tells what is wrong, where, and what to write; it ends with 2 and writes nothing."""
    change, line, told = BAD_GARDENS[name]
    garden = fresh / "garden.yaml"
    text = garden.read_text(encoding="utf-8")
    if name == "crop no tote can hold":
        text = text.replace("system: dwc", "system: kratky")
    if name == "want nobody can serve":
        text = text.replace("[20, 30], system: kratky", "[2, 3], system: kratky")
    garden.write_text(change(text), encoding="utf-8")
    before = contents(fresh)

    ended = run(command, "-g", fresh)

    assert (ended.status, ended.out) == (2, "")
    where = f"{garden}, line {'' if line is None else f'{line}: '}"
    assert any(fault.startswith(where) and told in fault for fault in ended.err.splitlines()), ended.err
    assert all(fault.endswith((".", "?")) for fault in ended.err.splitlines())
    assert contents(fresh) == before


def test_all_faults_are_told_at_once(run: Run, fresh: Path) -> None:
    """Two faults of one file make two lines, in the order of the file."""
    garden = fresh / "garden.yaml"
    text = garden.read_text(encoding="utf-8").replace("weeks: 8", "weeks: 0").replace("A: {holes: 4", "A: {holes: 0")
    garden.write_text(text, encoding="utf-8")
    told = run("check", "-g", fresh).err.splitlines()
    assert [line.split(": ")[0].rpartition(" ")[2] for line in told] == ["3", "10"]


@pytest.mark.parametrize("command", ["check", "plan", "show", "chores", "calendar"])
def test_a_folder_must_be_there_and_hold_a_garden(run: Run, tmp_path: Path, command: str) -> None:
    """A folder that is not there, and one without garden.yaml, are told apart; the second points to init."""
    missing = tmp_path / "missing"
    ended = run(command, "-g", missing)
    assert (ended.status, ended.out) == (2, "")
    assert ended.err == f"{missing}: there is no such folder. Name the garden's folder with -g.\n"
    ended = run(command, "-g", tmp_path)
    assert (ended.status, ended.out) == (2, "")
    assert ended.err.startswith(f"{tmp_path}: there is no garden.yaml in this folder. Run `steadysow init {tmp_path}`")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("command", ["show", "chores", "calendar"])
def test_a_plan_is_needed_first(run: Run, fresh: Path, command: str) -> None:
    """Without a plan there is nothing to show, and the command that makes one is named."""
    ended = run(command, "-g", fresh)
    assert (ended.status, ended.out) == (2, "")
    assert ended.err == f"{fresh}: there is no plan yet. Run `steadysow plan`.\n"
    assert contents(fresh).keys() == {"garden.yaml"}


@pytest.mark.parametrize("content", [b"\xff\xfe\x00", None], ids=["not text", "a folder"])
def test_an_unreadable_file_is_told(run: Run, fresh: Path, content: bytes | None) -> None:
    """A garden.yaml that is not text, or not a file, is a fault and not a crash."""
    garden = fresh / "garden.yaml"
    garden.unlink()
    if content is None:
        garden.mkdir()
    else:
        garden.write_bytes(content)
    ended = run("plan", "-g", fresh)
    assert (ended.status, ended.out) == (2, "")
    assert ended.err.startswith(str(garden))


@pytest.mark.skipif(os.name == "nt" or os.geteuid() == 0, reason="nothing is forbidden to this user")
def test_a_forbidden_file_is_told(run: Run, fresh: Path) -> None:
    """A garden.yaml that may not be read is a fault."""
    (fresh / "garden.yaml").chmod(0)
    ended = run("plan", "-g", fresh)
    assert (ended.status, "Give yourself the right to read it" in ended.err) == (2, True)


def test_a_target_that_cannot_be_written_is_told(run: Run, planned: Path) -> None:
    """A calendar in a folder that is not there cannot be written; that is told in a sentence."""
    ended = run("calendar", "-g", planned, "-o", planned / "none" / "calendar.ics")
    assert (ended.status, ended.out) == (2, "")
    assert "No such file or directory. Give yourself the right to read and write there" in ended.err


@pytest.mark.parametrize(
    "arguments", [("chores", "--from", "5/12/2026"), ("plan", "--today", "someday"), ("show", "--today", "2026-02-30")]
)
def test_unclear_dates_are_refused(run: Run, planned: Path, arguments: tuple[str, ...]) -> None:
    """An argument that is no clear date is named, with what to write."""
    before = contents(planned)
    ended = run(*arguments, "-g", planned)
    assert (ended.status, ended.out) == (2, "")
    assert ended.err.startswith(f"{arguments[1]}: ")
    assert "Write it like 2026-12-05" in ended.err
    assert contents(planned) == before


@pytest.mark.parametrize(
    "arguments", [("frobnicate",), ("show", "everything"), ("schema",), ("chores", "--days", "0"), ("plan", "--fast")]
)
def test_unknown_arguments_end_with_2(run: Run, arguments: tuple[str, ...]) -> None:
    """What is no command, part or option is refused with status 2."""
    ended = run(*arguments)
    assert (ended.status, ended.out) == (2, "")
    assert ended.err


@pytest.mark.parametrize("content", ["", "{", "[]", '{"version": 99}'])
def test_a_broken_plan_is_told(run: Run, planned: Path, content: str) -> None:
    """A plan.json that cannot be read is a fault, and is left as it is."""
    (planned / "plan.json").write_text(content, encoding="utf-8")
    for command in ("plan", "show", "chores", "calendar"):
        ended = run(command, "-g", planned, "--today", TODAY)
        assert (ended.status, ended.out) == (2, "")
        assert "plan.json" in ended.err
    assert (planned / "plan.json").read_text(encoding="utf-8") == content


@pytest.mark.parametrize("command", ["plan", "show", "chores", "calendar"])
def test_a_begun_batch_must_keep_its_place(run: Run, planned: Path, command: str) -> None:
    """If a want's crop is taken out while it stands, the batch is named, and nothing is written."""
    garden = planned / "garden.yaml"
    garden.write_text(garden.read_text(encoding="utf-8").replace("crops: [mizuna]", "crops: [kale]"), encoding="utf-8")
    before = contents(planned)
    ended = run(command, "-g", planned, "--today", "2026-11-06")
    assert (ended.status, ended.out) == (2, "")
    assert 'the garden no longer has mizuna for the want "salad". Put it back, or delete plan.json' in ended.err
    assert "plan.json: batch " in ended.err
    assert contents(planned) == before


# Faults of ours, and what interrupts.


def test_a_fault_of_ours_is_one_sentence(run: Run, fresh: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A bug ends with 1 and one sentence; with STEADYSOW_DEBUG its traceback is seen."""

    def fail(*_: object, **__: object) -> None:
        raise KeyError("a\nbug")

    monkeypatch.setattr(pipeline, "make_plan", fail)
    ended = run("plan", "-g", fresh)
    assert (ended.status, ended.out) == (1, "")
    assert len(ended.err.splitlines()) == 1
    assert "A fault of steadysow itself, not of your files (KeyError" in ended.err
    assert contents(fresh).keys() == {"garden.yaml"}
    monkeypatch.setenv("STEADYSOW_DEBUG", "1")
    with pytest.raises(KeyError, match="bug"):
        run("plan", "-g", fresh)


def test_ctrl_c_outside_the_search_writes_nothing(run: Run, fresh: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Interrupted before there is a plan, the command says so and leaves the folder as it was."""

    def interrupt(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(pipeline, "make_plan", interrupt)
    ended = run("plan", "-g", fresh)
    assert (ended.status, ended.out) == (130, "")
    assert ended.err == "Interrupted before there was a result; nothing was written.\n"
    assert contents(fresh).keys() == {"garden.yaml"}


def test_ctrl_c_before_anything_is_found_writes_nothing(
    run: Run, planned: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A search interrupted before it found anything does not replace the plan in force."""
    old = load(planned)
    assert old is not None
    nothing = replace(old, batches=(), proof=replace(old.proof, status="interrupted"))
    monkeypatch.setattr(pipeline, "make_plan", lambda *_, **__: nothing)
    before = contents(planned)
    ended = run("plan", "-g", planned, "--today", TODAY, "--afresh")
    assert (ended.status, ended.out) == (130, "")
    assert contents(planned) == before


def test_ctrl_c_keeps_the_best_so_far(run: Run, planned: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A search interrupted with a plan in hand saves and shows it, and says so."""
    old = load(planned)
    assert old is not None
    best = replace(old, proof=replace(old.proof, status="interrupted", best_share=0.9, bound_share=1.0))
    monkeypatch.setattr(pipeline, "make_plan", lambda *_, **__: best)
    ended = run("plan", "-g", planned, "--today", TODAY, "--afresh")
    assert (ended.status, ended.err) == (0, "")
    assert "The search was interrupted after" in ended.out
    assert load(planned) == best


@pytest.mark.skipif(os.name == "nt", reason="there is no such pipe")
def test_a_reader_that_leaves_is_no_fault(planned: Path) -> None:
    """If whoever reads our output stops, the command ends without a word of its own."""
    command = f'"{sys.executable}" -m steadysow crops --json -g "{planned}" | head -c 10'
    ended = subprocess.run(["bash", "-c", command], capture_output=True, text=True, check=True)
    assert (ended.stdout, ended.stderr) == ('[\n {\n  "na', "")


# Start-up.


def imported(*arguments: str) -> set[str]:
    """Give the packages that a command imports."""
    command = [sys.executable, "-X", "importtime", "-m", "steadysow", *arguments]
    ended = subprocess.run(command, capture_output=True, text=True, check=True)
    lines = (line for line in ended.stderr.splitlines() if line.startswith("import time:"))
    return {line.rpartition("|")[2].strip().partition(".")[0] for line in lines}


def test_help_imports_nothing_heavy() -> None:
    """Help and version need neither solver, calendar, tables nor YAML."""
    heavy = {"highspy", "numpy", "icalendar", "rich", "yaml"}
    for arguments in (("--help",), ("plan", "--help"), ("--version",)):
        names = imported(*arguments)
        assert "typer" in names
        assert not names & heavy


def test_chores_import_no_solver_and_no_calendar(planned: Path) -> None:
    """To tell chores, neither the solver nor the libraries of the calendar and the tables are loaded."""
    names = imported("chores", "-g", str(planned), "--today", TODAY)
    assert "yaml" in names
    assert not names & {"highspy", "numpy", "icalendar", "rich"}
