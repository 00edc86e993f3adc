"""The days after the best one, drop-outs and fewest changes, held against every partition tried one by one.

The definitions are common practice, no source; the enumeration below shares nothing with the search.
"""

from __future__ import annotations

import copy
from itertools import combinations
from random import Random
from typing import Any

import pytest

from teamdive.calculations.problem import Problem
from teamdive.calculations.question import Question, priced
from teamdive.calculations.teams import read_question, teams
from teamdive.pairing.cost import Candidate
from tests.parity.team_bodies import diver, done, eight, group, question

Day = tuple[tuple[str, ...], ...]
STRONG = [done(40, 1.0, 5, count=6, visibility_m=3, water_temp_c=5, night=True)]


def every_day(asked: Question) -> list[tuple[tuple[int, ...], Day]]:
    """Each permitted day with its tiers, by trying every partition."""
    _, pricing = priced(asked)
    regime, announced = asked.policy.threes, [tuple(sorted(one)) for one in asked.asked.announced]
    named = {name for one in announced for name in one}
    prices = {
        ids: tried
        for size in (2, 3)
        for ids in combinations(pricing.able, size)
        if isinstance(tried := pricing.try_team(ids), Candidate)
    }
    locked = set(asked.asked.locked)
    musts = {name for team in locked for name in team} | {
        name
        for wish in asked.asked.wishes
        if wish.kind == "together" and wish.strength == "must"
        for name in wish.divers
    }
    if not musts <= set(pricing.able):
        return []
    found = []

    def place(left: tuple[str, ...], made: Day, out: tuple[str, ...]) -> None:
        if not left:
            if (
                sum(len(team) == 3 for team in made)
                > {"free": 99, "never": len(locked), "only_when_odd": 1}[regime]
            ):
                return
            if not locked <= set(made) or musts & set(out) or not made:
                return
            changed = sum(len(team) for team in made if announced and team not in announced)
            changed += sum(name in named for name in out)
            costs = [(prices[t].overrides, prices[t].safety, prices[t].seconds) for t in made]
            own = [sum(one) for one in zip(*costs, strict=True)]
            tiers = (changed, *own) if asked.asked.least_change else (*own, changed)
            found.append(((len(out), *tiers), made))
            return
        first, *rest = left
        for size in (1, 2):
            for others in combinations(rest, size):
                if (first, *others) in prices:
                    place(tuple(n for n in rest if n not in others), (*made, (first, *others)), out)
        place(tuple(rest), made, (*out, first))

    place(tuple(pricing.able), (), ())
    return sorted(found, key=lambda one: one[0])


def groups(count: int, most: int) -> list[dict[str, Any]]:
    random, made = Random(41), []
    while len(made) < count:
        body = group(random, most)
        body.pop("why_not", None)
        if len(body["divers"]) >= 4 and not (
            body.get("locked") and body.get("policy", {}).get("threes") == "never"
        ):
            made.append(body)
    return made


def days(found: dict[str, Any]) -> list[Day]:
    return [tuple(tuple(team["divers"]) for team in one["teams"]) for one in found]  # type: ignore[attr-defined]


@pytest.mark.parametrize("least_change", [False, True])
def test_the_next_days_are_those_of_the_enumeration(least_change: bool) -> None:
    seen = 0
    for body in groups(60, 8):
        asked, _ = read_question(body | {"least_change": least_change})
        all_days = every_day(asked)
        found = teams(body | {"least_change": least_change, "alternatives": 4, "robust": False})
        if not all_days:
            assert found["status"] == "impossible"
            continue
        given = days([found, *found["alternatives"]])
        assert len(given) == min(5, len(all_days)) == len(set(given))
        tiers = {frozenset(day): one for one, day in all_days}
        assert [tiers[frozenset(day)] for day in given] == [one for one, _ in all_days[: len(given)]]
        seen += len(given) > 1
    assert seen > 25


def test_a_drop_out_is_the_day_solved_again_with_the_fewest_changes() -> None:
    """Against the same question asked anew: the diver out of the water, the day announced."""
    tried = 0
    for body in groups(40, 9):
        body = {name: value for name, value in body.items() if name not in ("locked", "wishes", "announced")}
        found = teams(body | {"drop_outs": True})
        announced = [team["divers"] for team in found["teams"]]
        placed = {name for team in announced for name in team}
        assert [one["diver"] for one in found["drop_outs"]] == sorted(placed)
        for one in found["drop_outs"]:
            out = [*body.get("out_of_water", []), one["diver"]]
            again = body | {"announced": announced, "out_of_water": out, "least_change": True}
            all_days = every_day(read_question(again)[0])
            left = placed - {one["diver"]}
            if not all_days:
                assert one["loses"] == sorted(left)
                continue
            now = {name for _, day in all_days[:1] for team in day for name in team}
            # Equally good days may lose different people; how many, and how many move, is the same.
            assert len(left) - len(one["loses"]) + len(one["gains"]) == len(now)
            changed = [team for team in one["teams"] if list(team) not in announced]
            assert changed == one["teams"]
            assert sum(len(team) for team in changed) == sum(
                len(team) for team in all_days[0][1] if list(team) not in announced
            )
            tried += 1
    assert tried > 60


