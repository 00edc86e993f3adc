"""The best day, against ways to it that share nothing with the search.

Every partition for small groups; networkx's maximum-weight matching (Galil's method) for pairs only; an
integer program of scipy's milp, with its own formulation, for thirty. HiGHS behind `scale` too.
"""

from __future__ import annotations

import os
from random import Random

import networkx as nx
import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from teamdive.calculations.teams import teams
from teamdive.pairing.matching import heaviest
from teamdive.pairing.optimise import best
from teamdive.pairing.proof import bound
from teamdive.scale.pairing import solve
from tests.pairing_groups import all_partitions, random_group, tiers
from tests.parity.team_bodies import group as random_body

REGIMES = ("never", "only_when_odd", "free")
COUNT = 4000 if os.environ.get("TEAMDIVE_LONG") else 200


@pytest.mark.parametrize("regime", REGIMES)
def test_small_groups_against_every_partition(regime: str) -> None:
    for seed in range(COUNT):
        random = Random(seed)
        size = random.randint(0, 9 if seed % 10 == 0 else 7)
        group, pairs, threes = random_group(
            random, size, random.choice([1, 0.6]), random.choice([0.3, 0.5, 0.9])
        )
        found = best(group, pairs, lambda t=threes: t, regime)
        assert found is not None and found.proven
        key = (*tiers(group, found.teams, found.not_placed), [team.members for team in found.teams])
        assert key == all_partitions(group, pairs, threes, regime), seed


def test_whole_questions_against_every_partition() -> None:
    """From the body on: the search is handed what the rules permit, and its day is the least of all."""
    looked_at = 0
    for seed in range(60):
        seen: list[tuple] = []

        def spy(group, pairs, threes, regime, seen=seen):
            found = best(group, pairs, threes, regime)
            seen.append((group, pairs, threes(), regime, found))
            return found

        teams(random_body(Random(seed), 8), spy)
        for group, pairs, threes, regime, found in seen:
            if found is None:
                continue
            least = all_partitions(group, pairs, threes, regime)
            if not any(group.must):
                looked_at += bool(least[5])
                assert [team.members for team in found.teams] == least[5]
    assert looked_at > 20


def test_matching_against_networkx_with_its_certificate() -> None:
    for seed in range(400):
        random = Random(seed)
        size, density = random.randint(1, 16), random.random()
        most = random.choice([2, 5, 100, 10**30])
        gain = [[0] * size for _ in range(size)]
        graph = nx.Graph()
        for i in range(size):
            for j in range(i):
                if random.random() < density:
                    gain[i][j] = gain[j][i] = weight = random.randint(1, most)
                    graph.add_edge(i, j, weight=weight)
        found = heaviest(size, gain)
        total = sum(gain[i][j] for i, j in enumerate(found.mate) if j > i)
        assert all(j < 0 or found.mate[j] == i for i, j in enumerate(found.mate))
        assert total == sum(gain[i][j] for i, j in nx.max_weight_matching(graph))
        # The labels prove it: no edge is heavier than they allow, and they add up to what was found.
        assert bound(found) == 2 * total
        for i in range(size):
            for j in range(i):
                inside = sum(label for members, label in found.blossoms if i in members and j in members)
                assert found.labels[i] + found.labels[j] + inside >= 2 * gain[i][j]


def test_pairs_of_an_even_group_against_networkx() -> None:
    for seed in range(20):
        random = Random(seed)
        group, pairs, _ = random_group(random, 24, 1, 0.7)
        found = best(group, pairs, list, "never")
        assert found is not None
        # One float-free weight a pair: placing two outweighs an override, that all safety, that all seconds.
        graph = nx.Graph()
        for team in pairs:
            cost = ((team.overrides * 10**6 + team.safety) * 10**6 + team.seconds) * 10**3 + team.changes
            gone = sum(group.moved[i] for i in team.members)
            graph.add_edge(*team.members, weight=10**30 - cost + gone)
        expected = sum(graph[i][j]["weight"] for i, j in nx.max_weight_matching(graph))
        assert expected == sum(graph[i][j]["weight"] for i, j in (team.members for team in found.teams))


def program(group, teams_, at_most_one: bool) -> tuple[int, ...]:
    """The tiers one after the other by scipy's milp, with inequalities where ours has a column for who is left."""
    size = group.size
    rows = np.zeros((size, len(teams_)))
    for column, team in enumerate(teams_):
        rows[list(team.members), column] = 1
    placed = rows.sum(axis=0)
    gone = np.array(group.moved) @ rows
    measures = [
        -placed,
        *(
            np.array([getattr(team, name) for team in teams_], float)
            for name in ("overrides", "safety", "seconds")
        ),
        np.array([team.changes for team in teams_], float) - gone,
    ]
    constraints = [LinearConstraint(rows, 0, 1)]
    if at_most_one:
        constraints.append(LinearConstraint((placed > 2).astype(float).reshape(1, -1), 0, 1))
    reached = []
    for measure in measures:
        found = milp(
            measure,
            constraints=constraints,
            integrality=np.ones(len(teams_)),
            bounds=Bounds(0, 1),
            options={"mip_rel_gap": 0},
        )
        assert found.success
        value = round(float(measure @ np.round(found.x)))
        reached.append(value)
        constraints.append(LinearConstraint(measure.reshape(1, -1), -np.inf, value + 0.5))
    return (size + reached[0], *reached[1:4], reached[4] + sum(group.moved))


@pytest.mark.parametrize("size", [29, 30])
def test_thirty_against_another_integer_program(size: int) -> None:
    for seed in (1, 2):
        group, pairs, threes = random_group(Random(seed), size, 0.5, 0.7)
        found = best(group, pairs, lambda t=threes: t, "only_when_odd")
        assert found is not None and found.proven
        teams_ = pairs + threes if found.not_placed or size % 2 else pairs
        expected = program(group, teams_, at_most_one=True)
        assert tiers(group, found.teams, found.not_placed) == expected


def test_highs_finds_days_as_good_as_the_shared_search(capfd: pytest.CaptureFixture[str]) -> None:
    """And prints nothing: an answer goes to standard output alone."""
    for seed in range(60):
        random = Random(seed)
        group, pairs, threes = random_group(random, random.randint(1, 10), 0.8, random.choice([0.3, 0.6]))
        for regime in REGIMES:
            ours = best(group, pairs, lambda t=threes: t, regime)
            theirs = solve(group, pairs, lambda t=threes: t, regime)
            assert ours is not None and theirs is not None and theirs.proven
            assert tiers(group, ours.teams, ours.not_placed) == tiers(group, theirs.teams, theirs.not_placed)
    assert capfd.readouterr() == ("", "")
