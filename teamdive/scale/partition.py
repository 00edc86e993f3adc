"""Threes free: the cheapest set of teams that covers every diver once.

Columns are priced into a linear program until none is missing (`master`); odd sets that its fractional answer breaks
are added; every column that cannot be in a day cheaper than the best one found is let go (its cost above the
prices already fills the gap between the bound and that day). Sooner or later so few columns are left that
HiGHS settles them as an integer program. Nothing is let go but by that argument, so the optimum is kept.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import highspy
import numpy as np

from teamdive.scale.columns import Array
from teamdive.scale.master import Master, Row, odd_set
from teamdive.scale.odd_sets import broken

# Columns a diver to begin with and in each round of pricing.
FIRST, EACH = 10, 3
# Columns few enough to settle all of them; nodes of the last integer program, and of one for a better day only.
FEW = 3000
NODES, GLANCE = 20_000, 50
ROUNDS = 60
# No more than a stop: nodes end an integer program first, so that equal questions get equal answers.
SECONDS = 120.0


@dataclass(frozen=True)
class Cover:
    """`chosen`: the best day found, as columns; `cost`: what it costs. `at_least`: no day costs less.

    `left`: where `ties` was asked every column that a day of that cost may hold; `limits`: the rows asked for, and
    one more that holds the cost, over those columns.
    """

    chosen: Array
    cost: int
    at_least: int
    left: Array
    limits: tuple[Row, ...]


class Partition:
    """`members`: (columns, 3) positions padded with `size`; `costs` whole; `start`: a day, as columns.

    `rows` hold as well. `ties`: keep every column of equally cheap days.
    """

    def __init__(
        self,
        size: int,
        members: Array,
        costs: Array,
        start: Array,
        rows: Sequence[Row] = (),
        ties: bool = False,
    ) -> None:
        self.size, self.ties, self.given = size, ties, len(rows)
        self.names = np.arange(len(members))
        self.chosen, self.cost = start, int(costs[start].sum())
        self.at_least = -math.inf
        self.master = Master(size, members, costs, rows)
        self.prices = np.zeros(size)

    def run(self) -> Cover:
        self._begin()
        for round_ in range(ROUNDS):
            share = self._priced()
            self._take(np.arange(len(share)), share)
            sets = broken(self.size, self.master.members, share)
            self._let_go()
            if self.at_least >= self.cost:
                break
            cost = self.cost
            if len(self.names) <= FEW and (not sets or round_ % 4 == 3):
                if self._settle(np.arange(len(self.names)), GLANCE * 10 if sets else NODES):
                    self.at_least = self.cost
                    break
            elif round_ % 4 == 1 or not sets:
                self._settle(self.master.order, GLANCE)
            if not sets and self.cost == cost:
                # Too many columns are left: a day among the cheapest of them may close the gap, or most of it.
                if len(self.names) > FEW:
                    above = self.master.above(self.prices)
                    self._settle(np.argsort(above, kind="stable")[:FEW], GLANCE * 10)
                if self.cost == cost:
                    break
            self.master.require([odd_set(self.size, self.master.members, one) for one in sets])
        own = self._whole_prices()
        worth = self.master.costs - own[self.master.members].sum(axis=1)
        limit = Row(np.arange(len(self.names)), worth, self.cost - int(own.sum()))
        at_least = self.cost if self.at_least >= self.cost else int(max(self.at_least, 0))
        return Cover(self.chosen, self.cost, at_least, self.names, (*self.master.rows[: self.given], limit))

    def _begin(self) -> None:
        """First prices: each diver's cheapest share of a team."""
        master = self.master
        count = (master.members < self.size).sum(axis=1)
        prices = np.full(self.size + 1, np.inf)
        for place in range(3):
            np.minimum.at(prices, master.members[:, place], master.costs / count)
        master.add(self.chosen)
        master.add(np.flatnonzero(count == 1))
        above = master.costs - np.append(prices[: self.size], 0.0)[master.members].sum(axis=1)
        master.add(self._cheapest(above, FIRST))

    def _priced(self) -> Array:
        """Solve and bring in columns below their prices until there are none."""
        while True:
            share, self.prices = self.master.solve()
            above = self.master.above(self.prices)
            below = (above < -1e-6) & ~self.master.taken
            if not self.master.add(self._cheapest(np.where(below, above, np.inf), EACH)):
                return share

    def _cheapest(self, above: Array, each: int) -> Array:
        """Columns by what they cost above the prices, least first, until every diver has `each` of them."""
        finite = np.flatnonzero(np.isfinite(above))
        most = 30 * self.size
        if len(finite) > most:
            finite = finite[np.argpartition(above[finite], most)[:most]]
        finite = finite[np.lexsort((finite, above[finite]))]
        count = [0] * self.size + [each]
        found = []
        for at, held in zip(finite.tolist(), self.master.members[finite].tolist(), strict=True):
            if min(count[diver] for diver in held) < each:
                found.append(at)
                for diver in held:
                    count[diver] += diver < self.size
        return np.array(found, np.int64)

    def _take(self, which: Array, share: Array) -> None:
        """Keep the columns taken for the most part, if they are a day and cheaper; added up in integers."""
        picked = which[share > 0.5]
        held = self.master.members[picked]
        cost = int(self.master.costs[picked].sum())
        whole = np.array_equal(np.sort(held[held < self.size]), np.arange(self.size))
        if whole and cost < self.cost and all(_kept(row, picked) for row in self.master.rows):
            self.chosen, self.cost = self.names[picked], cost

    def _let_go(self) -> None:
        """Raise the bound and drop every column that no better day can hold."""
        bound = self.master.bound(self.prices)
        self.at_least = max(self.at_least, bound.whole())
        room = (self.cost if self.ties else self.cost - 1) * bound.scale - bound.least
        keep = bound.above <= room
        keep[np.searchsorted(self.names, self.chosen)] = True
        if 4 * keep.sum() > 3 * len(keep):
            return
        old = self.master
        self.names = self.names[keep]
        live = self.prices[self.size :] < -1e-9
        live[: self.given] = True
        rows = [row.among(keep) for row, lives in zip(old.rows, live, strict=True) if lives]
        self.master = Master(self.size, old.members[keep], old.costs[keep], rows)
        self.master.add(np.flatnonzero(old.taken[keep]))

    def _whole_prices(self) -> Array:
        return np.append(np.floor(self.prices[: self.size]).astype(np.int64), 0)

    def _settle(self, which: Array, nodes: int) -> bool:
        """The best day of these columns as an integer program; whether it was settled within the nodes."""
        # Costs above whole prices: near 0, where the tolerances of HiGHS, which grow with a cost, do not matter.
        held, own = self.master.members[which], self._whole_prices()
        kept = np.zeros(len(self.names), bool)
        kept[which] = True
        which = np.flatnonzero(kept)
        held = self.master.members[which]
        costs = self.master.costs[which] - own[held].sum(axis=1)
        part = Master(self.size, held, costs, [row.among(kept) for row in self.master.rows])
        count = len(which)
        part.add(np.arange(count))
        highs = part.highs
        whole = np.full(count, highspy.HighsVarType.kInteger)
        highs.changeColsIntegrality(count, np.arange(count, dtype=np.int32), whole)
        mine = np.searchsorted(self.names, self.chosen)
        if kept[mine].all():
            columns = np.searchsorted(which, mine).astype(np.int32)
            highs.setSolution(len(columns), columns, np.ones(len(columns)))
        options = {"mip_rel_gap": 0.0, "mip_abs_gap": 0.0, "mip_max_nodes": nodes, "time_limit": SECONDS}
        for name, value in options.items():
            highs.setOptionValue(name, value)
        highs.run()
        info, status = highs.getInfo(), highs.getModelStatus()
        if info.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible:
            self._take(which, np.array(highs.getSolution().col_value))
        done = status in (highspy.HighsModelStatus.kOptimal, highspy.HighsModelStatus.kInfeasible)
        if count == len(self.names) and not done and math.isfinite(info.mip_dual_bound):
            self.at_least = max(self.at_least, int(own.sum()) + math.ceil(info.mip_dual_bound - 1e-3))
        return bool(done)


def _kept(row: Row, picked: Array) -> bool:
    return int(row.worth[np.isin(row.within, picked)].sum()) <= row.most
