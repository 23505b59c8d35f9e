"""Commands about what the garden uses up: mix, supplies."""

from __future__ import annotations

from dataclasses import asdict
from shutil import get_terminal_size
from typing import Annotated

import typer

from steadysow.cli.options import HERE, AsJson, Folder, Today
from steadysow.cli.screen import console, print_json, warn
from steadysow.errors import one_fault


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
    folder: Folder = HERE,
    as_json: AsJson = False,
) -> None:
    """Show what to weigh, steep and dilute for some litres of tote water, and what that comes to.

    With the arithmetic, the milligrams a litre beside published solutions, what is strong or weak, and cautions. Such
    as: mix --litres 22; mix --litres 6 --onto 5; mix --gallons 3 --recipe "castings brew". Needs no plan, nor a garden.
    """
    from steadysow.amounts import litres_of
    from steadysow.door.garden_folder import load
    from steadysow.door.mixing import MOST_LITRES, mix
    from steadysow.inputs.garden_file import GARDEN_FILE
    from steadysow.outputs.mixing import mix_text

    # Whoever names a folder means its recipes; nobody needs one.
    garden = load(folder).garden if folder != HERE or (folder / GARDEN_FILE).exists() else None
    if litres is None and gallons is None:
        raise one_fault("--litres", "how much is not said", "Write such as --litres 11, or --gallons 3")
    if litres is not None and gallons is not None:
        raise one_fault("--gallons", "says the same as --litres", "Keep one of the two")
    asked_litres = litres if litres is not None else litres_of(gallons or 0)
    if gallons is not None and not 0 < asked_litres <= MOST_LITRES:
        wrong = f"{asked_litres:g} litres are not mixed at home"
        raise one_fault("--gallons", wrong, f"Write more than 0, up to {MOST_LITRES} litres")
    old_litres = onto if gallons is None else litres_of(onto)
    mixed = mix(asked_litres, recipe=name, old_litres=old_litres, garden=garden)
    if as_json:
        print_json(mixed.to_json())
        return
    units = garden.units if garden else "us" if gallons is not None else "metric"
    typer.echo(
        mix_text(
            mixed.mix,
            mixed.strength,
            units=units,
            ranges=mixed.ranges,
            tap_water=mixed.tap_water,
            old_litres=mixed.old_litres,
            width=get_terminal_size().columns,
        )
    )


def supplies(
    folder: Folder = HERE,
    weeks: Annotated[
        int | None, typer.Option("--weeks", min=1, max=520, help="How many weeks; to the end of the plan if left out.")
    ] = None,
    as_json: AsJson = False,
    today: Today = "",
) -> None:
    """Show what the plan uses up (seeds, cubes, nutrients, water, power), what to order by when, and what it costs."""
    from steadysow.door.garden_folder import load
    from steadysow.outputs import terminal

    garden = load(folder)
    warn(garden)
    used = garden.supplies(today, weeks=weeks)
    if as_json:
        costs = {"grams": used.grams, "cost": used.cost, "cost_a_100_g": used.cost_a_100_g, "unpriced": used.unpriced}
        things = [
            {**asdict(each), "packs": each.packs, "cost": each.cost, "order_cost": each.order_cost}
            for each in used.supplies
        ]
        print_json({**asdict(used), "supplies": things, **costs})
        return
    terminal.supplies(console(), garden.garden, used)
