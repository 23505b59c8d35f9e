"""The commands: arguments in, pipeline called, output chosen.

Takes what was typed; ends with status 0 (done), 1 (a fault of ours) or 2 (faults in files or arguments).  The only
module that reads the clock.  What is heavy is imported inside the commands, so that help and small commands are quick.
"""

from __future__ import annotations

import json
import os
import sys
import uuid
from collections.abc import Callable
from contextlib import closing
from dataclasses import asdict, replace
from datetime import UTC, date, datetime, timedelta
from functools import partial
from pathlib import Path
from shutil import get_terminal_size
from typing import TYPE_CHECKING, Annotated, Any, Literal, NoReturn

import typer

from steadysow import __version__
from steadysow.days import read_day
from steadysow.errors import Fault, InputFaults

if TYPE_CHECKING:
    from rich.console import Console

    from steadysow.inputs.crops import Crop
    from steadysow.inputs.journal import Fact, Journal
    from steadysow.pipeline import Inputs
    from steadysow.plan.plan import Plan
    from steadysow.standing.recording import Told

GARDEN_FILE = "garden.yaml"
STARTER = Path(__file__).with_name("starter") / GARDEN_FILE

# By choice: as much as a tote may hold in a garden file [L].
MOST_LITRES = 100_000

# What typer, like a shell, makes of Ctrl-C.
INTERRUPTED = 130

app = typer.Typer(
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    add_completion=False,
    no_args_is_help=True,
    context_settings={"help_option_names": ["-h", "--help"]},
    help="Plan a household's greens in a few totes: what to sow, where and when.",
)

GardenFolder = Annotated[
    Path,
    typer.Option(
        "-g",
        "--garden",
        metavar="DIR",
        envvar="STEADYSOW_GARDEN",
        show_default="the current folder",
        help="The garden's folder.",
    ),
]
Today = Annotated[
    str,
    typer.Option("--today", metavar="DATE", help="Take another day for today, such as 2026-12-05, 5 dec or tomorrow."),
]
Seconds = Annotated[float, typer.Option("--seconds", min=1, help="Longest time for solving.")]
AsPublished = Annotated[
    bool, typer.Option("--as-published", help="Plan by the profiles alone, without what this garden's record says.")
]
AsJson = Annotated[bool, typer.Option("--json", help="Print JSON and nothing else.")]

HERE = Path()


def main() -> None:
    """Run what was typed and end with its status; a traceback is shown only with ``STEADYSOW_DEBUG`` set."""
    try:
        app()
    except InputFaults as faults:
        _end(2, str(faults))
    except SystemExit as end:
        if end.code == INTERRUPTED:
            typer.echo("Interrupted before there was a result; nothing was written.", err=True)
        raise
    except BrokenPipeError:
        # Whoever read our output has had enough; without this Python would complain once more on its way out.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except OSError as error:
        if "STEADYSOW_DEBUG" in os.environ:
            raise
        what = f"{error.filename}: {error.strerror}" if error.filename else str(error)
        _end(2, f"{what}. Give yourself the right to read and write there, or name another folder.")
    except Exception as error:
        if "STEADYSOW_DEBUG" in os.environ:
            raise
        told = " ".join(f"{type(error).__name__}: {error}".split()).rstrip(": ")
        _end(1, f"A fault of steadysow itself, not of your files ({told}): set STEADYSOW_DEBUG=1 to see where it is.")


def _end(status: int, sentence: str) -> NoReturn:
    typer.echo(sentence, err=True)
    sys.exit(status)


def _tell_version(asked: bool) -> None:
    if asked:
        typer.echo(f"steadysow {__version__}")
        raise typer.Exit


@app.callback()
def _common(
    _version: Annotated[
        bool, typer.Option("--version", is_eager=True, callback=_tell_version, help="Tell the version and end.")
    ] = False,
) -> None:
    pass


@app.command()
def init(folder: Annotated[Path, typer.Argument(metavar="DIR", help="The folder to begin a garden in.")]) -> None:
    """Begin a garden: write a commented garden.yaml that plans as it is. Nothing is overwritten."""
    target = folder / GARDEN_FILE
    if folder.exists() and not folder.is_dir():
        raise _fault(str(folder), "is not a folder", "Name a folder, or a new one")
    folder.mkdir(parents=True, exist_ok=True)
    try:
        with target.open("x", encoding="utf-8") as file:
            file.write(STARTER.read_text(encoding="utf-8"))
    except FileExistsError:
        raise _fault(str(target), "is there already and is left as it is", "Name another folder") from None
    typer.echo(f"Wrote {target}. Write your totes, lamps and wants into it, then:")
    typer.echo(f"  steadysow check -g {folder}    what is wrong or doubtful")
    typer.echo(f"  steadysow plan -g {folder}     what to sow, where and when")


