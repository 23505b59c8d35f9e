"""The schemas for editors agree with the readers."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, Literal

import pytest
import yaml

from steadysow.inputs.crop_files import shipped_crops_folder
from steadysow.inputs.garden_file import read_garden
from steadysow.inputs.schema import Schema, schema
from steadysow.inputs.values import Section, Value

Keys = frozenset[str]

PLACES = """\
places:
  sill: {window: {faces: south, share: 0.3}, lamp: {ppfd: 150, hours: 14, up_to_dli_mol: 12}, temperature_c: 18}
  yard: {outdoors: {frost_free: [05-25, 09-10], shade: 40%}, temperature_c: {may: 11, jun: 16, jul: 18}}
"""
MORE = """\
away: [{from: 2026-12-19, back_on: 2026-12-28}]
sowing: {every_days: 5}
latitude: 61.2
clouds: {jan: 80%, feb: 1, mar: 1, apr: 0.5, may: 0.5, jun: 0, jul: 0.5, aug: 0.5, sep: 0.6, oct: 1, nov: 1, dec: 1}
seeds: {plain lettuce: {percent: 85, packed_in: 2025}}
nursery: {cells: 40}
tariff: {currency: EUR, per_kwh: 0.22, cheap: {from: "22:00", until: "07:00", per_kwh: 0.11}}
air_pump: {watts: 4}
nutrient: brew
tap_water: {Ca: 40, Mg: 6, ec: 0.4}
recipes:
  brew:
    makes_litres: 10
    steep_hours: 24
    water_to_one: 5
    parts: {worm castings: {grams: 800}, Epsom salt: {grams: 15, spoon_grams: 5}}
  bottle: {parts: {bottle A: {ml_per_litre: 2, grams_per_ml: 1.2, percent: {N: 5, K2O: 4, Ca: 4}}}, note: its label}
change_every_days: 21
unattended_days: 3
stock:
  plain lettuce: {seeds: 40, pack: 200, price: 2.5}
  rockwool cubes: {pieces: 50, pack: 100}
  worm castings: {grams: 3000}
  bottle A: {ml: 500}
  tap water: {pack: 1000, price: 2.2}
stock_counted_on: 2026-10-01
order_days: 5
calendar: {alarm: "08:00", detail: each, color: seagreen, tasks: true}
"""


def everything(garden_text: str) -> str:
    """Give a garden file with every kind of block."""
    return garden_text.replace("places:\n", PLACES) + MORE


def keys_of_schema(node: Any) -> set[Keys]:
    """Give the key sets of all mappings with known keys in a schema."""
    if isinstance(node, list):
        return {keys for item in node for keys in keys_of_schema(item)}
    if not isinstance(node, dict):
        return set()
    own = {frozenset(node["properties"])} if isinstance(node.get("properties"), dict) and "type" in node else set()
    return own | {keys for item in node.values() for keys in keys_of_schema(item)}


@pytest.fixture
def keys_of_readers(monkeypatch: pytest.MonkeyPatch) -> dict[str, set[Keys]]:
    """Record, by kind of file, the key sets that the readers ask for."""
    asked: dict[str, set[Keys]] = {"garden": set(), "crop": set()}
    section = Value.section

    def record(value: Value, *keys: str) -> Section:
        # Shipped recipes are written as in a garden file.
        asked["garden" if value.file.endswith(("garden.yaml", "recipes.yaml")) else "crop"].add(frozenset(keys))
        return section(value, *keys)

    monkeypatch.setattr(Value, "section", record)
    return asked


def test_schema_and_readers_know_the_same_keys(
    folder: Path, garden_text: str, keys_of_readers: dict[str, set[Keys]]
) -> None:
    """The readers and the schema have the same mappings with the same keys.

    The readers ask for other units for each thing in the stock; the schema has one mapping for all of them.
    """
    for units in ("metric", "us"):
        text = f"units: {units}\n{everything(garden_text)}"
        (folder / "garden.yaml").write_text(text, encoding="utf-8")
        read_garden(folder)
    read = keys_of_readers["garden"]
    things = {keys for keys in read if {"pack", "price"} <= keys}
    assert (read - things) | {frozenset[str]().union(*things)} == keys_of_schema(schema("garden"))
    assert keys_of_readers["crop"] == keys_of_schema(schema("crop"))


@pytest.mark.parametrize("kind", ["garden", "crop"])
def test_schema_is_json(kind: Literal["garden", "crop"]) -> None:
    """A schema can be written as JSON, and names its draft."""
    written: Schema = json.loads(json.dumps(schema(kind)))
    assert written == schema(kind)
    assert written["$schema"] == "https://json-schema.org/draft/2020-12/schema"


def test_schema_accepts_what_the_readers_accept(
    garden_text: str, profile: str, cut_profile: str, fruit_profile: str
) -> None:
    """An independent validator accepts a garden, every kind of profile and the shipped profiles."""
    jsonschema = pytest.importorskip("jsonschema")
    shipped = tuple(path.read_text(encoding="utf-8") for path in sorted(shipped_crops_folder().glob("*.yaml")))
    kinds: tuple[tuple[Literal["garden", "crop"], tuple[str, ...]], ...] = (
        ("garden", (everything(garden_text),)),
        ("crop", (profile, cut_profile, fruit_profile, *shipped)),
    )
    for kind, texts in kinds:
        jsonschema.Draft202012Validator.check_schema(schema(kind))
        for text in texts:
            # Editors see JSON: keys are text, and dates stay as written.
            seen = json.loads(json.dumps(yaml.safe_load(text), default=str))
            jsonschema.validate(seen, schema(kind), cls=jsonschema.Draft202012Validator)
