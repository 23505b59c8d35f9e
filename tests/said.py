"""What a person says happened in a garden of five planned batches; days are counted from day 0.

Batch 7: four heads of cress in A 1-4, planted on day 7, two to be taken on day 21 and two on day 28.  Batches 8 and 9:
four mizuna in A 5-8 and two in B 1-2, sown and planted with the cress, to be cut on days 21 and 28.  Batch 10: three
rocket sown in their pots in B 5-7 on day 14.  Batch 11: two mizuna in B 3-4, sown on day 21.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import pytest

from builders import a_batch, a_harvest, a_plan
from steadysow.errors import InputFaults
from steadysow.inputs.crops import Crop, HarvestKind
from steadysow.inputs.journal import Fact, FactKind, Journal, imagined
from steadysow.plan.batch import Batch, Harvest
from steadysow.plan.plan import Plan
from steadysow.standing.grounds import Grounds
from steadysow.standing.recording import facts_of
from steadysow.standing.saying import Saying, Understood
from tiny import by_name, day, make_crop, make_garden, make_tote, make_want

CRESS = make_crop("cress", lid_holes=8, nursery_days=(7, 14), first_days=14, window_days=10)
MIZUNA = make_crop(
    "mizuna", "cut", lid_holes=8, nursery_days=(7, 14), first_days=14, between_days=7, grams=(10.0, 10.0)
)
ROCKET = make_crop("rocket", "cut", lid_holes=8, sown_in="pot", first_days=14, between_days=7, grams=(10.0, 10.0))
BRINE = make_crop("brine cress", nursery_days=(7, 14), first_days=14, ec=(3.0, 4.0))
CROPS = by_name([CRESS, MIZUNA, ROCKET, BRINE])
GARDEN = make_garden(
    [make_tote("A", 8), make_tote("B", 8), make_tote("C", 4)],
    [make_want(CROPS.values(), 1), make_want([MIZUNA], 1, name="pan")],
    weeks=8,
    crops=CROPS.values(),
)


def _harvest(kind: HarvestKind, number: int, on: int, holes: tuple[int, ...], grams: float) -> Harvest:
    """Plan a harvest that can wait for three days."""
    return a_harvest(day(on), holes, kind, number=number, latest_on=day(on + 3), grams=grams)


def _batch(
    number: int, crop: str, tote: str, holes: tuple[int, ...], cells: int, harvests: Sequence[Harvest], *, sown: int = 0
) -> Batch:
    """Plan a batch that is planted a week after its sowing, unless it is sown in its pot."""
    return a_batch(
        number, holes, crop=crop, tote=tote, cells=cells, seeds=2 * cells, sown_on=day(sown), emerges_on=day(sown + 1),
        transplanted_on=day(sown if crop == "rocket" else sown + 7), harvests=tuple(harvests),
    )  # fmt: skip


def _cuts(holes: tuple[int, ...], *on: int) -> tuple[Harvest, ...]:
    """Plan cuts of 10 g a plant."""
    return tuple(_harvest("cut", number, each, holes, 10.0 * len(holes)) for number, each in enumerate(on, start=1))


PLAN = a_plan(
    _batch(
        7, "cress", "A", (1, 2, 3, 4), 5,
        [_harvest("head", 1, 21, (1, 2), 200.0), _harvest("head", 2, 28, (3, 4), 200.0)],
    ),
    _batch(8, "mizuna", "A", (5, 6, 7, 8), 5, _cuts((5, 6, 7, 8), 21, 28)),
    _batch(9, "mizuna", "B", (1, 2), 2, _cuts((1, 2), 21, 28)),
    _batch(10, "rocket", "B", (5, 6, 7), 3, _cuts((5, 6, 7), 28, 35), sown=14),
    _batch(11, "mizuna", "B", (3, 4), 2, _cuts((3, 4), 42), sown=21),
    garden="tiny",
    until_on=day(56),
)  # fmt: skip


def say(kind: FactKind, *what: str, on: int, **more: Any) -> Saying:
    """Say that something happened on a day."""
    return Saying(kind=kind, what=what, on=day(on), **more)


def grounds(
    today: int, journal: Journal | None = None, learnt: Iterable[Crop] = (), plan: Plan | None = PLAN
) -> Grounds:
    """Give what a saying is understood by on a day."""
    return Grounds(
        garden=GARDEN,
        learnt={**CROPS, **by_name(learnt)},
        plan=plan,
        journal=journal or Journal(),
        today=day(today),
    )


def understood(
    kind: FactKind, *what: str, on: int, journal: Journal | None = None, today: int | None = None, **more: Any
) -> Understood:
    """Give what a saying is understood as, on its own day unless another is given."""
    return facts_of(say(kind, *what, on=on, **more), grounds(on if today is None else today, journal))


def facts_said(kind: FactKind, *what: str, on: int, journal: Journal | None = None, **more: Any) -> list[Fact]:
    """Give the facts of a saying that are of its own kind, without the stages assumed before them."""
    return [fact for fact in understood(kind, *what, on=on, journal=journal, **more).facts if fact.kind == kind]


def journal_of(*sayings: tuple[int, Saying]) -> Journal:
    """Give the journal after some sayings, each with the day it was typed."""
    journal = Journal()
    for today, saying in sayings:
        journal, _ = imagined(journal, facts_of(saying, grounds(today, journal)).facts)
    return journal


def refused(
    kind: FactKind, *what: str, on: int, journal: Journal | None = None, today: int | None = None, **more: Any
) -> str:
    """Give the one sentence that refuses a saying; it never speaks of a fact or a line of the journal."""
    with pytest.raises(InputFaults, match=r"^(--[a-z]+|WHAT): ") as refusal:
        understood(kind, *what, on=on, journal=journal, today=today, **more)
    (fault,) = refusal.value.faults
    sentence = str(fault)
    assert "journal.jsonl" not in sentence
    assert ": fact " not in sentence
    return sentence
