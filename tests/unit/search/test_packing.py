"""Packing finds a packing just where there is one: every way to put few items into few bins is looked at."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product

from hypothesis import given, settings
from hypothesis import strategies as st

from steadysow.search.packing import pack

steady = settings(max_examples=200, deadline=None, derandomize=True)

sizes = st.lists(st.integers(1, 6), min_size=1, max_size=5)
rooms = st.lists(st.integers(0, 9), min_size=1, max_size=3)
days = st.lists(st.integers(1, 3), min_size=5, max_size=5)


def fits(chosen: Sequence[int], items: Sequence[int], room: Sequence[int]) -> bool:
    """Say whether no bin holds more than its room."""
    return all(
        sum(i for i, b in zip(items, chosen, strict=True) if b == bin_) <= free for bin_, free in enumerate(room)
    )


@steady
@given(sizes, rooms)
def test_packing_is_found_where_there_is_one(items: list[int], room: list[int]) -> None:
    """A packing is given if and only if some way to put the items into bins keeps the room of each."""
    every = product(range(len(room)), repeat=len(items))

    chosen = pack(items, room)

    assert (chosen is not None) == any(fits(way, items, room) for way in every)
    assert chosen is None or fits(chosen, items, room)


@steady
@given(sizes, rooms, days, days)
def test_no_item_stays_longer_than_its_bin(
    items: list[int], room: list[int], leave: list[int], until: list[int]
) -> None:
    """With days, a packing is given if and only if one also empties each bin in time."""
    leave, until = leave[: len(items)], until[: len(room)]

    def in_time(way: Sequence[int]) -> bool:
        return fits(way, items, room) and all(day <= until[b] for day, b in zip(leave, way, strict=True))

    chosen = pack(items, room, leave=leave, until=until)

    assert (chosen is not None) == any(map(in_time, product(range(len(room)), repeat=len(items))))
    assert chosen is None or in_time(chosen)


def test_items_larger_than_all_bins_together_are_refused() -> None:
    """What cannot fit by its sum is refused, without trying."""
    assert pack([5, 5], [9]) is None


def test_nothing_is_packed_into_nothing() -> None:
    """No items need no bins."""
    assert pack([], []) == ()


def test_best_fit_decreasing_comes_first() -> None:
    """Where it fits, the largest item goes into the tightest bin, then the next."""
    assert pack([2, 5], [9, 5]) == (0, 1)
