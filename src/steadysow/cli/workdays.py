"""Commands of every day: chores, record."""

from __future__ import annotations

from dataclasses import asdict
from datetime import timedelta
from shutil import get_terminal_size
from typing import Annotated

import typer

from steadysow.cli.options import HERE, AsJson, Folder, Today
from steadysow.cli.screen import print_json, show_recorded, warn
from steadysow.door.clock import day_of


def chores(
    folder: Folder = HERE,
    since: Annotated[
        str, typer.Option("--from", metavar="DAY", help="First day; a weekday is the next such day, today included.")
    ] = "today",
    days: Annotated[int, typer.Option("--days", min=1, max=3660, help="How many days to look ahead.")] = 7,
    as_json: AsJson = False,
    today: Today = "",
) -> None:
    """Show what there is to do, day by day."""
    from steadysow.amounts import day_text
    from steadysow.door.garden_folder import load
    from steadysow.outputs.plain import chores_text, overdue_text

    day = day_of(today)
    garden = load(folder)
    found = garden.chores(day, since=since, days=days)
    if as_json:
        late, due = ([asdict(chore) for chore in each] for each in (found.overdue, found.due))
        print_json({"from": found.from_on, "until": found.until_on, "overdue": late, "chores": due})
        return
    warn(garden)
    width = get_terminal_size().columns
    if found.overdue:
        typer.echo(overdue_text(found.overdue, width))
    if found.due:
        typer.echo(chores_text(found.due, day, width))
        return
    later = "no work is planned after that either"
    if found.next_on is not None:
        later = f"the next work is on {day_text(found.next_on)}"
    last_on = found.until_on - timedelta(days=1)
    typer.echo(f"Nothing to do from {day_text(found.from_on)} to {day_text(last_on)}; {later}.")


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
        int | None, typer.Option("--plants", min=0, help="How many; for emerged, cells that are up.")
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
    folder: Folder = HERE,
    as_json: AsJson = False,
    today: Today = "",
) -> None:
    """Record what happened in the journal: one fact in a few words.

    Such as: record sown 12; record emerged kale --plants 5; record harvested A --grams 180; record lost 14 --plants 2;
    record resting B --until 5 dec; record done; record undo.
    """
    from steadysow.amounts import grams_of, litres_of
    from steadysow.door.garden_folder import load

    garden = load(folder)
    warn(garden)
    recorded = garden.record(
        fact,
        *(what or ()),
        on=on,
        plants=plants,
        grams=grams_of(ounces) if ounces is not None else grams,
        holes=holes,
        tote=tote,
        want=want,
        litres=litres_of(gallons) if gallons is not None else litres,
        until=until,
        note=note,
        today=today,
        on_recorded=None if as_json else show_recorded,
    )
    if as_json:
        print_json([asdict(each) for each in recorded.facts])
    elif recorded.broken:
        typer.echo(f"{recorded.broken} `steadysow rebalance` mends the plan.")
