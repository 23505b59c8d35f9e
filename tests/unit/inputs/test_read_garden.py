"""The garden file: what it gives, its defaults, and every fault with its line."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, time
from pathlib import Path

import pytest

from steadysow.errors import Fault, InputFaults
from steadysow.inputs.calendar_style import COLOR_NAMES, CalendarStyle
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


def read(folder: Path, text: str) -> Garden:
    """Write a garden file and read it, without the crops."""
    (folder / "garden.yaml").write_text(text, encoding="utf-8")
    return replace(read_garden(folder), crops={})


def test_absences_that_touch_or_overlap_are_one(folder: Path, garden_text: str) -> None:
    """Nobody is at home between them; one that lies apart stays another."""
    spans = [("12-01", "12-05"), ("11-01", "11-06"), ("11-06", "11-09"), ("11-01", "11-03")]
    written = ", ".join(f"{{from: 2026-{first}, back_on: 2026-{last}}}" for first, last in spans)
    garden = read(folder, f"{garden_text}away: [{written}]\n")
    assert garden.away == (
        Away(from_on=date(2026, 11, 1), back_on=date(2026, 11, 9)),
        Away(from_on=date(2026, 12, 1), back_on=date(2026, 12, 5)),
    )


def test_every_key_is_read(folder: Path) -> None:
    """Every key of the garden file lands in its place."""
    shelf = Place(
        name="shelf",
        # 250 umol m-2 s-1 at half brightness for 16 hours of 3600 s: 7.2 mol m-2.
        lamp=Lamp(dli_mol=7.2, ppfd=250, hours=16, brightness=0.5, watts=120, plants=60),
        temperature_c=20,
    )
    nursery = Place(name="nursery", lamp=Lamp(dli_mol=5.4, ppfd=100, hours=15, watts=30), temperature_c=22)
    assert read(folder, FULL) == Garden(
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


def test_tasks_can_be_switched_off(folder: Path) -> None:
    """A key that is written as false is as if it were left out."""
    assert not read(folder, FULL.replace("tasks: true", "tasks: false")).calendar.tasks


def test_colours_are_those_of_css() -> None:
    """The names are those by which a highlighter of CSS knows colours, without the two that came after CSS 3."""
    known = pytest.importorskip("pygments.lexers.css")._color_keywords
    assert set(COLOR_NAMES) == set(known) - {"rebeccapurple", "transparent"}
    assert len(COLOR_NAMES) == len(set(COLOR_NAMES))


def test_defaults(folder: Path, garden_text: str) -> None:
    """What a garden file leaves out has the defaults that the design names."""
    garden = read(folder, garden_text.replace("starts_on: 2026-10-03\n", ""))
    assert (garden.starts_on, garden.weeks, garden.clear_by, garden.latitude) == (None, 30, None, None)
    assert (garden.units, garden.chore_days, garden.harvest_days, garden.away) == ("metric", (5,), (5,), ())
    assert garden.sowing == SowingHabits(every_days=7, smallest=2, crops_a_day=3)
    assert (garden.tidy_points, garden.turnaround_days) == (1.0, 1)
    assert garden.chore_minutes_a_week is None
    # 120 umol m-2 s-1 for 14 hours of 3600 s: 6.048 mol m-2.
    lamp = garden.nursery.place.lamp
    assert lamp is not None
    assert lamp.dli_mol == pytest.approx(6.048)
    assert (lamp.ppfd, lamp.hours) == (120, 14)
    assert garden.nursery == Nursery(cells=60, place=Place(name="nursery", lamp=lamp, temperature_c=21))
    assert (garden.tariff, garden.calendar) == (None, CalendarStyle(alarm=None, detail="each", color="", tasks=False))


def test_days_at_home_decide_where_chores_and_harvests_fall(folder: Path) -> None:
    """From the day of leaving up to the day before coming back, no weekday is a chore day or a harvest day."""
    garden = read(folder, FULL)
    saturday, sunday = date(2026, 12, 19), date(2026, 12, 20)
    assert not garden.at_home(saturday)
    assert not garden.is_chore_day(saturday)
    assert not garden.is_harvest_day(sunday)
    assert garden.at_home(date(2026, 12, 28))
    assert garden.is_chore_day(date(2026, 12, 30))
    assert garden.is_harvest_day(date(2027, 1, 3))
    assert not garden.is_chore_day(date(2027, 1, 3))


@pytest.mark.parametrize(
    ("written", "day", "place"),
    [
        ("{shelf: , cellar: [05-25, 09-10]}", date(2027, 5, 24), "shelf"),
        ("{shelf: , cellar: [05-25, 09-10]}", date(2027, 5, 25), "cellar"),
        ("{shelf: , cellar: [05-25, 09-10]}", date(2027, 9, 9), "cellar"),
        ("{shelf: , cellar: [05-25, 09-10]}", date(2027, 9, 10), "shelf"),
        ("{cellar: [11-01, 03-01]}", date(2027, 1, 1), "cellar"),
        ("{cellar: [11-01, 03-01]}", date(2027, 3, 1), None),
    ],
)
def test_tote_stands_where_its_dates_say(folder: Path, written: str, day: date, place: str | None) -> None:
    """A tote moves on the first day of a span, and between spans stands where no dates are given."""
    garden = read(folder, FULL.replace("{shelf: , cellar: [05-25, 09-10]}", written))
    assert garden.place_of(garden.tote("B"), day) == place


def test_harvest_days_default_to_chore_days(folder: Path, garden_text: str) -> None:
    """Without harvest days the chore days are taken; one day may be plain text."""
    garden = read(folder, garden_text + "chore_days: wed\naway: []\nclear_by: null\n")
    assert garden.chore_days == garden.harvest_days == (2,)


def test_nursery_may_stand_at_a_place(folder: Path, garden_text: str) -> None:
    """A nursery at a place has that place's light and warmth."""
    garden = read(folder, garden_text + "nursery: {place: shelf}\n")
    assert garden.nursery == Nursery(cells=60, place=garden.place("shelf"))


