"""Doors to the signed-in person, the club, its divers and the roster import."""

from __future__ import annotations

from datetime import date
from typing import Any
from uuid import UUID

from django.http import Http404, HttpResponse
from django.middleware.csrf import get_token
from django.urls import path
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from teamdive.web.permissions import SIGNED_IN

from . import exports, permissions, selectors, services
from .bodies_in import ClubBody, RecordBody
from .doors import depth_shown, readable, strict
from .doors_imports import SheetApply, SheetImport, SheetImports
from .models import Club, Diver, Membership
from .rules import fitness_shown

__all__ = ["permissions", "urlpatterns"]


def _club(membership: Membership, own: dict[UUID, UUID]) -> dict[str, Any]:
    club = membership.club
    return {
        "id": club.pk,
        "name": club.name,
        "role": membership.role,
        "diver": own.get(club.pk),
        "time_zone": club.time_zone,
        "units": {"depth": club.depth_unit, "pressure": club.pressure_unit, "volume": club.volume_unit},
        "settings": {
            "overdue_after_min": club.overdue_after_min,
            "method": club.method,
            "gf": [club.gf_low_pm / 1000, club.gf_high_pm / 1000],
            "gf_low_pm": club.gf_low_pm,
            "gf_high_pm": club.gf_high_pm,
            "least_surface_interval_min": club.least_surface_interval_min,
            "no_fly_wait_min": club.no_fly_wait_min,
            "no_fly_to_altitude_ft": club.no_fly_to_altitude_ft,
            "beyond_40_m_enabled": club.beyond_40_m_enabled,
            "policy": club.policy,
            "gas": club.gas,
        },
        "may": selectors.may_of(membership.role),
    }


class Me(APIView):
    permit = {"GET": SIGNED_IN}

    @extend_schema(responses=OpenApiTypes.OBJECT)
    def get(self, request: Request) -> Response:
        """Who is signed in, their clubs and what they may do there."""
        own = selectors.own_diver_ids(request.user)
        return Response(
            {
                "user": {"id": request.user.pk, "email": request.user.email},
                "csrf": get_token(request._request),
                "clubs": [_club(membership, own) for membership in selectors.clubs_of(request.user)],
            }
        )


class ClubDoor(APIView):
    permit = {"GET": "people.read_club", "PATCH": "people.manage_club"}

    @extend_schema(responses=OpenApiTypes.OBJECT)
    def get(self, request: Request, club: UUID) -> Response:
        """The club's settings, as the reader's role sees them."""
        return Response(_shown_club(request, readable(request, "people.read_club", _get_club(club))))

    @extend_schema(request=ClubBody, responses=OpenApiTypes.OBJECT)
    def patch(self, request: Request, club: UUID) -> Response:
        """Change settings; a field that does not exist is refused by name."""
        found = readable(request, "people.read_club", _get_club(club))
        self.check_object_permissions(request, found)
        strict(ClubBody, request.data)
        asked = ClubBody(data=request.data)
        asked.is_valid(raise_exception=True)
        return Response(_shown_club(request, services.change_club(club=found, **asked.validated_data)))


def _get_club(club: UUID) -> Club | None:
    return Club.objects.filter(pk=club).first()


def _shown_club(request: Request, club: Club) -> dict[str, Any]:
    membership = club.memberships.filter(user=request.user).first()
    return _club(membership or Membership(club=club, user=request.user, role="organiser"), {})


def _diver_line(diver: Diver, on: date) -> dict[str, Any]:
    certification = selectors.deepest_certification(diver)
    return {
        "id": diver.pk,
        "name": diver.name,
        "member_number": diver.member_number,
        "certified_depth": depth_shown(certification.depth_hundredths, certification.depth_unit)
        if certification
        else None,
        "certification": certification.name if certification else None,
        "evidence": certification.evidence if certification else None,
        "fitness": fitness_shown(selectors.fitness_of(diver, on)),
        "can_lead": diver.can_lead,
        "dives": diver.stated_dives,
        "last_dive": diver.stated_last_dive,
        "account": diver.user_id is not None,
    }


class Divers(APIView):
    permit = {"GET": "people.read_divers"}

    @extend_schema(responses=OpenApiTypes.OBJECT)
    def get(self, request: Request, club: UUID) -> Response:
        """The club's divers, by name; `?q=` searches."""
        found = readable(request, "people.read_club", _get_club(club))
        self.check_object_permissions(request, found)
        today = timezone.localdate()
        divers = selectors.divers_of(found, q=request.query_params.get("q", "")[:100])
        return Response({"divers": [_diver_line(diver, today) for diver in divers]})


