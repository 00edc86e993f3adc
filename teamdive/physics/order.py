"""The day's dives in every order: how long each order makes the team wait, and which waits least.

Deeper after shallower: a workshop (Smithsonian Institution, 1999) found no reason to forbid it for no-stop dives
under 40 msw (130 fsw) that differ by less than 12 msw (40 fsw); animal work and chamber records disputed it. So
the deepest first is the default, the reverse is priced inside those bounds and refused past them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from teamdive.physics.cylinder import in_water
from teamdive.physics.dive import after, wait
from teamdive.physics.diver import Diver, DiverLimits, TeamDive, TeamSettings, diver_limits
from teamdive.physics.earlier import EarlierDive, state_before
from teamdive.physics.interval import (
    LEAST_MIN,
    Interval,
    Never,
    OwnInterval,
    interval_after,
    lasts,
    never_without_dive,
    no_interval,
    own_interval,
    since_arrival,
    together,
)
from teamdive.physics.known import Missing, missing
from teamdive.physics.nitrogen import NitrogenState
from teamdive.physics.profile import Dive, profile
from teamdive.physics.rounding import floor_div
from teamdive.physics.team import Bound, team_limits
from teamdive.physics.units import DepthUnit, depth_text
from teamdive.physics.waiting import waited

PERMUTATIONS = {
    2: ((0, 1), (1, 0)),
    3: ((0, 1, 2), (0, 2, 1), (1, 0, 2), (1, 2, 0), (2, 0, 1), (2, 1, 0)),
}
REVERSE: dict[DepthUnit, tuple[int, int]] = {"m": (4000, 1200), "ft": (13_000, 4000)}
"""Deeper after shallower: the deeper one is less than the first, they differ by less than the second (hundredths)."""


@dataclass(frozen=True)
class Leg:
    """One dive in its place: which of the dives asked, the wait before it, and the team's limit there."""

    dive: int
    wait: Interval
    waiting_min: int
    limit: Bound | Missing


@dataclass(frozen=True)
class Order:
    """The dives in one order and all the waiting it asks; `none` says why it is not possible at all."""

    dives: tuple[int, ...]
    legs: tuple[Leg, ...]
    waiting_min: int
    none: Never | Missing | None = None
    refused: str | None = None
    reverse: bool = False


@dataclass(frozen=True)
class _Member:
    """A diver at a moment of the day: with the dives made so far, and the state since the last surfacing."""

    diver: Diver
    state: NitrogenState


def orders(
    dives: Sequence[TeamDive], divers: Sequence[Diver], settings: TeamSettings, least_min: int
) -> tuple[Order, ...]:
    """Every order of two or three dives, the least waiting first; of equal ones the deepest first.

    The wait before the first dive is the least one; every later one is chosen so that the whole is least.
    """
    priced = [_priced(order, dives, divers, settings, least_min) for order in PERMUTATIONS[len(dives)]]

    def rank(order: Order) -> tuple[int, int, list[int]]:
        impossible = 2 if order.refused is not None else 1 if order.none is not None else 0
        return impossible, order.waiting_min, [-dives[i].depth.msw_e7 for i in order.dives]

    return tuple(sorted(priced, key=rank))


def refusal(order: Sequence[int], dives: Sequence[TeamDive]) -> tuple[bool, str | None]:
    """Whether a dive is deeper than one before it, and why that is refused (None: inside the bounds)."""
    reverse = False
    for position, later in enumerate(order):
        deeper = dives[later].depth
        for first in order[:position]:
            shallower = dives[first].depth
            if deeper.hundredths <= shallower.hundredths:
                continue
            reverse = True
            deepest, apart = REVERSE[deeper.unit]
            if deeper.hundredths >= deepest or deeper.hundredths - shallower.hundredths >= apart:
                bounds = (
                    "under 40 m and less than 12 m"
                    if deeper.unit == "m"
                    else "under 130 ft and less than 40 ft"
                )
                return True, (
                    f"{depth_text(deeper)} after {depth_text(shallower)}: deeper later is only for no-stop dives "
                    f"{bounds} apart. Dive the deeper one first."
                )
    return reverse, None


def _priced(
    order: tuple[int, ...],
    dives: Sequence[TeamDive],
    divers: Sequence[Diver],
    settings: TeamSettings,
    least_min: int,
) -> Order:
    reverse, refused = refusal(order, dives)
    if refused is not None:
        return Order(order, (), 0, refused=refused, reverse=reverse)
    members = [_Member(diver, state_before(diver.earlier, settings.dive)) for diver in divers]
    before = _before_first(dives[order[0]], members, settings, least_min)
    if isinstance(before, Never | Missing):
        return Order(order, (), 0, none=before, reverse=reverse)
    waiting = max(0, before.more_min)
    rested = _waited(members, waiting * 60)
    rest = _from(order, 0, before, waiting, dives, rested, settings, least_min)
    if isinstance(rest, Never | Missing):
        return Order(order, (), 0, none=rest, reverse=reverse)
    return Order(order, rest, _total(rest), reverse=reverse)


