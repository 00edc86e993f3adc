"""The tissue equations for many divers at once: the bits of `physics.tissues`, by NumPy.

A roster's compartments are an array of shape (divers, 16), in bar absolute, one row a diver; `states` below.
Pressures, fractions and times are arrays of shape (divers,), or (segments, divers) where a profile is meant;
one number stands for everybody. Times are whole seconds. One gas at a time: `NITROGEN` unless another is given.

The work is done in blocks of divers that stay in the processor's cache, over all segments of a profile before
the next block. Two ways, one rule: where each diver has their own times, `breathe` keeps the order of
operations of the scalar kernel and gives its bits; where a profile's times are everybody's, `breathe_together`
reckons the decays once and the rest is one product of matrices, within 1e-12 bar.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from teamdive.physics import tissues

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

BLOCK = 2000
LOW_BITS = 12
NO_LIMIT = int(np.iinfo(np.int64).max)
"""The no-stop limit where there is none."""


@dataclass(frozen=True)
class Gas:
    """Decay of one inert gas: its time constants in seconds, and e^(-k 2^j) by compartment and bit j."""

    constants_s: tuple[float, ...]
    powers: tuple[tuple[float, ...], ...]

    @cached_property
    def time_constants(self) -> Floats:
        return np.array([self.constants_s])

    def power(self, bit: int) -> Floats:
        return np.array([row[bit] for row in self.powers])

    @cached_property
    def low(self) -> Floats:
        """Decays of 0 to 4095 s, a row each: the products of `physics.tissues.decay`."""
        table = np.ones((2**LOW_BITS, len(self.powers)))
        for bit in range(LOW_BITS):
            table[2**bit : 2 ** (bit + 1)] = table[: 2**bit] * self.power(bit)
        return table

    @cached_property
    def high(self) -> tuple[Floats, ...]:
        """For each higher bit two rows: without it, and with it."""
        bits = range(LOW_BITS, len(self.powers[0]))
        return tuple(np.stack([np.ones(len(self.powers)), self.power(bit)]) for bit in bits)


NITROGEN = Gas(tissues.TIME_CONSTANT_S[: tissues.COUNT], tissues.POWERS[: tissues.COUNT])
HELIUM = Gas(tissues.TIME_CONSTANT_S[tissues.COUNT :], tissues.POWERS[tissues.COUNT :])
A_BAR, B = np.array(tissues.A_BAR), np.array(tissues.B)


def surface_states(divers: int, surface_bar: float = tissues.SEA_LEVEL_BAR) -> Floats:
    """Nitrogen of people who have breathed air at this pressure for days."""
    return np.tile(np.array(tissues.surface_state(surface_bar)), (divers, 1))


def decay(seconds: Ints, gas: Gas = NITROGEN, out: Floats | None = None) -> Floats:
    """e^(-k seconds), shape (divers, 16), as `physics.tissues.decay` reckons it: powers, lowest bit first."""
    seconds = np.minimum(seconds, tissues.LONGEST_S)
    low = seconds & (2**LOW_BITS - 1)
    found: Floats = np.take(gas.low, low, axis=0, out=out, mode="clip")
    bits = int(seconds.max(initial=0)).bit_length()
    for bit in range(LOW_BITS, bits):
        found *= gas.high[bit - LOW_BITS][(seconds >> bit) & 1]
    return found


def breathe(
    states: Floats,
    from_bar: ArrayLike,
    to_bar: ArrayLike,
    fraction: ArrayLike,
    seconds: ArrayLike,
    gas: Gas = NITROGEN,
) -> Floats:
    """Compartments after a profile of steady segments, each diver's own: Haldane at one depth, else Schreiner.

    Pressures, fraction of the gas and seconds: shape (segments, divers), or what broadcasts to it. A segment of
    0 s changes nothing, so shorter profiles are filled up with them. ValueError for a time below 0.
    """
    after = np.array(states, dtype=np.float64)
    start, end, share, times = _profile(len(after), from_bar, to_bar, fraction, seconds)
    if times.min(initial=0) < 0:
        raise ValueError("a segment's seconds must be 0 or more")
    spare = np.empty((3, min(BLOCK, len(after)), after.shape[1]))
    for rows in _blocks(len(after)):
        for s in range(len(times)):
            _segment(after[rows], start[s, rows], end[s, rows], share[s, rows], times[s, rows], gas, spare)
    return after


def _segment(
    states: Floats, start: Floats, end: Floats, share: Floats, seconds: Ints, gas: Gas, spare: Floats
) -> None:
    """One segment of one block, in place; the order of operations is that of `physics.tissues.linear`."""
    factor, lag, behind = spare[:, : len(states)]
    breathed = (start - tissues.WATER_VAPOUR_BAR) * share
    still = np.flatnonzero(seconds == 0)
    kept = states[still]
    decay(seconds, gas, out=factor)
    np.copyto(behind, breathed[:, None])
    if np.array_equal(start, end):
        states -= behind
        states *= factor
        states += behind
    else:
        rate = (end - start) * share / np.maximum(seconds, 1)
        np.dot(rate[:, None], gas.time_constants, out=lag)
        behind -= lag
        behind -= states
        behind *= factor
        np.copyto(states, (breathed + rate * seconds)[:, None])
        states -= lag
        states -= behind
    states[still] = kept


def breathe_together(
    states: Floats,
    from_bar: ArrayLike,
    to_bar: ArrayLike,
    fraction: ArrayLike,
    seconds: ArrayLike,
    gas: Gas = NITROGEN,
) -> Floats:
    """As `breathe`, with everybody's times, shape (segments,), above 0.

    The equations are linear in the state and in the pressures breathed at both ends of each segment:
    P e^-x + p0 (q - e^-x) + p1 (1 - q), where x = k seconds and q = (1 - e^-x) / x. What a segment adds then
    decays through those that follow it.
    """
    times = np.asarray(seconds, dtype=np.int64)
    if times.min(initial=1) < 1:
        raise ValueError("a segment's seconds must be above 0")
    before = np.asarray(states, dtype=np.float64)
    start, end, share, _ = _profile(len(before), from_bar, to_bar, fraction, times[:, None])
    weights, left = _weights(times, gas)
    after = np.empty_like(before)
    lefts = np.tile(left, (min(BLOCK, len(before)), 1))
    for rows in _blocks(len(before)):
        held = after[rows]
        breathed = np.stack([start[:, rows], end[:, rows]])
        breathed -= tissues.WATER_VAPOUR_BAR
        breathed *= share[:, rows]
        np.multiply(before[rows], lefts[: len(held)], out=held)
        held += np.dot(breathed.reshape(2 * len(times), -1).T, weights)
    return after


def _weights(times: Ints, gas: Gas) -> tuple[Floats, Floats]:
    """Weights of the pressures breathed at each segment's start, then at each end, and of the state."""
    x = times[:, None] / gas.time_constants
    q = -np.expm1(-x) / x
    factor = decay(times, gas)
    later = np.ones_like(factor)
    for s in range(len(times) - 1, 0, -1):
        later[s - 1] = later[s] * factor[s]
    return np.concatenate([(q - factor) * later, (1 - q) * later]), np.prod(factor, axis=0)


