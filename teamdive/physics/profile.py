"""A dive as segments of pressure, and how it is reckoned: rates, gradient factors, altitude."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from teamdive.physics import tables, tissues
from teamdive.physics.oxygen import AIR, Mix, Segment
from teamdive.physics.rounding import ceil_div, floor_div
from teamdive.physics.tissues import Tissues
from teamdive.physics.units import Depth, travel_s

Method = Literal["shorter", "table", "tissue"]

DESCENT = Depth(1800, "m")
ASCENT = Depth(900, "m")
GF_STEP_PM = 50
DAY_S = 86_400

_PRESSURE_PA: dict[int, int] = {
    row["altitude_ft"]: row["pressure_pa"] for row in tables.load("standard_atmosphere")["rows"]
}


@dataclass(frozen=True)
class Settings:
    """How limits are reckoned. Rates are a `Depth` a minute; altitude is that of the site.

    `at_altitude_s`: time at the site's altitude before the coming (in `day`: the first) dive; None: not known.
    `rest_s`: the club's time without a dive after one beyond its limit, at least 24 h. `home_altitude_ft`: the
    altitude one was used to before going to the site.
    """

    method: Method = "shorter"
    gf_low_pm: int = 400
    gf_high_pm: int = 800
    descent: Depth = DESCENT
    ascent: Depth = ASCENT
    altitude_ft: int = 0
    at_altitude_s: int | None = None
    rest_s: int = DAY_S
    home_altitude_ft: int = 0

    @property
    def surface_bar(self) -> float:
        return _PRESSURE_PA[tables.altitude_row_ft(self.altitude_ft)] / 100_000

    @property
    def rise_ft(self) -> int:
        """How far the site is above the altitude one was used to; 0 where it is no higher."""
        return max(0, self.altitude_ft - self.home_altitude_ft)

    @property
    def home_bar(self) -> float:
        """Air pressure one was used to, that of the next lower 1,000 ft (more nitrogen); never above the site."""
        lower_ft = min(self.home_altitude_ft, self.altitude_ft)
        return _PRESSURE_PA[floor_div(lower_ft, 1000) * 1000] / 100_000


@dataclass(frozen=True)
class Dive:
    """A dive as made or asked for. `interval_s` is the time since the last surfacing.

    `samples` are (second, depth) from (0, surface); `depth` and `bottom_time_s` are then their deepest
    point and whole time.
    """

    depth: Depth
    bottom_time_s: int
    mix: Mix = AIR
    interval_s: int = 0
    caution: int = 0
    cold_or_hard: bool = False
    samples: tuple[tuple[int, Depth], ...] | None = None


def profile(dive: Dive, settings: Settings) -> tuple[Segment, ...]:
    """A dive as segments of ambient pressure, straight ascent to the surface included."""
    surface = settings.surface_bar
    if dive.samples is None:
        bottom = surface + dive.depth.bar
        down_s = travel_s(dive.depth, settings.descent, up=False)
        down_s = down_s if down_s < dive.bottom_time_s else dive.bottom_time_s
        up_s = travel_s(dive.depth, settings.ascent, up=True)
        return (
            (surface, bottom, down_s),
            (bottom, bottom, dive.bottom_time_s - down_s),
            (bottom, surface, up_s),
        )
    segments: list[Segment] = []
    for (t0, d0), (t1, d1) in pairwise(dive.samples):
        segments.append((surface + d0.bar, surface + d1.bar, t1 - t0))
    last = dive.samples[-1][1]
    if last.hundredths > 0:
        segments.append((surface + last.bar, surface, travel_s(last, settings.ascent, up=True)))
    return tuple(segments)


def breathe(state: Tissues, segments: tuple[Segment, ...], n2: float, he: float = 0.0) -> Tissues:
    """Compartments after a profile on one gas."""
    for from_bar, to_bar, seconds in segments:
        if seconds == 0:
            continue
        if from_bar == to_bar:
            state = tissues.constant(state, from_bar, n2, seconds, he)
        else:
            state = tissues.linear(state, from_bar, to_bar, n2, seconds, he)
    return state


def meets_no_ceiling(
    state: Tissues, segments: tuple[Segment, ...], n2: float, gf: float, he: float = 0.0
) -> bool:
    """True when no segment of a recorded profile ends above a ceiling.

    Its ends are where a segment is tightest: on a steady ascent what is above ambient pressure either grows or
    decays exponentially, and what is allowed shrinks in proportion to depth, so nothing is worst in between.
    """
    for segment in segments:
        state = breathe(state, (segment,), n2, he)
        if not tissues.tolerates(state, segment[1], gf):
            return False
    return True


def sea_level_depth(depth: Depth, settings: Settings) -> Depth:
    """Sea-level equivalent depth, rounded up: depth x sea-level pressure / pressure at the altitude."""
    row = tables.altitude_row_ft(settings.altitude_ft)
    if row == 0:
        return depth
    return Depth(ceil_div(depth.hundredths * _PRESSURE_PA[0], _PRESSURE_PA[row]), depth.unit)


def gf_high(settings: Settings, caution: int) -> float:
    """GF high after the caution of a dive: 0.05 lower for each step."""
    return (settings.gf_high_pm - GF_STEP_PM * caution) / 1000
