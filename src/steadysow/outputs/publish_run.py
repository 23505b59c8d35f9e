"""One run of publishing: brings the resources on a server up to date, and reports what it did.

Before it sends anything, a run saves the marks of all that it will send.  A later run can then recognise what we wrote,
even if we never heard that it arrived.  If the server holds a version with another ETag than we know, its mark tells
whose it is: a version with one of our marks is ours, any other is somebody else's and is left alone.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import partial

from steadysow.outputs.publish_state import DELETED, Published
from steadysow.outputs.resources import Resource, holds_others, title_of
from steadysow.outputs.web import Address, RemoteServer, Response, Trouble, refused

_ICALENDAR = "text/calendar; charset=utf-8"
# The state is saved after so many answers.  Each answer that was not saved costs the next run one question more.
_SAVED_EVERY = 20
# Answers that are about one event.  After any other answer it is no use to go on.
_ABOUT_ONE = {400, 409, 412, 413, 415, 422, 423}
# The most events that the report names for one reason.
_MOST_NAMED = 10


@dataclass(slots=True, kw_only=True)
class Report:
    """What a run did.

    Attributes
    ----------
    new, changed, deleted, unchanged
        Numbers of events (or files).
    left
        What was left alone because somebody else changed it, each with what happened to it.
    is_held_back
        Whether a part of the plan could not be published because something was left alone.
    failed
        What the server refused, as sentences.
    stopped
        Why the run stopped early.
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
        """Whether the server accepted the name and the password, as far as its answers show."""
        return self.stopped is None

    def lines(self) -> tuple[str, ...]:
        """Give the report as sentences."""
        counts = (self.new, self.changed, self.deleted, len(self.left), self.unchanged)
        lines = ["{} new, {} changed, {} deleted, {} left alone, {} unchanged.".format(*counts)]
        if self.stopped and not any(counts):
            lines.clear()
        lines += _named("Left alone", self.left)
        if self.left:
            lines.append("To restore the plan there, use --overwrite.")
        lines += _named("Not published", self.failed)
        return (*lines, *((f"Stopped: {self.stopped}",) if self.stopped else ()))


def _named(what: str, each: list[str]) -> list[str]:
    more = [f"{what}: {len(each) - _MOST_NAMED} more."] if len(each) > _MOST_NAMED else []
    return [f"{what}: {one.removesuffix('.')}." for one in each[:_MOST_NAMED]] + more


