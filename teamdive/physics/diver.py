"""One diver on one dive: every limit that no team-mate changes, and how fast that diver breathes.

Times are whole seconds of bottom time, descent included; pressures are gauge pressures in the unit of
the settings; RMV is litres a minute at the surface.
"""

from __future__ import annotations

from dataclasses import dataclass

from teamdive.physics import gas
from teamdive.physics.breathing import PUBLISHED, Breathing, current_multiplier, upper_rate, work_multiplier
from teamdive.physics.cylinder import Along, Cylinder
from teamdive.physics.dive import NitrogenState, NoStop, no_stop
from teamdive.physics.earlier import Earlier, EarlierState, state_before
from teamdive.physics.known import Missing, missing
from teamdive.physics.oxygen import Mix, exposure_share, mod
from teamdive.physics.profile import DAY_S, Dive, Settings, profile
from teamdive.physics.rmv_log import Rate
from teamdive.physics.units import Depth, DepthUnit, deeper, depth_text

SAME_QUALIFICATION = (
    (Depth(1800, "m"), Depth(6000, "ft")),
    (Depth(3000, "m"), Depth(10000, "ft")),
    (Depth(4000, "m"), Depth(13000, "ft")),
)
LONGEST_S = 86_400
HARD_WORK = ("hard", "severe")


@dataclass(frozen=True)
class Limit:
    """A longest bottom time in seconds (None: without end) and the sentence that explains it."""

    seconds: int | None
    reason: str


@dataclass(frozen=True)
class Rmv:
    """A diver's ordinary working mean in L/min, its standard deviation, or the club's margin in its place.

    `log` where mean and deviation come from the diver's log.
    """

    mean: float | None
    sd: float | None
    margin_percent: float | None
    log: Rate | None = None


@dataclass(frozen=True)
class Sharing:
    """How two come up on one cylinder: L/min of a stressed diver, minutes, and two gauge pressures."""

    stressed_rmv_l_min: float
    delay_min: float
    surface_reserve: float
    regulator_minimum: float


@dataclass(frozen=True)
class Diver:
    """What is known of a diver. `earlier` is None where it is not known whether there were dives."""

    id: str
    certified_depth: Depth | None
    rmv: Rmv
    cylinder: Cylinder | Missing
    mix: Mix
    not_analysed: str | None
    earlier: tuple[Earlier, ...] | None
    caution: int
    can_share: bool
    stretched: bool


@dataclass(frozen=True)
class TeamDive:
    """The dive asked. `way` is `same_point`, `free_ascent` or None; `along` is out and back along a current."""

    depth: Depth
    bottom_time_s: int
    work: str
    current_kn: float
    way: str | None
    stop_depth: Depth
    stop_min: float
    task_unit_min: float | None
    cold_or_hard: bool
    along: Along | None = None
    water_c: float | None = None

    @property
    def next_longer(self) -> bool:
        """Whether the table is entered at the next longer time: a cold or a hard dive."""
        return self.cold_or_hard or self.work in HARD_WORK


@dataclass(frozen=True)
class TeamSettings:
    """What holds for the whole answer. The units are those of every gauge pressure and of cylinder volumes."""

    dive: Settings
    sharing: Sharing
    pressure_unit: str
    volume_unit: str
    max_ppo2_bar: float
    breathing: Breathing = PUBLISHED
    turn_rule: str | None = None


@dataclass(frozen=True)
class DiverLimits:
    """What one diver brings to any team on this dive: every limit but gas, and what gas needs."""

    diver: Diver
    state: NitrogenState
    no_stop: NoStop
    limits: dict[str, Limit | Missing]
    mod: Depth | Missing
    multiplier: float | None
    rate_l_min: float | Missing
    sharing_rate_l_min: float | Missing
    sharing_minutes: float
    own_litres: float | Missing


