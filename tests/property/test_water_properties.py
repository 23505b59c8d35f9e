"""Water of any totes, stays and absences: what comes in is what goes out, and rules that nothing may break."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import pairwise
from typing import Literal

from hypothesis import given, settings
from hypothesis import strategies as st

from planted import balances, garden_of, plan_of, planted
from steadysow.growth.uptake import litres_by_day, spells
from steadysow.inputs.crops import Crop, HarvestKind
from steadysow.inputs.garden import Away, Garden, Lamp, Outdoors, Place, Window, lid_area_m2
from steadysow.inputs.journal import Fact, FactKind
from steadysow.inputs.sources import read_publication
from steadysow.plan.batch import Batch
from steadysow.upkeep.shortfalls import shortfalls
from steadysow.upkeep.water import Refill, WaterBook, keep_books
from tiny import by_name, day, make_crop, make_tote

from .strategies import numbers

# So many that all together cost a few seconds; each was tried with 1500.
cheap = settings(max_examples=40)

RISE_CM = read_publication("kratky-2004").table["most_rise_of_water_once_roots_hang_in_air_cm"]
DAYS = 120
PLACES = (
    Place(name="shelf", temperature_c=20.0, lamp=Lamp(dli_mol=12.0)),
    Place(name="shelf", temperature_c=20.0, window=Window(faces="east", share=0.4)),
    # Closed in most of the days that are drawn, which begin in October.
    Place(name="shelf", temperature_c=15.0, outdoors=Outdoors(frost_free=((5, 10), (10, 20)), shade=0.0)),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Planted:
    """A garden, its crops, and what stands in its totes."""

    garden: Garden
    crops: tuple[Crop, ...]
    batches: tuple[Batch, ...]

    def books(self, facts: Sequence[Fact] = ()) -> tuple[WaterBook, ...]:
        """Keep the books."""
        return keep_books(replace(self.garden, crops=by_name(self.crops)), plan_of(*self.batches), facts)


@st.composite
def thirsty_crops(draw: st.DrawFn, name: str) -> Crop:
    """Give heads, cut greens or fruit that drink little or much."""
    kind: HarvestKind = draw(st.sampled_from(("head", "cut", "pick")))
    return make_crop(
        name,
        kind,
        first_days=draw(st.integers(1, 40)),
        between_days=0 if kind == "head" else draw(st.integers(1, 15)),
        grams=tuple(draw(st.lists(numbers(5, 150), min_size=1, max_size=1 if kind == "head" else 4))),
        litres_a_plant=draw(numbers(0.1, 12)),
    )


@st.composite
def stays(draw: st.DrawFn, crop: Crop, number: int) -> Batch:
    """Give a stay of any length in one of the totes, harvested on any of its days or never."""
    enters, long = draw(st.integers(0, DAYS)), draw(st.integers(0, 70))
    most = 1 if crop.harvest.kind == "head" else 5
    harvested = draw(st.lists(st.integers(1, max(1, long)), max_size=most, unique=True))
    return planted(
        draw(st.sampled_from("AB")),
        enters,
        enters + long,
        draw(st.integers(1, 12)),
        crop=crop,
        number=number,
        harvested=[enters + on for on in sorted(harvested) if on <= long],
        state=draw(st.sampled_from(("planned", "transplanted", "done", "lost"))),
    )


@st.composite
def gardens(draw: st.DrawFn) -> Garden:
    """Give a tote with a pump and a still one, days of work, and absences."""
    litres = draw(numbers(3, 40))
    inside_cm = draw(st.none() | st.tuples(numbers(15, 60), numbers(15, 60)))
    top_up: Literal["small", "never"] = draw(st.sampled_from(("small", "never")))
    firsts = draw(st.lists(st.integers(-5, DAYS), max_size=3))
    return garden_of(
        make_tote("A", 12, litres=litres, inside_cm=inside_cm),
        make_tote("B", 12, "kratky", litres=litres, inside_cm=inside_cm, top_up=top_up),
        chore_days=tuple(sorted(draw(st.sets(st.integers(0, 6), min_size=1, max_size=3)))),
        away=tuple(Away(from_on=day(first), back_on=day(first + draw(st.integers(1, 30)))) for first in firsts),
        change_every_days=draw(st.integers(1, 40)),
        places=(draw(st.sampled_from(PLACES)),),
        latitude=60.0,
        units=draw(st.sampled_from(("metric", "us"))),
    )


@st.composite
def planteds(draw: st.DrawFn) -> Planted:
    """Give a garden with one to four stays of two crops."""
    crops = (draw(thirsty_crops("cress")), draw(thirsty_crops("mizuna")))
    batches = tuple(draw(stays(draw(st.sampled_from(crops)), number)) for number in range(1, draw(st.integers(2, 5))))
    return Planted(garden=draw(gardens()), crops=crops, batches=batches)


kinds: st.SearchStrategy[FactKind] = st.sampled_from(("scrubbed", "fed", "topped-up", "measured"))


@st.composite
def facts(draw: st.DrawFn, number: int) -> Fact:
    """Give something that is told of a tote, or of one that is not known."""
    kind = draw(kinds)
    return Fact(
        number=number,
        kind=kind,
        on=day(draw(st.integers(-5, DAYS + 75))),
        tote=draw(st.sampled_from(("A", "B", "gone"))),
        litres=draw(st.none() | numbers(0, 60)) if kind in ("fed", "topped-up") else None,
        what="level" if kind == "measured" else "",
        value=draw(st.none() | numbers(-5, 250)) if kind == "measured" else None,
    )


told = st.integers(0, 12).flatmap(lambda many: st.tuples(*(facts(number) for number in range(1, many + 1))))


def is_work(garden: Garden, on: date) -> bool:
    """Say whether somebody works in the garden on a day, or is about to leave it."""
    leaves = not garden.at_home(on + timedelta(1)) and any(each.from_on == on + timedelta(1) for each in garden.away)
    return garden.at_home(on) and (on.weekday() in garden.chore_days or leaves)


def fact_of(book: WaterBook, refill: Refill) -> Fact:
    """Give the fact that tells of a refill just as it was planned."""
    kind: FactKind = "scrubbed" if refill.kind == "change" else "fed" if refill.is_fed else "topped-up"
    litres = refill.ml / 1000 if refill.kind == "top-up" else None
    return Fact(kind=kind, on=refill.on, tote=book.filling.tote, litres=litres)


@given(planteds(), told)
@cheap
def test_every_day_balances_and_no_tote_runs_over(plot: Planted, facts: tuple[Fact, ...]) -> None:
    """To the millilitre, whatever is told; no level is below nothing or above the brim, nothing negative is moved."""
    for book in plot.books(facts):
        full = round(1000 * plot.garden.tote(book.filling.tote).litres)
        assert balances(book)
        for each in book.days:
            assert 0 <= each.left_ml <= full
            assert min(each.drained_ml, each.filled_ml, each.topped_up_ml, each.used_ml) >= 0
        assert 0 <= book.used_ml <= book.needed_ml


@given(planteds(), told)
@cheap
def test_days_and_refills_are_counted_through(plot: Planted, facts: tuple[Fact, ...]) -> None:
    """Every day of a filling has its line; refills of a kind count from 1 in their order; shortfalls do not touch."""
    for book in plot.books(facts):
        filling = book.filling
        assert [each.on for each in book.days] == [
            filling.from_on + timedelta(number) for number in range((filling.until_on - filling.from_on).days + 1)
        ]
        for kind in ("fill", "change", "top-up"):
            of_kind = [refill for refill in book.refills if refill.kind == kind]
            assert [refill.number for refill in of_kind] == list(range(1, len(of_kind) + 1))
        assert [refill.on for refill in book.refills] == sorted(refill.on for refill in book.refills)
        assert [refill.on for refill in book.refills if refill.kind == "fill"] == [filling.from_on]
        assert all(earlier.until_on < later.from_on for earlier, later in pairwise(book.shortfalls))


@given(planteds())
@cheap
def test_a_still_tote_is_lifted_by_no_more_than_roots_bear(plot: Planted) -> None:
    """By Kratky's 2 cm at most, whatever it lacks; and not at all where it is never to be topped up."""
    tote = plot.garden.tote("B")
    for book in plot.books():
        if book.filling.tote == "B":
            rises_cm = [0.1 * each.topped_up_ml / 1000 / lid_area_m2(tote) for each in book.days]
            assert max(rises_cm) <= (0 if tote.top_up == "never" else RISE_CM + 1e-6)
            assert all(refill.kind != "change" for refill in book.refills)


