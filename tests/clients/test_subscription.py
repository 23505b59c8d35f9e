"""A real subscriber lives with our calendar: evolution-data-server, over HTTP.

It shows exactly the plan after every change of it, and keeps what it has while our server is down or has no whole
calendar to give.  Controls show that these tests could see an emptied calendar and a lost edit: the same program
deletes every event at an empty or spoilt answer of status 200, which is why `serve` answers 503, and ignores a change
without a revision, which is why each change has one.
"""

from __future__ import annotations

import json
import os
import queue
import re
import shutil
import signal
import socket
import subprocess
import sys
import threading
import time
import uuid
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any, Final

import pytest

from clients.feeds import feed, sowing
from clients.readers import read_by_lint
from serving import Serving, serving
from steadysow.chores.chore import Chore
from steadysow.chores.listing import list_chores
from steadysow.inputs.garden import Garden
from steadysow.inputs.garden_file import read_garden
from steadysow.outputs.ical import write_calendar
from steadysow.plan.plan import Plan
from steadysow.plan.plan_file import load

HERE: Final = Path(__file__).parent
SILL: Final = HERE.parents[1] / "examples" / "window-sill" / "garden.yaml"
TODAY: Final = date(2026, 10, 3)
NOW: Final = datetime(2026, 10, 3, 7, 30, tzinfo=UTC)
# Longest wait for anything [s].
PATIENCE: Final = 30
# How long nothing must happen after a look for news; what comes is mostly shown at once [s].
REST: Final = 0.5

# Of each event its UID, its day and its title.
Shown = frozenset[tuple[str, date, str]]


# The subscriber.


@dataclass(frozen=True)
class Subscription:
    """A calendar that the program subscribes to."""

    subscriber: Subscriber
    name: str

    def follows(self, expected: Shown) -> None:
        """Let it look for news, and hold that it shows exactly what is expected soon after."""
        end = time.monotonic() + PATIENCE
        while True:
            seen = self._watched(expected, self.subscriber.ask("refresh", self.name))
            if seen == expected:
                return
            # As programs do, it looks again after a while.
            assert time.monotonic() < end, f"after {PATIENCE} s:\n{_difference(seen, expected)}"

    def _watched(self, expected: Shown, seen: Shown) -> Shown:
        """Watch it for a second until it shows what is expected; give what it shows."""
        end = time.monotonic() + 1
        while seen != expected and time.monotonic() < end:
            time.sleep(0.05)
            seen = self.subscriber.ask("show", self.name)
        return seen

    def keeps(self, expected: Shown) -> None:
        """Let it look for news, and hold that it shows the same as before for some time."""
        seen = self.subscriber.ask("refresh", self.name)
        end = time.monotonic() + REST
        while seen == expected and time.monotonic() < end:
            time.sleep(0.05)
            seen = self.subscriber.ask("show", self.name)
        assert seen == expected, _difference(seen, expected)


def _difference(seen: Shown, expected: Shown) -> str:
    lines = [f"{len(seen)} events are shown, {len(expected)} are expected"]
    lines += [f"not shown: {event}" for event in sorted(expected - seen)]
    lines += [f"shown:     {event}" for event in sorted(seen - expected)]
    return "\n".join(lines)


