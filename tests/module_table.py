"""Writes ``shared/guide/modules.md``: every module of the program with the first line of its docstring.

Run it as ``python tests/module_table.py``.  `test_docs` checks that the page is up to date.
"""

from __future__ import annotations

import ast
import os
from itertools import groupby
from pathlib import Path

TOP = Path(__file__).parents[1]
PACKAGE = TOP / "src" / "steadysow"
PAGE = TOP / "shared" / "guide" / "modules.md"

_HEAD = """\
# Modules

This page lists every module of the program with the first line of its docstring.
[Back to the README](../../README.md).

`python tests/module_table.py` writes it. [DEVELOPERS.md](../../DEVELOPERS.md#the-rooms) says what each room is for, and
which room may import which.
"""


def module_page() -> str:
    """Give the text of the page: a table for each room."""
    modules = sorted(PACKAGE.rglob("*.py"), key=lambda module: (module.parent, module.stem))
    sections = [_HEAD]
    for room, members in groupby(modules, key=lambda module: module.parent):
        title = "The package itself" if room == PACKAGE else f"{room.relative_to(PACKAGE).as_posix()}/"
        rows = "".join(_row(module) for module in members)
        sections.append(f"## {title}\n\n| module | what it is for |\n|---|---|\n{rows}")
    return "\n".join(sections)


def _row(module: Path) -> str:
    docstring = ast.get_docstring(ast.parse(module.read_text(encoding="utf-8"))) or ""
    # A bar would end the cell.
    first_line = docstring.partition("\n")[0].replace("``", "`").replace("|", "\\|")
    link = Path(os.path.relpath(module, PAGE.parent)).as_posix()
    return f"| [`{module.name}`]({link}) | {first_line} |\n"


if __name__ == "__main__":
    PAGE.write_text(module_page(), encoding="utf-8")
