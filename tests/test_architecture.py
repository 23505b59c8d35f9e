"""The shape of the package: what may import what, who reads the clock, and how long a module may grow."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "src" / "steadysow"
MODULES = sorted(PACKAGE.rglob("*.py"))

# From the bottom up; a module imports only from rooms below its own, or from its own.  Words that need nothing of the
# garden (days, amounts, cautions) lie just above errors, so that every room may use them.
RANKS = (
    {"errors"},
    {"amounts", "cautions", "days", "files"},
    {"inputs"},
    {"growth"},
    {"plan"},
    {"standing"},
    {"search", "check", "advice"},
    {"upkeep"},
    {"chores", "outlook"},
    {"outputs"},
    {"pipeline"},
    {"door"},
    {"cli"},
    {"__main__"},
)

HOMES = {
    "yaml": {"inputs/documents.py"},
    "highspy": {"search/solver.py"},
    "numpy": {"search/solver.py"},
    "rich": {"outputs/terminal.py"},
    "icalendar": {"outputs/ical.py"},
    "keyring": {"outputs/password.py"},
    "dateutil": {"days.py"},
    "typer": {"cli.py"},
    "waitress": {"outputs/serve.py"},
    "segno": {"outputs/serve.py"},
}

# The console is made where the streams are known; what is drawn on it stays in its home.
CONSOLE_MADE_IN = "cli.py"

LONGEST_LINES = 600
# Modules that are longer, and why they are not cut.
LONGER = {
    "search/model.py": "every rule of the program is one function, and one list applies them",
    "plan/plan.py": "the plan, its measure and its file format change together",
    "check/verify.py": "every rule once more, each one function, and one list applies them",
    "cli.py": "every command, each one function, and what they have in common",
    "outputs/terminal.py": "all tables share their cells, words and drawing",
}

CLOCKS = {"today", "now", "utcnow", "time", "localtime", "gmtime"}
STOPWATCHES = {"search/solver.py", "pipeline.py", "search/decide.py", "search/mending.py"}


def name_of(module: Path) -> str:
    """Give a module's path within the package."""
    return module.relative_to(PACKAGE).as_posix()


def rank_of(name: str) -> int:
    """Give the rank of a module or room."""
    return next(rank for rank, rooms in enumerate(RANKS) if name in rooms)


def imports_of(module: Path) -> Iterator[str]:
    """Give what a module imports, wherever in it, by full name."""
    for node in ast.walk(ast.parse(module.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{module} imports relatively"
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def calls_of(module: Path) -> Iterator[str]:
    """Give the dotted names of all that a module calls."""
    for node in ast.walk(ast.parse(module.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call):
            yield ast.unparse(node.func)


@pytest.mark.parametrize("module", MODULES, ids=name_of)
def test_imports_go_down_only(module: Path) -> None:
    """A module imports from its own room and from rooms below it."""
    room = name_of(module).removesuffix(".py").split("/")[0]
    if room == "__init__":
        assert not any(name.startswith("steadysow") for name in imports_of(module))
        return
    for name in imports_of(module):
        parts = name.split(".")
        if parts[0] == "steadysow" and parts[1] != "__version__":
            assert parts[1] == room or rank_of(parts[1]) < rank_of(room), f"{name_of(module)} imports {name}"


@pytest.mark.parametrize("library", HOMES)
def test_each_library_has_one_home(library: str) -> None:
    """A third-party library is imported in one module only."""
    users = {name_of(module) for module in MODULES for name in imports_of(module) if name.split(".")[0] == library}
    assert users - ({CONSOLE_MADE_IN} if library == "rich" else set()) == HOMES[library]


def test_cli_takes_only_the_console_from_rich() -> None:
    """The commands make the console and draw nothing."""
    taken = {name for name in imports_of(PACKAGE / CONSOLE_MADE_IN) if name.startswith("rich")}
    assert taken == {"rich.console.Console"}


def test_no_other_library_is_used() -> None:
    """Every import is of the standard library, of the package, or of a library that has a home."""
    known = {*HOMES, "steadysow", *__import__("sys").stdlib_module_names}
    used = {name.split(".")[0] for module in MODULES for name in imports_of(module)}
    assert used <= known


@pytest.mark.parametrize("module", MODULES, ids=name_of)
def test_only_the_commands_read_the_clock(module: Path) -> None:
    """Today and now are arguments everywhere but in cli.py; a stopwatch is allowed where time is limited."""
    name = name_of(module)
    if name == "cli.py":
        return
    calls = {tuple(call.split(".")) for call in calls_of(module)}
    clocks = {call for call in calls if call[0] in ("date", "datetime", "time", "dt") and call[-1] in CLOCKS}
    # A time of day is made of hours and minutes, and is no clock.
    assert not clocks - {("time",)}
    assert not any(imported in ("time.time", "time.localtime") for imported in imports_of(module))
    assert not any(call[-1] == "monotonic" for call in calls) or name in STOPWATCHES


def test_modules_stay_short() -> None:
    """A module of more than 600 lines is named with the reason why it is not cut."""
    lines = {name_of(module): len(module.read_text(encoding="utf-8").splitlines()) for module in MODULES}
    assert {name for name, count in lines.items() if count > LONGEST_LINES} <= set(LONGER)


@pytest.mark.parametrize("module", MODULES, ids=name_of)
def test_every_module_says_what_it_is_for(module: Path) -> None:
    """Every module begins with a docstring; no room is a box for odds and ends."""
    assert ast.get_docstring(ast.parse(module.read_text(encoding="utf-8")))
    assert module.stem not in ("utils", "helpers", "common", "base", "manager", "misc")
