"""The demo trip, loaded through the real services once a file: each test works on a savepoint within."""

from __future__ import annotations

import pytest

from teamdive.trips import services_teams
from teamdive.trips.models import Booking, Dive, Snapshot, Team, TeamMember, Trip

from .people_fixtures import NOW


@pytest.fixture
def trip(demo, db) -> Trip:
    """The demo trip with its plan open again: no snapshot, nothing announced."""
    Snapshot.objects.all().delete()
    TeamMember.objects.all().delete()
    Team.objects.all().delete()
    Trip.objects.update(state="planned")
    return Trip.objects.get()


def first(trip: Trip) -> Dive:
    return trip.dives.get(number=1)


def second(trip: Trip) -> Dive:
    return trip.dives.get(number=2)


def person(trip: Trip, member_number: str) -> Booking:
    return trip.bookings.get(diver__member_number=member_number)


def solve_and_announce(dive: Dive, **asked) -> list[Team]:
    proposal = services_teams.solve_teams(dive=dive, asked=asked, by=None, now=NOW)
    return services_teams.announce_teams(
        dive=dive,
        chosen=[(team["divers"], team["lead"]) for team in proposal.answer["teams"]],
        by=None,
        now=NOW,
        proposal=proposal,
    )
