"""Deny by default: a view answers only what its `permit` names.

A room registers predicates in its `permissions.py` (`rules.add_perm("people.read_diver", ...)`, found by
rules' autodiscovery); a view says which one guards which method::

    permit = {"GET": "people.read_diver", "POST": OPEN}

and calls `self.check_object_permissions(request, obj)` once it has the object that the predicate judges.
A view without `permit`, or a method that it does not name, is refused.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from rest_framework.permissions import BasePermission
from rest_framework.request import Request

if TYPE_CHECKING:
    # DRF reads its default permissions while it makes this very class.
    from rest_framework.views import APIView

OPEN = "open to everyone"
SIGNED_IN = "open to whoever is signed in"


class Permit(BasePermission):
    """Reads `view.permit`: method -> a registered permission, SIGNED_IN or OPEN."""

    message = "Your role does not allow this. Ask an organiser of your club."

    def has_permission(self, request: Request, view: APIView) -> bool:
        """Whether the method may be tried at all; a registered permission is judged with its object."""
        name = _named(request, view)
        if name is None:
            return False
        return name == OPEN or bool(request.user and request.user.is_authenticated)

    def has_object_permission(self, request: Request, view: APIView, obj: Any) -> bool:
        """Whether the person may do this to `obj`, by the registered predicate."""
        name = _named(request, view)
        if name in {OPEN, SIGNED_IN}:
            return True
        return name is not None and request.user.has_perm(name, obj)


def _named(request: Request, view: APIView) -> str | None:
    permit: dict[str, str] = getattr(view, "permit", {})
    method = request.method or ""
    return permit.get("GET" if method in {"HEAD", "OPTIONS"} else method)
