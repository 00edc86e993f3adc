"""A team's dive: how long, whose limit, which one, and what is behind it.

`team_limits` combines what `diver.diver_limits` found for each member; it holds no table and no tissue,
so that thousands of teams can be tried. Times are whole seconds of bottom time, descent included;
pressures are gauge pressures in the unit of the settings.

Minimum gas: two divers sharing from the deepest point to the surface. Taught widely, no scientific
source for the method; the arithmetic is that of the US Navy's emergency-gas example (see `gas`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from teamdive.physics import cylinder as gauge
from teamdive.physics import gas
from teamdive.physics.diver import DiverLimits, Limit, TeamDive, TeamSettings, said
from teamdive.physics.known import Missing, lacking, merge, missing

LIMITS = ("certified_depth", "oxygen", "table_no_stop", "tissue_no_stop", "gas", "planned")
"""The six limits; of equal ones the first here is the one named."""
LIMIT_NAMES = {
    "certified_depth": "certified depth",
    "oxygen": "oxygen limit",
    "table_no_stop": "no-stop limit by the table",
    "tissue_no_stop": "no-stop limit by the tissue model",
    "gas": "gas",
    "planned": "planned time",
}
"""The limits as a sentence names them."""
UNGOVERNED = {"shorter": (), "table": ("tissue_no_stop",), "tissue": ("table_no_stop",)}
"""The limit that is shown and does not count, by governing method."""
COUNTED = {method: tuple(k for k in LIMITS if k not in shown) for method, shown in UNGOVERNED.items()}


@dataclass(frozen=True)
class Bound:
    """A limit that binds: seconds, which, and whose (None: the plan's own)."""

    seconds: int
    limited_by: str
    diver: str | None


@dataclass(frozen=True)
class DiverPlan:
    """One diver in this team. `limit` is that diver's own; `usable_litres` what is above minimum gas."""

    id: str
    limits: dict[str, Limit | Missing]
    limit: Bound | Missing
    minimum_gas: int | Missing
    turn_pressure: int | Missing
    usable_litres: float | Missing


@dataclass(frozen=True)
class TeamLimits:
    """The team. `at_most` is the least of what is known, where `limit` is not; `owners` says whose each limit is."""

    limits: dict[str, Limit | Missing]
    owners: dict[str, str | None]
    limit: Bound | Missing
    at_most: Bound | None
    next_limit: Bound | None
    divers: tuple[DiverPlan, ...]


def team_limits(dive: TeamDive, members: Sequence[DiverLimits], settings: TeamSettings) -> TeamLimits:
    """Combine the members of one team: minimum gas of its two heaviest breathers, then the least of every limit."""
    shared = shared_litres(members, settings)
    plans = [_own_gas(dive, member, shared, settings) for member in members]
    plans = [
        replace(plan, turn_pressure=_turn_pressure(plan, plans, member, dive, settings))
        for plan, member in zip(plans, members, strict=True)
    ]
    limits: dict[str, Limit | Missing] = {}
    owners: dict[str, str | None] = {}
    for kind in LIMITS:
        limits[kind], owners[kind] = _least(kind, plans)
    bounds = _bounds(plans, settings)
    unknown = merge(limits[kind] for kind in counted(settings))
    first = bounds[0]
    known = unknown is None or first.seconds == 0
    behind = [b for b in bounds if b.limited_by != first.limited_by or b.seconds != first.seconds]
    return TeamLimits(
        limits=limits,
        owners=owners,
        limit=first if known or unknown is None else unknown,
        at_most=None if known else first,
        next_limit=behind[0] if behind and unknown is None else None,
        divers=tuple(plans),
    )


def shared_litres(members: Sequence[DiverLimits], settings: TeamSettings) -> float | Missing:
    """What the two heaviest breathers of the team breathe on one cylinder from the deepest point to the surface.

    A diver alone is counted with a second one at the stressed rate: a plan is for a team.
    """
    unknown = merge(member.sharing_rate_l_min for member in members)
    if unknown is not None:
        return unknown
    rates = sorted(
        float(m.sharing_rate_l_min) for m in members if not isinstance(m.sharing_rate_l_min, Missing)
    )
    second = rates[-2] if len(rates) > 1 else settings.sharing.stressed_rmv_l_min
    return (rates[-1] + second) * members[0].sharing_minutes


def _own_gas(
    dive: TeamDive, member: DiverLimits, shared: float | Missing, settings: TeamSettings
) -> DiverPlan:
    """Minimum gas of one member in this team, what is above it, and how long that lasts."""
    diver, cylinder, own, rate = member.diver, member.diver.cylinder, member.own_litres, member.rate_l_min
    start = missing(f"start pressure of diver {diver.id}")
    least: int | Missing
    usable: float | Missing
    gas_limit: Limit | Missing
    if (
        isinstance(cylinder, Missing)
        or isinstance(shared, Missing)
        or isinstance(own, Missing)
        or isinstance(rate, Missing)
    ):
        least = lacking(cylinder, shared, own)
        usable = gas_limit = lacking(
            least, start if not isinstance(cylinder, Missing) and cylinder.start is None else None
        )
    else:
        sharing = settings.sharing
        least = gauge.minimum_gas(
            shared,
            own,
            cylinder,
            sharing.regulator_minimum,
            sharing.surface_reserve,
            settings.pressure_unit,
        )
        if cylinder.start is None:
            usable = gas_limit = start
        else:
            usable = gauge.usable_litres(cylinder, cylinder.start, least)
            gas_limit = _gas_limit(dive, cylinder.start, usable, rate, least, settings)
    limits = {**member.limits, "gas": gas_limit}
    return DiverPlan(diver.id, limits, _own_limit(diver.id, limits, settings), least, missing(), usable)


def _gas_limit(
    dive: TeamDive, start: float, usable: float, rate: float, least: int, settings: TeamSettings
) -> Limit:
    unit = settings.pressure_unit
    if usable < 0:
        return Limit(0, f"{said(start)} {unit} is below minimum gas, {least} {unit}.")
    seconds = gas.gas_limit_s(usable, rate, dive.depth.msw, settings.dive.descent.msw)
    breathing = f"breathing {said(rate)} L/min at the surface"
    return Limit(seconds, f"From {said(start)} down to {least} {unit} minimum gas, {breathing}.")


def _turn_pressure(
    plan: DiverPlan, plans: Sequence[DiverPlan], member: DiverLimits, dive: TeamDive, settings: TeamSettings
) -> int | Missing:
    if dive.way is None:
        return missing("how the team comes back (dive.return: same_point or free_ascent)")
    cylinder, minimum = member.diver.cylinder, plan.minimum_gas
    share = gauge.share_out(turn_rule(dive.way, settings), dive.along)
    if share is None or isinstance(minimum, Missing) or isinstance(cylinder, Missing):
        return minimum
    if share <= 0:
        return missing("a way back: the current is as fast as the team swims (dive.along_current)")
    unknown = merge(p.usable_litres for p in plans)
    if unknown is not None or cylinder.start is None:
        return unknown or missing()
    least = min(p.usable_litres for p in plans if not isinstance(p.usable_litres, Missing))
    return gauge.turn_pressure(share, cylinder, cylinder.start, minimum, least, settings.pressure_unit)


def turn_rule(way: str, settings: TeamSettings) -> str:
    """How the usable gas is parted: the club's rule, else halves on a way back and all of it without one."""
    return settings.turn_rule or gauge.USUAL_TURN[way]


def _least(kind: str, plans: Sequence[DiverPlan]) -> tuple[Limit | Missing, str | None]:
    """The team's limit of one kind: not known unless every member's is; a known 0 is an answer all the same."""
    best: Limit | None = None
    owner: str | None = None
    complete = True
    for plan in plans:
        limit = plan.limits[kind]
        if isinstance(limit, Missing):
            complete = False
        elif best is None or _shorter(limit, best):
            best, owner = limit, plan.id
    if best is not None and (complete or best.seconds == 0):
        return best, None if kind == "planned" else owner
    return lacking(*(plan.limits[kind] for plan in plans)), None


def _shorter(a: Limit, b: Limit) -> bool:
    return a.seconds is not None and (b.seconds is None or a.seconds < b.seconds)


def _own_limit(diver: str, limits: dict[str, Limit | Missing], settings: TeamSettings) -> Bound | Missing:
    """A diver's own limit: the least that counts, not known while one of them is not (unless one is 0)."""
    found: list[Bound] = []
    unknown = _ends(diver, limits, counted(settings), found)
    first = min(found, key=_seconds)
    return first if unknown is None or first.seconds == 0 else unknown


def counted(settings: TeamSettings) -> tuple[str, ...]:
    """The limits that count under the governing method; the other of the two no-stop limits is only shown."""
    return COUNTED[settings.dive.method]


def _ends(
    diver: str, limits: dict[str, Limit | Missing], kinds: Sequence[str], found: list[Bound]
) -> Missing | None:
    """Add what ends the dive to `found`; says what is missing, if anything is."""
    complete = True
    for kind in kinds:
        limit = limits[kind]
        if isinstance(limit, Missing):
            complete = False
        elif limit.seconds is not None:
            found.append(Bound(limit.seconds, kind, None if kind == "planned" else diver))
    return None if complete else merge(limits[kind] for kind in kinds)


def _seconds(bound: Bound) -> int:
    return bound.seconds


def _bounds(plans: Sequence[DiverPlan], settings: TeamSettings) -> list[Bound]:
    """Everything known that ends the dive, soonest first; of equal ones in the order of LIMITS, then of divers."""
    found: list[Bound] = []
    for kind in counted(settings):
        for plan in plans:
            _ends(plan.id, plan.limits, (kind,), found)
    return sorted(found, key=_seconds)
