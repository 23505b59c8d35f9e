"""The docs keep up with the program: nothing a person may type is missing from them, and no link leads astray."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Literal

import pytest
from typer.main import get_command

from module_table import PAGE as MODULES_PAGE
from module_table import module_page
from steadysow import cli
from steadysow.inputs.journal import KINDS
from steadysow.inputs.schema import schema

TOP = Path(__file__).parents[1]
GUIDE = TOP / "shared" / "guide"
PAGES = sorted(GUIDE.glob("*.md"))
# By folder, since a virtual environment in this one has Markdown files too.
DOCS = sorted(
    {
        *TOP.glob("*.md"),
        *(page for room in ("crops", "examples", "shared", "tests") for page in (TOP / room).rglob("*.md")),
    }
)

README_LINES, README_WIDTH, DEVELOPERS_LINES = 140, 160, 160

_CODE = re.compile(r"`([^`]+)`")
_LINK = re.compile(r"\[[^\]]*\]\(([^)\s]+)\)")

COMMANDS: dict[str, Any] = dict(get_command(cli.app).commands)  # type: ignore[attr-defined]


def name_of(page: Path) -> str:
    """Give a page's path from the top."""
    return page.relative_to(TOP).as_posix()


def prose_of(page: Path) -> str:
    """Give the text of a page without its blocks of code."""
    return re.sub(r"^```.*?^```$", "", page.read_text(encoding="utf-8"), flags=re.MULTILINE | re.DOTALL)


# Commands: a heading for each, and below it a row for each option.


def parts_of(page: Path) -> dict[str, list[str]]:
    """Give the lines below each heading of the second rank, by the heading."""
    parts: dict[str, list[str]] = {}
    lines: list[str] = []
    for line in prose_of(page).splitlines():
        if line.startswith("## "):
            lines = parts.setdefault(line.removeprefix("## "), [])
        lines.append(line)
    return parts


def first_cells(lines: list[str], column: str) -> Iterator[str]:
    """Give the code in the first cells of those tables that have a word over their first column."""
    is_meant = False
    for line in lines:
        if not line.startswith("|"):
            is_meant = False
        elif line.startswith(f"| {column} |"):
            is_meant = True
        elif is_meant:
            yield from _CODE.findall(line.split(" | ")[0])


@pytest.mark.parametrize("command", COMMANDS)
def test_every_option_is_in_its_commands_part_of_the_guide(command: str) -> None:
    """Below a command's heading stand all its options, each once: in a row, or after `Also:`; and no others."""
    part = parts_of(GUIDE / "commands.md")[command]
    also = [name for line in part if line.startswith("Also: ") for name in re.findall(r"`(-[^` ]+)`", line)]
    options = [name for each in COMMANDS[command].params if each.param_type_name == "option" for name in each.opts]
    assert sorted([*first_cells(part, "option"), *also]) == sorted(options)


@pytest.mark.parametrize("command", COMMANDS)
def test_every_argument_is_in_its_commands_part_of_the_guide(command: str) -> None:
    """What a command takes without an option has a row of its own: the argument, or each word it may be."""
    part = parts_of(GUIDE / "commands.md")[command]
    arguments = [each for each in COMMANDS[command].params if each.param_type_name == "argument"]
    words = {word for each in arguments for word in re.findall(r"\w+", each.metavar)}
    assert sorted(first_cells(part, "argument")) == sorted(words)


def test_no_command_of_the_guide_is_gone() -> None:
    """Each heading of commands.md but the first is a command."""
    assert set(parts_of(GUIDE / "commands.md")) - {"What commands share"} == set(COMMANDS)


def test_every_kind_of_fact_is_in_the_guide() -> None:
    """The table of facts in journal.md has what a person may record, and nothing else."""
    part = parts_of(GUIDE / "journal.md")["The facts"]
    assert sorted(first_cells(part, "fact")) == sorted((*KINDS, "done"))


# Keys: a row for each, below a line that says where they belong.


def keys_of(part: Any, path: str = "") -> Iterator[tuple[str, bool]]:
    """Give the path of every key that a person may write, and whether it must be there; `NAME` is a name of theirs."""
    if isinstance(part, list):
        for item in part:
            yield from keys_of(item, path)
    elif isinstance(part, dict):
        for key, value in part.get("properties", {}).items():
            below = f"{path}.{key}" if path else key
            yield below, key in part.get("required", ())
            yield from keys_of(value, below)
        if isinstance(part.get("additionalProperties"), dict):
            yield from keys_of(part["additionalProperties"], f"{path}.NAME")
        yield from keys_of([part.get("anyOf"), part.get("items")], path)


def rows_of(page: Path) -> Iterator[tuple[str, str]]:
    """Give the path of every key that a page has a row for, and that row's last cell.

    A table of keys has `key` over its first column.  The line before it, if it begins with `Under`, says where the keys
    belong.
    """
    parents: list[str] = [""]
    is_of_keys = False
    for line in prose_of(page).splitlines():
        if line.startswith("Under "):
            parents = [f"{parent}." for parent in _CODE.findall(line)]
        elif not line.startswith("|"):
            is_of_keys = False
            parents = parents if not line else [""]
        elif line.startswith("| key |"):
            is_of_keys = True
        elif is_of_keys and not line.startswith("|-"):
            cells = line.strip("| ").split(" | ")
            yield from ((f"{parent}{key}", cells[-1]) for parent in parents for key in _CODE.findall(cells[0]))


