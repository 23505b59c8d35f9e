"""Published equations: how fast plants develop and seeds emerge, how much light a day has, oxygen in water.

Takes plain numbers with their units; gives rates, degree days, light and oxygen.  Pure functions: no crop, no date, no
file.  Each docstring names the equation, its source and its range.  A key in square brackets names a file in
``shared/``.  `daylight` applies the light to days, `timeline` turns the rates into dates.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import acos, atan2, cos, exp, hypot, pi, radians, sin, tan

# By definition: 3600 s an hour over 10^6 umol a mol.
MOL_PER_UMOL_HOUR = 0.0036

# The lowest daily light in the trial of [gagne-mattson-2019]; days to harvest below it are not published.  estimate:
# below it growth slows in proportion to the light, so that nothing grows in the dark [mol m-2 d-1].
LEAST_TRIED_DLI_MOL = 6.0

# [fao-56] eq. 21: the solar constant [MJ m-2 min-1].
SOLAR_CONSTANT = 0.0820

# [akitsu-2022] gives 0.45 to 0.46 as the customary share of photosynthetic light in the sun's energy, and
# [thimijan-heins-1983] 4.57 umol a joule of it for sun and sky, which is 4.57 mol a MJ [mol MJ-1].
MOL_PER_MJ = 0.45 * 4.57

# By definition: the ice point on the absolute scale [K].
ICE_POINT_K = 273.15


def degree_days(temperature_c: float, *, base_c: float, most_c: float | None = None) -> float:
    """Thermal time that one day adds [degree C d].

    Equation: ``min(T, T_most) - T_base``, and 0 below the base.

    Holds for mean temperatures of days that stay between the thresholds; if a day crosses a threshold, its mean misses
    a part.

    References
    ----------
    [oregon-em9305]: a lower and an upper threshold; temperatures above the upper one count as the threshold.  Lettuce
    follows the rule above 0 degrees, from seed to maturity, in [lettuce-sowing-dates].

    Parameters
    ----------
    temperature_c
        Mean temperature of the day [degree C].
    base_c
        Lower threshold, below which nothing develops [degree C].
    most_c
        Upper threshold [degree C], or ``None``.
    """
    counted_c = temperature_c if most_c is None else min(temperature_c, most_c)
    return max(0.0, counted_c - base_c)


def temperature_response(temperature_c: float, *, base_c: float, optimum_c: float, ceiling_c: float) -> float:
    """Rate of development as a share of its maximum [0 to 1].

    Equation: ``(T - Tb) / (To - Tb)`` from base to optimum, ``(Tc - T) / (Tc - To)`` from optimum to ceiling, 0
    elsewhere.

    Holds for steady temperatures and for means of days; ``base_c < optimum_c <= ceiling_c``.

    References
    ----------
    The broken line through three cardinal temperatures is common practice in crop models, without a single source.
    Above the base its straight line is the rule of thermal time (see `degree_days`).

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
        Temperature for which the profile's days hold [degree C].
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

    Equation: the ratio of two ``D / (D + D_half)``, where a `D` under 6 mol counts as 6 and the result is multiplied by
    ``D / 6``.

    Holds for 6 to 30 mol m-2 d-1, the range of the trial that the profiles' ``D_half`` come from.  Under 6 it is an
    estimate (see `LEAST_TRIED_DLI_MOL`): a stage takes the same sum of light as at 6.  Too much light is not modelled.

    References
    ----------
    A saturating curve of the form of [michaelis-menten-1913], here used for daily light: common practice, no source for
    its use on days to harvest.  The range: [gagne-mattson-2019], table 2.

    Parameters
    ----------
    dli_mol
        Daily light integral [mol m-2 d-1].
    at_dli_mol
        Daily light for which the profile's days hold [mol m-2 d-1], above 0.
    half_dli_mol
        Daily light at which development runs at half its maximum [mol m-2 d-1]; 0 if more light changes no days.
    """

    def response(mol: float) -> float:
        tried_mol = max(mol, LEAST_TRIED_DLI_MOL)
        return tried_mol / (tried_mol + half_dli_mol) * min(1.0, mol / LEAST_TRIED_DLI_MOL)

    return response(dli_mol) / response(at_dli_mol)


def emergence_rate(temperature_c: float, days_by_temperature: Sequence[tuple[float, float | None]]) -> float | None:
    """Progress to emergence in one day [d-1], or ``None`` if the table has no emergence at that temperature.

    Equation: ``1 / days``, on a straight line between the two temperatures of the table on both sides of
    `temperature_c`.

    Holds between the temperatures of the table; it is never extrapolated.  Between a temperature with emergence and one
    without, the rate is unknown and therefore ``None``, so that no plan relies on it.

    References
    ----------
    Rates, unlike days, are nearly linear in temperature, by the rule of thermal time; see [bierhuizen-wagenvoort-1974]
    (reference seen, paper not read).

    Parameters
    ----------
    temperature_c
        Mean temperature of the day [degree C].
    days_by_temperature
        Pairs (temperature [degree C], days to emergence [d] or ``None`` if no seed emerges), temperatures rising.
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
    By definition; the name is explained in [torres-lopez-dli].

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


