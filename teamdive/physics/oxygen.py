"""Breathing gas as oxygen and nitrogen see it: margins, deepest depth, equivalent air depth, exposure.

0.21 without helium is air: nitrogen 0.7902, no margin, its own depth. Any other gas needs an analysis; then nitrogen
counts as 1 - (o2 - 0.01) and oxygen as o2 + 0.01, so that one percent of error does no harm on either side.
Without an analysis nitrogen counts as in air, and oxygen is not known; of a gas with helium nothing is then.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from teamdive.physics.known import Missing, missing
from teamdive.physics.rounding import ceil_div, floor_div, scaled_down
from teamdive.physics.tables import load
from teamdive.physics.units import Depth, DepthUnit

AIR_O2_E4 = 2100
AIR_N2_E4 = 7902
MARGIN_E4 = 100

EAD_AIR_N2_E4 = 7900
"""The equivalent air depth as published divides by 0.79."""

ATMOSPHERE: dict[DepthUnit, int] = {"m": 1000, "ft": 3300}
"""Depth of one atmosphere in hundredths, as the published formulas for oxygen and nitrox count it."""

_LIMITS = load("oxygen_limits")
ATM_BAR: float = _LIMITS["atm_bar"]
ROWS: tuple[tuple[float, int], ...] = tuple(
    (float(r["ppo2_atm"]), int(r["single_min"])) for r in _LIMITS["rows"]
)

DAY_ROWS: tuple[tuple[float, int], ...] = tuple(
    (float(r["ppo2_atm"]), int(r["day_min"])) for r in _LIMITS["rows"]
)

Segment = tuple[float, float, int]
"""Ambient pressure (bar absolute) at its start and end, and whole seconds."""


@dataclass(frozen=True)
class Mix:
    """A gas by its oxygen and helium in ten-thousandths (None: not known), and whether its diver has analysed it."""

    o2_e4: int | None
    analysed: bool = False
    he_e4: int = 0

    @property
    def counts_as_air(self) -> bool:
        """True where nitrogen is taken as in air: air itself, and any gas without helium that nobody analysed."""
        return self.he_e4 == 0 and (self.o2_e4 is None or self.o2_e4 == AIR_O2_E4 or not self.analysed)

    @property
    def n2_e4(self) -> int:
        """Nitrogen in ten-thousandths, on the safe side: what may be missing of the oxygen counts as nitrogen."""
        if self.o2_e4 is None or self.counts_as_air:
            return AIR_N2_E4
        return 10_000 - (self.o2_e4 - MARGIN_E4) - self.he_e4

    @property
    def n2(self) -> float:
        return self.n2_e4 / 10_000

    @property
    def he(self) -> float:
        return self.he_e4 / 10_000

    @property
    def inert(self) -> Missing | None:
        """What would have to be known to say how the gas loads: the analysis of a gas with helium."""
        if self.he_e4 == 0 or (self.o2_e4 is not None and self.analysed):
            return None
        return missing("o2_fraction" if self.o2_e4 is None else "analysis")

    @property
    def oxygen_e4(self) -> int | Missing:
        """Oxygen in ten-thousandths, on the safe side."""
        if self.o2_e4 is None:
            return missing("o2_fraction")
        if self.o2_e4 == AIR_O2_E4 and self.he_e4 == 0:
            return AIR_O2_E4
        if not self.analysed:
            return missing("analysis")
        richer = self.o2_e4 + MARGIN_E4
        return richer if richer < 10_000 else 10_000


AIR = Mix(AIR_O2_E4)


def more_nitrogen(a: Mix, b: Mix) -> Mix:
    """The gas with more nitrogen, the first where they are equal."""
    return b if b.n2_e4 > a.n2_e4 else a


def equivalent_air_depth(depth: Depth, n2_e4: int) -> Depth:
    """Depth at which air has the same nitrogen pressure, rounded up to a hundredth, 0 at the least.

    (1 - FO2) (D + 33) / 0.79 - 33 fsw, or 10 msw: US Navy Diving Manual, chapter 10.
    """
    one = ATMOSPHERE[depth.unit]
    hundredths = ceil_div(n2_e4 * (depth.hundredths + one), EAD_AIR_N2_E4) - one
    return Depth(hundredths if hundredths > 0 else 0, depth.unit)


def equivalent_narcotic_depth(depth: Depth, mix: Mix, oxygen_narcotic: bool) -> Depth | Missing:
    """Depth at which air is as narcotic, rounded up to a hundredth, 0 at the least.

    Two conventions. With oxygen as narcotic as nitrogen: (1 - FHe) (D + 33) - 33 fsw, or 10 msw (NOAA Diving Manual,
    from memory). Without: nitrogen alone, which is the equivalent air depth.
    """
    if mix.inert is not None:
        return mix.inert
    if not oxygen_narcotic:
        return table_depth(depth, mix)
    one = ATMOSPHERE[depth.unit]
    hundredths = ceil_div((10_000 - mix.he_e4) * (depth.hundredths + one), 10_000) - one
    return Depth(hundredths if hundredths > 0 else 0, depth.unit)


def table_depth(depth: Depth, mix: Mix) -> Depth:
    """The depth with which a gas enters an air table."""
    return depth if mix.counts_as_air else equivalent_air_depth(depth, mix.n2_e4)


def deepest_whole(oxygen_e4: int, max_ppo2_e2: int, unit: DepthUnit) -> int:
    """MOD in whole metres or feet, rounded down: (Pmax / FO2 - 1) x 33 fsw or 10 msw (NOAA Diving Manual).

    `max_ppo2_e2` is the highest partial pressure in hundredths of a bar.
    """
    one = ATMOSPHERE[unit]
    hundredths = floor_div(max_ppo2_e2 * 100 * one, oxygen_e4) - one
    return floor_div(hundredths, 100) if hundredths > 0 else 0


def mod(mix: Mix, max_ppo2_bar: float, unit: DepthUnit) -> Depth | Missing:
    """MOD of a gas, rounded down to whole metres or feet."""
    oxygen_e4 = mix.oxygen_e4
    if isinstance(oxygen_e4, Missing):
        return oxygen_e4
    return Depth(deepest_whole(oxygen_e4, scaled_down(max_ppo2_bar, 100), unit) * 100, unit)


def exposure_share(
    segments: Sequence[Segment], oxygen_e4: int, rows: tuple[tuple[float, int], ...] = ROWS
) -> float | Missing:
    """Share (1.0 = all) of the single exposure limit that a profile uses, oxygen rounded up to the next row.

    With `DAY_ROWS` in place of `ROWS` that of the 24-hour limit, which is never the larger share.
    Every minute under water counts at least as the first row. Not known past the last row.
    """
    fraction = oxygen_e4 / 10_000
    share = 0.0
    for from_bar, to_bar, seconds in segments:
        low = (from_bar if from_bar < to_bar else to_bar) * fraction / ATM_BAR
        high = (to_bar if from_bar < to_bar else from_bar) * fraction / ATM_BAR
        if high > ROWS[-1][0]:
            return missing(f"an oxygen limit past {ROWS[-1][0]} atm")
        span = high - low
        below = 0.0
        for upper, limit_min in rows:
            start = low if low > below else below
            end = high if high < upper else upper
            if span > 0.0:
                if end > start:
                    share = share + (end - start) / span * seconds / (limit_min * 60)
            elif low > below and low <= upper:
                share = share + seconds / (limit_min * 60)
            if upper >= high:
                break
            below = upper
    return share
