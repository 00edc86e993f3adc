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
    return group(Random(seed), 9, rare=seed % 2 == 1)


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
    count = sum(1 for team in found["teams"] if team["kind"] == "three")
    assert count <= {"free": 99, "never": 0, "only_when_odd": 1}[threes]


@few
@given(seeds)
def test_taking_a_constraint_away_never_makes_the_day_worse(seed: int) -> None:
    body = body_of(seed)
    before = teams(body)
    if before["status"] == "impossible":
        return
    for name in ("wishes", "forbidden", "locked", "guided", "surface_cover"):
        if name in body:
            freer = {key: value for key, value in body.items() if key != name}
            assert order(teams(freer)) <= order(before)
    wider = copy.deepcopy(body)
    wider["policy"] = body.get("policy", {}) | {"threes": "free"}
    assert order(teams(wider)) <= order(before)


STRICTER = {
    "most_days_since_dive": None,
    "least_dives_last_year": None,
    "one_band_at_a_time": False,
    "repeats_before_next": None,
    "three_visibility_m": None,
    "surface_cover": "shown",
    "oxygen_depth_margin": 0,
    "deeper_beside_certified": True,
    "guardian_may_lead": True,
    "guided_ratio": 8,
    "leader_needed": "when_stretched",
}


@few
@given(seeds, st.sampled_from(sorted(STRICTER)))
def test_relaxing_a_rule_of_the_club_never_makes_the_day_worse(seed: int, rule: str) -> None:
    body = body_of(seed)
    strict = {"most_days_since_dive": 20, "least_dives_last_year": 25, "one_band_at_a_time": True}
    strict |= {
        "repeats_before_next": 3,
        "three_visibility_m": 10,
        "guided_ratio": 1,
        "leader_needed": "every_team",
    }
    body["policy"] = {**body.get("policy", {}), **strict}
    before = teams(body)
    freer = copy.deepcopy(body)
    freer["policy"][rule] = STRICTER[rule]
    if before["status"] != "impossible":
        assert order(teams(freer)) <= order(before)


@few
@given(seeds)
def test_a_private_wish_is_never_told(seed: int) -> None:
    """The answer of a group with a private wish is one that a group without any could have had: the same
    words, no better day beside it, and nobody left out for its sake."""
    body = body_of(seed)
    for name in ("wishes", "why_not", "alternatives", "least_change"):
        body.pop(name, None)
    first = teams(body)
    for team in placed(first)[:2]:
        quiet = [{"kind": "apart", "divers": team[:2], "private": True}]
        asked = {"why_not": [team], "alternatives": 2} if len(team) < 4 else {}
        found = teams(body | asked | {"wishes": quiet})
        assert found["total"]["placed"] == first["total"]["placed"]
        assert found["total"]["overrides"] == first["total"]["overrides"]
        assert set(found) - set(asked) == set(first)
        said = str(found)
        assert not any(word in said for word in ("rivate", "rather", "wish_apart"))
        for other in [*found.get("alternatives", []), *found.get("why_not", [])]:
            more = other.get("more")
            if more is not None and found["status"] == "optimal":
                assert (-more["placed"], more["overrides"], more["safety_penalty"], more["cost_s"]) >= (
                    0,
                    0,
                    0,
                    0,
                )


@few
@given(seeds)
def test_a_locked_team_stays(seed: int) -> None:
    body = body_of(seed)
    body.pop("locked", None)
    body.pop("guided", None)
    first = teams(body)
    for team in placed(first)[:2]:
        held = teams(body | {"locked": [team]})
        assert team in placed(held)
        assert held["total"] == first["total"]


@few
@given(seeds)
def test_plan_gives_each_team_the_limit_that_was_reported(seed: int) -> None:
    body = body_of(seed)
    # These two take the team's limit from elsewhere than the plan of its members.
    for name in ("first_exposure_min", "deeper_beside_certified"):
        body.get("policy", {}).pop(name, None)
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
    for name in ("find", "alternatives"):  # `plan` has fields of these names of its own
        kept.pop(name, None)
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
