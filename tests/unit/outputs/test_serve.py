"""The server as people run it: its secret address, its advice to people, and what clients may do to it."""

from __future__ import annotations

import http.client
import re
import shutil
import signal
import socket
import string
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from time import monotonic, sleep

import pytest
from hypothesis import given
from hypothesis import strategies as st

from serving import PATIENCE, Serving, serving
from steadysow.errors import InputFaults
from steadysow.outputs.calendar_state import CalendarState, read_state, write_state
from steadysow.outputs.serve import ServedAddress, address_text, bound, lan_host, qr_text, reach_of, secret_of
from steadysow.plan.plan import Plan
from steadysow.plan.plan_file import save

BASE64 = string.ascii_letters + string.digits + "-_"
SMALL_GARDEN = Path(__file__).parents[2] / "gardens" / "two-totes" / "garden.yaml"
TINY = b"BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\nUID:1\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"


# The secret.


def test_secret_is_random_and_lasts(tmp_path: Path) -> None:
    """The first secret has 128 random bits (22 characters of 6 bits), and stays the same afterwards."""
    secret, is_new = secret_of(tmp_path)
    assert is_new
    assert re.fullmatch(r"[A-Za-z0-9_-]{22}", secret)
    assert secret_of(tmp_path) == (secret, False)
    assert read_state(tmp_path / "calendar-state.json").secret == secret
    (tmp_path / "other").mkdir()
    assert secret_of(tmp_path / "other")[0] != secret


def test_new_secret_replaces_the_old_and_nothing_else(tmp_path: Path) -> None:
    """If a new secret is asked for, only the secret changes in the state."""
    state = CalendarState(secret="0123456789abcdefABCD_-")
    write_state(tmp_path / "calendar-state.json", state)
    secret, is_new = secret_of(tmp_path, is_new=True)
    assert is_new
    assert secret != state.secret
    assert read_state(tmp_path / "calendar-state.json") == replace(state, secret=secret)


@pytest.mark.parametrize("unfit", ["", "short", "../../../etc/passwd/and/more", "with space in it, 22 and more"])
def test_unfit_secret_is_replaced(tmp_path: Path, unfit: str) -> None:
    """A secret that can be guessed, or cannot stand in an address, is replaced."""
    write_state(tmp_path / "calendar-state.json", CalendarState(secret=unfit))
    secret, is_new = secret_of(tmp_path)
    assert is_new
    assert re.fullmatch(r"[A-Za-z0-9_-]{22}", secret)


# The advice to people.


@pytest.mark.parametrize(
    ("host", "reach"),
    [
        ("127.0.0.1", "machine"),
        ("127.8.9.1", "machine"),
        ("::1", "machine"),
        ("localhost", "machine"),
        ("garden.localhost", "machine"),
        # RFC 1918, RFC 3927, RFC 4193, RFC 4291 and RFC 6598.
        ("10.1.2.3", "network"),
        ("172.16.0.1", "network"),
        ("172.31.255.254", "network"),
        ("192.168.1.20", "network"),
        ("169.254.7.7", "network"),
        ("100.64.0.1", "network"),
        ("fd12:3456::1", "network"),
        ("fe80::1", "network"),
        ("shelf.local", "network"),
        ("Shelf.Local.", "network"),
        ("shelf.home.arpa", "network"),
        ("shelf", "network"),
        ("172.32.0.1", "internet"),
        ("8.8.4.4", "internet"),
        ("2606:4700::1111", "internet"),
        ("garden.example.org", "internet"),
        ("local.example.org", "internet"),
    ],
)
def test_reach_goes_by_the_kind_of_address(host: str, reach: str) -> None:
    """Loopback addresses reach the machine, private ranges and .local the network, and all others the internet."""
    assert reach_of(host) == reach


@pytest.mark.parametrize("host", ["127.0.0.1", "192.168.100.200", "8.8.4.4"])
def test_advice_fits_the_address(host: str) -> None:
    """Both forms of the address are given, with advice for those clouds and phones that need it."""
    address = ServedAddress(host=host, port=65535, secret="0123456789abcdefABCD_-")
    text = address_text(address, has_tasks=False, is_new=False)
    assert f"http://{host}:65535/0123456789abcdefABCD_-/calendar.ics\n" in text
    assert f"webcal://{host}:65535/0123456789abcdefABCD_-/calendar.ics\n" in text
    words = " ".join(text.split())
    assert ("cloud cannot reach it" in words) == ("steadysow publish" in words) == (host != "8.8.4.4")
    assert ("On a phone" in words) == ("It goes by http, so others" in words) == (host != "127.0.0.1")
    assert ("--lan" in words) == (host == "127.0.0.1")
    assert all(len(line) <= 80 for line in text.splitlines())
    assert "tasks" not in text
    assert "This address is new" not in words


