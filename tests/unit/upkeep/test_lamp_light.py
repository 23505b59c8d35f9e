"""Light of places beside the light that figures assume, worked out by hand on a shelf with one lamp."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from lit_shelf import CRESS, DECEMBER, NOVEMBER, SILL, a_batch, a_garden, a_plan
from steadysow.growth.rates import dli_from_ppfd
from steadysow.inputs.crops import Bolting
from steadysow.inputs.sources import read_publication
from steadysow.upkeep.lamp_light import brightness_for, hours_for, light_given, light_sentences
from tiny import by_name, make_crop

EXAMPLES = read_publication("torres-lopez-dli").table


@pytest.mark.parametrize(("ppfd", "hours", "dli_mol"), EXAMPLES["dli_mol_by_ppfd_and_hours"])
def test_hours_for_a_daily_light(ppfd: float, hours: float, dli_mol: float) -> None:
    """Hours are the inverse of DLI = PPFD x h x 0.0036, for the examples of [torres-lopez-dli] (computed)."""
    assert hours_for(dli_mol, ppfd) == pytest.approx(hours)
    assert hours_for(dli_mol, 2 * ppfd, 0.5) == pytest.approx(hours)


@pytest.mark.parametrize(("dli_mol", "hours", "ppfd"), EXAMPLES["ppfd_by_dli_mol_and_hours"])
def test_hours_for_printed_fluxes(dli_mol: float, hours: float, ppfd: float) -> None:
    """The table's fluxes and daily lights give its hours, to its digits."""
    assert hours_for(dli_mol, ppfd) == pytest.approx(hours, abs=0.001)


def test_a_dim_lamp_needs_more_than_a_day() -> None:
    """100 umol make 8.64 mol in 24 hours, so 12 mol take 33 hours and a third."""
    assert hours_for(12, 100) == pytest.approx(100 / 3)


@pytest.mark.parametrize(("hours", "more_hours", "brightness"), [(12, 16, 1.0), (10, 20, 0.8), (14, 14, 0.5)])
def test_dimming_keeps_the_light(hours: float, more_hours: float, brightness: float) -> None:
    """A lamp that runs longer makes the same light at a brightness in inverse proportion: b' = b h / h'."""
    dli_mol = dli_from_ppfd(200 * brightness, hours)
    assert brightness_for(dli_mol, 200, more_hours) == pytest.approx(brightness * hours / more_hours)


def test_a_lamp_cannot_be_turned_beyond_full() -> None:
    """The light of 12 hours at 60 % needs 120 % in 6 hours."""
    assert brightness_for(dli_from_ppfd(200 * 0.6, 12), 200, 6) == pytest.approx(1.2)


@pytest.mark.parametrize(
    ("asked_mol", "sentence"),
    [
        # 200 umol for 14 h make 10.08 mol; a mol takes 1 / 0.72 hours.
        (10.2, None),
        (14.4, "Run the lamp at shelf 20.0 hours a day to reach 14.4 mol."),
        (18.0, "The lamp at shelf is too dim to reach 18 mol in a day."),
        (7.56, "Dim the lamp at shelf to 75% for its 14 hours, to come down to 7.56 mol."),
    ],
)
def test_how_to_set_a_lamp(asked_mol: float, sentence: str | None) -> None:
    """A lamp runs longer, is dimmed, or is too dim: hours and brightness were worked out by hand."""
    crop = replace(CRESS, growth=replace(CRESS.growth, at_dli_mol=asked_mol))
    (given,) = light_given(
        replace(a_garden(), crops=by_name([crop])), a_plan(a_batch(NOVEMBER, DECEMBER)), NOVEMBER, DECEMBER
    )
    sentences = light_sentences(replace(a_garden(), crops=by_name([crop])), given)
    assert sentences == (given.sentence, *([sentence] if sentence else []))


def test_longer_days_may_bring_a_crop_to_flower() -> None:
    """A crop that takes no more than 16 hours a day is named if 20 are needed."""
    bolting = Bolting(after_days=14, longest_day_hours=16.0, above_c=None)
    crop = replace(CRESS, growth=replace(CRESS.growth, at_dli_mol=14.4, bolting=bolting))
    (given,) = light_given(
        replace(a_garden(), crops=by_name([crop])), a_plan(a_batch(NOVEMBER, DECEMBER)), NOVEMBER, DECEMBER
    )
    assert light_sentences(replace(a_garden(), crops=by_name([crop])), given)[1].endswith(
        "to reach 14.4 mol. But days that long make cress flower."
    )


def test_light_beside_what_figures_assume() -> None:
    """The lamp's 10.08 mol are shown beside 12 mol of one crop and 17 of another, for crops that stand there then."""
    hungry = replace(make_crop("lettuce"), growth=replace(CRESS.growth, at_dli_mol=17.0))
    plan = a_plan(
        a_batch(NOVEMBER, DECEMBER),
        replace(a_batch(NOVEMBER, DECEMBER, "B", number=2), crop="lettuce"),
        replace(a_batch(DECEMBER, DECEMBER + timedelta(9), "B", number=3), crop="basil"),
    )
    (given,) = light_given(replace(a_garden(), crops=by_name([CRESS, hungry])), plan, NOVEMBER, DECEMBER)
    assert (given.asked_mol, given.crops) == ((12, 17), ("cress", "lettuce"))
    assert given.sentence == "At shelf the lamp gives 10.1 mol a day. The crops' figures assume 12 to 17 mol."
    assert light_given(replace(a_garden(), crops=by_name([CRESS, hungry])), a_plan(), NOVEMBER, DECEMBER) == ()


def test_light_at_a_window() -> None:
    """The light of the sun, and of the lamp that adds up to ten mol, are shown apart."""
    garden = a_garden(places=(SILL,), latitude=61.2)
    (given,) = light_given(
        replace(garden, crops=by_name([CRESS])), a_plan(a_batch(NOVEMBER, DECEMBER)), NOVEMBER, DECEMBER
    )
    assert given.lamp_mol + given.daylight_mol == pytest.approx(10)
    assert "the sun gives" in given.sentence
    assert given.sentence.endswith("The crops' figures assume 12 mol.")
