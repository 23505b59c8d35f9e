"""Thermal time to germination of onion.

Source: [brewster-onion], equations 4.6 and 4.7; only an excerpt was seen.  Half the seeds have germinated after 80
degree C d above 2.5 degree C, for 5 to 25 degree C.
"""

import pytest

from steadysow.growth.rates import degree_days, emergence_rate
from steadysow.inputs.sources import read_publication

GERMINATION = read_publication("brewster-onion").table["germination"]
BASE_C = GERMINATION["base_c"]
HEAT_SUM = GERMINATION["half_germinated_c_days"]


@pytest.mark.parametrize(("temperature_c", "days"), [(22.5, 4), (7.5, 16)])
def test_thermal_time_identity(temperature_c: float, days: int) -> None:
    """Onion takes exactly 4 days at 22.5 degree C and exactly 16 at 7.5 degree C."""
    assert HEAT_SUM / degree_days(temperature_c, base_c=BASE_C) == days


@pytest.mark.parametrize(("temperature_c", "days"), [(10.5, 10), (12.5, 8), (18.5, 5)])
def test_interpolating_rates_keeps_thermal_time(temperature_c: float, days: int) -> None:
    """A table of the two published points gives 80 degree C d at every temperature between them."""
    rate = emergence_rate(temperature_c, ((7.5, 16.0), (22.5, 4.0)))
    assert rate == pytest.approx(1 / days)