@given(planteds())
@cheap
def test_a_solution_is_changed_in_time(plot: Planted) -> None:
    """No longer than is wanted lies between two changes, unless nobody works in all the days between."""
    every = plot.garden.change_every_days
    for book in plot.books():
        if book.filling.tote != "A":
            continue
        renewed = [refill.on for refill in book.refills if refill.kind != "top-up"]
        for earlier, later in pairwise([*renewed, book.filling.until_on]):
            days = (earlier + timedelta(number) for number in range(1, every + 1))
            # What is poured away soon after is spared.
            most = every + every // 4 if later == book.filling.until_on else every
            assert (later - earlier).days <= most or not any(is_work(plot.garden, on) for on in days)


@given(planteds())
@cheap
def test_nothing_is_done_while_nobody_is_there(plot: Planted) -> None:
    """But for the fill on the day of planting, which has been promised or told."""
    for book in plot.books():
        assert all(plot.garden.at_home(refill.on) for refill in book.refills if refill.kind != "fill")
        assert all(is_work(plot.garden, refill.on) for refill in book.refills if refill.kind == "change")


@given(planteds())
@cheap
def test_a_tote_with_a_pump_runs_short_only_while_nobody_is_there(plot: Planted) -> None:
    """Or where a full tote does not last for a day: otherwise somebody at home tops it up."""
    for book in plot.books():
        full = round(1000 * plot.garden.tote("A").litres)
        if book.filling.tote == "A" and all(4 * each.used_ml < full for each in book.days):
            assert all(short.is_away for short in book.shortfalls)


