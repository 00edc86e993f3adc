"""The inbox of whoever is signed in, and a trip's status: group, earliest next dive and no-fly time per diver."""

from typing import Any
from uuid import UUID

from django.shortcuts import get_object_or_404
from django.urls import path
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from teamdive.deck.instants import date_of
from teamdive.deck.models import DiverStatus
from teamdive.trips import selectors as trips
from teamdive.web.permissions import SIGNED_IN

from . import doors_shore, rules, selectors, selectors_shore, services
from .delivery_shore import desk_link, link
from .models import InboxMessage, Reminder, Seen


class Inbox(APIView):
    """The reader's own messages, newest first."""

    permit = {"GET": SIGNED_IN}

    @extend_schema(
        parameters=[
            OpenApiParameter("unread", OpenApiTypes.BOOL, description="only what is unread"),
            OpenApiParameter("before", OpenApiTypes.UUID, description="the last message of the page before"),
        ],
        responses=OpenApiTypes.OBJECT,
    )
    def get(self, request: Request) -> Response:
        """A page of 50 and how many are unread; `next` goes into `before` for the page after."""
        page = selectors.inbox(
            request.user,
            unread=request.query_params.get("unread", "").lower() in {"1", "true"},
            before=_uuid(request.query_params.get("before")),
        )
        shown = page[: selectors.PAGE]
        return Response(
            {
                "unread": selectors.unread(request.user),
                "messages": [_message(message) for message in shown],
                "next": shown[-1].pk if len(page) > selectors.PAGE else None,
            }
        )


class Read(APIView):
    """One message of the reader's own inbox."""

    permit = {"POST": SIGNED_IN}

    @extend_schema(request=None, responses=OpenApiTypes.OBJECT)
    def post(self, request: Request, message_id: UUID) -> Response:
        """Mark it as read; the first reading counts. 404 where it is not in the reader's inbox."""
        message = services.read(user_id=request.user.pk, message_id=message_id, now=timezone.now())
        return Response(_message(message))


class Status(APIView):
    """What the boat log says of each diver; leaders and organisers see everyone, a diver only themselves."""

    permit = {"GET": "trips.read_trip"}

    @extend_schema(responses=OpenApiTypes.OBJECT)
    def get(self, request: Request, trip_id: UUID) -> Response:
        """Repetitive group, earliest next dive, no-fly time; for leaders also the reminders and their states."""
        # Whether a trip exists is no business of those who may not read it.
        trip = get_object_or_404(trips.trips_for(request.user), pk=trip_id)
        self.check_object_permissions(request, trip)
        body: dict[str, Any] = {"trip": trip.pk, "as_of": timezone.now()}
        if request.user.has_perm("trips.read_everyone", trip):
            body["divers"] = [_diver(row) for row in selectors.statuses(trip)]
            body["reminders"] = [_reminder(row) for row in trip.reminders.filter(diver__isnull=False)]
            body["taken_in"] = _taken_in(selectors.seen(trip))
        else:
            own = trips.people_of(request.user, trip.pk)
            body["divers"] = [_diver(row) for row in selectors.statuses(trip) if row.person_id in own]
        return Response(body)


def _diver(row: DiverStatus) -> dict[str, Any]:
    """One diver's row; what is not known says what is missing."""
    known = {
        "group": row.group,
        "earliest_next_dive_at": row.earliest_next_dive_at,
        "no_fly_until": row.no_fly_until,
    }
    unknown = {
        name: {"not_known": what} for name, what in row.not_known.items() if what and known.get(name) is None
    }
    return {
        "person": row.person_id,
        "diver": row.person.diver_id,
        "name": row.person.display_name,
        "surfaced_at": row.surfaced_at,
        "next_dive": _next_dive(row),
        **known,
        **unknown,
        "no_road": _no_road(row),
        "why": rules.reasons(row.why),
        "questions": row.questions,
        "position": row.from_position,
        "worked_out_at": row.worked_out_at,
    }


def _no_road(row: DiverStatus) -> dict[str, Any] | None:
    """Until when no road over a pass, and how high the pass is; None before the first dive."""
    for why in row.why:
        if why["code"] == "no_road":
            until = why["until"]
            at = date_of(until) if isinstance(until, int) else until
            return {"until": at, "to_altitude_ft": why["to_altitude_ft"]}
    return None


def _next_dive(row: DiverStatus) -> dict[str, Any] | None:
    numbers = [why["number"] for why in row.why if why["code"] == "next_dive"]
    return {"id": row.next_dive, "number": numbers[0]} if row.next_dive is not None and numbers else None


def _taken_in(seen: Seen | None) -> dict[str, Any]:
    if seen is None:
        return {"position": 0, "last_error": ""}
    return {"position": seen.position, "last_error": seen.last_error}


def _message(message: InboxMessage) -> dict[str, Any]:
    reminder = message.reminder
    facts = reminder.facts
    ashore = None if reminder.contact is None else link(selectors_shore.token_of(reminder.contact))
    if reminder.user_id is not None:
        ashore = desk_link(reminder.trip_id)
    return {
        "id": message.pk,
        "kind": reminder.kind,
        "call": reminder.call,
        "trip": reminder.trip_id,
        "trip_name": reminder.trip.name,
        "diver": reminder.diver_id,
        "dive": facts.get("dive"),
        "due_at": message.due_at,
        "sent_at": message.sent_at,
        "read_at": message.read_at,
        "text": message.text,
        "link": ashore,
        "since": rules.said_since(
            message.due_at, reminder.due_at, reminder.stands, str(facts.get("time_zone", ""))
        ),
        "why": rules.reasons(facts.get("why", ())),
    }


def _reminder(row: Reminder) -> dict[str, Any]:
    return {
        "id": row.pk,
        "kind": row.kind,
        "call": row.call,
        "diver": row.diver_id,
        "due_at": row.due_at,
        "state": row.state,
        "attempts": row.attempts,
        "last_error": row.last_error,
    }


def _uuid(text: str | None) -> UUID | None:
    if not text:
        return None
    try:
        return UUID(text)
    except ValueError:
        raise ValidationError({"before": "This is the id of a message."}) from None


urlpatterns = [
    path("api/inbox", Inbox.as_view(), name="inbox"),
    path("api/inbox/<uuid:message_id>/read", Read.as_view(), name="inbox-read"),
    path("api/trips/<uuid:trip_id>/status", Status.as_view(), name="trip-status"),
    *doors_shore.urlpatterns,
]
