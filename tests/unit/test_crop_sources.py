"""Every figure of a shipped profile says where it comes from, and how far that was checked."""

from __future__ import annotations

import ast
import io
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml
from rich.console import Console

from shipped import shipped_crops
from steadysow.inputs.crop_files import shipped_crops_folder
from steadysow.inputs.sources import cited_keys, read_publication, read_publications, reference_text
from steadysow.inputs.values import FaultList
from steadysow.outputs.terminal import crop_profile

TOP = Path(__file__).parents[2]
PROFILES = sorted(shipped_crops_folder().glob("*.yaml"))
MODULES = sorted((TOP / "src").rglob("*.py"))
TESTS = sorted((TOP / "tests").rglob("*.py"))
# These write keys of their own.
MADE_UP = ("test_sources.py", "test_crop_sources.py")

PUBLISHED = set(read_publications(FaultList()))
MARKS = ("(seen)", "(seen second-hand)", "(from memory)", "(computed)", "common practice, no source")

WITHOUT_A_KEY = ("common practice, no source", "(from memory)", "(computed)")

# Publications whose rows are compared with the profiles that name them: the table, and the figure of a profile.
ROWS = {
    "harrington-minges-1954": ("days_by_temperature_c", "germination.days_by_temperature_c"),
    "soil-temperatures-for-seeds": ("temperature_c", "germination.temperature_c"),
    "cfr-201-31": ("percent", "germination.percent"),
    "knott-1997": ("years", "germination.keeps_years"),
}
NAMED_ROW = re.compile(r"\[([a-z0-9-]+)\] ([^;,()\[\]]+?) row\b")

# Modules whose every number has a source.
EQUATIONS = ("growth/rates.py", "growth/daylight.py", "advice/light_use.py")
OBVIOUS = (0, 1, 2)

each_equation = pytest.mark.parametrize("name", EQUATIONS)
each_profile = pytest.mark.parametrize("path", PROFILES, ids=lambda path: path.stem)


@cache
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


