"""What an overstay obliges: the ascent with stops that the tissue model asks once its no-stop limit is passed.

Never a plan: a team without stops stays within its limit, and nothing here lengthens one.

Gradient factors after Baker (Clearing Up the Confusion About Deep Stops, 1998): the low one governs the first stop,
the high one surfacing, on a straight line between them. The first stop is the deepest step from which the next one
up would be above the ceiling of the low factor. Stops are at steps of 3 m or 10 ft; a stop is left for the next
step when the tensions on arrival there, after the ascent at the stated rate, are within that step's factor.
"""

from __future__ import annotations

from dataclasses import dataclass

from teamdive.physics import tissues
from teamdive.physics.known import Missing, missing
from teamdive.physics.nitrogen import NitrogenState, no_stop, open_before
from teamdive.physics.oxygen import Mix
from teamdive.physics.profile import DAY_S, Dive, Settings, breathe, gf_high, profile
from teamdive.physics.rounding import minutes_up, scaled_up
from teamdive.physics.tissues import Tissues
from teamdive.physics.units import BAR_PER_MSW, FSW_IN_MSW, Depth, DepthUnit, exact_travel_s, travel_s

STEP: dict[DepthUnit, int] = {"m": 300, "ft": 1000}
"""Distance of the stops in hundredths: 3 m or 10 ft."""


@dataclass(frozen=True)
class Stop:
    """A stop at a depth for whole seconds."""

    depth: Depth
    seconds: int

    @property
    def minutes(self) -> int:
        """As shown and kept: whole minutes, rounded up."""
        return minutes_up(self.seconds)


@dataclass(frozen=True)
class Ascent:
    """From leaving the bottom to the surface: the stops, deepest first (none: a straight ascent), and the way.

    `ceiling` is that of the low factor on leaving the bottom, rounded up (deeper) to a hundredth.
    """

    stops: tuple[Stop, ...]
    travel_s: int
    ceiling: Depth

    @property
    def stop_s(self) -> int:
        return sum(stop.seconds for stop in self.stops)

    @property
    def stop_min(self) -> int:
        return sum(stop.minutes for stop in self.stops)

    @property
    def minutes(self) -> int:
        """The whole ascent with its stops as shown."""
        return minutes_up(self.travel_s) + self.stop_min


@dataclass(frozen=True)
class _Way:
    """How this ascent is made: on which gas, at which rate, between which factors."""

    mix: Mix
    settings: Settings
    gf_low: float
    gf_high: float

    def bar(self, at: Depth) -> float:
        return self.settings.surface_bar + at.bar

    def seconds(self, start: Depth, end: Depth) -> float:
        """Exactly at the rate: a second more for each step would add up."""
        return exact_travel_s(Depth(start.hundredths - end.hundredths, start.unit), self.settings.ascent)

    def up(self, state: Tissues, start: Depth, end: Depth, seconds: float) -> Tissues:
        return tissues.linear(state, self.bar(start), self.bar(end), self.mix.n2, seconds, self.mix.he)

    def arrives(self, state: Tissues, start: Depth, end: Depth, gf: float) -> Tissues | None:
        """Tensions after going up to a depth, None where they are above the ceiling there."""
        moved = self.up(state, start, end, self.seconds(start, end))
        return moved if tissues.tolerates(moved, self.bar(end), gf) else None

    def stays(self, state: Tissues, at: Depth, seconds: int) -> Tissues:
        return tissues.constant(state, self.bar(at), self.mix.n2, seconds, self.mix.he)