@app.command()
def check(garden: GardenFolder = HERE, today: Today = "") -> None:
    """Tell every fault of the files; then what is doubtful, and cautions."""
    from steadysow.advice.doubts import doubts
    from steadysow.cautions import cautions, mixing_cautions
    from steadysow.outputs import terminal
    from steadysow.plan.plan_file import load
    from steadysow.upkeep.nutrients import strength, too_strong

    inputs = _read(garden)
    plan = load(garden)
    console = _console()
    terminal.sentences(console, "Faults", ("None.",))
    # What is past is beyond doubt.
    day = _today(today)
    begun = replace(inputs.garden, starts_on=max(day, inputs.garden.starts_on or day))
    terminal.sentences(console, "Doubts", doubts(begun) or ("None.",))
    if plan is not None:
        light = (*_light_given(inputs, plan), *_light_use(inputs, plan))
        terminal.sentences(console, "Light", light or ("Nothing is planned.",))
        terminal.sentences(console, "Water", _water(inputs, _saved_plan(inputs, garden, day), day) or ("It suffices.",))
    places = inputs.garden.places
    recipe = inputs.garden.recipe
    if strong := too_strong(strength(recipe, inputs.garden.tap_water)):
        terminal.sentences(console, "Nutrient", strong)
    told = (
        *cautions(
            lamps=inputs.garden.nursery.place.lamp is not None or any(place.lamp for place in places),
            pumps=any(tote.system == "dwc" for tote in inputs.garden.totes),
            outdoors=any(place.outdoors for place in places),
        ),
        *mixing_cautions((part.name for part in recipe.parts), brew=recipe.is_brew),
    )
    terminal.sentences(console, "Cautions", tuple(dict.fromkeys(told)))


@app.command()
def plan(
    garden: GardenFolder = HERE,
    afresh: Annotated[bool, typer.Option("--afresh", help="Solve even if nothing has changed.")] = False,
    as_published: AsPublished = False,
    seconds: Seconds = 10,
    as_json: AsJson = False,
    today: Today = "",
) -> None:
    """Choose what to sow, where and when; save plan.json and calendar.ics, and show how good the plan is.

    Ctrl-C ends the search and keeps the best plan so far.
    """
    from steadysow import pipeline
    from steadysow.outputs import ical, terminal
    from steadysow.plan.plan_file import PLAN_FILE, load, save, to_json
    from steadysow.standing.standing import strangers

    day = _today(today)
    inputs = _read(garden)
    _warn(inputs)
    old = load(garden)
    inputs = inputs if as_published else inputs.learnt()
    _raise(strangers(inputs.garden, inputs.standing(old, day).begun))
    chosen = old
    if old is None or afresh or old.fingerprint != inputs.fingerprint(day):
        with terminal.Progress(_console(stderr=True)) as on_progress:
            chosen = pipeline.make_plan(
                inputs,
                today=day,
                old=old,
                is_afresh=afresh,
                least_id=_least_id(garden) if old is None else 1,
                seconds=seconds,
                on_progress=on_progress,
            )
        # Interrupted this early, there is only the plan to sow nothing, which must not replace a better one.
        if chosen.proof.status == "interrupted" and not any(batch.state == "planned" for batch in chosen.batches):
            raise typer.Exit(INTERRUPTED)
        save(chosen, garden)
    assert chosen is not None
    calendar_file = garden / ical.CALENDAR_NAME
    # Also where nothing was planned anew: the last time, something may have come between.
    _write_calendar(inputs, chosen, garden, garden)
    if as_json:
        _print_json(to_json(chosen))
        return
    console = _console()
    _show_all(console, inputs, chosen)
    _tell_learnt(console, inputs, as_published=as_published)
    if chosen is old:
        console.print("Nothing has changed since this plan was made: nothing was solved. --afresh plans anew.")
    else:
        console.print(f"Wrote {garden / PLAN_FILE} and {calendar_file}.", soft_wrap=True, highlight=False)


@app.command()
def show(
    part: Annotated[
        Literal["totes", "harvest", "batches", "sowings", "lids"] | None,
        typer.Argument(metavar="[totes|harvest|batches|sowings|lids]", help="One part of it; all if left out."),
    ] = None,
    garden: GardenFolder = HERE,
    as_json: AsJson = False,
    today: Today = "",
) -> None:
    """Show the saved plan again, without solving; lids are shown as of today. JSON holds the whole plan."""
    from steadysow.outputs import terminal
    from steadysow.plan.plan_file import to_json

    day = _today(today)
    inputs = _read(garden)
    saved = _saved_plan(inputs, garden, day)
    if as_json:
        _print_json(to_json(saved))
        return
    console = _console()
    parts: dict[str | None, Callable[[], None]] = {
        None: lambda: _show_all(console, inputs, saved),
        "totes": lambda: terminal.totes(console, inputs.garden, saved),
        "harvest": lambda: terminal.harvest(console, inputs.garden, saved),
        "batches": lambda: terminal.batches(console, saved),
        "sowings": lambda: terminal.sowings(console, saved),
        "lids": lambda: terminal.lids(console, inputs.garden, saved, day, _levels(inputs, saved, day)),
    }
    parts[part]()


