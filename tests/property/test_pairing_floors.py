"""Threes are priced only where they may be best: their floors are never too high, and the day is the same."""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Callable, Sequence
from itertools import combinations
from random import Random

from teamdive.calculations.problem import Problem
from teamdive.calculations.teams import teams
from teamdive.pairing.group import Answer, Group, Team, Threes
from teamdive.pairing.optimise import best
from teamdive.scale.floors import least
from teamdive.scale.pairing import solve
from tests.parity.team_bodies import group as random_body

COUNT = 2000 if os.environ.get("TEAMDIVE_LONG") else 60


def test_no_three_costs_less_than_its_floor_and_pruning_changes_no_day() -> None:
    seen: Counter[str] = Counter()

    def search(
        group: Group, pairs: Sequence[Team], threes: Callable[[], Sequence[Team]], regime: str
    ) -> Answer | None:
        assert isinstance(threes, Threes)
        floors = {team.members: team for team in threes.least()}
        together = [
            (tuple(members), tuple(tiers))
            for some, dear in least(threes.floors())
            for members, tiers in zip(some.tolist(), dear.tolist(), strict=True)
        ]
        assert together == [(team.members, team.tiers()) for team in floors.values()]
        every = []
        for members in combinations(range(group.size), 3):
            team = threes.price(members)
            if team is None:
                continue
            # A three that is not priced must be one that no rule permits.
            floor = floors[members]
            assert all(low <= real for low, real in zip(floor.tiers(), team.tiers(), strict=True))
            seen["tight"] += floor == team
            every.append(team)
        asked = []
        lazy = Threes(threes.floors, lambda members: asked.append(members) or threes.price(members))
        found = best(group, pairs, lazy, regime)
        assert found == best(group, pairs, lambda: every, regime)
        if regime == "only_when_odd":
            larger = solve(group, pairs, threes, regime)
            assert (found and found.at_least) == (larger and larger.at_least)
        seen["threes"] += len(every)
        seen["days"] += 1
        if regime == "only_when_odd" and asked:
            seen["known"] += len(floors)
            seen["asked"] += len(asked)
        return found

    for seed in range(COUNT):
        try:
            teams(random_body(Random(seed), 14), search)
        except Problem:
            seen["problems"] += 1
    assert seen["days"] > COUNT and seen["threes"] > 10 * COUNT
    assert seen["tight"] > seen["threes"] / 10
    # What it is for: not every three is priced, even in groups as small as these.
    assert 0 < seen["asked"] < seen["known"]
    print(dict(seen))