class Subscriber:
    """The program, with a message bus, settings and files of its own."""

    def __init__(self, home: Path) -> None:
        self._home = home
        self._answers: queue.Queue[str] = queue.Queue()
        folders = {"XDG_CONFIG_HOME": "config", "XDG_DATA_HOME": "data", "XDG_CACHE_HOME": "cache"}
        environment = {name: str(home / folder) for name, folder in folders.items()}
        environment |= {"HOME": str(home), "XDG_RUNTIME_DIR": str(home / "run"), "PATH": os.defpath, "LANG": "C.UTF-8"}
        # Nothing of the machine: neither its settings, nor its services, nor what it thinks of its network.
        environment |= {
            "DBUS_SYSTEM_BUS_ADDRESS": f"unix:path={home / 'none'}",
            "GSETTINGS_BACKEND": "memory",
            "GIO_USE_NETWORK_MONITOR": "base",
            "GIO_USE_VFS": "local",
        }
        for folder in (*folders.values(), "run"):
            (home / folder).mkdir(mode=0o700)
        self._errors = (home / "errors").open("w", encoding="utf-8")
        self._process = subprocess.Popen(
            ["dbus-run-session", "--", "/usr/bin/python3", str(HERE / "eds_subscriber.py")],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=self._errors,
            text=True,
            env=environment,
        )
        # Reading has no time limit; taking from a queue has.
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()

    def _read(self) -> None:
        assert self._process.stdout
        for line in self._process.stdout:
            self._answers.put(line)
        self._answers.put("")

    def subscribe(self, name: str, url: str) -> Subscription:
        """Subscribe to an address."""
        self.ask("subscribe", name, url)
        return Subscription(self, name)

    def ask(self, what: str, name: str, url: str = "") -> Shown:
        """Ask the program to do something, and give what it shows then."""
        assert self._process.stdin
        line = ""
        with suppress(BrokenPipeError, queue.Empty):
            self._process.stdin.write(json.dumps({"do": what, "name": name, "url": url}) + "\n")
            self._process.stdin.flush()
            line = self._answers.get(timeout=PATIENCE + 5)
        assert line, f"no answer to {what} {name}; its status is {self._process.poll()}, and it said:\n{self._said()}"
        answer = json.loads(line)
        assert "error" not in answer, f"{what} {name}: {answer['error']}\n{self._said()}"
        shown = [(uid, date.fromisoformat(start), summary) for uid, start, summary in answer["shown"]]
        assert len(set(shown)) == len(shown)
        return frozenset(shown)

    def _said(self) -> str:
        return (self._home / "errors").read_text(encoding="utf-8")

    def end(self) -> None:
        """End it, and whatever it started."""
        assert self._process.stdin
        with suppress(BrokenPipeError):
            self._process.stdin.close()
        with suppress(subprocess.TimeoutExpired):
            self._process.wait(10)
        end = time.monotonic() + 5
        while (left := self._left()) and time.monotonic() < end:
            time.sleep(0.05)
        for process in left:
            with suppress(ProcessLookupError):
                os.kill(process, signal.SIGKILL)
        self._process.wait(PATIENCE)
        self._reader.join(PATIENCE)
        assert self._process.stdout
        self._process.stdout.close()
        self._errors.close()

    def _left(self) -> list[int]:
        """Give the processes that still run with our home: services of a message bus are nobody's children."""
        mark = f"\0HOME={self._home}\0".encode()
        found = []
        for file in Path("/proc").glob("[0-9]*/environ"):
            with suppress(OSError):
                if mark in b"\0" + file.read_bytes():
                    found.append(int(file.parent.name))
        return found


@pytest.fixture(scope="module")
def subscriber(clients: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Subscriber]:
    """Give the program, one session of it for all tests of this file."""
    subscriber = Subscriber(tmp_path_factory.mktemp("subscriber"))
    try:
        yield subscriber
    finally:
        subscriber.end()


# What is published.


@dataclass(frozen=True, kw_only=True)
class Published:
    """A garden's folder with its plan, and what has to be done."""

    folder: Path
    garden: Garden
    plan: Plan
    chores: tuple[Chore, ...]

    @property
    def file(self) -> Path:
        """The calendar."""
        return self.folder / "calendar.ics"

    def write(self, chores: Iterable[Chore], now: datetime) -> Shown:
        """Write the calendar as it is after some changes; give what has to be shown."""
        chores = tuple(chores)
        assert write_calendar(self.folder, self.garden, self.plan, chores, now=now)
        return frozenset((uid_of(self.plan, chore), chore.on, chore.title) for chore in chores)


def uid_of(plan: Plan, chore: Chore) -> str:
    """Give the UID of a chore's event: the version 5 UUID of its key in the name space of its plan."""
    return str(uuid.uuid5(uuid.UUID(plan.uuid), chore.key))


def steadysow_plan(folder: Path, today: date) -> Published:
    """Plan a garden as people do, and give what has to be done."""
    command = [sys.executable, "-m", "steadysow", "plan", "-g", str(folder), "--today", today.isoformat()]
    subprocess.run(command, check=True, capture_output=True)
    garden = read_garden(folder)
    plan = load(folder)
    assert plan is not None
    return Published(folder=folder, garden=garden, plan=plan, chores=list_chores(garden, plan))


def sill(folder: Path) -> Published:
    """Plan the window sill of the examples."""
    shutil.copy(SILL, folder)
    return steadysow_plan(folder, TODAY)


def in_file(published: Published) -> Shown:
    """Give what has to be shown of a calendar as `steadysow plan` wrote it: every chore, titles as in the file."""
    reading = read_by_lint(published.file.read_bytes())
    assert reading.complaints == ()
    seen = frozenset((each.uid, date.fromisoformat(each.start), each.summary) for each in reading.seen)
    chores = {(uid_of(published.plan, chore), chore.on) for chore in published.chores}
    assert {(uid, start) for uid, start, _ in seen} == chores
    return seen