@app.command()
def chores(
    garden: GardenFolder = HERE,
    since: Annotated[
        str, typer.Option("--from", metavar="DAY", help="First day; a weekday is the next such day, today included.")
    ] = "today",
    days: Annotated[int, typer.Option("--days", min=1, max=3660, help="How many days to look ahead.")] = 7,
    as_json: AsJson = False,
    today: Today = "",
) -> None:
    """Tell what there is to do, day by day."""
    from steadysow.amounts import day_text
    from steadysow.chores.listing import list_chores, overdue
    from steadysow.outputs.plain import chores_text, overdue_text

    day = _today(today)
    from_on = read_day(since, today=day, argument="--from")
    until_on = from_on + timedelta(days=days)
    inputs = _read(garden)
    facts = inputs.journal.standing
    every = list_chores(inputs.garden, _saved_plan(inputs, garden, day), facts=facts)
    due = tuple(chore for chore in every if from_on <= chore.on < until_on and not chore.is_recorded)
    late = overdue(every, facts, day) if from_on <= day else ()
    if as_json:
        told = {"from": from_on, "until": until_on, "overdue": [asdict(chore) for chore in late]}
        _print_json({**told, "chores": [asdict(chore) for chore in due]})
        return
    _warn(inputs)
    if late:
        typer.echo(overdue_text(late, get_terminal_size().columns))
    if due:
        typer.echo(chores_text(due, day, get_terminal_size().columns))
        return
    next_on = min((chore.on for chore in every if chore.on >= until_on), default=None)
    later = f"the next work is on {day_text(next_on)}" if next_on else "no work is planned after that either"
    typer.echo(f"Nothing to do from {day_text(from_on)} to {day_text(until_on - timedelta(days=1))}; {later}.")


@app.command()
def rebalance(
    garden: GardenFolder = HERE,
    free: Annotated[
        list[str] | None, typer.Option("--free", metavar="TOTE", help="This tote is empty today: what goes in now?")
    ] = None,
    lost: Annotated[
        list[str] | None, typer.Option("--lost", metavar="BATCH", help="All plants of this batch are lost.")
    ] = None,
    freedom: Annotated[
        Literal["low", "middle", "high"],
        typer.Option("--freedom", metavar="low|middle|high", help="How much may change for a better harvest."),
    ] = "middle",
    dry_run: Annotated[bool, typer.Option("--dry-run", help="Show what would change, and write nothing.")] = False,
    as_published: AsPublished = False,
    seconds: Seconds = 10,
    as_json: AsJson = False,
    today: Today = "",
) -> None:
    """Mend the plan with the fewest changes, after what the journal tells; show each change with its reason.

    --free and --lost are recorded in the journal first.
    """
    from steadysow import pipeline
    from steadysow.advice.differences import goes_in
    from steadysow.outputs import terminal
    from steadysow.plan.plan_file import PLAN_FILE, save, to_json

    day = _today(today)
    inputs = _read(garden)
    _warn(inputs)
    old = _plan_in_force(inputs, garden, day)
    if free or lost:
        told = partial(_freed, inputs, old, day, tuple(free or ()), tuple(lost or ()))
        inputs = _added(inputs, garden, old, told, dry_run=dry_run, is_silent=as_json or dry_run)
    if free:
        inputs = replace(inputs, garden=replace(inputs.garden, also_on=(day,)))
    inputs = inputs if as_published else inputs.learnt()
    with terminal.Progress(_console(stderr=True)) as on_progress:
        mended = pipeline.rebalance(
            inputs, today=day, old=old, freedom=freedom, seconds=seconds, on_progress=on_progress
        )
    if not dry_run:
        save(mended.plan, garden)
        _write_calendar(inputs, mended.plan, garden, garden)
    if as_json:
        shares = {"before": mended.share_before, "afresh": mended.share_afresh}
        _print_json({"changes": asdict(mended.differences), **shares, "plan": to_json(mended.plan)})
        return
    console = _console()
    names = {tote.name.casefold(): tote.name for tote in inputs.garden.totes}
    answers = [goes_in(mended.plan, names[tote.casefold()], day) for tote in free or ()]
    terminal.rebalanced(console, mended, tuple(answers))
    _tell_learnt(console, inputs, as_published=as_published)
    done = "Nothing was written." if dry_run else f"Wrote {garden / PLAN_FILE} and the calendar."
    console.print(done, soft_wrap=True, highlight=False)


