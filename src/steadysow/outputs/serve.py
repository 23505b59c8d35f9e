"""The server of the calendar, for the phones of a household.

It has one secret address, which it gives as text and QR code.  A `Subscription` knows the answers, and `Server` sends
them until it is stopped.  Slow, silent, broken or too many requests do not stop it.
"""

from __future__ import annotations

import errno
import ipaddress
import logging
import secrets
import signal
import socket
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, replace
from http import HTTPStatus
from io import StringIO
from pathlib import Path
from textwrap import fill
from typing import Any, Literal

import segno
from waitress import wasyncore
from waitress.channel import HTTPChannel
from waitress.server import TcpWSGIServer, create_server
from waitress.task import ErrorTask

from steadysow.errors import Fault, InputFaults
from steadysow.outputs.calendar_state import CALENDAR_NAME, STATE_NAME, TASKS_NAME, read_state, write_state
from steadysow.outputs.subscription import METHODS, SECRET, Subscription, headers_of, plain, wrong_method

Reach = Literal["machine", "network", "internet"]

_SECRET_BYTES = 16

# An address that is reserved for documentation (RFC 5737): nobody answers there, and nothing is sent.
_NOWHERE = ("192.0.2.1", 9)
_PORTS_TRIED = 50
_HIGHEST_PORT = 65535


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Limits for each client, so that others still get their answers.

    Attributes
    ----------
    seconds
        The longest time for sending a request, and between requests or parts of an answer [s].
    header_bytes, body_bytes
        The largest head and body of a request.  A larger request is refused unread.
    connections
        The most connections at a time; more have to wait.
    threads
        The number of answers prepared at a time.
    """

    seconds: int = 15
    header_bytes: int = 8192
    body_bytes: int = 1024
    connections: int = 500
    threads: int = 4


# The address.


@dataclass(frozen=True, slots=True, kw_only=True)
class ServedAddress:
    """The address at which the calendar is served."""

    host: str
    port: int
    secret: str

    def url(self, scheme: str = "http", name: str = CALENDAR_NAME) -> str:
        """Give the address that a phone subscribes to."""
        return f"{scheme}://{self.host}:{self.port}/{self.secret}/{name}"


def secret_of(folder: Path, *, is_new: bool = False) -> tuple[str, bool]:
    """Give the secret of a garden's address, and whether it was made just now.

    Parameters
    ----------
    folder
        The garden's folder.  The state of its calendar keeps the secret.
    is_new
        Whether to make a new secret.  The old address then stops working.
    """
    state = read_state(folder / STATE_NAME)
    if SECRET.fullmatch(state.secret) and not is_new:
        return state.secret, False
    secret = secrets.token_urlsafe(_SECRET_BYTES)
    write_state(folder / STATE_NAME, replace(state, secret=secret))
    return secret, True


def lan_host() -> str:
    """Give this machine's address in its network, without sending anything.

    Raises
    ------
    InputFaults
        If the machine is in no network.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(_NOWHERE)
        except OSError as error:
            raise _fault("--lan", "this machine is in no network", "Join one, or leave out --lan") from error
        return str(probe.getsockname()[0])


def reach_of(host: str) -> Reach:
    """Say from where a host can be reached, judged by its name or number alone."""
    try:
        number = ipaddress.ip_address(host)
    except ValueError:
        name = host.casefold().rstrip(".")
        if name == "localhost" or name.endswith(".localhost"):
            return "machine"
        is_local = "." not in name or name.endswith((".local", ".lan", ".home", ".internal", ".home.arpa"))
        return "network" if is_local else "internet"
    if number.is_loopback:
        return "machine"
    return "internet" if number.is_global else "network"