def test_tasks_and_new_addresses_are_named() -> None:
    """The file of tasks has an address too, and a new address asks people to subscribe again."""
    address = ServedAddress(host="192.168.1.20", port=8765, secret="s")
    text = address_text(address, has_tasks=True, is_new=True)
    for scheme in ("http", "webcal"):
        assert f"{scheme}://192.168.1.20:8765/s/calendar-tasks.ics\n" in text
    assert "This address is new" in text


Mask = Callable[[int, int], bool]
MASKS: tuple[Mask, ...] = (
    lambda row, column: (row + column) % 2 == 0,
    lambda row, _: row % 2 == 0,
    lambda _, column: column % 3 == 0,
    lambda row, column: (row + column) % 3 == 0,
    lambda row, column: (row // 2 + column // 3) % 2 == 0,
    lambda row, column: row * column % 2 + row * column % 3 == 0,
    lambda row, column: (row * column % 2 + row * column % 3) % 2 == 0,
    lambda row, column: ((row + column) % 2 + row * column % 3) % 2 == 0,
)


def read_qr(drawn: str) -> str:
    """Read a QR code of versions 1 to 5 and level L from half blocks, by ISO/IEC 18004, without correcting errors."""
    halves = {" ": (1, 1), "▀": (0, 1), "▄": (1, 0), "█": (0, 0)}
    rows = [[halves[char][half] for char in line] for line in drawn.splitlines() for half in (0, 1)]
    size = len(rows[0])
    quiet = next(number for number, row in enumerate(rows[:size]) if any(row))
    assert quiet >= 2
    assert not any(cell for row in rows[:size] for cell in row[:quiet] + row[size - quiet :])
    code = [row[quiet : size - quiet] for row in rows[quiet : size - quiet]]
    side = len(code)
    version, rest = divmod(side - 17, 4)
    assert (rest, code[side - 8][8]) == (0, 1)
    assert 1 <= version <= 5
    form = int("".join(str(code[8][column]) for column in range(5)), 2) ^ 0b10101
    assert form >> 3 == 0b01, "level L"
    flips = MASKS[form & 0b111]

    def is_data(row: int, column: int) -> bool:
        in_corner = (row < 9 and (column < 9 or column >= side - 8)) or (row >= side - 8 and column < 9)
        in_pattern = version > 1 and max(abs(row - side + 7), abs(column - side + 7)) <= 2
        return not in_corner and not in_pattern and 6 not in (row, column)

    bits = []
    columns = [column for column in range(side) if column != 6][::-1]
    for pair, (right, left) in enumerate(zip(columns[::2], columns[1::2], strict=True)):
        for row in range(side) if pair % 2 else reversed(range(side)):
            bits += [code[row][column] ^ flips(row, column) for column in (right, left) if is_data(row, column)]
    text = "".join(str(int(bit)) for bit in bits)
    assert text[:4] == "0100", "bytes"
    length = int(text[4:12], 2)
    return bytes(int(text[start : start + 8], 2) for start in range(12, 12 + 8 * length, 8)).decode()


@given(host=st.ip_addresses(v=4).map(str), port=st.integers(1, 65535), secret=st.text(BASE64, min_size=22, max_size=22))
def test_qr_code_holds_the_address(host: str, port: int, secret: str) -> None:
    """A strict reader reads the address from the code, and the code fits a terminal of 80 columns."""
    url = ServedAddress(host=host, port=port, secret=secret).url()
    drawn = qr_text(url, is_terminal=False)
    assert read_qr(drawn) == url
    assert max(len(line) for line in drawn.splitlines()) <= 80
    coloured = qr_text(url, is_terminal=True)
    assert re.sub(r"\x1b\[[0-9;]*m", "", coloured) == drawn
    assert all(line.startswith("\x1b[97;40m") for line in coloured.splitlines())


def test_lan_host_is_an_address_of_this_machine() -> None:
    """The machine can listen at the address that is found, which is only possible at its own."""
    try:
        host = lan_host()
    except InputFaults:
        pytest.skip("this machine is in no network")
    with socket.create_server((host, 0)):
        pass


def test_no_network_is_a_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    """On a machine without a network, --lan is a fault."""

    class Unconnected(socket.socket):
        def connect(self, _: object) -> None:
            raise OSError(101, "Network is unreachable")

    monkeypatch.setattr(socket, "socket", Unconnected)
    with pytest.raises(InputFaults, match=r"--lan: this machine is in no network\. Join one, or leave out --lan"):
        lan_host()


def test_taken_port_is_a_fault_that_names_a_free_one() -> None:
    """If a port is taken, the fault names another one, and that one is free."""
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        with pytest.raises(InputFaults, match=rf"--port: port {port} is taken\. Write --port \d+,") as raised:
            bound("127.0.0.1", port)
        free = re.search(r"Write --port (\d+)", str(raised.value))
        assert free
        bound("127.0.0.1", int(free[1])).close()


# The command.


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Give a garden's folder with a tiny calendar."""
    shutil.copy(SMALL_GARDEN, tmp_path)
    (tmp_path / "calendar.ics").write_bytes(TINY)
    return tmp_path


@pytest.fixture
def served(folder: Path) -> Iterator[Serving]:
    """Serve the folder."""
    with serving(folder) as server:
        yield server


def ask(served: Serving, path: str | None = None, method: str = "GET", **headers: str) -> http.client.HTTPResponse:
    """Ask the server over a connection of its own."""
    connection = http.client.HTTPConnection(*served.where, timeout=PATIENCE)
    try:
        connection.request(method, path or served.path, headers=headers)
        response = connection.getresponse()
        response.body = response.read()  # type: ignore[attr-defined]
    finally:
        connection.close()
    return response


def body(response: http.client.HTTPResponse) -> bytes:
    """Give the body of a response."""
    read: bytes = response.body  # type: ignore[attr-defined]
    return read


def talk(served: Serving, sent: bytes) -> bytes:
    """Send bytes, and give everything that comes back until the server closes."""
    with socket.create_connection(served.where, timeout=PATIENCE) as client:
        client.sendall(sent)
        answer = b""
        while chunk := client.recv(65536):
            answer += chunk
        return answer


def log_lines(served: Serving) -> list[str]:
    """Give the log without its times."""
    return [line.split(" ", 1)[1] for line in served.log.read_text(encoding="utf-8").splitlines()]


@pytest.mark.parametrize("with_signal", [signal.SIGINT, signal.SIGTERM])
def test_server_ends_cleanly(served: Serving, with_signal: signal.Signals) -> None:
    """Ctrl-C and SIGTERM end the server with status 0 and a sentence, even while a client holds a connection."""
    with socket.create_connection(served.where, timeout=PATIENCE):
        assert ask(served).status == 200
        assert served.stop(with_signal) == (0, "Ended: the calendar is not served any more.\n")
    with pytest.raises(ConnectionRefusedError):
        socket.create_connection(served.where, timeout=PATIENCE).close()


def test_calendar_goes_over_the_wire(served: Serving, folder: Path) -> None:
    """One connection carries the file, HEAD without a body, the changed file, and 304."""
    connection = http.client.HTTPConnection(*served.where, timeout=PATIENCE)
    try:
        for method, expected in (("GET", TINY), ("HEAD", b""), ("GET", TINY)):
            connection.request(method, served.path)
            response = connection.getresponse()
            assert (response.status, response.read()) == (200, expected)
            assert response.headers["Content-Length"] == str(len(TINY))
            assert response.headers["Server"] == "steadysow"
        changed = TINY.replace(b"UID:1", b"UID:2")
        (folder / "calendar.ics").write_bytes(changed)
        connection.request("GET", served.path, headers={"If-None-Match": response.headers["ETag"]})
        response = connection.getresponse()
        assert (response.status, response.read()) == (200, changed)
        connection.request("GET", served.path, headers={"If-None-Match": response.headers["ETag"]})
        response = connection.getresponse()
        assert (response.status, response.read()) == (304, b"")
    finally:
        connection.close()


def test_broken_calendar_is_logged_and_not_served(served: Serving, folder: Path) -> None:
    """While the file is cut off, the answer is 503 and the log says why; a whole file is served again."""
    (folder / "calendar.ics").write_bytes(TINY[:40])
    response = ask(served)
    assert (response.status, int(response.headers["Retry-After"]) > 0) == (503, True)
    (folder / "calendar.ics").write_bytes(TINY)
    assert ask(served).status == 200
    cut_off = f"GET 503 {len(body(response))} 127.0.0.1 calendar (calendar.ics is cut off: END:VEVENT is missing)"
    assert log_lines(served) == [cut_off, f"GET 200 {len(TINY)} 127.0.0.1 calendar"]


def test_broken_calendar_is_reported_at_the_start(folder: Path) -> None:
    """If the file cannot be served, the command says so at the start, with a remedy."""
    (folder / "calendar.ics").write_bytes(b"")
    with serving(folder) as served:
        log = served.log.read_text(encoding="utf-8")
        assert "calendar.ics is empty: nothing is served until `steadysow calendar` has written it again." in log
        assert ask(served).status == 503


@pytest.mark.parametrize(
    ("sent", "status"),
    [
        (b"GET {path} HTTP/1.1\r\nX: " + b"x" * 9000 + b"\r\n\r\n", 431),
        (b"GET /" + b"x" * 9000 + b" HTTP/1.1\r\n\r\n", 431),
        (b"GET {path} HTTP/1.1\r\n" + b"X: x\r\n" * 2000 + b"\r\n", 431),
        (b"GET {path}\0 HTTP/1.0\r\n\r\n", 404),
        (b"GET {path}%00 HTTP/1.0\r\n\r\n", 404),
        (b"GET /%2e%2e{path} HTTP/1.0\r\n\r\n", 404),
        (b"GET /.{path} HTTP/1.0\r\n\r\n", 404),
        (b"GET /{path} HTTP/1.0\r\n\r\n", 404),
        (b"GET http:{path} HTTP/1.0\r\n\r\n", 404),
        (b"GET http://other.example{path} HTTP/1.0\r\n\r\n", 200),
        (b"GET {path} HTTP/1.0\r\nHost: other.example\r\n\r\n", 200),
        (b"GET {path} HTTP/1.0\r\nX-Forwarded-For: 8.8.8.8\r\n\r\n", 200),
        (b"GET {path} HTTP/1.1\r\nNo colon\r\n\r\n", 400),
        (b"GET {path} HTTP/1.1\r\nX: a\nb\r\n\r\n", 400),
        (b"GET {path} HTTP/1.1\r\nContent-Length: -1\r\n\r\n", 400),
        (b"GET {path} HTTP/1.1\r\nContent-Length: 99999\r\n\r\n", 413),
        (b"PUT {path} HTTP/1.1\r\nContent-Length: 99999\r\n\r\n", 405),
        (b"PUT {path} HTTP/1.0\r\nContent-Length: 3\r\n\r\nabc", 405),
        (b"POST {path} HTTP/1.1\r\nTransfer-Encoding: chunked\r\n\r\nzz\r\n", 400),
        (b"GET {path} HTTP/1.1\r\nTransfer-Encoding: gzip\r\n\r\n", 501),
        (b"get {path} HTTP/1.0\r\n\r\n", 400),
        (b"\x16\x03\x01\x02\x00\x01\r\n\r\n", 400),
        (b"{path}\r\n\r\n", 400),
    ],
)
def test_broken_requests_are_refused(shared: Serving, sent: bytes, status: int) -> None:
    """A broken, too long or malicious request gets a plain answer and one line in the log without the path."""
    lines = len(log_lines(shared))
    answer = talk(shared, sent.replace(b"{path}", shared.path.encode()))
    assert re.match(rb"HTTP/1\.[01] %d " % status, answer)
    assert b"X-Content-Type-Options: nosniff\r\n" in answer
    assert (b"BEGIN:VCALENDAR" in answer) == (status == 200)
    assert (b"Allow: GET, HEAD\r\n" in answer) == (status == 405)
    (line,) = log_lines(shared)[lines:]
    assert re.match(rf"(GET|PUT|POST|\?) {status} \d+ 127\.0\.0\.1 (calendar|\?)", line)
    assert shared.path.split("/")[1] not in shared.log.read_text(encoding="utf-8")
    assert ask(shared).status == 200


@pytest.fixture(scope="module")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Serving]:
    """Serve one folder for all tests that change nothing."""
    folder = tmp_path_factory.mktemp("shared")
    (folder / "calendar.ics").write_bytes(TINY)
    with serving(folder) as served:
        yield served


