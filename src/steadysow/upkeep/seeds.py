"""Seeds: how many of each crop a plan takes, on which days, and whether those at hand are still good.

Takes a garden, its crops and a plan; gives needs by day, and sentences.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date

from steadysow.growth.germination import percent_now
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden
from steadysow.planning.plan import Plan


def seeds_needed(plan: Plan, from_on: date, until_on: date) -> Iterator[tuple[date, str, int]]:
    """Give the day, the crop and the seeds of each batch that is sown from a day on, up to another.

    What was told to be sown already needs none.
    """
    for batch in plan.batches:
        if from_on <= batch.sown_on < until_on and "sown" not in batch.told:
            yield batch.sown_on, batch.crop, batch.seeds


def seeds_past_their_life(
    garden: Garden, crops: Mapping[str, Crop], plan: Plan, from_on: date, until_on: date
) -> Iterator[str]:
    """Tell of packets at hand that are past the life of their seeds when they are sown."""
    last_sown_on: dict[str, date] = {}
    for sown_on, name, _ in seeds_needed(plan, from_on, until_on):
        last_sown_on[name] = max(sown_on, last_sown_on.get(name, sown_on))
    for name, sown_on in sorted(last_sown_on.items()):
        crop, packet = crops[name], garden.packet(name)
        if packet is None or packet.packed_in is None:
            continue
        age = sown_on.year - packet.packed_in
        if age > crop.seeds_keep_years:
            yield (
                f"The seeds of {name} are {age} years old when they are sown, and live about {crop.seeds_keep_years:g}:"
                f" {percent_now(crop, packet, sown_on.year):.0f} of 100 are reckoned to come up. Order fresh ones."
            )
