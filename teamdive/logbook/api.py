"""Doors to a diver's experience, to the dives it is made of, and to a sheet of them."""

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

from teamdive.people.doors import depth_shown, readable, strict
from teamdive.people.doors_imports import SheetApply, SheetImport, SheetImports
from teamdive.people.selectors import diver as diver_of

from . import permissions, selectors, services
from .imports import PAST_DIVES
from .models import MadeDive

__all__ = ["permissions", "urlpatterns"]


class ExperienceDoor(APIView):
    permit = {"GET": "logbook.read_log"}

    @extend_schema(responses=OpenApiTypes.OBJECT)
    def get(self, request: Request, diver: UUID) -> Response:
        """The diver's experience as pairing sees it, depths in the diver's own unit."""
        found = readable(request, "logbook.read_log", diver_of(diver))
        today = timezone.localdate()
        return Response(selectors.experience(found, on=today, depth_unit=found.depth_unit))


class PastDepthBody(serializers.Serializer[Any]):
    unit = serializers.ChoiceField(choices=["m", "ft"])
    hundredths = serializers.IntegerField(min_value=1, max_value=100_000)


class PastTaskBody(serializers.Serializer[Any]):
    kind = serializers.CharField(max_length=40)
    level = serializers.IntegerField(min_value=1, max_value=5)


class PastDivesDoor(APIView):
    permit = {"POST": "logbook.write_log"}

    class PastDivesBody(serializers.Serializer[Any]):
        """Dives alike, with everything that each of them asked at the same time; what is not known is left out."""

        on = serializers.DateField(help_text="day of the latest")
        count = serializers.IntegerField(min_value=1, max_value=10_000, default=1)
        depth = PastDepthBody()
        current_kn = serializers.DecimalField(
            4, 2, min_value=0, max_value=10, required=False, allow_null=True
        )
        visibility_m = serializers.DecimalField(
            5, 1, min_value=0, max_value=200, required=False, allow_null=True
        )
        water_temp_c = serializers.DecimalField(
            4, 1, min_value=-3, max_value=45, required=False, allow_null=True
        )
        night = serializers.BooleanField(required=False, allow_null=True)
        task = PastTaskBody(required=False, allow_null=True)
        site_kind = serializers.ListField(
            child=serializers.CharField(max_length=40), required=False, max_length=10
        )

    @extend_schema(request=PastDivesBody, responses={201: OpenApiTypes.OBJECT})
    def post(self, request: Request, diver: UUID) -> Response:
        """Add past dives to a diver's log; answers with the experience that they make."""
        found = readable(request, "logbook.read_log", diver_of(diver))
        self.check_object_permissions(request, found)
        strict(self.PastDivesBody, request.data)
        asked = self.PastDivesBody(data=request.data)
        asked.is_valid(raise_exception=True)
        body = dict(asked.validated_data)
        today = timezone.localdate()
        if body["on"] > today:
            raise serializers.ValidationError(
                {"on": ["This day is still to come. Give the day of the latest dive."]}
            )
        depth, task = body.pop("depth"), body.pop("task", None)
        services.log_dive(
            diver=found,
            depth_hundredths=depth["hundredths"],
            depth_unit=depth["unit"],
            task_kind=task["kind"].strip().lower() if task else "",
            task_level=task["level"] if task else None,
            **body,
        )
        return Response(selectors.experience(found, on=today, depth_unit=found.depth_unit), status=201)


class ToldDivesDoor(APIView):
    permit = {"GET": "logbook.read_log"}

    @extend_schema(responses=OpenApiTypes.OBJECT)
    def get(self, request: Request, diver: UUID) -> Response:
        """What boat logs tell of a diver's dives, newest first, with what they leave open."""
        found = readable(request, "logbook.read_log", diver_of(diver))
        return Response({"dives": [told_shown(made) for made in selectors.told_dives(found.pk)]})


class ConfirmDoor(APIView):
    permit = {"POST": "logbook.confirm_dives"}

    class Said(serializers.Serializer[Any]):
        task_done = serializers.BooleanField(default=False)

    @extend_schema(request=Said, responses=OpenApiTypes.OBJECT)
    def post(self, request: Request, diver: UUID, made: UUID) -> Response:
        """The diver says that a dive was as the boat log tells it; it then counts as experience."""
        found = readable(request, "logbook.read_log", diver_of(diver))
        self.check_object_permissions(request, found)
        strict(self.Said, request.data)
        asked = self.Said(data=request.data)
        asked.is_valid(raise_exception=True)
        told = selectors.told_dives(found.pk).filter(pk=made).first()
        if told is None:
            raise Http404
        task_done = asked.validated_data["task_done"]
        return Response(
            told_shown(services.confirm_made_dive(made=told, task_done=task_done, now=timezone.now()))
        )


def told_shown(made: MadeDive) -> dict[str, Any]:
    """A dive that a boat log tells, on the wire."""
    return {
        "id": made.pk,
        "trip": made.trip,
        "number": made.number,
        "down_at": made.down_at,
        "surfaced_at": made.surfaced_at,
        "bottom_time_s": made.bottom_time_s,
        "depth": depth_shown(made.depth_hundredths, made.depth_unit),
        "o2_pm": made.o2_pm,
        "found": {
            "current_kn": made.current_kn,
            "visibility_m": made.visibility_m,
            "water_temp_c": made.water_temp_c,
        },
        "effort": made.effort,
        "pressure": {"unit": made.pressure_unit, "start": made.pressure_start, "end": made.pressure_end},
        "rmv_l_min": made.rmv_l_min,
        "task": {"kind": made.task_kind, "level": made.task_level} if made.task_kind else None,
        "task_done": made.task_done,
        "questions": made.questions,
        "confirmed_at": made.confirmed_at,
    }


class PastDivesImports(SheetImports):
    sheet = PAST_DIVES
    permit = {"GET": "logbook.bring_past_dives", "POST": "logbook.bring_past_dives"}


class PastDivesImport(SheetImport):
    sheet = PAST_DIVES
    permit = {"GET": "logbook.answer_past_dives", "PATCH": "logbook.answer_past_dives"}


class PastDivesApply(SheetApply):
    sheet = PAST_DIVES
    permit = {"POST": "logbook.answer_past_dives"}


urlpatterns = [
    path("api/clubs/<uuid:club>/past-dives/imports", PastDivesImports.as_view(), name="past_dives_imports"),
    path("api/past-dives/imports/<uuid:roster>", PastDivesImport.as_view(), name="past_dives_import"),
    path("api/past-dives/imports/<uuid:roster>/apply", PastDivesApply.as_view(), name="past_dives_apply"),
    path("api/divers/<uuid:diver>/experience", ExperienceDoor.as_view(), name="experience"),
    path("api/divers/<uuid:diver>/told-dives", ToldDivesDoor.as_view(), name="told_dives"),
    path(
        "api/divers/<uuid:diver>/told-dives/<uuid:made>/confirm", ConfirmDoor.as_view(), name="confirm_dive"
    ),
    path("api/divers/<uuid:diver>/dives", PastDivesDoor.as_view(), name="past_dives"),
]
