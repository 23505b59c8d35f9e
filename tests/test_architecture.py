"""The shape of the package: what may import what, who reads the clock, and how long a module may grow."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "src" / "steadysow"
MODULES = sorted(PACKAGE.rglob("*.py"))

# From the bottom up; a module imports only from rooms below its own, or from its own.  Rooms of one rank never import
# each other.
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
# What a plan is made by is nobody's business who follows it: of these rooms some others know `plan` only.
PLANNING_ROOMS = {"plan", "standing", "search", "check", "advice"}
KNOW_ONLY_THE_PLAN = {"upkeep", "chores"}
# The screen shows the differences that a mended plan makes.
OUTPUTS_PRINT = {"advice.differences"}

# Where a third-party library may be imported: a module, or every module of a folder.
HOMES = {
    "yaml": {"inputs/documents.py"},
    "highspy": {"search/"},
    "numpy": {"search/", "outlook/"},
    "rich": {"outputs/terminal/"},
    "icalendar": {"outputs/"},
    "keyring": {"outputs/password.py"},
    "dateutil": {"days.py"},
    "typer": {"cli/"},
    "waitress": {"outputs/serve.py"},
    "segno": {"outputs/serve.py"},
}

# The console is made where the streams are known; what is drawn on it stays in its home.
CONSOLE_MADE_IN = "cli/"

# No file is longer than the first; only a few are longer than the second.
MOST_LINES, LONG_LINES, MOST_LONG_FILES = 600, 450, 12
LARGEST_ROOM_SHARE = 0.20

CLOCKS = {"today", "now", "utcnow", "time", "localtime", "gmtime"}
CLOCK_READERS = ("cli/", "door/clock.py")
STOPWATCHES = {"pipeline.py", "search/solver.py", "search/decide.py", "search/mending.py"}


def name_of(module: Path) -> str:
    """Give a module's path within the package."""
    return module.relative_to(PACKAGE).as_posix()


def room_of(module: Path) -> str:
    """Give the room of a module: its folder, or itself where it stands alone."""
    return name_of(module).removesuffix(".py").split("/")[0]


def module_in(names: dict[str, Path], imported: str) -> str:
    """Give the module of the package that an import is of, itself or what holds it; empty for other libraries."""
    while imported not in names and f"{imported}.__init__" not in names and imported:
        imported = imported.rpartition(".")[0]
    return f"{imported}.__init__" if f"{imported}.__init__" in names else imported


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
    room = room_of(module)
    if room == "__init__":
        # The package's own names are for type checkers here, and loaded when they are first used.
        assert all(node.module in ("importlib", "typing") for node in ast.parse(module.read_text("utf-8")).body
                   if isinstance(node, ast.ImportFrom))  # fmt: skip
        return
    for name in imports_of(module):
        parts = name.split(".")
        if parts[0] == "steadysow" and parts[1] != "__version__":
            assert parts[1] == room or rank_of(parts[1]) < rank_of(room), f"{name_of(module)} imports {name}"


@pytest.mark.parametrize("module", MODULES, ids=name_of)
def test_who_follows_a_plan_knows_only_the_plan(module: Path) -> None:
    """Upkeep and chores know the plan, not how it came about; outputs know the plan and what they print."""
    room = room_of(module)
    known = {name.removeprefix("steadysow.") for name in imports_of(module) if name.startswith("steadysow.")}
    planning = {name for name in known if name.split(".")[0] in PLANNING_ROOMS}
    if room in KNOW_ONLY_THE_PLAN:
        assert {name.split(".")[0] for name in planning} <= {"plan"}
    if room == "outputs":
        assert {".".join(name.split(".")[:2]) for name in planning if not name.startswith("plan.")} <= OUTPUTS_PRINT


def test_no_import_leads_round_in_a_circle() -> None:
    """No module imports itself through others, within a room either."""
    # The package's own file imports nothing until a name is used.
    modules = (module for module in MODULES if module != PACKAGE / "__init__.py")
    names = {f"steadysow.{name_of(module).removesuffix('.py').replace('/', '.')}": module for module in modules}
    graph = {name: {module_in(names, each) for each in imports_of(path)} - {""} for name, path in names.items()}
    finished: set[str] = set()

    def follow(name: str, path: tuple[str, ...]) -> None:
        assert name not in path, f"circle: {' > '.join((*path, name))}"
        if name not in finished:
            for each in sorted(graph[name] - {name}):
                follow(each, (*path, name))
            finished.add(name)

    for name in names:
        follow(name, ())
    assert finished == set(names)


