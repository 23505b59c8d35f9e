"""Typed values: what each type accepts, and the fault of what it refuses."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, time
from pathlib import Path

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from steadysow.errors import InputFaults
from steadysow.inputs.documents import read_document
from steadysow.inputs.values import FaultList, Value, nearest, read_amount, read_span, suggestion


def value_of(folder: Path, written: str) -> Value:
    """Give the value of a key as it is written on line 2 of a file."""
    path = folder / "values.yaml"
    path.write_text(f"# a comment\nkey: {written}\n", encoding="utf-8")
    document = read_document(path, FaultList())
    assert document is not None
    return document.section("key").values[0]


Getter = Callable[[Value], object]


def number(value: Value) -> float:
    """Ask for a number from 0 to 100."""
    return value.number(least=0, most=100)


def whole(value: Value) -> int:
    """Ask for a whole number from 1 to 156."""
    return value.whole(least=1, most=156)


TAKEN: list[tuple[Getter, str, object]] = [
    (number, "0.7", 0.7),
    (number, "1e2", 100.0),
    (whole, "12", 12),
    (whole, "12.0", 12),
    (Value.share, "70%", 0.7),
    (Value.share, '"70 %"', 0.7),
    (Value.share, "0.7", 0.7),
    (Value.share, "100%", 1.0),
    (Value.day, "2026-10-03", date(2026, 10, 3)),
    (Value.day, '"2026-10-03"', date(2026, 10, 3)),
    (Value.month_day, "05-25", (5, 25)),
    (Value.month_day, '"5-25"', (5, 25)),
    (Value.month_day, "02-29", (2, 29)),
    (Value.clock, "22:00", time(22, 0)),
    (Value.clock, '"07:30"', time(7, 30)),
    (Value.weekdays, "sat", (5,)),
    (Value.weekdays, "[Saturday, wed, sat]", (2, 5)),
    (Value.text, "  two   words ", "two words"),
    (Value.text, "no", "no"),
    (Value.text, "2026-10-03", "2026-10-03"),
]


@pytest.mark.parametrize(("getter", "written", "expected"), TAKEN)
def test_a_value_is_accepted(tmp_path: Path, getter: Getter, written: str, expected: object) -> None:
    """A value is read as the type that is asked for, whatever type YAML itself would give it."""
    value = value_of(tmp_path, written)
    assert getter(value) == expected
    assert not value.faults


REFUSED: list[tuple[Getter, str, str]] = [
    (number, "twelve", '"twelve" is not a number. Write a number from 0 to 100'),
    (number, "true", "is not a number"),
    (number, ".nan", "is not a number"),
    (number, ".inf", "is not a number"),
    (number, "1e999", "too large"),
    (number, "-1", "-1 is too small"),
    (number, "101", "101 is too large"),
    (number, "0,7", "decimals need a point"),
    (number, '"12"', "is text because of its quotes"),
    (number, "[1, 2]", "has several values, but needs one"),
    (whole, "1.5", "1.5 is not a whole number"),
    (whole, "0", "Write a whole number from 1 to 156"),
    (whole, "-3", "-3 is too small"),
    (Value.share, "70", "70 must be above 0 and at most 100%"),
    (Value.share, "170%", "170% must be above 0 and at most 100%"),
    (Value.share, "most", "not a percentage or a share"),
    (Value.day, "2026-02-30", '"2026-02-30" is not a date'),
    (Value.day, "03.10.2026", "year-month-day"),
    (Value.day, "1026-10-03", "is not a date from 2000 to 2100"),
    (Value.month_day, "13-01", "not a day of the year"),
    (Value.month_day, "may", "not a day of the year"),
    (Value.clock, "24:00", "not a time of day"),
    (Value.clock, "1320", "not a time of day"),
    (Value.weekdays, "caturday", "not a day of the week"),
    (Value.weekdays, "t", "not a day of the week"),
    (Value.weekdays, "[]", "is an empty list"),
    (Value.text, '" "', "is empty"),
    (Value.text, "{a: b}", "has several values, but needs one"),
    (Value.text, "x" * 201, "has 201 characters"),
    (Value.items, "x", "is not a list"),
    (Value.entries, "[x]", "has no names with values"),
    (lambda value: value.choice(("dwc", "kratky")), "kratki", 'unknown word "kratki". Did you mean kratky?'),
    (lambda value: value.choice(("dwc", "kratky")), "soil", "Write one of: dwc, kratky"),
    (lambda value: value.pair(least=0, most=9), "[2, 1]", "runs from 2 down to 1"),
    (lambda value: value.pair(least=0, most=9), "[1, 2, 3]", "not a list of two numbers"),
    (lambda value: value.section("holes"), "12", "has no keys"),
    (lambda value: value.section("holes", "litres"), "{hole: 1}", "no such key. Did you mean holes?"),
    (lambda value: value.section("holes", "litres"), "{zzz: 1}", "Write one of: holes, litres"),
    (lambda value: value.section("holes").need("holes"), "{holes: }", "key.holes: is missing"),
]


@pytest.mark.parametrize(("getter", "written", "message"), REFUSED)
def test_a_value_is_refused(tmp_path: Path, getter: Getter, written: str, message: str) -> None:
    """A value of another type or out of range gives one fault with line, field, what is wrong and what to write."""
    value = value_of(tmp_path, written)
    getter(value)
    (fault,) = value.faults
    assert fault.line == 2
    assert fault.field.startswith("key")
    assert message in str(fault)


def test_a_missing_value_is_one_fault(tmp_path: Path) -> None:
    """A missing key gives one fault, however much is asked of its stand-in."""
    section = value_of(tmp_path, "{a: 1}").section("a", "b")
    missing = section.need("b").section("c").need("c")
    missing.text(), missing.whole(least=1, most=2), missing.day(), missing.items(), missing.weekdays(), missing.clock()
    assert [fault.field for fault in section.value.faults] == ["key.b"]


def test_faults_are_raised_sorted_by_line(tmp_path: Path) -> None:
    """All faults are raised at once in the order of the file, not in the order they were found."""
    path = tmp_path / "values.yaml"
    path.write_text("a: x\nb: y\n", encoding="utf-8")
    faults = FaultList()
    document = read_document(path, faults)
    assert document is not None
    section = document.section("a", "b")
    section.need("b").number()
    section.need("a").number()
    with pytest.raises(InputFaults, match="is not a number") as caught:
        faults.raise_if_any()
    assert [fault.line for fault in caught.value.faults] == [1, 2]


def test_no_faults_raise_nothing() -> None:
    """A list without faults raises nothing."""
    faults = FaultList()
    assert len(faults) == 0
    faults.raise_if_any()


@pytest.mark.parametrize(("word", "known"), [("Mizzuna", "mizuna"), ("MIZUNA", "mizuna"), ("quinoa plant", None)])
def test_nearest(word: str, known: str | None) -> None:
    """The nearest known word is found in capitals or not; a word that looks like none has none."""
    assert nearest(word, ("mizuna", "arugula")) == known


@given(st.floats(min_value=-1e6, max_value=1e6))
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None, max_examples=50)
def test_numbers_agree_with_yaml_core_schema(tmp_path: Path, drawn: float) -> None:
    """Every number that Python writes is read back as the same number."""
    assert value_of(tmp_path, repr(drawn)).number() == drawn


@given(
    st.recursive(st.text(max_size=5) | st.integers(), lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner))
)
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None, max_examples=60)
def test_any_data_gives_faults_and_never_another_exception(tmp_path: Path, data: object) -> None:
    """Whatever YAML data a file has, asking for typed values gives values or faults."""
    path = tmp_path / "any.yaml"
    path.write_text(yaml.safe_dump({"key": data}, allow_unicode=True), encoding="utf-8")
    document = read_document(path, FaultList())
    for value in document.section("key").values if document else ():
        for getter in (number, whole, Value.share, Value.day, Value.month_day, Value.clock, Value.weekdays, Value.text):
            getter(value)
        value.section("a").need("a").entries()


@pytest.mark.parametrize(
    ("word", "known", "sentence"),
    [
        ("hols", ("holes", "litres"), "Did you mean holes?"),
        ("lettuce", ("kale", "leaf lettuce", "head lettuce"), "Did you mean leaf lettuce or head lettuce?"),
        ("basil", ("lime basil", "red basil", "thai basil"), "Did you mean lime basil, red basil or thai basil?"),
        ("zzz", ("holes", "litres"), "Write one of: holes, litres"),
        ("", ("holes", "litres"), "Write one of: holes, litres"),
        ("zzz", (), "There is none yet, so add one first"),
    ],
)
def test_suggestions_name_the_words_that_look_alike(word: str, known: tuple[str, ...], sentence: str) -> None:
    """The nearest word is suggested, or all words that contain the one typed; otherwise all words are listed."""
    assert suggestion(word, known) == sentence


@pytest.mark.parametrize(("key", "metric"), [("litres", 3.0), ("gallons", 30.0)])
def test_only_the_us_form_of_an_amount_is_converted(tmp_path: Path, key: str, metric: float) -> None:
    """An amount in litres stays, one in gallons is turned into litres by the function given."""
    value = value_of(tmp_path, f"{{{key}: 3}}").section("litres", "gallons").need(key)
    assert read_amount(value, us_key="gallons", metric_of=lambda gallons: 10 * gallons) == metric


@pytest.mark.parametrize(
    ("written", "span", "faults"),
    [
        ("{}", (None, None), []),
        ("{from: 2026-10-03}", (date(2026, 10, 3), None), []),
        ("{from: 2026-10-03, until: 2026-10-04}", (date(2026, 10, 3), date(2026, 10, 4)), []),
        ("{from: 2026-10-03, until: 2026-10-03}", None, ["2026-10-03 is not after from, 2026-10-03"]),
        ("{from: soon, until: 2026-10-03}", None, ['"soon" is not a date from 2000 to 2100']),
    ],
)
def test_a_span_ends_after_it_begins(
    tmp_path: Path, written: str, span: tuple[date | None, date | None] | None, faults: list[str]
) -> None:
    """Both dates may be left out; the second must be after the first, unless the first is a fault itself."""
    value = value_of(tmp_path, written)
    found = read_span(value.section("from", "until"), "from", "until")
    assert [fault.wrong for fault in value.faults] == faults
    assert span is None or found == span
