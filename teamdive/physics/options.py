"""One change at a time: what would buy a team time, what a deeper, longer or sooner dive would cost.

Each answer solves the whole team again with one thing changed. Steps of the changes are our own choice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from teamdive.physics.cylinder import STEP, Cylinder
from teamdive.physics.diver import HARD_WORK, Diver, DiverLimits, TeamDive, TeamSettings, diver_limits
from teamdive.physics.known import Missing
from teamdive.physics.nitrogen import JOIN_S
from teamdive.physics.oxygen import Mix, mod
from teamdive.physics.rounding import scaled_nearest
from teamdive.physics.team import Bound, TeamLimits, team_limits
from teamdive.physics.units import Depth

LARGER = {"l": (2, 5), "cuft": (20, 40)}
DEPTH_STEP = {"m": 300, "ft": 1000}
INTERVAL_STEP_S = 1800
LONGER_S = 300
RICHER_O2_E4 = (3200, 3600)
LEANER_O2_E4 = (3200, 2800, 2100)
EASY_KN = 0.5
WORTH_S = 120
TRIED = {
    "gas": ("larger_cylinder", "fuller_fill", "longer_interval", "other_gas"),
    "table_no_stop": ("larger_cylinder", "fuller_fill", "easier_work", "fixed_line"),
    "tissue_no_stop": ("larger_cylinder", "fuller_fill", "easier_work", "fixed_line"),
    "oxygen": ("longer_interval",),
    "certified_depth": (),
}
"""What people try against a limit, so that it is worth saying when it gains nothing."""


@dataclass(frozen=True)
class Change:
    """One thing changed: which, whose (None: everyone's), by and to how much in `unit`, and the question with it.

    `other` is who dives in that diver's place.
    """

    code: str
    diver: str | None
    by: float | None
    to: float | None
    unit: str
    dive: TeamDive
    divers: tuple[Diver, ...]
    other: str | None = None


@dataclass(frozen=True)
class Outcome:
    """The team's limit after a change, and what it gained in seconds."""

    change: Change
    limit: Bound
    gain_s: int


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
    dive: TeamDive,
    divers: Sequence[Diver],
    settings: TeamSettings,
    plan: TeamLimits,
    alternatives: Sequence[Diver] = (),
) -> tuple[Outcome, ...]:
    """The changes that give the team at least two minutes, and of those one would try, the ones that give none.

    `alternatives` are who else could dive in place of the diver whose limit it is.
    Nothing is offered where the plan itself is what ends the dive, or where the limit is not known.
    """
    if isinstance(plan.limit, Missing) or plan.limit.limited_by == "planned":
        return ()
    found: list[Outcome] = []
    for change in (
        *_changes(dive, divers, settings, plan),
        *_partners(dive, divers, plan.limit, alternatives),
    ):
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
    found = _more_gas(dive, everyone, settings, plan)
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
    if dive.work in HARD_WORK:
        easier = replace(dive, work="moderate")
        found.append(Change("easier_work", None, None, None, "", easier, everyone))
    if dive.current_kn > EASY_KN:
        pulling = replace(dive, current_kn=EASY_KN)
        found.append(Change("fixed_line", None, None, EASY_KN, "kn", pulling, everyone))
    return found + _other_gases(dive, everyone, settings, plan)


def _other_gases(
    dive: TeamDive, divers: tuple[Diver, ...], settings: TeamSettings, plan: TeamLimits
) -> list[Change]:
    """Richer gas, or leaner where oxygen is what ends the dive, each analysed; none deeper than it may be taken."""
    oxygen = not isinstance(plan.limit, Missing) and plan.limit.limited_by == "oxygen"
    found = []
    for o2_e4 in LEANER_O2_E4 if oxygen else RICHER_O2_E4:
        other = Mix(o2_e4, True)
        deepest = mod(other, settings.max_ppo2_bar, dive.depth.unit)
        if isinstance(deepest, Missing) or dive.depth.msw_e7 > deepest.msw_e7:
            continue
        team = tuple(_leaner(diver, other) if oxygen else _richer(diver, other) for diver in divers)
        if any(a is not b for a, b in zip(team, divers, strict=True)):
            found.append(Change("other_gas", None, None, o2_e4 / 10_000, "o2_fraction", dive, team))
    return found


def _richer(diver: Diver, mix: Mix) -> Diver:
    """The diver on a richer gas, had they analysed it; unchanged on one that is as rich."""
    if diver.mix.o2_e4 is None or diver.mix.o2_e4 >= (mix.o2_e4 or 0):
        return diver
    return replace(diver, mix=mix, not_analysed=None)


def _leaner(diver: Diver, mix: Mix) -> Diver:
    """The diver on a leaner gas, had they analysed it; unchanged on one that is as lean."""
    if diver.mix.o2_e4 is None or diver.mix.o2_e4 <= (mix.o2_e4 or 0):
        return diver
    return replace(diver, mix=mix, not_analysed=None)


def _partners(
    dive: TeamDive, divers: Sequence[Diver], limit: Bound, alternatives: Sequence[Diver]
) -> list[Change]:
    """The team without the diver whose limit it is, where two are left, and with each who could dive in that place."""
    others = tuple(diver for diver in divers if diver.id != limit.diver)
    if len(others) == len(divers):
        return []
    found = []
    if len(others) > 1:
        found.append(Change("without", limit.diver, None, None, "", dive, others))
    for other in alternatives:
        team = tuple(other if diver.id == limit.diver else diver for diver in divers)
        found.append(Change("other_partner", limit.diver, None, None, "", dive, team, other.id))
    return found


def _more_gas(
    dive: TeamDive, divers: tuple[Diver, ...], settings: TeamSettings, plan: TeamLimits
) -> list[Change]:
    """For the diver whose gas ends first: a larger cylinder at the same pressure, a fill to the working pressure."""
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
    return found + _fuller_fill(dive, divers, who, cylinder, settings)


def _fuller_fill(
    dive: TeamDive, divers: tuple[Diver, ...], who: int, cylinder: Cylinder, settings: TeamSettings
) -> list[Change]:
    """A fill to the working pressure, of the same gas and as warm, where at least a step of the gauge is lacking."""
    working, filled, unit = cylinder.working, cylinder.filled, settings.pressure_unit
    if working is None or filled is None or working - filled < STEP[unit]:
        return []
    fuller = replace(divers[who], cylinder=replace(cylinder, start=cylinder.full, filled=working))
    team = (*divers[:who], fuller, *divers[who + 1 :])
    by = scaled_nearest(working - filled, 10) / 10
    return [Change("fuller_fill", fuller.id, by, working, unit, dive, team)]


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