def mol_from_mj(radiation_mj: float) -> float:
    """Give the photons in the sun's energy that plants can use [mol m-2].

    Equation: ``Q = 0.45 x 4.57 x R`` (`MOL_PER_MJ`).  Published values of the product range from 1.9 to 2.3 mol a MJ,
    so it holds to about a tenth, for sun and sky together.

    References
    ----------
    [akitsu-2022] and [thimijan-heins-1983]; other choices: [par-per-global].

    Parameters
    ----------
    radiation_mj
        Energy of the sun, all wavelengths [MJ m-2].
    """
    return radiation_mj * MOL_PER_MJ


def mj_from_mol(light_mol: float) -> float:
    """Give the sun's energy that contains some photons [MJ m-2]: the inverse of `mol_from_mj`.

    Parameters
    ----------
    light_mol
        Photons that plants use [mol m-2].
    """
    return light_mol / MOL_PER_MJ


def inverse_relative_distance(day_of_year: int) -> float:
    """Inverse relative distance from the earth to the sun, squared [-].

    Equation: ``dr = 1 + 0.033 cos(2 pi J / 365)``, [fao-56] eq. 23.  Holds for every day.

    Parameters
    ----------
    day_of_year
        J, 1 on the first of January [d].
    """
    return 1 + 0.033 * cos(2 * pi * day_of_year / 365)


def declination(day_of_year: int) -> float:
    """Declination of the sun [rad].

    Equation: ``delta = 0.409 sin(2 pi J / 365 - 1.39)``, [fao-56] eq. 24.  Near the equinoxes it is up to 0.017 rad too
    far south, which makes the day a quarter of an hour wrong at 60 degrees ([sun-reference-libraries]).

    Parameters
    ----------
    day_of_year
        J, 1 on the first of January [d].
    """
    return 0.409 * sin(2 * pi * day_of_year / 365 - 1.39)


def sunset_hour_angle(latitude: float, day_of_year: int) -> float:
    """Hour angle of the sunset [rad]: 0 in the polar night, pi if the sun does not set.

    Equation: ``ws = arccos(-tan(phi) tan(delta))``, [fao-56] eq. 25, its argument clamped to -1 and 1; radians from
    degrees by eq. 22.

    Parameters
    ----------
    latitude
        Latitude, south negative [degree].
    day_of_year
        J, 1 on the first of January [d].
    """
    argument = -tan(radians(latitude)) * tan(declination(day_of_year))
    return acos(max(-1.0, min(1.0, argument)))


def extraterrestrial_radiation_mj(latitude: float, day_of_year: int) -> float:
    """Energy of the sun on level ground without an atmosphere [MJ m-2 d-1].

    Equation: ``Ra = (24 x 60 / pi) Gsc dr [ws sin(phi) sin(delta) + cos(phi) cos(delta) sin(ws)]``, [fao-56] eq. 21.
    Within 52 degrees of the equator it is within 5 % of a sun table; at 60 degrees it is 6.4 % low in the middle of
    October ([sun-reference-libraries]).

    Parameters
    ----------
    latitude
        Latitude, south negative [degree].
    day_of_year
        J, 1 on the first of January [d].
    """
    phi, delta, sunset = radians(latitude), declination(day_of_year), sunset_hour_angle(latitude, day_of_year)
    height = sunset * sin(phi) * sin(delta) + cos(phi) * cos(delta) * sin(sunset)
    return 24 * 60 / pi * SOLAR_CONSTANT * inverse_relative_distance(day_of_year) * height


def day_length_hours(latitude: float, day_of_year: int) -> float:
    """Hours that the middle of the sun is above a level horizon [h].

    Equation: ``N = 24 ws / pi``, [fao-56] eq. 34.  It leaves out refraction and twilight, so it is mostly shorter than
    the day of an almanac: by 6 minutes at the equator and up to 28 minutes at 60 degrees ([sun-reference-libraries]).

    Parameters
    ----------
    latitude
        Latitude, south negative [degree].
    day_of_year
        J, 1 on the first of January [d].
    """
    return 24 / pi * sunset_hour_angle(latitude, day_of_year)


