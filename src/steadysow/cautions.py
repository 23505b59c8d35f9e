"""Cautions: what can hurt a person or a floor, said once and said plainly.

Gives sentences; takes nothing.  Each names its source where it has one.
"""

from __future__ import annotations

# That power near water belongs behind such a switch is common practice; no standard was read.
POWER_CAUTION = "Power near water belongs behind an RCD (GFCI): local codes and a licensed electrician come first."

CAUTIONS: tuple[str, ...] = (
    POWER_CAUTION,
    "Let every cord hang lower than its outlet before it rises to it, so that water drips off (common practice, no"
    " source).",
    "Keep the air pump above the water, or fit a check valve, so that a power cut cannot siphon the tote empty (common"
    " practice, from memory).",
    "Unplug everything before your hands go in the water; a switch may fail (common practice, no source).",
    "Fill and drain totes where they stand: a litre of water weighs a kilogram, a gallon over eight pounds; lifting"
    " from the floor at arm's length, about 9 kg (20 pounds) is the limit (computed with the NIOSH lifting equation,"
    " some of its terms from memory).",
    "Stand totes on a level tray, on a shelf and a floor that bear them full (common practice, no source).",
    "Do not stare into a lit lamp, least of all a blue one or close up (hazard to eyes is graded by IEC 62471:2006, of"
    " which summaries were read).",
    "Wash your hands, rinse leaves under running water without soap or bleach, and keep them at 4 °C (40 °F) or colder;"
    ' rinsing does not remove every germ (CDC, "Lettuce, Other Leafy Greens, and Food Safety", read as quoted'
    " elsewhere).",
    "Cover still water, or mosquitoes breed in it within about a week (CDC, read as quoted elsewhere).",
)
