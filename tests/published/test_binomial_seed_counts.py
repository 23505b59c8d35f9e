"""Seeds for so many plants: [binomial-seed-counts], and the legal percentages of [cfr-201-31].

The table was computed with an outside statistics library (scipy), which is asked again where it is installed.  All
checks are of the equation: every cell of the table exactly, chances to their printed tenth of a percent.  That a rule
of thumb falls short is arithmetic on the legal percentages (7 CFR 201.31, seen).
"""

from __future__ import annotations

import warnings
from collections.abc import Mapping, Sequence
from itertools import count
from math import ceil
from typing import Any

import pytest

from steadysow.growth.germination import TOLERANCE, chance_of_enough
from steadysow.inputs.garden import CONFIDENCE
from steadysow.inputs.sources import read_publication

TABLE = read_publication("binomial-seed-counts").table
SEEDS: Mapping[float, Mapping[float, Sequence[int]]] = TABLE["seeds_by_confidence_and_share"]
PLANTS: Sequence[int] = TABLE["plants"]
CELLS = [
    (confidence, share, plants, seeds)
    for confidence, shares in SEEDS.items()
    for share, row in shares.items()
    for plants, seeds in zip(PLANTS, row, strict=True)
]
LEGAL_PERCENT: Mapping[str, int] = read_publication("cfr-201-31").table["percent"]


@pytest.fixture(scope="module")
def scipy_stats() -> Any:
    """Give the statistics library, whose own imports may warn."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return pytest.importorskip("scipy.stats", reason="scipy is not installed: pip install scipy")


def fewest_seeds(plants: int, share: float, confidence: float) -> int:
    """Count up to the first number of seeds that is enough."""
    enough = (seeds for seeds in count(plants) if chance_of_enough(plants, seeds, share) >= confidence - TOLERANCE)
    return next(enough)


def test_the_table_is_whole() -> None:
    """Three confidences, eight shares and seven numbers of plants are compared."""
    assert len(CELLS) == 3 * 8 * 7


@pytest.mark.parametrize(("confidence", "share", "plants", "seeds"), CELLS)
def test_fewest_seeds_are_those_of_the_table(confidence: float, share: float, plants: int, seeds: int) -> None:
    """As many seeds as in the table are enough, and one less is not."""
    assert fewest_seeds(plants, share, confidence) == seeds


@pytest.mark.parametrize(
    ("plants", "share", "seeds", "percent"),
    [(6, 0.80, 8, 79.7), (4, 0.90, 5, 91.9), (8, 0.75, 11, 71.3), (12, 0.80, 15, 64.8)],
)
def test_plants_over_share_is_too_few(plants: int, share: float, seeds: int, percent: float) -> None:
    """Plants over share, rounded up, is enough only on average: "6 at 0.80 from 8 seeds succeeds 79.7 %"."""
    assert ceil(round(plants / share, 9)) == seeds
    assert round(100 * chance_of_enough(plants, seeds, share), 1) == percent


@pytest.mark.parametrize("kind", LEGAL_PERCENT)
@pytest.mark.parametrize("plants", [6, 12])
def test_legal_percentages_need_more_than_the_average(kind: str, plants: int) -> None:
    """At every kind's legal percentage the rule of thumb meets its number on average, but not as surely as we ask."""
    seeds = -(-100 * plants // LEGAL_PERCENT[kind])
    share = LEGAL_PERCENT[kind] / 100
    assert (seeds - 1) * share < plants <= seeds * share + TOLERANCE
    assert chance_of_enough(plants, seeds, share) < CONFIDENCE
    assert fewest_seeds(plants, share, CONFIDENCE) > seeds


@pytest.mark.parametrize("share", [0.05, 0.4, 0.5, 0.8, 0.99])
@pytest.mark.parametrize("sown", [1, 7, 40, 200])
def test_chances_are_those_of_a_statistics_library(scipy_stats: Any, sown: int, share: float) -> None:
    """For every number that may be needed, the chance is the library's upper tail."""
    ours = [chance_of_enough(needed, sown, share) for needed in range(sown + 2)]
    assert ours == pytest.approx([float(scipy_stats.binom.sf(needed - 1, sown, share)) for needed in range(sown + 2)])