def no_stop_limits_s(
    states: Floats,
    surface_bar: ArrayLike,
    bottom_bar: ArrayLike,
    n2: ArrayLike,
    descent_s: ArrayLike,
    ascent_s: ArrayLike,
    gf: ArrayLike,
    exact_ascent_s: ArrayLike | None = None,
) -> Ints:
    """`physics.tissues.no_stop_limit_s` for many divers: whole seconds, descent included; NO_LIMIT where none.

    Found bit by bit for all divers of a block at once. For nitrogen alone. Arguments of shape (divers,), or one
    number for all; `exact_ascent_s` may be broken seconds.
    """
    count = len(states)
    surface, bottom, share, factor = (_spread(x, count) for x in (surface_bar, bottom_bar, n2, gf))
    descent, ascent = (_spread(x, count).astype(np.int64) for x in (descent_s, ascent_s))
    exact = None if exact_ascent_s is None else _spread(exact_ascent_s, count)
    down = breathe(states, surface, bottom, share, descent)
    limits = np.empty(count, dtype=np.int64)
    for rows in _blocks(count):
        place = surface[rows], bottom[rows], share[rows], factor[rows]
        tolerated = _tolerated(*place, ascent[rows].astype(np.float64))
        if exact is not None:
            tolerated = np.minimum(tolerated, _tolerated(*place, exact[rows]))
        breathed = ((bottom[rows] - tissues.WATER_VAPOUR_BAR) * share[rows])[:, None]
        stay = _stays_s(down[rows], breathed, tolerated)
        possible = (down[rows] <= tolerated).all(axis=1)
        unlimited = (breathed <= tolerated).all(axis=1)
        limits[rows] = np.where(possible, np.where(unlimited, NO_LIMIT, descent[rows] + stay), 0)
    return limits