@pytest.mark.parametrize(
    ("written", "least", "most"),
    [
        ("any", 0, 1),
        ("", 0, 1),
        ("at most 70%", 0, 0.7),
        ("at least 5 %", 0.05, 1),
        ("5% to 70%", 0.05, 0.7),
        ("Between 12.5% and 70%", 0.125, 0.7),
    ],
)
def test_shares(folder: Path, garden_text: str, written: str, least: float, most: float) -> None:
    """A share of a crop is taken in each of the ways the design names."""
    text = garden_text.replace("[plain lettuce, loose greens]", f"{{plain lettuce: {written}, loose greens: any}}")
    assert read(folder, text).wants[0].servings[0] == Serving(crop="plain lettuce", least=least, most=most)


def test_us_units_become_metric(folder: Path, garden_text: str) -> None:
    """US keys are converted by the exact factors of NIST Handbook 44, appendix C (from memory): gallon, ounce, inch."""
    text = garden_text.replace("litres: 11, inside_cm: [40, 28]", "gallons: 3, inside_in: [16, 11]")
    text = text.replace("grams_a_week: 180", "ounces_a_week: 6").replace("temperature_c: 20", "temperature_f: 68")
    garden = read(folder, text + "units: us\n")
    assert garden.units == "us"
    assert garden.tote("A").litres == pytest.approx(11.356235352)
    assert garden.tote("A").inside_cm == pytest.approx((40.64, 27.94))
    assert garden.tote("B").litres == 11
    assert garden.wants[0].amount == pytest.approx(170.09713875)
    assert garden.place("shelf").temperature_c == pytest.approx(20)


def test_own_crop_replaces_shipped(folder: Path, garden_text: str, profile: str) -> None:
    """A profile in the garden's folder takes the place of a shipped one; other shipped ones are read where named."""
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
    """White space within a crop's name does not matter for finding its file, as it does not for the reader."""
    shipped = folder.parent / "shipped"
    shipped.mkdir()
    (shipped / "winter-lettuce.yaml").write_text(profile.replace("plain lettuce", "winter lettuce"), encoding="utf-8")
    (folder / "garden.yaml").write_text(garden_text.replace("loose greens", written), encoding="utf-8")
    garden = read_garden(folder)
    crops = garden.crops
    assert set(crops) >= {serving.crop for want in garden.wants for serving in want.servings} > {"plain lettuce"}


