"""Answers to phones that ask for the calendar over HTTP (RFC 9110), from the file on disk.

A `Subscription` answers requests for the calendar in a garden's folder.  It never writes the calendar.  It never sends
a broken one: a subscriber takes an empty or broken calendar for a plan without chores, and deletes everything.
"""

from __future__ import annotations

import gzip
import hashlib
import os
import re
import secrets
import stat
import threading
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from email.utils import format_datetime, parsedate_to_datetime
from http import HTTPStatus
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from steadysow.errors import InputFaults
from steadysow.outputs.calendar_state import CALENDAR_NAME, STATE_NAME, TASKS_NAME, read_state

if TYPE_CHECKING:
    from wsgiref.types import StartResponse, WSGIEnvironment

What = Literal["calendar", "tasks", "?"]
# Each file must hold at least one such component.
_COMPONENTS: dict[str, bytes] = {CALENDAR_NAME: b"VEVENT", TASKS_NAME: b"VTODO"}
_WHATS: dict[str, What] = {CALENDAR_NAME: "calendar", TASKS_NAME: "tasks"}

METHODS = ("GET", "HEAD")
# Other methods that the log may name; a client could make up anything else.
_OTHER_METHODS = ("POST", "PUT", "DELETE", "OPTIONS", "TRACE", "CONNECT", "PATCH", "PROPFIND", "REPORT")
# How long a subscriber is asked to wait while the calendar is not whole [s].
_RETRY_AFTER = 300

# At least 128 bits, in characters that need no quoting in an address.
SECRET = re.compile(r"[A-Za-z0-9_-]{22,}")


# The file on disk.

_LONG_AGO = datetime.min.replace(tzinfo=UTC)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Copy:
    """The content of a file, with the file's signature when it was read; `fault` says why it cannot be served."""

    signature: tuple[int, ...]
    content: bytes = field(default=b"", repr=False)
    zipped: bytes = field(default=b"", repr=False)
    tag: str = ""
    modified: datetime = _LONG_AGO
    fault: str = ""


