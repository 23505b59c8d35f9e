"""The command about crops: their profiles, the garden's own record of them, and what a sowing comes to."""

from __future__ import annotations

from dataclasses import asdict
from typing import Annotated

import typer

from steadysow.cli.options import HERE, AsJson, Folder, Today
from steadysow.cli.screen import console, print_json
from steadysow.door.clock import day_of
from steadysow.errors import one_fault


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
    folder: Folder = HERE,
    as_json: AsJson = False,
    today: Today = "",
) -> None:
    """List the crop profiles; or show one, with the source of every figure or with the dates of a sowing."""
    from steadysow.door import profiles
    from steadysow.door.garden_folder import load
    from steadysow.inputs.garden_file import GARDEN_FILE
    from steadysow.outputs import terminal

    garden = load(folder) if (folder / GARDEN_FILE).exists() else None
    known, units = profiles.crops(folder), garden.garden.units if garden else "metric"
    wanted = profiles.crop_named(named, known) if (named := " ".join(name or ())) else None
    if places or sown:
        if wanted is None:
            raise one_fault(
                "NAME", "a sowing is of one crop", "Write its name, such as: steadysow crops kale --sown today"
            )
        forecasts = load(folder).forecasts(
            wanted.name, places=places or (), sown_on=sown or ("today",), today=day_of(today)
        )
        if as_json:
            print_json([{**asdict(each), "place": each.place.name} for each in forecasts])
        else:
            terminal.forecasts(console(), wanted, forecasts, units)
    elif as_json:
        print_json(asdict(wanted) if wanted else [asdict(known[each]) for each in sorted(known)])
    elif wanted is None:
        terminal.crop_list(console(), known, units)
    else:
        terminal.crop_profile(console(), wanted, units)
        if garden is not None:
            learnt, germination = garden.record_of(wanted, day_of(today).year)
            terminal.own_record(console(), wanted, learnt, germination, units)