@pytest.mark.parametrize("library", HOMES)
def test_each_library_has_its_homes(library: str) -> None:
    """A third-party library is imported in its homes only, and is imported at all."""
    users = {name_of(module) for module in MODULES for name in imports_of(module) if name.split(".")[0] == library}
    users = {user for user in users if library != "rich" or not user.startswith(CONSOLE_MADE_IN)}
    homes = tuple(HOMES[library])
    assert users
    assert all(user.startswith(homes) for user in users), users


def test_the_commands_take_only_the_console_from_rich() -> None:
    """The commands make the console and draw nothing."""
    commands = (PACKAGE / CONSOLE_MADE_IN).glob("*.py")
    taken = {name for module in commands for name in imports_of(module) if name.startswith("rich")}
    assert taken == {"rich.console.Console"}


def test_no_other_library_is_used() -> None:
    """Every import is of the standard library, of the package, or of a library that has a home."""
    known = {*HOMES, "steadysow", *__import__("sys").stdlib_module_names}
    used = {name.split(".")[0] for module in MODULES for name in imports_of(module)}
    assert used <= known


@pytest.mark.parametrize("module", MODULES, ids=name_of)
def test_only_commands_and_the_door_read_the_clock(module: Path) -> None:
    """Today and now are arguments everywhere but in the commands and at the door; a stopwatch may limit time."""
    name = name_of(module)
    if name.startswith(CLOCK_READERS):
        return
    calls = {tuple(call.split(".")) for call in calls_of(module)}
    clocks = {call for call in calls if call[0] in ("date", "datetime", "time", "dt") and call[-1] in CLOCKS}
    # A time of day is made of hours and minutes, and is no clock.
    assert not clocks - {("time",)}
    assert not any(imported in ("time.time", "time.localtime") for imported in imports_of(module))
    assert not any(call[-1] == "monotonic" for call in calls) or name in STOPWATCHES


def test_files_stay_short() -> None:
    """No file is over 600 lines, and few are over 450."""
    lines = {name_of(module): len(module.read_text(encoding="utf-8").splitlines()) for module in MODULES}
    assert {name: count for name, count in lines.items() if count > MOST_LINES} == {}
    assert len([name for name, count in lines.items() if count > LONG_LINES]) <= MOST_LONG_FILES


def test_no_room_is_too_large() -> None:
    """No room holds a fifth of the code."""
    lines: dict[str, int] = {}
    for module in MODULES:
        room = room_of(module)
        lines[room] = lines.get(room, 0) + len(module.read_text(encoding="utf-8").splitlines())
    room, most = max(lines.items(), key=lambda each: each[1])
    assert most < LARGEST_ROOM_SHARE * sum(lines.values()), room


def test_each_type_has_a_name_of_its_own() -> None:
    """No two modules define a class or a type alias of one name, private ones included."""
    homes: dict[str, list[str]] = {}
    for module in MODULES:
        for node in ast.parse(module.read_text(encoding="utf-8")).body:
            name = type_defined_by(node)
            if name is not None:
                homes.setdefault(name.lstrip("_"), []).append(name_of(module))
    assert {name: modules for name, modules in homes.items() if len(modules) > 1} == {}


def type_defined_by(node: ast.stmt) -> str | None:
    """Give the name of the class or type alias that a statement defines, if it does."""
    if isinstance(node, ast.ClassDef):
        return node.name
    if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name):
        name = node.targets[0].id
        is_alias = isinstance(node.value, ast.Subscript | ast.BinOp | ast.Name) and name.lstrip("_")[:1].isupper()
        return name if is_alias and name != name.upper() else None
    return None


@pytest.mark.parametrize("module", MODULES, ids=name_of)
def test_every_module_says_what_it_is_for(module: Path) -> None:
    """Every module begins with a docstring; no room is a box for odds and ends."""
    assert ast.get_docstring(ast.parse(module.read_text(encoding="utf-8")))
    assert module.stem not in ("utils", "helpers", "common", "base", "manager", "misc")