@given(planteds(), st.data())
@cheap
def test_a_plant_more_never_drinks_less(plot: Planted, data: st.DataObject) -> None:
    """One plant more in any batch needs more water, of which its tote gives no less."""
    place = data.draw(st.integers(0, len(plot.batches) - 1))
    batch = plot.batches[place]
    more = tuple(
        replace(each, plants=each.plants + 1, grams=each.grams * (each.plants + 1) / each.plants)
        for each in batch.harvests
    )
    batches = list(plot.batches)
    batches[place] = replace(batch, plants=batch.plants + 1, harvests=more)
    for before, after in zip(plot.books(), replace(plot, batches=tuple(batches)).books(), strict=True):
        assert after.needed_ml >= before.needed_ml
        if not before.shortfalls and not after.shortfalls:
            assert after.used_ml >= before.used_ml


@given(planteds())
@cheap
def test_work_that_is_told_as_planned_changes_nothing(plot: Planted) -> None:
    """Whoever tells of all work up to a day, as it was planned, finds the same levels and the same work to come."""
    books = plot.books()
    every = [fact_of(book, refill) for book in books for refill in book.refills]
    until = sorted(fact.on for fact in every)[len(every) // 2]
    for facts in (every, [fact for fact in every if fact.on <= until]):
        again = plot.books([replace(fact, number=number) for number, fact in enumerate(facts, start=1)])
        for before, after in zip(books, again, strict=True):
            silent = tuple(replace(refill, is_recorded=False) for refill in after.refills)
            assert replace(after, refills=silent) == before


@given(planteds(), told)
@cheap
def test_what_is_typed_twice_counts_once(plot: Planted, facts: tuple[Fact, ...]) -> None:
    """A level, a change, and what went in without litres are the same however often they are typed."""
    once = [fact for fact in facts if fact.litres is None]
    twice = [fact for fact in once for _ in range(2)]
    assert plot.books(twice) == plot.books(once)


@given(planteds(), told, st.integers(-10, DAYS + 80))
@cheap
def test_shortfalls_are_told_whatever_happens(plot: Planted, facts: tuple[Fact, ...], today: int) -> None:
    """Each of them on any day that is not past; in the units of the garden."""
    plan, books = plan_of(*plot.batches), plot.books(facts)
    told = shortfalls(replace(plot.garden, crops=by_name(plot.crops)), plan, books, day(today))
    low = [sentence for sentence in told if " falls below " in sentence]
    assert len(low) == sum(short.until_on > day(today) for book in books for short in book.shortfalls)
    assert not any("litre" in sentence for sentence in told) or plot.garden.units == "metric"


@given(
    thirsty_crops("cress"), st.integers(0, 80), st.lists(st.tuples(st.integers(-5, 90), numbers(0.1, 200)), max_size=6)
)
@cheap
def test_spells_fill_the_days_in_the_tote(crop: Crop, days: int, harvested: list[tuple[int, float]]) -> None:
    """One after the other without a gap, each with its litres to the last drop, day by day, none below nothing."""
    found = spells(crop, day(0), day(days), [(day(on), grams) for on, grams in harvested])
    assert [spell.from_on for spell in found] == [day(0), *(spell.until_on for spell in found)][: len(found)]
    assert (found[-1].until_on if found else day(0)) == day(days)
    for spell in found:
        by_day = litres_by_day(spell, [12.0] * (spell.until_on - spell.from_on).days)
        assert min(by_day) > 0
        assert abs(sum(by_day) - spell.litres) < 1e-9


@given(thirsty_crops("cress"), st.integers(1, 80))
@cheap
def test_whoever_stands_longer_drinks_more(crop: Crop, days: int) -> None:
    """A plant that is never harvested has drunk more on each day, in all no less than its seedling's share."""
    (short,), (long,) = (spells(crop, day(0), day(many), []) for many in (days, days + 1))
    assert long.litres > short.litres
    earlier, later = (litres_by_day(spell, [12.0] * many) for spell, many in ((short, days), (long, days + 1)))
    assert all(abs(a - b) < 1e-9 for a, b in zip(earlier, later, strict=False))
