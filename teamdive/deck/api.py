"""Doors of the boat log: enrol a device, push a batch of entries, pull what came after a position."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any
from uuid import UUID

from django.http import Http404
from django.urls import path
from django.utils import timezone
from django.utils.decorators import method_decorator
from django.views.decorators.gzip import gzip_page
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.authentication import SessionAuthentication
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from teamdive.people.doors import strict
from teamdive.trips.models import Trip
from teamdive.trips.selectors import for_phones
from teamdive.trips.selectors_shore import labels
from teamdive.web.packed import PackedJSON
from teamdive.web.permissions import OPEN
from teamdive.web.problems import Unable
from teamdive.web.throttling import Throttle

from . import doors_record, joining, permissions, selectors, services
from .authentication import DeviceAuthentication
from .models import Device

__all__ = ["permissions", "urlpatterns"]

MOST_IN_A_PAGE = 1000


class LogView(APIView):
    """A view of one trip's log, for its devices and its leaders."""

    authentication_classes = [DeviceAuthentication, SessionAuthentication]

    def trip(self, request: Request, trip: UUID) -> Trip:
        found = Trip.objects.select_related("club").filter(pk=trip).first()
        if found is None:
            raise Http404
        self.check_object_permissions(request, found)
        return found


class EnrolBody(serializers.Serializer[Any]):
    label = serializers.CharField(max_length=80)
    public_key = serializers.CharField(max_length=400, allow_null=True, required=False)