def ascend(state: Tissues, bottom: Depth, mix: Mix, settings: Settings, caution: int = 0) -> Ascent | Missing:
    """The ascent from `bottom` with these tensions on leaving it, on one gas.

    Stops in whole seconds, each the shortest that serves. Missing where a stop would last longer than a day.
    """
    high = gf_high(settings, caution)
    low = settings.gf_low_pm / 1000
    way = _Way(mix, settings, low if low < high else high, high)
    surface = Depth(0, bottom.unit)
    travel = travel_s(bottom, settings.ascent, up=True)
    if _straight(way, state, bottom, surface, travel):
        return Ascent((), travel, surface)
    ceiling = _ceiling(way, state, bottom.unit)
    levels = _levels(bottom)
    at = bottom
    while levels:
        moved = way.arrives(state, at, levels[0], way.gf_low)
        if moved is None:
            break
        state, at = moved, levels.pop(0)
    first = at
    stops = []
    for level in levels:
        gf = way.gf_high + (way.gf_low - way.gf_high) * (level.hundredths / first.hundredths)
        seconds = _wait_s(way, state, at, level, gf)
        if seconds is None:
            return missing("stops of less than a day")
        if seconds > 0:
            stops.append(Stop(at, seconds))
        state = way.up(way.stays(state, at, seconds), at, level, way.seconds(at, level))
        at = level
    return Ascent(tuple(stops), travel, ceiling)


def _straight(way: _Way, state: Tissues, bottom: Depth, surface: Depth, travel: int) -> bool:
    """Whether no stop is owed, by the rule of the no-stop limit: in whole seconds and exactly at the rate."""
    if way.arrives(state, bottom, surface, way.gf_high) is None:
        return False
    return tissues.tolerates(way.up(state, bottom, surface, travel), way.settings.surface_bar, way.gf_high)


def _ceiling(way: _Way, state: Tissues, unit: DepthUnit) -> Depth:
    gauge_bar = tissues.ceiling_bar(state, way.gf_low) - way.settings.surface_bar
    msw = gauge_bar / BAR_PER_MSW if gauge_bar > 0.0 else 0.0
    return Depth(scaled_up(msw if unit == "m" else msw / FSW_IN_MSW, 100), unit)


def _levels(bottom: Depth) -> list[Depth]:
    """The steps above a depth, deepest first, the surface last."""
    step = STEP[bottom.unit]
    return [Depth(n * step, bottom.unit) for n in range((bottom.hundredths - 1) // step, -1, -1)]


def _wait_s(way: _Way, state: Tissues, at: Depth, level: Depth, gf: float) -> int | None:
    """Least whole seconds at a depth after which the next level is within `gf`.

    A tension that falls stays within once it is, and one that rises comes to rest below what is allowed.
    """

    def leaves(seconds: int) -> bool:
        return way.arrives(way.stays(state, at, seconds), at, level, gf) is not None

    if leaves(0):
        return 0
    if not leaves(DAY_S):
        return None
    low, high = 0, DAY_S
    while high - low > 1:
        middle = (low + high) // 2
        if leaves(middle):
            high = middle
        else:
            low = middle
    return high


def owed(state: NitrogenState, dive: Dive, settings: Settings) -> Ascent | Missing:
    """The ascent that a dive from a state at the surface obliges at the end of its bottom time.

    Of a joined dive each compartment counts by the more loaded of its two readings, at the deeper depth.
    """
    before = open_before(state, dive.mix)
    now = state.tissues(settings)
    if isinstance(now, Missing):
        return now
    if dive.mix.inert is not None:
        return dive.mix.inert
    caution = dive.caution if before is None else max(before.caution, dive.caution)
    segments = profile(dive, settings)
    if dive.samples is not None and dive.samples[-1][1].hundredths == 0:
        return missing("stops of a profile that ends at the surface")
    left = breathe(now, segments[:-1], dive.mix.n2, dive.mix.he)
    if dive.samples is not None:
        last = dive.samples[-1][1]
        if before is not None or not tissues.tolerates(left, segments[-1][0], gf_high(settings, caution)):
            return missing("stops of a profile that is above its ceiling or part of another dive")
        return ascend(left, last, dive.mix, settings, caution)
    if before is None:
        return ascend(left, dive.depth, dive.mix, settings, caution)
    if isinstance(before.tissues, Missing):
        return before.tissues
    limits = no_stop(state, dive.depth, dive.mix, settings, dive.caution, dive.cold_or_hard)
    whole = Dive(limits.depth, limits.spent_s + dive.bottom_time_s, limits.mix)
    one = breathe(before.tissues, profile(whole, settings)[:-1], limits.mix.n2, limits.mix.he)
    worse = tuple(a if a > b else b for a, b in zip(left, one, strict=True))
    return ascend(worse, limits.depth, limits.mix, settings, caution)
