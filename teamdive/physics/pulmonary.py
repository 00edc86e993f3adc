"""Pulmonary oxygen units (OTU): one is a minute of oxygen at 1 atm.

t ((P - 0.5) / 0.5)^(5/6) above 0.5 atm (Hamilton, REPEX, 1988; the exponent is printed 0.83), and its integral over
a steady change of pressure (Baker, 2000; from memory). Whole-body doses: `data/oxygen_limits.json`.
"""

from __future__ import annotations

from collections.abc import Sequence

from teamdive.physics.chance import exponential, natural_log
from teamdive.physics.oxygen import ATM_BAR, Segment
from teamdive.physics.tables import load

_DOSES = load("oxygen_limits")["whole_body"]
TOTALS_OTU: tuple[int, ...] = tuple(_DOSES["totals_otu"])
LONG_RUN_OTU: int = _DOSES["long_run_otu_per_day"]
FROM_ATM = 0.5
LEVEL_ATM = 1e-6
"""A change smaller than this counts as its deeper end: the difference of the integral would be all rounding."""


def power(x: float, numerator: int, denominator: int) -> float:
    """x to the power of a fraction, for x > 0, from our own exponential and logarithm."""
    return exponential(natural_log(x) * numerator / denominator)


def units(segments: Sequence[Segment], oxygen_e4: int) -> float:
    """OTU of a profile on a gas with `oxygen_e4` ten-thousandths of oxygen."""
    fraction = oxygen_e4 / 10_000
    total = 0.0
    for from_bar, to_bar, seconds in segments:
        low = (from_bar if from_bar < to_bar else to_bar) * fraction / ATM_BAR
        high = (to_bar if from_bar < to_bar else from_bar) * fraction / ATM_BAR
        if high <= FROM_ATM:
            continue
        minutes = seconds / 60
        span = high - low
        if span < LEVEL_ATM:
            total = total + minutes * power((high - FROM_ATM) / FROM_ATM, 5, 6)
            continue
        area = power((high - FROM_ATM) / FROM_ATM, 11, 6)
        if low > FROM_ATM:
            area = area - power((low - FROM_ATM) / FROM_ATM, 11, 6)
        total = total + minutes / span * 3.0 / 11.0 * area
    return total


def most_by_day(day: int) -> int:
    """The whole-body total that the days up to this one (1 is the first) may reach together."""
    return TOTALS_OTU[day - 1] if day <= len(TOTALS_OTU) else LONG_RUN_OTU * day
