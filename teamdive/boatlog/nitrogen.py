"""Group, limits of the next dive and no-fly time from the boat log: the one place that asks physics.

Whatever is disputed takes the safe end: the longest bottom time, the shortest interval, the deepest
depth reported in the team. Nothing stands in for a depth that nobody reported.
"""

from dataclasses import dataclass, replace
from typing import Any

from teamdive.boatlog.claims import decided
from teamdive.boatlog.facts import Facts, facts
from teamdive.boatlog.fold import State
from teamdive.boatlog.order import told
from teamdive.boatlog.plan import DivePlan, dive_plan, next_dive_of, planned_bottom_time_s, team_on
from teamdive.boatlog.snapshot import Person
from teamdive.physics import dive as physics
from teamdive.physics.dive import NitrogenState, NoStop
from teamdive.physics.known import Missing
from teamdive.physics.no_fly import no_fly as no_fly_rule
from teamdive.physics.oxygen import Mix
from teamdive.physics.units import Depth

# The table knows no shorter interval: a descent within it goes on with the last dive.
LEAST_INTERVAL_MIN = 10
FURTHEST_MIN = 48 * 60
DAY_MS = 24 * 3600 * 1000

Limit = int | Missing | None


@dataclass(frozen=True)
class Surfaced:
    """A diver at the surface: nitrogen then, when (ms; None: no dive on this trip), dives and days for flying."""

    nitrogen: NitrogenState
    at: int | None
    dives: int
    days: int | None


