"""Pairing above the size of the exact search that both languages share: the best day and its proof.

Pairs with at most one three are a heaviest matching (`one_three`); threes free are a set partition
(`partition`). Answers are added up in integers and proven, or come back with the gap that is left. Equal days
are told apart only as far as a run repeats itself.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from teamdive.pairing.group import Answer, Group, Team, Threes
from teamdive.pairing.matching import NONE
from teamdive.pairing.tiers import TIERS
from teamdive.scale.columns import Array, Table, apart, fits, rows_of, table, weigh, whole
from teamdive.scale.floors import least
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
    size = group.size
    twos = rows_of(pairs, size)
    found = None
    # Of an odd number pairs alone leave somebody, so that a three is wanted at once.
    if regime == "never" or (regime == "only_when_odd" and size % 2 == 0):
        found = solve_table(table(group, twos, rows_of((), size)), regime)
    if found is None or (regime != "never" and found.not_placed):
        if regime == "only_when_odd" and isinstance(threes, Threes):
            found = one_of(group, twos, threes)
        else:
            found = solve_table(table(group, twos, rows_of(threes(), size)), regime)
    return None if any(group.must[diver] for diver in found.not_placed) else found


def one_of(group: Group, pairs: tuple[Array, Array], threes: Threes) -> Answer:
    """Pairs and at most one three, of which only those that may be the best one are priced.

    A three that is not priced is weighed at its floor. With the floor every day fits the whole numbers (the dearest
    floor is among the rows they are made for), so where the bound of a three's days is above the best day, tier by
    tier they are no better either, and what the three costs above its floor does not make them better. A three
    that turns out dearer than the whole numbers hold, or no multiple of what they divide by, is added to those
    rows, and they are made again.
    """
    size, floors = group.size, threes.floors()
    dearest: Array = np.zeros(TIERS, np.int64)
    for _, tiers in least(floors):
        dearest = np.maximum(dearest, tiers.max(axis=0, initial=0))
    known = [Team((0, 1, 2), *dearest[1:].tolist())]
    while True:
        every = table(group, pairs, rows_of(known, size))
        cost, parts = whole(size, every.members, every.tiers)
        out = cost[-size:]
        lots = [(members, out[members].sum(axis=1) - weigh(tiers, parts)) for members, tiers in least(floors)]
        three = np.concatenate([np.zeros((0, 3), np.int16), *(members for members, _ in lots)])
        worth = np.concatenate([np.zeros(0, cost.dtype), *(gained for _, gained in lots)])
        price = _Price(threes, three, out, parts)
        best = heaviest_with_one(_gain(every, cost), three, worth, price, MOST_TRIED)
        known += price.misfits
        if not price.misfits:
            break
    chosen = [] if best.three < 0 else [price.teams[best.three]]
    every = table(group, pairs, rows_of(chosen, size))
    at_least = apart(int(out.sum()) - best.at_most, parts)
    rows = _rows(every, best.mate, 0 if chosen else NONE)
    return every.answer(rows, at_least, best.gain == best.at_most)


class _Price:
    """What a three really gains. `misfits`: those that the whole numbers do not hold; they are left out for now."""

    def __init__(self, threes: Threes, members: Array, out: Array, parts: Sequence[tuple[int, int]]) -> None:
        self.threes, self.members, self.out, self.parts = threes, members, out, parts
        self.teams: dict[int, Team] = {}
        self.misfits: list[Team] = []

    def __call__(self, row: int) -> int | None:
        members = self.members[row].tolist()
        team = self.threes.price(tuple(members))
        if team is None:
            return None
        if not fits(team.tiers(), self.parts, len(self.out)):
            self.misfits.append(team)
            return None
        self.teams[row] = team
        return int(self.out[members].sum() - weigh(np.array([team.tiers()]), self.parts)[0])


def solve_table(every: Table, regime: str) -> Answer:
    """The best day of these teams: any number of threes where `regime` is "free", one at most elsewhere."""
    if regime == "free" and every.threes:
        best = cheapest(every, _matched(every, A_START)[0])
        return every.answer(list(best.rows), best.at_least, best.proven)
    return every.answer(*_matched(every, MOST_TRIED))


def _matched(every: Table, tries: int) -> tuple[list[int], tuple[int, ...], bool]:
    """Pairs and at most one three: rows of the table, the proven least of the tiers, whether that was reached."""
    pairs, threes = every.pairs, every.threes
    cost, parts = whole(every.size, every.members, every.tiers)
    out = cost[pairs + threes :]
    three = every.members[pairs : pairs + threes]
    worth = out[three].sum(axis=1) - cost[pairs : pairs + threes]
    best = heaviest_with_one(_gain(every, cost), three, worth, lambda row: int(worth[row]), tries)
    at_least = apart(int(out.sum()) - best.at_most, parts)
    return _rows(every, best.mate, best.three), at_least, best.gain == best.at_most


def _gain(every: Table, cost: Array) -> Array:
    """What each pair saves against leaving both out."""
    out = cost[every.pairs + every.threes :]
    i, j = every.members[: every.pairs, :2].T
    gain: Array = np.zeros((every.size, every.size), cost.dtype)
    gain[i, j] = gain[j, i] = out[i] + out[j] - cost[: every.pairs]
    return gain


def _rows(every: Table, mate: Array, three: int) -> list[int]:
    """The rows of a day: these pairs, the three (by its place among the threes, or none) and who is left."""
    i, j = every.members[: every.pairs, :2].T
    row_of = np.zeros((every.size, every.size), np.int64)
    row_of[i, j] = np.arange(every.pairs)
    rows = [int(row_of[a, b]) for a, b in enumerate(mate) if b > a]
    if three != NONE:
        rows.append(every.pairs + three)
    placed = set(every.members[rows].ravel().tolist())
    return rows + [every.pairs + every.threes + diver for diver in range(every.size) if diver not in placed]
