"""Who dives with whom on one dive: the best teams, why, and why not others.

Body and answer are JSON values, see `teams`. Up to 30 divers here; `scale.teams` answers for more.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from teamdive.calculations.asked_reading import read_asked, read_people_ids
from teamdive.calculations.body import Errors, Fields
from teamdive.calculations.diver_reading import read_team_diver
from teamdive.calculations.pairability import pairability
from teamdive.calculations.pairing_reading import (
    read_demand_fields,
    read_demands,
    read_on,
    read_person,
)
from teamdive.calculations.pairing_warnings import pairing_warnings
from teamdive.calculations.policy_reading import policy_json, read_policy
from teamdive.calculations.question import Question, priced
from teamdive.calculations.remedies import remedies, remedy_json
from teamdive.calculations.several import several
from teamdive.calculations.team_reading import Reading, read_team_dive, read_team_settings
from teamdive.calculations.teams_json import (
    alternative_json,
    diver_json,
    drop_out_json,
    gap_json,
    not_placed_json,
    overrides_json,
    reason_json,
    recheck_json,
    robust_json,
    team_json,
    total_json,
    unplaced_json,
    why_not_json,
)
from teamdive.calculations.teams_parts import cover_json, cover_warnings, guided_json, instead_json
from teamdive.pairing.case import SOURCES
from teamdive.pairing.explain import Day, alternatives, changed, drop_outs, recheck, solve, why_not
from teamdive.pairing.optimise import best
from teamdive.pairing.partition import Search, musts
from teamdive.pairing.pricing import Pricing
from teamdive.pairing.unplaced import Facts

MOST_DIVERS = 30
FEW = 16


def teams(body: Any, search: Search = best, most_divers: int = MOST_DIVERS) -> dict[str, Any]:
    """Answer who dives with whom.

    `body` is the parsed JSON of the question: the dive with its demands, the divers with what they have
    done, wishes, policy, overrides. The answer is ready for JSON: status, teams with their limit and
    reasons, who is not placed and why, totals, what changed against `announced`, and `why_not`. Limits in
    minutes, costs in seconds. Raises `Problem` with every error of the body; a fact about a person that is
    missing bars that person and says what is missing. A body with `dives` is answered by `several`.
    """
    if isinstance(body, dict) and body.get("dives") is not None:
        return several(body, search)
    question, reading = read_question(body, most_divers)
    answer = answered(question, search)
    answer["warnings"] = [*reading.warnings, *answer["warnings"]]
    return answer


def read_question(body: Any, most_divers: int = MOST_DIVERS) -> tuple[Question, Reading]:
    """The question of a body, and what was noted while reading; raises `Problem` with every error."""
    errors = Errors()
    top = Fields(errors, body)
    reading = read_team_settings(top)
    reading, on = read_on(top, reading)
    dive_fields = top.fields("dive")
    demand_fields, current_kn = read_demand_fields(dive_fields)
    dive = read_team_dive(dive_fields, reading, current_kn)
    demands = read_demands(demand_fields, dive_fields, current_kn, dive)
    dive_fields.close()
    policy = read_policy(top.fields_or_none("policy"), reading.unit)
    items = top.list_of_fields("divers", 1, most_divers)
    ids = read_people_ids(items)
    asked_c = None if demands.water_temp is None else demands.water_temp / 10
    water_c = asked_c if dive.water_c is None else dive.water_c
    divers = {item.at: read_team_diver(item, reading, water_c) for item in items}
    people = [read_person(item, divers[item.at], reading.unit, on) for item in items]
    waiting = top.list_of_fields_or_none("candidates", 0, MOST_DIVERS) or []
    read_people_ids([*items, *waiting])
    candidates = []
    for item in waiting:
        candidate = read_team_diver(item, reading, water_c)
        candidates.append((candidate, read_person(item, candidate, reading.unit, on)))
    asked = read_asked(top, ids)
    if waiting and not asked.pairability:
        top.fail("candidates", "not_allowed", "A waiting list goes with find: pairability.")
    top.close()
    errors.raise_if_any()

    question = Question(
        dive=dive,
        demands=demands,
        on=on,
        policy=policy,
        settings=reading.settings,
        divers={diver.id: diver for diver in divers.values()},
        people=tuple(people),
        asked=asked,
        weeks_before=asked.pairability,
        candidates=tuple(candidates),
    )
    return question, reading


def answered(question: Question, search: Search) -> dict[str, Any]:
    """The answer to a question once it is read, ready for JSON; its warnings but those of the reading."""
    asked = question.asked
    physics, pricing = priced(question)
    case = pricing.case
    day = solve(pricing, search, asked.robust)
    answer: dict[str, Any] = {
        "status": day.status,
        "teams": [team_json(team, pricing, physics) for team in day.teams],
        "not_placed": _not_placed(question, pricing, day, search),
        "total": total_json(day),
        "changed": [
            {"diver": name, "from": _list(before), "to": _list(after)}
            for name, before, after in changed(case, day)
        ],
        "divers": [diver_json(person, case) for person in case.people.values()],
        "overrides": overrides_json(case, day),
        "instead_of_three": instead_json(day, pricing, physics),
        "guided_offers": guided_json(day, pricing),
        "surface_cover": cover_json(case),
    }
    if day.gap is not None:
        answer["gap"] = gap_json(day.gap)
    if day.status == "impossible":
        answer["facts"] = [reason_json(reason) for reason in day.facts]
    if case.announced:
        answer["announced"] = [recheck_json(one) for one in recheck(pricing)]
    if day.robust is not None:
        answer["robust"] = robust_json(day.robust)
    if asked.alternatives:
        others = alternatives(pricing, day, asked.alternatives, search)
        answer["alternatives"] = [alternative_json(other, day, pricing, physics) for other in others]
    if asked.drop_outs:
        answer["drop_outs"] = [drop_out_json(one) for one in drop_outs(pricing, day, search)]
    if asked.why_not:
        answer["why_not"] = [why_not_json(why_not(pricing, ids, day, search), day) for ids in asked.why_not]
    if asked.pairability:
        answer["pairability"] = pairability(question, pricing, day, search)
    answer["policy"] = policy_json(case.policy, case.demands.unit)
    answer["sources"] = SOURCES
    answer["warnings"] = [*pairing_warnings(case, asked), *cover_warnings(case, asked)]
    return answer


def _not_placed(question: Question, pricing: Pricing, day: Day, search: Search) -> list[dict[str, Any]]:
    """Everybody without a place: the rules against them, the facts behind it, what would give them one.

    In a large group the facts are given where they are asked for.
    """
    asked = question.asked
    few = len(question.people) <= FEW if asked.facts is None else asked.facts
    sought = bool(day.teams) or not musts(pricing.case)
    facts = Facts(pricing, day.teams)
    items = []
    for one in day.not_placed:
        item = not_placed_json(one)
        why = facts.why(one.id) if sought and (few or one.id not in pricing.able) else None
        if why is not None:
            item |= unplaced_json(why)
        if asked.remedies and sought and one.id not in pricing.out:
            found = remedies(question, pricing, day, one.id, one.reasons, search)
            item["remedies"] = [remedy_json(remedy) for remedy in found]
        items.append(item)
    return items


def _list(ids: Sequence[str] | None) -> list[str] | None:
    return None if ids is None else list(ids)
