"""Plans answered backwards, as JSON: intervals, the steps in which waiting pays, orders of dives, flights."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from teamdive.calculations import backwards_sentences as sentences
from teamdive.calculations.backwards_reading import Asked
from teamdive.calculations.team_reading import Reading
from teamdive.physics import flight, interval, options, order, slate, waiting
from teamdive.physics.diver import Diver, DiverLimits, TeamDive, TeamSettings
from teamdive.physics.interval import Interval, Never, OwnInterval
from teamdive.physics.known import Missing
from teamdive.physics.nitrogen import NitrogenState
from teamdive.physics.profile import Method
from teamdive.physics.rounding import minutes_up, tenths_of_minutes_down
from teamdive.physics.team import Bound, TeamLimits
from teamdive.physics.waiting import Steps

BOTH: tuple[Method, ...] = ("table", "tissue")


def bound_json(bound: Bound | Missing) -> dict[str, Any]:
    if isinstance(bound, Missing):
        return {"limit_min": bound.as_json(), "limited_by": None, "limiting_diver": None}
    return {
        "limit_min": tenths_of_minutes_down(bound.seconds),
        "limited_by": bound.limited_by,
        "limiting_diver": bound.diver,
    }


def next_json(bound: Bound) -> dict[str, Any]:
    return {
        "min": tenths_of_minutes_down(bound.seconds),
        "limited_by": bound.limited_by,
        "diver": bound.diver,
    }


def value_json(value: Any) -> Any:
    return value.as_json() if isinstance(value, Missing) else value


# --- intervals ---------------------------------------------------------------------------------------------


def surface_interval(reading: Reading, asked: Asked, found: TeamLimits) -> dict[str, Any]:
    """The least interval; `without`: what it would be if one member sat out, or somebody else dived instead."""
    dive, settings = asked.dive, reading.settings
    least = interval.least_interval(dive, asked.divers, settings, found, reading.least_interval_min)
    answer = interval_json(least)
    if len(asked.divers) == 1:
        return answer
    without = [
        _without(reading, dive, diver, [other for other in asked.divers if other is not diver], None)
        for diver in asked.divers
    ]
    if isinstance(least, Interval) and least.diver is not None:
        for other in asked.alternatives:
            team = [other if diver.id == least.diver else diver for diver in asked.divers]
            out = next(diver for diver in asked.divers if diver.id == least.diver)
            without.append(_without(reading, dive, out, team, other.id))
    return {**answer, "without": without}


def _without(
    reading: Reading, dive: TeamDive, out: Diver, team: list[Diver], instead: str | None
) -> dict[str, Any]:
    settings = reading.settings
    _, found = options.solve(dive, team, settings)
    least = interval.least_interval(dive, team, settings, found, reading.least_interval_min)
    return {"without": out.id, "with": instead, **_brief(least)}


def _brief(least: Interval | Never | Missing) -> dict[str, Any]:
    if isinstance(least, Missing):
        return least.as_json()
    if isinstance(least, Never):
        return {"none": least.why}
    return {"min": least.min, "diver": least.diver, "asked_by": least.asked_by}


def interval_json(least: Interval | Never | Missing) -> dict[str, Any]:
    """Minutes from each diver's own last surfacing; a method's minutes are null where no wait is long enough."""
    if not isinstance(least, Interval):
        return _brief(least)
    return {
        "min": least.min,
        "diver": least.diver,
        "more_min": least.more_min,
        "asked_by": least.asked_by,
        "table_min": value_json(least.table_min),
        "tissue_min": value_json(least.tissue_min),
        "divers": [_own_json(own) for own in least.divers],
        "message": sentences.interval(least),
    }


def _own_json(own: OwnInterval) -> dict[str, Any]:
    return {
        "id": own.diver,
        "min": own.min,
        "asked_by": own.asked_by,
        "table_min": value_json(own.table_min),
        "tissue_min": value_json(own.tissue_min),
    }


def interval_steps(reading: Reading, asked: Asked) -> dict[str, Any]:
    """The steps by the governing method, and by each of the two alone."""
    settings = reading.settings
    found = waiting.interval_steps(asked.dive, asked.divers, settings)
    if isinstance(found, Missing):
        return found.as_json()
    by_method: dict[str, Any] = {}
    for method in BOTH:
        alone = waiting.interval_steps(asked.dive, asked.divers, waiting.method_only(settings, method))
        by_method[method] = alone.as_json() if isinstance(alone, Missing) else _steps_json(alone)
    return {
        **bound_json(found.now),
        "steps": _steps_json(found),
        "ends": next_json(found.ends),
        "more": found.more,
        **by_method,
        "message": sentences.steps(found),
    }


def _steps_json(found: Steps) -> list[dict[str, Any]]:
    return [
        {
            "after_min": step.after_min,
            "limit_min": tenths_of_minutes_down(step.limit.seconds),
            "gain_min": step.gain_min,
            "limited_by": step.limit.limited_by,
            "diver": step.limit.diver,
        }
        for step in found.steps
    ]


def next_dive(
    reading: Reading, asked: Asked, members: Sequence[DiverLimits], stay_s: int
) -> Interval | Never | Missing | None:
    """The interval that the dive after this one asks of the same divers; None where this one is no dive."""
    if asked.next_dive is None or stay_s == 0:
        return None
    used = reading.settings
    surfaced = [
        (member.diver, flight.after_dive(asked.dive, member, stay_s, used.dive)) for member in members
    ]
    return interval.interval_after(asked.next_dive, surfaced, used, reading.least_interval_min)


# --- the order of the day's dives --------------------------------------------------------------------------


def order_json(reading: Reading, asked: Asked) -> dict[str, Any]:
    """Every order with what it asks in waiting, the best first; `best` is null where none is possible."""
    found = order.orders(asked.dives, asked.divers, reading.settings, reading.least_interval_min)
    first = found[0]
    possible = first.none is None and first.refused is None
    return {
        "best": list(first.dives) if possible else None,
        "orders": [_one_order(asked.dives, each) for each in found],
    }


def _one_order(dives: tuple[TeamDive, ...], each: order.Order) -> dict[str, Any]:
    answer: dict[str, Any] = {"dives": list(each.dives), "deeper_later": each.reverse}
    if each.refused is not None:
        answer["refused"] = {"code": "deeper_later", "message": each.refused}
    elif each.none is not None:
        answer["waiting_min"] = each.none.as_json() if isinstance(each.none, Missing) else None
        if isinstance(each.none, Never):
            answer["none"] = each.none.why
    else:
        answer["waiting_min"] = each.waiting_min
        answer["legs"] = [
            {"dive": leg.dive, "wait_min": leg.waiting_min, **_asks(leg.wait), **bound_json(leg.limit)}
            for leg in each.legs
        ]
    return {**answer, "message": sentences.order(dives, each)}


def _asks(least: Interval) -> dict[str, Any]:
    return {
        "interval_min": least.min,
        "asked_by": least.asked_by,
        "asked_for": least.diver,
        "table_min": value_json(least.table_min),
        "tissue_min": value_json(least.tissue_min),
    }


# --- flights -----------------------------------------------------------------------------------------------


def flight_json(
    asked: Asked, dive: TeamDive, member: DiverLimits, stay_s: int, settings: TeamSettings
) -> dict[str, Any] | None:
    """When one diver must be at the surface for a known flight; None: no flight, or no dive before it."""
    known = asked.flights.get(member.diver.id)
    if known is None or stay_s == 0:
        return None
    surfaced: NitrogenState = flight.after_dive(dive, member, stay_s, settings.dive)
    found = flight.latest_surfacing(known, member.diver, surfaced, settings.dive)
    surfaces = minutes_up(stay_s + slate.ascent_s(dive, settings, stay_s))
    latest = found.latest_min
    return {
        "wait_min": value_json(found.wait.wait_min),
        "rule": found.wait.rule,
        "consensus_wait_min": value_json(found.wait.consensus_wait_min),
        "table_wait_min": value_json(found.wait.table_wait_min),
        "club_wait_min": found.wait.club_wait_min,
        "assumptions": list(found.wait.assumptions),
        "latest_surfacing_min": value_json(latest),
        "surfaces_min": surfaces,
        "spare_min": latest.as_json() if isinstance(latest, Missing) else latest - surfaces,
        "message": sentences.flight(member.diver.id, found, surfaces),
    }
