"""What is doubtful about a garden without faults: it can be planned, but an experienced grower would ask questions.

Takes the garden, without a plan; gives sentences with their figures.  Each doubt is one function, and `DOUBTS` lists
them; doubts about light and warmth are in `place_doubts`.  All are rough and generous: a garden without doubts may
still fall short.
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
from steadysow.amounts import (
    Units,
    clock_text,
    counted,
    day_text,
    lid_text,
    light_use_text,
    listed,
    litres_text,
    weight_text,
)
from steadysow.growth.germination import percent_now
from steadysow.growth.uptake import USABLE_WATER
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden, Tote, Want, carried, level_cm, lid_area_m2

# Our estimates for a household: the depth of a tote [cm], the share of light at a window, a lamp's light [mol m-2 d-1].
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
    """Find still totes that, full of one crop, run dry before the last harvest."""
    alike: dict[tuple[str, float], list[Tote]] = defaultdict(list)
    for tote in garden.totes:
        usable = USABLE_WATER * tote.litres
        full = {crop: carried(crop, tote) for crop in wanted_crops(garden)}
        thirsty = [crop for crop, plants in full.items() if plants * crop.litres_a_plant > usable]
        if tote.system == "kratky" and thirsty:
            needs = listed(
                f"{full[crop]} {crop.name} {'needs' if full[crop] == 1 else 'need'}"
                f" {litres_text(full[crop] * crop.litres_a_plant, garden.units)}"
                f" ({litres_text(crop.litres_a_plant, garden.units)} each)"
                for crop in thirsty
            )
            lasts = listed(f"{math.floor(usable / crop.litres_a_plant)} {crop.name}" for crop in thirsty)
            remedy = (
                "No more are planted, since it is never topped up."
                if tote.top_up == "never"
                else "Top it up in small portions, or plant fewer."
            )
            alike[f"{needs}; the water is enough for {lasts}. {remedy}", usable].append(tote)
    for (sentence, usable), totes in alike.items():
        each = " each" if len(totes) > 1 else ""
        yield f"Still {_named(totes)} can{each} supply {litres_text(usable, garden.units)} of water. {sentence}"


def heads_need_room(garden: Garden) -> Iterator[str]:
    """Find lids with more holes than they have room for full heads."""
    alike: dict[tuple[str, str, int], list[Tote]] = defaultdict(list)
    for tote in garden.totes:
        crowded = " or ".join(
            f"{carried(crop, tote)} {crop.name}"
            for crop in wanted_crops(garden)
            if crop.harvest.kind == "head" and 0 < carried(crop, tote) < tote.holes
        )
        lid = f"A lid of {lid_text(tote.inside_cm, garden.units)}" if tote.inside_cm else "The lid"
        if crowded:
            alike[lid, crowded, tote.holes].append(tote)
    for (lid, crowded, holes), totes in alike.items():
        yield (
            f"{lid} ({_named(totes)}) has {holes} holes, but room for only {crowded} as full heads. "
            "Keep the spare holes covered."
        )


def light_is_short(garden: Garden) -> Iterator[str]:
    """Find wants that together ask for more than the light on all lids can make, by published figures."""
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
        f"All lids together catch {light_mol:.0f} mol of light a week. At {uses} a mol that makes {made}. "
        f"You ask for {asked} a week, which takes at least {needed_mol:.0f} mol. Add light or totes, or ask for less."
    )


def want_is_smaller_than_a_sowing(garden: Garden) -> Iterator[str]:
    """Find wants that ask for less a week than the smallest sowing gives at one harvest."""
    smallest = garden.sowing.smallest
    for want in garden.wants:
        grown = [garden.crops[each.crop] for each in want.servings]
        weekly = want.amount if want.unit == "g" else min(_grams(want, crop) for crop in grown)
        least = min(smallest * min(crop.harvest.grams) for crop in grown)
        if weekly < least:
            yield (
                f"The want {want.name} asks for {weight_text(weekly, garden.units)} a week, but the smallest sowing, "
                f"{counted(smallest, 'plant')}, gives at least {weight_text(least, garden.units)} at a harvest. "
                "Some will spoil, or some weeks get nothing. Lower sowing.smallest."
            )


def harvest_days_lie_far_apart(garden: Garden) -> Iterator[str]:
    """Find crops that cannot wait from one harvest day to the next."""
    days = garden.harvest_days
    gap_days = max(later - earlier for earlier, later in pairwise((*days, days[0] + 7)))
    brief = [crop for crop in wanted_crops(garden) if crop.harvest.window_days < gap_days]
    if brief:
        lists = listed(f"{crop.name} within {counted(crop.harvest.window_days, 'day')}" for crop in brief)
        yield (
            f"Your harvest days are up to {gap_days} days apart. Some crops must be harvested sooner once they are "
            f"due: {lists}. Some of their harvests will be lost. Add a harvest day."
        )


def nursery_is_small(garden: Garden) -> Iterator[str]:
    """Find a nursery with fewer cells than the wants need, even with the crops that need the fewest."""
    cells = sum(min(_cells_at_a_time(want, garden.crops[each.crop]) for each in want.servings) for want in garden.wants)
    if cells > garden.nursery.cells:
        yield (
            f"The wants need about {counted(math.ceil(cells), 'nursery cell')} at a time, even with the crops that "
            f"need the fewest. The nursery has {garden.nursery.cells}."
        )


def seeds_are_old(garden: Garden) -> Iterator[str]:
    """Find wanted crops whose seeds are past their life in the year of the first planned day."""
    year = planned_days(garden)[0].year
    for crop in wanted_crops(garden):
        packet = garden.packet(crop.name)
        if packet is None or packet.packed_in is None or garden.starts_on is None:
            continue
        age = year - packet.packed_in
        if age > crop.seeds_keep_years:
            yield (
                f"The seeds of {crop.name} are {counted(age, 'year')} old and live about {crop.seeds_keep_years:g}. "
                f"Expect {percent_now(crop, packet, year):.0f} of 100 to come up. Use a new packet."
            )


def measures_look_wrong(garden: Garden) -> Iterator[str]:
    """Find odd figures: totes too flat or too deep, windows without glass, lamps like the sun."""
    for tote in garden.totes:
        depth_cm = level_cm(tote, tote.litres)
        if not LEAST_DEPTH_CM <= depth_cm <= MOST_DEPTH_CM:
            yield (
                f"Tote {tote.name} would be {depth_cm:.0f} cm deep by its litres and its lid. Are both right, and is "
                "the lid measured in centimetres (inches)?"
            )
    for place in garden.places:
        if place.window and place.window.share > MOST_WINDOW_SHARE:
            share = f"{place.window.share:.0%} of the light outdoors"
            yield f"The window at {place.name} lets in {share}. Few windows let in half. Is that right?"
        if place.lamp and place.lamp.dli_mol > MOST_LAMP_DLI_MOL:
            light = f"{place.lamp.dli_mol:.0f} mol a day"
            yield f"The lamp at {place.name} gives {light}, as much as summer sun. Is that right?"
    for packet in garden.packets:
        if packet.packed_in is not None and packet.packed_in > planned_days(garden)[-1].year:
            yield f"The seeds of {packet.crop} are packed for {packet.packed_in}, a year still to come. Is that right?"


def lamps_light_few(garden: Garden) -> Iterator[str]:
    """Find lamps that light fewer plants than the totes at their place have holes."""
    for place in garden.places:
        holes = sum(tote.holes for tote in garden.totes if any(stand.place == place.name for stand in tote.stands))
        if place.lights is not None and place.lights < holes:
            yield (
                f"The lamp at {place.name} lights {counted(place.lights, 'plant')}, but the totes there have {holes} "
                "holes. The plan never puts more plants there than the lamp lights."
            )


def upkeep_looks_odd(garden: Garden) -> Iterator[str]:
    """Find upkeep that nobody means: dear hours called cheap, undiluted brews, rules of still totes for pumps."""
    tariff = garden.tariff
    if tariff is not None and tariff.per_kwh is not None:
        dear = [span for span in tariff.cheap if span.per_kwh >= tariff.per_kwh]
        if dear:
            yield f"The cheap hours from {clock_text(dear[0].from_clock)} cost no less than the others. Is that right?"
    if garden.recipe.is_brew and garden.recipe.water_to_one == 0:
        yield f"The brew {garden.recipe.name} goes into totes undiluted (water_to_one: 0). Is that right?"
    for tote in garden.totes:
        if tote.system == "dwc" and tote.top_up == "never":
            yield f"Tote {tote.name} has a pump, so it is topped up anyway. Write top_up: never for still totes only."
    counted_on = garden.stock_counted_on
    if counted_on is not None and garden.starts_on is not None and counted_on > planned_days(garden)[-1]:
        yield f"The stock was counted on {day_text(counted_on)}, a day still to come. Is that right?"


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
    """Give the published range of the crop's group, or else the profile's figure [g mol-1]."""
    return published_range(group_of(crop)) or (crop.growth.grams_per_mol, crop.growth.grams_per_mol)


def _grams(want: Want, crop: Crop) -> float:
    return want.amount if want.unit == "g" else want.amount * crop.harvest.grams[0]


def _cells_at_a_time(want: Want, crop: Crop) -> float:
    """Give how many cells the seedlings for a want take up at a time, if a week's want is sown each week."""
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
