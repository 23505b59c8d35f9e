"""The exact program: what could be done, under every rule of a legal plan.

Takes candidates; gives a `Model`: the program for the solver, what its columns mean, and what the rules returned.
`rules.RULES` is the list of the rules.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TypeVar

from steadysow.search.candidates import Candidates, Lot
from steadysow.search.columns import Columns, columns_of
from steadysow.search.rules import RULES, Eating, Seedlings, Waiting, Work
from steadysow.search.solver import Program, Terms

Kind = TypeVar("Kind")


@dataclass(frozen=True, slots=True, kw_only=True)
class Model:
    """A program with all its rules.

    Attributes
    ----------
    columns
        The columns of sowings and steps, and the program that holds them.
    waiting, seedlings, work, eating
        The columns that the rules added and that others read.
    """

    columns: Columns
    waiting: Waiting
    seedlings: Seedlings
    work: Work
    eating: Eating

    @property
    def program(self) -> Program:
        """The program for the solver."""
        return self.columns.program

    def served_share(self, first: int, until: float) -> Terms:
        """Give the served share of the weeks from `first` up to, not including, `until`, as terms."""
        importance = {want.name: want.importance for want in self.columns.candidates.garden.wants}
        served = {key: column for key, column in self.eating.served.items() if first <= key[1] < until}
        total = sum(importance[want] for want, _ in served)
        return {column: importance[key[0]] / total / self.columns.wanted[key] for key, column in served.items()}


def build(
    candidates: Candidates,
    *,
    weeks: int,
    wanted: Mapping[tuple[str, int], float],
    leftovers: Mapping[Lot, float],
) -> Model:
    """Turn candidates into the program.

    Parameters
    ----------
    candidates
        What could be done.
    weeks
        Number of planned weeks; what the candidates reach beyond them is the tail.
    wanted
        Amount by want and week, tail included, where something is wanted and in reach.
    leftovers
        What earlier harvests left in the fridge.
    """
    columns = columns_of(candidates, weeks=weeks, wanted=wanted, leftovers=leftovers)
    returned = _Returned()
    for rule in RULES:
        returned.keep(rule.add(columns, *(returned.of(kind) for kind in rule.takes)))
    return Model(
        columns=columns,
        waiting=returned.of(Waiting),
        seedlings=returned.of(Seedlings),
        work=returned.of(Work),
        eating=returned.of(Eating),
    )


class _Returned:
    """What the rules have returned so far, by type."""

    def __init__(self) -> None:
        self._by_kind: dict[type, object] = {}

    def keep(self, value: object) -> None:
        self._by_kind[type(value)] = value

    def of(self, kind: type[Kind]) -> Kind:
        value = self._by_kind[kind]
        assert isinstance(value, kind)
        return value
