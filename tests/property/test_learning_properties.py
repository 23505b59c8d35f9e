"""What must hold of learning for every crop and any record of a garden."""

import random
from collections.abc import Mapping
from dataclasses import replace
from math import inf

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from builders import a_batch
from steadysow.advice.notes import cut_short
from steadysow.advice.place_doubts import places_are_dark
from steadysow.check.verify import verify
from steadysow.growth.germination import percent_now
from steadysow.growth.learnt import (
    LEAST_RATIO,
    MOST_RATIO,
    PLACE_BATCHES,
    BatchOutcome,
    SowingOutcome,
    factors,
    germination,
    germinations,
    learn,
    learn_packets,
    sentences,
    shrunk,
)
from steadysow.growth.timeline import days_before_growth
from steadysow.inputs.crops import Bolting, Crop
from steadysow.inputs.garden import Garden, Packet, Stand, Window
from steadysow.plan.batch import Batch
from steadysow.search.assemble import assemble
from steadysow.search.naming import name_totes
from steadysow.search.rules_of_thumb import greedy
from tiny import NOTHING_BEGUN, START, by_name, day, make_crop, make_garden, make_tote, make_want, proposed

from .strategies import Plot, crops, plots

PLACES = ("shelf", "sill", "yard")
TOLERANCE = 1e-9

steady = settings(deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])

# From a batch that gave nothing to one of which something was mistyped.
ratios = st.floats(0, 20) | st.just(inf)
spreads = st.just(0.0) | st.floats(0.01, 1)
percents = st.floats(0, 100)
years = st.integers(2018, 2030)


@st.composite
def records(draw: st.DrawFn, crop: str = "made-up crop") -> list[BatchOutcome]:
    """Give finished batches of a crop, each telling of days, of grams, of both or of nothing."""
    batch = st.builds(
        BatchOutcome,
        crop=st.just(crop),
        place=st.sampled_from(PLACES),
        days_ratio=st.none() | ratios,
        grams_ratio=st.none() | ratios,
    )
    return draw(st.lists(batch, max_size=15))


@st.composite
def sowings(draw: st.DrawFn, packed_in: int | None = None) -> list[SowingOutcome]:
    """Give sowings of one packet, in cells of one seed and of more."""
    return [
        SowingOutcome(
            crop="made-up crop",
            packed_in=packed_in,
            cells=cells,
            seeds_a_cell=draw(st.integers(1, 6)),
            cells_up=draw(st.integers(0, cells)),
            sown_year=draw(st.none() | st.integers(2020, 2026)),
        )
        for cells in draw(st.lists(st.integers(0, 40), max_size=6))
    ]


@given(crops())
def test_nothing_is_learnt_of_nothing(crop: Crop) -> None:
    """Without a record every crop is as published, at every place."""
    told = learn({crop.name: crop}, [])
    assert told == {crop.name: crop}
    assert all(told[crop.name].at(place) == crop for place in PLACES)


@given(crops(), records(), st.randoms(use_true_random=False))
def test_the_order_of_batches_does_not_matter(crop: Crop, record: list[BatchOutcome], chance: random.Random) -> None:
    """Any order of the same batches makes the very same crops, factors and sentences."""
    known, other = {crop.name: crop}, list(record)
    chance.shuffle(other)
    assert learn(known, other) == learn(known, record)
    assert list(sentences(factors(known, other))) == list(sentences(factors(known, record)))


@given(crops(), records())
def test_an_exact_profile_learns_nothing(crop: Crop, record: list[BatchOutcome]) -> None:
    """Without a published spread no record changes a crop."""
    exact = replace(crop, days_spread=0.0, grams_spread=0.0)
    assert learn({crop.name: exact}, record) == {crop.name: exact}


@given(st.lists(ratios, max_size=40), spreads, st.floats(0.4, 2.5))
def test_a_factor_lies_between_what_held_and_the_record(told: list[float], spread: float, around: float) -> None:
    """A factor never leaves the span from what held without a record to the record's own mean."""
    factor = shrunk(told, spread, around=around)
    ends = (around, around if factor.own is None else factor.own)
    assert min(ends) - TOLERANCE <= factor.value <= max(ends) + TOLERANCE
    assert LEAST_RATIO - TOLERANCE <= factor.value <= MOST_RATIO + TOLERANCE
    assert (factor.own is None) == (factor.batches == 0)


@given(st.floats(0.4, 2.5), st.integers(1, 60), st.floats(0.01, 1))
def test_more_of_the_same_is_believed_more(ratio: float, number: int, spread: float) -> None:
    """Each batch that says the same brings the factor nearer to it, and never past it."""
    before, after = (shrunk([ratio] * count, spread).value for count in (number, number + 1))
    assert abs(after - ratio) <= abs(before - ratio) + TOLERANCE


@given(st.lists(ratios, min_size=1, max_size=12), ratios, st.floats(0.01, 1))
def test_a_slower_batch_never_makes_a_crop_faster(told: list[float], other: float, spread: float) -> None:
    """With one batch changed for a slower one the factor is no less."""
    slower = [max(told[0], other), *told[1:]]
    assert shrunk(slower, spread).value >= shrunk(told, spread).value - TOLERANCE


