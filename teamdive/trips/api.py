"""Doors to trips: planning, teams, and the snapshot that goes to the phones."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import Http404
from django.urls import path
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from teamdive.people.doors import readable
from teamdive.people.models import Club, Diver
from teamdive.web.permissions import SIGNED_IN
from teamdive.web.problems import Unable

from . import permissions, selectors, services, services_ready, services_teams
from .bodies_in import BookingBody, DiveBody, GasBody, TripBody, dive_fields
from .doors import DiveView, TripView, among, asked, reader_of
from .doors_roster import Pairability, RatherNotDoor
from .doors_teams import DayTeams, Teams
from .models import Boat, Booking, Site, Trip
from .shown import Reader, dive_shown, trip_line, trip_page

__all__ = ["permissions", "urlpatterns"]


class Trips(APIView):
    permit = {"GET": SIGNED_IN, "POST": "trips.add_trip"}

    @extend_schema(responses=OpenApiTypes.OBJECT)
    def get(self, request: Request) -> Response:
        """The trips the reader plans or is booked on, latest first."""
        trips = selectors.trips_for(request.user).prefetch_related("bookings", "dives")[:200]
        planned = selectors.clubs_planned_by(request.user)
        people = selectors.people_by_trip(request.user)
        return Response(
            {
                "trips": [
                    trip_line(trip, Reader(frozenset(people.get(trip.pk, ())), trip.club_id in planned))
                    for trip in trips
                ]
            }
        )

    @extend_schema(request=TripBody, responses={201: OpenApiTypes.OBJECT})
    def post(self, request: Request) -> Response:
        """Add a trip to a club."""
        body = asked(TripBody, request)
        club = Club.objects.filter(pk=body["club"]).first()
        if club is None or not request.user.has_perm("people.read_club", club):
            raise serializers.ValidationError({"club": ["There is no such club."]})
        self.check_object_permissions(request, club)
        boat = among(Boat.objects.filter(club=club), body.get("boat"), "boat")
        trip = services.add_trip(club=club, name=body["name"], starts_at=body["starts_at"], boat=boat)
        return Response(trip_page(selectors.trip(trip.pk) or trip, reader_of(request, trip)), status=201)


class TripDoor(TripView):
    permit = {"GET": "trips.read_trip", "PATCH": "trips.plan_trip"}

    @extend_schema(responses=OpenApiTypes.OBJECT)
    def get(self, request: Request, trip: UUID) -> Response:
        """The trip with its people, dives and teams, as far as the reader may see them."""
        return self.page(request, self.trip(request, trip))

    @extend_schema(request=TripBody, responses=OpenApiTypes.OBJECT)
    def patch(self, request: Request, trip: UUID) -> Response:
        """Change name, start or boat."""
        found = self.trip(request, trip)
        body = asked(TripBody, request, partial=True)
        if "club" in body and body["club"] != found.club_id:
            raise serializers.ValidationError({"club": ["A trip stays with its club."]})
        body.pop("club", None)
        if "boat" in body:
            body["boat"] = among(Boat.objects.filter(club=found.club), body["boat"], "boat")
        services.change_trip(trip=found, **body)
        return self.page(request, found)


class Places(APIView):
    """The club's boats and sites, for choosing and adding."""

    permit = {"GET": "trips.add_trip", "POST": "trips.add_trip", "PATCH": "trips.add_trip"}

    class BoatBody(serializers.Serializer[Any]):
        boat = serializers.UUIDField()
        most_persons = serializers.IntegerField(min_value=1, max_value=500, allow_null=True)

    class PlacesBody(serializers.Serializer[Any]):
        kind = serializers.ChoiceField(choices=["boat", "site"])
        name = serializers.CharField(max_length=120)
        most_persons = serializers.IntegerField(min_value=1, max_value=500, required=False, allow_null=True)
        water = serializers.ChoiceField(choices=["salt", "fresh"], required=False)
        altitude_m = serializers.IntegerField(min_value=0, max_value=3048, required=False)

    def _club(self, request: Request, club: UUID) -> Club:
        found: Club = readable(request, "people.read_club", Club.objects.filter(pk=club).first())
        self.check_object_permissions(request, found)
        return found

    def _shown(self, club: Club) -> dict[str, Any]:
        return {
            "boats": [{"id": b.pk, "name": b.name, "most_persons": b.most_persons} for b in club.boats.all()],
            "sites": [
                {"id": s.pk, "name": s.name, "water": s.water, "altitude_m": s.altitude_m}
                for s in club.sites.all()
            ],
        }

    @extend_schema(responses=OpenApiTypes.OBJECT)
    def get(self, request: Request, club: UUID) -> Response:
        """The club's boats and sites."""
        return Response(self._shown(self._club(request, club)))

    @extend_schema(request=PlacesBody, responses={201: OpenApiTypes.OBJECT})
    def post(self, request: Request, club: UUID) -> Response:
        """Add a boat or a site; answers with all of them."""
        found = self._club(request, club)
        body = asked(self.PlacesBody, request)
        if body.pop("kind") == "boat":
            services.add_boat(club=found, name=body["name"], most_persons=body.get("most_persons"))
        else:
            body.pop("most_persons", None)
            services.add_site(club=found, **body)
        return Response(self._shown(found), status=201)

    @extend_schema(request=BoatBody, responses=OpenApiTypes.OBJECT)
    def patch(self, request: Request, club: UUID) -> Response:
        """Say how many persons a boat of the club may carry; answers with all places."""
        found = self._club(request, club)
        body = asked(self.BoatBody, request)
        boat = among(Boat.objects.filter(club=found), body["boat"], "boat")
        services.change_boat(boat=boat, most_persons=body["most_persons"])
        return Response(self._shown(found))


