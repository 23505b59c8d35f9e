"""The program: the list of all commands, and how a run of it ends.

A run ends with status 0 (done), 1 (a fault of ours) or 2 (faults in files or arguments).
"""

from __future__ import annotations

import os
import sys
from typing import Annotated, NoReturn

import typer

from steadysow import __version__
from steadysow.cli.beginning import check, init, schema
from steadysow.cli.calendars import calendar, publish, serve
from steadysow.cli.options import INTERRUPTED
from steadysow.cli.planning import plan, rebalance, show
from steadysow.cli.profiles import crops
from steadysow.cli.stores import mix_nutrients, supplies
from steadysow.cli.workdays import chores, record
from steadysow.errors import InputFaults

app = typer.Typer(
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    add_completion=False,
    no_args_is_help=True,
    context_settings={"help_option_names": ["-h", "--help"]},
    help="Plan a household's greens in a few totes: what to sow, where and when.",
)

# In the order in which help lists them.
app.command()(init)
app.command()(check)
app.command()(plan)
app.command()(show)
app.command()(chores)
app.command()(rebalance)
app.command(no_args_is_help=True)(record)
app.command()(calendar)
app.command()(publish)
app.command()(serve)
app.command(name="mix")(mix_nutrients)
app.command()(supplies)
app.command()(crops)
app.command()(schema)


def _show_version(asked: bool) -> None:
    if asked:
        typer.echo(f"steadysow {__version__}")
        raise typer.Exit


@app.callback()
def _for_all_commands(
    _version: Annotated[
        bool, typer.Option("--version", is_eager=True, callback=_show_version, help="Show the version and end.")
    ] = False,
) -> None:
    pass


def main() -> None:
    """Run what was typed and end with its status; show a traceback only with ``STEADYSOW_DEBUG`` set."""
    try:
        app()
    except InputFaults as faults:
        _end(2, str(faults))
    except SystemExit as end:
        if end.code == INTERRUPTED:
            typer.echo("Interrupted before there was a result; nothing was written.", err=True)
        raise
    except BrokenPipeError:
        # The reader of our output has closed it; without this Python would complain once more on its way out.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except OSError as error:
        if "STEADYSOW_DEBUG" in os.environ:
            raise
        what = f"{error.filename}: {error.strerror}" if error.filename else str(error)
        _end(2, f"{what}. Give yourself the right to read and write there, or name another folder.")
    except Exception as error:
        if "STEADYSOW_DEBUG" in os.environ:
            raise
        what = " ".join(f"{type(error).__name__}: {error}".split()).rstrip(": ")
        _end(1, f"A fault of steadysow itself, not of your files ({what}): set STEADYSOW_DEBUG=1 to see where it is.")


def _end(status: int, sentence: str) -> NoReturn:
    typer.echo(sentence, err=True)
    sys.exit(status)
