"""Why somebody has no place, what would give them one, and whether a roster can be paired weeks before.

The definition of an irreducible set of facts is Chinneck and Dravnieks (Locating minimal infeasible constraint
sets in linear programs, 1991); networkx finds here, from the facts alone, whether everyone can be placed.
Remedies are tried by asking the changed question anew. What is worth offering is common practice, no source.
"""

from __future__ import annotations

import copy
from itertools import combinations
from random import Random
from typing import Any

import networkx as nx
import pytest

from teamdive.calculations.problem import Problem
from teamdive.calculations.question import priced
from teamdive.calculations.teams import read_question, teams
from teamdive.pairing.explain import solve
from teamdive.pairing.pricing import Pricing
from teamdive.pairing.rules import standing_reasons
from teamdive.pairing.rules_team import team_gas, together
from teamdive.pairing.unplaced import OF_EACH, Facts
from tests.parity.team_bodies import diver, done, eight, group

STRONG = [done(40, 1.0, 5, count=6, visibility_m=3, water_temp_c=5, night=True)]
Fact = tuple[str, tuple[str, ...]]


def placeable(pricing: Pricing, name: str, facts: set[Fact]) -> bool:
    """Whether with these facts alone the diver and all who keep their place can be placed: pairs, one three."""
    case = pricing.case
    everyone = not any(code == "others_barred" for code, _ in facts)
    among = sorted(one for one in case.people if one not in pricing.out and (everyone or one in pricing.able))

    def allowed(ids: tuple[str, ...]) -> bool:
        rules = [one for one in together(pricing.members(ids), case) if one.code != "threes"]
        for reason in standing_reasons([*rules, *team_gas(pricing.gas_of(ids))], case):
            code, _ = OF_EACH.get(reason.code, (reason.code, ""))
            needs = (
                {(code, (one,)) for one in reason.divers}
                if reason.code in OF_EACH
                else {(code, reason.divers)}
            )
            if needs <= facts:
                return False
        return True

    musts = {name} | {divers[0] for code, divers in facts if code == "keeps_place"}

    def covered(left: list[str]) -> bool:
        graph = nx.Graph()
        for one, other in combinations(left, 2):
            if allowed((one, other)):
                graph.add_edge(one, other, weight=(one in musts) + (other in musts))
        pairs = nx.max_weight_matching(graph)
        return musts & set(left) <= {one for pair in pairs for one in pair}

    if covered(among):
        return True
    regime = case.policy.threes
    if regime == "never" and ("threes", ()) in facts:
        return False
    return any(
        allowed(ids) and covered([one for one in among if one not in ids]) for ids in combinations(among, 3)
    )


def test_no_fact_can_be_spared() -> None:
    random, tried = Random(11), 0
    for _ in range(150):
        body = group(random, 10)
        if body.get("policy", {}).get("threes") == "free":
            continue
        question, _ = read_question(body)
        _, pricing = priced(question)
        day = solve(pricing)
        if not day.teams:
            continue
        every = Facts(pricing, day.teams)
        for one in day.not_placed:
            if one.id not in pricing.able:
                continue
            why = every.why(one.id)
            assert why is not None and why.irreducible and why.message
            facts = {(fact.code, fact.divers) for fact in why.facts}
            assert not placeable(pricing, one.id, facts)
            for fact in facts:
                assert placeable(pricing, one.id, facts - {fact}), (fact, facts)
            tried += 1
    assert tried > 12


def test_who_is_barred_is_told_the_rule_alone() -> None:
    found = {one["id"]: one for one in teams(eight())["not_placed"]}
    assert [fact["code"] for fact in found["F"]["facts"]] == ["stretches"]
    assert found["F"]["message"].startswith("F takes 3 stretches")


def test_a_leader_short_in_words_a_leader_can_act_on() -> None:
    """Worked by hand: A on deck leaves two leaders for three who stretch."""
    found = teams(eight(out_of_water=["A"], remedies=True))
    d = next(one for one in found["not_placed"] if one["id"] == "D")
    assert (
        d["message"]
        == "No one who leads to 27 m is left for D: B and C dive together; E and G dive together."
    )
    said = {one["code"]: one for one in d["remedies"]}
    assert (
        said["one_booking"]["message"] == "One more leader to 27 m with practice of this dive would place D."
    )
    assert said["leader_twice"]["diver"] == "B"
    assert said["cap_dive"]["value"] == 18
    # The same changes made in the body give D a place.
    booked = eight(out_of_water=["A"])
    booked["divers"].append(diver("new", STRONG, role="leader"))
    assert "D" in placed(teams(booked))
    shallower = eight(out_of_water=["A"])
    shallower["dive"]["depth"] = said["cap_dive"]["value"]
    assert "D" in placed(teams(shallower))


