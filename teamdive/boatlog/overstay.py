"""What a team would owe for staying past its tissue no-stop limit, by the plan's depth: told, never planned."""

from dataclasses import replace
from typing import Any

from teamdive.boatlog.facts import Facts, facts
from teamdive.boatlog.fold import State
from teamdive.boatlog.nitrogen import limits_then, waited_s
from teamdive.boatlog.plan import DivePlan, Team, dive_plan
from teamdive.boatlog.surfaced import Surfaced, mix_of, settings_of, surfaced
from teamdive.physics import dive as physics
from teamdive.physics.ascent import Ascent, owed
from teamdive.physics.known import Missing
from teamdive.physics.overstay import PAST_S
from teamdive.physics.units import Depth


def overstay(state: State, team: str, now: int, known: Facts | None = None) -> Any:
    """Before the descent what five and ten minutes past the limit would owe; under water what staying till `now` owes.

    `[{past_s, bottom_time_s, person, stops: [{depth, min}], stop_min, ascent_min}]`, of the diver who owes most; empty
    where nobody is past a limit, there is none, or the team is up. `{"not_known": [...]}` where a limit is not known.
    The depth is the planned one: a deeper dive owes more.
    """
    known = facts(state) if known is None else known
    found = known.teams.get(team)
    plan = None if found is None else dive_plan(state, found.dive)
    if found is None or plan is None:
        return []
    dives = {person: known.attempts.get(person, []) for person in found.members}
    under = [a for person in found.members for a in dives[person] if a.dive == found.dive]
    if any(not attempt.is_open for attempt in under):
        return []
    down = min((attempt.down[0] for attempt in under), default=None)
    # The dive itself is not behind them yet.
    before = {person: [a for a in dives[person] if a.dive != found.dive] for person in found.members}
    return _owed(state, found, plan, now, down, replace(known, attempts={**known.attempts, **before}))


def _owed(state: State, team: Team, plan: DivePlan, now: int, down: int | None, known: Facts) -> Any:
    at = now if down is None else down
    members: list[tuple[str, Surfaced]] = []
    limit_s: int | None = None
    for person in team.members:
        safe = surfaced(state, person, known)
        if isinstance(safe, Missing):
            return safe.as_json()
        left = limits_then(state, person, plan, safe, waited_s(state, safe, at)).tissue_left_s
        if isinstance(left, Missing):
            return left.as_json()
        if left is not None and (limit_s is None or left < limit_s):
            limit_s = left
        members.append((person, safe))
    if limit_s is None:
        return []
    stayed_s = None if down is None else max(0, (now - down) // 1000)
    pasts = PAST_S if stayed_s is None else (stayed_s - limit_s,)
    told = []
    for past_s in pasts:
        if past_s <= 0:
            continue
        worst = _worst(state, plan, members, limit_s + past_s, at)
        if isinstance(worst, Missing):
            return worst.as_json()
        person, ascent = worst
        told.append(_json(past_s, limit_s + past_s, person, ascent))
    return told


def _worst(
    state: State, plan: DivePlan, members: list[tuple[str, Surfaced]], bottom_s: int, at: int
) -> tuple[str, Ascent] | Missing:
    """The diver who owes most, the first of equals."""
    depth, settings = Depth(plan.depth["hundredths"], plan.depth["unit"]), settings_of(state)
    worst: tuple[str, Ascent] | None = None
    for person, safe in members:
        stay = physics.Dive(depth, bottom_s, mix_of(state, person, plan.dive, at))
        ascent = owed(physics.wait(safe.nitrogen, waited_s(state, safe, at)), stay, settings)
        if isinstance(ascent, Missing):
            return ascent
        if worst is None or ascent.stop_s > worst[1].stop_s:
            worst = person, ascent
    return Missing(("a diver of the team",)) if worst is None else worst


def _json(past_s: int, bottom_s: int, person: str, ascent: Ascent) -> dict[str, Any]:
    return {
        "past_s": past_s,
        "bottom_time_s": bottom_s,
        "person": person,
        "stops": [
            {"depth": {"unit": s.depth.unit, "hundredths": s.depth.hundredths}, "min": s.minutes}
            for s in ascent.stops
        ],
        "stop_min": ascent.stop_min,
        "ascent_min": ascent.minutes,
    }