@app.command(no_args_is_help=True)
def record(
    fact: Annotated[
        str,
        typer.Argument(
            metavar="FACT",
            help="sown, emerged, thinned, transplanted, harvested, lost, bolted, cleared, moved; scrubbed, fed,"
            " topped-up, measured, resting, back; note; done (today's chores, or: done overdue); undo.",
        ),
    ],
    what: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="WHAT",
            help="Batch numbers, totes or a crop. moved: batch and new tote. measured: tote, then ph, ec, level or"
            " temperature, each with its value. undo: the number of a fact, or nothing for the last one.",
        ),
    ] = None,
    on: Annotated[
        str, typer.Option("--on", metavar="DAY", help="When it happened; a weekday is the last such day.")
    ] = "today",
    plants: Annotated[
        int | None, typer.Option("--plants", min=0, help="How many; of emerged, cells that are up.")
    ] = None,
    grams: Annotated[float | None, typer.Option("--grams", min=0, help="What it weighed.")] = None,
    ounces: Annotated[float | None, typer.Option("--ounces", min=0, help="What it weighed, in ounces.")] = None,
    holes: Annotated[str, typer.Option("--holes", metavar="N", help="Which holes, such as 1-3,7.")] = "",
    tote: Annotated[str, typer.Option("--tote", metavar="TOTE", help="Where to, if it is not as planned.")] = "",
    want: Annotated[
        str, typer.Option("--want", metavar="WANT", help="What a sowing that was not planned is for.")
    ] = "",
    litres: Annotated[float | None, typer.Option("--litres", min=0, help="How much was topped up or fed.")] = None,
    gallons: Annotated[float | None, typer.Option("--gallons", min=0, help="The same in gallons.")] = None,
    until: Annotated[
        str, typer.Option("--until", metavar="DAY", help="First day that a resting tote is back in use.")
    ] = "",
    note: Annotated[str, typer.Option("--note", metavar="TEXT", help="Words to go with it.")] = "",
    garden: GardenFolder = HERE,
    as_json: AsJson = False,
    today: Today = "",
) -> None:
    """Record what happened in the journal: one fact in a few words.

    Such as: record sown 12; record emerged kale --plants 5; record harvested A --grams 180; record lost 14 --plants 2;
    record resting B --until 5 dec; record done; record undo.
    """
    from steadysow.amounts import grams_of, litres_of
    from steadysow.door.words import TELLING, broken_by, read_holes, read_kind, told
    from steadysow.plan.plan_file import load
    from steadysow.standing.recording import Saying

    day = _today(today)
    word = read_kind(fact)
    saying = Saying(
        kind="note" if word == "done" else word,
        what=tuple(what or ()),
        on=read_day(on, today=day, argument="--on", is_past=True),
        plants=plants,
        grams=grams_of(ounces) if ounces is not None else grams,
        holes=read_holes(holes),
        tote=tote,
        want=want,
        litres=litres_of(gallons) if gallons is not None else litres,
        until=read_day(until, today=day, argument="--until") if until else None,
        text=note,
    )
    before = _read(garden)
    _warn(before)
    plan = load(garden)
    inputs = _added(
        before, garden, plan, lambda journal: told(word, saying, before.grounds(plan, day, journal)), is_silent=as_json
    )
    if plan is not None:
        _write_calendar(inputs, _saved_plan(inputs, garden, day), garden, garden)
    if as_json:
        known = {each.number for each in before.journal.facts}
        _print_json([asdict(each) for each in inputs.journal.facts if each.number not in known])
    elif plan is not None and word in TELLING and (worse := broken_by(inputs.grounds(plan, day), inputs.made_by(plan))):
        typer.echo(f"{worse} `steadysow rebalance` mends the plan.")


@app.command()
def calendar(
    garden: GardenFolder = HERE,
    output: Annotated[
        Path | None, typer.Option("-o", "--output", metavar="FILE", help="Write it there, not to the garden's folder.")
    ] = None,
    today: Today = "",
) -> None:
    """Write the calendar file of the saved plan, for phones."""
    from steadysow.outputs import ical

    inputs = _read(garden)
    saved = _saved_plan(inputs, garden, _today(today))
    target = output or garden
    file = target / ical.CALENDAR_NAME if target.is_dir() else target
    if output is not None:
        _check_target(file)
    changed = _write_calendar(inputs, saved, garden, target)
    typer.echo(f"Wrote {file}." if changed else f"{file} is up to date.")


@app.command()
def publish(
    url: Annotated[str, typer.Argument(metavar="URL", help="A CalDAV calendar (ends in /) or a file (ends in .ics).")],
    garden: GardenFolder = HERE,
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
    dry_run: Annotated[bool, typer.Option("--dry-run", help="Only look, and tell what would be done.")] = False,
    today: Today = "",
) -> None:
    """Publish the calendar of the saved plan on a server, by CalDAV or as a file.

    The password is asked for, or taken from STEADYSOW_PASSWORD or the keyring. Only what was published from here is
    ever changed or deleted. Whatever interrupts it, run it again: it goes on where it stopped.
    """
    from steadysow.outputs import ical, web
    from steadysow.outputs.password import find_password
    from steadysow.outputs.password import keep_password as keep_in_keyring
    from steadysow.outputs.publish import STATE_NAME, publish_calendar, way_of

    address, way = way_of(web.read_address(url), by_caldav=by_caldav, as_file=as_file)
    web.check_user(address, user, may_be_read=plain_http, keep_password=keep_password)
    inputs = _read(garden)
    _write_calendar(inputs, _saved_plan(inputs, garden, _today(today)), garden, garden)
    prompt = (lambda question: typer.prompt(question, hide_input=True, err=True)) if sys.stdin.isatty() else None
    password = (
        find_password(address.origin, user, environment=os.environ, is_renewed=keep_password, prompt=prompt)
        if user
        else ""
    )
    try:
        with closing(web.Connection()) as connection:
            report = publish_calendar(
                (garden / ical.CALENDAR_NAME).read_bytes(),
                address,
                web.RemoteServer(exchange=connection, user=user, password=password),
                garden / STATE_NAME,
                way=way,
                overwrite=overwrite,
                make_collection=make_collection,
                dry_run=dry_run,
            )
    except KeyboardInterrupt:
        _end(2, "Interrupted. What was sent is remembered; run the same again to go on.")
    if keep_password and report.is_let_in:
        keep_in_keyring(address.origin, user, password)
    typer.echo(f"{address}{' (nothing is sent)' if dry_run else ''}:")
    typer.echo("\n".join(f"  {line}" for line in report.lines()))
    if not report.is_complete:
        raise typer.Exit(2)


