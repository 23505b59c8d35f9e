"""The garden file: every key is read, what is left out has its default, and every fault has its line."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, time
from pathlib import Path

import pytest

from steadysow.errors import Fault, InputFaults
from steadysow.inputs.calendar_style import CalendarStyle
from steadysow.inputs.garden import (
    Away,
    Garden,
    Lamp,
    Nursery,
    Place,
    Serving,
    SowingHabits,
    Stand,
    Tote,
    Want,
)
from steadysow.inputs.garden_file import read_garden
from steadysow.inputs.tariff import CheapHours, Tariff

FaultsOf = Callable[[str], tuple[Fault, ...]]
GardenOf = Callable[[str], Garden]

FULL = """\
garden: Trial shelf
starts_on: 2026-10-03
weeks: 20
clear_by: 2027-03-01
latitude: 61.2
units: metric
chore_days: [sat, wed]
harvest_days: sun
away: [{from: 2026-12-19, back_on: 2026-12-28}]
sowing: {every_days: 5, smallest: 3, crops_a_day: 2}
chore_minutes_a_week: 90
tidy_points: 2.5
turnaround_days: 2
nursery: {cells: 40, temperature_c: 22, lamp: {watts: 30, ppfd: 100, hours: 15}}
places:
  shelf: {lamp: {watts: 120, ppfd: 250, hours: 16, brightness: 50%, plants: 60}, temperature_c: 20}
  cellar: {lamp: {dli_mol: 8}, temperature_c: 12}
totes:
  A: {holes: 12, litres: 11, inside_cm: [40, 28], system: dwc, place: shelf}
  B: {holes: 8, litres: 11, system: kratky, place: {shelf: , cellar: [05-25, 09-10]}, top_up: never}
wants:
  salad:
    grams_a_week: 180
    crops: {plain lettuce: at most 70%, loose greens: between 5% and 60%, small fruit: any}
    from: 2026-12-05
    until: 2027-02-01
    importance: 2
    keeps_days: 6
  heads: {heads_a_week: 0.5, crops: [plain lettuce]}
