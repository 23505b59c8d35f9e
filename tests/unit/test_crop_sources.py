"""Every figure of a shipped profile says where it comes from, and how far that was checked."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml

from steadysow.inputs.crops import shipped_crops_folder

PROFILES = sorted(shipped_crops_folder().glob("*.yaml"))
MARKS = ("(seen)", "(seen second-hand)", "(from memory)", "(computed)", "common practice, no source")

each_profile = pytest.mark.parametrize("path", PROFILES, ids=lambda path: path.stem)


def load(path: Path) -> dict[str, Any]:
    """Give a profile as plain values, sources and all."""
    profile: dict[str, Any] = yaml.safe_load(path.read_text(encoding="utf-8"))
    return profile


def figures(value: object, path: str = "") -> Iterator[str]:
    """Give the dotted path of every number; the items of a list share the path of the list."""
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from figures(inner, f"{path}.{key}" if path else str(key))
    elif isinstance(value, list):
        for inner in value:
            yield from figures(inner, path)
    elif isinstance(value, int | float):
        yield path


def covers(source: str, figure: str) -> bool:
    """Say whether a key of `sources` speaks for a figure: its own path, or a block it is in."""
    return figure == source or figure.startswith(f"{source}.")


def names_a_field(profile: dict[str, Any], source: str) -> bool:
    """Say whether a key of `sources` is the path of something in the profile."""
    value: Any = profile
    for key in source.split("."):
        if not isinstance(value, dict) or key not in value:
            return False
        value = value[key]
    return True


def test_there_are_profiles() -> None:
    """The folder is found, so that the tests below check something."""
    assert len(PROFILES) >= 12


@each_profile
def test_every_figure_has_a_source(path: Path) -> None:
    """No number stands in a profile without a source or a reasoned estimate."""
    profile = load(path)
    sources = profile.pop("sources")
    assert [figure for figure in figures(profile) if not any(covers(source, figure) for source in sources)] == []


@each_profile
def test_every_source_is_of_a_field(path: Path) -> None:
    """No source is left over from a field that is not there."""
    profile = load(path)
    assert [source for source in profile["sources"] if not names_a_field(profile, source)] == []


@each_profile
def test_every_source_is_marked(path: Path) -> None:
    """A source says how far it was checked, and an estimate says why."""
    for field, source in load(path)["sources"].items():
        if isinstance(source, dict):
            assert list(source) == ["estimate"], field
            assert source["estimate"].strip(), field
        else:
            assert any(mark in source for mark in MARKS), field


@each_profile
def test_a_profile_lies_in_the_file_of_its_name(path: Path) -> None:
    """A crop is found by its name: the file's is the same, with dashes."""
    assert path.stem == load(path)["name"].replace(" ", "-")
