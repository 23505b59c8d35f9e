"""The docs keep up with the code: every command, key and module is named in them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Literal

import pytest

from steadysow import cli
from steadysow.inputs.schema import schema

TOP = Path(__file__).parents[1]
DOCS = ("README.md", "DEVELOPERS.md", "crops/README.md")
MODULES = sorted(
    path.relative_to(TOP / "src" / "steadysow").as_posix() for path in (TOP / "src" / "steadysow").rglob("*.py")
)


def text_of(*names: str) -> str:
    """Give the text of docs."""
    return "\n".join((TOP / name).read_text(encoding="utf-8") for name in names)


def commands() -> list[str]:
    """Give the names of all commands."""
    names = [command.name or getattr(command.callback, "__name__", "") for command in cli.app.registered_commands]
    assert len(names) >= 8
    return names


def keys_of(part: Any) -> Iterator[str]:
    """Give every key a person may write, from a JSON Schema."""
    if isinstance(part, dict):
        properties = part.get("properties")
        yield from properties if isinstance(properties, dict) else ()
        for value in part.values():
            yield from keys_of(value)
    elif isinstance(part, list):
        for item in part:
            yield from keys_of(item)


def keys(kind: Literal["garden", "crop"]) -> list[str]:
    """Give the keys of a kind of file, each once."""
    return sorted(set(keys_of(schema(kind))))


@pytest.mark.parametrize("command", commands())
def test_every_command_is_in_the_readme(command: str) -> None:
    """A command that README.md does not name might as well not be there."""
    assert re.search(rf"steadysow {command}\b", text_of("README.md"))


@pytest.mark.parametrize("key", keys("garden"))
def test_every_garden_key_is_in_the_docs(key: str) -> None:
    """Every key of garden.yaml is named in the docs."""
    assert re.search(rf"\b{key}\b", text_of(*DOCS))


@pytest.mark.parametrize("key", keys("crop"))
def test_every_crop_key_is_in_the_docs(key: str) -> None:
    """Every key of a crop profile is named in the docs."""
    assert re.search(rf"\b{key}\b", text_of("crops/README.md", "DEVELOPERS.md"))


@pytest.mark.parametrize("module", [name for name in MODULES if not name.endswith("__init__.py")])
def test_every_module_is_in_the_developers_guide(module: str) -> None:
    """DEVELOPERS.md names every module, so that a newcomer finds it."""
    assert re.search(rf"\b{re.escape(Path(module).stem)}\b", text_of("DEVELOPERS.md"))


@pytest.mark.parametrize("name", DOCS)
def test_links_in_docs_lead_somewhere(name: str) -> None:
    """Every link to a file leads to one."""
    for target in re.findall(r"\]\(([^)#:]+)(?:#[^)]*)?\)", text_of(name)):
        assert ((TOP / name).parent / target).exists(), target