def placed(found: dict[str, Any]) -> set[str]:
    return {name for team in found["teams"] for name in team["divers"]}


def test_remedies_hold_when_the_changed_question_is_asked() -> None:
    random, tried = Random(23), set()
    for _ in range(80):
        body = group(random, 9)
        body.pop("find", None), body.pop("candidates", None)
        found = teams(body | {"remedies": True})
        for one in found["not_placed"]:
            for remedy in one.get("remedies", []):
                now = copy.deepcopy(body)
                who = next(item for item in now["divers"] if item["id"] == one["id"])
                if remedy["code"] == "cap_dive":
                    now["dive"]["depth"] = remedy["value"]
                elif remedy["code"] == "larger_cylinder":
                    who["cylinders"][0]["volume"] = remedy["value"]
                elif remedy["code"] == "set_aside":
                    lifted = [
                        {"rule": rule, "diver": one["id"], "by": "dive leader", "reason": "seen"}
                        for rule in remedy["rules"]
                    ]
                    now["overrides"] = [*now.get("overrides", []), *lifted]
                elif remedy["code"] == "cap_team":
                    now["dive"]["depth"] = remedy["value"]
                    out = placed(found) | set(now.get("out_of_water", []))
                    now = {k: v for k, v in now.items() if k not in ("wishes", "locked", "announced")}
                    now["out_of_water"] = sorted(out)
                else:
                    continue
                again = teams(now)
                assert one["id"] in placed(again), (remedy, one)
                if remedy["code"] != "cap_team":
                    assert sorted(placed(again) - placed(found)) == remedy["places"]
                tried.add(remedy["code"])
    assert tried == {"cap_dive", "set_aside", "cap_team", "larger_cylinder"}


# --- weeks before --------------------------------------------------------------------------------------


def early(**top: Any) -> dict[str, Any]:
    """The day of eight as it is known weeks before: no start pressures, no analyses, no morning's dives."""
    body = eight(find="pairability", **top)
    for one in body["divers"]:
        del one["gas"], one["earlier_dives"], one["cylinders"][0]["start_pressure"]
    return body


def test_the_roster_can_be_paired_before_the_gas_is_known() -> None:
    found = teams(early())["pairability"]
    assert (found["placed"], found["of"]) == (6, 8)
    assert {one["diver"] for one in found["critical"]} == {"A", "B", "G"}
    assert all(len(one["loses"]) == 1 for one in found["critical"])
    assert "If A drops out, 1 loses the dive." in found["message"]
    assert {one["diver"] for one in found["assumed"]} == set("ABCDEFGH")


def test_the_waiting_list_in_both_orders() -> None:
    """X needs a leader too, Y is one: with B away the best booking is not the first that asked."""
    waiting = [diver("X", [done(30, 0.6)]), diver("Y", STRONG, role="leader"), diver("Z", [done(8)])]
    found = teams(early(candidates=waiting, out_of_water=["B"]))["pairability"]
    assert found["waiting_list"]["in_the_order_asked"] == ["X", "Y", "Z"]
    assert found["waiting_list"]["best_fit_first"][0] == "Y"
    by_id = {one["diver"]: one["places"] for one in found["waiting_list"]["each"]}
    assert len(by_id["Y"]) == 2 and "Y" in by_id["Y"]
    assert by_id["Z"] == []
    assert found["one_more_leader"]["places"] == [name for name in by_id["Y"] if name != "Y"]
    # Booked in earnest, Y places the same people.
    booked = early(out_of_water=["B"])
    before = placed(teams(booked))
    booked["divers"].append(waiting[1])
    assert sorted(placed(teams(booked)) - before) == by_id["Y"]


def test_each_is_told_what_is_one_step() -> None:
    """The dive itself for who takes one step on it, one demand at a time for who would take three."""
    found = {one["diver"]: one for one in teams(early())["pairability"]["next_steps"]}
    assert found["A"] == {"diver": "A", "lacks": [], "steps": []}
    assert [one["dimension"] for one in found["D"]["steps"]] == ["depth"]
    assert [one["dimension"] for one in found["F"]["steps"]] == ["depth", "current", "task"]
    assert found["H"]["steps"][0]["dimension"] == "lay_off"


def test_a_work_up_dive_is_one_step_for_all_it_names() -> None:
    found = teams(early())["pairability"]["work_up"]
    assert found and all(one["serves"] for one in found)
    assert len({name for one in found for name in one["serves"]}) == sum(len(one["serves"]) for one in found)


def test_a_waiting_list_without_the_question_is_refused() -> None:
    with pytest.raises(Problem) as caught:
        teams(eight(candidates=[diver("A", STRONG)]))
    assert {error.pointer for error in caught.value.errors} == {"/candidates", "/candidates/0/id"}
