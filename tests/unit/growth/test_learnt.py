"""Factors and germination learnt from a garden's record, against fractions, brute force and a statistics library."""

import random
import warnings
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction
from math import comb, exp
from statistics import fmean
from typing import Any

import pytest

from steadysow.growth.daylight import conditions_at
from steadysow.growth.forecast import forecast, why
from steadysow.growth.germination import percent_now
from steadysow.growth.learnt import (
    LEAST_PERCENT,
    MOST_PERCENT,
    PRIOR_SEEDS,
    BatchOutcome,
    Factor,
    SowingOutcome,
    factors,
    germination,
    germinations,
    learn,
    learn_packets,
    sentences,
    shrunk,
)
from steadysow.growth.timeline import GrowingPlace
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Lamp, Packet, Place
from tiny import make_crop

MON = date(2026, 10, 5)
SHELF = Place(name="shelf", lamp=Lamp(dli_mol=12.0, hours=16.0), temperature_c=20.0)
SILL = replace(SHELF, name="sill")

# Ready 30 days after transplant, 2 of them standstill, and every 10 days after that.
CROP = replace(
    make_crop("kale", "cut", first_days=30, between_days=10, window_days=5, grams=(100.0, 50.0)),
    transplant_shock_days=2,
)
POT_CROP = replace(CROP, name="baby kale", sown_in="pot", nursery_days=(0, 0))
CROPS = {"kale": CROP, "baby kale": POT_CROP}

SEEDS = replace(make_crop("cress"), germination_percent=80.0, seeds_keep_years=4.0)


def outcome(
    days: float | None = None, grams: float | None = None, place: str = "shelf", crop: str = "kale"
) -> BatchOutcome:
    """Make the outcome of a finished batch."""
    return BatchOutcome(crop=crop, place=place, days_ratio=days, grams_ratio=grams)


def sowing(
    cells: int, up: int, seeds: int = 1, sown_year: int | None = None, packed_in: int | None = None
) -> SowingOutcome:
    """Make the outcome of a sowing."""
    return SowingOutcome(
        crop="cress", packed_in=packed_in, cells=cells, seeds_a_cell=seeds, cells_up=up, sown_year=sown_year
    )


# --- factors


@pytest.mark.parametrize(
    ("ratios", "value", "own"),
    [
        ([], Fraction(1), None),
        ([0.8], Fraction(9, 10), Fraction(4, 5)),
        ([0.5, 1.0], Fraction(5, 6), Fraction(3, 4)),
        ([1.5, 1.25, 1.75], Fraction(11, 8), Fraction(3, 2)),
        # Beyond the limits a batch counts as if it lay there.
        ([0.1], Fraction(7, 10), Fraction(2, 5)),
        ([9.0, 2.5], Fraction(2), Fraction(5, 2)),
    ],
)
def test_the_profile_counts_as_one_batch(ratios: list[float], value: Fraction, own: Fraction | None) -> None:
    """A record of n batches with mean m makes a factor of (1 + n m) / (1 + n)."""
    found = shrunk(ratios, 0.12)
    assert found.value == pytest.approx(float(value), abs=1e-12)
    assert found.own == (None if own is None else pytest.approx(float(own), abs=1e-12))
    assert found.batches == len(ratios)


def test_the_factor_without_a_record_may_be_another() -> None:
    """Around 0.8, three batches that took 1.2 give (0.8 + 3.6) / 4; without a batch it stays 0.8."""
    assert shrunk([1.2] * 3, 0.2, around=0.8).value == pytest.approx(1.1, abs=1e-12)
    assert shrunk([], 0.2, around=0.8) == Factor(value=0.8, own=None, batches=0)


@pytest.mark.parametrize("spread", [0.0, 1e-200])
def test_an_exact_figure_learns_nothing(spread: float) -> None:
    """A figure without spread is exact, and no record changes it."""
    assert shrunk([0.8, 0.9], spread).value == 1.0
    assert shrunk([0.8, 0.9], spread, around=0.7).value == 0.7


