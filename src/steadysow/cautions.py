"""Cautions: what can hurt a person or damage a floor, and how to avoid it.

`cautions` takes what a garden has, `mixing_cautions` what a recipe has.  Both return sentences with their sources.
"""

from __future__ import annotations

from collections.abc import Iterable

# Common practice; no standard was read.
POWER_CAUTION = "Power near water belongs behind an RCD (GFCI). Local codes and a licensed electrician come first."

# Follows from 21 CFR 112.56, read in excerpts: untreated teas must not touch the part that is eaten.
BREW_CAUTION = (
    "Brew goes into root water only, never on leaves. Use it within a day, and pour it away if it smells foul."
)

ACID_CAUTION = (
    "To adjust pH, wear goggles and gloves, pour acid into water, and go in small steps. The label comes first."
)
LAMP_CAUTION = "Do not look into the lit lamp."

_WASHING = (
    "Wash your hands, rinse leaves under running water without soap or bleach, and keep them at 4 °C (40 °F) or colder."
    ' Rinsing does not remove every germ (CDC, "Lettuce, Other Leafy Greens, and Food Safety", read as quoted'
    " elsewhere)."
)


def cautions(*, lamps: bool, pumps: bool, outdoors: bool) -> tuple[str, ...]:
    """Give the cautions that apply to a garden.

    Parameters
    ----------
    lamps, pumps, outdoors
        Whether the garden has lamps, air pumps, places outdoors.
    """
    sentences = (
        (lamps or pumps, POWER_CAUTION),
        (
            lamps or pumps,
            "Let every cord hang below its outlet in a loop, so that water drips off (common practice, no source).",
        ),
        (
            pumps,
            "Keep the air pump above the water, or fit a check valve, so that a power cut cannot siphon the tote empty"
            " (common practice, from memory).",
        ),
        (
            lamps or pumps,
            "Unplug everything before you put your hands in the water: a switch may fail (common practice, no source).",
        ),
        (
            pumps and outdoors,
            "Outdoors, plug pumps only into outlets made for outdoors, and keep rain off plugs and joints (common"
            " practice, no source).",
        ),
        (
            True,
            "Fill and drain totes where they stand: a litre of water weighs a kilogram, a gallon over eight pounds."
            " About 9 kg (20 pounds) is the most to lift from the floor at arm's length (computed with the NIOSH"
            " lifting equation, some of its terms from memory).",
        ),
        (
            True,
            "Stand totes on a level tray, on a shelf and a floor that can bear them full (common practice, no source).",
        ),
        (
            outdoors,
            "Outdoors, keep rain out of the totes, since it dilutes and overfills them, and keep the sun off them"
            " (common practice, no source).",
        ),
        (
            lamps,
            "Do not stare into a lit lamp, least of all a blue one or close up (IEC 62471:2006 grades the hazard to"
            " eyes; summaries of it were read).",
        ),
        (True, _WASHING),
        (
            True,
            "Greens store nitrate in low light. Feed no more than they need, and harvest in the afternoon (light as the"
            " main factor: recitals of Regulation (EU) 1258/2011, read; the hour from memory).",
        ),
        (
            True,
            "Use totes of plastic made for food that never held chemicals, such as polypropylene (5) or polyethylene"
            " (2, 4). The code names the plastic and certifies nothing (general pages; the last from memory).",
        ),
        (True, "Cover still water, or mosquitoes breed in it within about a week (CDC, read as quoted elsewhere)."),
    )
    return tuple(sentence for applies, sentence in sentences if applies)


def mixing_cautions(parts: Iterable[str], *, brew: bool) -> tuple[str, ...]:
    """Give the cautions that apply to mixing a recipe.

    Parameters
    ----------
    parts
        Names of the recipe's parts.
    brew
        Whether the recipe is a brew.
    """
    sentences = (
        (
            brew,
            "Brew goes into the root water only, never on leaves. A tea of castings that stands over an hour is an"
            " agricultural tea, and molasses, yeast or kelp powder in it are additives that let germs multiply (21 CFR"
            " 112.3 and 112.56, rules for farms, which we take as a caution at home). Best leave these additives out.",
        ),
        (
            brew,
            "Use only finished castings, never raw manure, and use clean vessels and drinking water. In the US National"
            " Organic Standards Board it was disputed whether teas let E. coli and Salmonella grow (recommendation of"
            " 9 November 2006, read in part).",
        ),
        (
            brew,
            "Keep a brew cool and aerated, use it within a day, and pour it away if it smells foul (extension practice,"
            " from memory). No rule says how long before a harvest to stop feeding brew (21 CFR 112.56(a)(1)(i) is"
            " reserved for it). So harvest first, then feed, and keep leaves out of the water (inference).",
        ),
        (brew, _WASHING),
        (
            any(part.casefold() == "epsom salt" for part in parts),
            "Keep Epsom salt away from children: grams of it are a laxative drug (an old pharmacy reference page).",
        ),
        (
            True,
            "To adjust pH, wear goggles and gloves, pour acid into water and never water into acid, and go in small"
            " steps (Resh, Hobby Hydroponics, chapter 5). Keep no concentrated nitric or sulfuric acid at home (general"
            " pages). If a label says something else, follow the label.",
        ),
    )
    return tuple(sentence for applies, sentence in sentences if applies)
