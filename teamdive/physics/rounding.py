"""Rounding to the safe side, in one place.

Depths and bottom times go up, surface intervals and limits go down. A number typed with a decimal
point has no exact binary form (29.57 * 100 is 2956.9999...), so what lies within a millionth of a
whole number is that whole number; everything else moves in the named direction.
"""

from __future__ import annotations

import math

_NEAR = 1e-6


def ceil_div(n: int, d: int) -> int:
    """n / d rounded up, exactly; d > 0."""
    return -(-n // d)


def floor_div(n: int, d: int) -> int:
    """n / d rounded down, exactly; d > 0."""
    return n // d


def scaled_up(x: float, scale: int) -> int:
    """x * scale as a whole number, rounded up."""
    y = x * scale
    nearest = math.floor(y + 0.5)
    return nearest if abs(y - nearest) <= _NEAR else math.ceil(y)


def scaled_down(x: float, scale: int) -> int:
    """x * scale as a whole number, rounded down."""
    y = x * scale
    nearest = math.floor(y + 0.5)
    return nearest if abs(y - nearest) <= _NEAR else math.floor(y)


def scaled_nearest(x: float, scale: int) -> int:
    """x * scale as the nearest whole number, halves up."""
    return math.floor(x * scale + 0.5)


def seconds_up(minutes: float) -> int:
    """A bottom time in minutes as whole seconds, rounded up."""
    return scaled_up(minutes, 60)


def seconds_down(minutes: float) -> int:
    """A surface interval in minutes as whole seconds, rounded down."""
    return scaled_down(minutes, 60)


def minutes_up(seconds: int) -> int:
    """The whole minutes with which a bottom time enters a table."""
    return ceil_div(seconds, 60)


def minutes_down(seconds: int) -> int:
    """The whole minutes of a surface interval that have passed."""
    return floor_div(seconds, 60)


def tenths_of_minutes_down(seconds: int) -> float:
    """A limit in seconds as shown to people: minutes, rounded down to 0.1."""
    return floor_div(seconds, 6) / 10


def tenths_up(x: float) -> float:
    """A share or a percentage as shown to people: rounded up to 0.1."""
    return scaled_up(x, 10) / 10
