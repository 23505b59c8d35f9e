"""Packing: put whole items into bins, by exact search.

Takes sizes and rooms as whole numbers; gives the bin of each item.  Hides the search, which begins with best fit
decreasing.
"""

from __future__ import annotations

from collections.abc import Sequence

# The search gives up after this many tries.
MOST_TRIES = 20_000


def pack(
    sizes: Sequence[int], room: Sequence[int], *, leave: Sequence[int] = (), until: Sequence[int] = ()
) -> tuple[int, ...] | None:
    """Put whole items into bins.

    Parameters
    ----------
    sizes
        Size of each item.
    room
        Free room of each bin.
    leave, until
        The day each item leaves, and the day each bin must be empty; left out where they do not matter.

    Returns
    -------
    tuple of int or None
        The bin of each item; ``None`` if there is no packing, or none was found in `MOST_TRIES` tries.
    """
    leave, until = leave or [0] * len(sizes), until or [0] * len(room)
    order = sorted(range(len(sizes)), key=lambda item: (-sizes[item], -leave[item]))
    slack = sum(room) - sum(sizes)
    left = list(room)
    bins = [-1] * len(sizes)
    tries = 0

    def wasted() -> int:
        smallest = min((sizes[item] for item in order if bins[item] < 0), default=0)
        return sum(free for free in left if free < smallest)

    def place(number: int) -> bool:
        nonlocal tries
        if number == len(order):
            return True
        tries += 1
        if tries > MOST_TRIES or wasted() > slack:
            return False
        item = order[number]
        tried: set[tuple[int, int]] = set()
        # The tightest bin first: best fit decreasing is the first leaf of the search.
        for bin_ in sorted(range(len(left)), key=lambda b: left[b]):
            look = (left[bin_], until[bin_])
            if left[bin_] >= sizes[item] and until[bin_] >= leave[item] and look not in tried:
                tried.add(look)
                left[bin_] -= sizes[item]
                bins[item] = bin_
                if place(number + 1):
                    return True
                left[bin_] += sizes[item]
                bins[item] = -1
        return False

    if slack < 0 or not place(0):
        return None
    return tuple(bins)
