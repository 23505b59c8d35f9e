"""Publishing to Radicale, a real CalDAV server; vdirsyncer and khal, real clients, read what it then holds."""

from __future__ import annotations

import base64
import json
import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterable, Iterator
from contextlib import closing
from dataclasses import dataclass, replace
from datetime import timedelta
from pathlib import Path

import pytest
from icalendar import Calendar

from clients.feeds import GARDEN, NOW, PLAN, sowing
from steadysow.chores.chore import Chore
from steadysow.inputs.calendar_style import CalendarStyle
from steadysow.outputs.calendar_state import CalendarState
from steadysow.outputs.ical import calendar_bytes
from steadysow.outputs.publish import publish_events
from steadysow.outputs.publish_run import Report
from steadysow.outputs.web import Address, Connection, Exchange, Headers, RemoteServer, Response, read_address

SMALL_GARDEN = Path(__file__).parents[1] / "gardens" / "two-totes"
TODAY = "2026-10-03"
DENTIST = b"".join(
    line + b"\r\n"
    for line in (
        b"BEGIN:VCALENDAR",
        b"VERSION:2.0",
        b"PRODID:-//a person//EN",
        b"BEGIN:VEVENT",
        b"UID:dentist",
        b"DTSTAMP:20261001T080000Z",
        b"DTSTART;VALUE=DATE:20261020",
        b"SUMMARY:Dentist",
        b"DESCRIPTION:Bring the card",
        b"END:VEVENT",
        b"END:VCALENDAR",
    )
)


@dataclass(frozen=True)
class Radicale:
    """A running server."""

    url: str

    def ask(self, method: str, path: str, body: bytes | None = None) -> bytes:
        """Ask it as a person's own client does, by other code than ours."""
        request = urllib.request.Request(self.url + path, data=body, method=method)  # noqa: S310 - on this machine
        request.add_header("Authorization", "Basic " + base64.b64encode(b"me:sesame").decode())
        request.add_header("Content-Type", "text/calendar")
        with urllib.request.urlopen(request, timeout=20) as answer:  # noqa: S310 - on this machine
            content: bytes = answer.read()
        return content

    def shows(self, collection: str) -> set[tuple[str, ...]]:
        """Give everything in a collection."""
        return shown(self.ask("GET", f"/me/{collection}/"))


def shown(content: bytes) -> set[tuple[str, ...]]:
    """Give UID, day, title, text and place of each event."""
    return {
        (
            str(event["uid"]),
            str(event.decoded("dtstart")),
            *(str(event.get(name, "")) for name in ("summary", "description", "location")),
        )
        for event in Calendar.from_ical(content).walk("VEVENT")
    }


@pytest.fixture(scope="module")
def radicale(clients: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Radicale]:
    """Run Radicale on a free port, with one user."""
    folder = tmp_path_factory.mktemp("radicale")
    with closing(socket.create_server(("127.0.0.1", 0))) as free:
        port = free.getsockname()[1]
    (folder / "users").write_text("me:sesame\n")
    (folder / "config").write_text(
        f"[server]\nhosts = 127.0.0.1:{port}\n"
        f"[auth]\ntype = htpasswd\nhtpasswd_filename = {folder / 'users'}\nhtpasswd_encryption = plain\ndelay = 0\n"
        f"[storage]\nfilesystem_folder = {folder / 'data'}\n"
    )
    environment = {"PATH": os.environ["PATH"], "HOME": str(folder)}
    with (folder / "log").open("wb") as log:
        command = [str(clients / "bin" / "radicale"), "--config", str(folder / "config")]
        server = subprocess.Popen(command, stdout=log, stderr=log, env=environment)
    try:
        for _ in range(300):
            assert server.poll() is None, f"Radicale ended: {(folder / 'log').read_text()}"
            try:
                socket.create_connection(("127.0.0.1", port), timeout=1).close()
                break
            except OSError:
                time.sleep(0.1)
        else:
            pytest.fail(f"Radicale does not answer: {(folder / 'log').read_text()}")
        yield Radicale(f"http://127.0.0.1:{port}")
    finally:
        server.terminate()
        try:
            server.wait(10)
        except subprocess.TimeoutExpired:
            server.kill()
            server.wait(10)


# Interrupted at every request.


CHORES = tuple(
    sowing(number, f"Sow {number} cells; mizuna, bok choy", "Two seeds a cell\nand a lid") for number in range(1, 6)
)
# Moved, renamed, dropped, added; two stay.
REPLANNED = (
    replace(CHORES[0], on=CHORES[0].on + timedelta(days=9)),
    replace(CHORES[1], title="Sow none"),
    *CHORES[3:],
    sowing(9, "Sow late"),
)


