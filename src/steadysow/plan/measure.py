"""The measure of a plan: how well batches serve the wants, week by week.

Takes batches and the garden, nothing from the solver, so that no number on the screen is the solver's word.  Gives the
served share, surplus and deep gaps.  Hides who eats what: what spoils first is eaten first.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden, Want
from steadysow.plan.batch import Batch
from steadysow.plan.plan import WantWeek, Week

# A harvest serves a later week only if it is still good on that week's fifth day, when most of the week has been eaten.
EATEN_BY_DAY = 4

# Estimate, as for most greens: how long a harvest keeps if the profile of its crop is gone [d].
UNKNOWN_KEEPS_DAYS = 7

# Amounts below this are the dust of adding floats [g or heads].
DUST = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """The measure of a plan, all shares from 0 to 1.

    `served_share` is the mean over weeks in reach and wants of min(wanted, served) / wanted, weighted by importance;
    `all_weeks` the same over all weeks; `deep_gaps` counts weeks and wants in reach that are served under half.
    """

    weeks: tuple[Week, ...]
    served_share: float
    all_weeks: float
    deep_gaps: int
    sowings: int
    sowing_days: int
    work_days: int
    surplus_grams: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Portion:
    """What is left of one harvest for one want.

    Attributes
    ----------
    crop
        The crop that was harvested.
    week, last_week
        The week of its harvest and the last week it can serve, counted from 0 at `Plan.starts_on`.
    amount
        How much is left, in the want's unit.
    grams_each
        Weight of one unit [g]; 1 where the unit is grams.
    """

    crop: str
    week: int
    last_week: int
    amount: float
    grams_each: float


def week_starts(garden: Garden, starts_on: date, today: date) -> tuple[date, ...]:
    """Give the first day of every planned week: from the one that holds `today`, up to the garden's `clear_by`."""
    first = starts_on + 7 * timedelta(_week(max(today, starts_on), starts_on))
    return _planned_weeks(garden, first, garden.weeks)


def wanted(garden: Garden, want: Want, week_on: date) -> float:
    """Give what a want asks for in the week that begins on `week_on`, in its unit: its amount for the days at home."""
    week_ends_on = week_on + timedelta(7)
    if want.from_on is not None and week_on < want.from_on:
        return 0.0
    if want.until_on is not None and week_ends_on > want.until_on:
        return 0.0
    days_at_home = sum(garden.at_home(week_on + timedelta(day)) for day in range(7))
    return want.amount * days_at_home / 7