tariff: {currency: EUR, per_kwh: 0.22, cheap: {from: "22:00", until: 07:00, per_kwh: 0.11}}
air_pump: {watts: 4}
calendar: {alarm: 08:00, detail: daily, color: SeaGreen, tasks: true}
"""


def test_every_key_is_read(garden_of: GardenOf) -> None:
    """Every key of the garden file is read into its field."""
    shelf = Place(
        name="shelf",
        # 250 umol m-2 s-1 at half brightness for 16 hours of 3600 s is 7.2 mol m-2.
        lamp=Lamp(dli_mol=7.2, ppfd=250, hours=16, brightness=0.5, watts=120, plants=60),
        temperature_c=20,
    )
    nursery = Place(name="nursery", lamp=Lamp(dli_mol=5.4, ppfd=100, hours=15, watts=30), temperature_c=22)
    assert garden_of(FULL) == Garden(
        name="Trial shelf",
        starts_on=date(2026, 10, 3),
        weeks=20,
        clear_by=date(2027, 3, 1),
        latitude=61.2,
        units="metric",
        chore_days=(2, 5),
        harvest_days=(6,),
        away=(Away(from_on=date(2026, 12, 19), back_on=date(2026, 12, 28)),),
        sowing=SowingHabits(every_days=5, smallest=3, crops_a_day=2),
        chore_minutes_a_week=90,
        tidy_points=2.5,
        turnaround_days=2,
        nursery=Nursery(cells=40, place=nursery),
        places=(shelf, Place(name="cellar", lamp=Lamp(dli_mol=8), temperature_c=12)),
        totes=(
            Tote(name="A", holes=12, litres=11, system="dwc", inside_cm=(40, 28), stands=(Stand(place="shelf"),)),
            Tote(
                name="B",
                holes=8,
                litres=11,
                system="kratky",
                inside_cm=None,
                stands=(Stand(place="shelf"), Stand(place="cellar", from_md=(5, 25), until_md=(9, 10))),
                top_up="never",
            ),
        ),
        wants=(
            Want(
                name="salad",
                unit="g",
                amount=180,
                servings=(
                    Serving(crop="plain lettuce", most=0.7),
                    Serving(crop="loose greens", least=0.05, most=0.6),
                    Serving(crop="small fruit"),
                ),
                from_on=date(2026, 12, 5),
                until_on=date(2027, 2, 1),
                importance=2,
                keeps_days=6,
            ),
            Want(name="heads", unit="heads", amount=0.5, servings=(Serving(crop="plain lettuce"),)),
        ),
        tariff=Tariff(
            currency="EUR",
            per_kwh=0.22,
            cheap=(CheapHours(from_clock=time(22), until_clock=time(7), per_kwh=0.11),),
        ),
        air_pump_watts=4,
        calendar=CalendarStyle(alarm=time(8), detail="daily", color="seagreen", tasks=True),
    )


def test_defaults(garden_of: GardenOf, garden_text: str) -> None:
    """Keys that a garden file leaves out have the defaults of the design."""
    garden = garden_of(garden_text.replace("starts_on: 2026-10-03\n", ""))
    assert (garden.starts_on, garden.weeks, garden.clear_by, garden.latitude) == (None, 30, None, None)
    assert (garden.units, garden.chore_days, garden.harvest_days, garden.away) == ("metric", (5,), (5,), ())
    assert garden.sowing == SowingHabits(every_days=7, smallest=2, crops_a_day=3)
    assert (garden.tidy_points, garden.turnaround_days) == (1.0, 1)
    assert garden.chore_minutes_a_week is None
    # 120 umol m-2 s-1 for 14 hours of 3600 s is 6.048 mol m-2.
    lamp = garden.nursery.place.lamp
    assert lamp is not None
    assert lamp.dli_mol == pytest.approx(6.048)
    assert (lamp.ppfd, lamp.hours) == (120, 14)
    assert garden.nursery == Nursery(cells=60, place=Place(name="nursery", lamp=lamp, temperature_c=21))
    assert (garden.tariff, garden.calendar) == (None, CalendarStyle(alarm=None, detail="each", color="", tasks=False))


def test_absences_that_touch_or_overlap_are_one(garden_of: GardenOf, garden_text: str) -> None:
    """Absences that touch or overlap are joined; a separate one stays separate."""
    spans = [("12-01", "12-05"), ("11-01", "11-06"), ("11-06", "11-09"), ("11-01", "11-03")]
    written = ", ".join(f"{{from: 2026-{first}, back_on: 2026-{last}}}" for first, last in spans)
    garden = garden_of(f"{garden_text}away: [{written}]\n")
    assert garden.away == (
        Away(from_on=date(2026, 11, 1), back_on=date(2026, 11, 9)),
        Away(from_on=date(2026, 12, 1), back_on=date(2026, 12, 5)),
    )


def test_harvest_days_default_to_chore_days(garden_of: GardenOf, garden_text: str) -> None:
    """Without harvest days the chore days are used; one day may be plain text."""
    garden = garden_of(garden_text + "chore_days: wed\naway: []\nclear_by: null\n")
    assert garden.chore_days == garden.harvest_days == (2,)


def test_tasks_can_be_switched_off(garden_of: GardenOf) -> None:
    """Tasks written as false are the same as tasks left out."""
    assert not garden_of(FULL.replace("tasks: true", "tasks: false")).calendar.tasks


def test_own_crop_replaces_shipped(folder: Path, garden_text: str, profile: str) -> None:
    """A profile in the garden's folder replaces a shipped one; others are read only if a file names them."""
    shipped = folder.parent / "shipped"
    shipped.mkdir()
    (shipped / "plain-lettuce.yaml").write_text(profile.replace("keeps_days: 7", "keeps_days: 3"), encoding="utf-8")
    (shipped / "winter-lettuce.yaml").write_text(profile.replace("plain lettuce", "winter lettuce"), encoding="utf-8")
    (folder / "garden.yaml").write_text(garden_text, encoding="utf-8")
    crops = read_garden(folder).crops
    assert crops["plain lettuce"].keeps_days == 7
    assert "winter lettuce" not in crops
    plan = folder / "plan.json"
    plan.write_text('{"crop": "winter lettuce"}', encoding="utf-8")
    assert "winter lettuce" in read_garden(folder, named_in=(plan, folder / "nowhere")).crops


@pytest.mark.parametrize("written", ["winter lettuce", "winter   lettuce", '"winter\n      lettuce"'])
def test_a_shipped_crop_is_found_however_it_is_written(
    folder: Path, garden_text: str, profile: str, written: str
) -> None:
    """White space within a crop's name does not matter for finding its file."""
    shipped = folder.parent / "shipped"
    shipped.mkdir()
    (shipped / "winter-lettuce.yaml").write_text(profile.replace("plain lettuce", "winter lettuce"), encoding="utf-8")
    (folder / "garden.yaml").write_text(garden_text.replace("loose greens", written), encoding="utf-8")
    garden = read_garden(folder)
    crops = garden.crops
    assert set(crops) >= {serving.crop for want in garden.wants for serving in want.servings} > {"plain lettuce"}