def _tolerated(surface: Floats, bottom: Floats, n2: Floats, gf: Floats, ascent_s: Floats) -> Floats:
    """Highest tensions at depth from which a straight ascent surfaces within gf: `physics.tissues.tolerated_bar`."""
    ambient = surface[:, None]
    allowed = ambient + gf[:, None] * (A_BAR + ambient / B - ambient)
    breathed = ((bottom - tissues.WATER_VAPOUR_BAR) * n2)[:, None]
    rate = ((surface - bottom) * n2 / ascent_s)[:, None]
    lag = rate * NITROGEN.time_constants
    whole = ascent_s.astype(np.int64)
    x = (ascent_s - whole)[:, None] / NITROGEN.time_constants
    part = 1.0 - x * (1.0 - x / 2.0 * (1.0 - x / 3.0 * (1.0 - x / 4.0 * (1.0 - x / 5.0))))
    at_depth: Floats = (
        breathed - lag - (breathed + rate * ascent_s[:, None] - lag - allowed) / (decay(whole) * part)
    )
    return at_depth


def _stays_s(states: Floats, breathed: Floats, tolerated: Floats) -> Ints:
    """Longest whole seconds at depth that leave every compartment at or below what is tolerated."""
    now = states.copy()
    stay = np.zeros(len(states), dtype=np.int64)
    later = np.empty_like(now)
    for bit in range(tissues.BITS - 1, -1, -1):
        np.subtract(now, breathed, out=later)
        later *= NITROGEN.power(bit)
        later += breathed
        within: NDArray[np.bool_] = np.all(later <= tolerated, axis=1)
        np.copyto(now, later, where=within[:, None])
        stay += within.astype(np.int64) << bit
    return stay


def _profile(
    divers: int, from_bar: ArrayLike, to_bar: ArrayLike, fraction: ArrayLike, seconds: ArrayLike
) -> tuple[Floats, Floats, Floats, Ints]:
    """The arguments of a profile as arrays of shape (segments, divers)."""
    times = np.atleast_2d(np.asarray(seconds, dtype=np.int64))
    rest = [np.atleast_2d(np.asarray(x, dtype=np.float64)) for x in (from_bar, to_bar, fraction)]
    shape = (max(len(x) for x in (times, *rest)), divers)
    start, end, share = (np.broadcast_to(x, shape) for x in rest)
    return start, end, share, np.broadcast_to(times, shape)


def _spread(value: ArrayLike, divers: int) -> Floats:
    return np.broadcast_to(np.asarray(value, dtype=np.float64), (divers,))


def _blocks(divers: int) -> Iterator[slice]:
    for first in range(0, divers, BLOCK):
        yield slice(first, min(first + BLOCK, divers))