class _Source:
    """A calendar file, which is read again when it has changed."""

    def __init__(self, file: Path) -> None:
        self.file = file
        self._lock = threading.Lock()
        self._copy: _Copy | None = None
        self._whole: _Copy | None = None

    def current(self) -> _Copy:
        """Give the present content of the file."""
        with self._lock:
            try:
                found = self.file.stat()
                if not stat.S_ISREG(found.st_mode):
                    return _Copy(signature=(), fault=f"{self.file.name} is not a file")
                if self._copy is None or self._copy.signature != _signature(found):
                    self._copy = self._read()
            except FileNotFoundError:
                return _Copy(signature=(), fault=f"{self.file.name} is missing")
            except OSError as error:
                return _Copy(signature=(), fault=f"{self.file.name} cannot be read: {error.strerror}")
            return self._copy

    def _read(self) -> _Copy:
        with self.file.open("rb") as stream:
            before = os.fstat(stream.fileno())
            content = stream.read()
            after = os.fstat(stream.fileno())
        signature = _signature(before)
        if signature != _signature(after):
            # No file has an empty signature, so it is read again next time.
            return _Copy(signature=(), fault=f"{self.file.name} is being written")
        fault = what_is_wrong(content, _COMPONENTS[self.file.name])
        if fault:
            return _Copy(signature=signature, fault=f"{self.file.name} {fault}")
        zipped = gzip.compress(content, mtime=0)
        read = _Copy(
            signature=signature,
            content=content,
            zipped=zipped if len(zipped) < len(content) else b"",
            tag=hashlib.sha256(content).hexdigest()[:32],
            modified=self._modified(content, after.st_mtime_ns),
        )
        self._whole = read
        return read

    def _modified(self, content: bytes, mtime_ns: int) -> datetime:
        """Give the time of the last change, in whole seconds, and always later than that of the version before.

        Otherwise two versions within a second, or an older file put back, would look unchanged to a client that
        compares dates.
        """
        modified = datetime.fromtimestamp(mtime_ns // 1_000_000_000, UTC)
        if self._whole is None or modified > self._whole.modified:
            return modified
        return self._whole.modified + timedelta(seconds=0 if content == self._whole.content else 1)


def _signature(found: os.stat_result) -> tuple[int, ...]:
    return (found.st_dev, found.st_ino, found.st_size, found.st_mtime_ns, found.st_ctime_ns)


def what_is_wrong(content: bytes, component: bytes) -> str:
    """Say why a file is not a whole calendar, as the rest of a sentence; empty if it is one.

    Parameters
    ----------
    content
        The content of the file.
    component
        The component of which it must hold at least one, such as ``VEVENT``.
    """
    if not content.strip(b"\0\r\n\t "):
        return "is empty"
    try:
        content.decode("utf-8")
    except UnicodeDecodeError:
        return "is not in UTF-8"
    if not re.match(rb"BEGIN:VCALENDAR\r?\n", content) or b"\0" in content:
        return "is not a calendar"
    opened: list[bytes] = []
    count = 0
    for mark in re.finditer(rb"^(BEGIN|END):([A-Z0-9-]+)\r?$", content, re.MULTILINE):
        if mark[1] == b"BEGIN":
            opened.append(mark[2])
            count += len(opened) == 2 and mark[2] == component
        elif not opened or opened.pop() != mark[2]:
            return f"is damaged: END:{mark[2].decode()} is out of place"
        elif not opened and content[mark.end() :].strip():
            return "is damaged: it goes on after its end"
    if opened:
        return f"is cut off: END:{opened[-1].decode()} is missing"
    return "" if count else f"holds no {component.decode()}"


# HTTP.


def wants_gzip(accepted: str) -> bool:
    """Say whether a client prefers gzip to plain bytes (RFC 9110, 12.5.3).

    Parameters
    ----------
    accepted
        The header Accept-Encoding of the request.
    """
    weights: dict[str, float] = {}
    for part in accepted.split(","):
        coding, *parameters = (piece.strip().casefold() for piece in part.split(";"))
        weights[coding] = _weight(parameters)
    zipped = weights.get("gzip", weights.get("x-gzip", weights.get("*", 0.0)))
    return zipped > 0 and zipped >= weights.get("identity", 0.0)


def _weight(parameters: Iterable[str]) -> float:
    for parameter in parameters:
        match = re.fullmatch(r"q\s*=\s*([01](?:\.\d{0,3})?)", parameter)
        # A weight that cannot be read counts as 0.
        return min(float(match[1]), 1.0) if match else 0.0
    return 1.0


def is_known(headers: Mapping[str, str], tag: str, modified: datetime | None) -> bool:
    """Say whether a client already has this version (RFC 9110, 13.1.2, 13.1.3 and 13.2.2).

    Parameters
    ----------
    headers
        The headers of the request, by name in lower case.
    tag
        The entity tag of this version, without its quotes.
    modified
        The time of its last change, or ``None`` if that is not known.
    """
    if "if-none-match" in headers:
        tags = headers["if-none-match"]
        return tags.strip() == "*" or tag in re.findall(r'(?:W/)?"([^"]*)"', tags)
    if modified is None or "if-modified-since" not in headers:
        return False
    try:
        since = parsedate_to_datetime(headers["if-modified-since"])
    except ValueError:
        return False
    return modified <= (since if since.tzinfo else since.replace(tzinfo=UTC))


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What is sent back to a client, and what the log says about it."""

    status: HTTPStatus
    headers: tuple[tuple[str, str], ...]
    body: bytes = field(default=b"", repr=False)
    what: What = "?"
    why: str = ""


def plain(status: HTTPStatus, sentence: str, *headers: tuple[str, str], what: What = "?", why: str = "") -> Answer:
    """Give an answer of one sentence."""
    body = f"{sentence}\n".encode()
    # Clients may cache 404 and 405 unless the answer forbids it (RFC 9110, 15.1).
    usual = (("Content-Type", "text/plain; charset=utf-8"), ("Cache-Control", "no-store"))
    return Answer(status=status, headers=(*usual, *headers), body=body, what=what, why=why)


def wrong_method(what: What) -> Answer:
    """Give the answer to a method that does more than read."""
    allowed = " and ".join(METHODS)
    headers = ("Allow", ", ".join(METHODS))
    return plain(HTTPStatus.METHOD_NOT_ALLOWED, f"Only {allowed} are answered here.", headers, what=what)


class Subscription:
    """Answers requests for the calendar of one garden, and logs a line about each.

    Parameters
    ----------
    folder
        The garden's folder, with the calendar and its state.
    secret
        The secret part of the address, until the state holds another.
    now
        Gives the present moment, with its time zone.
    log
        Takes a line for the log.  No line holds the secret or the path.
    """

    def __init__(self, folder: Path, secret: str, *, now: Callable[[], datetime], log: Callable[[str], None]) -> None:
        self._sources = {name: _Source(folder / name) for name in _COMPONENTS}
        self._state_file = folder / STATE_NAME
        self._state_signature: tuple[int, ...] = ()
        self._secret = secret
        self._lock = threading.Lock()
        self._now = now
        self._write_log = log

    def fault(self) -> str:
        """Say why the calendar cannot be served now, as a sentence without its full stop; empty if it can."""
        return self._sources[CALENDAR_NAME].current().fault

    def answer(self, method: str, target: str, headers: Mapping[str, str]) -> Answer:
        """Give the answer to a request.

        Parameters
        ----------
        method, target
            The method and target from the first line of the request, not decoded.
        headers
            The headers of the request, by name in lower case.  The host makes no difference.
        """
        name = self._asked_for(target)
        what = _WHATS.get(name, "?")
        if method not in METHODS:
            return wrong_method(what)
        if not name:
            return plain(HTTPStatus.NOT_FOUND, "There is nothing here.")
        copy = self._sources[name].current()
        if copy.fault:
            if what == "tasks" and not self._sources[name].file.exists():
                return plain(HTTPStatus.NOT_FOUND, "There is nothing here.", what=what, why=copy.fault)
            sentence = f"The calendar cannot be sent just now ({copy.fault}). Ask again later."
            wait = ("Retry-After", str(_RETRY_AFTER))
            return plain(HTTPStatus.SERVICE_UNAVAILABLE, sentence, wait, what=what, why=copy.fault)
        return self._answer_with(copy, what, headers)

    def _answer_with(self, copy: _Copy, what: What, headers: Mapping[str, str]) -> Answer:
        is_zipped = bool(copy.zipped) and wants_gzip(headers.get("accept-encoding", ""))
        tag = f"{copy.tag}-gzip" if is_zipped else copy.tag
        # A date in the future must not be sent (RFC 9110, 8.8.2.1).
        modified = copy.modified if copy.modified <= self._now() else None
        sent = [("ETag", f'"{tag}"'), ("Cache-Control", "no-cache"), ("Vary", "Accept-Encoding")]
        if modified is not None:
            sent.append(("Last-Modified", format_datetime(modified, usegmt=True)))
        if is_known(headers, tag, modified):
            return Answer(status=HTTPStatus.NOT_MODIFIED, headers=tuple(sent), what=what)
        sent.append(("Content-Type", "text/calendar; charset=utf-8"))
        if is_zipped:
            sent.append(("Content-Encoding", "gzip"))
        body = copy.zipped if is_zipped else copy.content
        return Answer(status=HTTPStatus.OK, headers=tuple(sent), body=body, what=what)

    def _asked_for(self, target: str) -> str:
        """Give the name of the file that a target asks for, or an empty text; the target is compared as it is."""
        path = re.sub(r"\A(?i:https?)://[^/?#]*", "", target).partition("?")[0].encode("utf-8", "replace")
        secret = self._secret_now()
        asked = ""
        for name in self._sources:
            if secrets.compare_digest(path, f"/{secret}/{name}".encode()):
                asked = name
        return asked

    def _secret_now(self) -> str:
        """Give the secret that the state holds now, or the last known one if the state cannot be read."""
        with self._lock:
            try:
                signature = _signature(self._state_file.stat())
                if signature != self._state_signature:
                    self._state_signature = signature
                    found = read_state(self._state_file).secret
                    if SECRET.fullmatch(found) and found != self._secret:
                        self._secret = found
                        self.log("the address has changed")
            except FileNotFoundError:
                pass
            except (OSError, InputFaults):
                self.log(f"{self._state_file.name} cannot be read: the address stays the same")
            return self._secret

    def __call__(self, environ: WSGIEnvironment, start_response: StartResponse) -> Iterable[bytes]:
        """Answer a request of the server."""
        headers = {
            key.removeprefix("HTTP_").replace("_", "-").casefold(): str(value)
            for key, value in environ.items()
            if key.startswith("HTTP_")
        }
        method = str(environ["REQUEST_METHOD"])
        try:
            answer = self.answer(method, str(environ["REQUEST_URI"]), headers)
        except Exception as error:  # the text of any error could hold the address
            sentence = "The mistake is here, not in your request."
            answer = plain(
                HTTPStatus.INTERNAL_SERVER_ERROR, sentence, why=f"a fault of steadysow: {type(error).__name__}"
            )
        self.log_answer(method, answer, str(environ["REMOTE_ADDR"]))
        start_response(f"{answer.status.value} {answer.status.phrase}", list(headers_of(answer)))
        return [answer.body] if method != "HEAD" else []

    def log_answer(self, method: str, answer: Answer, client: str) -> None:
        """Log an answer."""
        sent = 0 if method == "HEAD" else len(answer.body)
        shown = method if method in (*METHODS, *_OTHER_METHODS) else "?"
        why = f" ({answer.why})" if answer.why else ""
        self.log(f"{shown} {answer.status.value} {sent} {client} {answer.what}{why}")

    def log(self, sentence: str) -> None:
        """Log a sentence with its time."""
        # Nobody may read the log any more, but the phones still need their answers.
        with suppress(OSError, ValueError):
            self._write_log(f"{self._now().isoformat(timespec='seconds')} {sentence}")


def headers_of(answer: Answer) -> tuple[tuple[str, str], ...]:
    """Give all headers of an answer."""
    length = () if answer.status == HTTPStatus.NOT_MODIFIED else (("Content-Length", str(len(answer.body))),)
    return (*answer.headers, *length, ("X-Content-Type-Options", "nosniff"))