def statements(profile: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """Give each field with each of its source texts, estimates included."""
    for field, source in profile["sources"].items():
        yield field, source["estimate"] if isinstance(source, dict) else source


def figure(profile: dict[str, Any], path: str) -> Any:
    """Give what stands at a dotted path of a profile."""
    value: Any = profile
    for key in path.split("."):
        value = value[key]
    return value


def row(key: str, name: str) -> Any:
    """Give the row of a publication that has exactly the words of a name, else the only one that has all of them."""
    table = read_publication(key).table[ROWS[key][0]]
    words = set(re.findall(r"[a-z]+", name.casefold()))
    found = [crop for crop in table if words <= set(crop.split())]
    exact = [crop for crop in found if words == set(crop.split())]
    (only,) = exact or found or [f"no {name} row in {key}"]
    return table[only]


def promised_rows(profile: dict[str, Any]) -> Iterator[tuple[str, str, str]]:
    """Give field, key and name wherever a source promises the very figures of a row; estimates promise nothing."""
    for field, source in profile["sources"].items():
        for part in [] if isinstance(source, dict) else source.split(";"):
            if "(computed)" not in part:
                yield from ((field, key, name) for key, name in NAMED_ROW.findall(part) if key in ROWS)


def numbers(node: ast.AST) -> Iterator[float]:
    """Give all the numbers written below a node."""
    for inner in ast.walk(node):
        if (
            isinstance(inner, ast.Constant)
            and isinstance(inner.value, int | float)
            and not isinstance(inner.value, bool)
        ):
            yield inner.value


def has_figure(value: ast.expr) -> bool:
    """Say whether the value of a constant is a figure: any number, or an unobvious one handed to a call."""
    return any(number not in OBVIOUS or not isinstance(value, ast.Call) for number in numbers(value))


def is_founded(text: str) -> bool:
    """Say whether a comment or docstring cites a publication, reasons an estimate, or calls a number a definition."""
    words = " ".join(text.split())
    return "estimate: " in words or "by definition" in words.casefold() or not PUBLISHED.isdisjoint(cited_keys(words))


def comment_above(lines: list[str], number: int) -> str:
    """Give the comment that ends on the line before one, counted from 1."""
    first = number - 1
    while first > 0 and lines[first - 1].startswith("#"):
        first -= 1
    return " ".join(line.lstrip("# ") for line in lines[first : number - 1])


def test_there_are_profiles() -> None:
    """The folder is found, so that the tests below check something."""
    assert len(PROFILES) >= 12


@each_profile
def test_every_figure_has_a_source(path: Path) -> None:
    """No number stands in a profile without a source or a reasoned estimate."""
    profile = load(path)
    sources = profile["sources"]
    own = figures({key: value for key, value in profile.items() if key != "sources"})
    assert [figure for figure in own if not any(covers(source, figure) for source in sources)] == []


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


@each_profile
def test_every_cited_publication_is_kept(path: Path) -> None:
    """A key in square brackets is that of a file of shared/."""
    cited = {key for _, text in statements(load(path)) for key in cited_keys(text)}
    assert cited - PUBLISHED == set()


@each_profile
def test_every_source_names_a_publication(path: Path) -> None:
    """What is no estimate cites a publication by its key, or says why it cannot."""
    for field, source in load(path)["sources"].items():
        if not isinstance(source, dict):
            assert cited_keys(source) or any(words in source for words in WITHOUT_A_KEY), field


@each_profile
def test_figures_are_those_of_the_row_they_name(path: Path) -> None:
    """A source that names a row of a published table has exactly the figures of that row."""
    profile = load(path)
    for field, key, name in promised_rows(profile):
        _, whole = ROWS[key]
        assert covers(whole, field) or covers(field, whole), f"{field}: {key} has no such figure"
        published = row(key, name)
        for part in field.removeprefix(whole).split(".")[1:] if covers(whole, field) else ():
            published = published[part]
        assert figure(profile, field if covers(whole, field) else whole) == published, f"{field}: {key}, {name} row"


@each_profile
def test_the_screen_names_what_a_profile_cites(path: Path) -> None:
    """A crop's page tells each publication that its sources cite once, and no other."""
    profile = load(path)
    console = Console(file=io.StringIO(), width=2000, color_system=None)
    crop_profile(console, shipped_crops()[profile["name"]])
    assert isinstance(console.file, io.StringIO)
    _, _, told = console.file.getvalue().partition("Publications\n")
    cited = {key for _, text in statements(profile) for key in cited_keys(text)}
    words = " ".join(told.split())
    for key in PUBLISHED:
        assert words.count(f"{key} {reference_text(read_publication(key))}") == (key in cited), key


@pytest.mark.parametrize("key", ROWS)
def test_rows_are_named(key: str) -> None:
    """Each table whose rows are compared is named by some profile, so that the comparison checks something."""
    assert any(key == named for path in PROFILES for _, named, _ in promised_rows(load(path)))


def test_every_publication_is_used() -> None:
    """Each file of shared/ is cited by a profile, the program or a test."""
    profiles = {key for path in PROFILES for _, text in statements(load(path)) for key in cited_keys(text)}
    code = "\n".join(path.read_text(encoding="utf-8") for path in (*MODULES, *TESTS))
    assert {key for key in PUBLISHED - profiles if f"[{key}]" not in code and f'"{key}"' not in code} == set()


def test_every_publication_cited_in_code_is_kept() -> None:
    """A key in square brackets in the program or its tests is that of a file of shared/; units are no keys."""
    for path in (*MODULES, *TESTS):
        if path.name not in MADE_UP:
            # A linter's name in brackets is no key either.
            cited = cited_keys(path.read_text(encoding="utf-8").replace("ignore[", "ignore "))
            keys = {key for key in cited if re.search(r"-([a-z]{2}|\d{2})", key)}
            assert keys - PUBLISHED == set(), path.name


@each_equation
def test_every_constant_has_a_source(name: str) -> None:
    """The comment right above a number cites a publication, reasons an estimate, or says that it is by definition."""
    text = (TOP / "src" / "steadysow" / name).read_text(encoding="utf-8")
    unfounded = [
        ast.unparse(node)
        for node in ast.parse(text).body
        if isinstance(node, ast.Assign | ast.AnnAssign)
        and node.value is not None
        and has_figure(node.value)
        and not is_founded(comment_above(text.splitlines(), node.lineno))
    ]
    assert unfounded == []


@each_equation
def test_every_number_in_an_equation_has_a_source(name: str) -> None:
    """A function with a number in it other than 0, 1 and 2 tells in its docstring where that comes from."""
    text = (TOP / "src" / "steadysow" / name).read_text(encoding="utf-8")
    unfounded = [
        node.name
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.FunctionDef)
        and any(number not in OBVIOUS for statement in node.body for number in numbers(statement))
        and not is_founded(ast.get_docstring(node) or "")
    ]
    assert unfounded == []
