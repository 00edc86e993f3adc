"""What the log says of a diver, from plain values. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta
from decimal import Decimal

from teamdive.people.conversions import PSI_IN_BAR
from teamdive.physics.gas import ambient
from teamdive.physics.units import Depth, deeper_in

REACH = timedelta(days=4)
"""How long a dive counts for the next one: after 96 h the slowest compartment (half-time 635 min) holds a
five-hundredth of what the dive left in it, and the table's groups are long past."""


def dives_in_the_year_before(days: Iterable[tuple[date, int]], on: date) -> int:
    """How many dives (day, count) lie in the 365 days before `on`. A row of several equal dives, known only
    by the day of the latest, counts once: how many of the others are as fresh is not known."""
    start = on - timedelta(days=365)
    return sum(1 for day, _ in days if start <= day <= on)


def latest(*days: date | None) -> date | None:
    """The latest of the days that are known."""
    return max((day for day in days if day is not None), default=None)


def most(*numbers: int | None) -> int | None:
    """The greatest of the numbers that are known."""
    return max((number for number in numbers if number is not None), default=None)


def words(said: Iterable[str]) -> list[str]:
    """Short words as they are compared: one case, single spaces, each once, in the order of the alphabet.

    >>> words([" Wreck", "wall", "wreck "])
    ['wall', 'wreck']
    """
    return sorted({tidy for word in said if (tidy := " ".join(word.casefold().split()))})


_BAR = {"bar": 1.0, "psi": float(1 / PSI_IN_BAR)}
_RATES = (3.0, 120.0)


def rmv_l_min(
    *, used: int, unit: str, cylinder_dl: int, depth: Depth, bottom_s: int, run_s: int
) -> Decimal | None:
    """The breathing rate of a dive in L/min from two readings of the gauge, to a tenth: not less than.

    The gas used over pressure times time, as a plan counts it: the bottom time at the deepest, the way up at half of
    it. A diver who stayed shallower breathed more than this. None: nobody told when they started up, so that the
    whole time would count at the deepest, or the figure is none of a diver (the gauge, or the cylinder, is wrong).
    """
    if unit not in _BAR or used <= 0 or cylinder_dl <= 0 or not 0 < bottom_s < run_s:
        return None
    deepest = deeper_in(depth, "m").number
    minutes = (ambient(deepest) * bottom_s + ambient(deepest / 2) * (run_s - bottom_s)) / 60
    rate = used * _BAR[unit] * cylinder_dl / 10 / minutes
    return Decimal(str(round(rate, 1))) if _RATES[0] <= rate <= _RATES[1] else None
