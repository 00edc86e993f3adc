"""Metres of water and gauge depth.

A gauge reads pressure; a chart, a line and a sounder read metres of water. The two differ by the
water's density. Densities: 1,000 kg/m3 for fresh and 1,025.97 kg/m3 for sea water of 15 C (an
instrument maker's figure); gravity 9.80665 m/s2. Real fresh water of 0 to 30 C is within 0.5 %, real
sea water within 1 % of them, gravity included (checked against TEOS-10).

A depth that a diver reports is a gauge depth and is never made shallower because the water is fresh:
that would only relax the answer.
"""

from __future__ import annotations

from typing import Literal

Water = Literal["salt", "fresh"]

DENSITY_KG_M3: dict[Water, float] = {"salt": 1025.97, "fresh": 1000.0}
GRAVITY_M_S2 = 9.80665
PASCALS_PER_BAR = 100_000.0
PASCALS_PER_MSW = 10_000.0


def gauge_pressure_bar(metres: float, water: Water) -> float:
    """Pressure of a column of `metres` of water, without the air above it."""
    return metres * DENSITY_KG_M3[water] * GRAVITY_M_S2 / PASCALS_PER_BAR


def gauge_depth_msw(metres: float, water: Water) -> float:
    """What a depth gauge (1 msw = 10,000 Pa) shows under `metres` of water."""
    return metres * DENSITY_KG_M3[water] * GRAVITY_M_S2 / PASCALS_PER_MSW


def metres_of_water(msw: float, water: Water) -> float:
    """Metres of water over a gauge that shows `msw`."""
    return msw * PASCALS_PER_MSW / (DENSITY_KG_M3[water] * GRAVITY_M_S2)
