"""Doors of the float plan: for whoever plans the trip, and a page for those ashore, who have no account."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import Http404, HttpResponse, HttpResponseRedirect
from django.template.loader import render_to_string
from django.urls import path
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.parsers import FormParser
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from teamdive.people.models import Diver
from teamdive.trips import selectors as trips
from teamdive.trips.doors import TripView, among, asked, reader_of
from teamdive.trips.models import Trip
from teamdive.trips.rules_shore import LONGEST_WORDS, MOST_CONTACTS, SAYINGS
from teamdive.trips.selectors_shore import contacts_of, plan_of
from teamdive.web.parsers import StrictJSON
from teamdive.web.permissions import OPEN, SIGNED_IN

from . import selectors_shore, services_shore
from .shown_shore import plan_shown
from .words_shore import page_words

CLOSED = "This link is not valid, or no longer. Ask whoever sent it to you."


class ContactBody(serializers.Serializer[Any]):
    """Somebody ashore: of the club (`diver`, name and e-mail then come from the record) or by name."""

    id = serializers.UUIDField(required=False)
    name = serializers.CharField(max_length=120, required=False, allow_blank=True)
    email = serializers.EmailField(required=False, allow_blank=True)
    phone = serializers.CharField(max_length=60, required=False, allow_blank=True)
    diver = serializers.UUIDField(required=False, allow_null=True)


class PositionBody(serializers.Serializer[Any]):
    site = serializers.UUIDField()
    position = serializers.CharField(max_length=80, allow_blank=True)


class FloatPlanBody(serializers.Serializer[Any]):
    back_by = serializers.DateTimeField(allow_null=True)
    if_not_heard = serializers.CharField(max_length=LONGEST_WORDS, allow_blank=True, required=False)
    contacts = ContactBody(many=True, max_length=MOST_CONTACTS)
    positions = PositionBody(many=True, required=False, max_length=40)
    # Where this installation reaches none of them: the reader tells them another way, and it is kept under their name.
    told_otherwise = serializers.BooleanField(required=False, default=False)


class FloatPlanDoor(TripView):
    permit = {"GET": "trips.read_trip", "PUT": "trips.plan_trip"}

    @extend_schema(responses=OpenApiTypes.OBJECT)
    def get(self, request: Request, trip: UUID) -> Response:
        """Back by when, who waits ashore, how the alarm stands; addresses and what was sent for planners alone."""
        return self._shown(request, self.trip(request, trip))

    @extend_schema(request=FloatPlanBody, responses=OpenApiTypes.OBJECT)
    def put(self, request: Request, trip: UUID) -> Response:
        """Write it whole. Of a trip that is ready every contact is told again."""
        found = self.trip(request, trip)
        body = asked(FloatPlanBody, request)
        divers = Diver.objects.filter(club=found.club)
        services_shore.change(
            trip=found,
            back_by=body["back_by"],
            if_not_heard=body.get("if_not_heard", ""),
            contacts=[
                {**dict(one), "diver": among(divers, one.get("diver"), "diver")} for one in body["contacts"]
            ],
            positions={one["site"]: one["position"] for one in body.get("positions", ())},
            told_otherwise_by=_name_of(request, found) if body["told_otherwise"] else "",
            user=request.user,
            now=timezone.now(),
        )
        return self._shown(request, found)

    def _shown(self, request: Request, trip: Trip) -> Response:
        everything = reader_of(request, trip).everyone
        return Response(plan_shown(trip, everything=everything, now=timezone.now()))


class OpenAlarms(APIView):
    """The alarms ashore that are open, for whoever plans the trips."""

    permit = {"GET": SIGNED_IN}

    @extend_schema(responses=OpenApiTypes.OBJECT)
    def get(self, request: Request) -> Response:
        """Each trip of the reader's clubs whose alarm is open: raised, untaken (everybody ashore was called, and nobody
        has taken it) or acknowledged."""
        found = selectors_shore.open_alarms(trips.trips_for(request.user))
        mine = [one for one in found if request.user.has_perm("trips.plan_trip", one[0])]
        return Response(
            {"alarms": [{"trip": trip.pk, "name": trip.name, "stands": stands} for trip, stands in mine]}
        )


class ShoreContactDoor(TripView):
    permit = {"DELETE": "trips.plan_trip"}

    @extend_schema(responses={204: None})
    def delete(self, request: Request, trip: UUID, contact: UUID) -> Response:
        """Erase who a contact was and how to reach them. That somebody was told, and when, stays. Of a boat that is
        waited for not the last one who is reached: somebody else is named first."""
        found = self.trip(request, trip)
        plan = plan_of(found)
        row = None if plan is None else plan.contacts.filter(pk=contact).first()
        if row is None:
            raise Http404
        services_shore.erase(contact=row, now=timezone.now())
        return Response(status=204)


class SaidBody(serializers.Serializer[Any]):
    what = serializers.ChoiceField(choices=SAYINGS)


class ShoreSayDoor(TripView):
    permit = {"POST": "trips.plan_trip"}

    @extend_schema(request=SaidBody, responses=OpenApiTypes.OBJECT)
    def post(self, request: Request, trip: UUID) -> Response:
        """All home, not home after all, the alarm is mine, or the rescue service has it: under the reader's name."""
        found = self.trip(request, trip)
        body = asked(SaidBody, request)
        plan = plan_of(found)
        if plan is None:
            raise Http404
        services_shore.say(
            plan=plan,
            what=body["what"],
            by=_name_of(request, found),
            user=request.user,
            now=timezone.now(),
        )
        return Response(plan_shown(found, everything=True, now=timezone.now()))


