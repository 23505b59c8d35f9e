"""A tariff is read in every way to write it, and every fault has its line."""

from __future__ import annotations

import json
import zoneinfo
from collections.abc import Callable
from datetime import time
from pathlib import Path

import pytest
import yaml

from steadysow.errors import Fault
from steadysow.inputs.garden_file import read_garden
from steadysow.inputs.schema import schema
from steadysow.inputs.tariff import CheapHours, Tariff

FaultsOf = Callable[[str], tuple[Fault, ...]]

NIGHT = '{from: "22:00", until: "07:00", per_kwh: 0.11}'
HOURLY = [0.3, 0.29, -0.02, *[0.01 * hour for hour in range(3, 24)]]


@pytest.fixture
def tariff_of(folder: Path, garden_text: str) -> Callable[[str], Tariff]:
    """Give a function that reads a tariff."""

    def read(tariff: str) -> Tariff:
        (folder / "garden.yaml").write_text(f"{garden_text}tariff: {tariff}\n", encoding="utf-8")
        read_tariff = read_garden(folder).tariff
        assert read_tariff is not None
        return read_tariff

    return read


def test_one_price(tariff_of: Callable[[str], Tariff]) -> None:
    """One price holds in every minute, and clocks do not change."""
    tariff = tariff_of("{currency: EUR, per_kwh: 0.22}")
    assert tariff == Tariff(currency="EUR", per_kwh=0.22)
    assert (set(tariff.by_minute), len(tariff.by_minute)) == ({0.22}, 1440)
    assert tariff.is_flat


def test_one_span_over_midnight(tariff_of: Callable[[str], Tariff]) -> None:
    """Power is cheap from 22:00 to 7:00, before and after midnight; 22:00 is in the span and 7:00 is not."""
    tariff = tariff_of(f"{{currency: EUR, per_kwh: 0.22, cheap: {NIGHT}, zone: Europe/Helsinki}}")
    assert tariff.zone == "Europe/Helsinki"
    cheap = {minute for minute, price in enumerate(tariff.by_minute) if price == 0.11}
    assert cheap == {*range(22 * 60, 24 * 60), *range(7 * 60)}
    assert {price for minute, price in enumerate(tariff.by_minute) if minute not in cheap} == {0.22}
    assert not tariff.is_flat


def test_spans_in_a_list(tariff_of: Callable[[str], Tariff]) -> None:
    """Each span has its own price, and one may begin when another ends."""
    tariff = tariff_of(
        '{currency: EUR, per_kwh: 0.30, cheap: [{from: "01:00", until: "06:00", per_kwh: 0.1},'
        ' {from: "06:00", until: "06:30", per_kwh: 0.2}]}'
    )
    assert tariff.cheap == (
        CheapHours(from_clock=time(1), until_clock=time(6), per_kwh=0.1),
        CheapHours(from_clock=time(6), until_clock=time(6, 30), per_kwh=0.2),
    )
    prices = tariff.by_minute
    assert (prices[59], prices[60], prices[359], prices[360], prices[389], prices[390]) == (
        0.3,
        0.1,
        0.1,
        0.2,
        0.2,
        0.3,
    )


def test_a_price_for_each_hour(tariff_of: Callable[[str], Tariff]) -> None:
    """Twenty-four prices from midnight on are read, also below zero."""
    tariff = tariff_of(f"{{currency: EUR, by_hour: {HOURLY}}}")
    assert tariff == Tariff(currency="EUR", by_hour=tuple(HOURLY))
    assert [tariff.by_minute[60 * hour] for hour in range(24)] == HOURLY
    assert tariff.by_minute[179] == -0.02


def test_pump_is_optional(folder: Path, garden_text: str) -> None:
    """A garden without a pump has no watts for it; one with a pump has the pump's."""
    (folder / "garden.yaml").write_text(garden_text, encoding="utf-8")
    assert read_garden(folder).air_pump_watts is None
    (folder / "garden.yaml").write_text(f"{garden_text}air_pump: {{watts: 2.5}}\n", encoding="utf-8")
    assert read_garden(folder).air_pump_watts == 2.5


