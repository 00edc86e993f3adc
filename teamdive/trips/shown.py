"""What a reader is shown of a trip: planners all of it, everyone else who is aboard and their own team."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any
from uuid import UUID

from teamdive.people.doors import depth_shown

from . import selectors
from .before import logged_before
from .bodies import along_current, demands
from .models import Booking, Dive, GasCheck, Proposal, Snapshot, Team, Trip
from .selectors_boats import boats_of


@dataclass(frozen=True)
class Reader:
    """The people of the trip that the reader is, and whether they may read everyone's."""

    people: frozenset[UUID]
    everyone: bool


def trip_line(trip: Trip, reader: Reader) -> dict[str, Any]:
    """A trip in a list."""
    snapshot: Snapshot | None = getattr(trip, "snapshot", None)
    return {
        "id": trip.pk,
        "name": trip.name,
        "club": trip.club_id,
        "boat": {"id": trip.boat.pk, "name": trip.boat.name, "most_persons": trip.boat.most_persons}
        if trip.boat
        else None,
        "boats": boats_of(trip),
        "starts_at": trip.starts_at,
        "time_zone": trip.club.time_zone,
        "state": trip.state,
        "ended_at": trip.ended_at,
        "booked": sum(1 for booking in trip.bookings.all() if booking.cancelled_at is None),
        "dives": len(trip.dives.all()),
        "hash": snapshot.hash if snapshot else None,
        "me": next(iter(sorted(reader.people)), None),
        "may": {"plan": reader.everyone},
    }


def trip_page(trip: Trip, reader: Reader) -> dict[str, Any]:
    """A trip's page."""
    divers = [booking for booking in trip.bookings.all() if booking.dives]
    logged = logged_before(trip, divers, trip.starts_at) if reader.everyone else {}
    return {
        **trip_line(trip, reader),
        "bookings": [
            {
                **_booking(booking, reader),
                **({"dives_in_logs": logged[booking.pk]} if booking.pk in logged else {}),
            }
            for booking in trip.bookings.all()
        ],
        "dives_planned": [dive_shown(dive, reader) for dive in trip.dives.all()],
        "not_ready": [reason.as_json() for reason in selectors.not_ready(trip)] if reader.everyone else [],
    }


def _booking(booking: Booking, reader: Reader) -> dict[str, Any]:
    shown: dict[str, Any] = {
        "id": booking.pk,
        "name": booking.display_name,
        "role": booking.role,
        "dives": booking.dives,
        "boat": booking.boat_id,
    }
    if reader.everyone or booking.pk in reader.people:
        shown |= {
            "diver": booking.diver_id,
            "can_lead": booking.can_lead,
            "earlier_dives": booking.earlier_dives,
            "flies_at": booking.flies_at,
        }
    return shown


def dive_shown(dive: Dive, reader: Reader) -> dict[str, Any]:
    """A dive; gas and who is left out of it only for planners."""
    shown: dict[str, Any] = {
        "id": dive.pk,
        "number": dive.number,
        "site": {"id": dive.site.pk, "name": dive.site.name} if dive.site else None,
        "planned_at": dive.planned_at,
        "depth": depth_shown(dive.depth_hundredths, dive.depth_unit),
        "bottom_time_s": dive.bottom_time_s,
        "work": dive.work,
        "return": dive.return_to,
        "turn_rule": dive.turn_rule or None,
        "along_current": along_current(dive),
        "task_unit_min": dive.task_unit_min,
        "demands": {
            "current_kn": None,
            "visibility_m": None,
            "water_temp_c": None,
            **demands(dive),
        },
        "teams": teams_shown(dive, reader),
    }
    if reader.everyone:
        shown["left_out"] = [booking.pk for booking in dive.left_out.all()]
        shown["overrides"] = dive.overrides
        shown["gas"] = [_gas(check) for check in dive.gas_checks.all()]
    return shown


def _gas(check: GasCheck) -> dict[str, Any]:
    return {
        "person": check.booking_id,
        "cylinder": check.cylinder,
        "volume": check.volume,
        "volume_unit": check.volume_unit,
        "working_pressure": check.working_pressure,
        "pressure_unit": check.pressure_unit,
        "start_pressure": check.start_pressure,
        "o2_pm": check.o2_pm,
        "analysed_o2_pm": check.analysed_o2_pm,
        "analysed_by": check.analysed_by_id,
        "analysed_at": check.analysed_at,
    }


def teams_shown(dive: Dive, reader: Reader) -> list[dict[str, Any]]:
    """The announced teams; a diver sees the plan of their own team alone."""
    teams = [(team, [m.booking_id for m in team.members.all()]) for team in dive.teams.all()]
    return [
        _team(team, members)
        for team, members in teams
        if reader.everyone or reader.people.intersection(members)
    ]


def _team(team: Team, members: list[UUID]) -> dict[str, Any]:
    return {
        "id": team.pk,
        "number": team.number,
        "members": members,
        "lead": team.lead_id,
        "guided": team.guided,
        "plan": team.plan,
        "reasons": team.reasons,
        "announced_at": team.announced_at,
    }


def proposal_shown(proposal: Proposal | None, reader: Reader) -> dict[str, Any] | None:
    """What was worked out, for planners alone."""
    if proposal is None or not reader.everyone:
        return None
    return {
        "id": proposal.pk,
        "made_at": proposal.made_at,
        "stale": selectors.is_stale(proposal),
        "asked": proposal.asked,
        "answer": proposal.answer,
    }
