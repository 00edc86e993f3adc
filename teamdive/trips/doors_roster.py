"""Doors to what a roster allows weeks before, and to what somebody would rather not."""

from __future__ import annotations

from uuid import UUID

from django.http import Http404
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from teamdive.people.doors import readable

from . import selectors, selectors_wishes, services_wishes
from .bodies_in import RatherNotBody
from .doors import DiveView, TripView, asked
from .models import Booking
from .pairability import pairability


class Pairability(DiveView):
    permit = {"GET": "trips.plan_trip"}

    @extend_schema(responses=OpenApiTypes.OBJECT)
    def get(self, request: Request, trip: UUID, dive: UUID) -> Response:
        """Weeks before: whether this roster can be paired for the dive, whose drop-out costs whom theirs."""
        return Response(pairability(self.dive(self.trip(request, trip), dive)))


class RatherNotDoor(TripView):
    """The diver's own, and the organisers'."""

    permit = {"GET": "trips.keep_wishes_of", "PUT": "trips.keep_wishes_of"}

    @extend_schema(responses=OpenApiTypes.OBJECT)
    def get(self, request: Request, trip: UUID, person: UUID) -> Response:
        """Of the divers of this trip, with whom this person would rather not dive."""
        return self._shown(self._booking(request, trip, person))

    @extend_schema(request=RatherNotBody, responses=OpenApiTypes.OBJECT)
    def put(self, request: Request, trip: UUID, person: UUID) -> Response:
        """Replace it. No reason is asked, and no team, answer or file says that it was asked for."""
        booking = self._booking(request, trip, person)
        services_wishes.keep_rather_nots(
            booking=booking, about=asked(RatherNotBody, request)["about"], by=request.user, now=timezone.now()
        )
        return self._shown(booking)

    def _booking(self, request: Request, trip: UUID, person: UUID) -> Booking:
        found = readable(request, "trips.read_trip", selectors.trip(trip))
        booking = found.bookings.filter(pk=person, cancelled_at=None).first()
        if booking is None:
            raise Http404
        self.check_object_permissions(request, booking)
        kept: Booking = booking
        return kept

    def _shown(self, booking: Booking) -> Response:
        shown = {
            "person": booking.pk,
            "name": booking.display_name,
            "about": sorted(selectors_wishes.rather_nots(booking), key=str),
            "choices": [
                {"id": one.pk, "name": one.display_name} for one in selectors_wishes.choices(booking)
            ],
        }
        # No cache on the way keeps it, and no shared phone shows it to the next who signs in.
        return Response(shown, headers={"Cache-Control": "no-store"})