def normal_by_brute_force(ratios: Sequence[float], spread: float, around: float) -> float:
    """Add up prior times likelihood on a fine grid of true factors."""
    grid = [step / 5000 for step in range(-5000, 20_000)]

    def weight(factor: float) -> float:
        squares = (factor - around) ** 2 + sum((ratio - factor) ** 2 for ratio in ratios)
        return exp(-squares / (2 * spread**2))

    weights = [weight(factor) for factor in grid]
    return sum(factor * each for factor, each in zip(grid, weights, strict=True)) / sum(weights)


@pytest.mark.parametrize("around", [1.0, 0.85])
@pytest.mark.parametrize("spread", [0.1, 0.25])
@pytest.mark.parametrize("ratios", [[0.8], [0.7, 1.1], [1.3, 1.2, 1.5, 1.1, 1.25]])
def test_the_factor_is_the_mean_given_the_record(ratios: list[float], spread: float, around: float) -> None:
    """The factor is the mean of prior times likelihood, summed over all true factors."""
    expected = normal_by_brute_force(ratios, spread, around)
    assert shrunk(ratios, spread, around=around).value == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize("truth", [0.8, 1.3])
@pytest.mark.parametrize("spread", [0.12, 0.2])
def test_more_batches_come_nearer_to_the_truth(truth: float, spread: float) -> None:
    """Over many made-up gardens the mean error starts at that of the profile and falls with each doubling."""
    chance = random.Random(20261005)  # noqa: S311 - made-up gardens, no secrets
    gardens = [[chance.gauss(truth, spread) for _ in range(32)] for _ in range(2000)]
    errors = [
        fmean(abs(shrunk(ratios[:number], spread).value - truth) for ratios in gardens)
        for number in (0, 1, 2, 4, 8, 16, 32)
    ]
    assert errors[0] == pytest.approx(abs(1 - truth))
    assert errors == sorted(errors, reverse=True)
    assert len(set(errors)) == len(errors)
    assert errors[-1] < errors[0] / 4


def test_even_one_batch_is_worth_learning_from() -> None:
    """If gardens differ as published, learning from one batch errs less than the profile or the batch alone."""
    chance = random.Random(7)  # noqa: S311 - made-up gardens, no secrets
    spread = 0.15
    gardens = [(truth, chance.gauss(truth, spread)) for truth in (chance.gauss(1, spread) for _ in range(4000))]
    learnt = fmean(abs(shrunk([ratio], spread).value - truth) for truth, ratio in gardens)
    assert learnt < fmean(abs(1 - truth) for truth, _ in gardens)
    assert learnt < fmean(abs(ratio - truth) for truth, ratio in gardens)


# --- crops


def test_no_record_leaves_the_crops_as_they_are() -> None:
    """Without batches, without days and grams, or with another crop, nothing is learnt."""
    assert learn(CROPS, []) == CROPS
    assert learn(CROPS, [outcome()]) == CROPS
    assert learn(CROPS, [outcome(0.8, crop="unknown")]) == CROPS
    assert factors(CROPS, []) == ()


def test_a_record_multiplies_days_and_grams() -> None:
    """One batch at 0.8 of the days and 1.5 of the grams gives 0.9 and 1.25; another crop stays the same."""
    learnt = learn(CROPS, [outcome(0.8, 1.5)])
    kale = learnt["kale"]
    assert kale.harvest.first_days == pytest.approx(27)
    assert kale.harvest.between_days == pytest.approx(9)
    assert kale.harvest.window_days == CROP.harvest.window_days
    assert kale.harvest.grams == pytest.approx((125, 62.5))
    assert kale.growth.grams_per_mol == pytest.approx(1.25 * CROP.growth.grams_per_mol)
    assert kale.at_places == ()
    assert learnt["baby kale"] is POT_CROP


def test_days_and_grams_are_learnt_apart() -> None:
    """A batch without weights says nothing about grams, and one without days says nothing about days."""
    (found,) = factors(CROPS, [outcome(0.8), outcome(0.6), outcome(None, 1.2, "sill")])
    assert (found.days.batches, found.grams.batches) == (2, 1)
    assert found.days.value == pytest.approx(0.8)
    assert found.grams.value == pytest.approx(1.1)


