"""The latest surfacing for a known flight: each diver's departure, less the wait after the planned dive."""

from __future__ import annotations

from dataclasses import dataclass

from teamdive.physics.dive import after
from teamdive.physics.diver import Diver, DiverLimits, TeamDive
from teamdive.physics.earlier import EarlierDive, EarlierState
from teamdive.physics.known import Missing
from teamdive.physics.nitrogen import NitrogenState
from teamdive.physics.no_fly import (
    REACH_S,
    Circumstances,
    ClubWaits,
    NoFly,
    breathed,
    least_published,
    no_fly,
)
from teamdive.physics.profile import Dive, Settings
from teamdive.physics.rounding import floor_div


@dataclass(frozen=True)
class Flight:
    """When a diver goes to `to_altitude_ft`: seconds after the planned descent. `days` of diving None: not known."""

    in_s: int
    to_altitude_ft: int
    days: int | None
    club: ClubWaits


@dataclass(frozen=True)
class LatestSurfacing:
    """The wait after the dive and the last minute, counted from its descent, at which to be at the surface."""

    wait: NoFly
    latest_min: int | Missing


def after_dive(dive: TeamDive, member: DiverLimits, stay_s: int, settings: Settings) -> NitrogenState:
    """A diver on surfacing from `stay_s` of this dive."""
    diver = member.diver
    made = Dive(dive.depth, stay_s, diver.mix, 0, diver.caution, dive.next_longer)
    _, state = after(member.state, made, settings)
    return state


def latest_surfacing(
    flight: Flight, diver: Diver, surfaced: NitrogenState, settings: Settings
) -> LatestSurfacing:
    """The latest surfacing for the flight, by the longest of the consensus, the table and the club's wait.

    `surfaced` is the state after the planned dive. Every earlier dive counts as one more; a negative minute means
    that even now is too late.
    """
    dives = 1 + len(diver.earlier or ())
    gas = breathed([diver.mix, *(made.mix for made in diver.earlier or () if isinstance(made, EarlierDive))])
    for made in diver.earlier or ():
        if isinstance(made, EarlierState) and made.surfaced_s < REACH_S:
            gas = least_published(gas, made.kept.breathed)
    more = Circumstances(breathed=gas)
    wait = no_fly(surfaced, settings, flight.to_altitude_ft, dives, flight.days, flight.club, more)
    if isinstance(wait.wait_min, Missing):
        return LatestSurfacing(wait, wait.wait_min)
    return LatestSurfacing(wait, floor_div(flight.in_s, 60) - wait.wait_min)
