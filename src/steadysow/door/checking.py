"""What `steadysow check` says of a garden without faults: doubts, light, water, nutrient and cautions.

Takes a garden, a day and the plan in force; gives sentences, and works out nothing that a plan would change.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from steadysow.advice.doubts import doubts
from steadysow.advice.light_use import light_use
from steadysow.cautions import cautions, mixing_cautions
from steadysow.door.results import Checked, PlanWork
from steadysow.inputs.garden import Garden
from steadysow.plan.plan import Plan
from steadysow.upkeep.lamp_light import light_given, light_sentences
from steadysow.upkeep.nutrient_remarks import too_strong
from steadysow.upkeep.nutrients import strength
from steadysow.upkeep.shortfalls import shortfalls


def checked(garden: Garden, today: date, saved: Plan | None = None, work: PlanWork | None = None) -> Checked:
    """Say what is doubtful, where light and water of the plan in force fall short, and what to be careful about.

    Parameters
    ----------
    garden
        The garden.
    today
        What lies before it is beyond doubt.
    saved, work
        The plan as it was saved, and with the journal applied; left out where there is none.
    """
    return Checked(
        doubts=doubts(replace(garden, starts_on=max(today, garden.starts_on or today))),
        light=None if saved is None else light(garden, saved),
        water=None if work is None else water(work, today),
        nutrient=too_strong(strength(garden.recipe, garden.tap_water)),
        cautions=cautions_for(garden),
    )


def light(garden: Garden, plan: Plan) -> tuple[str, ...]:
    """Say what light the places give beside what their crops ask for, and what the crops make of it."""
    given = light_given(garden, plan, plan.from_on, plan.until_on)
    sentences = (sentence for each in given for sentence in light_sentences(garden, each))
    return (*sentences, *light_use(garden, plan.batches))


def water(work: PlanWork, today: date) -> tuple[str, ...]:
    """Say where the water of totes and trays would not suffice."""
    return shortfalls(work.garden, work.known, work.books, today)


def cautions_for(garden: Garden) -> tuple[str, ...]:
    """Give the safety sentences that bear on a garden, each once."""
    recipe = garden.recipe
    lamps = garden.nursery.place.lamp is not None or any(place.lamp for place in garden.places)
    every = (
        *cautions(
            lamps=lamps,
            pumps=any(tote.system == "dwc" for tote in garden.totes),
            outdoors=any(place.outdoors for place in garden.places),
        ),
        *mixing_cautions((part.name for part in recipe.parts), brew=recipe.is_brew),
    )
    return tuple(dict.fromkeys(every))