def said(x: float) -> str:
    """A number in a sentence: to one decimal, none where it is whole."""
    tenths = int(x * 10 + 0.5)
    return str(tenths // 10) if tenths % 10 == 0 else f"{tenths // 10}.{tenths % 10}"


def qualified(depth: Depth, certified: Depth) -> bool:
    """Whether a certified depth covers a dive; 18 m/60 ft, 30/100 and 40/130 are equal here and only here."""
    if depth.msw_e7 <= certified.msw_e7:
        return True
    for metres, feet in SAME_QUALIFICATION:
        if certified in (metres, feet) and depth.unit != certified.unit:
            return depth.msw_e7 <= deeper(metres, feet).msw_e7
    return False


def diver_limits(
    dive: TeamDive, diver: Diver, settings: TeamSettings, state: NitrogenState | None = None
) -> DiverLimits:
    """The limits of one diver that no team-mate changes. `state` stands in for the one after `diver.earlier`."""
    before = state_before(diver.earlier, settings.dive) if state is None else state
    found = no_stop(before, dive.depth, diver.mix, settings.dive, diver.caution, dive.next_longer)
    mod_ = mod_of(diver, settings, dive.depth.unit)
    multiplier = rate_multiplier(dive, settings.breathing)
    rate = planning_rate(diver, multiplier, dive)
    stressed = settings.sharing.stressed_rmv_l_min
    ascent = gas.ascent(dive.depth.msw, settings.dive.ascent.msw, dive.stop_depth.msw, dive.stop_min)
    limits: dict[str, Limit | Missing] = {
        "certified_depth": _certified(dive, diver),
        "oxygen": _oxygen(dive, diver, mod_, settings),
        "table_no_stop": _no_stop(found.table_left_s, diver, _table_reason(found)),
        "tissue_no_stop": _no_stop(found.tissue_left_s, diver, _tissue_reason(settings, diver)),
        "planned": Limit(dive.bottom_time_s, "The bottom time that was asked."),
    }
    return DiverLimits(
        diver=diver,
        state=before,
        no_stop=found,
        limits=limits,
        mod=mod_,
        multiplier=multiplier,
        rate_l_min=rate,
        sharing_rate_l_min=rate if isinstance(rate, Missing) or rate > stressed else stressed,
        sharing_minutes=gas.pressure_minutes(((settings.sharing.delay_min, dive.depth.msw), *ascent)),
        own_litres=rate if isinstance(rate, Missing) else rate * gas.pressure_minutes(ascent),
    )


def mod_of(diver: Diver, settings: TeamSettings, unit: DepthUnit) -> Depth | Missing:
    """The deepest a diver may take the gas, in whole metres or feet, rounded down."""
    if diver.not_analysed is not None:
        return missing(diver.not_analysed)
    return mod(diver.mix, settings.max_ppo2_bar, unit)


def rate_multiplier(dive: TeamDive, model: Breathing) -> float | None:
    """Work times current; None in a current without a figure."""
    current = current_multiplier(dive.current_kn, model)
    return None if current is None else work_multiplier(dive.work, model) * current


def planning_rate(diver: Diver, multiplier: float | None, dive: TeamDive) -> float | Missing:
    """L/min at the surface: the upper 95 % of the spread, else the mean with its margin, times work and current."""
    rmv = diver.rmv
    lacking = []
    if rmv.mean is None:
        lacking.append(f"RMV of diver {diver.id}")
    if rmv.sd is None and rmv.margin_percent is None:
        lacking.append(
            f"spread of the RMV of diver {diver.id} (rmv_sd_l_min), or the club's gas_margin_percent"
        )
    if multiplier is None:
        lacking.append(f"breathing rate in {said(dive.current_kn)} kn (current_kn is the speed swum against)")
    if rmv.mean is None or multiplier is None or lacking:
        return Missing(tuple(lacking))
    if rmv.sd is not None:
        return upper_rate(rmv.mean, rmv.sd) * multiplier
    margin = 0.0 if rmv.margin_percent is None else rmv.margin_percent
    return rmv.mean * (100.0 + margin) / 100.0 * multiplier


def _certified(dive: TeamDive, diver: Diver) -> Limit | Missing:
    if diver.certified_depth is None:
        return missing(f"certified depth of diver {diver.id}")
    depth = depth_text(diver.certified_depth)
    if qualified(dive.depth, diver.certified_depth):
        return Limit(None, f"Certified to {depth}.")
    return Limit(0, f"Certified to {depth}, not to {depth_text(dive.depth)}.")


def _oxygen(dive: TeamDive, diver: Diver, mod_: Depth | Missing, settings: TeamSettings) -> Limit | Missing:
    oxygen_e4 = diver.mix.oxygen_e4
    if isinstance(mod_, Missing):
        return mod_
    if isinstance(oxygen_e4, Missing):
        return _whose(oxygen_e4, diver)
    if dive.depth.msw_e7 > mod_.msw_e7:
        return Limit(0, f"The gas may be taken to {depth_text(mod_)} and no deeper.")
    used = _oxygen_used(diver, settings)
    if isinstance(used, Missing):
        return used
    low, high = 0, LONGEST_S
    while high - low > 1:
        middle = (low + high) // 2
        share = exposure_share(profile(Dive(dive.depth, middle, diver.mix), settings.dive), oxygen_e4)
        if isinstance(share, Missing):
            return _whose(share, diver)
        if used + share <= 1.0:
            low = middle
        else:
            high = middle
    return Limit(
        low, "Oxygen: the limit of a single exposure, less what the dives of the last 24 h used of it."
    )


def _oxygen_used(diver: Diver, settings: TeamSettings) -> float | Missing:
    """Share of the single-exposure limit that the dives of the last 24 h used.

    Nothing is taken back for time at the surface within them; the NOAA limits are for one exposure and for 24 hours.
    """
    if diver.earlier is None:
        return missing(f"earlier dives of diver {diver.id}")
    used = 0.0
    for made in diver.earlier:
        if made.surfaced_s >= DAY_S:
            continue
        if isinstance(made, EarlierState):
            share = _oxygen_of(made)
            if isinstance(share, Missing):
                return _whose(share, diver)
            used = used + share
            continue
        oxygen_e4 = made.mix.oxygen_e4
        if isinstance(oxygen_e4, Missing):
            return missing(f"analysis of the gas of an earlier dive of diver {diver.id}")
        share = exposure_share(
            profile(Dive(made.depth, made.bottom_time_s, made.mix), settings.dive), oxygen_e4
        )
        if isinstance(share, Missing):
            return _whose(share, diver)
        used = used + share
    return used


def _oxygen_of(made: EarlierState) -> float | Missing:
    """Share of the single-exposure limit that the exposures behind a state used in the 24 h before the dive."""
    oxygen = made.kept.oxygen
    if isinstance(oxygen, Missing):
        return oxygen
    used = 0.0
    for exposure in oxygen:
        if made.surfaced_s - exposure.end_s < DAY_S:
            if isinstance(exposure.single, Missing):
                return exposure.single
            used = used + exposure.single
    return used


def _whose(unknown: Missing, diver: Diver) -> Missing:
    return Missing(tuple(f"{what} (diver {diver.id})" for what in unknown.what))


def _no_stop(left: int | Missing | None, diver: Diver, reason: str) -> Limit | Missing:
    if diver.earlier is None:
        return missing(f"earlier dives of diver {diver.id}")
    if isinstance(left, Missing):
        return _whose(left, diver)
    return Limit(left, reason)


def _table_reason(found: NoStop) -> str:
    row, limit, residual = found.table_depth_fsw, found.no_stop_limit_min, found.residual_nitrogen_time_min
    if limit is None:
        return f"The {row} fsw row of the table has no limit."
    steps = f", entered {found.steps} longer (cold, hard or cautious)" if found.steps > 0 else ""
    return f"The {row} fsw row of the table{steps}: {limit} min, less {residual} min residual nitrogen time."


def _tissue_reason(settings: TeamSettings, diver: Diver) -> str:
    high = settings.dive.gf_high_pm // 10 - 5 * diver.caution
    return f"A straight ascent surfaces within gradient factor {high} % of the tissue model."
