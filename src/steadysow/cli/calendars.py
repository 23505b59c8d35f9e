"""Commands that bring the chores to a phone: calendar, publish, serve."""

from __future__ import annotations

import os
import sys
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from shutil import get_terminal_size
from typing import Annotated

import typer

from steadysow.cli.options import HERE, Folder, Today
from steadysow.errors import InputFaults, one_fault


def calendar(
    folder: Folder = HERE,
    output: Annotated[
        Path | None, typer.Option("-o", "--output", metavar="FILE", help="Write it there, not to the garden's folder.")
    ] = None,
    today: Today = "",
) -> None:
    """Write the calendar file of the saved plan, for phones."""
    from steadysow.door.garden_folder import load
    from steadysow.outputs.calendar_state import CALENDAR_NAME

    garden = load(folder)
    work = garden.work_of(garden.plan_now(today))
    target = output or folder
    file = target / CALENDAR_NAME if target.is_dir() else target
    if output is not None:
        _check_target(file)
    changed = garden.write_calendar(work, target)
    typer.echo(f"Wrote {file}." if changed else f"{file} is up to date.")


def publish(
    url: Annotated[str, typer.Argument(metavar="URL", help="A CalDAV calendar (ends in /) or a file (ends in .ics).")],
    folder: Folder = HERE,
    user: Annotated[str, typer.Option("--user", metavar="NAME", help="The name to log in with.")] = "",
    by_caldav: Annotated[bool, typer.Option("--caldav", help="URL is a CalDAV calendar, whatever it ends in.")] = False,
    as_file: Annotated[bool, typer.Option("--file", help="URL is a file, whatever it ends in.")] = False,
    make_collection: Annotated[
        bool, typer.Option("--make-collection", help="Make the CalDAV calendar if it is not there.")
    ] = False,
    overwrite: Annotated[
        bool, typer.Option("--overwrite", help="Also write over what somebody else changed or deleted there.")
    ] = False,
    keep_password: Annotated[
        bool, typer.Option("--keep-password", help="Ask for the password anew and keep it in the system's keyring.")
    ] = False,
    plain_http: Annotated[
        bool, typer.Option("--plain-http", help="Send the password even where others on the way can read it.")
    ] = False,
    dry_run: Annotated[bool, typer.Option("--dry-run", help="Only look, and show what would be done.")] = False,
    today: Today = "",
) -> None:
    """Publish the calendar of the saved plan on a server, by CalDAV or as a file.

    The password is asked for, or taken from STEADYSOW_PASSWORD or the keyring. Only what was published from here is
    ever changed or deleted. Whatever interrupts it, run it again: it goes on where it stopped.
    """
    from steadysow.door.garden_folder import load
    from steadysow.outputs import web
    from steadysow.outputs.calendar_state import CALENDAR_NAME
    from steadysow.outputs.password import find_password
    from steadysow.outputs.password import keep_password as keep_in_keyring
    from steadysow.outputs.publish import publish_calendar, way_of
    from steadysow.outputs.publish_state import STATE_NAME

    address, way = way_of(web.read_address(url), by_caldav=by_caldav, as_file=as_file)
    web.check_user(address, user, may_be_read=plain_http, keep_password=keep_password)
    garden = load(folder)
    garden.write_calendar(garden.work_of(garden.plan_now(today)))
    prompt = (lambda question: typer.prompt(question, hide_input=True, err=True)) if sys.stdin.isatty() else None
    password = (
        find_password(address.origin, user, environment=os.environ, is_renewed=keep_password, prompt=prompt)
        if user
        else ""
    )
    try:
        with closing(web.Connection()) as connection:
            report = publish_calendar(
                (folder / CALENDAR_NAME).read_bytes(),
                address,
                web.RemoteServer(exchange=connection, user=user, password=password),
                folder / STATE_NAME,
                way=way,
                overwrite=overwrite,
                make_collection=make_collection,
                dry_run=dry_run,
            )
    except KeyboardInterrupt:
        typer.echo("Interrupted. What was sent is remembered; run the same again to go on.", err=True)
        raise typer.Exit(2) from None
    if keep_password and report.is_let_in:
        keep_in_keyring(address.origin, user, password)
    typer.echo(f"{address}{' (nothing is sent)' if dry_run else ''}:")
    typer.echo("\n".join(f"  {line}" for line in report.lines()))
    if not report.is_complete:
        raise typer.Exit(2)


def serve(
    folder: Folder = HERE,
    lan: Annotated[
        bool, typer.Option("--lan", help="Let others in this network read it, not only this machine.")
    ] = False,
    port: Annotated[
        int, typer.Option("--port", min=0, max=65535, help="The port to answer at; 0 takes any that is free.")
    ] = 8765,
    with_qr: Annotated[bool, typer.Option("--qr", help="Draw the QR code also where it would be left out.")] = False,
    new_address: Annotated[
        bool, typer.Option("--new-address", help="Make another secret address; the one before is worth nothing then.")
    ] = False,
    today: Today = "",
) -> None:
    """Serve the calendar to phones at a secret address until Ctrl-C; what `plan` writes is picked up at once."""
    from steadysow.door.garden_folder import load
    from steadysow.outputs.calendar_state import CALENDAR_NAME, TASKS_NAME
    from steadysow.outputs.serve import ServedAddress, Server, address_text, bound, lan_host, qr_text, secret_of
    from steadysow.outputs.subscription import Subscription

    if not (folder / CALENDAR_NAME).exists():
        garden = load(folder)
        garden.write_calendar(garden.work_of(garden.plan_now(today)))
    host = lan_host() if lan else "127.0.0.1"
    secret, is_new = secret_of(folder, is_new=new_address)
    try:
        listener = bound("0.0.0.0" if lan else host, port)  # noqa: S104 - asked for with --lan
    except InputFaults:
        if is_new:
            typer.echo(f"The address now ends in /{secret}/{CALENDAR_NAME}, also where it is served already.")
        raise
    subscription = Subscription(
        folder, secret, now=lambda: datetime.now(UTC).astimezone(), log=lambda line: typer.echo(line, err=True)
    )
    address = ServedAddress(host=host, port=listener.getsockname()[1], secret=secret)

    def show_address() -> None:
        has_tasks = (folder / TASKS_NAME).exists()
        is_terminal = sys.stdout.isatty()
        typer.echo(address_text(address, has_tasks=has_tasks, is_new=is_new, width=get_terminal_size().columns))
        if with_qr or (lan and is_terminal):
            try:
                typer.echo(f"\n{qr_text(address.url(), is_terminal=is_terminal)}\n")
            except UnicodeEncodeError:
                typer.echo("No QR code: these characters cannot be written here.")
        if fault := subscription.fault():
            typer.echo(f"{fault}: nothing is served until `steadysow calendar` has written it again.", err=True)
        typer.echo("Ctrl-C ends it.")

    Server(subscription, listener).run(show_address)
    typer.echo("Ended: the calendar is not served any more.")


def _check_target(file: Path) -> None:
    """Refuse to write a calendar over a file that is not one of ours."""
    from steadysow.outputs.ical import is_ours

    if file.suffix != ".ics" or file.name.endswith("-tasks.ics"):
        raise one_fault(str(file), "a calendar's name ends in .ics, and not in -tasks.ics", "Name such as garden.ics")
    if file.exists() and not (file.is_file() and is_ours(file.read_bytes())):
        raise one_fault(str(file), "there is something else, which is left as it is", "Name another file")
