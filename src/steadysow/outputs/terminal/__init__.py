"""Everything that is shown in the terminal: tables and sentences, each from one function.

Every function takes a rich `Console` and what to show, prints it, and returns nothing.  Each table fits the width of
the console and can be read without colour.  Weights, volumes, lengths and temperatures are in the garden's units.
"""

from steadysow.outputs.terminal.changes import rebalanced
from steadysow.outputs.terminal.costs import supplies
from steadysow.outputs.terminal.crops import crop_list, crop_profile, forecasts, own_record
from steadysow.outputs.terminal.drawing import sentences
from steadysow.outputs.terminal.plan import batches, proof, sowings
from steadysow.outputs.terminal.progress import Progress
from steadysow.outputs.terminal.standing import lids, totes
from steadysow.outputs.terminal.weeks import harvest

__all__ = [
    "Progress",
    "batches",
    "crop_list",
    "crop_profile",
    "forecasts",
    "harvest",
    "lids",
    "own_record",
    "proof",
    "rebalanced",
    "sentences",
    "sowings",
    "supplies",
    "totes",
]