WRONG = {
    "spans overlap": (
        f'per_kwh: 0.2, cheap: [{NIGHT}, {{from: "12:00", until: "13:00", per_kwh: 0}},'
        ' {from: "12:59", until: "14:00", per_kwh: 0}]',
        "tariff.cheap.3",
        "overlaps with 12:00 to 13:00. End one span when the other begins",
    ),
    "spans overlap over midnight": (
        f'per_kwh: 0.2, cheap: [{NIGHT}, {{from: "06:59", until: "08:00", per_kwh: 0}}]',
        "tariff.cheap.2",
        "overlaps with 22:00 to 07:00",
    ),
    "two nights overlap": (
        f'per_kwh: 0.2, cheap: [{NIGHT}, {{from: "23:00", until: "01:00", per_kwh: 0}}]',
        "tariff.cheap.2",
        "overlaps with 22:00 to 07:00",
    ),
    "an empty span": (
        'per_kwh: 0.2, cheap: {from: "07:00", until: "07:00", per_kwh: 0}',
        "tariff.cheap",
        "begins and ends at 07:00. Write two different times",
    ),
    "a span without an end": (
        'per_kwh: 0.2, cheap: [{from: "07:00", per_kwh: 0}]', "tariff.cheap.1.until", "is missing"
    ),
    "no spans": ("per_kwh: 0.2, cheap: []", "tariff.cheap", "is an empty list"),
    "23 prices": (f"by_hour: {HOURLY[1:]}", "tariff.by_hour", "has 23 prices. Write 24 prices"),
    "25 prices": (f"by_hour: {[*HOURLY, 0]}", "tariff.by_hour", "has 25 prices. Write 24 prices"),
    "one price for each hour": ("by_hour: 0.2", "tariff.by_hour", "is not a list"),
    "a wrong price for an hour": (
        f"by_hour: {HOURLY}".replace("[0.3", "[cheap"), "tariff.by_hour.1", '"cheap" is not a number'
    ),
    "one price and 24": (
        f"per_kwh: 0.2, by_hour: {HOURLY}", "tariff.by_hour", "cannot be combined with per_kwh. Write one price"
    ),
    "spans and 24 prices": (f"cheap: {NIGHT}, by_hour: {HOURLY}", "tariff.by_hour", "cannot be combined with cheap"),
    "no price": (f"cheap: {NIGHT}", "tariff.per_kwh", "is missing"),
    "far below zero": ("per_kwh: -11", "tariff.per_kwh", "-11 is too small"),
    "unknown key": ("per_kwh: 0.2, by_hours: 3", "tariff.by_hours", 'there is no such key. Did you mean by_hour?'),
    "unknown key of a span": (
        'per_kwh: 0.2, cheap: {from: "07:00", until: "08:00", per_kwh: 0, per_kw: 0}',
        "tariff.cheap.per_kw",
        'there is no such key. Did you mean per_kwh?',
    ),
    "a city": ("per_kwh: 0.2, zone: Helsinki", "tariff.zone", 'no time zone "Helsinki". Did you mean Europe/Helsinki?'),
    "nowhere": ("per_kwh: 0.2, zone: xyzzy", "tariff.zone", 'no time zone "xyzzy". Write an IANA name such as'),
    "a continent": ("per_kwh: 0.2, zone: Europe", "tariff.zone", 'no time zone "Europe"'),
    "a way out": ("per_kwh: 0.2, zone: ../passwd", "tariff.zone", 'no time zone "../passwd"'),
}  # fmt: skip


@pytest.mark.parametrize(("tariff", "field", "message"), WRONG.values(), ids=WRONG)
def test_faults_of_a_tariff(faults_of: FaultsOf, garden_text: str, tariff: str, field: str, message: str) -> None:
    """Each mistake gives one fault with its line, its field, what is wrong and what to write."""
    (fault,) = faults_of(f"{garden_text}tariff: {{currency: EUR, {tariff}}}\n")
    assert (fault.file.rsplit("/", 1)[-1], fault.line, fault.field) == ("garden.yaml", 12, field)
    assert message in f"{fault.wrong}. {fault.write}"


def test_all_faults_of_a_tariff_are_reported_at_once(faults_of: FaultsOf, garden_text: str) -> None:
    """Five mistakes give five faults."""
    tariff = f"tariff: {{per_kwh: dear, zone: Atlantis, cheap: [{NIGHT}, {NIGHT}]}}\nair_pump: {{}}\n"
    fields = {fault.field for fault in faults_of(garden_text + tariff)}
    assert fields == {"tariff.currency", "tariff.per_kwh", "tariff.zone", "tariff.cheap.2", "air_pump.watts"}


def test_a_machine_without_zones_says_so(
    faults_of: FaultsOf, garden_text: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On a machine without time zones the fault says so, and does not blame the name."""

    def no_zones(_name: str) -> None:
        raise zoneinfo.ZoneInfoNotFoundError

    monkeypatch.setattr(zoneinfo, "ZoneInfo", no_zones)
    monkeypatch.setattr(zoneinfo, "available_timezones", set)
    (fault,) = faults_of(f"{garden_text}tariff: {{currency: EUR, per_kwh: 1, zone: Europe/Helsinki}}\n")
    assert "this machine has no time zones" in fault.wrong
    assert "leave zone out" in fault.write


def test_a_lamp_brighter_than_full_is_a_fault(faults_of: FaultsOf, garden_text: str) -> None:
    """A lamp cannot be turned to 140 % of its light."""
    (fault,) = faults_of(garden_text.replace("hours: 14}", "hours: 14, brightness: 140%}"))
    assert (fault.line, fault.field) == (4, "places.shelf.lamp.brightness")
    assert "140% must be above 0 and at most 100%" in fault.wrong


@pytest.mark.parametrize("watts", ["0", "-3", "30000", "four"])
def test_faults_of_the_pump(faults_of: FaultsOf, garden_text: str, watts: str) -> None:
    """A pump with no power, negative power or far too much power is a fault."""
    (fault,) = faults_of(f"{garden_text}air_pump: {{watts: {watts}}}\n")
    assert (fault.line, fault.field) == (12, "air_pump.watts")


@pytest.mark.parametrize(
    "tariff",
    [f"per_kwh: 0.2, cheap: {NIGHT}, zone: Europe/Helsinki", f"per_kwh: 1, cheap: [{NIGHT}]", f"by_hour: {HOURLY}"],
)
def test_schema_takes_every_kind_of_tariff(garden_text: str, tariff: str) -> None:
    """An independent validator accepts every way to write a tariff by the schema for editors."""
    jsonschema = pytest.importorskip("jsonschema")
    seen = json.loads(json.dumps(yaml.safe_load(f"{garden_text}tariff: {{currency: EUR, {tariff}}}\n"), default=str))
    jsonschema.validate(seen, schema("garden"), cls=jsonschema.Draft202012Validator)
