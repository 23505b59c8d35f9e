"""``steadysow serve`` as people run it, in a process of its own, for tests that ask it over HTTP."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit

# How long anything may take on a busy machine before a test gives up [s].
PATIENCE = 5


@dataclass(frozen=True)
class Serving:
    """A running server.

    Attributes
    ----------
    process
        Its process; what it says on standard output is read up to the words that it is ready.
    told
        What it told before.
    url
        The address of the calendar.
    log
        The file that its log goes to.
    """

    process: subprocess.Popen[str]
    told: str
    url: str
    log: Path

    @property
    def where(self) -> tuple[str, int]:
        """Host and port, to connect to."""
        parts = urlsplit(self.url)
        assert parts.hostname
        assert parts.port
        return parts.hostname, parts.port

    @property
    def path(self) -> str:
        """The secret path of the calendar."""
        return urlsplit(self.url).path

    def stop(self, with_signal: signal.Signals = signal.SIGTERM) -> tuple[int, str]:
        """Stop it; give its status and its last words."""
        self.process.send_signal(with_signal)
        last, _ = self.process.communicate(timeout=PATIENCE)
        return self.process.returncode, last


@contextmanager
def serving(folder: Path, *options: str, command: tuple[str, ...] = ("-m", "steadysow", "serve")) -> Iterator[Serving]:
    """Serve a garden's folder at a free port until the test is done, also when it fails."""
    log = folder / "serve.log"
    arguments = [sys.executable, *command, "-g", str(folder), "--port", "0", *options]
    environment = {**os.environ, "COLUMNS": "80", "PYTHONIOENCODING": "utf-8"}
    with (
        log.open("w", encoding="utf-8") as errors,
        subprocess.Popen(
            arguments, stdout=subprocess.PIPE, stderr=errors, text=True, encoding="utf-8", env=environment
        ) as process,
    ):
        try:
            assert process.stdout
            told = ""
            # It ends at the latest when the process does.
            for line in process.stdout:
                told += line
                if line == "Ctrl-C ends it.\n":
                    break
            found = re.search(r"http://\S+/calendar\.ics", told)
            assert found, f"it did not begin to serve:\n{told}\n{log.read_text(encoding='utf-8')}"
            yield Serving(process, told, found[0], log)
        finally:
            if process.poll() is None:
                process.kill()