@given(crops(), records())
def test_learnt_crops_keep_what_was_not_learnt(crop: Crop, record: list[BatchOutcome]) -> None:
    """Only days, grams and the weight that light makes change, together, and something is left to grow."""
    learnt = learn({crop.name: crop}, record)[crop.name]
    for each in (learnt, *(learnt.at(place) for place in PLACES)):
        left_days = crop.harvest.first_days - days_before_growth(crop)
        assert each.harvest.first_days - days_before_growth(crop) >= min(1, left_days) - TOLERANCE
        by_light = each.growth.grams_per_mol / crop.growth.grams_per_mol
        assert each.harvest.grams == pytest.approx([grams * by_light for grams in crop.harvest.grams])
        harvest = replace(
            each.harvest,
            first_days=crop.harvest.first_days,
            between_days=crop.harvest.between_days,
            grams=crop.harvest.grams,
        )
        growth = replace(each.growth, grams_per_mol=crop.growth.grams_per_mol)
        assert replace(each, harvest=harvest, growth=growth, at_places=()) == crop


@given(crops(), records())
def test_a_place_with_few_batches_keeps_the_crops_factors(crop: Crop, record: list[BatchOutcome]) -> None:
    """Places differ from the crop only with enough batches of their own that tell of days or of grams."""
    learnt = learn({crop.name: crop}, record)[crop.name]
    for place in PLACES:
        there = [batch for batch in record if batch.place == place]
        days = sum(batch.days_ratio is not None for batch in there)
        grams = sum(batch.grams_ratio is not None for batch in there)
        here = learnt.at(place)
        if days < PLACE_BATCHES:
            assert here.harvest.first_days == learnt.harvest.first_days
            assert here.harvest.between_days == learnt.harvest.between_days
        if grams < PLACE_BATCHES:
            assert here.harvest.grams == learnt.harvest.grams
            assert here.growth == learnt.growth


@steady
@given(percents, sowings())
def test_percentages_stay_percentages(percent: float, came: list[SowingOutcome]) -> None:
    """Whatever came up, the percentage lies within 0 and 100, and no sowing makes it worth less than the packet."""
    told = germination(percent, came)
    assert 0 <= told.percent <= 100
    assert told.cells_up <= told.cells
    if told.sowings:
        assert 0 < told.percent < 100


@steady
@given(percents, sowings(), st.randoms(use_true_random=False))
def test_the_order_of_sowings_does_not_matter(percent: float, came: list[SowingOutcome], chance: random.Random) -> None:
    """Any order of the same sowings says the very same."""
    other = list(came)
    chance.shuffle(other)
    assert germination(percent, other) == germination(percent, came)


@steady
@given(percents, sowings(), st.integers(0, 5))
def test_a_cell_more_that_came_up_never_lowers_it(percent: float, came: list[SowingOutcome], which: int) -> None:
    """With one cell changed from failed to up the percentage is no less; likewise with a better packet."""
    better = [
        replace(each, cells_up=min(each.cells, each.cells_up + 1)) if number == which else each
        for number, each in enumerate(came)
    ]
    told = germination(percent, came).percent
    assert germination(percent, better).percent >= told - 1e-6
    assert germination(min(100, percent + 5), came).percent >= told - 1e-6


@given(st.floats(1, 99), st.integers(1, 200), st.integers(1, 200))
def test_one_seed_a_cell_is_the_closed_form(percent: float, up: int, failed: int) -> None:
    """Twenty seeds' worth beforehand, and each cell one more."""
    came = SowingOutcome(crop="", packed_in=None, cells=up + failed, seeds_a_cell=1, cells_up=up)
    expected = 100 * (20 * percent / 100 + up) / (20 + up + failed)
    assert germination(percent, [came]).percent == pytest.approx(expected)


@steady
@given(crops(), st.none() | st.floats(1, 100), st.none() | st.integers(2015, 2026), st.data())
def test_a_learnt_packet_tells_what_is_known(
    crop: Crop, percent: float | None, packed_in: int | None, data: st.DataObject
) -> None:
    """In the year asked about the packet's percentage is what is known, and later it is never more."""
    came, packet = data.draw(sowings(packed_in)), Packet(crop=crop.name, percent=percent, packed_in=packed_in)
    (learnt,) = learn_packets([packet], {crop.name: crop}, came, 2026)
    known = germinations([packet], {crop.name: crop}, came, 2026)
    now = percent_now(crop, packet, 2026) if crop.name not in known else known[crop.name].percent
    assert percent_now(crop, learnt, 2026) == pytest.approx(now)
    assert 0 <= percent_now(crop, learnt, 2027) <= now + TOLERANCE <= 100 + TOLERANCE
    assert learnt.packed_in == packed_in
    assert learnt == packet or crop.name in known


