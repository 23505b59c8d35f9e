"""What a mended plan changes, one line a batch: kept, moved, dropped or added, each with its reason.

Takes the plan before mending and the mended plan; gives `Differences`, and sentences about them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from steadysow.amounts import counted
from steadysow.inputs.crops import HarvestKind
from steadysow.inputs.garden import Garden
from steadysow.plan.batch import Batch, Harvest
from steadysow.plan.plan import Plan, Week
from steadysow.standing.standing import Standing

# A week counts as served better if its served share rises by at least this much.
_BETTER = 0.01

_HARVESTS: Mapping[HarvestKind, str] = {"head": "harvest", "cut": "cut", "pick": "picking"}

# A tote that stays empty for fewer days than this needs no explanation [d].
_SOON_DAYS = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """A changed batch: its number, what changes, and why."""

    batch: int
    what: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Differences:
    """What a mended plan changes.

    Attributes
    ----------
    kept
        Numbers of the batches that have something to come and stay as they are.
    moved
        Batches that get another day, tote or number of plants.
    dropped, added
        Batches that only the old plan has; batches that only the mended plan has.
    """

    kept: tuple[int, ...]
    moved: tuple[Difference, ...]
    dropped: tuple[Difference, ...]
    added: tuple[Difference, ...]

    @property
    def is_none(self) -> bool:
        """Whether nothing changes."""
        return not (self.moved or self.dropped or self.added)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rebalanced:
    """A mended plan, and how it compares with the plan before it.

    Attributes
    ----------
    plan
        The mended plan.
    share_before
        The served share of the old plan with the journal applied, over the weeks of the mended plan.
    share_afresh
        The served share that planning afresh reaches.
    differences
        What was kept, moved, dropped and added.
    """

    plan: Plan
    share_before: float
    share_afresh: float
    differences: Differences


def differences_of(
    before: Plan,
    after: Plan,
    weeks_before: Sequence[Week],
    *,
    garden: Garden,
    standing: Standing,
    today: date,
    broken: frozenset[int],
) -> Differences:
    """Compare a plan with the mended one.

    Parameters
    ----------
    before, after
        The saved plan with the journal applied, and the mended plan.
    weeks_before
        How `before` serves the weeks of `after`.
    garden, standing, today
        The garden, what stands in it, and today.
    broken
        Numbers of the batches that can no longer be followed as planned.
    """
    reasons = _Reasons(before, after, weeks_before, garden, standing, today, broken)
    old = {batch.id: batch for batch in before.batches if _is_to_come(batch, today)}
    new = {batch.id: batch for batch in after.batches if _is_to_come(batch, today)}
    kept: list[int] = []
    moved: list[Difference] = []
    for number in sorted(old.keys() & new.keys()):
        changes = "; ".join(_changes(old[number], new[number], today))
        if changes:
            what = f"{_named(new[number])}: {changes}"
            moved.append(Difference(batch=number, what=what, why=reasons.of_move(old[number], new[number])))
        else:
            kept.append(number)
    dropped = [
        Difference(batch=number, what=_described(old[number]), why=reasons.of_drop(old[number]))
        for number in sorted(old.keys() - new.keys())
    ]
    added = [
        Difference(batch=number, what=_described(new[number]), why=reasons.of_add(new[number]))
        for number in sorted(new.keys() - old.keys())
    ]
    return Differences(kept=tuple(kept), moved=tuple(moved), dropped=tuple(dropped), added=tuple(added))


def goes_in(plan: Plan, tote: str, today: date) -> str:
    """Say what goes into a tote next."""
    coming = [batch for batch in plan.batches if batch.tote == tote and _enters(batch) >= today]
    if not coming:
        return f"Tote {tote} stays empty: nothing planted there would meet more of what you asked."
    first_on = min(_enters(batch) for batch in coming)
    first = [batch for batch in coming if _enters(batch) == first_on]
    parts = [_goes(batch, today) for batch in first]
    is_soon = (first_on - today).days < _SOON_DAYS
    empty = "" if is_soon else " Nothing planted sooner would meet more of what you asked."
    return f"Next in tote {tote}: {'; '.join(parts)}.{empty}"


def _goes(batch: Batch, today: date) -> str:
    on = _enters(batch)
    when = "today" if on == today else f"on {_day(on)}"
    what = f"{batch.plants} {batch.crop} (batch {batch.id})"
    if batch.state == "sown":
        return f"plant {what} from the nursery {when}"
    if batch.sown_on == on:
        return f"sow {what} in {'its pot' if batch.plants == 1 else 'their pots'} {when}"
    sow = "today" if batch.sown_on == today else f"on {_day(batch.sown_on)}"
    return f"sow {what} {sow}, plant {'it' if batch.plants == 1 else 'them'} {when}"


class _Reasons:
    """Why batches change, as far as it is known."""

    def __init__(
        self,
        before: Plan,
        after: Plan,
        weeks_before: Sequence[Week],
        garden: Garden,
        standing: Standing,
        today: date,
        broken: frozenset[int],
    ) -> None:
        self.known = {batch.id for batch in before.batches}
        self.after, self.garden, self.standing, self.today, self.broken = after, garden, standing, today, broken
        self.better: Mapping[str, list[tuple[date, float, float]]] = {
            want: list(_better(want, weeks_before, after.weeks)) for want in {batch.want for batch in after.batches}
        }

    def of_move(self, old: Batch, new: Batch) -> str:
        if old.id in self.broken:
            return self._impossible(old)
        return self._serves(new) or self._replaced(old)

    def of_drop(self, old: Batch) -> str:
        return self._impossible(old) if old.id in self.broken else self._replaced(old)

    def of_add(self, new: Batch) -> str:
        return self._serves(new) or "It fills space that became free."

    def _impossible(self, old: Batch) -> str:
        """Say why a batch can no longer be followed as planned."""
        rest = next((rest for rest in self.standing.rests if rest.tote == old.tote), None)
        if rest is not None and old.cleared_on is not None and rest.from_on < old.cleared_on:
            until = "" if rest.until_on == date.max else f" until {_day(rest.until_on)}"
            return f"Tote {old.tote} is resting{until}."
        days = [old.sown_on, old.transplanted_on, *(each.on for each in old.harvests)]
        absent = next(
            (day for day in days if day is not None and day >= self.today and not self.garden.at_home(day)), None
        )
        if absent is not None:
            return f"Nobody is at home on {_day(absent)}."
        if old.state == "planned" and old.sown_on < self.today:
            return f"It was not sown on {_day(old.sown_on)}."
        if old.state != "planned" and old.recorded:
            return "It did not go as planned."
        return "It can no longer be done as planned."

    def _serves(self, batch: Batch) -> str:
        """Name the first week that a batch helps to serve better."""
        for week_on, was, now in self.better.get(batch.want, []):
            if any(0 <= (week_on - each.on).days + 6 < 14 for each in batch.harvests):
                return f"{_capital(batch.want)} in the week of {_day(week_on)}: {now:.0%}, not {was:.0%}."
        return ""

    def _replaced(self, old: Batch) -> str:
        """Name the batch that takes the place of another, if one does."""
        added = (batch for batch in self.after.batches if batch.id not in self.known and _meets(old, batch))
        taker = next(added, None)
        if taker is not None:
            return f"Batch {taker.id} ({taker.crop}) makes better use of that space."
        return f"{_capital(old.want)} does just as well."


def _better(want: str, before: Sequence[Week], after: Sequence[Week]) -> Iterator[tuple[date, float, float]]:
    """Give the weeks in which a want is served better, with the share before and after."""
    was = {week.starts_on: entry for week in before for entry in week.wants if entry.want == want}
    for week in after:
        for entry in week.wants:
            old = was.get(week.starts_on)
            if entry.want == want and entry.wanted > 0 and old is not None:
                shares = min(1.0, old.served / entry.wanted), min(1.0, entry.served / entry.wanted)
                if shares[1] >= shares[0] + _BETTER:
                    yield week.starts_on, *shares


def _is_to_come(batch: Batch, today: date) -> bool:
    if batch.state in ("done", "lost"):
        return False
    return batch.state == "planned" or any(each.on >= today for each in batch.harvests) or batch.state == "sown"


def _changes(old: Batch, new: Batch, today: date) -> Iterator[str]:
    if old.plants != new.plants:
        yield f"{counted(new.plants, 'plant')}, not {old.plants}"
    for name in ("sown_on", "transplanted_on"):
        was, now = getattr(old, name), getattr(new, name)
        if was is None:
            yield f"planted {_day(now)}, into tote {new.tote}"
        elif was != now:
            verb = "sown" if name == "sown_on" else "planted"
            yield f"{verb} {_day(now)}, not {_day(was)}"
    if old.tote != new.tote and old.transplanted_on is not None:
        yield f"into tote {new.tote}, not {old.tote}"
    yield from _harvest_changes(_to_come(old, today), _to_come(new, today))


def _harvest_changes(old: Sequence[Harvest], new: Sequence[Harvest]) -> Iterator[str]:
    was, now = {each.on for each in old}, {each.on for each in new}
    gone, come = sorted(was - now), sorted(now - was)
    noun = _HARVESTS[(new or old)[0].kind] if (new or old) else "harvest"
    if gone and come and len(gone) == len(come):
        if len(gone) == 1:
            yield f"{noun} {_day(come[0])}, not {_day(gone[0])}"
        else:
            yield f"{len(gone)} {noun}s on other days, from {_day(come[0])}"
    elif come and not was:
        yield f"first {noun} {_day(come[0])}"
    elif come or gone:
        yield f"{counted(len(now), noun)} to come, not {len(was)}"
    elif [(each.on, each.plants) for each in old] != [(each.on, each.plants) for each in new]:
        yield f"other numbers of plants at its {noun}s"


def _to_come(batch: Batch, today: date) -> tuple[Harvest, ...]:
    return tuple(each for each in batch.harvests if each.on >= today and not each.is_recorded)


def _meets(old: Batch, new: Batch) -> bool:
    """Say whether two batches would stand in one tote on one day."""
    if old.tote != new.tote or old.transplanted_on is None or old.cleared_on is None:
        return False
    return _enters(new) < old.cleared_on and new.cleared_on is not None and old.transplanted_on < new.cleared_on


def _enters(batch: Batch) -> date:
    return batch.transplanted_on or date.min


def _named(batch: Batch) -> str:
    return f"batch {batch.id}, {batch.plants} {batch.crop}"


def _described(batch: Batch) -> str:
    first = min((each.on for each in batch.harvests), default=None)
    ready = f", first harvest {_day(first)}" if first else ""
    return f"{_named(batch)}, sown {_day(batch.sown_on)} for {batch.want} (tote {batch.tote}){ready}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _day(day: date | None) -> str:
    return "never" if day is None else f"{day.day} {day:%b}"