def calendars(*plans: Iterable[Chore]) -> tuple[bytes, ...]:
    """Write one calendar after the other, each a revision of the one before."""
    state = CalendarState()
    written = []
    for number, chores in enumerate(plans):
        moment = NOW + timedelta(days=number)
        content, state = calendar_bytes(GARDEN, PLAN, tuple(chores), state, moment)
        written.append(content)
    return tuple(written)


class Killed(BaseException):
    """The end of our process, at once."""


@dataclass
class Interrupting:
    """Passes requests on, and ends our process at one, before or after the server has acted."""

    pass_on: Exchange
    state: Path
    at: int
    has_acted: bool
    state_then: bytes | None = None

    def __call__(self, address: Address, method: str, headers: Headers, body: bytes | None) -> Response:
        """Pass a request on, or end."""
        self.at -= 1
        if self.at >= 0:
            return self.pass_on(address, method, headers, body)
        if self.has_acted:
            self.pass_on(address, method, headers, body)
        self.state_then = self.state.read_bytes() if self.state.exists() else None
        raise Killed

    def power_off(self) -> None:
        """Leave the state as it was at that moment, as if nothing had tidied up."""
        if self.state_then is None:
            self.state.unlink(missing_ok=True)
        else:
            self.state.write_bytes(self.state_then)


def publish(radicale: Radicale, collection: str, content: bytes, state: Path, exchange: Exchange) -> Report:
    """Publish to a collection of the server, made if need be."""
    address = read_address(f"{radicale.url}/me/{collection}/")
    server = RemoteServer(exchange=exchange, user="me", password="sesame")
    return publish_events(content, address, server, state, make_collection=True)


@pytest.mark.client
@pytest.mark.parametrize("has_acted", [False, True])
def test_radicale_holds_the_plan_after_any_interruption(radicale: Radicale, tmp_path: Path, has_acted: bool) -> None:
    """Interrupted at every request in turn, of the first publishing and of a re-plan, the next run puts all right."""
    first, second = calendars(CHORES, REPLANNED)
    with closing(Connection()) as connection:
        for number in range(30):
            collection, state = f"interrupted-{has_acted}-{number}", tmp_path / f"{number}.json"
            was_interrupted = False
            for content, foreign in ((first, b""), (second, DENTIST)):
                if foreign:
                    radicale.ask("PUT", f"/me/{collection}/dentist.ics", foreign)
                exchange = Interrupting(connection, state, number, has_acted)
                try:
                    publish(radicale, collection, content, state, exchange)
                except Killed:
                    exchange.power_off()
                    was_interrupted = True
                report = publish(radicale, collection, content, state, connection)
                assert report.is_complete
                assert report.left == []
                assert radicale.shows(collection) == shown(content) | (shown(foreign) if foreign else set())
            report = publish(radicale, collection, second, state, connection)
            assert (report.new, report.changed, report.deleted) == (0, 0, 0)
            if not was_interrupted:
                break
    # The list, the making of the collection, the list, and each event.
    assert number == 3 + len(CHORES)


@pytest.mark.client
def test_edits_of_a_person_survive(radicale: Radicale, tmp_path: Path) -> None:
    """A chore that a person renamed in the calendar is told and left, one that they deleted stays away."""
    first, second = calendars(CHORES, REPLANNED)
    state = tmp_path / "state.json"
    with closing(Connection()) as connection:
        publish(radicale, "edited", first, state, connection)
        moved, renamed = (next(uid for uid, *rest in shown(first) if rest[1] == chore.title) for chore in CHORES[:2])
        edited = radicale.ask("GET", f"/me/edited/{moved}.ics").replace(b"SUMMARY:", b"SUMMARY:With grandpa: ")
        radicale.ask("PUT", f"/me/edited/{moved}.ics", edited)
        radicale.ask("DELETE", f"/me/edited/{renamed}.ics")
        report = publish(radicale, "edited", second, state, connection)
    assert not report.is_complete
    assert len(report.left) == 2
    untouched = {each for each in shown(second) if each[0] not in (moved, renamed)}
    assert radicale.shows("edited") == untouched | shown(edited)


# From the garden to the phone.


def steadysow(folder: Path, *arguments: str, status: int = 0) -> str:
    """Run a command on a garden, with the password in the environment."""
    command = [sys.executable, "-m", "steadysow", *arguments, "-g", str(folder)]
    environment = {**os.environ, "STEADYSOW_PASSWORD": "sesame"}
    ended = subprocess.run(command, capture_output=True, text=True, env=environment, timeout=120, check=False)
    assert ended.returncode == status, ended.stdout + ended.stderr
    assert "sesame" not in ended.stdout + ended.stderr
    return ended.stdout


