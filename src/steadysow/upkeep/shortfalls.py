"""Where water runs short: totes that run low, still totes with too many plants, seedlings that nobody waters.

Takes a garden, a plan and the water books of its totes; gives sentences, each with its figures and a remedy.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta

from steadysow.amounts import counted, day_text, length_text, listed, litres_text
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Away, Garden, Tote
from steadysow.plan.batch import Batch
from steadysow.plan.plan import Plan
from steadysow.upkeep.water import LEAST_SHARE, MOST_RISE_CM, Shortfall, WaterBook, most_rise_litres

_ONE_DAY = timedelta(days=1)
_PARTS = {0.25: "a quarter", 0.1: "a tenth"}


def shortfalls(garden: Garden, plan: Plan, books: Sequence[WaterBook], today: date) -> tuple[str, ...]:
    """Say where water runs short from today on, the most urgent first.

    Parameters
    ----------
    garden
        The garden.
    plan
        The plan with the journal applied.
    books
        The water book of each filling.
    today
        Today; what ended before it is left out.
    """
    return (
        *_totes_run_low(garden, books, today),
        *(sentence for away in garden.away if away.back_on > today for sentence in trays_dry(garden, plan, away)),
        *_still_totes_carry_too_much(garden, plan, books, today),
    )


def absent_needs(garden: Garden, plan: Plan, books: Sequence[WaterBook], away: Away) -> tuple[str, ...]:
    """Say what needs care during an absence: totes that run low meanwhile, and trays that dry out."""
    low = (
        _low_sentence(garden, book, short)
        for book in books
        for short in book.shortfalls
        if short.from_on < away.back_on and short.until_on > away.from_on
    )
    return (*low, *trays_dry(garden, plan, away))


def trays_dry(garden: Garden, plan: Plan, away: Away) -> Iterator[str]:
    """Warn of seedlings in the nursery during an absence that is longer than a tray stays moist."""
    days = (away.back_on - away.from_on).days
    waiting = [batch for batch in plan.batches if _waits(garden.crops, batch, away)]
    if days <= garden.unattended_days or not waiting:
        return
    cells = sum(batch.cells for batch in waiting)
    named = listed(dict.fromkeys(batch.crop for batch in waiting))
    dry_on = away.from_on + garden.unattended_days * _ONE_DAY
    yield (
        f"While you are away from {day_text(away.from_on)}, {counted(cells, 'cell')} of {named} "
        f"{'is' if cells == 1 else 'are'} in the nursery. A tray stays moist for about "
        f"{counted(garden.unattended_days, 'day')}. Ask somebody to water it by {day_text(dry_on)}, or stand it on a "
        "mat that draws from a jar of water."
    )


def _waits(crops: Mapping[str, Crop], batch: Batch, away: Away) -> bool:
    if batch.state == "lost" or batch.transplanted_on is None or batch.crop not in crops:
        return False
    is_there = batch.sown_on < away.back_on and batch.transplanted_on > away.from_on
    return is_there and crops[batch.crop].sown_in == "nursery"


def _totes_run_low(garden: Garden, books: Sequence[WaterBook], today: date) -> Iterator[str]:
    for book in books:
        for short in book.shortfalls:
            if short.until_on > today:
                yield _low_sentence(garden, book, short)


def _low_sentence(garden: Garden, book: WaterBook, short: Shortfall) -> str:
    tote = garden.tote(book.filling.tote)
    part = _PARTS[LEAST_SHARE[tote.system]]
    missing = litres_text(max(0.1, short.missing_ml / 1000), garden.units)
    first = f"Tote {tote.name} falls below {part} of its water on {day_text(short.from_on)}"
    if tote.system == "kratky" and tote.top_up == "never":
        return f"{first}. It is never topped up (top_up: never). Harvest by then, or add {missing} in small portions."
    rise = length_text(MOST_RISE_CM, garden.units)
    if short.is_away:
        is_pumped = tote.system == "dwc"
        filled = "it is full when you leave" if is_pumped else "you top it up before you leave"
        portions = "" if is_pumped else f", in portions that raise it by {rise} at most"
        return (
            f"{first} while you are away, even if {filled}. Ask somebody to add {missing} that day{portions}, or "
            "harvest from it before you leave."
        )
    why = "" if tote.system == "dwc" else f", since a top-up may raise it by only {rise}"
    return f"{first}{why}. It needs {missing} more before {day_text(short.until_on)}. Plant less in it."


def _still_totes_carry_too_much(garden: Garden, plan: Plan, books: Sequence[WaterBook], today: date) -> Iterator[str]:
    """Warn of plantings in still totes that drink more than the tote can supply without top-ups."""
    batches = {batch.id: batch for batch in plan.batches}
    for book in books:
        tote, filling = garden.tote(book.filling.tote), book.filling
        usable = (1 - LEAST_SHARE["kratky"]) * tote.litres
        if tote.system != "kratky" or filling.until_on <= today or book.needed_ml <= 1000 * usable:
            continue
        planted: Counter[str] = Counter()
        for number in filling.batches:
            planted[batches[number].crop] += batches[number].plants
        plants = listed(f"{count} {crop}" for crop, count in planted.items() if count)
        verb = "needs" if sum(planted.values()) == 1 else "need"
        carried = int(sum(planted.values()) * 1000 * usable / book.needed_ml)
        supply, _, _ = litres_text(usable, garden.units).partition(" ")
        yield (
            f"Still tote {tote.name}, planted on {day_text(filling.from_on)}: {plants} {verb} "
            f"{litres_text(book.needed_ml / 1000, garden.units)} by {day_text(filling.until_on)}; the tote can supply "
            f"{supply}. {_remedy(garden, tote, book)} Without top-ups its water is enough for {carried or 'none'} of "
            f"them. By published figures it is enough for {_fitting(garden, usable, planted)}."
        )


def _remedy(garden: Garden, tote: Tote, book: WaterBook) -> str:
    if tote.top_up == "never":
        return "It is never topped up (top_up: never): plant less."
    times = sum(refill.kind == "top-up" for refill in book.refills)
    portion = litres_text(most_rise_litres(tote), garden.units)
    if not times:
        return f"Top it up by at most {portion} at a time, or plant less."
    count = {1: "once", 2: "twice"}.get(times, f"{times} times")
    each = "" if times == 1 else " each time"
    return f"The plan tops it up {count}, by at most {portion}{each}."


def _fitting(garden: Garden, usable: float, planted: Iterable[str]) -> str:
    """Say for how many plants of each crop, grown alone, some water is enough [L]."""
    litres = {name: garden.crops[name].litres_a_plant for name in planted if name in garden.crops}
    return " or ".join(f"{int(usable / each + 1e-9) or 'no'} {name}" for name, each in litres.items())
