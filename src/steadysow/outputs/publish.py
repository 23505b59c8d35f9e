"""Publishing the calendar on a server: event by event with CalDAV, or as one file.

Takes the bytes of the calendar, an address and a server, and returns a `Report`.  Other people may write to the same
calendar: only what we wrote is ever changed or deleted, and what somebody else changed is left alone.  If a run is
interrupted at any moment, the next run completes it.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Literal

from steadysow.errors import Fault, InputFaults
from steadysow.outputs import caldav
from steadysow.outputs.publish_run import Report, Run
from steadysow.outputs.publish_state import read_state, write_state
from steadysow.outputs.resources import Resource, event_mark, events_of, file_mark, property_of
from steadysow.outputs.web import Address, RemoteServer, Trouble, refused

Way = Literal["caldav", "file"]


def way_of(address: Address, *, by_caldav: bool, as_file: bool) -> tuple[Address, Way]:
    """Choose the way to publish to an address; give it with the address, to which CalDAV adds a final slash.

    Parameters
    ----------
    address
        The address that the person gave.
    by_caldav, as_file
        Whether the person asked for that way.

    Raises
    ------
    InputFaults
        If the person asked for both ways, or the address fits neither.
    """
    if by_caldav and as_file:
        raise _fault("--caldav", "--caldav and --file exclude each other", "Leave one out")
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
    """Bring a CalDAV collection up to date with our calendar; each event is a resource of its own.

    Parameters
    ----------
    content
        The calendar as `ical` wrote it.
    collection
        The address of the collection.
    server
        The server, with the name and password to use.
    state_file
        The file that remembers what was published.
    overwrite
        Whether to change, delete or restore also what somebody else changed or deleted.
    make_collection
        Whether to make the collection if it does not exist.
    dry_run
        Whether to send nothing and only report what would be done.

    Raises
    ------
    InputFaults
        If the state file cannot be read.
    """
    places = read_state(state_file)
    key = str(collection)
    report = Report()
    try:
        listing = caldav.list_collection(server, collection)
        if listing is None and make_collection and not dry_run:
            caldav.make_collection(server, collection, property_of(content, "NAME"))
            # Everything we published before went with the old collection.
            if places.pop(key, None):
                write_state(state_file, places)
            listing = caldav.list_collection(server, collection)
        if listing is None:
            if dry_run and make_collection:
                report.new = len(events_of(content, collection))
                return report
            wrong = f"there is no calendar at {collection} (404)"
            raise Trouble(wrong, "Check the address, or add --make-collection to make one", 404)
    except Trouble as trouble:
        report.stopped = trouble
        return report
    run = Run(
        server=server,
        known=places.setdefault(key, {}),
        save=lambda: write_state(state_file, places),
        read_mark=event_mark,
        overwrite=overwrite,
        dry_run=dry_run,
        report=report,
    )
    there = {name.removesuffix(".ics"): etag for name, etag in listing.etags.items() if name.endswith(".ics")}
    run.go(events_of(content, listing.address), there, lambda uid: listing.address.inside(f"{uid}.ics"))
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
    """Put our calendar on a server as one file; see `publish_events` for the parameters."""
    places = read_state(state_file)
    report = Report()
    file = Resource(name="", address=address, body=content, mark=file_mark(content), title=f"the file {address}")
    known = places.setdefault(str(address), {})
    run = Run(
        server=server,
        known=known,
        save=lambda: write_state(state_file, places),
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
        # Subscribers expect a file at a published address.  If somebody removed it, it is put there again.
        known.pop("", None)
    run.go((file,), {"": answer.etag} if answer.status in (200, 204) else {}, lambda _: address)
    return report


def _fault(where: str, wrong: str, write: str) -> InputFaults:
    return InputFaults((Fault(file=where, line=None, field="", wrong=wrong, write=write),))
