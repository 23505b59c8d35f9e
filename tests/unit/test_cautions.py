"""Cautions bear on what there is."""

from __future__ import annotations

from itertools import product

import pytest

from steadysow.cautions import cautions


@pytest.mark.parametrize(("lamps", "pumps", "outdoors"), list(product((False, True), repeat=3)))
def test_cautions_bear_on_what_there_is(lamps: bool, pumps: bool, outdoors: bool) -> None:
    """Power where something is plugged in, eyes under lamps, siphons where there are pumps, rain outdoors."""
    told = " ".join(cautions(lamps=lamps, pumps=pumps, outdoors=outdoors))
    assert ("RCD (GFCI)" in told) == ("Unplug" in told) == (lamps or pumps)
    assert ("Do not stare" in told) == lamps
    assert ("siphon" in told) == pumps
    assert ("keep rain out" in told) == outdoors
    assert ("outlets made for outdoors" in told) == (pumps and outdoors)
    assert all(word in told for word in ("Fill and drain", "rinse leaves", "mosquitoes"))