@dataclass(slots=True, kw_only=True)
class Run:
    """Compares what the server should hold with what it holds and what we know, and sends the difference.

    Attributes
    ----------
    server
        The server.
    known
        What we know about our resources there, by name.  The run updates it.
    save
        Saves the state.
    read_mark
        Gives the mark of a resource from its bytes.
    overwrite
        Whether to change, delete or restore also what somebody else changed or deleted.
    dry_run
        Whether to send nothing.
    report
        The report.  The run fills it.
    """

    server: RemoteServer
    known: dict[str, Published]
    save: Callable[[], None]
    read_mark: Callable[[bytes], str]
    overwrite: bool
    dry_run: bool
    report: Report
    _unsaved: int = field(default=0, init=False)

    def go(self, resources: Iterable[Resource], there: Mapping[str, str], where: Callable[[str], Address]) -> None:
        """Publish resources, then delete those that we published before and that are not among them.

        Parameters
        ----------
        resources
            Everything that the server should hold.
        there
            ETags of what the server holds, by name.
        where
            Gives the address of a name.
        """
        resources = tuple(resources)
        gone = sorted(set(self.known) - {resource.name for resource in resources})
        if not self.dry_run:
            self._announce(resources, gone)
        try:
            for resource in resources:
                self._try(resource.title, partial(self._put, resource, there.get(resource.name)))
            for name in gone:
                self._try("an event no longer planned", partial(self._delete, name, where(name), there.get(name)))
        except Trouble as trouble:
            self.report.stopped = trouble
        finally:
            if self._unsaved:
                self.save()

    def _announce(self, resources: tuple[Resource, ...], gone: Iterable[str]) -> None:
        """Save the marks of all that will be sent, so that we recognise it even if we never hear that it arrived."""
        sent = {each.name: each.mark for each in resources if self._known(each).content != each.content}
        for name, mark in (sent | dict.fromkeys(gone, DELETED)).items():
            known = self.known.get(name, Published())
            if mark not in known.marks:
                self.known[name] = replace(known, marks=(*known.marks, mark))
                self._unsaved += 1
        if self._unsaved:
            self.save()
            self._unsaved = 0

    def _known(self, resource: Resource) -> Published:
        return self.known.get(resource.name, Published())

    def _try(self, title: str, act: Callable[[], None]) -> None:
        try:
            act()
        except Trouble as trouble:
            if trouble.status not in _ABOUT_ONE:
                raise
            self.report.failed.append(f"{title}: {trouble}")
        if self._unsaved >= _SAVED_EVERY:
            self.save()
            self._unsaved = 0

    def _put(self, resource: Resource, there: str | None) -> None:
        """Publish a resource where the server holds a version with some ETag, or none."""
        known = self._known(resource)
        if there is None:
            if known.etag and DELETED not in known.marks and not self.overwrite:
                self._leave(resource, f"{resource.title} (deleted there by somebody else)")
            else:
                self._send(resource, None)
        elif there and known.etag == there:
            if known.content == resource.content:
                self.report.unchanged += 1
            else:
                self._send(resource, there)
        else:
            self._put_over_unknown(resource, there)

    def _put_over_unknown(self, resource: Resource, there: str) -> None:
        """Publish a resource where the server holds another version than the last one we know."""
        known = self._known(resource)
        if self.dry_run:
            # Only a request could tell whose it is.  If we may have written there, it is most likely ours.
            if len(known.marks) > 1 or self.overwrite:
                self.report.changed += 1
            else:
                self._leave(resource, f"{resource.title} (what is there seems not to be what we last published)")
            return
        answer = self._look(resource.address)
        if answer is None:
            self._put(resource, None)
            return
        mark = self.read_mark(answer.body)
        if mark == resource.mark:
            self._count(resource)
            self._confirm(resource, answer.etag or there)
        elif mark in known.marks:
            self._send(resource, answer.etag or there)
        elif resource.name == "" and holds_others(answer.body, resource.body):
            # A file would delete somebody's events.  Nobody who asks to overwrite changes means that.
            self._leave(resource, f"{resource.title} (it holds events that are not ours: choose another address)")
        elif self.overwrite:
            self._send(resource, answer.etag or there)
        elif known.etag or known.content:
            self._leave(resource, f"{resource.title} (changed there by somebody else)")
        else:
            self._leave(resource, f"{resource.title} (was there before, and not as in the plan)")

    def _send(self, resource: Resource, etag: str | None, *, is_second: bool = False) -> None:
        """Write a resource where there is none yet (no ETag), or over the version with that ETag."""
        if self.dry_run:
            self._count(resource)
            return
        condition = {"If-None-Match": "*"} if etag is None else _only_if(etag)
        headers = {"Content-Type": _ICALENDAR, **condition}
        answer = self.server.ask(resource.address, "PUT", resource.body, headers)
        if answer.status == 412 and not is_second:
            self._send_again(resource)
            return
        if answer.status >= 300:
            raise _refused_event(answer, "PUT", self.server.user)
        self._count(resource)
        # A server that gives no ETag has not kept our bytes as they were.
        self._confirm(resource, answer.etag or self.server.ask(resource.address, "HEAD").etag)

    def _send_again(self, resource: Resource) -> None:
        """Publish a resource that the server refused because it holds another version than we thought."""
        answer = self._look(resource.address)
        marks = self._known(resource).marks
        if answer is None:
            if self.overwrite:
                self._send(resource, None, is_second=True)
            else:
                self._leave(resource, f"{resource.title} (deleted there by somebody else)")
            return
        mark = self.read_mark(answer.body)
        if mark == resource.mark:
            self._count(resource)
            self._confirm(resource, answer.etag)
        elif mark in marks or self.overwrite:
            self._send(resource, answer.etag, is_second=True)
        else:
            self._leave(resource, f"{resource.title} (changed there by somebody else)")

    def _delete(self, name: str, address: Address, there: str | None) -> None:
        """Delete what we published, unless somebody else changed it."""
        known = self.known[name]
        if there is None:
            self._forget(name)
            return
        etag = there
        if not there or known.etag != there:
            answer = None if self.dry_run else self._look(address)
            if answer is not None and self.read_mark(answer.body) not in known.marks and not self.overwrite:
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
            self.report.left.append("an event no longer planned (changed there by somebody else just now)")
        elif answer.status >= 300 and answer.status not in (404, 410):
            self.report.deleted -= 1
            raise _refused_event(answer, "DELETE", self.server.user)
        else:
            self._forget(name)

    def _look(self, address: Address) -> Response | None:
        """Give what the server holds at an address, or ``None`` if there is nothing."""
        answer = self.server.ask(address, "GET")
        if answer.status in (404, 410):
            return None
        if answer.status >= 300:
            raise refused(answer, "GET", self.server.user)
        return answer

    def _count(self, resource: Resource) -> None:
        """Count a resource that the server now holds as new, changed or unchanged."""
        known = self._known(resource)
        if known.content == resource.content:
            self.report.unchanged += 1
        elif known.content:
            self.report.changed += 1
        else:
            self.report.new += 1

    def _confirm(self, resource: Resource, etag: str) -> None:
        """Note that the server holds a resource as we sent it."""
        self.known[resource.name] = Published(etag=etag, content=resource.content, marks=(resource.mark,))
        self._unsaved += 1

    def _leave(self, resource: Resource, sentence: str) -> None:
        """Leave alone what somebody else changed, and report it."""
        self.report.left.append(sentence)
        known = self._known(resource)
        if known.content == resource.content:
            return
        self.report.is_held_back = True
        if self.dry_run:
            return
        # Its mark was announced, but nothing was sent.
        self._unsaved += 1
        confirmed = 1 if known.content else 0
        marks = (*known.marks[:confirmed], *(mark for mark in known.marks[confirmed:] if mark != resource.mark))
        self.known[resource.name] = replace(known, marks=marks)
        if not (marks or known.content):
            del self.known[resource.name]

    def _forget(self, name: str) -> None:
        if not self.dry_run:
            del self.known[name]
            self._unsaved += 1


def _only_if(etag: str) -> dict[str, str]:
    """Give the condition that a version is still there; a weak ETag cannot make one (RFC 9110, 13.1.1)."""
    return {"If-Match": etag} if etag and not etag.startswith("W/") else {}


def _refused_event(answer: Response, method: str, user: str) -> Trouble:
    if answer.status in (403, 409) and b"no-uid-conflict" in answer.body:
        wrong = f"{answer.address.host} already has this event under another name ({answer.status})"
        # 409 marks it as a trouble of this event only.
        return Trouble(wrong, "Delete it there; was calendar.ics imported there by hand?", 409)
    return refused(answer, method, user)
