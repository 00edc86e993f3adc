"""When waiting on the surface pays for a team: the next moments at which its limit, in whole minutes, rises."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from teamdive.boatlog.facts import Facts, facts
from teamdive.boatlog.fold import State
from teamdive.boatlog.nitrogen import (
    FURTHEST_MIN,
    LEAST_INTERVAL_MIN,
    governing,
    limits_then,
    plan_of,
    waited_s,
)
from teamdive.boatlog.plan import DivePlan
from teamdive.boatlog.surfaced import Surfaced, surfaced
from teamdive.physics.interval import least_minute
from teamdive.physics.known import Missing
from teamdive.physics.rounding import ceil_div

MOST_STEPS = 3
MINUTE_MS = 60_000


@dataclass(frozen=True)
class _Member:
    person: str
    plan: DivePlan
    safe: Surfaced


@dataclass(frozen=True)
class _Limit:
    """The least limit of the team at a moment: seconds (None: no end), by which method and whose."""

    seconds: int | None
    by: str | None
    person: str | None


def next_steps(
    state: State, people: Sequence[str], dive: str, now: int, known: Facts | None = None
) -> list[dict[str, Any]]:
    """The next rises of the team's limit on that dive, the soonest first, at most three.

    Moments are whole minutes of the clock (ms), so that a time read aloud is never too early. Empty where a member's
    limit is not known, or where waiting no longer lengthens it.
    """
    known = facts(state) if known is None else known
    members: list[_Member] = []
    for person in people:
        plan, safe = plan_of(state, person, dive, known), surfaced(state, person, known)
        if plan is None or isinstance(safe, Missing):
            return []
        members.append(_Member(person, plan, safe))
    first = max(
        (ceil_div(m.safe.at, MINUTE_MS) + LEAST_INTERVAL_MIN for m in members if m.safe.at is not None),
        default=None,
    )
    present = _team_limit(state, members, now)
    last_minute = now // MINUTE_MS + FURTHEST_MIN
    ends = _team_limit(state, members, last_minute * MINUTE_MS)
    if first is None or present is None or ends is None or present.seconds is None:
        return []
    reached, after = present.seconds // 60, max(now // MINUTE_MS, first - 1)
    found: list[dict[str, Any]] = []
    while len(found) < MOST_STEPS:
        wanted_s = (reached + 1) * 60

        def rises(minute: int, wanted_s: int = wanted_s) -> bool:
            limit = _team_limit(state, members, minute * MINUTE_MS)
            return limit is not None and (limit.seconds is None or limit.seconds >= wanted_s)

        step = least_minute(after + 1, last_minute, rises)
        limit = None if step is None else _team_limit(state, members, step * MINUTE_MS)
        if step is None or limit is None:
            break
        found.append(
            {
                "at": step * MINUTE_MS,
                "limit_s": limit.seconds,
                "limited_by": limit.by,
                "person": limit.person,
                "gain_min": None if limit.seconds is None else limit.seconds // 60 - present.seconds // 60,
            }
        )
        if limit.seconds is None:
            break
        after, reached = step, limit.seconds // 60
    return found


def _team_limit(state: State, members: Sequence[_Member], now: int) -> _Limit | None:
    """The least governing limit of the members; None where one is not known."""
    least = _Limit(None, None, None)
    for member in members:
        waited = waited_s(state, member.safe, now)
        limit, by = governing(state, limits_then(state, member.person, member.plan, member.safe, waited))
        if isinstance(limit, Missing):
            return None
        if limit is not None and (least.seconds is None or limit < least.seconds):
            least = _Limit(limit, by, member.person)
    return least
