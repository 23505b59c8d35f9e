"""What this garden's own record makes of the profiles: factors for days and grams, and how many of its seeds come up.

Takes crops as published, what finished batches say of them, and what came up of sowings; gives crops and packets with
what was learnt in them, and sentences that tell it.  Hides how much a record counts beside what is published.
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

# estimate: a batch beyond these says that something else happened (a pump stood still, somebody forgot to write), and
# counts as if it lay at the limit [-].
LEAST_RATIO, MOST_RATIO = 0.4, 2.5

# Our choice: from so many batches on a place has factors of its own.
PLACE_BATCHES = 3

# estimate: the published percentage of a packet says as much as a sowing of twenty seeds would [seeds].
PRIOR_SEEDS = 20.0

# Our choice: a packet that promises all or nothing is held to a little less, or no record could ever speak against it
# [%].
LEAST_PERCENT, MOST_PERCENT = 0.5, 99.5

# By choice: what a learnt number of days leaves at least for growing, once what stands still is taken off [d].
LEAST_GROWING_DAYS = 1.0

# By choice: the grid on which chances are added up, in asinh of log-odds.  Its ends lie where the flattest prior, 0.1
# seeds' worth on one side, has fallen by e^-50; its step is less than half the standard deviation of the narrowest hump
# that 5000 seeds can make, and the error falls as e^(-2 (pi deviation / step)^2).
_GRID_END = asinh(500.0)
_GRID_STEP = 0.008


@dataclass(frozen=True, slots=True, kw_only=True)
class Grown:
    """What one finished batch says of its crop.

    Attributes
    ----------
    crop, place
        What grew, and where.
    days_ratio
        The days it took over the days that the crop as published forecasts there [-]; ``None``: it says nothing of
        them.
    grams_ratio
        The grams it gave over the grams that the crop as published forecasts for the same days [-]; ``None``: not
        weighed.
    """

    crop: str
    place: str
    days_ratio: float | None
    grams_ratio: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Came:
    """What came up of one sowing.

    Attributes
    ----------
    crop, packed_in
        What was sown, and its packet's year; ``None``: not told.
    cells, seeds_a_cell, cells_up
        Cells sown, seeds in each, and cells of them in which anything came up.
    sown_year
        The year of sowing; ``None``: the one that is asked about.
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
        What is used; 1 is the profile as it is [-].
    own
        The mean of this garden's own record [-], or ``None`` where there is none.
    batches
        How many finished batches it is of.
    """

    value: float
    own: float | None
    batches: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Learnt:
    """The factors of one crop, at one place or (``None``) wherever it has none of its own.

    A factor of a place that is of no batches is that of the crop.
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
        How much that is worth: as much as a sowing of so many seeds, one a cell [seeds].
    sowings, cells, cells_up
        What it was learnt from; 0 where nothing was.
    """

    percent: float
    weight: float
    sowings: int = 0
    cells: int = 0
    cells_up: int = 0


def shrunk(ratios: Sequence[float], spread: float, *, around: float = 1.0) -> Factor:
    """Give the factor that a garden's own record makes of a published figure.

    Equation: ``(f0 / v0 + n m / v) / (1 / v0 + n / v)``, the mean of ``f`` given the record.  f: the garden's true
    factor, beforehand normal about ``f0`` with variance ``v0``; m: the mean of `n` batches, each normal about f with
    variance ``v``.  Both variances are the square of the published spread, so that it comes to
    ``(f0 + n m) / (1 + n)``: what is published counts as one batch.

    Holds for ratios within `LEAST_RATIO` and `MOST_RATIO`, to which they are clamped first.  The published spread mixes
    what differs between gardens with what differs from batch to batch in one.  Nothing tells the two apart, and taking
    all of it for a batch's own is the cautious way: a record is believed later.

    References
    ----------
    The normal model with known variance and its conjugate prior: Gelman, Carlin, Stern, Dunson, Vehtari and Rubin,
    "Bayesian Data Analysis", 3rd edition 2013, section 2.5 (from memory).

    Parameters
    ----------
    ratios
        Of each batch, what it took or gave over what was forecast [-].
    spread
        The published relative standard deviation [-]; 0 says that the figure is exact, and nothing is learnt.
    around
        What holds without a record [-].
    """
    number = len(ratios)
    if not number:
        return Factor(value=around, own=None, batches=0)
    # An exact sum does not depend on the order of the batches.
    own = fsum(min(MOST_RATIO, max(LEAST_RATIO, ratio)) for ratio in ratios) / number
    between_gardens = within_garden = spread**2
    if between_gardens == 0:
        return Factor(value=around, own=own, batches=number)
    # The equation, with both of its sides multiplied by the variances.
    value = (within_garden * around + number * between_gardens * own) / (within_garden + number * between_gardens)
    return Factor(value=value, own=own, batches=number)


def factors(crops: Mapping[str, Crop], grown: Iterable[Grown]) -> tuple[Learnt, ...]:
    """Give what is learnt of each crop that has a record, by name: the crop first, then its places.

    A place has a factor of its own from `PLACE_BATCHES` batches on that tell of it, shrunk around the crop's.  These
    batches count in the crop's factor too, so that a place leans a little more on its own record than a crop does.

    Parameters
    ----------
    crops
        The crops as published; what grew of others is left out.
    grown
        The finished batches, in any order.
    """
    return tuple(_factors(crops, grown))


def learn(crops: Mapping[str, Crop], grown: Iterable[Grown]) -> Mapping[str, Crop]:
    """Give the crops with what was learnt in them, by name; one without a record is as it was.

    A factor of days multiplies the days to the first harvest, standstill included, and from one to the next; how long
    a due harvest can wait stays.  A factor of grams multiplies the weight of each harvest and the weight that light
    makes, since what was weighed was also made of light.

    Parameters
    ----------
    crops
        The crops as published: what was learnt into them before would count twice.
    grown
        The finished batches, in any order.
    """
    learnt = dict(crops)
    for each in factors(crops, grown):
        harvest, growth = _multiplied(crops[each.crop], each)
        crop = learnt[each.crop]
        if each.place is None:
            learnt[each.crop] = replace(crop, harvest=harvest, growth=growth)
        elif (harvest, growth) != (crop.harvest, crop.growth):
            learnt[each.crop] = replace(crop, at_places=(*crop.at_places, (each.place, harvest, growth)))
    return learnt


def sentences(learnt: Iterable[Learnt]) -> Iterator[str]:
    """Say what is reckoned with and what it rests on, a sentence for each factor that is of any batch."""
    for each in learnt:
        who = each.crop.capitalize() if each.place is None else f"{each.crop.capitalize()} at {each.place}"
        for figure, did, factor in (("days", "took", each.days), ("grams", "gave", each.grams)):
            if factor.own is None:
                continue
            reckoned = f"{who} is reckoned with {factor.value:.0%} of the {figure} in its profile"
            if factor.batches == 1:
                yield f"{reckoned}: one batch {did} {factor.own:.0%}. That is of one batch only."
            else:
                yield f"{reckoned}: {factor.batches} batches {did} {factor.own:.0%} on average."


def germination(prior_percent: float, came: Iterable[Came], *, weight: float = PRIOR_SEEDS) -> Germination:
    """Give the percentage of seeds that germinate, as known after some sowings of one year.

    Equation: the mean of p beforehand beta distributed, ``p^(a - 1) (1 - p)^(b - 1)``, with mean ``a / (a + b)`` as
    published and weight ``a + b``, times ``(1 - (1 - p)^k)^u (1 - p)^(k d)`` for each sowing of `k` seeds a cell of
    which `u` cells came up and `d` did not.  With one seed a cell it is ``(a + u) / (a + b + u + d)``; with more it is
    added up on a fixed grid, in logarithms.

    Holds where each seed comes up or not by itself; good to about 1e-9 up to some thousand seeds.

    References
    ----------
    The binomial model and its conjugate prior: "Bayesian Data Analysis", as in `shrunk`, section 2.4 (from memory).

    Parameters
    ----------
    prior_percent
        What holds without a record [%], held between `LEAST_PERCENT` and `MOST_PERCENT` once there is one.
    came
        The sowings, in any order; at most all their cells came up.
    weight
        How much that is worth [seeds].
    """
    sown = [each for each in came if each.cells > 0 and each.seeds_a_cell > 0]
    if not sown:
        return Germination(percent=prior_percent, weight=weight)
    prior = min(MOST_PERCENT, max(LEAST_PERCENT, prior_percent)) / 100
    came_up: Counter[int] = Counter()
    failed = 0
    for each in sown:
        came_up[each.seeds_a_cell] += each.cells_up
        failed += each.seeds_a_cell * (each.cells - each.cells_up)
    # A seed that failed, or came up alone in its cell, is known by itself, and only adds to an exponent.
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
    packets: Iterable[Packet], crops: Mapping[str, Crop], came: Iterable[Came], year: int
) -> Mapping[str, Germination]:
    """Give how many seeds of the packets at hand come up in a year, of each crop with a record, by name.

    Sowings of another packet, one of another year, count nothing: a new packet begins anew.  Where no packet or no year
    is told, sowings of no told year count.

    The sowings of each year start from what was known before, aged to that year as `percent_now` ages it: the
    percentage falls in proportion, its weight stays.  Within one year that is exact; over years it is the simplest way
    to count each sowing by what the seeds were when they were sown.

    Parameters
    ----------
    packets, crops
        The packets of the garden file, and the crops.
    came
        The sowings, in any order.
    year
        The year that is asked about, and of sowings that do not tell theirs.
    """
    at_hand = _at_hand(packets, crops)
    sown: dict[str, list[Came]] = defaultdict(list)
    for each in came:
        if each.crop in crops and each.packed_in == at_hand[each.crop].packed_in:
            sown[each.crop].append(each)
    told = {name: _of_packet(crops[name], at_hand[name], sown[name], year) for name in sorted(sown)}
    return {name: each for name, each in told.items() if each.sowings}


def learn_packets(
    packets: Iterable[Packet], crops: Mapping[str, Crop], came: Iterable[Came], year: int
) -> tuple[Packet, ...]:
    """Give the packets with what was learnt in them, and one more for each crop that has a record but no packet.

    `percent_now` ages what a packet says from the year it was packed for.  So a packet's percentage becomes the one
    that, aged to `year`, is what is known (`germinations`); it may pass 100 where old seeds came up better than
    reckoned, and then holds from that year on only.

    Parameters
    ----------
    packets, crops
        The packets of the garden file, and the crops.
    came
        The sowings, in any order.
    year
        The year in which it is sown next.
    """
    packets, came = tuple(packets), tuple(came)
    known = germinations(packets, crops, came, year)

    def with_learnt(packet: Packet) -> Packet:
        if packet.crop not in known:
            return packet
        return replace(packet, percent=known[packet.crop].percent / _left(crops[packet.crop], packet, year))

    told = {packet.crop for packet in packets}
    untold = (Packet(crop=name, percent=None, packed_in=None) for name in known if name not in told)
    return tuple(with_learnt(packet) for packet in (*packets, *untold))


def _factors(crops: Mapping[str, Crop], grown: Iterable[Grown]) -> Iterator[Learnt]:
    by_crop: dict[str, list[Grown]] = defaultdict(list)
    for each in grown:
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


def _days(batches: Iterable[Grown]) -> list[float]:
    return [batch.days_ratio for batch in batches if batch.days_ratio is not None]


def _grams(batches: Iterable[Grown]) -> list[float]:
    return [batch.grams_ratio for batch in batches if batch.grams_ratio is not None]


def _enough(ratios: list[float]) -> list[float]:
    """Give the ratios of a place if there are enough of them, and none otherwise."""
    return ratios if len(ratios) >= PLACE_BATCHES else []


def _multiplied(crop: Crop, learnt: Learnt) -> tuple[HarvestFigures, Growth]:
    days, grams = learnt.days.value, learnt.grams.value
    harvest, growth = crop.harvest, crop.growth
    # A plant that is ready before it grows at all would be nonsense; a profile that leaves it less is left as it is.
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
    falls off at both ends, so that equal steps are as good as exact; stretched by asinh, few of them reach far enough.
    """
    steps = round(_GRID_END / _GRID_STEP)
    chances, logs = [], []
    for step in range(-steps, steps + 1):
        stretched = step * _GRID_STEP
        log_odds = sinh(stretched)
        # log p and log (1 - p), neither of which rounds to 0 at an end.
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
    """Give the packet of each crop; where none is told, one that says nothing, which `percent_now` takes alike."""
    unknown = {name: Packet(crop=name, percent=None, packed_in=None) for name in crops}
    return unknown | {packet.crop: packet for packet in packets}


def _of_packet(crop: Crop, packet: Packet, came: Iterable[Came], year: int) -> Germination:
    by_year: dict[int, list[Came]] = defaultdict(list)
    for each in came:
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
    """Give the share of its first percentage that a packet is counted with in a year [0 to 1]."""
    return percent_now(crop, replace(packet, percent=1.0), year)