def surfaced(state: State, person: str, known: Facts, safe: bool = True) -> Surfaced | Missing:
    """The diver after all dives entered. `safe` False: the other end of what is disputed, never to act on."""
    settings = _settings(state)
    attempts = known.attempts.get(person, [])
    unseen = [attempt for attempt in attempts if attempt.surfaced is None]
    if unseen:
        return Missing(tuple(f"surfacing from {_name(state, attempt.dive)}" for attempt in unseen))
    if known.held.get(person, False):
        return Missing(("release of a diver held from diving",))
    listed = next((each for each in state.snapshot.people if each.id == person), None)
    earlier = None if listed is None else listed.earlier_dives
    start = attempts[0].down[0] if attempts else state.snapshot.starts_at
    nitrogen = _before(listed, start, settings)
    dives, last = len(earlier or ()), None
    for attempt in attempts:
        span, times = attempt.surfaced or attempt.down, attempt.bottom_time_s or (0, 0)
        down = attempt.down[0] if safe else attempt.down[1]
        if last is not None:
            nitrogen = physics.wait(nitrogen, max(0, (down - last) // 1000))
        last = span[1] if safe else span[0]
        if attempt.depth is None:
            nitrogen = physics.unknown_state(f"reported depth of {_name(state, attempt.dive)}")
            dives += 1
            continue
        depth = Depth(attempt.depth["hundredths"], attempt.depth["unit"])
        bottom_s = times[1] if safe else times[0]
        made = physics.Dive(depth, bottom_s, _mix(state, person, attempt.dive, attempt.down[1]))
        answer, nitrogen = physics.after(nitrogen, made, settings)
        dives += 0 if answer.joined else 1
    one_day = earlier == () and bool(attempts) and (last or 0) - attempts[0].down[0] < DAY_MS
    return Surfaced(nitrogen, last, dives, 1 if one_day else None)


def next_dive(
    state: State, person: str, now: int, dive: str | None = None, known: Facts | None = None
) -> dict[str, Any] | None:
    """What the next dive (or the one named) allows this diver if it began at `now`; None: no such dive.

    Seconds and ms; a limit of null is none by the method. `if_settled_limit_s`: the limit by the
    other end of what is disputed, shown beside, never instead.
    """
    known = facts(state) if known is None else known
    plan = _plan(state, person, dive, known)
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
    waited_s = _waited_s(state, safe, now)
    limits = _limits(state, person, plan, safe, waited_s)
    limit, by = _governing(state, limits)
    other = surfaced(state, person, known, safe=False)
    settled: Limit = None
    if not isinstance(other, Missing) and other != safe:
        settled, _ = _governing(state, _limits(state, person, plan, other, _waited_s(state, other, now)))
    return {
        **shown,
        "interval_s": None if safe.at is None else waited_s,
        "group": _json(physics.wait(safe.nitrogen, waited_s).group()),
        "residual_nitrogen_time_min": _json(limits.residual_nitrogen_time_min),
        "table_limit_s": _json(limits.table_left_s),
        "tissue_limit_s": _json(limits.tissue_left_s),
        "limit_s": _json(limit),
        "limited_by": by,
        "if_settled_limit_s": settled if isinstance(settled, int) and settled != limit else None,
        "rises": _rises(state, person, plan, safe, waited_s) if by == "table" else None,
        "ready_at": _ready_at(state, person, plan, safe),
    }


def no_fly(state: State, person: str, known: Facts | None = None) -> dict[str, Any] | None:
    """Until when (ms) the waiting time runs before going to the snapshot's altitude; None: no dive on this trip."""
    known = facts(state) if known is None else known
    if not known.attempts.get(person):
        return None
    safe = surfaced(state, person, known)
    if isinstance(safe, Missing) or safe.at is None:
        missing = safe.as_json() if isinstance(safe, Missing) else None
        return {"until": missing, "wait_min": missing, "rule": "not known"}
    rules = state.snapshot.settings
    found = no_fly_rule(
        safe.nitrogen,
        _settings(state),
        rules.ascent_to_altitude_ft,
        safe.dives,
        safe.days,
        rules.no_fly_wait_min or 0,
    )
    wait = found.wait_min
    until = wait.as_json() if isinstance(wait, Missing) else safe.at + wait * 60_000
    return {"until": until, "wait_min": _json(wait), "rule": found.rule}


def after_last_dive(state: State, person: str, known: Facts | None = None) -> dict[str, Any]:
    """The repetitive group on surfacing from the last dive of this trip, and that instant (ms); nulls: no dive yet."""
    known = facts(state) if known is None else known
    if not known.attempts.get(person):
        return {"group": None, "surfaced_at": None}
    safe = surfaced(state, person, known)
    if isinstance(safe, Missing):
        return {"group": safe.as_json(), "surfaced_at": None}
    return {"group": _json(safe.nitrogen.surfaced_group), "surfaced_at": safe.at}


def _settings(state: State) -> physics.Settings:
    rules = state.snapshot.settings
    return physics.Settings(
        method=rules.method,  # type: ignore[arg-type]  # the snapshot's schema allows these three only
        gf_low_pm=rules.gf_low_pm,
        gf_high_pm=rules.gf_high_pm,
        descent=Depth(rules.descent_cm_min, "m"),
        ascent=Depth(rules.ascent_cm_min, "m"),
    )


def _before(listed: Person | None, start: int, settings: physics.Settings) -> NitrogenState:
    """The diver at the start of the first dive of this trip (ms), from the dives made before it."""
    if listed is None or listed.earlier_dives is None:
        return physics.state_before(None, settings)
    made = tuple(
        physics.EarlierDive(
            Depth(dive.depth["hundredths"], dive.depth["unit"]),
            dive.bottom_time_s,
            Mix(dive.o2_pm * 10, True),
            max(0, (start - dive.surfaced_at) // 1000),
        )
        for dive in listed.earlier_dives
    )
    return physics.state_before(made, settings)


def _mix(state: State, person: str, dive: str, before: int) -> Mix:
    """The gas of a diver on a dive: the last cylinder checked before `before` (ms), else the one planned."""
    checks = [
        claim
        for claim in decided(state, "gas_checked")
        if claim.entry.subject == person and claim.at <= before
    ]
    last = max(checks, key=lambda claim: told(claim.at, claim.entry), default=None)
    if last is not None:
        o2_pm = last.data["o2_pm"]
        return Mix(None if o2_pm is None else o2_pm * 10, last.data["analysed_by"] == person)
    for planned in state.snapshot.dives:
        for team in planned.teams if planned.id == dive else ():
            for diver in team.divers:
                if diver.id == person and diver.o2_pm is not None:
                    return Mix(diver.o2_pm * 10, True)
    return Mix(None, False)


def _plan(state: State, person: str, dive: str | None, known: Facts) -> DivePlan | None:
    """The plan of the dive asked for or of the next one, with the bottom time that the diver's team plans."""
    if dive is not None:
        plan, team = dive_plan(state, dive), team_on(state, person, dive)
    else:
        found = next_dive_of(state, person, {attempt.dive for attempt in known.attempts.get(person, [])})
        plan, team = (None, None) if found is None else found
    return None if plan is None else replace(plan, bottom_time_s=planned_bottom_time_s(state, plan, team))


def _waited_s(state: State, who: Surfaced, now: int) -> int:
    since = state.snapshot.starts_at if who.at is None else who.at
    return max(0, (now - since) // 1000)


def _limits(state: State, person: str, plan: DivePlan, who: Surfaced, waited_s: int) -> NoStop:
    depth = Depth(plan.depth["hundredths"], plan.depth["unit"])
    at = (state.snapshot.starts_at if who.at is None else who.at) + waited_s * 1000
    mix = _mix(state, person, plan.dive, at)
    return physics.no_stop(physics.wait(who.nitrogen, waited_s), depth, mix, _settings(state))


def _governing(state: State, limits: NoStop) -> tuple[Limit, str | None]:
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
    now = _limits(state, person, plan, who, waited_s).table_left_s
    if who.at is None or not isinstance(now, int):
        return None
    least = max(waited_s // 60 + 1, LEAST_INTERVAL_MIN)

    def longer(minute: int) -> bool:
        table = _limits(state, person, plan, who, minute * 60).table_left_s
        return table is None or (isinstance(table, int) and table > now)

    minute = _least_minute(least, max(least, FURTHEST_MIN), longer)
    if minute is None:
        return None
    then = _limits(state, person, plan, who, minute * 60)
    limit, _ = _governing(state, then)
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
        limit, _ = _governing(state, _limits(state, person, plan, who, minute * 60))
        return limit is None or (isinstance(limit, int) and limit >= plan.bottom_time_s)

    at_last, _ = _governing(state, _limits(state, person, plan, who, FURTHEST_MIN * 60))
    if isinstance(at_last, Missing):
        return at_last.as_json()
    least = max(LEAST_INTERVAL_MIN, state.snapshot.settings.least_surface_interval_min or 0)
    minute = _least_minute(least, FURTHEST_MIN, fits)
    return None if minute is None else who.at + minute * 60_000


def _name(state: State, dive: str) -> str:
    number = next((planned.number for planned in state.snapshot.dives if planned.id == dive), None)
    return "a dive that was not planned" if number is None else f"dive {number}"


def _json(value: Any) -> Any:
    return value.as_json() if isinstance(value, Missing) else value
