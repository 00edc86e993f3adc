"""Threes free, tier by tier: the tiers that fit one whole number together, the rest after them.

A tier in which the day at hand costs nothing is proven (nothing costs less): every team that costs something there
is let go. Otherwise as many tiers as stay below `LARGEST` a day make one whole number, which `partition` brings to
its least; the tiers after them are solved among the teams that are left, held at that cost by one more row.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from teamdive.pairing.tiers import TIERS
from teamdive.scale.columns import Table, apart, whole
from teamdive.scale.master import Row
from teamdive.scale.partition import Partition

# The dearest day of one whole number: floats hold its teams, their multiples and their sums exactly.
LARGEST = 2**40


@dataclass(frozen=True)
class Least:
    """`rows`: the best day. `at_least`: the least of each tier that is proven; `proven`: the day costs that."""

    rows: tuple[int, ...]
    at_least: tuple[int, ...]
    proven: bool


def cheapest(table: Table, start: Sequence[int]) -> Least:
    """The best day. `start`: a day as rows of the table."""
    left, chosen = np.arange(len(table.members)), np.array(start)
    held: list[Row] = []
    at_least: tuple[int, ...] = ()
    while len(at_least) < TIERS:
        tier = len(at_least)
        if not table.tiers[chosen, tier].any():
            kept = table.tiers[left, tier] == 0
            left, held = left[kept], [row.among(kept) for row in held]
            at_least += (0,)
            continue
        members = table.members[left].astype(np.int64)
        costs, parts = whole(table.size, members, table.tiers[left, tier:], LARGEST)
        ties = tier + len(parts) < TIERS
        found = Partition(table.size, members, costs, np.searchsorted(left, chosen), held, ties).run()
        chosen = left[found.chosen]
        at_least += apart(found.at_least, parts)
        if found.at_least < found.cost:
            at_least += (0,) * (TIERS - len(at_least))
            return Least(tuple(chosen.tolist()), at_least, False)
        left, held = left[found.left], list(found.limits)
    return Least(tuple(chosen.tolist()), at_least, True)
