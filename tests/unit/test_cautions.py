"""Cautions bear on what there is."""

from __future__ import annotations

from itertools import product

import pytest

from steadysow.cautions import cautions, mixing_cautions


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


@pytest.mark.parametrize(("brew", "epsom_salt"), list(product((False, True), repeat=2)))
def test_cautions_of_mixing_bear_on_what_is_in_it(brew: bool, epsom_salt: bool) -> None:
    """Germs where something is steeped, children where there is Epsom salt, acids always."""
    told = " ".join(mixing_cautions(["Epsom salt"] if epsom_salt else ["powder"], brew=brew))
    germs = ("root water only", "molasses", "raw manure", "within a day", "rinse leaves")
    assert all((word in told) == brew for word in germs)
    assert ("children" in told) == epsom_salt
    assert all(word in told for word in ("goggles", "never water into acid", "No concentrated nitric"))


def test_every_caution_of_mixing_says_where_it_is_from() -> None:
    """Each sentence ends in, or holds, its source in parentheses."""
    assert all("(" in sentence for sentence in mixing_cautions(["epsom salt"], brew=True))
