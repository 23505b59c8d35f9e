"""Narrowed candidates hold what was chosen or promised, and of the rest only what has begun."""

from __future__ import annotations

from dataclasses import replace

from steadysow.search.candidates import Candidates, Step
from steadysow.search.model import build
from steadysow.search.narrowing import by_tote_like, narrowed, promised_or_like
from steadysow.search.rules_of_thumb import greedy
from steadysow.search.strands import Strand, sowing_of, strands_of
from steadysow.standing.standing import Standing
from tiny import make_crop, make_garden, make_tote, make_want, proposed

from .by_hand import begun_batch
from .solving import best_of

HEAD = make_crop(lid_holes=2, window_days=8)
GARDEN = make_garden([make_tote("A", 2), make_tote("B", 2)], [make_want([HEAD], 3)], weeks=6)
STANDS = Standing(begun=(begun_batch(HEAD, sown=-14, plants=2, planted=-7),), next_id=8)


def proposals() -> tuple[Candidates, Candidates]:
    """Propose round a begun batch, with the two totes together and one by one."""
    together, _ = proposed(GARDEN, [HEAD], STANDS)
    one_by_one, _ = proposed(GARDEN, [HEAD], STANDS, by_tote=True)
    return together, one_by_one


def strand_of(candidates: Candidates, start: int, end: int, *, tote: str = "A", begun: int | None = None) -> Strand:
    """Give a head by its days, sown a week before."""
    step = next(
        step
        for step in candidates.steps
        if (step.from_day, step.to_day, step.begun) == (start, end, begun)
        and tote in candidates.groups[step.group].totes
        and step.number
    )
    return Strand(
        line=step.line,
        group=step.group,
        begun=begun,
        sown_day=start - 7,
        transplant_day=start,
        steps=(step,),
        plants=2,
    )


def new_steps(candidates: Candidates) -> set[tuple[str, int, int]]:
    """Give tote, first and last day of the steps of new plants."""
    steps = (step for step in candidates.steps if step.begun is None)
    return {(candidates.groups[step.group].totes[0], step.from_day, step.to_day) for step in steps}


def begun_steps(candidates: Candidates) -> list[Step]:
    """Give the steps of begun batches."""
    return [step for step in candidates.steps if step.begun is not None]


def test_only_the_chosen_and_the_begun_are_left() -> None:
    """Of new plants the chosen sowing and step are left, of the begun batch all its ways to go on."""
    _, one_by_one = proposals()
    chosen = strand_of(one_by_one, 7, 14)

    few = narrowed(one_by_one, [chosen], chosen.steps)

    assert few.sowings == (sowing_of(chosen),)
    assert new_steps(few) == {("A", 7, 14)}
    assert begun_steps(few) == begun_steps(one_by_one)
    assert replace(few, sowings=one_by_one.sowings, steps=one_by_one.steps) == one_by_one


def test_life_chosen_for_a_group_may_be_lived_in_each_of_its_totes() -> None:
    """What was chosen for two totes together is offered in both, and no other life."""
    together, one_by_one = proposals()
    chosen = strand_of(together, 7, 21)

    few = by_tote_like(one_by_one, [chosen])

    assert few.sowings == (sowing_of(chosen),)
    assert new_steps(few) == {("A", 7, 21), ("B", 7, 21)}


def test_second_program_reaches_what_the_first_chose() -> None:
    """Where the group's plants fit into its totes, the narrowed candidates serve as much as the group did."""
    together, one_by_one = proposals()
    wanted = {("salad", week): 3.0 for week in range(6)}

    def best(candidates: Candidates) -> tuple[float, list[Strand]]:
        model = build(candidates, weeks=6, wanted=wanted, leftovers={})
        reached = best_of(model.program, model.served_share(0, 6))
        return reached.value, list(strands_of(model.columns, reached))

    share, strands = best(together)
    again, _ = best(by_tote_like(one_by_one, strands))

    assert len(by_tote_like(one_by_one, strands).steps) < len(one_by_one.steps)
    assert abs(again - share) < 1e-6


def test_promise_is_kept_in_its_own_tote_only() -> None:
    """A promised life is offered where it was promised; another life in any tote."""
    together, one_by_one = proposals()
    promised = strand_of(one_by_one, 7, 14, tote="A")
    same, other = strand_of(together, 7, 14), strand_of(together, 14, 28)

    offered = promised_or_like(one_by_one, [promised], [same, other])

    assert new_steps(offered) == {("A", 7, 14), ("A", 14, 28), ("B", 14, 28)}
    assert set(offered.sowings) == {sowing_of(promised), sowing_of(other)}


def test_begun_batch_goes_on_as_promised_or_chosen() -> None:
    """A begun batch that was promised to be taken today may be taken a week later only if a plan chose that."""
    together, one_by_one = proposals()
    today = strand_of(one_by_one, -7, 0, begun=0)
    later = strand_of(together, -7, 7, begun=0)

    kept = promised_or_like(one_by_one, [today], [])
    both = promised_or_like(one_by_one, [today], [later])

    assert {(step.number, step.to_day) for step in begun_steps(kept)} == {(1, 0)}
    assert {(step.number, step.to_day) for step in begun_steps(both)} == {(1, 0), (1, 7)}


def test_begun_batch_without_a_promise_goes_on_in_any_way() -> None:
    """Where the promise to a begun batch can no longer be kept, all that can become of it is offered."""
    _, one_by_one = proposals()

    offered = promised_or_like(one_by_one, [strand_of(one_by_one, 7, 14)], [])

    assert begun_steps(offered) == begun_steps(one_by_one)


def test_plan_by_thumb_is_among_what_is_like_it() -> None:
    """Every sowing and step of a plan is among the candidates that are narrowed to it."""
    candidates, task = proposed(GARDEN, [HEAD], STANDS, by_tote=True)
    strands = greedy(candidates, task)

    few = by_tote_like(candidates, strands)

    assert {sowing_of(strand) for strand in strands if strand.begun is None} <= set(few.sowings)
    assert {step for strand in strands for step in strand.steps} <= set(few.steps)
