"""Group, limits of the next dive and no-fly time from the boat log.

The safe end of what is disputed governs; the other end is shown beside it, never instead.
"""

from dataclasses import replace
from typing import Any

from teamdive.boatlog.facts import Facts, facts
from teamdive.boatlog.fold import State
from teamdive.boatlog.plan import DivePlan, dive_plan, next_dive_of, planned_bottom_time_s, team_on
from teamdive.boatlog.surfaced import Surfaced, mix_of, settings_of, surfaced
from teamdive.physics import dive as physics
from teamdive.physics.dive import NoStop
from teamdive.physics.known import Missing
from teamdive.physics.no_fly import USUAL_ROAD_FT, Circumstances, ClubWaits, Way
from teamdive.physics.no_fly import no_fly as no_fly_rule
from teamdive.physics.units import Depth

# The table knows no shorter interval: a descent within it goes on with the last dive.
LEAST_INTERVAL_MIN = 10
FURTHEST_MIN = 48 * 60

Limit = int | Missing | None


def next_dive(
    state: State, person: str, now: int, dive: str | None = None, known: Facts | None = None
) -> dict[str, Any] | None:
    """What the next dive (or the one named) allows this diver if it began at `now`; None: no such dive.

    Seconds and ms; a limit of null is none by the method. `if_settled_limit_s`: the limit by the
    other end of what is disputed, shown beside, never instead.
    """
    known = facts(state) if known is None else known
    plan = plan_of(state, person, dive, known)
    if plan is None:
        return None
    shown: dict[str, Any] = {
        "dive": plan.dive,
        "number": plan.number,
        "depth": dict(plan.depth),
        "planned_bottom_time_s": plan.bottom_time_s,
    }
    safe = surfaced(state, person, known)
    if isinstance(safe, Missing):
        names = (
            "interval_s",
            "group",
            "residual_nitrogen_time_min",
            "table_limit_s",
            "tissue_limit_s",
            "limit_s",
        )
        unknown = {name: safe.as_json() for name in names}
        return {
            **shown,
            **unknown,
            "limited_by": None,
            "if_settled_limit_s": None,
            "rises": None,
            "ready_at": safe.as_json(),
        }
    waited = waited_s(state, safe, now)
    limits = limits_then(state, person, plan, safe, waited)
    limit, by = governing(state, limits)
    other = surfaced(state, person, known, safe=False)
    settled: Limit = None
    if not isinstance(other, Missing) and other != safe:
        settled, _ = governing(state, limits_then(state, person, plan, other, waited_s(state, other, now)))
    return {
        **shown,
        "interval_s": None if safe.at is None else waited,
        "group": _json(physics.wait(safe.nitrogen, waited).group()),
        "residual_nitrogen_time_min": _json(limits.residual_nitrogen_time_min),
        "table_limit_s": _json(limits.table_left_s),
        "tissue_limit_s": _json(limits.tissue_left_s),
        "limit_s": _json(limit),
        "limited_by": by,
        "if_settled_limit_s": settled if isinstance(settled, int) and settled != limit else None,
        "rises": _rises(state, person, plan, safe, waited) if by == "table" else None,
        "ready_at": _ready_at(state, person, plan, safe),
    }


def no_fly(state: State, person: str, known: Facts | None = None) -> dict[str, Any] | None:
    """Until when (ms) the waiting time runs before going to the snapshot's altitude; None: no dive on this trip.

    `road` is the same for a road over a pass of 1,000 m, the height named on every page.
    """
    known = facts(state) if known is None else known
    if not known.attempts.get(person):
        return None
    safe = surfaced(state, person, known)
    cabin_ft = state.snapshot.settings.ascent_to_altitude_ft
    flight = _before_altitude(state, safe, "flight", cabin_ft)
    return {**flight, "road": _before_altitude(state, safe, "road", USUAL_ROAD_FT)}


def _before_altitude(state: State, safe: Surfaced | Missing, by: Way, to_altitude_ft: int) -> dict[str, Any]:
    if isinstance(safe, Missing) or safe.at is None:
        missing = safe.as_json() if isinstance(safe, Missing) else None
        unknown = {"until": missing, "wait_min": missing, "table_wait_min": missing, "rule": "not known"}
        return {**unknown, "to_altitude_ft": to_altitude_ft, "assumptions": []}
    own = state.snapshot.settings
    club = ClubWaits(own.no_fly_wait_min or 0, own.club_wait_beyond_limit_min, own.club_wait_other_gas_min)
    more = Circumstances(by, safe.breathed)
    found = no_fly_rule(safe.nitrogen, settings_of(state), to_altitude_ft, safe.dives, safe.days, club, more)
    wait = found.wait_min
    return {
        "until": wait.as_json() if isinstance(wait, Missing) else safe.at + wait * 60_000,
        "wait_min": _json(wait),
        "table_wait_min": _json(found.table_wait_min),
        "rule": found.rule,
        "to_altitude_ft": to_altitude_ft,
        "assumptions": list(found.assumptions),
    }


