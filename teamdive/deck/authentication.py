"""A phone that says who it is: `Authorization: Device <token>`. No session, no password on deck."""

from __future__ import annotations

from typing import Any

from drf_spectacular.extensions import OpenApiAuthenticationExtension
from rest_framework.authentication import BaseAuthentication, get_authorization_header
from rest_framework.exceptions import AuthenticationFailed
from rest_framework.request import Request

from . import selectors
from .models import Device

_KEYWORD = b"device"


class DeviceUser:
    """Who a device is to the permission machinery: nobody's account, and one trip's log only."""

    is_authenticated = True
    is_anonymous = False
    is_active = True
    pk = None

    def __init__(self, device: Device) -> None:
        self.device = device

    def has_perm(self, name: str, obj: Any = None) -> bool:
        """A revoked phone still hands in what it wrote before it knew, and reads nothing more."""
        if getattr(obj, "pk", None) != self.device.trip_id:
            return False
        return name == "deck.write_log" or (name == "deck.read_log" and self.device.revoked_at is None)


class DeviceAuthentication(BaseAuthentication):
    """Reads the header; a token that nobody holds is refused, no header leaves it to the next method."""

    def authenticate(self, request: Request) -> tuple[DeviceUser, Device] | None:
        words = get_authorization_header(request).split()
        if not words or words[0].lower() != _KEYWORD:
            return None
        device = selectors.device_of(words[1].decode("ascii", "replace")) if len(words) == 2 else None
        if device is None:
            raise AuthenticationFailed("This phone is not enrolled. A leader can enrol it again at the dock.")
        return DeviceUser(device), device

    def authenticate_header(self, request: Request) -> str:
        return "Device"


class DeviceScheme(OpenApiAuthenticationExtension):
    """How the API's description names it."""

    target_class = DeviceAuthentication
    name = "device"

    def get_security_definition(self, auto_schema: Any) -> dict[str, str]:
        return {"type": "apiKey", "in": "header", "name": "Authorization"}