class Words(serializers.CharField):
    """Any text at all: what cannot be kept is for the log to say, or one remark would hold up its batch for ever."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(allow_blank=True, trim_whitespace=False, **kwargs)
        self.validators = []


class TextBody(serializers.Serializer[Any]):
    entry = serializers.UUIDField(format="hex_verbose")
    salt = serializers.RegexField(r"^[0-9a-f]{32}\Z")
    text = Words()


class HeadBody(serializers.Serializer[Any]):
    seq = serializers.IntegerField(min_value=1, max_value=2**53 - 1)
    hash = serializers.RegexField(r"^[0-9a-f]{64}\Z")
    signature = serializers.RegexField(r"^[A-Za-z0-9_-]{86}\Z")


class BatchBody(serializers.Serializer[Any]):
    entries = serializers.ListField()
    texts = TextBody(many=True, required=False)
    head = HeadBody(allow_null=True, required=False)


class PageQuery(serializers.Serializer[Any]):
    after = serializers.IntegerField(min_value=0, max_value=2**53 - 1, default=0)
    limit = serializers.IntegerField(min_value=1, max_value=MOST_IN_A_PAGE, default=500)


class Devices(LogView):
    permit = {"GET": "deck.enrol_device", "POST": "deck.enrol_device"}

    @extend_schema(responses=OpenApiTypes.OBJECT)
    def get(self, request: Request, trip: UUID) -> Response:
        """The phones of a trip."""
        found = self.trip(request, trip)
        return Response({"devices": [device_shown(device) for device in selectors.devices(found.pk)]})

    @extend_schema(request=EnrolBody, responses={201: OpenApiTypes.OBJECT})
    def post(self, request: Request, trip: UUID) -> Response:
        """Enrol a phone; its token is shown this once."""
        found = self.trip(request, trip)
        body = checked(EnrolBody, request.data)
        device, token = services.enrol(
            trip=found,
            label=body["label"],
            public_key=body.get("public_key") or "",
            by=request.user,
            now=timezone.now(),
        )
        return Response(enrolled_shown(device, token), status=201)


class JoinBody(EnrolBody):
    code = serializers.CharField(max_length=20)


class Code(LogView):
    permit = {"POST": "deck.enrol_device"}

    @extend_schema(request=None, responses={201: OpenApiTypes.OBJECT})
    def post(self, request: Request, trip: UUID) -> Response:
        """A short code with which phones join the trip for a quarter of an hour; it ends the one before."""
        code, expires_at = joining.make_code(
            trip=self.trip(request, trip), by=request.user, now=timezone.now()
        )
        return Response({"code": code, "expires_at": expires_at}, status=201)


class Join(APIView):
    """For a phone that was shown a code: it has no account, and needs none."""

    authentication_classes: list[Any] = []
    permit = {"POST": OPEN}
    throttle_classes = [Throttle]
    throttle_scope = "joining"

    @extend_schema(request=JoinBody, responses={201: OpenApiTypes.OBJECT})
    def post(self, request: Request) -> Response:
        """Enrol this phone on the trip of the code; its token is shown this once."""
        body = checked(JoinBody, request.data)
        device, token = joining.join(
            code=body["code"],
            label=body["label"],
            public_key=body.get("public_key") or "",
            now=timezone.now(),
        )
        return Response(enrolled_shown(device, token), status=201)


class Revoke(LogView):
    permit = {"POST": "deck.enrol_device"}

    @extend_schema(request=None, responses=OpenApiTypes.OBJECT)
    def post(self, request: Request, trip: UUID, device: UUID) -> Response:
        """Take a phone off the trip; what it wrote stays."""
        found = self.trip(request, trip)
        known = selectors.devices(found.pk).filter(pk=device).first()
        if known is None:
            raise Http404
        return Response(device_shown(services.revoke(device=known, now=timezone.now())))


@method_decorator(gzip_page, name="dispatch")
class Entries(LogView):
    parser_classes = [PackedJSON]
    permit = {"GET": "deck.read_log", "POST": "deck.write_log"}

    @extend_schema(
        parameters=[OpenApiParameter("after", int), OpenApiParameter("limit", int)],
        responses=OpenApiTypes.OBJECT,
    )
    def get(self, request: Request, trip: UUID) -> Response:
        """Entries after a position, with the texts beside them; `ashore`: who expects the boat, as it stands now."""
        found = self.trip(request, trip)
        query = PageQuery(data=request.query_params)
        query.is_valid(raise_exception=True)
        page = selectors.page(found.pk, **query.validated_data)
        return Response(
            {
                "entries": page.entries,
                "texts": page.texts,
                "ashore": labels(found.pk),
                **standing(page.log),
            }
        )

    @extend_schema(request=BatchBody, responses=OpenApiTypes.OBJECT)
    def post(self, request: Request, trip: UUID) -> Response:
        """Take in a batch; the same batch again changes nothing."""
        found = self.trip(request, trip)
        body = checked(BatchBody, request.data)
        stored = services.store(
            trip=found,
            bodies=body["entries"],
            texts=[{**text, "entry": str(text["entry"])} for text in body.get("texts", [])],
            head=body.get("head"),
            device=request.auth if isinstance(request.auth, Device) else None,
            now=timezone.now(),
        )
        return Response(
            {
                "accepted": list(stored.accepted),
                "problems": [asdict(problem) for problem in stored.problems],
                "head": stored.head,
                **standing(selectors.Log(stored.epoch, stored.position)),
            }
        )


class NotReady(Unable):
    code = "not_ready"
    status = 404


class LogSnapshot(LogView):
    permit = {"GET": "deck.read_log"}

    @extend_schema(responses=OpenApiTypes.OBJECT)
    def get(self, request: Request, trip: UUID) -> Response:
        """The snapshot that the log starts from, with names and labels, for a device."""
        kept = for_phones(self.trip(request, trip).pk)
        if kept is None:
            raise NotReady("This trip has not been made ready. Make it ready on its page first.")
        return Response(kept)


def checked(serializer: type[serializers.Serializer[Any]], data: Any) -> dict[str, Any]:
    """The checked body; a field that does not exist is refused by name."""
    strict(serializer, data)
    body = serializer(data=data)
    body.is_valid(raise_exception=True)
    return dict(body.validated_data)


def device_shown(device: Device) -> dict[str, Any]:
    """A device on the wire."""
    return {
        "id": device.pk,
        "label": device.label,
        "enrolled_at": device.enrolled_at,
        "revoked_at": device.revoked_at,
        "signs": bool(device.public_key),
        "last_seq": device.head_seq,
    }


def enrolled_shown(device: Device, token: str) -> dict[str, Any]:
    """A device just enrolled, with all that its phone needs to go on."""
    trip = device.trip_id
    return {**device_shown(device), "trip": trip, "token": token, **standing(selectors.log_of(trip))}


def standing(log: selectors.Log) -> dict[str, Any]:
    """Where the log stands, and the server's clock for phones to compare theirs with."""
    return {
        "server_time": int(timezone.now().timestamp() * 1000),
        "epoch": log.epoch,
        "position": log.position,
    }


urlpatterns = [
    path("api/trips/<uuid:trip>/devices", Devices.as_view(), name="devices"),
    path("api/trips/<uuid:trip>/devices/<uuid:device>/revoke", Revoke.as_view(), name="device_revoke"),
    path("api/trips/<uuid:trip>/join-code", Code.as_view(), name="join_code"),
    path("api/boat-log/join", Join.as_view(), name="join"),
    path("api/trips/<uuid:trip>/entries", Entries.as_view(), name="entries"),
    path("api/trips/<uuid:trip>/boat-log/snapshot", LogSnapshot.as_view(), name="boat_log_snapshot"),
    *doors_record.urlpatterns,
]