def address_text(address: ServedAddress, *, has_tasks: bool, is_new: bool, width: int = 80) -> str:
    """Give the address for a person to read, with what to do with it and who can read the calendar.

    Parameters
    ----------
    address
        The address at which the calendar is served.
    has_tasks
        Whether there is a file of tasks beside the calendar.
    is_new
        Whether the secret was made just now.
    width
        The greatest length of a line, in characters.  An address is never broken.
    """
    lines = [f"Calendar: {address.url()}", f"          {address.url('webcal')}"]
    if has_tasks:
        lines += [f"Tasks:    {address.url(name=TASKS_NAME)}", f"          {address.url('webcal', TASKS_NAME)}"]
    advice = [_NEW] if is_new else []
    advice += _ADVICE[reach_of(address.host)]
    return "\n\n".join(("\n".join(lines), *(fill(each, width, break_on_hyphens=False) for each in advice)))


_NEW = "This address is new: subscribe to it again. An older address does not work any more."
_MACHINE = "Only programs on this machine can read it. For a phone in your network, add --lan."
_PHONE = (
    "On a phone in this network, scan the code, or copy the address to where its calendar app subscribes to calendars "
    "(subscribed calendar, add by address, from URL). A phone that knows the webcal:// form offers to subscribe by "
    "itself. Do not import the file: an imported calendar never changes again. The phone gets news only in this "
    "network and while this command runs. Set the router to give this machine always the same address."
)
_NETWORK = (
    "Whoever is in this network and has the address can read the calendar. It goes by http, so others in the network "
    "can read along. --new-address makes a new address and ends this one."
)
_INTERNET = (
    "This machine can be reached from the internet: whoever has the address can read the calendar. It goes by http, so "
    "others on the way can read along. --new-address makes a new address and ends this one."
)
_CLOUD = (
    "A calendar in the cloud cannot reach it: neither this machine itself (127.0.0.1, localhost) nor the addresses of "
    "a home network (10.x, 172.16.x to 172.31.x, 192.168.x, names in .local). For such a calendar, put the file on "
    "your own public https web space with `steadysow publish`, or publish to a CalDAV account that the phone has."
)
_ADVICE: dict[Reach, tuple[str, ...]] = {
    "machine": (_MACHINE, _CLOUD),
    "network": (_PHONE, _NETWORK, _CLOUD),
    "internet": (_PHONE, _INTERNET),
}


def qr_text(text: str, *, is_terminal: bool) -> str:
    """Give a QR code in half blocks, two rows on a line, with the quiet zone that scanners need.

    Parameters
    ----------
    text
        The text of the code.
    is_terminal
        Whether to set the colours: on a light background the code would otherwise be inverted.
    """
    drawn = StringIO()
    segno.make_qr(text, error="l", boost_error=False).terminal(out=drawn, border=2, compact=True)
    lines = drawn.getvalue().rstrip("\n").split("\n")
    return "\n".join(f"\x1b[97;40m{line}\x1b[0m" if is_terminal else line for line in lines)


# The server.


class _Refusal(ErrorTask):
    """The answer to a broken or too large request."""

    def execute(self) -> None:
        request: Any = self.request
        subscription: Any = self.channel.server.application
        # A broken request may have no method.
        method = str(getattr(request, "command", "?"))
        if request.error.code == HTTPStatus.REQUEST_ENTITY_TOO_LARGE and method not in METHODS:
            answer = wrong_method("?")
        else:
            status = HTTPStatus(request.error.code)
            answer = plain(status, f"{status.phrase}.", why=status.phrase.casefold())
        subscription.log_answer(method, answer, str(self.channel.addr[0]))
        self.status = f"{answer.status.value} {answer.status.phrase}"
        self.response_headers = list(headers_of(answer))
        self.set_close_on_finish()
        self.content_length = len(answer.body)
        self.write(answer.body)


class _Channel(HTTPChannel):
    """A connection that is closed if the whole request does not arrive in time, however slowly it trickles in."""

    error_task_class = _Refusal

    def handle_read(self) -> None:
        before = self.last_activity
        super().handle_read()
        if self.request is not None:
            self.last_activity = before


