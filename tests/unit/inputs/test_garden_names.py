"""Names in a garden file: a person's own names are read, and an unknown name is a fault with a suggestion."""

from __future__ import annotations

from pathlib import Path

import pytest

from steadysow.inputs.documents import read_document
from steadysow.inputs.garden_names import read_known_name, read_own_name, read_place_name
from steadysow.inputs.values import FaultList, Value


def entry(folder: Path, written: str) -> Value:
    """Give the one value of a file."""
    path = folder / "names.yaml"
    path.write_text(written, encoding="utf-8")
    document = read_document(path, FaultList())
    assert document is not None
    return document.entries()[0]


@pytest.mark.parametrize(("written", "name"), [("shelf: 1", "shelf"), ("12: x", "12"), ("left  sill: x", "left sill")])
def test_an_own_name_is_the_key_of_its_entry(tmp_path: Path, written: str, name: str) -> None:
    """A name may be a number or have several words."""
    value = entry(tmp_path, written)
    assert read_own_name(value) == name
    assert not value.faults


def test_an_own_name_is_not_too_long(tmp_path: Path) -> None:
    """A name of 61 letters is a fault, one of 60 is not."""
    assert len(read_own_name(entry(tmp_path, f"{'a' * 60}: 1")).strip()) == 60
    value = entry(tmp_path, f"{'a' * 61}: 1")
    read_own_name(value)
    assert [fault.wrong for fault in value.faults] == ["has 61 characters"]


def test_a_known_name_is_read(tmp_path: Path) -> None:
    """A name among the known ones gives no fault, another gives one with the nearest."""
    value = entry(tmp_path, "place: shelf")
    assert read_known_name(value, ("shelf", "sill"), "place") == "shelf"
    assert not value.faults
    value = entry(tmp_path, "place: shef")
    assert read_known_name(value, ("shelf", "sill"), "place") == "shef"
    assert [(fault.wrong, fault.write) for fault in value.faults] == [
        ('there is no place "shef"', "Did you mean shelf?")
    ]


def test_without_places_no_place_name_is_refused(tmp_path: Path) -> None:
    """A garden without places has its fault already; the names of places add none."""
    value = entry(tmp_path, "place: shelf")
    assert read_place_name(value, ()) == "shelf"
    assert not value.faults
    read_place_name(value, ("sill",))
    assert len(value.faults) == 1
