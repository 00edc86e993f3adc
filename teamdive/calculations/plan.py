"""A team's dive: how long, whose limit, which one, what is behind it, and what each diver's gauge must show."""

from __future__ import annotations

from typing import Any

from teamdive.calculations import backwards
from teamdive.calculations import backwards_sentences as sentences
from teamdive.calculations.backwards import bound_json, next_json, value_json
from teamdive.calculations.backwards_reading import Asked, read_asked
from teamdive.calculations.body import Errors, Fields
from teamdive.calculations.gas_answers import (
    breathing_json,
    cylinder_json,
    first_to_minimum_gas_json,
    first_to_turn_json,
    turn_json,
)
from teamdive.calculations.stops_owed import overstay
from teamdive.calculations.team_reading import Reading, read_team_settings
from teamdive.calculations.what_if import change_json, what_if
from teamdive.physics import options, slate
from teamdive.physics.dive import after
from teamdive.physics.diver import Diver, DiverLimits, Limit, TeamDive, said
from teamdive.physics.known import Missing, missing
from teamdive.physics.options import Outcome
from teamdive.physics.profile import Dive
from teamdive.physics.rounding import minutes_up, scaled_nearest, scaled_up, tenths_of_minutes_down, tenths_up
from teamdive.physics.tables import load
from teamdive.physics.team import LIMIT_NAMES, LIMITS, DiverPlan, TeamLimits
from teamdive.physics.units import depth_text, travel_s

SOURCES: dict[str, str] = load("plan_sources")


def plan(body: Any) -> dict[str, Any]:
    """Answer a team's dive.

    `body` is the parsed JSON of the question; the answer is ready for JSON. Depths in `depth_unit`, times in
    minutes, pressures in `pressure_unit`. Raises `Problem` with every error of the body. What cannot be
    answered is `{"not_known": [what is missing]}` in its place.
    """
    errors = Errors()
    fields = Fields(errors, body)
    reading = read_team_settings(fields)
    asked = read_asked(fields, reading)
    if asked.find == "order":
        return {"order": backwards.order_json(reading, asked), **_tail(reading)}
    return {**_plan(reading, asked), **_tail(reading)}


def _plan(reading: Reading, asked: Asked) -> dict[str, Any]:
    dive, divers, settings = asked.dive, asked.divers, reading.settings
    members, found = options.solve(dive, divers, settings)
    _warn(reading, dive, divers, found)
    answer: dict[str, Any] = {
        "team": _team(reading, asked, members, found),
        "divers": [
            _diver(reading, asked, member, own, found)
            for member, own in zip(members, found.divers, strict=True)
        ],
    }
    if asked.find == "surface_interval":
        answer["surface_interval"] = backwards.surface_interval(reading, asked, found)
    if asked.interval_steps:
        answer["interval_steps"] = backwards.interval_steps(reading, asked)
    coming = backwards.next_dive(reading, asked, members, slate.bottom_s(dive, found))
    if coming is not None:
        answer["next_dive"] = {"surface_interval": backwards.interval_json(coming)}
    if asked.what_if:
        answer["what_if"] = what_if(reading, asked, found)
    past = overstay(dive, members, settings, asked.overstay)
    if past is not None:
        answer["overstay"] = past
    return answer


def _tail(reading: Reading) -> dict[str, Any]:
    settings = reading.settings
    return {
        "method": settings.dive.method,
        "gf": [settings.dive.gf_low_pm / 1000, settings.dive.gf_high_pm / 1000],
        "sharing": {
            "stressed_rmv_l_min": settings.sharing.stressed_rmv_l_min,
            "delay_at_depth_min": settings.sharing.delay_min,
            "surface_reserve": tenths_up(settings.sharing.surface_reserve),
            "regulator_minimum": tenths_up(settings.sharing.regulator_minimum),
        },
        "gas_law": reading.gas_law,
        "warnings": reading.warnings,
        "sources": SOURCES,
    }


# --- the team ----------------------------------------------------------------------------------------------


def _team(
    reading: Reading, asked: Asked, members: tuple[DiverLimits, ...], found: TeamLimits
) -> dict[str, Any]:
    dive, settings = asked.dive, reading.settings
    stay_s = slate.bottom_s(dive, found)
    answer: dict[str, Any] = {
        "limits": {kind: {**_limit(found.limits[kind]), "diver": found.owners[kind]} for kind in LIMITS},
        **bound_json(found.limit),
    }
    if found.at_most is not None:
        answer["at_most"] = next_json(found.at_most)
    answer["next_limit"] = None if found.next_limit is None else next_json(found.next_limit)
    turning = slate.first_to_turn(dive, members, found, settings)
    ending = slate.first_to_minimum_gas(dive, members, found, settings)
    answer["first_to_turn"] = first_to_turn_json(turning, members)
    answer["first_to_minimum_gas"] = first_to_minimum_gas_json(ending, members)
    if dive.task_unit_min is not None:
        last = slate.last_start_s(dive, members, stay_s)
        answer["last_start_min"] = None if last is None else last // 60
    return {
        **answer,
        "run_time_min": None if stay_s == 0 else minutes_up(stay_s + slate.ascent_s(dive, settings, stay_s)),
        "profile": [] if stay_s == 0 else _profile(reading, dive, stay_s),
        "buys_time": [
            _outcome(o) for o in options.buys_time(dive, asked.divers, settings, found, asked.alternatives)
        ],
    }


