"""The harvest of each week against what was wanted."""

from __future__ import annotations

from itertools import groupby

from rich.console import Console

from steadysow.amounts import Units, day_text, weight_text
from steadysow.inputs.garden import Garden
from steadysow.outputs.terminal.drawing import add_row, new_table, print_table, short_day
from steadysow.plan.plan import Plan, WantWeek, Week

# Less than this is a rounding error and not worth a word, in grams or heads.
_NEGLIGIBLE = {"g": 0.5, "heads": 0.05}


def harvest(console: Console, garden: Garden, plan: Plan) -> None:
    """Show for each week and want what is wanted, what is harvested and what is served."""
    table = new_table("Week of", "For", "Wanted", "Harvested", "Served", "", right=(2, 4), wrap=(1, 3, 5))
    for weeks in _runs(plan.weeks):
        week = weeks[0]
        for rank, want in enumerate(week.wants):
            add_row(
                table,
                "" if rank else _span(weeks),
                want.want,
                _amount(want.wanted, want, garden.units),
                ", ".join(f"{crop} {_amount(amount, want, garden.units)}" for crop, amount in want.by_crop)
                or "nothing",
                _amount(want.served, want, garden.units),
                _verdict(plan, week, want, garden.units),
            )
    print_table(console, "Harvest by week", table, "This plan has no weeks.")


def _runs(weeks: tuple[Week, ...]) -> list[tuple[Week, ...]]:
    """Join neighbouring weeks that are alike and wholly out of reach: one row shows them all."""

    def likeness(week: Week) -> object:
        return week.starts_on if any(want.in_reach for want in week.wants) else week.wants

    return [tuple(run) for _, run in groupby(weeks, key=likeness)]


def _span(weeks: tuple[Week, ...]) -> str:
    first, last = weeks[0].starts_on, weeks[-1].starts_on
    return day_text(first) if len(weeks) == 1 else f"{short_day(first)} to {short_day(last)}"


def _verdict(plan: Plan, week: Week, want: WantWeek, units: Units) -> str:
    if not want.in_reach:
        return _out_of_reach(plan, week, want.want)
    if want.wanted <= 0:
        return "not wanted"
    words = []
    if want.wanted - want.served > _NEGLIGIBLE[want.unit]:
        words.append(f"gap {_amount(want.wanted - want.served, want, units)}")
    if want.surplus > _NEGLIGIBLE[want.unit]:
        words.append(f"surplus {_amount(want.surplus, want, units)}")
    return ", ".join(words)


def _out_of_reach(plan: Plan, week: Week, name: str) -> str:
    later = (other.starts_on for other in plan.weeks if other.starts_on > week.starts_on)
    reached = {other.starts_on for other in plan.weeks for want in other.wants if want.want == name and want.in_reach}
    earliest = next((day for day in later if day in reached), None)
    return "out of reach" if earliest is None else f"not before {short_day(earliest)}"


def _amount(amount: float, want: WantWeek, units: Units) -> str:
    if want.unit == "g":
        return weight_text(amount, units)
    heads = f"{amount:.1f}".removesuffix(".0")
    return f"{heads} {'head' if heads == '1' else 'heads'}"
