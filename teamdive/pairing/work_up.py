"""The evenings before a trip that bring most people nearer to the dive it is for, each one step for them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from teamdive.pairing.case import Case
from teamdive.pairing.experience import standing
from teamdive.pairing.model import Demands, decimal, depth_text, listed
from teamdive.pairing.proposal import Step

MOST_EVENINGS = 3


@dataclass(frozen=True)
class Evening:
    """A dive that is one step for each of `serves`."""

    demands: Demands
    serves: tuple[str, ...]
    message: str


def evenings(case: Case, steps: Mapping[str, Sequence[Step]]) -> list[Evening]:
    """Up to three dives that are one step for most of those who want one; each diver once.

    `steps`: for each diver for whom the dive aimed at is too much the dives that are one step. Of equally useful
    dives the shallowest, then the first found.
    """
    wanting = {name for name, some in steps.items() if some}
    tried = list(dict.fromkeys(step.demands for some in steps.values() for step in some))
    found: list[Evening] = []
    while len(found) < MOST_EVENINGS and wanting:
        serving = [tuple(name for name in sorted(wanting) if _one_step(name, one, case)) for one in tried]
        at = min(range(len(tried)), key=lambda place: (-len(serving[place]), tried[place].depth, place))
        if not serving[at]:
            break
        text = f"A dive to {demands_text(tried[at])} is one step for {listed(serving[at])}."
        found.append(Evening(tried[at], serving[at], text))
        wanting -= set(serving[at])
    return found


def _one_step(name: str, demands: Demands, case: Case) -> bool:
    person = case.people[name]
    there = standing(person.experience, demands, case.on, case.policy, bool(person.new_equipment))
    return there.stretches == 1


def demands_text(demands: Demands) -> str:
    """27 m, 0.5 kn, survey at level 3"""
    parts = [depth_text(demands.depth, demands.unit)]
    if demands.current:
        parts.append(f"{decimal(demands.current, 3)} kn")
    if demands.visibility is not None:
        parts.append(f"{decimal(demands.visibility, 2)} m visibility")
    if demands.water_temp is not None:
        parts.append(f"{decimal(demands.water_temp, 1)} °C")
    if demands.night:
        parts.append("at night")
    if demands.task is not None:
        parts.append(f"{demands.task.kind} at level {demands.task.level}")
    return ", ".join([*parts, *demands.site])
