"""The search for hundreds of divers against the small one, networkx, scipy's milp and its own certificate."""

from __future__ import annotations

import os
from dataclasses import replace
from random import Random

import networkx as nx
import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

from teamdive.pairing.group import LEADS, NO_LIMIT, PRACTISED, Floors, Threes
from teamdive.pairing.optimise import best
from teamdive.scale.heaviest import Search
from teamdive.scale.pairing import solve, solve_table
from tests.benchmarks.pairing_one import teams
from tests.pairing_groups import random_group, tiers

LONG = bool(os.environ.get("TEAMDIVE_LONG"))


def gains(random: Random, size: int) -> np.ndarray:
    """Costs with many ties, without any, and beyond 64 bits."""
    most, density = random.choice([2, 5, 100, 10**9, 10**30]), random.random()
    found = np.zeros((size, size), object)
    for i in range(size):
        for j in range(i):
            if random.random() < density:
                found[i, j] = found[j, i] = random.randint(1, most)
    return found if most > 10**18 else found.astype(np.int64)


def test_matching_by_its_certificate_and_networkx_from_the_start_and_from_another_search() -> None:
    for seed in range(2000 if LONG else 150):
        random = Random(seed)
        size = random.randint(4, 20)
        gain = gains(random, size)
        search = Search(gain)
        proof = search.run()
        gone = sorted(random.sample(range(size), 3))
        other = search.without(gone)
        left = other.run()
        assert left.total <= int(proof.without(np.array([gone]))[0])
        for searched, found, out in ((search, proof, []), (other, left, gone)):
            graph = nx.Graph()
            for i in range(size):
                for j in range(i):
                    if gain[i, j] > 0 and i not in out and j not in out:
                        graph.add_edge(i, j, weight=int(gain[i, j]))
                        # Labels that cover every edge and add up to the gain prove it.
                        assert found.labels[i] + found.labels[j] + found.inside[i, j] >= 2 * gain[i, j]
            pairs = [(i, int(j)) for i, j in enumerate(searched.mate) if j > i]
            assert all(graph.has_edge(*pair) and searched.mate[pair[1]] == pair[0] for pair in pairs)
            expected = sum(graph[i][j]["weight"] for i, j in nx.max_weight_matching(graph))
            assert 2 * sum(int(gain[pair]) for pair in pairs) == found.total == 2 * expected


def test_days_as_good_as_those_of_the_small_search() -> None:
    for seed in range(600 if LONG else 40):
        random = Random(seed)
        size = random.randint(1, 20)
        group, pairs, threes = random_group(
            random, size, random.choice([1, 0.5, 0.2]), random.choice([0.3, 0.6])
        )
        for regime in ("never", "only_when_odd", "free"):
            small = best(group, pairs, lambda t=threes: t, regime)
            large = solve(group, pairs, lambda t=threes: t, regime)
            assert small is not None and large is not None and small.proven and large.proven
            # Its teams share no diver, and cost what it says they cost: added up here.
            assert len({i for team in large.teams for i in team.members}) + len(large.not_placed) == size
            permitted = {team.members: team for team in (*pairs, *threes)}
            assert all(permitted[team.members] == team for team in large.teams)
            reached = tiers(group, large.teams, large.not_placed)
            assert reached == large.at_least == tiers(group, small.teams, small.not_placed)


def test_one_three_priced_only_where_it_may_be_best_is_as_good_as_with_all_of_them_priced() -> None:
    asked = known = 0
    for seed in range(600 if LONG else 60):
        random = Random(seed)
        size = random.choice([5, 9, 13, 17])
        group, pairs, threes = random_group(random, size, random.choice([1, 0.5]), 0.9)
        # Dearer than any pair and in a unit of its own, so that the whole numbers are made again.
        rough = random.choice([0, 1, 77_777])
        priced = {team.members: replace(team, safety=team.safety + rough) for team in threes}
        nothing_known = Floors(
            own=(0,) * size,
            limit=((NO_LIMIT,) * size,) * size,
            safety=(0,) * size,
            beside=((0,) * size,) * size,
            rank=(0,) * size,
            prices=(0, 0, 0),
            bits=(PRACTISED | LEADS,) * size,
            announced=None,
            strangers=None,
        )
        seen: list[tuple[int, ...]] = []
        lazy = Threes(lambda f=nothing_known: f, lambda m, p=priced, s=seen: s.append(m) or p.get(m))
        found = solve(group, pairs, lazy, "only_when_odd")
        every = solve(group, pairs, lambda p=priced: list(p.values()), "only_when_odd")
        assert found is not None and every is not None and found.proven
        assert tiers(group, found.teams, found.not_placed) == found.at_least == every.at_least
        assert all(priced[team.members] == team for team in found.teams if len(team.members) > 2)
        asked, known = asked + len(set(seen)), known + size * (size - 1) * (size - 2) // 6
    assert 0 < asked < known


def test_forty_with_threes_free_against_scipy() -> None:
    for seed in range(10 if LONG else 2):
        group, pairs, threes = random_group(Random(seed), 40, 0.5, 0.7)
        found = solve(group, pairs, lambda t=threes: t, "free")
        assert found is not None and found.proven
        every = [*pairs, *threes]
        rows = np.zeros((40, len(every)))
        for column, team in enumerate(every):
            rows[list(team.members), column] = 1
        held = [LinearConstraint(rows, 0, 1)]
        measures = [-rows.sum(axis=0)]
        measures += [
            np.array([getattr(team, name) for team in every], float) for name in ("overrides", "safety")
        ]
        placed = -40 + len(found.not_placed)
        values = (placed, *tiers(group, found.teams, ())[1:3])
        for measure, value in zip(measures, values, strict=True):
            answer = milp(
                measure,
                constraints=held,
                integrality=np.ones(len(every)),
                bounds=Bounds(0, 1),
                options={"mip_rel_gap": 0},
            )
            assert round(answer.fun) == value
            held.append(LinearConstraint(measure.reshape(1, -1), -np.inf, value + 0.5))


def test_any_team_at_a_random_cost_is_proven_and_as_scipy_finds_it() -> None:
    # The hardest kind: many days nearly as cheap, and no rule that thins the teams.
    for size in (33, 36) if LONG else (36,):
        every = teams(size, "random", True)
        found = solve_table(every, "free")
        assert found.proven and not found.not_placed
        rows = np.zeros((size + 1, len(every.members)))
        for place in range(3):
            rows[every.members[:, place], np.arange(len(every.members))] = 1
        alone = every.members[:, 1] == size
        answer = milp(
            every.tiers[:, 3],
            constraints=[LinearConstraint(rows[:size], 1, 1)],
            integrality=np.ones(len(every.members)),
            bounds=Bounds(0, np.where(alone, 0, 1)),
            options={"mip_rel_gap": 0},
        )
        cost = {
            tuple(sorted(set(team.tolist()) - {size})): int(tier[3])
            for team, tier in zip(every.members, every.tiers, strict=True)
        }
        assert sum(cost[tuple(sorted(team.members))] for team in found.teams) == round(answer.fun)