TITLES: Final = (
    "Sow 6 cells of rocket",
    "Plant 4 mizuna into A 1-4",
    "Cut 7 mizuna, cut 2 (A 1-7)",
    "Take 3 Grünkohl; the rest waits",
    r"Scrub tote \B, and C\n",
    "زرع ٣ خلايا من الجرجير",
    "Pick 🍅 (C 1)",
    "小松菜を収穫する",
)


def forty_chores() -> tuple[Chore, ...]:
    """Make up chores of many scripts and marks, two a day on some days."""
    chores = (sowing(number, TITLES[number % len(TITLES)]) for number in range(1, 41))
    return tuple(replace(chore, on=chore.on - timedelta(days=number % 3)) for number, chore in enumerate(chores))


def free_port() -> int:
    """Give a port that is free."""
    with socket.create_server(("127.0.0.1", 0)) as listener:
        return int(listener.getsockname()[1])


def answered(server: Serving) -> list[int]:
    """Give the status of every answer so far."""
    return [int(status) for status in re.findall(r" GET (\d{3}) ", server.log.read_text(encoding="utf-8"))]


# The scenario.


def test_subscriber_shows_the_plan_through_changes_and_failures(subscriber: Subscriber, tmp_path: Path) -> None:
    """Every change is shown and no more than that; no failure of ours takes anything away."""
    published = sill(tmp_path)
    # Of the plan there is only its name space; all that is published is made up, from the first day on.
    for file in (published.file, tmp_path / "calendar-state.json"):
        file.unlink()
    by_key = {chore.key: chore for chore in forty_chores()}
    now = NOW

    def write() -> Shown:
        nonlocal now
        now += timedelta(hours=1)
        return published.write(by_key.values(), now)

    expected = write()
    assert len(expected) == 40
    port = str(free_port())
    with serving(tmp_path, "--port", port) as server:
        garden = subscriber.subscribe("forty", server.url)
        garden.follows(expected)
        # The tag of what it has taken in may be noted a moment later than the events.
        end = time.monotonic() + PATIENCE
        while 304 not in answered(server):
            garden.keeps(expected)
            assert time.monotonic() < end, f"no look for news found that there are none: {answered(server)}"

        moved, renamed, dropped = by_key["5/sow/1"], by_key["11/sow/1"], by_key["17/sow/1"]
        by_key[moved.key] = replace(moved, on=moved.on + timedelta(days=9))
        garden.follows(write())
        by_key[renamed.key] = replace(renamed, title="Sow 5 cells of cress")
        garden.follows(write())
        del by_key[dropped.key]
        garden.follows(write())
        by_key["41/sow/1"] = replace(sowing(41, "Sow 2 pots of chives"), on=by_key["20/sow/1"].on)
        garden.follows(write())

        # Everything at once; the one moved goes back to its day, and the one dropped returns on another.
        by_key[moved.key] = moved
        by_key[dropped.key] = replace(dropped, on=dropped.on + timedelta(days=30))
        by_key["30/sow/1"] = replace(by_key["30/sow/1"], title=TITLES[0], on=date(2027, 2, 28))
        del by_key["3/sow/1"]
        by_key["42/sow/1"] = sowing(42, TITLES[6])
        expected = write()
        garden.follows(expected)
        assert server.stop()[0] == 0

    with pytest.raises(ConnectionRefusedError):
        socket.create_connection(server.where)
    garden.keeps(expected)

    whole = published.file.read_bytes()
    with serving(tmp_path, "--port", port) as again:
        assert again.url == server.url
        for spoilt in (None, b"", whole[: len(whole) // 2], whole[: whole.rindex(b"END:VCALENDAR")]):
            if spoilt is None:
                published.file.unlink()
            else:
                published.file.write_bytes(spoilt)
            before = len(answered(again))
            garden.keeps(expected)
            assert set(answered(again)[before:]) == {503}

        published.file.write_bytes(whole)
        garden.keeps(expected)
        by_key["40/sow/1"] = replace(by_key["40/sow/1"], title="Sow 1 cell of dill", on=date(2026, 12, 24))
        garden.follows(write())


def test_subscriber_shows_an_example_as_it_is_planned_anew(subscriber: Subscriber, tmp_path: Path) -> None:
    """Every chore of a planned season is shown; so it is three weeks later, and after the gardener wants less."""
    published = sill(tmp_path)
    with serving(tmp_path) as server:
        window = subscriber.subscribe("sill", server.url)
        first = in_file(published)
        window.follows(first)

        later = in_file(steadysow_plan(tmp_path, TODAY + timedelta(weeks=3)))
        assert any(summary.startswith("✓ ") for _, _, summary in later)
        window.follows(later)

        file = tmp_path / "garden.yaml"
        text = file.read_text(encoding="utf-8")
        assert "grams_a_week: 75" in text
        file.write_text(text.replace("grams_a_week: 75", "grams_a_week: 40"), encoding="utf-8")
        less = in_file(steadysow_plan(tmp_path, TODAY + timedelta(weeks=4)))
        assert {uid for uid, _, _ in less} != {uid for uid, _, _ in later}
        window.follows(less)


# Controls: a server that can be told to do wrong.


class Switch(ThreadingHTTPServer):
    """A server that answers what it is told to."""

    daemon_threads = True

    def __init__(self, body: bytes) -> None:
        super().__init__(("127.0.0.1", 0), SwitchHandler)
        self.status = 200
        self.body = body
        self.missing = 0

    @property
    def url(self) -> str:
        """Its address."""
        return f"http://127.0.0.1:{self.server_address[1]}/calendar.ics"


class SwitchHandler(BaseHTTPRequestHandler):
    """One request to it."""

    server: Switch

    def do_GET(self) -> None:
        """Response as told; without a tag, so that every answer is taken as news."""
        self.send_response(self.server.status)
        self.send_header("Content-Type", "text/calendar; charset=utf-8")
        self.send_header("Content-Length", str(len(self.server.body) + self.server.missing))
        self.end_headers()
        self.wfile.write(self.server.body)

    def log_message(self, format: str, *args: Any) -> None:
        """Say nothing."""


@contextmanager
def switched(body: bytes) -> Iterator[Switch]:
    """Run such a server."""
    with Switch(body) as server:
        thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05})
        thread.start()
        try:
            yield server
        finally:
            server.shutdown()
            thread.join(PATIENCE)