class _ServerLog(logging.Handler):
    """Passes the server's messages to our log, without the paths in them."""

    def __init__(self, subscription: Subscription) -> None:
        super().__init__(logging.WARNING)
        self._subscription = subscription

    def emit(self, record: logging.LogRecord) -> None:
        failed = record.exc_info[0] if record.exc_info else None
        message = f"server: a fault ({failed.__name__})" if failed else f"server: {record.getMessage()}"
        self._subscription.log(message)


def bound(host: str, port: int) -> socket.socket:
    """Listen at a port of this machine.

    Raises
    ------
    InputFaults
        If the port is taken or reserved.  The fault names a free port.
    """
    try:
        return socket.create_server((host, port))
    except OSError as error:
        if error.errno not in (errno.EADDRINUSE, errno.EACCES):
            raise
        wrong = f"port {port} is taken" if error.errno == errno.EADDRINUSE else f"port {port} is reserved"
        raise _fault("--port", wrong, f"Write --port {_free_port(host, max(port, 1024))}, which is free") from error


def _free_port(host: str, above: int) -> int:
    for port in range(above + 1, min(above + _PORTS_TRIED, _HIGHEST_PORT)):
        with suppress(OSError), socket.create_server((host, port)):
            return port
    with socket.create_server((host, 0)) as free:
        return int(free.getsockname()[1])


class Server:
    """Serves a subscription at a socket until it is stopped.

    Parameters
    ----------
    subscription
        Gives the answers.
    listener
        A bound socket.  The server closes it at the end.
    limits
        Limits for each client.
    """

    def __init__(self, subscription: Subscription, listener: socket.socket, limits: Limits | None = None) -> None:
        limits = limits or Limits()
        self._channels: dict[int, Any] = {}
        options: dict[str, Any] = {
            "threads": limits.threads,
            "connection_limit": min(limits.connections, _most_files() - 56),
            "channel_timeout": limits.seconds,
            "cleanup_interval": max(1, limits.seconds // 3),
            # If a request is left unread when the connection closes, the client loses the answer.
            "recv_bytes": 8 * limits.header_bytes,
            "max_request_header_size": limits.header_bytes,
            "max_request_body_size": limits.body_bytes,
            "ident": "steadysow",
            "asyncore_use_poll": True,
            "log_socket_errors": False,
            # We use no such headers.  To clear them would wrap the subscription, which `_Refusal` needs.
            "clear_untrusted_proxy_headers": False,
        }
        log = logging.getLogger("waitress")
        log.handlers = [_ServerLog(subscription)]
        log.propagate = False
        # Requests that wait for a thread are nothing to report.
        logging.getLogger("waitress.queue").setLevel(logging.ERROR)
        server = create_server(subscription, map=self._channels, sockets=[listener], **options)
        assert isinstance(server, TcpWSGIServer)
        server.channel_class = _Channel
        self._server = server

    def run(self, on_ready: Callable[[], None] = lambda: None) -> None:
        """Answer until Ctrl-C or SIGTERM.

        Parameters
        ----------
        on_ready
            Called when connections are accepted and a signal can end the server.
        """
        before = signal.signal(signal.SIGTERM, signal.default_int_handler)
        with suppress(KeyboardInterrupt):
            try:
                on_ready()
                self._server.run()
            finally:
                signal.signal(signal.SIGTERM, before)
                self._server.task_dispatcher.shutdown()
                wasyncore.close_all(self._channels)


def _most_files() -> int:
    """Give the number of files and connections that this process may have open."""
    try:
        import resource
    except ImportError:
        return 512
    most, _ = resource.getrlimit(resource.RLIMIT_NOFILE)
    return 65536 if most == resource.RLIM_INFINITY else most


def _fault(file: str, wrong: str, write: str) -> InputFaults:
    return InputFaults((Fault(file=file, line=None, field="", wrong=wrong, write=write),))
