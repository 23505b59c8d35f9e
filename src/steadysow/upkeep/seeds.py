"""Seeds: which batches use seeds in a span, and which packets are too old for them.

Takes a garden and a plan; gives batches, and sentences.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from steadysow.amounts import counted
from steadysow.growth.germination import percent_now
from steadysow.inputs.garden import Garden
from steadysow.plan.batch import Batch
from steadysow.plan.plan import Plan


def sown_within(plan: Plan, from_on: date, until_on: date) -> Iterator[Batch]:
    """Give the batches that are sown in a span, half open, without those that the journal has for its first day."""
    for batch in plan.batches:
        first_on = from_on + timedelta("sown" in batch.recorded)
        if first_on <= batch.sown_on < until_on:
            yield batch


def seeds_past_their_life(garden: Garden, plan: Plan, from_on: date, until_on: date) -> Iterator[str]:
    """Warn of packets whose seeds will be past their life when they are sown in a span, half open."""
    last_sown_on: dict[str, date] = {}
    for batch in sown_within(plan, from_on, until_on):
        last_sown_on[batch.crop] = max(batch.sown_on, last_sown_on.get(batch.crop, batch.sown_on))
    for name, sown_on in sorted(last_sown_on.items()):
        crop, packet = garden.crops[name], garden.packet(name)
        if packet is None or packet.packed_in is None:
            continue
        age = sown_on.year - packet.packed_in
        if age > crop.seeds_keep_years:
            yield (
                f"The {name} seeds will be {counted(age, 'year')} old when you sow them, and they keep for about"
                f" {crop.seeds_keep_years:g}. Expect {percent_now(crop, packet, sown_on.year):.0f} of 100 to come up."
                " Order fresh seeds."
            )