def _name_of(request: Request, trip: Trip) -> str:
    """The reader by the name that the club knows them by."""
    own = Diver.objects.filter(club=trip.club, user=request.user).first()
    return own.name if own is not None else str(request.user.email)


class PageSaidBody(serializers.Serializer[Any]):
    """As the page's form sends it; a name that is left out is asked for on the page."""

    what = serializers.CharField(default="")
    by = serializers.CharField(default="", allow_blank=True)


class ShorePage(APIView):
    """The float plan as somebody ashore reads it: the link is signed, so no account and no session stand behind it."""

    permit = {"GET": OPEN, "POST": OPEN}
    authentication_classes = ()
    parser_classes = (FormParser, StrictJSON)

    @extend_schema(responses={(200, "text/html"): OpenApiTypes.STR})
    def get(self, request: Request, token: str) -> HttpResponse:
        """The page; reading it changes nothing, so that a mail program may open the link by itself."""
        return self._page(token, "")

    @extend_schema(request=OpenApiTypes.OBJECT, responses={303: None, (400, "text/html"): OpenApiTypes.STR})
    def post(self, request: Request, token: str) -> HttpResponse:
        """`what` as the leader's door takes it, `by`: the name of whoever says it. Leads back to the page."""
        contact = selectors_shore.contact_by(token, timezone.now())
        if contact is None:
            return _closed()
        body = PageSaidBody(data=request.data)
        body.is_valid(raise_exception=True)
        what, by = body.validated_data["what"], body.validated_data["by"]
        if what not in SAYINGS:
            raise serializers.ValidationError({"what": ["This cannot be said here."]})
        if not by.strip():
            return self._page(token, "Write your name first: it is kept with what you say.")
        services_shore.say(plan=contact.plan, what=what, by=by, contact=contact, now=timezone.now())
        answer = HttpResponseRedirect(request.path)
        answer.status_code = 303
        return answer

    def _page(self, token: str, wrong: str) -> HttpResponse:
        now = timezone.now()
        contact = selectors_shore.contact_by(token, now)
        if contact is None:
            return _closed()
        plan = contact.plan
        shown = selectors_shore.page(plan.trip, plan, now)
        others = [one for one in contacts_of(plan) if one.pk != contact.pk]
        html = render_to_string(
            "reminders/float_plan.html",
            {
                "page": shown,
                **page_words(shown, now),
                "contact": contact,
                "others": others,
                "wrong": wrong,
                "path": f"/ashore/{token}",
            },
        )
        return _kept_nowhere(HttpResponse(html, status=400 if wrong else 200))


def _closed() -> HttpResponse:
    html = render_to_string("reminders/float_plan.html", {"closed": CLOSED})
    return _kept_nowhere(HttpResponse(html, status=404))


def _kept_nowhere(answer: HttpResponse) -> HttpResponse:
    """Names of people: no cache on the way keeps it, no search engine lists it, no other site sees the address."""
    answer["Cache-Control"] = "no-store"
    answer["X-Robots-Tag"] = "noindex, nofollow"
    answer["Referrer-Policy"] = "no-referrer"
    return answer


urlpatterns = [
    path("api/ashore", OpenAlarms.as_view(), name="open_alarms"),
    path("api/trips/<uuid:trip>/float-plan", FloatPlanDoor.as_view(), name="float_plan"),
    path(
        "api/trips/<uuid:trip>/float-plan/contacts/<uuid:contact>",
        ShoreContactDoor.as_view(),
        name="shore_contact",
    ),
    path("api/trips/<uuid:trip>/float-plan/said", ShoreSayDoor.as_view(), name="shore_said"),
    path("ashore/<str:token>", ShorePage.as_view(), name="shore_page"),
]
