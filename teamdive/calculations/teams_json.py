"""Days, teams, reasons and people as the answer of `teams` writes them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from teamdive.calculations.team_physics import Physics
from teamdive.calculations.teams_parts import kind_of, proposal_json, three_json
from teamdive.pairing.alternatives import Robust
from teamdive.pairing.case import RULES, Case, leads_to_depth
from teamdive.pairing.cost import Candidate
from teamdive.pairing.days import text as day_text
from teamdive.pairing.drop_outs import DropOut
from teamdive.pairing.explain import Day, Gap, NotPlaced, Recheck, WhyNot
from teamdive.pairing.model import Person, Reason, listed
from teamdive.pairing.pricing import Pricing
from teamdive.pairing.rules import refusal
from teamdive.pairing.unplaced import Unplaced
from teamdive.physics.rounding import tenths_of_minutes_down

# Rules whose `what` names dimensions of the dive, not facts that are missing.
DIMENSIONED = ("stretches", "deep_and_task")


def team_json(team: Candidate, pricing: Pricing, physics: Physics) -> dict[str, Any]:
    gas = team.gas
    reasons = list(team.reasons)
    remedy = physics.remedy(team.divers) if any(r.code == "limit" and r.seconds for r in reasons) else None
    if remedy is not None:
        reasons.append(remedy)
    return {
        "divers": list(team.divers),
        "kind": kind_of(team, pricing.case),
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
        **three_json(team, pricing),
    }


def reason_json(reason: Reason) -> dict[str, Any]:
    item: dict[str, Any] = {"code": reason.code, "divers": list(reason.divers), "message": reason.message}
    rule = RULES.get(reason.code)
    if rule is not None:
        item |= {"overridable": rule.overridable, "source": rule.source}
    if reason.what:
        item["dimensions" if reason.code in DIMENSIONED else "missing"] = list(reason.what)
    return item


def not_placed_json(one: NotPlaced) -> dict[str, Any]:
    return {"id": one.id, "reasons": [reason_json(reason) for reason in one.reasons]}


def unplaced_json(why: Unplaced) -> dict[str, Any]:
    return {
        "facts": [
            {"code": fact.code, "divers": list(fact.divers), "message": fact.message} for fact in why.facts
        ],
        "irreducible": why.irreducible,
        "message": why.message,
    }


def total_json(day: Day) -> dict[str, int]:
    total = day.total
    return {
        "placed": total.placed,
        "overrides": total.overrides,
        "safety_penalty": total.safety,
        "cost_s": total.seconds,
    }


def diver_json(person: Person, case: Case) -> dict[str, Any]:
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
        "proposal": proposal_json(person, case),
        "own_limit_min": {"not_known": _once(missing)} if own is None else tenths_of_minutes_down(own),
    }


def _once(names: Sequence[str]) -> list[str]:
    return list(dict.fromkeys(names))


def overrides_json(case: Case, day: Day) -> list[dict[str, Any]]:
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


def why_not_json(found: WhyNot, day: Day) -> dict[str, Any]:
    item: dict[str, Any] = {"divers": list(found.divers), "chosen": found.chosen}
    if found.chosen:
        return item
    if found.team is None or found.day is None:
        return item | {"rules": [reason_json(reason) for reason in found.rules]}
    other, now = total_json(found.day), total_json(day)
    # A day that a private wish alone speaks against is said to be as good, not better: who asked is nobody's business.
    if _hidden(found.day) > _hidden(day) and _worth(other) < _worth(now):
        other = now
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


def _hidden(day: Day) -> int:
    return sum(team.hidden for team in day.teams)


def _worth(total: dict[str, int]) -> tuple[int, ...]:
    return -total["placed"], total["overrides"], total["safety_penalty"], total["cost_s"]


def gap_json(gap: Gap) -> dict[str, int]:
    return {
        "placed": gap.placed,
        "overrides": gap.overrides,
        "safety_penalty": gap.safety,
        "cost_s": gap.seconds,
    }


def recheck_json(one: Recheck) -> dict[str, Any]:
    names = listed(one.divers)
    if one.team is None:
        # What bars a diver is said alone: what bars the team mostly follows from it.
        own = [reason for reason in one.rules if len(reason.divers) == 1]
        said = " ".join(reason.message for reason in own or one.rules)
        return {
            "divers": list(one.divers),
            "stands": False,
            "rules": [reason_json(reason) for reason in one.rules],
            "message": f"{names} do not stand: {said}",
        }
    limit = _limit_min(one.team)
    said = "no limit is known" if limit is None else f"{int(limit)} min"
    return {
        "divers": list(one.divers),
        "stands": True,
        "limit_min": limit,
        "lead": one.team.lead,
        "message": f"{names} stand: {said}.",
    }


def _limit_min(team: Candidate) -> float | None:
    return None if team.gas.limit_s is None else tenths_of_minutes_down(team.gas.limit_s)


def robust_json(robust: Robust) -> dict[str, Any]:
    return {
        "days_compared": robust.compared,
        "all_equal_days_compared": robust.all_compared,
        "most_changed": robust.worst,
        "changed_in_all": robust.total,
    }


def drop_out_json(one: DropOut) -> dict[str, Any]:
    return {
        "diver": one.diver,
        "loses": list(one.loses),
        "gains": list(one.gains),
        "teams": [list(team) for team in one.teams],
        "teams_changed": len(one.teams),
        "changed": list(one.moved),
        "message": one.message,
    }


def alternative_json(other: Day, day: Day, pricing: Pricing, physics: Physics) -> dict[str, Any]:
    """A day beside the best: what it costs more, and whose time under water is better and worse."""
    total, now = total_json(other), total_json(day)
    before, after = _minutes(day), _minutes(other)
    better: list[dict[str, Any]] = []
    worse: list[dict[str, Any]] = []
    for name in sorted({*before, *after}):
        gain = after.get(name, 0) - before.get(name, 0)
        if gain:
            (better if gain > 0 else worse).append({"diver": name, "min": abs(gain)})
    held = [team.divers for team in day.teams]
    return {
        "status": other.status,
        "teams": [team_json(team, pricing, physics) for team in other.teams],
        "not_placed": [one.id for one in other.not_placed],
        "total": total,
        "more": {name: total[name] - now[name] for name in total},
        "other_teams": [list(team.divers) for team in other.teams if team.divers not in held],
        "better": better,
        "worse": worse,
        "message": _compared(other, day, better, worse),
    }


def _minutes(day: Day) -> dict[str, int]:
    """Whole minutes of each diver who has a place and whose limit is known."""
    return {
        name: team.gas.limit_s // 60
        for team in day.teams
        if team.gas.limit_s is not None
        for name in team.divers
    }


def _compared(other: Day, day: Day, better: Sequence[dict[str, Any]], worse: Sequence[dict[str, Any]]) -> str:
    held = [team.divers for team in day.teams]
    teams = "; ".join(listed(team.divers) for team in other.teams if team.divers not in held)
    parts = [f"{teams} instead." if teams else "One team fewer."]
    fewer = day.total.placed - other.total.placed
    if fewer:
        parts.append(f"{fewer} fewer placed.")
    more = other.total.overrides - day.total.overrides
    if more > 0:
        parts.append(f"{more} more rules set aside." if more > 1 else "One more rule set aside.")
    if other.total.safety != day.total.safety:
        words = "Less" if other.total.safety > day.total.safety else "More"
        parts.append(f"{words} margin for those who take a step.")
    for word, some in (("longer", better), ("shorter", worse)):
        if some:
            parts.append("; ".join(f"{one['diver']} {one['min']} min {word}" for one in some) + ".")
    if len(parts) == 1:
        parts.append("The same otherwise.")
    return " ".join(parts)
