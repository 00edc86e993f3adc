"""The linear program behind threes free: teams as columns, divers and odd sets as rows, for HiGHS.

Every diver is covered once. Of an odd set of divers at most half, rounded down, can be pairs of team-mates: a team
with two or three divers in the set counts one (Edmonds' odd sets; for sets of three the subset rows of Jepsen,
Petersen, Spoorendonk and Pisinger, 2008: the rows of the set added up, halved and rounded down).

HiGHS works in floats and decides nothing: its prices are rounded to whole multiples of 1 / `Bound.scale`, made to
cover every column, and added up in integers. What comes out is a bound, however the floats were rounded.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import highspy
import numpy as np

from teamdive.scale.columns import Array


@dataclass(frozen=True)
class Bound:
    """No day costs less than `least` / `scale`; one with column c at least (`least` + `above[c]`) / `scale`."""

    least: int
    above: Array
    scale: int

    def whole(self) -> int:
        return -(-self.least // self.scale)


@dataclass(frozen=True)
class Row:
    """The shares of columns `within`, each times its `worth`, add up to at most `most`; all whole numbers."""

    within: Array
    worth: Array
    most: int

    def among(self, kept: Array) -> Row:
        """The same row when only the `kept` columns are left, in their order."""
        here = kept[self.within]
        place = np.cumsum(kept) - 1
        return Row(place[self.within[here]], self.worth[here], self.most)


def odd_set(size: int, members: Array, divers: Array) -> Row:
    mask = np.zeros(size + 1, bool)
    mask[divers] = True
    within = np.flatnonzero(mask[members].sum(axis=1) >= 2)
    return Row(within, np.ones(len(within), np.int64), len(divers) // 2)


class Master:
    """`members`: (columns, 3) positions, padded with `size`; `costs`: whole numbers."""

    def __init__(self, size: int, members: Array, costs: Array, rows: Sequence[Row] = ()) -> None:
        self.size, self.members, self.costs = size, members, costs
        self.rows: list[Row] = []
        self.taken = np.zeros(len(members), bool)
        self.order = np.zeros(0, np.int64)
        # The class below highspy.Highs: that one prints a banner on standard output before it can be silenced.
        self.highs: Any = highspy.Highs.__mro__[1]()
        for name, value in (("output_flag", False), ("threads", 1), ("random_seed", 1)):
            self.highs.setOptionValue(name, value)
        for _ in range(size):
            self.highs.addRow(1.0, 1.0, 0, np.zeros(0, np.int32), np.zeros(0))
        self.require(rows)

    def add(self, which: Array) -> bool:
        """Bring columns into the program; whether any was new."""
        fresh = which[~self.taken[which]]
        self.taken[fresh] = True
        self.order = np.concatenate([self.order, fresh])
        count = len(fresh)
        place = np.full(len(self.members), -1)
        place[fresh] = np.arange(count)
        column, diver = np.nonzero(self.members[fresh] < self.size)
        columns, index, values = [column], [self.members[fresh][column, diver]], [np.ones(len(column))]
        for at, row in enumerate(self.rows):
            here = np.flatnonzero(place[row.within] >= 0)
            columns.append(place[row.within[here]])
            index.append(np.full(len(here), self.size + at))
            values.append(row.worth[here])
        column, flat, value = (np.concatenate(parts) for parts in (columns, index, values))
        order = np.lexsort((flat, column))
        starts = np.searchsorted(column[order], np.arange(count)).astype(np.int32)
        costs, free = self.costs[fresh].astype(float), np.full(count, highspy.kHighsInf)
        flat, value = flat[order].astype(np.int32), value[order].astype(float)
        self.highs.addCols(count, costs, np.zeros(count), free, len(flat), starts, flat, value)
        return bool(count)

    def require(self, rows: Sequence[Row]) -> None:
        place = np.full(len(self.members), -1)
        place[self.order] = np.arange(len(self.order))
        for row in rows:
            here = np.flatnonzero(self.taken[row.within])
            index = place[row.within[here]].astype(np.int32)
            values = row.worth[here].astype(float)
            self.highs.addRow(-highspy.kHighsInf, float(row.most), len(index), index, values)
            self.rows.append(row)

    def solve(self) -> tuple[Array, Array]:
        """The fractional day (one share a column) and the prices of divers and rows."""
        self.highs.run()
        solution = self.highs.getSolution()
        share = np.zeros(len(self.members))
        share[self.order] = solution.col_value
        return share, np.array(solution.row_dual)

    def above(self, prices: Array) -> Array:
        """What each column costs above the prices of what it covers, in floats."""
        own = np.append(prices[: self.size], 0.0)
        found = self.costs - own[self.members[:, 0]] - own[self.members[:, 1]] - own[self.members[:, 2]]
        for price, row in zip(prices[self.size :], self.rows, strict=True):
            if price:
                found[row.within] -= price * row.worth
        return np.asarray(found)

    def bound(self, prices: Array) -> Bound:
        """The prices as whole numbers that cover every column, and what they add up to."""
        most = max(
            [1, int(np.abs(self.costs).max()), *(int(np.abs(row.worth).max(initial=1)) for row in self.rows)]
        )
        room = 58 - (most * 8 * (self.size + len(self.rows) + 1)).bit_length()
        scale = 2 ** max(0, min(20, room))
        own = np.append(np.rint(prices[: self.size] * scale).astype(np.int64), 0)
        whole = self.costs * scale
        total = 0
        for price, row in zip(prices[self.size :], self.rows, strict=True):
            if rounded := min(0, round(float(price) * scale)):
                whole[row.within] -= rounded * row.worth
                total += rounded * row.most
        single = self.members[:, 1] == self.size
        np.minimum.at(own, self.members[single, 0], whole[single])
        above = whole - own[self.members].sum(axis=1)
        # Every other column has two divers at least: half of what is short, from each diver, covers it.
        less = (1 - min(0, int(above[~single].min(initial=0)))) // 2
        own[: self.size] -= less
        above += less * (self.members < self.size).sum(axis=1)
        return Bound(total + int(own.sum()), above, scale)
