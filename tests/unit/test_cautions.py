"""Cautions apply to what a garden or a recipe has, and name their sources."""

from __future__ import annotations

from itertools import product

import pytest

from steadysow.cautions import cautions, mixing_cautions


@pytest.mark.parametrize(("lamps", "pumps", "outdoors"), list(product((False, True), repeat=3)))
def test_cautions_apply_to_what_a_garden_has(lamps: bool, pumps: bool, outdoors: bool) -> None:
    """Plugs bring cautions about power, lamps about eyes, pumps about siphons, and places outdoors about rain."""
    text = " ".join(cautions(lamps=lamps, pumps=pumps, outdoors=outdoors))
    assert ("RCD (GFCI)" in text) == ("Unplug" in text) == (lamps or pumps)
    assert ("Do not stare" in text) == lamps
    assert ("siphon" in text) == pumps
    assert ("keep rain out" in text) == outdoors
    assert ("outlets made for outdoors" in text) == (pumps and outdoors)
    assert all(word in text for word in ("Fill and drain", "rinse leaves", "mosquitoes"))


@pytest.mark.parametrize(("brew", "epsom_salt"), list(product((False, True), repeat=2)))
def test_cautions_of_mixing_apply_to_what_a_recipe_has(brew: bool, epsom_salt: bool) -> None:
    """A brew brings cautions about germs, Epsom salt about children, and every recipe about acids."""
    text = " ".join(mixing_cautions(["Epsom salt"] if epsom_salt else ["powder"], brew=brew))
    germs = ("root water only", "molasses", "raw manure", "within a day", "rinse leaves")
    assert all((word in text) == brew for word in germs)
    assert ("children" in text) == epsom_salt
    assert all(word in text for word in ("goggles", "never water into acid", "no concentrated nitric"))


def test_every_caution_names_its_source() -> None:
    """Each caution holds its source, or the words that it has none, in parentheses."""
    of_garden = cautions(lamps=True, pumps=True, outdoors=True)
    for sentence in (*of_garden, *mixing_cautions(["epsom salt"], brew=True)):
        assert "(" in sentence
