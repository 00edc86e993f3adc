"""The next single step of a diver for whom a dive takes more than one: which demands to relax.

One dimension at a time and one depth band at a time (AAUS 4.40, from memory, for depth; common practice
for the rest): deeper, or this task at the present depth, not both. What is kept of the other demands is
what the diver's own past dives cover together, so that the proposed dive takes exactly one stretch.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from teamdive.pairing.case import Case
from teamdive.pairing.experience import (
    BAND_EDGES,
    QUARTERS,
    band_edge,
    nearest_first,
    record_of,
    visibility_class,
)
from teamdive.pairing.model import (
    EQUIPMENT,
    LAY_OFF,
    Demands,
    Done,
    Person,
    Policy,
    Task,
    decimal,
    depth_text,
    listed,
)
from teamdive.pairing.rules_experience import NAMES


@dataclass(frozen=True)
class Step:
    """A dive that stretches the diver in `stretch` alone. `relaxed`: the dimensions where `demands` asks less."""

    stretch: str
    demands: Demands
    relaxed: tuple[str, ...]


def next_steps(person: Person, case: Case) -> tuple[Step, ...]:
    """The dives of the day, each one stretch away; none where one or no stretch is asked already.

    After a lay-off or with new equipment that is the step, and everything else is relaxed to what was done.
    """
    now = case.standings[person.id]
    if not now.log_known or now.stretches < 2:
        return ()
    own = [name for name in now.dimensions if name in (LAY_OFF, EQUIPMENT)]
    struck = tuple(name for name in now.dimensions if name not in own)
    base = _base(person, case, struck)
    if len(own) > 1:
        return ()
    if own or not base:
        easy = _easy(case.demands, base, struck, case.policy)
        return (Step(own[0] if own else "depth", easy, struck),)
    steps = []
    for kept in struck:
        others = tuple(name for name in struck if name != kept)
        easy = _easy(case.demands, base, others, case.policy)
        if kept == "depth":
            easy, others = _one_band(easy, base, others)
        steps.append(Step(kept, easy, others))
    return tuple(steps)


def _base(person: Person, case: Case, struck: tuple[str, ...]) -> list[Done]:
    """The past dives nearest to this one that cover what is not struck and weigh one together; [] if none do."""
    kept: list[Done] = []
    total = 0
    for done, lacking, weight in nearest_first(
        record_of(person.experience, case.demands, case.on, case.policy)
    ):
        if weight and all(name in struck for name in lacking):
            kept.append(done)
            total += weight
            if total >= QUARTERS * case.policy.covered_weight:
                return kept
    return []


def _easy(demands: Demands, base: list[Done], relaxed: tuple[str, ...], policy: Policy) -> Demands:
    """The demands with those relaxed that past dives do not cover; with none, the shallowest dive there is."""
    depth, current, visibility = demands.depth, demands.current, demands.visibility
    water_temp, task, site = demands.water_temp, demands.task, demands.site
    unit = demands.unit
    if "depth" in relaxed:
        edge = min((band_edge(done.depth, unit) for done in base), default=BAND_EDGES[unit][0])
        depth = min(depth, edge)
    if "current" in relaxed:
        had = min((done.current or 0 for done in base), default=None)
        current = None if had is None else min(current or 0, had + policy.current_tolerance)
    if "visibility" in relaxed:
        edges = policy.visibility_edges
        seen = [len(edges) if d.visibility is None else visibility_class(d.visibility, edges) for d in base]
        least = max(seen, default=len(edges)) - policy.visibility_tolerance
        visibility = edges[least - 1] if 0 < least <= len(edges) else None
    if "cold" in relaxed:
        temperatures = [done.water_temp for done in base]
        known = [one for one in temperatures if one is not None]
        whole = base and len(known) == len(temperatures)
        water_temp = max(known) - policy.water_temp_tolerance if whole else None
    if "task" in relaxed:
        task = _common_task(demands, base)
    if "site" in relaxed:
        site = tuple(kind for kind in site if base and all(kind in done.site for done in base))
    night = demands.night and "night" not in relaxed
    return Demands(unit, depth, current, visibility, water_temp, night, task, site)


def _common_task(demands: Demands, base: list[Done]) -> Task | None:
    """The task at the level that all of these dives held, if they did."""
    wanted = demands.task
    levels = [
        done.task.level
        if done.task is not None and wanted is not None and done.task.kind == wanted.kind
        else 0
        for done in base
    ]
    least = min(levels, default=0)
    return None if wanted is None or least == 0 else Task(wanted.kind, min(least, wanted.level))


def _one_band(easy: Demands, base: list[Done], relaxed: tuple[str, ...]) -> tuple[Demands, tuple[str, ...]]:
    """The step in depth goes to the end of the next band and no further."""
    reached = min(band_edge(done.depth, easy.unit) for done in base)
    following = next((edge for edge in BAND_EDGES[easy.unit] if edge > reached), easy.depth)
    if easy.depth <= following:
        return easy, relaxed
    return replace(easy, depth=following), ("depth", *relaxed)


def step_text(step: Step, case: Case) -> str:
    """deeper, to 27 m, in no more than 0.35 kn and without a task"""
    limits = [_relaxed_text(name, step.demands) for name in step.relaxed if name != "depth"]
    depth = depth_text(step.demands.depth, step.demands.unit)
    if step.stretch == "depth":
        text = f"deeper, to {depth}"
    elif step.stretch in (LAY_OFF, EQUIPMENT):
        text = f"{OWN_STEP[step.stretch]}, not deeper than {depth}"
    else:
        where = f", not deeper than {depth}" if "depth" in step.relaxed else ""
        text = f"{NAMES[step.stretch]} as planned{where}"
    return f"{text}, {listed(limits)}" if limits else text


OWN_STEP = {LAY_OFF: "a first dive back", EQUIPMENT: "a first dive in new equipment"}


def _relaxed_text(name: str, asked: Demands) -> str:
    if name == "current":
        return (
            "without current" if asked.current is None else f"in no more than {decimal(asked.current, 3)} kn"
        )
    if name == "visibility":
        seen = asked.visibility
        return "in clear water" if seen is None else f"in {decimal(seen, 2)} m of visibility or more"
    if name == "cold":
        warm = asked.water_temp
        return "in warm water" if warm is None else f"in {decimal(warm, 1)} °C or warmer"
    if name == "night":
        return "by day"
    if name == "task":
        return "without the task" if asked.task is None else f"with the task at level {asked.task.level}"
    return "at a kind of site known to them"


def proposal_text(name: str, steps: tuple[Step, ...], case: Case) -> str:
    """One sentence for the leader."""
    if len(steps) == 1:
        return f"Next for {name}: {step_text(steps[0], case)}."
    return (
        f"Next for {name}, one of these and not together: {'; or '.join(step_text(s, case) for s in steps)}."
    )
