"""ZH-L16C compartments with gradient factors, for nitrogen and, where it was breathed, helium.

Sixteen compartments, 1b in the first place. Coefficients: `data/zhl16.json` (set C, row 1b and helium are
from memory and marked so there). Conventions: nitrogen 0.7902 of dry air, water vapour 0.0627 bar, surface
1.01325 bar at sea level. Constant depth follows the Haldane equation, a linear change of depth the
Schreiner equation. With two gases each loads by its own half-times, and a and b of a compartment are
weighted by each gas's share of its tension.

`Tissues` holds 16 nitrogen tensions; a diver who has breathed helium has 16 helium tensions after them.

Every result comes from + - * / in a fixed order, and every decay from a product of stored powers, so
that the TypeScript twin gives the same bits. Pressures are absolute, in bar; times are seconds, whole
ones but for an ascent at an exact rate.
"""

from __future__ import annotations

from functools import lru_cache

from teamdive.physics.tables import load

Tissues = tuple[float, ...]

SEA_LEVEL_BAR = 1.01325
WATER_VAPOUR_BAR = 0.0627
AIR_N2 = 0.7902

_ZHL16 = load("zhl16")
_DECAY = load("decay_powers")
_REST = _ZHL16["compartments"][1:]
_FIRST = _ZHL16["alternative_first"]
_ROWS = (*_DECAY["rows"], *_DECAY["helium_rows"])

A_BAR: tuple[float, ...] = (
    float(_FIRST["n2"]["a_bar"]),
    *(float(c["n2"]["a_bar"]["C"]) for c in _REST),
)
B: tuple[float, ...] = tuple(float(c["n2"]["b"]) for c in (_FIRST, *_REST))
HELIUM_A_BAR: tuple[float, ...] = tuple(float(c["he"]["a_bar"]) for c in (_FIRST, *_REST))
HELIUM_B: tuple[float, ...] = tuple(float(c["he"]["b"]) for c in (_FIRST, *_REST))
COUNT = len(A_BAR)

TIME_CONSTANT_S: tuple[float, ...] = tuple(float(row["time_constant_s"]) for row in _ROWS)
POWERS: tuple[tuple[float, ...], ...] = tuple(tuple(float(p) for p in row["powers"]) for row in _ROWS)
"""By position in `Tissues`: nitrogen, then helium."""
BITS = len(POWERS[0])
LONGEST_S = 2**BITS - 1


@lru_cache(maxsize=65_536)
def decay(position: int, seconds: float) -> float:
    """e^(-k seconds) as the product of stored powers, lowest bit first.

    Longer than 2^22 - 1 s (48 days) counts as that long: every compartment has long come to rest. What is
    left of a second follows by the series to its fifth term, less than 1e-16 short for k under 1/150 s.
    """
    left = int(seconds) if seconds < LONGEST_S else LONGEST_S
    part = seconds - left if seconds < LONGEST_S else 0.0
    powers = POWERS[position]
    product = 1.0
    bit = 0
    while left > 0:
        if left % 2 == 1:
            product = product * powers[bit]
        left = left // 2
        bit += 1
    if part > 0.0:
        x = part / TIME_CONSTANT_S[position]
        product = product * (1.0 - x * (1.0 - x / 2.0 * (1.0 - x / 3.0 * (1.0 - x / 4.0 * (1.0 - x / 5.0)))))
    return product


def alveolar_bar(ambient_bar: float, n2: float) -> float:
    """Nitrogen pressure breathed at an ambient pressure, water vapour taken off."""
    return (ambient_bar - WATER_VAPOUR_BAR) * n2


def surface_state(surface_bar: float = SEA_LEVEL_BAR, n2: float = AIR_N2) -> Tissues:
    """Compartments of someone who has breathed air at this pressure for days."""
    return (alveolar_bar(surface_bar, n2),) * COUNT


def constant(tissues: Tissues, ambient_bar: float, n2: float, seconds: int, he: float = 0.0) -> Tissues:
    """Haldane: after `seconds` at one ambient pressure on a gas of these fractions."""
    breathed = alveolar_bar(ambient_bar, n2)
    after = tuple(breathed + (tissues[i] - breathed) * decay(i, seconds) for i in range(COUNT))
    if he == 0.0 and len(tissues) == COUNT:
        return after
    helium, breathed = helium_bar(tissues), alveolar_bar(ambient_bar, he)
    return after + tuple(breathed + (helium[i] - breathed) * decay(COUNT + i, seconds) for i in range(COUNT))


def linear(
    tissues: Tissues, from_bar: float, to_bar: float, n2: float, seconds: float, he: float = 0.0
) -> Tissues:
    """Schreiner: after `seconds` (above 0) of steady change from one ambient pressure to another."""
    breathed = alveolar_bar(from_bar, n2)
    rate = (to_bar - from_bar) * n2 / seconds
    after = []
    for i in range(COUNT):
        lag = rate * TIME_CONSTANT_S[i]
        after.append(breathed + rate * seconds - lag - (breathed - lag - tissues[i]) * decay(i, seconds))
    if he == 0.0 and len(tissues) == COUNT:
        return tuple(after)
    helium = helium_bar(tissues)
    breathed = alveolar_bar(from_bar, he)
    rate = (to_bar - from_bar) * he / seconds
    for i in range(COUNT):
        lag = rate * TIME_CONSTANT_S[COUNT + i]
        after.append(
            breathed + rate * seconds - lag - (breathed - lag - helium[i]) * decay(COUNT + i, seconds)
        )
    return tuple(after)