def after_last_dive(state: State, person: str, known: Facts | None = None) -> dict[str, Any]:
    """The repetitive group on surfacing from the last dive of this trip, and that instant (ms); nulls: no dive yet."""
    known = facts(state) if known is None else known
    if not known.attempts.get(person):
        return {"group": None, "surfaced_at": None}
    safe = surfaced(state, person, known)
    if isinstance(safe, Missing):
        return {"group": safe.as_json(), "surfaced_at": None}
    return {"group": _json(safe.nitrogen.surfaced_group), "surfaced_at": safe.at}


def plan_of(state: State, person: str, dive: str | None, known: Facts) -> DivePlan | None:
    """The plan of the dive asked for or of the next one, with the bottom time that the diver's team plans."""
    if dive is not None:
        plan, team = dive_plan(state, dive), team_on(state, person, dive)
    else:
        found = next_dive_of(state, person, {attempt.dive for attempt in known.attempts.get(person, [])})
        plan, team = (None, None) if found is None else found
    return None if plan is None else replace(plan, bottom_time_s=planned_bottom_time_s(state, plan, team))


def waited_s(state: State, who: Surfaced, now: int) -> int:
    """Seconds at the surface by `now` (ms); from the trip's start for a diver without a dive on it."""
    since = state.snapshot.starts_at if who.at is None else who.at
    return max(0, (now - since) // 1000)


def limits_then(state: State, person: str, plan: DivePlan, who: Surfaced, waited_s: int) -> NoStop:
    """Both methods' limits of the planned dive after that many seconds at the surface."""
    depth = Depth(plan.depth["hundredths"], plan.depth["unit"])
    at = (state.snapshot.starts_at if who.at is None else who.at) + waited_s * 1000
    mix = mix_of(state, person, plan.dive, at)
    return physics.no_stop(physics.wait(who.nitrogen, waited_s), depth, mix, settings_of(state))


def governing(state: State, limits: NoStop) -> tuple[Limit, str | None]:
    """The limit in seconds by the club's method, and which method gave it; of equal ones the table."""
    method = state.snapshot.settings.method
    table, tissue = limits.table_left_s, limits.tissue_left_s
    if method == "table":
        return table, "table" if isinstance(table, int) else None
    if method == "tissue":
        return tissue, "tissue" if isinstance(tissue, int) else None
    for limit in (table, tissue):
        if isinstance(limit, Missing):
            return limit, None
    if table is None or (isinstance(tissue, int) and isinstance(table, int) and tissue < table):
        return tissue, "tissue" if isinstance(tissue, int) else None
    return table, "table"


def _least_minute(low: int, high: int, holds: Any) -> int | None:
    """The least whole minute in [low, high] at which `holds`, which stays true once it is; None: not even at `high`."""
    if low > high or not holds(high):
        return None
    while low < high:
        middle = (low + high) // 2
        low, high = (low, middle) if holds(middle) else (middle + 1, high)
    return low


def _rises(state: State, person: str, plan: DivePlan, who: Surfaced, waited_s: int) -> dict[str, Any] | None:
    """The next moment at which waiting lengthens the table's limit, and both limits then."""
    now = limits_then(state, person, plan, who, waited_s).table_left_s
    if who.at is None or not isinstance(now, int):
        return None
    least = max(waited_s // 60 + 1, LEAST_INTERVAL_MIN)

    def longer(minute: int) -> bool:
        table = limits_then(state, person, plan, who, minute * 60).table_left_s
        return table is None or (isinstance(table, int) and table > now)

    minute = _least_minute(least, max(least, FURTHEST_MIN), longer)
    if minute is None:
        return None
    then = limits_then(state, person, plan, who, minute * 60)
    limit, _ = governing(state, then)
    return {
        "at": who.at + minute * 60_000,
        "limit_s": _json(limit),
        "table_limit_s": _json(then.table_left_s),
        "tissue_limit_s": _json(then.tissue_left_s),
    }


def _ready_at(state: State, person: str, plan: DivePlan, who: Surfaced) -> Any:
    """When the planned bottom time of the next dive fits (ms); null: no wait is asked, or none is long enough."""
    if who.at is None:
        return None

    def fits(minute: int) -> bool:
        limit, _ = governing(state, limits_then(state, person, plan, who, minute * 60))
        return limit is None or (isinstance(limit, int) and limit >= plan.bottom_time_s)

    at_last, _ = governing(state, limits_then(state, person, plan, who, FURTHEST_MIN * 60))
    if isinstance(at_last, Missing):
        return at_last.as_json()
    least = max(LEAST_INTERVAL_MIN, state.snapshot.settings.least_surface_interval_min or 0)
    minute = _least_minute(least, FURTHEST_MIN, fits)
    return None if minute is None else who.at + minute * 60_000


def _json(value: Any) -> Any:
    return value.as_json() if isinstance(value, Missing) else value
