"""The keeper's door to boats, sites and trips. What was announced and frozen is only shown."""

from django.contrib import admin

from .models import Boat, Booking, Dive, Site, Snapshot, Trip


class Bookings(admin.TabularInline):
    model = Booking
    extra = 0
    raw_id_fields = ("diver",)


@admin.register(Trip)
class TripAdmin(admin.ModelAdmin):
    list_display = ("name", "club", "starts_at", "state")
    list_filter = ("club", "state")
    readonly_fields = ("state",)
    inlines = (Bookings,)

    def has_change_permission(self, request, obj=None):  # type: ignore[no-untyped-def]
        """A trip that is ready is changed by entries in its boat log alone."""
        ready = obj is not None and obj.state == Trip.State.READY
        return not ready and super().has_change_permission(request, obj)


@admin.register(Boat)
class BoatAdmin(admin.ModelAdmin):
    list_display = ("name", "club", "most_persons")


@admin.register(Site)
class SiteAdmin(admin.ModelAdmin):
    list_display = ("name", "club", "water", "altitude_m")


@admin.register(Dive)
class DiveAdmin(admin.ModelAdmin):
    list_display = ("trip", "number", "planned_at", "depth_hundredths", "depth_unit")

    def has_change_permission(self, request, obj=None):  # type: ignore[no-untyped-def]
        """Dives are planned in the program, where what rests on them is withdrawn."""
        return False

    has_add_permission = has_delete_permission = has_change_permission


@admin.register(Snapshot)
class SnapshotAdmin(admin.ModelAdmin):
    list_display = ("trip", "hash", "made_at")

    def has_change_permission(self, request, obj=None):  # type: ignore[no-untyped-def]
        """Never: its hash names its bytes."""
        return False

    has_add_permission = has_delete_permission = has_change_permission