def helium_bar(tissues: Tissues) -> Tissues:
    """The helium tensions; 0 where none was breathed."""
    return tissues[COUNT:] if len(tissues) > COUNT else (0.0,) * COUNT


def weighted(nitrogen: float, helium: float, share: float) -> float:
    """A coefficient of two gases, by helium's share."""
    return nitrogen + (helium - nitrogen) * share


def coefficients(tissues: Tissues) -> tuple[Tissues, Tissues]:
    """a in bar and b of each compartment, weighted by each gas's share of its tension."""
    if len(tissues) == COUNT:
        return A_BAR, B
    a, b = [], []
    for i in range(COUNT):
        total = tissues[i] + tissues[COUNT + i]
        share = tissues[COUNT + i] / total
        a.append(weighted(A_BAR[i], HELIUM_A_BAR[i], share))
        b.append(weighted(B[i], HELIUM_B[i], share))
    return tuple(a), tuple(b)


def inert_bar(tissues: Tissues) -> Tissues:
    """Tension of each compartment, both gases together."""
    if len(tissues) == COUNT:
        return tissues
    return tuple(tissues[i] + tissues[COUNT + i] for i in range(COUNT))


def allowed_bar(ambient_bar: float, gf: float, a: Tissues = A_BAR, b: Tissues = B) -> Tissues:
    """Highest tension of each compartment at an ambient pressure: P + gf (a + P / b - P)."""
    return tuple(ambient_bar + gf * (a[i] + ambient_bar / b[i] - ambient_bar) for i in range(COUNT))


def ceiling_bar(tissues: Tissues, gf: float) -> float:
    """Least ambient pressure that every compartment tolerates (Baker): (P - a gf) / (gf / b - gf + 1)."""
    a, b = coefficients(tissues)
    inert = inert_bar(tissues)
    highest = 0.0
    for i in range(COUNT):
        tolerated = (inert[i] - a[i] * gf) / (gf / b[i] - gf + 1.0)
        if tolerated > highest:
            highest = tolerated
    return highest


def within(tissues: Tissues, allowed: Tissues) -> bool:
    """True when no nitrogen tension is above what is allowed."""
    return all(tissues[i] <= allowed[i] for i in range(COUNT))


def tolerates(tissues: Tissues, ambient_bar: float, gf: float) -> bool:
    """True when no compartment, both gases together, is above what is allowed at an ambient pressure."""
    a, b = coefficients(tissues)
    return within(inert_bar(tissues), allowed_bar(ambient_bar, gf, a, b))


def tolerated_bar(allowed: Tissues, from_bar: float, to_bar: float, n2: float, seconds: float) -> Tissues:
    """Highest nitrogen tensions from which a steady change ends within `allowed`: Schreiner solved for its start."""
    breathed = alveolar_bar(from_bar, n2)
    rate = (to_bar - from_bar) * n2 / seconds
    before = []
    for i in range(COUNT):
        lag = rate * TIME_CONSTANT_S[i]
        before.append(breathed - lag - (breathed + rate * seconds - lag - allowed[i]) / decay(i, seconds))
    return tuple(before)


def no_stop_limit_s(
    tissues: Tissues,
    surface_bar: float,
    bottom_bar: float,
    n2: float,
    descent_s: int,
    ascent_s: int,
    gf: float,
    exact_ascent_s: float | None = None,
) -> int | None:
    """Longest bottom time in whole seconds, descent included, with a straight ascent within `gf` at the surface.

    None where there is none: even at rest with the gas breathed at depth the ascent is within. 0 where
    the depth cannot be reached. A compartment moves steadily towards the pressure breathed, so the times
    that are within run from 0 without a gap and the longest is found bit by bit. For nitrogen alone.

    The ascent must be within in `ascent_s` and, where it is given, in `exact_ascent_s` too: a second more loads
    slow compartments and unloads fast ones, and the limit must exceed neither.

    No ceiling is met on the way up either: at 3 m/min or faster the ambient pressure falls quicker than
    any ceiling does, so the surface is where a straight ascent is tightest.
    """
    allowed = allowed_bar(surface_bar, gf)
    breathed = alveolar_bar(bottom_bar, n2)
    tolerated = tolerated_bar(allowed, bottom_bar, surface_bar, n2, ascent_s)
    if exact_ascent_s is not None:
        exact = tolerated_bar(allowed, bottom_bar, surface_bar, n2, exact_ascent_s)
        tolerated = tuple(x if x < y else y for x, y in zip(tolerated, exact, strict=True))
    state = linear(tissues, surface_bar, bottom_bar, n2, descent_s)
    if not within(state, tolerated):
        return 0
    # A compartment that tolerates the gas breathed at depth never ends the stay: only the others are walked.
    ending = [i for i in range(COUNT) if breathed > tolerated[i]]
    if not ending:
        return None
    held = [(state[i], tolerated[i], POWERS[i]) for i in ending]
    stay_s = 0
    for bit in range(BITS - 1, -1, -1):
        later = []
        for tension, most, powers in held:
            tension = breathed + (tension - breathed) * powers[bit]
            if tension > most:
                break
            later.append((tension, most, powers))
        else:
            held = later
            stay_s += 2**bit
    return descent_s + stay_s
