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

from teamdive.physics import gas
from teamdive.physics.diver import DiverLimits, Limit, TeamDive, TeamSettings, said
from teamdive.physics.known import Missing, merge, missing
from teamdive.physics.rounding import seconds_up
from teamdive.physics.units import travel_s

LIMITS = ("certified_depth", "oxygen", "table_no_stop", "tissue_no_stop", "gas", "planned")
"""The six limits; of equal ones the first here is the one named."""
UNGOVERNED = {"shorter": (), "table": ("tissue_no_stop",), "tissue": ("table_no_stop",)}
"""The limit that is shown and does not count, by governing method."""


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
    turns = [
        _turn_pressure(plan, plans, member, dive, settings)
        for plan, member in zip(plans, members, strict=True)
    ]
    plans = [replace(plan, turn_pressure=turn) for plan, turn in zip(plans, turns, strict=True)]
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
        least = _all_missing(cylinder, shared, own)
        usable = gas_limit = _all_missing(
            least, start if not isinstance(cylinder, Missing) and cylinder.start is None else None
        )
    else:
        sharing = settings.sharing
        least = gas.minimum_gas(
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
            usable = (cylinder.start - least) * cylinder.litres_per_unit
            gas_limit = _gas_limit(dive, cylinder.start, usable, rate, least, settings)
    limits = {**member.limits, "gas": gas_limit}
    return DiverPlan(diver.id, limits, _own_limit(diver.id, limits, settings), least, missing(), usable)


def _all_missing(*values: object) -> Missing:
    return merge(values) or missing()


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
    if dive.way == "free_ascent" or isinstance(minimum, Missing) or isinstance(cylinder, Missing):
        return minimum
    unknown = merge(p.usable_litres for p in plans)
    if unknown is not None or cylinder.start is None:
        return unknown or missing()
    least = min(p.usable_litres for p in plans if not isinstance(p.usable_litres, Missing))
    return gas.turn_pressure(
        dive.way, cylinder.start, minimum, cylinder.litres_per_unit, least, settings.pressure_unit
    )


def _least(kind: str, plans: Sequence[DiverPlan]) -> tuple[Limit | Missing, str | None]:
    """The team's limit of one kind: not known unless every member's is; a known 0 is an answer all the same."""
    best: Limit | None = None
    owner: str | None = None
    for plan in plans:
        limit = plan.limits[kind]
        if not isinstance(limit, Missing) and (best is None or _shorter(limit, best)):
            best, owner = limit, plan.id
    unknown = merge(plan.limits[kind] for plan in plans)
    if best is not None and (unknown is None or best.seconds == 0):
        return best, None if kind == "planned" else owner
    return missing() if unknown is None else unknown, None


def _shorter(a: Limit, b: Limit) -> bool:
    return a.seconds is not None and (b.seconds is None or a.seconds < b.seconds)


def _own_limit(diver: str, limits: dict[str, Limit | Missing], settings: TeamSettings) -> Bound | Missing:
    """A diver's own limit: the least that counts, not known while one of them is not (unless one is 0)."""
    kinds = counted(settings)
    found = _ends(diver, limits, kinds)
    unknown = merge(limits[kind] for kind in kinds)
    first = min(found, key=lambda bound: bound.seconds)
    return first if unknown is None or first.seconds == 0 else unknown


def counted(settings: TeamSettings) -> tuple[str, ...]:
    """The limits that count under the governing method; the other of the two no-stop limits is only shown."""
    return tuple(kind for kind in LIMITS if kind not in UNGOVERNED[settings.dive.method])


def _ends(diver: str, limits: dict[str, Limit | Missing], kinds: Sequence[str]) -> list[Bound]:
    found = []
    for kind in kinds:
        limit = limits[kind]
        if not isinstance(limit, Missing) and limit.seconds is not None:
            found.append(Bound(limit.seconds, kind, None if kind == "planned" else diver))
    return found


def _bounds(plans: Sequence[DiverPlan], settings: TeamSettings) -> list[Bound]:
    """Everything known that ends the dive, soonest first; of equal ones in the order of LIMITS, then of divers."""
    found = [
        bound
        for kind in counted(settings)
        for plan in plans
        for bound in _ends(plan.id, plan.limits, (kind,))
    ]
    return sorted(found, key=lambda bound: bound.seconds)


# --- what a team does with its limit -----------------------------------------------------------------------


@dataclass(frozen=True)
class FirstToTurn:
    """Who reaches minimum gas first. `chances` has one for each diver; the times are the gas of all, in seconds."""

    diver: str
    chances: tuple[float, ...] | Missing
    median_s: int | Missing
    nineteen_in_twenty_s: int | Missing


def first_to_turn(
    dive: TeamDive, members: Sequence[DiverLimits], plan: TeamLimits, settings: TeamSettings
) -> FirstToTurn | Missing:
    """The diver most likely to reach minimum gas first (log-normal RMV, sd over mean as its spread)."""
    unknown = merge((*(p.usable_litres for p in plan.divers), *(m.rate_l_min for m in members)))
    if unknown is not None:
        return unknown
    supplies = [_supply(member, own) for member, own in zip(members, plan.divers, strict=True)]
    lasting = [supply.litres / supply.rmv for supply in supplies]
    shortest = min(range(len(supplies)), key=lambda i: lasting[i])
    spreads = merge(
        missing(f"spread of the RMV of diver {m.diver.id} (rmv_sd_l_min)") if m.diver.rmv.sd is None else None
        for m in members
    )
    if spreads is not None:
        return FirstToTurn(members[shortest].diver.id, spreads, spreads, spreads)
    if lasting[shortest] <= 0:
        chances = tuple(1.0 if i == shortest else 0.0 for i in range(len(supplies)))
        return FirstToTurn(members[shortest].diver.id, chances, 0, 0)
    chances = gas.turns_first(supplies)
    first = min(range(len(supplies)), key=lambda i: -chances[i])
    depth, rate = dive.depth.msw, settings.dive.descent.msw
    return FirstToTurn(
        members[first].diver.id,
        chances,
        gas.time_met_s(supplies, 0.5, depth, rate),
        gas.time_met_s(supplies, 0.95, depth, rate),
    )


def _supply(member: DiverLimits, plan: DiverPlan) -> gas.Supply:
    litres = 0.0 if isinstance(plan.usable_litres, Missing) or plan.usable_litres < 0 else plan.usable_litres
    mean, sd = member.diver.rmv.mean or 1.0, member.diver.rmv.sd or 0.0
    return gas.Supply(litres, mean * (member.multiplier or 1.0), sd / mean)


def bottom_s(dive: TeamDive, plan: TeamLimits) -> int:
    """The bottom time that the rest is counted with: the team's limit, or what was asked while it is not known."""
    return dive.bottom_time_s if isinstance(plan.limit, Missing) else plan.limit.seconds


def ascent_s(dive: TeamDive, settings: TeamSettings) -> int:
    """From leaving the bottom to the surface, the stop included, rounded up."""
    return travel_s(dive.depth, settings.dive.ascent, up=True) + seconds_up(dive.stop_min)


def gas_at_surface(dive: TeamDive, member: DiverLimits, stay_s: int, settings: TeamSettings) -> int | Missing:
    """The gauge pressure with which a diver surfaces after a bottom time, rounded down; 0 where it does not last."""
    cylinder, rate = member.diver.cylinder, member.rate_l_min
    if isinstance(cylinder, Missing) or isinstance(rate, Missing):
        return _all_missing(cylinder, rate)
    if cylinder.start is None:
        return missing(f"start pressure of diver {member.diver.id}")
    down = gas.descent_and_bottom(dive.depth.msw, stay_s / 60.0, settings.dive.descent.msw)
    up = gas.ascent(dive.depth.msw, settings.dive.ascent.msw, dive.stop_depth.msw, dive.stop_min)
    left = cylinder.start - rate * gas.pressure_minutes((*down, *up)) / cylinder.litres_per_unit
    return gas.step_down(left, gas.STEP[settings.pressure_unit]) if left > 0 else 0


def last_start_s(dive: TeamDive, members: Sequence[DiverLimits], stay_s: int) -> int | None:
    """The last moment to start a unit of work: its time (twice where a diver is stretched) and a minute before the end.

    None where no unit of work fits.
    """
    unit_s = seconds_up(dive.task_unit_min or 0.0)
    last = stay_s - unit_s * (2 if any(m.diver.stretched for m in members) else 1) - 60
    return last if last >= 0 else None