WRONG = {
    "missing name": ("garden: Trial shelf\n", "", 1, "garden", "is missing"),
    "unknown top key": ("garden: Trial shelf", "garden: x\nplace: y", 2, "place", "Did you mean places?"),
    "not a date": ("starts_on: 2026-10-03", "starts_on: 2026-13-03", 2, "starts_on", '"2026-13-03" is not a date'),
    "date in words": ("starts_on: 2026-10-03", "starts_on: third of october", 2, "starts_on", "year-month-day"),
    "weeks": ("starts_on: 2026-10-03", "weeks: 157", 2, "weeks", "Write a whole number from 1 to 156"),
    "no minutes": (
        "starts_on: 2026-10-03",
        "chore_minutes_a_week: 0",
        2,
        "chore_minutes_a_week",
        "Write a number above 0 and at most 10080",
    ),
    "no weeks": ("starts_on: 2026-10-03", "weeks: 0", 2, "weeks", "Write a whole number from 1 to 156"),
    "cleared too early": ("places:", "clear_by: 2026-10-03\nplaces:", 3, "clear_by", "is not after starts_on"),
    "away turned round": (
        "starts_on: 2026-10-03",
        "away: [{from: 2026-12-28, back_on: 2026-12-19}]",
        2,
        "away.1",
        "you are back on 2026-12-19, which is not after the day you leave, 2026-12-28",
    ),
    "no harvest days": ("starts_on: 2026-10-03", "harvest_days: []", 2, "harvest_days", "is an empty list"),
    "no such day": ("starts_on: 2026-10-03", "chore_days: [sat, weekend]", 2, "chore_days.2", "not a day of the week"),
    "changed every no days": (
        "starts_on: 2026-10-03",
        "change_every_days: 0",
        2,
        "change_every_days",
        "0 is too small. Write a whole number from 1",
    ),
    "a tray that dries before it is left": (
        "starts_on: 2026-10-03",
        "unattended_days: -1",
        2,
        "unattended_days",
        "-1 is too small. Write a whole number from 1",
    ),
    "a share for a percentage": (
        "starts_on: 2026-10-03",
        "seeds: {plain lettuce: {percent: 0.85}}",
        2,
        "seeds.plain lettuce.percent",
        "0.85 is too small. Write a percentage from 1 to 100",
    ),
    "dead seeds": (
        "starts_on: 2026-10-03",
        "seeds: {plain lettuce: {percent: 0}}",
        2,
        "seeds.plain lettuce.percent",
        "too small",
    ),
    "more seedlings than seeds": (
        "starts_on: 2026-10-03",
        "seeds: {plain lettuce: {percent: 130}}",
        2,
        "seeds.plain lettuce.percent",
        "too large",
    ),
    "seeds of what": (
        "starts_on: 2026-10-03",
        "seeds: {plan lettuce: {percent: 90}}",
        2,
        "seeds.plan lettuce",
        "Did you mean plain lettuce?",
    ),
    "never sure": (
        "starts_on: 2026-10-03",
        "sowing: {confidence: 100%}",
        2,
        "sowing.confidence",
        "100% is not between 50% and 99.9%",
    ),
    "tab": ("  shelf:", "\tshelf:", 4, "", "is indented with a tab. Indent with spaces"),
    "bad clock": ("starts_on: 2026-10-03", 'calendar: {alarm: "8 am"}', 2, "calendar.alarm", "not a time of day"),
    "tasks, perhaps": ("starts_on: 2026-10-03", "calendar: {tasks: perhaps}", 2, "calendar.tasks", "true, false"),
}


@pytest.mark.parametrize(("good", "bad", "line", "field", "message"), WRONG.values(), ids=WRONG.keys())
def test_a_wrong_value_is_a_fault(
    faults_of: FaultsOf, garden_text: str, good: str, bad: str, line: int, field: str, message: str
) -> None:
    """Each fault names its line, its field, what is wrong and what to write."""
    assert good in garden_text
    found = {(fault.line, fault.field): str(fault) for fault in faults_of(garden_text.replace(good, bad, 1))}
    assert (line, field) in found, found
    assert message in found[line, field]


def test_all_faults_of_all_files_at_once(faults_of: FaultsOf, folder: Path, garden_text: str, profile: str) -> None:
    """One reading reports the faults of the garden file and of the profiles, by file and line."""
    (folder / "crops" / "lettuce.yaml").write_text(profile.replace("percent: 80", "percent: many"), encoding="utf-8")
    bad = garden_text.replace("holes: 12", "holes: no").replace("place: shelf}\n  B", "place: shef}\n  B")
    faults = faults_of(bad.replace("180", "lots"))
    assert [(Path(fault.file).name, fault.line, fault.field) for fault in faults] == [
        ("lettuce.yaml", 8, "germination.percent"),
        ("garden.yaml", 6, "totes.A.holes"),
        ("garden.yaml", 6, "totes.A.place"),
        ("garden.yaml", 10, "wants.salad.grams_a_week"),
    ]


def test_empty_and_missing_garden(faults_of: FaultsOf, folder: Path) -> None:
    """An empty garden file, a missing one and a missing folder are different faults."""
    assert [(fault.line, fault.wrong) for fault in faults_of("")] == [(1, "is empty")]
    (folder / "garden.yaml").unlink()
    with pytest.raises(InputFaults, match="there is no such file"):
        read_garden(folder)
    with pytest.raises(InputFaults, match="there is no folder"):
        read_garden(folder / "nowhere")
