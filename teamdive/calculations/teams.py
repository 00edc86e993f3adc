"""Who dives with whom on one dive: the best teams, why, and why not others.

Body and answer are JSON values, see `teams`. Up to 30 divers here; `scale.teams` answers for more.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from teamdive.calculations.asked_reading import Asked, read_asked, read_people_ids
from teamdive.calculations.body import Errors, Fields
from teamdive.calculations.diver_reading import read_team_diver
from teamdive.calculations.pairing_reading import (
    read_demand_fields,
    read_demands,
    read_on,
    read_person,
    read_policy,
)
from teamdive.calculations.pairing_warnings import pairing_warnings
from teamdive.calculations.team_physics import Physics
from teamdive.calculations.team_reading import Reading, read_team_dive, read_team_settings
from teamdive.pairing.case import RULES, SOURCES, Case, leads_to_depth
from teamdive.pairing.cost import Candidate
from teamdive.pairing.days import text as day_text
from teamdive.pairing.experience import standing
from teamdive.pairing.explain import Day, NotPlaced, WhyNot, changed, solve, why_not
from teamdive.pairing.model import Person, Reason
from teamdive.pairing.optimise import best
from teamdive.pairing.partition import Search
from teamdive.pairing.pricing import Pricing
from teamdive.pairing.rules import refusal
from teamdive.physics.rounding import tenths_of_minutes_down

MOST_DIVERS = 30


def teams(body: Any, search: Search = best, most_divers: int = MOST_DIVERS) -> dict[str, Any]:
    """Answer who dives with whom.

    `body` is the parsed JSON of the question: the dive with its demands, the divers with what they have
    done, wishes, policy, overrides. The answer is ready for JSON: status, teams with their limit and
    reasons, who is not placed and why, totals, what changed against `announced`, and `why_not`. Limits in
    minutes, costs in seconds. Raises `Problem` with every error of the body; a fact about a person that is
    missing bars that person and says what is missing.
    """
    errors = Errors()
    top = Fields(errors, body)
    reading = read_team_settings(top)
    reading, on = read_on(top, reading)
    dive_fields = top.fields("dive")
    demand_fields, current_kn = read_demand_fields(dive_fields)
    dive = read_team_dive(dive_fields, reading, current_kn)
    demands = read_demands(demand_fields, dive_fields, current_kn, dive)
    dive_fields.close()
    policy = read_policy(top.fields_or_none("policy"))
    items = top.list_of_fields("divers", 1, most_divers)
    ids = read_people_ids(items)
    divers = {item.at: read_team_diver(item, reading) for item in items}
    people = [read_person(item, divers[item.at], reading.unit, on) for item in items]
    asked = read_asked(top, ids)
    top.close()
    errors.raise_if_any()

    case = Case(
        demands=demands,
        on=on,
        policy=policy,
        people={person.id: person for person in people},
        standings={person.id: standing(person.experience, demands, on, policy) for person in people},
        overrides=asked.overrides,
        wishes=asked.wishes,
        forbidden=asked.forbidden,
        locked=asked.locked,
        announced=asked.announced,
    )
    physics = Physics(dive, {diver.id: diver for diver in divers.values()}, reading.settings, case)
    case = replace(case, people={p.id: replace(p, gas=physics.alone(p.id)) for p in people})
    out = tuple(name for name in asked.out_of_water if name in case.people)
    pricing = Pricing(case, physics.team, out)
    day = solve(pricing, search)
    return _answer(case, physics, pricing, day, asked, reading, search)


# --- the answer --------------------------------------------------------------------------------------


def _answer(
    case: Case,
    physics: Physics,
    pricing: Pricing,
    day: Day,
    asked: Asked,
    reading: Reading,
    search: Search,
) -> dict[str, Any]:
    answer: dict[str, Any] = {
        "status": day.status,
        "teams": [_team(team, physics) for team in day.teams],
        "not_placed": [_not_placed(one) for one in day.not_placed],
        "total": _total(day),
        "changed": [
            {"diver": name, "from": _list(before), "to": _list(after)}
            for name, before, after in changed(case, day)
        ],
        "divers": [_diver(person, case) for person in case.people.values()],
        "overrides": _overrides(case, day),
    }
    if day.gap is not None:
        gap = day.gap
        answer["gap"] = {
            "placed": gap.placed,
            "overrides": gap.overrides,
            "safety_penalty": gap.safety,
            "cost_s": gap.seconds,
        }
    if day.status == "impossible":
        answer["facts"] = [_reason(reason) for reason in day.facts]
    if asked.why_not:
        answer["why_not"] = [_why_not(why_not(pricing, ids, day, search), day) for ids in asked.why_not]
    answer["policy"] = _policy(case)
    answer["sources"] = SOURCES
    answer["warnings"] = [*reading.warnings, *pairing_warnings(case, asked)]
    return answer


def _list(ids: Sequence[str] | None) -> list[str] | None:
    return None if ids is None else list(ids)


def _team(team: Candidate, physics: Physics) -> dict[str, Any]:
    gas = team.gas
    reasons = list(team.reasons)
    remedy = physics.remedy(team.divers) if any(r.code == "limit" and r.seconds for r in reasons) else None
    if remedy is not None:
        reasons.append(remedy)
    return {
        "divers": list(team.divers),
        "lead": team.lead,
        "limit_min": {"not_known": list(gas.not_known)}
        if gas.limit_s is None
        else tenths_of_minutes_down(gas.limit_s),
        "limited_by": gas.limited_by,
        "limiting_diver": gas.limiting_diver,
        "next_limit": None
        if gas.next_s is None
        else {
            "min": tenths_of_minutes_down(gas.next_s),
            "limited_by": gas.next_by,
            "diver": gas.next_diver,
        },
        "overrides": team.overrides,
        "safety_penalty": team.safety,
        "cost_s": team.seconds,
        "reasons": [
            {
                "code": reason.code,
                "divers": list(reason.divers),
                "safety": reason.safety,
                "seconds": reason.seconds,
                "message": reason.message,
            }
            for reason in reasons
        ],
    }


def _reason(reason: Reason) -> dict[str, Any]:
    item: dict[str, Any] = {"code": reason.code, "divers": list(reason.divers), "message": reason.message}
    rule = RULES.get(reason.code)
    if rule is not None:
        item |= {"overridable": rule.overridable, "source": rule.source}
    if reason.what:
        item["dimensions" if reason.code == "stretches" else "missing"] = list(reason.what)
    return item


def _not_placed(one: NotPlaced) -> dict[str, Any]:
    return {"id": one.id, "reasons": [_reason(reason) for reason in one.reasons]}


def _total(day: Day) -> dict[str, int]:
    total = day.total
    return {
        "placed": total.placed,
        "overrides": total.overrides,
        "safety_penalty": total.safety,
        "cost_s": total.seconds,
    }


def _diver(person: Person, case: Case) -> dict[str, Any]:
    now = case.standings[person.id]
    own = None if person.gas is None else person.gas.own_s
    missing = [] if person.gas is None else [name for _, what in person.gas.not_known for name in what]
    return {
        "id": person.id,
        "stretches": now.stretches if now.log_known else {"not_known": ["experience.done"]},
        "dimensions": list(now.dimensions),
        "kind": now.kind,
        "can_lead": now.practised and leads_to_depth(person, case),
        "nearest": None
        if now.nearest is None
        else {
            "depth": now.nearest.done.depth / 100,
            "on": day_text(now.nearest.done.on),
            "lacks": list(now.nearest.lacks),
        },
        "own_limit_min": {"not_known": _once(missing)} if own is None else tenths_of_minutes_down(own),
    }


def _once(names: Sequence[str]) -> list[str]:
    return list(dict.fromkeys(names))


def _overrides(case: Case, day: Day) -> list[dict[str, Any]]:
    used = {
        (code, name)
        for team in day.teams
        for reason in team.reasons
        if reason.code == "override"
        for code in reason.what
        for name in reason.divers
    }
    return [
        {
            "rule": one.rule,
            "diver": one.diver,
            "by": one.by,
            "reason": one.reason,
            "used": refusal(one, case) is None and (one.rule, one.diver) in used,
        }
        for one in case.overrides
    ]


def _why_not(found: WhyNot, day: Day) -> dict[str, Any]:
    item: dict[str, Any] = {"divers": list(found.divers), "chosen": found.chosen}
    if found.chosen:
        return item
    if found.team is None or found.day is None:
        return item | {"rules": [_reason(reason) for reason in found.rules]}
    other, now = _total(found.day), _total(day)
    return item | {
        "team": {
            "lead": found.team.lead,
            "limit_min": None
            if found.team.gas.limit_s is None
            else tenths_of_minutes_down(found.team.gas.limit_s),
            "overrides": found.team.overrides,
            "safety_penalty": found.team.safety,
            "cost_s": found.team.seconds,
        },
        "day": other
        | {
            "teams": [list(team.divers) for team in found.day.teams],
            "not_placed": [one.id for one in found.day.not_placed],
        },
        "more": {name: other[name] - now[name] for name in other},
    }


def _policy(case: Case) -> dict[str, Any]:
    policy = case.policy
    return {
        "threes": policy.threes,
        "leader_needed": policy.leader_needed,
        "stretches_allowed": policy.stretches_allowed,
        "lay_off_days": policy.lay_off_days,
        "visibility_class_edges_m": [edge / 100 for edge in policy.visibility_edges],
        "visibility_tolerance_classes": policy.visibility_tolerance,
        "current_tolerance_kn": policy.current_tolerance / 1000,
        "water_temp_tolerance_c": policy.water_temp_tolerance / 10,
        "freshness_months": list(policy.fresh_months),
        "covered_weight": policy.covered_weight,
        "lead_weight": policy.lead_weight,
        "wish_s": policy.wish_s,
    }
