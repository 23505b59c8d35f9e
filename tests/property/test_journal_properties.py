"""What holds of every journal over every plan: what was told stands, what was not told went as planned.

Facts are drawn by walking the days of a plan: on each day something happens to what stands on it, so that every journal
drawn is one that could be.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import cache
from random import Random

from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st

from steadysow.inputs.garden import carried
from steadysow.inputs.journal import Fact, FactKind, Journal
from steadysow.pipeline import Inputs, make_plan
from steadysow.plan.batch import Batch
from steadysow.plan.plan import Plan
from steadysow.standing.standing import Standing, plan_as_recorded, standing_as_recorded
from tiny import SATURDAY, START, WEDNESDAY, by_name, day, make_crop, make_garden, make_tote, make_want

from .strategies import Plot

HEAD = make_crop("cress", lid_holes=4, window_days=7, grams=(90.0,))
SLOW = make_crop("endive", nursery_days=(7, 14), first_days=14, window_days=8, lid_holes=4, grams=(120.0,))
CUT = make_crop("mizuna", "cut", between_days=7, window_days=7, grams=(40.0, 30.0, 20.0), lid_holes=3)
PICK = make_crop("pea", "pick", between_days=5, window_days=5, grams=(30.0, 30.0), lid_holes=4, sown_in="pot")
POT = make_crop("rocket", sown_in="pot", first_days=14, window_days=10, lid_holes=4)
BOTH_DAYS = (WEDNESDAY, SATURDAY)
TWO = (make_tote("A", 4), make_tote("B", 4))

PLOTS = (
    Plot(
        crops=(HEAD,),
        garden=make_garden(TWO, [make_want([HEAD], 250, unit="g")], weeks=6, harvest_days=BOTH_DAYS, turnaround_days=2),
    ),
    Plot(
        crops=(HEAD, CUT),
        garden=make_garden(
            (*TWO, make_tote("C", 4, "kratky")), [make_want([HEAD, CUT], 300, unit="g")], weeks=5,
            chore_days=BOTH_DAYS, every_days=3, turnaround_days=1,
        ),
    ),
    Plot(
        crops=(SLOW,),
        garden=make_garden(
            [make_tote("A", 4, "kratky"), make_tote("B", 4)], [make_want([SLOW], 2)], weeks=6,
            harvest_days=BOTH_DAYS, turnaround_days=3,
        ),
    ),
    Plot(
        crops=(CUT, POT),
        garden=make_garden(
            (make_tote("A", 3), make_tote("B", 3)),
            [make_want([CUT], 60, unit="g"), make_want([POT], 1, name="pan")],
            weeks=6,
            chore_days=BOTH_DAYS, harvest_days=BOTH_DAYS, every_days=3,
        ),
    ),
    Plot(
        crops=(PICK, HEAD),
        garden=make_garden(
            TWO, [make_want([PICK, HEAD], 150, unit="g")], weeks=5, harvest_days=BOTH_DAYS, turnaround_days=1, cells=6
        ),
    ),
)  # fmt: skip

few = settings(
    deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)
# Each example plans, so that shrinking one would take minutes.
planning = settings(few, phases=(Phase.generate,))


@cache
def plan_of(number: int) -> Plan:
    """Give the plan of a plot, made on day 0."""
    plot = PLOTS[number]
    return make_plan(Inputs(garden=replace(plot.garden, crops=by_name(plot.crops))), today=START, seconds=30)


@cache
def replanned(number: int, today: date, facts: tuple[Fact, ...]) -> Plan:
    """Give the plan that is made on a day with what was told."""
    return make_plan(inputs_of(number, facts), today=today, old=plan_of(number), seconds=30)


def inputs_of(number: int, facts: Iterable[Fact]) -> Inputs:
    """Give the garden with a journal."""
    plot = PLOTS[number]
    return Inputs(garden=replace(plot.garden, crops=by_name(plot.crops)), journal=journal_of(facts))


def journal_of(facts: Iterable[Fact]) -> Journal:
    """Give a journal of facts in the order of typing."""
    numbered = tuple(replace(fact, number=number) for number, fact in enumerate(facts, start=1))
    return Journal(uuid="6f0e0a52-6a0d-4c0e-9d62-0a3f1f8f7c11", facts=numbered)


def standing_of(number: int, today: date, facts: Iterable[Fact], plan: Plan | None = None) -> Standing:
    """Give what stands of a plot."""
    return standing_by(number, today, journal_of(facts), plan)


def standing_by(number: int, today: date, journal: Journal, plan: Plan | None = None) -> Standing:
    """Give what stands of a plot by a journal."""
    plot, plan = PLOTS[number], plan or plan_of(number)
    return standing_as_recorded(plan, today, journal, garden=replace(plot.garden, crops=by_name(plot.crops)))


def unmarked(batches: Iterable[Batch]) -> tuple[Batch, ...]:
    """Give batches without a mark of what was told."""
    return tuple(
        replace(batch, recorded=(), harvests=tuple(replace(harvest, is_recorded=False) for harvest in batch.harvests))
        for batch in batches
    )


# Facts that could be.


@dataclass(slots=True)
class Walk:
    """What has been told so far, on the way through the days of a plan."""

    number: int
    facts: list[Fact]

    @property
    def plot(self) -> Plot:
        """The garden walked through."""
        return PLOTS[self.number]

    def has(self, batch: int, kind: str) -> bool:
        """Say whether it was told."""
        return any((fact.batch, fact.kind) == (batch, kind) for fact in self.facts)

    def tell(self, batch: Batch, fact: Fact, *, stands: bool) -> None:
        """Tell of a batch, and before that of the stages that nothing told of."""
        if fact.kind != "sown" and not self.has(batch.id, "sown"):
            self.facts.append(replace(sowing(batch, batch.sown_on), assumed=True))
        nursed = by_name(self.plot.crops)[batch.crop].sown_in == "nursery"
        if nursed and stands and not self.has(batch.id, "transplanted"):
            self.facts.append(replace(planting(batch), assumed=True))
        self.facts.append(replace(fact, batch=batch.id))

    def free(self, standing: Standing, tote: str) -> list[int]:
        """Give the holes of a tote in which nothing stands."""
        there = [batch for batch in standing.begun if batch.tote == tote and batch.state == "transplanted"]
        taken = {hole for batch in there for hole in left_of(batch)}
        holes = next(each.holes for each in self.plot.garden.totes if each.name == tote)
        return [hole for hole in range(1, holes + 1) if hole not in taken]


def sowing(batch: Batch, on: date) -> Fact:
    """Give the sowing of a batch, with all that it says."""
    return Fact(
        kind="sown", on=on, batch=batch.id, crop=batch.crop, want=batch.want, place=batch.place, tote=batch.tote,
        holes=batch.holes, plants=batch.plants, cells=batch.cells, seeds=batch.seeds,
    )  # fmt: skip


def planting(batch: Batch) -> Fact:
    """Give the transplant of a batch into its holes."""
    assert batch.transplanted_on is not None
    return Fact(kind="transplanted", on=batch.transplanted_on, batch=batch.id, tote=batch.tote, holes=batch.holes)


def left_of(batch: Batch) -> list[int]:
    """Give the holes of a batch in which plants stand."""
    taken = {hole for harvest in batch.harvests if harvest.kind == "head" for hole in harvest.holes}
    return [hole for hole in batch.holes if hole not in taken]


@st.composite
def walks(draw: st.DrawFn, most_days: int = 34, most_events: int = 6) -> tuple[int, date, tuple[Fact, ...]]:
    """Give a plot, today, and facts that could have happened up to then, in the order in which they did."""
    number = draw(st.integers(0, len(PLOTS) - 1))
    today = day(draw(st.integers(1, most_days)))
    span = (today - START).days
    walk = Walk(number, [])
    for event_day in sorted(draw(st.lists(st.integers(0, span), max_size=most_events))):
        draw(happenings(walk, day(event_day)))
    return number, today, tuple(walk.facts)


@st.composite
def happenings(draw: st.DrawFn, walk: Walk, on: date) -> None:
    """Let something happen on a day to a batch or a tote."""
    standing = standing_of(walk.number, on, walk.facts)
    # The order of one day is that of the stages, not that of telling, so that a batch has its turn once a day.
    told_today = {fact.batch for fact in walk.facts if fact.on == on}
    live = [
        batch
        for batch in standing.begun
        if batch.state in ("sown", "transplanted") and batch.sown_on < on and batch.id not in told_today
    ]
    begun = {batch.id for batch in standing.begun}
    near = [
        batch
        for batch in plan_of(walk.number).batches
        if not walk.has(batch.id, "sown") and abs((batch.sown_on - on).days) <= 5
        if batch.id not in begun or batch.sown_on < on
    ]
    what = draw(st.sampled_from(("batch", "batch", "batch", "batch", "sow", "tote")))
    if what == "tote":
        tote = draw(st.sampled_from(walk.plot.garden.totes)).name
        kind: FactKind = draw(st.sampled_from(("scrubbed", "resting", "back")))
        until = draw(st.none() | st.integers(1, 20).map(lambda days: on + timedelta(days)))
        walk.facts.append(Fact(kind=kind, on=on, tote=tote, until=until if kind == "resting" else None))
    elif what == "sow" and near:
        batch = draw(st.sampled_from(near))
        walk.tell(batch, sowing(batch, on), stands=False)
    elif what == "sow":
        draw(sowings(walk, standing, on))
    elif live:
        batch = draw(st.sampled_from(live))
        if batch.transplanted_on is None:
            draw(in_the_nursery(walk, standing, batch, on))
        elif batch.transplanted_on < on:
            draw(in_its_tote(walk, standing, batch, on))


@st.composite
def sowings(draw: st.DrawFn, walk: Walk, standing: Standing, on: date) -> None:
    """Sow what was not planned."""
    crop = draw(st.sampled_from(walk.plot.crops))
    want = next(want for want in walk.plot.garden.wants if crop.name in {serving.crop for serving in want.servings})
    plants = draw(st.integers(1, 3))
    fact = Fact(
        kind="sown", on=on, batch=standing.next_id, crop=crop.name, want=want.name, plants=plants, cells=plants,
        seeds=plants,
    )  # fmt: skip
    if crop.sown_in == "pot":
        tote = draw(st.sampled_from(walk.plot.garden.totes))
        free = walk.free(standing, tote.name)
        if not carried(crop, tote) or len(free) < plants:
            return
        fact = replace(fact, tote=tote.name, place="shelf", holes=tuple(free[:plants]))
    walk.facts.append(fact)


@st.composite
def in_the_nursery(draw: st.DrawFn, walk: Walk, standing: Standing, batch: Batch, on: date) -> None:
    """Let seedlings emerge, be lost or be planted."""
    kinds = ["transplanted", "transplanted", "lost", "thinned"]
    if not walk.has(batch.id, "emerged"):
        kinds += ["emerged", "emerged"]
    kind = draw(st.sampled_from(kinds))
    plants = draw(st.none() | st.integers(1, batch.plants))
    if kind == "emerged":
        fact = Fact(kind="emerged", on=on, plants=draw(st.none() | st.integers(0, batch.cells)))
    elif kind == "transplanted":
        crop = by_name(walk.plot.crops)[batch.crop]
        number = plants or batch.plants
        totes = [
            tote
            for tote in walk.plot.garden.totes
            if carried(crop, tote) and len(walk.free(standing, tote.name)) >= number
        ]
        if not totes:
            return
        tote = draw(st.sampled_from(totes)).name
        free = walk.free(standing, tote)
        is_planned = tote == batch.tote and {*batch.holes[:number]} <= {*free} and len(batch.holes) >= number
        planned = batch.holes[:number] if is_planned else tuple(free[:number])
        holes = draw(st.just(planned) | st.permutations(free).map(lambda each: tuple(sorted(each[:number]))))
        fact = Fact(kind="transplanted", on=on, tote=tote, holes=holes, plants=plants)
    elif kind == "thinned":
        fact = Fact(kind="thinned", on=on, plants=plants)
    else:
        fact = Fact(kind=draw(st.sampled_from(("lost", "bolted"))), on=on, plants=plants)
    walk.tell(batch, fact, stands=False)


@st.composite
def in_its_tote(draw: st.DrawFn, walk: Walk, standing: Standing, batch: Batch, on: date) -> None:
    """Let plants be harvested, lost, cleared or moved."""
    left = left_of(batch)
    kinds = ("harvested", "harvested", "harvested", "lost", "bolted", "cleared", "moved")
    kind: FactKind = draw(st.sampled_from(kinds))
    number = draw(st.none() | st.integers(1, len(left)))
    holes: tuple[int, ...] = ()
    if number is not None and draw(st.booleans()):
        holes = tuple(sorted(draw(st.permutations(left))[:number]))
    if kind == "harvested":
        is_head = by_name(walk.plot.crops)[batch.crop].harvest.kind == "head"
        grams = draw(st.none() | st.integers(1, 300).map(float))
        fact = Fact(kind="harvested", on=on, grams=grams)
        if is_head:
            fact = replace(fact, holes=holes, plants=number)
    elif kind == "moved":
        totes = [tote for tote in walk.plot.garden.totes if carried(by_name(walk.plot.crops)[batch.crop], tote)]
        tote = draw(st.sampled_from(totes)).name
        free = walk.free(standing, tote)
        if len(free) < len(left):
            return
        fact = Fact(kind="moved", on=on, tote=tote, holes=tuple(free[: len(left)]))
    elif kind == "cleared":
        fact = Fact(kind="cleared", on=on)
    else:
        fact = Fact(kind=kind, on=on, holes=holes, plants=number)
    walk.tell(batch, fact, stands=True)


# A journal that only repeats the plan.


def repeated(batch: Batch, today: date, *, holes: bool, emerged: bool) -> list[Fact]:
    """Give a fact for every stage of a batch before a day, in their order, just as planned."""
    facts = [sowing(batch, batch.sown_on)]
    if emerged and batch.emerges_on is not None and batch.emerges_on < (batch.transplanted_on or today):
        facts.append(Fact(kind="emerged", on=batch.emerges_on, batch=batch.id))
    if batch.transplanted_on is not None and batch.transplanted_on != batch.sown_on:
        facts.append(planting(batch))
    for harvest in batch.harvests:
        own = harvest.holes if holes and harvest.kind == "head" else ()
        plants = harvest.plants if harvest.kind == "head" else None
        facts.append(Fact(kind="harvested", on=harvest.on, batch=batch.id, holes=own, plants=plants))
    if batch.cleared_on is not None:
        facts.append(Fact(kind="cleared", on=batch.cleared_on, batch=batch.id))
    return [fact for fact in facts if fact.on < today]


@st.composite
def repetitions(draw: st.DrawFn) -> tuple[int, date, tuple[Fact, ...]]:
    """Give a plot, today, and of each batch some of the first stages, as planned."""
    number, today = draw(st.integers(0, len(PLOTS) - 1)), day(draw(st.integers(1, 60)))
    facts: list[Fact] = []
    for batch in plan_of(number).batches:
        if batch.sown_on < today:
            told = repeated(batch, today, holes=draw(st.booleans()), emerged=draw(st.booleans()))
            # Grams that were not weighed, and a clearing that nobody wrote down, are as planned too.
            facts += told[: draw(st.integers(0, len(told)) | st.just(len(told)))]
    return number, today, tuple(facts)


@settings(few, max_examples=150)
@given(repetitions())
def test_a_journal_that_repeats_the_plan_changes_nothing(drawn: tuple[int, date, tuple[Fact, ...]]) -> None:
    """What was told as planned stands as if nothing had been told."""
    number, today, facts = drawn
    silent, told = standing_of(number, today, ()), standing_of(number, today, facts)
    assert replace(told, begun=unmarked(told.begun)) == silent
    assert {batch.id for batch in told.begun if batch.recorded} == {fact.batch for fact in facts}


@settings(planning, max_examples=3)
@given(repetitions())
def test_a_plan_made_with_a_journal_that_repeats_it_is_the_same(drawn: tuple[int, date, tuple[Fact, ...]]) -> None:
    """Planned anew with facts that only repeat the plan, the same is done as without."""
    number, today, facts = drawn
    silent, told = replanned(number, today, ()), replanned(number, today, facts)
    assert unmarked(told.batches) == silent.batches
    assert told.proof.served_share == silent.proof.served_share


@settings(few, max_examples=60)
@given(repetitions())
def test_a_plan_of_which_only_what_it_says_was_told_reads_as_it_did(drawn: tuple[int, date, tuple[Fact, ...]]) -> None:
    """With what was told as planned, the plan has the same stages on the same days."""
    number, today, facts = drawn
    plan = plan_of(number)
    read = plan_as_recorded(plan, standing_of(number, today, facts), today)
    assert [replace(batch, state="planned") for batch in unmarked(read.batches)] == list(plan.batches)


# Order, and taking back.


@settings(few, max_examples=60)
@given(walks(), st.randoms(use_true_random=False))
def test_facts_typed_in_another_order_give_the_same_state(
    drawn: tuple[int, date, tuple[Fact, ...]], shuffle: Random
) -> None:
    """What was told later of an earlier day stands as if it had been told on that day."""
    number, today, facts = drawn
    mixed = list(facts)
    shuffle.shuffle(mixed)
    assert standing_of(number, today, mixed) == standing_of(number, today, facts)


@settings(few, max_examples=60)
@given(walks(), st.data())
def test_what_is_taken_back_leaves_no_trace(drawn: tuple[int, date, tuple[Fact, ...]], data: st.DataObject) -> None:
    """After undo, and undo twice, all is as before; an undo that is taken back brings back what it took.

    A number that was given to a batch stays given, so that what is taken back can stand again.
    """
    number, today, facts = drawn
    walk = Walk(number, list(facts))
    for _ in range(2):
        data.draw(happenings(walk, today))
    added = walk.facts[len(facts) :]
    assume(added)
    states = [standing_of(number, today, walk.facts[:length]) for length in range(len(facts), len(walk.facts) + 1)]
    journal = journal_of(walk.facts)
    for state in reversed(states[:-1]):
        last = journal.last_standing
        assert last is not None
        before = journal
        journal = with_more(journal, Fact(kind="undo", on=today, undoes=last.number))
        undone = standing_by(number, today, journal)
        assert replace(undone, next_id=state.next_id) == state
        assert undone.next_id == states[-1].next_id
        again = with_more(journal, Fact(kind="undo", on=today, undoes=journal.last_number))
        assert standing_by(number, today, again) == standing_by(number, today, before)


def with_more(journal: Journal, fact: Fact) -> Journal:
    """Give a journal with a fact more."""
    return replace(journal, facts=(*journal.facts, replace(fact, number=journal.last_number + 1)))


# Planned anew.


def happened(standing: Standing, waiting: Iterable[int]) -> Standing:
    """Give what stands without what the plan decides of what waits: its tote and holes."""
    begun = tuple(
        replace(batch, tote="", place="", holes=()) if batch.id in waiting else batch for batch in standing.begun
    )
    return replace(standing, begun=begun, next_id=0)


def waits(standing: Standing) -> set[int]:
    """Give the numbers of the batches that wait in the nursery."""
    return {batch.id for batch in standing.begun if batch.transplanted_on is None}


@settings(planning, max_examples=12)
@given(walks())
def test_planning_anew_changes_nothing_that_happened(drawn: tuple[int, date, tuple[Fact, ...]]) -> None:
    """The new plan holds what was told; told once more over it, the same stands, and every fact is kept."""
    number, today, facts = drawn
    before = standing_of(number, today, facts)
    plan = replanned(number, today, facts)
    given_up = {batch.id for batch in plan.batches if batch.state == "lost"} & waits(before)
    after = standing_of(number, today, facts, plan)

    waiting = waits(before)
    one, other = happened(before, waiting), happened(after, waiting)
    assert [batch for batch in other.begun if batch.id not in given_up] == [
        batch for batch in one.begun if batch.id not in given_up
    ]
    assert (sorted_by(one), one.rests) == (sorted_by(other), other.rests)
    check_kept(before, plan)


def sorted_by(standing: Standing) -> list[str]:
    """Give the freed holes in an order of their own."""
    return sorted(map(repr, standing.freed))


def check_kept(standing: Standing, plan: Plan) -> None:
    """Assert that the plan holds what has happened, and plants nothing into a hole that is not free."""
    by_id = {batch.id: batch for batch in plan.batches}
    for begun in standing.begun:
        kept = by_id[begun.id]
        assert kept.harvests[: len(begun.harvests)] == begun.harvests
        assert (kept.sown_on, kept.plants, kept.recorded) == (begun.sown_on, begun.plants, begun.recorded)
    entering = [batch for batch in plan.batches if batch.state == "planned" or batch.id in waits(standing)]
    for begun in standing.begun:
        if begun.state == "transplanted":
            kept = by_id[begun.id]
            for later in entering:
                if later.tote == begun.tote and later.transplanted_on is not None:
                    assert not {*later.holes} & {*taken_on(kept, later.transplanted_on)}


def taken_on(batch: Batch, on: date) -> list[int]:
    """Give the holes of a batch in which plants still stand on a day."""
    gone = {hole for harvest in batch.harvests if harvest.kind == "head" and harvest.on <= on for hole in harvest.holes}
    assert batch.cleared_on is not None
    return [hole for hole in batch.holes if hole not in gone] if on < batch.cleared_on else []
