"""The moments at which waiting pays: when a planned team's limit, in whole minutes, rises, and what ends that."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from teamdive.physics.dive import wait
from teamdive.physics.diver import Diver, TeamDive, TeamSettings, diver_limits
from teamdive.physics.earlier import state_before
from teamdive.physics.interval import LONGEST_WAIT_MIN, least_minute
from teamdive.physics.known import Missing
from teamdive.physics.nitrogen import JOIN_S, NitrogenState
from teamdive.physics.profile import Method
from teamdive.physics.rounding import ceil_div, floor_div
from teamdive.physics.team import Bound, team_limits

MOST_STEPS = 30


@dataclass(frozen=True)
class Step:
    """The team's limit once it has waited `after_min` longer than stated, and the whole minutes that wins."""

    after_min: int
    limit: Bound
    gain_min: int


@dataclass(frozen=True)
class Steps:
    """Where waiting pays, soonest first. `ends` binds once it no longer does; `more`: there are steps past these."""

    now: Bound
    steps: tuple[Step, ...]
    ends: Bound
    more: bool


def interval_steps(dive: TeamDive, divers: Sequence[Diver], settings: TeamSettings) -> Steps | Missing:
    """The later moments at which the team's limit, in whole minutes, rises; none where waiting wins nothing.

    Waiting never lowers a limit once nobody's dive would still join the last one, so each step is found by bisection.
    """
    states = [state_before(diver.earlier, settings.dive) for diver in divers]

    def bound(minutes: int) -> Bound | Missing:
        return _later(dive, divers, settings, states, minutes)

    def whole(minutes: int) -> int:
        limit = bound(minutes)
        return -1 if isinstance(limit, Missing) else floor_div(limit.seconds, 60)

    now, ends = bound(0), bound(LONGEST_WAIT_MIN)
    if isinstance(now, Missing):
        return now
    if isinstance(ends, Missing):
        return ends
    first = whole(0)
    reached, after = first, _parted_min(divers)
    top = floor_div(ends.seconds, 60)
    steps: list[Step] = []
    while reached < top and len(steps) < MOST_STEPS:
        wanted = reached + 1

        def rises(minute: int, wanted: int = wanted) -> bool:
            return whole(minute) >= wanted

        minute = least_minute(after + 1, LONGEST_WAIT_MIN, rises)
        limit = ends if minute is None else bound(minute)
        if minute is None or isinstance(limit, Missing):
            break
        after, reached = minute, floor_div(limit.seconds, 60)
        steps.append(Step(minute, limit, reached - first))
    return Steps(now, tuple(steps), ends, reached < top)


def _parted_min(divers: Sequence[Diver]) -> int:
    """One minute less than the wait after which nobody's dive joins the last one."""
    last_s = [min(made.surfaced_s for made in d.earlier) for d in divers if d.earlier]
    return max(0, max((ceil_div(JOIN_S - s, 60) for s in last_s), default=0) - 1)


def _later(
    dive: TeamDive,
    divers: Sequence[Diver],
    settings: TeamSettings,
    states: Sequence[NitrogenState],
    minutes: int,
) -> Bound | Missing:
    """What binds the team once it has waited that much longer than stated."""
    by = minutes * 60
    members = [
        diver_limits(dive, waited(diver, by), settings, wait(state, by))
        for diver, state in zip(divers, states, strict=True)
    ]
    return team_limits(dive, members, settings).limit


def waited(diver: Diver, seconds: int) -> Diver:
    """The diver with the coming dive that much later."""
    if not diver.earlier:
        return diver
    return replace(
        diver, earlier=tuple(replace(made, surfaced_s=made.surfaced_s + seconds) for made in diver.earlier)
    )


def method_only(settings: TeamSettings, method: Method) -> TeamSettings:
    """The same settings with one method governing."""
    return replace(settings, dive=replace(settings.dive, method=method))
