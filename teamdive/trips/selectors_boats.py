"""Who goes on which boat of a trip, as it is kept."""

from __future__ import annotations

from collections.abc import Sequence

from .models import Boat, Booking, Trip
from .rules import Reason
from .rules_boats import Carrier, DiveTeams, Seat, troubles


def seats(trip: Trip) -> list[Seat]:
    """Everyone booked, each with the boat they go on."""
    booked = trip.bookings.select_related("diver").filter(cancelled_at=None).order_by("pk")
    return [
        Seat(str(b.pk), b.display_name, str(b.boat_id) if b.boat_id else None, b.can_lead) for b in booked
    ]


def boats_of(trip: Trip) -> dict[str, str]:
    """The boats that people are seated on by name, id to name; empty: all go on the trip's own."""
    return {str(b.boat.pk): b.boat.name for b in trip.bookings.all() if b.boat and b.cancelled_at is None}


def boat_names(trip: Trip) -> list[str]:
    """The boats that people go on; where nobody is seated by name, the trip's own. Empty: none is named."""
    own = [] if trip.boat is None else [trip.boat.name]
    return sorted(boats_of(trip).values()) or own


def name_on_boat(booking: Booking) -> str:
    """A person's name, where several boats go with the one they are on."""
    return booking.display_name if booking.boat is None else f"{booking.display_name} ({booking.boat.name})"


def seat_troubles(trip: Trip, dives: Sequence[DiveTeams]) -> list[Reason]:
    """Why the people of a trip cannot go on its boats as they are seated, in these teams."""
    boats = {str(boat.pk): _carrier(boat) for boat in trip.club.boats.all()}
    return troubles(None if trip.boat is None else _carrier(trip.boat), boats, seats(trip), dives)


def _carrier(boat: Boat) -> Carrier:
    return Carrier(str(boat.pk), boat.name, boat.most_persons)