TOTE_A = "A: {holes: 12, litres: 11, inside_cm: [40, 28], system: dwc, place: shelf}"
TOTE_B = "B: {holes: 8, litres: 11, system: kratky, place: shelf}"
CROPS = "crops: [plain lettuce, loose greens]"

WRONG = {
    "missing key": ("holes: 12, ", "", 6, "totes.A.holes", 'is missing. Add "holes: ..."'),
    "missing name": ("garden: Trial shelf\n", "", 1, "garden", "is missing"),
    "wrong type": ("holes: 12", "holes: twelve", 6, "totes.A.holes", '"twelve" is not a number'),
    "negative count": ("holes: 12", "holes: -12", 6, "totes.A.holes", "-12 is too small"),
    "no holes": ("holes: 8", "holes: 0", 7, "totes.B.holes", "0 is too small"),
    "part of a hole": ("holes: 8", "holes: 8.5", 7, "totes.B.holes", "8.5 is not a whole number"),
    "no litres": ("holes: 8, litres: 11", "holes: 8, litres: 0", 7, "totes.B.litres", "too small"),
    "unknown key": ("holes: 12", "hols: 12", 6, "totes.A.hols", 'there is no such key. Write "holes"'),
    "unknown top key": ("garden: Trial shelf", "garden: x\nplace: y", 2, "place", 'Write "places"'),
    "unknown crop": ("loose greens]", "loos greens]", 11, "wants.salad.crops.2", 'Write "loose greens"'),
    "unknown crop by share": (CROPS, "crops: {plane lettuce: any}", 11, "wants.salad.crops.plane lettuce", "no crop"),
    "unknown place": (
        "kratky, place: shelf",
        "kratky, place: self",
        7,
        "totes.B.place",
        'no place "self". Write "shelf"',
    ),
    "unknown span place": ("kratky, place: shelf", "kratky, place: {shlf: }", 7, "totes.B.place.shlf", 'Write "shelf"'),
    "unknown system": ("system: kratky", "system: aeroponics", 7, "totes.B.system", "Write one of: dwc, kratky"),
    "two totes with one name": (
        TOTE_B,
        TOTE_B.replace("B:", "A:"),
        7,
        "totes.A",
        "stands twice, the first time on line 6",
    ),
    "no totes": (f"  {TOTE_A}\n  {TOTE_B}\n", "", 5, "totes", "is missing"),
    "totes in a list": (f"  {TOTE_A}\n  {TOTE_B}\n", "  - {holes: 3}\n", 5, "totes", "has no names with values"),
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
        "you are back on 2026-12-19, which is not after you leave on 2026-12-28",
    ),
    "no harvest days": ("starts_on: 2026-10-03", "harvest_days: []", 2, "harvest_days", "is an empty list"),
    "no such day": ("starts_on: 2026-10-03", "chore_days: [sat, weekend]", 2, "chore_days.2", "not a day of the week"),
    "until before from": (
        "grams_a_week: 180",
        "grams_a_week: 180\n    from: 2026-12-05\n    until: 2026-12-01",
        12,
        "wants.salad.until",
        "2026-12-01 is not after from, 2026-12-05",
    ),
    "no amount": ("    grams_a_week: 180\n", "", 9, "wants.salad.grams_a_week", "is missing"),
    "two amounts": (
        "grams_a_week: 180",
        "grams_a_week: 180\n    heads_a_week: 2",
        11,
        "wants.salad.heads_a_week",
        "stands next to",
    ),
    "a tote without water": (
        "A: {holes: 12, litres: 11,",
        "A: {holes: 12, litres: 0,",
        6,
        "totes.A.litres",
        "0 is too small. Write a number above 0",
    ),
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
    "nothing wanted": ("grams_a_week: 180", "grams_a_week: 0", 10, "wants.salad.grams_a_week", "too small"),
    "heads of a cut crop": (
        "grams_a_week: 180",
        "heads_a_week: 2",
        11,
        "wants.salad.crops.2",
        "is not harvested as heads",
    ),
    "crop listed twice": ("loose greens]", "plain lettuce]", 11, "wants.salad.crops.2", "listed twice"),
    "crop twice by share": (
        CROPS,
        "crops: {loose greens: any, loose greens: any}",
        11,
        "wants.salad.crops.loose greens",
        "stands twice",
    ),
    "least shares over 100%": (
        CROPS,
        "crops: {plain lettuce: at least 60%, loose greens: 50% to 70%}",
        11,
        "wants.salad.crops",
        "add up to 110%",
    ),
    "share in other words": (
        CROPS,
        "crops: {plain lettuce: mostly}",
        11,
        "wants.salad.crops.plain lettuce",
        "is not a share",
    ),
    "share turned round": (
        CROPS,
        "crops: {plain lettuce: 70% to 5%}",
        11,
        "wants.salad.crops.plain lettuce",
        "is not a share",
    ),
    "share over 100%": (
        CROPS,
        "crops: {plain lettuce: at most 170%}",
        11,
        "wants.salad.crops.plain lettuce",
        "from 0% to 100%",
    ),
    "crop no tote can hold": (
        TOTE_A,
        TOTE_A.replace("dwc", "kratky") + "\n  # in kratky only",
        12,
        "wants.salad.crops.3",
        'no tote can hold "small fruit": it grows in dwc only',
    ),
    "no latitude": (
        "lamp: {ppfd: 220, hours: 14}",
        "window: {faces: south, share: 0.3}",
        1,
        "",
        "the sun lights shelf, and there is no latitude. Add latitude",
    ),
    "facing nowhere": (
        "lamp: {ppfd: 220, hours: 14}",
        "window: {faces: sunny, share: 0.3}",
        4,
        "places.shelf.window.faces",
        "not known here",
    ),
    "more than all light": (
        "lamp: {ppfd: 220, hours: 14}",
        "window: {faces: south, share: 130%}",
        4,
        "places.shelf.window.share",
        "is not above 0 and at most 100%",
    ),
    "no frost-free days": (
        "lamp: {ppfd: 220, hours: 14}",
        "outdoors: {shade: 0.4}",
        4,
        "places.shelf.outdoors.frost_free",
        "is missing",
    ),
    "empty frost-free days": (
        "lamp: {ppfd: 220, hours: 14}",
        "outdoors: {frost_free: [05-25, 05-25]}",
        4,
        "places.shelf.outdoors.frost_free",
        "Write two days, such as [05-25, 09-10]",
    ),
    "frost-free over the new year in the north": (
        "starts_on: 2026-10-03\nplaces:\n  shelf: {lamp: {ppfd: 220, hours: 14}",
        "latitude: 61\nplaces:\n  shelf: {outdoors: {frost_free: [09-10, 05-25]}",
        4,
        "places.shelf",
        "free of frost from 09-10 to 05-25, and so not in July, at latitude 61. Write month-day",
    ),
    "frost-free days in months without a temperature": (
        "lamp: {ppfd: 220, hours: 14}, temperature_c: 20",
        "outdoors: {frost_free: [05-25, 09-10]}, temperature_c: {jan: -5, oct: 6}",
        4,
        "places.shelf",
        "is never in use",
    ),
    "lamp outdoors": (
        "lamp: {ppfd: 220, hours: 14}",
        "lamp: {ppfd: 220, hours: 14}, outdoors: {frost_free: [05-25, 09-10]}",
        4,
        "places.shelf.lamp",
        "Keep the lamp indoors",
    ),
    "two skies": (
        "lamp: {ppfd: 220, hours: 14}",
        "window: {faces: east, share: 0.2}, outdoors: {frost_free: [05-25, 09-10]}",
        4,
        "places.shelf.outdoors",
        "Make two places of it",
    ),
    "fills up nothing": (
        "lamp: {ppfd: 220, hours: 14}",
        "lamp: {ppfd: 220, hours: 14, up_to_dli_mol: 12}",
        4,
        "places.shelf.lamp.up_to_dli_mol",
        "no window beside the lamp",
    ),
    "fills up from an unknown lamp": (
        "lamp: {ppfd: 220, hours: 14}",
        "window: {faces: east, share: 0.2}, lamp: {dli_mol: 8, up_to_dli_mol: 12}",
        4,
        "places.shelf.lamp.up_to_dli_mol",
        "how bright the lamp is",
    ),
    "no month": (
        "temperature_c: 20",
        "temperature_c: {may: 11, midsummer: 16}",
        4,
        "places.shelf.temperature_c.midsummer",
        "is not a month",
    ),
    "month twice": (
        "temperature_c: 20",
        "temperature_c: {may: 11, May: 16}",
        4,
        "places.shelf.temperature_c.May",
        "a second time",
    ),
    "clouds of some months": (
        "starts_on: 2026-10-03",
        "clouds: {jan: 80%}",
        2,
        "clouds",
        "leaves out feb, mar, apr",
    ),
    "clouds beyond all": ("starts_on: 2026-10-03", "clouds: 1.2", 2, "clouds", "not at least 0 and at most 100%"),
    "frost-free days with the day first": (
        "starts_on: 2026-10-03\nplaces:\n  shelf: {lamp: {ppfd: 220, hours: 14}",
        "latitude: 61\nplaces:\n  shelf: {outdoors: {frost_free: [01-06, 01-09]}",
        4,
        "places.shelf",
        "free of frost from 01-06 to 01-09, and so not in July",
    ),
    "frost-free in July in the south": (
        "starts_on: 2026-10-03\nplaces:\n  shelf: {lamp: {ppfd: 220, hours: 14}",
        "latitude: -35\nplaces:\n  shelf: {outdoors: {frost_free: [05-25, 09-10]}",
        4,
        "places.shelf",
        "and so not in January, at latitude -35",
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
        'Write "plain lettuce"',
    ),
    "never sure": ("starts_on: 2026-10-03", "sowing: {confidence: 100%}", 2, "sowing.confidence", "50% to 99.9%"),
    "no light": ("lamp: {ppfd: 220, hours: 14}, ", "", 4, "places.shelf", "has no light"),
    "lamp said twice": ("hours: 14}", "hours: 14, dli_mol: 9}", 4, "places.shelf.lamp.dli_mol", "a second time"),
    "lamp without hours": (", hours: 14}", "}", 4, "places.shelf.lamp.hours", "is missing"),
    "nursery said twice": (
        "starts_on: 2026-10-03",
        "nursery: {place: shelf, temperature_c: 20}",
        2,
        "nursery.place",
        "one or the other",
    ),
    "gallons in metric": (
        "litres: 11, system",
        "gallons: 3, system",
        7,
        "totes.B.gallons",
        "taken only with units: us",
    ),
    "litres and gallons": (
        TOTE_B,
        TOTE_B.replace("litres: 11", "litres: 11, gallons: 3") + "\nunits: us",
        7,
        "totes.B.gallons",
        "says the same as litres",
    ),
    "span of no days": (
        "kratky, place: shelf",
        "kratky, place: {shelf: [05-25, 05-25]}",
        7,
        "totes.B.place.shelf",
        "two days",
    ),
    "span of no date": (
        "kratky, place: shelf",
        "kratky, place: {shelf: [may, june]}",
        7,
        "totes.B.place.shelf.1",
        "not a day of the year",
    ),
    "tab": ("  shelf:", "\tshelf:", 4, "", "is indented with a tab. Indent with spaces"),
    "two places without dates": (
        "kratky, place: shelf",
        "kratky, place: {shelf: , cellar: }",
        7,
        "totes.B.place",
        "more than one place",
    ),
    "lamp without light": ("ppfd: 220", "ppfd: 0", 4, "places.shelf.lamp.ppfd", "too small"),
    "bad clock": ("starts_on: 2026-10-03", 'calendar: {alarm: "8 am"}', 2, "calendar.alarm", "not a time of day"),
    "colour with a space": (
        "starts_on: 2026-10-03",
        "calendar: {color: sea green}",
        2,
        "calendar.color",
        'no colour name of CSS. Write "seagreen"',
    ),
    "colour as a number": (
        "starts_on: 2026-10-03",
        'calendar: {color: "#2e8b57"}',
        2,
        "calendar.color",
        'Write "seagreen", or another of them',
    ),
    "colour of nothing": ("starts_on: 2026-10-03", "calendar: {color: [red]}", 2, "calendar.color", "several values"),
    "tasks, perhaps": ("starts_on: 2026-10-03", "calendar: {tasks: perhaps}", 2, "calendar.tasks", "true, false"),
}


