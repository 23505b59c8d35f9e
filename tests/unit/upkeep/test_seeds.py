"""Seeds: which sowings use them in a span, and when a packet is too old; plans are made by hand."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from cellar import SOWN_ON, a_batch, a_garden, a_plan
from steadysow.inputs.garden import Packet
from steadysow.upkeep.seeds import seeds_past_their_life, sown_within

FAR_ON = date(2027, 10, 1)


@pytest.mark.parametrize(
    ("recorded", "from_days", "until_days", "is_sown"),
    [
        ((), 0, 1, True),
        ((), 1, 9, False),
        ((), -5, 0, False),
        # A recorded sowing of the first day is past; one of a later day uses its seeds in the span.
        (("sown",), 0, 1, False),
        (("sown",), -1, 1, True),
    ],
)
def test_a_span_is_half_open(recorded: tuple[str, ...], from_days: int, until_days: int, is_sown: bool) -> None:
    """A sowing of 3 October counts in spans that include its day."""
    from_on, until_on = SOWN_ON + timedelta(from_days), SOWN_ON + timedelta(until_days)
    sown = tuple(sown_within(a_plan(a_batch(recorded=recorded)), from_on, until_on))
    assert [batch.id for batch in sown] == ([12] if is_sown else [])


def old_seeds(packed_in: int | None) -> list[str]:
    """Give the warnings for mizuna, whose seeds keep four years, packed in some year and sown in 2026 and 2027."""
    garden = a_garden(packets=() if packed_in is None else (Packet(crop="mizuna", percent=None, packed_in=packed_in),))
    later = replace(a_batch(13), sown_on=date(2027, 2, 6))
    return list(seeds_past_their_life(garden, a_plan(a_batch(), later), SOWN_ON, FAR_ON))


def test_seeds_past_their_life_at_the_last_sowing() -> None:
    """Seeds of 2022 are five years old in 2027, with a warning; those of 2023 or of unknown age have none."""
    (sentence,) = old_seeds(2022)
    assert sentence.startswith(
        "The mizuna seeds will be 5 years old when you sow them, and they keep for about 4. Expect "
    )
    assert sentence.endswith(" of 100 to come up. Order fresh seeds.")
    assert old_seeds(2023) == old_seeds(None) == []
