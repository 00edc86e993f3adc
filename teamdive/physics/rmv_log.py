"""A diver's breathing rate from their own log, drawn towards the group while the dives are few.

Rates are log-normal: the logarithm of a dive's rate scatters about the diver's own (`within`), and the
divers' own about the group's (`between`). With both known the best estimate has a closed form, the
normal-normal one of any textbook: a mean weighted by how much each side is worth, and for the coming dive
the spread of one dive beside what is still unknown of the diver. The spread of one dive is pooled: the
group's, counted as so many dives, with the diver's own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from teamdive.physics.chance import exponential, natural_log, root

USUAL_BETWEEN = 0.25
USUAL_WITHIN = 0.15
GROUP_DIVES = 8
"""Our own choice where a club gives no figure of its own."""


@dataclass(frozen=True)
class Group:
    """The group's median rate in L/min, and the spread between its divers and between the dives of one (of the log)."""

    median: float
    between: float = USUAL_BETWEEN
    within: float = USUAL_WITHIN


@dataclass(frozen=True)
class Rate:
    """A diver's median rate in L/min and its spread on the coming dive, and the weight of the diver's own log."""

    median: float
    spread: float
    dives: int
    own_weight: float


def rate_from_log(rates: Sequence[float], group: Group) -> Rate:
    """What to expect of the next dive. `rates` are those of past dives at ordinary work, L/min; none is the group's."""
    n = len(rates)
    logs = [natural_log(rate) for rate in rates]
    mean = _sum(logs) / n if n > 0 else 0.0
    scatter = _sum([(one - mean) * (one - mean) for one in logs])
    more = n - 1 if n > 0 else 0
    within = (GROUP_DIVES * (group.within * group.within) + scatter) / (GROUP_DIVES + more)
    between = group.between * group.between
    of_group = natural_log(group.median)
    weight = n * between / (n * between + within) if n > 0 else 0.0
    unknown = between * (1.0 - weight)
    return Rate(
        median=exponential(of_group + weight * (mean - of_group)),
        spread=root(within + unknown),
        dives=n,
        own_weight=weight,
    )


def _sum(values: Sequence[float]) -> float:
    """Added one after the other, so that both languages get the same bits."""
    total = 0.0
    for value in values:
        total = total + value
    return total
