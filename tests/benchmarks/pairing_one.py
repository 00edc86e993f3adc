"""One measurement of `bench_pairing` in a process of its own: seconds and peak memory of one way to the best day.

    python -m tests.benchmarks.pairing_one WAY SIZE KIND REGIME

`KIND`: "club" (leaders, divers who stretch, bottom times that differ, minutes lost as multiples of 60) or "random" (any
team may dive, at a random cost). Ways: ours, highs (plain set partition, every team a column), networkx and rustworkx
(pairs only), brute (every partition).
"""

from __future__ import annotations

import json
import resource
import sys
import time
from itertools import combinations

import numpy as np

from teamdive.pairing.group import Answer, Group
from teamdive.scale.columns import Table, table
from teamdive.scale.pairing import solve_table


def teams(size: int, kind: str, threes: bool) -> Table:
    """Every permitted pair and, where asked, three, as arrays."""
    random = np.random.default_rng(size)
    own = random.integers(8, 21, size)
    leads = random.random(size) < 0.6
    fresh = ~leads & (random.random(size) < 0.6)
    made = []
    for count in (2, 3):
        members = np.array(
            list(combinations(range(size), count)) if count == 2 else _threes(size, threes), np.int16
        )
        members = members.reshape(-1, count)
        tiers = np.zeros((len(members), 5), np.int64)
        if kind == "random":
            tiers[:, 3] = random.integers(0, 1000, len(members))
        else:
            kept = leads[members].any(axis=1) & (fresh[members].sum(axis=1) <= 1)
            members, tiers = members[kept], tiers[kept]
            stretched = fresh[members].sum(axis=1)
            tiers[:, 2] = stretched * (100 + 10 * random.integers(0, 5, len(members)))
            tiers[:, 2] += 15 * random.integers(0, 2, len(members))
            tiers[:, 3] = 60 * (own[members] - own[members].min(axis=1)[:, None]).sum(axis=1)
        padded = np.full((len(members), 3), size, np.int16)
        padded[:, :count] = members
        made.append((padded, tiers))
    return table(Group(size, (False,) * size, (0,) * size), made[0], made[1])


def _threes(size: int, wanted: bool) -> np.ndarray:
    if not wanted:
        return np.zeros((0, 3), np.int16)
    found = []
    for first in range(size - 2):
        second, third = np.triu_indices(size - first - 1, 1)
        found.append(np.stack([np.full(len(second), first), second + first + 1, third + first + 1], axis=1))
    return np.concatenate(found).astype(np.int16)


def weights(every: Table) -> np.ndarray:
    """Placed first, then safety, then minutes, as one whole number; changes and overrides are none here."""
    seconds, safety = every.tiers[:, 3], every.tiers[:, 2] // 5
    step = int(seconds.max()) * every.size
    return (every.tiers[:, 0] * (int(safety.max()) * every.size + 1) + safety) * step + seconds


def highs(every: Table, regime: str) -> int | None:
    import highspy

    size, cost = every.size, weights(every)
    column, place = np.nonzero(every.members < size)
    index = every.members[column, place].astype(np.int32)
    model = highspy.HighsLp()
    model.num_col_, model.num_row_ = len(cost), size + 1
    model.col_cost_, model.col_lower_, model.col_upper_ = (
        cost.astype(float),
        np.zeros(len(cost)),
        np.ones(len(cost)),
    )
    model.row_lower_ = np.append(np.ones(size), 0.0)
    model.row_upper_ = np.append(np.ones(size), 1.0 if regime == "only_when_odd" else float(size))
    three = np.flatnonzero(every.members[:, 2] < size)
    order = np.lexsort((np.append(index, np.full(len(three), size)), np.append(column, three)))
    index = np.append(index, np.full(len(three), size, np.int32))[order].astype(np.int32)
    column = np.append(column, three)[order]
    model.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    model.a_matrix_.start_ = np.searchsorted(column, np.arange(len(cost) + 1)).astype(np.int32)
    model.a_matrix_.index_, model.a_matrix_.value_ = index, np.ones(len(index))
    model.integrality_ = [highspy.HighsVarType.kInteger] * len(cost)
    solver = highspy.Highs.__mro__[1]()
    for name, value in (("output_flag", False), ("mip_rel_gap", 0.0), ("mip_abs_gap", 0.0)):
        solver.setOptionValue(name, value)
    solver.passModel(model)
    solver.run()
    if solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        return None
    return int(cost[np.array(solver.getSolution().col_value) > 0.5].sum())


def matched(every: Table, way: str) -> int:
    """Pairs only, by another's heaviest matching; every diver left out counts as in the table."""
    cost = weights(every)
    out = cost[every.pairs + every.threes :]
    edges = [
        (int(i), int(j), int(out[i] + out[j] - cost[row]))
        for row, (i, j) in enumerate(every.members[: every.pairs, :2])
    ]
    if way == "networkx":
        import networkx as nx

        graph = nx.Graph()
        graph.add_weighted_edges_from(edges)
        pairs = nx.max_weight_matching(graph)
    else:
        import rustworkx as rx

        graph = rx.PyGraph()
        graph.add_nodes_from(range(every.size))
        graph.add_edges_from(edges)
        pairs = rx.max_weight_matching(graph, weight_fn=int)
    gain = {frozenset(edge[:2]): edge[2] for edge in edges}
    return int(out.sum()) - sum(gain[frozenset(pair)] for pair in pairs)


def brute(every: Table, regime: str) -> int:
    cost = weights(every).tolist()
    rows = [[one for one in row if one < every.size] for row in every.members.tolist()]
    starting: list[list[int]] = [[] for _ in range(every.size)]
    for at, row in enumerate(rows):
        starting[row[0]].append(at)

    def least(taken: frozenset[int], threes: int) -> int:
        first = next((one for one in range(every.size) if one not in taken), None)
        if first is None:
            return 0
        found = 10**18
        for at in starting[first]:
            more = threes + (len(rows[at]) > 2)
            if taken.isdisjoint(rows[at]) and (regime == "free" or more < 2):
                found = min(found, cost[at] + least(taken.union(rows[at]), more))
        return found

    return least(frozenset(), 0)


def main() -> None:
    way, size, kind, regime = sys.argv[1], int(sys.argv[2]), sys.argv[3], sys.argv[4]
    # A small group first: what a way loads when it is first used is no part of its time.
    _solve(way, teams(6, kind, True), regime)
    every = teams(size, kind, regime == "free" or size % 2 == 1)
    before = time.perf_counter()
    found = _solve(way, every, regime)
    seconds = time.perf_counter() - before
    cost, proven = (
        (found, found is not None) if not isinstance(found, Answer) else (_cost(every, found), found.proven)
    )
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(json.dumps({"seconds": seconds, "peak_mb": peak, "cost": cost, "proven": proven}))


def _solve(way: str, every: Table, regime: str) -> Answer | int | None:
    if way == "ours":
        return solve_table(every, regime)
    if way == "highs":
        return highs(every, regime)
    return brute(every, regime) if way == "brute" else matched(every, way)


def _cost(every: Table, found: Answer) -> int:
    chosen = {team.members for team in found.teams} | {(diver,) for diver in found.not_placed}
    held = [tuple(one for one in row if one < every.size) for row in every.members.tolist()]
    return int(weights(every)[[at for at, members in enumerate(held) if members in chosen]].sum())


if __name__ == "__main__":
    main()
