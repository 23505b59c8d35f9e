"""Typed values of a file that know their line, with all faults collected.

Takes the nodes of a document; gives `Section` and `Value`, which are asked for typed values (`Value.whole`,
`Value.day`, ...).  A wrong value adds a fault to the shared `FaultList` and gives a stand-in, so that reading goes on
and all faults are reported at once.  Scalars are the text as written, so ``22:00``, ``05-25`` and ``no`` stay as typed.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date, time
from typing import Any, Literal, TypeVar

from steadysow.days import EARLIEST_YEAR, LATEST_YEAR
from steadysow.errors import Fault, InputFaults

_NUMBER = re.compile(r"[-+]?(\d+(\.\d*)?|\.\d+)([eE][-+]?\d{1,3})?")
_SHARE = re.compile(r"(\d+(?:\.\d*)?)\s*%")
_DAY = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})")
_MONTH_DAY = re.compile(r"(\d{1,2})-(\d{1,2})")
_CLOCK = re.compile(r"(\d{1,2}):(\d{2})")
_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")

Option = TypeVar("Option", bound=str)


class FaultList:
    """The faults found so far, shared by all the readers of one command."""

    def __init__(self) -> None:
        """Start without faults."""
        self._faults: list[Fault] = []

    def __len__(self) -> int:
        """Count the faults found so far."""
        return len(self._faults)

    def add(self, fault: Fault) -> None:
        """Add a fault."""
        self._faults.append(fault)

    def __iter__(self) -> Iterator[Fault]:
        """Go through the faults found so far."""
        return iter(self._faults)

    def raise_if_any(self) -> None:
        """Raise all faults at once, if there are any.

        Raises
        ------
        InputFaults
            With all faults, sorted by file and line.
        """
        if self._faults:
            raise InputFaults(tuple(sorted(self._faults, key=lambda fault: (fault.file, fault.line or 0))))


@dataclass(frozen=True, slots=True, kw_only=True)
class Scalar:
    """Text as written; ``None`` for nothing or ``null``."""

    text: str | None
    quoted: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Sequence:
    """List items, each with its line."""

    items: tuple[tuple[int, Node], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Mapping:
    """Keys, each with its line and its value."""

    entries: tuple[tuple[str, int, Node], ...]


Node = Scalar | Sequence | Mapping


def nearest(word: str, known: Iterable[str]) -> str | None:
    """Give the known word that looks most like `word`, or ``None`` if none looks like it."""
    by_folded = {name.casefold(): name for name in known}
    close = difflib.get_close_matches(word.casefold(), by_folded, n=1)
    return by_folded[close[0]] if close else None


def suggestion(word: str, known: Iterable[str]) -> str:
    """Suggest what to write instead of an unknown word: the known words that look like it, or else all of them."""
    names = tuple(known)
    holding = [name for name in names if word and word.casefold() in name.casefold().split()]
    if len(holding) > 1:
        return f"Did you mean {', '.join(holding[:-1])} or {holding[-1]}?"
    close = holding[0] if holding else nearest(word, names)
    if close:
        return f"Did you mean {close}?"
    return f"Write one of: {', '.join(names)}" if names else "There is none yet, so add one first"


@dataclass(frozen=True, slots=True, kw_only=True)
class Value:
    """One value of a file.  Asked for a type, it gives a valid value, or adds a fault and gives a stand-in.

    A stand-in only lets reading go on.  What is built from it is never used, since `FaultList.raise_if_any` raises.

    Attributes
    ----------
    file, line
        Where it stands.
    field, name
        The dotted path of the value, and the last part of the path.
    node
        What is written, or ``None`` for a missing value, which gives stand-ins without further faults.
    faults
        Where faults are added.
    """

    file: str
    line: int
    field: str
    name: str
    node: Node | None
    faults: FaultList

    def fault(self, wrong: str, write: str) -> None:
        """Add a fault about this value, unless it is missing."""
        if self.node is not None:
            self.faults.add(Fault(file=self.file, line=self.line, field=self.field, wrong=wrong, write=write))

    @property
    def is_sound(self) -> bool:
        """Whether it is there and has no fault, neither itself nor anything below it."""
        below = f"{self.field}." if self.field else ""
        return self.node is not None and not any(
            fault.file == self.file and (fault.field == self.field or fault.field.startswith(below))
            for fault in self.faults
        )

    @property
    def is_empty(self) -> bool:
        """Whether nothing or ``null`` is written."""
        return isinstance(self.node, Scalar) and self.node.text is None

    def says(self, word: str) -> bool:
        """Whether exactly this word is written."""
        return isinstance(self.node, Scalar) and self.node.text == word

    @property
    def is_list(self) -> bool:
        """Whether it is a list."""
        return isinstance(self.node, Sequence)

    @property
    def is_mapping(self) -> bool:
        """Whether it has keys of its own."""
        return isinstance(self.node, Mapping)

    def _scalar(self, write: str) -> str | None:
        """Give the text on one line, or add a fault if there are several values or none."""
        text = " ".join((self.node.text or "").split()) if isinstance(self.node, Scalar) else ""
        if text:
            return text
        if self.is_list or self.is_mapping:
            self.fault("has several values, but needs one", write)
        else:
            self.fault("is empty", write)
        return None

    def text(self, *, longest: int = 200) -> str:
        """Give one line of text, with runs of white space as one space."""
        text = self._scalar("Write some text") or ""
        if len(text) > longest:
            self.fault(f"has {len(text)} characters", f"Write at most {longest}")
        return text

    def choice(self, options: tuple[Option, ...]) -> Option:
        """Give one of the options."""
        text = self._scalar(f"Write one of: {', '.join(options)}")
        chosen = next((option for option in options if text and option == text.casefold()), None)
        if text is not None and chosen is None:
            self.fault(f'unknown word "{_brief(text)}"', suggestion(text, options))
        return chosen or options[0]

    def number(self, *, least: float | None = None, most: float | None = None, above: float | None = None) -> float:
        """Give a number from `least` to `most`, both included, and greater than `above`."""
        return self._number("a number", least=least, most=most, above=above)

    def whole(self, *, least: int, most: int) -> int:
        """Give a whole number from `least` to `most`, both included."""
        number = self._number("a whole number", least=least, most=most)
        if not number.is_integer():
            self.fault(f"{number:g} is not a whole number", f"Write a whole number from {least} to {most}")
            return least
        return int(number)

    def _number(
        self, kind: str, *, least: float | None = None, most: float | None = None, above: float | None = None
    ) -> float:
        write = f"Write {kind}{_range_text(least=least, most=most, above=above)}"
        stand_in = next((bound for bound in (least, most, above) if bound is not None), 1.0)
        text = self._scalar(write)
        if text is None:
            return float(stand_in)
        if not _NUMBER.fullmatch(text):
            comma = " (decimals need a point)" if _NUMBER.fullmatch(text.replace(",", ".", 1)) else ""
            self.fault(f'"{_brief(text)}" is not a number', write + comma)
            return float(stand_in)
        if isinstance(self.node, Scalar) and self.node.quoted:
            self.fault(f'"{_brief(text)}" is text because of its quotes', write + ", without quotes")
            return float(stand_in)
        number = float(text)
        too_small = (least is not None and number < least) or (above is not None and number <= above)
        too_large = number > (float("1e300") if most is None else most)
        if too_small or too_large:
            self.fault(f"{text} is too {'small' if too_small else 'large'}", write)
            return float(stand_in)
        return number

    def pair(self, *, least: float, most: float) -> tuple[float, float]:
        """Give the two ends of a range, the smaller one first."""
        first, second = self.two_numbers(least=least, most=most)
        if first > second:
            self.fault(f"the range runs from {first:g} down to {second:g}", "Write the smaller number first")
        return first, second

    def two_numbers(
        self, *, least: float | None = None, most: float, above: float | None = None
    ) -> tuple[float, float]:
        """Give two numbers in any order."""
        items = self.items() if self.is_list else ()
        if len(items) != 2:
            self.fault("is not a list of two numbers", "Write two numbers, such as [1, 2]")
            stand_in = most if least is None else least
            return stand_in, stand_in
        first, second = (item.number(least=least, most=most, above=above) for item in items)
        return first, second

    def share(self, *, from_zero: bool = False) -> float:
        """Give a share above 0, or from 0 on, up to 1, written as ``70%`` or ``0.7``."""
        write = "Write a percentage such as 70%, or a share such as 0.7"
        text = self._scalar(write)
        if text is None:
            return 1.0
        percent = _SHARE.fullmatch(text)
        share = float(percent[1]) / 100 if percent else float(text) if _NUMBER.fullmatch(text) else None
        if share is None:
            self.fault(f'"{_brief(text)}" is not a percentage or a share', write)
        elif share > 1 or share < 0 or (share == 0 and not from_zero):
            low = "at least" if from_zero else "above"
            self.fault(f"{text} must be {low} 0 and at most 100%", write)
        else:
            return share
        return 1.0

    def percent(self) -> float:
        """Give a percentage from 1 to 100, written as ``85`` or ``85%``."""
        write = "Write a percentage from 1 to 100, such as 85"
        text = self._scalar(write)
        if text is None:
            return 100.0
        bare = text.removesuffix("%").rstrip()
        number = float(bare) if _NUMBER.fullmatch(bare) else None
        if number is None:
            self.fault(f'"{_brief(text)}" is not a percentage', write)
        elif not 1 <= number <= 100:
            self.fault(f"{text} is too {'small' if number < 1 else 'large'}", write)
        else:
            return number
        return 100.0

    def day(self) -> date:
        """Give a date, written as ``2026-10-03``."""
        write = "Write the date as year-month-day, such as 2026-10-03"
        text = self._scalar(write)
        written = _DAY.fullmatch(text) if text else None
        try:
            if written and EARLIEST_YEAR <= int(written[1]) <= LATEST_YEAR:
                return date(int(written[1]), int(written[2]), int(written[3]))
        except ValueError:
            pass
        if text is not None:
            self.fault(f'"{_brief(text)}" is not a date from {EARLIEST_YEAR} to {LATEST_YEAR}', write)
        return date(LATEST_YEAR, 1, 1)

    def month_day(self) -> tuple[int, int]:
        """Give a month and a day, written as ``05-25``."""
        write = "Write month-day, such as 05-25"
        text = self._scalar(write)
        written = _MONTH_DAY.fullmatch(text) if text else None
        try:
            if written:
                # A leap year, so that the 29th of February is a day.
                day = date(2024, int(written[1]), int(written[2]))
                return day.month, day.day
        except ValueError:
            pass
        if text is not None:
            self.fault(f'"{_brief(text)}" is not a day of the year', write)
        return 1, 1

    def clock(self) -> time:
        """Give a time of day, written as ``22:00``."""
        write = 'Write hours and minutes, such as "22:00"'
        text = self._scalar(write)
        written = _CLOCK.fullmatch(text) if text else None
        if written and int(written[1]) < 24 and int(written[2]) < 60:
            return time(int(written[1]), int(written[2]))
        if text is not None:
            self.fault(f'"{_brief(text)}" is not a time of day', write)
        return time(0)

    def weekdays(self) -> tuple[int, ...]:
        """Give weekdays, Monday 0 to Sunday 6, rising; written as one day or a list of days."""
        days = {item._weekday() for item in self.one_or_more()}
        return tuple(sorted(days))

    def _weekday(self) -> int:
        write = "Write a day of the week, such as sat"
        text = self._scalar(write)
        if text is None:
            return 0
        word = text.casefold()
        for number, name in enumerate(_WEEKDAYS):
            if len(word) >= 3 and name.startswith(word):
                return number
        self.fault(f'"{_brief(text)}" is not a day of the week', write)
        return 0

    def items(self, *, may_be_empty: bool = False) -> tuple[Value, ...]:
        """Give the items of a list."""
        if not isinstance(self.node, Sequence):
            self.fault("is not a list", "Write a list, such as [one, another]")
            return ()
        if not self.node.items and not may_be_empty:
            self.fault("is an empty list", "Write at least one item")
        return tuple(
            self._child(line, str(number), node) for number, (line, node) in enumerate(self.node.items, start=1)
        )

    def one_or_more(self) -> tuple[Value, ...]:
        """Give the items of a list, or the value itself if it is not a list."""
        return self.items() if self.is_list else (self,)

    def entries(self) -> tuple[Value, ...]:
        """Give the values of a mapping whose keys are a person's own names; there must be at least one."""
        if isinstance(self.node, Mapping) and self.node.entries:
            return tuple(self._child(line, key, node) for key, line, node in self.node.entries)
        self.fault("is empty" if self.is_mapping or self.is_empty else "has no names with values", "Write name: values")
        return ()

    def section(self, *keys: str) -> Section:
        """Give a mapping with known keys; any other key is a fault."""
        if not isinstance(self.node, Mapping):
            self.fault("is empty" if self.is_empty else "has no keys", f"Write some of the keys: {', '.join(keys)}")
            return Section(value=self, keys=keys, values=(), sound=False)
        values = tuple(self._child(line, key, node) for key, line, node in self.node.entries)
        for value in values:
            if value.name not in keys:
                value.fault("there is no such key", suggestion(value.name, keys))
        return Section(value=self, keys=keys, values=values, sound=True)

    def key(self) -> Value:
        """Give the name of this value as a value, so that a name can be read as a number or a known word."""
        node = Scalar(text=self.name, quoted=False)
        return Value(file=self.file, line=self.line, field=self.field, name=self.name, node=node, faults=self.faults)

    def holds(self, path: str) -> bool:
        """Say whether a dotted path leads to something below this value; any path below a list does."""
        if not path or self.is_list:
            return True
        if not isinstance(self.node, Mapping):
            return False
        return any(
            path == key or (path.startswith(f"{key}.") and self._child(line, key, node).holds(path[len(key) + 1 :]))
            for key, line, node in self.node.entries
        )

    def plain(self) -> Any:
        """Give what is written as numbers, text, lists and mappings; keys may be numbers too.

        Text in quotes stays text. Nothing and ``null`` are ``None``.
        """
        return _plain(self.node)

    def _child(self, line: int, name: str, node: Node) -> Value:
        field = f"{self.field}.{name}" if self.field else name
        return Value(file=self.file, line=line, field=field, name=name, node=node, faults=self.faults)


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A mapping with known keys; `sound` is false if it stands in for something that is not a mapping."""

    value: Value
    keys: tuple[str, ...]
    values: tuple[Value, ...]
    sound: bool

    def find(self, key: str) -> Value | None:
        """Give the value of an optional key; ``None`` if it is left out, empty or ``null``."""
        assert key in self.keys, key
        return next((value for value in self.values if value.name == key and not value.is_empty), None)

    def need(self, key: str) -> Value:
        """Give the value of a key that must be there; without it, add a fault."""
        found = self.find(key)
        if found is None and self.sound:
            path = f"{self.value.field}.{key}" if self.value.field else key
            line = next((value.line for value in self.values if value.name == key), self.value.line)
            fault = Fault(file=self.value.file, line=line, field=path, wrong="is missing", write=f'Add "{key}: ..."')
            self.value.faults.add(fault)
        missing = Value(file=self.value.file, line=0, field="", name=key, node=None, faults=self.value.faults)
        return found or missing


def find_measure(section: Section, *, metric_key: str, us_key: str, units: Literal["metric", "us"]) -> Value | None:
    """Give the value of a key that has a metric and a US form; the US form is allowed only with ``units: us``."""
    metric, us = section.find(metric_key), section.find(us_key)
    if us and units == "metric":
        us.fault("is allowed only with units: us", f'Write {metric_key}, or add "units: us" at the top')
    elif us and metric:
        us.fault(f"says the same as {metric_key}", "Keep one of the two")
    return us or metric


def read_amount(value: Value, *, us_key: str, metric_of: Callable[[float], float]) -> float:
    """Give an amount above 0 in metric units.

    Parameters
    ----------
    value
        The value of a metric key or of its US form.
    us_key
        The US form of the key.
    metric_of
        Turns an amount in US units into metric ones.
    """
    amount = value.number(above=0, most=100_000)
    return metric_of(amount) if value.name == us_key else amount


def read_span(section: Section, first_key: str, last_key: str) -> tuple[date | None, date | None]:
    """Give two dates, each of which may be left out; the second must be after the first."""
    first, last = section.find(first_key), section.find(last_key)
    first_on, last_on = first.day() if first else None, last.day() if last else None
    if first and last and first.is_sound and last.is_sound and last.day() <= first.day():
        last.fault(f"{last_on} is not after {first_key}, {first_on}", "Write a later date")
    return first_on, last_on


def _plain(node: Node | None) -> Any:
    """Give a node as plain values."""
    if isinstance(node, Mapping):
        return {_number_or_text(key): _plain(inner) for key, _, inner in node.entries}
    if isinstance(node, Sequence):
        return [_plain(inner) for _, inner in node.items]
    if node is None or node.text is None:
        return None
    return " ".join(node.text.split()) if node.quoted else _number_or_text(node.text)


def _number_or_text(written: str) -> int | float | str:
    """Give a number if one is written, and otherwise the text with runs of white space as one space."""
    text = " ".join(written.split())
    if not _NUMBER.fullmatch(text):
        return text
    return int(text) if text.lstrip("+-").isdigit() else float(text)


def _brief(text: str) -> str:
    """Shorten text for a message."""
    return text if len(text) <= 40 else f"{text[:37]}..."


def _range_text(*, least: float | None, most: float | None, above: float | None) -> str:
    """Say a range in words, with a leading space."""
    if least is not None and most is not None:
        return f" from {least:g} to {most:g}"
    low = f" of at least {least:g}" if least is not None else f" above {above:g}" if above is not None else ""
    high = f" and at most {most:g}" if low and most is not None else f" of at most {most:g}" if most is not None else ""
    return low + high
