"""The program with all its rules: each is applied in its turn and gets what it takes; wants weigh by importance."""

from __future__ import annotations

from dataclasses import replace

import pytest

from steadysow.search import model as program_room
from steadysow.search.columns import Columns
from steadysow.search.model import Model, build
from steadysow.search.rules import RULES, Rule, Seedlings, Waiting
from steadysow.standing.standing import Standing
from tiny import make_crop, make_garden, make_tote, make_want, proposed

from .by_hand import begun_batch
from .solving import best_of

HEAD = make_crop(lid_holes=2)


def built(*, standing: Standing = Standing(), minutes: float | None = None) -> Model:  # noqa: B008
    """Build the program of one tote for two weeks in reach."""
    garden = make_garden([make_tote("A", 2)], [make_want([HEAD], 2)], weeks=4, chore_minutes_a_week=minutes)
    candidates, task = proposed(garden, [HEAD], standing)
    return build(candidates, weeks=task.weeks, wanted=task.wanted, leftovers={})


def test_every_rule_of_the_list_is_applied_in_its_turn(monkeypatch: pytest.MonkeyPatch) -> None:
    """A rule takes effect by its line in the list alone: a new one that forbids to plant leaves nothing to serve."""
    order: list[str] = []

    def watched(rule: Rule) -> Rule:
        def add(*given: object) -> object:
            order.append(rule.add.__name__)
            return rule.add(*given)

        return replace(rule, add=add)

    def nothing_is_planted(columns: Columns) -> None:
        columns.program.row(dict.fromkeys(columns.steps, 1.0), most=0)

    monkeypatch.setattr(program_room, "RULES", (*map(watched, RULES), Rule(nothing_is_planted)))
    model = built()

    assert order == [rule.add.__name__ for rule in RULES]
    assert best_of(model.program, model.served_share(0, 4)).value == pytest.approx(0.0)


def test_rule_gets_what_an_earlier_one_returned(monkeypatch: pytest.MonkeyPatch) -> None:
    """What a rule takes is the value that the rule before it returned, and the model holds the same."""
    waiting, seedlings = Waiting(choices={(0, 0, 0): 5}), Seedlings(cells={})
    taken: list[object] = []

    def gives_waiting(_columns: Columns) -> Waiting:
        return waiting

    def gives_seedlings(_columns: Columns, given: Waiting) -> Seedlings:
        taken.append(given)
        return seedlings

    first = (Rule(gives_waiting), Rule(gives_seedlings, takes=(Waiting,)))
    others = tuple(
        rule for rule in RULES if Waiting not in rule.takes and rule.add.__name__ != "begun_batches_are_facts"
    )
    work = next(rule for rule in RULES if rule.add.__name__ == "a_week_has_only_so_many_minutes")
    monkeypatch.setattr(program_room, "RULES", (*first, work, *others))
    model = built()

    assert taken == [waiting]
    assert (model.waiting, model.seedlings) == (waiting, seedlings)


def test_rule_before_what_it_takes_is_an_error(monkeypatch: pytest.MonkeyPatch) -> None:
    """A list in a wrong order is noticed at once, not by a plan that is wrong."""
    monkeypatch.setattr(program_room, "RULES", tuple(reversed(RULES)))

    with pytest.raises(KeyError, match="Waiting"):
        built()


def test_model_names_the_columns_that_rules_added() -> None:
    """One waiting batch has a choice for each day and group, each sowing its cells, each week its minutes."""
    waits = begun_batch(HEAD, sown=-7, plants=1)
    model = built(standing=Standing(begun=(waits,), next_id=8), minutes=30.0)

    assert set(model.waiting.choices) == {(0, 0, 0)}
    assert set(model.seedlings.cells) == set(model.columns.candidates.sowings)
    assert set(model.work.minutes) == {0, 1, 2, 3}
    assert set(model.eating.served) == set(model.columns.wanted)


def test_without_a_limit_no_minutes_are_counted() -> None:
    """Where the week's minutes are not limited there are no terms for them."""
    assert (built().work.minutes, built().work.overfull) == ({}, ())


def test_share_weighs_wants_by_their_importance() -> None:
    """All that is wanted is a share of 1; a want three times as important weighs three quarters."""
    mizuna = make_crop("mizuna", lid_holes=2)
    wants = [make_want([HEAD], 2), make_want([mizuna], 4, name="pan", importance=3.0)]
    candidates, task = proposed(make_garden([make_tote("A", 2)], wants, weeks=4), [HEAD, mizuna])
    model = build(candidates, weeks=4, wanted=task.wanted, leftovers={})

    share = model.served_share(0, 4)

    served = model.eating.served
    of_want = {
        want: sum(share[column] * task.wanted[key] for key, column in served.items() if key[0] == want)
        for want in ("salad", "pan")
    }
    assert of_want == pytest.approx({"salad": 0.25, "pan": 0.75})


def test_share_of_some_weeks_leaves_out_the_others() -> None:
    """The share up to a week, and from it on, are each 1 for all that is wanted in their weeks."""
    model = built()
    before, after = model.served_share(0, 3), model.served_share(3, float("inf"))

    assert {key[1] for key, column in model.eating.served.items() if column in before} == {2}
    assert {key[1] for key, column in model.eating.served.items() if column in after} == {3}
    assert sum(before.values()) * 2 == pytest.approx(1.0)
    assert sum(after.values()) * 2 == pytest.approx(1.0)


def test_weeks_that_want_nothing_have_no_share() -> None:
    """Where nothing is wanted, there are no terms."""
    assert built().served_share(10, 20) == {}
