"""What the doors of trips share: who reads, checked bodies, a trip and a dive that must be readable."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import Http404
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from teamdive.people.doors import readable, strict

from . import selectors
from .models import Dive, Trip
from .shown import Reader, trip_page


def reader_of(request: Request, trip: Trip) -> Reader:
    """Who reads, and how far: planners everything, others themselves and their own team."""
    return Reader(
        people=frozenset(selectors.people_of(request.user, trip.pk)),
        everyone=request.user.has_perm("trips.read_everyone", trip),
    )


def asked(
    serializer: type[serializers.Serializer[Any]], request: Request, *, partial: bool = False
) -> dict[str, Any]:
    """The checked body; a field that does not exist is refused by name."""
    strict(serializer, request.data)
    body = serializer(data=request.data, partial=partial)
    body.is_valid(raise_exception=True)
    return dict(body.validated_data)


class TripView(APIView):
    """A view of one trip: it must be readable, then the method's permission is judged."""

    def trip(self, request: Request, trip: UUID) -> Trip:
        found: Trip = readable(request, "trips.read_trip", selectors.trip(trip))
        self.check_object_permissions(request, found)
        return found

    def page(self, request: Request, trip: Trip, status: int = 200) -> Response:
        fresh = selectors.trip(trip.pk) or trip
        return Response(trip_page(fresh, reader_of(request, fresh)), status=status)


def among(rows: Any, wanted: UUID | None, field: str) -> Any:
    if wanted is None:
        return None
    found = rows.filter(pk=wanted).first()
    if found is None:
        raise serializers.ValidationError({field: [f"There is no such {field}."]})
    return found


class DiveView(TripView):
    def dive(self, trip: Trip, dive: UUID) -> Dive:
        found = next((one for one in trip.dives.all() if one.pk == dive), None)
        if found is None:
            raise Http404
        found.trip = trip
        return found
