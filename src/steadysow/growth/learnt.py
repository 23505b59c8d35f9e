"""What this garden's own record teaches: factors for days and grams, and how many of its seeds come up.

Takes the published profiles, and the outcomes of finished batches and of sowings; gives crops and packets corrected by
them, and sentences that explain the corrections.  Hides how much the record weighs against the published figures.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import asinh, cosh, exp, expm1, fsum, log, log1p, sinh

from steadysow.growth.germination import percent_now
from steadysow.growth.timeline import days_before_growth
from steadysow.inputs.crops import Crop, Growth, HarvestFigures
from steadysow.inputs.garden import Packet

# estimate: a batch beyond these limits says that something else happened (a pump stood still, somebody forgot to
# write).  It counts as if it lay at the limit [-].
LEAST_RATIO, MOST_RATIO = 0.4, 2.5

# Our choice: a place has its own factors from this many batches on.
PLACE_BATCHES = 3

# estimate: the published percentage of a packet weighs as much as a sowing of twenty seeds [seeds].
PRIOR_SEEDS = 20.0

# Our choice: a promise of all or nothing is moved a little towards the middle, or no record could ever correct it [%].
LEAST_PERCENT, MOST_PERCENT = 0.5, 99.5

# By choice: a learnt number of days leaves at least this many for growing, after the standstill [d].
LEAST_GROWING_DAYS = 1.0

# By choice: the grid on which chances are summed, in asinh of log-odds.  At its ends the flattest prior, 0.1 seeds'
# worth on one side, has fallen by e^-50.  Its step is less than half the standard deviation of the narrowest hump that
# 5000 seeds can make; the error falls as e^(-2 (pi deviation / step)^2).
_GRID_END = asinh(500.0)
_GRID_STEP = 0.008


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchOutcome:
    """What one finished batch says about its crop.

    Attributes
    ----------
    crop, place
        What grew, and where.
    days_ratio
        The days it took over the days that the published profile forecasts there [-]; ``None`` if not known.
    grams_ratio
        The grams it gave over the grams that the published profile forecasts for the same days [-]; ``None`` if not
        weighed.
    """

    crop: str
    place: str
    days_ratio: float | None
    grams_ratio: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SowingOutcome:
    """What came up in one sowing.

    Attributes
    ----------
    crop, packed_in
        What was sown, and its packet's year, or ``None`` if not known.
    cells, seeds_a_cell, cells_up
        Cells sown, seeds in each, and how many of the cells have a seedling.
    sown_year
        The year of sowing; ``None`` stands for the year that is asked about.
    """

    crop: str
    packed_in: int | None
    cells: int
    seeds_a_cell: int
    cells_up: int
    sown_year: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Factor:
    """What a figure of a profile is multiplied by.

    Attributes
    ----------
    value
        The factor that is used; 1 leaves the profile as it is [-].
    own
        The mean of this garden's own record [-], or ``None`` without a record.
    batches
        How many finished batches it rests on.
    """

    value: float
    own: float | None
    batches: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Learnt:
    """The factors of one crop at one place; `place` is ``None`` for all places without their own.

    A place without batches uses the crop's factor.
    """

    crop: str
    place: str | None
    days: Factor
    grams: Factor


@dataclass(frozen=True, slots=True, kw_only=True)
class Germination:
    """How many seeds come up, as far as is known.

    Attributes
    ----------
    percent
        The percentage of seeds that germinate [%].
    weight
        How much that figure weighs: as much as a sowing of this many seeds, one a cell [seeds].
    sowings, cells, cells_up
        The sowings it was learnt from, their cells, and the cells with a seedling; 0 without a record.
    """

    percent: float
    weight: float
    sowings: int = 0
    cells: int = 0
    cells_up: int = 0


def shrunk(ratios: Sequence[float], spread: float, *, around: float = 1.0) -> Factor:
    """Give the factor that combines a garden's own record with a published figure.

    Equation: ``(f0 / v0 + n m / v) / (1 / v0 + n / v)``, the mean of ``f`` given the record.  f: the garden's true
    factor, beforehand normal about ``f0`` with variance ``v0``; m: the mean of `n` batches, each normal about f with
    variance ``v``.  Both variances are the square of the published spread, so the result is ``(f0 + n m) / (1 + n)``:
    the published figure counts as one batch.

    Holds for ratios from `LEAST_RATIO` to `MOST_RATIO`; others are clamped first.  The published spread mixes the
    differences between gardens with those between the batches of one garden.  No source separates the two.  Taking it
    all as the spread of batches is cautious: the record needs more batches to count.

    References
    ----------
    The normal model with known variance and its conjugate prior: Gelman, Carlin, Stern, Dunson, Vehtari and Rubin,
    "Bayesian Data Analysis", 3rd edition 2013, section 2.5 (from memory).

    Parameters
    ----------
    ratios
        For each batch, what it took or gave over what was forecast [-].
    spread
        The published relative standard deviation [-]; 0 says that the figure is exact, and nothing is learnt.
    around
        The factor without a record [-].
    """
    number = len(ratios)
    if not number:
        return Factor(value=around, own=None, batches=0)
    # An exact sum does not depend on the order of the batches.
    own = fsum(min(MOST_RATIO, max(LEAST_RATIO, ratio)) for ratio in ratios) / number
    between_gardens = within_garden = spread**2
    if between_gardens == 0:
        return Factor(value=around, own=own, batches=number)
    # The equation, with numerator and denominator multiplied by both variances.
    value = (within_garden * around + number * between_gardens * own) / (within_garden + number * between_gardens)
    return Factor(value=value, own=own, batches=number)


def factors(crops: Mapping[str, Crop], outcomes: Iterable[BatchOutcome]) -> tuple[Learnt, ...]:
    """Give the factors of each crop with a record, by name: the crop first, then its places.

    A place has its own factor from `PLACE_BATCHES` batches on, shrunk around the crop's factor.  These batches count in
    the crop's factor too, so a place leans a little more on its own record than a crop does.

    Parameters
    ----------
    crops
        The published profiles; batches of other crops are left out.
    outcomes
        The finished batches, in any order.
    """
    return tuple(_factors(crops, outcomes))


def learn(crops: Mapping[str, Crop], outcomes: Iterable[BatchOutcome]) -> Mapping[str, Crop]:
    """Give the crops corrected by the record, by name; a crop without a record stays as it is.

    A factor of days multiplies the days to the first harvest, standstill included, and from one harvest to the next; it
    leaves the days that a due harvest can wait.  A factor of grams multiplies the weight of each harvest and the weight
    that a mol of light makes, since light made what was weighed.

    Parameters
    ----------
    crops
        The published profiles; corrected ones would be corrected twice.
    outcomes
        The finished batches, in any order.
    """
    learnt = dict(crops)
    for each in factors(crops, outcomes):
        harvest, growth = _multiplied(crops[each.crop], each)
        crop = learnt[each.crop]
        if each.place is None:
            learnt[each.crop] = replace(crop, harvest=harvest, growth=growth)
        elif (harvest, growth) != (crop.harvest, crop.growth):
            learnt[each.crop] = replace(crop, at_places=(*crop.at_places, (each.place, harvest, growth)))
    return learnt


def sentences(learnt: Iterable[Learnt]) -> Iterator[str]:
    """Say which factors are used and what they rest on, one sentence for each factor with a record."""
    for each in learnt:
        who = each.crop.capitalize() if each.place is None else f"{each.crop.capitalize()} at {each.place}"
        for figure, did, factor in (("days", "took", each.days), ("grams", "gave", each.grams)):
            if factor.own is None:
                continue
            used = f"{who} is planned with {factor.value:.0%} of the {figure} in its profile"
            if factor.batches == 1:
                yield f"{used}: one batch {did} {factor.own:.0%}. That is one batch only."
            else:
                yield f"{used}: {factor.batches} batches {did} {factor.own:.0%} on average."


def germination(prior_percent: float, outcomes: Iterable[SowingOutcome], *, weight: float = PRIOR_SEEDS) -> Germination:
    """Give the percentage of seeds that germinate, as known after some sowings of one year.

    Equation: the mean of p.  Beforehand p is beta distributed, ``p^(a - 1) (1 - p)^(b - 1)``, with the published mean
    ``a / (a + b)`` and the weight ``a + b``.  Each sowing with `k` seeds a cell, `u` cells up and `d` cells empty
    multiplies that by ``(1 - (1 - p)^k)^u (1 - p)^(k d)``.  With one seed a cell the mean is
    ``(a + u) / (a + b + u + d)``; with more seeds it is summed on a fixed grid, in logarithms.

    Holds if seeds come up independently; good to about 1e-9 up to some thousand seeds.

    References
    ----------
    The binomial model and its conjugate prior: "Bayesian Data Analysis", as in `shrunk`, section 2.4 (from memory).

    Parameters
    ----------
    prior_percent
        The percentage without a record [%]; with a record it is clamped to `LEAST_PERCENT` and `MOST_PERCENT`.
    outcomes
        The sowings, in any order; no more cells up than sown.
    weight
        How much that percentage weighs [seeds].
    """
    sown = [each for each in outcomes if each.cells > 0 and each.seeds_a_cell > 0]
    if not sown:
        return Germination(percent=prior_percent, weight=weight)
    prior = min(MOST_PERCENT, max(LEAST_PERCENT, prior_percent)) / 100
    came_up: Counter[int] = Counter()
    failed = 0
    for each in sown:
        came_up[each.seeds_a_cell] += each.cells_up
        failed += each.seeds_a_cell * (each.cells - each.cells_up)
    # A failed seed, or a seed that was alone in its cell, only adds to an exponent.
    a, b = weight * prior + came_up.pop(1, 0), weight * (1 - prior) + failed
    mean, worth = _summed(a, b, sorted(came_up.items())) if any(came_up.values()) else (a / (a + b), a + b)
    return Germination(
        percent=100 * mean,
        weight=worth,
        sowings=len(sown),
        cells=sum(each.cells for each in sown),
        cells_up=sum(each.cells_up for each in sown),
    )


def germinations(
    packets: Iterable[Packet], crops: Mapping[str, Crop], outcomes: Iterable[SowingOutcome], year: int
) -> Mapping[str, Germination]:
    """Give how many seeds of the packets at hand come up in a year, by name of each crop with a record.

    Only sowings of the packet at hand count, known by its year: a new packet starts without a record.  For a crop
    without a packet, or with a packet of unknown year, the sowings of unknown year count.

    The sowings of each year start from what was known before, aged to that year as `percent_now` ages it: the
    percentage falls in proportion, its weight stays.  Within one year that is exact.  Over several years it is the
    simplest way to count each sowing with the seeds as they were then.

    Parameters
    ----------
    packets, crops
        The packets of the garden file, and the crops.
    outcomes
        The sowings, in any order.
    year
        The year that is asked about; sowings of unknown year count as sown in it.
    """
    at_hand = _at_hand(packets, crops)
    sown: dict[str, list[SowingOutcome]] = defaultdict(list)
    for each in outcomes:
        if each.crop in crops and each.packed_in == at_hand[each.crop].packed_in:
            sown[each.crop].append(each)
    by_crop = {name: _of_packet(crops[name], at_hand[name], sown[name], year) for name in sorted(sown)}
    return {name: each for name, each in by_crop.items() if each.sowings}


def learn_packets(
    packets: Iterable[Packet], crops: Mapping[str, Crop], outcomes: Iterable[SowingOutcome], year: int
) -> tuple[Packet, ...]:
    """Give the packets corrected by the record, and one more for each crop with a record but without a packet.

    `percent_now` ages a packet's percentage from the year it was packed for.  So a corrected packet gets the percentage
    that `percent_now` ages to the known one (`germinations`) in `year`.  It can pass 100 if old seeds came up better
    than expected; it then holds only from that year on.

    Parameters
    ----------
    packets, crops
        The packets of the garden file, and the crops.
    outcomes
        The sowings, in any order.
    year
        The year of the next sowing.
    """
    packets, outcomes = tuple(packets), tuple(outcomes)
    known = germinations(packets, crops, outcomes, year)

    def corrected(packet: Packet) -> Packet:
        if packet.crop not in known:
            return packet
        return replace(packet, percent=known[packet.crop].percent / _left(crops[packet.crop], packet, year))

    at_hand = {packet.crop for packet in packets}
    others = (Packet(crop=name, percent=None, packed_in=None) for name in known if name not in at_hand)
    return tuple(corrected(packet) for packet in (*packets, *others))


def _factors(crops: Mapping[str, Crop], outcomes: Iterable[BatchOutcome]) -> Iterator[Learnt]:
    by_crop: dict[str, list[BatchOutcome]] = defaultdict(list)
    for each in outcomes:
        if each.crop in crops:
            by_crop[each.crop].append(each)
    for name in sorted(by_crop):
        crop, batches = crops[name], by_crop[name]
        days, grams = shrunk(_days(batches), crop.days_spread), shrunk(_grams(batches), crop.grams_spread)
        yield Learnt(crop=name, place=None, days=days, grams=grams)
        for place in sorted({batch.place for batch in batches}):
            there = [batch for batch in batches if batch.place == place]
            own_days = shrunk(_enough(_days(there)), crop.days_spread, around=days.value)
            own_grams = shrunk(_enough(_grams(there)), crop.grams_spread, around=grams.value)
            if own_days.batches or own_grams.batches:
                yield Learnt(crop=name, place=place, days=own_days, grams=own_grams)


def _days(batches: Iterable[BatchOutcome]) -> list[float]:
    return [batch.days_ratio for batch in batches if batch.days_ratio is not None]


def _grams(batches: Iterable[BatchOutcome]) -> list[float]:
    return [batch.grams_ratio for batch in batches if batch.grams_ratio is not None]


def _enough(ratios: list[float]) -> list[float]:
    """Give the ratios of a place, or none if there are too few."""
    return ratios if len(ratios) >= PLACE_BATCHES else []


def _multiplied(crop: Crop, learnt: Learnt) -> tuple[HarvestFigures, Growth]:
    days, grams = learnt.days.value, learnt.grams.value
    harvest, growth = crop.harvest, crop.growth
    # A plant is not ready before it has grown.  A profile that leaves fewer days keeps them.
    least_days = min(harvest.first_days, days_before_growth(crop) + LEAST_GROWING_DAYS)
    return (
        replace(
            harvest,
            first_days=max(least_days, harvest.first_days * days),
            between_days=harvest.between_days * days,
            grams=tuple(each * grams for each in harvest.grams),
        ),
        replace(growth, grams_per_mol=growth.grams_per_mol * grams),
    )


def _summed(a: float, b: float, came_up: Sequence[tuple[int, int]]) -> tuple[float, float]:
    """Give mean and weight of ``p^(a - 1) (1 - p)^(b - 1)`` times ``(1 - (1 - p)^k)^u`` for all pairs (k, u).

    The weight is that of the beta distribution with the same mean and variance.  In log-odds the hump is smooth and
    falls off at both ends, so a sum over equal steps is nearly exact; stretched by asinh, few steps reach far enough.
    """
    steps = round(_GRID_END / _GRID_STEP)
    chances, logs = [], []
    for step in range(-steps, steps + 1):
        stretched = step * _GRID_STEP
        log_odds = sinh(stretched)
        # log p and log (1 - p): written so that neither rounds to 0 at an end.
        near, far = -log1p(exp(-abs(log_odds))), -abs(log_odds) - log1p(exp(-abs(log_odds)))
        log_up, log_not = (near, far) if log_odds > 0 else (far, near)
        height = a * log_up + b * log_not + log(cosh(stretched))
        height += sum(cells * log(-expm1(seeds * log_not)) for seeds, cells in came_up)
        chances.append(exp(log_up))
        logs.append(height)
    top = max(logs)
    weights = [exp(each - top) for each in logs]
    total = fsum(weights)
    mean = fsum(chance * each for chance, each in zip(chances, weights, strict=True)) / total
    variance = fsum((chance - mean) ** 2 * each for chance, each in zip(chances, weights, strict=True)) / total
    return mean, mean * (1 - mean) / variance - 1


def _at_hand(packets: Iterable[Packet], crops: Mapping[str, Crop]) -> Mapping[str, Packet]:
    """Give the packet of each crop; without one, a packet without figures, which `percent_now` treats the same."""
    unknown = {name: Packet(crop=name, percent=None, packed_in=None) for name in crops}
    return unknown | {packet.crop: packet for packet in packets}


def _of_packet(crop: Crop, packet: Packet, outcomes: Iterable[SowingOutcome], year: int) -> Germination:
    by_year: dict[int, list[SowingOutcome]] = defaultdict(list)
    for each in outcomes:
        by_year[year if each.sown_year is None else each.sown_year].append(each)
    known_in = min(by_year)
    known = Germination(percent=percent_now(crop, packet, known_in), weight=PRIOR_SEEDS)
    sowings = cells = cells_up = 0
    for sown_year in sorted(by_year):
        aged = known.percent * _left(crop, packet, sown_year) / _left(crop, packet, known_in)
        known, known_in = germination(aged, by_year[sown_year], weight=known.weight), sown_year
        sowings, cells, cells_up = sowings + known.sowings, cells + known.cells, cells_up + known.cells_up
    percent = known.percent * _left(crop, packet, year) / _left(crop, packet, known_in)
    return replace(known, percent=percent, sowings=sowings, cells=cells, cells_up=cells_up)


def _left(crop: Crop, packet: Packet, year: int) -> float:
    """Give the share of its first percentage that a packet has left in a year [0 to 1]."""
    return percent_now(crop, replace(packet, percent=1.0), year)
