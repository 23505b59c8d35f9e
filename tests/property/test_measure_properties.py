"""What holds of the measure whatever is harvested: nothing is made or lost, and no other way of eating serves more."""

from __future__ import annotations

from dataclasses import dataclass

from hypothesis import given
from hypothesis import strategies as st

from builders import START, a_batch, a_crop, a_garden, a_harvest, day
from steadysow.inputs.garden import Away, Garden, Serving, Want
from steadysow.plan.batch import Batch
from steadysow.plan.measure import Measure, last_week_served, measure

WEEKS = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Reaping:
    """Heads harvested on a day counted from the start, and how long they keep [d]."""

    day: int
    heads: int
    keeps_days: int


REAPINGS = st.lists(
    st.builds(
        Reaping,
        day=st.integers(0, 7 * WEEKS + 10),
        heads=st.integers(1, 6),
        keeps_days=st.integers(0, 25),
    ),
    max_size=8,
)
DAYS_AWAY = st.lists(st.tuples(st.integers(0, 7 * WEEKS), st.integers(1, 14)), max_size=2)


CROPS = tuple(a_crop(f"keeps {days}", keeps_days=days) for days in range(26))


def garden_wanting(heads: float, away: list[tuple[int, int]]) -> Garden:
    """Make a garden that wants so many heads a week, with spans away of (first day, days)."""
    servings = tuple(Serving(crop=crop.name) for crop in CROPS)
    return a_garden(
        weeks=WEEKS,
        away=tuple(Away(from_on=day(first), back_on=day(first + days)) for first, days in away),
        wants=(Want(name="heads", unit="heads", amount=heads, servings=servings),),
        crops=CROPS,
    )


def batch_of(number: int, reaping: Reaping) -> Batch:
    """Make a batch with that one harvest."""
    holes = range(1, reaping.heads + 1)
    return a_batch(
        number,
        holes,
        crop=f"keeps {reaping.keeps_days}",
        want="heads",
        sown_on=day(-50),
        harvests=(a_harvest(day(reaping.day), holes),),
    )


def measured(garden: Garden, reapings: list[Reaping], first_week: int = 0) -> Measure:
    """Measure the weeks from one on, all in reach."""
    batches = tuple(batch_of(number, reaping) for number, reaping in enumerate(reapings, start=1))
    from_on, weeks = day(7 * first_week), WEEKS - first_week
    return measure(garden, batches, START, from_on, weeks, from_on, {"heads": START})


def most_served(reapings: list[Reaping], heads_a_week: int) -> int:
    """Give the most heads any way of eating can serve, by matching single heads to single places at table."""
    heads = [reaping for reaping in reapings for _ in range(reaping.heads) if reaping.day < 7 * WEEKS]
    seats = [week for week in range(WEEKS) for _ in range(heads_a_week)]
    seated: dict[int, int] = {}

    def can_serve(head: Reaping, week: int) -> bool:
        own_week, weekday = divmod(head.day, 7)
        later = week - own_week
        return later == 0 or (later > 0 and weekday + head.keeps_days >= 7 * later + 4)

    def find_seat(number: int, tried: set[int]) -> bool:
        for seat, week in enumerate(seats):
            if seat in tried or not can_serve(heads[number], week):
                continue
            tried.add(seat)
            if seat not in seated or find_seat(seated[seat], tried):
                seated[seat] = number
                return True
        return False

    return sum(find_seat(number, set()) for number in range(len(heads)))


@given(reapings=REAPINGS, heads_a_week=st.integers(1, 4))
def test_no_other_way_of_eating_serves_more(reapings: list[Reaping], heads_a_week: int) -> None:
    """The total served equals that of a largest matching of heads to places at table."""
    found = measured(garden_wanting(heads_a_week, []), reapings)
    assert sum(week.wants[0].served for week in found.weeks) == most_served(reapings, heads_a_week)


@given(reapings=REAPINGS, heads_a_week=st.floats(0.5, 6.0), away=DAYS_AWAY)
def test_nothing_is_made_or_lost(reapings: list[Reaping], heads_a_week: float, away: list[tuple[int, int]]) -> None:
    """What is harvested in the planned weeks is served, spoils, or could still serve a later week."""
    found = measured(garden_wanting(heads_a_week, away), reapings)
    weeks = [week.wants[0] for week in found.weeks]
    harvested = sum(week.harvested for week in weeks)
    accounted = sum(week.served + week.surplus for week in weeks)
    reaches_on = sum(
        reaping.heads
        for reaping in reapings
        if reaping.day < 7 * WEEKS and last_week_served(day(reaping.day), reaping.keeps_days, START) >= WEEKS
    )
    assert harvested == sum(reaping.heads for reaping in reapings if reaping.day < 7 * WEEKS)
    assert accounted - 1e-6 <= harvested <= accounted + reaches_on + 1e-6
    for week in weeks:
        assert 0 <= week.served <= week.wanted
        assert 0 <= week.surplus <= week.harvested
    assert abs(found.surplus_grams - 100 * sum(week.surplus for week in weeks)) < 1e-6
    assert 0 <= found.served_share <= 1


@given(reapings=REAPINGS, heads_a_week=st.floats(0.5, 6.0), away=DAYS_AWAY, first_week=st.integers(1, WEEKS - 1))
def test_a_week_measures_the_same_when_the_weeks_before_have_passed(
    reapings: list[Reaping], heads_a_week: float, away: list[tuple[int, int]], first_week: int
) -> None:
    """Measuring from a later week changes nothing in the weeks that are left."""
    garden = garden_wanting(heads_a_week, away)
    whole, rest = measured(garden, reapings).weeks[first_week:], measured(garden, reapings, first_week).weeks
    for before, after in zip(whole, rest, strict=True):
        for name in ("wanted", "harvested", "served", "surplus"):
            assert abs(getattr(before.wants[0], name) - getattr(after.wants[0], name)) < 1e-6
