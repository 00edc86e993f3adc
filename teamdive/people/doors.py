"""What the doors of people and of the rooms above share: hiding what may not be read, strict bodies, shapes."""

from __future__ import annotations

from typing import Any

from django.http import Http404
from rest_framework import serializers
from rest_framework.exceptions import ErrorDetail
from rest_framework.request import Request


def depth_shown(hundredths: int | None, unit: str) -> dict[str, Any] | None:
    """A depth on the wire: the number as typed, in hundredths of its unit; null where it is not known."""
    return None if hundredths is None else {"unit": unit, "hundredths": hundredths}


def readable(request: Request, permission: str, thing: Any) -> Any:
    """`thing`, if the person may read it; else nothing is there for them."""
    if thing is None or not request.user.has_perm(permission, thing):
        raise Http404
    return thing


def strict(serializer: Any, data: Any) -> None:
    """Refuse by name any field that the body has and the serializer does not."""
    if not isinstance(data, dict):
        raise serializers.ValidationError("The body must be a JSON object.")
    unknown = sorted(set(data) - set(serializer().fields))
    if unknown:
        raise serializers.ValidationError({unknown[0]: [ErrorDetail("Unknown field.", "unknown_field")]})
