"""Places, the nursery and totes of a garden file: what is read, and every fault with its line."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from steadysow.errors import Fault
from steadysow.inputs.garden import Garden, Lamp, Nursery, Outdoors, Window
from steadysow.inputs.garden_places import MONTHS

FaultsOf = Callable[[str], tuple[Fault, ...]]
GardenOf = Callable[[str], Garden]

TOTE_A = "A: {holes: 12, litres: 11, inside_cm: [40, 28], system: dwc, place: shelf}"
TOTE_B = "B: {holes: 8, litres: 11, system: kratky, place: shelf}"
LAMP = "lamp: {ppfd: 220, hours: 14}"


def test_a_lamp_may_fill_up_a_windows_light(garden_of: GardenOf, garden_text: str) -> None:
    """A lamp beside a window may run only until the day has 12 mol; 220 umol for 14 h are 11.088 mol."""
    text = garden_text.replace(
        LAMP, "window: {faces: south, share: 30%}, lamp: {ppfd: 220, hours: 14, up_to_dli_mol: 12}"
    )
    shelf = garden_of(f"latitude: 61.2\n{text}").place("shelf")
    assert shelf.window == Window(faces="south", share=0.3)
    assert shelf.lamp is not None
    assert shelf.lamp.dli_mol == pytest.approx(11.088)
    assert shelf.lamp == Lamp(dli_mol=shelf.lamp.dli_mol, ppfd=220, hours=14, up_to_dli_mol=12)


def test_a_place_outdoors_has_its_frost_free_days_and_monthly_warmth(garden_of: GardenOf, garden_text: str) -> None:
    """Months are read by their short or long names; a month left out has no value."""
    yard = "outdoors: {frost_free: [05-25, 09-10], shade: 40%}, temperature_c: {may: 11, June: 16, jul: 18}"
    shelf = garden_of("latitude: 61.2\n" + garden_text.replace(f"{LAMP}, temperature_c: 20", yard)).place("shelf")
    assert shelf.outdoors == Outdoors(frost_free=((5, 25), (9, 10)), shade=0.4)
    assert shelf.temperature_c == (None, None, None, None, 11, 16, 18, None, None, None, None, None)


def test_clouds_are_one_share_or_one_for_each_month(garden_of: GardenOf, garden_text: str) -> None:
    """Half the daylight hours are cloudy unless the file says another share, or twelve of them."""
    assert garden_of(garden_text).clouds == 0.5
    assert garden_of(f"{garden_text}clouds: 0\n").clouds == 0.0
    months = [f"{month}: {10 * number}%" for number, month in enumerate(MONTHS)]
    months = [text.replace("100%", "95%").replace("110%", "100%") for text in months]
    monthly = garden_of(f"{garden_text}clouds: {{{', '.join(months)}}}\n").clouds
    assert monthly == pytest.approx((0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 1.0))


def test_nursery_may_stand_at_a_place(garden_of: GardenOf, garden_text: str) -> None:
    """A nursery at a place has that place's light and temperature."""
    garden = garden_of(garden_text + "nursery: {place: shelf}\n")
    assert garden.nursery == Nursery(cells=60, place=garden.place("shelf"))


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
def test_a_tote_stands_where_its_dates_say(
    garden_of: GardenOf, garden_text: str, written: str, day: date, place: str | None
) -> None:
    """A tote moves on the first day of a span, and outside of all spans stands at the place without dates."""
    text = garden_text.replace("totes:", "  cellar: {lamp: {dli_mol: 8}, temperature_c: 12}\ntotes:")
    garden = garden_of(text.replace("system: kratky, place: shelf", f"system: kratky, place: {written}"))
    assert garden.place_of(garden.tote("B"), day) == place


def test_us_units_become_metric(garden_of: GardenOf, garden_text: str) -> None:
    """US keys are converted by the exact factors of NIST Handbook 44, appendix C (from memory): gallon and inch."""
    text = garden_text.replace("litres: 11, inside_cm: [40, 28]", "gallons: 3, inside_in: [16, 11]")
    garden = garden_of(text.replace("temperature_c: 20", "temperature_f: 68") + "units: us\n")
    assert garden.units == "us"
    assert garden.tote("A").litres == pytest.approx(11.356235352)
    assert garden.tote("A").inside_cm == pytest.approx((40.64, 27.94))
    assert garden.tote("B").litres == 11
    assert garden.place("shelf").temperature_c == pytest.approx(20)


