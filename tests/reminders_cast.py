"""An invented club with a trip and some divers, for everything that tests reminders."""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from uuid import UUID, uuid4

from teamdive.people.models import Club, Diver, Membership, User
from teamdive.reminders import rules
from teamdive.trips.models import Booking, Trip

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
