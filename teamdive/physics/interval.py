"""The least surface interval for a planned dive: each diver's by both methods, and the team's.

Both methods are always answered, whichever governs. An interval is whole minutes from a diver's own last
surfacing; under ten minutes two dives are one, so ten is the least interval there is.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from teamdive.physics.dive import no_stop, wait
from teamdive.physics.diver import Diver, TeamDive, TeamSettings
from teamdive.physics.earlier import EarlierState, state_before
from teamdive.physics.known import Missing, merge, missing
from teamdive.physics.nitrogen import BEYOND, JOIN_S, NitrogenState
from teamdive.physics.rounding import floor_div
from teamdive.physics.team import LIMIT_NAMES, TeamLimits, counted

LONGEST_WAIT_MIN = 3 * 1440
LEAST_MIN = JOIN_S // 60
NO_STOP_NAME = {
    "shorter": "The no-stop limit",
    "table": "The no-stop limit of the table",
    "tissue": "The no-stop limit of the tissue model",
}

Kind = Literal["table_no_stop", "tissue_no_stop"]
NO_STOP_KINDS: tuple[tuple[Kind, str], ...] = (("table_no_stop", "table"), ("tissue_no_stop", "tissue"))

Minutes = int | Missing | None
"""Least minutes; None: no wait is long enough."""


@dataclass(frozen=True)
class OwnInterval:
    """One diver's least interval by the governing method and by each of the two; `min` 0: no dive before.

    `asked_by` is `table`, `tissue` or `club`; None where ten minutes, the least there is, are enough.
    """

    diver: str
    min: int
    asked_by: str | None
    table_min: Minutes
    tissue_min: Minutes


@dataclass(frozen=True)
class Interval:
    """A team's least interval: whose it is (the longest), which method asks it, and how much more than was stated."""

    min: int
    diver: str | None
    more_min: int
    asked_by: str | None
    table_min: Minutes
    tissue_min: Minutes
    divers: tuple[OwnInterval, ...]


@dataclass(frozen=True)
class Never:
    """No interval makes the dive possible, and why."""

    why: str


