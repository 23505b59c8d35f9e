"""The shipped profiles, read once for all tests of a process."""

from __future__ import annotations

from functools import cache

from steadysow.inputs.crop_files import read_crops, shipped_crops_folder
from steadysow.inputs.crops import Crop
from steadysow.inputs.values import FaultList


@cache
def shipped_crops() -> dict[str, Crop]:
    """Give every shipped crop by name."""
    return read_crops((shipped_crops_folder(),), FaultList())
