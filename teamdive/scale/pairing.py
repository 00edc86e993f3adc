"""Pairing above the size of the exact search that both languages share: the best day and its proof.

Pairs with at most one three are a heaviest matching (`one_three`); threes free are a set partition
(`partition`). Answers are added up in integers and proven, or come back with the gap that is left. Equal days
are told apart only as far as a run repeats itself.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from teamdive.pairing.group import Answer, Group, Team
from teamdive.scale.columns import Array, Table, apart, rows_of, table, whole
from teamdive.scale.free import cheapest
from teamdive.scale.one_three import MOST_TRIED, heaviest_with_one

# Matchings tried for a first day where threes are free: one three, if any, and the rest in pairs.
A_START = 2


def solve(
    group: Group, pairs: Sequence[Team], threes: Callable[[], Sequence[Team]], regime: str
) -> Answer | None:
    """The best teams, or None when somebody who must be placed cannot be.

    `threes` and `regime` as for `pairing.optimise.best`.
    """
    twos = rows_of(pairs, group.size)
    found = None
    if regime != "free":
        found = solve_table(table(group, twos, rows_of((), group.size)), regime)
    if found is None or (regime == "only_when_odd" and found.not_placed):
        found = solve_table(table(group, twos, rows_of(threes(), group.size)), regime)
    return None if any(group.must[diver] for diver in found.not_placed) else found


def solve_table(every: Table, regime: str) -> Answer:
    """The best day of these teams: any number of threes where `regime` is "free", one at most elsewhere."""
    if regime == "free" and every.threes:
        best = cheapest(every, _matched(every, A_START)[0])
        return every.answer(list(best.rows), best.at_least, best.proven)
    return every.answer(*_matched(every, MOST_TRIED))


def _matched(every: Table, tries: int) -> tuple[list[int], tuple[int, ...], bool]:
    """Pairs and at most one three: rows of the table, the proven least of the tiers, whether that was reached."""
    size, pairs, threes = every.size, every.pairs, every.threes
    cost, parts = whole(size, every.members, every.tiers)
    out = cost[pairs + threes :]
    i, j = every.members[:pairs, :2].T
    gain: Array = np.zeros((size, size), cost.dtype)
    gain[i, j] = gain[j, i] = out[i] + out[j] - cost[:pairs]
    three = every.members[pairs : pairs + threes]
    worth = out[three].sum(axis=1) - cost[pairs : pairs + threes]
    best = heaviest_with_one(gain, three, worth, lambda row: int(worth[row]), tries)
    row_of = np.zeros((size, size), np.int64)
    row_of[i, j] = np.arange(pairs)
    rows = [int(row_of[a, b]) for a, b in enumerate(best.mate) if b > a]
    if best.three >= 0:
        rows.append(pairs + best.three)
    placed = set(every.members[rows].ravel().tolist())
    rows += [pairs + threes + diver for diver in range(size) if diver not in placed]
    return rows, apart(int(out.sum()) - best.at_most, parts), best.gain == best.at_most
