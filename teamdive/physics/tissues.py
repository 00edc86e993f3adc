"""ZH-L16C nitrogen compartments with gradient factors.

Sixteen compartments, 1b in the first place. Coefficients: `data/zhl16.json` (set C and row 1b are from
memory and marked so there). Conventions: nitrogen 0.7902 of dry air, water vapour 0.0627 bar, surface
1.01325 bar at sea level. Constant depth follows the Haldane equation, a linear change of depth the
Schreiner equation.

Every result comes from + - * / in a fixed order, and every decay from a product of stored powers, so
that the TypeScript twin gives the same bits. Pressures are absolute, in bar; times are whole seconds.
"""

from __future__ import annotations

from functools import lru_cache

from teamdive.physics.tables import load

Tissues = tuple[float, ...]

SEA_LEVEL_BAR = 1.01325
WATER_VAPOUR_BAR = 0.0627
AIR_N2 = 0.7902

_ZHL16 = load("zhl16")
_DECAY = load("decay_powers")["rows"]

A_BAR: tuple[float, ...] = (
    float(_ZHL16["alternative_first"]["n2"]["a_bar"]),
    *(float(c["n2"]["a_bar"]["C"]) for c in _ZHL16["compartments"][1:]),
)
B: tuple[float, ...] = (
    float(_ZHL16["alternative_first"]["n2"]["b"]),
    *(float(c["n2"]["b"]) for c in _ZHL16["compartments"][1:]),
)
TIME_CONSTANT_S: tuple[float, ...] = tuple(float(row["time_constant_s"]) for row in _DECAY)
POWERS: tuple[tuple[float, ...], ...] = tuple(tuple(float(p) for p in row["powers"]) for row in _DECAY)
COUNT = len(A_BAR)
BITS = len(POWERS[0])
LONGEST_S = 2**BITS - 1


@lru_cache(maxsize=65_536)
def decay(compartment: int, seconds: int) -> float:
    """e^(-k seconds) as the product of stored powers, lowest bit first.

    Longer than 2^22 - 1 s (48 days) counts as that long: every compartment has long come to rest.
    """
    left = seconds if seconds < LONGEST_S else LONGEST_S
    powers = POWERS[compartment]
    product = 1.0
    bit = 0
    while left > 0:
        if left % 2 == 1:
            product = product * powers[bit]
        left = left // 2
        bit += 1
    return product


def alveolar_bar(ambient_bar: float, n2: float) -> float:
    """Nitrogen pressure breathed at an ambient pressure, water vapour taken off."""
    return (ambient_bar - WATER_VAPOUR_BAR) * n2


def surface_state(surface_bar: float = SEA_LEVEL_BAR, n2: float = AIR_N2) -> Tissues:
    """Compartments of someone who has breathed air at this pressure for days."""
    return (alveolar_bar(surface_bar, n2),) * COUNT


def constant(tissues: Tissues, ambient_bar: float, n2: float, seconds: int) -> Tissues:
    """Haldane: after `seconds` at one ambient pressure on a gas with nitrogen fraction `n2`."""
    breathed = alveolar_bar(ambient_bar, n2)
    return tuple(breathed + (tissues[i] - breathed) * decay(i, seconds) for i in range(COUNT))


def linear(tissues: Tissues, from_bar: float, to_bar: float, n2: float, seconds: int) -> Tissues:
    """Schreiner: after `seconds` (at least 1) of steady change from one ambient pressure to another."""
    breathed = alveolar_bar(from_bar, n2)
    rate = (to_bar - from_bar) * n2 / seconds
    after = []
    for i in range(COUNT):
        lag = rate * TIME_CONSTANT_S[i]
        after.append(breathed + rate * seconds - lag - (breathed - lag - tissues[i]) * decay(i, seconds))
    return tuple(after)


def allowed_bar(ambient_bar: float, gf: float) -> Tissues:
    """Highest tension of each compartment at an ambient pressure: P + gf (a + P / b - P)."""
    return tuple(ambient_bar + gf * (A_BAR[i] + ambient_bar / B[i] - ambient_bar) for i in range(COUNT))


def ceiling_bar(tissues: Tissues, gf: float) -> float:
    """Least ambient pressure that every compartment tolerates (Baker): (P - a gf) / (gf / b - gf + 1)."""
    highest = 0.0
    for i in range(COUNT):
        tolerated = (tissues[i] - A_BAR[i] * gf) / (gf / B[i] - gf + 1.0)
        if tolerated > highest:
            highest = tolerated
    return highest


def within(tissues: Tissues, allowed: Tissues) -> bool:
    """True when no compartment is above what is allowed."""
    return all(tissues[i] <= allowed[i] for i in range(COUNT))


def no_stop_limit_s(
    tissues: Tissues,
    surface_bar: float,
    bottom_bar: float,
    n2: float,
    descent_s: int,
    ascent_s: int,
    gf: float,
) -> int | None:
    """Longest bottom time in whole seconds, descent included, with a straight ascent within `gf` at the surface.

    None where there is none: even at rest with the gas breathed at depth the ascent is within. 0 where
    the depth cannot be reached. A compartment moves steadily towards the pressure breathed, so the times
    that are within run from 0 without a gap and the longest is found bit by bit.

    No ceiling is met on the way up either: at 3 m/min or faster the ambient pressure falls quicker than
    any ceiling does, so the surface is where a straight ascent is tightest.
    """
    allowed = allowed_bar(surface_bar, gf)
    breathed = alveolar_bar(bottom_bar, n2)
    rate = (surface_bar - bottom_bar) * n2 / ascent_s
    fixed = []
    start = []
    factor = []
    for i in range(COUNT):
        lag = rate * TIME_CONSTANT_S[i]
        fixed.append(breathed + rate * ascent_s - lag)
        start.append(breathed - lag)
        factor.append(decay(i, ascent_s))

    def surfaces(state: Tissues) -> bool:
        return all(fixed[i] - (start[i] - state[i]) * factor[i] <= allowed[i] for i in range(COUNT))

    state = linear(tissues, surface_bar, bottom_bar, n2, descent_s)
    if not surfaces(state):
        return 0
    if surfaces((breathed,) * COUNT):
        return None
    stay_s = 0
    for bit in range(BITS - 1, -1, -1):
        later = tuple(breathed + (state[i] - breathed) * POWERS[i][bit] for i in range(COUNT))
        if surfaces(later):
            state = later
            stay_s += 2**bit
    return descent_s + stay_s