def solar_radiation_mj(extraterrestrial_mj: float, sunshine_share: float) -> float:
    """Energy of the sun that reaches level ground through air and clouds [MJ m-2 d-1].

    Equation: ``Rs = (0.25 + 0.50 n / N) Ra``, [fao-56] eq. 35 with its usual constants.  Under a low sun it is too
    high: at 60 degrees in December about twice that of clear sky models ([sun-reference-libraries]).

    Parameters
    ----------
    extraterrestrial_mj
        Ra [MJ m-2 d-1].
    sunshine_share
        Hours of sunshine over hours of daylight, n / N [0 to 1].
    """
    return (0.25 + 0.50 * sunshine_share) * extraterrestrial_mj


def clear_sky_radiation_mj(extraterrestrial_mj: float, height_m: float = 0.0) -> float:
    """Energy of the sun that reaches level ground under a clear sky [MJ m-2 d-1].

    Equation: ``Rso = (0.75 + 2e-5 z) Ra``, [fao-56] eq. 37.  Too high under a low sun, like `solar_radiation_mj`.

    Parameters
    ----------
    extraterrestrial_mj
        Ra [MJ m-2 d-1].
    height_m
        Height above the sea, z [m].
    """
    return (0.75 + 2e-5 * height_m) * extraterrestrial_mj


def sun_before_pane(latitude: float, day_of_year: int, facing_degrees: float) -> tuple[float, float]:
    """Hours that the sun is in front of an upright pane [h], and the share of the day's energy in these hours [0 to 1].

    Equation: the sun is in front of the pane while ``-sin(delta) cos(phi) cos(g) + cos(delta) sin(phi) cos(g) cos(w) +
    cos(delta) sin(g) sin(w) > 0`` (g: the way the pane faces, from south towards west; w: hour angle).  The share is
    the integral of ``sin(phi) sin(delta) + cos(phi) cos(delta) cos(w)``, the sun's height, over these hours with the
    sun up, divided by that over the whole day.  Holds for a free horizon.

    References
    ----------
    The angle of incidence on a tilted plane of [duffie-beckman] (from memory).

    Parameters
    ----------
    latitude
        Latitude, south negative [degree].
    day_of_year
        J, 1 on the first of January [d].
    facing_degrees
        The way the pane faces: 0 south, 90 west, 180 north, -90 east [degree].
    """
    phi, delta, facing = radians(latitude), declination(day_of_year), radians(facing_degrees)
    sunset = sunset_hour_angle(latitude, day_of_year)
    if sunset == 0:
        return 0.0, 0.0
    # The sun is in front of the pane while level + swing cos(w - turned) > 0.
    level = -sin(delta) * cos(phi) * cos(facing)
    east_west, north_south = cos(delta) * sin(facing), cos(delta) * sin(phi) * cos(facing)
    swing, turned = hypot(north_south, east_west), atan2(east_west, north_south)
    always = pi if level > 0 else 0.0
    half_width = always if swing <= abs(level) else acos(-level / swing)

    def height_until(angle: float) -> float:
        return angle * sin(phi) * sin(delta) + cos(phi) * cos(delta) * sin(angle)

    hours, height = 0.0, 0.0
    for turn in (-2 * pi, 0.0, 2 * pi):
        start, end = max(-sunset, turned - half_width + turn), min(sunset, turned + half_width + turn)
        if start < end:
            hours += (end - start) * 12 / pi
            height += height_until(end) - height_until(start)
    return hours, height / (2 * height_until(sunset))


def oxygen_saturation_mg(temperature_c: float) -> float:
    """Oxygen that fresh water holds in air at sea level [mg L-1].

    Equation: ``ln DO = -139.34411 + 1.575701e5 / T - 6.642308e7 / T^2 + 1.243800e10 / T^3 - 8.621949e11 / T^4``, with T
    in K.  Holds from 0 to 40 degrees C.

    References
    ----------
    [dissolved-oxygen-apha-1985]; it agrees with [dissolved-oxygen-en-25814] to 0.03 mg/L.

    Parameters
    ----------
    temperature_c
        Temperature of the water [degree C].
    """
    kelvin = temperature_c + ICE_POINT_K
    return exp(
        -139.34411 + 1.575701e5 / kelvin - 6.642308e7 / kelvin**2 + 1.243800e10 / kelvin**3 - 8.621949e11 / kelvin**4
    )
