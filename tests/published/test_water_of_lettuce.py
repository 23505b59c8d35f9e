"""Water of greens a kilogram, as published; titles were not visible (see shared/).

Barbosa et al., International Journal of Environmental Research and Public Health 12: 6879 (2015), abstract: 20 plus or
minus 3.8 litres a kilogram of lettuce in greenhouse hydroponics.  Pennisi et al., Scientific Reports 9: 14127 (2019),
abstract: 75 g a litre under lamps, the best of their trial.  Kratky, VC-1 (2010), in a paraphrase: commonly below 20
litres a kilogram in still water, 11 at best, heads of 150 to 250 g; and in the Star-Advertiser of 25 June 2023: a US
gallon suffices for a head.

Checks of an outcome.  The litres of most profiles were taken from the first of these and rounded to a tenth, so that it
shows no more than that they were carried over and reckoned with; lettuce heads were taken from the last, and Barbosa's
range is a test of them.  No greens drink less than the best that was published.
"""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from shipped import shipped_crops
from steadysow.growth.uptake import litres_a_gram, litres_by_day, spells
from steadysow.inputs.crops import Crop
from steadysow.inputs.sources import read_publication

CROPS = shipped_crops()
GREENS = sorted(name for name, crop in CROPS.items() if not crop.is_fruit)
BARBOSA = read_publication("barbosa-2015").table
PENNISI = read_publication("pennisi-2019").table
KRATKY = read_publication("kratky-2010").table["seen_second_hand"]
GALLON = read_publication("kratky-2023").table

PLANTED_ON = date(2026, 10, 3)

# Our butterhead is a head of 142 g, lighter than the lightest of Kratky's, on the same gallon of water: a kilogram of
# it takes more than Barbosa's, which is told here rather than hidden by a wider range.
LIGHT_HEADS = {"butterhead lettuce"}


def litres_drunk(crop: Crop, pace: float = 1.0) -> float:
    """Give what a plant drinks until the last harvest of its profile, which comes by a pace of its days [L]."""
    harvest = crop.harvest
    days = [round(pace * (harvest.first_days + number * harvest.between_days)) for number in range(len(harvest.grams))]
    taken = [(PLANTED_ON + timedelta(on), grams) for on, grams in zip(days, harvest.grams, strict=True)]
    found = spells(crop, PLANTED_ON, PLANTED_ON + timedelta(days[-1]), taken)
    return sum(sum(litres_by_day(spell, [12.0] * (spell.until_on - spell.from_on).days)) for spell in found)


@pytest.mark.parametrize("pace", [1.0, 1.6])
@pytest.mark.parametrize("name", [name for name in GREENS if name not in LIGHT_HEADS])
def test_a_kilogram_of_greens_takes_as_much_as_of_lettuce(name: str, pace: float) -> None:
    """From the first day in the tote to the last harvest, within the published spread, also where it grows slowly."""
    kilograms = sum(CROPS[name].harvest.grams) / 1000
    mean, spread = BARBOSA["water_l_per_kg"]["hydroponic"], BARBOSA["water_l_per_kg_plus_minus"]["hydroponic"]
    assert litres_drunk(CROPS[name], pace) / kilograms == pytest.approx(mean, abs=spread)


@pytest.mark.parametrize("name", ["butterhead lettuce", "romaine lettuce"])
def test_a_head_takes_a_gallon(name: str) -> None:
    """Within a twentieth of the litres that Kratky gives a head, within his range a plant."""
    assert litres_drunk(CROPS[name]) == pytest.approx(GALLON["water_a_head_l"], rel=0.05)
    least, most = KRATKY["water_a_plant_l"]
    assert least <= CROPS[name].litres_a_plant <= most


@pytest.mark.parametrize("name", sorted(LIGHT_HEADS))
def test_a_light_head_takes_no_more_than_its_gallon(name: str) -> None:
    """A gallon over Kratky's lightest head is 25 litres a kilogram; a tenth more, since ours is a twentieth lighter."""
    lightest = KRATKY["head_g"][0]
    assert sum(CROPS[name].harvest.grams) >= 0.9 * lightest
    assert litres_a_gram(CROPS[name]) <= 1.1 * GALLON["water_a_head_l"] / lightest


@pytest.mark.parametrize("name", GREENS)
def test_no_greens_make_more_of_water_than_the_best_trials(name: str) -> None:
    """The least water a kilogram that was published, under lamps and in still water, is beyond a household."""
    best = max(PENNISI["water_l_per_kg"], KRATKY["water_l_per_kg"]["best"])
    assert 1000 * litres_a_gram(CROPS[name]) > best


def test_a_lettuce_drinks_day_by_day() -> None:
    """Over 35 days in its tote: 0.01 to 0.03 litres a day as a seedling, 0.1 to 0.25 grown (both from memory)."""
    ready_on = PLANTED_ON + timedelta(35)
    crop = CROPS["butterhead lettuce"]
    (spell,) = spells(crop, PLANTED_ON, ready_on, [(ready_on, crop.harvest.grams[0])])
    litres = litres_by_day(spell, [12.0] * 35)
    assert 0.01 <= litres[0] <= 0.03
    assert all(0.1 <= each <= 0.25 for each in litres[-7:])