def test_new_address_ends_the_old_one_also_where_it_is_served(served: Serving, folder: Path) -> None:
    """A second command with --new-address ends the old address in the running server at once."""
    assert ask(served).status == 200
    command = [sys.executable, "-m", "steadysow", "serve", "-g", str(folder), "--new-address", "--port"]
    second = subprocess.run(
        [*command, str(served.where[1])], capture_output=True, text=True, timeout=PATIENCE, check=False
    )
    assert second.returncode == 2
    assert f"port {served.where[1]} is taken" in second.stderr
    found = re.search(r"The address now ends in (/\S+/calendar\.ics),", second.stdout)
    assert found
    assert ask(served).status == 404
    assert body(ask(served, found[1])) == TINY


def test_address_lasts_over_restarts(folder: Path) -> None:
    """The path is the same each time, and is called new only the first time."""
    with serving(folder) as first:
        pass
    with serving(folder) as second:
        assert second.path == first.path
    assert ("This address is new" in first.greeting, "This address is new" in second.greeting) == (True, False)


def test_lan_is_asked_for(folder: Path) -> None:
    """Only with --lan the server answers at its address in the network, and names that address."""
    try:
        host = lan_host()
    except InputFaults:
        pytest.skip("this machine is in no network")
    with serving(folder) as served:
        assert served.where[0] == "127.0.0.1"
        with pytest.raises(ConnectionRefusedError):
            socket.create_connection((host, served.where[1]), timeout=PATIENCE).close()
    with serving(folder, "--lan") as served:
        assert served.where[0] == host
        assert body(ask(served)) == TINY


