"""Doors that belong to no room: health, and the three calculations from plain data."""

from collections.abc import Callable
from typing import Any

from django.db import connection
from django.urls import path
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from teamdive.calculations.day import day
from teamdive.calculations.plan import plan
from teamdive.scale.teams import teams
from teamdive.web.permissions import OPEN
from teamdive.web.throttling import Throttle


class Calculation(APIView):
    """One of the three calculations: no sign-in, no database, throttled."""

    authentication_classes = ()
    permit = {"POST": OPEN}
    throttle_classes = (Throttle,)
    throttle_scope = "calculations"
    calculate: Callable[[Any], dict[str, Any]] = staticmethod(day)

    @extend_schema(request=OpenApiTypes.OBJECT, responses=OpenApiTypes.OBJECT)
    def post(self, request: Request) -> Response:
        """The same body and answer as the command of the same name."""
        return Response(self.calculate(request.data))


class Health(APIView):
    """Whether the web process answers and reaches its database."""

    authentication_classes = ()
    permit = {"GET": OPEN}

    @extend_schema(responses=OpenApiTypes.OBJECT)
    def get(self, request: Request) -> Response:
        """`{"status": "ok"}`, or a 500 when the database does not answer."""
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
        return Response({"status": "ok"})


urlpatterns = [
    path("api/health", Health.as_view(), name="health"),
    path("api/day", Calculation.as_view(calculate=day), name="day"),
    path("api/plan", Calculation.as_view(calculate=plan), name="plan"),
    path("api/teams", Calculation.as_view(calculate=teams), name="teams"),
]
