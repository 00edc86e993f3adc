"""What a diver did before a coming dive, as dives or as the state they left, and the state at its start."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

from teamdive.physics.carried import Carried, resumed
from teamdive.physics.dive import after
from teamdive.physics.nitrogen import JOIN_S, NitrogenState, clear_state, unknown_state, wait
from teamdive.physics.oxygen import Mix
from teamdive.physics.profile import Dive, Settings, profile
from teamdive.physics.units import Depth


@dataclass(frozen=True)
class EarlierDive:
    """A dive before the coming one; `surfaced_s` is from its surfacing to the start of the coming dive."""

    depth: Depth
    bottom_time_s: int
    mix: Mix
    surfaced_s: int


@dataclass(frozen=True)
class EarlierState:
    """A diver's state on surfacing `surfaced_s` before the coming dive, in the place of that dive and all before it."""

    kept: Carried
    surfaced_s: int


Earlier = EarlierDive | EarlierState


def overlapping(earlier: tuple[EarlierDive, ...]) -> int | None:
    """Position of an earlier dive whose bottom time began before the one before it had surfaced, or None."""
    order = sorted(range(len(earlier)), key=lambda i: -earlier[i].surfaced_s)
    for first, second in pairwise(order):
        if earlier[first].surfaced_s < earlier[second].surfaced_s + earlier[second].bottom_time_s:
            return second
    return None


def state_before(earlier: tuple[Earlier, ...] | None, settings: Settings) -> NitrogenState:
    """A diver at the start of a coming dive. `None`: earlier dives are not known; `()`: there are none.

    An earlier dive's ascent belongs to its run, so an interval is counted from it; where the dive is
    given as the whole time between down and surfaced the interval comes out shorter, the safe way.
    """
    if earlier is None:
        return unknown_state("earlier_dives")
    state = clear_state(settings)
    previous: int | None = None
    given: EarlierState | None = None
    for made in sorted(earlier, key=lambda e: -e.surfaced_s):
        if isinstance(made, EarlierState):
            given, previous = made, made.surfaced_s
            continue
        dive = Dive(made.depth, made.bottom_time_s, made.mix)
        run_s = sum(segment[2] for segment in profile(dive, settings))
        began = made.surfaced_s + run_s
        if given is not None:
            state, given = resumed(given.kept, max(JOIN_S, given.surfaced_s - began), settings), None
        elif previous is None:
            if settings.rise_ft > 0 and settings.at_altitude_s is not None:
                if began > settings.at_altitude_s:
                    return unknown_state("dives made before going to the site's altitude")
                state = replace(state, since_s=settings.at_altitude_s - began)
        else:
            state = wait(state, max(0, previous - began))
        _, state = after(state, dive, settings)
        previous = made.surfaced_s
    if given is not None:
        return resumed(given.kept, given.surfaced_s, settings)
    return state if previous is None else wait(state, previous)
