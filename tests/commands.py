"""Commands run in this process, as a person types them."""

from __future__ import annotations

import sys
from collections.abc import Callable
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from io import BytesIO, TextIOWrapper
from pathlib import Path

import pytest

from steadysow import cli


@dataclass(frozen=True, slots=True, kw_only=True)
class Ended:
    """How a command ended: its status, and what it printed."""

    status: int
    out: str
    err: str

    @property
    def said(self) -> str:
        """All that it printed, complaints last."""
        return self.out + self.err

    @property
    def words(self) -> str:
        """What it printed, in one line."""
        return " ".join(self.out.split())


Run = Callable[..., Ended]


def status_of(*arguments: object) -> int:
    """Run a command and give its status."""
    status: object = 0
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sys, "argv", ["steadysow", *map(str, arguments)])
        try:
            cli.main()
        except SystemExit as end:
            status = end.code
    return int(status or 0) if isinstance(status, int | None) else 1


def printed(*arguments: object) -> str:
    """Give what a command prints; it must end well and complain of nothing."""
    out, err = TextIOWrapper(BytesIO(), encoding="utf-8"), TextIOWrapper(BytesIO(), encoding="utf-8")
    with redirect_stdout(out), redirect_stderr(err):
        status = status_of(*arguments)
    texts = []
    for stream in (out, err):
        stream.seek(0)
        texts.append(stream.read())
    assert (status, texts[1]) == (0, "")
    return texts[0]


def contents(folder: Path) -> dict[str, bytes]:
    """Give all files of a folder with what is in them."""
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}