def test_qr_code_is_drawn_where_asked(folder: Path) -> None:
    """Into a pipe the code is drawn only with --qr, and it holds the address that is printed."""
    with serving(folder) as served:
        assert "█" not in served.greeting
    with serving(folder, "--qr") as served:
        drawn = "\n".join(line for line in served.greeting.splitlines() if re.fullmatch("[ ▀▄█]{20,}", line))
        assert read_qr(drawn) == served.url


def test_missing_calendar_is_written_from_the_plan(folder: Path, plan: Plan) -> None:
    """If the calendar is missing, it is first written from the plan; without a plan that is a fault."""
    (folder / "calendar.ics").unlink()
    command = [sys.executable, "-m", "steadysow", "serve", "-g", str(folder), "--port", "0"]
    ended = subprocess.run(command, capture_output=True, text=True, timeout=PATIENCE, check=False)
    assert (ended.returncode, ended.stdout) == (2, "")
    assert "there is no plan yet. Run `steadysow plan`." in ended.stderr
    save(replace(plan, batches=()), folder)
    with serving(folder, "--today", "2026-10-03") as served:
        assert body(ask(served)) == (folder / "calendar.ics").read_bytes()
        assert b"Nothing planned" in (folder / "calendar.ics").read_bytes()


# Clients that hold on.