def test_a_place_has_its_own_factor_from_three_batches_on() -> None:
    """Two batches at the sill count only in the crop's factor; with a third the sill has its own."""
    elsewhere = [outcome(1.0, place="shelf")]
    for number in (1, 2):
        assert learn(CROPS, [*elsewhere, *[outcome(1.4, place="sill")] * number])["kale"].at_places == ()
    kale = learn(CROPS, [*elsewhere, *[outcome(1.4, place="sill")] * 3])["kale"]
    # Of the crop (1 + 1 + 3 x 1.4) / 5, and of the sill (1.24 + 3 x 1.4) / 4.
    assert kale.harvest.first_days == pytest.approx(30 * 1.24)
    assert kale.at("sill").harvest.first_days == pytest.approx(30 * 1.36)
    assert kale.at("sill").harvest.between_days == pytest.approx(10 * 1.36)
    assert kale.at("sill").harvest.grams == CROP.harvest.grams
    assert kale.at("shelf") is kale
    assert kale.at("") is kale
    assert kale.at("sill").at("sill") == kale.at("sill")


def test_a_place_without_enough_weights_takes_the_crops_factor_of_grams() -> None:
    """Three batches have days at the sill and two have grams, which count only for the crop."""
    batches = [outcome(1.4, 0.5, "sill"), outcome(1.4, 0.5, "sill"), outcome(1.4, None, "sill")]
    everywhere, at_sill = factors(CROPS, batches)
    assert (everywhere.place, at_sill.place) == (None, "sill")
    assert at_sill.grams == Factor(value=everywhere.grams.value, own=None, batches=0)
    kale = learn(CROPS, batches)["kale"]
    assert kale.at("sill").harvest.grams == kale.harvest.grams
    assert kale.at("sill").growth == kale.growth


def test_an_exact_profile_learns_nothing_at_a_place_either() -> None:
    """Without a spread no place gets an entry."""
    exact = replace(CROP, days_spread=0.0, grams_spread=0.0)
    assert learn({"kale": exact}, [outcome(1.4, 0.5, "sill")] * 4) == {"kale": exact}


@pytest.mark.parametrize(("crop", "least_days"), [(CROP, 3), (POT_CROP, 2)])
def test_something_is_left_to_grow(crop: Crop, least_days: float) -> None:
    """However fast the record is, a day of growth is left after standstill or emergence."""
    brief = replace(crop, harvest=replace(crop.harvest, first_days=4))
    learnt = learn({crop.name: brief}, [outcome(0.4, crop=crop.name)] * 30)[crop.name]
    assert learnt.harvest.first_days == least_days


def test_a_profile_that_leaves_less_than_a_day_stays() -> None:
    """A profile that leaves less than a day of growth is not stretched to one."""
    brief = replace(CROP, harvest=replace(CROP.harvest, first_days=2.5))
    assert learn({"kale": brief}, [outcome(0.4)])["kale"].harvest.first_days == 2.5


@pytest.mark.parametrize("crop", [CROP, POT_CROP])
@pytest.mark.parametrize("truth", [0.8, 1.3])
def test_forecasts_follow_the_record(crop: Crop, truth: float) -> None:
    """After many batches at a factor, the crop is due in its published days times that factor, within a day."""
    learnt = learn(CROPS, [outcome(truth, crop=crop.name)] * 400)[crop.name]
    found = [forecast(each, SHELF, MON, nursery=SHELF, sky=None) for each in (crop, learnt)]
    days = [(each.ready_on - each.planted_on).days for each in found if each.ready_on and each.planted_on]
    assert days[0] == 30
    assert days[1] == pytest.approx(truth * 30, abs=1)


