"""What is doubtful about a garden that has no faults: it can be planned, but a grower would raise an eyebrow.

Takes the garden, no plan; gives sentences, each with its figures.  Each doubt is one function, and
`DOUBTS` lists them; those about light and warmth are in `place_doubts`.  All are rough and on the kind side: a garden
without doubts may still fall short.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Iterator
from itertools import pairwise

from steadysow.advice.light_use import group_of, published_range
from steadysow.advice.place_doubts import (
    mean_dli_mol,
    places_are_dark,
    places_do_not_suit,
    planned_days,
    reservoirs_get_warm,
    seeds_do_not_come_up,
    totes_stand_at_closed_places,
    wanted_crops,
)
from steadysow.amounts import Units, clock_text, day_text, lid_text, light_use_text, listed, litres_text, weight_text
from steadysow.growth.germination import percent_now
from steadysow.growth.uptake import USABLE_WATER
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden, Tote, Want, carried, level_cm, lid_area_m2

# Our estimates of what a household has: depth of a tote [cm], share of light at a window, a lamp's light [mol m-2 d-1].
LEAST_DEPTH_CM, MOST_DEPTH_CM = 5.0, 60.0
MOST_WINDOW_SHARE = 0.7
MOST_LAMP_DLI_MOL = 40.0

Doubt = Callable[[Garden], Iterator[str]]


def doubts(garden: Garden) -> tuple[str, ...]:
    """Say what is doubtful about a garden, in plain sentences.

    Parameters
    ----------
    garden
        The garden.
    """
    return tuple(sentence for doubt in DOUBTS for sentence in doubt(garden))


def still_totes_run_dry(garden: Garden) -> Iterator[str]:
    """Tell of still totes that, full of a crop, are drunk dry before the last harvest."""
    alike: dict[tuple[str, float], list[Tote]] = defaultdict(list)
    for tote in garden.totes:
        usable = USABLE_WATER * tote.litres
        full = {crop: carried(crop, tote) for crop in wanted_crops(garden)}
        thirsty = [crop for crop, plants in full.items() if plants * crop.litres_a_plant > usable]
        if tote.system == "kratky" and thirsty:
            drinks = listed(
                f"{full[crop]} {crop.name} drink {litres_text(full[crop] * crop.litres_a_plant, garden.units)}"
                f" ({litres_text(crop.litres_a_plant, garden.units)} each)"
                for crop in thirsty
            )
            lasts = listed(f"{math.floor(usable / crop.litres_a_plant)} {crop.name}" for crop in thirsty)
            is_never = tote.top_up == "never"
            remedy = (
                "it is never topped up, so no more are planted"
                if is_never
                else "top it up in small portions, or plant less"
            )
            alike[f"{drinks}, and the water lasts for {lasts}: {remedy}.", usable].append(tote)
    for (sentence, usable), totes in alike.items():
        yield f"Still {_named(totes)} can give {litres_text(usable, garden.units)} of water. {sentence}"


def heads_need_room(garden: Garden) -> Iterator[str]:
    """Tell of lids with more holes than they have room for full heads."""
    alike: dict[tuple[str, str, int], list[Tote]] = defaultdict(list)
    for tote in garden.totes:
        crowded = listed(
            f"{carried(crop, tote)} {crop.name}"
            for crop in wanted_crops(garden)
            if crop.harvest.kind == "head" and 0 < carried(crop, tote) < tote.holes
        )
        lid = f"A lid of {lid_text(tote.inside_cm, garden.units)}" if tote.inside_cm else "The lid"
        if crowded:
            alike[lid, crowded, tote.holes].append(tote)
    for (lid, crowded, holes), totes in alike.items():
        yield f"{lid} ({_named(totes)}) carries as full heads {crowded}, not {holes}: spare holes stay covered."


def light_is_short(garden: Garden) -> Iterator[str]:
    """Tell of wants that ask for more than the light on all lids can make at published figures."""
    light_mol = 7 * sum(lid_area_m2(tote) * mean_dli_mol(garden, tote.name) for tote in garden.totes)
    needed_mol = 0.0
    for want in garden.wants:
        needed_mol += min(
            _grams(want, garden.crops[each.crop]) / _light_use(garden.crops[each.crop])[1] for each in want.servings
        )
    if needed_mol <= light_mol:
        return
    asked = listed(_asked(want, garden.units) for want in garden.wants)
    best = max(_light_use(crop)[1] for crop in wanted_crops(garden))
    least = min(_light_use(crop)[0] for crop in wanted_crops(garden))
    uses = _range(light_use_text(least, garden.units), light_use_text(best, garden.units))
    made = _range(weight_text(light_mol * least, garden.units), weight_text(light_mol * best, garden.units))
    yield (
        f"All lids together catch {light_mol:.0f} mol of light a week, which at {uses} a mol makes {made}. "
        f"You ask for {asked} a week, which takes {needed_mol:.0f} mol at the least: "
        "more light or totes are needed, or smaller wants."
    )


def want_is_smaller_than_a_sowing(garden: Garden) -> Iterator[str]:
    """Tell of wants that ask for less a week than the smallest sowing gives at one harvest."""
    smallest = garden.sowing.smallest
    for want in garden.wants:
        grown = [garden.crops[each.crop] for each in want.servings]
        weekly = want.amount if want.unit == "g" else min(_grams(want, crop) for crop in grown)
        least = min(smallest * min(crop.harvest.grams) for crop in grown)
        if weekly < least:
            yield (
                f"The want {want.name} asks for {weight_text(weekly, garden.units)} a week, and the smallest sowing of "
                f"{smallest} plants gives at least {weight_text(least, garden.units)} at a harvest: some will spoil, "
                "or weeks go without. A lower sowing.smallest helps."
            )


def harvest_days_lie_far_apart(garden: Garden) -> Iterator[str]:
    """Tell of crops that cannot wait from one harvest day to the next."""
    days = garden.harvest_days
    gap_days = max(later - earlier for earlier, later in pairwise((*days, days[0] + 7)))
    brief = [crop for crop in wanted_crops(garden) if crop.harvest.window_days < gap_days]
    if brief:
        lists = listed(f"{crop.name} {crop.harvest.window_days}" for crop in brief)
        yield (
            f"Up to {gap_days} days lie between your harvest days, and what is due must be taken within fewer days of "
            f"these: {lists}. Some of it is due on no harvest day and is lost; another harvest day helps."
        )


def nursery_is_small(garden: Garden) -> Iterator[str]:
    """Tell of a nursery with fewer cells than the wants need, even of the crops that need the fewest."""
    cells = sum(min(_cells_at_a_time(want, garden.crops[each.crop]) for each in want.servings) for want in garden.wants)
    if cells > garden.nursery.cells:
        yield (
            f"The wants take about {math.ceil(cells)} nursery cells at a time, even of the crops that need the fewest, "
            f"and there are {garden.nursery.cells}."
        )


def seeds_are_old(garden: Garden) -> Iterator[str]:
    """Tell of wanted crops whose packet is past the life of its seeds in the year of the first planned day."""
    year = planned_days(garden)[0].year
    for crop in wanted_crops(garden):
        packet = garden.packet(crop.name)
        if packet is None or packet.packed_in is None or garden.starts_on is None:
            continue
        age = year - packet.packed_in
        if age > crop.seeds_keep_years:
            yield (
                f"The seeds of {crop.name} are {age} years old and live about {crop.seeds_keep_years:g}: "
                f"{percent_now(crop, packet, year):.0f} of 100 are reckoned to come up. "
                "Sow a new packet."
            )


def measures_look_wrong(garden: Garden) -> Iterator[str]:
    """Tell of figures that would be odd: totes too flat or too deep, windows without glass, lamps like the sun."""
    for tote in garden.totes:
        depth_cm = level_cm(tote, tote.litres)
        if not LEAST_DEPTH_CM <= depth_cm <= MOST_DEPTH_CM:
            yield (
                f"Tote {tote.name} would be {depth_cm:.0f} cm deep, by its litres and its lid: are both right, and is "
                "the lid measured in centimetres (inches)?"
            )
    for place in garden.places:
        if place.window and place.window.share > MOST_WINDOW_SHARE:
            yield f"At {place.name} the window lets in {place.window.share:.0%} of the light outdoors: few let in half."
        if place.lamp and place.lamp.dli_mol > MOST_LAMP_DLI_MOL:
            yield f"The lamp at {place.name} gives {place.lamp.dli_mol:.0f} mol a day, as much as summer sun: is it so?"
    for packet in garden.packets:
        if packet.packed_in is not None and packet.packed_in > planned_days(garden)[-1].year:
            yield f"The seeds of {packet.crop} are packed for {packet.packed_in}, which is yet to come."


def lamps_light_few(garden: Garden) -> Iterator[str]:
    """Tell of lamps that light fewer plants than the totes at their place have holes."""
    for place in garden.places:
        holes = sum(tote.holes for tote in garden.totes if any(stand.place == place.name for stand in tote.stands))
        if place.lights is not None and place.lights < holes:
            yield (
                f"The lamp at {place.name} lights {place.lights} plants, and the totes there have {holes} holes: "
                "never more are planted than it lights."
            )


def upkeep_looks_odd(garden: Garden) -> Iterator[str]:
    """Tell of upkeep that nobody means: dear hours called cheap, undiluted brews, still totes' rules for pumps."""
    tariff = garden.tariff
    if tariff is not None and tariff.per_kwh is not None:
        dear = [span for span in tariff.cheap if span.per_kwh >= tariff.per_kwh]
        if dear:
            yield f"The cheap hours from {clock_text(dear[0].from_clock)} on cost no less than the others."
    if garden.recipe.is_brew and garden.recipe.water_to_one == 0:
        yield f"The brew {garden.recipe.name} goes into totes undiluted (water_to_one: 0)."
    for tote in garden.totes:
        if tote.system == "dwc" and tote.top_up == "never":
            yield f"Tote {tote.name} has a pump and is topped up all the same: top_up: never is for still totes."
    counted_on = garden.stock_counted_on
    if counted_on is not None and garden.starts_on is not None and counted_on > planned_days(garden)[-1]:
        yield f"The stock was counted on {day_text(counted_on)}, which is yet to come."