def last_week_served(harvested_on: date, keeps_days: int, starts_on: date) -> int:
    """Give the last week that a harvest can serve, counted from `starts_on`."""
    day_of_week = (harvested_on - starts_on).days % 7
    return _week(harvested_on, starts_on) + max(0, (day_of_week + keeps_days - EATEN_BY_DAY) // 7)


def carried_over(
    garden: Garden, want: Want, batches: Sequence[Batch], starts_on: date, from_on: date
) -> tuple[Portion, ...]:
    """Give what is left of harvests before `from_on` for the weeks from then on."""
    first_planned = _week(from_on, starts_on)
    earlier = [portion for portion in portions(garden.crops, want, batches, starts_on) if portion.week < first_planned]
    weeks = range(min((portion.week for portion in earlier), default=first_planned), first_planned)
    _, left = _eat(earlier, {week: wanted(garden, want, starts_on + 7 * timedelta(week)) for week in weeks})
    return tuple(portion for portion in left if portion.last_week >= first_planned and portion.amount > DUST)


def measure(
    garden: Garden,
    batches: Sequence[Batch],
    starts_on: date,
    from_on: date,
    weeks: int,
    today: date,
    in_reach_from: Mapping[str, date | None],
) -> Measure:
    """Measure how well batches serve the wants, week by week.

    The weeks eat in turn.  Each eats what is still good, up to what it wants; it starts with what spoils first and
    holds nothing back.  Harvests after the last planned week do not count.

    Parameters
    ----------
    garden
        The garden.
    batches
        Every batch, begun or planned; past harvests serve for as long as they keep.
    starts_on
        When the garden began; weeks are counted from it.
    from_on
        First day of the first planned week.
    weeks
        How many weeks are planned; those that begin on or after the garden's `clear_by` are left out.
    today
        Sowings and days with work are counted from it.
    in_reach_from
        For each want the earliest day on which something can be harvested for it, or ``None`` for never.

    Returns
    -------
    Measure
        The shares, and every planned week.
    """
    planned = _planned_weeks(garden, from_on, weeks)
    until_on = from_on + 7 * timedelta(len(planned))
    by_want = []
    surplus_grams = 0.0
    for want in garden.wants:
        want_weeks, spoiled_grams = _measure_want(
            garden, want, batches, starts_on, planned, in_reach_from.get(want.name)
        )
        by_want.append(want_weeks)
        surplus_grams += spoiled_grams
    measured = tuple(
        Week(starts_on=week_on, wants=tuple(want_weeks[index] for want_weeks in by_want))
        for index, week_on in enumerate(planned)
    )
    importance = {want.name: want.importance for want in garden.wants}
    asked = [entry for week in measured for entry in week.wants if entry.wanted > 0]
    reached = [entry for entry in asked if entry.in_reach]
    sowings = {
        (batch.sown_on, batch.crop)
        for batch in batches
        if (batch.state == "planned" or batch.sown_on >= today) and from_on <= batch.sown_on < until_on
    }
    return Measure(
        weeks=measured,
        served_share=_share(reached, importance),
        all_weeks=_share(asked, importance),
        deep_gaps=sum(entry.served < entry.wanted / 2 - DUST for entry in reached),
        sowings=len(sowings),
        sowing_days=len({sown_on for sown_on, _ in sowings}),
        work_days=sum(today <= day < until_on for day in _days_with_work(batches)),
        surplus_grams=surplus_grams,
    )


def _week(day: date, starts_on: date) -> int:
    return (day - starts_on).days // 7


def _planned_weeks(garden: Garden, from_on: date, weeks: int) -> tuple[date, ...]:
    starts = (from_on + 7 * timedelta(index) for index in range(weeks))
    return tuple(day for day in starts if garden.clear_by is None or day < garden.clear_by)


def portions(crops: Mapping[str, Crop], want: Want, batches: Sequence[Batch], starts_on: date) -> list[Portion]:
    """Give every harvest for a want as a portion."""
    found = []
    for batch in batches:
        if batch.want != want.name:
            continue
        # The profile of a past batch may be gone.
        own_days = crops[batch.crop].keeps_days if batch.crop in crops else UNKNOWN_KEEPS_DAYS
        keeps_days = own_days if want.keeps_days is None else want.keeps_days
        for harvest in batch.harvests:
            portion = Portion(
                crop=batch.crop,
                week=_week(harvest.on, starts_on),
                last_week=last_week_served(harvest.on, keeps_days, starts_on),
                amount=harvest.grams if want.unit == "g" else float(harvest.plants),
                grams_each=1.0 if want.unit == "g" else harvest.grams / harvest.plants,
            )
            found.append(portion)
    return found


def _eat(portions: Sequence[Portion], wanted_by_week: Mapping[int, float]) -> tuple[dict[int, float], list[Portion]]:
    """Let each week eat in turn; give what each week was served, and what is left of the portions."""
    # Among portions that spoil together the older is eaten first, so that surplus counts in the week that made it.
    portions = sorted(portions, key=lambda portion: (portion.last_week, portion.week))
    left = [portion.amount for portion in portions]
    served = {}
    for week in sorted(wanted_by_week):
        hunger = wanted_by_week[week]
        for index, portion in enumerate(portions):
            if portion.week <= week <= portion.last_week:
                eaten = min(hunger, left[index])
                left[index] -= eaten
                hunger -= eaten
        served[week] = wanted_by_week[week] - hunger
    return served, [replace(portion, amount=amount) for portion, amount in zip(portions, left, strict=True)]


def _measure_want(
    garden: Garden,
    want: Want,
    batches: Sequence[Batch],
    starts_on: date,
    planned: Sequence[date],
    in_reach_from: date | None,
) -> tuple[list[WantWeek], float]:
    """Measure one want over the planned weeks; give the weeks, and the weight of their harvests that spoils [g]."""
    if not planned:
        return [], 0.0
    planned_weeks = {_week(week_on, starts_on): week_on for week_on in planned}
    wanted_by_week = {week: wanted(garden, want, week_on) for week, week_on in planned_weeks.items()}
    harvested = [
        portion for portion in portions(garden.crops, want, batches, starts_on) if portion.week in planned_weeks
    ]
    earlier = carried_over(garden, want, batches, starts_on, planned[0])
    served, left = _eat([*earlier, *harvested], wanted_by_week)

    by_crop: defaultdict[int, defaultdict[str, float]] = defaultdict(lambda: defaultdict(float))
    for portion in harvested:
        by_crop[portion.week][portion.crop] += portion.amount
    # What keeps beyond the last planned week may still be eaten; what came before the first counts in its own week.
    spoiled = [
        portion
        for portion in left
        if portion.week in planned_weeks and portion.last_week in planned_weeks and portion.amount > DUST
    ]
    surplus: defaultdict[int, float] = defaultdict(float)
    for portion in spoiled:
        surplus[portion.week] += portion.amount
    weeks = [
        WantWeek(
            want=want.name,
            unit=want.unit,
            wanted=wanted_by_week[week],
            harvested=sum(by_crop[week].values()),
            served=served[week],
            surplus=surplus[week],
            in_reach=in_reach_from is not None and in_reach_from < week_on + timedelta(7),
            by_crop=tuple(sorted(by_crop[week].items())),
        )
        for week, week_on in planned_weeks.items()
    ]
    return weeks, sum(portion.amount * portion.grams_each for portion in spoiled)


def _share(entries: Sequence[WantWeek], importance: Mapping[str, float]) -> float:
    """Give the mean share served, weighted by importance; 1 where nothing was asked."""
    weight = sum(importance[entry.want] for entry in entries)
    if weight == 0:
        return 1.0
    return sum(importance[entry.want] * min(1.0, entry.served / entry.wanted) for entry in entries) / weight


def _days_with_work(batches: Sequence[Batch]) -> set[date]:
    """Give the days on which something is sown, transplanted or harvested."""
    days = {batch.sown_on for batch in batches}
    days |= {batch.transplanted_on for batch in batches if batch.transplanted_on is not None}
    return days | {harvest.on for batch in batches for harvest in batch.harvests}