def test_forecasts_ask_for_the_place() -> None:
    """A crop that is slow and light at one place has other days and grams only there, also in the sentences."""
    kale = learn(CROPS, [*[outcome(1.0, 1.0, "shelf")] * 5, *[outcome(1.5, 0.5, "sill")] * 5])["kale"]
    shelf, sill = (forecast(kale, place, MON, nursery=SHELF, sky=None) for place in (SHELF, SILL))
    assert shelf.ready_on is not None
    assert sill.ready_on is not None
    # The sill's factors are (crop's + 5 x own) / 6, and the crop's are 13.5 / 11 and 8.5 / 11.
    assert sill.ready_on - MON > shelf.ready_on - MON
    assert sill.grams == pytest.approx(100 * (8.5 / 11 + 2.5) / 6)
    assert shelf.grams == pytest.approx(100 * (8.5 / 11 + 5) / 6)
    # 30 x (13.5 / 11 + 7.5) / 6 days.
    assert "instead of 43.6." in why(kale, sill, "metric")


def test_the_weight_that_light_makes_is_multiplied_too() -> None:
    """In dim light, where light limits the weight, a factor of grams has its full effect."""
    dim = replace(CROP, growth=replace(CROP.growth, grams_per_mol=1.0))
    learnt = learn({"kale": dim}, [outcome(None, 0.5)])["kale"]
    found = [forecast(each, SHELF, MON, nursery=SHELF, sky=None).grams for each in (dim, learnt)]
    assert found[1] == pytest.approx(0.75 * found[0])


def test_the_order_of_batches_does_not_matter() -> None:
    """Shuffled records give exactly the same crops."""
    chance = random.Random(3)  # noqa: S311 - an order, no secret
    batches = [
        outcome(chance.uniform(0.3, 3), chance.uniform(0.3, 3), place, crop)
        for place in ("shelf", "sill", "yard")
        for crop in CROPS
        for _ in range(5)
    ]
    expected = learn(CROPS, batches)
    for _ in range(5):
        chance.shuffle(batches)
        assert learn(CROPS, batches) == expected


def test_sentences_say_what_they_rest_on() -> None:
    """Each factor with a record has a sentence, a single batch is named as such, and a place has only its own."""
    assert list(sentences(factors(CROPS, [outcome(0.8)]))) == [
        "Kale is planned with 90% of the days in its profile: one batch took 80%. That is one batch only."
    ]
    batches = [outcome(1.2, 0.5, "sill"), outcome(1.2, 0.5, "sill"), outcome(1.2, None, "sill")]
    assert list(sentences(factors(CROPS, batches))) == [
        "Kale is planned with 115% of the days in its profile: 3 batches took 120% on average.",
        "Kale is planned with 67% of the grams in its profile: 2 batches gave 50% on average.",
        "Kale at sill is planned with 119% of the days in its profile: 3 batches took 120% on average.",
    ]


# --- seeds


def exact_mean(percent: Fraction, counts: Mapping[int, tuple[int, int]], weight: int = 20) -> tuple[Fraction, Fraction]:
    """Give mean and mean of squares of the chance, given the cells that came up, as exact fractions.

    ``(1 - q^k)^u`` is multiplied out by the binomial theorem.  Each term is then a moment of the beta distribution,
    ``E[p^i q^j]``, which is a ratio of rising products.  `counts` has cells up and failed, by seeds a cell.
    """
    a, b = weight * percent / 100, weight * (1 - percent / 100)
    terms = {0: Fraction(1)}
    for seeds, (up, failed) in counts.items():
        product: dict[int, Fraction] = {}
        for power, factor in terms.items():
            for j in range(up + 1):
                key = power + seeds * (j + failed)
                product[key] = product.get(key, Fraction(0)) + factor * comb(up, j) * (-1) ** j
        terms = product

    def rising(start: Fraction, number: int) -> Fraction:
        out = Fraction(1)
        for i in range(number):
            out *= start + i
        return out

    def total(ups: int) -> Fraction:
        return sum(
            (
                factor * rising(a, ups) * rising(b, power) / rising(a + b, ups + power)
                for power, factor in terms.items()
            ),
            Fraction(0),
        )

    return total(1) / total(0), total(2) / total(0)


