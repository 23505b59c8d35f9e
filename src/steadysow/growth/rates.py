"""Published equations of growth: how fast a plant develops, how fast seeds emerge, how much light a day holds.

Takes plain numbers with their units; gives rates, degree days and light.  Pure functions: no crop, no date, no file.
Each docstring names the equation, where it comes from and where it holds; `timeline` turns the rates into dates.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

# 3600 s an hour over 10^6 umol a mol.
MOL_PER_UMOL_HOUR = 0.0036


def degree_days(temperature_c: float, *, base_c: float, most_c: float | None = None) -> float:
    """Thermal time that one day adds [degree C d].

    Equation: ``min(T, T_most) - T_base``, and 0 below the base.

    Holds for a day's mean temperature that stays between the thresholds; where a day swings across one, the mean
    misses a part.

    References
    ----------
    Oregon State University Extension, EM 9305 "Vegetable Degree-Day Models" (2021): a lower and an upper threshold,
    with warmth above the upper one counted as the threshold.

    Parameters
    ----------
    temperature_c
        Mean temperature of the day [degree C].
    base_c
        Lower threshold: below it nothing develops [degree C].
    most_c
        Upper threshold [degree C], or ``None``.
    """
    counted_c = temperature_c if most_c is None else min(temperature_c, most_c)
    return max(0.0, counted_c - base_c)


def temperature_response(temperature_c: float, *, base_c: float, optimum_c: float, ceiling_c: float) -> float:
    """Rate of development as a share of its most [0 to 1].

    Equation: ``(T - Tb) / (To - Tb)`` from base to optimum, ``(Tc - T) / (Tc - To)`` from optimum to ceiling, 0
    elsewhere.

    Holds for steady temperatures and for means of days; ``base_c < optimum_c <= ceiling_c``.

    References
    ----------
    The broken line through three cardinal temperatures is common practice in crop models, no single source; that the
    rate is a straight line above the base is the thermal time rule (see `degree_days`).

    Parameters
    ----------
    temperature_c
        Mean temperature of the day [degree C].
    base_c, optimum_c, ceiling_c
        Cardinal temperatures of development [degree C].
    """
    if temperature_c <= optimum_c:
        return degree_days(temperature_c, base_c=base_c) / (optimum_c - base_c)
    if temperature_c < ceiling_c:
        return (ceiling_c - temperature_c) / (ceiling_c - optimum_c)
    return 0.0


def relative_temperature_response(
    temperature_c: float, *, at_c: float, base_c: float, optimum_c: float, ceiling_c: float
) -> float:
    """Rate of development relative to the one at the profile's own temperature [-]; 1 at `at_c`.

    Equation: the ratio of two `temperature_response`.  Holds as that does, for ``base_c < at_c < ceiling_c``.

    Parameters
    ----------
    temperature_c
        Mean temperature of the day [degree C].
    at_c
        Temperature at which the profile's days hold [degree C].
    base_c, optimum_c, ceiling_c
        Cardinal temperatures of development [degree C].

    Raises
    ------
    ZeroDivisionError
        If nothing develops at `at_c`.
    """
    here = temperature_response(temperature_c, base_c=base_c, optimum_c=optimum_c, ceiling_c=ceiling_c)
    return here / temperature_response(at_c, base_c=base_c, optimum_c=optimum_c, ceiling_c=ceiling_c)


def relative_light_response(dli_mol: float, *, at_dli_mol: float, half_dli_mol: float) -> float:
    """Rate of development relative to the one at the profile's own light [-]; 1 at `at_dli_mol`.

    Equation: the ratio of two ``D / (D + D_half)``; 1 at any light where ``D_half`` is 0.

    Holds for the daily light that greens are grown under, about 3 to 30 mol m-2 d-1; too much light is not modelled.

    References
    ----------
    A saturating curve of the Michaelis and Menten form (Michaelis & Menten 1913, "Die Kinetik der Invertinwirkung",
    cited from memory), used here for daily light: common practice, no source for its use on days to harvest.

    Parameters
    ----------
    dli_mol
        Daily light integral [mol m-2 d-1].
    at_dli_mol
        Daily light at which the profile's days hold [mol m-2 d-1], above 0.
    half_dli_mol
        Daily light at which development runs at half its most [mol m-2 d-1]; 0 if light does not change the days.
    """
    if half_dli_mol == 0:
        return 1.0
    return (dli_mol / (dli_mol + half_dli_mol)) / (at_dli_mol / (at_dli_mol + half_dli_mol))


def emergence_rate(temperature_c: float, days_by_temperature: Sequence[tuple[float, float | None]]) -> float | None:
    """Share of the way to emergence that one day brings [d-1], or ``None`` where the table promises no emergence.

    Equation: ``1 / days``, on a straight line between the two temperatures of the table that lie around
    `temperature_c`.

    Holds between the temperatures of the table, which is never read past its ends.  Between a temperature at which
    seeds emerge and one at which none do the rate is unknown: ``None``, so that no plan leans on it.

    References
    ----------
    Rates, unlike days, run about straight with temperature: the rule of thermal time; see Bierhuizen & Wagenvoort
    1974, "Some aspects of seed germination in vegetables. 1.", Scientia Horticulturae 2: 213-219 (reference seen,
    paper not read).

    Parameters
    ----------
    temperature_c
        Mean temperature of the day [degree C].
    days_by_temperature
        Pairs (temperature [degree C], days to emergence [d] or ``None`` where none emerge), temperatures rising.
    """
    for listed_c, days in days_by_temperature:
        if listed_c == temperature_c:
            return None if days is None else 1 / days
    for (low_c, low_days), (high_c, high_days) in pairwise(days_by_temperature):
        if low_c < temperature_c < high_c:
            if low_days is None or high_days is None:
                return None
            share = (temperature_c - low_c) / (high_c - low_c)
            return (1 - share) / low_days + share / high_days
    return None


def dli_from_ppfd(ppfd: float, hours: float) -> float:
    """Daily light integral of a steady light [mol m-2 d-1].

    Equation: ``DLI = PPFD x h x 0.0036``.

    Exact for light that does not change through the day.

    References
    ----------
    By definition; the name is explained in Torres & Lopez, "Measuring Daily Light Integral in a Greenhouse", Purdue
    Extension HO-238-W.

    Parameters
    ----------
    ppfd
        Photosynthetic photon flux density at leaf height [umol m-2 s-1].
    hours
        Hours of light a day [h], 0 to 24.
    """
    return ppfd * hours * MOL_PER_UMOL_HOUR


def ppfd_from_dli(dli_mol: float, hours: float) -> float:
    """Give the steady light that makes a daily light integral [umol m-2 s-1]: the inverse of `dli_from_ppfd`.

    Parameters
    ----------
    dli_mol
        Daily light integral [mol m-2 d-1].
    hours
        Hours of light a day [h], above 0 up to 24.

    Raises
    ------
    ZeroDivisionError
        If there are no hours of light.
    """
    return dli_mol / (hours * MOL_PER_UMOL_HOUR)
