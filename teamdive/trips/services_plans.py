"""The plans of announced teams, worked out and worked out anew."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Any

from teamdive.calculations.plan import plan
from teamdive.calculations.problem import Problem

from . import selectors
from .bodies import PersonFacts, plan_body
from .models import Dive, Trip
from .services import UnableToChangeTrip


def plan_of_team(dive: Dive, people: Sequence[PersonFacts], stretched: Collection[str]) -> dict[str, Any]:
    """The answer of `plan` for a team, with the units it is in and who takes a step."""
    body = plan_body(dive, people, stretched)
    units = {name: body[name] for name in ("depth_unit", "pressure_unit", "volume_unit", "on")}
    return {**units, "stretched": sorted(set(stretched) & {d["id"] for d in body["divers"]}), **plan(body)}


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