class Bookings(TripView):
    permit = {"POST": "trips.plan_trip"}

    @extend_schema(request=BookingBody, responses={201: OpenApiTypes.OBJECT})
    def post(self, request: Request, trip: UUID) -> Response:
        """Put a person on the trip; answers with the trip."""
        found = self.trip(request, trip)
        body = asked(BookingBody, request)
        body["diver"] = among(Diver.objects.filter(club=found.club), body.get("diver"), "diver")
        self.with_boat(found, body)
        services.add_booking(trip=found, **body)
        return self.page(request, found, status=201)

    @staticmethod
    def with_boat(trip: Trip, body: dict[str, Any]) -> None:
        """The boat in place of its id, where one is given."""
        if "boat" in body:
            body["boat"] = among(Boat.objects.filter(club=trip.club), body["boat"], "boat")


class BookingDoor(TripView):
    permit = {"PATCH": "trips.plan_trip", "DELETE": "trips.plan_trip"}

    def _booking(self, trip: Trip, person: UUID) -> Booking:
        found = trip.bookings.filter(pk=person, cancelled_at=None).first()
        if found is None:
            raise Http404
        return found

    @extend_schema(request=BookingBody, responses=OpenApiTypes.OBJECT)
    def patch(self, request: Request, trip: UUID, person: UUID) -> Response:
        """Change the role of a person, whether they dive, their boat, or the dives before the trip."""
        found = self.trip(request, trip)
        body = asked(BookingBody, request, partial=True)
        if "diver" in body:
            raise serializers.ValidationError({"diver": ["Take this person off and add the other one."]})
        Bookings.with_boat(found, body)
        services_teams.change_booking(booking=self._booking(found, person), **body)
        return self.page(request, found)

    @extend_schema(responses=OpenApiTypes.OBJECT)
    def delete(self, request: Request, trip: UUID, person: UUID) -> Response:
        """Take a person off the trip."""
        found = self.trip(request, trip)
        services.cancel_booking(booking=self._booking(found, person), now=timezone.now())
        return self.page(request, found)


class Dives(TripView):
    permit = {"POST": "trips.plan_trip"}

    @extend_schema(request=DiveBody, responses={201: OpenApiTypes.OBJECT})
    def post(self, request: Request, trip: UUID) -> Response:
        """Add a dive; answers with the trip."""
        found = self.trip(request, trip)
        services.add_dive(trip=found, **self.fields(found, asked(DiveBody, request)))
        return self.page(request, found, status=201)

    @staticmethod
    def fields(trip: Trip, body: dict[str, Any]) -> dict[str, Any]:
        """The service's arguments from the body."""
        fields = dive_fields(body)
        if "site" in fields:
            fields["site"] = among(Site.objects.filter(club=trip.club), fields["site"], "site")
        return fields


