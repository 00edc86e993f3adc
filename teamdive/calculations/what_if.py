"""What changes if the team goes deeper, stays longer or leaves sooner: one sentence each, with its new limit."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from teamdive.calculations import backwards_sentences as sentences
from teamdive.calculations.backwards import bound_json, interval_json, value_json
from teamdive.calculations.backwards_reading import Asked
from teamdive.calculations.team_reading import USUAL_DEEPEST, Reading
from teamdive.physics import flight, interval, options, tables
from teamdive.physics.diver import DiverLimits, TeamDive, TeamSettings
from teamdive.physics.known import Missing
from teamdive.physics.nitrogen import Group
from teamdive.physics.options import Change
from teamdive.physics.rounding import minutes_up
from teamdive.physics.team import Bound, TeamLimits


def change_json(change: Change) -> dict[str, Any]:
    answer: dict[str, Any] = {
        "change": change.code,
        "diver": change.diver,
        "by": change.by,
        "to": change.to,
        "unit": change.unit,
    }
    if change.other is not None:
        answer["with"] = change.other
    return answer


def what_if(reading: Reading, asked: Asked, found: TeamLimits) -> list[dict[str, Any]]:
    """The three changes, each solved as a plan of its own."""
    return [_one(reading, asked, change, found.limit) for change in options.what_if(asked.dive, asked.divers)]


def _one(reading: Reading, asked: Asked, change: Change, now: Bound | Missing) -> dict[str, Any]:
    unit = reading.unit
    head = sentences.change(change)
    if change.dive.depth.hundredths > USUAL_DEEPEST[unit] and not reading.beyond_40_m_enabled:
        message = "Deeper than 40 m / 130 ft is not planned here."
        refused = {"code": "beyond_40_m", "message": message}
        return {**change_json(change), "refused": refused, "message": f"{head}: not planned here."}
    members, found = options.solve(change.dive, change.divers, reading.settings)
    answer = {**change_json(change), **bound_json(found.limit)}
    if change.code != "longer":
        return {**answer, "message": sentences.what_if(head, found.limit, now)}
    obliges = _obliges(reading, asked, change.dive, members, found)
    return {**answer, "obliges": obliges, "message": sentences.longer(head, found.limit, obliges)}


def _obliges(
    reading: Reading, asked: Asked, dive: TeamDive, members: Sequence[DiverLimits], found: TeamLimits
) -> dict[str, Any]:
    """What staying that long costs: minutes past the limit, 24 h ashore, the highest group, the next dive's wait."""
    if isinstance(found.limit, Missing):
        return found.limit.as_json()
    stay_s = dive.bottom_time_s
    past_s = stay_s - found.limit.seconds
    ashore = _ends_the_day(dive, members, stay_s, reading.settings)
    answer: dict[str, Any] = {
        "beyond_min": minutes_up(past_s) if past_s > 0 else 0,
        "no_dive_for_min": 1440 if ashore else 0,
        "group_after": None if past_s > 0 else value_json(_highest(dive, members, stay_s, reading.settings)),
    }
    if asked.next_dive is not None and past_s <= 0:
        surfaced = [(m.diver, flight.after_dive(dive, m, stay_s, reading.settings.dive)) for m in members]
        answer["next_dive"] = interval_json(
            interval.interval_after(asked.next_dive, surfaced, reading.settings, reading.least_interval_min)
        )
    return answer


def _ends_the_day(
    dive: TeamDive, members: Sequence[DiverLimits], stay_s: int, settings: TeamSettings
) -> bool:
    return any(flight.after_dive(dive, member, stay_s, settings.dive).beyond for member in members)


def _highest(dive: TeamDive, members: Sequence[DiverLimits], stay_s: int, settings: TeamSettings) -> Group:
    """The highest group on surfacing among the members; not known where one is not."""
    highest: str | None = None
    for member in members:
        group = flight.after_dive(dive, member, stay_s, settings.dive).surfaced_group
        if isinstance(group, Missing):
            return group
        highest = tables.higher_group(highest, group)
    return highest
