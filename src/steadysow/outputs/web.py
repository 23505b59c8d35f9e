"""Requests to one server on the web, over one connection.

Takes an address, a name and a password.  Returns responses, or raises a `Trouble` that says what is wrong and what to
do.  It keeps the connection open, follows redirects on the same host, and waits for a busy server.  The password is in
no message.
"""

from __future__ import annotations

import base64
import http.client
import ipaddress
import re
import socket
import ssl
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from urllib.parse import quote, urljoin, urlsplit

from steadysow.errors import Fault, InputFaults

# The longest wait for an answer [s].
_PATIENCE = 30.0
# The waits before a busy server is asked again [s].
_WAITS = (1.0, 4.0, 15.0)
# The longest wait that a server may ask for [s].
_LONGEST_WAIT = 60.0
# More than any calendar has: a server that sends more is not a calendar server [bytes].
_LARGEST_ANSWER = 64_000_000
_REDIRECTS = 5
_PORTS = {"http": 80, "https": 443}

Headers = Mapping[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Address:
    """A place on a server; `path` is in the form that is sent, with percent signs."""

    scheme: str
    host: str
    port: int
    path: str

    def __str__(self) -> str:
        """Give the address as a person would write it."""
        return f"{self.origin}{self.path}"

    @property
    def origin(self) -> str:
        """Scheme, host and port."""
        host = f"[{self.host}]" if ":" in self.host else self.host
        return f"{self.scheme}://{host}" if self.port == _PORTS[self.scheme] else f"{self.scheme}://{host}:{self.port}"

    @property
    def is_readable_on_the_way(self) -> bool:
        """Whether others on the way can read what is sent there."""
        if self.scheme == "https" or self.host == "localhost":
            return False
        try:
            return not ipaddress.ip_address(self.host).is_loopback
        except ValueError:
            return True

    def inside(self, name: str) -> Address:
        """Give the address of something in this folder."""
        return replace(self, path=f"{self.path.removesuffix('/')}/{quote(name)}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Response:
    """What a server sent back; names of headers are in lower case."""

    status: int
    headers: Headers
    body: bytes
    address: Address

    @property
    def etag(self) -> str:
        """The server's tag of this version, or an empty text."""
        return self.headers.get("etag", "")


class Trouble(Exception):
    """What went wrong with a server, and what a person can do about it.

    Attributes
    ----------
    wrong, write
        What is wrong, and the remedy: sentences without their full stops, as in a `Fault`.
    status
        The status that the server answered; 0 if it did not answer.
    """

    def __init__(self, wrong: str, write: str, status: int = 0) -> None:
        self.wrong = wrong
        self.write = write
        self.status = status
        super().__init__(f"{wrong}. {write}.")


Exchange = Callable[[Address, str, Headers, bytes | None], Response]


def read_address(text: str) -> Address:
    """Read an address that a person typed.

    Raises
    ------
    InputFaults
        If nothing can be published there, or the text holds a password.  The fault does not repeat the password.
    """
    try:
        parts = urlsplit(text.strip())
        host, port = parts.hostname or "", parts.port
    except ValueError:
        raise _no_address("it is not an address", "Write it as in https://example.org/me/garden/") from None
    if "@" in parts.netloc:
        write = "Leave out what stands before the @; give the name with --user, the password when asked"
        raise _no_address("an address must not hold a name or password", write)
    if parts.scheme not in _PORTS or not host:
        write = "Write it in full, as in https://example.org/me/garden/"
        raise _no_address("the address begins with neither https:// nor http://", write)
    if parts.query or parts.fragment:
        raise _no_address("the address has a part after ? or #", "Leave that part out")
    try:
        host = host if host.isascii() else host.encode("idna").decode("ascii")
    except UnicodeError:
        raise _no_address("no server can have such a name", "Check the address") from None
    path = quote(parts.path or "/", safe="/%:@!$&'()*+,;=~-._")
    return Address(scheme=parts.scheme, host=host, port=_PORTS[parts.scheme] if port is None else port, path=path)


def check_user(address: Address, user: str, *, may_be_read: bool, keep_password: bool) -> None:
    """Check the name to log in with, and that nobody on the way can read the password.

    Parameters
    ----------
    address, user
        The address, and the name there.  Empty if nobody logs in.
    may_be_read
        Whether the person allows others on the way to read the password.
    keep_password
        Whether the person wants to keep the password.

    Raises
    ------
    InputFaults
        If the name cannot be used, is missing, or others could read the password.
    """
    if keep_password and not user:
        raise _fault("--keep-password", "a password belongs to a name", "Add --user NAME")
    if not user:
        return
    if ":" in user or not user.isprintable():
        raise _fault("--user", "a name must not hold a colon or unprintable characters", "Check the name")
    if address.is_readable_on_the_way and not may_be_read:
        wrong = f"over http:// anybody on the way to {address.host} can read the password"
        write = "Use https://. If the network is yours alone, add --plain-http"
        raise _fault("URL", wrong, write)


def _no_address(wrong: str, write: str) -> InputFaults:
    return _fault("URL", wrong, write)


def _fault(where: str, wrong: str, write: str) -> InputFaults:
    return InputFaults((Fault(file=where, line=None, field="", wrong=wrong, write=write),))


class Connection:
    """A connection that stays open between requests: the usual `Exchange`.

    Parameters
    ----------
    seconds
        The longest wait for an answer [s].
    """

    def __init__(self, seconds: float = _PATIENCE) -> None:
        self._seconds = seconds
        self._origin = ""
        self._open: http.client.HTTPConnection | None = None

    def __call__(self, address: Address, method: str, headers: Headers, body: bytes | None) -> Response:
        """Send one request and read its whole answer.

        If the server has closed the idle connection, the request is sent once more over a new one.  The server may then
        have carried it out twice.
        """
        was_open = self._open is not None and self._origin == address.origin
        try:
            return self._ask(address, method, headers, body)
        except (http.client.RemoteDisconnected, ConnectionResetError, BrokenPipeError):
            if not was_open:
                raise
            return self._ask(address, method, headers, body)

    def _ask(self, address: Address, method: str, headers: Headers, body: bytes | None) -> Response:
        if self._open is None or self._origin != address.origin:
            self.close()
            self._open = self._connect(address)
            self._origin = address.origin
        try:
            self._open.request(method, address.path, body=body, headers=dict(headers))
            response = self._open.getresponse()
            content = response.read(_LARGEST_ANSWER + 1)
            if len(content) > _LARGEST_ANSWER:
                raise Trouble(f"{address.host} sends more than any calendar holds", "Check the address")
        except BaseException:
            # What is left on the connection would be taken for the next answer.
            self.close()
            raise
        received = {name.lower(): value for name, value in response.getheaders()}
        return Response(status=response.status, headers=received, body=content, address=address)

    def _connect(self, address: Address) -> http.client.HTTPConnection:
        if address.scheme == "http":
            return http.client.HTTPConnection(address.host, address.port, timeout=self._seconds)
        context = ssl.create_default_context()
        return http.client.HTTPSConnection(address.host, address.port, timeout=self._seconds, context=context)

    def close(self) -> None:
        """Close the connection; the next request opens it again."""
        if self._open is not None:
            self._open.close()
            self._open = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RemoteServer:
    """A server, with the name and password to use there.

    Attributes
    ----------
    exchange
        Sends one request, such as a `Connection`.
    user, password
        The name and password.  Without a name, nobody logs in.  The representation of this value hides the password.
    wait
        Waits for some seconds before a busy server is asked again.
    """

    exchange: Exchange = field(repr=False)
    user: str = ""
    password: str = field(default="", repr=False)
    wait: Callable[[float], None] = field(default=time.sleep, repr=False)

    def ask(self, address: Address, method: str, body: bytes | None = None, headers: Headers | None = None) -> Response:
        """Send a request, follow its redirects, and repeat it if the server is busy.

        A repeated request may have been carried out the first time.

        Raises
        ------
        Trouble
            If the server does not answer, stays busy, or redirects to another server.
        """
        sent = {"User-Agent": "steadysow", **(headers or {})}
        if self.user:
            pair = f"{self.user}:{self.password}".encode()
            sent["Authorization"] = f"Basic {base64.b64encode(pair).decode()}"
        first = address
        for _ in range(_REDIRECTS + 1):
            answer = self._ask_patiently(address, method, sent, body)
            if answer.status not in (301, 302, 307, 308) or "location" not in answer.headers:
                return answer
            address = _redirected(address, answer.headers["location"])
        raise Trouble(f"{first.host} redirects from one address to the next without end", "Check the address")

    def _ask_patiently(self, address: Address, method: str, headers: Headers, body: bytes | None) -> Response:
        for pause in (*_WAITS, None):
            answer = self._ask_once(address, method, headers, body)
            # After 501 and 505 waiting does not help, and 507 means that the server's disk is full.
            busy = answer.status == 429 or (answer.status >= 500 and answer.status not in (501, 505, 507))
            if not busy:
                return answer
            if pause is not None:
                self.wait(max(pause, _asked_wait(answer)))
        if answer.status == 429:
            raise Trouble(f"{address.host} wants fewer requests (429)", "Run the same again in an hour", 429)
        raise Trouble(
            f"{address.host} is in trouble ({answer.status}), even after {len(_WAITS)} more tries",
            "Run the same again later: it goes on where it stopped. If this happens again, ask whoever runs the server",
            answer.status,
        )

    def _ask_once(self, address: Address, method: str, headers: Headers, body: bytes | None) -> Response:
        host = address.host
        again = "Run the same again later: it goes on where it stopped"
        try:
            return self.exchange(address, method, headers, body)
        except ssl.SSLCertVerificationError as error:
            raise Trouble(
                f"the certificate of {host} cannot be trusted ({error.verify_message.rstrip('.')})",
                "Use the name that the certificate is made out to. If the server is your own, name its certificate "
                "file in the variable SSL_CERT_FILE",
            ) from error
        except ssl.SSLError as error:
            write = "Check the port; a server without TLS has an address that begins with http://"
            raise Trouble(f"no secure connection to {host} port {address.port} is possible", write) from error
        except TimeoutError as error:
            raise Trouble(f"{host} did not answer within {_PATIENCE:.0f} seconds", again) from error
        except socket.gaierror as error:
            write = "Check the address, and that this machine is on the network"
            raise Trouble(f"there is no server with the name {host}", write) from error
        except ConnectionRefusedError as error:
            write = "Check the address and its port, and that the server runs"
            raise Trouble(f"nothing answers at {host} port {address.port}", write) from error
        except (OSError, http.client.HTTPException) as error:
            raise Trouble(f"the connection to {host} broke", again) from error


def _redirected(address: Address, location: str) -> Address:
    """Give the address that a redirect leads to; never on another server, and never from https to http."""
    try:
        target = read_address(urljoin(str(address), location))
    except InputFaults:
        raise Trouble(f"{address.host} redirects to something that is not an address", "Check the address") from None
    is_upgrade = (address.scheme, target.scheme) == ("http", "https") and target.port == _PORTS["https"]
    if target.host != address.host or not (target.origin == address.origin or is_upgrade):
        write = "If you trust that server, give its address"
        raise Trouble(f"{address.host} redirects to another server, {target.origin}", write)
    return target


def _asked_wait(answer: Response) -> float:
    asked = answer.headers.get("retry-after", "")
    return min(float(asked), _LONGEST_WAIT) if re.fullmatch(r"[0-9]{1,9}", asked) else 0.0


def refused(answer: Response, method: str, user: str) -> Trouble:
    """Say in words what an answer above 299 means."""
    host, status = answer.address.host, answer.status
    if status == 401:
        return _not_let_in(answer, user)
    words = {
        403: (
            f"{host} does not let {user or 'you'} write here",
            "Check the address, and that the calendar is shared with you for writing",
        ),
        404: (f"{host} has nothing at this address", "Check the address"),
        409: (f"on {host} the folder above does not exist", "Make it there first, or check the address"),
        412: (f"on {host} somebody else changed it just now", "Run the same again"),
        413: (f"this is too large for {host}", "Publish elsewhere, or plan fewer weeks"),
        415: (f"{host} takes no calendars here", "Give the address of a calendar"),
        423: (f"on {host} another program has locked it", "Close that program, or run the same again later"),
        507: (f"{host} has no room left", "Free some room there, then run the same again: it goes on where it stopped"),
    }
    words[410] = words[404]
    words[405] = words[501] = (
        f"{host} does not take {method} at this address",
        "Give the address of a CalDAV calendar, which ends in /, or of a file on a server that takes PUT",
    )
    wrong, write = words.get(status, (f"{host} refuses {method}", "Check the address, or ask whoever runs the server"))
    return Trouble(f"{wrong} ({status})", write, status)


def _not_let_in(answer: Response, user: str) -> Trouble:
    host = answer.address.host
    offered = answer.headers.get("www-authenticate", "")
    if not user:
        return Trouble(f"{host} asks for a name and a password (401)", "Add --user NAME", 401)
    if offered and "basic" not in offered.casefold():
        way = offered.split(maxsplit=1)[0]
        write = "Let the server accept Basic as well, over https"
        return Trouble(f"{host} only accepts {way}, which steadysow does not know (401)", write, 401)
    write = (
        "Check --user and the password. Many servers want a password made for this use alone. "
        "To replace a kept password, add --keep-password"
    )
    return Trouble(f"{host} does not accept this name and password (401)", write, 401)
