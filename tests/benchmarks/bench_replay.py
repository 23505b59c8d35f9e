"""How planning again fares over seasons of chance: what is served, and how many promised dates are broken.

Run by hand: ``PYTHONPATH=tests python tests/benchmarks/bench_replay.py [--seeds 1 2 3]``.
Takes the winter shelf and a season for each seed, lived through under each policy; prints a table.  Seconds mean little
while the machine does other work.
"""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Iterable
from concurrent.futures import ProcessPoolExecutor
from typing import get_args

from rich.console import Console

from end_to_end.season import WEEKS, Policy, Replay, replay, table

POLICIES: tuple[Policy, ...] = get_args(Policy)


def _lived(job: tuple[Policy, int, int]) -> Replay:
    policy, seed, weeks = job
    return replay(policy, seed, weeks=weeks)


def breakdown(replays: Iterable[Replay]) -> str:
    """Say where the broken dates of each policy come from: by kind of chore, by what became of it, by weeks ahead."""
    lines = []
    own = list(replays)
    for policy in POLICIES:
        broken = [each for replay in own if replay.policy == policy for each in replay.broken]
        for name, counts in (
            ("kind", Counter(each.kind for each in broken)),
            ("how", Counter(each.how for each in broken)),
            ("same work, other number", Counter("yes" if each.is_alike else "no" for each in broken)),
            ("told of in the same tote", Counter("yes" if each.is_shared else "no" for each in broken)),
            ("weeks ahead", Counter(f"{each.days_ahead // 28 * 4}+" for each in broken)),
        ):
            told = ", ".join(f"{what} {number}" for what, number in counts.most_common())
            lines.append(f"{policy}, by {name}: {told or 'none'}")
    return "\n".join(lines)


def main() -> None:
    """Print the table, where broken dates come from, and whatever went wrong."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--seeds", type=int, nargs="+", default=[1, 2, 3])
    parser.add_argument("--weeks", type=int, default=WEEKS)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--policies", nargs="+", choices=POLICIES, default=POLICIES)
    asked = parser.parse_args()
    jobs = [(policy, seed, asked.weeks) for policy in asked.policies for seed in asked.seeds]
    with ProcessPoolExecutor(asked.workers) as pool:
        replays = list(pool.map(_lived, jobs))
    out = Console(width=160, highlight=False)
    out.print(table(replays))
    out.print(breakdown(replays))
    for each in replays:
        for wrong in each.wrong:
            out.print(f"{each.policy}, seed {each.seed}: {wrong}")


if __name__ == "__main__":
    main()
