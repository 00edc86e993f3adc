"""How fast a diver breathes: what work and a current do to the ordinary mean, and what to plan with.

RMV is litres a minute at the surface. The model ships with figures of `data/breathing.json` and is a
club's to change: a multiplier for each class of work, and one for each speed of swimming.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from teamdive.physics.chance import UPPER_95, exponential
from teamdive.physics.tables import load

BREATHING = load("breathing")
WORK: tuple[str, ...] = tuple(BREATHING["work"])
"""The classes of work, easiest first."""


@dataclass(frozen=True)
class Breathing:
    """Multipliers on a diver's ordinary working mean: by class of work, and (knots, multiplier) by speed."""

    work: tuple[float, ...]
    swimming: tuple[tuple[float, float], ...]
    own: bool = False


def multipliers(rows: Sequence[Sequence[float]]) -> tuple[tuple[float, float], ...]:
    """Rates by speed as multiples of the first."""
    return tuple((row[0], row[1] / rows[0][1]) for row in rows)


PUBLISHED = Breathing(
    tuple(BREATHING["work"][name][0] / BREATHING["work"][name][1] for name in WORK),
    multipliers(BREATHING["swimming"]),
)


def work_multiplier(work: str, model: Breathing = PUBLISHED) -> float:
    """What this class of work does to a diver's ordinary working mean."""
    return model.work[WORK.index(work)]


def current_multiplier(current_kn: float, model: Breathing = PUBLISHED) -> float | None:
    """What swimming at this speed does to a diver's ordinary working mean.

    That of the first speed at or below it, a straight line between speeds, None past the last figure known.
    """
    slowest, least = model.swimming[0]
    if current_kn <= slowest:
        return least
    for (kn_0, by_0), (kn_1, by_1) in pairwise(model.swimming):
        if current_kn <= kn_1:
            return by_0 + (by_1 - by_0) * (current_kn - kn_0) / (kn_1 - kn_0)
    return None


def upper_rate(mean: float, sd: float) -> float:
    """The RMV that a diver stays under nineteen times in twenty (log-normal, median `mean`)."""
    return mean * exponential(UPPER_95 * (sd / mean))