DOUBTS: tuple[Doubt, ...] = (
    still_totes_run_dry,
    heads_need_room,
    light_is_short,
    want_is_smaller_than_a_sowing,
    seeds_do_not_come_up,
    places_do_not_suit,
    places_are_dark,
    totes_stand_at_closed_places,
    reservoirs_get_warm,
    seeds_are_old,
    measures_look_wrong,
    harvest_days_lie_far_apart,
    nursery_is_small,
    lamps_light_few,
    upkeep_looks_odd,
)


def _light_use(crop: Crop) -> tuple[float, float]:
    """Give the published range of the crop's group, or the profile's figure where there is none [g mol-1]."""
    return published_range(group_of(crop)) or (crop.growth.grams_per_mol, crop.growth.grams_per_mol)


def _grams(want: Want, crop: Crop) -> float:
    return want.amount if want.unit == "g" else want.amount * crop.harvest.grams[0]


def _cells_at_a_time(want: Want, crop: Crop) -> float:
    """Give the cells that seedlings for a week's want take up, for the weeks they stay in them."""
    if crop.sown_in == "pot":
        return 0.0
    plants_a_week = _grams(want, crop) / sum(crop.harvest.grams)
    return plants_a_week * crop.nursery_days[0] / 7


def _asked(want: Want, units: Units) -> str:
    amount = weight_text(want.amount, units) if want.unit == "g" else f"{want.amount:g} heads"
    return f"{amount} for {want.name}"


def _named(totes: list[Tote]) -> str:
    return f"tote {totes[0].name}" if len(totes) == 1 else f"totes {listed(tote.name for tote in totes)}"


def _range(low: str, high: str) -> str:
    return low if low == high else f"{low} to {high}"