@steady
@given(crops(), st.integers(2015, 2026), years, sowings(2014))
def test_another_packets_sowings_say_nothing(crop: Crop, packed_in: int, year: int, came: list[SowingOutcome]) -> None:
    """Sowings of an older packet change nothing of the one at hand."""
    packet = Packet(crop=crop.name, percent=85.0, packed_in=packed_in)
    assert learn_packets([packet], {crop.name: crop}, came, year) == (packet,)


# Plans.


def planned(garden: Garden, known: Mapping[str, Crop]) -> tuple[Batch, ...]:
    """Give the batches of a plan by rule of thumb."""
    candidates, task = proposed(garden, known.values(), by_tote=True)
    placed = name_totes(candidates, greedy(candidates, task))
    assert placed is not None
    return assemble(candidates, placed, NOTHING_BEGUN)


def two_places() -> Garden:
    """Give a garden with a tote on a shelf and one at a sill, which is as bright and as warm."""
    shelf = make_garden([make_tote("A", 4)], [make_want([make_crop()], 8)], weeks=6)
    sill = replace(shelf.places[0], name="sill")
    totes = (*shelf.totes, replace(make_tote("B", 4), stands=(Stand(place="sill"),)))
    return replace(shelf, places=(*shelf.places, sill), totes=totes)


def slow_at_sill(crop: Crop) -> Mapping[str, Crop]:
    """Learn that a crop takes twice its days at the sill, and 0.9 of them at the shelf: 15.5 / 11 elsewhere."""
    times = ((place, ratio) for place, ratio in (("shelf", 0.9), ("sill", 2.0)) for _ in range(5))
    return learn(
        {crop.name: crop},
        [BatchOutcome(crop=crop.name, place=place, days_ratio=ratio, grams_ratio=None) for place, ratio in times],
    )


@steady
@given(plots(), st.data())
def test_what_was_learnt_is_planned_and_verified_alike(plot: Plot, data: st.DataObject) -> None:
    """Whatever was learnt, plans keep every rule of the second opinion, which asks the crops once more."""
    record = [batch for crop in plot.crops for batch in data.draw(records(crop.name))]
    known = learn(by_name(plot.crops), record)
    batches = planned(plot.garden, known)
    assert verify(replace(plot.garden, crops=known), batches, today=START, starts_on=START) == ()


def test_a_slow_place_is_planned_slow() -> None:
    """Where a crop took twice its days, its plants stand longer than elsewhere, and the second opinion agrees."""
    garden, known = two_places(), slow_at_sill(make_crop(window_days=7))
    batches = planned(garden, known)
    stays = {
        place: {
            (harvest.on - batch.transplanted_on).days
            for batch in batches
            for harvest in batch.harvests
            if batch.place == place and batch.transplanted_on
        }
        for place in ("shelf", "sill")
    }
    # Of a week 7 x (15.5 / 11 + 4.5) / 6 = 6.9 days at the shelf, 7 x (15.5 / 11 + 10) / 6 = 13.3 at the sill.
    assert stays == {"shelf": {7}, "sill": {14}}
    assert verify(replace(garden, crops=known), batches, today=START, starts_on=START) == ()


def test_a_batch_that_bolts_at_its_slow_place_is_told() -> None:
    """Where it is slow it bolts before it is due, though it would not have at another place."""
    crop = make_crop(window_days=7)
    bolting = Bolting(after_days=10, longest_day_hours=None, above_c=18.0)
    known = slow_at_sill(replace(crop, growth=replace(crop.growth, bolting=bolting)))
    batch = a_batch(state="transplanted", sown_on=day(-7), transplanted_on=day(0), cleared_on=day(9))
    told = {
        place: list(cut_short(replace(two_places(), crops=known), [at_place], [at_place], day(8)))
        for place, tote in (("shelf", "A"), ("sill", "B"))
        for at_place in (replace(batch, place=place, tote=tote),)
    }
    assert told["shelf"] == []
    assert len(told["sill"]) == 1
    assert "it bolts by 13 Oct 2026" in told["sill"][0]


def test_a_dark_place_is_told_with_its_own_days() -> None:
    """The days that a crop would take at a dark window, and those of good light, are those learnt of that window."""
    garden = two_places()
    dark = replace(garden.places[1], lamp=None, window=Window(faces="south", share=0.4))
    garden = replace(garden, places=(garden.places[0], dark), latitude=52.0, weeks=12)
    crop = make_crop(window_days=7)
    published, learnt = (
        " ".join(places_are_dark(replace(garden, crops=known))) for known in ({"cress": crop}, slow_at_sill(crop))
    )
    assert "there; in good light it takes 7." in published
    assert "there; in good light it takes 13.3." in learnt
    # What is quickest elsewhere need not be so there.
    other = make_crop("mizuna", first_days=10, window_days=7)
    garden = replace(garden, wants=(make_want([crop, other], 8),))
    both = " ".join(places_are_dark(replace(garden, crops={**slow_at_sill(crop), "mizuna": other})))
    assert "mizuna would take" in both
    assert "there; in good light it takes 10." in both
