"""The demo trip, loaded through the real services once a file: each test works on a savepoint within."""

from __future__ import annotations

import pytest
from django.db import transaction

from teamdive.trips import services_teams
from teamdive.trips.demo import load_demo
from teamdive.trips.models import Booking, Dive, Snapshot, Team, TeamMember, Trip

from .people_fixtures import NOW

PASSWORDS = {"organiser": "tern-and-tide-1", "leader": "tern-and-tide-2", "diver": "tern-and-tide-3"}


@pytest.fixture(scope="module")
def demo(django_db_setup, django_db_blocker):
    """The demo club, loaded once for this file; each test works on a savepoint within."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield load_demo(now=NOW, passwords=PASSWORDS)
        transaction.set_rollback(True)


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
