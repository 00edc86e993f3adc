"""The table of reminders for whoever keeps the installation: what failed for good is seen here."""

from django.contrib import admin
from django.http import HttpRequest

from .models import InboxMessage, Reminder, Seen


class ReadOnly(admin.ModelAdmin):  # type: ignore[type-arg]
    """Rows that only services write."""

    def has_add_permission(self, request: HttpRequest) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: object | None = None) -> bool:
        return False

    def has_delete_permission(self, request: HttpRequest, obj: object | None = None) -> bool:
        return False


@admin.register(Reminder)
class ReminderAdmin(ReadOnly):
    """Every reminder with its state, attempts and last error."""

    list_display = ("kind", "diver", "contact", "user", "trip", "due_at", "state", "attempts", "last_error")
    list_filter = ("state", "kind", "call")
    list_select_related = ("diver", "contact", "user", "trip")


@admin.register(Seen)
class SeenAdmin(ReadOnly):
    """How far each boat log was taken in, and what stops it."""

    list_display = ("trip", "position", "attempts", "try_at", "last_error")
    list_select_related = ("trip",)


@admin.register(InboxMessage)
class InboxMessageAdmin(ReadOnly):
    """What was said when; to whom it was said is not listed with its text."""

    list_display = ("reminder", "sent_at", "read_at")
    list_select_related = ("reminder",)
