"""What a team writes on its slate beside its limit: who turns first, the run, the gas left, the last start.

Times are whole seconds; pressures are gauge pressures in the unit of the settings.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from teamdive.physics import cylinder as gauge
from teamdive.physics import gas
from teamdive.physics.cylinder import STEP
from teamdive.physics.diver import DiverLimits, TeamDive, TeamSettings
from teamdive.physics.known import Missing, lacking, merge, missing
from teamdive.physics.real_gas import counted, most_gauge
from teamdive.physics.rounding import seconds_up
from teamdive.physics.team import DiverPlan, TeamLimits
from teamdive.physics.units import Depth, travel_s, travelled


@dataclass(frozen=True)
class First:
    """Who comes first to a pressure, with a chance for each diver; the times are the gas of all, in seconds."""

    diver: str
    chances: tuple[float, ...] | Missing
    median_s: int | Missing
    nineteen_in_twenty_s: int | Missing


def first_to_turn(
    dive: TeamDive, members: Sequence[DiverLimits], plan: TeamLimits, settings: TeamSettings
) -> First | Missing:
    """The diver most likely to reach turn pressure first, each their own and as announced, rounding included."""
    spent = [_to_turn(member, own) for member, own in zip(members, plan.divers, strict=True)]
    return _first(dive, members, spent, settings)


def first_to_minimum_gas(
    dive: TeamDive, members: Sequence[DiverLimits], plan: TeamLimits, settings: TeamSettings
) -> First | Missing:
    """The diver most likely to reach minimum gas first, and how long the gas of all lasts above it."""
    return _first(dive, members, [own.usable_litres for own in plan.divers], settings)


def _to_turn(member: DiverLimits, own: DiverPlan) -> float | Missing:
    """Litres at 1 bar from the start to turn pressure."""
    cylinder = member.diver.cylinder
    if isinstance(own.usable_litres, Missing) or isinstance(own.turn_pressure, Missing):
        return lacking(own.usable_litres, own.turn_pressure)
    if isinstance(cylinder, Missing) or cylinder.start is None:
        return lacking(cylinder)
    return gauge.usable_litres(cylinder, cylinder.start, own.turn_pressure)


def _first(
    dive: TeamDive, members: Sequence[DiverLimits], litres: Sequence[float | Missing], settings: TeamSettings
) -> First | Missing:
    """Who has breathed their `litres` first (log-normal RMV, sd over mean as its spread)."""
    unknown = merge((*litres, *(m.rate_l_min for m in members)))
    if unknown is not None:
        return unknown
    supplies = [_supply(member, own) for member, own in zip(members, litres, strict=True)]
    lasting = [supply.litres / supply.rmv for supply in supplies]
    shortest = min(range(len(supplies)), key=lambda i: lasting[i])
    spreads = merge(
        missing(f"spread of the RMV of diver {m.diver.id} (rmv_sd_l_min)") if m.diver.rmv.sd is None else None
        for m in members
    )
    if spreads is not None:
        return First(members[shortest].diver.id, spreads, spreads, spreads)
    if lasting[shortest] <= 0:
        chances = tuple(1.0 if i == shortest else 0.0 for i in range(len(supplies)))
        return First(members[shortest].diver.id, chances, 0, 0)
    chances = gas.turns_first(supplies)
    first = min(range(len(supplies)), key=lambda i: -chances[i])
    depth, rate = dive.depth.msw, settings.dive.descent.msw
    return First(
        members[first].diver.id,
        chances,
        gas.time_met_s(supplies, 0.5, depth, rate),
        gas.time_met_s(supplies, 0.95, depth, rate),
    )


def _supply(member: DiverLimits, litres: float | Missing) -> gas.Supply:
    some = 0.0 if isinstance(litres, Missing) or litres < 0 else litres
    mean, sd = member.diver.rmv.mean or 1.0, member.diver.rmv.sd or 0.0
    return gas.Supply(some, mean * (member.multiplier or 1.0), sd / mean)


def bottom_s(dive: TeamDive, plan: TeamLimits) -> int:
    """The bottom time that the rest is counted with: the team's limit, or what was asked while it is not known."""
    return dive.bottom_time_s if isinstance(plan.limit, Missing) else plan.limit.seconds


def reached(dive: TeamDive, settings: TeamSettings, stay_s: int) -> Depth:
    """The depth at the start of the ascent: a bottom time shorter than the descent does not lead to the bottom."""
    if stay_s >= travel_s(dive.depth, settings.dive.descent, up=False):
        return dive.depth
    on_the_way = travelled(settings.dive.descent, stay_s, dive.depth.unit)
    return on_the_way if on_the_way.hundredths < dive.depth.hundredths else dive.depth


def ascent_s(dive: TeamDive, settings: TeamSettings, stay_s: int) -> int:
    """From starting the ascent to the surface, the stop included, rounded up."""
    deepest = reached(dive, settings, stay_s)
    return travel_s(deepest, settings.dive.ascent, up=True) + seconds_up(dive.stop_min)


def gas_at_surface(dive: TeamDive, member: DiverLimits, stay_s: int, settings: TeamSettings) -> int | Missing:
    """The gauge pressure with which a diver surfaces after a bottom time, rounded down; 0 where it does not last."""
    cylinder, rate = member.diver.cylinder, member.rate_l_min
    if isinstance(cylinder, Missing) or isinstance(rate, Missing):
        return lacking(cylinder, rate)
    if cylinder.start is None:
        return missing(f"start pressure of diver {member.diver.id}")
    down = gas.descent_and_bottom(dive.depth.msw, stay_s / 60.0, settings.dive.descent.msw)
    up = gas.ascent(dive.depth.msw, settings.dive.ascent.msw, dive.stop_depth.msw, dive.stop_min)
    used = rate * gas.pressure_minutes((*down, *up)) / cylinder.litres_per_unit
    left = counted(cylinder.rule, cylinder.start) - used
    return most_gauge(cylinder.rule, left, STEP[settings.pressure_unit]) if left > 0 else 0


def last_start_s(dive: TeamDive, members: Sequence[DiverLimits], stay_s: int) -> int | None:
    """The last moment to start a unit of work: its time (twice where a diver is stretched) and a minute before the end.

    None where no unit of work fits.
    """
    unit_s = seconds_up(dive.task_unit_min or 0.0)
    last = stay_s - unit_s * (2 if any(m.diver.stretched for m in members) else 1) - 60
    return last if last >= 0 else None