@pytest.mark.parametrize(("good", "bad", "line", "field", "told"), WRONG.values(), ids=WRONG.keys())
def test_fault_is_told(
    faults_of: FaultsOf, garden_text: str, good: str, bad: str, line: int, field: str, told: str
) -> None:
    """A fault of the garden file is told with its line, its field, what is wrong and what to write."""
    text = garden_text
    if "small fruit" in told:
        text = text.replace("loose greens]", "loose greens, small fruit]")
    assert good in text
    found = {(fault.line, fault.field): str(fault) for fault in faults_of(text.replace(good, bad, 1))}
    assert (line, field) in found, found
    assert told in found[line, field]


def test_want_nobody_can_serve(faults_of: FaultsOf, garden_text: str) -> None:
    """A want all of whose crops no tote can hold is told as such, each crop with its reason."""
    text = garden_text.replace("[plain lettuce, loose greens]", "small fruit").replace("dwc", "kratky")
    (fault,) = faults_of(text)
    assert (fault.line, fault.field) == (11, "wants.salad.crops")
    assert "nobody can serve this want" in fault.wrong
    assert "small fruit grows in dwc only" in fault.wrong


def test_crop_without_room_on_any_lid(faults_of: FaultsOf, folder: Path, garden_text: str, fruit_profile: str) -> None:
    """A crop that needs more lid than the largest tote has is told with both areas."""
    wide = fruit_profile.replace("plants_per_m2: 28", "plants_per_m2: 4")
    (folder / "crops" / "fruit.yaml").write_text(wide, encoding="utf-8")
    (fault,) = faults_of(garden_text.replace("loose greens]", "small fruit]"))
    assert (fault.line, fault.field) == (11, "wants.salad.crops.2")
    assert "takes 0.25 m2 a plant, and the largest lid has 0.11 m2" in fault.wrong