WRONG = {
    "missing key": ("holes: 12, ", "", 6, "totes.A.holes", 'is missing. Add "holes: ..."'),
    "wrong type": ("holes: 12", "holes: twelve", 6, "totes.A.holes", '"twelve" is not a number'),
    "negative count": ("holes: 12", "holes: -12", 6, "totes.A.holes", "-12 is too small"),
    "no holes": ("holes: 8", "holes: 0", 7, "totes.B.holes", "0 is too small"),
    "part of a hole": ("holes: 8", "holes: 8.5", 7, "totes.B.holes", "8.5 is not a whole number"),
    "no litres": ("holes: 8, litres: 11", "holes: 8, litres: 0", 7, "totes.B.litres", "too small"),
    "unknown key": ("holes: 12", "hols: 12", 6, "totes.A.hols", "there is no such key. Did you mean holes?"),
    "unknown place": (
        "kratky, place: shelf",
        "kratky, place: self",
        7,
        "totes.B.place",
        'no place "self". Did you mean shelf?',
    ),
    "unknown span place": (
        "kratky, place: shelf",
        "kratky, place: {shlf: }",
        7,
        "totes.B.place.shlf",
        "Did you mean shelf?",
    ),
    "unknown system": ("system: kratky", "system: aeroponics", 7, "totes.B.system", "Write one of: dwc, kratky"),
    "two totes with one name": (
        TOTE_B,
        TOTE_B.replace("B:", "A:"),
        7,
        "totes.A",
        "appears twice, first on line 6",
    ),
    "no totes": (f"  {TOTE_A}\n  {TOTE_B}\n", "", 5, "totes", "is missing"),
    "totes in a list": (f"  {TOTE_A}\n  {TOTE_B}\n", "  - {holes: 3}\n", 5, "totes", "has no names with values"),
    "a tote without water": (
        "A: {holes: 12, litres: 11,",
        "A: {holes: 12, litres: 0,",
        6,
        "totes.A.litres",
        "0 is too small. Write a number above 0",
    ),
    "no latitude": (
        "lamp: {ppfd: 220, hours: 14}",
        "window: {faces: south, share: 0.3}",
        1,
        "",
        "shelf gets sunlight, so the garden needs its latitude. Add latitude",
    ),
    "facing nowhere": (
        "lamp: {ppfd: 220, hours: 14}",
        "window: {faces: sunny, share: 0.3}",
        4,
        "places.shelf.window.faces",
        'unknown word "sunny"',
    ),
    "more than all light": (
        "lamp: {ppfd: 220, hours: 14}",
        "window: {faces: south, share: 130%}",
        4,
        "places.shelf.window.share",
        "130% must be above 0 and at most 100%",
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
        "frost_free is 09-10 to 05-25 and leaves out July, which is summer at latitude 61. Write month-day",
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
        "a place outdoors has no lamp. Leave it out",
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
        "needs a window beside the lamp. Add a window",
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
        "names the same month again",
    ),
    "clouds of some months": (
        "starts_on: 2026-10-03",
        "clouds: {jan: 80%}",
        2,
        "clouds",
        "leaves out feb, mar, apr",
    ),
    "clouds beyond all": (
        "starts_on: 2026-10-03",
        "clouds: 1.2",
        2,
        "clouds",
        "1.2 must be at least 0 and at most 100%",
    ),
    "frost-free days with the day first": (
        "starts_on: 2026-10-03\nplaces:\n  shelf: {lamp: {ppfd: 220, hours: 14}",
        "latitude: 61\nplaces:\n  shelf: {outdoors: {frost_free: [01-06, 01-09]}",
        4,
        "places.shelf",
        "frost_free is 01-06 to 01-09 and leaves out July",
    ),
    "frost-free in July in the south": (
        "starts_on: 2026-10-03\nplaces:\n  shelf: {lamp: {ppfd: 220, hours: 14}",
        "latitude: -35\nplaces:\n  shelf: {outdoors: {frost_free: [05-25, 09-10]}",
        4,
        "places.shelf",
        "leaves out January, which is summer at latitude -35",
    ),
    "no light": ("lamp: {ppfd: 220, hours: 14}, ", "", 4, "places.shelf", "has no light"),
    "lamp said twice": (
        "hours: 14}",
        "hours: 14, dli_mol: 9}",
        4,
        "places.shelf.lamp.dli_mol",
        "gives the light again",
    ),
    "lamp without hours": (", hours: 14}", "}", 4, "places.shelf.lamp.hours", "is missing"),
    "nursery said twice": (
        "starts_on: 2026-10-03",
        "nursery: {place: shelf, temperature_c: 20}",
        2,
        "nursery.place",
        "not both. Keep one of the two",
    ),
    "gallons in metric": (
        "litres: 11, system",
        "gallons: 3, system",
        7,
        "totes.B.gallons",
        "allowed only with units: us",
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
    "two places without dates": (
        "kratky, place: shelf",
        "kratky, place: {shelf: , cellar: }",
        7,
        "totes.B.place",
        "more than one place",
    ),
    "lamp without light": ("ppfd: 220", "ppfd: 0", 4, "places.shelf.lamp.ppfd", "too small"),
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


def test_missing_places_are_one_fault(faults_of: FaultsOf, garden_text: str) -> None:
    """Without any place, the totes add no faults of their own."""
    text = garden_text.replace("places:\n  shelf: {lamp: {ppfd: 220, hours: 14}, temperature_c: 20}\n", "")
    assert [fault.field for fault in faults_of(text)] == ["places"]