@dataclass(frozen=True)
class Phone:
    """vdirsyncer and khal, as a person sets them up."""

    programs: Path
    folder: Path

    def _run(self, program: str, *arguments: str) -> str:
        environment = {"PATH": os.environ["PATH"], "LANG": "C.UTF-8", "HOME": str(self.folder)}
        command = [str(self.programs / "bin" / program), "-c", str(self.folder / program), *arguments]
        ended = subprocess.run(
            command, capture_output=True, text=True, env=environment, timeout=60, check=False, stdin=subprocess.DEVNULL
        )
        assert ended.returncode == 0, ended.stdout + ended.stderr
        return ended.stdout

    def set_up(self, url: str) -> None:
        """Let both know of the collection."""
        (self.folder / "events").mkdir()
        (self.folder / "vdirsyncer").write_text(
            f'[general]\nstatus_path = "{self.folder}/status"\n'
            '[pair garden]\na = "there"\nb = "here"\ncollections = null\nconflict_resolution = "a wins"\n'
            f'[storage there]\ntype = "caldav"\nurl = "{url}"\nusername = "me"\npassword = "sesame"\n'
            f'[storage here]\ntype = "filesystem"\npath = "{self.folder}/events"\nfileext = ".ics"\n'
        )
        formats = ("dateformat", "longdateformat", "datetimeformat", "longdatetimeformat")
        (self.folder / "khal").write_text(
            f"[calendars]\n[[garden]]\npath = {self.folder}/events\n[sqlite]\npath = {self.folder}/khal.db\n"
            "[locale]\ntimeformat = %H:%M\nlocal_timezone = UTC\ndefault_timezone = UTC\n"
            + "".join(f"{name} = %Y-%m-%d\n" for name in formats)
        )
        self._run("vdirsyncer", "discover")

    def shows(self) -> set[tuple[str, ...]]:
        """Sync, and give UID, day, title, text and place of what the calendar shows in two years."""
        self._run("vdirsyncer", "sync")
        fields = "\x1f".join(("{uid}", "{start-date}", "{title}", "{description}", "{location}"))
        listed = self._run("khal", "list", "--day-format", "", "--format", f"{fields}\x1e", "2026-09-01", "730d")
        seen = [tuple(each.strip("\n").split("\x1f")) for each in listed.split("\x1e") if each.strip()]
        assert len(seen) == len(set(seen)), "something is shown twice"
        return set(seen)


@pytest.mark.client
def test_clients_show_the_plan_and_each_re_plan(radicale: Radicale, clients: Path, tmp_path: Path) -> None:
    """Published by the command, synced by vdirsyncer, listed by khal: each chore as planned, also after a re-plan."""
    folder = Path(shutil.copytree(SMALL_GARDEN, tmp_path / "garden"))
    url = f"{radicale.url}/me/garden/"
    log_in = ("publish", url, "--user", "me", "--today", TODAY)
    steadysow(folder, "plan", "--today", TODAY, "--seconds", "120")
    assert "--make-collection" in steadysow(folder, *log_in, status=2)
    steadysow(folder, *log_in, "--make-collection")
    radicale.ask("PUT", "/me/garden/dentist.ics", DENTIST)
    (tmp_path / "phone").mkdir()
    phone = Phone(clients, tmp_path / "phone")
    phone.set_up(url)
    first = (folder / "calendar.ics").read_bytes()
    assert phone.shows() == shown(first) | shown(DENTIST)

    told = json.loads(steadysow(folder, "chores", "--today", TODAY, "--days", "3660", "--json"))
    assert sorted(day for _, day, *_ in shown(first)) == sorted(chore["on"] for chore in told["chores"])

    garden = folder / "garden.yaml"
    garden.write_text(garden.read_text().replace("grams_a_week: 40", "grams_a_week: 70"))
    steadysow(folder, "plan", "--today", TODAY, "--seconds", "120")
    assert (folder / "calendar.ics").read_bytes() != first
    steadysow(folder, *log_in, "--dry-run")
    assert phone.shows() == shown(first) | shown(DENTIST)
    steadysow(folder, *log_in)
    second = (folder / "calendar.ics").read_bytes()
    assert shown(second) != shown(first)
    assert phone.shows() == shown(second) | shown(DENTIST)
    assert "0 new, 0 changed, 0 deleted, 0 left alone" in steadysow(folder, *log_in)
    assert b"sesame" not in b"".join(file.read_bytes() for file in folder.rglob("*") if file.is_file())


@pytest.mark.client
def test_style_of_one_event_a_day_is_published_as_well(radicale: Radicale, tmp_path: Path) -> None:
    """With one event a day, and an alarm, the server shows the same days and texts as the calendar."""
    garden = replace(GARDEN, calendar=CalendarStyle(detail="daily"))
    chores = (*CHORES, replace(CHORES[0], key="99/sow/1", title="Sow more"))
    content, _ = calendar_bytes(garden, PLAN, chores, CalendarState(), NOW)
    with closing(Connection()) as connection:
        assert publish(radicale, "daily", content, tmp_path / "state.json", connection).is_complete
    assert radicale.shows("daily") == shown(content)
    assert {day for _, day, *_ in shown(content)} == {chore.on.isoformat() for chore in chores}
