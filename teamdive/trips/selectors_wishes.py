"""Private wishes of divers about divers: told to the diver and the club's organisers alone, no reason asked."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from .models import Booking, RatherNot


def choices(booking: Booking) -> list[Booking]:
    """The others of the trip that a wish may be about: those who dive and have a record."""
    return list(
        Booking.objects.filter(trip=booking.trip_id, dives=True, cancelled_at=None, diver__isnull=False)
        .exclude(pk=booking.pk)
        .select_related("diver")
        .order_by("diver__name_key", "pk")
    )


def rather_nots(booking: Booking) -> set[UUID]:
    """The bookings of the trip that this person would rather not dive with."""
    about = set(RatherNot.objects.filter(diver=booking.diver_id).values_list("about", flat=True))
    return {one.pk for one in choices(booking) if one.diver_id in about}


def private_wishes(bookings: Sequence[Booking]) -> list[dict[str, Any]]:
    """The wishes among these people as the calculation takes them; of two about each other one is enough."""
    by_diver = {one.diver_id: str(one.pk) for one in bookings if one.diver_id}
    rows = RatherNot.objects.filter(diver__in=by_diver, about__in=by_diver).values_list("diver", "about")
    pairs = {tuple(sorted((by_diver[diver], by_diver[about]))) for diver, about in rows}
    return [{"kind": "apart", "divers": list(pair), "private": True} for pair in sorted(pairs)]
