"""The second opinion: whether batches keep every rule of a legal plan.

Takes the garden and the batches of a plan, whoever made them; gives every breach in plain words.  Shares nothing with
the search but the types and the growth of crops.  Each rule is one function, written from the rule alone, and `RULES`
lists them.  What has happened cannot break a rule: rules ask only about what the plan still decides.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from steadysow.amounts import listed
from steadysow.check.batches import (
    cleared_in_time,
    cleared_with_its_last_harvest,
    crop_serves_its_want,
    facts_are_kept,
    ids_are_distinct,
    stages_are_in_order,
)
from steadysow.check.case import Case, Finding, case_of, is_live, named
from steadysow.check.harvests import (
    harvested_when_due,
    harvests_are_numbered,
    harvests_take_its_own_plants,
    latest_day_is_the_last_possible,
    no_more_harvests_than_it_gives,
    weighs_what_it_grows_to,
    what_is_planted_is_harvested,
)
from steadysow.check.nursery import (
    cells_are_enough,
    emerges_as_it_grows,
    nursery_holds_all,
    pots_are_not_transplanted,
    seeds_are_enough,
    transplanted_when_ready,
)
from steadysow.check.totes import (
    crop_fits_the_system,
    fruit_stands_alone,
    holes_are_in_the_lid,
    lamps_light_all,
    one_plant_a_hole,
    reservoir_suits_all,
    resting_totes_stand_empty,
    room_in_the_tote,
    still_totes_are_filled_at_once,
    tote_stays_where_it_is,
    water_lasts,
)
from steadysow.check.work import (
    few_crops_a_sowing_day,
    harvested_on_a_harvest_day,
    sowing_days_lie_apart,
    sowings_are_large_enough,
    sown_on_a_chore_day,
    weeks_keep_to_their_minutes,
)
from steadysow.inputs.garden import Garden
from steadysow.plan.batch import Batch
from steadysow.plan.plan import Plan
from steadysow.standing.standing import Rest


@dataclass(frozen=True, slots=True, kw_only=True)
class Breach:
    """A rule that batches break.

    Attributes
    ----------
    rule
        The name of the rule, in words.
    batches
        Ids of the batches that break it.
    day
        The day on which they break it, or ``None``.
    sentence
        What is wrong, as a person reads it.
    """

    rule: str
    batches: tuple[int, ...]
    day: date | None
    sentence: str


CaseRule = Callable[[Case], Iterator[Finding]]

RULES: tuple[CaseRule, ...] = (
    ids_are_distinct,
    facts_are_kept,
    stages_are_in_order,
    crop_serves_its_want,
    sown_on_a_chore_day,
    sowing_days_lie_apart,
    sowings_are_large_enough,
    few_crops_a_sowing_day,
    cells_are_enough,
    seeds_are_enough,
    nursery_holds_all,
    emerges_as_it_grows,
    transplanted_when_ready,
    pots_are_not_transplanted,
    harvested_on_a_harvest_day,
    harvested_when_due,
    latest_day_is_the_last_possible,
    harvests_are_numbered,
    what_is_planted_is_harvested,
    no_more_harvests_than_it_gives,
    harvests_take_its_own_plants,
    weighs_what_it_grows_to,
    cleared_with_its_last_harvest,
    holes_are_in_the_lid,
    one_plant_a_hole,
    still_totes_are_filled_at_once,
    room_in_the_tote,
    crop_fits_the_system,
    lamps_light_all,
    weeks_keep_to_their_minutes,
    reservoir_suits_all,
    fruit_stands_alone,
    water_lasts,
    tote_stays_where_it_is,
    resting_totes_stand_empty,
    cleared_in_time,
)


def name_of(rule: CaseRule) -> str:
    """Give the name of a rule, in words."""
    return rule.__name__.replace("_", " ")


# Breaches that stop nobody following the plan.
HARMLESS = frozenset(
    name_of(rule)
    for rule in (
        weighs_what_it_grows_to,
        latest_day_is_the_last_possible,
        cells_are_enough,
        seeds_are_enough,
        weeks_keep_to_their_minutes,
    )
)


def verify(
    garden: Garden,
    plan: Plan | Iterable[Batch],
    *,
    today: date,
    starts_on: date,
    resting: Sequence[Rest] = (),
    begun: Sequence[Batch] = (),
) -> tuple[Breach, ...]:
    """Check batches against every rule of a legal plan.

    Parameters
    ----------
    garden
        The garden.
    plan
        A plan, or batches.
    today
        What lies before it has happened and is not judged.
    starts_on
        When the garden began; nothing is sown before.
    resting
        Totes out of use.
    begun
        Begun batches as they stood before planning; the plan must hold them unchanged.

    Returns
    -------
    tuple[Breach, ...]
        The breaches, in the order of the rules; empty for a legal plan.
    """
    batches = tuple(plan.batches if isinstance(plan, Plan) else plan)
    unknown = tuple(_unknown_names(garden, batches))
    if unknown:
        return unknown
    # Past batches of crops or totes that the files no longer name do not affect what is still to come.
    batches = tuple(batch for batch in batches if is_live(batch) or not _missing(garden, batch))
    case = case_of(garden, batches, today, starts_on, resting, begun)
    return tuple(_breach(name_of(rule), finding) for rule in RULES for finding in rule(case))


def _breach(rule: str, finding: Finding) -> Breach:
    batches, day, wrong = finding
    return Breach(
        rule=rule,
        batches=tuple(batch.id for batch in batches),
        day=day,
        sentence=f"{wrong[0].upper()}{wrong[1:]}.",
    )


def _unknown_names(garden: Garden, batches: Sequence[Batch]) -> Iterator[Breach]:
    """Find batches to come whose crop, tote or place is unknown; no other rule can judge them."""
    for batch in batches:
        missing = _missing(garden, batch)
        if missing and is_live(batch):
            wrong = f"{named(batch)} is impossible: the garden has {listed(missing)}"
            yield _breach("names are known", ((batch,), None, wrong))


def _missing(garden: Garden, batch: Batch) -> tuple[str, ...]:
    known = (
        (f"no crop {batch.crop}", batch.crop in garden.crops),
        (f"no tote {batch.tote}", not batch.tote or any(tote.name == batch.tote for tote in garden.totes)),
        (f"no place {batch.place}", not batch.place or any(place.name == batch.place for place in garden.places)),
    )
    return tuple(name for name, is_known in known if not is_known)