def _limit(limit: Limit | Missing) -> dict[str, Any]:
    if isinstance(limit, Missing):
        return {"min": limit.as_json(), "reason": "Not known."}
    if limit.seconds is None:
        return {"min": None, "unlimited": True, "reason": limit.reason}
    return {"min": tenths_of_minutes_down(limit.seconds), "reason": limit.reason}


def _profile(reading: Reading, dive: TeamDive, stay_s: int) -> list[list[float]]:
    """[minute, depth] at every turn of the line; a bottom time shorter than the descent turns on the way down."""
    used = reading.settings.dive
    down_s = travel_s(dive.depth, used.descent, up=False)
    end_s = stay_s + slate.ascent_s(dive, reading.settings, stay_s)
    deepest = slate.reached(dive, reading.settings, stay_s)
    points = [(0, 0.0), (min(down_s, stay_s), deepest.number)]
    if down_s < stay_s:
        points.append((stay_s, deepest.number))
    if dive.stop_min > 0:
        stop = dive.stop_depth if dive.stop_depth.msw_e7 < deepest.msw_e7 else deepest
        left_s = end_s - travel_s(stop, used.ascent, up=True)
        points.append((left_s - scaled_up(dive.stop_min, 60), stop.number))
        points.append((left_s, stop.number))
    points.append((end_s, 0.0))
    return [[scaled_nearest(second / 60, 10) / 10, at] for second, at in points]


# --- a diver -----------------------------------------------------------------------------------------------


def _diver(
    reading: Reading, asked: Asked, member: DiverLimits, own: DiverPlan, found: TeamLimits
) -> dict[str, Any]:
    dive = asked.dive
    stay_s = slate.bottom_s(dive, found)
    diver = member.diver
    flying = backwards.flight_json(asked, dive, member, stay_s, reading.settings)
    return {
        "id": diver.id,
        "limits": {kind: _limit(own.limits[kind]) for kind in LIMITS},
        "limit_min": bound_json(own.limit)["limit_min"],
        "limited_by": bound_json(own.limit)["limited_by"],
        "minimum_gas": value_json(own.minimum_gas),
        **turn_json(dive, own, reading.settings),
        "gas_at_surface": None
        if stay_s == 0
        else value_json(slate.gas_at_surface(dive, member, stay_s, reading.settings)),
        "mod": member.mod.as_json() if isinstance(member.mod, Missing) else member.mod.hundredths // 100,
        "group_before": _group(diver, member.no_stop.group_before),
        "group_after": None if stay_s == 0 else _group_after(reading, dive, member, stay_s),
        "breathing": breathing_json(dive, member, reading.settings),
        "cylinder": cylinder_json(diver, own),
        "counts_as_sharing": diver.can_share,
        **({} if flying is None else {"flight": flying}),
        **({"frees": sentences.frees(diver.id)} if diver.earlier is None else {}),
    }


def _group(diver: Diver, group: str | Missing | None) -> Any:
    if diver.earlier is None:
        return missing(f"earlier dives of diver {diver.id}").as_json()
    return value_json(group)


def _group_after(reading: Reading, dive: TeamDive, member: DiverLimits, stay_s: int) -> Any:
    diver = member.diver
    made = Dive(dive.depth, stay_s, diver.mix, 0, diver.caution, dive.next_longer)
    answer, _ = after(member.state, made, reading.settings.dive)
    return _group(diver, answer.group_after)


def _outcome(outcome: Outcome) -> dict[str, Any]:
    return {
        **change_json(outcome.change),
        **bound_json(outcome.limit),
        "gain_min": outcome.gain_s // 6 / 10,
    }


# --- warnings ----------------------------------------------------------------------------------------------


def _warn(reading: Reading, dive: TeamDive, divers: tuple[Diver, ...], found: TeamLimits) -> None:
    if not isinstance(found.limit, Missing) and found.limit.seconds < dive.bottom_time_s:
        whose = "" if found.limit.diver is None else f" of diver {found.limit.diver}"
        message = (
            f"{said(dive.bottom_time_s / 60)} min asked; not more than "
            f"{said(tenths_of_minutes_down(found.limit.seconds))} min: "
            f"{LIMIT_NAMES[found.limit.limited_by]}{whose}."
        )
        reading.warn("longer_than_limit", "/dive/bottom_time_min", message)
    stay_s = slate.bottom_s(dive, found)
    down_s = travel_s(dive.depth, reading.settings.dive.descent, up=False)
    if 0 < stay_s < down_s:
        message = (
            f"{said(tenths_of_minutes_down(stay_s))} min is shorter than the descent, "
            f"{said(tenths_up(down_s / 60))} min to {depth_text(dive.depth)}: "
            "the team would turn on the way down. Plan a shallower dive."
        )
        reading.warn("shorter_than_descent", "/dive/depth", message)
    if len(divers) == 1:
        message = "A plan is for a team: a second diver at the stressed rate is counted for sharing."
        reading.warn("one_diver", "/divers", message)
    for i, diver in enumerate(divers):
        if len(divers) > 1 and not any(other.can_share for other in divers if other is not diver):
            message = f"Nobody counts as the one who shares with diver {diver.id}: no junior, no supervised diver does."
            reading.warn("nobody_to_share", f"/divers/{i}", message)