@pytest.mark.parametrize(
    ("percent", "cells", "up", "posterior"),
    [
        # Of 20 seeds' worth at 80 %, 16 came up: with 8 of 10, 24 of 30; with none of 20, 16 of 40.
        (80, 10, 8, Fraction(24, 30)),
        (80, 20, 0, Fraction(16, 40)),
        (50, 5, 5, Fraction(15, 25)),
        (100, 10, 0, Fraction(199, 300)),
        (0, 10, 10, Fraction(101, 300)),
    ],
)
def test_one_seed_a_cell_is_counted_out(percent: float, cells: int, up: int, posterior: Fraction) -> None:
    """The percentage on the packet counts as twenty seeds sown before."""
    found = germination(percent, [sowing(cells, up)])
    assert found.percent == pytest.approx(100 * float(posterior), abs=1e-10)
    assert (found.sowings, found.cells, found.cells_up) == (1, cells, up)
    assert found.weight == pytest.approx(PRIOR_SEEDS + cells)


@pytest.mark.parametrize(
    ("percent", "counts"),
    [
        (80, {2: (10, 2)}),
        (80, {2: (12, 0)}),
        (50, {3: (4, 8)}),
        (80, {1: (5, 2), 2: (7, 3), 3: (4, 1)}),
        (25, {4: (30, 5)}),
        (92, {2: (60, 12)}),
        (5, {40: (6, 30)}),
        (100, {2: (0, 6)}),
        (100, {2: (9, 3), 5: (4, 0)}),
        (0, {2: (9, 3), 5: (4, 0)}),
        (99.9, {2: (3, 0)}),
    ],
)
def test_more_seeds_a_cell_are_those_of_the_exact_sum(percent: float, counts: dict[int, tuple[int, int]]) -> None:
    """Any mixture of seeds a cell gives the same mean and weight as the sum multiplied out in whole numbers."""
    found = germination(percent, [sowing(up + failed, up, seeds) for seeds, (up, failed) in counts.items()])
    prior = Fraction(min(MOST_PERCENT, max(LEAST_PERCENT, percent)))
    mean, square = exact_mean(prior, counts)
    assert found.percent == pytest.approx(100 * float(mean), abs=1e-7)
    assert found.weight == pytest.approx(float((mean - square) / (square - mean**2)), rel=1e-7)


@pytest.mark.parametrize(("cells", "up"), [(2000, 1900), (1000, 20), (300, 300)])
def test_large_sowings_come_near_what_was_seen(cells: int, up: int) -> None:
    """With many cells the packet counts little: cells up over cells is 1 - (1 - p)^2."""
    found = germination(60, [sowing(cells, up, 2)])
    assert (1 - (1 - found.percent / 100) ** 2) == pytest.approx(up / cells, abs=0.02)


def test_sowings_add_up_in_any_order() -> None:
    """Two sowings count as one with all their cells, an empty sowing says nothing, and the order does not matter."""
    parts = [sowing(10, 7, 2), sowing(5, 5, 2), sowing(4, 1, 1), sowing(6, 6, 3)]
    whole = germination(80, [sowing(15, 12, 2), sowing(4, 1, 1), sowing(6, 6, 3)])
    assert germination(80, parts) == replace(whole, sowings=4)
    assert germination(80, parts[::-1]) == germination(80, parts)
    assert germination(100, []).percent == 100
    assert germination(100, [sowing(0, 0), sowing(3, 0, seeds=0)]).sowings == 0


