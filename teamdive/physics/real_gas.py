"""Real gas: how much a gauge pressure is worth, and what becomes of it when a cylinder cools.

Air and nitrox at 200 bar are close to an ideal gas and at 300 bar hold a tenth less than one. The
compressibility is a polynomial (`data/real_gas.json`, fitted to a library's equation of state and held
within 0.5 % of it by tests/published/test_real_gas.py), in + - x / only. A gauge pressure is *counted* as
that of an ideal gas which holds as much; everything else reckons with the counted pressure.

Pressures are gauge pressures in the unit of a gauge, but where a name says `bar`: absolute. Temperatures
are Celsius.
"""

from __future__ import annotations

from dataclasses import dataclass

from teamdive.physics.tables import load
from teamdive.physics.units import PSI_PER_BAR

LAWS = ("real", "published")
"""`published`: as handbooks count, an ideal gas up to the usual working pressure."""
IDEAL_TO_BAR = 232.0
"""Up to this gauge pressure the published law counts what the gauge shows."""
SURFACE_BAR = 1.01325
USUAL_C = 20.0
KELVIN = 273.15

_DATA = load("real_gas")
_HIGHEST_BAR = float(_DATA["highest_bar"])
_AIR_OXYGEN = 0.21

Powers = tuple[float, float, float, float]
"""The terms of Z in the first to fourth power of a hundredth of the absolute pressure."""


@dataclass(frozen=True)
class Counting:
    """How a gauge is counted: by which law, in how many units to the bar, of what gas at what temperature."""

    law: str
    per_bar: float
    powers: Powers


def powers_at(celsius: float, oxygen: float) -> Powers:
    """The compressibility of a gas at one temperature."""
    t, y = (celsius - USUAL_C) / 10.0, oxygen - _AIR_OXYGEN
    found = []
    for row in _DATA["rows"]:
        one, by_t, by_t2, by_y, by_yt = row
        found.append((one + by_t * t + by_t2 * (t * t) + by_y * y + by_yt * (y * t)) / _DATA["scale"])
    return (found[0], found[1], found[2], found[3])


def compressibility(bar: float, powers: Powers) -> float:
    """Z at an absolute pressure, 0 to 350 bar."""
    q = bar / 100.0
    return 1.0 + q * (powers[0] + q * (powers[1] + q * (powers[2] + q * powers[3])))


def free_gas(bar: float, powers: Powers) -> float:
    """Litres at 1 bar and its own temperature in each litre at an absolute pressure.

    Past the end of the data the last bar's rise goes on: more than there is, at pressures that no cylinder
    is filled to, so that a minimum gas which no cylinder holds still comes out as a number.
    """
    if bar <= _HIGHEST_BAR:
        return bar / compressibility(bar, powers)
    last = _HIGHEST_BAR / compressibility(_HIGHEST_BAR, powers)
    before = (_HIGHEST_BAR - 1.0) / compressibility(_HIGHEST_BAR - 1.0, powers)
    return last + (bar - _HIGHEST_BAR) * (last - before)


def counting(law: str, unit: str, celsius: float | None, oxygen: float) -> Counting:
    """How to count a gauge in `unit`; without a temperature 20 C is taken."""
    per_bar = 1.0 if unit == "bar" else PSI_PER_BAR
    return Counting(law, per_bar, powers_at(USUAL_C if celsius is None else celsius, oxygen))


def held(rule: Counting, gauge: float) -> float:
    """The gauge pressure of an ideal gas that holds what this real gas holds above the surface's pressure."""
    bar = gauge / rule.per_bar + SURFACE_BAR
    return (free_gas(bar, rule.powers) - free_gas(SURFACE_BAR, rule.powers)) * rule.per_bar


def counted(rule: Counting, gauge: float) -> float:
    """What a gauge pressure counts for. Published: itself up to 232 bar, above that never more than is held there."""
    if rule.law == "real":
        return held(rule, gauge)
    ideal_to = IDEAL_TO_BAR * rule.per_bar
    if gauge <= ideal_to:
        return gauge
    real = held(rule, gauge)
    return real if real > ideal_to else ideal_to


def least_gauge(rule: Counting, worth: float, step: int) -> int:
    """The least multiple of `step` that counts for `worth`; a billionth of a unit is the noise of a division."""
    if rule.law != "real" and worth <= IDEAL_TO_BAR * rule.per_bar:
        return step_up(worth, step)
    low, high = -1, 1
    while counted(rule, high * step) < worth - 1e-9:
        low, high = high, high * 2
    while high - low > 1:
        middle = (low + high) // 2
        if counted(rule, middle * step) >= worth - 1e-9:
            high = middle
        else:
            low = middle
    return high * step


def most_gauge(rule: Counting, worth: float, step: int) -> int:
    """The greatest multiple of `step` that counts for no more than `worth` (>= 0).

    Where the published law counts a range of the gauge alike, the low end of it.
    """
    if rule.law != "real" and worth <= IDEAL_TO_BAR * rule.per_bar:
        return step_down(worth, step)
    low, high = 0, 1
    while counted(rule, high * step) <= worth + 1e-9:
        low, high = high, high * 2
    while high - low > 1:
        middle = (low + high) // 2
        if counted(rule, middle * step) <= worth + 1e-9:
            low = middle
        else:
            high = middle
    return low * step


def step_up(value: float, step: int) -> int:
    """The least multiple of `step` that is not below `value`; a billionth of a unit is the noise of a division."""
    steps = int(value / step)
    return (steps if steps * step >= value - 1e-9 else steps + 1) * step


def step_down(value: float, step: int) -> int:
    """The greatest multiple of `step` not above `value` (>= 0)."""
    return int((value + 1e-9) / step) * step


def cooled(gauge: float, unit: str, from_c: float, to_c: float, oxygen: float) -> float:
    """What a gauge read at `from_c` shows in water of `to_c`: the same gas in the same litres, in tenths, rounded down.

    A cylinder that gets warmer is counted as it was: a rise is no gas.
    """
    if to_c >= from_c:
        return gauge
    per_bar = 1.0 if unit == "bar" else PSI_PER_BAR
    before, after = powers_at(from_c, oxygen), powers_at(to_c, oxygen)
    amount = free_gas(gauge / per_bar + SURFACE_BAR, before) * ((to_c + KELVIN) / (from_c + KELVIN))
    low, high = 0, int(gauge * 10.0) + 1
    while high - low > 1:
        middle = (low + high) // 2
        if free_gas(middle / 10.0 / per_bar + SURFACE_BAR, after) <= amount:
            low = middle
        else:
            high = middle
    return low / 10.0
