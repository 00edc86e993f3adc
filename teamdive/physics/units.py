"""Depth and the other units people type.

A depth is a gauge depth: what a depth gauge shows, that is a pressure. 1 msw is 0.1 bar exactly and
1 fsw is 0.30643 msw (US Navy Diving Manual). The number typed is kept as an integer of hundredths
in its own unit, so 120 ft stays 120 ft and finds the 120 fsw row of a table; every comparison with
a table is made in whole units of 1e-7 msw, in which both units are exact.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from teamdive.physics.rounding import ceil_div, floor_div, scaled_down, scaled_up

DepthUnit = Literal["m", "ft"]

FSW_IN_MSW = 0.30643
FSW_IN_MSW_E7 = 3_064_300
MSW_E7 = 10_000_000
BAR_PER_MSW = 0.1
PSI_PER_BAR = 14.503773773  # NIST SP 811
LITRES_PER_CUFT = 28.316846592  # exact, from the international foot


@dataclass(frozen=True)
class Depth:
    """A gauge depth, or a rate of depth a minute: hundredths of its own unit, `m` or `ft`."""

    hundredths: int
    unit: DepthUnit

    @property
    def msw_e7(self) -> int:
        """Exact depth in units of 1e-7 msw."""
        return self.hundredths * (100_000 if self.unit == "m" else 30_643)

    @property
    def msw(self) -> float:
        return self.msw_e7 / MSW_E7

    @property
    def bar(self) -> float:
        """Gauge pressure in bar."""
        return self.msw_e7 / 100_000_000

    @property
    def cm(self) -> int:
        """Hundredths of msw: the number typed for metres, rounded up (deeper) for feet."""
        return ceil_div(self.msw_e7, 100_000)

    @property
    def fsw_up(self) -> int:
        """Least whole fsw that is not shallower: the number with which a table is searched.

        For feet this is the number typed rounded up; for metres it is the least n with
        30643 * n >= 1000 * depth in cm.
        """
        return ceil_div(self.msw_e7, FSW_IN_MSW_E7)

    @property
    def number(self) -> float:
        """The depth as a person reads it, in its own unit."""
        return self.hundredths / 100


def depth_text(at: Depth) -> str:
    """A depth in a sentence: 18 m, 18.01 m; every hundredth is said, for one of them can be what refuses a dive."""
    whole, rest = divmod(at.hundredths, 100)
    tail = f".{rest:02d}".rstrip("0") if rest else ""
    return f"{whole}{tail} {at.unit}"


def depth(number: float, unit: DepthUnit) -> Depth:
    """A typed depth; what is finer than a hundredth counts as the next deeper hundredth."""
    return Depth(scaled_up(number, 100), unit)


def deeper(a: Depth, b: Depth) -> Depth:
    """The deeper of two depths, the first where they are equal."""
    return b if b.msw_e7 > a.msw_e7 else a


def deeper_in(at: Depth, unit: DepthUnit) -> Depth:
    """The same depth in another unit, rounded up to a hundredth: what was breathed at is never made shallower."""
    return at if at.unit == unit else Depth(ceil_div(at.msw_e7, Depth(1, unit).msw_e7), unit)


def shallower_in(at: Depth, unit: DepthUnit) -> Depth:
    """The same depth in another unit, rounded down: what a diver has done or is certified to is never made deeper."""
    return at if at.unit == unit else Depth(floor_div(at.msw_e7, Depth(1, unit).msw_e7), unit)


def travel_s(distance: Depth, rate: Depth, *, up: bool) -> int:
    """Whole seconds to cover `distance` at `rate` a minute, rounded up or down, at least 1.

    A descent is rounded down (sooner at depth), an ascent up (never faster than the rate).
    """
    n = distance.msw_e7 * 60
    d = rate.msw_e7
    seconds = ceil_div(n, d) if up else n // d
    return seconds if seconds > 0 else 1


def exact_travel_s(distance: Depth, rate: Depth) -> float:
    """Seconds to cover `distance` at `rate` a minute, not rounded."""
    return distance.msw_e7 * 60 / rate.msw_e7


def travelled(rate: Depth, seconds: int, unit: DepthUnit) -> Depth:
    """How far whole seconds at a rate a minute lead, in hundredths of `unit` rounded up: deeper."""
    return Depth(ceil_div(rate.msw_e7 * seconds, 60 * Depth(1, unit).msw_e7), unit)


def altitude_ft_down(metres: float) -> int:
    """An altitude in metres as whole feet, rounded down."""
    return floor_div(scaled_down(metres, 100) * 100, 3048)


def altitude_ft_up(metres: float) -> int:
    """An altitude in metres as whole feet, rounded up (1 ft = 0.3048 m exactly)."""
    return ceil_div(scaled_up(metres, 100) * 100, 3048)
