"""The doors of an import, whatever its sheet: a room names its sheet, its permissions and its addresses."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import UUID

from django.shortcuts import get_object_or_404
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.parsers import JSONParser, MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from . import imports
from .bodies_in import ImportBody
from .doors import readable, strict
from .imports_read import MOST_BYTES
from .models import Club, ImportedSheet


def _now() -> datetime:
    return timezone.now()


class SheetDoor(APIView):
    """What the three doors of a sheet share; `permit` is named by each door of a room."""

    sheet = imports.ROSTER
    permit: dict[str, str] = {}

    def club_of(self, request: Request, club: UUID) -> Club:
        """The club, if the person may read it and their role may bring this sheet."""
        found: Club = readable(request, "people.read_club", Club.objects.filter(pk=club).first())
        self.check_object_permissions(request, found)
        return found

    def import_of(self, request: Request, roster: UUID) -> ImportedSheet:
        """The import, if it is of this sheet and the person may see it."""
        held = ImportedSheet.objects.select_related("club", "made_by").filter(sheet=self.sheet.kind)
        found: ImportedSheet = readable(
            request, self.permit[request.method or "GET"], get_object_or_404(held, pk=roster)
        )
        return found

    def shown(self, roster: ImportedSheet, status: int = 200) -> Response:
        preview: dict[str, Any] = imports.preview(roster=roster, now=_now(), sheet=self.sheet)
        return Response(preview, status=status)


class SheetImports(SheetDoor):
    parser_classes = (MultiPartParser, JSONParser)

    @extend_schema(responses=OpenApiTypes.OBJECT)
    def get(self, request: Request, club: UUID) -> Response:
        """The club's imports of this sheet, latest first."""
        found = self.club_of(request, club)
        latest = found.imports.filter(sheet=self.sheet.kind).defer("table")[:50]
        shown = ("file_name", "made_at", "state", "result")
        return Response(
            {"imports": [{"id": i.pk, **{name: getattr(i, name) for name in shown}} for i in latest]}
        )

    @extend_schema(request={"multipart/form-data": {"type": "object"}}, responses={201: OpenApiTypes.OBJECT})
    def post(self, request: Request, club: UUID) -> Response:
        """Read an uploaded `file` (CSV or XLSX) and answer with its preview; nothing is imported yet."""
        found = self.club_of(request, club)
        upload = request.FILES.get("file")
        if upload is None:
            raise serializers.ValidationError({"file": ["Choose a CSV or XLSX file."]})
        # Never more is read than can be taken; one byte above the limit says that it is too large.
        roster = imports.start_import(
            club=found,
            content=upload.read(MOST_BYTES + 1),
            file_name=upload.name or "sheet",
            by=request.user,
            now=_now(),
            sheet=self.sheet,
        )
        return self.shown(roster, status=201)


class SheetImport(SheetDoor):
    @extend_schema(responses=OpenApiTypes.OBJECT)
    def get(self, request: Request, roster: UUID) -> Response:
        """The preview of an import."""
        return self.shown(self.import_of(request, roster))

    @extend_schema(request=ImportBody, responses=OpenApiTypes.OBJECT)
    def patch(self, request: Request, roster: UUID) -> Response:
        """Confirm columns and answer questions; answers with the preview again."""
        found = self.import_of(request, roster)
        strict(ImportBody, request.data)
        asked = ImportBody(data=request.data)
        asked.is_valid(raise_exception=True)
        return self.shown(imports.change_import(roster=found, sheet=self.sheet, **asked.validated_data))


class SheetApply(SheetDoor):
    @extend_schema(request=None, responses=OpenApiTypes.OBJECT)
    def post(self, request: Request, roster: UUID) -> Response:
        """Write the whole file, or nothing and say what stands in the way."""
        found = self.import_of(request, roster)
        return Response({"result": imports.apply_import(roster=found, now=_now(), sheet=self.sheet)})
