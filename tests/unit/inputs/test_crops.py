"""Crops: which of them may share a tote, and how the garden's own record changes them at a place."""

from __future__ import annotations

from dataclasses import replace

import pytest

from steadysow.inputs.crops import Band, share_reservoir
from tiny import make_crop

CRESS = make_crop("cress", ec=(1.0, 2.0))


@pytest.mark.parametrize(
    ("ec", "share"), [((2.0, 3.0), True), ((2.1, 3.0), False), ((0.2, 1.0), True), ((0.2, 0.9), False), ((0, 5), True)]
)
def test_crops_share_a_tote_if_they_tolerate_a_common_ec(ec: tuple[float, float], share: bool) -> None:
    """Ranges include both ends, so ranges that touch are enough; the order of the crops does not matter."""
    other = make_crop("kale", ec=ec)
    assert share_reservoir(CRESS, other) is share
    assert share_reservoir(other, CRESS) is share


def test_crops_share_a_tote_if_they_tolerate_a_common_ph() -> None:
    """A crop for acid water does not share with one for neutral water."""
    acid, neutral = Band(ideal=(4.5, 5.0), tolerated=(4.0, 5.4)), Band(ideal=(6.0, 6.5), tolerated=(5.5, 7.0))
    assert not share_reservoir(replace(CRESS, ph=acid), replace(make_crop("kale", ec=(1.0, 2.0)), ph=neutral))
    assert share_reservoir(replace(CRESS, ph=acid), replace(make_crop("kale", ec=(1.0, 2.0)), ph=acid))


def test_fruit_shares_only_with_its_own_kind() -> None:
    """A fruit crop stands alone in its tote, whatever water the others need."""
    pepper, tomato = (make_crop(name, "pick", ec=(1.0, 2.0)) for name in ("pepper", "tomato"))
    assert pepper.is_fruit
    assert not CRESS.is_fruit
    assert share_reservoir(pepper, pepper)
    assert not share_reservoir(pepper, tomato)
    assert not share_reservoir(pepper, CRESS)


def test_a_crop_has_its_own_figures_where_the_record_gives_them() -> None:
    """At the sill the record makes it slower; everywhere else it is the crop itself."""
    slow = replace(CRESS.harvest, first_days=21)
    crop = replace(CRESS, at_places=(("sill", slow, CRESS.growth),))
    assert crop.at("sill") == replace(CRESS, harvest=slow)
    assert crop.at("shelf") is crop


def test_the_most_harvests_are_as_many_as_the_weights() -> None:
    """A head is harvested once; a crop with three weights is cut up to three times."""
    assert CRESS.harvest.most == 1
    assert make_crop("mizuna", "cut", grams=(10.0, 10.0, 8.0)).harvest.most == 3
