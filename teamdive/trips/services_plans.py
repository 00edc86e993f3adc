"""The plans of announced teams, worked out and worked out anew."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Any

from teamdive.calculations.plan import plan
from teamdive.calculations.problem import Problem

from . import rules, selectors
from .bodies import certified_hundredths, plan_body
from .models import Dive, Trip
from .person_facts import PersonFacts
from .services import UnableToChangeTrip


def plan_of_team(dive: Dive, people: Sequence[PersonFacts], stretched: Collection[str]) -> dict[str, Any]:
    """The answer of `plan` for a team, with the units it is in, who takes a step, and what was decided otherwise.

    `overrides` names whose certified depth the dive's overrides set aside, by whom and why: it does not end the dive
    then, and its place in the limits says so. Nothing else is lifted: a junior's depth, gas and oxygen stay.
    """
    certified = {str(f.booking.pk): certified_hundredths(f, dive) for f in people}
    aside = rules.depth_set_aside(dive.overrides, certified, dive.depth_hundredths)
    body = plan_body(dive, people, stretched, aside)
    units = {name: body[name] for name in ("depth_unit", "pressure_unit", "volume_unit", "on")}
    answer = plan(body)
    whose = {one["diver"]: one for one in aside}
    limits = [(one["id"], one["limits"]["certified_depth"]) for one in answer["divers"]]
    of_team = answer["team"]["limits"]["certified_depth"]
    for diver, limit in (*limits, (of_team["diver"], of_team)):
        if diver in whose:
            limit["reason"] = f"Set aside for this dive with a reason: {whose[diver]['reason']}"
    return {
        **units,
        "stretched": sorted(set(stretched) & {d["id"] for d in body["divers"]}),
        **({"overrides": aside} if aside else {}),
        **answer,
    }


def replan(trip: Trip, from_number: int) -> None:
    """Work out anew the plan of every announced team of this dive and those after it."""
    for dive in trip.dives.filter(number__gte=from_number).order_by("number"):
        announced = list(dive.teams.prefetch_related("members"))
        if not announced:
            continue
        facts = {f.booking.pk: f for f in selectors.facts(dive, selectors.booked_divers(dive))}
        for team in announced:
            people = [facts[m.booking_id] for m in team.members.all() if m.booking_id in facts]
            stretched = (team.plan or {}).get("stretched", [])
            try:
                team.plan = plan_of_team(dive, people, stretched)
            except Problem as refused:
                raise UnableToChangeTrip(
                    f"Team {team.number} of dive {dive.number} cannot be planned with this: {refused.detail}",
                    code="team_cannot_be_planned",
                ) from refused
            team.save(update_fields=["plan"])