@pytest.mark.parametrize(
    ("kind", "page"), [("garden", GUIDE / "garden-file.md"), ("crop", TOP / "crops" / "README.md")]
)
def test_every_key_has_its_own_row(kind: Literal["garden", "crop"], page: Path) -> None:
    """Every key of a kind of file has a row of its own, by its path, and no row is of a key that is gone."""
    rows = [path for path, _ in rows_of(page)]
    assert sorted(rows) == sorted({path for path, _ in keys_of(schema(kind))})


def test_keys_that_must_be_there_say_so() -> None:
    """The row of a key that a garden file cannot leave out says that it must be there."""
    said = dict(rows_of(GUIDE / "garden-file.md"))
    assert {path for path, must in keys_of(schema("garden")) if must and said[path] != "must be there"} == set()


# Pages: short where a newcomer begins, and each within reach.


def test_readme_is_one_page() -> None:
    """README.md stays a page that is read to its end."""
    lines = (TOP / "README.md").read_text(encoding="utf-8").splitlines()
    assert len(lines) <= README_LINES
    assert max(len(line) for line in lines) <= README_WIDTH


@pytest.mark.parametrize("needed", ["steadysow plan", "-m pytest"])
def test_readme_has_each_of_its_commands_once(needed: str) -> None:
    """`.ci/run` finds the plan command and the tests command in README.md by these words."""
    lines = (TOP / "README.md").read_text(encoding="utf-8").splitlines()
    assert sum(line.startswith("python3 -m venv ") and needed in line for line in lines) == 1


def test_developers_guide_is_short() -> None:
    """DEVELOPERS.md stays short enough to be read before work begins."""
    assert len((TOP / "DEVELOPERS.md").read_text(encoding="utf-8").splitlines()) <= DEVELOPERS_LINES


def test_every_room_is_in_the_developers_guide() -> None:
    """Every folder and every module at the top of the program has its place in the table of rooms."""
    package = TOP / "src" / "steadysow"
    rooms = {f"{module.parent.name}/" for module in package.glob("*/*.py")}
    modules = {module.name for module in package.glob("*.py") if not module.name.startswith("__")}
    assert set(first_cells(parts_of(TOP / "DEVELOPERS.md")["The rooms"], "room")) == rooms | modules


@pytest.mark.parametrize("page", PAGES, ids=name_of)
def test_a_page_begins_with_what_it_is_for(page: Path) -> None:
    """A page of the guide begins with one sentence that says what it is for, and leads back to README.md."""
    title, empty, *lines = page.read_text(encoding="utf-8").splitlines()
    opening = " ".join(lines[: lines.index("")])
    assert title.startswith("# ")
    assert not empty
    assert re.fullmatch(r"This page ([^.]|\.\w)+\. \[[^\]]+\]\(\.\./\.\./README\.md\)\.?", opening)


@pytest.mark.parametrize("page", PAGES, ids=name_of)
def test_every_page_is_within_reach(page: Path) -> None:
    """Whoever follows links from README.md comes to every page of the guide."""
    reached, waiting = set(), [TOP / "README.md"]
    while waiting:
        at = waiting.pop()
        if at not in reached:
            reached.add(at)
            waiting += [target for target, _ in links_of(at) if target.suffix == ".md" and target.exists()]
    assert page in reached


def links_of(page: Path) -> Iterator[tuple[Path, str]]:
    """Give the file and the anchor of every relative link of a page."""
    for link in _LINK.findall(prose_of(page)):
        if not re.match(r"[a-z]+:", link):
            file, _, anchor = link.partition("#")
            yield ((page.parent / file).resolve() if file else page), anchor


def anchors_of(page: Path) -> set[str]:
    """Give the anchors that a page's headings make: small letters, no signs but hyphens, which spaces become."""
    headings = re.findall(r"^#+ (.+)$", prose_of(page), flags=re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", heading.casefold()).replace(" ", "-") for heading in headings}


@pytest.mark.parametrize("page", DOCS, ids=name_of)
def test_links_lead_somewhere(page: Path) -> None:
    """Every relative link leads to a file, and with an anchor to a heading of it."""
    for target, anchor in links_of(page):
        assert target.exists(), target
        assert not anchor or anchor in anchors_of(target), f"{target}#{anchor}"


def test_the_page_of_modules_is_up_to_date() -> None:
    """The guide lists every module with the first line of its docstring as it is now."""
    assert MODULES_PAGE.read_text(encoding="utf-8") == module_page()


@pytest.mark.parametrize("page", [page for page in DOCS if page != MODULES_PAGE], ids=name_of)
def test_files_named_in_code_font_are_there(page: Path) -> None:
    """A path such as `search/rules.py` leads to a file of the program, or of the project."""
    named = [
        text for text in _CODE.findall(prose_of(page)) if re.fullmatch(r"[\w.-]+(/[\w.-]+)+\.(py|yaml|json|md)", text)
    ]
    places = (TOP, TOP / "src" / "steadysow", page.parent)
    assert [text for text in named if not any((place / text).exists() for place in places)] == []
