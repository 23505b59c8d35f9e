"""Publishing the calendar on a server: event by event with CalDAV, or as one file.

Takes the bytes of the calendar, an address and a server; gives a `Report` of what was done.  Hides how a calendar that
others write to as well is brought up to date: only what we wrote is ever changed or deleted, what somebody else changed
is left, and an interruption at any moment, before or after the server has acted, is made good by the next run.

How: before anything is sent, the marks of all that will be sent are kept in ``publish-state.json``.  What the server
holds under another ETag than the last one we know is ours if it bears one of our marks, and somebody else's if not.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path
from typing import Literal

from steadysow.errors import Fault, InputFaults
from steadysow.files import replace_file
from steadysow.outputs import caldav
from steadysow.outputs.resources import Thing, event_mark, events_of, file_mark, holds_others, property_of, title_of
from steadysow.outputs.web import Address, RemoteServer, Response, Trouble, refused

STATE_NAME = "publish-state.json"

Way = Literal["caldav", "file"]

_ICALENDAR = "text/calendar; charset=utf-8"
# The state is kept again after so many answers: one event in doubt costs the next run one question more.
_KEPT_EVERY = 20
# Answers that are about one event; after any other there is no use in going on.
_OF_ONE = {400, 409, 412, 413, 415, 422, 423}
# Among the marks of a record: that we may have deleted it.
_DELETED = ""
# So many events are named where there are many with the same lot.
_NAMED = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """What is known of one thing of ours on a server.

    Attributes
    ----------
    etag
        The server's mark of the version that we last wrote; empty if it never confirmed one.
    content
        Hash of the bytes that the server last confirmed; empty if none.
    marks
        Our marks of all that we may have written since then, the confirmed one first; and an empty one if we may have
        deleted it.
    """

    etag: str = ""
    content: str = ""
    marks: tuple[str, ...] = ()


@dataclass(slots=True, kw_only=True)
class Report:
    """What was done.

    Attributes
    ----------
    new, changed, deleted, unchanged
        How many events (or files).
    left
        What somebody else changed and we left alone, each with what happened to it.
    is_held_back
        Whether something of the plan could not be published because it was left alone.
    failed
        What the server refused, as sentences.
    stopped
        Why the rest was not tried.
    """

    new: int = 0
    changed: int = 0
    deleted: int = 0
    unchanged: int = 0
    left: list[str] = field(default_factory=list)
    is_held_back: bool = False
    failed: list[str] = field(default_factory=list)
    stopped: Trouble | None = None

    @property
    def is_complete(self) -> bool:
        """Whether the server now holds the plan."""
        return not (self.is_held_back or self.failed or self.stopped)

    @property
    def is_let_in(self) -> bool:
        """Whether the server took the name and the password, as far as an answer shows."""
        return self.stopped is None

    def lines(self) -> tuple[str, ...]:
        """Say it in sentences."""
        counted = (self.new, self.changed, self.deleted, len(self.left), self.unchanged)
        told = ["{} new, {} changed, {} deleted, {} left alone; {} needed nothing.".format(*counted)]
        if self.stopped and not any(counted):
            told.clear()
        told += _named("Left alone", self.left)
        if self.left:
            told.append("With --overwrite it becomes as planned again.")
        told += _named("Not published", self.failed)
        return (*told, *((f"Stopped: {self.stopped}",) if self.stopped else ()))


def _named(what: str, each: list[str]) -> list[str]:
    more = [f"{what}: {len(each) - _NAMED} more."] if len(each) > _NAMED else []
    return [f"{what}: {one.removesuffix('.')}." for one in each[:_NAMED]] + more


# What is known of a server between two runs.


def read_state(file: Path) -> dict[str, dict[str, Record]]:
    """Read what was published where: by address, then by UID (a file has none).

    Raises
    ------
    InputFaults
        If the file is not what `write_state` wrote.
    """
    if not file.exists():
        return {}
    try:
        places = json.loads(file.read_text(encoding="utf-8"))["places"]
        return {place: {name: _record_of(each) for name, each in things.items()} for place, things in places.items()}
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        write = "Delete it; what still is as in the plan is then found there, and --overwrite takes over the rest"
        raise _fault(file.name, "it does not tell what was published", write) from error


def _record_of(values: Mapping[str, object]) -> Record:
    etag, content, marks = values["etag"], values["content"], values["marks"]
    if not (isinstance(etag, str) and isinstance(content, str) and isinstance(marks, list)):
        raise TypeError
    return Record(etag=etag, content=content, marks=tuple(map(str, marks)))


def write_state(file: Path, places: Mapping[str, Mapping[str, Record]]) -> None:
    """Write what was published where, in one step, for its owner alone: an address may be a secret."""
    document = {
        "version": 1,
        "places": {
            place: {
                name: {"etag": record.etag, "content": record.content, "marks": list(record.marks)}
                for name, record in sorted(things.items())
            }
            for place, things in sorted(places.items())
        },
    }
    replace_file(file.resolve(), f"{json.dumps(document, indent=1)}\n".encode(), rights=0o600)


def _fault(where: str, wrong: str, write: str) -> InputFaults:
    return InputFaults((Fault(file=where, line=None, field="", wrong=wrong, write=write),))


# The two ways.


def way_of(address: Address, *, by_caldav: bool, as_file: bool) -> tuple[Address, Way]:
    """Tell which way to publish to an address; and the address, a collection's with the slash that it ends in.

    Raises
    ------
    InputFaults
        If it could be either, or neither.
    """
    if by_caldav and as_file:
        raise _fault("--caldav", "it is one or the other, --caldav or --file", "Leave one out")
    if by_caldav or (address.path.endswith("/") and not as_file):
        return replace(address, path=f"{address.path.removesuffix('/')}/"), "caldav"
    if as_file and address.path.endswith("/"):
        raise _fault(
            "--file", "an address that ends in / is a folder or a calendar", "Name a file in it, such as garden.ics"
        )
    if as_file or address.path.casefold().endswith(".ics"):
        return address, "file"
    write = "A calendar's address ends in /, a file's in .ics; if yours does not, add --caldav or --file"
    raise _fault("URL", "it could be a CalDAV calendar or a file", write)


def publish_calendar(
    content: bytes,
    address: Address,
    server: RemoteServer,
    state_file: Path,
    *,
    way: Way,
    overwrite: bool = False,
    make_collection: bool = False,
    dry_run: bool = False,
) -> Report:
    """Publish a calendar one way or the other; see `publish_events` for the parameters."""
    if way == "file":
        return publish_file(content, address, server, state_file, overwrite=overwrite, dry_run=dry_run)
    return publish_events(
        content,
        address,
        server,
        state_file,
        overwrite=overwrite,
        make_collection=make_collection,
        dry_run=dry_run,
    )


def publish_events(
    content: bytes,
    collection: Address,
    server: RemoteServer,
    state_file: Path,
    *,
    overwrite: bool = False,
    make_collection: bool = False,
    dry_run: bool = False,
) -> Report:
    """Bring a CalDAV collection up to date with a calendar of ours, one resource an event.

    Parameters
    ----------
    content
        The calendar as `ical` wrote it.
    collection
        Address of the collection.
    server
        The server, and as whom to ask.
    state_file
        Where it is kept what was published.
    overwrite
        Also change, delete or bring back what somebody else changed or deleted.
    make_collection
        Make the collection if it is not there.
    dry_run
        Only look, and tell what would be done.
    """
    places = read_state(state_file)
    key = str(collection)
    report = Report()
    try:
        listing = caldav.list_collection(server, collection)
        if listing is None and make_collection and not dry_run:
            caldav.make_collection(server, collection, property_of(content, "NAME"))
            # Whatever was there before went with the old collection.
            if places.pop(key, None):
                write_state(state_file, places)
            listing = caldav.list_collection(server, collection)
        if listing is None:
            if dry_run and make_collection:
                report.new = len(events_of(content, collection))
                return report
            wrong = f"there is no calendar at {collection} (404)"
            raise Trouble(wrong, "Check the address, or let it be made with --make-collection", 404)
    except Trouble as trouble:
        report.stopped = trouble
        return report
    things = events_of(content, listing.address)
    records = places.setdefault(key, {})
    run = _Run(
        server=server,
        records=records,
        keep=lambda: write_state(state_file, places),
        read_mark=event_mark,
        overwrite=overwrite,
        dry_run=dry_run,
        report=report,
    )
    there = {name.removesuffix(".ics"): etag for name, etag in listing.etags.items() if name.endswith(".ics")}
    run.go(things, there, lambda uid: listing.address.inside(f"{uid}.ics"))
    return report


def publish_file(
    content: bytes,
    address: Address,
    server: RemoteServer,
    state_file: Path,
    *,
    overwrite: bool = False,
    dry_run: bool = False,
) -> Report:
    """Put a calendar of ours on a server as one file; see `publish_events` for the parameters."""
    places = read_state(state_file)
    report = Report()
    thing = Thing(name="", address=address, body=content, mark=file_mark(content), title=f"the file {address}")
    records = places.setdefault(str(address), {})
    run = _Run(
        server=server,
        records=records,
        keep=lambda: write_state(state_file, places),
        read_mark=file_mark,
        overwrite=overwrite,
        dry_run=dry_run,
        report=report,
    )
    try:
        answer = server.ask(address, "HEAD")
        if answer.status in (405, 501):
            answer = server.ask(address, "GET")
        if answer.status not in (200, 204, 404, 410):
            raise refused(answer, "GET", server.user)
    except Trouble as trouble:
        report.stopped = trouble
        return report
    if answer.status in (404, 410):
        # Whoever removed the file of a published address did no more than break it: it is put there again.
        records.pop("", None)
    run.go((thing,), {"": answer.etag} if answer.status in (200, 204) else {}, lambda _: address)
    return report


@dataclass(slots=True, kw_only=True)
class _Run:
    """One run: what is to be there against what is there and what we know."""

    server: RemoteServer
    records: dict[str, Record]
    keep: Callable[[], None]
    read_mark: Callable[[bytes], str]
    overwrite: bool
    dry_run: bool
    report: Report
    not_kept: int = 0

    def go(self, things: Iterable[Thing], there: Mapping[str, str], where: Callable[[str], Address]) -> None:
        """Publish things, then delete what we published before and is none of them.

        Parameters
        ----------
        things
            All that is to be there.
        there
            ETag of what is there, by name.
        where
            Gives the address of a name.
        """
        things = tuple(things)
        gone = sorted(set(self.records) - {thing.name for thing in things})
        if not self.dry_run:
            self._announce(things, gone)
        try:
            for thing in things:
                self._try(thing.title, partial(self._put, thing, there.get(thing.name)))
            for name in gone:
                self._try("an event no longer planned", partial(self._delete, name, where(name), there.get(name)))
        except Trouble as trouble:
            self.report.stopped = trouble
        finally:
            if self.not_kept:
                self.keep()

    def _announce(self, things: tuple[Thing, ...], gone: Iterable[str]) -> None:
        """Keep what will be sent, so that it is known for ours even if we never hear that it arrived."""
        sent = {thing.name: thing.mark for thing in things if self._known(thing).content != thing.content}
        for name, mark in (sent | dict.fromkeys(gone, _DELETED)).items():
            record = self.records.get(name, Record())
            if mark not in record.marks:
                self.records[name] = replace(record, marks=(*record.marks, mark))
                self.not_kept += 1
        if self.not_kept:
            self.keep()
            self.not_kept = 0

    def _known(self, thing: Thing) -> Record:
        return self.records.get(thing.name, Record())

    def _try(self, title: str, act: Callable[[], None]) -> None:
        try:
            act()
        except Trouble as trouble:
            if trouble.status not in _OF_ONE:
                raise
            self.report.failed.append(f"{title}: {trouble}")
        if self.not_kept >= _KEPT_EVERY:
            self.keep()
            self.not_kept = 0

    def _put(self, thing: Thing, there: str | None) -> None:
        record = self._known(thing)
        if there is None:
            if record.etag and _DELETED not in record.marks and not self.overwrite:
                self._leave(thing, f"{thing.title} (deleted there by somebody else)")
            else:
                self._send(thing, None)
        elif there and record.etag == there:
            if record.content == thing.content:
                self.report.unchanged += 1
            else:
                self._send(thing, there)
        else:
            self._put_over_unknown(thing, there)

    def _put_over_unknown(self, thing: Thing, there: str) -> None:
        """Publish where the server holds another version than the last one we know of."""
        record = self._known(thing)
        if self.dry_run:
            # Whose it is would have to be asked; what we may have written is most likely ours.
            if len(record.marks) > 1 or self.overwrite:
                self.report.changed += 1
            else:
                self._leave(thing, f"{thing.title} (what is there is not what was last published, it seems)")
            return
        answer = self._look(thing.address)
        if answer is None:
            self._put(thing, None)
            return
        mark = self.read_mark(answer.body)
        if mark == thing.mark:
            self._count(thing)
            self._confirm(thing, answer.etag or there)
        elif mark in record.marks:
            self._send(thing, answer.etag or there)
        elif thing.name == "" and holds_others(answer.body, thing.body):
            # To put a file over somebody's events would delete them, which nobody means who asks to write over changes.
            self._leave(thing, f"{thing.title} (it holds events that are not ours: choose another address)")
        elif self.overwrite:
            self._send(thing, answer.etag or there)
        elif record.etag or record.content:
            self._leave(thing, f"{thing.title} (changed there by somebody else)")
        else:
            self._leave(thing, f"{thing.title} (was there before, and not as in the plan)")

    def _send(self, thing: Thing, etag: str | None, *, is_second: bool = False) -> None:
        """Write a thing where there is none yet (no ETag), or over the version with that ETag."""
        if self.dry_run:
            self._count(thing)
            return
        condition = {"If-None-Match": "*"} if etag is None else _only_if(etag)
        headers = {"Content-Type": _ICALENDAR, **condition}
        answer = self.server.ask(thing.address, "PUT", thing.body, headers)
        if answer.status == 412 and not is_second:
            self._send_again(thing)
            return
        if answer.status >= 300:
            raise _refused_event(answer, "PUT", self.server.user)
        self._count(thing)
        # A server that gives no ETag has not kept the bytes as they were.
        self._confirm(thing, answer.etag or self.server.ask(thing.address, "HEAD").etag)

    def _send_again(self, thing: Thing) -> None:
        """Publish what the server did not take because something else is there than we thought."""
        answer = self._look(thing.address)
        marks = self._known(thing).marks
        if answer is None:
            if self.overwrite:
                self._send(thing, None, is_second=True)
            else:
                self._leave(thing, f"{thing.title} (deleted there by somebody else)")
            return
        mark = self.read_mark(answer.body)
        if mark == thing.mark:
            self._count(thing)
            self._confirm(thing, answer.etag)
        elif mark in marks or self.overwrite:
            self._send(thing, answer.etag, is_second=True)
        else:
            self._leave(thing, f"{thing.title} (changed there by somebody else)")

    def _delete(self, name: str, address: Address, there: str | None) -> None:
        record = self.records[name]
        if there is None:
            self._forget(name)
            return
        etag = there
        if not there or record.etag != there:
            answer = None if self.dry_run else self._look(address)
            if answer is not None and self.read_mark(answer.body) not in record.marks and not self.overwrite:
                title = title_of(answer.body)
                self.report.left.append(f"{title} (no longer planned, but changed there by somebody else)")
                return
            etag = answer.etag if answer is not None else there
        self.report.deleted += 1
        if self.dry_run:
            return
        answer = self.server.ask(address, "DELETE", headers=_only_if(etag))
        if answer.status == 412:
            self.report.deleted -= 1
            self.report.left.append("an event that is no longer planned (changed there by somebody else just now)")
        elif answer.status >= 300 and answer.status not in (404, 410):
            self.report.deleted -= 1
            raise _refused_event(answer, "DELETE", self.server.user)
        else:
            self._forget(name)

    def _look(self, address: Address) -> Response | None:
        answer = self.server.ask(address, "GET")
        if answer.status in (404, 410):
            return None
        if answer.status >= 300:
            raise refused(answer, "GET", self.server.user)
        return answer

    def _count(self, thing: Thing) -> None:
        """Count what is there now as new, changed or as it was."""
        record = self._known(thing)
        if record.content == thing.content:
            self.report.unchanged += 1
        elif record.content:
            self.report.changed += 1
        else:
            self.report.new += 1

    def _confirm(self, thing: Thing, etag: str) -> None:
        self.records[thing.name] = Record(etag=etag, content=thing.content, marks=(thing.mark,))
        self.not_kept += 1

    def _leave(self, thing: Thing, what: str) -> None:
        self.report.left.append(what)
        record = self._known(thing)
        if record.content == thing.content:
            return
        self.report.is_held_back = True
        if self.dry_run:
            return
        # It was announced but not sent.
        self.not_kept += 1
        confirmed = 1 if record.content else 0
        marks = (*record.marks[:confirmed], *(mark for mark in record.marks[confirmed:] if mark != thing.mark))
        self.records[thing.name] = replace(record, marks=marks)
        if not (marks or record.content):
            del self.records[thing.name]

    def _forget(self, name: str) -> None:
        if not self.dry_run:
            del self.records[name]
            self.not_kept += 1


def _only_if(etag: str) -> dict[str, str]:
    """Give the condition that a version is still there; a weak ETag can make none (RFC 9110, 13.1.1)."""
    return {"If-Match": etag} if etag and not etag.startswith("W/") else {}


def _refused_event(answer: Response, method: str, user: str) -> Trouble:
    if answer.status in (403, 409) and b"no-uid-conflict" in answer.body:
        wrong = f"{answer.address.host} has this event already under another name ({answer.status})"
        # As one of this event only, and not of all.
        return Trouble(wrong, "Delete it there; was calendar.ics imported there by hand?", 409)
    return refused(answer, method, user)
