"""A plan for a household's greens: what to sow, in which tote, on which day, and how good that is.

The Python door: ``garden = steadysow.load("my-garden")`` opens a garden's folder; `crops` reads the crop profiles and
`mix` scales a nutrient recipe without one.  Names are loaded when they are first used, so that commands start at once.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from steadysow.door.garden_folder import GardenFolder as GardenFolder
    from steadysow.door.garden_folder import load as load
    from steadysow.door.mixing import Mixed as Mixed
    from steadysow.door.mixing import mix as mix
    from steadysow.door.profiles import crops as crops
    from steadysow.door.results import Checked as Checked
    from steadysow.door.results import ChoreList as ChoreList
    from steadysow.door.results import MendedPlan as MendedPlan
    from steadysow.door.results import Recorded as Recorded
    from steadysow.errors import Fault as Fault
    from steadysow.errors import InputFaults as InputFaults
    from steadysow.plan.batch import Batch as Batch
    from steadysow.plan.batch import Harvest as Harvest
    from steadysow.plan.plan import Plan as Plan

__version__ = "0.1.0"

# Each public name, and the module that holds it.
_HOMES = {
    "Batch": "plan.batch",
    "Checked": "door.results",
    "ChoreList": "door.results",
    "Fault": "errors",
    "GardenFolder": "door.garden_folder",
    "Harvest": "plan.batch",
    "InputFaults": "errors",
    "MendedPlan": "door.results",
    "Mixed": "door.mixing",
    "Plan": "plan.plan",
    "Recorded": "door.results",
    "crops": "door.profiles",
    "load": "door.garden_folder",
    "mix": "door.mixing",
}


def __getattr__(name: str) -> Any:
    """Load a public name when it is first used."""
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    value = getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    """List the public names."""
    return sorted((*_HOMES, "__version__"))
