"""The keeper's door: everything of the boat log can be looked at, nothing changed."""

from typing import Any

from django.contrib import admin
from django.http import HttpRequest

from .models import Device, DiverStatus, Entry, Text


class ReadOnly(admin.ModelAdmin):
    def has_add_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False


@admin.register(Entry)
class EntryAdmin(ReadOnly):
    list_display = ("trip", "position", "kind", "device_id", "seq", "trouble", "received_at")
    list_filter = ("kind",)


@admin.register(Device)
class DeviceAdmin(ReadOnly):
    list_display = ("label", "trip", "enrolled_at", "revoked_at")


@admin.register(DiverStatus)
class DiverStatusAdmin(ReadOnly):
    list_display = ("trip", "person", "group", "earliest_next_dive_at", "no_fly_until")


@admin.register(Text)
class TextAdmin(ReadOnly):
    list_display = ("entry", "erased_at")
    # What people felt or said is read on the phones that need it, never here.
    exclude = ("salt", "text")