def test_of_equal_days_the_chosen_one_bends_least() -> None:
    """Every equal day is held against every drop-out by asking anew."""
    compared = 0
    for body in groups(60, 7):
        body = {name: value for name, value in body.items() if name not in ("locked", "wishes", "announced")}
        found = teams(body | {"robust": True})
        all_days = every_day(read_question(body)[0])
        if not all_days:
            continue
        equal = [day for one, day in all_days if one == all_days[0][0]]
        if len(equal) > 24:
            continue
        assert found["robust"]["days_compared"] == len(equal)
        worst = {day: _changes(body, day) for day in equal}
        chosen = tuple(tuple(team["divers"]) for team in found["teams"])
        best = min((max(one), sum(one)) for one in worst.values())
        assert (found["robust"]["most_changed"], found["robust"]["changed_in_all"]) == best
        assert (max(worst[chosen]), sum(worst[chosen])) == best
        compared += len(equal) > 1
    assert compared > 8


def _changes(body: dict[str, Any], day: Day) -> list[int]:
    """For each drop-out: how many of the others dive with somebody else or not at all."""
    announced = [list(team) for team in day]
    placed = [name for team in announced for name in team]
    counts = []
    for name in placed:
        out = [*body.get("out_of_water", []), name]
        asked = read_question(body | {"announced": announced, "out_of_water": out, "least_change": True})[0]
        later = every_day(asked)
        kept = {one for team in (later[0][1] if later else ()) if team in day for one in team}
        had = set(placed) - {name}
        new = {one for team in (later[0][1] if later else ()) if team not in day for one in team}
        counts.append(len((had - kept) | new))
    return counts


# --- worked days -------------------------------------------------------------------------------------


def test_the_day_of_eight_and_its_drop_outs() -> None:
    """Worked by hand: every leader carries somebody who stretches; who loses a leader sits out."""
    found = teams(eight(drop_outs=True, alternatives=2))
    said = {one["diver"]: one["message"] for one in found["drop_outs"]}
    assert said["A"] == "If A drops out: D loses the dive; the rest stays."
    assert said["C"] == "If C drops out: B, E and G dive together; the rest stays."
    first, second = found["alternatives"]
    assert first["more"] == {"placed": 0, "overrides": 0, "safety_penalty": 0, "cost_s": 0}
    assert first["message"] == "B and E; C and G instead. The same otherwise."
    assert second["better"] == [{"diver": "A", "min": 6}]
    assert second["worse"] == [{"diver": "B", "min": 6}]


def test_found_conditions_say_which_announced_teams_stand() -> None:
    body = eight(announced=[["A", "C"], ["B", "D"], ["E", "G"]])
    assert all(one["stands"] for one in teams(body)["announced"])
    body["dive"]["demands"]["current_kn"] = 1.0
    now = {tuple(one["divers"]): one for one in teams(body)["announced"]}
    assert now["A", "C"]["stands"]
    assert "current" in now["B", "D"]["message"]
    assert not now["E", "G"]["stands"]


def test_fewest_changes_when_one_sits_out_and_one_arrives() -> None:
    """X is sick and Y comes: Y takes the place, though another day would cost fewer minutes."""
    fast = {"rmv_l_min": 26, "role": "leader"}
    calm = {"rmv_l_min": 14, "role": "leader"}
    people = [diver(n, STRONG, **fast) for n in ("a", "c", "y")] + [
        diver(n, STRONG, **calm) for n in ("b", "d")
    ]
    body = question(people, announced=[["a", "b"], ["c", "d"], ["x", "y"]], policy={"threes": "never"})
    body["dive"]["bottom_time_min"] = 17
    usual, kept = teams(body), teams(body | {"least_change": True})
    teams_of = [[team["divers"] for team in one["teams"]] for one in (usual, kept)]
    assert teams_of[0] != teams_of[1] == [["a", "b"], ["c", "d"]]
    assert usual["total"]["cost_s"] < kept["total"]["cost_s"]
    assert usual["total"]["placed"] == kept["total"]["placed"] == 4


def test_too_many_alternatives_are_refused() -> None:
    with pytest.raises(Problem) as caught:
        teams(copy.deepcopy(eight(alternatives=11)))
    assert [error.pointer for error in caught.value.errors] == ["/alternatives"]
