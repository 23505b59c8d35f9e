"""Crops on the terminal: the list, profiles, this garden's own record, and forecasts."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from datetime import date

import pytest

from steadysow.growth.forecast import Forecast
from steadysow.growth.learnt import Factor, Germination, Learnt
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Lamp, Place, Window
from steadysow.outputs import terminal
from unit.outputs.terminal.drawn import WIDTHS, drawn, words


def test_crop_list_shows_days_and_weight_of_each_crop(crops: Mapping[str, Crop]) -> None:
    """14 nursery days and 21 or 35 more to the first harvest; three cuts of 30, 25 and 20 g are 75 g."""
    rows = [words(line) for line in drawn(lambda c: terminal.crop_list(c, crops)).splitlines()]
    assert "mizuna Brassica rapa up to 3 cuts 35 days 75 g 9 days" in rows
    assert "butterhead lettuce Lactuca sativa head 49 days 150 g 9 days" in rows
    assert "dwarf tomato Solanum lycopersicum up to 2 picks 74 days 160 g 9 days" in rows


def test_profile_shows_every_figure_in_words(crops: Mapping[str, Crop]) -> None:
    """A profile shows its figures with their units; equal weights in a row are shown once."""
    rows = [words(line) for line in drawn(lambda c: terminal.crop_profile(c, crops["dwarf tomato"]), 120).splitlines()]
    for row in (
        "Systems deep water culture, still water",
        "Spacing 50 plants a square metre; 6 on the lid of a small tote",
        "Sown in nursery, 2 seeds a cell, 1 plant a hole",
        "Germination 80 %, best from 15 °C to 22 °C, none below 2 °C or above 28 °C",
        "Emergence none at 5 °C; 7 days at 10 °C; 2.5 days at 20 °C",
        "Transplant shock 2 days",
        "Harvest first pick 60 days after planting, then every 7 days; harvest within 4 days; 2 times 80 g",
        "Figures assume 20 °C and 14 mol of light a day",
        "Light at most 40.0 g from a mol; grows faster above 6 mol a day",
        "Bolts after 14 days longer than 14 hours or above 26 °C",
        "EC 1.2 to 1.8, tolerated 0.8 to 2.2 mS/cm",
        "Water 2.5 litres a plant",
        "May differ days by 10 %, weight by 25 %",
        "Care tap the flowers (every 2 days from 30 days after planting)",
    ):
        assert row in rows


def test_profile_of_a_head_and_of_cuts(crops: Mapping[str, Crop]) -> None:
    """A head is harvested once; cuts of different weights are listed in their order."""
    head = words(drawn(lambda c: terminal.crop_profile(c, crops["butterhead lettuce"]), 120))
    assert "Harvest head 35 days after planting; harvest within 10 days; 150 g" in head
    cuts = words(drawn(lambda c: terminal.crop_profile(c, crops["mizuna"]), 120))
    assert (
        "first cut 21 days after planting, then every 14 days; harvest within 5 days; 30 g, then 25 g, then 20 g"
        in cuts
    )


def test_profile_of_a_crop_sown_in_its_pot(crops: Mapping[str, Crop]) -> None:
    """A crop that is sown in its pot has no nursery and no transplant shock; a single thing is singular."""
    pot = replace(
        crops["mizuna"], sown_in="pot", nursery_days=(0, 0), seeds_a_cell=1, litres_a_plant=1.0, seeds_keep_years=1.0
    )
    text = words(drawn(lambda c: terminal.crop_profile(c, pot), 120))
    assert "Sown in pot, 1 seed a pot, 1 plant a hole" in text
    assert "first cut 21 days after sowing" in text
    assert "Seeds keep 1 year " in text
    assert "Water 1 litre a plant" in text
    assert "Nursery" not in text
    assert "Transplant shock" not in text


def test_profile_follows_the_units(crops: Mapping[str, Crop]) -> None:
    """In US units temperatures are in Fahrenheit: 20 degrees Celsius are 68."""
    text = drawn(lambda console: terminal.crop_profile(console, crops["dwarf tomato"], "us"))
    assert "68 °F" in text
    assert "°C" not in text


def test_own_record_stands_beside_the_published_figures(crops: Mapping[str, Crop]) -> None:
    """90 % of 21 days are 19, and 110 % of 30 g are 33 g; a record of one batch says that it is only one."""
    published = Factor(value=1.0, own=None, batches=0)
    learnt = (
        Learnt(crop="mizuna", place=None, days=Factor(value=0.9, own=0.85, batches=3), grams=published),
        Learnt(crop="mizuna", place="shelf", days=published, grams=Factor(value=1.1, own=1.2, batches=1)),
    )
    germination = Germination(percent=70.0, weight=20.0, sowings=2, cells=10, cells_up=9)
    text = words(drawn(lambda c: terminal.own_record(c, crops["mizuna"], learnt, germination)))
    assert "days to the first harvest 21 85% of published, 3 batches 19" in text
    assert "first harvest of a plant at shelf 30 g 120% of published, only 1 batch 33 g" in text
    assert "seeds that come up 80 % 9 of 10 cells up 70 %" in text


def test_no_own_record_is_shown_in_words(crops: Mapping[str, Crop]) -> None:
    """Without any record there is a sentence and no table."""
    text = drawn(lambda c: terminal.own_record(c, crops["mizuna"], (), None))
    assert text == "From this garden's record\nNo harvest of this crop is recorded yet.\n\n"


SHELF = Place(name="shelf", lamp=Lamp(dli_mol=14.0), temperature_c=20.0)
SILL = Place(name="south window", window=Window(faces="south", share=0.4), temperature_c=17.5)
# Two sowings with the longest dates and amounts there are, and one that comes to nothing.
FORECASTS = (
    Forecast(
        place=SHELF,
        sown_on=date(2026, 9, 10),
        emerges_on=date(2026, 9, 13),
        planted_on=date(2026, 9, 24),
        ready_on=date(2026, 10, 29),
        latest_on=date(2026, 11, 17),
        grams=150.0,
        dli_mol=14.0,
        temperature_c=20.0,
        light_pace=1.0,
        warmth_pace=1.0,
    ),
    Forecast(
        place=SILL,
        sown_on=date(2026, 11, 10),
        emerges_on=date(2026, 11, 13),
        planted_on=date(2026, 11, 24),
        ready_on=date(2027, 2, 26),
        latest_on=date(2027, 3, 17),
        grams=119.6,
        dli_mol=11.04,
        temperature_c=17.54,
        light_pace=0.5,
        warmth_pace=0.75,
    ),
    Forecast(place=SILL, sown_on=date(2026, 12, 10), end="seeds"),
)


@pytest.mark.parametrize("width", WIDTHS)
def test_forecasts_show_every_stage(crops: Mapping[str, Crop], width: int) -> None:
    """A row has day, place, four dates, weight, light and warmth in full; a stage that never comes is left empty."""
    text = drawn(lambda c: terminal.forecasts(c, crops["butterhead lettuce"], FORECASTS), width)
    assert text.startswith("Butterhead lettuce\n")
    assert max(map(len, text.splitlines())) <= width
    first, second, third = (
        words(line) for line in text.partition("Why")[0].splitlines() if re.match(r"10 \w{3} ", line)
    )
    assert first == "10 Sep shelf 13 Sep 24 Sep 29 Oct 17 Nov 150 g 14.0 mol 20 °C"
    # Where the width runs out the place's name may go on in the next line.
    assert second in {
        f"10 Nov {name} 13 Nov 24 Nov 26 Feb 17 Mar 120 g 11.0 mol 17.5 °C" for name in ("south window", "south")
    }
    assert third in {"10 Dec south window", "10 Dec south"}


@pytest.mark.parametrize("width", WIDTHS)
def test_forecasts_have_a_reason_each(crops: Mapping[str, Crop], width: int) -> None:
    """Below the table every sowing has its sentence, named by place and day."""
    text = words(drawn(lambda c: terminal.forecasts(c, crops["butterhead lettuce"], FORECASTS), width))
    first, second, third = text.partition(" Why - ")[2].split(" - ")
    assert first.startswith("shelf, sown 10 Sep: At 14.0 mol of light a day and 20 °C it grows at ")
    assert "(light 100%, warmth 100%): 35 days instead of 35." in first
    assert "the light makes" not in first
    # From 24 November to 26 February: 6 + 31 + 31 + 26 days.
    assert second.startswith("south window, sown 10 Nov: At 11.0 mol of light a day and 17.5 °C it grows at ")
    assert (
        "(light 50%, warmth 75%): 94 days instead of 35. At the profile's spacing the light makes 120 g of the 150 g"
        in second
    )
    assert third.startswith("south window, sown 10 Dec: Seeds do not come up")


def test_forecasts_follow_the_units(crops: Mapping[str, Crop]) -> None:
    """In US units 20 degrees are 68 Fahrenheit and 150 g are 5.3 ounces."""
    text = words(drawn(lambda c: terminal.forecasts(c, crops["butterhead lettuce"], FORECASTS, "us"), 120))
    assert "29 Oct 17 Nov 5.3 oz 14.0 mol 68 °F" in text
    assert "°C" not in text
    assert " g " not in text


@pytest.mark.parametrize("width", WIDTHS)
def test_forecasts_of_a_place_with_a_long_name(crops: Mapping[str, Crop], width: int) -> None:
    """A long name, even with square brackets, breaks between its words and pushes no figure out of the window."""
    long = replace(SHELF, name="lowest shelf of the rack in the [cold] hallway by the cellar door, left")
    forecasts = (replace(FORECASTS[0], place=long),)
    text = drawn(lambda c: terminal.forecasts(c, crops["butterhead lettuce"], forecasts), width)
    assert max(map(len, text.splitlines())) <= width
    assert "13 Sep 24 Sep 29 Oct 17 Nov 150 g 14.0 mol 20 °C" in words(text)
    assert "[cold]" in text.partition("Why")[0]
    assert "[cold]" in text.partition("Why")[2]


def test_a_dark_place_shows_its_light(crops: Mapping[str, Crop]) -> None:
    """In a polar night the light is 0.0 mol; only a sowing that is never planted shows none."""
    dark = Forecast(
        place=SILL,
        sown_on=date(2026, 9, 10),
        emerges_on=date(2026, 9, 13),
        planted_on=date(2026, 9, 24),
        temperature_c=17.5,
        warmth_pace=0.75,
        end="slow",
    )
    text = words(drawn(lambda c: terminal.forecasts(c, crops["butterhead lettuce"], (dark,)), 120))
    assert "10 Sep south window 13 Sep 24 Sep 0.0 mol 17.5 °C" in text
