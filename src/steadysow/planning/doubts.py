"""What is doubtful about a garden that has no faults: it can be planned, but a grower would raise an eyebrow.

Takes the garden and the crops, no plan; gives sentences, each with its figures.  Each doubt is one function, and
`DOUBTS` lists them.  All are rough and on the kind side: a garden without doubts may still fall short.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from datetime import date, timedelta

from steadysow.amounts import Units, lid_text, light_use_text, temperature_text, volume_text, weight_text
from steadysow.growth.rates import emergence_rate
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden, Place, Tote, Want, carried, lid_area_m2
from steadysow.planning.light_use import group_of, published_range
from steadysow.planning.verify import USABLE_WATER

# A place with less than this share of the light at which a crop's weights hold is called dark for it: our estimate.
DARK_SHARE = 0.5

# Any year of ordinary length serves to see where a tote stands through the seasons.
_YEAR = tuple(date(2026, 1, 1) + timedelta(days=day) for day in range(365))

Doubt = Callable[[Garden, Mapping[str, Crop]], Iterator[str]]


def doubts(garden: Garden, crops: Mapping[str, Crop]) -> tuple[str, ...]:
    """Say what is doubtful about a garden, in plain sentences.

    Parameters
    ----------
    garden, crops
        The garden, and the crops by name.
    """
    return tuple(sentence for doubt in DOUBTS for sentence in doubt(garden, crops))


def still_totes_run_dry(garden: Garden, crops: Mapping[str, Crop]) -> Iterator[str]:
    """Tell of still totes that, full of a crop, are drunk dry before the last harvest."""
    alike: dict[tuple[str, float], list[Tote]] = defaultdict(list)
    for tote in garden.totes:
        usable = USABLE_WATER * tote.litres
        full = {crop: carried(crop, tote) for crop in _wanted(garden, crops)}
        thirsty = [crop for crop, plants in full.items() if plants * crop.litres_a_plant > usable]
        if tote.system == "kratky" and thirsty:
            drinks = _listed(
                f"{full[crop]} {crop.name} drink {_volume(full[crop] * crop.litres_a_plant, garden.units)}"
                for crop in thirsty
            )
            lasts = _listed(f"{math.floor(usable / crop.litres_a_plant)} {crop.name}" for crop in thirsty)
            remedy = "it is never topped up" if tote.top_up == "never" else "top it up in small portions, or plant less"
            alike[f"{drinks}, and the water lasts for {lasts}: {remedy}.", usable].append(tote)
    for (sentence, usable), totes in alike.items():
        yield f"Still {_named(totes)} can give {_volume(usable, garden.units)} of water. {sentence}"


def heads_need_room(garden: Garden, crops: Mapping[str, Crop]) -> Iterator[str]:
    """Tell of lids with more holes than they have room for full heads."""
    alike: dict[tuple[str, str, int], list[Tote]] = defaultdict(list)
    for tote in garden.totes:
        crowded = _listed(
            f"{carried(crop, tote)} {crop.name}"
            for crop in _wanted(garden, crops)
            if crop.harvest.kind == "head" and 0 < carried(crop, tote) < tote.holes
        )
        lid = f"A lid of {lid_text(tote.inside_cm, garden.units)}" if tote.inside_cm else "The lid"
        if crowded:
            alike[lid, crowded, tote.holes].append(tote)
    for (lid, crowded, holes), totes in alike.items():
        yield f"{lid} ({_named(totes)}) carries as full heads {crowded}, not {holes}: spare holes stay covered."


def light_is_short(garden: Garden, crops: Mapping[str, Crop]) -> Iterator[str]:
    """Tell of wants that ask for more than the light on all lids can make at published figures."""
    light_mol = 7 * sum(lid_area_m2(tote) * _mean_dli_mol(garden, tote) for tote in garden.totes)
    needed_mol = 0.0
    for want in garden.wants:
        needed_mol += min(_grams(want, crops[each.crop]) / _light_use(crops[each.crop])[1] for each in want.servings)
    if needed_mol <= light_mol:
        return
    asked = _listed(_asked(want, garden.units) for want in garden.wants)
    best = max(_light_use(crop)[1] for crop in _wanted(garden, crops))
    least = min(_light_use(crop)[0] for crop in _wanted(garden, crops))
    uses = f"{light_use_text(least, garden.units)} to {light_use_text(best, garden.units)}"
    made = f"{weight_text(light_mol * least, garden.units)} to {weight_text(light_mol * best, garden.units)}"
    yield (
        f"All lids together catch {light_mol:.0f} mol of light a week, which at the published {uses} a mol makes "
        f"{made}. You ask for {asked} a week, which takes {needed_mol:.0f} mol at the least: "
        "more light or totes are needed, or smaller wants."
    )


def want_is_smaller_than_a_sowing(garden: Garden, crops: Mapping[str, Crop]) -> Iterator[str]:
    """Tell of wants that ask for less a week than the smallest sowing gives at one harvest."""
    smallest = garden.sowing.smallest
    for want in garden.wants:
        grown = [crops[each.crop] for each in want.servings]
        weekly = want.amount if want.unit == "g" else min(_grams(want, crop) for crop in grown)
        least = min(smallest * min(crop.harvest.grams) for crop in grown)
        if weekly < least:
            yield (
                f"The want {want.name} asks for {weight_text(weekly, garden.units)} a week, and the smallest sowing of "
                f"{smallest} plants gives at least {weight_text(least, garden.units)} at a harvest: some will spoil, "
                "or weeks go without. A lower sowing.smallest helps."
            )


def seeds_do_not_come_up(garden: Garden, crops: Mapping[str, Crop]) -> Iterator[str]:
    """Tell of seeds of which no emergence is known at the temperature they are sown in."""
    for crop in _wanted(garden, crops):
        seedbeds = (garden.nursery.place,) if crop.sown_in == "nursery" else _used_places(garden)
        for place in seedbeds:
            if emergence_rate(place.temperature_c, crop.emergence) is None:
                come_up = [listed_c for listed_c, days in crop.emergence if days is not None]
                yield (
                    f"Seeds of {crop.name} are not known to come up at {_warmth(place, garden.units)}: they do from "
                    f"{temperature_text(min(come_up), garden.units)} to {temperature_text(max(come_up), garden.units)}."
                )


def places_do_not_suit(garden: Garden, crops: Mapping[str, Crop]) -> Iterator[str]:
    """Tell of places that are too cold, too warm, lit for too long or too dark for a wanted crop."""
    for place in _used_places(garden):
        for crop in _wanted(garden, crops):
            growth = crop.growth
            warmth = _warmth(place, garden.units)
            if not growth.base_c < place.temperature_c < growth.ceiling_c:
                low, high = (temperature_text(value, garden.units) for value in (growth.base_c, growth.ceiling_c))
                yield f"At {warmth} {crop.name} does not grow: it does above {low} and below {high}."
            elif growth.bolts_above_c is not None and place.temperature_c > growth.bolts_above_c:
                limit = temperature_text(growth.bolts_above_c, garden.units)
                yield f"At {warmth} {crop.name} will bolt: it does above {limit}."
            hours, longest = place.lamp.hours, growth.longest_day_hours
            if hours is not None and longest is not None and hours > longest:
                yield (
                    f"{hours:g} hours of light a day at {place.name} may bring {crop.name} to flower: "
                    f"it bears {longest:g}."
                )
        dark = [crop for crop in _wanted(garden, crops) if place.lamp.dli_mol < DARK_SHARE * crop.growth.at_dli_mol]
        if dark:
            lists = _listed(f"{crop.name} {place.lamp.dli_mol / crop.growth.at_dli_mol:.0%}" for crop in dark)
            yield (
                f"The place {place.name} is dark, with {place.lamp.dli_mol:.1f} mol of light a day: of the light at "
                f"which their weights hold, {lists}. Harvests shrink likewise."
            )


def nursery_is_small(garden: Garden, crops: Mapping[str, Crop]) -> Iterator[str]:
    """Tell of a nursery with fewer cells than the wants need, even of the crops that need the fewest."""
    cells = sum(min(_cells_at_a_time(want, crops[each.crop]) for each in want.servings) for want in garden.wants)
    if cells > garden.nursery.cells:
        yield (
            f"The wants take about {math.ceil(cells)} nursery cells at a time, even of the crops that need the fewest, "
            f"and there are {garden.nursery.cells}."
        )


def lamps_light_few(garden: Garden, _crops: Mapping[str, Crop]) -> Iterator[str]:
    """Tell of lamps that light fewer plants than the totes at their place have holes."""
    for place in _used_places(garden):
        holes = sum(tote.holes for tote in garden.totes if any(stand.place == place.name for stand in tote.stands))
        if place.lamp.plants is not None and place.lamp.plants < holes:
            yield (
                f"The lamp at {place.name} lights {place.lamp.plants} plants, and the totes there have {holes} holes: "
                "never more are planted than it lights."
            )


DOUBTS: tuple[Doubt, ...] = (
    still_totes_run_dry,
    heads_need_room,
    light_is_short,
    want_is_smaller_than_a_sowing,
    seeds_do_not_come_up,
    places_do_not_suit,
    nursery_is_small,
    lamps_light_few,
)


def _wanted(garden: Garden, crops: Mapping[str, Crop]) -> tuple[Crop, ...]:
    names = dict.fromkeys(serving.crop for want in garden.wants for serving in want.servings)
    return tuple(crops[name] for name in names)


def _used_places(garden: Garden) -> tuple[Place, ...]:
    used = {stand.place for tote in garden.totes for stand in tote.stands}
    return tuple(place for place in garden.places if place.name in used)


def _mean_dli_mol(garden: Garden, tote: Tote) -> float:
    places = [garden.place_of(tote, day) for day in _YEAR]
    return sum(garden.place(name).lamp.dli_mol for name in places if name is not None) / len(_YEAR)


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
    return f"tote {totes[0].name}" if len(totes) == 1 else f"totes {_listed(tote.name for tote in totes)}"


def _volume(litres: float, units: Units) -> str:
    return f"{volume_text(round(litres, 1), units)}s"


def _warmth(place: Place, units: Units) -> str:
    return f"the {temperature_text(place.temperature_c, units)} of the {place.name}"


def _listed(parts: Iterable[str]) -> str:
    *most, last = [*parts] or [""]
    return f"{', '.join(most)} and {last}" if most else last