@pytest.fixture(scope="module")
def scipy_stats() -> Any:
    """Give the statistics library, whose own imports may warn."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return pytest.importorskip("scipy.stats", reason="scipy is not installed: pip install scipy")


@pytest.mark.parametrize(("percent", "cells", "up"), [(80, 12, 9), (50, 7, 0), (95, 30, 30)])
def test_the_next_seed_is_that_of_a_statistics_library(scipy_stats: Any, percent: float, cells: int, up: int) -> None:
    """The mean is the chance that one more seed comes up, a ratio of two beta-binomial chances."""
    a, b = PRIOR_SEEDS * percent / 100, PRIOR_SEEDS * (1 - percent / 100)
    with_next = scipy_stats.betabinom.pmf(up + 1, cells + 1, a, b) * (up + 1) / (cells + 1)
    chance = float(with_next / scipy_stats.betabinom.pmf(up, cells, a, b))
    assert germination(percent, [sowing(cells, up)]).percent == pytest.approx(100 * chance, abs=1e-8)
    posterior = scipy_stats.beta(a + up, b + cells - up)
    assert germination(percent, [sowing(cells, up)]).percent == pytest.approx(100 * float(posterior.mean()), abs=1e-8)


# --- packets

CRESS = {"cress": SEEDS}


def learnt_now(packets: Sequence[Packet], sowings: Sequence[SowingOutcome], year: int = 2026) -> float:
    """Give the percentage in a year after learning."""
    learnt = {packet.crop: packet for packet in learn_packets(packets, CRESS, sowings, year)}
    return percent_now(SEEDS, learnt.get("cress"), year)


def test_a_packet_learns_from_its_own_sowings() -> None:
    """A packet of this year with 90 % counts as 18 of 20 seeds; with 2 of 10 more it is 20 of 30."""
    packet = Packet(crop="cress", percent=90.0, packed_in=2026)
    assert learnt_now([packet], [sowing(10, 2, packed_in=2026)]) == pytest.approx(100 * 20 / 30)


@pytest.mark.parametrize("packed_in", [None, 2025])
def test_a_new_packet_starts_without_a_record(packed_in: int | None) -> None:
    """Sowings of last year's packet, or of one without a year, say nothing about this one."""
    packet = Packet(crop="cress", percent=90.0, packed_in=2026)
    assert learn_packets([packet], CRESS, [sowing(10, 2, packed_in=packed_in)], 2026) == (packet,)


def test_an_old_packet_starts_from_its_age() -> None:
    """After two of four years 80 % are 60 %, 12 of 20 seeds; with 20 of 20 they are 32 of 40, and age on."""
    packet = Packet(crop="cress", percent=None, packed_in=2024)
    (learnt,) = learn_packets([packet], CRESS, [sowing(20, 20, packed_in=2024)], 2026)
    assert percent_now(SEEDS, learnt, 2026) == pytest.approx(80)
    assert percent_now(SEEDS, learnt, 2027) == pytest.approx(80 * 0.625 / 0.75)
    assert learnt.packed_in == 2024


def test_sowings_count_by_the_year_they_were_sown_in() -> None:
    """A sowing of 2024 confirms 80 %; three quarters of that are left in 2026."""
    packet = Packet(crop="cress", percent=None, packed_in=2024)
    assert learnt_now([packet], [sowing(20, 16, packed_in=2024, sown_year=2024)]) == pytest.approx(60)
    # With 20 of 20 more in 2026, in any order, 60 % with the weight of 40 seeds become 44 of 60.
    sowings = [sowing(20, 20, packed_in=2024), sowing(20, 16, packed_in=2024, sown_year=2024)]
    for ordered in (sowings, sowings[::-1]):
        assert learnt_now([packet], ordered) == pytest.approx(100 * 44 / 60)
    assert germinations([packet], CRESS, sowings, 2026)["cress"].cells == 40


def test_without_a_packet_the_profile_learns() -> None:
    """Seeds without a packet in the garden file get one with the learnt percentage, and without a year."""
    assert learnt_now([], [sowing(20, 0)]) == pytest.approx(40)
    assert learn_packets([], CRESS, [sowing(20, 0)], 2026) == (Packet(crop="cress", percent=40.0, packed_in=None),)
    assert learn_packets([], CRESS, [sowing(20, 0, packed_in=2026)], 2026) == ()


def test_packets_without_a_record_stay_as_they_are() -> None:
    """Other packets, and sowings of unknown crops or of no cells, change nothing."""
    packets = (Packet(crop="cress", percent=None, packed_in=2025), Packet(crop="unknown", percent=70.0, packed_in=None))
    other = replace(sowing(10, 2), crop="unknown")
    assert learn_packets(packets, CRESS, [other, sowing(0, 0, packed_in=2025)], 2026) == packets


def test_growing_places_take_the_learnt_days() -> None:
    """The days from one cut to the next are corrected too."""
    learnt = learn(CROPS, [outcome(0.8)] * 4)["kale"]
    place = GrowingPlace(learnt, conditions_at(SHELF, MON, 60))
    assert place.next_due(MON) == MON + timedelta(9)