class DiveDoor(DiveView):
    permit = {"PATCH": "trips.plan_trip"}

    @extend_schema(request=DiveBody, responses=OpenApiTypes.OBJECT)
    def patch(self, request: Request, trip: UUID, dive: UUID) -> Response:
        """Change a dive; teams that rest on what changed are withdrawn."""
        found = self.trip(request, trip)
        body = asked(DiveBody, request, partial=True)
        services.change_dive(dive=self.dive(found, dive), **Dives.fields(found, body))
        return self.page(request, found)


class Gas(DiveView):
    permit = {"PUT": "trips.plan_trip"}

    @extend_schema(request=GasBody, responses=OpenApiTypes.OBJECT)
    def put(self, request: Request, trip: UUID, dive: UUID, person: UUID) -> Response:
        """Record what one diver takes on one dive; answers with the dive."""
        found = self.trip(request, trip)
        body = asked(GasBody, request)
        booking = found.bookings.filter(pk=person, cancelled_at=None).first()
        if booking is None:
            raise Http404
        body["analysed_by"] = among(found.bookings, body.get("analysed_by"), "analysed_by")
        services_teams.check_gas(booking=booking, dive=self.dive(found, dive), now=timezone.now(), **body)
        fresh = selectors.trip(found.pk) or found
        return Response(dive_shown(self.dive(fresh, dive), reader_of(request, fresh)))


class Ready(TripView):
    permit = {"POST": "trips.plan_trip"}

    @extend_schema(request=None, responses={201: OpenApiTypes.OBJECT})
    def post(self, request: Request, trip: UUID) -> Response:
        """Freeze the plan for the boat, or say everything that stands in the way."""
        kept = services_ready.make_ready(trip=self.trip(request, trip), by=request.user, now=timezone.now())
        return Response({"hash": kept.hash}, status=201)


class NotReady(Unable):
    code = "not_ready"
    status = 404


class SnapshotDoor(TripView):
    permit = {"GET": "trips.hold_deck"}

    @extend_schema(responses=OpenApiTypes.OBJECT)
    def get(self, request: Request, trip: UUID) -> Response:
        """The frozen plan with the names and labels that travel beside it."""
        found = self.trip(request, trip)
        kept = selectors.for_phones(found.pk)
        if kept is None:
            raise NotReady("This trip has not been made ready. Make it ready on its page first.")
        return Response(kept)


urlpatterns = [
    path("api/clubs/<uuid:club>/places", Places.as_view(), name="places"),
    path("api/trips", Trips.as_view(), name="trips"),
    path("api/trips/<uuid:trip>", TripDoor.as_view(), name="trip"),
    path("api/trips/<uuid:trip>/bookings", Bookings.as_view(), name="bookings"),
    path("api/trips/<uuid:trip>/bookings/<uuid:person>", BookingDoor.as_view(), name="booking"),
    path(
        "api/trips/<uuid:trip>/bookings/<uuid:person>/rather-not", RatherNotDoor.as_view(), name="rather_not"
    ),
    path("api/trips/<uuid:trip>/dives", Dives.as_view(), name="dives"),
    path("api/trips/<uuid:trip>/dives/<uuid:dive>", DiveDoor.as_view(), name="dive"),
    path("api/trips/<uuid:trip>/dives/<uuid:dive>/pairability", Pairability.as_view(), name="pairability"),
    path("api/trips/<uuid:trip>/dives/<uuid:dive>/gas/<uuid:person>", Gas.as_view(), name="gas"),
    path("api/trips/<uuid:trip>/dives/<uuid:dive>/teams", Teams.as_view(), name="dive_teams"),
    path("api/trips/<uuid:trip>/teams", DayTeams.as_view(), name="trip_teams"),
    path("api/trips/<uuid:trip>/ready", Ready.as_view(), name="trip_ready"),
    path("api/trips/<uuid:trip>/snapshot", SnapshotDoor.as_view(), name="trip_snapshot"),
]
