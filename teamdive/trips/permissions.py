"""Who may do what with a trip."""

from __future__ import annotations

from typing import Any

import rules

from teamdive.people.permissions import by_role, may

from .models import Booking, Trip


@rules.predicate
def is_booked(user: Any, trip: Trip | None) -> bool:
    """On the trip, and not taken off it again."""
    if trip is None or not user.is_authenticated:
        return False
    return trip.bookings.filter(diver__user=user, cancelled_at=None).exists()


@rules.predicate
def is_own_booking(user: Any, booking: Booking | None) -> bool:
    return (
        booking is not None
        and booking.diver is not None
        and user.pk is not None
        and booking.diver.user_id == user.pk
    )


@rules.predicate
def keeps_wishes(user: Any, booking: Booking | None) -> bool:
    return booking is not None and may(user, booking.trip.club, "keep_wishes")


plans = by_role("plan_trips")

rules.add_perm("trips.read_trip", plans | is_booked)
rules.add_perm("trips.hold_deck", plans | is_booked)
rules.add_perm("trips.plan_trip", plans)
rules.add_perm("trips.read_everyone", plans)
rules.add_perm("trips.add_trip", plans)
rules.add_perm("trips.keep_wishes_of", is_own_booking | keeps_wishes)
