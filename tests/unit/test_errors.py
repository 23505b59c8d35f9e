"""Faults say where they are, what is wrong and what to write."""

from __future__ import annotations

import pytest

from steadysow.errors import Fault, InputFaults


@pytest.mark.parametrize(
    ("line", "field", "text"),
    [
        (7, "totes.A.holes", "garden.yaml, line 7: totes.A.holes: it is missing. Write a number."),
        (7, "", "garden.yaml, line 7: it is missing. Write a number."),
        (None, "totes.A.holes", "garden.yaml: totes.A.holes: it is missing. Write a number."),
        (None, "", "garden.yaml: it is missing. Write a number."),
    ],
)
def test_a_fault_is_one_line(line: int | None, field: str, text: str) -> None:
    """A fault names file, line and field, as far as they are known, then what is wrong and the remedy."""
    fault = Fault(file="garden.yaml", line=line, field=field, wrong="it is missing", write="Write a number")
    assert str(fault) == text


def test_all_faults_are_in_one_message() -> None:
    """Faults that are raised together are one message, with a line for each."""
    faults = tuple(
        Fault(file=file, line=None, field="", wrong="it is empty", write="Fill it") for file in ("a.yaml", "b.yaml")
    )
    with pytest.raises(
        InputFaults, match=r"^a\.yaml: it is empty\. Fill it\.\nb\.yaml: it is empty\. Fill it\.$"
    ) as raised:
        raise InputFaults(faults)
    assert raised.value.faults == faults
