"""An invented club with a trip and some divers, for everything that tests reminders."""

import json
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID, uuid4

from teamdive.boatlog import snapshot
from teamdive.people.models import Club, Diver, Membership, User
from teamdive.reminders import rules
from teamdive.trips.models import Booking, Snapshot, Trip

NOON = datetime(2027, 6, 12, 12, 0, tzinfo=UTC)


@dataclass(frozen=True)
class Cast:
    """A club, a trip, and for each diver a user, a membership and a booking (same order in each list)."""

    club: Club
    trip: Trip
    users: list[User]
    divers: list[Diver]
    bookings: list[Booking]


def make(divers: int = 2, name: str = "Skerry Divers") -> Cast:
    """The cast; names are invented."""
    club = Club.objects.create(name=name, time_zone="Atlantic/Azores", overdue_after_min=10)
    trip = Trip.objects.create(club=club, name="Two dives at the Teeth", starts_at=NOON - timedelta(hours=4))
    users = [User.objects.create(email=f"diver{n}@{club.pk}.example") for n in range(divers)]
    Membership.objects.bulk_create(Membership(club=club, user=user, role="diver") for user in users)
    rows = [Diver.objects.create(club=club, user=user, name=f"Diver {n}") for n, user in enumerate(users)]
    bookings = [Booking.objects.create(trip=trip, diver=diver) for diver in rows]
    return Cast(club, trip, users, rows, bookings)


def interval(diver: UUID, due_at: datetime = NOON, subject: str | None = None) -> rules.Wanted:
    """A wanted reminder of the interval before dive 2."""
    return rules.Wanted(
        rules.SURFACE_INTERVAL_REACHED,
        diver,
        subject or str(uuid4()),
        due_at,
        {
            "time_zone": "Atlantic/Azores",
            "why": [
                {
                    "code": "planned_bottom_time_fits",
                    "number": 2,
                    "depth": {"unit": "m", "hundredths": 1800},
                    "planned_bottom_time_s": 1800,
                }
            ],
        },
    )


def no_fly(diver: UUID, due_at: datetime = NOON, subject: str | None = None) -> rules.Wanted:
    """A wanted reminder that the waiting time has passed."""
    why = {"code": "waiting_time_passed", "wait_min": 1080, "rule": "consensus", "to_altitude_ft": 8000}
    return rules.Wanted(
        rules.NO_FLY_PASSED,
        diver,
        subject or str(uuid4()),
        due_at,
        {"time_zone": "Atlantic/Azores", "why": [why]},
    )


def at_sea(body: dict[str, Any], leader: str) -> Cast:
    """The club and trip of a snapshot, ready for the boat: each person booked under the id of the snapshot.

    `leader`: the id of the person whose membership leads.
    """
    club = Club.objects.create(name="Skerry Divers", time_zone=body["time_zone"], overdue_after_min=10)
    starts_at = datetime.fromtimestamp(body["starts_at"] / 1000, UTC)
    trip = Trip.objects.create(
        id=UUID(body["trip"]), club=club, name="Two dives at the Teeth", starts_at=starts_at, state="ready"
    )
    users, divers, bookings = [], [], []
    for number, person in enumerate(body["people"]):
        user = User.objects.create(email=f"person{number}@skerry.example")
        role = "leader" if person["id"] == leader else "diver"
        Membership.objects.create(club=club, user=user, role=role)
        diver = Diver.objects.create(club=club, user=user, name=f"Person {number}")
        users.append(user)
        divers.append(diver)
        bookings.append(
            Booking.objects.create(
                id=UUID(person["id"]), trip=trip, diver=diver, role=person["role"], dives=person["dives"]
            )
        )
    text, made = snapshot.make(body)
    names = {str(booking.pk): booking.display_name for booking in bookings}
    Snapshot.objects.create(trip=trip, hash=made, canonical=text, names=names, labels={}, made_at=starts_at)
    assert json.loads(text) == body
    return Cast(club, trip, users, divers, bookings)
