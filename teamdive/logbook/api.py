"""Door to a diver's experience."""

from __future__ import annotations

from uuid import UUID

from django.urls import path
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from teamdive.people.doors import readable
from teamdive.people.selectors import diver as diver_of

from . import permissions, selectors

__all__ = ["permissions", "urlpatterns"]


class ExperienceDoor(APIView):
    permit = {"GET": "logbook.read_log"}

    @extend_schema(responses=OpenApiTypes.OBJECT)
    def get(self, request: Request, diver: UUID) -> Response:
        """The diver's experience as pairing sees it, depths in the diver's own unit."""
        found = readable(request, "logbook.read_log", diver_of(diver))
        today = timezone.localdate()
        return Response(selectors.experience(found, on=today, depth_unit=found.depth_unit))


urlpatterns = [path("api/divers/<uuid:diver>/experience", ExperienceDoor.as_view(), name="experience")]