class DiverDoor(APIView):
    permit = {"GET": "people.read_diver", "PATCH": "people.change_diver"}

    @extend_schema(responses=OpenApiTypes.OBJECT)
    def get(self, request: Request, diver: UUID) -> Response:
        """One record: the diver's own, or of the reader's club for its leaders and organisers."""
        found = readable(request, "people.read_diver", selectors.diver(diver))
        return Response(_diver_record(found, request.user.has_perm("people.read_divers", found.club)))

    @extend_schema(request=RecordBody, responses=OpenApiTypes.OBJECT)
    def patch(self, request: Request, diver: UUID) -> Response:
        """Change a record: its fields, a certification by name, the fitness date, the usual cylinder."""
        found = readable(request, "people.read_diver", selectors.diver(diver))
        self.check_object_permissions(request, found)
        strict(RecordBody, request.data)
        asked = RecordBody(data=request.data)
        asked.is_valid(raise_exception=True)
        fields = dict(asked.validated_data)
        parts = {name: fields.pop(name, None) for name in ("certification", "fitness", "cylinder")}
        services.change_record(diver=found, fields=fields, **parts)
        return Response(_diver_record(selectors.diver(diver) or found, True))


def _diver_record(diver: Diver, for_leaders: bool) -> dict[str, Any]:
    return {
        **_diver_line(diver, timezone.localdate()),
        "club": diver.club_id,
        "email": diver.email,
        "phone": diver.phone,
        "born": diver.born,
        "emergency_contact": diver.emergency_contact,
        **({"notes": diver.notes} if for_leaders else {}),
        "units": {"depth": diver.depth_unit, "pressure": diver.pressure_unit, "volume": diver.volume_unit},
        "rmv_l_min": diver.rmv_l_min,
        "rmv_sd_l_min": diver.rmv_sd_l_min,
        "certifications": [
            {
                "id": c.pk,
                "name": c.name,
                "organisation": c.organisation,
                "depth": depth_shown(c.depth_hundredths, c.depth_unit),
                "on": c.on,
                "evidence": c.evidence,
            }
            for c in diver.certifications.all()
        ],
        "cylinders": [
            {
                "id": c.pk,
                "label": c.label,
                "volume": c.volume,
                "volume_unit": c.volume_unit,
                "working_pressure": c.working_pressure,
                "pressure_unit": c.pressure_unit,
                "redundant": c.redundant,
            }
            for c in diver.cylinders.all()
        ],
        "stated": {
            "dives": diver.stated_dives,
            "dives_last_year": diver.stated_dives_last_year,
            "last_dive": diver.stated_last_dive,
            "deepest": depth_shown(diver.stated_deepest_hundredths, diver.stated_deepest_unit),
        },
    }


class Roster(APIView):
    permit = {"GET": "people.import_roster"}

    @extend_schema(responses=OpenApiTypes.BINARY)
    def get(self, request: Request, club: UUID, kind: str) -> HttpResponse:
        """The roster as a file; imported again it changes nothing."""
        found = readable(request, "people.read_club", _get_club(club))
        self.check_object_permissions(request, found)
        types = {
            "csv": "text/csv; charset=utf-8",
            "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
        }
        if kind not in types:
            raise Http404
        answer = HttpResponse(exports.roster(found, kind), content_type=types[kind])
        answer["Content-Disposition"] = f'attachment; filename="roster.{kind}"'
        return answer


class Imports(SheetImports):
    permit = {"GET": "people.import_roster", "POST": "people.import_roster"}


class ImportDoor(SheetImport):
    permit = {"GET": "people.import_roster", "PATCH": "people.import_roster"}


class ImportApply(SheetApply):
    permit = {"POST": "people.import_roster"}


urlpatterns = [
    path("api/me", Me.as_view(), name="me"),
    path("api/clubs/<uuid:club>", ClubDoor.as_view(), name="club"),
    path("api/clubs/<uuid:club>/divers", Divers.as_view(), name="divers"),
    path("api/clubs/<uuid:club>/roster.<str:kind>", Roster.as_view(), name="roster"),
    path("api/clubs/<uuid:club>/imports", Imports.as_view(), name="imports"),
    path("api/divers/<uuid:diver>", DiverDoor.as_view(), name="diver"),
    path("api/imports/<uuid:roster>", ImportDoor.as_view(), name="import"),
    path("api/imports/<uuid:roster>/apply", ImportApply.as_view(), name="import_apply"),
]