def test_all_faults_of_all_files_at_once(faults_of: FaultsOf, folder: Path, garden_text: str, profile: str) -> None:
    """One reading tells the faults of the garden file and of the profiles, by file and line."""
    (folder / "crops" / "lettuce.yaml").write_text(profile.replace("percent: 80", "percent: many"), encoding="utf-8")
    bad = garden_text.replace("holes: 12", "holes: no").replace("place: shelf}\n  B", "place: shef}\n  B")
    faults = faults_of(bad.replace("180", "lots"))
    assert [(Path(fault.file).name, fault.line, fault.field) for fault in faults] == [
        ("lettuce.yaml", 8, "germination.percent"),
        ("garden.yaml", 6, "totes.A.holes"),
        ("garden.yaml", 6, "totes.A.place"),
        ("garden.yaml", 10, "wants.salad.grams_a_week"),
    ]


def test_faulty_totes_do_not_make_crops_homeless(faults_of: FaultsOf, garden_text: str) -> None:
    """Nothing is concluded from totes that have faults of their own."""
    assert [fault.field for fault in faults_of(garden_text.replace("system: dwc", "system: dcw"))] == ["totes.A.system"]


def test_missing_places_are_told_once(faults_of: FaultsOf, garden_text: str) -> None:
    """Without any place the totes do not repeat that theirs is not there."""
    text = garden_text.replace("places:\n  shelf: {lamp: {ppfd: 220, hours: 14}, temperature_c: 20}\n", "")
    assert [fault.field for fault in faults_of(text)] == ["places"]


def test_empty_and_missing_garden(faults_of: FaultsOf, folder: Path) -> None:
    """An empty garden file, a missing one, and a folder that is not there are each told."""
    assert [(fault.line, fault.wrong) for fault in faults_of("")] == [(1, "is empty")]
    (folder / "garden.yaml").unlink()
    with pytest.raises(InputFaults, match="there is no such file"):
        read_garden(folder)
    with pytest.raises(InputFaults, match="there is no folder"):
        read_garden(folder / "nowhere")
