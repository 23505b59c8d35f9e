"""The second opinion as a whole: a legal plan breaks no rule, unknown names are found first, every rule is tried."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from builders import day
from legal_plan import Setting, make_setting
from planted import plan_of
from steadysow.check.verify import HARMLESS, RULES, name_of, verify


def test_a_legal_plan_breaks_no_rule() -> None:
    """The plan made by hand keeps every rule, given as batches or as a plan."""
    setting = make_setting()
    assert setting.breaches() == ()
    plan = plan_of(*setting.batches.values())
    assert verify(setting.garden, plan, today=setting.today, starts_on=setting.starts_on) == ()


@pytest.mark.parametrize(
    ("field", "name", "missing"),
    [("crop", "tulip", "no crop tulip"), ("tote", "Z", "no tote Z"), ("place", "moon", "no place moon")],
)
def test_an_unknown_name_is_the_only_breach(field: str, name: str, missing: str) -> None:
    """A batch to come of an unknown crop, tote or place is a breach by itself; no other rule is asked."""
    setting = make_setting()
    setting.today = day(1)
    setting.alter(1, **{field: name})
    (breach,) = setting.breaches()
    assert (breach.rule, breach.batches, breach.day) == ("names are known", (1,), None)
    assert breach.sentence == f"Batch 1 ({setting.batches[1].crop}) is impossible: the garden has {missing}."


def test_all_unknown_names_of_a_batch_are_listed() -> None:
    """A batch whose crop, tote and place are all unknown is one breach with three reasons."""
    setting = make_setting()
    setting.alter(1, crop="tulip", tote="Z", place="moon")
    (breach,) = setting.breaches()
    assert breach.sentence.endswith("the garden has no crop tulip, no tote Z and no place moon.")


def test_breaches_come_in_the_order_of_the_rules() -> None:
    """Of a plan that breaks three rules, the breaches come as the rules are listed, whatever the order of batches."""
    setting = make_setting()
    setting.alter(1, cells=2, seeds=4)
    setting.alter(5, want="soup")
    setting.alter(6, emerges_on=day(18))
    names = [name_of(rule) for rule in RULES]
    broken = [breach.rule for breach in setting.breaches()]
    assert broken == ["crop serves its want", "cells are enough", "emerges as it grows"]
    assert broken == sorted(broken, key=names.index)


def test_every_rule_has_a_name_of_its_own() -> None:
    """No rule is listed twice, and no two rules share a name."""
    assert len({name_of(rule) for rule in RULES}) == len(RULES)


def test_every_rule_is_tried_at_its_limit() -> None:
    """Each module of rules has a test file beside this one, which fails if a rule of the module goes untried."""
    for module in {rule.__module__.rsplit(".", 1)[1] for rule in RULES}:
        text = Path(__file__).with_name(f"test_{module}.py").read_text(encoding="utf-8")
        assert f'Limits("{module}")' in text
        assert "LIMITS.untried() == set()" in text


def wrong_weight(setting: Setting) -> None:
    setting.alter_harvest(5, 0, grams=160.0)


def wrong_latest_day(setting: Setting) -> None:
    setting.alter_harvest(5, 0, latest_on=day(80))


def wrong_cells(setting: Setting) -> None:
    setting.alter(5, cells=5, seeds=10)


def wrong_seeds(setting: Setting) -> None:
    setting.alter(1, seeds=5)


def wrong_minutes(setting: Setting) -> None:
    setting.alter_garden(chore_minutes_a_week=5.0)


HARMLESS_CHANGES = (wrong_weight, wrong_latest_day, wrong_cells, wrong_seeds, wrong_minutes)


def test_harmless_breaches_stop_nobody() -> None:
    """Wrong grams, a wrong latest day, cells, seeds and minutes are the harmless breaches; a wrong day is none."""
    found = set()
    for change in HARMLESS_CHANGES:
        setting = make_setting()
        change(setting)
        found |= setting.broken()
    assert found == HARMLESS
    setting = make_setting()
    setting.batches[1] = replace(setting.batches[1], transplanted_on=day(15))
    assert setting.broken() - HARMLESS == {"transplanted when ready"}
