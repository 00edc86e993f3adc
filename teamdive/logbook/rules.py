"""What the log says of a diver, from plain values. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta

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
