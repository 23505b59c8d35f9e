"""Daily light integrals of steady lamps.

Sources: the definition (PPFD in umol m-2 s-1 x seconds of light / 10^6) and [torres-lopez-dli], for the name; its table
was not seen, and the examples kept with it were worked out from the definition.  Inputs from [pennisi-2019] (lettuce
at 215 umol for 16 h) and [palmer-van-iersel-2020] (16 mol over 10 to 20 h); abstracts seen.
"""

from fractions import Fraction

import pytest

from steadysow.growth.rates import dli_from_ppfd, ppfd_from_dli
from steadysow.inputs.sources import read_publication

EXAMPLES = read_publication("torres-lopez-dli").table
LAMP = read_publication("pennisi-2019").table
SPREAD = read_publication("palmer-van-iersel-2020").table


@pytest.mark.parametrize(
    ("ppfd", "hours", "dli_mol"),
    [*EXAMPLES["dli_mol_by_ppfd_and_hours"], (LAMP["ppfd_umol"], LAMP["photoperiod_hours"], LAMP["dli_mol"])],
)
def test_daily_light_of_a_lamp(ppfd: int, hours: int, dli_mol: float) -> None:
    """A day's light is the flux times the seconds it shines, in mol."""
    assert dli_from_ppfd(ppfd, hours) == pytest.approx(dli_mol)
    assert Fraction(str(dli_mol)) == Fraction(ppfd * hours * 3600, 10**6)


@pytest.mark.parametrize(
    ("dli_mol", "hours", "ppfd"),
    [
        *EXAMPLES["ppfd_by_dli_mol_and_hours"],
        *((SPREAD["dli_mol"], *pair) for pair in zip(SPREAD["photoperiod_hours"], SPREAD["ppfd_umol"], strict=True)),
    ],
)
def test_flux_that_makes_a_daily_light(dli_mol: float, hours: float, ppfd: float) -> None:
    """The flux needed for a daily light is the light spread over the hours, to the printed digits."""
    assert round(ppfd_from_dli(dli_mol, hours), 2) == ppfd


def test_twice_the_hours_need_half_the_flux() -> None:
    """For the same daily light, 20 hours need half the flux of 10 hours."""
    assert ppfd_from_dli(16, 20) * 2 == pytest.approx(ppfd_from_dli(16, 10))
