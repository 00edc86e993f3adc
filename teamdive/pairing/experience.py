"""How many steps a diver takes at once on a dive, from the joint record of what was done.

Maxima say too little: someone who has been this deep, and elsewhere has done this task, has not done
both at once. So each past dive is held against the whole demand: it lacks the dimensions it does not
cover. The stretches of a diver are the least number of dimensions to strike out of the demand so that
the past dives that cover all the rest weigh 1 together (3 for leading). With every dimension struck
nothing is left to be covered. A log that is not known covers nothing.

A group of `count` equal dives weighs count x the weight of its latest day: 1 under 6 months old, a half
to 12, a quarter to 24, then 0 (reckoned by the calendar; kept in quarters, so in integers).

The depth bands are those of scientific diving: 30, 60, 100, 130, 150, 190 ft or 9, 18, 30, 40, 46, 58 m
(AAUS Standards for Scientific Diving, depth authorisations; the figures from memory). They serve here
only, never for entering a table. The other tolerances are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

from teamdive.pairing.days import days_between, months_later
from teamdive.pairing.model import EQUIPMENT, LAY_OFF, Demands, Done, Experience, Policy

BAND_EDGES = {
    "m": (900, 1800, 3000, 4000, 4600, 5800),
    "ft": (3000, 6000, 10000, 13000, 15000, 19000),
}
# One step of margin in each dimension; in lay-off a step is this many days under the limit.
DEPTH_STEP = {"m": 300, "ft": 1000}
CURRENT_STEP = 250
WATER_TEMP_STEP = 30
LAY_OFF_STEP_DAYS = 30
MARGIN_CAP = 4
QUARTERS = 4
# Dimensions that have no steps beyond the demand, or none that an edge is judged by.
UNGRADED = ("night", "site", LAY_OFF)

# A past dive, what it lacks of the demand, and its weight in quarters.
Record = list[tuple[Done, tuple[str, ...], int]]


@dataclass(frozen=True)
class Nearest:
    """The past dive that lacks least, and what it lacks."""

    done: Done
    lacks: tuple[str, ...]


@dataclass(frozen=True)
class Standing:
    """How a diver stands to one dive.

    `stretches` counts `dimensions` struck; `kind` is none, new, not_recent, combination or lay_off.
    `any_of`: every dimension that some least way of striking touches (the mate needs margin in all).
    `practised`: nothing of it is new at the weight asked of a leader. `margins`: steps beyond the
    demand, 0 to 4, per dimension. `at_edge`: no step to spare in some dimension.
    """

    stretches: int
    dimensions: tuple[str, ...]
    any_of: tuple[str, ...]
    kind: str
    log_known: bool
    lay_off_known: bool
    practised: bool
    margins: tuple[tuple[str, int], ...]
    at_edge: bool
    days_since: int | None
    nearest: Nearest | None


def band_edge(depth: int, unit: str) -> int:
    """The deep edge of the band a depth lies in; past the last band the depth itself."""
    return next((edge for edge in BAND_EDGES[unit] if depth <= edge), depth)


def visibility_class(centimetres: int, edges: tuple[int, ...]) -> int:
    """0 is the worst; a value on an edge is of the clearer class."""
    return sum(1 for edge in edges if centimetres >= edge)


def quarters(done_on: int, on: int, months: tuple[int, int, int]) -> int:
    """What one dive of that day weighs on the day `on`: 4, 2, 1 or 0 quarters."""
    for limit, weight in zip(months, (4, 2, 1), strict=True):
        if on < months_later(done_on, limit):
            return weight
    return 0


def lacks(done: Done, demands: Demands, policy: Policy) -> tuple[str, ...]:
    """The dimensions of the demand that this past dive does not cover."""
    return tuple(name for name in demands.dimensions() if not _covers(name, done, demands, policy))


def _covers(name: str, done: Done, demands: Demands, policy: Policy) -> bool:
    if name == "depth":
        return band_edge(done.depth, demands.unit) >= demands.depth
    if name == "current":
        return (done.current or 0) + policy.current_tolerance >= (demands.current or 0)
    if name == "visibility":
        edges = policy.visibility_edges
        had = len(edges) if done.visibility is None else visibility_class(done.visibility, edges)
        return had - policy.visibility_tolerance <= visibility_class(demands.visibility or 0, edges)
    if name == "cold":
        return done.water_temp is not None and (
            done.water_temp - policy.water_temp_tolerance <= (demands.water_temp or 0)
        )
    if name == "night":
        return done.night
    if name == "site":
        return all(kind in done.site for kind in demands.site)
    had_task, asked = done.task, demands.task
    return (
        asked is not None
        and had_task is not None
        and had_task.kind == asked.kind
        and had_task.level >= asked.level
    )


def standing(
    experience: Experience | None, demands: Demands, on: int, policy: Policy, new_equipment: bool = False
) -> Standing:
    """How a diver with this record stands to this dive on the day `on`.

    Equipment or a mix never used before is a dimension of its own, like a lay-off: no past dive covers it.
    """
    names = demands.dimensions()
    done = None if experience is None else experience.done
    last, lay_off_known = _last_dive(experience, on, policy)
    since = None if last is None else days_between(last, on)
    away = since is not None and since > policy.lay_off_days
    record = record_of(experience, demands, on, policy)
    struck, ways = _least(record, names, QUARTERS * policy.covered_weight)
    lead_struck, _ = _least(record, names, QUARTERS * policy.lead_weight)
    own = ((EQUIPMENT,) if new_equipment else ()) + ((LAY_OFF,) if away else ())
    stretches = len(struck) + len(own)
    practised = done is not None and lay_off_known and not own and not lead_struck
    need = QUARTERS * (policy.lead_weight if practised else policy.covered_weight)
    margins = _margins(record, names, demands, policy, need)
    if since is not None:
        spare = (policy.lay_off_days - since) // LAY_OFF_STEP_DAYS
        margins = (*margins, (LAY_OFF, min(MARGIN_CAP, max(0, spare))))
    margins = (*margins, (EQUIPMENT, 0 if new_equipment else MARGIN_CAP))
    touched = tuple(name for name in names if any(name in way for way in ways))
    return Standing(
        stretches=stretches,
        dimensions=(*struck, *own),
        any_of=(*touched, *own),
        kind=_kind(record, struck, own),
        log_known=done is not None,
        lay_off_known=lay_off_known,
        practised=practised,
        margins=margins,
        at_edge=stretches > 0
        or done is None
        or any(steps == 0 for name, steps in margins if name not in UNGRADED),
        days_since=since,
        nearest=_nearest(record),
    )


def record_of(experience: Experience | None, demands: Demands, on: int, policy: Policy) -> Record:
    """Every past dive with what it lacks of this demand and what it weighs on that day."""
    done = None if experience is None else experience.done
    return [(one, lacks(one, demands, policy), _weight(one, on, policy)) for one in done or ()]


def _weight(done: Done, on: int, policy: Policy) -> int:
    return done.count * quarters(done.on, on, policy.fresh_months)


def _last_dive(experience: Experience | None, on: int, policy: Policy) -> tuple[int | None, bool]:
    """The day to count a lay-off from, and whether a lay-off can be judged.

    The stated last dive counts, also where the log holds a later one: of two claims the earlier is the
    cautious one here. Where none is stated, a logged dive inside the limit shows that there is no
    lay-off; an older one shows nothing, for there may have been others since.
    """
    if experience is None:
        return None, False
    if experience.last_dive is not None:
        return experience.last_dive, True
    logged = max((one.on for one in experience.done or ()), default=None)
    if logged is not None and days_between(logged, on) <= policy.lay_off_days:
        return logged, True
    return None, False


def _least(
    record: Record, names: tuple[str, ...], need: int
) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """The first of the least ways of striking, in the order of the dimensions, and all of that size."""
    ways: list[tuple[str, ...]] = []
    for size in range(len(names)):
        for way in _choose(names, size):
            if sum(weight for _, lacking, weight in record if all(name in way for name in lacking)) >= need:
                ways.append(way)
        if ways:
            return ways[0], ways
    return names, [names]


def _choose(names: tuple[str, ...], size: int) -> list[tuple[str, ...]]:
    if size == 0:
        return [()]
    chosen: list[tuple[str, ...]] = []
    for at in range(len(names) - size + 1):
        chosen += [(names[at], *rest) for rest in _choose(names[at + 1 :], size - 1)]
    return chosen


def _kind(record: Record, struck: tuple[str, ...], own: tuple[str, ...]) -> str:
    if not struck:
        return "new" if EQUIPMENT in own else LAY_OFF if own else "none"
    if any(all(name in lacking for _, lacking, _ in record) for name in struck):
        return "new"
    for name in struck:
        if sum(weight for _, lacking, weight in record if name not in lacking) < QUARTERS:
            return "not_recent"
    return "combination"


def _margins(
    record: Record, names: tuple[str, ...], demands: Demands, policy: Policy, need: int
) -> tuple[tuple[str, int], ...]:
    """Steps by which one demand could be harder while the same joint dives still weigh enough.

    Raw values, no tolerance: the margin is what was really there.
    """
    covering = [(one, weight) for one, lacking, weight in record if not lacking]
    found: list[tuple[str, int]] = []
    for name in names:
        scored = sorted(
            ((_beyond(name, one, demands, policy), weight) for one, weight in covering), reverse=True
        )
        total, steps = 0, 0
        for beyond, weight in scored:
            total += weight
            if total >= need:
                steps = min(MARGIN_CAP, max(0, beyond))
                break
        found.append((name, steps))
    return tuple(found)


def _beyond(name: str, done: Done, demands: Demands, policy: Policy) -> int:
    if name == "depth":
        return (done.depth - demands.depth) // DEPTH_STEP[demands.unit]
    if name == "current":
        return ((done.current or 0) - (demands.current or 0)) // CURRENT_STEP
    if name == "visibility":
        edges = policy.visibility_edges
        had = len(edges) if done.visibility is None else visibility_class(done.visibility, edges)
        return visibility_class(demands.visibility or 0, edges) - had
    if name == "cold" and done.water_temp is not None:
        return ((demands.water_temp or 0) - done.water_temp) // WATER_TEMP_STEP
    if name == "task" and done.task is not None and demands.task is not None:
        return done.task.level - demands.task.level
    return 0


def nearest_first(record: Record) -> Record:
    """The past dives that lack least first; of equal ones the heavier, later, deeper."""
    return sorted(record, key=lambda one: (len(one[1]), -one[2], -one[0].on, -one[0].depth, one[1]))


def _nearest(record: Record) -> Nearest | None:
    if not record:
        return None
    done, lacking, _ = nearest_first(record)[0]
    return Nearest(done, lacking)
