"""Faults in what a person wrote, all reported together.

A `Fault` is a value.  Readers collect faults and raise one `InputFaults` at the end, so that a person can mend a whole
file at once.  A plan that does not exist or is poor is never an exception.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One mistake in a file or an argument, and its remedy.

    Attributes
    ----------
    file
        The file as the person would name it, or the argument, such as ``--today``.
    line
        Line number from 1, or ``None`` if no line is known.
    field
        Dotted path of the field, such as ``totes.A.holes``.  Empty if the fault is about the whole file.
    wrong
        What is wrong, as a sentence without its full stop.
    write
        What to write instead, as a sentence without its full stop; a question keeps its question mark.
    """

    file: str
    line: int | None
    field: str
    wrong: str
    write: str

    def __str__(self) -> str:
        """Give the line that the person reads."""
        where = self.file if self.line is None else f"{self.file}, line {self.line}"
        what = f"{self.field}: {self.wrong}" if self.field else self.wrong
        return f"{where}: {what}. {self.write}" + ("" if self.write.endswith("?") else ".")


class InputFaults(Exception):
    """All faults in the files or arguments of one command.

    Attributes
    ----------
    faults
        The faults, ordered by file and line.
    """

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        """Join the faults to one message with a line for each."""
        self.faults = faults
        super().__init__("\n".join(str(fault) for fault in faults))


def one_fault(file: str, wrong: str, write: str) -> InputFaults:
    """Make a single fault of a file or an argument, ready to be raised."""
    return InputFaults((Fault(file=file, line=None, field="", wrong=wrong, write=write),))


def raise_faults(faults: tuple[Fault, ...]) -> None:
    """Raise faults, if there are any.

    Raises
    ------
    InputFaults
        With all of them.
    """
    if faults:
        raise InputFaults(faults)