IMPATIENT = """
import sys
from datetime import UTC, datetime
from pathlib import Path
from steadysow.outputs.subscription import Subscription
from steadysow.outputs.serve import ServedAddress, Limits, Server, bound, secret_of
folder = Path(sys.argv[2])
secret, _ = secret_of(folder)
listener = bound("127.0.0.1", 0)
log = lambda line: print(line, file=sys.stderr, flush=True)
subscription = Subscription(folder, secret, now=lambda: datetime.now(UTC), log=log)
def announce():
    print(ServedAddress(host="127.0.0.1", port=listener.getsockname()[1], secret=secret).url())
    print("Ctrl-C ends it.", flush=True)
Server(subscription, listener, Limits(seconds=2, connections=230)).run(announce)
"""


def test_slow_clients_starve_nobody_and_are_cut_off(folder: Path) -> None:
    """While 200 clients send their headers byte by byte, others get answers; in the end all 200 are cut off."""
    with serving(folder, command=("-c", IMPATIENT)) as served:
        slow = [socket.create_connection(served.where, timeout=PATIENCE) for _ in range(200)]
        try:
            until, answered, is_open = monotonic() + PATIENCE, 0, set(slow)
            while is_open:
                assert monotonic() < until, f"{len(is_open)} of 200 trickling clients are still held"
                for client in tuple(is_open):
                    client.setblocking(False)
                    try:
                        client.send(b"G")
                        if client.recv(1) == b"":
                            is_open.remove(client)
                    except BlockingIOError:
                        pass
                    except OSError:
                        is_open.remove(client)
                assert body(ask(served)) == TINY
                answered += len(is_open) == len(slow)
                sleep(0.05)
            assert answered >= 1, "others were answered while all slow clients were held"
        finally:
            for client in slow:
                client.close()
        assert served.stop()[0] == 0


def test_silent_clients_are_cut_off(folder: Path) -> None:
    """The server closes a connection that stays silent, before or after a request."""
    with serving(folder, command=("-c", IMPATIENT)) as served:
        assert talk(served, b"") == b""
        answer = talk(served, f"GET {served.path} HTTP/1.1\r\nHost: here\r\n\r\n".encode())
        assert answer.endswith(TINY)
