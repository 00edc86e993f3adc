"""The sentences of a plan answered backwards, in whole minutes, limits down and waits up."""

from __future__ import annotations

from typing import Any

from teamdive.physics.diver import TeamDive, said
from teamdive.physics.flight import LatestSurfacing
from teamdive.physics.interval import Interval, Never
from teamdive.physics.known import Missing
from teamdive.physics.no_fly import PASSED
from teamdive.physics.options import Change
from teamdive.physics.order import Order
from teamdive.physics.rounding import minutes_up
from teamdive.physics.tables import NOT_REPETITIVE_AFTER_MIN
from teamdive.physics.team import LIMIT_NAMES, Bound
from teamdive.physics.units import depth_text
from teamdive.physics.waiting import Steps

METHODS = {"table": "by the table", "tissue": "by the tissue model", "club": "by the club's own rule"}

CLEAR_MIN = NOT_REPETITIVE_AFTER_MIN["Z"]


def missing(unknown: Missing) -> str:
    return f"not known: {', '.join(unknown.what)}"


def limit(bound: Bound) -> str:
    """'not more than 17 min (diver b: gas)'."""
    return f"not more than {bound.seconds // 60} min ({whose(bound)})"


def whose(bound: Bound) -> str:
    name = LIMIT_NAMES[bound.limited_by]
    return name if bound.diver is None else f"diver {bound.diver}: {name}"


def change(asked: Change) -> str:
    by, to = said(asked.by or 0), said(asked.to or 0)
    if asked.code == "deeper":
        return f"{by} {asked.unit} deeper ({to} {asked.unit})"
    if asked.code == "longer":
        return f"{by} min longer ({to} min)"
    return f"{by} min less on the surface"


def what_if(head: str, found: Bound | Missing, now: Bound | Missing) -> str:
    """The new limit in one sentence, and how much less it is."""
    if isinstance(found, Missing):
        return f"{head}: {missing(found)}."
    if found.limited_by == "planned":
        return f"{head}: the planned {found.seconds // 60} min still fit."
    if found.seconds < 60:
        return f"{head}: no dive ({whose(found)})."
    less = 0 if isinstance(now, Missing) else now.seconds // 60 - found.seconds // 60
    return f"{head}: {limit(found)}{f'; {less} min less' if less > 0 else ''}."


def longer(head: str, found: Bound | Missing, obliges: dict[str, Any]) -> str:
    """Whether it fits and what it obliges."""
    if isinstance(found, Missing):
        return f"{head}: {missing(found)}."
    if obliges["beyond_min"] > 0:
        ashore = "; then no further dive for at least 24 h" if obliges["no_dive_for_min"] > 0 else ""
        return f"{head}: {obliges['beyond_min']} min too long, {limit(found)}{ashore}."
    parts = [f"{head}: it fits"]
    if isinstance(obliges["group_after"], str):
        parts.append(f"group {obliges['group_after']} after it")
    least = obliges.get("next_dive")
    if least is not None and "min" in least:
        parts.append(f"the next dive {least['min']} min after surfacing")
    elif least is not None and "none" in least:
        parts.append("no wait makes the next dive possible")
    return f"{'; '.join(parts)}."


def interval(least: Interval) -> str:
    """'Not less than 53 min, asked by the table for diver a'."""
    if least.diver is None:
        return "No wait: nobody has a dive before it."
    return f"Not less than {least.min} min on the surface{_asked(least)}."


def _asked(least: Interval) -> str:
    if least.asked_by is None:
        return ": under it two dives are one"
    text = f", {METHODS[least.asked_by]} for diver {least.diver}"
    other = {"table": least.tissue_min, "tissue": least.table_min}.get(least.asked_by)
    if isinstance(other, int) and least.asked_by == "table":
        return f"{text}; {other} {METHODS['tissue']}"
    if isinstance(other, int) and least.asked_by == "tissue":
        return f"{text}; {other} {METHODS['table']}"
    return text


def steps(found: Steps) -> str:
    """What the next step is worth: '4 min of waiting buy 7: then not more than 57 min'."""
    if not found.steps:
        return f"Waiting does not help: {limit(found.ends)}."
    step = found.steps[0]
    return f"{step.after_min} min more on the surface buy {step.gain_min}: {limit(step.limit)}."


def order(dives: tuple[TeamDive, ...], each: Order) -> str:
    """The dives in their order and the price of it in waiting."""
    if each.refused is not None:
        return each.refused
    head = ", then ".join(
        f"{depth_text(dives[i].depth)} for {minutes_up(dives[i].bottom_time_s)} min" for i in each.dives
    )
    if isinstance(each.none, Missing):
        return f"{head}: {missing(each.none)}."
    if isinstance(each.none, Never):
        return f"{head}: {each.none.why}"
    waits = [(place, leg) for place, leg in enumerate(each.legs) if leg.waiting_min > 0]
    if len(waits) == 1:
        return f"{head}: {each.waiting_min} min of waiting{_asked(waits[0][1].wait)}."
    parts = [f"; {leg.waiting_min} before dive {place + 1}{_asked(leg.wait)}" for place, leg in waits]
    return f"{head}: {each.waiting_min} min of waiting{''.join(parts)}."


def frees(diver: str) -> str:
    """The one fact that frees a diver whose earlier dives are not known."""
    hours, minutes = CLEAR_MIN // 60, CLEAR_MIN % 60
    return (
        f"One fact frees diver {diver}: when the last dive surfaced. Within no-stop limits the highest group is Z, "
        f"clear after {hours} h {minutes} min: longer ago than that there is no dive in the table's reach. Or say with "
        "whom it was made."
    )


def flight(diver: str, found: LatestSurfacing, surfaces: int) -> str:
    """When the diver must be out, why, and how this dive stands to it."""
    latest = found.latest_min
    if isinstance(latest, Missing):
        return f"Flight of diver {diver}: {missing(latest)}."
    if latest < surfaces:
        return (
            f"Diver {diver} would surface {surfaces - latest} min too late for the flight ({found.wait.rule}): "
            "not this dive."
        )
    return (
        f"Diver {diver} must be at the surface within {latest} min of this descent ({found.wait.rule}); "
        f"planned after {surfaces} min. Then {PASSED}."
    )
