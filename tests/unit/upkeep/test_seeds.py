"""Seeds: which sowings take them from what is at hand, and when those at hand are too old; plans are made by hand."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from cellar import SOWN_ON, a_batch, a_garden, a_plan
from steadysow.inputs.garden import Packet
from steadysow.upkeep.seeds import seeds_past_their_life, sown_within

FAR_ON = date(2027, 10, 1)


@pytest.mark.parametrize(
    ("told", "from_days", "until_days", "is_sown"),
    [
        ((), 0, 1, True),
        ((), 1, 9, False),
        ((), -5, 0, False),
        # Told on the first day it was sown before anybody asked; told on a later one it took its seeds in the span.
        (("sown",), 0, 1, False),
        (("sown",), -1, 1, True),
    ],
)
def test_a_span_is_half_open(told: tuple[str, ...], from_days: int, until_days: int, is_sown: bool) -> None:
    """One batch, sown on 3 October."""
    from_on, until_on = SOWN_ON + timedelta(from_days), SOWN_ON + timedelta(until_days)
    sown = tuple(sown_within(a_plan(a_batch(recorded=told)), from_on, until_on))
    assert [batch.id for batch in sown] == ([12] if is_sown else [])


def old_seeds(packed_in: int | None) -> list[str]:
    """Tell of mizuna seeds of a year, which live four years; one batch of it is sown in 2026, another in 2027."""
    garden = a_garden(packets=() if packed_in is None else (Packet(crop="mizuna", percent=None, packed_in=packed_in),))
    later = replace(a_batch(13), sown_on=date(2027, 2, 6))
    return list(seeds_past_their_life(garden, a_plan(a_batch(), later), SOWN_ON, FAR_ON))


def test_seeds_past_their_life_are_told_by_the_last_sowing() -> None:
    """Packed for 2022 they are five years old in 2027, and told; packed for 2023, or of unknown age, they are not."""
    (sentence,) = old_seeds(2022)
    assert sentence.startswith("The seeds of mizuna are 5 years old when they are sown, and live about 4:")
    assert sentence.endswith("Order fresh ones.")
    assert old_seeds(2023) == old_seeds(None) == []
