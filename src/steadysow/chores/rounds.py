"""The chores of the whole garden: weekly rounds, brews, timers, orders, and what to do before an absence.

Takes a garden, its plan and the results of upkeep; gives chores.  Hides on which day of a week a round is made.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta

from steadysow.amounts import clock_text, counted, day_text, listed, litres_text, part_text
from steadysow.cautions import ACID_CAUTION, BREW_CAUTION, LAMP_CAUTION
from steadysow.chores.chore import Chore
from steadysow.chores.totes import stands_in
from steadysow.inputs.garden import Garden
from steadysow.plan.batch import Batch
from steadysow.plan.plan import Plan
from steadysow.upkeep.feeds import Feed
from steadysow.upkeep.nutrients import CommonRange, common_range
from steadysow.upkeep.shortfalls import absent_needs
from steadysow.upkeep.supplies import Supply
from steadysow.upkeep.timers import TimerSetting
from steadysow.upkeep.water import WaterBook

# From memory; `nutrient_remarks` says why.
_BREW_EC = "An EC meter shows less than a brew feeds. Judge by the leaves, and never raise a low EC with more salt."

_ONE_DAY = timedelta(days=1)
_WEEK = timedelta(weeks=1)


def weekly_rounds(garden: Garden, plan: Plan, books: Sequence[WaterBook]) -> Iterator[Chore]:
    """Give a round for each week with plants in totes, on its first day of work, or else on its first day at home."""
    if not books:
        return
    last_on = max(book.filling.until_on for book in books)
    batches = {batch.id: batch for batch in plan.batches}
    week_on, number = plan.starts_on, 1
    while week_on < last_on:
        days = [week_on + day * _ONE_DAY for day in range(7)]
        at_home = [day for day in days if garden.at_home(day)]
        on = next((day for day in days if garden.is_work_day(day)), at_home[0] if at_home else None)
        if on is not None:
            standing = _standing(books, batches, on)
            if standing:
                yield _round(garden, on, number, standing, latest_on=at_home[-1])
        week_on, number = week_on + _WEEK, number + 1


def brews(garden: Garden, feeds: Iterable[Feed]) -> Iterator[Chore]:
    """Give a chore for each brew; its key names the first tote that the brew feeds."""
    for feed in feeds:
        if feed.brew_on is None:
            continue
        amounts = listed(
            f"{part_text(amount.grams, amount.ml, garden.units)} of {amount.part.name}" for amount in feed.mix.amounts
        )
        book, refill = feed.parts[0]
        first = book.filling
        fed = _totes("tote", [part.filling.tote for part, _ in feed.parts])
        then = (
            f"The brew is ready on {day_text(feed.ready_on)}. Use plain water today. Replace part of it with brew then."
            if feed.is_late
            else f"Strain the brew on {day_text(feed.on)}, for {fed}."
        )
        yield Chore(
            key=f"{first.tote}/{first.begun_by}/brew/{refill.kind}{refill.number}",
            kind="brew",
            on=feed.brew_on,
            latest_on=feed.brew_on,
            title=f"Brew {litres_text(feed.mix.steep_litres, garden.units)} of {feed.mix.recipe.name}",
            detail=(
                f"Steep {amounts} in {litres_text(feed.mix.steep_litres, garden.units)} of water.",
                then,
                BREW_CAUTION,
            ),
            litres=round(feed.mix.steep_litres, 3),
            is_recorded=all(part.is_recorded for _, part in feed.parts),
        )


def timers(settings: Iterable[TimerSetting]) -> Iterator[Chore]:
    """Give a chore for each time that a timer is set, numbered lamp by lamp."""
    count: Counter[str] = Counter()
    for setting in settings:
        count[setting.place] += 1
        where = "Nursery lamp" if setting.kind == "nursery" else f"Lamp at {setting.place}"
        if setting.is_off:
            title = f"{where}: off"
        elif setting.hours >= 24 or setting.starts is None or setting.stops is None:
            title = f"{where}: on all day"
        else:
            title = f"{where}: {clock_text(setting.starts)} to {clock_text(setting.stops)}"
        yield Chore(
            key=f"{setting.place}/timer/{count[setting.place]}",
            kind="timer",
            on=setting.on,
            latest_on=setting.on,
            title=title,
            detail=(setting.why,) if setting.is_off else (setting.why, LAMP_CAUTION),
        )


def orders(garden: Garden, supplies: Iterable[Supply], first_on: date) -> Iterator[Chore]:
    """Give a chore for each thing to order that the stock names; nobody knows how much there is of other things."""
    known = {item.name for item in garden.stock}
    for supply in supplies:
        if supply.order_by is None or supply.short_on is None or supply.item.name not in known:
            continue
        on = max(supply.order_by, first_on)
        while not garden.at_home(on):
            on += _ONE_DAY
        name = f"{supply.item.name} seeds" if supply.item.measure == "seeds" else supply.item.name
        packs = "" if supply.packs is None else f" Order {counted(supply.packs, 'pack')}."
        yield Chore(
            key=f"order/{supply.item.name}/1",
            kind="order",
            on=on,
            latest_on=supply.short_on,
            title=f"Order {name}",
            detail=(
                f"Your stock lasts until {day_text(supply.short_on)}. Delivery takes"
                f" {counted(garden.order_days, 'day')}.{packs}",
            ),
        )


def leavings(garden: Garden, plan: Plan, books: Sequence[WaterBook]) -> Iterator[Chore]:
    """Give a chore for the day before each absence during which plants stand in totes or wait in trays."""
    for away in garden.away:
        on = away.from_on - _ONE_DAY
        stands = any(book.filling.from_on < away.back_on and book.filling.until_on > away.from_on for book in books)
        needs = absent_needs(garden, plan, books, away)
        if not (stands or needs) or not garden.at_home(on):
            continue
        yield Chore(
            # Planning never moves the day of an absence, so the key may hold it.
            key=f"away/leave/{away.from_on.isoformat()}",
            kind="leave",
            on=on,
            latest_on=on,
            title=f"Before you leave (back {day_text(away.back_on)})",
            detail=(
                *(needs or ("With today's top-ups the water lasts until you are back.",)),
                "Check timer, pump and trays once more. Leave the keys and this list with somebody who will look in.",
            ),
        )


def _range_text(name: str, wanted: CommonRange | None, unit: str) -> str:
    """Give the EC or pH that suits all crops of a tote, with its name."""
    if wanted is None:
        return f"no {name} suits all"
    tolerated = "" if wanted.is_ideal else " (tolerated, not ideal)"
    return f"{name} {wanted.least:g} to {wanted.most:g}{unit}{tolerated}"


def _standing(books: Sequence[WaterBook], batches: Mapping[int, Batch], on: date) -> dict[str, tuple[str, ...]]:
    """Give the crops that stand in each tote on a day."""
    standing: dict[str, tuple[str, ...]] = {}
    for book in books:
        if book.filling.from_on <= on < book.filling.until_on:
            own = (batches[number] for number in book.filling.batches)
            crops = sorted({batch.crop for batch in own if stands_in(batch, book.filling.tote, on)})
            if crops:
                standing[book.filling.tote] = tuple(crops)
    return standing


def _round(garden: Garden, on: date, number: int, standing: Mapping[str, tuple[str, ...]], latest_on: date) -> Chore:
    alike: dict[str, list[str]] = defaultdict(list)
    for tote, names in standing.items():
        ph = _range_text("pH", common_range(garden.crops[name].ph for name in names), "")
        ec = _range_text("EC", common_range(garden.crops[name].ec for name in names), " mS/cm")
        alike[f"{ph}, {ec}"].append(tote)
    ranges = [f"{_totes('Tote', totes)}: {suits}." for suits, totes in alike.items()]
    pumped = [tote for tote in standing if garden.tote(tote).system == "dwc"]
    return Chore(
        key=f"round/check/{number}",
        kind="check",
        on=on,
        latest_on=latest_on,
        title=f"Check {listed(('pH', 'EC', 'pests', *(['pumps'] if pumped else [])))}",
        detail=(
            *ranges,
            *([_BREW_EC] if garden.recipe.is_brew else []),
            ACID_CAUTION,
            "Look for aphids under the leaves, gnats over trays and pots, mildew, and brown roots.",
            *(
                [f"{_totes('Tote', pumped)}: make sure that the pump runs and the whole air stone bubbles."]
                if pumped
                else []
            ),
        ),
        tote=", ".join(standing),
        places=tuple((tote, ()) for tote in standing) if len(standing) > 1 else (),
    )


def _totes(word: str, names: Sequence[str]) -> str:
    return f"{word if len(names) == 1 else f'{word}s'} {listed(names)}"
