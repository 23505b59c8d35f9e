"""Commands that make, mend and show the plan: plan, show, rebalance."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from steadysow.cli.options import HERE, INTERRUPTED, AsJson, AsPublished, Folder, Seconds, Today
from steadysow.cli.screen import console, print_json, show_recorded, show_sentences, warn
from steadysow.door.clock import day_of

if TYPE_CHECKING:
    from rich.console import Console

    from steadysow.door.results import PlanWork


def plan(
    folder: Folder = HERE,
    afresh: Annotated[bool, typer.Option("--afresh", help="Solve even if nothing has changed.")] = False,
    as_published: AsPublished = False,
    seconds: Seconds = 10,
    as_json: AsJson = False,
    today: Today = "",
) -> None:
    """Choose what to sow, where and when; save plan.json and calendar.ics, and show how good the plan is.

    Ctrl-C ends the search and keeps the best plan so far.
    """
    from steadysow.door.garden_folder import load
    from steadysow.outputs import terminal
    from steadysow.outputs.calendar_state import CALENDAR_NAME
    from steadysow.plan.plan_file import PLAN_FILE, to_json

    day = day_of(today)
    garden = load(folder)
    warn(garden)
    try:
        with terminal.Progress(console(stderr=True)) as on_progress:
            planned = garden.planned(
                day, afresh=afresh, as_published=as_published, seconds=seconds, on_progress=on_progress
            )
    except KeyboardInterrupt:
        raise typer.Exit(INTERRUPTED) from None
    if as_json:
        print_json(to_json(planned.plan))
        return
    shown_on = console()
    _show_all(shown_on, planned.work)
    show_sentences(shown_on, "From this garden's record", planned.learnt)
    if planned.is_new:
        written = f"Wrote {folder / PLAN_FILE} and {folder / CALENDAR_NAME}."
        shown_on.print(written, soft_wrap=True, highlight=False)
    else:
        shown_on.print("Nothing has changed since this plan was made: nothing was solved. --afresh plans anew.")


def show(
    part: Annotated[
        Literal["totes", "harvest", "batches", "sowings", "lids"] | None,
        typer.Argument(metavar="[totes|harvest|batches|sowings|lids]", help="One part of it; all if left out."),
    ] = None,
    folder: Folder = HERE,
    as_json: AsJson = False,
    today: Today = "",
) -> None:
    """Show the saved plan again, without solving; lids are shown as of today. JSON holds the whole plan."""
    from steadysow.door.garden_folder import load
    from steadysow.outputs import terminal
    from steadysow.plan.plan_file import to_json

    day = day_of(today)
    opened = load(folder)
    saved, garden = opened.plan_now(day), opened.garden
    if as_json:
        print_json(to_json(saved))
        return
    shown_on = console()
    parts: dict[str | None, Callable[[], None]] = {
        None: lambda: _show_all(shown_on, opened.work_of(saved)),
        "totes": lambda: terminal.totes(shown_on, garden, saved),
        "harvest": lambda: terminal.harvest(shown_on, garden, saved),
        "batches": lambda: terminal.batches(shown_on, saved),
        "sowings": lambda: terminal.sowings(shown_on, saved),
        "lids": lambda: terminal.lids(shown_on, garden, saved, day, opened.levels(saved, day)),
    }
    parts[part]()


def rebalance(
    folder: Folder = HERE,
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
    """Mend the plan with the fewest changes, after what the journal says; show each change with its reason.

    --free and --lost are recorded in the journal first.
    """
    from steadysow.door.garden_folder import load
    from steadysow.outputs import terminal
    from steadysow.plan.plan_file import PLAN_FILE, to_json

    day = day_of(today)
    garden = load(folder)
    warn(garden)
    with terminal.Progress(console(stderr=True)) as on_progress:
        mended = garden.rebalance(
            day,
            free=free or (),
            lost=lost or (),
            freedom=freedom,
            dry_run=dry_run,
            as_published=as_published,
            seconds=seconds,
            on_recorded=None if as_json or dry_run else show_recorded,
            on_progress=on_progress,
        )
    changed = mended.rebalanced
    if as_json:
        shares = {"before": changed.share_before, "afresh": changed.share_afresh}
        print_json({"changes": asdict(changed.differences), **shares, "plan": to_json(changed.plan)})
        return
    shown_on = console()
    terminal.rebalanced(shown_on, changed, mended.answers)
    show_sentences(shown_on, "From this garden's record", mended.learnt)
    written = "Nothing was written." if dry_run else f"Wrote {folder / PLAN_FILE} and the calendar."
    shown_on.print(written, soft_wrap=True, highlight=False)


def _show_all(shown_on: Console, work: PlanWork) -> None:
    """Show the proof first, then the tables, then what to know besides."""
    from steadysow.advice.light_use import light_use
    from steadysow.chores.listing import busiest_weeks
    from steadysow.door.checking import water
    from steadysow.outputs import terminal

    plan = work.plan
    terminal.proof(shown_on, plan, light_use(work.garden, work.known.batches))
    terminal.sowings(shown_on, plan)
    terminal.totes(shown_on, work.garden, plan)
    terminal.harvest(shown_on, work.garden, plan)
    show_sentences(shown_on, "Notes", plan.notes)
    show_sentences(shown_on, "Water", water(work, plan.made_on))
    busiest = busiest_weeks(work.chores, plan.starts_on, plan.made_on)
    show_sentences(shown_on, "Work", (busiest,) if busiest else ())