def _from(
    order: tuple[int, ...],
    place: int,
    before: Interval,
    waiting: int,
    dives: Sequence[TeamDive],
    members: Sequence[_Member],
    settings: TeamSettings,
    least_min: int,
) -> tuple[Leg, ...] | Never | Missing:
    """This dive by members who have waited, and the rest of the order after it, with the least waiting."""
    dive = dives[order[place]]
    limits = [_limits(dive, member, settings) for member in members]
    leg = Leg(order[place], before, waiting, team_limits(dive, limits, settings).limit)
    if place + 1 == len(order):
        return (leg,)
    surfaced = [_dived(dive, member, settings) for member in members]
    coming = dives[order[place + 1]]
    interval = interval_after(coming, [(m.diver, m.state) for m in surfaced], settings, least_min)
    if isinstance(interval, Never | Missing):
        return interval
    best = _from(
        order,
        place + 1,
        interval,
        interval.min,
        dives,
        _waited(surfaced, interval.min * 60),
        settings,
        least_min,
    )
    if isinstance(best, Never | Missing):
        return best
    # A longer wait here shortens a later one by more only where it lowers somebody's group.
    searched = place + 2 < len(order) and settings.dive.method != "tissue"
    for minutes in range(interval.min + 1, _total(best) - LEAST_MIN if searched else 0):
        if minutes + LEAST_MIN >= _total(best):
            break
        if not any(_group_falls(member, minutes) for member in surfaced):
            continue
        later = _waited(surfaced, minutes * 60)
        rest = _from(order, place + 1, interval, minutes, dives, later, settings, least_min)
        if not isinstance(rest, Never | Missing) and _total(rest) < _total(best):
            best = rest
    return (leg, *best)


def _limits(dive: TeamDive, member: _Member, settings: TeamSettings) -> DiverLimits:
    """A member's limits, the gauge read in the water of this dive."""
    diver, cylinder = member.diver, member.diver.cylinder
    if not isinstance(cylinder, Missing):
        diver = replace(diver, cylinder=in_water(cylinder, dive.water_c, settings.pressure_unit))
    return diver_limits(dive, diver, settings, member.state)


def _total(legs: Sequence[Leg]) -> int:
    return sum(leg.waiting_min for leg in legs)


def _before_first(
    dive: TeamDive, members: Sequence[_Member], settings: TeamSettings, least_min: int
) -> Interval | Never | Missing:
    """The wait before the first dive, counted from each diver's last surfacing; none for a diver without one."""
    found: list[OwnInterval] = []
    more = 0
    for member in members:
        diver = member.diver
        if diver.earlier is None:
            return missing(f"earlier dives of diver {diver.id}")
        if diver.earlier == ():
            if not lasts(dive, diver, settings, member.state):
                return never_without_dive(diver, settings)
            found.append(no_interval(diver.id))
            continue
        arrived = since_arrival(diver, member.state)
        if arrived is not None:
            return arrived
        own = own_interval(dive, diver, settings, replace(member.state, since_s=0), least_min)
        if isinstance(own, Never | Missing):
            return own
        found.append(own)
        more = max(more, own.min - floor_div(member.state.since_s, 60))
    return together(found, more)


def _group_falls(member: _Member, minutes: int) -> bool:
    """Whether a diver's group is another one at this minute of the interval than a minute before."""
    return wait(member.state, minutes * 60).group() != wait(member.state, (minutes - 1) * 60).group()


def _waited(members: Sequence[_Member], seconds: int) -> list[_Member]:
    return [_Member(waited(member.diver, seconds), wait(member.state, seconds)) for member in members]


def _dived(dive: TeamDive, member: _Member, settings: TeamSettings) -> _Member:
    """A member on surfacing from the whole dive."""
    diver = member.diver
    made = Dive(dive.depth, dive.bottom_time_s, diver.mix, 0, diver.caution, dive.next_longer)
    _, state = after(member.state, made, settings.dive)
    run_s = sum(segment[2] for segment in profile(made, settings.dive))
    before = waited(diver, run_s).earlier or ()
    now = EarlierDive(dive.depth, dive.bottom_time_s, diver.mix, 0)
    return _Member(replace(diver, earlier=(*before, now)), state)
