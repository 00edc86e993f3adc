"""What must hold of every day of teams, whatever the group."""

from __future__ import annotations

import copy
from random import Random
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from teamdive.calculations.plan import plan
from teamdive.calculations.problem import Problem
from teamdive.calculations.teams import teams
from tests.parity.team_bodies import group

seeds = st.integers(0, 10**6)
few = settings(max_examples=25, deadline=None, derandomize=True)


def body_of(seed: int) -> dict[str, Any]:
    return group(Random(seed), 9)


def order(found: dict[str, Any]) -> tuple[int, int, int, int]:
    """Less is better, in the order in which days compare."""
    total = found["total"]
    return -total["placed"], total["overrides"], total["safety_penalty"], total["cost_s"]


def placed(found: dict[str, Any]) -> list[list[str]]:
    return [team["divers"] for team in found["teams"]]


@few
@given(seeds, st.randoms(use_true_random=False))
def test_the_order_of_divers_changes_nothing(seed: int, random: Random) -> None:
    body = body_of(seed)
    turned = copy.deepcopy(body)
    random.shuffle(turned["divers"])
    for one in turned["divers"]:
        if one.get("experience") and one["experience"]["done"]:
            random.shuffle(one["experience"]["done"])
    first, second = teams(body), teams(turned)
    assert placed(first) == placed(second)
    assert first["total"] == second["total"]
    assert [one["id"] for one in first["not_placed"]] == [one["id"] for one in second["not_placed"]]


@few
@given(seeds)
def test_nobody_dives_twice_and_everybody_is_accounted_for(seed: int) -> None:
    body = body_of(seed)
    found = teams(body)
    named = [name for team in placed(found) for name in team] + [one["id"] for one in found["not_placed"]]
    assert sorted(named) == sorted(one["id"] for one in body["divers"])
    assert all(one["reasons"] for one in found["not_placed"])
    assert len(set(named)) == len(named)
    threes = body.get("policy", {}).get("threes", "only_when_odd")
    count = sum(1 for team in placed(found) if len(team) == 3)
    assert count <= {"free": 99, "never": 0, "only_when_odd": 1}[threes]


@few
@given(seeds)
def test_taking_a_constraint_away_never_makes_the_day_worse(seed: int) -> None:
    body = body_of(seed)
    before = teams(body)
    if before["status"] == "impossible":
        return
    for name in ("wishes", "forbidden", "locked"):
        if name in body:
            freer = {key: value for key, value in body.items() if key != name}
            assert order(teams(freer)) <= order(before)
    wider = copy.deepcopy(body)
    wider["policy"] = body.get("policy", {}) | {"threes": "free"}
    assert order(teams(wider)) <= order(before)


@few
@given(seeds)
def test_a_locked_team_stays(seed: int) -> None:
    body = body_of(seed)
    body.pop("locked", None)
    first = teams(body)
    for team in placed(first)[:2]:
        held = teams(body | {"locked": [team]})
        assert team in placed(held)
        assert held["total"] == first["total"]


@few
@given(seeds)
def test_plan_gives_each_team_the_limit_that_was_reported(seed: int) -> None:
    body = body_of(seed)
    lifted = {one["diver"] for one in body.get("overrides", []) if one["rule"].startswith("certified")}
    shared = {name: value for name, value in body.items() if name != "dive"}
    dive = dict(body["dive"])
    current = (dive.pop("demands", None) or {}).get("current_kn")
    if current is not None:
        dive.setdefault("current_kn", current)
    for team in teams(body)["teams"]:
        if lifted.intersection(team["divers"]):
            continue
        divers = [
            one for one in sorted(body["divers"], key=lambda one: one["id"]) if one["id"] in team["divers"]
        ]
        planned = plan(without_unknown(shared | {"dive": dive, "divers": divers}))["team"]
        for name in ("limit_min", "limited_by", "limiting_diver", "next_limit"):
            assert planned[name] == team[name]


def without_unknown(body: dict[str, Any]) -> dict[str, Any]:
    """The body without the fields that `plan` itself names as unknown: those that only `teams` reads."""
    kept = copy.deepcopy(body)
    try:
        plan(kept)
    except Problem as problem:
        for error in problem.errors:
            assert error.code == "unknown_field", error
            *path, name = error.pointer.split("/")[1:]
            holder: Any = kept
            for step in path:
                holder = holder[int(step)] if isinstance(holder, list) else holder[step]
            del holder[name]
    return kept
