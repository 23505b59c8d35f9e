"""Faults in what a person wrote, told all at once.

Takes nothing and knows nothing of the rest.  A `Fault` is a value: readers gather them and raise one `InputFaults` at
the end, so that a person mends a file in one go.  No plan, or a poor plan, is never an exception.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One thing to mend in a file or an argument.

    Attributes
    ----------
    file
        The file, as the person would name it; or the argument, such as ``--today``.
    line
        Line number from 1, or ``None`` where there is no line.
    field
        Dotted path of the field, such as ``totes.A.holes``; empty for the whole file.
    wrong
        What is wrong, as a sentence without its full stop.
    write
        What to write instead, as a sentence without its full stop.
    """

    file: str
    line: int | None
    field: str
    wrong: str
    write: str

    def __str__(self) -> str:
        """Give the one line a person reads."""
        where = self.file if self.line is None else f"{self.file}, line {self.line}"
        what = f"{self.field}: {self.wrong}" if self.field else self.wrong
        return f"{where}: {what}. {self.write}."


class InputFaults(Exception):
    """Everything that is wrong with the files or arguments of one command.

    Attributes
    ----------
    faults
        The faults, in the order of file and line.
    """

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        """Gather the faults into one message, one line each."""
        self.faults = faults
        super().__init__("\n".join(str(fault) for fault in faults))
