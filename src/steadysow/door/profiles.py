"""Crop profiles for commands and notebooks: all that are shipped, with a garden's own in their place."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from pathlib import Path

from steadysow.errors import one_fault
from steadysow.growth.forecast import Forecast, forecast
from steadysow.inputs.crop_files import read_crops, shipped_crops_folder
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden
from steadysow.inputs.values import FaultList, suggestion


def crops(folder: Path | str | None = None) -> dict[str, Crop]:
    """Read every crop profile, by name.

    Parameters
    ----------
    folder
        A garden's folder, whose own profiles take the place of shipped ones.

    Raises
    ------
    InputFaults
        If a profile has a fault.
    """
    faults = FaultList()
    folders = (shipped_crops_folder(), *((Path(folder) / "crops",) if folder is not None else ()))
    found = read_crops(folders, faults)
    faults.raise_if_any()
    return found


def crop_named(name: str, known: dict[str, Crop]) -> Crop:
    """Give the profile of a name, however it is capitalised.

    Raises
    ------
    InputFaults
        If there is none; names the nearest.
    """
    wanted = name.casefold()
    if wanted not in known:
        raise one_fault("NAME", f'there is no crop "{wanted}"', suggestion(wanted, tuple(known)))
    return known[wanted]


def forecasts_of(crop: Crop, garden: Garden, places: tuple[str, ...], days: Iterable[date]) -> tuple[Forecast, ...]:
    """Say what comes of sowing a crop on each day at each place; all places if none is named.

    Raises
    ------
    InputFaults
        If there is no such place.
    """
    known = {place.name: place for place in garden.places}
    for name in places:
        if name not in known:
            raise one_fault("--in", f'there is no place "{name}"', suggestion(name, tuple(known)))
    return tuple(
        forecast(crop, known[name], day, nursery=garden.nursery.place, sky=garden.sky)
        for day in days
        for name in places or tuple(known)
    )
