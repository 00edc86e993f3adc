"""One change at a time: what would buy a team time, what a deeper, longer or sooner dive would cost, how long to wait.

Each answer solves the whole team again with one thing changed. Steps of the changes are our own choice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from teamdive.physics.dive import no_stop, state_before, wait
from teamdive.physics.diver import HARD_WORK, Diver, DiverLimits, TeamDive, TeamSettings, diver_limits
from teamdive.physics.known import Missing, merge
from teamdive.physics.nitrogen import JOIN_S, NitrogenState
from teamdive.physics.oxygen import Mix, mod
from teamdive.physics.team import LIMIT_NAMES, Bound, TeamLimits, counted, team_limits
from teamdive.physics.units import Depth

LARGER = {"l": (2, 5), "cuft": (20, 40)}
DEPTH_STEP = {"m": 300, "ft": 1000}
INTERVAL_STEP_S = 1800
LONGER_S = 300
OTHER_O2_E4 = (3200, 3600)
EASY_KN = 0.5
WORTH_S = 120
TRIED = {
    "gas": ("larger_cylinder", "longer_interval", "other_gas"),
    "table_no_stop": ("larger_cylinder", "easier_work"),
    "tissue_no_stop": ("larger_cylinder", "easier_work"),
    "oxygen": (),
    "certified_depth": (),
}
"""What people try against a limit, so that it is worth saying when it gains nothing."""
LONGEST_WAIT_MIN = 3 * 1440


@dataclass(frozen=True)
class Change:
    """One thing changed: which, whose (None: everyone's), by and to how much in `unit`, and the question with it."""

    code: str
    diver: str | None
    by: float | None
    to: float | None
    unit: str
    dive: TeamDive
    divers: tuple[Diver, ...]


@dataclass(frozen=True)
class Outcome:
    """The team's limit after a change, and what it gained in seconds."""

    change: Change
    limit: Bound
    gain_s: int


@dataclass(frozen=True)
class Interval:
    """The least surface interval in minutes, whose it is, and how many minutes more than was stated."""

    min: int
    diver: str | None
    more_min: int


@dataclass(frozen=True)
class Never:
    """No interval makes the dive possible, and why."""

    why: str


def solve(
    dive: TeamDive, divers: Sequence[Diver], settings: TeamSettings
) -> tuple[tuple[DiverLimits, ...], TeamLimits]:
    """Every diver's part, and the team."""
    members = tuple(diver_limits(dive, diver, settings) for diver in divers)
    return members, team_limits(dive, members, settings)


def shifted(diver: Diver, seconds: int) -> Diver:
    """The diver with the coming dive that much later; no interval gets under the ten minutes that join dives."""
    if not diver.earlier:
        return diver
    last = min(made.surfaced_s for made in diver.earlier)
    by = seconds if last + seconds >= JOIN_S else min(0, JOIN_S - last)
    return replace(
        diver, earlier=tuple(replace(made, surfaced_s=made.surfaced_s + by) for made in diver.earlier)
    )


# --- what would buy time -----------------------------------------------------------------------------------


def buys_time(
    dive: TeamDive, divers: Sequence[Diver], settings: TeamSettings, plan: TeamLimits
) -> tuple[Outcome, ...]:
    """The changes that give the team at least two minutes, and of those one would try, the ones that give none.

    Nothing is offered where the plan itself is what ends the dive, or where the limit is not known.
    """
    if isinstance(plan.limit, Missing) or plan.limit.limited_by == "planned":
        return ()
    found: list[Outcome] = []
    for change in _changes(dive, divers, settings, plan):
        _, changed = solve(change.dive, change.divers, settings)
        if isinstance(changed.limit, Missing):
            continue
        gain = changed.limit.seconds // 6 - plan.limit.seconds // 6
        said_already = any(o.change.code == change.code for o in found)
        in_vain = gain == 0 and change.code in TRIED[plan.limit.limited_by] and not said_already
        if gain * 6 >= WORTH_S or in_vain:
            found.append(Outcome(change, changed.limit, gain * 6))
    return tuple(found)


def _changes(
    dive: TeamDive, divers: Sequence[Diver], settings: TeamSettings, plan: TeamLimits
) -> list[Change]:
    everyone = tuple(divers)
    step = DEPTH_STEP[dive.depth.unit]
    found = _larger_cylinders(dive, everyone, settings, plan)
    if dive.depth.hundredths > step:
        shallower = Depth(dive.depth.hundredths - step, dive.depth.unit)
        found.append(
            Change(
                "shallower",
                None,
                step / 100,
                shallower.number,
                dive.depth.unit,
                replace(dive, depth=shallower),
                everyone,
            )
        )
    if any(diver.earlier for diver in divers):
        later = tuple(shifted(diver, INTERVAL_STEP_S) for diver in divers)
        found.append(Change("longer_interval", None, INTERVAL_STEP_S / 60, None, "min", dive, later))
    if dive.work in HARD_WORK or dive.current_kn > EASY_KN:
        easier = replace(dive, work="moderate", current_kn=min(dive.current_kn, EASY_KN))
        found.append(Change("easier_work", None, None, None, "", easier, everyone))
    for o2_e4 in OTHER_O2_E4:
        other = Mix(o2_e4, True)
        deepest = mod(other, settings.max_ppo2_bar, dive.depth.unit)
        if not isinstance(deepest, Missing) and dive.depth.msw_e7 <= deepest.msw_e7:
            richer = tuple(_on(diver, other) for diver in divers)
            if any(a is not b for a, b in zip(richer, everyone, strict=True)):
                found.append(Change("other_gas", None, None, o2_e4 / 10_000, "o2_fraction", dive, richer))
    return found


def _on(diver: Diver, mix: Mix) -> Diver:
    """The diver on a richer gas, had they analysed it; unchanged on one that is as rich."""
    if diver.mix.o2_e4 is None or diver.mix.o2_e4 >= (mix.o2_e4 or 0):
        return diver
    return replace(diver, mix=mix, not_analysed=None)


def _larger_cylinders(
    dive: TeamDive, divers: tuple[Diver, ...], settings: TeamSettings, plan: TeamLimits
) -> list[Change]:
    """A larger cylinder, at the same pressure, for the diver whose gas ends first."""
    lasting = [own.limits["gas"] for own in plan.divers]
    known = [
        (limit.seconds, i)
        for i, limit in enumerate(lasting)
        if not isinstance(limit, Missing) and limit.seconds is not None
    ]
    if not known:
        return []
    who = min(known)[1]
    cylinder = divers[who].cylinder
    if isinstance(cylinder, Missing):
        return []
    found = []
    for by in LARGER[settings.volume_unit]:
        larger = replace(divers[who], cylinder=replace(cylinder, volume=cylinder.volume + by))
        team = (*divers[:who], larger, *divers[who + 1 :])
        found.append(
            Change("larger_cylinder", larger.id, by, cylinder.volume + by, settings.volume_unit, dive, team)
        )
    return found


# --- what if -----------------------------------------------------------------------------------------------


def what_if(dive: TeamDive, divers: Sequence[Diver]) -> tuple[Change, ...]:
    """Deeper, longer, and a shorter interval where there are earlier dives."""
    everyone = tuple(divers)
    step = DEPTH_STEP[dive.depth.unit]
    deeper = replace(dive, depth=Depth(dive.depth.hundredths + step, dive.depth.unit))
    longer = replace(dive, bottom_time_s=dive.bottom_time_s + LONGER_S)
    found = [
        Change("deeper", None, step / 100, deeper.depth.number, dive.depth.unit, deeper, everyone),
        Change("longer", None, LONGER_S / 60, longer.bottom_time_s / 60, "min", longer, everyone),
    ]
    sooner = tuple(shifted(diver, -INTERVAL_STEP_S) for diver in divers)
    less_s = max(
        (
            a.earlier[0].surfaced_s - b.earlier[0].surfaced_s
            for a, b in zip(everyone, sooner, strict=True)
            if a.earlier and b.earlier
        ),
        default=0,
    )
    if less_s > 0:
        found.append(Change("shorter_interval", None, less_s // 60, None, "min", dive, sooner))
    return tuple(found)


# --- the least surface interval ----------------------------------------------------------------------------


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
    longest = Interval(0, None, 0)
    more = 0
    for diver in divers:
        if not diver.earlier:
            if not _lasts(dive, diver, settings, state_before(diver.earlier, settings.dive)):
                return Never(
                    f"{NO_STOP_NAME[settings.dive.method]} of diver {diver.id} is shorter even with no dive before."
                )
            continue
        found = _own_least(dive, diver, settings, least_min)
        if found is None:
            return Never(
                f"{NO_STOP_NAME[settings.dive.method]} of diver {diver.id} is shorter even "
                f"{LONGEST_WAIT_MIN // 1440} days later."
            )
        stated = min(made.surfaced_s for made in diver.earlier) // 60
        more = max(more, found - stated)
        if found > longest.min:
            longest = Interval(found, diver.id, 0)
    return replace(longest, more_min=more)


NO_STOP_NAME = {
    "shorter": "The no-stop limit",
    "table": "The no-stop limit of the table",
    "tissue": "The no-stop limit of the tissue model",
}


def _own_least(dive: TeamDive, diver: Diver, settings: TeamSettings, least_min: int) -> int | None:
    """One diver's least interval in whole minutes by bisection (waiting never shortens a limit); None: never."""
    surfaced = replace(state_before(diver.earlier, settings.dive), since_s=0)
    low = least_min if least_min * 60 > JOIN_S else JOIN_S // 60
    if _lasts(dive, diver, settings, wait(surfaced, low * 60)):
        return low
    high = LONGEST_WAIT_MIN
    if not _lasts(dive, diver, settings, wait(surfaced, high * 60)):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        if _lasts(dive, diver, settings, wait(surfaced, middle * 60)):
            high = middle
        else:
            low = middle
    return high


def _lasts(dive: TeamDive, diver: Diver, settings: TeamSettings, state: NitrogenState) -> bool:
    """Whether the governing no-stop limits cover the dive from this state."""
    found = no_stop(state, dive.depth, diver.mix, settings.dive, diver.caution, dive.next_longer)
    kinds = counted(settings)
    for kind, left in (("table_no_stop", found.table_left_s), ("tissue_no_stop", found.tissue_left_s)):
        if kind in kinds and (isinstance(left, Missing) or (left is not None and left < dive.bottom_time_s)):
            return False
    return True
