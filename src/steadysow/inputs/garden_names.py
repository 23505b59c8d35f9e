"""The names that a garden file refers to: its own places and totes, and the crops.

Gives `Known`, which the readers of the garden file share, and readers of names that must be known.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from steadysow.amounts import Units
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Tote
from steadysow.inputs.values import Value, suggestion


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What a value of the garden file may refer to, and the units it is written in.

    Attributes
    ----------
    units
        The units of the file.
    crops, crop_names
        The profiles that were read, by name, and the names of all crops.
    place_names
        The names of the garden's places, once they are read.
    totes
        The garden's totes, once they are read. Empty if totes or crops have faults, so that nothing is concluded from
        stand-ins.
    """

    units: Units
    crops: Mapping[str, Crop]
    crop_names: tuple[str, ...]
    place_names: tuple[str, ...] = ()
    totes: tuple[Tote, ...] = ()


def read_own_name(value: Value) -> str:
    """Give the name that a person gave to an entry."""
    return value.key().text(longest=60)


def read_place_name(value: Value, place_names: Sequence[str]) -> str:
    """Give the name of a place; without any places, their fault is enough and no name is refused."""
    return read_known_name(value, place_names, "place") if place_names else value.text()


def read_known_name(value: Value, names: Sequence[str], kind: str) -> str:
    """Give a name, or add a fault if it is not known."""
    name = value.text()
    if name and name not in names:
        value.fault(f'there is no {kind} "{name}"', suggestion(name, names))
    return name