def least_interval(
    dive: TeamDive, divers: Sequence[Diver], settings: TeamSettings, plan: TeamLimits, least_min: int
) -> Interval | Never | Missing:
    """The least interval with which every diver may make the whole dive, never under `least_min` (10 joins dives).

    Each diver's interval is counted from that diver's own last surfacing; the longest is the team's.
    """
    unknown = merge(d.limits[kind] for d in plan.divers for kind in counted(settings))
    if unknown is not None:
        return unknown
    for own in plan.divers:
        for kind in ("certified_depth", "oxygen", "gas"):
            limit = own.limits[kind]
            if (
                not isinstance(limit, Missing)
                and limit.seconds is not None
                and limit.seconds < dive.bottom_time_s
            ):
                ever = (
                    "what earlier dives used of it counts for 24 h"
                    if kind == "oxygen"
                    else "whatever the interval"
                )
                return Never(
                    f"The {LIMIT_NAMES[kind]} of diver {own.id} gives {limit.seconds // 60} min, {ever}."
                )
    found: list[OwnInterval] = []
    more = 0
    for diver in divers:
        state = state_before(diver.earlier, settings.dive)
        if not diver.earlier:
            if not lasts(dive, diver, settings, state):
                return never_without_dive(diver, settings)
            found.append(no_interval(diver.id))
            continue
        last_s = min(made.surfaced_s for made in diver.earlier)
        arrived = since_arrival(diver, state)
        if arrived is not None:
            return arrived
        own_least = own_interval(dive, diver, settings, replace(state, since_s=0), least_min)
        if isinstance(own_least, Never | Missing):
            return own_least
        found.append(own_least)
        more = max(more, own_least.min - last_s // 60)
    return together(found, more)


def since_arrival(diver: Diver, state: NitrogenState) -> Missing | None:
    """Missing where a diver's state counts from coming to this altitude: no interval is counted from that."""
    given = [made for made in diver.earlier or () if isinstance(made, EarlierState)]
    if not given or state.since_s == min(made.surfaced_s for made in diver.earlier or ()):
        return None
    return missing(f"an interval of diver {diver.id} since coming to this altitude")


def never_without_dive(diver: Diver, settings: TeamSettings) -> Never:
    return Never(
        f"{NO_STOP_NAME[settings.dive.method]} of diver {diver.id} is shorter even with no dive before."
    )


def no_interval(diver: str) -> OwnInterval:
    return OwnInterval(diver, 0, None, 0, 0)


def interval_after(
    dive: TeamDive,
    surfaced: Sequence[tuple[Diver, NitrogenState]],
    settings: TeamSettings,
    least_min: int,
) -> Interval | Never | Missing:
    """The least interval before `dive` of divers just surfaced; not known after a dive beyond its limit."""
    found: list[OwnInterval] = []
    for diver, state in surfaced:
        if state.barred:
            return BEYOND
        own = own_interval(dive, diver, settings, replace(state, since_s=0), least_min)
        if isinstance(own, Never | Missing):
            return own
        found.append(own)
    return together(found, 0)


def together(found: Sequence[OwnInterval], more_min: int) -> Interval:
    """The members' intervals as the team's: the longest, by each method too."""
    longest = no_interval("")
    for own in found:
        if own.min > longest.min:
            longest = own
    return Interval(
        longest.min,
        None if longest.diver == "" else longest.diver,
        more_min,
        longest.asked_by,
        _longest([own.table_min for own in found]),
        _longest([own.tissue_min for own in found]),
        tuple(found),
    )


def _longest(minutes: Sequence[Minutes]) -> Minutes:
    unknown = merge(minutes)
    if unknown is not None:
        return unknown
    longest = 0
    for each in minutes:
        if each is None:
            return None
        if not isinstance(each, Missing) and each > longest:
            longest = each
    return longest


def own_interval(
    dive: TeamDive, diver: Diver, settings: TeamSettings, surfaced: NitrogenState, least_min: int
) -> OwnInterval | Never | Missing:
    """One diver's least interval after `surfaced`, a state of this moment's surfacing."""
    low = max(least_min, LEAST_MIN)
    table = _least_by("table_no_stop", dive, diver, settings, surfaced, low)
    tissue = _least_by("tissue_no_stop", dive, diver, settings, surfaced, low)
    kinds = counted(settings)
    longest, asked_by = low, "club" if least_min > LEAST_MIN else None
    for (kind, name), minutes in zip(NO_STOP_KINDS, (table, tissue), strict=True):
        if kind not in kinds:
            continue
        if isinstance(minutes, Missing):
            return minutes
        if minutes is None:
            return Never(
                f"{NO_STOP_NAME[settings.dive.method]} of diver {diver.id} is shorter even "
                f"{LONGEST_WAIT_MIN // 1440} days later."
            )
        if minutes > longest:
            longest, asked_by = minutes, name
    return OwnInterval(diver.id, longest, asked_by, table, tissue)


def _least_by(
    kind: Kind,
    dive: TeamDive,
    diver: Diver,
    settings: TeamSettings,
    surfaced: NitrogenState,
    low: int,
) -> Minutes:
    at_last = _left(kind, dive, diver, settings, wait(surfaced, LONGEST_WAIT_MIN * 60))
    if isinstance(at_last, Missing):
        return at_last

    def holds(minutes: int) -> bool:
        return _covers(_left(kind, dive, diver, settings, wait(surfaced, minutes * 60)), dive.bottom_time_s)

    return least_minute(low, LONGEST_WAIT_MIN, holds)


def least_minute(low: int, high: int, holds: Callable[[int], bool]) -> int | None:
    """The least whole minute from `low` to `high` at which `holds`, which stays true once it is; None: at none."""
    if holds(low):
        return low
    if not holds(high):
        return None
    while high - low > 1:
        middle = floor_div(low + high, 2)
        if holds(middle):
            high = middle
        else:
            low = middle
    return high


def lasts(dive: TeamDive, diver: Diver, settings: TeamSettings, state: NitrogenState) -> bool:
    """Whether the governing no-stop limits cover the dive from this state."""
    kinds = counted(settings)
    return all(
        kind not in kinds or _covers(_left(kind, dive, diver, settings, state), dive.bottom_time_s)
        for kind, _ in NO_STOP_KINDS
    )


def _left(
    kind: Kind, dive: TeamDive, diver: Diver, settings: TeamSettings, state: NitrogenState
) -> int | Missing | None:
    found = no_stop(state, dive.depth, diver.mix, settings.dive, diver.caution, dive.next_longer)
    return found.table_left_s if kind == "table_no_stop" else found.tissue_left_s


def _covers(left: int | Missing | None, seconds: int) -> bool:
    return left is None or (not isinstance(left, Missing) and left >= seconds)
