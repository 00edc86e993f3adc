"""Doors to the record of a trip: as known at any past moment, as JSON, table and page to print, and the chains."""

from __future__ import annotations

from dataclasses import asdict
from datetime import datetime
from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.urls import path
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.authentication import SessionAuthentication
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from teamdive.boatlog import schema
from teamdive.boatlog.entries import body
from teamdive.people.doors import readable, strict
from teamdive.trips.models import Trip
from teamdive.web.permissions import OPEN

from . import depths, left_open, record, settling, sheets

MOMENT = [OpenApiParameter("at", datetime), OpenApiParameter("position", int)]


class MomentQuery(serializers.Serializer[Any]):
    """`at`: an instant, now if left out; `position`: no entry after it."""

    at = serializers.DateTimeField(required=False)
    position = serializers.IntegerField(min_value=0, max_value=2**53 - 1, required=False)


class RecordDoor(APIView):
    """What every door to a record does: find the trip, read the moment that is asked about."""

    authentication_classes = [SessionAuthentication]
    permit = {"GET": "deck.read_log"}

    def asked(self, request: Request, trip: UUID) -> tuple[Trip, record.AsKnown]:
        found = readable(
            request, "deck.read_log", Trip.objects.select_related("club").filter(pk=trip).first()
        )
        query = MomentQuery(data=request.query_params)
        query.is_valid(raise_exception=True)
        given, now = dict(query.validated_data), timezone.now()
        # What is still to come is not known: a later instant is asked about as it is now.
        at = min(given.get("at", now), now)
        return found, record.as_known(found.pk, at=at, position=given.get("position"))


class Record(RecordDoor):
    @extend_schema(parameters=MOMENT, responses=OpenApiTypes.OBJECT)
    def get(self, request: Request, trip: UUID) -> Response:
        """The log and its state as this server knew them at an instant: the same question, the same answer."""
        _, known = self.asked(request, trip)
        return Response(asdict(known))


class RecordTable(RecordDoor):
    @extend_schema(parameters=MOMENT, responses={(200, "text/csv"): OpenApiTypes.STR})
    def get(self, request: Request, trip: UUID) -> HttpResponse:
        """The log as known at an instant, as CSV."""
        found, known = self.asked(request, trip)
        body = sheets.table(known, found.club.time_zone, record.labels(found.pk))
        return HttpResponse(
            body,
            content_type="text/csv; charset=utf-8",
            headers={"Content-Disposition": 'attachment; filename="boat-log.csv"'},
        )


class RecordPage(RecordDoor):
    @extend_schema(parameters=MOMENT, responses={(200, "text/html"): OpenApiTypes.STR})
    def get(self, request: Request, trip: UUID) -> HttpResponse:
        """The written record to print: counts and departures first, then every entry."""
        found, known = self.asked(request, trip)
        return HttpResponse(sheets.page(known, found.name, found.club.time_zone, record.labels(found.pk)))


class Chains(APIView):
    authentication_classes = [SessionAuthentication]
    permit = {"GET": "deck.read_log"}

    @extend_schema(responses=OpenApiTypes.OBJECT)
    def get(self, request: Request, trip: UUID) -> Response:
        """Each phone's chain: how far it goes, how far it is signed, and each fork or change with its entries."""
        found = readable(request, "deck.read_log", Trip.objects.filter(pk=trip).first())
        phones = record.chains(found.pk)
        return Response({"phones": [asdict(phone) for phone in phones]})


class DepthsTold(APIView):
    authentication_classes = [SessionAuthentication]
    permit = {"GET": "deck.settle"}

    @extend_schema(responses=OpenApiTypes.OBJECT)
    def get(self, request: Request, trip: UUID) -> Response:
        """The depths that the log tells and what was said against each: a diver's own and their team-mates', or all."""
        found = readable(request, "deck.settle", Trip.objects.select_related("club").filter(pk=trip).first())
        return Response(asdict(depths.depths_told(found, request.user)))


class CorrectionBody(serializers.Serializer[Any]):
    """What the entry named should have said; `void`: it did not happen; with `subject`: it was that one."""

    corrects = serializers.UUIDField(format="hex_verbose")
    reason = serializers.CharField(max_length=40, default="settled")
    void = serializers.BooleanField(default=False)
    subject = serializers.UUIDField(format="hex_verbose", required=False)
    at = serializers.IntegerField(required=False, min_value=0, max_value=2**53 - 1)
    earliest = serializers.IntegerField(required=False, min_value=0, max_value=2**53 - 1)
    latest = serializers.IntegerField(required=False, min_value=0, max_value=2**53 - 1)
    data = serializers.JSONField(required=False)


