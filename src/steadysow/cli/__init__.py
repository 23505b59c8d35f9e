"""The commands: what was typed goes in, one call of the door, and its result comes out on the screen.

One file for each group of commands.  What is heavy is imported inside the commands, so that help and small commands
start at once.
"""

from steadysow.cli.app import app, main

__all__ = ["app", "main"]
