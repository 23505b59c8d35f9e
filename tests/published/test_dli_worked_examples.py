"""Daily light integrals of steady lamps.

Sources: the definition (PPFD in umol m-2 s-1 x seconds of light / 10^6); Torres & Lopez, "Measuring Daily Light
Integral in a Greenhouse", Purdue Extension HO-238-W, for the name (its table was not seen).  Inputs from Pennisi et
al. 2019, Scientific Reports 9: 14127 (lettuce at 215 umol for 16 h), Palmer & van Iersel 2020, Agronomy 10: 1659 (16
mol over 10 to 20 h), and Gagne & Mattson 2019 (17 mol for head lettuce); abstracts and excerpts seen, the light
worked out here from the definition.
"""

from fractions import Fraction

import pytest

from steadysow.growth.rates import dli_from_ppfd, ppfd_from_dli


@pytest.mark.parametrize(
    ("ppfd", "hours", "dli_mol"),
    [
        (100, 12, 4.320),
        (150, 14, 7.560),
        (200, 16, 11.520),
        (215, 16, 12.384),
        (250, 16, 14.400),
        (295, 16, 16.992),
        (1000, 1, 3.600),
        (100, 24, 8.640),
    ],
)
def test_daily_light_of_a_lamp(ppfd: int, hours: int, dli_mol: float) -> None:
    """A day's light is the flux times the seconds it shines, in mol."""
    assert dli_from_ppfd(ppfd, hours) == pytest.approx(dli_mol)
    assert Fraction(str(dli_mol)) == Fraction(ppfd * hours * 3600, 10**6)


@pytest.mark.parametrize(
    ("dli_mol", "hours", "ppfd"), [(17, 16, 295.14), (12, 14, 238.10), (16, 10, 444.44), (16, 20, 222.22)]
)
def test_flux_that_makes_a_daily_light(dli_mol: float, hours: float, ppfd: float) -> None:
    """The flux needed for a daily light is the light spread over the hours, to the printed digits."""
    assert round(ppfd_from_dli(dli_mol, hours), 2) == ppfd


def test_twice_the_hours_need_half_the_flux() -> None:
    """For the same daily light, 20 hours need half the flux of 10 hours."""
    assert ppfd_from_dli(16, 20) * 2 == pytest.approx(ppfd_from_dli(16, 10))