@app.command()
def serve(
    garden: GardenFolder = HERE,
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
    from steadysow.outputs import ical, subscription
    from steadysow.outputs.serve import ServedAddress, Server, address_text, bound, lan_host, qr_text, secret_of

    if not (garden / ical.CALENDAR_NAME).exists():
        inputs = _read(garden)
        _write_calendar(inputs, _saved_plan(inputs, garden, _today(today)), garden, garden)
    host = lan_host() if lan else "127.0.0.1"
    secret, is_new = secret_of(garden, is_new=new_address)
    try:
        listener = bound("0.0.0.0" if lan else host, port)  # noqa: S104 - asked for with --lan
    except InputFaults:
        if is_new:
            typer.echo(f"The address now ends in /{secret}/{ical.CALENDAR_NAME}, also where it is served already.")
        raise
    answers = subscription.Subscription(
        garden, secret, now=lambda: datetime.now(UTC).astimezone(), log=lambda line: typer.echo(line, err=True)
    )
    address = ServedAddress(host=host, port=listener.getsockname()[1], secret=secret)

    def tell() -> None:
        has_tasks = (garden / ical.TASKS_NAME).exists()
        is_terminal = sys.stdout.isatty()
        typer.echo(address_text(address, has_tasks=has_tasks, is_new=is_new, width=get_terminal_size().columns))
        if with_qr or (lan and is_terminal):
            try:
                typer.echo(f"\n{qr_text(address.url(), is_terminal=is_terminal)}\n")
            except UnicodeEncodeError:
                typer.echo("No QR code: these characters cannot be written here.")
        if fault := answers.fault():
            typer.echo(f"{fault}: nothing is served until `steadysow calendar` has written it again.", err=True)
        typer.echo("Ctrl-C ends it.")

    Server(answers, listener).run(tell)
    typer.echo("Ended: the calendar is not served any more.")


@app.command(name="mix")
def mix_nutrients(
    litres: Annotated[
        float | None,
        typer.Option("--litres", metavar="N", help="How much tote water; of totes fed together, their sum."),
    ] = None,
    gallons: Annotated[float | None, typer.Option("--gallons", metavar="N", help="The same in gallons.")] = None,
    name: Annotated[
        str, typer.Option("--recipe", metavar="NAME", help="The recipe; the garden's `nutrient` if left out.")
    ] = "",
    onto: Annotated[
        float,
        typer.Option(
            "--onto",
            min=0,
            metavar="N",
            show_default=False,
            help="Old solution that stays in the tote and the mix is poured onto, in litres (with --gallons, in"
            " gallons).",
        ),
    ] = 0,
    garden: GardenFolder = HERE,
    as_json: AsJson = False,
) -> None:
    """Tell what to weigh, steep and dilute for some litres of tote water, and what that comes to.

    With the arithmetic, the milligrams a litre beside published solutions, what is strong or weak, and cautions. Such
    as: mix --litres 22; mix --litres 6 --onto 5; mix --gallons 3 --recipe "castings brew". Needs no plan, nor a garden.
    """
    from steadysow.amounts import litres_of
    from steadysow.inputs.recipes import NUTRIENT, recipe_named, recipe_names
    from steadysow.inputs.values import suggestion
    from steadysow.outputs.mixing import mix_text
    from steadysow.upkeep import nutrients

    # Whoever names a folder means its recipes; nobody needs one.
    inputs = _read(garden) if garden != HERE or (garden / GARDEN_FILE).exists() else None
    own = inputs.garden.recipes if inputs else ()
    wanted = name or (inputs.garden.nutrient if inputs else NUTRIENT)
    recipe = recipe_named(wanted, own)
    if recipe is None:
        raise _fault("--recipe", f'there is no recipe "{wanted}"', suggestion(wanted, recipe_names(own)))
    tote_litres = _litres_asked(litres, gallons)
    old_litres = litres_of(onto) if gallons is not None else onto
    if not old_litres <= MOST_LITRES:
        raise _fault("--onto", f"{onto:g} is too much", f"Write up to {MOST_LITRES} litres")
    tap_water = inputs.garden.tap_water if inputs else None
    mixed, strength = nutrients.mix(recipe, tote_litres), nutrients.strength(recipe, tap_water)
    wants = inputs.garden.wants if inputs else ()
    served = dict.fromkeys(serving.crop for want in wants for serving in want.servings)
    ranges = nutrients.crop_ranges(inputs.garden.crops[crop] for crop in served) if inputs else ()
    if as_json:
        solutions = {solution.key: dict(solution.mg_per_litre) for solution in nutrients.published_solutions()}
        with_old = {
            level.element: nutrients.carried_over(level.mg_per_litre, tote_litres, old_litres)
            for level in strength.levels
            if old_litres and level.is_recorded
        }
        levels = {"levels": [asdict(level) for level in strength.levels], "levels_with_old": with_old}
        sentences = (
            *nutrients.judged(strength),
            *nutrients.judged_water(tap_water),
            *(nutrients.judged_with_old(strength, tote_litres, old_litres) if old_litres else ()),
        )
        told = {"mix": asdict(mixed), **levels, "published": solutions, "sentences": sentences}
        _print_json({**told, "ranges": [asdict(each) for each in ranges]})
        return
    units = inputs.garden.units if inputs else "us" if gallons is not None else "metric"
    width = get_terminal_size().columns
    typer.echo(
        mix_text(mixed, strength, units=units, ranges=ranges, tap_water=tap_water, old_litres=old_litres, width=width)
    )


@app.command()
def supplies(
    garden: GardenFolder = HERE,
    weeks: Annotated[
        int | None, typer.Option("--weeks", min=1, max=520, help="How many weeks; to the end of the plan if left out.")
    ] = None,
    as_json: AsJson = False,
    today: Today = "",
) -> None:
    """Tell what the plan uses up (seeds, cubes, nutrients, water, power), what to order by when, and what it costs."""
    from steadysow.outputs import terminal
    from steadysow.upkeep.supplies import supplies_of
    from steadysow.upkeep.water import keep_books

    day = _today(today)
    inputs = _read(garden)
    _warn(inputs)
    saved = _saved_plan(inputs, garden, day)
    books = keep_books(inputs.garden, saved, inputs.journal.standing)
    from_on = max(day, saved.from_on)
    until_on = max(saved.until_on, from_on + timedelta(1)) if weeks is None else from_on + timedelta(weeks=weeks)
    told = supplies_of(inputs.garden, saved, books, from_on=from_on, until_on=until_on)
    if as_json:
        costs = {"grams": told.grams, "cost": told.cost, "cost_a_100_g": told.cost_a_100_g, "unpriced": told.unpriced}
        things = [
            {**asdict(each), "packs": each.packs, "cost": each.cost, "order_cost": each.order_cost}
            for each in told.supplies
        ]
        _print_json({**asdict(told), "supplies": things, **costs})
        return
    terminal.supplies(_console(), inputs.garden, told)


@app.command()
def crops(
    name: Annotated[list[str] | None, typer.Argument(metavar="[NAME]", help="One crop; all if left out.")] = None,
    places: Annotated[
        list[str] | None,
        typer.Option(
            "--in", metavar="PLACE", help="Show what a sowing comes to there; may be repeated. All if left out."
        ),
    ] = None,
    sown: Annotated[
        list[str] | None,
        typer.Option("--sown", metavar="DAY", help="Show what comes of sowing it that day; may be repeated."),
    ] = None,
    garden: GardenFolder = HERE,
    as_json: AsJson = False,
    today: Today = "",
) -> None:
    """List the crop profiles; or show one, with the source of every figure or with the dates of a sowing."""
    from steadysow.inputs.values import suggestion
    from steadysow.outputs import terminal

    known, units = _crops(garden)
    wanted = " ".join(name or ()).casefold()
    if wanted and wanted not in known:
        raise _fault("NAME", f'there is no crop "{wanted}"', suggestion(wanted, tuple(known)))
    if places or sown:
        if not wanted:
            raise _fault(
                "NAME", "a sowing is of one crop", "Write its name, such as: steadysow crops kale --sown today"
            )
        _show_forecasts(garden, known[wanted], tuple(places or ()), tuple(sown or ("today",)), _today(today), as_json)
        return
    if as_json:
        _print_json(asdict(known[wanted]) if wanted else [asdict(known[each]) for each in sorted(known)])
    elif wanted:
        terminal.crop_profile(_console(), known[wanted], units)
        if (garden / GARDEN_FILE).exists():
            inputs = _read(garden)
            learnt, germination = inputs.record_of(known[wanted], _today(today).year)
            terminal.own_record(_console(), known[wanted], learnt, germination, units)
    else:
        terminal.crop_list(_console(), known, units)


@app.command()
def schema(kind: Annotated[Literal["garden", "crop"], typer.Argument(metavar="garden|crop")]) -> None:
    """Print the JSON Schema of garden.yaml or of a crop profile, for editors."""
    from steadysow.inputs.schema import schema as schema_of

    _print_json(schema_of(kind))


def _show_forecasts(
    folder: Path, crop: Crop, names: tuple[str, ...], sown: tuple[str, ...], today: date, as_json: bool
) -> None:
    """Show what comes of sowing a crop on some days at some places."""
    from steadysow.growth.forecast import forecast
    from steadysow.inputs.values import suggestion
    from steadysow.outputs import terminal

    garden = _read(folder).garden
    known = {place.name: place for place in garden.places}
    for name in names:
        if name not in known:
            raise _fault("--in", f'there is no place "{name}"', suggestion(name, tuple(known)))
    days = [read_day(day, today=today, argument="--sown") for day in sown]
    told = tuple(
        forecast(crop, known[name], day, nursery=garden.nursery.place, sky=garden.sky)
        for day in days
        for name in names or tuple(known)
    )
    if as_json:
        _print_json([{**asdict(each), "place": each.place.name} for each in told])
        return
    terminal.forecasts(_console(), crop, told, garden.units)


def _litres_asked(litres: float | None, gallons: float | None) -> float:
    """Give the tote water that is asked for [L]: litres or gallons, and not both."""
    from steadysow.amounts import litres_of

    if litres is None and gallons is None:
        raise _fault("--litres", "how much is not said", "Write such as --litres 11, or --gallons 3")
    if litres is not None and gallons is not None:
        raise _fault("--gallons", "says the same as --litres", "Keep one of the two")
    asked = litres if litres is not None else litres_of(gallons or 0)
    if not 0 < asked <= MOST_LITRES:
        argument = "--litres" if litres is not None else "--gallons"
        raise _fault(
            argument, f"{asked:g} litres are not mixed at home", f"Write more than 0, up to {MOST_LITRES} litres"
        )
    return asked


def _check_target(file: Path) -> None:
    """Refuse to write a calendar over what is none of ours."""
    from steadysow.outputs.ical import is_ours

    if file.suffix != ".ics" or file.name.endswith("-tasks.ics"):
        raise _fault(str(file), "a calendar's name ends in .ics, and not in -tasks.ics", "Name such as garden.ics")
    if file.exists() and not (file.is_file() and is_ours(file.read_bytes())):
        raise _fault(str(file), "there is something else, which is left as it is", "Name another file")


# What commands have in common.


def _fault(file: str, wrong: str, write: str) -> InputFaults:
    return InputFaults((Fault(file=file, line=None, field="", wrong=wrong, write=write),))


def _raise(faults: tuple[Fault, ...]) -> None:
    if faults:
        raise InputFaults(faults)


def _today(text: str) -> date:
    today = date.today()
    return read_day(text, today=today, argument="--today") if text else today


def _read(folder: Path) -> Inputs:
    """Read the garden of a folder, or say how to get one."""
    from steadysow.pipeline import read

    if not folder.is_dir():
        raise _fault(str(folder), "there is no such folder", "Name the garden's folder with -g")
    if not (folder / GARDEN_FILE).exists():
        write = f"Run `steadysow init {folder}` to begin one, or name the garden's folder with -g"
        raise _fault(str(folder), f"there is no {GARDEN_FILE} in this folder", write)
    return read(folder)


def _plan_in_force(inputs: Inputs, folder: Path, today: date) -> Plan:
    """Give the plan in force as it is written; refuse one that the garden cannot follow."""
    from steadysow.plan.plan_file import load
    from steadysow.standing.standing import strangers

    saved = load(folder)
    if saved is None:
        raise _fault(str(folder), "there is no plan yet", "Run `steadysow plan`")
    to_come = (batch for batch in saved.batches if batch.sown_on >= today)
    _raise(strangers(inputs.garden, (*inputs.standing(saved, today).begun, *to_come)))
    return saved


def _saved_plan(inputs: Inputs, folder: Path, today: date) -> Plan:
    """Give the plan in force as it reads with what was told, without what the garden no longer has."""
    from steadysow.standing.standing import plan_as_recorded

    saved = _plan_in_force(inputs, folder, today)
    # Where nothing was told, the plan reads as it is written.
    told = plan_as_recorded(saved, inputs.standing(saved, today), today) if inputs.journal.facts else saved
    return _known(inputs, told)


def _known(inputs: Inputs, plan: Plan) -> Plan:
    """Give a plan without history that the garden no longer knows."""
    from steadysow.standing.standing import is_known

    return replace(plan, batches=tuple(each for each in plan.batches if is_known(inputs.garden, each)))


def _warn(inputs: Inputs) -> None:
    for warning in inputs.journal.warnings:
        typer.echo(warning, err=True)


def _freed(
    inputs: Inputs, plan: Plan, day: date, totes: tuple[str, ...], lost: tuple[str, ...], journal: Journal
) -> Told:
    from steadysow.door.words import freed

    return freed(totes, lost, inputs.grounds(plan, day, journal))


def _added(
    inputs: Inputs,
    folder: Path,
    plan: Plan | None,
    say: Callable[[Journal], Told],
    *,
    dry_run: bool = False,
    is_silent: bool = False,
) -> Inputs:
    """Add to the journal what is said, and tell it; on a dry run it is only imagined."""
    from steadysow.door.words import sentence_of
    from steadysow.inputs.journal import add_facts, imagined

    said: list[Told] = []

    def make(journal: Journal) -> tuple[Fact, ...]:
        said.append(say(journal))
        return said[-1].facts

    if dry_run:
        journal, added = imagined(inputs.journal, make(inputs.journal))
    else:
        new_uuid = plan.uuid if plan is not None else str(uuid.uuid4())
        journal, added = add_facts(folder, make, new_uuid=new_uuid, now=datetime.now(UTC))
    if not is_silent:
        for fact in added:
            typer.echo(sentence_of(fact, inputs.garden.units, journal))
        for warning in said[-1].warnings:
            typer.echo(f"Odd: {warning}", err=True)
    return replace(inputs, journal=journal)


def _least_id(folder: Path) -> int:
    """Give a number beyond all batches of a calendar whose plan was lost."""
    from steadysow.outputs import ical

    state = ical.read_state(folder / ical.STATE_NAME)
    keys = (revision.key.split("/") for revision in (*state.revisions, *state.tasks))
    return 1 + max((int(part) for key in keys for part in key[:2] if part.isdecimal()), default=0)


def _tell_learnt(console: Console, inputs: Inputs, *, as_published: bool) -> None:
    from steadysow.outputs import terminal

    told = () if as_published else inputs.learnt_sentences()
    if told:
        terminal.sentences(console, "From this garden's record", told)


def _crops(folder: Path) -> tuple[dict[str, Crop], Literal["metric", "us"]]:
    """Give the crops of a garden, or those that are shipped where there is none, and the units to show them in."""
    from steadysow.inputs.crops import read_crops, shipped_crops_folder
    from steadysow.inputs.values import FaultList

    units = _read(folder).garden.units if (folder / GARDEN_FILE).exists() else "metric"
    faults = FaultList()
    found = read_crops((shipped_crops_folder(), folder / "crops"), faults)
    faults.raise_if_any()
    return found, units


def _light_use(inputs: Inputs, plan: Plan) -> tuple[str, ...]:
    from steadysow.advice.light_use import light_use

    return light_use(inputs.garden, _known(inputs, plan).batches)


def _levels(inputs: Inputs, plan: Plan, day: date) -> dict[str, float]:
    """Give the water of each tote that is in use on a day [L]."""
    from steadysow.upkeep.water import keep_books, levels_on

    return levels_on(keep_books(inputs.garden, plan, inputs.journal.standing), day)


def _light_given(inputs: Inputs, plan: Plan) -> tuple[str, ...]:
    """Say what light places give beside what their crops ask for."""
    from steadysow.upkeep.lamp_light import light_given, light_sentences

    garden = inputs.garden
    given = light_given(garden, _known(inputs, plan), plan.from_on, plan.until_on)
    return tuple(sentence for each in given for sentence in light_sentences(garden, each))


def _write_calendar(inputs: Inputs, plan: Plan, folder: Path, target: Path) -> bool:
    from steadysow.chores.listing import list_chores
    from steadysow.outputs import ical

    listed = list_chores(inputs.garden, _known(inputs, plan), facts=inputs.journal.standing)
    state_file = folder / ical.STATE_NAME
    return ical.write_calendar(target, inputs.garden, plan, listed, now=datetime.now(UTC), state_file=state_file)


def _show_all(console: Console, inputs: Inputs, plan: Plan) -> None:
    """Show the proof first, then the tables, then what there is to know beside them."""
    from steadysow.chores.listing import busiest_weeks, list_chores
    from steadysow.outputs import terminal

    terminal.proof(console, plan, _light_use(inputs, plan))
    terminal.sowings(console, plan)
    terminal.totes(console, inputs.garden, plan)
    terminal.harvest(console, inputs.garden, plan)
    if plan.notes:
        terminal.sentences(console, "Notes", plan.notes)
    known = _known(inputs, plan)
    if water := _water(inputs, known, plan.made_on):
        terminal.sentences(console, "Water", water)
    every = list_chores(inputs.garden, known, facts=inputs.journal.standing)
    if work := busiest_weeks(every, plan.starts_on, plan.made_on):
        terminal.sentences(console, "Work", (work,))


def _water(inputs: Inputs, plan: Plan, today: date) -> tuple[str, ...]:
    """Say where the water of totes and trays would not suffice."""
    from steadysow.upkeep.shortfalls import shortfalls
    from steadysow.upkeep.water import keep_books

    books = keep_books(inputs.garden, plan, inputs.journal.standing)
    return shortfalls(inputs.garden, plan, books, today)


def _console(*, stderr: bool = False) -> Console:
    from rich.console import Console

    return Console(stderr=stderr)


def _print_json(value: Any) -> None:
    typer.echo(json.dumps(value, indent=1, ensure_ascii=False, default=str))
