"""How long the best day takes: the shared search against HiGHS given the same teams, and a whole question."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from random import Random
from typing import Any

from teamdive.calculations.teams import teams
from teamdive.pairing.optimise import best
from teamdive.scale.pairing import solve
from tests.pairing_groups import random_group
from tests.parity.team_bodies import diver, done, question


def run(quick: bool) -> Iterator[dict[str, Any]]:
    for size in (12, 24) if quick else (12, 13, 24, 29, 30, 60):
        for regime in ("only_when_odd", "free"):
            if regime == "free" and size > (12 if quick else 20):
                continue
            group, pairs, threes = random_group(Random(size), size, 1, 0.6)
            ours = _seconds(lambda g=group, p=pairs, t=threes, r=regime: best(g, p, lambda: t, r))
            theirs = _seconds(lambda g=group, p=pairs, t=threes, r=regime: solve(g, p, lambda: t, r))
            yield {
                "name": "pairing.search",
                "n": size,
                "case": f"threes {regime}, to proven optimum",
                "value": round(ours, 4),
                "unit": "s",
                "peer": "HiGHS, every team a column, tier by tier",
                "peer_value": round(theirs, 4),
                "ratio": round(theirs / ours, 2),
            }
    for size in (12, 30):
        body = _question(size)
        yield {
            "name": "pairing.teams",
            "n": size,
            "case": "whole question, threes only when odd",
            "value": round(_seconds(lambda b=body: teams(b)), 4),
            "unit": "s",
        }


def _seconds(work: Callable[[], Any]) -> float:
    least = 1e9
    for _ in range(2):
        begun = time.perf_counter()
        work()
        least = min(least, time.perf_counter() - begun)
    return least


def _question(size: int) -> dict[str, Any]:
    random = Random(size)
    strong, deep, shallow = [done(40, 1.0, 5)], [done(33, 0.8)], [done(18, 0.5, 4)]
    people = [
        diver(
            f"d{at:02}",
            strong if at % 2 == 0 else random.choice([strong, deep, shallow]),
            role="leader" if at % 2 == 0 else "diver",
            volume=random.choice([10, 12, 15]),
            start_pressure=random.choice([200, 210, 220]),
            rmv_l_min=random.choice([14, 16, 18, 20, 24]),
        )
        for at in range(size)
    ]
    return question(people)