class Corrections(APIView):
    authentication_classes = [SessionAuthentication]
    permit = {"POST": "deck.settle"}

    @extend_schema(request=CorrectionBody, responses={201: OpenApiTypes.OBJECT})
    def post(self, request: Request, trip: UUID) -> Response:
        """Correct an entry, as a further entry; a second person who says the same settles it."""
        found = readable(request, "deck.settle", Trip.objects.filter(pk=trip).first())
        strict(CorrectionBody, request.data)
        asked = CorrectionBody(data=request.data)
        asked.is_valid(raise_exception=True)
        said = dict(asked.validated_data)
        if "subject" in said:
            said["subject"] = str(said["subject"])
        entry = settling.correct(
            trip=found, corrects=said.pop("corrects"), said=said, by=request.user, now=timezone.now()
        )
        return Response(
            {"entry": body(entry), "open": record.open_about(found.pk, str(entry.corrects))}, status=201
        )


class LookedBody(serializers.Serializer[Any]):
    """The question as it was shown: its code and the entries that it is about."""

    code = serializers.CharField(max_length=64)
    entries = serializers.ListField(child=serializers.UUIDField(format="hex_verbose"), max_length=500)


class LeftOpen(APIView):
    authentication_classes = [SessionAuthentication]
    permit = {"GET": "deck.settle", "POST": "deck.settle"}

    @extend_schema(responses=OpenApiTypes.OBJECT)
    def get(self, request: Request, trip: UUID) -> Response:
        """What the log leaves open, for who plans the trip: whom it concerns, and who looked at it."""
        return Response(
            {
                "questions": [
                    asdict(each) for each in left_open.left_open(self.trip(request, trip), request.user)
                ]
            }
        )

    @extend_schema(request=LookedBody, responses={201: OpenApiTypes.OBJECT})
    def post(self, request: Request, trip: UUID) -> Response:
        """Say that you looked at a question; a second person who does so closes it, and the careful reading stays."""
        found = self.trip(request, trip)
        strict(LookedBody, request.data)
        asked = LookedBody(data=request.data)
        asked.is_valid(raise_exception=True)
        entry = settling.look(
            trip=found,
            code=asked.validated_data["code"],
            entries=[str(each) for each in asked.validated_data["entries"]],
            by=request.user,
            now=timezone.now(),
        )
        return Response({"entry": body(entry)}, status=201)

    def trip(self, request: Request, trip: UUID) -> Trip:
        return readable(request, "deck.settle", Trip.objects.select_related("club").filter(pk=trip).first())


class Schemas(APIView):
    """The published shapes of entries and of the snapshot that they start from."""

    authentication_classes: list[Any] = []
    permit = {"GET": OPEN}

    @extend_schema(responses=OpenApiTypes.OBJECT)
    def get(self, request: Request, name: str) -> HttpResponse:
        """JSON Schema (draft 2020-12) of an entry or a snapshot of the boat log."""
        return Response(
            {"entry": schema.ENTRY, "snapshot": schema.SNAPSHOT}[name], content_type="application/schema+json"
        )


_LOG = "api/trips/<uuid:trip>/boat-log"
urlpatterns = [
    path(f"{_LOG}/record", Record.as_view(), name="boat_log_record"),
    path(f"{_LOG}/record.csv", RecordTable.as_view(), name="boat_log_table"),
    path(f"{_LOG}/record.html", RecordPage.as_view(), name="boat_log_page"),
    path(f"{_LOG}/corrections", Corrections.as_view(), name="boat_log_corrections"),
    path(f"{_LOG}/depths", DepthsTold.as_view(), name="boat_log_depths"),
    path(f"{_LOG}/questions", LeftOpen.as_view(), name="boat_log_questions"),
    path(f"{_LOG}/chains", Chains.as_view(), name="boat_log_chains"),
    path("api/boat-log/entry.schema.json", Schemas.as_view(), {"name": "entry"}, name="entry_schema"),
    path(
        "api/boat-log/snapshot.schema.json", Schemas.as_view(), {"name": "snapshot"}, name="snapshot_schema"
    ),
]
