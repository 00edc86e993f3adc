"""Doors to teams: worked out and announced, of one dive or of a whole day."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import Http404
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from . import selectors, services_teams, services_whole_day
from .bodies_in import DayBody, DayTeamsBody, SolveBody, TeamsBody
from .doors import DiveView, TripView, among, asked, reader_of
from .models import Proposal, Trip
from .shown import dive_shown, proposal_shown, teams_shown


class Teams(DiveView):
    permit = {"GET": "trips.read_trip", "POST": "trips.plan_trip", "PUT": "trips.plan_trip"}

    def _answer(self, request: Request, trip: UUID, dive: UUID, status: int = 200) -> Response:
        fresh = selectors.trip(trip)
        if fresh is None:
            raise Http404
        one, reader = self.dive(fresh, dive), reader_of(request, fresh)
        return Response(
            {
                "dive": dive_shown(one, reader),
                "proposal": proposal_shown(selectors.latest_proposal(one), reader),
                "announced": teams_shown(one, reader),
                **({"announced_before": one.last_announced} if reader.everyone else {}),
                "names": {str(b.pk): b.display_name for b in fresh.bookings.all()},
            },
            status=status,
        )

    @extend_schema(responses=OpenApiTypes.OBJECT)
    def get(self, request: Request, trip: UUID, dive: UUID) -> Response:
        """What was worked out and what is announced, as far as the reader may see it."""
        self.trip(request, trip)
        return self._answer(request, trip, dive)

    @extend_schema(request=SolveBody, responses=OpenApiTypes.OBJECT)
    def post(self, request: Request, trip: UUID, dive: UUID) -> Response:
        """Work out the teams; nothing is announced."""
        found = self.trip(request, trip)
        services_teams.solve_teams(
            dive=self.dive(found, dive), asked=asked(SolveBody, request), by=request.user, now=timezone.now()
        )
        return self._answer(request, trip, dive)

    @extend_schema(request=TeamsBody, responses=OpenApiTypes.OBJECT)
    def put(self, request: Request, trip: UUID, dive: UUID) -> Response:
        """Announce teams, each with its plan."""
        found = self.trip(request, trip)
        body = asked(TeamsBody, request)
        one = self.dive(found, dive)
        proposal = among(Proposal.objects.filter(dive=one), body.get("proposal"), "proposal")
        services_teams.announce_teams(
            dive=one,
            chosen=[(team["members"], team.get("lead")) for team in body["teams"]],
            by=request.user,
            now=timezone.now(),
            proposal=proposal,
            overrides=body.get("overrides", []),
            guided=[team["members"] for team in body["teams"] if team.get("guided")],
        )
        return self._answer(request, trip, dive)


class DayTeams(TripView):
    permit = {"POST": "trips.plan_trip", "PUT": "trips.plan_trip"}

    @extend_schema(request=DayBody, responses=OpenApiTypes.OBJECT)
    def post(self, request: Request, trip: UUID) -> Response:
        """Work out the teams of all dives together, partners kept or changed. Nothing is kept or announced.

        `dives` are the ids in the order of the answer's dives: a PUT here announces what is chosen of them.
        """
        found = self.trip(request, trip)
        answer = services_whole_day.solve_day(trip=found, asked=asked(DayBody, request), by=request.user)
        return Response(
            {
                "dives": [dive.pk for dive in sorted(found.dives.all(), key=lambda one: one.number)],
                "answer": answer,
                "names": {str(b.pk): b.display_name for b in found.bookings.all()},
            }
        )

    @extend_schema(request=DayTeamsBody, responses=OpenApiTypes.OBJECT)
    def put(self, request: Request, trip: UUID) -> Response:
        """Announce the teams of several dives, all or none; answers with the trip."""
        found = self.trip(request, trip)
        body = asked(DayTeamsBody, request)
        services_whole_day.announce_day(
            trip=found,
            chosen=[self._chosen(found, at, item) for at, item in enumerate(body["dives"])],
            by=request.user,
            now=timezone.now(),
            expect_gas=body.get("expect_gas"),
            boats=body.get("boats", []),
        )
        return self.page(request, found)

    @staticmethod
    def _chosen(trip: Trip, at: int, item: dict[str, Any]) -> services_whole_day.ChosenDive:
        one = next((dive for dive in trip.dives.all() if dive.pk == item["dive"]), None)
        if one is None:
            raise serializers.ValidationError(
                {"dives": {at: {"dive": ["There is no such dive on this trip."]}}}
            )
        one.trip = trip
        return services_whole_day.ChosenDive(
            dive=one,
            teams=[(team["members"], team.get("lead")) for team in item["teams"]],
            boats=[team.get("boat") for team in item["teams"]],
            overrides=item.get("overrides", []),
            cover=item.get("surface_cover", []),
            guided=[team["members"] for team in item["teams"] if team.get("guided")],
        )
