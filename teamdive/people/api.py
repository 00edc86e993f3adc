"""Doors to the signed-in person, the club, its divers and the roster import."""

from __future__ import annotations

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

from . import exports, permissions, selectors, services, services_accounts
from .bodies_in import AccountBody, AccountChangeBody, ClubBody, NewRecordBody, RecordBody
from .doors import readable, strict
from .doors_imports import SheetApply, SheetImport, SheetImports
from .models import Club, Diver, Membership
from .shown import club_shown, diver_line, diver_record

__all__ = ["permissions", "urlpatterns"]


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
                "clubs": [club_shown(membership, own) for membership in selectors.clubs_of(request.user)],
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
    return club_shown(membership or Membership(club=club, user=request.user, role="organiser"), {})


class Divers(APIView):
    permit = {"GET": "people.read_divers", "POST": "people.add_diver"}

    @extend_schema(responses=OpenApiTypes.OBJECT)
    def get(self, request: Request, club: UUID) -> Response:
        """The club's divers, by name; `?q=` searches."""
        found = readable(request, "people.read_club", _get_club(club))
        self.check_object_permissions(request, found)
        today = timezone.localdate()
        divers = selectors.divers_of(found, q=request.query_params.get("q", "")[:100])
        return Response({"divers": [diver_line(diver, today) for diver in divers]})

    @extend_schema(request=NewRecordBody, responses={201: OpenApiTypes.OBJECT})
    def post(self, request: Request, club: UUID) -> Response:
        """Add one diver to the roster by hand: a name is enough, what is missing is shown as missing."""
        found = readable(request, "people.read_club", _get_club(club))
        self.check_object_permissions(request, found)
        fields, parts = _record_asked(NewRecordBody, request)
        added = services.add_record(club=found, fields=fields, **parts)
        return Response(
            diver_record(selectors.diver(added.pk) or added, True, timezone.localdate()), status=201
        )


class DiverDoor(APIView):
    permit = {"GET": "people.read_diver", "PATCH": "people.change_diver"}

    @extend_schema(responses=OpenApiTypes.OBJECT)
    def get(self, request: Request, diver: UUID) -> Response:
        """One record: the diver's own, or of the reader's club for its leaders and organisers."""
        found = readable(request, "people.read_diver", selectors.diver(diver))
        return Response(
            diver_record(found, request.user.has_perm("people.read_divers", found.club), timezone.localdate())
        )

    @extend_schema(request=RecordBody, responses=OpenApiTypes.OBJECT)
    def patch(self, request: Request, diver: UUID) -> Response:
        """Change a record: its fields, a certification by name, the fitness date, the usual cylinder."""
        found = readable(request, "people.read_diver", selectors.diver(diver))
        self.check_object_permissions(request, found)
        fields, parts = _record_asked(RecordBody, request)
        services.change_record(diver=found, fields=fields, **parts)
        return Response(diver_record(selectors.diver(diver) or found, True, timezone.localdate()))


def _record_asked(body: type[RecordBody], request: Request) -> tuple[dict[str, Any], dict[str, Any]]:
    """The checked body of a record: its own fields, and the parts that stand beside it."""
    strict(body, request.data)
    asked = body(data=request.data)
    asked.is_valid(raise_exception=True)
    fields = dict(asked.validated_data)
    parts = {name: fields.pop(name, None) for name in ("certification", "fitness", "cylinder", "guardians")}
    return fields, parts


class AccountDoor(APIView):
    permit = dict.fromkeys(("POST", "PATCH", "DELETE"), "people.manage_accounts")

    @extend_schema(request=AccountBody, responses={201: OpenApiTypes.OBJECT})
    def post(self, request: Request, diver: UUID) -> Response:
        """Give the diver an account by the e-mail of the record; `password` is shown this once."""
        found = self._diver(request, diver)
        asked = _asked(AccountBody, request)
        given = services_accounts.give_account(
            diver=found, role=asked["role"], by=request.user, now=timezone.now()
        )
        return _shown(given, 201)

    @extend_schema(request=AccountChangeBody, responses=OpenApiTypes.OBJECT)
    def patch(self, request: Request, diver: UUID) -> Response:
        """Change the role, or make a new password, which is shown this once."""
        found = self._diver(request, diver)
        return _shown(
            services_accounts.change_account(
                diver=found, by=request.user, **_asked(AccountChangeBody, request)
            ),
            200,
        )

    @extend_schema(responses={204: None})
    def delete(self, request: Request, diver: UUID) -> Response:
        """Take the account's place in the club away; the record stays."""
        services_accounts.take_account(diver=self._diver(request, diver), by=request.user)
        return Response(status=204)

    def _diver(self, request: Request, diver: UUID) -> Diver:
        found: Diver = readable(request, "people.read_diver", selectors.diver(diver))
        self.check_object_permissions(request, found)
        return found


def _asked(body: Any, request: Request) -> dict[str, Any]:
    strict(body, request.data)
    asked = body(data=request.data)
    asked.is_valid(raise_exception=True)
    return dict(asked.validated_data)


def _shown(given: services_accounts.Account, code: int) -> Response:
    shown = {"email": given.user.email, "role": given.role, "password": given.password}
    # No cache on the way keeps an answer that holds a password.
    return Response(shown, status=code, headers={"Cache-Control": "no-store"})


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
    path("api/divers/<uuid:diver>/account", AccountDoor.as_view(), name="account"),
    path("api/imports/<uuid:roster>", ImportDoor.as_view(), name="import"),
    path("api/imports/<uuid:roster>/apply", ImportApply.as_view(), name="import_apply"),
]
