"""``steadysow serve`` as people run it, in a process of its own, for tests that ask it over HTTP."""

from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit

# How long anything may take on a busy machine before a test gives up [s].
PATIENCE = 60


@dataclass(frozen=True)
class Serving:
    """A running server.

    Attributes
    ----------
    process
        Its process; its standard output is read up to the words that it is ready.
    greeting
        What it printed up to those words.
    url
        The address of the calendar.
    log
        The file that its log goes to.
    """

    process: subprocess.Popen[str]
    greeting: str
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
            greeting = ""
            # It ends at the latest when the process does.
            for line in process.stdout:
                greeting += line
                if line == "Ctrl-C ends it.\n":
                    break
            found = re.search(r"http://\S+/calendar\.ics", greeting)
            assert found, f"it did not begin to serve:\n{greeting}\n{log.read_text(encoding='utf-8')}"
            yield Serving(process, greeting, found[0], log)
        finally:
            if process.poll() is None:
                process.kill()


@dataclass(frozen=True)
class Load:
    """What ``wrk`` measured.

    Attributes
    ----------
    requests
        How many were answered.
    a_second
        The same for a second.
    worst_ms
        The longest that one took [ms].
    errors
        Its lines on sockets that failed and on answers of 400 and above; empty if all went well.
    """

    requests: int
    a_second: float
    worst_ms: float
    errors: str


def load(url: str, seconds: int, *headers: str, connections: int = 20) -> Load:
    """Ask an address as fast as it answers, on so many connections at a time."""
    wanted = [part for header in headers for part in ("-H", header)]
    command = ["wrk", "-t1", f"-c{connections}", f"-d{seconds}s", "--timeout", f"{PATIENCE}s", *wanted, url]
    shown = subprocess.run(command, capture_output=True, text=True, check=True, timeout=seconds + PATIENCE).stdout
    total = re.search(r"(\d+) requests in", shown)
    rate = re.search(r"Requests/sec:\s+([\d.]+)", shown)
    latency = re.search(r"Latency\s+\S+\s+\S+\s+([\d.]+)(us|ms|s|m)\s", shown)
    assert total, shown
    assert rate, shown
    assert latency, shown
    to_ms = {"us": 0.001, "ms": 1.0, "s": 1000.0, "m": 60_000.0}[latency[2]]
    errors = re.findall(r"Socket errors:.*|Non-2xx or 3xx responses:.*", shown)
    return Load(int(total[1]), float(rate[1]), float(latency[1]) * to_ms, "; ".join(errors))


@contextmanager
def trickling(where: tuple[str, int], clients: int, *, is_stubborn: bool = False) -> Iterator[Callable[[], int]]:
    """Hold so many connections, each sending its headers a byte a second; give how many are held.

    Those that the server cuts off are opened again if stubborn, so that there are always as many.
    """
    held = [socket.create_connection(where, timeout=PATIENCE) for _ in range(clients)]
    is_over = threading.Event()

    def trickle() -> None:
        while not is_over.wait(1.0):
            for client in tuple(held):
                try:
                    client.sendall(b"G")
                except OSError:
                    held.remove(client)
                    client.close()
            while is_stubborn and len(held) < clients:
                held.append(socket.create_connection(where, timeout=PATIENCE))

    thread = threading.Thread(target=trickle, daemon=True)
    thread.start()
    try:
        yield lambda: len(held)
    finally:
        is_over.set()
        thread.join(PATIENCE)
        for client in held:
            client.close()


def calendar_of(chores: int, version: int) -> bytes:
    """Give a calendar as long as real ones; each version of it is as long as the others."""
    event = (
        "BEGIN:VEVENT\r\nUID:{uid:032d}\r\nDTSTAMP:20261003T073015Z\r\nDTSTART;VALUE=DATE:20261114\r\n"
        "DTEND;VALUE=DATE:20261115\r\nSEQUENCE:{version:06d}\r\nSUMMARY:Cut {uid:04d} mizuna\\, cut 2 (A 1-7)\r\n"
        "DESCRIPTION:Leave 3 cm. Can wait until Wed 18 Nov.\\nFor salad\\, 180 g.\r\nLOCATION:Tote A\\, shelf\r\n"
        "CATEGORIES:Harvest\r\nTRANSP:TRANSPARENT\r\nSTATUS:CONFIRMED\r\nEND:VEVENT\r\n"
    )
    events = "".join(event.format(uid=number, version=version) for number in range(chores))
    return f"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//test//test//EN\r\n{events}END:VCALENDAR\r\n".encode()


def replace_file(file: Path, content: bytes) -> None:
    """Replace a file so that nobody ever sees a part."""
    fresh = file.with_suffix(".fresh")
    fresh.write_bytes(content)
    fresh.replace(file)
