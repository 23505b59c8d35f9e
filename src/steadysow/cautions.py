"""Cautions: what can hurt a person or a floor, said once and said plainly.

Takes what there is in a garden; gives sentences.  Each names its source where it has one.
"""

from __future__ import annotations

from collections.abc import Iterable

# That power near water belongs behind such a switch is common practice; no standard was read.
POWER_CAUTION = "Power near water belongs behind an RCD (GFCI): local codes and a licensed electrician come first."

# Follows from 21 CFR 112.56, read in excerpts: untreated teas must not touch the part that is eaten.
BREW_CAUTION = (
    "Brew goes into root water only, never on leaves; use it within a day, and pour it away if it smells foul."
)

ACID_CAUTION = "To adjust pH: goggles and gloves, acid into water, small steps; what the label says comes first."
LAMP_CAUTION = "Do not look into the lit lamp."

_WASHING = (
    "Wash your hands, rinse leaves under running water without soap or bleach, and keep them at 4 °C (40 °F) or colder;"
    ' rinsing does not remove every germ (CDC, "Lettuce, Other Leafy Greens, and Food Safety", read as quoted'
    " elsewhere)."
)


def cautions(*, lamps: bool, pumps: bool, outdoors: bool) -> tuple[str, ...]:
    """Give the cautions that bear on a garden.

    Parameters
    ----------
    lamps, pumps, outdoors
        Whether it has lamps, air pumps, places outdoors.
    """
    told = (
        (lamps or pumps, POWER_CAUTION),
        (
            lamps or pumps,
            "Let every cord hang lower than its outlet before it rises to it, so that water drips off (common practice,"
            " no source).",
        ),
        (
            pumps,
            "Keep the air pump above the water, or fit a check valve, so that a power cut cannot siphon the tote empty"
            " (common practice, from memory).",
        ),
        (
            lamps or pumps,
            "Unplug everything before your hands go in the water; a switch may fail (common practice, no source).",
        ),
        (
            pumps and outdoors,
            "Outdoors, plug pumps only into outlets made for outdoors, and keep rain off plugs and joints (common"
            " practice, no source).",
        ),
        (
            True,
            "Fill and drain totes where they stand: a litre of water weighs a kilogram, a gallon over eight pounds;"
            " lifting from the floor at arm's length, about 9 kg (20 pounds) is the limit (computed with the NIOSH"
            " lifting equation, some of its terms from memory).",
        ),
        (
            True,
            "Stand totes on a level tray, on a shelf and a floor that bear them full (common practice, no source).",
        ),
        (
            outdoors,
            "Outdoors, keep rain out of the totes, which it dilutes and fills, and the sun off them (common practice,"
            " no source).",
        ),
        (
            lamps,
            "Do not stare into a lit lamp, least of all a blue one or close up (hazard to eyes is graded by IEC"
            " 62471:2006, of which summaries were read).",
        ),
        (True, _WASHING),
        (
            True,
            "In low light greens store nitrate: feed no more than they need, and pick in the afternoon (light as the"
            " main factor: recitals of Regulation (EU) 1258/2011, read; the hour from memory).",
        ),
        (
            True,
            "Take totes of plastic made for food that never held chemicals, such as polypropylene (5) or polyethylene"
            " (2, 4); the code names the plastic and certifies nothing (general pages; the last from memory).",
        ),
        (True, "Cover still water, or mosquitoes breed in it within about a week (CDC, read as quoted elsewhere)."),
    )
    return tuple(sentence for bears, sentence in told if bears)


def mixing_cautions(parts: Iterable[str], *, brew: bool) -> tuple[str, ...]:
    """Give the cautions that bear on mixing what totes are fed with.

    Parameters
    ----------
    parts
        Names of what is in it.
    brew
        Whether it is a brew.
    """
    told = (
        (
            brew,
            "Brew goes into the root water only, never on leaves: a tea of castings that stands over an hour is an"
            " agricultural tea, and molasses, yeast or kelp powder in it are additives that let germs multiply (21 CFR"
            " 112.3 and 112.56, rules for farms, which we take as a caution at home). Best leave them out.",
        ),
        (
            brew,
            "Use finished castings only, never raw manure; clean vessels and drinking water. Whether teas let E. coli"
            " and Salmonella grow was the dispute of the US National Organic Standards Board (recommendation of 9"
            " November 2006, read in part).",
        ),
        (
            brew,
            "Keep a brew cool and aerated, use it within a day, and pour it away if it smells foul (extension practice,"
            " from memory). How long before a harvest it should stop nobody has set (21 CFR 112.56(a)(1)(i) reserves"
            " it): harvest first, then feed, and keep leaves out of the water (inference).",
        ),
        (brew, _WASHING),
        (
            any(part.casefold() == "epsom salt" for part in parts),
            "Keep Epsom salt away from children: grams of it are a laxative drug (an old pharmacy reference page).",
        ),
        (
            True,
            "To adjust pH, wear goggles and gloves, pour acid into water and never water into acid, and go in small"
            " steps (Resh, Hobby Hydroponics, chapter 5). No concentrated nitric or sulfuric acid at home (general"
            " pages). What a label says comes before what stands here.",
        ),
    )
    return tuple(sentence for bears, sentence in told if bears)