@pytest.fixture(scope="module")
def good() -> bytes:
    """Give a calendar of twelve chores."""
    return feed(forty_chores()[:12])


def shown_of(content: bytes) -> Shown:
    """Give what has to be shown of a calendar."""
    return frozenset((each.uid, date.fromisoformat(each.start), each.summary) for each in read_by_lint(content).seen)


def test_errors_of_a_server_empty_nothing(subscriber: Subscriber, good: bytes) -> None:
    """Whatever error a server answers with, all is kept, and news are taken in after that."""
    expected = shown_of(good)
    assert len(expected) == 12
    with switched(good) as server:
        garden = subscriber.subscribe("errors", server.url)
        garden.follows(expected)
        for status in (404, 410, 500, 502, 503):
            server.status, server.body = status, b""
            garden.keeps(expected)
        server.status, server.body = 200, feed(forty_chores()[:13])
        garden.follows(shown_of(server.body))


@pytest.mark.parametrize("spoilt", ["empty", "cut off", "page", "broken off"])
def test_control_what_is_spoilt_empties_a_calendar(subscriber: Subscriber, good: bytes, spoilt: str) -> None:
    """With status 200 such an answer deletes every event, and that is seen here: hence 503, and whole files only."""
    half = good[: len(good) // 2]
    bodies = {
        "empty": b"",
        "cut off": half,
        # The connection ends before all that was announced has come; no server can help that.
        "broken off": half,
        "page": b"<!DOCTYPE html><html><body>Come back later.</body></html>",
    }
    with switched(good) as server:
        garden = subscriber.subscribe(f"control-{spoilt.replace(' ', '-')}", server.url)
        garden.follows(shown_of(good))
        server.body = bodies[spoilt]
        server.missing = len(good) - len(half) if spoilt == "broken off" else 0
        garden.follows(frozenset())
        server.body, server.missing = good, 0
        garden.follows(shown_of(good))


def test_control_a_change_without_a_revision_is_lost(subscriber: Subscriber, good: bytes) -> None:
    """A title changed with none of the stamps is not shown; with a higher sequence it is: hence revisions."""
    renamed = good.replace(b"SUMMARY:Sow 6 cells of rocket", b"SUMMARY:Sow 9 cells of rocket")
    assert renamed != good
    with switched(good) as server:
        garden = subscriber.subscribe("unrevised", server.url)
        garden.follows(shown_of(good))
        server.body = renamed
        garden.keeps(shown_of(good))
        server.body = re.sub(rb"SEQUENCE:(\d+)", lambda found: b"SEQUENCE:%d" % (int(found[1]) + 1), renamed)
        garden.follows(shown_of(renamed))
